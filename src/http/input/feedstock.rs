//! A material of the table, by its id.

use super::RequestContext;
use crate::garden::feeds::{Feedstock, materials};
use crate::garden::refusal::{Reason, Refusal};
use crate::http::wire::{JsonPath, nearest};

impl RequestContext<'_> {
    /// The row of the table of materials that `material` names.
    pub fn feedstock(&self, id: &str, place: JsonPath<'_>) -> Option<&'static Feedstock> {
        let row = Feedstock::find(id);
        if row.is_none() {
            let known: Vec<&str> = materials::ALL.iter().map(|row| row.id).collect();
            let shown = crate::garden::units::text::clip(id);
            let detail = format!(
                "there is no material \"{shown}\" in the table; GET /v1/materials lists them, or give its values"
            );
            let mut refusal = Refusal::new(Reason::UnknownValue, detail);
            refusal.nearest = nearest(id, &known).map(str::to_owned);
            self.refuse(place.field("material"), refusal.allowed(known));
        }
        row
    }
}
