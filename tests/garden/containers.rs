//! The caller's own containers: how their names are matched, and which names are refused.

#![expect(clippy::unwrap_used, reason = "a test may stop at whatever is wrong")]

use crate::support::laws;
use barrowful::garden::refusal::{Reason, Refusal};
use barrowful::garden::units::Dimension::{self, Density, Mass, MassPerArea, Volume, VolumePerArea, VolumePerPlant};
use barrowful::garden::units::text::{Reader, read};
use barrowful::garden::units::{Capacity, Containers, Quantity, table};
use proptest::prelude::*;

fn litres(litres: f64) -> Capacity {
    Capacity::Volume(Quantity::from_litres(litres))
}

/// A reader with a bucket of 12 L, a goose barrow ("geese") of 80 L and a sack of 25 kg.
fn reader() -> Reader {
    let mut containers = Containers::default();
    containers.add("bucket", None, litres(12.0)).unwrap();
    containers.add("goose barrow", Some("geese"), litres(80.0)).unwrap();
    containers.add("sack", None, Capacity::Mass(Quantity::from_kilograms(25.0))).unwrap();
    Reader { containers, ..Reader::default() }
}

fn reads(text: &str, dimension: Dimension) -> Result<f64, Refusal> {
    read(text, &[dimension], &reader()).map(|read| read.base)
}

fn refused(names: &[(&str, Option<&str>)]) -> Refusal {
    let mut containers = Containers::default();
    let (last, before) = names.split_last().unwrap();
    for (name, plural) in before {
        containers.add(name, *plural, litres(1.0)).unwrap();
    }
    containers.add(last.0, last.1, litres(1.0)).unwrap_err()
}

#[test]
fn a_measure_is_found_in_any_case_spacing_and_form() {
    for text in ["4 bucket", "4 buckets", "4bucketes", "4 BUCKETS", "4 Bucket", "4 ｂｕｃｋｅｔ", "4 buc\u{212a}et"]
    {
        assert_eq!(reads(text, Volume), Ok(48.0), "{text}");
    }
    for text in ["1 goose barrow", "1 geese", "1 Goose\u{a0}Barrow", "1 goose   barrow", "1 GEESE"] {
        assert_eq!(reads(text, Volume), Ok(80.0), "{text}");
    }
    assert_eq!(reads("2 sacks", Mass), Ok(50.0));
    for text in ["1 goose barrows", "1 goose", "1 buckett", "1 bucket s"] {
        assert_eq!(reads(text, Volume).unwrap_err().reason, Reason::UnknownUnit, "{text}");
    }
}

#[test]
fn a_measure_works_in_rates() {
    for (text, dimension, value) in [
        ("1 bucket/m2", VolumePerArea, 12.0),
        ("1 bucket per 10 m2", VolumePerArea, 1.2),
        ("½ Buckets/plant", VolumePerPlant, 6.0),
        ("1 sack/ha", MassPerArea, 0.0025),
        ("1 sack / goose barrow", Density, 312.5),
        ("2 lb/100 ft2", MassPerArea, 0.907_184_74 / 9.290_304),
        ("1 yd3/1000 ft2", VolumePerArea, 764.554_857_984 / 92.903_04),
    ] {
        let found = reads(text, dimension).unwrap();
        assert!((found / value - 1.0).abs() < 1e-14, "{text}: {found} is not {value}");
    }
    assert_eq!(reads("1 sack", Volume).unwrap_err().reason, Reason::UnitDoesNotFit);
    let unknown = reads("1 pail", Volume).unwrap_err().detail;
    assert!(unknown.contains("your containers (bucket, goose barrow, sack)"), "{unknown}");
}

#[test]
fn letters_with_several_small_forms_match_in_any_case() {
    for (name, written) in [
        ("κάδος", "ΚΆΔΟΣ"),
        ("ΚΆΔΟΣ", "κάδος"),
        ("Großkübel", "GROSSKÜBEL"),
        ("GROSSKÜBEL", "großkübel"),
        ("café", "CAFE\u{301}"),
    ] {
        let mut containers = Containers::default();
        containers.add(name, None, litres(12.0)).unwrap();
        assert!(containers.find(written).is_some(), "{written} is {name}");
        let clash = containers.add(written, None, litres(12.0)).map_err(|refusal| refusal.reason);
        let accepted = if written.contains('\u{301}') { Reason::BadText } else { Reason::ClashingName };
        assert_eq!(clash, Err(accepted), "{written}");
    }
}

#[test]
fn the_name_of_a_unit_is_refused_however_it_is_written() {
    for name in [
        "L",
        "l",
        "kg",
        "Inch",
        "cu  ft",
        "US\u{20}gal",
        "gal",
        "GALLONS",
        "ton",
        "fl  oz",
        "plant",
        "pots",
        "ｋｇ",
        "C",
    ] {
        let refusal = refused(&[(name, None)]);
        assert_eq!((refusal.reason, refusal.field), (Reason::ClashingName, Some("name")), "{name}");
    }
    let refusal = refused(&[("armful", Some("litres"))]);
    assert_eq!((refusal.reason, refusal.field), (Reason::ClashingName, Some("plural")));
}

#[test]
fn the_name_of_an_earlier_measure_is_refused_also_as_its_plural() {
    for second in [("bucket", None), ("BUCKET", None), ("buckets", None), ("bucketes", None), ("pail", Some("Buckets"))]
    {
        let refusal = refused(&[("bucket", None), second]);
        let field = if second.1.is_some() { "plural" } else { "name" };
        assert_eq!((refusal.reason, refusal.field), (Reason::ClashingName, Some(field)), "{second:?}");
        assert!(refusal.detail.contains("\"bucket\""), "{}", refusal.detail);
    }
}

#[test]
fn a_use_of_a_container_that_was_refused_only_follows_from_that() {
    let mut containers = Containers::default();
    assert_eq!(containers.add("bucket", None, None), Ok(()));
    assert_eq!(containers.add("Buckets", None, litres(9.0)).unwrap_err().reason, Reason::ClashingName);
    assert_eq!(containers.add("tub", Some("2 tubs"), litres(9.0)).unwrap_err().reason, Reason::BadText);
    let reader = Reader { containers, ..Reader::default() };
    let refused = |text: &str| read(text, &[Volume, VolumePerArea], &reader).unwrap_err();
    for text in ["3 buckets", "1 BUCKET/m2", "2 tub", "1 L/bucket"] {
        assert!(refused(text).follows, "{text}");
    }
    let unknown = refused("3 barrows");
    assert!(!unknown.follows && !unknown.detail.contains("(bucket"), "{unknown}");
    assert!(!refused("3 m").follows);
}

#[test]
fn a_default_plural_that_is_taken_is_left_out() {
    let mut containers = Containers::default();
    containers.add("glass", None, litres(1.0)).unwrap();
    containers.add("glas", None, litres(2.0)).unwrap();
    assert_eq!(containers.find("glass").unwrap().name.one, "glass");
    assert_eq!(containers.find("glases").unwrap().name.one, "glas");
    containers.add("litr", None, litres(3.0)).unwrap();
    assert!(containers.find("litrs").is_some() && containers.find("litres").is_none());
    containers.add("tub", Some("tubs"), litres(3.0)).unwrap();
    assert!(containers.find("tubes").is_none());
}

#[test]
fn names_that_are_no_names_are_refused() {
    let long = "a".repeat(41);
    for name in
        ["", " bucket", "2 bucket", "-", "buck/et", "buck\tet", "buck\u{a0}et", "1", "b_c", "🪣", "a\u{0}", &long]
    {
        let refusal = refused(&[(name, None)]);
        assert_eq!((refusal.reason, refusal.field), (Reason::BadText, Some("name")), "{name:?}");
        let refusal = refused(&[("tub", Some(name))]);
        assert_eq!((refusal.reason, refusal.field), (Reason::BadText, Some("plural")), "{name:?}");
    }
    assert!(Containers::default().add(&"é".repeat(40), None, litres(1.0)).is_ok());
    assert!(Containers::default().add("Bob's no-2 tub", None, litres(1.0)).is_ok());
}

proptest! {
    #![proptest_config(laws(500))]

    /// So many of a container are so many times what it holds, alone and in a rate; no container shadows a unit.
    #[test]
    fn a_measure_counts_as_what_it_holds(
        name in "[a-zà-öA-Z][a-z0-9' -]{0,12}", holds in 0.01_f64..1000.0, count in 0.01_f64..1000.0, upper in any::<bool>(),
    ) {
        let mut containers = Containers::default();
        let taken = table::find(name.trim()).is_some() || table::ambiguous(name.trim()).is_some();
        match containers.add(&name, None, litres(holds)) {
            Err(refusal) => prop_assert!(refusal.reason == Reason::ClashingName, "{:?} {:?} {}", name, taken, refusal),
            Ok(()) => {
                prop_assert!(!taken, "{:?} is a unit", name);
                let reader = Reader { containers, ..Reader::default() };
                let written = if upper { name.to_uppercase() } else { name.clone() };
                let alone = read(&format!("{count} {written}"), &[Volume], &reader).unwrap();
                prop_assert!((alone.base / (count * holds) - 1.0).abs() < 1e-15);
                let rate = read(&format!("{count} {written}/100 m2"), &[VolumePerArea], &reader).unwrap();
                prop_assert!((rate.base / (count * holds / 100.0) - 1.0).abs() < 1e-14);
                for unit in table::UNITS {
                    prop_assert!(reader.containers.find(unit.symbol).is_none());
                }
            }
        }
    }

    #[test]
    fn no_name_stops_the_list_of_measures(names in prop::collection::vec("\\PC{0,45}", 1..5), plural in "\\PC{0,5}") {
        let mut containers = Containers::default();
        for name in &names {
            if containers.add(name, None, litres(1.0)).is_ok() {
                prop_assert!(containers.find(name).is_some_and(|found| found.name.one == *name), "{:?}", name);
            }
            let _refused = containers.add(name, Some(&plural), litres(1.0));
        }
    }
}
