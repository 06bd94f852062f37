//! The address that answers a request by GET.

use super::question::Request;
use super::send::Service;
use super::{AskArgs, Failure};
use crate::http::resources::link::encoded_bytes;
use flate2::Compression;
use flate2::write::ZlibEncoder;
use reqwest::Url;
use std::io::Write;

/// The address without a name and a password.
pub(super) fn open_to_all(mut address: Url) -> Url {
    // An address of http always has room for them.
    let _ = address.set_username("").and_then(|()| address.set_password(None));
    address
}

/// The address: the request as it is, or compressed where that is shorter.
pub(super) fn address(args: &AskArgs, request: &Request, service: &Service) -> Result<Url, Failure> {
    let mut zlib = ZlibEncoder::new(Vec::new(), Compression::best());
    let packed = zlib.write_all(&request.bytes).and_then(|()| zlib.finish());
    let packed =
        packed.map_err(|error| Failure::no_answer(format!("The request could not be compressed: {error}.")))?;
    let shorter = if packed.len() < request.bytes.len() { &packed } else { &request.bytes };
    let mut address = service.question(request.resource);
    let mut query = address.query_pairs_mut();
    query.append_pair("request", &encoded_bytes(shorter)).append_pair("as", args.form().as_str());
    if let Some(table) = &args.table {
        query.append_pair("table", table);
    }
    drop(query);
    Ok(address)
}
