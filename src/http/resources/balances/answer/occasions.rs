//! What a demand that repeats gets each time.

use super::lots::{Brought, ContentOut};
use super::{DroppedOut, WholeOut};
use crate::garden::areas::Extent;
use crate::garden::balances::ServedOccasion;
use crate::garden::balances::allocation::Window;
use crate::garden::balances::figures::DemandFigures;
use crate::garden::balances::lot_analysis::Content;
use crate::garden::balances::minimum::Dropped;
use crate::garden::figures::Recorder;
use crate::garden::units::quantity::{OfRatio, OfShare};
use crate::garden::units::{self, Estimate, Ratio};
use crate::http::input::rate::RateInput;
use crate::http::output::QuantityOut;
use crate::http::output::quantity::{Role, View};
use crate::http::resources::applications::RateOut;
use crate::http::resources::balances::request::Source;
use chrono::NaiveDate;
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// One time of a demand that repeats: allocated + shortfall = needed.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Occasion)]
pub struct OccasionOut {
    /// Which time it is, counted from 1.
    pub occasion: u32,
    /// The first day on which it can be served.
    pub earliest: Option<NaiveDate>,
    /// The last day on which it can be served.
    pub latest: Option<NaiveDate>,
    /// True if its last day is before `as_of`.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub past: bool,
    /// What is needed this time.
    pub needed: QuantityOut,
    /// What is allocated to it from stock and harvests.
    pub allocated: QuantityOut,
    /// What is needed and not allocated.
    pub shortfall: QuantityOut,
    /// Allocated over needed.
    pub share_allocated: QuantityOut,
    /// Whole plants, pots or batches given, where only whole ones are of use.
    pub whole_portions: Option<WholeOut>,
    /// Given where it gets nothing because it cannot get the `minimum`.
    pub dropped: Option<DroppedOut>,
    /// The rate that is given, as that of a demand.
    #[schema(value_type = Option<RateInput>)]
    pub rate_allocated: Option<RateOut>,
    /// What its lots and harvests bring of what the demand counts, where one of them holds another amount of that in a volume than
    /// `needed` was computed with.
    pub content: Option<ContentOut>,
}

/// Each time of a demand that repeats.
pub fn occasions(
    (served, figures): (&[ServedOccasion], &[DemandFigures]),
    (source, brought): (&Source, &Brought),
    (as_of, view): (Option<NaiveDate>, &View<'_>),
) -> Vec<OccasionOut> {
    let contents = brought.each_time.iter().copied().chain(std::iter::repeat(None));
    let each = (1..).zip(served.iter().zip(figures)).zip(contents);
    let write = |((occasion, (served, amounts)), content): ((u32, (&ServedOccasion, &DemandFigures)), _)| {
        let whole = served.pieces.map(|pieces| WholeOut::new(pieces, source));
        OccasionOut {
            occasion,
            earliest: served.window.first,
            latest: served.window.last,
            past: past(served.window, as_of),
            needed: view.whole(amounts.needed),
            allocated: view.whole(amounts.allocated),
            shortfall: view.whole(amounts.shortfall),
            share_allocated: view.estimate(Role::Share, amounts.share_allocated),
            rate_allocated: rate_allocated((source, whole.as_ref()), (amounts.share_allocated, content), view),
            whole_portions: whole,
            dropped: dropped(served.dropped, view),
            content: brought.out(content, view),
        }
    };
    each.map(write).collect()
}

/// The rate that this share of what is asked comes to: by volume, or by what the lots hold where the rate counts that. On whole portions it
/// is the rate of those that get theirs.
pub(super) fn rate_allocated(
    (source, whole): (&Source, Option<&WholeOut>),
    (share, content): (Estimate<OfShare>, Option<Content>),
    view: &View<'_>,
) -> Option<RateOut> {
    let Source::Application(order, application) = source else { return None };
    // Where castings are given for the whole place, the rate is what they make.
    let made = application.rates.first();
    if let Some(content) = content.filter(|_| made.is_none()) {
        let some = Some(content).filter(|content| content.supplied.kilograms() > 0.0);
        let get_theirs = |plants: Estimate<OfRatio>| {
            let Some(whole) = whole else { return plants };
            let count = Ratio::from_number(units::whole(whole.allocated));
            view.book().by_rule("those that get their whole portion", &[plants.node()], count.into())
        };
        let extent = Extent { plants: application.extent.plants.map(get_theirs), ..application.extent };
        let rate = some?.rate(&order.rate, &extent, view.book());
        return rate.map(|rate| RateOut::new(&rate, view));
    }
    let share = share.fraction();
    let of_rate = if whole.is_some() { 1.0 } else { share };
    (share > 0.0).then(|| RateOut::new(&made.unwrap_or(&order.rate).scaled(of_rate), view))
}

/// What was dropped, and why.
pub(super) fn dropped(dropped: Option<Dropped>, view: &View<'_>) -> Option<DroppedOut> {
    dropped.map(|dropped| DroppedOut {
        minimum: view.whole(dropped.minimum),
        would_have_been_allocated: view.whole(dropped.would_have_been_allocated),
    })
}

/// Whether its last day lies before today.
pub(super) fn past(window: Window, as_of: Option<NaiveDate>) -> bool {
    window.last.zip(as_of).is_some_and(|(last, today)| last < today)
}
