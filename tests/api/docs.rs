//! The page at /docs and README.md: four requests with their answers, the simplest first, of one definition.

use crate::support::{between, flat, get, in_repository, send, service, unescaped};
use barrowful::garden::cautions::Rule;
use barrowful::garden::glossary::TERMS;
use barrowful::http::docs::{FIRST, QUESTIONS};
use reqwest::Method;
use serde_json::Value;

fn readme() -> String {
    std::fs::read_to_string(in_repository("README.md")).unwrap()
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}: {text}"))
}

#[test]
fn the_service_answers_the_first_requests_as_they_say() {
    assert_eq!(FIRST.len(), 4);
    for first in FIRST {
        let headers = [("content-type", "application/json"), ("accept", "text/plain")];
        let answer = send(&service(), (Method::POST, first.path), &headers, first.body.into());
        assert_eq!(answer.status, 200, "{}", answer.text());
        let text = flat(answer.text());
        assert!((1..=4).contains(&first.answer.len()), "{} is answered in a few lines", first.title);
        for line in first.answer {
            assert!(text.contains(line), "{} is not answered with \"{line}\" but with\n{}", first.title, answer.text());
        }
    }
}

#[test]
fn the_first_requests_become_longer() {
    let lengths: Vec<usize> = FIRST.iter().take(3).map(|first| json(first.body).to_string().len()).collect();
    assert!(lengths.is_sorted(), "{lengths:?}");
}

#[test]
fn readme_has_the_same_requests_and_answers() {
    let readme = readme();
    let section = between(&readme, "\n## Four requests to copy\n", "\n## ")[0];
    let blocks = between(section, "```sh\n", "```");
    assert_eq!(blocks.len(), FIRST.len());
    for (block, first) in blocks.iter().zip(FIRST) {
        assert!(block.contains(&format!("localhost:8080{} ", first.path)), "{block}");
        assert_eq!(
            json(between(block, "-d '", "'")[0]),
            json(first.body),
            "the request of {} in README.md",
            first.title
        );
        let lines: Vec<&str> = block.lines().filter_map(|line| line.strip_prefix("# ")).collect();
        assert_eq!(lines, first.answer, "the answer to {} in README.md", first.title);
    }
}

#[test]
fn readme_has_the_same_questions() {
    let readme = readme();
    for (question, ask) in QUESTIONS {
        let row = format!("\n| {question} | `{ask}`");
        assert!(readme.contains(&row), "README.md lacks the row {row}");
    }
    let table = between(&readme, "\n## What it answers\n", "\n\nIn ")[0];
    assert_eq!(
        table.lines().filter(|line| line.starts_with("| ")).count(),
        QUESTIONS.len() + 1,
        "rows with the heading"
    );
}

#[test]
fn the_page_starts_with_the_first_requests() {
    let answer = get("/docs/");
    let page = answer.text();
    let headings: Vec<&str> = between(page, "<h2>", "</h2>");
    let titles: Vec<&str> = FIRST.iter().map(|first| first.title).collect();
    assert_eq!(headings[..4], titles);
    let sections = between(page, "<section class=\"try\"", "</section>");
    assert_eq!(sections.len(), FIRST.len());
    for (section, first) in sections.iter().zip(FIRST) {
        assert!(section.contains(&format!("data-path=\"..{}\"", first.path)), "{section}");
        let request = between(section, "autocapitalize=\"off\">", "</textarea>")[0];
        assert_eq!(json(&unescaped(request)), json(first.body));
        let shown = between(between(section, "<pre", "</pre>")[0], ">", "<")[0];
        assert_eq!(unescaped(shown), first.answer.join("\n"));
    }
    let before = page.split("<h2>").next().unwrap();
    assert!(before.contains("tells a grower of worm castings whether there will be enough"), "{before}");
    assert!(before.contains("href=\"reference/\""), "the full reference is one click away");
}

#[test]
fn the_page_has_every_question_term_and_caution() {
    let page = unescaped(get("/docs/").text());
    for (question, ask) in QUESTIONS {
        assert!(page.contains(&format!("<dt>{question}</dt><dd><code>{ask}</code></dd>")), "{question}");
    }
    for term in TERMS {
        assert!(page.contains(&format!("<dt>{}</dt><dd>{}.", term.term, term.meaning)), "{}", term.term);
    }
    for rule in Rule::ALL {
        assert!(page.contains(&format!("<dt>{}</dt><dd>{}</dd>", rule.text().heading, rule.text().text)), "{rule:?}");
    }
}

/// The links of a page, each followed.
fn follow_links(folder: &str) -> usize {
    let answer = get(folder);
    assert_eq!((answer.status, answer.header("content-type")), (200, "text/html; charset=utf-8"), "{folder}");
    let page = answer.text();
    let links: Vec<&str> = ["src=\"", "href=\""].into_iter().flat_map(|mark| between(page, mark, "\"")).collect();
    for link in &links {
        assert!(!link.contains("//") && !link.starts_with('/'), "{link} leads elsewhere, or loses a prefix");
        let url = reqwest::Url::parse(&format!("{}{folder}", service())).unwrap().join(link).unwrap();
        assert_eq!(get(url.path()).status, 200, "{link}");
    }
    links.len()
}

#[test]
fn both_pages_load_nothing_from_elsewhere_and_hold_no_script_and_no_style() {
    for (path, location) in [("/docs", "docs/"), ("/docs/reference", "reference/")] {
        let redirected = get(path);
        assert!([301, 302, 307, 308].contains(&redirected.status));
        assert_eq!(redirected.header("location"), location, "a relative redirection keeps a prefix");
    }
    for (folder, least) in [("/docs/", 10), ("/docs/reference/", 7)] {
        assert!(follow_links(folder) >= least, "{folder}");
        let answer = get(folder);
        let page = answer.text();
        assert!(page.contains("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">"), "{folder}");
        for script in between(page, "<script", "</script>") {
            assert!(script.contains(" src=\"") && script.ends_with('>'), "{script}");
        }
        for inline in ["<style", " style=", " onclick=", " onload=", "javascript:"] {
            assert!(!page.contains(inline), "{folder} has {inline}");
        }
        assert!(page.len() < 60_000, "{folder} has {} bytes", page.len());
    }
    let (script, style) = (get("/docs/page.js"), get("/docs/page.css"));
    assert_eq!(script.header("content-type"), "text/javascript; charset=utf-8");
    assert_eq!(style.header("content-type"), "text/css; charset=utf-8");
    assert!(!script.text().contains("://") && !style.text().contains("url("));
}

#[test]
fn the_full_reference_opens_with_everything_folded() {
    let setup = get("/docs/reference/swagger-initializer.js");
    let setup = setup.text();
    assert!(setup.contains("\"../../openapi.json\"") && !setup.contains("http"), "{setup}");
    assert!(
        setup.contains("\"docExpansion\": \"none\"") && setup.contains("\"defaultModelsExpandDepth\": 0"),
        "{setup}"
    );
}

#[test]
fn readme_shows_the_season_as_it_is_printed() {
    let readme = readme();
    let shown = between(&readme, "```text\n", "```")[0];
    let headers = [("content-type", "application/json"), ("accept", "text/plain")];
    let body = std::fs::read(in_repository("demo-data/seasons/kitchen-garden.json")).unwrap();
    let answer = send(&service(), (Method::POST, "/v1/seasons?width=100"), &headers, body);
    assert!(shown.contains("Not enough.") && answer.text().contains(shown), "{shown}\n{}", answer.text());
}

/// Each page of reference that the questions name has a link, and no page is empty without scripts.
#[test]
fn every_list_has_a_link_and_the_reference_says_where_else_it_is() {
    let page = get("/docs/").text().to_owned();
    for list in ["materials", "rates", "units", "assumptions", "cautions", "formulas", "sources", "limits"] {
        assert!(page.contains(&format!("href=\"../v1/{list}\"")), "{list}");
    }
    let reference = get("/docs/reference/").text().to_owned();
    assert!(between(&reference, "<noscript>", "</noscript>")[0].contains("href=\"../../openapi.json\""), "{reference}");
    let method = flat(get("/problems/method-not-allowed").text());
    assert!(method.contains("with POST, or with GET and the request in the address (?request=)."), "{method}");
}
