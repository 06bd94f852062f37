//! The answer described: what beds and heaps yield, and what a bed to come is to do.

use super::HarvestsAnswer;
use super::answer::{BedOut, HeapOut};
use super::fed::{ComparisonOut, FromFeedOut};
use super::forecast::describe::{PlannedBed, endings, feed_and_water};
use super::forecast::{LayerOut, LotOut};
use crate::http::output::QuantityOut;
use crate::http::output::quantity::Role;
use crate::http::present::counted::containers;
use crate::http::present::table::For;
use crate::http::present::words::{day, name_of, shown, shown_beside};
use crate::http::present::{Cell, Column, Description, Part, Rows, Table};
use crate::http::resources::CastingsOut;
use crate::http::resources::calendar::{uncapitalised, worms_wait_in_all};
use crate::http::resources::collected::{ProductionMaterialOut, materials_in_words};
use crate::http::resources::mixes::taken_each;
use crate::http::wire::capitalised;
use std::borrow::Cow;

/// Describes the answer.
pub fn describe(answer: &HarvestsAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "Castings to harvest");
    in_all(answer, &mut description);
    description.parts.push(Part::Chart(super::chart::chart(answer)));
    description.section("What each bed and heap yields", yields(answer));
    let fed = beds(answer).filter_map(|bed| Some((bed.1.called(bed.0), bed.1.from_feed.as_ref()?)));
    description.section("What was fed", from_feed(fed));
    for (name, compared) in beds(answer).filter_map(|bed| Some((bed.1.called(bed.0), bed.1.comparison.as_ref()?))) {
        description.paragraph(comparison(&name, compared));
    }
    let planned = beds(answer).filter_map(|bed| {
        let forecast = bed.1.forecast.as_ref()?;
        let given = [bed.1.id.as_deref(), bed.1.name.as_deref()];
        Some(PlannedBed { index: bed.0, given, name: bed.1.called(bed.0), forecast })
    });
    let planned: Vec<PlannedBed<'_>> = planned.collect();
    for bed in beds(answer) {
        let Some(forecast) = &bed.1.forecast else { continue };
        let is_fed_again = forecast.layers.iter().any(|layer| layer.cycle > 1);
        let wait = worms_wait_in_all(&bed.1.cautions, (bed.1.is_new, is_fed_again), answer.units);
        wait.into_iter()
            .for_each(|wait| description.paragraph(format!("{}: {}", bed.1.called(bed.0), uncapitalised(&wait))));
    }
    endings(&planned, For::Everyone, &mut description);
    feed_and_water(&planned, (For::Everyone, answer.units), &mut description);
    taken_each("What to take for each layer", beds(answer).flat_map(mixed), &mut description);
    description
}

fn beds(answer: &HarvestsAnswer) -> impl Iterator<Item = (usize, &BedOut)> {
    answer.worm_beds.iter().enumerate()
}

/// Of what the feed of a bed is mixed, and what to take for each of its layers.
fn mixed(bed: (usize, &BedOut)) -> Vec<(String, String)> {
    let layers = bed.1.forecast.iter().flat_map(|forecast| &forecast.layers).filter(|of| !of.materials.is_empty());
    let line = |of: &LayerOut| {
        (format!("{}, {}", bed.1.called(bed.0), day(of.on)), ProductionMaterialOut::all_by_mass(&of.materials))
    };
    let lines: Vec<(String, String)> = layers.map(line).collect();
    let feed = bed.1.feed.as_deref().filter(|_| !lines.is_empty());
    feed.map(|feed| (bed.1.called(bed.0), materials_in_words(feed))).into_iter().chain(lines).collect()
}

/// All beds and heaps together.
fn in_all(answer: &HarvestsAnswer, description: &mut Description<'_>) {
    let total = &answer.total;
    let stored = |stored: &CastingsOut, beside: &QuantityOut| {
        let volume = shown_beside(&stored.volume, beside);
        let amounts = [volume, shown(&stored.mass)].into_iter().chain(containers(stored.in_containers.iter()));
        amounts.collect::<Vec<_>>().join(", ")
    };
    if total.castings.value.get() > 0.0 || (total.from_feed.is_none() && total.forecast.is_none()) {
        let there = capitalised(&shown(&total.castings));
        // What was fed is an estimate of its own, which is not added.
        let how = if total.from_feed.is_some() { "as measured" } else { "in all" };
        let in_store = stored(&total.stored, &total.castings);
        description.stressed(there, format!("of castings {how}; once in store {in_store}."));
    }
    let more = [("By what was fed:", &total.from_feed), ("To come by forecast:", &total.forecast)];
    for (what, castings) in more {
        if let Some(castings) = castings {
            description.paragraph(format!("{what} {} in store.", stored(castings, &castings.volume)));
        }
    }
}

/// Castings of one bed or heap, found in one way.
struct Yield<'a> {
    /// The word for it in data.
    row: &'static str,
    list: &'static str,
    index: usize,
    id: Option<&'a String>,
    name: Option<&'a String>,
    /// How they were found, in words.
    how: String,
    /// All that lies there, what of it is unfinished and finished, what passes the sieve, what it holds back.
    parts: [Option<&'a QuantityOut>; 5],
    stored: Cow<'a, CastingsOut>,
    lot: Option<&'a LotOut>,
}

impl<'a> Yield<'a> {
    fn of_bed((index, bed): (usize, &'a BedOut)) -> Vec<Self> {
        let one = |row, how: String, stored: &'a CastingsOut| Self {
            row,
            list: "worm_beds",
            index,
            id: bed.id.as_ref(),
            name: bed.name.as_ref(),
            how: format!("{how}, on {}", shown(&bed.surface_area)),
            parts: [None; 5],
            stored: Cow::Borrowed(stored),
            lot: None,
        };
        let parts = [&bed.in_bed, &bed.unfinished, &bed.finished, &bed.castings, &bed.oversize].map(Option::as_ref);
        let depth =
            bed.stored.iter().map(|stored| Self { parts, ..one("worm_bed", "by its depth".to_owned(), stored) });
        let fed = bed.from_feed.iter().map(|fed| one("fed", "by what was fed".to_owned(), &fed.castings));
        let lots = bed.forecast.iter().flat_map(|forecast| &forecast.lots).map(|lot| {
            let parts = [Some(&lot.in_bed), None, None, None, None];
            let how = format!("by forecast, harvest {}", lot.cycle);
            Self { parts, lot: Some(lot), ..one("lot", how, &lot.castings) }
        });
        depth.chain(fed).chain(lots).collect()
    }

    fn of_heap((index, heap): (usize, &'a HeapOut)) -> Self {
        let stored = CastingsOut {
            volume: heap.castings.clone(),
            mass: heap.mass.clone(),
            in_containers: heap.in_containers.clone(),
        };
        Self {
            row: "heap",
            list: "heaps",
            index,
            id: heap.id.as_ref(),
            name: heap.name.as_ref(),
            how: format!("heap ({})", heap.kind),
            parts: [&heap.in_heap, &heap.unfinished, &heap.finished, &heap.castings, &heap.oversize].map(Some),
            stored: Cow::Owned(stored),
            lot: None,
        }
    }

    fn called(&self) -> String {
        let what = if self.list == "heaps" { "heap" } else { "worm bed" };
        name_of(self.name.map(String::as_str), self.id.map(String::as_str), what, self.index)
    }

    fn part(&self, place: usize) -> Cell {
        self.parts.get(place).copied().flatten().into()
    }
}

fn yields(answer: &HarvestsAnswer) -> Table {
    let unit = |role| answer.units.unit(role).0;
    let of_beds = beds(answer).flat_map(Yield::of_bed);
    let all = of_beds.chain(answer.heaps.iter().enumerate().map(Yield::of_heap));
    let (bulk, mass) = (unit(Role::Bulk), unit(Role::Mass));
    let table = Rows::of(all, ["harvest", "harvests"])
        .named("harvests")
        .about(|of| (of.list, of.index, of.called()))
        .column(Column::data("row"), |of| of.row)
        .column(Column::data("id"), |of| of.id)
        .column(Column::data("name"), |of| of.name)
        .column(Column::words("", "where"), Yield::called)
        .column(Column::words("", "found").below(), |of| Cell::from(&of.how))
        .column(Column::quantity("in_place", "in bed\nor heap", bulk).if_room(), |of| of.part(0))
        .column(Column::quantity("unfinished", "unfinished", bulk).if_room(), |of| of.part(1))
        .column(Column::quantity("finished", "finished", bulk).if_room(), |of| of.part(2))
        .column(Column::quantity("castings", "castings", bulk).bounded().main(), |of| of.part(3))
        .column(Column::quantity("oversize", "oversize", bulk).if_room(), |of| of.part(4))
        .column(Column::quantity("stored", "stored", bulk).bounded().main(), |of| Cell::from(&of.stored.volume))
        .column(Column::quantity("stored", "mass", mass).bounded().main().if_room(), |of| Cell::from(&of.stored.mass))
        .column(Column::containers("stored"), |of| Cell::from(&of.stored.in_containers))
        .column(Column::words("", "ready on"), |of| of.lot.map(|lot| lot.ready.likely))
        .column(Column::words("", "from earliest\nto latest").below(), |of| of.lot.map(LotOut::first_to_last));
    if answer.worm_beds.iter().all(|bed| bed.forecast.is_none()) {
        return table.done();
    }
    table
        .column(Column::data("ready_earliest"), |of| of.lot.map(|lot| lot.ready.earliest))
        .column(Column::data("ready_likely"), |of| of.lot.map(|lot| lot.ready.likely))
        .column(Column::data("ready_latest"), |of| of.lot.and_then(|lot| lot.ready.latest))
        .done()
}

fn from_feed<'a>(fed: impl Iterator<Item = (String, &'a FromFeedOut)>) -> Table {
    Rows::of(fed, ["bed by what was fed", "beds by what was fed"])
        .column(Column::words("", "bed"), |(name, _)| Cell::from(name))
        .column(Column::shown("fed"), |(_, fed)| &fed.fed_mass)
        .column(Column::shown("moist\nby"), |(_, fed)| &fed.fed_moisture)
        .column(Column::shown("dry\nmatter"), |(_, fed)| &fed.fed_dry_matter)
        .column(Column::shown("organic\nmatter lost"), |(_, fed)| &fed.organic_matter_loss)
        .column(Column::shown("oversize"), |(_, fed)| &fed.oversize)
        .column(Column::shown("castings\nmoist by"), |(_, fed)| &fed.castings_moisture)
        .done()
}

fn comparison(name: &str, compared: &ComparisonOut) -> String {
    let within = if compared.ranges_meet {
        "within the ranges of the assumptions"
    } else {
        "more than the ranges of the assumptions allow: something was measured or counted wrongly"
    };
    let [by_depth, by_feed, gap] = [&compared.by_depth, &compared.by_feed, &compared.gap].map(shown);
    let share = shown(&compared.gap_share);
    format!(
        "{name}: by its depth {by_depth} of dry castings, by what was fed {by_feed}: a gap of {gap} ({share}), {within}."
    )
}
