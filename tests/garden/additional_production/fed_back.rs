//! The bed that is planned closes the gap, day for day and in as many runs as it should, and is part of the work.

use super::{as_bed, asked, earlier, of_production, short, still_short};
use crate::beds::laws::later;
use crate::beds::{fixed, kg, months, reported, weighing};
use crate::seasons::{exact_but, ml, requirement, season, sure};
use crate::support::{laws, on, span, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::balances::additional_production::{Batch, LimitingFactor, Means, Shortfall, last_day};
use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, Supply};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::work::{TaskKind, work};
use barrowful::garden::seasons::{BedPlan, Season, plan, simulate};
use barrowful::garden::units::{Area, Millilitres};
use chrono::NaiveDate;
use proptest::prelude::*;

/// The nearest number of nine digits: what is read off an answer.
fn nine_digits(x: f64) -> f64 {
    format!("{x:.8e}").parse().unwrap()
}

/// The same bed with its numbers as they are written.
fn as_written(bed: Bed) -> Bed {
    let supply = match bed.feed.supply {
        Supply::AllAtOnce(feed) => Supply::AllAtOnce(weighing(nine_digits(feed.kilograms()))),
        other => other,
    };
    Bed {
        area: Area::from_square_metres(nine_digits(bed.area.square_metres())).into(),
        worms: bed.worms.map(|worms| weighing(nine_digits(worms.kilograms()))),
        feed: Feed { supply, ..bed.feed },
        ..bed
    }
}

/// The last day to begin is among the work: for 90 of 100 where that is reported, and not where it is too late.
#[test]
fn producing_is_part_of_the_work() {
    let request = Overrides::default();
    let shortfall = short(200.0, "2027-09-01");
    let started = |runs: (u32, u64), as_of: Option<NaiveDate>| {
        let plans = asked(&[shortfall], &fixed(20.0), &request, |means| Means { runs, as_of, ..means });
        let season = season(Vec::new(), vec![(requirement(200.0, ("", "2027-09-01"), 1), sure())], &request);
        let tasks = work(&season, (&plan(&season, Off).unwrap(), &[]), &plans);
        let found = tasks.iter().find(|task| task.kind == TaskKind::StartProduction).map(|task| (task.on, task.volume));
        (found, plans)
    };
    // It says what to make: for 90 of 100 more than what is short.
    let task = |batch: Batch| Some((batch.start_on.unwrap(), Some(batch.castings.volume())));
    let (found, plans) = started((0, 1), None);
    assert_eq!(found, task(plans[0].likely));
    let (found, plans) = started((500, 1), None);
    assert_eq!(found, task(plans[0].at_90_percent.unwrap()));
    assert!(plans[0].at_90_percent.unwrap().castings > shortfall.amount);
    assert!(plans[0].at_90_percent.unwrap().start_on < plans[0].likely.start_on);
    let (found, plans) = started((500, 1), Some(on("2027-08-25")));
    assert_eq!((found, plans[0].likely.late.unwrap().limiting_factor), (None, LimitingFactor::Today));
}

fn places() -> impl Strategy<Value = Climate> {
    (-8.0_f64..10.0, 14.0_f64..27.0, 0.0_f64..4.0).prop_map(|(winter, summer, offset)| {
        let wave = |month: usize| 0.5 - 0.5 * (month as f64 / 6.0 * std::f64::consts::PI).cos();
        months(std::array::from_fn(|month| winter + (summer - winter) * wave(month)), offset)
    })
}

proptest! {
    #![proptest_config(laws(150))]

    /// Whoever follows the plan has enough in time, at the likely values, by the forecast and by the balance; whoever begins the
    /// worms a day later has not.
    #[test]
    fn the_plan_closes_the_gap_and_a_day_later_it_does_not(
        climate in places(),
        litres in prop_oneof![2.0_f64..900.0, 1e5_f64..1e7],
        day in 0_u64..365,
        layers in prop::option::of(1_u32..5),
        ground in prop::option::weighted(0.3, 0.9_f64..4.0),
        worms in prop::option::weighted(0.3, 0.3_f64..3.0),
    ) {
        let request = Overrides::default();
        let shortfall = Shortfall { by: later(on("2027-03-01"), day), amount: ml(litres) };
        // Ground and worms in shares of what the worked case has.
        let area = ground.map(|share| Area::from_square_metres(share * litres * 0.0156));
        let own = worms.map(|share| kg(share * litres * 0.025));
        let plans = asked(&[shortfall], &climate, &request, |means| Means { layers: layers.filter(|_| area.is_none()), area, worms: own, ..means });
        let batch = plans[0].likely;
        if batch.late.is_some() {
            prop_assert!(!batch.fits || batch.start_on.is_none());
            return Ok(());
        }
        let (start, request) = (batch.worms_in_on.unwrap(), of_production(&request));
        let until = last_day(None, &[shortfall]).unwrap().to_string();
        let forecast = reported(&as_bed(&batch, start), &climate, &until, &request).unwrap();
        prop_assert_eq!(forecast.layers.iter().filter(|laid| laid.cycle == 1).count(), batch.layers as usize);
        prop_assert_eq!(forecast.lots.first().map(|lot| lot.ready.likely), batch.ready_on);
        prop_assert_eq!(still_short(&forecast, shortfall), Millilitres::ZERO);
        prop_assert!(batch.castings >= shortfall.amount);
        let written = reported(&as_written(as_bed(&batch, start)), &climate, &until, &request).unwrap();
        prop_assert_eq!(still_short(&written, shortfall), Millilitres::ZERO);
        let slipped = reported(&as_bed(&batch, later(start, 1)), &climate, &until, &request).unwrap();
        prop_assert_eq!(still_short(&slipped, shortfall), shortfall.amount);
        prop_assert_eq!(batch.start_on, Some(earlier(start, 10)));
        // A slip never brings it forward.
        for slip in &plans[0].if_started_later {
            prop_assert!(slip.ready_on.is_none_or(|ready| ready > shortfall.by));
        }
    }
}

/// The bed for 90 %, started on its day, played again with another seed: the demand holds in 90 of 100 runs, and hardly more. 2,000
/// runs find the day to within sqrt(0.9 x 0.1/2,000), 20,000 runs find the chance to within sqrt(0.9 x 0.1/20,000); a day more or
/// less is worth about two of 100.
#[test]
fn the_bed_for_90_percent_holds_in_90_of_100_runs() {
    let request = exact_but(&[
        (Assumption::OrganicMatterLoss, span(0.25, 0.4, 0.6)),
        (Assumption::DryBulkDensity, span(200.0, 300.0, 450.0)),
        (Assumption::FeedRate, span(0.1, 0.15, 0.25)),
        (Assumption::Finishing, span(336.0, 672.0, 1440.0)),
        (Assumption::Drying, span(72.0, 168.0, 336.0)),
        (Assumption::ComfortLow, span(15.0, 18.0, 20.0)),
    ]);
    let mild = months([8.0, 9.0, 11.0, 14.0, 17.0, 20.0, 22.0, 22.0, 19.0, 15.0, 11.0, 9.0], 2.0);
    // Frost in January: castings wanted in March are started in the year before.
    let hard = months([-4.0, -2.0, 4.0, 9.0, 15.0, 19.0, 21.0, 20.0, 15.0, 9.0, 3.0, -2.0], 2.0);
    for (climate, by) in [(mild.clone(), "2027-09-01"), (hard.clone(), "2027-10-01"), (hard, "2027-03-15")] {
        let shortfall = short(200.0, by);
        let runs = (2_000, 1);
        let plans = asked(&[shortfall], &climate, &request, |means| Means { layers: Some(2), runs, ..means });
        let batch = plans[0].at_90_percent.unwrap();
        assert_eq!(batch.late, None);
        // Larger and earlier than the likely one.
        assert!(batch.feed > plans[0].likely.feed && batch.start_on < plans[0].likely.start_on);
        assert!(plans[0].latest_start_at_50_percent > batch.start_on);
        let chance = |start_on: NaiveDate| {
            let production = of_production(&request);
            let none = Overrides::default();
            let days = (start_on, later(shortfall.by, 200));
            let clocks = with(&production, |known| Clocks::new(&climate, days, known)).unwrap();
            let season = Season {
                beds: vec![BedPlan {
                    bed: as_bed(&batch, start_on),
                    clocks: &clocks,
                    overrides: &none,
                    manure: Manure::default(),
                }],
                until: days.1,
                ..season(Vec::new(), vec![(requirement(200.0, ("", by), 1), sure())], &production)
            };
            let planned = plan(&season, Off).unwrap();
            f64::from(simulate(&season, &planned, (20_000, 99)).unwrap().plan.demands[0].full) / 20_000.0
        };
        let found = chance(batch.worms_in_on.unwrap());
        let error = (0.09_f64 / 2_000.0 + 0.09 / 20_000.0).sqrt();
        assert!((0.9 - 3.0 * error..0.92 + 3.0 * error).contains(&found), "{by}: {found}");
        // The even chance has its day as well.
        let even = chance(later(plans[0].latest_start_at_50_percent.unwrap(), 10));
        let error = (0.25_f64 / 2_000.0 + 0.25 / 20_000.0).sqrt();
        // A likely plan that begins so late may not be in time at all: then the printed plan gives nothing.
        assert!(even == 0.0 || (0.5 - 3.0 * error..0.55 + 3.0 * error).contains(&even), "{by}: {even}");
    }
}
