//! What beds to come are to be given, and their harvests, as a calendar of all-day events.

use super::HarvestsAnswer;
use super::answer::BedOut;
use super::forecast::{BedTasks, ForecastOut, PlannedWork};
use crate::http::present::calendar::Calendar;
use crate::http::resources::calendar::{Work, place};
use crate::http::wire::{ErrorCode, JsonPath, RequestErrors};

/// A task for all that is done at a bed to come; or an error where there is no such bed.
pub fn calendar(answer: &HarvestsAnswer) -> Result<Calendar, RequestErrors> {
    let beds = answer.worm_beds.iter().enumerate();
    let forecasts: Vec<Bed<'_>> = beds.filter_map(|(index, bed)| Bed::of(index, bed)).collect();
    if forecasts.is_empty() {
        let (errors, root) = (RequestErrors::body(), JsonPath::root());
        let detail = "A calendar needs dated work: give a worm bed a forecast.";
        let list = root.field("worm_beds");
        let bed = list.index(0);
        let at = if answer.worm_beds.is_empty() { list } else { bed.field("forecast") };
        errors.push(at, ErrorCode::MissingField, detail);
        return Err(errors);
    }
    let mut tasks = BedTasks::of(answer, "harvests");
    for bed in &forecasts {
        let item = place((bed.index, bed.bed.id.as_ref()));
        for (cycle, work) in bed.work() {
            tasks.add(work, &[&item, &cycle.to_string()], &[("worm_beds", Some(bed.index))]);
        }
        tasks.add_unfed(bed.forecast.without_feed.as_ref(), &bed.called(), &[&item]);
    }
    Ok(Calendar { product: "Harvests", revision: None, tasks: tasks.sorted() })
}

/// A bed with its forecast.
struct Bed<'a> {
    index: usize,
    bed: &'a BedOut,
    forecast: &'a ForecastOut,
}

impl<'a> Bed<'a> {
    fn of(index: usize, bed: &'a BedOut) -> Option<Self> {
        bed.forecast.as_ref().map(|forecast| Self { index, bed, forecast })
    }

    fn called(&self) -> String {
        self.bed.called(self.index)
    }

    /// Its work with the cycle of each, from 1.
    fn work(&self) -> Vec<(u32, Work<'a>)> {
        let forecast = self.forecast;
        let planned = PlannedWork {
            name: self.called(),
            feed: self.bed.feed.as_deref(),
            layers: &forecast.layers,
            water: &forecast.water,
            lots: &forecast.lots,
            end: &forecast.end,
        };
        let worms = forecast.worms.first().filter(|_| self.bed.is_new);
        let worms = worms.map(|worms| (1, planned.worms(worms.on, &worms.mass)));
        let water = planned.water().map(|work| {
            let layer = forecast.layers.iter().rev().find(|layer| layer.on <= work.on);
            (layer.map_or(1, |layer| layer.cycle), work)
        });
        worms.into_iter().chain(planned.layers()).chain(water).chain(planned.harvests()).collect()
    }
}
