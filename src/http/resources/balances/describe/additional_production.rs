//! What to produce for what is short, and by when to begin.

use crate::garden::balances::additional_production::LimitingFactor;
use crate::http::output::QuantityOut;
use crate::http::present::counted::containers;
use crate::http::present::table::For;
use crate::http::present::words::{day, day_or_dash, shown};
use crate::http::present::{Cell, Column, Description, Part, Rows, Table};
use crate::http::resources::balances::additional_production::{ChoiceOut, LaterStartOut};
use crate::http::resources::balances::{AdditionalProductionOut, ProductionBatchOut, TooLateOut};
use crate::http::resources::collected::ProductionMaterialOut;

/// All productions in one table, then each for itself.
pub fn describe(productions: &[AdditionalProductionOut], description: &mut Description<'_>) {
    if productions.is_empty() {
        return;
    }
    description.section("Additional production", overview(productions));
    for of in productions {
        description.parts.push(Part::Subheading(format!(
            "Produce more for {}: {} are missing",
            day(of.by),
            shown(&of.shortfall)
        )));
        description.table(batches(of));
        description.paragraph(sentences(of).join(" "));
        description.table(choices(&of.choices));
    }
}

fn begin(batch: &ProductionBatchOut) -> Cell {
    if is_too_late(batch) { "too late".into() } else { batch.start_on.into() }
}

/// No start that would do can be made any more.
fn is_too_late(batch: &ProductionBatchOut) -> bool {
    batch.too_late.is_some() && batch.start_on.is_none()
}

/// The batch to follow: all columns show one option.
fn to_follow(of: &AdditionalProductionOut) -> &ProductionBatchOut {
    of.at_90_percent.as_ref().filter(|_| of.follows_90_percent).unwrap_or(&of.likely)
}

fn overview(productions: &[AdditionalProductionOut]) -> Table {
    let materials = |batch: &ProductionBatchOut| {
        let one = |of: &ProductionMaterialOut| format!("{} {}", shown(&of.mass), of.called());
        ProductionMaterialOut::taken(&batch.materials).map(one).collect::<Vec<_>>().join(", ")
    };
    Rows::of(productions, ["production", "productions"])
        .column(Column::words("", "produce\nfor"), |of: &&AdditionalProductionOut| of.by)
        .column(Column::shown("shortfall"), |of| &of.shortfall)
        .column(Column::words("", "chance"), |of| if of.follows_90_percent { "90 %" } else { "at likely values" })
        .column(Column::words("", "start by"), |of| begin(to_follow(of)))
        .column(Column::words("", "materials"), |of| materials(to_follow(of)))
        .column(Column::shown("ground"), |of| &to_follow(of).surface_area)
        .column(Column::shown("worms"), |of| &to_follow(of).worms)
        .column(Column::count("", "layers"), |of| to_follow(of).layers)
        .done()
}

/// A line of the table of one production: what it says, of the likely batch and of that for a chance of 90 %.
type Line<'a> = (String, [String; 2]);

/// An amount of a batch.
type Pick = fn(&ProductionBatchOut) -> &QuantityOut;

/// The likely batch beside that for a chance of 90 %.
fn batches(of: &AdditionalProductionOut) -> Table {
    let both: Vec<&ProductionBatchOut> = std::iter::once(&of.likely).chain(&of.at_90_percent).collect();
    let line = |what: &str, cell: &dyn Fn(&ProductionBatchOut) -> String| -> Line<'_> {
        (what.to_owned(), [cell(&of.likely), of.at_90_percent.as_ref().map(cell).unwrap_or_default()])
    };
    let mut lines = vec![
        line("latest start", &|batch| {
            if is_too_late(batch) { "too late".to_owned() } else { day_or_dash(batch.start_on) }
        }),
        line("introduce worms", &|batch| day_or_dash(batch.worms_in_on)),
        line("castings ready", &|batch| day_or_dash(batch.ready_on)),
    ];
    for material in ProductionMaterialOut::taken(&of.likely.materials) {
        let i = material.material.index;
        lines.push(line(&material.called(), &|batch| taken(batch, i)));
    }
    let amounts: [(&str, Pick); 9] = [
        ("water for the soak", |batch| &batch.soak_water),
        ("starter for the soak", |batch| &batch.starter),
        ("water for dry manure", |batch| &batch.rehydration_water),
        ("water when mixing", |batch| &batch.extra_water),
        ("the mix", |batch| &batch.mix),
        ("dry matter of the mix", |batch| &batch.feed_dry_matter),
        ("ground of the bed", |batch| &batch.surface_area),
        ("worms", |batch| &batch.worms),
        ("castings", |batch| &batch.castings),
    ];
    let some = amounts.iter().filter(|(_, pick)| both.iter().any(|batch| pick(batch).value.get() > 0.0));
    lines.extend(some.map(|(what, pick)| line(what, &|batch| shown(pick(batch)))));
    lines.push(line("layers", &|batch| batch.layers.to_string()));
    Rows::of(lines, ["line on a production", "lines on productions"])
        .only_for(For::Long)
        .column(Column::words("", ""), |(what, _)| what.clone())
        .column(Column::words("", "likely"), |(_, [likely, _])| likely.clone())
        .column(Column::words("", "for a chance of 90 %"), |(_, [_, sure])| sure.clone())
        .done()
}

fn taken(batch: &ProductionBatchOut, index: usize) -> String {
    let Some(material) = batch.materials.get(index) else { return String::new() };
    let parts =
        [shown(&material.mass), shown(&material.volume)].into_iter().chain(containers(material.in_containers.iter()));
    parts.collect::<Vec<_>>().join(", ")
}

fn sentences(of: &AdditionalProductionOut) -> Vec<String> {
    let sure = of.at_90_percent.as_ref().and_then(|batch| batch.too_late.as_ref());
    let late = sure.map(|late| late_for(of, late, " with a chance of 90 %"));
    let even = of
        .at_90_percent
        .as_ref()
        .and_then(|batch| batch.latest_start_at_50_percent)
        .map(|on| format!("For a chance of 50 %, with as much as for 90 %, start by {}.", day(on)));
    let wait = (!of.can_wait.is_empty()).then(|| {
        let all =
            of.can_wait.iter().map(|other| format!("{} ({})", other.demand.called("demand"), shown(&other.amount)));
        format!(
            "These demands wait for the new castings, and others get what is there before: {}.",
            all.collect::<Vec<_>>().join("; ")
        )
    });
    late.into_iter().chain(even).chain(of.if_started_later.iter().map(slip)).chain(wait).collect()
}

/// That no start is early enough at the likely values, with the first one that is possible.
pub fn too_late(of: &AdditionalProductionOut) -> Option<String> {
    of.likely.too_late.as_ref().map(|late| late_for(of, late, ""))
}

/// `Too late to produce for 15 Apr 2027: the first possible start is 27 Nov 2026 (today), for castings about 18 May 2027.`
fn late_for(of: &AdditionalProductionOut, late: &TooLateOut, chance: &str) -> String {
    let by = format!("{}{chance}", day(of.by));
    let area = late.area_needed.as_ref().map(|area| format!(", that takes {}", shown(area))).unwrap_or_default();
    let why = match LimitingFactor::find(late.limiting_factor) {
        Some(LimitingFactor::Ground) => return format!("The ground is too small to produce for {by}{area}."),
        Some(LimitingFactor::Warmth) | None => return format!("It is too cold to produce for {by}."),
        Some(other) => other.first_day(),
    };
    match late.first_start_on.zip(late.ready_on) {
        Some((start, ready)) => format!(
            "Too late to produce for {by}: the first possible start is {} ({why}), for castings about {}.",
            day(start),
            day(ready)
        ),
        None => format!("Too late to produce for {by}."),
    }
}

fn slip(slip: &LaterStartOut) -> String {
    let then = match (slip.ready_on, slip.days_late) {
        (Some(on), Some(late)) => format!("ready on {}, {late} days too late", day(on)),
        (Some(on), None) => format!("ready on {}", day(on)),
        (None, _) => "not ready within a year, or frost or heat kills the worms first".to_owned(),
    };
    format!("{} days later, started on {}: {then}.", slip.days, day(slip.start_on))
}

/// Other numbers of layers.
fn choices(choices: &[ChoiceOut]) -> Table {
    Rows::of(choices, ["choice of layers", "choices of layers"])
        .only_for(For::Long)
        .captioned("More layers take less ground and fewer worms, and an earlier start:")
        .column(Column::count("", "layers"), |choice: &&ChoiceOut| choice.layers)
        .column(Column::shown("ground"), |choice| &choice.surface_area)
        .column(Column::shown("worms"), |choice| &choice.worms)
        .column(Column::words("", "start by"), |choice| day_or_dash(choice.start_on))
        .column(Column::words("", "too late?").below(), |choice| if choice.too_late { "too late" } else { "" })
        .column(Column::words("", "for 90 %"), |choice| day_or_dash(choice.latest_start_at_90_percent))
        .done()
}
