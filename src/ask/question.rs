//! Reading the request file and telling from its fields which question it asks.

use std::io::Read;
use std::path::Path;

use serde_json::Value;

use crate::http::present::words::clean;
use crate::http::resources::resource::{OF_A_SEASON, Resource};

/// Every question and the request fields that give it away.
const SIGNS: [(Resource, &[&str]); 7] = [
    (Resource::Applications, &["areas"]),
    (Resource::Harvests, &["worm_beds", "heaps"]),
    (Resource::Brews, &["brews"]),
    (Resource::Balances, &["stock", "demands"]),
    (Resource::Feeds, &["materials"]),
    (Resource::WormBeds, &["feed_supply", "castings_needed"]),
    (Resource::Calibrations, &["records"]),
];

/// A request as it was read.
#[derive(Debug)]
pub(super) struct Request {
    /// Which question it asks.
    pub resource: Resource,
    /// The file, byte for byte: this is what is sent.
    pub bytes: Vec<u8>,
    /// What the file is called in messages.
    pub file: String,
    /// Whether it is JSON.
    pub is_json: bool,
}

/// Reads the file, or standard input for `-`. With `named` the content is not judged here at all.
pub(super) fn read(file: &Path, named: Option<Resource>) -> Result<Request, String> {
    let bytes = bytes_of(file)?;
    let parsed = serde_json::from_slice::<Value>(bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes));
    let resource = match (named, &parsed) {
        (Some(resource), _) => resource,
        (None, Ok(content)) => find(content).map_err(|why| format!("{}: {why}", name_of(file)))?,
        (None, Err(_)) => return Err(not_json(&bytes, file)),
    };
    Ok(Request { resource, is_json: parsed.is_ok(), bytes, file: name_of(file) })
}

/// What keeps a file from being JSON, as the service says it.
fn not_json(bytes: &[u8], file: &Path) -> String {
    let name = name_of(file);
    match crate::http::wire::parse(bytes) {
        Err(fault) => format!("{name} is not JSON. {fault}"),
        // The one reader takes what the other does not: the service is asked what it is.
        Ok(_) => format!("{name} does not show which question it asks.\n{}", choices()),
    }
}

fn bytes_of(file: &Path) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    open(file)?.read_to_end(&mut bytes).map_err(|error| format!("{} could not be read: {error}.", name_of(file)))?;
    Ok(bytes)
}

/// The file to read from, or standard input for `-`.
pub(super) fn open(file: &Path) -> Result<Box<dyn Read + Send>, String> {
    if file.as_os_str() == "-" {
        return Ok(Box::new(std::io::stdin()));
    }
    let opened = std::fs::File::open(file).map_err(|error| format!("{} could not be read: {error}.", name_of(file)))?;
    Ok(Box::new(opened))
}

/// What a file is called in messages.
pub(super) fn name_of(file: &Path) -> String {
    if file.as_os_str() == "-" { "Standard input".to_owned() } else { clean(&file.display().to_string()) }
}

/// Which question the fields belong to.
///
/// # Errors
/// When no field tells, or there are fields of several questions: a sentence that lists the resources.
pub(super) fn find(content: &Value) -> Result<Resource, String> {
    let has = |fields: &[&str]| fields.iter().any(|field| content.get(field).is_some());
    // Demands without stock are a season as well: a balance needs both.
    if has(&["demands"]) && !has(&["areas", "heaps", "brews", "materials"]) && (has(&OF_A_SEASON) || !has(&["stock"])) {
        return Ok(Resource::Seasons);
    }
    let found: Vec<Resource> = SIGNS.iter().filter(|(_, fields)| has(fields)).map(|(resource, _)| *resource).collect();
    match found.as_slice() {
        [one] => Ok(*one),
        [] => Err(format!("no field shows which question this is.\n{}", choices())),
        several => {
            let names: Vec<&str> = several.iter().map(|resource| resource.name()).collect();
            Err(format!("the fields belong to several questions ({}).\n{}", names.join(", "), choices()))
        }
    }
}

/// One line for each resource, with the fields that belong to it.
fn choices() -> String {
    let lines = SIGNS.iter().map(|(resource, fields)| format!("  {:<13} has {}", resource.name(), fields.join(" or ")));
    let season = format!("  {:<13} has demands, and {} or no stock", "seasons", OF_A_SEASON.join(", "));
    let list: Vec<String> = lines.chain([season]).collect();
    format!("A request for\n{}\n--resource names the question outright.", list.join("\n"))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn each_question_is_known_by_its_fields() {
        assert_eq!(find(&json!({"containers": [], "areas": []})), Ok(Resource::Applications));
        assert_eq!(find(&json!({"worm_beds": []})), Ok(Resource::Harvests));
        assert_eq!(find(&json!({"heaps": []})), Ok(Resource::Harvests));
        assert_eq!(find(&json!({"worm_beds": [], "heaps": []})), Ok(Resource::Harvests));
        assert_eq!(find(&json!({"brews": []})), Ok(Resource::Brews));
        assert_eq!(find(&json!({"stock": []})), Ok(Resource::Balances));
        assert_eq!(find(&json!({"demands": []})), Ok(Resource::Seasons));
        assert_eq!(find(&json!({"stock": [], "demands": [], "additional_production": {}})), Ok(Resource::Balances));
        for of_a_season in OF_A_SEASON {
            assert_eq!(find(&json!({"stock": [], "demands": [], of_a_season: null})), Ok(Resource::Seasons));
        }
        assert_eq!(find(&json!({"stock": [], "demands": []})), Ok(Resource::Balances));
    }

    #[test]
    fn a_file_that_does_not_tell_gets_the_list() {
        for content in [json!({"beds": []}), json!([]), json!("areas"), json!(null)] {
            let message = find(&content).unwrap_err();
            for resource in ["applications", "harvests", "brews", "balances", "--resource"] {
                assert!(message.contains(resource), "{message}");
            }
        }
    }

    #[test]
    fn fields_of_two_questions_are_not_guessed_at() {
        let message = find(&json!({"areas": [], "stock": []})).unwrap_err();
        assert!(message.contains("several questions (applications, balances)"), "{message}");
    }

    #[test]
    fn names_on_the_command_line_are_the_names_in_the_address() {
        use clap::ValueEnum;
        for resource in Resource::value_variants() {
            assert_eq!(resource.to_possible_value().unwrap().get_name(), resource.name());
        }
    }

    #[test]
    fn a_missing_file_is_named() {
        let message = read(Path::new("/nowhere/beds\u{1b}[31m.json"), None).unwrap_err();
        assert!(message.contains("could not be read") && !message.contains('\u{1b}'), "{message}");
    }
}
