//! Text, calendar, chart and tables.

use super::worked;
use crate::support::{Row, demo, flat, form, ok, rows, with};
use serde_json::{Value, json};

#[test]
fn a_text_says_first_what_to_make_and_buy() {
    let text = |body: &Value| flat(form("worm-beds", "text/plain", body).text());
    let all = text(&worked());
    assert!(all.contains("Make a bed of 0.833 m2 and buy 1.33 kg of worms."), "{all}");
    let few = text(&with(&worked(), "/worms_to_buy", json!("0.5 kg")));
    assert!(few.contains("Make a bed of 0.833 m2 and buy 0.5 kg of worms."), "{few}");
    assert!(few.contains("after 134 warm days with feed"), "{few}");
    let bins = text(&with(&worked(), "/bins", json!({"capacity": "40 L"})));
    assert!(bins.contains("which is 10 bins of 40 L,"), "{bins}");
    // No word of enough where the ground does not carry them.
    let crowded = with(&with(&worked(), "/ground", json!({"kind": "area", "area": "0.1 m2"})), "/worms", json!("8 kg"));
    let crowded = text(&crowded);
    assert!(
        crowded.contains("needs 1.33 kg of worms, more than this ground carries")
            && !crowded.contains("enough worms from")
    );
    let layers = text(&with(&worked(), "/feeding", json!("layers")));
    assert!(
        layers.contains("Introduce the worms on ") && layers.contains(", when there is feed for a first layer."),
        "{layers}"
    );
}

#[test]
fn a_calendar_joins_weeks_in_which_as_much_is_fed() {
    let calendar = form("worm-beds", "text/calendar", &worked()).text().to_owned();
    let feeding = calendar.matches("SUMMARY:Feed ").count();
    let weeks = ok("worm-beds", &worked())["weeks"].as_array().unwrap().len();
    assert!((1..weeks / 2).contains(&feeding), "{feeding} of {weeks}");
    assert!(calendar.contains("RRULE:FREQ=WEEKLY") && calendar.contains("SUMMARY:Introduce 1.33 kg of worms"));
    // Fed in layers, each layer is a task.
    let layers = form("worm-beds", "text/calendar", &with(&worked(), "/feeding", json!("layers"))).text().to_owned();
    assert!(layers.contains("SUMMARY:Lay ") && !layers.contains("SUMMARY:Feed "));
    // The worms are put in once their first feed is laid.
    let at = |what: &str| layers.find(what).unwrap();
    let day = |at: usize| layers[..at].rfind("DTSTART").map(|start| layers[start..start + 27].to_owned());
    let (lay, introduce) = (at("SUMMARY:Lay "), at("SUMMARY:Introduce "));
    assert!(lay < introduce && day(lay) == day(introduce), "{:?} {:?}", day(lay), day(introduce));
}

#[test]
fn a_chart_has_worms_feed_and_castings() {
    let chart = form("worm-beds", "image/svg+xml", &worked()).text().to_owned();
    for what in ["Live worms", "Feed eaten in each week", "Castings ready, summed up"] {
        assert!(chart.contains(what), "{what}");
    }
}

/// What the grower lays is in layers; the weeks say that they show what is eaten, and have the same feed in all.
#[test]
fn layers_are_rows_and_weeks_say_what_is_eaten() {
    let body = with(&worked(), "/feeding", json!("layers"));
    let answer = ok("worm-beds", &body);
    let text = form("worm-beds?all=true&width=200", "text/plain", &body).text().to_owned();
    let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("{what}: {text}"));
    assert!(at("Layers to lay") < at("Week by week: what the worms eat of these layers"), "{text}");
    let head = text[at("Week by week")..].lines().nth(1).unwrap();
    assert!(head.contains(" eaten kg ") && !head.contains(" feed kg "), "{head}");
    assert!(!form("worm-beds?all=true&width=200", "text/plain", &worked()).text().contains("eaten kg"));
    assert_layers(&rows_of("worm-beds", &body), answer["layers"].as_array().unwrap());
    let season = demo("seasons/kitchen-garden.json");
    let beds = ok("seasons", &season)["worm_beds"].as_array().unwrap().clone();
    let of_all: Vec<Value> =
        beds.iter().flat_map(|bed| bed["forecast"]["layers"].as_array().cloned().unwrap_or_default()).collect();
    assert_layers(&rows_of("seasons", &season), &of_all);
    let forecast = demo("harvests/forecast.json");
    let beds = ok("harvests", &forecast)["worm_beds"].as_array().unwrap().clone();
    let of_all: Vec<Value> =
        beds.iter().flat_map(|bed| bed["forecast"]["layers"].as_array().cloned().unwrap_or_default()).collect();
    assert_layers(&rows_of("harvests", &forecast), &of_all);
}

/// The rows of the table of layers, each cell with its column.
fn rows_of(question: &str, body: &Value) -> Vec<Row> {
    rows(form(&format!("{question}?table=layers"), "text/csv", body).bytes, b',')
}

fn assert_layers(rows: &[Row], layers: &[Value]) {
    assert!(rows.len() == layers.len() && rows.len() > 1, "{rows:?}");
    for (row, layer) in rows.iter().zip(layers) {
        assert_eq!(
            (&row["on"], &row["harvest"]),
            (&layer["on"].as_str().unwrap().to_owned(), &layer["cycle"].to_string())
        );
        for (column, field) in [("depth_mm", "depth"), ("volume_L", "volume"), ("mass_kg", "mass")] {
            assert_eq!(row[column], layer[field]["value"].to_string(), "{column}");
        }
    }
}
