//! An answer as plain text: lines no longer than asked, tables that fit, and a word on all that is left out. It is safe on a
//! terminal.

use super::options::Options;
use super::table::{For, Row, Table};
use super::words::clean;
use super::{Description, Part, chart, grid, notes};

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
    };
    writer.block(&wrapped(&description.title, options.width));
    for part in &description.parts {
        writer.part(part);
    }
    writer.ending(description);
    writer.text
}

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
}

impl Writer {
    fn part(&mut self, part: &Part) {
        match part {
            Part::Heading(text) | Part::Subheading(text) => {
                self.block(&wrapped(text, self.width));
                self.is_open = true;
            }
            Part::Paragraph { stressed, text } => self.block(&wrapped(&format!("{stressed} {text}"), self.width)),
            Part::List(points) => {
                let rows = points.iter().map(|point| vec!["-".to_owned(), clean(point)]).collect::<Vec<_>>();
                self.block(&grid::paragraphs(&rows, 1, self.width.min(TEXT)));
            }
            Part::Chart(of) if self.all => self.block(&wrapped(&chart::words(of), self.width)),
            Part::Chart(_) => self.leave_out(1, ["chart", "charts"]),
            Part::Table(table) if table.audience == For::Data => {}
            Part::Table(table) if self.all || table.audience == For::Everyone => self.table(table),
            Part::Table(table) => self.leave_out(table.rows.len(), table.rows_are),
        }
    }

    /// Adds a paragraph or a table, and an empty line before it unless it stands below its heading.
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
        let rows = table.rows.iter().filter(|row| !row.is_data);
        let (shown, later): (Vec<&Row>, Vec<&Row>) = rows.partition(|row| self.all || !row.is_later);
        if !shown.is_empty() {
            self.block(&wrapped(table.caption, self.width));
        }
        let laid = grid::table(table, &shown, (self.width, self.all));
        self.block(&laid.text);
        self.without_ranges |= laid.without_ranges;
        self.leave_out(later.len(), table.rows_are);
    }

    fn leave_out(&mut self, count: usize, names: [&str; 2]) {
        let known = self.left_out.iter_mut().find(|(known, _)| known.each_ref() == names.each_ref());
        match known {
            Some((_, sum)) => *sum += count,
            None => self.left_out.push((names.map(str::to_owned), count)),
        }
    }

    /// What to mind, how figures came about, what was assumed, and what is left out.
    fn ending(&mut self, description: &Description<'_>) {
        let line = |caution: &crate::http::output::CautionOut| {
            let places = notes::places(caution, description);
            let places = if places.is_empty() { places } else { format!(" [{places}]") };
            let source = if self.all { format!(" ({})", caution.source) } else { String::new() };
            vec![caution.severity.to_owned(), clean(&format!("{}{places}{source}", caution.in_words()))]
        };
        let cautions: Vec<Vec<String>> = description.cautions.iter().map(line).collect();
        self.block(&grid::paragraphs(&cautions, 2, self.width.min(TEXT)));
        if self.all {
            self.notes(description);
            return;
        }
        let explanations = notes::explanations(description.explanations);
        self.leave_out(explanations.rows.len(), explanations.rows_are);
        let (all, defaults) = (description.assumptions.len(), defaults(description));
        self.leave_out(all, [&format!("assumption ({defaults})"), &format!("assumptions ({defaults})")]);
        let left_out = self.left_out();
        if !left_out.is_empty() {
            self.block(&wrapped(&format!("Left out here: {left_out}; all=true (ask: --all) shows all."), self.width));
        }
    }

    fn left_out(&self) -> String {
        let some = self.left_out.iter().filter(|(_, count)| *count > 0);
        let counted = some.map(|([one, several], count)| match count {
            1 => format!("1 {one}"),
            count => format!("{count} {several}"),
        });
        let ranges = self.without_ranges.then(|| "some ranges".to_owned());
        counted.chain(ranges).collect::<Vec<_>>().join(", ")
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

/// How many of the assumptions are defaults.
fn defaults(description: &Description<'_>) -> String {
    let all = description.assumptions.len();
    match (all, description.assumptions.iter().filter(|assumed| assumed.set_by == "default").count()) {
        (1, 0) => "not a default".to_owned(),
        (1, _) => "a default".to_owned(),
        (_, 0) => "none of them defaults".to_owned(),
        (all, defaults) if all == defaults => "all of them defaults".to_owned(),
        (_, 1) => "1 of them a default".to_owned(),
        (_, defaults) => format!("{defaults} of them defaults"),
    }
}

/// A paragraph in lines.
fn wrapped(text: &str, width: u16) -> String {
    grid::paragraphs(&[vec![clean(text)]], 0, width.min(TEXT))
}
