//! The front: HTTP, JSON, the document. One expression, [`routes`], makes both the service and its document.

pub mod answer;
pub mod body;
pub mod document;
pub mod health;
pub mod input;
pub mod limits;
pub mod negotiate;
pub mod output;
pub mod problem;
pub mod rooms;
pub mod serve;
pub mod settings;
pub mod wire;

use actix_web::App;
use utoipa::openapi::OpenApi;
use utoipa_actix_web::AppExt;
use utoipa_actix_web::service_config::ServiceConfig;

/// Every operation. The server, the tests and the document are made from this and nothing else.
pub fn routes(config: &mut ServiceConfig<'_>) {
    config
        .service(rooms::applications::calculate_applications)
        .service(rooms::harvests::calculate_harvests)
        .service(rooms::brews::plan_brews)
        .service(rooms::balances::balance_stock)
        .service(rooms::feeds::plan_feed)
        .service(rooms::feeds::list_materials)
        .service(rooms::cells::applications_volume)
        .service(rooms::cells::applications_mass)
        .service(rooms::cells::harvests_volume)
        .service(rooms::cells::brews_volume)
        .service(rooms::reference::list_units)
        .service(rooms::reference::list_assumptions)
        .service(rooms::reference::list_sources)
        .service(rooms::reference::list_limits)
        .service(health::explain_problem)
        .service(health::openapi_document)
        .service(health::health_live)
        .service(health::health_ready);
}

/// The OpenAPI document.
#[must_use]
pub fn document() -> OpenApi {
    let (_, api) = App::new().into_utoipa_app().configure(routes).split_for_parts();
    document::complete(api)
}
