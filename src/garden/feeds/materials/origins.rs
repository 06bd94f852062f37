//! Where the values of the table of materials are from.

use crate::garden::closed_list::closed_list;

macro_rules! origins {
    ($($(#[$doc:meta])* $variant:ident = $key:literal, $source:literal, $checked:literal;)*) => {
        closed_list! {
            /// Where a value of the table is from; its word is a short key for tables.
            #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
            pub enum Origin {
                $($(#[$doc])* $variant = $key,)*
            }
        }

        impl Origin {
            /// The source.
            #[must_use]
            pub const fn source(self) -> &'static str {
                match self {
                    $(Self::$variant => $source,)*
                }
            }

            /// How far it was checked.
            #[must_use]
            pub const fn checked(self) -> &'static str {
                match self {
                    $(Self::$variant => $checked,)*
                }
            }
        }
    };
}

origins! {
    /// Alberta's manual.
    Alberta = "alberta",
        "Alberta Agriculture, Manure Composting Manual Agdex 400/27-1 (c. 2005), Table 3",
        "read in a stored copy";
    /// The American handbook.
    Handbook = "handbook",
        "Rynk (ed.) 1992, On-Farm Composting Handbook NRAES-54, Appendix A, Table A.1; the same numbers in USDA NRCS National \
         Engineering Handbook Part 637, Ch. 2, App. 2A (2000)",
        "from memory";
    /// 100 samples of leaves.
    Heckman = "heckman",
        "Heckman & Kluchinski 1996, J. Environ. Qual. 25:355-362 (100 samples; least, median, most)",
        "read in a stored copy";
    /// Clippings of turf.
    Turgeon = "turgeon",
        "Turgeon, Stone & Peck 1979, Agronomy Journal 71:229-232 (crude protein over 6.25: 3.52 to 5.23 % N of 53 cultivars)",
        "read in a stored copy";
    /// The feed library for dairy cattle.
    DairyFeeds = "dairy feeds",
        "National Academies 2021, Nutrient Requirements of Dairy Cattle, feed library (crude protein over 6.25)",
        "read in a stored copy";
    /// French feed tables.
    FeedTables = "feed tables",
        "INRAE-CIRAD-AFZ feed tables, wheat straw (524 to 538 samples; crude protein over 6.25)",
        "read in a stored copy";
    /// Six hays of grass.
    GrassHays = "grass hays",
        "timothy and ryegrass hay (diets in PMC6817784), a meadow hay (Vet. Med. Sci. 2023, Table 2), grass hay of the National \
         Academies' feed library (2021); crude protein over 6.25",
        "read in a stored copy";
    /// Food waste.
    Zhang = "zhang",
        "Zhang et al. 2007, Bioresource Technology 98:929-935 (moisture 70 to 74 %, volatile solids 83 to 87 % of the total)",
        "moisture and ash read in a stored copy; carbon from memory";
    /// Household waste.
    Tchobanoglous = "tchobanoglous",
        "Tchobanoglous, Theisen & Vigil 1993, Integrated Solid Waste Management, ultimate analysis",
        "from memory";
    /// Coffee grounds as a fuel.
    CoffeeFuel = "coffee",
        "Use of spent coffee ground as an alternative fuel, Materials 2022, 15:6722 (more than 50 % carbon)",
        "read in a stored copy";
    /// Fuels of wood.
    Miles = "miles",
        "Miles et al. 1995, Alkali Deposits Found in Biomass Power Plants, fuel tables (wood, dry)",
        "read in a stored copy";
    /// Analyses of biomasses.
    Biomass = "biomass",
        "ultimate and proximate analyses of biomasses, Table 4 of a review in The Scientific World Journal, 2014",
        "read in a stored copy";
    /// Densities of paper.
    Epa = "epa",
        "US EPA 1993, EPA/530-K-92-004, Appendix D (cardboard 50-150, crumpled paper 110-205 lb/yd3) and US EPA 2016, Volume- \
         to-Weight Conversion Factors (106 and 245 lb/yd3)",
        "read in a stored copy";
    /// Densities of what composters take in.
    OregonDensities = "oregon",
        "Oregon Department of Environmental Quality, density factors for compost operators, as quoted in 2005 (243 and 473 \
         lb/yd3); US EPA, chipped wood 625 lb/yd3",
        "read in a stored copy";
    /// 106 samples of litter.
    Stephenson = "stephenson",
        "Stephenson, McCaskey & Ruffin 1990, Biological Wastes 34:1-9 (106 samples)",
        "read in a stored copy";
    /// Poultry litter in Georgia.
    Georgia = "georgia",
        "University of Georgia Extension, Bulletin 1270, Table 1 (as it is, 2000-2002)",
        "read in a stored copy";
    /// Cattle manure fed to worms.
    Thang = "thang",
        "Chu Manh Thang 2003, An Giang University (2.41 % N, 86.1 % organic matter in the dry matter)",
        "read in a stored copy";
    /// Dairy manure.
    Wang = "wang",
        "Wang, Aguirre-Villegas, Larson & Alkan-Ozkaynak 2019, Applied Sciences 9:2703 (volatile solids 81 to 87 % of the \
         total)",
        "read in a stored copy";
    /// Canadian averages.
    Canada = "canada",
        "Agriculture and Agri-Food Canada, manure types and default composition (averages as it is, over the dry matter of the \
         row)",
        "read in a stored copy";
    /// Manures in a bulletin on rabbits.
    Casady = "casady",
        "Casady 1962, Value and Use of Rabbit Manure, USDA Agricultural Research Service, Table 1 (middle of the range as it \
         is, over the middle of the dry matter)",
        "read in a stored copy";
    /// Spent substrate of 30 farms.
    Fidanza = "fidanza",
        "Fidanza, Sanford, Beyer & Aurentz 2010, HortTechnology 20:449-453 (30 farms)",
        "read in a stored copy";
    /// Coir.
    Evans = "evans",
        "Evans, Konduru & Stamps 1996, HortScience 31:965-967 (0.04 to 0.08 g/cm3, dry)",
        "read in a stored copy";
    /// Brown seaweeds.
    Seaweeds = "seaweeds",
        "Indergaard & Minsaas 1991, as printed by The Seaweed Site (Ascophyllum and Laminaria; protein over 6.25)",
        "read in a stored copy";
    /// Comfrey.
    Comfrey = "comfrey",
        "Feedipedia (INRAE, CIRAD, AFZ and FAO), Russian comfrey, as quoted by another page (protein over 6.25)",
        "read in a stored copy";
    /// Nettles.
    Nettles = "nettles",
        "Rutto et al. 2013, Int. J. Food Science 2013:857120, Table 2; Adhikari et al. 2016, Food Science & Nutrition 4:119-124",
        "read in a stored copy";
    /// Tables that circulate.
    GeneralTables = "tables",
        "tables that circulate, no single source",
        "from memory";
    /// Carbon that follows from the ash.
    FromAsh = "from ash",
        "about half of what is not ash: carbon is 45 to 56 % of organic matter",
        "computed";
    /// Ash that follows from the carbon.
    FromCarbon = "from carbon",
        "100 % less 1.8 times the carbon",
        "computed";
    /// Ours.
    Assumption = "assumption",
        "assumption: no published figure found",
        "not checked";
}
