//! The parameters of the address that say how an answer is written, whatever is asked.

use crate::http::output::enums::word_schema;
use crate::http::problem::Problem;
use crate::http::query::{given, one_of, pairs, repeated, unknown, unknown_but};
use crate::http::wire::{ErrorCode, JsonPath, Node, RequestErrors, nearest};
use std::collections::BTreeSet;
use utoipa::IntoParams;
use utoipa::openapi::{RefOr, Schema};

/// The narrowest and the widest text.
pub const WIDTHS: (u16, u16) = (40, 400);
/// How wide a text is unless the address says so.
pub const WIDTH: u16 = 80;

/// The parameters, as the document shows them.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "only the document reads it: its parameters")]
pub struct OptionParams {
    /// The longest line of `text/plain`, in characters; 80 unless given.
    #[param(minimum = 40, maximum = 400, example = 80)]
    width: Option<u16>,
    /// Whether `text/plain` shows everything; unless asked to, it leaves parts out.
    all: Option<bool>,
    /// The decimal mark of `text/csv`: a point unless given.
    #[param(example = "point")]
    decimal: Option<String>,
    /// What separates the cells of `text/csv`: a comma unless given, or where the decimal mark is a comma, a semicolon. An
    /// answered table has the delimiter of the table sent.
    #[param(example = "comma")]
    delimiter: Option<String>,
    /// Whether `text/csv` begins with a byte order mark, by which some spreadsheets recognise UTF-8; it does not unless asked to.
    bom: Option<bool>,
}

/// How an answer is to be written.
#[must_use]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    /// Which table, as CSV, where there are several.
    pub table: Option<&'static str>,
    /// The longest line of a text.
    pub width: u16,
    /// Whether a text shows all that there is.
    pub all: bool,
    /// Whether CSV writes decimals with a comma.
    pub decimal_comma: bool,
    /// What separates the cells of CSV.
    pub delimiter: u8,
    /// Whether CSV begins with a byte order mark.
    pub bom: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self { table: None, width: WIDTH, all: false, decimal_comma: false, delimiter: b',', bom: false }
    }
}

/// The decimal marks.
const DECIMALS: [&str; 2] = ["comma", "point"];
/// What may separate the cells.
const DELIMITERS: [(&str, u8); 3] = [("comma", b','), ("semicolon", b';'), ("tab", b'\t')];

/// The parameters that are one of some words, as the document lists them.
#[must_use]
pub fn closed() -> [(&'static str, RefOr<Schema>); 2] {
    [("decimal", word_schema(DECIMALS)), ("delimiter", word_schema(DELIMITERS.map(|(word, _)| word)))]
}

/// Yes and no.
const FLAGS: [&str; 2] = ["true", "false"];

/// Reads the parameters of one address.
#[must_use]
#[derive(Debug)]
pub struct Reader<'a> {
    errors: &'a RequestErrors,
    tables: &'static [&'static str],
    options: Options,
    delimiter: Option<u8>,
    seen: BTreeSet<String>,
}

impl<'a> Reader<'a> {
    /// A reader of an answer that has these tables.
    pub fn new(errors: &'a RequestErrors, tables: &'static [&'static str]) -> Self {
        let options = Options { table: tables.first().copied(), ..Options::default() };
        Self { errors, tables, options, delimiter: None, seen: BTreeSet::new() }
    }

    /// The names of the parameters that it reads.
    pub fn names(&self) -> impl Iterator<Item = &'static str> {
        let table = (self.tables.len() > 1).then_some("table");
        ["width", "all", "decimal", "delimiter", "bom"].into_iter().chain(table)
    }

    /// Whether the parameter was given before, which is an error.
    pub fn is_repeated(&mut self, name: &str) -> bool {
        let is_repeated = !self.seen.insert(name.to_owned());
        if is_repeated {
            repeated(name, self.errors);
        }
        is_repeated
    }

    /// Takes one parameter; false if it is none of these.
    pub fn take(&mut self, name: &str, value: &str) -> bool {
        if !self.names().any(|known| known == name) {
            return false;
        }
        match name {
            "table" => self.options.table = self.word(name, value, self.tables).or(self.options.table),
            "width" => self.options.width = self.width(value).unwrap_or(WIDTH),
            "all" => self.options.all = self.word(name, value, &FLAGS) == Some("true"),
            "bom" => self.options.bom = self.word(name, value, &FLAGS) == Some("true"),
            "decimal" => self.options.decimal_comma = self.word(name, value, &DECIMALS) == Some("comma"),
            _ => {
                let word = self.word(name, value, &DELIMITERS.map(|(word, _)| word));
                let chosen = DELIMITERS.into_iter().find(|(known, _)| Some(*known) == word);
                self.delimiter = chosen.map(|(_, delimiter)| delimiter);
            }
        }
        true
    }

    /// What separates the cells, if it is said.
    #[must_use]
    pub const fn delimiter(&self) -> Option<u8> {
        self.delimiter
    }

    /// What was read.
    pub fn options(self) -> Options {
        let usual = if self.options.decimal_comma { b';' } else { b',' };
        let options = Options { delimiter: self.delimiter.unwrap_or(usual), ..self.options };
        if options.decimal_comma && options.delimiter == b',' {
            let detail = "A comma cannot be both the decimal mark and what separates the cells; leave out delimiter.";
            self.errors.push(JsonPath::root().field("delimiter"), ErrorCode::NotAllowedHere, detail);
        }
        options
    }

    fn width(&self, value: &str) -> Option<u16> {
        let (least, most) = WIDTHS;
        let width = value.parse::<u16>().ok().filter(|width| (least..=most).contains(width));
        if width.is_none() {
            let detail = format!("The width is a whole number from {least} to {most}, such as width={WIDTH}.");
            let mut error = self.errors.push(JsonPath::root().field("width"), ErrorCode::OutOfRange, detail);
            error.min(f64::from(least)).max(f64::from(most));
        }
        width
    }

    fn word(&self, name: &str, value: &str, words: &[&'static str]) -> Option<&'static str> {
        one_of(name, value, words, self.errors)
    }

    /// Notes a parameter that is none of these, nor of those that the address takes besides.
    pub fn unknown(&self, name: &str, besides: &[&'static str]) {
        let known: Vec<&str> = besides.iter().copied().chain(self.names()).collect();
        let advice = match name {
            "as" => "Name the form in the header Accept, as in \"Accept: text/csv\".",
            "table" => "This question has one table only; leave it out.",
            _ if besides.is_empty() && nearest(name, &known).is_none() => {
                "What is asked belongs in the body; here you can only say how the answer is written."
            }
            _ => return unknown(name, &known, self.errors),
        };
        unknown_but(name, advice, (&known, None), self.errors);
    }
}

/// Refuses every parameter, for what takes none; the key of an address is none.
///
/// # Errors
/// 422 with each of them.
pub fn refuse_all(query: &str) -> Result<(), Problem> {
    let errors = RequestErrors::query();
    for (name, _) in pairs(query).filter(|(name, _)| name != "key") {
        let detail = "This address takes no parameters; leave it out.";
        errors.push(JsonPath::root().field(&name), ErrorCode::UnknownParameter, detail);
    }
    if errors.is_empty() { Ok(()) } else { Err(Problem::errors(errors, &Node::Null)) }
}

impl Options {
    /// Reads the query of a question that is asked with a body.
    ///
    /// # Errors
    /// 422 with every parameter that is not known here: one that is dropped silently would mislead.
    pub fn read(query: &str, tables: &'static [&'static str]) -> Result<Self, Problem> {
        let errors = RequestErrors::query();
        let mut reader = Reader::new(&errors, tables);
        for (name, value) in given(query, &reader.names().collect::<Vec<_>>()) {
            if !reader.is_repeated(&name) && !reader.take(&name, &value) {
                reader.unknown(&name, &[]);
            }
        }
        let options = reader.options();
        if errors.is_empty() { Ok(options) } else { Err(Problem::errors(errors, &Node::Null)) }
    }
}
