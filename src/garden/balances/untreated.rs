//! Castings that count as raw manure, and the crops that they go to: what the waits between incorporation and harvest come to for each
//! allotment, and where they are kept, which allotments they bar.

use super::allocation::{Eligibility, Lot};
use super::{Allocated, Requirement};
use crate::garden::brews::{Batch, Brew, Times};
use crate::garden::cautions::Rule;
use crate::garden::cautions::waiting::{Crop, Limit, Wait};
use chrono::{Days, NaiveDate};

/// What is grown where a demand's castings go.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Grown {
    /// The crop.
    pub crop: Crop,
    /// Whether what is brought counts as untreated whatever the castings are: a tea with additives, or with water that may carry germs.
    pub untreated: bool,
    /// For each part of the demand, how many days after the castings are drawn they come into the soil: of tea, when it is used up.
    pub later: Vec<u64>,
}

/// Answers "how many days after its castings are drawn is this tea used up?" for each part of it
/// ([`super::parts_of_brew`]): from the day on which a batch starts to the day of its use-by, the latest of the batches that start on
/// one day. Without times: that of all rounds, in days, rounded up, since it may start late in the day ([`Brew::longest`]).
#[must_use]
pub fn days_to_use_up(brew: &Brew) -> Vec<u64> {
    let days = |batch: &&Batch| {
        let days = |times: Times| (times.use_by.date_naive() - times.start.date_naive()).num_days();
        batch.times.map_or(brew.longest(1.0), |times| u64::try_from(days(times)).unwrap_or(0))
    };
    brew.by_day().values().map(|batches| batches.iter().map(days).max().unwrap_or(0)).collect()
}

/// Whether a tea counts as untreated whatever its castings are: with additives, or with water that is not said to be from the mains.
#[must_use]
pub fn tea_is_untreated(brew: &Brew) -> bool {
    brew.cautions.iter().any(|rule| matches!(rule, Rule::TeaAdditives | Rule::TeaWater))
}

impl Requirement {
    /// Lets each part draw on which lots so long only that the waits are kept.
    ///
    /// On untreated lots: first harvest - 120 or 90 days, less what a tea takes to be used up; on no day where they are not incorporated. On
    /// the others there is no limit, but for a tea that counts as untreated by itself.
    pub fn enforce_application_to_harvest_interval(&mut self) {
        let Some(grown) = &self.grown else { return };
        for (place, part) in self.parts.iter_mut().enumerate() {
            part.eligibility = grown.eligibility(place);
        }
    }

    /// Answers "what does the wait make of what it gets?"; `None` where it has no crop, or nothing that counts as raw manure is brought.
    /// `lots` are those that the allotment counts. What has ended before today, and still takes castings, can take them today at the earliest, unless
    /// they have a day.
    #[must_use]
    pub fn wait(&self, allotment: &Allocated, lots: &[Lot], today: Option<NaiveDate>) -> Option<Wait> {
        let grown = self.grown.as_ref()?;
        if !grown.untreated && !lots.get(allotment.lot).is_none_or(|lot| lot.untreated) {
            return None;
        }
        let last = self.parts.get(allotment.part).and_then(|part| part.window.last);
        let on = allotment.on.or(today.filter(|today| last.is_some_and(|last| last < *today)));
        Some(grown.crop.wait(grown.in_soil(allotment.part, on)))
    }

    /// Answers "on which day at the latest are these castings taken?": by the last day of its part and of the lot, and so that the wait before
    /// the first harvest is kept, if that is not too late today. `None` where any day will do. `lots` are those that the allotment counts.
    #[must_use]
    pub fn last_day_of(&self, allotment: &Allocated, lots: &[Lot], today: Option<NaiveDate>) -> Option<NaiveDate> {
        let (part, lot) = (self.parts.get(allotment.part), lots.get(allotment.lot));
        let grown = self.grown.as_ref().map(|grown| grown.eligibility(allotment.part));
        let limit = match grown.zip(lot).map(|(eligibility, lot)| eligibility.limit(lot.untreated)) {
            Some(Limit::Until(day)) => Some(day).filter(|day| today.is_none_or(|today| today <= *day)),
            Some(Limit::Always | Limit::Never) | None => None,
        };
        [part.and_then(|part| part.window.last), lot.and_then(|lot| lot.window.last), limit].into_iter().flatten().min()
    }
}

impl Grown {
    /// How many days after the castings of a part are drawn they come into the soil.
    pub(super) fn later(&self, part: usize) -> u64 {
        self.later.get(part).copied().unwrap_or(0)
    }

    /// The day on which castings of a part that are drawn on a day come into the soil.
    pub(super) fn in_soil(&self, part: usize, drawn_on: Option<NaiveDate>) -> Option<NaiveDate> {
        let later = Days::new(self.later(part));
        drawn_on.map(|day| day.checked_add_days(later).unwrap_or(NaiveDate::MAX))
    }

    fn eligibility(&self, part: usize) -> Eligibility {
        let untreated = self.crop.limit(self.later(part));
        Eligibility { treated: if self.untreated { untreated } else { Limit::Always }, untreated }
    }
}

/// The caution that follows from what a wait makes of an allotment.
#[must_use]
pub const fn rule(wait: Wait) -> Option<Rule> {
    match wait {
        Wait::NotIncorporated => Some(Rule::NotIncorporated),
        Wait::Until { too_late: true, .. } => Some(Rule::IntervalTooShort),
        Wait::None | Wait::Until { .. } => None,
    }
}
