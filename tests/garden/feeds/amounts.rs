//! How much is taken of a material whose amount is free: what the goals need, and no more.

use super::{goals, ingredient, kg, kilograms, material, order, planned};
use crate::support::assert_near;
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::feeds::Amount;

#[test]
fn a_dry_mix_gets_water_and_the_least_of_what_may_be_chosen() {
    // 10 kg at 20 %: W = 10 (0.6 - 0.2)/0.4 = 10 L.
    let dry = ingredient("straw", material(0.2, 0.01, 0.45), Amount::Fixed(kg(10.0)));
    let more = ingredient("more", material(0.2, 0.01, 0.45), Amount::Between(kg(1.0), kg(9.0)));
    let plan = planned(&order(vec![dry, more], goals(None, Some(0.6))));
    assert_near(kilograms(&plan)[1], 1.0, 1e-12);
    assert_near(plan.extra_water.litres(), 11.0, 1e-9);
    assert!(plan.ingredients[1].chosen && !plan.ingredients[0].chosen);
}

#[test]
fn of_two_equal_materials_the_earlier_is_taken() {
    let base = || ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(10.0)));
    let leaves = |most| ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::Between(kg(0.0), kg(most)));
    let plan = planned(&order(vec![base(), leaves(2.0), leaves(50.0)], goals(Some((30.0, 30.0)), None)));
    assert_near(kilograms(&plan)[1], 2.0, 1e-9);
    assert_near(kilograms(&plan)[2], 1.4741, 1e-4);
}

/// Grass of 18.75 and leaves of 66.7: (1.035 + 0.325 x)/(0.0552 + 0.004875 x) = 30 at x = 0.621/0.17875 = 3.4741 kg.
#[test]
fn a_material_without_any_amount_is_taken_as_the_goals_need() {
    let grass = || ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(10.0)));
    let leaves = |amount| ingredient("leaves", material(0.35, 0.0075, 0.50), amount);
    let any = |least: f64| leaves(Amount::AtLeast(kg(least)));
    let thirty = goals(Some((30.0, 30.0)), None);
    let plan = planned(&order(vec![grass(), any(0.0)], thirty));
    assert_near(kilograms(&plan)[1], 0.621 / 0.17875, 1e-7);
    assert!(plan.ingredients[1].chosen);
    // The same as with a bound that does not matter; and a least that is more than needed is all of it.
    let bounded = planned(&order(vec![grass(), leaves(Amount::Between(kg(0.0), kg(50.0)))], thirty));
    assert_near(kilograms(&plan)[1], kilograms(&bounded)[1], 1e-7);
    let from_five = planned(&order(vec![grass(), any(5.0)], goals(Some((30.0, 40.0)), None)));
    assert_near(kilograms(&from_five)[1], 5.0, 1e-9);
    // Without a goal the usual ratio of 25: 0.345/0.203125.
    let usual = planned(&order(vec![grass(), any(0.0)], goals(None, None)));
    assert_near(kilograms(&usual)[1], 0.345 / 0.203_125, 1e-7);
    assert!(usual.assumed.iter().any(|a| a.assumption == Assumption::MixCarbonToNitrogen));
    // Only what is free asks for it: a range stays at its least.
    let ranged = planned(&order(vec![grass(), leaves(Amount::Between(kg(0.0), kg(50.0)))], goals(None, None)));
    assert_near(kilograms(&ranged)[1], 0.0, 1e-12);
}

/// Grass of 18.75 and up to 50 kg of leaves of 66.7, wanted 100: all of the leaves make 57.8, off by 42.2. A mix off by 1 % more,
/// (1.035 + 0.325 x)/(0.0552 + 0.004875 x) = 57.4, takes 47.2 kg, which is 5 % less of the whole.
#[test]
fn the_nearest_mix_does_not_take_everything_for_a_tiny_gain() {
    let of = |most: f64, wanted: f64| {
        let grass = ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(10.0)));
        let leaves = ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::Between(kg(0.0), kg(most)));
        planned(&order(vec![grass, leaves], goals(Some((wanted, wanted)), None)))
    };
    let ratio = |x: f64| (1.035 + 0.325 * x) / (0.0552 + 0.004_875 * x);
    let found = of(50.0, 100.0);
    let off = (100.0 - ratio(50.0)) * 1.01;
    let x = (0.0552 * (100.0 - off) - 1.035) / (0.325 - 0.004_875 * (100.0 - off));
    assert_near(kilograms(&found)[1], x, 1e-6);
    assert_near(x, 47.2, 1e-3);
    let missed = &found.out_of_reach[0];
    assert_near(missed.by, off, 1e-6);
    assert_near(missed.nearest, found.mix.carbon_to_nitrogen.likely().number(), 1e-9);
    // That is not called the nearest.
    let text = missed.text();
    assert!(
        text.contains("this mix has 57.4, off by 42.6; the nearest would be hardly nearer and take more material"),
        "{text}"
    );
    // A thousand times as much for a few points more is not taken.
    assert!(kilograms(&of(10_000.0, 100.0))[1] < 1_700.0);
    // Near the goal the last kilogram counts: 1 % more distance would save 0.2 % of the mix.
    let near = of(20.0, 50.0);
    assert_near(kilograms(&near)[1], 20.0, 1e-9);
    assert_near(near.out_of_reach[0].nearest, ratio(20.0), 1e-9);
    assert!(near.out_of_reach[0].text().contains("the nearest mix has "), "{}", near.out_of_reach[0].text());
}
