//! The server: routes, what surrounds every answer, starting and stopping.

mod access;
mod around;
mod headers;
mod paths;
mod run;

pub use run::{Running, Stopped, serve};

use super::chunks::in_pieces;
use super::connections::{accept, watch};
use super::docs;
use super::health;
use super::in_flight::InFlight;
use super::limits::MAX_CONNECTIONS;
use super::monitor::Monitor;
use super::page;
use super::routes;
use super::settings::{MetricsAt, Settings};
use access::Access;
use actix_web::dev::Server;
use actix_web::middleware::{Compress, Condition, from_fn};
use actix_web::{App, HttpServer, web};
use around::{inner, outer};
use headers::cors;
use paths::{Paths, elsewhere};
use std::io;
use std::net::SocketAddr;

/// Seconds that the connections of a stopping server have at the least; [`run`] ends what takes longer than it is set to.
const LAST_SECONDS: u64 = 1;

/// A server that listens: to be awaited.
pub struct Listening {
    /// What answers.
    pub server: Server,
    /// Where.
    pub addresses: Vec<SocketAddr>,
    /// What is kept of it.
    pub monitor: web::Data<Monitor>,
    /// The server of the metrics, where they have an address of their own.
    pub metrics: Option<(Server, Vec<SocketAddr>)>,
}

/// Listens, and returns the servers to be awaited with the addresses they listen on.
///
/// # Errors
/// When an address cannot be taken.
pub fn listen(settings: &Settings) -> io::Result<Listening> {
    let monitor = web::Data::new(Monitor::new(settings.log).map_err(io::Error::other)?);
    let (paths, access) = (web::Data::new(Paths::committed()), web::Data::new(Access::new(settings)));
    let in_flight = InFlight::new((settings.deadline, settings.times.body), settings.in_flight);
    let metrics = listen_for_metrics(settings.metrics, (&monitor, &in_flight))?;
    let (origins, metrics_at) = (settings.origins.clone(), web::Data::new(settings.metrics));
    let observed = monitor.clone();
    let server = HttpServer::new(move || {
        App::new()
            .configure(|config| routes(config))
            .app_data(paths.clone())
            .app_data(access.clone())
            .app_data(in_flight.clone())
            .app_data(observed.clone())
            .app_data(metrics_at.clone())
            .configure(docs::routes)
            .configure(page::routes)
            .default_service(web::to(elsewhere))
            .wrap(from_fn(in_pieces))
            .wrap(from_fn(inner))
            .wrap(Compress::default())
            .wrap(Condition::new(!origins.is_empty(), cors(&origins)))
            .wrap(from_fn(outer))
            .wrap(from_fn(watch))
    })
    .on_connect(accept(settings.times))
    .max_connections(MAX_CONNECTIONS)
    .keep_alive(settings.times.idle)
    .tcp_nodelay(true)
    // Who closes their side does not wait for the answer: work for them ends.
    .h1_allow_half_closed(false)
    .disable_signals()
    .client_request_timeout(settings.times.head)
    .shutdown_timeout(settings.stop_within.as_secs() + LAST_SECONDS)
    .bind(settings.bind)
    .map_err(|error| named(settings.bind, &error))?;
    let server = settings.workers.iter().fold(server, |server, workers| server.workers(usize::from(*workers)));
    let addresses = server.addrs();
    Ok(Listening { server: server.run(), addresses, monitor, metrics })
}

/// Listens for whoever watches the service, where that has an address of its own.
fn listen_for_metrics(
    at: MetricsAt,
    (monitor, in_flight): (&web::Data<Monitor>, &InFlight),
) -> io::Result<Option<(Server, Vec<SocketAddr>)>> {
    let MetricsAt::Address(address) = at else { return Ok(None) };
    let (monitor, in_flight) = (monitor.clone(), in_flight.clone());
    let here = web::Data::new(MetricsAt::Service);
    let server = HttpServer::new(move || {
        App::new().app_data(monitor.clone()).app_data(in_flight.clone()).app_data(here.clone()).service(health::metrics)
    });
    let server = server.workers(1).disable_signals().bind(address).map_err(|error| named(address, &error))?;
    let addresses = server.addrs();
    Ok(Some((server.run(), addresses)))
}

/// An error with the address that could not be taken.
fn named(address: SocketAddr, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{address}: {error}"))
}
