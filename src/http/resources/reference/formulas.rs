//! `GET /v1/formulas`: every formula that an answer may be explained with.

use super::json;
use crate::garden::formulas::{Formula, Symbol};
use crate::http::problem::{ListProblems, Problem};
use crate::http::resources::respond::Accepted;
use actix_web::{HttpRequest, HttpResponse, get};
use serde::Serialize;
use utoipa::ToSchema;

/// The formulas.
#[derive(Debug, Serialize, ToSchema)]
pub struct FormulasAnswer {
    /// Every formula that figures come from.
    pub formulas: Vec<FormulaOut>,
}

/// A formula.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Formula)]
pub struct FormulaOut {
    /// Its name, as explanations have it.
    pub name: &'static str,
    /// What it answers.
    pub about: &'static str,
    /// In plain text. It holds between quantities; symbols side by side are multiplied, before any division.
    pub formula: String,
    /// What comes out.
    pub result: SymbolOut,
    /// What is put in, in the order of explanations.
    pub symbols: Vec<SymbolOut>,
    /// Where it is from.
    pub sources: &'static [&'static str],
}

/// A symbol of a formula.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FormulaSymbol)]
pub struct SymbolOut {
    /// The symbol, as the formula writes it.
    pub symbol: &'static str,
    /// What the symbol means.
    pub meaning: &'static str,
    /// The unit in which to compute with bare numbers; shares as fractions. Empty for counts, ratios and shares.
    pub unit: &'static str,
    /// True if the symbol is a list, which the formula sums.
    pub many: bool,
}

fn symbol(symbol: &Symbol) -> SymbolOut {
    SymbolOut {
        symbol: symbol.name,
        meaning: symbol.meaning,
        unit: symbol.dimension.coherent_unit(),
        many: symbol.many,
    }
}

fn all() -> FormulasAnswer {
    let one = |formula: &Formula| {
        let definition = formula.definition();
        FormulaOut {
            name: definition.id,
            about: definition.about.trim(),
            formula: definition.text(),
            result: symbol(&definition.result),
            symbols: definition.terms.iter().map(symbol).collect(),
            sources: definition.sources,
        }
    };
    FormulasAnswer { formulas: Formula::ALL.iter().map(one).collect() }
}

/// The formulas
///
/// Every formula by which answers are explained (`"explain": true`): in plain text, with its symbols, their units and where it
/// is from. They are the same texts that the program computes with.
#[utoipa::path(tag = "reference", operation_id = "list_formulas", security(()), responses((status = 200, description = "The formulas", body = FormulasAnswer), ListProblems))]
#[get("/v1/formulas")]
pub async fn list_formulas(request: HttpRequest, accepted: Accepted) -> Result<HttpResponse, Problem> {
    json((&request, &accepted), &all())
}
