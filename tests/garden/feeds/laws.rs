//! The laws of a mix: nothing is lost, units and sizes change nothing, and bounds hold.

use super::mix::sizes;
use super::{exactly, goals, ingredient, kg, material, order, planned};
use crate::support::{known, laws, near, three, with};
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::feeds::materials::ALL;
use barrowful::garden::feeds::{
    Amount, Carbon, FeedPlan, Ingredient, Load, Material, Order, Rehydration, Treatment, plan,
};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Mass, Volume};
use proptest::prelude::*;

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
