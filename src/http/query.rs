//! The query of an address, taken apart.

/// The pairs of a query, decoded; `+` is a space.
pub fn pairs(query: &str) -> impl Iterator<Item = (String, String)> + '_ {
    let decoded = |text: &str| String::from_utf8_lossy(&decoded(text)).into_owned();
    query.split('&').filter(|pair| !pair.is_empty()).map(move |pair| {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        (decoded(name), decoded(value))
    })
}

/// The bytes of a part of a query; `+` is a space.
#[must_use]
pub fn decoded(text: &str) -> Vec<u8> {
    percent_encoding::percent_decode_str(&text.replace('+', " ")).collect()
}
