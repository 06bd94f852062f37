//! Against an independent reference in Python (tests/fixtures/calibration): the model of a bed stepped by scipy's `solve_ivp`, one and two unknown
//! values by a grid, and full cases by the general-purpose sampler emcee.

use super::{Calibration, Gathered, Record, calibrate, day};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::beds::{Climate, ClockDrawn, Clocks, History, HistorySimulator, Observation};
use barrowful::garden::draws::{Run, Variables, normal_chance, split_triangle};
use barrowful::garden::units::{Area, Density, Mass, Share, Temperature, Volume};
use chrono::{Days, NaiveDate};
use serde_json::Value;
use std::collections::BTreeMap;

const CASES: &str = include_str!("../../fixtures/calibration/calibration_cases.json");
const FORWARD: &str = include_str!("../../fixtures/calibration/calibration_forward.csv");
const POSTERIOR: &str = include_str!("../../fixtures/calibration/calibration.csv");

/// Days for which a bed is followed: as long as any of the cases goes on, and the time that is added.
const DAYS: u64 = 900;

fn cases() -> Value {
    serde_json::from_str(CASES).unwrap()
}

fn list(of: &Value, name: &str) -> Vec<Value> {
    of[name].as_array().cloned().unwrap_or_default()
}

fn number(of: &Value, name: &str) -> f64 {
    of[name].as_f64().unwrap_or_else(|| panic!("{name} in {of}"))
}

fn on(of: &Value, name: &str) -> NaiveDate {
    day("2026-04-01") + Days::new(of[name].as_u64().unwrap())
}

fn rows(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines().filter(|line| !line.starts_with('#')).skip(1).map(|line| line.split(',').collect())
}

/// What was done; `None` for a bed by months, whose days the reference takes to have the mean of their month.
fn history(record: &Value) -> Option<History> {
    record.get("bed_temperature_c")?;
    let fed = list(record, "feed");
    Some(History {
        area: Area::from_square_metres(number(record, "area_m2")),
        worms: Some(Mass::from_kilograms(number(record, "worms_kg"))),
        start_on: day("2026-04-01"),
        ash: Share::from_fraction(number(record, "ash")),
        fed: fed.iter().map(|fed| (on(fed, "day"), Mass::from_kilograms(number(fed, "dry_kg")))).collect(),
        harvested_on: list(record, "harvests").iter().map(|harvest| on(harvest, "day")).collect(),
    })
}

fn clocks(record: &Value, known: Known<'_>) -> Clocks {
    let climate = Climate::Fixed(Temperature::from_celsius(number(record, "bed_temperature_c")));
    Clocks::new(&climate, (day("2026-04-01"), day("2026-04-01") + Days::new(DAYS)), known).unwrap()
}

/// Everything that the reference gives for a bed: portions eaten in the cycle they belong to; then for each harvest the ready day, the worms and
/// the litres. With the name of each, and whether it is a logarithm here.
fn looks(history: &History) -> Vec<(String, Observation)> {
    let portion = |(feeding, (fed, _)): (usize, &(NaiveDate, Mass))| {
        let cycle = history.harvested_on.partition_point(|harvest| harvest <= fed);
        let first = cycle.checked_sub(1).map(|before| history.harvested_on[before]);
        (
            format!("{},portion {} eaten", cycle + 1, feeding + 1),
            Observation::Eaten { feeding, on: first.unwrap_or(*fed) },
        )
    };
    let portions = history.fed.iter().enumerate().map(portion);
    let harvests = history.harvested_on.iter().enumerate().flat_map(|(harvest, on)| {
        let (on, castings, worms) = (*on, Volume::from_litres(1.0), Mass::from_kilograms(1.0));
        [
            (format!("{},ready day", harvest + 1), Observation::Ready { harvest, on }),
            (format!("{},worms at harvest kg", harvest + 1), Observation::WormsWeighed { on, worms }),
            (format!("{},litres", harvest + 1), Observation::Harvested { harvest, castings }),
        ]
    });
    portions.chain(harvests).collect()
}

/// These values of a set, each in the base unit of its dimension.
fn known_values(set: &Value) -> Vec<(Assumption, f64)> {
    let value = |(id, value): (&String, &Value)| {
        let which = Assumption::find(id).unwrap();
        let days = ["worms.doubling_time", "bed.finishing", "harvest.drying"].contains(&id.as_str());
        (which, value.as_f64().unwrap() * if days { 24.0 } else { 1.0 })
    };
    set.as_object().unwrap().iter().map(value).collect()
}

#[test]
fn a_recorded_bed_is_that_of_the_differential_equations() {
    let cases = cases();
    let expected: BTreeMap<String, f64> =
        rows(FORWARD).map(|row| (row[..4].join(","), row[4].parse().unwrap())).collect();
    let mut compared = 0;
    for (name, set) in cases["parameter_sets"].as_object().unwrap() {
        let mut request = Overrides::default();
        for (which, value) in known_values(set) {
            request.set(which, Span::exactly(value)).unwrap();
        }
        let none = Overrides::default();
        let known = Known { request: &request, item: &none };
        for record in list(&cases, "forward_records") {
            let Some(history) = history(&record) else { continue };
            let clocks = clocks(&record, known);
            let looks = looks(&history);
            let observations: Vec<Observation> = looks.iter().map(|(_, look)| *look).collect();
            let mut variables = Variables::default();
            let clock = ClockDrawn::without_weather(known, &mut variables);
            let mut simulator =
                HistorySimulator::new((&history, &observations), &clocks, known, &mut variables).unwrap();
            let own = clock.clock(&clocks, &Run::LIKELY);
            let mut found = Vec::new();
            simulator.run(&Run::LIKELY, (&clocks, own.as_ref().unwrap_or(clocks.likely()), 1.0), &mut found);
            for ((what, _), found) in looks.iter().zip(found) {
                let key = format!("{name},{},{what}", record["name"].as_str().unwrap());
                let Some(expected) = expected.get(&key) else { continue };
                let found = if what.ends_with("eaten") || what.ends_with("day") { found } else { found.exp() };
                assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{key}: {found} for {expected}");
                compared += 1;
            }
        }
    }
    assert!(compared > 500, "only {compared} figures were compared");
}

/// The records of a case; `None` where one is by months.
fn records(case: &Value) -> Option<(Vec<Record>, Vec<f64>)> {
    let (mut records, mut temperatures) = (Vec::new(), Vec::new());
    for record in list(case, "records") {
        let history = history(&record)?;
        let temperature = number(&record, "bed_temperature_c");
        let clocks = temperatures.iter().position(|other| *other == temperature).unwrap_or_else(|| {
            temperatures.push(temperature);
            temperatures.len() - 1
        });
        records.push(Record { history, observations: observations(&record), clocks });
    }
    Some((records, temperatures))
}

fn observations(record: &Value) -> Vec<Observation> {
    let mut all = Vec::new();
    for (harvest, of) in list(record, "harvests").iter().enumerate() {
        if of.get("litres").is_some() {
            all.push(Observation::Harvested { harvest, castings: Volume::from_litres(number(of, "litres")) });
        }
        if of.get("ready_day").is_some() {
            all.push(Observation::Ready { harvest, on: on(of, "ready_day") });
        }
    }
    for of in list(record, "eaten") {
        let feeding = of["portion"].as_u64().unwrap() as usize - 1;
        all.push(if of.get("day").is_some() {
            Observation::Eaten { feeding, on: on(&of, "day") }
        } else {
            Observation::NotEaten { feeding, on: on(&of, "not_by") }
        });
    }
    for of in list(record, "weighed") {
        let worms = Mass::from_kilograms(number(&of, "worms_kg"));
        all.push(Observation::WormsWeighed { on: on(&of, "day"), worms });
    }
    let measured = &record["measured"];
    let share = |name: &str| measured[name].as_f64().map(Share::from_fraction);
    all.extend(share("ash_of_castings").map(Observation::Ash));
    all.extend(share("sieve_yield").map(Observation::SieveYield));
    let density = measured["dry_bulk_density"].as_f64().map(Density::from_kilograms_per_cubic_metre);
    all.extend(density.map(Observation::DryBulkDensity));
    all
}

/// Calibrates a case with only its free values unknown.
fn solved(case: &Value) -> Option<Calibration> {
    let (records, temperatures) = records(case)?;
    let free: Vec<Assumption> =
        list(case, "free").iter().map(|id| Assumption::find(id.as_str().unwrap()).unwrap()).collect();
    let mut request = Overrides::default();
    for which in Assumption::ALL.iter().filter(|which| !free.contains(which)) {
        if let Some([_, likely, _]) = which.definition().default {
            request.set(*which, Span::exactly(likely)).unwrap();
        }
    }
    let none = Overrides::default();
    let known = Known { request: &request, item: &none };
    let clocks: Vec<Clocks> = temperatures
        .iter()
        .map(|temperature| {
            let climate = Climate::Fixed(Temperature::from_celsius(*temperature));
            Clocks::new(&climate, (day("2026-04-01"), day("2026-04-01") + Days::new(DAYS)), known).unwrap()
        })
        .collect();
    Some(calibrate(&records, &Gathered { clocks: &clocks, request: &request, seed: 1 }).unwrap())
}

/// 5, 50 and 95 of 100 of a value, also of one that has not moved.
fn percentiles(found: &Calibration, which: Assumption) -> Option<[f64; 3]> {
    let (values, draws) = (&found.draws.values, found.draws.rows());
    let column = values.iter().position(|of| *of == which)?;
    let [low, likely, high] = which.definition().default?;
    let mut all: Vec<(f64, f64)> = draws.iter().map(|(row, weight)| (row[column], *weight)).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let quantile = |share: f64| {
        let mut sum = 0.0;
        let at = all.iter().find(|(_, weight)| {
            sum += weight;
            sum >= share
        });
        split_triangle(Span { low, likely, high }, at.unwrap().0)
    };
    Some([0.05, 0.5, 0.95].map(quantile))
}

/// How far points lie off, the most of three, over the range from 5 to 95 of 100 without records.
fn off(found: [f64; 3], row: &[&str], scale: f64) -> f64 {
    let of = |place: usize| row[place].parse::<f64>().unwrap() * scale;
    let width = of(8) - of(4);
    found
        .iter()
        .zip([of(5), of(6), of(7)])
        .map(|(found, expected)| (found - expected).abs() / width)
        .fold(0.0, f64::max)
}

/// The records of this case cannot all be: the worms that would have had to be put in lie so far off that a straight line does not show it.
const IMPOSSIBLE: (&str, f64) = ("contradictory records", 0.25);

/// All cases solved by a grid, or by a sampler: points within a part of the range without records, correlations within this.
fn compare(by: &str, (points, correlations): (f64, f64)) {
    let (mut compared, mut wrong) = (0, Vec::new());
    for case in list(&cases(), "cases") {
        let name = case["name"].as_str().unwrap();
        if case["method"].as_str() != Some(by) {
            continue;
        }
        let Some(found) = solved(&case) else { continue };
        for row in rows(POSTERIOR).filter(|row| row[0] == name) {
            let which = Assumption::find(row[2]).unwrap();
            if row[1] == "pair" {
                let other = Assumption::find(row[3]).unwrap();
                let pair = found
                    .correlations
                    .iter()
                    .find(|pair| [(which, other), (other, which)].contains(&(pair.first, pair.second)));
                let expected: f64 = row[13].parse().unwrap();
                if let Some(pair) = pair.filter(|pair| (pair.rank_correlation - expected).abs() > correlations) {
                    wrong.push(format!("{name}: {} and {} {} for {expected}", row[2], row[3], pair.rank_correlation));
                }
                continue;
            }
            let Some(points_found) = percentiles(&found, which) else { continue };
            let days = which.definition().dimension == barrowful::garden::units::Dimension::Duration;
            let off = off(points_found, &row, if days { 24.0 } else { 1.0 });
            compared += 1;
            let within = if name == IMPOSSIBLE.0 { IMPOSSIBLE.1 } else { points };
            if off > within {
                wrong.push(format!("{name}: {} {off:.4} {points_found:?} {row:?}", row[2]));
            }
        }
    }
    assert!(compared > 5, "{compared}");
    assert!(wrong.is_empty(), "{} of {compared}:\n{}", wrong.len(), wrong.join("\n"));
}

/// The grids are exact to 1e-4. The worms at the start are taken into the errors here, as straight lines show it, and are one more axis there:
/// that alone makes 2 of 100 for the feed rate; values on which the worms have no bearing are within 1 of 100.
#[test]
fn one_and_two_unknown_values_are_those_of_a_grid() {
    compare("grid", (0.025, 0.02));
}

/// The points of the sampler are good to half of one in a hundred; a tenth of the range is allowed.
#[test]
fn full_cases_are_those_of_a_general_purpose_sampler() {
    compare("sample", (0.1, 0.1));
}

/// The chance of the triangle at a normal number, as the reference has it.
#[test]
fn a_value_is_a_normal_number_through_the_chance_of_its_triangle() {
    // scipy.stats.norm.cdf(1) = 0.841344746068543; 0.15 + 0.10 (1 - sqrt(2 (1 - u))) by hand.
    let u = normal_chance(1.0);
    assert!((u - 0.841_344_746_068_543).abs() < 1e-14);
    let [low, likely, high] = Assumption::FeedRate.definition().default.unwrap();
    let value = split_triangle(Span { low, likely, high }, u);
    assert!((value - (0.15 + 0.1 * (1.0 - (2.0 * (1.0 - u)).sqrt()))).abs() < 1e-15);
}
