//! Bodies as they were before they were compressed.

use super::too_large;
use crate::http::in_flight::{Held, InFlight};
use crate::http::limits::MAX_BODY;
use crate::http::problem::{Kind, Problem};
use actix_web::http::header;
use actix_web::{HttpRequest, web};
use flate2::bufread::{MultiGzDecoder, ZlibDecoder};
use std::io::Read;

/// Bytes that are inflated at a time.
const STEP: usize = 16 * 1024;

/// How a body is compressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compression {
    /// As `gzip`.
    Gzip,
    /// As `deflate`.
    Deflate,
    /// As `br`.
    Brotli,
}

impl Compression {
    /// How the body of a request is compressed; `None` if it is plain.
    ///
    /// # Errors
    /// 415 where it says something else.
    pub fn declared(request: &HttpRequest) -> Result<Option<Self>, Problem> {
        let Some(value) = request.headers().get(header::CONTENT_ENCODING) else { return Ok(None) };
        match value.to_str().unwrap_or("?").trim().to_ascii_lowercase().as_str() {
            "identity" => Ok(None),
            "gzip" => Ok(Some(Self::Gzip)),
            "deflate" => Ok(Some(Self::Deflate)),
            "br" => Ok(Some(Self::Brotli)),
            _ => {
                let detail = "The content encoding is not known here; send the body plain, or as gzip, deflate or br.";
                Err(Problem::new(Kind::UnsupportedMediaType, detail).available(["identity", "gzip", "deflate", "br"]))
            }
        }
    }
}

/// The bytes of a body, and what counts them.
///
/// # Errors
/// 400 when they are damaged, 413 when they are too many, 503 when the service holds as many as it may.
pub fn inflated(bytes: &[u8], how: Compression, in_flight: &InFlight) -> Result<(web::Bytes, Held), Problem> {
    inflate(bytes, how, in_flight).map_err(|failure| match failure {
        Failure::Damaged => {
            let detail = "The body broke off or its encoding is damaged; send it again. If it is not compressed, leave out Content-Encoding.";
            Problem::new(Kind::NotJson, detail)
        }
        Failure::TooLarge => too_large(),
        Failure::Full(problem) => problem,
    })
}

/// The bytes of a request in an address that was compressed as zlib, and what counts them.
///
/// # Errors
/// As for a body.
pub fn inflated_as_zlib(bytes: &[u8], in_flight: &InFlight) -> Result<(web::Bytes, Held), Problem> {
    inflate(bytes, Compression::Deflate, in_flight).map_err(|failure| match failure {
        Failure::Damaged => {
            let detail = "The request in the address begins as zlib does (RFC 1950), and is cut short or damaged: compress all of it \
                          again, and copy the whole address; or leave it uncompressed.";
            Problem::new(Kind::NotJson, detail)
        }
        Failure::TooLarge => {
            let detail = format!("The request in the address may have {MAX_BODY} bytes when decompressed; split it.");
            Problem::new(Kind::TooLarge, detail)
        }
        Failure::Full(problem) => problem,
    })
}

/// Why something compressed cannot be read.
enum Failure {
    Damaged,
    TooLarge,
    Full(Problem),
}

/// Inflates step by step and only up to the limit: a kilobyte can hold a gigabyte. Each step is counted before the next, since many
/// small bodies may be inflated at the same time.
fn inflate(bytes: &[u8], how: Compression, in_flight: &InFlight) -> Result<(web::Bytes, Held), Failure> {
    let mut compressed = bytes;
    let inflated = match how {
        Compression::Gzip => read(&mut MultiGzDecoder::new(&mut compressed), in_flight),
        Compression::Deflate => read(&mut ZlibDecoder::new(&mut compressed), in_flight),
        Compression::Brotli => read(&mut brotli::Decompressor::new(&mut compressed, STEP), in_flight),
    }?;
    if compressed.is_empty() { Ok(inflated) } else { Err(Failure::Damaged) }
}

fn read(from: &mut impl Read, in_flight: &InFlight) -> Result<(web::Bytes, Held), Failure> {
    let (mut bytes, mut held, mut step) = (Vec::new(), Held::default(), vec![0; STEP]);
    loop {
        let count = from.read(&mut step).map_err(|_| Failure::Damaged)?;
        let Some(read) = step.get(..count).filter(|read| !read.is_empty()) else {
            // What follows the end is no part of it; one reader says so only when it is asked again.
            return if matches!(from.read(&mut step), Ok(0)) {
                Ok((bytes.into(), held))
            } else {
                Err(Failure::Damaged)
            };
        };
        if bytes.len() + count > MAX_BODY {
            return Err(Failure::TooLarge);
        }
        in_flight.hold(&mut held, count).map_err(Failure::Full)?;
        bytes.extend_from_slice(read);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::http::connections::TimeLimits;
    use std::io::Write;
    use std::time::Duration;

    fn packed(bytes: usize) -> Vec<u8> {
        let mut writer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
        writer.write_all(&vec![b' '; bytes]).unwrap();
        writer.finish().unwrap()
    }

    #[test]
    fn what_is_inflated_is_counted_once_and_while_it_grows() {
        let service = |bytes| InFlight::new((Duration::from_secs(1), TimeLimits::default().body), bytes);
        let (in_flight, three) = (service(4 << 20), packed(3 << 20));
        assert!(three.len() < 10_000);
        let (bytes, held) = inflated(&three, Compression::Gzip, &in_flight).unwrap();
        assert_eq!(bytes.len(), 3 << 20);
        let left = in_flight.bytes_left();
        assert!((1 << 20..(1 << 20) + 100_000).contains(&left), "{left}");
        // A second one beside it is stopped on its way, and what it has taken is free again.
        assert_eq!(inflated(&three, Compression::Gzip, &in_flight).unwrap_err().status(), 503);
        assert_eq!(in_flight.bytes_left(), left);
        drop(held);
        assert!(inflated(&three, Compression::Gzip, &in_flight).is_ok());
    }
}
