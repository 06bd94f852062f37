//! `POST /v1/applications`: how much each row, bed and pot takes.

mod answer;
mod describe;
mod nutrients;
mod places;
mod request;

pub use answer::ApplicationsAnswer;
pub use request::{ApplicationsRequest, AreaRequest};
pub(crate) use request::{Parts, solve};

use super::explain::few_enough;
use super::{Frame, Question, Sample, work_of_items};
use crate::garden::work::Work;
use crate::http::answer::{Accepted, respond};
use crate::http::body::Body;
use crate::http::input::Crossing;
use crate::http::negotiate::Media;
use crate::http::output::explain;
use crate::http::output::quantity::View;
use crate::http::present::Description;
use crate::http::present::options::OptionParams;
use crate::http::problem::{AskProblems, Problem};
use actix_web::{HttpResponse, post};

/// The question's marker.
pub struct Applications;

const SAMPLES: &[Sample] = &[
    Sample {
        name: "one_bed",
        summary: "How much for this bed?",
        body: include_str!("../../../demo-data/applications/one-bed.json"),
    },
    Sample {
        name: "kitchen_garden",
        summary: "Rows, a bed, plants and pots, in litres and buckets",
        body: include_str!("../../../demo-data/applications/kitchen-garden.json"),
    },
    Sample {
        name: "every_shape",
        summary: "A polygon, pots, a filled bed and other shapes, with rates of every kind",
        body: include_str!("../../../demo-data/applications/every-shape.json"),
    },
    Sample {
        name: "one_bed_in_a_year",
        summary: "Three dressings of one bed in a year, together against two yardsticks",
        body: include_str!("../../../demo-data/applications/one-bed-in-a-year.json"),
    },
    Sample {
        name: "by_nitrogen_in_us_units",
        summary: "By available nitrogen, with a weighed bucket, in US units",
        body: include_str!("../../../demo-data/applications/by-nitrogen.json"),
    },
    Sample {
        name: "explained",
        summary: "How each figure came about: formula, numbers put in, where they are from",
        body: include_str!("../../../demo-data/applications/explained.json"),
    },
];

impl Question for Applications {
    type Request = ApplicationsRequest;
    type Answer = ApplicationsAnswer;
    const NAME: &'static str = "applications";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text];

    fn samples() -> &'static [Sample] {
        SAMPLES
    }

    fn frame(request: &Self::Request) -> Frame<'_> {
        Frame {
            units: request.units,
            measures: request.measures.as_ref(),
            assumptions: request.assumptions.as_ref(),
            explain: request.explain,
        }
    }

    fn work(request: &Self::Request, _: &Crossing<'_>) -> Work {
        work_of_items(request.areas.len(), request.explain)
    }

    fn answer(request: &Self::Request, crossing: &Crossing<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let fits = few_enough(request.explain, request.areas.len(), crossing);
        let solved = solve(request, crossing)?;
        fits?;
        let mut answer = answer::write(request, &solved, crossing, view);
        if request.explain == Some(true) {
            answer.explanations = Some(explain(&answer, view));
        }
        Some(answer)
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }
}

/// How much each place takes
///
/// Area times rate for rows, beds, plants, pots and fills: castings by volume, mass and the caller's measures, and the
/// nutrients they carry. `V = A d / (1 - settling)` by depth, `A r / density` by mass per area, `A r` by volume per area,
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
