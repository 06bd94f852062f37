//! Words on the wire, each for one value of the core: `"turned_windrow"`.

/// Declares an enum that is read from a word, its schema, and what of the core each word means: the value of the same name.
macro_rules! words {
    ($(#[$about:meta])* $name:ident $(as $schema:ident)? => $core:ident { $($(#[$meaning:meta])* $word:ident,)+ }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, serde::Deserialize, utoipa::ToSchema)]
        #[serde(rename_all = "snake_case")]
        $(#[schema(as = $schema)])?
        pub enum $name {
            $($(#[$meaning])* $word,)+
        }

        impl From<$name> for $core {
            fn from(word: $name) -> Self {
                match word {
                    $($name::$word => Self::$word,)+
                }
            }
        }
    };
}
pub(crate) use words;
