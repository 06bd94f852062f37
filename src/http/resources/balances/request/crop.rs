//! What is grown where a demand's castings go.

use super::{DemandRequest, Source};
use crate::garden::balances::Part;
use crate::garden::balances::untreated::{Grown, days_to_use_up, tea_is_untreated};
use crate::garden::cautions::waiting::{Crop, EdiblePart};
use crate::garden::refusal::{Reason, Refusal};
use crate::http::input::RequestContext;
use crate::http::input::enums::words;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// The crop: the interval between raw manure and harvest depends on it. Raw manure has to be worked into the soil 120
/// days before harvest where the edible part touches soil or soil splash, 90 days otherwise (7 CFR 205.203(c)(1), a
/// rule of US organic certification and a sensible floor elsewhere; local rules and the certifier come first).
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct CropRequest {
    /// The day of the first harvest of the crop.
    #[schema(format = Date)]
    pub first_crop_harvest: Option<String>,
    /// Where the edible part grows; counts as `touches_soil` unless given.
    pub edible_part: Option<EdiblePartInput>,
    /// True if the castings are worked into the soil on the day of the application; only then the interval can be
    /// met. Counts as left on top unless given.
    pub incorporated: Option<bool>,
}

words! {
    /// Where the edible part of a crop grows.
    EdiblePartInput as EdiblePart => EdiblePart {
        /// In soil, on it, or where soil splashes.
        TouchesSoil,
        /// Well above it.
        NoSoilContact,
        /// Nothing of it is eaten.
        NotEaten,
    }
}

impl DemandRequest {
    /// Reads the crop as far as this goes without the rest of the demand.
    pub(super) fn said_crop(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Crop>> {
        let Some(crop) = &self.crop else { return Some(None) };
        let place = place.field("crop");
        let first_crop_harvest = context.day(crop.first_crop_harvest.as_deref(), place.field("first_crop_harvest"))?;
        let edible_part = crop.edible_part.map(EdiblePart::from).unwrap_or_default();
        Some(Some(Crop { first_crop_harvest, edible_part, incorporated: crop.incorporated.unwrap_or(false) }))
    }
}

/// Refuses a crop that is harvested before the first day on which any of its castings come.
pub(super) fn in_time(
    crop: &Crop,
    first: Option<NaiveDate>,
    context: &RequestContext<'_>,
    place: JsonPath<'_>,
) -> Option<()> {
    let (Some(harvest), Some(first)) = (crop.first_crop_harvest, first) else { return Some(()) };
    if harvest >= first {
        return Some(());
    }
    let detail = format!(
        "the first crop harvest, {harvest}, is before {first}, the first day of this demand; write a later \
         \"first_crop_harvest\", or an earlier first day"
    );
    let crop = place.field("crop");
    context.refuse(crop.field("first_crop_harvest"), Refusal::new(Reason::DatesOutOfOrder, detail));
    None
}

/// The crop with what it gets: refused where its harvest is before the first castings.
pub(super) fn grown(
    crop: Crop,
    (parts, source): (&[Part], &Source),
    context: &RequestContext<'_>,
    place: JsonPath<'_>,
) -> Option<Grown> {
    let first = parts.iter().filter_map(|part| part.window.first).min();
    in_time(&crop, first, context, place)?;
    let (untreated, later) = match source {
        Source::Brew(brew) => (tea_is_untreated(brew), days_to_use_up(brew)),
        _ => (false, vec![0; parts.len()]),
    };
    Some(Grown { crop, untreated, later })
}
