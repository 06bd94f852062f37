//! Writing the answer.

use super::answer::{
    CalibratedOut, CalibrationsAnswer, CalibrationsPart, CheckedRecordOut, MovedByOut, OneMoreRecordOut,
    SeasonsBesideOut,
};
use super::block::BlockOut;
use super::fits;
use super::read::{All, Read};
use super::request::CalibrationsRequest;
use crate::garden::assumptions::{Assumed, Assumption, Known, Overrides, SetBy, Span};
use crate::garden::beds::Observation;
use crate::garden::calibrations::{CALIBRATABLE, Calibrated, Calibration, Fit, OneMore};
use crate::garden::cautions::Rule;
use crate::garden::draws::split_triangle;
use crate::http::input::RequestContext;
use crate::http::input::bounded::Seed;
use crate::http::output::quantity::{QuantityOut, Role, View};
use crate::http::output::{Echo, Report, report};
use crate::http::resources::{ReferenceOut, close};
use crate::http::wire::JsonPath;

/// Draws that are worth fewer than this give rough percentiles. Source: how this service works.
const FEW_DRAWS: f64 = 500.0;
/// What half of the chance at an end of a range means.
const AT_EDGE: &str = "The records point to one end of the usual range: the value of your garden may lie outside it.";

/// The seed of a request.
pub(super) fn seed(request: &CalibrationsRequest) -> u64 {
    request.seed.filter(|seed| Seed::is_within(*seed)).map_or(1, |seed| seed.0.unsigned_abs())
}

/// Writes the answer.
pub(super) fn write(
    request: &CalibrationsRequest,
    (all, calibration, season): (&All, &Calibration, Option<SeasonsBesideOut>),
    (context, view): (&RequestContext<'_>, &View<'_>),
) -> CalibrationsAnswer {
    let mut report = Report::default();
    report.reported(&[Rule::Estimates]);
    let root = JsonPath::root();
    let list = root.field("records");
    if calibration.worth < FEW_DRAWS {
        report.reported(&[Rule::FewEffectiveDraws]);
    }
    for (i, (read, fits)) in all.records.iter().zip(&calibration.records).enumerate() {
        report.cautions(&read.cautions, list.index(i));
        if fits.iter().any(|fit| fit.off.is_some()) {
            report.cautions(&[Rule::RecordsDoNotFit], list.index(i));
        }
        report.used(&read.assumed, root);
        context.note_used(root, &Overrides::default(), &read.assumed);
    }
    let used = used(all, calibration, context);
    context.note_used(root, &Overrides::default(), &used);
    report.used(&used, root);
    let part = part(request, (all, calibration, season), view);
    let echo = Echo { id: request.id.as_deref(), name: request.name.as_deref() };
    close(echo, part, report, (context, view))
}

fn part(
    request: &CalibrationsRequest,
    (all, calibration, season): (&All, &Calibration, Option<SeasonsBesideOut>),
    view: &View<'_>,
) -> CalibrationsPart {
    let explain = request.explain == Some(true);
    let after: Vec<QuantityOut> =
        calibration.values.iter().map(|value| written((value.assumption, value.after), view)).collect();
    let value = |(value, after): (&Calibrated, &QuantityOut)| CalibratedOut {
        moved_by: explain.then(|| moved_by(request, value, view)),
        ..calibrated(value, after.clone(), view)
    };
    CalibrationsPart {
        calibrated_assumptions: BlockOut::new(calibration, &after, &source(all)),
        values: calibration.values.iter().zip(&after).map(value).collect(),
        records: records(request, (all, calibration), view),
        one_more_record: calibration.one_more.iter().map(|one| one_more(one, view)).collect(),
        season,
        effective_draws: whole(calibration.worth),
        seed: seed(request),
    }
}

/// A number without its fraction.
fn whole(number: f64) -> u64 {
    #[expect(clippy::as_conversions, reason = "a float to integer cast saturates; it is only shown")]
    let whole = number as u64;
    whole
}

/// Where the values come from: `own records: 3 beds, 5 harvests`.
fn source(all: &All) -> String {
    let beds = all.records.len();
    let harvests: usize = all.records.iter().map(|read| read.record.history.harvested_on.len()).sum();
    let counted = |count: usize, one: &str| if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") };
    format!("own records: {}, {}", counted(beds, "bed"), counted(harvests, "harvest"))
}

/// A value of an assumption with its range.
fn written((assumption, span): (Assumption, Span), view: &View<'_>) -> QuantityOut {
    report::value(&Assumed { assumption, span, set_by: SetBy::Request }, view)
}

fn calibrated(value: &Calibrated, after: QuantityOut, view: &View<'_>) -> CalibratedOut {
    let [p5, p50, p95] = value.percentiles.map(|at| written((value.assumption, Span::exactly(at)), view));
    let [low, _, high] = value.percentiles;
    let [before_low, before_high] = [0.05, 0.95].map(|chance| split_triangle(value.before, chance));
    let left = (high - low) / (before_high - before_low);
    CalibratedOut {
        id: value.assumption.id(),
        before: written((value.assumption, value.before), view),
        after,
        p5,
        p50,
        p95,
        observations: value.observations,
        range_left: view.values(Role::Share, [left; 3]),
        at_edge: value.outside.then_some(AT_EDGE),
        moved_by: None,
    }
}

fn moved_by(request: &CalibrationsRequest, value: &Calibrated, view: &View<'_>) -> Vec<MovedByOut> {
    let one = |(i, by): (usize, &f64)| MovedByOut {
        record: ReferenceOut::to(&request.records, i),
        by: report::difference(value.assumption, *by, view),
    };
    value.moved_by.iter().enumerate().map(one).collect()
}

fn records(
    request: &CalibrationsRequest,
    (all, calibration): (&All, &Calibration),
    view: &View<'_>,
) -> Vec<CheckedRecordOut> {
    let one = |(index, (read, found)): (usize, (&Read, &Vec<Fit>))| {
        let ReferenceOut { index, id, name } = ReferenceOut::to(&request.records, index);
        let fed_dry_matter = view.estimate(Role::Mass, read.fed_dry_matter);
        let observations = fits::write(read, found, view);
        let fits = observations.iter().all(|one| one.fits);
        let note = (!fits && calibration.records.len() == 2).then_some(fits::OF_TWO);
        CheckedRecordOut { index, id, name, fed_dry_matter, fits, note, observations }
    };
    all.records.iter().zip(&calibration.records).enumerate().map(one).collect()
}

fn one_more(one: &OneMore, view: &View<'_>) -> OneMoreRecordOut {
    OneMoreRecordOut {
        kind: one.kind.as_str(),
        castings_range_if_known: view.exact(Role::Share, one.castings),
        day_range_if_known: view.exact(Role::Share, one.day),
    }
}

/// What one more record would bring depends on these as well: the pace of the bed, and the errors of each kind of record.
const OF_ONE_MORE: [Assumption; 9] = [
    Assumption::CarryingCapacity,
    Assumption::DoublingTime,
    Assumption::Finishing,
    Assumption::RecordedAmount,
    Assumption::CycleToCycle,
    Assumption::RecordedDay,
    Assumption::RecordedAsh,
    Assumption::RecordedSieveYield,
    Assumption::RecordedWeight,
];

/// What was assumed: the values that observations depend on, and the errors of these.
fn used(all: &All, calibration: &Calibration, context: &RequestContext<'_>) -> Vec<Assumed> {
    let none = Overrides::default();
    let known = Known { request: &context.overrides, item: &none };
    let moving = &calibration.draws.values;
    let given = CALIBRATABLE.iter().filter(|which| context.overrides.get(**which).is_some());
    let errors = all.records.iter().flat_map(|read| &read.record.observations).flat_map(|seen| errors_of(seen).iter());
    let differ = all.clocks.iter().any(crate::garden::beds::Clocks::years_differ).then_some(&Assumption::YearToYear);
    let one_more = if calibration.one_more.is_empty() { &[][..] } else { &OF_ONE_MORE };
    let of_records = errors.chain([&Assumption::RecordedWorms]).chain(one_more);
    let mut which: Vec<Assumption> = moving.iter().chain(given).chain(of_records).chain(differ).copied().collect();
    which.sort_unstable();
    which.dedup();
    let mut used: Vec<Assumed> = which.into_iter().filter_map(|which| known.get(which)).collect();
    used.extend(all.clocks.iter().flat_map(|clocks| clocks.assumed.iter().copied()));
    used
}

/// The errors of an observation.
const fn errors_of(observation: &Observation) -> &'static [Assumption] {
    match observation {
        Observation::Harvested { .. } | Observation::HarvestedMass { .. } => {
            &[Assumption::RecordedAmount, Assumption::CycleToCycle]
        }
        Observation::Ready { .. } | Observation::Eaten { .. } | Observation::NotEaten { .. } => {
            &[Assumption::RecordedDay]
        }
        Observation::WormsWeighed { .. } => &[],
        Observation::Ash(_) => &[Assumption::RecordedAsh],
        Observation::SieveYield(_) => &[Assumption::RecordedSieveYield],
        Observation::BulkDensity(_) | Observation::DryBulkDensity(_) => &[Assumption::RecordedWeight],
    }
}
