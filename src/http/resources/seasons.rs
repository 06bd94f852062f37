//! `POST /v1/seasons`: beds, stock and demands over a season; the same by `GET` with the request in the address.

mod answer;
mod calendar;
mod chances;
mod describe;
mod next;
mod options;
mod reach;
mod read;
mod records;
mod remarks;
mod request;
mod sheet;
mod work_list;
mod write;

pub use answer::SeasonsAnswer;
pub use request::SeasonsRequest;

use super::variants::{OutcomeOut, VariantOut, VariantRequest};
use super::{Example, Frame, Question, STEPS_FOR_FORECAST, few_enough, frame, work_of_items};
use crate::garden::balances::additional_production::shortfalls;
use crate::garden::beds::Forecast;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::seasons::{Season, SeasonPlan, plan, simulate};
use crate::garden::work::Work;
use crate::http::body::Body;
use crate::http::input::RequestContext;
use crate::http::limits::{MAX_STEPS, MAX_TASKS};
use crate::http::negotiate::Media;
use crate::http::output::quantity::View;
use crate::http::present::Description;
use crate::http::present::calendar::Calendar;
use crate::http::present::options::OptionParams;
use crate::http::problem::{AskProblems, Problem};
use crate::http::resources::respond::{Accepted, respond};
use crate::http::wire::{JsonPath, RequestErrors};
use actix_web::{HttpResponse, post};
use read::Read;
use write::Computed;

/// Steps to forecast a layer and to write it. Source: how this service works.
const STEPS_FOR_LAYER: u64 = 600;

/// The question's marker.
pub struct Seasons;

impl Question for Seasons {
    type Request = SeasonsRequest;
    type Answer = SeasonsAnswer;
    const NAME: &'static str = "seasons";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text, Media::Svg, Media::Calendar];
    const TABLES: &'static [&'static str] =
        &["work", "demands", "occasions", "stock", "by_date", "worm_beds", "layers", "variants"];
    const EXAMPLE: Example = Example {
        name: "stock_and_one_demand",
        summary: "No beds: a lot whose amount is not certain, and one demand",
        body: include_str!("../../../demo-data/seasons/one-demand.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(request: &Self::Request, ahead: &RequestContext<'_>) -> Work {
        let beds = request.worm_beds.as_deref().map_or(0, <[_]>::len);
        // Runs, and what is to be produced, take long in any case.
        let long =
            if request.simulation_runs.is_some_and(|draws| draws.0 == 0) && request.additional_production.is_none() {
                0
            } else {
                MAX_STEPS
            };
        let items = work_of_items(request.fields().items(ahead) + beds, request.explain);
        let forecasts = Work::of(beds, STEPS_FOR_FORECAST);
        items.and(forecasts).and(request.fields().work(ahead)).and(Work::steps(long))
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let items = request.fields().items(context) + request.worm_beds.as_deref().map_or(0, <[_]>::len);
        let fits = few_enough(items, context);
        let mut read = read::read(request, context)?;
        let producing = read.producing.take();
        let computed = compute(request, (&read, producing), context)?;
        fits?;
        few_enough(items + computed.plan.forecasts.iter().map(Forecast::items).sum::<usize>(), context)?;
        context.errors.none()?;
        Some(write::write(request, (&read, &computed), (context, view)))
    }

    fn variants(request: &Self::Request) -> &[VariantRequest] {
        request.variants.as_deref().unwrap_or_default()
    }

    fn outcome(answer: &Self::Answer, name: &str) -> Option<OutcomeOut> {
        Some(answer.outcome(name))
    }

    fn compare(answer: &mut Self::Answer, variants: Vec<VariantOut>) {
        answer.part.variants = variants;
    }

    fn describe(answer: &Self::Answer) -> Description<'_> {
        describe::describe(answer)
    }

    fn calendar(answer: &Self::Answer) -> Option<Result<Calendar, RequestErrors>> {
        Some(Ok(calendar::calendar(answer)))
    }
}

/// Plans, produces and draws.
fn compute<'a>(
    request: &SeasonsRequest,
    (read, producing): (&'a Read, Option<super::balances::ProductionRead>),
    context: &'a RequestContext<'_>,
) -> Option<Computed<'a>> {
    let root = JsonPath::root();
    read.check_manure(context);
    let season = read.season(context)?;
    let plan = planned(&season, read, context)?;
    context.spend(work_of(request, (read, &season, &plan), context));
    let left = context.keep(root, plan.check_runs(&season, read.runs.0, read.climate_days())).unwrap_or(0);
    // A request with errors gets no chances, so nothing is drawn for it; only what else is wrong is still looked for.
    let runs = if context.errors.is_empty() { read.runs } else { (0, read.runs.1) };
    let production = match (producing, &request.additional_production) {
        (Some(producing), Some(with)) => {
            // The last day of the season replaces a missing last day, so no shortfall is without one.
            let all = (plan.lots.as_slice(), plan.requirements.as_slice(), &plan.balance);
            let short = shortfalls(all, producing.is_untreated(), Some(read.until)).unwrap_or_default();
            let to = (short.as_slice(), read.asked.as_of);
            Some(producing.run((with, context), to, (read.climate.as_ref(), runs, left))?)
        }
        _ => None,
    };
    let tasks = work_list::tasks(read, (&season, &plan, production.as_ref()));
    few_tasks(tasks.len(), context)?;
    let chances = if runs.0 == 0 {
        None
    } else {
        Some(simulate(&season, &plan, runs).map_err(|refusal| context.refuse(root, refusal)).ok()?)
    };
    let steps = left.saturating_sub(production.as_ref().map_or(0, |production| production.found.steps));
    // Of a variant, the chances of its options are not kept.
    let compared = chances.as_ref().filter(|_| !context.is_variant()).map(|chances| {
        let with = (production.as_ref(), &chances.plan);
        let (compared, taken) = options::compare((&season, &plan), with, (read, runs, steps));
        context.spend(Work::of_runs(taken));
        compared
    });
    Some(Computed { season, plan, chances, production, tasks, compared: compared.unwrap_or_default() })
}

/// Refuses a season of more work than an answer lists.
fn few_tasks(tasks: usize, context: &RequestContext<'_>) -> Option<()> {
    if tasks <= MAX_TASKS {
        return Some(());
    }
    let detail = format!(
        "the season comes to {tasks} tasks, and an answer lists at most {MAX_TASKS}: end it earlier (until), ask for thicker layers, larger \
         brewers or fewer times of a repeat, or split the request"
    );
    context.refuse(JsonPath::root(), Refusal::new(Reason::TooLarge, detail));
    None
}

/// Plans the season, or refuses it at the bed at fault.
fn planned(season: &Season<'_>, read: &Read, context: &RequestContext<'_>) -> Option<SeasonPlan> {
    let planned = plan(season, context.book()).map_err(|(bed, refusal)| match bed {
        Some(bed) => refuse_bed(context, (read, bed), refusal),
        None => context.refuse(JsonPath::root(), refusal),
    });
    planned.ok()
}

/// How much work the plan and its runs are.
fn work_of(
    request: &SeasonsRequest,
    (read, season, plan): (&Read, &Season<'_>, &SeasonPlan),
    context: &RequestContext<'_>,
) -> Work {
    let layers = plan.forecasts.iter().map(|forecast| forecast.layers.len()).sum();
    let runs = u64::from(read.runs.0).saturating_mul(plan.work_of_a_run(season, read.climate_days()));
    let sharing = request.fields().work(&context.apart(&RequestErrors::default())).max(plan.sharing);
    sharing.and(Work::of(layers, STEPS_FOR_LAYER)).and(Work::of_runs(runs))
}

/// Tells a refusal of a bed at the field of the request that it is about.
fn refuse_bed(context: &RequestContext<'_>, (read, bed): (&Read, usize), refusal: Refusal) {
    let root = JsonPath::root();
    let list = root.field("worm_beds");
    let place = list.index(bed);
    let own = read.overrides(bed).is_some_and(|overrides| !overrides.is_empty());
    match refusal.field {
        Some("assumptions") if !own => context.refuse(root, refusal),
        Some("area") => context.refuse(place.field("ground"), Refusal { field: None, ..refusal }),
        _ => context.refuse(place, refusal),
    }
}

/// A season: will there be enough, when, how sure is that, and what closes the shortfall
///
/// Beds, leaves, stock, areas, brews and dates in one request. Each bed is forecast as in `POST /v1/harvests`; what it gives
/// joins the stock, and the rule of `POST /v1/balances` shares it out: that is the plan, at the likely values. Then every uncertain
/// value is drawn anew in each run, once for all that depend on it, from its range split at the likely value (half the chance on each
/// side, falling off in a straight line).
///
/// Each run follows the rule that a grower follows. A lot is known from the day on which it is ready. A demand waits while others have an
/// earlier last day, and for lots planned by its own last day. On each day on which a demand may be served or a lot becomes ready, priorities are served in order: first up to the share that the plan allocates, evenly, by
/// what is in stock less what is kept for earlier priorities; then up to all that is needed, by what is in stock less what is kept for
/// earlier priorities and its own. What is kept is what the plan allocates to later days and the lots still expected by then do not cover. Each
/// batch of a tea is a demand on its own day; castings that expire first go first. `chance_full`: a demand gets all; `chance_allocated`:
/// it gets its share of the plan; `chance_enough`: every demand gets all. What to measure first: the first-order share of the variance of
/// the margin on its worst day. `work` is what to do on which day.
///
/// As `text/html` it is a sheet to print, as `image/svg+xml` a chart of supply and demand over time, as `text/csv` one of
/// its tables, as `text/calendar` the work as all-day events whose ids stay the same from answer to answer.
#[utoipa::path(
    tag = "seasons",
    operation_id = "plan_season",
    params(
        ("table" = Option<String>, Query, description = "Which table, as CSV: `work`, with what demands do not get, unless given, `demands`, `occasions` (each time of demands that repeat), `stock`, `by_date`, `worm_beds`, `layers` or `variants`.", example = "work"),
        OptionParams
    ),
    request_body(content = SeasonsRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "The plan, its chances, the work, and what closes the shortfall", content(
            (SeasonsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"), (String = "image/svg+xml"),
            (String = "text/calendar"))),
        AskProblems,
    )
)]
#[post("/v1/seasons")]
pub async fn plan_season(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Seasons>(accepted, body).await
}
