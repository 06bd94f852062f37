//! Numbers and short texts with their bounds: the type states them once, for the check, its message and the document.

use super::text::no_control;
use crate::garden::applications::repeats::MAX_TIMES;
use crate::garden::assumptions::MAX_CORRELATION;
use crate::garden::dates::{MAX_YEAR, MIN_YEAR};
use crate::garden::feeds::{MAX_SOAK_DAYS, MIN_SOAK_DAYS};
use crate::http::limits::{
    MAX_BREWERS, MAX_CONTAINER_NAME, MAX_COUNT, MAX_CURRENCY, MAX_CYCLES, MAX_DELIVERIES, MAX_LAYERS_PER_CYCLE,
    MAX_NAME, MAX_PARTS_OF_MIX, MAX_PRICE, MAX_PRIORITY, MAX_RATIO, MAX_REVISION, MAX_SEED, MAX_SIMULATION_RUNS,
    MAX_SOURCE, MAX_STAGE_DAYS, MAX_TURNINGS, MIN_PARTS_OF_MIX,
};
use crate::http::wire::{ErrorCode, WHOLE_LIST, outside};
use serde::Deserialize;
use std::fmt::Display;
use std::ops::Deref;
use utoipa::openapi::schema::{ObjectBuilder, Type};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};
use validator::{Validate, ValidationError, ValidationErrors};

macro_rules! numbers {
    ($($(#[$about:meta])* $name:ident: $type:ty = $min:expr, $max:expr;)*) => {
        $(
            $(#[$about])*
            #[derive(Debug, Clone, Copy, Deserialize)]
            #[serde(transparent)]
            pub struct $name(pub $type);

            impl $name {
                /// Whether it lies within its bounds; what does not has been refused.
                #[must_use]
                pub fn is_within(self) -> bool {
                    ($min..=$max).contains(&self.0)
                }
            }

            impl Validate for $name {
                fn validate(&self) -> Result<(), ValidationErrors> {
                    let words = || format!("The number must be {}.", bounds(($min, $max)));
                    if self.is_within() { Ok(()) } else { Err(outside(ErrorCode::OutOfRange, ($min, $max), words())) }
                }
            }

            impl PartialSchema for $name {
                fn schema() -> RefOr<Schema> {
                    bounded(<$type>::schema(), (&$min, &$max))
                }
            }

            impl ToSchema for $name {}
        )*

        const NUMBERS: &[&str] = &[$(stringify!($name)),*];
    };
}

numbers! {
    /// How many alike.
    Count: u32 = 1, MAX_COUNT;
    /// Vessels of a brew.
    BrewerCount: u32 = 1, MAX_BREWERS;
    /// Layers in one cycle of a bed.
    LayerCount: u32 = 1, MAX_LAYERS_PER_CYCLE;
    /// The number of a feeding, from 1.
    FeedingNumber: u64 = 1, MAX_DELIVERIES;
    /// Layers of a cycle that lie in a running bed.
    LayersLaid: u32 = 0, MAX_LAYERS_PER_CYCLE;
    /// Cycles of a bed.
    CycleCount: u32 = 1, MAX_CYCLES;
    /// Days of hot composting.
    HotDays: u32 = 1, MAX_STAGE_DAYS;
    /// Days of cooling after hot composting.
    CoolingDays: u32 = 0, MAX_STAGE_DAYS;
    /// Turnings of a windrow.
    Turnings: u32 = 0, MAX_TURNINGS;
    /// Days of soaking.
    SoakDays: u32 = MIN_SOAK_DAYS, MAX_SOAK_DAYS;
    /// A year.
    Year: i32 = MIN_YEAR, MAX_YEAR;
    /// Runs of a season.
    SimulationRuns: i64 = 0, MAX_SIMULATION_RUNS;
    /// The seed of these runs.
    Seed: i64 = 0, MAX_SEED;
    /// The revision of a season.
    Revision: i64 = 0, MAX_REVISION;
    /// A priority; the smaller, the sooner served.
    Priority: u8 = 1, MAX_PRIORITY;
    /// A price.
    Price: f64 = 0.0, MAX_PRICE;
    /// How many times the same is done.
    Times: u32 = 1, MAX_TIMES;
    /// How many observations a value is from.
    RecordCount: u32 = 1, MAX_COUNT;
    /// The correlation of the ranks of two values.
    RankCorrelation: f64 = -MAX_CORRELATION, MAX_CORRELATION;
    /// Parts of a mix.
    Parts: f64 = MIN_PARTS_OF_MIX, MAX_PARTS_OF_MIX;
    /// Carbon over nitrogen, by mass.
    CarbonRatio: f64 = 1.0, MAX_RATIO;
}

/// Bounds in words: `from 1 to 9`, or `exactly 1`.
pub(super) fn bounds<T: Display + PartialEq>((min, max): (T, T)) -> String {
    if min == max { format!("exactly {min}") } else { format!("from {min} to {max}") }
}

/// The schema of a number with its bounds.
fn bounded(mut schema: RefOr<Schema>, (min, max): (&impl Display, &impl Display)) -> RefOr<Schema> {
    if let RefOr::T(Schema::Object(object)) = &mut schema {
        (object.minimum, object.maximum) = (Some(reported(min)), Some(reported(max)));
    }
    schema
}

/// A bound in the document: without a decimal point where it is whole.
fn reported(bound: &impl Display) -> utoipa::Number {
    let text = bound.to_string();
    let whole = text.parse().map(utoipa::Number::Int);
    whole.unwrap_or_else(|_| utoipa::Number::Float(text.parse().unwrap_or(f64::NAN)))
}

macro_rules! texts {
    ($($about:literal $name:ident = $max:expr, $check:expr, $example:expr;)*) => {
        $(
            #[doc = $about]
            #[derive(Debug, Clone, Deserialize)]
            #[serde(transparent)]
            pub struct $name(pub String);

            impl Deref for $name {
                type Target = str;

                fn deref(&self) -> &str {
                    &self.0
                }
            }

            impl Validate for $name {
                fn validate(&self) -> Result<(), ValidationErrors> {
                    check_text(self, $max, $check)
                }
            }

            impl PartialSchema for $name {
                fn schema() -> RefOr<Schema> {
                    text_schema($about, $max, $example)
                }
            }

            impl ToSchema for $name {}
        )*

        const TEXTS: &[&str] = &[$(stringify!($name)),*];
    };
}

texts! {
    "A short text without control characters." ShortText = MAX_NAME, no_control, None;
    "The place that dressings share." PlaceName = MAX_NAME, no_control, Some("bed by the fence");
    "What a value is from." SourceText = MAX_SOURCE, no_control, Some("own records: 3 beds, 5 harvests");
    "A currency." Currency = MAX_CURRENCY, no_control, Some("EUR");
    "The name of a container." ContainerName = MAX_CONTAINER_NAME, |_| Ok(()), Some("bucket");
    "What several of a container are called." ContainerPlural = MAX_CONTAINER_NAME, |_| Ok(()), Some("buckets");
}

/// An id or a name as an answer echoes it.
#[must_use]
pub fn echoed(text: Option<&ShortText>) -> Option<String> {
    text.map(|text| text.0.clone())
}

/// Whether the document shows the type of this name where it is used, and not by its name.
#[must_use]
pub fn is_plain(name: &str) -> bool {
    NUMBERS.contains(&name) || TEXTS.contains(&name)
}

/// The schema of a text of 1 to `max` letters.
fn text_schema(about: &str, max: u64, example: Option<&str>) -> RefOr<Schema> {
    let text = ObjectBuilder::new().schema_type(Type::String).description(Some(about)).min_length(Some(1));
    let text = text.max_length(usize::try_from(max).ok()).examples(example.map(serde_json::Value::from));
    RefOr::T(text.build().into())
}

fn check_text(
    text: &str,
    max: u64,
    check: impl FnOnce(&str) -> Result<(), ValidationError>,
) -> Result<(), ValidationErrors> {
    let mut errors = ValidationErrors::new();
    let count = u64::try_from(text.chars().count()).unwrap_or(u64::MAX);
    if !(1..=max).contains(&count) {
        let words = format!("Write {} characters; there are {count}.", bounds((1, max)));
        errors = outside(ErrorCode::WrongLength, (1, max), words);
    }
    if let Err(error) = check(text) {
        errors.add(WHOLE_LIST, error);
    }
    if errors.is_empty() { Ok(()) } else { Err(errors) }
}
