//! The answer described: what to make and buy, what limits it, the castings, and the plan week by week.

use super::WormBedsAnswer;
use super::answer::{BinsNeededOut, WeekOut};
use super::enough::{enough, has_year, is_some, plain};
use super::tables::{castings, layers, needed, weeks};
use crate::http::output::QuantityOut;
use crate::http::present::counted::containers;
use crate::http::present::units::beside;
use crate::http::present::words::{day, days, digits, number_of, shown};
use crate::http::present::{Description, Part};
use crate::http::resources::calendar::{counted, likely, worms_wait_in_all};
use crate::http::resources::collected::{ProductionMaterialOut, materials_in_words};
use crate::http::resources::mixes::taken_each;
use crate::http::wire::capitalised;

/// Describes the answer.
pub(super) fn describe(answer: &WormBedsAnswer) -> Description<'_> {
    let mut description = Description::of(answer, "A worm bed");
    headline(answer, &mut description);
    enough(answer, &mut description);
    surplus(answer, &mut description);
    yields(answer, &mut description);
    size(answer, &mut description);
    description.section("Castings", castings(answer));
    description.section("Castings needed", needed(answer));
    description.parts.push(Part::Chart(super::chart::chart(answer)));
    description.section("Layers to lay", layers(answer));
    let laid = answer
        .layers
        .iter()
        .flatten()
        .map(|layer| (day(layer.on), ProductionMaterialOut::all_by_mass(&layer.materials)));
    taken_each("What to take for each layer", laid, &mut description);
    let is_laid = answer.layers.is_some();
    let eaten = if is_laid { "Week by week: what the worms eat of these layers" } else { "Week by week" };
    description.section(eaten, weeks(answer, is_laid));
    let fed = answer.weeks.iter().filter(|week| !is_laid && is_some(&week.feed));
    let fed = fed.map(|week| (days(week.start_on, week.end_on), ProductionMaterialOut::all_by_mass(&week.materials)));
    taken_each("What to take in each week", fed, &mut description);
    description
}

/// What to make, and what to buy.
fn headline(answer: &WormBedsAnswer, description: &mut Description<'_>) {
    let worms = &answer.worms;
    let bed = format!("Make a bed of {}", plain(&answer.ground.bed));
    let bins = answer.bins.as_ref().map(|bins| format!(", which is {},", of_bins(bins))).unwrap_or_default();
    let worms = match (is_some(&worms.to_buy), worms.to_buy == worms.at_start) {
        (true, true) => format!("and buy {} of worms", plain(&worms.to_buy)),
        (true, false) => {
            format!("and buy {} of worms, so that it has {}", plain(&worms.to_buy), plain(&worms.at_start))
        }
        (false, _) => format!("for {} of worms", plain(&worms.at_start)),
    };
    let later = answer.weeks.first().is_some_and(|week| week.start_on < answer.worms.introduce_on);
    let on = day(answer.worms.introduce_on);
    let when = if later {
        format!(" Introduce the worms on {on}, when there is feed for a first layer.")
    } else {
        String::new()
    };
    description.stressed(format!("{bed}{bins} {worms}.{when}"), String::new());
    let cautions: Vec<&str> = answer.cautions.iter().map(|caution| caution.rule).collect();
    let fed_on = |week: &WeekOut| is_some(&week.feed).then_some(week.start_on);
    let last_fed = answer.weeks.iter().filter_map(fed_on).next_back();
    let is_fed_again = answer.lots.first().is_some_and(|lot| Some(lot.finished_on) <= last_fed);
    let wait = worms_wait_in_all(&cautions, (true, is_fed_again), answer.units);
    wait.into_iter().for_each(|wait| description.paragraph(wait));
    if !answer.castings_needed.is_empty() {
        description.paragraph(in_all(answer));
    }
    description.parts.extend(mixed(answer));
    if let Some(unfed) = &answer.without_feed {
        description.paragraph(capitalised(&unfed.in_words()));
    }
    if let Some(stopped) = &answer.stopped {
        description.stressed(capitalised(&stopped.in_words()), String::new());
    }
}

/// `Until 22 Feb 2027 it takes 213 kg of leaves (loose) in all, 2840 L: 14.1 to 21.6 kg a week.`
fn in_all(answer: &WormBedsAnswer) -> String {
    let eaten = &answer.feed.eaten;
    let fed = answer.weeks.iter().filter(|week| is_some(&week.feed));
    let last = fed.clone().next_back().map(|week| format!("Until {} it", day(week.end_on)));
    let by_amount = |a: &&QuantityOut, b: &&QuantityOut| a.value.get().total_cmp(&b.value.get());
    let each = fed.map(|week| &week.feed);
    let range = each.clone().min_by(by_amount).zip(each.max_by(by_amount));
    let weekly = match (range, eaten.weeks, &answer.layers) {
        (Some((least, most)), 2.., None) => {
            let [least, most] = [least, most].map(|of| beside(&likely(of, 1), most));
            let (least, most) = (digits(least.value.get()), format!("{} {}", digits(most.value.get()), most.unit));
            format!(", in {} weeks: {least} to {most} a week", eaten.weeks)
        }
        _ => String::new(),
    };
    let plan = if answer.layers.is_some() {
        "Have it there when its layers are laid: see the days below."
    } else {
        "The plan below says how much is needed in each week."
    };
    let feed = materials_in_words(answer.feed_name.as_deref().unwrap_or("feed"));
    format!(
        "{} takes {} of {feed} in all, {}{weekly}. {plan}",
        last.as_deref().unwrap_or("It"),
        plain(&eaten.mass),
        counted(&likely(&eaten.volume, 1), &eaten.in_containers, 1),
    )
}

/// What all of the feed takes of each material of a mix.
fn mixed(answer: &WormBedsAnswer) -> Option<Part> {
    let taken = ProductionMaterialOut::all_by_mass(&answer.feed.eaten.materials);
    let assumed = if answer.is_mix_assumed { " No parts are given, so equal volumes are assumed." } else { "" };
    let text = format!("In all, take for the mix: {taken}.{assumed}");
    (!taken.is_empty()).then_some(Part::Paragraph { stressed: String::new(), text })
}

fn of_bins(bins: &BinsNeededOut) -> String {
    let count = bins.count.get();
    let several = if count == 1 { "bin" } else { "bins" };
    format!("{count} {several} of {}", plain(&bins.capacity))
}

/// Feed that waits, and the winter.
fn surplus(answer: &WormBedsAnswer, description: &mut Description<'_>) {
    if let Some(surplus) = &answer.surplus_feed {
        let counted = containers(surplus.in_containers.iter()).map(|text| format!(", {text}")).unwrap_or_default();
        description.paragraph(format!(
            "At most {} of feed ({}{counted}) wait at once, on {}. {}{}",
            plain(&surplus.mass),
            plain(&surplus.volume),
            day(surplus.on),
            surplus.advice,
            if answer.lots.is_empty() { "" } else { " A bed takes no feed while the castings of a harvest finish." }
        ));
    }
    if let Some(winter) = &answer.winter {
        description.paragraph(format!(
            "It is too cold for the worms to eat from {} to {}; {} of feed wait at the end of that time.",
            day(winter.start_on),
            day(winter.end_on),
            plain(&winter.feed_waiting)
        ));
    }
}

/// Castings of a year or of all deliveries, and when the first are ready.
fn yields(answer: &WormBedsAnswer, description: &mut Description<'_>) {
    if let Some(castings) = &answer.feed.castings_a_year {
        let amount = shown(&castings.volume);
        let fed = if has_year(answer) { "This feed" } else { "Fed like this all year, this feed" };
        description.paragraph(format!("{fed} gives {amount} of sieved castings a year, once it is all eaten."));
    }
    if let Some(castings) = &answer.feed.castings_of_all {
        let amount = shown(&castings.volume);
        description.paragraph(format!("All this feed gives {amount} of sieved castings, once it is eaten."));
    }
    if answer.lots.is_empty() {
        let on = day(answer.end.last_day());
        let later = if answer.stopped.is_none() { " A later last day (until) shows when it is." } else { "" };
        description.paragraph(format!("No harvest is ready by {on}.{later}"));
    }
}

/// How the size compares.
fn size(answer: &WormBedsAnswer, description: &mut Description<'_>) {
    let (ground, thumb) = (&answer.ground, &answer.rules_of_thumb);
    if let Some(least) = &ground.at_least {
        description.paragraph(format!(
            "The feed needs {} of worms. {} of ground is the least that carries them; on {} they have room to grow.",
            shown(&answer.worms.needed),
            capitalised(&shown(least)),
            shown(&ground.with_room)
        ));
    } else {
        description.paragraph(format!("All castings needed take {} of ground.", shown(&ground.with_room)));
    }
    let weeks = u64::try_from(answer.feed.eaten.weeks).ok().filter(|_| answer.feed.castings_a_year.is_none());
    let weeks = weeks.filter(|weeks| *weeks > 0).map(|weeks| number_of(weeks, ["week", "weeks"]));
    let while_fed = weeks.map(|weeks| format!(" over {weeks} in which the bed takes feed")).unwrap_or_default();
    description.paragraph(format!(
        "To compare, rules of thumb (common practice, no source) for {} of feed a week{while_fed}: {} of worms, if they eat half their \
         weight a day, on {}, at a pound per square foot.",
        plain(&thumb.feed_a_week),
        plain(&thumb.worms),
        plain(&thumb.ground)
    ));
}
