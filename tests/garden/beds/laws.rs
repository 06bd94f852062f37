//! Laws of beds over time, on beds and climates at large.

use super::{bed, fixed, found, months, reported, share, square_metres, weighing};
use crate::support::{known, laws, near, on, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::beds::{
    Bed, Climate, Clocks, Delivery, Feed, Forecast, MassAccount, Phase, Running, Supply, forecast_on,
};
use barrowful::garden::figures::Off;
use barrowful::garden::units::text::{Reader, read};
use barrowful::garden::units::{Dimension, Temperature};
use chrono::{Days, NaiveDate};
use proptest::prelude::*;

/// Four climates without a deadly day: mild, cool with a standstill in winter, hot summers, a daily series.
fn climates() -> [Climate; 4] {
    let mild = [8.0, 9.0, 11.0, 13.0, 16.0, 19.0, 22.0, 22.0, 19.0, 15.0, 11.0, 9.0];
    let cool = [-2.0, -1.0, 2.0, 6.0, 11.0, 14.0, 16.0, 16.0, 12.0, 8.0, 3.0, 0.0];
    let hot = [16.0, 18.0, 21.0, 25.0, 29.0, 32.0, 32.5, 32.0, 29.0, 25.0, 20.0, 17.0];
    let first_day = on("2026-06-01");
    // Ups and downs from day to day over a slow wave.
    let values = (0_u32..3_200).map(|d| {
        let wave = 14.0 + 10.0 * (f64::from(d) / 58.1).sin();
        Temperature::from_celsius(wave + f64::from((d * 7_919) % 13) / 2.0 - 3.0)
    });
    [months(mild, 2.0), months(cool, 3.0), months(hot, 0.0), Climate::Daily { first_day, values: values.collect() }]
}

pub fn later(day: NaiveDate, days: u64) -> NaiveDate {
    day.checked_add_days(Days::new(days)).unwrap()
}

fn ready(forecast: &Forecast) -> Vec<NaiveDate> {
    forecast.lots.iter().map(|lot| lot.ready.likely).collect()
}

/// Never later, lot by lot, and none missing.
fn never_later(sooner: &[NaiveDate], reference: &[NaiveDate]) -> bool {
    sooner.len() >= reference.len() && sooner.iter().zip(reference).all(|(a, b)| a <= b)
}

#[test]
fn the_ready_date_never_falls_as_the_start_rises_over_365_starts_in_four_climates() {
    let none = Overrides::default();
    for (which, climate) in climates().iter().enumerate() {
        for supply in [
            Supply::AsNeeded,
            Supply::AllAtOnce(weighing(150.0)),
            Supply::OnDates(
                (0..8).map(|i| Delivery { on: later(on("2027-02-01"), i * 60), dry_matter: weighing(40.0) }).collect(),
            ),
        ] {
            let span = (on("2027-01-01"), on("2030-12-31"));
            let clocks = with(&none, |known| Clocks::new(climate, span, known)).unwrap();
            let mut before: Vec<NaiveDate> = Vec::new();
            let mut bounds: Option<(NaiveDate, NaiveDate)> = None;
            for shift in 0..365 {
                let bed = Bed { start_on: later(span.0, shift), ..bed(supply.clone()) };
                let forecast = with(&none, |known| forecast_on(&bed, &clocks, known, Off)).unwrap();
                assert_eq!(forecast.stopped, None, "climate {which}");
                let now = ready(&forecast);
                assert!(!now.is_empty(), "climate {which}, {supply:?}, {shift}");
                assert!(shift == 0 || never_later(&before, &now), "climate {which} {shift}: {before:?} {now:?}");
                before = now;
                // The bounds of the first lot as well; a slow end beyond the forecast comes last of all.
                let first = forecast.lots[0].ready;
                let now = (first.earliest, first.latest.unwrap_or(NaiveDate::MAX));
                assert!(
                    bounds.is_none_or(|b| b.0 <= now.0 && b.1 <= now.1),
                    "climate {which} {shift}: {bounds:?} {now:?}"
                );
                bounds = Some(now);
            }
        }
    }
}

fn kept(account: &MassAccount) -> bool {
    let out = account.in_lots + account.lost + account.in_bed;
    near(account.fed.kilograms(), out.kilograms(), 1e-9)
}

fn supplies() -> impl Strategy<Value = Supply> {
    let delivery = (0_u64..700, 5.0_f64..80.0)
        .prop_map(|(day, mass)| Delivery { on: later(on("2027-03-01"), day), dry_matter: weighing(mass) });
    prop_oneof![
        Just(Supply::AsNeeded),
        (5.0_f64..400.0).prop_map(|mass| Supply::AllAtOnce(weighing(mass))),
        prop::collection::vec(delivery, 1..10).prop_map(Supply::OnDates),
    ]
}

pub fn beds() -> impl Strategy<Value = Bed> {
    let running = prop::option::of((0.0_f64..40.0, 0.0_f64..80.0));
    (supplies(), 1.0_f64..8.0, 0.5_f64..30.0, running, 0_u64..365, 1_u32..8, 0.0_f64..0.9).prop_map(
        |(supply, area, worms, running, start, layers_per_cycle, moisture)| {
            let base = bed(supply);
            Bed {
                area: square_metres(area),
                worms: Some(weighing(worms)),
                running: running.map(|(a, b)| Running {
                    uneaten_feed: weighing(a + 1e-3),
                    castings: weighing(b + 1e-3),
                    layers_laid: 0,
                    eaten_on: None,
                }),
                start_on: later(on("2027-01-01"), start),
                layers_per_cycle: Some(layers_per_cycle),
                feed: Feed { moisture: share(moisture), ..base.feed.clone() },
                ..base
            }
        },
    )
}

/// Beds of which some are finishing when they are looked at: their first day is earlier than their start.
pub fn beds_in_any_phase() -> impl Strategy<Value = Bed> {
    (beds(), prop::option::of(0_u64..200)).prop_map(|(bed, eaten)| {
        let eaten_on = eaten.and_then(|days| bed.start_on.checked_sub_days(Days::new(days)));
        let finishes = |of| Running { uneaten_feed: weighing(0.0), eaten_on, ..of };
        let running = bed.running.map(|of| if eaten_on.is_some() { finishes(of) } else { of });
        Bed { running, ..bed }
    })
}

pub fn climate() -> impl Strategy<Value = Climate> {
    prop_oneof![
        prop::sample::select(climates().to_vec()),
        (2.0_f64..34.0).prop_map(fixed),
        prop::array::uniform12(-6.0_f64..36.0).prop_map(|means| months(means, 2.0)),
    ]
}

proptest! {
    #![proptest_config(laws(300))]

    /// Dry matter, ash, carbon, nitrogen and water: in = out + stated losses, wherever the forecast ends.
    #[test]
    fn nothing_is_made_or_lost_unsaid(bed in beds_in_any_phase(), climate in climate(), days in 0_u64..900) {
        let until = later(bed.start_on, days).to_string();
        let forecast = found(&bed, &climate, &until);
        let balance = forecast.balance;
        for (what, account) in [("dry", balance.dry_matter), ("ash", balance.ash), ("carbon", balance.carbon), ("water", balance.water)] {
            prop_assert!(kept(&account), "{}: {:?}", what, account);
        }
        prop_assert!(balance.nitrogen.is_some_and(|n| kept(&n)));
        // The accounts are those of the lists.
        let lots: f64 = forecast.lots.iter().map(|lot| lot.yields.dry_matter.likely().kilograms()).sum();
        let laid: f64 = forecast.layers.iter().map(|layer| layer.dry_matter.kilograms()).sum();
        let started = bed.running.map_or(0.0, |r| r.uneaten_feed.kilograms() + r.castings.kilograms());
        prop_assert!(near(balance.dry_matter.in_lots.kilograms(), lots, 1e-9));
        prop_assert!(near(balance.dry_matter.fed.kilograms(), laid + started, 1e-9));
        prop_assert!(near(balance.dry_matter.in_bed.kilograms(), forecast.end.uneaten_feed.plus(forecast.end.castings).kilograms(), 1e-9)
            || balance.dry_matter.in_bed.kilograms() < 1e-6);
        let (ash, running) = (bed.feed.ash.fraction(), bed.running.unwrap_or(Running { uneaten_feed: weighing(0.0), castings: weighing(0.0), layers_laid: 0, eaten_on: None }));
        let unmade = laid + running.uneaten_feed.kilograms();
        let in_all = ash * unmade + ash / (ash + (1.0 - ash) * 0.5) * running.castings.kilograms();
        prop_assert!(near(balance.ash.fed.kilograms(), in_all, 1e-9) && balance.ash.lost.kilograms() == 0.0);
        let water_in: f64 = forecast.water.iter()
            .map(|p| p.to_add.likely().litres() + p.with_feed.litres() + p.water_from_decomposition.litres()).sum();
        let held = 3.0 * started;
        prop_assert!(near(balance.water.fed.kilograms(), water_in + held, 1e-9));
    }

    /// Dates are in order, bounds hold the likely value, no layer passes the greatest depth.
    #[test]
    fn dates_and_bounds_are_in_order(bed in beds_in_any_phase(), climate in climate()) {
        let last = later(bed.start_on, 900);
        let forecast = found(&bed, &climate, &last.to_string());
        for lot in &forecast.lots {
            prop_assert!(lot.eaten_on <= lot.finished_on && lot.finished_on <= lot.ready.likely);
            prop_assert!(lot.ready.earliest <= lot.ready.likely && lot.ready.likely <= last);
            prop_assert!(lot.ready.latest.is_none_or(|latest| latest >= lot.ready.likely && latest <= last));
        }
        prop_assert!(forecast.lots.windows(2).all(|w| w[0].ready.likely <= w[1].ready.likely));
        prop_assert!(forecast.layers.windows(2).all(|w| w[0].on <= w[1].on));
        prop_assert!(forecast.water.windows(2).all(|w| w[0].to <= w[1].from));
        for layer in &forecast.layers {
            prop_assert!(layer.on >= bed.start_on && layer.on <= last);
            prop_assert!(layer.bed_depth.metres() <= 0.45 * (1.0 + 1e-6), "{:?}", layer);
            prop_assert!(layer.eaten_on.is_none_or(|worked| worked >= layer.on));
        }
    }

    #[test]
    fn more_worms_are_never_later(bed in beds_in_any_phase(), climate in climate(), more in 1.0_f64..4.0) {
        let until = later(bed.start_on, 900).to_string();
        let few = ready(&found(&bed, &climate, &until));
        let many = Bed { worms: bed.worms.map(|w| w.times(more)), ..bed };
        prop_assert!(never_later(&ready(&found(&many, &climate, &until)), &few));
    }

    /// How early the next layer is laid moves no harvest date, nor does water on the feed.
    #[test]
    fn the_next_layer_share_and_watering_move_no_harvest_date(bed in beds_in_any_phase(), climate in climate(), left in 0.0_f64..1.0, wet in 0.0_f64..0.9) {
        let until = later(bed.start_on, 900).to_string();
        let reference = found(&bed, &climate, &until);
        let dates = |f: &Forecast| f.lots.iter().map(|lot| lot.ready).collect::<Vec<_>>();
        let early = reported(&bed, &climate, &until, &known(&[(Assumption::NextLayerAt, left)])).unwrap();
        prop_assert_eq!(dates(&early), dates(&reference));
        let watered = Bed { feed: Feed { moisture: share(wet), ..bed.feed.clone() }, ..bed };
        prop_assert_eq!(dates(&found(&watered, &climate, &until)), dates(&reference));
    }

    #[test]
    fn in_a_constant_climate_a_later_start_shifts_everything(bed in beds_in_any_phase(), t in 5.0_f64..31.0, shift in 0_u64..400) {
        let bed = match bed.feed.supply { Supply::OnDates(_) => Bed { feed: Feed { supply: Supply::AsNeeded, ..bed.feed }, ..bed }, _ => bed };
        let until = later(bed.start_on, 700);
        let first = found(&bed, &fixed(t), &until.to_string());
        let running = bed.running.map(|of| Running { eaten_on: of.eaten_on.map(|on| later(on, shift)), ..of });
        let moved = Bed { start_on: later(bed.start_on, shift), running, ..bed };
        let second = found(&moved, &fixed(t), &later(until, shift).to_string());
        let lots = |f: &Forecast, by: u64| f.lots.iter()
            .map(|l| (later(l.ready.likely, by), l.ready.latest.map(|d| later(d, by)), later(l.ready.earliest, by))).collect::<Vec<_>>();
        let layers = |f: &Forecast, by: u64| f.layers.iter().map(|l| later(l.on, by)).collect::<Vec<_>>();
        prop_assert_eq!(lots(&first, shift), lots(&second, 0));
        prop_assert_eq!(layers(&first, shift), layers(&second, 0));
    }

    /// The clock goes from the first day asked for: one clock for many beds tells what one for each tells.
    #[test]
    fn shared_clocks_tell_the_same(bed in beds_in_any_phase(), climate in climate()) {
        let none = Overrides::default();
        let until = later(bed.start_on, 800);
        let own = found(&bed, &climate, &until.to_string());
        if !matches!(climate, Climate::Daily { .. }) {
            let clocks = with(&none, |k| Clocks::new(&climate, (on("2026-06-01"), until), k)).unwrap();
            let shared = with(&none, |k| forecast_on(&bed, &clocks, k, Off)).unwrap();
            prop_assert_eq!(ready(&own), ready(&shared));
            prop_assert_eq!(own.stopped, shared.stopped);
        }
    }

    /// Feet, pounds and Fahrenheit give the same bed.
    #[test]
    fn any_units_give_the_same_answer(area in 1.0_f64..8.0, worms in 0.5_f64..30.0, feed in 20.0_f64..300.0, t in 5.0_f64..31.0) {
        let base = |text: String, d: Dimension| read(&text, &[d], &Reader::default()).unwrap().base;
        let metric = Bed { area: square_metres(area), worms: Some(weighing(worms)), ..bed(Supply::AllAtOnce(weighing(feed))) };
        let us = Bed {
            area: square_metres(base(format!("{} ft2", area / 0.09290304), Dimension::Area)),
            worms: Some(weighing(base(format!("{} lb", worms / 0.45359237), Dimension::Mass))),
            ..bed(Supply::AllAtOnce(weighing(base(format!("{} lb", feed / 0.45359237), Dimension::Mass))))
        };
        let fahrenheit = base(format!("{} F", t * 1.8 + 32.0), Dimension::Temperature);
        let (a, b) = (found(&metric, &fixed(t), "2029-12-31"), found(&us, &fixed(fahrenheit), "2029-12-31"));
        prop_assert_eq!(ready(&a), ready(&b));
        for (a, b) in a.lots.iter().zip(&b.lots) {
            prop_assert!(near(a.yields.castings.likely().litres(), b.yields.castings.likely().litres(), 1e-9));
        }
    }

    /// A bed that is looked at while its castings finish goes on as it would have: the day on which all was eaten is a morning, so
    /// that at most one warm day is lost. What dries already is harvested and dried anew.
    #[test]
    fn castings_go_on_finishing_from_any_day(bed in beds_in_any_phase(), climate in climate(), nth in 0_u64..1_000) {
        let whole = found(&bed, &climate, &later(bed.start_on, 900).to_string());
        let Some(lot) = whole.lots.first() else { return Ok(()) };
        let from = lot.eaten_on.max(bed.start_on);
        let days = lot.ready.likely.signed_duration_since(from).num_days();
        let last = later(from, nth % u64::try_from(days - 1).unwrap());
        let cut = found(&bed, &climate, &last.to_string()).end;
        prop_assert!(matches!(cut.phase, Phase::Finishing | Phase::Drying), "{:?}", cut.phase);
        prop_assert_eq!(cut.uneaten_feed.likely().kilograms(), 0.0);
        let eaten_on = cut.moist.unwrap().eaten_on;
        prop_assert_eq!(eaten_on, Some(lot.eaten_on));
        let running = Running { uneaten_feed: weighing(0.0), castings: cut.castings, layers_laid: 0, eaten_on };
        let rest = Bed { running: Some(running), start_on: cut.on, ..bed.clone() };
        let rest = found(&rest, &climate, &later(bed.start_on, 900).to_string());
        let Some(again) = rest.lots.first() else { return Ok(()) };
        prop_assert_eq!(again.eaten_on, lot.eaten_on);
        let none = Overrides::default();
        let span = (bed.first_day(), later(bed.start_on, 900));
        let clocks = with(&none, |known| Clocks::new(&climate, span, known)).unwrap();
        let in_all = |on| clocks.warm_days(bed.first_day(), on);
        // Both days are mornings.
        let later = in_all(again.finished_on) - in_all(lot.finished_on.max(cut.on));
        prop_assert!((0.0..=2.0).contains(&later), "{} warm days", later);
        prop_assert!(again.ready.likely >= lot.ready.likely);
        prop_assert!(near(again.yields.dry_matter.likely().kilograms(), lot.yields.dry_matter.likely().kilograms(), 1e-9));
    }

    #[test]
    fn no_value_stops_a_forecast(
        values in prop::collection::vec((prop::sample::select(Assumption::ALL.to_vec()),
            prop::sample::select(vec![0.0, 1e-6, 1e-3, 0.1, 0.5, 0.95, 1.0, 4.0, 30.0, 100.0, 3000.0, 8e4, 1e5])), 0..6),
        numbers in prop::array::uniform4(prop::sample::select(vec![0.0, -1.0, 5e-324, 1e-6, 1.0, 1e5, 1e12, 1e308, f64::INFINITY, f64::NAN])),
        climate in climate(),
    ) {
        let mut request = Overrides::default();
        for (assumption, value) in values {
            let _refused = request.set(assumption, barrowful::garden::assumptions::Span::exactly(value));
        }
        let [area, worms, uneaten_feed, feed] = numbers;
        let bed = Bed {
            area: square_metres(area), worms: Some(weighing(worms)),
            running: Some(Running { uneaten_feed: weighing(uneaten_feed), castings: weighing(uneaten_feed), layers_laid: 0, eaten_on: None }), ..bed(Supply::AllAtOnce(weighing(feed)))
        };
        if let Ok(f) = reported(&bed, &climate, "2029-03-31", &request) {
            for lot in &f.lots {
                prop_assert!(lot.yields.castings.likely().litres().is_finite());
            }
            prop_assert!(f.end.worms.kilograms().is_finite());
        }
    }
}

/// A bed stepped through the days by Runge-Kutta, without any closed form: one cycle after another, layers as they fit and come.
/// Tells the mornings on which lots are ready.
fn stepped(bed: &Bed, warmth: &[f64], layers: &[(u32, f64, f64)]) -> Vec<f64> {
    const STEPS: u32 = 200;
    let (k, r, f) = (6.0 * bed.area.square_metres(), std::f64::consts::LN_2 / 75.0, 0.15);
    let h = 1.0 / f64::from(STEPS);
    let mut worms = bed.worms.unwrap().kilograms();
    let (mut ready, mut start) = (Vec::new(), 0.0);
    for cycle in 1.. {
        let mut feed = layers
            .iter()
            .filter(|(c, ..)| *c == cycle)
            .map(|(_, dry, come)| (*dry, *come))
            .collect::<Vec<_>>()
            .into_iter();
        let Some(mut layer) = feed.next() else { return ready };
        let (mut time, mut finishing, mut eating) = (start, 28.0, true);
        loop {
            if time >= f64::from(u32::try_from(warmth.len()).unwrap()) - h {
                return ready;
            }
            let g = warmth.iter().zip(1_u32..).find(|(_, day)| f64::from(*day) > time + h / 2.0).unwrap().0;
            if eating && layer.1 <= time + h / 2.0 {
                let slope = |b: f64| g * r * b * (1.0 - b / k);
                let b1 = slope(worms);
                let b2 = slope(worms + h / 2.0 * b1);
                let b3 = slope(worms + h / 2.0 * b2);
                let b4 = slope(worms + h * b3);
                let next = worms + h / 6.0 * (b1 + 2.0 * b2 + 2.0 * b3 + b4);
                layer.0 -= g * f * h * (worms + next) / 2.0;
                worms = next;
                if layer.0 <= 0.0 {
                    match feed.next() {
                        Some((dry, come)) => layer = (dry + layer.0, come),
                        None => eating = false,
                    }
                }
            } else if !eating {
                finishing -= g * h;
                if finishing <= 1e-9 {
                    break;
                }
            }
            time += h;
        }
        start = (time + h - 1e-6).ceil() + 7.0;
        worms *= 0.9;
        ready.push(start);
    }
    ready
}

/// Dates of the closed form against the bed stepped through, over several cycles, climates and deliveries.
#[test]
fn a_bed_stepped_through_the_days_gives_the_same_dates() {
    let none = Overrides::default();
    let first = on("2027-01-01");
    let deliveries = Supply::OnDates(
        (0..6).map(|i| Delivery { on: later(first, 20 + i * 75), dry_matter: weighing(50.0) }).collect(),
    );
    for climate in climates() {
        let days = climate.days(first, later(first, 1_094)).unwrap();
        let clocks = with(&none, |k| Clocks::new(&climate, (first, later(first, 1_094)), k)).unwrap();
        let warmth: Vec<f64> = (0..1_095).map(|d| clocks.warm_days(later(first, d), later(first, d + 1))).collect();
        // The clock counts as the band does (T0 4, T1 18, T2 25, T3 32).
        for (t, g) in days.iter().zip(&warmth) {
            let band = ((t - 4.0) / 14.0).min((32.0 - t) / 7.0).clamp(0.0, 1.0);
            assert!((band - g).abs() < 1e-9);
        }
        for (supply, layers) in [
            // 2.6 m2 x 12 and 8 cm x 130 kg/m3 = 40.56 and 27.04 kg; two layers a cycle.
            (Supply::AsNeeded, (1..8).flat_map(|c| [(c, 40.56, 0.0), (c, 27.04, 0.0)]).collect::<Vec<_>>()),
            // Sums 40.56, 67.6, 108.16, 135.2, 175.76, 202.8, 243.36, 270.4, 300 of 50 on days 20, 95, 170, 245, 320, 395.
            (
                deliveries.clone(),
                vec![
                    (1, 40.56, 20.0),
                    (1, 27.04, 95.0),
                    (2, 40.56, 170.0),
                    (2, 27.04, 170.0),
                    (3, 40.56, 245.0),
                    (3, 27.04, 320.0),
                    (4, 40.56, 320.0),
                    (4, 27.04, 395.0),
                    (5, 29.6, 395.0),
                ],
            ),
        ] {
            let bed = Bed {
                area: square_metres(2.6),
                worms: Some(weighing(3.0)),
                start_on: first,
                layers_per_cycle: Some(2),
                ..bed(supply)
            };
            let forecast = with(&none, |k| forecast_on(&bed, &clocks, k, Off)).unwrap();
            let stepped = stepped(&bed, &warmth, &layers);
            assert!(forecast.lots.len() >= 2);
            for (lot, stepped) in forecast.lots.iter().zip(stepped) {
                let days = lot.ready.likely.signed_duration_since(first).num_days();
                let off = f64::from(i32::try_from(days).unwrap()) - stepped;
                // A step may carry an end over a morning, and then the next cycle too.
                assert!(off.abs() <= 1.0, "cycle {}: {days} is not {stepped}", lot.cycle);
            }
        }
    }
}
