//! Shapes that the document tells more plainly than they are generated.

use crate::http::input::bounded::is_plain;
use crate::http::input::list::is_list;
use std::collections::{BTreeMap, BTreeSet};
use utoipa::openapi::path::{Operation, PathItem};
use utoipa::openapi::schema::{AdditionalProperties, Array, Object, SchemaType, Type};
use utoipa::openapi::{OpenApi, RefOr, Schema};

/// How a reference to a schema begins.
const REFERENCE: &str = "\"#/components/schemas/";

/// Puts the schema of a number, a short text or a list where it is used, and takes away its name where nothing else needs it.
pub fn plain_inline(api: &mut OpenApi) {
    let Some(components) = api.components.as_mut() else { return };
    let all = &mut components.schemas;
    let is_plain = |name: &str| is_plain(name) || is_list(name);
    let plain: BTreeMap<String, RefOr<Schema>> =
        all.iter().filter(|(name, _)| is_plain(name)).map(|(name, schema)| (name.clone(), schema.clone())).collect();
    for schema in all.values_mut() {
        let RefOr::T(Schema::Object(object)) = schema else { continue };
        object.properties.values_mut().for_each(|property| in_place(property, &plain));
    }
    let used: BTreeSet<String> = all.values().flat_map(|schema| names(&json(schema))).collect();
    all.retain(|name, _| used.contains(name) || !plain.contains_key(name));
}

/// The property with a plain schema in place of the reference to it.
fn in_place(property: &mut RefOr<Schema>, plain: &BTreeMap<String, RefOr<Schema>>) {
    let RefOr::Ref(reference) = &*property else { return };
    let name = reference.ref_location.rsplit('/').next().unwrap_or_default();
    let Some(mut schema) = plain.get(name).cloned() else { return };
    let about = Some(reference.description.clone());
    match &mut schema {
        RefOr::T(Schema::Array(list)) => list.description = about,
        RefOr::T(Schema::Object(object)) => object.description = about,
        _ => return,
    }
    *property = schema;
}

/// An optional field is left out where there is nothing, and many makers of clients cannot read a choice of `null`: takes it
/// out of every schema. A request may give `null` all the same, which the description of the document says.
pub fn leave_out_null(api: &mut OpenApi) {
    let schemas = api.components.as_mut().map(|components| components.schemas.values_mut());
    for schema in schemas.into_iter().flatten() {
        let RefOr::T(Schema::Object(object)) = schema else { continue };
        object.properties.values_mut().for_each(without_null);
    }
}

/// What is written beside a reference within alternatives reaches no generated client: their schemas say it themselves.
pub fn plain_alternatives(api: &mut OpenApi) {
    let schemas = api.components.as_mut().map(|components| components.schemas.values_mut());
    for schema in schemas.into_iter().flatten() {
        let RefOr::T(Schema::OneOf(one_of)) = schema else { continue };
        for item in &mut one_of.items {
            if let RefOr::Ref(reference) = item {
                reference.description.clear();
            }
        }
    }
}

/// Every object of a request is closed, since its reader refuses what it does not know; but those that take anything.
pub fn close_requests(api: &mut OpenApi) {
    let all = within(api, |operation| json(&operation.request_body));
    let schemas = api.components.as_mut().map(|components| components.schemas.iter_mut());
    for (_, schema) in schemas.into_iter().flatten().filter(|(name, _)| all.contains(*name)) {
        if let RefOr::T(Schema::Object(object)) = schema
            && object.schema_type == SchemaType::Type(Type::Object)
            && !is_free(object)
        {
            object.additional_properties = Some(Box::new(AdditionalProperties::FreeForm(false)));
        }
    }
}

/// Whether an object takes any member: a change of a request, which is read as a request once it is merged.
fn is_free(object: &Object) -> bool {
    matches!(object.additional_properties.as_deref(), Some(AdditionalProperties::FreeForm(true)))
}

/// The names of the schemas that a part of the operations refers to, and of those within them.
fn within(api: &OpenApi, part: impl Fn(&Operation) -> String) -> BTreeSet<String> {
    let mut left: Vec<String> = Vec::new();
    api.paths.paths.values().flat_map(operations).for_each(|operation| left.extend(names(&part(operation))));
    let mut all = BTreeSet::new();
    while let Some(name) = left.pop() {
        let schema = api.components.as_ref().and_then(|components| components.schemas.get(&name));
        if all.insert(name) {
            left.extend(names(&json(&schema)));
        }
    }
    all
}

/// The operations of a path.
pub fn operations(item: &PathItem) -> impl Iterator<Item = &Operation> {
    [&item.get, &item.post, &item.head].into_iter().flatten()
}

/// The same, to be changed.
pub fn operations_mut(item: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    [&mut item.get, &mut item.post, &mut item.head].into_iter().flatten()
}

/// A part of the document as it is written.
pub fn json(part: &impl serde::Serialize) -> String {
    serde_json::to_string(part).unwrap_or_default()
}

/// The names of the schemas that a part of the document refers to.
fn names(json: &str) -> Vec<String> {
    json.split(REFERENCE).skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned).collect()
}

/// The same without the choice of `null`.
fn without_null(schema: &mut RefOr<Schema>) {
    match schema {
        RefOr::T(Schema::Object(Object { schema_type, .. }) | Schema::Array(Array { schema_type, .. })) => {
            if let SchemaType::Array(types) = schema_type
                && let [only, Type::Null] = types.as_slice()
            {
                *schema_type = SchemaType::Type(only.clone());
            }
        }
        RefOr::T(Schema::OneOf(one_of)) => {
            if let [only, RefOr::T(Schema::Object(Object { schema_type: SchemaType::Type(Type::Null), .. }))] =
                one_of.items.as_slice()
            {
                let mut only = only.clone();
                if let (RefOr::Ref(reference), Some(about)) = (&mut only, &one_of.description) {
                    reference.description.clone_from(about);
                }
                *schema = only;
            }
        }
        _ => {}
    }
}
