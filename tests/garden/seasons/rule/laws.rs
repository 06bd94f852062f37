//! The laws of the rule, on stock and demands at large.

use crate::beds::laws::later;
use crate::seasons::{lot, ml, ranged, requirement, season, sure};
use crate::support::{laws, on};
use barrowful::garden::assumptions::Overrides;
use barrowful::garden::balances::allocation::{Eligibility, Lot, Window};
use barrowful::garden::balances::options::{OptionKind, Sack, Situation, options};
use barrowful::garden::balances::{Part, Requirement};
use barrowful::garden::cautions::waiting::Limit;
use barrowful::garden::figures::Off;
use barrowful::garden::seasons::options::{Change, Runs, chance_with};
use barrowful::garden::seasons::{Amount, PlanChances, Season, plan, plan_chances};
use barrowful::garden::units::{Millilitres, whole};
use barrowful::garden::work::Work;
use proptest::prelude::*;

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
pub fn requirements() -> impl Strategy<Value = Vec<(Requirement, Amount)>> {
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

    /// Where nothing is uncertain and castings keep, sacks that are bought as the option says serve everybody in every run.
    #[test]
    fn sacks_bought_as_the_option_says_are_enough(stock in stock(), requirements in requirements()) {
        let none = Overrides::default();
        let keeps = |(lot, _): (Lot, Amount)| (Lot { window: Window { last: None, ..lot.window }, ..lot }, sure());
        let holds = ml(1.0);
        let mut season = Season { sack: Some(holds), ..season(stock.into_iter().map(keeps).collect(), plain(requirements), &none) };
        // Nobody is asked for after the season.
        let until = season.until;
        for part in season.requirements.iter_mut().flat_map(|(requirement, _)| &mut requirement.parts) {
            let Window { first, last } = part.window;
            part.window = Window { first: first.map(|day| day.min(until)), last: last.map(|day| day.min(until)) };
        }
        let planned = plan(&season, Off).unwrap();
        let situation = Situation { requirements: &planned.requirements, balance: &planned.balance, as_of: None };
        let all = options(situation, Some(Sack { holds, price: None }), &[], |_| None);
        if let Some(option) = all.iter().find(|option| option.kind == OptionKind::Sacks) {
            let bought = season.bought(ml(whole(option.sacks.unwrap())), option.act_by);
            let how = Runs { runs: (2, 7), most_steps: u64::MAX, beside: Work::default(), climate_days: 0, goal: 0 };
            let chance = chance_with(&season, Change::Bought(bought), how).unwrap();
            prop_assert_eq!((chance.enough, chance.shortfall), (Some(2), option.shortfall), "{:?} {:?}", option, planned.balance);
        }
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
