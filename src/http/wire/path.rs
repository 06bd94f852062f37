//! Places in a document.

/// A path into a document, linked on the stack.
///
/// A place costs no allocation; its text is built by [`JsonPath::to_pointer`]
/// only when an error has to be reported.
#[must_use]
#[derive(Clone, Copy, Debug)]
pub struct JsonPath<'a> {
    parent: Option<&'a JsonPath<'a>>,
    segment: PathSegment<'a>,
}

/// One segment of a path.
#[derive(Clone, Copy, Debug)]
enum PathSegment<'a> {
    Root,
    Field(&'a str),
    Index(usize),
}

impl<'a> JsonPath<'a> {
    /// The whole document.
    pub const fn root() -> Self {
        Self { parent: None, segment: PathSegment::Root }
    }

    /// The member called `name` of the object at this place.
    pub const fn field(&'a self, name: &'a str) -> Self {
        Self { parent: Some(self), segment: PathSegment::Field(name) }
    }

    /// The entry with this number (the first is 0) of the list at this place.
    pub const fn index(&'a self, index: usize) -> Self {
        Self { parent: Some(self), segment: PathSegment::Index(index) }
    }

    /// The place as a JSON pointer (RFC 6901); the root is the empty text.
    #[must_use]
    pub fn to_pointer(&self) -> String {
        let mut segments = Vec::new();
        let mut at = Some(self);
        while let Some(place) = at {
            segments.push(place.segment);
            at = place.parent;
        }
        let mut pointer = String::new();
        for segment in segments.iter().rev() {
            match segment {
                PathSegment::Root => {}
                PathSegment::Field(name) => push_field(&mut pointer, name),
                PathSegment::Index(index) => {
                    pointer.push('/');
                    pointer.push_str(&index.to_string());
                }
            }
        }
        pointer
    }

    /// The name of the member at this place, if it is a member.
    #[must_use]
    pub const fn name(&self) -> Option<&'a str> {
        match self.segment {
            PathSegment::Field(name) => Some(name),
            PathSegment::Root | PathSegment::Index(_) => None,
        }
    }

    /// The name of the list whose entry this place is.
    #[must_use]
    pub const fn list(&self) -> Option<&'a str> {
        match (self.segment, self.parent) {
            (PathSegment::Index(_), Some(list)) => list.name(),
            _ => None,
        }
    }

    /// The name of the object of which this place is a member, or of the list of such objects; of an entry that of its list.
    #[must_use]
    pub const fn holder(&self) -> Option<&'a str> {
        let object = match (self.segment, self.parent) {
            (PathSegment::Index(_), Some(list)) => list.parent,
            (_, object) => object,
        };
        match object {
            Some(JsonPath { parent: Some(list), segment: PathSegment::Index(_) }) => list.name(),
            Some(object) => object.name(),
            None => None,
        }
    }

    /// The number of the list entry at this place, if it is one.
    #[must_use]
    pub const fn number(&self) -> Option<usize> {
        match self.segment {
            PathSegment::Index(index) => Some(index),
            PathSegment::Root | PathSegment::Field(_) => None,
        }
    }
}

/// Appends one escaped member name to a pointer.
fn push_field(pointer: &mut String, name: &str) {
    pointer.push('/');
    for letter in name.chars() {
        match letter {
            '~' => pointer.push_str("~0"),
            '/' => pointer.push_str("~1"),
            other => pointer.push(other),
        }
    }
}

/// Takes the escapes out of one segment of a pointer.
pub(crate) fn unescape(segment: &str) -> String {
    segment.replace("~1", "/").replace("~0", "~")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pointers_are_escaped() {
        let root = JsonPath::root();
        assert_eq!(root.to_pointer(), "");
        let beds = root.field("beds");
        let third = beds.index(3);
        assert_eq!(third.field("a/b~c").to_pointer(), "/beds/3/a~1b~0c");
        assert_eq!(root.field("").to_pointer(), "/");
        assert_eq!(unescape("a~1b~0c~01"), "a/b~c~1");
    }

    #[test]
    fn a_place_knows_its_last_step() {
        let root = JsonPath::root();
        assert_eq!(root.name(), None);
        assert_eq!(root.field("x").name(), Some("x"));
        let records = root.field("records");
        let first = records.index(0);
        let fed = first.field("fed");
        assert_eq!((fed.holder(), fed.list()), (Some("records"), None));
        assert_eq!((fed.index(1).holder(), fed.index(1).list()), (Some("records"), Some("fed")));
        assert_eq!((first.field("ground").field("unit").holder(), first.holder()), (Some("ground"), None));
        assert_eq!(root.index(2).number(), Some(2));
        assert_eq!(root.field("x").number(), None);
    }
}
