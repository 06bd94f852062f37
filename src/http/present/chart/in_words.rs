//! The chart in words.

use super::amounts::Amounts;
use super::curves::{Curves, curves};
use super::{Bars, Chart, Compared, OverTime, Panel, Panels, Picture, Ranges};
use crate::http::present::words::day;

/// What is shown where there are no bars.
pub const NOTHING: &str = "No castings are ready by the last day, so there is nothing to draw.";

/// The chart in words.
#[must_use]
pub fn words(chart: &Chart) -> String {
    match &chart.picture {
        Picture::OverTime(chart) => over_time(chart),
        Picture::Bars(chart) => bars(chart),
        Picture::Panels(chart) => panels(chart),
        Picture::Ranges(chart) => ranges(chart),
    }
}

fn ranges(chart: &Ranges) -> String {
    let row = |row: &Compared| {
        let came = row.came.as_ref().map(|(_, came)| format!(", recorded {came}")).unwrap_or_default();
        format!("{}: before {}, now {}{came}.", row.name, row.before.text, row.now.text)
    };
    let rows: Vec<String> = chart.rows.iter().map(row).collect();
    format!("{} {}", chart.what, rows.join(" "))
}

/// The sums, where there are no dates.
#[must_use]
pub fn totals(chart: &OverTime) -> String {
    let (total, amounts) = (&chart.series.total, Amounts::new(chart.series.total.stock, &chart.series.unit));
    let shown = |value| amounts.with_unit(value);
    format!("Supply {}, demand {}, shortfall {}.", shown(total.stock), shown(total.needed), shown(total.short))
}

fn over_time(chart: &OverTime) -> String {
    let Some(curves) = curves(chart) else { return totals(chart) };
    let amounts = Amounts::new(curves.top, &chart.series.unit);
    let amount = |value| amounts.with_unit(value);
    let (start, end) = (curves.come.first().map_or(0.0, |(_, value)| *value), Curves::last(&curves.come));
    let expired: f64 = chart.series.days.iter().map(|day| day.expired).sum();
    let expired = if expired > 0.0 { format!(", after {} expired", amount(expired)) } else { String::new() };
    let mut text = format!(
        "Castings summed up to each day, from {} to {}. Supply (solid line): {} at first, {} in the end{expired}. Demand (dashed line): {} in the \
         end. In stock (dotted line): {} in the end.",
        day(curves.from),
        day(curves.to),
        amount(start),
        amount(end),
        amount(Curves::last(&curves.needed)),
        amount(Curves::last(&curves.on_hand)),
    );
    text += &match chart.series.total.first_short_on {
        Some(first) => {
            format!(" The shortfall is {} in all, first on {}.", amount(chart.series.total.short), day(first))
        }
        None => " On no day is the demand above the supply.".to_owned(),
    };
    if !curves.gaps.is_empty() {
        text += " Where the demand is above the supply, the chart is hatched.";
    }
    if let Some((_, low, high)) = curves.band.last() {
        text += &format!(
            " In 80 of 100 runs the supply in the end is between {} and {} (grey band).",
            amount(*low),
            amount(*high)
        );
    }
    text
}

fn bars(chart: &Bars) -> String {
    if chart.bars.is_empty() {
        return NOTHING.to_owned();
    }
    let amounts = Amounts::of(chart);
    let one = |bar: &super::Bar| {
        let note = if bar.note.is_empty() { String::new() } else { format!(", {}", bar.note) };
        format!("{}{note}: {}.", bar.name, amounts.with_range(bar.value, bar.range))
    };
    let all: Vec<String> = chart.bars.iter().map(one).collect();
    format!("{}. {}", chart.what, all.join(" "))
}

fn panels(chart: &Panels) -> String {
    let one = |panel: &Panel| {
        let top = panel.steps.iter().map(|(_, value)| *value).fold(0.0, f64::max);
        let amounts = Amounts::new(top, &panel.unit);
        let most = panel.steps.iter().find(|(_, value)| *value >= top);
        let (first, last) = (panel.steps.first()?, panel.steps.last()?);
        let shown = |(on, value): &(chrono::NaiveDate, f64)| format!("{} on {}", amounts.with_unit(*value), day(*on));
        Some(format!(
            "{}: {} at first, {} at the end, {} at most.",
            panel.what,
            shown(first),
            shown(last),
            shown(most?)
        ))
    };
    chart.panels.iter().filter_map(one).collect::<Vec<_>>().join(" ")
}
