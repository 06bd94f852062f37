//! The answer, and writing it.

use super::request::{BrewRequest, BrewsRequest};
use crate::garden::assumptions::{Assumed, Assumption, SetBy};
use crate::garden::brews::{Batch, Brew, Stronger};
use crate::http::input::RequestContext;
use crate::http::input::bounded::echoed;
use crate::http::output::quantity::{CountOut, Role, View};
use crate::http::output::{Answer, Echo, InContainers, Part, QuantityOut, Report};
use crate::http::resources::{CastingsOut, close};
use crate::http::wire::JsonPath;
use chrono::{DateTime, FixedOffset, SecondsFormat};
use serde::Serialize;
use serde_with::skip_serializing_none;
use utoipa::ToSchema;

/// Castings, batches and times for each brew.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BrewsAnswer)]
pub struct BrewsPart {
    /// The brews, in the order of the request.
    pub brews: Vec<BrewOut>,
}

/// The answer.
pub type BrewsAnswer = Answer<BrewsPart>;

impl Part for BrewsPart {}

/// One brew.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Brew)]
pub struct BrewOut {
    /// Its id in the request.
    pub id: Option<String>,
    /// Its name in the request.
    pub name: Option<String>,
    /// Water to brew with.
    pub water: QuantityOut,
    /// Castings over water, by volume.
    pub castings_to_water: QuantityOut,
    /// The castings needed, by volume and by mass.
    pub castings: CastingsOut,
    /// Water added to the tea before use.
    pub dilution_water: QuantityOut,
    /// Tea after dilution; the water that the castings hold back is not subtracted.
    pub tea: QuantityOut,
    /// From putting castings into water until the tea is ready.
    pub brewing_time: QuantityOut,
    /// Whether that is the default.
    #[serde(skip)]
    pub is_time_assumed: bool,
    /// From when the tea is ready until it is used up.
    pub use_within: QuantityOut,
    /// How many times the brewers are filled one after another.
    #[schema(value_type = u64)]
    pub rounds: CountOut,
    /// The batches in order of their start.
    pub batches: Vec<BatchOut>,
    /// A stronger brew that needs one round only, where one is within the usual strengths.
    pub stronger: Option<StrongerOut>,
    /// The rules of the cautions that apply to this brew.
    pub cautions: Vec<&'static str>,
}

/// One batch in one vessel.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Batch)]
pub struct BatchOut {
    /// The water of this batch.
    pub water: QuantityOut,
    /// The castings of this batch.
    pub castings: QuantityOut,
    /// The same for readers, where whole millilitres are too coarse.
    #[serde(skip)]
    pub castings_to_read: QuantityOut,
    /// Its water in the caller's containers of a volume.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub water_in_containers: InContainers,
    /// Its castings in the caller's containers of a volume.
    #[serde(skip_serializing_if = "InContainers::is_empty")]
    #[schema(value_type = Vec<QuantityOut>)]
    pub castings_in_containers: InContainers,
    /// Water added to its tea before use.
    pub dilution_water: Option<QuantityOut>,
    /// Its tea after dilution.
    #[serde(skip)]
    pub tea: QuantityOut,
    /// When the castings go into the water.
    #[schema(format = DateTime)]
    pub start: Option<String>,
    /// When the tea is ready.
    #[schema(format = DateTime)]
    pub ready: Option<String>,
    /// When the tea has to be used up.
    #[schema(format = DateTime)]
    pub use_by: Option<String>,
}

/// The same castings brewed stronger in one round, then diluted.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = StrongerBrew)]
pub struct StrongerOut {
    /// Castings over water, by volume.
    pub castings_to_water: QuantityOut,
    /// Water to brew with.
    pub water: QuantityOut,
    /// Water to add when it is ready.
    pub then_add: QuantityOut,
}

impl BatchOut {
    fn new(batch: &Batch, view: &View<'_>) -> Self {
        let text = |moment: DateTime<FixedOffset>| moment.to_rfc3339_opts(SecondsFormat::AutoSi, false);
        Self {
            water: view.estimate(Role::Water, batch.water),
            castings: view.whole(batch.castings),
            castings_to_read: view.exact(Role::Bulk, batch.part),
            water_in_containers: view.in_containers(batch.water, None),
            castings_in_containers: view.in_containers(batch.castings.volume().into(), None),
            dilution_water: Some(view.estimate(Role::Water, batch.dilution_water)).filter(|of| of.value.get() > 0.0),
            tea: view.exact(Role::Water, batch.tea.likely()),
            start: batch.times.map(|t| text(t.start)),
            ready: batch.times.map(|t| text(t.ready)),
            use_by: batch.times.map(|t| text(t.use_by)),
        }
    }
}

impl StrongerOut {
    fn new(stronger: &Stronger, view: &View<'_>) -> Self {
        Self {
            castings_to_water: view.estimate(Role::Share, stronger.castings_to_water),
            water: view.estimate(Role::Water, stronger.water),
            then_add: view.estimate(Role::Water, stronger.then_add),
        }
    }
}

impl BrewOut {
    fn new(request: &BrewRequest, brew: &Brew, view: &View<'_>, cautions: Vec<&'static str>) -> Self {
        Self {
            id: echoed(request.id.as_ref()),
            name: echoed(request.name.as_ref()),
            water: view.estimate(Role::Water, brew.water),
            castings_to_water: view.estimate(Role::Share, brew.strength),
            castings: CastingsOut::new(view, brew.castings, brew.mass),
            dilution_water: view.estimate(Role::Water, brew.dilution_water),
            tea: view.estimate(Role::Water, brew.tea),
            brewing_time: view.exact(Role::Hours, brew.brewing_time),
            is_time_assumed: brew.assumed.iter().any(is_default_time),
            use_within: view.exact(Role::Hours, brew.use_within),
            rounds: CountOut::new(brew.rounds),
            batches: brew.batches.iter().map(|batch| BatchOut::new(batch, view)).collect(),
            stronger: brew.stronger.as_ref().map(|s| StrongerOut::new(s, view)),
            cautions,
        }
    }
}

fn is_default_time(assumed: &Assumed) -> bool {
    assumed.assumption == Assumption::BrewingTime && assumed.set_by == SetBy::Default
}

/// Writes the answer.
pub fn write(request: &BrewsRequest, solved: &[Brew], context: &RequestContext<'_>, view: &View<'_>) -> BrewsAnswer {
    let mut report = Report::of_castings();
    let root = JsonPath::root();
    let list = root.field("brews");
    let mut brews = Vec::with_capacity(solved.len());
    for (i, (item, brew)) in request.brews.iter().zip(solved).enumerate() {
        report.used(&brew.assumed, list.index(i));
        let cautions = report.cautions(&brew.cautions, list.index(i));
        brews.push(BrewOut::new(item, brew, view, cautions));
    }
    let part = BrewsPart { brews };
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}
