//! The options where something is short: each keeps what it says.

use crate::balances::barred::cases;
use crate::balances::shift::requirements;
use crate::balances::{SPAN, date, laws, ml};
use crate::seasons::{exact, ranged, season};
use barrowful::garden::balances::allocation::{Lot, Window, allocate};
use barrowful::garden::balances::before::BeforeSupply;
use barrowful::garden::balances::options::{
    OptionKind, Per, ProductionPrices, Sack, ShortfallOption, Situation, UnitPrice, options,
};
use barrowful::garden::balances::{Balance, Part, Requirement, Terms, balance, balance_with, open_from};
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::options::{Change, Runs, chance_with};
use barrowful::garden::seasons::{Amount, Season, plan};
use barrowful::garden::units::{Mass, Volume};
use barrowful::garden::work::Work;
use chrono::NaiveDate;
use proptest::prelude::*;

fn of(
    (balance, requirements): (&Balance, &[Requirement]),
    sack: Option<Sack>,
    as_of: Option<NaiveDate>,
) -> Vec<ShortfallOption> {
    options(Situation { requirements, balance, as_of }, sack, &[], |_| None)
}

fn total_short(balance: &Balance) -> u64 {
    balance.demands.iter().map(|served| served.shortfall.get()).sum()
}

fn find(all: &[ShortfallOption], kind: OptionKind) -> Option<ShortfallOption> {
    all.iter().copied().find(|option| option.kind == kind)
}

proptest! {
    #![proptest_config(laws())]

    /// Sacks on the day to act leave short exactly what the option says, whatever today is.
    #[test]
    fn sacks_leave_short_what_they_say(
        (mut lots, mut demands) in cases(),
        holds in 1..40_000_u64,
        today in proptest::option::of(0..SPAN),
        price in 0..50_u8,
    ) {
        demands.iter_mut().for_each(|demand| demand.portions = None);
        let requirements = requirements(&demands);
        let plan = balance(&lots, &requirements, None);
        let today = today.map(date);
        let sack = Sack { holds: ml(holds), price: Some(f64::from(price)) };
        if let Some(option) = find(&of((&plan, &requirements), Some(sack), today), OptionKind::Sacks) {
            let count = option.sacks.unwrap();
            prop_assert!(option.act_by.is_none_or(|by| today.is_none_or(|today| by >= today)));
            // The list of sacks to buy from today on is the same.
            let terms = Terms { sack: Some(ml(holds)), until: None, as_of: today };
            let listed = balance_with(&lots, &requirements, terms).sacks.into_iter().filter(|of| of.by.is_none() || of.by >= today);
            prop_assert_eq!(listed.map(|of| of.count).sum::<u64>(), count);
            prop_assert_eq!(option.cost.unwrap(), f64::from(price) * f64::from(u32::try_from(count).unwrap()));
            let ready = option.act_by.unwrap_or(date(SPAN + 1));
            lots.push(Lot {
                amount: ml(count * holds), window: Window { first: Some(ready), last: None }, ..Lot::default()
            });
            let given: u64 = allocate(&lots, &demands).allocated.iter().map(|given| given.get()).sum();
            let asked: u64 = demands.iter().map(|demand| demand.amount.get()).sum();
            prop_assert_eq!(asked - given, option.shortfall.get());
        }
    }

    /// Opened from today on, who has days left draws only on lots, and within limits, that have some left too. Where all have, nothing changes
    /// in how much anybody gets.
    #[test]
    fn what_has_ended_before_today_serves_nobody_who_lies_ahead((lots, demands) in cases(), today in 0..SPAN) {
        let (asked, today) = (requirements(&demands), date(today));
        let mut opened = asked.clone();
        open_from(&mut opened, today);
        let plan = balance(&lots, &opened, None);
        let is_ahead = |last: Option<NaiveDate>| last.is_none_or(|last| last >= today);
        for (demand, served) in demands.iter().zip(&plan.demands).filter(|(demand, _)| is_ahead(demand.window.last)) {
            for draw in &served.allocations {
                let lot = lots[draw.lot];
                prop_assert!(is_ahead(lot.window.last) && demand.eligibility.limit(lot.untreated).allows(today));
                prop_assert!(draw.on >= Some(today));
            }
        }
        let all_go_on = lots.iter().all(|lot| is_ahead(lot.window.last))
            && demands.iter().all(|demand| [true, false].iter().all(|raw| demand.eligibility.limit(*raw).allows(today)));
        if all_go_on {
            let given = |plan: &Balance| plan.demands.iter().map(|served| served.allocated).collect::<Vec<_>>();
            prop_assert_eq!(given(&plan), given(&balance(&lots, &asked, None)));
        }
    }

    /// The same share can be given to everybody, and up to the day to act the plan has given nobody more.
    #[test]
    fn the_same_share_can_be_kept_up_to_its_day((lots, mut demands) in cases()) {
        demands.iter_mut().for_each(|demand| demand.portions = None);
        let plan = balance(&lots, &requirements(&demands), None);
        let Some(same) = plan.same_share else { return Ok(()) };
        let share = plan.pro_rata_share.unwrap();
        let (mut asked, mut lacks) = (0, 0.0);
        for (demand, served) in demands.iter().zip(&plan.demands) {
            let amount = demand.amount.get();
            let before = served.allocations.iter().filter(|draw| draw.on.is_some() && draw.on < same.act_by);
            let got: u64 = before.map(|draw| draw.amount.get()).sum();
            let part = f64::from(u32::try_from(amount).unwrap()) * share;
            prop_assert!(same.act_by.is_none() || f64::from(u32::try_from(got).unwrap()) <= part + 1.001);
            (asked, lacks) = (asked + 1, lacks + f64::from(u32::try_from(amount).unwrap()) - part);
        }
        // Each is rounded down to whole millilitres.
        let said = f64::from(u32::try_from(same.shortfall.get()).unwrap());
        prop_assert!(said + 1e-6 >= lacks && said <= lacks + f64::from(asked) + 1e-6, "{said} {lacks}");
    }

    /// With the sacks of the option, what everybody gets is as planned up to the day that is said; who is said to get all before they come does so
    /// with them, and not in the plan; and nobody else does whose days end before.
    #[test]
    fn what_changes_before_sacks_come_is_said_to_its_day(
        (mut lots, mut demands) in cases(), today in proptest::option::of(0..SPAN),
    ) {
        demands.iter_mut().for_each(|demand| demand.portions = None);
        let requirements = requirements(&demands);
        let plan = balance(&lots, &requirements, None);
        let as_of = today.map(date);
        let situation = Situation { requirements: &requirements, balance: &plan, as_of };
        let sack = Sack { holds: ml(1), price: None };
        let Some(option) = find(&of((&plan, &requirements), Some(sack), as_of), OptionKind::Sacks) else { return Ok(()) };
        let said = situation.before(OptionKind::Sacks, &lots, &[]);
        let ready = option.act_by.unwrap_or(NaiveDate::MAX);
        lots.push(Lot {
            amount: ml(option.sacks.unwrap()), window: Window { first: Some(ready), last: None }, ..Lot::default()
        });
        let with_sacks = allocate(&lots, &demands);
        let is_changed = |i: usize| {
            let (demand, got) = (demands[i], with_sacks.allocated[i]);
            let ends = demand.window.last.is_some_and(|last| last < ready && as_of.is_none_or(|today| last >= today));
            ends && plan.demands[i].allocated < demand.amount && got == demand.amount
        };
        let changed: Vec<usize> = (0..demands.len()).filter(|i| is_changed(*i)).collect();
        let in_full = said.as_ref().map(|said| said.in_full.clone()).unwrap_or_default();
        prop_assert_eq!(&in_full, &changed);
        let Some(said) = said else { return Ok(()) };
        prop_assert_eq!(said.until, option.act_by);
        prop_assert!(said.from < ready);
        for (i, served) in plan.demands.iter().enumerate() {
            let is_before = |on: Option<NaiveDate>| on.or(demands[i].window.last).is_some_and(|on| on < said.from);
            let planned: u64 = served.allocations.iter().filter(|of| is_before(of.on)).map(|of| of.amount.get()).sum();
            let draws = with_sacks.allotments.iter().filter(|draw| draw.demand == i && is_before(draw.on));
            let bought: u64 = draws.map(|draw| draw.amount.get()).sum();
            prop_assert!(planned == bought || as_of == Some(said.from), "{i}: {planned} {bought}");
        }
    }

    /// Nothing is offered where nobody is short; the rest is in order of its cost, and none leaves more short than all.
    #[test]
    fn options_are_sorted_and_only_there_where_something_is_short((lots, demands) in cases(), priced: bool) {
        let requirements = requirements(&demands);
        let plan = balance(&lots, &requirements, None);
        let sack = Sack { holds: ml(700), price: priced.then_some(3.0) };
        let all = of((&plan, &requirements), Some(sack), None);
        let cost = |option: &ShortfallOption| option.cost.unwrap_or(f64::INFINITY);
        prop_assert!(all.windows(2).all(|pair| cost(&pair[0]) <= cost(&pair[1])));
        if total_short(&plan) == 0 {
            prop_assert!(all.is_empty());
        }
        let most = total_short(&plan) + u64::try_from(demands.len()).unwrap();
        prop_assert!(all.iter().all(|option| option.shortfall.get() <= most));
        if let Some(bought) = find(&all, OptionKind::Sacks) {
            prop_assert!(bought.shortfall.get() <= total_short(&plan));
            prop_assert_eq!(bought.act_by, plan.shortfalls[0].by);
        }
        if let Some(later) = find(&all, OptionKind::LaterSupply) {
            prop_assert!(later.shortfall.get() < total_short(&plan) && later.act_by.is_some());
        }
    }
}

/// By hand: 110 L, needed are 60 L on day 20 first and 100 L on day 10 after it. The plan gives 60 and 50 L, the same share 41.25 and 68.75 L: who
/// has day 10 as its last gets less in the plan, and cannot have more later.
#[test]
fn the_same_share_is_decided_before_somebody_gets_less() {
    let lots = [Lot { amount: ml(110_000), ..Lot::default() }];
    let requirements = [requirement(100, 10, 2), requirement(60, 20, 1)];
    let same = balance(&lots, &requirements, None).same_share.unwrap();
    assert!(!same.is_planned);
    assert_eq!((same.shortfall, same.act_by), (ml(50_000), Some(date(10))));
    // Of what nothing is given, the last day counts.
    let lots = [Lot { amount: ml(60_000), ..Lot::default() }];
    assert_eq!(balance(&lots, &requirements, None).same_share.unwrap().act_by, Some(date(10)));
}

fn requirement(litres: u64, on: u64, priority: u8) -> Requirement {
    let window = Window { first: Some(date(on)), last: Some(date(on)) };
    let parts = vec![Part { amount: ml(litres * 1_000), window, ..Part::default() }];
    Requirement { parts, priority, ..Requirement::default() }
}

/// By hand: of 20 L the first priority gets all on day 1, though its days last to day 60, and a demand of day 20 gets nothing. Castings by day 60
/// are enough only if the first waits for them, from day 1 on.
#[test]
fn who_waits_for_castings_that_are_bought_leaves_its_own_to_others() {
    let lots = [Lot { amount: ml(20_000), ..Lot::default() }];
    let mut requirements = [requirement(20, 60, 1), requirement(20, 20, 2)];
    requirements[0].parts[0].window.first = Some(date(1));
    let plan = balance(&lots, &requirements, None);
    let before = |as_of| {
        let situation = Situation { requirements: &requirements, balance: &plan, as_of };
        situation.before(OptionKind::Sacks, &lots, &[])
    };
    let said =
        |from| Some(BeforeSupply { from: date(from), until: Some(date(60)), in_full: vec![1], waiting: vec![0] });
    assert_eq!(before(None), said(1));
    assert_eq!(before(Some(date(5))), said(5));
    // Its day is over: nothing can be changed for it.
    assert_eq!(before(Some(date(21))), None);
}

/// By hand: 60 L are there and 60 L more come on day 25. 40 L are needed on day 10, 50 L on day 20, in this order of priority. 30 L are short on
/// day 20: a sack of 40 L by then, or that demand waits until day 25. The same share is 60 of 90 L, 26.666 and 33.333 L: 30.001 L are lacking, no
/// more than in the plan but for whole millilitres, and the plan gives more on day 10.
#[test]
fn a_case_by_hand() {
    let lots = [
        Lot { amount: ml(60_000), ..Lot::default() },
        Lot { amount: ml(60_000), window: Window { first: Some(date(25)), last: None }, ..Lot::default() },
    ];
    let requirements = [requirement(40, 10, 1), requirement(50, 20, 2)];
    let plan = balance(&lots, &requirements, None);
    let sack = Sack { holds: ml(40_000), price: Some(9.9) };
    let all = of((&plan, &requirements), Some(sack), None);
    let rows: Vec<_> = all.iter().map(|o| (o.kind, o.act_by, o.shortfall.get(), o.cost, o.sacks)).collect();
    assert_eq!(
        rows,
        [
            (OptionKind::LaterSupply, Some(date(20)), 0, Some(0.0), None),
            (OptionKind::ProRataShare, Some(date(10)), 30_001, Some(0.0), None),
            (OptionKind::Sacks, Some(date(20)), 0, Some(9.9), Some(1)),
        ]
    );
    // Today is the day after: no sack comes in time any more.
    assert_eq!(find(&of((&plan, &requirements), Some(sack), Some(date(21))), OptionKind::Sacks), None);
}

/// What is without a price is not bought: 300 L of leaves at 2 for 100 L, 20 kg of litter at 1.5 for 10 kg, and 4 kg of worms at 30 a kilogram.
#[test]
fn worms_and_materials_cost_what_their_prices_say() {
    let (kg, litres) = (Mass::from_kilograms, Volume::from_litres);
    let price = |price, per| Some(UnitPrice { price, per });
    let leaves = price(2.0, Per::Volume(litres(100.0)));
    let litter = price(1.5, Per::Mass(kg(10.0)));
    let worms = price(30.0, Per::Mass(kg(1.0)));
    let amounts = || [(kg(21.0), litres(300.0)), (kg(20.0), litres(40.0))].into_iter();
    let cost = |worms, materials| ProductionPrices { worms, materials }.cost(kg(4.0), amounts());
    assert_eq!(cost(worms, vec![leaves, litter]), Some(120.0 + 6.0 + 3.0));
    assert_eq!(cost(None, vec![leaves, None]), Some(6.0));
    assert_eq!(cost(None, vec![None, None]), None);
}

const RUNS: (u32, u64) = (20_000, 1);

fn played(season: &Season<'_>, change: Change<'_>) -> Option<u32> {
    let how = Runs { runs: RUNS, most_steps: u64::MAX, beside: Work::default(), climate_days: 0, goal: 0 };
    chance_with(season, change, how).and_then(|chance| chance.enough)
}

fn dated(litres: u64, on: u64) -> (Requirement, Amount) {
    (requirement(litres, on, 1), Amount::default())
}

/// Closed form: 55 to 70 L are there, likely 65; 100 L are needed. A sack of 40 L is enough from 60 L on, in the middle between the least and the
/// likely value: a half of (1 - 1/2)^2 lies below, so 87.5 % of the runs are enough.
#[test]
fn a_sack_makes_a_season_as_sure_as_by_hand() {
    let none = exact();
    let lot = |litres: u64| Lot { amount: ml(litres * 1_000), ..Lot::default() };
    let season = season(vec![(lot(65), ranged(55.0, 65.0, 70.0))], vec![dated(100, 10)], &none);
    let plain = Lot { window: Window { first: Some(date(10)), last: None }, ..lot(40) };
    let enough = f64::from(played(&season, Change::Bought(plain)).unwrap()) / f64::from(RUNS.0);
    assert!((enough - 0.875).abs() < 0.01, "{enough}");
    // A day late it is of no use, and certain castings in plenty are always enough.
    let late = Lot { window: Window { first: Some(date(11)), last: None }, ..lot(40) };
    assert_eq!(played(&season, Change::Bought(late)), Some(0));
    assert_eq!(played(&season, Change::Bought(Lot { window: plain.window, ..lot(45) })), Some(RUNS.0));
    // As many steps as it takes, and no more.
    let how = |most_steps| Runs { runs: RUNS, most_steps, beside: Work::default(), climate_days: 0, goal: 0 };
    let steps = chance_with(&season, Change::Bought(plain), how(u64::MAX)).unwrap().steps;
    let enough = |most| chance_with(&season, Change::Bought(plain), how(most)).unwrap().enough;
    assert!(enough(steps).is_some());
    assert_eq!(enough(steps - 1), None);
    // Where the answer shares out as much as one may, the changed season is not shared out.
    let full = Runs { beside: Work::steps(u64::MAX), ..how(u64::MAX) };
    assert_eq!(chance_with(&season, Change::Bought(plain), full), None);
}

/// 40 L come on day 20, 30 to 50 L of them; 40 L are needed on day 10, and who waits gets them in half of the runs.
#[test]
fn waiting_makes_a_season_as_sure_as_what_is_waited_for() {
    let none = exact();
    let later = Lot { amount: ml(40_000), window: Window { first: Some(date(20)), last: None }, ..Lot::default() };
    let season = season(vec![(later, ranged(30.0, 40.0, 50.0))], vec![dated(40, 10)], &none);
    let plan = plan(&season, Off).unwrap();
    let enough = f64::from(played(&season, Change::Waiting(&plan.balance.later_supply)).unwrap()) / f64::from(RUNS.0);
    assert!((enough - 0.5).abs() < 0.01, "{enough}");
    assert_eq!(played(&season, Change::Waiting(&[])), Some(0));
}
