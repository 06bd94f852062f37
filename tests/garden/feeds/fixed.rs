//! A mix of given amounts, as a bed is fed it: published examples, the same mix as planned, laws, cautions, refusals.

use super::{exactly, goals, ingredient, kg, material, of_table, order, planned};
use crate::support::{assert_near, known, laws, near, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::cautions::Rule;
use barrowful::garden::feeds::{Amount, Carbon, FixedMix, Ingredient, Load, MAX_INGREDIENTS, Material, Size};
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::Volume;
use proptest::prelude::*;

fn mixed_with(ingredients: &[Ingredient], request: &Overrides) -> Result<FixedMix, Refusal> {
    with(request, |known| FixedMix::of(ingredients, known, Off))
}

fn mixed(ingredients: &[Ingredient]) -> FixedMix {
    mixed_with(ingredients, &Overrides::default()).unwrap()
}

/// Cornell's grass (77 % moist, 2.4 % N, 45 % C) and leaves (35 %, 0.75 %, 50 %); nitrogen and carbon from memory.
fn grass_and_leaves(grass: f64, leaves: f64) -> [Ingredient; 2] {
    [
        ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(grass))),
        ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::Fixed(kg(leaves))),
    ]
}

/// Cornell Waste Management Institute 1996, moisture of two materials (read in a stored copy): 10 kg of grass and 6.8 kg of leaves are
/// 60 % moist. Dry: 2.3 + 4.42 kg; nitrogen 0.0552 + 0.03315 kg. 16.8 kg of 200 kg/m3 fill 84 L, as pieces of one size do when they are mixed.
#[test]
fn ten_kilograms_of_grass_and_6_8_of_leaves_are_60_percent_moist() {
    let found = mixed(&grass_and_leaves(10.0, 6.8));
    assert_near(found.mix.moisture.fraction(), 0.6, 1e-12);
    assert_near(found.mix.dry.kilograms(), 6.72, 1e-12);
    assert_near(found.mix.nitrogen_share.fraction(), 0.08835 / 6.72, 1e-12);
    assert_near(found.mix.volume.likely().litres(), 84.0, 1e-12);
    assert_near(found.mix.bulk_density.likely().base(), 200.0, 1e-12);
    // Ash is 1 - 1.8 x carbon: 19 % of the grass, 10 % of the leaves.
    assert_near(found.ash.fraction(), (0.19 * 2.3 + 0.10 * 4.42) / 6.72, 1e-12);
}

/// The same authors' ratio example (from memory): 3.5 kg of leaves for 30; 3.474 before it was rounded, so 3.5 give 30.06.
#[test]
fn ten_kilograms_of_grass_and_3_5_of_leaves_have_a_ratio_of_30() {
    assert_near(mixed(&grass_and_leaves(10.0, 3.5)).mix.carbon_to_nitrogen.likely().number(), 30.0, 3e-3);
}

proptest! {
    #![proptest_config(laws(200))]

    /// It is the mix that a plan makes of the same amounts; only proportions count; and the order does not matter.
    #[test]
    fn it_is_the_mix_of_the_plan_whatever_its_size_and_order(
        grass in 0.5_f64..50.0, leaves in 0.5_f64..50.0, times in 0.1_f64..20.0,
    ) {
        let ingredients = grass_and_leaves(grass, leaves);
        let found = mixed(&ingredients);
        prop_assert_eq!(found.mix, planned(&order(ingredients.to_vec(), goals(None, None))).mix);
        let shares = |mix: &FixedMix| {
            let of = &mix.mix;
            [of.moisture.fraction(), mix.ash.fraction(), of.nitrogen_share.fraction(), of.bulk_density.likely().base()]
        };
        let larger = shares(&mixed(&grass_and_leaves(grass * times, leaves * times)));
        let [first, second] = ingredients;
        let turned = shares(&mixed(&[second, first]));
        for (one, others) in shares(&found).into_iter().zip(larger.into_iter().zip(turned)) {
            prop_assert!(near(one, others.0, 1e-12) && near(one, others.1, 1e-12));
        }
        prop_assert!((0.10..=0.19).contains(&found.ash.fraction()));
    }
}

#[test]
fn each_material_brings_its_cautions_and_the_mix_its_own() {
    let litre = |litres: f64| Amount::Fixed(Load::Volume(Volume::from_litres(litres).into()));
    let rules = |parts: &[(&str, f64)]| {
        let of: Vec<_> = parts.iter().map(|(id, litres)| of_table(id, litre(*litres))).collect();
        mixed(&of).cautions
    };
    // Loose leaves alone have 51, three parts to one of grass 30.
    let alone = rules(&[("leaves_loose", 1.0)]);
    assert_eq!(alone, [Rule::LeaveOut, Rule::MixRatio]);
    let with_grass = rules(&[("leaves_loose", 3.0), ("grass_clippings", 1.0)]);
    assert_eq!(with_grass, [Rule::FeedHeat, Rule::LeaveOut, Rule::PersistentHerbicides]);
    let manure = rules(&[("leaves_loose", 3.0), ("layer_manure_fresh", 0.2)]);
    assert!([Rule::RawManure, Rule::Handling, Rule::Ammonia].iter().all(|rule| manure.contains(rule)), "{manure:?}");
    // 200 kg/m3 hold air; the same pulp at 900 kg/m3 does not: 1 - 225/1500 - 675/1000 = 17.5 %.
    let pulp = Material::new((exactly(0.75), exactly(0.02)), Carbon::Carbon(exactly(0.45)), Some(exactly(900.0)), Off);
    let wet = mixed(&[ingredient("pulp", pulp.unwrap(), litre(1.0))]);
    assert_eq!(wet.cautions, [Rule::FeedTooWet]);
}

#[test]
fn the_packing_is_separate_since_only_the_bulk_density_depends_on_it() {
    let mut parts = grass_and_leaves(10.0, 3.5);
    assert_eq!(mixed(&parts).packing, None);
    parts[1].size = Size::Coarse;
    let tight = mixed_with(&parts, &known(&[(Assumption::Packing, 0.8)])).unwrap();
    let found = mixed(&parts);
    assert_eq!((tight.mix.moisture, tight.ash, tight.mix.dry), (found.mix.moisture, found.ash, found.mix.dry));
    assert_near(tight.mix.bulk_density.likely().base() / found.mix.bulk_density.likely().base(), 0.9 / 0.8, 1e-12);
    assert_eq!(found.packing.map(|a| a.assumption), Some(Assumption::Packing));
    assert!(found.assumed.iter().all(|a| a.assumption != Assumption::Packing));
}

#[test]
fn nothing_and_too_much_are_refused() {
    let refused = |parts: &[Ingredient]| mixed_with(parts, &Overrides::default()).unwrap_err().reason;
    assert_eq!(refused(&[]), Reason::MissingField);
    let one = ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::Fixed(kg(1.0)));
    assert_eq!(refused(&vec![one.clone(); MAX_INGREDIENTS + 1]), Reason::TooLarge);
    assert!(mixed_with(&vec![one; MAX_INGREDIENTS], &Overrides::default()).is_ok());
    // 700 kg/m3 at 80 % packed into half the volume: there is no room for the water.
    let dense = || of_table("vegetable_scraps", Amount::Fixed(kg(1.0)));
    let fine = Ingredient { size: Size::Fine, ..dense() };
    let packed = mixed_with(&[dense(), fine], &known(&[(Assumption::Packing, 0.5)])).unwrap_err();
    assert_eq!(packed.reason, Reason::ImpossibleValue);
}
