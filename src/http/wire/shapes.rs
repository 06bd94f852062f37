//! The rules of the `validator` crate, reported by place.

use serde::Serialize;
use serde_json::Value;
use validator::{Validate, ValidationError, ValidationErrors, ValidationErrorsKind};

use super::error::{ErrorCode, RequestErrors};
use super::path::JsonPath;
use super::sentences::cut;

/// The name of the rules over a whole struct.
const WHOLE: &str = "__all__";
/// The name of the rule of a list or a text as a whole.
pub const WHOLE_LIST: &str = "__list__";

/// Applies the `validator` rules of a value that was read at `place`. The code of a rule is that of the error, its message the error in
/// words, and its parameters `min` and `max` are the bounds.
///
/// What is wrong with a placeholder is not reported again, and rules over a whole
/// struct are passed over if any value in it is a placeholder.
///
/// The fields of a struct must have the same names in Rust as on the wire, since
/// `validator` knows only the former, and `nested` must not be put on maps, for
/// which it knows only a number.
pub fn check<T: Validate>(value: &T, place: JsonPath, errors: &RequestErrors) {
    if let Err(found) = value.validate() {
        walk(&found, place, errors);
    }
}

fn walk(found: &ValidationErrors, place: JsonPath, errors: &RequestErrors) {
    let mut fields: Vec<(&str, &ValidationErrorsKind)> =
        found.errors().iter().map(|(name, kind)| (name.as_ref(), kind)).collect();
    fields.sort_unstable_by_key(|(name, _)| *name);
    for (name, kind) in fields {
        let at = place.field(name.strip_prefix("r#").unwrap_or(name));
        match kind {
            ValidationErrorsKind::Struct(inner) => walk(inner, at, errors),
            ValidationErrorsKind::List(items) => {
                for (index, inner) in items {
                    walk(inner, at.index(*index), errors);
                }
            }
            ValidationErrorsKind::Field(_) if name == WHOLE && errors.touches(place) => {}
            ValidationErrorsKind::Field(wrong) => {
                let at = if name == WHOLE || name == WHOLE_LIST { place } else { at };
                for error in wrong {
                    tell(error, at, errors);
                }
            }
        }
    }
}

fn tell(error: &ValidationError, at: JsonPath, errors: &RequestErrors) {
    let code = ErrorCode::find(&error.code).unwrap_or(ErrorCode::ImpossibleValue);
    let detail = error.message.as_deref().map_or_else(|| code.meaning().to_owned(), |words| cut(words, 500));
    let bound = |name: &str| error.params.get(name).and_then(Value::as_f64);
    errors.push(at, code, detail).min(bound("min")).max(bound("max"));
}

/// The errors of a value that does not lie within its bounds, in words.
#[must_use]
pub fn outside(code: ErrorCode, (min, max): (impl Serialize, impl Serialize), words: String) -> ValidationErrors {
    let mut error = ValidationError::new(code.as_str()).with_message(words.into());
    error.add_param("min".into(), &min);
    error.add_param("max".into(), &max);
    let mut errors = ValidationErrors::new();
    errors.add(WHOLE_LIST, error);
    errors
}

#[cfg(test)]
mod tests {
    use serde::{Deserialize, Serialize};

    use super::super::collect::read;
    use super::super::error::RequestError;
    use super::super::tree::parse;
    use super::*;

    #[derive(Deserialize, Serialize, Validate)]
    #[validate(schema(function = "ordered", skip_on_field_errors = false))]
    struct Plot {
        #[validate(nested)]
        name: Name,
        #[validate(nested)]
        beds: Vec<Bed>,
        tags: Vec<String>,
        from: u32,
        to: u32,
    }

    #[derive(Deserialize, Serialize, Validate)]
    struct Bed {
        #[validate(range(min = 0.1, code = "out_of_range", message = "Make it wider."))]
        width: f64,
        #[validate(custom(function = "even"))]
        rows: u32,
        #[validate(custom(function = "lucky"))]
        r#type: u32,
    }

    #[derive(Deserialize, Serialize)]
    struct Name(String);

    impl Validate for Name {
        fn validate(&self) -> Result<(), ValidationErrors> {
            let words = "The text must have from 1 to 5 letters.".to_owned();
            if self.0.len() <= 5 { Ok(()) } else { Err(outside(ErrorCode::WrongLength, (1, 5), words)) }
        }
    }

    fn ordered(plot: &Plot) -> Result<(), ValidationError> {
        if plot.from <= plot.to {
            return Ok(());
        }
        Err(ValidationError::new("dates_out_of_order").with_message("Swap from and to.".into()))
    }

    fn even(rows: u32) -> Result<(), ValidationError> {
        let error = ValidationError::new("odd").with_message("Plant in pairs of rows.".into());
        if rows.is_multiple_of(2) { Ok(()) } else { Err(error) }
    }

    fn lucky(number: u32) -> Result<(), ValidationError> {
        if number == 13 { Err(ValidationError::new("bad_text")) } else { Ok(()) }
    }

    fn errors_of(text: &str) -> Vec<RequestError> {
        let tree = parse(text.as_bytes()).unwrap();
        let errors = RequestErrors::body();
        let plot: Option<Plot> = read(&tree, JsonPath::root(), &errors);
        check(&plot.unwrap(), JsonPath::root(), &errors);
        errors.into_sorted(&tree)
    }

    fn brief(errors: &[RequestError]) -> Vec<(String, &'static str)> {
        errors.iter().map(|error| (error.at.as_str().to_owned(), error.code.as_str())).collect()
    }

    #[test]
    fn rules_are_reported_by_place_and_in_order() {
        let errors = errors_of(
            r#"{"name": "Möhren", "tags": [], "beds": [
                {"width": 1, "rows": 2, "type": 1},
                {"type": 13, "rows": 3, "width": 0}],
                "from": 9, "to": 1}"#,
        );
        let wanted = [
            ("", "dates_out_of_order"),
            ("/name", "wrong_length"),
            ("/beds/1/type", "bad_text"),
            ("/beds/1/rows", "impossible_value"),
            ("/beds/1/width", "out_of_range"),
        ];
        let wanted: Vec<_> = wanted.map(|(at, code)| (at.to_owned(), code)).into();
        assert_eq!(brief(&errors), wanted);
        let details: Vec<&str> = errors.iter().map(|error| error.detail.as_str()).collect();
        assert_eq!(details[0], "Swap from and to.");
        assert_eq!(details[1], "The text must have from 1 to 5 letters.");
        assert_eq!(details[2], ErrorCode::BadText.meaning());
        assert_eq!(details[3], "Plant in pairs of rows.");
        assert_eq!(details[4], "Make it wider.");
        assert_eq!((errors[1].min, errors[1].max), (Some(1.0), Some(5.0)));
        assert_eq!((errors[4].min, errors[4].max), (Some(0.1), None));
    }

    #[test]
    fn placeholders_are_not_judged() {
        let errors = errors_of(r#"{"name": 7, "beds": [{"rows": 3}], "from": 9}"#);
        let wanted = [
            ("/name", "wrong_type"),
            ("/beds/0/rows", "impossible_value"),
            ("/beds/0/width", "missing_field"),
            ("/beds/0/type", "missing_field"),
            ("/tags", "missing_field"),
            ("/to", "missing_field"),
        ];
        let wanted: Vec<_> = wanted.map(|(at, code)| (at.to_owned(), code)).into();
        assert_eq!(brief(&errors), wanted);
    }
}
