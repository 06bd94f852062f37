//! Words that people use for fields of other names: what is meant where the object has such a field.

/// Words, and the fields that may be meant, the likeliest first. A field counts only where the object has it.
const SYNONYMS: &[(&[&str], &[&str])] = &[
    (
        &["date", "day", "when", "on_date", "need_on", "needed_on", "datum"],
        &["on", "start_on", "ready_on", "first_day", "as_of", "by"],
    ),
    (&["from", "after", "not_before"], &["earliest", "ready_on", "start_on", "first_day"]),
    (&["to", "till", "by", "before", "due", "deadline"], &["latest", "use_by", "until", "by"]),
    (&["until", "end", "end_on", "ends_on", "last_day"], &["until", "latest", "use_by", "by"]),
    (&["on", "latest"], &["by"]),
    (&["start", "starts_on", "begin", "begins_on", "first_day"], &["start_on", "earliest", "ready_on", "first_day"]),
    (&["ready", "ready_by", "available", "available_on", "available_from"], &["ready_on"]),
    (&["expires", "expires_on", "expiry", "best_before"], &["use_by"]),
    (&["today", "now"], &["as_of"]),
    (&["quantity", "qty", "volume", "mass", "weight", "how_much", "castings"], &["amount"]),
    (&["prio", "rank", "importance"], &["priority"]),
    (&["min", "minimum", "at_minimum"], &["at_least", "low"]),
    (&["max", "maximum", "at_maximum"], &["at_most", "high"]),
    (&["temperature", "temp"], &["climate", "fixed"]),
    (&["layers"], &["layers_per_cycle"]),
    (&["measures", "measure", "buckets"], &["containers"]),
    (&["holds", "size", "content"], &["capacity"]),
    (&["draws", "runs", "simulations"], &["simulation_runs"]),
    (&["least"], &["minimum"]),
    (&["whole", "whole_ones"], &["whole_portions"]),
    (&["prepare", "production", "produce"], &["additional_production"]),
    (&["keep_waits", "waits", "interval"], &["enforce_application_to_harvest_interval"]),
    (&["dug_in", "worked_in"], &["incorporated"]),
    (&["first_picking", "first_harvest", "harvest_on"], &["first_crop_harvest"]),
    (&["band"], &["band_width"]),
    (&["finished_depth", "depth"], &["material_depth"]),
    (&["ready_share", "finished"], &["finished_share"]),
    (&["sieve_pass", "sieved"], &["sieve_yield"]),
    (&["castings_per_water", "strength", "ratio"], &["castings_to_water"]),
    (&["brewers", "tank", "vessel"], &["brewer"]),
    (&["teas", "tea", "batches"], &["brews"]),
    (&["area", "beds", "areas"], &["surface"]),
    (&["hot_stage", "hot"], &["hot_composting"]),
    (&["stands"], &["soaking_time"]),
    (&["unworked", "feed_left"], &["uneaten_feed"]),
];

/// Fields that belong elsewhere: these names, the field that holds them or is given in their place, and what to do.
const DEEPER: &[(&[&str], &str, &str)] = &[
    (&["surface", "rate"], "application", "Put surface and rate into application"),
    (&["length", "width", "diameter", "area"], "surface", "Put the measurements into surface"),
    (&["length", "width", "diameter", "area"], "ground", "Put the measurements into ground"),
    (
        &["length", "width", "diameter", "height"],
        "volume",
        "Give the volume that one pot takes, or use the kind tapered_pots with top_diameter, bottom_diameter and height",
    ),
    (&["fixed", "daily", "monthly_means", "offset"], "climate", "Put it into climate"),
    (
        &["castings", "uneaten_feed", "eaten_on", "layers_laid"],
        "running",
        "Put it into running, which is what is in the bed",
    ),
    (
        &["start_on", "until", "worms", "layers_per_cycle", "cycles", "feed", "running", "climate"],
        "forecast",
        "Put it into forecast, which describes the bed from its start on",
    ),
    (&["until", "climate"], "worm_beds", "Put it into the forecast of each worm bed"),
];

/// The field of the object that this word usually means.
pub(crate) fn synonym<'a>(word: &str, fields: &[&'a str]) -> Option<&'a str> {
    let word = word.to_lowercase();
    let meant = SYNONYMS.iter().filter(|(words, _)| words.contains(&word.as_str())).flat_map(|(_, meant)| *meant);
    meant.filter_map(|field| fields.iter().copied().find(|known| known == field)).next()
}

/// The field of the object that is to hold a field of this name or to be given in its place, and what to do.
pub(crate) fn deeper<'a>(word: &str, fields: &[&'a str]) -> Option<(&'a str, &'static str)> {
    let fits = |(words, holder, advice): &(&[&str], &str, &'static str)| {
        let holder = fields.iter().copied().find(|field| field == holder)?;
        words.contains(&word).then_some((holder, *advice))
    };
    DEEPER.iter().find_map(fits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_synonym_is_a_field_of_the_object() {
        let demand = ["amount", "application", "on", "earliest", "latest", "priority"];
        let bed = ["ground", "start_on", "until", "climate"];
        assert_eq!(synonym("date", &demand), Some("on"));
        assert_eq!(synonym("Date", &demand), Some("on"));
        assert_eq!(synonym("from", &demand), Some("earliest"));
        assert_eq!(synonym("to", &demand), Some("latest"));
        assert_eq!(synonym("date", &bed), Some("start_on"));
        assert_eq!(synonym("from", &bed), Some("start_on"));
        assert_eq!(synonym("to", &bed), Some("until"));
        assert_eq!(synonym("ready", &["ready_on", "use_by"]), Some("ready_on"));
        assert_eq!(synonym("ready", &bed), None);
        assert_eq!(synonym("measures", &["containers", "areas"]), Some("containers"));
        assert_eq!(synonym("castings", &demand), Some("amount"));
        assert_eq!(synonym("Prio", &demand), Some("priority"));
        assert_eq!(synonym("colour", &demand), None);
        assert_eq!(deeper("rate", &demand).map(|(holder, _)| holder), Some("application"));
        assert_eq!(deeper("length", &bed).map(|(holder, _)| holder), Some("ground"));
        assert_eq!(deeper("rate", &bed), None);
    }
}
