//! What runs around every request.

use super::access::Access;
use super::headers::{complete, refused_preflight};
use super::paths::Paths;
use crate::http::monitor::{Exchange, Monitor, ObservedBody, RequestId};
use crate::http::problem::{Kind, Problem};
use actix_web::body::{BoxBody, EitherBody, MessageBody};
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::error::InternalError;
use actix_web::http::{ConnectionType, Method, StatusCode, header};
use actix_web::middleware::Next;
use actix_web::{HttpMessage, HttpResponse, web};
use futures_util::{FutureExt, StreamExt};
use std::cell::Cell;
use std::panic::AssertUnwindSafe;
use std::rc::Rc;

/// Runs next to the routes: HEAD is answered as GET (the body is left out when it is written), a token is asked for where one is set,
/// and every refusal leaves as a problem document with the id of its request.
pub async fn inner<B: MessageBody + 'static>(
    access: web::Data<Access>,
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<EitherBody<B, BoxBody>>, actix_web::Error> {
    if request.method() == Method::HEAD {
        request.head_mut().method = Method::GET;
    }
    let id = request.extensions().get::<RequestId>().cloned();
    let mut response = match access.admits(&mut request) {
        Ok(()) => next.call(request).await?.map_into_left_body(),
        Err(detail) => {
            let problem = Problem::new(Kind::NoToken, detail);
            request.into_response(problem.to_response()).map_into_right_body()
        }
    };
    let status = response.status();
    if status.is_client_error() || status.is_server_error() {
        let reported = response.response_mut().extensions_mut().remove::<Problem>();
        let problem = reported.unwrap_or_else(|| Problem::of_status(status));
        let problem = problem.with_request_id(id.as_ref().map(RequestId::as_str).unwrap_or_default());
        response = response.into_response(problem.to_response()).map_into_right_body();
    }
    Ok(response)
}

/// Runs around everything else: notes each request, catches panics, gives every answer its headers, and reports a refused preflight as a
/// problem.
pub async fn outer<B: MessageBody + 'static>(
    (monitor, paths): (web::Data<Monitor>, web::Data<Paths>),
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<ObservedBody>, actix_web::Error> {
    let id = RequestId::of(request.headers());
    let route = paths.template(request.match_info().as_str());
    let mut exchange = Exchange::begin(&monitor.clone().into_inner(), (request.method(), route), id.clone());
    request.extensions_mut().insert(id.clone());
    count(&mut request, exchange.received());
    let preflight = request.method() == Method::OPTIONS;
    let answered = AssertUnwindSafe(next.call(request)).catch_unwind().await;
    let mut response = match answered.unwrap_or_else(|_| Err(Problem::broken().into())) {
        Ok(response) => response.map_into_boxed_body(),
        Err(error) => {
            // What was asked is gone; so the answer is made here.
            let reported = error.as_error::<Problem>().cloned();
            let problem = reported.unwrap_or_else(|| Problem::of_status(error.as_response_error().status_code()));
            let mut answer = problem.with_request_id(id.as_str()).to_response();
            complete(answer.headers_mut(), route, &id);
            exchange.answered(answer.status(), reason(&answer));
            return Err(InternalError::from_response(error, answer).into());
        }
    };
    if response.status().is_client_error() && !response.headers().contains_key(header::CONTENT_TYPE) {
        let problem = without_words(preflight, response.status());
        response = response.into_response(problem.with_request_id(id.as_str()).to_response());
    }
    complete(response.headers_mut(), route, &id);
    if monitor.is_stopping() {
        response.response_mut().head_mut().set_connection_type(ConnectionType::Close);
    }
    exchange.answered(response.status(), reason(response.response()));
    Ok(response.map_body(|_, body| ObservedBody::new(body, exchange)))
}

/// The problem for a refusal that a layer around the questions makes without a body.
fn without_words(preflight: bool, status: StatusCode) -> Problem {
    match status {
        _ if preflight => Problem::new(Kind::OriginRefused, refused_preflight()),
        StatusCode::NOT_ACCEPTABLE => {
            Problem::new(Kind::NotAcceptable, "Accept-Encoding allows no encoding in which this answer is available.")
                .available(["br", "gzip", "deflate", "identity"])
        }
        _ => Problem::of_status(status),
    }
}

/// Why a request is refused, as it is noted.
fn reason<B>(response: &HttpResponse<B>) -> Option<&'static str> {
    response.extensions().get::<Problem>().map(Problem::reason)
}

/// Counts the bytes of a body as they are read.
fn count(request: &mut ServiceRequest, counter: Rc<Cell<u64>>) {
    let payload = request.take_payload();
    if matches!(payload, Payload::None) {
        return;
    }
    let counted = payload.inspect(move |read| {
        let length = read.as_ref().map_or(0, |bytes| u64::try_from(bytes.len()).unwrap_or_default());
        counter.set(counter.get() + length);
    });
    request.set_payload(Payload::Stream { payload: Box::pin(counted) });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::http::monitor::{Read, watch_panics};
    use crate::http::settings::{LogForm, Settings};
    use actix_web::middleware::from_fn;
    use actix_web::test::{TestRequest, call_service, init_service, try_call_service};
    use actix_web::{App, rt, web};

    async fn fails() -> HttpResponse {
        let numbers = Vec::<u8>::new();
        HttpResponse::Ok().body(numbers[0].to_string())
    }

    #[test]
    fn a_panic_is_caught_counted_and_answered_with_a_fixed_problem() {
        watch_panics();
        rt::System::new().block_on(async {
            let monitor = web::Data::new(Monitor::new(LogForm::Off).unwrap());
            let app = App::new()
                .app_data(monitor.clone())
                .app_data(web::Data::new(Paths::committed()))
                .app_data(web::Data::new(Access::new(&Settings::local())))
                .route("/v1/units", web::get().to(fails))
                .route("/health/live", web::get().to(HttpResponse::Ok))
                .wrap(from_fn(inner))
                .wrap(from_fn(outer));
            let app = init_service(app).await;
            let request = TestRequest::get().uri("/v1/units").insert_header(("x-request-id", "row-7")).to_request();
            let error = try_call_service(&app, request).await.unwrap_err();
            let answer = error.error_response();
            assert_eq!(answer.status(), 500);
            assert_eq!(answer.headers().get("content-type").unwrap(), "application/problem+json");
            assert_eq!(answer.headers().get("x-request-id").unwrap(), "row-7");
            assert_eq!(answer.headers().get("x-content-type-options").unwrap(), "nosniff");
            let body = answer.into_body().try_into_bytes().unwrap();
            let problem: serde_json::Value = serde_json::from_slice(&body).unwrap();
            assert_eq!((&problem["type"], &problem["request_id"]), (&"/problems/broken".into(), &"row-7".into()));
            assert!(!problem.to_string().contains("index"), "{problem}");
            // The next request is answered.
            let after = call_service(&app, TestRequest::get().uri("/health/live").to_request()).await;
            assert_eq!(after.status(), 200);
            drop(after);
            let text = monitor.metrics.text(Read { running: 0, waiting: 0, ready: true }).unwrap();
            for line in [
                "barrowful_refusals_total{reason=\"broken\"} 1",
                "barrowful_panics_total 1",
                "http_server_active_requests 0",
            ] {
                assert!(text.contains(line), "{line}\n{text}");
            }
        });
    }
}
