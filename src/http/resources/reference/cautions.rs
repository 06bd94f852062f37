//! `GET /v1/cautions`: every rule that an answer may tell, and when it does.

use super::json;
use crate::garden::cautions::Rule;
use crate::http::problem::{ListProblems, Problem};
use crate::http::resources::respond::Accepted;
use actix_web::{HttpRequest, HttpResponse, get};
use serde::Serialize;
use utoipa::ToSchema;

/// The cautions.
#[derive(Debug, Serialize, ToSchema)]
pub struct CautionsAnswer {
    /// Every rule, in the order of answers.
    pub cautions: Vec<RuleOut>,
}

/// A rule that a caution follows from.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CautionRule)]
pub struct RuleOut {
    /// Its name, as answers and their items list it.
    pub rule: &'static str,
    /// `notice`, `caution` or `warning`.
    #[schema(schema_with = crate::http::output::enums::severities)]
    pub severity: &'static str,
    /// What it is about, in at most ten words.
    pub heading: &'static str,
    /// What to do, and why.
    pub text: &'static str,
    /// When an answer carries it.
    pub raised_when: &'static str,
    /// Where the rule is from, or that it has no source.
    pub source: &'static str,
}

fn all() -> CautionsAnswer {
    let one = |rule: &Rule| {
        let text = rule.text();
        RuleOut {
            rule: text.rule,
            severity: text.severity.as_str(),
            heading: text.heading,
            text: text.text,
            raised_when: text.raised_when,
            source: text.source,
        }
    };
    CautionsAnswer { cautions: Rule::ALL.iter().map(one).collect() }
}

/// The cautions
///
/// Every caution that an answer may carry: how serious it is, what to do, where it is from, and when an answer
/// carries it. They defer to local rules, labels and licensed advice.
#[utoipa::path(tag = "reference", operation_id = "list_cautions", security(()), responses((status = 200, description = "The cautions", body = CautionsAnswer), ListProblems))]
#[get("/v1/cautions")]
pub async fn list_cautions(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &all())
}
