//! What records say, against outside computations and laws.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    clippy::panic,
    reason = "a test may stop at whatever is wrong"
)]

mod gardens;
mod reference;

use crate::support::{given, near, on as day};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::beds::{Bed, BedSimulator, Climate, Clocks, Feed, History, Observation, Supply};
use barrowful::garden::calibrations::{
    Calibrated, Calibration, DAYS_AFTER, Gathered, MisfitReason, Record, RecordPlace, calibrate, check,
};
use barrowful::garden::draws::{Numbers, Run, Variable, Variables, split_triangle};
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::{Area, Density, Mass, Share, Temperature, Volume};
use chrono::Days;

/// Every day counts as a whole warm day, whatever the worms' band.
fn warm() -> [Clocks; 1] {
    let none = Overrides::default();
    let climate = Climate::Fixed(Temperature::from_celsius(21.0));
    let until = day("2026-12-31") + Days::new(DAYS_AFTER);
    [Clocks::new(&climate, (day("2026-04-01"), until), Known { request: &none, item: &none }).unwrap()]
}

fn litres(harvest: usize, litres: f64) -> Observation {
    Observation::Harvested { harvest, castings: Volume::from_litres(litres) }
}

/// Three square metres, 70 kg of dry feed in two portions, harvested on 1 October.
fn bed() -> History {
    History {
        area: Area::from_square_metres(3.0),
        worms: Some(Mass::from_kilograms(4.8)),
        start_on: day("2026-04-01"),
        ash: Share::from_fraction(0.15),
        fed: vec![(day("2026-04-01"), Mass::from_kilograms(40.0)), (day("2026-05-15"), Mass::from_kilograms(30.0))],
        harvested_on: vec![day("2026-10-01")],
    }
}

fn record(observations: Vec<Observation>) -> Record {
    Record { history: bed(), observations, clocks: 0 }
}

fn calibrated(records: &[Record], request: &Overrides) -> Calibration {
    calibrate(records, &Gathered { clocks: &warm(), request, seed: 1 }).unwrap()
}

fn value(of: &Calibration, which: Assumption) -> &Calibrated {
    of.values.iter().find(|value| value.assumption == which).unwrap()
}

/// The share of a range between its 5 and 95 of 100 that is left.
fn left(of: &Calibrated) -> f64 {
    let before = [0.05, 0.95].map(|u| split_triangle(of.before, u));
    (of.percentiles[2] - of.percentiles[0]) / (before[1] - before[0])
}

#[test]
fn without_records_nothing_changes() {
    for records in [vec![], vec![record(vec![])]] {
        let found = calibrated(&records, &Overrides::default());
        assert!(found.values.is_empty() && found.correlations.is_empty());
        assert!(found.records.iter().all(Vec::is_empty));
    }
}

#[test]
fn the_order_of_records_changes_nothing_and_a_seed_gives_the_same_answer() {
    let garden = gardens::garden(4, 3);
    let none = Overrides::default();
    let gathered = Gathered { clocks: &garden.clocks, request: &none, seed: 7 };
    let found = calibrate(&garden.records, &gathered).unwrap();
    let turned: Vec<Record> = [2, 0, 1].map(|place| garden.records[place].clone()).to_vec();
    let mut again = calibrate(&turned, &gathered).unwrap();
    again.records = [1, 2, 0].map(|place| again.records[place].clone()).to_vec();
    for value in &mut again.values {
        value.moved_by = [1, 2, 0].map(|place| value.moved_by[place]).to_vec();
    }
    assert_eq!(format!("{found:?}"), format!("{again:?}"));
    let other = calibrate(&garden.records, &Gathered { seed: 8, ..gathered }).unwrap();
    assert_ne!(format!("{found:?}"), format!("{other:?}"));
    for value in &found.values {
        let Some(same) = other.values.iter().find(|other| other.assumption == value.assumption) else { continue };
        let width = value.before.high - value.before.low;
        for (a, b) in value.percentiles.iter().zip(same.percentiles) {
            assert!((a - b).abs() < 0.05 * width, "{value:?} {same:?}");
        }
    }
}

#[test]
fn records_that_hit_the_likely_values_move_no_middle_far() {
    let likely = record(vec![litres(0, 107.333), Observation::Ready { harvest: 0, on: day("2026-07-22") }]);
    let found = calibrated(&[likely], &Overrides::default());
    for value in &found.values {
        let [low, middle, high] = [0.05, 0.5, 0.95].map(|u| split_triangle(value.before, u));
        assert!((value.percentiles[1] - middle).abs() <= 0.1 * (high - low), "{value:?}");
    }
    let [before, after] = [found.records[0][0].before, found.records[0][0].after];
    assert_ne!(before, after);
}

#[test]
fn more_error_never_narrows_where_the_measurement_lies_inside_the_range() {
    let measured = record(vec![Observation::SieveYield(Share::from_fraction(0.82))]);
    let width = |error: f64| {
        let span = Span::exactly(error);
        let found = calibrated(std::slice::from_ref(&measured), &given(&[(Assumption::RecordedSieveYield, span)]));
        left(value(&found, Assumption::SieveYield))
    };
    let widths = [0.01, 0.02, 0.04, 0.08].map(width);
    assert!(widths.is_sorted(), "{widths:?}");
    assert!(widths[0] < 0.25 && widths[3] > 0.6, "{widths:?}");
}

#[test]
fn more_records_narrow_more() {
    let one = record(vec![Observation::Ready { harvest: 0, on: day("2026-07-22") }]);
    let left = [1, 4]
        .map(|times| left(value(&calibrated(&vec![one.clone(); times], &Overrides::default()), Assumption::Finishing)));
    assert!(left[1] < left[0], "{left:?}");
}

#[test]
fn what_litres_cannot_tell_apart_a_container_a_sieve_and_ash_do() {
    let only = calibrated(&[record(vec![litres(0, 90.0)])], &Overrides::default());
    let all = vec![
        litres(0, 90.0),
        Observation::SieveYield(Share::from_fraction(0.78)),
        Observation::DryBulkDensity(Density::from_kilograms_per_cubic_metre(320.0)),
        Observation::Ash(Share::from_fraction(0.29)),
    ];
    let all = calibrated(&[record(all)], &Overrides::default());
    let which = [Assumption::DryBulkDensity, Assumption::SieveYield, Assumption::OrganicMatterLoss];
    for which in which {
        assert!(left(value(&all, which)) < 0.8 * left(value(&only, which)), "{}", which.id());
    }
    // 1 - 0.15 x 0.71 / (0.29 x 0.85) = 0.568 by ash alone.
    assert!(near(value(&all, Assumption::OrganicMatterLoss).percentiles[1], 0.568, 0.1));
}

#[test]
fn records_that_contradict_each_other_are_reported_with_a_likely_reason() {
    let usual =
        |litres_: f64| record(vec![litres(0, litres_), Observation::Ready { harvest: 0, on: day("2026-07-24") }]);
    let mut records = vec![usual(104.0), usual(98.0), usual(110.0), usual(101.0)];
    let fine = calibrated(&records, &Overrides::default());
    assert!(fine.records.iter().flatten().all(|fit| fit.off.is_none()), "{:?}", fine.records);
    records[2] = usual(40.0);
    let found = calibrated(&records, &Overrides::default());
    let off: Vec<Option<MisfitReason>> = found.records.iter().map(|fits| fits[0].off).collect();
    assert_eq!(off, [None, None, Some(MisfitReason::FewerCastings), None]);
}

#[test]
fn a_value_pressed_to_the_edge_of_its_range_is_reported() {
    let slow = record(vec![Observation::Eaten { feeding: 1, on: day("2026-09-20") }]);
    let found = calibrated(&vec![slow; 4], &Overrides::default());
    assert!(value(&found, Assumption::FeedRate).outside);
    let usual = record(vec![Observation::Eaten { feeding: 1, on: day("2026-06-20") }]);
    assert!(!value(&calibrated(&[usual], &Overrides::default()), Assumption::FeedRate).outside);
}

#[test]
fn what_cannot_be_is_refused_with_its_place() {
    let none = Overrides::default();
    let places = |record: &Record| {
        check(record, &none).into_iter().map(|(place, refusal)| (place, refusal.reason)).collect::<Vec<_>>()
    };
    assert_eq!(places(&record(vec![litres(0, 90.0)])), []);
    // 70 kg of dry feed make at most 350 L at 200 kg/m3.
    assert_eq!(places(&record(vec![litres(0, 349.0)])), []);
    assert_eq!(places(&record(vec![litres(0, 351.0)])), [(RecordPlace::Harvested(0), Reason::ImpossibleValue)]);
    // The castings of a harvest count with those before it, in whichever order they are given.
    let mut two = record(vec![litres(1, 330.0), litres(0, 15.0)]);
    two.history.harvested_on = vec![day("2026-05-01"), day("2026-10-01")];
    assert_eq!(places(&two), []);
    two.observations[1] = litres(0, 21.0);
    assert_eq!(places(&two), [(RecordPlace::Harvested(1), Reason::ImpossibleValue)]);
    let mut early = record(vec![]);
    early.history.harvested_on = vec![day("2026-04-01"), day("2026-04-01")];
    let twice =
        [(RecordPlace::Harvested(0), Reason::DatesOutOfOrder), (RecordPlace::Harvested(1), Reason::DatesOutOfOrder)];
    assert_eq!(places(&early), twice);
    let mut before = record(vec![]);
    before.history.fed[0].0 = day("2026-03-31");
    assert_eq!(places(&before), [(RecordPlace::Fed(0), Reason::DatesOutOfOrder)]);
    let late = [
        Observation::Ready { harvest: 0, on: day("2026-10-02") },
        Observation::Eaten { feeding: 1, on: day("2026-05-14") },
        Observation::NotEaten { feeding: 1, on: day("2026-10-02") },
        Observation::WormsWeighed { on: day("2026-03-31"), worms: Mass::from_kilograms(1.0) },
    ];
    let wrong = (0..4).map(|place| (RecordPlace::Observation(place), Reason::DatesOutOfOrder)).collect::<Vec<_>>();
    assert_eq!(places(&record(late.to_vec())), wrong);
}

#[test]
fn castings_that_are_weighed_are_those_that_are_measured_at_their_bulk_density() {
    let known = given(&[(Assumption::BulkDensity, Span::exactly(750.0))]);
    let by = |observation| calibrated(&[record(vec![observation])], &known);
    let weighed = by(Observation::HarvestedMass { harvest: 0, castings: Mass::from_kilograms(60.0) });
    let measured = by(litres(0, 80.0));
    for (a, b) in weighed.values.iter().zip(&measured.values) {
        assert!(a.percentiles.iter().zip(b.percentiles).all(|(a, b)| near(*a, b, 1e-9)), "{a:?} {b:?}");
    }
    assert_eq!(weighed.values.len(), measured.values.len());
    // A weighed container beside it tells how heavy they are.
    let both = vec![
        Observation::HarvestedMass { harvest: 0, castings: Mass::from_kilograms(60.0) },
        Observation::BulkDensity(Density::from_kilograms_per_cubic_metre(750.0)),
    ];
    let both = calibrated(&[record(both)], &Overrides::default());
    assert!((600.0..800.0).contains(&value(&both, Assumption::BulkDensity).percentiles[1]));
    let heavy = Observation::HarvestedMass { harvest: 0, castings: Mass::from_kilograms(320.0) };
    assert!(check(&record(vec![heavy]), &known).len() == 1, "70 kg of dry matter at 200 of 750 kg/m3 are 262.5 kg");
}

#[test]
fn a_bed_that_does_not_finish_is_followed_to_the_end() {
    let none = Overrides::default();
    let cold = Climate::Fixed(Temperature::from_celsius(3.0));
    let until = day("2026-12-31") + Days::new(DAYS_AFTER);
    let clocks = [Clocks::new(&cold, (day("2026-04-01"), until), Known { request: &none, item: &none }).unwrap()];
    let all = vec![litres(0, 20.0), Observation::Ready { harvest: 0, on: day("2026-08-10") }];
    let found = calibrate(&[record(all)], &Gathered { clocks: &clocks, request: &none, seed: 1 }).unwrap();
    assert!(found.records[0].iter().all(|fit| fit.off.is_some()), "{:?}", found.records);
}

#[test]
fn ranges_hold_the_truth_about_as_often_as_they_say() {
    let none = Overrides::default();
    let (mut held, mut all) = (0, 0);
    for seed in 1..=16 {
        let garden = gardens::garden(seed, 1 + usize::from(seed % 2 == 0));
        let found = calibrate(&garden.records, &Gathered { clocks: &garden.clocks, request: &none, seed }).unwrap();
        let (values, draws) = (&found.draws.values, found.draws.rows());
        for (column, which) in values.iter().enumerate() {
            let (_, truth) = garden.truth.iter().find(|(of, _)| *of == Variable::Assumption(*which)).unwrap();
            let below: f64 = draws.iter().filter(|(row, _)| row[column] < *truth).map(|(_, weight)| weight).sum();
            held += u32::from((0.05..=0.95).contains(&below));
            all += 1;
        }
    }
    let share = f64::from(held) / f64::from(all);
    assert!((0.82..=0.97).contains(&share), "{held} of {all}");
}

/// A season with the block of values, triangles and rank correlations has the chances of the draws themselves, to 3 of 100 at 20,000 runs.
#[test]
fn a_season_with_the_block_has_the_chances_of_the_records_themselves() {
    const RUNS: u32 = 20_000;
    let records = vec![
        record(vec![litres(0, 90.0), Observation::Ready { harvest: 0, on: day("2026-08-05") }]),
        record(vec![litres(0, 85.0), Observation::Eaten { feeding: 1, on: day("2026-06-25") }]),
    ];
    let found = calibrated(&records, &Overrides::default());
    let feed = Feed {
        moisture: Share::from_fraction(0.75).into(),
        ash: Share::from_fraction(0.15).into(),
        nitrogen: None,
        supply: Supply::AllAtOnce(Mass::from_kilograms(70.0).into()),
        cautions: Vec::new(),
        assumed: Vec::new(),
    };
    let next = Bed {
        area: Area::from_square_metres(3.0).into(),
        worms: Some(Mass::from_kilograms(4.8).into()),
        running: None,
        start_on: day("2026-04-01"),
        feed,
        layers_per_cycle: Some(6),
        cycles: Some(1),
    };
    let none = Overrides::default();
    let clocks = &warm()[0];
    let chances = |request: &Overrides, own: Option<&[Vec<f64>]>| {
        let mut variables = Variables::correlated(request.copula());
        let known = Known { request, item: &none };
        let bed = BedSimulator::new(&next, clocks, known, &mut variables).unwrap();
        let columns: Vec<Option<usize>> = found
            .draws
            .values
            .iter()
            .map(|which| variables.all().iter().position(|of| *of == Variable::Assumption(*which)))
            .collect();
        let mut outcomes = Vec::new();
        variables.each_run(5, (0, RUNS), |number, run| {
            let mut row = run.row().to_vec();
            if let Some(draws) = own {
                for (column, u) in columns.iter().zip(&draws[number as usize]) {
                    column.iter().for_each(|column| row[*column] = *u);
                }
            }
            bed.run(&Run::of(&row), (clocks, clocks.likely()), |_, outcome| {
                outcomes.push((outcome.ready.unwrap_or(f64::INFINITY), outcome.litres));
            });
        });
        outcomes
    };
    let resampled = resample(&found.draws.rows(), RUNS);
    let with_draws = chances(&none, Some(&resampled));
    let mut block = Overrides::default();
    for value in &found.values {
        block.set(value.assumption, value.after).unwrap();
    }
    let apart = chances(&block, None);
    block.correlate(&found.correlations).unwrap();
    let with_block = chances(&block, None);
    let share = |outcomes: &[(f64, f64)], by: f64, enough: f64| {
        let met = outcomes.iter().filter(|(ready, litres)| *ready <= by && *litres >= enough).count();
        100.0 * met as f64 / f64::from(RUNS)
    };
    let (mut most, mut most_apart) = (0.0_f64, 0.0_f64);
    for by in [110.0, 115.0, 120.0, 125.0, 130.0] {
        for enough in [0.0, 75.0, 85.0, 95.0] {
            let [records, block, apart] = [&with_draws, &with_block, &apart].map(|of| share(of, by, enough));
            most = most.max((records - block).abs());
            most_apart = most_apart.max((records - apart).abs());
        }
    }
    assert!(most <= 3.0, "{most} {most_apart}");
    assert!(most_apart > 5.0, "the correlations matter: {most_apart}");
}

/// Draws of equal weight, at even steps of the summed weights.
fn resample(draws: &[(Vec<f64>, f64)], count: u32) -> Vec<Vec<f64>> {
    let mut numbers = Numbers::new(1, 9);
    let (mut places, mut at, mut sum) = (Vec::new(), 0, draws[0].1);
    for place in 0..count {
        let target = (f64::from(place) + 0.5) / f64::from(count);
        while sum < target && at + 1 < draws.len() {
            at += 1;
            sum += draws[at].1;
        }
        places.push(at);
    }
    // Neighbours must not meet the same other draws.
    for i in (1..places.len()).rev() {
        places.swap(i, (numbers.uniform() * (i + 1) as f64) as usize);
    }
    places.into_iter().map(|place| draws[place].0.clone()).collect()
}
