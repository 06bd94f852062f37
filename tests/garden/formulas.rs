//! The table of formulas: its text, read by a reader of its own, computes what the program computes; docs/formulas.md is made
//! from it.

use crate::plain::evaluate;
use crate::sources::with_state;
use barrowful::garden::formulas::{Definition, Formula, Symbol};
use barrowful::garden::units::Dimension;
use proptest::prelude::*;
use std::collections::BTreeMap;

/// How the page is written anew.
const MEND: &str = "UPDATE_SNAPSHOTS=1 cargo test --test garden formulas";

fn symbol(symbol: &Symbol) -> String {
    let each = if symbol.many { ", one for each" } else { "" };
    let unit = symbol.dimension.coherent_unit();
    let unit = if unit.is_empty() { String::new() } else { format!(" ({unit})") };
    format!("`{}` {}{unit}{each}", symbol.name, symbol.meaning)
}

fn row(formula: Formula) -> String {
    let definition: &Definition = formula.definition();
    let symbols: Vec<String> = std::iter::once(&definition.result).chain(definition.terms).map(symbol).collect();
    let cells = [
        format!("`{}`", definition.id),
        definition.about.trim().to_owned(),
        format!("`{}`", definition.text()),
        symbols.join("; "),
        with_state(&definition.sources.join("; "), formula.checked()),
    ];
    assert!(cells.iter().all(|cell| !cell.contains(['|', '\n'])), "{cells:?}");
    format!("| {} |\n", cells.join(" | "))
}

fn page() -> String {
    let mut page = String::from(
        "# Formulas\n\n\
         Made from the table that the program computes and explains with (`src/garden/formulas`). `\"explain\": true` in a request \
         adds to the answer which of them gave each figure, with the numbers put in and where they are from; `GET /v1/formulas` \
         lists them.\n\n\
         They hold between quantities, in whatever units these are written. To compute with bare numbers, put in the units shown, \
         and shares as fractions (20 % is 0.2). Symbols side by side are multiplied, before any division; `sum(D c)` multiplies \
         the two of each item and adds up; `ceil` and `floor` round up and down, what lies beside a whole number by \
         rounding alone being that number.\n\n\
         | formula | answers | in text | symbols | source |\n|---|---|---|---|---|\n",
    );
    for formula in Formula::ALL {
        page += &row(*formula);
    }
    page
}

#[test]
fn the_page_is_the_table_of_the_program() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/formulas.md");
    if std::env::var("UPDATE_SNAPSHOTS").is_ok_and(|value| value == "1") {
        std::fs::write(path, page()).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    for (was, is) in kept.lines().zip(page().lines()) {
        assert_eq!(was, is, "docs/formulas.md is not what the program tells; mend it with\n    {MEND}");
    }
    assert!(kept == page(), "docs/formulas.md lacks rows; mend it with\n    {MEND}");
}

/// Worked by hand, from the sources named.
#[test]
fn the_formulas_give_worked_examples() {
    let of = |formula: Formula, values: &[&[f64]]| (formula.definition().evaluate)(values);
    let near = |found: f64, wanted: f64| assert!((found / wanted - 1.0).abs() < 1e-9, "{found} is not {wanted}");
    // 4.8 m2, 1 cm: 48 L.
    near(of(Formula::SettledLayer, &[&[4.8], &[0.01], &[0.0]]), 0.048);
    // Identity; ash from 15 to 30 %: half the dry matter and 58.8 % of the organic matter are lost.
    near(of(Formula::LossByAsh, &[&[0.15], &[0.30]]), 1.0 - 0.15 * 0.7 / (0.3 * 0.85));
    // Solid geometry: a cone of 2 m across and 1.5 m high holds pi/2 m3.
    near(of(Formula::Cone, &[&[2.0], &[1.5]]), std::f64::consts::FRAC_PI_2);
    // Two materials: (10 x 0.4 + 5 x 0.5) / (10 x 0.02 + 5 x 0.01) = 26, not the mean of 20 and 50.
    near(of(Formula::MixRatio, &[&[10.0, 5.0], &[0.4, 0.5], &[0.02, 0.01]]), 26.0);
}

/// Values for each symbol: a share below one, else any size; lists of three.
fn values() -> impl Strategy<Value = Vec<[f64; 3]>> {
    prop::collection::vec(prop::array::uniform3(0.01_f64..1.0), 8)
}

proptest! {
    /// What a reader of the text computes is what the program computes: no formula is reported otherwise than it is used.
    #[test]
    fn the_text_computes_what_the_code_computes(drawn in values(), scale in 1.0_f64..50.0) {
        for formula in Formula::ALL {
            let definition = formula.definition();
            let mut put_in: Vec<Vec<f64>> = Vec::new();
            for (symbol, three) in definition.terms.iter().zip(&drawn) {
                let scale = if symbol.dimension == Dimension::Share { 0.9 } else { scale };
                let count = if symbol.many { 3 } else { 1 };
                put_in.push(three.iter().take(count).map(|x| x * scale).collect());
            }
            let slices: Vec<&[f64]> = put_in.iter().map(Vec::as_slice).collect();
            let computed = (definition.evaluate)(&slices);
            // Nothing over nothing: a mix of ash alone has no ratio.
            if !computed.is_finite() {
                continue;
            }
            let named: BTreeMap<String, Vec<f64>> =
                definition.terms.iter().map(|symbol| symbol.name.to_owned()).zip(put_in.clone()).collect();
            let read = evaluate(&definition.text(), &named).unwrap_or_else(|why| panic!("{}: {why}", definition.text()));
            // A step may be on the one side for the text and on the other for the code, which know numbers to eight and nine digits.
            let beside = |factor: f64| {
                let moved: Vec<Vec<f64>> =
                    put_in.iter().enumerate().map(|(at, all)| all.iter().map(|x| if at == 0 { x * factor } else { *x }).collect()).collect();
                (definition.evaluate)(&moved.iter().map(Vec::as_slice).collect::<Vec<_>>())
            };
            if (beside(1.0 + 1e-7) - beside(1.0 - 1e-7)).abs() > 1e-5 * computed.abs().max(1.0) && definition.text().contains("ceil(") {
                continue;
            }
            // The text shows constants with nine digits; at most three lengths are multiplied with one.
            let largest = put_in.iter().flatten().fold(0.0, |a: f64, b| a.max(b.abs()));
            let close = 1e-9 * (10.0 * computed.abs() + largest.powi(3));
            prop_assert!((read - computed).abs() <= close, "{}: {} is not {}", definition.text(), read, computed);
        }
    }
}
