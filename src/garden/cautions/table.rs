//! The table of cautions: when each is raised, its text and its source.

use super::text::{Severity, Text};

macro_rules! rules {
    ($($(#[$doc:meta])* $variant:ident = $severity:ident, $rule:literal, $heading:literal, $text:literal,
     $source:literal, $raised_when:literal;)*) => {
        /// A rule that a caution follows from. In the order of an answer.
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
                        heading: $heading,
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
    RawManure = Warning, "raw_manure", "These castings may count as raw manure",
        "If the worms were fed raw manure and it was not composted hot first, treat these castings as raw manure. Work them into the \
         soil at least 120 days before harvest where the edible part touches soil or soil splash (also when unknown), and at \
         least 90 days before harvest otherwise. A layer left on top does not meet this rule. Worms and time alone do not \
         make manure safe. This is a rule of US organic certification and a sensible minimum elsewhere. Local rules and your \
         certifier come first.",
        "7 CFR 205.203(c)(1)",
        "with every answer but that of calibrations; a balance or a season leaves it out when every lot and bed is stated as treated or free of manure \
         and nothing is bought or produced; a number for a cell carries no cautions";
    /// Harvest before the wait is over.
    IntervalTooShort = Warning, "interval_too_short", "The harvest comes too soon after raw manure",
        "The first harvest comes too soon after castings that count as raw manure. Harvest from the first day that keeps the interval, use \
         castings that are treated or free of manure, or work these into the soil by the last day that keeps it. The interval \
         starts on the day they are worked in: 120 days where the edible part touches soil or soil splash (also when \
         unknown), 90 days otherwise. This is a rule of US organic certification and a sensible minimum elsewhere. Local \
         rules and your certifier come first.",
        "7 CFR 205.203(c)(1)",
        "when a crop that is eaten gets castings, on a known day, from a lot that is not stated as treated or free of manure, \
         or gets a tea that counts as untreated; the castings are worked in; and the first harvest comes less than 120 days \
         (90 without soil contact) after that day, for tea after the day it is used up; or when the interval keeps what could be \
         produced, since it counts as raw manure, from a demand that is short";
    /// Raw manure that is not incorporated.
    NotIncorporated = Warning, "not_incorporated", "Work castings that count as raw manure into the soil",
        "These castings count as raw manure and are not worked into the soil here. A layer left on top does not meet the \
         rule, so no interval makes them fit for a crop that is eaten. Work them into the soil, or use castings that are \
         treated or free of manure. This is a rule of US organic certification and a sensible minimum elsewhere. Local rules \
         and your certifier come first.",
        "7 CFR 205.203(c)(1)",
        "when a crop that is eaten gets castings from a lot that is not stated as treated or free of manure, or gets a tea \
         that counts as untreated, and the demand does not state that they are worked into the soil; or when that keeps what could be produced, since it counts as raw \
         manure, from a demand that is short";
    /// Dust and germs.
    Handling = Warning, "handling", "Protect yourself from dust and germs",
        "Open heaps and bags slowly, away from your face, in the open air or with good ventilation. Dampen dusty material. \
         Wear gloves, eye protection and a close-fitting mask when you sieve, shred or spread: N95 or FFP2 at least, FFP3 \
         where it is dusty. Wash your hands. Castings and compost can carry Legionella longbeachae, other germs and mould. \
         People over 50, smokers and people with weak lungs or a weak immune system are most at risk. Keep children and pets \
         away while you work.",
        "Queensland work health and safety advice on Legionella longbeachae; respirator classes after HSE HSG53 and NIOSH",
        "with every answer but that of calibrations; a number for a cell carries no cautions";
    /// Additives in tea.
    TeaAdditives = Warning, "tea_additives", "Tea with additives counts as untreated",
        "Tea with any additive (molasses, fish, kelp and the like) counts as untreated for produce, because additives let \
         germs grow. Keep it off edible parts and use it on soil only, with the waiting times of raw manure, unless two \
         batches were tested and had at most 126 CFU of E. coli or 33 of enterococci in 100 mL. Local rules \
         come first.",
        "21 CFR 112.51; Palmer et al. 2010 (Compost Sci. Util. 18:152); NOSB Compost Tea Task Force 2004",
        "when a brew names an additive";
    /// Surface water in tea.
    TeaWater = Warning, "tea_water", "Have the water tested, or use drinking water",
        "Tea made with untreated surface water, or with any water in which generic E. coli is found, counts as untreated. Use \
         such tea on soil only. Rain and well water may carry E. coli: have the water tested, or use drinking water.",
        "21 CFR 112.51",
        "when the water of a brew is not stated to be from the mains, also when its source is not stated";
    /// Tea in general.
    TeaSafety = Warning, "tea_safety", "Use tea on soil, and brew it safely",
        "Use tea on soil, not on parts that are eaten raw. In tests of tea without additives, E. coli O157:H7 was still found \
         before 36 hours with air, and before 8.5 days without. Never use tea from raw manure or from leachate on anything \
         but soil. Plug air pumps into a socket with a residual-current device, away from water. Clean the brewer after each \
         batch.",
        "NOSB Compost Tea Task Force 2004; times: Ingram & Millner 2007, J. Food Prot. 70:828-834; electricity and cleaning: \
         common practice, no source",
        "with every brew";
    /// Short brewing.
    TeaShortBrew = Caution, "tea_short_brew", "This brewing time is short",
        "Brew for at least 36 hours with air, or at least 8.5 days without air. A brew counts as one without air unless the \
         request states otherwise. In tests of tea without additives, E. coli O157:H7 was still found before that time.",
        "Ingram & Millner 2007, J. Food Prot. 70:828-834",
        "when the brewing time, given or assumed, is less than 36 hours for a brew that is stated as aerated, or less than 8.5 days \
         for any other; its likely value counts, and a default counts as if it were given, for it makes the tea no safer";
    /// Tea kept too long.
    TeaKept = Caution, "tea_kept", "Use the tea sooner after brewing",
        "This tea is kept for more than 6 hours after brewing. Without air it spoils. Use it sooner, or brew smaller batches.",
        "common practice, no source; used sooner after brewing it works better (Edwards et al. 2007)",
        "when tea may be kept for more than 6 hours after it is ready; the likely time within which it is used counts";
    /// Several rounds in one brewer.
    TeaRounds = Caution, "tea_rounds", "The brewers must be filled more than once",
        "The brewers cannot brew the whole amount at once, so later batches are ready later. Use each batch within its own \
         time: the first does not keep until the last is ready. A stronger brew, diluted, may need only one round.",
        "arithmetic of the request; keeping time: common practice, no source",
        "when the brewers have to be filled more than once";
    /// A thick layer.
    ThickLayer = Caution, "thick_layer", "This layer is deeper than an inch",
        "Have the soil tested before you apply more than an inch (25.4 mm) in one year. Extension advice is about an inch or \
         less, after a soil test. More adds salts and phosphorus that crops do not carry away.",
        "University of Minnesota Extension",
        "when the layer of castings on an area, once settled, is likely to be deeper than 25.4 mm, whatever the kind of its \
         rate";
    /// A strong potting mix.
    StrongMix = Caution, "strong_mix", "This mix may be too strong for seedlings",
        "Use at most 20 % castings. If you measured their conductivity, use at most 35 % divided by it in dS/m (at 0.7 dS/m, 50 %). \
         Or rinse the castings and let them drain, or test the mix on a few pots first. Trials found the best growth with 10 to 20 % castings in a potting mix. One trial of \
         cattle-manure castings found harm above 20 % and named salt as the cause, and seedlings in castings alone did worse than \
         seedlings without castings. Measure the electrical conductivity of the mix: below 0.35 dS/m in 1 part of mix to 5 of \
         water by volume is advised (below 3.5 in a saturated medium). The other parts of the mix bring salts too. Measure the pH as \
         well: castings of pH 6.8, as one analysis found, are above the 5.5 to 6.5 of potting mixes.",
        "Atiyeh et al. 2000, Bioresource Technology 75:175-180 and Pedobiologia 44:579-590; Turkish J. Agric. Food Sci. \
         Technol., October 2017; limits of salt: Bunt 1988 and McLachlan et al. 2004, as quoted; castings: New Mexico State \
         University Guide H-164, table 1, as reported; pH of mixes: Warncke 1995, as reported",
        "when castings are likely to make up more than 20 % of a potting mix or of a filled bed; where castings.conductivity is given, \
         when they are likely to bring more than 0.35 dS/m instead, or when there is nothing else in it";
    /// Land in a nitrate vulnerable zone.
    NitrateLimit = Warning, "nitrate_limit", "Nitrogen may exceed the limit of a nitrate vulnerable zone",
        "Ask your authority before you apply this. It may bring more than 170 kg N/ha (17 g/m2) to land declared a nitrate \
         vulnerable zone; the upper end of the estimate counts. The limit covers all manure nitrogen of a year, averaged over \
         the farm.",
        "Council Directive 91/676/EEC",
        "when the ground is stated to lie in a nitrate vulnerable zone and the upper end of its nitrogen is above 17 g/m2";
    /// Castings that tie up nitrogen.
    NitrogenTieUp = Caution, "nitrogen_tie_up", "These castings tie up nitrogen",
        "Do not count on these castings for nitrogen. Their carbon to nitrogen ratio is above 25: they tie nitrogen up, so \
         none counts as available.",
        "Washington State University Extension Garden Tips, 2016",
        "when the likely carbon to nitrogen ratio of castings is above 25: for stored castings the ratio given, for a bed by \
         its feed and for each lot of a forecast the ratio that follows from the feed; also for a demand of available nitrogen that draws on \
         such castings";
    /// Castings too wet.
    TooWet = Caution, "too_wet", "These castings are too wet",
        "Dry the castings, or weigh a bucket again. At this bulk density and dry matter they hold less than 20 % air, which \
         is too little.",
        "assumption: air space 1 - dry/1500 - water/1000, threshold common practice, no source",
        "when the likely bulk density and dry matter of stored castings leave less than 20 % air";
    /// Castings that are old.
    LongStored = Caution, "long_stored", "These castings are stored for over a year",
        "Check the castings before you use them: wet them again if they are dry, and try them on a few pots. Keep castings in open bags or a heap damp, \
         cool and dark. Only for sealed bags, dry fresh castings in the air first: in a trial, castings of 60 % moisture in sealed \
         bags lost nitrogen and carbon within two weeks; dried ones, and those in open bags, did not. To let a lot expire, give it a \
         day to use it by.",
        "Effect of Storage Conditions on Vermicompost Quality, i-scholar.in CURS 193524 (abstract; four weeks in bags); one year: common \
         practice, no source (printed advice runs from four months to three years)",
        "when a demand draws on a lot, or a harvest, more than 365 days after its ready_on; castings that a demand draws before as_of count \
         as used on as_of, or on the last day of the demand if that is earlier";
    /// A lot with an analysis of its own.
    LotAnalysis = Caution, "lot_analysis", "These castings weigh or contain more or less than assumed",
        "Check whether this demand still gets what it should. Its castings weigh or contain more or less than was assumed when its volume was \
         computed, so that volume supplies more or less: the answer says how much, and what rate results. The chances of a \
         season allow for it; amounts needed, allocated and short remain volumes. If all castings are from that lot, give its values as assumptions \
         for all, or for the application, and the volume is computed with them.",
        "how this service works",
        "when a demand by mass, dry mass, nitrogen, phosphorus or potassium draws on a lot, or a harvest, that by its own assumptions or its \
         feed holds another amount of that in a volume than the castings that the demand was computed with";
    /// Shredding.
    Shredding = Warning, "shredding", "Shred safely",
        "Shred with the guards in place. Wear eye and ear protection and gloves, and nothing loose that the machine can \
         catch. Pull the plug or the key before you clear a blockage. Dampen the leaves and wear a mask (N95 or FFP2 at \
         least, FFP3 where it is dusty): the dust carries mould. Keep other people at a distance.",
        "common practice, no source; dust: Pearson et al. 2015, J. Toxicol. Environ. Health B 18:43-69",
        "when a material of a feed is shredded; leaves, straw, wood and paper of the table count as shredded unless the \
         request states otherwise";
    /// Ammonia of fresh poultry manure.
    Ammonia = Caution, "ammonia", "Fresh poultry manure can kill worms",
        "Mix poultry manure in well, let it lie until the smell is gone, and try it on a handful of worms first. Handle it in \
         the open air. Fresh poultry manure gives off ammonia and holds salt: worms die above about 0.5 mg of ammonia per \
         gram and 0.5 % salt.",
        "Edwards & Arancon 2004, Table 18.3 (limits for Eisenia fetida); the trial with a handful: common practice, no source",
        "when a material of a feed is poultry manure or litter of the table, fresh or dry";
    /// Heat of fresh feed.
    FeedHeat = Caution, "feed_heat", "Fresh feed heats up",
        "Fresh manure, grass and scraps heat up. Measure the temperature in the middle of the layer for some days. Add worms \
         only while it stays below 30 C (86 F), and leave a cool part of the bed that they can move to. Later layers are planned so thin that \
         fresh feed stays cool, unless you give the depth of a layer: split a deeper one into thinner layers, days apart.",
        "30 C limit: Edwards & Arancon 2004, Table 18.3; the cool part: common practice, no source",
        "when a material of a feed is grass clippings, scraps or manure of the table";
    /// Materials to leave out.
    LeaveOut = Caution, "leave_out", "Leave harmful materials out",
        "Leave out sawdust and chips of treated, painted or glued wood, black walnut, leaves swept from busy roads, and \
         anything diseased. Oak, laurel and eucalyptus leaves break down slowly.",
        "common practice, no source",
        "when a material of a feed is leaves or wood of the table";
    /// Kitchen scraps.
    KitchenScraps = Caution, "kitchen_scraps", "Keep meat, fat, dairy and salt out",
        "Keep meat, fish, fat, dairy and salted food out of the worm bed, and go easy on citrus, onions and bread: they rot, heat, \
         draw rats and flies, or harm the worms. Bury scraps under bedding. Where farm animals or poultry are kept, the law may forbid \
         scraps from a kitchen in a bed or on land that they reach: ask your veterinary authority first.",
        "common practice, no source; farm animals: Regulation (EC) No 1069/2009 on animal by-products",
        "when a material of a feed is scraps of the table";
    /// Persistent herbicides.
    PersistentHerbicides = Warning, "persistent_herbicides", "Some materials carry herbicides that last",
        "Hay, straw, grass and the manure of animals that ate them can carry herbicides that outlast worms and heat. Ask what \
         was sprayed. Grow peas in the finished castings, beside pots without castings, until they have three sets of leaves \
         (two to three weeks). Cupped or twisted leaves mean harm.",
        "Washington State University Extension, Whatcom County 2011 (bioassay)",
        "when a material of a feed is grass clippings, straw, hay or manure of the table, except that of poultry";
    /// A mix with too little air.
    FeedTooWet = Caution, "feed_too_wet", "This mix holds too little air",
        "Add coarse dry material, or lay the mix in thinner layers. It holds less than 20 % air: it is too wet or too dense.",
        "assumption: air space 1 - dry/1500 - water/1000, threshold common practice, no source",
        "when the mix of a feed is likely to hold less than 20 % air";
    /// A mix outside the usual ratios.
    MixRatio = Caution, "mix_ratio", "The carbon to nitrogen ratio is outside its range",
        "The carbon to nitrogen ratio of this mix is outside the range that suits worms. A mix below the range smells of \
         ammonia and heats up. Worms eat a mix above it slowly. Change the amounts, or add another material.",
        "20-40 acceptable: Cooperband 2002",
        "when the likely carbon to nitrogen ratio of a mix lies outside low and high of mix.carbon_to_nitrogen";
    /// A mix too dry or too wet for worms.
    MixMoisture = Caution, "mix_moisture", "The moisture of this mix is outside its range",
        "The moisture of this mix is outside the range that suits worms. Worms need feed as moist as a wrung-out sponge. Add water, or \
         dry material.",
        "Edwards & Arancon 2004, Table 18.3; the sponge: common practice, no source",
        "when the likely moisture of a mix lies outside low and high of bed.moisture";
    /// Soaking water.
    SoakWater = Notice, "soak_water", "Use soak water on soil only",
        "Use water that drains off soaked leaves or manure on soil only, not on leaves that are eaten. Stir it, or it smells.",
        "common practice, no source",
        "when a material of a feed is soaked";
    /// Worms beyond what the bed carries.
    WormsAboveCarrying = Caution, "worms_above_carrying", "There are more worms than the bed can carry",
        "Give the worms more ground, or split them over two beds. Otherwise they leave or die back: the forecast lets their \
         mass fall to what the bed can carry.",
        "assumption: worms.carrying_capacity",
        "when the worms at the start of a forecast weigh more than the ground is likely to carry: worms.carrying_capacity x \
         area";
    /// Frost in the bed.
    BedFrost = Warning, "bed_frost", "Frost in the bed kills the worms",
        "Cover or insulate the bed, or bring it in, before the frost. The bed falls to 0 C (32 F) or below: worms die, and the \
         forecast stops on that day. Give the temperature in the bed, not that of the air.",
        "survival from about 3 to 35 C (table after Edwards 1988, read in a stored copy)",
        "when the first deadly day of a forecast is one of 0 C or below in the bed";
    /// Deadly heat in the bed.
    BedHeat = Warning, "bed_heat", "Heat in the bed kills the worms",
        "Shade, water and air the bed before the heat. The bed reaches 35 C (95 F) or more: worms die, and the forecast stops on \
         that day.",
        "35 C lethal (after Edwards 1988)",
        "when the first deadly day of a forecast is one of 35 C or more in the bed";
    /// Monthly means that hide hot days.
    HiddenHeat = Caution, "hidden_heat", "Single hot days can kill the worms",
        "Measure the temperature in the bed in the warm season. The means of its months are above 28 C (82.4 F), and monthly means \
         hide single hot days that can kill the worms.",
        "assumption: 28 C leaves 7 C to the deadly 35 C (after Edwards 1988)",
        "when the climate of a forecast is given by monthly means and a day between them is above 28 C";
    /// A bed that is full.
    DepthReached = Notice, "depth_reached", "The bed is full before all layers are laid",
        "The next layer would exceed the greatest depth, so it is not laid. The cycle ends with fewer layers than planned, \
         and the rest of the feed goes into the next cycle first.",
        "1.5-2 ft (Tamil Nadu Agricultural University)",
        "when a layer of a forecast would exceed bed.max_depth, so that its cycle ends with fewer layers than planned";
    /// A bed without feed.
    BedEmpty = Notice, "bed_empty", "The bed runs out of feed",
        "Bring the next feed earlier. For some days the bed has none: nothing is eaten, and the forecast assumes that worms \
         neither grow nor die.",
        "assumption: how the forecast treats a bed without feed",
        "when the worms of a forecast have eaten everything and wait for more than a day for the next layer";
    /// Worms without feed for long.
    WormsUnfed = Caution, "worms_unfed", "Worms have no feed for weeks",
        "Lay feed in between, or move the worms to a bed that is fed: the answer says from when to when they have none. The \
         forecast assumes that they neither grow nor die meanwhile; in a bed without feed they die back or leave.",
        "common practice, no source",
        "when the worms of a forecast have eaten everything and have nothing to eat for more than 56 warm days, until they are fed \
         again or the forecast ends; days in which the castings of a cycle finish do not count";
    /// Feed that the bed does not catch up with.
    FeedNotEaten = Caution, "feed_not_eaten", "The bed does not eat all of the feed",
        "Feed no more than the plan says. Dry the rest and store it, freeze it, share it, or compost it hot. Otherwise it rots, heats \
         and draws flies. More worms, more ground or more warmth let the bed eat more: the answer says which.",
        "how this service works; what happens to surplus feed: common practice, no source",
        "when a bed that is sized by its feed does not catch up: in the second half of its plan, or for feed on dates once the last has come, \
         more feed waits at the end of every week than comes in a week on average";
    /// A demand of the past that still takes castings.
    PastDemand = Caution, "past_demand", "The last day of a demand has passed",
        "It still takes castings in this answer, since it may be served late. If it was served, remove it, or let a repeated demand start \
         later, and subtract what it got from the stock.",
        "how this service works",
        "when as_of is after the last day of a demand, or of one of the times of a demand that repeats, which still takes \
         castings";
    /// Records that do not fit.
    RecordsDoNotFit = Caution, "records_do_not_fit", "A record does not fit",
        "Look at this record before you use the calibrated values. Check its days, amounts and units; correct it, or leave it out. \
         Until then it also changes the values. If it is right, your bed does something that the forecast does not know.",
        "how this service works",
        "when an observation of a record is so far from its forecast that, among all observations, one as far off has a chance of less \
         than 5 %";
    /// Draws that are worth few.
    FewEffectiveDraws = Caution, "few_effective_draws", "The calibrated ranges are rough",
        "Check the records that do not fit first. Then ask with another seed, and see how much the values differ. The draws are worth \
         fewer than 500 draws of equal weight, so their percentiles are rough.",
        "how this service works",
        "when effective_draws of a calibration is less than 500";
    /// A range that was not used.
    RangeNotUsed = Notice, "range_not_used", "Only the likely value is used here",
        "You gave low and high here. The service checked them, but this calculation uses the likely value alone.",
        "how this service works",
        "when a quantity is given with low and high that differ from it, and the calculation uses one value only";
    /// An assumption that was not used.
    AssumptionNotUsed = Notice, "assumption_not_used", "An assumption has no effect here",
        "You gave an assumption that this answer does not depend on. Leave it out, or check where it belongs.",
        "how this service works",
        "when an assumption is given, for the request or for an item, that nothing in the answer depends on";
    /// A field that was not used.
    FieldNotUsed = Notice, "field_not_used", "A value has no effect here",
        "You gave a value that this answer does not depend on. Leave it out, or check where it belongs.",
        "how this service works",
        "when a field is given that nothing in the answer depends on: a climate or feed for the whole season where every bed has its \
         own, simulation_runs or a seed where nothing is simulated, the bulk density of a feed that has no amount by volume";
    /// Items with errors were left out.
    ItemsSkipped = Warning, "items_skipped", "Items with errors are left out of this answer",
        "Correct them and ask again. The request asks to skip items with errors, so figures, sums and shares are those of the items that are \
         left. The answer lists the others with their errors.",
        "how this service works",
        "when a request with \"on_error\": \"skip\" has an area, bed, heap, brew, lot or demand with errors";
    /// Customary units read as the US ones.
    UsCustomaryUnits = Notice, "us_customary_units", "Gallons, bushels and tons count as US units",
        "For another kind write, for instance, imp gal, imp bu, long ton or t. Gallons, quarts, pints, fluid ounces, bushels and \
         tons are read as the US ones here, because US customary units are chosen.",
        "how this service works",
        "when a request with \"units\": \"us\" gives a quantity in gal, qt, pt, fl oz, bu or ton without saying which kind";
    /// All figures are estimates.
    Estimates = Notice, "estimates", "All figures are estimates",
        "The figures follow from the values under assumptions. They do not replace a soil test, a laboratory analysis, \
         the label, local rules or licensed advice.",
        "how this service works",
        "with every answer; a number for a cell carries no cautions";
}
