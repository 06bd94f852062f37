//! The rules of the `validator` crate, told by place.

use serde::Serialize;
use serde_json::Value;
use validator::{Validate, ValidationError, ValidationErrors, ValidationErrorsKind};

use super::fault::{FaultCode, Faults};
use super::place::Place;
use super::words::cut;

/// The name under which rules over a whole struct stand.
const WHOLE: &str = "__all__";
/// The name under which the rule of a list or a text as a whole stands.
pub const WHOLE_LIST: &str = "__list__";

/// Applies the `validator` rules of a value that was read at `place`. The code of a rule is that of the fault, its message the fault in
/// words, and its parameters `min` and `max` are the bounds.
///
/// What is wrong with a placeholder is not told again, and rules over a whole
/// struct are passed over if any value in it is a placeholder.
///
/// The fields of a struct must have the same names in Rust as on the wire, since
/// `validator` knows only the former, and `nested` must not be put on maps, for
/// which it knows only a number.
pub fn check<T: Validate>(value: &T, place: Place, faults: &Faults) {
    if let Err(errors) = value.validate() {
        walk(&errors, place, faults);
    }
}

fn walk(errors: &ValidationErrors, place: Place, faults: &Faults) {
    let mut fields: Vec<(&str, &ValidationErrorsKind)> =
        errors.errors().iter().map(|(name, kind)| (name.as_ref(), kind)).collect();
    fields.sort_unstable_by_key(|(name, _)| *name);
    for (name, kind) in fields {
        let at = place.field(name.strip_prefix("r#").unwrap_or(name));
        match kind {
            ValidationErrorsKind::Struct(inner) => walk(inner, at, faults),
            ValidationErrorsKind::List(items) => {
                for (index, inner) in items {
                    walk(inner, at.index(*index), faults);
                }
            }
            ValidationErrorsKind::Field(_) if name == WHOLE && faults.touches(place) => {}
            ValidationErrorsKind::Field(found) => {
                let at = if name == WHOLE || name == WHOLE_LIST { place } else { at };
                for error in found {
                    tell(error, at, faults);
                }
            }
        }
    }
}

fn tell(error: &ValidationError, at: Place, faults: &Faults) {
    let code = FaultCode::find(&error.code).unwrap_or(FaultCode::ImpossibleValue);
    let detail = error.message.as_deref().map_or_else(|| code.meaning().to_owned(), |words| cut(words, 500));
    let bound = |name: &str| error.params.get(name).and_then(Value::as_f64);
    faults.push(at, code, detail).min(bound("min")).max(bound("max"));
}

/// The errors of a value that does not lie within its bounds, in words.
#[must_use]
pub fn outside(code: FaultCode, (min, max): (impl Serialize, impl Serialize), words: String) -> ValidationErrors {
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
    use super::super::fault::Fault;
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
            if self.0.len() <= 5 { Ok(()) } else { Err(outside(FaultCode::WrongLength, (1, 5), words)) }
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

    fn faults_of(text: &str) -> Vec<Fault> {
        let tree = parse(text.as_bytes()).unwrap();
        let faults = Faults::body();
        let plot: Option<Plot> = read(&tree, Place::root(), &faults);
        check(&plot.unwrap(), Place::root(), &faults);
        faults.into_sorted(&tree)
    }

    fn brief(faults: &[Fault]) -> Vec<(String, &'static str)> {
        faults.iter().map(|fault| (fault.at.as_str().to_owned(), fault.code.as_str())).collect()
    }

    #[test]
    fn rules_are_told_by_place_and_in_order() {
        let faults = faults_of(
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
        assert_eq!(brief(&faults), wanted);
        let details: Vec<&str> = faults.iter().map(|fault| fault.detail.as_str()).collect();
        assert_eq!(details[0], "Swap from and to.");
        assert_eq!(details[1], "The text must have from 1 to 5 letters.");
        assert_eq!(details[2], FaultCode::BadText.meaning());
        assert_eq!(details[3], "Plant in pairs of rows.");
        assert_eq!(details[4], "Make it wider.");
        assert_eq!((faults[1].min, faults[1].max), (Some(1.0), Some(5.0)));
        assert_eq!((faults[4].min, faults[4].max), (Some(0.1), None));
    }

    #[test]
    fn placeholders_are_not_judged() {
        let faults = faults_of(r#"{"name": 7, "beds": [{"rows": 3}], "from": 9}"#);
        let wanted = [
            ("/name", "wrong_type"),
            ("/beds/0/rows", "impossible_value"),
            ("/beds/0/width", "missing_field"),
            ("/beds/0/type", "missing_field"),
            ("/tags", "missing_field"),
            ("/to", "missing_field"),
        ];
        let wanted: Vec<_> = wanted.map(|(at, code)| (at.to_owned(), code)).into();
        assert_eq!(brief(&faults), wanted);
    }
}
