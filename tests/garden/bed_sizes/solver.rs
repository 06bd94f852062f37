//! Growth and feeding are those of an independent solver of the differential equations.

use super::{YEAR, asked, seven_kilograms_a_week, sized, worked};
use crate::beds::{fixed, kg, square_metres, weighing};
use crate::support::{assert_near, known};
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::beds::Pace;
use barrowful::garden::beds::sizing::{BedToSize, SizedBy};
use barrowful::garden::units::{Duration, FeedRate};

/// The rows of tests/fixtures/worm_bed_ode.csv: growth and feeding solved as differential equations by scipy (worm_bed_ode.py).
fn solved(what: &str) -> Vec<(usize, f64, Vec<f64>)> {
    let rows = include_str!("../../fixtures/worm_bed_ode.csv").lines().filter(|line| line.starts_with(what));
    let read = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let numbers = cells[3..].iter().filter(|cell| !cell.is_empty()).map(|cell| cell.parse().unwrap());
        (cells[1].parse().unwrap(), cells[2].parse().unwrap(), numbers.collect())
    };
    rows.map(read).collect()
}

/// Start, ground, carrying, doubling, feed rate, warm share of a day.
const CASES: [[f64; 6]; 4] = [
    [0.5, 5.0 / 6.0, 5.0, 75.0, 0.15, 1.0],
    [1.0, 2.0, 4.0, 60.0, 0.25, 0.6],
    [3.0, 0.4, 6.0, 90.0, 0.10, 1.0],
    [0.05, 1.0, 10.0, 60.0, 0.15, 0.9],
];

#[test]
fn growth_and_feeding_are_those_of_an_independent_solver() {
    let rows = solved("after");
    assert_eq!(rows.len(), 16);
    for (case, days, values) in rows {
        let [start, ground, carrying, doubling, rate, warmth] = CASES[case];
        let (doubling, rate) = (Duration::from_hours(doubling * 24.0), FeedRate::from_per_day(rate));
        let pace = Pace::new(kg(start), kg(ground * carrying), doubling, rate);
        assert_near(pace.worms_after(days * warmth).kilograms(), values[0], 1e-9);
        assert_near(pace.worked_after(days * warmth).kilograms(), values[1], 1e-9);
    }
}

#[test]
fn the_time_until_worms_are_enough_is_that_of_an_independent_solver() {
    for (case, enough, values) in solved("enough") {
        let [start, ground, carrying, doubling, rate, _] = CASES[case];
        let request = known(&[
            (Assumption::CarryingCapacity, carrying),
            (Assumption::DoublingTime, doubling * 24.0),
            (Assumption::FeedRate, rate),
        ]);
        // As much feed as just so many worms eat.
        let week = enough * rate * 7.0;
        let (ground, to_buy) = (Some(square_metres(ground)), Some(weighing(start)));
        let asked = BedToSize { ground, to_buy, ..asked(SizedBy::EachWeek(weighing(week))) };
        let found = sized(&asked, (&fixed(20.0), YEAR), &request).unwrap().size.enough.unwrap();
        assert_near(found.warm_days.likely().hours() / 24.0, values[0], 1e-9);
    }
}

#[test]
fn what_is_eaten_each_week_is_that_of_an_independent_solver() {
    let few = BedToSize { to_buy: Some(weighing(0.5)), ..seven_kilograms_a_week() };
    let found = sized(&few, (&fixed(20.0), YEAR), &worked()).unwrap();
    let rows = solved("week");
    assert_eq!(rows.len(), 12);
    for ((_, _, values), week) in rows.iter().zip(&found.weeks) {
        assert_near(week.eaten.kilograms(), values[0], 1e-9);
        assert_near(week.waits.kilograms(), values[1], 1e-9);
        assert_near(week.worms.kilograms(), values[2], 1e-9);
    }
}
