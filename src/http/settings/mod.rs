//! How the service is run. Flags win over variables of the environment, and these over the file; every fault is reported at once.

mod checks;
mod sources;
mod table;

pub use sources::{Environment, Flags};

use super::connections::TimeLimits;
use std::fmt;
use std::net::{Ipv4Addr, SocketAddr};
use std::time::Duration;

/// A word that is compared and never shown.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(pub String);

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("(secret)")
    }
}

/// In which format the service logs what it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LogForm {
    /// Lines for people.
    Text,
    /// One JSON object a line.
    Json,
    /// Nothing but where it listens.
    Off,
}

/// Where the figures for monitoring are served.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MetricsAt {
    /// At `/metrics` of the service itself.
    Service,
    /// At `/metrics` of an address of its own.
    Address(SocketAddr),
    /// Nowhere.
    Nowhere,
}

/// The settings of `barrowful serve`.
#[must_use]
#[derive(Debug, Clone)]
pub struct Settings {
    /// Address and port to listen on; port 0 takes a free one.
    pub bind: SocketAddr,
    /// The tokens of which every question must carry one. Without any, all questions are answered.
    pub tokens: Vec<Secret>,
    /// The web origins whose pages may call; `*` alone for any.
    pub origins: Vec<String>,
    /// Worker threads; one for each core unless given.
    pub workers: Option<u16>,
    /// The key that GET requests may carry in their address in place of a token.
    pub address_key: Option<Secret>,
    /// The time in which a request is answered or refused.
    pub deadline: Duration,
    /// Bytes of large requests and answers that are held at once.
    pub in_flight: usize,
    /// How long a connection may take.
    pub times: TimeLimits,
    /// How long readiness is refused before the service stops taking requests.
    pub drain: Duration,
    /// How long requests that were taken may go on after that.
    pub stop_within: Duration,
    /// The format of the log.
    pub log: LogForm,
    /// Where the metrics are.
    pub metrics: MetricsAt,
    /// Each setting as it is shown, with where it comes from; secrets only as their number.
    pub shown: Vec<Shown>,
}

/// A setting as it is shown.
#[derive(Debug, Clone)]
pub struct Shown {
    /// Its name.
    pub name: &'static str,
    /// Its value, of secrets the number.
    pub value: String,
    /// Where the value comes from.
    pub from: String,
}

impl Settings {
    /// Reads the settings from flags, environment and file.
    ///
    /// # Errors
    /// Every fault of every setting, each in a sentence.
    pub fn read(flags: &Flags, environment: &Environment) -> Result<Self, Vec<String>> {
        checks::settings(sources::Sources::gather(flags, environment)?)
    }

    /// Listens on a free port of this machine only, without a token and without a log: for `ask` and for tests.
    pub fn local() -> Self {
        Self {
            bind: SocketAddr::from((Ipv4Addr::LOCALHOST, 0)),
            tokens: Vec::new(),
            origins: Vec::new(),
            workers: Some(1),
            address_key: None,
            deadline: Duration::from_secs(table::DEADLINE),
            in_flight: table::IN_FLIGHT << 20,
            times: TimeLimits::default(),
            drain: Duration::ZERO,
            stop_within: Duration::from_secs(table::STOP_WITHIN),
            log: LogForm::Off,
            metrics: MetricsAt::Service,
            shown: Vec::new(),
        }
    }
}

impl fmt::Display for Settings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for Shown { name, value, from } in &self.shown {
            writeln!(f, "{name:<12} {value} ({from})")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_anything_given_the_defaults_hold() {
        let read = Settings::read(&Flags::default(), &Environment::new()).unwrap();
        let local = Settings::local();
        assert_eq!((read.deadline, read.drain, read.stop_within), (local.deadline, local.drain, local.stop_within));
        assert_eq!((read.in_flight, read.times), (local.in_flight, local.times));
        assert_eq!((read.metrics, read.log), (local.metrics, LogForm::Text));
        assert_eq!(read.shown.len(), table::SETTINGS.len());
    }
}
