//! Whole portions: against every way of giving whole portions, tried one by one.

use super::{laws, ml};
use barrowful::garden::balances::allocation::{Demand, Fraction, Lot, Window, allocate};
use proptest::prelude::*;

/// So many portions of a size.
fn demand(portions: u32, size: u64) -> Demand {
    Demand {
        amount: ml(u64::from(portions) * size),
        window: Window::default(),
        priority: 1,
        portions: Some(portions),
        eligibility: Default::default(),
    }
}

fn shares(counts: &[u32], asked: &[u32]) -> Vec<Fraction> {
    let mut shares: Vec<Fraction> = counts
        .iter()
        .zip(asked)
        .filter_map(|(count, asked)| Fraction::new(u128::from(*count), u128::from(*asked)))
        .collect();
    shares.sort_unstable();
    shares
}

/// Every way to give so many portions of one size in all at the most.
fn ways(asked: &[u32], total: u32) -> Vec<Vec<u32>> {
    let Some((first, rest)) = asked.split_first() else { return vec![Vec::new()] };
    let with = |count: u32| {
        let others = ways(rest, total - count).into_iter();
        others.map(move |other| std::iter::once(count).chain(other).collect::<Vec<u32>>())
    };
    (0..=(*first).min(total)).flat_map(with).collect()
}

/// 5 L for one plant of 1 L and ten of 1 L: 45 % of each. The one plant is not left out for the sake of a tenth of the other row.
#[test]
fn a_single_plant_is_not_left_out() {
    let lots = [Lot { amount: ml(5_000), ..Lot::default() }];
    let given = allocate(&lots, &[demand(1, 1_000), demand(10, 1_000)]).allocated;
    assert_eq!(given, [ml(1_000), ml(4_000)]);
}

proptest! {
    #![proptest_config(laws())]

    /// From one lot, in portions of one size, no other way that leaves everybody the fair share rounded down is more even: the smallest share
    /// is the largest that it can be, then the second smallest, and so on.
    #[test]
    fn no_other_whole_portions_are_more_even(
        asked in proptest::collection::vec(1_u32..7, 1..5),
        size in 1_u64..5,
        stock in 0_u64..60,
    ) {
        let demands: Vec<Demand> = asked.iter().map(|portions| demand(*portions, size)).collect();
        let given = allocate(&[Lot { amount: ml(stock), ..Lot::default() }], &demands).allocated;
        let counts: Vec<u32> = given.iter().map(|given| u32::try_from(given.get() / size).unwrap_or(0)).collect();
        prop_assert!(given.iter().all(|given| given.get() % size == 0));
        let total = u32::try_from(stock / size).unwrap_or(0);
        let all: u64 = demands.iter().map(|demand| demand.amount.get()).sum();
        let fair = |asked: &u32| u64::from(*asked) * stock.min(all) / all;
        let enough = |counts: &&Vec<u32>| counts.iter().zip(&asked).all(|(count, asked)| u64::from(*count) >= fair(asked));
        let best = ways(&asked, total).iter().filter(enough).map(|counts| shares(counts, &asked)).max();
        prop_assert_eq!(Some(shares(&counts, &asked)), best);
    }

    /// Of portions of any size: each has its fair share rounded down at least, and nobody can take one portion more of what is left.
    #[test]
    fn nobody_has_less_than_the_fair_share_rounded_down(
        asked in proptest::collection::vec((1_u32..7, 1_u64..9), 1..6),
        stock in 0_u64..120,
    ) {
        let demands: Vec<Demand> = asked.iter().map(|(portions, size)| demand(*portions, *size)).collect();
        let given = allocate(&[Lot { amount: ml(stock), ..Lot::default() }], &demands).allocated;
        let all: u64 = demands.iter().map(|demand| demand.amount.get()).sum();
        let left = stock.saturating_sub(given.iter().map(|given| given.get()).sum());
        for (given, (portions, size)) in given.iter().zip(&asked) {
            let fair = u64::from(*portions) * stock.min(all) / all;
            prop_assert!(given.get() % size == 0 && given.get() / size >= fair);
            prop_assert!(given.get() == u64::from(*portions) * size || left < *size);
        }
    }
}
