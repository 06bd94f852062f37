//! What a service holds at once: long questions, and the bytes of requests and answers; how long it takes over one of them, and where.

use super::limits::{LONG_WAITING, MAX_LONG_AT_ONCE, UNCOUNTED_BYTES, YIELD_INTERVAL};
use super::problem::Problem;
use crate::garden::interrupt;
use actix_web::web;
use std::cell::Cell;
use std::future::{Ready, ready};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// The limits of one service, shared by its workers.
#[derive(Debug, Clone)]
pub struct InFlight(Arc<Shared>);

#[derive(Debug)]
struct Shared {
    deadline: Duration,
    slowest_body: Duration,
    /// Long questions computed at the same time.
    at_once: usize,
    slots: Arc<Semaphore>,
    queue: Arc<Semaphore>,
    /// Turns of batches that have a place in the queue.
    batches: Arc<Semaphore>,
    bytes: Arc<Semaphore>,
}

/// A place among the long questions; it is free again when this is dropped.
#[derive(Debug)]
pub struct Slot {
    _turn: Option<OwnedSemaphorePermit>,
    _place: OwnedSemaphorePermit,
    _slot: OwnedSemaphorePermit,
}

/// Bytes that are held, and counted until this is dropped. Those of small requests and answers are not counted: so many of them as
/// there may be connections.
#[derive(Debug, Default)]
pub struct Held {
    bytes: usize,
    counted: Option<OwnedSemaphorePermit>,
}

impl InFlight {
    /// Computes at most `deadline` for a request, waits at most `slowest_body` for its body, and holds so many bytes.
    #[must_use]
    pub fn new((deadline, slowest_body): (Duration, Duration), bytes: usize) -> Self {
        let semaphore = |permits: usize| Arc::new(Semaphore::new(permits.min(Semaphore::MAX_PERMITS)));
        let at_once = std::thread::available_parallelism().map_or(1, usize::from).min(MAX_LONG_AT_ONCE);
        let (slots, queue, batches) = (semaphore(at_once), semaphore(at_once + LONG_WAITING), semaphore(at_once));
        Self(Arc::new(Shared { deadline, slowest_body, at_once, slots, queue, batches, bytes: semaphore(bytes) }))
    }

    /// The longest that a body may take to arrive.
    #[must_use]
    pub fn slowest_body(&self) -> Duration {
        self.0.slowest_body
    }

    /// The deadline of a request that begins now.
    #[must_use]
    pub fn deadline(&self) -> Deadline {
        Deadline { at: Instant::now() + self.0.deadline, is_over: Arc::default() }
    }

    /// Whether so much waiting leaves less than half of the time to compute in.
    #[must_use]
    pub fn is_long(&self, waited: Duration) -> bool {
        waited > self.0.deadline / 2
    }

    /// Waits for a place among the long questions.
    ///
    /// # Errors
    /// 503 when too many wait, or when none is free before the deadline.
    pub async fn slot(&self, deadline: &Deadline) -> Result<Slot, Problem> {
        let place = Arc::clone(&self.0.queue).try_acquire_owned().map_err(|_| Problem::busy())?;
        let slot = tokio::time::timeout_at(deadline.at.into(), Arc::clone(&self.0.slots).acquire_owned());
        let slot = slot.await.map_err(|_| Problem::busy())?.map_err(|_| Problem::busy())?;
        Ok(Slot { _turn: None, _place: place, _slot: slot })
    }

    /// Waits for a place among the long questions as long as it takes: only so many batches have a place there as there are cores, and
    /// each gives it back after a moment.
    ///
    /// # Errors
    /// 503 when the service ends.
    pub async fn slot_of_batch(&self) -> Result<Slot, Problem> {
        let taken =
            async |places: &Arc<Semaphore>| Arc::clone(places).acquire_owned().await.map_err(|_| Problem::busy());
        let Shared { batches, queue, slots, .. } = &*self.0;
        Ok(Slot { _turn: Some(taken(batches).await?), _place: taken(queue).await?, _slot: taken(slots).await? })
    }

    /// Holds so many bytes more of one request or answer; the first [`UNCOUNTED_BYTES`] are not counted.
    ///
    /// # Errors
    /// 503 when the service holds as many as it may.
    pub fn hold(&self, held: &mut Held, more: usize) -> Result<(), Problem> {
        let before = held.bytes;
        held.bytes = before.saturating_add(more);
        let uncounted = |bytes: usize| bytes.saturating_sub(UNCOUNTED_BYTES);
        self.count(held, uncounted(held.bytes) - uncounted(before))
    }

    /// Counts so many bytes.
    ///
    /// # Errors
    /// 503 when the service holds as many as it may.
    pub fn count(&self, held: &mut Held, bytes: usize) -> Result<(), Problem> {
        if bytes == 0 {
            return Ok(());
        }
        let permits = u32::try_from(bytes).map_err(|_| Problem::full())?;
        let permit = Arc::clone(&self.0.bytes).try_acquire_many_owned(permits).map_err(|_| Problem::full())?;
        match &mut held.counted {
            Some(all) => all.merge(permit),
            none => *none = Some(permit),
        }
        Ok(())
    }

    /// How many long questions are computed, and how many wait.
    #[must_use]
    pub fn long(&self) -> (usize, usize) {
        let Shared { at_once, slots, queue, .. } = &*self.0;
        let computed = at_once - slots.available_permits();
        (computed, (at_once + LONG_WAITING - queue.available_permits()).saturating_sub(computed))
    }

    /// How many long questions are computed at the same time at the most.
    #[must_use]
    pub fn at_once(&self) -> usize {
        self.0.at_once
    }

    /// How many bytes may still be held.
    #[must_use]
    pub fn bytes_left(&self) -> usize {
        self.0.bytes.available_permits()
    }
}

/// Until when a request is computed. It is over too when its caller is gone.
#[derive(Debug, Clone)]
pub struct Deadline {
    at: Instant,
    is_over: Arc<AtomicBool>,
}

impl Deadline {
    /// Does some work until then.
    ///
    /// # Errors
    /// 503 when it was stopped.
    pub fn keep<T>(&self, work: impl FnOnce() -> Result<T, Problem>) -> Result<T, Problem> {
        let this = self.clone();
        ended_by(move || this.has_passed(Instant::now()), work)
    }

    /// The same on a thread beside the workers: it gives way to them.
    ///
    /// # Errors
    /// 503 when it was stopped.
    pub fn keep_aside<T>(&self, work: impl FnOnce() -> Result<T, Problem>) -> Result<T, Problem> {
        let (this, yielder) = (self.clone(), Yielder::from(Instant::now()));
        ended_by(move || this.has_passed(yielder.give_way(Instant::now, std::thread::yield_now)), work)
    }

    fn has_passed(&self, now: Instant) -> bool {
        self.is_over.load(Ordering::Relaxed) || now >= self.at
    }

    /// The same for another request of the same caller that begins now.
    #[must_use]
    pub fn again(&self, in_flight: &InFlight) -> Self {
        Self { at: in_flight.deadline().at, is_over: Arc::clone(&self.is_over) }
    }

    /// Stops the work when what this returns is dropped.
    #[must_use]
    pub fn until_dropped(&self) -> UntilDropped {
        UntilDropped(Arc::clone(&self.is_over))
    }
}

/// Does some work unless it is ended.
fn ended_by<T>(end: impl Fn() -> bool + 'static, work: impl FnOnce() -> Result<T, Problem>) -> Result<T, Problem> {
    interrupt::until(end, work).unwrap_or_else(|interrupt::Interrupted| Err(Problem::deadline_passed()))
}

/// When long work next gives way to the workers that answer small questions. Where all cores compute, the system would give these a
/// turn only after some milliseconds.
#[derive(Debug)]
struct Yielder(Cell<Instant>);

impl Yielder {
    fn from(now: Instant) -> Self {
        Self(Cell::new(now + YIELD_INTERVAL))
    }

    /// Gives way if it is time, and returns the time then. A worker is done soon. Other programs keep a core for milliseconds:
    /// what is given to all of them stays below a third of the time.
    fn give_way(&self, clock: impl Fn() -> Instant, give: impl FnOnce()) -> Instant {
        let now = clock();
        if now < self.0.get() {
            return now;
        }
        give();
        let back = clock();
        self.0.set(back + YIELD_INTERVAL.max((back - now) * 2));
        back
    }
}

/// Work goes on until this is dropped.
#[derive(Debug)]
pub struct UntilDropped(Arc<AtomicBool>);

impl Drop for UntilDropped {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Does work in a thread beside the workers.
///
/// # Errors
/// 500 when the work breaks.
pub async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
    web::block(work).await.map_err(|_| Problem::broken())
}

impl actix_web::FromRequest for InFlight {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &actix_web::HttpRequest, _: &mut actix_web::dev::Payload) -> Self::Future {
        ready(request.app_data::<Self>().cloned().ok_or_else(Problem::broken))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::rc::Rc;

    /// Work of a second that looks at the clock every 10 us: how often it gave way, and how long it was away in all.
    fn away(for_each: Duration) -> (u32, Duration) {
        let start = Instant::now();
        let clock = Rc::new(Cell::new(start));
        let (yielder, mut times, mut away) = (Yielder::from(start), 0, Duration::ZERO);
        while clock.get() < start + Duration::from_secs(1) {
            clock.set(clock.get() + Duration::from_micros(10));
            yielder.give_way(
                || clock.get(),
                || {
                    clock.set(clock.get() + for_each);
                    times += 1;
                    away += for_each;
                },
            );
        }
        (times, away)
    }

    #[test]
    fn long_work_gives_way_often_where_that_is_short_and_never_for_more_than_a_third() {
        let (often, _) = away(Duration::ZERO);
        assert!((3_800..=4_000).contains(&often), "{often}");
        for micros in [1, 50, 100, 3_000, 40_000] {
            let (times, lost) = away(Duration::from_micros(micros));
            assert!(times > 0 && lost <= Duration::from_millis(380), "{micros}: {times} times, {lost:?}");
        }
    }
}
