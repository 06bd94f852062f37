//! The page for people at /docs: what the service is for, four requests to try, then the questions, the terms and the cautions.
//! The full reference is one click away. Everything is served from here, so it works without a network.

mod requests;

pub use requests::{FIRST, FirstRequest, QUESTIONS};

use super::etag::cacheable;
use crate::garden::cautions::Rule;
use crate::garden::glossary::{TERMS, Term};
use actix_web::{HttpRequest, HttpResponse, web};
use maud::{DOCTYPE, Markup, html};
use std::sync::LazyLock;
use utoipa_swagger_ui::{Config, SwaggerUi};

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");
const ICON: &str = include_str!("icon.svg");

/// The pages of reference, with what is on them.
const REFERENCE: &[(&str, &str)] = &[
    ("../v1/materials", "materials for feed"),
    ("../v1/rates", "typical rates"),
    ("../v1/units", "units"),
    ("../v1/assumptions", "defaults"),
    ("../v1/cautions", "cautions"),
    ("../v1/formulas", "formulas"),
    ("../v1/sources", "sources"),
    ("../v1/limits", "limits"),
];

/// Nothing on the page changes while the program runs.
static PAGE: LazyLock<web::Bytes> = LazyLock::new(|| page().into_string().into());

/// The frame of the full reference. The one that comes with Swagger UI is not made for a phone.
static FULL_REFERENCE: LazyLock<web::Bytes> = LazyLock::new(|| full_reference().into_string().into());

/// Adds the page, what it loads, and the full reference.
pub fn routes(config: &mut web::ServiceConfig) {
    let reference = Config::new(["../../openapi.json"]).use_base_layout();
    let reference = reference.doc_expansion("none").default_models_expand_depth(0);
    config
        .service(web::redirect("/docs", "docs/"))
        .route("/docs/", web::get().to(|request| served(request, "text/html; charset=utf-8", PAGE.clone())))
        .route("/docs/page.css", web::get().to(|request| served(request, "text/css; charset=utf-8", STYLE)))
        .route("/docs/page.js", web::get().to(|request| served(request, "text/javascript; charset=utf-8", SCRIPT)))
        .route("/docs/icon.svg", web::get().to(|request| served(request, "image/svg+xml", ICON)))
        .service(web::redirect("/docs/reference", "reference/"))
        .route(
            "/docs/reference/",
            web::get().to(|request| served(request, "text/html; charset=utf-8", FULL_REFERENCE.clone())),
        )
        .service(SwaggerUi::new("/docs/reference/{_:.*}").config(reference));
}

async fn served(request: HttpRequest, media: &'static str, bytes: impl Into<web::Bytes>) -> HttpResponse {
    cacheable(&request, media, bytes.into())
}

fn page() -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Barrowful" }
                link rel="icon" type="image/svg+xml" href="icon.svg";
                link rel="stylesheet" href="page.css";
                script src="page.js" defer {}
            }
            body {
                header {
                    h1 { "Barrowful" }
                    p { "Barrowful tells a grower of worm castings whether there will be enough, when, and how certain that is." }
                    p {
                        "Here are four requests, the simplest first. Change one and try it, or open the "
                        a href="reference/" { "full reference" } ". For your own garden there is "
                        a href="../" { "a form" } "."
                    }
                    noscript {
                        p { "Trying them here needs JavaScript. Without it, copy a request to a file and send it from a terminal:" }
                        pre { "curl -H 'content-type: application/json' -d @request.json localhost:8080" (FIRST.first().map_or("", |first| first.path)) }
                    }
                }
                main {
                    @for request in FIRST { (to_try(request)) }
                    (questions())
                    (terms())
                    (cautions())
                }
                footer { p.small { (crate::http::output::COMPUTED_WITH) } }
            }
        }
    }
}

fn full_reference() -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Barrowful: full reference" }
                link rel="stylesheet" href="swagger-ui.css";
                link rel="stylesheet" href="index.css";
                link rel="icon" type="image/svg+xml" href="../icon.svg";
                script src="swagger-ui-bundle.js" defer {}
                script src="swagger-ui-standalone-preset.js" defer {}
                script src="swagger-initializer.js" defer {}
            }
            body {
                p.wrapper { a href="../" { "Four requests to try" } }
                noscript {
                    p.wrapper {
                        "The reference needs JavaScript. Without it, read " a href="../../openapi.json" { "openapi.json" } ": it has the same content."
                    }
                }
                div id="swagger-ui" {}
            }
        }
    }
}

/// A request that may be changed and sent, with its answer.
fn to_try(request: &FirstRequest) -> Markup {
    let FirstRequest { id, title, asks, path, answer, .. } = request;
    let body = request.body.trim_end();
    let field = format!("{id}-request");
    let shown = format!("{id}-answer");
    html! {
        section.try id=(id) {
            h2 { (title) }
            p { (asks) }
            label for=(field) { "Request: " code { "POST " (path) } }
            // The line break that HTML takes away at the beginning of a text area.
            textarea id=(field) data-path=(format!("..{path}")) rows=(body.lines().count()) spellcheck="false" autocapitalize="off" {
                "\n" (body)
            }
            p.buttons hidden {
                button.send type="button" { "Try it" } " "
                button.back type="button" { "Undo my changes" }
            }
            h3 id=(shown) { "Answer" }
            pre tabindex="0" role="region" aria-live="polite" aria-labelledby=(shown) { (answer.join("\n")) }
        }
    }
}

fn questions() -> Markup {
    html! {
        section id="questions" {
            h2 { "What it answers" }
            dl {
                @for (question, ask) in QUESTIONS {
                    dt { (question) }
                    dd { code { (ask) } }
                }
            }
            p {
                "An answer comes as JSON, text, a spreadsheet (CSV), a sheet to print, a chart or a calendar: the header "
                code { "Accept" } " picks one. The " a href="reference/" { "full reference" } " has every field, and "
                a href="../openapi.json" { "openapi.json" } " is the same for programs. Lists: "
                @for (index, (link, text)) in REFERENCE.iter().enumerate() {
                    @if index > 0 { ", " } a href=(link) { (text) }
                } "."
            }
        }
    }
}

fn terms() -> Markup {
    let more = |term: &Term| {
        let unit = Some(term.unit).filter(|unit| !unit.is_empty()).map(|unit| format!(" Unit: {unit}."));
        let other_names = Some(term.others).filter(|names| !names.is_empty()).map(|names| format!(" Also: {names}."));
        unit.into_iter().chain(other_names).collect::<String>()
    };
    html! {
        section id="terms" {
            h2 { "Terms" }
            details {
                summary { (TERMS.len()) " terms and what they mean" }
                dl { @for term in TERMS { dt { (term.term) } dd { (term.meaning) "." (more(term)) } } }
            }
        }
    }
}

fn cautions() -> Markup {
    html! {
        section id="cautions" {
            h2 { "Cautions" }
            p {
                "All figures are estimates. Local rules, labels, soil tests and licensed advice come first. Each answer carries the \
                 cautions that concern it."
            }
            details {
                summary { (Rule::ALL.len()) " cautions" }
                dl { @for rule in Rule::ALL { dt { (rule.text().heading) } dd { (rule.text().text) } } }
            }
        }
    }
}
