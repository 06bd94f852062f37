//! The token of a service, from where the caller keeps it.

use super::AskArgs;
use crate::http::present::words::clean;
use std::ffi::OsString;
use std::path::Path;

/// The variable that holds the token.
const TOKEN: &str = "BARROWFUL_TOKEN";
/// The variable that names a file with the token.
const TOKEN_FILE: &str = "BARROWFUL_TOKEN_FILE";

/// The token by option, environment or file; `None` where none is given. An option wins over a variable, and a variable that is empty counts
/// as not set.
///
/// # Errors
/// A sentence when the file cannot be read or has no token.
pub(super) fn read(args: &AskArgs, variable: impl Fn(&str) -> Option<OsString>) -> Result<Option<String>, String> {
    let set = |name| variable(name).filter(|value| !value.is_empty());
    match (&args.token, &args.token_file, set(TOKEN), set(TOKEN_FILE)) {
        (Some(token), ..) => first(token).map(Some).ok_or_else(|| "--token is empty.".to_owned()),
        (None, Some(file), ..) => of_file(file).map(Some),
        (None, None, Some(token), _) => Ok(first(&token.to_string_lossy())),
        (None, None, None, Some(file)) => of_file(Path::new(&file)).map(Some),
        (None, None, None, None) => Ok(None),
    }
}

fn of_file(file: &Path) -> Result<String, String> {
    let name = clean(&file.display().to_string());
    let text = std::fs::read_to_string(file).map_err(|error| format!("{name} could not be read: {error}."))?;
    first(&text).ok_or_else(|| format!("{name} has no token: write it on the first line."))
}

/// The first token of a text: a service takes several, so that they can be changed.
fn first(text: &str) -> Option<String> {
    text.split(|c: char| c.is_whitespace() || c == ',').find(|token| !token.is_empty()).map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_option_wins_over_a_variable_and_an_empty_one_is_not_set() {
        let file = crate::ask::tests::file("token", "\n of-file next\n");
        let path = || Some(file.clone());
        let args = |token: Option<&str>, token_file| AskArgs {
            token: token.map(str::to_owned),
            token_file,
            ..AskArgs::default()
        };
        for (args, token, in_file, wanted) in [
            (args(None, None), "", "", None),
            (args(None, None), "of-variable, older", "", Some("of-variable")),
            (args(None, None), "", file.to_str().unwrap(), Some("of-file")),
            (args(None, None), "of-variable", file.to_str().unwrap(), Some("of-variable")),
            (args(Some("of-option"), None), "of-variable", "/nowhere", Some("of-option")),
            (args(None, path()), "of-variable", "/nowhere", Some("of-file")),
        ] {
            let variable = |name: &str| Some(OsString::from(if name == TOKEN { token } else { in_file }));
            assert_eq!(read(&args, variable).unwrap().as_deref(), wanted, "{token:?} {in_file:?}");
        }
        assert!(read(&args(None, Some("/nowhere".into())), |_| None).unwrap_err().contains("could not be read"));
        assert!(read(&args(Some(" "), None), |_| None).is_err());
    }
}
