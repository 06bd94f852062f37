//! How a question is asked: from a tree to its answer, with its variants beside it.

use super::Question;
use super::skip::{self, STEPS_FOR_VALUE};
use super::variants::{self, RefusedOut, VariantOut, VariantRequest};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::Containers;
use crate::garden::work::{MAX_STEPS, Work};
use crate::http::input::RequestContext;
use crate::http::output::Recording;
use crate::http::output::quantity::{System, View};
use crate::http::output::skipped::SkippedOut;
use crate::http::problem::Problem;
use crate::http::wire::{self, JsonPath, Node, RequestErrors};
use std::cell::Cell;

/// Runs a question from a tree to its answer.
///
/// # Errors
/// A problem with every error of the request.
pub fn ask<Q: Question>(tree: &Node<'_>) -> Result<Q::Answer, Problem> {
    let refused = |errors| Problem::errors(errors, tree);
    match with_variants::<Q>(tree, Vec::new()) {
        // Where nothing can be left out, it has the errors that it had.
        Err(errors) if skip::is_asked_for(tree) => skip::answer(tree, errors, with_variants::<Q>)
            .or_else(|because| with_variants::<Q>(tree, Vec::new()).map_err(|errors| refused(errors).and(&because))),
        answer => answer.map_err(refused),
    }
}

/// Answers a request of which these items were left out before, with its variants.
///
/// # Errors
/// All that is wrong with it.
fn with_variants<Q: Question>(tree: &Node<'_>, skipped: Vec<SkippedOut>) -> Result<Q::Answer, RequestErrors> {
    read::<Q, _>(tree, (Work::default(), skipped), |request, context, view| {
        let variants = Q::variants(request);
        variants::check(variants, tree, context);
        let mut answer = Q::answer(request, context, view)?;
        if !variants.is_empty() && context.errors.is_empty() {
            Q::compare(&mut answer, answer_variants::<Q>(tree, variants, context.spent()));
        }
        Some(answer)
    })
}

/// As [`ask`], unless it is more than so much work: then `None`, and nothing is done. What variants take shows when each is read, so
/// they always count as more.
///
/// # Errors
/// A problem with every error of the request.
pub fn ask_within<Q: Question>(tree: &Node<'_>, most: Work) -> Result<Option<Q::Answer>, Problem> {
    answer_within::<Q>(tree, Some(most)).map_err(|errors| Problem::errors(errors, tree))
}

/// As [`ask_within`], with the errors as they were found, and without variants. All is done where there is no `most`.
pub fn answer_within<Q: Question>(tree: &Node<'_>, most: Option<Work>) -> Result<Option<Q::Answer>, RequestErrors> {
    if skip::is_asked_for(tree) {
        // It may be read several times.
        return Ok(None);
    }
    let is_more = Cell::new(false);
    let answer = with_request::<Q, _>(tree, |request, context, view| {
        let unheard = RequestErrors::default();
        let is_above = |most| !Q::variants(request).is_empty() || Q::work(request, &context.apart(&unheard)) > most;
        is_more.set(most.is_some_and(is_above));
        if is_more.get() { None } else { Q::answer(request, context, view) }
    });
    if is_more.get() {
        return Ok(None);
    }
    answer.map(Some)
}

/// Reads and checks the request, then lets `compute` go on with it. `Err` holds the errors.
pub fn with_request<Q: Question, T>(
    tree: &Node<'_>,
    compute: impl FnOnce(&Q::Request, &RequestContext<'_>, &View<'_>) -> Option<T>,
) -> Result<T, RequestErrors> {
    read::<Q, T>(tree, (Work::default(), Vec::new()), compute)
}

/// Notes all that is wrong with a request which is a part of what has errors already, and so is not answered.
pub fn note_errors<Q: Question>(tree: &Node<'_>, errors: &RequestErrors) {
    read_into::<Q, _>((tree, errors), (Work::default(), Vec::new()), |request, context, view| {
        variants::check(Q::variants(request), tree, context);
        Q::answer(request, context, view)
    });
}

/// As [`with_request`], for a request that is answered beside so much other work, and of which these items were left out.
fn read<Q: Question, T>(
    tree: &Node<'_>,
    beside: (Work, Vec<SkippedOut>),
    compute: impl FnOnce(&Q::Request, &RequestContext<'_>, &View<'_>) -> Option<T>,
) -> Result<T, RequestErrors> {
    let errors = RequestErrors::default();
    match read_into::<Q, T>((tree, &errors), beside, compute) {
        Some(answer) if errors.is_empty() => Ok(answer),
        _ => Err(errors),
    }
}

/// As [`read`], with its errors where the caller says.
fn read_into<Q: Question, T>(
    (tree, errors): (&Node<'_>, &RequestErrors),
    (beside, skipped): (Work, Vec<SkippedOut>),
    compute: impl FnOnce(&Q::Request, &RequestContext<'_>, &View<'_>) -> Option<T>,
) -> Option<T> {
    wire::read::<Q::Request>(tree, JsonPath::root(), errors).and_then(|request| {
        wire::check(&request, JsonPath::root(), errors);
        let frame = Q::frame(&request);
        let recording = (frame.explain == Some(true)).then(Recording::default);
        let mut context = RequestContext::new(errors);
        context.beside = beside;
        context.skipped = skipped;
        context.recording = recording.as_ref();
        context.texts = frame.texts.unwrap_or_default();
        let system = frame.units.unwrap_or_default();
        context.reader.us_customary = system == System::Us;
        context.read_containers(frame.containers);
        context.read_assumptions(frame.assumptions);
        let containers: Containers = context.reader.containers.clone();
        let view = View { system, containers: &containers, recording: recording.as_ref() };
        compute(&request, &context, &view)
    })
}

/// Answers each variant by itself, one after the other, within the work that the request and those before it leave.
fn answer_variants<Q: Question>(tree: &Node<'_>, variants: &[VariantRequest], before: Work) -> Vec<VariantOut> {
    let work = Cell::new(before);
    let one = |(index, variant): (usize, &VariantRequest)| {
        let name: &str = &variant.name;
        let changed = variants::changed(tree, index);
        work.set(work.get().and(Work::of(changed.count(), STEPS_FOR_VALUE)));
        let beside = work.get();
        let outcome = read::<Q, _>(&changed, (beside, Vec::new()), |request, context, view| {
            check_work(context)?;
            variants::check_changed(&changed, context);
            let answer = Q::answer(request, context, view);
            work.set(beside.and(context.spent()));
            Q::outcome(&answer?, name)
        });
        let refused = |errors| {
            let problem = Problem::errors(errors, &changed);
            VariantOut::Refused(RefusedOut { name: name.to_owned(), problem })
        };
        outcome.map_or_else(refused, VariantOut::Answered)
    };
    variants.iter().enumerate().map(one).collect()
}

/// Refuses a variant for which the request and those before it leave no work at all.
fn check_work(context: &RequestContext<'_>) -> Option<()> {
    if context.beside.count() <= MAX_STEPS {
        return Some(());
    }
    let detail = "the request and the variants before this one are all the work that one answer may take; ask for fewer variants at once";
    context.refuse(JsonPath::root(), Refusal::new(Reason::TooLarge, detail));
    None
}
