//! The bytes of a body, after its headers were checked.

mod compression;

pub use compression::inflated_as_zlib;

use super::in_flight::{Held, InFlight, aside};
use super::limits::MAX_BODY;
use super::negotiate::Media;
use super::present::Options;
use super::problem::{Kind, Problem};
use actix_web::body::{BodyStream, MessageBody};
use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest, dev::Payload, web};
use compression::{Compression, inflated};
use std::future::{Future, poll_fn};
use std::pin::{Pin, pin};
use tokio::time::timeout;

/// A body that was declared as JSON and is not too large, and the query it came with.
#[derive(Debug)]
pub struct Body {
    bytes: web::Bytes,
    held: Held,
    query: String,
    in_flight: InFlight,
}

impl Body {
    /// The bytes, decompressed, and what counts them.
    #[must_use]
    pub fn into_bytes(self) -> (web::Bytes, Held) {
        (self.bytes, self.held)
    }

    /// The limits of the service that it came to.
    #[must_use]
    pub const fn in_flight(&self) -> &InFlight {
        &self.in_flight
    }

    /// The query of the address.
    #[must_use]
    pub fn query(&self) -> &str {
        &self.query
    }

    /// How the query wants the answer written.
    ///
    /// # Errors
    /// 422 with every parameter that is not known here.
    pub fn options(&self, tables: &'static [&'static str]) -> Result<Options, Problem> {
        Options::read(&self.query, tables)
    }
}

impl FromRequest for Body {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        Self::declared(
            declared_as(request, "application/json").and_then(|()| Compression::declared(request).map(|_| ())),
            request,
            payload,
        )
    }
}

/// A body that was declared as a table in CSV, and in which encoding.
#[derive(Debug)]
pub struct Table {
    /// The body.
    pub body: Body,
    /// The encoding of its text.
    pub encoding: &'static encoding_rs::Encoding,
}

impl FromRequest for Table {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let declared = declared_as_csv(request);
        let body = Body::declared(declared.as_ref().map(|_| ()).map_err(Clone::clone), request, payload);
        Box::pin(async move { Ok(Self { body: body.await?, encoding: declared? }) })
    }
}

impl Body {
    /// The body of a request whose headers were checked so far.
    fn declared(
        checked: Result<(), Problem>,
        request: &HttpRequest,
        payload: &mut Payload,
    ) -> Pin<Box<dyn Future<Output = Result<Self, Problem>>>> {
        if let Err(problem) = checked {
            return Box::pin(std::future::ready(Err(problem)));
        }
        if declared_length(request).is_some_and(|length| length > MAX_BODY) {
            return Box::pin(std::future::ready(Err(too_large())));
        }
        let query = request.query_string().to_owned();
        let compression = Compression::declared(request);
        let in_flight = request.app_data::<InFlight>().cloned();
        let payload = web::Payload::from_request(request, payload);
        Box::pin(async move {
            let in_flight = in_flight.ok_or_else(Problem::broken)?;
            let payload = payload.await.map_err(|_| damaged())?;
            let arrived = timeout(in_flight.slowest_body(), arrived(payload, &in_flight)).await;
            let (bytes, held) = arrived.map_err(|_| too_slow(&in_flight))??;
            let (bytes, held) = match compression? {
                None => (bytes, held),
                // Also a small one may hold megabytes.
                Some(how) => {
                    let counts = in_flight.clone();
                    let work = move || {
                        let _compressed = held;
                        inflated(&bytes, how, &counts)
                    };
                    aside(work).await??
                }
            };
            Ok(Self { bytes, held, query, in_flight })
        })
    }
}

/// All of a body that is not too large.
async fn arrived(payload: web::Payload, in_flight: &InFlight) -> Result<(web::Bytes, Held), Problem> {
    let mut payload = pin!(BodyStream::new(payload));
    let (mut bytes, mut held) = (Vec::new(), Held::default());
    while let Some(chunk) = poll_fn(|context| payload.as_mut().poll_next(context)).await {
        let chunk = chunk.map_err(|_| damaged())?;
        if bytes.len() + chunk.len() > MAX_BODY {
            return Err(too_large());
        }
        in_flight.hold(&mut held, chunk.len())?;
        bytes.extend_from_slice(&chunk);
    }
    Ok((bytes.into(), held))
}

fn too_slow(in_flight: &InFlight) -> Problem {
    let seconds = in_flight.slowest_body().as_secs();
    Problem::new(Kind::TooSlow, format!("The body did not arrive within {seconds} seconds; send it again."))
}

/// The media type of a body, which must be this one.
fn declared_type(request: &HttpRequest, name: &str) -> Result<mime::Mime, Problem> {
    let refuse = |detail: String| Err(undeclared(detail, name));
    let Some(value) = request.headers().get(header::CONTENT_TYPE) else {
        return refuse(format!("Add the header \"Content-Type: {name}\"."));
    };
    let Ok(mime) = value.to_str().unwrap_or_default().parse::<mime::Mime>() else {
        return refuse(format!("The header Content-Type cannot be read; send \"Content-Type: {name}\"."));
    };
    if mime.essence_str() != name {
        return refuse(format!("The body is declared as {}; send \"Content-Type: {name}\".", mime.essence_str()));
    }
    Ok(mime)
}

fn undeclared(detail: String, name: &str) -> Problem {
    Problem::new(Kind::UnsupportedMediaType, detail).available([name])
}

/// Refuses a body that is declared as anything but this, in UTF-8.
fn declared_as(request: &HttpRequest, name: &str) -> Result<(), Problem> {
    match declared_type(request, name)?.get_param("charset") {
        Some(charset) if charset != "utf-8" => {
            Err(undeclared(format!("The body is declared in {charset}; JSON is read in UTF-8 only."), name))
        }
        _ => Ok(()),
    }
}

/// The encoding of a body that is declared as a table.
fn declared_as_csv(request: &HttpRequest) -> Result<&'static encoding_rs::Encoding, Problem> {
    let mime = declared_type(request, "text/csv")?;
    let charset = mime.get_param("charset").map_or("utf-8", |charset| charset.as_str());
    let encoding = encoding_rs::Encoding::for_label(charset.as_bytes());
    let encoding = encoding.filter(|one| [encoding_rs::UTF_8, encoding_rs::WINDOWS_1252].contains(one));
    let refused = || {
        undeclared(format!("The body is declared in {charset}; a table is read in UTF-8 or windows-1252."), "text/csv")
    };
    let encoding = encoding.ok_or_else(refused)?;
    Compression::declared(request).map(|_| encoding)
}

/// Refuses a body that is not declared as lines of JSON, plain.
///
/// # Errors
/// 415 with what to declare.
pub fn declared_as_lines(request: &HttpRequest) -> Result<(), Problem> {
    declared_as(request, Media::Lines.name())?;
    match Compression::declared(request)? {
        None => Ok(()),
        Some(_) => {
            let detail = "A batch is answered while it comes; send its lines plain, without a content encoding.";
            Err(Problem::new(Kind::UnsupportedMediaType, detail).available(["identity"]))
        }
    }
}

fn declared_length(request: &HttpRequest) -> Option<usize> {
    request.headers().get(header::CONTENT_LENGTH)?.to_str().ok()?.parse().ok()
}

/// 400: a body that broke off.
pub fn damaged() -> Problem {
    Problem::new(Kind::NotJson, "The body broke off or its encoding is damaged; send it again.")
}

fn too_large() -> Problem {
    Problem::new(
        Kind::TooLarge,
        format!("The body may have at most {MAX_BODY} bytes, also after decompression; split the request."),
    )
}
