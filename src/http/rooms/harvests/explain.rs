//! How the figures of the answer came about. Shapes are read again from the request, which is known to be sound by now.

mod fed;
mod lots;

pub(in crate::http::rooms) use lots::{Planned, explain_forecast};

use super::answer::HarvestsAnswer;
use super::request::{Bed, HarvestsRequest, WormBedRequest};
use crate::garden::assumptions::Assumption;
use crate::garden::formulas::Formula;
use crate::garden::harvests::{Ends, Heap, Section};
use crate::garden::units::{Length, Share};
use crate::http::input::Crossing;
use crate::http::input::heap::HeapInput;
use crate::http::input::quantity::ShareInput;
use crate::http::output::explain::Given;
use crate::http::output::quantity::{Role, View};
use crate::http::output::{Explainer, ExplanationOut};
use crate::http::rooms::explain::{Lying, ground, measures};
use crate::http::wire::Place;

/// Explains an answer.
pub(super) fn write(
    (request, answer): (&HarvestsRequest, &HarvestsAnswer),
    beds: &[Bed],
    (crossing, view): (&Crossing<'_>, &View<'_>),
) -> Vec<ExplanationOut> {
    let mut explainer = Explainer::of(answer, view);
    total(&mut explainer, answer, view);
    let root = Place::root();
    let (bed_list, heap_list) = (root.field("worm_beds"), root.field("heaps"));
    let asked = request.worm_beds.as_deref().unwrap_or_default();
    for (i, (asked, bed)) in asked.iter().zip(beds).enumerate() {
        let place = bed_list.index(i);
        if let Some(read) = crossing.ground(&asked.ground, place.field("ground")) {
            let at = place.to_pointer();
            ground(&mut explainer, &format!("{at}/surface_area"), &read, &format!("{at}/ground"));
        }
        by_depth(&mut explainer, asked, (crossing, place), view);
        fed::explain(&mut explainer, (asked, bed), (crossing, place), view);
        lots::explain(&mut explainer, (asked, bed), (crossing, place), view);
    }
    for (i, input) in request.heaps.as_deref().unwrap_or_default().iter().enumerate() {
        heap(&mut explainer, input, (crossing, heap_list.index(i)), view);
    }
    explainer.done()
}

/// The sums, of the items that are there.
fn total(it: &mut Explainer<'_>, answer: &HarvestsAnswer, view: &View<'_>) {
    let beds = |it: &Explainer<'_>, below: &str| -> Vec<Given> {
        (0..answer.worm_beds.len()).filter_map(|i| it.answer(&format!("/worm_beds/{i}{below}"))).collect()
    };
    let heaps = |it: &Explainer<'_>, below: &str| -> Vec<Given> {
        (0..answer.heaps.len()).filter_map(|i| it.answer(&format!("/heaps/{i}{below}"))).collect()
    };
    let both = |it: &Explainer<'_>, bed: &str, heap: &str| Some([beds(it, bed), heaps(it, heap)].concat());
    let castings = both(it, "/castings", "/castings");
    it.explain_lists("/total/castings", Formula::TotalVolume, [castings]);
    let (volume, mass) = (both(it, "/stored/volume", "/castings"), both(it, "/stored/mass", "/mass"));
    sums(it, "/total/stored", (volume, mass), view);
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

/// A share of the request; all of it, told by the item itself, where it is not given.
fn share(it: &Explainer<'_>, input: Option<&ShareInput>, (crossing, at): (&Crossing<'_>, Place<'_>)) -> Option<Given> {
    match input {
        Some(input) => {
            let (_, span) = crossing.span(&input.0, crate::http::input::quantity::Due::share(0.0, 1.0), at)?;
            it.from(
                "request",
                it.estimated(Role::Share, span.estimate::<crate::garden::units::quantity::OfShare>()),
                at.to_pointer(),
            )
        }
        None => {
            let pointer = at.to_pointer();
            let item = pointer.rsplit_once('/').map_or("", |(item, _)| item);
            it.request(Role::Share, Share::from_fraction(1.0), item)
        }
    }
}

fn by_depth(
    it: &mut Explainer<'_>,
    asked: &WormBedRequest,
    (crossing, place): (&Crossing<'_>, Place<'_>),
    view: &View<'_>,
) {
    let at = place.to_pointer();
    let own = |it: &Explainer<'_>, field: &str| it.answer(&format!("{at}/{field}"));
    let Some(depth) = &asked.finished_depth else { return };
    let depth: Option<Length> = crossing.exact(&depth.0, place.field("finished_depth"));
    let depth = depth.and_then(|depth| it.request(Role::Depth, depth, format!("{at}/finished_depth")));
    let area = own(it, "surface_area");
    it.explain(format!("{at}/in_bed"), Formula::Layer, [area, depth]);
    let ready = share(it, asked.ready_share.as_ref(), (crossing, place.field("ready_share")));
    sifted(it, (&at, "in_bed"), ready, it.assumption(Assumption::SievePass, &at));
    let (castings, in_bed) = (own(it, "castings"), it.assumption(Assumption::BedDryDensity, &at));
    let Lying { rho, rho_d } = Lying::in_store(it, &at);
    let (volume, mass) = (format!("{at}/stored/volume"), format!("{at}/stored/mass"));
    it.explain(volume.as_str(), Formula::Stored, [castings.clone(), in_bed.clone(), rho_d.clone()]);
    it.explain(mass.as_str(), Formula::StoredMass, [castings, in_bed, rho, rho_d]);
    measures(it, &format!("{at}/stored/in_measures"), (&volume, &mass), view);
}

/// What is ready, what passes the sieve and what it holds back.
fn sifted(it: &mut Explainer<'_>, (at, whole): (&str, &str), share: Option<Given>, pass: Option<Given>) {
    let field = |name: &str| format!("{at}/{name}");
    let (all, ready) = (it.answer(&field(whole)), it.answer(&field("ready")));
    it.explain(field("ready"), Formula::Ready, [all.clone(), share]);
    it.explain(field("not_ready"), Formula::NotReady, [all, ready.clone()]);
    it.explain(field("castings"), Formula::Sieved, [ready.clone(), pass.clone()]);
    it.explain(field("sieved_off"), Formula::SievedOff, [ready, pass]);
}

fn heap(it: &mut Explainer<'_>, input: &HeapInput, (crossing, place): (&Crossing<'_>, Place<'_>), view: &View<'_>) {
    let at = place.to_pointer();
    if let Some(shape) = crossing.heap(input, place) {
        in_heap(it, &at, shape);
    }
    let common = input.common();
    let ready = share(it, common.ready_share, (crossing, place.field("ready_share")));
    let pass = share(it, common.sieve_pass, (crossing, place.field("sieve_pass")));
    sifted(it, (&at, "in_heap"), ready, pass);
    let (castings, mass) = (format!("{at}/castings"), format!("{at}/mass"));
    let with = [it.answer(&castings), Lying::in_store(it, &at).rho];
    it.explain(mass.as_str(), Formula::MassOfVolume, with);
    measures(it, &format!("{at}/in_measures"), (&castings, &mass), view);
}

fn in_heap(it: &mut Explainer<'_>, at: &str, heap: Heap) {
    let of = format!("{at}/in_heap");
    let long =
        |it: &Explainer<'_>, length: Length, field: &str| it.request(Role::Length, length, format!("{at}/{field}"));
    match heap {
        Heap::Cone { diameter, height } => {
            let with = [long(it, diameter, "diameter"), long(it, height, "height")];
            it.explain(of, Formula::Cone, with);
        }
        Heap::Bin { diameter, height } => {
            let with = [long(it, diameter, "diameter"), long(it, height, "height")];
            it.explain(of, Formula::Bin, with);
        }
        Heap::Bay { mean_length, width, height } => {
            let with = [long(it, mean_length, "mean_length"), long(it, width, "width"), long(it, height, "height")];
            it.explain(of, Formula::Bay, with);
        }
        Heap::Counted { count, holds } => {
            let with = [
                it.count(f64::from(count), format!("{at}/count")),
                it.request(Role::Bulk, holds, format!("{at}/holds")),
            ];
            it.explain(of, Formula::VolumePerPlant, with);
        }
        Heap::Windrow { length, width, height, section, ends } => {
            let with = [long(it, length, "length"), long(it, width, "width"), long(it, height, "height")];
            let formula = match (section, ends) {
                (Section::Triangular, Ends::Sloped) => Formula::Windrow,
                (Section::Triangular, Ends::Square) => Formula::SquareWindrow,
                (Section::HalfEllipse, Ends::Sloped) => Formula::RoundWindrow,
                (Section::HalfEllipse, Ends::Square) => Formula::SquareRoundWindrow,
            };
            it.explain(of, formula, with);
        }
    }
}
