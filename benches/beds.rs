//! Speed of the core: `cargo bench --no-default-features --bench beds`. A two-year daily forecast of 50 beds is to take less than
//! 2 ms, the clocks of its climate included.

#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use barrowful::garden::assumptions::{Known, Overrides};
use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, Supply, forecast_on};
use barrowful::garden::dates::date;
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Area, Share, Temperature, TemperatureDifference};
use std::hint::black_box;
use std::time::{Duration, Instant};

const BEDS: u32 = 50;
const ROUNDS: u32 = 400;

fn bed(number: u32, supply: Supply) -> Bed {
    Bed {
        area: Area::from_square_metres(1.0 + f64::from(number) / 10.0).into(),
        worms: None,
        running: None,
        start_on: date("2027-03-01").unwrap(),
        feed: Feed {
            moisture: Share::from_fraction(0.75).into(),
            ash: Share::from_fraction(0.15).into(),
            nitrogen: Some(Share::from_fraction(0.018).into()),
            supply,
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        layers_per_cycle: Some(4),
        cycles: None,
    }
}

/// The median of the rounds.
fn median(mut work: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed()
        })
        .collect();
    times.sort_unstable();
    times.get(times.len() / 2).copied().unwrap_or_default()
}

fn main() {
    let none = Overrides::default();
    let known = Known { request: &none, item: &none };
    let means = [4.0, 5.0, 8.0, 12.0, 16.0, 19.0, 22.0, 21.0, 17.0, 13.0, 8.0, 5.0].map(Temperature::from_celsius);
    let monthly = Climate::MonthlyMeans { means, offset: TemperatureDifference::from_kelvins(3.0) };
    let (first, last) = (date("2027-03-01").unwrap(), date("2029-02-28").unwrap());
    let values = monthly.days(first, last).unwrap().into_iter().map(Temperature::from_celsius).collect();
    let daily = Climate::Daily { first_day: first, values };
    let beds: Vec<Bed> = (0..BEDS).map(|number| bed(number, Supply::AsNeeded)).collect();
    let (mut layers, mut lots) = (0, 0);
    let alone = |bed: &Bed, climate| {
        let clocks = Clocks::new(climate, (bed.start_on, last), known).unwrap();
        forecast_on(bed, &clocks, known, Off).unwrap()
    };
    for forecast in beds.iter().map(|bed| alone(bed, &daily)) {
        (layers, lots) = (layers + forecast.layers.len(), lots + forecast.lots.len());
    }
    println!("{BEDS} beds over 731 days: {layers} layers, {lots} lots");
    for (name, climate) in [("a daily series", &daily), ("monthly means", &monthly)] {
        let shared = median(|| {
            let clocks = Clocks::new(climate, (first, last), known).unwrap();
            for bed in &beds {
                black_box(forecast_on(black_box(bed), &clocks, known, Off).unwrap());
            }
        });
        let apart = median(|| {
            for bed in &beds {
                black_box(alone(black_box(bed), climate));
            }
        });
        println!("{name}: {shared:.2?} on shared clocks, {apart:.2?} with clocks of their own (limit 2 ms)");
    }
}
