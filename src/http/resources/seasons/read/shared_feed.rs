//! Reading the feed that beds of a season share.

use super::beds::ReadBeds;
use crate::garden::assumptions::Overrides;
use crate::garden::beds::Feed;
use crate::http::input::RequestContext;
use crate::http::resources::collected::CollectedFeed;
use crate::http::resources::harvests::{Analysis, BedFeedRequest};
use crate::http::resources::season_beds::SeasonBedRequest;
use crate::http::wire::JsonPath;

/// The feed that beds share.
pub(super) struct SharedFeed {
    analysis: Analysis,
    /// What is collected for it; none where each bed has its own feed.
    collected: Option<CollectedFeed>,
    /// For the core.
    pub feed: Feed,
}

/// Reads the feed that beds share, with its analysis.
pub(super) fn shared_feed(
    input: &BedFeedRequest,
    beds: &[SeasonBedRequest],
    context: &RequestContext<'_>,
    place: JsonPath<'_>,
) -> Option<SharedFeed> {
    let analysis = input.analysis((context, &Overrides::default()), place);
    let supply = input.supply(analysis.as_ref(), context, place);
    let (analysis, supply) = (analysis?, supply?);
    // Before the feed: what is collected depends on how the feed packs.
    let is_laid = beds.iter().any(|bed| bed.feed.is_none());
    let collected = is_laid.then(|| analysis.collected((context, place)));
    let feed = analysis.feed(supply, (context, place));
    Some(SharedFeed { analysis, collected, feed })
}

/// What is collected for the feed of each bed; those that share a feed are laid as dense as it lies.
pub(super) fn collected(
    beds: &mut ReadBeds,
    shared: Option<&SharedFeed>,
    context: &RequestContext<'_>,
) -> Vec<CollectedFeed> {
    let root = JsonPath::root();
    let at = root.field("feed_supply");
    let own = std::mem::take(&mut beds.own);
    let each = beds.orders.iter_mut().zip(own).map(|(order, own)| match (own, shared) {
        (None, Some(shared)) => {
            shared.analysis.lay(&mut order.overrides, (context, at));
            shared.collected.clone().unwrap_or_default()
        }
        (own, _) => own.unwrap_or_default(),
    });
    each.collect()
}
