//! Figures of feeds, recorded: computed again at the ends of what they are from, they stay within their bounds and reach them.

use super::{exactly, goals, hot, kg, order};
use crate::figures::{assert_bounds, extremes};
use crate::support::{known, near, rectangle, span, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::feeds::materials::ALL;
use barrowful::garden::feeds::{
    Amount, Carbon, FeedPlan, Feedstock, Ingredient, KnownMaterial, Load, Order, Treatment, plan,
};
use barrowful::garden::figures::{Book, Entry, Off, Origin, Recorder, Source};
use barrowful::garden::units::{Length, Mass, Volume};
use proptest::prelude::*;

/// A material of the table, whatever is given of it recorded.
fn ingredient(row: &'static Feedstock, amount: Amount, it: impl Recorder) -> Ingredient {
    let material = KnownMaterial { row: Some(row), ..KnownMaterial::default() }.material(it).unwrap();
    let (name, family, size) = (row.name.to_owned(), row.family, row.size);
    Ingredient { name, asked: 0, material, family, size, amount, treatment: Treatment::AsItIs, shred: false }
}

fn planned(order: &Order, it: impl Recorder) -> FeedPlan {
    with(&Overrides::default(), |known| plan(order, known, it)).unwrap()
}

/// Every figure with bounds that a formula gives, by name; not the carbon to nitrogen of the castings.
fn figures(plan: &FeedPlan) -> Vec<(String, u32)> {
    let (mix, castings) = (&plan.mix, &plan.castings);
    let mut all = vec![
        ("mass".to_owned(), mix.mass.node()),
        ("dry".to_owned(), mix.dry.node()),
        ("carbon".to_owned(), mix.carbon.node()),
        ("nitrogen".to_owned(), mix.nitrogen.node()),
        ("ash".to_owned(), mix.ash.node()),
        ("moisture".to_owned(), mix.moisture.node()),
        ("nitrogen share".to_owned(), mix.nitrogen_share.node()),
        ("ratio".to_owned(), mix.carbon_to_nitrogen.node()),
        ("volume".to_owned(), mix.volume.node()),
        ("bulk density".to_owned(), mix.bulk_density.node()),
        ("dry in".to_owned(), castings.dry_in.node()),
        ("dry out".to_owned(), castings.dry_out.node()),
        ("in bed".to_owned(), castings.in_bed.node()),
        ("stored".to_owned(), castings.stored.node()),
        ("stored mass".to_owned(), castings.mass.node()),
        ("store moisture".to_owned(), castings.store_moisture.node()),
        ("nitrogen of castings".to_owned(), castings.nitrogen.node()),
    ];
    for (i, part) in plan.ingredients.iter().enumerate() {
        all.push((format!("ratio {i}"), part.material.carbon_to_nitrogen().node()));
        all.push((format!("dry {i}"), part.dry.node()));
        all.push((format!("added {i}"), part.added_water.node()));
        all.push((format!("volume mixed {i}"), part.volume_mixed.node()));
        all.push((format!("mixed {i}"), part.moisture_mixed.node()));
    }
    all
}

/// Two materials of the table by mass: bounds are those of the best and the worst corner of their ranges, with hot composting and
/// without.
#[test]
fn bounds_of_a_feed_are_those_of_its_corners() {
    for hot_composting in [None, Some(hot(3, 2))] {
        let book = Book::default();
        let it = Some(&book);
        let of = |id, mass| {
            let mass = it.source(Source::Request(0), Mass::from_kilograms(mass).into());
            ingredient(Feedstock::find(id).unwrap(), Amount::Fixed(Load::Mass(mass)), it)
        };
        let both = vec![of("grass_clippings", 10.0), of("leaves_loose", 7.0)];
        let order = Order { hot_composting, ..order(both, goals(None, None)) };
        let found = planned(&order, it);
        for (name, node) in figures(&found) {
            assert!(node > 0, "{name}");
            assert_bounds(&book, node);
        }
        let volumes: Vec<u32> = found.ingredients.iter().map(|part| part.volume.node()).collect();
        volumes.into_iter().for_each(|node| assert_bounds(&book, node));
        assert_eq!(planned(&order, Off), found);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Materials of the table by mass or volume, soaked or not, given or chosen: no corner of what they are made of leaves the
    /// bounds. Where a range counts twice they may be wider.
    #[test]
    fn no_corner_of_a_feed_leaves_its_bounds(
        drawn in prop::collection::vec((0..ALL.len(), 1.0_f64..30.0, any::<bool>(), any::<bool>(), any::<bool>()), 1..3),
        is_hot in any::<bool>(),
    ) {
        let book = Book::default();
        let it = Some(&book);
        let lines = drawn.iter().enumerate().map(|(i, (row, size, soaked, by_volume, shred))| {
            let load = |x: f64| match by_volume {
                true => Load::Volume(it.source(Source::Request(0), Volume::from_litres(x * 4.0).into())),
                false => Load::Mass(it.source(Source::Request(0), Mass::from_kilograms(x).into())),
            };
            let amount = if i == 0 { Amount::Fixed(load(*size)) } else { Amount::Between(load(1.0), load(*size + 1.0)) };
            let treatment = if *soaked { Treatment::Soaked } else { Treatment::AsItIs };
            Ingredient { treatment, shred: *shred, ..ingredient(&ALL[*row], amount, it) }
        });
        let hot_composting = is_hot.then_some(hot(3, 2));
        let order = Order { hot_composting, ..order(lines.collect(), goals(Some((25.0, 30.0)), None)) };
        let Ok(found) = with(&Overrides::default(), |known| plan(&order, known, it)) else { return Ok(()) };
        let of_castings = ("ratio of castings".to_owned(), found.castings.carbon_to_nitrogen.node());
        for (name, node) in figures(&found).into_iter().chain([of_castings]) {
            let Entry { values: [low, _, high], .. } = book.entry(node).unwrap();
            let (least, most) = extremes(&book, node);
            let hair = 1e-9 * high.abs();
            prop_assert!(least >= low - hair && most <= high + hair, "{}: {} {} {} {}", name, low, least, most, high);
        }
        prop_assert_eq!(with(&Overrides::default(), |known| plan(&order, known, Off)).unwrap(), found);
    }
}

/// An amount that is chosen is known by the rule and what it goes by: its range and the goals.
#[test]
fn a_chosen_amount_is_known_by_its_rule() {
    let book = Book::default();
    let it = Some(&book);
    let kilograms = |x: f64, place| it.source(Source::Request(place), Mass::from_kilograms(x).into());
    let (least, most) = (kilograms(0.0, 0), kilograms(50.0, 1));
    let row = |id| Feedstock::find(id).unwrap();
    let grass = ingredient(row("grass_clippings"), Amount::Fixed(kg(10.0)), it);
    let leaves = ingredient(row("leaves_loose"), Amount::Between(Load::Mass(least), Load::Mass(most)), it);
    let mut wanted = goals(None, Some(0.6));
    wanted.moisture = wanted.moisture.map(|goal| it.source(Source::Request(2), goal));
    let plan = planned(&order(vec![grass, leaves], wanted), it);
    let part = &plan.ingredients[1];
    let Origin::Rule { inputs, .. } = book.entry(part.mass.node()).unwrap().origin else { panic!("no rule") };
    assert_eq!(inputs, [least.node(), most.node(), wanted.moisture.unwrap().node()]);
    assert!(matches!(book.entry(part.volume.node()).unwrap().origin, Origin::Formula { .. }));
    // Nothing is to be added: that has a rule too.
    assert!(matches!(book.entry(plan.extra_water.node()).unwrap().origin, Origin::Rule { .. }));
}

/// Layers and air are reported at the likely values: each by its formula.
#[test]
fn layers_and_air_have_their_formulas() {
    let book = Book::default();
    let it = Some(&book);
    let leaves = ingredient(Feedstock::find("leaves_loose").unwrap(), Amount::Fixed(kg(100.0)), it);
    let ground = Some(rectangle(Length::from_metres(3.0), Length::from_metres(1.0)));
    let plan = planned(&Order { ground, ..order(vec![leaves], goals(None, None)) }, it);
    let laid = plan.layers.unwrap();
    let formula = |node: u32| match book.entry(node).map(|entry| entry.origin) {
        Some(Origin::Formula { definition, .. }) => definition.id,
        other => panic!("{other:?}"),
    };
    let nodes = [laid.area.node(), laid.first.volume.node(), laid.each.volume.node(), laid.later.node()];
    assert_eq!(nodes.map(formula), ["rectangle", "first_layer", "layer", "later_layers"]);
    let last = laid.last.unwrap();
    assert_eq!([last.volume.node(), last.depth.node()].map(formula), ["last_layer", "depth"]);
    assert_eq!(formula(plan.mix.air_space.node()), "air_space");
    assert!(plan.mix.air_space.is_exact() && last.volume.is_exact());
}

/// What is given of a material counts before its row; without a row all that is missing is reported at once.
#[test]
fn what_is_given_of_a_material_counts_before_its_row() {
    let row = Feedstock::find("leaves_loose");
    let given = KnownMaterial { row, moisture: Some(exactly(0.5)), ..KnownMaterial::default() };
    let material = given.material(Off).unwrap();
    assert_eq!(material.moisture(), exactly(0.5));
    assert_eq!(material.nitrogen(), row.unwrap().nitrogen());
    // The dry matter in a volume stays: 75 kg/m3 at 38 % are 93 kg/m3 at 50 %.
    assert!(near(material.bulk_density().unwrap().likely().base(), 75.0 * 0.62 / 0.5, 1e-12));
    let missing = KnownMaterial { carbon: Some(Carbon::Ash(exactly(0.1))), ..KnownMaterial::default() }
        .material(Off)
        .unwrap_err();
    assert_eq!(missing.iter().map(|refusal| refusal.field.unwrap()).collect::<Vec<_>>(), ["moisture", "nitrogen"]);
}

/// Carbon by ash and by ratio: what is recorded leads back to what was given.
#[test]
fn carbon_leads_back_to_ash_or_ratio() {
    let book = Book::default();
    let it = Some(&book);
    let nitrogen = it.source(Source::Request(0), exactly(0.01));
    let ash = it.source(Source::Request(1), exactly(0.1));
    let ratio = it.source(Source::Request(2), exactly(40.0));
    let of = |carbon| KnownMaterial {
        moisture: Some(exactly(0.5)),
        nitrogen: Some(nitrogen),
        carbon: Some(carbon),
        ..KnownMaterial::default()
    };
    let by = |carbon| of(carbon).material(it).unwrap();
    let inputs = |node: u32| match book.entry(node).map(|entry| entry.origin) {
        Some(Origin::Formula { definition, inputs, .. }) => {
            (definition.id, inputs.into_iter().map(|(_, input)| input.node).collect::<Vec<_>>())
        }
        other => panic!("{other:?}"),
    };
    assert_eq!(inputs(by(Carbon::Ash(ash)).carbon().node()), ("carbon_of_ash", vec![ash.node()]));
    let by_ratio = by(Carbon::Ratio(ratio));
    assert_eq!(inputs(by_ratio.carbon().node()), ("carbon_of_ratio", vec![nitrogen.node(), ratio.node()]));
    assert_eq!(inputs(by_ratio.ash().node()), ("ash_of_carbon", vec![by_ratio.carbon().node()]));
    // The ratio is what was given.
    assert_eq!(by_ratio.carbon_to_nitrogen().node(), ratio.node());
}

/// Where rounding alone lies between the bounds there is no range: one material of known carbon and nitrogen, its mass uncertain.
#[test]
fn rounding_makes_no_range() {
    let density = Some(barrowful::garden::units::Estimate::around([157.3, 211.7, 263.1]));
    let carbon = Some(Carbon::Carbon(exactly(0.431)));
    let (moisture, nitrogen) = (Some(exactly(0.613)), Some(exactly(0.0237)));
    let given = KnownMaterial { moisture, nitrogen, carbon, bulk_density: density, ..KnownMaterial::default() };
    for litres in 1..200_u32 {
        let amount = Amount::Fixed(Load::Volume(Volume::from_litres(f64::from(litres) / 7.0).into()));
        let material = given.material(Off).unwrap();
        let one = Ingredient { material, amount, ..ingredient(&ALL[0], Amount::Fixed(kg(1.0)), Off) };
        let mix = planned(&order(vec![one], goals(None, None)), Off).mix;
        assert!(!mix.dry.is_exact());
        assert!(
            mix.carbon_to_nitrogen.is_exact() && mix.nitrogen_share.is_exact() && mix.moisture.is_exact(),
            "{litres}"
        );
    }
}

/// Castings by moisture: the two densities are tied, and the moisture in store is the one that was given.
#[test]
fn the_moisture_in_store_is_the_one_given() {
    let mut request = known(&[]);
    request.set(Assumption::Moisture, span(0.5, 0.55, 0.6)).unwrap();
    let leaves = ingredient(&ALL[0], Amount::Fixed(kg(10.0)), Off);
    let plan = with(&request, |known| plan(&order(vec![leaves], goals(None, None)), known, Off)).unwrap();
    for (found, wanted) in plan.castings.store_moisture.values().into_iter().zip([0.5, 0.55, 0.6]) {
        assert!(near(found, wanted, 1e-12), "{found} {wanted}");
    }
}
