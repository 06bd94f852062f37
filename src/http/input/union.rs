//! Unions on the wire: `{"kind": "rectangle", ...}`. In the document each is a named schema, `oneOf` of named closed
//! variants, with a discriminator and its full mapping; each variant has its own one-value `kind`.

use utoipa::openapi::schema::{Discriminator, ObjectBuilder, OneOfBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};

/// Adds the one-value `kind` to a variant's schema, as its first property.
#[must_use]
pub fn with_kind(schema: RefOr<Schema>, kind: &str) -> RefOr<Schema> {
    let RefOr::T(Schema::Object(mut object)) = schema else { return schema };
    let tag = ObjectBuilder::new()
        .schema_type(Type::String)
        .enum_values(Some([kind]))
        .description(Some(format!("Always `{kind}`: it decides which other fields there are.")))
        .build();
    let rest = std::mem::take(&mut object.properties);
    object.properties.insert("kind".to_owned(), RefOr::T(Schema::Object(tag)));
    object.properties.extend(rest);
    object.required.insert(0, "kind".to_owned());
    RefOr::T(Schema::Object(object))
}

/// The union's own schema.
#[must_use]
pub fn one_of(description: &str, variants: &[(&str, String)]) -> RefOr<Schema> {
    let reference = |name: &str| format!("#/components/schemas/{name}");
    let mapping: Vec<(String, String)> =
        variants.iter().map(|(kind, name)| ((*kind).to_owned(), reference(name))).collect();
    let mut one_of = OneOfBuilder::new()
        .description(Some(description))
        .discriminator(Some(Discriminator::with_mapping("kind", mapping)));
    for (_, name) in variants {
        one_of = one_of.item(RefOr::<Schema>::Ref(Ref::from_schema_name(name)));
    }
    RefOr::T(Schema::OneOf(one_of.build()))
}

/// Declares a union: an enum read by its `kind`, its schema, and the validation of its variants.
macro_rules! union {
    ($(#[doc = $doc:literal])+ $name:ident { $($kind:literal => $variant:ident($inner:ty)),+ $(,)? }) => {
        $(#[doc = $doc])+
        #[derive(Debug, Clone, serde::Deserialize)]
        pub enum $name {
            $(
                #[doc = concat!("`", $kind, "`")]
                #[serde(rename = $kind)]
                $variant($inner),
            )+
        }

        impl $name {
            /// The kind as written on the wire.
            #[must_use]
            pub const fn kind(&self) -> &'static str {
                match self {
                    $(Self::$variant(_) => $kind,)+
                }
            }
        }

        impl validator::Validate for $name {
            fn validate(&self) -> Result<(), validator::ValidationErrors> {
                match self {
                    $(Self::$variant(inner) => inner.validate(),)+
                }
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::Schema> {
                let description = concat!($($doc),+).trim();
                $crate::http::input::union::one_of(
                    description,
                    &[$(($kind, <$inner as utoipa::ToSchema>::name().into_owned())),+],
                )
            }
        }

        impl utoipa::ToSchema for $name {
            fn schemas(all: &mut Vec<(String, utoipa::openapi::RefOr<utoipa::openapi::Schema>)>) {
                $(
                    let variant = <$inner as utoipa::PartialSchema>::schema();
                    all.push((
                        <$inner as utoipa::ToSchema>::name().into_owned(),
                        $crate::http::input::union::with_kind(variant, $kind),
                    ));
                    <$inner as utoipa::ToSchema>::schemas(all);
                )+
            }
        }
    };
}
pub(crate) use union;
