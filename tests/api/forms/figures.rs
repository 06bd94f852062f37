//! Every figure of a table is the one of the JSON answer, and what of it is printed is at its own rounding.

use super::{QUESTIONS, bodies, digits};
use crate::support::{Row, demo, flat, form, ok, rows, with};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// Where JSON has what a table has. A line names questions, table, kind of rows and list; those below it, further in, the columns,
/// each with the place of the same figure in an item of the list.
///
/// `*` in a list means each item of an outer list. In a place `^` is this outer item, and `#` the number of an item.
const FIGURES: &str = include_str!("figures.txt");

/// Columns that say what a row is, put together what JSON has in parts, or have no figure of their own in JSON; with the table where they
/// are such in one alone.
const COMPOSED: [&str; 21] = [
    "row",
    "batch",
    "record",
    "allocations",
    "materials",
    "chosen",
    "days",
    "last_on",
    "past",
    "overdue",
    "volume_per_length_L_m",
    "per_plant_L",
    "share_of_mix_%",
    "cautions",
    "cautions_of_request",
    "work occasion",
    "work shortfall_L",
    "stock cycle",
    "occasions share_supplied_%",
    "by_date needed_by_then_L",
    "by_date chance_of_enough_%",
];

/// The rows of one kind in a table.
#[derive(Clone)]
struct Figures {
    question: &'static str,
    table: &'static str,
    kind: &'static str,
    list: &'static str,
    columns: Vec<(&'static str, &'static str)>,
}

impl Figures {
    /// Those of a question.
    fn of(question: &str) -> Vec<Self> {
        let mut all: Vec<Self> = Vec::new();
        for line in FIGURES.lines() {
            let words: Vec<&str> = line.split_whitespace().collect();
            if line.starts_with(' ') {
                all.last_mut().unwrap().columns.extend(words.iter().map(|pair| pair.split_once('=').unwrap()));
            } else {
                let [question, table, kind, list] = words[..] else { panic!("{line}") };
                all.push(Self { question, table, kind, list, columns: Vec::new() });
            }
        }
        all.retain(|figures| figures.question.split(',').any(|one| one == question));
        all
    }

    /// The table as it is asked for.
    fn address(&self, question: &str) -> String {
        if self.table == "-" { question.to_owned() } else { format!("{question}?table={}", self.table) }
    }

    /// The items, each with its number, and with the number of the outer one and that one.
    fn items<'a>(&self, answer: &'a Value) -> Vec<Item<'a>> {
        let (outer, inner) = self.list.split_once("/*").unwrap_or((self.list, ""));
        let all = numbered(answer.pointer(outer.trim_end_matches('/')));
        let all = all.flat_map(|(of, outer)| {
            let inner: Vec<_> = match inner {
                "" => vec![(of, outer)],
                _ => numbered(outer.pointer(inner)).collect(),
            };
            inner.into_iter().map(move |(index, item)| Item { of, outer, index, item })
        });
        all.filter(|of| self.has(of.item)).collect()
    }

    /// Tells whether an item has a row of this kind.
    fn has(&self, item: &Value) -> bool {
        match (self.table, self.kind) {
            ("harvests", "worm_bed") => item.get("in_bed").is_some(),
            ("work", "-") => !["water", "use_tea"].contains(&item["kind"].as_str().unwrap()),
            ("work", kind) => item["kind"] == kind,
            _ => true,
        }
    }

    /// Its rows.
    fn rows(&self, tables: &Tables, items: &[Item<'_>]) -> Vec<Row> {
        let mut rows = tables[self.table].clone();
        rows.retain(|row| match (self.table, self.kind) {
            ("by_date", _) => items.iter().any(|of| of.item["date"] == row["date"].as_str()),
            ("variants", kind) => (row["variant"] == "as asked") == (kind == "as_asked"),
            // What is short is reported beside the work.
            ("work", "-") => !["water", "use_tea", "shortfall"].contains(&row["kind"].as_str()),
            ("work", kind) => row["kind"] == kind,
            (_, "-") => true,
            (_, kind) => row["row"] == kind,
        });
        rows
    }
}

/// The rows of each table of an answer.
type Tables = BTreeMap<&'static str, Vec<Row>>;

/// Asks for every table.
fn tables(question: &str, body: &Value) -> Tables {
    let all = Figures::of(question).into_iter();
    all.map(|of| (of.table, of.address(question)))
        .collect::<BTreeMap<_, _>>()
        .into_iter()
        .map(|(table, address)| (table, rows(&form(&address, "text/csv", body).bytes, b',')))
        .collect()
}

/// An item of a list, with the outer item that it is of.
struct Item<'a> {
    of: usize,
    outer: &'a Value,
    index: usize,
    item: &'a Value,
}

impl Item<'_> {
    /// What is at a place.
    fn at(&self, place: &str) -> Value {
        match place {
            "#" => json!(self.index),
            "^#" => json!(self.of),
            _ => match place.strip_prefix('^') {
                Some(place) => self.outer.pointer(place),
                None => self.item.pointer(place),
            }
            .cloned()
            .unwrap_or_default(),
        }
    }
}

/// The items of a list, or the one thing that there is.
fn numbered(list: Option<&Value>) -> impl Iterator<Item = (usize, &Value)> {
    let items = match list {
        Some(Value::Array(items)) => items.as_slice(),
        Some(one) => std::slice::from_ref(one),
        None => &[],
    };
    items.iter().enumerate()
}

/// What is written in the cell of a value, or in that of one of its bounds.
fn written(value: &Value, end: &str) -> String {
    match value {
        Value::Null => String::new(),
        Value::Bool(is) => if *is { "yes" } else { "no" }.to_owned(),
        Value::String(text) => text.clone(),
        Value::Object(quantity) => quantity.get(end).unwrap_or(&quantity["value"]).to_string(),
        other => other.to_string(),
    }
}

/// The demo requests, and some that fill what these leave empty.
fn requests(question: &str) -> Vec<Value> {
    let mut all = bodies(question);
    all.extend(match question {
        "brews" => vec![with(&demo("brews/drench-for-the-rows.json"), "/brews/0/id", json!("drench"))],
        "harvests" => of_harvests(),
        "calibrations" => vec![with(
            &crate::calibrations::two(),
            "/records/0/layers_eaten",
            json!([{"layer": 1, "on": "2025-05-01"}]),
        )],
        "balances" => of_balances(),
        "seasons" => of_seasons(),
        _ => Vec::new(),
    });
    let few = |body: Value| if question == "seasons" { with(&body, "/simulation_runs", json!(20)) } else { body };
    all.into_iter().map(|body| few(with(&body, "/units", json!("metric")))).collect()
}

fn of_harvests() -> Vec<Value> {
    let named = |file: &str| with(&demo(file), "/worm_beds/0/id", json!("hazel"));
    let feed = json!({"material": "leaves_loose", "supply": {"kind": "as_needed"}});
    let long = with(&named("harvests/forecast.json"), "/worm_beds/0/forecast/feed", feed);
    vec![
        named("harvests/by-feed.json"),
        named("harvests/one-bed.json"),
        with(&long, "/worm_beds/0/forecast/until", json!("2030-12-31")),
    ]
}

fn of_balances() -> Vec<Value> {
    let body = with(&demo("balances/side-dressing-all-summer.json"), "/stock/0/id", json!("bin"));
    let change = |amount: &str| json!({"stock": [{"amount": amount}]});
    let changes = [("more", "300 L"), ("less", "3 L"), ("none such", "3 m")];
    let variants = changes.map(|(name, amount)| json!({"name": name, "change": change(amount)}));
    let units = json!([{"name": "the same", "change": {"units": "metric"}}]);
    vec![with(&body, "/variants", json!(variants)), with(&demo("balances/not-worth-less.json"), "/variants", units)]
}

/// Balances as seasons: with repeats, with a minimum, with days until which to work in.
fn of_seasons() -> Vec<Value> {
    let until = |body: &Value| with(&with(body, "/as_of", json!("2027-01-01")), "/until", json!("2027-10-30"));
    let bed = with(&demo("seasons/one-bed.json"), "/worm_beds/0/id", json!("first"))["worm_beds"].clone();
    let summer = with(&until(&demo("balances/side-dressing-all-summer.json")), "/climate", json!("18 C"));
    let others = ["early-crops", "not-worth-less"];
    let others = others.map(|file| until(&demo(&format!("balances/{file}.json"))));
    [vec![with(&summer, "/worm_beds", bed)], others.to_vec()].concat()
}

/// One kind of rows of an answer, beside the items in JSON that they are of.
struct Beside<'a> {
    question: &'static str,
    body: &'a Value,
    answer: &'a Value,
    figures: &'a Figures,
    items: &'a [Item<'a>],
    rows: &'a [Row],
}

/// Asks every request of every question, and goes through each kind of rows of its tables.
fn each_kind_of_rows(mut check: impl FnMut(&Beside<'_>)) {
    for question in QUESTIONS.map(|(question, _)| question) {
        for body in requests(question) {
            let (answer, tables) = (ok(question, &body), tables(question, &body));
            for figures in Figures::of(question) {
                let items = figures.items(&answer);
                let rows = figures.rows(&tables, &items);
                let (body, answer, figures) = (&body, &answer, &figures);
                check(&Beside { question, body, answer, figures, items: &items, rows: &rows });
            }
        }
    }
}

#[test]
fn every_figure_of_a_table_is_the_one_of_json() {
    let mut filled = BTreeSet::new();
    each_kind_of_rows(|Beside { question, body, figures, items, rows, .. }| {
        let kind = format!("{}, {}", figures.address(question), figures.kind);
        assert_eq!(rows.len(), items.len(), "{kind}: {body}");
        for (item, row) in items.iter().zip(*rows) {
            for (column, place) in &figures.columns {
                let value = item.at(place);
                for end in ["", "_low", "_high"] {
                    let Some(cell) = row.get(&format!("{column}{end}")) else { continue };
                    let wanted = written(&value, end.trim_start_matches('_'));
                    assert_eq!(*cell, wanted, "{kind}: {column}{end} in {body}");
                }
                if row.contains_key(*column) && !value.is_null() {
                    filled.insert((figures.table, figures.kind, figures.list, *column));
                }
            }
        }
    });
    for figures in QUESTIONS.iter().flat_map(|(question, _)| Figures::of(question)) {
        for (column, _) in figures.columns {
            let Figures { question, table, kind, list, .. } = figures;
            assert!(
                filled.contains(&(table, kind, list, column)),
                "no request of {question} fills {column} of {table} {kind}"
            );
        }
    }
}

#[test]
fn no_column_of_a_table_is_left_uncompared() {
    for (question, tables) in QUESTIONS {
        let none: [&str; 1] = ["-"];
        for table in if tables.is_empty() { none.as_slice() } else { tables } {
            let of_table: Vec<Figures> = Figures::of(question).into_iter().filter(|of| of.table == *table).collect();
            let first = of_table.first().unwrap_or_else(|| panic!("{question} {table} is not compared"));
            let address = first.address(question);
            let compared: Vec<&str> = of_table.iter().flat_map(|of| &of.columns).map(|(column, _)| *column).collect();
            for body in requests(question) {
                let csv = form(&address, "text/csv", &body);
                let containers = body["containers"].as_array().cloned().unwrap_or_default();
                for column in csv.text().lines().next().unwrap().split(',') {
                    let plain = column.trim_end_matches("_low").trim_end_matches("_high");
                    let in_containers = containers.iter().any(|of| column.ends_with(of["name"].as_str().unwrap()));
                    let is_composed = COMPOSED.iter().any(|of| *of == plain || *of == format!("{table} {plain}"));
                    let known = compared.contains(&plain) || is_composed || in_containers;
                    assert!(known, "{address}: {column} is not compared");
                }
            }
        }
    }
}

#[test]
fn the_row_of_an_item_names_every_caution_about_it() {
    let mut named = BTreeSet::new();
    each_kind_of_rows(|Beside { question, answer, figures, items, rows, .. }| {
        for caution in answer["cautions"].as_array().unwrap() {
            let rule = caution["rule"].as_str().unwrap();
            for at in caution["at"].as_array().into_iter().flatten().map(|at| at.as_str().unwrap()) {
                for (_, row) in items.iter().zip(*rows).filter(|(of, _)| figures.is_about(of, at)) {
                    let Some(cautions) = row.get("cautions") else { continue };
                    let is_named = cautions.split(' ').any(|known| known == rule);
                    assert!(is_named, "{}: {rule} at {at} {row:?}", figures.address(question));
                    named.insert((*question, figures.table));
                }
            }
        }
    });
    assert!(named.len() > 8, "{named:?}");
}

impl Figures {
    /// Tells whether a place in the request is the outer item of an item, or within it.
    fn is_about(&self, of: &Item<'_>, at: &str) -> bool {
        let outer = self.list.split("/*").next().unwrap();
        at.strip_prefix(outer)
            .and_then(|rest| rest.strip_prefix(&format!("/{}", of.of)))
            .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    }
}

/// Figures that a text and a page print.
const PRINTED: [(&str, &str, &str); 6] = [
    ("applications", "-", "castings_L castings_kg nitrogen_g"),
    ("brews", "brews", "water_L castings_L tea_L"),
    ("feeds", "materials", "mass_kg volume_L moisture_%"),
    ("balances", "demands", "needed_L allocated_L shortfall_L"),
    ("balances", "stock", "amount_L remaining_L expired_L"),
    ("seasons", "demands", "needed_L shortfall_L chance_full_%"),
];

#[test]
fn every_form_has_the_same_figures_each_at_its_own_rounding() {
    for (question, table, printed) in PRINTED {
        let figures = Figures::of(question).into_iter().find(|of| of.table == table).unwrap();
        for body in bodies(question).into_iter().map(|body| with(&body, "/units", json!("metric"))) {
            let answer = ok(question, &body);
            let text = flat(form(&format!("{question}?all=true&width=400"), "text/plain", &body).text());
            let page = form(question, "text/html", &body).text().to_owned();
            for item in figures.items(&answer) {
                for column in printed.split(' ') {
                    let (_, place) = figures.columns.iter().find(|(name, _)| *name == column).unwrap();
                    let Some(value) = item.at(place)["value"].as_f64() else { continue };
                    // From a kilogram on, people read kilograms.
                    let is_large = column.ends_with("_g") && value >= 999.5;
                    let shown = digits(if is_large { value / 1000.0 } else { value });
                    assert!(text.split(' ').any(|word| word == shown), "{question}: {column} {shown}\n{text}");
                    let beyond = [format!("≥ {shown} "), format!("≤ {shown} ")];
                    let cells = [format!(">{shown} "), format!(">{shown}<")];
                    let is_printed = cells.iter().chain(&beyond).any(|cell| page.contains(cell));
                    assert!(is_printed, "{question}: {column} {shown}\n{page}");
                }
            }
        }
    }
}
