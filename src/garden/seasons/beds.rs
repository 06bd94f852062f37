//! The beds of a season: each with its own feed or its part of the shared one, on the clocks of its temperatures.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::dates::check_start;
use crate::garden::assumptions::{Assumption, Known, Overrides};
use crate::garden::beds::{Bed, Climate, Clocks, Delivery, Feed, Running, Supply, first_cycle};
use crate::garden::cautions::waiting::Manure;
use crate::garden::figures::Recorder;
use crate::garden::formulas::PartByGround;
use crate::garden::refusal::Refusal;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::{OfArea, OfMass};
use chrono::NaiveDate;

/// A bed as it is said, before the feed and the climate that it shares are known.
#[derive(Debug, Clone)]
pub struct BedOrder {
    /// Its ground.
    pub area: Estimate<OfArea>,
    /// The morning on which it starts.
    pub start_on: NaiveDate,
    /// Live worms at the start; `None`: area x worms.stocking_density.
    pub worms: Option<Estimate<OfMass>>,
    /// Its own feed; `None`: its part of the shared one.
    pub feed: Option<Feed>,
    /// What is in it already.
    pub running: Option<Running>,
    /// Its own temperatures; `None`: those of the season.
    pub climate: Option<Climate>,
    /// What is known better for it.
    pub overrides: Overrides,
    /// What is known about manure in its feed.
    pub manure: Manure,
    /// How many layers are laid in a cycle; `None`: bed.layers_per_cycle.
    pub layers_per_cycle: Option<u32>,
    /// At most so many cycles.
    pub cycles: Option<u32>,
}

impl BedOrder {
    /// The first day whose temperature counts.
    #[must_use]
    pub fn first_day(&self) -> NaiveDate {
        Running::first_day(self.running.as_ref(), self.start_on)
    }
}

/// What the beds of a season share.
#[derive(Debug, Clone, Copy)]
pub struct Shared<'a> {
    /// The feed of all beds without their own, shared by ground.
    pub feed: Option<&'a Feed>,
    /// The temperatures of all beds without their own.
    pub climate: Option<&'a Climate>,
    /// The last day.
    pub until: NaiveDate,
    /// What the request knows better.
    pub request: &'a Overrides,
}

/// A bed with its feed.
#[derive(Debug, Clone)]
pub struct FedBed {
    /// The bed.
    pub bed: Bed,
    /// What is known better for it.
    pub overrides: Overrides,
    /// The place of its clocks in the list of clocks.
    pub clocks: usize,
    /// What is known about manure in its feed.
    pub manure: Manure,
}

/// The beds of a season with their feed, and the clocks that they go by.
#[derive(Debug, Clone)]
pub struct FedBeds {
    /// The beds, in the order given.
    pub beds: Vec<FedBed>,
    /// The clocks, each once.
    pub clocks: Vec<Clocks>,
}

/// What is wrong with a bed.
#[derive(Debug, Clone, PartialEq)]
pub struct RefusedBed {
    /// Its place in the list given.
    pub place: usize,
    /// Whether what is wrong is known for this bed, and not for all.
    pub is_own: bool,
    /// What is wrong.
    pub refusal: Refusal,
}

/// Gives each bed its feed and its clocks. Beds without their own feed share one by their ground; beds without their own temperatures,
/// and without a band of temperature known better for them, share their clocks.
///
/// With them comes all that is wrong, with the place of the bed: `dates_out_of_order` at `start_on` for a bed that starts after the last day;
/// what [`Clocks::new`] and [`first_cycle`] refuse. Such a bed is left out, and so is one that has no feed or no climate at all.
pub fn feed_and_clocks(
    orders: Vec<BedOrder>,
    shared: Shared<'_>,
    recorder: impl Recorder,
) -> (FedBeds, Vec<RefusedBed>) {
    let sharing: Vec<_> = orders.iter().filter(|bed| bed.feed.is_none()).map(|bed| bed.area).collect();
    let first = orders.iter().map(BedOrder::first_day).min().unwrap_or(shared.until);
    let mut placing = Placing { shared, first, common: None, clocks: Vec::new() };
    let (mut beds, mut refused) = (Vec::with_capacity(orders.len()), Vec::new());
    for (place, order) in orders.into_iter().enumerate() {
        let clocks = match placing.clocks_of(&order) {
            Ok(Some(clocks)) => clocks,
            Ok(None) => continue,
            Err(refusal) => {
                refused.push(RefusedBed { place, is_own: knows_temperatures(&order.overrides), refusal });
                continue;
            }
        };
        let part = |feed| part_of(feed, |F| recorder.figure(PartByGround { F, A: order.area, a: sharing.clone() }));
        let Some(feed) = order.feed.or_else(|| shared.feed.map(part)) else { continue };
        let BedOrder { area, worms, running, start_on, layers_per_cycle, cycles, overrides, manure, .. } = order;
        let bed = Bed { area, worms, running, start_on, feed, layers_per_cycle, cycles };
        let known = Known { request: shared.request, item: &overrides };
        match bed.check().and_then(|()| first_cycle(&bed, known)) {
            Ok(_) => beds.push(FedBed { bed, overrides, clocks, manure }),
            Err(refusal) => refused.push(RefusedBed { place, is_own: knows_layers(&overrides), refusal }),
        }
    }
    (FedBeds { beds, clocks: placing.clocks }, refused)
}

/// The clocks made so far.
struct Placing<'a> {
    shared: Shared<'a>,
    first: NaiveDate,
    /// The place of the clocks that all beds without their own temperatures share.
    common: Option<usize>,
    clocks: Vec<Clocks>,
}

impl Placing<'_> {
    /// The place of the clocks of a bed; `None` if it has no climate.
    fn clocks_of(&mut self, bed: &BedOrder) -> Result<Option<usize>, Refusal> {
        let Shared { climate, until, request, .. } = self.shared;
        check_start(bed.start_on, until)?;
        let own = bed.climate.is_some() || knows_temperatures(&bed.overrides);
        if let Some(at) = self.common.filter(|_| !own) {
            return Ok(Some(at));
        }
        let Some(climate) = bed.climate.as_ref().or(climate) else { return Ok(None) };
        let from = if own { bed.first_day() } else { self.first };
        self.clocks.push(Clocks::new(climate, (from, until), Known { request, item: &bed.overrides })?);
        let at = self.clocks.len() - 1;
        self.common = if own { self.common } else { Some(at) };
        Ok(Some(at))
    }
}

/// A part of a feed.
fn part_of(feed: &Feed, of: impl Fn(Estimate<OfMass>) -> Estimate<OfMass>) -> Feed {
    let supply = match &feed.supply {
        Supply::AsNeeded => Supply::AsNeeded,
        Supply::AllAtOnce(mass) => Supply::AllAtOnce(of(*mass)),
        Supply::OnDates(list) => {
            Supply::OnDates(list.iter().map(|d| Delivery { on: d.on, dry_matter: of(d.dry_matter) }).collect())
        }
    };
    Feed { supply, ..feed.clone() }
}

fn knows_temperatures(overrides: &Overrides) -> bool {
    use Assumption::{ComfortHigh, ComfortLow, StoppedAbove, StoppedBelow};
    [StoppedBelow, ComfortLow, ComfortHigh, StoppedAbove].into_iter().any(|which| overrides.get(which).is_some())
}

fn knows_layers(overrides: &Overrides) -> bool {
    use Assumption::{FirstLayer, FreshLayer, LaterLayer, MaxDepth};
    [FirstLayer, LaterLayer, FreshLayer, MaxDepth].into_iter().any(|which| overrides.get(which).is_some())
}
