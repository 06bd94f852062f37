//! What beds are to do, described: layers, water, and how it ends.

use super::{ForecastOut, LayerOut, WaterOut};
use crate::http::present::table::For;
use crate::http::present::words::{day, days, shown};
use crate::http::present::{Column, Description, Rows};

/// A bed and what it is to do.
pub struct PlannedBed<'a> {
    /// What the bed is called.
    pub name: String,
    /// What it is to do.
    pub forecast: &'a ForecastOut,
}

/// Describes what beds are to do; the tables are for this audience.
pub fn to_do(beds: &[PlannedBed<'_>], audience: For, description: &mut Description<'_>) {
    if beds.is_empty() {
        return;
    }
    for bed in beds {
        ending(bed, description);
    }
    if audience == For::Everyone {
        description.heading("What the beds are to be given");
    }
    let layers = beds.iter().flat_map(|bed| bed.forecast.layers.iter().map(move |layer| (bed, layer)));
    let in_containers = beds.iter().flat_map(|bed| &bed.forecast.layers).map(|layer| layer.in_containers.as_slice());
    description.table(
        Rows::of(layers, ["layer of a bed", "layers of beds"])
            .only_for(audience)
            .column(Column::words("", "layers of"), |(bed, _): &(&PlannedBed<'_>, &LayerOut)| bed.name.as_str())
            .column(Column::words("", "lay on"), |(_, layer)| layer.on)
            .column(Column::count("", "harvest"), |(_, layer)| layer.cycle)
            .column(Column::shown("depth"), |(_, layer)| &layer.depth)
            .column(Column::shown("volume"), |(_, layer)| &layer.volume)
            .column(Column::containers("", in_containers.clone().next().unwrap_or_default()), |(_, layer)| {
                &layer.in_containers
            })
            .column(Column::shown("mass"), |(_, layer)| &layer.mass)
            .column(Column::shown("dry\nmatter"), |(_, layer)| &layer.dry_matter)
            .column(Column::words("", "worked by"), |(_, layer)| layer.eaten_on)
            .done(),
    );
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

/// How the forecast of a bed ends.
fn ending(bed: &PlannedBed<'_>, description: &mut Description<'_>) {
    let (name, forecast) = (&bed.name, bed.forecast);
    if forecast.lots.is_empty() {
        description.paragraph(format!("{name}: no harvest is ready by the last day."));
    }
    if let Some(stopped) = &forecast.stopped {
        let (on, why) = (day(stopped.on), stopped.why);
        description.stressed(format!("{name}: the worms die on {on} of {why}; the plan of this bed ends there."), "");
    }
    let end = &forecast.end;
    description.paragraph(format!(
        "{name}: on {} {}, with {} of feed and {} of castings (dry matter) in it, and {} of worms.",
        day(end.on),
        end.phase,
        shown(&end.uneaten_feed),
        shown(&end.castings),
        shown(&end.worms)
    ));
}
