//! The tables of docs/sources.md are made from what the program computes with; the words around them are written by hand.

#![expect(clippy::panic, reason = "a test may stop at whatever is wrong")]

use crate::constants::{Constant, constants};
use barrowful::garden::applications::typical::{Kind, Purpose};
use barrowful::garden::assumptions::{Assumption, Definition};
use barrowful::garden::cautions::Rule;
use barrowful::garden::feeds::StepKind;
use barrowful::garden::feeds::materials::{ALL, Feedstock, Origin, Value};
use barrowful::garden::formulas::Formula;
use barrowful::garden::units::Dimension;
use barrowful::garden::units::round::to_nine_digits;

/// How the tables are written anew.
const MEND: &str = "UPDATE_SNAPSHOTS=1 cargo test --test garden sources";

/// The end of a table on the page; its beginning names it.
pub const END: &str = "<!-- end -->";

/// A table with this head.
pub fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let line = |cells: &[String]| {
        assert_eq!(cells.len(), head.len(), "{cells:?}");
        assert!(cells.iter().all(|cell| !cell.contains(['|', '\n'])), "{cells:?}");
        format!("| {} |\n", cells.join(" | "))
    };
    let titles: Vec<String> = head.iter().map(|title| (*title).to_owned()).collect();
    let rule = format!("|{}\n", "---|".repeat(head.len()));
    rows.into_iter().fold(line(&titles) + &rule, |page, row| page + &line(&row))
}

fn code(text: &str) -> String {
    format!("`{text}`")
}

/// The unit in which the page shows an assumption, and how many of it are one base unit.
fn unit(definition: &Definition) -> (&'static str, f64) {
    match definition.dimension {
        Dimension::Share => ("%", 100.0),
        Dimension::Length => ("mm", 1000.0),
        Dimension::Duration if definition.id.starts_with("tea.") => ("h", 1.0),
        Dimension::Duration => ("d", 1.0 / 24.0),
        Dimension::MassPerArea if !definition.id.starts_with("worms.") => ("g/m2", 1000.0),
        dimension => (dimension.base_unit(), 1.0),
    }
}

/// A source with how far it was checked.
pub fn with_state(source: &str, checked: Option<&str>) -> String {
    checked.map_or_else(|| source.to_owned(), |checked| format!("{source}; {checked}"))
}

fn assumption(assumption: &Assumption) -> Vec<String> {
    let definition = assumption.definition();
    let (unit, scale) = unit(definition);
    let shown = |x: f64| to_nine_digits(x * scale).to_string();
    let [low, likely, high] = definition.default.map_or([const { String::new() }; 3], |range| range.map(shown));
    let unit = if definition.default.is_some() { unit } else { "" };
    vec![
        code(definition.id),
        definition.meaning.to_owned(),
        low,
        likely,
        high,
        unit.to_owned(),
        with_state(definition.source, assumption.checked()),
    ]
}

const RATE: [&str; 6] = ["purpose", "meaning", "low", "likely", "high", "source"];

fn rate(of: &Purpose) -> Vec<String> {
    let typical = of.typical();
    let (unit, scale) = match typical.kind {
        Kind::Depth => ("mm", 1000.0),
        Kind::MassPerArea => ("kg/m2", 1.0),
        Kind::VolumePerLength => ("L/m", 1.0),
        Kind::PerPlant => ("L", 1.0),
        Kind::Share => ("%", 100.0),
    };
    let [low, likely, high] = typical.amount.map(|x| format!("{} {unit}", to_nine_digits(x * scale)));
    let source = with_state(typical.source, typical.checked);
    vec![code(typical.id), typical.name.to_owned(), low, likely, high, source]
}

fn caution(rule: &Rule) -> Vec<String> {
    let text = rule.text();
    vec![
        code(text.rule),
        text.severity.as_str().to_owned(),
        text.raised_when.to_owned(),
        with_state(text.source, rule.checked()),
    ]
}

/// A value as the page has it: low / likely / high, where the likely value is from, and * if the range is ours.
fn value(value: &Value) -> String {
    let [low, likely, high] = value.range;
    let ours = if value.range_printed { "" } else { "*" };
    format!("{low} / {likely} / {high} {}{ours}", value.origin.as_str())
}

fn material(f: &Feedstock) -> Vec<String> {
    let [w, n, c, x, rho] = [&f.moisture, &f.nitrogen, &f.carbon, &f.ash, &f.bulk_density].map(value);
    let ratio = format!("{:.0}", f.carbon_to_nitrogen());
    vec![code(f.id), f.name.to_owned(), w, n, c, x, ratio, rho, f.note.to_owned()]
}

fn origin(origin: &Origin) -> Vec<String> {
    [origin.as_str(), origin.source(), origin.checked()].map(str::to_owned).to_vec()
}

fn step(kind: &StepKind) -> Vec<String> {
    vec![code(kind.as_str()), kind.text(false), kind.source().to_owned()]
}

fn constant(one: &Constant) -> Vec<String> {
    let room = one.file.trim_end_matches(".rs").trim_end_matches("/mod");
    vec![code(&one.name), code(room), code(&one.value), one.meaning.clone(), one.source.clone()]
}

const CONSTANT: [&str; 5] = ["constant", "in", "value", "meaning", "source"];

/// The tables by their names on the page.
fn tables() -> Vec<(&'static str, String)> {
    let (computing, garden): (Vec<Constant>, Vec<Constant>) =
        constants().into_iter().partition(Constant::is_of_computing);
    let head = ["assumption", "meaning", "low", "likely", "high", "unit", "source"];
    let row =
        ["material", "name", "moisture, %", "nitrogen, %", "carbon, %", "ash, %", "C:N", "bulk density, kg/m3", "note"];
    vec![
        ("assumptions", table(&head, Assumption::ALL.iter().map(assumption))),
        ("rates", table(&RATE, Purpose::ALL.iter().map(rate))),
        ("cautions", table(&["rule", "severity", "reported when", "source"], Rule::ALL.iter().map(caution))),
        ("materials", table(&row, ALL.iter().map(material))),
        ("origins", table(&["origin", "source", "how far checked"], Origin::ALL.iter().map(origin))),
        ("steps", table(&["step", "what is done", "source"], StepKind::ALL.iter().map(step))),
        ("constants", table(&CONSTANT, garden.iter().map(constant))),
        ("computing", table(&CONSTANT, computing.iter().map(constant))),
    ]
}

/// The page with its tables in place of those that it has.
fn with_tables(page: &str) -> String {
    tables().into_iter().fold(page.to_owned(), |page, (name, table)| {
        let begin = format!("<!-- made from the program: {name} -->");
        let (before, rest) = page.split_once(&begin).unwrap_or_else(|| panic!("docs/sources.md has no {begin}"));
        let (_, after) = rest.split_once(END).unwrap_or_else(|| panic!("{begin} has no {END}"));
        format!("{before}{begin}\n\n{table}\n{END}{after}")
    })
}

#[test]
fn the_tables_of_the_page_are_those_of_the_program() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/sources.md");
    let page = std::fs::read_to_string(path).unwrap();
    let wanted = with_tables(&page);
    if std::env::var("UPDATE_SNAPSHOTS").is_ok_and(|value| value == "1") {
        std::fs::write(path, wanted).unwrap();
        return;
    }
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    for (was, is) in lines(&page).iter().zip(lines(&wanted)) {
        assert_eq!(*was, is, "docs/sources.md is not what the program tells; mend it with\n    {MEND}");
    }
    assert!(page == wanted, "docs/sources.md lacks rows; mend it with\n    {MEND}");
}

#[test]
fn every_source_says_something() {
    let assumptions = Assumption::ALL.iter().map(|a| (a.id(), a.definition().source));
    let rules = Rule::ALL.iter().map(|r| (r.text().rule, r.text().source));
    let steps = StepKind::ALL.iter().map(|s| (s.as_str(), s.source()));
    for (of, source) in assumptions.chain(rules).chain(steps) {
        assert!(source.len() > 5 && !source.ends_with('.'), "{of}: {source}");
    }
}

/// What answers carry names the source; the lists of sources alone say what of it is from memory.
#[test]
fn the_state_of_a_source_is_said_in_lists_of_sources_only() {
    let assumptions = Assumption::ALL.iter().flat_map(|a| {
        let of = a.definition();
        [(a.id(), of.source), (a.id(), of.meaning), (a.id(), of.measure_it.unwrap_or_default())]
    });
    let rules = Rule::ALL.iter().map(|rule| rule.text());
    let rules = rules.flat_map(|text| [text.source, text.text, text.raised_when].map(|words| (text.rule, words)));
    let steps = StepKind::ALL.iter().map(|s| (s.as_str(), s.source()));
    assert!(StepKind::ALL.iter().all(|step| !step.text(false).contains("memory")));
    let formulas = Formula::ALL.iter().map(|formula| formula.definition());
    let formulas = formulas.flat_map(|of| of.sources.iter().map(|source| (of.id, *source)));
    for (of, words) in assumptions.chain(rules).chain(steps).chain(formulas) {
        assert!(!words.contains("memory"), "{of}: {words}");
    }
    let checked = Assumption::ALL.iter().map(|a| a.checked()).chain(Rule::ALL.iter().map(|rule| rule.checked()));
    let checked: Vec<&str> = checked.chain(Formula::ALL.iter().map(|formula| formula.checked())).flatten().collect();
    assert!(!checked.is_empty() && checked.iter().all(|state| state.ends_with("from memory")), "{checked:?}");
}
