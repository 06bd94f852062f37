//! What is recorded of the worked requests, computed anew from its sources: the bounds of each figure are its value at corners of the
//! sources that it comes of, so no source is counted twice and none is left out.

use super::Question;
use super::applications::Applications;
use super::ask::with_request;
use super::balances::Balances;
use super::brews::Brews;
use super::calibrations::Calibrations;
use super::feeds::Feeds;
use super::harvests::Harvests;
use super::seasons::Seasons;
use super::worm_beds::WormBeds;
use crate::garden::figures::{Book, Ends, Entry, Origin};
use crate::garden::units::Dimension;
use crate::http::wire;
use std::collections::{BTreeMap, BTreeSet};

/// More sources with a range than this would have too many corners.
const MAX_RANGES: usize = 9;

/// Coherent units in one base unit.
fn coherent(dimension: Dimension) -> f64 {
    if dimension.coherent_unit().starts_with("m3") { 0.001 } else { 1.0 }
}

/// The figure in coherent units, each of its sources that has a range at one of its ends.
fn at_corner(book: &Book, node: u32, corner: &BTreeMap<u32, usize>, known: &mut BTreeMap<u32, f64>) -> f64 {
    if let Some(value) = known.get(&node) {
        return *value;
    }
    let Entry { origin, dimension, values } = book.entry(node).unwrap();
    let value = match origin {
        Origin::Formula { definition, inputs, .. } => {
            let mut lists = vec![Vec::new(); definition.terms.len()];
            for (term, input) in inputs {
                let [low, likely, high] = input.values;
                // What is put in without its range stays at its likely value.
                let fixed = low == high || input.node == 0;
                let factor = coherent(definition.terms[term].dimension);
                let at_corner = |known| at_corner(book, input.node, corner, known);
                lists[term].push(if fixed { likely * factor } else { at_corner(known) });
            }
            (definition.evaluate)(&lists.iter().map(Vec::as_slice).collect::<Vec<_>>())
        }
        _ => values[corner.get(&node).copied().unwrap_or(1)] * coherent(dimension),
    };
    known.insert(node, value);
    value
}

/// The sources with a range that a figure comes of.
fn ranges(book: &Book, node: u32, found: &mut BTreeSet<u32>) {
    let Some(Entry { origin, values: [low, _, high], .. }) = book.entry(node) else { return };
    match origin {
        Origin::Formula { inputs, .. } => {
            let ranged = inputs.iter().filter(|(_, input)| input.values[0] < input.values[2]);
            ranged.for_each(|(_, input)| ranges(book, input.node, found));
        }
        _ if low < high => drop(found.insert(node)),
        _ => {}
    }
}

/// Whether bounds of a figure, or of what it comes of, were tied or simulated.
fn ends(book: &Book, node: u32) -> (bool, bool) {
    let Some(Entry { origin: Origin::Formula { inputs, ends: own, .. }, .. }) = book.entry(node) else {
        return (false, false);
    };
    let of_inputs = inputs.iter().map(|(_, input)| ends(book, input.node));
    of_inputs
        .fold((own == Ends::Tied, own == Ends::Simulated), |(tied, simulated), of| (tied || of.0, simulated || of.1))
}

/// How many figures of a book were computed anew, and those whose bounds are not those at the corners. Tied inputs give closer bounds.
/// What a simulation bounds is left out.
fn check(book: &Book) -> (usize, Vec<String>) {
    let (mut checked, mut wrong) = (0, Vec::new());
    for node in 1.. {
        let Some(entry) = book.entry(node) else { break };
        let Origin::Formula { definition, .. } = &entry.origin else { continue };
        let mut sources = BTreeSet::new();
        ranges(book, node, &mut sources);
        let (tied, simulated) = ends(book, node);
        if simulated || sources.len() > MAX_RANGES {
            continue;
        }
        let (mut least, mut most) = (f64::MAX, f64::MIN);
        for bits in 0..1_u32 << sources.len() {
            let end = |(i, source): (usize, &u32)| (*source, if bits >> i & 1 == 1 { 2 } else { 0 });
            let corner = sources.iter().enumerate().map(end).collect();
            let value = at_corner(book, node, &corner, &mut BTreeMap::new());
            (least, most) = (least.min(value), most.max(value));
        }
        let [low, _, high] = entry.values.map(|value| value * coherent(entry.dimension));
        let hair = 1e-9 * least.abs().max(most.abs()).max(1e-8);
        // Of the water in a mix the bounds are safe ones: what soaking adds to a mass is taken at either end whatever the moisture. So they
        // are of what soaked material fills and settles to.
        let is_safe = matches!(definition.id, "moisture" | "solids_and_water" | "settled");
        let within = is_safe || low >= least - hair && high <= most + hair;
        let reached = low <= least + hair && high >= most - hair;
        checked += 1;
        if !within || !(reached || tied) {
            wrong.push(format!("{} {}: {low}..{high} but {least}..{most}", definition.id, definition.text()));
        }
    }
    (checked, wrong)
}

fn check_question<Q: Question>() -> (usize, Vec<String>) {
    let (mut checked, mut wrong) = (0, Vec::new());
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(Q::NAME);
    for path in std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        let name = path.display();
        let mut body: serde_json::Value = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        body["explain"] = true.into();
        let body = serde_json::to_vec(&body).unwrap();
        let tree = wire::parse(&body).unwrap();
        let found = with_request::<Q, _>(&tree, |request, context, view| {
            Q::answer(request, context, view)?;
            Some(check(view.book().unwrap()))
        });
        let (of_sample, of_wrong) = found.unwrap_or_else(|_| panic!("{name} has errors"));
        assert!(of_sample > 0, "nothing is recorded of {name}");
        checked += of_sample;
        wrong.extend(of_wrong.into_iter().map(|one| format!("{name}: {one}")));
    }
    (checked, wrong)
}

#[test]
fn bounds_of_the_worked_requests_are_those_at_the_corners_of_their_sources() {
    let found = [
        check_question::<Applications>(),
        check_question::<Harvests>(),
        check_question::<Brews>(),
        check_question::<Feeds>(),
        check_question::<WormBeds>(),
        check_question::<Calibrations>(),
        check_question::<Balances>(),
        check_question::<Seasons>(),
    ];
    let wrong: Vec<&String> = found.iter().flat_map(|(_, wrong)| wrong).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}
