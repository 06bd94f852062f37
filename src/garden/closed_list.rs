//! Closed lists: an enum whose every value has a word on the wire, each written once.

/// Declares such an enum, with all its values, the word of each, and the value of a word.
macro_rules! closed_list {
    ($(#[$about:meta])* pub enum $name:ident { $($(#[$meaning:meta])* $value:ident = $word:literal,)+ }) => {
        $(#[$about])*
        pub enum $name {
            $($(#[$meaning])* $value,)+
        }

        impl $name {
            /// All of them, in the order of the list.
            pub const ALL: &'static [Self] = &[$(Self::$value,)+];

            /// The word on the wire.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self {
                    $(Self::$value => $word,)+
                }
            }

            /// The words on the wire, in the order of the list.
            pub fn words() -> impl Iterator<Item = &'static str> {
                Self::ALL.iter().map(|one| one.as_str())
            }

            /// The one with this word.
            #[must_use]
            pub fn find(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|one| one.as_str() == word)
            }
        }
    };
}
pub(crate) use closed_list;
