//! The forecast of one bed: layers, worms, water, lots with dates.

use super::assemble::Assembly;
use super::clock::Clocks;
use super::layers::Closed;
use super::water::{Balance, Period};
use super::yields::Yield;
use super::{Bed, Climate, Deadly};
use crate::garden::assumptions::{Assumed, Known};
use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfMass, OfRatio, OfShare, OfVolume};
use crate::garden::units::{Estimate, Length, Mass, Volume};
use chrono::NaiveDate;

/// A layer that is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laid {
    /// The day.
    pub on: NaiveDate,
    /// The cycle, from 1.
    pub cycle: u32,
    /// How deep it lies when fresh.
    pub depth: Length,
    /// Its volume when fresh, at the likely bulk density of feed.
    pub volume: Volume,
    /// Its dry matter.
    pub dry_matter: Mass,
    /// Its mass, moist.
    pub mass: Mass,
    /// How deep the bed lies then, feed and castings.
    pub bed_depth: Length,
    /// The day on which it is worked through, where that is before the end.
    pub worked_on: Option<NaiveDate>,
}

/// The worms on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WormsOn {
    /// The day.
    pub on: NaiveDate,
    /// Live mass at this point of the work; bounds at the slow and the quick end.
    pub mass: Estimate<OfMass>,
}

/// When a lot is ready.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ready {
    /// At the quick end of the assumptions.
    pub earliest: NaiveDate,
    /// At the likely values.
    pub likely: NaiveDate,
    /// At the slow end; `None`: not within the forecast.
    pub latest: Option<NaiveDate>,
}

/// The castings of one cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Lot {
    /// The cycle, from 1.
    pub cycle: u32,
    /// Feed worked in it, dry matter.
    pub feed: Mass,
    /// Why its cycle took no more layers.
    pub closed: Closed,
    /// The morning on which the last layer is worked through.
    pub worked_on: NaiveDate,
    /// The morning on which the castings are finished.
    pub finished_on: NaiveDate,
    /// The morning on which they are dry and ready to use.
    pub ready: Ready,
    /// As they lie in the bed before the harvest.
    pub in_bed: Estimate<OfVolume>,
    /// Their moisture there, wet basis.
    pub bed_moisture: Estimate<OfShare>,
    /// As they lie in store, sieved; with their moisture there.
    pub yields: Yield,
    /// N in their dry matter, where that of the feed is given.
    pub nitrogen: Option<Estimate<OfShare>>,
    /// Carbon to nitrogen, where the nitrogen of the feed is given.
    pub carbon_to_nitrogen: Option<Estimate<OfRatio>>,
}

/// A forecast that ends early because the worms die.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stopped {
    /// The day.
    pub on: NaiveDate,
    /// Why.
    pub why: Deadly,
}

/// What a bed is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Worms work feed.
    Working,
    /// The bed is empty of feed, and more will come.
    Waiting,
    /// All is worked; the castings finish.
    Finishing,
    /// The castings dry.
    Drying,
    /// Nothing is left to do.
    Done,
}

/// The bed at the end of the forecast, at the likely values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EndState {
    /// The morning of this day: the one after the last, or the deadly one.
    pub on: NaiveDate,
    /// What it is doing.
    pub phase: Phase,
    /// Feed not worked, dry matter.
    pub unworked: Mass,
    /// Castings in it, dry matter.
    pub castings: Mass,
    /// How deep it lies.
    pub depth: Length,
    /// Live worms; those before the deadly day, if there is one.
    pub worms: Mass,
    /// Feed that was not laid, dry matter, come or to come; `None` if it comes as needed.
    pub feed_left: Option<Mass>,
}

/// What a bed does until a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Layers in order.
    pub layers: Vec<Laid>,
    /// Worms at each start of a cycle and each time a layer is worked through.
    pub worms: Vec<WormsOn>,
    /// Water from layer to layer.
    pub water: Vec<Period>,
    /// Castings ready by the last day, in order.
    pub lots: Vec<Lot>,
    /// The deadly day, if one comes.
    pub stopped: Option<Stopped>,
    /// The bed at the end.
    pub end: EndState,
    /// What went in and what came out.
    pub balance: Balance,
    /// What to mind.
    pub cautions: Vec<Rule>,
    /// What was assumed.
    pub assumed: Vec<Assumed>,
}

/// Answers "when does this bed give which castings, and what does it want until then?"
///
/// Worms grow and feed by [`super::Pace`] on the warm-day clock of [`Clocks`]. Layer k is worked through after `tau(S_k)` warm days
/// with feed, `S_k` the feed of the cycle up to it; the next is laid when a share is left (or later, when it fits or has come). A
/// cycle ends with finishing (warm days), then drying (whole calendar days); the next one starts on the morning on which the lot
/// is ready, with `recovered x` the worms at its end. Worms neither grow nor die while the bed has no feed. Bounds of dates:
/// all assumptions on pace at their slow and at their quick end; of volumes: all on loss, density and sieve at their ends.
///
/// # Errors
/// `out_of_range` for values beyond their bounds; `dates_out_of_order` if it starts after `until`; `inconsistent_assumptions`;
/// `missing_field` for a day without temperature; `too_large` above [`super::MOST_LAYERS`].
///
/// ```
/// use barrowful::garden::assumptions::{Known, Overrides};
/// use barrowful::garden::beds::{Bed, Climate, Feed, Supply, forecast};
/// use barrowful::garden::dates::date;
/// use barrowful::garden::units::{Area, Mass, Share, Temperature};
/// let bed = Bed {
///     area: Area::from_square_metres(4.0),
///     worms: Some(Mass::from_kilograms(6.4)),
///     running: None,
///     start_on: date("2027-04-01").unwrap(),
///     feed: Feed {
///         moisture: Share::from_fraction(0.75),
///         ash: Share::from_fraction(0.15),
///         nitrogen: None,
///         supply: Supply::AllAtOnce(Mass::from_kilograms(110.0)),
///     },
///     layers_per_cycle: 3,
///     cycles: None,
/// };
/// let none = Overrides::default();
/// let known = Known { request: &none, item: &none };
/// let climate = Climate::Fixed(Temperature::from_celsius(20.0));
/// let found = forecast(&bed, &climate, date("2027-12-31").unwrap(), known).unwrap();
/// assert_eq!((found.layers.len(), found.lots.len()), (3, 1));
/// assert!(forecast(&bed, &climate, date("2027-03-31").unwrap(), known).is_err());
/// ```
pub fn forecast(bed: &Bed, climate: &Climate, until: NaiveDate, known: Known<'_>) -> Result<Forecast, Refusal> {
    let clocks = Clocks::new(climate, (bed.start_on, until), known)?;
    forecast_on(bed, &clocks, known)
}

/// As [`forecast`], on clocks that several beds share; it goes to their last day.
///
/// # Errors
/// As [`forecast`]; `dates_out_of_order` also if the bed starts before the clocks' first day.
pub fn forecast_on(bed: &Bed, clocks: &Clocks, known: Known<'_>) -> Result<Forecast, Refusal> {
    bed.check()?;
    if bed.start_on < clocks.first() || bed.start_on > clocks.last() {
        let detail = format!(
            "the bed starts on {}, outside the forecast from {} to {}",
            bed.start_on,
            clocks.first(),
            clocks.last()
        );
        return Err(Refusal::new(Reason::DatesOutOfOrder, detail).at("start_on"));
    }
    Assembly::new(bed, clocks, known)?.run()
}
