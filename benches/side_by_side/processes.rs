//! Services in processes of their own.

use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// The argument before the port of the bare service.
const BARE: &str = "--bare-service-on";

/// A service that ends when this is dropped.
pub struct Process {
    child: Child,
    pub address: SocketAddr,
}

impl Process {
    /// The service, as it is by default, with one worker.
    pub fn ours() -> Self {
        Self::with(&[])
    }

    /// The service without log and metrics.
    pub fn quiet() -> Self {
        Self::with(&["--log", "off", "--metrics", "off"])
    }

    fn with(more: &[&str]) -> Self {
        Self::start(|address| {
            let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
            command.args(["serve", "--workers", "1", "--bind", &address.to_string()]).args(more);
            command
        })
    }

    /// The bare service: this program, started as one.
    pub fn bare() -> Self {
        Self::start(|address| {
            let mut command = Command::new(std::env::current_exe().unwrap());
            command.args([BARE, &address.port().to_string()]);
            command
        })
    }

    fn start(command: impl FnOnce(SocketAddr) -> Command) -> Self {
        // A port that was free a moment ago.
        let address = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap().local_addr().unwrap();
        let child = command(address).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        let mut process = Self { child, address };
        while TcpStream::connect(address).is_err() {
            assert!(process.child.try_wait().unwrap().is_none(), "the service ended");
            std::thread::sleep(Duration::from_millis(1));
        }
        process
    }

    /// Its resident memory.
    pub fn megabytes(&self) -> f64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let line = status.lines().find(|line| line.starts_with("VmRSS")).unwrap_or_default();
        line.split_whitespace().nth(1).and_then(|kb| kb.parse::<f64>().ok()).unwrap_or(f64::NAN) * 1.024 / 1_000.0
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        let ended = self.child.kill().and_then(|()| self.child.wait());
        assert!(ended.is_ok(), "the service does not end");
    }
}

/// The port on which this program is to be the bare service.
pub fn port_of_bare() -> Option<u16> {
    std::env::args().skip_while(|argument| argument != BARE).nth(1).map(|port| port.parse().unwrap())
}
