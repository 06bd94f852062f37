//! What to produce for a shortage: by hand from the closed forms, and fed back to the forecast, the balance and the runs.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test may stop at whatever is wrong"
)]

use crate::beds::{fixed, kg, months, on, reported, weighing};
use crate::beds_laws::later;
use crate::seasons::{exact, exact_but, ml, requirement, season, sure};
use crate::support::{assert_near, laws, span, with};
use barrowful::garden::assumptions::{Assumption, Known, Overrides, Span};
use barrowful::garden::balances::additional_production::{
    Batch, Late, LimitingFactor, MOST_DATES, Means, ProductionPlan, Recipe, SLIPS, Shortage, bed_overrides, by_date,
    first_day, last_day, produce,
};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::balance;
use barrowful::garden::beds::{Bed, Climate, Clocks, Feed, Forecast, Supply};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::Reason;
use barrowful::garden::seasons::work::{TaskKind, work};
use barrowful::garden::seasons::{BedPlan, Season, plan, simulate};
use barrowful::garden::units::{Area, Density, Millilitres, Share, Temperature};
use chrono::{Days, NaiveDate};
use proptest::prelude::*;

pub fn recipe() -> Recipe {
    Recipe {
        heats: false,
        dry: kg(100.0),
        moisture: Share::from_fraction(0.7),
        ash: Share::from_fraction(0.15),
        nitrogen: Share::from_fraction(0.018),
        dry_density: Density::from_base(130.0),
        days: 10,
    }
}

pub fn short(litres: f64, by: &str) -> Shortage {
    Shortage { by: on(by), amount: ml(litres) }
}

fn earlier(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_sub_days(Days::new(days)).unwrap()
}

/// Asks with changes to the means: nothing given but the recipe, no runs.
fn asked(
    shortages: &[Shortage],
    climate: &Climate,
    request: &Overrides,
    change: impl Fn(Means<'_>) -> Means<'_>,
) -> Vec<ProductionPlan> {
    let none = Overrides::default();
    let known = Known { request, item: &none };
    let clocks = clocks(shortages, climate, request);
    produce(shortages, &change(plain(&clocks, known))).unwrap()
}

pub fn clocks(shortages: &[Shortage], climate: &Climate, request: &Overrides) -> Clocks {
    let days = (first_day(None, shortages).unwrap(), last_day(None, shortages).unwrap());
    with(request, |known| Clocks::new(climate, days, known)).unwrap()
}

pub fn plain<'a>(clocks: &'a Clocks, known: Known<'a>) -> Means<'a> {
    Means {
        recipe: recipe(),
        area: None,
        worms: None,
        layers: None,
        materials_from: None,
        bed_from: None,
        as_of: None,
        clocks,
        known,
        runs: (0, 1),
    }
}

/// The produced bed, as whoever follows the plan would send it.
fn as_bed(batch: &Batch, start_on: NaiveDate) -> Bed {
    Bed {
        area: batch.area.into(),
        worms: Some(batch.worms.into()),
        running: None,
        start_on,
        feed: Feed {
            moisture: recipe().moisture.into(),
            ash: recipe().ash.into(),
            nitrogen: Some(recipe().nitrogen.into()),
            supply: Supply::AllAtOnce(batch.feed.into()),
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        layers_per_cycle: Some(batch.layers),
        cycles: None,
    }
}

/// The nearest number of nine digits: what is read off an answer.
fn nine_digits(x: f64) -> f64 {
    format!("{x:.8e}").parse().unwrap()
}

/// The same bed with its numbers as they are written.
fn as_written(bed: Bed) -> Bed {
    let supply = match bed.feed.supply {
        Supply::AllAtOnce(feed) => Supply::AllAtOnce(weighing(nine_digits(feed.kilograms()))),
        other => other,
    };
    Bed {
        area: Area::from_square_metres(nine_digits(bed.area.square_metres())).into(),
        worms: bed.worms.map(|worms| weighing(nine_digits(worms.kilograms()))),
        feed: Feed { supply, ..bed.feed },
        ..bed
    }
}

/// The request with what the produced bed knows better.
fn of_production(request: &Overrides) -> Overrides {
    let none = Overrides::default();
    let clocks = clocks(&[short(1.0, "2027-09-01")], &fixed(20.0), request);
    let mut all = request.clone();
    for (which, span) in bed_overrides(&plain(&clocks, Known { request, item: &none })).iter() {
        all.set(which, span).unwrap();
    }
    all
}

/// What is still short of the shortage once the bed is forecast to a day.
fn still_short(forecast: &Forecast, shortage: Shortage) -> Millilitres {
    let lots = forecast.lots.iter().map(|lot| Lot {
        amount: Millilitres::nearest(lot.yields.castings.likely()),
        window: Window { first: Some(lot.ready.likely), last: None },
        ..Lot::default()
    });
    let by = shortage.by.to_string();
    let litres = shortage.amount.volume().litres();
    balance(&lots.collect::<Vec<_>>(), &[requirement(litres, ("", &by), 1)], None).demands[0].shortfall
}

/// Everything at its likely value, but for a loss of 40 %.
fn losing_40_percent() -> Overrides {
    exact_but(&[(Assumption::OrganicMatterLoss, Span::exactly(0.4))])
}

// ---------------------------------------------------------------------------
// By hand
// ---------------------------------------------------------------------------

/// 200 L on 2027-09-01, 20 C, three layers of a mix of 130 kg/m3, loss 40 %.
/// Kept 0.15 + 0.85 x 0.6 = 0.66; D = 200 L x 0.3 kg/L / (0.8 x 0.66) = 113.636 kg. Layers of 12, 8 and 8 cm hold 0.28 x 130 = 36.4 kg/m2,
/// so 3.1219 m2 and 4.9950 kg of worms at 1.6 kg/m2. r = ln 2/75 = 0.00924196; r W/(f K) = 0.00924196 x 36.4/(0.15 x 6) = 0.373786;
/// tau = ln(1 + 6/1.6 x (e^0.373786 - 1))/r = 107.46 warm days, 135.46 with finishing: the 136th morning, 7 days of drying: 143
/// days before 1 September is 11 April, and the mix is begun ten days earlier.
#[test]
fn two_hundred_litres_by_september() {
    let request = losing_40_percent();
    let shortage = short(200.0, "2027-09-01");
    let plans = asked(&[shortage], &fixed(20.0), &request, |means| Means { layers: Some(3), ..means });
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
    // Fed back, nothing is short; begun a day later, all of it is.
    let request = of_production(&request);
    let with_start = |day: &str| reported(&as_bed(likely, on(day)), &fixed(20.0), "2028-03-01", &request).unwrap();
    let in_time = with_start("2027-04-11");
    assert_eq!((in_time.lots.len(), in_time.layers.len()), (1, 3));
    assert_eq!(still_short(&in_time, shortage), Millilitres::ZERO);
    let too_late = with_start("2027-04-12");
    assert_eq!(too_late.lots[0].ready.likely, on("2027-09-02"));
    assert_eq!(still_short(&too_late, shortage), shortage.amount);
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
    // Nothing stands in the way of the most layers.
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
    let shortages = [short(200.0, "2027-09-01")];
    let clocks = clocks(&shortages, &fixed(20.0), &request);
    let means = plain(&clocks, Known { request: &request, item: &none });
    for layers in [0, 1_000] {
        let refusal = produce(&shortages, &Means { layers: Some(layers), ..means.clone() }).unwrap_err();
        assert_eq!(refusal.reason, Reason::OutOfRange);
    }
}

// ---------------------------------------------------------------------------
// Too late
// ---------------------------------------------------------------------------

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
    let reported = |binds, first: &str| {
        let ready_on = later(on(first), 153);
        Some(Late { binds, first_start_on: Some(on(first)), ready_on: Some(ready_on) })
    };
    for (binds, ok, slip) in [
        (LimitingFactor::Today, "2027-04-01", "2027-04-02"),
        (LimitingFactor::Materials, "2027-04-01", "2027-04-02"),
        // The bed is needed when the worms go in, ten days after the start.
        (LimitingFactor::Bed, "2027-04-11", "2027-04-12"),
    ] {
        let from = |day: &str| {
            let day = Some(on(day));
            late(&climate, |means| match binds {
                LimitingFactor::Today => Means { as_of: day, ..means },
                LimitingFactor::Materials => Means { materials_from: day, ..means },
                _ => Means { bed_from: day, ..means },
            })
        };
        assert_eq!(from(ok), None, "{binds:?}");
        assert_eq!(from(slip), reported(binds, "2027-04-02"));
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
    for (celsius, binds) in [(0.0, LimitingFactor::Frost), (35.0, LimitingFactor::Heat)] {
        let climate = with_a_day_of("2027-04-11", celsius);
        let on_day = |day: &str| {
            let day = Some(on(day));
            late(&climate, |means| Means { as_of: day, ..means })
        };
        // Worms in on 26 November are begun on the 16th.
        assert_eq!(on_day("2026-11-16"), None);
        let found = on_day("2026-11-17").unwrap();
        // Worms in on 12 April: a day after the last in time.
        assert_eq!(found, Late { binds, first_start_on: Some(on("2027-04-02")), ready_on: Some(on("2027-09-02")) });
        // Today after it: today binds.
        assert_eq!(on_day("2027-04-03").unwrap().binds, LimitingFactor::Today);
    }
}

/// A place that is never warm enough.
#[test]
fn without_warmth_there_is_no_start() {
    let found = late(&fixed(3.0), |means| means).unwrap();
    assert_eq!(found, Late { binds: LimitingFactor::Warmth, first_start_on: None, ready_on: None });
    // Today is not what stands in the way of it.
    let today = Some(on("2027-03-01"));
    let found = late(&fixed(3.0), |means| Means { as_of: today, ..means }).unwrap();
    assert_eq!(found, Late { binds: LimitingFactor::Warmth, first_start_on: today, ready_on: None });
    // Nor is frost, where the days between are too cold.
    let cold = months([-4.0, -4.0, 0.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0, 0.0, -4.0], 0.0);
    assert_eq!(late(&cold, |means| means).unwrap().binds, LimitingFactor::Warmth);
    // A warm place with a deadly day in every month: it is the frost.
    let first_day = on("2025-01-01");
    let values = (0..2_000).map(|i| Temperature::from_celsius(if i % 30 == 0 { -1.0 } else { 20.0 }));
    let found = late(&Climate::Daily { first_day, values: values.collect() }, |means| means).unwrap();
    assert_eq!((found.binds, found.ready_on), (LimitingFactor::Frost, None));
}

/// The last day to begin stands among the work: for 90 of 100 where that is reported, and not where it is too late.
#[test]
fn producing_is_part_of_the_work() {
    let request = Overrides::default();
    let shortage = short(200.0, "2027-09-01");
    let begun = |runs: (u32, u64), as_of: Option<NaiveDate>| {
        let plans = asked(&[shortage], &fixed(20.0), &request, |means| Means { runs, as_of, ..means });
        let season = season(Vec::new(), vec![(requirement(200.0, ("", "2027-09-01"), 1), sure())], &request);
        let tasks = work(&season, (&plan(&season, Off).unwrap(), &[]), &plans);
        let found = tasks.iter().find(|task| task.kind == TaskKind::StartProduction).map(|task| (task.on, task.volume));
        (found, plans)
    };
    // It says what to make: for 90 of 100 more than what is short.
    let task = |batch: Batch| Some((batch.start_on.unwrap(), Some(batch.castings.volume())));
    let (found, plans) = begun((0, 1), None);
    assert_eq!(found, task(plans[0].likely));
    let (found, plans) = begun((500, 1), None);
    assert_eq!(found, task(plans[0].at_90_percent.unwrap()));
    assert!(plans[0].at_90_percent.unwrap().castings > shortage.amount);
    assert!(plans[0].at_90_percent.unwrap().start_on < plans[0].likely.start_on);
    let (found, plans) = begun((500, 1), Some(on("2027-08-25")));
    assert_eq!((found, plans[0].likely.late.unwrap().binds), (None, LimitingFactor::Today));
}

/// Ground that was given, loss 40 %: three layers hold 36.4 kg/m2, so the feed of 200 L needs 3.1219 m2.
#[test]
fn too_little_ground_is_told_with_what_would_do() {
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
    assert_eq!(less.late.map(|late| (late.binds, late.ready_on)), Some((LimitingFactor::Ground, None)));
    // On much ground fewer layers are needed.
    assert_eq!((batch(8.0).layers, batch(4.5).layers), (1, 2));
}

// ---------------------------------------------------------------------------
// Shortages
// ---------------------------------------------------------------------------

#[test]
fn shortages_are_put_together_by_date() {
    let of = |litres: f64, by: &str| short(litres, by);
    let merged = by_date([of(5.0, "2027-06-01"), of(3.0, "2027-04-01"), of(0.0, "2027-05-01"), of(2.5, "2027-06-01")]);
    assert_eq!(merged, [of(3.0, "2027-04-01"), of(7.5, "2027-06-01")]);
    assert_eq!((first_day(None, &[]), last_day(Some(on("2027-01-01")), &[])), (None, None));
    // 30 dates: the first 23 by themselves, the others with the 24th.
    let many = |i: u64| Shortage { by: later(on("2027-01-01"), i), amount: ml(1.0 + i as f64) };
    let merged = by_date((0..30).map(many));
    assert_eq!(merged.len(), MOST_DATES);
    assert_eq!(merged[..23], (0..23).map(many).collect::<Vec<_>>());
    let rest: f64 = (23..30).map(|i| 1.0 + f64::from(i)).sum();
    assert_eq!(merged[23], Shortage { by: later(on("2027-01-01"), 23), amount: ml(rest) });
}

#[test]
fn the_clocks_reach_from_two_years_before_to_four_hundred_days_after() {
    let shortages = [short(1.0, "2027-06-01"), short(1.0, "2027-04-01")];
    assert_eq!(first_day(None, &shortages), Some(earlier(on("2027-04-01"), 731)));
    assert_eq!(last_day(None, &shortages), Some(later(on("2027-06-01"), 400)));
    assert_eq!(first_day(Some(on("2024-01-01")), &shortages), Some(on("2024-01-01")));
    assert_eq!(last_day(Some(on("2028-01-01")), &shortages), Some(later(on("2028-01-01"), 400)));
}

// ---------------------------------------------------------------------------
// Fed back
// ---------------------------------------------------------------------------

fn places() -> impl Strategy<Value = Climate> {
    (-8.0_f64..10.0, 14.0_f64..27.0, 0.0_f64..4.0).prop_map(|(winter, summer, offset)| {
        let wave = |month: usize| 0.5 - 0.5 * (month as f64 / 6.0 * std::f64::consts::PI).cos();
        months(std::array::from_fn(|month| winter + (summer - winter) * wave(month)), offset)
    })
}

proptest! {
    #![proptest_config(laws(150))]

    /// Whoever follows the plan has enough in time, at the likely values, by the forecast and by the balance; whoever begins the
    /// worms a day later has not.
    #[test]
    fn the_plan_closes_the_gap_and_a_day_later_it_does_not(
        climate in places(),
        litres in prop_oneof![2.0_f64..900.0, 1e5_f64..1e7],
        day in 0_u64..365,
        layers in prop::option::of(1_u32..5),
        ground in prop::option::weighted(0.3, 0.9_f64..4.0),
        worms in prop::option::weighted(0.3, 0.3_f64..3.0),
    ) {
        let request = Overrides::default();
        let shortage = Shortage { by: later(on("2027-03-01"), day), amount: ml(litres) };
        // Ground and worms in shares of what the worked case has.
        let area = ground.map(|share| Area::from_square_metres(share * litres * 0.0156));
        let own = worms.map(|share| kg(share * litres * 0.025));
        let plans = asked(&[shortage], &climate, &request, |means| Means { layers: layers.filter(|_| area.is_none()), area, worms: own, ..means });
        let batch = plans[0].likely;
        if batch.late.is_some() {
            prop_assert!(!batch.fits || batch.start_on.is_none());
            return Ok(());
        }
        let (start, request) = (batch.worms_in_on.unwrap(), of_production(&request));
        let until = last_day(None, &[shortage]).unwrap().to_string();
        let forecast = reported(&as_bed(&batch, start), &climate, &until, &request).unwrap();
        prop_assert_eq!(forecast.layers.iter().filter(|laid| laid.cycle == 1).count(), batch.layers as usize);
        prop_assert_eq!(forecast.lots.first().map(|lot| lot.ready.likely), batch.ready_on);
        prop_assert_eq!(still_short(&forecast, shortage), Millilitres::ZERO);
        prop_assert!(batch.castings >= shortage.amount);
        let written = reported(&as_written(as_bed(&batch, start)), &climate, &until, &request).unwrap();
        prop_assert_eq!(still_short(&written, shortage), Millilitres::ZERO);
        let slipped = reported(&as_bed(&batch, later(start, 1)), &climate, &until, &request).unwrap();
        prop_assert_eq!(still_short(&slipped, shortage), shortage.amount);
        prop_assert_eq!(batch.start_on, Some(earlier(start, 10)));
        // A slip never brings it forward.
        for slip in &plans[0].if_started_later {
            prop_assert!(slip.ready_on.is_none_or(|ready| ready > shortage.by));
        }
    }
}

/// The bed for 90 %, begun on its day, played again with another seed: the demand holds in 90 of 100 runs, and hardly more. 2,000
/// runs find the day to within sqrt(0.9 x 0.1/2,000), 20,000 runs find the chance to within sqrt(0.9 x 0.1/20,000); a day more or
/// less is worth about two of 100.
#[test]
fn the_bed_for_90_percent_holds_in_90_of_100_runs() {
    let request = exact_but(&[
        (Assumption::OrganicMatterLoss, span(0.25, 0.4, 0.6)),
        (Assumption::DryBulkDensity, span(200.0, 300.0, 450.0)),
        (Assumption::FeedRate, span(0.1, 0.15, 0.25)),
        (Assumption::Finishing, span(336.0, 672.0, 1440.0)),
        (Assumption::Drying, span(72.0, 168.0, 336.0)),
        (Assumption::ComfortLow, span(15.0, 18.0, 20.0)),
    ]);
    let mild = months([8.0, 9.0, 11.0, 14.0, 17.0, 20.0, 22.0, 22.0, 19.0, 15.0, 11.0, 9.0], 2.0);
    // Frost in January: castings wanted in March are begun in the year before.
    let hard = months([-4.0, -2.0, 4.0, 9.0, 15.0, 19.0, 21.0, 20.0, 15.0, 9.0, 3.0, -2.0], 2.0);
    for (climate, by) in [(mild.clone(), "2027-09-01"), (hard.clone(), "2027-10-01"), (hard, "2027-03-15")] {
        let shortage = short(200.0, by);
        let runs = (2_000, 1);
        let plans = asked(&[shortage], &climate, &request, |means| Means { layers: Some(2), runs, ..means });
        let batch = plans[0].at_90_percent.unwrap();
        assert_eq!(batch.late, None);
        // Larger and earlier than the likely one.
        assert!(batch.feed > plans[0].likely.feed && batch.start_on < plans[0].likely.start_on);
        assert!(plans[0].latest_start_at_50_percent > batch.start_on);
        let chance = |start_on: NaiveDate| {
            let production = of_production(&request);
            let none = Overrides::default();
            let days = (start_on, later(shortage.by, 200));
            let clocks = with(&production, |known| Clocks::new(&climate, days, known)).unwrap();
            let season = Season {
                beds: vec![BedPlan {
                    bed: as_bed(&batch, start_on),
                    clocks: &clocks,
                    overrides: &none,
                    manure: Manure::default(),
                }],
                until: days.1,
                ..season(Vec::new(), vec![(requirement(200.0, ("", by), 1), sure())], &production)
            };
            let planned = plan(&season, Off).unwrap();
            f64::from(simulate(&season, &planned, (20_000, 99)).unwrap().plan.demands[0].full) / 20_000.0
        };
        let found = chance(batch.worms_in_on.unwrap());
        let error = (0.09_f64 / 2_000.0 + 0.09 / 20_000.0).sqrt();
        assert!((0.9 - 3.0 * error..0.92 + 3.0 * error).contains(&found), "{by}: {found}");
        // The even chance has its day as well.
        let even = chance(later(plans[0].latest_start_at_50_percent.unwrap(), 10));
        let error = (0.25_f64 / 2_000.0 + 0.25 / 20_000.0).sqrt();
        // A likely plan that begins so late may not be in time at all: then the printed plan gives nothing.
        assert!(even == 0.0 || (0.5 - 3.0 * error..0.55 + 3.0 * error).contains(&even), "{by}: {even}");
    }
}
