//! What a demand that repeats gets each time.

use super::lots::{Brought, ContentOut};
use super::{DroppedOut, WholeOut};
use crate::garden::balances::ServedOccasion;
use crate::garden::balances::allocation::Window;
use crate::garden::balances::figures::DemandFigures;
use crate::garden::balances::lot_analysis::Content;
use crate::garden::balances::minimum::Dropped;
use crate::garden::units::Estimate;
use crate::garden::units::quantity::OfShare;
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
    /// True if its last day lies before `as_of`.
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
    /// There where it gets nothing because it could not get the `minimum`.
    pub dropped: Option<DroppedOut>,
    /// The rate that what is given comes to, by what its lots and harvests weigh and hold; not there where that is nothing.
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
    let write = |((occasion, (served, amounts)), content): ((u32, (&ServedOccasion, &DemandFigures)), _)| OccasionOut {
        occasion,
        earliest: served.window.first,
        latest: served.window.last,
        past: past(served.window, as_of),
        needed: view.whole(amounts.needed),
        allocated: view.whole(amounts.allocated),
        shortfall: view.whole(amounts.shortfall),
        share_allocated: view.estimate(Role::Share, amounts.share_allocated),
        whole_portions: served.pieces.map(|(needed, allocated)| WholeOut { needed, allocated }),
        dropped: dropped(served.dropped, view),
        rate_allocated: rate_allocated(source, (amounts.share_allocated, content), view),
        content: brought.out(content, view),
    };
    each.map(write).collect()
}

/// The rate that this share of what is asked comes to: by volume, or by what the lots hold where the rate counts that.
pub(super) fn rate_allocated(
    source: &Source,
    (share, content): (Estimate<OfShare>, Option<Content>),
    view: &View<'_>,
) -> Option<RateOut> {
    let Source::Application(order, application) = source else { return None };
    // Where castings are given for the whole place, the rate is what they make.
    let made = application.rates.first();
    if let Some(content) = content.filter(|_| made.is_none()) {
        let some = Some(content).filter(|content| content.supplied.kilograms() > 0.0);
        let rate = some?.rate(&order.rate, &application.extent, view.book());
        return rate.map(|rate| RateOut::new(&rate, view));
    }
    let share = share.fraction();
    (share > 0.0).then(|| RateOut::new(&made.unwrap_or(&order.rate).scaled(share), view))
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
