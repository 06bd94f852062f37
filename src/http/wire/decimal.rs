//! Marks within numbers in a text.

/// Where a mark is between two digits.
pub fn between_digits(text: &str, mark: char) -> impl Iterator<Item = usize> {
    let digit = |letter: Option<char>| letter.is_some_and(|letter| letter.is_ascii_digit());
    text.match_indices(mark).map(|(at, _)| at).filter(move |at| {
        let (before, after) = text.split_at_checked(*at).unwrap_or_default();
        digit(before.chars().next_back()) && digit(after.chars().nth(1))
    })
}
