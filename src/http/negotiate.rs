//! Which representation `Accept` picks: the highest q wins, ties go to the first available, `q=0` excludes.

use crate::garden::closed_list::closed_list;
use actix_web::http::header::{Quality, QualityItem};

closed_list! {
    /// A representation; its word is the one for it in an address.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub enum Media {
        /// `application/json`.
        Json = "json",
        /// `text/csv`.
        Csv = "csv",
        /// `text/plain`.
        Text = "text",
        /// `text/html`.
        Html = "html",
        /// `image/svg+xml`.
        Svg = "svg",
        /// `text/calendar`.
        Calendar = "calendar",
        /// `application/x-ndjson`: lines of JSON.
        Lines = "lines",
    }
}

impl Media {
    /// The media type.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv",
            Self::Text => "text/plain",
            Self::Html => "text/html",
            Self::Svg => "image/svg+xml",
            Self::Calendar => "text/calendar",
            Self::Lines => "application/x-ndjson",
        }
    }

    /// The `Content-Type` header.
    #[must_use]
    pub const fn header(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv; charset=utf-8; header=present",
            Self::Text => "text/plain; charset=utf-8",
            Self::Html => "text/html; charset=utf-8",
            Self::Svg => "image/svg+xml",
            Self::Calendar => "text/calendar; charset=utf-8",
            Self::Lines => "application/x-ndjson",
        }
    }
}

/// Picks one of the available media, or none. Without ranges anything is taken.
#[must_use]
pub fn choose(ranges: Option<&[QualityItem<mime::Mime>]>, available: &[Media]) -> Option<Media> {
    let Some(ranges) = ranges else { return available.first().copied() };
    let mut best: Option<(Media, Quality)> = None;
    for media in available {
        let Some(q) = quality(ranges, media.name()) else { continue };
        if q > Quality::ZERO && best.is_none_or(|(_, other)| q > other) {
            best = Some((*media, q));
        }
    }
    best.map(|(media, _)| media)
}

/// The quality of the most specific range that takes this medium.
fn quality(ranges: &[QualityItem<mime::Mime>], name: &str) -> Option<Quality> {
    let (kind, _) = name.split_once('/')?;
    let specific = |range: &mime::Mime| match (range.type_().as_str(), range.subtype().as_str()) {
        ("*", "*") => Some(0),
        (top, "*") if top == kind => Some(1),
        _ if range.essence_str() == name => Some(2),
        _ => None,
    };
    ranges
        .iter()
        .filter_map(|r| specific(&r.item).map(|rank| (rank, r.quality)))
        .max_by_key(|(rank, _)| *rank)
        .map(|(_, q)| q)
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header::{Accept, Header};
    use actix_web::test::TestRequest;

    #[test]
    fn the_highest_quality_wins_and_zero_excludes() {
        let all = &[Media::Json, Media::Csv];
        for (accept, media) in [
            (None, Some(Media::Json)),
            (Some(""), Some(Media::Json)),
            (Some("*/*"), Some(Media::Json)),
            (Some("text/csv"), Some(Media::Csv)),
            (Some("text/*"), Some(Media::Csv)),
            (Some("application/json;q=0.5, text/csv;q=0.9"), Some(Media::Csv)),
            (Some("application/json;q=0.5, text/csv;q=0.5"), Some(Media::Json)),
            (Some("application/json;q=0, */*;q=0.1"), Some(Media::Csv)),
            (Some("application/json;q=0"), None),
            (Some("image/png"), None),
            (Some("text/html,application/xhtml+xml,*/*;q=0.8"), Some(Media::Json)),
        ] {
            let request = TestRequest::default().insert_header(("accept", accept.unwrap_or_default())).to_request();
            let ranges = Accept::parse(&request).unwrap().0;
            assert_eq!(choose(Some(ranges.as_slice()).filter(|r| !r.is_empty()), all), media, "{accept:?}");
        }
    }
}
