//! The chart of amounts side by side: a bar to the likely amount, a thin line from bound to bound, and both in numbers.

use super::amounts::Amounts;
use super::axes::{Scale, round_numbers};
use super::in_words::NOTHING;
use super::paper::{Drawn, LETTERS, RIGHT, WIDTH, at, clipped};
use super::{Bar, Bars};
use maud::{Markup, html};

/// The place of the drawing on the paper.
const LEFT: f64 = 10.0;
const TOP: f64 = 62.0;
/// The room of one bar with the three lines above it.
const ROW: f64 = 92.0;
/// How thick a bar is.
const THICK: f64 = 14.0;
/// The most bars that are drawn.
const MAX_BARS: usize = 60;

/// Draws it: the paper, and what is on it.
pub fn draw(chart: &Bars) -> Drawn {
    if chart.bars.is_empty() {
        return Drawn::nothing(NOTHING);
    }
    let shown = chart.bars.get(..MAX_BARS).unwrap_or(&chart.bars);
    let left_out = chart.bars.len().saturating_sub(shown.len());
    let amounts = Amounts::of(chart);
    let top = shown.iter().map(|bar| bar.range.map_or(bar.value, |(_, high)| high.max(bar.value))).fold(0.0, f64::max);
    let scale = Scale { values: (0.0, if top > 0.0 { top } else { 1.0 }), places: (LEFT, RIGHT) };
    let bottoms = std::iter::successors(Some(TOP + ROW), |bottom| Some(bottom + ROW));
    let bottom = bottoms.clone().take(shown.len()).last().unwrap_or(TOP);
    let markup = html! {
        text.quiet x="8" y=(TOP - 15.0) { (chart.what) ", in " (amounts.heading()) }
        (axis(&scale, &amounts, bottom))
        @for (bar, bottom) in shown.iter().zip(bottoms) { (one(bar, (&scale, &amounts), bottom - ROW)) }
        @if left_out > 0 { text.quiet x="8" y=(bottom + 48.0) { "and " (left_out) " more, which the table lists" } }
    };
    Drawn { width: WIDTH, height: bottom + if left_out > 0 { 60.0 } else { 34.0 }, markup }
}

fn axis(scale: &Scale, amounts: &Amounts<'_>, bottom: f64) -> Markup {
    html! {
        @for number in round_numbers(scale.values.1, 4.5) {
            @let x = at(scale.at(number));
            path.grid d=(format!("M{x} {TOP}V{bottom}")) {}
            text.quiet x=(x) y=(bottom + 20.0) text-anchor=(if number > 0.0 { "middle" } else { "start" }) { (amounts.number(number)) }
        }
        path.axis d=(format!("M{LEFT} {TOP}V{bottom}")) {}
    }
}

/// Name, what there is to note, and the amount; below them the bar with its range.
fn one(bar: &Bar, (scale, amounts): (&Scale, &Amounts<'_>), top: f64) -> Markup {
    let amount = amounts.with_range(bar.value, bar.range);
    let (x, y, end) = (LEFT + 6.0, top + 66.0, scale.at(bar.value));
    let (middle, room) = (y + THICK / 2.0, RIGHT - LEFT - 6.0);
    html! {
        text.halo x=(x) y=(top + 19.0) { (clipped(&bar.name, room, LETTERS)) }
        text.halo.quiet x=(x) y=(top + 38.0) { (clipped(&bar.note, room, LETTERS)) }
        text.halo x=(x) y=(top + 57.0) { (amount) }
        rect.bar x=(LEFT) y=(at(y)) width=(at(end - LEFT)) height=(THICK) {}
        @if let Some((low, high)) = bar.range {
            @let (low, high) = (at(scale.at(low)), at(scale.at(high)));
            path.axis d=(format!("M{low} {}H{high}M{low} {}v8M{high} {}v8", at(middle), at(middle - 4.0), at(middle - 4.0))) {}
        }
    }
}
