//! What a place gets in a year.

use barrowful::garden::applications::{Dressing, Nutrients, in_a_year};
use barrowful::garden::cautions::Rule;
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Area, Estimate, Mass, MassPerArea, Volume};
use proptest::prelude::*;

fn dressing(square_metres: f64, litres: f64, kilograms: [f64; 2]) -> Dressing {
    let kg = |x| Estimate::exactly(Mass::from_kilograms(x));
    let [nitrogen, phosphorus] = kilograms;
    Dressing {
        area: (square_metres > 0.0).then(|| Area::from_square_metres(square_metres).into()),
        volume: Estimate::exactly(Volume::from_litres(litres)),
        nutrients: Nutrients::of([nitrogen, nitrogen / 10.0, phosphorus, phosphorus, 5.0].map(kg), Off),
        nitrate_zone: false,
    }
}

/// Phosphorus removal of 33 kg/ha a year, with which Montana State University Extension reckons 14 years for an inch.
fn removal() -> Estimate<barrowful::garden::units::quantity::OfMassPerArea> {
    Estimate::exactly(MassPerArea::from_kilograms_per_square_metre(0.0033))
}

/// 91/676/EEC, annex III: 170 kg N to the hectare and year. A hundred square metres may get 1.7 kg.
#[test]
fn two_halves_of_the_nitrate_limit_reach_it_and_a_zone_makes_more_a_caution() {
    let half = dressing(100.0, 100.0, [0.85, 0.0]);
    let whole = in_a_year(&[half.clone(), half.clone()], removal(), Off).unwrap();
    assert!((whole.share_of_nitrate_limit.unwrap().likely().number() - 1.0).abs() < 1e-12);
    let mut zone = half.clone();
    zone.nitrate_zone = true;
    assert_eq!(in_a_year(&[half.clone(), zone.clone()], removal(), Off).unwrap().cautions, []);
    assert_eq!(in_a_year(&[half.clone(), half.clone(), zone], removal(), Off).unwrap().cautions, [Rule::NitrateLimit]);
    assert_eq!(in_a_year(&[half.clone(), half.clone(), half], removal(), Off).unwrap().cautions, []);
}

/// University of Minnesota Extension: about an inch in a year. 25.4 L/m2 are an inch.
#[test]
fn layers_that_are_thin_one_by_one_may_be_thick_in_a_year() {
    let thin = dressing(10.0, 130.0, [0.0, 0.0]);
    assert_eq!(in_a_year(std::slice::from_ref(&thin), removal(), Off).unwrap().cautions, []);
    let both = in_a_year(&[thin.clone(), thin], removal(), Off).unwrap();
    assert_eq!(both.cautions, [Rule::ThickLayer]);
    assert!((both.depth.unwrap().likely().metres() - 0.026).abs() < 1e-12);
}

#[test]
fn pots_have_no_ground_and_nothing_to_compare_with() {
    let yearly = in_a_year(&[dressing(0.0, 10.0, [0.1, 0.1])], removal(), Off).unwrap();
    assert!(yearly.area.is_none() && yearly.depth.is_none());
    assert!(yearly.share_of_nitrate_limit.is_none() && yearly.share_of_phosphorus_removal.is_none());
    assert!(in_a_year(&[], removal(), Off).is_none());
}

proptest! {
    /// Sums do not depend on the order, and the ground is the largest.
    #[test]
    fn the_order_of_dressings_does_not_matter(
        list in proptest::collection::vec((1.0..100.0_f64, 1.0..100.0_f64, 0.001..1.0_f64), 1..8),
    ) {
        let made: Vec<Dressing> = list.iter().map(|(a, v, n)| dressing(*a, *v, [*n, *n / 2.0])).collect();
        let turned: Vec<Dressing> = made.iter().rev().cloned().collect();
        let (one, other) = (in_a_year(&made, removal(), Off).unwrap(), in_a_year(&turned, removal(), Off).unwrap());
        prop_assert_eq!(one.area, other.area);
        let largest = list.iter().map(|(a, _, _)| *a).fold(0.0, f64::max);
        prop_assert_eq!(one.area.unwrap().square_metres(), largest);
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * a.abs().max(b.abs());
        prop_assert!(near(
            one.nutrients.nitrogen.likely().kilograms(),
            other.nutrients.nitrogen.likely().kilograms()
        ));
        let nitrogen: f64 = list.iter().map(|(_, _, n)| *n).sum();
        prop_assert!(near(one.share_of_nitrate_limit.unwrap().likely().number(), nitrogen / largest / 0.017));
    }
}
