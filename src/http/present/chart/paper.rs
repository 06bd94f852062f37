//! The paper of every chart (SVG 1.1): its style, its title, its words for those who do not see it.

use super::Chart;
use super::in_words::words;
use crate::http::present::words::legible;
use maud::{Markup, html};

/// What is drawn, and the size of its paper.
pub struct Drawn {
    /// How wide it is.
    pub width: f64,
    /// How high it is.
    pub height: f64,
    /// What is on it.
    pub markup: Markup,
}

impl Drawn {
    /// A sentence in place of what would be drawn.
    pub fn nothing(why: &str) -> Self {
        Self { width: WIDTH, height: 64.0, markup: html! { text x="8" y="52" { (why) } } }
    }
}

/// How wide the paper of most charts is.
pub const WIDTH: f64 = 480.0;
/// The right edge of what is drawn on it.
pub const RIGHT: f64 = 462.0;
/// The room of the title, which a page shows in words of its own.
const HEAD: f64 = 26.0;
/// The size of the letters, and of those of the title.
pub const LETTERS: f64 = 15.0;
const TITLE: f64 = 17.0;

/// How charts look, within them or in a style sheet of the page that they are in.
pub const STYLE: &str = "\
.chart{background:#fff}\
.chart text{font:15px Georgia,'Times New Roman',serif;fill:#111}\
.chart .head{font-size:17px}\
.chart .quiet{fill:#333}\
.chart .grid{stroke:#ccc;stroke-width:1;fill:none}\
.chart .axis{stroke:#111;stroke-width:1;fill:none}\
.chart .supply{stroke:#111;stroke-width:2.4;fill:none}\
.chart .demand{stroke:#111;stroke-width:2;stroke-dasharray:7 4;fill:none}\
.chart .stock{stroke:#333;stroke-width:1.2;stroke-dasharray:1.5 2.5;fill:none}\
.chart .edge{stroke:#777;stroke-width:.7;fill:none}\
.chart .bar{fill:#999;stroke:#111;stroke-width:.7}\
.chart .halo{stroke:#fff;stroke-width:4;stroke-linejoin:round;paint-order:stroke}";

/// Puts what is drawn on its paper. A chart of its own, with `cautions`, has its title above and the cautions in its description.
pub fn paper(chart: &Chart, drawn: &Drawn, cautions: Option<&[String]>) -> String {
    let title = &chart.title;
    // Within a page the paper begins lower.
    let above = if cautions.is_some() { 0.0 } else { HEAD };
    let (width, height) = (drawn.width, drawn.height - above);
    // A page gives it its width; alone it is as large as its letters ask.
    let (wide, high) = if cautions.is_some() { (at(width), Some(at(height))) } else { ("100%".to_owned(), None) };
    let markup = html! {
        svg class="chart" xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 {above} {width} {height}")) width=(wide) height=[high]
            role="img" aria-labelledby="chart-title chart-words" {
            title id="chart-title" { (title) }
            desc id="chart-words" {
                (words(chart))
                @for caution in cautions.unwrap_or_default() { "\n" (caution) }
            }
            style { (maud::PreEscaped(STYLE)) }
            @if cautions.is_some() { text class="head" x="8" y="20" { (clipped(title, width - 16.0, TITLE)) } }
            (drawn.markup)
        }
    };
    legible(markup.into_string())
}

/// A chart within a page whose first part is drawn, and what goes on below it: each on paper of its own, so that a printed page can end
/// between them. The first has the words of the whole chart.
pub fn papers(chart: &Chart, first: &Drawn, others: &[Drawn]) -> String {
    let other = |drawn: &Drawn| {
        let size = format!("0 0 {} {}", drawn.width, drawn.height);
        html! { svg class="chart" xmlns="http://www.w3.org/2000/svg" viewBox=(size) width="100%" aria-hidden="true" { (drawn.markup) } }
    };
    let others = html! { @for drawn in others { (other(drawn)) } };
    paper(chart, first, None) + &legible(others.into_string())
}

/// A place on the paper, to a tenth.
#[must_use]
pub fn at(place: f64) -> String {
    let tenths = format!("{place:.1}");
    tenths.strip_suffix(".0").unwrap_or(&tenths).to_owned()
}

/// The path of a line that goes in steps, and on to the right edge.
pub fn steps(points: impl Iterator<Item = (f64, f64)>, right: f64) -> String {
    let mut path = String::new();
    for (x, y) in points.map(|(x, y)| (at(x), at(y))) {
        path += &if path.is_empty() { format!("M{x} {y}") } else { format!("H{x}V{y}") };
    }
    path + &format!("H{right}")
}

/// How wide a letter is at most, as a share of its size.
const fn wide(letter: char) -> f64 {
    match letter {
        'm' | 'w' | 'M' | 'W' => 0.95,
        ' ' | '.' | ',' | ':' | ';' | '(' | ')' | '-' | '/' => 0.4,
        'a'..='z' => 0.6,
        '0'..='9' => 0.64,
        'A'..='Z' => 0.85,
        ' '..='~' => 0.95,
        '\u{a0}'..='\u{24f}' => 0.85,
        _ => 1.3,
    }
}

/// The length of a text that fits into a width as a whole: with narrower letters where it is long. An attribute, since pages take no styles of
/// elements.
#[must_use]
pub fn narrower(text: &str, width: f64) -> Option<String> {
    let needed: f64 = text.chars().map(wide).sum();
    (needed * LETTERS > width).then(|| at(width))
}

/// As much of a text as fits into a width, at a size of letters.
#[must_use]
pub fn clipped(text: &str, width: f64, size: f64) -> String {
    let mut left = width / size;
    for (end, c) in text.char_indices() {
        left -= wide(c);
        if left < 1.0 && end + c.len_utf8() < text.len() {
            return format!("{}…", text.get(..end).unwrap_or_default().trim_end());
        }
    }
    text.to_owned()
}
