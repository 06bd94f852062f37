//! An answer in pieces: each is counted while it is held, and free again as soon as it is sent.

use super::in_flight::{Held, InFlight};
use super::problem::Problem;
use crate::garden::interrupt::check_at_once;
use actix_web::body::{BodySize, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::middleware::Next;
use actix_web::{HttpResponse, HttpResponseBuilder, web};
use std::collections::VecDeque;
use std::convert::Infallible;
use std::io::{self, Write};
use std::pin::Pin;
use std::task::{Context, Poll};

/// Bytes of a piece.
const PIECE: usize = 64 * 1024;

/// What is written of an answer.
#[derive(Debug)]
pub struct Chunks<'a> {
    in_flight: &'a InFlight,
    full: VecDeque<web::Bytes>,
    last: Vec<u8>,
    refused: Option<Problem>,
}

/// A piece, and what counts it.
struct Piece {
    bytes: Vec<u8>,
    _held: Held,
}

impl AsRef<[u8]> for Piece {
    fn as_ref(&self) -> &[u8] {
        &self.bytes
    }
}

impl<'a> Chunks<'a> {
    /// Nothing yet, with capacity for so many bytes.
    #[must_use]
    pub fn with_capacity(in_flight: &'a InFlight, bytes: usize) -> Self {
        let last = Vec::with_capacity(bytes.min(PIECE));
        Self { in_flight, full: VecDeque::new(), last, refused: None }
    }

    /// Text that is written already.
    ///
    /// # Errors
    /// 503 when the service holds as many bytes as it may.
    pub fn of(in_flight: &'a InFlight, text: &[u8]) -> Result<Written, Problem> {
        let mut chunks = Self::with_capacity(in_flight, text.len());
        let written = chunks.write_all(text);
        chunks.end(written)
    }

    /// Ends the answer, if it could be written.
    ///
    /// # Errors
    /// 503 when the service holds as many bytes as it may; 500 for any other error.
    pub fn end<E>(mut self, written: Result<(), E>) -> Result<Written, Problem> {
        if let Some(problem) = self.refused {
            return Err(problem);
        }
        written.map_err(|_| Problem::broken())?;
        if self.full.is_empty() {
            return Ok(Written::Whole(self.last.into()));
        }
        self.close()?;
        let length: usize = self.full.iter().map(web::Bytes::len).sum();
        Ok(Written::Pieces(Pieces { pieces: self.full, left: u64::try_from(length).unwrap_or(u64::MAX) }))
    }

    /// Writes what does not fit into the piece.
    #[cold]
    fn write_on(&mut self, mut bytes: &[u8]) -> io::Result<()> {
        while !bytes.is_empty() {
            let written = self.write(bytes)?;
            bytes = bytes.get(written..).unwrap_or_default();
        }
        Ok(())
    }

    /// Closes a piece. The first is small and not counted, as an answer of one piece is not.
    fn close(&mut self) -> Result<(), Problem> {
        check_at_once();
        let mut held = Held::default();
        if !self.full.is_empty() {
            self.in_flight.count(&mut held, self.last.len())?;
        }
        let bytes = std::mem::replace(&mut self.last, Vec::with_capacity(PIECE));
        self.full.push_back(web::Bytes::from_owner(Piece { bytes, _held: held }));
        Ok(())
    }
}

impl Write for Chunks<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.last.len() >= PIECE
            && let Err(problem) = self.close()
        {
            self.refused = Some(problem);
            return Err(io::ErrorKind::QuotaExceeded.into());
        }
        let fits = bytes.get(..PIECE - self.last.len()).unwrap_or(bytes);
        self.last.extend_from_slice(fits);
        Ok(fits.len())
    }

    /// As the provided one, and quick where the bytes fit into the piece: serde writes thousands of times, mostly one byte, whose
    /// length is known where it does.
    #[expect(
        clippy::inline_always,
        reason = "as a call it takes a third of a short answer's time (docs/performance.md)"
    )]
    #[inline(always)]
    fn write_all(&mut self, bytes: &[u8]) -> io::Result<()> {
        if bytes.len() <= PIECE.saturating_sub(self.last.len()) {
            self.last.extend_from_slice(bytes);
            return Ok(());
        }
        self.write_on(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// An answer that is written.
#[derive(Debug)]
pub enum Written {
    /// All of a short one.
    Whole(web::Bytes),
    /// A long one.
    Pieces(Pieces),
}

impl Written {
    /// How many bytes it has.
    #[must_use]
    pub fn length(&self) -> usize {
        match self {
            Self::Whole(bytes) => bytes.len(),
            Self::Pieces(pieces) => pieces.pieces.iter().map(web::Bytes::len).sum(),
        }
    }

    /// Its pieces.
    #[must_use]
    pub fn into_pieces(self) -> VecDeque<web::Bytes> {
        match self {
            Self::Whole(bytes) => VecDeque::from([bytes]),
            Self::Pieces(pieces) => pieces.pieces,
        }
    }

    /// The answer with this as its body.
    #[must_use]
    pub fn send(self, mut answer: HttpResponseBuilder) -> HttpResponse {
        match self {
            Self::Whole(bytes) => answer.body(bytes),
            Self::Pieces(pieces) => answer.body(pieces),
        }
    }
}

/// The pieces that are not sent yet.
#[derive(Debug)]
pub struct Pieces {
    pieces: VecDeque<web::Bytes>,
    left: u64,
}

impl MessageBody for Pieces {
    type Error = Infallible;

    fn size(&self) -> BodySize {
        BodySize::Sized(self.left)
    }

    fn poll_next(mut self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<Option<Result<web::Bytes, Infallible>>> {
        let next = self.pieces.pop_front();
        self.left -= next.as_ref().map_or(0, |piece| u64::try_from(piece.len()).unwrap_or(0));
        Poll::Ready(next.map(Ok))
    }
}

/// Runs around what answers: whatever is sent leaves in pieces, so that no more than one is copied for a caller who does not read on.
///
/// # Errors
/// What is inside.
pub async fn in_pieces<B: MessageBody>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<Sliced<B>>, actix_web::Error> {
    let response = next.call(request).await?;
    Ok(response.map_body(|_, body| Sliced { body: Box::pin(body), rest: web::Bytes::new() }))
}

/// A body that is handed over in pieces.
pub struct Sliced<B> {
    body: Pin<Box<B>>,
    rest: web::Bytes,
}

impl<B: MessageBody> MessageBody for Sliced<B> {
    type Error = B::Error;

    fn size(&self) -> BodySize {
        self.body.size()
    }

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Result<web::Bytes, B::Error>>> {
        if self.rest.is_empty() {
            match self.body.as_mut().poll_next(context) {
                Poll::Ready(Some(Ok(next))) => self.rest = next,
                other => return other,
            }
        }
        let length = self.rest.len().min(PIECE);
        Poll::Ready(Some(Ok(self.rest.split_to(length))))
    }
}
