//! The laws of rates: kinds of rate undo each other, everything is in proportion, and units do not matter.

use crate::support::{applied, known, laws, litres, m, near, order, outputs, plain, q, rectangle};
use barrowful::garden::applications::{Nutrients, Order, Portion, Rate};
use barrowful::garden::areas::{Ground, Shape, Surface};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::figures::Off;
use barrowful::garden::formulas::PHOSPHATE;
use barrowful::garden::units::quantity::{OfLength, OfMassPerArea, OfRatio, OfVolume, OfVolumePerArea};
use barrowful::garden::units::{Estimate, Share, Volume, VolumePerArea};
use proptest::prelude::*;

proptest! {
    #![proptest_config(laws(300))]

    /// The rate that one kind of rate comes to brings the same volume as a rate of another kind.
    #[test]
    fn every_kind_of_rate_on_ground_undoes_every_other(
        area in 0.1_f64..1e4, depth in 0.0005_f64..0.2, settled in 0.0_f64..0.5, nitrogen in 0.005_f64..0.03,
        moisture in 0.2_f64..0.6,
    ) {
        let assumed = known(&[(Assumption::Nitrogen, nitrogen), (Assumption::Moisture, moisture)]);
        let place = |rate| {
            let settling = Share::from_fraction(settled);
            applied(&Order { settling: settling.into(), ..order(plain(&format!("{area} m2")), rate) }, &assumed)
        };
        let first = place(Rate::Depth(m(depth).into()));
        // The layer ends at the depth asked: V (1 - s) = A d.
        prop_assert!(near(litres(&first) * (1.0 - settled), area * depth * 1000.0, 1e-12));
        let ground = first.extent.area.unwrap();
        let per_area = litres(&first) / ground.likely().base();
        let rates = [
            Rate::Depth(first.depth.unwrap().likely().into()),
            Rate::MassPerArea((first.carried.mass.likely() / ground.likely()).into()),
            Rate::VolumePerArea(VolumePerArea::from_litres_per_square_metre(per_area).into()),
            Rate::AvailableNitrogen((first.carried.nutrients.available_nitrogen.likely() / ground.likely()).into()),
        ];
        for rate in rates {
            let again = place(rate);
            for ((name, [_, a, _]), (_, [_, b, _])) in outputs(&first).into_iter().zip(outputs(&again)) {
                prop_assert!(near(a, b, 1e-12), "{} by {}: {} {}", name, rate.kind(), a, b);
            }
        }
    }

    /// Twice the rate and twice the ground are twice the castings, with everything they carry.
    #[test]
    fn what_is_carried_is_in_proportion_to_rate_and_to_count(
        kind in 0_usize..7, factor in 0.01_f64..3.0, count in 1_u32..200,
    ) {
        let ground = Surface::Ground;
        let row = |count| ground(Ground { shape: Shape::Rows { length: m(3.0).into(), band_width: m(0.2).into() }, count });
        let (one, many, rate) = match kind {
            0 => (row(1_u32.into()), row(count.into()), Rate::Depth(m(0.01).into())),
            1 => (row(1_u32.into()), row(count.into()), Rate::MassPerArea(q("2 kg/m2").into())),
            2 => (row(1_u32.into()), row(count.into()), Rate::VolumePerArea(q("2 L/m2").into())),
            3 => (row(1_u32.into()), row(count.into()), Rate::AvailableNitrogen(q("5 g/m2").into())),
            4 => (row(1_u32.into()), row(count.into()), Rate::VolumePerLength(q("2 L/m").into())),
            5 => (Surface::Plants(1_u32.into()), Surface::Plants(count.into()), Rate::PerPlant(Portion::Mass(q("2 kg").into()))),
            _ => (Surface::Pots(1_u32.into(), q("3 L").into()), Surface::Pots(count.into(), q("3 L").into()), Rate::Share(q("20 %").into())),
        };
        let none = Overrides::default();
        let before = applied(&order(one, rate), &none);
        let after = applied(&order(many, rate.scaled(factor)), &none);
        let times = factor * f64::from(count);
        for ((name, a), (_, b)) in outputs(&before).into_iter().zip(outputs(&after)).take(9) {
            for (a, b) in a.into_iter().zip(b) {
                prop_assert!(near(a * times, b, 1e-12), "{}: {} {}", name, a * times, b);
            }
        }
        let nutrients = before.carried.nutrients;
        prop_assert_eq!(nutrients.phosphate, nutrients.phosphorus.times(PHOSPHATE));
        prop_assert_eq!(Nutrients::total(&[nutrients, nutrients], Off).potash, nutrients.potash.times(2.0));
    }

    /// The same garden measured in feet, inches and pounds takes the same.
    #[test]
    fn the_same_request_in_us_units_has_the_same_answer(
        length in 0.5_f64..100.0, width in 0.1_f64..10.0, amount in 0.5_f64..50.0, kind in 0_usize..4,
    ) {
        let (metric, us) = match kind {
            0 => (Rate::Depth(q(&format!("{amount} mm")).into()), Rate::Depth(q(&format!("{} in", amount / 25.4)).into())),
            1 => {
                let pounds = amount * 92.903_04 / 0.453_592_37;
                let us = Rate::MassPerArea(q::<OfMassPerArea>(&format!("{pounds} lb/1000 ft2")).into());
                (Rate::MassPerArea(q(&format!("{amount} kg/m2")).into()), us)
            }
            2 => {
                let cubic_yards = amount * 92.903_04 / 764.554_857_984;
                let us = Rate::VolumePerArea(q::<OfVolumePerArea>(&format!("{cubic_yards} yd3/1000 ft2")).into());
                (Rate::VolumePerArea(q(&format!("{amount} L/m2")).into()), us)
            }
            _ => {
                let pounds = amount * 4.046_856_422_4 / 0.453_592_37;
                (Rate::AvailableNitrogen(q(&format!("{amount} g/m2")).into()), Rate::AvailableNitrogen(q(&format!("{pounds} lb/acre")).into()))
            }
        };
        let here = Surface::Ground(rectangle(q(&format!("{length} m")), q(&format!("{width} m"))));
        let feet = |metres: f64| q(&format!("{} ft", metres / 0.3048));
        let there = Surface::Ground(rectangle(feet(length), feet(width)));
        let none = Overrides::default();
        let (a, b) = (applied(&order(here, metric), &none), applied(&order(there, us), &none));
        for ((name, a), (_, b)) in outputs(&a).into_iter().zip(outputs(&b)) {
            for (a, b) in a.into_iter().zip(b) {
                prop_assert!(near(a, b, 1e-12), "{}: {} {}", name, a, b);
            }
        }
    }
}

proptest! {
    #![proptest_config(laws(300))]

    /// Castings given for the whole place make rates, and each of these rates asks for just these castings.
    #[test]
    fn the_rates_that_castings_make_ask_for_the_same_castings(
        litres_given in 0.1_f64..50.0, count in 1_u32..50, length in 0.5_f64..50.0, width in 0.1_f64..5.0, settled in 0.0_f64..0.5,
    ) {
        let (long, wide) = (q::<OfLength>(&format!("{length} m")), q::<OfLength>(&format!("{width} m")));
        let count: Estimate<OfRatio> = count.into();
        let pot = q::<OfVolume>(&format!("{} L", 60.0)).into();
        let rows = Ground { shape: Shape::Rows { length: long.into(), band_width: wide.into() }, count };
        let (open, closed) = (settled, 0.0);
        for (surface, settled, kinds) in [
            (Surface::Ground(rectangle(long, wide)), open, vec!["depth"]),
            (Surface::Ground(rows), open, vec!["depth", "volume_per_length"]),
            (Surface::Plants(count), closed, vec!["per_plant"]),
            (Surface::Pots(count, pot), closed, vec!["per_plant", "share_of_mix"]),
        ] {
            let place = |rate| {
                let settling = Share::from_fraction(settled).into();
                applied(&Order { settling, ..order(surface.clone(), rate) }, &Overrides::default())
            };
            let given = place(Rate::Total(Portion::Volume(Volume::from_litres(litres_given).into())));
            prop_assert!(near(litres(&given), litres_given, 1e-12));
            let found: Vec<_> = given.rates.iter().map(Rate::kind).collect();
            prop_assert_eq!(found, kinds);
            for rate in &given.rates {
                let again = place(*rate);
                prop_assert!(near(litres(&again), litres_given, 1e-12), "{:?}: {}", rate, litres(&again));
                prop_assert!(again.rates.is_empty());
            }
        }
    }
}
