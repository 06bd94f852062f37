//! How large a bed: the closed forms of a worm bed, solved the other way. From the feed that comes, or from the castings needed, to
//! ground, worms and bins; then the same simulator as everywhere says what that bed does.

mod castings;
mod feed;
mod first;
mod plan;
mod size;
mod weeks;

pub use castings::{CastingsBy, CastingsReady, MAX_BEDS, MAX_CHOICES};
pub use feed::Limit;
pub use first::needed_too_early;
pub use size::{BinsNeeded, Enough, Size, Thumb};
pub use weeks::{WEEK, Waiting, Week, Winter};

use super::{Bed, Clocks, Delivery, Feed, Forecast, Ready};
use crate::garden::assumptions::{Assumption, Known, Overrides, bounds};
use crate::garden::closed_list::closed_list;
use crate::garden::figures::Recorder;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass, OfVolume};
use crate::garden::units::round::to_nine_digits;
use chrono::NaiveDate;

/// The most weeks of a plan: each is a delivery of feed. Source: limit of this service.
pub const MAX_WEEKS: usize = 500;

/// What a bed is sized by.
#[derive(Debug, Clone, PartialEq)]
pub enum SizedBy {
    /// So much feed comes each week, dry matter.
    EachWeek(Estimate<OfMass>),
    /// Feed comes on dates; it is kept and fed as the worms eat.
    OnDates(Vec<Delivery>),
    /// So much is to be harvested by these days, sieved, as it lies in store.
    Castings(Vec<CastingsBy>),
}

/// How a bed is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Feeding {
    /// A little each week, as much as the worms eat.
    #[default]
    Weekly,
    /// In layers of the usual depth.
    Layers,
}

closed_list! {
    /// Which day of a harvest must be in time for the castings needed.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
    pub enum HarvestDates {
        /// The day at the likely values.
        #[default]
        Likely = "likely",
        /// The day at the slow end of the assumptions.
        Latest = "latest",
    }
}

impl HarvestDates {
    /// That day of a harvest; `None` where it is not within the plan.
    #[must_use]
    pub const fn of(self, ready: Ready) -> Option<NaiveDate> {
        match self {
            Self::Likely => Some(ready.likely),
            Self::Latest => ready.latest,
        }
    }
}

/// Bins of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bins {
    /// What one holds.
    pub capacity: Estimate<OfVolume>,
    /// The ground of one; `None`: as much as fills it to bed.max_depth.
    pub ground: Option<Estimate<OfArea>>,
}

/// A bed to size.
#[derive(Debug, Clone, PartialEq)]
pub struct BedToSize {
    /// What it is sized by.
    pub by: SizedBy,
    /// What it is fed; how much comes when is set here.
    pub feed: Feed,
    /// The morning on which it starts.
    pub start_on: NaiveDate,
    /// The ground that is there; `None`: as much as is needed.
    pub ground: Option<Estimate<OfArea>>,
    /// Live worms that are there.
    pub worms: Option<Estimate<OfMass>>,
    /// Live worms that are bought for the start; `None`: none where some are there, else all that are needed.
    pub to_buy: Option<Estimate<OfMass>>,
    /// The bins that are there.
    pub bins: Option<Bins>,
    /// How it is fed.
    pub feeding: Feeding,
    /// Which days of its harvests count for the castings needed.
    pub harvest_dates: HarvestDates,
    /// How many layers of the usual depth make a harvest; `None`: `bed.layers_per_cycle`, or what suits the castings needed.
    pub layers_per_cycle: Option<u32>,
    /// The number of what is recorded of its temperatures.
    pub climate: u32,
}

/// A bed with its size, and what it does.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedBed {
    /// Ground, worms and bins.
    pub size: Size,
    /// The bed, to forecast.
    pub bed: Bed,
    /// What holds of this bed alone: the depth of its layers.
    pub own: Overrides,
    /// What it does.
    pub forecast: Forecast,
    /// What comes, is eaten and waits, week by week.
    pub weeks: Vec<Week>,
    /// When most feed waits.
    pub waiting: Option<Waiting>,
    /// The longest time without any warmth.
    pub winter: Option<Winter>,
    /// What limits it.
    pub limit: Limit,
    /// Castings by the days on which they are needed.
    pub castings: Vec<CastingsReady>,
}

/// Answers "how large a bed, how many worms?" on clocks that start with the bed and end with its plan.
///
/// Steady feed: worms `B = (dry feed a day) / (f g)`, with `g` the warm days over all days of the plan. Feed on dates is kept, and taken as
/// eaten over all days of the plan, so that `B f` times the warm days of the plan is all of it. Ground `B / carrying
/// capacity` at least, `B / stocking density` with room to grow. Castings: the number of layers and the smallest ground whose harvests
/// make the castings needed by each of their days. Rules of thumb go by the feed of each week as it comes, else by all of it over the weeks in
/// which the bed takes feed. Masses are dry matter, worms live mass.
///
/// # Errors
/// `dates_out_of_order` where the clocks start on another day, or castings are needed before any bed has them; `impossible_value`
/// without any warm day; `out_of_range` above [`MAX_WEEKS`] or below one week; and what [`super::forecast_on`] refuses.
pub fn size_bed(
    asked: &BedToSize,
    clocks: &Clocks,
    known: Known<'_>,
    recorder: impl Recorder,
) -> Result<SizedBed, Refusal> {
    check(asked, clocks)?;
    let sized = match &asked.by {
        SizedBy::Castings(needed) => castings::size(asked, needed, (clocks, known), recorder)?,
        SizedBy::EachWeek(_) | SizedBy::OnDates(_) => feed::size(asked, (clocks, known), recorder)?,
    };
    Ok(sized)
}

/// Checks the days of the plan.
fn check(asked: &BedToSize, clocks: &Clocks) -> Result<(), Refusal> {
    if asked.start_on != clocks.first() {
        let detail = format!("the bed starts on {}, and its temperatures on {}", asked.start_on, clocks.first());
        return Err(Refusal::new(Reason::DatesOutOfOrder, detail).at("start_on"));
    }
    check_bins(asked)?;
    check_length(clocks.first(), clocks.last())
}

/// Checks that a plan has at least one week, and at most [`MAX_WEEKS`].
///
/// # Errors
/// `out_of_range`, about `until`.
pub fn check_length(first: NaiveDate, last: NaiveDate) -> Result<(), Refusal> {
    let days = (last - first).num_days() + 1;
    let week = i64::from(WEEK);
    let weeks = (days + week - 1).div_euclid(week);
    if days >= week && usize::try_from(weeks).is_ok_and(|weeks| weeks <= MAX_WEEKS) {
        return Ok(());
    }
    let detail = format!(
        "a plan has from 1 to {MAX_WEEKS} weeks, and from {first} to {last} there are {} days; give another last day",
        days.max(0)
    );
    Err(Refusal::new(Reason::OutOfRange, detail).at("until"))
}

/// Checks that bins are deep enough to lay feed in them.
fn check_bins(asked: &BedToSize) -> Result<(), Refusal> {
    let Some(Bins { capacity, ground: Some(ground) }) = asked.bins else { return Ok(()) };
    let depth = (capacity.likely() / ground.likely()).metres();
    let (thinnest, _) = bounds(Assumption::FirstLayer);
    if depth >= thinnest {
        return Ok(());
    }
    let detail = format!(
        "{} L on {} m2 are less than {} mm deep; give what one bin holds and the ground of that bin, as in 60 L on 0.2 m2",
        to_nine_digits(capacity.litres()),
        to_nine_digits(ground.square_metres()),
        thinnest * 1000.0
    );
    Err(Refusal::new(Reason::OutOfRange, detail).at("capacity"))
}
