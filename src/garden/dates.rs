//! Calendar dates within the span computed with.

use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::text::clip;
use chrono::{DateTime, Datelike, FixedOffset, NaiveDate};

/// The first year accepted. Source: limit of this service.
pub const MIN_YEAR: i32 = 1900;
/// The last year accepted. Source: limit of this service.
pub const MAX_YEAR: i32 = 2199;
/// The longest span between the first and the last date of one request, in days: ten years. Source: limit of this service.
pub const MAX_SPAN_DAYS: i64 = 3_653;

/// Reads `2027-04-05`.
///
/// # Errors
/// `bad_date` if it is no date of the calendar in this notation; `out_of_range` outside 1900 to 2199.
///
/// ```
/// use barrowful::garden::dates::date;
/// assert!(date("2028-02-29").is_ok());
/// assert!(date("2027-02-29").is_err());
/// assert!(date("5.4.2027").is_err());
/// ```
pub fn date(text: &str) -> Result<NaiveDate, Refusal> {
    let shape = text.len() == 10
        && text.bytes().enumerate().all(|(i, b)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() });
    let read = if shape { NaiveDate::parse_from_str(text, "%Y-%m-%d").ok() } else { None };
    let date = read.ok_or_else(|| {
        let detail = format!("\"{}\" is not a calendar date; write year-month-day, as in \"2027-04-05\"", clip(text));
        Refusal::new(Reason::BadDate, detail)
    })?;
    within(date.year()).map(|()| date)
}

/// In how many weeks what is spread over these days is done, once a week: once at least.
///
/// ```
/// use barrowful::garden::dates::{date, weeks};
/// let day = |text| date(text).unwrap();
/// assert_eq!(weeks(day("2026-12-07"), day("2027-04-14")), 18);
/// assert_eq!(weeks(day("2026-12-07"), day("2026-12-16")), 1);
/// assert_eq!(weeks(day("2026-12-07"), day("2026-12-17")), 2);
/// ```
#[must_use]
pub fn weeks(first: NaiveDate, last: NaiveDate) -> u32 {
    let days = (last - first).num_days().saturating_add(1);
    // The nearest number of whole weeks.
    u32::try_from(days.saturating_add(3).div_euclid(7)).unwrap_or(0).max(1)
}

/// Reads `2027-06-10T18:00:00+02:00` (RFC 3339, with an offset).
///
/// # Errors
/// As [`date`].
pub fn moment(text: &str) -> Result<DateTime<FixedOffset>, Refusal> {
    let moment = DateTime::parse_from_rfc3339(text).map_err(|_| {
        let detail = format!(
            "\"{}\" is not a time in RFC 3339; write date, time and offset, as in \"2027-06-10T18:00:00+02:00\"",
            clip(text)
        );
        Refusal::new(Reason::BadDate, detail)
    })?;
    within(moment.year()).map(|()| moment)
}

fn within(year: i32) -> Result<(), Refusal> {
    if (MIN_YEAR..=MAX_YEAR).contains(&year) {
        return Ok(());
    }
    let detail = format!("the year must be from {MIN_YEAR} to {MAX_YEAR}");
    Err(Refusal::new(Reason::OutOfRange, detail).between(f64::from(MIN_YEAR), f64::from(MAX_YEAR)))
}
