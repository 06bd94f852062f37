//! The day on which enough castings are least likely, and the margin on it.

use super::supply::HALF;

/// The most margins that are kept until the end; days that were short in fewer runs so far are given up for them. Source: limit of this
/// service.
const MAX_KEPT: usize = 1_000_000;

/// The margins (ready less wanted) of the runs on each day on which something is needed, mL.
#[derive(Debug)]
pub(super) struct Margins {
    /// The least margin at the likely values first; of equals the last day, on which more is uncertain.
    days: Vec<DayMargins>,
}

#[derive(Debug)]
struct DayMargins {
    /// The place of the day among all of them.
    place: usize,
    /// In how many runs it is short.
    short: u32,
    margins: Vec<f64>,
}

impl Margins {
    /// Before the first run, with the margins at the likely values, of which so many lie before today and do not count.
    pub fn new(likely: &[f64], passed: usize) -> Self {
        let mut places: Vec<(usize, f64)> = likely.iter().copied().enumerate().skip(passed).collect();
        places.sort_by(|(a, margin), (b, other)| margin.total_cmp(other).then(b.cmp(a)));
        let day = |(place, _)| DayMargins { place, short: 0, margins: Vec::new() };
        Self { days: places.into_iter().map(day).collect() }
    }

    /// Takes those of a run.
    pub fn take(&mut self, margins: &[f64]) {
        for day in &mut self.days {
            let margin = margins.get(day.place).copied().unwrap_or_default();
            day.short += u32::from(margin < -HALF);
            day.margins.push(margin);
        }
        let runs = self.days.first().map_or(0, |day| day.margins.len());
        while self.days.len() > 1 && self.days.len().saturating_mul(runs) > MAX_KEPT {
            let surest = self.days.iter().enumerate().rev().min_by_key(|(_, day)| day.short);
            let Some((surest, _)) = surest else { return };
            let _ = self.days.remove(surest);
        }
    }

    /// The place of the day that is short in most runs, of equals the one with the least margin at the likely values, and its margins.
    pub fn worst(self) -> Option<(usize, Vec<f64>)> {
        let worst = self.days.into_iter().reduce(|worst, day| if day.short > worst.short { day } else { worst })?;
        Some((worst.place, worst.margins))
    }
}

#[cfg(test)]
mod tests {
    use super::{MAX_KEPT, Margins};

    /// Days that were never short are given up for those that were, the one with the most margin first.
    #[test]
    fn so_many_margins_are_kept_and_the_worst_day_among_them() {
        let runs = 1_500;
        let mut likely = vec![10.0; 1_000];
        likely[3] = 5.0;
        let mut margins = Margins::new(&likely, 0);
        for run in 0..runs {
            let mut of_run = likely.clone();
            of_run[700] = if run % 2 == 0 { -1.0 } else { 40.0 };
            margins.take(&of_run);
            let kept: usize = margins.days.iter().map(|day| day.margins.len()).sum();
            assert!(kept <= MAX_KEPT, "{kept}");
        }
        assert!(margins.days.len() > 600 && margins.days[0].place == 3);
        let (place, of_day) = margins.worst().unwrap();
        assert_eq!((place, of_day.len(), of_day[0], of_day[1]), (700, runs, -1.0, 40.0));
    }
}
