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
    let (reference, optional) = match property {
        RefOr::Ref(reference) => (&*reference, false),
        RefOr::T(Schema::OneOf(one_of)) => match one_of.items.as_slice() {
            [RefOr::Ref(reference), _] => (reference, true),
            _ => return,
        },
        _ => return,
    };
    let name = reference.ref_location.rsplit('/').next().unwrap_or_default();
    let Some(mut schema) = plain.get(name).cloned() else { return };
    let about = Some(reference.description.clone());
    match (&mut schema, &mut *property) {
        (RefOr::T(Schema::Array(_)), RefOr::T(Schema::OneOf(one_of))) => {
            one_of.items.splice(..1, [schema]);
            one_of.description = about;
            return;
        }
        (RefOr::T(Schema::Array(list)), _) => list.description = about,
        (RefOr::T(Schema::Object(object)), _) => {
            object.description = about;
            if let (true, SchemaType::Type(only)) = (optional, &object.schema_type) {
                object.schema_type = SchemaType::Array(vec![only.clone(), Type::Null]);
            }
        }
        _ => return,
    }
    *property = schema;
}

/// An optional field of an answer is left out where there is nothing, and never `null`: takes `null` out of everything that
/// answers hold.
pub fn leave_out_null(api: &mut OpenApi) {
    let all = within(api, |operation| json(&operation.responses));
    let schemas = api.components.as_mut().map(|components| components.schemas.iter_mut());
    for (_, schema) in schemas.into_iter().flatten().filter(|(name, _)| all.contains(*name)) {
        let RefOr::T(Schema::Object(object)) = schema else { continue };
        object.properties.values_mut().for_each(without_null);
    }
}

/// What a property is stands beside the property itself, also where a reference to a schema may be `null`.
pub fn describe_properties(api: &mut OpenApi) {
    let schemas = api.components.as_mut().map(|components| components.schemas.values_mut());
    for schema in schemas.into_iter().flatten() {
        let RefOr::T(Schema::Object(object)) = schema else { continue };
        for property in object.properties.values_mut() {
            if let RefOr::T(Schema::OneOf(one_of)) = property
                && let [RefOr::Ref(reference), _] = one_of.items.as_mut_slice()
                && one_of.description.is_none()
            {
                one_of.description = Some(std::mem::take(&mut reference.description));
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
                *schema = only.clone();
            }
        }
        _ => {}
    }
}
