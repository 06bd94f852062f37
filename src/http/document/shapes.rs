//! Shapes that the document tells more plainly than they are generated.

use std::collections::BTreeSet;
use utoipa::openapi::schema::{Array, Object, SchemaType, Type};
use utoipa::openapi::{OpenApi, RefOr, Schema};

/// How a reference to a schema begins.
const REFERENCE: &str = "\"#/components/schemas/";

/// A property whose schema stands inline comes out as "all of that schema and of an object with a description", which no
/// list and no number satisfies: puts the description where it belongs.
pub fn describe_inline(api: &mut OpenApi) {
    let schemas = api.components.as_mut().map(|components| components.schemas.values_mut());
    for schema in schemas.into_iter().flatten() {
        let RefOr::T(Schema::Object(object)) = schema else { continue };
        for property in object.properties.values_mut() {
            if let RefOr::T(Schema::AllOf(both)) = property
                && let [RefOr::T(inline), RefOr::T(Schema::Object(told))] = both.items.as_slice()
            {
                let mut inline = inline.clone();
                match &mut inline {
                    Schema::Array(array) => array.description.clone_from(&told.description),
                    Schema::Object(plain) => plain.description.clone_from(&told.description),
                    _ => continue,
                }
                *property = RefOr::T(inline);
            }
        }
    }
}

/// An optional field of an answer is left out where there is nothing, and never `null`: takes `null` out of everything that
/// answers hold.
pub fn leave_out_null(api: &mut OpenApi) {
    let all = of_answers(api);
    let schemas = api.components.as_mut().map(|components| components.schemas.iter_mut());
    for (_, schema) in schemas.into_iter().flatten().filter(|(name, _)| all.contains(*name)) {
        let RefOr::T(Schema::Object(object)) = schema else { continue };
        object.properties.values_mut().for_each(without_null);
    }
}

/// The names of the schemas that responses refer to, and of those within them.
fn of_answers(api: &OpenApi) -> BTreeSet<String> {
    let mut left: Vec<String> = Vec::new();
    for item in api.paths.paths.values() {
        for operation in [&item.get, &item.post, &item.head].into_iter().flatten() {
            left.extend(names(&serde_json::to_string(&operation.responses).unwrap_or_default()));
        }
    }
    let mut all = BTreeSet::new();
    while let Some(name) = left.pop() {
        let schema = api.components.as_ref().and_then(|components| components.schemas.get(&name));
        if all.insert(name) {
            left.extend(names(&serde_json::to_string(&schema).unwrap_or_default()));
        }
    }
    all
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
