//! Demands that are of no use below a smallest amount.
//!
//! The rule: share the stock; as long as a demand gets less than its minimum, drop one and share again: of the last
//! priority in which any fails, the one with the smallest share of what it wants (of equals the one with the later last day, then
//! the later in the list). Shares are compared as exact fractions, before they are rounded to millilitres: a millilitre that rounding
//! gives to one of several equals does not keep it. Then take the dropped ones in turn, by priority and list order, and restore each one with
//! which, shared again, no demand that stays gets less than its minimum; go round once more if any was restored. Each time of a demand that
//! repeats counts as a demand here.

use super::add;
use super::allocation::{Fraction, Sharing};
use super::occasions::Occasion;
use crate::garden::units::{Millilitres, Share, Volume, whole};
use chrono::NaiveDate;
use std::cmp::Reverse;
use std::ops::Bound;

/// Roundings between a share as it was written and this product. Source: tolerance of computing.
const FEW: f64 = 3.0;

/// A demand that gets nothing, since it could not get its minimum.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Dropped {
    /// The smallest amount that is of use, in millilitres.
    pub minimum: Millilitres,
    /// What it would have been given when it was dropped, in millilitres; below the minimum.
    pub would_have_been_allocated: Millilitres,
}

/// The minimum that is a share of what is wanted: wanted x share, in whole millilitres, rounded down.
///
/// Down, because an amount that is given is its exact share rounded down or up: so a demand whose share is at least this
/// never fails by the rounding.
///
/// ```
/// use barrowful::garden::balances::minimum::share_of;
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

/// The most rounds in which the dropped are tried again. The shares of a priority never rise when somebody joins it, so what fails once
/// fails again, but for a millilitre or a whole portion. Source: limit of this service.
const MAX_ROUNDS: u32 = 2;

/// Drops and restores, in a sharing in which nobody is dropped and everybody is given their part; it is complete again afterwards. For
/// each time of each demand, whether it was dropped.
pub(super) fn settle(sharing: &mut Sharing, times: &[Occasion<'_>]) -> Vec<Option<Dropped>> {
    let mut trial = Trial { sharing, times, out: vec![None; times.len()] };
    if trial.drop_failing() {
        // The only one dropped fails with all the others there: that is why it was dropped.
        if trial.out.iter().flatten().count() > 1 {
            trial.restore();
        }
        trial.complete();
    }
    trial.out
}

/// Everybody, and who is dropped so far.
struct Trial<'a> {
    sharing: &'a mut Sharing,
    times: &'a [Occasion<'a>],
    out: Vec<Option<Dropped>>,
}

impl Trial<'_> {
    /// The last priority in which anybody has a minimum.
    fn last(&self) -> u8 {
        let with_minimum = self.times.iter().filter(|time| time.requirement.minimum.is_some());
        with_minimum.map(|time| time.requirement.priority).max().unwrap_or(0)
    }

    /// Drops one, or takes it in again; nothing is shared anew.
    fn set(&mut self, place: usize, dropped: Option<Dropped>) {
        for part in self.times.get(place).into_iter().flat_map(Occasion::places) {
            self.sharing.leave_out(part, dropped.is_some());
        }
        if let Some(out) = self.out.get_mut(place) {
            *out = dropped;
        }
    }

    /// What one gets, over all its parts.
    fn given(&self, time: &Occasion<'_>) -> Millilitres {
        time.places().fold(Millilitres::ZERO, |sum, part| add(sum, self.sharing.given(part)))
    }

    /// The exact share of what one asks, over all its parts. By whole millilitres where a sum of fractions is out of range.
    fn share(&self, time: &Occasion<'_>) -> Fraction {
        let wanted = u128::from(time.amount().get());
        let mut sum = Some(Fraction::ZERO);
        for (place, part) in time.places().zip(time.parts) {
            let part = Fraction::new(u128::from(part.amount.get()), wanted);
            let share = part.and_then(|part| self.sharing.share(place).of(part));
            sum = sum.zip(share).and_then(|(sum, share)| sum.plus(share));
        }
        let rounded = || Fraction::new(u128::from(self.given(time).get()), wanted);
        sum.or_else(rounded).unwrap_or(Fraction::ONE)
    }

    /// Those not dropped that get less than their minimum.
    fn failing(&self) -> impl Iterator<Item = Failing<'_>> {
        self.times.iter().zip(&self.out).enumerate().filter_map(|(place, (time, out))| {
            let minimum = time.requirement.minimum.filter(|_| out.is_none())?;
            let given = self.given(time);
            (given < minimum).then_some(Failing { place, time, minimum, given })
        })
    }

    /// Drops one after the other until nobody fails; whether anybody was dropped. Then what is shared is up to date up to the last
    /// priority with a minimum.
    fn drop_failing(&mut self) -> bool {
        let last = self.last();
        let mut any = false;
        loop {
            let Some(priority) = self.failing().map(|one| one.priority()).max() else { return any };
            let same = self.failing().filter(|one| one.priority() == priority);
            let Some(next) = same.max_by_key(|one| one.order(self.share(one.time))) else { return any };
            let nothing = next.given == Millilitres::ZERO;
            let mut gone = vec![(next.place, next.dropped())];
            if nothing {
                let same = self.failing().filter(|one| one.priority() == priority);
                let empty: Vec<_> =
                    same.filter(|one| one.given == Millilitres::ZERO).map(|one| (one.place, one.dropped())).collect();
                if empty.len() > 1 && self.nothing_is_there_for(&empty, priority) {
                    gone = empty;
                }
            }
            for (place, dropped) in gone {
                self.set(place, Some(dropped));
            }
            self.sharing.fill(priority..=last);
            any = true;
        }
    }

    /// Whether these demands of one priority could get nothing even if nobody else of it were there.
    ///
    /// Then they may be dropped together. Let f(S) be the most that the demands S of this priority can get beside what the
    /// earlier ones have; f is submodular, and f(these) = 0. So f(S and these) = f(S) for every S: the shares of the
    /// others are the max-min for f with or without them, their own exact share is 0 and no rounding goes to them, and
    /// what a later priority can get beside them is the same too. One after the other, each would have been next in turn
    /// with nothing given, and no amount would have changed between.
    fn nothing_is_there_for(&mut self, these: &[(usize, Dropped)], priority: u8) -> bool {
        let parts = these.iter().filter_map(|(place, _)| self.times.get(*place)).flat_map(Occasion::places);
        self.sharing.nothing_is_there(priority, parts)
    }

    fn restore(&mut self) {
        let last = self.last();
        let mut order: Vec<(u8, usize)> =
            self.times.iter().enumerate().map(|(i, time)| (time.requirement.priority, i)).collect();
        order.sort_unstable();
        for _ in 0..MAX_ROUNDS {
            let mut found = false;
            for (priority, place) in &order {
                let Some(kept) = self.out.get(*place).copied().flatten() else { continue };
                let before = self.sharing.save();
                self.set(*place, None);
                self.sharing.fill(*priority..=last);
                if self.failing().next().is_some() {
                    self.set(*place, Some(kept));
                    self.sharing.go_back(before);
                } else {
                    found = true;
                }
            }
            if !found {
                return;
            }
        }
    }

    /// Shares among the priorities after the last one with a minimum.
    fn complete(&mut self) {
        let last = self.last();
        self.sharing.fill((Bound::Excluded(last), Bound::Unbounded));
    }
}

/// A demand that gets less than its minimum.
struct Failing<'a> {
    place: usize,
    time: &'a Occasion<'a>,
    minimum: Millilitres,
    given: Millilitres,
}

/// Of one priority the greatest is dropped first: share, last day (an open end is the latest), place.
type Order = (Reverse<Fraction>, (bool, Option<NaiveDate>), usize);

impl Failing<'_> {
    const fn priority(&self) -> u8 {
        self.time.requirement.priority
    }

    /// Its place among those of its priority, by the share that it gets.
    fn order(&self, share: Fraction) -> Order {
        let last = self.time.last_day();
        (Reverse(share), (last.is_none(), last), self.place)
    }

    fn dropped(&self) -> Dropped {
        Dropped { minimum: self.minimum, would_have_been_allocated: self.given }
    }
}
