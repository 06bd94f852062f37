//! Refusals: every reason the core has is met, and no value, however large or small, stops it otherwise.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::support::{laws, m, order, outputs, q, rectangle, refusal, with};
use barrowful::garden::applications::{Order, Portion, Rate, apply};
use barrowful::garden::areas::{Ground, Shape, Surface};
use barrowful::garden::assumptions::{Assumption, Castings, Overrides, Span};
use barrowful::garden::balances::total;
use barrowful::garden::dates::{date, moment};
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::{
    Area, Capacity, Containers, Dimension, Length, Mass, MassPerArea, Millilitres, Share, Volume, VolumePerArea,
    VolumePerLength,
};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Reasons that only the reading of a request gives: they are about fields, words and lists, which the core has not.
const OF_THE_REQUEST: [Reason; 7] = [
    Reason::DatesOutOfOrder,
    Reason::ExactlyOneOf,
    Reason::UnknownAssumption,
    Reason::RepeatedId,
    Reason::NotAllowedHere,
    Reason::MissingField,
    Reason::UnknownValue,
];

fn set(assumption: Assumption, span: Span) -> Refusal {
    Overrides::default().set(assumption, span).unwrap_err()
}

/// One refusal for each reason that the core gives.
fn one_of_each() -> Vec<Refusal> {
    let mut containers = Containers::default();
    let holds = Capacity::Volume(Volume::from_litres(1.0));
    let mut overrides = Overrides::default();
    overrides.set(Assumption::BulkDensity, Span::exactly(1500.0)).unwrap();
    let bow_tie = Shape::Polygon([(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)].map(Into::into).to_vec());
    let misfit = order(Surface::Plants(1_u32.into()), Rate::Depth(m(0.01).into()));
    vec![
        refusal("20", Dimension::Length),
        refusal("20 spans", Dimension::Length),
        refusal("20 gal", Dimension::Volume),
        refusal("20 L", Dimension::Length),
        refusal("1,5 m", Dimension::Length),
        refusal("0.2", Dimension::Share),
        set(Assumption::Moisture, Span::exactly(0.99)),
        total([Millilitres::new(1 << 60)].into_iter()).unwrap_err(),
        date("2027-02-29").unwrap_err(),
        with(&Overrides::default(), |known| apply(&misfit, known, Off)).unwrap_err(),
        set(Assumption::Moisture, Span { low: 0.5, likely: 0.4, high: 0.6 }),
        with(&overrides, |known| Castings::known(known, Off)).unwrap_err(),
        containers.add("inch", None, holds).unwrap_err(),
        Ground { shape: bow_tie, count: 1_u32.into() }.area(Off).unwrap_err(),
        containers.add("", None, holds).unwrap_err(),
    ]
}

#[test]
fn every_reason_is_met_in_the_core_or_belongs_to_the_request() {
    let met: BTreeSet<Reason> = one_of_each().iter().map(|refusal| refusal.reason).collect();
    let of_the_request = BTreeSet::from(OF_THE_REQUEST);
    assert!(met.is_disjoint(&of_the_request));
    assert_eq!(met.union(&of_the_request).copied().collect::<BTreeSet<_>>(), Reason::ALL.iter().copied().collect());
}

#[test]
fn reasons_have_codes_of_their_own_and_details_are_sentences() {
    let codes: BTreeSet<_> = Reason::ALL.iter().map(|reason| reason.as_str()).collect();
    assert_eq!(codes.len(), Reason::ALL.len());
    assert!(codes.iter().all(|code| code.bytes().all(|b| b.is_ascii_lowercase() || b == b'_')));
    for refusal in one_of_each() {
        assert!(refusal.detail.len() > 20 && !refusal.detail.ends_with(['.', ' ']), "{refusal}");
        assert!(refusal.to_string().starts_with(refusal.reason.as_str()));
    }
}

#[test]
fn dates_are_calendar_dates_between_1900_and_2199() {
    for text in ["1900-01-01", "2199-12-31", "2028-02-29", "2000-02-29"] {
        assert_eq!(date(text).unwrap().to_string(), text);
    }
    for text in [
        "2027-02-29",
        "1900-02-29",
        "2027-13-01",
        "2027-04-31",
        "2027-4-5",
        "5.4.2027",
        "20270405",
        "",
        "+027-04-05",
        " 2027-04-05",
        "２027-04-05",
    ] {
        assert_eq!(date(text).unwrap_err().reason, Reason::BadDate, "{text}");
    }
    for text in ["1899-12-31", "2200-01-01", "0000-01-01", "9999-12-31"] {
        let refusal = date(text).unwrap_err();
        assert_eq!(
            (refusal.reason, refusal.min, refusal.max),
            (Reason::OutOfRange, Some(1900.0), Some(2199.0)),
            "{text}"
        );
    }
    for text in ["2027-06-10T18:00:00", "2027-06-10", "2027-06-10T25:00:00Z", "2027-06-10T18:00:00+99:00", ""] {
        assert_eq!(moment(text).unwrap_err().reason, Reason::BadDate, "{text}");
    }
    assert_eq!(moment("2200-01-01T00:00:00Z").unwrap_err().reason, Reason::OutOfRange);
    assert_eq!(moment("2027-06-10T18:00:00-03:30").unwrap().to_rfc3339(), "2027-06-10T18:00:00-03:30");
}

#[test]
fn a_result_beyond_what_is_computed_with_is_refused_at_the_rate() {
    let wide = rectangle(m(1e5), m(1e5));
    let rates = [
        Rate::Depth(m(1e5).into()),
        Rate::MassPerArea(MassPerArea::from_base(1e5).into()),
        Rate::VolumePerArea(VolumePerArea::from_base(1e6).into()),
        Rate::AvailableNitrogen(MassPerArea::from_base(1e5).into()),
    ];
    for rate in rates {
        let order = order(Surface::Ground(wide.clone()), rate);
        let refusal = with(&Overrides::default(), |known| apply(&order, known, Off)).unwrap_err();
        assert_eq!((refusal.reason, refusal.field), (Reason::TooLarge, Some("rate")), "{}", rate.kind());
    }
    let soaked = with(&Overrides::default(), |known| {
        let mut item = Overrides::default();
        item.set(Assumption::BulkDensity, Span::exactly(2000.0)).unwrap();
        let order = order(Surface::Plants(1_u32.into()), Rate::PerPlant(Portion::Volume(q("1 L").into())));
        apply(&order, barrowful::garden::assumptions::Known { item: &item, ..known }, Off)
    });
    assert_eq!(soaked.unwrap_err().field, Some("assumptions"));
}

/// A surface from three sizes and a count.
fn surface(kind: usize, [a, b, c]: [f64; 3], count: u32) -> Surface {
    let shape = match kind {
        0 => Shape::Rectangle { length: m(a).into(), width: m(b).into() },
        1 => Shape::Rows { length: m(a).into(), band_width: m(b).into() },
        2 => Shape::Ring { diameter: m(a).into(), inner_diameter: m(b).into() },
        3 => Shape::Plain(Area::from_square_metres(a).into()),
        4 => return Surface::Plants(count.into()),
        5 => return Surface::PlantedRows(count.into(), m(a).into(), m(b).into()),
        6 => return Surface::Pots(count.into(), Volume::from_litres(a).into()),
        7 => return Surface::TaperedPots(count.into(), m(a).into(), m(b).into(), m(c).into()),
        _ => return Surface::Fill(rectangle(m(a), m(b)), m(c).into()),
    };
    Surface::Ground(Ground { shape, count: count.into() })
}

fn rate(kind: usize, x: f64) -> Rate {
    match kind {
        0 => Rate::Depth(Length::from_base(x).into()),
        1 => Rate::MassPerArea(MassPerArea::from_base(x).into()),
        2 => Rate::VolumePerArea(VolumePerArea::from_base(x).into()),
        3 => Rate::AvailableNitrogen(MassPerArea::from_base(x).into()),
        4 => Rate::VolumePerLength(VolumePerLength::from_base(x).into()),
        5 => Rate::PerPlant(Portion::Volume(Volume::from_base(x).into())),
        6 => Rate::PerPlant(Portion::Mass(Mass::from_base(x).into())),
        _ => Rate::Share(Share::from_fraction(x).into()),
    }
}

proptest! {
    #![proptest_config(laws(3000))]

    /// Zero, subnormal, huge, negative and no number at all: an application is answered in order and within bounds, or
    /// refused; it never stops.
    #[test]
    fn no_value_stops_an_application(
        (on, sizes, count) in (0_usize..9, prop::array::uniform3(extremes()), prop::sample::select(vec![0_u32, 1, 7, u32::MAX])),
        (by, amount, settling) in (0_usize..8, extremes(), prop::sample::select(vec![0.0, 0.3, 0.5, 1.0, 2.0, f64::NAN])),
    ) {
        let order = Order { settling: Share::from_fraction(settling).into(), nitrate_zone: true, ..order(surface(on, sizes, count), rate(by, amount)) };
        let Ok(place) = with(&Overrides::default(), |known| apply(&order, known, Off)) else { return Ok(()) };
        let accepted = (0.0..=0.5).contains(&settling) && sizes.into_iter().chain([amount]).all(|x| x >= 0.0);
        for (name, [low, likely, high]) in outputs(&place) {
            if accepted {
                prop_assert!(0.0 <= low && low <= likely && likely <= high && high.is_finite(), "{} {} {}", name, low, high);
            }
        }
        prop_assert!(place.carried.volume.high().litres() <= 1e12);
    }

    #[test]
    fn no_text_stops_the_reading_of_dates(text in prop_oneof!["\\PC{0,30}", "[0-9]{1,5}-[0-9]{2}-[0-9]{2}(T[0-9:]{8}([+-][0-9:]{5}|Z))?"]) {
        let years = 1900..=2199;
        if let Ok(day) = date(&text) {
            prop_assert_eq!(day.to_string(), text.clone());
        }
        if let Ok(at) = moment(&text) {
            prop_assert!(years.contains(&chrono::Datelike::year(&at)));
        }
    }
}

/// Values at and beyond every edge.
fn extremes() -> impl Strategy<Value = f64> {
    let edges = vec![0.0, -0.0, -1.0, 5e-324, 1e-308, 1e-6, 1e-3, 1e5, 1e12, 1e160, 1e308, f64::INFINITY, f64::NAN];
    prop_oneof![prop::sample::select(edges), 1e-6_f64..100.0]
}
