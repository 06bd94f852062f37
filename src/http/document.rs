//! The OpenAPI document: generated from the same expression as the routes, then completed with the examples, which are
//! worked requests and what the service answers to them.

mod shapes;

use super::problem::Kind;
use super::rooms::applications::Applications;
use super::rooms::balances::Balances;
use super::rooms::brews::Brews;
use super::rooms::feeds::Feeds;
use super::rooms::harvests::Harvests;
use super::rooms::seasons::Seasons;
use super::rooms::{Question, ask};
use super::wire::{FaultCode, parse};
use serde_json::Value;
use std::fmt::Write as _;
use utoipa::openapi::example::ExampleBuilder;
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme};
use utoipa::openapi::{
    Components, ContactBuilder, InfoBuilder, License, OpenApi, RefOr, ServerBuilder, path::Operation, tag::TagBuilder,
};

/// A request that must be refused, as an example of the document.
struct Refused {
    question: &'static str,
    name: &'static str,
    summary: &'static str,
    body: &'static str,
}

const REFUSED: &[Refused] = &[Refused {
    question: "applications",
    name: "faults",
    summary: "Three faults at once: a lost unit, a rate that does not fit, an unknown field",
    body: include_str!("../../demo-data/refused/applications-three-faults.json"),
}];

/// Completes the document that the routes give.
#[must_use]
pub fn complete(mut api: OpenApi) -> OpenApi {
    api.info = InfoBuilder::new()
        .title("Barrowful")
        .version(env!("CARGO_PKG_VERSION"))
        .description(Some(description()))
        .license(Some(license()))
        .contact(Some(ContactBuilder::new().name(Some("The Barrowful authors")).build()))
        .build();
    api.servers = Some(vec![ServerBuilder::new().url(".").description(Some("This service")).build()]);
    api.tags = Some(tags());
    let scheme = HttpBuilder::new()
        .scheme(HttpAuthScheme::Bearer)
        .description(Some("Only where the service was started with a token."))
        .build();
    let components = api.components.get_or_insert_with(Components::new);
    components.add_security_scheme("token", SecurityScheme::Http(scheme));
    let optional = [SecurityRequirement::default(), SecurityRequirement::new::<&str, [&str; 0], &str>("token", [])];
    api.security = Some(optional.to_vec());
    shapes::describe_inline(&mut api);
    shapes::plain_inline(&mut api);
    shapes::leave_out_null(&mut api);
    examples::<Applications>(&mut api);
    examples::<Harvests>(&mut api);
    examples::<Brews>(&mut api);
    examples::<Balances>(&mut api);
    examples::<Seasons>(&mut api);
    examples::<Feeds>(&mut api);
    api
}

fn license() -> License {
    let mut license = License::new("MIT");
    license.identifier = Some("MIT".to_owned());
    license
}

fn tags() -> Vec<utoipa::openapi::Tag> {
    [
        ("applications", "How much castings each row, bed, pot and plant takes."),
        ("harvests", "What worm beds and heaps yield."),
        ("brews", "Compost tea."),
        ("balances", "Stock against demand."),
        ("seasons", "Beds, stock and demands together: enough, when, how sure, and what closes the gap."),
        ("feeds", "What to shred, soak and mix."),
        ("cells", "One number for a spreadsheet cell."),
        ("reference", "Units, assumptions, sources and limits."),
        ("health", "Whether the service runs."),
    ]
    .into_iter()
    .map(|(name, text)| TagBuilder::new().name(name).description(Some(text)).build())
    .collect()
}

fn description() -> String {
    let mut text = String::from(
        "How much worm castings each row, bed, pot and brew gets, where stock falls short of demand and when, and what would \
         close the gap. Stateless: a POST changes nothing and may be repeated.\n\n\
         **Quantities** are texts of number and unit (`\"20 cm\"`, `\"1 1/2 in\"`, `\"14 buckets\"`) or objects \
         (`{\"value\": 20, \"unit\": \"cm\"}`); answers hold objects, which may be sent back. Numbers have a decimal point, no \
         grouping and no decimal comma. Shares are percentages. `null` counts as left out.\n\n\
         **Numbers** in answers have nine significant digits; volumes in a balance are exact to the millilitre. `low` and \
         `high` are the formula at the ends of the assumptions.\n\n\
         **Faults** are all told at once, in the order of the request. The codes are:\n\n",
    );
    for code in FaultCode::ALL {
        let _ = writeln!(text, "- `{}`: {}", code.as_str(), code.meaning());
    }
    text.push_str("\n**Problems** are problem documents (RFC 9457). Their types are:\n\n");
    for kind in Kind::ALL {
        let _ = writeln!(text, "- `/problems/{}` ({}): {}", kind.slug(), kind.status().as_u16(), kind.title());
    }
    text.push_str(
        "\n**Cautions** travel with the answers. All figures are estimates; local rules, labels, soil tests and licensed advice \
         come first.\n",
    );
    text
}

/// Adds the samples of a question and their answers, as the service itself gives them.
fn examples<Q: Question>(api: &mut OpenApi) {
    let answer = |body: &str| -> (u16, Value) {
        let outcome = parse(body.as_bytes()).map_err(super::problem::Problem::syntax).and_then(|tree| ask::<Q>(&tree));
        match outcome {
            Ok(answer) => (200, serde_json::to_value(answer).unwrap_or_default()),
            Err(problem) => (422, serde_json::to_value(problem).unwrap_or_default()),
        }
    };
    let mut all: Vec<(&str, &str, &str)> = Q::SAMPLES.iter().map(|s| (s.name, s.summary, s.body)).collect();
    let refused = REFUSED.iter().filter(|r| r.question == Q::NAME);
    all.extend(refused.map(|r| (r.name, r.summary, r.body)));
    let path = format!("/v1/{}", Q::NAME);
    let Some(operation) = api.paths.paths.get_mut(&path).and_then(|item| item.post.as_mut()) else { return };
    for (name, summary, body) in all {
        let request: Value = serde_json::from_str(body).unwrap_or_default();
        let (status, answered) = answer(body);
        if status == 200 {
            add_request(operation, name, summary, request);
            add_response(operation, status, name, (summary, answered));
        } else {
            add_response(operation, status, name, (summary, answered));
        }
    }
}

fn example(summary: &str, value: Value) -> RefOr<utoipa::openapi::example::Example> {
    RefOr::T(ExampleBuilder::new().summary(summary).value(Some(value)).build())
}

fn add_request(operation: &mut Operation, name: &str, summary: &str, value: Value) {
    if let Some(RefOr::T(body)) = operation.request_body.as_mut()
        && let Some(RefOr::T(content)) = body.content.get_mut("application/json")
    {
        content.examples.insert(name.to_owned(), example(summary, value));
    }
}

fn add_response(operation: &mut Operation, status: u16, name: &str, (summary, value): (&str, Value)) {
    let medium = if status == 200 { "application/json" } else { "application/problem+json" };
    if let Some(RefOr::T(response)) = operation.responses.responses.get_mut(&status.to_string())
        && let Some(RefOr::T(content)) = response.content.get_mut(medium)
    {
        content.examples.insert(name.to_owned(), example(summary, value));
    }
}

/// The document as it is committed and served: indented JSON with a line break at its end.
#[must_use]
pub fn text(api: &OpenApi) -> String {
    let mut text = serde_json::to_string_pretty(api).unwrap_or_default();
    text.push('\n');
    text
}

/// One line for each operation: tag, operation, method, path.
#[must_use]
pub fn operations(api: &OpenApi) -> String {
    let mut lines = String::new();
    for (path, item) in &api.paths.paths {
        let methods = [("GET", &item.get), ("POST", &item.post), ("HEAD", &item.head)];
        for (method, operation) in methods.into_iter().filter_map(|(m, o)| o.as_ref().map(|o| (m, o))) {
            let tag = operation.tags.iter().flatten().next().map_or("-", String::as_str);
            let id = operation.operation_id.as_deref().unwrap_or("-");
            let _ = writeln!(lines, "{tag:<14}{id:<28}{method:<6}{path}");
        }
    }
    lines
}
