//! How the figures of a season come about: what beds give, sums, shares. Who gets how much is a rule, dates come of the warm-day
//! clock and chances of the runs: these have no formula of one line.

use super::answer::SeasonsAnswer;
use crate::garden::formulas::Formula;
use crate::http::output::explain::Given;
use crate::http::output::quantity::View;
use crate::http::output::{Explainer, ExplanationOut, explain};

/// Explains an answer.
pub fn write(answer: &SeasonsAnswer, view: &View<'_>) -> Vec<ExplanationOut> {
    let mut explainer = Explainer::of(answer, view).after(explain(answer, view));
    let it = &mut explainer;
    totals(it, answer);
    for (i, bed) in answer.worm_beds.iter().enumerate() {
        for n in 0..bed.lots.len() {
            let at = |field: &str| format!("/worm_beds/{i}/lots/{n}/{field}");
            it.explain(at("left"), Formula::LeftOfHarvest, [it.answer(&at("amount")), it.answer(&at("given"))]);
        }
    }
    explainer.done()
}

fn totals(it: &mut Explainer<'_>, answer: &SeasonsAnswer) {
    let lots = |it: &Explainer<'_>, field: &str| -> Vec<Given> {
        let beds = answer.worm_beds.iter().enumerate();
        let pointers = beds.flat_map(|(i, bed)| (0..bed.lots.len()).map(move |n| (i, n)));
        pointers.filter_map(|(i, n)| it.answer(&format!("/worm_beds/{i}/lots/{n}/{field}"))).collect()
    };
    for (name, list, field, of_beds) in [
        ("wanted", "/demands", "/wanted", None),
        ("stock", "/stock", "/amount", Some("amount")),
        ("given", "/demands", "/given", None),
        ("short", "/demands", "/short", None),
        ("left", "/stock", "/left", Some("left")),
        ("expired", "/stock", "/expired", None),
    ] {
        let mut all = it.each(list, field).unwrap_or_default();
        all.extend(of_beds.map(|field| lots(it, field)).unwrap_or_default());
        let all = Some(all).filter(|all| !all.is_empty());
        it.explain_lists(format!("/total/{name}"), Formula::TotalVolume, [all]);
    }
}
