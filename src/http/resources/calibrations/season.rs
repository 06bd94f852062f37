//! The season of a request, without and with the calibrated values.

use super::answer::SeasonsBesideOut;
use super::block;
use super::request::CalibrationsRequest;
use crate::garden::assumptions::Overrides;
use crate::garden::calibrations::Calibration;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Containers;
use crate::garden::work::Work;
use crate::http::input::RequestContext;
use crate::http::output::quantity::{System, View};
use crate::http::resources::Question;
use crate::http::resources::seasons::{Seasons, SeasonsRequest};
use crate::http::resources::variants::OutcomeOut;
use crate::http::wire::{JsonPath, RequestErrors};

/// Tenths of the work that records leave which a season may take as it is. Source: how this service works: the rest is for the same with
/// calibrated values, which may be half as much again.
const TENTHS_AS_IT_IS: u64 = 4;

/// A season of the request, as it is read before there are records.
pub(super) struct Asked<'r> {
    season: &'r SeasonsRequest,
    own: Overrides,
    /// Its outcome as it is; none where it was refused.
    before: Option<OutcomeOut>,
    /// The work of it.
    work: Work,
}

/// Reads the season and answers it as it is. Its errors are reported at its place.
pub(super) fn ask<'r>(request: &'r CalibrationsRequest, context: &RequestContext<'_>) -> Option<Asked<'r>> {
    let season = request.season.as_ref()?;
    refuse_others(season, context);
    let root = JsonPath::root();
    let errors = context.errors.below(root.field("season"));
    let mut own = None;
    let left = context.spent().left();
    let kept = Work::steps(left.saturating_sub(left / 10 * TENTHS_AS_IT_IS));
    let (before, work) = answer((season, context.spent().and(kept)), &errors, "before", |read| {
        own = Some(read.clone());
        read
    });
    Some(Asked { season, own: own.unwrap_or_default(), before, work })
}

impl Asked<'_> {
    /// The season as it is, and with the calibrated values.
    pub fn beside(self, calibration: &Calibration, context: &RequestContext<'_>) -> Option<SeasonsBesideOut> {
        let root = JsonPath::root();
        let spent = context.spent().and(self.work);
        let at = root.field("season");
        let merged = context.keep(at, block::merged(calibration, &self.own))?;
        let errors = context.errors.below(at);
        let (after, _) = answer((self.season, spent), &errors, "after", |_| merged);
        Some(SeasonsBesideOut { before: self.before?, after: after? })
    }
}

/// Refuses what has no place in a season that is compared.
fn refuse_others(season: &SeasonsRequest, context: &RequestContext<'_>) {
    let root = JsonPath::root();
    let at = root.field("season");
    let refuse = |field: &str, is_given: bool| {
        if is_given {
            let detail = format!(
                "{field} has no place in a season that is compared; send the season to POST /v1/seasons for it"
            );
            context.refuse(at.field(field), Refusal::new(Reason::NotAllowedHere, detail));
        }
    };
    refuse("variants", season.variants.is_some());
    refuse("on_error", season.on_error.is_some());
    // Nothing of its answer is shown that could be explained or shortened.
    for (field, is_given) in [("explain", season.explain.is_some()), ("texts", season.texts.is_some())] {
        if is_given {
            context.may_be_idle(at.field(field));
        }
    }
}

/// The outcome of a season beside so much other work, and its own work. `overrides` says what it knows, by what it says itself.
fn answer(
    (season, beside): (&SeasonsRequest, Work),
    errors: &RequestErrors,
    name: &str,
    overrides: impl FnOnce(Overrides) -> Overrides,
) -> (Option<OutcomeOut>, Work) {
    let mut context = RequestContext::new(errors);
    // As a variant: nothing but its outcome is wanted.
    context.beside = beside.and(Work::steps(1));
    let system = season.units.unwrap_or_default();
    context.reader.us_customary = system == System::Us;
    context.read_containers(season.containers.as_ref());
    context.read_assumptions(season.assumptions.as_ref());
    context.overrides = overrides(std::mem::take(&mut context.overrides));
    let containers: Containers = context.reader.containers.clone();
    let view = View { system, containers: &containers, recording: None };
    let answer = Seasons::answer(season, &context, &view);
    (answer.and_then(|answer| Seasons::outcome(&answer, name)), context.spent())
}
