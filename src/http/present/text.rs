//! An answer as plain text: lines no longer than asked, tables that fit, and a word on all that is left out. It is safe on a
//! terminal.

use super::options::Options;
use super::table::{For, Row, Table};
use super::words::clean;
use super::{Description, Part, TaskLine, chart, grid, item_of, notes};
use crate::garden::assumptions::SetBy;
use crate::garden::cautions::Severity;
use crate::http::output::CautionOut;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// The widest running text, however wide the page is.
const TEXT: u16 = 96;

/// The text.
#[must_use]
pub fn render(description: &Description<'_>, options: &Options) -> String {
    let mut writer = Writer {
        width: options.width,
        all: options.all,
        text: String::new(),
        is_open: false,
        left_out: Vec::new(),
        without_ranges: false,
        is_cut: false,
    };
    let subtitle = Some(&description.subtitle).filter(|text| !text.is_empty()).map(|text| format!(" ({text})"));
    writer.block(&wrapped(&format!("{}{}", description.title, subtitle.unwrap_or_default()), options.width));
    writer.is_open = true;
    for part in &description.parts {
        writer.part(part);
    }
    writer.ending(description);
    writer.text
}

/// How many kinds of what is left out are named.
const NAMED: usize = 2;

/// How to see what is left out: with the parameter of the address, or with the option of the client.
const ALL: &str = "see all=true, ask --all.";

/// A text in the making.
struct Writer {
    width: u16,
    all: bool,
    text: String,
    /// Whether a heading waits for what it heads.
    is_open: bool,
    /// What is left out: what one of it is called, and several, and how many.
    left_out: Vec<([String; 2], usize)>,
    without_ranges: bool,
    /// Whether only details follow, in a text that leaves them out.
    is_cut: bool,
}

impl Writer {
    fn part(&mut self, part: &Part) {
        match part {
            Part::Plan { .. } | Part::Labels(_) | Part::ToFillIn { .. } => {}
            Part::Details => self.is_cut = !self.all,
            Part::Table(table) if self.is_cut && table.audience != For::Data => {
                let rows = table.rows.iter().filter(|row| !row.is_data && !row.is_sum);
                self.leave_out(rows.count(), table.rows_are);
            }
            Part::Chart(_) if self.is_cut => self.leave_out(1, ["chart", "charts"]),
            _ if self.is_cut => {}
            Part::Heading(text) | Part::Subheading(text) => {
                self.block(&wrapped(text, self.width));
                self.is_open = true;
            }
            Part::Paragraph { stressed, text } => self.block(&wrapped(&format!("{stressed} {text}"), self.width)),
            Part::List(points) => {
                let rows = points.iter().map(|point| vec!["-".to_owned(), clean(point)]).collect::<Vec<_>>();
                self.block(&grid::paragraphs(&rows, 1, self.width.min(TEXT)));
            }
            Part::Hint { words, to_send } => self.block(&wrapped(&format!("{words}: {to_send}."), self.width)),
            Part::Lines(lines) => {
                let rows: Vec<Vec<String>> = lines.iter().flat_map(named_lines).collect();
                self.block(&grid::paragraphs(&rows, 2, self.width.min(TEXT)));
            }
            Part::Tasks(tasks) => {
                let rows: Vec<Vec<String>> = tasks.iter().flat_map(task_line).collect();
                self.block(&grid::paragraphs(&rows, 2, self.width.min(TEXT)));
            }
            Part::Chart(of) if self.all => self.block(&wrapped(&chart::words(of), self.width)),
            Part::Chart(_) => self.leave_out(1, ["chart", "charts"]),
            Part::Table(table) if table.audience == For::Data => {}
            Part::Table(table) if self.all || table.audience == For::Everyone => self.table(table),
            Part::Table(table) => self.leave_out(table.rows.len(), table.rows_are),
        }
    }

    /// Adds a paragraph or a table, and an empty line before it unless it is below its heading.
    fn block(&mut self, block: &str) {
        if block.is_empty() {
            return;
        }
        if !self.text.is_empty() && !self.is_open {
            self.text.push('\n');
        }
        self.is_open = false;
        self.text += block;
        self.text.push('\n');
    }

    fn table(&mut self, table: &Table) {
        let shown: Vec<&Row> = table.rows.iter().filter(|row| !row.is_data).collect();
        if !shown.is_empty() {
            self.block(&wrapped(table.caption, self.width));
        }
        let laid = grid::table(table, &shown, (self.width, self.all));
        self.block(&laid.text);
        self.without_ranges |= laid.without_ranges;
    }

    fn leave_out(&mut self, count: usize, names: [&str; 2]) {
        let same_columns = self.left_out.iter_mut().find(|(columns, _)| columns.each_ref() == names.each_ref());
        match same_columns {
            Some((_, sum)) => *sum += count,
            None => self.left_out.push((names.map(str::to_owned), count)),
        }
    }

    /// What to mind, how figures came about, what was assumed, and what is left out.
    fn ending(&mut self, description: &Description<'_>) {
        let mut rows = self.cautions(description);
        if !self.all {
            rows.extend(self.all_left_out(description));
        }
        self.block(&grid::paragraphs(&rows, 2, self.width.min(TEXT)));
        if self.all {
            self.notes(description);
        }
    }

    /// What is left out, as a line below the cautions.
    fn all_left_out(&mut self, description: &Description<'_>) -> Option<Vec<String>> {
        // What the figures depend on is named before other details.
        let other = std::mem::take(&mut self.left_out);
        let (all, defaults) = (description.assumptions.len(), defaults(description));
        self.leave_out(all, [&format!("assumption ({defaults})"), &format!("assumptions ({defaults})")]);
        self.leave_out(description.explanations.len(), ["explanation", "explanations"]);
        self.leave_out(description.cautions.len(), ["text of a caution", "texts of cautions"]);
        self.left_out.extend(other);
        let left_out = self.left_out();
        (!left_out.is_empty()).then(|| vec!["left out".to_owned(), format!("{left_out}: {ALL}")])
    }

    /// In a short text the headings, those of one severity together; else each with its text and source.
    fn cautions(&self, description: &Description<'_>) -> Vec<Vec<String>> {
        let about = |caution: &CautionOut| {
            let places = notes::places(caution, description);
            if places.is_empty() { places } else { format!(" [{places}]") }
        };
        let line = |caution: &CautionOut| {
            let source = caution.source.map(|source| format!(" ({source})")).unwrap_or_default();
            let text = format!("{}{}{source}", caution.in_words(), about(caution));
            vec![caution.severity.to_owned(), clean(&text)]
        };
        let together = |list: &[CautionOut]| {
            let mut by_place: Vec<(String, Vec<&str>)> = Vec::new();
            for caution in list {
                let place = about(caution);
                match by_place.iter_mut().find(|(known, _)| *known == place) {
                    Some((_, headings)) => headings.push(caution.heading),
                    None => by_place.push((place, vec![caution.heading])),
                }
            }
            let headings = by_place.iter().map(|(place, headings)| format!("{}{place}", headings.join("; ")));
            let severity = list.first().map(|caution| caution.severity.to_owned()).unwrap_or_default();
            vec![severity, clean(&format!("{}.", headings.collect::<Vec<_>>().join("; ")))]
        };
        let mut sorted = if self.all { description.cautions.to_vec() } else { beside_tasks(description) };
        sorted.sort_by_key(|caution| Severity::find(caution.severity).map(Reverse));
        if self.all {
            return sorted.iter().map(line).collect();
        }
        sorted.chunk_by(|one, next| one.severity == next.severity).map(together).collect()
    }

    fn left_out(&self) -> String {
        let some = self.left_out.iter().filter(|(_, count)| *count > 0);
        let counted = some.map(|([one, several], count)| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {several}"),
        });
        let ranges = self.without_ranges.then(|| "some ranges".to_owned());
        let mut all: Vec<String> = counted.chain(ranges).collect();
        if all.len() > NAMED {
            all.truncate(NAMED);
            all.push("more".to_owned());
        }
        all.join(", ")
    }

    fn notes(&mut self, description: &Description<'_>) {
        if !description.explanations.is_empty() {
            self.part(&Part::Heading("How it is computed".to_owned()));
            self.part(&Part::Paragraph { stressed: String::new(), text: notes::OF_FORMULAS.to_owned() });
            self.table(&notes::explanations(description.explanations));
        }
        if !description.assumptions.is_empty() {
            self.part(&Part::Heading("Assumptions".to_owned()));
            self.table(&notes::assumptions(description.assumptions));
        }
    }
}

/// The cautions that are not shown with a task: those about other items keep these.
fn beside_tasks(description: &Description<'_>) -> Vec<CautionOut> {
    let tasks = description.parts.iter().filter_map(|part| match part {
        Part::Tasks(tasks) => Some(tasks),
        _ => None,
    });
    let mut named: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for task in tasks.flatten() {
        task.cautions.iter().for_each(|rule| {
            named.entry(rule).or_default().insert(&task.item);
        });
    }
    let left = |caution: &CautionOut| {
        let Some(items) = named.get(caution.rule) else { return Some(caution.clone()) };
        let at: Vec<String> = caution.at.iter().filter(|at| !items.contains(item_of(at))).cloned().collect();
        (!at.is_empty()).then(|| CautionOut { at, ..caution.clone() })
    };
    description.cautions.iter().filter_map(left).collect()
}

/// A name in one column, and what is said of it below one another in the other.
fn named_lines((name, texts): &(String, Vec<String>)) -> Vec<Vec<String>> {
    let names = std::iter::once(clean(name)).chain(std::iter::repeat(String::new()));
    names.zip(texts).map(|(name, text)| vec![name, clean(text)]).collect()
}

/// A task in two columns, and what to mind below it.
fn task_line(task: &TaskLine) -> Vec<Vec<String>> {
    let mut rows = vec![vec![task.when.clone(), clean(&task.what)]];
    if !task.mind.is_empty() {
        let mind = task.mind.join("; ");
        let mind = if mind.starts_with("Warning: ") { mind } else { format!("mind: {mind}") };
        rows.push(vec![String::new(), clean(&mind)]);
    }
    rows
}

/// How many of the assumptions are defaults.
fn defaults(description: &Description<'_>) -> String {
    let all = description.assumptions.len();
    match (all, description.assumptions.iter().filter(|assumed| assumed.set_by == SetBy::Default.as_str()).count()) {
        (1, 0) => "not a default".to_owned(),
        (_, 0) => "no defaults".to_owned(),
        (_, 1) => "1 default".to_owned(),
        (_, defaults) => format!("{defaults} defaults"),
    }
}

/// A paragraph in lines.
fn wrapped(text: &str, width: u16) -> String {
    grid::paragraphs(&[vec![clean(text)]], 0, width.min(TEXT))
}
