//! Small pieces of the sentences that tell an error.

/// The most letters of somebody's own text that a sentence repeats.
const MAX_LETTERS: usize = 60;
/// The longest word for which a nearest word is looked for.
const LONGEST_WORD: usize = 64;

/// A text for a sentence: in quotes, cut when long, without line breaks.
pub(crate) fn quoted(text: &str) -> String {
    format!("\"{}\"", clipped(text))
}

/// A text without line breaks, cut when long.
pub(crate) fn clipped(text: &str) -> String {
    cut(text, MAX_LETTERS)
}

/// A text without control characters, cut after so many letters.
pub(crate) fn cut(text: &str, most: usize) -> String {
    let mut letters = text.chars();
    let mut short: String =
        letters.by_ref().take(most).map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    if letters.next().is_some() {
        short.push('…');
    }
    short
}

/// The words as a list for a sentence: `a, b, c`.
pub(crate) fn listed(words: &[&str]) -> String {
    words.join(", ")
}

/// The words in quotes as a choice: `"a", "b" or "c"`.
pub(crate) fn choice(words: &[&str]) -> String {
    match words.split_last() {
        None => "nothing".to_owned(),
        Some((last, [])) => format!("\"{last}\""),
        Some((last, rest)) => {
            let rest: Vec<String> = rest.iter().map(|word| format!("\"{word}\"")).collect();
            format!("{} or \"{last}\"", rest.join(", "))
        }
    }
}

/// A sentence that asks after the nearest word, or nothing.
pub(crate) fn did_you_mean(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |word| format!(" Did you mean \"{word}\"?"))
}

/// The known word nearest to `word`: at most two edits away and fewer than half
/// of its letters, capitals and small letters taken as the same. Of several
/// equally near words the first counts.
#[must_use]
pub fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    let letters = word.chars().take(LONGEST_WORD.saturating_add(1)).count();
    if letters > LONGEST_WORD {
        return None;
    }
    let word = word.to_lowercase();
    known
        .iter()
        .map(|&candidate| {
            let edits = strsim::damerau_levenshtein(&word, &candidate.to_lowercase());
            (edits, candidate)
        })
        .filter(|&(edits, _)| edits <= 2 && edits.saturating_mul(2) < letters)
        .min_by_key(|&(edits, _)| edits)
        .map(|(_, candidate)| candidate)
}

/// A sentence with its first letter in upper case and a full stop. A name (`use_by`, `castings.nitrogen`) stays as it is.
#[must_use]
pub fn capital(text: &str) -> String {
    let is_name = text.split(' ').next().is_some_and(|word| word.trim_end_matches(['.', ':']).contains(['_', '.']));
    let end = if text.ends_with(['.', '?', '!']) { "" } else { "." };
    (if is_name { text.to_owned() } else { capitalised(text) }) + end
}

/// The text with its first letter in upper case.
#[must_use]
pub fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_joined_and_cut() {
        assert_eq!(choice(&[]), "nothing");
        assert_eq!(choice(&["a"]), "\"a\"");
        assert_eq!(choice(&["a", "b", "c"]), "\"a\", \"b\" or \"c\"");
        assert_eq!(listed(&["a", "b"]), "a, b");
        assert_eq!(quoted("a\nb"), "\"a b\"");
        assert_eq!(cut("Möhren", 2), "Mö…");
        assert_eq!(did_you_mean(None), "");
    }

    #[test]
    fn nearest_words() {
        let known = ["rectangle", "circle", "polygon"];
        assert_eq!(nearest("rectangel", &known), Some("rectangle"));
        assert_eq!(nearest("Circle", &known), Some("circle"));
        assert_eq!(nearest("cirle", &known), Some("circle"));
        assert_eq!(nearest("hexagon", &known), None);
        assert_eq!(nearest("ab", &["ac"]), None);
        assert_eq!(nearest("", &["a"]), None);
        assert_eq!(nearest(&"x".repeat(100_000), &known), None);
    }
}
