//! Quantities on the wire: `"20 cm"` or `{"value": 20, "unit": "cm", "low"?, "high"?}`.

use super::quantity_schema::{object, quantity_schema};
use super::{RequestContext, optionally};
use crate::garden::assumptions::Span;
use crate::garden::interrupt::check;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::text::{self, Read, outside, read, unit_missing, with_unit};
use crate::garden::units::{Dimension, Measured, Quantity};
use crate::http::wire::{ErrorCode, JsonPath, Other, capital, capitalised};
use serde::Deserialize;
use utoipa::openapi::{RefOr, Schema};

/// A quantity as it came.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "TextOrQuantity")]
pub enum QuantityInput {
    /// `"20 cm"`.
    #[serde(rename = "text")]
    Text(String),
    /// `{"value": 20, "unit": "cm"}`.
    #[serde(rename = "object")]
    Object(QuantityObject),
    /// Something else, kept apart so that a bare number gets a helpful refusal.
    #[serde(rename = "other")]
    Other(Other),
}

/// A quantity in parts.
#[derive(Debug, Clone, Deserialize)]
pub struct QuantityObject {
    /// The likely value.
    pub value: f64,
    /// Its unit; where it lacks, the refusal says which units fit.
    pub unit: Option<String>,
    /// The lower bound.
    pub low: Option<f64>,
    /// The upper bound.
    pub high: Option<f64>,
}

/// What is expected at a place: a quantity of one of these dimensions, within its own bounds or narrower ones (in base units).
#[derive(Debug, Clone, Copy)]
pub struct Due<'d> {
    /// The dimensions that fit.
    pub dimensions: &'d [Dimension],
    /// Narrower bounds than those of the dimension.
    pub bounds: Option<(f64, f64)>,
    /// A lower bound below that of the dimension: 0 where nothing is an amount too.
    pub least: Option<f64>,
    /// An example that lies within the bounds, where the usual one may not.
    pub example: Option<&'d str>,
}

/// Examples of shares, for bounds that the first ones exceed.
const SHARES: [(f64, &str); 5] = [(0.7, "70 %"), (0.2, "20 %"), (0.05, "5 %"), (0.01, "1 %"), (0.002, "0.2 %")];

impl<'d> Due<'d> {
    /// Any quantity of these dimensions.
    pub const fn any(dimensions: &'d [Dimension]) -> Self {
        Self { dimensions, bounds: None, least: None, example: None }
    }

    /// The same with another lower bound.
    pub const fn from(self, least: f64) -> Self {
        Self { least: Some(least), ..self }
    }

    /// A share between two fractions.
    pub const fn share(least: f64, most: f64) -> Self {
        Self { dimensions: ShareInput::DIMENSIONS, bounds: Some((least, most)), least: None, example: None }
    }

    /// What is to be written.
    fn wanted(self) -> String {
        let words: Vec<_> = self.dimensions.iter().map(|dimension| dimension.text()).collect();
        let such = self.sample().map_or_else(String::new, |sample| format!(", as in \"{sample}\""));
        format!("write {} here: a text of number and unit, or an object with value and unit{such}", words.join(" or "))
    }

    /// A value that fits, as it is written.
    fn sample(self) -> Option<&'d str> {
        let usual = || text::first_sample(self.dimensions);
        let within = |(least, most): (f64, f64)| SHARES.iter().find(|(share, _)| (least..=most).contains(share));
        match (self.dimensions, self.bounds) {
            ([Dimension::Share], Some(bounds)) => self.example.or_else(|| within(bounds).map(|(_, text)| *text)),
            _ => self.example.or_else(usual),
        }
    }

    /// The refusal with an example that fits in place of the usual one.
    fn with_own_example(self, refusal: Refusal) -> Refusal {
        let (usual, own) = (text::first_sample(self.dimensions), self.sample());
        let parts = usual.and_then(|usual| refusal.detail.rsplit_once(usual));
        match (parts, own) {
            (Some((before, after)), Some(own)) if before.trim_end_matches('"').ends_with("as in ") => {
                Refusal { detail: format!("{before}{own}{after}"), ..refusal }
            }
            _ => refusal,
        }
    }
}

macro_rules! inputs {
    ($($(#[$doc:meta])* $name:ident = $format:literal, [$($dimension:ident),+], $example:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Deserialize)]
        #[serde(rename = $example)]
        pub struct $name(pub QuantityInput);

        impl $name {
            /// The dimensions that fit.
            pub const DIMENSIONS: &'static [Dimension] = &[$(Dimension::$dimension),+];
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> RefOr<Schema> {
                quantity_schema($format, Self::DIMENSIONS, $example)
            }
        }

        impl utoipa::ToSchema for $name {
            fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
                schemas.push(object());
            }
        }
    )*};
}

inputs! {
    /// A length.
    LengthInput = "length", [Length], "20 cm";
    /// An area.
    AreaInput = "area", [Area], "12 m2";
    /// A volume.
    VolumeInput = "volume", [Volume], "90 L";
    /// A mass.
    MassInput = "mass", [Mass], "8.2 kg";
    /// A volume or a mass.
    VolumeOrMassInput = "volume-or-mass", [Volume, Mass], "12 L";
    /// A volume, a mass, or a share of a whole.
    VolumeMassOrShareInput = "volume-mass-or-share", [Volume, Mass, Share], "50 %";
    /// A share of a whole.
    ShareInput = "share", [Share], "20 %";
    /// A span of time.
    DurationInput = "duration", [Duration], "24 h";
    /// A mass over an area.
    MassPerAreaInput = "mass-per-area", [MassPerArea], "2 kg/m2";
    /// A volume over an area.
    VolumePerAreaInput = "volume-per-area", [VolumePerArea], "5 L/m2";
    /// A volume along a length.
    VolumePerLengthInput = "volume-per-length", [VolumePerLength], "0.5 L/m";
    /// A volume or a mass for each plant.
    PerPlantInput = "per-plant", [VolumePerPlant, MassPerPlant], "250 mL";
    /// Tea over an area, along a row or for each plant.
    CoverageInput = "coverage", [VolumePerArea, VolumePerLength, VolumePerPlant], "2 L/m2";
    /// A temperature.
    TemperatureInput = "temperature", [Temperature], "55 C";
    /// A bulk density.
    DensityInput = "bulk-density", [Density], "620 kg/m3";
}

impl RequestContext<'_> {
    /// Reads a quantity with its range as one of the dimensions, within the bounds of that dimension or narrower ones.
    pub fn span(&self, input: &QuantityInput, due: Due<'_>, place: JsonPath<'_>) -> Option<(Dimension, Span)> {
        check();
        let dimensions = due.dimensions;
        let found = match input {
            QuantityInput::Text(text) => self
                .keep(place, read(text, dimensions, &self.reader).map_err(|refusal| due.with_own_example(refusal)))
                .map(|read| exact(self.noting_us_customary(read, place))),
            QuantityInput::Other(Other(Some(number))) => {
                self.refuse(place, unit_missing(*number, dimensions));
                None
            }
            QuantityInput::Other(_) => {
                self.errors.push(place, ErrorCode::WrongType, capital(&due.wanted()));
                None
            }
            QuantityInput::Object(QuantityObject { value, unit: None, .. }) => {
                let lacking = unit_missing(*value, dimensions);
                let such = lacking.allowed.iter().take(3).map(String::as_str).collect::<Vec<_>>().join(", ");
                // Without its number nothing can be said of that.
                let (detail, nearest) = match self.errors.touches(place.field("value")) {
                    true => (format!("the unit is missing; write it, such as {such}"), None),
                    false => (lacking.detail.clone(), lacking.nearest.clone()),
                };
                let reason = Reason::MissingField;
                self.refuse(place.field("unit"), Refusal { reason, detail, nearest, ..lacking });
                None
            }
            // What is wrong inside has been reported already.
            QuantityInput::Object(_) if self.errors.touches(place) => None,
            QuantityInput::Object(object) => self.object(object, dimensions, place),
        };
        let (dimension, span) = found?;
        let (least, most) = due.bounds.unwrap_or_else(|| dimension.bounds());
        let bounds = (due.least.unwrap_or(least), most);
        self.within((dimension, span), bounds, place).then_some((dimension, span))
    }

    fn object(
        &self,
        object: &QuantityObject,
        dimensions: &[Dimension],
        place: JsonPath<'_>,
    ) -> Option<(Dimension, Span)> {
        let unit = object.unit.as_deref().unwrap_or_default().trim();
        if unit.is_empty() {
            self.refuse(place.field("unit"), unit_missing(object.value, dimensions));
            return None;
        }
        let base = |value: f64| with_unit(value, unit, dimensions, &self.reader);
        let likely = self.noting_us_customary(self.keep(place.field("unit"), base(object.value))?, place);
        let bound = |value: Option<f64>| value.map_or(Some(likely.base), |v| base(v).ok().map(|r| r.base));
        let span = Span { low: bound(object.low)?, likely: likely.base, high: bound(object.high)? };
        if !(span.low <= span.likely && span.likely <= span.high) {
            let detail = "low must not be above value, nor value above high";
            self.refuse(place, Refusal::new(Reason::InconsistentAssumptions, detail));
            return None;
        }
        Some((likely.dimension, span))
    }

    /// Notes where a name of several units was read as the US one.
    fn noting_us_customary(&self, read: Read, place: JsonPath<'_>) -> Read {
        if read.us_customary {
            self.us_customary.borrow_mut().insert(place.to_pointer());
        }
        read
    }

    fn within(&self, (dimension, span): (Dimension, Span), (min, max): (f64, f64), place: JsonPath<'_>) -> bool {
        if span.low >= min && span.high <= max {
            return true;
        }
        let scale = if dimension == Dimension::Share { 100.0 } else { 1.0 };
        let what = capitalised(&format!("{} here", dimension.text()));
        self.refuse(place, outside(&what, (min * scale, max * scale), dimension.base_unit()));
        false
    }

    /// Reads a quantity of one dimension; a range given with it is checked, noted as not used, and the likely value kept.
    pub fn exact<D: Measured>(&self, input: &QuantityInput, place: JsonPath<'_>) -> Option<Quantity<D>> {
        self.exact_between(input, D::DIMENSION.bounds(), place)
    }

    /// As [`Self::exact`], within narrower bounds (in base units).
    pub fn exact_between<D: Measured>(
        &self,
        input: &QuantityInput,
        bounds: (f64, f64),
        place: JsonPath<'_>,
    ) -> Option<Quantity<D>> {
        let due = Due { bounds: Some(bounds), ..Due::any(&[D::DIMENSION]) };
        let (_, span) = self.span(input, due, place)?;
        self.note_range(span, place);
        Some(Quantity::from_base(span.likely))
    }

    /// As [`Self::exact`] for an optional field.
    pub fn optional<D: Measured>(
        &self,
        input: Option<&QuantityInput>,
        place: JsonPath<'_>,
    ) -> Option<Option<Quantity<D>>> {
        optionally(input, |input| self.exact(input, place))
    }

    /// Takes back that a range given at this place is not used.
    pub fn range_is_used(&self, place: JsonPath<'_>) {
        let pointer = place.to_pointer();
        self.unused_ranges.borrow_mut().retain(|other| *other != pointer);
    }

    /// Notes that a range given at this place is not used.
    pub fn note_range(&self, span: Span, place: JsonPath<'_>) {
        if span.low < span.likely || span.high > span.likely {
            self.unused_ranges.borrow_mut().push(place.to_pointer());
        }
    }
}

fn exact(read: Read) -> (Dimension, Span) {
    (read.dimension, Span::exactly(read.base))
}
