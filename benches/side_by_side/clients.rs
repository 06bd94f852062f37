//! Callers with kept connections.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

/// Callers at the same time.
const CALLERS: usize = 8;

/// A caller with a connection of its own.
pub struct Client {
    stream: TcpStream,
    buffer: Vec<u8>,
    /// Whether it may be sent away, as one of many with long questions.
    is_patient: bool,
}

impl Client {
    pub fn to(address: SocketAddr) -> Self {
        let stream = TcpStream::connect(address).unwrap();
        stream.set_nodelay(true).unwrap();
        Self { stream, buffer: Vec::new(), is_patient: false }
    }

    /// One that may be asked to come again.
    pub fn patient(address: SocketAddr) -> Self {
        Self { is_patient: true, ..Self::to(address) }
    }

    /// Posts a body and reads the whole answer, which must be 200, or 503 to a patient one; returns its length.
    pub fn ask(&mut self, path: &str, body: &[u8]) -> usize {
        self.send(&request(path, body))
    }

    fn send(&mut self, request: &[u8]) -> usize {
        self.stream.write_all(request).unwrap();
        self.buffer.clear();
        let mut chunk = [0_u8; 65_536];
        let mut whole = None;
        loop {
            let read = self.stream.read(&mut chunk).unwrap();
            assert!(read > 0, "the connection was closed");
            self.buffer.extend_from_slice(chunk.get(..read).unwrap());
            whole = whole.or_else(|| self.lengths());
            if let Some((head, length)) = whole
                && self.buffer.len() >= head + length
            {
                return length;
            }
        }
    }

    /// The lengths of head and body, once the head is there.
    fn lengths(&self) -> Option<(usize, usize)> {
        let head = self.buffer.windows(4).position(|window| window == b"\r\n\r\n")? + 4;
        let text = String::from_utf8_lossy(self.buffer.get(..head)?).to_ascii_lowercase();
        let is_right = text.starts_with("http/1.1 200") || self.is_patient && text.starts_with("http/1.1 503");
        assert!(is_right, "{text}");
        let length = text.split("content-length: ").nth(1)?.split("\r\n").next()?;
        Some((head, length.parse().unwrap()))
    }
}

fn request(path: &str, body: &[u8]) -> Vec<u8> {
    let head = format!(
        "POST {path} HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n",
        body.len()
    );
    [head.as_bytes(), body].concat()
}

/// Requests a second that callers at the same time get answered.
pub fn load(address: SocketAddr, (path, body): (&str, &[u8]), time: Duration) -> f64 {
    let request = request(path, body);
    let caller = || {
        let mut client = Client::to(address);
        let (start, mut count) = (Instant::now(), 0_u32);
        while start.elapsed() < time {
            client.send(&request);
            count += 1;
        }
        f64::from(count) / start.elapsed().as_secs_f64()
    };
    std::thread::scope(|scope| {
        let callers: Vec<_> = (0..CALLERS).map(|_| scope.spawn(caller)).collect();
        callers.into_iter().map(|caller| caller.join().unwrap()).sum()
    })
}
