//! Lists with their bounds: the type states them once, for the check, its message and the document.

use super::bounded::bounds;
use crate::http::wire::{ErrorCode, outside};
use serde::Deserialize;
use std::borrow::Cow;
use utoipa::openapi::schema::ArrayBuilder;
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};
use validator::{Validate, ValidationErrors};

/// A list of `MIN` to `MAX` items.
#[derive(Debug, Clone, Deserialize)]
#[serde(transparent)]
pub struct List<T, const MIN: u64, const MAX: u64>(Vec<T>);

impl<T, const MIN: u64, const MAX: u64> std::ops::Deref for List<T, MIN, MAX> {
    type Target = [T];
    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T: Validate, const MIN: u64, const MAX: u64> Validate for List<T, MIN, MAX> {
    fn validate(&self) -> Result<(), ValidationErrors> {
        let count = u64::try_from(self.0.len()).unwrap_or(u64::MAX);
        if (MIN..=MAX).contains(&count) {
            return self.0.validate();
        }
        let words = format!("The list must have {} entries; it has {count}.", bounds((MIN, MAX)));
        Err(outside(ErrorCode::WrongLength, (MIN, MAX), words))
    }
}

impl<T: ToSchema, const MIN: u64, const MAX: u64> PartialSchema for List<T, MIN, MAX> {
    fn schema() -> RefOr<Schema> {
        let item: RefOr<Schema> = RefOr::Ref(Ref::from_schema_name(T::name()));
        let bound = |n: u64| usize::try_from(n).ok();
        let array = ArrayBuilder::new().items(item).min_items(bound(MIN).filter(|n| *n > 0)).max_items(bound(MAX));
        RefOr::T(Schema::Array(array.build()))
    }
}

/// How the names of the schemas of lists begin. The document shows them where they are used, and not by their names.
const LIST_OF: &str = "ListOf";

/// Whether it is the name of the schema of a list.
#[must_use]
pub fn is_list(name: &str) -> bool {
    name.starts_with(LIST_OF)
}

impl<T: ToSchema, const MIN: u64, const MAX: u64> ToSchema for List<T, MIN, MAX> {
    fn name() -> Cow<'static, str> {
        format!("{LIST_OF}{}{MIN}To{MAX}", T::name()).into()
    }

    fn schemas(all: &mut Vec<(String, RefOr<Schema>)>) {
        all.push((T::name().into_owned(), T::schema()));
        T::schemas(all);
    }
}
