//! `POST /v1/brews`: castings for compost tea, batches and their times.

use super::{COMPUTED_WITH, CastingsOut, Frame, Question, Sample, Units};
use crate::garden::assumptions::{Assumption, Overrides, Span};
use crate::garden::brews::{Amount, Batch, Brew, Brewer, Coverage, Order, Stronger, WaterSource, plan};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::{Dimension, Duration, Volume, VolumePerArea, VolumePerLength};
use crate::http::answer::{Accepted, respond};
use crate::http::body::Body;
use crate::http::input::Crossing;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::ground::counted;
use crate::http::input::list::{List, ShortText};
use crate::http::input::measures::MeasureList;
use crate::http::input::quantity::{CoverageInput, Due, DurationInput, QuantityInput, VolumeInput};
use crate::http::input::surface::SurfaceInput;
use crate::http::input::text::no_control;
use crate::http::limits::{MAX_ADDITIVES, MAX_BREWERS, MAX_ITEMS, MAX_NAME};
use crate::http::negotiate::Media;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{AssumptionOut, CautionOut, QuantityOut, Report};
use crate::http::problem::{AskProblems, Problem};
use crate::http::wire::Place;
use actix_web::{HttpResponse, post};
use chrono::{DateTime, FixedOffset, SecondsFormat};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa::openapi::schema::{ObjectBuilder, OneOfBuilder, Type};
use utoipa::openapi::{RefOr, Schema};
use validator::Validate;

/// Brews to plan.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BrewsRequest {
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Units of the answer; `metric` unless given.
    pub units: Option<Units>,
    /// The caller's measures.
    #[validate(nested)]
    #[schema(inline)]
    pub measures: Option<MeasureList>,
    /// What is known better than the defaults.
    pub assumptions: Option<AssumptionsInput>,
    /// The brews.
    #[validate(nested)]
    #[schema(inline)]
    pub brews: BrewList,
}

/// The brews.
pub type BrewList = List<BrewRequest, 1, { MAX_ITEMS }>;

/// What goes in besides castings and water.
pub type Additives = List<ShortText, 0, { MAX_ADDITIVES }>;

/// A brew: so much water, or as much tea as a place takes.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BrewRequest {
    /// Unique in the list, echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub id: Option<String>,
    /// Echoed.
    #[validate(length(min = 1, max = MAX_NAME), custom(function = no_control))]
    #[schema(min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Water to brew with. Either this, or `coverage` and `surface`.
    pub water: Option<VolumeInput>,
    /// Tea, after dilution, for the surface: per area, along rows, or per plant.
    pub coverage: Option<CoverageInput>,
    /// Where the tea goes.
    #[validate(nested)]
    pub surface: Option<SurfaceInput>,
    /// Castings for water by volume; the assumption `tea.castings_to_water` unless given.
    pub castings_per_water: Option<DilutionInput>,
    /// Tea for water added before use: `"1:3"` is one part of tea to three of water. None unless given.
    pub dilution: Option<DilutionInput>,
    /// The vessel. Without one, all is brewed at once.
    #[validate(nested)]
    pub brewer: Option<BrewerRequest>,
    /// From castings into water to tea ready; the assumption `tea.brewing_time` unless given.
    pub brewing_time: Option<DurationInput>,
    /// From tea ready to tea used up; the assumption `tea.use_within` unless given.
    pub use_within: Option<DurationInput>,
    /// When the first batches are to be ready: RFC 3339 with an offset, which the answer keeps.
    #[schema(format = DateTime, example = "2027-06-10T18:00:00+02:00")]
    pub use_at: Option<String>,
    /// Anything that goes in besides castings and water.
    #[validate(nested)]
    #[schema(inline)]
    pub additives: Option<Additives>,
    /// Where the water is from.
    pub water_source: Option<WaterSourceInput>,
    /// True if air is blown in all the time; still tea takes much longer to be clear of germs. Counts as still unless given.
    pub aerated: Option<bool>,
    /// What is known better for this brew.
    pub assumptions: Option<AssumptionsInput>,
}

/// A vessel to brew in.
#[derive(Debug, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BrewerRequest {
    /// The water it holds.
    pub holds: VolumeInput,
    /// How many; 1 unless given.
    #[validate(range(min = 1, max = MAX_BREWERS))]
    #[schema(minimum = 1, maximum = 1_000)]
    pub count: Option<u32>,
    /// From one batch's end to the next one's start, for emptying and cleaning; none unless given.
    pub turnaround: Option<DurationInput>,
}

/// Where the water is from.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WaterSourceInput {
    /// Treated drinking water.
    Mains,
    /// Rain from a roof.
    Rain,
    /// A well or spring.
    Ground,
    /// A pond, river or ditch, untreated.
    Surface,
}

/// One part to so many of water: `"1:10"`, `"100 mL/L"` or `"10 %"` of the water.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct DilutionInput(pub QuantityInput);

impl utoipa::PartialSchema for DilutionInput {
    fn schema() -> RefOr<Schema> {
        let text = ObjectBuilder::new()
            .schema_type(Type::String)
            .format(Some(utoipa::openapi::SchemaFormat::Custom("barrowful-dilution".to_owned())))
            .min_length(Some(1))
            .examples([serde_json::Value::from("1:10")]);
        let object = crate::http::input::quantity::object_schema("A share of the water, in parts.");
        let description = "Parts by volume: \"1:10\" is one part to ten of water, \"100 mL/L\" and \"10 %\" (of the water) are the same.";
        RefOr::T(Schema::OneOf(OneOfBuilder::new().description(Some(description)).item(text).item(object).build()))
    }
}

impl ToSchema for DilutionInput {}

/// The question's marker.
pub struct Brews;

const SAMPLES: &[Sample] = &[
    Sample {
        name: "one_brew",
        summary: "200 L at one to ten in a 60 L brewer",
        body: include_str!("../../../demo-data/brews/one-brew.json"),
    },
    Sample {
        name: "drench_for_the_rows",
        summary: "As much diluted tea as the rows take, ready on an evening",
        body: include_str!("../../../demo-data/brews/drench-for-the-rows.json"),
    },
];

/// The weakest and the strongest tea that is computed with.
const STRENGTHS: (f64, f64) = (1e-6, 1.0);
/// The least and the most dilution, as parts of tea to one of water.
const DILUTIONS: (f64, f64) = (1e-3, 1e3);

impl Crossing<'_> {
    /// Reads `"1:10"`, `"100 mL/L"` or `"10 %"` as the first part over the second.
    fn parts(&self, input: &DilutionInput, bounds: (f64, f64), place: Place<'_>) -> Option<Span> {
        let QuantityInput::Text(text) = &input.0 else {
            return self.span(&input.0, Due::share(bounds.0, bounds.1), place).map(|(_, span)| span);
        };
        let Some((one, other)) = text.split_once(':') else {
            return self.span(&input.0, Due::share(bounds.0, bounds.1), place).map(|(_, span)| span);
        };
        let number = |part: &str| {
            let part = part.trim();
            let plain = !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit() || b == b'.');
            part.parse::<f64>().ok().filter(|n| plain && *n > 0.0 && n.is_finite())
        };
        let ratio = number(one).zip(number(other)).map(|(one, other)| one / other);
        let Some(ratio) = ratio else {
            let shown = crate::garden::units::text::clip(text);
            let detail = format!("\"{shown}\" is no dilution; write \"1:10\" for one part to ten of water");
            self.refuse(place, Refusal::new(Reason::BadNumber, detail));
            return None;
        };
        if ratio < bounds.0 || ratio > bounds.1 {
            let turned = format!("{}:{}", other.trim(), one.trim());
            let hint = if (bounds.0..=bounds.1).contains(&(1.0 / ratio)) {
                format!(" Did you mean \"{turned}\"? The water comes second")
            } else {
                String::new()
            };
            let detail = format!("this lies outside {} to {} parts to one of water.{hint}", bounds.0, bounds.1);
            self.refuse(place, Refusal::new(Reason::OutOfRange, detail).between(bounds.0, bounds.1));
            return None;
        }
        Some(Span::exactly(ratio))
    }
}

impl BrewRequest {
    /// Reads one brew and plans it.
    pub(crate) fn solve(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Brew> {
        let overrides = self.overrides(crossing, place);
        let amount = self.amount(crossing, place);
        let dilution = match &self.dilution {
            Some(input) => {
                let at = place.field("dilution");
                crossing.parts(input, DILUTIONS, at).map(|span| {
                    crossing.note_range(span, at);
                    1.0 / span.likely
                })
            }
            None => Some(0.0),
        };
        let brewer = match &self.brewer {
            Some(brewer) => brewer.read(crossing, place.field("brewer")).map(Some),
            None => Some(None),
        };
        let use_at = match &self.use_at {
            Some(text) => crossing.keep(place.field("use_at"), crate::garden::dates::moment(text)).map(Some),
            None => Some(None),
        };
        let order = Order {
            amount: amount?,
            dilution: dilution?,
            brewer: brewer?,
            use_at: use_at?,
            additives: self.additives.as_ref().is_some_and(|a| !a.is_empty()),
            water_source: self.water_source.map(Into::into),
            aerated: self.aerated.unwrap_or(false),
        };
        let overrides = overrides?;
        let brew = crossing.with_known(place, &overrides, |known| plan(&order, known))?;
        crossing.count_batches(place, brew.batches.len())?;
        crossing.note_used(place, &overrides, &brew.assumed);
        Some(brew)
    }

    /// The brew's own assumptions: those under `assumptions`, and those that have a field of their own.
    fn overrides(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Overrides> {
        let mut overrides = crossing.overrides(self.assumptions.as_ref(), place.field("assumptions"));
        let mut sound = true;
        let mut set = |assumption, span: Option<Span>, at: Place<'_>| {
            let kept = span.and_then(|span| crossing.keep(at, overrides.set(assumption, span)));
            sound &= kept.is_some();
        };
        if let Some(strength) = &self.castings_per_water {
            let at = place.field("castings_per_water");
            set(Assumption::TeaStrength, crossing.parts(strength, STRENGTHS, at), at);
        }
        for (input, assumption, field) in [
            (&self.brewing_time, Assumption::BrewingTime, "brewing_time"),
            (&self.use_within, Assumption::UseWithin, "use_within"),
        ] {
            if let Some(input) = input {
                let at = place.field(field);
                let span = crossing.span(&input.0, Due::any(DurationInput::DIMENSIONS), at).map(|(_, span)| span);
                set(assumption, span, at);
            }
        }
        sound.then_some(overrides)
    }

    fn amount(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Amount> {
        match (&self.water, &self.coverage, &self.surface) {
            (Some(water), None, None) => Some(Amount::Water(crossing.exact(&water.0, place.field("water"))?)),
            (None, Some(coverage), Some(surface)) => {
                let at = place.field("coverage");
                let coverage =
                    crossing.span(&coverage.0, Due::any(CoverageInput::DIMENSIONS), at).map(|(dimension, span)| {
                        crossing.note_range(span, at);
                        match dimension {
                            Dimension::VolumePerArea => Coverage::PerArea(VolumePerArea::from_base(span.likely)),
                            Dimension::VolumePerLength => Coverage::PerLength(VolumePerLength::from_base(span.likely)),
                            _ => Coverage::PerPlant(Volume::from_base(span.likely)),
                        }
                    });
                let at = place.field("surface");
                let surface = crossing.surface(surface, at)?;
                let extent = crossing.keep(at, surface.extent())?;
                Some(Amount::Place(coverage?, extent))
            }
            _ => {
                let detail = "say how much: either water, or both coverage and surface";
                let refusal = Refusal::new(Reason::ExactlyOneOf, detail).allowed(["water", "coverage and surface"]);
                crossing.refuse(place, refusal);
                None
            }
        }
    }
}

impl BrewerRequest {
    fn read(&self, crossing: &Crossing<'_>, place: Place<'_>) -> Option<Brewer> {
        let holds = crossing.exact(&self.holds.0, place.field("holds"));
        let turnaround = match &self.turnaround {
            Some(input) => {
                let (_, longest) = Dimension::Duration.bounds();
                crossing.exact_between(&input.0, (0.0, longest), place.field("turnaround"))
            }
            None => Some(Duration::from_hours(0.0)),
        };
        Some(Brewer { holds: holds?, count: counted(self.count), turnaround: turnaround? })
    }
}

impl From<WaterSourceInput> for WaterSource {
    fn from(source: WaterSourceInput) -> Self {
        match source {
            WaterSourceInput::Mains => Self::Mains,
            WaterSourceInput::Rain => Self::Rain,
            WaterSourceInput::Ground => Self::Ground,
            WaterSourceInput::Surface => Self::Surface,
        }
    }
}

/// Reads and plans all brews.
pub(crate) fn solve(request: &BrewsRequest, crossing: &Crossing<'_>) -> Option<Vec<Brew>> {
    let root = Place::root();
    let list = root.field("brews");
    crossing.unique_ids(request.brews.iter().map(|b| b.id.as_deref()), list);
    let solved: Vec<_> =
        request.brews.iter().enumerate().map(|(i, brew)| brew.solve(crossing, list.index(i))).collect();
    solved.into_iter().collect()
}

/// Castings, batches and times for each brew.
#[derive(Debug, Serialize, ToSchema)]
pub struct BrewsAnswer {
    /// The program and its version.
    pub computed_with: &'static str,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// The system of units.
    #[schema(schema_with = crate::http::output::words::systems)]
    pub units: &'static str,
    /// The brews, in the order of the request.
    pub brews: Vec<BrewOut>,
    /// What was assumed.
    pub assumptions: Vec<AssumptionOut>,
    /// What to mind.
    pub cautions: Vec<CautionOut>,
}

/// One brew.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Brew)]
pub struct BrewOut {
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub id: Option<String>,
    /// Echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub name: Option<String>,
    /// Water to brew with.
    pub water: QuantityOut,
    /// Castings over water, by volume.
    pub castings_per_water: QuantityOut,
    /// Castings.
    pub castings: CastingsOut,
    /// Water added to the tea before use.
    pub dilution_water: QuantityOut,
    /// Tea after dilution; the water that the castings hold back is not taken off.
    pub tea: QuantityOut,
    /// From castings into water to tea ready.
    pub brewing_time: QuantityOut,
    /// From tea ready to tea used up.
    pub use_within: QuantityOut,
    /// How many times the brewers are filled one after another.
    pub rounds: u64,
    /// The batches in order of their start.
    pub batches: Vec<BatchOut>,
    /// A stronger brew that needs one round only, where one is within the usual strengths.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub stronger: Option<StrongerOut>,
    /// The rules of the cautions that this brew gives reason for.
    pub cautions: Vec<&'static str>,
}

/// One batch in one vessel.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Batch)]
pub struct BatchOut {
    /// Its water.
    pub water: QuantityOut,
    /// Its castings.
    pub castings: QuantityOut,
    /// Castings into water.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = DateTime)]
    pub start: Option<String>,
    /// Tea ready.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = DateTime)]
    pub ready: Option<String>,
    /// Tea used up.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, format = DateTime)]
    pub use_by: Option<String>,
}

/// The same castings brewed stronger in one round, then diluted.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = StrongerBrew)]
pub struct StrongerOut {
    /// Castings over water, by volume.
    pub castings_per_water: QuantityOut,
    /// Water to brew with.
    pub water: QuantityOut,
    /// Water to add when it is ready.
    pub then_add: QuantityOut,
}

impl BatchOut {
    fn new(batch: &Batch, view: &View<'_>) -> Self {
        let text = |moment: DateTime<FixedOffset>| moment.to_rfc3339_opts(SecondsFormat::AutoSi, false);
        Self {
            water: view.exact(Role::Water, batch.water),
            castings: view.whole(batch.castings),
            start: batch.times.map(|t| text(t.start)),
            ready: batch.times.map(|t| text(t.ready)),
            use_by: batch.times.map(|t| text(t.use_by)),
        }
    }
}

impl StrongerOut {
    fn new(stronger: &Stronger, view: &View<'_>) -> Self {
        Self {
            castings_per_water: view.exact(Role::Share, stronger.castings_per_water),
            water: view.exact(Role::Water, stronger.water),
            then_add: view.exact(Role::Water, stronger.then_add),
        }
    }
}

impl BrewOut {
    fn new(request: &BrewRequest, brew: &Brew, view: &View<'_>, cautions: Vec<&'static str>) -> Self {
        Self {
            id: request.id.clone(),
            name: request.name.clone(),
            water: view.exact(Role::Water, brew.water),
            castings_per_water: view.estimate(Role::Share, brew.strength),
            castings: CastingsOut::new(view, brew.castings, brew.mass),
            dilution_water: view.exact(Role::Water, brew.dilution_water),
            tea: view.exact(Role::Water, brew.tea),
            brewing_time: view.exact(Role::Hours, brew.brewing_time),
            use_within: view.exact(Role::Hours, brew.use_within),
            rounds: brew.rounds,
            batches: brew.batches.iter().map(|batch| BatchOut::new(batch, view)).collect(),
            stronger: brew.stronger.as_ref().map(|s| StrongerOut::new(s, view)),
            cautions,
        }
    }
}

impl Question for Brews {
    type Request = BrewsRequest;
    type Answer = BrewsAnswer;
    const NAME: &'static str = "brews";
    const MEDIA: &'static [Media] = &[Media::Json];

    fn samples() -> &'static [Sample] {
        SAMPLES
    }

    fn frame(request: &Self::Request) -> Frame<'_> {
        Frame { units: request.units, measures: request.measures.as_ref(), assumptions: request.assumptions.as_ref() }
    }

    fn answer(request: &Self::Request, crossing: &Crossing<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let solved = solve(request, crossing)?;
        let mut report = Report::of_castings();
        let root = Place::root();
        let list = root.field("brews");
        let mut brews = Vec::with_capacity(solved.len());
        for (i, (item, brew)) in request.brews.iter().zip(&solved).enumerate() {
            report.used(&brew.assumed, list.index(i));
            let cautions = report.cautions(&brew.cautions, list.index(i));
            brews.push(BrewOut::new(item, brew, view, cautions));
        }
        let (assumptions, cautions) = report.write(crossing, view);
        Some(BrewsAnswer {
            computed_with: COMPUTED_WITH,
            id: request.id.clone(),
            name: request.name.clone(),
            units: view.system.as_str(),
            brews,
            assumptions,
            cautions,
        })
    }

    fn table(_: &Self::Answer) -> Option<Vec<Vec<String>>> {
        None
    }
}

/// Castings for compost tea
///
/// So much water, or as much tea as a place takes after dilution: castings by volume over the water, equal batches in the
/// vessels there are, and when each starts, is ready and must be used. `castings = water x castings_per_water`; batches
/// `ceil(water / holds)`; the first are ready at `use_at`, later ones follow in the same vessels.
#[utoipa::path(
    tag = "brews",
    operation_id = "plan_brews",
    request_body(content = BrewsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Castings, batches and times", content((BrewsAnswer = "application/json"))),
        AskProblems,
    )
)]
#[post("/v1/brews")]
pub async fn plan_brews(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Brews>(accepted, body).await
}
