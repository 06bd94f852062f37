//! Cautions are data: a rule, its text, how grave it is, and where it is from. They travel with the answer and all defer
//! to local rules, labels and licensed advice.

pub mod waiting;

/// How grave a caution is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Worth knowing.
    Notice,
    /// May spoil the crop, the worms or the soil.
    Caution,
    /// May hurt somebody.
    Warning,
}

impl Severity {
    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Notice => "notice",
            Self::Caution => "caution",
            Self::Warning => "warning",
        }
    }
}

/// A caution's text and source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Text {
    /// Its name.
    pub rule: &'static str,
    /// How grave it is.
    pub severity: Severity,
    /// What to mind.
    pub text: &'static str,
    /// Where it is from.
    pub source: &'static str,
    /// When an answer tells it.
    pub raised_when: &'static str,
}

macro_rules! rules {
    ($($(#[$doc:meta])* $variant:ident = $severity:ident, $rule:literal, $text:literal, $source:literal,
     $raised_when:literal;)*) => {
        /// A rule that a caution follows from. In the order in which they are told.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Rule {
            $($(#[$doc])* $variant,)*
        }

        impl Rule {
            /// Every rule.
            pub const ALL: &'static [Rule] = &[$(Rule::$variant,)*];

            /// Its text.
            #[must_use]
            pub const fn text(self) -> &'static Text {
                match self {
                    $(Self::$variant => &Text {
                        rule: $rule,
                        severity: Severity::$severity,
                        text: $text,
                        source: $source,
                        raised_when: $raised_when,
                    },)*
                }
            }
        }
    };
}

rules! {
    /// Manure in the feed.
    RawManure = Warning, "raw_manure",
        "If the worms were fed raw manure and no hot stage was kept, treat these castings as raw manure: work them into the \
         soil, 120 days before harvest where the edible part touches soil or soil splash (also when unknown), 90 days \
         otherwise; a layer left on top does not meet this. Worms and time alone do not make manure safe. This is a rule of US \
         organic certification and a sensible floor elsewhere; local rules and your certifier come first.",
        "7 CFR 205.203(c)(1)",
        "with every answer, since other castings than those of a balance or a season cannot be said to be free of manure or treated; \
         with these, unless every lot and bed is said to be so and nothing is to be bought or prepared; a number for a cell carries \
         no cautions";
    /// Harvest before the wait is over.
    WaitTooShort = Warning, "wait_too_short",
        "The first picking comes before the wait after raw manure is over: harvest from the day told as earliest_crop_harvest, take castings \
         that are treated or free of manure here, or dig in by the day told as incorporate_by. 120 days where the edible part touches soil \
         or soil splash (also when unknown), 90 days otherwise, from the day it is dug in. This is a rule of US organic certification \
         and a sensible floor elsewhere; local rules and your certifier come first.",
        "7 CFR 205.203(c)(1)",
        "when a demand with a crop that is eaten draws, on a known day, on a lot that is not said to be free of manure or treated, or \
         is a tea that counts as untreated, is dug in, and the first picking comes less than 120 days (90 clear of soil) after that \
         day; of tea, after the day it is used up";
    /// Raw manure that is not dug in.
    WaitNotDugIn = Warning, "wait_not_dug_in",
        "Castings that count as raw manure are not worked into the soil here, so no wait makes them fit for a crop that is eaten: a \
         layer left on top does not meet the rule. Dig them in, or take castings that are treated or free of manure. This is a rule of \
         US organic certification and a sensible floor elsewhere; local rules and your certifier come first.",
        "7 CFR 205.203(c)(1)",
        "when a demand with a crop that is eaten draws on a lot that is not said to be free of manure or treated, or is a tea that \
         counts as untreated, and is not said to be dug in";
    /// Dust and germs.
    Handling = Warning, "handling",
        "Open heaps and bags slowly and away from the face, in the open or with good ventilation, dampen dusty material, wear \
         gloves, eye protection and a close-fitting mask (N95 or FFP2 at least, FFP3 where it is dusty) when sieving, shredding \
         and spreading, and wash hands: castings and compost can carry Legionella longbeachae, other germs and mould. People over 50, smokers and \
         those with weak lungs or immune defence are most at risk. Keep children and pets away while you work.",
        "Queensland work health and safety advice on Legionella longbeachae; respirator classes after HSE HSG53 and NIOSH (from memory)",
        "with every answer; a number for a cell carries no cautions";
    /// Additives in tea.
    TeaAdditives = Warning, "tea_additives",
        "Tea with any additive (molasses, fish, kelp and the like) counts as untreated for produce: additives let germs grow. \
         Keep it off edible parts and use it on soil only, with the waiting times of raw manure, unless two batches (from memory) \
         were tested and had at most 126 CFU E. coli or 33 enterococci in 100 mL. Local rules come first.",
        "21 CFR 112.51; Palmer et al. 2010 (Compost Sci. Util. 18:152); NOSB Compost Tea Task Force 2004",
        "when a brew names an additive";
    /// Surface water in tea.
    TeaWater = Warning, "tea_water",
        "Tea made with untreated surface water, or with any water in which generic E. coli is found, counts as untreated: use it \
         on soil only. Rain and well water may carry it: have it tested, or take drinking water.",
        "21 CFR 112.51",
        "when the water of a brew is not said to be from the mains, also when nothing is said of it";
    /// Tea in general.
    TeaSafety = Warning, "tea_safety",
        "Use tea on soil, not on parts that are eaten raw; never brew from material of raw manure, or from leachate, for anything \
         but soil. Plug air pumps into a socket with a residual-current device, away from water. Clean the brewer after each batch.",
        "NOSB Compost Tea Task Force 2004; electricity and cleaning: common practice, no source",
        "with every brew";
    /// Short brewing.
    TeaShortBrew = Caution, "tea_short_brew",
        "Brewed for less than 36 hours with air, or less than 8.5 days without (also when it is not said): before that, E. coli \
         O157:H7 was still found in tests of tea without additives.",
        "Ingram & Millner 2007, J. Food Prot. 70:828-834",
        "when a brew that is said to be aerated takes less than 36 hours, or any other less than 8.5 days; the likely brewing time \
         counts";
    /// Tea kept too long.
    TeaKept = Caution, "tea_kept",
        "Kept for more than 6 hours after brewing: without air the tea turns. Use it sooner, or brew in smaller batches.",
        "common practice, no source; used sooner after brewing it works better (Edwards et al. 2007)",
        "when tea may be kept for more than 6 hours after it is ready; the likely time within which it is used counts";
    /// Several rounds in one brewer.
    TeaRounds = Caution, "tea_rounds",
        "The brewers do not hold all of it at once: later batches are ready later, and no batch keeps until the last one is \
         ready unless it is used within its own time. A stronger brew, diluted, may do it in one round.",
        "arithmetic of the request; keeping time: common practice, no source",
        "when the brewers have to be filled more than once";
    /// A thick layer.
    ThickLayer = Caution, "thick_layer",
        "More than an inch (25.4 mm) in one year: extension advice is about an inch or less, after a soil test. More adds salts \
         and phosphorus that crops do not carry away.",
        "University of Minnesota Extension",
        "when the layer of castings on a place, once settled, is likely to be deeper than 25.4 mm, by whatever rate it is asked";
    /// A strong potting mix.
    StrongMix = Caution, "strong_mix",
        "More than 20 % castings in a potting mix: trials found the best growth at 10 to 20 %; one of cattle-manure castings found \
         harm above 20 %, and seedlings in castings alone did worse than without. Test on a few pots first.",
        "Atiyeh et al. 2000, Bioresource Technology 75:175-180 and Pedobiologia 44:579-590; Turkish J. Agric. Food Sci. Technol., \
         October 2017",
        "when castings are likely to make up more than 20 % of a potting mix or of a filled bed";
    /// Land in a nitrate vulnerable zone.
    NitrateLimit = Warning, "nitrate_limit",
        "This may bring more than 170 kg N/ha (17 g/m2) to land declared a nitrate vulnerable zone; the upper end of the estimate \
         counts. The limit is for all manure nitrogen of a year, averaged over the farm: ask your authority.",
        "Council Directive 91/676/EEC",
        "when the ground is said to lie in a nitrate vulnerable zone and the upper end of the nitrogen brought is above 17 g/m2";
    /// Castings that tie up nitrogen.
    NitrogenTieUp = Caution, "nitrogen_tie_up",
        "Carbon to nitrogen above 25: these castings tie nitrogen up, so none is counted as available.",
        "Washington State University Extension Garden Tips, 2016",
        "when the likely ratio of carbon to nitrogen of castings is above 25: the ratio given for castings in store, the ratio that \
         follows from the feed for a bed by what was fed and for each lot of a forecast";
    /// Castings too wet.
    TooWet = Caution, "too_wet",
        "Less than 20 % air at this bulk density and dry matter: too wet to breathe. Dry the castings, or weigh a bucket again.",
        "assumption: air space 1 - dry/1500 - water/1000, threshold common practice, no source",
        "when the likely bulk density and dry matter of stored castings leave less than 20 % air";
    /// Shredding.
    Shredding = Warning, "shredding",
        "Shred with the guards in place, eye and ear protection and gloves, nothing loose that the machine can catch, and pull \
         the plug or the key before clearing a blockage. Damp the leaves and wear a mask (N95 or FFP2 at least, FFP3 where it \
         is dusty): the dust carries mould. Keep others at a distance.",
        "common practice, no source; dust: Pearson et al. 2015, J. Toxicol. Environ. Health B 18:43-69",
        "when a material of a feed is shredded, as leaves, straw, wood and paper of the table are unless the request says \
         otherwise";
    /// Ammonia of fresh poultry manure.
    Ammonia = Caution, "ammonia",
        "Fresh poultry manure gives off ammonia and salt: worms die above about 0.5 mg of ammonia to the gram and 0.5 % salt. \
         Mix it well, let it lie until the smell is gone, and try a handful of worms first. Handle it in the open air.",
        "Edwards & Arancon 2004, Table 18.3 (limits for Eisenia fetida); the trial with a handful: common practice, no source",
        "when a material of a feed is poultry manure or litter of the table, fresh or dry";
    /// Heat of fresh feed.
    FeedHeat = Caution, "feed_heat",
        "Fresh manure, grass and scraps heat up. Measure the middle of the layer for some days and put worms in only while it \
         stays below 30 C; leave a cool part of the bed that they can move to.",
        "30 C limit: Edwards & Arancon 2004, Table 18.3; the cool part: common practice, no source",
        "when a material of a feed is grass clippings, scraps or manure of the table";
    /// Materials to leave out.
    LeaveOut = Caution, "leave_out",
        "Leave out sawdust and chips of treated, painted or glued wood, black walnut, leaves swept from busy roads, and anything \
         diseased; oak, laurel and eucalyptus leaves break down slowly.",
        "common practice, no source",
        "when a material of a feed is leaves or wood of the table";
    /// Persistent herbicides.
    PersistentHerbicides = Warning, "persistent_herbicides",
        "Hay, straw, grass and the manure of animals that ate them can carry herbicides that outlast worms and heat. Ask what \
         was sprayed, and grow peas in the finished castings, beside pots without them, until they have three sets of leaves \
         (two to three weeks): cupped or twisted leaves mean harm.",
        "Washington State University Extension, Whatcom County 2011 (bioassay)",
        "when a material of a feed is grass clippings, straw, hay or manure of the table, except that of poultry";
    /// A mix with too little air.
    FeedTooWet = Caution, "feed_too_wet",
        "Less than 20 % air in this mix: too wet or too dense to breathe. Add coarse dry material, or lay it thinner.",
        "assumption: air space 1 - dry/1500 - water/1000, threshold common practice, no source",
        "when the mix of a feed is likely to hold less than 20 % air";
    /// A mix outside the usual ratios.
    MixRatio = Caution, "mix_ratio",
        "The ratio of carbon to nitrogen of this mix lies outside mix.carbon_to_nitrogen: below it smells of ammonia and heats, \
         above it worms work it slowly.",
        "20-40 acceptable: Cooperband 2002",
        "when the likely ratio of carbon to nitrogen of a mix lies outside low and high of mix.carbon_to_nitrogen";
    /// A mix too dry or too wet for worms.
    MixMoisture = Caution, "mix_moisture",
        "The moisture of this mix lies outside bed.moisture: worms want feed as moist as a wrung-out sponge.",
        "Edwards & Arancon 2004, Table 18.3; the sponge: common practice, no source",
        "when the likely moisture of a mix lies outside low and high of bed.moisture";
    /// Soaking water.
    SoakWater = Notice, "soak_water",
        "Water that drains off soaked leaves or manure is for soil only, not for leaves that are eaten; it smells when it stands \
         without stirring.",
        "common practice, no source",
        "when a material of a feed is soaked";
    /// Worms beyond what the bed carries.
    WormsAboveCarrying = Caution, "worms_above_carrying",
        "More worms than this bed can carry for good: they leave or die back, and the forecast lets their mass fall to \
         what the bed carries. Give them more ground, or split them over two beds.",
        "assumption: worms.carrying_capacity",
        "when the worms at the start of a forecast weigh more than the ground is likely to carry: worms.carrying_capacity x area";
    /// Frost in the bed.
    BedFrost = Warning, "bed_frost",
        "The bed falls to 0 C or below: worms die, and the forecast stops on that day. Cover, insulate or bring the bed \
         in before it, and give the temperature in the bed rather than that of the air.",
        "survival from about 3 to 35 C (table after Edwards 1988, read in a stored copy)",
        "when the first deadly day of a forecast is one of 0 C or below in the bed";
    /// Deadly heat in the bed.
    BedHeat = Warning, "bed_heat",
        "The bed reaches 35 C or more: worms die, and the forecast stops on that day. Shade, water and air the bed \
         before it.",
        "35 C lethal (after Edwards 1988)",
        "when the first deadly day of a forecast is one of 35 C or more in the bed";
    /// Monthly means that hide hot days.
    HiddenHeat = Caution, "hidden_heat",
        "In the warm season the bed is above 28 C on the mean of its months: single hot days, which monthly means hide, \
         can kill the worms. Measure the temperature in the bed.",
        "assumption: 28 C leaves 7 C to the deadly 35 C (after Edwards 1988)",
        "when the climate of a forecast is given by monthly means and a day between them comes out above 28 C";
    /// A bed that is full.
    DepthReached = Notice, "depth_reached",
        "The next layer would pass the greatest depth: it is not laid, the cycle closes with fewer layers than planned, \
         and the rest of the feed is first in line for the next cycle.",
        "1.5-2 ft (Tamil Nadu Agricultural University)",
        "when a layer of a forecast would pass bed.max_depth, so that its cycle closes with fewer layers than asked";
    /// A bed without feed.
    BedEmpty = Notice, "bed_empty",
        "The bed stands still for some days because the next feed has not come: nothing is worked, and worms are taken \
         as neither growing nor dying.",
        "assumption: how the forecast treats a bed without feed",
        "when the worms of a forecast have worked everything through and wait for more than a day for the next layer";
    /// A range that was not used.
    RangeNotUsed = Notice, "range_not_used",
        "A low and a high were given here and checked, but this question computes with the likely value alone.",
        "how this service works",
        "when a quantity is given with low and high that differ from it, where only one value is computed with";
    /// An assumption that was not used.
    AssumptionNotUsed = Notice, "assumption_not_used",
        "An assumption was given that this answer does not depend on.",
        "how this service works",
        "when an assumption is given, for the request or for an item, that nothing in the answer depends on";
    /// A field that was not used.
    FieldNotUsed = Notice, "field_not_used",
        "Something was given that this answer does not depend on.",
        "how this service works",
        "when a field is given that nothing in the answer depends on: a climate or feed for the whole season where every bed has its \
         own, draws or a seed where nothing is drawn, the bulk density of a feed of which no amount is a volume";
    /// All figures are estimates.
    Estimates = Notice, "estimates",
        "All figures are estimates from the values shown under assumptions. They do not replace a soil test, a laboratory \
         analysis, the label, local rules or licensed advice.",
        "how this service works",
        "with every answer; a number for a cell carries no cautions";
}
