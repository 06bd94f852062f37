//! One number for a spreadsheet cell.

use crate::support::{Answer, brief, get};

/// Gets a cell; `%` and spaces are as spreadsheets leave them or are encoded.
fn cell(path: &str, query: &str) -> Answer {
    get(&format!("/v1/{path}?{}", query.replace(' ', "%20")))
}

fn number(path: &str, query: &str) -> String {
    let answer = cell(path, query);
    assert_eq!(answer.status, 200, "{query}: {}", answer.text());
    assert_eq!(answer.header("content-type"), "text/plain; charset=utf-8");
    assert_eq!(answer.header("cache-control"), "no-store");
    answer.text().to_owned()
}

fn reported(path: &str, query: &str) -> Vec<String> {
    let answer = cell(path, query);
    assert_eq!(answer.status, 422, "{query}: {}", answer.text());
    crate::refusals::assert_problem(&answer);
    brief(answer.json()["errors"].as_array().unwrap())
}

const ROWS: &str = "length=6m&band_width=20cm&count=4&rate=1cm";

#[test]
fn the_worked_cell_answers_48() {
    assert_eq!(number("applications/volume", &format!("{ROWS}&unit=L")), "48");
    assert_eq!(number("applications/volume", ROWS), "48");
    assert_eq!(number("applications/mass", ROWS), "28.8");
    let bed = "length=3m&width=1m&material_depth=25cm&finished_share=80%&sieve_yield=70%";
    assert_eq!(number("harvests/volume", bed), "420");
    assert_eq!(number("harvests/volume", &format!("{bed}&of=stored")), "308");
    assert_eq!(number("brews/volume", "water=200 L&castings_to_water=1:10"), "20");
}

/// 100 L at 1:10 (1:20 to 1:5); 2 L/m2 on 20 m2 are 40 L of tea, of which 1 : 1 + 4 is brewed: 8 L, at 1:10.
#[test]
fn castings_for_a_brew_follow_its_ratio_its_bounds_the_tea_for_a_surface_and_its_dilution() {
    for (query, wanted) in [
        ("water=100L", "10"),
        ("water=100L&bound=low", "5"),
        ("water=100L&bound=high", "20"),
        ("water=100L&castings_to_water=1:10&bound=high", "10"),
        ("water=100L&castings_to_water=1:10&dilution=1:4", "10"),
        ("coverage=2L/m2&area=20m2&castings_to_water=1:10", "4"),
        ("coverage=2L/m2&area=20m2&castings_to_water=1:10&dilution=1:4", "0.8"),
        ("coverage=2L/m2&length=5m&width=4m&dilution=1:4&bound=high", "1.6"),
    ] {
        assert_eq!(number("brews/volume", query), wanted, "{query}");
    }
}

/// 3 m2 at 25 cm are 750 L, 80 % of them ready: 600 L, of which 80 % (60 to 95) pass the sieve.
#[test]
fn castings_of_a_bed_have_the_bounds_of_the_sieve() {
    let bed = "length=3m&width=1m&material_depth=25cm&finished_share=80%";
    for (more, wanted) in
        [("", "480"), ("&bound=low", "360"), ("&bound=high", "570"), ("&sieve_yield=70%&bound=low", "420")]
    {
        assert_eq!(number("harvests/volume", &format!("{bed}{more}")), wanted, "{more}");
    }
}

/// 48 L four times.
#[test]
fn an_application_that_repeats_answers_all_times_together() {
    let rows = format!("{ROWS}&repeat_every=6 weeks&repeat_times=4");
    assert_eq!(number("applications/volume", &rows), "192");
    assert_eq!(number("applications/mass", &rows), "115.2");
    for (query, wanted) in [
        ("repeat_every=6 weeks", "repeat_times missing_field"),
        ("repeat_times=4", "repeat_every missing_field"),
        ("repeat_every=12 h&repeat_times=4", "repeat_every out_of_range"),
        ("repeat_every=7 d&repeat_times=0", "repeat_times out_of_range"),
        ("repeat_every=7 d&repeat_times=some", "repeat_times bad_number"),
        ("repeat_every=7 d&repeat_times=2.5", "repeat_times not_an_integer"),
    ] {
        assert_eq!(reported("applications/volume", &format!("{ROWS}&{query}")), [wanted], "{query}");
    }
    // A rate that castings make is that of each time; how often is no question there.
    let rate = reported("applications/rate", "area=6m2&castings=60L&repeat_every=7 d&repeat_times=2");
    assert_eq!(rate, ["repeat_every unknown_parameter", "repeat_times unknown_parameter"]);
}

/// 60 L on 6 m2 are 10 L/m2, and at 600 (450 to 900) kg/m3 6 (4.5 to 9) kg/m2, whatever the layer settles to.
#[test]
fn a_rate_over_the_ground_is_answered_by_volume_and_by_mass() {
    let place = "length=6m&width=1m&castings=60L";
    for (query, wanted) in [
        ("unit=L/m2", "10"),
        ("unit=L/m2&settling=20%", "10"),
        ("unit=mm&settling=20%", "8"),
        ("unit=kg/m2", "6"),
        ("unit=kg/m2&bound=high", "9"),
        ("unit=t/ha&assume=castings.bulk_density:500 kg/m3", "50"),
        ("unit=ft3/ft2", "0.032808399"),
    ] {
        assert_eq!(number("applications/rate", &format!("{place}&{query}")), wanted, "{query}");
    }
    let by_mass = "area=2m2&castings=12kg";
    assert_eq!(number("applications/rate", &format!("{by_mass}&unit=kg/m2&bound=low")), "6");
    assert_eq!(number("applications/rate", &format!("{by_mass}&unit=L/m2")), "10");
    // What it answers is the rate that makes these castings.
    assert_eq!(number("applications/volume", "length=6m&width=1m&rate=6kg/m2"), "60");
    // Plants have no ground.
    assert_eq!(reported("applications/rate", "count=3&castings=6L&unit=L/m2"), ["unit unit_does_not_fit"]);
    // A rate that is given makes none.
    assert_eq!(reported("applications/rate", "area=2m2&rate=1cm&unit=kg/m2"), ["castings missing_field"]);
}

#[test]
fn a_unit_of_the_other_measure_is_refused_with_the_address_that_answers_it() {
    for (path, unit, wanted) in [
        ("volume", "unit=kg", "\"kg\" is a mass, but this must be a volume; for a mass ask /v1/applications/mass."),
        ("volume", "unit=sack&container=sack:20kg", "for a mass ask /v1/applications/mass."),
        ("mass", "unit=L", "\"L\" is a volume, but this must be a mass; for a volume ask /v1/applications/volume."),
        ("mass", "unit=bucket&container=bucket:10L", "for a volume ask /v1/applications/volume."),
    ] {
        let query = format!("{ROWS}&{unit}");
        let answer = cell(&format!("applications/{path}"), &query).json();
        let error = &answer["errors"][0];
        assert_eq!((&error["parameter"], &error["code"]), (&"unit".into(), &"unit_does_not_fit".into()), "{query}");
        let detail = error["detail"].as_str().unwrap();
        assert!(detail.ends_with(wanted), "{detail}");
        let line = number(&format!("applications/{path}"), &format!("{query}&errors=cell"));
        assert!(line.ends_with(wanted), "{line}");
    }
    for (path, unit) in [("volume", "m2"), ("volume", "kgs/m2"), ("mass", "mm"), ("mass", "stones")] {
        let answer = cell(&format!("applications/{path}"), &format!("{ROWS}&unit={unit}"));
        assert_eq!(answer.status, 422);
        assert!(!answer.text().contains("/v1/applications"), "{}", answer.text());
    }
}

/// A triangle with legs of 4 and 3 m has 6 m2, in a cell as in a body.
#[test]
fn corners_make_a_polygon() {
    assert_eq!(number("applications/volume", "corners=0 0, 4 0, 4 3 m&rate=1cm"), "60");
    assert_eq!(number("applications/volume", "corners=0 0; 4 0; 4 3 m&count=2&rate=1cm"), "120");
    assert_eq!(number("applications/volume", "corners=0 0; 4,5 0; 4,5 4 m&rate=1cm&decimal=comma"), "90");
    assert_eq!(
        number("harvests/volume", "corners=0 0,4 0,4 3 m&material_depth=10cm&finished_share=50%&sieve_yield=50%"),
        "150"
    );
    for (query, wanted) in [
        ("corners=0 0, 4 0, 4 3", "corners bad_text"),
        ("corners=0 0, 4 0, 4 3 kg", "corners unit_does_not_fit"),
        ("corners=0 0, 4 3 m", "corners wrong_length"),
    ] {
        assert_eq!(reported("applications/volume", &format!("{query}&rate=1cm")), [wanted], "{query}");
    }
}

#[test]
fn the_fields_given_decide_the_kind() {
    for (query, wanted) in [
        ("length=2.4 m&width=1.2 m&rate=2cm", "57.6"),
        ("count=24&rate=250mL", "6"),
        ("count=30&volume=3L&rate=20%", "18"),
        ("count=30&volume=3L&rate=20%25", "18"),
        ("area=12m2&rate=1cm", "120"),
        ("diameter=2m&rate=1cm", "31.4159265"),
        ("diameter=2m&inner_diameter=1m&rate=1cm", "23.5619449"),
        ("length=2m&width=1m&bed_fill_depth=30cm&rate=20%", "120"),
        ("length=6m&spacing=50cm&count=2&rate=0.5 L/m", "6"),
        ("length=6m&spacing=50cm&rate=100mL", "1.2"),
        ("area=2m2&rate=4.5g/m2&rate_kind=available_nitrogen", "20"),
        ("area=2m2&rate=3 kg/m2", "10"),
        ("length=1/4 in&width=1 m&rate=½ in", "0.0806"),
    ] {
        let found = number("applications/volume", query);
        assert!(found.starts_with(wanted), "{query}: {found}");
    }
}

#[test]
fn units_measures_bounds_and_the_decimal_mark_are_chosen() {
    for (more, wanted) in [
        ("unit=mL", "48000"),
        ("unit=m3", "0.048"),
        ("container=bucket:12 L&unit=buckets", "4"),
        ("container=bucket:12 L&container=scoop:1 L&unit=scoop", "48"),
        ("unit=m3&decimal=comma", "0,048"),
        ("unit=m3&decimal=point", "0.048"),
        ("bound=high", "48"),
        ("unit=&decimal=&errors=&width=", "48"),
    ] {
        assert_eq!(number("applications/volume", &format!("{ROWS}&{more}")), wanted, "{more}");
    }
    for (more, wanted) in [
        ("bound=low", "21.6"),
        ("bound=high", "43.2"),
        ("assume=castings.bulk_density:500 kg/m3", "24"),
        ("assume=castings.bulk_density:500 kg/m3&assume=castings.carbon_to_nitrogen:18.5", "24"),
    ] {
        assert_eq!(number("applications/mass", &format!("{ROWS}&{more}")), wanted, "{more}");
    }
}

#[test]
fn a_count_with_three_digits_behind_a_mark_can_be_read_in_two_ways() {
    for decimal in ["", "&decimal=comma"] {
        for count in ["1.000", "1,000", "4.500", "1e3"] {
            let query = format!("length=6m&band_width=20cm&count={count}&rate=1cm{decimal}");
            assert_eq!(reported("applications/volume", &query), ["count bad_number"], "{query}");
            let repeated = format!("{ROWS}&repeat_every=7 d&repeat_times={count}{decimal}");
            assert_eq!(reported("applications/volume", &repeated), ["repeat_times bad_number"], "{repeated}");
        }
    }
    for (count, wanted) in [("4.0", "48"), ("4,00", "48"), ("4", "48")] {
        for decimal in ["", "&decimal=comma"] {
            let query = format!("length=6m&band_width=20cm&count={count}&rate=1cm{decimal}");
            assert_eq!(number("applications/volume", &query), wanted, "{query}");
        }
    }
    for count in ["1.5", "4,5"] {
        let query = format!("length=6m&band_width=20cm&count={count}&rate=1cm");
        assert_eq!(reported("applications/volume", &query), ["count not_an_integer"], "{query}");
    }
    let answer = cell("applications/volume", "length=6m&band_width=20cm&count=1,000&rate=1cm");
    let detail = answer.json()["errors"][0]["detail"].to_string();
    assert!(detail.contains("1 or 1000") && !detail.contains("decimal=comma"), "{detail}");
}

#[test]
fn a_point_between_digits_is_refused_where_the_decimal_mark_is_a_comma() {
    for (query, parameter) in [
        ("length=1.000m&width=1m&rate=1cm", "length"),
        ("length=6m&width=1.500m&rate=1cm", "width"),
        ("length=6m&width=1m&rate=1.5 cm", "rate"),
        ("length=6m&width=1m&rate=1.000,5 cm", "rate"),
        ("length=6m&width=1m&rate=1 cm&container=bucket:1.000 L", "container"),
        ("length=6m&width=1m&rate=1 cm&assume=castings.bulk_density:1.000 kg/m3", "assume"),
    ] {
        let query = format!("{query}&decimal=comma");
        assert_eq!(reported("applications/volume", &query), [format!("{parameter} bad_number")], "{query}");
        let detail = cell("applications/volume", &query).json()["errors"][0]["detail"].to_string();
        assert!(detail.contains("with decimal=comma the decimal mark is a comma"), "{detail}");
        assert!(!detail.contains("add decimal=comma"), "{detail}");
    }
    let refused = cell("applications/volume", "length=1.000m&width=1m&rate=1cm&decimal=comma").json();
    let detail = refused["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.starts_with("\"1.000m\" can be read in two ways: write \"1,000m\" or \"1000m\""), "{detail}");
}

#[test]
fn faults_of_a_cell_name_the_parameter_and_nothing_follows_from_them() {
    for (query, wanted) in [
        ("length=6m&band_width=20cm&count=4.5&rate=1cm", vec!["count not_an_integer"]),
        ("length=6m&band_width=20cm&count=four&rate=1cm", vec!["count bad_number"]),
        ("length=6m&band_width=20cm&count=0&rate=1cm", vec!["count out_of_range"]),
        ("length=6m&band_width=20cm&count=-3&rate=1cm", vec!["count out_of_range"]),
        ("length=6m&band_width=20cm&count=1e308&rate=1cm", vec!["count bad_number"]),
        ("length=6&band_width=20cm&rate=1cm", vec!["length unit_missing"]),
        ("length=6m&band_width=20cm&rate=1", vec!["rate unit_missing"]),
        ("length=6m&band_width=20cm", vec!["rate missing_field"]),
        ("length=6m&rate=1cm", vec!["surface missing_field"]),
        ("", vec!["surface missing_field", "rate missing_field"]),
        ("length=6m&band_width=20cm&rate=1cm&length=7m", vec!["length repeated_parameter"]),
        ("lenght=6m&band_width=20cm&rate=1cm", vec!["lenght unknown_parameter", "length missing_field"]),
        ("length=6m&band_width=20cm&rate=1cm&unit=kg", vec!["unit unit_does_not_fit"]),
        ("length=6m&band_width=20cm&rate=1cm&unit=bucket", vec!["unit unknown_unit"]),
        ("length=6m&band_width=20cm&rate=1cm&container=bucket", vec!["container bad_text"]),
        ("length=6m&band_width=20cm&rate=1cm&assume=castings.weight:3 kg", vec!["assume unknown_assumption"]),
        ("length=6m&band_width=20cm&rate=1cm&decimal=coma", vec!["decimal unknown_value"]),
        ("length=6m&band_width=20cm&rate=1cm&rate_kind=deep", vec!["rate_kind unknown_kind"]),
        ("count=24&rate=1cm", vec!["rate rate_does_not_fit"]),
        ("length=1e308m&band_width=20cm&rate=NaN cm", vec!["length out_of_range", "rate bad_number"]),
    ] {
        assert_eq!(reported("applications/volume", query), wanted, "{query}");
    }
}

/// A rate that cannot be read is refused as one that the place takes.
#[test]
fn a_rate_without_a_unit_is_led_to_one_that_its_place_takes() {
    for (place, rate, words) in [
        ("count=5", "5", "a volume per plant or a mass per plant"),
        ("count=5", "3 pails", "a volume per plant or a mass per plant"),
        ("count=3&volume=5 L", "5", "a volume per plant or a mass per plant"),
        ("area=2m2", "5", "a length"),
        ("area=2m2&bed_fill_depth=20cm", "5", "a share"),
    ] {
        let answer = cell("applications/volume", &format!("{place}&rate={rate}")).json();
        let detail = answer["errors"][0]["detail"].as_str().unwrap();
        assert_eq!(answer["errors_total"], 1, "{answer}");
        assert!(detail.contains(words) && !detail.contains("length or"), "{place}: {detail}");
    }
    let missing = cell("applications/volume", "count=5").json()["errors"][0]["detail"].to_string();
    assert!(missing.contains("such as 250 mL"), "{missing}");
}

#[test]
fn a_container_that_is_refused_is_all_that_is_wrong() {
    for place in ["count=5&rate=3 buckets", "area=2m2&rate=1 bucket/m2", "area=2m2&castings=1 bucket"] {
        for capacity in ["12", "12 m", "x"] {
            let query = format!("{place}&container=bucket:{capacity}");
            assert_eq!(reported("applications/volume", &query).len(), 1, "{query}");
            assert!(reported("applications/volume", &query)[0].starts_with("container "), "{query}");
        }
    }
}

#[test]
fn errors_may_be_shown_inside_the_cell() {
    let line = number("applications/volume", "length=6&band_width=20cm&rate=1&errors=cell");
    assert!(line.starts_with("# ") && line.lines().count() == 1, "{line}");
    assert!(line.contains("6 has no unit") && line.contains("1 has no unit"), "{line}");
}

#[test]
fn a_query_that_is_too_long_is_refused_once() {
    let query = format!("{ROWS}&unit={}", "L".repeat(9_000));
    assert_eq!(reported("applications/volume", &query), [" too_large"]);
}

#[test]
fn odd_bytes_in_a_query_do_no_harm() {
    for query in
        ["%", "%%", "%zz", "%ff%fe", "=", "&&&", "a=b=c", "rate=%00", "length=\u{fffd}&rate=1cm", "%F0%9F%A5%95=1"]
    {
        let answer = cell("applications/volume", query);
        assert_eq!(answer.status, 422, "{query}");
        crate::refusals::assert_problem(&answer);
    }
}

#[test]
fn a_decimal_comma_is_read_where_the_caller_says_so() {
    let comma = "length=6,5m&band_width=20cm&count=4&rate=1,5cm&decimal=comma";
    assert_eq!(number("applications/volume", comma), "78");
    assert_eq!(number("applications/mass", "length=6,5m&band_width=20cm&rate=1cm&decimal=comma"), "7,8");
}

#[test]
fn a_number_with_a_comma_gets_the_hint_of_decimal_comma() {
    for (query, parameter, hint) in [
        ("length=6,5m&band_width=20cm&rate=1cm", "length", "To read it as 6.5m, add decimal=comma"),
        ("length=6m&band_width=20cm&rate=1,5cm", "rate", "To read it as 1.5cm, add decimal=comma"),
    ] {
        assert_eq!(reported("applications/volume", query), [format!("{parameter} bad_number")], "{query}");
        let detail = cell("applications/volume", query).json()["errors"][0]["detail"].clone();
        assert!(detail.as_str().unwrap().contains(hint), "{query}: {detail}");
    }
    let line = number("applications/volume", "length=6,5m&band_width=20cm&rate=1cm&errors=cell");
    assert!(line.contains("decimal=comma"), "{line}");
    // Neither without a comma nor with one that is elsewhere.
    for query in ["length=6.5.1m&band_width=20cm&rate=1cm", "length=a,b&band_width=20cm&rate=1cm"] {
        let detail = cell("applications/volume", query).json()["errors"][0]["detail"].clone();
        assert!(!detail.as_str().unwrap().contains("decimal=comma"), "{query}: {detail}");
    }
}

/// Nothing is left out of account in silence.
#[test]
fn a_kind_of_rate_without_a_rate_is_refused() {
    for path in ["applications/volume", "applications/rate"] {
        let query = "length=6m&width=1m&castings=60L&rate_kind=available_nitrogen";
        assert_eq!(reported(path, query), ["rate_kind not_allowed_here"], "{path}");
    }
}

/// A line in a cell names the parameter, and says what to write in an address.
#[test]
fn a_line_in_a_cell_names_each_parameter_and_holds_no_json() {
    let line = |query: &str| number("applications/volume", &format!("{query}&errors=cell"));
    for (query, wanted) in [
        (
            "lenght=4m&width=2m&rate=1cm",
            "# lenght: There is no such parameter here. Did you mean length? length: This parameter is missing. Give it, as in length=6m.",
        ),
        ("length=4m&width=2m&rate=1cm&unti=L", "# unti: There is no such parameter here. Did you mean unit?"),
        ("length=4m&band=2m&rate=1cm", "# band: There is no such parameter here. Did you mean band_width?"),
        ("length=4m&width=2m&rate=1cm&colour=red", "# colour: There is no such parameter here. Remove it."),
        ("length=0m&width=2m&rate=1cm", "# length: A length here must be from "),
        ("length=4m&rate=1cm", "length and band_width, diameter"),
        (
            "surface=circle&diameter=1m&width=2m&rate=1cm",
            "# width: The other parameters describe something that has no width. Remove it.",
        ),
        ("area=4m2&rate=2 buckets", "name the container in the address, as in container=bucket:12 L"),
        ("area=4m2&rate=1cm&unit=bucket", "# unit: \"bucket\" is not a known unit"),
    ] {
        let line = line(query);
        assert!(line.contains(wanted), "{query}: {line}");
        assert!(!line.contains('{') && !line.contains("in quotes") && !line.contains("field"), "{query}: {line}");
    }
    // What the line says to write works.
    assert_eq!(number("applications/volume", "length=6m&band_width=20cm&rate=1cm"), "12");
}

/// Worm beds lie on open ground: only that is offered.
#[test]
fn a_cell_of_a_bed_offers_ground_alone() {
    let bed = "material_depth=25cm&finished_share=80%";
    for query in [bed.to_owned(), format!("{bed}&count=12"), format!("{bed}&volume=3L")] {
        let line = number("harvests/volume", &format!("{query}&errors=cell"));
        assert_eq!(
            line, "# surface: Describe the place: length and width, length and band_width, diameter, or area.",
            "{query}"
        );
    }
    assert_eq!(number("harvests/volume", &format!("{bed}&area=3m2&sieve_yield=70%")), "420");
}

/// What a cell says to write is written as in an address.
#[test]
fn a_cell_gives_examples_as_in_an_address() {
    let line = |path: &str, query: &str| number(path, &format!("{query}&errors=cell"));
    let found = line("harvests/volume", "area=3m2&material_depth=25cm");
    assert!(found.ends_with("give it, as in finished_share=80 %."), "{found}");
    for (query, wanted) in [
        ("area=6m2&rate=1.5L", "such as rate=2cm or rate=5L/m2 or rate=3kg/m2."),
        ("count=6&rate=2cm", "such as rate=250mL."),
        ("diameter=1m&inner_diameter=2m&rate=2cm", "as in diameter=1 m, inner_diameter="),
    ] {
        let found = line("applications/volume", query);
        assert!(found.contains(wanted) && !found.contains('"'), "{found}");
    }
    for rate in ["2cm", "5L/m2", "3kg/m2"] {
        assert_eq!(cell("applications/volume", &format!("area=6m2&rate={rate}")).status, 200, "{rate}");
    }
}
