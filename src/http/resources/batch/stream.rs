//! The stream of a batch: lines as they come, answers in their order, and little of either held at a time.

use super::line::{Answered, Asking, too_long};
use crate::http::body::damaged;
use crate::http::chunks::Written;
use crate::http::in_flight::{Deadline, Held, InFlight, UntilDropped, aside};
use crate::http::limits::{BATCH_AHEAD, BATCH_PIECE, MAX_BODY, UNCOUNTED_BYTES};
use crate::http::monitor::Monitor;
use crate::http::problem::{Kind, Problem};
use actix_web::body::{BodyStream, MessageBody};
use actix_web::web::{self, Bytes, BytesMut};
use futures_util::stream::{Stream, unfold};
use serde::Serialize;
use serde_with::skip_serializing_none;
use std::collections::VecDeque;
use std::convert::Infallible;
use std::future::poll_fn;
use std::pin::Pin;
use std::time::{Duration, Instant};
use tokio::time::timeout;
use utoipa::ToSchema;

/// Whoever sends on is not waited for longer than this before the lines that are there are answered.
const PAUSE: Duration = Duration::from_millis(10);
/// Lines are answered for so long before others who wait have their turn.
const TURN: Duration = Duration::from_millis(100);

/// The last line of a batch. Without it the stream was cut.
#[skip_serializing_none]
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BatchEnd)]
pub struct EndOut<'a> {
    /// Whether every line that was sent is answered.
    pub end: bool,
    /// How many lines were answered.
    pub lines: u64,
    /// How many of them were refused.
    pub refused: u64,
    /// Why no more lines are answered, where not all are.
    #[schema(value_type = Option<Problem>)]
    pub problem: Option<&'a Problem>,
}

/// What comes next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Coming {
    /// More lines.
    Lines,
    /// The rest of a line that was refused as too long.
    RestOfLine,
    /// Nothing: all that was sent is here.
    Nothing,
    /// Nothing, neither lines nor answers.
    End,
}

/// Lines so far.
#[derive(Debug, Default, Clone, Copy)]
struct Count {
    /// Of what was sent, empty ones too.
    number: u64,
    answered: u64,
    refused: u64,
}

/// A batch under way.
struct Batch {
    payload: Pin<Box<BodyStream<web::Payload>>>,
    in_flight: InFlight,
    /// Notes what is refused.
    monitor: web::Data<Monitor>,
    /// Ends the work when the caller is gone.
    caller: (Deadline, UntilDropped),
    coming: Coming,
    /// What came and makes no whole line yet.
    buffer: BytesMut,
    /// Whole lines that are to be answered.
    lines: Bytes,
    /// Answers that are to be sent.
    ready: VecDeque<Bytes>,
    /// What counts the lines that are read.
    held: Held,
    /// What counts the answers that are ready.
    held_for_answers: Held,
    /// Until when the next line has to be whole, once it is waited for.
    until: Option<Instant>,
    count: Count,
}

/// The answers of the lines that come, then the line that ends them.
pub fn answers(
    payload: web::Payload,
    in_flight: &InFlight,
    monitor: web::Data<Monitor>,
) -> impl Stream<Item = Result<Bytes, Infallible>> + 'static {
    let deadline = in_flight.deadline();
    let caller = (deadline.clone(), deadline.until_dropped());
    let batch = Batch {
        payload: Box::pin(BodyStream::new(payload)),
        in_flight: in_flight.clone(),
        monitor,
        caller,
        coming: Coming::Lines,
        buffer: BytesMut::new(),
        lines: Bytes::new(),
        ready: VecDeque::new(),
        held: Held::default(),
        held_for_answers: Held::default(),
        until: None,
        count: Count::default(),
    };
    unfold(batch, |mut batch| async move { batch.next().await.map(|piece| (piece, batch)) })
}

impl Batch {
    /// The next piece of the answers.
    async fn next(&mut self) -> Option<Result<Bytes, Infallible>> {
        loop {
            if let Some(piece) = self.ready.pop_front() {
                return Some(Ok(piece));
            }
            if !self.lines.is_empty() {
                if let Err(problem) = self.answer().await {
                    self.give_up(problem);
                }
                continue;
            }
            match self.coming {
                Coming::Lines | Coming::RestOfLine => self.read().await,
                Coming::Nothing => self.end(None),
                Coming::End => return None,
            }
        }
    }

    /// Answers the lines that are there, until they make a piece or the turn is over.
    async fn answer(&mut self) -> Result<(), Problem> {
        let slot = self.in_flight.slot_of_batch().await?;
        self.held_for_answers = Held::default();
        let is_held = self.in_flight.hold(&mut self.held_for_answers, BATCH_PIECE).is_ok();
        let mut turn = Turn {
            piece: if is_held { BATCH_PIECE } else { UNCOUNTED_BYTES },
            rest: std::mem::take(&mut self.lines),
            count: self.count,
            in_flight: self.in_flight.clone(),
            monitor: self.monitor.clone(),
            deadline: self.caller.0.clone(),
            ready: VecDeque::new(),
            short: Vec::new(),
        };
        let work = move || {
            let _until_done = slot;
            turn.take().map(|()| turn)
        };
        let turn = aside(work).await??;
        if turn.count.answered > self.count.answered {
            self.until = None;
        }
        (self.ready, self.lines, self.count) = (turn.ready, turn.rest, turn.count);
        Ok(())
    }

    /// Reads until there are whole lines, and on as long as more is there. The time for a line runs once all answers are taken.
    async fn read(&mut self) {
        let until = *self.until.get_or_insert_with(|| Instant::now() + self.in_flight.slowest_body());
        let mut has_line = false;
        self.held = Held::default();
        let mut more = self.buffer.len();
        while self.coming != Coming::Nothing && (!has_line || self.buffer.len() < BATCH_AHEAD) {
            if let Err(problem) = self.in_flight.hold(&mut self.held, more) {
                return self.give_up(problem);
            }
            let patience = if has_line { PAUSE } else { until.saturating_duration_since(Instant::now()) };
            match timeout(patience, poll_fn(|context| self.payload.as_mut().poll_next(context))).await {
                Ok(Some(Ok(chunk))) => {
                    let before = self.buffer.len();
                    has_line |= self.take(&chunk);
                    more = self.buffer.len() - before;
                }
                Ok(None) => self.coming = Coming::Nothing,
                Ok(Some(Err(_))) => return self.give_up(damaged()),
                Err(_) if has_line => break,
                Err(_) => return self.give_up(too_slow(&self.in_flight)),
            }
            if !has_line && self.buffer.len() > MAX_BODY {
                self.buffer = BytesMut::new();
                self.coming = Coming::RestOfLine;
                return self.refuse(too_long());
            }
        }
        let last = self.buffer.iter().rposition(is_end).map_or(0, |end| end + 1);
        let end = if self.coming == Coming::Nothing { self.buffer.len() } else { last };
        self.lines = self.buffer.split_to(end).freeze();
    }

    /// Takes what came, and tells whether a line ends in it.
    fn take(&mut self, mut chunk: &[u8]) -> bool {
        if self.coming == Coming::RestOfLine {
            let Some(end) = chunk.iter().position(is_end) else { return false };
            chunk = chunk.get(end + 1..).unwrap_or_default();
            self.coming = Coming::Lines;
        }
        self.buffer.extend_from_slice(chunk);
        chunk.contains(&b'\n')
    }

    /// Refuses the line that is too long.
    fn refuse(&mut self, problem: Problem) {
        self.count.number += 1;
        let (number, deadline) = (self.count.number, self.caller.0.clone());
        let asking = Asking { number, in_flight: &self.in_flight, monitor: &self.monitor, deadline };
        let Ok(Answered { written, .. }) = asking.refused(None, problem) else { return self.give_up(Problem::full()) };
        (self.count.answered, self.count.refused) = (self.count.answered + 1, self.count.refused + 1);
        self.ready.extend(written.into_pieces());
    }

    /// Answers no more lines, and says why.
    fn give_up(&mut self, problem: Problem) {
        self.lines = Bytes::new();
        self.monitor.metrics.refused(problem.reason());
        self.end(Some(&problem));
    }

    fn end(&mut self, problem: Option<&Problem>) {
        let Count { answered: lines, refused, .. } = self.count;
        let end = EndOut { end: problem.is_none(), lines, refused, problem };
        let mut line = serde_json::to_vec(&end).unwrap_or_default();
        line.push(b'\n');
        self.ready.push_back(line.into());
        self.coming = Coming::End;
    }
}

/// 408: no whole line came in time.
fn too_slow(in_flight: &InFlight) -> Problem {
    let seconds = in_flight.slowest_body().as_secs_f64();
    Problem::new(
        Kind::TooSlow,
        format!("No whole line came within {seconds} seconds; send those without an answer again."),
    )
}

const fn is_end(byte: &u8) -> bool {
    *byte == b'\n'
}

/// Lines that are answered one after the other while nobody else has this place.
struct Turn {
    /// Bytes of answers after which it ends.
    piece: usize,
    rest: Bytes,
    count: Count,
    in_flight: InFlight,
    monitor: web::Data<Monitor>,
    deadline: Deadline,
    ready: VecDeque<Bytes>,
    /// Short answers, which are sent together.
    short: Vec<u8>,
}

impl Turn {
    fn take(&mut self) -> Result<(), Problem> {
        let (started, mut length) = (Instant::now(), 0);
        while !self.rest.is_empty() && length < self.piece && started.elapsed() < TURN {
            let end = self.rest.iter().position(is_end).map_or(self.rest.len(), |end| end + 1);
            let line = self.rest.split_to(end);
            self.count.number += 1;
            if !line.trim_ascii().is_empty() {
                length += self.answer(&line)?;
            }
        }
        self.send_short();
        Ok(())
    }

    /// Answers a line, and tells how long its answer is.
    fn answer(&mut self, line: &Bytes) -> Result<usize, Problem> {
        let number = self.count.number;
        let (in_flight, deadline) = (&self.in_flight, self.deadline.again(&self.in_flight));
        let asking = Asking { number, in_flight, monitor: &self.monitor, deadline };
        let Answered { written, is_refused } = asking.answer(line.trim_ascii_end())?;
        self.count.answered += 1;
        self.count.refused += u64::from(is_refused);
        let length = written.length();
        if let Written::Whole(bytes) = written {
            self.short.extend_from_slice(&bytes);
        } else {
            self.send_short();
            self.ready.extend(written.into_pieces());
        }
        Ok(length)
    }

    fn send_short(&mut self) {
        if !self.short.is_empty() {
            self.ready.push_back(std::mem::take(&mut self.short).into());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::http::settings::LogForm;
    use actix_web::dev::Payload;
    use actix_web::test::TestRequest;
    use actix_web::{FromRequest, error::PayloadError};
    use futures_util::StreamExt;
    use std::pin::pin;
    use tokio::sync::mpsc;
    use tokio::time::sleep;

    const PATIENCE: Duration = Duration::from_secs(1);

    async fn payload(lines: mpsc::UnboundedReceiver<Bytes>) -> web::Payload {
        let lines =
            unfold(lines, async |mut lines| lines.recv().await.map(|line| (Ok::<_, PayloadError>(line), lines)));
        let request = TestRequest::default().to_http_request();
        web::Payload::from_request(&request, &mut Payload::Stream { payload: Box::pin(lines) }).await.unwrap()
    }

    #[test]
    fn the_time_for_the_next_line_begins_once_all_answers_are_taken() {
        let in_flight = InFlight::new((Duration::from_secs(300), PATIENCE), 1 << 20);
        let monitor = web::Data::new(Monitor::new(LogForm::Off).unwrap());
        let (send, lines) = mpsc::unbounded_channel();
        let line = || send.send(Bytes::from_static(b"{\"ask\": \"brews\"}\n")).unwrap();
        actix_web::rt::System::new().block_on(async {
            let mut answers = pin!(answers(payload(lines).await, &in_flight, monitor));
            line();
            assert!(answers.next().await.unwrap().unwrap().starts_with(b"{\"line\":1,"));
            // A caller who takes long over an answer has not been slow to send.
            sleep(PATIENCE + PATIENCE / 5).await;
            assert!(timeout(PATIENCE / 10, answers.next()).await.is_err());
            line();
            assert!(answers.next().await.unwrap().unwrap().starts_with(b"{\"line\":2,"));
            assert!(answers.next().await.unwrap().unwrap().starts_with(b"{\"end\":false,\"lines\":2,"));
            assert!(answers.next().await.is_none());
        });
    }
}
