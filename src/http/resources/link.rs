//! `GET /v1/<question>?request=`: the request in the address, for links, imports of spreadsheets and subscriptions of calendars.

use super::applications::{Applications, ApplicationsAnswer};
use super::balances::{Balances, BalancesAnswer};
use super::brews::{Brews, BrewsAnswer};
use super::calibrations::{Calibrations, CalibrationsAnswer};
use super::feeds::{Feeds, FeedsAnswer};
use super::harvests::{Harvests, HarvestsAnswer};
use super::seasons::{Seasons, SeasonsAnswer};
use super::worm_beds::{WormBeds, WormBedsAnswer};
use super::{Example, Question};
use crate::http::body::inflated_as_zlib;
use crate::http::etag::answer_to_address;
use crate::http::in_flight::{Held, InFlight, aside};
use crate::http::limits::MAX_LINK;
use crate::http::negotiate::Media;
use crate::http::output::COMPUTED_WITH;
use crate::http::present::options::{OptionParams, Options, Reader};
use crate::http::problem::{LinkProblems, Problem};
use crate::http::query::{given, one_of};
use crate::http::resources::respond::{Accepted, respond_if_sound};
use crate::http::wire::{ErrorCode, JsonPath, Node, RequestErrors};
use actix_web::{HttpRequest, HttpResponse, get, web};
use base64::Engine;
use base64::alphabet::URL_SAFE;
use base64::engine::{DecodePaddingMode, GeneralPurpose, GeneralPurposeConfig};
use utoipa::IntoParams;

/// The parameters.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "only the document reads it: its parameters")]
struct LinkParams {
    /// The JSON request in base64url (RFC 4648), plain or compressed as zlib (RFC 1950).
    #[param(max_length = 8192, pattern = "^[A-Za-z0-9_-]+={0,2}$")]
    request: String,
    /// The format of the answer, where the header `Accept` cannot be set.
    #[param(rename = "as", example = "json")]
    form: Option<String>,
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
    /// The form, where it is said, and how it is written there; or what is wrong with the other parameters.
    form: Result<(Option<Media>, Options), Problem>,
}

impl Link {
    fn read<Q: Question>(query: &str) -> Result<Self, Problem> {
        let errors = RequestErrors::query();
        if query.len() > MAX_LINK + ROOM {
            let detail =
                format!("An address takes at most {MAX_LINK} characters of request; send a longer one by POST.");
            errors.push(JsonPath::root().field("request"), ErrorCode::WrongLength, detail);
            return Err(Problem::errors(errors, &Node::Null));
        }
        let (mut request, mut form) = (None, None);
        let mut reader = Reader::new(&errors, Q::TABLES);
        let own = ["request", "as"];
        for (name, value) in given(query, &reader.names().chain(own).collect::<Vec<_>>()) {
            if reader.is_repeated(&name) {
                continue;
            }
            match name.as_str() {
                "request" => request = Some(decoded(&value, JsonPath::root().field("request"), &errors)),
                "as" => form = form_of(&value, Q::MEDIA, &errors),
                other if reader.take(other, &value) => {}
                other => reader.unknown(other, &own),
            }
        }
        let options = reader.options();
        if request.is_none() {
            let detail = "Give the JSON request in base64url; or send it by POST.";
            errors.push(JsonPath::root().field("request"), ErrorCode::MissingField, detail);
        }
        let is_sound = errors.is_empty();
        let problem = || Problem::errors(errors, &Node::Null);
        match request.flatten() {
            Some(request) if is_sound => Ok(Self { request, form: Ok((form, options)) }),
            Some(request) => Ok(Self { request, form: Err(problem()) }),
            None => Err(problem()),
        }
    }
}

fn decoded(value: &str, at: JsonPath<'_>, errors: &RequestErrors) -> Option<Vec<u8>> {
    if value.len() > MAX_LINK {
        let detail = format!("A request in an address has at most {MAX_LINK} characters; send a longer one by POST.");
        errors.push(at, ErrorCode::WrongLength, detail).max(u32::try_from(MAX_LINK).map(f64::from).ok());
        return None;
    }
    let bytes = BASE64.decode(value.trim());
    if bytes.is_err() {
        let detail =
            "This is not base64url (RFC 4648, section 5): letters, digits, - in place of + and _ in place of /.";
        errors.push(at, ErrorCode::BadText, detail);
    }
    let bytes = bytes.ok()?;
    if !is_zlib(&bytes) && std::str::from_utf8(&bytes).is_err() {
        let detail = "This is not text once it is decoded: the link was probably cut or changed. Copy the whole link, or make it again.";
        errors.push(at, ErrorCode::BadText, detail);
        return None;
    }
    Some(bytes)
}

/// The form of this word.
pub(super) fn form_of(word: &str, forms: &[Media], errors: &RequestErrors) -> Option<Media> {
    let words: Vec<&str> = forms.iter().map(|media| media.as_str()).collect();
    let found = one_of("as", word, &words, errors)?;
    forms.iter().copied().find(|media| media.as_str() == found)
}

/// The request of an example as an address has it.
#[must_use]
pub fn encoded(example: &Example) -> String {
    let request: serde_json::Value = serde_json::from_str(example.body).unwrap_or_default();
    encoded_bytes(request.to_string().as_bytes())
}

/// Bytes as an address has them.
#[must_use]
pub fn encoded_bytes(bytes: &[u8]) -> String {
    BASE64.encode(bytes).trim_end_matches('=').to_owned()
}

/// Whether these bytes are compressed: no JSON begins as zlib does.
fn is_zlib(bytes: &[u8]) -> bool {
    bytes.first().is_some_and(|first| first & 0x0f == 8)
}

/// Answers a question whose request is in the address.
async fn answered<Q: Question + 'static>(
    accepted: Accepted,
    request: HttpRequest,
    in_flight: InFlight,
) -> Result<HttpResponse, Problem> {
    let link = Link::read::<Q>(request.query_string())?;
    let (media, options) = match link.form {
        Ok((Some(media), options)) => (media, Ok(options)),
        Ok((None, options)) => (accepted.choose(Q::MEDIA)?, Ok(options)),
        Err(refused) => (Media::Json, Err(refused)),
    };
    let is_sound = options.is_ok();
    let answer = async {
        let (mut bytes, mut held) = (web::Bytes::from(link.request), Held::default());
        if is_zlib(&bytes) {
            let counts = in_flight.clone();
            let work = move || inflated_as_zlib(&bytes, &counts);
            // What cannot be unpacked does not hide what is wrong with the address.
            let with_address = |problem: Problem| match &options {
                Ok(_) => problem,
                Err(refused) => refused.clone().beside(problem),
            };
            (bytes, held) = aside(work).await?.map_err(with_address)?;
        }
        respond_if_sound::<Q>((media, options), (bytes, held), &in_flight).await
    };
    if !is_sound {
        // It has no answer that a tag could be of.
        return answer.await;
    }
    answer_to_address(&request, [COMPUTED_WITH, Q::NAME, media.as_str()], answer).await
}

/// The GET of a question, with what the document says of it.
macro_rules! link {
    ($name:ident, $tag:literal, $path:literal, $question:ty, $answer:ty, [$($media:literal),*]; $about:literal) => {
        #[doc = $about]
        #[doc = ""]
        #[doc = "Like the POST, for links: anyone with the address can read the request."]
        #[utoipa::path(
            tag = $tag,
            params(LinkParams, OptionParams),
            responses(
                (status = 200, description = "The answer, as for the POST", content(($answer = "application/json") $(, (String = $media))*)),
                LinkProblems,
            )
        )]
        #[get($path)]
        pub async fn $name(accepted: Accepted, request: HttpRequest, in_flight: InFlight) -> Result<HttpResponse, Problem> {
            answered::<$question>(accepted, request, in_flight).await
        }
    };
}

link!(link_applications, "applications", "/v1/applications", Applications, ApplicationsAnswer, ["text/csv", "text/html", "text/plain"];
    "Applications from a link");
link!(link_harvests, "harvests", "/v1/harvests", Harvests, HarvestsAnswer,
    ["text/csv", "text/html", "text/plain", "image/svg+xml", "text/calendar"]; "Harvests from a link");
link!(link_brews, "brews", "/v1/brews", Brews, BrewsAnswer, ["text/csv", "text/html", "text/plain", "text/calendar"];
    "Brews from a link");
link!(link_feeds, "feeds", "/v1/feeds", Feeds, FeedsAnswer, ["text/csv", "text/html", "text/plain", "text/calendar"];
    "A feed from a link");
link!(link_balances, "balances", "/v1/balances", Balances, BalancesAnswer, ["text/csv", "text/html", "text/plain", "image/svg+xml"];
    "A balance from a link");
link!(link_worm_beds, "worm-beds", "/v1/worm-beds", WormBeds, WormBedsAnswer,
    ["text/csv", "text/html", "text/plain", "image/svg+xml", "text/calendar"]; "The size of a worm bed from a link");
link!(link_season, "seasons", "/v1/seasons", Seasons, SeasonsAnswer,
    ["text/csv", "text/html", "text/plain", "image/svg+xml", "text/calendar"]; "A season from a link");
link!(link_calibrations, "calibrations", "/v1/calibrations", Calibrations, CalibrationsAnswer,
    ["text/csv", "text/html", "text/plain", "image/svg+xml"]; "A calibration from a link");
