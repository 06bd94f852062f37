//! Reads the command; everything else is in the library.

use barrowful::http::server::Stopped;
use barrowful::http::settings::{Flags, Settings};
use clap::{CommandFactory, Parser, Subcommand};
use std::io::{self, Write};
use std::process::ExitCode;

/// Memory is given back after load; the system's allocator would keep most of it.
#[cfg(not(target_env = "msvc"))]
#[global_allocator]
static ALLOCATOR: tikv_jemallocator::Jemalloc = tikv_jemallocator::Jemalloc;

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
    Serve(Flags),
    /// Print the OpenAPI document.
    Openapi {
        /// Print one line for each operation instead.
        #[arg(long)]
        operations: bool,
    },
    /// Send request files to a service, or to one started for them, and print the answers.
    #[cfg(feature = "client")]
    Ask(barrowful::ask::AskArgs),
    /// Print what a shell needs to complete commands and options.
    #[cfg(feature = "client")]
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Ask a service whether it is ready; exits with 0 if it is.
    #[cfg(feature = "client")]
    Healthcheck {
        /// The address of the service; on this machine, where `serve` listens by its settings, unless given.
        #[arg(long, env = "BARROWFUL_URL")]
        to: Option<String>,
    },
}

/// The status of a command whose settings or flags are wrong, as clap has it.
const WRONG_SETTINGS: u8 = 2;

/// The settings, or what is wrong with them on standard error.
fn settings(flags: &Flags) -> Option<Settings> {
    let read = Settings::read(flags, &std::env::vars_os().collect());
    read.inspect_err(|faults| faults.iter().for_each(|fault| eprintln!("{fault}"))).ok()
}

/// Writes to standard output. A reader that has enough and closes it is no failure.
fn show(text: &[u8]) -> ExitCode {
    match io::stdout().write_all(text) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            eprintln!("barrowful cannot write: {error}");
            ExitCode::FAILURE
        }
        _ => ExitCode::SUCCESS,
    }
}

/// Runs the service, or only checks its settings.
fn run(flags: &Flags) -> ExitCode {
    let Some(settings) = settings(flags) else { return ExitCode::from(WRONG_SETTINGS) };
    if flags.check {
        return show(settings.to_string().as_bytes());
    }
    match barrowful::http::server::serve(&settings) {
        Ok(Stopped::InOrder) => ExitCode::SUCCESS,
        Ok(Stopped::CutOff) => ExitCode::FAILURE,
        Err(error) => {
            eprintln!("barrowful cannot listen on {error}");
            ExitCode::FAILURE
        }
    }
}

fn main() -> ExitCode {
    let command = Cli::parse().command.or_else(|| Cli::parse_from(["barrowful", "serve"]).command);
    match command {
        Some(Command::Serve(flags)) => run(&flags),
        Some(Command::Openapi { operations }) => {
            let api = barrowful::http::document();
            let text = if operations {
                barrowful::http::document::operations(&api)
            } else {
                barrowful::http::document::text(&api)
            };
            show(text.as_bytes())
        }
        #[cfg(feature = "client")]
        Some(Command::Ask(args)) => client::ask(&args),
        #[cfg(feature = "client")]
        Some(Command::Completions { shell }) => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Cli::command(), "barrowful", &mut script);
            show(&script)
        }
        #[cfg(feature = "client")]
        Some(Command::Healthcheck { to }) => client::check(to),
        None => ExitCode::FAILURE,
    }
}

#[cfg(feature = "client")]
mod client {
    use barrowful::ask::{ANSWER_WITHIN, AskArgs, Running, run};
    use barrowful::http::server;
    use barrowful::http::settings::{Flags, Settings};
    use std::net::{Ipv4Addr, Ipv6Addr};
    use std::process::ExitCode;

    struct Local(server::Running);

    impl Running for Local {
        fn url(&self) -> String {
            self.0.url()
        }
    }

    /// Asks whether a service is ready: the one named, else the one that is run here with the same settings, by way of loopback where
    /// it listens on every address.
    pub fn check(to: Option<String>) -> ExitCode {
        let here = || {
            let mut bind = crate::settings(&Flags::default())?.bind;
            if bind.ip().is_unspecified() {
                bind.set_ip(if bind.is_ipv6() { Ipv6Addr::LOCALHOST.into() } else { Ipv4Addr::LOCALHOST.into() });
            }
            Some(format!("http://{bind}"))
        };
        let Some(address) = to.filter(|address| !address.is_empty()).or_else(here) else {
            return ExitCode::from(crate::WRONG_SETTINGS);
        };
        match barrowful::ask::healthcheck(&address) {
            Ok(()) => ExitCode::SUCCESS,
            Err(error) => {
                eprintln!("{error}");
                ExitCode::FAILURE
            }
        }
    }

    /// Asks, and starts a service for it where none is named.
    pub fn ask(args: &AskArgs) -> ExitCode {
        // Nobody else waits for this one.
        let settings = Settings { deadline: ANSWER_WITHIN, ..Settings::local() };
        let start =
            || -> Result<Box<dyn Running>, String> { Ok(Box::new(Local(server::Running::start(settings.clone())?))) };
        let code = run(args, start, &mut std::io::stdout().lock(), &mut std::io::stderr().lock());
        u8::try_from(code).map_or(ExitCode::FAILURE, ExitCode::from)
    }
}
