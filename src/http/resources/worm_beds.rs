//! `POST /v1/worm-beds`: how large a bed for the feed that comes or the castings needed, and what that bed does.

mod answer;
mod bed_to_send;
mod calendar;
mod chart;
mod describe;
mod enough;
mod read;
mod request;
mod tables;
mod write;

pub use answer::WormBedsAnswer;
use request::HarvestDatesInput;
pub use request::WormBedsRequest;

use super::{Example, Frame, Question, STEPS_FOR_FORECAST, few_enough, frame, work_of_items};
use crate::garden::beds::sizing::MAX_BEDS;
use crate::garden::work::Work;
use crate::http::body::Body;
use crate::http::input::RequestContext;
use crate::http::limits::MAX_WEEKS;
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
pub struct WormBeds;

impl Question for WormBeds {
    type Request = WormBedsRequest;
    type Answer = WormBedsAnswer;
    const NAME: &'static str = "worm-beds";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text, Media::Svg, Media::Calendar];
    const TABLES: &'static [&'static str] = &["weeks", "castings", "layers"];
    const EXAMPLE: Example = Example {
        name: "first_weeks",
        summary: "How large a bed for 7 kg of kitchen scraps a week, and what to feed in the first weeks?",
        body: include_str!("../../../demo-data/worm-beds/first-weeks.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(request: &Self::Request, _: &RequestContext<'_>) -> Work {
        let of_each = if matches!(request.harvest_dates, Some(HarvestDatesInput::Latest)) { 2 } else { 1 };
        let beds = usize::try_from(MAX_BEDS * of_each).unwrap_or(usize::MAX);
        let beds = if request.castings_needed.is_some() { beds } else { 1 };
        work_of_items(MAX_WEEKS, request.explain).and(Work::of(beds, STEPS_FOR_FORECAST))
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let solved = read::solve(request, context)?;
        few_enough(solved.sized.weeks.len() + solved.sized.forecast.items(), context)?;
        context.errors.none()?;
        Some(write::write(request, &solved, (context, view)))
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }

    fn calendar(answer: &Self::Answer) -> Option<Result<Calendar, RequestErrors>> {
        Some(Ok(calendar::calendar(answer)))
    }
}

/// How large a bed, and how many worms
///
/// For an amount of feed a week, for feed that comes on dates, or for castings that are needed by dates. Steady feed: worms = dry feed a day
/// / (feed rate x warm days over all days); ground = worms / `worms.carrying_capacity` at least, and worms /
/// `worms.stocking_density` with room to grow. For castings: the number of layers and the smallest ground whose harvests make
/// them by each day. The answer says how many worms to buy and when the bed has enough by itself, how many bins it takes, how much to feed
/// each week and what to do with the rest, the castings by dates, and what limits the bed. Its bed may be sent to `POST /v1/seasons`
/// and `POST /v1/harvests` unchanged. As `text/calendar` it is the dated work of this bed, as `image/svg+xml` a chart of worms, feed and castings.
#[utoipa::path(
    tag = "worm-beds",
    operation_id = "size_worm_bed",
    params(
        ("table" = Option<String>, Query, description = "Which table, as CSV: `weeks` unless given, `castings` or `layers`.", example = "weeks"),
        OptionParams
    ),
    request_body(content = WormBedsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Ground, worms, bins and the plan of the bed", content(
            (WormBedsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"),
            (String = "image/svg+xml"), (String = "text/calendar"))),
        AskProblems,
    )
)]
#[post("/v1/worm-beds")]
pub async fn size_worm_bed(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<WormBeds>(accepted, body).await
}
