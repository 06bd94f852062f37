//! Texts of tables that a spreadsheet would take for formulas: they get a leading apostrophe, which reading takes off again.

/// The text as it is written. One that a spreadsheet would take for a formula gets a leading apostrophe. One that looks as if it had
/// got one gets one more, so that every text comes back as it was.
#[must_use]
pub fn guarded(text: &str, decimal_comma: bool) -> String {
    let bare = text.trim_start_matches('\'');
    if is_formula(bare, decimal_comma) { format!("'{text}") } else { text.to_owned() }
}

/// The text as it was before it was guarded.
#[must_use]
pub fn unguarded(text: &str, decimal_comma: bool) -> &str {
    let is_guarded = |rest: &&str| is_formula(rest.trim_start_matches('\''), decimal_comma);
    text.strip_prefix('\'').filter(is_guarded).unwrap_or(text)
}

/// Whether a spreadsheet might compute it: it begins with a sign that begins formulas, in the usual or in full width, and is no number.
fn is_formula(text: &str, decimal_comma: bool) -> bool {
    const SIGNS: [char; 8] = ['=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];
    // What is not seen hides the sign from a check, not from a spreadsheet.
    let begins = text.starts_with(['\t', '\r', '\n']) || text.trim_start_matches(is_unseen).starts_with(SIGNS);
    begins && !is_number(text, decimal_comma)
}

/// White space, and letters that take no room: controls, byte order marks, joiners, marks of direction.
fn is_unseen(letter: char) -> bool {
    letter.is_whitespace() || letter.is_control() || matches!(letter, '\u{feff}' | '\u{200b}'..='\u{200f}')
}

fn is_number(text: &str, decimal_comma: bool) -> bool {
    let is_finite = |text: &str| text.parse::<f64>().is_ok_and(f64::is_finite);
    is_finite(text) || (decimal_comma && !text.contains('.') && is_finite(&text.replacen(',', ".", 1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_compute_is_guarded() {
        for formula in [
            "=1+1",
            "+a",
            "-a",
            "@SUM(A1)",
            "＝1",
            "＋1",
            "－1",
            "＠a",
            "\t=1",
            "\r=1",
            "\n",
            " =1",
            "\u{3000}＝1",
            "\u{feff}=1",
            "\0=1",
            "\u{1b} @a",
            "\u{200b}\u{200f}+a",
            "-inf",
            "+nan",
            "-infinity",
            "+1e999",
            "-1,5",
            "-1 2",
            "--1",
            "=",
            "-",
            "'=1",
        ] {
            assert_eq!(guarded(formula, false), format!("'{formula}"));
        }
        for text in ["", "a=1", "-1", "+1.5", "-2e-3", "'", "'a", "O'Neil", "inf", "nan", "(=1)", "1-2", "−3 °C"] {
            assert_eq!(guarded(text, false), text);
        }
        assert_eq!(guarded("-1,5", true), "-1,5");
        assert_eq!(guarded("-1,5,2", true), "'-1,5,2");
    }

    proptest::proptest! {
        #[test]
        fn every_text_comes_back_as_it_was(text in "['=+@ \t＝a1,\u{0}\u{feff}\u{200e}-]{0,6}", comma: bool) {
            let written = guarded(&text, comma);
            proptest::prop_assert_eq!(unguarded(&written, comma), text);
        }

        #[test]
        fn no_two_texts_are_written_alike(one in "['=+a1\u{feff}-]{0,4}", other in "['=+a1\u{feff}-]{0,4}") {
            proptest::prop_assert_eq!(guarded(&one, false) == guarded(&other, false), one == other);
        }

        #[test]
        fn nothing_written_begins_a_formula(text in "['=+@ \t＝a1\u{0}\u{feff}\u{200e}-]{0,6}", comma: bool) {
            proptest::prop_assert!(!is_formula(&guarded(&text, comma), comma));
        }

        #[test]
        fn a_table_that_was_written_is_written_again_as_it_is(text in "['=+@ \t＝a1,\u{0}\u{feff}\u{200e}-]{0,6}", comma: bool) {
            let written = guarded(&text, comma);
            proptest::prop_assert_eq!(guarded(unguarded(&written, comma), comma), written);
        }
    }
}
