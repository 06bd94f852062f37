//! The front: HTTP, JSON, the document. One expression, [`routes`], makes both the service and its document.

pub mod answer;
pub mod body;
pub mod document;
pub mod health;
pub mod input;
pub mod limits;
pub mod negotiate;
pub mod output;
pub mod present;
pub mod problem;
pub mod rooms;
pub mod serve;
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
    let _ = register
        .with(rooms::applications::calculate_applications)
        .with(rooms::harvests::calculate_harvests)
        .with(rooms::brews::plan_brews)
        .with(rooms::balances::balance_stock)
        .with(rooms::seasons::plan_season)
        .with(rooms::seasons::link_season)
        .with(rooms::feeds::plan_feed)
        .with(rooms::feeds::list_materials)
        .with(rooms::cells::applications_volume)
        .with(rooms::cells::applications_mass)
        .with(rooms::cells::harvests_volume)
        .with(rooms::cells::brews_volume)
        .with(rooms::reference::list_units)
        .with(rooms::reference::list_assumptions)
        .with(rooms::reference::list_cautions)
        .with(rooms::reference::list_formulas)
        .with(rooms::reference::list_sources)
        .with(rooms::reference::list_limits)
        .with(health::explain_problem)
        .with(health::openapi_document)
        .with(health::health_live)
        .with(health::health_ready);
}

/// The OpenAPI document.
#[must_use]
pub fn document() -> OpenApi {
    let (_, api) = App::new().into_utoipa_app().configure(|config| routes(config)).split_for_parts();
    document::complete(api)
}
