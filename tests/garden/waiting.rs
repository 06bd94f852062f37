//! Waits between raw manure and harvest: the days printed in 7 CFR 205.203(c) as this project read them in a stored copy, worked
//! examples counted on a calendar, and the laws.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::support::on;
use barrowful::garden::assumptions::{Known, Overrides};
use barrowful::garden::balances::allocation::{Eligibility, Lot, LotSource};
use barrowful::garden::balances::untreated::{Grown, days_to_use_up, tea_is_untreated};
use barrowful::garden::balances::{Allocated, Part, Requirement, parts_of_brew};
use barrowful::garden::brews::{Amount, Brew, Brewer, Order, WaterSource, plan};
use barrowful::garden::cautions::waiting::{Crop, EdiblePart, HotComposting, Limit, Manure, Method, Wait};
use barrowful::garden::dates::moment;
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::{Duration, Millilitres, Temperature, Volume};
use chrono::{Days, NaiveDate};
use proptest::prelude::*;

fn crop(picking: Option<&str>, edible_part: EdiblePart, incorporated: bool) -> Crop {
    Crop { first_crop_harvest: picking.map(on), edible_part, incorporated }
}

fn stage(method: Method, days: u32, [lowest, highest]: [f64; 2], turnings: Option<u32>) -> HotComposting {
    let [lowest, highest] = [lowest, highest].map(Temperature::from_celsius);
    HotComposting { method, days, lowest, highest, turnings }
}

/// Dug in on 1 March: 120 days later is 29 June (30 + 30 + 31 + 29), 90 days later 30 May.
#[test]
fn the_worked_example() {
    let dug = Some(on("2027-03-01"));
    let beets = crop(Some("2027-06-28"), EdiblePart::TouchesSoil, true);
    let earliest_crop_harvest = Some(on("2027-06-29"));
    assert_eq!(beets.wait(dug), Wait::Until { earliest_crop_harvest, too_late: true });
    assert_eq!(beets.incorporate_by(), Some(on("2027-02-28")));
    let a_day_later = crop(Some("2027-06-29"), EdiblePart::TouchesSoil, true);
    assert_eq!(a_day_later.wait(dug), Wait::Until { earliest_crop_harvest, too_late: false });
    let beans = crop(Some("2027-05-30"), EdiblePart::NoSoilContact, true);
    assert_eq!(beans.wait(dug), Wait::Until { earliest_crop_harvest: Some(on("2027-05-30")), too_late: false });
    assert_eq!(beans.incorporate_by(), dug);
}

#[test]
fn what_is_left_on_top_never_meets_the_rule() {
    let on_top = crop(Some("2029-01-01"), EdiblePart::NoSoilContact, false);
    assert_eq!(on_top.wait(Some(on("2027-03-01"))), Wait::NotIncorporated);
    assert_eq!(on_top.limit(0), Limit::Never);
    // It would if it were dug in by then.
    assert_eq!(on_top.incorporate_by(), Some(on("2028-10-03")));
}

#[test]
fn crops_that_are_not_eaten_have_no_wait() {
    let flowers = crop(Some("2027-03-02"), EdiblePart::NotEaten, false);
    assert_eq!(flowers.wait(Some(on("2027-03-01"))), Wait::None);
    assert_eq!((flowers.limit(0), flowers.incorporate_by()), (Limit::Always, None));
}

#[test]
fn unknown_counts_as_the_stricter() {
    assert_eq!(Crop::default().edible_part, EdiblePart::TouchesSoil);
    assert!(!Crop::default().incorporated);
    assert_eq!(Manure::default(), Manure::Unknown);
    assert!(Manure::Unknown.has_wait() && Manure::Untreated.has_wait() && !Manure::NoManure.has_wait());
}

#[test]
fn without_a_date_only_the_last_day_is_reported() {
    let beets = crop(Some("2027-06-28"), EdiblePart::TouchesSoil, true);
    assert_eq!(beets.wait(None), Wait::Until { earliest_crop_harvest: None, too_late: false });
    let someday = crop(None, EdiblePart::TouchesSoil, true);
    assert_eq!((someday.incorporate_by(), someday.limit(0)), (None, Limit::Always));
}

/// 131 to 170 F for three days in a vessel or static aerated pile, for fifteen days with five turnings in a windrow.
#[test]
fn a_hot_stage_that_meets_the_rule_is_treated() {
    let kept = [
        stage(Method::InVessel, 3, [55.0, 77.0], None),
        stage(Method::StaticAeratedPile, 3, [60.0, 70.0], None),
        stage(Method::TurnedWindrow, 15, [55.0, 77.0], Some(5)),
        stage(Method::InVessel, 3, [(131.0 - 32.0) / 1.8, (170.0 - 32.0) / 1.8], None),
    ];
    for stage in kept {
        let treated = Manure::Treated(stage.check().unwrap());
        assert!(!treated.has_wait());
        assert_eq!(stage.check().unwrap().composting(), &stage);
    }
}

#[test]
fn everything_that_is_missing_is_reported_at_once() {
    let out = Reason::InconsistentAssumptions;
    let refused = |stage: HotComposting| -> Vec<(Reason, Option<&'static str>)> {
        let refusals = stage.check().unwrap_err();
        let reported = |r: &Refusal| r.field == Some("highest") || r.reason != out || r.detail.contains("as untreated");
        assert!(refusals.iter().all(reported));
        refusals.into_iter().map(|refusal| (refusal.reason, refusal.field)).collect()
    };
    assert_eq!(
        refused(stage(Method::TurnedWindrow, 14, [54.9, 77.1], Some(4))),
        [(out, Some("days")), (out, Some("lowest")), (out, Some("highest")), (out, Some("turnings"))]
    );
    assert_eq!(refused(stage(Method::InVessel, 2, [55.0, 77.0], None)), [(out, Some("days"))]);
    let turned = stage(Method::TurnedWindrow, 15, [55.0, 77.0], None);
    assert_eq!(refused(turned), [(Reason::MissingField, Some("turnings"))]);
    let still = stage(Method::StaticAeratedPile, 3, [55.0, 77.0], Some(5));
    assert_eq!(refused(still), [(Reason::NotAllowedHere, Some("turnings"))]);
    let upside_down = stage(Method::InVessel, 3, [60.0, 58.0], None);
    assert_eq!(refused(upside_down), [(out, Some("highest"))]);
}

// ---------------------------------------------------------------------------
// Tea
// ---------------------------------------------------------------------------

fn brew(use_at: Option<&str>, water_source: Option<WaterSource>, additives: bool) -> Brew {
    let brewer =
        Brewer { holds: Volume::from_litres(60.0).into(), count: 1_u32.into(), turnaround: Duration::from_hours(0.0) };
    let order = Order {
        amount: Amount::Water(Volume::from_litres(120.0).into()),
        dilution: 0_u32.into(),
        brewer: Some(brewer),
        use_at: use_at.map(|text| moment(text).unwrap()),
        additives,
        water_source,
        aerated: true,
    };
    let none = Overrides::default();
    plan(&order, Known { request: &none, item: &none }, Off).unwrap()
}

/// Brewed for 24 h and used within 4 h (the defaults): ready at 22:00 on the 10th, started at 22:00 on the 9th, used up at 02:00 on the
/// 11th. Without a time it may begin at the end of a day, and 28 h later it is the day after the next.
#[test]
fn tea_comes_into_the_soil_when_it_is_used_up() {
    let brewed = brew(Some("2027-06-10T22:00:00+02:00"), Some(WaterSource::Mains), false);
    assert_eq!((brewed.brewing_time.hours(), brewed.use_within.hours()), (24.0, 4.0));
    // Two rounds of a day each.
    assert_eq!(days_to_use_up(&brewed), [2, 2]);
    assert_eq!(parts_of_brew(&brewed, Default::default()).len(), 2);
    let evening = brew(Some("2027-06-10T18:00:00+02:00"), None, false);
    assert_eq!(days_to_use_up(&evening), [1, 1]);
    // Without times its rounds follow each other: twice 24 h and 4 h are 52 h.
    assert_eq!(days_to_use_up(&brew(None, None, false)), [3]);
}

#[test]
fn tea_is_untreated_by_additives_and_by_water_that_may_carry_germs() {
    let untreated = |source, additives| tea_is_untreated(&brew(None, source, additives));
    assert!(!untreated(Some(WaterSource::Mains), false));
    assert!(untreated(Some(WaterSource::Mains), true));
    for source in [None, Some(WaterSource::Rain), Some(WaterSource::GroundWater), Some(WaterSource::SurfaceWater)] {
        assert!(untreated(source, false));
    }
}

/// A tea drawn on 1 June, used up on 2 June: harvest from 30 September (28 + 31 + 31 + 30 = 120).
#[test]
fn a_draw_for_tea_waits_from_the_day_it_is_used_up() {
    let grown = |untreated| {
        Some(Grown { crop: crop(Some("2027-09-29"), EdiblePart::TouchesSoil, true), untreated, later: vec![0, 1] })
    };
    // This is its second part.
    let draw = Allocated {
        part: 1,
        lot: 0,
        source: LotSource::Stock(0),
        on: Some(on("2027-06-01")),
        amount: Millilitres::new(1),
    };
    let part = Part { amount: Millilitres::new(1), ..Part::default() };
    let requirement =
        |parts: usize, grown| Requirement { parts: vec![part; parts], priority: 1, grown, ..Requirement::default() };
    let wait = |manure: Manure, grown| {
        requirement(2, grown).wait(&draw, &[Lot { untreated: manure.has_wait(), ..Lot::default() }], None)
    };
    let late = Some(Wait::Until { earliest_crop_harvest: Some(on("2027-09-30")), too_late: true });
    assert_eq!(wait(Manure::Unknown, grown(false)), late);
    assert_eq!(wait(Manure::NoManure, grown(true)), late);
    assert_eq!(wait(Manure::NoManure, grown(false)), None);
    assert_eq!(wait(Manure::Unknown, None), None);
    let kept = |mut requirement: Requirement| {
        requirement.enforce_application_to_harvest_interval();
        requirement.parts.iter().map(|part| part.eligibility).collect::<Vec<_>>()
    };
    let until = |text| Limit::Until(on(text));
    let both = |limit| Eligibility { treated: limit, untreated: limit };
    assert_eq!(kept(requirement(1, None)), [Eligibility::default()]);
    assert_eq!(kept(requirement(2, grown(true))), [both(until("2027-06-01")), both(until("2027-05-31"))]);
}

proptest! {
    /// The rule itself: never earlier than the day it is dug in plus the days; the last day to dig in is the last that is not too late.
    #[test]
    fn a_waiting_date_is_never_too_early(dug in 0..20_000_u64, picking in 0..20_000_u64, touches: bool) {
        let start = on("1950-01-01");
        let (dug, picking) = (start + Days::new(dug), start + Days::new(picking));
        let edible_part = if touches { EdiblePart::TouchesSoil } else { EdiblePart::NoSoilContact };
        let days = if touches { 120 } else { 90 };
        let crop = Crop { first_crop_harvest: Some(picking), edible_part, incorporated: true };
        let Wait::Until { earliest_crop_harvest: Some(from), too_late } = crop.wait(Some(dug)) else { panic!("no wait") };
        prop_assert!((from - dug).num_days() >= days);
        prop_assert_eq!(too_late, (picking - dug).num_days() < days);
        let by = crop.incorporate_by().unwrap();
        prop_assert_eq!(too_late, dug > by);
        prop_assert_eq!(crop.limit(0), Limit::Until(by));
        let late = |day| matches!(crop.wait(Some(day)), Wait::Until { too_late: true, .. });
        prop_assert!(!late(by) && late(by + Days::new(1)));
    }

    #[test]
    fn the_dates_at_the_ends_of_time_do_no_harm(later in any::<u64>()) {
        for ends in [NaiveDate::MIN, NaiveDate::MAX] {
            let crop = Crop { first_crop_harvest: Some(ends), incorporated: true, ..Crop::default() };
            let dated = matches!(crop.wait(Some(ends)), Wait::Until { earliest_crop_harvest: Some(_), .. });
            prop_assert!(dated && matches!(crop.limit(later), Limit::Until(_)));
        }
    }
}
