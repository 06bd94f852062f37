//! `POST /v1/balances`: stock against demand.

mod additional_production;
mod answer;
mod describe;
mod request;

pub use additional_production::{AdditionalProductionOut, AdditionalProductionRequest, ProductionBatchOut, TooLateOut};
pub(in crate::http::resources) use additional_production::{PlannedProduction, ProductionRead, ground_and_worms};
pub(in crate::http::resources) use answer::of_sacks;
pub(in crate::http::resources) use answer::series;
pub use answer::{
    AllocationOut, BalanceTotal, BalancesAnswer, ContentOut, DayOut, DemandOut, DroppedOut, OccasionOut, OptionOut,
    OptionText, OutOfReachOut, SackOut, ShortfallOptionsOut, StockOut,
};
pub(in crate::http::resources) use answer::{BalanceParts, Balanced, Labels};
pub(in crate::http::resources) use describe::Account;
pub use request::{
    ApplicationRequest, BalancesRequest, CropRequest, DemandRequest, Demands, Lots, SackRequest, StockRequest,
};
pub(in crate::http::resources) use request::{BalanceFields, ParsedBalance, ReadBalance, Source, runs_from};

use super::variants::{OutcomeOut, VariantOut, VariantRequest};
use super::{Example, Frame, Question, few_enough, frame, work_of_items};
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
use crate::http::wire::RequestErrors;
use actix_web::{HttpResponse, post};

/// The question's marker.
pub struct Balances;

impl Question for Balances {
    type Request = BalancesRequest;
    type Answer = BalancesAnswer;
    const NAME: &'static str = "balances";
    const MEDIA: &'static [Media] = &[Media::Json, Media::Csv, Media::Html, Media::Text, Media::Svg];
    const TABLES: &'static [&'static str] = &["balance", "demands", "occasions", "stock", "by_date", "variants"];
    const EXAMPLE: Example = Example {
        name: "late_lot",
        summary: "A second lot that comes too late for the carrots",
        body: include_str!("../../../demo-data/balances/late-lot.json"),
    };

    fn frame(request: &Self::Request) -> Frame<'_> {
        frame!(request)
    }

    fn work(request: &Self::Request, ahead: &RequestContext<'_>) -> Work {
        // To produce takes many runs.
        let produce = if request.additional_production.is_some() { MAX_STEPS } else { 0 };
        let items = work_of_items(request.fields().items(ahead), request.explain);
        items.and(request.fields().work(ahead)).and(Work::steps(produce))
    }

    fn answer(request: &Self::Request, context: &RequestContext<'_>, view: &View<'_>) -> Option<Self::Answer> {
        let producing = request::producing(request, context);
        few_enough(request.fields().items(context), context);
        let question = request::read(request, context)?;
        context.spend(request.fields().work(&context.apart(&RequestErrors::default())));
        let balance = question.balance(context)?;
        let production = request::production((request, &question), context, producing?, &balance)?;
        context.errors.none()?;
        Some(answer::write(request, (&question, production.as_ref()), &balance, (context, view)))
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
}

/// Stock against demand
///
/// Who gets how much, from which lot and when; what is short; the running balance by date; and what closes the
/// shortfall. The rule, exact in whole millilitres: priorities in order; within a priority every demand gets the same
/// share of what it needs, as far as the dates allow; nothing usable stays unused while a demand it could serve is
/// short. allocated + shortfall = needed, and allocated + remaining + expired = supply. A demand below its `minimum`
/// is dropped, one at a time: in the last priority where one fails, the smallest share first (before rounding; of equals
/// the later last day, then the later in the list); then the stock is shared again. In the end those dropped come back, by
/// priority and list order, if nobody then falls below its minimum; for a demand that stays dropped, castings it
/// could use may stay unused. Ties: stock that expires first goes first, then what was ready first, then list order;
/// an allocation is on the first day both allow; a leftover millilitre goes by largest remainder, then list order. A tea
/// whose batches start on several days counts as one demand for each of these days, and a demand with `repeat` as one for each time; its
/// `minimum` and its `whole_portions` are about each time.
///
/// With `whole_portions` each fair share is rounded down to whole plants, pots or batches. Then each demand of the priority that lost a part of
/// one gets one more, if everybody else can keep what they have: the smallest share of whole ones first, in a tie the one that asks for fewer, then
/// list order. The other demands of the priority share what is left, and what nobody of them can use goes out one by one in the same order.
///
/// Castings that are not said to be free of manure, or treated, count as raw manure. With a `crop`, each allocation reports from when on it may
/// be harvested, 120 or 90 days after it is incorporated (7 CFR 205.203(c)(1)), or that the rule is not met; `enforce_application_to_harvest_interval` makes the wait a
/// limit of the plan: a lot is then barred from that demand alone, and may go to any other; `castings_barred` says what stays unused so. Local
/// rules and the certifier come first.
#[utoipa::path(
    tag = "balances",
    operation_id = "balance_stock",
    params(
        ("table" = Option<String>, Query, description = "Which table, as CSV: `balance` (demands and stock) unless given, `demands`, `occasions` (each time of demands that repeat), `stock`, `by_date` or `variants`.", example = "balance"),
        OptionParams
    ),
    request_body(content = BalancesRequest, content_type = "application/json"),
    responses(
        (status = 200, description = "Who gets what, what is short and when", content(
            (BalancesAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "text/plain"),
            (String = "image/svg+xml"))),
        AskProblems,
    )
)]
#[post("/v1/balances")]
pub async fn balance_stock(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    respond::<Balances>(accepted, body).await
}
