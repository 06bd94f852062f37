//! The answer in words: when there are enough worms, and how much of the feed the bed eats.

use super::WormBedsAnswer;
use super::answer::SizedWormsOut;
use crate::garden::beds::sizing::{HarvestDates, Limit};
use crate::http::output::QuantityOut;
use crate::http::present::Description;
use crate::http::present::words::{day, digits, shown};
use crate::http::resources::calendar::likely;
use crate::http::wire::capitalised;

/// The days of a year, at the least. Source: calendar.
const DAYS_OF_A_YEAR: i64 = 365;

/// When the worms are enough, and what limits the bed.
pub(super) fn enough(answer: &WormBedsAnswer, description: &mut Description<'_>) {
    let limit = Limit::find(answer.limiting_factor);
    if !answer.castings_needed.is_empty() {
        let is_short = limit == Some(Limit::Ground);
        let text = "The ground is too small for all castings needed.";
        description.paragraph(match (is_short, answer.harvest_dates == Some(HarvestDates::Latest.as_str())) {
            (true, _) => text,
            (false, true) => "At the likely amounts it makes all castings needed, even if its harvests come late.",
            (false, false) => "At the likely dates it makes all castings needed; a late harvest would miss its day.",
        });
        return;
    }
    growth(answer).into_iter().for_each(|text| description.paragraph(text));
    let (text, is_eaten) = limited(answer, limit);
    let left = answer.weeks.last().map(|week| &week.waiting).filter(|left| is_some(left) && !is_eaten);
    let left = left.map(|left| format!(" {} of feed are left at the end.", plain(left)));
    description.paragraph(text + &left.unwrap_or_default());
}

/// Whether there are enough worms from the first day.
fn are_enough(worms: &SizedWormsOut) -> bool {
    worms.enough_after.as_ref().is_some_and(|after| !is_some(after))
}

/// What limits the bed in this plan, and whether all of the feed is eaten.
fn limited(answer: &WormBedsAnswer, limit: Option<Limit>) -> (String, bool) {
    let (worms, is_once) = (&answer.worms, answer.feed.castings_of_all.is_some());
    let text = match limit {
        Some(Limit::Worms) if are_enough(worms) => {
            "A bed takes no feed while the castings of a harvest finish, so some of the feed is not eaten in this plan; more worms would eat \
             more of it."
        }
        Some(Limit::Worms) if is_once => {
            let more = plain(&worms.to_buy_for_all_feed);
            let text = format!(
                "There are too few worms for all of this feed in this plan; buy {more} more for the first day."
            );
            return (text, false);
        }
        Some(Limit::Worms) if worms.enough_on.is_some() => {
            "Not all of the feed that waits by then is eaten in this plan."
        }
        Some(Limit::Worms) => "There are too few worms for all of the feed in this plan.",
        Some(Limit::Ground) => "The ground does not carry enough worms for all of the feed in this plan.",
        Some(Limit::Warmth) => "There are too few warm days for all of the feed in this plan.",
        Some(Limit::Time) => {
            "Some of the feed comes too late to be eaten by the last day of this plan; a later last day (until) shows when it is."
        }
        Some(Limit::Feed) | None if is_once => return (all_eaten(answer), true),
        Some(Limit::Feed) | None => return (eats_what_comes(answer), true),
    };
    (text.to_owned(), false)
}

/// `Over a year the bed eats all that comes; more feed would need a larger bed.`; of a plan that is shorter or that ends early, or at whose
/// end more than the feed of a week waits, just that.
fn eats_what_comes(answer: &WormBedsAnswer) -> String {
    let when = match &answer.stopped {
        Some(stopped) => format!("until the worms die on {}", day(stopped.on)),
        None => if has_year(answer) { "over a year" } else { "in this plan" }.to_owned(),
    };
    let left = answer.weeks.last().map(|week| &week.waiting);
    let left = left.filter(|left| left.value.get() > answer.feed.a_week.value.get());
    let left = left.map(|left| format!(" but {} that wait at its end", plain(left))).unwrap_or_default();
    format!("{} the bed eats all that comes{left}; more feed would need a larger bed.", capitalised(&when))
}

/// Whether the plan takes in all seasons.
pub(super) fn has_year(answer: &WormBedsAnswer) -> bool {
    let days = answer.weeks.first().zip(answer.weeks.last()).map(|(first, last)| last.end_on - first.start_on);
    days.is_some_and(|days| days.num_days() + 1 >= DAYS_OF_A_YEAR)
}

/// `The bed eats all of this feed by 20 May 2027.`
fn all_eaten(answer: &WormBedsAnswer) -> String {
    let left = answer.weeks.last().map(|week| &week.waiting).filter(|left| is_some(left));
    let last = answer.weeks.iter().rev().find(|week| is_some(&week.feed));
    let end = match (left, last) {
        (Some(left), _) => format!(" but {}", plain(left)),
        (None, last) => last.map(|week| format!(" by {}", day(week.end_on))).unwrap_or_default(),
    };
    format!("The bed eats all of this feed{end}.")
}

/// The feed that the worms are enough for: they are counted by the warm days of the plan.
fn what_comes(answer: &WormBedsAnswer) -> &'static str {
    if has_year(answer) { "the feed of a year" } else { "the feed that comes in this plan" }
}

/// When there are enough worms; nothing where feed that comes once waits until they are.
fn growth(answer: &WormBedsAnswer) -> Option<String> {
    let (worms, is_once) = (&answer.worms, answer.feed.castings_of_all.is_some());
    let more = format!("buy {} more for the first day", plain(&worms.to_buy_for_all_feed));
    Some(match (&worms.enough_after, worms.enough_on) {
        _ if are_enough(worms) => {
            let feed = if is_once { "this feed, if they get it bit by bit" } else { what_comes(answer) };
            format!("There are enough worms from the first day for {feed}.")
        }
        (Some(_), _) if is_once => return None,
        (Some(after), Some(on)) => {
            let (after, on) = (digits(after.value.get()), day(on));
            let feed = what_comes(answer);
            format!("From {on}, after {after} warm days with feed, there are enough worms for {feed}; {more}.")
        }
        (Some(after), None) => {
            let after = digits(after.value.get());
            format!(
                "There are enough worms after {after} warm days with feed, which is after the end of this plan; {more}."
            )
        }
        (None, _) => {
            let needed = plain(&worms.needed);
            format!("All of the feed needs {needed} of worms, more than this ground carries.")
        }
    })
}

pub(super) fn is_some(amount: &QuantityOut) -> bool {
    amount.value.get() > 0.0
}

/// The amount alone, without its range.
pub(super) fn plain(amount: &QuantityOut) -> String {
    shown(&likely(amount, 1))
}
