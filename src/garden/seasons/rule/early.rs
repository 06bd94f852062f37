//! What a demand takes while it waits: castings that it cannot use any more when it has waited, since they expire, or count as raw manure.
//!
//! So nobody waits for what is lost meanwhile. First, in its turn, up to the share that the plan allots to it of such castings; then, when all
//! that do not wait have been served, what is left of them. Castings that it can use later it leaves to others.

use super::hand::InClasses;
use super::level::raise;
use super::open_claim::{EarlyClaim, NOTHING, OpenClaim, Spare};
use super::play::RunState;
use super::{Claim, Rule};

impl Rule {
    /// Serves the demands of a rank that wait, up to their caps, by what is on hand less what is reserved for the first so many ranks.
    pub(super) fn raise_early(
        &self,
        (rank, day): (usize, f64),
        (reserved_ranks, cap): (usize, fn(&Claim) -> f64),
        state: &mut RunState,
    ) {
        self.collect_early((rank, day), cap, state);
        let early = std::mem::take(&mut state.early);
        for group in early.chunk_by(|a, b| (a.waits, a.takes_raw) == (b.waits, b.takes_raw)) {
            let Some(first) = group.first() else { continue };
            let spare = self.spare(reserved_ranks, state);
            let most = if first.takes_raw.0 { spare.all } else { spare.all.min(spare.not_raw) };
            let classes = self.lost_when_waited(first);
            let there = state.hand.total_in(classes).min(most);
            if there > NOTHING {
                state.open_claims.clear();
                state.open_claims.extend(group.iter().map(|early| early.claim));
                raise(&mut state.open_claims, Spare { all: there, not_raw: there }, &mut state.buffers);
                let takes = state.take_up();
                state.hand.take_in(takes, classes);
            }
        }
        state.early = early;
    }

    /// The castings on hand that such a demand cannot use when it has waited.
    fn lost_when_waited(&self, early: &EarlyClaim) -> InClasses {
        let expired = self.use_by.partition_point(|last| *last < early.waits);
        let raw = match early.takes_raw {
            (false, _) => 0,
            (true, true) => expired,
            (true, false) => usize::MAX,
        };
        InClasses { open: expired, raw }
    }

    /// Collects those of a rank that wait and can still take something up to their caps, by the castings that they cannot use later.
    fn collect_early(&self, (rank, day): (usize, f64), cap: fn(&Claim) -> f64, state: &mut RunState) {
        state.early.clear();
        for place in state.active.get(rank).into_iter().flatten() {
            let Some(claim) = self.claims.get(*place).filter(|claim| claim.waits > day) else { continue };
            let Some(open) = state.open_claim((*place, claim), cap(claim), day) else { continue };
            // It takes any amount: whole portions and its minimum it completes when it has waited.
            let any_amount = OpenClaim { portions: 0.0, minimum: 0.0, ..open };
            let takes_raw = (open.takes_raw, claim.raw_until >= claim.waits);
            state.early.push(EarlyClaim { waits: claim.waits, takes_raw, claim: any_amount });
        }
        state.early.sort_by(|a, b| a.waits.total_cmp(&b.waits).then(a.takes_raw.cmp(&b.takes_raw)));
    }
}
