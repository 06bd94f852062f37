//! The kinds of error.

use crate::garden::closed_list::closed_list;

macro_rules! error_codes {
    ($($name:ident $text:literal $meaning:literal;)*) => {
        closed_list! {
            /// The closed list of the kinds of error.
            #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum ErrorCode {
                $(#[doc = $meaning] $name = $text,)*
            }
        }

        impl ErrorCode {
            /// What the code means, in one sentence.
            #[must_use]
            pub const fn meaning(self) -> &'static str {
                match self { $(Self::$name => $meaning,)* }
            }
        }
    };
}

error_codes! {
    NotJson "not_json" "The body is not one JSON document; line and column tell where reading stopped.";
    NotCsv "not_csv" "The body is not a table as CSV; line and column tell where it is wrong.";
    MissingField "missing_field" "A field that must be given is absent or null.";
    UnknownField "unknown_field" "The object has a field that is not known here.";
    RepeatedField "repeated_field" "The same field is there more than once in one object.";
    WrongType "wrong_type" "The value is of another JSON type than the one expected.";
    UnknownKind "unknown_kind" "The field \"kind\" names a kind that is not known here.";
    UnknownValue "unknown_value" "The text is not one of the values allowed here.";
    NotAnInteger "not_an_integer" "A whole number was expected and the number has a fraction.";
    OutOfRange "out_of_range" "The number is smaller or larger than allowed here.";
    NumberOutOfRange "number_out_of_range" "The number is too large to be read at all.";
    WrongLength "wrong_length" "The text or list is shorter or longer than allowed here.";
    BadText "bad_text" "The text cannot be understood as what it should say.";
    TooDeep "too_deep" "Lists and objects are nested more deeply than is read.";
    UnitMissing "unit_missing" "A quantity was given without its unit.";
    UnknownUnit "unknown_unit" "The unit is not known.";
    AmbiguousUnit "ambiguous_unit" "The unit can be understood in more than one way.";
    UnitDoesNotFit "unit_does_not_fit" "The unit measures something else than is asked for here.";
    BadNumber "bad_number" "The number inside the text cannot be read.";
    ShareWithoutPercent "share_without_percent" "A share was given without saying that it is in percent.";
    BadDate "bad_date" "The text is not a date of the calendar.";
    DatesOutOfOrder "dates_out_of_order" "A date is before one that it must follow.";
    RateDoesNotFit "rate_does_not_fit" "The rate is not of the form that is asked for here.";
    ExactlyOneOf "exactly_one_of" "Exactly one of several fields must be given.";
    UnknownAssumption "unknown_assumption" "The assumption named is not known.";
    InconsistentAssumptions "inconsistent_assumptions" "Two assumptions contradict each other.";
    ImpossibleValue "impossible_value" "The value cannot occur in a real garden.";
    ClashingName "clashing_name" "Two names that must differ are the same.";
    RepeatedId "repeated_id" "The same id is used more than once.";
    SelfCrossing "self_crossing" "The outline crosses itself.";
    TooLarge "too_large" "The request asks for more than is computed at once.";
    NotAllowedHere "not_allowed_here" "The value is fine elsewhere but has no place here.";
    UnknownParameter "unknown_parameter" "The address has a query parameter that is not known.";
    UnknownColumn "unknown_column" "The table has a column whose name is almost that of a known one, or looks like one of an answer.";
    RepeatedColumn "repeated_column" "Two columns of the table have the same name.";
    RepeatedParameter "repeated_parameter" "The same query parameter is given more than once.";
}

impl std::fmt::Display for ErrorCode {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_closed_and_snake_case() {
        let mut texts: Vec<&str> = ErrorCode::words().collect();
        assert_eq!(texts.len(), 36);
        texts.sort_unstable();
        texts.dedup();
        assert_eq!(texts.len(), 36);
        for code in ErrorCode::ALL {
            assert_eq!(ErrorCode::find(code.as_str()), Some(*code));
            assert!(code.as_str().chars().all(|c| c.is_ascii_lowercase() || c == '_'));
            assert!(code.meaning().ends_with('.'));
            let name = format!("{code:?}").to_lowercase();
            assert_eq!(code.to_string().replace('_', ""), name);
        }
        assert_eq!(ErrorCode::find("nonsense"), None);
    }
}
