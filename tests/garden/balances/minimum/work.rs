//! Many demands with a minimum are answered, and the estimate of the work counts what multiplies.

use super::requirement;
use crate::balances::{date, ml};
use barrowful::garden::balances::allocation::{Lot, Window};
use barrowful::garden::balances::size::Size;
use barrowful::garden::balances::{Requirement, balance};
use barrowful::garden::refusal::Reason;
use barrowful::garden::work::Work;

/// A request with as many demands with a minimum as are allowed is answered, and its laws hold.
#[test]
fn a_hundred_minimums_among_a_thousand_demands() {
    let lots: Vec<Lot> = (0..50)
        .map(|n| Lot {
            amount: ml(2_000 + 700 * (n % 7)),
            window: Window { first: Some(date(3 * n)), last: Some(date(3 * n + 40)) },
            ..Lot::default()
        })
        .collect();
    let mut requirements: Vec<Requirement> = (0..1_000_u64)
        .map(|n| {
            requirement(
                1_000 + n * 7_919 % 5_000,
                Window { first: Some(date(n % 150)), last: Some(date(n % 150 + n % 13)) },
                1,
                None,
            )
        })
        .collect();
    for one in requirements.iter_mut().step_by(10) {
        one.minimum = Some(ml(one.amount().get() * 9 / 10));
    }
    let found = balance(&lots, &requirements, None);
    let gone = found.demands.iter().filter(|one| one.dropped.is_some()).count();
    assert!(gone > 80, "{gone} are dropped");
    for (requirement, served) in requirements.iter().zip(&found.demands) {
        assert!(served.dropped.is_some() || requirement.minimum.is_none_or(|least| served.allocated >= least));
    }
    // Without a minimum they get a part of what is there, and with it nothing: nobody else gets less than before.
    for one in &mut requirements {
        one.minimum = None;
    }
    let free = balance(&lots, &requirements, None);
    for (with, without) in found.demands.iter().zip(&free.demands) {
        assert!(with.dropped.is_some() || with.allocated.get() + 1 >= without.allocated.get());
    }
}

/// The estimate counts what multiplies: it grows with lots, demands, priorities, minimums, whole portions and bars.
#[test]
fn the_work_of_sharing_grows_with_each_of_its_numbers() {
    let size = Size { lots: 10, parts: 100, priorities: 1, minimums: 0, portions: false, barred: false };
    let work = size.work();
    for more in [
        Size { lots: 20, ..size },
        Size { parts: 200, ..size },
        Size { priorities: 2, ..size },
        Size { minimums: 1, ..size },
        Size { portions: true, ..size },
        Size { barred: true, ..size },
    ] {
        assert!(more.work() > work, "{more:?}");
    }
    // (10 + 100) x (100 + 10 + 12).
    assert_eq!(work.count(), 13_420);
    assert_eq!(Size { minimums: 2, ..size }.work().count(), 7 * 13_420);
    assert!(Size { lots: 1_000, parts: 10_000, portions: true, priorities: 3, ..size }.check(Work::default()).is_ok());
    let refusal = Size { lots: 10, parts: 20_100, minimums: 100, ..size }.check(Work::default()).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::TooLarge, Some("demands")));
    let refusal = Size { lots: 1_000, parts: 10_000, barred: true, ..size }.check(Work::default()).unwrap_err();
    assert_eq!((refusal.reason, refusal.field), (Reason::TooLarge, Some("enforce_application_to_harvest_interval")));
}
