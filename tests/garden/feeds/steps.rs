//! The steps of the work are in order, with their dates and the units that are asked for.

use super::{hot, kg, of_table, order, planned};
use barrowful::garden::dates::date;
use barrowful::garden::feeds::{Amount, Goals, Order, Rehydration, StepKind, Treatment};

#[test]
fn steps_come_in_order_with_dates() {
    let mut leaves = of_table("leaves_loose", Amount::Fixed(kg(10.0)));
    (leaves.treatment, leaves.shred) = (Treatment::Soaked, true);
    let mut manure = of_table("layer_manure_dry", Amount::Fixed(kg(3.0)));
    manure.treatment = Treatment::Rehydrated(Rehydration::COMMON);
    let hot_composting = Some(hot(15, 7));
    let start_on = Some(date("2027-02-25").unwrap());
    let plan = planned(&Order { hot_composting, start_on, ..order(vec![leaves, manure], Goals::default()) });
    let reported: Vec<_> = plan
        .steps
        .iter()
        .map(|s| (s.kind.as_str(), s.from.unwrap().to_string(), s.to.unwrap().to_string(), s.of.clone()))
        .collect();
    let expected = [
        ("shred", "2027-02-25", "2027-02-25", vec![0]),
        ("soak", "2027-02-25", "2027-03-01", vec![0]),
        ("stir_daily", "2027-02-26", "2027-02-28", vec![0]),
        ("shred_again", "2027-03-01", "2027-03-01", vec![0]),
        ("rehydrate_manure", "2027-03-01", "2027-03-01", vec![1]),
        ("mix", "2027-03-01", "2027-03-01", vec![]),
        ("hot_composting", "2027-03-01", "2027-03-16", vec![]),
        ("cool", "2027-03-16", "2027-03-23", vec![]),
        ("first_layer", "2027-03-23", "2027-03-23", vec![]),
        ("introduce_worms", "2027-03-25", "2027-03-25", vec![]),
    ];
    let expected = expected.map(|(kind, from, to, of)| (kind, from.to_owned(), to.to_owned(), of));
    assert_eq!(reported, expected);
    assert!(StepKind::ALL.iter().all(|kind| !kind.text(false).is_empty() && !kind.source().is_empty()));
}

/// 7 CFR 205.203(c)(2): between 131 F and 170 F, which are 55 and 76.7 C; 30 C are 86 F by definition.
#[test]
fn steps_have_the_units_that_are_asked_for_first() {
    for (kind, si, us) in [
        (StepKind::HotComposting, "55 to 77 C (131 to 170 F)", "131 to 170 F (55 to 77 C)"),
        (StepKind::Cool, "30 C (86 F)", "86 F (30 C)"),
        (StepKind::IntroduceWorms, "30 C (86 F)", "86 F (30 C)"),
        (StepKind::FirstLayer, "10 cm (4 in)", "4 to 6 in (10 to 15 cm)"),
    ] {
        assert!(kind.text(false).contains(si), "{}", kind.text(false));
        assert!(kind.text(true).contains(us), "{}", kind.text(true));
    }
    for text in StepKind::ALL.iter().flat_map(|kind| [kind.text(false), kind.text(true)]) {
        assert!(!text.contains(['{', '|', '}']), "{text}");
    }
}
