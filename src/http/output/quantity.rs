//! Quantities as they are written: one unit for each role.

use super::recording::Recording;
pub use super::role::{Role, System};
use super::unit_name::UnitName;
use crate::garden::figures::{Book, WholeVolume};
use crate::garden::interrupt::check;
use crate::garden::refusal::Refusal;
use crate::garden::units::factor::from_base;
use crate::garden::units::quantity::{OfRatio, OfTemperature};
use crate::garden::units::round::to_nine_digits;
use crate::garden::units::{Containers, Dimension, Estimate, Measured, Millilitres, Quantity, whole};
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};
use utoipa::ToSchema;

/// A number as it is written: nine significant digits, or an exact decimal of whole millilitres. Whole numbers have no
/// decimal point, and zero has no sign.
#[must_use]
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number(f64);

impl Number {
    /// Rounded to nine significant digits.
    pub fn rounded(value: f64) -> Self {
        Self(to_nine_digits(value))
    }

    /// As it is: the shortest decimal that reads back to this value.
    pub const fn exactly(value: f64) -> Self {
        Self(value)
    }

    /// The value.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl std::fmt::Display for Number {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0 + 0.0)
    }
}

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[expect(clippy::as_conversions, reason = "a float to integer cast saturates; below 2^53 both ways are exact")]
        let (whole, back) = (self.0 as i64, self.0 as i64 as f64);
        if back == self.0 && whole.unsigned_abs() < 1 << 53 {
            return serializer.serialize_i64(whole);
        }
        serializer.serialize_f64(self.0)
    }
}

impl utoipa::PartialSchema for Number {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::Schema> {
        f64::schema()
    }
}

impl ToSchema for Number {}

/// A quantity in parts: the likely value, its unit, and its range where there is one. What an answer gives may be sent back unchanged.
#[must_use]
#[derive(Debug, Clone, PartialEq, ToSchema)]
#[schema(as = Quantity)]
pub struct QuantityOut {
    /// The likely value.
    #[schema(value_type = f64)]
    pub value: Number,
    /// The lower bound, where there is a range.
    #[schema(value_type = Option<f64>)]
    pub low: Option<Number>,
    /// The upper bound, where there is a range.
    #[schema(value_type = Option<f64>)]
    pub high: Option<Number>,
    /// The unit, or a container of the caller's; empty for a ratio.
    #[schema(value_type = String, example = "L")]
    pub unit: UnitName,
    /// The number of what is recorded of it, 0 if nothing is. Written in forms that are not for people only.
    #[schema(ignore)]
    pub node: u32,
}

impl Serialize for QuantityOut {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let with_node = self.node != 0 && !serializer.is_human_readable();
        let parts = [self.low.is_some(), self.high.is_some(), with_node].into_iter().filter(|is_there| *is_there);
        let mut quantity = serializer.serialize_struct("Quantity", parts.count().saturating_add(2))?;
        quantity.serialize_field("value", &self.value)?;
        for (name, bound) in [("low", self.low), ("high", self.high)] {
            if let Some(bound) = bound {
                quantity.serialize_field(name, &bound)?;
            }
        }
        quantity.serialize_field("unit", &self.unit)?;
        if with_node {
            quantity.serialize_field("node", &self.node)?;
        }
        quantity.end()
    }
}

/// A count in an answer, which is recorded like a quantity.
#[must_use]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CountOut {
    count: u64,
    node: u32,
}

impl CountOut {
    /// A count; what is no whole number is cut off.
    pub fn new(count: Estimate<OfRatio>) -> Self {
        #[expect(clippy::as_conversions, reason = "a float to integer cast saturates, and counts are whole")]
        Self { count: count.likely().number() as u64, node: count.node() }
    }

    /// The count.
    #[must_use]
    pub const fn get(self) -> u64 {
        self.count
    }
}

impl Serialize for CountOut {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.node == 0 || serializer.is_human_readable() {
            return serializer.serialize_u64(self.count);
        }
        let mut count = serializer.serialize_struct("Count", 2)?;
        count.serialize_field("value", &self.count)?;
        count.serialize_field("node", &self.node)?;
        count.end()
    }
}

/// How an answer is written: its system of units and the caller's containers.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// The system of units.
    pub system: System,
    /// The caller's containers.
    pub containers: &'a Containers,
    /// What is recorded of its figures, where they are to be explained.
    pub recording: Option<&'a Recording>,
}

impl View<'_> {
    /// A value that is known.
    pub fn exact<D: Measured>(&self, role: Role, value: Quantity<D>) -> QuantityOut {
        self.estimate(role, value.into())
    }

    /// A value with its bounds, which are left out where they are one with it.
    pub fn estimate<D: Measured>(&self, role: Role, value: Estimate<D>) -> QuantityOut {
        QuantityOut { node: value.node(), ..self.values(role, value.values()) }
    }

    /// Low, likely and high in base units; the bounds are left out where they are one.
    pub fn values(&self, role: Role, values: [f64; 3]) -> QuantityOut {
        let (unit, factor) = self.system.unit(role);
        written(unit, values, |base| from_base(base, factor))
    }

    /// Where figures are recorded that are made as they are written.
    #[must_use]
    pub fn book(&self) -> Option<&Book> {
        self.recording.map(|recording| &recording.book)
    }

    /// A temperature: C or F.
    pub fn temperature(&self, value: Estimate<OfTemperature>) -> QuantityOut {
        let (unit, shown): (_, fn(f64) -> f64) = match self.system {
            System::Metric => ("C", |celsius| celsius),
            System::Us => ("F", |celsius| celsius * 9.0 / 5.0 + 32.0),
        };
        QuantityOut { node: value.node(), ..written(unit, value.values(), shown) }
    }

    /// Whole millilitres: in litres all digits, elsewhere the shortest decimal that reads back to the same millilitre.
    pub fn whole(&self, amount: impl Into<WholeVolume>) -> QuantityOut {
        let (amount, (unit, factor)) = (amount.into(), self.system.unit(Role::Bulk));
        let volume = amount.volume;
        let value = match self.system {
            System::Metric => whole(volume.get()) / 1000.0,
            System::Us => shortest(volume, factor),
        };
        QuantityOut { value: Number::exactly(value), low: None, high: None, unit: unit.into(), node: amount.node() }
    }
}

/// Low, likely and high in a unit; the bounds are left out where they are one.
pub(super) fn written(
    unit: impl Into<UnitName>,
    [low, likely, high]: [f64; 3],
    in_unit: impl Fn(f64) -> f64,
) -> QuantityOut {
    check();
    let number = |base: f64| Number::rounded(in_unit(base));
    let bound = |base: f64| (low != high).then(|| number(base));
    QuantityOut { value: number(likely), low: bound(low), high: bound(high), unit: unit.into(), node: 0 }
}

/// The shortest decimal, in a unit of `factor` litres, that reads back to the same millilitre.
fn shortest(volume: Millilitres, factor: f64) -> f64 {
    let exact = whole(volume.get()) / 1000.0 / factor;
    (0..=15)
        .filter_map(|digits| format!("{exact:.digits$}").parse::<f64>().ok())
        .find(|short| Millilitres::nearest(crate::garden::units::Volume::from_litres(short * factor)) == volume)
        .unwrap_or(exact)
}

/// A value in a unit that the caller names, for a cell.
///
/// # Errors
/// What [`crate::garden::units::text::with_unit`] refuses.
pub fn in_unit(base: f64, unit: &str, dimension: Dimension, containers: &Containers) -> Result<Number, Refusal> {
    let reader = crate::garden::units::Reader { containers: containers.clone(), ..Default::default() };
    let one = crate::garden::units::text::with_unit(1.0, unit, &[dimension], &reader)?;
    Ok(Number::rounded(from_base(base, one.base)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn numbers_have_no_point_zero_and_no_signed_zero() {
        let text = |x: f64| serde_json::to_string(&Number::rounded(x)).unwrap();
        assert_eq!([text(48.0), text(-0.0), text(0.1 + 0.2), text(1e15)], ["48", "0", "0.3", "1000000000000000"]);
    }

    proptest! {
        /// Written in cubic feet and read again, a volume is the same to the millilitre.
        #[test]
        fn millilitres_survive_cubic_feet(ml in 0_u64..1_000_000_000) {
            let none = Containers::default();
            let out = View { system: System::Us, containers: &none, recording: None }.whole(Millilitres::new(ml));
            let back = crate::garden::units::Volume::from_litres(out.value.get() * 28.316846592);
            prop_assert_eq!(Millilitres::nearest(back).get(), ml);
        }

        #[test]
        fn millilitres_in_litres_are_written_with_all_their_digits(ml in 0_u64..1_000_000_000_000_000) {
            let none = Containers::default();
            let out = View { system: System::Metric, containers: &none, recording: None }.whole(Millilitres::new(ml));
            let text = serde_json::to_string(&out.value).unwrap();
            let (litres, rest) = text.split_once('.').unwrap_or((&text, "0"));
            let back = litres.parse::<u64>().unwrap() * 1000 + format!("{rest:0<3}").parse::<u64>().unwrap();
            prop_assert_eq!(back, ml, "{}", text);
        }
    }
}
