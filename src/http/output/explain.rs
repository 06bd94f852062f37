//! Explanations as they are written: for each figure of an answer the formula, the numbers put in, and where they are from.

use super::quantity::QuantityOut;
use serde::Serialize;
use utoipa::ToSchema;

/// How a figure of the answer is computed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = Explanation)]
pub struct ExplanationOut {
    /// The figure, as a pointer into the answer.
    #[schema(example = "/areas/0/castings/volume")]
    pub figure: String,
    /// The formula's name in `GET /v1/formulas`.
    #[schema(example = "layer")]
    pub name: &'static str,
    /// In plain text. It holds between quantities; symbols side by side are multiplied, before any division. Bounds of the
    /// figure are the formula at the ends of its inputs; inputs that depend on each other are at the same end. Demand and stock of a balance or
    /// a season are rounded to whole millilitres.
    #[schema(example = "V = A d")]
    pub formula: String,
    /// What is put in. A symbol for a list appears once for each of its items.
    pub inputs: Vec<TermOut>,
    /// Where the formula is from.
    pub sources: &'static [&'static str],
}

/// A number put into a formula.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[schema(as = ExplanationTerm)]
pub struct TermOut {
    /// The symbol, as the formula writes it.
    pub symbol: &'static str,
    /// What the symbol means.
    pub meaning: &'static str,
    /// The number, and its range where it has one.
    pub value: QuantityOut,
    /// Where it is from: `request:` or `answer:` and a pointer; `assumption:`, `material:`, `rate:` or `constant:` and its id.
    #[schema(example = "assumption:castings.bulk_density")]
    pub taken_from: String,
}
