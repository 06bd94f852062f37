//! The log: lines on standard error, written by a thread of their own, so that no request waits for whoever reads them.

use crate::http::settings::LogForm;
use std::io::{self, BufWriter, IsTerminal};
use tracing_appender::non_blocking::{NonBlocking, NonBlockingBuilder, WorkerGuard};
use tracing_subscriber::filter::{LevelFilter, Targets};
use tracing_subscriber::layer::{Layer, SubscriberExt};
use tracing_subscriber::registry::Registry;

/// The log while it is open; what waits is written when this is dropped.
#[must_use]
#[derive(Debug)]
pub struct Log(#[expect(dead_code, reason = "it writes what waits when it is dropped")] Option<WorkerGuard>);

/// Lines that wait to be written; further ones are dropped. Some 4 MB.
const WAITING: usize = 16_384;

/// Opens the log on standard error for the whole process.
pub fn start(form: LogForm) -> Log {
    start_to(form, io::stderr(), io::stderr().is_terminal())
}

/// Opens the log to any writer.
fn start_to(form: LogForm, to: impl io::Write + Send + 'static, colours: bool) -> Log {
    if form == LogForm::Off {
        return Log(None);
    }
    let (writer, guard) = NonBlockingBuilder::default().buffered_lines_limit(WAITING).finish(BufWriter::new(to));
    // Own events from `info` on, of packages below only what went wrong.
    let heard = Targets::new().with_target("barrowful", LevelFilter::INFO).with_default(LevelFilter::WARN);
    let subscriber = Registry::default().with(heard).with(lines(form, writer, colours));
    // Fails only where the process has a log already, which then stays.
    let _ = tracing::subscriber::set_global_default(subscriber);
    Log(Some(guard))
}

type Lines<S> = Box<dyn Layer<S> + Send + Sync>;

fn lines<S>(form: LogForm, writer: NonBlocking, colours: bool) -> Lines<S>
where
    S: tracing::Subscriber + for<'s> tracing_subscriber::registry::LookupSpan<'s>,
{
    let layer = tracing_subscriber::fmt::layer().with_writer(writer).with_target(false).with_ansi(colours);
    match form {
        LogForm::Json => layer.json().flatten_event(true).with_current_span(false).with_span_list(false).boxed(),
        LogForm::Text | LogForm::Off => layer.boxed(),
    }
}
