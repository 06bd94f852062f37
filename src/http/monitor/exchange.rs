//! One request and its answer, noted once they are over: a line of the log, and the figures.

use super::metrics::Ended;
use super::{Monitor, RequestId};
use actix_web::body::{BodySize, BoxBody, MessageBody};
use actix_web::http::{Method, StatusCode};
use actix_web::web::Bytes;
use std::cell::Cell;
use std::pin::Pin;
use std::rc::Rc;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Instant;

/// What is noted of a request whose caller hung up before it was answered.
const HUNG_UP: &str = "hung-up";
/// What is noted of an answer that was not sent to its end: the caller did not read it in time, or hung up.
const CUT_OFF: &str = "cut-off";

/// A request and its answer. It is noted when this is dropped, thus also if the caller hangs up.
#[derive(Debug)]
pub struct Exchange {
    monitor: Arc<Monitor>,
    started: Instant,
    method: &'static str,
    route: &'static str,
    id: RequestId,
    status: Option<StatusCode>,
    reason: Option<&'static str>,
    received: Rc<Cell<u64>>,
    sent: u64,
    /// Whether a part of the answer is sent and the end is not.
    is_under_way: bool,
}

impl Exchange {
    /// Begins with a request to a path of this template.
    #[must_use]
    pub fn begin(monitor: &Arc<Monitor>, (method, route): (&Method, &'static str), id: RequestId) -> Self {
        monitor.metrics.begin();
        Self {
            monitor: Arc::clone(monitor),
            started: Instant::now(),
            method: known(method),
            route,
            id,
            status: None,
            reason: None,
            received: Rc::default(),
            sent: 0,
            is_under_way: false,
        }
    }

    /// The counter of the bytes of the request's body.
    #[must_use]
    pub fn received(&self) -> Rc<Cell<u64>> {
        Rc::clone(&self.received)
    }

    /// Notes what is answered, and why a request is refused.
    pub fn answered(&mut self, status: StatusCode, reason: Option<&'static str>) {
        self.status = Some(status);
        self.reason = reason;
    }
}

impl Drop for Exchange {
    fn drop(&mut self) {
        let took = self.started.elapsed();
        let reason = match self.status {
            None => Some(HUNG_UP),
            Some(_) => self.reason.or(self.is_under_way.then_some(CUT_OFF)),
        };
        let status = self.status.as_ref().map_or("none", StatusCode::as_str);
        let (method, route, received, sent) = (self.method, self.route, self.received.get(), self.sent);
        self.monitor.metrics.end(&Ended { method, route, status, took, received, sent, reason });
        if !self.monitor.logs {
            return;
        }
        let (status, id) = (self.status.map(|status| status.as_u16()), self.id.as_str());
        let ms = took.as_secs_f64() * 1e3;
        if self.status.is_some_and(|status| status == StatusCode::INTERNAL_SERVER_ERROR) {
            tracing::error!(method, route, status, ms, received, sent, id, reason, "request");
        } else {
            tracing::info!(method, route, status, ms, received, sent, id, reason, "request");
        }
    }
}

/// A method as it is noted: callers can send any word.
fn known(method: &Method) -> &'static str {
    const ALL: [(Method, &str); 7] = [
        (Method::GET, "GET"),
        (Method::POST, "POST"),
        (Method::HEAD, "HEAD"),
        (Method::OPTIONS, "OPTIONS"),
        (Method::PUT, "PUT"),
        (Method::PATCH, "PATCH"),
        (Method::DELETE, "DELETE"),
    ];
    ALL.iter().find(|(one, _)| one == method).map_or("_OTHER", |(_, name)| name)
}

/// The body of an answer, with the exchange that ends with it.
#[derive(Debug)]
pub struct ObservedBody {
    body: BoxBody,
    whole: BodySize,
    exchange: Exchange,
}

impl ObservedBody {
    /// Ends an exchange with a body.
    pub fn new(body: impl MessageBody + 'static, exchange: Exchange) -> Self {
        Self { whole: body.size(), body: body.boxed(), exchange }
    }
}

impl MessageBody for ObservedBody {
    type Error = Box<dyn std::error::Error>;

    fn size(&self) -> BodySize {
        self.body.size()
    }

    fn poll_next(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Result<Bytes, Self::Error>>> {
        let this = self.get_mut();
        let polled = Pin::new(&mut this.body).poll_next(context);
        if let Poll::Ready(Some(Ok(bytes))) = &polled {
            this.exchange.sent += u64::try_from(bytes.len()).unwrap_or_default();
        }
        let is_sent = matches!(polled, Poll::Ready(None)) || this.whole == BodySize::Sized(this.exchange.sent);
        this.exchange.is_under_way = !is_sent;
        polled
    }
}
