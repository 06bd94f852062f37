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

/// Names a calendar: `NAME` (RFC 7986, section 5.1), and what readers looked for before there was one. The crate
/// escapes the text of all but the first, so that one is escaped here (RFC 5545, section 3.3.11).
pub fn name(calendar: &mut Calendar, name: &str) {
    let escaped = name.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,").replace('\n', "\\n");
    calendar.append_property(("NAME", escaped.as_str()));
    calendar.append_property(("X-WR-CALNAME", name));
}

/// Letters, digits and hyphens of an id, for the id of an event.
#[must_use]
pub fn slug(text: &str) -> String {
    text.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}
