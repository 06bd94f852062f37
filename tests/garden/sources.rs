//! The page of sources and the code tell the same.

use barrowful::garden::assumptions::Assumption;
use barrowful::garden::cautions::Rule;

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
