//! The words of the interface: one term for each thing, as the trade uses it. docs/glossary.md is made from this table.

/// A term.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Term {
    /// The term.
    pub term: &'static str,
    /// What it means.
    pub meaning: &'static str,
    /// The unit it is given in; empty where it has none.
    pub unit: &'static str,
    /// Other common names; empty where there are none.
    pub others: &'static str,
    /// A publication that uses it, or that it is plain English or common practice.
    pub source: &'static str,
}

macro_rules! terms {
    ($($term:literal: $meaning:literal; $unit:literal, $others:literal, $source:literal)*) => {
        /// Every term, in alphabetical order.
        pub const TERMS: &[Term] = &[
            $(Term { term: $term, meaning: $meaning, unit: $unit, others: $others, source: $source },)*
        ];
    };
}

terms! {
    "additional production":
        "worm beds to feed now so that a shortfall is covered later: the feed, ground and worms they need";
        "", "", "plain English"
    "additive": "anything but castings and water that goes into a brew: molasses, fish, kelp and the like";
        "", "supplement", "NOSB Compost Tea Task Force 2004"
    "allocated": "what a demand gets from stock and harvests";
        "L", "", "plain English"
    "allocation": "an amount that goes from one lot to one demand on one day";
        "L", "assignment", "plain English"
    "application": "castings spread on the ground or mixed into soil or a potting mix";
        "", "spreading", "7 CFR 205.203(c)(1)"
    "application-to-harvest interval":
        "days from the day castings are worked in to the first harvest of the crop: 120 or 90 for raw manure in \
         US organic certification";
        "d", "days before harvest", "7 CFR 205.203(c)(1)"
    "ash": "the mineral part of dry matter, which is left after burning; composting neither makes nor loses it";
        "% of dry matter", "mineral matter", "Paredes et al. 2000"
    "assumption": "a value that a calculation uses and that nobody measured for it, with its range and source";
        "", "default", "plain English"
    "available nitrogen": "the part of the nitrogen that a crop can take up in the first season";
        "% of nitrogen", "plant-available nitrogen", "sheet Compost Calculations"
    "brew": "castings in water, from the start to tea that is ready";
        "", "", "NOSB Compost Tea Task Force 2004"
    "brewing time": "from putting castings into the water until the tea is ready";
        "h", "steeping time", "Ingram & Millner 2007, J. Food Prot. 70:828-834"
    "bulk density": "mass of a volume as it lies, with its water and the air between";
        "kg/m3", "volume weight", "Rynk (ed.) 1992, On-Farm Composting Handbook NRAES-54"
    "C:N": "carbon over nitrogen, by mass";
        "", "carbon to nitrogen ratio", "Cornell Waste Management Institute"
    "capacity": "what one bucket, barrow, sack or brewer takes";
        "L", "content", "plain English"
    "carrying capacity": "live worms that a square metre of worm bed can feed and keep permanently";
        "kg/m2", "", "common practice, no source"
    "castings": "what worms leave of their feed, sieved and ready to use";
        "L or kg", "vermicompost, worm castings", "Oregon State University EM 9217, 2018"
    "castings to water": "volume of castings over volume of water in a brew; 1:5 is 20 %";
        "%", "strength, tea ratio", "Edwards et al. 2010, Crop Protection 29"
    "caution": "what to do or avoid, with its source; a warning is the most serious kind, a notice the least serious";
        "", "", "plain English"
    "chance": "share of the simulation runs in which something happens";
        "%", "probability", "plain English"
    "closing stock": "stock at the end of a day, after everything of that day";
        "L", "", "common practice, no source"
    "container": "a bucket, barrow, sack or brewer that you name, with its capacity";
        "", "measure", "plain English"
    "cycle": "one run of a worm bed, from the first layer of feed to the harvest";
        "", "batch", "plain English"
    "demand": "castings that one garden bed, row, pot or brew needs, by a day";
        "L", "requirement", "plain English"
    "depth": "thickness of a layer";
        "mm", "thickness", "University of Minnesota Extension"
    "dilution": "water added to finished tea before use";
        "", "", "Edwards et al. 2010, Crop Protection 29"
    "doubling time": "warm days in which the mass of worms doubles while they have room and feed";
        "d", "", "plain English"
    "dry basis": "a share of the dry matter; for moisture, water over dry matter";
        "%", "", "identity; printed on the page of an instrument maker"
    "dry matter": "what is left when all water is driven off";
        "kg", "dry weight, total solids", "Cornell Waste Management Institute"
    "edible part": "the part of a crop that is eaten; soil contact includes splashed soil";
        "", "edible portion", "7 CFR 205.203(c)(1)"
    "electrical conductivity": "how well an extract conducts: a measure of its salts; here of 1 part by volume in 5 of water";
        "dS/m", "EC, soluble salts", "EN 13038"
    "expected harvest": "castings that worm beds are expected to give in the time of the plan";
        "L", "", "plain English"
    "expired": "stock not used by its last day";
        "L", "past its use-by day", "plain English"
    "feed": "what worms eat";
        "kg", "bedding and food", "Ndegwa, Thompson & Das 2000, Bioresource Technol. 71:5-12"
    "feed rate": "dry feed that a mass of live worms eats in a warm day";
        "kg/kg/d", "feeding rate", "Ndegwa, Thompson & Das 2000, Bioresource Technol. 71:5-12"
    "feedstock": "a material that goes into feed or compost: leaves, grass, manure";
        "", "raw material, ingredient", "Rynk (ed.) 1992, On-Farm Composting Handbook NRAES-54"
    "finished share": "share of the depth of a worm bed that is castings";
        "%", "", "plain English"
    "finishing": "time from the last layer eaten to castings that are finished";
        "d", "curing, maturing", "Rynk (ed.) 1992, On-Farm Composting Handbook NRAES-54"
    "heap": "castings or compost piled on the ground";
        "L", "pile", "Rynk (ed.) 1992, On-Farm Composting Handbook NRAES-54"
    "hot composting":
        "keeping a heap at 55 to 77 C for 3 days in a vessel or static aerated pile, or for 15 days with five \
         turnings in a windrow";
        "C and d", "thermophilic composting", "7 CFR 205.203(c)(2)"
    "incorporated": "worked into the soil; a layer left on top is not incorporated";
        "", "dug in, tilled in", "7 CFR 205.203(c)(1)"
    "layer": "feed laid on a bed at one time";
        "mm", "lift", "Sreenivasan, Handbook of Vermicomposting, ch. 6"
    "limiting factor": "what keeps an amount from being larger: ground, feed, worms or a rule";
        "", "bottleneck", "plain English"
    "lot": "stock of one kind, ready on one day";
        "L", "batch", "common practice, no source"
    "low, likely, high": "the ends of what is plausible and the value to expect; a range, not a guarantee";
        "", "range", "plain English"
    "material depth": "depth of everything that lies in a bed, finished or not";
        "mm", "", "plain English"
    "minimum": "least amount with which a demand is worth serving";
        "L", "minimum quantity", "plain English"
    "mix": "feedstocks put together by amounts";
        "", "recipe, blend", "Cornell Waste Management Institute"
    "moisture": "water as a share of the whole (wet basis)";
        "%", "moisture content", "Cornell Waste Management Institute"
    "needed": "what a demand asks for in full";
        "L", "required", "plain English"
    "nitrate vulnerable zone":
        "land that an authority declares under the nitrates directive, with a limit of 170 kg nitrogen from \
         manure per hectare and year";
        "kg/ha", "NVZ", "Council Directive 91/676/EEC"
    "on hand": "stock that is ready by the day of the question";
        "L", "in stock", "common practice, no source"
    "opening stock": "stock at the start of a day";
        "L", "", "common practice, no source"
    "organic matter": "dry matter without its ash";
        "kg", "volatile solids", "Paredes et al. 2000"
    "oversize": "what stays on the sieve";
        "L", "overs", "plain English"
    "percentile": "the value below which that share of the simulation runs lies: 50 % for p50";
        "", "p10, p50, p90", "common practice, no source"
    "phosphate, potash": "phosphorus as P2O5 and potassium as K2O, as labels of fertiliser give them";
        "kg", "P2O5, K2O", "Fertiliser (Control) Order 1985"
    "priority": "which demand is served first: 1 before 2";
        "", "rank", "plain English"
    "pro rata share": "share of its need that every demand of one priority gets when stock is short";
        "%", "proportional share", "plain English"
    "rate": "how much castings goes on one unit of ground, row, plant or mix";
        "", "application rate", "University of Minnesota Extension"
    "raw manure": "animal manure that is neither composted hot nor treated; worms and time alone do not treat it";
        "", "untreated manure", "7 CFR 205.203(c)(1)"
    "ready": "finished and fit for use";
        "", "available", "plain English"
    "received": "stock that arrives on a day";
        "L", "receipts", "common practice, no source"
    "remaining": "what is left of a lot after all allocations";
        "L", "left over", "plain English"
    "row": "a straight line of crop, with its length and the width that gets castings";
        "m", "drill, band", "plain English"
    "shortfall": "needed less allocated";
        "L", "shortage, deficit", "plain English"
    "shortfall options": "ways to close a shortfall: serve later, buy sacks, additional production";
        "", "", "plain English"
    "sieve yield": "share of the harvested volume that passes the sieve";
        "%", "screen yield", "plain English"
    "simulation run": "one trial of a season, with each uncertain value drawn from its range";
        "", "trial, iteration", "common practice, no source"
    "soaking time": "how long a material lies in water";
        "h or d", "", "plain English"
    "stocking density": "live worms put on a square metre of a new bed";
        "kg/m2", "", "Ndegwa, Thompson & Das 2000, Bioresource Technol. 71:5-12"
    "supply": "stock on hand, stock to come and expected harvests together";
        "L", "", "common practice, no source"
    "tea": "water in which castings were brewed, for use on soil";
        "L", "compost tea, vermicompost tea", "NOSB Compost Tea Task Force 2004"
    "topdress": "spread castings on the surface around growing plants";
        "", "side-dress", "plain English"
    "treated": "manure that hot composting or another accepted process made safe";
        "", "composted", "21 CFR 112.51"
    "untreated": "not treated, or not known to be";
        "", "raw", "21 CFR 112.51"
    "use by": "the last day on which a lot or a tea is fit for use";
        "", "expiry date", "plain English"
    "warm day": "a day that counts in full for worms; a cooler or hotter day counts for a part of one";
        "d", "", "plain English"
    "whole portions": "amounts that cannot be split: whole plants, pots or batches";
        "", "units", "plain English"
    "windrow": "a long heap";
        "", "", "Rynk (ed.) 1992, On-Farm Composting Handbook NRAES-54"
    "worm bed": "worms, feed and castings on a piece of ground or in a box; not the garden bed that castings go to";
        "", "worm bin, wormery", "plain English"
}
