//! The unit in which people read an amount: one in which they can measure it out. It depends on the amount alone, so that the same amount
//! reads the same wherever it is, but for charts, which have the unit of their axis, and for what is compared: a row of a table has one. Data stay in the unit of their role.

use crate::garden::units::table::find;
use crate::http::output::{Number, QuantityOut, UnitName};

/// A unit in which people read amounts.
struct ReadingUnit {
    unit: &'static str,
    /// The least amount that is written in it, while there is a smaller unit.
    least: f64,
}

const fn unit(unit: &'static str, least: f64) -> ReadingUnit {
    ReadingUnit { unit, least }
}

/// Units from large to small: common practice, no source. What a garden takes is mostly between a gallon and ten cubic feet, so that one
/// table seldom has two units.
static READING_UNITS: [&[ReadingUnit]; 4] = [
    // A quart down to a pint.
    &[unit("ft3", 10.0), unit("US gal", 1.0), unit("US qt", 0.5), unit("US fl oz", 0.0)],
    &[unit("L", 0.1), unit("mL", 0.0)],
    &[unit("lb", 1.0), unit("oz", 0.0)],
    &[unit("kg", 0.1), unit("g", 0.0)],
];

/// Units of masses that are small as a rule, and of large ones of them.
static SMALL_MASSES: [&[ReadingUnit]; 2] = [&[unit("lb", 1.0), unit("oz", 0.0)], &[unit("kg", 1.0), unit("g", 0.0)]];

/// Nothing at all is written in the unit that most amounts have.
const OF_NOTHING: &str = "US gal";

/// The lengths of row that amounts are given for.
const LENGTHS: [&str; 2] = ["ft", "m"];

/// The unit for people of an amount.
#[must_use]
#[derive(Debug, Clone, PartialEq)]
pub struct ForPeople {
    /// The unit.
    pub unit: UnitName,
    by: f64,
}

impl ForPeople {
    /// The unit for an amount that is given in `unit`. `None` where it stays in its own.
    #[must_use]
    pub fn of(unit: &str, value: f64) -> Option<Self> {
        let (alone, per) = unit.split_once('/').map_or((unit, None), |(alone, per)| (alone, Some(per)));
        if per.is_some_and(|per| !LENGTHS.contains(&per)) {
            return None;
        }
        let from = |steps: &&'static [ReadingUnit]| steps.get(steps.iter().position(|step| step.unit == alone)?..);
        let small = SMALL_MASSES.iter().find(|steps| steps.last().is_some_and(|step| step.unit == alone)).copied();
        let steps = small.or_else(|| READING_UNITS.iter().find_map(from))?;
        let own = find(alone)?.factor;
        let by = |step: &ReadingUnit| find(step.unit).map_or(1.0, |unit| own / unit.factor);
        let is_its = |step: &&ReadingUnit| match value {
            0.0 => step.unit == OF_NOTHING,
            // Rounding never leads from one side of such a bound to the other.
            _ => value.abs() * by(step) >= step.least || three_digits(value.abs() * by(step)) >= step.least,
        };
        let chosen = steps.iter().find(is_its)?;
        let written = per.map_or(chosen.unit.into(), |per| format!("{}/{per}", chosen.unit).into());
        (chosen.unit != alone).then(|| Self { unit: written, by: by(chosen) })
    }

    /// A value in this unit.
    #[must_use]
    pub fn value(&self, value: f64) -> f64 {
        value * self.by
    }

    /// An amount in this unit, with its range.
    fn write(&self, amount: &QuantityOut) -> QuantityOut {
        let number = |of: Number| Number::rounded(self.value(of.get()));
        QuantityOut {
            value: number(amount.value),
            low: amount.low.map(number),
            high: amount.high.map(number),
            unit: self.unit.clone(),
            ..amount.clone()
        }
    }
}

/// An amount in its unit for people.
pub fn for_people(amount: &QuantityOut) -> QuantityOut {
    beside(amount, amount)
}

/// An amount in the unit that another of the same unit has for people.
pub fn beside(amount: &QuantityOut, other: &QuantityOut) -> QuantityOut {
    in_unit_of(amount, other).unwrap_or_else(|| amount.clone())
}

/// So small a share of the largest of several amounts does not choose the unit of all.
const TOO_SMALL: f64 = 0.01;

/// Of several amounts that whose unit all of them have: the smallest that is not far below the largest. None of nothing.
#[must_use]
pub fn of_all<'a>(amounts: &[&'a QuantityOut]) -> Option<&'a QuantityOut> {
    let size = |of: &QuantityOut| of.value.get().abs();
    let largest = amounts.iter().map(|of| size(of)).fold(0.0, f64::max);
    let some = amounts.iter().filter(|of| size(of) > largest * TOO_SMALL);
    some.min_by(|a, b| size(a).total_cmp(&size(b))).copied()
}

/// The same; `None` where the amount stays in its own unit.
#[must_use]
pub fn in_unit_of(amount: &QuantityOut, other: &QuantityOut) -> Option<QuantityOut> {
    let unit = ForPeople::of(&other.unit, other.value.get()).filter(|_| amount.unit == other.unit);
    unit.map(|unit| unit.write(amount))
}

/// Rounded to three significant digits.
#[must_use]
pub fn three_digits(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Cubic inches. NIST Handbook 44, Appendix C: a cubic foot is 1728 in3, a gallon 231, a quart a quarter of it, a fluid ounce the 32nd
    /// part of a quart.
    fn inches(unit: &str) -> f64 {
        match unit {
            "ft3" => 1728.0,
            "US gal" => 231.0,
            "US qt" => 231.0 / 4.0,
            "US fl oz" => 231.0 / 128.0,
            other => panic!("{other}"),
        }
    }

    fn amount(value: f64, unit: &'static str) -> QuantityOut {
        let value = Number::rounded(value);
        QuantityOut { value, low: None, high: None, unit: unit.into(), node: 0 }
    }

    /// The unit that people get for an amount.
    fn unit(unit: &'static str, value: f64) -> String {
        ForPeople::of(unit, value).map_or_else(|| unit.to_owned(), |people| people.unit.to_string())
    }

    #[test]
    fn a_unit_is_chosen_by_size() {
        let (gal, qt, oz) = (231.0 / 1728.0, 231.0 / 6912.0, 231.0 / 221_184.0);
        for (own, value, people) in [
            ("ft3", 10.0, "ft3"),
            ("ft3", 9.999, "ft3"),
            ("ft3", 9.99, "US gal"),
            ("ft3", gal, "US gal"),
            ("ft3", 0.99 * gal, "US qt"),
            ("ft3", 0.5 * qt, "US qt"),
            ("ft3", 0.49 * qt, "US fl oz"),
            ("ft3", 0.001 * oz, "US fl oz"),
            ("ft3", -0.3, "US gal"),
            ("ft3", 0.0, "US gal"),
            ("US gal", 0.5, "US qt"),
            ("US gal", 1200.0, "US gal"),
            ("US gal", 0.01, "US fl oz"),
            ("ft3/ft", 0.05, "US qt/ft"),
            ("L", 0.1, "L"),
            ("L", 0.09, "mL"),
            ("L/m", 0.05, "mL/m"),
            ("lb", 1.0, "lb"),
            ("lb", 0.99, "oz"),
            ("kg", 0.05, "g"),
            ("oz", 0.01, "oz"),
            ("oz", 15.9, "oz"),
            ("oz", 16.0, "lb"),
            ("g", 0.01, "g"),
            ("g", 999.0, "g"),
            ("g", 1000.0, "kg"),
            ("g/m", 1000.0, "kg/m"),
            ("g/m2", 1000.0, "g/m2"),
            ("mm", 0.01, "mm"),
            ("L/m2", 0.01, "L/m2"),
            ("yd3/1000 ft2", 0.01, "yd3/1000 ft2"),
            ("kg/kg/d", 0.01, "kg/kg/d"),
            ("lb/ft2", 0.01, "lb/ft2"),
            ("", 0.01, ""),
        ] {
            assert_eq!(unit(own, value), people, "{value} {own}");
        }
    }

    #[test]
    fn a_part_can_be_compared_with_its_whole_and_a_bound_with_its_value() {
        let unit_of = |whole: f64, part: f64| beside(&amount(whole, "ft3"), &amount(part, "ft3")).unit;
        assert_eq!([unit_of(12.0, 8.0), unit_of(12.0, 11.0), unit_of(0.3, 0.01)], ["US gal", "ft3", "US fl oz"]);
        assert_eq!(beside(&amount(0.5, "ft3"), &amount(5.0, "lb")).unit, "ft3");
    }

    proptest::proptest! {
        /// An amount in its unit for people is the same amount, and its three digits are not all behind a zero.
        #[test]
        fn a_volume_stays_what_it_is(power in -6.0..4.0_f64, is_water: bool) {
            let own = amount(10_f64.powf(power), if is_water { "US gal" } else { "ft3" });
            let people = for_people(&own);
            let (before, after) = (own.value.get() * inches(&own.unit), people.value.get() * inches(&people.unit));
            proptest::prop_assert!((after / before - 1.0).abs() < 1e-8, "{} in3 is not {} in3", after, before);
            proptest::prop_assert!(people.value.get() > 0.4995 || people.unit == "US fl oz", "{:?}", people);
        }
    }
}
