//! Invented gardens whose true values are known: drawn from the ranges, as are the worms really put in, the weather and the errors of what is
//! recorded. Nothing about what is recorded depends on the truth but what is seen, so that what records say can be checked against it.

use barrowful::garden::assumptions::{Assumption, Known, Overrides};
use barrowful::garden::beds::{Climate, ClockDrawn, Clocks, History, HistorySimulator, Observation};
use barrowful::garden::calibrations::{DAYS_AFTER, Record};
use barrowful::garden::draws::{Numbers, Run, Variable, Variables};
use barrowful::garden::units::{Area, Density, Mass, Share, Temperature, TemperatureDifference, Volume};
use chrono::{Days, NaiveDate};

/// A garden: its records, its clocks, and the truth, as a number between 0 and 1 for each value.
pub struct Garden {
    pub records: Vec<Record>,
    pub clocks: Vec<Clocks>,
    pub truth: Vec<(Variable, f64)>,
}

/// The error of a kind of record.
fn error(which: Assumption) -> f64 {
    which.definition().default.unwrap()[1]
}

fn on(day: NaiveDate, after: f64) -> NaiveDate {
    day + Days::new(after as u64)
}

/// Between two numbers.
fn between(numbers: &mut Numbers, low: f64, high: f64) -> f64 {
    low + (high - low) * numbers.uniform()
}

/// A bed of which everything is looked at, whatever comes of it.
fn history(numbers: &mut Numbers, first: NaiveDate) -> History {
    let area = between(numbers, 1.0, 5.0);
    let start_on = on(first, between(numbers, 0.0, 90.0));
    let (mut fed, mut day) = (Vec::new(), start_on);
    for _ in 0..2 + (numbers.uniform() * 3.0) as u32 {
        fed.push((day, Mass::from_kilograms(area * between(numbers, 4.0, 12.0))));
        day = on(day, between(numbers, 15.0, 45.0));
    }
    History {
        area: Area::from_square_metres(area),
        worms: Some(Mass::from_kilograms(area * between(numbers, 1.0, 2.5))),
        start_on,
        ash: Share::from_fraction(between(numbers, 0.08, 0.25)),
        harvested_on: vec![on(day, between(numbers, 60.0, 150.0))],
        fed,
    }
}

/// What is looked at: the values are put in later.
fn looks(numbers: &mut Numbers, history: &History) -> Vec<Observation> {
    let harvested = history.harvested_on[0];
    let last = history.fed.len() - 1;
    let mut looks = vec![Observation::Harvested { harvest: 0, castings: Volume::from_litres(1.0) }];
    let mut sometimes = |look, share: f64| {
        if numbers.uniform() < share {
            looks.push(look);
        }
    };
    sometimes(Observation::Ready { harvest: 0, on: harvested }, 0.6);
    sometimes(Observation::NotEaten { feeding: last, on: harvested }, 0.5);
    sometimes(Observation::WormsWeighed { on: harvested, worms: Mass::from_kilograms(1.0) }, 0.3);
    sometimes(Observation::Ash(Share::from_fraction(0.5)), 0.3);
    sometimes(Observation::SieveYield(Share::from_fraction(0.5)), 0.3);
    sometimes(Observation::DryBulkDensity(Density::from_kilograms_per_cubic_metre(1.0)), 0.3);
    looks
}

/// What is seen, with an error, where the simulator gives this number.
fn seen(look: Observation, number: f64, (first, numbers): (NaiveDate, &mut Numbers)) -> Observation {
    let z = numbers.normal();
    let days = error(Assumption::RecordedDay) / 24.0;
    match look {
        Observation::Harvested { harvest, .. } => {
            let spread = error(Assumption::RecordedAmount).hypot(error(Assumption::CycleToCycle));
            Observation::Harvested { harvest, castings: Volume::from_litres((number + spread * z).exp()) }
        }
        Observation::Ready { harvest, .. } => {
            Observation::Ready { harvest, on: on(first, (number + days * z + 0.5).max(0.0)) }
        }
        Observation::NotEaten { feeding, on: looked } => {
            let eaten = on(first, (number + days * z).max(0.0));
            if eaten > looked { look } else { Observation::Eaten { feeding, on: eaten } }
        }
        Observation::WormsWeighed { on, .. } => {
            let worms = Mass::from_kilograms((number + error(Assumption::RecordedWorms) * z).exp());
            Observation::WormsWeighed { on, worms }
        }
        Observation::Ash(_) => Observation::Ash(Share::from_fraction(number + error(Assumption::RecordedAsh) * z)),
        Observation::SieveYield(_) => {
            Observation::SieveYield(Share::from_fraction(number + error(Assumption::RecordedSieveYield) * z))
        }
        Observation::DryBulkDensity(_) => {
            let density = (number + error(Assumption::RecordedWeight) * z).exp();
            Observation::DryBulkDensity(Density::from_kilograms_per_cubic_metre(density))
        }
        other => panic!("{other:?} is not looked at"),
    }
}

/// A garden with so many records.
pub fn garden(seed: u64, records: usize) -> Garden {
    let mut numbers = Numbers::new(seed, 77);
    let none = Overrides::default();
    let known = Known { request: &none, item: &none };
    let first: NaiveDate = "2026-03-01".parse().unwrap();
    let means = [4.0, 5.0, 8.0, 12.0, 16.0, 19.0, 22.0, 21.0, 17.0, 13.0, 8.0, 5.0].map(Temperature::from_celsius);
    let climate = if numbers.uniform() < 0.5 {
        Climate::MonthlyMeans { means, offset: TemperatureDifference::from_kelvins(between(&mut numbers, 0.0, 4.0)) }
    } else {
        Climate::Fixed(Temperature::from_celsius(between(&mut numbers, 14.0, 27.0)))
    };
    let histories: Vec<(History, Vec<Observation>)> = (0..records)
        .map(|_| {
            let history = history(&mut numbers, first);
            let looks = looks(&mut numbers, &history);
            (history, looks)
        })
        .collect();
    let last = histories.iter().map(|(history, _)| history.harvested_on[0]).max().unwrap();
    let clocks = Clocks::new(&climate, (first, last + Days::new(DAYS_AFTER)), known).unwrap();
    let mut variables = Variables::default();
    let clock = ClockDrawn::new(&clocks, known, &mut variables);
    let mut simulators: Vec<HistorySimulator> = histories
        .iter()
        .map(|(history, looks)| HistorySimulator::new((history, looks), &clocks, known, &mut variables).unwrap())
        .collect();
    let (mut records, mut truth) = (Vec::new(), Vec::new());
    variables.each_run(seed, (0, 1), |_, run: &Run<'_>| {
        truth = variables.all().iter().copied().zip(run.row().iter().copied()).collect();
        let own = clock.clock(&clocks, run);
        for (simulator, (history, looks)) in simulators.iter_mut().zip(&histories) {
            let worms = (error(Assumption::RecordedWorms) * numbers.normal()).exp();
            let mut found = Vec::new();
            simulator.run(run, (&clocks, own.as_ref().unwrap_or(clocks.likely()), worms), &mut found);
            let observations = looks.iter().zip(found).map(|(look, number)| seen(*look, number, (first, &mut numbers)));
            records.push(Record { history: history.clone(), observations: observations.collect(), clocks: 0 });
        }
    });
    Garden { records, clocks: vec![clocks], truth }
}
