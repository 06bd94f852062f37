//! What a feed is made of: read from its fields, from a row of the table of materials, or from several of them.

#![expect(non_snake_case, reason = "the symbols of the formulas")]

use super::AnalysisFields;
use crate::garden::assumptions::{Assumed, Assumption, Known, MAX_NUTRIENT, Overrides, SetBy};
use crate::garden::assumptions::{MAX_ASH, bounds, sums_up};
use crate::garden::beds::yields::WETTEST;
use crate::garden::beds::{Feed, ORGANIC_MATTER_IN_CARBON, Supply, feed_density};
use crate::garden::cautions::Rule;
use crate::garden::feeds::{Carbon, FixedMix, KnownMaterial, Load, Material};
use crate::garden::figures::Recorder;
use crate::garden::formulas::{DryMatter, MassOfVolume, Row};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfMass, OfShare};
use crate::garden::units::{End, Estimate, Mass, Share};
use crate::http::input::quantity::{DensityInput, Due, ShareInput, VolumeOrMassInput};
use crate::http::input::{RequestContext, optionally};
use crate::http::limits::MIN_SHARE;
use crate::http::output::quantity::Role;
use crate::http::resources::collected::{CollectedFeed, Mixed};
use crate::http::wire::JsonPath;

/// A feed's analysis.
#[derive(Debug, Clone)]
pub(in crate::http::resources) struct Analysis {
    pub moisture: Estimate<OfShare>,
    pub ash: Estimate<OfShare>,
    pub nitrogen: Option<Estimate<OfShare>>,
    pub bulk_density: Option<Estimate<OfDensity>>,
    /// The bulk density that the request gives, with its range.
    pub own: Option<Estimate<OfDensity>>,
    /// That of its material or its mix as it is collected, with its range.
    pub as_collected: Option<Estimate<OfDensity>>,
    /// What its material or its mix is called.
    pub name: Option<String>,
    /// What to mind with its materials.
    pub cautions: Vec<Rule>,
    /// What was assumed of them.
    pub assumed: Vec<Assumed>,
    /// What its bulk density was assumed by: it counts where an amount is a volume.
    pub packing: Option<Assumed>,
    /// All there is of it, dry, where its materials say so.
    pub all: Option<Estimate<OfMass>>,
    /// What it is mixed of.
    pub mixed: Option<Mixed>,
}

impl AnalysisFields<'_> {
    /// Reads an analysis.
    pub fn read(&self, (context, item): (&RequestContext<'_>, &Overrides), place: JsonPath<'_>) -> Option<Analysis> {
        let given = self.given(context, place)?;
        let own = given.bulk_density;
        let given = likely_density(given);
        let found = match (given.row, given.moisture, given.carbon) {
            (None, Some(moisture), Some(Carbon::Ash(ash))) => {
                Analysis { bulk_density: given.bulk_density, ..Analysis::plain(moisture, ash, given.nitrogen) }
            }
            _ => {
                let material = context.material(&given, place)?;
                let known = Known { request: &context.overrides, item };
                let (cautions, assumed) = FixedMix::alone(material, (given.family(), given.size()), known);
                Analysis { cautions, assumed, ..Analysis::of(&material) }
            }
        };
        if let Some(nitrogen) = given.nitrogen {
            context.keep(place.field("nitrogen"), sums_up(found.ash.likely(), nitrogen.likely()))?;
        }
        Some(Analysis { own, name: self.material.map(str::to_owned), ..found })
    }

    /// What is given, and the row of the table for the rest; its bulk density with its range.
    pub fn given(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<KnownMaterial> {
        let row = optionally(self.material, |id| context.feedstock(id, place));
        let moisture = self.moisture(context, place);
        let ash = self.ash(context, place);
        let nitrogen = optional(self.nitrogen, (MIN_SHARE, MAX_NUTRIENT), (context, place.field("nitrogen")));
        let bulk_density = self.density(context, place);
        let of_row = |it: &crate::http::output::Recording| it.number(Role::Share, place.field("material").to_pointer());
        let asked = context.recording.filter(|_| self.material.is_some()).map_or(0, of_row);
        let (row, moisture, ash, nitrogen) = (row?, moisture?, ash?, nitrogen?);
        Some(KnownMaterial {
            asked,
            row,
            moisture,
            nitrogen,
            carbon: ash.map(Carbon::Ash),
            bulk_density: bulk_density?,
        })
    }

    /// The bulk density with its range; it counts where a bed is laid by depth or an amount is a volume.
    pub fn density(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Option<Estimate<OfDensity>>> {
        let at = place.field("bulk_density");
        if self.bulk_density.is_some() {
            context.may_be_idle(at);
        }
        optionally(self.bulk_density, |input| {
            let (_, span) = context.span(&input.0, Due::any(DensityInput::DIMENSIONS), at)?;
            context.note_range(span, at);
            Some(context.asked(Role::Density, span.estimate::<OfDensity>(), at))
        })
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
            let (organic, at) = read(input, (1.0 - MAX_ASH, 1.0), from)?;
            Some((1.0 - organic, at))
        };
        let [ash, organic, carbon] = self.ash;
        let fields = ["ash", "organic_matter", "carbon"];
        if self.ash.iter().all(Option::is_none) {
            if self.material.is_some() {
                return Some(None);
            }
            if !context.errors.touches(place) {
                let detail =
                    "the ash of the feed is missing: give ash, organic_matter or carbon, as shares of its dry matter";
                context.refuse(place.field("ash"), Refusal::new(Reason::MissingField, detail).allowed(fields));
            }
            return None;
        }
        let ways = [
            ash.map(|ash| read(ash, (0.0, MAX_ASH), ("ash", 1.0))),
            organic.map(|organic| of_organic(organic, ("organic_matter", 1.0))),
            carbon.map(|carbon| of_organic(carbon, ("carbon", ORGANIC_MATTER_IN_CARBON))),
        ];
        let detail = "ash, organic_matter and carbon follow from each other; give one of them";
        let (ash, at) = context.only_way(ways, (place, detail), &fields)?;
        Some(Some(context.asked(Role::Share, Share::from_fraction(ash.max(0.0)), at)))
    }
}

/// The same with the likely value of its bulk density alone.
pub(super) fn likely_density(given: KnownMaterial) -> KnownMaterial {
    KnownMaterial { bulk_density: given.bulk_density.map(|density| density.only(End::Likely)), ..given }
}

/// A share between bounds, as a figure that knows its place.
pub(super) fn share(
    input: &ShareInput,
    bounds: (f64, f64),
    (context, at): (&RequestContext<'_>, JsonPath<'_>),
) -> Option<Estimate<OfShare>> {
    context.figure_between(Role::Share, (&input.0, bounds), at)
}

pub(super) fn optional(
    input: Option<&ShareInput>,
    bounds: (f64, f64),
    at: (&RequestContext<'_>, JsonPath<'_>),
) -> Option<Option<Estimate<OfShare>>> {
    optionally(input, |input| share(input, bounds, at))
}

impl Analysis {
    /// An analysis and nothing else.
    fn plain(moisture: Estimate<OfShare>, ash: Estimate<OfShare>, nitrogen: Option<Estimate<OfShare>>) -> Self {
        let (cautions, assumed) = (Vec::new(), Vec::new());
        Self {
            moisture,
            ash,
            nitrogen,
            bulk_density: None,
            own: None,
            as_collected: None,
            name: None,
            cautions,
            assumed,
            packing: None,
            all: None,
            mixed: None,
        }
    }

    /// The likely values of a material.
    fn of(material: &Material) -> Self {
        let likely = End::Likely;
        Self {
            bulk_density: material.bulk_density().map(|density| density.only(likely)),
            as_collected: material.bulk_density(),
            ..Self::plain(
                material.moisture().only(likely),
                material.ash().only(likely),
                Some(material.nitrogen().only(likely)),
            )
        }
    }

    /// The likely values of a mix, with its own bulk density if that is known.
    pub fn of_mix(mixed: FixedMix, own: Option<Estimate<OfDensity>>) -> Self {
        let (likely, mix) = (End::Likely, &mixed.mix);
        Self {
            bulk_density: own.map(|own| own.only(likely)).or(Some(mix.bulk_density.only(likely))),
            own,
            as_collected: Some(mix.bulk_density),
            packing: mixed.packing.filter(|_| own.is_none()),
            cautions: mixed.cautions,
            assumed: mixed.assumed,
            ..Self::plain(mix.moisture.only(likely), mixed.ash.only(likely), Some(mix.nitrogen_share.only(likely)))
        }
    }

    /// The dry matter of so much, known by the place of its amount.
    pub fn dry(&self, m: Estimate<OfMass>, (context, at): (&RequestContext<'_>, JsonPath<'_>)) -> Estimate<OfMass> {
        context.asked(Role::Mass, DryMatter { m, w: self.moisture }.likely(), at)
    }

    /// Lays this feed as dense as the request says that it lies, or as it is collected where it would lie looser else; unless the request
    /// says `feed.dry_bulk_density` itself.
    pub fn lay(&self, item: &mut Overrides, (context, at): (&RequestContext<'_>, JsonPath<'_>)) -> Option<()> {
        let known = Known { request: &context.overrides, item };
        let of_material = || self.as_collected.map(|rho| (rho, SetBy::Material));
        let rho = self.own.map(|rho| (rho, SetBy::Item)).or_else(of_material);
        let found = rho.and_then(|rho| Some((feed_density(rho, self.moisture, known)?, rho.1)));
        let Some((span, set_by)) = found else { return Some(()) };
        // That of a mix is by its packing, which then counts as a density that is given does.
        context.counts(at.field("bulk_density"));
        let at = if set_by == SetBy::Item { at.field("bulk_density") } else { at };
        context.range_is_used(at);
        context.counts(at);
        let (least, most) = bounds(Assumption::FeedDryDensity);
        let detail = || {
            format!(
                "so this feed has {} kg/m3 of dry matter; that must lie between {least} and {most} kg/m3",
                span.likely
            )
        };
        let set = item.set_by(set_by, Assumption::FeedDryDensity, span);
        context.keep(at, set.map_err(|refusal| Refusal { detail: detail(), ..refusal }))
    }

    /// What is collected for it: by the bulk density of its material, where the request does not say how dense it lies; of a mix, each material
    /// as it lies by itself.
    pub fn collected(&self, (context, at): (&RequestContext<'_>, JsonPath<'_>)) -> CollectedFeed {
        let bulk_density = self.bulk_density.filter(|_| self.own.is_none());
        if bulk_density.is_some() && self.mixed.is_none() {
            context.counts(at.field("bulk_density"));
        }
        CollectedFeed { name: self.name.clone(), bulk_density, mixed: self.mixed.clone() }
    }

    /// The feed for the core, once every amount of it is read.
    pub fn feed(&self, supply: Supply, (context, at): (&RequestContext<'_>, JsonPath<'_>)) -> Feed {
        let packing = self.packing.filter(|_| context.is_counted(at.field("bulk_density")));
        let (moisture, ash, nitrogen) = (self.moisture, self.ash, self.nitrogen);
        let assumed = self.assumed.iter().copied().chain(packing).collect();
        Feed { moisture, ash, nitrogen, supply, cautions: self.cautions.clone(), assumed }
    }
}

/// Reads an amount of a feed, moist: a mass, or a volume that its bulk density turns into one. Where the feed itself was refused, the
/// amount is only looked through for errors.
pub(in crate::http::resources) fn moist(
    of: Option<&Analysis>,
    input: &VolumeOrMassInput,
    least: Option<f64>,
    (context, at, feed): (&RequestContext<'_>, JsonPath<'_>, JsonPath<'_>),
) -> Option<Estimate<OfMass>> {
    let V = match context.load(input, least, at)? {
        Load::Mass(m) => return of.map(|_| m),
        Load::Volume(V) => V,
    };
    let Some(rho) = of?.bulk_density else {
        if V.high().litres() == 0.0 {
            return Some(Mass::from_kilograms(0.0).into());
        }
        let detail = "the amount is a volume: give the bulk density of the feed, or the amount as a mass";
        context.refuse(feed.field("bulk_density"), Refusal::new(Reason::MissingField, detail));
        return None;
    };
    context.counts(feed.field("bulk_density"));
    Some(context.book().figure(MassOfVolume { V, rho }))
}
