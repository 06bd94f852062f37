//! The air that a mix needs: the least is taken that leaves it, and where it is out of reach the answer says so.

use super::{exactly, goals, ingredient, kg, kilograms, of_table, order, planned};
use crate::support::assert_near;
use barrowful::garden::cautions::Rule;
use barrowful::garden::feeds::{Amount, Carbon, Goal, Goals, Ingredient, Material, Order, Remedy, Size};
use barrowful::garden::figures::Off;
use barrowful::garden::units::Share;

/// Pulp of 900 kg/m3 at 75 %: 10 kg lie in 11.1 L, of which 9.17 L are solids and water, 17.5 % air. Straw of 100 kg/m3 at 10 % brings 10 L
/// with 0.7 L of solids and water for each kilogram.
fn pulp_and_straw(size: Size, straw: Amount, goals: Goals) -> Order {
    let of = |w, n, c, rho| {
        Material::new((exactly(w), exactly(n)), Carbon::Carbon(exactly(c)), Some(exactly(rho)), Off).unwrap()
    };
    let pulp = ingredient("pulp", of(0.75, 0.02, 0.45, 900.0), Amount::Fixed(kg(10.0)));
    let straw = Ingredient { size, ..ingredient("straw", of(0.1, 0.006, 0.45, 100.0), straw) };
    order(vec![pulp, straw], goals)
}

/// `9.17 + 0.7 x <= (1 - air) f (11.1 + 10 x)`: with pieces of one size f = 1, else 0.9.
#[test]
fn the_least_is_taken_that_leaves_a_fifth_of_air() {
    let some = Amount::Between(kg(0.0), kg(50.0));
    let (full, whole) = (2.5 / 1.5 + 7.5, 10.0 / 0.9);
    for (size, packing) in [(Size::Medium, 1.0), (Size::Coarse, 0.9)] {
        for air in [None, Some(0.3)] {
            let air_space = air.map(|air| Share::from_fraction(air).into());
            let found = planned(&pulp_and_straw(size, some, Goals { air_space, ..Goals::default() }));
            let holds = packing * (1.0 - air.unwrap_or(0.2));
            assert_near(kilograms(&found)[1], (full - holds * whole) / (10.0 * holds - 0.7), 1e-7);
            assert_near(found.mix.air_space.fraction(), air.unwrap_or(0.2), 1e-7);
            assert!(found.out_of_reach.is_empty());
            // A hair below a fifth by rounding is no caution.
            assert!(!found.cautions.contains(&Rule::FeedTooWet));
        }
    }
    // Where there is air enough it changes nothing.
    let none = Goals { air_space: Some(Share::from_fraction(0.1).into()), ..Goals::default() };
    assert_eq!(kilograms(&planned(&pulp_and_straw(Size::Medium, some, none)))[1], 0.0);
}

/// Little coarse straw would only fill up: with 0.1 kg the mix packs to 15.3 % of air, without it the pulp keeps 17.5 %.
#[test]
fn air_out_of_reach_is_reported_with_what_mends_it() {
    let little = pulp_and_straw(Size::Coarse, Amount::Between(kg(0.0), kg(0.1)), Goals::default());
    let found = planned(&little);
    let missed = &found.out_of_reach[0];
    assert_eq!((missed.goal, missed.remedy, missed.alone), (Goal::AirSpace, Remedy::Coarse, false));
    assert_near(missed.nearest, 0.175, 1e-9);
    assert_near(missed.by, 0.025, 1e-9);
    assert_eq!(kilograms(&found)[1], 0.0);
    assert!(found.cautions.contains(&Rule::FeedTooWet));
    for part in ["air space of 20.0 % is out of reach", "17.5 %", "2.5 points less", "coarse dry material"] {
        assert!(missed.text().contains(part), "{}", missed.text());
    }
    assert_eq!(missed.would_do.len(), 3);
    for row in &missed.would_do {
        let mut mended = little.clone();
        mended.ingredients.push(of_table(row.id, Amount::Between(kg(0.0), kg(100.0))));
        assert!(planned(&mended).out_of_reach.is_empty(), "{}", row.id);
    }
    // The moisture goes before the air: at 88 % no amount of this straw is airy, at 70 % it is.
    let wet = |moisture| pulp_and_straw(Size::Coarse, Amount::Between(kg(0.0), kg(50.0)), goals(None, Some(moisture)));
    let found = planned(&wet(0.88));
    assert_near(found.mix.moisture.likely().fraction(), 0.88, 1e-9);
    assert_eq!((found.out_of_reach[0].goal, found.out_of_reach[0].alone), (Goal::AirSpace, true));
    let found = planned(&wet(0.70));
    assert!(found.out_of_reach.is_empty() && found.mix.air_space.fraction() >= 0.2 - 1e-9);
}
