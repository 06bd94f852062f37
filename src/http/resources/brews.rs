//! `POST /v1/brews`: castings for compost tea, batches and their times.

mod answer;
mod describe;
mod dilution;
mod request;

pub use answer::BrewsAnswer;
pub(crate) use request::solve;
pub use request::{BrewRequest, BrewsRequest};

use super::{Example, Frame, Question, few_enough, frame, work_of_items};
use crate::garden::work::Work;
use crate::http::body::Body;
use crate::http::input::RequestContext;
use crate::http::negotiate::Media;
use crate::http::output::quantity::View;
use crate::http::present::Description;
use crate::http::present::calendar::Calendar;
use crate::http::present::options::OptionParams;
use crate::http::problem::{AskProblems, Problem};
use crate::http::resources::respond::{Accepted, respond};
use crate::http::wire::RequestErrors;
use actix_web::{HttpResponse, post};

/// Steps for a batch: its place in the answer, and two events of a calendar.
pub(crate) const STEPS_FOR_BATCH: u64 = 200;

/// The question's marker.
pub struct Brews;

impl Question for Brews {
    type Request = BrewsRequest;
    type Answer = BrewsAnswer;
    const NAME: &'static str = "brews";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text, Media::Calendar];
    const TABLES: &'static [&'static str] = &["brews", "batches"];
    const EXAMPLE: Example = Example {
        name: "one_brew",
        summary: "200 L at one to ten in a 60 L brewer",
        body: include_str!("../../../demo-data/brews/one-brew.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(request: &Self::Request, ahead: &RequestContext<'_>) -> Work {
        let batches = request.brews.iter().map(|brew| brew.batches(ahead)).sum();
        work_of_items(request.brews.len(), request.explain).and(Work::of(batches, STEPS_FOR_BATCH))
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let fits = few_enough(request.brews.len(), context);
        let solved = solve(request, context)?;
        fits?;
        few_enough(solved.iter().map(|brew| 1 + brew.batches.len()).sum(), context)?;
        context.errors.none()?;
        Some(answer::write(request, &solved, context, view))
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }

    fn calendar(answer: &Self::Answer) -> Option<Result<Calendar, RequestErrors>> {
        Some(describe::calendar(answer))
    }
}

/// Castings for compost tea
///
/// For an amount of water, or as much tea as a place takes after dilution: castings by volume over the water, equal batches in the
/// vessels there are, and when each starts, is ready and must be used. `castings = water x castings_to_water`; batches
/// `ceil(water / capacity)`; the first are ready at `use_at`, later ones follow in the same vessels. As
/// `text/calendar` each batch is two events, to brew and to use; that needs `use_at`.
#[utoipa::path(
    tag = "brews",
    operation_id = "plan_brews",
    params(
        ("table" = Option<String>, Query, description = "Which table, as CSV: `brews` unless given, or `batches`.", example = "brews"),
        OptionParams
    ),
    request_body(content = BrewsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Castings, batches and times", content(
            (BrewsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"),
            (String = "text/calendar"))),
        AskProblems,
    )
)]
#[post("/v1/brews")]
pub async fn plan_brews(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Brews>(accepted, body).await
}
