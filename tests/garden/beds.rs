//! Beds over time: the worked bed, layers, depth, feed on dates, running beds, deadly days.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

pub mod laws;
mod pace;
mod yields;

use crate::support::{assert_near, known, near, on, with};
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::beds::{
    Bed, Climate, Clocks, Closed, Deadly, Delivery, Feed, Forecast, ForecastBatch, MAX_LAYERS_TOGETHER, Pace, Phase,
    Running, Supply, forecast_on,
};
use barrowful::garden::cautions::Rule;
use barrowful::garden::figures::Off;
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::quantity::{OfArea, OfMass, OfShare};
use barrowful::garden::units::{Area, Duration, Estimate, FeedRate, Mass, Share, Temperature, TemperatureDifference};
use chrono::NaiveDate;

pub fn kg(x: f64) -> Mass {
    Mass::from_kilograms(x)
}

pub fn weighing(x: f64) -> Estimate<OfMass> {
    kg(x).into()
}

pub fn share(x: f64) -> Estimate<OfShare> {
    Share::from_fraction(x).into()
}

pub fn square_metres(x: f64) -> Estimate<OfArea> {
    Area::from_square_metres(x).into()
}

pub fn fixed(t: f64) -> Climate {
    Climate::Fixed(Temperature::from_celsius(t))
}

pub fn months(means: [f64; 12], offset: f64) -> Climate {
    Climate::MonthlyMeans {
        means: means.map(Temperature::from_celsius),
        offset: TemperatureDifference::from_kelvins(offset),
    }
}

/// A bed of 4 m2 fed three layers from what is there.
pub fn bed(supply: Supply) -> Bed {
    Bed {
        area: square_metres(4.0),
        worms: Some(weighing(6.4)),
        running: None,
        start_on: on("2027-04-01"),
        feed: Feed {
            moisture: share(0.7),
            ash: share(0.15),
            nitrogen: Some(share(0.018)),
            supply,
            cautions: Vec::new(),
            assumed: Vec::new(),
        },
        layers_per_cycle: Some(3),
        cycles: None,
    }
}

pub fn reported(bed: &Bed, climate: &Climate, until: &str, request: &Overrides) -> Result<Forecast, Refusal> {
    with(request, |known| {
        let clocks = Clocks::new(climate, (bed.first_day(), on(until)), known)?;
        forecast_on(bed, &clocks, known, Off)
    })
}

pub fn found(bed: &Bed, climate: &Climate, until: &str) -> Forecast {
    reported(bed, climate, until, &Overrides::default()).unwrap()
}

/// Without a number of layers a bed has the usual ones, which are listed; a number said takes their place.
#[test]
fn a_bed_has_the_usual_layers_unless_their_number_is_given() {
    let listed = |forecast: &Forecast| forecast.assumed.iter().any(|a| a.assumption == Assumption::LayersPerCycle);
    let of = |layers, request: &Overrides| {
        let bed = Bed { layers_per_cycle: layers, ..bed(Supply::AsNeeded) };
        reported(&bed, &fixed(20.0), "2027-12-31", request).unwrap()
    };
    let none = Overrides::default();
    let [_, usual, _] = Assumption::LayersPerCycle.definition().default.unwrap();
    assert_eq!(usual, 3.0);
    let (said, unsaid) = (of(Some(3), &none), of(None, &none));
    assert!(listed(&unsaid) && !listed(&said));
    assert_eq!((&unsaid.layers, &unsaid.lots), (&said.layers, &said.lots));
    let five = known(&[(Assumption::LayersPerCycle, 5.0)]);
    assert_eq!((of(None, &five).lots, of(Some(3), &five).lots), (of(Some(5), &none).lots, said.lots));
}

/// The worked bed: carrying 5 kg/m2, doubling 75, stocking 1.6, ash 15 %, loss 40 %, sieve 80 %, finishing 28: 200 L of sieved
/// castings in 120 warm days need 113.6 kg of dry feed on 3.92 m2 with 6.3 kg of worms.
#[test]
fn the_worked_bed_gives_200_litres_in_120_warm_days() {
    let request = known(&[
        (Assumption::CarryingCapacity, 5.0),
        (Assumption::StockingDensity, 1.6),
        (Assumption::OrganicMatterLoss, 0.4),
    ]);
    let pace = Pace::new(kg(1.6), kg(5.0), Duration::from_hours(75.0 * 24.0), FeedRate::from_per_day(0.15));
    let area = 113.63636363636364 / pace.worked_after(92.0).kilograms();
    assert!((area - 3.92).abs() < 5e-3, "{area}");
    let worked = Bed {
        area: square_metres(area),
        worms: None,
        layers_per_cycle: Some(10),
        ..bed(Supply::AllAtOnce(weighing(113.63636363636364)))
    };
    let forecast = reported(&worked, &fixed(20.0), "2027-12-31", &request).unwrap();
    let lot = &forecast.lots[0];
    assert_near(lot.yields.castings.likely().litres(), 200.0, 1e-9);
    assert_near(lot.feed.kilograms() / area, 29.0, 2e-3);
    assert_near(forecast.worms[0].mass.likely().kilograms(), 6.3, 5e-3);
    let days = |to: NaiveDate| to.signed_duration_since(worked.start_on).num_days();
    assert_eq!((days(lot.eaten_on), days(lot.finished_on), days(lot.ready.likely)), (92, 120, 127));
    assert!(lot.ready.earliest < lot.ready.likely);
    assert_eq!(lot.closed, Closed::NoMoreFeed);
    // 12 cm, 8 cm, then the rest: 15.6, 10.4 and 3.0 kg/m2 of 130 kg/m3.
    let depths: Vec<f64> = forecast.layers.iter().map(|l| (l.depth.metres() * 1000.0).round()).collect();
    assert_eq!(depths, [120.0, 80.0, 23.0]);
    assert_eq!(forecast.end.phase, Phase::Done);
    assert_eq!(forecast.stopped, None);
    // Once all is eaten, nothing comes until the end.
    assert_eq!(forecast.cautions, [Rule::WormsUnfed]);
}

/// A slow end and a quick end: the date by a separate forecast with all values at that end.
#[test]
fn bounds_of_dates_are_forecasts_at_the_ends_of_the_assumptions() {
    let bed = bed(Supply::AllAtOnce(weighing(60.0)));
    let climate = months([3.0, 4.0, 7.0, 11.0, 15.0, 18.0, 20.0, 20.0, 16.0, 12.0, 7.0, 4.0], 4.0);
    let forecast = found(&bed, &climate, "2028-12-31");
    let ready = forecast.lots[0].ready;
    use Assumption::*;
    let of = [
        CarryingCapacity,
        FeedRate,
        Finishing,
        Drying,
        DoublingTime,
        Recovered,
        StoppedBelow,
        ComfortLow,
        ComfortHigh,
        StoppedAbove,
    ];
    let at = |rising: usize| {
        let end = |a: Assumption| {
            let falls = matches!(a, Finishing | Drying | DoublingTime | StoppedBelow | ComfortLow);
            (a, a.definition().default.unwrap()[if falls { 2 - rising } else { rising }])
        };
        reported(&bed, &climate, "2028-12-31", &known(&of.map(end))).unwrap().lots[0].ready.likely
    };
    assert_eq!((Some(at(0)), at(1), at(2)), (ready.latest, ready.likely, ready.earliest));
}

#[test]
fn more_feed_in_one_cycle_is_a_later_lot() {
    let ready = |layers: u32| {
        let bed = Bed { layers_per_cycle: Some(layers), ..bed(Supply::AsNeeded) };
        found(&bed, &fixed(20.0), "2028-12-31").lots[0].ready.likely
    };
    assert!(ready(1) < ready(2) && ready(2) < ready(3));
}

#[test]
fn no_layer_passes_the_greatest_depth_and_the_rest_is_first_in_line() {
    let bed = Bed { layers_per_cycle: Some(50), ..bed(Supply::AllAtOnce(weighing(1_000.0))) };
    let forecast = found(&bed, &fixed(22.0), "2030-12-31");
    assert!(forecast.cautions.contains(&Rule::DepthReached));
    assert_eq!(forecast.lots.len(), 2);
    assert_eq!(forecast.lots[0].closed, Closed::Depth);
    for layer in &forecast.layers {
        assert!(layer.bed_depth.metres() <= 0.45 + 1e-9, "{layer:?}");
    }
    // The first layer of each cycle is the thick one.
    let first_of = |cycle: u32| forecast.layers.iter().find(|l| l.cycle == cycle).unwrap();
    assert_near(first_of(2).depth.metres(), 0.12, 1e-12);
    assert!(first_of(2).on >= forecast.lots[0].ready.likely);
    // All the feed is laid, no more.
    let laid: f64 = forecast.layers.iter().map(|l| l.dry_matter.kilograms()).sum();
    assert!(near(laid + forecast.end.feed_left.unwrap().kilograms(), 1_000.0, 1e-9));
}

#[test]
fn feed_on_dates_is_laid_when_enough_has_come_and_an_empty_bed_rests() {
    let deliveries =
        ["2027-08-01", "2027-04-01", "2027-04-11"].map(|day| Delivery { on: on(day), dry_matter: weighing(31.2) });
    let forecast = found(&bed(Supply::OnDates(deliveries.to_vec())), &fixed(20.0), "2028-03-31");
    // The first layer takes 4 m2 x 12 cm x 130 kg/m3 = 62.4 kg: both April deliveries.
    assert_eq!(forecast.layers[0].on, on("2027-04-11"));
    assert_near(forecast.layers[0].dry_matter.kilograms(), 62.4, 1e-9);
    assert_eq!(forecast.layers[1].on, on("2027-08-01"));
    assert_near(forecast.layers[1].dry_matter.kilograms(), 31.2, 1e-9);
    assert!(forecast.layers[0].eaten_on.unwrap() < on("2027-08-01"));
    assert!(forecast.cautions.contains(&Rule::BedEmpty));
    // Nothing changes meanwhile: the second layer takes as long as if it had been there at once.
    let at_once = found(&bed(Supply::AllAtOnce(weighing(93.6))), &fixed(20.0), "2028-03-31");
    let took = |f: &Forecast, from: NaiveDate| f.layers[1].eaten_on.unwrap().signed_duration_since(from).num_days();
    let began = at_once.layers[0].eaten_on.unwrap();
    assert!((took(&forecast, on("2027-08-01")) - took(&at_once, began)).abs() <= 1);
}

/// Between two deliveries, before the first, or once all is eaten: the longest of these counts. Eight weeks without feed are common
/// practice, no source.
#[test]
fn worms_without_feed_for_long_are_reported_with_their_days() {
    let fed_on = |days: &[&str], until: &str| {
        let deliveries = days.iter().map(|day| Delivery { on: on(day), dry_matter: weighing(62.4) }).collect();
        found(&bed(Supply::OnDates(deliveries)), &fixed(20.0), until)
    };
    let gap = fed_on(&["2027-04-01", "2027-11-01"], "2027-12-31");
    let unfed = gap.unfed.unwrap();
    assert_eq!((unfed.start_on, unfed.end_on), (gap.layers[0].eaten_on.unwrap(), on("2027-11-01")));
    let days = (unfed.end_on - unfed.start_on).num_days();
    assert!(days > 56 && gap.cautions.contains(&Rule::WormsUnfed));
    assert_near(unfed.warm_days, f64::from(i32::try_from(days).unwrap()), 1e-9);
    let late = fed_on(&["2027-07-01"], "2027-08-01").unfed.unwrap();
    assert_eq!((late.start_on, late.end_on), (on("2027-04-01"), on("2027-07-01")));
    let once = fed_on(&["2027-04-01"], "2027-12-31");
    let unfed = once.unfed.unwrap();
    assert_eq!(unfed.end_on, on("2027-12-31"));
    // While castings finish, nobody is to be fed.
    assert!(unfed.start_on > once.layers.last().unwrap().eaten_on.unwrap());
    let steady = fed_on(&["2027-04-01", "2027-06-01"], "2027-07-15");
    assert!(steady.unfed.is_none() && !steady.cautions.contains(&Rule::WormsUnfed));
    // The next feed of the cycle comes after the last day.
    let waiting = fed_on(&["2027-04-01", "2027-12-20"], "2027-12-01");
    assert_eq!((waiting.end.phase, waiting.unfed.map(|unfed| unfed.end_on)), (Phase::Waiting, Some(on("2027-12-01"))));
    // Castings that are there have to finish first: 28 warm days, then 56 and more without feed.
    let running =
        Some(Running { uneaten_feed: weighing(0.0), castings: weighing(50.0), layers_laid: 0, eaten_on: None });
    let only = |until| found(&Bed { running, ..bed(Supply::OnDates(vec![])) }, &fixed(20.0), until).unfed;
    assert_eq!(only("2027-06-23"), None);
    assert_eq!(only("2027-06-26").map(|unfed| unfed.start_on), Some(on("2027-04-29")));
    // In the cold they eat nothing anyway.
    let deliveries = vec![Delivery { on: on("2027-12-01"), dry_matter: weighing(62.4) }];
    assert!(found(&bed(Supply::OnDates(deliveries)), &fixed(3.0), "2027-12-31").unfed.is_none());
}

#[test]
fn a_running_bed_goes_on_from_what_lies_in_it() {
    let running =
        Some(Running { uneaten_feed: weighing(20.0), castings: weighing(50.0), layers_laid: 0, eaten_on: None });
    let none_more = Bed { running, ..bed(Supply::OnDates(vec![])) };
    let forecast = found(&none_more, &fixed(20.0), "2027-12-31");
    let lot = &forecast.lots[0];
    // Half of the organic matter is lost: 0.15 + 0.85 x 0.5.
    assert_near(lot.yields.dry_matter.likely().kilograms(), 50.0 + 20.0 * 0.575, 1e-9);
    assert!(forecast.layers.is_empty());
    let fed = Bed { running, ..bed(Supply::AllAtOnce(weighing(40.0))) };
    let more = found(&fed, &fixed(20.0), "2027-12-31");
    assert!(more.lots[0].ready.likely > lot.ready.likely);
    assert_near(more.lots[0].yields.dry_matter.likely().kilograms(), 50.0 + 60.0 * 0.575, 1e-9);
    // Castings alone have only to finish.
    let castings =
        Some(Running { uneaten_feed: weighing(0.0), castings: weighing(50.0), layers_laid: 0, eaten_on: None });
    let only = found(&Bed { running: castings, ..bed(Supply::OnDates(vec![])) }, &fixed(20.0), "2027-12-31");
    assert_eq!(only.lots[0].ready.likely, on("2027-05-06"));
    // They have done so since all was eaten, 28 warm days in all, and are harvested when they are looked at at the earliest; 7 days of drying.
    for (degrees, eaten, finished, ready) in [
        (20.0, "2027-03-22", "2027-04-19", "2027-04-26"),
        (20.0, "2027-04-01", "2027-04-29", "2027-05-06"),
        (20.0, "2026-12-24", "2027-04-01", "2027-04-08"),
        // Each day counts half.
        (11.0, "2027-03-12", "2027-05-07", "2027-05-14"),
    ] {
        let running = castings.map(|running| Running { eaten_on: Some(on(eaten)), ..running });
        // No more layers come before the harvest.
        for supply in [Supply::OnDates(vec![]), Supply::AsNeeded] {
            let forecast = found(&Bed { running, ..bed(supply) }, &fixed(degrees), "2027-12-31");
            let lot = &forecast.lots[0];
            assert_eq!((lot.eaten_on, lot.finished_on, lot.ready.likely), (on(eaten), on(finished), on(ready)));
            assert_near(lot.yields.dry_matter.likely().kilograms(), 50.0, 1e-9);
            assert!(forecast.layers.iter().all(|layer| layer.on >= on(ready)), "{eaten}");
        }
    }
    // Nothing at all: nothing comes of it.
    let nothing = found(&bed(Supply::OnDates(vec![])), &fixed(20.0), "2027-12-31");
    assert!(nothing.lots.is_empty() && nothing.end.phase == Phase::Done);
}

#[test]
fn the_next_cycle_starts_with_the_worms_got_back() {
    let forecast = found(&bed(Supply::AsNeeded), &fixed(20.0), "2029-03-31");
    assert!(forecast.lots.len() >= 2);
    let last = forecast.worms.iter().rfind(|w| w.on <= forecast.lots[0].finished_on).unwrap();
    let next = forecast.worms.iter().find(|w| w.on >= forecast.lots[0].ready.likely).unwrap();
    assert_near(next.mass.likely().kilograms(), 0.9 * last.mass.likely().kilograms(), 1e-12);
    assert_eq!(next.on, forecast.lots[0].ready.likely);
    let once = Bed { cycles: Some(1), ..bed(Supply::AsNeeded) };
    assert_eq!(found(&once, &fixed(20.0), "2029-03-31").lots.len(), 1);
}

#[test]
fn the_forecast_stops_on_the_deadly_day_and_says_why() {
    let cold = months([-4.0, -3.0, 1.0, 7.0, 13.0, 16.0, 18.0, 18.0, 13.0, 8.0, 2.0, -2.0], 1.0);
    let forecast = found(&bed(Supply::AsNeeded), &cold, "2028-06-30");
    let stopped = forecast.stopped.unwrap();
    assert_eq!(stopped.why, Deadly::Frost);
    assert!(stopped.on > on("2027-11-15") && stopped.on < on("2028-01-15"), "{stopped:?}");
    assert!(forecast.cautions.contains(&Rule::BedFrost));
    assert_eq!(forecast.end.on, stopped.on);
    assert!(forecast.layers.iter().all(|l| l.on <= stopped.on));
    assert!(forecast.lots.iter().all(|l| l.finished_on <= stopped.on));
    for (t, why) in [(0.0, Some(Deadly::Frost)), (0.1, None), (34.9, None), (35.0, Some(Deadly::Heat))] {
        let forecast = found(&bed(Supply::AsNeeded), &fixed(t), "2027-06-30");
        assert_eq!(forecast.stopped.map(|s| (s.on, s.why)), why.map(|why| (on("2027-04-01"), why)));
        assert_eq!(forecast.lots.len(), 0);
    }
    let hot = months([10.0, 12.0, 15.0, 18.0, 22.0, 26.0, 29.0, 29.0, 25.0, 20.0, 14.0, 11.0], 1.0);
    let forecast = found(&bed(Supply::AsNeeded), &hot, "2027-12-31");
    assert!(forecast.cautions.contains(&Rule::HiddenHeat) && forecast.stopped.is_none());
}

#[test]
fn the_end_tells_what_the_bed_is_doing() {
    let bed = bed(Supply::AllAtOnce(weighing(60.0)));
    let whole = found(&bed, &fixed(20.0), "2027-12-31");
    let lot = &whole.lots[0];
    for (until, phase) in [
        (lot.eaten_on.pred_opt().unwrap().pred_opt().unwrap(), Phase::Working),
        (lot.eaten_on, Phase::Finishing),
        (lot.finished_on, Phase::Drying),
        (lot.ready.likely.pred_opt().unwrap(), Phase::Drying),
        (lot.ready.likely, Phase::Done),
    ] {
        let cut = found(&bed, &fixed(20.0), &until.to_string());
        assert_eq!(cut.end.phase, phase, "{until}");
        assert_eq!(cut.lots.len(), usize::from(phase == Phase::Done));
    }
    let waits = Bed {
        feed: Feed {
            supply: Supply::OnDates(vec![Delivery { on: on("2028-02-01"), dry_matter: weighing(90.0) }]),
            ..bed.feed.clone()
        },
        ..bed
    };
    let cut = found(&waits, &fixed(20.0), "2027-12-31");
    assert_eq!((cut.end.phase, cut.layers.len()), (Phase::Waiting, 0));
    assert_near(cut.end.feed_left.unwrap().kilograms(), 90.0, 1e-12);
}

/// Water by hand: 4 m2 at 1 mm a day, moist at 75 %, feed at 70 %, half of the organic matter lost.
#[test]
fn water_is_evaporation_and_held_water_less_what_comes_by_itself() {
    let bed = Bed { layers_per_cycle: Some(1), cycles: Some(1), ..bed(Supply::AllAtOnce(weighing(60.0))) };
    let forecast = found(&bed, &fixed(20.0), "2027-12-31");
    assert_eq!(forecast.water.len(), 1);
    let period = &forecast.water[0];
    let lost = 60.0 * 0.85 * 0.5;
    assert_near(period.water_from_decomposition.litres(), 0.55 * lost, 1e-9);
    assert_near(period.with_feed.litres(), 60.0 * 0.7 / 0.3, 1e-9);
    assert_near(period.held_change.litres(), (60.0 - lost) * 3.0, 1e-9);
    let needed = period.evaporated.litres() + period.held_change.litres()
        - period.water_from_decomposition.litres()
        - period.with_feed.litres();
    assert_near(period.to_add.likely().litres(), needed, 1e-9);
    assert!(period.to_add.low() <= period.to_add.likely() && period.to_add.likely() <= period.to_add.high());
    // Feed as wet as it gets drains.
    let wet = Feed { moisture: share(0.9), ..bed.feed.clone() };
    let wet = found(&Bed { feed: wet, ..bed }, &fixed(20.0), "2027-12-31");
    assert_eq!(wet.water[0].to_add.likely().litres(), 0.0);
    assert!(wet.water[0].to_drain.likely().litres() > 0.0);
}

#[test]
fn what_cannot_be_is_refused_and_what_is_unwise_is_a_caution() {
    let none = Overrides::default();
    let base = bed(Supply::AllAtOnce(weighing(60.0)));
    let refused =
        |bed: &Bed, until: &str, request: &Overrides| reported(bed, &fixed(20.0), until, request).unwrap_err();
    let late = refused(&base, "2027-03-31", &none);
    assert_eq!((late.reason, late.field), (Reason::DatesOutOfOrder, Some("start_on")));
    for bed in [
        Bed { area: square_metres(0.0), ..base.clone() },
        Bed { worms: Some(weighing(0.0)), ..base.clone() },
        Bed { worms: Some(weighing(f64::NAN)), ..base.clone() },
        Bed { layers_per_cycle: Some(0), ..base.clone() },
        Bed { cycles: Some(0), ..base.clone() },
        Bed {
            running: Some(Running {
                uneaten_feed: weighing(-1.0),
                castings: weighing(0.0),
                layers_laid: 0,
                eaten_on: None,
            }),
            ..base.clone()
        },
        bed(Supply::AllAtOnce(weighing(0.0))),
        bed(Supply::OnDates(vec![Delivery { on: on("2027-04-01"), dry_matter: weighing(f64::INFINITY) }])),
    ] {
        assert_eq!(refused(&bed, "2027-12-31", &none).reason, Reason::OutOfRange, "{bed:?}");
    }
    let eaten = |on: NaiveDate, uneaten_feed, castings| {
        let (uneaten_feed, castings) = (weighing(uneaten_feed), weighing(castings));
        Bed { running: Some(Running { uneaten_feed, castings, layers_laid: 0, eaten_on: Some(on) }), ..base.clone() }
    };
    for (bed, reason) in [
        (eaten(on("2027-04-02"), 0.0, 50.0), Reason::DatesOutOfOrder),
        (eaten(on("2025-03-30"), 0.0, 50.0), Reason::OutOfRange),
        (eaten(on("2027-03-20"), 5.0, 50.0), Reason::NotAllowedHere),
        (eaten(on("2027-03-20"), 0.0, 0.0), Reason::MissingField),
    ] {
        let refusal = refused(&bed, "2027-12-31", &none);
        assert_eq!((refusal.reason, refusal.field), (reason, Some("running")), "{bed:?}");
    }
    // Its temperatures reach back to that day.
    let finishing = eaten(on("2027-03-20"), 0.0, 50.0);
    let short = with(&none, |k| Clocks::new(&fixed(20.0), (on("2027-03-21"), on("2027-12-31")), k)).unwrap();
    let refusal = with(&none, |known| forecast_on(&finishing, &short, known, Off)).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::DatesOutOfOrder, Some("running")));
    let deep = refused(&base, "2027-12-31", &known(&[(Assumption::FirstLayer, 0.5)]));
    assert_eq!(deep.reason, Reason::InconsistentAssumptions);
    let thin = known(&[(Assumption::LaterLayer, 1e-5), (Assumption::FirstLayer, 1e-5)]);
    let many = Bed { layers_per_cycle: Some(u32::MAX), ..bed(Supply::AsNeeded) };
    assert_eq!(refused(&many, "2027-12-31", &thin).reason, Reason::TooLarge);
    let band = refused(&base, "2027-12-31", &known(&[(Assumption::ComfortLow, 30.0)]));
    assert_eq!(band.reason, Reason::InconsistentAssumptions);
    let crowded = Bed { worms: Some(weighing(25.0)), ..base.clone() };
    let forecast = found(&crowded, &fixed(20.0), "2027-12-31");
    assert_eq!(forecast.cautions, [Rule::WormsAboveCarrying, Rule::WormsUnfed]);
    assert!(forecast.worms.windows(2).all(|w| w[1].mass.likely() <= w[0].mass.likely()));
    let clocks = with(&none, |k| Clocks::new(&fixed(20.0), (on("2027-06-01"), on("2027-12-31")), k)).unwrap();
    let early = with(&none, |k| forecast_on(&base, &clocks, k, Off)).unwrap_err();
    assert_eq!(early.reason, Reason::DatesOutOfOrder);
}

#[test]
fn every_assumption_used_is_reported_once() {
    let forecast = found(&Bed { worms: None, ..bed(Supply::AsNeeded) }, &fixed(20.0), "2028-12-31");
    let mut ids: Vec<&str> = forecast.assumed.iter().map(|a| a.assumption.id()).collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!((all, ids.len()), (24, 24), "{ids:?}");
}

/// The forecasts of a request have 3,000 layers together; once they have more, none is made any more.
#[test]
fn forecasts_are_made_until_their_layers_are_too_many_together() {
    let thin = known(&[(Assumption::FirstLayer, 0.002), (Assumption::LaterLayer, 0.002)]);
    let many = Bed { layers_per_cycle: Some(40), ..bed(Supply::AsNeeded) };
    let make = || reported(&many, &fixed(20.0), "2029-03-31", &thin);
    let layers = make().unwrap().layers.len();
    assert!(layers > 300, "{layers}");
    let mut together = ForecastBatch::default();
    let fit = MAX_LAYERS_TOGETHER / layers;
    assert!((0..fit).all(|_| matches!(together.next(make), Some(Ok(forecast)) if forecast.layers.len() == layers)));
    let refused = together.next(make).unwrap().unwrap_err();
    assert_eq!((refused.reason, refused.field), (Reason::TooLarge, None));
    assert!(together.next(|| unreachable!("none is made")).is_none());
    // What is refused for another reason has no layers.
    let mut together = ForecastBatch::default();
    let early = || Err(Refusal::new(Reason::DatesOutOfOrder, "too early"));
    assert_eq!(together.next(early).unwrap().unwrap_err().reason, Reason::DatesOutOfOrder);
    assert!(together.next(make).unwrap().is_ok());
}
