//! What sets the pace of a bed, at the likely values and at the slow and the quick end of the assumptions, moved together.

use super::inputs::Inputs;
use super::{Bed, Pace};
use crate::garden::assumptions::Assumption;
use crate::garden::cautions::Rule;
use crate::garden::figures::Recorder;
use crate::garden::formulas::{DAY, MassPerArea, Sign};
use crate::garden::units::quantity::{OfArea, OfDuration, OfFeedRate, OfMass, OfMassPerArea, OfShare};
use crate::garden::units::{Duration, End, Estimate, ROUNDING_TOLERANCE, Share};

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

/// What is known of worms and castings over time, with its ranges.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rates {
    /// The worms of the first cycle.
    pub start: Estimate<OfMass>,
    /// Worms that the ground carries.
    pub carrying: Estimate<OfMassPerArea>,
    /// Warm days in which few worms double.
    pub doubling: Estimate<OfDuration>,
    /// Dry feed worked by worms in a warm day.
    pub feed_rate: Estimate<OfFeedRate>,
    /// Worms that start the next cycle, of those at the end.
    pub recovered: Estimate<OfShare>,
    /// The ground.
    pub area: Estimate<OfArea>,
    finishing: Estimate<OfDuration>,
    drying: Estimate<OfDuration>,
}

impl Rates {
    /// Gathers what is known; notes what to mind.
    pub fn known<R: Recorder>(bed: &Bed, inputs: &mut Inputs<'_, R>) -> Self {
        let carrying = inputs.take(Assumption::CarryingCapacity);
        let (doubling, feed_rate) = (inputs.take(Assumption::DoublingTime), inputs.take(Assumption::FeedRate));
        let start = bed.worms.unwrap_or_else(|| {
            let r = inputs.take(Assumption::StockingDensity);
            inputs.recorder.figure(MassPerArea { A: bed.area, r })
        });
        let (finishing, drying) = (inputs.take(Assumption::Finishing), inputs.take(Assumption::Drying));
        let recovered = inputs.take(Assumption::Recovered);
        let rates = Self { start, carrying, doubling, feed_rate, recovered, area: bed.area, finishing, drying };
        let Pacing { pace, .. } = rates.at(End::Likely);
        if pace.start() > pace.carries() {
            inputs.cautions.push(Rule::WormsAboveCarrying);
        }
        rates
    }

    /// What sets the pace at the slow end, the likely values and the quick end.
    pub fn pacings(&self) -> Three<Pacing> {
        [End::Low, End::Likely, End::High].map(|pace| self.at(pace))
    }

    /// At the low end of the pace: few worms that grow, feed and finish slowly.
    fn at(&self, pace: End) -> Pacing {
        let time = Sign::Falls.turn(pace);
        let carries = self.carrying.end(pace) * self.area.likely();
        Pacing {
            pace: Pace::new(self.start.end(pace), carries, self.doubling.end(time), self.feed_rate.end(pace)),
            finishing: days(self.finishing.end(time)),
            drying: (days(self.drying.end(time)) - ROUNDING_TOLERANCE).ceil(),
            recovered: self.recovered.end(pace),
        }
    }
}

fn days(duration: Duration) -> f64 {
    duration.hours() / DAY
}
