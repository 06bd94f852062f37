//! The token of a service, from where the caller keeps it.

use super::AskArgs;
use crate::http::present::words::clean;

/// The token by option, environment or file; `None` where none is given.
///
/// # Errors
/// A sentence when the file cannot be read or has no token.
pub(super) fn read(args: &AskArgs) -> Result<Option<String>, String> {
    if let Some(token) = args.token.as_deref().map(str::trim).filter(|token| !token.is_empty()) {
        return Ok(Some(token.to_owned()));
    }
    let Some(file) = args.token_file.as_deref().filter(|file| !file.as_os_str().is_empty()) else { return Ok(None) };
    let name = clean(&file.display().to_string());
    let text = std::fs::read_to_string(file).map_err(|error| format!("{name} could not be read: {error}."))?;
    let token = text.lines().map(str::trim).find(|line| !line.is_empty());
    token.map(|token| Some(token.to_owned())).ok_or_else(|| format!("{name} has no token: write it on the first line."))
}
