//! The chart of ranges before and now: for each thing a thin line for its range before, a bar for its range now, and a dot for what came.

use super::axes::Scale;
use super::paper::{Drawn, LETTERS, RIGHT, WIDTH, at, clipped, narrower};
use super::{Compared, RangeOf, Ranges};
use maud::{Markup, html};

/// The place of the drawing on the paper.
const LEFT: f64 = 16.0;
const TOP: f64 = 58.0;
/// The room of one thing, with its words.
const ROW: f64 = 128.0;
/// How thick the bar of a range now is.
const THICK: f64 = 10.0;
/// The most things that are drawn.
const MAX_ROWS: usize = 40;
/// What is shown where there are no ranges.
const NOTHING: &str = "There is nothing to compare.";

/// Draws it: the paper, and what is on it.
pub fn draw(chart: &Ranges) -> Drawn {
    if chart.rows.is_empty() {
        return Drawn::nothing(NOTHING);
    }
    let shown = chart.rows.get(..MAX_ROWS).unwrap_or(&chart.rows);
    let tops = std::iter::successors(Some(TOP), |top| Some(top + ROW));
    let bottom = tops.clone().nth(shown.len()).unwrap_or(TOP);
    let more = left_out(chart);
    let markup = html! {
        text.quiet x="8" y=(TOP - 12.0) { (chart.what) }
        @for (row, top) in shown.iter().zip(tops) { (one(row, top)) }
        @if let Some(more) = &more { text.quiet x="8" y=(bottom + 16.0) { (more) } }
    };
    Drawn { width: WIDTH, height: bottom + if more.is_some() { 28.0 } else { 8.0 }, markup }
}

/// Draws it in parts, one for each thing but the first.
pub fn parts(chart: &Ranges) -> (Drawn, Vec<Drawn>) {
    let mut rows = chart.rows.iter().take(MAX_ROWS);
    let first = Ranges { what: chart.what, rows: rows.next().cloned().into_iter().collect() };
    let mut others: Vec<Drawn> = rows.map(|row| Drawn { width: WIDTH, height: ROW, markup: one(row, 0.0) }).collect();
    others.extend(left_out(chart).map(|more| {
        let markup = html! { text.quiet x="8" y="16" { (more) } };
        Drawn { width: WIDTH, height: 28.0, markup }
    }));
    (draw(&first), others)
}

/// How many are not drawn, where there are too many.
fn left_out(chart: &Ranges) -> Option<String> {
    let more = chart.rows.len().checked_sub(MAX_ROWS).filter(|more| *more > 0)?;
    Some(format!("and {more} more, which the table lists"))
}

/// The scale of one thing: from the least to the greatest of what is drawn of it.
fn scale(row: &Compared) -> Scale {
    let came = row.came.iter().map(|(value, _)| *value);
    let values = [&row.before, &row.now].into_iter().flat_map(|range| [range.low, range.high]).chain(came);
    let (low, high) = values.fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(value), high.max(value)));
    Scale { values: (low, high), places: (LEFT, RIGHT) }
}

/// Name, the range before, the range now, and what came.
fn one(row: &Compared, top: f64) -> Markup {
    let scale = scale(row);
    let room = RIGHT - LEFT;
    let (line, bar, dot) = (top + 45.0, top + 71.0, top + 76.0);
    // Figures are never cut off: where they are many, the letters are narrower.
    let text = |y: f64, what: &str, words: &str| {
        let words = format!("{what}: {words}");
        html! { text.halo.quiet x=(LEFT) y=(at(y)) textLength=[narrower(&words, room)] lengthAdjust=[narrower(&words, room).map(|_| "spacingAndGlyphs")] { (words) } }
    };
    html! {
        text.halo x=(LEFT) y=(at(top + 18.0)) { (clipped(&row.name, room, LETTERS)) }
        (text(top + 37.0, "before", &row.before.text))
        (thin(&row.before, &scale, line))
        (text(top + 64.0, "now", &row.now.text))
        (thick(&row.now, &scale, bar))
        @if let Some((value, words)) = &row.came {
            circle cx=(at(scale.at(*value))) cy=(at(dot)) r="4" fill="#111" {}
            (text(top + 98.0, "recorded", words))
        }
    }
}

/// A thin line from end to end with a mark in the middle.
fn thin(range: &RangeOf, scale: &Scale, y: f64) -> Markup {
    let [low, middle, high] = [range.low, range.middle, range.high].map(|value| at(scale.at(value)));
    let above = at(y - 4.0);
    html! { path.axis d=(format!("M{low} {}H{high}M{low} {above}v8M{middle} {above}v8M{high} {above}v8", at(y))) {} }
}

/// A bar from end to end with a mark in the middle.
fn thick(range: &RangeOf, scale: &Scale, y: f64) -> Markup {
    let (low, high) = (scale.at(range.low), scale.at(range.high));
    let middle = at(scale.at(range.middle));
    html! {
        rect.bar x=(at(low)) y=(at(y)) width=(at(high - low)) height=(THICK) {}
        path.axis d=(format!("M{middle} {}v{}", at(y - 2.0), THICK + 4.0)) {}
    }
}
