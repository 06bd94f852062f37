//! How large a bed: the worked numbers, a bed that is sent on, every way to ask, and what is refused.

mod castings;
mod forms;

use crate::support::{brief, demo, demo_files, errors, flat, form, ok, reported, with};
use serde_json::{Value, json};

/// 7 kg a week with 80 % water and 15 % ash, warm, by the values of the worked example.
fn worked() -> Value {
    json!({
        "start_on": "2027-04-01",
        "climate": "20 C",
        "feed_supply": {"moisture": "80 %", "ash": "15 %", "each_week": "7 kg"},
        "assumptions": {
            "worms.carrying_capacity": "5 kg/m2", "worms.stocking_density": "1.6 kg/m2", "worms.doubling_time": "75 d",
            "worms.feed_rate": "0.15 kg/kg/d", "bed.organic_matter_loss": "40 %", "castings.sieve_yield": "80 %",
            "castings.dry_bulk_density": "300 kg/m3",
        },
    })
}

fn value(answer: &Value, pointer: &str) -> f64 {
    answer.pointer(pointer).unwrap_or_else(|| panic!("{pointer} in {answer}"))["value"].as_f64().unwrap()
}

fn assert_near(answer: &Value, pointer: &str, wanted: f64) {
    let found = value(answer, pointer);
    assert!((found - wanted).abs() <= 1e-8 * wanted, "{pointer}: {found} is not {wanted}");
}

/// By hand from the closed forms: 0.2 kg dry a day, 1.333 kg of worms, 0.267 m2 at least, 0.833 m2 to stock, 128.5 L a year sieved (160.6 L
/// with what the sieve holds back).
#[test]
fn the_worked_bed() {
    let answer = ok("worm-beds", &worked());
    assert_near(&answer, "/feed/dry_matter_a_day", 0.2);
    assert_near(&answer, "/feed/a_week", 7.0);
    assert_near(&answer, "/worms/needed", 4.0 / 3.0);
    assert_near(&answer, "/ground/at_least", 4.0 / 15.0);
    assert_near(&answer, "/ground/with_room", 5.0 / 6.0);
    assert_near(&answer, "/feed/castings_a_year/volume", 128.48);
    assert_near(&answer, "/feed/oversize_a_year", 160.6 - 128.48);
    assert_near(&answer, "/rules_of_thumb/worms", 2.0);
    assert_eq!(answer["limiting_factor"], "feed");
    assert_eq!(answer["weeks"].as_array().unwrap().len(), 53);
    let few = ok("worm-beds", &with(&worked(), "/worms_to_buy", json!("0.5 kg")));
    assert_eq!((value(&few, "/worms/enough_after") * 10.0).round(), 1340.0);
    assert_eq!(few["worms"]["to_buy"], json!({"value": 0.5, "unit": "kg"}));
    // What is there need not be bought.
    let there = ok("worm-beds", &with(&worked(), "/worms", json!("0.5 kg")));
    assert_eq!(there["worms"]["to_buy"], json!({"value": 0, "unit": "kg"}));
    assert_eq!(there["lots"], few["lots"]);
}

/// The text says which feed rules of thumb go by: a week's as it comes, or all of it over the weeks in which the bed takes feed.
#[test]
fn rules_of_thumb_say_which_feed_they_go_by() {
    let deliveries =
        json!({"moisture": "80 %", "ash": "15 %", "deliveries": [{"on": "2027-04-01", "amount": "366 kg"}]});
    let once = with(&with(&worked(), "/feed_supply", deliveries), "/worms_to_buy", json!("3 kg"));
    for (body, is_steady) in [(worked(), true), (once, false)] {
        let answer = ok("worm-beds", &body);
        let weeks = answer["feed"]["eaten"]["weeks"].as_u64().unwrap();
        let a_week = value(&answer, "/rules_of_thumb/feed_a_week");
        assert_near(&answer, "/rules_of_thumb/worms", a_week / 7.0 / 0.5);
        let while_fed =
            if is_steady { String::new() } else { format!(" over {weeks} weeks in which the bed takes feed") };
        for accept in ["text/plain", "text/html"] {
            let text = flat(form("worm-beds", accept, &body).text());
            let said = format!(
                "kg of feed a week{while_fed}: {} kg of worms, if they eat half their weight a day",
                shown(a_week / 3.5)
            );
            assert!(text.contains(&said), "{said}: {text}");
        }
        let wanted = if is_steady { 7.0 } else { 366.0 / f64::from(u32::try_from(weeks).unwrap()) };
        assert!((a_week - wanted).abs() < 1e-6 * wanted, "{a_week} {wanted}");
    }
}

/// Three significant digits.
fn shown(value: f64) -> String {
    let digits = format!("{value:.2e}").parse::<f64>().unwrap();
    digits.to_string()
}

/// What is eaten is the sum of the weeks, in every unit; the text says it, and from when to when.
#[test]
fn all_feed_of_a_bed_is_the_sum_of_its_weeks() {
    let body = json!({"castings_needed": [{"amount": "200 L", "by": "2027-04-15"}], "start_on": "2026-12-01",
        "feed_supply": {"material": "leaves_loose"}, "climate": "18 C"});
    let answer = ok("worm-beds", &body);
    let weeks = answer["weeks"].as_array().unwrap();
    let sum = |of: &str| weeks.iter().map(|week| week[of]["value"].as_f64().unwrap()).sum::<f64>();
    assert_near(&answer, "/feed/eaten/mass", sum("feed"));
    assert_near(&answer, "/feed/eaten/volume", sum("feed_volume"));
    let fed = weeks.iter().filter(|week| week["feed"]["value"].as_f64() > Some(0.0)).count();
    assert_eq!(answer["feed"]["eaten"]["weeks"], json!(fed));
    assert!(fed < weeks.len());
    let text = flat(form("worm-beds", "text/plain", &body).text());
    let said = format!(
        "Until 22 Feb 2027 it takes 213 kg of leaves (loose) in all, 2840 L, in {fed} weeks: 14.1 to 21.6 kg a week."
    );
    assert!(text.contains(&said), "{said}\n{text}");
}

/// Where it is too hot from the first day on, no worms eat either: then the bed is to be kept cooler.
#[test]
fn a_bed_that_is_too_hot_is_not_said_to_be_cold() {
    let hot = json!({"start_on": "2027-04-01", "climate": "50 C", "worms": "0.5 kg",
        "feed_supply": {"material": "kitchen_scraps", "each_week": "7 kg"}});
    let detail = errors("worm-beds", &hot)[0]["detail"].as_str().unwrap().to_owned();
    assert!(detail.contains("kills the worms on 1 Apr 2027") && detail.contains("below 35 C"), "{detail}");
    assert!(!detail.contains("warm"), "{detail}");
}

/// The lots of two forecasts are the same, but for what nine digits leave.
fn assert_same_lots(sized: &Value, other: &Value) {
    let lots = |of: &Value| of.as_array().unwrap().clone();
    let (sized, other) = (lots(sized), lots(other));
    assert_eq!(sized.len(), other.len());
    for (one, two) in sized.iter().zip(&other) {
        assert_eq!((&one["ready"], &one["eaten_on"]), (&two["ready"], &two["eaten_on"]));
        assert_near(two, "/castings/volume", value(one, "/castings/volume"));
    }
}

#[test]
fn the_bed_of_the_answer_is_accepted_unchanged_by_harvests_and_seasons() {
    let mut lots = 0;
    for path in demo_files("worm-beds") {
        let body: Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        for units in ["metric", "us"] {
            let answer = ok("worm-beds", &with(&body, "/units", json!(units)));
            let containers = body.get("containers").cloned().unwrap_or_else(|| json!([]));
            let harvests =
                json!({"units": units, "containers": containers, "worm_beds": [answer["worm_bed"]["harvests"]]});
            let harvests = ok("harvests", &harvests);
            assert_same_lots(&answer["lots"], &harvests["worm_beds"][0]["forecast"]["lots"]);
            let season = json!({
                "units": units, "containers": containers, "simulation_runs": 0,
                "until": answer["worm_bed"]["harvests"]["forecast"]["until"],
                "worm_beds": [answer["worm_bed"]["seasons"]], "demands": [{"name": "beds", "amount": "10 L"}],
            });
            let season = ok("seasons", &season);
            assert_same_lots(&answer["lots"], &season["worm_beds"][0]["forecast"]["lots"]);
            lots += answer["lots"].as_array().unwrap().len();
        }
    }
    assert!(lots >= 8, "{lots}");
}

#[test]
fn amounts_of_materials_come_each_week_and_may_be_named_by_containers() {
    let body = demo("worm-beds/school-garden.json");
    let answer = ok("worm-beds", &body);
    // 5 kg of scraps, and a bucket of 12 L of leaves.
    let leaves = value(&answer, "/feed/a_week") - 5.0;
    assert!(leaves > 0.5 && leaves < 6.0, "{leaves}");
    let bins = &answer["bins"];
    assert_near(bins, "/ground", 0.24);
    let count = bins["count"].as_f64().unwrap();
    assert!((value(&answer, "/ground/bed") - 0.24 * count).abs() < 1e-8);
    assert!(value(&answer, "/ground/bed") >= value(&answer, "/ground/with_room"));
    assert_eq!(answer["weeks"][0]["feed_in_containers"][0]["unit"], "bucket");
}

#[test]
fn leaves_of_autumn_wait_over_a_cold_winter() {
    let answer = ok("worm-beds", &demo("worm-beds/leaves-of-autumn.json"));
    let winter = &answer["winter"];
    assert!(winter["start_on"].as_str().unwrap() > "2027-11-20" && winter["end_on"].as_str().unwrap() < "2028-03-15");
    assert!(value(&answer, "/surplus_feed/mass") >= value(winter, "/feed_waiting"));
    assert!(answer["surplus_feed"]["advice"].as_str().unwrap().contains("freeze"));
}

/// By hand: 7 kg with 80 % water are 1.4 kg of dry matter, whose castings are 3.08 L, 2.464 L sieved, whenever they come.
#[test]
fn a_late_delivery_makes_castings_once() {
    let of = |day: &str| {
        let supply = json!({"moisture": "80 %", "ash": "15 %", "deliveries": [{"on": day, "amount": "7 kg"}]});
        with(&worked(), "/feed_supply", supply)
    };
    for day in ["2027-04-01", "2028-03-31"] {
        let answer = ok("worm-beds", &of(day));
        assert!(answer["feed"].get("castings_a_year").is_none());
        assert_near(&answer, "/feed/castings_of_all/volume", 2.464);
        assert_near(&answer, "/feed/oversize_of_all", 3.08 - 2.464);
        assert_near(&answer, "/worms/needed", 1.4 / 366.0 / 0.15);
    }
    assert_eq!(ok("worm-beds", &of("2028-03-31"))["limiting_factor"], "time");
    let whole = form("worm-beds", "text/plain", &of("2027-04-01")).text().to_owned();
    assert!(!whole.contains("caught up"), "{whole}");
    let text = flat(form("worm-beds", "text/plain", &of("2028-03-31")).text());
    assert!(text.contains("comes too late to be eaten by the last day"), "{text}");
    assert!(
        text.contains("All this feed gives 2.46 L of sieved castings") && !text.contains("castings a year"),
        "{text}"
    );
}

#[test]
fn what_cannot_be_sized_is_refused_where_it_is() {
    let of = |pointer: &str, value: Value| reported("worm-beds", &with(&worked(), pointer, value));
    assert_eq!(of("/feed_supply/each_week", json!(null)), ["/feed_supply/each_week missing_field"]);
    assert_eq!(
        of("/castings_needed", json!([{"by": "2028-01-01", "amount": "9 L"}])),
        ["/castings_needed not_allowed_here"]
    );
    assert_eq!(of("/feed_supply/each_week", json!(7)), ["/feed_supply/each_week unit_missing"]);
    assert_eq!(of("/until", json!("2027-04-05")), ["/until out_of_range"]);
    assert_eq!(of("/until", json!("2037-04-05")), ["/until out_of_range"]);
    assert_eq!(of("/climate", json!("3 C")), ["/climate impossible_value"]);
    assert_eq!(of("/bins", json!({"capacity": "40 kg"})), ["/bins/capacity unit_does_not_fit"]);
    assert_eq!(of("/layers_per_cycle", json!(0)), ["/layers_per_cycle out_of_range"]);
    let castings = |by: &str| {
        json!({"start_on": "2027-04-01", "climate": "20 C", "feed_supply": {"material": "leaves_shredded"},
            "castings_needed": [{"by": by, "amount": "9 L"}]})
    };
    for by in ["2027-03-20", "2027-04-02", "2027-04-20"] {
        assert_eq!(reported("worm-beds", &castings(by)), ["/castings_needed/0/by dates_out_of_order"]);
    }
    let two = with(
        &castings("2027-04-02"),
        "/castings_needed",
        json!([
            {"by": "2028-02-01", "amount": "9 L"}, {"by": "2027-05-01", "amount": "9 L"}, {"by": "2027-04-02", "amount": "9 L"}
        ]),
    );
    let found = errors("worm-beds", &with(&two, "/until", json!("2028-03-01")));
    assert_eq!(brief(&found), ["/castings_needed/1/by dates_out_of_order", "/castings_needed/2/by dates_out_of_order"]);
    let detail = found[0]["detail"].as_str().unwrap();
    assert!(detail.contains("take 90 days in this climate and are ready on 2027-06-30"), "{detail}");
    let bins = |capacity: &str| json!({"capacity": capacity, "ground": {"kind": "area", "area": "200 m2"}});
    assert_eq!(of("/bins", bins("1 L")), ["/bins/capacity out_of_range"]);
    assert_eq!(of("/bins", json!({"capacity": "1000000 L"})), ["/bins/capacity out_of_range"]);
    assert_eq!(of("/ground", json!({"kind": "area", "area": "90000 m2"})), ["/ground out_of_range"]);
    let late = with(&castings("2028-04-20"), "/until", json!("2028-04-01"));
    assert_eq!(reported("worm-beds", &late), ["/castings_needed/0/by dates_out_of_order"]);
    let bought = with(&castings("2028-04-20"), "/worms_to_buy", json!("1 kg"));
    assert_eq!(reported("worm-beds", &bought), ["/worms_to_buy not_allowed_here"]);
    let dated = with(&worked(), "/feed_supply", json!({"material": "leaves_shredded", "deliveries": []}));
    assert_eq!(reported("worm-beds", &dated), ["/feed_supply/deliveries wrong_length"]);
    let late = json!({"material": "leaves_shredded", "deliveries": [{"on": "2028-10-01", "amount": "9 kg"}]});
    assert_eq!(of("/feed_supply", late), ["/feed_supply/deliveries/0/on dates_out_of_order"]);
}

#[test]
fn an_assumption_of_layers_counts() {
    let body = with(&worked(), "/assumptions", json!({"bed.layers_per_cycle": 1}));
    let (one, usual) = (ok("worm-beds", &body), ok("worm-beds", &with(&worked(), "/assumptions", json!({}))));
    assert!(one["lots"].as_array().unwrap().len() > usual["lots"].as_array().unwrap().len());
    let rules =
        |answer: &Value| answer["cautions"].as_array().unwrap().iter().map(|it| it["rule"].clone()).collect::<Vec<_>>();
    assert!(!rules(&one).contains(&json!("assumption_not_used")), "{:?}", rules(&one));
}

/// Most of the last delivery still lies there on the last day, so the bed does not eat all that comes, whatever it ate before.
#[test]
fn feed_on_dates_is_eaten_once_the_last_of_it_is() {
    let of = |last: &str, until: &str| {
        let deliveries = json!([{"on": "2027-04-01", "amount": "20 kg"}, {"on": last, "amount": "19 kg"}]);
        json!({
            "climate": "20 C", "start_on": "2027-04-01", "until": until,
            "feed_supply": {"moisture": "80 %", "ash": "15 %", "deliveries": deliveries},
        })
    };
    let late = ok("worm-beds", &of("2028-03-01", "2028-03-31"));
    assert_ne!(late["limiting_factor"], "feed");
    assert!(late["weeks"].as_array().unwrap().last().unwrap()["waiting"]["value"].as_f64().unwrap() > 10.0);
    assert!(late["cautions"].as_array().unwrap().iter().any(|caution| caution["rule"] == "feed_not_eaten"));
    let early = of("2027-10-01", "2028-03-31");
    assert_eq!(ok("worm-beds", &early)["limiting_factor"], "feed");
    let text = flat(form("worm-beds", "text/plain", &early).text());
    assert!(text.contains("eats all of this feed") && !text.contains("a year"), "{text}");
}

/// Feed that comes once waits for the worms; feed of each week is enough for them from a day on. Neither text says of what is left that it
/// is eaten.
#[test]
fn what_the_worms_can_eat_and_what_is_left_agree() {
    let of = |worms: &str, supply: Value| {
        let body = json!({"start_on": "2026-10-15", "until": "2027-10-14", "climate": "60 F", "worms": worms, "feed_supply": supply,
                          "ground": {"kind": "area", "area": "3 m2"}});
        let left =
            ok("worm-beds", &body)["weeks"].as_array().unwrap().last().unwrap()["waiting"]["value"].as_f64().unwrap();
        let text = flat(form("worm-beds", "text/plain", &body).text());
        let three: f64 = format!("{left:.2e}").parse().unwrap();
        (text, format!("{three} kg of feed are left at the end"), left)
    };
    let once =
        |amount: &str| json!({"material": "leaves_shredded", "deliveries": [{"on": "2026-10-15", "amount": amount}]});
    let weekly = |amount: &str| json!({"material": "leaves_shredded", "each_week": amount});
    let (few, waits, _) = of("2 kg", once("460 kg"));
    assert!(
        few.contains("too few worms for all of this feed in this plan; buy ") && few.contains(&waits),
        "{waits}: {few}"
    );
    assert!(!few.contains("enough"), "{few}");
    let (plenty, _, left) = of("7 kg", once("460 kg"));
    assert!(
        left == 0.0 && plenty.contains("The bed eats all of this feed by ") && !plenty.contains("are left"),
        "{plenty}"
    );
    assert!(plenty.contains("enough worms from the first day for this feed, if they get it bit by bit"), "{plenty}");
    let (grow, waits, _) = of("2.2 kg", weekly("9 kg"));
    assert!(grow.contains(" there are enough worms for the feed of a year"), "{grow}");
    assert!(
        grow.contains(&format!("Not all of the feed that waits by then is eaten in this plan. {waits}")),
        "{waits}: {grow}"
    );
    let (eats, _, _) = of("7 kg", weekly("9 kg"));
    assert!(eats.contains("Over a year the bed eats all that comes") && !eats.contains("are left"), "{eats}");
}

/// A summer is no year, a winter may leave feed, and frost may end it: the sentence on what is eaten says so.
#[test]
fn what_the_bed_eats_is_said_of_the_days_that_were_asked() {
    let means = |january: i32| json!({"unit": "C", "monthly_means": [january, 3, 6, 9, 14, 18, 20, 19, 15, 9, 5, 3], "offset": 2});
    let body = json!({"start_on": "2027-05-01", "climate": means(3), "feed_supply": {"material": "kitchen_scraps", "each_week": "7 kg"}});
    let text = |body: &Value| flat(form("worm-beds", "text/plain", body).text());
    let summer = text(&with(&body, "/until", json!("2027-07-31")));
    assert!(summer.contains("enough worms from the first day for the feed that comes in this plan"), "{summer}");
    assert!(summer.contains("In this plan the bed eats all that comes; more feed"), "{summer}");
    let answer = ok("worm-beds", &body);
    let waits = answer["weeks"].as_array().unwrap().last().unwrap()["waiting"]["value"].as_f64().unwrap();
    assert!(answer["limiting_factor"] == "feed" && waits > 7.0, "{waits}");
    let year = text(&body);
    assert!(
        year.contains(&format!("Over a year the bed eats all that comes but {waits:.1} kg that wait at its end;")),
        "{waits}: {year}"
    );
    let frost = text(&with(&body, "/climate", means(-2)));
    assert!(frost.contains("Until the worms die on 9 Jan 2028 the bed eats all that comes"), "{frost}");
    assert!(!frost.contains("Over a year"), "{frost}");
}

/// Leaves of autumn that are eaten in spring: nothing comes then until the last day of the plan.
#[test]
fn worms_without_feed_for_months_are_said_with_the_days() {
    let feed = json!({"moisture": "80 %", "ash": "15 %", "deliveries": [{"on": "2027-04-01", "amount": "70 kg"}]});
    let body = json!({"start_on": "2027-04-01", "until": "2027-12-31", "climate": "20 C", "feed_supply": feed, "worms_to_buy": "2 kg"});
    let answer = ok("worm-beds", &body);
    let (from, to) =
        (answer["without_feed"]["start_on"].as_str().unwrap(), answer["without_feed"]["end_on"].as_str().unwrap());
    let [from, to] = [from, to].map(|day| day.parse::<chrono::NaiveDate>().unwrap());
    assert!(answer["cautions"].as_array().unwrap().iter().any(|caution| caution["rule"] == "worms_unfed"));
    let say = format!(
        "The worms have no feed from {} to {}, {} days.",
        from.format("%-d %b %Y"),
        to.format("%-d %b %Y"),
        (to - from).num_days()
    );
    for accept in ["text/plain", "text/html"] {
        let text = form("worm-beds?width=400", accept, &body).text().to_owned();
        assert!(text.contains(&say), "{say}: {text}");
    }
    let fed = ok("worm-beds", &worked());
    assert!(fed.get("without_feed").is_none());
}
