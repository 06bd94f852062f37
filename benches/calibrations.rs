//! What records say, at length: `cargo bench --no-default-features --bench calibrations [GARDENS]`. Simulation-based calibration (Talts and
//! others 2018) over 300 invented gardens: the place of the true value among the draws is even, and the 90 % range holds it in 87 to 93 of
//! 100. And the speed with ten records, each forecast from the others as well: less than a second on one core, half of it for the draws.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    clippy::panic,
    reason = "a bench stops at the first surprise"
)]

#[path = "../tests/garden/calibrations/gardens.rs"]
mod gardens;

use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::calibrations::{Gathered, calibrate};
use barrowful::garden::draws::Variable;
use std::collections::BTreeMap;
use std::time::Instant;

const BINS: usize = 10;

fn main() {
    let gardens: u64 = std::env::args().skip(1).find_map(|text| text.parse().ok()).unwrap_or(300);
    let none = Overrides::default();
    speed(&none);
    if gardens > 0 {
        simulation_based(gardens, &none);
    }
}

/// Where the true values lie among the draws of many gardens.
fn simulation_based(gardens: u64, none: &Overrides) {
    let mut places: BTreeMap<Assumption, Vec<f64>> = BTreeMap::new();
    let (mut worth, mut flagged, mut observations) = (Vec::new(), 0, 0);
    for seed in 1..=gardens {
        let garden = gardens::garden(seed, 1 + (seed % 5) as usize);
        let found = calibrate(&garden.records, &Gathered { clocks: &garden.clocks, request: none, seed }).unwrap();
        worth.push(found.worth);
        let fits = found.records.iter().flatten();
        flagged += fits.clone().filter(|fit| fit.off.is_some()).count();
        observations += fits.count();
        let (values, draws) = (&found.draws.values, found.draws.rows());
        for (column, which) in values.iter().enumerate() {
            let (_, truth) = garden.truth.iter().find(|(of, _)| *of == Variable::Assumption(*which)).unwrap();
            let below = draws.iter().filter(|(row, _)| row[column] < *truth).map(|(_, weight)| weight).sum();
            places.entry(*which).or_default().push(below);
        }
    }
    worth.sort_by(f64::total_cmp);
    let middle = worth[worth.len() / 2];
    println!("{gardens} gardens; the draws are worth {:.0} at the least, {middle:.0} in the middle", worth[0]);
    println!("{flagged} of {observations} observations are said not to fit");
    let (mut held, mut all) = (0, 0);
    for (which, places) in &places {
        let inside = print(*which, places);
        (held, all) = (held + inside, all + places.len());
    }
    println!("the 90 % ranges hold the truth in {:.1} of 100", 100.0 * held as f64 / all as f64);
}

/// Prints how even the places of one value are, and answers how many lie in its 90 % range.
fn print(which: Assumption, places: &[f64]) -> usize {
    let mut counts = [0_usize; BINS];
    places.iter().for_each(|place| counts[((place * BINS as f64) as usize).min(BINS - 1)] += 1);
    let even = places.len() as f64 / BINS as f64;
    let chi: f64 = counts.iter().map(|count| (*count as f64 - even).powi(2) / even).sum();
    let inside = places.iter().filter(|place| (0.05..=0.95).contains(*place)).count();
    let share = 100.0 * inside as f64 / places.len() as f64;
    println!(
        "{:28} {:4} gardens, {share:5.1} of 100 held, chi-squared(9) {chi:5.1}, {counts:?}",
        which.id(),
        places.len()
    );
    inside
}

fn speed(none: &Overrides) {
    for seed in [1, 3] {
        let garden = gardens::garden(seed, 10);
        let gathered = Gathered { clocks: &garden.clocks, request: none, seed };
        let mut times: Vec<_> = (0..5)
            .map(|_| {
                let start = Instant::now();
                let found = calibrate(&garden.records, &gathered).unwrap();
                (start.elapsed(), found.worth)
            })
            .collect();
        times.sort_by_key(|(time, _)| *time);
        let (time, worth) = times[times.len() / 2];
        println!("ten records, {} days: {time:.0?}; draws worth {worth:.0}", garden.clocks[0].count());
    }
}
