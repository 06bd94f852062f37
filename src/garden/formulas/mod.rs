//! Every formula, written once: the expression that computes is the text that explains. The table makes from each entry a struct
//! with a field for each symbol ([`Row`] computes it), and a row of [`Formula`] (its text, symbols, sources).
//!
//! Formulas hold between quantities. [`Definition::evaluate`] takes and gives coherent units: m, m2, m3, kg, kg/m3, kg/m2,
//! shares as fractions, hours: [`unit`].

mod constants;
mod functions;
mod row;
mod table;

pub use constants::{DAY, DISC, FRUSTUM, ORGANIC_PER_CARBON, PHOSPHATE, POTASH, WATER_FROM_ORGANIC_MATTER};
pub use row::{Input, Row, Sign};
pub use table::*;

use super::units::Dimension;

/// A symbol of a formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Symbol {
    /// As the formula writes it.
    pub name: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// True if it is a list of values, which the formula sums.
    pub many: bool,
    /// What it means.
    pub meaning: &'static str,
    /// How the result goes with it.
    pub sign: Sign,
}

/// A formula of the table.
#[derive(Debug, Clone, Copy)]
pub struct Definition {
    /// Its name.
    pub id: &'static str,
    /// What it answers.
    pub about: &'static str,
    /// What comes out.
    pub result: Symbol,
    /// What goes in, in the order of [`Definition::evaluate`].
    pub terms: &'static [Symbol],
    /// Where it is from.
    pub sources: &'static [&'static str],
    /// Computes it from the values of each symbol, one value where the symbol is no list; in coherent units.
    pub evaluate: fn(&[&[f64]]) -> f64,
    /// What the result in base units is, over the expression of base units; `None` where that is no one number, and the row
    /// turns its symbols into coherent units.
    pub scale: Option<f64>,
    expression: &'static str,
    constants: &'static [(&'static str, f64)],
}

impl Definition {
    /// The formula in plain text: `V = A d / (1 - s)`. Symbols side by side are multiplied, before any division.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{} = {}", self.result.name, plain(self.expression, self.constants))
    }
}

/// The text of an expression: constants by their value, `1.0` as `1`, products side by side, `dot(a, b)` as `sum(a b)`,
/// `square(d)` as `d^2`, `gone(x)` as `(1 - 1 / exp(x))`.
fn plain(expression: &str, constants: &[(&str, f64)]) -> String {
    let mut text = String::new();
    let mut word = String::new();
    // A space at the end closes the last word.
    for sign in expression.split_whitespace().collect::<Vec<_>>().join(" ").chars().chain([' ']) {
        if sign.is_alphanumeric() || sign == '_' || sign == '.' {
            word.push(sign);
            continue;
        }
        let named = constants.iter().find(|(name, _)| *name == word);
        text += &match named {
            Some((_, value)) => super::units::round::to_nine_digits(*value).to_string(),
            None if word == "PI" => "pi".to_owned(),
            None => word.strip_suffix(".0").unwrap_or(&word).to_owned(),
        };
        word.clear();
        text.push(sign);
    }
    let text = written(text.trim(), "square(", ("", ")", "^2"));
    let text = written(&text, "gone(", ("(1 - 1 / exp(", ")", "))"));
    written(&text.replace(" * ", " "), "dot(", ("sum(", ", ", " "))
}

/// A function as it is written: how it opens, and what replaces the first of a sign behind it.
fn written(text: &str, function: &str, (opens, sign, instead): (&str, &str, &str)) -> String {
    let mut parts = text.split(function);
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |text, part| text + opens + &part.replacen(sign, instead, 1))
}

impl Formula {
    /// How far its sources were checked, where they were not read.
    #[must_use]
    pub const fn checked(self) -> Option<&'static str> {
        match self {
            Self::Phosphate | Self::Potash | Self::PhosphatePerArea | Self::PotashPerArea => Some("from memory"),
            Self::HeatPace => Some("from memory"),
            Self::LossByAsh => Some("Paredes et al. from memory"),
            Self::CarbonOfAsh | Self::AshOfCarbon | Self::RatioOfCastings => Some("attribution to Cornell from memory"),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_text_is_the_expression_in_plain_words() {
        let text = |expression| plain(expression, &[("DISC", 4.0), ("THIRD", 1.0 / 3.0)]);
        assert_eq!(text("A * d / (1.0 - s)"), "A d / (1 - s)");
        assert_eq!(text("k * PI * (square(D) - square(d)) / DISC"), "k pi (D^2 - d^2) / 4");
        assert_eq!(text("dot(D, c) / dot(D, n)"), "sum(D c) / sum(D n)");
        assert_eq!(text("b * gone(w / T)"), "b (1 - 1 / exp(w / T))");
        assert_eq!(text("L - THIRD * w"), "L - 0.333333333 w");
    }

    #[test]
    fn names_are_unique_and_symbols_are_reported() {
        let mut ids: Vec<_> = Formula::ALL.iter().map(|formula| formula.definition().id).collect();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), Formula::ALL.len());
        for formula in Formula::ALL {
            let definition = formula.definition();
            assert!(!definition.sources.is_empty() && !definition.about.is_empty(), "{}", definition.id);
            for symbol in definition.terms {
                assert!(!symbol.meaning.is_empty() && symbol.name != definition.result.name, "{}", definition.id);
                assert!(definition.text().contains(symbol.name), "{}: {}", definition.text(), symbol.name);
            }
        }
    }
}
