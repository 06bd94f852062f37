//! How amounts given, short and left come about. Who gets how much is a rule, not a formula: see the document.

use super::answer::BalancesAnswer;
use crate::garden::formulas::Formula;
use crate::http::output::quantity::View;
use crate::http::output::{Explainer, ExplanationOut};
use crate::http::rooms::explain::measures;

/// Explains an answer.
pub fn write(answer: &BalancesAnswer, view: &View<'_>) -> Vec<ExplanationOut> {
    let mut explainer = Explainer::of(answer, view);
    let it = &mut explainer;
    for (name, list, field) in [
        ("wanted", "/demands", "/wanted"),
        ("stock", "/stock", "/amount"),
        ("given", "/demands", "/given"),
        ("short", "/demands", "/short"),
        ("left", "/stock", "/left"),
        ("expired", "/stock", "/expired"),
    ] {
        let all = it.each(list, field).filter(|all| !all.is_empty());
        it.explain_lists(format!("/total/{name}"), Formula::TotalVolume, [all]);
    }
    sums(it, (answer.demands.len(), answer.stock.len(), answer.by_date.len()), view);
    explainer.done()
}

/// Demands, lots and days, so many of each.
pub(in crate::http::rooms) fn sums(
    it: &mut Explainer<'_>,
    (demands, lots, days): (usize, usize, usize),
    view: &View<'_>,
) {
    for i in 0..demands {
        demand(it, &format!("/demands/{i}"), view);
    }
    for i in 0..lots {
        let at = |field: &str| format!("/stock/{i}/{field}");
        let with = [it.answer(&at("amount")), it.answer(&at("given")), it.answer(&at("expired"))];
        it.explain(at("left"), Formula::LeftOver, with);
    }
    let mut before = "/opening".to_owned();
    for i in 0..days {
        let at = |field: &str| format!("/by_date/{i}/{field}");
        let day = [it.answer(&at("arrived")), it.answer(&at("given")), it.answer(&at("expired"))];
        let [arrived, given, expired] = day;
        it.explain(at("left"), Formula::OnHand, [it.answer(&before), arrived, given, expired]);
        before = at("left");
    }
}

fn demand(it: &mut Explainer<'_>, at: &str, view: &View<'_>) {
    let own = |it: &Explainer<'_>, field: &str| it.answer(&format!("{at}/{field}"));
    let (wanted, given) = (own(it, "wanted"), own(it, "given"));
    it.explain(format!("{at}/short"), Formula::Short, [wanted.clone(), given.clone()]);
    if wanted.as_ref().is_some_and(|wanted| !wanted.is(0.0)) {
        it.explain(format!("{at}/share_given"), Formula::ShareGiven, [given, wanted]);
    }
    if view.measures.iter().all(|measure| matches!(measure.holds, crate::garden::units::Holds::Volume(_))) {
        measures(it, &format!("{at}/in_measures"), (&format!("{at}/given"), ""), view);
    }
}
