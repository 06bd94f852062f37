//! `POST /v1/applications`: the worked numbers, and what holds of every answer.

use crate::support::{area, bed, brief, demo, errors, flat, get, keys, ok, post, q, reported, with};
use serde_json::{Value, json};

fn kitchen_garden() -> Value {
    ok("applications", &demo("applications/kitchen-garden.json"))
}

#[test]
fn the_kitchen_garden_takes_the_worked_volumes_and_buckets() {
    let answer = kitchen_garden();
    let wanted = [
        ("carrot rows", json!(48), json!(4)),
        ("salad bed", json!(57.6), json!(4.8)),
        ("tomatoes", json!(6), json!(0.5)),
        ("potting mix", json!(18), json!(1.5)),
    ];
    let areas = answer["areas"].as_array().unwrap();
    assert_eq!(areas.len(), wanted.len());
    for (area, (name, litres, buckets)) in areas.iter().zip(wanted) {
        assert_eq!(area["name"], name);
        assert_eq!(area["castings"]["volume"], q(litres, "L"), "{name}");
        assert_eq!(area["castings"]["in_containers"], json!([q(buckets, "bucket")]), "{name}");
    }
}

#[test]
fn the_total_is_129_6_litres_and_58_to_117_kilograms() {
    let total = &kitchen_garden()["total"]["castings"];
    assert_eq!(total["volume"], q(json!(129.6), "L"));
    assert_eq!(total["mass"], json!({"value": 77.76, "low": 58.32, "high": 116.64, "unit": "kg"}));
    assert_eq!(total["in_containers"], json!([q(json!(10.8), "bucket")]));
}

#[test]
fn the_carrot_rows_are_reported_in_full() {
    let answer = kitchen_garden();
    let rows = &answer["areas"][0];
    assert_eq!(rows["surface_area"], q(json!(4.8), "m2"));
    assert_eq!(rows["row_length"], q(json!(24), "m"));
    assert_eq!(rows["depth"], q(json!(10), "mm"));
    assert_eq!(rows["castings"]["mass"], json!({"value": 28.8, "low": 21.6, "high": 43.2, "unit": "kg"}));
    let nitrogen = &rows["nutrients"]["nitrogen"];
    assert_eq!(nitrogen["mass"], json!({"value": 216, "low": 96, "high": 540, "unit": "g"}));
    assert_eq!(nitrogen["per_area"], json!({"value": 45, "low": 20, "high": 112.5, "unit": "g/m2"}));
    // 14.4 kg of dry matter, half of it ash: by low and high 9.6 kg x 30 % and 21.6 kg x 70 %.
    let organic = &rows["nutrients"]["organic_matter"];
    assert_eq!(organic["mass"], json!({"value": 7.2, "low": 2.88, "high": 15.12, "unit": "kg"}));
    assert_eq!(organic["per_area"], json!({"value": 1.5, "low": 0.6, "high": 3.15, "unit": "kg/m2"}));
}

#[test]
fn keys_are_in_the_documented_order() {
    let answer = kitchen_garden();
    assert_eq!(keys(&answer), ["computed_with", "units", "total", "areas", "assumptions", "cautions"]);
    let rows = &answer["areas"][0];
    let shown = ["name", "surface_area", "depth", "castings", "nutrients", "cautions"];
    let mut found = keys(rows);
    found.retain(|key| shown.contains(key));
    assert_eq!(found, shown);
    assert_eq!(keys(&rows["castings"]), ["volume", "mass", "in_containers"]);
    let nutrients =
        ["nitrogen", "available_nitrogen", "phosphorus", "phosphate", "potassium", "potash", "organic_matter"];
    assert_eq!(keys(&rows["nutrients"]), nutrients);
    assert_eq!(keys(&rows["castings"]["mass"]), ["value", "low", "high", "unit"]);
    assert_eq!(keys(&answer["assumptions"][0]), ["id", "value", "set_by", "source", "measure_it"]);
}

#[test]
fn the_same_request_gives_the_same_bytes() {
    for file in ["kitchen-garden", "by-nitrogen", "one-bed"] {
        let body = demo(&format!("applications/{file}.json"));
        assert_eq!(post("applications", &body).bytes, post("applications", &body).bytes);
    }
}

#[test]
fn ids_and_names_come_back_unchanged_and_in_order() {
    let place = bed()["areas"][0].clone();
    let names = ["<b>", "Möhren \u{1f955}", "=1+1", "a", "a", "\u{202e}x", " "];
    let areas: Vec<Value> = names.iter().map(|name| with(&place, "/name", json!(name))).collect();
    let answer = ok("applications", &json!({"id": "plan", "name": "spring", "areas": areas}));
    assert_eq!((&answer["id"], &answer["name"]), (&json!("plan"), &json!("spring")));
    assert_eq!(keys(&answer)[..3], ["computed_with", "id", "name"]);
    let echoed: Vec<&str> = answer["areas"].as_array().unwrap().iter().map(|a| a["name"].as_str().unwrap()).collect();
    assert_eq!(echoed, names);
}

#[test]
fn every_ground_comes_to_its_area() {
    let corners = json!([{"x": 0, "y": 0}, {"x": 4, "y": 0}, {"x": 4.0, "y": 3}]);
    for (surface, wanted) in [
        (json!({"kind": "rectangle", "length": "2.4 m", "width": "1.2 m"}), json!(2.88)),
        (json!({"kind": "rectangle", "length": "2.4 m", "width": "1.2 m", "count": 3}), json!(8.64)),
        (json!({"kind": "circle", "diameter": "3 m"}), json!(7.06858347)),
        (json!({"kind": "ring", "diameter": "2 m", "inner_diameter": "1 m"}), json!(2.35619449)),
        (json!({"kind": "rows", "count": 4, "length": "6 m", "band_width": "20 cm"}), json!(4.8)),
        (json!({"kind": "polygon", "unit": "m", "corners": corners}), json!(6)),
        (json!({"kind": "area", "area": "0.5 ha", "count": 2}), json!(10000)),
    ] {
        let answer = ok("applications", &area(&surface, &json!({"kind": "depth", "amount": "1 cm"})));
        assert_eq!(answer["areas"][0]["surface_area"], q(wanted, "m2"), "{surface}");
    }
}

#[test]
fn rates_give_the_volumes_of_their_formulas() {
    let two = json!({"kind": "rectangle", "length": "2 m", "width": "1 m"});
    let planted = json!({"kind": "planted_rows", "count": 2, "length": "6 m", "spacing": "50 cm"});
    let fill = json!({"kind": "bed_fill", "ground": two, "depth": "30 cm"});
    for (surface, kind, amount, litres) in [
        (&two, "depth", "1 cm", json!(20)),
        (&two, "mass_per_area", "3 kg/m2", json!(10)),
        (&two, "volume_per_area", "5 L/m2", json!(10)),
        (&two, "available_nitrogen", "4.5 g/m2", json!(20)),
        (&planted, "volume_per_length", "0.5 L/m", json!(6)),
        (&fill, "share_of_mix", "20 %", json!(120)),
    ] {
        let answer = ok("applications", &area(surface, &json!({"kind": kind, "amount": amount})));
        assert_eq!(answer["areas"][0]["castings"]["volume"]["value"], litres, "{kind}");
    }
}

#[test]
fn a_rate_that_does_not_fit_names_those_that_would() {
    let plants = json!({"kind": "plants", "count": 3});
    let found = errors("applications", &area(&plants, &json!({"kind": "depth", "amount": "1 cm"})));
    assert_eq!(brief(&found), ["/areas/0/rate rate_does_not_fit"]);
    assert_eq!(found[0]["allowed"], json!(["per_plant"]));
}

#[test]
fn duplicate_names_are_distinguished_by_index_and_duplicate_ids_refused() {
    let place = with(&bed()["areas"][0], "/name", json!("bed"));
    ok("applications", &json!({"areas": [place, place]}));
    let marked = with(&place, "/id", json!("b1"));
    let body = json!({"areas": [marked, place, marked]});
    assert_eq!(reported("applications", &body), ["/areas/2/id repeated_id"]);
}

#[test]
fn ten_thousand_areas_are_answered_and_one_more_is_refused() {
    let place = bed()["areas"][0].clone();
    let many = ok("applications", &json!({"areas": vec![place.clone(); 10_000]}));
    assert_eq!(many["areas"].as_array().unwrap().len(), 10_000);
    assert_eq!(many["total"]["castings"]["volume"]["value"], 200_000);
    let found = errors("applications", &json!({"areas": vec![place; 10_001]}));
    assert_eq!(brief(&found), ["/areas wrong_length"]);
    assert_eq!(found[0]["max"], 10_000);
    assert!(found[0]["detail"].as_str().unwrap().contains("10000"), "{}", found[0]);
}

/// 6 m2 x 10 mm + 2 rows of 5 m x 20 cm x 10 mm + 6 m2 x 20 mm = 60 + 20 + 120 L on 6 m2: 33.3 mm.
#[test]
fn dressings_of_one_place_and_year_are_reported_together() {
    let answer = ok("applications", &demo("applications/one-bed-in-a-year.json"));
    let places = answer["places"].as_array().unwrap();
    assert_eq!(places.len(), 2);
    assert_eq!(places[0]["of"].as_array().unwrap().len(), 3);
    assert_eq!(places[0]["surface_area"]["value"], 6);
    assert_eq!(places[0]["depth"]["value"], 33.3333333);
    assert_eq!(places[0]["cautions"], json!(["thick_layer"]));
    assert_eq!(places[1]["cautions"], json!([]));
    let thick = answer["cautions"].as_array().unwrap().iter().find(|c| c["rule"] == "thick_layer").unwrap();
    assert_eq!(thick["at"], json!(["/areas/0", "/areas/1", "/areas/2"]));
    let sum: f64 = (0..3).map(|i| answer["areas"][i]["nutrients"]["nitrogen"]["mass"]["value"].as_f64().unwrap()).sum();
    assert!((places[0]["nutrients"]["nitrogen"]["mass"]["value"].as_f64().unwrap() / sum - 1.0).abs() < 1e-8);
}

#[test]
fn a_year_without_a_place_is_refused() {
    let body = with(&bed(), "/areas/0/year", json!(2027));
    let errors = errors("applications", &body);
    assert_eq!(
        (errors[0]["pointer"].as_str(), errors[0]["code"].as_str()),
        (Some("/areas/0/place"), Some("missing_field"))
    );
}

/// A cubic yard covers 324 square feet an inch deep: the label formula "cubic yards = square feet x inches x 0.0031" of the Cornell Waste
/// Management Institute, whose factor is 1/324.
#[test]
fn castings_for_the_whole_place_answer_the_depth_that_they_make() {
    let ground = json!({"kind": "area", "area": "324 ft2"});
    let answer = ok("applications", &json!({"units": "us", "areas": [{"surface": ground, "castings": "1 yd3"}]}));
    assert_eq!(answer["areas"][0]["depth"], q(json!(1), "in"));
    assert_eq!(answer["areas"][0]["rates"], json!([{"kind": "depth", "amount": q(json!(1), "in")}]));
    let answer = ok("applications", &demo("applications/what-there-is.json"));
    let rates: Vec<&Value> = answer["areas"].as_array().unwrap().iter().map(|area| &area["rates"]).collect();
    // 36 L on 2.88 m2; 20 L on 2 m2 and 10 m; 6 kg at 600 kg/m3 along 12 m with 48 plants; 6 L in 20 pots of 2 L.
    assert_eq!(rates[0], &json!([{"kind": "depth", "amount": q(json!(12.5), "mm")}]));
    assert_eq!(
        rates[1],
        &json!([{"kind": "depth", "amount": q(json!(10), "mm")}, {"kind": "volume_per_length", "amount": q(json!(2), "L/m")}])
    );
    assert_eq!(rates[2][1]["amount"]["value"], json!(0.208333333));
    assert_eq!(
        rates[3],
        &json!([{"kind": "per_plant", "amount": q(json!(0.3), "L")}, {"kind": "share_of_mix", "amount": q(json!(15), "%")}])
    );
    assert_eq!(answer["areas"][2]["castings"]["mass"], q(json!(6), "kg"), "a mass stays what it is");
}

#[test]
fn a_demand_takes_castings_for_its_place_and_answers_the_rate_that_it_gets() {
    let ground = json!({"kind": "rectangle", "length": "2 m", "width": "1 m"});
    let body =
        json!({"stock": [{"amount": "30 L"}], "demands": [{"application": {"surface": ground, "castings": "40 L"}}]});
    let demand = &ok("balances", &body)["demands"][0];
    assert_eq!(demand["needed"], q(json!(40), "L"));
    assert_eq!(demand["rate_allocated"], json!({"kind": "depth", "amount": q(json!(15), "mm")}));
}

#[test]
fn an_area_has_a_rate_or_castings() {
    let place = json!({"kind": "pots", "count": 10, "volume": "3 L"});
    let rate = json!({"kind": "share_of_mix", "amount": "20 %"});
    for (area, wanted) in [
        (json!({"surface": place}), "/areas/0/rate missing_field"),
        (json!({"surface": place, "rate": rate, "castings": "6 L"}), "/areas/0 exactly_one_of"),
        (json!({"surface": place, "castings": "31 L"}), "/areas/0/castings impossible_value"),
        (json!({"surface": place, "castings": "3 cm"}), "/areas/0/castings unit_does_not_fit"),
        (json!({"surface": place, "castings": 6}), "/areas/0/castings unit_missing"),
    ] {
        assert_eq!(reported("applications", &json!({"areas": [area]})), [wanted]);
    }
}

/// Each typical rate, asked by its use, is that of its likely amount; and what it says is what `GET /v1/rates` lists.
#[test]
fn a_typical_rate_is_its_likely_amount_and_shows_its_range_and_source() {
    let table = get("/v1/rates").json();
    let rows = table["rates"].as_array().unwrap();
    assert!(rows.len() >= 9);
    let rows_of_beans = json!({"kind": "rows", "count": 2, "length": "5 m", "band_width": "20 cm"});
    let pots = json!({"kind": "pots", "count": 12, "volume": "3 L"});
    for row in rows {
        let number = |bound: &str| row["amount"][bound].as_f64().unwrap();
        assert!(number("low") <= number("value") && number("value") <= number("high"), "{row}");
        let surface =
            if ["per_plant", "share_of_mix"].contains(&row["kind"].as_str().unwrap()) { &pots } else { &rows_of_beans };
        let amount = json!({"value": row["amount"]["value"], "unit": row["amount"]["unit"]});
        let asked = |rate: Value| {
            ok("applications", &json!({"areas": [{"surface": surface, "rate": rate}]}))["areas"][0].clone()
        };
        let (typical, plain) = (
            asked(json!({"kind": "typical", "purpose": row["purpose"]})),
            asked(json!({"kind": row["kind"], "amount": amount})),
        );
        assert_eq!(typical["castings"], plain["castings"], "{row}");
        assert_eq!(&typical["typical_rate"], row);
        assert!(plain.get("typical_rate").is_none());
    }
}

#[test]
fn a_typical_rate_fits_what_its_kind_fits() {
    let lawn = json!({"kind": "typical", "purpose": "lawn"});
    let found =
        reported("applications", &json!({"areas": [{"surface": {"kind": "plants", "count": 3}, "rate": lawn}]}));
    assert_eq!(found, ["/areas/0/rate rate_does_not_fit"]);
    let unknown = json!({"kind": "typical", "purpose": "lawns"});
    let body = json!({"areas": [{"surface": {"kind": "area", "area": "3 m2"}, "rate": unknown}]});
    let problem = post("applications", &body).json();
    assert_eq!(brief(problem["errors"].as_array().unwrap()), ["/areas/0/rate/purpose unknown_value"]);
    assert!(problem["errors"][0]["detail"].as_str().unwrap().contains("\"lawn\""), "{problem}");
}

/// 10 mm bring more than the 1 kg of phosphorus and the nitrogen of the depths to compare with; 1 mm does not.
#[test]
fn depths_to_compare_with_have_a_sentence_of_their_own_in_whole_millimetres() {
    let place = |name: &str, castings: &str| json!({"name": name, "surface": {"kind": "area", "area": "6 m2"}, "castings": castings});
    let said = |areas: Value, accept: &str| {
        let text = crate::support::form("applications", accept, &json!({"areas": areas})).text().to_owned();
        flat(&text)
    };
    let phosphorus = "About 1 mm (up to 3) brings the phosphorus that a crop takes in a year:";
    let nitrate = "About 4 mm (2 to 9) brings 170 kg of nitrogen per hectare, the yearly limit for manure in nitrate vulnerable zones \
                   (91/676/EEC):";
    for accept in ["text/plain", "text/html"] {
        let text = said(json!([place("carrots", "60 L"), place("beans", "12 L"), place("onions", "2 L")]), accept);
        for wanted in [
            format!("{phosphorus} carrots (10 mm) and beans (2 mm) get more."),
            format!("{nitrate} carrots (10 mm) gets more."),
        ] {
            assert!(text.contains(&wanted), "{wanted}\n{text}");
        }
        assert!(!text.contains("0.667"), "{text}");
    }
    // Less than either of them, and several times a year: 3 times 2 mm are 6 mm.
    let text = said(json!([place("onions", "2 L")]), "text/plain");
    assert!(text.contains(&format!("{nitrate} the place gets no more.")), "{text}");
    let mut often = place("beans", "12 L");
    often["repeat"] = json!({"every": "6 weeks", "times": 3});
    assert!(said(json!([often]), "text/plain").contains(&format!("{nitrate} beans (3 times 2 mm) gets more.")));
    often["repeat"] = json!({"every": "366 d", "times": 3});
    assert!(said(json!([often]), "text/plain").contains(&format!("{nitrate} the place gets no more.")));
    let pots = json!([{"surface": {"kind": "plants", "count": 4}, "rate": {"kind": "per_plant", "amount": "1 L"}}]);
    assert!(!said(pots, "text/plain").contains("What the soil takes"));
}
