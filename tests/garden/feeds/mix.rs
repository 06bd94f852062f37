//! The mix solver finds what a second one finds: every corner of the allowed region, by elimination.

use super::corners::{corners, region};
use crate::support::{laws, near};
use barrowful::garden::feeds::Size;
use barrowful::garden::feeds::mix::{Blend, Choice, Content, Pieces, Within};
use proptest::prelude::*;

/// The lowest and the highest ratio.
fn reachable(blend: &Blend) -> (f64, f64) {
    let [low, high] = blend.ratio_ends(Within::default()).unwrap();
    (blend.ratio(&low.taken), blend.ratio(&high.taken))
}

fn at_ratio(ratio: Option<(f64, f64)>) -> Within {
    Within { ratio, ..Within::default() }
}

fn mass(blend: &Blend, x: &[f64]) -> (f64, f64) {
    let all = blend.content(x);
    (all.water, all.water + all.dry)
}

fn content() -> impl Strategy<Value = Content> {
    (0.05_f64..0.9, 0.005_f64..0.06, 0.25_f64..0.55, 80.0_f64..900.0).prop_map(|(water, nitrogen, carbon, density)| {
        let dry = 1.0 - water;
        Content { dry, carbon: dry * carbon, nitrogen: dry * nitrogen, water, volume: 1.0 / density }
    })
}

pub fn sizes() -> impl Strategy<Value = Size> {
    prop::sample::select(Size::ALL.to_vec())
}

fn blends() -> impl Strategy<Value = Blend> {
    (content(), sizes(), 1.0_f64..50.0, prop::collection::vec((content(), 0.0_f64..60.0, sizes()), 1..6)).prop_map(
        |(base, size, times, lines)| {
            let pieces = Pieces { base: vec![size], free: lines.iter().map(|line| line.2).collect(), packing: 0.9 };
            let free = lines.into_iter().map(|(content, most, _)| (content, most)).collect();
            Blend { base: Content::default().plus(base, times), free, pieces }
        },
    )
}

proptest! {
    #![proptest_config(laws(400))]

    /// Ratios within reach: the extremes over the corners of the box.
    #[test]
    fn the_ratios_within_reach_are_those_of_the_best_corners(blend in blends()) {
        let n = blend.free.len();
        let ratios: Vec<f64> = corners(&region(&blend, None, n), &[], n).iter().map(|x| blend.ratio(x)).collect();
        let (low, high) = reachable(&blend);
        prop_assert!(near(low, ratios.iter().copied().fold(f64::INFINITY, f64::min), 1e-8));
        prop_assert!(near(high, ratios.iter().copied().fold(0.0, f64::max), 1e-8));
    }

    /// The driest mix at a ratio: the driest corner of the box cut by the two planes of the ratio.
    #[test]
    fn the_driest_mix_is_the_driest_corner(blend in blends(), at in 0.0_f64..1.0, wide in 1.0_f64..1.3) {
        let (low, high) = reachable(&blend);
        let from = low + (high - low) * at;
        let ratio = Some((from, from * wide));
        let n = blend.free.len();
        let by_corners = corners(&region(&blend, ratio, n), &[], n).iter().map(|x| { let (w, m) = mass(&blend, x); w / m })
            .fold(f64::INFINITY, f64::min);
        prop_assume!(by_corners.is_finite());
        let (driest, taken) = blend.driest(at_ratio(ratio)).unwrap();
        prop_assert!(near(driest, by_corners, 1e-7), "{} {}", driest, by_corners);
        let found = blend.ratio(&taken.taken);
        prop_assert!(found >= from * (1.0 - 1e-7) && found <= from * wide * (1.0 + 1e-7));
    }

    /// The least mass: the best corner with the moisture as an equality and the water as one more unknown.
    #[test]
    fn the_least_mass_is_that_of_the_best_corner(
        blend in blends(), at in 0.05_f64..0.95, wide in 1.0_f64..1.3, goal in 0.3_f64..0.8,
    ) {
        let (low, high) = reachable(&blend);
        let from = low + (high - low) * at;
        let ratio = Some((from, from * wide));
        let n = blend.free.len();
        let row = |c: &Content| c.water - goal * (c.dry + c.water);
        let moist = (blend.free.iter().map(|(c, _)| row(c)).chain([1.0 - goal]).collect(), -row(&blend.base));
        let cost = |x: &[f64]| x.iter().take(n).zip(0_u32..).map(|(x, at)| x * (1.0 + 1e-6 * f64::from(at))).sum::<f64>();
        let best = corners(&region(&blend, ratio, n + 1), &[moist], n + 1).iter().map(|x| cost(x)).fold(f64::INFINITY, f64::min);
        match blend.least(Within { ratio, moisture: Some(goal), air: None }) {
            Some(choice) => {
                prop_assert!((cost(&choice.taken) - best).abs() <= 1e-6 * (1.0 + best), "{} {}", cost(&choice.taken), best);
                let (water, whole) = mass(&blend, &choice.taken);
                prop_assert!(near((water + choice.water) / (whole + choice.water), goal, 1e-7));
            }
            None => {
                // Infeasible for both, or feasible only at the very edge.
                let driest = blend.driest(at_ratio(ratio)).map(|(driest, _)| driest);
                prop_assert!(best.is_infinite() || driest.is_some_and(|d| near(d, goal, 1e-6)), "{} {:?}", best, driest);
            }
        }
    }
}

/// What decides the air: what solids and water fill, by the particle density of 1,500 and the density of water of 1,000 kg/m3, and the
/// volume, packed to 90 % where the sizes differ.
fn fills(blend: &Blend) -> (impl Fn(&Content) -> f64, f64) {
    let all = blend.pieces.base.iter().chain(&blend.pieces.free);
    let differ = all.clone().any(|size| *size != blend.pieces.base[0]);
    (|c: &Content| c.dry / 1500.0 + c.water / 1000.0, if differ { 0.9 } else { 1.0 })
}

proptest! {
    #![proptest_config(laws(400))]

    /// The air as one more condition: ratio, moisture with water as one more unknown, and air. The least mass is that of the best corner,
    /// the most air that of the airiest, and what one solver finds impossible the other does too.
    #[test]
    fn the_least_mass_with_air_and_the_most_air_are_those_of_the_best_corners(
        blend in blends(), at in 0.05_f64..0.95, wide in 1.0_f64..1.3, goal in 0.3_f64..0.8, air in 0.05_f64..0.6,
    ) {
        let (low, high) = reachable(&blend);
        let from = low + (high - low) * at;
        let ratio = Some((from, from * wide));
        let n = blend.free.len();
        let moist = |c: &Content| c.water - goal * (c.dry + c.water);
        let moist = (blend.free.iter().map(|(c, _)| moist(c)).chain([1.0 - goal]).collect::<Vec<_>>(), -moist(&blend.base));
        let (filled, packing) = fills(&blend);
        let mut planes = region(&blend, ratio, n + 1);
        let equal = [moist];
        // The airiest: air is a quotient of linear functions, so it is greatest at a corner.
        let of = |x: &[f64]| {
            let all = blend.content(&x[..n]);
            1.0 - (filled(&all) + x[n] / 1000.0) / (packing * all.volume)
        };
        let airiest = corners(&planes, &equal, n + 1).iter().map(|x| of(x)).fold(f64::NEG_INFINITY, f64::max);
        let within = Within { ratio, moisture: Some(goal), air: None };
        match blend.airiest(within) {
            Some((found, choice)) => {
                // The region may be a hair wide where the driest mix is just moist enough.
                let edge = blend.driest(at_ratio(ratio)).is_some_and(|(driest, _)| near(driest, goal, 1e-6));
                prop_assert!(edge || (found - airiest).abs() < 1e-6, "{} {}", found, airiest);
                let (water, whole) = mass(&blend, &choice.taken);
                prop_assert!(edge || near((water + choice.water) / (whole + choice.water), goal, 1e-6));
            }
            None => prop_assert!(airiest.is_infinite() || blend.driest(at_ratio(ratio)).is_some_and(|(d, _)| near(d, goal, 1e-6))),
        }
        let row = |c: &Content| 1000.0 * (filled(c) - (1.0 - air) * packing * c.volume);
        planes.push((blend.free.iter().map(|(c, _)| row(c)).chain([1.0]).collect(), -row(&blend.base)));
        let cost = |x: &[f64]| x.iter().take(n).zip(0_u32..).map(|(x, at)| x * (1.0 + 1e-6 * f64::from(at))).sum::<f64>();
        let best = corners(&planes, &equal, n + 1).iter().map(|x| cost(x)).fold(f64::INFINITY, f64::min);
        match blend.least(Within { air: Some(air), ..within }) {
            Some(Choice { taken, water }) => {
                prop_assert!((cost(&taken) - best).abs() <= 1e-5 * (1.0 + best), "{} {}", cost(&taken), best);
                let x: Vec<f64> = taken.into_iter().chain([water]).collect();
                prop_assert!(of(&x) >= air - 1e-6, "{} {}", of(&x), air);
            }
            None => prop_assert!(best.is_infinite() || (airiest - air).abs() < 1e-6
                || blend.driest(at_ratio(ratio)).is_some_and(|(d, _)| near(d, goal, 1e-6)), "{} {} {}", best, airiest, air),
        }
    }
}
