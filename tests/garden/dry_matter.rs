//! Castings by their dry matter, and by the phosphorus or potassium in it.

use crate::support::{applied, assert_near, given, known, litres, order, plain, q, span, three};
use barrowful::garden::applications::{Application, Nutrient, Portion, Rate};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::units::quantity::{OfMass, OfMassPerArea};
use proptest::prelude::*;

fn kg(application: &Application) -> f64 {
    application.carried.mass.likely().kilograms()
}

fn per_area(text: &str) -> barrowful::garden::units::Estimate<OfMassPerArea> {
    q::<OfMassPerArea>(text).into()
}

/// 6 g of P on 1 m2, 0.6 % P in the dry matter: 1 kg of dry matter, 3.333 L at 300 kg/m3, 2 kg moist at 600. It carries 15 g of N, 1.5 g of
/// it available, 8 g of K, and half a kilogram of organic matter.
#[test]
fn a_rate_of_phosphorus_is_so_much_dry_matter() {
    let found =
        applied(&order(plain("1 m2"), Rate::Nutrient(Nutrient::Phosphorus, per_area("6 g/m2"))), &Overrides::default());
    assert_near(litres(&found), 10.0 / 3.0, 1e-12);
    assert_near(kg(&found), 2.0, 1e-12);
    let carried = found.carried.nutrients;
    let nitrogen = [carried.nitrogen, carried.available_nitrogen];
    let rest = [carried.phosphorus, carried.potassium, carried.organic_matter];
    for (mass, grams) in nitrogen.into_iter().chain(rest).zip([15.0, 1.5, 6.0, 8.0, 500.0]) {
        assert_near(mass.likely().kilograms() * 1000.0, grams, 1e-12);
    }
    // What was asked is known; what comes with it is not.
    assert!(carried.phosphorus.is_exact() && !carried.potassium.is_exact());
}

/// Soil tests and fertilisers count P2O5 and K2O. Phosphate holds 43.64 % of phosphorus and potash 83.01 % of potassium (conversion factors
/// 0.4364 and 0.8301 of extension tables, from standard atomic weights).
#[test]
fn phosphate_and_potash_are_rates_of_their_elements() {
    for (oxide, element, share) in
        [(Nutrient::Phosphate, Nutrient::Phosphorus, 0.4364), (Nutrient::Potash, Nutrient::Potassium, 0.8301)]
    {
        let asked = |nutrient, amount: &str| {
            litres(&applied(&order(plain("40 m2"), Rate::Nutrient(nutrient, per_area(amount))), &Overrides::default()))
        };
        assert_near(asked(oxide, "10 g/m2"), asked(element, &format!("{} g/m2", 10.0 * share)), 1e-4);
    }
    let found =
        applied(&order(plain("40 m2"), Rate::Nutrient(Nutrient::Potash, per_area("10 g/m2"))), &Overrides::default());
    assert_near(found.carried.nutrients.potash.likely().kilograms(), 0.4, 1e-12);
}

/// 3 kg of dry matter: 10 L at 300 kg/m3 (6.67 to 15 at 450 to 200), 6 kg moist at 600; 45 g of N whatever the density.
#[test]
fn dry_mass_fixes_what_is_carried_and_not_the_volume() {
    for rate in [Rate::Total(Portion::DryMass(q::<OfMass>("3 kg").into())), Rate::DryMassPerArea(per_area("0.5 kg/m2"))]
    {
        let found = applied(&order(plain("6 m2"), rate), &Overrides::default());
        for (found, wanted) in three(found.carried.volume).into_iter().zip([3.0 / 0.45, 10.0, 15.0]) {
            assert_near(found, wanted, 1e-12);
        }
        assert_near(kg(&found), 6.0, 1e-12);
        assert_near(found.carried.nutrients.nitrogen.likely().kilograms(), 0.045, 1e-12);
        let [low, _, high] = three(found.carried.nutrients.nitrogen);
        assert_near(low, 0.03, 1e-12);
        assert_near(high, 0.075, 1e-12);
    }
}

/// With the moisture known, moist mass = dry mass / (1 - moisture), exactly: the densities are tied.
#[test]
fn with_the_moisture_known_the_moist_mass_has_no_range() {
    let moisture = given(&[(Assumption::Moisture, span(0.6, 0.6, 0.6))]);
    let found = applied(&order(plain("6 m2"), Rate::Total(Portion::DryMass(q::<OfMass>("3 kg").into()))), &moisture);
    for mass in three(found.carried.mass) {
        assert_near(mass, 7.5, 1e-9);
    }
}

proptest! {
    /// The castings that bring so much of a nutrient carry just so much when they are asked by volume, and by dry mass.
    #[test]
    fn what_is_asked_is_what_comes(
        grams in 0.1..500.0_f64, square_metres in 0.1..1e4_f64, p in 0.001..0.05_f64, k in 0.001..0.05_f64, dry in 100.0..500.0_f64,
        which in 0..4_usize,
    ) {
        let own = known(&[
            (Assumption::Phosphorus, p), (Assumption::Potassium, k), (Assumption::DryBulkDensity, dry), (Assumption::BulkDensity, 700.0),
        ]);
        let nutrient = [Nutrient::Phosphorus, Nutrient::Phosphate, Nutrient::Potassium, Nutrient::Potash][which];
        let ground = || plain(&format!("{square_metres} m2"));
        let amount = per_area(&format!("{grams} g/m2"));
        let asked = applied(&order(ground(), Rate::Nutrient(nutrient, amount)), &own);
        let of = |found: &Application| {
            let carried = found.carried.nutrients;
            [carried.phosphorus, carried.phosphate, carried.potassium, carried.potash][which].likely().kilograms()
        };
        prop_assert!((of(&asked) / (grams * square_metres / 1000.0) - 1.0).abs() < 1e-9);
        let by_volume = applied(&order(ground(), Rate::Total(Portion::Volume(asked.carried.volume.likely().into()))), &own);
        prop_assert!((of(&by_volume) / of(&asked) - 1.0).abs() < 1e-9);
        prop_assert!((kg(&by_volume) / kg(&asked) - 1.0).abs() < 1e-9);
        let dry_mass = barrowful::garden::units::Mass::from_kilograms(litres(&asked) * dry / 1000.0);
        let by_dry_mass = applied(&order(ground(), Rate::Total(Portion::DryMass(dry_mass.into()))), &own);
        prop_assert!((of(&by_dry_mass) / of(&asked) - 1.0).abs() < 1e-9);
        prop_assert!((litres(&by_dry_mass) / litres(&asked) - 1.0).abs() < 1e-9);
    }
}
