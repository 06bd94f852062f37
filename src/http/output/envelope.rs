//! What every answer tells around its own part.

use super::quantity::{System, View};
use super::skipped::SkippedOut;
use super::texts::TextsAt;
use super::{AssumptionOut, COMPUTED_WITH, CautionOut, ExplanationOut};
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::borrow::Cow;
use std::ops::Deref;
use utoipa::openapi::schema::{ArrayBuilder, ObjectBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

/// What an answer echoes of its request.
#[derive(Debug, Clone, Copy, Default)]
pub struct Echo<'r> {
    /// Its id, where the request gave one.
    pub id: Option<&'r str>,
    /// Its usual name.
    pub name: Option<&'r str>,
}

/// An answer: what answers the question, between what every answer tells. On the wire all of it is one object.
#[must_use]
#[skip_serializing_none]
#[derive(Debug, Serialize)]
pub struct Answer<T> {
    /// The program and version, which fix the defaults.
    pub computed_with: &'static str,
    /// The id of the request.
    pub id: Option<String>,
    /// The name of the request.
    pub name: Option<String>,
    /// The revision of the request, where a question has revisions.
    pub revision: Option<u32>,
    /// The system of units that the figures are in.
    pub units: System,
    /// What answers the question.
    #[serde(flatten)]
    pub part: T,
    /// The items of the request that have errors and were left out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub skipped: Vec<SkippedOut>,
    /// The assumed values, each with its range and source.
    pub assumptions: Vec<AssumptionOut>,
    /// What to do or avoid, with the items that each is about.
    pub cautions: Vec<CautionOut>,
    /// Where the texts are that are left out.
    pub texts_at: Option<TextsAt>,
    /// How its figures are computed, where the request asks for it.
    pub explanations: Option<Vec<ExplanationOut>>,
}

/// The part of an answer that answers its question.
pub trait Part: ToSchema {
    /// Whether its request has a revision, which is echoed.
    const REVISED: bool = false;
    /// What its explanations explain.
    const EXPLAINED: &'static str = "How each figure is computed, where the request asks for it.";
}

impl<T> Answer<T> {
    /// The answer without explanations.
    pub fn new(
        echo: Echo<'_>,
        part: T,
        (assumptions, cautions): (Vec<AssumptionOut>, Vec<CautionOut>),
        view: &View<'_>,
    ) -> Self {
        Self {
            computed_with: COMPUTED_WITH,
            id: echo.id.map(str::to_owned),
            name: echo.name.map(str::to_owned),
            revision: None,
            units: view.system,
            part,
            skipped: Vec::new(),
            assumptions,
            cautions,
            texts_at: None,
            explanations: None,
        }
    }

    /// What the request is called: its name, else its id.
    #[must_use]
    pub fn name_or_id(&self) -> Option<&str> {
        self.name.as_deref().or(self.id.as_deref())
    }
}

impl<T> Deref for Answer<T> {
    type Target = T;

    fn deref(&self) -> &T {
        &self.part
    }
}

/// A text of the envelope.
fn text(about: &str) -> RefOr<Schema> {
    RefOr::T(ObjectBuilder::new().schema_type(Type::String).description(Some(about)).build().into())
}

/// A list of the envelope.
fn list<T: ToSchema>(about: &str) -> RefOr<Schema> {
    let item = Ref::from_schema_name(T::name());
    RefOr::T(ArrayBuilder::new().items(item).description(Some(about)).build().into())
}

impl<T: Part> PartialSchema for Answer<T> {
    fn schema() -> RefOr<Schema> {
        let RefOr::T(Schema::Object(mut object)) = T::schema() else { return T::schema() };
        let (properties, required) = (std::mem::take(&mut object.properties), std::mem::take(&mut object.required));
        let mut add = |name: &str, schema: RefOr<Schema>| drop(object.properties.insert(name.to_owned(), schema));
        add("computed_with", text("The program and version, which fix the defaults."));
        add("id", text("Its id in the request."));
        add("name", text("Its name in the request."));
        if T::REVISED {
            add("revision", described(u32::schema(), "The revision that the request gave."));
        }
        add("units", referred::<System>("The units of the answer."));
        for (name, schema) in properties {
            add(&name, schema);
        }
        add(
            "skipped",
            list::<SkippedOut>(
                "Items left out for their errors. Positions and pointers elsewhere count the items that are left.",
            ),
        );
        add("assumptions", list::<AssumptionOut>("The assumed values, each with its range and source."));
        add("cautions", list::<CautionOut>("What to do or avoid, and for which items."));
        let mut texts_at = Ref::from_schema_name(TextsAt::name());
        texts_at.description = "Where the texts are that are left out.".to_owned();
        add("texts_at", RefOr::Ref(texts_at));
        add("explanations", list::<ExplanationOut>(T::EXPLAINED));
        object.required = ["computed_with", "units"].map(str::to_owned).into();
        object.required.extend(required);
        object.required.extend(["assumptions", "cautions"].map(str::to_owned));
        RefOr::T(Schema::Object(object))
    }
}

impl<T: Part> ToSchema for Answer<T> {
    fn name() -> Cow<'static, str> {
        T::name()
    }

    fn schemas(all: &mut Vec<(String, RefOr<Schema>)>) {
        T::schemas(all);
        with::<System>(all);
        with::<SkippedOut>(all);
        with::<AssumptionOut>(all);
        with::<CautionOut>(all);
        with::<TextsAt>(all);
        with::<ExplanationOut>(all);
    }
}

/// Adds a schema and those within it.
fn with<T: ToSchema>(all: &mut Vec<(String, RefOr<Schema>)>) {
    all.push((T::name().into_owned(), T::schema()));
    T::schemas(all);
}

/// A reference to a schema, with its description.
fn referred<T: ToSchema>(about: &str) -> RefOr<Schema> {
    let mut reference = Ref::from_schema_name(T::name());
    about.clone_into(&mut reference.description);
    RefOr::Ref(reference)
}

/// A plain schema with its description.
fn described(mut schema: RefOr<Schema>, about: &str) -> RefOr<Schema> {
    if let RefOr::T(Schema::Object(object)) = &mut schema {
        object.description = Some(about.to_owned());
    }
    schema
}
