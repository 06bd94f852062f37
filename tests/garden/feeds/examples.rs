//! Published examples of mixes come out as printed, and printed averages of ratios, which are wrong, do not.

use super::{goals, grass_and_leaves, ingredient, kg, kilograms, material, order, planned};
use crate::support::assert_near;
use barrowful::garden::feeds::{Amount, Goals};

/// Cornell Waste Management Institute 1996, moisture of two materials (read in a stored copy): 6.8 kg of leaves.
#[test]
fn ten_kilograms_of_grass_take_6_8_of_leaves_for_60_percent_moisture() {
    let plan = planned(&grass_and_leaves(goals(None, Some(0.60))));
    assert_near(kilograms(&plan)[1], 6.8, 1e-9);
    assert_near(plan.mix.moisture.likely().fraction(), 0.60, 1e-9);
    assert!(plan.extra_water.litres() < 1e-9 && plan.out_of_reach.is_empty());
    // The ratio that comes of it, by the same numbers: 36.7.
    assert_near(plan.mix.carbon_to_nitrogen.likely().number(), 36.7, 1e-3);
}

/// The same authors' ratio example (from memory): 3.5 kg of leaves for 30.
#[test]
fn ten_kilograms_of_grass_take_3_5_of_leaves_for_a_ratio_of_30() {
    let plan = planned(&grass_and_leaves(goals(Some((30.0, 30.0)), None)));
    assert_near(kilograms(&plan)[1], 3.4741, 1e-4);
    assert_eq!((kilograms(&plan)[1] * 10.0).round() / 10.0, 3.5);
    assert_near(plan.mix.carbon_to_nitrogen.likely().number(), 30.0, 1e-9);
    assert_near(plan.mix.moisture.likely().fraction(), 0.6617, 1e-4);
}

/// A worksheet prints, beside each other, ratios averaged by parts. What a balance of carbon and nitrogen says of the
/// same parts is another number; with equal carbon in each part (as the print allows) it is given beside it.
#[test]
fn printed_averages_of_ratios_are_not_reproduced() {
    // (source, parts and ratios, printed, true with equal dry matter and 45 % carbon)
    let printed = [
        (
            "New Mexico State University Extension 2009, dairy manure and leaves",
            [(4.0, 20.0), (1.0, 80.0)],
            32.0,
            23.529,
        ),
        (
            "New Mexico State University Extension 2009, horse manure and leaves",
            [(7.0, 25.0), (1.0, 80.0)],
            31.875,
            27.35,
        ),
        ("University of Wisconsin worksheet key, dairy manure and stalks", [(2.0, 15.0), (1.0, 65.0)], 31.667, 20.172),
    ];
    for (source, parts, printed, truly) in printed {
        let lines = parts.map(|(kilograms, ratio)| {
            ingredient("part", material(0.5, 0.45 / ratio, 0.45), Amount::Fixed(kg(kilograms)))
        });
        let plan = planned(&order(lines.to_vec(), Goals::default()));
        let found = plan.mix.carbon_to_nitrogen.likely().number();
        assert_near(found, truly, 1e-4);
        let mean = parts.iter().map(|(m, r)| m * r).sum::<f64>() / parts.iter().map(|(m, _)| m).sum::<f64>();
        assert_near(mean, printed, 1e-4);
        assert!(found < printed - 4.0, "{source}: printed {printed}, truly {found}");
    }
}
