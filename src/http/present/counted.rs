//! Amounts counted in the caller's containers, in words: to half a container, of one of them.

use super::words::digits;
use crate::http::output::QuantityOut;

/// So far a count of containers may lie from the amount beside it, as a share of it: two and more are always as near. Source: how this
/// service works.
const NEAR: f64 = 0.125;

/// Whether a count of containers to half a container lies no farther from the amount than this share of it.
#[must_use]
pub fn is_near(amount: &QuantityOut, share: f64) -> bool {
    let count = amount.value.get();
    (halves(count) - count).abs() <= share * count
}

/// The same amount in one of the caller's containers, to half a container: in the largest of which it fills at least two, else in the
/// smallest; of those that say it without a range, if any do. `None` where that is far from the amount, which is given beside it.
#[must_use]
pub fn containers(list: impl IntoIterator<Item = QuantityOut>) -> Option<String> {
    in_one(list).as_ref().map(container)
}

/// The one of several counts that [`containers`] says.
pub fn in_one(list: impl IntoIterator<Item = QuantityOut>) -> Option<QuantityOut> {
    let mut near: Vec<QuantityOut> = list.into_iter().filter(|of| of.value.get() > 0.0 && is_near(of, NEAR)).collect();
    let is_exact = near.iter().any(|amount| amount.low.is_none());
    near.retain(|amount| !is_exact || amount.low.is_none());
    near.sort_by(|a, b| a.value.get().total_cmp(&b.value.get()));
    near.iter().find(|amount| amount.value.get() >= 2.0).or(near.last()).cloned()
}

/// `2½ buckets`, `about 1½ sacks (1 to 2½)`.
pub fn container(amount: &QuantityOut) -> String {
    let several = amount.unit.several().filter(|_| halves(amount.value.get()) > 1.0);
    let count = format!("{} {}", in_halves(amount.value.get()), several.unwrap_or(&amount.unit));
    match (amount.low, amount.high) {
        (Some(low), Some(high)) => format!("about {count} ({} to {})", in_halves(low.get()), in_halves(high.get())),
        _ => count,
    }
}

/// The nearest half; from 100 up the nearest whole number.
fn halves(value: f64) -> f64 {
    if value.abs() < 100.0 { (value * 2.0).round() / 2.0 } else { value.round() }
}

fn in_halves(value: f64) -> String {
    let halves = halves(value);
    let whole = halves.trunc();
    match (whole == halves, whole == 0.0) {
        (true, _) => digits(whole),
        (false, true) => "½".to_owned(),
        (false, false) => format!("{}½", digits(whole)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::garden::units::ContainerName;
    use crate::http::output::{Number, UnitName};

    fn quantity([low, value, high]: [f64; 3], unit: UnitName) -> QuantityOut {
        let bound = |bound| (low != high).then(|| Number::rounded(bound));
        QuantityOut { value: Number::rounded(value), low: bound(low), high: bound(high), unit, node: 0 }
    }

    fn named(one: &str, several: &str) -> UnitName {
        UnitName::Container(ContainerName { one: one.to_owned(), several: several.to_owned() }.into())
    }

    #[test]
    fn containers_are_counted_in_halves() {
        let buckets = |count| quantity([count; 3], named("bucket", "buckets"));
        let barrows = |count| quantity([count; 3], named("barrow", "barrows"));
        for (list, text) in [
            (vec![buckets(2.524), barrows(0.466)], "2½ buckets"),
            (vec![barrows(3.692), buckets(20.0)], "3½ barrows"),
            (vec![buckets(9.6), barrows(1.772)], "9½ buckets"),
            (vec![buckets(1.0), barrows(0.1846)], "1 bucket"),
            (vec![buckets(0.2), barrows(0.03)], ""),
            // 23.4, 37.5, 52.5, 60 and 100 L in barrows of 80 L: half a barrow is 71 % more than 23.4 L, and 24 % less than 52.5 L.
            (vec![barrows(0.2925)], ""),
            (vec![barrows(0.468_75)], "½ barrow"),
            (vec![barrows(0.656_25)], ""),
            (vec![barrows(0.75)], ""),
            (vec![barrows(0.9)], "1 barrow"),
            (vec![barrows(1.25)], ""),
            (vec![barrows(2.25)], "2½ barrows"),
            (vec![buckets(1.25), barrows(0.5)], "½ barrow"),
            (vec![buckets(0.0)], ""),
            (vec![buckets(120.4)], "120 buckets"),
            (vec![quantity([1.1, 1.4, 2.3], named("sack", "sacks"))], "about 1½ sacks (1 to 2½)"),
            // By mass there is a range, by volume there is none.
            (vec![quantity([36.0, 48.0, 72.0], named("scoop", "scoops")), buckets(1.0)], "1 bucket"),
            (vec![], ""),
        ] {
            assert_eq!(containers(list).unwrap_or_default(), text);
        }
    }
}
