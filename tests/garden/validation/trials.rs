//! What was read: the rows of `trials.csv`.

use barrowful::garden::assumptions::Span;
use barrowful::garden::feeds::materials::Feedstock;
use barrowful::garden::units::Estimate;

/// How much a row says about the forecast.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A trial with worms, feed, ground and days: the forecast of a bed.
    Whole,
    /// A trial that reports one part of it.
    Partial,
    /// A trial that a default was taken from, or another reading of a row: shown, not counted.
    Own,
    /// Advice, not a trial: shown, not counted.
    Rule,
}

/// A value that print gives, or a range where it gives none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub span: Span,
    /// The material whose range it is.
    pub material: Option<&'static str>,
}

/// A row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub kind: Kind,
    pub id: String,
    pub question: String,
    /// As print has it: one figure, or two that bound it; none where it follows from the inputs.
    pub printed: Option<[f64; 2]>,
    pub inputs: Vec<(String, Input)>,
    pub quote: String,
    pub source: String,
    pub address: String,
    pub note: String,
}

impl Row {
    /// What print gives in place of an observed figure.
    #[track_caller]
    pub fn given(&self, name: &str) -> f64 {
        self.inputs.iter().find(|(other, _)| other == name).unwrap().1.span.likely
    }
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("{text:?} is no number"))
}

/// `0.09`, `24/27/30` or `moisture=@cattle_manure_fresh`.
fn input(name: &str, text: &str) -> Input {
    if let Some(id) = text.strip_prefix('@') {
        let material = Feedstock::find(id).unwrap_or_else(|| panic!("there is no material {id}"));
        let shares: Estimate<_> = match name {
            "moisture" => material.moisture(),
            "ash" => material.ash(),
            _ => panic!("a material has no {name}"),
        };
        return Input { span: shares.into(), material: Some(material.id) };
    }
    let span = match text.split('/').map(number).collect::<Vec<_>>()[..] {
        [only] => Span::exactly(only),
        [low, likely, high] => Span { low, likely, high },
        _ => panic!("{text:?} is neither a value nor low/likely/high"),
    };
    Input { span, material: None }
}

fn row(record: &csv::StringRecord) -> Row {
    let cell = |i: usize| record[i].to_owned();
    let kind = match &record[0] {
        "whole" => Kind::Whole,
        "partial" => Kind::Partial,
        "own" => Kind::Own,
        "rule" => Kind::Rule,
        other => panic!("{other:?} is no kind"),
    };
    let printed = match record[3].split('/').map(str::to_owned).collect::<Vec<_>>() {
        none if none == [""] => None,
        one if one.len() == 1 => Some([number(&one[0]); 2]),
        two => Some([number(&two[0]), number(&two[1])]),
    };
    let inputs = record[4].split_whitespace().map(|part| {
        let (name, text) = part.split_once('=').unwrap();
        (name.to_owned(), input(name, text))
    });
    Row {
        kind,
        id: cell(1),
        question: cell(2),
        printed,
        inputs: inputs.collect(),
        quote: cell(5),
        source: cell(6),
        address: cell(7),
        note: cell(8),
    }
}

/// Every row, in the order of the file.
pub fn trials() -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(include_bytes!("trials.csv").as_slice());
    reader.records().map(|record| row(&record.unwrap())).collect()
}
