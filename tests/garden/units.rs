//! Units: the published factors, and every spelling reading as its symbol.

use crate::support::{assert_near, base, laws, near, refusal};
use barrowful::garden::refusal::Reason;
use barrowful::garden::units::Dimension::{
    self, Area, Conductivity, Density, Duration, FeedRate, Length, Mass, MassPerArea, Share, Temperature,
    TemperatureDifference, Volume, VolumePerArea, VolumePerLength, VolumePerPlant,
};
use barrowful::garden::units::table::{AMBIGUOUS, Ambiguous, Atom, UNITS, compound};
use barrowful::garden::units::text::{Reader, fitting, read, with_unit};
use proptest::prelude::*;

/// The dimension in which a single unit is read.
fn alone(atom: Atom) -> Option<Dimension> {
    match atom {
        Atom::Of(dimension) => Some(dimension),
        Atom::Plant | Atom::Conductance => None,
    }
}

/// NIST Handbook 44 Appendix C and SP 811 Appendix B, exact values in litres (read in a stored copy); those of area and
/// mass are from memory.
#[test]
fn one_of_each_customary_unit_is_the_exact_value_of_nist() {
    for (text, dimension, value) in [
        ("1 ft3", Volume, 28.316846592),
        ("1 yd3", Volume, 764.554857984),
        ("1 US gal", Volume, 3.785411784),
        ("1 imp gal", Volume, 4.54609),
        ("1 US bu", Volume, 35.23907016688),
        ("1 imp bu", Volume, 36.36872),
        ("1 ft2", Area, 0.09290304),
        ("1 yd2", Area, 0.83612736),
        ("1 acre", Area, 4046.8564224),
        ("1 lb", Mass, 0.45359237),
        ("1 oz", Mass, 0.028349523125),
        ("1 short ton", Mass, 907.18474),
        ("1 long ton", Mass, 1016.0469088),
    ] {
        assert_eq!(base(text, dimension), value, "{text}");
    }
}

/// Computed from the exact definitions and published to seven digits or more (from memory).
#[test]
fn rates_and_densities_convert_as_published() {
    for (text, dimension, value, digits) in [
        ("5 US gal", Volume, 18.92705892, 1e-9),
        ("1 lb/yd3", Density, 0.5932764213, 1e-9),
        ("1 lb/ft3", Density, 16.01846337, 1e-9),
        ("1 short ton/acre", MassPerArea, 2.241702 / 10.0, 1e-6),
        ("20.4816 lb/100 ft2", MassPerArea, 1.0, 1e-6),
        ("1 US gal/acre", VolumePerArea, 9.353956 / 10_000.0, 1e-6),
    ] {
        assert_near(base(text, dimension), value, digits);
    }
}

/// Arancon et al. 2004, Bioresource Technology 93:145-153: 5 and 10 t/ha (read in a stored copy). The pounds are the
/// project's arithmetic; a secondary summary prints 1 and 2 lb per square metre.
#[test]
fn tonnes_per_hectare_are_tenths_of_kilograms_per_square_metre() {
    for (t_ha, kg_m2, lb_m2, lb_100ft2) in [(5.0, 0.5, 1.102, 10.24), (10.0, 1.0, 2.205, 20.48)] {
        let rate = base(&format!("{t_ha} t/ha"), MassPerArea);
        assert_eq!(rate, kg_m2);
        assert_near(rate / base("1 lb", Mass), lb_m2, 5e-4);
        assert_near(rate / base("1 lb/100 ft2", MassPerArea), lb_100ft2, 5e-4);
        // The plots of 4.5 m2 took 2.25 and 4.5 kg (derived).
        assert_eq!(rate * 4.5, kg_m2 * 4.5);
    }
}

/// India, Fertiliser (Control) Order 1985, Schedule IV: 0.7 to 0.9 g/cm3 (read in a stored copy; pounds derived).
#[test]
fn grams_per_millilitre_are_tonnes_per_cubic_metre() {
    for (g_ml, lb_yd3, kg_per_5gal) in [(0.7, 1180.0, 13.25), (0.9, 1517.0, 17.03)] {
        let density = base(&format!("{g_ml} g/mL"), Density);
        assert_near(density, g_ml * 1000.0, 1e-12);
        assert_eq!(base(&format!("{g_ml} kg/L"), Density), density);
        assert_near(density / base("1 lb/yd3", Density), lb_yd3, 5e-4);
        assert_near(density * base("5 US gal", Volume) / 1000.0, kg_per_5gal, 5e-4);
    }
}

/// Council Directive 91/676/EEC: 170 kg/ha (read in a stored copy); the conversion is arithmetic.
#[test]
fn the_nitrate_limit_of_170_kilograms_per_hectare_is_17_grams_per_square_metre() {
    assert_near(base("170 kg/ha", MassPerArea), base("17 g/m2", MassPerArea), 1e-15);
}

#[test]
fn a_temperature_has_another_zero_in_fahrenheit_and_a_difference_has_not() {
    for (celsius, fahrenheit) in [(0.0, 32.0), (5.0, 41.0), (35.0, 95.0), (100.0, 212.0), (-40.0, -40.0)] {
        let read = base(&format!("{fahrenheit} F"), Temperature);
        assert!((read - celsius).abs() < 1e-12, "{fahrenheit} F is {read} C");
        assert_eq!(base(&format!("{celsius} C"), Temperature), celsius);
    }
    assert_eq!(base("9 F", TemperatureDifference), 5.0);
    assert_eq!(base("5 C", TemperatureDifference), 5.0);
    assert_eq!(base("\u{2212}9 °F", TemperatureDifference), -5.0);
    assert_eq!(refusal("-5 cm", Length).reason, Reason::BadNumber);
}

#[test]
fn signs_of_compatibility_read_as_the_plain_ones() {
    for (text, same, dimension) in [
        ("2 m²", "2 m2", Area),
        ("2 ㎡", "2 m2", Area),
        ("2 ㎏/m²", "2 kg/m2", MassPerArea),
        ("20 ％", "20 %", Share),
        ("20 ℃", "20 C", Temperature),
        ("2 ft³", "2 ft3", Volume),
        ("3 lb per 100 sq ft", "3 lb/100 ft2", MassPerArea),
        ("250 mL per pot", "250 mL/plant", VolumePerPlant),
        ("0.25 kg/kg/d", "0.25 lb per lb per day", FeedRate),
        ("100 mL/L", "10 %", Share),
    ] {
        let (found, expected) = (base(text, dimension), base(same, dimension));
        assert!(near(found, expected, 1e-15), "{text}: {found} is not {expected}");
    }
}

#[test]
fn every_spelling_in_any_case_reads_as_its_symbol() {
    let mut read = 0;
    for unit in UNITS {
        let Some(dimension) = alone(unit.measures) else { continue };
        let symbol = base(&format!("7.25 {}", unit.symbol), dimension);
        for spelling in unit.spellings.iter().chain([&unit.symbol]) {
            for written in [(*spelling).to_owned(), spelling.to_ascii_uppercase(), spelling.to_ascii_lowercase()] {
                if written == "ML" {
                    // A megalitre is no millilitre.
                    assert_eq!(refusal("7.25 ML", dimension).reason, Reason::UnknownUnit);
                    continue;
                }
                if written == "T" {
                    // It may be a tonne, a short ton or a long ton.
                    assert_eq!(refusal("7.25 T", dimension).reason, Reason::AmbiguousUnit);
                    continue;
                }
                assert_eq!(base(&format!("7.25{written}"), dimension), symbol, "{written}");
                read += 1;
            }
        }
    }
    assert!(read > 400, "only {read} spellings were read");
}

/// Every pair of units that makes a rate, with its factor the quotient of the two.
#[test]
fn a_unit_over_another_is_the_quotient_of_both() {
    let mut rates = 0;
    for above in UNITS {
        for below in UNITS {
            let Some((dimension, scale)) = compound(above.measures, &[below.measures]) else { continue };
            let expected = 3.0 * above.factor / below.factor * scale;
            for joint in ["/", " / ", " per ", "\u{a0}per\u{a0}", "\tper\n"] {
                let text = format!("3 {}{joint}{}", above.symbol, below.symbol);
                assert_near(base(&text, dimension), expected, 1e-14);
            }
            let hundred = format!("3 {}/100 {}", above.symbol, below.symbol);
            assert_near(base(&hundred, dimension), expected / 100.0, 1e-14);
            rates += 1;
        }
    }
    assert!(rates > 300, "only {rates} rates were read");
}

/// What a value comes to in another unit of its kind reads the same.
#[test]
fn a_value_written_in_another_unit_of_its_kind_reads_the_same() {
    let mut pairs = 0;
    for from in UNITS {
        for to in UNITS.iter().filter(|to| to.measures == from.measures) {
            let Some(dimension) = alone(from.measures).filter(|d| *d != Temperature) else { continue };
            let (here, there) =
                (format!("7.25 {}", from.symbol), format!("{} {}", 7.25 * from.factor / to.factor, to.symbol));
            assert_near(base(&there, dimension), base(&here, dimension), 1e-14);
            pairs += 1;
        }
    }
    assert!(pairs > 300, "only {pairs} pairs were read");
}

#[test]
fn ambiguous_names_are_refused_with_what_they_may_mean() {
    for Ambiguous { names, meant, .. } in AMBIGUOUS {
        for name in *names {
            let spaced = name.replace(' ', "\u{a0}");
            let double = name.replace(' ', "  ");
            for text in [
                format!("2 {name}"),
                format!("2{}", name.to_uppercase()),
                format!("2 {spaced}"),
                format!("2 {double}"),
                format!("2 {name}/m2"),
                format!("2 kg per {name}"),
            ] {
                for dimension in [Volume, Mass, VolumePerArea] {
                    let refusal = refusal(&text, dimension);
                    assert_eq!(refusal.reason, Reason::AmbiguousUnit, "{text}");
                    assert_eq!(refusal.allowed, *meant, "{text}");
                    assert!(meant.iter().all(|unit| refusal.detail.contains(unit)), "{text}: {}", refusal.detail);
                }
            }
        }
    }
}

/// NIST Handbook 44, Appendix C: a US gallon is 231 in3, a US bushel 2150.42 in3, a short ton 2000 lb.
#[test]
fn in_us_customary_units_an_ambiguous_name_is_the_us_unit_and_the_reading_says_so() {
    let us = Reader { us_customary: true, ..Reader::default() };
    for (text, same, dimension) in [
        ("2 gal", "2 US gal", Volume),
        ("2 GALLONS", "2 US gal", Volume),
        ("3 qt", "3 US qt", Volume),
        ("3 pints", "3 US pt", Volume),
        ("8 fl\u{a0}oz", "8 US fl oz", Volume),
        ("1 cup", "8 US fl oz", Volume),
        ("2 tbsp", "1 US fl oz", Volume),
        ("6 teaspoons", "1 US fl oz", Volume),
        ("2 bu", "2 US bu", Volume),
        ("2 tons", "4000 lb", Mass),
        ("2 gal/ft2", "2 US gal/ft2", VolumePerArea),
        ("5 tons per acre", "5 short ton/acre", MassPerArea),
        ("1 lb/gal", "1 lb/US gal", Density),
    ] {
        let found = read(text, &[dimension], &us).unwrap();
        assert!(found.us_customary, "{text}");
        assert_near(found.base, base(same, dimension), 1e-15);
    }
    for (text, dimension) in [("2 US gal", Volume), ("2 imp gal", Volume), ("2 oz", Mass), ("2 ft3", Volume)] {
        assert!(!read(text, &[dimension], &us).unwrap().us_customary, "{text}");
    }
    // A capital T stays what it is to nobody knows whom.
    let capital = read("2 T", &[Mass], &us).unwrap_err();
    assert_eq!(
        (capital.reason, capital.allowed),
        (Reason::AmbiguousUnit, vec!["t".into(), "short ton".into(), "long ton".into()])
    );
    assert_eq!(base("2 t", Mass), 2000.0);
}

/// SI prefixes; a mho is a siemens (NIST SP 811, Appendix B.8, from memory). 1 dS/m = 1 mS/cm = 100 mS/m = 1000 uS/cm.
#[test]
fn conductivities_of_all_laboratories_are_read() {
    for text in [
        "1.17 dS/m",
        "1.17 mS/cm",
        "1.17 mmhos/cm",
        "117 mS/m",
        "1170 uS/cm",
        "1170 µS/cm",
        "1170 μS/cm",
        "1170 µmhos/cm",
        "1.17 DS/M",
        "1.17 ms/cm",
        "1.17 decisiemens per metre",
        "1.17 millisiemens per cm",
    ] {
        assert_near(base(text, Conductivity), 1.17, 1e-15);
    }
    for (text, reason) in [
        ("1.17 mS", Reason::UnitDoesNotFit),
        ("1.17 mS/L", Reason::UnitDoesNotFit),
        ("1.17 mS/cm/cm", Reason::UnitDoesNotFit),
        ("1.17 m/mS", Reason::UnitDoesNotFit),
        ("1.17 ppm", Reason::UnknownUnit),
        ("1.17", Reason::UnitMissing),
    ] {
        let refusal = refusal(text, Conductivity);
        assert_eq!(
            (refusal.reason, refusal.allowed.iter().map(String::as_str).collect()),
            (reason, fitting(&[Conductivity])),
            "{text}"
        );
    }
    assert_eq!(refusal("20 mS/cm", Length).reason, Reason::UnitDoesNotFit);
}

#[test]
fn minutes_and_kilometres_are_exact() {
    assert_eq!(base("90 min", Duration), 1.5);
    assert_eq!(base("45 minutes", Duration), 0.75);
    assert_eq!(base("1.2 km", Length), 1200.0);
    assert_eq!(base("3 yds", Length), base("3 yd", Length));
}

#[test]
fn a_unit_of_another_dimension_is_refused_and_so_is_an_unknown_one() {
    for (text, dimension, reason) in [
        ("20 L", Length, Reason::UnitDoesNotFit),
        ("20 kg/m2", VolumePerArea, Reason::UnitDoesNotFit),
        ("20 m/L", VolumePerLength, Reason::UnitDoesNotFit),
        ("20 L/plant", VolumePerArea, Reason::UnitDoesNotFit),
        ("20 L/plant/plant", VolumePerPlant, Reason::UnitDoesNotFit),
        ("20 plants", VolumePerPlant, Reason::UnknownUnit),
        ("20 furlongs", Length, Reason::UnknownUnit),
        ("20 kg/", MassPerArea, Reason::UnknownUnit),
        ("20 /m2", MassPerArea, Reason::UnknownUnit),
        ("20 lb/0 ft2", MassPerArea, Reason::UnknownUnit),
        ("20", Duration, Reason::UnitMissing),
    ] {
        let refusal = refusal(text, dimension);
        assert_eq!(refusal.reason, reason, "{text}: {}", refusal.detail);
        assert_eq!(refusal.allowed, fitting(&[dimension]), "{text}");
    }
}

/// White space between number, unit and the words of a unit.
fn space() -> impl Strategy<Value = String> {
    prop::collection::vec(
        prop::sample::select(vec![' ', '\t', '\n', '\u{a0}', '\u{202f}', '\u{2009}', '\u{3000}']),
        1..4,
    )
    .prop_map(String::from_iter)
}

proptest! {
    #![proptest_config(laws(400))]

    /// However it is spelled and spaced, a text reads to what value and unit read to side by side.
    #[test]
    fn a_text_reads_as_its_value_and_its_unit_do_side_by_side(
        value in 1e-6_f64..1e9,
        unit in prop::sample::select(UNITS.iter().filter(|u| alone(u.measures).is_some()).collect::<Vec<_>>()),
        which in any::<prop::sample::Index>(),
        (around, between) in (space(), prop::option::of(space())),
    ) {
        let dimension = alone(unit.measures).unwrap();
        let spellings: Vec<_> = unit.spellings.iter().chain([&unit.symbol]).collect();
        let written = which.get(&spellings).replace(' ', &around);
        let text = format!("{around}{value}{}{written}{around}", between.unwrap_or_default());
        let beside = with_unit(value, unit.symbol, &[dimension], &Reader::default()).unwrap();
        prop_assert_eq!(beside.dimension, dimension);
        prop_assert_eq!(base(&text, dimension), beside.base, "{:?}", text);
        let fahrenheit = if unit.symbol == "F" { 32.0 } else { 0.0 };
        prop_assert!(near(beside.base, (value - fahrenheit) * unit.factor, 1e-15));
    }
}

/// A sign is a temperature's, whatever else would fit at the place.
#[test]
fn only_a_temperature_has_a_sign() {
    let both = [Dimension::Length, Dimension::Temperature];
    for signed in ["+1 m", "-1 m", "\u{2212}1 m"] {
        assert_eq!(read(signed, &both, &Reader::default()).unwrap_err().reason, Reason::BadNumber, "{signed}");
    }
    assert_eq!(read("-4 C", &both, &Reader::default()).unwrap().base, -4.0);
}
