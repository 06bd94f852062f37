//! Starting and stopping.

use super::{Listening, listen};
use crate::http::monitor::{start_log, watch_panics};
use crate::http::settings::{LogForm, Settings, Shown};
use actix_web::dev::ServerHandle;
use actix_web::rt::{self, signal};
use futures_util::future::{Either, select};
use std::io;
use std::net::SocketAddr;
use std::pin::pin;
use tokio::time::{sleep, timeout};

/// How a service ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stopped {
    /// Every request that it took was answered.
    InOrder,
    /// Some requests were cut off.
    CutOff,
}

/// Serves until the process has to stop. A first signal (TERM or INT) stops it in order, a second one at once.
///
/// # Errors
/// When an address cannot be taken, or the server breaks.
pub fn serve(settings: &Settings) -> io::Result<Stopped> {
    let _log = start_log(settings.log);
    watch_panics();
    rt::System::new().block_on(async {
        let mut signals = Signals::new()?;
        let mut listening = listen(settings)?;
        announce(settings, &listening);
        if let Some((server, _)) = listening.metrics.take() {
            rt::spawn(server);
        }
        let handle = listening.server.handle();
        let monitor = listening.monitor;
        let server = rt::spawn(listening.server);
        match select(pin!(signals.next()), server).await {
            Either::Left((signal, _)) => tracing::info!(signal, requests = monitor.metrics.active(), "stopping"),
            Either::Right((ended, _)) => return ended.map_err(io::Error::other)?.map(|()| Stopped::InOrder),
        }
        monitor.stop();
        let in_order = async {
            sleep(settings.drain).await;
            timeout(settings.stop_within, handle.stop(true)).await.is_ok()
        };
        let all_answered = match select(pin!(signals.next()), pin!(in_order)).await {
            Either::Left(_) => false,
            Either::Right((all_answered, _)) => all_answered,
        };
        let requests = monitor.metrics.active();
        if all_answered || requests == 0 {
            tracing::info!("stopped");
            return Ok(Stopped::InOrder);
        }
        tracing::warn!(requests, "stopped before every request was answered");
        Ok(Stopped::CutOff)
    })
}

/// Says where the service listens, for people and scripts, and logs what it was started with.
fn announce(settings: &Settings, listening: &Listening) {
    if settings.log != LogForm::Json {
        for address in &listening.addresses {
            eprintln!("barrowful listens on http://{address}");
        }
        for address in listening.metrics.iter().flat_map(|(_, addresses)| addresses) {
            eprintln!("barrowful shows its metrics on http://{address}/metrics");
        }
    }
    let shown = |addresses: &[SocketAddr]| addresses.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ");
    let given = |Shown { name, value, .. }: &Shown| format!("{name}={value}");
    let settings: Vec<String> = settings.shown.iter().map(given).collect();
    let metrics = listening.metrics.as_ref().map(|(_, addresses)| shown(addresses));
    let (address, version) = (shown(&listening.addresses), env!("CARGO_PKG_VERSION"));
    tracing::info!(address, metrics, version, settings = settings.join("; "), "started");
}

/// The signals that stop a service.
struct Signals {
    #[cfg(unix)]
    terminate: signal::unix::Signal,
    #[cfg(unix)]
    interrupt: signal::unix::Signal,
}

impl Signals {
    #[cfg(unix)]
    fn new() -> io::Result<Self> {
        use signal::unix::{SignalKind, signal};
        Ok(Self { terminate: signal(SignalKind::terminate())?, interrupt: signal(SignalKind::interrupt())? })
    }

    /// Waits for the next, and returns its name.
    #[cfg(unix)]
    async fn next(&mut self) -> &'static str {
        match select(pin!(self.terminate.recv()), pin!(self.interrupt.recv())).await {
            Either::Left(_) => "TERM",
            Either::Right(_) => "INT",
        }
    }

    #[cfg(not(unix))]
    fn new() -> io::Result<Self> {
        Ok(Self {})
    }

    /// Waits for the next, and returns its name.
    #[cfg(not(unix))]
    async fn next(&mut self) -> &'static str {
        if signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
        "INT"
    }
}

/// A service in a thread of its own; it stops when this is dropped.
#[derive(Debug)]
pub struct Running {
    address: SocketAddr,
    handle: ServerHandle,
}

impl Running {
    /// Starts a service and waits until it listens.
    ///
    /// # Errors
    /// In words, when it does not start.
    pub fn start(settings: Settings) -> Result<Self, String> {
        let (tell, reported) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            rt::System::new().block_on(async {
                match listen(&settings) {
                    Ok(listening) => {
                        let Listening { server, addresses, metrics, .. } = listening;
                        if let Some((server, _)) = metrics {
                            rt::spawn(server);
                        }
                        let started = addresses.first().copied().ok_or_else(|| "it listens nowhere".to_owned());
                        let _ = tell.send(started.map(|address| Self { address, handle: server.handle() }));
                        let _ = server.await;
                    }
                    Err(error) => {
                        let _ = tell.send(Err(format!("the service does not start: {error}")));
                    }
                }
            });
        });
        reported.recv().map_err(|_| "the service does not start".to_owned())?
    }

    /// The address it listens on.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // The command is sent at once; what is returned only waits for its end.
        drop(self.handle.stop(false));
    }
}
