//! `POST /v1/applications`: how much each row, bed and pot takes.

mod answer;
mod describe;
mod nutrients;
mod places;
mod rates;
mod request;
mod salt;

pub use answer::ApplicationsAnswer;
pub use rates::{RateOut, list_rates};
pub use request::{ApplicationsRequest, AreaRequest};
pub(crate) use request::{Parts, SolvedArea, application_parts, solve};

use super::{Example, Frame, Question, few_enough, frame, work_of_items};
use crate::garden::work::Work;
use crate::http::body::Body;
use crate::http::input::RequestContext;
use crate::http::negotiate::Media;
use crate::http::output::quantity::View;
use crate::http::present::Description;
use crate::http::present::options::OptionParams;
use crate::http::problem::{AskProblems, Problem};
use crate::http::resources::respond::{Accepted, respond};
use actix_web::{HttpResponse, post};

/// The question's marker.
pub struct Applications;

impl Question for Applications {
    type Request = ApplicationsRequest;
    type Answer = ApplicationsAnswer;
    const NAME: &'static str = "applications";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text];
    const EXAMPLE: Example = Example {
        name: "one_bed",
        summary: "How much for this bed?",
        body: include_str!("../../../demo-data/applications/one-bed.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(request: &Self::Request, _: &RequestContext<'_>) -> Work {
        work_of_items(request.areas.len(), request.explain)
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        few_enough(request.areas.len(), context);
        let solved = solve(request, context)?;
        context.errors.none()?;
        Some(answer::write(request, &solved, context, view))
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }
}

/// How much each place takes
///
/// Area times rate for rows, beds, plants, pots and fills: castings by volume, mass and the caller's containers, and the
/// nutrients and organic matter they carry. `V = A d / (1 - settling)` by depth, `A r / density` by mass per area, `A r` by volume per area,
/// `A r / (dry density x nitrogen x available share)` by available nitrogen, `count x r` per row length, plant or pot,
/// `mix x share` for mixes.
#[utoipa::path(
    tag = "applications",
    operation_id = "calculate_applications",
    params(OptionParams),
    request_body(content = ApplicationsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Castings and nutrients for each place", content(
            (ApplicationsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"))),
        AskProblems,
    )
)]
#[post("/v1/applications")]
pub async fn calculate_applications(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Applications>(accepted, body).await
}
