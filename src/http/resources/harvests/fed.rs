//! Beds by what was fed: the feeds of the request, read.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

mod answer;

use crate::http::input::bounded::ShortText;
pub use answer::{ComparisonOut, FromFeedOut};

use crate::garden::assumptions::MOST_NUTRIENT;
use crate::garden::beds::yields::{MOST_ASH, WETTEST};
use crate::garden::beds::{Fed, ORGANIC_MATTER_IN_CARBON};
use crate::garden::feeds::{Carbon, Given, parts_of_ash, sums_up};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{DryMatter, MassOfVolume, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare};
use crate::garden::units::{Dimension, End, Estimate, Mass, Share, Volume};
use crate::http::input::list::List;
use crate::http::input::quantity::{DensityInput, Due, ShareInput, VolumeOrMassInput};
use crate::http::input::{RequestContext, optionally};
use crate::http::limits::{LEAST_SHARE, MAX_FEEDS};
use crate::http::output::quantity::Role;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// What was fed.
pub type FedList = List<FedRequest, 1, { MAX_FEEDS }>;

/// A feed that was given to a bed. Its analysis is of the dry matter; exactly one of `ash`, `organic_matter` and `carbon`.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct FedRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name for it, up to 100 characters; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// How much, as moist as it was fed: by mass, or by volume with `bulk_density`.
    pub amount: VolumeOrMassInput,
    /// Its water, of the whole (wet basis).
    pub moisture: ShareInput,
    /// Ash: the share of the dry matter that is left when it burns.
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
    /// Its bulk density, as moist as it was fed. Needed where the amount is a volume.
    pub bulk_density: Option<DensityInput>,
}

/// The fields of an analysis, wherever they stand.
pub(in crate::http::resources) struct AnalysisFields<'a> {
    /// The id of a material of the table, which has what is not given.
    pub material: Option<&'a str>,
    pub moisture: Option<&'a ShareInput>,
    /// Ash, organic matter, carbon.
    pub ash: [Option<&'a ShareInput>; 3],
    pub nitrogen: Option<&'a ShareInput>,
    pub bulk_density: Option<&'a DensityInput>,
}

/// A feed's analysis.
#[derive(Debug, Clone, Copy)]
pub(in crate::http::resources) struct Analysis {
    pub moisture: Estimate<OfShare>,
    pub ash: Estimate<OfShare>,
    pub nitrogen: Option<Estimate<OfShare>>,
    pub bulk_density: Option<Estimate<OfDensity>>,
}

impl AnalysisFields<'_> {
    /// Reads an analysis.
    pub fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Analysis> {
        let row = optionally(self.material, |id| context.feedstock(id, place));
        let moisture = self.moisture(context, place);
        let ash = self.ash(context, place);
        let nitrogen = optional(self.nitrogen, (LEAST_SHARE, MOST_NUTRIENT), (context, place.field("nitrogen")));
        let at = place.field("bulk_density");
        let bulk_density = context.optional(self.bulk_density.map(|it| &it.0), at);
        let bulk_density = bulk_density.map(|given| given.map(|density| context.asked(Role::Density, density, at)));
        if self.bulk_density.is_some() {
            context.may_be_idle(at);
        }
        let (row, moisture, ash, nitrogen, bulk_density) = (row?, moisture?, ash?, nitrogen?, bulk_density?);
        let carbon = ash.map(Carbon::Ash);
        let found = match row {
            Some(row) => {
                let asked =
                    context.recording.map_or(0, |it| it.number(Role::Share, place.field("material").to_pointer()));
                let given = Given { asked, row: Some(row), moisture, nitrogen, carbon, bulk_density };
                Analysis::of(&given, context, place)?
            }
            None => Analysis { moisture: moisture?, ash: ash?, nitrogen, bulk_density },
        };
        if let Some(nitrogen) = nitrogen {
            context.keep(place.field("nitrogen"), sums_up(found.ash.likely(), nitrogen.likely()))?;
        }
        Some(found)
    }

    /// The moisture; `Some(None)` where the row of the table has it.
    fn moisture(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Estimate<OfShare>>> {
        let at = place.field("moisture");
        if self.material.is_some() || self.moisture.is_some() {
            return optional(self.moisture, (0.0, WETTEST), (context, at));
        }
        if !context.errors.touches(place) {
            let detail = "the moisture of the feed is missing: give it with its ash, or material, as in {\"material\": \"leaves_shredded\"}";
            context.refuse(at, Refusal::new(Reason::MissingField, detail).allowed(["moisture", "material"]));
        }
        None
    }

    /// `ash = 1 - organic matter`, `organic matter = 1.8 carbon`; `Some(None)` where the row of the table has it.
    fn ash(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Estimate<OfShare>>> {
        let read = |input: &ShareInput, (low, high), (field, parts): (_, f64)| {
            let (of_each, at) = (1.0 / parts, place.field(field));
            let share: Share = context.exact_between(&input.0, (low * of_each, high * of_each), at)?;
            Some((share.fraction() * parts, at))
        };
        let of_organic = |input, from| {
            let (organic, at) = read(input, (1.0 - MOST_ASH, 1.0), from)?;
            Some((1.0 - organic, at))
        };
        let (ash, at) = match self.ash {
            [Some(ash), None, None] => read(ash, (0.0, MOST_ASH), ("ash", 1.0))?,
            [None, Some(organic), None] => of_organic(organic, ("organic_matter", 1.0))?,
            [None, None, Some(carbon)] => of_organic(carbon, ("carbon", ORGANIC_MATTER_IN_CARBON))?,
            [None, None, None] if self.material.is_some() => return Some(None),
            [None, None, None] if context.errors.touches(place) => return None,
            [None, None, None] => {
                let detail =
                    "the ash of the feed is missing: give ash, organic_matter or carbon, as shares of its dry matter";
                let refusal = Refusal::new(Reason::MissingField, detail);
                context.refuse(place.field("ash"), refusal.allowed(["ash", "organic_matter", "carbon"]));
                return None;
            }
            _ => {
                let detail = "ash, organic_matter and carbon follow from each other; give one of them";
                let refusal = Refusal::new(Reason::ExactlyOneOf, detail);
                context.refuse(place, refusal.allowed(["ash", "organic_matter", "carbon"]));
                return None;
            }
        };
        Some(Some(context.asked(Role::Share, Share::from_fraction(ash.max(0.0)), at)))
    }
}

/// A share between bounds, as a figure that knows its place.
pub(super) fn share(
    input: &ShareInput,
    bounds: (f64, f64),
    (context, at): (&RequestContext<'_>, JsonPath<'_>),
) -> Option<Estimate<OfShare>> {
    context.exact_between(&input.0, bounds, at).map(|share| context.asked(Role::Share, share, at))
}

fn optional(
    input: Option<&ShareInput>,
    bounds: (f64, f64),
    at: (&RequestContext<'_>, JsonPath<'_>),
) -> Option<Option<Estimate<OfShare>>> {
    input.map_or(Some(None), |input| share(input, bounds, at).map(Some))
}

impl Analysis {
    /// The likely values of a material of the table, with what is given of it in place of the row's.
    fn of(given: &Given, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Self> {
        let refused = |refusals: Vec<Refusal>| refusals.into_iter().for_each(|refusal| context.refuse(place, refusal));
        let material = given.material(context.book()).map_err(refused).ok()?;
        Some(Self {
            moisture: material.moisture().only(End::Likely),
            ash: material.ash().only(End::Likely),
            nitrogen: Some(material.nitrogen().only(End::Likely)),
            bulk_density: material.bulk_density().map(|density| density.only(End::Likely)),
        })
    }

    /// Reads an amount of this feed, moist: a mass, or a volume that its bulk density turns into one.
    pub fn amount(
        &self,
        input: &VolumeOrMassInput,
        least: Option<f64>,
        (context, at, feed): (&RequestContext<'_>, JsonPath<'_>, JsonPath<'_>),
    ) -> Option<Estimate<OfMass>> {
        let due = Due { least, ..Due::any(VolumeOrMassInput::DIMENSIONS) };
        let (dimension, span) = context.span(&input.0, due, at)?;
        context.note_range(span, at);
        if dimension == Dimension::Mass {
            return Some(context.asked(Role::Mass, Mass::from_base(span.likely), at));
        }
        let Some(rho) = self.bulk_density else {
            let detail = "the amount is a volume: give the bulk density of the feed, or the amount as a mass";
            context.refuse(feed.field("bulk_density"), Refusal::new(Reason::MissingField, detail));
            return None;
        };
        context.counts(feed.field("bulk_density"));
        let V = context.asked(Role::Bulk, Volume::from_base(span.likely), at);
        Some(context.book().figure(MassOfVolume { V, rho }))
    }

    /// The dry matter of so much, known by the place where its amount stands.
    pub fn dry(&self, m: Estimate<OfMass>, (context, at): (&RequestContext<'_>, JsonPath<'_>)) -> Estimate<OfMass> {
        context.asked(Role::Mass, DryMatter { m, w: self.moisture }.likely(), at)
    }
}

impl FedRequest {
    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Fed> {
        let analysis = AnalysisFields {
            material: None,
            moisture: Some(&self.moisture),
            ash: [self.ash.as_ref(), self.organic_matter.as_ref(), self.carbon.as_ref()],
            nitrogen: self.nitrogen.as_ref(),
            bulk_density: self.bulk_density.as_ref(),
        }
        .read(context, place);
        let nutrient = |input, field| optional(input, (0.0, MOST_NUTRIENT), (context, place.field(field)));
        let phosphorus = nutrient(self.phosphorus.as_ref(), "phosphorus");
        let potassium = nutrient(self.potassium.as_ref(), "potassium");
        let analysis = analysis?;
        let (phosphorus, potassium) = (phosphorus?, potassium?);
        let likely = |share: Option<Estimate<OfShare>>| share.map(Estimate::likely);
        context.keep(place, parts_of_ash(analysis.ash.likely(), (likely(phosphorus), likely(potassium))))?;
        let fresh = analysis.amount(&self.amount, None, (context, place.field("amount"), place))?;
        Some(Fed {
            fresh,
            moisture: analysis.moisture,
            ash: analysis.ash,
            nitrogen: analysis.nitrogen,
            phosphorus,
            potassium,
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
