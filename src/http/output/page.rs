//! The frame of every printed page: one sheet, no scripts, nothing from elsewhere, quiet and print-first. It fits A4 and
//! Letter, and a phone.

use super::{AssumptionOut, CautionOut, QuantityOut};
use maud::{DOCTYPE, Markup, html};

/// Black on white, one column, tables with thin rules; numbers right. No colour carries a meaning.
const STYLE: &str = "\
@page{margin:15mm}\
*{box-sizing:border-box}\
body{font:11pt/1.45 Georgia,'Times New Roman',serif;color:#111;background:#fff;max-width:44em;margin:1.5em auto;padding:0 1em}\
h1{font-size:1.5em;line-height:1.2;margin:0 0 .2em;overflow-wrap:anywhere}\
h2{font-size:1.05em;margin:1.6em 0 .4em;border-bottom:1px solid #111;break-after:avoid;overflow-wrap:anywhere}\
h3{font-size:1em;margin:1.2em 0 .3em;break-after:avoid;overflow-wrap:anywhere}\
figure{margin:1em 0;max-width:38em;break-inside:avoid}\
.chart{display:block;width:100%;height:auto}\
p,li{overflow-wrap:anywhere}\
p{margin:.4em 0}\
.small{font-size:.85em;color:#333}\
table{border-collapse:collapse;width:100%}\
th,td{text-align:left;vertical-align:top;padding:.25em .6em .25em 0;border-bottom:1px solid #bbb;overflow-wrap:anywhere}\
th{font-weight:normal;font-style:italic;border-bottom-color:#111}\
.n{text-align:right;white-space:nowrap}\
th,.n{overflow-wrap:normal}\
.n+:not(.n){padding-left:.6em}\
.w,.when{white-space:nowrap}\
.id{overflow-wrap:break-word}\
.week{break-inside:avoid}\
.lead{break-after:avoid}\
thead{break-after:avoid}\
tr{break-inside:avoid}\
ul{padding-left:1.2em;margin:.4em 0}\
li{margin:.3em 0;break-inside:avoid}\
.tick{display:inline-block;width:.9em;height:.9em;border:1px solid #111;vertical-align:-.1em}\
@media(max-width:34em){body{font-size:10.5pt}th,td{padding-right:.35em}.n{white-space:normal}.when{white-space:normal}}\
@media print{body{margin:0;padding:0;max-width:none;font-size:10pt}}";

/// A quantity for reading: four significant digits, and its range where there is one.
#[must_use]
pub fn shown(quantity: &QuantityOut) -> String {
    let range = match (quantity.low, quantity.high) {
        (Some(low), Some(high)) => format!(" ({}–{})", digits(low.get()), digits(high.get())),
        _ => String::new(),
    };
    format!("{}{range} {}", digits(quantity.value.get()), quantity.unit).trim_end().to_owned()
}

/// Four significant digits, without trailing zeros.
#[must_use]
pub fn digits(value: f64) -> String {
    let rounded: f64 = format!("{value:.3e}").parse().unwrap_or(value);
    format!("{rounded}")
}

/// An id that a line may break after its dots and underscores.
#[must_use]
pub fn breakable(id: &str) -> Markup {
    html! { @for part in id.split_inclusive(['.', '_']) { (part) wbr; } }
}

/// A page with its title, its sections, and what travels with every answer.
#[must_use]
pub fn page(title: &str, sections: &Markup, cautions: &[CautionOut], assumptions: &[AssumptionOut]) -> String {
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (maud::PreEscaped(STYLE)) }
            }
            body {
                h1 { (title) }
                (sections)
                h2 { "Cautions" }
                ul {
                    @for caution in cautions {
                        li { b { (caution.severity) ". " } (caution.text) " " span.small { "[" (caution.source) "]" } }
                    }
                }
                h2 { "Assumptions" }
                (assumed(assumptions))
                p.small { "Computed with " (super::COMPUTED_WITH) ". Figures in brackets are the lower and upper bound." }
            }
        }
    };
    markup.into_string()
}

fn assumed(assumptions: &[AssumptionOut]) -> Markup {
    html! {
        @if assumptions.is_empty() {
            p { "None." }
        } @else {
            table {
                thead { tr { th { "what" } th.n { "value" } th { "given by" } th { "source" } } }
                @for assumed in assumptions {
                    tr {
                        td.id { (breakable(assumed.id)) }
                        td.n { (shown(&assumed.value)) }
                        td.w { (assumed.given_by) }
                        td.small { (assumed.source) }
                    }
                }
            }
        }
    }
}
