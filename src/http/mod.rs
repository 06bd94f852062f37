//! The front: HTTP, JSON, the document. One expression, [`routes`], makes both the service and its document.

pub mod body;
pub mod chunks;
pub mod connections;
pub mod docs;
pub mod document;
pub mod etag;
pub mod health;
pub mod in_flight;
pub mod input;
pub mod limits;
pub mod monitor;
pub mod negotiate;
pub mod output;
pub mod page;
pub mod present;
pub mod problem;
pub mod query;
pub mod resources;
pub mod server;
pub mod settings;
pub mod wire;

use actix_web::App;
use actix_web::dev::HttpServiceFactory;
use utoipa::openapi::OpenApi;
use utoipa_actix_web::service_config::ServiceConfig;
use utoipa_actix_web::{AppExt, OpenApiFactory};

/// What operations are given to: a server, which only serves them, or a document, which gathers their schemas. A server that
/// gathered them too would hold megabytes for each of its workers.
pub trait Register {
    /// Takes one operation.
    #[must_use]
    fn with<S: HttpServiceFactory + OpenApiFactory + 'static>(self, service: S) -> Self;
}

impl Register for &mut actix_web::web::ServiceConfig {
    fn with<S: HttpServiceFactory + OpenApiFactory + 'static>(self, service: S) -> Self {
        self.service(service)
    }
}

impl Register for &mut ServiceConfig<'_> {
    fn with<S: HttpServiceFactory + OpenApiFactory + 'static>(self, service: S) -> Self {
        self.service(service)
    }
}

/// Every operation. The server, the tests and the document are made from this and nothing else.
pub fn routes<R: Register>(register: R) {
    let _ = reference(links(questions(register)));
}

/// The questions, with their tables and lists.
fn questions<R: Register>(register: R) -> R {
    register
        .with(resources::applications::calculate_applications)
        .with(resources::harvests::calculate_harvests)
        .with(resources::brews::plan_brews)
        .with(resources::balances::balance_stock)
        .with(resources::seasons::plan_season)
        .with(resources::feeds::plan_feed)
        .with(resources::tables::send_applications_table)
        .with(resources::tables::link_applications_table)
        .with(resources::tables::send_balances_table)
        .with(resources::tables::link_balances_table)
        .with(resources::tables::send_harvests_table)
        .with(resources::tables::link_harvests_table)
        .with(resources::tables::send_calibrations_table)
        .with(resources::tables::link_calibrations_table)
        .with(resources::feeds::list_materials)
        .with(resources::worm_beds::size_worm_bed)
        .with(resources::calibrations::calibrate_assumptions)
        .with(resources::applications::list_rates)
        .with(resources::batch::answer_batch)
}

/// The same with the request in the address.
fn links<R: Register>(register: R) -> R {
    register
        .with(resources::link::link_applications)
        .with(resources::link::link_harvests)
        .with(resources::link::link_brews)
        .with(resources::link::link_balances)
        .with(resources::link::link_season)
        .with(resources::link::link_worm_beds)
        .with(resources::link::link_feeds)
        .with(resources::link::link_calibrations)
}

/// Cells, what is looked up, and whether the service runs.
fn reference<R: Register>(register: R) -> R {
    register
        .with(resources::cells::applications_volume)
        .with(resources::cells::applications_mass)
        .with(resources::cells::applications_rate)
        .with(resources::cells::harvests_volume)
        .with(resources::cells::brews_volume)
        .with(resources::reference::list_units)
        .with(resources::reference::list_assumptions)
        .with(resources::reference::list_cautions)
        .with(resources::reference::list_formulas)
        .with(resources::reference::list_sources)
        .with(resources::reference::list_limits)
        .with(health::explain_problem)
        .with(health::openapi_document)
        .with(health::health_live)
        .with(health::health_ready)
        .with(health::metrics)
}

/// The OpenAPI document.
#[must_use]
pub fn document() -> OpenApi {
    let (_, api) = App::new().into_utoipa_app().configure(|config| routes(config)).split_for_parts();
    document::complete(api)
}
