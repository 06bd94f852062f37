//! A bed's feed of several materials.

use super::analysis::{Analysis, likely_density};
use super::fields::analysis_fields;
use crate::garden::assumptions::{Known, Overrides};
use crate::garden::feeds::{Amount, FixedMix, Ingredient, Load, Treatment};
use crate::garden::figures::Recorder;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfRatio};
use crate::garden::units::{End, Estimate, Ratio, Volume};
use crate::http::input::RequestContext;
use crate::http::input::bounded::{Parts, ShortText, echoed};
use crate::http::input::list::List;
use crate::http::input::piece_size::SizeInput;
use crate::http::input::quantity::{DensityInput, ShareInput, VolumeOrMassInput};
use crate::http::limits::MAX_MATERIALS;
use crate::http::output::quantity::Role;
use crate::http::resources::ReferenceOut;
use crate::http::resources::collected::Mixed;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// How parts are taken.
const BY_VOLUME: &str = "parts by volume, each taken as a litre";

/// How many materials of a mix are named. Source: how this service works.
const MAX_NAMED: usize = 3;

/// The materials of a feed.
pub type FeedParts = List<FeedPartRequest, 1, { MAX_MATERIALS }>;

/// A material of a bed's feed: one of `GET /v1/materials`, or its own analysis: moisture, nitrogen and exactly one of `ash`,
/// `organic_matter` and `carbon`, which are shares of the dry matter.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct FeedPartRequest {
    /// Unique in its list.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// What it is called.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// A material of `GET /v1/materials`: its likely values are used for all that is not given here.
    #[schema(example = "leaves_shredded", min_length = 1)]
    pub material: Option<String>,
    /// How many parts of the mix it is, by volume as it lies: three buckets of leaves to one of grass are 3 and 1. One part unless given.
    #[validate(nested)]
    pub parts: Option<Parts>,
    /// How much there is of it, by mass or volume, in place of `parts`. Either all materials have an amount, or none.
    pub amount: Option<VolumeOrMassInput>,
    /// Its water, of the whole (wet basis). Needed without `material`.
    pub moisture: Option<ShareInput>,
    /// What is left when it burns.
    pub ash: Option<ShareInput>,
    /// What burns: 100 % less ash.
    pub organic_matter: Option<ShareInput>,
    /// Carbon: organic matter / 1.8.
    pub carbon: Option<ShareInput>,
    /// Total N. Needed without `material`.
    pub nitrogen: Option<ShareInput>,
    /// As it lies at its moisture; the assumption `feed.dry_bulk_density` where neither this nor `material` is given.
    pub bulk_density: Option<DensityInput>,
    /// How large its pieces are: that of the table, or `medium`, unless given.
    pub size: Option<SizeInput>,
}

/// Reads a feed of several materials. Where all have amounts, these are all there is of it.
pub(super) fn read(
    parts: &FeedParts,
    own: Option<Estimate<OfDensity>>,
    (context, item): (&RequestContext<'_>, &Overrides),
    feed: JsonPath<'_>,
) -> Option<Analysis> {
    let list = feed.field("materials");
    context.unique_ids(parts.iter().map(|part| part.id.as_deref()), list);
    let have_amounts = parts.iter().any(|part| part.amount.is_some());
    let read = |(i, part): (usize, &FeedPartRequest)| part.read((i, have_amounts), context, list.index(i));
    let ingredients: Vec<Option<Ingredient>> = parts.iter().enumerate().map(read).collect();
    let ingredients: Vec<Ingredient> = ingredients.into_iter().collect::<Option<_>>()?;
    // An empty list has been reported already.
    if ingredients.is_empty() {
        return None;
    }
    let known = Known { request: &context.overrides, item };
    let mixed = FixedMix::of(&ingredients, known, context.book());
    let mixed = context.keep(list, mixed.map_err(|refusal| Refusal { field: None, ..refusal }))?;
    let all = mixed.mix.dry.only(End::Likely);
    let shares = shares(parts, &mixed);
    let name = Some(names(parts, &shares));
    let analysis = Analysis::of_mix(mixed, own);
    Some(Analysis { all: have_amounts.then_some(all), name, mixed: Some(shares), ..analysis })
}

/// What a feed is mixed of.
fn shares(parts: &FeedParts, mixed: &FixedMix) -> Mixed {
    let is_given = |part: &FeedPartRequest| part.parts.is_some() || part.amount.is_some();
    let label = |(index, part): (usize, &FeedPartRequest)| {
        let name = echoed(part.name.as_ref()).or_else(|| part.material.clone());
        ReferenceOut { index, id: echoed(part.id.as_ref()), name }
    };
    let labels = parts.iter().enumerate().map(label);
    Mixed {
        materials: labels.zip(mixed.parts.iter().copied()).collect(),
        mass: mixed.mix.mass.likely(),
        is_assumed: parts.len() > 1 && !parts.iter().any(is_given),
    }
}

/// What the materials of a mix are called: `leaves_shredded, grass_clippings`; of many the first.
fn names(parts: &FeedParts, mixed: &Mixed) -> String {
    let named = mixed.materials.iter().take(MAX_NAMED);
    let named: Vec<String> = named.map(|(material, _)| material.called("material")).collect();
    let more = parts.len().saturating_sub(MAX_NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let equal = if mixed.is_assumed { "equal volumes of " } else { "" };
    format!("a mix of {equal}{}{more}", named.join(", "))
}

impl FeedPartRequest {
    fn read(
        &self,
        (index, have_amounts): (usize, bool),
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
    ) -> Option<Ingredient> {
        let given = analysis_fields!(self).given(context, place).map(likely_density);
        let amount = self.amount(have_amounts, context, place);
        let has_nitrogen = self.material.is_some() || self.nitrogen.is_some();
        if !has_nitrogen && !context.errors.touches(place) {
            let detail = "the nitrogen of this material is missing: give it as a share of its dry matter, as in \"1.5 %\", or name a \
                          material";
            context.refuse(place.field("nitrogen"), Refusal::new(Reason::MissingField, detail));
        }
        context.counts(place.field("bulk_density"));
        let (given, amount) = (given.filter(|_| has_nitrogen)?, amount?);
        let material = context.material(&given, place)?;
        let name = echoed(self.name.as_ref()).or_else(|| given.row.map(|row| row.name.to_owned()));
        Some(Ingredient {
            name: name.unwrap_or_else(|| format!("material {}", index + 1)),
            asked: context.recording.map_or(0, |it| it.number(Role::Water, place.to_pointer())),
            material,
            family: given.family(),
            size: self.size.map_or_else(|| given.size(), Into::into),
            amount: Amount::Fixed(amount),
            treatment: Treatment::AsItIs,
            shred: false,
        })
    }

    /// How much of it goes into the mix.
    fn amount(&self, have_amounts: bool, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Load> {
        let at = place.field("amount");
        if have_amounts && (self.amount.is_none() || self.parts.is_some()) {
            let detail = "give each material of this feed an amount, as in \"10 kg\", or each of them parts, as in 3";
            // A field that lacks is missing; one that is too many excludes the other.
            let (at, reason) = match (self.amount.is_none(), self.parts.is_some()) {
                (true, false) => (at, Reason::MissingField),
                _ => (place.field("parts"), Reason::ExactlyOneOf),
            };
            context.refuse(at, Refusal::new(reason, detail).allowed(["amount", "parts"]));
            let _ = self.weighed(context, place.field("amount"));
            return None;
        }
        if self.amount.is_none() {
            // Parts outside their bounds have been reported already.
            let parts = self.parts.map_or(Some(1.0), |parts| parts.is_within().then_some(parts.0))?;
            let at = if self.parts.is_some() { place.field("parts") } else { place };
            let number: Estimate<OfRatio> = context.asked(Role::Ratio, Ratio::from_number(parts), at);
            let litres = Volume::from_litres(parts).into();
            return Some(Load::Volume(context.book().by_rule(BY_VOLUME, &[number.node()], litres)));
        }
        self.weighed(context, at)
    }

    /// The amount by volume or mass, where it is given.
    fn weighed(&self, context: &RequestContext<'_>, at: JsonPath<'_>) -> Option<Load> {
        context.load(self.amount.as_ref()?, None, at)
    }
}
