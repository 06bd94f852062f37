//! Demands that repeat, in balances and seasons: each time in the answer, the work and the calendar; and what cannot repeat.

use crate::support::{demo, errors, form, ok, post, q, reported, with};
use serde_json::{Value, json};

fn all_summer() -> Value {
    ok("balances", &demo("balances/side-dressing-all-summer.json"))
}

fn litres<'a>(occasions: &'a Value, field: &str) -> Vec<&'a Value> {
    occasions.as_array().unwrap().iter().map(|one| &one[field]["value"]).collect()
}

/// 30 L until 17 May, 40 L from 1 June. 12 L of tomatoes four times and 40 L of leeks: 40 L for 12 + 12 + 40 is 0.625 of each, and 15 of
/// 24 plants. The tea comes later in priority and gets nothing.
#[test]
fn each_time_of_a_demand_gets_its_share_on_its_day() {
    let answer = all_summer();
    let tomatoes = &answer["demands"][0];
    assert_eq!(tomatoes["needed"], q(json!(48), "L"));
    assert_eq!(tomatoes["allocated"], q(json!(39), "L"));
    assert_eq!(tomatoes["shortfall"], q(json!(9), "L"));
    assert_eq!((&tomatoes["earliest"], &tomatoes["latest"]), (&json!("2027-04-05"), &json!("2027-08-09")));
    // What it comes to differs from time to time.
    assert!(tomatoes.get("rate_allocated").is_none());
    let occasions = &tomatoes["occasions"];
    assert_eq!(litres(occasions, "needed"), [12, 12, 12, 12].map(|n| json!(n)).iter().collect::<Vec<_>>());
    assert_eq!(
        litres(occasions, "allocated"),
        [json!(12), json!(12), json!(7.5), json!(7.5)].iter().collect::<Vec<_>>()
    );
    let days: Vec<&Value> = occasions.as_array().unwrap().iter().map(|one| &one["earliest"]).collect();
    assert_eq!(days, ["2027-04-05", "2027-05-17", "2027-06-28", "2027-08-09"]);
    let third = &occasions[2];
    assert_eq!(third["occasion"], 3);
    assert_eq!(third["latest"], "2027-06-28");
    assert_eq!(third["share_allocated"], q(json!(62.5), "%"));
    assert_eq!(third["whole_portions"], json!({"needed": 24, "allocated": 15}));
    assert_eq!(third["rate_allocated"], json!({"kind": "per_plant", "amount": q(json!(0.5), "L")}));
    let of: Vec<&Value> = tomatoes["allocations"].as_array().unwrap().iter().map(|one| &one["occasion"]).collect();
    assert_eq!(of, [1, 2, 3, 4]);
    // What does not repeat has no occasions.
    assert!(answer["demands"][1].get("occasions").is_none());
}

/// 20 L at 1:10 are 2 L each time, two weeks apart. What it could get is below its minimum, so each time is dropped by itself.
#[test]
fn a_tea_repeats_with_its_time_and_its_minimum_is_of_each_time() {
    let mut request = demo("balances/side-dressing-all-summer.json");
    let tea = ok("balances", &request)["demands"][2].clone();
    assert_eq!(tea["needed"], q(json!(6), "L"));
    assert_eq!(litres(&tea["occasions"], "allocated"), [0, 0, 0].map(|n| json!(n)).iter().collect::<Vec<_>>());
    assert!(
        tea["occasions"].as_array().unwrap().iter().all(|one| one["dropped"]["minimum"] == q(json!(1), "L")),
        "{tea}"
    );
    assert!(tea.get("dropped").is_none());
    // Brewed for a day from 9 June on.
    let days: Vec<&Value> = tea["occasions"].as_array().unwrap().iter().map(|one| &one["earliest"]).collect();
    assert_eq!(days, ["2027-06-09", "2027-06-23", "2027-07-07"]);
    // With 3 L that keep for a week, the first time gets all of its 2 L; the second is later.
    request = with(&request, "/stock/1", json!({"amount": "3 L", "ready_on": "2027-06-08", "use_by": "2027-06-15"}));
    let tea = ok("balances", &request)["demands"][2].clone();
    assert_eq!(litres(&tea["occasions"], "allocated"), [2, 0, 0].map(|n| json!(n)).iter().collect::<Vec<_>>());
    let dropped: Vec<bool> =
        tea["occasions"].as_array().unwrap().iter().map(|one| one.get("dropped").is_some()).collect();
    assert_eq!(dropped, [false, true, true]);
}

#[test]
fn the_last_day_counts_and_one_time_is_a_list_of_one() {
    let times = |until: &str| {
        let demand = json!({"amount": "1 L", "earliest": "2027-04-05", "latest": "2027-04-09", "repeat": {"every": "7 d", "until": until}});
        ok("balances", &json!({"stock": [], "demands": [demand]}))["demands"][0]["occasions"].clone()
    };
    assert_eq!(times("2027-04-05").as_array().unwrap().len(), 1);
    assert_eq!(times("2027-04-11").as_array().unwrap().len(), 1);
    let two = times("2027-04-12");
    assert_eq!((&two[1]["earliest"], &two[1]["latest"]), (&json!("2027-04-12"), &json!("2027-04-16")));
}

#[test]
fn what_cannot_repeat_is_refused_at_its_place() {
    let refused = |demand: Value| reported("balances", &json!({"stock": [], "demands": [demand]}));
    let of = |repeat: Value| refused(json!({"amount": "1 L", "on": "2027-04-05", "repeat": repeat}));
    let at = |field: &str| format!("/demands/0/repeat{field}");
    for (repeat, field, code) in [
        (json!({"every": "1 week"}), "", "exactly_one_of"),
        (json!({"every": "1 week", "until": "2027-05-01", "times": 2}), "", "exactly_one_of"),
        (json!({"every": "1 week", "until": "2027-04-04"}), "/until", "dates_out_of_order"),
        (json!({"every": "12 h", "times": 2}), "/every", "out_of_range"),
        (json!({"every": "36 h", "times": 2}), "/every", "out_of_range"),
        (json!({"every": "0 d", "times": 2}), "/every", "out_of_range"),
        (json!({"every": "3653 d", "times": 2}), "/every", "out_of_range"),
        (json!({"every": "6 kg", "times": 2}), "/every", "unit_does_not_fit"),
        (json!({"every": "1 week", "times": 0}), "/times", "out_of_range"),
        (json!({"every": "1 week", "times": 10_001}), "/times", "out_of_range"),
        (json!({"every": "1 week", "times": 600}), "/every", "out_of_range"),
        (json!({"every": "1 week", "until": "2027-4-4"}), "/until", "bad_date"),
        (json!({"times": 2}), "/every", "missing_field"),
    ] {
        assert_eq!(of(repeat.clone()), [format!("{} {code}", at(field))], "{repeat}");
    }
    // The bounds of a distance are in days, wherever it lies.
    for every in ["12 h", "0.0001 h", "3653 d", "90000 weeks"] {
        let demand = json!({"amount": "1 L", "on": "2027-04-05", "repeat": {"every": every, "times": 2}});
        let error = &errors("balances", &json!({"stock": [], "demands": [demand]}))[0];
        assert_eq!((&error["min"], &error["max"]), (&json!(1), &json!(3_652)), "{error}");
        assert!(error["detail"].as_str().unwrap().contains("from 1 to 3652 days"), "{error}");
    }
    // Five times 200 days apart from 2199 on.
    let late = refused(json!({"amount": "1 L", "on": "2199-04-05", "repeat": {"every": "200 d", "times": 5}}));
    assert_eq!(late, [format!("{} out_of_range", at("/times"))]);
    let undated = refused(json!({"amount": "1 L", "repeat": {"every": "1 week", "times": 2}}));
    assert_eq!(undated, ["/demands/0/on missing_field"]);
}

/// 3,654 times a day is one day too many for ten years, so 10,000 times take three demands.
#[test]
fn all_items_together_repeat_ten_thousand_times() {
    let demand = |times: u32| json!({"amount": "1 L", "on": "2027-01-01", "repeat": {"every": "1 d", "times": times}});
    let ask =
        |last: u32| json!({"stock": [{"amount": "1000 L"}], "demands": [demand(3_600), demand(3_600), demand(last)]});
    let answer = ok("balances", &ask(2_800));
    assert_eq!(answer["demands"][2]["occasions"].as_array().unwrap().len(), 2_800);
    assert_eq!(reported("balances", &ask(2_801)), ["/demands/2/repeat too_large"]);
    // One error says it, and not one more for each demand that follows.
    let four =
        with(&ask(2_801), "/demands", json!([demand(3_600), demand(3_600), demand(2_801), demand(2), demand(3)]));
    assert_eq!(reported("balances", &four), ["/demands/2/repeat too_large"]);
    let explained = with(&json!({"stock": [], "demands": [demand(501)]}), "/explain", json!(true));
    assert_eq!(reported("balances", &explained), ["/explain too_large"]);
}

/// 30 L until 17 May, 100 L from 1 September: of 12 L four times the third and the fourth wait; the leeks are served later.
#[test]
fn who_waits_is_reported_with_the_time_and_its_day() {
    let request = json!({
        "stock": [{"name": "old", "amount": "30 L", "use_by": "2027-05-17"}, {"name": "late", "amount": "100 L", "ready_on": "2027-09-01"}],
        "demands": [
            {"name": "tomatoes", "amount": "12 L", "on": "2027-04-05", "repeat": {"every": "6 weeks", "times": 4}},
            {"name": "leeks", "amount": "9 L", "earliest": "2027-04-01", "latest": "2027-10-01"},
        ],
    });
    let answer = ok("balances", &request);
    let gap = &answer["shortfall_options"];
    let waits: Vec<(&Value, &Value)> =
        gap["later_supply"].as_array().unwrap().iter().map(|one| (&one["occasion"], &one["latest"])).collect();
    assert_eq!(waits, [(&json!(3), &json!("2027-06-28")), (&json!(4), &json!("2027-08-09"))]);
    let option = &gap["options"][0];
    assert_eq!(option["text"], "Let tomatoes wait for 24 L (times 3 and 4) until 1 Sep 2027");
    // Those that are served in time have nothing to decide.
    assert_eq!(option["act_by"], "2027-06-28");
    assert!(gap["served_later"][0].get("occasion").is_none());
    let text = form("balances", "text/plain", &with(&request, "/as_of", json!("2027-07-01"))).text().to_owned();
    assert!(text.lines().any(|line| line.contains("tomatoes") && line.contains("28 Jun, past")), "{text}");
    assert!(!text.contains("9 Aug, past"), "{text}");
    // With two times the other way round: the first could be served at once, and makes room for the leeks.
    let moved = json!({
        "stock": [{"amount": "10 L"}, {"amount": "20 L", "ready_on": "2027-04-20"}],
        "demands": [
            {"name": "beans", "amount": "10 L", "earliest": "2027-04-01", "latest": "2027-05-30", "repeat": {"every": "90 d", "times": 2}},
            {"name": "leeks", "amount": "10 L", "on": "2027-04-02"},
        ],
    });
    let answer = ok("balances", &moved);
    assert_eq!(answer["shortfall_options"]["served_later"][0]["occasion"], 1);
    let text = form("balances", "text/plain", &moved).text().to_owned();
    assert!(text.contains("beans, time 1: 10 L on 20 Apr 2027"), "{text}");
}

/// 9 mm every 90 days, nine times: five of them within a year from the first, 45 mm, and four in the next, 36 mm.
#[test]
fn times_without_a_first_day_count_by_twelve_months() {
    let area = json!({"surface": {"kind": "area", "area": "10 m2"}, "rate": {"kind": "depth", "amount": "9 mm"}, "place": "bed",
                      "repeat": {"every": "90 d", "times": 9}});
    let places = |area: &Value| ok("applications", &json!({"areas": [area]}))["places"].as_array().unwrap().clone();
    let depths = |area: &Value| -> Vec<(Value, Value)> {
        places(area).iter().map(|place| (place["year"].clone(), place["depth"]["value"].clone())).collect()
    };
    assert_eq!(depths(&area), [(Value::Null, json!(45))]);
    let of_2027 = with(&area, "/year", json!(2027));
    assert_eq!(depths(&of_2027), [(json!(2027), json!(45)), (json!(2028), json!(36))]);
    // An inch is 25.4 mm: 10 mm a year are no thick layer, though there are four of them.
    let yearly = json!({"surface": {"kind": "area", "area": "10 m2"}, "rate": {"kind": "depth", "amount": "10 mm"},
                        "repeat": {"every": "365 d", "times": 4}});
    let cautions = |area: &Value| ok("applications", &json!({"areas": [area]}))["areas"][0]["cautions"].clone();
    assert_eq!(cautions(&yearly), json!([]));
    assert_eq!(cautions(&with(&yearly, "/repeat/every", json!("120 d"))), json!(["thick_layer"]));
    let text = |times: u32| {
        let area = with(&yearly, "/repeat/times", json!(times));
        form("applications", "text/plain", &json!({"areas": [area]})).text().to_owned()
    };
    assert!(text(1).contains("once") && text(2).contains("2 times") && !text(2).contains("once"), "{}", text(1));
}

/// 2,978 days of ten letters with a blank between them fill 32,757 characters; one more is too much for a cell of a spreadsheet.
#[test]
fn no_cell_of_a_table_holds_more_days_than_a_spreadsheet_keeps() {
    let row = |times: u32| {
        let area = json!({"surface": {"kind": "area", "area": "10 m2"}, "rate": {"kind": "depth", "amount": "1 mm"},
                          "on": "2027-01-01", "repeat": {"every": "1 d", "times": times}});
        let csv = form("applications", "text/csv", &json!({"areas": [area]})).text().to_owned();
        let mut lines = csv.lines().map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
        let (names, cells) = (lines.next().unwrap(), lines.next().unwrap());
        let of = |name: &str| cells[names.iter().position(|it| it == name).unwrap()].clone();
        (of("days").len(), of("on"), of("last_on"), of("times"))
    };
    let day = |day: &str| day.to_owned();
    assert_eq!(row(2_978), (32_757, day("2027-01-01"), day("2035-02-25"), day("2978")));
    assert_eq!(row(2_979), (0, day("2027-01-01"), day("2035-02-26"), day("2979")));
}

fn season() -> Value {
    json!({
        "id": "garden-2027", "until": "2027-08-31", "simulation_runs": 200,
        "stock": [{"amount": {"value": 40, "low": 30, "high": 50, "unit": "L"}}],
        "demands": [{"id": "toms", "name": "tomatoes", "amount": "12 L", "on": "2027-04-05", "repeat": {"every": "6 weeks", "times": 4}}],
    })
}

#[test]
fn the_work_and_the_calendar_of_a_season_have_each_time() {
    let answer = ok("seasons", &season());
    let work = answer["work"].as_array().unwrap();
    let tasks: Vec<(&str, &str, u64)> = work
        .iter()
        .map(|task| (task["on"].as_str().unwrap(), task["text"].as_str().unwrap(), task["occasion"].as_u64().unwrap()))
        .collect();
    assert_eq!(
        tasks,
        [
            ("2027-04-05", "tomatoes: apply castings, time 1", 1),
            ("2027-05-17", "tomatoes: apply castings, time 2", 2),
            ("2027-06-28", "tomatoes: apply castings, time 3", 3),
            ("2027-08-09", "tomatoes: apply castings, time 4", 4),
        ]
    );
    // 40 L for 48 L.
    assert_eq!(answer["demands"][0]["allocated"], q(json!(40), "L"));
    let calendar = |request: &Value| {
        let text = form("seasons", "text/calendar", request).text().replace("\r\n ", "");
        let values = |name: &str| {
            text.lines()
                .filter_map(|line| line.strip_prefix(name))
                .map(str::trim)
                .map(str::to_owned)
                .collect::<Vec<_>>()
        };
        (values("UID:"), values("DTSTART;VALUE=DATE:"))
    };
    let (ids, days) = calendar(&season());
    assert_eq!(days, ["20270405", "20270517", "20270628", "20270809"]);
    // Each time keeps its id when days move, so that importing again updates.
    let (again, moved) = calendar(&with(&season(), "/demands/0/on", json!("2027-04-12")));
    assert_eq!(moved, ["20270412", "20270524", "20270705", "20270816"]);
    assert_eq!(ids, again);
}

#[test]
fn a_season_refuses_times_after_its_end() {
    let short = with(&season(), "/until", json!("2027-08-08"));
    assert_eq!(reported("seasons", &short), ["/demands/0/repeat dates_out_of_order"]);
    assert!(errors("seasons", &short)[0]["detail"].as_str().unwrap().contains("2027-08-09"));
}

/// 24 plants x 0.5 L four times: 48 L. 6 m2 x 5 mm: 30 L on 1 October, 30 November, 29 January and 29 March. 40 m2 x 9 mm: 360 L three times,
/// 27 mm in all: more than an inch.
#[test]
fn areas_answer_all_times_and_each_time() {
    let request = demo("applications/again-and-again.json");
    let answer = ok("applications", &request);
    let [tomatoes, salad, lawn] = [0, 1, 2].map(|i| &answer["areas"][i]);
    assert_eq!(tomatoes["castings"]["volume"], q(json!(48), "L"));
    assert_eq!(tomatoes["each_time"]["times"], 4);
    assert_eq!(tomatoes["each_time"]["castings"]["volume"], q(json!(12), "L"));
    assert_eq!(tomatoes["each_time"]["castings"]["in_containers"], json!([q(json!(1), "bucket")]));
    assert_eq!(tomatoes["each_time"]["days"], json!(["2027-04-05", "2027-05-17", "2027-06-28", "2027-08-09"]));
    assert_eq!(salad["each_time"]["days"], json!(["2027-10-01", "2027-11-30", "2028-01-29", "2028-03-29"]));
    assert_eq!(salad["depth"], q(json!(5), "mm"));
    assert_eq!((&lawn["castings"]["volume"], &lawn["each_time"]["times"]), (&q(json!(1080), "L"), &json!(3)));
    assert!(lawn["each_time"].get("days").is_none());
    assert_eq!(answer["total"]["castings"]["volume"], q(json!(48 + 120 + 1080), "L"));
    // Each time as asked once, and nutrients in all.
    let mut once = request.clone();
    for area in once["areas"].as_array_mut().unwrap() {
        area.as_object_mut().unwrap().shift_remove("repeat");
    }
    let once = ok("applications", &once);
    for (all, one) in [(tomatoes, 0), (salad, 1), (lawn, 2)] {
        let one = &once["areas"][one];
        assert_eq!(all["each_time"]["castings"], one["castings"]);
        let times = all["each_time"]["times"].as_f64().unwrap();
        let mass = |area: &Value| area["nutrients"]["nitrogen"]["mass"]["value"].as_f64().unwrap();
        assert!((mass(all) - times * mass(one)).abs() < 1e-6 * mass(all), "{all}");
    }
    assert_eq!(lawn["cautions"], json!(["thick_layer"]));
    assert_eq!(once["areas"][2]["cautions"], json!([]));
    // Two of the four times fall into each year.
    let depth = |year: usize| (&answer["places"][year]["year"], &answer["places"][year]["depth"]);
    assert_eq!(depth(0), (&json!(2027), &q(json!(10), "mm")));
    assert_eq!(depth(1), (&json!(2028), &q(json!(10), "mm")));
    assert_eq!(answer["places"].as_array().unwrap().len(), 2);
}

#[test]
fn what_cannot_repeat_on_an_area_is_refused_at_its_place() {
    let request = demo("refused/applications-repeat-without-a-first-day.json");
    assert_eq!(
        reported("applications", &request),
        ["/areas/0/repeat/times missing_field", "/areas/1/year not_allowed_here"]
    );
    let huge = with(&demo("applications/again-and-again.json"), "/areas/2/surface/area", json!("1000000 ha"));
    let huge = with(&huge, "/areas/2/rate/amount", json!("5 cm"));
    assert_eq!(reported("applications", &huge), ["/areas/2/repeat too_large"]);
}

/// 10,000,000 plants at each of 1,000 times are more than 32 bits count.
#[test]
fn plants_of_all_times_are_counted_whole() {
    let surface = json!({"kind": "planted_rows", "count": 1_000, "length": "1000 m", "spacing": "1 cm"});
    let application = json!({"surface": surface, "rate": {"kind": "per_plant", "amount": "1 mL"}});
    let repeat = json!({"every": "1 d", "times": 100});
    let demand = json!({"application": application, "on": "2027-01-01", "repeat": repeat, "whole_portions": true});
    let answer = ok("balances", &json!({"demands": [demand], "stock": [{"amount": "3.5 L"}]}));
    let each = answer["demands"][0]["occasions"][0]["whole_portions"]["needed"].as_u64().unwrap();
    let all = &answer["demands"][0]["whole_portions"];
    assert!(each * 100 > u64::from(u32::MAX), "{each}");
    assert_eq!((&all["needed"], &all["allocated"]), (&json!(each * 100), &json!(3_500)));
}

/// A brew of 900 batches, 2,600 times: it is refused before its batches are made.
#[test]
fn more_batches_than_are_ever_shared_are_refused_with_what_to_change() {
    let brew = json!({"water": "900 L", "brewer": {"capacity": "1 L", "count": 1}, "castings_to_water": "1:10", "brewing_time": "24 h",
                      "use_within": "4 h", "use_at": "2030-06-05T18:00:00Z"});
    let body = json!({"demands": [{"brew": brew, "repeat": {"every": "1 d", "times": 2_600}}], "stock": []});
    assert_eq!(reported("balances", &body), ["/demands too_large"]);
    let answer = post("balances", &body);
    assert!(answer.text().contains("fewer times of a repeat"), "{}", answer.text());
}
