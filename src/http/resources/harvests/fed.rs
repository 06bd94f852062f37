//! Beds by what was fed: the feeds of the request, read.

mod answer;

use crate::http::input::bounded::ShortText;
pub use answer::{ComparisonOut, FromFeedOut};

use super::analysis::{moist, optional};
use super::fields::analysis_fields;
use crate::garden::assumptions::{MAX_NUTRIENT, Overrides, parts_of_ash};
use crate::garden::beds::Fed;
use crate::garden::feeds::{Family, Feedstock};
use crate::garden::units::Estimate;
use crate::garden::units::quantity::OfShare;
use crate::http::input::RequestContext;
use crate::http::input::list::List;
use crate::http::input::quantity::{DensityInput, ShareInput, VolumeOrMassInput};
use crate::http::limits::MAX_FEEDS;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// What was fed.
pub type FedList = List<FedRequest, 1, { MAX_FEEDS }>;

/// A feed that was given to a bed: a material of `GET /v1/materials`, or its own analysis: moisture and exactly one of `ash`,
/// `organic_matter` and `carbon`, which are shares of the dry matter.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct FedRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// A material of `GET /v1/materials`: its likely values are used for all that is not given here.
    #[schema(example = "leaves_shredded", min_length = 1)]
    pub material: Option<String>,
    /// How much, as moist as it was fed: by mass, or by volume with `bulk_density` or a `material`.
    pub amount: VolumeOrMassInput,
    /// Its water, of the whole (wet basis). Needed without `material`.
    pub moisture: Option<ShareInput>,
    /// What is left when it burns.
    pub ash: Option<ShareInput>,
    /// The share of the dry matter that burns: 100 % less ash.
    pub organic_matter: Option<ShareInput>,
    /// Carbon: organic matter / 1.8.
    pub carbon: Option<ShareInput>,
    /// Total nitrogen (N), in the dry matter.
    pub nitrogen: Option<ShareInput>,
    /// Phosphorus (P, not phosphate), in the dry matter.
    pub phosphorus: Option<ShareInput>,
    /// Potassium (K, not potash), in the dry matter.
    pub potassium: Option<ShareInput>,
    /// As moist as it was fed; needed where the amount is a volume and no `material` is named.
    pub bulk_density: Option<DensityInput>,
}

impl FedRequest {
    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Fed> {
        let analysis = analysis_fields!(self).read((context, &Overrides::default()), place);
        let nutrient = |input, field| optional(input, (0.0, MAX_NUTRIENT), (context, place.field(field)));
        let phosphorus = nutrient(self.phosphorus.as_ref(), "phosphorus");
        let potassium = nutrient(self.potassium.as_ref(), "potassium");
        let fresh = moist(analysis.as_ref(), &self.amount, None, (context, place.field("amount"), place));
        let analysis = analysis?;
        let (phosphorus, potassium) = (phosphorus?, potassium?);
        let likely = |share: Option<Estimate<OfShare>>| share.map(Estimate::likely);
        let of_ash = parts_of_ash(analysis.ash.likely(), (likely(phosphorus), likely(potassium)));
        context.keep(place.field("phosphorus"), of_ash)?;
        let row = self.material.as_deref().and_then(Feedstock::find);
        Some(Fed {
            fresh: fresh?,
            moisture: analysis.moisture,
            ash: analysis.ash,
            nitrogen: analysis.nitrogen,
            phosphorus,
            potassium,
            cautions: row.map_or(Family::Other, |row| row.family).cautions(),
        })
    }
}

/// Reads all that was fed.
pub(super) fn read(list: &FedList, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Vec<Fed>> {
    context.unique_ids(list.iter().map(|feed| feed.id.as_deref()), place);
    let feeds: Vec<_> = list.iter().enumerate().map(|(i, feed)| feed.read(context, place.index(i))).collect();
    // An empty list has been reported already.
    if feeds.is_empty() { None } else { feeds.into_iter().collect() }
}
