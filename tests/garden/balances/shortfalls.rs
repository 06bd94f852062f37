//! By which day how much is short, and when sacks still help: against all groups of demands, and by laws.

use super::barred::{cases, may};
use super::shift::requirements;
use super::{SPAN, date, laws, ml, on, scarce};
use barrowful::garden::balances::additional_production::met_by_untreated;
use barrowful::garden::balances::allocation::{DatedShortfall, Demand, Eligibility, Lot, Window, allocate, shortfalls};
use barrowful::garden::balances::ledger::{first_shortfall_on, sacks_to_close};
use barrowful::garden::balances::{Part, Requirement, Terms, balance, balance_with};
use barrowful::garden::cautions::waiting::Limit;
use barrowful::garden::units::Millilitres;
use chrono::NaiveDate;
use proptest::prelude::*;

/// The last day on which a demand may draw on anything; `None` where it may not at all, `Some(None)` where it is open.
fn last_day(demand: &Demand) -> Option<Option<NaiveDate>> {
    demand.eligibility.treated.cut(demand.window).map(|window| window.last)
}

/// What is short by a day, or in the end: of all groups of demands that end by then, the most that a group asks above what all the lots
/// hold that any of it may use.
fn short_by(lots: &[Lot], demands: &[Demand], day: Option<NaiveDate>) -> u64 {
    let ends = |demand: &Demand| {
        last_day(demand).is_some_and(|last| day.is_none_or(|day| last.is_some_and(|last| last <= day)))
    };
    let due: Vec<usize> = (0..demands.len()).filter(|d| ends(&demands[*d])).collect();
    let asked_above = |group: usize| {
        let inside: Vec<usize> = due.iter().enumerate().filter(|(i, _)| group >> i & 1 == 1).map(|(_, d)| *d).collect();
        let asked: u64 = inside.iter().map(|d| demands[*d].amount.get()).sum();
        let used = |lot: &usize| inside.iter().any(|d| may((lots, demands), *lot, *d));
        let held: u64 = (0..lots.len()).filter(used).map(|lot| lots[lot].amount.get()).sum();
        asked.saturating_sub(held)
    };
    (0..1 << due.len()).map(asked_above).max().unwrap_or(0)
}

fn short_so_far(shortfalls: &[DatedShortfall], day: Option<NaiveDate>) -> u64 {
    let counts = |short: &&DatedShortfall| day.is_none_or(|day| short.by.is_some_and(|by| by <= day));
    shortfalls.iter().filter(counts).map(|short| short.amount.get()).sum()
}

fn is_met(lots: &[Lot], demands: &[Demand]) -> bool {
    let given = allocate(lots, demands).allocated;
    demands.iter().zip(given).all(|(demand, given)| last_day(demand).is_none() || given == demand.amount)
}

fn with_sacks(lots: &[Lot], sacks: impl IntoIterator<Item = (Option<NaiveDate>, u64)>) -> Vec<Lot> {
    // Those for which any day will do come last of all.
    let ready = |day: Option<NaiveDate>| Window { first: day.or(Some(date(SPAN + 1))), last: None };
    let bought =
        sacks.into_iter().map(|(day, amount)| Lot { amount: ml(amount), window: ready(day), ..Lot::default() });
    lots.iter().copied().chain(bought).collect()
}

fn agrees_with_all_groups(lots: &[Lot], demands: &[Demand]) -> Result<(), TestCaseError> {
    let found = shortfalls(lots, demands);
    prop_assert!(found.windows(2).all(|pair| pair[1].by.is_none_or(|later| pair[0].by.unwrap() < later)));
    for day in (0..=SPAN).map(|day| Some(date(day))).chain([None]) {
        prop_assert_eq!(short_so_far(&found, day), short_by(lots, demands, day));
    }
    Ok(())
}

/// So much that counts as raw manure, from a day on; that for which any day will do comes last of all.
fn untreated(amount: u64, first: Option<NaiveDate>) -> Lot {
    let first = first.or(Some(date(SPAN + 1)));
    Lot { amount: ml(amount), window: Window { first, last: None }, untreated: true, ..Lot::default() }
}

proptest! {
    #![proptest_config(laws())]

    #[test]
    fn what_is_short_by_each_day_is_what_the_worst_group_lacks((lots, demands) in scarce()) {
        agrees_with_all_groups(&lots, &demands)?;
    }

    #[test]
    fn with_barred_lots_too((lots, demands) in cases()) {
        agrees_with_all_groups(&lots, &demands)?;
    }

    /// All sacks on the first day something is short serve everybody; all on the day after do not.
    #[test]
    fn sacks_by_the_first_short_day_serve_everybody((lots, demands) in cases()) {
        let found = shortfalls(&lots, &demands);
        if let Some(day) = first_shortfall_on(&found, None) {
            let all = short_so_far(&found, None);
            prop_assert!(is_met(&with_sacks(&lots, [(Some(day), all)]), &demands));
            prop_assert!(!is_met(&with_sacks(&lots, [(day.succ_opt(), all)]), &demands));
        }
        let met = is_met(&lots, &demands);
        prop_assert_eq!(found.is_empty(), met);
    }

    /// Each purchase is as late as can be, and none is too many.
    #[test]
    fn no_sack_can_come_a_day_later_or_be_left_out((lots, demands) in cases(), holds in 1..40_000_u64) {
        let sacks = sacks_to_close(&shortfalls(&lots, &demands), ml(holds));
        let pairs = |late: usize| sacks.iter().enumerate().map(move |(i, sack)| {
            (if i == late { sack.by.unwrap().succ_opt() } else { sack.by }, sack.count * holds)
        });
        prop_assert!(is_met(&with_sacks(&lots, sacks.iter().map(|sack| (sack.by, sack.count * holds))), &demands));
        for (i, sack) in sacks.iter().enumerate() {
            if sack.by.is_some() {
                prop_assert!(!is_met(&with_sacks(&lots, pairs(i)), &demands));
            }
        }
        if let Some(first) = sacks.first() {
            let count: u64 = sacks.iter().map(|sack| sack.count).sum();
            prop_assert!(!is_met(&with_sacks(&lots, [(first.by, (count - 1) * holds)]), &demands));
        }
    }

    /// So much that counts as raw manure, there by each of these days, leaves short only what no amount of it can meet.
    #[test]
    fn what_raw_manure_can_meet_leaves_only_the_barred_short((lots, demands) in cases()) {
        let found = shortfalls(&lots, &demands);
        let met = met_by_untreated(&found, &lots, &requirements(&demands));
        let added = met.iter().map(|short| untreated(short.amount.get(), short.by));
        let all: Vec<Lot> = lots.iter().copied().chain(added).collect();
        let plenty = Lot { window: Window::default(), ..untreated(1_000_000_000_000, None) };
        let plenty: Vec<Lot> = lots.iter().copied().chain([plenty]).collect();
        let barred = short_so_far(&shortfalls(&plenty, &demands), None);
        prop_assert_eq!(short_so_far(&shortfalls(&all, &demands), None), barred);
        prop_assert_eq!(short_so_far(&met, None) + barred, short_so_far(&found, None));
        // A day later is too late.
        for (i, late) in met.iter().enumerate().filter(|(_, short)| short.by.is_some()) {
            let first = |(place, short): (usize, &DatedShortfall)| if place == i { late.by.unwrap().succ_opt() } else { short.by };
            let later = met.iter().enumerate().map(|short| untreated(short.1.amount.get(), first(short)));
            let all: Vec<Lot> = lots.iter().copied().chain(later).collect();
            prop_assert!(short_so_far(&shortfalls(&all, &demands), None) > barred);
        }
    }

    /// Who comes first, and in which portions, decides who is short, not how much or by when.
    #[test]
    fn priorities_change_nothing((lots, mut demands) in cases()) {
        let found = shortfalls(&lots, &demands);
        for demand in &mut demands {
            (demand.priority, demand.portions) = (1, None);
        }
        prop_assert_eq!(shortfalls(&lots, &demands), found);
    }
}

fn requirement(litres: u64, window: Window) -> Requirement {
    let parts = vec![Part { amount: ml(litres * 1_000), window, ..Part::default() }];
    Requirement { parts, priority: 1, ..Requirement::default() }
}

/// Worked by hand: 60 L are there; 40 L are due on day 10 and 48 L on day 20. Shared evenly both are short, but only by day 20 is it
/// too much: one sack of 40 L on day 20 serves both.
#[test]
fn an_even_share_is_short_before_the_stock_is() {
    let lots = [Lot { amount: ml(60_000), ..Lot::default() }];
    let balance = balance(&lots, &[requirement(40, on(10)), requirement(48, on(20))], Some(ml(40_000)));
    assert!(balance.demands.iter().all(|served| served.shortfall > Millilitres::ZERO));
    assert_eq!(balance.first_shortfall_on, Some(date(20)));
    assert_eq!(balance.sacks.iter().map(|sack| (sack.by, sack.count)).collect::<Vec<_>>(), [(Some(date(20)), 1)]);
    assert_eq!(balance.shortfalls, [DatedShortfall { by: Some(date(20)), amount: ml(28_000) }]);
}

/// What is asked without a last day counts at the end: on the last of all dates, or on the last day of the season.
#[test]
fn open_demands_count_at_the_end() {
    let lots = [Lot { amount: ml(60_000), window: Window { first: Some(date(12)), last: None }, ..Lot::default() }];
    let requirements = [requirement(40, on(15)), requirement(48, Window { first: Some(date(3)), last: None })];
    assert_eq!(balance(&lots, &requirements, None).first_shortfall_on, Some(date(15)));
    assert_eq!(
        balance_with(&lots, &requirements, Terms { until: Some(date(30)), ..Terms::default() }).first_shortfall_on,
        Some(date(30))
    );
    let undated = [Lot { amount: ml(1_000), ..Lot::default() }];
    assert_eq!(balance(&undated, &[requirement(2, Window::default())], None).first_shortfall_on, None);
}

/// What may draw on no day at all is short on its last day, and no sack helps.
#[test]
fn what_nothing_can_serve_is_short_on_its_last_day() {
    let mut tea = requirement(10, on(8));
    tea.parts[0].eligibility = Eligibility { treated: Limit::Never, untreated: Limit::Never };
    let balance = balance(&[], &[tea, requirement(5, on(20))], Some(ml(5_000)));
    assert_eq!(balance.first_shortfall_on, Some(date(8)));
    assert_eq!(balance.sacks.iter().map(|sack| (sack.by, sack.count)).collect::<Vec<_>>(), [(Some(date(20)), 1)]);
}
