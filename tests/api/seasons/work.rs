//! What the work of a season says: what to make, how much in a week, and of what.

use super::list;
use crate::support::{flat, form, ok, q, reported, with};
use chrono::NaiveDate;
use serde_json::{Value, json};

/// The same request as a text, a page and a calendar, each without its line ends.
fn for_people(body: &Value) -> [String; 3] {
    ["text/plain", "text/html", "text/calendar"].map(|accept| {
        let text = form("seasons", accept, body).text().replace("\r\n ", "").replace("\\,", ",");
        flat(&text)
    })
}

/// The rows of a table by the names of their columns.
fn rows(body: &Value) -> Vec<Vec<(String, String)>> {
    let answer = form("seasons?table=work", "text/csv", body);
    let mut reader = csv::Reader::from_reader(answer.bytes.as_slice());
    let header = reader.headers().unwrap().clone();
    let row =
        |row: csv::StringRecord| header.iter().zip(row.iter()).map(|(n, c)| (n.to_owned(), c.to_owned())).collect();
    reader.records().map(|record| row(record.unwrap())).collect()
}

/// The cells of a column in the rows of one kind of work.
fn cells(body: &Value, kind: &str, column: &str) -> Vec<String> {
    let has = |row: &&Vec<(String, String)>| row.contains(&("kind".to_owned(), kind.to_owned()));
    let cell = |row: &Vec<(String, String)>| row.iter().find(|(name, _)| name == column).unwrap().1.clone();
    rows(body).iter().filter(has).map(cell).collect()
}

/// 50 L at 1:10 are 5 L of castings, and at 1:4 200 L more of water make 250 L. 36 h after the 10th at any hour is the 11th or the 12th.
#[test]
fn a_tea_is_brewed_and_then_diluted_and_used() {
    let mut body = json!({"as_of": "2027-06-01", "until": "2027-06-30", "stock": [{"amount": "100 L"}],
        "demands": [{"name": "tea", "on": "2027-06-10", "brew": {"water": "50 L", "castings_to_water": "1:10", "dilution": "1:4",
            "brewer": {"capacity": "60 L"}, "brewing_time": "36 h"}}]});
    let tasks = |body: &Value| list(&ok("seasons", body), "/work").to_vec();
    let [brewed, used] = tasks(&body).try_into().unwrap();
    assert_eq!((&brewed["kind"], &brewed["on"]), (&json!("brew"), &json!("2027-06-10")));
    assert_eq!((&brewed["volume"], &brewed["water"]), (&q(json!(5), "L"), &q(json!(50), "L")));
    assert_eq!(
        (&used["kind"], &used["on"], &used["until"]),
        (&json!("use_tea"), &json!("2027-06-11"), &json!("2027-06-12"))
    );
    assert_eq!((&used["volume"], &used["water"]), (&q(json!(250), "L"), &q(json!(200), "L")));
    assert_eq!(used["note"], "ready 36 h after the start, use all within 4 h of being ready");
    for text in for_people(&body) {
        for said in [
            "rew 5 L of castings in 50 L of water",
            "se the tea",
            "add 200 L of water before use: 250 L of tea",
            "within 4 h",
        ] {
            assert!(text.contains(said), "{said}: {text}");
        }
        assert!(!text.contains("pply 5 L") && !text.contains("apply castings"), "{text}");
    }
    assert_eq!([cells(&body, "brew", "volume_L"), cells(&body, "brew", "water_L")], [["5"], ["50"]]);
    let used = ["volume_L", "water_L", "tea_L"].map(|column| cells(&body, "use_tea", column));
    assert_eq!(used, [[""], ["200"], ["250"]]);
    // With a time the hours are those of the brews resource.
    body["demands"][0].as_object_mut().unwrap().remove("on");
    body["demands"][0]["brew"]["use_at"] = json!("2027-06-10T18:00:00+02:00");
    let batch = ok("brews", &json!({"brews": [body["demands"][0]["brew"].clone()]}))["brews"][0]["batches"][0].clone();
    assert_eq!(
        (&batch["start"], &batch["use_by"]),
        (&json!("2027-06-09T06:00:00+02:00"), &json!("2027-06-10T22:00:00+02:00"))
    );
    let [brewed, used] = tasks(&body).try_into().unwrap();
    assert_eq!((&brewed["on"], &used["on"]), (&json!("2027-06-09"), &json!("2027-06-10")));
    assert_eq!(brewed["note"], "start on 9 Jun 2027 06:00 +02:00, ready on 10 Jun 2027 18:00 +02:00");
    assert_eq!(used["note"], "ready on 10 Jun 2027 18:00 +02:00, use all by 10 Jun 2027 22:00 +02:00");
    // Without dilution there is no water to add.
    body["demands"][0]["brew"].as_object_mut().unwrap().remove("dilution");
    let [_, used] = tasks(&body).try_into().unwrap();
    assert_eq!(
        (&used["text"], &used["volume"], used.get("water")),
        (&json!("tea: use the tea"), &q(json!(50), "L"), None)
    );
    for text in for_people(&body) {
        assert!(text.contains("se 50 L of tea") && !text.contains("of water before use"), "{text}");
    }
}

/// Where castings are short, the water is what they are enough for; and each time of a repeat has its own hours.
#[test]
fn a_tea_that_gets_a_part_of_its_castings_gets_that_part_of_its_water() {
    let body = json!({"as_of": "2027-06-01", "until": "2027-07-30", "stock": [{"amount": "7.5 L"}],
        "demands": [{"name": "tea", "repeat": {"every": "2 weeks", "until": "2027-06-30"}, "brew": {"water": "50 L", "castings_to_water":
            "1:10", "dilution": "1:4", "brewer": {"capacity": "25 L"}, "brewing_time": "36 h", "use_at": "2027-06-10T18:00:00+02:00"}}]});
    let tasks = list(&ok("seasons", &body), "/work").to_vec();
    let all: Vec<(&str, &str, f64, f64)> = tasks
        .iter()
        .map(|task| {
            let figure = |field: &str| task[field]["value"].as_f64().unwrap();
            (task["on"].as_str().unwrap(), task["kind"].as_str().unwrap(), figure("volume"), figure("water"))
        })
        .collect();
    // Two rounds each time: the second is brewed once the first is used, 36 h later. All get three quarters.
    let wanted = [
        ("2027-06-09", "brew", 1.875, 18.75),
        ("2027-06-10", "use_tea", 93.75, 75.0),
        ("2027-06-10", "brew", 1.875, 18.75),
        ("2027-06-12", "use_tea", 93.75, 75.0),
        ("2027-06-23", "brew", 1.875, 18.75),
        ("2027-06-24", "use_tea", 93.75, 75.0),
        ("2027-06-24", "brew", 1.875, 18.75),
        ("2027-06-26", "use_tea", 93.75, 75.0),
    ];
    assert_eq!(all, wanted, "{tasks:#?}");
    assert_eq!(tasks[5]["note"], "ready on 24 Jun 2027 18:00 +02:00, use all by 24 Jun 2027 22:00 +02:00");
    // At once in two vessels, the same castings make both batches, and a half of them one.
    let mut at_once = with(&body, "/demands/0/brew/brewer/count", json!(2));
    at_once["stock"][0]["amount"] = json!("10 L");
    assert!(
        flat(form("seasons", "text/plain", &at_once).text())
            .contains("tea: brew 5 L of castings in 50 L of water, in 2 batches; start")
    );
    at_once["stock"][0]["amount"] = json!("2.5 L");
    at_once["demands"][0].as_object_mut().unwrap().remove("repeat");
    let text = flat(form("seasons", "text/plain", &at_once).text());
    assert!(text.contains("tea: brew 2.5 L of castings in 25 L of water; start"), "{text}");
}

/// The task says what the option of its day makes, in every form: for 90 of 100 more than what is short.
#[test]
fn a_start_says_how_much_is_made() {
    let body = json!({"as_of": "2026-11-27", "until": "2027-12-31", "climate": "18 C",
        "demands": [{"name": "veg", "amount": "200 L", "on": "2027-04-15"}],
        "additional_production": {"materials": [{"name": "leaves", "material": "leaves_loose", "amount": "1000 L", "shred": true}]}});
    let answer = ok("seasons", &body);
    let made = &answer["shortfall_options"]["additional_production"][0]["at_90_percent"]["castings"]["value"];
    let made = made.as_f64().unwrap();
    assert!(made > 250.0, "{made}");
    let task = list(&answer, "/work").iter().find(|task| task["kind"] == "start_production").unwrap();
    assert_eq!(task["volume"]["value"].as_f64(), Some(made));
    assert_eq!(cells(&body, "start_production", "volume_L")[0].parse::<f64>().unwrap(), made);
    let said = format!("ast day to start producing {} L", made.round());
    for text in for_people(&body) {
        assert!(text.contains(&said), "{said}: {text}");
        assert!(!text.contains("start producing 200 L"), "{text}");
    }
}

/// The material table has 75 kg/m3 for loose leaves: what the task and the options take is that much, in the caller's buckets.
#[test]
fn a_start_and_the_options_name_what_to_collect() {
    let body = json!({"as_of": "2026-11-27", "until": "2027-12-31", "climate": "18 C",
        "containers": [{"name": "bucket", "capacity": "12 L"}],
        "demands": [{"name": "veg", "amount": "200 L", "on": "2027-04-15"}],
        "additional_production": {"materials": [{"name": "leaves", "material": "leaves_loose", "amount": "1000 L", "shred": true}]}});
    let answer = ok("seasons", &body);
    let task = list(&answer, "/work").iter().find(|task| task["kind"] == "start_production").unwrap();
    let plan = &answer["shortfall_options"]["additional_production"][0];
    assert_eq!(task["materials"], plan["at_90_percent"]["materials"]);
    let leaves = &task["materials"][0];
    let (kilograms, litres) = (leaves["mass"]["value"].as_f64().unwrap(), leaves["volume"]["value"].as_f64().unwrap());
    assert!((kilograms / litres - 0.075).abs() < 1e-9, "{leaves}");
    let buckets = (litres / 12.0).round();
    let said = format!("ake {buckets} buckets of leaves");
    assert_eq!((litres / 10.0).round(), 422.0);
    for text in for_people(&body) {
        assert!(text.contains(&said), "{said}: {text}");
    }
    // CSV has the exact amount.
    assert_eq!(cells(&body, "start_production", "materials"), [format!("{litres} L of leaves")]);
    let options = list(&answer, "/shortfall_options/options").iter().map(|option| option["text"].as_str().unwrap());
    let produce: Vec<&str> = options.filter(|text| text.starts_with("Produce ")).collect();
    assert_eq!(produce.len(), 2);
    assert!(produce.iter().all(|text| text.contains(" buckets of leaves, on ")), "{produce:?}");
}

/// A start today is ready after the day: that is said before what could have been done.
#[test]
fn too_late_is_said_first() {
    let body = json!({"as_of": "2026-11-27", "until": "2027-06-30", "climate": "15 C",
        "demands": [{"name": "veg", "amount": "200 L", "on": "2027-04-15"}],
        "additional_production": {"materials": [{"material": "leaves_loose", "amount": "100 kg"}], "ground": {"kind": "area", "area": "4 m2"}}});
    let answer = ok("seasons", &body);
    let late = &answer["shortfall_options"]["additional_production"][0]["likely"]["too_late"];
    assert_eq!(late["first_start_on"], "2026-11-27");
    let ready: NaiveDate = serde_json::from_value(late["ready_on"].clone()).unwrap();
    assert!(ready > NaiveDate::from_ymd_opt(2027, 4, 15).unwrap());
    let first = format!(
        "Too late to produce for 15 Apr 2027: the first possible start is 27 Nov 2026 (today), for castings about {}.",
        ready.format("%-d %b %Y")
    );
    let [text, page, _] = for_people(&body);
    for text in [text, page] {
        assert!(text.contains(&first) && !text.contains("For 90 %"), "{text}");
    }
    let early = with(&body, "/as_of", json!("2026-06-01"));
    assert!(!for_people(&early)[0].contains("Too late"));
}

/// 17 December to 13 February are 59 days, 8 weeks: an eighth of the water each week, and on 1 February the days that are left.
#[test]
fn water_is_reported_by_the_week_and_from_today() {
    let body = json!({"as_of": "2027-02-01", "until": "2027-06-30", "climate": "18 C",
        "worm_beds": [{"name": "w", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2026-10-01",
                       "feed": {"material": "leaves_shredded"}}],
        "demands": [{"name": "carrots", "amount": "60 L", "on": "2027-04-05"}]});
    let answer = ok("seasons", &body);
    let task = &list(&answer, "/next")[0];
    assert_eq!((&task["on"], &task["until"]), (&json!("2026-12-17"), &json!("2027-02-13")));
    let each = task["each_week"]["value"].as_f64().unwrap();
    assert!((each * 8.0 / task["volume"]["value"].as_f64().unwrap() - 1.0).abs() < 1e-6);
    assert!(cells(&body, "water", "water_each_week_L").contains(&each.to_string()));
    let [text, page, calendar] = for_people(&body);
    assert!(text.contains("1–13 Feb w: water with 15.9 L each week"), "{text}");
    assert!(!text.contains("128 L in all"), "{text}");
    assert!(page.contains("water with 15.9 L each week"), "{page}");
    assert!(calendar.contains("Water with 15.9 L each week: w"), "{calendar}");
}

/// Whatever leads the list of what to measure, it says how.
#[test]
fn what_to_measure_first_says_how() {
    let body = json!({"as_of": "2026-11-27", "until": "2027-09-30", "climate": "15 C",
        "demands": [{"amount": "60 L", "on": "2027-04-05"}],
        "worm_beds": [{"ground": {"kind": "area", "area": "12 m2"}, "start_on": "2026-12-01",
            "feed": {"material": "leaves_loose", "supply": {"kind": "amount", "amount": "3000 L"}}}]});
    let answer = ok("seasons", &body);
    let measures = list(&answer, "/measure_first");
    assert!(measures.iter().any(|measure| measure["assumption"] == "bed.finishing"), "{measures:?}");
    for measure in measures {
        assert!(measure["measure_it"].is_string(), "{measure}");
    }
}

/// Feed lies denser than it is collected: 3000 L of loose leaves are 3000 L to collect, and less as laid. Its name is given with it.
#[test]
fn a_layer_says_of_what_it_is_and_how_much_to_collect() {
    let mut body = json!({"as_of": "2026-11-27", "until": "2027-09-30", "climate": "15 C",
        "demands": [{"name": "veg bed", "amount": "60 L", "on": "2027-04-05"}],
        "worm_beds": [{"name": "north", "ground": {"kind": "area", "area": "12 m2"}, "start_on": "2026-12-01",
                       "feed": {"material": "leaves_loose"}},
                      {"name": "south", "ground": {"kind": "area", "area": "2 m2"}, "start_on": "2026-12-01"}],
        "feed_supply": {"materials": [{"name": "grass", "material": "grass_clippings"}, {"material": "leaves_shredded"}]},
        "simulation_runs": 0});
    let answer = ok("seasons", &body);
    let laid = |bed: usize| {
        list(&answer, "/work").iter().find(|t| t["kind"] == "lay_feed" && t["worm_bed"]["index"] == bed).unwrap()
    };
    let (north, south) = (laid(0), laid(1));
    let mix = "a mix of equal volumes of grass, leaves_shredded";
    assert_eq!((&north["feed"], &south["feed"]), (&json!("leaves_loose"), &json!(mix)));
    // 75 kg/m3, by the table of materials: 12 m2 x 120 mm x 130 kg/m3 dry / 62 % = 302 kg, 4026 L.
    let (mass, collect) = (&north["mass"]["value"], &north["collect"]["volume"]["value"]);
    assert!((mass.as_f64().unwrap() / 0.075 / collect.as_f64().unwrap() - 1.0).abs() < 1e-6, "{mass}, {collect}");
    assert_eq!(answer["worm_beds"][0]["forecast"]["layers"][0]["collect"]["volume"]["value"], *collect);
    assert_eq!(cells(&body, "lay_feed", "collect_L")[0], collect.to_string());
    assert_eq!(cells(&body, "lay_feed", "feed")[0], "leaves_loose");
    for text in for_people(&body) {
        assert!(text.contains("ay 120 mm of leaves (loose), 1440 L as laid, from about 4030 L as collected"), "{text}");
        assert!(
            text.contains("ay 120 mm of a mix of equal volumes of grass, leaves (shredded), 240 L as laid"),
            "{text}"
        );
    }
    // An amount is collected as it is.
    body["worm_beds"][0]["feed"]["supply"] = json!({"kind": "amount", "amount": "3000 L"});
    let layers = ok("seasons", &body)["worm_beds"][0]["forecast"]["layers"].clone();
    let sum =
        |name: &str| layers.as_array().unwrap().iter().map(|l| l.pointer(name).unwrap().as_f64().unwrap()).sum::<f64>();
    assert!((sum("/collect/volume/value") - 3000.0).abs() < 1e-3);
    assert!(sum("/volume/value") < 1500.0);
}

/// A bulk density that is given is how the feed lies: 1440 L x 75 g/L = 108 kg, with its range, unless the density of dry feed is given itself.
#[test]
fn the_bulk_density_that_is_given_is_how_the_feed_lies() {
    let season = |feed: Value, assumptions: Value| {
        json!({"as_of": "2026-11-27", "until": "2027-09-30", "climate": "15 C", "simulation_runs": 0, "assumptions": assumptions,
            "demands": [{"amount": "60 L", "on": "2027-04-05"}],
            "worm_beds": [{"ground": {"kind": "area", "area": "12 m2"}, "start_on": "2026-12-01", "feed": feed}]})
    };
    let own =
        json!({"material": "leaves_loose", "bulk_density": {"value": 75, "low": 60, "high": 90, "unit": "kg/m3"}});
    let answer = ok("seasons", &season(own.clone(), json!({})));
    let layer = |answer: &Value| answer["worm_beds"][0]["forecast"]["layers"][0].clone();
    let first = layer(&answer);
    assert!((first["mass"]["value"].as_f64().unwrap() - 108.0).abs() < 1e-6, "{first}");
    assert!((first["volume"]["value"].as_f64().unwrap() - 1440.0).abs() < 1e-6, "{first}");
    assert_eq!(first.get("collect"), None);
    let rules =
        |answer: &Value| answer["cautions"].as_array().unwrap().iter().map(|c| c["rule"].clone()).collect::<Vec<_>>();
    assert!(!rules(&answer).contains(&json!("field_not_used")) && !rules(&answer).contains(&json!("range_not_used")));
    let lies = list(&answer, "/assumptions").iter().find(|one| one["id"] == "feed.dry_bulk_density").unwrap();
    // 38 % water: 46.5 (37.2 to 55.8) kg/m3.
    let near = |name: &str, value: f64| (lies["value"][name].as_f64().unwrap() - value).abs() < 1e-6;
    assert!(near("value", 46.5) && near("low", 37.2) && near("high", 55.8), "{lies}");
    // The same for the feed that beds share, for a bed to come, and for one that is sized.
    let mut shared = season(json!(null), json!({}));
    shared["worm_beds"][0].as_object_mut().unwrap().shift_remove("feed");
    shared["feed_supply"] = own.clone();
    assert_eq!(layer(&ok("seasons", &shared)), first);
    let plan = json!({"start_on": "2026-12-01", "until": "2027-09-30", "climate": "15 C", "feed": own});
    let harvests = json!({"worm_beds": [{"ground": {"kind": "area", "area": "12 m2"}, "forecast": plan}]});
    assert_eq!(ok("harvests", &harvests)["worm_beds"][0]["forecast"]["layers"][0]["mass"], first["mass"]);
    let sized = json!({"start_on": "2026-12-01", "climate": "15 C", "feeding": "layers", "layers_per_cycle": 2,
        "castings_needed": [{"amount": "60 L", "by": "2027-09-05"}], "feed_supply": own});
    let bed = ok("worm-beds", &sized);
    let of = |name: &str| bed["layers"][0][name]["value"].as_f64().unwrap();
    assert!((of("mass") / of("volume") / 0.075 - 1.0).abs() < 1e-6, "{}", bed["layers"]);
    // Sent on, it is laid alike.
    let sent_on = json!({"until": "2027-09-05", "simulation_runs": 0, "worm_beds": [bed["worm_bed"]["seasons"]],
        "demands": [{"amount": "60 L", "on": "2027-09-05"}]});
    assert_eq!(layer(&ok("seasons", &sent_on))["mass"], bed["layers"][0]["mass"]);
    shared["feed_supply"]["bulk_density"] = json!("1.2 kg/m3");
    assert_eq!(reported("seasons", &shared), ["/feed_supply/bulk_density out_of_range"]);
    let given = season(own, json!({"feed.dry_bulk_density": "130 kg/m3"}));
    let answer = ok("seasons", &given);
    assert!((layer(&answer)["mass"]["value"].as_f64().unwrap() - 1440.0 * 0.13 / 0.62).abs() < 1e-3);
    assert!(rules(&answer).contains(&json!("field_not_used")));
}

/// 50 L for 40 L of beans, 30 L of peas, three times 8 L of lawn and 5 L of tubs; of what cannot be had each has a row.
#[test]
fn the_default_table_has_what_each_demand_does_not_get() {
    let body = json!({"as_of": "2027-03-01", "until": "2027-06-30", "stock": [{"amount": "50 L"}], "simulation_runs": 0,
        "demands": [
            {"id": "b", "name": "beans", "amount": "40 L", "on": "2027-04-05"},
            {"name": "peas", "amount": "30 L", "on": "2027-04-10", "priority": 2},
            {"name": "lawn", "amount": "8 L", "on": "2027-04-12", "repeat": {"every": "7 d", "until": "2027-04-26"}, "priority": 3},
            {"name": "tubs", "amount": "5 L", "priority": 4}]});
    let answer = ok("seasons", &body);
    let table = form("seasons", "text/csv", &body);
    let all = crate::tables::rows(table.text(), b',');
    let short: Vec<[&str; 6]> = all
        .iter()
        .filter(|row| row["kind"] == "shortfall")
        .map(|row| ["on", "text", "occasion", "shortfall_L", "note", "volume_L"].map(|name| row[name].as_str()))
        .collect();
    assert_eq!(
        short,
        [
            ["2027-04-10", "peas: castings are missing", "", "20", "", ""],
            ["2027-04-12", "lawn: castings are missing, time 1", "1", "8", "gets nothing", ""],
            ["2027-04-19", "lawn: castings are missing, time 2", "2", "8", "gets nothing", ""],
            ["2027-04-26", "lawn: castings are missing, time 3", "3", "8", "gets nothing", ""],
            ["2027-06-30", "tubs: castings are missing", "", "5", "gets nothing", ""],
        ]
    );
    for (index, demand) in list(&answer, "/demands").iter().enumerate() {
        let of_demand = all.iter().filter(|row| row["demand_index"] == index.to_string());
        let sum: f64 = of_demand
            .flat_map(|row| [&row["volume_L"], &row["shortfall_L"]])
            .filter_map(|cell| cell.parse::<f64>().ok())
            .sum();
        assert!((sum - demand["needed"]["value"].as_f64().unwrap()).abs() < 1e-6, "{demand}: {sum}");
    }
    // They are no work: JSON and what people read have them with the demands.
    assert!(list(&answer, "/work").iter().all(|task| task["kind"] != "shortfall"));
    assert!(!for_people(&body).iter().any(|text| text.contains("castings are missing")));
    let enough = with(&body, "/stock/0/amount", json!("99 L"));
    let table = form("seasons", "text/csv", &enough);
    let rows = crate::tables::rows(table.text(), b',');
    assert!(rows.iter().all(|row| row["kind"] != "shortfall" && row["shortfall_L"].is_empty()));
}

/// 50 L are short before today and 60 L after it: two sacks of 40 L are bought for these, as the option says, and what is left of sacks that
/// had to come before today does not count.
#[test]
fn sacks_are_counted_anew_from_today() {
    let body = json!({"as_of": "2027-04-20", "until": "2027-06-01", "stock": [{"amount": "10 L"}], "sack": {"capacity": "40 L"},
        "demands": [{"name": "x", "amount": "60 L", "on": "2027-04-01"}, {"name": "y", "amount": "60 L", "on": "2027-05-02"}]});
    let answer = ok("seasons", &body);
    let bought = list(&answer, "/work").iter().filter(|task| task["kind"] == "buy_sacks");
    let bought: Vec<_> = bought.map(|task| (&task["on"], &task["sacks"])).collect();
    assert_eq!(bought, [(&json!("2027-05-02"), &json!(2))]);
    let sacks = list(&answer, "/shortfall_options/sacks").iter().map(|of| (&of["by"], &of["count"], &of["past"]));
    let (past, ahead) = (json!("2027-04-01"), json!("2027-05-02"));
    assert_eq!(sacks.collect::<Vec<_>>(), [(&past, &json!(2), &json!(true)), (&ahead, &json!(2), &Value::Null)]);
    for text in for_people(&body) {
        assert!(text.contains("buy 2 sacks") && !text.contains("1 sack"), "{text}");
    }
    assert_eq!(cells(&body, "buy_sacks", "sacks"), ["2"]);
    // Without a today nothing is too late: 50 L by the first day, and 30 L of its sacks are left for the second.
    let mut undated = body;
    undated.as_object_mut().unwrap().remove("as_of");
    assert_eq!(cells(&undated, "buy_sacks", "sacks"), ["2", "1"]);
}
