//! The temperature of a worm bed over the year, on the wire: plain numbers with one unit for all of them.

use super::RequestContext;
use super::list::List;
use super::quantity::QuantityInput;
use super::quantity_schema::text_schema;
use crate::garden::beds::Climate;
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::text::outside;
use crate::garden::units::{Dimension, Temperature, TemperatureDifference};
use crate::http::limits::MAX_DAYS;
use crate::http::wire::{ErrorCode, JsonPath, Other, capital};
use chrono::NaiveDate;
use serde::Deserialize;
use utoipa::openapi::schema::OneOfBuilder;
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};
use validator::{Validate, ValidationErrors};

/// The unit of temperatures: Celsius or Fahrenheit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
pub enum DegreeUnit {
    /// Celsius.
    C,
    /// Fahrenheit.
    F,
}

/// Degrees, in the unit of the climate.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(transparent)]
pub struct Degrees(pub f64);

impl Validate for Degrees {
    fn validate(&self) -> Result<(), ValidationErrors> {
        Ok(())
    }
}

/// The means of twelve months.
pub type MonthlyMeans = List<Degrees, 12, 12>;

/// One value for each day.
pub type DailyValues = List<Degrees, 1, { MAX_DAYS }>;

/// How warm a worm bed is over the year: one temperature for every day, or an object.
#[derive(Debug, Clone, Deserialize)]
#[serde(rename = "TextOrClimate")]
pub enum ClimateInput {
    /// `"15 C"`: the bed has this temperature on every day.
    #[serde(rename = "text")]
    Fixed(String),
    /// `{"unit": "C", "monthly_means": [..]}`.
    #[serde(rename = "object")]
    Parts(ClimateParts),
    /// Something else, kept apart so that a bare number gets a helpful refusal.
    #[serde(rename = "other")]
    Other(Other),
}

impl Validate for ClimateInput {
    fn validate(&self) -> Result<(), ValidationErrors> {
        match self {
            Self::Fixed(_) | Self::Other(_) => Ok(()),
            Self::Parts(parts) => parts.validate(),
        }
    }
}

impl PartialSchema for ClimateInput {
    fn schema() -> RefOr<Schema> {
        let text = text_schema("temperature", "15 C")
            .description(Some("The bed has this temperature on every day. Units: C, F; see GET /v1/units."));
        let description = "How warm a worm bed is over the year: one temperature for every day as a text, or an object with one of \
                           `fixed`, `daily` and `monthly_means`.";
        let parts = Ref::from_schema_name(ClimateParts::name());
        let union = OneOfBuilder::new().description(Some(description)).item(text).item(parts).build();
        RefOr::T(union.into())
    }
}

impl ToSchema for ClimateInput {
    fn schemas(all: &mut Vec<(String, RefOr<Schema>)>) {
        all.push((ClimateParts::name().into_owned(), ClimateParts::schema()));
        ClimateParts::schemas(all);
    }
}

/// The temperature over the year: exactly one of `fixed`, `daily` and `monthly_means`.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ClimateParts {
    /// The unit of every temperature here.
    pub unit: DegreeUnit,
    /// The bed has this temperature on every day.
    #[schema(example = 20)]
    pub fixed: Option<f64>,
    /// The bed's mean temperature of each day.
    #[validate(nested)]
    pub daily: Option<DailyTemperatures>,
    /// Means of the air from January to December, alike in every year. Between them a curve keeps each month's mean.
    #[validate(nested)]
    pub monthly_means: Option<MonthlyMeans>,
    /// How much warmer the bed is than the air, in degrees; with `monthly_means` only; 0 unless given.
    #[schema(example = 3)]
    pub offset: Option<f64>,
}

/// A series of temperatures in the bed, without gaps.
#[derive(Debug, Clone, Deserialize, Validate, ToSchema)]
pub struct DailyTemperatures {
    /// The day of the first value.
    #[schema(format = Date)]
    pub first_day: String,
    /// One value for each day from then on.
    #[validate(nested)]
    pub values: DailyValues,
}

impl DegreeUnit {
    const fn as_str(self) -> &'static str {
        match self {
            Self::C => "C",
            Self::F => "F",
        }
    }

    fn celsius(self, value: f64) -> f64 {
        match self {
            Self::C => value,
            Self::F => (value - 32.0) * 5.0 / 9.0,
        }
    }

    fn shown(self, celsius: f64) -> f64 {
        match self {
            Self::C => celsius,
            Self::F => celsius * 9.0 / 5.0 + 32.0,
        }
    }

    /// How many degrees of this unit make one kelvin.
    const fn for_each_kelvin(self) -> f64 {
        match self {
            Self::C => 1.0,
            Self::F => 9.0 / 5.0,
        }
    }
}

impl RequestContext<'_> {
    /// Reads a date.
    pub fn calendar_date(&self, text: &str, place: JsonPath<'_>) -> Option<NaiveDate> {
        self.keep(place, crate::garden::dates::date(text))
    }

    /// Reads a climate.
    pub fn climate(&self, input: &ClimateInput, place: JsonPath<'_>) -> Option<Climate> {
        let fixed = |input: QuantityInput| self.exact(&input, place).map(Climate::Fixed);
        match input {
            ClimateInput::Fixed(text) => fixed(QuantityInput::Text(text.clone())),
            ClimateInput::Other(Other(None)) => {
                let detail = "write one temperature for every day, as in \"15 C\", or an object with one of fixed, daily and monthly_means, as in \
                              {\"unit\": \"C\", \"monthly_means\": [2, 3, 6, 10, 14, 17, 19, 19, 15, 11, 6, 3]}";
                self.errors.push(place, ErrorCode::WrongType, capital(detail));
                None
            }
            ClimateInput::Other(other) => fixed(QuantityInput::Other(*other)),
            ClimateInput::Parts(parts) => self.climate_in_parts(parts, place),
        }
    }

    fn climate_in_parts(&self, input: &ClimateParts, place: JsonPath<'_>) -> Option<Climate> {
        if self.errors.touches(place.field("unit")) {
            // Without a unit no temperature is checked, only how many ways there are.
            let ways = [
                input.fixed.map(|_| None),
                input.daily.as_ref().map(|_| None),
                input.monthly_means.as_ref().map(|_| None),
            ];
            let is_said = ["fixed", "daily", "monthly_means"].iter().any(|way| self.errors.touches(place.field(way)));
            return if ways.iter().flatten().count() == 1 || is_said { None } else { self.one_climate(ways, place) };
        }
        if input.offset.is_some() && input.monthly_means.is_none() && !self.errors.touches(place) {
            let detail = "an offset is how much warmer the bed is than the air, so use it with monthly_means; other temperatures \
                          are those of the bed itself";
            self.refuse(place.field("offset"), Refusal::new(Reason::NotAllowedHere, detail));
        }
        let fixed = input.fixed.map(|fixed| self.degrees(fixed, input.unit, place.field("fixed")).map(Climate::Fixed));
        let daily = input.daily.as_ref().map(|daily| self.daily(daily, input.unit, place.field("daily")));
        let monthly = input.monthly_means.as_ref().map(|means| {
            let offset = self.offset(input, place.field("offset"));
            let means = self.all_degrees(means, input.unit, place.field("monthly_means"));
            let (means, offset) = (means?, offset?);
            // Another number than twelve has been reported already.
            if means.len() == 12 { self.keep(place, Climate::monthly(&means, offset)) } else { None }
        });
        let ways = [fixed, daily, monthly];
        if self.errors.touches(place) && ways.iter().flatten().count() != 1 {
            return None;
        }
        self.one_climate(ways, place)
    }

    /// The one way in which a climate is given.
    fn one_climate(&self, ways: [Option<Option<Climate>>; 3], place: JsonPath<'_>) -> Option<Climate> {
        let detail = "a climate has exactly one of fixed, daily and monthly_means";
        self.only_way(ways, (place, detail), &["fixed", "daily", "monthly_means"])
    }

    fn daily(&self, input: &DailyTemperatures, unit: DegreeUnit, place: JsonPath<'_>) -> Option<Climate> {
        let first_day = self.calendar_date(&input.first_day, place.field("first_day"));
        let values = self.all_degrees(&input.values, unit, place.field("values"));
        // A series without a value has been reported already.
        let values = values.filter(|values| !values.is_empty());
        Some(Climate::Daily { first_day: first_day?, values: values? })
    }

    fn all_degrees(&self, values: &[Degrees], unit: DegreeUnit, place: JsonPath<'_>) -> Option<Vec<Temperature>> {
        let mut read = Vec::with_capacity(values.len());
        for (i, value) in values.iter().enumerate() {
            read.extend(self.degrees(value.0, unit, place.index(i)));
        }
        (read.len() == values.len()).then_some(read)
    }

    fn degrees(&self, value: f64, unit: DegreeUnit, place: JsonPath<'_>) -> Option<Temperature> {
        let celsius = unit.celsius(value);
        let (min, max) = Dimension::Temperature.bounds();
        if celsius >= min && celsius <= max {
            return Some(Temperature::from_celsius(celsius));
        }
        self.beyond("a temperature", (unit.shown(min), unit.shown(max)), (unit, place))
    }

    fn offset(&self, input: &ClimateParts, place: JsonPath<'_>) -> Option<TemperatureDifference> {
        let each = input.unit.for_each_kelvin();
        let kelvins = input.offset.unwrap_or(0.0) / each;
        let (min, max) = Dimension::TemperatureDifference.bounds();
        if kelvins >= min && kelvins <= max {
            return Some(TemperatureDifference::from_kelvins(kelvins));
        }
        self.beyond("an offset", (min * each, max * each), (input.unit, place))
    }

    fn beyond<T>(&self, what: &str, bounds: (f64, f64), (unit, place): (DegreeUnit, JsonPath<'_>)) -> Option<T> {
        self.refuse(place, outside(what, bounds, unit.as_str()));
        None
    }
}
