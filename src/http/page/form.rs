//! The form, and the templates of its lines.

use super::controls::{
    AMOUNT, AREA, BY_AREA, BY_PLANT, BY_ROW, CAPACITY, DEPTH, LENGTH, MASS_BY_AREA, POT, SHARE, TEMPERATURE, WIDTH,
    WORMS, Way, case, choice, count, date, number, pick, quantity, rest, text, today,
};
use crate::garden::applications::typical::Purpose;
use crate::garden::feeds::materials;
use crate::http::present::words::day;
use crate::http::resources::balances::ApplicationRequest;
use crate::http::resources::resource::OF_A_SEASON;
use chrono::NaiveDate;
use maud::{Markup, html};
use utoipa::PartialSchema;
use utoipa::openapi::{RefOr, Schema};

/// The form; `example` is the request that it shows at first.
pub(super) fn form(example: &str) -> Markup {
    html! {
        form id="garden" novalidate data-of-season=(OF_A_SEASON.join(" ")) data-of-application=(of_an_application().join(" "))
            data-example=(example.trim_end()) {
            p { "Write down what you have, or keep this garden, and press Ask." }
            div id="summary" tabindex="-1" hidden {}
            div.field id="token-field" hidden {
                label for="token" { "Token of this service" }
                input id="token" type="password" autocomplete="off";
            }
            div.tools {
                button type="button" id="empty" { "Empty the form" }
                button type="button" id="save" { "Save to a file" }
                button type="button" id="open" { "Open a file" }
                input type="file" id="file" accept=".json,application/json" aria-label="File to open" hidden;
            }
            (day_of(example))
            fieldset.choice {
                legend { "Units" }
                label { input type="radio" name="units" value="metric" checked; " metric" }
                label { input type="radio" name="units" value="us"; " US customary" }
            }
            (list("Where castings go", "/demands", "place", "Add a place"))
            (list("Castings in stock", "/stock", "lot", "Add a lot"))
            (list("Worm beds", "/worm_beds", "bed", "Add a worm bed"))
            (warmth())
            (list("My buckets and barrows", "/containers", "container", "Add a bucket or barrow"))
            (more())
            div.actions { button.ask type="submit" { "Ask" } }
        }
    }
}

/// That the example has a day of its own; shown while the form has that day.
fn day_of(example: &str) -> Markup {
    let request = serde_json::from_str::<serde_json::Value>(example).ok();
    let on = request.and_then(|request| request.get("as_of")?.as_str()?.parse::<NaiveDate>().ok());
    html! {
        @if let Some(on) = on {
            p.small id="example-day" data-day=(on) hidden {
                "This example garden has its own date: it asks on " (day(on)) ". For your garden, empty the form, or change Today under More."
            }
        }
    }
}

/// The fields of an area that are within `application` in a demand.
fn of_an_application() -> Vec<String> {
    match ApplicationRequest::schema() {
        RefOr::T(Schema::Object(fields)) => fields.properties.keys().cloned().collect(),
        _ => Vec::new(),
    }
}

/// A list of lines, each made from a template.
fn list(heading: &str, pointer: &str, template: &str, add: &str) -> Markup {
    html! {
        section data-list=(pointer) data-template=(template) {
            h2 { (heading) }
            div.items {}
            button.add type="button" { (add) }
        }
    }
}

/// How warm the worm beds are, and until when the season lasts.
fn warmth() -> Markup {
    const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let ways = [
        Way::new("fixed", "the same all year"),
        Way::new("months", "from the air temperature of each month").has("/climate/monthly_means /climate/offset"),
        Way::new("other", "another way, as JSON below").has("/climate/fixed /climate/daily"),
    ];
    let months = html! {
        (pick("Unit", "/climate/unit", [("C", "C"), ("F", "F")].into_iter()))
        (number("Worm bed warmer than the air by", "/climate/offset"))
        @for (index, month) in MONTHS.iter().enumerate() { (number(month, &format!("/climate/monthly_means/{index}"))) }
    };
    html! {
        section data-for="seasons" id="season" {
            h2 { "Season and warmth" }
            div.fields {
                (date("Last day", "/until"))
                (choice("How warm the worm beds are", ("warmth", None), &ways))
                (case("warmth=fixed", &quantity("Temperature", "/climate", TEMPERATURE)))
                (case("warmth=months", &months))
            }
        }
    }
}

/// What belongs to the garden as a whole.
fn more() -> Markup {
    html! {
        fieldset.group {
            legend { "More" }
            div.fields {
                (text("Name of the garden or plan", "/name"))
                div data-for="balances seasons" { (today("Today", "/as_of")) }
                div data-for="balances seasons" { (quantity("A bought sack holds", "/sack/capacity", CAPACITY)) }
                div data-for="balances seasons" { (number("Price of a sack", "/sack/price")) }
                div data-for="balances seasons" { (text("Currency (EUR)", "/sack/currency")) }
            }
            (rest())
        }
    }
}

/// The templates of lines.
pub(super) fn templates() -> Markup {
    html! {
        (line("place", "Place", &place()))
        (line("lot", "Lot", &lot()))
        (line("bed", "Worm bed", &bed()))
        (line("container", "Container", &container()))
    }
}

fn line(id: &str, noun: &str, fields: &Markup) -> Markup {
    html! {
        template id=(id) {
            fieldset.item data-noun=(noun) {
                legend { (noun) }
                div.fields { (fields) }
                div.foot {
                    (rest())
                    button.remove type="button" { "Remove" }
                }
            }
        }
    }
}

const ON_GROUND: &str = "rectangle area rows circle";
const FOR_PLANTS: &str = "plants planted_rows pots";

const SHAPES: [Way; 9] = [
    Way::new("rectangle", "bed, by its sides"),
    Way::new("area", "area"),
    Way::new("rows", "rows, by their band"),
    Way::new("circle", "round bed"),
    Way::new("plants", "plants"),
    Way::new("planted_rows", "rows of plants"),
    Way::new("pots", "pots"),
    Way::new("amount", "an amount of castings").has("/amount"),
    Way::new("other", "something else, as JSON below").has("/application/surface /brew /dry_mass"),
];

const RATES: [Way; 9] = [
    Way::new("depth", "in a layer").fits(ON_GROUND),
    Way::new("per_plant", "for each plant or pot").fits(FOR_PLANTS),
    Way::new("share_of_mix", "as a share of the mix").fits("pots"),
    Way::new("volume_per_area", "by volume over the area").fits(ON_GROUND),
    Way::new("mass_per_area", "by mass over the area").fits(ON_GROUND),
    Way::new("volume_per_length", "along the row").fits("rows planted_rows"),
    Way::new("typical", "as is usual for"),
    Way::new("castings", "so much in all").has("/application/castings"),
    Way::new("other", "another way, as JSON below").has("/application/rate /application/dry_mass"),
];

/// A place that takes castings, written as a demand.
fn place() -> Markup {
    let at = |name: &str| format!("/application/surface/{name}");
    let sized = |label, name, units| quantity(label, &at(name), units);
    html! {
        (text("Name", "/name"))
        (choice("What it is", ("shape", Some(&at("kind"))), &SHAPES))
        (case("shape=rows planted_rows rectangle area circle plants pots", &count("How many", &at("count"))))
        (case("shape=rectangle rows planted_rows", &sized("Length", "length", LENGTH)))
        (case("shape=rectangle", &sized("Width", "width", LENGTH)))
        (case("shape=rows", &sized("Band width", "band_width", WIDTH)))
        (case("shape=area", &sized("Area", "area", AREA)))
        (case("shape=circle", &sized("Diameter", "diameter", LENGTH)))
        (case("shape=planted_rows", &sized("Plant spacing", "spacing", WIDTH)))
        (case("shape=pots", &sized("One pot holds", "volume", POT)))
        (case("shape=amount", &quantity("Castings", "/amount", AMOUNT)))
        (case("shape=rectangle area rows circle plants planted_rows pots", &how_much()))
        div.case data-for="balances seasons" { (when()) }
    }
}

/// How much castings a place takes.
fn how_much() -> Markup {
    let amount = |label, units| quantity(label, "/application/rate/amount", units);
    let purposes = Purpose::ALL.iter().map(|purpose| (purpose.typical().id, purpose.typical().name));
    html! {
        (choice("How much", ("rate", Some("/application/rate/kind")), &RATES))
        (case("rate=depth", &amount("How thick", DEPTH)))
        (case("rate=volume_per_area", &amount("Castings", BY_AREA)))
        (case("rate=mass_per_area", &amount("Castings", MASS_BY_AREA)))
        (case("rate=volume_per_length", &amount("Castings", BY_ROW)))
        (case("rate=per_plant", &amount("For each", BY_PLANT)))
        (case("rate=share_of_mix", &amount("Share of the mix", SHARE)))
        (case("rate=typical", &pick("Use", "/application/rate/purpose", purposes)))
        (case("rate=castings", &quantity("Castings in all", "/application/castings", AMOUNT)))
    }
}

/// When a place needs its castings, and how much that matters.
fn when() -> Markup {
    let days = [
        Way::new("any", "on any day"),
        Way::new("on", "on one day").has("/on"),
        Way::new("range", "between two days").has("/earliest /latest"),
    ];
    html! {
        (choice("When", ("when", None), &days))
        (case("when=on", &date("Day", "/on")))
        (case("when=range", &html! { (date("Not before", "/earliest")) (date("By", "/latest")) }))
        (count("Priority (1 first)", "/priority"))
    }
}

/// Castings that are there, or will be.
fn lot() -> Markup {
    html! {
        (text("Name", "/name"))
        (quantity("Amount", "/amount", AMOUNT))
        (date("Ready on", "/ready_on"))
        (date("Use by", "/use_by"))
    }
}

/// A worm bed with its feed.
fn bed() -> Markup {
    let shapes = [
        Way::new("rectangle", "bed or box, by its sides"),
        Way::new("area", "area"),
        Way::new("circle", "round"),
        Way::new("other", "another shape, as JSON below").has("/ground"),
    ];
    let sized = |label, name, units| quantity(label, &format!("/ground/{name}"), units);
    let feeds = materials::ALL.iter().map(|row| (row.id, row.name));
    html! {
        (text("Name", "/name"))
        (choice("What it is", ("ground", Some("/ground/kind")), &shapes))
        (case("ground=rectangle", &html! { (sized("Length", "length", LENGTH)) (sized("Width", "width", LENGTH)) }))
        (case("ground=area", &sized("Area", "area", AREA)))
        (case("ground=circle", &sized("Diameter", "diameter", LENGTH)))
        (date("Starts on", "/start_on"))
        (pick("Fed with", "/feed/material", feeds))
        (quantity("Worms, if known", "/worms", WORMS))
    }
}

/// A bucket of the caller.
fn container() -> Markup {
    html! {
        (text("Name", "/name"))
        (quantity("It holds", "/capacity", CAPACITY))
    }
}
