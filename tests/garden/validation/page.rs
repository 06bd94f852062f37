//! The tables of docs/validation.md.

use super::Answered;
use super::model::{Said, question};
use super::trials::{Input, Kind, Row};
use crate::sources::{END, table};
use barrowful::garden::assumptions::Span;

/// Three significant digits, without an exponent.
pub fn shown(x: f64) -> String {
    if x == 0.0 {
        return "0".to_owned();
    }
    let magnitude = x.abs().log10().floor();
    let step = 10_f64.powf(magnitude - 2.0);
    let decimals = (2.0 - magnitude).max(0.0);
    let rounded = (x / step).round() * step;
    let text = format!("{rounded:.0$}", format!("{decimals:.0}").parse::<usize>().unwrap());
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// One value, or two.
pub fn between([low, high]: [f64; 2]) -> String {
    if low == high { shown(low) } else { format!("{} to {}", shown(low), shown(high)) }
}

/// A range in words: shares in percent.
fn range(name: &str, span: Span) -> String {
    let (times, unit) = match name {
        "moisture" | "ash" => (100.0, " %"),
        _ => (1.0, ""),
    };
    let [low, likely, high] = [span.low, span.likely, span.high].map(|x| shown(x * times));
    format!("{name} {low} to {high}{unit}, likely {likely}{unit}")
}

fn open(row: &Row) -> String {
    let one = |(name, Input { span, material }): &(String, Input)| {
        let origin = material.map_or_else(|| "ours".to_owned(), |id| format!("`{id}`"));
        format!("{} ({origin})", range(name, *span))
    };
    let wide: Vec<String> = row.inputs.iter().filter(|(_, input)| input.span.low < input.span.high).map(one).collect();
    if wide.is_empty() { "nothing but the defaults".to_owned() } else { wide.join("; ") }
}

fn compared((row, said): &Answered) -> Vec<String> {
    let question = question(row);
    let of = |text: &str| if question.unit.is_empty() { text.to_owned() } else { format!("{text} {}", question.unit) };
    vec![
        format!("`{}`", row.id),
        question.compared.to_owned(),
        of(&shown(said.likely)),
        of(&between(said.runs)),
        of(&between(said.observed)),
        if said.inside() { "yes" } else { "**no**" }.to_owned(),
        row.note.clone(),
    ]
}

const COMPARED: [&str; 7] = ["row", "compared", "forecast", "80 of 100 runs", "observed or printed", "inside", "note"];

fn read((row, _): &Answered) -> Vec<String> {
    let quote = if row.quote.is_empty() { "see there".to_owned() } else { format!("\"{}\"", row.quote) };
    vec![format!("`{}`", row.id), row.source.clone(), quote, row.address.clone(), open(row)]
}

fn count(name: &str, rows: &[&Answered]) -> Vec<String> {
    let inside = rows.iter().filter(|(_, said)| said.inside()).count();
    let share = (inside * 100).checked_div(rows.len()).unwrap_or_default();
    vec![name.to_owned(), rows.len().to_string(), inside.to_string(), format!("{share} %")]
}

/// The tables by their names on the page.
fn tables(answered: &[Answered]) -> Vec<(&'static str, String)> {
    let of = |kind: Kind| answered.iter().filter(move |(row, _)| row.kind == kind);
    let all = |kind: Kind| of(kind).collect::<Vec<_>>();
    let trials: Vec<&Answered> = of(Kind::Whole).chain(of(Kind::Partial)).collect();
    let counts = [
        count("a whole forecast (five treatments of one trial)", &all(Kind::Whole)),
        count("a part of it", &all(Kind::Partial)),
        count("both, which is all that counts", &trials),
        count("not counted: the trial that a default is from, or another reading", &all(Kind::Own)),
        count("not counted: advice", &all(Kind::Rule)),
    ];
    vec![
        ("counts", table(&["rows", "number", "inside", "share inside"], counts)),
        ("whole", table(&COMPARED, of(Kind::Whole).map(compared))),
        ("partial", table(&COMPARED, of(Kind::Partial).map(compared))),
        ("own", table(&COMPARED, of(Kind::Own).map(compared))),
        ("rules", table(&COMPARED, of(Kind::Rule).map(compared))),
        ("halves", super::halves::halves(answered)),
        ("read", table(&["row", "source", "what was read", "where", "left open"], answered.iter().map(read))),
    ]
}

/// The page with its tables in place of those that it has.
pub fn with_tables(page: &str, answered: &[Answered]) -> String {
    tables(answered).into_iter().fold(page.to_owned(), |page, (name, table)| {
        let begin = format!("<!-- made from the trials: {name} -->");
        let (before, rest) = page.split_once(&begin).unwrap_or_else(|| panic!("docs/validation.md has no {begin}"));
        let (_, after) = rest.split_once(END).unwrap_or_else(|| panic!("{begin} has no {END}"));
        format!("{before}{begin}\n\n{table}\n{END}{after}")
    })
}

/// A forecast next to its observation, over the likely forecast.
pub fn relative(said: &Said) -> ([f64; 2], [f64; 2]) {
    (said.runs.map(|x| x / said.likely), said.observed.map(|x| x / said.likely))
}
