//! The bare service to compare with: typed structs in, the answer of the service out, as one typed value; nothing around it.

use crate::bodies;
use actix_web::{App, HttpResponse, HttpServer, web};
use barrowful::http::resources::Question;
use barrowful::http::resources::applications::Applications;
use barrowful::http::resources::ask::ask;
use barrowful::http::wire::parse;
use serde::Deserialize;
use std::hint::black_box;

/// The answer, as it is written.
type Answer = <Applications as Question>::Answer;

/// The body, as typed structs.
#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
pub struct Request {
    #[serde(default)]
    containers: Vec<Container>,
    areas: Vec<Area>,
}

#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
struct Container {
    name: String,
    capacity: String,
}

#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
struct Area {
    name: String,
    surface: Surface,
    rate: Rate,
}

#[derive(Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(dead_code, reason = "only its reading costs")]
enum Surface {
    Rows { count: u32, length: String, band_width: String },
    Rectangle { length: String, width: String },
    Plants { count: u32 },
    Pots { count: u32, volume: String },
}

#[derive(Deserialize)]
#[expect(dead_code, reason = "only its reading costs")]
struct Rate {
    kind: String,
    amount: String,
}

async fn answered(answer: web::Data<Answer>, body: web::Json<Request>) -> HttpResponse {
    black_box(&body.0);
    HttpResponse::Ok().json(answer.get_ref())
}

/// Serves both bodies, each with its answer, until the process is killed.
pub fn serve(port: u16) {
    let answer = |body: &[u8]| web::Data::new(ask::<Applications>(&parse(body).unwrap()).unwrap());
    let (small, large) = (answer(bodies::SMALL.as_bytes()), answer(&bodies::areas(10_000)));
    let server = HttpServer::new(move || {
        let at = |path: &str, answer: &web::Data<Answer>| {
            web::resource(path).app_data(answer.clone()).route(web::post().to(answered))
        };
        App::new()
            .app_data(web::JsonConfig::default().limit(8 << 20))
            .service(at("/small", &small))
            .service(at("/large", &large))
    });
    let server = server.workers(1).bind(("127.0.0.1", port)).unwrap();
    actix_web::rt::System::new().block_on(server.run()).unwrap();
}
