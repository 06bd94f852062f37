//! Bounds: they hold the likely value, they are the formula at the corners of the assumptions, and knowing less never
//! narrows them.

use crate::support::{applied, given, laws, near, order, outputs, plain, span, with};
use barrowful::garden::applications::{Order, Portion, Rate, apply};
use barrowful::garden::areas::{Ground, Shape, Surface};
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Length, Mass, MassPerArea, Share, Volume, VolumePerArea, VolumePerLength};
use proptest::prelude::*;

/// Which two of bulk density, dry bulk density and moisture are given.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Pair {
    MoistAndDry,
    MoistAndMoisture,
    DryAndMoisture,
}

/// Spans for the assumptions: the pair first, then N, its available share, P, K, ash and the removal of P.
type Spans = [Span; 8];

const REST: [Assumption; 6] = [
    Assumption::Nitrogen,
    Assumption::AvailableNitrogen,
    Assumption::Phosphorus,
    Assumption::Potassium,
    Assumption::Ash,
    Assumption::PhosphorusRemoval,
];

impl Pair {
    const ALL: [Self; 3] = [Self::MoistAndDry, Self::MoistAndMoisture, Self::DryAndMoisture];

    fn assumptions(self) -> [Assumption; 2] {
        match self {
            Self::MoistAndDry => [Assumption::BulkDensity, Assumption::DryBulkDensity],
            Self::MoistAndMoisture => [Assumption::BulkDensity, Assumption::Moisture],
            Self::DryAndMoisture => [Assumption::DryBulkDensity, Assumption::Moisture],
        }
    }

    /// Bulk density and dry bulk density, kg/L.
    fn densities(self, first: f64, second: f64) -> (f64, f64) {
        let (moist, dry) = match self {
            Self::MoistAndDry => (first, second),
            Self::MoistAndMoisture => (first, first * (1.0 - second)),
            Self::DryAndMoisture => (first / (1.0 - second), first),
        };
        (moist / 1000.0, dry / 1000.0)
    }

    fn overrides(self, spans: &Spans) -> Overrides {
        let names = self.assumptions().into_iter().chain(REST);
        given(&names.zip(spans.iter().copied()).collect::<Vec<_>>())
    }
}

/// The area of all orders here, m2.
const AREA: f64 = 7.0;

/// The three kinds of dose: a volume, a mass, available nitrogen.
fn orders() -> [Order; 3] {
    let kg = MassPerArea::from_kilograms_per_square_metre;
    [
        Rate::VolumePerArea(VolumePerArea::from_litres_per_square_metre(5.0).into()),
        Rate::MassPerArea(kg(3.0).into()),
        Rate::AvailableNitrogen(kg(0.004).into()),
    ]
    .map(|rate| Order { settling: Share::from_fraction(0.2).into(), ..order(plain("7 m2"), rate) })
}

/// The formulas, in the order of [`outputs`]: for values of the eight assumptions, in plain arithmetic.
fn formulas(pair: Pair, rate: Rate, values: [f64; 8]) -> [f64; 11] {
    let [first, second, n, a, p, k, ash, removal] = values;
    let (moist, dry) = pair.densities(first, second);
    let volume = match rate {
        Rate::MassPerArea(rate) => rate.likely().base() * AREA / moist,
        Rate::AvailableNitrogen(rate) => rate.likely().base() * AREA / (dry * n * a),
        _ => 5.0 * AREA,
    };
    let solids = volume * dry;
    [
        volume,
        volume * moist,
        solids * n,
        solids * n * a,
        solids * p,
        solids * k,
        solids * p * 2.2914,
        solids * k * 1.2046,
        solids * (1.0 - ash),
        volume * 0.8 / AREA / 1000.0,
        removal / (dry * p) / 1000.0,
    ]
}

/// The value of each span at a corner: bit `i` set means the high end of span `i`.
fn corner(spans: &Spans, bits: usize) -> [f64; 8] {
    let mut values = spans.map(|span| span.low);
    for (i, (value, span)) in values.iter_mut().zip(spans).enumerate() {
        if bits >> i & 1 == 1 {
            *value = span.high;
        }
    }
    values
}

/// A span around a value, to at most `below` and `above` of it.
fn around(likely: std::ops::Range<f64>, below: f64, above: f64) -> impl Strategy<Value = Span> {
    (likely, 0.0..1.0_f64, 0.0..1.0_f64).prop_map(move |(likely, l, h)| {
        span(likely * (1.0 - l * (1.0 - below)), likely, likely * (1.0 + h * (above - 1.0)))
    })
}

/// Spans in which the dry matter never outweighs the whole.
fn spans() -> impl Strategy<Value = (Pair, Spans)> {
    let rest = (
        around(0.005..0.03, 0.5, 2.0),
        around(0.02..0.3, 0.5, 2.0),
        around(0.002..0.02, 0.5, 2.0),
        around(0.002..0.02, 0.5, 2.0),
        around(0.2..0.6, 0.5, 1.5),
        around(0.001..0.009, 0.5, 2.0),
    );
    let (moist, dry) = (around(450.0..700.0, 0.8, 1.3), around(150.0..300.0, 0.7, 1.15));
    let moisture = around(0.3..0.5, 0.5, 1.3);
    (prop::sample::select(Pair::ALL.to_vec()), moist, dry, moisture, rest).prop_map(
        |(pair, moist, dry, moisture, (n, a, p, k, ash, removal))| {
            let (first, second) = match pair {
                Pair::MoistAndDry => (moist, dry),
                Pair::MoistAndMoisture => (moist, moisture),
                Pair::DryAndMoisture => (dry, moisture),
            };
            (pair, [first, second, n, a, p, k, ash, removal])
        },
    )
}

/// Any surface with a rate that fits.
fn any_order() -> impl Strategy<Value = Order> {
    (0_usize..7, 0.01_f64..50.0, 1_u32..50).prop_map(|(kind, x, count)| {
        let rows = Shape::Rows { length: Length::from_metres(3.0).into(), band_width: Length::from_metres(0.3).into() };
        let ground = Surface::Ground(Ground { shape: rows, count: count.into() });
        match kind {
            0 => order(ground, Rate::Depth(Length::from_metres(x / 1000.0).into())),
            1 => order(ground, Rate::MassPerArea(MassPerArea::from_base(x).into())),
            2 => order(ground, Rate::VolumePerArea(VolumePerArea::from_base(x).into())),
            3 => order(ground, Rate::AvailableNitrogen(MassPerArea::from_base(x / 1000.0).into())),
            4 => order(ground, Rate::VolumePerLength(VolumePerLength::from_base(x).into())),
            5 => order(Surface::Plants(count.into()), Rate::PerPlant(Portion::Mass(Mass::from_base(x).into()))),
            _ => order(
                Surface::Pots(count.into(), Volume::from_litres(x).into()),
                Rate::Share(Share::from_fraction(0.2).into()),
            ),
        }
    })
}

/// Any of the assumptions, each given or not, with ranges wide enough that dry matter and whole overlap.
fn any_overrides() -> impl Strategy<Value = Vec<(Assumption, Span)>> {
    let (moist, dry) = (around(400.0..800.0, 0.3, 2.0), around(100.0..400.0, 0.3, 2.5));
    let pair = (prop::option::of(moist), prop::option::of(dry), prop::option::of(around(0.2..0.6, 0.2, 1.5)));
    let rest = (
        prop::option::of(around(0.005..0.03, 0.2, 3.0)),
        prop::option::of(around(0.02..0.3, 0.2, 3.0)),
        prop::option::of(around(0.1..0.6, 0.2, 1.5)),
    );
    let ratio = prop::option::of(around(10.0..40.0, 0.5, 2.0));
    (pair, rest, ratio).prop_map(|((moist, dry, moisture), (n, a, ash), ratio)| {
        let given = [
            (Assumption::BulkDensity, moist),
            (Assumption::DryBulkDensity, dry),
            (Assumption::Moisture, moisture),
            (Assumption::Nitrogen, n),
            (Assumption::AvailableNitrogen, a),
            (Assumption::Ash, ash),
            (Assumption::CarbonToNitrogen, ratio),
        ];
        given.into_iter().filter_map(|(assumption, span)| Some((assumption, span?))).collect()
    })
}

proptest! {
    #![proptest_config(laws(300))]

    #[test]
    fn bounds_are_the_formula_at_the_corners_of_the_assumptions((pair, spans) in spans()) {
        let overrides = pair.overrides(&spans);
        for order in orders() {
            let found = outputs(&applied(&order, &overrides));
            prop_assert_eq!(found.len(), 11);
            let corners: Vec<_> = (0..1 << 8).map(|bits| formulas(pair, order.rate, corner(&spans, bits))).collect();
            let likely = formulas(pair, order.rate, spans.map(|span| span.likely));
            for (i, (name, [low, middle, high])) in found.into_iter().enumerate() {
                let at = |pick: fn(f64, f64) -> f64| corners.iter().map(|corner| corner[i]).reduce(pick).unwrap();
                let kind = (pair, order.rate.kind(), name);
                prop_assert!(near(middle, likely[i], 1e-12), "{:?}: {} {}", kind, middle, likely[i]);
                prop_assert!(near(low, at(f64::min), 1e-12), "{:?}: low {} not {}", kind, low, at(f64::min));
                prop_assert!(near(high, at(f64::max), 1e-12), "{:?}: high {} not {}", kind, high, at(f64::max));
            }
        }
    }

    #[test]
    fn assumptions_without_ranges_give_answers_without_ranges((pair, spans) in spans()) {
        let overrides = pair.overrides(&spans.map(|span| Span::exactly(span.likely)));
        for order in orders() {
            for (name, [low, likely, high]) in outputs(&applied(&order, &overrides)) {
                prop_assert!(near(low, likely, 1e-15) && near(likely, high, 1e-15), "{} {} {}", name, low, high);
            }
        }
    }

    #[test]
    fn low_likely_and_high_are_in_order_in_every_answer(order in any_order(), values in any_overrides()) {
        let overrides = given(&values);
        let place = with(&overrides, |known| apply(&order, known, Off));
        prop_assume!(place.is_ok());
        let place = place.unwrap();
        for (name, [low, likely, high]) in outputs(&place) {
            prop_assert!(0.0 <= low && low <= likely && likely <= high, "{} {} {} {}", name, low, likely, high);
        }
        for assumed in &place.assumed {
            let Span { low, likely, high } = assumed.span;
            prop_assert!(low <= likely && likely <= high, "{:?}", assumed);
        }
    }

    #[test]
    fn a_wider_assumption_never_narrows_an_answer(
        order in any_order(), values in any_overrides(), which in any::<prop::sample::Index>(),
        (down, up) in (0.5_f64..1.0, 1.0_f64..1.2),
    ) {
        prop_assume!(!values.is_empty());
        let mut wider = values.clone();
        let (assumption, span) = &mut wider[which.index(values.len())];
        *span = Span { low: span.low * down, likely: span.likely, high: span.high * up };
        prop_assume!(Overrides::default().set(*assumption, *span).is_ok());
        let (before, after) = (given(&values), given(&wider));
        let answers = [before, after].map(|overrides| with(&overrides, |known| apply(&order, known, Off)));
        prop_assert_eq!(answers[0].is_ok(), answers[1].is_ok(), "widening turned the answer over");
        prop_assume!(answers[0].is_ok());
        let [before, after] = answers.map(Result::unwrap);
        for ((name, [low, likely, high]), (_, [lower, same, higher])) in outputs(&before).into_iter().zip(outputs(&after)) {
            prop_assert!(near(likely, same, 1e-15), "{}", name);
            prop_assert!(lower <= low * (1.0 + 1e-14) && high <= higher * (1.0 + 1e-14), "{}: {} {} to {} {}", name, low, high, lower, higher);
        }
    }
}
