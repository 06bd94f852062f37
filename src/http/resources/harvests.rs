//! `POST /v1/harvests`: what worm beds and heaps yield.

mod analysis;
mod answer;
mod calendar;
mod chart;
mod describe;
mod fed;
mod fields;
mod forecast;
mod mixed;
mod request;

pub(in crate::http::resources) use analysis::{Analysis, moist};
pub use answer::HarvestsAnswer;
pub(in crate::http::resources) use fields::{AnalysisFields, analysis_fields};
pub(in crate::http::resources) use forecast::analysis as analysis_of_feed;
pub(in crate::http::resources) use forecast::describe::{PlannedBed, endings, feed_and_water};
pub use forecast::{
    BedFeedRequest, EndOut, FeedDelivery, ForecastOut, LayerOut, LotOut, RunningBedRequest, StoppedOut, WaterOut,
    WithoutFeedOut,
};
pub(in crate::http::resources) use forecast::{BedTasks, PlannedWork};
pub use mixed::{FeedPartRequest, FeedParts};
pub use request::{HarvestsRequest, WormBedRequest};

use super::{Example, Frame, Question, STEPS_FOR_FORECAST, few_enough, frame, work_of_items};
use crate::garden::beds::Forecast;
use crate::garden::harvests::Harvest;
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
pub struct Harvests;

/// Reads and computes all beds and heaps: the harvests of beds given by their depth, and of heaps.
pub(crate) fn solve(request: &HarvestsRequest, context: &RequestContext<'_>) -> Option<(Vec<Harvest>, Vec<Harvest>)> {
    let (beds, heaps) = request::solve(request, context)?;
    let harvests = beds.into_iter().filter_map(|bed| bed.ways.by_depth).collect();
    Some((harvests, heaps.into_iter().map(|heap| heap.harvest).collect()))
}

impl Question for Harvests {
    type Request = HarvestsRequest;
    type Answer = HarvestsAnswer;
    const NAME: &'static str = "harvests";
    const TABLES: &'static [&'static str] = &["harvests", "layers"];
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text, Media::Svg, Media::Calendar];
    const EXAMPLE: Example = Example {
        name: "one_bed",
        summary: "What does this bed yield?",
        body: include_str!("../../../demo-data/harvests/one-bed.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(request: &Self::Request, _: &RequestContext<'_>) -> Work {
        let (beds, heaps) = request.items();
        let forecasts = beds.iter().filter(|bed| bed.forecast.is_some()).count();
        let fed = beds.iter().filter_map(|bed| bed.fed.as_deref()).map(<[_]>::len).sum::<usize>();
        let items = beds.len() + fed + heaps.len();
        work_of_items(items, request.explain).and(Work::of(forecasts, STEPS_FOR_FORECAST))
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let (beds, heaps) = request.items();
        let items = beds.len() + heaps.len();
        let fits = few_enough(items, context);
        let (beds, heaps) = request::solve(request, context)?;
        fits?;
        let forecasts = beds.iter().filter_map(|bed| bed.ways.forecast.as_ref());
        few_enough(items + forecasts.map(Forecast::items).sum::<usize>(), context)?;
        context.errors.none()?;
        Some(answer::write(request, (&beds, &heaps), (context, view)))
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }

    fn calendar(answer: &Self::Answer) -> Option<Result<Calendar, RequestErrors>> {
        Some(calendar::calendar(answer))
    }
}

/// What worm beds and heaps yield
///
/// Finished beds by their depth, and heaps by their shape: what is ready, what passes the sieve, and what it comes to in
/// store. `in_bed = area x material_depth`, `ready = in_bed x finished_share`, `castings = ready x sieve_yield`,
/// `stored = castings x dry density in the bed / dry density in store`. All but `stored` is as moist as in the bed.
///
/// Beds by what was fed (`fed`): ash is neither made nor lost, so `castings = fed x (ash + (100 % - ash) x (100 % - loss))` in
/// dry matter; with `ash_after` the loss is measured: `loss = 100 % - x1 (100 % - x2) / (x2 (100 % - x1))`. With the depth too,
/// both are compared.
///
/// Beds to come (`forecast`): layers, water, worms, and lots with the dates on which they are ready. Worms grow, feed and
/// finish on warm days, each worth up to one by its temperature; frost and heat end the forecast. As `text/calendar` it is the dated work of
/// these beds, as `image/svg+xml` a chart of what each bed and heap yields.
#[utoipa::path(
    tag = "harvests",
    operation_id = "calculate_harvests",
    params(
        ("table" = Option<String>, Query, description = "Which table, as CSV: `harvests` unless given, or `layers`.", example = "harvests"),
        OptionParams
    ),
    request_body(content = HarvestsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Castings of each bed and heap", content(
            (HarvestsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"),
            (String = "image/svg+xml"), (String = "text/calendar"))),
        AskProblems,
    )
)]
#[post("/v1/harvests")]
pub async fn calculate_harvests(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Harvests>(accepted, body).await
}
