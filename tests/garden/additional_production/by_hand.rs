//! What to produce is what the closed forms give by hand, also with ground, worms or layers given.

use super::{as_bed, asked, clocks, earlier, losing_40_percent, of_production, plain, short, still_short};
use crate::beds::laws::later;
use crate::beds::{fixed, reported};
use crate::seasons::{exact, ml};
use crate::support::{assert_near, on};
use barrowful::garden::assumptions::{Known, Overrides};
use barrowful::garden::balances::additional_production::{
    LimitingFactor, MAX_DATES, Means, ProductionPlan, SLIPS, Shortfall, by_date, first_day, last_day, produce,
};
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::{Area, Millilitres};

/// 200 L on 2027-09-01, 20 C, three layers of a mix of 130 kg/m3, loss 40 %.
/// Kept 0.15 + 0.85 x 0.6 = 0.66; D = 200 L x 0.3 kg/L / (0.8 x 0.66) = 113.636 kg. Layers of 12, 8 and 8 cm hold 0.28 x 130 = 36.4 kg/m2,
/// so 3.1219 m2 and 4.9950 kg of worms at 1.6 kg/m2. r = ln 2/75 = 0.00924196; r W/(f K) = 0.00924196 x 36.4/(0.15 x 6) = 0.373786;
/// tau = ln(1 + 6/1.6 x (e^0.373786 - 1))/r = 107.46 warm days, 135.46 with finishing: the 136th morning, 7 days of drying: 143
/// days before 1 September is 11 April, and the mix is started ten days earlier.
#[test]
fn two_hundred_litres_by_september() {
    let request = losing_40_percent();
    let shortfall = short(200.0, "2027-09-01");
    let plans = asked(&[shortfall], &fixed(20.0), &request, |means| Means { layers: Some(3), ..means });
    let [ProductionPlan { likely, at_90_percent, latest_start_at_50_percent, if_started_later, choices, .. }] =
        plans.as_slice()
    else {
        panic!("{plans:?}")
    };
    assert_near(likely.feed.kilograms(), 200.0 * 0.3 / (0.8 * 0.66), 2e-8);
    assert_near(likely.area.square_metres(), 200.0 * 0.3 / (0.8 * 0.66) / 36.4, 2e-8);
    assert_near(likely.area.square_metres(), 3.1219, 1e-4);
    assert_near(likely.worms.kilograms(), 4.9950, 1e-4);
    let r = 2_f64.ln() / 75.0;
    let tau = (1.0 + 6.0 / 1.6 * ((r * 36.4 / (0.15 * 6.0)).exp() - 1.0)).ln() / r;
    assert!((tau - 107.46).abs() < 0.01, "{tau}");
    assert_eq!((tau + 28.0).ceil() + 7.0, 143.0);
    assert_eq!((likely.layers, likely.fits, likely.late), (3, true, None));
    assert_eq!(likely.area_needed, likely.area);
    assert_eq!(likely.worms_in_on, Some(on("2027-04-11")));
    assert_eq!(likely.start_on, Some(on("2027-04-01")));
    assert_eq!(likely.ready_on, Some(on("2027-09-01")));
    assert_eq!(likely.castings, ml(200.0));
    // No runs: nothing is reported of chances. Layers given: no choice.
    assert_eq!((at_90_percent, latest_start_at_50_percent, choices.len()), (&None, &None, 0));
    // At one temperature a start that slips by a week is ready a week later.
    let slips: Vec<_> = if_started_later.iter().map(|slip| (slip.days, slip.start_on, slip.ready_on)).collect();
    let expected = SLIPS.map(|days| {
        let days_on = |day: &str| later(on(day), u64::from(days));
        (days, days_on("2027-04-01"), Some(days_on("2027-09-01")))
    });
    assert_eq!(slips, expected);
    // Fed back, nothing is short; started a day later, all of it is.
    let request = of_production(&request);
    let with_start = |day: &str| reported(&as_bed(likely, on(day)), &fixed(20.0), "2028-03-01", &request).unwrap();
    let in_time = with_start("2027-04-11");
    assert_eq!((in_time.lots.len(), in_time.layers.len()), (1, 3));
    assert_eq!(still_short(&in_time, shortfall), Millilitres::ZERO);
    let too_late = with_start("2027-04-12");
    assert_eq!(too_late.lots[0].ready.likely, on("2027-09-02"));
    assert_eq!(still_short(&too_late, shortfall), shortfall.amount);
}

/// More layers need less ground and fewer worms, and an earlier start.
#[test]
fn choices_trade_ground_for_time() {
    let request = exact();
    let plans = asked(&[short(200.0, "2027-09-01")], &fixed(20.0), &request, |means| means);
    let choices = &plans[0].choices;
    assert!(choices.len() > 2);
    for pair in choices.windows(2) {
        assert!(pair[0].layers + 1 == pair[1].layers && pair[0].area > pair[1].area && pair[0].worms > pair[1].worms);
        assert!(pair[0].start_on > pair[1].start_on);
    }
    // Nothing prevents the most layers.
    assert_eq!(plans[0].likely.layers, choices.last().unwrap().layers);
    let of_three = choices.iter().find(|choice| choice.layers == 3).unwrap();
    assert_eq!(of_three.start_on, Some(on("2027-04-01")));
    // Today after the start for so many: the most layers that are still in time are taken.
    let today = Some(on("2027-04-01"));
    let plans = asked(&[short(200.0, "2027-09-01")], &fixed(20.0), &request, |means| Means { as_of: today, ..means });
    assert_eq!((plans[0].likely.layers, plans[0].likely.late), (3, None));
}

#[test]
fn layers_that_no_bed_takes_are_refused() {
    let (request, none) = (exact(), Overrides::default());
    let shortfalls = [short(200.0, "2027-09-01")];
    let clocks = clocks(&shortfalls, &fixed(20.0), &request);
    let means = plain(&clocks, Known { request: &request, item: &none });
    for layers in [0, 1_000] {
        let refusal = produce(&shortfalls, &Means { layers: Some(layers), ..means.clone() }).unwrap_err();
        assert_eq!(refusal.reason, Reason::OutOfRange);
    }
}

/// Ground that was given, loss 40 %: three layers hold 36.4 kg/m2, so the feed of 200 L needs 3.1219 m2.
#[test]
fn too_little_ground_is_reported_with_what_would_do() {
    let batch = |area: f64| {
        let area = Some(Area::from_square_metres(area));
        asked(&[short(200.0, "2027-09-01")], &fixed(20.0), &losing_40_percent(), |means| Means {
            layers: Some(3),
            area,
            ..means
        })
        .remove(0)
        .likely
    };
    let enough = batch(3.1220);
    assert_eq!((enough.fits, enough.late, enough.layers), (true, None, 3));
    let less = batch(3.1218);
    assert!(!less.fits);
    assert_near(less.area_needed.square_metres(), 3.1219, 1e-4);
    assert_eq!(less.late.map(|late| (late.limiting_factor, late.ready_on)), Some((LimitingFactor::Ground, None)));
    // On much ground fewer layers are needed.
    assert_eq!((batch(8.0).layers, batch(4.5).layers), (1, 2));
}

#[test]
fn shortfalls_are_put_together_by_date() {
    let of = |litres: f64, by: &str| short(litres, by);
    let merged = by_date([of(5.0, "2027-06-01"), of(3.0, "2027-04-01"), of(0.0, "2027-05-01"), of(2.5, "2027-06-01")]);
    assert_eq!(merged, [of(3.0, "2027-04-01"), of(7.5, "2027-06-01")]);
    assert_eq!((first_day(None, &[]), last_day(Some(on("2027-01-01")), &[])), (None, None));
    // 30 dates: the first 23 by themselves, the others with the 24th.
    let many = |i: u64| Shortfall { by: later(on("2027-01-01"), i), amount: ml(1.0 + i as f64) };
    let merged = by_date((0..30).map(many));
    assert_eq!(merged.len(), MAX_DATES);
    assert_eq!(merged[..23], (0..23).map(many).collect::<Vec<_>>());
    let rest: f64 = (23..30).map(|i| 1.0 + f64::from(i)).sum();
    assert_eq!(merged[23], Shortfall { by: later(on("2027-01-01"), 23), amount: ml(rest) });
}

#[test]
fn the_clocks_reach_from_two_years_before_to_four_hundred_days_after() {
    let shortfalls = [short(1.0, "2027-06-01"), short(1.0, "2027-04-01")];
    assert_eq!(first_day(None, &shortfalls), Some(earlier(on("2027-04-01"), 731)));
    assert_eq!(last_day(None, &shortfalls), Some(later(on("2027-06-01"), 400)));
    assert_eq!(first_day(Some(on("2024-01-01")), &shortfalls), Some(on("2024-01-01")));
    assert_eq!(last_day(Some(on("2028-01-01")), &shortfalls), Some(later(on("2028-01-01"), 400)));
}
