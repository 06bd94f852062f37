//! What beds to come are to be given, and their harvests, as a calendar of all-day events.

use super::HarvestsAnswer;
use super::answer::BedOut;
use super::forecast::{ForecastOut, LayerOut};
use crate::garden::seasons::work::{TaskKind, takes_worms_back};
use crate::http::output::QuantityOut;
use crate::http::present::calendar::{Calendar, Task};
use crate::http::present::words::name_of;
use crate::http::resources::calendar::{CautionsByItem, Ids, UNFED, Work, place, scope, worms_unfed};
use crate::http::resources::collected::ProductionMaterialOut;
use crate::http::wire::{ErrorCode, JsonPath, RequestErrors};
use chrono::NaiveDate;

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
    let mut ids = Ids::default();
    let all = format!("harvests {}", scope(answer.id.as_deref(), answer.name.as_deref()));
    let cautions = CautionsByItem::of(&answer.cautions);
    let mut tasks: Vec<(NaiveDate, Task)> = Vec::new();
    for bed in &forecasts {
        for (cycle, work) in bed.work() {
            let parts = [all.clone(), bed.item(), cycle.to_string(), work.kind.as_str().to_owned()];
            let id = ids.next(parts.iter().map(String::as_str));
            let about = cautions.about(work.kind, &[("worm_beds", Some(bed.index))]);
            let work = work.minding(about, answer.units);
            tasks.push((work.on, work.task(id, &answer.cautions)));
        }
        tasks.extend(bed.forecast.without_feed.as_ref().map(|unfed| {
            let id = ids.next([all.as_str(), bed.item().as_str(), UNFED]);
            (unfed.start_on, worms_unfed(id, &bed.called(), (unfed.start_on, unfed.in_words(), false)))
        }));
    }
    tasks.sort_by_key(|(on, _)| *on);
    Ok(Calendar { product: "Harvests", revision: None, tasks: tasks.into_iter().map(|(_, task)| task).collect() })
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

    /// What tells it from others: its id, else its place.
    fn item(&self) -> String {
        place((self.index, self.bed.id.as_ref()))
    }

    fn called(&self) -> String {
        name_of(self.bed.name.as_deref(), self.bed.id.as_deref(), "worm bed", self.index)
    }

    fn on(&self, on: NaiveDate, kind: TaskKind) -> Work<'a> {
        Work::new(self.called(), on, kind)
    }

    /// Its work with the cycle of each, from 1.
    fn work(&self) -> Vec<(u32, Work<'a>)> {
        let forecast = self.forecast;
        let worms = forecast.worms.first().filter(|_| self.bed.is_new);
        let worms =
            worms.map(|worms| (1, Work { mass: Some(&worms.mass), ..self.on(worms.on, TaskKind::IntroduceWorms) }));
        let mut last = (0, 0);
        let layers = forecast.layers.iter().map(|layer| {
            last = if last.0 == layer.cycle { (layer.cycle, last.1 + 1) } else { (layer.cycle, 1) };
            (layer.cycle, self.layer(layer, last.1))
        });
        // The forecast ends on the morning after its last day.
        let end = forecast.end.on.pred_opt().unwrap_or(forecast.end.on);
        let water = forecast.water.iter().filter(|period| period.to_add.value.get() > 0.0).map(|period| {
            let cycle = forecast.layers.iter().rev().find(|layer| layer.on <= period.start_on);
            let until = Some(period.end_on.min(end));
            let work = Work { until, volume: Some(&period.to_add), ..self.on(period.start_on, TaskKind::Water) };
            (cycle.map_or(1, |layer| layer.cycle), work)
        });
        worms.into_iter().chain(layers).chain(water).chain(self.harvests()).collect()
    }

    fn layer(&self, layer: &'a LayerOut, place: u32) -> Work<'a> {
        Work {
            layer: Some(place),
            takes_worms_back: takes_worms_back(layer.cycle, place),
            volume: Some(&layer.volume),
            mass: Some(&layer.mass),
            depth: Some(&layer.depth),
            in_containers: &layer.in_containers,
            feed: self.bed.feed.as_deref(),
            collect: layer.collect.as_ref(),
            materials: ProductionMaterialOut::all_by_mass(&layer.materials),
            ..self.on(layer.on, TaskKind::LayFeed)
        }
    }

    /// What is done with the castings of each cycle.
    fn harvests(&self) -> impl Iterator<Item = (u32, Work<'a>)> {
        self.forecast.lots.iter().flat_map(|lot| {
            let take = |on, kind, volume: &'a QuantityOut| Work { volume: Some(volume), ..self.on(on, kind) };
            let castings = &lot.castings;
            [
                self.on(lot.eaten_on, TaskKind::LetFinish),
                take(lot.finished_on, TaskKind::Harvest, &lot.in_bed),
                Work {
                    mass: Some(&castings.mass),
                    in_containers: &castings.in_containers,
                    ..take(lot.ready.likely, TaskKind::SieveAndStore, &castings.volume)
                },
            ]
            .map(|work| (lot.cycle, work))
        })
    }
}
