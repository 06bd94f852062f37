//! Worms, feed worked and the warm-day clock: the closed forms against an independent integration, and their limits.

use super::kg;
use crate::support::{assert_near, laws, near, with};
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::beds::{Band, Climate, Clocks, Pace};
use barrowful::garden::dates::date;
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::{Duration, FeedRate, Temperature, TemperatureDifference};
use chrono::{Datelike, NaiveDate};
use proptest::prelude::*;

fn c(t: f64) -> Temperature {
    Temperature::from_celsius(t)
}

fn pace(start: f64, carries: f64, doubling: f64, feed_rate: f64) -> Pace {
    Pace::new(kg(start), kg(carries), Duration::from_hours(24.0 * doubling), FeedRate::from_per_day(feed_rate))
}

/// Classic Runge-Kutta of fourth order for dB/dt = g r B (1 - B/K), dW/dt = g f B, with one g for each day.
fn integrate((b0, k, doubling, f): (f64, f64, f64, f64), warmth: &[f64]) -> (f64, f64) {
    const STEPS: u32 = 16;
    let r = std::f64::consts::LN_2 / doubling;
    let h = 1.0 / f64::from(STEPS);
    let (mut b, mut w) = (b0, 0.0);
    for g in warmth {
        let slope = |b: f64| (g * r * b * (1.0 - b / k), g * f * b);
        for _ in 0..STEPS {
            let (b1, w1) = slope(b);
            let (b2, w2) = slope(b + h / 2.0 * b1);
            let (b3, w3) = slope(b + h / 2.0 * b2);
            let (b4, w4) = slope(b + h * b3);
            b += h / 6.0 * (b1 + 2.0 * b2 + 2.0 * b3 + b4);
            w += h / 6.0 * (w1 + 2.0 * w2 + 2.0 * w3 + w4);
        }
    }
    (b, w)
}

/// Ndegwa, Thompson & Das 2000, Bioresource Technol. 71:5-12: 1.60 kg worms/m2 and 0.75 or 1.25 kg feed for each kg worms and day
/// are 1.2 and 2.0 kg/m2 a day; at 80 % moisture a fifth of it is dry.
#[test]
fn stocking_of_1_6_works_1_2_and_2_0_kilograms_of_fresh_feed_a_square_metre_and_day() {
    for (fresh, expected) in [(0.75, 1.2), (1.25, 2.0)] {
        let dry = pace(1.6, f64::INFINITY, f64::INFINITY, fresh * 0.2).worked_after(1.0);
        assert_near(dry.kilograms() / 0.2, expected, 1e-12);
    }
}

/// The worked bed: carrying 5 kg/m2, doubling in 75 warm days, stocked with 1.6 kg/m2: 29.0 kg/m2 worked in 92 warm days.
#[test]
fn in_92_warm_days_29_kilograms_a_square_metre_are_worked() {
    let worked = pace(1.6, 5.0, 75.0, 0.15).worked_after(92.0).kilograms();
    assert!((worked - 29.0).abs() < 0.05, "{worked}");
}

#[test]
fn closed_forms_are_those_of_an_integration_at_constant_and_varying_temperature() {
    let band = Band::new((c(4.0), c(32.0)), (c(18.0), c(25.0))).unwrap();
    let first = date("2027-01-01").unwrap();
    for setting in [(1.6, 5.0, 75.0, 0.15), (0.5, 10.0, 60.0, 0.25), (8.0, 6.0, 90.0, 0.1), (5.0, 5.0, 75.0, 0.15)] {
        let (b0, k, doubling, f) = setting;
        let pace = pace(b0, k, doubling, f);
        for temperatures in [vec![20.0; 180], vec![11.0; 180], (0..180).map(|d| 5.0 + 0.15 * f64::from(d)).collect()] {
            let values: Vec<Temperature> = temperatures.iter().map(|t| c(*t)).collect();
            let climate = Climate::Daily { first_day: first, values };
            let last = first.checked_add_days(chrono::Days::new(179)).unwrap();
            let clocks = with(&Overrides::default(), |known| Clocks::new(&climate, (first, last), known)).unwrap();
            let tau = clocks.warm_days(first, first.checked_add_days(chrono::Days::new(150)).unwrap());
            let warmth: Vec<f64> = temperatures.iter().take(150).map(|t| band.counts(c(*t))).collect();
            assert_near(tau, warmth.iter().sum(), 1e-12);
            let (b, w) = integrate(setting, &warmth);
            assert_near(pace.worms_after(tau).kilograms(), b, 1e-9);
            assert_near(pace.worked_after(tau).kilograms(), w, 1e-9);
        }
    }
}

#[test]
fn limits_are_the_simple_formulas() {
    for tau in [1e-6, 1.0, 40.0, 300.0] {
        let steady = 0.15 * 1.6 * tau;
        assert_near(pace(1.6, 5.0, f64::INFINITY, 0.15).worked_after(tau).kilograms(), steady, 1e-12);
        assert_near(pace(1.6, 5.0, 1e12, 0.15).worked_after(tau).kilograms(), steady, 1e-9);
        assert_near(pace(1.6, 1.6, 75.0, 0.15).worked_after(tau).kilograms(), steady, 1e-12);
        let r = std::f64::consts::LN_2 / 75.0;
        let free = 0.15 * 1.6 * (r * tau).exp_m1() / r;
        assert_near(pace(1.6, f64::INFINITY, 75.0, 0.15).worked_after(tau).kilograms(), free, 1e-12);
        assert_near(pace(1.6, 1e14, 75.0, 0.15).worked_after(tau).kilograms(), free, 1e-9);
        assert_near(pace(1.6, f64::INFINITY, 75.0, 0.15).worms_after(tau).kilograms(), 1.6 * (r * tau).exp(), 1e-12);
    }
    // No overflow at the end of ten years of quick growth.
    assert!(pace(1e-6, 1e6, 1.0, 0.15).worked_after(3_653.0).kilograms().is_finite());
    assert!(pace(1e-6, 1.0, 1.0, 0.15).warm_days_for(kg(1e4)).is_finite());
}

#[test]
fn a_day_counts_by_the_band_of_temperature() {
    let band = Band::new((c(4.0), c(32.0)), (c(18.0), c(25.0))).unwrap();
    for (t, counts) in
        [(-5.0, 0.0), (4.0, 0.0), (11.0, 0.5), (18.0, 1.0), (25.0, 1.0), (28.5, 0.5), (32.0, 0.0), (40.0, 0.0)]
    {
        assert_near(band.counts(c(t)), counts, 1e-12);
    }
    for (stopped, comfort) in [((18.0, 32.0), (18.0, 25.0)), ((4.0, 32.0), (26.0, 25.0)), ((4.0, 25.0), (18.0, 25.0))] {
        let refused = Band::new((c(stopped.0), c(stopped.1)), (c(comfort.0), c(comfort.1))).unwrap_err();
        assert_eq!(refused.reason, Reason::InconsistentAssumptions);
    }
}

fn year(climate: &Climate, year: i32) -> Vec<(NaiveDate, f64)> {
    let (first, last) = (NaiveDate::from_ymd_opt(year, 1, 1).unwrap(), NaiveDate::from_ymd_opt(year, 12, 31).unwrap());
    first.iter_days().zip(climate.days(first, last).unwrap()).collect()
}

proptest! {
    #![proptest_config(laws(300))]

    #[test]
    fn the_inverse_gives_back_the_warm_days(
        b0 in 0.01_f64..20.0, k in 0.01_f64..20.0, doubling in 20.0_f64..400.0, f in 0.02_f64..1.0, tau in 0.01_f64..800.0,
    ) {
        let pace = pace(b0, k, doubling, f);
        let worked = pace.worked_after(tau);
        prop_assert!(near(pace.warm_days_for(worked), tau, 1e-9), "{} {}", pace.warm_days_for(worked), tau);
        prop_assert!(near(pace.worked_after(pace.warm_days_for(worked)).kilograms(), worked.kilograms(), 1e-9));
        prop_assert!(near(pace.worms_having_worked(worked).kilograms(), pace.worms_after(tau).kilograms(), 1e-9));
    }

    #[test]
    fn more_worms_work_no_less(b0 in 0.01_f64..20.0, more in 1.0_f64..3.0, k in 0.01_f64..20.0, tau in 0.0_f64..800.0) {
        let (few, many) = (pace(b0, k, 75.0, 0.15), pace(b0 * more, k, 75.0, 0.15));
        prop_assert!(many.worked_after(tau).kilograms() >= few.worked_after(tau).kilograms() * (1.0 - 1e-12));
    }

    #[test]
    fn months_keep_their_means(means in prop::array::uniform12(-20.0_f64..30.0), offset in -5.0_f64..5.0, in_year in 2026_i32..2030) {
        let climate = Climate::MonthlyMeans { means: means.map(c), offset: TemperatureDifference::from_kelvins(offset) };
        let days = year(&climate, in_year);
        for (month, mean) in (1_u32..).zip(means) {
            let of: Vec<f64> = days.iter().filter(|(day, _)| day.month() == month).map(|(_, t)| *t).collect();
            let found = of.iter().sum::<f64>() / f64::from(u32::try_from(of.len()).unwrap());
            prop_assert!((found - mean - offset).abs() < 1e-9, "{month}: {found} is not {}", mean + offset);
        }
    }
}

/// Each day's value is the mean of the curve over the day: against a fine sum over straight lines between the knots.
#[test]
fn a_day_has_the_exact_mean_of_the_straight_lines() {
    let means = [-2.0, 1.0, 5.0, 9.0, 14.0, 17.0, 20.0, 19.0, 15.0, 10.0, 4.0, 0.0];
    let climate = Climate::MonthlyMeans { means: means.map(c), offset: TemperatureDifference::from_kelvins(3.0) };
    for (day, found) in year(&climate, 2028) {
        let (m, length) = (usize::try_from(day.month0()).unwrap(), f64::from(day.num_days_in_month()));
        let (b0, b1) = ((means[(m + 11) % 12] + means[m]) / 2.0, (means[m] + means[(m + 1) % 12]) / 2.0);
        let knot = 2.0 * means[m] - (b0 + b1) / 2.0;
        let fine = (0..1000).map(|i| {
            let x = (f64::from(day.day0()) + (f64::from(i) + 0.5) / 1000.0) / length * 2.0;
            if x < 1.0 { b0 + (knot - b0) * x } else { knot + (b1 - knot) * (x - 1.0) }
        });
        let mean = fine.sum::<f64>() / 1000.0 + 3.0;
        assert!((found - mean).abs() < 1e-5, "{day}: {found} is not {mean}");
    }
}

#[test]
fn holes_eleven_months_and_disorder_are_reported_plainly() {
    let none = TemperatureDifference::from_kelvins(0.0);
    let refused = Climate::monthly(&[c(10.0); 11], none).unwrap_err();
    assert_eq!(refused.reason, Reason::InconsistentAssumptions);
    assert!(refused.detail.contains("this list has 11"), "{}", refused.detail);
    assert!(Climate::monthly(&[c(10.0); 12], none).is_ok());
    assert_eq!(Climate::monthly(&[c(200.0); 12], none).unwrap_err().reason, Reason::OutOfRange);
    let on = |text: &str| date(text).unwrap();
    let series = [(on("2027-03-01"), c(10.0)), (on("2027-03-02"), c(11.0)), (on("2027-03-04"), c(12.0))];
    let refused = Climate::dated(&series).unwrap_err();
    assert_eq!(refused.reason, Reason::MissingField);
    assert!(refused.detail.contains("2027-03-03"), "{}", refused.detail);
    let twice = [series[0], series[0]];
    assert_eq!(Climate::dated(&twice).unwrap_err().reason, Reason::DatesOutOfOrder);
    assert_eq!(Climate::dated(&[]).unwrap_err().reason, Reason::MissingField);
    let whole = Climate::dated(&series[..2]).unwrap();
    assert_eq!(whole.days(on("2027-03-01"), on("2027-03-02")).unwrap(), [10.0, 11.0]);
    for (first, last, missing) in
        [("2027-02-28", "2027-03-02", "2027-02-28"), ("2027-03-02", "2027-03-05", "2027-03-03")]
    {
        let refused = whole.days(on(first), on(last)).unwrap_err();
        assert_eq!(refused.reason, Reason::MissingField);
        assert!(refused.detail.contains(missing), "{}", refused.detail);
    }
    let gap = Climate::Daily { first_day: on("2027-03-01"), values: vec![c(10.0), c(f64::NAN), c(10.0)] };
    let refused = gap.days(on("2027-03-01"), on("2027-03-03")).unwrap_err();
    assert!(refused.detail.contains("2027-03-02"), "{}", refused.detail);
    let refused = Climate::Fixed(c(20.0)).days(on("2027-03-02"), on("2027-03-01")).unwrap_err();
    assert_eq!(refused.reason, Reason::DatesOutOfOrder);
    let refused = Climate::Fixed(c(20.0)).days(on("2027-03-02"), on("2038-03-01")).unwrap_err();
    assert_eq!(refused.reason, Reason::OutOfRange);
}
