//! The rule that a grower follows, run by run: closed forms, and laws on stock and demands at large.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::beds::{bed, fixed, months, on, share, square_metres, weighing};
use crate::beds::laws::later;
use crate::draws::below;
use crate::seasons::{exact_but, lot, ml, played, ranged, requirement, season, sure, window};
use crate::support::{given, laws, span, with};
use barrowful::garden::assumptions::CountedBy;
use barrowful::garden::assumptions::{Assumption, Overrides, Span};
use barrowful::garden::balances::allocation::{Eligibility, Lot, Window};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::beds::{Bed, Clocks, Feed, Running, Supply};
use barrowful::garden::cautions::waiting::{Limit, Manure};
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{Amount, BedPlan, DemandChance, Factor, PlanChances, Season, plan, plan_chances};
use barrowful::garden::units::Millilitres;
use proptest::prelude::*;

const RUNS: u32 = 20_000;

/// Within three standard errors of a share, and exactly where it is certain.
#[track_caller]
fn assert_chance(times: u32, expected: f64) {
    let n = f64::from(RUNS);
    let error = (expected * (1.0 - expected) / n).sqrt();
    let found = f64::from(times) / n;
    assert!((found - expected).abs() <= 3.0 * error, "{found} is not {expected} +- {error}");
}

fn chances(stock: Vec<(Lot, Amount)>, requirements: Vec<(Requirement, Amount)>) -> PlanChances {
    let none = Overrides::default();
    let season = season(stock, requirements, &none);
    plan_chances(&season, &plan(&season, Off).unwrap(), (RUNS, 3)).unwrap()
}

fn full(chances: &PlanChances) -> Vec<u32> {
    chances.demands.iter().map(|demand| demand.full).collect()
}

/// On one day.
fn at(litres: f64, day: &str, priority: u8) -> (Requirement, Amount) {
    (requirement(litres, (day, day), priority), sure())
}

// ---------------------------------------------------------------------------
// Closed forms
// ---------------------------------------------------------------------------

/// 55 to 70 L are there, likely 65; 20 L are kept for the first priority. So the second has its 41.325 L from 61.325 L on, and
/// the first is always served.
#[test]
fn what_the_first_priority_needs_later_is_kept_from_the_second() {
    let found = chances(
        vec![(lot(65.0, "", ""), ranged(55.0, 65.0, 70.0))],
        vec![at(41.325, "2027-01-10", 2), at(20.0, "2027-01-20", 1)],
    );
    assert_chance(found.demands[0].full, 0.8);
    assert_eq!(found.demands[1], DemandChance { full: RUNS, allocated: RUNS });
    assert_eq!(found.enough, found.demands[0].full);
    assert_eq!(found.by_date.iter().map(|by| by.enough).collect::<Vec<_>>(), [found.enough; 2]);
}

/// The same within one priority: what the plan gives to the later demand is kept only after the plan's share of the earlier one.
#[test]
fn within_a_priority_the_share_of_the_plan_goes_before_what_is_kept() {
    let stock = || vec![(lot(60.0, "", ""), ranged(40.0, 60.0, 80.0))];
    let found = chances(stock(), vec![at(30.0, "2027-01-10", 1), at(30.0, "2027-01-20", 1)]);
    assert_eq!(found.demands[0].full, RUNS);
    assert_chance(found.demands[1].full, 0.5);
    // 40 and 40 of 60 L: 30 each in the plan. The first gets more from 70 L on: then 30 L are kept.
    let found = chances(stock(), vec![at(40.0, "2027-01-10", 1), at(40.0, "2027-01-20", 1)]);
    let wide = span(40.0, 60.0, 80.0);
    assert_chance(found.demands[0].full, 1.0 - below(wide, 70.0));
    assert_eq!(found.demands[0].allocated, RUNS);
    assert_chance(found.demands[1].allocated, 0.5);
    assert_eq!(found.demands[1].full, 0);
}

/// Nothing is kept for a later demand of a lower priority, nor for one that the plan gives nothing.
#[test]
fn nothing_is_kept_for_lower_priorities() {
    let found = chances(vec![(lot(50.0, "", ""), sure())], vec![at(50.0, "2027-02-01", 2), at(40.0, "2027-01-10", 1)]);
    assert_eq!(full(&found), [0, RUNS]);
    assert_eq!(found.demands[0].allocated, RUNS);
}

/// A lot to come counts against what is kept until its day; overdue it counts nothing, early it is stock. Drying may take 3 to 14 days.
#[test]
fn a_lot_is_expected_until_its_day_and_then_no_more() {
    let drying = span(72.0, 168.0, 336.0);
    let request = exact_but(&[(Assumption::Drying, drying)]);
    let none = Overrides::default();
    let clocks = with(&request, |k| Clocks::new(&fixed(20.0), (on("2027-04-01"), on("2027-12-31")), k)).unwrap();
    let one = Bed { cycles: Some(1), ..bed(Supply::AllAtOnce(weighing(60.0))) };
    let of = |requirements| Season {
        beds: vec![BedPlan { bed: one.clone(), clocks: &clocks, overrides: &none, manure: Manure::default() }],
        ..season(vec![(lot(20.0, "", ""), sure())], requirements, &request)
    };
    let planned = plan(&of(vec![at(1.0, "2027-12-01", 1)]), Off).unwrap();
    let (likely, litres) = (planned.lots[1].window.first.unwrap(), planned.lots[1].amount.volume().litres());
    assert!(litres > 40.0);
    // 20 L are asked by the first priority 10 days after the likely day, and 20 L by the second before that day or after it.
    for (days, chance) in [(-1, 1.0), (2, below(drying, 9.0 * 24.0))] {
        let day = likely.checked_add_signed(chrono::Duration::days(days)).unwrap().to_string();
        let requirements = vec![at(20.0, &later(likely, 10).to_string(), 1), at(20.0, &day, 2)];
        let season = of(requirements);
        let found = plan_chances(&season, &plan(&season, Off).unwrap(), (RUNS, 7)).unwrap();
        // Before the day the bed is relied on; after it only what has come.
        assert_chance(found.demands[1].full, chance);
        assert_eq!(found.demands[0].full, RUNS);
    }
}

/// For a day only castings are kept that last to it: the others are free. They go first, and are lost.
#[test]
fn castings_that_expire_before_are_not_kept() {
    let requirements = || vec![at(30.0, "2027-06-01", 1), at(30.0, "2027-04-01", 2)];
    let found = chances(
        vec![(lot(30.0, "", ""), sure()), (lot(30.0, "", "2027-05-01"), ranged(20.0, 30.0, 40.0))],
        requirements(),
    );
    assert_eq!(found.demands[0].full, RUNS);
    assert_chance(found.demands[1].full, 0.5);
    // All expire: nothing can be kept.
    let found = chances(vec![(lot(30.0, "", "2027-05-01"), sure())], requirements());
    assert_eq!(full(&found), [0, RUNS]);
}

/// Each batch of a tea is a demand on its own day: the second may be kept for, and fail, alone.
#[test]
fn each_batch_of_a_tea_is_a_demand_on_its_day() {
    let part = |day| Part { amount: ml(10.0), window: window(day, day), pieces: None, ..Part::default() };
    let tea = Requirement { parts: vec![part("2027-04-01"), part("2027-05-01")], ..requirement(20.0, ("", ""), 1) };
    let found =
        chances(vec![(lot(30.0, "", ""), ranged(15.0, 30.0, 45.0))], vec![(tea, sure()), at(10.0, "2027-04-15", 2)]);
    let wide = span(15.0, 30.0, 45.0);
    assert_chance(found.demands[0].full, 1.0 - below(wide, 20.0));
    assert_chance(found.demands[1].full, 1.0 - below(wide, 30.0));
    let enough: Vec<u32> = found.by_date.iter().map(|by| by.enough).collect();
    assert_eq!(enough, [RUNS, found.demands[1].full, found.demands[1].full]);
}

/// Pots of 10 L and a bed of 20 L, 20 L each: evenly 15 L each of 30 L, but half a pot is of no use, so the bed gets 20 L.
#[test]
fn whole_portions_leave_the_rest_to_others() {
    let pots = |litres: f64, pieces: u32| {
        let base = requirement(litres, ("2027-04-01", "2027-04-01"), 1);
        let parts = vec![Part { pieces: Some(pieces), ..base.parts[0] }];
        (Requirement { parts, whole_portions: true, ..base }, sure())
    };
    let wide = span(10.0, 45.0, 50.0);
    let stock = || vec![(lot(45.0, "", ""), ranged(10.0, 45.0, 50.0))];
    let found = chances(stock(), vec![pots(20.0, 2), at(20.0, "2027-04-01", 1)]);
    assert_chance(found.demands[0].full, 1.0 - below(wide, 40.0));
    assert_chance(found.demands[1].full, 1.0 - below(wide, 30.0));
    assert_eq!(found.enough, found.demands[0].full);
    // Any amount will do: then the bed has its 20 L only where both have.
    let plain = chances(stock(), vec![at(20.0, "2027-04-01", 1), at(20.0, "2027-04-01", 1)]);
    assert_eq!(plain.demands[0].full, plain.demands[1].full);
    // One pot of 12 L that is cut down to nothing gets its portion before what the bed still lacks where it was cut most.
    let found = chances(vec![(lot(26.0, "", ""), sure())], vec![pots(12.0, 1), at(16.0, "2027-04-01", 1)]);
    assert_eq!(full(&found), [0, RUNS]);
}

/// 20 L each, one of them of no use below 15 L: of 30 L both get 15, of less the other gets all it needs.
#[test]
fn what_cannot_have_its_minimum_takes_nothing() {
    let least = Requirement { minimum: Some(ml(15.0)), ..requirement(20.0, ("2027-04-01", "2027-04-01"), 1) };
    let found =
        chances(vec![(lot(42.0, "", ""), ranged(20.0, 42.0, 50.0))], vec![at(20.0, "2027-04-01", 1), (least, sure())]);
    let wide = span(20.0, 42.0, 50.0);
    assert_chance(found.demands[0].full, below(wide, 30.0) + 1.0 - below(wide, 40.0));
    assert_chance(found.demands[1].full, 1.0 - below(wide, 40.0));
    assert_eq!(found.enough, found.demands[1].full);
}

fn may_use_raw(litres: f64, (day, priority): (&str, u8), limit: Limit) -> (Requirement, Amount) {
    let base = requirement(litres, (day, day), priority);
    let eligibility = Eligibility { treated: Limit::Always, untreated: limit };
    let parts = base.parts.iter().map(|part| Part { eligibility, ..*part }).collect();
    (Requirement { parts, ..base }, sure())
}

/// 30 L raw and 20 to 40 L others. Who must not use raw castings takes the others, and who may takes the raw ones first; for the later
/// one the others are kept, and raw castings do not help it.
#[test]
fn raw_castings_go_to_those_who_may_use_them() {
    let raw = |litres: f64| Lot { untreated: true, ..lot(litres, "", "") };
    let stock = || vec![(raw(30.0), sure()), (lot(30.0, "", ""), ranged(20.0, 30.0, 40.0))];
    let (free, bound) = (Limit::Always, Limit::Never);
    let wide = span(20.0, 30.0, 40.0);
    // On one day, one priority: raw castings are enough for the one, so the other has all others.
    let day = "2027-04-01";
    let found = chances(stock(), vec![may_use_raw(30.0, (day, 1), free), may_use_raw(28.0, (day, 1), bound)]);
    assert_eq!(found.demands[0].full, RUNS);
    assert_chance(found.demands[1].full, 1.0 - below(wide, 28.0));
    // Earlier and of lower priority: it leaves alone what is kept for the other.
    let found = chances(stock(), vec![may_use_raw(35.0, ("2027-03-01", 2), free), may_use_raw(25.0, (day, 1), bound)]);
    assert_chance(found.demands[0].full, 1.0 - below(wide, 30.0));
    assert_chance(found.demands[1].full, 1.0 - below(wide, 25.0));
    // Of higher priority, it may take all that is there; on raw castings it may draw up to a day of its own.
    let until = Limit::Until(on("2027-03-15"));
    let found = chances(stock(), vec![may_use_raw(50.0, ("2027-03-01", 1), until), may_use_raw(10.0, (day, 2), bound)]);
    assert_chance(found.demands[0].full, 1.0);
    assert_chance(found.demands[1].full, 1.0 - below(wide, 30.0));
    let found = chances(stock(), vec![may_use_raw(25.0, (day, 1), until), may_use_raw(10.0, (day, 2), free)]);
    assert_chance(found.demands[0].full, 1.0 - below(wide, 25.0));
    assert_eq!(found.demands[1].full, RUNS);
}

/// What is asked by mass keeps more litres where castings are light, and what is known only later is not foreseen.
#[test]
fn what_is_kept_by_mass_goes_with_the_weight_of_castings() {
    let weight = span(450.0, 600.0, 900.0);
    let request = exact_but(&[(Assumption::BulkDensity, weight)]);
    let by_mass = Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let later_on = requirement(20.0, ("2027-05-01", "2027-05-01"), 1);
    let stock = || vec![(lot(40.0, "", ""), sure())];
    let found = |amount: Amount, first: f64| {
        let season = season(stock(), vec![(later_on.clone(), amount), at(first, "2027-04-01", 2)], &request);
        plan_chances(&season, &plan(&season, Off).unwrap(), (RUNS, 8)).unwrap()
    };
    // 20 L at 600 kg/m3 are 24 L at 500: then 16 L are free.
    let of_mass = found(by_mass, 16.0);
    assert_chance(of_mass.demands[1].full, 1.0 - below(weight, 500.0));
    assert_eq!(of_mass.demands[0].full, RUNS);
    // A range of its own shows on its day: 20 L are kept whatever it will ask, so the other always has 20.
    let of_range = found(ranged(10.0, 20.0, 40.0), 20.0);
    assert_eq!(of_range.demands[1].full, RUNS);
    assert_chance(of_range.demands[0].full, 0.5);
}

/// Another plan of the same season is played with the same draws: sacks bought make good what is missing in the same runs.
#[test]
fn another_plan_is_played_with_the_same_draws() {
    let none = Overrides::default();
    let uncertain = || (lot(30.0, "", ""), ranged(10.0, 30.0, 50.0));
    let play = |stock: Vec<(Lot, Amount)>| {
        let season = season(stock, vec![at(40.0, "2027-04-01", 1)], &none);
        plan_chances(&season, &plan(&season, Off).unwrap(), (RUNS, 5)).unwrap()
    };
    let wide = span(10.0, 30.0, 50.0);
    for sack in [5.0, 10.0, 20.0] {
        let found = play(vec![uncertain(), (lot(sack, "2027-03-01", ""), sure())]);
        assert_chance(found.enough, 1.0 - below(wide, 40.0 - sack));
    }
    assert_eq!(
        play(vec![uncertain()]),
        played(&season(vec![uncertain()], vec![at(40.0, "2027-04-01", 1)], &none), (RUNS, 5)).1.plan
    );
}

// ---------------------------------------------------------------------------
// Laws
// ---------------------------------------------------------------------------

/// Lots of some tens of litres over a year, some that expire, some uncertain.
fn stock() -> impl Strategy<Value = Vec<(Lot, Amount)>> {
    let one = (
        5.0_f64..60.0,
        0_u64..300,
        prop::option::weighted(0.3, 0_u64..120),
        prop::option::of(0.1_f64..0.9),
        any::<bool>(),
    );
    prop::collection::vec(one, 1..6).prop_map(|lots| {
        let lot = |(litres, first, keeps, width, untreated): (f64, u64, Option<u64>, Option<f64>, bool)| {
            let first = later(on("2027-03-01"), first);
            let window = Window { first: Some(first), last: keeps.map(|days| later(first, days)) };
            let amount = width.map_or(sure(), |w| ranged(litres * (1.0 - w), litres, litres * (1.0 + w)));
            (Lot { amount: ml(litres), window, untreated, ..Lot::default() }, amount)
        };
        lots.into_iter().map(lot).collect()
    })
}

/// What a demand may ask besides an amount.
#[derive(Debug, Clone, Copy)]
struct Asked {
    litres: f64,
    days: (Option<u64>, Option<u64>),
    priority: u8,
    pieces: Option<u32>,
    minimum: Option<f64>,
    limit: Option<u64>,
}

fn asked() -> impl Strategy<Value = Asked> {
    (
        5.0_f64..80.0,
        (prop::option::weighted(0.8, 0_u64..250), prop::option::weighted(0.8, 0_u64..90)),
        1_u8..4,
        prop::option::weighted(0.3, 1_u32..9),
        prop::option::weighted(0.3, 0.1_f64..1.0),
        prop::option::weighted(0.3, 0_u64..300),
    )
        .prop_map(|(litres, days, priority, pieces, minimum, limit)| Asked {
            litres,
            days,
            priority,
            pieces,
            minimum,
            limit,
        })
}

/// Demands with open ends, in portions, with minimums and limits for raw castings.
fn requirements() -> impl Strategy<Value = Vec<(Requirement, Amount)>> {
    prop::collection::vec((asked(), prop::option::of(0.1_f64..0.9)), 1..8).prop_map(|requirements| {
        let day = |days: u64| later(on("2027-03-01"), days);
        let requirement = |(Asked { litres, days: (first, length), priority, pieces, minimum, limit }, width): (
            Asked,
            Option<f64>,
        )| {
            let window = Window { first: first.map(day), last: length.map(|length| day(first.unwrap_or(0) + length)) };
            let untreated = limit.map_or(Limit::Always, |limit| Limit::Until(day(limit)));
            let part = Part {
                amount: ml(litres),
                window,
                pieces,
                eligibility: Eligibility { treated: Limit::Always, untreated },
                ..Part::default()
            };
            let minimum = minimum.map(|share| ml(litres * share));
            let amount = width.map_or(sure(), |w| ranged(litres * (1.0 - w), litres, litres * (1.0 + w)));
            (
                Requirement { parts: vec![part], priority, whole_portions: pieces.is_some(), minimum, grown: None },
                amount,
            )
        };
        requirements.into_iter().map(requirement).collect()
    })
}

/// The same without portions, minimums, limits or ranges of demands.
fn plain(requirements: Vec<(Requirement, Amount)>) -> Vec<(Requirement, Amount)> {
    let of = |(mut requirement, _): (Requirement, Amount)| {
        (requirement.whole_portions, requirement.minimum) = (false, None);
        requirement.parts.iter_mut().for_each(|part| part.eligibility = Eligibility::default());
        (requirement, sure())
    };
    requirements.into_iter().map(of).collect()
}

fn follow(season: &Season<'_>) -> PlanChances {
    plan_chances(season, &plan(season, Off).unwrap(), (60, 7)).unwrap()
}

proptest! {
    #![proptest_config(laws(1_000))]

    /// Everybody is served no oftener than the one who is served least; what is allocated comes no rarer than all; and a chance by
    /// a date never rises.
    #[test]
    fn chances_keep_their_order(stock in stock(), requirements in requirements()) {
        let none = Overrides::default();
        let found = follow(&season(stock, requirements, &none));
        prop_assert!(found.demands.iter().all(|demand| demand.full <= demand.allocated && demand.full >= found.enough));
        prop_assert!(found.by_date.windows(2).all(|w| w[0].date < w[1].date && w[0].enough >= w[1].enough));
        prop_assert_eq!(found.by_date.last().map(|by| by.enough), Some(found.enough));
    }

    /// Certain castings more, there from the first day and for good, do not lower the chance that everybody gets all.
    #[test]
    fn certain_stock_from_the_first_day_does_not_lower_the_chance_of_enough(stock in stock(), requirements in requirements(), more in 0.0_f64..60.0) {
        let none = Overrides::default();
        let before = follow(&season(stock.clone(), plain(requirements.clone()), &none));
        let with_more = stock.into_iter().chain([(lot(more, "", ""), sure())]).collect();
        let after = follow(&season(with_more, plain(requirements), &none));
        prop_assert!(after.enough >= before.enough, "{:?} {:?}", before, after);
    }

    /// Limits that bar nothing change nothing, though raw castings are then counted apart.
    #[test]
    fn bars_that_bar_nothing_change_nothing(stock in stock(), requirements in requirements()) {
        let none = Overrides::default();
        let requirements = plain(requirements);
        let mut far = requirements.clone();
        let limit = Limit::Until(on("2040-01-01"));
        far[0].0.parts[0].eligibility.untreated = limit;
        let keeps: Vec<_> = stock.into_iter().map(|(lot, amount)| (Lot { window: Window { last: None, ..lot.window }, ..lot }, amount)).collect();
        prop_assert_eq!(follow(&season(keeps.clone(), far, &none)), follow(&season(keeps, requirements, &none)));
    }

    /// Who may never use raw castings is served as if there were none.
    #[test]
    fn raw_castings_are_not_there_for_those_who_may_not_use_them(stock in stock(), requirements in requirements()) {
        let none = Overrides::default();
        let mut bound = requirements;
        for (requirement, _) in &mut bound {
            requirement.parts.iter_mut().for_each(|part| part.eligibility.untreated = Limit::Never);
        }
        let without = stock.iter().map(|(lot, amount)| {
            let amount_of = if lot.untreated { Millilitres::ZERO } else { lot.amount };
            (Lot { amount: amount_of, ..*lot }, if lot.untreated { sure() } else { amount.clone() })
        });
        let without = follow(&season(without.collect(), bound.clone(), &none));
        prop_assert_eq!(follow(&season(stock, bound, &none)), without);
    }

    /// A whole portion or a minimum of a single demand never makes it fuller; and a portion so small that it is nothing changes nothing.
    #[test]
    fn portions_and_minimums_are_no_gift(stock in stock(), one in asked()) {
        let none = Overrides::default();
        let (wanted, _) = &plain(vec![(requirement(one.litres, ("2027-06-01", "2027-08-01"), 1), sure())])[0];
        let least = Requirement { minimum: Some(ml(one.litres * one.minimum.unwrap_or(0.5))), ..wanted.clone() };
        let mut pots = Requirement { whole_portions: true, ..wanted.clone() };
        pots.parts[0].pieces = one.pieces.or(Some(3));
        let [alone, least, pots] = [wanted.clone(), least, pots].map(|requirement| follow(&season(stock.clone(), vec![(requirement, sure())], &none)));
        prop_assert!(least.enough <= alone.enough && pots.enough <= alone.enough);
    }
}

// ---------------------------------------------------------------------------
// Against an independent simulation
// ---------------------------------------------------------------------------

/// The season of demo-data/seasons/kitchen-garden.json in the core: two beds, a barrow in the shed, seven demands.
fn kitchen_garden<'a>([wall, loft]: [&'a Clocks; 2], request: &'a Overrides, none: &'a Overrides) -> Season<'a> {
    let feed = |bed: Bed| Bed { feed: Feed { moisture: share(0.75), ..bed.feed.clone() }, ..bed };
    let base = feed(bed(Supply::AsNeeded));
    let running = Some(Running { uneaten_feed: weighing(15.0), castings: weighing(0.18 * 220.0), layers_laid: 0 });
    let beds = [
        (
            Bed {
                area: square_metres(3.0),
                worms: Some(weighing(6.0)),
                running,
                start_on: on("2026-09-14"),
                ..base.clone()
            },
            wall,
        ),
        (
            Bed {
                area: square_metres(0.96),
                worms: None,
                start_on: on("2026-09-20"),
                layers_per_cycle: Some(2),
                cycles: Some(2),
                ..base
            },
            loft,
        ),
    ];
    let whole = |(requirement, amount): (Requirement, Amount), pieces| {
        let parts = requirement.parts.iter().map(|part| Part { pieces: Some(pieces), ..*part }).collect();
        (Requirement { parts, whole_portions: true, ..requirement }, amount)
    };
    let between = |litres, days, priority| (requirement(litres, days, priority), sure());
    let by_mass = Amount { factors: vec![Factor::By(CountedBy::Mass)], overrides: Overrides::default() };
    let batch = |day| requirement(3.0, (day, day), 3).parts;
    let tea =
        Requirement { parts: [batch("2027-06-11"), batch("2027-06-12")].concat(), ..requirement(6.0, ("", ""), 3) };
    Season {
        beds: beds
            .into_iter()
            .map(|(bed, clocks)| BedPlan { bed, clocks, overrides: none, manure: Manure::default() })
            .collect(),
        until: on("2027-07-31"),
        ..season(
            vec![(lot(65.0, "", "2027-06-30"), ranged(55.0, 65.0, 70.0))],
            vec![
                between(12.0, ("2027-02-20", "2027-03-20"), 1),
                at(48.0, "2027-03-25", 2),
                at(48.0, "2027-04-05", 2),
                at(57.6, "2027-04-05", 2),
                whole(between(54.0, ("2027-05-15", "2027-06-01"), 1), 36),
                (requirement(25.133, ("2027-05-10", "2027-05-25"), 2), by_mass),
                (tea, sure()),
            ],
            request,
        )
    }
}

/// The demo season, simulated by a program that shares nothing with this one (tests/fixtures/simulate_rule.py): the likely lots to the
/// millilitre, and the chances within four standard errors of both samples, with weather and without.
#[test]
fn an_independent_simulation_finds_the_same_chances() {
    let fixture = include_str!("../fixtures/rule.csv");
    let rows: Vec<Vec<&str>> = fixture.lines().map(|line| line.split(',').collect()).collect();
    let of = |case: &str| rows.iter().filter(|row| row[0] == case).collect::<Vec<_>>();
    let none = Overrides::default();
    let means = [2.0, 3.0, 6.0, 10.0, 14.0, 17.0, 19.0, 19.0, 15.0, 11.0, 6.0, 3.0];
    // As that program has it.
    let loss = (Assumption::OrganicMatterLoss, span(0.25, 0.4, 0.6));
    for (case, request) in
        [("alike", given(&[loss, (Assumption::YearToYear, Span::exactly(0.0))])), ("weather", given(&[loss]))]
    {
        let clocks =
            |climate, first| with(&request, |k| Clocks::new(&climate, (on(first), on("2027-07-31")), k)).unwrap();
        let (wall, loft) = (clocks(months(means, 6.0), "2026-09-14"), clocks(fixed(17.0), "2026-09-20"));
        let season = kitchen_garden([&wall, &loft], &request, &none);
        let planned = plan(&season, Off).unwrap();
        let lots = planned.lots.iter().skip(1);
        let lots =
            lots.map(|lot| (lot.window.first.unwrap().to_string(), format!("{:.3}", lot.amount.volume().litres())));
        assert_eq!(
            lots.collect::<Vec<_>>(),
            of("plan").iter().map(|row| (row[1].to_owned(), row[2].to_owned())).collect::<Vec<_>>()
        );
        let found = plan_chances(&season, &planned, (RUNS, 1)).unwrap();
        let mut counts: Vec<[Option<u32>; 2]> =
            found.demands.iter().map(|one| [Some(one.full), Some(one.allocated)]).collect();
        counts.push([Some(found.enough), None]);
        assert_eq!(counts.len(), of(case).len());
        for (counts, row) in counts.iter().zip(of(case)) {
            for (count, expected) in counts.iter().zip([row[2], row[3]]) {
                let (Some(count), expected) = (count, expected.parse::<f64>().unwrap()) else { continue };
                let found = f64::from(*count) / f64::from(RUNS);
                // The fixture has 10,000 runs; a share of 0 or 1 may be one of a few runs in it.
                let middle = expected.clamp(0.001, 0.999);
                let error = (middle * (1.0 - middle) * (1.0 / 10_000.0 + 1.0 / f64::from(RUNS))).sqrt();
                assert!((found - expected).abs() <= 4.0 * error, "{case}: {row:?}, but {found}");
            }
        }
    }
}
