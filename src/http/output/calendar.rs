//! What every calendar (RFC 5545) has in common.

use icalendar::Calendar;

/// A calendar without events, of this product.
#[must_use]
pub fn empty(product: &str) -> Calendar {
    let mut calendar = Calendar::empty();
    let product = format!("-//Barrowful//{product}//EN");
    for (name, value) in [("VERSION", "2.0"), ("PRODID", product.as_str()), ("CALSCALE", "GREGORIAN")] {
        calendar.append_property((name, value));
    }
    calendar
}

/// Letters, digits and hyphens of an id, for the id of an event.
#[must_use]
pub fn slug(text: &str) -> String {
    text.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}
