//! Reading a JSON body so that every fault in it is reported at once.
//!
//! The way of a body: bytes become a [`tree::Node`] ([`tree::parse`]), and the
//! tree becomes an ordinary serde-derived type ([`collect::read`]). The second
//! step never stops at a fault: it notes the fault with its JSON pointer, hands
//! the derived code a placeholder and goes on. [`shapes::check`] adds what the
//! `validator` rules of a type find, and [`fault::Faults::into_sorted`] returns
//! all of it in the order of the document.
//!
//! ```text
//! let tree = parse(bytes)?;                               // or a SyntaxFault
//! let faults = Faults::body();
//! let wire: Option<Plan> = read(&tree, Place::root(), &faults);
//! if let Some(plan) = &wire { check(plan, Place::root(), &faults); }
//! if !faults.is_empty() { return refuse(faults.into_sorted(&tree)); }
//! ```

mod access;
mod choice;
mod codes;
pub mod collect;
pub mod fault;
mod fields;
mod numbers;
mod order;
mod other;
pub mod place;
mod refusal;
pub mod shapes;
mod state;
mod synonyms;
mod syntax;
pub mod tree;
mod words;

#[cfg(test)]
mod tests;

pub use collect::{Other, read};
pub use fault::{Fault, FaultCode, Faults, Pushed, Where, nearest};
pub use place::Place;
pub use shapes::{WHOLE_LIST, check, outside};
pub use syntax::{MAX_DEPTH, SyntaxFault};
pub use tree::{Node, parse};
pub use words::capital;
