//! The program as a process of its own: started, signalled, and read.

use rustix::process::{Pid, Signal, kill_process};
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// The longest that a test waits for the process, on a machine that has much else to do.
pub const PATIENCE: Duration = Duration::from_secs(60);

/// A running `barrowful serve`; it is ended when this is dropped.
pub struct Process {
    child: Child,
    lines: Receiver<String>,
    /// The lines of standard error that were read so far.
    pub read: Vec<String>,
    pub url: String,
}

impl Process {
    /// Starts the program on a free port and waits until it says where it listens.
    pub fn start(flags: &[&str]) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_barrowful"));
        command.args(["serve", "--bind", "127.0.0.1:0", "--workers", "1"]).args(flags).env_clear();
        let mut child = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
        let (tell, lines) = channel();
        let stderr = BufReader::new(child.stderr.take().unwrap());
        std::thread::spawn(move || stderr.lines().map_while(Result::ok).try_for_each(|line| tell.send(line)));
        let mut process = Self { child, lines, read: Vec::new(), url: String::new() };
        let started = process.line(|line| line.contains("barrowful listens on") || line.contains("\"started\""));
        let address = match serde_json::from_str::<serde_json::Value>(&started) {
            Ok(event) => event["address"].as_str().unwrap().to_owned(),
            Err(_) => started.rsplit("http://").next().unwrap().to_owned(),
        };
        process.url = format!("http://{address}");
        process
    }

    /// Reads lines up to the first that is looked for, and returns it.
    pub fn line(&mut self, wanted: impl Fn(&str) -> bool) -> String {
        let until = Instant::now() + PATIENCE;
        loop {
            let left = until.saturating_duration_since(Instant::now());
            let line = self.lines.recv_timeout(left).unwrap_or_else(|_| panic!("no such line: {:#?}", self.read));
            self.read.push(line.clone());
            if wanted(&line) {
                return line;
            }
        }
    }

    /// A figure of its memory, kB: `VmRSS`, what is resident, or `VmHWM`, the most so far; 0 where the system does not tell.
    pub fn memory(&self, which: &str) -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap_or_default();
        let line = status.lines().find_map(|line| line.strip_prefix(which)?.strip_prefix(':')).unwrap_or_default();
        line.split_whitespace().next().map_or(0, |text| text.parse().unwrap())
    }

    /// Sends TERM.
    pub fn terminate(&self) {
        self.signal(Signal::TERM);
    }

    /// Sends a signal.
    pub fn signal(&self, signal: Signal) {
        let id = Pid::from_raw(i32::try_from(self.child.id()).unwrap()).unwrap();
        kill_process(id, signal).unwrap();
    }

    /// Waits for the end; returns the status and reads what is left.
    pub fn end(&mut self) -> i32 {
        let until = Instant::now() + PATIENCE;
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status;
            }
            assert!(Instant::now() < until, "it does not end: {:#?}", self.read);
            std::thread::sleep(Duration::from_millis(10));
        };
        self.read.extend(self.lines.iter());
        status.code().unwrap()
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
