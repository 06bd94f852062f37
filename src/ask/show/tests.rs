use serde_json::{Value, json};

use super::*;

fn litres(value: f64) -> Value {
    json!({"value": value, "unit": "L"})
}

fn kilograms(value: f64, low: f64, high: f64) -> Value {
    json!({"value": value, "low": low, "high": high, "unit": "kg"})
}

fn notes(answer: &mut Value) {
    answer["computed_with"] = json!("0.1.0");
    answer["assumptions"] = json!([
        {"id": "castings.bulk_density", "value": {"value": 600, "low": 450, "high": 900, "unit": "kg/m3"}, "given_by": "default", "source": "s"},
        {"id": "castings.nitrogen", "value": {"value": 1.8, "unit": "%"}, "given_by": "request", "source": "s"},
        {"id": "castings.moisture", "value": {"value": 58.3, "unit": "%"}, "given_by": "default", "source": "s"}
    ]);
    answer["cautions"] = json!([{"rule": "unmatured", "severity": "warning", "text": "Castings that were never hot may hold seeds and \
        what makes people ill: keep them off leaves that are eaten raw, and wait before the harvest.", "at": ["/areas/1", "/demands/0/amount"]}]);
}

fn applications() -> Value {
    let castings = |volume: f64, buckets: f64| {
        json!({"volume": litres(volume), "mass": kilograms(volume * 0.6, volume * 0.45, volume * 0.9),
               "in_measures": [{"value": buckets, "unit": "bucket"}]})
    };
    let nutrients = |grams: f64| {
        json!({"nitrogen": {"mass": {"value": grams, "low": grams / 2.0, "high": grams * 2.0, "unit": "g"}, "per_area": {"value": 45, "unit": "g/m2"}},
               "available_nitrogen": {"mass": {"value": grams * 0.2, "unit": "g"}}})
    };
    let mix = json!({"rule": "rich_mix", "severity": "notice", "text": "More than a fifth of the mix.", "at": ["/areas/3/rate"]});
    let mut answer = json!({
        "units": "metric",
        "total": {"castings": castings(129.6, 10.8), "nutrients": nutrients(583.2)},
        "areas": [
            {"name": "carrot rows", "surface_area": {"value": 4.8, "unit": "m2"}, "row_length": {"value": 24, "unit": "m"},
             "depth": {"value": 10, "unit": "mm"}, "castings": castings(48.0, 4.0), "nutrients": nutrients(216.0), "cautions": []},
            {"name": "salad bed", "surface_area": {"value": 2.88, "unit": "m2"}, "depth": {"value": 20, "unit": "mm"},
             "castings": castings(57.6, 4.8), "nutrients": nutrients(259.2)},
            {"plants": 24, "castings": castings(6.0, 0.5), "nutrients": nutrients(27.0)},
            {"name": "potting mix", "pots": 30, "mix": litres(90.0), "castings": castings(18.0, 1.5), "nutrients": nutrients(81.0), "cautions": [mix]}
        ]
    });
    notes(&mut answer);
    answer["cautions"].as_array_mut().unwrap().push(mix);
    answer
}

fn harvests() -> Value {
    let mut answer = json!({
        "total": {"castings": litres(470.0), "stored": {"volume": litres(331.2), "mass": kilograms(198.72, 150.0, 260.0)}},
        "worm_beds": [{"name": "north bed", "in_bed": litres(750.0), "not_ready": litres(150.0), "ready": litres(600.0), "castings": litres(420.0),
            "sieved_off": litres(180.0), "stored": {"volume": litres(296.4), "mass": kilograms(177.84, 130.0, 240.0), "in_measures": [{"value": 24.7, "unit": "bucket"}]}}],
        "heaps": [{"in_heap": litres(100.0), "not_ready": litres(20.0), "ready": litres(80.0), "castings": litres(50.0), "sieved_off": litres(30.0),
            "mass": kilograms(30.0, 22.5, 45.0), "in_measures": [{"value": 4.166_666_67, "unit": "bucket"}, {"value": 0.5, "unit": "barrow"}]}]
    });
    notes(&mut answer);
    answer
}

fn brews() -> Value {
    let batch = |day: u32| {
        json!({"water": litres(50.0), "castings": litres(5.0), "start": format!("2027-06-{day:02}T08:00:00+02:00"),
               "ready": format!("2027-06-{:02}T08:00:00+02:00", day + 1), "use_by": format!("2027-06-{:02}T12:00:00+02:00", day + 1)})
    };
    let mut answer = json!({"brews": [{"name": "June tea", "water": litres(200.0), "tea": litres(194.0),
        "castings": {"volume": litres(20.0), "mass": kilograms(12.0, 9.0, 18.0), "in_measures": [{"value": 1.666_666_67, "unit": "bucket"}]},
        "batches": [batch(9), batch(11), batch(13), batch(15)]},
        {"water": litres(20.0), "castings": {"volume": litres(2.0)}, "batches": [{"water": litres(20.0), "castings": litres(2.0)}]}]});
    notes(&mut answer);
    answer
}

fn balances() -> Value {
    let draw = |index: u32, name: &str, on: &str, given: f64| json!({"stock": {"index": index, "name": name}, "on": on, "given": litres(given)});
    let demand = |name: &str, wanted: f64, given: f64, short: f64, draws: Value| {
        json!({"name": name, "wanted": litres(wanted), "given": litres(given), "short": litres(short),
               "share_given": {"value": given / wanted * 100.0, "unit": "%"}, "draws": draws})
    };
    let day = |date: &str, arrived: f64, given: f64, left: f64| json!({"date": date, "arrived": litres(arrived), "given": litres(given), "expired": litres(0.0), "left": litres(left)});
    let mut answer = json!({
        "total": {"wanted": litres(171.6), "stock": litres(150.0), "given": litres(116.0), "short": litres(55.6), "left": litres(34.0), "expired": litres(0.0)},
        "even_share": {"value": 61.813_186_8, "unit": "%"}, "first_short_on": "2027-04-05",
        "demands": [
            demand("onions", 40.0, 40.0, 0.0, json!([draw(0, "cured bin", "2027-03-20", 40.0)])),
            demand("carrot rows", 48.0, 22.727, 25.273, json!([draw(0, "cured bin", "2027-04-05", 22.727)])),
            demand("salad bed", 57.6, 27.273, 30.327, json!([draw(0, "cured bin", "2027-04-05", 27.273)])),
            demand("tomatoes", 6.0, 6.0, 0.0, json!([draw(1, "north bed", "2027-05-15", 6.0)])),
            demand("tea", 20.0, 20.0, 0.0, json!([{"stock": {"index": 1}, "on": "2027-06-10", "given": litres(20.0)}]))
        ],
        "stock": [],
        "by_date": [day("2027-03-01", 90.0, 0.0, 90.0), day("2027-03-20", 0.0, 40.0, 50.0), day("2027-04-05", 0.0, 50.0, 0.0),
                    day("2027-05-10", 60.0, 0.0, 60.0), day("2027-05-15", 0.0, 6.0, 54.0), day("2027-06-10", 0.0, 20.0, 34.0)],
        "close_the_gap": {"even_share": {"value": 61.813_186_8, "unit": "%"},
            "sacks": [{"by": "2027-04-05", "count": 2, "holds": litres(40.0), "cost": 19.8, "currency": "EUR"}], "prepare": []}
    });
    notes(&mut answer);
    answer
}

fn seasons() -> Value {
    let mut answer = balances();
    let percent = |value: u32| json!({"value": value, "unit": "%"});
    answer["as_of"] = json!("2027-03-01");
    answer["demands"][1]["chance"] = percent(25);
    answer["worm_beds"] = json!([{"name": "wall", "lots": [{"cycle": 1, "ready_on": "2027-05-10", "amount": litres(60.0),
        "given": litres(26.0), "left": litres(34.0), "ready": {"p10": "2027-04-20"},
        "volume": {"p10": litres(41.5), "p50": litres(60.0), "p90": litres(80.25)}}]},
        {"lots": [], "forecast": {"stopped": {"why": "frost", "on": "2027-03-20"}}}]);
    answer["demands"][4]["draws"] =
        json!([{"worm_bed": {"index": 0, "name": "wall"}, "cycle": 1, "on": "2027-06-10", "given": litres(20.0)}]);
    answer["chances"] = json!({"provided": "if the ranges shown are right", "worst_on": "2027-04-05",
        "by_date": [{"date": "2027-03-20", "chance": percent(95)}, {"date": "2027-06-10", "chance": percent(25)}],
        "margin": {"p10": litres(-69.477), "p50": litres(-51.0), "p90": litres(24.5)}});
    let batch = |late: bool| {
        let mut batch = json!({"start_on": "2026-10-20", "surface_area": {"value": 1.163_537, "unit": "m2"}, "layers": 2,
            "worms": {"value": 1.8617, "unit": "kg"}, "materials": [{"material": {"index": 0, "name": "leaves"}, "mass": {"value": 10.65, "unit": "kg"}}]});
        if late {
            batch["too_late"] = json!({"binds": "materials", "first_start_on": "2026-10-28", "ready_on": "2027-05-02"});
        }
        batch
    };
    answer["close_the_gap"]["prepare"] = json!([
        {"by": "2027-04-05", "short": litres(55.6), "likely": batch(false), "for_90": batch(true),
         "if_later": [{"days": 7, "ready_on": "2027-04-12"}, {"days": 21}], "could_wait": []},
        {"by": "2027-04-20", "short": litres(1.0), "likely": batch(true), "if_later": [],
         "could_wait": [{"demand": {"index": 3, "name": "tomatoes"}, "amount": litres(6.0)}]}]);
    answer["work"] = json!([
        {"on": "2027-02-20", "past": true, "kind": "apply", "text": "long ago: give castings"},
        {"on": "2027-03-20", "kind": "apply", "text": "onions: give castings", "volume": litres(40.0), "in_measures": []},
        {"on": "2027-04-26", "kind": "harvest", "text": "wall: take the castings out"}]);
    answer["measure_first"] = json!([
        {"assumption": "worms.feed_rate", "share_of_variance": {"value": 28.15, "unit": "%"}, "measure_it": "weigh what worms clear"},
        {"stock": {"index": 1}, "share_of_variance": {"value": 9, "unit": "%"}}]);
    answer
}

#[test]
fn a_season_says_what_is_sure_what_to_do_and_what_to_measure() {
    let page = page(Resource::Seasons, &seasons(), &balance_request());
    let text = page.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "171.6 L wanted, 150 L in stock: 116 L given, 55.6 L short, first on 2027-04-05",
        "Chance that it is enough on every day: 25 %, if the ranges shown are right.",
        "The tightest day is 2027-04-05: 51 L too little at the median; 69.477 L too little or worse",
        "24.5 L to spare or better",
        "wall 2027-05-10 2027-04-20 later",
        "bed 2: the worms die of frost on 2027-03-20.",
        "2027-03-20 onions: give castings 40",
        "1 piece of work comes later",
        "2027-04-05 55.6 2026-10-20 too late 10.65 kg leaves",
        "For 2027-04-05: begun 7 days later it is ready on 2027-04-12, 21 days later not within a year.",
        "For 2027-04-20: the materials come too late; begun on 2026-10-28 it is ready on 2027-05-02; could wait for it: 6 L of tomatoes.",
        "- worms.feed_rate: 28.15 % of what is not sure hangs on it; weigh what worms clear",
        "- the amount of lot 2: 9 % of what is not sure hangs on it",
    ] {
        assert!(text.contains(part), "{part}\n{page}");
    }
    assert!(!text.contains("long ago") && !text.contains("wall: take the castings out"), "{page}");
}

#[test]
fn without_a_today_the_first_work_is_shown() {
    let mut answer = seasons();
    answer.as_object_mut().unwrap().remove("as_of");
    let task = answer["work"][2].clone();
    answer["work"] = (0..15).map(|_| task.clone()).collect();
    let page = page(Resource::Seasons, &answer, &Value::Null);
    assert_eq!(page.matches("wall: take the castings out").count(), 12);
    assert!(page.contains("3 pieces of work come later"), "{page}");
}

#[test]
fn a_balance_says_what_to_prepare() {
    let mut answer = balances();
    answer["close_the_gap"] = seasons()["close_the_gap"].clone();
    let page = page(Resource::Balances, &answer, &balance_request());
    assert!(page.contains("For 2027-04-05: begun 7 days later"), "{page}");
}

fn balance_request() -> Value {
    json!({"demands": [{"on": "2027-03-20"}, {"on": "2027-04-05"}, {"on": "2027-04-05"},
        {"earliest": "2027-05-15", "latest": "2027-06-01"}, {}]})
}

fn pages() -> [(Resource, Value, Value); 5] {
    [
        (Resource::Applications, applications(), Value::Null),
        (Resource::Harvests, harvests(), Value::Null),
        (Resource::Brews, brews(), Value::Null),
        (Resource::Balances, balances(), balance_request()),
        (Resource::Seasons, seasons(), balance_request()),
    ]
}

/// Columns on a terminal: wide characters take two.
fn width(line: &str) -> usize {
    line.chars().map(|c| if matches!(c, '\u{1100}'..='\u{115f}' | '\u{2e80}'..='\u{a4cf}' | '\u{ac00}'..='\u{d7a3}' | '\u{1f300}'..='\u{1faff}') { 2 } else { 1 }).sum()
}

fn assert_fits(page: &str) {
    for line in page.lines() {
        assert!(width(line) <= 100, "{} columns:\n{page}", width(line));
        assert_eq!(line.trim_end(), line, "white space at the end");
    }
    assert!(page.chars().all(|c| c == '\n' || !c.is_control()), "{page:?}");
    assert!(!page.contains(['\u{202e}', '\u{2066}', '\u{200b}']), "{page:?}");
}

/// The words of one line of the page, for comparing without the white space between.
fn row<'a>(page: &'a str, start: &str) -> Vec<&'a str> {
    let line =
        page.lines().find(|line| line.starts_with(start)).unwrap_or_else(|| panic!("no line {start:?} in\n{page}"));
    line.split_whitespace().collect()
}

/// The same answer with every text, or every name, replaced.
fn with(value: &Value, text: &str, only: Option<&str>) -> Value {
    fn replace(value: &mut Value, key: &str, text: &str, only: Option<&str>) {
        match value {
            Value::String(old) if only.is_none_or(|only| only == key) => text.clone_into(old),
            Value::Array(items) => items.iter_mut().for_each(|item| replace(item, key, text, only)),
            Value::Object(fields) => fields.iter_mut().for_each(|(key, field)| replace(field, key, text, only)),
            _ => {}
        }
    }
    let mut copy = value.clone();
    replace(&mut copy, "", text, only);
    copy
}

#[test]
fn applications_say_what_each_place_takes() {
    let page = page(Resource::Applications, &applications(), &Value::Null);
    println!("{page}");
    assert_eq!(
        row(&page, "carrot"),
        ["carrot", "rows", "4.8", "m2", "10", "48", "28.8", "(21.6–43.2)", "4", "bucket", "216", "43.2"]
    );
    assert_eq!(
        row(&page, "area 3"),
        ["area", "3", "24", "plants", "6", "3.6", "(2.7–5.4)", "0.5", "bucket", "27", "5.4"]
    );
    assert_eq!(
        row(&page, "potting"),
        ["potting", "mix", "30", "pots", "18", "10.8", "(8.1–16.2)", "1.5", "bucket", "81", "16.2"]
    );
    assert_eq!(row(&page, "total")[..3], ["total", "129.6", "77.76"]);
    assert_fits(&page);
}

#[test]
fn harvests_say_where_everything_in_the_bed_goes() {
    let page = page(Resource::Harvests, &harvests(), &Value::Null);
    println!("{page}");
    assert_eq!(
        row(&page, "north bed"),
        ["north", "bed", "750", "150", "600", "180", "420", "296.4", "177.8", "(130–240)", "24.7", "bucket"]
    );
    assert_eq!(row(&page, "heap 1")[..8], ["heap", "1", "100", "20", "80", "30", "50", "30"]);
    assert!(page.contains("4.167 bucket, 0.5 barrow"), "{page}");
    assert!(page.contains("In all 470 L of castings; once dried for the store 331.2 L, 198.7 (150–260) kg."), "{page}");
    assert_fits(&page);
}

#[test]
fn brews_say_when_each_batch_starts() {
    let page = page(Resource::Brews, &brews(), &Value::Null);
    println!("{page}");
    assert_eq!(row(&page, "June tea "), ["June", "tea", "200", "20", "12", "(9–18)", "1.667", "bucket", "194"]);
    assert_eq!(
        row(&page, "June tea, 2 of 4").join(" "),
        "June tea, 2 of 4 50 5 2027-06-11 08:00 2027-06-12 08:00 2027-06-12 12:00"
    );
    assert_eq!(row(&page, "brew 2, 1 of 1"), ["brew", "2,", "1", "of", "1", "20", "2"]);
    assert_fits(&page);
}

#[test]
fn balances_say_who_is_short_and_what_would_help() {
    let page = page(Resource::Balances, &balances(), &balance_request());
    println!("{page}");
    let first = "171.6 L wanted, 150 L in stock: 116 L given, 55.6 L short, first on 2027-04-05; 34 L left over.";
    assert_eq!(page.lines().next(), Some(first));
    assert_eq!(
        row(&page, "carrot rows").join(" "),
        "carrot rows 2027-04-05 48 22.727 25.273 47.35 22.727 L cured bin, 2027-04-05"
    );
    assert!(page.contains("2027-05-15 to"), "{page}");
    assert_eq!(row(&page, "tea").join(" "), "tea any day 20 20 0 100 20 L lot 2, 2027-06-10");
    assert_eq!(row(&page, "2027-05-15"), ["2027-05-15", "0", "6", "0", "54"]);
    assert!(page.contains("- give every demand the same share: 61.81 %\n"), "{page}");
    assert!(page.contains("- buy 2 sacks of 40 L by 2027-04-05, 19.8 EUR\n"), "{page}");
    assert_fits(&page);
}

#[test]
fn balances_say_who_is_dropped_who_is_moved_and_who_could_wait() {
    let mut answer = balances();
    answer["demands"][1]["dropped"] = json!({"least": litres(30.0), "would_have_given": litres(22.727)});
    answer["demands"][1]["draws"] = json!([]);
    let wait = json!({"demand": {"index": 1, "name": "carrot rows"}, "until": "2027-05-10", "amount": litres(25.273)});
    let moved = json!({"demand": {"index": 3}, "first_possible": "2027-03-15", "drawn_on": "2027-05-15", "amount": litres(6.0)});
    let whenever = json!({"demand": {"index": 0, "name": "onions"}, "drawn_on": "2027-05-15", "amount": litres(1.0)});
    answer["close_the_gap"]["wait"] = json!([wait, {"demand": {"index": 2}}, 7]);
    answer["close_the_gap"]["moved"] = json!([moved, whenever, {"drawn_on": "2027-05-15"}]);
    let page = page(Resource::Balances, &answer, &balance_request());
    println!("{page}");
    assert!(row(&page, "carrot rows").join(" ").contains("dropped: 22.727 L is below"), "{page}");
    assert!(page.contains("- let carrot rows wait until 2027-05-10: 25.273 L of what is left over\n"), "{page}");
    let moved = "Served later, so that others get theirs:\n- demand 4: 6 L on 2027-05-15, possible from 2027-03-15\n\
                 - onions: 1 L on 2027-05-15, possible from the start\n\n";
    assert!(page.contains(moved), "{page}");
    assert_eq!(page.matches("wait until").count(), 1, "{page}");
    assert_fits(&page);
}

#[test]
fn a_balance_without_a_gap_says_so() {
    let enough = |left: f64| {
        json!({"total": {"wanted": litres(40.0), "stock": litres(40.0 + left), "given": litres(40.0), "short": litres(0.0),
                         "left": litres(left), "expired": litres(0.0)}, "close_the_gap": {}})
    };
    assert_eq!(
        page(Resource::Balances, &enough(0.0), &Value::Null),
        "40 L wanted, 40 L in stock: all of it given; nothing left over.\n"
    );
    assert_eq!(
        page(Resource::Balances, &enough(5.5), &Value::Null),
        "40 L wanted, 45.5 L in stock: all of it given; 5.5 L left over.\n"
    );
    let idle = json!({"total": {"wanted": litres(0.0), "stock": litres(5.0), "given": litres(0.0), "short": litres(0.0), "left": litres(5.0)}});
    let said = page(Resource::Balances, &idle, &Value::Null);
    assert_eq!(said, "nothing wanted, 5 L in stock: nothing given; 5 L left over.\n");
    let partly = json!({"total": {"wanted": litres(40.0), "given": litres(12.5)}});
    assert_eq!(page(Resource::Balances, &partly, &Value::Null), "40 L wanted: 12.5 L given.\n");
    let nothing = json!({"total": {"wanted": litres(40.0), "stock": litres(3.0), "given": litres(0.0), "short": litres(40.0), "expired": litres(3.0)}});
    let said = page(Resource::Balances, &nothing, &Value::Null);
    assert_eq!(said, "40 L wanted, 3 L in stock: nothing given, 40 L short; 3 L expired.\n");
}

#[test]
fn dates_of_a_demand_come_from_the_answer_before_the_request() {
    let answer = json!({"demands": [{"on": "2027-01-01"}, {"latest": "2027-02-02"}, {"earliest": "2027-03-03"}, {}]});
    let request = json!({"demands": [{"on": "2026-01-01"}, {}, {}, {"brew": {"use_at": "2027-06-10T08:00:00+02:00"}}]});
    let page = page(Resource::Balances, &answer, &request);
    for words in ["demand 1  2027-01-01", "by 2027-02-02", "from 2027-03-03", "2027-06-10 08:00 +02:00"] {
        assert!(page.contains(words), "{page}");
    }
}

#[test]
fn cautions_are_printed_once_with_the_places_they_hold_for() {
    let page = page(Resource::Applications, &applications(), &Value::Null);
    assert_eq!(page.matches("More than a fifth of the mix.").count(), 1, "{page}");
    assert!(page.contains("notice   More than a fifth of the mix. [potting mix]\n"), "{page}");
    assert!(page.contains("warning  Castings that were never hot") && page.contains("[salad bed]"), "{page}");
    let cautions = page.lines().skip_while(|line| !line.starts_with("warning"));
    assert!(cautions.into_iter().all(|line| width(line) <= 96), "{page}");
    assert!(page.ends_with("\n\n3 assumptions, 2 of them defaults: --json shows them\n"), "{page}");
}

#[test]
fn long_and_wide_names_are_wrapped_and_not_cut() {
    let words =
        "Жong raised Жeds behind the old greenhouse ".repeat(3).chars().take(100).collect::<String>().trim().to_owned();
    for name in [words, "Ж".repeat(100), "苗床".repeat(50), "🪱".repeat(100)] {
        for (resource, answer, request) in pages() {
            let page = page(resource, &with(&answer, &name, Some("name")), &request);
            assert_fits(&page);
            let first = name.chars().next().unwrap();
            let (there, once) = (page.matches(first).count(), name.matches(first).count());
            assert!(there > 0 && there % once == 0, "{there} of {once}:\n{page}");
            assert!(!page.contains('…') && !page.contains("..."), "{page}");
        }
    }
}

#[test]
fn hostile_texts_reach_no_terminal() {
    let evil = "a\u{1b}]0;owned\u{7}\u{1b}[2J\u{9b}31m\r\n\u{202e}b\u{2066}\u{200b}c\u{0}";
    for (resource, answer, request) in pages() {
        assert_fits(&page(resource, &with(&answer, evil, Some("name")), &request));
        let every = page(resource, &with(&answer, evil, None), &with(&request, evil, None));
        assert!(every.chars().all(|c| c == '\n' || !c.is_control()), "{every:?}");
        assert!(every.contains('\u{fffd}') && !every.contains('\u{202e}'), "{every:?}");
    }
}

#[test]
fn many_long_measures_and_large_numbers_still_fit() {
    for (resource, answer, request) in pages() {
        let mut text = answer.to_string();
        for unit in ["bucket", "barrow"] {
            text = text.replace(&format!("\"{unit}\""), "\"level builders buckets from the back shed\"");
        }
        for digit in '1'..='9' {
            text = text.replace(&format!("\"value\":{digit}"), &format!("\"value\":1234{digit}"));
        }
        let large = serde_json::from_str::<Value>(&text).unwrap();
        assert_fits(&page(resource, &large, &request));
        assert_fits(&page(resource, &with(&large, &"🪱 苗床".repeat(20), Some("name")), &request));
    }
}

#[test]
fn no_missing_or_odd_field_stops_the_page() {
    type Make<'a> = &'a dyn Fn(&Value) -> Value;
    fn every_change(value: &Value, change: &mut dyn FnMut(Make<'_>)) {
        for odd in [json!(null), json!("x"), json!(7), json!([]), json!({}), json!([[null]]), json!(1e308)] {
            change(&move |_| odd.clone());
        }
        match value {
            Value::Object(fields) => {
                for (key, field) in fields {
                    every_change(field, &mut |inner| {
                        change(&|whole| {
                            let mut copy = whole.clone();
                            copy[key] = inner(&whole[key]);
                            copy
                        });
                    });
                }
            }
            Value::Array(items) => {
                if let Some(item) = items.first() {
                    every_change(item, &mut |inner| {
                        change(&|whole| {
                            let mut copy = whole.clone();
                            copy[0] = inner(&whole[0]);
                            copy
                        });
                    });
                }
            }
            _ => {}
        }
    }
    for (resource, answer, request) in pages() {
        let mut count = 0;
        every_change(&answer, &mut |make| {
            let changed = page(resource, &make(&answer), &request);
            assert!(changed.ends_with('\n'));
            count += 1;
        });
        assert!(count > 200, "{count}");
    }
}

#[test]
fn an_answer_with_nothing_in_it_is_an_empty_page() {
    for (resource, _, _) in pages() {
        assert_eq!(page(resource, &json!({}), &Value::Null), "\n");
    }
}

#[test]
fn us_units_and_mixed_units_stay_with_their_numbers() {
    let answer = json!({"areas": [
        {"castings": {"volume": {"value": 1.695, "unit": "ft3"}}},
        {"castings": {"volume": {"value": 48, "unit": "L"}}}
    ]});
    let page = page(Resource::Applications, &answer, &Value::Null);
    assert!(page.contains("1.695 ft3\n") && page.contains("48 L\n"), "{page}");
}
