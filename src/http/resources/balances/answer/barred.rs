//! Why castings stay unused though a demand is short, in words: the interval after raw manure bars them, and what helps.

use super::harvest_called;
use super::write::{Balanced, Labels};
use crate::garden::balances::allocation::LotSource;
use crate::garden::balances::untreated::Grown;
use crate::garden::balances::{Barred, Requirement, Served};
use crate::garden::units::Millilitres;
use crate::http::output::quantity::View;
use crate::http::present::words::{all_of, day, number_of, shown};
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::request::Source;
use crate::http::wire::capitalised;
use chrono::NaiveDate;

/// What a demand does with the castings, by what it is for.
struct Verbs {
    working_in: &'static str,
    work_in: &'static str,
    on_top: &'static str,
}

const CASTINGS: Verbs =
    Verbs { working_in: "working them in", work_in: "work these in", on_top: "left on top, they never meet" };
const TEA: Verbs =
    Verbs { working_in: "using up the tea", work_in: "work the tea in", on_top: "left on top, it never meets" };

impl Balanced<'_> {
    /// `90 L of bed of pony manure stay unused, since they count as raw manure: the 120 days from working them in to the first crop harvest on
    /// 5 May 2027 would not be met. Use …`
    pub fn barred(
        &self,
        (requirement, served): (&Requirement, &Served),
        source: &Source,
        view: &View<'_>,
    ) -> Option<String> {
        let (grown, barred) = (requirement.grown.as_ref()?, served.barred.as_ref()?);
        let days = grown.crop.days()?;
        let verbs = if source.brew().is_some() { TEA } else { CASTINGS };
        let raw = if grown.untreated { "the tea counts" } else { "they count" };
        let why = match grown.crop.first_crop_harvest.filter(|_| grown.crop.incorporated) {
            Some(harvest) => {
                let (from, to) = (verbs.working_in, day(harvest));
                format!("the {days} days from {from} to the first crop harvest on {to} would not be met")
            }
            None => format!("{} the interval to a harvest", verbs.on_top),
        };
        let what = lots(barred, (self.labels, view));
        let ways = ways((grown, barred, days), &verbs, self.asked.as_of);
        Some(format!("{what} stay unused, since {raw} as raw manure: {why}. {}.", capitalised(&ways)))
    }
}

/// `90 L of bed of pony manure and 12 L of north bed, harvest 1`
fn lots(barred: &Barred, (labels, view): (&Labels<'_>, &View<'_>)) -> String {
    let one = |(source, amount): &(LotSource, Millilitres)| {
        let lot = match *source {
            LotSource::Stock(index) => ReferenceOut::to(labels.stock, index).called("lot"),
            LotSource::Bed { bed, cycle } => {
                labels.beds.get(bed).map(|bed| harvest_called(bed, cycle)).unwrap_or_default()
            }
        };
        format!("{} of {lot}", shown(&view.whole(*amount)))
    };
    let more = Some(barred.more_lots).filter(|more| *more > 0);
    let more = more.map(|more| number_of(more, ["more lot", "more lots"]));
    all_of(&barred.lots.iter().map(one).chain(more).collect::<Vec<_>>())
}

/// Other castings, a later harvest or an earlier application, as far as each helps.
fn ways((grown, barred, days): (&Grown, &Barred, u64), verbs: &Verbs, today: Option<NaiveDate>) -> String {
    let treated = "castings from feed that was composted hot or is free of manure";
    let other = match (grown.untreated, barred.untreated_lots) {
        (false, _) => format!("use {treated}"),
        (true, false) => "brew it without additives and with water from the mains".to_owned(),
        (true, true) => format!("brew it from {treated}, without additives and with water from the mains"),
    };
    let Verbs { work_in, .. } = verbs;
    let in_time = barred.apply_by.filter(|by| barred.ready_on <= Some(*by) && today <= Some(*by));
    let earlier = in_time.and(grown.crop.incorporate_by()).map(|by| format!("{work_in} by {}", day(by)));
    let later = barred.earliest_crop_harvest.map(|on| format!("harvest from {} on", day(on)));
    if grown.crop.incorporated {
        return [Some(other), later, earlier].into_iter().flatten().collect::<Vec<_>>().join(", or ");
    }
    let later = later.filter(|_| grown.crop.first_crop_harvest.is_some()).map(|later| format!("{work_in} and {later}"));
    let any = || format!("{work_in} at least {days} days before the harvest");
    format!("{other}, or {}", earlier.or(later).unwrap_or_else(any))
}
