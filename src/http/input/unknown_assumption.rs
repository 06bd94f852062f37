//! The id of no assumption, with the one that is meant.

use crate::garden::assumptions::Assumption;
use crate::garden::refusal::{Reason, Refusal};
use crate::http::wire::{did_you_mean, nearest};

/// Refuses the id of no assumption, or the name of no member beside them.
pub(super) fn unknown(id: &str, beside: Option<&'static str>) -> Refusal {
    let ids: Vec<&str> = Assumption::ALL.iter().map(|a| a.id()).chain(beside).collect();
    // "bulk_density" means "castings.bulk_density" if no other id ends like that.
    let mut ends = ids.iter().copied().filter(|full| full.split_once('.').is_some_and(|(_, end)| end == id));
    let by_end = ends.next().filter(|_| ends.next().is_none());
    let shown = crate::garden::units::text::clip(id);
    let nearest = by_end.or_else(|| nearest(id, &ids));
    let meant = did_you_mean(nearest);
    let detail = format!("there is no assumption \"{shown}\".{meant} GET /v1/assumptions lists them");
    let refusal = Refusal { nearest: nearest.map(str::to_owned), ..Refusal::new(Reason::UnknownAssumption, detail) };
    refusal.allowed(ids)
}
