//! Whether a setting can be as it was given; what cannot is refused with what to write instead.

use super::sources::{Raw, Sources};
use super::{LogForm, MetricsAt, Secret, Settings, Shown};
use crate::http::connections::TimeLimits;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

/// The longest time that a setting may name, in seconds: one hour.
const LONGEST: f64 = 3_600.0;
/// The shortest deadline and the shortest time for a part of a request, in seconds.
const SHORTEST: f64 = 0.01;
/// The most worker threads.
const MAX_WORKERS: u16 = 256;

/// A key where nobody needs one.
const NO_TOKEN: &str =
    "without a token everybody is answered, so the key has no effect; set a token as well, or leave the key out.";
/// Two servers at one address.
const SAME_ADDRESS: &str = "this is the address of the service itself; write \"on\", or another port.";

/// Settings that are read one after another, with all faults.
struct Reader {
    sources: Sources,
    faults: Vec<String>,
    shown: Vec<Shown>,
}

/// The settings, if all of them can be.
pub fn settings(mut sources: Sources) -> Result<Settings, Vec<String>> {
    let faults = std::mem::take(&mut sources.faults);
    let mut reader = Reader { sources, faults, shown: Vec::new() };
    let any = SocketAddr::from(([127, 0, 0, 1], 8080));
    let bind = reader.one("bind", address).unwrap_or(any);
    let tokens = reader.tokens();
    let origins = reader.origins();
    let workers = reader.one("workers", workers);
    let address_key = reader.secret("address-key", key);
    let deadline = reader.one("deadline", |text| seconds(text, SHORTEST)).unwrap_or_default();
    let in_flight = reader.one("in-flight", mebibytes).unwrap_or_default();
    let mut time = |name| reader.one(name, |text| seconds(text, SHORTEST)).unwrap_or_default();
    let [idle, head, body, piece] = ["idle-within", "head-within", "body-within", "read-within"].map(&mut time);
    let times = TimeLimits { idle, head, body, piece };
    let drain = reader.one("drain", |text| seconds(text, 0.0)).unwrap_or_default();
    let stop_within = reader.one("stop-within", |text| seconds(text, 0.0)).unwrap_or_default();
    let log = reader.one("log", log).unwrap_or(LogForm::Text);
    let metrics = reader.one("metrics", metrics).unwrap_or(MetricsAt::Service);
    reader.has_effect(address_key.is_none() || !tokens.is_empty(), ("address-key", NO_TOKEN));
    reader.has_effect(!meet(bind, metrics), ("metrics", SAME_ADDRESS));
    if !reader.faults.is_empty() {
        return Err(reader.faults);
    }
    let shown = reader.shown;
    Ok(Settings {
        bind,
        tokens,
        origins,
        workers,
        address_key,
        deadline,
        in_flight,
        times,
        drain,
        stop_within,
        log,
        metrics,
        shown,
    })
}

impl Reader {
    /// Notes a fault of settings that are right one by one, unless they have an effect together.
    fn has_effect(&mut self, together: bool, (name, fault): (&str, &str)) {
        if !together && self.faults.is_empty() {
            let from = self.shown.iter().find(|shown| shown.name == name).map_or(name, |shown| shown.from.as_str());
            self.faults.push(format!("{from}: {fault}"));
        }
    }

    fn one<T>(&mut self, name: &'static str, read: impl Fn(&str) -> Result<T, String>) -> Option<T> {
        let Some(Raw { text, from }) = self.sources.take(name) else {
            self.show(name, "not set".to_owned(), "default".to_owned());
            return None;
        };
        match read(text.trim()) {
            Ok(value) => {
                self.show(name, text.trim().to_owned(), from);
                Some(value)
            }
            Err(fault) => {
                self.faults.push(format!("{from}: {fault}"));
                None
            }
        }
    }

    fn show(&mut self, name: &'static str, value: String, from: String) {
        self.shown.push(Shown { name, value, from });
    }

    fn secret(&mut self, name: &'static str, read: impl Fn(&str) -> Result<Secret, String>) -> Option<Secret> {
        let value = self.one(name, read);
        if let (Some(_), Some(shown)) = (&value, self.shown.last_mut()) {
            "set".clone_into(&mut shown.value);
        }
        value
    }

    /// The tokens that are given, and those of the file.
    fn tokens(&mut self) -> Vec<Secret> {
        let mut tokens = Vec::new();
        let given = self.sources.take("token");
        let counted = |list: &[Secret]| match list.len() {
            0 => "not set".to_owned(),
            1 => "1 token".to_owned(),
            several => format!("{several} tokens"),
        };
        let from = given.as_ref().map_or_else(|| "default".to_owned(), |raw| raw.from.clone());
        if let Some(Raw { text, from }) = given {
            self.holds_some("token", (&text, &from));
            self.take_tokens(list(&text), &from, &mut tokens);
        }
        self.show("token", counted(&tokens), from);
        let Some(Raw { text: path, from }) = self.sources.take("token-file") else {
            self.show("token-file", "not set".to_owned(), "default".to_owned());
            return tokens;
        };
        let mut filed = Vec::new();
        match std::fs::read_to_string(PathBuf::from(&path)) {
            Ok(text) => {
                let lines: Vec<&str> = text.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
                if lines.is_empty() {
                    self.faults.push(format!("{from}: {path} holds no token; write one in each line."));
                }
                self.take_tokens(lines.into_iter(), &format!("{from}, {path}"), &mut filed);
            }
            Err(error) => self.faults.push(format!("{from}: {path} cannot be read: {error}.")),
        }
        self.show("token-file", format!("{path}, {}", counted(&filed)), from);
        tokens.extend(filed);
        tokens
    }

    /// Notes a list of nothing: who writes one would not be guarded as they think.
    fn holds_some(&mut self, what: &str, (text, from): (&str, &str)) {
        if list(text).next().is_none() {
            self.faults.push(format!("{from}: this list holds no {what}; write one, or leave it out."));
        }
    }

    fn take_tokens<'t>(&mut self, words: impl Iterator<Item = &'t str>, from: &str, tokens: &mut Vec<Secret>) {
        for (index, word) in words.enumerate() {
            // A token is sent in a header, which takes visible ASCII; a blank would end it.
            if word.bytes().all(|byte| byte.is_ascii_graphic()) {
                tokens.push(Secret(word.to_owned()));
            } else {
                self.faults.push(format!("{from}: token {} can never match: a header carries no blanks, control characters or letters beyond ASCII; write letters, digits and - . _ ~ + / =.", index + 1));
            }
        }
    }

    fn origins(&mut self) -> Vec<String> {
        let Some(Raw { text, from }) = self.sources.take("origins") else {
            self.show("origins", "not set".to_owned(), "default".to_owned());
            return Vec::new();
        };
        self.holds_some("origin", (&text, &from));
        let origins: Vec<String> = list(&text).map(str::to_owned).collect();
        if origins.len() > 1 && origins.iter().any(|one| one == "*") {
            self.faults.push(format!("{from}: * already means every origin; write it alone, or leave it out."));
        }
        let faults = origins.iter().filter(|one| *one != "*").filter_map(|one| Some((one, origin(one).err()?)));
        self.faults.extend(faults.map(|(one, fault)| format!("{from}: {one} can never match: {fault}")));
        self.show("origins", origins.join(", "), from);
        origins
    }
}

/// The items of a list, separated by blanks or commas.
fn list(text: &str) -> impl Iterator<Item = &str> {
    text.split(|letter: char| letter == ',' || letter.is_whitespace()).filter(|item| !item.is_empty())
}

/// Whether metrics cannot have their address beside the service: the same port, and one of them takes every address of the machine or both the
/// same. Port 0 is any that is free.
fn meet(bind: SocketAddr, metrics: MetricsAt) -> bool {
    let MetricsAt::Address(metrics) = metrics else { return false };
    // The unspecified address of version 6 takes those of version 4 too.
    let takes = |all: SocketAddr, one: SocketAddr| all.ip().is_unspecified() && (all.is_ipv6() || one.is_ipv4());
    let is_same = bind.ip() == metrics.ip() || takes(bind, metrics) || takes(metrics, bind);
    bind.port() != 0 && bind.port() == metrics.port() && is_same
}

fn address(text: &str) -> Result<SocketAddr, String> {
    let example = "write 127.0.0.1:8080, or 0.0.0.0:8080 for every address of this machine";
    text.parse().map_err(|_| format!("{text} is not an address with a port; {example}."))
}

fn workers(text: &str) -> Result<u16, String> {
    let number = text.parse().ok().filter(|number| (1..=MAX_WORKERS).contains(number));
    number.ok_or_else(|| {
        format!("{text} is not a number from 1 to {MAX_WORKERS}; write 4, or leave it out for one worker a core.")
    })
}

/// From 16 MiB, a few requests and answers of the largest, to 64 GiB.
fn mebibytes(text: &str) -> Result<usize, String> {
    let number = text.parse().ok().filter(|number: &usize| (16..=65_536).contains(number));
    let bytes = number.and_then(|number| number.checked_mul(1 << 20));
    bytes.ok_or_else(|| format!("{text} is not a number of MiB from 16 to 65536; write 128."))
}

fn seconds(text: &str, least: f64) -> Result<Duration, String> {
    let number = text.parse::<f64>().ok().filter(|number| (least..=LONGEST).contains(number));
    let refused = || format!("{text} is not a number of seconds from {least} to {LONGEST}; write 10 for ten seconds.");
    number.and_then(|number| Duration::try_from_secs_f64(number).ok()).ok_or_else(refused)
}

fn log(text: &str) -> Result<LogForm, String> {
    match text {
        "text" => Ok(LogForm::Text),
        "json" => Ok(LogForm::Json),
        "off" => Ok(LogForm::Off),
        _ => Err(format!("{text} is not a format of the log; write text, json or off.")),
    }
}

fn metrics(text: &str) -> Result<MetricsAt, String> {
    match text {
        "on" => Ok(MetricsAt::Service),
        "off" => Ok(MetricsAt::Nowhere),
        _ => {
            let refused =
                |_| format!("{text} is neither on, off nor an address with a port; write on, or 127.0.0.1:9090.");
            text.parse().map(MetricsAt::Address).map_err(refused)
        }
    }
}

/// An address has the key as it is, so it has no letter that would be encoded there.
fn key(text: &str) -> Result<Secret, String> {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~".contains(&byte);
    if text.bytes().all(plain) {
        return Ok(Secret(text.to_owned()));
    }
    Err("the key has letters that an address encodes; write letters, digits and - . _ ~ only.".to_owned())
}

/// Browsers send an origin as scheme, host in small letters, and a port that is not the usual one of the scheme.
fn origin(text: &str) -> Result<(), String> {
    let example = "write an origin as https://garden.example";
    let Some((scheme, rest)) = text.split_once("://") else {
        let host =
            text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"-.:".contains(&byte)) && text.contains('.');
        return Err(if host { format!("the scheme is missing; write https://{text}.") } else { format!("{example}.") });
    };
    let authority = rest.split(['/', '?', '#']).next().unwrap_or_default();
    let host = authority.rsplit('@').next().unwrap_or_default().to_ascii_lowercase();
    if host.contains('*') {
        return Err(
            "an origin is compared letter by letter; name each host, or write * alone for any origin.".to_owned()
        );
    }
    let is_host = |byte: u8| byte.is_ascii_alphanumeric() || b"-.:[]_".contains(&byte);
    if host.is_empty()
        || !host.bytes().all(is_host)
        || !scheme.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"+-.".contains(&byte))
    {
        return Err(format!("{example}, with letters beyond ASCII as xn--... ."));
    }
    let scheme = scheme.to_ascii_lowercase();
    let usual = match scheme.as_str() {
        "http" => ":80",
        "https" => ":443",
        _ => "",
    };
    let host = if usual.is_empty() { &host } else { host.strip_suffix(usual).unwrap_or(&host) };
    let sent = format!("{scheme}://{host}");
    if sent == text {
        Ok(())
    } else {
        Err(format!("browsers send only scheme, host and an unusual port; write {sent}."))
    }
}
