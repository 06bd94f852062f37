//! The caller's own containers: "a bucket holds 12 L".

use super::quantity::{Dimension, Mass, Volume};
use super::table;
use crate::garden::refusal::{Reason, Refusal};
use std::sync::Arc;
use unicode_normalization::UnicodeNormalization;

/// What one container holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Capacity {
    /// A volume as it lies.
    Volume(Volume),
    /// A mass.
    Mass(Mass),
}

/// What a container is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ContainerName {
    /// Its name, as the caller wrote it.
    pub one: String,
    /// What several of it are called.
    pub several: String,
}

/// A container of the caller's.
#[derive(Debug, Clone, PartialEq)]
pub struct Container {
    /// What it is called, once for all amounts that are counted in it.
    pub name: Arc<ContainerName>,
    /// What it holds.
    pub holds: Capacity,
    keys: Vec<String>,
    is_refused: bool,
}

impl Container {
    /// Whether its name or what it holds was refused: only its names are known.
    #[must_use]
    pub(super) const fn is_refused(&self) -> bool {
        self.is_refused
    }

    /// What the container is a container of.
    #[must_use]
    pub const fn dimension(&self) -> Dimension {
        match self.holds {
            Capacity::Volume(_) => Dimension::Volume,
            Capacity::Mass(_) => Dimension::Mass,
        }
    }

    /// Base units (L or kg) in one container.
    #[must_use]
    pub const fn factor(&self) -> f64 {
        match self.holds {
            Capacity::Volume(volume) => volume.litres(),
            Capacity::Mass(mass) => mass.kilograms(),
        }
    }
}

/// The containers of one request, in the order given. All copies share them.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Containers(Arc<Vec<Container>>);

impl Containers {
    /// Adds a container. The plural is the name itself, +s and +es unless one is given. Of one that is refused, or of which what it holds
    /// was refused before (`None`), the names are kept, so that its uses are not refused as those of an unknown unit.
    ///
    /// # Errors
    /// `bad_text` if a name is not 1 to 40 letters, digits, spaces, `-` and `'` beginning with a letter, or ends in `low` or `high`;
    /// `clashing_name` if it is the name of a unit or of an earlier container. The refusal names the field.
    pub fn add(&mut self, name: &str, plural: Option<&str>, holds: impl Into<Option<Capacity>>) -> Result<(), Refusal> {
        let (checked, holds) = (self.checked_keys(name, plural), holds.into());
        let is_refused = checked.is_err() || holds.is_none();
        let keys = checked.as_ref().map_or_else(|_| all_keys(name, plural), Clone::clone);
        let several = plural.map_or_else(|| usual_plural(name), str::to_owned);
        let name = Arc::new(ContainerName { one: name.to_owned(), several });
        let holds = holds.unwrap_or(Capacity::Volume(Volume::from_base(1.0)));
        Arc::make_mut(&mut self.0).push(Container { name, holds, keys, is_refused });
        checked.map(|_| ())
    }

    /// The names under which a container is found, none of which is that of a unit or of another container.
    fn checked_keys(&self, name: &str, plural: Option<&str>) -> Result<Vec<String>, Refusal> {
        check_name(name).map_err(|e| e.at("name"))?;
        let key = fold(name);
        self.check_free(&key).map_err(|e| e.at("name"))?;
        let mut keys = vec![key.clone()];
        match plural {
            Some(plural) => {
                check_name(plural).map_err(|e| e.at("plural"))?;
                let folded = fold(plural);
                self.check_free(&folded).map_err(|e| e.at("plural"))?;
                keys.push(folded);
            }
            None => {
                keys.extend([format!("{key}s"), format!("{key}es")].into_iter().filter(|k| self.check_free(k).is_ok()))
            }
        }
        Ok(keys)
    }

    fn check_free(&self, key: &str) -> Result<(), Refusal> {
        if table::find(key).is_some() || table::ambiguous(key).is_some_and(|entry| !entry.is_kitchen_measure()) {
            let detail = format!("\"{key}\" is the name of a unit; choose another name, for example \"my {key}\"");
            return Err(Refusal::new(Reason::ClashingName, detail));
        }
        match self.find(key) {
            Some(other) => {
                let detail = format!("\"{key}\" is already a name of \"{}\"; choose another name", other.name.one);
                Err(Refusal::new(Reason::ClashingName, detail))
            }
            None => Ok(()),
        }
    }

    /// Finds a container by its name or plural, in any case and with any white space.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Container> {
        if self.0.is_empty() {
            return None;
        }
        let key = fold(name);
        self.0.iter().find(|container| container.keys.contains(&key))
    }

    /// The containers in the order given.
    pub fn iter(&self) -> impl Iterator<Item = &Container> {
        self.0.iter()
    }

    /// True if there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// The names of a container, unchecked.
fn all_keys(name: &str, plural: Option<&str>) -> Vec<String> {
    let key = fold(name);
    let plurals = plural.map_or_else(|| vec![format!("{key}s"), format!("{key}es")], |plural| vec![fold(plural)]);
    if key.is_empty() { Vec::new() } else { [vec![key], plurals].concat() }
}

/// What several are called unless the caller says it: `buckets`, `boxes`.
fn usual_plural(name: &str) -> String {
    let hisses = ["s", "x", "z", "ch", "sh"].iter().any(|end| name.ends_with(end));
    format!("{name}{}", if hisses { "es" } else { "s" })
}

/// NFKC, case folding and white-space folding. Letters go by way of their capitals, so that "ς" is "σ" and "ß" is "ss".
fn fold(name: &str) -> String {
    if name.is_ascii() {
        return spaced(&name.to_ascii_lowercase());
    }
    let folded: String = name.nfkc().flat_map(char::to_uppercase).flat_map(char::to_lowercase).nfkc().collect();
    spaced(&folded)
}

/// With one space between words and none around them.
fn spaced(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Refuses names that a table could not tell from the bounds of an amount.
fn check_end(name: &str) -> Result<(), Refusal> {
    let folded = fold(name);
    match folded.rsplit(' ').next().filter(|last| ["low", "high"].contains(last)) {
        Some(last) => {
            let detail = format!(
                "a name must not end in \"{last}\", which names a bound of an amount in tables; put it first, as in \"{last} bucket\""
            );
            Err(Refusal::new(Reason::BadText, detail))
        }
        None => Ok(()),
    }
}

fn check_name(name: &str) -> Result<(), Refusal> {
    let count = name.chars().count();
    let accepted = |c: char| c.is_alphanumeric() || c == ' ' || c == '-' || c == '\'';
    if (1..=40).contains(&count) && name.chars().all(accepted) && name.chars().next().is_some_and(char::is_alphabetic) {
        return check_end(name);
    }
    let detail = "a name must have 1 to 40 letters, digits, spaces, - and ', and start with a letter, as in \
                  \"bucket\"";
    Err(Refusal::new(Reason::BadText, detail))
}
