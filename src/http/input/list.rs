//! Lists with their bounds: the type states them once, for the check, its message and the document.

use crate::garden::interrupt::check;
use crate::http::wire::{ErrorCode, outside};
use serde::de::{SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;
use utoipa::openapi::schema::ArrayBuilder;
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};
use validator::{Validate, ValidationErrors};

/// A list of `MIN` to `MAX` items.
#[derive(Debug, Clone)]
pub struct List<T, const MIN: u64, const MAX: u64> {
    items: Vec<T>,
    /// How many came; of those beyond one more than `MAX` none is kept, so that no list takes more memory than an accepted one.
    count: u64,
}

impl<'de, T: Deserialize<'de>, const MIN: u64, const MAX: u64> Deserialize<'de> for List<T, MIN, MAX> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_seq(Items(PhantomData))
    }
}

/// Reads the items of a list.
struct Items<T, const MIN: u64, const MAX: u64>(PhantomData<T>);

impl<'de, T: Deserialize<'de>, const MIN: u64, const MAX: u64> Visitor<'de> for Items<T, MIN, MAX> {
    type Value = List<T, MIN, MAX>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
        let kept = usize::try_from(MAX).unwrap_or(usize::MAX).saturating_add(1);
        let (mut items, mut count) = (Vec::with_capacity(list.size_hint().unwrap_or(0).min(kept)), 0_u64);
        while let Some(item) = list.next_element()? {
            check();
            if count <= MAX {
                items.push(item);
            }
            count = count.saturating_add(1);
        }
        Ok(List { items, count })
    }
}

impl<T, const MIN: u64, const MAX: u64> std::ops::Deref for List<T, MIN, MAX> {
    type Target = [T];
    fn deref(&self) -> &[T] {
        &self.items
    }
}

impl<T: Validate, const MIN: u64, const MAX: u64> Validate for List<T, MIN, MAX> {
    fn validate(&self) -> Result<(), ValidationErrors> {
        let count = self.count;
        if (MIN..=MAX).contains(&count) {
            return self.items.validate();
        }
        let words = match (MIN == MAX, count < MIN) {
            (true, _) => format!("Give exactly {MIN} entries; there are {count}."),
            (false, true) if MIN == 1 => "Add at least one entry.".to_owned(),
            (false, true) => format!("Give at least {MIN} entries; there are {count}."),
            (false, false) => format!("Give at most {MAX} entries; there are {count}."),
        };
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::http::input::bounded::Count;

    #[test]
    fn of_a_list_that_is_too_long_no_more_is_kept_and_all_is_counted() {
        let list: List<Count, 1, 3> = serde_json::from_str("[1, 1, 1, 1, 1, 1, 1]").unwrap();
        assert_eq!(list.len(), 4);
        let wrong = list.validate().unwrap_err();
        assert!(wrong.to_string().contains("Give at most 3 entries; there are 7."), "{wrong}");
        let list: List<Count, 1, 3> = serde_json::from_str("[1, 1, 1]").unwrap();
        assert!(list.validate().is_ok() && list.len() == 3);
    }
}
