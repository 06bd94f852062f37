//! Materials and orders that cannot be are refused plainly, and mixes that do not suit worms carry a caution.

use super::{exactly, goals, hot, ingredient, kg, material, of_table, order, planned};
use crate::support::{known, q, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::cautions::Rule;
use barrowful::garden::dates::date;
use barrowful::garden::feeds::{Amount, Carbon, Goals, Material, Order, Rehydration, Soak, Treatment, plan};
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::{Reason, Refusal};

fn refused(order: &Order) -> Refusal {
    with(&Overrides::default(), |known| plan(order, known, Off)).unwrap_err()
}

#[test]
fn bad_materials_are_refused_plainly() {
    let new = |w: f64, n: f64, carbon| Material::new((exactly(w), exactly(n)), carbon, None, Off);
    let c = Carbon::Carbon(exactly(0.45));
    for (found, field, part) in [
        (new(1.0, 0.01, c), "moisture", "leaves no dry matter"),
        (new(1.2, 0.01, c), "moisture", "below 100 %"),
        (new(0.5, 0.0, c), "nitrogen", "nitrogen"),
        (new(0.5, 0.01, Carbon::Carbon(exactly(0.59))), "carbon", "at most 58"),
        (new(0.5, 0.01, Carbon::Ash(exactly(1.1))), "ash", "from 0 to 100"),
        (new(0.39, 0.0024, Carbon::Ratio(exactly(442.0))), "carbon_to_nitrogen", "contradict each other"),
    ] {
        let refusal = found.unwrap_err();
        assert_eq!(refusal.field, Some(field));
        assert!(refusal.detail.contains(part), "{}", refusal.detail);
    }
    assert!(new(0.0, 0.01, Carbon::Carbon(exactly(0.58))).is_ok());
    let soaked = Some(exactly(1300.0));
    let dense = Material::new((exactly(0.6), exactly(0.01)), c, soaked, Off).unwrap_err();
    assert_eq!((dense.reason, dense.field), (Reason::ImpossibleValue, Some("bulk_density")));
    assert!(dense.detail.contains("pores"));
}

#[test]
fn bad_orders_are_refused_plainly() {
    let grass = |amount| ingredient("grass", material(0.77, 0.024, 0.45), amount);
    let one = |amount, goals| order(vec![grass(amount)], goals);
    let fixed = Amount::Fixed(kg(10.0));
    let none = Goals::default();
    for (order, reason, field) in [
        (order(vec![], none), Reason::MissingField, "materials"),
        (one(Amount::Between(kg(0.0), kg(5.0)), none), Reason::ImpossibleValue, "materials"),
        (one(Amount::Between(kg(5.0), kg(1.0)), none), Reason::OutOfRange, "materials"),
        (one(fixed, goals(Some((30.0, 20.0)), None)), Reason::OutOfRange, "goals"),
        (one(fixed, goals(None, Some(0.99))), Reason::OutOfRange, "goals"),
        (Order { soak: Some(Soak { days: 0, ..Soak::COMMON }), ..one(fixed, none) }, Reason::OutOfRange, "soak"),
        (Order { hot_composting: Some(hot(0, 0)), ..one(fixed, none) }, Reason::OutOfRange, "hot_composting"),
        (Order { start_on: Some(date("2199-12-31").unwrap()), ..one(fixed, none) }, Reason::OutOfRange, "start_on"),
    ] {
        let refusal = refused(&order);
        assert_eq!((refusal.reason, refusal.field), (reason, Some(field)), "{refusal}");
    }
    let mut drowned = grass(fixed);
    drowned.treatment =
        Treatment::Rehydrated(Rehydration { water_per_kilogram: q("20 L").into(), ..Rehydration::COMMON });
    let refusal = refused(&order(vec![drowned], none));
    assert!(refusal.reason == Reason::ImpossibleValue && refusal.detail.contains("pores"), "{refusal}");
}

#[test]
fn a_mix_outside_what_suits_worms_says_so() {
    let straw = || of_table("wheat_straw", Amount::Fixed(kg(10.0)));
    let plan = planned(&order(vec![straw()], Goals::default()));
    assert!(plan.cautions.contains(&Rule::MixRatio) && plan.cautions.contains(&Rule::MixMoisture));
    let wide = known(&[(Assumption::MixCarbonToNitrogen, 46.0 / 0.62), (Assumption::BedMoisture, 0.097)]);
    let plan = with(&wide, |known| barrowful::garden::feeds::plan(&order(vec![straw()], Goals::default()), known, Off))
        .unwrap();
    assert!(!plan.cautions.contains(&Rule::MixRatio) && !plan.cautions.contains(&Rule::MixMoisture));
}
