//! What beds are to do, described: layers, water, and how it ends.

use super::{ForecastOut, LayerOut, LotOut, StoppedOut, WaterOut, WithoutFeedOut};
use crate::garden::beds::Deadly;
use crate::http::output::quantity::{Role, System};
use crate::http::present::table::For;
use crate::http::present::words::{day, days};
use crate::http::present::{Column, Description, Rows, Table};
use crate::http::resources::collected::ProductionMaterialOut;
use crate::http::wire::capitalised;

/// A bed and what it is to do.
pub struct PlannedBed<'a> {
    /// Its position in the request.
    pub index: usize,
    /// The id and the name that the request gave.
    pub given: [Option<&'a str>; 2],
    /// What the bed is called.
    pub name: String,
    /// What it is to do.
    pub forecast: &'a ForecastOut,
}

/// Describes what beds are to get; the tables are for this audience.
pub fn feed_and_water(beds: &[PlannedBed<'_>], (audience, system): (For, System), description: &mut Description<'_>) {
    if beds.is_empty() {
        // As data it is there, without rows.
        description.table(layers(beds, For::Data, system));
        return;
    }
    if audience == For::Everyone {
        description.heading("Feed and water for the beds");
    }
    description.table(layers(beds, audience, system));
    let water = beds.iter().flat_map(|bed| bed.forecast.water.iter().map(move |period| (bed, period)));
    description.table(
        Rows::of(water, ["watering of a bed", "waterings of beds"])
            .only_for(audience)
            .column(Column::words("", "water of"), |(bed, _): &(&PlannedBed<'_>, &WaterOut)| bed.name.as_str())
            .column(Column::words("", "over these days"), |(_, period)| days(period.start_on, period.end_on))
            .column(Column::shown("to add"), |(_, period)| &period.to_add)
            .column(Column::shown("to drain"), |(_, period)| &period.to_drain)
            .done(),
    );
}

/// The layers of all beds.
fn layers(beds: &[PlannedBed<'_>], audience: For, system: System) -> Table {
    let unit = |role| system.unit(role).0;
    let layers = beds.iter().flat_map(|bed| bed.forecast.layers.iter().map(move |layer| (bed, layer)));
    Rows::of(layers, ["layer of a bed", "layers of beds"])
        .named("layers")
        .only_for(audience)
        .about(|(bed, _)| ("worm_beds", bed.index, bed.name.clone()))
        .column(Column::data("index"), |(bed, _): &(&PlannedBed<'_>, &LayerOut)| bed.index)
        .column(Column::data("id"), |(bed, _)| bed.given.first().copied().flatten())
        .column(Column::data("name"), |(bed, _)| bed.given.last().copied().flatten())
        .column(Column::words("", "layers of"), |(bed, _)| bed.name.as_str())
        .column(Column::words("on", "lay on"), |(_, layer)| layer.on)
        .column(Column::count("harvest", "harvest").if_room(), |(_, layer)| layer.cycle)
        .column(Column::quantity("depth", "depth", unit(Role::Depth)), |(_, layer)| &layer.depth)
        .column(Column::quantity("volume", "volume", unit(Role::Bulk)), |(_, layer)| &layer.volume)
        .column(Column::containers("volume"), |(_, layer)| &layer.in_containers)
        .column(Column::quantity("collect", "to collect", unit(Role::Bulk)).if_room(), |(_, layer)| {
            layer.collect.as_ref().map(|of| &of.volume)
        })
        .column(Column::quantity("mass", "mass", unit(Role::Mass)).if_room(), |(_, layer)| &layer.mass)
        .column(Column::quantity("dry_matter", "dry\nmatter", unit(Role::Mass)).if_room(), |(_, layer)| {
            &layer.dry_matter
        })
        .column(Column::words("eaten_on", "eaten by"), |(_, layer)| layer.eaten_on)
        .column(Column::data("materials"), |(_, layer)| ProductionMaterialOut::all_exactly(&layer.materials))
        .done()
}

impl LotOut {
    /// From when to when it may be ready: `12 Jun 2027 to 3 Aug 2027`, or `12 Jun 2027 or later`.
    pub fn first_to_last(&self) -> String {
        let latest = self.ready.latest.map_or_else(|| "or later".to_owned(), |latest| format!("to {}", day(latest)));
        format!("{} {latest}", day(self.ready.earliest))
    }
}

impl StoppedOut {
    /// `the worms die on 16 Dec 2026 of frost; the plan ends there. Keep the bed above freezing (cover it, or bring it in), and give …`
    pub fn in_words(&self) -> String {
        let why = Deadly::find(self.why);
        let remedy = why.map(|why| {
            let keep = capitalised(why.remedy());
            format!(" {keep}, and give the temperature in the bed (climate), not that of the air.")
        });
        format!("the worms die on {} of {}; the plan ends there.{}", day(self.on), self.why, remedy.unwrap_or_default())
    }
}

impl WithoutFeedOut {
    /// `the worms have no feed from 9 Feb 2028 to 15 May 2028, 96 days. Lay some in between, or move them to a bed that is fed.`
    pub fn in_words(&self) -> String {
        format!(
            "the worms have no feed from {} to {}, {} days. Lay some in between, or move them to a bed that is fed.",
            day(self.start_on),
            day(self.end_on),
            (self.end_on - self.start_on).num_days()
        )
    }
}

/// When worms have no feed for long.
fn without_feed(beds: &[PlannedBed<'_>], audience: For) -> Table {
    let times = beds.iter().filter_map(|bed| Some((bed.name.as_str(), bed.forecast.without_feed.as_ref()?)));
    Rows::of(times, ["time without feed", "times without feed"])
        .only_for(audience)
        .column(Column::words("", "worms without feed"), |(name, _)| *name)
        .column(Column::words("", "from"), |(_, unfed)| unfed.start_on)
        .column(Column::words("", "to"), |(_, unfed)| unfed.end_on)
        .done()
}

/// How the forecasts end: what is wrong for everybody, the state of each bed on the last day for this audience.
pub fn endings<'a>(beds: &[PlannedBed<'a>], audience: For, description: &mut Description<'_>) {
    for PlannedBed { name, forecast, .. } in beds {
        if forecast.lots.is_empty() {
            let later = if forecast.stopped.is_none() { " A later last day shows when it is." } else { "" };
            let last = day(forecast.end.last_day());
            description.paragraph(format!("{name}: no harvest is ready by {last}.{later}"));
        }
        if let Some(stopped) = &forecast.stopped {
            description.stressed(format!("{name}: {}", stopped.in_words()), "");
        }
    }
    let in_it = |bed: &PlannedBed<'a>| bed.forecast.end.running.as_ref();
    description.table(without_feed(beds, audience));
    description.table(
        Rows::of(beds, ["state of a bed", "states of beds"])
            .only_for(audience)
            .column(Column::words("", "at the end"), |bed: &&PlannedBed<'_>| bed.name.as_str())
            .column(Column::words("", "on"), |bed| bed.forecast.end.on)
            .column(Column::words("", "it is"), |bed| bed.forecast.end.phase)
            .column(Column::shown("feed in it,\nmoist"), |bed| in_it(bed).map(|of| &of.uneaten_feed))
            .column(Column::shown("castings,\nmoist"), |bed| in_it(bed).map(|of| &of.castings))
            .column(Column::count("", "layers\nlaid"), |bed| in_it(bed).map(|of| of.layers_laid))
            .column(Column::words("", "all eaten\nby"), |bed| in_it(bed).and_then(|of| of.eaten_on))
            .column(Column::shown("worms"), |bed| &bed.forecast.end.worms)
            .done(),
    );
}
