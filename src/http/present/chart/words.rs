//! The chart in words, and how its amounts are written.

use super::Chart;
use super::curves::{Curves, curves};
use crate::http::present::words::{day, digits};

/// The sums, where there are no dates.
#[must_use]
pub fn totals(chart: &Chart) -> String {
    let (total, amounts) = (&chart.series.total, Amounts::new(chart.series.total.stock, &chart.series.unit));
    let shown = |value| amounts.with_unit(value);
    format!("Stock {}, needed {}, shortfall {}.", shown(total.stock), shown(total.wanted), shown(total.short))
}

/// The chart in words.
#[must_use]
pub fn words(chart: &Chart) -> String {
    let Some(curves) = curves(chart) else { return totals(chart) };
    let amounts = Amounts::new(curves.top, &chart.series.unit);
    let amount = |value| amounts.with_unit(value);
    let (start, end) = (curves.come.first().map_or(0.0, |(_, value)| *value), Curves::last(&curves.come));
    let mut text = format!(
        "From {} to {}. Castings that have come (solid line): {} at first, {} in the end. Castings needed by then (dashed): {} in \
         the end. On hand (dotted): {} in the end.",
        day(curves.from),
        day(curves.to),
        amount(start),
        amount(end),
        amount(Curves::last(&curves.wanted)),
        amount(Curves::last(&curves.on_hand)),
    );
    text += &match &curves.worst {
        Some(worst) => {
            format!(" Most are missing on {}: {} (hatched).", day(worst.from), amount(worst.wanted - worst.come))
        }
        None => " On no day are more needed than have come.".to_owned(),
    };
    if let Some((_, low, high)) = curves.band.last() {
        text += &format!(
            " In 80 of 100 runs between {} and {} have come in the end (grey band).",
            amount(*low),
            amount(*high)
        );
    }
    text
}

/// Amounts as they are written: large ones in millions.
#[must_use]
#[derive(Debug)]
pub struct Amounts<'a> {
    unit: &'a str,
    by: f64,
    word: &'static str,
}

impl<'a> Amounts<'a> {
    /// Amounts up to `top`.
    pub fn new(top: f64, unit: &'a str) -> Self {
        let sizes = [(1e12, "million million "), (1e9, "thousand million "), (1e6, "million ")];
        let (by, word) = sizes.into_iter().find(|(by, _)| top >= *by).unwrap_or((1.0, ""));
        Self { unit, by, word }
    }

    /// The unit, as it stands above the axis.
    #[must_use]
    pub fn heading(&self) -> String {
        format!("{}{}", self.word, self.unit)
    }

    /// The number alone.
    #[must_use]
    pub fn number(&self, value: f64) -> String {
        digits(value / self.by)
    }

    /// The number with its unit.
    #[must_use]
    pub fn with_unit(&self, value: f64) -> String {
        format!("{} {}", self.number(value), self.heading())
    }

    /// With its unit, where that is short.
    #[must_use]
    pub fn short(&self, value: f64) -> String {
        if self.word.is_empty() { self.with_unit(value) } else { self.number(value) }
    }
}
