//! What people read first: short texts, headings of cautions in their places, labels, the first sentence of an answer.

use crate::support::{demo, flat, form, ok, with};
use serde_json::{Value, json};

fn text(question: &str, query: &str, body: &Value) -> String {
    form(&format!("{question}?{query}"), "text/plain", body).text().to_owned()
}

fn list<'v>(value: &'v Value, name: &str) -> &'v [Value] {
    value[name].as_array().unwrap()
}

#[test]
fn the_text_of_the_demo_season_is_short_and_says_what_to_do() {
    let body = demo("seasons/kitchen-garden.json");
    let answer = ok("seasons", &body);
    for (width, most) in [(100, 52), (80, 60)] {
        let text = text("seasons", &format!("width={width}"), &body);
        let lines = text.lines().count();
        assert!(lines <= most, "{lines} lines\n{text}");
        assert!(!text.contains("carrot rows\n   when"), "a table and no list\n{text}");
        let text = flat(&text);
        for option in list(&answer["shortfall_options"], "options") {
            // After the first sentence come cost and chance.
            for words in option["text"].as_str().unwrap().split(". ") {
                assert!(text.contains(words.get(1..).unwrap()), "{words}\n{text}");
            }
        }
        for (place, amount) in [
            ("box in the grain loft", "lay 120 mm of feed, 9½ buckets (115 L)"),
            ("onion bed", "2½ buckets"),
            ("carrot rows", "6 mm"),
        ] {
            assert!(text.contains(place) && text.contains(amount), "{amount}\n{text}");
        }
        // The heading of a caution is there once.
        for caution in list(&answer, "cautions") {
            let heading = caution["heading"].as_str().unwrap();
            assert_eq!(text.matches(heading).count(), 1, "{heading}\n{text}");
        }
    }
}

#[test]
fn cautions_about_additional_production_are_with_its_start_and_with_no_bed() {
    let answer = ok("seasons", &demo("seasons/kitchen-garden.json"));
    let of = |kind: &str| -> Vec<&Value> {
        list(&answer, "work").iter().filter(|task| task["kind"] == kind).map(|task| &task["cautions"]).collect()
    };
    assert_eq!(of("start_production"), [&json!(["feed_heat", "ammonia", "leave_out", "soak_water"])]);
    assert_eq!(of("introduce_worms"), [&Value::Null]);
    assert!(of("lay_feed").iter().all(|rules| **rules == json!(["handling"])));
}

#[test]
fn a_caution_about_an_item_that_no_listed_task_covers_stays_in_the_short_text() {
    let tea = |name: &str, day: &str| json!({"name": name, "brew": {"water": "20 L", "castings_to_water": "1:10", "use_at": format!("{day}T18:00:00+02:00")}});
    let body = json!({"as_of": "2027-05-01", "until": "2027-09-30", "stock": [{"amount": "50 L"}],
        "demands": [tea("early tea", "2027-05-10"), tea("late tea", "2027-08-10")]});
    let answer = ok("seasons", &body);
    let safety = list(&answer, "cautions").iter().find(|caution| caution["rule"] == "tea_safety").unwrap();
    assert_eq!(safety["at"], json!(["/demands/0", "/demands/1"]));
    let text = flat(&text("seasons", "", &body));
    let (tasks, rest) = text.split_once("Who gets what").unwrap();
    assert!(
        tasks.contains("early tea: brew 2 L of castings in 20 L of water")
            && tasks.contains("Use tea on soil, and brew it safely"),
        "{text}"
    );
    assert!(rest.contains("Use tea on soil, and brew it safely [late tea]"), "{text}");
}

#[test]
fn earlier_tasks_that_are_overdue_are_counted() {
    let later = with(&demo("seasons/kitchen-garden.json"), "/as_of", json!("2026-11-30"));
    let count = list(&ok("seasons", &later), "work").iter().filter(|task| task["overdue"] == true).count();
    assert!(count > 1);
    for accept in ["text/plain", "text/html"] {
        let answer = form("seasons", accept, &later);
        let wanted = format!("{count} earlier tasks are overdue: see the plan week by week");
        assert!(flat(answer.text()).contains(&wanted), "{}", answer.text());
    }
    let one = json!({"as_of": "2027-05-10", "until": "2027-09-30", "stock": [{"amount": "50 L"}],
        "demands": [{"amount": "5 L", "on": "2027-05-01"}, {"amount": "5 L", "on": "2027-05-20"}]});
    assert!(text("seasons", "", &one).contains("1 earlier task is overdue"), "{}", text("seasons", "", &one));
    let none = with(&one, "/as_of", json!("2027-04-20"));
    assert!(!text("seasons", "", &none).contains("overdue"));
}

#[test]
fn labels_carry_dates_and_the_count_of_containers() {
    let page = form("seasons", "text/html", &demo("seasons/kitchen-garden.json")).text().to_owned();
    for label in [
        "<b>barrow in the shed</b><div>65 L of castings</div><div>5½ buckets</div><div>use by 30 Jun 2027</div>",
        "<b>bed along the mill wall, harvest 1</b><div>272 L of castings</div><div>4 barrows</div><div>ready 22 Apr 2027</div>",
        "<b>tea for the roses</b><div>6 L of castings</div><div>½ bucket</div><div>on 11–12 Jun 2027</div>",
    ] {
        assert!(page.contains(label), "{label}");
    }
}

#[test]
fn the_text_of_a_brew_begins_with_what_it_takes() {
    let plain = text("brews", "width=200", &demo("brews/one-brew.json"));
    // 200 L at one to ten are 20 L of castings; four batches of 50 L in a brewer of 60 L.
    assert!(
        plain.starts_with(
            "Castings for compost tea\n20 L of castings in 200 L of water, in 4 batches. The brewing time of 24 h is assumed"
        ),
        "{plain}"
    );
    let drench = flat(&text("brews", "", &demo("brews/drench-for-the-rows.json")));
    let wanted = "2.4 L of castings in 24 L of water, in one batch. Add 24 L of water before use: 48 L of tea. \
                  Start on 9 Jun 2027 06:00 +02:00, and use all by 10 Jun 2027 22:00 +02:00.";
    assert!(drench.contains(wanted) && !drench.contains("is assumed"), "{drench}");
    let two = json!({"brews": [{"water": "10 L"}, {"water": "20 L"}]});
    assert!(text("brews", "", &two).contains("\n2 brews, in 2 batches. "), "{}", text("brews", "", &two));
}

#[test]
fn a_brewing_time_that_nobody_chose_is_as_short_as_one_that_is_given() {
    let body = demo("brews/one-brew.json");
    let rules = |body: &Value| -> Vec<String> {
        list(&ok("brews", body), "cautions")
            .iter()
            .map(|caution| caution["rule"].as_str().unwrap().to_owned())
            .collect()
    };
    assert!(rules(&body).contains(&"tea_short_brew".to_owned()));
    let chosen = with(&body, "/brews/0/brewing_time", json!("24 h"));
    assert!(rules(&chosen).contains(&"tea_short_brew".to_owned()));
    let for_all = with(&body, "/assumptions", json!({"tea.brewing_time": "24 h"}));
    assert!(rules(&for_all).contains(&"tea_short_brew".to_owned()));
    let longer = with(&body, "/assumptions", json!({"tea.brewing_time": "9 d"}));
    assert!(!rules(&longer).contains(&"tea_short_brew".to_owned()));
    // What is known of short times is said with every brew.
    let safety = ok("brews", &body);
    let safety = list(&safety, "cautions").iter().find(|caution| caution["rule"] == "tea_safety").unwrap();
    assert!(safety["text"].as_str().unwrap().contains("36 hours with air, and before 8.5 days without"));
}

#[test]
fn variants_are_a_table_with_the_headline_of_each() {
    let mut body = demo("seasons/three-plans.json");
    body["simulation_runs"] = json!(100);
    body["variants"][2]["change"] = json!({"stock": [{"amount": "some"}]});
    let answer = ok("seasons", &body);
    let csv = form("seasons?table=variants", "text/csv", &body);
    let mut reader = csv::Reader::from_reader(csv.bytes.as_slice());
    let header: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
    assert_eq!(header[..4], ["variant", "headline", "chance_enough_%", "shortfall_L"]);
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 4);
    assert_eq!((&rows[0][0], &rows[0][1]), ("as asked", answer["headline"].as_str().unwrap()));
    for (row, variant) in rows[1..].iter().zip(list(&answer, "variants")) {
        assert_eq!(row[0], *variant["name"].as_str().unwrap());
        assert_eq!(row[1], *variant.get("headline").and_then(Value::as_str).unwrap_or_default());
    }
    let problem = header.iter().position(|name| name == "problem").unwrap();
    assert!(rows[3][problem].starts_with("Lot 1: ") && rows[1][problem].is_empty(), "{:?}", rows[3]);
    // Without variants there is the request alone.
    let alone = form("balances?table=variants", "text/csv", &demo("balances/two-lots.json"));
    assert_eq!(alone.text().lines().count(), 2);
}

/// Cubic feet from ten up and gallons below are two units; amounts that are compared have one.
#[test]
fn amounts_that_are_compared_are_in_one_unit() {
    let balance = json!({"units": "us", "stock": [{"amount": "6 gal", "ready_on": "2027-05-01"}], "demands": [
        {"name": "herbs", "amount": "6 gal", "earliest": "2027-04-01", "latest": "2027-04-20"},
        {"name": "beans", "amount": "90 gal", "on": "2027-04-10"},
    ]});
    let said = flat(&text("balances", "", &balance));
    assert!(said.contains("let beans wait for 6 US gal until 1 May 2027; 90 US gal are still short"), "{said}");
    let season = json!({"units": "us", "as_of": "2027-03-01", "until": "2027-06-01", "simulation_runs": 200,
        "stock": [{"name": "shed", "amount": {"value": 60, "low": 20, "high": 100, "unit": "gal"}}],
        "demands": [{"name": "beans", "amount": "135 gal", "on": "2027-04-10"}]});
    let said = flat(&text("seasons", "", &season));
    let (_, tightest) = said.split_once("tightest day ").unwrap();
    let tightest = tightest.split(')').next().unwrap();
    assert!(tightest.contains(" to ") && tightest.matches(" short").count() == 3, "{tightest}");
    assert!((tightest.matches("ft3").count() == 3) != (tightest.matches("US gal").count() == 3), "{tightest}");
}

/// Whoever names a material of the table by its id finds its name in texts, the sheet and the calendar; data keep the id. What to measure
/// first is said in words.
#[test]
fn materials_and_what_to_measure_have_names_for_people() {
    let body = json!({"as_of": "2027-03-01", "until": "2027-12-31", "climate": "20 C", "simulation_runs": 200,
        "worm_beds": [{"name": "bin", "ground": {"kind": "area", "area": "3 m2"}, "start_on": "2027-03-05", "worms": "3 kg",
                       "feed": {"material": "leaves_shredded"}}],
        "demands": [{"name": "beans", "amount": "500 L", "on": "2027-12-01"}],
        "additional_production": {"materials": [{"material": "kitchen_scraps", "amount": "100 kg"}, {"name": "my_leaves", "material": "leaves_loose", "amount": "100 kg"}]}});
    let answer = ok("seasons", &body);
    let laid = list(&answer, "work").iter().find(|task| task["kind"] == "lay_feed").unwrap();
    assert_eq!(laid["feed"], "leaves_shredded");
    let sheet = form("seasons", "text/html", &body).text().to_owned();
    let calendar = form("seasons", "text/calendar", &body).text().replace("\r\n ", "");
    for said in [flat(&text("seasons", "all=true", &body)), sheet, calendar] {
        assert!(said.contains("of leaves (shredded)") && said.contains("kitchen scraps (mixed)"), "{said}");
        assert!(said.contains("my_leaves"), "{said}");
        assert!(!said.contains("leaves_shredded") && !said.contains("kitchen_scraps"), "{said}");
    }
    let measure = flat(&text("seasons", "", &body));
    let (_, measure) = measure.split_once("measure first ").unwrap();
    let measure = measure.split(" of the uncertainty").next().unwrap();
    assert_eq!(list(&answer, "measure_first")[0]["assumption"], "castings.dry_bulk_density");
    assert!(measure.starts_with("dry bulk density of castings, ") && !measure.contains('_'), "{measure}");
    let csv = form("seasons?table=work", "text/csv", &body);
    assert!(csv.text().contains("leaves_shredded") && !csv.text().contains("leaves (shredded)"), "{}", csv.text());
}
