//! The settings, each once: its name is the flag, the key in the file and, in capitals, the variable.

/// One setting.
#[derive(Debug)]
pub struct Setting {
    /// The name: `stop-within` is the flag `--stop-within`, the variable `BARROWFUL_STOP_WITHIN` and the key `stop-within`.
    pub name: &'static str,
    /// What its value is, for the help.
    pub value: &'static str,
    /// What it does, for the help.
    pub help: &'static str,
    /// The value unless given.
    pub default: Option<&'static str>,
}

impl Setting {
    /// The variable of the environment.
    pub fn variable(&self) -> String {
        format!("BARROWFUL_{}", self.name.to_uppercase().replace('-', "_"))
    }
}

/// Seconds for a request unless given: five times what a request that is accepted may take.
pub const DEADLINE: u64 = 10;
/// MiB of requests and answers that are held unless given.
pub const IN_FLIGHT: usize = 128;
/// Seconds for requests that were taken before a stop, unless given: what orchestrators wait before they kill.
pub const STOP_WITHIN: u64 = 30;

/// Every setting.
pub const SETTINGS: &[Setting] = &[
    Setting {
        name: "bind",
        value: "ADDRESS:PORT",
        help: "Address and port to listen on; port 0 takes a free one",
        default: Some("127.0.0.1:8080"),
    },
    Setting {
        name: "token",
        value: "TOKENS",
        help: "Tokens, one of which every request must carry as `Authorization: Bearer TOKEN`, separated by blanks or commas",
        default: None,
    },
    Setting { name: "token-file", value: "FILE", help: "A file with more tokens, one in each line", default: None },
    Setting {
        name: "origins",
        value: "ORIGINS",
        help: "Web origins whose pages may call, separated by blanks or commas; `*` alone for any",
        default: None,
    },
    Setting {
        name: "workers",
        value: "NUMBER",
        help: "Worker threads, 1 to 256; one for each core unless given",
        default: None,
    },
    Setting {
        name: "address-key",
        value: "KEY",
        help: "A key that GET requests to cells and links may carry as `?key=KEY` in place of a token",
        default: None,
    },
    Setting {
        name: "deadline",
        value: "SECONDS",
        help: "Seconds in which a request is answered or refused",
        default: Some("10"),
    },
    Setting {
        name: "in-flight",
        value: "MIB",
        help: "MiB of large requests and answers that are held at once; what needs more is refused",
        default: Some("128"),
    },
    Setting {
        name: "idle-within",
        value: "SECONDS",
        help: "Seconds in which a kept connection has to begin its next request",
        default: Some("60"),
    },
    Setting {
        name: "head-within",
        value: "SECONDS",
        help: "Seconds in which the head of a request has to arrive",
        default: Some("15"),
    },
    Setting {
        name: "body-within",
        value: "SECONDS",
        help: "Seconds in which a body has to arrive",
        default: Some("30"),
    },
    Setting {
        name: "read-within",
        value: "SECONDS",
        help: "Seconds in which a caller has to read 64 KiB of an answer; all of it may take this time plus a second for each 16 KiB",
        default: Some("20"),
    },
    Setting {
        name: "drain",
        value: "SECONDS",
        help: "Seconds for which readiness is refused, while requests are still taken, before the service stops",
        default: Some("0"),
    },
    Setting {
        name: "stop-within",
        value: "SECONDS",
        help: "Seconds for which requests that were taken may go on once the service stops",
        default: Some("30"),
    },
    Setting {
        name: "log",
        value: "FORM",
        help: "The format of the log on standard error: text, json or off",
        default: Some("text"),
    },
    Setting {
        name: "metrics",
        value: "WHERE",
        help: "Where /metrics is served: on (by the service itself), off, or ADDRESS:PORT of its own",
        default: Some("on"),
    },
];
