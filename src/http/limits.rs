//! Every limit of the wire, once: the check, its message and the document use these. One that the core checks as well is the core's
//! constant.

use crate::garden::calibrations;
use crate::garden::dates::MAX_SPAN_DAYS;
use crate::garden::draws::MAX_RUNS;
use crate::garden::feeds;

/// A limit of the core as lists of the wire count.
#[expect(clippy::as_conversions, reason = "no count has more than 64 bits")]
const fn wire(limit: usize) -> u64 {
    limit as u64
}

/// The largest body, after decompression: 4 MiB, some 25,000 areas of the usual length.
pub const MAX_BODY: usize = 4 * 1024 * 1024;
/// Bytes of a batch that are read before its lines are answered, where so many are there at once.
pub const BATCH_AHEAD: usize = 1024 * 1024;
/// Bytes of answers of a batch that are computed before they are sent; one that is longer by itself goes alone.
pub const BATCH_PIECE: usize = 256 * 1024;
/// The most items in a list of areas, brews or demands.
pub const MAX_ITEMS: u64 = 10_000;
/// The most stock lots.
pub const MAX_STOCK: u64 = 1_000;
/// The most demands with a `minimum`: the stock is shared anew for each of them.
pub const MAX_MINIMUMS: usize = 100;
/// With `explain`: the most areas, brews, batches, lots, demands, heaps, beds, layers, weeks, harvests and observations together. Each has some
/// twenty figures.
pub const MAX_EXPLAINED: usize = 500;
/// The most steps of computing that one answer may take, by an estimate made before.
pub const MAX_STEPS: u64 = crate::garden::work::MAX_STEPS;
/// A question of at most so many steps, by its estimate, is answered on the worker that read it, within a few milliseconds; a longer one
/// waits its turn elsewhere, so that small questions stay quick meanwhile.
pub const MAX_STEPS_AT_ONCE: u64 = 100_000;
/// Long questions computed at the same time at the most, as many as there are cores if these are fewer: each may take 128 MB.
pub const MAX_LONG_AT_ONCE: usize = 4;
/// A long question gives way to small ones no more often than this: short beside what a small one takes as its callers see it.
pub const YIELD_INTERVAL: std::time::Duration = std::time::Duration::from_micros(250);
/// Long questions that wait for their turn; more have to come again.
pub const LONG_WAITING: usize = 16;
/// Bytes of a request or an answer that are not counted among those that the service holds: so many of them as there may be connections,
/// and small questions are answered also while large ones take all that is counted.
pub const UNCOUNTED_BYTES: usize = 64 * 1024;
/// The most connections of one worker. A connection takes some 20 kB, and up to 64 KiB of a request and as much of an answer that are not
/// counted.
pub const MAX_CONNECTIONS: usize = 1_024;
/// The most rows of a table below the names of its columns, empty ones among them.
pub const MAX_TABLE_ROWS: usize = 20_000;
/// The most columns of a table.
pub const MAX_TABLE_COLUMNS: usize = 100;
/// The most worm beds, and the most heaps.
pub const MAX_BEDS: u64 = 200;
/// The most feeds reported for one bed.
pub const MAX_FEEDS: u64 = 100;
/// The most deliveries of feed to one bed.
pub const MAX_DELIVERIES: u64 = 500;
/// The most beds with records of a calibration.
pub const MAX_RECORDS: u64 = wire(calibrations::MAX_RECORDS);
/// The most observations of all records of a calibration together: it adds up their errors for each of some 30,000 draws.
pub const MAX_OBSERVATIONS: u64 = wire(calibrations::MAX_OBSERVATIONS);
/// The most days by which castings are needed from a bed that is sized.
pub const MAX_NEEDS: u64 = 100;
/// The most weeks of the plan of a bed that is sized.
pub const MAX_WEEKS: usize = crate::garden::beds::sizing::MAX_WEEKS;
/// The most layers in one cycle of a bed.
pub const MAX_LAYERS_PER_CYCLE: u32 = crate::garden::assumptions::MAX_LAYERS_PER_CYCLE;
/// The most cycles of a bed.
pub const MAX_CYCLES: u32 = 1_000;
/// The most layers of all forecasts of a request together: the answer lists each.
pub const MAX_LAYERS: usize = crate::garden::beds::MAX_LAYERS_TOGETHER;
/// The most days of a series of temperatures: those of the longest span, both ends counted.
pub const MAX_DAYS: u64 = MAX_SPAN_DAYS.unsigned_abs() + 1;
/// The most containers of the caller's.
pub const MAX_CONTAINERS: u64 = 20;
/// The most repeats of one shape.
pub const MAX_COUNT: u32 = 1_000_000;
/// The fewest corners of a polygon.
pub const MIN_CORNERS: u64 = 3;
/// The most corners of a polygon: every pair of sides is compared.
pub const MAX_CORNERS: u64 = 1_000;
/// The most batches of all brews of a request together: the answer lists each.
pub const MAX_BATCHES: usize = 10_000;
/// The most times of demands, and batches of repeated brews, that are made of one request; fewer are shared where that is much work.
pub const MAX_SHARED: usize = 50_000;
/// The most tasks of a season: the answer lists each.
pub const MAX_TASKS: usize = 12_000;
/// The most vessels of one brew.
pub const MAX_BREWERS: u32 = 1_000;
/// The most additives of one brew.
pub const MAX_ADDITIVES: u64 = 50;
/// The longest name of a container, in characters.
pub const MAX_CONTAINER_NAME: u64 = 40;
/// The smallest amount that can be asked for or has a price: a millilitre, or a gram.
pub const MIN_AMOUNT: f64 = 1e-3;
/// The highest price of a sack.
pub const MAX_PRICE: f64 = 1_000_000.0;
/// The smallest share that is computed with.
pub const MIN_SHARE: f64 = crate::garden::assumptions::MIN_SHARE;
/// The most that a layer settles, as a share of its depth.
pub const MAX_SETTLING: f64 = 0.5;
/// The most materials of one mix.
pub const MAX_MATERIALS: u64 = wire(feeds::MAX_INGREDIENTS);
/// The least parts of one material of a mix.
pub const MIN_PARTS_OF_MIX: f64 = 0.001;
/// The most parts of one material of a mix.
pub const MAX_PARTS_OF_MIX: f64 = 1_000.0;
/// The longest hot composting, in days.
pub const MAX_STAGE_DAYS: u32 = feeds::MAX_STAGE_DAYS;
/// The most turnings of a windrow: one a day.
pub const MAX_TURNINGS: u32 = MAX_STAGE_DAYS;
/// The highest ratio of carbon to nitrogen.
pub const MAX_RATIO: f64 = feeds::MAX_RATIO;
/// The longest id or name, in characters.
pub const MAX_NAME: u64 = 100;
/// The longest text of what an assumption is from, in characters.
pub const MAX_SOURCE: u64 = 200;
/// The most pairs of assumptions that go together.
pub const MAX_CORRELATIONS: u64 = 200;
/// The longest name of a currency, in characters.
pub const MAX_CURRENCY: u64 = 10;
/// The most variants of a request.
pub const MAX_VARIANTS: u64 = 20;
/// The most errors reported in one answer.
pub const MAX_FAULTS: usize = 100;
/// The least urgent priority.
pub const MAX_PRIORITY: u8 = 99;
/// The longest query of a cell: what spreadsheets send at most, with room to spare.
pub const MAX_QUERY: usize = 8 * 1024;
/// The most simulation runs of a season.
#[expect(clippy::as_conversions, reason = "every number of 32 bits is one of 64 bits")]
pub const MAX_SIMULATION_RUNS: i64 = MAX_RUNS as i64;
/// The most simulation runs x steps of a run of a season ([`crate::garden::seasons::SeasonPlan::work_of_a_run`]), and simulation runs x days
/// to produce for x numbers of layers x stretches between deadly days: within two seconds of one core.
pub const MAX_WORK: u64 = crate::garden::work::MAX_STEPS_OF_RUNS;
/// The most simulation runs x lots of beds of a season, and simulation runs x days to produce for x numbers of layers: each keeps a date
/// and an amount, 16 bytes, until the end.
pub const MAX_LOTS_DRAWN: u64 = crate::garden::work::MAX_DATES_KEPT;
/// The greatest seed: the greatest whole number that every reader of JSON keeps exactly.
pub const MAX_SEED: i64 = 9_007_199_254_740_991;
/// The greatest revision of a season, as a calendar takes it.
pub const MAX_REVISION: i64 = 2_147_483_647;
/// The longest request in an address: 8 KiB of base64url.
pub const MAX_LINK: usize = 8 * 1024;
/// The most materials of a mix whose amounts are given for each layer, week and task; of more only the total of each is given, so that answers
/// stay short.
pub const MAX_MATERIALS_OF_A_LAYER: usize = 10;
/// The same for the amounts of these materials together, each counted once and once more for each container of the caller's.
pub const MAX_AMOUNTS_OF_A_LAYER: usize = 60;
