//! How long a connection may take: to bring a request, to take its answer, and to do nothing in between.
//!
//! The server below has a limit for the first request of a connection and for one that brings nothing at all. Nothing there ends a
//! connection that was kept open and brings half a request, or that does not read its answer. Each worker therefore looks at its
//! connections now and then and closes those that are too slow.

use actix_web::body::{BodySize, MessageBody};
use actix_web::dev::{Extensions, ServiceRequest, ServiceResponse};
use actix_web::middleware::Next;
use actix_web::{rt, web};
use socket2::{SockRef, Socket};
use std::any::Any;
use std::cell::{Cell, RefCell};
use std::net::Shutdown;
use std::pin::Pin;
use std::rc::{Rc, Weak};
use std::task::{Context, Poll};
use std::time::{Duration, Instant};

/// The longest that a connection may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TimeLimits {
    /// To begin its next request.
    pub idle: Duration,
    /// To bring the head of a request.
    pub head: Duration,
    /// To bring a body.
    pub body: Duration,
    /// To take a piece of an answer. All of it may take as long, and a second more for each [`MIN_RATE`] of it.
    pub piece: Duration,
}

/// Bytes that wait in the kernel for a caller to take them; it would let them grow to megabytes for each.
const SEND_BUFFER: usize = 256 * 1024;
/// Bytes of an answer that are read in a second at the least, on average.
pub const MIN_RATE: u32 = 16 * 1024;

impl Default for TimeLimits {
    fn default() -> Self {
        let [idle, head, body, piece] = [60, 15, 30, 20].map(Duration::from_secs);
        Self { idle, head, body, piece }
    }
}

impl TimeLimits {
    /// How often connections are looked at: some are closed by so much later than they might be.
    fn interval(&self) -> Duration {
        let least = [self.idle, self.head, self.piece].into_iter().min().unwrap_or_default();
        (least / 8).clamp(Duration::from_millis(5), Duration::from_secs(1))
    }
}

/// What a connection does.
#[derive(Debug, Clone, Copy)]
enum State {
    /// It has no request, or a part of one, since then.
    Waiting(Instant),
    /// Its request is read and answered.
    Answering,
    /// It takes an answer: since when, since when the present piece, and how much was handed over.
    Taking { since: Instant, piece_since: Instant, bytes: usize },
    /// It has taken so much in so long, and the next piece is not there yet.
    Waited { took: Duration, bytes: usize },
}

/// A connection, and a second handle of its socket to close it with.
struct Connection {
    socket: Socket,
    state: Cell<State>,
    limits: TimeLimits,
}

impl Connection {
    /// When it is to be closed, unless something happens before.
    fn ends(&self) -> Option<Instant> {
        let limits = &self.limits;
        match self.state.get() {
            State::Waiting(since) => Some(since + limits.idle + limits.head),
            State::Answering | State::Waited { .. } => None,
            State::Taking { since, piece_since, bytes } => {
                let seconds = bytes / usize::try_from(MIN_RATE).unwrap_or(usize::MAX);
                let all = limits.piece + Duration::from_secs(u64::try_from(seconds).unwrap_or(u64::MAX));
                Some((piece_since + limits.piece).min(since + all))
            }
        }
    }

    fn takes(&self, more: usize) {
        let now = Instant::now();
        let (since, bytes) = match self.state.get() {
            State::Taking { since, bytes, .. } => (since, bytes),
            State::Waited { took, bytes } => (now.checked_sub(took).unwrap_or(now), bytes),
            State::Waiting(_) | State::Answering => (now, 0),
        };
        self.state.set(State::Taking { since, piece_since: now, bytes: bytes.saturating_add(more) });
    }

    /// Notes that it is the service that takes its time.
    fn waits(&self) {
        if let State::Taking { since, bytes, .. } = self.state.get() {
            self.state.set(State::Waited { took: since.elapsed(), bytes });
        }
    }
}

thread_local! {
    /// The connections of this worker; looked at as long as there are any.
    static OPEN: RefCell<Vec<Weak<Connection>>> = const { RefCell::new(Vec::new()) };
}

/// What a server does with each new connection.
pub fn accept(limits: TimeLimits) -> impl Fn(&dyn Any, &mut Extensions) + Send + Sync + 'static {
    move |stream, data| {
        let Some(stream) = stream.downcast_ref::<rt::net::TcpStream>() else { return };
        // Without a second handle it has the limits of the server below.
        let Ok(socket) = SockRef::from(stream).try_clone() else { return };
        // Where this is not possible the kernel has bounds of its own.
        let _ = socket.set_send_buffer_size(SEND_BUFFER);
        let connection = Rc::new(Connection { socket, state: Cell::new(State::Waiting(Instant::now())), limits });
        let is_first = OPEN.with_borrow_mut(|open| {
            open.push(Rc::downgrade(&connection));
            open.len() == 1
        });
        if is_first {
            rt::spawn(look_after(limits.interval()));
        }
        data.insert(connection);
    }
}

/// Closes connections that are too slow, until none is left.
async fn look_after(interval: Duration) {
    loop {
        rt::time::sleep(interval).await;
        let now = Instant::now();
        let stays = |connection: &Weak<Connection>| {
            let Some(connection) = connection.upgrade() else { return false };
            let is_over = connection.ends().is_some_and(|end| end <= now);
            // The server below then reads its end, and fails to write; an error here says that it is closed already.
            is_over.then(|| connection.socket.shutdown(Shutdown::Both));
            !is_over
        };
        let is_empty = OPEN.with_borrow_mut(|open| {
            open.retain(stays);
            open.is_empty()
        });
        if is_empty {
            return;
        }
    }
}

/// Runs around every request and everything else: notes what its connection does.
///
/// # Errors
/// What is inside.
pub async fn watch<B: MessageBody>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<Watched<B>>, actix_web::Error> {
    let connection = request.conn_data::<Rc<Connection>>().cloned();
    if let Some(connection) = &connection {
        connection.state.set(State::Answering);
    }
    let response = next.call(request).await?;
    Ok(response.map_body(|_, body| Watched { body: Box::pin(body), connection }))
}

/// A body that notes on its connection when a piece of it is taken, and when all of it is.
pub struct Watched<B> {
    body: Pin<Box<B>>,
    connection: Option<Rc<Connection>>,
}

impl<B: MessageBody> MessageBody for Watched<B> {
    type Error = B::Error;

    fn size(&self) -> BodySize {
        self.body.size()
    }

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Result<web::Bytes, B::Error>>> {
        let next = self.body.as_mut().poll_next(context);
        match (&self.connection, &next) {
            (Some(connection), Poll::Ready(Some(Ok(piece)))) => connection.takes(piece.len()),
            (Some(connection), Poll::Pending) => connection.waits(),
            _ => {}
        }
        next
    }
}

impl<B> Drop for Watched<B> {
    fn drop(&mut self) {
        if let Some(connection) = &self.connection {
            connection.state.set(State::Waiting(Instant::now()));
        }
    }
}
