//! What sets the pace of a bed, at the likely values and at the slow and the quick end of the assumptions, moved together.

use super::{Bed, Pace};
use crate::garden::assumptions::{Assumed, Assumption, Known};
use crate::garden::cautions::Rule;
use crate::garden::units::quantity::{OfDuration, OfMassPerArea, OfShare};
use crate::garden::units::{Duration, Estimate, FeedRate, HAIR, Mass, MassPerArea, Measured, Quantity, Share};

/// Slow, likely, quick.
pub(super) type Three<T> = [T; 3];

/// What sets the pace, at one of the three ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pacing {
    /// The worms of the first cycle.
    pub pace: Pace,
    /// Warm days of finishing.
    pub finishing: f64,
    /// Whole days of drying.
    pub drying: f64,
    /// Worms that start the next cycle, of those at the end.
    pub recovered: Share,
}

/// Gathers the three; notes what was assumed and what to mind.
pub(super) fn pacing(bed: &Bed, known: Known<'_>, notes: (&mut Vec<Assumed>, &mut Vec<Rule>)) -> Three<Pacing> {
    let (assumed, cautions) = notes;
    let mut rates = Rates { known, assumed };
    let carrying: Three<MassPerArea> = rates.rising::<OfMassPerArea>(Assumption::CarryingDensity);
    let doubling: Three<Duration> = rates.falling::<OfDuration>(Assumption::DoublingTime);
    let feed_rate: Three<FeedRate> = rates.rising(Assumption::FeedRate);
    let start: Three<Mass> = match bed.worms {
        Some(worms) => [worms; 3],
        None => rates.rising::<OfMassPerArea>(Assumption::Stocking).map(|density| density * bed.area),
    };
    let finishing = rates.falling::<OfDuration>(Assumption::Finishing);
    let drying = rates.falling::<OfDuration>(Assumption::Drying);
    let recovered = rates.rising::<OfShare>(Assumption::Recovered);
    let [slow, likely, quick] = [0, 1, 2].map(|i| {
        let pace = Pace::new(pick(&start, i), pick(&carrying, i) * bed.area, pick(&doubling, i), pick(&feed_rate, i));
        Pacing {
            pace,
            finishing: days(pick(&finishing, i)),
            drying: (days(pick(&drying, i)) - HAIR).ceil(),
            recovered: pick(&recovered, i),
        }
    });
    if likely.pace.start() > likely.pace.carries() {
        cautions.push(Rule::WormsAboveCarrying);
    }
    [slow, likely, quick]
}

fn pick<D: Measured>(three: &Three<Quantity<D>>, i: usize) -> Quantity<D> {
    three.get(i).copied().unwrap_or(Quantity::from_base(f64::NAN))
}

fn days(duration: Duration) -> f64 {
    duration.hours() / 24.0
}

struct Rates<'a, 'k> {
    known: Known<'k>,
    assumed: &'a mut Vec<Assumed>,
}

impl Rates<'_, '_> {
    /// More of it is quicker.
    fn rising<D: Measured>(&mut self, assumption: Assumption) -> Three<Quantity<D>> {
        let (estimate, used): (Estimate<D>, _) = self.known.estimate(assumption);
        self.assumed.extend(used);
        [estimate.low(), estimate.likely(), estimate.high()]
    }

    /// Less of it is quicker.
    fn falling<D: Measured>(&mut self, assumption: Assumption) -> Three<Quantity<D>> {
        let [low, likely, high] = self.rising(assumption);
        [high, likely, low]
    }
}
