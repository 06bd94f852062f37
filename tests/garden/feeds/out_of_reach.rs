//! Goals of ratio and moisture that cannot be met are reported with their distance, and with what would mend them.

use super::{exactly, goals, grass_and_leaves, ingredient, kg, kilograms, material, of_table, order, planned};
use crate::support::{assert_near, with};
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::feeds::{Amount, Carbon, Goal, Goals, Ingredient, Material, Remedy, plan};
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::Share;

/// Both goals cannot hold at once: the ratio is met, the moisture is reported with what prevents it.
#[test]
fn both_goals_cannot_hold_with_two_materials_and_the_answer_says_so() {
    let plan = planned(&grass_and_leaves(goals(Some((30.0, 30.0)), Some(0.60))));
    assert_near(kilograms(&plan)[1], 3.4741, 1e-4);
    assert_eq!(plan.out_of_reach.len(), 1);
    let missed = &plan.out_of_reach[0];
    assert_eq!((missed.goal, missed.remedy, missed.alone), (Goal::Moisture, Remedy::Dry, true));
    assert_near(missed.nearest, 0.6617, 1e-4);
    assert_near(missed.by, 0.0617, 1e-3);
    let instead = plan.instead.unwrap();
    assert_near(instead.masses[1].kilograms(), 6.8, 1e-9);
    assert_near(instead.carbon_to_nitrogen.number(), 36.7, 1e-3);
    assert_near(instead.moisture.fraction(), 0.60, 1e-9);
    let text = missed.text();
    for part in ["60.0 %", "66.2 %", "6.2 points", "cannot meet both goals", "dry leaves", "from the table"] {
        assert!(text.contains(part), "{text}");
    }
    // What is named does mend it.
    assert!(!missed.would_do.is_empty());
    for row in &missed.would_do {
        let mut mended = grass_and_leaves(goals(Some((30.0, 30.0)), Some(0.60)));
        mended.ingredients.push(of_table(row.id, Amount::Between(kg(0.0), kg(100.0))));
        let plan = planned(&mended);
        assert!(plan.out_of_reach.is_empty(), "{}", row.id);
        assert_near(plan.mix.carbon_to_nitrogen.likely().number(), 30.0, 1e-7);
        assert_near(plan.mix.moisture.likely().fraction(), 0.60, 1e-7);
    }
}

#[test]
fn a_goal_that_no_amount_reaches_is_refused_with_the_nearest() {
    let grass = || ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(10.0)));
    let any = || ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::AtLeast(kg(0.0)));
    let refused = |ingredients: Vec<Ingredient>, goals| {
        with(&Overrides::default(), |known| plan(&order(ingredients, goals), known, Off)).unwrap_err()
    };
    // Leaves alone have 66.7, so any mix has less.
    let refusal = refused(vec![grass(), any()], goals(Some((100.0, 120.0)), None));
    assert_eq!((refusal.reason, refusal.field), (Reason::ImpossibleValue, Some("materials")));
    for part in [
        "no amount of leaves is enough",
        "the nearest mix has 66.6",
        "Give at_most for it, and you get a mix within it",
    ] {
        assert!(refusal.detail.contains(part), "{}", refusal.detail);
    }
    // Nothing but what is free: no size.
    assert!(refused(vec![any()], goals(Some((30.0, 70.0)), None)).detail.contains("nothing fixes the size"));
    // A goal missed by others, with little of what is free, is reported as before.
    let plan = planned(&order(vec![grass(), any()], goals(Some((5.0, 9.0)), None)));
    assert_eq!(plan.out_of_reach[0].remedy, Remedy::NitrogenRich);
    assert_near(kilograms(&plan)[1], 0.0, 1e-6);
}

#[test]
fn a_ratio_out_of_reach_is_reported_with_distance_and_remedy() {
    let grass = || ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(10.0)));
    let little = ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::Between(kg(0.0), kg(1.0)));
    let plan = planned(&order(vec![grass(), little], goals(Some((25.0, 30.0)), None)));
    let missed = &plan.out_of_reach[0];
    // All of the leaves: (1.035 + 0.325)/(0.0552 + 0.004875).
    let best = (1.035 + 0.325) / (0.0552 + 0.004875);
    assert_near(missed.nearest, best, 1e-9);
    assert_near(missed.by, 25.0 - best, 1e-9);
    assert_eq!((missed.goal, missed.remedy), (Goal::CarbonToNitrogen, Remedy::CarbonRich));
    assert_near(kilograms(&plan)[1], 1.0, 1e-6);
    assert!(missed.would_do.iter().all(|f| f.carbon_to_nitrogen() > 25.0) && missed.would_do.len() == 3);
    // Straw and some grass, wanted far below: all of the grass, and still above.
    let straw = ingredient("straw", material(0.12, 0.0056, 0.45), Amount::Fixed(kg(10.0)));
    let some = ingredient("grass", material(0.77, 0.024, 0.45), Amount::Between(kg(0.0), kg(4.0)));
    let high = planned(&order(vec![straw, some], goals(Some((20.0, 30.0)), None)));
    let best = (3.96 + 0.414) / (0.04928 + 0.02208);
    assert_near(high.out_of_reach[0].nearest, best, 1e-9);
    assert_near(high.out_of_reach[0].by, best - 30.0, 1e-9);
    assert_near(kilograms(&high)[1], 4.0, 1e-6);
    let low = planned(&order(vec![grass()], goals(Some((5.0, 9.0)), None)));
    assert_eq!(low.out_of_reach[0].remedy, Remedy::NitrogenRich);
    assert_near(low.out_of_reach[0].by, 18.75 - 9.0, 1e-9);
    assert!(low.out_of_reach[0].would_do.iter().all(|f| f.carbon_to_nitrogen() < 9.0));
}

/// Straw of 10 kg in 100 L (50 % moist, C:N 60) with up to 200 kg of meal of 900 kg/m3 (10 % moist, C:N 10), both with 45 % carbon; wanted
/// are a ratio of 5, 60 % moisture and 30 % air. All of the meal is nearest to the ratio, and with it the pores cannot hold the water:
/// `D/1500 + 1.5 D/1000` of 185 kg of dry matter are 401 L, in 322 L. Moisture and air allow
/// `(1/1500 + 1.5/1000)(5 + 0.9 x) <= 0.7 (0.1 + x/900)`, so x up to 50.5 kg, a ratio of 10.9: the nearest that meets them.
#[test]
fn a_ratio_out_of_reach_gives_way_to_the_moisture_and_the_air() {
    let of = |w, ratio: f64, rho| {
        let carbon = Carbon::Carbon(exactly(0.45));
        Material::new((exactly(w), exactly(0.45 / ratio)), carbon, Some(exactly(rho)), Off).unwrap()
    };
    let straw = ingredient("straw", of(0.5, 60.0, 100.0), Amount::Fixed(kg(10.0)));
    let meal = ingredient("meal", of(0.1, 10.0, 900.0), Amount::Between(kg(0.0), kg(200.0)));
    let air_space = Some(Share::from_fraction(0.3).into());
    let found = planned(&order(vec![straw, meal], Goals { air_space, ..goals(Some((5.0, 5.0)), Some(0.6)) }));
    let full = 1.0 / 1_500.0 + 1.5 / 1_000.0;
    let most = (0.7 * 0.1 - full * 5.0) / (full * 0.9 - 0.7 / 900.0);
    let ratio = |x: f64| 0.45 * (5.0 + 0.9 * x) / (5.0 * 0.45 / 60.0 + 0.9 * 0.45 / 10.0 * x);
    assert_near(ratio(most), 10.9, 1e-3);
    // 1 % farther saves more than 1 % of the material: (2.25 + 0.405 x)/(0.0375 + 0.0405 x) = q.
    let q = ratio(most) + 0.01 * (ratio(most) - 5.0);
    assert_near(kilograms(&found)[1], (2.25 - 0.0375 * q) / (0.0405 * q - 0.405), 1e-6);
    let missed = &found.out_of_reach[0];
    assert_eq!((found.out_of_reach.len(), missed.goal, missed.alone), (1, Goal::CarbonToNitrogen, false));
    assert_near(missed.nearest, q, 1e-6);
    assert_near(missed.by, q - 5.0, 1e-6);
    assert_near(found.mix.moisture.likely().fraction(), 0.6, 1e-9);
    assert!(found.mix.air_space.fraction() >= 0.3 - 1e-9);
}

#[test]
fn a_goal_that_no_material_allows_is_reported_plainly() {
    let straw = of_table("straw", Amount::Fixed(kg(10.0)));
    let plan = planned(&order(vec![straw], goals(Some((2_000.0, 3_000.0)), None)));
    let missed = &plan.out_of_reach[0];
    assert!(missed.would_do.is_empty() && missed.text().contains("no material of the table is enough"));
    assert!(missed.text().contains("2000 to 3000"), "{}", missed.text());
}
