//! How moments are written for readers.

use chrono::{DateTime, FixedOffset, Timelike};

/// A moment without its offset, which is printed beside it: `10 Jun 2027 18:00`.
#[must_use]
pub fn local(moment: DateTime<FixedOffset>) -> String {
    let form = if moment.second() == 0 { "%-d %b %Y %H:%M" } else { "%-d %b %Y %H:%M:%S" };
    moment.format(form).to_string()
}

/// The offset of a moment: `UTC`, `+02:00`.
#[must_use]
pub fn offset(moment: DateTime<FixedOffset>) -> String {
    let offset = moment.offset();
    if offset.local_minus_utc() == 0 { "UTC".to_owned() } else { offset.to_string() }
}

/// A moment with its offset: `10 Jun 2027 18:00 +02:00`, `10 Jun 2027 16:00 UTC`.
#[must_use]
pub fn moment(moment: DateTime<FixedOffset>) -> String {
    format!("{} {}", local(moment), offset(moment))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_shortened_only_where_nothing_is_lost() {
        for (wire, text) in [
            ("2027-06-10T08:00:00+02:00", "10 Jun 2027 08:00 +02:00"),
            ("2027-06-10T08:00:30-05:00", "10 Jun 2027 08:00:30 -05:00"),
            ("2027-06-12T17:00:00Z", "12 Jun 2027 17:00 UTC"),
        ] {
            assert_eq!(moment(DateTime::parse_from_rfc3339(wire).unwrap()), text);
        }
    }
}
