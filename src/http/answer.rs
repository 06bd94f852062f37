//! From body to answer: reads, asks, and writes in the form that `Accept` picks.

use super::body::Body;
use super::limits::MAX_STEPS_AT_ONCE;
use super::negotiate::{Media, choose};
use super::present::{self, Description, Options};
use super::problem::Problem;
use super::resources::Question;
use super::resources::ask::{ask, ask_within};
use super::wire;
use crate::garden::work::Work;
use actix_web::http::header::{self, Accept, Header, QualityItem};
use actix_web::{FromRequest, HttpRequest, HttpResponse, dev::Payload, web};
use std::future::{Ready, ready};
use tokio::sync::Semaphore;

/// What the request's `Accept` header takes; none, or one that cannot be read, counts as anything.
#[derive(Debug, Clone)]
pub struct Accepted(Option<Vec<QualityItem<mime::Mime>>>);

impl FromRequest for Accepted {
    type Error = actix_web::Error;
    type Future = Ready<Result<Self, Self::Error>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let stands = request.headers().contains_key(header::ACCEPT);
        let ranges = Accept::parse(request).ok().map(|accept| accept.0).filter(|ranges| stands && !ranges.is_empty());
        ready(Ok(Self(ranges)))
    }
}

impl Accepted {
    /// The medium to answer in.
    ///
    /// # Errors
    /// 406 with what is available.
    pub fn choose(&self, available: &[Media]) -> Result<Media, Problem> {
        choose(self.0.as_deref(), available).ok_or_else(|| Problem::not_acceptable(available))
    }
}

/// Long questions computed at the same time, whatever the number of cores: each may take tens of megabytes.
const LONG_AT_ONCE: usize = 4;
/// Long questions that wait for their turn; more have to come again.
const LONG_WAITING: usize = 16;
static LONG_SLOTS: Semaphore = Semaphore::const_new(LONG_AT_ONCE);
static LONG_QUEUE: Semaphore = Semaphore::const_new(LONG_AT_ONCE + LONG_WAITING);

/// Steps to read a byte of a request and to write what comes of it.
const STEPS_FOR_BYTE: u64 = 3;

/// How a question is to be answered.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// In which medium.
    pub media: Media,
    /// How it is written there.
    pub options: Options,
}

/// Answers a question.
///
/// # Errors
/// Every problem of the request.
pub async fn respond<Q: Question + 'static>(accepted: Accepted, body: Body) -> Result<HttpResponse, Problem> {
    let media = accepted.choose(Q::MEDIA)?;
    let options = body.options(Q::TABLES)?;
    respond_to::<Q>(Form { media, options }, body.into_bytes()).await
}

/// Answers a question whose request is at hand, in one form: at once if it is estimated to be little work, else in its turn and away
/// from the async workers, so that small questions stay quick meanwhile.
///
/// # Errors
/// Every problem of the request.
pub async fn respond_to<Q: Question + 'static>(form: Form, body: web::Bytes) -> Result<HttpResponse, Problem> {
    let at_once = Work::steps(MAX_STEPS_AT_ONCE.saturating_sub(Work::of(body.len(), STEPS_FOR_BYTE).count()));
    let soon = if at_once > Work::default() { written::<Q>(form, &body, Some(at_once))? } else { None };
    let bytes = match soon {
        Some(bytes) => bytes,
        None => in_turn::<Q>(form, body).await?,
    };
    let mut answer = uncached();
    if matches!(form.media, Media::Html | Media::Svg) {
        // It brings its own style and nothing else: no scripts, no pictures, nothing from elsewhere.
        answer.insert_header((header::CONTENT_SECURITY_POLICY, "default-src 'none'; style-src 'unsafe-inline'"));
    }
    Ok(answer.content_type(form.media.header()).body(bytes))
}

/// Waits for a place among the long questions and computes in a thread for such. The work goes on after its caller has hung up, so it
/// keeps its place until it is done.
async fn in_turn<Q: Question + 'static>(form: Form, body: web::Bytes) -> Result<Vec<u8>, Problem> {
    let place = LONG_QUEUE.try_acquire().map_err(|_| Problem::busy())?;
    let slot = LONG_SLOTS.acquire().await.map_err(|_| Problem::busy())?;
    let work = move || {
        let _until_done = (place, slot);
        written::<Q>(form, &body, None)
    };
    web::block(work).await.map_err(|_| Problem::broken())??.ok_or_else(Problem::broken)
}

/// Reads, asks and writes; `None` if that is more work than `most`.
fn written<Q: Question>(form: Form, body: &[u8], most: Option<Work>) -> Result<Option<Vec<u8>>, Problem> {
    let tree = wire::parse(body).map_err(Problem::syntax)?;
    let answer = match most {
        Some(most) => ask_within::<Q>(&tree, most)?,
        None => Some(ask::<Q>(&tree)?),
    };
    let Some(answer) = answer else { return Ok(None) };
    if form.media == Media::Json {
        // Room for the usual answer, which is some ten times as long as its request.
        let mut bytes = Vec::with_capacity(4_096 + 12 * body.len());
        serde_json::to_writer(&mut bytes, &answer).map_err(|_| Problem::broken())?;
        return Ok(Some(bytes));
    }
    rendered(Q::describe(&answer), form).map(Some)
}

/// A description in one of the forms that are made from it.
fn rendered(mut description: Description<'_>, form: Form) -> Result<Vec<u8>, Problem> {
    match form.media {
        Media::Csv => present::csv::render(&description, &form.options).ok_or_else(Problem::broken),
        Media::Html => Ok(present::html::render(&description).into_bytes()),
        Media::Text => Ok(present::text::render(&description, &form.options).into_bytes()),
        Media::Calendar => {
            let calendar = description.calendar.take().ok_or_else(Problem::broken)?;
            let calendar = calendar.map_err(|errors| Problem::errors(errors, &wire::Node::Null))?;
            Ok(present::calendar::render(&calendar, &description).into_bytes())
        }
        Media::Svg => {
            let chart = description.chart().ok_or_else(Problem::broken)?;
            Ok(chart.document(&present::notes::cautions(&description)).into_bytes())
        }
        Media::Json => Err(Problem::broken()),
    }
}

fn uncached() -> actix_web::HttpResponseBuilder {
    let mut builder = HttpResponse::Ok();
    builder.insert_header((header::CACHE_CONTROL, "no-store"));
    builder
}

/// A text answer that is not kept.
#[must_use]
pub fn text(media: Media, body: String) -> HttpResponse {
    uncached().content_type(media.header()).body(body)
}

#[cfg(test)]
mod tests {
    use super::super::input::RequestContext;
    use super::super::output::quantity::View;
    use super::super::resources::{Example, Frame};
    use super::*;
    use std::future::Future;
    use std::pin::pin;
    use std::sync::{Mutex, mpsc};
    use std::task::{Context, Waker};

    /// Lets the question below end.
    static END: Mutex<Option<mpsc::Receiver<()>>> = Mutex::new(None);
    /// Says that it has begun.
    static BEGUN: Mutex<Option<mpsc::Sender<()>>> = Mutex::new(None);

    /// A question that takes until it is let go.
    struct Endless;

    #[derive(serde::Deserialize, validator::Validate)]
    struct Nothing {}

    impl Question for Endless {
        type Request = Nothing;
        type Answer = bool;
        const NAME: &'static str = "endless";
        const MEDIA: &'static [Media] = &[Media::Json];
        const EXAMPLE: Example = Example { name: "", summary: "", body: "{}" };

        fn frame(_: &Nothing) -> Frame<'_> {
            Frame { units: None, containers: None, assumptions: None, explain: None }
        }

        fn work(_: &Nothing, _: &RequestContext<'_>) -> Work {
            Work::steps(MAX_STEPS_AT_ONCE + 1)
        }

        fn answer(_: &Nothing, _: &RequestContext<'_>, _: &View<'_>) -> Option<bool> {
            let begun = BEGUN.lock().unwrap().take();
            begun.unwrap().send(()).unwrap();
            let end = END.lock().unwrap().take();
            end.unwrap().recv().ok().map(|()| true)
        }

        fn describe(_: &bool) -> Description<'_> {
            unreachable!("it is answered in JSON")
        }
    }

    #[test]
    fn work_keeps_its_place_when_its_caller_hangs_up() {
        let (end, ends) = mpsc::channel();
        let (begins, begun) = mpsc::channel();
        *END.lock().unwrap() = Some(ends);
        *BEGUN.lock().unwrap() = Some(begins);
        actix_web::rt::System::new().block_on(async {
            let form = Form { media: Media::Json, options: Options::default() };
            {
                let mut answer = pin!(respond_to::<Endless>(form, web::Bytes::from_static(b"{}")));
                assert!(answer.as_mut().poll(&mut Context::from_waker(Waker::noop())).is_pending());
                begun.recv().unwrap();
                assert_eq!(LONG_SLOTS.available_permits(), LONG_AT_ONCE - 1);
            }
            // The caller is gone, the work is not.
            assert_eq!(LONG_SLOTS.available_permits(), LONG_AT_ONCE - 1);
            assert_eq!(LONG_QUEUE.available_permits(), LONG_AT_ONCE + LONG_WAITING - 1);
            end.send(()).unwrap();
            while LONG_SLOTS.available_permits() < LONG_AT_ONCE {
                std::thread::yield_now();
            }
            assert_eq!(LONG_QUEUE.available_permits(), LONG_AT_ONCE + LONG_WAITING);
        });
    }
}
