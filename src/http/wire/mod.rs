//! Reading a JSON body so that every error in it is reported at once.
//!
//! The way of a body: bytes become a [`tree::Node`] ([`tree::parse`]), and the
//! tree becomes an ordinary serde-derived type ([`collect::read`]). The second
//! step never stops at an error: it notes the error with its JSON pointer, hands
//! the derived code a placeholder and goes on. [`shapes::check`] adds what the
//! `validator` rules of a type find, and [`error::RequestErrors::into_sorted`] returns
//! all of it in the order of the document.
//!
//! ```text
//! let tree = parse(bytes)?;                               // or a SyntaxFault
//! let errors = RequestErrors::body();
//! let wire: Option<Plan> = read(&tree, JsonPath::root(), &errors);
//! if let Some(plan) = &wire { check(plan, JsonPath::root(), &errors); }
//! if !errors.is_empty() { return refuse(errors.into_sorted(&tree)); }
//! ```

mod access;
mod choice;
mod codes;
pub mod collect;
pub mod csv;
mod decimal;
pub mod error;
mod examples;
mod fields;
pub mod formulas;
mod items;
mod kept;
pub mod merge;
mod numbers;
mod order;
mod other;
pub mod path;
mod refusal;
mod sentences;
pub mod shapes;
mod state;
mod synonyms;
mod syntax;
pub mod tree;

#[cfg(test)]
mod tests;

pub use collect::{Other, read};
pub use decimal::between_digits;
pub use error::{ErrorCode, Pushed, RequestError, RequestErrors, Where, nearest};
pub(crate) use examples::as_in;
pub(crate) use items::{noun, with_items};
pub use merge::{merge, note_repeats};
pub use other::AnyObject;
pub use path::JsonPath;
pub use sentences::{capital, capitalised};
pub(crate) use sentences::{choice, clipped, did_you_mean};
pub use shapes::{WHOLE_LIST, check, outside};
pub(crate) use synonyms::synonym;
pub use syntax::{MAX_DEPTH, SyntaxFault};
pub use tree::{Node, parse};
