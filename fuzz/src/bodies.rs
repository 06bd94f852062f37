//! Bodies of every question: answered in every form, or refused with its errors.

use barrowful::garden::work::Work;
use barrowful::http::present::calendar::Head;
use barrowful::http::present::{self, Options};
use barrowful::http::resources::Question;
use barrowful::http::resources::applications::Applications;
use barrowful::http::resources::ask::ask_within;
use barrowful::http::resources::balances::Balances;
use barrowful::http::resources::brews::Brews;
use barrowful::http::resources::calibrations::Calibrations;
use barrowful::http::resources::feeds::Feeds;
use barrowful::http::resources::harvests::Harvests;
use barrowful::http::resources::seasons::Seasons;
use barrowful::http::resources::worm_beds::WormBeds;
use barrowful::http::wire::{Node, parse};

/// The most work of one input: a few milliseconds.
const MOST: Work = Work::steps(400_000);

/// The first byte says which question, the rest is its body.
pub fn bodies(data: &[u8]) {
    let Some((question, body)) = data.split_first() else { return };
    let Ok(tree) = parse(body) else { return };
    match question % 8 {
        0 => answer::<Applications>(&tree),
        1 => answer::<Harvests>(&tree),
        2 => answer::<Brews>(&tree),
        3 => answer::<Balances>(&tree),
        4 => answer::<Feeds>(&tree),
        5 => answer::<Seasons>(&tree),
        6 => answer::<WormBeds>(&tree),
        // Its draws are always more than the most work: the request is read and checked.
        _ => answer::<Calibrations>(&tree),
    }
}

fn answer<Q: Question>(tree: &Node<'_>) {
    match ask_within::<Q>(tree, MOST) {
        Ok(None) => {}
        Ok(Some(answer)) => {
            let written = serde_json::to_string(&answer).expect("an answer is written");
            assert!(!written.contains(":null") && !written.contains("[null"), "an answer holds null: {written}");
            let again = ask_within::<Q>(tree, MOST).ok().flatten();
            assert_eq!(again.and_then(|again| serde_json::to_string(&again).ok()), Some(written), "asked again");
            forms::<Q>(&answer);
        }
        Err(problem) => {
            let problem = serde_json::to_value(problem).expect("a problem is written");
            assert_eq!(problem["status"], 422, "{problem}");
            assert_ne!(problem["errors"].as_array().map_or(0, Vec::len), 0, "{problem}");
        }
    }
}

fn forms<Q: Question>(answer: &Q::Answer) {
    let options = Options::default();
    let description = Q::describe(answer);
    for text in [present::html::render(&description), present::text::render(&description, &options)] {
        assert!(!text.is_empty());
    }
    if description.tables().next().is_some() {
        let mut csv = Vec::new();
        present::csv::render(&description, &options, &mut csv).expect("a table is written");
        assert!(csv.ends_with(b"\r\n"));
    }
    if let Some(chart) = description.chart() {
        assert!(chart.document(&[]).contains("</svg>"));
    }
    if let Some(Ok(calendar)) = Q::calendar(answer) {
        let (tasks, mut text) = (calendar.tasks.len(), Vec::new());
        present::calendar::render(calendar, Head::of(&description), &mut text).expect("a calendar is written");
        let text = String::from_utf8(text).expect("a calendar is text");
        assert!(text.ends_with("END:VCALENDAR\r\n"), "{text}");
        assert_eq!(text.matches("\r\nBEGIN:VEVENT").count(), tasks, "{text}");
    }
}
