//! How the service is run: flags win over `BARROWFUL_*`.

use std::net::SocketAddr;

/// The settings of `barrowful serve`.
#[must_use]
#[derive(Debug, Clone, clap::Args)]
pub struct Settings {
    /// Address and port to listen on; port 0 takes a free one.
    #[arg(long, env = "BARROWFUL_BIND", default_value = "127.0.0.1:8080", value_name = "ADDRESS:PORT")]
    pub bind: SocketAddr,

    /// A token that every question must carry as `Authorization: Bearer TOKEN`. None unless given.
    #[arg(long, env = "BARROWFUL_TOKEN", hide_env_values = true, value_parser = clap::builder::NonEmptyStringValueParser::new())]
    pub token: Option<String>,

    /// Web origins that may call from a browser, separated by commas; `*` for any. None unless given.
    #[arg(long, env = "BARROWFUL_ORIGINS", value_delimiter = ',', value_name = "ORIGIN")]
    pub origins: Vec<String>,

    /// Worker threads; one for each core unless given.
    #[arg(long, env = "BARROWFUL_WORKERS", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub workers: Option<u16>,
}

impl Settings {
    /// Listens on a free port of this machine only, without a token: for `ask` and for tests.
    pub fn local() -> Self {
        Self { bind: SocketAddr::from(([127, 0, 0, 1], 0)), token: None, origins: Vec::new(), workers: Some(1) }
    }
}
