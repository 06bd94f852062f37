//! A run is the forecast with the values that were drawn for it, whatever bed and weather.

use super::{exact, exact_but, ml};
use crate::beds::laws::{beds_in_any_phase, climate, later};
use crate::beds::{bed, fixed, months, square_metres, weighing};
use crate::support::{laws, on, span, with};
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::beds::{Bed, BedSimulator, Climate, ClockDrawn, Clocks, Needs, Supply, forecast_on};
use barrowful::garden::draws::{Run, Variable, Variables, normal, split_triangle};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Millilitres, Temperature};
use chrono::{Datelike, NaiveDate};
use proptest::prelude::*;

/// Lots by the forecast, and by the bed as drawn at the likely values: ready day and whole millilitres.
type Lots = Vec<(NaiveDate, Millilitres)>;

fn both_ways(bed: &Bed, climate: &Climate, until: NaiveDate, request: &Overrides) -> (Lots, Lots) {
    with(request, |k| {
        let clocks = Clocks::new(climate, (bed.first_day(), until), k).unwrap();
        let forecast = forecast_on(bed, &clocks, k, Off).unwrap();
        let reported = forecast.lots.iter().map(|l| (l.ready.likely, Millilitres::nearest(l.yields.castings.likely())));
        let simulator = BedSimulator::new(bed, &clocks, k, &mut Variables::default()).unwrap();
        let mut drawn = Vec::new();
        simulator.run(&Run::LIKELY, (&clocks, clocks.likely()), |cycle, outcome| {
            let litres = ml(outcome.litres);
            drawn.extend(outcome.ready.map(|day| (cycle, later(clocks.first(), day as u64), litres)));
        });
        assert!(drawn.iter().enumerate().all(|(i, (cycle, ..))| i == *cycle), "{drawn:?}");
        (reported.collect(), drawn.into_iter().map(|(_, day, amount)| (day, amount)).collect())
    })
}

/// A climate whose winters bring frost into the bed.
pub fn frosty() -> Climate {
    months([-6.0, -4.0, 3.0, 9.0, 14.0, 18.0, 20.0, 19.0, 14.0, 8.0, 2.0, -4.0], 3.0)
}

proptest! {
    #![proptest_config(laws(400))]

    /// A bed as drawn, at the likely values, is the forecast: on ranges as they are by default, and without any.
    #[test]
    fn a_bed_as_drawn_gives_the_lots_of_the_forecast(
        bed in beds_in_any_phase(),
        climate in prop_oneof![4 => climate(), 1 => Just(frosty())],
        days in 100_u64..1_500,
        cycles in prop::option::of(1_u32..4),
        own_worms in any::<bool>(),
    ) {
        let bed = Bed { cycles, worms: bed.worms.filter(|_| own_worms), ..bed };
        let until = later(bed.start_on, days);
        for request in [Overrides::default(), exact()] {
            let (reported, drawn) = both_ways(&bed, &climate, until, &request);
            prop_assert_eq!(reported, drawn);
        }
    }

    /// More worms than the bed carries die back, and quicker the quicker they would grow: the quick end is then not the
    /// earliest. No lot of the plan may be missing all the same.
    #[test]
    fn no_lot_is_missing_where_worms_are_too_many(
        area in 0.2_f64..2.0,
        worms in 20.0_f64..300.0,
        doubling in (10.0_f64..40.0, 100.0_f64..400.0),
        layers_per_cycle in 1_u32..6,
        days in 60_u64..700,
    ) {
        let bed = Bed {
            area: square_metres(area),
            worms: Some(weighing(worms)),
            layers_per_cycle: Some(layers_per_cycle),
            ..bed(Supply::AsNeeded)
        };
        let request = exact_but(&[(
            Assumption::DoublingTime,
            span(doubling.0 * 24.0, doubling.1 * 24.0, doubling.1 * 24.0),
        )]);
        let (reported, drawn) = both_ways(&bed, &fixed(20.0), later(bed.start_on, days), &request);
        prop_assert_eq!(reported, drawn);
    }
}

/// The values of the assumptions in one run.
fn values_in(variables: &Variables, (seed, run): (u64, usize), feed_as_planned: bool) -> Overrides {
    let mut values = Overrides::default();
    for (column, variable) in variables.all().iter().enumerate() {
        let Variable::Assumption(which) = *variable else { continue };
        let u = *variables.column(seed, column, run + 1).last().unwrap();
        let [low, likely, high] = which.definition().default.unwrap();
        if !(feed_as_planned && which == Assumption::FeedDryDensity) {
            values.set(which, Span::exactly(split_triangle(span(low, likely, high), u))).unwrap();
        }
    }
    values
}

proptest! {
    #![proptest_config(laws(400))]

    /// Any run is the forecast with the values of that run, temperatures and weather included. Without layers that the depth forbids, since
    /// those stay as they were planned.
    #[test]
    fn a_run_is_the_forecast_with_its_values(
        bed in beds_in_any_phase(), climate in climate(), days in 100_u64..900, seed in any::<u64>(), run in 0_usize..50, own_worms in any::<bool>(),
    ) {
        let bed = Bed {
            running: None,
            layers_per_cycle: bed.layers_per_cycle.map(|layers| layers.min(2)),
            worms: bed.worms.filter(|_| own_worms),
            ..bed
        };
        let (until, none) = (later(bed.start_on, days), Overrides::default());
        let mut variables = Variables::default();
        let mut drawn: Lots = Vec::new();
        with(&none, |k| {
            let clocks = Clocks::new(&climate, (bed.first_day(), until), k).unwrap();
            let band = ClockDrawn::new(&clocks, k, &mut variables);
            let simulator = BedSimulator::new(&bed, &clocks, k, &mut variables).unwrap();
            let place = u32::try_from(run).unwrap();
            variables.each_run(seed, (place, 1), |_, run| {
                let clock = band.clock(&clocks, run).unwrap();
                simulator.run(run, (&clocks, &clock), |_, outcome| {
                    let ready = outcome.ready.map(|day| later(clocks.first(), day as u64));
                    drawn.extend(ready.map(|day| (day, ml(outcome.litres))));
                });
            });
        });
        let values = values_in(&variables, (seed, run), bed.feed.supply != Supply::AsNeeded);
        let weather = in_weather(&climate, &values, (&variables, seed, run), (bed.start_on, until));
        let reported: Lots = with(&values, |k| {
            let clocks = Clocks::new(&weather, (bed.first_day(), until), k).unwrap();
            let lots = forecast_on(&bed, &clocks, k, Off).unwrap().lots;
            lots.iter().map(|l| (l.ready.likely, Millilitres::nearest(l.yields.castings.likely()))).collect()
        });
        // Cycles that only better weather than that of the plan brings are not planned.
        prop_assert!(reported.starts_with(&drawn), "{:?} {:?}", reported, drawn);
        let years_differ = climate.years_differ();
        prop_assert!(reported.len() == drawn.len() || years_differ);
    }
}

/// The days of a run, by hand: each month departs by what it carries over and by a normal draw of its own; then two straight lines in
/// each month.
fn in_weather(
    climate: &Climate,
    values: &Overrides,
    (variables, seed, run): (&Variables, u64, usize),
    (first, last): (NaiveDate, NaiveDate),
) -> Climate {
    let Climate::MonthlyMeans { means, offset } = climate else { return climate.clone() };
    let spread = values.get(Assumption::YearToYear).unwrap().likely;
    let mut departures = std::collections::BTreeMap::new();
    for (column, variable) in variables.all().iter().enumerate() {
        if let Variable::Weather(month) = variable {
            departures.insert(*month, spread * normal(*variables.column(seed, column, run + 1).last().unwrap()));
        }
    }
    let mut before: Option<f64> = None;
    for departure in departures.values_mut() {
        *departure = before.map_or(*departure, |before| 0.25 * before + (1.0_f64 - 0.0625).sqrt() * *departure);
        before = Some(*departure);
    }
    let mean = |month: u32| means.get(month as usize % 12).unwrap().celsius() + departures.get(&month).unwrap();
    let of_day = |day: NaiveDate| {
        let (month, half) = (day.year_ce().1 * 12 + day.month0(), f64::from(day.num_days_in_month()) / 2.0);
        let (start, end) = ((mean(month - 1) + mean(month)) / 2.0, (mean(month) + mean(month + 1)) / 2.0);
        let middle = 2.0 * mean(month) - (start + end) / 2.0;
        // The area under both lines from the first of the month.
        let area = |x: f64| {
            let (left, right) = (x.min(half), (x - half).max(0.0));
            start * left
                + (middle - start) * left * left / (2.0 * half)
                + middle * right
                + (end - middle) * right * right / (2.0 * half)
        };
        Temperature::from_celsius(area(f64::from(day.day())) - area(f64::from(day.day0())) + offset.kelvins())
    };
    Climate::Daily { first_day: first, values: first.iter_days().take_while(|day| *day <= last).map(of_day).collect() }
}

/// Cold winters in which nothing counts, over four years.
fn winters() -> impl Strategy<Value = Climate> {
    (-8.0_f64..8.0, 10.0_f64..26.0, 0.0_f64..4.0).prop_map(|(winter, summer, offset)| {
        let wave = |month: usize| 0.5 - 0.5 * (month as f64 / 6.0 * std::f64::consts::PI).cos();
        months(std::array::from_fn(|month| winter + (summer - winter) * wave(month)), offset)
    })
}

proptest! {
    #![proptest_config(laws(300))]

    /// The latest start undoes the ready day, and the other way round; a later start is never ready earlier.
    #[test]
    fn the_latest_start_and_the_ready_day_belong_together(
        climate in winters(),
        warm_days in 0.1_f64..300.0,
        drying in 0_u32..20,
        start in 0_u32..900,
        by in 0_u32..1_400,
    ) {
        let none = Overrides::default();
        let clocks = with(&none, |k| Clocks::new(&climate, (on("2027-01-01"), on("2030-12-31")), k)).unwrap();
        let (clock, end) = (clocks.likely(), 1_461.0);
        let needs = Needs { warm_days, drying: f64::from(drying) };
        let (start, by) = (f64::from(start), f64::from(by));
        if let Some(ready) = needs.ready(clock, start, end) {
            prop_assert!(needs.latest(clock, ready).is_some_and(|latest| latest >= start));
            prop_assert!(needs.ready(clock, start + 1.0, end).is_none_or(|later| later >= ready));
            prop_assert!(ready >= start + warm_days + needs.drying - 1e-4);
        }
        match needs.latest(clock, by) {
            Some(latest) => {
                prop_assert!(needs.ready(clock, latest, end).is_some_and(|ready| ready <= by));
                prop_assert!(needs.ready(clock, latest + 1.0, end).is_none_or(|ready| ready > by));
            }
            None => prop_assert!(needs.ready(clock, 0.0, end).is_none_or(|ready| ready > by)),
        }
    }
}
