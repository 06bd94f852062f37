//! How the figures of the answer came about.

mod fed;
mod lots;

pub(in crate::http::rooms) use lots::{Planned, explain_forecast};

use super::answer::HarvestsAnswer;
use super::request::{Bed, HarvestsRequest};
use crate::garden::formulas::Formula;
use crate::http::input::Crossing;
use crate::http::output::explain::Given;
use crate::http::output::quantity::View;
use crate::http::output::{Explainer, ExplanationOut, explain};
use crate::http::rooms::explain::measures;
use crate::http::wire::Place;

/// Explains an answer: what was recorded, then what comes of feed and of forecasts.
pub(super) fn write(
    (request, answer): (&HarvestsRequest, &HarvestsAnswer),
    beds: &[Bed],
    (crossing, view): (&Crossing<'_>, &View<'_>),
) -> Vec<ExplanationOut> {
    let mut explainer = Explainer::of(answer, view).after(explain(answer, view));
    total(&mut explainer, answer, view);
    let root = Place::root();
    let bed_list = root.field("worm_beds");
    let asked = request.worm_beds.as_deref().unwrap_or_default();
    for (i, (asked, bed)) in asked.iter().zip(beds).enumerate() {
        let place = bed_list.index(i);
        fed::explain(&mut explainer, (asked, bed), (crossing, place), view);
        lots::explain(&mut explainer, (asked, bed), (crossing, place), view);
    }
    explainer.done()
}

/// The sums of what comes of feed and of forecasts.
fn total(it: &mut Explainer<'_>, answer: &HarvestsAnswer, view: &View<'_>) {
    // A bed by its depth and by its feed counts by its depth.
    let fed = |it: &Explainer<'_>, below: &str| -> Vec<Given> {
        let only = (0..answer.worm_beds.len()).filter(|i| !it.has(&format!("/worm_beds/{i}/stored")));
        only.filter_map(|i| it.answer(&format!("/worm_beds/{i}/from_feed/castings/{below}"))).collect()
    };
    let (volume, mass) = (Some(fed(it, "volume")), Some(fed(it, "mass")));
    sums(it, "/total/from_feed", (volume, mass), view);
    let lots = |it: &Explainer<'_>, below: &str| -> Vec<Given> {
        let of_bed = |i: usize| it.each(&format!("/worm_beds/{i}/forecast/lots"), &format!("/castings/{below}"));
        (0..answer.worm_beds.len()).filter_map(of_bed).flatten().collect()
    };
    let (volume, mass) = (Some(lots(it, "volume")), Some(lots(it, "mass")));
    sums(it, "/total/forecast", (volume, mass), view);
}

type Sums = (Option<Vec<Given>>, Option<Vec<Given>>);

fn sums(it: &mut Explainer<'_>, at: &str, (volumes, masses): Sums, view: &View<'_>) {
    let (volume, mass) = (format!("{at}/volume"), format!("{at}/mass"));
    it.explain_lists(volume.as_str(), Formula::TotalVolume, [volumes]);
    it.explain_lists(mass.as_str(), Formula::TotalMass, [masses]);
    measures(it, &format!("{at}/in_measures"), (&volume, &mass), view);
}
