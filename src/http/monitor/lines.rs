//! Lines of the log on their way out: gathered in memory, and written by a thread of their own a few times a second, so that no
//! request waits for whoever reads them, nor wakes a thread for each line.

use std::io::{self, Write};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;
use tracing_subscriber::fmt::MakeWriter;

/// Bytes that may wait; further lines are dropped.
const MAX_WAITING: usize = 4 << 20;
/// How long lines are gathered before they are written.
const GATHERED: Duration = Duration::from_millis(50);

/// How long the end of a log waits for whoever reads it.
const LAST: Duration = Duration::from_secs(1);

/// Where lines are put.
#[derive(Debug, Clone, Default)]
pub struct Lines(Arc<Shared>);

#[derive(Debug, Default)]
struct Shared {
    waiting: Mutex<Waiting>,
    arrived: Condvar,
}

#[derive(Debug, Default)]
struct Waiting {
    bytes: Vec<u8>,
    is_over: bool,
}

/// The thread that writes; when this is dropped it writes what still waits, and ends. It is left alone where nobody reads.
#[derive(Debug)]
pub struct Writing {
    lines: Lines,
    ended: Receiver<()>,
}

impl Lines {
    /// Lines that are written to `to`.
    pub fn written(to: impl Write + Send + 'static) -> (Self, Writing) {
        let lines = Self::default();
        let (from, (ends, ended)) = (lines.clone(), channel());
        let work = move || {
            from.write(to);
            drop(ends);
        };
        // Without a thread there is no log, and the service runs.
        let _ = thread::Builder::new().name("log".to_owned()).spawn(work);
        let writing = Writing { lines: lines.clone(), ended };
        (lines, writing)
    }

    fn waiting(&self) -> MutexGuard<'_, Waiting> {
        self.0.waiting.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes a whole line, or drops it.
    fn put(&self, line: &[u8]) {
        let mut waiting = self.waiting();
        let is_first = waiting.bytes.is_empty();
        if waiting.bytes.len() + line.len() <= MAX_WAITING {
            waiting.bytes.extend_from_slice(line);
        }
        drop(waiting);
        if is_first {
            self.0.arrived.notify_one();
        }
    }

    /// Writes what comes until it is over.
    fn write(&self, mut to: impl Write) {
        let mut bytes = Vec::new();
        loop {
            let waits = |waiting: &mut Waiting| waiting.bytes.is_empty() && !waiting.is_over;
            let waiting = self.0.arrived.wait_while(self.waiting(), waits).unwrap_or_else(PoisonError::into_inner);
            let wait = |waiting: &mut Waiting| !waiting.is_over;
            let gathered = self.0.arrived.wait_timeout_while(waiting, GATHERED, wait);
            let (mut waiting, _) = gathered.unwrap_or_else(PoisonError::into_inner);
            std::mem::swap(&mut bytes, &mut waiting.bytes);
            let is_over = waiting.is_over;
            drop(waiting);
            // Where nobody reads any longer there is nobody to tell.
            let _ = to.write_all(&bytes).and_then(|()| to.flush());
            bytes.clear();
            if is_over {
                return;
            }
        }
    }
}

impl<'a> MakeWriter<'a> for Lines {
    type Writer = &'a Lines;

    fn make_writer(&'a self) -> &'a Lines {
        self
    }
}

impl Write for &Lines {
    fn write(&mut self, line: &[u8]) -> io::Result<usize> {
        self.put(line);
        Ok(line.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Drop for Writing {
    fn drop(&mut self) {
        self.lines.waiting().is_over = true;
        self.lines.0.arrived.notify_one();
        // It says nothing but its end.
        let _ = self.ended.recv_timeout(LAST);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc;
    use std::time::Instant;

    /// Gives away what is written to it, and says when.
    struct ChannelWriter(mpsc::Sender<Vec<u8>>);

    impl Write for ChannelWriter {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0.send(bytes.to_vec()).map_err(io::Error::other)?;
            Ok(bytes.len())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn every_line_is_written_in_order_and_many_at_a_time() {
        let (given, written) = mpsc::channel();
        let (lines, writing) = Lines::written(ChannelWriter(given));
        for number in 0..1_000 {
            (&lines).write_all(format!("{number}\n").as_bytes()).unwrap();
        }
        drop(writing);
        let pieces: Vec<Vec<u8>> = written.iter().collect();
        let all = String::from_utf8(pieces.concat()).unwrap();
        assert!(all.lines().map(|line| line.parse::<u32>().unwrap()).eq(0..1_000));
        assert!(pieces.len() < 500, "{}", pieces.len());
    }

    #[test]
    fn a_line_is_written_soon_although_no_other_follows() {
        let (given, written) = mpsc::channel();
        let (lines, _writing) = Lines::written(ChannelWriter(given));
        for _ in 0..3 {
            (&lines).write_all(b"one\n").unwrap();
            assert_eq!(written.recv_timeout(Duration::from_secs(20)).unwrap(), b"one\n");
        }
    }

    /// Takes nothing until it is let go.
    struct Stuck(mpsc::Receiver<()>, mpsc::Sender<usize>);

    impl Write for Stuck {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let _ = self.0.recv();
            self.1.send(bytes.len()).map_err(io::Error::other)?;
            Ok(bytes.len())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn nobody_waits_for_a_reader_that_is_stuck_and_memory_is_bounded() {
        let ((free, until), (send, written)) = (mpsc::channel(), mpsc::channel());
        let (lines, writing) = Lines::written(Stuck(until, send));
        let line = [b'x'; 1 << 20];
        let start = Instant::now();
        for _ in 0..100 {
            (&lines).write_all(&line).unwrap();
        }
        assert!(start.elapsed() < Duration::from_secs(20));
        assert!(lines.waiting().bytes.len() <= MAX_WAITING);
        // Nor does the end of the service.
        drop(writing);
        assert!(start.elapsed() < Duration::from_secs(20));
        drop(free);
        assert!(written.iter().sum::<usize>() <= 2 * MAX_WAITING);
    }
}
