//! How much work it is to share a stock. The factors are from `benches/balances.rs`, which holds them against the time it takes.

use super::Requirement;
use super::allocation::Lot;
use crate::garden::refusal::Refusal;
use crate::garden::work::Work;
use std::collections::BTreeSet;

/// Sweeps through all lots and demands that any sharing takes. Source: how this service works.
pub const SWEEPS: usize = 100;
/// Sweeps for each priority. Source: how this service works.
pub const SWEEPS_FOR_PRIORITY: usize = 12;
/// So many times more work with whole portions. Source: how this service works.
pub const PORTIONS: usize = 4;
/// So many times more work where some lots are barred from some demands. Source: how this service works.
pub const BARRED: usize = 7;
/// Sharings for each demand with a minimum: to drop it, and to try it again in two rounds. Source: how this service works.
pub const SHARINGS_FOR_MINIMUM: usize = 3;

/// The numbers that multiply when stock is shared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Size {
    /// Lots.
    pub lots: usize,
    /// Demands; each day of a tea counts, and each time of a demand that repeats.
    pub parts: usize,
    /// Different priorities.
    pub priorities: usize,
    /// Demands with a minimum; each time of a demand that repeats counts.
    pub minimums: usize,
    /// Whether any demand is served in whole portions.
    pub portions: bool,
    /// Whether some lots are barred from some demands.
    pub barred: bool,
}

impl Size {
    /// The size of a question.
    #[must_use]
    pub fn of(lots: &[Lot], requirements: &[Requirement]) -> Self {
        let mut parts = requirements.iter().flat_map(|requirement| &requirement.parts);
        Self {
            lots: lots.len(),
            parts: parts.clone().count(),
            priorities: requirements.iter().map(|requirement| requirement.priority).collect::<BTreeSet<_>>().len(),
            minimums: requirements.iter().filter(|of| of.minimum.is_some()).map(Requirement::times).sum(),
            portions: requirements.iter().any(|requirement| requirement.whole_portions),
            barred: lots.iter().any(|lot| lot.untreated) && parts.any(|part| part.eligibility.differs()),
        }
    }

    /// At most so much work:
    ///
    /// ```text
    /// (lots + parts) x (SWEEPS + min(lots, parts) + SWEEPS_FOR_PRIORITY x priorities)
    ///     x (1 + PORTIONS if any whole portions + BARRED if any bars) x (1 + SHARINGS_FOR_MINIMUM x demands with a minimum)
    /// ```
    #[must_use]
    pub fn work(self) -> Work {
        let sweeps = SWEEPS + self.lots.min(self.parts) + SWEEPS_FOR_PRIORITY * self.priorities;
        let more = |when: bool, times: usize| if when { times } else { 0 };
        let times = 1 + more(self.portions, PORTIONS) + more(self.barred, BARRED);
        let sharing = Work::of(self.lots.saturating_add(self.parts), 1).times(sweeps).times(times);
        sharing.times(1 + SHARINGS_FOR_MINIMUM * self.minimums)
    }

    /// Refuses what takes too long to share beside other work of the same answer.
    ///
    /// # Errors
    /// `too_large` above [`crate::garden::work::MAX_STEPS`], at `enforce_application_to_harvest_interval` where lots are barred and nobody has a minimum, else at `demands`.
    pub fn check(self, beside: Work) -> Result<Work, Refusal> {
        let Self { lots, parts, priorities, minimums, .. } = self;
        let mut what = format!(
            "{lots} lots are shared among {parts} demands (each day of a tea and each time of a repeated demand counts as one) in {priorities} priorities"
        );
        let mut mend = Vec::new();
        if minimums > 0 {
            what.push_str(&format!(", and again for each of the {minimums} demands with a minimum"));
            mend.push("fewer demands with a minimum");
        }
        if self.portions {
            what.push_str(", in whole portions");
            mend.push("whole portions only where they are needed");
        }
        if self.barred {
            what.push_str(", and some demands may not use some lots");
            mend.push("no enforce_application_to_harvest_interval");
        }
        mend.extend(["fewer lots, demands or priorities", "brews of fewer batches", "fewer times of a repeat"]);
        let mend = format!("ask for {}, or split the request", mend.join(", or "));
        let work = self.work();
        work.check(beside, &what, &mend).map_err(|refusal| {
            refusal.at(if self.barred && minimums == 0 { "enforce_application_to_harvest_interval" } else { "demands" })
        })?;
        Ok(work)
    }
}
