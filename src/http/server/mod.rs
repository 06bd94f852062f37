//! The server: routes and what surrounds every answer.

mod access;
mod paths;
mod run;

pub use run::{Running, serve};

use super::chunks::in_pieces;
use super::connections::{accept, watch};
use super::docs;
use super::in_flight::InFlight;
use super::limits::MAX_CONNECTIONS;
use super::problem::{Kind, Problem};
use super::routes;
use super::settings::Settings;
use access::Access;
use actix_cors::Cors;
use actix_web::body::{BoxBody, EitherBody, MessageBody};
use actix_web::dev::{Server, ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::http::header::{self, HeaderValue};
use actix_web::middleware::{Compress, Condition, Next, from_fn};
use actix_web::{App, HttpServer, web};
use paths::{Paths, elsewhere};
use std::io;
use std::net::SocketAddr;

/// Runs around every request: HEAD is answered as GET (the body is left out when it is written), a token is asked for
/// where one is set, and every refusal leaves as a problem document.
async fn around<B: MessageBody + 'static>(
    access: web::Data<Access>,
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<EitherBody<B, BoxBody>>, actix_web::Error> {
    if request.method() == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    let mut response = if access.admits(&mut request) {
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
    let access = web::Data::new(Access::new(settings));
    let origins = settings.origins.clone();
    let in_flight = InFlight::new((settings.deadline, settings.times.body), settings.in_flight);
    let mut server = HttpServer::new(move || {
        App::new()
            .configure(|config| routes(config))
            .app_data(paths.clone())
            .app_data(access.clone())
            .app_data(in_flight.clone())
            .configure(docs::routes)
            .default_service(web::to(elsewhere))
            .wrap(from_fn(in_pieces))
            .wrap(Compress::default())
            .wrap(from_fn(around))
            .wrap(Condition::new(!origins.is_empty(), cors(&origins)))
            .wrap(from_fn(outermost))
            .wrap(from_fn(watch))
    })
    .on_connect(accept(settings.times))
    .max_connections(MAX_CONNECTIONS)
    .keep_alive(settings.times.idle)
    .tcp_nodelay(true)
    .client_request_timeout(settings.times.head)
    .shutdown_timeout(10)
    .bind(settings.bind)?;
    if let Some(workers) = settings.workers {
        server = server.workers(usize::from(workers));
    }
    let addresses = server.addrs();
    Ok((server.run(), addresses))
}
