//! Shapes and fills: published volumes, and how areas and volumes scale.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::support::{assert_near, laws, m, near, q, rectangle};
use barrowful::garden::areas::{Corner, Extent, Ground, Shape, Surface};
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::quantity::{OfArea, OfLength, OfVolume};
use barrowful::garden::units::{Area, Estimate, Ratio, Volume};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::cell::Cell;
use std::f64::consts::PI;

fn measured(surface: &Surface) -> Extent {
    surface.extent(Off).unwrap()
}

fn polygon(corners: Vec<(f64, f64)>) -> Shape {
    Shape::Polygon(corners.into_iter().map(Corner::from).collect())
}

/// The volume of one round pot.
fn frustum(top: f64, bottom: f64, height: f64) -> f64 {
    let pot = Surface::TaperedPots(1_u32.into(), m(top).into(), m(bottom).into(), m(height).into());
    measured(&pot).mix.unwrap().litres()
}

fn square_metres(shape: Shape, count: u32) -> f64 {
    Ground { shape, count: count.into() }.area(Off).unwrap().square_metres()
}

fn refusal(shape: Shape) -> Refusal {
    Ground { shape, count: 1_u32.into() }.area(Off).unwrap_err()
}

/// Cornell Waste Management Institute, compost market-label guidelines: a field of 350 x 200 ft is 70 000 ft2 and takes
/// 434 yd3 for 2 in (read in a stored copy). Its constant 0.0031 yd3 per ft2 and in is 1/324 rounded up by 0.44 %: the
/// exact volume is 432.1 yd3.
#[test]
fn cornells_field_of_two_inches_takes_432_cubic_yards_not_434() {
    let field = rectangle(q("350 ft"), q("200 ft"));
    assert_near(field.area(Off).unwrap().square_metres(), q::<OfArea>("70000 ft2").base(), 1e-12);
    let fill = measured(&Surface::Fill(field, q("2 in").into())).mix.unwrap();
    let cubic_yards = fill.litres() / q::<OfVolume>("1 yd3").litres();
    assert_near(cubic_yards, 432.099, 1e-6);
    assert_near(cubic_yards * 0.0031 * 324.0, 434.0, 1e-9);
    assert_near(0.0031 * 324.0, 1.0044, 1e-9);
}

/// Tamil Nadu Agricultural University, Recycling of farm waste: a tank of 10 x 6 x 2.5 ft is 150 ft3 (read in a stored
/// copy); 4.2475 m3 is derived.
#[test]
fn the_tank_of_10_by_6_by_2_5_feet_holds_150_cubic_feet() {
    let tank = measured(&Surface::Fill(rectangle(q("10 ft"), q("6 ft")), q("2 1/2 ft").into())).mix.unwrap();
    assert_near(tank.litres(), q::<OfVolume>("150 ft3").litres(), 1e-12);
    assert_near(tank.litres(), 4247.5, 1e-5);
}

/// Solid geometry.
#[test]
fn round_shapes_have_the_areas_of_geometry() {
    assert_near(square_metres(Shape::Circle { diameter: m(2.0).into() }, 1), PI, 1e-15);
    let ring = Shape::Ring { diameter: m(3.0).into(), inner_diameter: m(1.0).into() };
    assert_near(square_metres(ring, 2), 4.0 * PI, 1e-15);
    assert_near(square_metres(Shape::Rows { length: m(6.0).into(), band_width: m(0.2).into() }, 4), 4.8, 1e-15);
    let corners = vec![(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)];
    assert_eq!(square_metres(polygon(corners), 3), 18.0);
}

#[test]
fn impossible_and_crossing_shapes_are_refused_at_their_field() {
    let ring = |inner| Shape::Ring { diameter: m(1.0).into(), inner_diameter: m(inner).into() };
    for shape in [ring(1.0), ring(1.5)] {
        let refusal = refusal(shape);
        assert_eq!((refusal.reason, refusal.field), (Reason::ImpossibleValue, Some("inner_diameter")));
    }
    for corners in [
        vec![(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)],
        vec![(0.0, 0.0), (1.0, 0.0)],
        vec![(0.0, 0.0)],
        vec![(0.0, 0.0), (0.0, 0.0), (1.0, 0.0), (1.0, 1.0)],
        vec![(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (1.0, 1.0)],
    ] {
        let refusal = refusal(polygon(corners));
        assert_eq!((refusal.reason, refusal.field), (Reason::SelfCrossing, Some("corners")));
    }
    assert_eq!(refusal(Shape::Polygon(vec![])).reason, Reason::OutOfRange);
    let refusal = Surface::PlantedRows(1_u32.into(), m(0.3).into(), m(0.5).into()).extent(Off).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::ImpossibleValue, Some("spacing")));
}

#[test]
fn sizes_beyond_the_bounds_are_refused_with_the_bounds() {
    let square = |side: f64| Shape::Rectangle { length: m(side).into(), width: m(side).into() };
    for (side, reason) in [
        (0.0, Reason::OutOfRange),
        (5e-324, Reason::OutOfRange),
        (9e-4, Reason::OutOfRange),
        (100_001.0, Reason::TooLarge),
        (1e308, Reason::TooLarge),
        (f64::INFINITY, Reason::TooLarge),
        (f64::NAN, Reason::OutOfRange),
    ] {
        let refusal = refusal(square(side));
        assert_eq!((refusal.reason, refusal.min, refusal.max), (reason, Some(1e-6), Some(1e10)), "{side}");
    }
    assert_eq!(Ground { shape: square(1.0), count: 0_u32.into() }.area(Off).unwrap_err().reason, Reason::OutOfRange);
    assert_eq!(Ground { shape: square(1e4), count: u32::MAX.into() }.area(Off).unwrap_err().reason, Reason::TooLarge);
    let pots = Surface::Pots(u32::MAX.into(), Volume::from_litres(1e9).into());
    assert_eq!(pots.extent(Off).unwrap_err().reason, Reason::TooLarge);
    assert_eq!(
        Surface::Fill(rectangle(m(1e5), m(1e5)), m(1.0).into()).extent(Off).unwrap_err().reason,
        Reason::TooLarge
    );
    let dense = Surface::PlantedRows(u32::MAX.into(), m(1e5).into(), m(1e-6).into()).extent(Off).unwrap_err();
    assert_eq!((dense.reason, dense.field), (Reason::TooLarge, Some("spacing")));
    // The most that is accepted is counted without overflow.
    let most = measured(&Surface::PlantedRows(u32::MAX.into(), m(1e5).into(), m(1e-4).into())).plants;
    assert_eq!(most, Some(Ratio::from_number(f64::from(u32::MAX) * 1e9).into()));
}

/// A plane shape of some kind, not too thin.
fn shapes() -> impl Strategy<Value = Shape> {
    let size = || (0.05_f64..200.0).prop_map(m);
    let star = prop::collection::vec(0.5_f64..5.0, 3..9).prop_map(|radii| {
        let share = 2.0 * PI / f64::from(u32::try_from(radii.len()).unwrap());
        let turns = (0_u32..).map(|i| f64::from(i) * share);
        Shape::Polygon(radii.iter().zip(turns).map(|(r, turn)| (r * turn.cos(), r * turn.sin()).into()).collect())
    });
    prop_oneof![
        (size(), size()).prop_map(|(length, width)| Shape::Rectangle { length: length.into(), width: width.into() }),
        (size(), size()).prop_map(|(length, band)| Shape::Rows { length: length.into(), band_width: band.into() }),
        size().prop_map(|diameter| Shape::Circle { diameter: diameter.into() }),
        (size(), 0.01_f64..0.9)
            .prop_map(|(d, part)| Shape::Ring { diameter: d.into(), inner_diameter: d.times(part).into() }),
        star,
    ]
}

/// The same shape with every length `k` times as long.
fn scaled(shape: &Shape, k: f64) -> Shape {
    match shape {
        Shape::Rectangle { length, width } => Shape::Rectangle { length: length.times(k), width: width.times(k) },
        Shape::Rows { length, band_width } => Shape::Rows { length: length.times(k), band_width: band_width.times(k) },
        Shape::Circle { diameter } => Shape::Circle { diameter: diameter.times(k) },
        Shape::Ring { diameter, inner_diameter } => {
            Shape::Ring { diameter: diameter.times(k), inner_diameter: inner_diameter.times(k) }
        }
        Shape::Polygon(corners) => {
            Shape::Polygon(corners.iter().map(|corner| (corner.x * k, corner.y * k).into()).collect())
        }
        Shape::Plain(area) => Shape::Plain(area.times(k * k)),
    }
}

proptest! {
    #![proptest_config(laws(500))]

    #[test]
    fn lengths_k_times_as_long_make_areas_k_squared_and_volumes_k_cubed(
        shape in shapes(), k in 0.1_f64..10.0, depth in 0.001_f64..2.0,
    ) {
        let (small, large) = (square_metres(shape.clone(), 1), square_metres(scaled(&shape, k), 1));
        prop_assert!(near(large, small * k * k, 1e-12), "{} {}", small, large);
        let fill = |shape, depth| measured(&Surface::Fill(Ground { shape, count: 1_u32.into() }, m(depth).into())).mix.unwrap().litres();
        let (little, much) = (fill(shape.clone(), depth), fill(scaled(&shape, k), depth * k));
        prop_assert!(near(much, little * k * k * k, 1e-12));
        prop_assert!(near(little, small * depth * 1000.0, 1e-12), "1 mm over 1 m2 is 1 L");
    }

    #[test]
    fn a_count_of_n_is_n_times_one(shape in shapes(), count in 1_u32..5_000, volume in 0.1_f64..100.0) {
        let n = f64::from(count);
        prop_assert!(near(square_metres(shape.clone(), count), square_metres(shape.clone(), 1) * n, 1e-15));
        if let Shape::Rows { length, .. } = &shape {
            let ground = Ground { shape: shape.clone(), count: count.into() };
            prop_assert!(near(ground.row_length(Off).unwrap().metres(), length.metres() * n, 1e-15));
        }
        let pots = measured(&Surface::Pots(count.into(), Volume::from_litres(volume).into()));
        prop_assert!(near(pots.mix.unwrap().litres(), volume * n, 1e-15));
        prop_assert_eq!(pots.plants, Some(count.into()));
        prop_assert_eq!(measured(&Surface::Plants(count.into())).plants, Some(count.into()));
    }

    /// The volume of a tapered pot is that of its cross-section added up in thin slices (Simpson's rule is exact here).
    #[test]
    fn a_tapered_pot_holds_its_slices(top in 0.01_f64..1.0, bottom in 0.01_f64..1.0, height in 0.01_f64..2.0) {
        let slice = |d: f64| PI * d * d / 4.0;
        let simpson = (slice(top) + 4.0 * slice((top + bottom) / 2.0) + slice(bottom)) / 6.0 * height * 1000.0;
        prop_assert!(near(frustum(top, bottom, height), simpson, 1e-12));
        let upside_down = frustum(bottom, top, height);
        prop_assert!(near(upside_down, simpson, 1e-12));
    }

    /// A row holds as many plants as spacings fit into it, also where the quotient is whole but the doubles are not.
    #[test]
    fn a_row_holds_a_plant_for_each_whole_spacing(plants in 1_u32..3_000, spacing in 1_u32..300, spare in 0.0_f64..0.99) {
        let spacing = f64::from(spacing) / 100.0;
        let rows = |length: f64| measured(&Surface::PlantedRows(7_u32.into(), m(length).into(), m(spacing).into())).plants;
        prop_assert_eq!(rows(f64::from(plants) * spacing), Some((7 * plants).into()));
        prop_assert_eq!(rows((f64::from(plants) + spare) * spacing), Some((7 * plants).into()));
    }
}

#[test]
fn no_size_stops_the_measuring() {
    let (infinite, nan) = (f64::INFINITY, f64::NAN);
    let sizes = prop::array::uniform3(prop::sample::select(vec![
        0.0, -0.0, -1.0, 5e-324, 1e-308, 1e-6, 0.2, 1.0, 2.5, 60.0, 1e5, 1e160, 1e308, infinite, nan,
    ]));
    let counts = prop::sample::select(vec![0_u32, 1, 2, u32::MAX]);
    let accepted = Cell::new([0; 6]);
    let law = |(sizes, count): ([f64; 3], u32)| {
        let [a, b, c] = sizes.map(m);
        let ground =
            Ground { shape: Shape::Ring { diameter: a.into(), inner_diameter: b.into() }, count: count.into() };
        let corners = vec![(a.base(), b.base()), (b.base(), c.base()), (c.base(), a.base()), (0.0, 1.0)];
        let surfaces = [
            Surface::Ground(ground.clone()),
            Surface::Ground(Ground { shape: polygon(corners), count: count.into() }),
            Surface::Ground(Ground {
                shape: Shape::Plain(Area::from_square_metres(a.base()).into()),
                count: count.into(),
            }),
            Surface::Fill(rectangle(a, b), c.into()),
            Surface::PlantedRows(count.into(), a.into(), b.into()),
            Surface::TaperedPots(count.into(), a.into(), b.into(), c.into()),
        ];
        let mut seen = accepted.get();
        for (surface, seen) in surfaces.iter().zip(&mut seen) {
            if let Ok(extent) = surface.extent(Off) {
                *seen += 1;
                prop_assert!(extent.area.is_none_or(|area| area.likely().within_bounds()), "{:?}", extent);
                prop_assert!(extent.mix.is_none_or(|mix| mix.litres() <= 1e12), "{:?}", extent);
            }
        }
        accepted.set(seen);
        let _length: Option<Estimate<OfLength>> = ground.row_length(Off);
        Ok(())
    };
    TestRunner::new(laws(500)).run(&(sizes, counts), law).unwrap();
    assert!(accepted.get().iter().all(|count| *count >= 25), "only {:?} were accepted", accepted.get());
}
