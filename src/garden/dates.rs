//! Calendar dates within the span computed with.

use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::text::clip;
use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, Timelike};

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
    let date = calendar_date(text).ok_or_else(|| {
        let how = "write year-month-day, as in \"2027-04-05\"".to_owned();
        let detail = format!("\"{}\" is not a calendar date; {}", clip(text), no_such_day(text).unwrap_or(how));
        Refusal::new(Reason::BadDate, detail)
    })?;
    within(date.year()).map(|()| date)
}

/// The date in this notation. Reading by a format takes many times as long, and a request may hold 20,000 dates.
fn calendar_date(text: &str) -> Option<NaiveDate> {
    let (year, month, day) = numbers(text)?;
    NaiveDate::from_ymd_opt(year, month, day)
}

/// What keeps a text in this notation from being a date; `None` where it is one, or is written otherwise.
fn no_such_day(text: &str) -> Option<String> {
    let (year, month, day) = numbers(text)?;
    let Some(first) = NaiveDate::from_ymd_opt(year, month, 1) else {
        return Some("a month is from 01 to 12".to_owned());
    };
    let days = first.num_days_in_month();
    let is_there = (1..=u32::from(days)).contains(&day);
    (!is_there).then(|| format!("there is no {day} {}; that month has {days} days", first.format("%b %Y")))
}

/// Year, month and day of a text in this notation, whatever they are.
fn numbers(text: &str) -> Option<(i32, u32, u32)> {
    let [y0, y1, y2, y3, b'-', m0, m1, b'-', d0, d1] = <[u8; 10]>::try_from(text.as_bytes()).ok()? else { return None };
    let number =
        |digits: &[u8]| digits.iter().try_fold(0_u32, |sum, digit| Some(sum * 10 + char::from(*digit).to_digit(10)?));
    let year = i32::try_from(number(&[y0, y1, y2, y3])?).ok()?;
    Some((year, number(&[m0, m1])?, number(&[d0, d1])?))
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
/// As [`date`]; `bad_date` also of a leap second, which few clocks and clients know.
pub fn moment(text: &str) -> Result<DateTime<FixedOffset>, Refusal> {
    let shown = clip(text);
    let refusal = |detail| Refusal::new(Reason::BadDate, detail);
    let moment = DateTime::parse_from_rfc3339(text).map_err(|_| {
        let how = "write date, time and offset, as in \"2027-06-10T18:00:00+02:00\"".to_owned();
        let no_such_day = text.get(..10).and_then(no_such_day);
        refusal(format!("\"{shown}\" is not a time in RFC 3339; {}", no_such_day.unwrap_or(how)))
    })?;
    // The calendar counts it as a second of more than 10^9 nanoseconds.
    if moment.nanosecond() >= 1_000_000_000 {
        return Err(refusal(format!("\"{shown}\" has second 60; seconds are from 00 to 59, so write the next minute")));
    }
    within(moment.year()).map(|()| moment)
}

fn within(year: i32) -> Result<(), Refusal> {
    if (MIN_YEAR..=MAX_YEAR).contains(&year) {
        return Ok(());
    }
    let detail = format!("the year must be from {MIN_YEAR} to {MAX_YEAR}");
    Err(Refusal::new(Reason::OutOfRange, detail).between(f64::from(MIN_YEAR), f64::from(MAX_YEAR)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_day_that_does_not_exist_is_refused_with_what_is_wrong() {
        for (text, wanted) in [
            ("2027-02-29", "there is no 29 Feb 2027; that month has 28 days"),
            ("2028-02-30", "there is no 30 Feb 2028; that month has 29 days"),
            ("2027-04-31", "there is no 31 Apr 2027; that month has 30 days"),
            ("2027-04-00", "there is no 0 Apr 2027; that month has 30 days"),
            ("2027-13-01", "a month is from 01 to 12"),
            ("2027-00-01", "a month is from 01 to 12"),
            ("2027-4-5", "write year-month-day, as in \"2027-04-05\""),
            ("5.4.2027", "write year-month-day, as in \"2027-04-05\""),
        ] {
            assert_eq!(date(text).unwrap_err().detail, format!("\"{text}\" is not a calendar date; {wanted}"));
        }
        for (text, wanted) in [
            ("2027-02-29T18:00:00+02:00", "there is no 29 Feb 2027; that month has 28 days"),
            ("2027-13-01T18:00:00+02:00", "a month is from 01 to 12"),
            ("2027-06-10T25:00:00+02:00", "write date, time and offset, as in \"2027-06-10T18:00:00+02:00\""),
            ("2027-06-10ü", "write date, time and offset, as in \"2027-06-10T18:00:00+02:00\""),
        ] {
            assert_eq!(moment(text).unwrap_err().detail, format!("\"{text}\" is not a time in RFC 3339; {wanted}"));
        }
    }

    #[test]
    fn a_leap_second_is_refused() {
        for text in ["2027-06-30T23:59:60Z", "2027-06-10T18:00:60+02:00", "2027-06-10T18:00:60.5+02:00"] {
            let refusal = moment(text).unwrap_err();
            assert_eq!(refusal.reason, Reason::BadDate);
            assert!(refusal.detail.ends_with("has second 60; seconds are from 00 to 59, so write the next minute"));
        }
        assert!(moment("2027-06-10T18:00:59.9+02:00").is_ok());
    }

    proptest! {
        #[test]
        fn a_date_is_read_as_by_its_format(text in "(19|20|21|ab|٣)[0-9]{2}-[01][0-9]-[0-3][0-9]|[0-9-]{8,11}|[0-9]{4}-[0-9]{2}-[ +0-9][0-9]") {
            let fits = |(at, byte): (usize, u8)| if matches!(at, 4 | 7) { byte == b'-' } else { byte.is_ascii_digit() };
            let plain = text.len() == 10 && text.bytes().enumerate().all(fits);
            let by_format = NaiveDate::parse_from_str(&text, "%Y-%m-%d").ok().filter(|_| plain);
            prop_assert_eq!(calendar_date(&text), by_format);
        }
    }
}
