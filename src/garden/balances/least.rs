//! Demands that are of no use below a least amount.
//!
//! The rule: share the stock; as long as a demand gets less than its least, drop one and share again: of the last
//! priority in which any fails, the one with the smallest given / wanted (of equals the one with the later last day, then
//! the later in the list). Then take the dropped ones in turn, by priority and list order, and restore each one with
//! which, shared again, no demand that stays gets less than its least; go round until none can be restored.

use super::allocation::{Allocation, Bars, Demand, Fraction, Lot, allocate_barred};
use super::{Want, add};
use crate::garden::units::{Millilitres, Share, Volume, whole};
use chrono::NaiveDate;
use std::cmp::Reverse;

/// Roundings between a share as it was written and this product. Source: tolerance of computing.
const FEW: f64 = 3.0;

/// A demand that gets nothing, since it could not get its least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Dropped {
    /// The smallest amount that is of use, in millilitres.
    pub least: Millilitres,
    /// What it would have been given when it was dropped, in millilitres; below the least.
    pub would_have_given: Millilitres,
}

/// The least that is a share of what is wanted: wanted x share, in whole millilitres, rounded down.
///
/// Down, because an amount that is given is its exact share rounded down or up: so who is due at least this share never
/// fails by the rounding.
///
/// ```
/// use barrowful::garden::balances::least::share_of;
/// use barrowful::garden::units::{Millilitres, Share};
/// assert_eq!(share_of(Millilitres::new(100), Share::from_fraction(0.29)), Millilitres::new(29));
/// assert_eq!(share_of(Millilitres::new(5), Share::from_fraction(0.5)), Millilitres::new(2));
/// ```
#[must_use]
pub fn share_of(wanted: Millilitres, share: Share) -> Millilitres {
    // 0.29 x 100 is a hair below 29 in binary: three roundings of the double are allowed for.
    let product = whole(wanted.get()) * share.fraction() * (1.0 + FEW * f64::EPSILON);
    Millilitres::nearest(Volume::from_litres(product.floor() / 1000.0)).min(wanted)
}

/// Who gets how much once the demands below their least are dropped; for each want, whether it was dropped.
pub(super) type Settled = (Allocation, Vec<Option<Dropped>>);

/// What is shared: the lots, and who may draw on them.
pub(super) type Stock<'a> = (&'a [Lot], &'a Bars);

/// Drops and restores, from the sharing in which nobody is dropped. `parts` are the demands and whose part each is.
///
/// Where nobody has a least, it gives back what it was given.
pub(super) fn settle(
    stock: Stock<'_>,
    wants: &[Want],
    (parts, owners): (&[Demand], &[usize]),
    first: Allocation,
) -> Settled {
    let mut trial = Trial { stock, wants, parts, owners, out: vec![None; wants.len()] };
    if wants.iter().all(|want| want.least.is_none()) {
        return (first, trial.out);
    }
    let after = trial.drop_failing(first);
    // The only one dropped fails with all the others there: that is why it was dropped.
    let settled = if trial.out.iter().flatten().count() > 1 { trial.restore(after) } else { after };
    (settled, trial.out)
}

/// Everybody, and who is dropped so far.
struct Trial<'a> {
    stock: Stock<'a>,
    wants: &'a [Want],
    parts: &'a [Demand],
    owners: &'a [usize],
    out: Vec<Option<Dropped>>,
}

impl Trial<'_> {
    fn allocate(&self, asked: &[Demand]) -> Allocation {
        let (lots, bars) = self.stock;
        allocate_barred(lots, asked, bars)
    }

    fn is_out(&self, owner: usize) -> bool {
        self.out.get(owner).is_some_and(Option::is_some)
    }

    /// The sharing among those that are not dropped. The others ask for nothing, so that places stay.
    fn share(&self) -> Allocation {
        let ask = |(part, owner): (&Demand, &usize)| {
            if self.is_out(*owner) { Demand { amount: Millilitres::ZERO, ..*part } } else { *part }
        };
        let asked: Vec<Demand> = self.parts.iter().zip(self.owners).map(ask).collect();
        self.allocate(&asked)
    }

    /// What each want gets, over all its parts.
    fn given(&self, allocation: &Allocation) -> Vec<Millilitres> {
        let mut given = vec![Millilitres::ZERO; self.wants.len()];
        for (owner, amount) in self.owners.iter().zip(&allocation.given) {
            if let Some(sum) = given.get_mut(*owner) {
                *sum = add(*sum, *amount);
            }
        }
        given
    }

    /// Those not dropped that get less than their least: place, want, least, given.
    fn failing<'t>(&'t self, given: &'t [Millilitres]) -> impl Iterator<Item = Failing<'t>> {
        self.wants.iter().zip(given).zip(&self.out).enumerate().filter_map(|(place, ((want, given), out))| {
            let least = want.least.filter(|least| out.is_none() && given < least)?;
            Some(Failing { place, want, least, given: *given })
        })
    }

    fn drop_failing(&mut self, first: Allocation) -> Allocation {
        let mut now = first;
        loop {
            let given = self.given(&now);
            let Some(next) = self.failing(&given).max_by_key(Failing::order) else { return now };
            let (priority, mut gone) = (next.want.priority, vec![(next.place, next.dropped())]);
            if next.given == Millilitres::ZERO {
                let same = self.failing(&given).filter(|one| one.want.priority == priority);
                let empty: Vec<_> =
                    same.filter(|one| one.given == next.given).map(|one| (one.place, one.dropped())).collect();
                if empty.len() > 1 && self.nothing_is_there_for(&empty, priority) {
                    gone = empty;
                }
            }
            for (place, dropped) in gone {
                if let Some(out) = self.out.get_mut(place) {
                    *out = Some(dropped);
                }
            }
            now = self.share();
        }
    }

    /// Whether these demands of one priority could get nothing even if nobody else of it were there.
    ///
    /// Then they may be dropped together. Let f(S) be the most that the demands S of this priority can get beside what the
    /// earlier ones have; f is submodular, and f(these) = 0. So f(S and these) = f(S) for every S: the shares of the
    /// others are the max-min for f with or without them, their own exact share is 0 and no rounding goes to them, and
    /// what a later priority can get beside them is the same too. One after the other, each would have been next in turn
    /// with nothing given, and no amount would have changed between.
    fn nothing_is_there_for(&self, these: &[(usize, Dropped)], priority: u8) -> bool {
        let chosen = |owner: &usize| these.iter().any(|(place, _)| place == owner);
        let ask = |(part, owner): (&Demand, &usize)| match part.priority {
            earlier if earlier < priority && !self.is_out(*owner) => *part,
            _ if chosen(owner) => Demand { portions: None, ..*part },
            _ => Demand { amount: Millilitres::ZERO, ..*part },
        };
        let asked: Vec<Demand> = self.parts.iter().zip(self.owners).map(ask).collect();
        let given = self.allocate(&asked).given;
        self.owners.iter().zip(given).all(|(owner, given)| given == Millilitres::ZERO || !chosen(owner))
    }

    fn restore(&mut self, after: Allocation) -> Allocation {
        let mut now = after;
        let mut order: Vec<(u8, usize)> = self.wants.iter().enumerate().map(|(i, want)| (want.priority, i)).collect();
        order.sort_unstable();
        loop {
            let mut found = false;
            for (_, place) in &order {
                let Some(kept) = self.out.get_mut(*place).and_then(Option::take) else { continue };
                let trial = self.share();
                let given = self.given(&trial);
                let fails = self.failing(&given).next().is_some();
                if fails {
                    if let Some(out) = self.out.get_mut(*place) {
                        *out = Some(kept);
                    }
                } else {
                    now = trial;
                    found = true;
                }
            }
            if !found {
                return now;
            }
        }
    }
}

/// A demand that gets less than its least.
struct Failing<'a> {
    place: usize,
    want: &'a Want,
    least: Millilitres,
    given: Millilitres,
}

/// The greatest is dropped first: priority, share, last day (an open end is the latest), place.
type Order = (u8, Reverse<Fraction>, (bool, Option<NaiveDate>), usize);

impl Failing<'_> {
    fn order(&self) -> Order {
        let wanted = u128::from(self.want.amount().get());
        let share = Fraction::new(u128::from(self.given.get()), wanted).unwrap_or(Fraction::ONE);
        let last = self.want.last_day();
        (self.want.priority, Reverse(share), (last.is_none(), last), self.place)
    }

    fn dropped(&self) -> Dropped {
        Dropped { least: self.least, would_have_given: self.given }
    }
}
