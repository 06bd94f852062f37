//! The castings on hand in a run, by the day on which they expire.

/// Castings that become ready in a run.
#[derive(Debug, Clone, Copy)]
pub(super) struct Arrival {
    /// On this day.
    pub day: f64,
    /// So much, mL.
    pub amount: f64,
    /// The place of their use-by date among all of them; the last one is of those without.
    pub class: usize,
    /// Whether some demands may not draw on them.
    pub raw: bool,
    /// The place of their lot in the plan; `None` where the plan does not count on it.
    pub lot: Option<usize>,
}

/// Castings of one use-by date, mL.
#[derive(Debug, Clone, Copy, Default)]
struct Class {
    /// Open to every demand.
    open: f64,
    /// Closed to some.
    raw: f64,
}

/// Classes of use-by dates, up to which castings of each kind count.
#[derive(Debug, Clone, Copy)]
pub(super) struct InClasses {
    /// Of castings open to every demand.
    pub open: usize,
    /// Of raw castings.
    pub raw: usize,
}

/// Castings on hand, those that expire first in front.
#[derive(Debug, Clone, Default)]
pub(super) struct Hand {
    classes: Vec<Class>,
    /// The first class that has not expired.
    pub first: usize,
    /// Not expired, in all.
    total: Class,
}

impl Hand {
    /// Nothing on hand; there are so many use-by dates, those without included.
    pub fn clear(&mut self, classes: usize) {
        self.classes.clear();
        self.classes.resize(classes, Class::default());
        (self.first, self.total) = (0, Class::default());
    }

    /// Lets expire what has to be used before this day. `use_by` are the use-by dates.
    pub fn expire(&mut self, use_by: &[f64], day: f64) {
        while let Some(class) = use_by.get(self.first).filter(|last| **last < day).and(self.classes.get_mut(self.first))
        {
            self.total.open -= class.open;
            self.total.raw -= class.raw;
            *class = Class::default();
            self.first += 1;
        }
    }

    /// Takes an arrival in.
    pub fn receive(&mut self, arrival: &Arrival) {
        let Some(class) = self.classes.get_mut(arrival.class).filter(|_| arrival.class >= self.first) else { return };
        let (amount, total) =
            if arrival.raw { (&mut class.raw, &mut self.total.raw) } else { (&mut class.open, &mut self.total.open) };
        *amount += arrival.amount;
        *total += arrival.amount;
    }

    /// All that is on hand; without raw castings if those do not count.
    pub fn total(&self, with_raw: bool) -> f64 {
        self.total.open + if with_raw { self.total.raw } else { 0.0 }
    }

    /// What of it expires with a class.
    pub fn of_class(&self, class: usize, with_raw: bool) -> f64 {
        self.classes.get(class).map_or(0.0, |class| class.open + if with_raw { class.raw } else { 0.0 })
    }

    /// Takes so much for those who may draw on all of it, and so much for those who may not draw on raw castings. The first take raw
    /// castings before others; each takes what expires first.
    pub fn take(&mut self, by_all: f64, not_raw: f64) {
        let rest = if by_all > 0.0 { self.draw(by_all, usize::MAX, |class| &mut class.raw) } else { 0.0 };
        if rest + not_raw > 0.0 {
            self.draw(rest + not_raw, usize::MAX, |class| &mut class.open);
        }
    }

    /// How much there is in these classes.
    pub fn total_in(&self, classes: InClasses) -> f64 {
        let up_to = |end: usize| self.classes.get(self.first..end.min(self.classes.len())).unwrap_or_default().iter();
        let open: f64 = up_to(classes.open).map(|class| class.open).sum();
        open + up_to(classes.raw).map(|class| class.raw).sum::<f64>()
    }

    /// Takes so much of these classes, raw castings first.
    pub fn take_in(&mut self, amount: f64, classes: InClasses) {
        let rest = self.draw(amount, classes.raw, |class| &mut class.raw);
        self.draw(rest, classes.open, |class| &mut class.open);
    }

    /// Draws so much of one kind from the classes before `end`; what is not there is left.
    fn draw(&mut self, amount: f64, end: usize, of: fn(&mut Class) -> &mut f64) -> f64 {
        let mut rest = amount;
        for class in self.classes.iter_mut().take(end).skip(self.first) {
            let there = of(class);
            let taken = rest.min(*there);
            *there -= taken;
            rest -= taken;
            *of(&mut self.total) -= taken;
            if rest <= 0.0 {
                break;
            }
        }
        rest
    }
}
