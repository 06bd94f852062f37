//! `POST /v1/calibrations`: what a grower's own records say of the assumptions; the same by `GET` with the request in the address.

mod answer;
mod beside;
mod block;
mod chart;
mod clocks;
mod cost;
mod describe;
mod feeds;
mod fits;
mod forecasts;
mod observations;
mod read;
mod record_names;
mod request;
mod season;
mod tables;
mod write;

pub use answer::CalibrationsAnswer;
pub use beside::beside_rows;
pub use request::CalibrationsRequest;

use super::{Example, Frame, Question, few_enough, frame};
use crate::garden::calibrations::{Gathered, calibrate};
use crate::garden::work::Work;
use crate::http::body::Body;
use crate::http::input::RequestContext;
use crate::http::limits::MAX_STEPS;
use crate::http::negotiate::Media;
use crate::http::output::quantity::View;
use crate::http::present::Description;
use crate::http::present::options::OptionParams;
use crate::http::problem::{AskProblems, Problem};
use crate::http::resources::respond::{Accepted, respond};
use crate::http::wire::JsonPath;
use actix_web::{HttpResponse, post};

/// The question's marker.
pub struct Calibrations;

impl Question for Calibrations {
    type Request = CalibrationsRequest;
    type Answer = CalibrationsAnswer;
    const NAME: &'static str = "calibrations";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text, Media::Svg];
    const TABLES: &'static [&'static str] = &["values", "records", "one_more"];
    const EXAMPLE: Example = Example {
        name: "first_harvest",
        summary: "One bed with one harvest: what does it say about the assumptions?",
        body: include_str!("../../../demo-data/calibrations/first-harvest.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(_: &Self::Request, _: &RequestContext<'_>) -> Work {
        // Tens of thousands of draws take long in any case.
        Work::steps(MAX_STEPS)
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        context.refuse_calibrated(request.assumptions.as_ref(), JsonPath::root().field("assumptions"));
        let all = read::read(request, context);
        let fits = all.as_ref().and_then(|all| cost::check(all, context));
        // Its errors are reported beside those of the records.
        let season = season::ask(request, context);
        let all = all?;
        fits?;
        few_enough(all.records.iter().map(|read| read.observed.len()).sum(), context);
        context.errors.none()?;
        let records: Vec<_> = all.records.iter().map(|read| read.record.clone()).collect();
        let gathered = Gathered { clocks: &all.clocks, request: &context.overrides, seed: write::seed(request) };
        let calibration = context.keep(JsonPath::root(), calibrate(&records, &gathered))?;
        let season = match season {
            Some(season) => Some(season.beside(&calibration, context)?),
            None => None,
        };
        Some(write::write(request, (&all, &calibration, season), (context, view)))
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }
}

/// What your own records say about the assumptions
///
/// Each assumption that beds depend on starts with its range. Records of beds that were fed and harvested narrow these ranges together
/// (Bayes): litres harvested, days on which castings were ready or a layer was eaten, weighed worms, weighed containers, ash, and the share
/// through the sieve. What one kind of record cannot tell apart, another can. The answer has the narrowed ranges as a block
/// `calibrated_assumptions`, with their rank correlations: paste it into `assumptions` of any later request
/// but a calibration. One record changes little.
/// Each observation comes with its forecast without records, with all records, and from the other records; one that does not fit has a
/// likely reason. The answer also says what one more record of each kind would bring, and compares a `season` without and with the block.
///
/// The errors of records are assumptions whose ids begin with `records.`. As `text/csv` it is one of three tables, as `image/svg+xml` a
/// chart of forecast, record and new forecast.
#[utoipa::path(
    tag = "calibrations",
    operation_id = "calibrate_assumptions",
    params(
        ("table" = Option<String>, Query, description = "Which table, as CSV: `values` unless given, `records` or `one_more`.", example = "values"),
        OptionParams
    ),
    request_body(content = CalibrationsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "The calibrated values, how the records fit, and what one more would bring", content(
            (CalibrationsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"),
            (String = "image/svg+xml"))),
        AskProblems,
    )
)]
#[post("/v1/calibrations")]
pub async fn calibrate_assumptions(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Calibrations>(accepted, body).await
}
