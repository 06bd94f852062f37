//! What the feed of the records is made of: their own, or that of the request.

use super::request::{CalibrationsRequest, RecordRequest, RecordedFeedRequest};
use crate::garden::assumptions::{Assumption, Overrides};
use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::http::input::RequestContext;
use crate::http::resources::harvests::{Analysis, analysis_fields, analysis_of_feed};
use crate::http::wire::JsonPath;

/// The feed that records share, read once.
pub(super) enum Shared {
    /// None is given.
    Missing,
    /// Its errors have been reported.
    Refused,
    /// It is known.
    Known(Box<Analysis>),
}

impl Shared {
    /// Reads it.
    pub fn of(request: &CalibrationsRequest, context: &RequestContext<'_>) -> Self {
        let Some(feed) = &request.feed else { return Self::Missing };
        let root = JsonPath::root();
        read(feed, context, root.field("feed")).map_or(Self::Refused, |analysis| Self::Known(Box::new(analysis)))
    }
}

fn read(feed: &RecordedFeedRequest, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Analysis> {
    let known = (context, &Overrides::default());
    let mut read = analysis_of_feed(analysis_fields!(feed), feed.materials.as_ref(), known, place)?;
    // What was fed is not mixed any more.
    read.cautions.retain(|rule| !matches!(rule, Rule::FeedTooWet | Rule::MixRatio));
    read.assumed.retain(|one| one.assumption != Assumption::MixCarbonToNitrogen);
    Some(read)
}

/// The feed of a record.
pub(super) fn of_record(
    record: &RecordRequest,
    shared: &Shared,
    (context, place): (&RequestContext<'_>, JsonPath<'_>),
) -> Option<Analysis> {
    let at = place.field("feed");
    match (&record.feed, shared) {
        (Some(own), _) => read(own, context, at),
        (None, Shared::Known(analysis)) => Some(Analysis::clone(analysis)),
        (None, Shared::Refused) => None,
        (None, Shared::Missing) => {
            let detail = "say what this bed was fed: feed here, as in {\"material\": \"leaves_shredded\"}, or feed for all records";
            context.refuse(at, Refusal::new(Reason::MissingField, detail));
            None
        }
    }
}
