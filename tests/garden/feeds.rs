//! Feeds: what of which material to mix for worms, against published numbers, a second solver and laws.

#![expect(clippy::indexing_slicing, clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

mod air;
mod amounts;
mod castings;
mod corners;
mod examples;
mod figures;
mod fixed;
mod hot;
mod laws;
mod layers;
mod materials;
mod mix;
mod out_of_reach;
mod reach;
mod refusals;
mod steps;
mod treatments;
mod volumes;

use crate::support::with;
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::feeds::{
    Amount, Carbon, Family, FeedPlan, Feedstock, Goals, HotComposting, Ingredient, Load, Material, Order, Size,
    Treatment, plan,
};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Density, Estimate, Mass, Measured, Quantity, Ratio, Share};

pub fn exactly<D: Measured>(base: f64) -> Estimate<D> {
    Estimate::exactly(Quantity::from_base(base))
}

/// A material by moisture, nitrogen and carbon, without ranges, of 200 kg/m3.
pub fn material(moisture: f64, nitrogen: f64, carbon: f64) -> Material {
    let density: Estimate<_> = Estimate::exactly(Density::from_kilograms_per_cubic_metre(200.0));
    Material::new((exactly(moisture), exactly(nitrogen)), Carbon::Carbon(exactly(carbon)), Some(density), Off).unwrap()
}

/// Hot composting at the usual temperature.
pub fn hot(days: u32, cooling_days: u32) -> HotComposting {
    HotComposting { days, temperature: None, cooling_days: Some(cooling_days), asked: 0 }
}

pub fn kg(kilograms: f64) -> Load {
    Load::Mass(Mass::from_kilograms(kilograms).into())
}

pub fn ingredient(name: &str, material: Material, amount: Amount) -> Ingredient {
    let name = name.to_owned();
    let (family, size) = (Family::Other, Size::Medium);
    Ingredient { name, asked: 0, material, family, size, amount, treatment: Treatment::AsItIs, shred: false }
}

pub fn of_table(id: &str, amount: Amount) -> Ingredient {
    let row = Feedstock::find(id).unwrap();
    Ingredient { family: row.family, size: row.size, ..ingredient(row.name, row.material().unwrap(), amount) }
}

pub fn goals(ratio: Option<(f64, f64)>, moisture: Option<f64>) -> Goals {
    let of = Ratio::from_number;
    Goals {
        carbon_to_nitrogen: ratio.map(|(low, high)| (of(low).into(), of(high).into())),
        moisture: moisture.map(|share| Share::from_fraction(share).into()),
        air_space: None,
    }
}

pub fn order(ingredients: Vec<Ingredient>, goals: Goals) -> Order {
    Order { ingredients, goals, soak: None, hot_composting: None, ground: None, start_on: None }
}

pub fn planned(order: &Order) -> FeedPlan {
    with(&Overrides::default(), |known| plan(order, known, Off)).unwrap()
}

fn kilograms(plan: &FeedPlan) -> Vec<f64> {
    plan.ingredients.iter().map(|i| i.mass.likely().kilograms()).collect()
}

/// Cornell's grass (77 % moist, 2.4 % N, 45 % C) and leaves (35 %, 0.75 %, 50 %); nitrogen and carbon from memory.
fn grass_and_leaves(goals: Goals) -> Order {
    let grass = ingredient("grass", material(0.77, 0.024, 0.45), Amount::Fixed(kg(10.0)));
    let leaves = ingredient("leaves", material(0.35, 0.0075, 0.50), Amount::Between(kg(0.0), kg(100.0)));
    order(vec![grass, leaves], goals)
}
