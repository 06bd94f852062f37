//! The mix solver against a second one: every corner of the allowed region, by elimination. And the laws of a mix.

#![expect(clippy::indexing_slicing, clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::feeds::{exactly, goals, ingredient, kg, material, order, planned};
use crate::support::{known, laws, near, three, with};
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::feeds::materials::ALL;
use barrowful::garden::feeds::mix::{Blend, Choice, Content, Pieces, Within};
use barrowful::garden::feeds::{
    Amount, Carbon, FeedPlan, Ingredient, Load, Material, Order, Rehydration, Size, Treatment, plan,
};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Mass, Volume};
use proptest::prelude::*;

/// A plane: coefficients and right side.
pub type Plane = (Vec<f64>, f64);

/// The point where as many planes meet as there are unknowns; `None` if they do not meet in one point.
fn meet(planes: &[&Plane]) -> Option<Vec<f64>> {
    let n = planes.len();
    let mut rows: Vec<Vec<f64>> = planes.iter().map(|(a, b)| a.iter().copied().chain([*b]).collect()).collect();
    for column in 0..n {
        let pivot = (column..n).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        rows.swap(column, pivot);
        if rows[column][column].abs() < 1e-12 {
            return None;
        }
        for row in 0..n {
            if row != column {
                let factor = rows[row][column] / rows[column][column];
                let pivot = rows[column].clone();
                rows[row].iter_mut().zip(pivot).for_each(|(x, p)| *x -= factor * p);
            }
        }
    }
    Some((0..n).map(|at| rows[at][n] / rows[at][at]).collect())
}

/// Every choice of `k` of `0..n`.
fn choices(n: usize, k: usize) -> Vec<Vec<usize>> {
    if k == 0 {
        return vec![vec![]];
    }
    (k - 1..n)
        .flat_map(|last| {
            choices(last, k - 1).into_iter().map(move |mut c| {
                c.push(last);
                c
            })
        })
        .collect()
}

/// All corners of `{x: planes as inequalities a x <= b, equalities a x = b}`.
pub fn corners(inequalities: &[Plane], equalities: &[Plane], unknowns: usize) -> Vec<Vec<f64>> {
    let need = unknowns - equalities.len();
    let fits = |x: &[f64]| {
        inequalities.iter().all(|(a, b)| a.iter().zip(x).map(|(a, x)| a * x).sum::<f64>() <= b + 1e-9 * (1.0 + b.abs()))
    };
    choices(inequalities.len(), need)
        .iter()
        .filter_map(|chosen| {
            let planes: Vec<&Plane> = equalities.iter().chain(chosen.iter().map(|at| &inequalities[*at])).collect();
            meet(&planes)
        })
        .filter(|x| fits(x))
        .collect()
}

/// The box, and the two planes of the ratio; `columns` is the number of unknowns, the materials first.
pub fn region(blend: &Blend, ratio: Option<(f64, f64)>, columns: usize) -> Vec<Plane> {
    let unit = |at: usize, value: f64| (0..columns).map(|i| if i == at { value } else { 0.0 }).collect::<Vec<_>>();
    let mut planes: Vec<Plane> = (0..columns).map(|at| (unit(at, -1.0), 0.0)).collect();
    planes.extend(blend.free.iter().enumerate().map(|(at, (_, most))| (unit(at, 1.0), *most)));
    if let Some((low, high)) = ratio {
        for (sign, bound) in [(1.0, high), (-1.0, low)] {
            let row = |c: &Content| sign * (c.carbon - bound * c.nitrogen);
            let mut a: Vec<f64> = blend.free.iter().map(|(c, _)| row(c)).collect();
            a.resize(columns, 0.0);
            planes.push((a, -row(&blend.base)));
        }
    }
    planes
}

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

fn sizes() -> impl Strategy<Value = Size> {
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

fn materials() -> impl Strategy<Value = Material> {
    (0.05_f64..0.85, 0.004_f64..0.06, 0.25_f64..0.55).prop_map(|(w, n, c)| material(w, n, c))
}

fn treatments() -> impl Strategy<Value = Treatment> {
    prop::sample::select(vec![
        Treatment::AsItIs,
        Treatment::Soaked,
        Treatment::Rehydrated(Rehydration {
            water_per_kilogram: Volume::from_litres(0.5).into(),
            ..Rehydration::COMMON
        }),
    ])
}

fn lines() -> impl Strategy<Value = Vec<Ingredient>> {
    let one = (materials(), 0.5_f64..40.0, 0.0_f64..40.0, any::<bool>(), treatments(), sizes());
    prop::collection::vec(one, 1..6).prop_map(|lines| {
        let each = |(at, (material, least, more, fixed, treatment, size))| {
            let amount =
                if fixed || at == 0 { Amount::Fixed(kg(least)) } else { Amount::Between(kg(least), kg(least + more)) };
            Ingredient { treatment, size, ..ingredient("line", material, amount) }
        };
        lines.into_iter().enumerate().map(each).collect()
    })
}

proptest! {
    #![proptest_config(laws(300))]

    /// Dry matter, ash, carbon, nitrogen and water in = out, by the materials and amounts alone.
    #[test]
    fn nothing_is_lost_or_made(lines in lines(), ratio in 15.0_f64..60.0, goal in 0.5_f64..0.75) {
        let plan = planned(&order(lines.clone(), goals(Some((ratio, ratio * 1.1)), Some(goal))));
        let sum = |of: &dyn Fn(f64, &Material) -> f64| -> f64 {
            plan.ingredients.iter().map(|p| of(p.mass.likely().kilograms(), &p.material)).sum()
        };
        let dry = |m: f64, a: &Material| m * (1.0 - a.moisture().likely().fraction());
        let water_in = sum(&|m, a| m * a.moisture().likely().fraction())
            + plan.soak_water.likely().litres() + plan.starter.likely().litres()
            + plan.rehydration_water.likely().litres() + plan.extra_water.litres();
        for (out, into) in [
            (plan.mix.dry.likely(), sum(&dry)),
            (plan.mix.ash.likely(), sum(&|m, a| dry(m, a) * a.ash().likely().fraction())),
            (plan.mix.carbon.likely(), sum(&|m, a| dry(m, a) * a.carbon().likely().fraction())),
            (plan.mix.nitrogen.likely(), sum(&|m, a| dry(m, a) * a.nitrogen().likely().fraction())),
            (plan.mix.mass.likely() - plan.mix.dry.likely(), water_in),
            (plan.mix.mass.likely(), water_in + sum(&dry)),
        ] {
            prop_assert!(near(out.kilograms(), into, 1e-9), "{} {}", out.kilograms(), into);
        }
        for (line, part) in lines.iter().zip(&plan.ingredients) {
            let taken = part.mass.likely().kilograms();
            match line.amount {
                Amount::Fixed(Load::Mass(m)) => prop_assert_eq!(m.kilograms(), taken),
                Amount::Between(Load::Mass(low), Load::Mass(high)) => {
                    prop_assert!(taken >= low.kilograms() && taken <= high.kilograms() * (1.0 + 1e-12));
                }
                _ => {}
            }
        }
        let missed = |wanted| plan.out_of_reach.iter().find(|o| o.goal == wanted);
        let found = plan.mix.carbon_to_nitrogen.likely().number();
        match missed(barrowful::garden::feeds::Goal::CarbonToNitrogen) {
            Some(missed) => prop_assert!(near(found, missed.nearest, 1e-6)),
            None => prop_assert!(found >= ratio * (1.0 - 1e-7) && found <= ratio * 1.1 * (1.0 + 1e-7)),
        }
        let found = plan.mix.moisture.likely().fraction();
        let nearest = missed(barrowful::garden::feeds::Goal::Moisture).map_or(goal, |missed| missed.nearest);
        prop_assert!(near(found, nearest, 1e-6), "{} {}", found, nearest);
    }

    /// A material in two equal lines is the same mix.
    #[test]
    fn splitting_a_material_changes_nothing(lines in lines(), which in 0_usize..6, goal in 0.5_f64..0.75) {
        let goals = goals(None, Some(goal));
        let whole = planned(&order(lines.clone(), goals));
        let mut halves = lines.clone();
        let at = which % lines.len();
        let half = |load: Load| match load {
            Load::Mass(m) => Load::Mass(m.times(0.5)),
            Load::Volume(v) => Load::Volume(v.times(0.5)),
        };
        halves[at].amount = match lines[at].amount {
            Amount::Fixed(load) => Amount::Fixed(half(load)),
            Amount::Between(a, b) => Amount::Between(half(a), half(b)),
            Amount::AtLeast(a) => Amount::AtLeast(half(a)),
        };
        halves.insert(at, halves[at].clone());
        let split = planned(&order(halves, goals));
        for (a, b) in [
            (whole.mix.mass.likely().base(), split.mix.mass.likely().base()),
            (whole.mix.nitrogen.likely().base(), split.mix.nitrogen.likely().base()),
            (whole.mix.volume.likely().base(), split.mix.volume.likely().base()),
            (whole.mix.moisture.likely().base(), split.mix.moisture.likely().base()),
            (whole.castings.stored.likely().base(), split.castings.stored.likely().base()),
        ] {
            prop_assert!(near(a, b, 1e-6), "{} {}", a, b);
        }
        prop_assert!((whole.extra_water.litres() - split.extra_water.litres()).abs() <= 1e-6 * whole.mix.mass.likely().base());
    }

    /// Pounds and kilograms: the same mix; and ten times the amounts ten times the mix.
    #[test]
    fn units_and_scale_change_nothing(lines in lines(), ratio in 15.0_f64..60.0, goal in 0.5_f64..0.75, k in 0.01_f64..1000.0) {
        let goals = goals(Some((ratio, ratio * 1.1)), Some(goal));
        let pound = 0.453_592_37;
        let times = |factor: f64| {
            let change = |load: Load| match load {
                Load::Mass(m) => Load::Mass(Mass::from_kilograms(m.kilograms() / pound * factor * pound).into()),
                Load::Volume(v) => Load::Volume(v.times(factor)),
            };
            let change = |line: &Ingredient| {
                let amount = match line.amount {
                    Amount::Fixed(load) => Amount::Fixed(change(load)),
                    Amount::Between(a, b) => Amount::Between(change(a), change(b)),
                    Amount::AtLeast(a) => Amount::AtLeast(change(a)),
                };
                Ingredient { amount, ..line.clone() }
            };
            planned(&order(lines.iter().map(change).collect(), goals)).mix
        };
        let (one, other) = (planned(&order(lines.clone(), goals)).mix, times(k));
        for (a, b) in [
            (one.mass.likely().base() * k, other.mass.likely().base()),
            (one.dry.likely().base() * k, other.dry.likely().base()),
            (one.moisture.likely().base(), other.moisture.likely().base()),
            (one.carbon_to_nitrogen.likely().base(), other.carbon_to_nitrogen.likely().base()),
        ] {
            prop_assert!(near(a, b, 1e-6), "{} {}", a, b);
        }
    }

    /// Values drawn within the ranges, of materials and of assumptions, stay within the bounds of the answer.
    #[test]
    fn bounds_hold_whatever_is_drawn_within_the_ranges(
        drawn in prop::collection::vec(
            (prop::array::uniform4(ends()), 0..ALL.len(), 1.0_f64..30.0, any::<bool>()), 1..6),
        given in prop::array::uniform7(ends()),
    ) {
        let line = |material, kilograms, soaked| Ingredient {
            treatment: if soaked { Treatment::Soaked } else { Treatment::AsItIs },
            ..ingredient("x", material, Amount::Fixed(kg(kilograms)))
        };
        let all = drawn.iter().map(|(_, row, m, soaked)| line(ALL[*row].material().unwrap(), *m, *soaked));
        let Ok(wide) = plan_of(&order(all.collect(), goals(None, None))) else { return Ok(()) };
        let mut one = Vec::new();
        for ([w, n, c, rho], row, m, soaked) in &drawn {
            let row = &ALL[*row];
            // The more ash, the less carbon.
            let carbon = exactly(pick(row.carbon.range, *c) / 100.0);
            let carbon = Carbon::Both(carbon, exactly(pick(row.ash.range, 1.0 - *c) / 100.0));
            let known = (exactly(pick(row.moisture.range, *w) / 100.0), exactly(pick(row.nitrogen.range, *n) / 100.0));
            let density = Some(exactly(pick(row.bulk_density.range, *rho)));
            let Ok(material) = Material::new(known, carbon, density, Off) else { return Ok(()) };
            one.push(line(material, *m, *soaked));
        }
        let assumptions = [Assumption::SoakMoisture, Assumption::Packing, Assumption::OrganicMatterLoss, Assumption::NitrogenRetained,
            Assumption::SieveYield, Assumption::DryBulkDensity, Assumption::BedDryDensity];
        let given: Vec<_> = assumptions.into_iter().zip(given)
            .map(|(assumption, u)| (assumption, pick(assumption.definition().default.unwrap(), u))).collect();
        let Ok(one) = with(&known(&given), |known| plan(&order(one, goals(None, None)), known, Off)) else { return Ok(()) };
        for (name, wide, one) in numbers(&wide).into_iter().zip(numbers(&one)).map(|((name, w), (_, o))| (name, w, o)) {
            let x = one[1];
            prop_assert!(wide[0] <= x * (1.0 + 1e-9) && x <= wide[2] * (1.0 + 1e-9), "{} {:?} {}", name, wide, x);
        }
    }
}

/// The ends of a range as often as what lies between.
fn ends() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), Just(1.0), 0.0_f64..1.0]
}

fn pick([low, _, high]: [f64; 3], u: f64) -> f64 {
    low + (high - low) * u
}

fn numbers(plan: &FeedPlan) -> Vec<(&'static str, [f64; 3])> {
    let (mix, castings) = (&plan.mix, &plan.castings);
    vec![
        ("soak water", three(plan.soak_water)),
        ("mass", three(mix.mass)),
        ("dry", three(mix.dry)),
        ("carbon", three(mix.carbon)),
        ("nitrogen", three(mix.nitrogen)),
        ("ash", three(mix.ash)),
        ("moisture", three(mix.moisture)),
        ("nitrogen share", three(mix.nitrogen_share)),
        ("ratio", three(mix.carbon_to_nitrogen)),
        ("volume", three(mix.volume)),
        ("bulk density", three(mix.bulk_density)),
        ("dry bulk density", three(mix.dry_bulk_density)),
        ("dry out", three(castings.dry_out)),
        ("in bed", three(castings.in_bed)),
        ("stored", three(castings.stored)),
        ("nitrogen out", three(castings.nitrogen)),
        ("ratio out", three(castings.carbon_to_nitrogen)),
    ]
}

fn plan_of(order: &Order) -> Result<barrowful::garden::feeds::FeedPlan, barrowful::garden::refusal::Refusal> {
    crate::support::with(&barrowful::garden::assumptions::Overrides::default(), |known| {
        barrowful::garden::feeds::plan(order, known, Off)
    })
}

/// Ranges far wider than the mix: the answer is that of a narrow range.
#[test]
fn a_range_wider_than_any_barrow_changes_nothing() {
    let of = |most: f64| {
        let grass = ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(10.0)));
        let leaves = ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::Between(kg(0.0), kg(most)));
        let straw = ingredient("straw", material(0.12, 0.0056, 0.45), Amount::Between(kg(0.0), kg(most)));
        planned(&order(vec![grass, leaves, straw], goals(Some((30.0, 35.0)), Some(0.60))))
    };
    let narrow = of(20.0);
    assert!(narrow.out_of_reach.is_empty());
    for most in [1e3, 1e6, 1e9] {
        let wide = of(most);
        for (a, b) in narrow.ingredients.iter().zip(&wide.ingredients) {
            let (a, b) = (a.mass.likely().kilograms(), b.mass.likely().kilograms());
            assert!((a - b).abs() < 1e-6, "{most}: {a} {b}");
        }
    }
}

proptest! {
    #![proptest_config(laws(300))]

    /// Whatever the sizes: an answer in finite numbers, or a refusal.
    #[test]
    fn no_size_stops_a_mix(
        sizes in prop::collection::vec(
            (prop::sample::select(vec![0.0, 1e-6, 1.0, 1e3, 1e9, 1e12, -1.0, f64::INFINITY, f64::NAN]),
             prop::sample::select(vec![0.0, 1e-6, 1.0, 1e3, 1e9, 1e12, f64::INFINITY, f64::NAN]), materials(), 0_u8..3), 1..5),
        ratio in prop::sample::select(vec![0.0, 1.0, 30.0, 1e4, f64::NAN]),
        goal in prop::sample::select(vec![0.0, 0.3, 0.6, 0.95, 1.0, f64::NAN]),
    ) {
        let lines = sizes.into_iter().map(|(low, high, material, way)| {
            let amount = match way {
                0 => Amount::Fixed(kg(low)),
                1 => Amount::Between(kg(low), kg(high)),
                _ => Amount::AtLeast(kg(low)),
            };
            ingredient("x", material, amount)
        });
        if let Ok(plan) = plan_of(&order(lines.collect(), goals(Some((ratio, ratio)), Some(goal)))) {
            for number in [
                plan.mix.mass.high().base(), plan.mix.volume.high().base(), plan.mix.moisture.high().base(),
                plan.mix.carbon_to_nitrogen.high().base(), plan.castings.stored.high().base(), plan.extra_water.litres(),
            ] {
                prop_assert!(number.is_finite() && number >= 0.0);
            }
        }
    }
}
