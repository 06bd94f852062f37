//! How large a bed: worked numbers, an independent solver, masses that go in and come out, and laws.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may stop at whatever is wrong")]

mod castings;
mod examples;
mod ground;
mod laws;
mod refusals;
mod solver;
mod weeks;

use crate::beds::{fixed, share, weighing};
use crate::support::{known, on, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::beds::sizing::{BedToSize, Feeding, HarvestDates, SizedBed, SizedBy, size_bed};
use barrowful::garden::beds::{Climate, Clocks, Feed, Supply};
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::Refusal;
use barrowful::garden::units::quantity::OfVolume;
use barrowful::garden::units::{Estimate, Volume};

fn litres(x: f64) -> Estimate<OfVolume> {
    Volume::from_litres(x).into()
}

/// A bed that starts on 1 April, for feed of 80 % water and 15 % ash.
fn asked(by: SizedBy) -> BedToSize {
    BedToSize {
        by,
        feed: Feed {
            moisture: share(0.8),
            ash: share(0.15),
            nitrogen: Some(share(0.02)),
            supply: Supply::AsNeeded,
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        start_on: on("2027-04-01"),
        ground: None,
        worms: None,
        to_buy: None,
        bins: None,
        feeding: Feeding::Weekly,
        harvest_dates: HarvestDates::Likely,
        layers_per_cycle: None,
        climate: 0,
    }
}

/// 7 kg a week with 80 % water are 1.4 kg of dry matter.
fn seven_kilograms_a_week() -> BedToSize {
    asked(SizedBy::EachWeek(weighing(1.4)))
}

fn sized(asked: &BedToSize, (climate, until): (&Climate, &str), request: &Overrides) -> Result<SizedBed, Refusal> {
    with(request, |known| {
        let clocks = Clocks::new(climate, (asked.start_on, on(until)), known)?;
        size_bed(asked, &clocks, known, Off)
    })
}

const YEAR: &str = "2028-03-31";

fn warm(asked: &BedToSize) -> SizedBed {
    sized(asked, (&fixed(20.0), YEAR), &Overrides::default()).unwrap()
}

/// The values of the worked example: carrying 5 kg/m2, stocking 1.6, doubling 75 days, feed rate 0.15, loss 40 %, sieve 80 %, 300 kg/m3.
fn worked() -> Overrides {
    known(&[
        (Assumption::CarryingCapacity, 5.0),
        (Assumption::StockingDensity, 1.6),
        (Assumption::DoublingTime, 75.0 * 24.0),
        (Assumption::FeedRate, 0.15),
        (Assumption::OrganicMatterLoss, 0.4),
        (Assumption::SieveYield, 0.8),
        (Assumption::DryBulkDensity, 300.0),
        (Assumption::BulkDensity, 600.0),
    ])
}
