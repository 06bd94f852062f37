//! Reads the command; everything else is in the library.

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// How much worm castings each row, bed, pot and brew gets, and where stock falls short.
#[derive(Debug, Parser)]
#[command(name = "barrowful", version, about)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run the service (also without any command).
    Serve(barrowful::http::settings::Settings),
    /// Print the OpenAPI document.
    Openapi {
        /// Print one line for each operation instead.
        #[arg(long)]
        operations: bool,
    },
    /// Send a request file to a service, or to one started for it, and print the answer.
    #[cfg(feature = "client")]
    Ask(barrowful::ask::AskArgs),
    /// Ask a service whether it is ready; exits with 0 if it is.
    #[cfg(feature = "client")]
    Healthcheck {
        /// The address of the service; the port of BARROWFUL_BIND on this machine unless given.
        #[arg(long, env = "BARROWFUL_URL")]
        to: Option<String>,
        /// Where the service listens, as `serve` reads it.
        #[arg(long, env = "BARROWFUL_BIND", default_value = "127.0.0.1:8080", hide = true)]
        bind: std::net::SocketAddr,
    },
}

fn main() -> ExitCode {
    let command = Cli::parse().command.or_else(|| Cli::parse_from(["barrowful", "serve"]).command);
    match command {
        Some(Command::Serve(settings)) => match barrowful::http::server::serve(&settings) {
            Ok(()) => ExitCode::SUCCESS,
            Err(error) => {
                eprintln!("barrowful cannot listen on {}: {error}", settings.bind);
                ExitCode::FAILURE
            }
        },
        Some(Command::Openapi { operations }) => {
            let api = barrowful::http::document();
            let text = if operations {
                barrowful::http::document::operations(&api)
            } else {
                barrowful::http::document::text(&api)
            };
            print!("{text}");
            ExitCode::SUCCESS
        }
        #[cfg(feature = "client")]
        Some(Command::Ask(args)) => client::ask(&args),
        #[cfg(feature = "client")]
        Some(Command::Healthcheck { to, bind }) => match barrowful::ask::healthcheck(&client::address(to, bind)) {
            Ok(()) => ExitCode::SUCCESS,
            Err(error) => {
                eprintln!("{error}");
                ExitCode::FAILURE
            }
        },
        None => ExitCode::FAILURE,
    }
}

#[cfg(feature = "client")]
mod client {
    use barrowful::ask::{AskArgs, Running, run};
    use barrowful::http::server;
    use barrowful::http::settings::Settings;
    use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr};
    use std::process::ExitCode;

    struct Local(server::Running);

    impl Running for Local {
        fn url(&self) -> String {
            self.0.url()
        }
    }

    /// The address to ask for health: the one given, else where the service listens, by way of loopback where it listens
    /// on every address.
    pub fn address(to: Option<String>, mut bind: SocketAddr) -> String {
        if bind.ip().is_unspecified() {
            bind.set_ip(if bind.is_ipv6() { Ipv6Addr::LOCALHOST.into() } else { Ipv4Addr::LOCALHOST.into() });
        }
        to.unwrap_or_else(|| format!("http://{bind}"))
    }

    /// Asks, and starts a service for it where none is named.
    pub fn ask(args: &AskArgs) -> ExitCode {
        let start =
            || -> Result<Box<dyn Running>, String> { Ok(Box::new(Local(server::Running::start(Settings::local())?))) };
        let code = run(args, start, &mut std::io::stdout().lock(), &mut std::io::stderr().lock());
        u8::try_from(code).map_or(ExitCode::FAILURE, ExitCode::from)
    }
}
