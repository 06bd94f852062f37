//! Amounts of charts in units for people.

use super::{Bars, OverTime, Panel};
use crate::http::present::units::ForPeople;

/// Writes all these amounts in the unit for the largest.
fn write<'a>(unit: &mut String, amounts: impl Iterator<Item = &'a mut f64>) {
    let amounts: Vec<&mut f64> = amounts.collect();
    let largest = amounts.iter().map(|amount| amount.abs()).fold(0.0, f64::max);
    if let Some(people) = ForPeople::of(unit, largest) {
        amounts.into_iter().for_each(|amount| *amount = people.value(*amount));
        *unit = people.unit.to_string();
    }
}

impl Panel {
    /// Writes it in its unit for people.
    pub(super) fn write_for_people(&mut self) {
        write(&mut self.unit, self.steps.iter_mut().map(|(_, value)| value));
    }
}

impl Bars {
    /// Writes it in its unit for people.
    pub(super) fn write_for_people(&mut self) {
        let all = self.bars.iter_mut().flat_map(|bar| {
            let range = bar.range.iter_mut().flat_map(|(low, high)| [low, high]);
            std::iter::once(&mut bar.value).chain(range)
        });
        write(&mut self.unit, all);
    }
}

impl OverTime {
    /// Writes it in its unit for people.
    pub(super) fn write_for_people(&mut self) {
        let series = &mut self.series;
        let days = series.days.iter_mut().flat_map(|day| [&mut day.received, &mut day.expired, &mut day.left]);
        let due = series.due.iter_mut().flat_map(|due| [&mut due.needed, &mut due.short]);
        let total = [&mut series.total.stock, &mut series.total.needed, &mut series.total.short];
        let band = self.band.iter_mut().flat_map(|(_, low, high)| [low, high]);
        let all =
            [&mut series.at_first, &mut series.opening].into_iter().chain(total).chain(days).chain(due).chain(band);
        write(&mut series.unit, all);
    }
}
