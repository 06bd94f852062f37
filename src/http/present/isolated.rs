//! Words of scripts that are written from right to left, within sentences that are not: set apart, so that they do not turn the figures
//! and dates beside them.

use super::unbroken::unbroken;
use maud::{Markup, html};

/// A sentence of a page: [`isolated`], and with no line broken within an amount.
pub fn prose(text: &str) -> Markup {
    isolated(&unbroken(text))
}

/// A text of a page, with each stretch of words written from right to left in an element of its own.
pub fn isolated(text: &str) -> Markup {
    html! {
        @for (is_right_to_left, stretch) in stretches(text) {
            @if is_right_to_left { bdi { (stretch) } } @else { (stretch) }
        }
    }
}

/// The text in stretches: whether each is written from right to left.
fn stretches(text: &str) -> Vec<(bool, &str)> {
    let mut all = Vec::new();
    let mut rest = text;
    while let Some(start) = rest.find(is_right_to_left) {
        let (before, from) = rest.split_at(start);
        let own = from.find(|c| !is_right_to_left(c) && ends(c)).map_or(from, |end| from.split_at(end).0);
        // A number at its end belongs to it, unless a word of another script follows.
        let is_followed = from.split_at(own.len()).1.starts_with(char::is_alphabetic);
        let is_own = |c: char| is_right_to_left(c) || (!is_followed && c.is_numeric());
        let last = own.char_indices().rev().find(|(_, c)| is_own(*c)).map_or(own.len(), |(at, c)| at + c.len_utf8());
        let (stretch, after) = from.split_at(last);
        all.extend((!before.is_empty()).then_some((false, before)));
        all.push((true, stretch));
        rest = after;
    }
    all.extend((!rest.is_empty()).then_some((false, rest)));
    all
}

/// Letters and marks of scripts that are written from right to left. Source: Unicode 16, DerivedBidiClass.txt, R and AL by default, without the noncharacters.
const fn is_right_to_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdcf}' | '\u{fdf0}'..='\u{fdff}' | '\u{fe70}'..='\u{fefe}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// What ends such words: letters of other scripts, and the marks that follow a name in a sentence.
fn ends(c: char) -> bool {
    c.is_alphabetic() || matches!(c, ',' | ';' | ':' | '(' | ')')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_from_right_to_left_are_set_apart_from_what_is_said_of_them() {
        for (text, page) in [
            ("carrots: 22 Apr 2027", "carrots: 22 Apr 2027"),
            ("\u{628}\u{64a}\u{62a}: 22 Apr 2027", "<bdi>\u{628}\u{64a}\u{62a}</bdi>: 22 Apr 2027"),
            ("\u{628} \u{62a}, \u{5d0} 3 <b>", "<bdi>\u{628} \u{62a}</bdi>, <bdi>\u{5d0}</bdi> 3 &lt;b&gt;"),
            ("bed \u{5d0} 3 \u{5d1} 4 of 5", "bed <bdi>\u{5d0} 3 \u{5d1}</bdi> 4 of 5"),
            ("\u{5d1}\u{5d9} 3: 22 Apr", "<bdi>\u{5d1}\u{5d9} 3</bdi>: 22 Apr"),
            ("from \u{5d1}\u{5d9} 3, harvest 1", "from <bdi>\u{5d1}\u{5d9} 3</bdi>, harvest 1"),
            ("\u{5d0}a\u{5d1}", "<bdi>\u{5d0}</bdi>a<bdi>\u{5d1}</bdi>"),
            ("", ""),
        ] {
            assert_eq!(isolated(text).into_string(), page);
        }
    }

    proptest::proptest! {
        /// A page shows the same characters, and none from right to left outside of an element of its own.
        #[test]
        fn nothing_is_lost_and_nothing_turns_what_is_beside_it(text in "[ab1 ,:<\u{5d0}\u{5d1}\u{628}\u{10840}]{0,12}") {
            let page = isolated(&text).into_string();
            let plain = page.replace("<bdi>", "").replace("</bdi>", "").replace("&lt;", "<");
            proptest::prop_assert_eq!(&plain, &text);
            let outside: String = page.split("<bdi>").filter_map(|part| part.split("</bdi>").nth(usize::from(part.contains("</bdi>")))).collect();
            proptest::prop_assert!(!outside.contains(is_right_to_left), "{}", page);
        }
    }
}
