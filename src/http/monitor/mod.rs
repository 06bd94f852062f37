//! What the service tells whoever runs it: a log of requests, figures for monitoring, and whether it is ready.

mod exchange;
mod lines;
mod log;
mod metrics;
mod panics;
mod request_id;

pub use exchange::{Exchange, ObservedBody};
pub use log::{Log, start as start_log};
pub use metrics::{Metrics, Read};
pub use panics::watch as watch_panics;
pub use request_id::{HEADER as REQUEST_ID, RequestId};

use crate::http::settings::LogForm;
use std::sync::atomic::{AtomicBool, Ordering};

/// What is kept of a running service besides its routes.
#[derive(Debug)]
pub struct Monitor {
    /// The figures.
    pub metrics: Metrics,
    /// Whether each request makes a line in the log.
    pub logs: bool,
    stopping: AtomicBool,
}

impl Monitor {
    /// A monitor at the start of a service.
    ///
    /// # Errors
    /// When two figures have one name.
    pub fn new(log: LogForm) -> prometheus::Result<Self> {
        Ok(Self { metrics: Metrics::new()?, logs: log != LogForm::Off, stopping: AtomicBool::new(false) })
    }

    /// Says that the service is about to stop: it is no longer ready, and connections are not kept.
    pub fn stop(&self) {
        self.stopping.store(true, Ordering::Relaxed);
    }

    /// Whether the service is about to stop.
    pub fn is_stopping(&self) -> bool {
        self.stopping.load(Ordering::Relaxed)
    }
}
