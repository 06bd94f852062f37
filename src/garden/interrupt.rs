//! Stops long work early: the caller supplies a stop condition, and long loops test it.
//!
//! The core has no clock. [`until`] takes the stop condition, and [`check`], called in every loop that may run long, tests it now and
//! then. The condition runs on the thread of the work, so it may also let other threads go first. Testing it changes no result: the
//! work either ends as it always does or is given up. It unwinds, so that no function in between has to pass it on; nothing of the
//! given-up work is used again.

use std::cell::{Cell, RefCell};
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

/// Checks between two calls of the function that says when to end. Source: how this service works: a check is a few microseconds of work at
/// the most, so the end comes within a millisecond.
const CHECKS: u32 = 64;

/// The stop condition: whether to end.
type End = Box<dyn Fn() -> bool>;

thread_local! {
    static END: RefCell<Option<End>> = const { RefCell::new(None) };
    /// Checks that are left until the function is called again.
    static LEFT: Cell<u32> = const { Cell::new(u32::MAX) };
}

/// Work that was ended before it was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interrupted;

/// Does some work on this thread, unless `end` becomes true before it is done.
///
/// # Errors
/// When it was ended early.
///
/// ```
/// use barrowful::garden::interrupt::{Interrupted, check, until};
/// assert_eq!(until(|| false, || { check(); 7 }), Ok(7));
/// assert_eq!(until(|| true, || loop { check(); }), Err::<(), _>(Interrupted));
/// ```
pub fn until<T>(end: impl Fn() -> bool + 'static, work: impl FnOnce() -> T) -> Result<T, Interrupted> {
    let before = Before { end: END.replace(Some(Box::new(end))), left: LEFT.replace(0) };
    let done = catch_unwind(AssertUnwindSafe(work));
    drop(before);
    done.or_else(|cause| if cause.is::<Interrupted>() { Err(Interrupted) } else { resume_unwind(cause) })
}

/// What was there before; it is put back when this is dropped.
struct Before {
    end: Option<End>,
    left: u32,
}

impl Drop for Before {
    fn drop(&mut self) {
        END.set(self.end.take());
        LEFT.set(self.left);
    }
}

/// Ends the work that [`until`] does on this thread, if it is time; does nothing otherwise.
#[inline]
pub fn check() {
    match LEFT.get().checked_sub(1) {
        Some(left) => LEFT.set(left),
        None => ask(),
    }
}

/// The same, for what takes longer than what comes between other checks: it looks each time.
pub fn check_at_once() {
    ask();
}

#[cold]
fn ask() {
    let (ends, left) = END.with_borrow(|end| end.as_ref().map_or((false, u32::MAX), |end| (end(), CHECKS)));
    LEFT.set(left);
    // What is dropped while a panic unwinds may check too, and a second one would end the whole program.
    if ends && !std::thread::panicking() {
        // No message is printed for it, as one would be for a panic.
        resume_unwind(Box::new(Interrupted));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::rc::Rc;

    #[test]
    fn work_ends_soon_after_it_is_said_and_leaves_nothing_behind() {
        let (calls, done) = (Rc::new(Cell::new(0)), Rc::new(Cell::new(0)));
        let (counted, turns) = (Rc::clone(&calls), Rc::clone(&done));
        let end = move || {
            counted.set(counted.get() + 1);
            counted.get() > 3
        };
        let work = move || {
            loop {
                check();
                turns.set(turns.get() + 1);
            }
        };
        assert_eq!(until(end, work), Err::<(), _>(Interrupted));
        assert_eq!((calls.get(), done.get()), (4, 3 * (CHECKS + 1)));
        // Nobody ends what comes after it.
        (0..1_000).for_each(|_| check());
        assert_eq!(calls.get(), 4);
    }

    #[test]
    fn a_check_at_once_looks_each_time() {
        let turns = Rc::new(Cell::new(0));
        let (turn, done) = (Rc::clone(&turns), Rc::clone(&turns));
        let work = move || {
            loop {
                check_at_once();
                turn.set(turn.get() + 1);
            }
        };
        assert_eq!(until(move || done.get() == 3, work), Err::<(), _>(Interrupted));
        assert_eq!(turns.get(), 3);
        check_at_once();
    }

    /// What is written when it is dropped checks too: the work that is being given up already is not given up again.
    #[test]
    fn what_is_dropped_when_work_ends_may_check() {
        struct Late(Rc<Cell<bool>>);
        impl Drop for Late {
            fn drop(&mut self) {
                check_at_once();
                self.0.set(true);
            }
        }
        let dropped = Rc::new(Cell::new(false));
        let late = Late(Rc::clone(&dropped));
        let work = move || {
            let _late = late;
            check_at_once();
        };
        assert_eq!(until(|| true, work), Err(Interrupted));
        assert!(dropped.get());
    }

    #[test]
    fn work_within_work_ends_by_its_own_and_then_by_the_outer_one() {
        let inner = || until(|| true, || (0..1_000).for_each(|_| check()));
        assert_eq!(until(|| false, inner), Ok(Err(Interrupted)));
        let outer = || {
            assert_eq!(until(|| false, || 1), Ok(1));
            (0..1_000).for_each(|_| check());
        };
        assert_eq!(until(|| true, outer), Err(Interrupted));
    }

    #[test]
    fn a_panic_goes_on_as_one() {
        let cause = catch_unwind(|| until(|| false, || resume_unwind(Box::new("broken"))));
        assert_eq!(cause.unwrap_err().downcast_ref(), Some(&"broken"));
        (0..1_000).for_each(|_| check());
    }
}
