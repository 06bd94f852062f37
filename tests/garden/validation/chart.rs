//! The chart of docs/validation.md: for each row the range of the runs and what was observed, over the likely forecast.

use super::Answered;
use super::page::{between, relative, shown};
use super::trials::Kind;
use std::fmt::Write as _;

/// Where the axis begins, pixels.
const LEFT: f64 = 225.0;
/// Pixels for a tenfold.
const TENFOLD: f64 = 150.0;
/// The axis runs from a tenth to a hundredfold.
const TENFOLDS: (f64, f64) = (-1.0, 2.0);
/// Height of a line, pixels.
const LINE: f64 = 20.0;
/// Room above the first line.
const TOP: f64 = 44.0;

fn place(times: f64) -> f64 {
    LEFT + (times.log10().clamp(TENFOLDS.0, TENFOLDS.1) - TENFOLDS.0) * TENFOLD
}

/// What the groups of lines are called.
fn heading(kind: Kind) -> &'static str {
    match kind {
        Kind::Whole => "A whole forecast",
        Kind::Partial => "A part of it",
        Kind::Own => "Not counted: sources of defaults",
        Kind::Rule => "Not counted: advice",
    }
}

fn axis(svg: &mut String, bottom: f64) {
    for (times, label) in [(0.1, "0.1"), (1.0, "1"), (10.0, "10"), (100.0, "100")] {
        let x = place(times);
        let dashes = if times == 1.0 { "" } else { " stroke-dasharray=\"2 3\"" };
        writeln!(svg, "<line x1=\"{x:.1}\" y1=\"30\" x2=\"{x:.1}\" y2=\"{bottom:.1}\" stroke=\"#767676\"{dashes}/>")
            .unwrap();
        writeln!(svg, "<text x=\"{x:.1}\" y=\"24\" text-anchor=\"middle\">{label}</text>").unwrap();
    }
}

/// The bar of the runs, and the observation: a filled dot inside, an open diamond outside.
fn line(svg: &mut String, (row, said): &Answered, y: f64) {
    let (runs, observed) = relative(said);
    let ([from, to], [seen, until]) = (runs.map(place), observed.map(place));
    let middle = (seen + until) / 2.0;
    writeln!(svg, "<text x=\"8\" y=\"{:.1}\">{}</text>", y + 4.0, row.id).unwrap();
    let bar = to - from;
    writeln!(svg, "<rect x=\"{from:.1}\" y=\"{:.1}\" width=\"{bar:.1}\" height=\"8\" fill=\"#9ab8d3\"/>", y - 4.0)
        .unwrap();
    if until > seen {
        writeln!(
            svg,
            "<line x1=\"{seen:.1}\" y1=\"{y:.1}\" x2=\"{until:.1}\" y2=\"{y:.1}\" stroke=\"#111\" stroke-width=\"2\"/>"
        )
        .unwrap();
    }
    if said.inside() {
        writeln!(svg, "<circle cx=\"{middle:.1}\" cy=\"{y:.1}\" r=\"4\" fill=\"#111\"/>").unwrap();
    } else {
        let (l, r, t, b) = (middle - 5.0, middle + 5.0, y - 5.0, y + 5.0);
        let diamond = format!("M{l:.1} {y:.1}L{middle:.1} {t:.1}L{r:.1} {y:.1}L{middle:.1} {b:.1}Z");
        writeln!(svg, "<path d=\"{diamond}\" fill=\"#fff\" stroke=\"#a40000\" stroke-width=\"2\"/>").unwrap();
    }
}

/// The same in words.
fn words(answered: &[Answered]) -> String {
    let one = |(row, said): &Answered| {
        let what = if said.inside() { "inside" } else { "outside" };
        format!(
            "{}: forecast {} ({}), observed {}, {what}.",
            row.id,
            shown(said.likely),
            between(said.runs),
            between(said.observed)
        )
    };
    answered.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// The chart.
pub fn chart(answered: &[Answered]) -> String {
    let kinds = [Kind::Whole, Kind::Partial, Kind::Own, Kind::Rule];
    let mut lines = String::new();
    let mut y = TOP;
    for kind in kinds {
        y += LINE / 2.0;
        writeln!(lines, "<text x=\"8\" y=\"{:.1}\" font-weight=\"bold\">{}</text>", y + 4.0, heading(kind)).unwrap();
        y += LINE;
        for answer in answered.iter().filter(|(row, _)| row.kind == kind) {
            line(&mut lines, answer, y);
            y += LINE;
        }
    }
    let (width, height) = (LEFT + (TENFOLDS.1 - TENFOLDS.0) * TENFOLD + 20.0, y + 10.0);
    let mut svg = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    writeln!(
        svg,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"100%\" role=\"img\" \
         aria-labelledby=\"title words\" font-family=\"sans-serif\" font-size=\"12\">"
    )
    .unwrap();
    writeln!(svg, "<title id=\"title\">Forecasts and published trials, over the likely forecast</title>").unwrap();
    writeln!(svg, "<desc id=\"words\">{}</desc>", words(answered)).unwrap();
    writeln!(svg, "<rect width=\"{width:.0}\" height=\"{height:.0}\" fill=\"#fff\"/>").unwrap();
    writeln!(svg, "<text x=\"8\" y=\"24\">times the likely forecast</text>").unwrap();
    axis(&mut svg, height - 8.0);
    svg + &lines + "</svg>\n"
}
