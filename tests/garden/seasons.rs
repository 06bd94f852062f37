//! Seasons against closed forms: the plan, its chances, what to measure first, the work.

#![expect(clippy::unwrap_used, clippy::as_conversions, reason = "a test may stop at whatever is wrong")]

use crate::beds::{bed, fixed, on, weighing};
use crate::beds_laws::later;
use crate::draws::below;
use crate::support::{assert_near, known, span, with};
use barrowful::garden::assumptions::CountedBy;
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::balances::allocation::{Lot, LotSource, Window};
use barrowful::garden::balances::{Part, Requirement, balance};
use barrowful::garden::beds::{Bed, Clocks, Running, Supply, forecast_on};
use barrowful::garden::cautions::waiting::Manure;
use barrowful::garden::draws::{Variable, Variables, shown_chance, split_triangle};
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::work::{Task, TaskKind, work};
use barrowful::garden::seasons::{Amount, BedPlan, Chances, Factor, Season, SeasonPlan, plan, simulate};
use barrowful::garden::units::{Millilitres, Volume};
use barrowful::garden::work::Work;
use chrono::NaiveDate;

pub fn ml(litres: f64) -> Millilitres {
    Millilitres::nearest(Volume::from_litres(litres))
}

/// Known amounts.
pub fn sure() -> Amount {
    Amount::default()
}

/// An amount with a range of its own.
pub fn ranged(low: f64, likely: f64, high: f64) -> Amount {
    Amount { factors: vec![Factor::Range(span(low, likely, high))], overrides: Overrides::default() }
}

/// Days by their text; an empty one is open.
pub fn window(first: &str, last: &str) -> Window {
    let day = |text: &str| (!text.is_empty()).then(|| on(text));
    Window { first: day(first), last: day(last) }
}

pub fn lot(litres: f64, first: &str, use_by: &str) -> Lot {
    Lot { amount: ml(litres), window: window(first, use_by), ..Lot::default() }
}

pub fn requirement(litres: f64, (first, last): (&str, &str), priority: u8) -> Requirement {
    Requirement {
        parts: vec![Part { amount: ml(litres), window: window(first, last), pieces: None, ..Part::default() }],
        priority,
        whole_portions: false,
        minimum: None,
        grown: None,
    }
}

/// Every assumption at its likely value, without a range, and every year like another.
pub fn exact() -> Overrides {
    let likely = |a: &Assumption| {
        let [_, likely, _] = a.definition().default?;
        Some((*a, if *a == Assumption::YearToYear { 0.0 } else { likely }))
    };
    known(&Assumption::ALL.iter().filter_map(likely).collect::<Vec<_>>())
}

/// The same but for some of them.
pub fn exact_but(values: &[(Assumption, Span)]) -> Overrides {
    let mut request = exact();
    for (which, span) in values {
        request.set(*which, *span).unwrap();
    }
    request
}

/// A season of stock and demands to the end of 2027.
pub fn season<'a>(
    stock: Vec<(Lot, Amount)>,
    requirements: Vec<(Requirement, Amount)>,
    request: &'a Overrides,
) -> Season<'a> {
    Season {
        beds: Vec::new(),
        stock,
        requirements,
        until: on("2027-12-31"),
        sack: None,
        request,
        beside: Work::default(),
    }
}

pub fn played(season: &Season<'_>, runs: (u32, u64)) -> (SeasonPlan, Chances) {
    let plan = plan(season, Off).unwrap();
    let chances = simulate(season, &plan, runs).unwrap();
    (plan, chances)
}

const RUNS: u32 = 20_000;

/// Within three standard errors of a share.
#[track_caller]
fn assert_chance(times: u32, expected: f64) {
    let n = f64::from(RUNS);
    let error = (expected * (1.0 - expected) / n).sqrt();
    let found = f64::from(times) / n;
    assert!((found - expected).abs() <= 3.0 * error, "{found} is not {expected} +- {error}");
}

// ---------------------------------------------------------------------------
// Nothing uncertain
// ---------------------------------------------------------------------------

#[test]
fn a_season_without_ranges_is_forecasts_and_balance_and_holds_in_all_runs_or_in_none() {
    let request = exact();
    let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-03-01"), on("2027-12-31")), k)).unwrap();
    let beds = [Supply::AllAtOnce(weighing(90.0)), Supply::AsNeeded].map(bed);
    let none = Overrides::default();
    let season = Season {
        beds: beds
            .iter()
            .map(|b| BedPlan { bed: b.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() })
            .collect(),
        ..season(
            vec![(lot(30.0, "", ""), sure()), (lot(12.5, "2027-05-01", "2027-06-01"), sure())],
            vec![
                (requirement(40.0, ("", "2027-05-20"), 1), sure()),
                (requirement(150.0, ("2027-08-01", "2027-10-01"), 2), sure()),
                (requirement(300.0, ("", ""), 3), sure()),
                (requirement(900.0, ("2027-09-01", "2027-12-01"), 4), sure()),
            ],
            &request,
        )
    };
    let (plan, chances) = played(&season, (500, 3));
    // The plan by hand: forecasts, their lots after the stock, the balance of all.
    let forecasts: Vec<_> = beds.iter().map(|b| with(&request, |k| forecast_on(b, &clocks, k, Off)).unwrap()).collect();
    assert_eq!(plan.forecasts, forecasts);
    let stock = season.stock.iter().enumerate();
    let mut lots: Vec<Lot> = stock.map(|(i, (lot, _))| Lot { source: LotSource::Stock(i), ..*lot }).collect();
    let of_beds = forecasts.iter().enumerate().flat_map(|(bed, f)| f.lots.iter().map(move |lot| (bed, lot)));
    lots.extend(of_beds.map(|(bed, lot)| Lot {
        amount: Millilitres::nearest(lot.yields.castings.likely()),
        window: Window { first: Some(lot.ready.likely), last: None },
        untreated: true,
        source: LotSource::Bed { bed, cycle: lot.cycle },
    }));
    let requirements: Vec<Requirement> =
        season.requirements.iter().map(|(requirement, _)| requirement.clone()).collect();
    assert_eq!(plan.lots, lots);
    assert_eq!(plan.balance, balance(&lots, &requirements, None));
    let places: Vec<(usize, u32)> = plan.bed_lots().collect();
    let expected = forecasts.iter().enumerate().flat_map(|(i, f)| f.lots.iter().map(move |lot| (i, lot.cycle)));
    assert_eq!(places, expected.collect::<Vec<_>>());
    // All or nothing, and all exactly where nothing is short.
    for (chance, served) in chances.plan.demands.iter().zip(&plan.balance.demands) {
        assert_eq!(chance.full, if served.shortfall == Millilitres::ZERO { 500 } else { 0 });
        assert!(chance.allocated == 0 || chance.allocated == 500);
    }
    assert!(plan.balance.demands.iter().any(|s| s.shortfall > Millilitres::ZERO));
    for date in &chances.plan.by_date {
        assert!(date.enough == 0 || date.enough == 500);
    }
    for (lot, planned) in chances.lots.iter().zip(lots.iter().skip(2)) {
        assert_eq!([lot.ready.p10, lot.ready.p50, lot.ready.p90], [planned.window.first; 3]);
        assert_eq!([lot.litres.p10, lot.litres.p50, lot.litres.p90], [planned.amount.volume().litres(); 3]);
    }
    assert_eq!(chances.measure_first, []);
}

// ---------------------------------------------------------------------------
// Chances in closed form
// ---------------------------------------------------------------------------

#[test]
fn one_lot_and_one_demand_follow_the_distribution_of_the_split_triangle() {
    let wide = span(20.0, 40.0, 60.0);
    let none = Overrides::default();
    for asked in [22.0, 30.0, 36.0, 40.0] {
        let stock = vec![(lot(40.0, "", ""), ranged(20.0, 40.0, 60.0))];
        let season = season(stock, vec![(requirement(asked, ("", "2027-06-01"), 1), sure())], &none);
        let (_, chances) = played(&season, (RUNS, 5));
        let expected = 1.0 - below(wide, asked);
        assert_chance(chances.plan.by_date[0].enough, expected);
        assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
        assert_eq!((chances.plan.by_date[0].date, chances.plan.by_date[0].wanted), (on("2027-06-01"), asked));
    }
    // More than the likely amount: the plan itself is short and gives 40 L, but enough may come all the same.
    let stock = vec![(lot(40.0, "", ""), ranged(20.0, 40.0, 60.0))];
    let season = season(stock, vec![(requirement(50.0, ("", "2027-06-01"), 1), sure())], &none);
    let (plan, chances) = played(&season, (RUNS, 5));
    assert_eq!(plan.balance.demands[0].shortfall, ml(10.0));
    assert_chance(chances.plan.demands[0].allocated, 0.5);
    assert_chance(chances.plan.demands[0].full, 1.0 - below(wide, 50.0));
    assert_eq!([chances.plan.by_date[0].enough, chances.plan.enough], [chances.plan.demands[0].full; 2]);
    // The margin is the lot less the demand: its percentiles are those of the triangle.
    let margin = chances.margin.unwrap();
    for (found, u) in [(margin.p10, 0.1), (margin.p50, 0.5), (margin.p90, 0.9)] {
        assert!((found - (split_triangle(wide, u) - 50.0)).abs() < 0.3, "{found}");
    }
}

#[test]
fn an_uncertain_demand_follows_it_as_well() {
    let none = Overrides::default();
    // 36 of 40 L are there; asked are 20 to 60.
    let requirements = vec![(requirement(30.0, ("", "2027-06-01"), 1), ranged(15.0, 30.0, 60.0))];
    let season = season(vec![(lot(36.0, "", ""), sure())], requirements, &none);
    let (_, chances) = played(&season, (RUNS, 5));
    assert_chance(chances.plan.by_date[0].enough, below(span(15.0, 30.0, 60.0), 36.0));
    // Nothing is kept from it, so it gets more than the plan's 30 L where it asks for more.
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
}

/// Drying of 3 to 14 days, likely 7: ready on the k-th morning after the castings are finished with the chance that drying takes
/// no longer than k days.
#[test]
fn a_bed_of_which_only_the_drying_is_uncertain() {
    let drying = span(72.0, 168.0, 336.0);
    let request = exact_but(&[(Assumption::Drying, drying)]);
    let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-04-01"), on("2027-12-31")), k)).unwrap();
    let none = Overrides::default();
    let one = Bed { cycles: Some(1), ..bed(Supply::AllAtOnce(weighing(60.0))) };
    let forecast = with(&request, |k| forecast_on(&one, &clocks, k, Off)).unwrap();
    let litres = forecast.lots[0].yields.castings.likely().litres();
    let finished = forecast.lots[0].finished_on;
    assert_eq!(forecast.lots[0].ready.likely, later(finished, 7));
    for days in [4, 6, 7, 9, 12] {
        let by = later(finished, days).to_string();
        let season = Season {
            beds: vec![BedPlan { bed: one.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() }],
            ..season(Vec::new(), vec![(requirement((litres * 0.9).floor(), ("", &by), 1), sure())], &request)
        };
        let (plan, chances) = played(&season, (RUNS, 11));
        let expected = below(drying, days as f64 * 24.0);
        assert_chance(chances.plan.by_date[0].enough, expected);
        // Planned for the seventh day: up to then the plan allocates nothing, and nothing is what it gets for sure.
        assert_eq!(plan.balance.demands[0].allocated == Millilitres::ZERO, days < 7);
        assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
        assert_eq!(chances.plan.demands[0].allocated, if days < 7 { RUNS } else { chances.plan.by_date[0].enough });
        let at = |u: f64| Some(later(finished, (split_triangle(drying, u) / 24.0).ceil() as u64));
        let ready = chances.lots[0].ready;
        // The median lies on the edge of a day.
        assert_eq!([ready.p10, ready.p90], [at(0.1), at(0.9)]);
        assert_eq!(chances.measure_first.len(), usize::from(chances.plan.by_date[0].enough != RUNS));
    }
}

/// 50 L lie in stock; a demand of priority 2 takes them in April. Priority 1 requirements 40 L in June, of a lot from May that is as
/// large as planned in half of the runs. Both get all they ask, but priority 1 only as surely as that lot.
#[test]
fn the_first_priority_is_no_surer_than_the_lot_it_hangs_on() {
    let none = Overrides::default();
    let stock = vec![(lot(50.0, "", ""), sure()), (lot(40.0, "2027-05-01", ""), ranged(20.0, 40.0, 60.0))];
    let requirements = vec![
        (requirement(40.0, ("2027-06-01", "2027-06-30"), 1), sure()),
        (requirement(50.0, ("2027-04-01", "2027-04-30"), 2), sure()),
    ];
    let (plan, chances) = played(&season(stock, requirements, &none), (RUNS, 1));
    assert!(plan.balance.demands.iter().all(|served| served.shortfall == Millilitres::ZERO));
    assert_chance(chances.plan.demands[0].full, 0.5);
    assert_eq!(chances.plan.demands[1].full, RUNS);
    assert_eq!(shown_chance(chances.plan.demands[0].full, RUNS), 0.5);
    assert_eq!(chances.plan.by_date.iter().map(|d| d.enough).collect::<Vec<_>>(), [RUNS, chances.plan.demands[0].full]);
}

/// A lot that turns out smaller serves who may take first, then priorities in order.
#[test]
fn a_smaller_lot_serves_days_and_then_priorities_in_order() {
    let none = Overrides::default();
    let wide = span(0.0, 90.0, 180.0);
    let requirements = [("2027-06-01", 1), ("2027-05-01", 1), ("2027-06-01", 2)]
        .map(|(first, priority)| (requirement(30.0, (first, "2027-07-01"), priority), sure()));
    let stock = vec![(lot(90.0, "", ""), Amount { factors: vec![Factor::Range(wide)], ..sure() })];
    let (_, chances) = played(&season(stock, requirements.to_vec(), &none), (RUNS, 2));
    for (demand, needed) in [(1, 30.0), (0, 60.0), (2, 90.0)] {
        assert_chance(chances.plan.demands[demand].full, 1.0 - below(wide, needed));
    }
    assert_eq!(chances.plan.by_date[0].enough, chances.plan.demands[2].full);
}

/// 30 L must be used by May; 20 L keep. What the first do not serve in time is lost.
#[test]
fn stock_that_expires_goes_first_and_does_not_serve_what_comes_later() {
    let none = Overrides::default();
    let stock = || vec![(lot(30.0, "", "2027-05-01"), sure()), (lot(20.0, "", ""), sure())];
    let requirements = |first: &str, litres: f64| {
        vec![
            (requirement(25.0, ("", "2027-04-20"), 1), sure()),
            (requirement(litres, (first, "2027-06-01"), 1), sure()),
        ]
    };
    for (first, litres, margin) in
        [("2027-05-02", 20.0, 0.0), ("2027-05-02", 21.0, -1.0), ("2027-05-01", 25.0, 0.0), ("2027-05-01", 26.0, -1.0)]
    {
        let (plan, chances) = played(&season(stock(), requirements(first, litres), &none), (10, 1));
        assert_eq!(chances.worst_on, Some(on("2027-06-01")));
        assert_eq!(chances.margin.unwrap().p50, margin, "{first} {litres}");
        assert_eq!(chances.plan.by_date[1].enough, if margin < 0.0 { 0 } else { 10 });
        // Evenly short within the priority; in all as much as the margin says.
        let short: u64 = plan.balance.demands.iter().map(|served| served.shortfall.get()).sum();
        assert_eq!(short, ml(-margin).get());
    }
    // The same with a range on the lot that expires: it must hold 25 L, then 25 and the 5 that are missing in June.
    let wide = span(10.0, 30.0, 40.0);
    let uncertain = || vec![(lot(30.0, "", "2027-05-01"), ranged(10.0, 30.0, 40.0)), (lot(20.0, "", ""), sure())];
    for (litres, needed) in [(20.0, 25.0), (25.0, 30.0)] {
        let (_, chances) = played(&season(uncertain(), requirements("2027-05-01", litres), &none), (RUNS, 6));
        // In April 20 L of the other lot are there as well: 5 L would do.
        assert_eq!(chances.plan.by_date[0].enough, RUNS);
        assert_chance(chances.plan.by_date[1].enough, 1.0 - below(wide, needed));
    }
}

#[test]
fn a_demand_without_a_date_is_due_on_the_last_day() {
    let none = Overrides::default();
    let stock = vec![(lot(40.0, "2027-12-30", ""), ranged(20.0, 40.0, 60.0))];
    let season = season(stock, vec![(requirement(30.0, ("", ""), 1), sure())], &none);
    let (_, chances) = played(&season, (RUNS, 9));
    assert_eq!(chances.plan.by_date[0].date, season.until);
    assert_chance(chances.plan.by_date[0].enough, 0.875);
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
}

/// Two rounds of tea, 10 L each: the first out of what is there, the second out of what comes later, if it does.
#[test]
fn a_tea_of_two_rounds_holds_only_with_both() {
    let none = Overrides::default();
    let part = |day| Part { amount: ml(10.0), window: window(day, day), pieces: None, ..Part::default() };
    let tea = Requirement {
        parts: vec![part("2027-04-01"), part("2027-05-01")],
        priority: 1,
        whole_portions: false,
        minimum: None,
        grown: None,
    };
    let stock = vec![(lot(10.0, "", ""), sure()), (lot(10.0, "2027-04-20", ""), ranged(5.0, 10.0, 15.0))];
    let (plan, chances) = played(&season(stock, vec![(tea, sure())], &none), (RUNS, 4));
    assert_eq!(plan.balance.demands[0].shortfall, Millilitres::ZERO);
    assert_eq!(
        chances.plan.by_date.iter().map(|d| (d.date, d.wanted)).collect::<Vec<_>>(),
        [(on("2027-04-01"), 10.0), (on("2027-05-01"), 20.0)]
    );
    assert_eq!(chances.plan.by_date[0].enough, RUNS);
    assert_chance(chances.plan.by_date[1].enough, 0.5);
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[1].enough);
}

/// A lot by mass: its litres are as many more as a litre weighs less. 40 L at 600 kg/m3 are 32 L at 750.
#[test]
fn an_amount_by_mass_hangs_on_the_bulk_density() {
    let weight = span(450.0, 600.0, 900.0);
    let request = exact_but(&[(Assumption::BulkDensity, weight)]);
    let by_mass = Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let season =
        season(vec![(lot(40.0, "", ""), by_mass)], vec![(requirement(32.0, ("", "2027-06-01"), 1), sure())], &request);
    let (_, chances) = played(&season, (RUNS, 8));
    assert_chance(chances.plan.by_date[0].enough, below(weight, 750.0));
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
    assert_eq!(chances.measure_first[0].variable, Variable::Assumption(Assumption::BulkDensity));
}

/// A demand by available nitrogen: `V = N/(rho_d n a)`. 20 L are asked at 1.5 % N; 25 L do at 1.2 %.
#[test]
fn an_amount_by_nitrogen_hangs_on_the_nitrogen() {
    let nitrogen = span(0.010, 0.015, 0.025);
    let request = exact_but(&[(Assumption::Nitrogen, nitrogen)]);
    let asked = Amount { factors: vec![Factor::By(CountedBy::AvailableNitrogen)], overrides: Overrides::default() };
    let season =
        season(vec![(lot(25.0, "", ""), sure())], vec![(requirement(20.0, ("", "2027-06-01"), 1), asked)], &request);
    let (_, chances) = played(&season, (RUNS, 8));
    assert_chance(chances.plan.by_date[0].enough, 1.0 - below(nitrogen, 0.012));
    assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
    assert_eq!(chances.measure_first[0].variable, Variable::Assumption(Assumption::Nitrogen));
}

/// The same of a lot that knows its nitrogen itself, and of half of such a lot and half of another. Before anything is drawn, 20 L are asked at 1.5 %.
#[test]
fn an_amount_by_nitrogen_counts_what_its_lots_hold() {
    let nitrogen = span(0.010, 0.015, 0.025);
    let request = exact_but(&[]);
    let asked = || Amount { factors: vec![Factor::By(CountedBy::AvailableNitrogen)], overrides: Overrides::default() };
    let own = |span| {
        let mut overrides = Overrides::default();
        overrides.set(Assumption::Nitrogen, span).unwrap();
        Amount { factors: Vec::new(), overrides }
    };
    let of = |stock: Vec<(Lot, Amount)>| {
        let demand = requirement(20.0, ("", "2027-06-01"), 1);
        let season = season(stock, vec![(demand, asked())], &request);
        let (_, chances) = played(&season, (RUNS, 8));
        assert_eq!(chances.plan.demands[0].full, chances.plan.by_date[0].enough);
        chances.plan.by_date[0].enough
    };
    // 25 L do from 1.2 % on. Those of 20 L are the likely ones.
    assert_chance(of(vec![(lot(25.0, "", ""), own(nitrogen))]), 1.0 - below(nitrogen, 0.012));
    assert_chance(of(vec![(lot(20.0, "", ""), own(nitrogen))]), 0.5);
    // The plan takes 10 L of each: 22 L of the mix do from (1.5 % + n)/2 = 20/22 x 1.5 % on.
    let mixed = vec![(lot(10.0, "", ""), sure()), (lot(12.0, "", ""), own(nitrogen))];
    assert_chance(of(mixed), 1.0 - below(nitrogen, 0.015 * (40.0 / 22.0 - 1.0)));
    // A rich lot does by less volume than is asked, a poor one does not by all of it, one that holds the same changes nothing.
    assert_eq!(of(vec![(lot(11.0, "", ""), own(span(0.03, 0.03, 0.03)))]), RUNS);
    assert_eq!(of(vec![(lot(20.0, "", ""), own(span(0.014, 0.014, 0.014)))]), 0);
    assert_eq!(of(vec![(lot(20.0, "", ""), own(span(0.015, 0.015, 0.015)))]), RUNS);
    // What does not bear on nitrogen changes nothing.
    let mut dry = Overrides::default();
    dry.set(Assumption::Potassium, span(0.001, 0.001, 0.001)).unwrap();
    assert_eq!(of(vec![(lot(20.0, "", ""), Amount { factors: Vec::new(), overrides: dry })]), RUNS);
}

/// One draw for all that hang on it: a demand and a lot, both by mass, rise and fall together and never miss each other.
#[test]
fn what_hangs_on_one_assumption_moves_together() {
    let none = Overrides::default();
    let by_mass = || Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let season = season(
        vec![(lot(40.0, "", ""), by_mass())],
        vec![(requirement(40.0, ("", "2027-06-01"), 1), by_mass())],
        &none,
    );
    let (_, chances) = played(&season, (RUNS, 8));
    assert_eq!((chances.plan.demands[0].full, chances.plan.by_date[0].enough), (RUNS, RUNS));
}

/// 24 kg are asked, 32 L of 750 kg/m3 at 0.6 kg/L they are 40: what is asked by mass is weighed out, so it takes more of a lot of known
/// volume where castings are light, and what comes after it gets less.
#[test]
fn what_is_asked_by_mass_is_weighed_out() {
    let weight = span(450.0, 600.0, 900.0);
    let request = exact_but(&[(Assumption::BulkDensity, weight)]);
    let by_mass = || Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let requirements = vec![
        (requirement(32.0, ("2027-04-01", "2027-06-01"), 1), by_mass()),
        (requirement(10.0, ("2027-05-01", "2027-06-01"), 1), sure()),
    ];
    // Two lots, so that the second demand hangs on what the first leaves. 32 L at 600 kg/m3 are 40 L at 480, 50 L at 384, 46 L at
    // 417 (never) and 42.67 L at 450.
    let (plan, chances) = played(&season(vec![(lot(48.0, "", ""), sure())], requirements.clone(), &request), (RUNS, 8));
    assert!(plan.balance.demands.iter().all(|served| served.shortfall == Millilitres::ZERO));
    assert_eq!(chances.plan.demands[0].full, RUNS);
    // 38 L are left for the first where the second is to have its 10: at 32 x 600/38 = 505.26 kg/m3.
    assert_chance(chances.plan.demands[1].full, 1.0 - below(weight, 32.0 * 600.0 / 38.0));
    assert_eq!(chances.plan.by_date[0].enough, chances.plan.demands[1].full);
    let (_, chances) = played(&season(vec![(lot(42.0, "", ""), sure())], requirements, &request), (RUNS, 8));
    assert_chance(chances.plan.demands[0].full, 1.0 - below(weight, 32.0 * 600.0 / 42.0));
    assert_chance(chances.plan.demands[1].full, 0.5);
}

/// Enough by a date means enough on every date up to it; and what is ready beyond the season has no day.
#[test]
fn a_gap_is_not_made_good_by_what_comes_later() {
    let none = Overrides::default();
    let stock = vec![(lot(10.0, "", ""), sure()), (lot(90.0, "2027-05-01", ""), sure())];
    let requirements =
        vec![(requirement(20.0, ("", "2027-04-01"), 1), sure()), (requirement(20.0, ("", "2027-06-01"), 2), sure())];
    let (_, chances) = played(&season(stock, requirements, &none), (50, 1));
    assert_eq!(chances.plan.by_date.iter().map(|d| d.enough).collect::<Vec<_>>(), [0, 0]);
    assert_eq!((chances.worst_on, chances.margin.unwrap().p50), (Some(on("2027-04-01")), -10.0));
    assert_eq!(chances.plan.demands.iter().map(|demand| demand.full).collect::<Vec<_>>(), [0, 50]);
    let drying = span(72.0, 168.0, 336.0);
    let request = exact_but(&[(Assumption::Drying, drying)]);
    let one = Bed { cycles: Some(1), ..bed(Supply::AllAtOnce(weighing(60.0))) };
    let day_after = |days: u64| {
        let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-04-01"), on("2027-12-31")), k)).unwrap();
        later(with(&request, |k| forecast_on(&one, &clocks, k, Off)).unwrap().lots[0].finished_on, days)
    };
    let until = day_after(8);
    let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-04-01"), until), k)).unwrap();
    let season = Season {
        beds: vec![BedPlan { bed: one.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() }],
        until,
        ..season(Vec::new(), Vec::new(), &request)
    };
    let ready = played(&season, (RUNS, 1)).1.lots[0].ready;
    assert_eq!([ready.p10, ready.p90], [Some(day_after(5)), None]);
}

// ---------------------------------------------------------------------------
// What to measure first
// ---------------------------------------------------------------------------

/// Variances of split triangles of one shape go as their widths squared: 4 to 1 where one is twice as wide.
#[test]
fn what_varies_four_times_as_much_has_four_fifths() {
    let none = Overrides::default();
    let asked = vec![(requirement(100.0, ("", "2027-06-01"), 1), sure())];
    let one = vec![(lot(50.0, "", ""), ranged(30.0, 50.0, 70.0)), (lot(50.0, "", ""), sure())];
    let (_, chances) = played(&season(one, asked.clone(), &none), (2_000, 1));
    assert_eq!(chances.measure_first.len(), 1);
    assert_eq!(chances.measure_first[0].variable, Variable::Stock(0));
    assert!(chances.measure_first[0].share > 0.98);
    let two = vec![(lot(50.0, "", ""), ranged(40.0, 50.0, 60.0)), (lot(50.0, "", ""), ranged(30.0, 50.0, 70.0))];
    let (_, chances) = played(&season(two, asked, &none), (RUNS, 1));
    let found: Vec<_> = chances.measure_first.iter().map(|m| m.variable).collect();
    assert_eq!(found, [Variable::Stock(1), Variable::Stock(0)]);
    for (measure, expected) in chances.measure_first.iter().zip([0.8, 0.2]) {
        assert!((measure.share - expected).abs() < 0.02, "{measure:?}");
    }
}

// ---------------------------------------------------------------------------
// Seeds and runs
// ---------------------------------------------------------------------------

/// The counts by the draws themselves, for so many runs and for ten times as many: the first runs are the same.
#[test]
fn the_same_seed_gives_the_same_answer_and_more_runs_go_on_from_it() {
    let none = Overrides::default();
    let stock =
        vec![(lot(40.0, "", ""), ranged(20.0, 40.0, 60.0)), (lot(10.0, "2027-05-01", ""), ranged(5.0, 10.0, 20.0))];
    let requirements = vec![
        (requirement(40.0, ("", "2027-04-01"), 1), sure()),
        (requirement(10.0, ("2027-05-20", "2027-06-01"), 1), sure()),
    ];
    let season = season(stock, requirements, &none);
    let mut variables = Variables::default();
    let spans = [span(20.0, 40.0, 60.0), span(5.0, 10.0, 20.0)];
    let drawn = [0, 1].map(|i| variables.take(Variable::Stock(i), spans[i]));
    for runs in [100_u32, 1_000] {
        let (_, chances) = played(&season, (runs, 42));
        let (mut first, mut both) = (0, 0);
        variables.each_run(42, (0, runs), |_, run| {
            let [a, b] = drawn.map(|d| (d.of(run) * 1_000.0).round());
            first += u32::from(a >= 40_000.0);
            both += u32::from(a >= 40_000.0 && a + b >= 50_000.0);
        });
        assert_eq!(chances.plan.by_date.iter().map(|d| d.enough).collect::<Vec<_>>(), [first, both]);
        assert_eq!(played(&season, (runs, 42)).1, chances);
        assert_ne!(played(&season, (runs, 43)).1.margin, chances.margin);
    }
}

// ---------------------------------------------------------------------------
// Work
// ---------------------------------------------------------------------------

#[test]
fn work_is_in_order_within_the_season_and_gives_what_the_plan_gives() {
    let none = Overrides::default();
    let clocks = with(&none, |k| Clocks::new(&fixed(21.0), (on("2027-03-01"), on("2027-12-31")), k)).unwrap();
    let running = Some(Running { uneaten_feed: weighing(20.0), castings: weighing(10.0), layers_laid: 0 });
    let beds =
        [Bed { running, ..bed(Supply::AllAtOnce(weighing(150.0))) }, Bed { worms: None, ..bed(Supply::AsNeeded) }];
    let season = Season {
        beds: beds
            .iter()
            .map(|b| BedPlan { bed: b.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() })
            .collect(),
        sack: Some(ml(40.0)),
        ..season(
            vec![(lot(60.0, "2027-03-15", "2027-06-30"), sure()), (lot(15.0, "", ""), sure())],
            vec![
                (requirement(50.0, ("2027-04-01", "2027-05-01"), 1), sure()),
                (requirement(120.0, ("2027-05-10", "2027-10-01"), 1), sure()),
                (requirement(2_000.0, ("2027-09-01", "2027-12-01"), 2), sure()),
            ],
            &none,
        )
    };
    let plan = plan(&season, Off).unwrap();
    let tasks = work(&season, (&plan, &[]), &[]);
    let key = |t: &Task| (t.on, t.kind, t.bed, t.layer, t.demand);
    assert!(tasks.windows(2).all(|w| key(&w[0]) <= key(&w[1])));
    for task in &tasks {
        assert!(task.on >= on("2027-03-01") && task.on <= season.until, "{task:?}");
        assert!(task.until.is_none_or(|until| until >= task.on && until <= season.until), "{task:?}");
    }
    // Everything of the plan that has a day is given.
    for (demand, served) in plan.balance.demands.iter().enumerate() {
        assert!(served.allocations.iter().all(|draw| draw.on.is_some()));
        let given = tasks.iter().filter(|t| t.kind == TaskKind::Apply && t.demand == Some(demand));
        let litres: f64 = given.filter_map(|t| t.volume).map(|v| v.litres()).sum();
        assert_near(litres, served.allocated.volume().litres(), 1e-12);
    }
    for (i, forecast) in plan.forecasts.iter().enumerate() {
        assert!(!forecast.lots.is_empty());
        for lot in &forecast.lots {
            let of = |kind| -> NaiveDate {
                let found: Vec<&Task> =
                    tasks.iter().filter(|t| t.kind == kind && t.bed == Some((i, lot.cycle))).collect();
                assert_eq!(found.len(), 1, "{kind:?}");
                found[0].on
            };
            let [finish, harvest, sieve] = [TaskKind::LetFinish, TaskKind::Harvest, TaskKind::SieveAndStore].map(of);
            assert!(finish <= harvest && harvest <= sieve);
            assert_eq!(sieve, lot.ready.likely);
        }
        let laid = tasks.iter().filter(|t| t.kind == TaskKind::LayFeed && t.bed.is_some_and(|(bed, _)| bed == i));
        assert_eq!(laid.count(), forecast.layers.len());
        // Worms go into a bed that begins; a running bed has them.
        let put = tasks.iter().filter(|t| t.kind == TaskKind::PutWormsIn && t.bed.is_some_and(|(bed, _)| bed == i));
        assert_eq!(put.count(), usize::from(beds[i].running.is_none()));
    }
    let sacks: u64 = tasks.iter().filter_map(|t| t.sacks).sum();
    assert_eq!(sacks, plan.balance.sacks.iter().map(|s| s.count).sum::<u64>());
    assert!(sacks > 0);
    let words: std::collections::BTreeSet<_> = TaskKind::ALL.iter().map(|kind| kind.as_str()).collect();
    assert_eq!(words.len(), TaskKind::ALL.len());
}
