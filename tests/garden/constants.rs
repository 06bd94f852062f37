//! The numbers in the code of the core: each is a named constant that says where it is from.
//!
//! The doc comment of a constant ends with `Source: ...`: a publication, "identity", "exact by definition", "common practice,
//! no source", "assumption: ...", "how this service works", "limit of this service" or "tolerance of computing". The tables of
//! docs/sources.md are made from it. The reading is simple: comments, texts and unit tests are left out, and so are the tables
//! that have their own place on the page.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at whatever is wrong")]

use crate::files::rust_files;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// A constant as the code has it.
pub struct Constant {
    /// The file below `src/garden`.
    pub file: String,
    pub name: String,
    pub value: String,
    pub meaning: String,
    pub source: String,
}

impl Constant {
    /// True for what bounds the computing and tells nothing of the garden.
    pub fn is_of_computing(&self) -> bool {
        ["limit of this service", "tolerance of computing", "how this service works"].contains(&self.source.as_str())
    }
}

/// Files whose numbers are reported elsewhere, and where.
const TABLES: &[(&str, &str)] = &[
    ("assumptions/table.rs", "the table of assumptions"),
    ("feeds/materials/table.rs", "the table of materials, with the origin of each value"),
    ("applications/typical.rs", "the table of typical rates, with the source of each"),
    ("units/table.rs", "exact factors: the row `units`, GET /v1/units"),
];

/// Files that may hold bare numbers, and why.
const BARE: &[(&str, &str)] = &[
    ("units/dimension.rs", "bounds of each dimension: GET /v1/limits"),
    ("units/quantity.rs", "the most that is counted in millilitres: the bound of volumes"),
    ("units/round.rs", "where numbers are rounded by their decimals"),
    ("units/wording.rs", "where numbers are shown with an exponent"),
];

/// Bare numbers that need no name: none, one, halves, doubles, powers of ten of units and percents, hours, minutes, days.
const TRIVIAL: &[f64] = &[0.0, 0.5, 1.0, 2.0, 10.0, 24.0, 60.0, 100.0, 365.0, 1000.0, 0.001];

/// Constants of the allocation, which is exact and knows whole numbers only: file, name, source.
const ELSEWHERE: &[(&str, &str, &str)] = &[
    ("balances/allocation/board.rs", "LARGEST", "limit of this service"),
    ("balances/allocation/fraction.rs", "ONE", "identity"),
    ("balances/allocation/fraction.rs", "ZERO", "identity"),
    ("balances/allocation/whole.rs", "TURNS", "how this service works"),
];

/// Every file of the core by its name below `src/garden`, without its unit tests.
fn files() -> Vec<(String, String)> {
    let read = |(path, text): (PathBuf, String)| {
        let name = path.to_str().unwrap().replace('\\', "/");
        (name, text.split("#[cfg(test)]").next().unwrap().to_owned())
    };
    rust_files("src/garden").into_iter().map(read).collect()
}

/// The code with blanks in place of comments, texts and signs, so that what is left is code at its place.
fn blanked(text: &str) -> String {
    let signs: Vec<char> = text.chars().collect();
    let mut out = String::new();
    let mut at = 0;
    while at < signs.len() {
        let rest = &signs[at..];
        let taken = match rest {
            ['/', '/', ..] => rest.iter().position(|c| *c == '\n').unwrap_or(rest.len()),
            ['"', ..] => text_end(rest),
            ['\'', '\\', ..] => 2 + rest[2..].iter().position(|c| *c == '\'').unwrap() + 1,
            ['\'', _, '\'', ..] => 3,
            _ => 0,
        };
        for sign in &rest[..taken] {
            out.push_str(&if *sign == '\n' { "\n".to_owned() } else { " ".repeat(sign.len_utf8()) });
        }
        out.extend(rest.get(taken).filter(|_| taken == 0));
        at += taken.max(1);
    }
    assert_eq!(out.len(), text.len());
    out
}

/// How long a text is, with its quotes.
fn text_end(signs: &[char]) -> usize {
    let mut at = 1;
    while signs[at] != '"' {
        at += if signs[at] == '\\' { 2 } else { 1 };
    }
    at + 1
}

/// The name of the constant that a line begins to define.
fn defined(line: &str) -> Option<&str> {
    let mut line = line.trim_start();
    for before in ["pub(crate) ", "pub(super) ", "pub "] {
        line = line.strip_prefix(before).unwrap_or(line);
    }
    let (name, _) = line.strip_prefix("const ")?.split_once(':')?;
    name.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '_').then_some(name)
}

/// Where the definition that begins here ends: at the first `;` outside of brackets.
fn definition_end(code: &str) -> usize {
    let mut depth = 0;
    for (at, sign) in code.char_indices() {
        match sign {
            '(' | '[' | '{' => depth += 1,
            ')' | ']' | '}' => depth -= 1,
            ';' if depth == 0 => return at,
            _ => {}
        }
    }
    code.len()
}

/// The numbers of some code as they are written; all of them, or only those with a point or an exponent.
fn numbers(code: &str, all: bool) -> Vec<String> {
    let signs: Vec<char> = code.chars().collect();
    let mut found = Vec::new();
    let mut at = 0;
    while at < signs.len() {
        let before = at.checked_sub(1).map_or(' ', |i| signs[i]);
        if !signs[at].is_ascii_digit() || before.is_alphanumeric() || before == '_' || before == '.' {
            at += 1;
            continue;
        }
        let start = at;
        let digits = |mut at: usize| {
            while signs.get(at).is_some_and(|c| c.is_ascii_digit() || *c == '_') {
                at += 1;
            }
            at
        };
        at = digits(at);
        let mut real = false;
        if signs.get(at) == Some(&'.') && signs.get(at + 1).is_some_and(char::is_ascii_digit) {
            (real, at) = (true, digits(at + 1));
        }
        if signs.get(at) == Some(&'e') {
            let signed = usize::from(signs.get(at + 1) == Some(&'-'));
            (real, at) = (true, digits(at + 1 + signed));
        }
        if all || real {
            found.push(signs[start..at].iter().filter(|c| **c != '_').collect());
        }
    }
    found
}

/// A value in one line, and a long list cut short.
fn shortened(value: &str) -> String {
    let value = value.split_whitespace().collect::<Vec<_>>().join(" ");
    let cut = value.char_indices().nth(90).map(|(at, _)| format!("{} ...", &value[..at]));
    cut.unwrap_or(value)
}

/// What the comment above a line says.
fn comment_above(lines: &[&str], line: usize) -> String {
    let above = lines[..line].iter().rev().map(|l| l.trim_start());
    let mut comment: Vec<&str> = above
        .take_while(|l| l.starts_with("///") || l.starts_with("#["))
        .filter_map(|l| l.strip_prefix("///"))
        .collect();
    comment.reverse();
    comment.iter().map(|l| l.trim()).collect::<Vec<_>>().join(" ")
}

/// The constants of a file that hold numbers, and its code without them.
fn read(file: &str, text: &str) -> (Vec<Constant>, String) {
    let mut code = blanked(text);
    let lines: Vec<&str> = text.lines().collect();
    let mut constants = Vec::new();
    for number in 0..lines.len() {
        let start: usize = code.lines().take(number).map(|l| l.len() + 1).sum();
        let line = code[start..].lines().next().unwrap_or_default().to_owned();
        let Some(name) = defined(&line) else { continue };
        let end = start + definition_end(&code[start..]);
        let Some((_, value)) = code[start..end].split_once('=') else { continue };
        let numbered = !numbers(value, true).is_empty();
        let written = &text[end - value.len()..end];
        let said = comment_above(&lines, number);
        if numbered {
            let elsewhere = ELSEWHERE.iter().find(|(of, constant, _)| (*of, *constant) == (file, name));
            let (meaning, source) = match (said.split_once("Source: "), elsewhere) {
                (Some((meaning, source)), _) => (meaning, source),
                (None, Some((_, _, source))) => (said.as_str(), *source),
                (None, None) => (said.as_str(), ""),
            };
            constants.push(Constant {
                file: file.to_owned(),
                name: name.to_owned(),
                value: shortened(written),
                meaning: meaning.trim().trim_end_matches('.').to_owned(),
                source: source.trim().trim_end_matches('.').to_owned(),
            });
        }
        let blank: String = code[start..end].chars().map(|c| if c == '\n' { '\n' } else { ' ' }).collect();
        code.replace_range(start..end, &blank);
    }
    (constants, code)
}

fn is_a_table(file: &str) -> bool {
    TABLES.iter().any(|(table, _)| *table == file)
}

/// Every constant of the core that holds a number and is no table.
pub fn constants() -> Vec<Constant> {
    let of_file = |(file, text): &(String, String)| if is_a_table(file) { Vec::new() } else { read(file, text).0 };
    files().iter().flat_map(of_file).collect()
}

fn bare(code: &str) -> Vec<String> {
    let trivial = |number: &String| TRIVIAL.contains(&number.parse().unwrap());
    numbers(code, false).into_iter().filter(|number| !trivial(number)).collect()
}

/// How a source begins that is no publication.
const KINDS: [&str; 8] = [
    "how this service works",
    "limit of this service",
    "tolerance of computing",
    "identity",
    "exact by definition",
    "standard atomic weights",
    "common practice, no source",
    "assumption: ",
];

/// Publications that are known without a year or a number, as they are.
const UNDATED: [&str; 2] = ["University of Minnesota Extension", "Cornell Waste Management Institute, Compost Physics"];

/// What laws and standards are called before their number.
const NUMBERED: [&str; 4] = ["CFR ", "Directive ", "ISO ", "EN "];

/// Tells whether a source is of a listed kind, or a publication that can be found: by its year, or by the number of a law or standard.
fn is_a_source(source: &str) -> bool {
    let is_year = |word: &str| word.len() == 4 && word.parse().is_ok_and(|year: u32| (1800..2100).contains(&year));
    let has_number = |name: &str| {
        source.split_once(name).is_some_and(|(_, number)| number.starts_with(|first: char| first.is_ascii_digit()))
    };
    KINDS.iter().any(|kind| source.starts_with(kind))
        || UNDATED.iter().any(|publication| source.contains(publication))
        || NUMBERED.iter().any(|name| has_number(name))
        || source.split(|c: char| !c.is_ascii_digit()).any(is_year)
}

#[test]
fn a_word_alone_is_no_source() {
    assert!(
        is_a_source("Haug 1993, The Practical Handbook of Compost Engineering") && is_a_source("7 CFR 205.203(c)(2)")
    );
    assert!(["rounding", "experience", "a handbook 2", "the usual level", ""].iter().all(|word| !is_a_source(word)));
}

#[test]
fn every_number_with_a_name_says_what_it_means_and_where_it_is_from() {
    let constants = constants();
    assert!(constants.len() > 50, "only {} constants were found", constants.len());
    for one in constants {
        let at = format!("{} in src/garden/{}", one.name, one.file);
        assert!(!one.source.is_empty(), "{at}: end its doc comment with `Source: ...`, see tests/garden/constants.rs");
        assert!(is_a_source(&one.source), "{at}: {:?} is neither of a kind nor a publication", one.source);
        assert!(one.meaning.len() > 3, "{at}: say what it means");
        assert!(!one.value.contains('|') && !one.meaning.contains('|') && !one.source.contains('|'), "{at}");
    }
}

#[test]
fn no_formula_holds_a_number_of_the_trade_without_a_name() {
    for (file, text) in files() {
        let exempt = is_a_table(&file) || BARE.iter().any(|(name, _)| *name == file);
        let found = bare(&read(&file, &text).1);
        assert!(exempt || found.is_empty(), "src/garden/{file}: give a name and a source to {}", found.join(", "));
        let needed = BARE.iter().all(|(name, _)| *name != file) || !found.is_empty();
        assert!(needed, "{file} holds no bare number any more: take it off the list");
    }
    let names: BTreeSet<String> = files().into_iter().map(|(name, _)| name).collect();
    for (name, _) in TABLES.iter().chain(BARE) {
        assert!(names.contains(*name), "there is no src/garden/{name}");
    }
}

#[test]
fn the_reading_of_code_finds_what_is_there() {
    let text = "/// A rate.\n/// Source: a book,\n/// page 3.\n#[rustfmt::skip]\npub const RATE: [f64; 2] = [\n    1_500.0, 2e-6,\n];\n\
                const WORD: &str = \"7.5; of\";\n// 8.25\nfn f(x: f64) -> f64 { x.0.5 * 3.75 + 2.0 - 'a'.max(4) + \"6.5\".len() }\n";
    let (constants, code) = read("file.rs", text);
    assert_eq!(constants.len(), 1);
    let one = &constants[0];
    assert_eq!((one.name.as_str(), one.value.as_str()), ("RATE", "[ 1_500.0, 2e-6, ]"));
    assert_eq!((one.meaning.as_str(), one.source.as_str()), ("A rate", "a book, page 3"));
    assert_eq!(bare(&code), ["3.75"]);
}
