//! A name in the code says what it holds.

use crate::imports::files;

/// Words that say nothing of a value.
const BARE: [&str; 6] = ["of", "it", "said", "told", "lying", "comes"];

/// The bare words that a `let` of this code binds.
fn bare(code: &str) -> Vec<&str> {
    let patterns = code.split("let ").skip(1).filter_map(|rest| rest.split_once(" =")).map(|(pattern, _)| pattern);
    let is_pattern = |pattern: &&str| !pattern.contains([';', '"']);
    let ends_word = |letter: char| !(letter.is_alphanumeric() || letter == '_');
    let words = patterns.filter(is_pattern).flat_map(|pattern| pattern.split(ends_word));
    words.filter(|word| BARE.contains(word)).collect()
}

#[test]
fn a_let_names_what_it_binds() {
    let files = files();
    let found: Vec<(&str, &str)> =
        files.iter().flat_map(|(file, code)| bare(code).into_iter().map(|word| (file.as_str(), word))).collect();
    assert!(found.is_empty(), "names that say nothing: {found:?}");
}

#[test]
fn a_bare_word_is_found() {
    let code = "let of = 1;\nlet mut said: Vec<u8> =\n    x;\nlet (c, it) = (2, 3);\nlet often = it;\nif let Some(told) = x {}";
    assert_eq!(bare(code), ["of", "said", "it", "told"]);
    assert!(bare("print(\"let it lie\"); let whole = part.of;").is_empty());
}
