//! The page for growers at /: a form for beds, stock and places, and the answer as the service writes it. Its scripts send the form to
//! the same questions as any other caller. Everything is served from here, so it works without a network.

mod controls;
mod form;

use super::etag::cacheable;
use super::negotiate::Media;
use super::present::chart;
use super::problem::Problem;
use super::resources::respond::Accepted;
use actix_web::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, web};
use maud::{DOCTYPE, Markup, html};
use std::sync::LazyLock;

/// The garden that the form shows at first.
const EXAMPLE: &str = include_str!("../../../demo-data/seasons/small-garden.json");

/// What the page loads: its own scripts, style and icon, and it asks this service. Nothing is written into it or comes from elsewhere.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'";

/// Where the page and its files are.
pub const PATHS: [&str; 5] = ["/", "/page/page.css", "/page/page.js", "/page/form.js", "/page/values.js"];

/// The scripts, in the order of [`PATHS`].
const SCRIPTS: [&str; 3] = [include_str!("page.js"), include_str!("form.js"), include_str!("values.js")];

/// Nothing of it changes while the program runs.
static PAGE: LazyLock<web::Bytes> = LazyLock::new(|| page().into_string().into());

/// The style of the page, with that of its charts.
static STYLE: LazyLock<web::Bytes> = LazyLock::new(|| format!("{}{}\n", include_str!("page.css"), chart::STYLE).into());

/// Adds the page and what it loads.
pub fn routes(config: &mut web::ServiceConfig) {
    let [root, style, scripts @ ..] = PATHS;
    config.route(root, web::get().to(grower_page)).route(style, web::get().to(page_style));
    for (path, script) in scripts.into_iter().zip(SCRIPTS) {
        let served = async move |request| asked_again(&request, "text/javascript; charset=utf-8", script.into());
        config.route(path, web::get().to(served));
    }
}

/// A part of the page. A browser asks each time whether it changed, so that it never joins parts of two versions.
fn asked_again(request: &HttpRequest, media: &str, bytes: web::Bytes) -> HttpResponse {
    let mut answer = cacheable(request, media, bytes);
    answer.headers_mut().insert(CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    answer
}

async fn page_style(request: HttpRequest) -> HttpResponse {
    asked_again(&request, "text/css; charset=utf-8", STYLE.clone())
}

async fn grower_page(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    let media = accepted.choose(&[Media::Html])?;
    let mut answer = asked_again(&request, media.header(), PAGE.clone());
    answer.headers_mut().insert(CONTENT_SECURITY_POLICY, HeaderValue::from_static(POLICY));
    Ok(answer)
}

fn page() -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { "Barrowful: will the castings be enough?" }
                link rel="icon" type="image/svg+xml" href="docs/icon.svg";
                link rel="stylesheet" href="page/page.css";
                link rel="modulepreload" href="page/form.js";
                link rel="modulepreload" href="page/values.js";
                script type="module" src="page/page.js" {}
            }
            body {
                header {
                    h1 { "Barrowful" }
                    p {
                        "Barrowful tells a grower of worm castings how much each row, bed or pot takes, and whether there will be enough, \
                         when, and how certain that is."
                    }
                    noscript { (without_scripts()) }
                }
                // Without its scripts the form would do nothing: they show it.
                main hidden {
                    (form::form(EXAMPLE))
                    (answer())
                    (form::templates())
                }
                footer {
                    p.small {
                        "All figures are estimates. Nothing is stored: what you write stays in the address of this page. "
                        a href="docs/" { "For programs, and terms explained" } ". " (crate::http::output::COMPUTED_WITH)
                    }
                }
            }
        }
    }
}

/// How to ask without the form.
fn without_scripts() -> Markup {
    html! {
        p { "The form on this page needs JavaScript. Without it, write your garden into a file and ask from a terminal, in one of these two ways:" }
        pre {
            "barrowful ask garden.json\n"
            "curl -H 'content-type: application/json' -H 'accept: text/plain' -d @garden.json localhost:8080/v1/seasons"
        }
        p { a href="docs/" { "Requests to copy" } " show what such a file holds." }
    }
}

/// The place of the answer, below the form or beside it.
fn answer() -> Markup {
    html! {
        section id="answer" aria-label="Answer" {
            p id="status" role="status" {}
            div id="sheet" tabindex="-1" {}
            div id="links" hidden {
                h2 { "Take it with you" }
                ul {
                    li { a data-as="html" href="" { "Sheet to print" } }
                    li { a data-as="csv" href="" { "Table for a spreadsheet (CSV)" } }
                    li data-for="balances seasons" { a data-as="svg" href="" { "Chart (SVG)" } }
                    li data-for="seasons" {
                        a data-as="calendar" href="" { "Tasks for a calendar" }
                        ": open it once, or copy its address and subscribe to it in your calendar"
                    }
                }
                p.small id="key-hint" hidden {
                    "With a token these links save a file. To subscribe, a calendar needs the key of this service at the end of the address: "
                    code { "&key=…" }
                }
                details {
                    summary { "The same question for a program" }
                    p { "Send this to " code id="asked-path" {} ", or give the saved file to " code { "barrowful ask" } "." }
                    pre id="asked-body" tabindex="0" role="region" aria-label="Request as JSON" {}
                }
            }
        }
    }
}
