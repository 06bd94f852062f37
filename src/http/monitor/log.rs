//! The log: lines on standard error.

use super::lines::{Lines, Writing};
use crate::http::settings::LogForm;
use std::io::{self, IsTerminal};
use tracing_subscriber::filter::{LevelFilter, Targets};
use tracing_subscriber::layer::{Layer, SubscriberExt};
use tracing_subscriber::registry::Registry;

/// The log while it is open; what waits is written when this is dropped.
#[must_use]
#[derive(Debug)]
pub struct Log(#[expect(dead_code, reason = "it writes what waits when it is dropped")] Option<Writing>);

/// Opens the log on standard error for the whole process.
pub fn start(form: LogForm) -> Log {
    start_to(form, io::stderr(), io::stderr().is_terminal())
}

/// Opens the log to any writer.
fn start_to(form: LogForm, to: impl io::Write + Send + 'static, colours: bool) -> Log {
    if form == LogForm::Off {
        return Log(None);
    }
    let (writer, writing) = Lines::written(to);
    // Own events from `info` on, of packages below only what went wrong here: the protocol has nothing but what callers send.
    let heard = Targets::new()
        .with_target("barrowful", LevelFilter::INFO)
        .with_target("actix_http", LevelFilter::OFF)
        .with_default(LevelFilter::WARN);
    let subscriber = Registry::default().with(heard).with(layer(form, writer, colours));
    // Fails only where the process has a log already, which then stays.
    let _ = tracing::subscriber::set_global_default(subscriber);
    Log(Some(writing))
}

type Layered<S> = Box<dyn Layer<S> + Send + Sync>;

fn layer<S>(form: LogForm, writer: Lines, colours: bool) -> Layered<S>
where
    S: tracing::Subscriber + for<'s> tracing_subscriber::registry::LookupSpan<'s>,
{
    let layer = tracing_subscriber::fmt::layer().with_writer(writer).with_target(false).with_ansi(colours);
    match form {
        LogForm::Json => layer.json().flatten_event(true).with_current_span(false).with_span_list(false).boxed(),
        LogForm::Text | LogForm::Off => layer.boxed(),
    }
}
