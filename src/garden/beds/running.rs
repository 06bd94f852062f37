//! What is in a running bed.

use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::OfMass;
use chrono::NaiveDate;

/// How many days before a bed is looked at all of its feed may have been eaten: two years. Source: limit of this service.
const MAX_EATEN_DAYS: i64 = 731;

/// What is in a running bed, dry matter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// Feed not yet worked.
    pub uneaten_feed: Estimate<OfMass>,
    /// Castings.
    pub castings: Estimate<OfMass>,
    /// How many layers of its cycle were laid before: so many fewer come. All of them: it is left to finish.
    pub layers_laid: u32,
    /// The morning on which nothing was left to eat: it finishes since then and takes no more layers. `None`: as its feed and layers say.
    pub eaten_on: Option<NaiveDate>,
}

impl Running {
    /// The first day that counts for a bed which holds this on a day.
    #[must_use]
    pub fn first_day(running: Option<&Self>, on: NaiveDate) -> NaiveDate {
        running.and_then(|running| running.eaten_on).map_or(on, |eaten| eaten.min(on))
    }

    /// What is wrong where all was eaten in a bed that holds this feed and these castings on a day, each at its field. What is `None` is not
    /// known and not looked at.
    #[must_use]
    pub fn faults_of_eaten(
        (uneaten_feed, castings): (Option<Estimate<OfMass>>, Option<Estimate<OfMass>>),
        (eaten_on, on): (Option<NaiveDate>, Option<NaiveDate>),
    ) -> Vec<Refusal> {
        let mut faults = Vec::new();
        if let Some((eaten, on)) = eaten_on.zip(on) {
            faults.extend(check_days(eaten, on).err());
        }
        if uneaten_feed.is_some_and(|feed| feed.kilograms() > 0.0) {
            let detail = "the bed still has feed that the worms have not eaten: leave out eaten_on or uneaten_feed";
            faults.push(Refusal::new(Reason::NotAllowedHere, detail).at("eaten_on"));
        }
        if castings.is_some_and(|castings| castings.kilograms() <= 0.0) {
            let detail = "all feed is eaten, so say how many castings are in the bed, such as \"180 L\"";
            faults.push(Refusal::new(Reason::MissingField, detail).at("castings"));
        }
        faults
    }
}

/// Refuses what was eaten after the day on which the bed was looked at, or long before.
fn check_days(eaten: NaiveDate, on: NaiveDate) -> Result<(), Refusal> {
    if eaten > on {
        let detail = format!(
            "all feed was eaten on {eaten}, but running is what is in the bed on {on}; give {on} or an earlier day, or the feed that is \
             left as uneaten_feed"
        );
        return Err(Refusal::new(Reason::DatesOutOfOrder, detail).at("eaten_on"));
    }
    if on.signed_duration_since(eaten).num_days() > MAX_EATEN_DAYS {
        let detail = format!("all feed was eaten on {eaten}, more than two years before {on}; give a later day");
        return Err(Refusal::new(Reason::OutOfRange, detail).at("eaten_on"));
    }
    Ok(())
}
