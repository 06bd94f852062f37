//! The page of sources and the code tell the same.

use barrowful::garden::assumptions::Assumption;
use barrowful::garden::cautions::Rule;
use barrowful::garden::feeds::StepKind;
use barrowful::garden::feeds::materials::{ALL, Feedstock, Origin, Value};

const PAGE: &str = include_str!("../../docs/sources.md");

#[test]
fn every_assumption_stands_on_the_page_with_its_source_and_range() {
    for assumption in Assumption::ALL {
        let definition = assumption.definition();
        let row = PAGE.lines().find(|line| line.starts_with(&format!("| `{}` |", definition.id)));
        let row = row.unwrap_or_else(|| panic!("{} is missing in docs/sources.md", definition.id));
        assert!(row.ends_with(&format!("{} |", definition.source)), "{}: {row}", definition.id);
        assert!(row.contains(definition.meaning), "{}", definition.id);
    }
}

#[test]
fn every_caution_stands_on_the_page_with_its_source() {
    for rule in Rule::ALL {
        let text = rule.text();
        assert!(PAGE.contains(&format!("| `{}` | {} |", text.rule, text.source)), "{}", text.rule);
    }
}

/// A value as it stands on the page: low / likely / high, where the likely value is from, and * if the range is ours.
fn value(value: &Value) -> String {
    let [low, likely, high] = value.range;
    let ours = if value.range_printed { "" } else { "*" };
    format!("{low} / {likely} / {high} {}{ours}", value.origin.key())
}

fn row(f: &Feedstock) -> String {
    let [w, n, c, rho] = [&f.moisture, &f.nitrogen, &f.carbon, &f.bulk_density].map(value);
    format!("| `{}` | {} | {w} | {n} | {c} | {:.0} | {rho} | {} |", f.id, f.name, f.carbon_to_nitrogen(), f.note)
}

#[test]
fn every_material_stands_on_the_page_with_its_values_and_their_origin() {
    for feedstock in ALL {
        let row = row(feedstock);
        assert!(PAGE.lines().any(|line| line == row), "missing in docs/sources.md:\n{row}");
    }
    let rows =
        PAGE.lines().skip_while(|line| *line != "## Materials").skip(1).take_while(|line| !line.starts_with("## "));
    let ids = rows.filter_map(|line| line.strip_prefix("| `")?.split('`').next());
    assert!(ids.eq(ALL.iter().map(|f| f.id)), "the page has the materials of the table, in its order");
}

#[test]
fn every_origin_of_a_material_stands_on_the_page_with_how_far_it_was_checked() {
    for origin in Origin::ALL {
        let row = format!("| {} | {} | {} |", origin.key(), origin.source(), origin.checked());
        assert!(PAGE.lines().any(|line| line == row), "missing in docs/sources.md:\n{row}");
    }
}

#[test]
fn every_step_stands_on_the_page_with_its_source() {
    for kind in StepKind::ALL {
        let row = format!("| `{}` | {} |", kind.as_str(), kind.source());
        assert!(PAGE.lines().any(|line| line == row), "missing in docs/sources.md:\n{row}");
    }
}
