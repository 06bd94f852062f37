//! `POST /v1/feeds`: what to shred, soak and mix, and what castings come of it. `GET /v1/materials`: the table behind it.

mod answer;
mod calendar;
mod describe;
mod laid;
mod materials;
mod read;
mod request;
mod write;

pub use answer::FeedsAnswer;
pub use materials::list_materials;
pub(in crate::http::resources) use read::RecipeFields;
pub use request::{FeedsRequest, GoalsRequest, HotCompostingRequest, MaterialRequest, Materials, SoakRequest};

use super::{Example, Frame, Question, STEPS_FOR_FORECAST, frame, work_of_items};
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

/// The question's marker.
pub struct Feeds;

/// Steps for each pair of materials: the linear programme.
const STEPS_FOR_PAIR: u64 = 120;

impl Question for Feeds {
    type Request = FeedsRequest;
    type Answer = FeedsAnswer;
    const NAME: &'static str = "feeds";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text, Media::Calendar];
    const TABLES: &'static [&'static str] = &["materials", "steps"];
    const EXAMPLE: Example = Example {
        name: "grass_and_leaves",
        summary: "How many leaves for 10 kg of grass?",
        body: include_str!("../../../demo-data/feeds/grass-and-leaves.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(request: &Self::Request, _: &RequestContext<'_>) -> Work {
        let materials = request.materials.len();
        // The dates of its layers are a forecast.
        let forecasts = usize::from(request.climate.is_some() && request.ground.is_some());
        work_of_items(materials, request.explain)
            .and(Work::of(materials, STEPS_FOR_PAIR).times(materials))
            .and(Work::of(forecasts, STEPS_FOR_FORECAST))
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let (plan, laying) = read::solve(request, context)?;
        context.errors.none()?;
        Some(write::write(request, (&plan, &laying), (context, view)))
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }

    fn calendar(answer: &Self::Answer) -> Option<Result<Calendar, RequestErrors>> {
        Some(calendar::calendar(answer))
    }
}

/// What to shred, soak and mix
///
/// How much of each material, how much water, which layers and steps, and what castings result. Dry matter `D = m(1 - w)`;
/// moisture `sum(water)/sum(mass)`; carbon to nitrogen `sum(D c)/sum(D n)`, never an average of ratios; carbon `(1 -
/// ash)/1.8`. Amounts that may be chosen come from a linear programme for the least mass that meets the goals, with extra water
/// `sum(m(g - w))/(1 - g)`. Where not all can be met together, as few as possible are missed: in a tie the ratio is kept before the
/// moisture, and that before the air. They are reported with the mix that comes nearest to them and meets the rest. Castings
/// `D (ash + (1 - ash)(1 - loss))`. As `text/html` it is a sheet to print; as `text/calendar` the steps are all-day
/// events, which needs `start_on`.
#[utoipa::path(
    tag = "feeds",
    operation_id = "plan_feed",
    params(
        ("table" = Option<String>, Query, description = "Which table, as CSV: `materials` unless given, or `steps`.", example = "materials"),
        OptionParams
    ),
    request_body(content = FeedsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "The mix, its water, layers, steps and castings", content(
            (FeedsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"),
            (String = "text/calendar"))),
        AskProblems,
    )
)]
#[post("/v1/feeds")]
pub async fn plan_feed(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Feeds>(accepted, body).await
}
