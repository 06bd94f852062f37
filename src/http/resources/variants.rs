//! Variants of a request: what they change, and what is kept of their answers.

use crate::garden::refusal::{Reason, Refusal};
use crate::http::input::RequestContext;
use crate::http::input::bounded::ShortText;
use crate::http::input::list::List;
use crate::http::limits::MAX_VARIANTS;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::table::For;
use crate::http::present::words::sum_of_money;
use crate::http::present::{Cell, Column, Description, Part, Rows, Table};
use crate::http::problem::Problem;
use crate::http::wire::{AnyObject, ErrorCode, JsonPath, Node, merge, note_repeats};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use serde_with::skip_serializing_none;
use std::collections::HashMap;
use utoipa::openapi::schema::{AdditionalProperties, ObjectBuilder, Type};
use utoipa::openapi::{RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};
use validator::Validate;

/// The member of a request that holds its variants.
const FIELD: &str = "variants";

/// What the request itself is called beside its variants.
pub const AS_ASKED: &str = "as asked";

/// The variants of a request.
pub type Variants = List<VariantRequest, 0, MAX_VARIANTS>;

/// A variant: the request with a change.
#[derive(Debug, Deserialize, Validate, ToSchema)]
pub struct VariantRequest {
    /// What it is called; each variant has its own name.
    #[validate(nested)]
    pub name: ShortText,
    /// What it changes in the request.
    pub change: ChangeInput,
}

/// A change of the request, which stays in the tree: it is merged there and read as a request.
#[derive(Debug, Deserialize)]
pub struct ChangeInput(AnyObject);

impl PartialSchema for ChangeInput {
    fn schema() -> RefOr<Schema> {
        let about = "A JSON Merge Patch (RFC 7396) of the request: fields given here replace those of the request, objects are \
                     merged field by field, `null` removes a field. A list is replaced as a whole. `variants` has no place here.";
        let object = ObjectBuilder::new().schema_type(Type::Object).description(Some(about));
        RefOr::T(object.additional_properties(Some(AdditionalProperties::FreeForm(true))).build().into())
    }
}

impl ToSchema for ChangeInput {
    fn name() -> std::borrow::Cow<'static, str> {
        "MergePatch".into()
    }
}

/// A variant: the part of its answer that is kept, or what is wrong with it.
#[derive(Debug, Serialize, ToSchema)]
#[serde(untagged)]
#[schema(as = Variant)]
pub enum VariantOut {
    /// It was answered.
    Answered(OutcomeOut),
    /// It is no valid request.
    Refused(RefusedOut),
}

/// The part of a variant's answer that is kept, to compare it with the others.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = VariantOutcome)]
pub struct OutcomeOut {
    /// The name of the variant.
    pub name: String,
    /// Whether there is enough, as in its answer.
    pub headline: String,
    /// The chance that every demand gets all that it needs by its last day, as in its answer.
    pub chance_enough: Option<QuantityOut>,
    /// The price of all sacks that would close its shortfall; left out where none are needed or they have no price.
    #[schema(value_type = Option<f64>)]
    pub cost: Option<Number>,
    /// In which currency.
    pub currency: Option<String>,
    /// What is needed and not allocated.
    pub shortfall: QuantityOut,
    /// The first day by which the needs cannot all be met.
    pub first_shortfall_on: Option<NaiveDate>,
}

/// A variant that is not a valid request.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = VariantRefused)]
pub struct RefusedOut {
    /// The name of the variant.
    pub name: String,
    /// What is wrong with it; pointers refer to the changed request.
    pub problem: Problem,
}

/// Refuses names that are there already, and members of changes that are there more than once.
pub fn check(variants: &[VariantRequest], tree: &Node<'_>, context: &RequestContext<'_>) {
    let root = JsonPath::root();
    let list = root.field(FIELD);
    let mut seen: HashMap<&str, usize> = HashMap::new();
    for (index, variant) in variants.iter().enumerate() {
        let place = list.index(index);
        let first = *seen.entry(&variant.name).or_insert(index);
        if *variant.name == *AS_ASKED {
            let detail = format!("\"{AS_ASKED}\" is the request itself; choose another name, as in \"second bed\"");
            context.refuse(place.field("name"), Refusal::new(Reason::ClashingName, detail));
        } else if first != index {
            let detail =
                format!("the name is already that of variant {}; give each variant a name of its own", first + 1);
            context.refuse(place.field("name"), Refusal::new(Reason::ClashingName, detail));
        }
        if let Some(change) = change(tree, index) {
            note_repeats(change, place.field("change"), context.errors);
        }
    }
}

/// The request of a variant: that of the tree without its variants, and with the change merged into it.
#[must_use]
pub fn changed<'t>(tree: &Node<'t>, index: usize) -> Node<'t> {
    let members = if let Node::Object(members) = tree { members.as_slice() } else { &[] };
    let mut request = Node::Object(members.iter().filter(|(name, _)| name != FIELD).cloned().collect());
    if let Some(change) = change(tree, index) {
        merge(&mut request, change);
    }
    request
}

/// Refuses variants of a variant.
pub fn check_changed(tree: &Node<'_>, context: &RequestContext<'_>) {
    if tree.get(FIELD).is_some() {
        let detail = "A variant has no variants of its own. Take them out of its change.";
        context.errors.push(JsonPath::root().field(FIELD), ErrorCode::NotAllowedHere, detail);
    }
}

fn change<'n, 't>(tree: &'n Node<'t>, index: usize) -> Option<&'n Node<'t>> {
    match tree.get(FIELD)? {
        Node::List(items) => items.get(index)?.get("change"),
        _ => None,
    }
}

/// A row of the table of variants: the request itself, or one of its variants.
struct Compared<'a> {
    name: &'a str,
    outcome: Option<&'a OutcomeOut>,
    problem: Option<String>,
}

impl Compared<'_> {
    /// Its headline and what the sacks cost, or what is wrong with it.
    fn in_words(&self) -> String {
        let costs = |outcome: &OutcomeOut| {
            let cost = outcome.cost.as_ref().map(|cost| sum_of_money(cost, outcome.currency.as_deref()));
            cost.map(|cost| format!(" Sacks for the rest: {cost}.")).unwrap_or_default()
        };
        let headline = self.outcome.map(|outcome| format!("{}{}", outcome.headline, costs(outcome)));
        headline.or_else(|| self.problem.clone()).unwrap_or_default()
    }
}

impl<'a> From<&'a OutcomeOut> for Compared<'a> {
    fn from(outcome: &'a OutcomeOut) -> Self {
        Self { name: &outcome.name, outcome: Some(outcome), problem: None }
    }
}

impl<'a> From<&'a VariantOut> for Compared<'a> {
    fn from(variant: &'a VariantOut) -> Self {
        match variant {
            VariantOut::Answered(outcome) => outcome.into(),
            VariantOut::Refused(of) => Self { name: &of.name, outcome: None, problem: Some(of.problem.in_words()) },
        }
    }
}

/// Describes the variants, side by side with the request itself.
pub fn describe(of_request: &OutcomeOut, variants: &[VariantOut], description: &mut Description<'_>) {
    let compared = || std::iter::once(of_request.into()).chain(variants.iter().map(Compared::from));
    if !variants.is_empty() {
        description.heading("Variants");
        let lines = compared().map(|one: Compared<'_>| (one.name.to_owned(), vec![one.in_words()]));
        description.parts.push(Part::Lines(lines.collect()));
    }
    description.table(table(compared(), &of_request.shortfall.unit));
}

/// The same as data; the request alone where it has no variants.
fn table<'a>(compared: impl Iterator<Item = Compared<'a>>, unit: &str) -> Table {
    let cost = |cost: Number| QuantityOut { value: cost, low: None, high: None, unit: "".into(), node: 0 };
    Rows::of(compared, ["variant", "variants"])
        .named("variants")
        .only_for(For::Data)
        .column(Column::data("variant"), |one: &Compared<'_>| one.name)
        .column(Column::data("headline").sentences(), |one| one.outcome.map(|of| &of.headline))
        .column(Column::data_in("chance_enough", "%"), |one| one.outcome.and_then(|of| of.chance_enough.as_ref()))
        .column(Column::data_in("shortfall", unit.to_owned()), |one| one.outcome.map(|of| &of.shortfall))
        .column(Column::data("first_shortfall_on"), |one| one.outcome.and_then(|of| of.first_shortfall_on))
        .column(Column::data_in("cost", ""), |one| one.outcome.and_then(|of| of.cost).map(|of| Cell::from(&cost(of))))
        .column(Column::data("currency"), |one| one.outcome.and_then(|of| of.currency.as_ref()))
        .column(Column::data("problem"), |one| one.problem.clone())
        .done()
}
