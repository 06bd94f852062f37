//! The limits, as they are reported.

use crate::garden::dates::{MAX_SPAN_DAYS, MAX_YEAR, MIN_YEAR};
use crate::garden::units::Dimension;
use crate::http::limits;
use crate::http::output::Number;
use crate::http::wire::MAX_DEPTH;
use serde::Serialize;
use utoipa::ToSchema;

macro_rules! limits {
    ($($(#[$about:meta])* $name:ident: $type:ty = $value:expr;)*) => {
        /// The limits.
        #[derive(Debug, Serialize, ToSchema)]
        pub struct LimitsAnswer {
            $($(#[$about])* pub $name: $type,)*
        }

        impl LimitsAnswer {
            /// The limits.
            #[must_use]
            pub fn in_force() -> Self {
                Self { $($name: $value,)* }
            }
        }
    };
}

limits! {
    /// The largest body in bytes, after decompression.
    body_bytes: usize = limits::MAX_BODY;
    /// The deepest nesting of lists and objects.
    depth: usize = MAX_DEPTH;
    /// The most areas, brews and demands in a list.
    items: u64 = limits::MAX_ITEMS;
    /// The most stock lots.
    stock: u64 = limits::MAX_STOCK;
    /// The most demands with a `minimum` in a request.
    minimums: usize = limits::MAX_MINIMUMS;
    /// With `explain`: the most areas, brews, batches, lots, demands, heaps, beds, layers, weeks, harvests, observations.
    explained: usize = limits::MAX_EXPLAINED;
    /// The most steps of computing that one answer may take, at most 25 ns each, by an estimate made before. To share stock takes (lots +
    /// demands) x (100 + min(lots, demands) + 12 x priorities) x (1 + 4 if any demand asks `whole_portions` + 7 if `enforce_application_to_harvest_interval` bars any lot) x (1 +
    /// 3 x demands with a `minimum`) steps, where each day of a tea counts as a demand.
    steps: u64 = limits::MAX_STEPS;
    /// The most worm beds, and the most heaps.
    worm_beds: u64 = limits::MAX_BEDS;
    /// The most containers.
    containers: u64 = limits::MAX_CONTAINERS;
    /// The most repeats of a shape.
    count: u32 = limits::MAX_COUNT;
    /// The most corners of a polygon.
    corners: u64 = limits::MAX_CORNERS;
    /// The most batches of all brews of a request together.
    batches: usize = limits::MAX_BATCHES;
    /// The most batches of one brew.
    batches_of_a_brew: u64 = crate::garden::brews::MAX_BATCHES;
    /// The most vessels of one brew.
    brewers: u32 = limits::MAX_BREWERS;
    /// The most additives of one brew.
    additives: u64 = limits::MAX_ADDITIVES;
    /// The longest name of a container, in characters.
    container_name_characters: u64 = limits::MAX_CONTAINER_NAME;
    /// The highest price of a sack.
    #[schema(value_type = f64)]
    sack_price: Number = Number::rounded(limits::MAX_PRICE);
    /// The most that a layer settles, in % of its depth.
    #[schema(value_type = f64)]
    settling_percent: Number = Number::rounded(limits::MAX_SETTLING * 100.0);
    /// The most materials of one mix.
    materials: u64 = limits::MAX_MATERIALS;
    /// The most feeds of one bed.
    feeds: u64 = limits::MAX_FEEDS;
    /// The most deliveries of feed to one bed.
    deliveries: u64 = limits::MAX_DELIVERIES;
    /// The most days by which castings are needed from a bed that is sized.
    castings_needed: u64 = limits::MAX_NEEDS;
    /// The most beds with records of a calibration.
    records: u64 = limits::MAX_RECORDS;
    /// The most observations of all records of a calibration together.
    observations: u64 = limits::MAX_OBSERVATIONS;
    /// The most weeks of the plan of a bed that is sized.
    plan_weeks: usize = limits::MAX_WEEKS;
    /// The most layers in one cycle of a bed.
    layers_per_cycle: u32 = limits::MAX_LAYERS_PER_CYCLE;
    /// The most cycles of a bed.
    cycles: u32 = limits::MAX_CYCLES;
    /// The most layers of all forecasts of a request together.
    layers: usize = limits::MAX_LAYERS;
    /// The most tasks of a season.
    tasks: usize = limits::MAX_TASKS;
    /// The most days of a series of temperatures.
    daily_values: u64 = limits::MAX_DAYS;
    /// The longest hot composting, in days.
    hot_composting_days: u32 = limits::MAX_STAGE_DAYS;
    /// The most simulation runs of a season, or of what to produce.
    simulation_runs: i64 = limits::MAX_SIMULATION_RUNS;
    /// The most simulation runs x (demands + lots, twice where amounts are not certain, + 8 x (beds + their harvests) + a quarter of the days of their climates + demands x lots that
    /// expire / 8 + twice the days of each demand on which others open or lots are ready + priorities x (days on which a demand opens or a lot is ready x (1 + lots that expire) + days on
    /// which a demand opens x harvests) / 8 + values that go together + their square / 32) of a season, where each day of a tea counts as a demand, and simulation runs x days on which castings are short x numbers of layers x stretches between deadly days of what to produce.
    simulation_runs_of_demands_and_lots: u64 = limits::MAX_WORK;
    /// The most simulation runs x lots of beds of a season; also the most simulation runs x days on which castings are short x numbers of layers to
    /// choose among (8, or 1 where layers or ground are given) of what to produce.
    simulation_runs_of_bed_lots: u64 = limits::MAX_LOTS_DRAWN;
    /// The most days on which castings are short that are planned for one by one; what is short later is added to the last.
    additional_production_days: usize = crate::garden::balances::additional_production::MAX_DATES;
    /// The greatest seed of these runs.
    seed: i64 = limits::MAX_SEED;
    /// The greatest revision of a season.
    revision: i64 = limits::MAX_REVISION;
    /// The longest request in an address, in characters of base64url.
    link_characters: usize = limits::MAX_LINK;
    /// The most rows of a table below the names of its columns, empty ones among them.
    table_rows: usize = limits::MAX_TABLE_ROWS;
    /// The most columns of a table.
    table_columns: usize = limits::MAX_TABLE_COLUMNS;
    /// The longest id or name, in characters.
    name_characters: u64 = limits::MAX_NAME;
    /// The longest text of what an assumption is from, in characters.
    source_characters: u64 = limits::MAX_SOURCE;
    /// The most pairs of assumptions that go together.
    correlations: u64 = limits::MAX_CORRELATIONS;
    /// The most variants of a request.
    variants: u64 = limits::MAX_VARIANTS;
    /// The most errors listed in one answer.
    errors: usize = limits::MAX_FAULTS;
    /// The longest query, in bytes.
    query_bytes: usize = limits::MAX_QUERY;
    /// The first year.
    first_year: i32 = MIN_YEAR;
    /// The last year.
    last_year: i32 = MAX_YEAR;
    /// The longest span of dates in one request, in days.
    span_days: i64 = MAX_SPAN_DAYS;
    /// The bounds of each dimension.
    quantities: Vec<BoundsOut> = quantities();
}

/// The bounds of a dimension.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Bounds)]
pub struct BoundsOut {
    /// What is measured, such as length.
    pub dimension: &'static str,
    /// The least value.
    #[schema(value_type = f64)]
    pub min: Number,
    /// The greatest value.
    #[schema(value_type = f64)]
    pub max: Number,
    /// The unit of both.
    pub unit: &'static str,
}

/// The bounds of every dimension.
fn quantities() -> Vec<BoundsOut> {
    let all = Dimension::ALL.iter().map(|dimension| {
        let (min, max) = dimension.bounds();
        let scale = if *dimension == Dimension::Share { 100.0 } else { 1.0 };
        BoundsOut {
            dimension: dimension.as_str(),
            min: Number::rounded(min * scale),
            max: Number::rounded(max * scale),
            unit: dimension.base_unit(),
        }
    });
    all.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::balances::size::{BARRED, PORTIONS, SHARINGS_FOR_MINIMUM, SWEEPS, SWEEPS_FOR_PRIORITY};
    use utoipa::PartialSchema;

    #[test]
    fn the_steps_of_sharing_are_published_as_they_are_counted() {
        let schema = serde_json::to_value(LimitsAnswer::schema()).unwrap();
        let published = schema["properties"]["steps"]["description"].as_str().unwrap().replace('\n', " ");
        let counted = format!(
            "(lots + demands) x ({SWEEPS} + min(lots, demands) + {SWEEPS_FOR_PRIORITY} x priorities) x (1 + {PORTIONS} if \
             any demand asks `whole_portions` + {BARRED} if `enforce_application_to_harvest_interval` bars any lot) x (1 + \
             {SHARINGS_FOR_MINIMUM} x demands with a `minimum`) steps"
        );
        assert!(published.contains(&counted), "{published}");
    }
}
