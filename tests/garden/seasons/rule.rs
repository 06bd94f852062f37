//! The rule that a grower follows, run by run: closed forms.

mod laws;
mod simulated;

use super::{RUNS, assert_chance, exact_but, lot, ml, played, ranged, requirement, season, sure, window};
use crate::beds::laws::later;
use crate::beds::{bed, fixed, weighing};
use crate::draws::below;
use crate::support::{on, span, with};
use barrowful::garden::assumptions::CountedBy;
use barrowful::garden::assumptions::{Assumption, Overrides};
use barrowful::garden::balances::allocation::{Eligibility, Lot};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::beds::{Bed, Clocks, Supply};
use barrowful::garden::cautions::waiting::{Limit, Manure};
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::{Amount, BedPlan, DemandChance, Factor, PlanChances, Season, plan, plan_chances};

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

/// 50 L of what is there and what comes on 1 May go to the demand that ends in April, whatever its priority: the other can wait until June.
#[test]
fn who_can_wait_leaves_castings_to_who_cannot() {
    let stock = || vec![(lot(100.0, "", ""), sure()), (lot(55.0, "2027-05-01", ""), ranged(30.0, 55.0, 70.0))];
    for priority in [1, 2] {
        let long = requirement(100.0, ("2027-04-01", "2027-06-01"), 1);
        let short = requirement(50.0, ("2027-04-01", "2027-04-30"), priority);
        let found = chances(stock(), vec![(long, sure()), (short, sure())]);
        assert_chance(found.demands[0].full, 1.0 - below(span(30.0, 55.0, 70.0), 50.0));
        assert_eq!(found.demands[1], DemandChance { full: RUNS, allocated: RUNS });
        assert_eq!(found.enough, found.demands[0].full);
    }
}

/// 50 L that keep, 60 L that come on 1 May; 100 L are needed by 1 June, 40 L on 20 April. What expires on 15 April is for the first, which can wait
/// for the rest, and leaves the 40 L that keep to the second, however much expires and however the first is served. So the second has its castings
/// in every run, and the first where 30 L expire, or where it needs no more than there is.
#[test]
fn who_waits_takes_at_once_only_what_would_expire() {
    let expiring = |litres: f64, amount| (lot(litres, "", "2027-04-15"), amount);
    let long = || requirement(100.0, ("2027-04-01", "2027-06-01"), 1);
    let portions = || {
        let part =
            Part { amount: ml(100.0), window: window("2027-04-01", "2027-06-01"), pieces: Some(10), ..Part::default() };
        Requirement { parts: vec![part], whole_portions: true, ..long() }
    };
    let with_minimum = || Requirement { minimum: Some(ml(50.0)), ..long() };
    let span_of = span(10.0, 40.0, 50.0);
    let cases = [
        (expiring(40.0, sure()), long(), 1.0),
        (expiring(30.0, sure()), portions(), 1.0),
        (expiring(30.0, sure()), with_minimum(), 1.0),
        (expiring(40.0, ranged(10.0, 40.0, 50.0)), long(), 1.0 - below(span_of, 30.0)),
        (expiring(40.0, ranged(10.0, 40.0, 50.0)), with_minimum(), 1.0 - below(span_of, 30.0)),
        (expiring(1.0, sure()), portions(), 0.0),
    ];
    for (stock, long, chance) in cases {
        let keeps = [(lot(50.0, "", ""), sure()), (lot(60.0, "2027-05-01", ""), sure())];
        let short = requirement(40.0, ("2027-04-20", "2027-04-30"), 1);
        let found = chances([&[stock][..], &keeps].concat(), vec![(long, sure()), (short, sure())]);
        assert_chance(found.demands[0].full, chance);
        assert_eq!(found.demands[1], DemandChance { full: RUNS, allocated: RUNS });
    }
}

/// 20 L are likely to expire on 15 April, and 90 L to come on 1 May, for 100 L by 1 June. In a run with more of what expires, that is taken too,
/// whether somebody else has an earlier day or not.
#[test]
fn who_waits_loses_nothing_that_expires_meanwhile() {
    let stock = || {
        vec![
            (lot(20.0, "", "2027-04-15"), ranged(0.0, 20.0, 90.0)),
            (lot(90.0, "2027-05-01", ""), ranged(10.0, 90.0, 95.0)),
        ]
    };
    let long = || (requirement(100.0, ("2027-04-01", "2027-06-01"), 2), sure());
    let other = (requirement(1.0, ("2027-04-20", "2027-04-20"), 1), sure());
    let own = (lot(1.0, "2027-04-20", "2027-04-20"), sure());
    let alone = chances(stock(), vec![long()]);
    let beside = chances([stock(), vec![own]].concat(), vec![long(), other]);
    assert_chance(beside.demands[0].full, f64::from(alone.demands[0].full) / f64::from(RUNS));
}

/// Castings that nobody may use after 3 June are used by then, though nothing has a date: 120 days before 1 October.
#[test]
fn a_limit_is_a_day_of_the_season() {
    let limited = |day: &str| {
        let until = Eligibility { treated: Limit::Always, untreated: Limit::Until(on(day)) };
        let part = Part { amount: ml(40.0), eligibility: until, ..Part::default() };
        (Requirement { parts: vec![part], ..requirement(40.0, ("", ""), 1) }, sure())
    };
    let raw = Lot { untreated: true, ..lot(60.0, "", "") };
    let found = chances(vec![(raw, sure())], vec![limited("2027-06-03")]);
    assert_eq!(found.demands[0], DemandChance { full: RUNS, allocated: RUNS });
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
