//! Where settings come from: flags, then the environment, then the file, then the default.

use super::table::{SETTINGS, Setting};
use crate::http::wire::nearest;
use clap::{Arg, ArgAction, ArgMatches, Command};
use std::collections::BTreeMap;
use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

/// The variables of the environment.
pub type Environment = BTreeMap<OsString, OsString>;

/// How variables of this program begin.
const PREFIX: &str = "BARROWFUL_";
/// The variable that names the file.
const CONFIG: &str = "BARROWFUL_CONFIG";
/// The variable that names the service to ask: the commands that ask read it.
const URL: &str = "BARROWFUL_URL";

/// The flags of `barrowful serve`.
#[derive(Debug, Clone, Default)]
pub struct Flags {
    given: BTreeMap<&'static str, String>,
    config: Option<PathBuf>,
    /// Only check the settings and print them.
    pub check: bool,
}

impl Flags {
    /// The flag of a setting, set to a value.
    #[must_use]
    pub fn with(mut self, name: &str, value: &str) -> Self {
        let setting = SETTINGS.iter().find(|setting| setting.name == name);
        self.given.extend(setting.map(|setting| (setting.name, value.to_owned())));
        self
    }
}

impl clap::FromArgMatches for Flags {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut flags = Self::default();
        flags.update_from_arg_matches(matches)?;
        Ok(flags)
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        for Setting { name, .. } in SETTINGS {
            let values: Vec<&str> =
                matches.get_many::<String>(name).into_iter().flatten().map(String::as_str).collect();
            if !values.is_empty() {
                self.given.insert(name, values.join(","));
            }
        }
        self.config = matches.get_one::<PathBuf>("config").cloned();
        self.check = matches.get_flag("check");
        Ok(())
    }
}

impl clap::Args for Flags {
    fn augment_args(command: Command) -> Command {
        let lists = ["token", "origins"];
        let arg_of = |setting: &Setting| {
            let default = setting.default.map(|value| format!(" [default: {value}]")).unwrap_or_default();
            let action = if lists.contains(&setting.name) { ArgAction::Append } else { ArgAction::Set };
            let arg = Arg::new(setting.name).long(setting.name).value_name(setting.value).action(action);
            arg.allow_hyphen_values(true).help(format!("{}{default} [env: {}]", setting.help, setting.variable()))
        };
        let config = Arg::new("config").long("config").value_name("FILE").value_parser(clap::value_parser!(PathBuf));
        let check = Arg::new("check").long("check").action(ArgAction::SetTrue);
        command
            .args(SETTINGS.iter().map(arg_of))
            .arg(config.help(format!("A TOML file of settings, with their names as keys [env: {CONFIG}]")))
            .arg(check.help("Check the settings, print them without secrets, and end: 0 if all are right, else 2"))
            .after_help("Flags win over variables of the environment, and these over the file. An empty variable counts as not set.")
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

/// A value as it was given, with where.
#[derive(Debug, Clone)]
pub struct Raw {
    /// The value.
    pub text: String,
    /// Where it was given, as messages name it.
    pub from: String,
}

/// What was given of every setting.
#[derive(Debug, Default)]
pub struct Sources {
    values: BTreeMap<&'static str, Raw>,
    /// What could not be read, in sentences.
    pub faults: Vec<String>,
}

impl Sources {
    /// Gathers what was given.
    ///
    /// # Errors
    /// When the file cannot be read: what it would say of the other settings is not known then.
    pub fn gather(flags: &Flags, environment: &Environment) -> Result<Self, Vec<String>> {
        let mut sources = Self::default();
        let variable = |name: &str| environment.get(OsStr::new(name)).cloned();
        let config = flags.config.clone().or_else(|| variable(CONFIG).filter(|v| !v.is_empty()).map(PathBuf::from));
        if let Some(path) = config {
            sources.file(&path).map_err(|fault| vec![fault])?;
        }
        sources.faults.extend(unknown(environment));
        for setting in SETTINGS {
            let name = setting.variable();
            match variable(&name).map(OsString::into_string) {
                Some(Ok(text)) if !text.trim().is_empty() => sources.put(setting.name, text, name),
                Some(Err(_)) => sources.faults.push(format!("{name}: this is not UTF-8; write it in UTF-8.")),
                _ => {}
            }
            let flag = format!("--{}", setting.name);
            match flags.given.get(setting.name) {
                Some(text) if text.trim().is_empty() => {
                    sources.faults.push(format!("{flag}: this is empty; give a value, or leave the flag out."));
                }
                Some(text) => sources.put(setting.name, text.clone(), flag),
                None => {}
            }
        }
        Ok(sources)
    }

    fn put(&mut self, name: &'static str, text: String, from: String) {
        self.values.insert(name, Raw { text, from });
    }

    /// Takes the value of a setting, or its default.
    pub fn take(&mut self, name: &str) -> Option<Raw> {
        let default = || SETTINGS.iter().find(|setting| setting.name == name)?.default;
        self.values
            .remove(name)
            .or_else(|| default().map(|text| Raw { text: text.to_owned(), from: "default".to_owned() }))
    }

    fn file(&mut self, path: &PathBuf) -> Result<(), String> {
        let shown = path.display();
        let text = std::fs::read_to_string(path)
            .map_err(|error| format!("{shown}: this file of settings cannot be read: {error}."))?;
        let table = text.parse::<toml::Table>().map_err(|error| {
            let before = error.span().and_then(|span| text.get(..span.start)).unwrap_or_default();
            let line = before.matches('\n').count() + 1;
            format!(
                "{shown}: this is not TOML at line {line}: {}. An example of a line: bind = \"127.0.0.1:8080\"",
                error.message()
            )
        })?;
        for (key, value) in table {
            let from = format!("{key} in {shown}");
            let Some(setting) = SETTINGS.iter().find(|setting| setting.name == key) else {
                let names: Vec<&str> = SETTINGS.iter().map(|setting| setting.name).collect();
                self.faults.push(format!("{from}: {}", no_such(&key, &names)));
                continue;
            };
            match words(&value) {
                Some(text) if text.trim().is_empty() => {}
                Some(text) => self.put(setting.name, text, from),
                None => {
                    self.faults.push(format!("{from}: write it as text, as in {key} = \"...\", or as a list of texts."))
                }
            }
        }
        Ok(())
    }
}

/// Variables that look like settings and are none, as a misspelt token would be. Those by which orchestrators name services are none
/// of ours.
fn unknown(environment: &Environment) -> impl Iterator<Item = String> {
    let names = environment.keys().filter_map(|name| name.to_str());
    let ours = names.filter(|name| name.starts_with(PREFIX) && ![CONFIG, URL].contains(name));
    let of_services = |name: &str| name.ends_with("_PORT") || name.contains("_PORT_") || name.contains("_SERVICE_");
    let unknown = ours.filter(move |name| !of_services(name) && SETTINGS.iter().all(|s| s.variable() != **name));
    unknown.map(|name| {
        let all: Vec<String> = SETTINGS.iter().map(Setting::variable).collect();
        let all: Vec<&str> = all.iter().map(String::as_str).chain([CONFIG]).collect();
        format!("{name}: {}", no_such(name, &all))
    })
}

/// A setting that there is not: the nearest, and all there are.
fn no_such(name: &str, all: &[&str]) -> String {
    let meant =
        nearest(name, all).map(|near| format!("did you mean {near}? There")).unwrap_or_else(|| "there".to_owned());
    format!("there is no such setting; {meant} are {}.", all.join(", "))
}

/// A value of the file as a flag would have it; `None` for what no setting is.
fn words(value: &toml::Value) -> Option<String> {
    match value {
        toml::Value::String(text) => Some(text.clone()),
        toml::Value::Integer(number) => Some(number.to_string()),
        toml::Value::Float(number) => Some(number.to_string()),
        toml::Value::Array(items) => {
            let items: Option<Vec<&str>> = items.iter().map(toml::Value::as_str).collect();
            items.map(|items| items.join(","))
        }
        _ => None,
    }
}
