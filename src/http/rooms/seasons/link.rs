//! `GET /v1/seasons`: the request in the address, for links and for subscriptions of a calendar.

use super::{Seasons, SeasonsAnswer};
use crate::http::answer::{Accepted, Form, respond_to};
use crate::http::body::{known_table, pairs};
use crate::http::limits::MAX_LINK;
use crate::http::negotiate::Media;
use crate::http::problem::{AskProblems, Problem};
use crate::http::rooms::Question;
use crate::http::wire::{FaultCode, Faults, Node, Place, nearest};
use actix_web::{HttpRequest, HttpResponse, get, web};
use base64::Engine;
use base64::alphabet::URL_SAFE;
use base64::engine::{DecodePaddingMode, GeneralPurpose, GeneralPurposeConfig};
use utoipa::IntoParams;

/// The parameters.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "stands for the parameters in the document")]
struct LinkParams {
    /// The JSON request in base64url (RFC 4648, section 5), with or without padding; up to 8 KiB.
    #[param(
        example = "eyJ1bnRpbCI6IjIwMjctMDYtMzAiLCJkZW1hbmRzIjpbeyJhbW91bnQiOiI0MCBMIn1dfQ",
        max_length = 8192,
        pattern = "^[A-Za-z0-9_-]+={0,2}$"
    )]
    request: String,
    /// The form of the answer, where the header `Accept` cannot be set: `json`, `csv`, `html`, `svg`, `calendar`.
    #[param(rename = "as", example = "json")]
    form: Option<String>,
    /// Which table, as CSV: `work` unless given, `demands`, `stock`, `by_date` or `worm_beds`.
    #[param(example = "work")]
    table: Option<String>,
}

/// With or without padding.
const BASE64: GeneralPurpose = GeneralPurpose::new(
    &URL_SAFE,
    GeneralPurposeConfig::new().with_decode_padding_mode(DecodePaddingMode::Indifferent),
);

/// Characters of a query besides the request.
const ROOM: usize = 1_024;

/// What the address asks for.
struct Link {
    request: Vec<u8>,
    form: Option<Media>,
    table: Option<&'static str>,
}

impl Link {
    fn read(query: &str) -> Result<Self, Problem> {
        let faults = Faults::query();
        if query.len() > MAX_LINK + ROOM {
            let detail =
                format!("An address takes at most {MAX_LINK} characters of request; send a longer one by POST.");
            faults.push(Place::root().field("request"), FaultCode::WrongLength, detail);
            return Err(Problem::faults(faults, &Node::Null));
        }
        let (mut request, mut form, mut table) = (None, None, None);
        let mut seen: Vec<String> = Vec::new();
        for (name, value) in pairs(query) {
            let root = Place::root();
            let at = root.field(&name);
            if seen.contains(&name) {
                faults.push(at, FaultCode::RepeatedParameter, "This parameter is given twice; give it once.");
                continue;
            }
            match name.as_str() {
                "request" if !value.is_empty() => request = Some(decoded(&value, at, &faults)),
                "request" => {}
                "as" => form = word(&value, at, &faults),
                "table" if !value.is_empty() => table = known_table(&value, Seasons::TABLES, &faults),
                "table" => {}
                other => {
                    let known = ["request", "as", "table"];
                    let detail = "This address takes request, as and table.";
                    faults
                        .push(at, FaultCode::UnknownParameter, detail)
                        .nearest(nearest(other, &known))
                        .allowed(&known);
                }
            }
            seen.push(name);
        }
        if request.is_none() {
            let detail = "Give the JSON request in base64url; or send it by POST.";
            faults.push(Place::root().field("request"), FaultCode::MissingField, detail);
        }
        match request.flatten() {
            Some(request) if faults.is_empty() => Ok(Self { request, form, table }),
            _ => Err(Problem::faults(faults, &Node::Null)),
        }
    }
}

fn decoded(value: &str, at: Place<'_>, faults: &Faults) -> Option<Vec<u8>> {
    if value.len() > MAX_LINK {
        let detail = format!("A request in an address has at most {MAX_LINK} characters; send a longer one by POST.");
        faults.push(at, FaultCode::WrongLength, detail).max(u32::try_from(MAX_LINK).map(f64::from).ok());
        return None;
    }
    let bytes = BASE64.decode(value.trim());
    if bytes.is_err() {
        let detail = "This is not base64url: letters, digits, - and _ (RFC 4648, section 5).";
        faults.push(at, FaultCode::BadText, detail);
    }
    bytes.ok()
}

fn word(value: &str, at: Place<'_>, faults: &Faults) -> Option<Media> {
    if value.is_empty() {
        return None;
    }
    let found = Seasons::MEDIA.iter().copied().find(|media| media.word() == value);
    if found.is_none() {
        let words: Vec<&str> = Seasons::MEDIA.iter().map(|media| media.word()).collect();
        let shown = crate::garden::units::text::clip(value);
        let detail = format!("There is no form \"{shown}\"; there are {}.", words.join(", "));
        faults.push(at, FaultCode::UnknownValue, detail).nearest(nearest(value, &words)).allowed(&words);
    }
    found
}

/// A season from its address
///
/// As the POST, with the request in the address: a link to a sheet or a chart, or the address of a calendar to subscribe to. Nothing
/// is kept: whoever has the address has the request. Pointers of faults point into the decoded request.
#[utoipa::path(
    tag = "seasons",
    operation_id = "link_season",
    params(LinkParams),
    responses(
        (status = 200, description = "The plan, its chances, the work, and what closes the gap", content(
            (SeasonsAnswer = "application/json"), (String = "text/csv"), (String = "text/html"), (String = "image/svg+xml"),
            (String = "text/calendar"))),
        AskProblems,
    )
)]
#[get("/v1/seasons")]
pub async fn link_season(accepted: Accepted, request: HttpRequest) -> Result<HttpResponse, Problem> {
    let link = Link::read(request.query_string())?;
    let media = match link.form {
        Some(media) => media,
        None => accepted.choose(Seasons::MEDIA)?,
    };
    let table = link.table.or(Seasons::TABLES.first().copied());
    respond_to::<Seasons>(Form { media, table }, web::Bytes::from(link.request)).await
}
