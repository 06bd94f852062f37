//! How much of the texts of cautions and assumptions an answer repeats.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How much of the texts of cautions and assumptions an answer repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Texts {
    /// All of them; the default.
    #[default]
    Full,
    /// Of a caution its rule, severity, heading and places; of an assumption its id, value and who set it.
    Brief,
}

impl Texts {
    /// A text that a brief answer leaves out.
    #[must_use]
    pub fn unless_brief<T>(self, text: T) -> Option<T> {
        (self == Self::Full).then_some(text)
    }
}

/// Where the texts are that are left out.
#[must_use]
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct TextsAt {
    /// The address of all cautions with their texts and sources, relative to that of the question.
    #[schema(value_type = String, example = "cautions")]
    pub cautions: &'static str,
    /// The address of all assumptions with their sources and how to measure them, relative to that of the question.
    #[schema(value_type = String, example = "assumptions")]
    pub assumptions: &'static str,
}

impl TextsAt {
    /// The lists, which may be kept: they have tags.
    pub const LISTS: Self = Self { cautions: "cautions", assumptions: "assumptions" };
}
