//! The server: routes, what surrounds every answer, and starting and stopping.

use super::docs;
use super::problem::{Kind, Problem};
use super::routes;
use super::settings::Settings;
use super::wire::nearest;
use actix_cors::Cors;
use actix_web::body::{BoxBody, EitherBody, MessageBody};
use actix_web::dev::{Server, ServerHandle, ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{self, HeaderValue};
use actix_web::middleware::{Compress, Condition, Next, from_fn};
use actix_web::{App, HttpRequest, HttpResponse, HttpServer, web};
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;

/// The committed list of operations: tag, operation, method and path on each line. A test compares it with the document.
const OPERATIONS: &str = include_str!("../../openapi/operations.txt");

/// Every path of the document with its methods, for 404, 405 and OPTIONS.
#[derive(Debug, Clone)]
struct Paths(Arc<Vec<(&'static str, Vec<&'static str>)>>);

impl Paths {
    fn committed() -> Self {
        let mut paths: Vec<(&str, Vec<&str>)> = Vec::new();
        for line in OPERATIONS.lines() {
            let mut words = line.split_whitespace().skip(2);
            let (Some(method), Some(path)) = (words.next(), words.next()) else { continue };
            let methods = if method == "GET" { vec!["GET", "HEAD"] } else { vec![method] };
            match paths.iter_mut().find(|(other, _)| *other == path) {
                Some((_, all)) => all.extend(methods),
                None => paths.push((path, methods)),
            }
        }
        paths.iter_mut().for_each(|(_, methods)| methods.push("OPTIONS"));
        Self(Arc::new(paths))
    }

    fn methods(&self, path: &str) -> Option<&[&'static str]> {
        let matches = |pattern: &str| {
            let (mut a, mut b) = (pattern.split('/'), path.split('/'));
            loop {
                match (a.next(), b.next()) {
                    (None, None) => return true,
                    (Some(one), Some(other)) if one == other || (one.starts_with('{') && !other.is_empty()) => {}
                    _ => return false,
                }
            }
        };
        self.0.iter().find(|(pattern, _)| matches(pattern)).map(|(_, methods)| methods.as_slice())
    }
}

/// What no route took: 405 with `Allow`, 204 to OPTIONS, or 404 with the nearest path.
async fn elsewhere(request: HttpRequest, paths: web::Data<Paths>) -> Result<HttpResponse, Problem> {
    if let Some(methods) = paths.methods(request.path()) {
        if request.method() == Method::OPTIONS {
            return Ok(HttpResponse::NoContent().insert_header((header::ALLOW, methods.join(", "))).finish());
        }
        let detail = format!("This address takes {}.", methods.join(", "));
        return Err(Problem::new(Kind::MethodNotAllowed, detail).available(methods.iter().copied()));
    }
    let all: Vec<&str> = paths.0.iter().map(|(path, _)| *path).collect();
    let detail = match nearest(request.path(), &all) {
        Some(path) => format!("There is nothing at this address; did you mean {path}?"),
        None => "There is nothing at this address; /openapi.json lists all of them, /docs shows them.".to_owned(),
    };
    Err(Problem::new(Kind::NotFound, detail).available(all))
}

/// Runs around every request: HEAD is answered as GET (the body is left out when it is written), a token is asked for
/// where one is set, and every refusal leaves as a problem document.
async fn around<B: MessageBody + 'static>(
    token: web::Data<Option<String>>,
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<EitherBody<B, BoxBody>>, actix_web::Error> {
    if request.method() == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    let mut response = if authorised(&request, token.as_ref().as_deref()) {
        next.call(request).await?.map_into_left_body()
    } else {
        let problem = Problem::new(Kind::NoToken, "Send the header \"Authorization: Bearer\" followed by the token.");
        request.into_response(problem.to_response()).map_into_right_body()
    };
    let status = response.status();
    let reported = response.headers().get(header::CONTENT_TYPE).is_some_and(|t| t == "application/problem+json");
    if (status.is_client_error() || status.is_server_error()) && !reported {
        let kind = Kind::ALL.iter().copied().find(|kind| kind.status() == status);
        let kind = kind.unwrap_or(if status.is_client_error() { Kind::NotFound } else { Kind::Broken });
        let problem = Problem::new(kind, kind.title());
        response = response.into_response(problem.to_response()).map_into_right_body();
    }
    let vary = HeaderValue::from_static("Accept, Accept-Encoding, Origin");
    response.headers_mut().insert(header::VARY, vary);
    response.headers_mut().insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    Ok(response)
}

/// Runs around everything else: a refused preflight leaves as a problem document as well.
async fn outermost<B: MessageBody + 'static>(
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<EitherBody<B, BoxBody>>, actix_web::Error> {
    let preflight = request.method() == Method::OPTIONS;
    let response = next.call(request).await?;
    if !(preflight && response.status().is_client_error()) || response.headers().contains_key(header::CONTENT_TYPE) {
        return Ok(response.map_into_left_body());
    }
    let detail =
        "This origin, method or header is not among those that may be used; origins are set where the service is run.";
    let mut reported = Problem::new(Kind::OriginRefused, detail).to_response();
    reported.headers_mut().insert(header::VARY, HeaderValue::from_static("Accept, Accept-Encoding, Origin"));
    Ok(response.into_response(reported).map_into_right_body())
}

/// The paths that need no token: what is said about the service, not what it is asked.
const OPEN: &[&str] = &[
    "/v1/materials",
    "/v1/rates",
    "/v1/units",
    "/v1/assumptions",
    "/v1/cautions",
    "/v1/formulas",
    "/v1/sources",
    "/v1/limits",
];

fn authorised(request: &ServiceRequest, token: Option<&str>) -> bool {
    let Some(token) = token else { return true };
    // The path as the routes see it: with `%76` as `v`.
    let path = request.match_info().as_str();
    if !path.starts_with("/v1/") || OPEN.contains(&path) || request.method() == Method::OPTIONS {
        return true;
    }
    let sent = request.headers().get(header::AUTHORIZATION).and_then(|v| v.to_str().ok()).unwrap_or_default();
    sent.get(..7).is_some_and(|scheme| scheme.eq_ignore_ascii_case("bearer "))
        && sent.get(7..).is_some_and(|given| same(given.trim().as_bytes(), token.as_bytes()))
}

/// Compares without telling by its time how much of the token was right.
fn same(a: &[u8], b: &[u8]) -> bool {
    a.len() == b.len() && a.iter().zip(b).fold(0_u8, |differs, (x, y)| differs | (x ^ y)) == 0
}

fn cors(origins: &[String]) -> Cors {
    let cors = Cors::default().allowed_methods(["GET", "HEAD", "POST"]).max_age(3600).allowed_headers([
        header::CONTENT_TYPE,
        header::ACCEPT,
        header::AUTHORIZATION,
    ]);
    if origins.iter().any(|origin| origin == "*") {
        return cors.allow_any_origin().send_wildcard();
    }
    origins.iter().fold(cors, |cors, origin| cors.allowed_origin(origin))
}

/// Listens, and returns the server to be awaited with the addresses it listens on.
///
/// # Errors
/// When the address cannot be taken.
pub fn listen(settings: &Settings) -> io::Result<(Server, Vec<SocketAddr>)> {
    let paths = web::Data::new(Paths::committed());
    let token = web::Data::new(settings.token.clone());
    let origins = settings.origins.clone();
    let mut server = HttpServer::new(move || {
        App::new()
            .configure(|config| routes(config))
            .app_data(paths.clone())
            .app_data(token.clone())
            .configure(docs::routes)
            .default_service(web::to(elsewhere))
            .wrap(Compress::default())
            .wrap(from_fn(around))
            .wrap(Condition::new(!origins.is_empty(), cors(&origins)))
            .wrap(from_fn(outermost))
    })
    .tcp_nodelay(true)
    .client_request_timeout(std::time::Duration::from_secs(15))
    .shutdown_timeout(10)
    .bind(settings.bind)?;
    if let Some(workers) = settings.workers {
        server = server.workers(usize::from(workers));
    }
    let addresses = server.addrs();
    Ok((server.run(), addresses))
}

/// Serves until the process has to stop.
///
/// # Errors
/// When the address cannot be taken, or the server breaks.
pub fn serve(settings: &Settings) -> io::Result<()> {
    actix_web::rt::System::new().block_on(async {
        let (server, addresses) = listen(settings)?;
        for address in addresses {
            eprintln!("barrowful listens on http://{address}");
        }
        server.await
    })
}

/// A service in a thread of its own; it stops when this is dropped.
#[derive(Debug)]
pub struct Running {
    address: SocketAddr,
    handle: ServerHandle,
}

impl Running {
    /// Starts a service and waits until it listens.
    ///
    /// # Errors
    /// In words, when it does not start.
    pub fn start(settings: Settings) -> Result<Self, String> {
        let (tell, reported) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            actix_web::rt::System::new().block_on(async {
                match listen(&settings) {
                    Ok((server, addresses)) => {
                        let started = addresses.first().copied().ok_or_else(|| "it listens nowhere".to_owned());
                        let _ = tell.send(started.map(|address| Self { address, handle: server.handle() }));
                        let _ = server.await;
                    }
                    Err(error) => {
                        let _ = tell.send(Err(format!("the service does not start: {error}")));
                    }
                }
            });
        });
        reported.recv().map_err(|_| "the service does not start".to_owned())?
    }

    /// The address it listens on.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        // The command is sent at once; what is returned only waits for its end.
        drop(self.handle.stop(false));
    }
}
