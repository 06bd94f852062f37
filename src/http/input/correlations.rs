//! How values go together, on the wire: `{"first": "worms.feed_rate", "second": "worms.doubling_time", "rank_correlation": -0.4}`.

use super::RequestContext;
use super::bounded::RankCorrelation;
use super::list::List;
use super::unknown_assumption::unknown;
use crate::garden::assumptions::{Assumption, Correlation, Overrides};
use crate::http::limits::MAX_CORRELATIONS;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};
use validator::Validate;

/// The member of a request's assumptions that holds them.
pub(super) const CORRELATIONS: &str = "correlations";

/// Pairs of values that go together.
pub type CorrelationsInput = List<CorrelationInput, 0, MAX_CORRELATIONS>;

/// Two values that go together.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct CorrelationInput {
    /// The id of the one assumption.
    #[schema(example = "worms.feed_rate")]
    first: String,
    /// The id of the other.
    #[schema(example = "worms.doubling_time")]
    second: String,
    /// The correlation of their ranks (Spearman), such as -0.4.
    #[validate(nested)]
    rank_correlation: RankCorrelation,
}

/// How the document describes the pairs.
pub(super) fn schema() -> RefOr<Schema> {
    let mut schema = CorrelationsInput::schema();
    if let RefOr::T(Schema::Array(array)) = &mut schema {
        let about = "Which values go together, as `POST /v1/calibrations` returns it. In the assumptions of a request only. Runs of a \
                     season draw these values together; other questions do not need it.";
        array.description = Some(about.to_owned());
    }
    schema
}

impl RequestContext<'_> {
    /// Reads how values go together.
    pub(super) fn correlate(&self, values: &mut Overrides, input: Option<&CorrelationsInput>, place: JsonPath<'_>) {
        let Some(list) = input else { return };
        let mut pairs = Vec::with_capacity(list.len());
        for (index, pair) in list.iter().enumerate() {
            pairs.extend(self.pair(pair, place.index(index)).map(|pair| (index, pair)));
        }
        let is_whole = pairs.len() == list.len() && !self.errors.touches(place);
        let correlations: Vec<Correlation> = pairs.iter().map(|(_, pair)| *pair).collect();
        for (of, refusal) in values.correlate(&correlations).err().unwrap_or_default() {
            match of.map(|of| pairs.get(of)) {
                Some(Some((index, _))) => self.refuse(place.index(*index), refusal),
                // Pairs that are wrong are missing among the others.
                None if is_whole => self.refuse(place, refusal),
                _ => {}
            }
        }
    }

    fn pair(&self, pair: &CorrelationInput, at: JsonPath<'_>) -> Option<Correlation> {
        if self.errors.touches(at) {
            return None;
        }
        let find = |field: &'static str, id: &str| {
            let found = Assumption::find(id);
            if found.is_none() && !self.errors.is_full_by_one_more() {
                self.refuse(at.field(field), unknown(id, None));
            }
            found
        };
        let (first, second) = (find("first", &pair.first), find("second", &pair.second));
        Some(Correlation { first: first?, second: second?, rank_correlation: pair.rank_correlation.0 })
    }
}
