//! Mass and volume of materials that are measured one way or the other, and of pieces that pack closer together.

use super::{exactly, ingredient, kg, material, of_table, order, planned};
use crate::support::{assert_near, three};
use barrowful::garden::assumptions::Assumption;
use barrowful::garden::feeds::{Amount, Carbon, Goals, Ingredient, Load, Material, Size};
use barrowful::garden::figures::Off;
use barrowful::garden::units::Volume;

#[test]
fn a_volume_given_is_exact_and_the_mass_follows() {
    let leaves = of_table("leaves_loose", Amount::Fixed(Load::Volume(Volume::from_litres(200.0).into())));
    let plan = planned(&order(vec![leaves], Goals::default()));
    let part = &plan.ingredients[0];
    assert!(part.volume.is_exact());
    for (found, density) in three(part.mass).into_iter().zip([48.0, 75.0, 154.0]) {
        assert_near(found, density / 5.0, 1e-12);
    }
    assert_near(plan.mix.volume.likely().litres(), 200.0, 1e-12);
    assert_near(plan.mix.bulk_density.likely().base(), 75.0, 1e-12);
}

#[test]
fn a_material_nobody_weighed_has_the_usual_dry_bulk_density() {
    let unweighed = Material::new((exactly(0.5), exactly(0.01)), Carbon::Carbon(exactly(0.45)), None, Off).unwrap();
    let plan = planned(&order(vec![ingredient("x", unweighed, Amount::Fixed(kg(13.0)))], Goals::default()));
    assert_near(plan.ingredients[0].volume.likely().litres(), 13.0 / 0.26, 1e-12);
    assert!(plan.assumed.iter().any(|a| a.assumption == Assumption::FeedDryDensity));
}

/// Fines fill voids only between larger pieces: 100 L of each of two materials fill 200 L where they are of one size and 180 L where
/// they differ; what is not taken counts for nothing.
#[test]
fn only_materials_of_different_size_pack_closer() {
    let litres = |litres: f64| Amount::Fixed(Load::Volume(Volume::from_litres(litres).into()));
    let sized = |size, amount| Ingredient { size, ..ingredient("x", material(0.5, 0.01, 0.45), amount) };
    let volume = |parts: Vec<Ingredient>| {
        let plan = planned(&order(parts, Goals::default()));
        let packed = plan.assumed.iter().any(|a| a.assumption == Assumption::Packing);
        (plan.mix.volume.likely().litres(), packed)
    };
    for one in Size::ALL {
        for other in Size::ALL {
            let (found, packed) = volume(vec![sized(*one, litres(100.0)), sized(*other, litres(100.0))]);
            assert_near(found, if one == other { 200.0 } else { 180.0 }, 1e-12);
            assert_eq!(packed, one != other);
        }
        let nothing = sized(Size::Coarse, Amount::Between(kg(0.0), kg(5.0)));
        assert_eq!(volume(vec![sized(*one, litres(100.0)), nothing]), (100.0, false));
    }
}
