//! Castings that count as raw manure, and the crops that they go to: what the waits between digging in and harvest come to for each
//! draw, and where they are kept, which draws they bar.

use super::Want;
use super::allocation::{Bars, Draw, Limits};
use crate::garden::brews::Brew;
use crate::garden::cautions::Rule;
use crate::garden::cautions::waiting::{Crop, Limit, Manure, Wait};
use chrono::{Days, NaiveDate};
use std::collections::BTreeMap;

/// Hours in a day. Source: exact by definition.
const DAY_HOURS: f64 = 24.0;

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
/// one day. Without times: brewing time + use within, in days, rounded up, since it may start late in the day.
#[must_use]
pub fn days_to_use_up(brew: &Brew) -> Vec<u64> {
    let hours = brew.brewing_time.hours() + brew.use_within.hours();
    #[expect(clippy::as_conversions, reason = "a float to integer cast saturates, and durations are bounded")]
    #[expect(clippy::cast_sign_loss, reason = "durations are not negative")]
    let longest = (hours / DAY_HOURS).ceil() as u64;
    let mut by_date: BTreeMap<Option<NaiveDate>, u64> = BTreeMap::new();
    for batch in &brew.batches {
        let (date, days) = match batch.times {
            Some(times) => {
                let (start, end) = (times.start.date_naive(), times.use_by.date_naive());
                (Some(start), u64::try_from((end - start).num_days()).unwrap_or(0))
            }
            None => (None, longest),
        };
        let most = by_date.entry(date).or_default();
        *most = days.max(*most);
    }
    by_date.into_values().collect()
}

/// Whether a tea counts as untreated whatever its castings are: with additives, or with water that is not said to be from the mains.
#[must_use]
pub fn tea_is_untreated(brew: &Brew) -> bool {
    brew.cautions.iter().any(|rule| matches!(rule, Rule::TeaAdditives | Rule::TeaWater))
}

/// The lots and what is grown with them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Waits {
    /// What is known of manure in each lot.
    pub lots: Vec<Manure>,
    /// What is grown, for each want; nothing where it is not said.
    pub demands: Vec<Option<Grown>>,
}

/// Nothing is known of manure and crops.
static NOTHING_KNOWN: Waits = Waits { lots: Vec::new(), demands: Vec::new() };

impl Waits {
    /// Nothing is known of manure and crops: no demand waits.
    #[must_use]
    pub fn nothing_known() -> &'static Self {
        &NOTHING_KNOWN
    }

    /// Whether a lot has a wait. A lot of which nothing is said has one.
    #[must_use]
    pub fn has_wait(&self, lot: usize) -> bool {
        self.lots.get(lot).is_none_or(Manure::has_wait)
    }

    /// Up to which day each part of each want may draw on which lots so that the waits are kept.
    ///
    /// On lots with a wait: first picking - 120 or 90 days, less what a tea takes to be used up; on no day where they are not dug in. On
    /// the others there is no limit, but for a tea that counts as untreated by itself.
    #[must_use]
    pub fn bars(&self, wants: &[Want]) -> Bars {
        let mut demands = Vec::new();
        for (place, want) in wants.iter().enumerate() {
            let grown = self.demands.get(place).and_then(Option::as_ref);
            for part in 0..want.parts.len() {
                demands.push(grown.map(|grown| grown.limits(part)).unwrap_or_default());
            }
        }
        Bars { lots: self.lots.iter().map(Manure::has_wait).collect(), demands }
    }

    /// Answers "what does the wait make of this draw?" of a want, whose parts begin at `first_part` of all parts; `None` where it has
    /// no crop, or nothing that has a wait is brought.
    #[must_use]
    pub fn of_draw(&self, (want, first_part): (usize, usize), draw: &Draw) -> Option<Wait> {
        let grown = self.demands.get(want)?.as_ref()?;
        if !grown.untreated && !self.has_wait(draw.lot) {
            return None;
        }
        let later = draw.demand.checked_sub(first_part).and_then(|part| grown.later.get(part)).copied().unwrap_or(0);
        let in_soil = draw.on.map(|day| day.checked_add_days(Days::new(later)).unwrap_or(NaiveDate::MAX));
        Some(grown.crop.wait(in_soil))
    }
}

impl Grown {
    fn limits(&self, part: usize) -> Limits {
        let waiting = self.crop.limit(self.later.get(part).copied().unwrap_or(0));
        Limits { clean: if self.untreated { waiting } else { Limit::Always }, waiting }
    }
}

/// The caution that follows from what a wait makes of a draw.
#[must_use]
pub const fn rule(wait: Wait) -> Option<Rule> {
    match wait {
        Wait::NotDugIn => Some(Rule::WaitNotDugIn),
        Wait::Until { too_late: true, .. } => Some(Rule::WaitTooShort),
        Wait::None | Wait::Until { .. } => None,
    }
}
