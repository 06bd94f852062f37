//! The latest start: late by a day, deadly days on the way, and no warmth at all.

use super::{asked, short};
use crate::beds::laws::later;
use crate::beds::{fixed, months};
use crate::seasons::exact;
use crate::support::on;
use barrowful::garden::balances::additional_production::{Late, LimitingFactor, Means};
use barrowful::garden::beds::Climate;
use barrowful::garden::units::Temperature;

/// The worked case has to begin on 1 April.
#[track_caller]
fn late(climate: &Climate, change: impl Fn(Means<'_>) -> Means<'_>) -> Option<Late> {
    let plans =
        asked(&[short(200.0, "2027-09-01")], climate, &exact(), |means| Means { layers: Some(3), ..change(means) });
    plans[0].likely.late
}

#[test]
fn late_by_a_day_or_just_in_time() {
    let climate = fixed(20.0);
    let reported = |limiting_factor, first: &str| {
        let ready_on = later(on(first), 153);
        Some(Late { limiting_factor, first_start_on: Some(on(first)), ready_on: Some(ready_on) })
    };
    for (limiting_factor, ok, slip) in [
        (LimitingFactor::Today, "2027-04-01", "2027-04-02"),
        (LimitingFactor::Materials, "2027-04-01", "2027-04-02"),
        // The bed is needed when the worms go in, ten days after the start.
        (LimitingFactor::Bed, "2027-04-11", "2027-04-12"),
    ] {
        let from = |day: &str| {
            let day = Some(on(day));
            late(&climate, |means| match limiting_factor {
                LimitingFactor::Today => Means { as_of: day, ..means },
                LimitingFactor::Materials => Means { materials_from: day, ..means },
                _ => Means { bed_from: day, ..means },
            })
        };
        assert_eq!(from(ok), None, "{limiting_factor:?}");
        assert_eq!(from(slip), reported(limiting_factor, "2027-04-02"));
    }
    // Of two reasons on one day the first in the list is reported.
    let both = late(&climate, |means| Means {
        as_of: Some(on("2027-05-01")),
        materials_from: Some(on("2027-05-01")),
        ..means
    });
    assert_eq!(both, reported(LimitingFactor::Today, "2027-05-01"));
}

/// 20 C but for one deadly day.
fn with_a_day_of(day: &str, celsius: f64) -> Climate {
    let first_day = on("2025-01-01");
    let deadly = on(day).signed_duration_since(first_day).num_days();
    let values = (0..2_000).map(|i| Temperature::from_celsius(if i == deadly { celsius } else { 20.0 }));
    Climate::Daily { first_day, values: values.collect() }
}

/// Worms go in on 11 April. A deadly day before does no harm; one on it or after it does, up to the day on which the castings
/// are finished: 136 mornings later, 25 August.
#[test]
fn a_deadly_day_is_got_round_by_an_earlier_start() {
    let start = |climate: &Climate| {
        let plans = asked(&[short(200.0, "2027-09-01")], climate, &exact(), |means| Means { layers: Some(3), ..means });
        (plans[0].likely.worms_in_on.unwrap(), plans[0].likely.late, plans[0].likely.ready_on.unwrap())
    };
    for celsius in [0.0, 35.0] {
        assert_eq!(start(&with_a_day_of("2027-04-10", celsius)), (on("2027-04-11"), None, on("2027-09-01")));
        assert_eq!(start(&with_a_day_of("2027-08-25", celsius)).0, on("2027-04-11"));
        // Finished by the morning of 24 August, or of 11 April: 136 mornings before, and dry a week after it.
        assert_eq!(start(&with_a_day_of("2027-08-24", celsius)), (on("2027-04-10"), None, on("2027-08-31")));
        assert_eq!(start(&with_a_day_of("2027-04-11", celsius)), (on("2026-11-26"), None, on("2027-04-18")));
    }
    // Not deadly.
    for celsius in [0.1, 34.9] {
        assert_eq!(start(&with_a_day_of("2027-04-11", celsius)).1, None);
        assert!(start(&with_a_day_of("2027-04-11", celsius)).0 >= on("2027-04-10"));
    }
}

/// With no time before a deadly day, the first start is the one after it, and the day is reported.
#[test]
fn a_deadly_day_binds_where_there_is_no_time_before_it() {
    for (celsius, limiting_factor) in [(0.0, LimitingFactor::Frost), (35.0, LimitingFactor::Heat)] {
        let climate = with_a_day_of("2027-04-11", celsius);
        let on_day = |day: &str| {
            let day = Some(on(day));
            late(&climate, |means| Means { as_of: day, ..means })
        };
        // Worms in on 26 November are started on the 16th.
        assert_eq!(on_day("2026-11-16"), None);
        let found = on_day("2026-11-17").unwrap();
        // Worms in on 12 April: a day after the last in time.
        assert_eq!(
            found,
            Late { limiting_factor, first_start_on: Some(on("2027-04-02")), ready_on: Some(on("2027-09-02")) }
        );
        // Today after it: today is the limiting factor.
        assert_eq!(on_day("2027-04-03").unwrap().limiting_factor, LimitingFactor::Today);
    }
}

/// A place that is never warm enough.
#[test]
fn without_warmth_there_is_no_start() {
    let found = late(&fixed(3.0), |means| means).unwrap();
    assert_eq!(found, Late { limiting_factor: LimitingFactor::Warmth, first_start_on: None, ready_on: None });
    // Today is not what prevents it.
    let today = Some(on("2027-03-01"));
    let found = late(&fixed(3.0), |means| Means { as_of: today, ..means }).unwrap();
    assert_eq!(found, Late { limiting_factor: LimitingFactor::Warmth, first_start_on: today, ready_on: None });
    // Nor is frost, where the days between are too cold.
    let cold = months([-4.0, -4.0, 0.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 0.0, -4.0], 0.0);
    assert_eq!(late(&cold, |means| means).unwrap().limiting_factor, LimitingFactor::Warmth);
    // A warm place with a deadly day in every month: it is the frost.
    let first_day = on("2025-01-01");
    let values = (0..2_000).map(|i| Temperature::from_celsius(if i % 30 == 0 { -1.0 } else { 20.0 }));
    let found = late(&Climate::Daily { first_day, values: values.collect() }, |means| means).unwrap();
    assert_eq!((found.limiting_factor, found.ready_on), (LimitingFactor::Frost, None));
}
