//! Panics: counted, and logged by their place.

use std::panic::PanicHookInfo;
use std::sync::Once;
use std::sync::atomic::{AtomicU64, Ordering};

/// Panics of the process, whatever thread they were in.
static PANICS: AtomicU64 = AtomicU64::new(0);

/// The panics so far.
pub fn count() -> u64 {
    PANICS.load(Ordering::Relaxed)
}

/// Counts and logs every panic of the process from now on, in place of printing it: its message may hold what a caller sent.
pub fn watch() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| std::panic::set_hook(Box::new(note)));
}

fn note(panic: &PanicHookInfo<'_>) {
    PANICS.fetch_add(1, Ordering::Relaxed);
    let place = panic.location().map(ToString::to_string);
    // A message that was put together may hold parts of a request; a literal cannot.
    let message = panic.payload().downcast_ref::<&'static str>();
    tracing::error!(place = place.as_deref(), detail = message, "panic");
}
