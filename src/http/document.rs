//! The OpenAPI document: generated from the same expression as the routes, then completed with one worked request for each
//! question and what the service answers to it.

mod columns;
mod headers;
mod parameters;
mod shapes;
mod shared;
mod tables;

use super::problem::{Kind, Problem};
use super::resources::applications::Applications;
use super::resources::ask::ask;
use super::resources::resource::{Resource, with_question};
use super::resources::{Example, Question};
use super::wire::{ErrorCode, parse};
use clap::ValueEnum;
use serde_json::Value;
use std::fmt::Write as _;
use utoipa::openapi::example::ExampleBuilder;
use utoipa::openapi::security::{
    ApiKey, ApiKeyValue, HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme,
};
use utoipa::openapi::{
    Components, ContactBuilder, Content, InfoBuilder, License, OpenApi, RefOr, ServerBuilder, tag::TagBuilder,
};

/// A request that must be refused, as an example of the document, with its question.
const REFUSED: (&str, Example) = (
    "applications",
    Example {
        name: "errors",
        summary: "Three errors at once: a lost unit, a rate that does not fit, an unknown field",
        body: include_str!("../../demo-data/refused/applications-three-faults.json"),
    },
);

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
    let about = "In place of a token on GET requests, where the service was started with such a key.";
    let key = ApiKey::Query(ApiKeyValue::with_description("key", about));
    components.add_security_scheme("address_key", SecurityScheme::ApiKey(key));
    let needs = SecurityRequirement::new::<&str, [&str; 0], &str>;
    let optional = vec![SecurityRequirement::default(), needs("token", [])];
    for operation in api.paths.paths.values_mut().filter_map(|path| path.get.as_mut()) {
        // What is open says so itself.
        if operation.security.is_none() {
            operation.security = Some([optional.as_slice(), &[needs("address_key", [])]].concat());
        }
    }
    api.security = Some(optional);
    shapes::leave_out_null(&mut api);
    shapes::plain_inline(&mut api);
    shapes::plain_alternatives(&mut api);
    shapes::close_requests(&mut api);
    for question in Resource::value_variants() {
        with_question!(question, Q => examples::<Q>(&mut api));
    }
    tables::complete(&mut api);
    headers::complete(&mut api);
    shared::share(&mut api);
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
        ("seasons", "Beds, stock and demands together: enough, when, how sure, and what closes the shortfall."),
        ("feeds", "What to shred, soak and mix."),
        ("worm-beds", "How large a bed, and how many worms."),
        ("calibrations", "What your own records say about the assumptions."),
        ("batch", "Many questions in one stream."),
        ("cells", "One number for a spreadsheet cell."),
        ("reference", "Units, assumptions, sources and limits."),
        ("health", "Whether the service runs."),
    ]
    .into_iter()
    .map(|(name, text)| TagBuilder::new().name(name).description(Some(text)).build())
    .collect()
}

/// What the service is for and the simplest request come first, the long lists of codes last.
fn description() -> String {
    let request: Value = serde_json::from_str(Applications::EXAMPLE.body).unwrap_or_default();
    let mut text = format!(
        "Barrowful tells a grower of worm castings how much each row, bed, pot and brew gets, where stock falls short of demand \
         and when, and what closes the shortfall. The service keeps nothing: a POST changes nothing and may be repeated.\n\n\
         **The simplest request**: send this to `POST /v1/applications` as `application/json`. It asks for one bed of 2.4 m by \
         1.2 m under 2 cm of castings; the answer is 57.6 L.\n\n\
         ```json\n{request}\n```\n\n\
         `/docs` has four requests to try.\n\n\
         **Quantities** are a number and its unit: a text (`\"20 cm\"`, `\"1 1/2 in\"`, `\"6 ft 4 in\"`, `\"14 buckets\"`) or an \
         object (`{{\"value\": 20, \"unit\": \"cm\"}}`). Answers hold objects, which may be sent back. Write a decimal point, not a \
         decimal comma, and do not group digits. Shares are percentages. `null` counts as not given. The units \
         `gal qt pt fl oz bu ton` differ between countries and are refused alone. With `\"units\": \"us\"` they are the US ones, \
         and a caution lists where.\n\n\
         **Numbers** in answers have nine significant digits; volumes in a balance are exact to the millilitre. `low` and \
         `high` are the formula at the ends of the assumptions.\n\n\
         **Cautions** come with the answers. All figures are estimates; local rules, labels, soil tests and licensed advice \
         come first.\n\n\
         **Evolution.** A request that is accepted stays accepted and means the same; answers only gain fields: ignore those that you do \
         not know. Closed lists of words are enums; lists that grow are plain texts. Values from answers (quantities, rates, beds to \
         send on) have the types of requests. A part that will be removed has the headers `Deprecation` and `Sunset` twelve months before.\n\n\
         **Headers.** Every answer has `X-Request-Id`: the id that was sent in this header if it is short and plain, else a new one; a problem \
         repeats it as `request_id`. Lists, pages and questions in an address (`GET /v1/seasons?request=`) have an `ETag`, and answer 304 to `If-None-Match` while it holds. \
         503 has `Retry-After`, 405 `Allow`, 401 `WWW-Authenticate`.\n\n\
         **CSV.** The name of a column ends with its unit. Containers of the request get their own columns. The last one is `cautions_of_request`. In \
         lists of columns, which leave that out, `±` means two more, the bounds: `…_low` and `…_high`.\n\n\
         **Errors** are reported all at once, in the order of the request. Their pointers refer to it (in an address: once it is decoded). The codes are:\n\n",
    );
    for code in ErrorCode::ALL {
        let _ = writeln!(text, "- `{code}`: {}", code.meaning());
    }
    text.push_str("\n**Problems** are problem documents (RFC 9457). Their types are:\n\n");
    for kind in Kind::ALL {
        let _ = writeln!(text, "- `/problems/{}` ({}): {}", kind.as_str(), kind.status().as_u16(), kind.title());
    }
    text
}

/// Adds the worked request of a question and its answer, as the service itself gives it.
fn examples<Q: Question>(api: &mut OpenApi) {
    parameters::complete::<Q>(api);
    let refused = (REFUSED.0 == Q::NAME).then_some(&REFUSED.1);
    for example in std::iter::once(&Q::EXAMPLE).chain(refused) {
        let (request, outcome) = answered::<Q>(example);
        if let Ok(answer) = &outcome {
            columns::tell::<Q>(api, answer);
        }
        let item = api.paths.paths.get_mut(&format!("/v1/{}", Q::NAME));
        let Some(operation) = item.and_then(|item| item.post.as_mut()) else { return };
        let (status, medium, written) = match &outcome {
            Ok(answer) => ("200", "application/json", serde_json::to_value(answer)),
            Err(problem) => ("422", "application/problem+json", serde_json::to_value(problem)),
        };
        if let (Ok(_), Some(RefOr::T(body))) = (&outcome, operation.request_body.as_mut()) {
            body.description = Some("The question as JSON in UTF-8.".to_owned());
            add(body.content.get_mut("application/json"), example, Ok(request));
        }
        if let Some(RefOr::T(response)) = operation.responses.responses.get_mut(status) {
            add(response.content.get_mut(medium), example, written);
        }
    }
}

/// A worked request, and what is answered to it. The texts of cautions and assumptions are in the document once, with the simplest request:
/// the others ask for brief ones.
fn answered<Q: Question>(example: &Example) -> (Value, Result<Q::Answer, Problem>) {
    let mut request: Value = serde_json::from_str(example.body).unwrap_or_default();
    if let Some(members) = request.as_object_mut().filter(|_| Q::NAME != Applications::NAME) {
        members.insert("texts".to_owned(), "brief".into());
    }
    let text = request.to_string();
    let answer = parse(text.as_bytes()).map_err(Problem::syntax).and_then(|tree| ask::<Q>(&tree));
    (request, answer)
}

/// Adds an example to what a body or a response holds.
fn add(content: Option<&mut RefOr<Content>>, example: &Example, value: serde_json::Result<Value>) {
    if let Some(RefOr::T(content)) = content {
        let built = ExampleBuilder::new().summary(example.summary).value(Some(value.unwrap_or_default())).build();
        content.examples.insert(example.name.to_owned(), RefOr::T(built));
    }
}

/// The document as it is committed, so that changes can be read: indented JSON with a line break at its end. It is served
/// without the white space.
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
