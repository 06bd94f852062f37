//! The unit in which people read an amount: one in which they can measure it out. Data stay in the unit of their role.

use crate::garden::units::table::find;
use crate::http::output::{Number, QuantityOut};
use std::borrow::Cow;

/// A unit in which people read amounts.
struct Step {
    unit: &'static str,
    /// The least amount that is written in it, while there is a smaller unit.
    least: f64,
    /// Amounts up to this are written in it for the sake of smaller ones beside them.
    most: f64,
}

const fn step(unit: &'static str, least: f64, most: f64) -> Step {
    Step { unit, least, most }
}

/// Units from large to small: common practice, no source.
static STEPS: [&[Step]; 4] = [
    &[
        step("ft3", 1.0, f64::INFINITY),
        step("US gal", 1.0, 1000.0),
        // Below a pint.
        step("US qt", 0.5, 100.0),
        step("US fl oz", 0.0, 100.0),
    ],
    &[step("L", 0.1, f64::INFINITY), step("mL", 0.0, 1000.0)],
    &[step("lb", 1.0, f64::INFINITY), step("oz", 0.0, 32.0)],
    &[step("kg", 0.1, f64::INFINITY), step("g", 0.0, 1000.0)],
];

/// The lengths of row that amounts are given for.
const LENGTHS: [&str; 2] = ["ft", "m"];

/// Where the smallest of several amounts is less than this, all are written in a smaller unit, if the largest is not too much for it.
const TOO_SMALL: f64 = 0.1;
/// What is below the third digit of the largest of several amounts does not count.
const THIRD_DIGIT: f64 = 0.001;

/// The unit for people of amounts that stand together.
#[must_use]
#[derive(Debug, Clone, PartialEq)]
pub struct ForPeople {
    /// The unit.
    pub unit: Cow<'static, str>,
    by: f64,
}

impl ForPeople {
    /// The unit for amounts that are given in `unit`: that of the largest, or a smaller one where the smallest could not be read in it.
    /// `None` where they stay in their own.
    #[must_use]
    pub fn of(unit: &str, values: impl IntoIterator<Item = f64>) -> Option<Self> {
        let (alone, per) = unit.split_once('/').map_or((unit, None), |(alone, per)| (alone, Some(per)));
        if per.is_some_and(|per| !LENGTHS.contains(&per)) {
            return None;
        }
        let from = |steps: &&'static [Step]| steps.get(steps.iter().position(|step| step.unit == alone)?..);
        let steps = STEPS.iter().find_map(from)?;
        let sizes: Vec<f64> = values.into_iter().map(f64::abs).filter(|size| *size > 0.0).collect();
        let largest = sizes.iter().copied().reduce(f64::max)?;
        let counted = sizes.iter().copied().filter(|size| *size >= largest * THIRD_DIGIT);
        let smallest = counted.reduce(f64::min)?;
        let own = find(alone)?.factor;
        let by = |step: &Step| find(step.unit).map_or(1.0, |unit| own / unit.factor);
        let read = |size: f64, step: &Step| three_digits(size * by(step));
        let first = steps.iter().position(|step| read(largest, step) >= step.least)?;
        let (first, smaller) = steps.get(first..)?.split_first()?;
        let chosen = smaller.iter().fold(first, |chosen, next| {
            let is_better = read(smallest, chosen) < TOO_SMALL && read(largest, next) <= next.most;
            if is_better { next } else { chosen }
        });
        let (unit, by) = (chosen.unit, by(chosen));
        let written = per.map_or(Cow::Borrowed(unit), |per| format!("{unit}/{per}").into());
        (unit != alone).then_some(Self { unit: written, by })
    }

    /// A value in this unit.
    #[must_use]
    pub fn value(&self, value: f64) -> f64 {
        value * self.by
    }

    /// An amount in this unit, with its range.
    pub fn write(&self, amount: &QuantityOut) -> QuantityOut {
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

/// Amounts that stand in one sentence, in one unit for people where they are given in one.
pub fn together<const N: usize>(amounts: [&QuantityOut; N]) -> [QuantityOut; N] {
    let mut written = all_together(&amounts).into_iter();
    amounts.map(|amount| written.next().unwrap_or_else(|| amount.clone()))
}

/// The same of a list of amounts.
#[must_use]
pub fn all_together(amounts: &[&QuantityOut]) -> Vec<QuantityOut> {
    let units = || amounts.iter().map(|amount| amount.unit.as_ref());
    let unit = units().next().filter(|unit| units().all(|other| other == *unit));
    let write =
        |of: Option<ForPeople>, amount: &QuantityOut| of.map_or_else(|| amount.clone(), |unit| unit.write(amount));
    match unit {
        Some(unit) => {
            let shared = ForPeople::of(unit, amounts.iter().map(|amount| amount.value.get()));
            amounts.iter().map(|amount| write(shared.clone(), amount)).collect()
        }
        None => amounts.iter().map(|one| write(ForPeople::of(&one.unit, [one.value.get()]), one)).collect(),
    }
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
        QuantityOut { value, low: None, high: None, unit: unit.into(), node: 0, plural: None }
    }

    /// Amounts of a unit, and the unit that people get.
    fn unit(unit: &'static str, values: &[f64]) -> String {
        ForPeople::of(unit, values.iter().copied()).map_or_else(|| unit.to_owned(), |people| people.unit.into_owned())
    }

    #[test]
    fn a_unit_is_chosen_by_size_from_the_own_unit_down() {
        let (gal, qt, oz) = (231.0 / 1728.0, 231.0 / 6912.0, 231.0 / 221_184.0);
        for (own, value, people) in [
            ("ft3", 1.0, "ft3"),
            ("ft3", 0.9999, "ft3"),
            ("ft3", 0.99, "US gal"),
            ("ft3", gal, "US gal"),
            ("ft3", 0.99 * gal, "US qt"),
            ("ft3", 0.5 * qt, "US qt"),
            ("ft3", 0.49 * qt, "US fl oz"),
            ("ft3", 0.001 * oz, "US fl oz"),
            ("ft3", -0.3, "US gal"),
            ("ft3", 0.0, "ft3"),
            ("US gal", 0.5, "US qt"),
            ("US gal", 12.0, "US gal"),
            ("US gal", 0.01, "US fl oz"),
            ("ft3/ft", 0.05, "US qt/ft"),
            ("L", 0.1, "L"),
            ("L", 0.09, "mL"),
            ("L/m", 0.05, "mL/m"),
            ("lb", 1.0, "lb"),
            ("lb", 0.99, "oz"),
            ("kg", 0.05, "g"),
            ("oz", 0.01, "oz"),
            ("mm", 0.01, "mm"),
            ("L/m2", 0.01, "L/m2"),
            ("yd3/1000 ft2", 0.01, "yd3/1000 ft2"),
            ("kg/kg/d", 0.01, "kg/kg/d"),
            ("lb/ft2", 0.01, "lb/ft2"),
            ("", 0.01, ""),
        ] {
            assert_eq!(unit(own, &[value]), people, "{value} {own}");
        }
    }

    #[test]
    fn amounts_that_stand_together_have_one_unit_in_which_all_can_be_read() {
        for (own, values, people) in [
            ("ft3", &[1.5, 0.2][..], "ft3"),
            ("ft3", &[0.9, 0.2], "US gal"),
            ("ft3", &[3.0, 0.0668], "US gal"),
            ("ft3", &[3.0, 0.0], "ft3"),
            ("ft3", &[50.0, 0.0668], "US gal"),
            ("ft3", &[100.0, 0.0668], "ft3"),
            ("ft3", &[2.7, 0.0193, 0.00113], "US gal"),
            ("lb", &[1.5, 0.05], "oz"),
            ("lb", &[20.0, 0.05], "lb"),
            ("L", &[0.9, 0.05], "mL"),
            ("L", &[5.0, 0.05], "L"),
            ("US gal", &[], "US gal"),
        ] {
            assert_eq!(unit(own, values), people, "{values:?} {own}");
        }
        let written = together([&amount(3.0, "ft3"), &amount(0.0668, "ft3"), &amount(0.1, "ft3")]);
        assert!(written.iter().all(|one| one.unit == "US gal"), "{written:?}");
        let [castings, water] = together([&amount(0.0668, "ft3"), &amount(5.0, "US gal")]);
        assert_eq!([castings.unit, water.unit], ["US qt", "US gal"]);
    }

    proptest::proptest! {
        /// An amount in its unit for people is the same amount, and its three digits are not all behind a zero.
        #[test]
        fn a_volume_stays_what_it_is(power in -6.0..4.0_f64, is_water: bool) {
            let own = amount(10_f64.powf(power), if is_water { "US gal" } else { "ft3" });
            let [people] = together([&own]);
            let (before, after) = (own.value.get() * inches(&own.unit), people.value.get() * inches(&people.unit));
            proptest::prop_assert!((after / before - 1.0).abs() < 1e-8, "{} in3 is not {} in3", after, before);
            proptest::prop_assert!(people.value.get() > 0.4995 || people.unit == "US fl oz", "{:?}", people);
        }
    }
}
