//! Tea: the published strength, batches that add up, and times that follow one another.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::support::{assert_near, known, laws, near, plain, q, three, with};
use barrowful::garden::areas::{Extent, Ground, Shape, Surface};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::brews::{Amount, Batch, Brew, Brewer, Coverage, MAX_BATCHES, Order, WaterSource, plan};
use barrowful::garden::cautions::Rule;
use barrowful::garden::dates::moment;
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::quantity::OfShare;
use barrowful::garden::units::{Duration, Millilitres, Ratio, Volume};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::cell::Cell;

fn brewer(litres: f64, count: u32, turnaround_hours: f64) -> Brewer {
    Brewer {
        holds: Volume::from_litres(litres).into(),
        count: count.into(),
        turnaround: Duration::from_hours(turnaround_hours),
    }
}

/// So much water, ready at six in the evening of 10 June 2027.
fn order(litres: f64, brewer: Option<Brewer>) -> Order {
    Order {
        amount: Amount::Water(Volume::from_litres(litres).into()),
        dilution: 0_u32.into(),
        brewer,
        use_at: moment("2027-06-10T18:00:00+02:00").ok(),
        additives: false,
        water_source: Some(WaterSource::Mains),
        aerated: true,
    }
}

fn planned(order: &Order, request: &Overrides) -> Brew {
    with(request, |known| plan(order, known, Off)).unwrap()
}

fn starts(brew: &Brew) -> Vec<String> {
    brew.batches.iter().map(|batch| batch.times.unwrap().start.to_rfc3339()).collect()
}

/// Edwards et al. 2010, Crop Protection: vermicompost and water 1:5 by volume is called 20 %, castings over water (read
/// in a stored copy): 2 L for 10 L. Over the total it would be 16.67 %. To dilute it to 10 % add 1 L a litre, to 5 % 3 L
/// (derived).
#[test]
fn one_to_five_is_two_litres_for_ten_and_dilutes_to_ten_and_five_percent() {
    let strong = known(&[(Assumption::TeaStrength, q::<OfShare>("200 mL/L").base())]);
    for (dilution, added, percent) in [(0.0, 0.0, 20.0), (1.0, 10.0, 10.0), (3.0, 30.0, 5.0)] {
        let brew = planned(&Order { dilution: Ratio::from_number(dilution).into(), ..order(10.0, None) }, &strong);
        assert_near(brew.castings.likely().litres(), 2.0, 1e-12);
        assert_eq!(brew.dilution_water.litres(), added);
        assert_near(100.0 * brew.castings.likely().litres() / brew.tea.litres(), percent, 1e-12);
        assert_near(2.0 / 12.0, 0.1667, 3e-4);
    }
}

/// The worked brew of the project's interface (invented numbers, checked by hand).
#[test]
fn two_hundred_litres_in_a_60_litre_brewer_are_four_batches_of_50() {
    let none = Overrides::default();
    let brew = planned(&order(200.0, Some(brewer(60.0, 1, 0.0))), &none);
    assert_near(brew.castings.likely().litres(), 20.0, 1e-12);
    assert_eq!(
        brew.batches.iter().map(|b| (b.water.litres(), b.castings.get())).collect::<Vec<_>>(),
        [(50.0, 5000); 4]
    );
    let evenings = ["2027-06-09", "2027-06-10", "2027-06-11", "2027-06-12"].map(|day| format!("{day}T18:00:00+02:00"));
    assert_eq!(starts(&brew), evenings);
    assert_eq!((brew.rounds, brew.stronger), (4_u32.into(), None));
    let three = planned(&order(180.0, Some(brewer(60.0, 1, 0.0))), &none);
    assert_eq!((three.batches.len(), three.batches[0].water.litres()), (3, 60.0));
    // Two such brewers take them in two rounds, four in one.
    assert_eq!(planned(&order(200.0, Some(brewer(60.0, 2, 0.0))), &none).rounds, 2_u32.into());
    assert_eq!(planned(&order(200.0, Some(brewer(60.0, 4, 0.0))), &none).rounds, 1_u32.into());
}

#[test]
fn tea_for_a_place_is_its_coverage_over_one_and_the_dilution() {
    let ground = Surface::Ground(Ground {
        shape: Shape::Rows { length: q("6 m").into(), band_width: q("20 cm").into() },
        count: 4_u32.into(),
    });
    let extent = ground.extent(Off).unwrap();
    let plants = Surface::Plants(24_u32.into()).extent(Off).unwrap();
    for (coverage, extent, tea) in [
        (Coverage::PerArea(q("5 L/m2").into()), extent, 24.0),
        (Coverage::PerLength(q("1 L/m").into()), extent, 24.0),
        (Coverage::PerPlant(q("0.5 L").into()), plants, 12.0),
    ] {
        let brew = planned(
            &Order { amount: Amount::Place(coverage, extent), dilution: 3_u32.into(), ..order(1.0, None) },
            &Overrides::default(),
        );
        assert_near(brew.tea.litres(), tea, 1e-12);
        assert_near(brew.water.litres(), tea / 4.0, 1e-12);
        assert_near(brew.water.litres() + brew.dilution_water.litres(), tea, 1e-12);
    }
}

#[test]
fn brews_that_cannot_be_are_refused_at_their_field() {
    let none = Overrides::default();
    let refused = |order: Order| with(&none, |known| plan(&order, known, Off)).unwrap_err();
    let amount = |coverage, extent: Extent| Order { amount: Amount::Place(coverage, extent), ..order(1.0, None) };
    let area = plain("2 m2").extent(Off).unwrap();
    let unfit = refused(amount(Coverage::PerPlant(q("1 L").into()), area));
    assert_eq!((unfit.reason, unfit.field), (Reason::RateDoesNotFit, Some("coverage")));
    assert_eq!(unfit.allowed, ["L/m2"]);
    let many = refused(order(1001.0, Some(brewer(1.0, 1, 0.0))));
    assert_eq!((many.reason, many.field), (Reason::TooLarge, Some("brewer")));
    let most = planned(&order(1000.0, Some(brewer(1.0, 1, 0.0))), &none);
    assert_eq!(u64::try_from(most.batches.len()), Ok(MAX_BATCHES));
    assert_eq!(refused(order(2e12, None)).reason, Reason::TooLarge);
    assert_eq!(refused(Order { dilution: 1_000_u32.into(), ..order(1e10, None) }).reason, Reason::TooLarge);
    for edge in ["1900-01-01T01:00:00Z", "2199-12-31T23:00:00Z"] {
        let refusal = refused(Order { use_at: moment(edge).ok(), ..order(10.0, None) });
        assert_eq!((refusal.reason, refusal.field), (Reason::BadDate, Some("use_at")), "{edge}");
    }
}

#[test]
fn cautions_of_tea_follow_from_what_is_in_it() {
    let plain = order(10.0, None);
    let dirty = Order { additives: true, water_source: Some(WaterSource::SurfaceWater), ..plain.clone() };
    let long = known(&[(Assumption::BrewingTime, 36.0)]);
    // The default of 24 hours is as short as 24 hours that are given.
    let day = known(&[(Assumption::BrewingTime, 24.0)]);
    assert_eq!(planned(&plain, &Overrides::default()).cautions, [Rule::TeaSafety, Rule::TeaShortBrew]);
    assert_eq!(planned(&plain, &day).cautions, [Rule::TeaSafety, Rule::TeaShortBrew]);
    assert_eq!(planned(&plain, &long).cautions, [Rule::TeaSafety]);
    assert_eq!(planned(&dirty, &long).cautions, [Rule::TeaAdditives, Rule::TeaWater, Rule::TeaSafety]);
    for water_source in [None, Some(WaterSource::Rain), Some(WaterSource::GroundWater)] {
        let brew = planned(&Order { water_source, ..plain.clone() }, &long);
        assert_eq!(brew.cautions, [Rule::TeaWater, Rule::TeaSafety], "{water_source:?}");
    }
    // Ingram & Millner 2007: clear of E. coli O157:H7 after 36 h with air, after 8.5 days without.
    let still = |hours: f64| {
        let assumed = known(&[(Assumption::BrewingTime, hours)]);
        planned(&Order { aerated: false, ..plain.clone() }, &assumed).cautions
    };
    assert_eq!(still(203.0), [Rule::TeaSafety, Rule::TeaShortBrew]);
    assert_eq!(still(204.0), [Rule::TeaSafety]);
    let kept = known(&[(Assumption::BrewingTime, 36.0), (Assumption::UseWithin, 6.5)]);
    assert_eq!(planned(&plain, &kept).cautions, [Rule::TeaSafety, Rule::TeaKept]);
    let rounds = planned(&order(100.0, Some(brewer(60.0, 1, 1.0))), &long);
    assert_eq!(rounds.cautions, [Rule::TeaSafety, Rule::TeaRounds]);
}

proptest! {
    #![proptest_config(laws(400))]

    #[test]
    fn batches_add_up_to_the_water_and_to_the_millilitre_of_castings(
        water in 0.5_f64..5_000.0, holds in 5.0_f64..500.0, count in 1_u32..6, strength in 0.01_f64..1.0, dilution in 0.0_f64..20.0,
    ) {
        let assumed = known(&[(Assumption::TeaStrength, strength)]);
        let brew = planned(&Order { dilution: Ratio::from_number(dilution).into(), ..order(water, Some(brewer(holds, count, 1.0))) }, &assumed);
        let castings: u64 = brew.batches.iter().map(|batch| batch.castings.get()).sum();
        prop_assert_eq!(Millilitres::new(castings), Millilitres::needed(brew.castings.likely()));
        prop_assert!(near(brew.castings.likely().litres(), water * strength, 1e-12));
        prop_assert!(near(brew.batches.iter().map(|b| b.water.litres()).sum(), water, 1e-12));
        // Equal: water to the last digit, castings to the millilitre; none is more than the brewer holds.
        let least = brew.batches.iter().map(|b| b.castings.get()).min().unwrap();
        for Batch { water, castings, .. } in &brew.batches {
            prop_assert!(water.litres() <= holds * (1.0 + 1e-8) && *water == brew.batches[0].water);
            prop_assert!(castings.get() - least <= 1);
        }
        // One batch less would not do.
        let batches = f64::from(u32::try_from(brew.batches.len()).unwrap());
        prop_assert!(batches < 1.5 || water > (batches - 1.0) * holds);
        prop_assert_eq!(brew.rounds, u32::try_from(brew.batches.len()).unwrap().div_ceil(count).into());
        prop_assert!(near(brew.tea.litres(), brew.water.litres() + brew.dilution_water.litres(), 1e-12));
    }

    #[test]
    fn batches_of_one_brewer_follow_one_another(
        water in 10.0_f64..1_000.0, holds in 20.0_f64..100.0, count in 1_u32..4,
        (minutes, keeps, turnaround) in (1_u32..4_000, 1_u32..600, 0_u32..600),
    ) {
        let hours = |minutes: u32| f64::from(minutes) / 60.0;
        let assumed = known(&[(Assumption::BrewingTime, hours(minutes)), (Assumption::UseWithin, hours(keeps))]);
        let brew = planned(&order(water, Some(brewer(holds, count, hours(turnaround)))), &assumed);
        let use_at = moment("2027-06-10T18:00:00+02:00").unwrap();
        let times: Vec<_> = brew.batches.iter().map(|batch| batch.times.unwrap()).collect();
        let vessels = usize::try_from(count).unwrap();
        for (i, time) in times.iter().enumerate() {
            prop_assert_eq!((time.ready - time.start).num_seconds(), i64::from(minutes) * 60);
            prop_assert_eq!((time.use_by - time.ready).num_seconds(), i64::from(keeps) * 60);
            prop_assert_eq!(time.start.offset(), use_at.offset());
            if i < vessels {
                prop_assert_eq!(time.ready, use_at);
            } else {
                prop_assert_eq!((time.start - times[i - vessels].ready).num_seconds(), i64::from(turnaround) * 60);
            }
        }
    }

    /// The stronger brew has the same castings in one round, at most one to five, and comes to the same tea.
    #[test]
    fn a_stronger_brew_has_the_same_castings_and_the_same_tea(
        water in 10.0_f64..1_000.0, holds in 20.0_f64..200.0, strength in 0.01_f64..0.2, dilution in 0.0_f64..5.0,
    ) {
        let assumed = known(&[(Assumption::TeaStrength, strength)]);
        let brew = planned(&Order { dilution: Ratio::from_number(dilution).into(), ..order(water, Some(brewer(holds, 1, 0.0))) }, &assumed);
        match brew.stronger {
            Some(offer) => {
                prop_assert!(brew.rounds.number() > 1.0 && offer.castings_to_water.fraction() <= 0.2 * (1.0 + 1e-9));
                prop_assert_eq!(offer.water.litres(), holds);
                prop_assert!(near(offer.water.litres() * offer.castings_to_water.fraction(), brew.castings.likely().litres(), 1e-12));
                prop_assert!(near(offer.water.litres() + offer.then_add.litres(), brew.tea.litres(), 1e-12));
                prop_assert!(offer.then_add.litres() > 0.0);
            }
            None => prop_assert!(brew.rounds == 1_u32.into() || water * strength / holds > 0.2),
        }
        let [low, likely, high] = three(brew.mass);
        prop_assert!(near(low, water * strength * 0.45, 1e-12) && near(likely, water * strength * 0.6, 1e-12) && near(high, water * strength * 0.9, 1e-12));
    }
}

#[test]
fn no_amount_stops_the_plan() {
    let (infinite, nan) = (f64::INFINITY, f64::NAN);
    let sizes = prop::array::uniform4(prop::sample::select(vec![
        0.0, -1.0, 5e-324, 1e-3, 1.0, 2.5, 60.0, 200.0, 1e5, 1e12, 1e160, 1e308, infinite, nan,
    ]));
    let counts = prop::sample::select(vec![0_u32, 1, u32::MAX]);
    let accepted = Cell::new(0);
    let law = |([water, holds, turnaround, dilution], count, dated): ([f64; 4], u32, bool)| {
        let mut order = order(water, Some(brewer(holds, count, turnaround)));
        order.dilution = Ratio::from_number(dilution).into();
        order.use_at = order.use_at.filter(|_| dated);
        if let Ok(brew) = with(&Overrides::default(), |known| plan(&order, known, Off)) {
            accepted.set(accepted.get() + 1);
            prop_assert!(!brew.batches.is_empty() && brew.batches.len() <= 1000);
            prop_assert!(brew.tea.litres() <= 1e12);
        }
        Ok(())
    };
    TestRunner::new(laws(500)).run(&(sizes, counts, any::<bool>()), law).unwrap();
    assert!(accepted.get() >= 100, "only {} were accepted", accepted.get());
}
