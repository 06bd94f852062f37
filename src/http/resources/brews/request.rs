//! The request, and reading it.

use super::dilution::DilutionInput;
use crate::garden::assumptions::{Assumed, Assumption, Overrides, Span};
use crate::garden::brews::{Amount, Brew, Brewer, Coverage, Order, WaterSource, batches, plan};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Dimension, Duration, Ratio, Volume, VolumePerArea, VolumePerLength};
use crate::http::input::RequestContext;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::bounded::{BrewerCount, Count, ShortText};
use crate::http::input::containers::ContainerList;
use crate::http::input::enums::words;
use crate::http::input::ground::counted;
use crate::http::input::list::List;
use crate::http::input::quantity::{CoverageInput, Due, DurationInput, VolumeInput};
use crate::http::input::surface::SurfaceInput;
use crate::http::limits::{MAX_ADDITIVES, MAX_ITEMS};
use crate::http::output::Texts;
use crate::http::output::quantity::{Role, System};
use crate::http::resources::skip::OnError;
use crate::http::wire::JsonPath;
use serde::Deserialize;
use utoipa::ToSchema;
use validator::Validate;

/// Brews to plan.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct BrewsRequest {
    /// Your own id; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// `metric` unless given. With `us`, `gal qt pt fl oz bu ton` are the US ones.
    pub units: Option<System>,
    /// Your buckets, barrows or sacks; their names work as units.
    #[validate(nested)]
    pub containers: Option<ContainerList>,
    /// What you know better than the defaults, by the id of the assumption.
    pub assumptions: Option<AssumptionsInput>,
    /// The brews to plan, at least one.
    #[validate(nested)]
    pub brews: BrewList,
    /// True adds how each figure is computed; for at most 200 brews.
    pub explain: Option<bool>,
    /// `brief` leaves out texts and sources of cautions and assumptions; `full` unless given.
    pub texts: Option<Texts>,
    /// `skip` leaves out areas, beds, heaps, brews, lots and demands with errors, and lists them in `skipped`; one of each must be left. `refuse` unless given.
    pub on_error: Option<OnError>,
}

/// The brews.
pub type BrewList = List<BrewRequest, 1, { MAX_ITEMS }>;

/// What goes in besides castings and water.
pub type Additives = List<ShortText, 0, { MAX_ADDITIVES }>;

/// A brew: an amount of water, or as much tea as a place takes.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct BrewRequest {
    /// Your own id, unique in this list; the answer repeats it.
    #[validate(nested)]
    pub id: Option<ShortText>,
    /// Your own name; the answer repeats it.
    #[validate(nested)]
    pub name: Option<ShortText>,
    /// Water to brew with. Either this, or `coverage` and `surface`.
    pub water: Option<VolumeInput>,
    /// Diluted tea for the surface: for each area, along rows, or for each plant.
    pub coverage: Option<CoverageInput>,
    /// Where the tea goes.
    #[validate(nested)]
    pub surface: Option<SurfaceInput>,
    /// Castings to water by volume; the assumption `tea.castings_to_water` unless given.
    pub castings_to_water: Option<DilutionInput>,
    /// Tea to water added before use: `"1:3"` is one part of tea to three of water. None unless given.
    pub dilution: Option<DilutionInput>,
    /// The vessel. Without one, all is brewed at once.
    #[validate(nested)]
    pub brewer: Option<BrewerRequest>,
    /// From putting castings into water until the tea is ready; the assumption `tea.brewing_time` unless given.
    pub brewing_time: Option<DurationInput>,
    /// From when the tea is ready until it is used up; the assumption `tea.use_within` unless given.
    pub use_within: Option<DurationInput>,
    /// When the first batches are to be ready: RFC 3339 with an offset, which the answer keeps.
    #[schema(format = DateTime, example = "2027-06-10T18:00:00+02:00")]
    pub use_at: Option<String>,
    /// Anything that goes in besides castings and water.
    #[validate(nested)]
    pub additives: Option<Additives>,
    /// Where the water is from.
    pub water_source: Option<WaterSourceInput>,
    /// True if air is blown in all the time; still tea takes much longer to be clear of germs. Counts as still unless given.
    pub aerated: Option<bool>,
    /// What you know better than the defaults for this brew.
    pub assumptions: Option<AssumptionsInput>,
}

/// A vessel to brew in.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct BrewerRequest {
    /// The water that one brewer takes.
    pub capacity: VolumeInput,
    /// How many brewers there are; 1 unless given.
    #[validate(nested)]
    pub count: Option<BrewerCount>,
    /// From one batch's end to the next one's start, for emptying and cleaning; none unless given.
    pub turnaround: Option<DurationInput>,
}

words! {
    /// Where the water is from.
    WaterSourceInput => WaterSource {
        /// Treated drinking water.
        Mains,
        /// Rain from a roof.
        Rain,
        /// A well or spring.
        GroundWater,
        /// A pond, river or ditch, untreated.
        SurfaceWater,
    }
}

/// The weakest and the strongest tea that is computed with.
const STRENGTHS: (f64, f64) = (1e-6, 1.0);
/// The least and the most dilution, as parts of tea to one of water.
const DILUTIONS: (f64, f64) = (1e-3, 1e3);

impl BrewRequest {
    /// Reads one brew and plans it; `counts` says which of its assumptions count for the answer.
    pub(crate) fn solve(
        &self,
        context: &RequestContext<'_>,
        place: JsonPath<'_>,
        counts: impl Fn(&Assumed) -> bool,
    ) -> Option<Brew> {
        let overrides = self.overrides(context, place);
        let order = self.order(context, place);
        let (order, overrides) = (order?, overrides?);
        let brew = context.with_known(place, &overrides, |known| plan(&order, known, context.book()))?;
        context.count_batches(place, brew.batches.len())?;
        let assumed: Vec<Assumed> = brew.assumed.iter().filter(|one| counts(one)).copied().collect();
        context.note_used(place, &overrides, &assumed);
        Some(Brew { assumed, ..brew })
    }

    /// How many batches it makes, as far as can be seen ahead; one where it will be refused.
    pub(crate) fn batches(&self, ahead: &RequestContext<'_>) -> usize {
        let order = self.brewer.as_ref().and_then(|_| self.order(ahead, JsonPath::root()));
        order.and_then(|order| batches(&order).ok()).and_then(|n| usize::try_from(n).ok()).unwrap_or(1)
    }

    fn order(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Order> {
        let amount = self.amount(context, place);
        let dilution = match &self.dilution {
            Some(input) => {
                let at = place.field("dilution");
                context.parts(input, DILUTIONS, at).map(|span| {
                    context.note_range(span, at);
                    context.asked(Role::Ratio, Ratio::from_number(1.0 / span.likely), at)
                })
            }
            None => Some(context.asked(Role::Ratio, Ratio::from_number(0.0), place)),
        };
        let brewer = match &self.brewer {
            Some(brewer) => brewer.read(context, place.field("brewer")).map(Some),
            None => Some(None),
        };
        let use_at = match &self.use_at {
            Some(text) => context.keep(place.field("use_at"), crate::garden::dates::moment(text)).map(Some),
            None => Some(None),
        };
        Some(Order {
            amount: amount?,
            dilution: dilution?,
            brewer: brewer?,
            use_at: use_at?,
            additives: self.additives.as_ref().is_some_and(|a| !a.is_empty()),
            water_source: self.water_source.map(Into::into),
            aerated: self.aerated.unwrap_or(false),
        })
    }

    /// The brew's own assumptions: those under `assumptions`, and those that have a field of their own.
    fn overrides(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Overrides> {
        let mut overrides = context.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let mut sound = true;
        let mut set = |assumption, span: Option<Span>, field| {
            let kept = span.and_then(|span| context.set_by_field(&mut overrides, (assumption, span), (place, field)));
            sound &= kept.is_some();
        };
        if let Some(strength) = &self.castings_to_water {
            let field = "castings_to_water";
            set(Assumption::TeaStrength, context.parts(strength, STRENGTHS, place.field(field)), field);
        }
        for (input, assumption, field) in [
            (&self.brewing_time, Assumption::BrewingTime, "brewing_time"),
            (&self.use_within, Assumption::UseWithin, "use_within"),
        ] {
            if let Some(input) = input {
                let span = context.span(&input.0, Due::any(DurationInput::DIMENSIONS), place.field(field));
                set(assumption, span.map(|(_, span)| span), field);
            }
        }
        sound.then_some(overrides)
    }

    fn amount(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Amount> {
        let water = self
            .water
            .as_ref()
            .map(|water| context.figure(Role::Water, &water.0, place.field("water")).map(Amount::Water));
        let coverage = self.coverage.as_ref().map(|coverage| read_coverage(coverage, context, place.field("coverage")));
        let surface = self.surface.as_ref().map(|surface| {
            let at = place.field("surface");
            context.keep(at, context.surface(surface, at)?.extent(context.book()))
        });
        match (water, coverage, surface) {
            (Some(water), None, None) => water,
            (None, Some(coverage), Some(surface)) => Some(Amount::Place(coverage?, surface?)),
            _ => {
                let detail = "say how much: either water, or both coverage and surface";
                let refusal = Refusal::new(Reason::ExactlyOneOf, detail).allowed(["water", "coverage and surface"]);
                context.refuse(place, refusal);
                None
            }
        }
    }
}

/// Tea over an area, along a row or for each plant.
fn read_coverage(input: &CoverageInput, context: &RequestContext<'_>, at: JsonPath<'_>) -> Option<Coverage> {
    let (dimension, span) = context.span(&input.0, Due::any(CoverageInput::DIMENSIONS), at)?;
    context.note_range(span, at);
    Some(match dimension {
        Dimension::VolumePerArea => {
            Coverage::PerArea(context.asked(Role::WaterPerArea, VolumePerArea::from_base(span.likely), at))
        }
        Dimension::VolumePerLength => {
            Coverage::PerLength(context.asked(Role::BulkPerLength, VolumePerLength::from_base(span.likely), at))
        }
        _ => Coverage::PerPlant(context.asked(Role::Water, Volume::from_base(span.likely), at)),
    })
}

impl BrewerRequest {
    /// How many. A count above what any shape may have has been refused and counts as one.
    pub fn counted(&self) -> u32 {
        counted(self.count.map(|count| Count(count.0)))
    }

    fn read(&self, context: &RequestContext<'_>, place: JsonPath<'_>) -> Option<Brewer> {
        let holds = context.figure(Role::Water, &self.capacity.0, place.field("capacity"));
        let turnaround = match &self.turnaround {
            Some(input) => {
                let (_, longest) = Dimension::Duration.bounds();
                context.exact_between(&input.0, (0.0, longest), place.field("turnaround"))
            }
            None => Some(Duration::from_hours(0.0)),
        };
        // One vessel unless the request says more.
        let count = Ratio::from_number(f64::from(self.counted()));
        let at = place.field("count");
        let count = context.asked(Role::Ratio, count, if self.count.is_some() { at } else { place });
        Some(Brewer { holds: holds?, count, turnaround: turnaround? })
    }
}

/// Reads and plans all brews.
pub(crate) fn solve(request: &BrewsRequest, context: &RequestContext<'_>) -> Option<Vec<Brew>> {
    let root = JsonPath::root();
    let list = root.field("brews");
    context.unique_ids(request.brews.iter().map(|b| b.id.as_deref()), list);
    let solved: Vec<_> =
        request.brews.iter().enumerate().map(|(i, brew)| brew.solve(context, list.index(i), |_| true)).collect();
    solved.into_iter().collect()
}
