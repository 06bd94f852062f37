//! A planned feed on its bed: layers add up to the mix and keep to the depth, and their dates are those of a forecast.

use super::{goals, hot, kg, of_table, order, planned};
use crate::support::{assert_near, known, near, q, rectangle};
use barrowful::garden::assumptions::{Assumption, Known, Overrides};
use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, PlannedBed, Supply, forecast_on};
use barrowful::garden::dates::date;
use barrowful::garden::feeds::{Amount, FeedPlan, Goals, HotComposting, Load, Order};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Share, Temperature, Volume};

/// Leaves and grass of this mass on 2 m2 from the first of April.
fn plan(leaves: f64, hot_composting: Option<HotComposting>) -> FeedPlan {
    let parts = vec![
        of_table("leaves_shredded", Amount::Fixed(kg(leaves))),
        of_table("grass_clippings", Amount::Fixed(kg(leaves))),
    ];
    let (ground, start_on) = (Some(rectangle(q("2 m"), q("1 m"))), date("2027-04-01").ok());
    planned(&Order { hot_composting, ground, start_on, ..order(parts, goals(None, Some(0.7))) })
}

/// First layer 10 to 15 cm, later at most 10 cm (Sreenivasan, Handbook of Vermicomposting, ch. 6).
#[test]
fn layers_add_up_to_the_mix() {
    let leaves = of_table("leaves_shredded", Amount::Fixed(Load::Volume(Volume::from_litres(1000.0).into())));
    let ground = Some(rectangle(q("3 m"), q("1 m")));
    let plan = planned(&Order { ground, ..order(vec![leaves], Goals::default()) });
    let layers = plan.layers.unwrap();
    // 1000 L on 3 m2: 360 + 2 x 240 + 160 L.
    assert_near(layers.first.volume.litres(), 360.0, 1e-12);
    assert_near(layers.first.depth.metres(), 0.12, 1e-12);
    assert_eq!(layers.later.number(), 2.0);
    assert!(layers.each.depth.metres() <= 0.10 && layers.first.depth.metres() <= 0.15);
    assert_near(layers.last.unwrap().volume.litres(), 160.0, 1e-9);
}

/// The forecast of the bed, with everything put in by hand.
#[test]
fn layers_have_the_dates_and_the_depths_of_a_forecast() {
    let climate = Climate::Fixed(Temperature::from_celsius(20.0));
    let none = Overrides::default();
    for stage in [None, Some(hot(30, 7))] {
        let plan = plan(60.0, stage);
        let area = plan.layers.unwrap().area;
        let found = PlannedBed::of(&plan, (area, None)).unwrap().forecast(&climate, &none).unwrap();
        let (mix, dry) = (&plan.mix, plan.castings.dry_in.likely());
        let nitrogen =
            mix.nitrogen.likely().kilograms() - plan.hot.map_or(0.0, |hot| hot.nitrogen_lost.likely().kilograms());
        let of_dry = |kilograms: f64| Share::from_fraction(kilograms / dry.kilograms()).into();
        // Worms go in on 3 April, or after 30 hot days and 7 of cooling.
        let start_on = date(if stage.is_some() { "2027-05-10" } else { "2027-04-03" }).unwrap();
        let bed = Bed {
            area,
            worms: None,
            running: None,
            start_on,
            feed: Feed {
                moisture: mix.moisture.likely().into(),
                ash: of_dry(mix.ash.likely().kilograms()),
                nitrogen: Some(of_dry(nitrogen)),
                supply: Supply::AllAtOnce(dry.into()),
                cautions: Vec::new(),
                assumed: Vec::new(),
            },
            layers_per_cycle: Some(1000),
            cycles: None,
        };
        // On worms the grass is laid thinner, unless it was composted hot.
        let later = if stage.is_some() { 0.08 } else { 0.05 };
        let own = known(&[
            (Assumption::FeedDryDensity, mix.dry_bulk_density.likely().base()),
            (Assumption::LaterLayer, later),
        ]);
        let known = Known { request: &none, item: &own };
        let clocks = Clocks::new(&climate, (start_on, date("2029-04-01").unwrap()), known).unwrap();
        let expected = forecast_on(&bed, &clocks, known, Off).unwrap();
        let on = |layers: &[barrowful::garden::beds::Laid]| layers.iter().map(|one| one.on).collect::<Vec<_>>();
        assert!(found.layers.len() > 2);
        assert_eq!(on(&found.layers), on(&expected.layers));
        for (one, other) in found.layers.iter().zip(&expected.layers) {
            assert_near(one.volume.likely().litres(), other.volume.likely().litres(), 1e-9);
            assert_near(one.bed_depth.metres(), other.bed_depth.metres(), 1e-9);
        }
        // All of the feed is laid, as it lies after hot composting.
        let laid: f64 = found.layers.iter().map(|one| one.volume.likely().litres()).sum();
        assert_near(laid, plan.hot.map_or(mix.volume, |hot| hot.volume).likely().litres(), 1e-6);
    }
}

#[test]
fn a_bed_is_never_deeper_than_it_may_be_and_is_harvested_in_between() {
    let climate = Climate::Fixed(Temperature::from_celsius(20.0));
    for most in [0.2, 0.3, 0.45] {
        let request = known(&[(Assumption::MaxDepth, most)]);
        let plan = plan(800.0, None);
        let bed = PlannedBed::of(&plan, (plan.layers.unwrap().area, None)).unwrap();
        let (layers, all_fit) = bed.before_harvest(&request).unwrap();
        let found = bed.forecast(&climate, &request).unwrap();
        let first = found.layers.iter().filter(|one| one.cycle == 1).count();
        assert_eq!(usize::try_from(layers).unwrap(), first);
        assert!(found.layers.iter().all(|one| one.bed_depth.metres() <= most + 1e-9));
        assert!(!all_fit && found.layers.len() > first, "{most}");
    }
    // A thousand thin layers do not hold all of it, however deep the bed may be.
    let thin = known(&[(Assumption::FirstLayer, 1e-3), (Assumption::LaterLayer, 1e-3), (Assumption::MaxDepth, 10.0)]);
    let plan = plan(1200.0, None);
    let layers = plan.layers.unwrap();
    let bed = PlannedBed::of(&plan, (layers.area, None)).unwrap();
    assert!(plan.mix.volume.likely().litres() > 1_000.0 * layers.area.likely().square_metres());
    assert_eq!(bed.before_harvest(&thin).unwrap(), (1_000, false));
}

/// 2.5 to 3.8 cm (Sherman), 5 to 7.6 cm of manure each week (Jensen): 5 cm. The first layer cools before the worms come.
#[test]
fn feed_that_heats_is_laid_on_worms_no_deeper_than_it_may() {
    let depths = |plan: &FeedPlan| {
        let laid = plan.layers.unwrap();
        let used = plan.assumed.iter().any(|one| one.assumption == Assumption::FreshLayer);
        (laid.first.depth.metres(), laid.each.depth.metres(), used)
    };
    let assert_depths = |plan: &FeedPlan, each: f64, is_used: bool| {
        let (first, later, used) = depths(plan);
        assert_near(first, 0.12, 1e-12);
        assert_near(later, each, 1e-12);
        assert_eq!(used, is_used);
        // Nothing of the feed is lost by thinner layers.
        let laid = plan.layers.unwrap();
        let last = laid.last.map_or(0.0, |last| last.volume.litres());
        let all = laid.first.volume.litres() + laid.later.number() * laid.each.volume.litres() + last;
        assert_near(all, plan.hot.map_or(plan.mix.volume, |hot| hot.volume).likely().litres(), 1e-9);
    };
    assert_depths(&plan(60.0, None), 0.05, true);
    assert_depths(&plan(60.0, Some(hot(30, 7))), 0.08, false);
    let (ground, start_on) = (Some(rectangle(q("2 m"), q("1 m"))), date("2027-04-01").ok());
    let of = |kilograms: f64| {
        let leaves = of_table("leaves_shredded", Amount::Fixed(kg(60.0)));
        let grass = of_table("grass_clippings", Amount::Fixed(kg(kilograms)));
        Order { ground: ground.clone(), start_on, ..order(vec![leaves, grass], goals(None, None)) }
    };
    // Of which nothing is taken does not heat.
    assert_depths(&planned(&of(0.0)), 0.08, false);
    assert_depths(&planned(&of(0.1)), 0.05, true);
    // Who measured that more stays cool lays the usual layers, which then decide.
    let bold = known(&[(Assumption::FreshLayer, 0.2)]);
    let nothing = Overrides::default();
    let bold = barrowful::garden::feeds::plan(&of(1.0), Known { request: &bold, item: &nothing }, Off).unwrap();
    assert_depths(&bold, 0.08, false);
    // The bed that it is laid on keeps to it.
    let plan = plan(200.0, None);
    let bed = PlannedBed::of(&plan, (plan.layers.unwrap().area, None)).unwrap();
    let found = bed.forecast(&Climate::Fixed(Temperature::from_celsius(20.0)), &nothing).unwrap();
    let on_worms =
        found.layers.windows(2).filter(|pair| pair[0].cycle == pair[1].cycle).map(|pair| pair[1].depth.metres());
    let on_worms: Vec<f64> = on_worms.collect();
    assert!(on_worms.len() > 3 && on_worms.iter().all(|depth| *depth <= 0.05 + 1e-9), "{on_worms:?}");
}

#[test]
fn little_feed_is_laid_in_the_layers_that_are_counted() {
    let little = plan(10.0, None);
    let bed = PlannedBed::of(&little, (little.layers.unwrap().area, None)).unwrap();
    let (layers, all_fit) = bed.before_harvest(&Overrides::default()).unwrap();
    let laid = little.layers.unwrap();
    let counted = 1.0 + laid.later.number() + if laid.last.is_some() { 1.0 } else { 0.0 };
    assert!(all_fit && near(f64::from(layers), counted, 1e-12));
}
