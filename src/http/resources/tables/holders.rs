//! Items that hold lists of their own, found by the id or the name that the rows of these lists have.

use super::fields::{NoList, Row};
use crate::garden::units::text::clip;
use crate::http::resources::cells::flat::Fields;
use crate::http::wire::ErrorCode;
use std::collections::{HashMap, HashSet};

/// The items so far, by id and by name.
#[derive(Debug, Default)]
pub struct Holders<'s> {
    /// The first with each id, and its name.
    by_id: HashMap<&'s str, (usize, Option<&'s str>)>,
    /// The one with each name; none where several have it.
    by_name: HashMap<&'s str, Option<usize>>,
    /// Ids and names of rows that belong to no list.
    lost: HashSet<&'s str>,
}

/// The id and the name of a row.
fn called<'s>(row: &'s Row<'s>) -> [Option<&'s str>; 2] {
    ["id", "name"].map(|field| row.get(field).map(str::trim))
}

impl<'s> Holders<'s> {
    /// Adds the item that a row is.
    pub fn add(&mut self, row: &'s Row<'s>, position: usize) {
        let [id, name] = called(row);
        if let Some(id) = id {
            self.by_id.entry(id).or_insert((position, name));
        }
        if let Some(name) = name {
            self.by_name.entry(name).and_modify(|known| *known = None).or_insert(Some(position));
        }
    }

    /// Notes a row that belongs to no list: what follows from it needs no error of its own.
    pub fn lose(&mut self, row: &'s Row<'s>) {
        self.lost.extend(called(row).into_iter().flatten());
    }

    /// The position of the item that holds a row; none where it may be one that was refused. `word` is what the column `row` calls such an
    /// item.
    ///
    /// # Errors
    /// Rows without id and name, with those of no item above, or with a name that several have.
    pub fn of(&self, row: &'s Row<'s>, word: &str) -> Result<Option<usize>, NoList> {
        let [id, name] = called(row);
        let wrong = |field, code, detail| Err(NoList { field, code, detail, allowed: Vec::new() });
        let (field, text) = match (id, name) {
            (Some(id), _) => ("id", id),
            (None, Some(name)) => ("name", name),
            (None, None) => {
                let detail = format!("Write which {word} this row is about: its id or its name.");
                return wrong("name", ErrorCode::MissingField, detail);
            }
        };
        let found = match field {
            "id" => match self.by_id.get(text) {
                Some((_, Some(known))) if name.is_some_and(|name| name != *known) => {
                    let detail =
                        format!("The {word} with this id is called \"{}\". Correct the id or the name.", clip(known));
                    return wrong("name", ErrorCode::UnknownValue, detail);
                }
                found => found.map(|(position, _)| Some(*position)),
            },
            _ => self.by_name.get(text).copied(),
        };
        match found {
            Some(Some(position)) => Ok(Some(position)),
            Some(None) => {
                let detail =
                    format!("Several rows above are a {word} of this name. Give each an id, and write it in this row.");
                wrong(field, ErrorCode::UnknownValue, detail)
            }
            None if self.lost.contains(text) => Ok(None),
            None => {
                let detail = format!(
                    "No row above is a {word} with this {field}. Add one with {word} in the column row above this line."
                );
                wrong(field, ErrorCode::UnknownValue, detail)
            }
        }
    }
}
