//! One file or folder per resource, each in the same order: request, read, answer, describe, handler.

pub mod applications;
pub mod ask;
mod assumption_names;
pub mod balances;
pub mod batch;
pub mod brews;
pub(crate) mod calendar;
pub mod calibrations;
pub mod cells;
mod chances;
pub(crate) mod collected;
pub mod feeds;
pub mod harvests;
pub mod link;
pub(crate) mod mixes;
pub mod reference;
pub mod resource;
pub mod respond;
mod season_beds;
pub mod seasons;
pub mod skip;
pub mod tables;
pub(crate) mod tea;
#[cfg(test)]
mod tests;
pub mod variants;
pub mod worm_beds;

use crate::garden::cautions::Rule;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::work::Work;
use crate::http::input::RequestContext;
use crate::http::input::assumptions::AssumptionsInput;
use crate::http::input::containers::ContainerList;
use crate::http::limits::MAX_EXPLAINED;
use crate::http::negotiate::Media;
use crate::http::output::quantity::{System, View};
use crate::http::output::texts::TextsAt;
use crate::http::output::{Answer, AssumptionOut, Echo, Report, Texts, explain};
use crate::http::present::Description;
use crate::http::present::calendar::Calendar;
use crate::http::present::words::name_of;
use crate::http::wire::{JsonPath, RequestErrors};
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;
use utoipa::ToSchema;
use validator::Validate;
use variants::{OutcomeOut, VariantOut, VariantRequest};

/// What every request may say besides its question.
#[derive(Debug, Clone, Copy)]
pub struct Frame<'a> {
    /// Units of the answer.
    pub units: Option<System>,
    /// Your buckets, barrows or sacks; their names work as units.
    pub containers: Option<&'a ContainerList>,
    /// What you know better than the defaults, by the id of the assumption.
    pub assumptions: Option<&'a AssumptionsInput>,
    /// True if figures are to be explained.
    pub explain: Option<bool>,
    /// How much of the texts of cautions and assumptions the answer repeats.
    pub texts: Option<Texts>,
}

/// The frame of a request, whose fields have the same names in every question.
macro_rules! frame {
    ($request:expr) => {
        Frame {
            units: $request.units,
            containers: $request.containers.as_ref(),
            assumptions: $request.assumptions.as_ref(),
            explain: $request.explain,
            texts: $request.texts,
        }
    };
}
use frame;

/// A worked request of the document: its name, what it shows, and the file it is in.
#[derive(Debug, Clone, Copy)]
pub struct Example {
    /// Its name in the document.
    pub name: &'static str,
    /// What it shows.
    pub summary: &'static str,
    /// The request.
    pub body: &'static str,
}

/// Steps to read, compute and write an item of a list.
pub(crate) const STEPS_FOR_ITEM: u64 = 400;
/// Steps for an item of a list that is explained.
const STEPS_TO_EXPLAIN: u64 = 2_000;
/// Steps for a bed of which the future is computed: thin layers over years make an answer of megabytes.
pub(crate) const STEPS_FOR_FORECAST: u64 = 4_000_000;

/// So many items, explained or not.
pub(crate) fn work_of_items(items: usize, explain: Option<bool>) -> Work {
    let more = if explain == Some(true) { STEPS_TO_EXPLAIN } else { 0 };
    Work::of(items, STEPS_FOR_ITEM + more)
}

/// A question that is asked with a JSON body.
pub trait Question {
    /// The request as it comes.
    type Request: for<'t> Deserialize<'t> + Validate;
    /// The answer as it goes.
    type Answer: Serialize;
    /// The request's name for the resource: `applications`.
    const NAME: &'static str;
    /// The media in which it is answered, the preferred one first.
    const MEDIA: &'static [Media];
    /// The worked request of the document: a short one. `demo-data` has more.
    const EXAMPLE: Example;

    /// The parts of the request that every question has.
    fn frame(request: &Self::Request) -> Frame<'_>;

    /// Reads, computes and writes; every error goes to the context. `None` only after at least one error.
    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer>;

    /// About how much work it is, before any of it is done. `ahead` only looks ahead: what it finds wrong is reported later.
    fn work(request: &Self::Request, ahead: &RequestContext<'_>) -> Work;

    /// The variants of the request, to be answered beside it; none where the question takes none.
    fn variants(_request: &Self::Request) -> &[VariantRequest] {
        &[]
    }

    /// What is kept of an answer to compare it with others, under this name. `None` where the question takes no variants.
    fn outcome(_answer: &Self::Answer, _name: &str) -> Option<OutcomeOut> {
        None
    }

    /// Puts its variants into an answer.
    fn compare(_answer: &mut Self::Answer, _variants: Vec<VariantOut>) {}

    /// The answer described, for every form but JSON.
    fn describe(answer: &Self::Answer) -> Description<'_>;

    /// What is to be done when; `None` where the question has no calendar.
    ///
    /// # Errors
    /// What the request lacks for one.
    fn calendar(_answer: &Self::Answer) -> Option<Result<Calendar, RequestErrors>> {
        None
    }

    /// The names of its tables, where it has more than one; the first is taken unless another is asked for.
    const TABLES: &'static [&'static str] = &[];
}

/// Puts a part into its envelope, with what was noted while the request was read.
pub(crate) fn close<T: Serialize>(
    echo: Echo<'_>,
    part: T,
    mut report: Report,
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> Answer<T> {
    report.used(&context.assumed.borrow(), JsonPath::root());
    for (rule, at) in context.unused() {
        report.about(rule, at);
    }
    if !context.skipped.is_empty() {
        report.reported(&[Rule::ItemsSkipped]);
    }
    report.about(Rule::UsCustomaryUnits, context.us_customary.borrow().iter().cloned().collect());
    let (mut assumptions, cautions) = report.write(view, context.texts);
    assumptions.iter_mut().for_each(|assumption| add_source(assumption, context));
    let mut answer = Answer::new(echo, part, (assumptions, cautions), view);
    answer.skipped.clone_from(&context.skipped);
    answer.texts_at = (context.texts == Texts::Brief).then_some(TextsAt::LISTS);
    answer.explanations = view.recording.map(|recording| explain(&answer, recording, view));
    answer
}

/// Adds what the request says that a value of its own is from.
fn add_source(assumption: &mut AssumptionOut, context: &RequestContext<'_>) {
    let Some(source) = context.source_of(assumption.id, assumption.pointer.as_deref()) else { return };
    assumption.observations = source.observations;
    if context.texts == Texts::Full {
        assumption.source = Some(source.text.into());
    }
}

/// Refuses to explain more items than an answer holds explanations for.
pub(crate) fn few_enough(items: usize, context: &RequestContext<'_>) -> Option<()> {
    if context.recording.is_none() || items <= MAX_EXPLAINED {
        return Some(());
    }
    let detail = format!(
        "{items} items are to be explained; a request may have at most {MAX_EXPLAINED}: leave explain out, or split the request"
    );
    let root = JsonPath::root();
    context.refuse(root.field("explain"), Refusal::new(Reason::TooLarge, detail));
    None
}

/// Castings in an answer.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Castings)]
pub struct CastingsOut {
    /// The volume as it lies.
    pub volume: super::output::QuantityOut,
    /// The mass, water included.
    pub mass: super::output::QuantityOut,
    /// The same amount in your containers.
    #[serde(skip_serializing_if = "super::output::InContainers::is_empty")]
    #[schema(value_type = Vec<super::output::QuantityOut>)]
    pub in_containers: super::output::InContainers,
}

impl CastingsOut {
    /// Writes a volume and its mass.
    #[must_use]
    pub fn new(
        view: &View<'_>,
        volume: crate::garden::units::Estimate<crate::garden::units::quantity::OfVolume>,
        mass: crate::garden::units::Estimate<crate::garden::units::quantity::OfMass>,
    ) -> Self {
        use super::output::quantity::Role;
        Self {
            volume: view.estimate(Role::Bulk, volume),
            mass: view.estimate(Role::Mass, mass),
            in_containers: view.in_containers(volume, Some(mass)),
        }
    }
}

/// An item of the request, by its position, counted from 0.
#[skip_serializing_none]
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(as = Reference)]
pub struct ReferenceOut {
    /// Its position in its list.
    pub index: usize,
    /// Its id, where the request gave one.
    pub id: Option<String>,
    /// Its name, where the request gave one.
    pub name: Option<String>,
}

/// An item of a request that has an id and a name of its own.
pub(crate) trait Named {
    /// Its id.
    fn id(&self) -> Option<&str>;
    /// Its name.
    fn name(&self) -> Option<&str>;
}

impl ReferenceOut {
    /// Refers to an item of a list.
    pub(crate) fn to<T: Named>(list: &[T], index: usize) -> Self {
        let (item, owned) = (list.get(index), |text: Option<&str>| text.map(str::to_owned));
        Self { index, id: owned(item.and_then(T::id)), name: owned(item.and_then(T::name)) }
    }

    /// What it is called: its name, else its id, else what it is and its place counted from 1.
    #[must_use]
    pub fn called(&self, what: &str) -> String {
        name_of(self.name.as_deref(), self.id.as_deref(), what, self.index)
    }
}
