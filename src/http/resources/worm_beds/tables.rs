//! The tables of the answer: the weeks, the harvests, the castings needed by dates, the layers.

use super::WormBedsAnswer;
use super::answer::WeekOut;
use crate::http::output::quantity::Role;
use crate::http::present::words::days;
use crate::http::present::{Cell, Column, Rows, Table};
use crate::http::resources::collected::ProductionMaterialOut;

/// What to feed in each week, or what the worms eat of the layers.
pub(super) fn weeks(answer: &WormBedsAnswer, is_laid: bool) -> Table {
    let feed = if is_laid { "eaten" } else { "feed" };
    let unit = |role| answer.units.unit(role).0;
    let (mass, bulk) = (unit(Role::Mass), unit(Role::Bulk));
    // What comes for castings needed is what is eaten, and layers are there before.
    let is_said = is_laid && !answer.castings_needed.is_empty();
    let arriving = if is_said { Column::data_in("comes", mass) } else { Column::quantity("comes", "comes", mass) };
    Rows::of(&answer.weeks, ["week", "weeks"])
        .named("weeks")
        .column(Column::data("start_on"), |week: &&WeekOut| week.start_on)
        .column(Column::data("end_on"), |week| week.end_on)
        .column(Column::words("", "week"), |week| days(week.start_on, week.end_on))
        .column(Column::quantity("warm_days", "warm\ndays", "d").if_room(), |week| &week.warm_days)
        .column(arriving, |week| &week.comes)
        .column(Column::quantity("feed", feed, mass), |week| &week.feed)
        .column(Column::quantity("feed_volume", "or", bulk), |week| &week.feed_volume)
        .column(Column::containers("feed_volume"), |week| &week.feed_in_containers)
        .column(Column::quantity("waiting", "waits", mass), |week| &week.waiting)
        .column(Column::quantity("worms", "worms", mass), |week| &week.worms)
        .column(Column::data("materials"), |week| ProductionMaterialOut::all_exactly(&week.materials))
        .done()
}

/// The castings of each harvest.
pub(super) fn castings(answer: &WormBedsAnswer) -> Table {
    let unit = |role| answer.units.unit(role).0;
    Rows::of(&answer.lots, ["harvest", "harvests"])
        .named("castings")
        .column(Column::count("harvest", "harvest"), |lot| lot.cycle)
        .column(Column::quantity("castings", "castings", unit(Role::Bulk)).bounded().main(), |lot| {
            Cell::from(&lot.castings.volume)
        })
        .column(Column::quantity("castings", "mass", unit(Role::Mass)).bounded().main().if_room(), |lot| {
            Cell::from(&lot.castings.mass)
        })
        .column(Column::containers("castings"), |lot| &lot.castings.in_containers)
        .column(Column::words("", "ready on"), |lot| lot.ready.likely)
        .column(Column::words("", "from earliest\nto latest").below(), |lot| lot.first_to_last())
        .column(Column::data("ready_earliest"), |lot| lot.ready.earliest)
        .column(Column::data("ready_likely"), |lot| lot.ready.likely)
        .column(Column::data("ready_latest"), |lot| lot.ready.latest)
        .done()
}

/// What is needed and ready by each day.
pub(super) fn needed(answer: &WormBedsAnswer) -> Table {
    Rows::of(&answer.castings_needed, ["day", "days"])
        .column(Column::words("", "by"), |of| of.by)
        .column(Column::shown("needed\nby then"), |of| &of.needed)
        .column(Column::shown("ready\nby then"), |of| &of.ready)
        .done()
}

/// The layers to lay.
pub(super) fn layers(answer: &WormBedsAnswer) -> Table {
    let unit = |role| answer.units.unit(role).0;
    Rows::of(answer.layers.iter().flatten(), ["layer", "layers"])
        .named("layers")
        .to_tick()
        .column(Column::words("on", "lay on"), |layer| layer.on)
        .column(Column::count("harvest", "for\nharvest"), |layer| layer.cycle)
        .column(Column::quantity("depth", "depth", unit(Role::Depth)), |layer| &layer.depth)
        .column(Column::quantity("volume", "volume", unit(Role::Bulk)), |layer| &layer.volume)
        .column(Column::containers("volume"), |layer| &layer.in_containers)
        .column(Column::quantity("collect", "to\ncollect", unit(Role::Bulk)), |layer| {
            layer.collect.as_ref().map(|of| &of.volume)
        })
        .column(Column::quantity("mass", "mass", unit(Role::Mass)), |layer| &layer.mass)
        .column(Column::words("eaten_on", "eaten by"), |layer| layer.eaten_on)
        .column(Column::data("materials"), |layer| ProductionMaterialOut::all_exactly(&layer.materials))
        .done()
}
