//! The rows. Likely values are printed or marked as ours; ranges too. Percent and kg/m3.

use super::Family::{Green, Leaves, Manure, Paper, PoultryManure, Scraps, Straw, Wood};
use super::Origin::{Alberta, Assumption, CornellExample, Derived, GeneralTables, Handbook, Heckman, Reentered};
use super::{Feedstock, assumed, printed};

/// Every material of the table, in the order of the list in the document.
#[rustfmt::skip] // one row, five lines: read across
pub const ALL: &[Feedstock] = &[
    Feedstock {
        id: "leaves_loose", name: "leaves, loose", family: Leaves,
        moisture: assumed([20.0, 38.0, 60.0], Alberta), nitrogen: printed([0.66, 0.94, 1.62], Heckman),
        carbon: printed([36.0, 48.0, 52.0], Heckman), bulk_density: printed([48.0, 75.0, 154.0], Handbook),
        note: "",
    },
    Feedstock {
        id: "leaves_compacted", name: "leaves, compacted and moist", family: Leaves,
        moisture: assumed([30.0, 50.0, 65.0], Assumption), nitrogen: printed([0.66, 0.94, 1.62], Heckman),
        carbon: printed([36.0, 48.0, 52.0], Heckman), bulk_density: printed([237.0, 267.0, 297.0], Handbook),
        note: "bulk density printed for compacted, moist leaves (400-500 lb/yd3); their moisture is not printed",
    },
    Feedstock {
        id: "leaves_shredded", name: "leaves, shredded", family: Leaves,
        moisture: assumed([20.0, 38.0, 60.0], Alberta), nitrogen: printed([0.66, 0.94, 1.62], Heckman),
        carbon: printed([36.0, 48.0, 52.0], Heckman), bulk_density: assumed([120.0, 200.0, 300.0], Assumption),
        note: "",
    },
    Feedstock {
        id: "grass_clippings", name: "grass clippings, loose", family: Green,
        moisture: assumed([70.0, 82.0, 85.0], Handbook), nitrogen: printed([2.0, 2.65, 6.0], Reentered),
        carbon: assumed([40.0, 45.0, 48.0], CornellExample), bulk_density: printed([178.0, 208.0, 237.0], Handbook),
        note: "printed 3.4 % N and 17: 57.8 % carbon, more than organic matter holds; carbon 45 % entered, N = carbon / 17",
    },
    Feedstock {
        id: "grass_compacted", name: "grass clippings, compacted", family: Green,
        moisture: assumed([70.0, 82.0, 85.0], Handbook), nitrogen: printed([2.0, 2.65, 6.0], Reentered),
        carbon: assumed([40.0, 45.0, 48.0], CornellExample), bulk_density: printed([297.0, 386.0, 475.0], Handbook),
        note: "as loose clippings",
    },
    Feedstock {
        id: "vegetable_scraps", name: "vegetable scraps and culls", family: Scraps,
        moisture: assumed([80.0, 87.0, 92.0], Handbook), nitrogen: printed([2.5, 3.2, 4.0], Handbook),
        carbon: assumed([33.0, 38.4, 46.0], Derived), bulk_density: assumed([500.0, 700.0, 940.0], Assumption),
        note: "carbon from 3.2 % N and the printed 11 to 13; whole produce weighs 1585 lb/yd3",
    },
    Feedstock {
        id: "kitchen_scraps", name: "kitchen scraps, mixed", family: Scraps,
        moisture: assumed([60.0, 69.0, 80.0], Handbook), nitrogen: printed([1.9, 2.4, 2.9], Handbook),
        carbon: assumed([30.0, 36.0, 43.0], Derived), bulk_density: assumed([400.0, 550.0, 750.0], Assumption),
        note: "carbon from 2.4 % N and the printed 14 to 16",
    },
    Feedstock {
        id: "fruit", name: "fruit waste", family: Scraps,
        moisture: printed([62.0, 80.0, 88.0], Handbook), nitrogen: printed([0.9, 1.13, 2.6], Reentered),
        carbon: assumed([40.0, 45.0, 48.0], Assumption), bulk_density: assumed([500.0, 700.0, 940.0], Assumption),
        note: "printed 1.4 % N and 40: 56 % carbon; carbon 45 % entered, N = carbon / 40",
    },
    Feedstock {
        id: "coffee_grounds", name: "coffee grounds, spent", family: Scraps,
        moisture: assumed([50.0, 60.0, 70.0], Assumption), nitrogen: assumed([1.9, 2.5, 2.8], Reentered),
        carbon: assumed([46.0, 50.0, 54.0], Assumption), bulk_density: assumed([350.0, 450.0, 550.0], Assumption),
        note: "printed 25 % carbon as it is would be 62 % of the dry matter; carbon 50 % entered, N = carbon / 20 (ratio from memory)",
    },
    Feedstock {
        id: "straw", name: "straw, general", family: Straw,
        moisture: printed([4.0, 12.0, 27.0], Handbook), nitrogen: printed([0.3, 0.56, 1.1], Reentered),
        carbon: assumed([40.0, 45.0, 48.0], Assumption), bulk_density: printed([34.0, 135.0, 224.0], Handbook),
        note: "printed 0.7 % N and 80: 56 % carbon; carbon 45 % entered, N = carbon / 80",
    },
    Feedstock {
        id: "wheat_straw", name: "wheat straw", family: Straw,
        moisture: assumed([6.0, 10.0, 20.0], Alberta), nitrogen: printed([0.3, 0.4, 0.5], Alberta),
        carbon: assumed([40.0, 46.0, 50.0], Derived), bulk_density: assumed([80.0, 135.0, 180.0], Alberta),
        note: "0.3-0.5 % N and 100-150 belong together at 45 to 50 % carbon",
    },
    Feedstock {
        id: "oat_straw", name: "oat straw", family: Straw,
        moisture: assumed([8.0, 14.0, 20.0], Alberta), nitrogen: printed([0.6, 0.8, 1.1], Alberta),
        carbon: assumed([40.0, 46.0, 50.0], Derived), bulk_density: printed([130.0, 160.0, 192.0], Alberta),
        note: "0.6-1.1 % N and 48-98 belong together at 46 to 59 % carbon; 46 % entered",
    },
    Feedstock {
        id: "hay", name: "hay, legumes and grass", family: Straw,
        moisture: printed([10.0, 20.0, 30.0], Alberta), nitrogen: printed([1.8, 2.7, 3.6], Alberta),
        carbon: assumed([40.0, 45.9, 48.0], Derived), bulk_density: assumed([60.0, 120.0, 180.0], Assumption),
        note: "carbon from 2.7 % N and 17, the middle of the printed 15 to 19",
    },
    Feedstock {
        id: "sawdust", name: "sawdust", family: Wood,
        moisture: printed([19.0, 39.0, 65.0], Handbook), nitrogen: printed([0.06, 0.113, 0.8], Reentered),
        carbon: assumed([46.0, 50.0, 52.0], Assumption), bulk_density: printed([207.0, 243.0, 267.0], Alberta),
        note: "printed 0.24 % N and 442: 106 % carbon; carbon 50 % entered, N = carbon / 442",
    },
    Feedstock {
        id: "wood_shavings", name: "wood shavings", family: Wood,
        moisture: assumed([8.0, 15.0, 30.0], Assumption), nitrogen: assumed([0.06, 0.1, 0.2], Reentered),
        carbon: assumed([46.0, 50.0, 52.0], Assumption), bulk_density: assumed([80.0, 120.0, 200.0], Assumption),
        note: "ratio 500 read for sawdust and shavings; carbon 50 % entered, N = carbon / 500",
    },
    Feedstock {
        id: "wood_chips_hardwood", name: "wood chips, hardwood", family: Wood,
        moisture: assumed([15.0, 30.0, 45.0], Assumption), nitrogen: printed([0.06, 0.09, 0.11], Handbook),
        carbon: assumed([46.0, 50.4, 52.0], Derived), bulk_density: printed([264.0, 314.0, 368.0], Handbook),
        note: "",
    },
    Feedstock {
        id: "wood_chips", name: "wood chips, mixed", family: Wood,
        moisture: printed([15.0, 30.0, 40.0], Alberta), nitrogen: printed([0.04, 0.12, 0.23], Alberta),
        carbon: assumed([46.0, 50.0, 52.0], Assumption), bulk_density: printed([264.0, 316.0, 368.0], Alberta),
        note: "printed 0.04-0.23 % N and 212-1313 belong together end by end (49 to 53 % carbon)",
    },
    Feedstock {
        id: "shrub_trimmings", name: "shrub trimmings", family: Wood,
        moisture: assumed([10.0, 15.0, 40.0], Handbook), nitrogen: assumed([0.7, 1.0, 1.3], Handbook),
        carbon: assumed([45.0, 53.0, 54.0], Derived), bulk_density: assumed([200.0, 255.0, 320.0], Handbook),
        note: "",
    },
    Feedstock {
        id: "cardboard", name: "cardboard, corrugated", family: Paper,
        moisture: assumed([5.0, 8.0, 12.0], Alberta), nitrogen: assumed([0.06, 0.08, 0.1], Reentered),
        carbon: assumed([40.0, 45.0, 48.0], Assumption), bulk_density: assumed([60.0, 154.0, 200.0], Alberta),
        note: "printed 0.1 % N and 563: 56 % carbon; carbon 45 % entered, N = carbon / 563",
    },
    Feedstock {
        id: "newsprint", name: "newsprint", family: Paper,
        moisture: printed([3.0, 6.0, 8.0], Handbook), nitrogen: printed([0.06, 0.1, 0.14], Handbook),
        carbon: assumed([40.0, 45.0, 50.0], Assumption), bulk_density: printed([116.0, 130.0, 144.0], Handbook),
        note: "printed 0.06-0.14 % N and 398-852: 24 to 119 % carbon; carbon 45 % entered",
    },
    Feedstock {
        id: "paper", name: "paper, mixed", family: Paper,
        moisture: printed([18.0, 19.0, 20.0], Alberta), nitrogen: printed([0.2, 0.22, 0.25], Alberta),
        carbon: assumed([30.0, 36.0, 42.0], Derived), bulk_density: assumed([100.0, 130.0, 160.0], Alberta),
        note: "fillers make ash; carbon from 0.22 % N and about 160",
    },
    Feedstock {
        id: "layer_manure_fresh", name: "laying hen manure, fresh", family: PoultryManure,
        moisture: printed([62.0, 69.0, 75.0], Handbook), nitrogen: printed([4.0, 8.0, 10.0], Handbook),
        carbon: assumed([35.0, 48.0, 50.0], Derived), bulk_density: printed([817.0, 877.0, 961.0], Handbook),
        note: "from 8 % N and 6",
    },
    Feedstock {
        id: "layer_manure_dry", name: "laying hen manure, dried", family: PoultryManure,
        moisture: assumed([8.0, 15.0, 25.0], Assumption), nitrogen: assumed([3.0, 4.5, 7.0], Assumption),
        carbon: assumed([28.0, 35.0, 42.0], Assumption), bulk_density: assumed([350.0, 450.0, 600.0], Assumption),
        note: "drying loses ammonia; no published row found",
    },
    Feedstock {
        id: "breeder_manure", name: "broiler breeder manure, part dry", family: PoultryManure,
        moisture: assumed([35.0, 46.0, 55.0], Alberta), nitrogen: assumed([2.8, 3.6, 4.5], Alberta),
        carbon: assumed([30.0, 36.0, 42.0], Derived), bulk_density: assumed([400.0, 470.0, 550.0], Alberta),
        note: "carbon from 3.6 % N and 10",
    },
    Feedstock {
        id: "broiler_litter", name: "broiler litter", family: PoultryManure,
        moisture: printed([22.0, 37.0, 46.0], Handbook), nitrogen: printed([1.6, 2.7, 3.9], Handbook),
        carbon: assumed([32.0, 37.8, 44.0], Derived), bulk_density: printed([449.0, 513.0, 609.0], Handbook),
        note: "carbon from 2.7 % N and 14",
    },
    Feedstock {
        id: "broiler_litter_dry", name: "broiler litter, dry", family: PoultryManure,
        moisture: assumed([15.0, 25.0, 30.0], Alberta), nitrogen: assumed([2.2, 2.67, 4.7], Reentered),
        carbon: assumed([35.0, 40.0, 44.0], Assumption), bulk_density: assumed([250.0, 330.0, 420.0], Alberta),
        note: "printed 4.7 % N and 15: 70 % carbon; carbon 40 % entered, N = carbon / 15",
    },
    Feedstock {
        id: "turkey_litter", name: "turkey litter", family: PoultryManure,
        moisture: assumed([25.0, 33.0, 40.0], Alberta), nitrogen: assumed([2.2, 2.86, 4.2], Reentered),
        carbon: assumed([35.0, 40.0, 44.0], Assumption), bulk_density: assumed([300.0, 380.0, 460.0], Alberta),
        note: "printed 4.2 % N and 14: 59 % carbon; carbon 40 % entered, N = carbon / 14",
    },
    Feedstock {
        id: "cattle_manure_fresh", name: "cattle manure, fresh", family: Manure,
        moisture: printed([67.0, 81.0, 87.0], Handbook), nitrogen: printed([1.5, 2.4, 4.2], Handbook),
        carbon: assumed([35.0, 45.6, 48.0], Derived), bulk_density: assumed([785.0, 865.0, 950.0], Handbook),
        note: "carbon from 2.4 % N and 19",
    },
    Feedstock {
        id: "dairy_manure_solid", name: "dairy manure, solid", family: Manure,
        moisture: assumed([70.0, 79.0, 84.0], Alberta), nitrogen: assumed([1.4, 1.7, 2.2], Alberta),
        carbon: assumed([28.0, 30.6, 40.0], Derived), bulk_density: assumed([600.0, 710.0, 850.0], Alberta),
        note: "carbon from 1.7 % N and 18",
    },
    Feedstock {
        id: "dairy_solids", name: "dairy manure solids, separated", family: Manure,
        moisture: assumed([70.0, 77.0, 82.0], Alberta), nitrogen: assumed([1.2, 1.45, 1.8], Alberta),
        carbon: assumed([30.0, 33.4, 42.0], Derived), bulk_density: assumed([550.0, 650.0, 750.0], Alberta),
        note: "carbon from 1.45 % N and 23",
    },
    Feedstock {
        id: "cattle_manure_dry", name: "cattle manure, dried", family: Manure,
        moisture: assumed([10.0, 20.0, 35.0], Assumption), nitrogen: assumed([1.2, 1.8, 2.4], Assumption),
        carbon: assumed([28.0, 36.0, 42.0], Assumption), bulk_density: assumed([250.0, 350.0, 500.0], Assumption),
        note: "no published row found",
    },
    Feedstock {
        id: "horse_manure_fresh", name: "horse manure, fresh", family: Manure,
        moisture: printed([59.0, 72.0, 79.0], Handbook), nitrogen: printed([1.4, 1.6, 2.3], Handbook),
        carbon: assumed([40.0, 48.0, 50.0], Derived), bulk_density: printed([721.0, 818.0, 961.0], Handbook),
        note: "carbon from 1.6 % N and 30",
    },
    Feedstock {
        id: "horse_manure_straw", name: "horse manure with straw", family: Manure,
        moisture: assumed([55.0, 67.0, 75.0], Alberta), nitrogen: assumed([1.2, 1.5, 1.8], Alberta),
        carbon: assumed([36.0, 40.5, 46.0], Derived), bulk_density: assumed([350.0, 500.0, 700.0], Assumption),
        note: "carbon from 1.5 % N and 27",
    },
    Feedstock {
        id: "horse_manure_shavings", name: "horse manure with shavings", family: Manure,
        moisture: assumed([60.0, 72.0, 78.0], Alberta), nitrogen: assumed([0.6, 0.74, 0.9], Reentered),
        carbon: assumed([44.0, 48.0, 50.0], Assumption), bulk_density: assumed([350.0, 500.0, 700.0], Assumption),
        note: "printed 0.9 % N and 65: 58.5 % carbon; carbon 48 % entered, N = carbon / 65",
    },
    Feedstock {
        id: "horse_manure_dry", name: "horse manure, dried", family: Manure,
        moisture: assumed([10.0, 20.0, 35.0], Assumption), nitrogen: assumed([1.0, 1.4, 1.9], Assumption),
        carbon: assumed([34.0, 42.0, 46.0], Assumption), bulk_density: assumed([200.0, 300.0, 450.0], Assumption),
        note: "no published row found",
    },
    Feedstock {
        id: "sheep_manure_fresh", name: "sheep manure, fresh", family: Manure,
        moisture: printed([60.0, 69.0, 75.0], Handbook), nitrogen: printed([1.3, 2.7, 3.9], Handbook),
        carbon: assumed([36.0, 43.2, 46.0], Derived), bulk_density: assumed([500.0, 650.0, 800.0], Assumption),
        note: "carbon from 2.7 % N and 16",
    },
    Feedstock {
        id: "sheep_manure_dry", name: "sheep manure, dried", family: Manure,
        moisture: assumed([10.0, 20.0, 35.0], Assumption), nitrogen: assumed([1.3, 2.2, 3.1], Assumption),
        carbon: assumed([30.0, 38.0, 44.0], Assumption), bulk_density: assumed([300.0, 400.0, 550.0], Assumption),
        note: "no published row found",
    },
    Feedstock {
        id: "rabbit_manure_fresh", name: "rabbit manure, fresh", family: Manure,
        moisture: assumed([50.0, 65.0, 75.0], Assumption), nitrogen: assumed([2.0, 2.4, 4.2], GeneralTables),
        carbon: assumed([36.0, 42.0, 46.0], Assumption), bulk_density: assumed([400.0, 550.0, 700.0], Assumption),
        note: "printed 2.4 % N and 8-12: 19 to 29 % carbon, less than droppings have; carbon 42 % entered",
    },
    Feedstock {
        id: "rabbit_manure_dry", name: "rabbit manure, dried", family: Manure,
        moisture: assumed([8.0, 15.0, 25.0], Assumption), nitrogen: assumed([1.8, 2.3, 3.5], Assumption),
        carbon: assumed([34.0, 41.0, 46.0], Assumption), bulk_density: assumed([250.0, 350.0, 450.0], Assumption),
        note: "no published row found",
    },
];
