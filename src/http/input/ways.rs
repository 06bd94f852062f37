//! What is said in exactly one of several ways.

use super::RequestContext;
use crate::garden::refusal::{Reason, Refusal};
use crate::http::wire::JsonPath;

impl RequestContext<'_> {
    /// The one way that was given. All that were given have been read before, so that each has reported what is wrong with it.
    pub fn only_way<T, const N: usize>(
        &self,
        ways: [Option<Option<T>>; N],
        (place, detail): (JsonPath<'_>, &str),
        allowed: &[&str],
    ) -> Option<T> {
        let mut given = ways.into_iter().flatten();
        if let (Some(way), None) = (given.next(), given.next()) {
            return way;
        }
        self.refuse(place, Refusal::new(Reason::ExactlyOneOf, detail).allowed(allowed.iter().copied()));
        None
    }
}
