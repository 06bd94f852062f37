//! Figures and their formulas: each formula scales as it measures, goes with each symbol as its sign says, and its bounds are its
//! value at corners of what is put in.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    non_snake_case,
    reason = "a test may stop at whatever is wrong, and has the symbols of the formulas"
)]

use crate::beds::{bed, fixed, weighing};
use crate::support::{near, on, q};
use barrowful::garden::applications::{Order, Rate, apply};
use barrowful::garden::areas::{Ground, Shape, Surface};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::balances::allocation::Lot;
use barrowful::garden::balances::figures::{Availability, BalanceFigures, StockFigure};
use barrowful::garden::balances::{Part, Requirement, balance};
use barrowful::garden::beds::{Bed, Clocks, Delivery, Fed, Feed, Pace, Running, Supply, Yield, forecast_on, from_feed};
use barrowful::garden::figures::{Book, Entry, Off, Origin, Recorder, Source, WholeVolume};
use barrowful::garden::formulas::{Definition, Formula, Layer, Sign, WormsAfter};
use barrowful::garden::units::quantity::{OfArea, OfMass};
use barrowful::garden::units::{
    Area, Dimension, Duration, Estimate, FeedRate, Length, Mass, MassPerArea, Millilitres, Share,
};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// Values for each symbol: a share below one, else any size; lists of three.
fn values() -> impl Strategy<Value = Vec<[f64; 3]>> {
    prop::collection::vec(prop::array::uniform3(0.02_f64..0.9), 8)
}

/// Values of each symbol that can be: no hole wider than its ring, no windrow shorter than wide, no first layer larger than its mix, no more ash than there is
/// matter, no more dry matter than matter, nothing lost that was not there, and no matter lighter than water.
fn put_in(definition: &Definition, drawn: &[[f64; 3]]) -> Vec<Vec<f64>> {
    let mut all: Vec<Vec<f64>> = definition
        .terms
        .iter()
        .zip(drawn)
        .map(|(symbol, three)| three[..if symbol.many { 3 } else { 1 }].to_vec())
        .collect();
    let of = |name: &str| definition.terms.iter().position(|symbol| symbol.name == name);
    let less = match definition.id {
        "ring" => vec![("d", "D")],
        "windrow" | "round_windrow" => vec![("w", "L")],
        "later_layers" => vec![("a", "V")],
        "left_of_feed" => vec![("a", "I")],
        "solids_and_water" => vec![("rho_w", "rho_p")],
        "moisture_after_heat" => vec![("L", "D"), ("D", "M"), ("E", "M")],
        _ => vec![],
    };
    for (small, large) in less {
        let least = all[of(small).unwrap()][0];
        all[of(large).unwrap()][0] += least;
    }
    all
}

fn evaluated(definition: &Definition, values: &[Vec<f64>]) -> f64 {
    (definition.evaluate)(&values.iter().map(Vec::as_slice).collect::<Vec<_>>())
}

/// Powers of length and of mass in a dimension; times and temperatures are by themselves.
fn powers(dimension: Dimension) -> (i32, i32) {
    match dimension {
        Dimension::Length | Dimension::VolumePerArea => (1, 0),
        Dimension::Area | Dimension::VolumePerLength => (2, 0),
        Dimension::Volume | Dimension::VolumePerPlant => (3, 0),
        Dimension::Mass | Dimension::MassPerPlant => (0, 1),
        Dimension::MassPerArea => (-2, 1),
        Dimension::Density => (-3, 1),
        _ => (0, 0),
    }
}

proptest! {
    /// In a garden twice as long, with matter three times as heavy, each figure is what its dimension says.
    #[test]
    fn each_formula_scales_as_its_dimension(drawn in values(), length in 0.5_f64..2.0, mass in 0.5_f64..2.0) {
        let scale = |dimension| {
            let (of_length, of_mass) = powers(dimension);
            length.powi(of_length) * mass.powi(of_mass)
        };
        for formula in Formula::ALL {
            let definition = formula.definition();
            let before = put_in(definition, &drawn);
            let scaled = |(values, dimension): (&Vec<f64>, Dimension)| values.iter().map(|x| x * scale(dimension)).collect();
            let after: Vec<Vec<f64>> =
                before.iter().zip(definition.terms.iter().map(|symbol| symbol.dimension)).map(scaled).collect();
            let (wanted, found) = (evaluated(definition, &before) * scale(definition.result.dimension), evaluated(definition, &after));
            let largest = after.iter().flatten().fold(wanted.abs(), |most: f64, x| most.max(x.abs()));
            // A kilogram of water for each kilogram, and a pound of worms to a square foot: the only constants with a dimension.
            if !["rehydration", "ground_by_thumb"].contains(&definition.id) && wanted.is_finite() {
                prop_assert!((wanted - found).abs() <= 1e-9 * largest.max(1.0), "{}: {} {}", definition.text(), wanted, found);
            }
        }
    }

    /// The result grows or falls with each symbol as its sign says; where it says neither, some values would belie either.
    #[test]
    fn each_formula_goes_with_its_symbols_as_their_signs_say(drawn in values(), more in 1.001_f64..1.1) {
        for formula in Formula::ALL {
            let definition = formula.definition();
            let before = put_in(definition, &drawn);
            for (i, symbol) in definition.terms.iter().enumerate() {
                let mut after = before.clone();
                after[i][0] *= more;
                let (was, is) = (evaluated(definition, &before), evaluated(definition, &after));
                let hair = 1e-12 * was.abs().max(is.abs());
                let sound = match symbol.sign {
                    Sign::Grows => is >= was - hair,
                    Sign::Falls => is <= was + hair,
                    Sign::Neither => true,
                };
                prop_assert!(sound || !was.is_finite(), "{} by {}: {} {}", definition.text(), symbol.name, was, is);
            }
        }
    }

    /// What a row computes in base units is what its text computes in coherent ones: a volume is held in litres.
    #[test]
    fn a_scale_is_the_one_between_base_units_and_coherent_ones(drawn in values()) {
        let litres = |dimension: Dimension| if dimension.coherent_unit().starts_with("m3") { 0.001 } else { 1.0 };
        for formula in Formula::ALL {
            let definition = formula.definition();
            let Some(scale) = definition.scale else { continue };
            let base = put_in(definition, &drawn);
            let terms = definition.terms.iter().map(|symbol| litres(symbol.dimension));
            let coherent: Vec<Vec<f64>> =
                base.iter().zip(terms).map(|(values, factor)| values.iter().map(|x| x * factor).collect()).collect();
            let found = evaluated(definition, &base) * scale;
            let wanted = evaluated(definition, &coherent) / litres(definition.result.dimension);
            // How many vessels are filled may turn at a hair.
            let stepped = definition.text().contains("ceil") || definition.text().contains("floor");
            prop_assert!(stepped || near(found, wanted, 1e-9) || !wanted.is_finite(), "{}: {} {}", definition.text(), found, wanted);
        }
    }
}

/// The value of a recorded figure in coherent units, each source at one of its ends.
fn at_corner(book: &Book, node: u32, corner: &BTreeMap<u32, usize>) -> f64 {
    let Entry { origin, dimension, values } = book.entry(node).unwrap();
    let litres = |dimension: Dimension| if dimension.coherent_unit().starts_with("m3") { 0.001 } else { 1.0 };
    let Origin::Formula { definition, inputs, .. } = origin else { return values[corner[&node]] * litres(dimension) };
    let mut lists = vec![Vec::new(); definition.terms.len()];
    for (term, input) in inputs {
        lists[term].push(at_corner(book, input.node, corner));
    }
    evaluated(definition, &lists)
}

/// The sources of a recorded figure that have a range.
fn ranges(book: &Book, node: u32, found: &mut Vec<u32>) {
    let Entry { origin, values: [low, _, high], .. } = book.entry(node).unwrap();
    match origin {
        Origin::Source(_) if low < high && !found.contains(&node) => found.push(node),
        Origin::Source(_) => {}
        Origin::Rule { inputs, .. } => inputs.iter().for_each(|input| ranges(book, *input, found)),
        Origin::Formula { inputs, .. } => inputs.iter().for_each(|(_, input)| ranges(book, input.node, found)),
    }
}

/// The least and the greatest value of a figure, in base units, at all corners of its sources.
pub fn extremes(book: &Book, node: u32) -> (f64, f64) {
    let litres = if book.entry(node).unwrap().dimension.coherent_unit().starts_with("m3") { 0.001 } else { 1.0 };
    let mut sources = Vec::new();
    ranges(book, node, &mut sources);
    let corners = (0..1_u32 << sources.len()).map(|bits| {
        let end = |i: usize| if bits >> i & 1 == 1 { 2 } else { 0 };
        let mut corner: BTreeMap<u32, usize> = (1..=node).map(|other| (other, 1)).collect();
        corner.extend(sources.iter().enumerate().map(|(i, source)| (*source, end(i))));
        at_corner(book, node, &corner) / litres
    });
    corners.fold((f64::MAX, f64::MIN), |(least, most), x| (least.min(x), most.max(x)))
}

/// Checks that the least and the greatest value at all corners of its sources are the bounds of a figure.
pub fn assert_bounds(book: &Book, node: u32) {
    let Entry { values: [low, _, high], .. } = book.entry(node).unwrap();
    let (least, most) = extremes(book, node);
    assert!(near(least, low, 1e-9) && near(most, high, 1e-9), "{:?}: {least} {most}", book.entry(node));
}

/// A bed of 4.8 m2 by each kind of rate: what was recorded, computed again at the corners of its sources, has the bounds of the
/// figure.
#[test]
fn bounds_are_the_recorded_formulas_at_the_corners_of_their_sources() {
    let rates = [
        Rate::Depth(q("1 cm").into()),
        Rate::MassPerArea(q("2 kg/m2").into()),
        Rate::VolumePerArea(q("5 L/m2").into()),
        Rate::AvailableNitrogen(q("3 g/m2").into()),
    ];
    let none = Overrides::default();
    for rate in rates {
        let book = Book::default();
        let it = Some(&book);
        let area = it.source(Source::Request(0), Area::from_square_metres(4.8).into());
        let shape = Shape::Plain(area);
        let count = it.source(Source::Request(1), 1_u32.into());
        let settling = it.source(Source::Request(2), q("0 %").into());
        let rate = match rate {
            Rate::Depth(x) => Rate::Depth(it.source(Source::Request(3), x)),
            Rate::MassPerArea(x) => Rate::MassPerArea(it.source(Source::Request(3), x)),
            Rate::VolumePerArea(x) => Rate::VolumePerArea(it.source(Source::Request(3), x)),
            Rate::AvailableNitrogen(x) => Rate::AvailableNitrogen(it.source(Source::Request(3), x)),
            other => other,
        };
        let order = Order { surface: Surface::Ground(Ground { shape, count }), rate, settling, nitrate_zone: false };
        let made = apply(&order, Known { request: &none, item: &none }, it).unwrap();
        let (carried, nutrients) = (made.carried, made.carried.nutrients);
        let depths = [made.depth, made.phosphorus_limited_depth, made.nitrate_limit_depth];
        let nitrogen = [nutrients.nitrogen, nutrients.available_nitrogen];
        let masses = [carried.mass, nutrients.phosphate, nutrients.potash, nutrients.organic_matter];
        let depths = depths.into_iter().map(|depth| depth.unwrap().node());
        let nodes: Vec<u32> = depths
            .chain(masses.into_iter().chain(nitrogen).map(|mass| mass.node()))
            .chain([carried.volume.node()])
            .collect();
        for node in nodes {
            assert!(node > 0, "{rate:?}");
            assert_bounds(&book, node);
        }
        // The same without a book.
        let off = apply(&order, Known { request: &none, item: &none }, Off).unwrap();
        assert_eq!(off, made);
    }
}

/// Castings by mass, their density reckoned from moisture: what the two densities are tied by is counted once.
#[test]
fn tied_densities_do_not_widen_the_nutrients_in_a_mass() {
    let moist = Span { low: 0.5, likely: 0.6, high: 0.7 };
    let mut request = Overrides::default();
    request.set(Assumption::Moisture, moist).unwrap();
    request.set(Assumption::Nitrogen, Span::exactly(0.02)).unwrap();
    let surface = Surface::Ground(Ground { shape: Shape::Plain(q("1 m2").into()), count: 1_u32.into() });
    let order =
        Order { surface, rate: Rate::MassPerArea(q("1 kg/m2").into()), settling: q("0 %").into(), nitrate_zone: false };
    for (other, given) in
        [(None, None), (Some(Assumption::DryBulkDensity), Some(Span { low: 200.0, likely: 250.0, high: 300.0 }))]
    {
        if let (Some(assumption), Some(span)) = (other, given) {
            request.set(assumption, span).unwrap();
        }
        let found = apply(&order, Known { request: &request, item: &Overrides::default() }, Off).unwrap();
        let [low, likely, high] = found.carried.nutrients.nitrogen.values();
        for (found, solids) in [(low, 0.3), (likely, 0.4), (high, 0.5)] {
            assert!(near(found, solids * 0.02, 1e-12), "{found} {solids}");
        }
    }
}

/// What is not recorded has no number, and what is has one of its own.
#[test]
fn only_a_book_gives_numbers() {
    let layer = || Layer { A: Area::from_square_metres(2.0).into(), d: Length::from_metres(0.1).into() };
    assert_eq!(Off.figure(layer()).node(), 0);
    let book = Book::default();
    let (one, other) = (Some(&book).figure(layer()), Some(&book).figure(layer()));
    assert_eq!((one.node(), other.node()), (1, 2));
    assert_eq!(one, other);
    assert_eq!(one.litres(), 200.0);
    assert!(book.entry(0).is_none() && book.entry(3).is_none());
}

/// What no formula gives is reported by its rule and the figures that were recorded of those it goes by.
#[test]
fn a_rule_is_recorded_with_what_it_goes_by() {
    let book = Book::default();
    let it = Some(&book);
    let asked = it.source(Source::Request(0), Area::from_square_metres(2.0).into());
    let chosen = it.by_rule("the larger half", &[asked.node(), 0], Area::from_square_metres(1.5).into());
    let entry = book.entry(chosen.node()).unwrap();
    assert_eq!(entry.origin, Origin::Rule { rule: "the larger half", inputs: vec![asked.node()] });
    assert_eq!((entry.dimension, entry.values), (Dimension::Area, [1.5; 3]));
    assert_eq!(Off.by_rule("the larger half", &[1], Area::from_square_metres(1.5).into()).node(), 0);
}

/// Bounds that rounding puts past the likely value are drawn back to it, and the other bound stays.
#[test]
fn bounds_that_cross_by_rounding_are_drawn_back() {
    let area = |values| Estimate::<OfArea>::around(values).values();
    assert_eq!(area([1.0 + 1e-15, 1.0, 2.0]), [1.0, 1.0, 2.0]);
    assert_eq!(area([0.5, 1.0, 1.0 - 1e-15]), [0.5, 1.0, 1.0]);
    assert_eq!(area([0.5, 1.0, 2.0]), [0.5, 1.0, 2.0]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// A balance in figures: whole millilitres, exact up to 10^15 of them, and the same with a book as without one. Shares of what is
    /// wanted are those of whole numbers.
    #[test]
    fn a_balance_in_figures_is_exact(
        stock in prop::collection::vec(1_u64..10_000_000_000_000, 1..9),
        wanted in prop::collection::vec(1_u64..10_000_000_000_000, 1..9),
    ) {
        let lots: Vec<Lot> = stock.iter().map(|x| Lot { amount: Millilitres::new(*x), ..Lot::default() }).collect();
        let part = |x: &u64| Part { amount: Millilitres::new(*x), ..Part::default() };
        let requirements: Vec<Requirement> = wanted.iter().map(|x| Requirement { parts: vec![part(x)], priority: 1, ..Requirement::default() }).collect();
        let balance = balance(&lots, &requirements, None);
        let book = Book::default();
        let whole = |list: &[u64]| -> Vec<WholeVolume> { list.iter().map(|x| Millilitres::new(*x).into()).collect() };
        let there: Vec<_> = whole(&stock).into_iter().map(|amount| StockFigure { amount, availability: Availability::OnHand }).collect();
        let off = BalanceFigures::of(&balance, (&whole(&wanted), &there), Off);
        let figures = BalanceFigures::of(&balance, (&whole(&wanted), &there), Some(&book));
        let ml = |x: WholeVolume| x.volume.get();
        let pairs = off.demands.iter().zip(&figures.demands);
        for ((one, other), (served, asked)) in pairs.zip(balance.demands.iter().zip(&wanted)) {
            prop_assert_eq!([ml(one.shortfall), ml(one.allocated)], [ml(other.shortfall), ml(other.allocated)]);
            prop_assert_eq!([ml(one.shortfall), ml(one.shortfall) + ml(one.allocated)], [served.shortfall.get(), *asked]);
            prop_assert!(one.shortfall.node() == 0 && other.shortfall.node() > 0);
            prop_assert!(near(one.share_allocated.likely().fraction() * *asked as f64, ml(one.allocated) as f64, 1e-12));
        }
        let total = figures.total;
        prop_assert_eq!([ml(total.supply), ml(total.needed)], [stock.iter().sum::<u64>(), wanted.iter().sum()]);
        prop_assert_eq!(ml(total.allocated) + ml(total.remaining) + ml(total.expired), ml(total.supply));
        prop_assert_eq!(ml(total.allocated) + ml(total.shortfall), ml(total.needed));
        let Some(Origin::Formula { definition, inputs, .. }) = book.entry(total.remaining.node()).map(|entry| entry.origin) else {
            return Err(TestCaseError::fail("the total has no formula"));
        };
        prop_assert_eq!((definition.id, inputs.len()), ("total_volume", stock.len()));
    }
}

/// Two feeds with all of their analysis, each number a source of its own.
fn two_feeds(it: Option<&Book>) -> [Fed; 2] {
    let mut next = 0;
    let mut share = |percent: f64| {
        next += 1;
        it.source(Source::Request(next), Share::from_fraction(percent / 100.0).into())
    };
    [(100.0, 80.0, 15.0), (40.0, 60.0, 25.0)].map(|(kilograms, moisture, ash)| Fed {
        fresh: it.source(Source::Request(0), Mass::from_kilograms(kilograms).into()),
        moisture: share(moisture),
        ash: share(ash),
        nitrogen: Some(share(2.0)),
        phosphorus: Some(share(0.4)),
        potassium: Some(share(1.0)),
        cautions: &[],
    })
}

/// What comes of feed: each figure is recorded, its bounds are those of the recorded formulas, and nothing changes without a book.
#[test]
fn castings_of_feed_are_recorded_with_all_that_they_are_from() {
    let none = Overrides::default();
    let known = Known { request: &none, item: &none };
    let book = Book::default();
    let it = Some(&book);
    let made = from_feed(&two_feeds(it), None, known, it).unwrap();
    let Yield { dry_matter, sieved_dry_matter, castings, oversize, mass, moisture } = made.yields;
    let shares = [made.fed_moisture, made.of_fresh_feed, made.of_dry_feed, made.ash, moisture];
    let nutrients = [made.nitrogen, made.phosphorus, made.potassium].map(Option::unwrap);
    let masses = [made.fed, made.fed_dry_matter, dry_matter, sieved_dry_matter, mass];
    let nodes = shares.iter().chain(&nutrients).map(|share| share.node()).chain(masses.map(Estimate::node));
    for node in nodes.chain([castings, oversize].map(Estimate::node)).chain([made.carbon_to_nitrogen.unwrap().node()]) {
        assert_bounds(&book, node);
    }
    // Measured by ash, the loss is a figure of its own.
    let after = it.source(Source::Request(99), Share::from_fraction(0.35).into());
    let measured = from_feed(&two_feeds(it), Some(after), known, it).unwrap();
    assert_bounds(&book, measured.organic_matter_loss.node());
    assert_eq!(from_feed(&two_feeds(None), None, known, Off).unwrap(), made);
}

/// A running bed fed on dates: what the recorded formulas make of the sources is what the simulation found, and a book changes
/// nothing.
#[test]
fn a_forecast_is_recorded_and_stays_the_same() {
    let none = Overrides::default();
    let known = Known { request: &none, item: &none };
    let deliveries = ["2027-04-01", "2027-06-01"].map(|day| Delivery { on: on(day), dry_matter: weighing(70.0) });
    let bed = Bed {
        running: Some(Running {
            uneaten_feed: weighing(12.0),
            castings: weighing(8.0),
            layers_laid: 0,
            eaten_on: None,
        }),
        worms: None,
        ..bed(Supply::OnDates(deliveries.to_vec()))
    };
    let clocks = Clocks::new(&fixed(20.0), (bed.start_on, on("2029-03-31")), known).unwrap();
    let off = forecast_on(&bed, &clocks, known, Off).unwrap();
    let book = Book::default();
    let it = Some(&book);
    let named = |mass: Estimate<OfMass>| it.source(Source::Request(0), mass);
    let supply = deliveries.map(|delivery| Delivery { dry_matter: named(delivery.dry_matter), ..delivery });
    let running = bed.running.map(|r| Running {
        uneaten_feed: named(r.uneaten_feed),
        castings: named(r.castings),
        layers_laid: 0,
        eaten_on: None,
    });
    let feed = Feed {
        moisture: it.source(Source::Request(1), bed.feed.moisture),
        ash: it.source(Source::Request(2), bed.feed.ash),
        nitrogen: bed.feed.nitrogen.map(|n| it.source(Source::Request(3), n)),
        supply: Supply::OnDates(supply.to_vec()),
        ..bed.feed
    };
    let bed = Bed { area: it.source(Source::Request(4), bed.area), running, feed, ..bed };
    let made = forecast_on(&bed, &clocks, known, it).unwrap();
    assert_eq!(made, off);
    assert!(made.lots.len() > 1 && made.layers.len() > 3, "{made:#?}");
    let mut nodes: Vec<u32> = made.worms.iter().map(|worms| worms.mass.node()).collect();
    for laid in &made.layers {
        nodes.extend([laid.volume.node(), laid.dry_matter.node(), laid.mass.node()]);
    }
    for lot in &made.lots {
        let Yield { sieved_dry_matter, castings, oversize, mass, moisture, .. } = lot.yields;
        nodes.extend([lot.feed, sieved_dry_matter, mass].map(Estimate::node));
        nodes.extend([lot.in_bed, castings, oversize].map(Estimate::node));
        nodes.extend([lot.nitrogen.unwrap().node(), lot.carbon_to_nitrogen.unwrap().node(), moisture.node()]);
    }
    nodes.extend([made.end.worms.node(), made.end.feed_left.unwrap().node()]);
    let likely: BTreeMap<u32, usize> = (1..=100_000).map(|node| (node, 1)).collect();
    for node in nodes {
        let Entry { dimension, values, origin } = book.entry(node).unwrap();
        assert!(matches!(origin, Origin::Formula { .. }), "{origin:?}");
        let litres = if dimension.coherent_unit().starts_with("m3") { 0.001 } else { 1.0 };
        let found = at_corner(&book, node, &likely);
        assert!(
            (found - values[1] * litres).abs() <= 1e-9 * (1.0 + found.abs()),
            "{found} is not {}: {origin:?}",
            values[1]
        );
    }
}

proptest! {
    /// Worms by what they have worked since, portion by portion, are those of the closed form over all of it.
    #[test]
    fn worms_grow_by_portions_as_over_all_of_them(
        start in 0.01_f64..30.0, carrying in 0.5_f64..8.0, area in 0.5_f64..10.0, days in 20.0_f64..200.0, rate in 0.05_f64..1.0,
        portions in prop::collection::vec(0.1_f64..40.0, 1..12),
    ) {
        let (k, A) = (MassPerArea::from_kilograms_per_square_metre(carrying), Area::from_square_metres(area));
        let (T, f) = (Duration::from_hours(days * 24.0), FeedRate::from_per_day(rate));
        let pace = Pace::new(Mass::from_kilograms(start), k * A, T, f);
        let (k, A, T, f) = (k.into(), A.into(), T.into(), f.into());
        let mut worms: Estimate<OfMass> = pace.start().into();
        for portion in &portions {
            worms = Off.figure(WormsAfter { b: worms, k, A, w: Mass::from_kilograms(*portion).into(), T, f });
        }
        let wanted = pace.worms_having_worked(Mass::from_kilograms(portions.iter().sum())).kilograms();
        prop_assert!(near(worms.kilograms(), wanted, 1e-10), "{} is not {}", worms.kilograms(), wanted);
    }
}
