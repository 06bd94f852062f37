//! How the amounts of a chart are written.

use super::Bars;
use crate::http::present::units::ForPeople;
use crate::http::present::words::digits;

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

    /// Amounts of bars.
    pub fn of(chart: &'a Bars) -> Self {
        let ends = chart.bars.iter().map(|bar| bar.range.map_or(bar.value, |(_, high)| high.max(bar.value)));
        Self::new(ends.fold(0.0, f64::max), &chart.unit)
    }

    /// With its bounds, in its unit for people, for a bar alone: `226 L (65.9 to 670)`.
    #[must_use]
    pub fn with_range(&self, value: f64, bounds: Option<(f64, f64)>) -> String {
        let people = self.for_people(value);
        let number = |of: f64| people.as_ref().map_or_else(|| self.number(of), |people| digits(people.value(of)));
        let range = bounds.map(|(low, high)| format!(" ({} to {})", number(low), number(high))).unwrap_or_default();
        let unit = people.as_ref().map_or_else(|| self.heading(), |people| people.unit.to_string());
        format!("{} {unit}{range}", number(value))
    }

    /// The unit in which the text beside the chart has this amount, where that is not the unit of the axis.
    fn for_people(&self, value: f64) -> Option<ForPeople> {
        ForPeople::of(self.unit, value).filter(|_| self.word.is_empty())
    }

    /// The unit, as it is written above the axis.
    #[must_use]
    pub fn heading(&self) -> String {
        format!("{}{}", self.word, self.unit)
    }

    /// The number alone.
    #[must_use]
    pub fn number(&self, value: f64) -> String {
        digits(value / self.by)
    }

    /// The number with the unit of the axis, as curves are compared.
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
