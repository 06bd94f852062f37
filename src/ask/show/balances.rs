//! Stock against demand: who gets what, what is short, when, and what would close the gap.

use serde_json::Value;

use super::grid::{Cell, Grid, Kind, paragraphs};
use super::prepare;
use super::words::{at, exact, items, joined, label, list, measures, moment, value};

/// How many draws a demand shows before it says how many more there are.
const DRAWS: usize = 12;

/// One sentence, the demands, the running stock, and what would close the gap.
pub(super) fn tables(answer: &Value, request: &Value) -> String {
    let gap = at(answer, "/close_the_gap");
    let parts = [sentence(answer), demands(answer, request), by_date(answer), close_the_gap(gap), prepare::table(gap)];
    joined(&parts, "\n\n")
}

/// "171.6 L wanted, 150 L in stock: 116 L given, 55.6 L short, first on 2027-04-05; 34 L left over."
pub(super) fn sentence(answer: &Value) -> String {
    let asked =
        [total(answer, "wanted", "wanted", "nothing wanted"), total(answer, "stock", "in stock", "nothing in stock")];
    let first = list(at(answer, "/first_short_on"));
    let first = if first.is_empty() { first } else { format!("first on {first}") };
    let nothing_short = exact(at(answer, "/total/short")).digits == "0";
    let given = total(answer, "given", "given", "");
    let got = if nothing_short && !given.is_empty() {
        "all of it given".to_owned()
    } else {
        let given = if given.is_empty() { total(answer, "given", "given", "nothing given") } else { given };
        joined(&[given, total(answer, "short", "short", ""), first], ", ")
    };
    let rest = [total(answer, "expired", "expired", ""), total(answer, "left", "left over", "nothing left over")];
    let asked = joined(&asked, ", ");
    if asked.is_empty() || got.is_empty() {
        return String::new();
    }
    let outcome = joined(&[got, joined(&rest, ", ")], "; ");
    paragraphs(&[vec![format!("{asked}: {outcome}.")]], 0)
}

/// One of the totals in words: "55.6 L short", or the other words when it is zero. Empty when the answer has no such total.
fn total(answer: &Value, field: &str, words: &str, none: &str) -> String {
    let shown = exact(at(answer, &format!("/total/{field}")));
    match shown.digits.as_str() {
        "" => String::new(),
        "0" => none.to_owned(),
        _ => format!("{} {words}", shown.sentence()),
    }
}

pub(super) fn demands(answer: &Value, request: &Value) -> String {
    let mut grid = Grid::new(&[
        ("who", Kind::Words),
        ("when", Kind::Words),
        ("wanted", Kind::Number),
        ("given", Kind::Number),
        ("short", Kind::Number),
        ("share", Kind::Number),
        ("chance", Kind::Number),
        ("in measures", Kind::Words),
        ("from", Kind::Words),
    ]);
    for (index, demand) in items(answer, "/demands").iter().enumerate() {
        let asked = items(request, "/demands").get(index).unwrap_or(&Value::Null);
        let volume = |field: &str| Cell::Number(exact(at(demand, field)));
        grid.row([
            Cell::Words(label(demand, "demand", index)),
            Cell::Words(when(demand, asked)),
            volume("/wanted"),
            volume("/given"),
            volume("/short"),
            Cell::Number(value(at(demand, "/share_given"))),
            Cell::Number(value(at(demand, "/chance"))),
            Cell::Words(measures(at(demand, "/in_measures"))),
            Cell::Words(draws(demand)),
        ]);
    }
    grid.render()
}

/// The dates of a demand, from the answer if it repeats them, otherwise from the request.
fn when(demand: &Value, asked: &Value) -> String {
    let date = |pointer: &str| moment(demand.pointer(pointer).unwrap_or(at(asked, pointer))).sentence();
    let day = [date("/on"), date("/brew/use_at")].into_iter().find(|day| !day.is_empty());
    match (day, date("/earliest"), date("/latest")) {
        (Some(day), _, _) => day,
        (None, first, last) if first.is_empty() && last.is_empty() => {
            if asked.is_object() {
                "any day".to_owned()
            } else {
                String::new()
            }
        }
        (None, first, last) if last.is_empty() => format!("from {first}"),
        (None, first, last) if first.is_empty() => format!("by {last}"),
        (None, first, last) => format!("{first} to {last}"),
    }
}

/// "22.727 L cured bin, 2027-04-05; ...", or "dropped: 30 L is below its least, 36 L".
fn draws(demand: &Value) -> String {
    let least = exact(at(demand, "/dropped/least")).sentence();
    let dropped = if least.is_empty() {
        least
    } else {
        let had = exact(at(demand, "/dropped/would_have_given")).sentence();
        format!("dropped: {had} is below its least, {least}")
    };
    let all = items(demand, "/draws");
    let mut words: Vec<String> = all.iter().take(DRAWS).map(draw).collect();
    if all.len() > DRAWS {
        words.push(format!("{} more", all.len().saturating_sub(DRAWS)));
    }
    if !dropped.is_empty() {
        words.push(dropped);
    }
    words.join("; ")
}

fn draw(draw: &Value) -> String {
    let bed = at(draw, "/worm_bed");
    let (stock, noun) = if bed.is_object() { (bed, "bed") } else { (at(draw, "/stock"), "lot") };
    let index = at(stock, "/index").as_u64().and_then(|index| usize::try_from(index).ok());
    let lot = match index {
        Some(index) => label(stock, noun, index),
        None => list(at(stock, "/name")),
    };
    let amount = format!("{} {lot}", exact(at(draw, "/given")).sentence());
    let from = list(at(draw, "/harvest_from"));
    let wait = match list(at(draw, "/not_met")).as_str() {
        "" if from.is_empty() => from,
        "" => format!("harvest from {from}"),
        why => why.replace('_', " "),
    };
    let parts = [amount.trim().to_owned(), list(at(draw, "/on")), wait];
    joined(&parts, ", ")
}

fn by_date(answer: &Value) -> String {
    let mut grid = Grid::new(&[
        ("stock by date", Kind::Words),
        ("arrived", Kind::Number),
        ("given", Kind::Number),
        ("expired", Kind::Number),
        ("left", Kind::Number),
    ]);
    for day in items(answer, "/by_date") {
        let date = list(at(day, "/date"));
        let volume = |field: &str| Cell::Number(exact(at(day, field)));
        grid.row([
            Cell::Words(if date.is_empty() { "at the start".to_owned() } else { date }),
            volume("/arrived"),
            volume("/given"),
            volume("/expired"),
            volume("/left"),
        ]);
    }
    grid.render()
}

/// "To close the gap: buy 2 sacks of 40 L by 2027-04-05, 19.8 EUR." and what the plan does already.
pub(super) fn close_the_gap(gap: &Value) -> String {
    let mut ways: Vec<String> = Vec::new();
    let share = value(at(gap, "/even_share")).sentence();
    if !share.is_empty() {
        ways.push(format!("give every demand the same share: {share}"));
    }
    ways.extend(items(gap, "/sacks").iter().map(sacks));
    ways.extend(items(gap, "/wait").iter().map(wait));
    let moved: Vec<String> = items(gap, "/moved").iter().map(moved).collect();
    let parts = [points("To close the gap:", ways), points("Served later, so that others get theirs:", moved)];
    joined(&parts, "\n\n")
}

/// A heading and its points; empty without any.
fn points(heading: &str, points: Vec<String>) -> String {
    let points = points.into_iter().filter(|words| !words.is_empty());
    let rows: Vec<Vec<String>> = points.map(|words| vec!["-".to_owned(), words]).collect();
    if rows.is_empty() { String::new() } else { format!("{heading}\n{}", paragraphs(&rows, 1)) }
}

/// The name of the demand that a way to close the gap speaks of.
fn whom(entry: &Value) -> String {
    let demand = at(entry, "/demand");
    let index = at(demand, "/index").as_u64().and_then(|index| usize::try_from(index).ok());
    index.map(|index| label(demand, "demand", index)).unwrap_or_default()
}

/// "let carrot rows wait until 2027-05-10: 25.273 L of what is left over".
fn wait(entry: &Value) -> String {
    let (whom, until, amount) = (whom(entry), list(at(entry, "/until")), exact(at(entry, "/amount")).sentence());
    if whom.is_empty() || until.is_empty() || amount.is_empty() {
        return String::new();
    }
    format!("let {whom} wait until {until}: {amount} of what is left over")
}

/// "seed pots: 12 L on 2027-05-05, possible from 2027-03-15".
fn moved(entry: &Value) -> String {
    let (whom, on, amount) = (whom(entry), list(at(entry, "/drawn_on")), exact(at(entry, "/amount")).sentence());
    if whom.is_empty() || on.is_empty() || amount.is_empty() {
        return String::new();
    }
    let first = list(at(entry, "/first_possible"));
    let first = if first.is_empty() { "the start".to_owned() } else { first };
    format!("{whom}: {amount} on {on}, possible from {first}")
}

fn sacks(sacks: &Value) -> String {
    let count = list(at(sacks, "/count"));
    if count.is_empty() {
        return String::new();
    }
    let noun = if count == "1" { "sack" } else { "sacks" };
    let (holds, by, cost) = (value(at(sacks, "/holds")).sentence(), list(at(sacks, "/by")), cost(sacks));
    let with = |word: &str, text: String| if text.is_empty() { text } else { format!("{word}{text}") };
    format!("buy {count} {noun}{}{}{}", with(" of ", holds), with(" by ", by), with(", ", cost))
}

/// "19.8 EUR": a number beside its currency, or a quantity.
fn cost(sacks: &Value) -> String {
    let cost = at(sacks, "/cost");
    let digits = list(cost.get("value").unwrap_or(cost));
    let currency = list(sacks.get("currency").unwrap_or(at(cost, "/unit")));
    if digits.is_empty() { digits } else { format!("{digits} {currency}").trim_end().to_owned() }
}
