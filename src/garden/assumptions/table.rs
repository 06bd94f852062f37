//! Every default with its range and its source.

use crate::garden::units::Dimension;

/// A value that the service assumes unless the caller knows better.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Definition {
    /// Its name: a thing and a property, joined by a point.
    pub id: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Low, likely and high in the base unit; `None` if there is no default and the caller must give it for it to count.
    pub default: Option<[f64; 3]>,
    /// What the value means and on which basis.
    pub meaning: &'static str,
    /// Where the default is from, or that it has no source.
    pub source: &'static str,
    /// How to measure it at home.
    pub measure_it: Option<&'static str>,
}

macro_rules! assumptions {
    ($($(#[$doc:meta])* $variant:ident { $($field:tt)* })*) => {
        /// Which assumption. The order is that of the list in the document; random values go by it, so a new one is put at the end.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Assumption {
            $($(#[$doc])* $variant,)*
        }

        impl Assumption {
            /// Every assumption.
            pub const ALL: &'static [Assumption] = &[$(Assumption::$variant,)*];

            /// Its definition.
            #[must_use]
            pub const fn definition(self) -> &'static Definition {
                match self {
                    $(Self::$variant => &Definition { $($field)* },)*
                }
            }
        }
    };
}

assumptions! {
    /// The weight of castings as they lie.
    BulkDensity {
        id: "castings.bulk_density",
        dimension: Dimension::Density,
        default: Some([450.0, 600.0, 900.0]),
        meaning: "mass of a volume of stored castings as it lies, moist",
        source: "593 kg/m3 at 50 % moisture (Oregon State University EM 9217, 2018); 700-900 at 15-25 % (India, Fertiliser \
                 (Control) Order 1985, Schedule IV); 450 in a bucket example (after Cooperband 2002)",
        measure_it: Some("weigh one full bucket, subtract the empty bucket, divide by its volume"),
    }
    /// The dry matter in a volume of castings.
    DryBulkDensity {
        id: "castings.dry_bulk_density",
        dimension: Dimension::Density,
        default: Some([200.0, 300.0, 450.0]),
        meaning: "dry matter in a volume of stored castings as it lies",
        source: "593 kg/m3 at 50 % moisture = 296 (Oregon State University EM 9217, 2018); composts 100-400 (Agnew & Leonard \
                 2003, by a citing page)",
        measure_it: Some("dry a known volume and weigh it"),
    }
    /// The water in castings; follows from the two densities unless given.
    Moisture {
        id: "castings.moisture",
        dimension: Dimension::Share,
        default: None,
        meaning: "water in stored castings, wet basis; follows from the two densities (1 - dry/moist) unless given",
        source: "no default: it follows from castings.bulk_density and castings.dry_bulk_density",
        measure_it: Some("weigh a sample, dry it, weigh it again; divide the loss by the first weight"),
    }
    /// The water in castings over their dry matter; another way to give the moisture.
    MoistureDryBasis {
        id: "castings.moisture_dry_basis",
        dimension: Dimension::Share,
        default: None,
        meaning: "water over dry matter, as soil laboratories give it: 50 % on the dry basis is 33.3 % of the whole",
        source: "no default: another way to give castings.moisture, d/(1 + d)",
        measure_it: None,
    }
    /// Total nitrogen.
    Nitrogen {
        id: "castings.nitrogen",
        dimension: Dimension::Share,
        default: Some([0.01, 0.015, 0.025]),
        meaning: "total N in the dry matter of castings",
        source: "minimum 1.0 % in the Fertiliser (Control) Order 1985 (basis not stated); finished compost 0.5-2.5 % (Clemson \
                 University Agricultural Service Laboratory)",
        measure_it: Some("laboratory analysis"),
    }
    /// The nitrogen that crops can take up in the first season.
    AvailableNitrogen {
        id: "castings.available_nitrogen",
        dimension: Dimension::Share,
        default: Some([0.05, 0.10, 0.15]),
        meaning: "share of the total N that becomes available in the first season",
        source: "5-10 % (Hartz, University of California, as reported); 10-15 % (compost calculation sheet)",
        measure_it: None,
    }
    /// Phosphorus.
    Phosphorus {
        id: "castings.phosphorus",
        dimension: Dimension::Share,
        default: Some([0.0035, 0.006, 0.009]),
        meaning: "P (the element) in the dry matter of castings",
        source: "minimum 0.8 % P2O5 = 0.35 % P (Fertiliser (Control) Order 1985)",
        measure_it: Some("laboratory analysis"),
    }
    /// Potassium.
    Potassium {
        id: "castings.potassium",
        dimension: Dimension::Share,
        default: Some([0.0066, 0.008, 0.013]),
        meaning: "K (the element) in the dry matter of castings",
        source: "minimum 0.8 % K2O = 0.66 % K (Fertiliser (Control) Order 1985)",
        measure_it: Some("laboratory analysis"),
    }
    /// The ratio of carbon to nitrogen; no default.
    CarbonToNitrogen {
        id: "castings.carbon_to_nitrogen",
        dimension: Dimension::Ratio,
        default: None,
        meaning: "carbon over nitrogen by mass; above 25 no nitrogen is counted as available",
        source: "no default; above 25 ties up nitrogen (Washington State University Extension Garden Tips, 2016)",
        measure_it: Some("laboratory analysis"),
    }
    /// What passes the sieve.
    SieveYield {
        id: "castings.sieve_yield",
        dimension: Dimension::Share,
        default: Some([0.60, 0.80, 0.95]),
        meaning: "share of the harvested volume that passes the sieve",
        source: "assumption: no published figure found",
        measure_it: Some("sieve one bucket and measure what passes"),
    }
    /// The dry matter in a volume of moist castings in the bed.
    BedDryDensity {
        id: "bed.castings_dry_density",
        dimension: Dimension::Density,
        default: Some([180.0, 220.0, 260.0]),
        meaning: "dry matter in a volume of castings as it lies in the bed",
        source: "assumption: no published figure found; 75 % moist with 19 % air",
        measure_it: Some("dry a known volume from the bed and weigh it"),
    }
    /// The dry matter in a volume of feed.
    FeedDryDensity {
        id: "feed.dry_bulk_density",
        dimension: Dimension::Density,
        default: Some([90.0, 130.0, 180.0]),
        meaning: "dry matter in a volume of feed as it lies in a bed: shredded, soaked and settled; used where no bulk density is given and its material is no denser",
        source: "assumption: no published figure found; shredded leaves of 200 kg/m3 at 38 % moisture hold 124",
        measure_it: Some("weigh a bucket of feed as it lies in the bed, divide by its volume, multiply by (1 - moisture)"),
    }
    /// The ratio of carbon to nitrogen that suits the worms.
    MixCarbonToNitrogen {
        id: "mix.carbon_to_nitrogen",
        dimension: Dimension::Ratio,
        default: Some([20.0, 25.0, 40.0]),
        meaning: "carbon over nitrogen of a mix, by mass; the answer warns of a mix outside low and high",
        source: "25 (Ndegwa & Thompson 2000); 25-30 (Cornell Waste Management Institute); 20-40 acceptable (Cooperband 2002)",
        measure_it: Some("laboratory analysis"),
    }
    /// How much of the summed volumes remains after mixing.
    Packing {
        id: "mix.packing",
        dimension: Dimension::Share,
        default: Some([0.80, 0.90, 1.0]),
        meaning: "volume of a mix over the summed volumes of its materials, where these are of different size: fines fill voids",
        source: "assumption: no published figure found",
        measure_it: Some("mix one bucket of each and measure the mix"),
    }
    /// What hot composting costs.
    HotCompostingLoss {
        id: "mix.hot_composting_loss",
        dimension: Dimension::Share,
        default: Some([0.0044, 0.006, 0.0076]),
        meaning: "share of the remaining organic matter that is lost in a day of hot composting at 55 C; the ash stays",
        source: "38-54 % of the carbon of feedlot manure in 104-111 days of windrows (University of Nebraska, Prof. Animal Scientist \
                 27:83-91, 2011); leaves and grass in a warm laboratory lost two to three times as much",
        measure_it: Some("ash content before and after"),
    }
    /// How wet soaked material is once it has drained.
    SoakMoisture {
        id: "soak.moisture",
        dimension: Dimension::Share,
        default: Some([0.60, 0.70, 0.75]),
        meaning: "water in soaked and drained material, wet basis",
        source: "common practice, no source",
        measure_it: Some("weigh a sample, dry it, weigh it again; divide the loss by the first weight"),
    }
    /// How wet a worm bed is.
    BedMoisture {
        id: "bed.moisture",
        dimension: Dimension::Share,
        default: Some([0.65, 0.75, 0.82]),
        meaning: "water in feed and castings in the bed, wet basis; the answer warns of a mix outside low and high",
        source: "80-90 % optimum, 60-90 % limits (Edwards & Arancon 2004, Table 18.3), bounded by the pore space of leaf feed",
        measure_it: Some("weigh a sample, dry it, weigh it again; divide the loss by the first weight"),
    }
    /// What microbes and worms consume.
    OrganicMatterLoss {
        id: "bed.organic_matter_loss",
        dimension: Dimension::Share,
        default: Some([0.30, 0.50, 0.65]),
        meaning: "share of the organic matter of the feed lost on the way to castings",
        source: "by trial, from the loss of dry matter and the ash of such feed: 35-55 % (Mitchell 1997), 53-57 % (Kampala, 172 days), 56 and 62 % (Zziwa et al. 2021), 54 % (Geleta & Daka 2023, by ash); 57 % dry loss in long home composting (Smith & Jasim 2009)",
        measure_it: Some("ash content before and after"),
    }
    /// What stays of the nitrogen.
    NitrogenRetained {
        id: "bed.nitrogen_retained",
        dimension: Dimension::Share,
        default: Some([0.65, 0.85, 0.95]),
        meaning: "share of the N of the feed that stays in the castings",
        source: "ammonia loss 8-15 % of N (Bioresource Technology 102:10959, 2011)",
        measure_it: Some("laboratory analysis before and after"),
    }
    /// The first layer of feed.
    FirstLayer {
        id: "bed.first_layer",
        dimension: Dimension::Length,
        default: Some([0.10, 0.12, 0.15]),
        meaning: "depth of the first layer of feed",
        source: "10-15 cm (Sreenivasan, Handbook of Vermicomposting, ch. 6)",
        measure_it: None,
    }
    /// Each later layer of feed.
    LaterLayer {
        id: "bed.layer",
        dimension: Dimension::Length,
        default: Some([0.07, 0.08, 0.10]),
        meaning: "depth of each later layer of feed; thicker ones keep air out",
        source: "7-10 cm (Sreenivasan, Handbook of Vermicomposting, ch. 6)",
        measure_it: None,
    }
    /// When the next layer is laid.
    NextLayerAt {
        id: "bed.next_layer_at",
        dimension: Dimension::Share,
        default: Some([0.05, 0.2, 0.5]),
        meaning: "share of a layer that is left when the next one is laid",
        source: "common practice, no source; does not move the harvest date",
        measure_it: None,
    }
    /// How deep a bed may lie.
    MaxDepth {
        id: "bed.max_depth",
        dimension: Dimension::Length,
        default: Some([0.3, 0.45, 0.6]),
        meaning: "greatest depth of feed and castings when a layer is laid",
        source: "1.5-2 ft (Tamil Nadu Agricultural University)",
        measure_it: None,
    }
    /// The finishing of castings.
    Finishing {
        id: "bed.finishing",
        dimension: Dimension::Duration,
        default: Some([336.0, 672.0, 1440.0]),
        meaning: "warm days from the last layer eaten to finished castings",
        source: "assumption: no published figure found",
        measure_it: Some(
            "note the day on which the last layer is eaten and the day on which the castings are finished; count the warm days",
        ),
    }
    /// The water that a bed gives off.
    Evaporation {
        id: "bed.evaporation",
        dimension: Dimension::VolumePerArea,
        default: Some([0.3, 1.0, 3.0]),
        meaning: "water that a covered bed loses to the air in a day (1 L/m2 is 1 mm)",
        source: "assumption: no published figure found",
        measure_it: Some("weigh a covered box of the bed on two days"),
    }
    /// The drying of castings.
    Drying {
        id: "harvest.drying",
        dimension: Dimension::Duration,
        default: Some([72.0, 168.0, 336.0]),
        meaning: "calendar days from finished castings to castings dry enough to sieve and store",
        source: "watering stops 2-3 days (Indian Institute of Technology Kanpur, agropedia) or 3-5 days (Alvares, Free from School) before \
                 a bed is emptied; drying for the store: assumption, no published figure found",
        measure_it: Some("note the day of a harvest and the day on which its castings are dry enough to sieve"),
    }
    /// The worms in a new bed.
    StockingDensity {
        id: "worms.stocking_density",
        dimension: Dimension::MassPerArea,
        default: Some([1.0, 1.6, 3.0]),
        meaning: "live worms put on a square metre of a new bed, where their mass is not given",
        source: "1.60 kg/m2 (Ndegwa, Thompson & Das 2000, Bioresource Technol. 71:5-12)",
        measure_it: Some("weigh the worms of a small, measured square"),
    }
    /// The worms a bed can carry.
    CarryingCapacity {
        id: "worms.carrying_capacity",
        dimension: Dimension::MassPerArea,
        default: Some([4.0, 6.0, 10.0]),
        meaning: "live worms that a square metre of bed can carry permanently",
        source: "4.9 kg/m2 = 1 lb/ft2 common practice, no source; 5-10 elsewhere",
        measure_it: Some("weigh the worms of a small, measured square of an old bed"),
    }
    /// How fast worms multiply.
    DoublingTime {
        id: "worms.doubling_time",
        dimension: Dimension::Duration,
        default: Some([1440.0, 1800.0, 2160.0]),
        meaning: "warm days in which the mass of worms doubles at low density",
        source: "60-90 days; +57 % and +129 % in 60 days (Zziwa et al. 2021)",
        measure_it: Some("weigh the worms of a bed on two dates"),
    }
    /// How fast worms feed.
    FeedRate {
        id: "worms.feed_rate",
        dimension: Dimension::FeedRate,
        default: Some([0.1, 0.15, 0.25]),
        meaning: "dry feed that a mass of live worms eats in a warm day, over that mass",
        source: "0.5, 0.75 and 1.25 fresh at 80 % moisture; 0.75 for the best castings and 1.25 for the most worms \
                 (Ndegwa, Thompson & Das 2000; the basis of the mass is not in the abstract)",
        measure_it: Some("weigh the dry feed that a known mass of worms eats in a week"),
    }
    /// The worms kept at harvest.
    Recovered {
        id: "worms.recovered",
        dimension: Dimension::Share,
        default: Some([0.7, 0.9, 1.0]),
        meaning: "share of the worms at the end of a cycle that start the next one",
        source: "about 80 % leave the castings once watering stops (Indian Institute of Technology Kanpur, agropedia); with those that are \
                 sieved or picked out: assumption, no published figure found",
        measure_it: Some("weigh the worms before and after a harvest"),
    }
    /// The cold at which worms stop.
    StoppedBelow {
        id: "worms.stopped_below",
        dimension: Dimension::Temperature,
        default: Some([3.0, 4.0, 8.0]),
        meaning: "temperature in the bed at and below which worms neither feed nor grow",
        source: "4-30 C limits (Edwards & Arancon 2004)",
        measure_it: Some(
            "measure the temperature in the bed as it cools, and note the one below which the worms leave the feed alone",
        ),
    }
    /// The lower end of comfort.
    ComfortLow {
        id: "worms.comfort_low",
        dimension: Dimension::Temperature,
        default: Some([15.0, 18.0, 20.0]),
        meaning: "lowest bed temperature at which a day counts as a full warm day",
        source: "15-20 C optimum (Edwards & Arancon 2004); 20-25 and 20-29 elsewhere",
        measure_it: Some(
            "measure the temperature in the bed each week, and note the one above which the worms do not eat a layer faster",
        ),
    }
    /// The upper end of comfort.
    ComfortHigh {
        id: "worms.comfort_high",
        dimension: Dimension::Temperature,
        default: Some([23.0, 25.0, 28.0]),
        meaning: "highest bed temperature at which a day counts as a full warm day",
        source: "15-20 C optimum (Edwards & Arancon 2004); 20-25 and 20-29 elsewhere",
        measure_it: Some(
            "measure the temperature in the bed each week, and note the one above which the worms eat a layer more slowly",
        ),
    }
    /// The heat at which worms stop.
    StoppedAbove {
        id: "worms.stopped_above",
        dimension: Dimension::Temperature,
        default: Some([30.0, 32.0, 34.0]),
        meaning: "temperature in the bed at and above which worms neither feed nor grow",
        source: "30 C limit (Edwards & Arancon 2004); 35 C lethal (after Edwards 1988)",
        measure_it: Some(
            "measure the temperature in the bed in heat, and note the one above which the worms leave the feed alone",
        ),
    }
    /// The phosphorus that crops carry away.
    PhosphorusRemoval {
        id: "soil.phosphorus_removal",
        dimension: Dimension::MassPerArea,
        default: Some([0.0008, 0.0012, 0.0023]),
        meaning: "P (the element) that a year's crop of vegetables carries away",
        source: "New England Vegetable Management Guide, removal of nutrients, in P2O5: beans 20, carrots 25, cabbage 30, lettuce 35, \
                 eggplant 46 lb/acre; broccoli heads 2 and celery 80 lie outside; the low end is an assumption",
        measure_it: Some("soil test and local crop removal tables"),
    }
    /// Castings for water.
    TeaStrength {
        id: "tea.castings_to_water",
        dimension: Dimension::Share,
        default: Some([0.05, 0.10, 0.20]),
        meaning: "volume of castings over the volume of water",
        source: "1:5 tested (Edwards et al. 2010, Crop Protection 29); 1-10 % (University of Hawaii, 2011)",
        measure_it: None,
    }
    /// How long tea brews.
    BrewingTime {
        id: "tea.brewing_time",
        dimension: Dimension::Duration,
        default: Some([12.0, 24.0, 36.0]),
        meaning: "time from putting castings into the water until the tea is ready",
        source: "common practice, no source; 36 h aerated without additives cleared E. coli O157:H7 (Ingram & Millner 2007, \
                 J. Food Prot. 70:828)",
        measure_it: None,
    }
    /// How soon tea is used.
    UseWithin {
        id: "tea.use_within",
        dimension: Dimension::Duration,
        default: Some([4.0, 4.0, 6.0]),
        meaning: "time from when the tea is ready until it is used up",
        source: "common practice, no source",
        measure_it: None,
    }
    /// How the months of one year depart from those of many.
    YearToYear {
        id: "climate.year_to_year",
        dimension: Dimension::TemperatureDifference,
        default: Some([1.0, 1.4, 1.9]),
        meaning: "standard deviation of a month's mean air temperature from year to year; 0 where every year is alike. Used in \
                  simulation runs with monthly means, where a quarter of a month's departure is carried over to the next",
        source: "central England 1878-2015 without its trend: 1.35 C over all months, 1.0-1.2 in summer, 1.7-1.9 in winter \
                 (computed from the series of Manley 1974 and of Parker, Legg & Folland 1992); more inland",
        measure_it: Some("monthly means of many years of the nearest weather station"),
    }
    /// How many layers make a cycle.
    LayersPerCycle {
        id: "bed.layers_per_cycle",
        dimension: Dimension::Ratio,
        default: Some([2.0, 3.0, 5.0]),
        meaning: "layers laid before a bed is left to finish, where their number is not given; more give a larger, later lot. A plan, so \
                  its range is not drawn",
        source: "common practice, no source",
        measure_it: None,
    }
    /// The air left by shredding.
    AirAfterShredding {
        id: "feed.air_after_shredding",
        dimension: Dimension::Share,
        default: Some([0.05, 0.35, 0.60]),
        meaning: "share of the air between the pieces of a material that is left once it is shredded; solids and water keep their volume",
        source: "leaves of this table, 75 kg/m3 loose and 200 shredded: 34 %; ten bags of leaves to one are also printed (Today's \
                 Homeowner), about 5 %; range: assumption, no published figure found",
        measure_it: Some("shred a full bucket of dry material: what is left of its volume is about this share"),
    }
    /// The air left by soaking.
    AirAfterSoaking {
        id: "feed.air_after_soaking",
        dimension: Dimension::Share,
        default: Some([0.30, 0.70, 0.90]),
        meaning: "share of the air between the pieces of a material that is left once it is soaked and drained, beyond what the water fills",
        source: "leaves of this table, 75 kg/m3 loose and 267 compacted and moist: 29 %, the low end; the rest: assumption, no published \
                 figure found",
        measure_it: Some("soak and drain a full bucket, and measure its volume again"),
    }
    /// The air left by the second shredding.
    AirAfterSecondShredding {
        id: "feed.air_after_second_shredding",
        dimension: Dimension::Share,
        default: Some([0.50, 0.80, 1.0]),
        meaning: "share of the air between the pieces of a soaked material that is left once it is shredded again",
        source: "assumption: no published figure found; leaves shredded, soaked and shredded again then hold 167 kg/m3 of dry matter, \
                 within the range of feed.dry_bulk_density",
        measure_it: Some("shred a full bucket of soaked material, and measure its volume again"),
    }
    /// The nitrogen that hot composting loses.
    HotCompostingNitrogenLoss {
        id: "mix.hot_composting_nitrogen_loss",
        dimension: Dimension::Share,
        default: Some([0.0002, 0.002, 0.0055]),
        meaning: "share of the remaining nitrogen that is lost in a day of hot composting at 55 C, most of it as ammonia",
        source: "44 % of that of feedlot manure in 104 days of windrows (University of Nebraska, Prof. Animal Scientist 27:83-91, 2011); \
                 2 to 38 % of that of dairy manure in about 100, less than 10 % where C:N began above 40 (Michel et al. 2004, Compost \
                 Science & Utilization 12)",
        measure_it: Some("laboratory analysis before and after"),
    }
    /// The water that a hot heap gives off.
    HotCompostingEvaporation {
        id: "mix.hot_composting_evaporation",
        dimension: Dimension::Ratio,
        default: Some([2.0, 4.0, 7.0]),
        meaning: "water evaporated over the dry matter lost in hot composting, by mass",
        source: "half of the weight lost while the moisture falls from 65 to 50 % is 4 (a rule of thumb, Transform Compost Systems, \
                 2012); range: assumption, no published figure found",
        measure_it: Some("weigh a heap, and dry a sample of it, before and after"),
    }
    /// The cooling of a hot heap.
    Cooling {
        id: "mix.cooling",
        dimension: Dimension::Duration,
        default: Some([72.0, 168.0, 504.0]),
        meaning: "days after hot composting until the middle of the heap stays below 30 C",
        source: "common practice, no source",
        measure_it: Some("thermometer in the middle of the heap"),
    }
    /// How far a recorded amount is off.
    RecordedAmount {
        id: "records.amount_error",
        dimension: Dimension::Share,
        default: Some([0.03, 0.05, 0.10]),
        meaning: "standard deviation of a recorded amount of castings, over that amount; your own records are weighted by it",
        source: "assumption: no published figure found; half a bucket in ten",
        measure_it: Some("measure the same heap of castings three times"),
    }
    /// How one cycle differs from the next.
    CycleToCycle {
        id: "records.cycle_to_cycle",
        dimension: Dimension::Share,
        default: Some([0.05, 0.10, 0.20]),
        meaning: "standard deviation of the castings of cycles that were fed alike, over their mean; your own records are weighted by it",
        source: "assumption: no published figure found",
        measure_it: Some("feed two beds alike and compare their harvests"),
    }
    /// How far a recorded day is off.
    RecordedDay {
        id: "records.day_error",
        dimension: Dimension::Duration,
        default: Some([48.0, 120.0, 240.0]),
        meaning: "standard deviation of the day on which feed was found eaten or castings ready; your own records are weighted by it",
        source: "assumption: no published figure found; beds are looked at about once a week",
        measure_it: Some("days between two looks at the bed"),
    }
    /// How far weighed worms are off.
    RecordedWorms {
        id: "records.worms_error",
        dimension: Dimension::Share,
        default: Some([0.05, 0.10, 0.20]),
        meaning: "standard deviation of the weighed mass of worms, over that mass, also at the start; your own records are weighted by it",
        source: "assumption: no published figure found; worms hold more or less water and bedding",
        measure_it: Some("weigh the same worms three times"),
    }
    /// How far measured ash is off.
    RecordedAsh {
        id: "records.ash_error",
        dimension: Dimension::Share,
        default: Some([0.01, 0.02, 0.04]),
        meaning: "standard deviation of the measured ash of castings, in parts of the dry matter; your own records are weighted by it",
        source: "assumption: no published figure found",
        measure_it: Some("burn three samples of the same castings"),
    }
    /// How far a measured sieve yield is off.
    RecordedSieveYield {
        id: "records.sieve_yield_error",
        dimension: Dimension::Share,
        default: Some([0.03, 0.05, 0.10]),
        meaning: "standard deviation of the measured share that passes the sieve, in parts of the whole; your own records are weighted by it",
        source: "assumption: no published figure found",
        measure_it: Some("sieve three buckets of the same castings"),
    }
    /// How far a weighed container is off.
    RecordedWeight {
        id: "records.weighing_error",
        dimension: Dimension::Share,
        default: Some([0.02, 0.05, 0.10]),
        meaning: "standard deviation of the bulk density of castings by a weighed container, over that density; your own records are \
                  weighted by it",
        source: "assumption: no published figure found; castings settle more or less in the container",
        measure_it: Some("fill and weigh the same container three times"),
    }
    /// What is left of the dry matter of castings when it burns.
    Ash {
        id: "castings.ash",
        dimension: Dimension::Share,
        default: Some([0.30, 0.50, 0.70]),
        meaning: "ash in the dry matter of castings; the rest is organic matter",
        source: "castings of household waste hold 18.8-36.0 % carbon, about 34-65 % organic matter (a review, Agronomy for Sustainable \
                 Development 2022, 10.1007/s13593-022-00819-y); organic matter 29 % after 60 days (Geleta & Daka 2023); finished composts 30-70 % \
                 (Pennsylvania State University, as reported)",
        measure_it: Some("dry and weigh a sample, burn it to white ash, weigh it again; or ash from a laboratory"),
    }
    /// Layers of fresh feed on worms.
    FreshLayer {
        id: "bed.fresh_layer",
        dimension: Dimension::Length,
        default: Some([0.025, 0.05, 0.10]),
        meaning: "greatest depth of a layer on worms where fresh grass, scraps or manure in the feed would heat up; a bed.layer that is given \
                  replaces it",
        source: "2.5-3.8 cm, in cold weather 7.6-10 cm (Sherman, The Worm Farmer's Handbook, excerpt on ecofarmingdaily.com); 5-7.6 cm of \
                 manure each week, in colder weather 7.6-15 cm (Jensen, Worm Digest 18); both of windrows",
        measure_it: Some("measure the temperature in the middle of a layer for some days: below 30 C it is thin enough"),
    }
    /// The salts in castings.
    Conductivity {
        id: "castings.conductivity",
        dimension: Dimension::Conductivity,
        default: Some([0.36, 1.17, 3.5]),
        meaning: "electrical conductivity of castings, in an extract of 1 part by volume to 5 of water (EN 13038)",
        source: "assumption: no figure by this method found. Likely and low: a tenth of the 11.7 mmhos/cm of one sample and of the 3.6 of a garden \
                 compost (New Mexico State University Guide H-164, table 1, as reported; method not stated), as limits for mixes are 3.5 dS/m \
                 in a saturated medium and 0.35 in 1:5 (Bunt 1988 and McLachlan et al. 2004, as quoted). High: a tenth of such castings \
                 reaches that limit, and emergence suffered from 10 % of salty ones (Turkish J. Agric. Food Sci. Technol., October 2017)",
        measure_it: Some(
            "shake 1 part of castings with 5 parts of distilled water by volume, let it settle, measure with a conductivity meter",
        ),
    }
}

impl Assumption {
    /// The two ways to give the moisture of castings.
    pub const OF_MOISTURE: [Self; 2] = [Self::Moisture, Self::MoistureDryBasis];
    /// What the weight of castings depends on.
    pub const OF_WEIGHT: [Self; 4] = [Self::BulkDensity, Self::DryBulkDensity, Self::Moisture, Self::MoistureDryBasis];

    /// Its id.
    #[must_use]
    pub const fn id(self) -> &'static str {
        self.definition().id
    }

    /// How far its source was checked, where it was not read.
    #[must_use]
    pub const fn checked(self) -> Option<&'static str> {
        match self {
            Self::Phosphorus | Self::Potassium => Some("upper end from memory"),
            Self::CarryingCapacity => Some("5-10 kg/m2 from memory"),
            Self::DoublingTime => Some("60-90 days from memory"),
            Self::HotCompostingNitrogenLoss => Some("journal of Michel et al. from memory"),
            _ => None,
        }
    }

    /// Finds an assumption by its id.
    #[must_use]
    pub fn find(id: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|a| a.id() == id)
    }
}
