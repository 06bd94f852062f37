//! What is done with a tea, in words: the same in every answer that plans one.

use crate::http::output::QuantityOut;
use crate::http::present::moments::moment;
use crate::http::present::words::shown;
use chrono::{DateTime, FixedOffset};

/// `2 buckets (20 L) of castings in 200 L of water`
pub fn takes(castings: &str, water: &QuantityOut) -> String {
    format!("{castings} of castings in {} of water", shown(water))
}

/// `add 24 L of water before use: 48 L of tea`; nothing where the tea is used as it is.
pub fn diluted(water: &QuantityOut, tea: &QuantityOut) -> Option<String> {
    let is_diluted = water.value.get() > 0.0;
    is_diluted.then(|| format!("add {} of water before use: {} of tea", shown(water), shown(tea)))
}

/// `brew 14.4 L of castings in 144 L of water, in 2 batches`
pub fn brewed(castings: &str, water: Option<&QuantityOut>, batches: u64) -> String {
    let taken = water.map_or_else(|| format!("{castings} of castings"), |water| takes(castings, water));
    let batches = if batches > 1 { format!(", in {batches} batches") } else { String::new() };
    format!("brew {taken}{batches}")
}

/// `use the tea; add 24 L of water before use: 30 L of tea`, or `use 6 L of tea`
pub fn used(amount: &str, of: Option<(&QuantityOut, &QuantityOut)>) -> String {
    let made = of.and_then(|(water, tea)| diluted(water, tea));
    made.map_or_else(|| format!("use {amount} of tea"), |made| format!("use the tea; {made}"))
}

/// `use all by 10 Jun 2027 22:00 +02:00`; where batches keep to different times, the first and the last of them.
pub fn used_by([first, last]: [DateTime<FixedOffset>; 2], within: &str) -> String {
    if first == last {
        return format!("use all by {}", moment(last));
    }
    format!("use each batch {within}: the first by {}, the last by {}", moment(first), moment(last))
}
