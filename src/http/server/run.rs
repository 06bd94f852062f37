//! Starting and stopping.

use super::listen;
use crate::http::settings::Settings;
use actix_web::dev::ServerHandle;
use std::io;
use std::net::SocketAddr;

/// Serves until the process has to stop.
///
/// # Errors
/// When the address cannot be taken, or the server breaks.
pub fn serve(settings: &Settings) -> io::Result<()> {
    actix_web::rt::System::new().block_on(async {
        let (server, addresses) = listen(settings)?;
        for address in addresses {
            eprintln!("barrowful listens on http://{address}");
        }
        server.await
    })
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
            actix_web::rt::System::new().block_on(async {
                match listen(&settings) {
                    Ok((server, addresses)) => {
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
