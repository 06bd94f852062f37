//! Who would stay below its minimum takes nothing.
//!
//! One after the other, the latest last day first (of equals the later in the list): whose even share among all that are there is less than
//! its minimum leaves. The share of the others only rises when somebody leaves. So each is looked at once, and the share is never computed
//! anew: it goes on from where it was.

use super::open_claim::{OpenClaim, Spare};

/// What is reused from one raise to the next.
#[derive(Debug, Default)]
pub(super) struct Buffers {
    /// Shares at which a demand begins to take, and at which it stops; how much more is taken for a rise beyond that; whose it is.
    edges: Vec<(f64, f64, usize)>,
    /// Those who may have to leave, in the order in which they do: its place in that order, and who it is.
    order: Vec<(usize, usize)>,
}

/// The share to which an amount raises some demands evenly, while one after the other leaves.
struct Rising {
    takes_part: fn(&OpenClaim) -> bool,
    /// What there is for them, mL.
    amount: f64,
    /// How many edges are passed, and the share of the last of them that is of a demand that takes part.
    passed: usize,
    share: f64,
    /// What it takes up to there, and how much more for a rise beyond it, mL.
    taken: f64,
    slope: f64,
}

impl Rising {
    const fn new(takes_part: fn(&OpenClaim) -> bool, amount: f64) -> Self {
        Self { takes_part, amount, passed: 0, share: -1.0, taken: 0.0, slope: 0.0 }
    }

    /// The share; infinite if all of them can have all.
    fn reach(&mut self, edges: &[(f64, f64, usize)], claims: &[OpenClaim]) -> f64 {
        while let Some((share, change, place)) = edges.get(self.passed) {
            if claims.get(*place).is_some_and(|claim| claim.is_open() && (self.takes_part)(claim)) {
                let taken = self.taken + self.slope * (share - self.share);
                if self.slope > 0.0 && *share > self.share && taken >= self.amount {
                    return self.share + (self.amount - self.taken).max(0.0) / self.slope;
                }
                (self.share, self.taken, self.slope) = (*share, taken, self.slope + change);
            }
            self.passed += 1;
        }
        f64::INFINITY
    }

    /// A demand leaves that was there.
    fn leave(&mut self, claim: &OpenClaim) {
        if (self.takes_part)(claim) && claim.got <= self.share {
            self.taken -= claim.needed * (claim.cap.min(self.share) - claim.got);
            self.slope -= if claim.cap > self.share { claim.needed } else { 0.0 };
        }
    }
}

/// The even shares of all: who may not draw on raw castings stays behind where there are too few others.
struct Levels {
    all: Rising,
    bound: Rising,
    free: Rising,
}

impl Levels {
    fn new(spare: Spare) -> Self {
        Self {
            all: Rising::new(|_| true, spare.all),
            bound: Rising::new(|claim| !claim.takes_raw, spare.not_raw),
            free: Rising::new(|claim| claim.takes_raw, spare.all - spare.not_raw.max(0.0)),
        }
    }

    /// The share of a demand.
    fn of(&mut self, claim: &OpenClaim, edges: &[(f64, f64, usize)], claims: &[OpenClaim]) -> f64 {
        let (all, bound) = (self.all.reach(edges, claims), self.bound.reach(edges, claims));
        if all <= bound {
            all
        } else if claim.takes_raw {
            self.free.reach(edges, claims)
        } else {
            bound
        }
    }
}

/// Closes the demands that would stay below their minimums.
pub(super) fn close_below_minimum(claims: &mut [OpenClaim], spare: Spare, Buffers { edges, order }: &mut Buffers) {
    edges.clear();
    order.clear();
    for (place, claim) in claims.iter().enumerate().filter(|(_, claim)| claim.is_open()) {
        edges.extend([(claim.got, claim.needed, place), (claim.cap, -claim.needed, place)]);
        order.extend(claim.is_below_minimum(claim.got).then_some((claim.leaves, place)));
    }
    edges.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    order.sort_unstable();
    let mut levels = Levels::new(spare);
    for (_, place) in order {
        let Some(claim) = claims.get(*place).copied() else { continue };
        if claim.is_below_minimum(levels.of(&claim, edges, claims)) {
            [&mut levels.all, &mut levels.bound, &mut levels.free].into_iter().for_each(|level| level.leave(&claim));
            claims.iter_mut().skip(*place).take(1).for_each(OpenClaim::close);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::level::{self, raise};
    use super::*;
    use proptest::prelude::*;

    /// What it needs, has got, and may get beyond that; its minimum, whether it takes raw castings, its portions and its last day.
    type Drawn = ((u32, u32, u32), u32, bool, u32, u32);

    fn claims() -> impl Strategy<Value = Vec<OpenClaim>> {
        let one = ((1_u32..50, 0_u32..4, 0_u32..4), 0_u32..8, any::<bool>(), 0_u32..6, 0_u32..4);
        prop::collection::vec(one, 1..12).prop_map(|list| {
            let claim = |(place, drawn): (usize, Drawn)| {
                let ((needed, got, room), minimum, takes_raw, portions, closes) = drawn;
                let minimum = f64::from(minimum).max(3.0) / 8.0 - 3.0 / 8.0;
                // Nobody has got less than its minimum.
                let got = if f64::from(got) / 4.0 < minimum { 0.0 } else { f64::from(got) / 4.0 };
                OpenClaim {
                    place,
                    needed: f64::from(needed),
                    got,
                    cap: (got + f64::from(room + 1) / 4.0).min(1.0),
                    to: got,
                    takes_raw,
                    portions: f64::from(portions.saturating_sub(2) * 4),
                    minimum,
                    // The latest last day first, of equals the later in the list.
                    leaves: usize::try_from(4 - closes).unwrap() * 100 - place,
                }
            };
            list.into_iter().enumerate().map(claim).collect()
        })
    }

    /// The rule, one after the other: each time all shares anew, then the first who stays below its minimum leaves.
    fn one_by_one(claims: &mut [OpenClaim], spare: Spare) {
        let mut order: Vec<usize> = (0..claims.len()).collect();
        order.sort_by_key(|place| claims[*place].leaves);
        loop {
            let mut plain: Vec<OpenClaim> =
                claims.iter().map(|claim| OpenClaim { minimum: 0.0, portions: 0.0, ..*claim }).collect();
            raise(&mut plain, spare, &mut level::Buffers::default());
            let is_below =
                |place: &&usize| claims[**place].is_open() && claims[**place].is_below_minimum(plain[**place].to);
            match order.iter().find(is_below) {
                Some(place) => claims[*place].close(),
                None => return,
            }
        }
    }

    proptest! {
        /// Who leaves is who leaves one by one; then nobody is below its minimum, and no more is taken than is there.
        #[test]
        fn who_leaves_is_who_leaves_one_by_one(claims in claims(), all in 0.01_f64..200.0, not_raw in 0.0_f64..1.5) {
            let spare = Spare { all, not_raw: all * not_raw.min(1.0) };
            let mut raised = claims.clone();
            // Who cannot reach its minimum takes nothing in any case.
            let mut plainly = claims;
            plainly.iter_mut().filter(|claim| claim.is_below_minimum(claim.cap)).for_each(OpenClaim::close);
            let mut quickly = plainly.clone();
            one_by_one(&mut plainly, spare);
            close_below_minimum(&mut quickly, spare, &mut Buffers::default());
            let open = |claims: &[OpenClaim]| claims.iter().map(OpenClaim::is_open).collect::<Vec<_>>();
            prop_assert_eq!(open(&plainly), open(&quickly));
            raise(&mut raised, spare, &mut level::Buffers::default());
            let below = |claim: &&OpenClaim| claim.to > claim.got && claim.to < claim.minimum - 1e-6;
            prop_assert!(raised.iter().find(below).is_none(), "{raised:?}");
            let taken = |which: fn(&&OpenClaim) -> bool| raised.iter().filter(which).map(OpenClaim::takes).sum::<f64>();
            prop_assert!(taken(|_| true) <= spare.all + 1e-6 && taken(|claim| !claim.takes_raw) <= spare.not_raw + 1e-6);
        }
    }
}
