//! Harvests: the bed of the interface, the shapes of heaps, and what a sieve and drying keep.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::support::{assert_near, known, laws, m, near, q, rectangle, span, three, with};
use barrowful::garden::areas::{Ground, Shape};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::figures::Off;
use barrowful::garden::harvests::{Ends, Harvest, Heap, Section, Sieving, WormBed, from_bed, from_heap};
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::quantity::OfShare;
use barrowful::garden::units::{Estimate, Length, Share, Volume};
use proptest::prelude::*;
use std::f64::consts::PI;

fn bed(length: Length, width: Length, material_depth: Length, ready: f64) -> WormBed {
    WormBed {
        area: (length * width).into(),
        material_depth: material_depth.into(),
        finished_share: Share::from_fraction(ready).into(),
    }
}

fn harvested(bed: &WormBed, request: &Overrides) -> Harvest {
    with(request, |known| from_bed(bed, known, Off)).unwrap()
}

fn litres(heap: Heap) -> f64 {
    heap.volume(Off).unwrap().litres()
}

fn windrow(length: f64, width: f64, height: f64, (section, ends): (Section, Ends)) -> Heap {
    Heap::Windrow { length: m(length).into(), width: m(width).into(), height: m(height).into(), section, ends }
}

/// A heap counted as it lies, with no sieve.
fn whole_heap(heap: &Heap, known: Known<'_>) -> Result<Harvest, Refusal> {
    let all = Share::from_fraction(1.0);
    from_heap(heap, Sieving { ready: all.into(), pass: all.into() }, known, Off)
}

/// The worked bed of the project's interface (invented numbers, checked by hand): 3 m x 1 m, 25 cm finished, 80 % ready,
/// 70 % through the sieve. Dry matter kept from 220 to 300 kg/m3: 420 L become 308 L in store.
#[test]
fn a_bed_of_750_litres_gives_420_litres_of_castings() {
    let bed = bed(q("3 m"), q("1 m"), q("25 cm"), 0.8);
    let harvest = harvested(&bed, &known(&[(Assumption::SieveYield, 0.7)]));
    for (found, expected) in [
        (harvest.whole, 750.0),
        (harvest.unfinished, 150.0),
        (harvest.ready, 600.0),
        (harvest.castings, 420.0),
        (harvest.oversize, 180.0),
        (harvest.stored, 308.0),
    ] {
        assert_near(found.litres(), expected, 1e-12);
    }
    // 308 L at 600 kg/m3.
    assert_near(harvest.mass.likely().kilograms(), 184.8, 1e-12);
    assert!(harvest.castings.is_exact() && harvest.oversize.is_exact() && !harvest.stored.is_exact());
}

/// The same in customary units: the published tank of 10 x 6 x 2.5 ft, 150 ft3 (Tamil Nadu Agricultural University,
/// read in a stored copy), as a bed full to the top.
#[test]
fn the_published_tank_of_150_cubic_feet_as_a_bed() {
    let harvest = harvested(&bed(q("10 ft"), q("6 ft"), q("2.5 ft"), 1.0), &Overrides::default());
    assert_near(harvest.whole.litres(), 150.0 * 28.316846592, 1e-12);
    assert_eq!(harvest.unfinished.litres(), 0.0);
}

#[test]
fn refusals_of_beds_and_heaps_name_their_field() {
    let none = Overrides::default();
    let short = windrow(1.0, 2.0, 1.0, (Section::HalfEllipse, Ends::Sloped));
    let refusal = short.volume(Off).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::ImpossibleValue, Some("length")));
    let heap = Heap::Counted { count: u32::MAX.into(), holds: Volume::from_litres(1e12).into() };
    assert_eq!(heap.volume(Off).unwrap_err().reason, Reason::TooLarge);
    let deep = with(&none, |known| from_bed(&bed(m(1e5), m(1e5), m(1e5), 1.0), known, Off)).unwrap_err();
    assert_eq!((deep.reason, deep.field), (Reason::TooLarge, Some("material_depth")));
    let nowhere = rectangle(m(0.0), m(1.0)).area(Off).unwrap_err();
    assert_eq!(nowhere.reason, Reason::OutOfRange);
    let wet = known(&[(Assumption::BulkDensity, 1200.0)]);
    let soaked = with(&wet, |known| from_bed(&bed(m(1.0), m(1.0), m(0.2), 1.0), known, Off)).unwrap_err();
    assert_eq!((soaked.reason, soaked.field), (Reason::ImpossibleValue, Some("assumptions")));
    let heap = Heap::Counted { count: 1_u32.into(), holds: q("1 L").into() };
    assert_eq!(with(&wet, |known| whole_heap(&heap, known)).unwrap_err().field, Some("assumptions"));
}

/// The volume of a windrow by its cross-sections: at each end half a cone, or a quarter of an ellipsoid, in between a
/// prism; added up in thin slices across the heap's width at each height. Solid geometry.
fn sliced(length: f64, width: f64, height: f64, section: Section) -> f64 {
    let slices = 4_000_u32;
    let step = 1.0 / f64::from(slices);
    let sum: f64 = (0..slices)
        .map(|i| {
            let up = (f64::from(i) + 0.5) * step;
            let across = match section {
                Section::Triangular => 1.0 - up,
                Section::HalfEllipse => (1.0 - up * up).sqrt(),
            };
            // At this height: a rectangle between two half circles, all narrower by `across`.
            (length - width) * width * across + PI * (width * across / 2.0).powi(2)
        })
        .sum();
    sum * step * height * 1000.0
}

proptest! {
    #![proptest_config(laws(300))]

    #[test]
    fn a_windrow_as_long_as_wide_is_a_cone_or_half_an_ellipsoid(width in 0.2_f64..20.0, height in 0.1_f64..5.0) {
        let cone = litres(Heap::Cone { diameter: m(width).into(), height: m(height).into() });
        prop_assert!(near(litres(windrow(width, width, height, (Section::Triangular, Ends::Sloped))), cone, 1e-12));
        let bin = litres(Heap::Bin { diameter: m(width).into(), height: m(height).into() });
        prop_assert!(near(litres(windrow(width, width, height, (Section::HalfEllipse, Ends::Sloped))), bin * 2.0 / 3.0, 1e-12));
        prop_assert!(near(cone * 3.0, bin, 1e-12));
    }

    #[test]
    fn a_windrow_is_the_sum_of_its_slices(width in 0.2_f64..5.0, longer in 0.0_f64..20.0, height in 0.1_f64..3.0) {
        for section in [Section::Triangular, Section::HalfEllipse] {
            let length = width + longer;
            let sloped = litres(windrow(length, width, height, (section, Ends::Sloped)));
            prop_assert!(near(sloped, sliced(length, width, height, section), 1e-5));
            // Square ends: the cross-section times the length.
            let cut = litres(windrow(length, width, height, (section, Ends::Square)));
            let further = litres(windrow(length + 3.0, width, height, (section, Ends::Square)));
            prop_assert!(near(cut / length, further / (length + 3.0), 1e-12));
            let gained = litres(windrow(length + 3.0, width, height, (section, Ends::Sloped))) - sloped;
            prop_assert!(near(gained, further - cut, 1e-9) && sloped < cut);
        }
    }

    #[test]
    fn lengths_k_times_as_long_make_a_heap_k_cubed(
        a in 0.2_f64..5.0, b in 0.2_f64..5.0, h in 0.1_f64..3.0, k in 0.1_f64..10.0, count in 1_u32..500,
    ) {
        let heaps = |k: f64| {
            let (a, b, h) = (a * k, b * k, h * k);
            let mut heaps = vec![
                Heap::Cone { diameter: m(a).into(), height: m(h).into() },
                Heap::Bin { diameter: m(a).into(), height: m(h).into() },
                Heap::Bay { mean_length: m(a).into(), width: m(b).into(), height: m(h).into() },
            ];
            for section in [Section::Triangular, Section::HalfEllipse] {
                heaps.extend([Ends::Sloped, Ends::Square].map(|ends| windrow(a.max(b), a.min(b), h, (section, ends))));
            }
            heaps
        };
        for (small, large) in heaps(1.0).into_iter().zip(heaps(k)) {
            prop_assert!(near(litres(large), litres(small) * k.powi(3), 1e-12), "{:?}", small);
        }
        let counted = Heap::Counted { count: count.into(), holds: Volume::from_litres(a).into() };
        prop_assert!(near(litres(counted), a * f64::from(count), 1e-15));
        let bay = Heap::Bay { mean_length: m(a).into(), width: m(b).into(), height: m(h).into() };
        prop_assert!(near(litres(bay), a * b * h * 1000.0, 1e-12));
    }

    /// In the bed: whole = not ready + castings + sieved off, at the likely value and at both ends; dry matter stays the
    /// same from bed to store, and the mass is that of the stored castings.
    #[test]
    fn nothing_is_lost_between_bed_sieve_and_store(
        (length, width, depth) in (0.1_f64..50.0, 0.1_f64..5.0, 0.05_f64..1.0), ready in 0.0_f64..=1.0, count in 1_u32..20,
        sieve in (0.1_f64..0.5, 0.5_f64..0.8, 0.8_f64..=1.0), in_bed in 150.0_f64..300.0, moisture in 0.3_f64..0.6,
    ) {
        let assumed = {
            let mut overrides = known(&[(Assumption::BedDryDensity, in_bed), (Assumption::Moisture, moisture)]);
            overrides.set(Assumption::SieveYield, span(sieve.0, sieve.1, sieve.2)).unwrap();
            overrides.set(Assumption::BulkDensity, Span::exactly(600.0)).unwrap();
            overrides
        };
        let shape = Shape::Rectangle { length: m(length).into(), width: m(width).into() };
        let area = Ground { shape, count: count.into() }.area(Off).unwrap();
        let bed = WormBed { area, ..bed(m(1.0), m(1.0), m(depth), ready) };
        let harvest = harvested(&bed, &assumed);
        let whole = harvest.whole.litres();
        prop_assert!(near(whole, length * width * f64::from(count) * depth * 1000.0, 1e-12));
        prop_assert!(near(harvest.ready.litres(), whole * ready, 1e-12));
        let ([low, likely, high], [least, off, most]) = (three(harvest.castings), three(harvest.oversize));
        prop_assert!(low <= likely && likely <= high && 0.0 <= least && least <= off && off <= most);
        for (passes, stays) in [(low, most), (likely, off), (high, least)] {
            prop_assert!((harvest.unfinished.litres() + passes + stays - whole).abs() <= 1e-12 * whole);
        }
        for (share, passes) in [(sieve.0, low), (sieve.1, likely), (sieve.2, high)] {
            prop_assert!(near(passes, harvest.ready.litres() * share, 1e-12));
        }
        let dry_store = 600.0 * (1.0 - moisture);
        for ((stored, mass), in_the_bed) in three(harvest.stored).into_iter().zip(three(harvest.mass)).zip([low, likely, high]) {
            prop_assert!(near(stored * dry_store, in_the_bed * in_bed, 1e-12), "dry matter");
            prop_assert!(near(mass, stored * 0.6, 1e-12), "mass");
        }
    }

    /// Bounds of a bed's harvest are the formula at the corners, with bulk density and moisture given with ranges.
    #[test]
    fn bounds_of_a_harvest_are_the_formula_at_the_corners(
        sieve in (0.1_f64..0.5, 0.8_f64..=1.0), in_bed in (150.0_f64..220.0, 220.0_f64..300.0),
        bulk in (450.0_f64..550.0, 650.0_f64..800.0), moisture in (0.3_f64..0.45, 0.55_f64..0.6),
    ) {
        let mut assumed = Overrides::default();
        for (assumption, (low, high), likely) in [
            (Assumption::SieveYield, sieve, 0.6),
            (Assumption::BedDryDensity, in_bed, 220.0),
            (Assumption::BulkDensity, bulk, 600.0),
            (Assumption::Moisture, moisture, 0.5),
        ] {
            assumed.set(assumption, span(low, likely, high)).unwrap();
        }
        let harvest = harvested(&bed(m(2.0), m(1.0), m(0.5), 1.0), &assumed);
        let least = 1000.0 * sieve.0 * in_bed.0;
        let most = 1000.0 * sieve.1 * in_bed.1;
        let [low, _, high] = three(harvest.stored);
        prop_assert!(near(low, least / (bulk.1 * (1.0 - moisture.0)), 1e-12));
        prop_assert!(near(high, most / (bulk.0 * (1.0 - moisture.1)), 1e-12));
        // The mass depends on the moisture alone, not on the bulk density.
        let [low, _, high] = three(harvest.mass);
        prop_assert!(near(low, least / 1000.0 / (1.0 - moisture.0), 1e-12), "{} {}", low, least);
        prop_assert!(near(high, most / 1000.0 / (1.0 - moisture.1), 1e-12), "{} {}", high, most);
    }

    #[test]
    fn no_size_stops_a_harvest(
        sizes in prop::array::uniform3(prop::sample::select(
            vec![0.0, -1.0, 5e-324, 1e-6, 1.0, 1e5, 1e160, 1e308, f64::INFINITY, f64::NAN])),
        count in prop::sample::select(vec![0_u32, 1, u32::MAX]), share in prop::sample::select(vec![0.0, 0.5, 1.0]),
    ) {
        let [a, b, c] = sizes;
        let sieve: Estimate<OfShare> = Estimate::exactly(Share::from_fraction(share));
        for heap in [
            Heap::Cone { diameter: m(a).into(), height: m(b).into() },
            Heap::Bin { diameter: m(a).into(), height: m(b).into() },
            Heap::Bay { mean_length: m(a).into(), width: m(b).into(), height: m(c).into() },
            Heap::Counted { count: count.into(), holds: Volume::from_litres(a).into() },
            windrow(a, b, c, (Section::Triangular, Ends::Sloped)),
            windrow(a, b, c, (Section::HalfEllipse, Ends::Square)),
        ] {
            let found = with(&Overrides::default(), |known| from_heap(&heap, Sieving { ready: Share::from_fraction(share).into(), pass: sieve }, known, Off));
            prop_assert!(found.is_err() || found.is_ok_and(|h| h.whole.litres() <= 1e12));
        }
        let found = with(&Overrides::default(), |known| from_bed(&bed(m(a), m(b), m(c), share), known, Off));
        prop_assert!(found.is_err() || found.is_ok_and(|h| h.whole.litres() <= 1e12));
    }
}

/// What lies in a heap lies as it is stored: volume and dry matter stay, and the mass is by the bulk density.
#[test]
fn a_heap_is_stored_as_it_lies() {
    let heap = Heap::Counted { count: 5_u32.into(), holds: q("60 L").into() };
    let harvest = with(&Overrides::default(), |known| whole_heap(&heap, known)).unwrap();
    assert_eq!(three(harvest.stored), [300.0; 3]);
    for (found, expected) in three(harvest.mass).into_iter().zip([135.0, 180.0, 270.0]) {
        assert_near(found, expected, 1e-12);
    }
}
