//! Enums: words, unions distinguished by "kind", and texts or objects.

use serde::de::value::BorrowedStrDeserializer;
use serde::de::{DeserializeSeed, EnumAccess, Error, VariantAccess, Visitor};

use super::access::KIND;
use super::error::{ErrorCode, nearest};
use super::fields::Fields;
use super::sentences::{choice, did_you_mean, quoted};
use super::state::{Cursor, Source, Stop};
use super::tree::Node;

/// How the name of an enum starts that is a text or an object by its JSON kind.
const TEXT_OR: &str = "TextOr";

/// What the content of the variant is read from.
#[derive(Clone, Copy)]
enum Content {
    /// A word that names the variant.
    Word,
    /// The value that the cursor is at.
    Value,
    /// The value names no variant. What to say of it depends on whether the
    /// enum is one of words or of objects, which its first variant shows.
    Undecided,
    /// A placeholder.
    Made,
}

/// A variant that has been picked.
pub(crate) struct Pick<'t, 'p> {
    cursor: Cursor<'t, 'p>,
    variants: &'static [&'static str],
    variant: &'static str,
    content: Content,
}

impl<'t, 'p> Pick<'t, 'p> {
    /// Picks the variant that the value names.
    pub(crate) fn new(cursor: Cursor<'t, 'p>, name: &'static str, variants: &'static [&'static str]) -> Self {
        if name.starts_with(TEXT_OR) {
            return Self::by_json_kind(cursor, variants);
        }
        match cursor.source {
            Source::Here(Node::Text(word)) => Self::by_word(cursor, variants, word),
            Source::Here(node @ Node::Object(_)) | Source::Tagged(node @ Node::Object(_)) => {
                Self::by_member(cursor, variants, node)
            }
            _ => Self::first(cursor, variants, Content::Undecided),
        }
    }

    fn first(cursor: Cursor<'t, 'p>, variants: &'static [&'static str], content: Content) -> Self {
        Self { cursor, variants, variant: variants.first().copied().unwrap_or_default(), content }
    }

    fn by_word(cursor: Cursor<'t, 'p>, variants: &'static [&'static str], word: &str) -> Self {
        let first = Self::first(cursor, variants, Content::Undecided);
        match variants.iter().find(|variant| **variant == word) {
            Some(variant) => Self { variant, content: Content::Word, ..first },
            None => first,
        }
    }

    fn by_member(cursor: Cursor<'t, 'p>, variants: &'static [&'static str], node: &'t Node<'t>) -> Self {
        let word = node.get(KIND).and_then(Node::as_text);
        match variants.iter().find(|variant| Some(**variant) == word) {
            Some(variant) => {
                let source = Source::Tagged(node);
                let cursor = Cursor { source, ..cursor };
                Self { cursor, variants, variant, content: Content::Value }
            }
            None => Self::first(cursor, variants, Content::Undecided),
        }
    }

    fn by_json_kind(cursor: Cursor<'t, 'p>, variants: &'static [&'static str]) -> Self {
        let wanted = match cursor.source {
            _ if cursor.is_nothing() => return Self::refused(cursor, variants),
            Source::Here(Node::Text(_)) => "text",
            Source::Here(Node::Object(_)) | Source::Tagged(_) => "object",
            _ => "other",
        };
        let find = |name: &str| variants.iter().find(|variant| **variant == name);
        match find(wanted).or_else(|| find("other")) {
            Some(variant) => Self { cursor, variants, variant, content: Content::Value },
            None => Self::refused(cursor, variants),
        }
    }

    /// Notes that neither a text nor an object is here.
    fn refused(cursor: Cursor<'t, 'p>, variants: &'static [&'static str]) -> Self {
        let expected = match (variants.contains(&"text"), variants.contains(&"object")) {
            (true, true) => "a text in quotes or an object",
            (true, false) => "a text in quotes",
            (false, true) => "an object",
            (false, false) => "a value",
        };
        cursor.refuse(expected);
        Self::first(cursor, variants, Content::Made)
    }

    /// Says what is wrong with a value that does not name a word.
    fn refuse_word(&self) {
        if self.cursor.errors.is_full_by_one_more() {
            return;
        }
        let expected = choice(self.variants);
        let Source::Here(Node::Text(word)) = self.cursor.source else {
            if let Some(mut pushed) = self.cursor.refuse(&format!("the text {expected}")) {
                pushed.allowed(self.variants);
            }
            return;
        };
        let near = nearest(word, self.variants);
        let (word, near_words) = (quoted(word), did_you_mean(near));
        let detail = format!("{word} is not allowed here.{near_words} Use {expected}.");
        let (code, at) = (ErrorCode::UnknownValue, self.cursor.place);
        let mut pushed = self.cursor.cover_up(at, code, detail);
        pushed.nearest(near).allowed(self.variants);
    }

    /// Says what is wrong with a value that is no object with a known kind.
    fn refuse_object(&self) {
        if self.cursor.errors.is_full_by_one_more() {
            return;
        }
        let kinds = choice(self.variants);
        let (Source::Here(node @ Node::Object(_)) | Source::Tagged(node)) = self.cursor.source else {
            let expected = format!("an object with the field \"kind\" ({kinds})");
            if let Some(mut pushed) = self.cursor.refuse(&expected) {
                pushed.allowed(self.variants);
            }
            return;
        };
        let (code, near, detail) = match node.get(KIND) {
            None | Some(Node::Null) => {
                let detail = format!("The field \"kind\" is missing. Give it {kinds}.");
                (ErrorCode::MissingField, None, detail)
            }
            Some(Node::Text(word)) => {
                let near = nearest(word, self.variants);
                let (word, near_words) = (quoted(word), did_you_mean(near));
                let detail = format!("The kind {word} is not known here.{near_words} Use {kinds}.");
                (ErrorCode::UnknownKind, near, detail)
            }
            Some(other) => {
                let found = other.kind();
                let detail = format!("A text was expected as kind, {found} was found. Use {kinds}.");
                (ErrorCode::WrongType, None, detail)
            }
        };
        let at = self.cursor.place.field(KIND);
        let mut pushed = self.cursor.cover_up(at, code, detail);
        pushed.nearest(near).allowed(self.variants);
    }

    /// The cursor for the content of a variant that has some.
    fn content(&self) -> Result<Cursor<'t, 'p>, Stop> {
        match self.content {
            Content::Value => return Ok(self.cursor),
            Content::Word | Content::Undecided => self.refuse_object(),
            Content::Made => {}
        }
        let source = self.cursor.part_of_made()?;
        Ok(Cursor { source, ..self.cursor })
    }
}

impl<'t> EnumAccess<'t> for Pick<'t, '_> {
    type Error = Stop;
    type Variant = Self;

    fn variant_seed<V: DeserializeSeed<'t>>(self, seed: V) -> Result<(V::Value, Self), Stop> {
        let variant = seed.deserialize(BorrowedStrDeserializer::<Stop>::new(self.variant))?;
        Ok((variant, self))
    }
}

impl<'t> VariantAccess<'t> for Pick<'t, '_> {
    type Error = Stop;

    fn unit_variant(self) -> Result<(), Stop> {
        match (self.content, self.cursor.source) {
            (Content::Undecided, _) | (Content::Value, Source::Tagged(_)) => self.refuse_word(),
            _ => {}
        }
        Ok(())
    }

    fn newtype_variant_seed<T: DeserializeSeed<'t>>(self, seed: T) -> Result<T::Value, Stop> {
        seed.deserialize(self.content()?)
    }

    fn tuple_variant<V: Visitor<'t>>(self, _: usize, _: V) -> Result<V::Value, Stop> {
        Err(Stop::custom("tuples are not read"))
    }

    fn struct_variant<V: Visitor<'t>>(self, fields: &'static [&'static str], visitor: V) -> Result<V::Value, Stop> {
        visitor.visit_map(Fields::new(self.content()?, fields)?)
    }
}
