//! Tables as text: columns that are empty throughout are left out, a unit that is the same all the way down moves into the head,
//! numbers are at the right and are never broken, words are wrapped and never cut. A table that does not fit becomes a list of
//! its rows.

use super::counted::containers;
use super::moments::{local, offset};
use super::table::{Cell, For, Kind, Row, Table};
use super::unbroken::{NO_BREAK, unbroken};
use super::words::{clean, day, number, range};
use crate::garden::interrupt::check;
use comfy_table::presets::NOTHING;
use comfy_table::{CellAlignment, Column, ColumnConstraint, ContentArrangement, LineStyle, Width};

/// The narrowest column of words that are longer than that.
const WORDS: usize = 10;
/// The longest word for which a column is kept wide enough; longer ones are broken.
const WORD: usize = 28;
/// The room that running text beside a name needs.
const READABLE: u16 = 30;
/// The share of the width that a name may take which leaves less, as a fraction.
const NAME: (u16, u16) = (2, 5);
/// The white space between columns.
const GAP: u16 = 2;

/// A quantity ready for a cell.
#[derive(Debug, Default)]
struct Shown {
    /// `28.8`
    digits: String,
    /// ` (21.6–43.2)`
    range: String,
    /// `kg`
    unit: String,
}

impl Shown {
    fn new(cell: &Cell, ranges: bool) -> Self {
        let plain = |digits: String| Self { digits, ..Self::default() };
        match cell.read() {
            Cell::Nothing | Cell::Either(..) => Self::default(),
            Cell::Text(text) => plain(clean(text)),
            Cell::Phrases(list) => plain(clean(&Cell::phrases(list, |number| number))),
            Cell::Count(count) => plain(count.to_string()),
            Cell::Containers(list) => plain(containers(list.iter()).map(|text| clean(&text)).unwrap_or_default()),
            Cell::Date(date) => plain(day(*date)),
            Cell::Moment(at) => Self { digits: local(*at), range: String::new(), unit: offset(*at) },
            Cell::Quantity(quantity) => Self {
                digits: number(quantity),
                range: if ranges { range(quantity) } else { String::new() },
                unit: clean(&quantity.unit),
            },
        }
    }
}

/// A column as text.
struct Written {
    head: &'static str,
    /// The unit of all its numbers, which is in the head; empty where they differ.
    unit: String,
    is_number: bool,
    /// Whether its cells are never broken: numbers and ids.
    is_whole: bool,
    cells: Vec<String>,
}

impl Written {
    /// The length of the longest word in it.
    fn longest_word(&self) -> usize {
        let texts = self.cells.iter().map(String::as_str).chain([self.head, self.unit.as_str()]);
        texts.flat_map(str::split_whitespace).map(|word| word.chars().count()).max().unwrap_or(0).min(WORD)
    }
}

/// A table as text.
#[must_use]
#[derive(Debug, Default)]
pub struct Laid {
    /// The lines.
    pub text: String,
    /// Whether there was no room for all ranges.
    pub without_ranges: bool,
}

/// These rows of a table in lines no longer than `width`; nothing where there are none. Where there is no room, ranges go under their
/// values. Then, unless `all` is wanted, columns are left out whose figures follow from others, then all ranges but those of the main
/// columns. Then each row becomes a list.
pub fn table(of: &Table, rows: &[&Row], (width, all): (u16, bool)) -> Laid {
    let written = |ranges: bool, spare: bool| -> Vec<Written> {
        let places = of.columns.iter().enumerate();
        let read = places.filter(|(_, column)| all || (column.audience == For::Everyone && (spare || !column.if_room)));
        read.filter_map(|(place, _)| column(of, rows, (place, ranges))).collect()
    };
    let columns = written(true, true);
    let laid = |text| Laid { text, without_ranges: false };
    if let Some(text) = wide(&columns, width).or_else(|| narrow(&columns, width)) {
        return laid(text);
    }
    if all {
        return laid(listed(&columns, width));
    }
    let fewer = narrow(&written(true, false), width).map(|text| Laid { text, without_ranges: false });
    let plain = || narrow(&written(false, false), width).map(|text| Laid { text, without_ranges: true });
    fewer.or_else(plain).unwrap_or_else(|| laid(listed(&columns, width)))
}

/// The table with each row in one line, if that fits.
fn wide(columns: &[Written], width: u16) -> Option<String> {
    let wide = laid_out(columns, false);
    (natural_width(&wide) <= usize::from(width)).then(|| wide.trim_fmt())
}

/// The table with ranges under their values and words in several lines, if that fits.
fn narrow(columns: &[Written], width: u16) -> Option<String> {
    let mut narrow = laid_out(columns, true);
    if least_width(&narrow, columns) > usize::from(width) {
        return None;
    }
    narrow.set_content_arrangement(ContentArrangement::Dynamic).set_width(width);
    Some(narrow.trim_fmt())
}

/// One column as text; none when all its cells are empty or it is not for readers. Without `ranges` only a main column has them.
fn column(of: &Table, rows: &[&Row], (place, ranges): (usize, bool)) -> Option<Written> {
    let column = of.columns.get(place)?;
    let head = column.heading?;
    let ranges = ranges || column.is_main;
    let cells: Vec<Shown> = rows.iter().map(|row| Shown::new(of.cell(row, place), ranges)).collect();
    let mut units = cells.iter().filter(|cell| !cell.digits.is_empty()).map(|cell| cell.unit.as_str());
    let unit = units.next()?;
    let same = units.all(|other| other == unit);
    let in_head = if same { unit.to_owned() } else { String::new() };
    let text = |cell: &Shown| {
        let unit = if same { "" } else { cell.unit.as_str() };
        format!("{}{} {unit}", cell.digits, cell.range).trim_end().to_owned()
    };
    let cells = cells.iter().map(text).collect();
    let is_whole = column.kind.is_number() || column.kind == Kind::Id;
    Some(Written { head, unit: in_head, is_number: column.kind.is_number(), is_whole, cells })
}

fn laid_out(columns: &[Written], fold: bool) -> comfy_table::Table {
    let mut table = plain();
    table.style_mut().header_separator = LineStyle::none().fill('─');
    // Where there is room, a unit is beside its heading.
    let line = if fold { "\n" } else { " " };
    let head =
        |column: &Written| format!("{}{line}{}", column.head.replace('\n', line), column.unit).trim_end().to_owned();
    table.set_header(columns.iter().map(head));
    let depth = columns.iter().map(|column| column.cells.len()).max().unwrap_or(0);
    for line in 0..depth {
        check();
        table.add_row(columns.iter().map(|column| {
            let cell = column.cells.get(line).map(String::as_str).unwrap_or_default();
            if fold && column.is_number { cell.replacen(" (", "\n(", 1) } else { cell.to_owned() }
        }));
    }
    for (place, (column, written)) in table.column_iter_mut().zip(columns).enumerate() {
        column.set_padding((if place == 0 { 0 } else { GAP }, 0));
        if written.is_number {
            column.set_cell_alignment(CellAlignment::Right);
        }
        column.set_constraint(if written.is_whole {
            ColumnConstraint::ContentWidth
        } else {
            let least = u16::try_from(written.longest_word()).unwrap_or(u16::MAX);
            ColumnConstraint::LowerBoundary(Width::Fixed(least.saturating_add(column.padding_width())))
        });
    }
    table
}

/// A row as a list of its cells, below the first.
fn listed(columns: &[Written], width: u16) -> String {
    let Some((first, rest)) = columns.split_first() else { return String::new() };
    let one = |(line, name): (usize, &String)| {
        let filled = rest.iter().filter_map(|column| Some((column, column.cells.get(line)?)));
        let filled = filled.filter(|(_, cell)| !cell.is_empty());
        let rows: Vec<Vec<String>> = filled
            .map(|(column, cell)| {
                let cell = format!("{cell} {}", column.unit).trim_end().to_owned();
                vec![String::new(), column.head.replace('\n', " "), cell]
            })
            .collect();
        [paragraphs(&[vec![name.clone()]], 0, width), paragraphs(&rows, GAP, width)].join("\n").trim_end().to_owned()
    };
    first.cells.iter().enumerate().map(one).collect::<Vec<_>>().join("\n")
}

/// Words in columns without heads or lines: the last column is wrapped, and the others are too where they leave it no room. A number stays
/// with its unit. `gap` is the white space between columns.
#[must_use]
pub fn paragraphs(rows: &[Vec<String>], gap: u16, width: u16) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let mut table = plain();
    table.set_content_arrangement(ContentArrangement::Dynamic).set_width(width);
    for row in rows {
        table.add_row(row.iter().map(|words| unbroken(words)));
    }
    let widths = table.column_max_content_widths();
    let Some((words, before)) = widths.split_last() else { return String::new() };
    let taken = before.iter().fold(0_u16, |sum, width| sum.saturating_add(*width).saturating_add(gap));
    let is_tight = width.saturating_sub(taken) < READABLE.min(*words);
    for (place, column) in table.column_iter_mut().enumerate() {
        column.set_padding((if place == 0 { 0 } else { gap }, 0));
        if place < before.len() {
            let most = width.saturating_mul(NAME.0) / NAME.1;
            column.set_constraint(if is_tight {
                ColumnConstraint::UpperBoundary(Width::Fixed(most))
            } else {
                ColumnConstraint::ContentWidth
            });
        }
    }
    table.trim_fmt().replace(NO_BREAK, " ")
}

fn plain() -> comfy_table::Table {
    let mut table = comfy_table::Table::new();
    table.load_style(NOTHING).set_content_arrangement(ContentArrangement::Disabled);
    table
}

fn padding(table: &comfy_table::Table) -> usize {
    table.column_iter().map(Column::padding_width).map(usize::from).sum()
}

fn natural_width(table: &comfy_table::Table) -> usize {
    let widths = table.column_max_content_widths();
    widths.into_iter().map(usize::from).sum::<usize>().saturating_add(padding(table))
}

/// The width below which words would be broken or numbers not fit.
fn least_width(table: &comfy_table::Table, columns: &[Written]) -> usize {
    let widths = table.column_max_content_widths().into_iter().map(usize::from).zip(columns);
    let least =
        widths.map(|(width, column)| if column.is_whole { width } else { column.longest_word().max(width.min(WORDS)) });
    least.sum::<usize>().saturating_add(padding(table))
}

#[cfg(test)]
mod tests {
    use super::super::table::{Column, Rows};
    use super::*;
    use crate::http::output::{Number, QuantityOut};

    fn quantity(value: f64, bounds: Option<(f64, f64)>, unit: &str) -> QuantityOut {
        QuantityOut {
            value: Number::rounded(value),
            low: bounds.map(|(low, _)| Number::rounded(low)),
            high: bounds.map(|(_, high)| Number::rounded(high)),
            unit: unit.to_owned().into(),
            node: 0,
        }
    }

    /// Names with a volume and a mass; the last column stays empty.
    fn written(rows: Vec<(&'static str, QuantityOut, QuantityOut)>, width: u16, all: bool) -> Laid {
        let rows = Rows::of(rows, ["row", "rows"])
            .column(Column::words("", "place"), |row| row.0)
            .column(Column::shown("take"), |row| Cell::from(&row.1))
            .column(Column::quantity("mass", "by mass", "kg").bounded().main(), |row| Cell::from(&row.2))
            .column(Column::words("", "nothing"), |_| Cell::Nothing)
            .done();
        table(&rows, &rows.rows.iter().collect::<Vec<_>>(), (width, all))
    }

    fn beds() -> Vec<(&'static str, QuantityOut, QuantityOut)> {
        vec![
            ("carrot rows", quantity(48.0, Some((40.0, 60.0)), "L"), quantity(28.8, Some((21.6, 43.2)), "kg")),
            ("salad", quantity(57.6, Some((50.0, 70.0)), "L"), quantity(34.56, None, "kg")),
        ]
    }

    #[test]
    fn a_unit_that_all_numbers_share_is_in_the_head_and_empty_columns_are_left_out() {
        let wide = written(beds(), 80, false);
        let lines: Vec<&str> = wide.text.lines().collect();
        let words = |line: &str| line.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        assert_eq!(words(lines[0]), ["place", "take", "L", "by", "mass", "kg"]);
        assert_eq!(words(lines[2]), ["carrot", "rows", "48", "(40–60)", "28.8", "(21.6–43.2)"]);
        assert!(!wide.without_ranges);
    }

    #[test]
    fn mixed_units_stay_with_their_numbers() {
        let mut rows = beds();
        rows[1].1 = quantity(16.97, None, "ft3");
        let wide = written(rows, 80, false).text;
        assert!(wide.contains("17 ft3") && wide.contains("48 (40–60) L"), "{wide}");
    }

    #[test]
    fn without_room_ranges_go_below_then_only_the_main_ones_stay_then_rows_become_lists() {
        let folded = written(beds(), 40, false);
        assert!(
            !folded.without_ranges && folded.text.contains("\n") && folded.text.contains("(40–60)"),
            "{}",
            folded.text
        );
        let plain = written(beds(), 30, false);
        assert!(plain.without_ranges && !plain.text.contains("(40–60)"), "{}", plain.text);
        assert!(plain.text.contains("(21.6–43.2)"), "{}", plain.text);
        let complete = written(beds(), 30, true);
        assert!(complete.text.contains("take     48 (40–60) L"), "{}", complete.text);
        for (laid, width) in [(folded, 40), (plain, 30), (complete, 30)] {
            assert!(laid.text.lines().all(|line| line.chars().count() <= width), "{}", laid.text);
        }
    }

    #[test]
    fn words_are_wrapped_and_never_cut_unless_they_are_too_long_for_any_column() {
        let mut rows = beds();
        rows[0].0 = "a row of carrots beside the unmistakable hedge";
        let text = written(rows.clone(), 40, false).text;
        assert!(text.contains("unmistakable") && text.contains("carrots"), "{text}");
        let endless: &'static str = Box::leak("x".repeat(200).into_boxed_str());
        rows[0].0 = endless;
        let text = written(rows, 60, false).text;
        assert!(text.lines().all(|line| line.chars().count() <= 60), "{text}");
        assert_eq!(text.matches('x').count(), 200);
    }

    #[test]
    fn a_long_name_leaves_room_for_what_is_said_of_it() {
        let said = "22 Apr 2027 (19 Mar–1 Jun): 297 L (216–381)";
        for (width, length) in [(40, 12), (40, 30), (60, 55), (80, 76), (80, 300), (96, 94), (96, 100)] {
            for name in ["x".repeat(length), "bed by the wall ".repeat(length / 16 + 1)] {
                let text = paragraphs(&[vec![name.clone(), said.to_owned()]], GAP, width);
                assert!(text.lines().all(|line| line.chars().count() <= usize::from(width)), "{text}");
                assert!(said.split(' ').all(|word| text.contains(word)), "{width} {length}: {text}");
                assert_eq!(text.matches('x').count(), name.matches('x').count(), "{text}");
            }
        }
        assert_eq!(paragraphs(&[vec!["bed".to_owned(), "wet".to_owned()]], GAP, 80), "bed  wet");
    }

    #[test]
    fn a_table_without_rows_is_nothing() {
        assert_eq!(written(Vec::new(), 80, false).text, "");
    }
}
