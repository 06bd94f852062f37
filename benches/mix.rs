//! Speed of the mix: 20 materials, 19 of them free, both goals: `cargo bench --no-default-features --bench mix`. It stops
//! with an error above one millisecond.

#![expect(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use barrowful::garden::assumptions::{Known, Overrides};
use barrowful::garden::feeds::{Amount, FeedPlan, Goals, Ingredient, Load, Order, Treatment, materials, plan};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Mass, Ratio, Share};
use std::hint::black_box;
use std::time::{Duration, Instant};

const MOST: Duration = Duration::from_millis(1);
const RUNS: usize = 2_000;

fn order(ratio: f64, moisture: f64) -> Order {
    let kg = |kilograms| Load::Mass(Mass::from_kilograms(kilograms).into());
    let of = |(at, row): (usize, &materials::Feedstock)| Ingredient {
        name: row.name.to_owned(),
        asked: 0,
        material: row.material().unwrap(),
        family: row.family,
        size: row.size,
        amount: if at == 3 { Amount::Fixed(kg(10.0)) } else { Amount::Between(kg(0.0), kg(15.0)) },
        treatment: Treatment::AsItIs,
        shred: false,
    };
    let ratio = Ratio::from_number(ratio).into();
    Order {
        ingredients: materials::ALL.iter().take(20).enumerate().map(of).collect(),
        goals: Goals {
            carbon_to_nitrogen: Some((ratio, ratio)),
            moisture: Some(Share::from_fraction(moisture).into()),
            air_space: None,
        },
        soak: None,
        hot_composting: None,
        ground: None,
        start_on: None,
    }
}

fn timed(name: &str, order: &Order) {
    let (request, item) = (Overrides::default(), Overrides::default());
    let run = || -> FeedPlan { plan(black_box(order), Known { request: &request, item: &item }, Off).unwrap() };
    let reached = run().out_of_reach.is_empty();
    let mut times: Vec<Duration> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            black_box(run());
            start.elapsed()
        })
        .collect();
    times.sort_unstable();
    let at = |share: usize| times.get(RUNS * share / 100).copied().unwrap_or_default();
    println!("{name}: goals reached {reached}; median {:?}, 99 of 100 within {:?}", at(50), at(99));
    assert!(at(50) < MOST, "the mix of 20 materials takes more than {MOST:?}");
}

fn main() {
    timed("20 materials, ratio 25, moisture 75 %", &order(25.0, 0.75));
    timed("20 materials, ratio 30, moisture 40 %", &order(30.0, 0.40));
    timed("20 materials, out of reach: ratio 9", &order(9.0, 0.60));
}
