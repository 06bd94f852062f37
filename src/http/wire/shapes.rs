//! The rules of the `validator` crate, told by place.

use serde_json::Value;
use validator::{Validate, ValidationError, ValidationErrors, ValidationErrorsKind};

use super::fault::{FaultCode, Faults};
use super::place::Place;
use super::words::cut;

/// The name under which rules over a whole struct stand.
const WHOLE: &str = "__all__";
/// The name under which the rule of a list or a text as a whole stands.
pub const WHOLE_LIST: &str = "__list__";

/// Applies the `validator` rules of a value that was read at `place`.
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

/// The bounds a rule sets.
struct Bounds {
    min: Option<f64>,
    max: Option<f64>,
    above: bool,
    below: bool,
}

impl Bounds {
    fn of(error: &ValidationError) -> Self {
        let number = |name: &str| error.params.get(name).and_then(Value::as_f64);
        let equal = number("equal");
        let (min, above) = (equal.or_else(|| number("min")), number("exclusive_min"));
        let (max, below) = (equal.or_else(|| number("max")), number("exclusive_max"));
        Self { min: above.or(min), max: below.or(max), above: above.is_some(), below: below.is_some() }
    }

    /// The bounds in words, such as `from 1 to 9`.
    fn words(&self) -> String {
        let low = if self.above { "more than" } else { "at least" };
        let high = if self.below { "less than" } else { "at most" };
        match (self.min, self.max) {
            (Some(min), Some(max)) if self.above || self.below => {
                format!("{low} {min} and {high} {max}")
            }
            (Some(min), Some(max)) if min.total_cmp(&max).is_eq() => format!("exactly {min}"),
            (Some(min), Some(max)) => format!("from {min} to {max}"),
            (Some(min), None) => format!("{low} {min}"),
            (None, Some(max)) => format!("{high} {max}"),
            (None, None) => "another number".to_owned(),
        }
    }
}

fn tell(error: &ValidationError, at: Place, faults: &Faults) {
    let bounds = Bounds::of(error);
    let (code, detail) = match error.code.as_ref() {
        "length" => (FaultCode::WrongLength, length(error, &bounds)),
        "range" => {
            let detail = format!("The number must be {}.", bounds.words());
            (FaultCode::OutOfRange, with_message(error, detail))
        }
        other => {
            let code = FaultCode::find(other).unwrap_or(FaultCode::ImpossibleValue);
            let message = error.message.as_deref();
            let detail = message.map_or_else(|| code.meaning().to_owned(), |words| cut(words, 500));
            (code, detail)
        }
    };
    faults.push(at, code, detail).min(bounds.min).max(bounds.max);
}

/// The rule's own message before the sentence, if it has one.
fn with_message(error: &ValidationError, detail: String) -> String {
    match error.message.as_deref() {
        Some(message) => format!("{} {detail}", cut(message, 500)),
        None => detail,
    }
}

fn length(error: &ValidationError, bounds: &Bounds) -> String {
    let words = bounds.words();
    let counted = error.params.get("count").and_then(Value::as_u64);
    let detail = match error.params.get("value") {
        _ if counted.is_some() => {
            let count = counted.unwrap_or_default();
            format!("The list must have {words} entries; it has {count}.")
        }
        Some(Value::String(text)) => {
            let count = text.chars().count();
            format!("The text must have {words} letters; it has {count}.")
        }
        Some(Value::Array(items)) => {
            let count = items.len();
            format!("The list must have {words} entries; it has {count}.")
        }
        Some(Value::Object(members)) => {
            let count = members.len();
            format!("The object must have {words} members; it has {count}.")
        }
        _ => format!("The length must be {words}."),
    };
    with_message(error, detail)
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
        #[validate(length(min = 1, max = 5))]
        name: String,
        #[validate(nested)]
        beds: Vec<Bed>,
        #[validate(length(min = 2))]
        tags: Vec<String>,
        from: u32,
        to: u32,
    }

    #[derive(Deserialize, Serialize, Validate)]
    struct Bed {
        #[validate(range(min = 0.1, max = 50.0))]
        width: f64,
        #[validate(range(exclusive_min = 0.0))]
        depth: Option<f64>,
        #[validate(custom(function = "even"))]
        rows: u32,
        #[validate(custom(function = "lucky"))]
        r#type: u32,
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
            r#"{"name": "Möhren", "tags": ["secret"], "beds": [
                {"width": 1, "rows": 2, "type": 1},
                {"type": 13, "rows": 3, "depth": 0, "width": 99}],
                "from": 9, "to": 1}"#,
        );
        let wanted = [
            ("", "dates_out_of_order"),
            ("/name", "wrong_length"),
            ("/tags", "wrong_length"),
            ("/beds/1/type", "bad_text"),
            ("/beds/1/rows", "impossible_value"),
            ("/beds/1/depth", "out_of_range"),
            ("/beds/1/width", "out_of_range"),
        ];
        let wanted: Vec<_> = wanted.map(|(at, code)| (at.to_owned(), code)).into();
        assert_eq!(brief(&faults), wanted);
        let details: Vec<&str> = faults.iter().map(|fault| fault.detail.as_str()).collect();
        assert_eq!(details[0], "Swap from and to.");
        assert_eq!(details[1], "The text must have from 1 to 5 letters; it has 6.");
        assert_eq!(details[2], "The list must have at least 2 entries; it has 1.");
        assert_eq!(details[3], FaultCode::BadText.meaning());
        assert_eq!(details[4], "Plant in pairs of rows.");
        assert_eq!(details[5], "The number must be more than 0.");
        assert_eq!(details[6], "The number must be from 0.1 to 50.");
        assert_eq!((faults[6].min, faults[6].max), (Some(0.1), Some(50.0)));
        assert_eq!((faults[1].min, faults[1].max), (Some(1.0), Some(5.0)));
        assert!(details.iter().all(|detail| !detail.contains("secret")));
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
