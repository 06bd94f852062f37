//! From body to answer: reads, asks, and writes in the form that `Accept` picks.

use super::Question;
use super::ask::{ask, ask_within};
use crate::garden::work::Work;
use crate::http::body::Body;
use crate::http::chunks::{Chunks, Written};
use crate::http::in_flight::{Deadline, Held, InFlight, aside};
use crate::http::limits::MAX_STEPS_AT_ONCE;
use crate::http::negotiate::{Media, choose};
use crate::http::present::calendar::Head;
use crate::http::present::{self, Description, Options};
use crate::http::problem::Problem;
use crate::http::wire;
use actix_web::http::header::{self, Accept, Header, QualityItem};
use actix_web::{FromRequest, HttpRequest, HttpResponse, dev::Payload, web};
use std::future::{Ready, ready};
use std::io::Write;
use std::time::Instant;

/// What the request's `Accept` header takes; none, or an empty one, counts as anything. What cannot be read of it takes nothing.
#[derive(Debug, Clone)]
pub struct Accepted(Option<Vec<QualityItem<mime::Mime>>>);

impl FromRequest for Accepted {
    type Error = actix_web::Error;
    type Future = Ready<Result<Self, Self::Error>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let says = request.headers().get_all(header::ACCEPT).any(|value| !value.as_bytes().trim_ascii().is_empty());
        let ranges = says.then(|| Accept::parse(request).map(|accept| accept.0).unwrap_or_default());
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

/// Steps to read a byte of a request and to write its answer.
const STEPS_FOR_BYTE: u64 = 3;
/// Steps to write an event of a calendar: an estimate on the safe side.
const STEPS_FOR_EVENT: u64 = 600;
/// Steps to write a cell of a table, in the form for which that takes longest: an estimate on the safe side.
pub const STEPS_FOR_CELL: u64 = 100;

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
    let (options, in_flight) = (body.options(Q::TABLES), body.in_flight().clone());
    respond_if_sound::<Q>((media, options), body.into_bytes(), &in_flight).await
}

/// Answers a question whose request is there, as [`respond_to`]. Where the options are refused, the errors of the request are listed after
/// theirs. Most of these show only as it is computed, so that takes what an answer takes.
///
/// # Errors
/// Every problem of the options and of the request.
pub async fn respond_if_sound<Q: Question + 'static>(
    (media, options): (Media, Result<Options, Problem>),
    body: (web::Bytes, Held),
    in_flight: &InFlight,
) -> Result<HttpResponse, Problem> {
    let refused = match options {
        Ok(options) => return respond_to::<Q>(Form { media, options }, body, in_flight).await,
        Err(refused) => refused,
    };
    let form = Form { media: Media::Json, options: Options::default() };
    Err(match respond_to::<Q>(form, body, in_flight).await {
        Ok(_) => refused,
        Err(of_request) => refused.beside(of_request),
    })
}

/// Answers a question whose request is there, in one form: at once if it is estimated to be little work, else in its turn and away
/// from the async workers, so that small questions stay quick meanwhile.
///
/// # Errors
/// Every problem of the request; 503 when the service holds as much as it may, or when the answer is not ready by its deadline.
async fn respond_to<Q: Question + 'static>(
    form: Form,
    (body, held): (web::Bytes, Held),
    in_flight: &InFlight,
) -> Result<HttpResponse, Problem> {
    let (length, counts) = (body.len(), in_flight.clone());
    let work = move |most| written::<Q>(form, (&body, &counts), most);
    respond_with(form.media, (length, held), in_flight, work).await
}

/// Sends what some work comes to that reads a request of so many bytes: `work` does all of it, or nothing if it is more than it is
/// given. It is done at once if it is estimated to be little, else in its turn and away from the async workers.
///
/// # Errors
/// Every problem of the request; 503 when the service holds as much as it may, or when the answer is not ready by its deadline.
pub async fn respond_with(
    media: Media,
    (length, held): (usize, Held),
    in_flight: &InFlight,
    work: impl Fn(Option<Work>) -> Result<Option<Written>, Problem> + Send + 'static,
) -> Result<HttpResponse, Problem> {
    let deadline = in_flight.deadline();
    let at_once = Work::steps(MAX_STEPS_AT_ONCE.saturating_sub(Work::of(length, STEPS_FOR_BYTE).count()));
    let soon = if at_once > Work::default() { deadline.keep(|| work(Some(at_once)))? } else { None };
    let written = match soon {
        Some(written) => written,
        None => in_turn(held, (in_flight, deadline), work).await?,
    };
    let mut answer = uncached();
    if matches!(media, Media::Html | Media::Svg) {
        // It brings its own style and nothing else: no scripts, no pictures, nothing from elsewhere.
        answer.insert_header((header::CONTENT_SECURITY_POLICY, "default-src 'none'; style-src 'unsafe-inline'"));
    }
    answer.content_type(media.header());
    Ok(written.send(answer))
}

/// Waits for a place among the long questions and computes in a thread for such. The work keeps its place until it is done; it is
/// stopped at the deadline, and when its caller has hung up.
async fn in_turn(
    held: Held,
    (in_flight, deadline): (&InFlight, Deadline),
    work: impl Fn(Option<Work>) -> Result<Option<Written>, Problem> + Send + 'static,
) -> Result<Written, Problem> {
    let arrived_at = Instant::now();
    let slot = in_flight.slot(&deadline).await?;
    let has_waited = in_flight.is_long(arrived_at.elapsed());
    let _caller = deadline.until_dropped();
    let all = move || {
        let _until_done = (slot, held);
        let done = deadline.keep_aside(|| work(None));
        // What had little time left to be computed in is not too long for that.
        done.map_err(|problem| if has_waited && problem.is_late() { Problem::busy() } else { problem })
    };
    aside(all).await??.ok_or_else(Problem::broken)
}

/// Reads, asks and writes; `None` if that is more work than `most`.
fn written<Q: Question>(
    form: Form,
    (body, in_flight): (&[u8], &InFlight),
    most: Option<Work>,
) -> Result<Option<Written>, Problem> {
    let tree = wire::parse(body).map_err(Problem::syntax)?;
    let answer = match most {
        Some(most) => ask_within::<Q>(&tree, most)?,
        None => Some(ask::<Q>(&tree)?),
    };
    let Some(answer) = answer else { return Ok(None) };
    write_answer::<Q>(form, &answer, (body.len(), in_flight), most)
}

/// Writes an answer to a request of so many bytes; `None` if that is more work than `most`.
///
/// # Errors
/// 503 when the service holds as much as it may; what the answer lacks for a calendar.
pub fn write_answer<Q: Question>(
    form: Form,
    answer: &Q::Answer,
    (length, in_flight): (usize, &InFlight),
    most: Option<Work>,
) -> Result<Option<Written>, Problem> {
    // Room for the usual answer, which is some ten times as long as its request.
    let mut chunks = Chunks::with_capacity(in_flight, 4_096 + 12 * length);
    let is_little = |work: Work| most.is_none_or(|most| work <= most);
    if form.media == Media::Json {
        let written = serde_json::to_writer(&mut chunks, answer);
        return chunks.end(written).map(Some);
    }
    let description = Q::describe(answer);
    if form.media == Media::Calendar {
        let head = Head::of(&description);
        // Its tables are freed before the tasks are made.
        drop(description);
        let calendar = Q::calendar(answer).ok_or_else(Problem::broken)?;
        let calendar = calendar.map_err(|errors| Problem::errors(errors, &wire::Node::Null))?;
        if !is_little(Work::of(calendar.tasks.len(), STEPS_FOR_EVENT)) {
            return Ok(None);
        }
        let written = present::calendar::render(calendar, head, &mut chunks);
        return chunks.end(written).map(Some);
    }
    if form.media != Media::Svg && !is_little(work_to_write(&description)) {
        return Ok(None);
    }
    let written = match form.media {
        Media::Csv => present::csv::render(&description, &form.options, &mut chunks),
        media => chunks.write_all(rendered(description, (media, &form.options))?.as_bytes()),
    };
    chunks.end(written).map(Some)
}

/// About how much work it is to write the tables of a description.
fn work_to_write(description: &Description<'_>) -> Work {
    let cells = description.tables().map(|table| table.rows.len().saturating_mul(table.columns.len())).sum();
    Work::of(cells, STEPS_FOR_CELL)
}

/// A description in one of the forms for readers.
fn rendered(description: Description<'_>, (media, options): (Media, &Options)) -> Result<String, Problem> {
    match media {
        Media::Html => Ok(present::html::render(&description)),
        Media::Text => Ok(present::text::render(&description, options)),
        Media::Svg => {
            let chart = description.chart().ok_or_else(Problem::broken)?;
            Ok(chart.document(&present::notes::cautions(&description)))
        }
        Media::Calendar | Media::Csv | Media::Json | Media::Lines => Err(Problem::broken()),
    }
}

/// An answer that is not kept.
#[must_use]
pub fn uncached() -> actix_web::HttpResponseBuilder {
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
    use super::*;
    use crate::garden::interrupt;
    use crate::http::connections::TimeLimits;
    use crate::http::input::RequestContext;
    use crate::http::output::quantity::View;
    use crate::http::resources::brews::Brews;
    use crate::http::resources::{Example, Frame};
    use actix_web::body::MessageBody;
    use std::future::Future;
    use std::pin::pin;
    use std::sync::{Mutex, mpsc};
    use std::task::{Context, Waker};
    use std::time::Duration;

    /// Lets the question below end.
    static END: Mutex<Option<mpsc::Receiver<()>>> = Mutex::new(None);
    /// Says that it has started.
    static STARTED: Mutex<Option<mpsc::Sender<()>>> = Mutex::new(None);

    /// A question that takes until it is let go, and looks meanwhile whether it is to end, or does not.
    struct Endless<const LOOKS: bool>;

    #[derive(serde::Deserialize, validator::Validate)]
    struct Nothing {}

    impl<const LOOKS: bool> Question for Endless<LOOKS> {
        type Request = Nothing;
        type Answer = bool;
        const NAME: &'static str = "endless";
        const MEDIA: &'static [Media] = &[Media::Json];
        const EXAMPLE: Example = Example { name: "", summary: "", body: "{}" };

        fn frame(_: &Nothing) -> Frame<'_> {
            Frame { units: None, containers: None, assumptions: None, explain: None, texts: None }
        }

        fn work(_: &Nothing, _: &RequestContext<'_>) -> Work {
            Work::steps(MAX_STEPS_AT_ONCE + 1)
        }

        fn answer(_: &Nothing, _: &RequestContext<'_>, _: &View<'_>) -> Option<bool> {
            if LOOKS {
                loop {
                    interrupt::check();
                }
            }
            let started = STARTED.lock().unwrap().take();
            started.unwrap().send(()).unwrap();
            let end = END.lock().unwrap().take();
            end.unwrap().recv().ok().map(|()| true)
        }

        fn describe(_: &bool) -> Description<'_> {
            unreachable!("it is answered in JSON")
        }
    }

    #[test]
    fn a_short_request_that_is_much_to_write_in_the_form_asked_for_is_not_done_at_once() {
        let body = |batches: u32| {
            let brew = serde_json::json!({"water": format!("{batches} L"), "castings_to_water": "1:10", "brewer": {"capacity": "1 L"},
                                          "use_at": "2027-06-12T19:00:00+02:00"});
            serde_json::json!({"brews": [brew]}).to_string()
        };
        let at_once = |media: Media, batches: u32| {
            let form = Form { media, options: Options::default() };
            let most = Some(Work::steps(MAX_STEPS_AT_ONCE));
            let in_flight = service(Duration::from_secs(60));
            written::<Brews>(form, (body(batches).as_bytes(), &in_flight), most).unwrap().is_some()
        };
        for media in Brews::MEDIA {
            assert!(at_once(*media, 40), "{media:?}");
            assert!(!at_once(*media, 600), "{media:?}");
        }
        assert!(at_once(Media::Json, 400));
        assert!(!at_once(Media::Calendar, 400));
    }

    fn service(deadline: Duration) -> InFlight {
        InFlight::new((deadline, TimeLimits::default().body), 1 << 20)
    }

    async fn asked<const LOOKS: bool>(in_flight: &InFlight) -> Result<HttpResponse, Problem> {
        let form = Form { media: Media::Json, options: Options::default() };
        let body = (web::Bytes::from_static(b"{}"), Held::default());
        respond_to::<Endless<LOOKS>>(form, body, in_flight).await
    }

    #[test]
    fn work_keeps_its_place_when_its_caller_hangs_up() {
        let (end, ends) = mpsc::channel();
        let (begins, started) = mpsc::channel();
        *END.lock().unwrap() = Some(ends);
        *STARTED.lock().unwrap() = Some(begins);
        let in_flight = service(Duration::from_secs(60));
        actix_web::rt::System::new().block_on(async {
            {
                let mut answer = pin!(asked::<false>(&in_flight));
                assert!(answer.as_mut().poll(&mut Context::from_waker(Waker::noop())).is_pending());
                started.recv().unwrap();
                assert_eq!(in_flight.long(), (1, 0));
            }
            // The caller is gone, the work is not.
            assert_eq!(in_flight.long(), (1, 0));
            end.send(()).unwrap();
            while in_flight.long() != (0, 0) {
                std::thread::yield_now();
            }
        });
    }

    #[test]
    fn work_that_nobody_waits_for_any_longer_ends() {
        let in_flight = service(Duration::from_secs(3_600));
        actix_web::rt::System::new().block_on(async {
            {
                let mut answer = pin!(asked::<true>(&in_flight));
                assert!(answer.as_mut().poll(&mut Context::from_waker(Waker::noop())).is_pending());
            }
            while in_flight.long() != (0, 0) {
                std::thread::yield_now();
            }
        });
    }

    #[test]
    fn work_ends_at_the_deadline_and_so_does_waiting_for_a_place() {
        let in_flight = service(Duration::from_millis(50));
        actix_web::rt::System::new().block_on(async {
            let problem = asked::<true>(&in_flight).await.unwrap_err();
            assert_eq!(serde_json::to_value(problem).unwrap()["type"], "/problems/deadline-passed");
            assert_eq!(in_flight.long(), (0, 0));
            let deadline = service(Duration::from_secs(60)).deadline();
            let mut taken = Vec::new();
            while in_flight.long().0 < in_flight.at_once() {
                taken.push(in_flight.slot(&deadline).await.unwrap());
            }
            let problem = asked::<true>(&in_flight).await.unwrap_err();
            assert_eq!(serde_json::to_value(problem).unwrap()["type"], "/problems/busy");
        });
    }

    #[test]
    fn what_waited_for_most_of_its_time_was_not_too_long_to_compute() {
        let in_flight = service(Duration::from_millis(400));
        actix_web::rt::System::new().block_on(async {
            let deadline = service(Duration::from_secs(60)).deadline();
            let mut taken = Vec::new();
            while in_flight.long().0 < in_flight.at_once() {
                taken.push(in_flight.slot(&deadline).await.unwrap());
            }
            let counts = in_flight.clone();
            let waits = actix_web::rt::spawn(async move { asked::<true>(&counts).await.map(|_| ()) });
            tokio::time::sleep(Duration::from_millis(250)).await;
            drop(taken);
            let problem = waits.await.unwrap().unwrap_err();
            assert_eq!(serde_json::to_value(problem).unwrap()["type"], "/problems/busy");
        });
    }

    #[test]
    fn bytes_are_counted_until_they_are_sent() {
        let in_flight = service(Duration::from_secs(60));
        let all = in_flight.bytes_left();
        let mut chunks = Chunks::with_capacity(&in_flight, 0);
        let wrote = std::io::Write::write_all(&mut chunks, &[b'x'; 300_000]);
        let Ok(Written::Pieces(pieces)) = chunks.end(wrote) else { panic!("it has pieces") };
        assert_eq!(in_flight.bytes_left(), all - (300_000 - 65_536));
        let mut pieces = pin!(pieces);
        let mut sent = 0;
        let mut context = Context::from_waker(Waker::noop());
        while let std::task::Poll::Ready(Some(Ok(piece))) = MessageBody::poll_next(pieces.as_mut(), &mut context) {
            sent += piece.len();
            drop(piece);
            assert_eq!(in_flight.bytes_left(), all - (300_000 - sent.max(65_536)));
        }
        assert_eq!((sent, in_flight.bytes_left()), (300_000, all));
        // More than there may be is refused and then free again.
        assert!(Chunks::of(&in_flight, &vec![b'x'; 2 << 20]).is_err());
        assert_eq!(in_flight.bytes_left(), all);
    }
}
