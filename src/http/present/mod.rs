//! One description of an answer, and one renderer for each form of it: text, HTML, CSV, SVG, calendars.
//!
//! A question describes its answer once, as a [`Description`]: headings, sentences, lists, tables with named and typed columns,
//! series, tasks. A renderer knows nothing of questions.

pub mod calendar;
pub mod chart;
pub mod counted;
pub mod csv;
mod grid;
pub mod html;
mod isolated;
pub mod moments;
pub mod notes;
pub mod options;
pub mod table;
pub mod text;
mod unbroken;
pub mod units;
pub mod words;

pub use options::Options;
pub use table::{Cell, Column, Row, Rows, Table};

use super::output::skipped::{SkippedOut, how_many, in_words};
use super::output::{Answer, AssumptionOut, CautionOut, ExplanationOut};
use chart::Chart;
use std::collections::BTreeMap;

/// A part of a description, in the order in which it is read.
#[derive(Debug)]
pub enum Part {
    /// The heading of a section.
    Heading(String),
    /// The heading of one item within a section.
    Subheading(String),
    /// A paragraph; its first words may be stressed.
    Paragraph {
        /// The words to stress.
        stressed: String,
        /// What follows them.
        text: String,
    },
    /// Points, one after another.
    List(Vec<String>),
    /// What could be asked too: in words, and for a text, which those read who write requests, with what to send.
    Hint {
        /// In words, without a full stop.
        words: String,
        /// What to send.
        to_send: String,
    },
    /// Names, each with what is said of it: in one line of a page, one below another in a text.
    Lines(Vec<(String, Vec<String>)>),
    /// A table.
    Table(Table),
    /// Tasks to tick off.
    Tasks(Vec<TaskLine>),
    /// A chart.
    Chart(Chart),
    /// Tasks below the headings of their weeks, for pages only.
    Plan {
        /// What is written above them.
        heading: &'static str,
        /// The weeks in which there are any.
        weeks: Vec<(String, Vec<TaskLine>)>,
    },
    /// Labels to cut out, for pages only.
    Labels(Vec<Label>),
    /// Tables to write in, for pages only.
    ToFillIn {
        /// What is written above them.
        heading: &'static str,
        /// What to do with them.
        about: &'static str,
        /// One for each bed.
        tables: Vec<TableToFillIn>,
    },
    /// What follows are details, which a short text leaves out.
    Details,
}

/// A task to tick off.
#[derive(Debug)]
pub struct TaskLine {
    /// When it is done.
    pub when: String,
    /// What is done, where, and with how much.
    pub what: String,
    /// The item of the request that it is for, as a pointer; empty where it is for none.
    pub item: String,
    /// The rules of the cautions that are about it.
    pub cautions: Vec<&'static str>,
    /// What to mind with it.
    pub mind: Vec<String>,
}

/// A label to cut out: of a lot, or of a place that gets castings.
#[derive(Debug)]
pub struct Label {
    /// Its name.
    pub name: String,
    /// Amount, containers, dates: one on a line.
    pub lines: Vec<String>,
}

/// A table to write in, of one bed.
#[derive(Debug)]
pub struct TableToFillIn {
    /// The name of the bed.
    pub name: String,
    /// Its parts, one below another.
    pub sections: Vec<SectionToFillIn>,
}

/// A part of a table to write in: what is planned, and beside it empty cells.
#[derive(Debug)]
pub struct SectionToFillIn {
    /// The heading of each column.
    pub columns: [&'static str; 5],
    /// The first two cells of each row; the others are empty.
    pub rows: Vec<[String; 2]>,
}

/// An answer, described once for every form.
#[must_use]
#[derive(Debug)]
pub struct Description<'a> {
    /// What the answer is called.
    pub title: String,
    /// What is written beside that, in smaller print; may be empty.
    pub subtitle: String,
    /// Its parts.
    pub parts: Vec<Part>,
    /// What the items of the request are called, by their pointers.
    pub items: BTreeMap<String, String>,
    /// The items that were left out, which its first parts tell.
    pub skipped: &'a [SkippedOut],
    /// What to mind.
    pub cautions: &'a [CautionOut],
    /// What was assumed.
    pub assumptions: &'a [AssumptionOut],
    /// How each figure is computed; empty unless the request asks for it.
    pub explanations: &'a [ExplanationOut],
}

impl<'a> Description<'a> {
    /// An answer's name, else its id, else its kind, with what every answer brings besides its figures.
    pub fn of<T>(answer: &'a Answer<T>, kind: &str) -> Self {
        Self {
            title: answer.name_or_id().unwrap_or(kind).to_owned(),
            subtitle: String::new(),
            parts: left_out(&answer.skipped),
            items: BTreeMap::new(),
            skipped: &answer.skipped,
            cautions: &answer.cautions,
            assumptions: &answer.assumptions,
            explanations: answer.explanations.as_deref().unwrap_or_default(),
        }
    }

    /// Adds the heading of a section.
    pub fn heading(&mut self, text: impl Into<String>) {
        self.parts.push(Part::Heading(text.into()));
    }

    /// Adds a paragraph.
    pub fn paragraph(&mut self, text: impl Into<String>) {
        self.stressed("", text);
    }

    /// Adds a paragraph whose first words are stressed.
    pub fn stressed(&mut self, stressed: impl Into<String>, text: impl Into<String>) {
        self.parts.push(Part::Paragraph { stressed: stressed.into(), text: text.into() });
    }

    /// Adds a table below the heading of a section; an empty one has no heading.
    pub fn section(&mut self, heading: &str, table: Table) {
        if table.rows.iter().any(|row| !row.is_data) {
            self.heading(heading);
        }
        self.table(table);
    }

    /// Adds a table, and its items to those that cautions may be about.
    pub fn table(&mut self, table: Table) {
        for row in table.rows.iter().filter(|row| !row.pointer.is_empty() && !row.name.is_empty()) {
            self.items.entry(row.pointer.clone()).or_insert_with(|| row.name.clone());
        }
        self.parts.push(Part::Table(table));
    }

    /// The paragraphs before its first heading and its first table: the answer in a sentence or two.
    pub fn beginning(&self) -> impl Iterator<Item = String> {
        let is_before = |part: &&Part| matches!(part, Part::Paragraph { .. } | Part::List(_));
        self.parts.iter().take_while(is_before).filter_map(|part| match part {
            Part::Paragraph { stressed, text } => Some(format!("{stressed} {text}").trim().to_owned()),
            _ => None,
        })
    }

    /// The chart.
    #[must_use]
    pub fn chart(&self) -> Option<&Chart> {
        self.parts.iter().find_map(|part| if let Part::Chart(chart) = part { Some(chart) } else { None })
    }

    /// The tables.
    pub fn tables(&self) -> impl Iterator<Item = &Table> {
        self.parts.iter().filter_map(|part| match part {
            Part::Table(table) => Some(table),
            _ => None,
        })
    }
}

/// The most errors of items that were left out that readers see; data has all.
const MAX_ERRORS: usize = 20;

/// How many items were left out, and what is wrong with them; nothing where there are none.
fn left_out(skipped: &[SkippedOut]) -> Vec<Part> {
    if skipped.is_empty() {
        return Vec::new();
    }
    let all = in_words(skipped).count();
    let more = all.saturating_sub(MAX_ERRORS);
    let mut errors: Vec<String> = in_words(skipped).take(MAX_ERRORS).map(str::to_owned).collect();
    errors.extend((more > 0).then(|| format!("and {more} more errors")));
    let first = Part::Paragraph { stressed: format!("{}:", how_many(skipped.len())), text: String::new() };
    vec![first, Part::List(errors)]
}

/// The item of a list that a pointer leads to or into: `/areas/2` of `/areas/2/rate`.
fn item_of(pointer: &str) -> &str {
    let end = pointer.match_indices('/').nth(2).map_or(pointer.len(), |(end, _)| end);
    pointer.get(..end).unwrap_or(pointer)
}
