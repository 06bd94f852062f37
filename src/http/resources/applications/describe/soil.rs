//! How the depth of each place compares with what soil and crops take in a year.

use super::name;
use crate::http::output::{Number, QuantityOut};
use crate::http::present::Description;
use crate::http::present::words::{digits, shown};
use crate::http::resources::applications::ApplicationsAnswer;
use crate::http::resources::applications::answer::AreaOut;

/// How many places a sentence names before it says that there are more.
const NAMED: usize = 5;

/// The depth to compare with, of one place.
type Limit = fn(&AreaOut) -> Option<&QuantityOut>;

/// What the depths to compare with mean.
const LIMITS: [(Limit, &str); 2] = [
    (|area| area.phosphorus_limited_depth.as_ref(), "brings the phosphorus that a crop takes in a year"),
    (
        |area| area.nitrate_limit_depth.as_ref(),
        "brings 170 kg of nitrogen per hectare, the yearly limit for manure in nitrate vulnerable zones (91/676/EEC)",
    ),
];

/// Adds a sentence for each depth to compare with: which places get more than that. Places that share the depth share the sentence.
pub fn describe(answer: &ApplicationsAnswer, description: &mut Description<'_>) {
    let mut sentences = Vec::new();
    for (limit, brings) in LIMITS {
        let mut by_depth: Vec<(String, Vec<(usize, &AreaOut)>)> = Vec::new();
        for of in answer.areas.iter().enumerate() {
            let Some(depth) = limit(of.1).map(compared) else { continue };
            match by_depth.iter_mut().find(|(known, _)| *known == depth) {
                Some((_, places)) => places.push(of),
                None => by_depth.push((depth, vec![of])),
            }
        }
        sentences.extend(by_depth.iter().map(|(depth, places)| sentence((depth, brings), (limit, places))));
    }
    if !sentences.is_empty() {
        description.heading("What the soil takes");
        sentences.into_iter().for_each(|sentence| description.paragraph(sentence));
    }
}

/// `About 4 mm (2 to 9) brings ...: carrots (10 mm) gets more.`
fn sentence((depth, brings): (&str, &str), (limit, places): (Limit, &[(usize, &AreaOut)])) -> String {
    let more: Vec<String> = places.iter().filter_map(|of| more_than((limit)(of.1)?, *of)).collect();
    let rest = more.len().saturating_sub(NAMED);
    let mut named: Vec<String> = more.into_iter().take(NAMED).collect();
    named.extend((rest > 0).then(|| format!("{rest} more")));
    let get = match (named.as_slice(), places.len()) {
        ([], 1) => "the place gets no more".to_owned(),
        ([], _) => "no place gets more".to_owned(),
        ([one], _) => format!("{one} gets more"),
        ([all @ .., last], _) => format!("{} and {last} get more", all.join(", ")),
    };
    let per = if depth.starts_with("about") { depth.replacen("about", "About", 1) } else { depth.to_owned() };
    format!("{per} {brings}: {get}.")
}

/// The place and what it gets where that is more than a depth brings: `carrots (10 mm)`, `beans (4 times 2 mm)`.
fn more_than(limit: &QuantityOut, of: (usize, &AreaOut)) -> Option<String> {
    let depth = of.1.depth.as_ref()?;
    let (one, most) = (depth.value.get(), limit.value.get());
    let times = if one > most { 1.0 } else { of.1.times_in_a_year };
    let in_all = if times > 1.0 { format!("{times} times ") } else { String::new() };
    // Whole millimetres do not tell apart what lies within one of them.
    let is_near = times == 1.0 && one.round() == most.round().max(1.0);
    let depth = match depth.unit.as_ref() {
        "mm" if is_near => format!("{} mm", digits(one)),
        "mm" => compared(depth),
        // As the table has it, unless that says only that it is less than an eighth.
        _ => Some(shown(depth)).filter(|read| !read.starts_with("under")).unwrap_or_else(|| compared(depth)),
    };
    (one * times > most).then(|| format!("{} ({in_all}{depth})", name(of)))
}

/// A depth to compare with: in whole mm, at least one; of inches no eighths, in which thin layers are alike.
fn compared(depth: &QuantityOut) -> String {
    if depth.unit != "mm" {
        let inches = |number: Number| digits(two_digits(number.get()));
        return match (depth.low.map(inches), depth.high.map(inches)) {
            (Some(low), Some(high)) => format!("about {} {} ({low} to {high})", inches(depth.value), depth.unit),
            _ => format!("{} {}", inches(depth.value), depth.unit),
        };
    }
    let whole = |number: Number| Number::rounded(number.get().round());
    let likely = Number::rounded(depth.value.get().round().max(1.0));
    match (depth.low.map(whole), depth.high.map(whole)) {
        (Some(low), Some(high)) if low.get() < 1.0 => format!("about {likely} mm (up to {high})"),
        (Some(low), Some(high)) => format!("about {likely} mm ({low} to {high})"),
        _ => shown(depth),
    }
}

/// Rounded to two significant digits.
fn two_digits(value: f64) -> f64 {
    format!("{value:.1e}").parse().unwrap_or(value)
}
