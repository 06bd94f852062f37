//! Calendars: amounts in the titles, watering week by week, names, reminders of last days, what to mind.

use crate::support::{brief, demo, form, ok, send, service, with};
use chrono::NaiveDate;
use reqwest::Method;
use serde_json::{Value, json};

fn calendar(question: &str, body: &Value) -> (u16, String) {
    let headers = [("content-type", "application/json"), ("accept", "text/calendar")];
    let body = serde_json::to_vec(body).unwrap();
    let answer = send(&service(), (Method::POST, &format!("/v1/{question}")), &headers, body);
    (answer.status, answer.text().replace("\r\n ", ""))
}

/// The events, each with its lines.
fn events(text: &str) -> Vec<Vec<String>> {
    let blocks = text.split("BEGIN:VEVENT\r\n").skip(1);
    blocks.map(|block| block.split("END:VEVENT").next().unwrap().lines().map(str::to_owned).collect()).collect()
}

/// The text of a property of an event, unescaped (RFC 5545, section 3.3.11).
fn value(event: &[String], name: &str) -> String {
    let line = event.iter().find_map(|line| line.strip_prefix(&format!("{name}:")));
    line.unwrap_or_default().replace("\\n", "\n").replace("\\,", ",").replace("\\;", ";")
}

fn titled<'e>(events: &'e [Vec<String>], start: &str) -> &'e [String] {
    events.iter().find(|event| value(event, "SUMMARY").starts_with(start)).unwrap_or_else(|| panic!("no {start}"))
}

#[test]
fn titles_of_a_season_tell_how_much() {
    let (_, text) = calendar("seasons", &demo("seasons/kitchen-garden.json"));
    let events = events(&text);
    // 3 m x 1 m, a layer of 8 cm: 240 L, 3.7 barrows of 65 L. 1.2 m x 80 cm x 1.6 kg/m2: 1.536 kg of worms.
    let laid = value(titled(&events, "Lay 80 mm of feed, 3½ barrows (240 L"), "SUMMARY");
    assert!(laid.ends_with("): bed along the mill wall"), "{laid}");
    for (start, end) in [
        ("Introduce 1.5", "kg of worms: box in the grain loft"),
        ("Lay no more feed, let the bed finish", ": bed along the mill wall"),
        ("Take out ", "of castings and spread them to dry: box in the grain loft"),
        ("Sieve and store ", "of castings: box in the grain loft"),
        ("Apply 1 bucket (12 L", ") of castings: seed pots"),
        ("Last day to buy 2 sacks", ""),
        ("Last day to start producing 5 buckets (62.3", "), at the likely values, needed by 5 Apr 2027"),
        ("Last day to use: barrow in the shed", ""),
    ] {
        let titles = events.iter().map(|event| value(event, "SUMMARY"));
        assert!(titles.clone().any(|title| title.starts_with(start) && title.ends_with(end)), "{start}: {text}");
    }
    assert!(
        value(titled(&events, "Lay 80 mm of feed, 3½ barrows (240 L"), "DESCRIPTION")
            .lines()
            .any(|line| line == "layer 1")
    );
}

#[test]
fn watering_is_a_weekly_task_whose_litres_add_up() {
    let body = demo("seasons/kitchen-garden.json");
    let answer = ok("seasons", &body);
    let (_, text) = calendar("seasons", &body);
    let all = events(&text);
    let water: Vec<&Vec<String>> = all.iter().filter(|of| value(of, "SUMMARY").starts_with("Water with ")).collect();
    let tasks: Vec<&Value> = answer["work"].as_array().unwrap().iter().filter(|of| of["kind"] == "water").collect();
    assert!(water.len() > 5);
    for (event, task) in water.iter().zip(&tasks) {
        let day = |of: &Value| of.as_str().unwrap().parse::<NaiveDate>().unwrap();
        let days = (day(&task["until"]) - day(&task["on"])).num_days() + 1;
        let rule = value(event, "RRULE").replace("FREQ=WEEKLY;COUNT=", "");
        let weeks = if rule.is_empty() { 1 } else { rule.parse::<i32>().unwrap() };
        // As many weeks as lie in the days, to the nearest, and one at least.
        assert!((i64::from(7 * weeks) - days).abs() <= 3 || (weeks == 1 && days < 7), "{weeks} weeks in {days} days");
        let title = value(event, "SUMMARY");
        // An amount that no count of containers is near is given alone.
        let each = title.split_once('(').or_else(|| title.split_once("Water with ")).unwrap().1;
        let each: f64 = each.split(' ').next().unwrap().parse().unwrap();
        let sum = each * f64::from(weeks);
        let wanted = task["volume"]["value"].as_f64().unwrap();
        // Titles are rounded.
        assert!((sum / wanted - 1.0).abs() < 0.005, "{title}: {sum} of {wanted}");
        assert_eq!(title.contains("each week"), weeks > 1, "{title}");
        assert_eq!(value(event, "DESCRIPTION").contains("in all, from "), weeks > 1);
    }
    // 7 Dec 2026 to 14 Apr 2027: 129 days, 328 L.
    let long = titled(&all, "Water with 1½ buckets (18.2 L) each week");
    assert_eq!(value(long, "RRULE"), "FREQ=WEEKLY;COUNT=18");
    assert_eq!(value(long, "DTSTART;VALUE=DATE"), "20261207");
    assert_eq!(value(long, "DTEND;VALUE=DATE"), "20261208");
}

#[test]
fn last_days_are_reminded_of_a_week_before_unless_they_have_passed() {
    let body = demo("seasons/kitchen-garden.json");
    let reminded = |body: &Value| {
        let (_, text) = calendar("seasons", body);
        let with = events(&text).into_iter().filter(|event| event.iter().any(|line| line == "TRIGGER:-P7D"));
        with.map(|event| value(&event, "SUMMARY")).collect::<Vec<_>>()
    };
    let titles = reminded(&body);
    assert_eq!(titles.len(), 4, "{titles:?}");
    assert!(titles.iter().all(|title| title.starts_with("Last day to ")), "{titles:?}");
    // On 1 April the start has passed; the lot may be used until 30 June.
    let later = reminded(&with(&body, "/as_of", json!("2027-04-01")));
    assert!(later.iter().any(|title| title.starts_with("Last day to use: ")), "{later:?}");
    assert!(!later.iter().any(|title| title.contains("start producing")), "{later:?}");
}

/// Leaves of November are eaten by spring, and the next come in October: the calendar says by when to feed the worms, as the answer has it.
#[test]
fn worms_without_feed_for_long_have_a_last_day_to_feed_them() {
    let deliveries = json!([{"on": "2026-11-10", "amount": "300 kg"}, {"on": "2027-10-10", "amount": "300 kg"}]);
    let feed = json!({"material": "leaves_loose", "supply": {"kind": "deliveries", "deliveries": deliveries}});
    let ground = json!({"kind": "area", "area": "4 m2"});
    let (start, until) = ("2026-11-10", "2028-03-01");
    let bed = json!({"name": "mill", "ground": ground, "start_on": start, "worms": "6 kg", "layers_per_cycle": 3, "feed": feed});
    let season = json!({"as_of": "2026-11-01", "until": until, "climate": "18 C", "simulation_runs": 0, "worm_beds": [bed],
        "demands": [{"name": "x", "amount": "1 L", "on": "2027-12-01"}]});
    let forecast = json!({"start_on": start, "until": until, "climate": "18 C", "worms": "6 kg", "layers_per_cycle": 3, "feed": feed});
    let harvest = json!({"worm_beds": [{"name": "mill", "ground": ground, "forecast": forecast}]});
    let sized = json!({"name": "mill", "start_on": start, "until": until, "climate": "18 C", "worms_to_buy": "6 kg",
        "feed_supply": {"material": "leaves_loose", "deliveries": deliveries}});
    let found = |answer: &Value, at: &str| answer.pointer(at).unwrap_or_else(|| panic!("{at}: {answer}")).clone();
    for (question, body, at) in [
        ("seasons", &season, "/worm_beds/0/forecast/without_feed"),
        ("harvests", &harvest, "/worm_beds/0/forecast/without_feed"),
        ("worm-beds", &sized, "/without_feed"),
    ] {
        let unfed = found(&ok(question, body), at);
        let [from, to] = ["start_on", "end_on"].map(|day| unfed[day].as_str().unwrap().parse::<NaiveDate>().unwrap());
        let event = events(&calendar(question, body).1);
        let event = titled(&event, "Last day to feed the worms: mill");
        assert_eq!(value(event, "DTSTART;VALUE=DATE"), from.format("%Y%m%d").to_string());
        let days = (to - from).num_days();
        let [from, to] = [from, to].map(|day| day.format("%-d %b %Y").to_string());
        let said = format!(
            "The worms have no feed from {from} to {to}, {days} days. Lay some in between, or move them to a bed that is fed."
        );
        assert_eq!(value(event, "DESCRIPTION"), said);
        assert!(event.iter().any(|line| line == "TRIGGER:-P7D"), "{event:?}");
    }
    // Where that day has passed nobody is reminded, and where they are fed there is no such day.
    let titles = |body: &Value| -> Vec<(String, bool)> {
        let all = events(&calendar("seasons", body).1).into_iter();
        let all = all.map(|event| (value(&event, "SUMMARY"), event.iter().any(|line| line == "TRIGGER:-P7D")));
        all.filter(|(title, _)| title.starts_with("Last day to feed")).collect()
    };
    let later = titles(&with(&season, "/as_of", json!("2027-10-01")));
    assert_eq!(later, [("Last day to feed the worms: mill".to_owned(), false)]);
    assert_eq!(titles(&with(&season, "/worm_beds/0/feed/supply", json!({"kind": "as_needed"}))), []);
}

#[test]
fn calendars_have_a_name_and_say_when_to_read_them_again() {
    let unnamed = |file: &str| {
        let mut body = demo(file);
        let of = body.as_object_mut().unwrap();
        of.retain(|field, _| field != "name" && field != "id");
        body
    };
    for (question, body, name) in [
        ("seasons", demo("seasons/kitchen-garden.json"), "Garden behind the mill\\, 2027"),
        ("seasons", unnamed("seasons/kitchen-garden.json"), "A season of castings"),
        ("harvests", unnamed("harvests/forecast.json"), "Castings to harvest"),
        ("feeds", unnamed("feeds/autumn-heap.json"), "Feed for worms"),
        ("brews", unnamed("brews/drench-for-the-rows.json"), "Castings for compost tea"),
    ] {
        let (status, text) = calendar(question, &body);
        assert_eq!(status, 200, "{text}");
        for line in [format!("NAME:{name}"), format!("X-WR-CALNAME:{name}")] {
            assert!(text.lines().any(|known| known == line), "{question}: {line}\n{text}");
        }
        // RFC 7986, section 5.7.
        assert!(text.lines().any(|line| line == "REFRESH-INTERVAL;VALUE=DURATION:P1D"), "{text}");
    }
}

#[test]
fn dusty_work_says_what_to_mind() {
    for (question, file) in [("seasons", "seasons/kitchen-garden.json"), ("harvests", "harvests/forecast.json")] {
        let (_, text) = calendar(question, &demo(file));
        let mut dusty = 0;
        for event in events(&text) {
            let is_dusty = ["Sieve ", "Take out ", "Apply ", "Brew ", "Lay "]
                .iter()
                .any(|verb| value(&event, "SUMMARY").starts_with(verb))
                && !value(&event, "SUMMARY").starts_with("Lay no more");
            let warns = value(&event, "DESCRIPTION")
                .lines()
                .any(|line| line == "Warning: Protect yourself from dust and germs");
            assert_eq!(warns, is_dusty, "{event:?}");
            dusty += usize::from(is_dusty);
        }
        assert!(dusty > 1, "{question}");
    }
}

#[test]
fn beds_to_come_have_a_calendar_of_their_work() {
    let body = demo("harvests/forecast.json");
    let forecasts: Vec<Value> = {
        let answer = ok("harvests", &body);
        answer["worm_beds"].as_array().unwrap().iter().map(|bed| bed["forecast"].clone()).collect()
    };
    let (status, text) = calendar("harvests", &body);
    assert_eq!(status, 200, "{text}");
    let all = events(&text);
    let count = |start: &str| all.iter().filter(|event| value(event, "SUMMARY").starts_with(start)).count();
    let listed = |list: &str| forecasts.iter().filter_map(|of| of[list].as_array()).map(Vec::len).sum::<usize>();
    assert_eq!(
        (count("Lay no more"), count("Take out "), count("Sieve ")),
        (listed("lots"), listed("lots"), listed("lots"))
    );
    assert_eq!(count("Lay ") - count("Lay no more"), listed("layers"));
    let new = body["worm_beds"].as_array().unwrap().iter().filter(|bed| bed["forecast"].get("running").is_none());
    assert_eq!(count("Introduce "), new.count());
    let days: Vec<String> = all.iter().map(|event| value(event, "DTSTART;VALUE=DATE")).collect();
    assert!(days.is_sorted(), "{days:?}");
    // A title tells the likely amount, the text its range.
    let sieved = titled(&all, "Sieve ");
    assert!(
        !value(sieved, "SUMMARY").contains("about") && value(sieved, "DESCRIPTION").contains("about "),
        "{sieved:?}"
    );
    // A warmer or colder bed keeps the ids of its work.
    let ids =
        |text: &str| events(text).iter().map(|event| value(event, "UID")).collect::<std::collections::BTreeSet<_>>();
    assert_eq!(ids(&text).len(), all.len());
    let renamed = calendar("harvests", &with(&body, "/worm_beds/0/name", json!("another name"))).1;
    assert_eq!(ids(&renamed), ids(&text));
}

#[test]
fn a_harvest_without_a_forecast_has_no_calendar_and_says_what_is_missing() {
    for (file, at) in
        [("harvests/one-bed.json", "/worm_beds/0/forecast missing_field"), ("heaps", "/worm_beds missing_field")]
    {
        let heap = json!({"heaps": [{"kind": "cone", "diameter": "2 m", "height": "1 m"}]});
        let body = if file == "heaps" { heap } else { demo(file) };
        let (status, text) = calendar("harvests", &body);
        assert_eq!(status, 422, "{text}");
        let problem: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(brief(problem["errors"].as_array().unwrap()), [at]);
    }
}

/// Every event has an id of its own, also where ids of brews differ in signs or writing only, or look like the place of another; and two requests
/// without ids but with names of their own share none.
#[test]
fn events_of_brews_never_share_an_id() {
    let brew = |id: Option<&str>| {
        let mut brew = json!({"water": "20 L", "brewer": {"capacity": "20 L"}, "use_at": "2027-06-10T18:00:00+02:00"});
        id.into_iter().for_each(|id| brew["id"] = json!(id));
        brew
    };
    let ids = |body: &Value| -> Vec<String> {
        let text = form("brews", "text/calendar", body).text().to_owned();
        text.lines().filter(|line| line.starts_with("UID:")).map(str::to_owned).collect()
    };
    let brews: Vec<Value> = ["a b", "a-b", "苗", "床", "brew-5"].into_iter().map(|id| brew(Some(id))).collect();
    let mut all = ids(&json!({"brews": brews.into_iter().chain([brew(None)]).collect::<Vec<_>>()}));
    all.extend(ids(&json!({"name": "north", "brews": [brew(None)]})));
    all.extend(ids(&json!({"name": "south", "brews": [brew(None)]})));
    let count = all.len();
    all.sort_unstable();
    all.dedup();
    assert_eq!((all.len(), count), (16, 16));
}
