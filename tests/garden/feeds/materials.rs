//! Materials: moisture, carbon, ash and nitrogen of one, and the rows of the table against published means.

use super::{exactly, material};
use crate::support::{assert_near, near, three};
use barrowful::garden::feeds::{Carbon, Feedstock, Material, materials};
use barrowful::garden::figures::Off;
use barrowful::garden::units::{Estimate, Measured, Quantity};

fn estimate<D: Measured>(low: f64, likely: f64, high: f64) -> Estimate<D> {
    let of = Quantity::from_base;
    Estimate::between(of(low), of(likely), of(high)).unwrap()
}

/// The water goes into the pores: dry matter per volume stays, until the pores are full.
#[test]
fn the_same_material_at_another_moisture() {
    let dry = material(0.38, 0.0094, 0.48);
    let wet = dry.at_moisture(exactly(0.70)).unwrap();
    assert_near(wet.bulk_density().unwrap().likely().base(), 200.0 * 0.62 / 0.30, 1e-12);
    assert_eq!((wet.nitrogen(), wet.carbon(), wet.ash()), (dry.nitrogen(), dry.carbon(), dry.ash()));
    assert_eq!(dry.at_moisture(exactly(0.95)).unwrap_err().field, Some("bulk_density"));
    assert_eq!(dry.at_moisture(exactly(1.0)).unwrap_err().field, Some("moisture"));
    // carbon = (1 - ash)/1.8, either way.
    let by_ash =
        Material::new((exactly(0.38), exactly(0.0094)), Carbon::Ash(exactly(1.0 - 1.8 * 0.48)), None, Off).unwrap();
    assert_near(by_ash.carbon().likely().fraction(), 0.48, 1e-12);
    let ranged =
        Material::new((exactly(0.38), exactly(0.0094)), Carbon::Carbon(estimate(0.36, 0.48, 0.52)), None, Off).unwrap();
    for (found, expected) in three(ranged.ash()).into_iter().zip([1.0 - 1.8 * 0.52, 1.0 - 1.8 * 0.48, 1.0 - 1.8 * 0.36])
    {
        assert_near(found, expected, 1e-12);
    }
    assert_near(by_ash.carbon_to_nitrogen().likely().number(), 48.0 / 0.94, 1e-12);
}

/// Published means against the rows: N and ash are shares of the dry matter. All read in a stored copy, mostly in abstracts.
#[test]
fn the_rows_of_the_table_are_as_measured() {
    let row = |id: &str| Feedstock::find(id).unwrap();
    let within = |[low, high]: [f64; 2], value: f64| assert!(low <= value && value <= high, "{low} {value} {high}");
    // Stephenson, McCaskey & Ruffin 1990: 106 samples of broiler litter, 4.0 % N (2.3 to 6.0), 24.7 % ash (8.9 to 64.3).
    assert_eq!(row("broiler_litter").nitrogen.range, [2.3, 4.0, 6.0]);
    assert_eq!(row("broiler_litter").ash.range, [8.9, 24.7, 64.3]);
    // Turgeon, Stone & Peck 1979: crude protein 22.0 to 32.7 %, over 6.25. Loads as collected hold less.
    let [low, likely, high] = row("grass_clippings").nitrogen.range;
    within([low, high], 22.0 / 6.25);
    assert_near(likely, 22.0 / 6.25, 0.01);
    within([22.0 / 6.25, 32.7 / 6.25], high);
    // Zhang et al. 2007: volatile solids are 83 to 87 % of the total solids of food waste.
    within([13.0, 17.0], row("kitchen_scraps").ash.range[1]);
    // Wang et al. 2019: 81 to 87 % in dairy manure.
    within([13.0, 19.0], row("dairy_manure_solid").ash.range[1]);
    // INRAE-CIRAD-AFZ feed tables: wheat straw, 6.6 % ash of 524 samples and 3.9 % crude protein of 527.
    assert_eq!(row("wheat_straw").ash.range[1], 6.6);
    within([3.85 / 6.25, 3.95 / 6.25], row("wheat_straw").nitrogen.range[1]);
    // Miles et al. 1995: 0.31 to 4.13 % ash in sawdust.
    within([0.3, 4.2], row("sawdust").ash.range[1]);
    // US EPA 1993: loose cardboard 50 to 150 lb/yd3.
    let loose = |pounds: f64| pounds * 0.453_592_37 / 0.764_554_857_984;
    within([loose(50.0), loose(150.0)], row("cardboard").bulk_density.range[1]);
    // Heckman & Kluchinski 1996: 100 samples of leaves.
    assert_eq!(
        (row("leaves_loose").nitrogen.range, row("leaves_loose").carbon.range),
        ([0.66, 0.94, 1.62], [36.3, 48.0, 51.6])
    );
    // Fidanza et al. 2010: 2.65 % N and 60.97 % organic matter in spent mushroom substrate of 30 farms.
    within([38.9, 39.1], row("spent_mushroom_substrate").ash.range[1]);
    assert_eq!(row("spent_mushroom_substrate").nitrogen.range[1], 2.65);
    // National Academies 2021: mature legume hay 18.111, immature 21.542 % crude protein.
    within([18.111 / 6.25 - 0.01, 21.542 / 6.25 + 0.01], row("legume_hay").nitrogen.range[1]);
    // Handbook NRAES-54 (from memory): non-legume hay at a ratio of 32.
    within([28.0, 36.0], row("grass_hay").carbon_to_nitrogen());
}

/// Carbon and ash may both be given; together they are not more than the whole.
#[test]
fn carbon_and_ash_are_each_measured() {
    let of = |carbon, ash| {
        Material::new((exactly(0.2), exactly(0.01)), Carbon::Both(exactly(carbon), exactly(ash)), None, Off)
    };
    let straw = of(0.46, 0.066).unwrap();
    assert_eq!((straw.carbon().likely().fraction(), straw.ash().likely().fraction()), (0.46, 0.066));
    assert_near(straw.carbon_to_nitrogen().likely().number(), 46.0, 1e-12);
    let wetter = straw.at_moisture(exactly(0.6)).unwrap();
    assert_eq!((wetter.carbon(), wetter.ash()), (straw.carbon(), straw.ash()));
    assert_eq!(of(0.46, 0.55).unwrap_err().field, Some("carbon"));
    assert_eq!(of(0.59, 0.1).unwrap_err().field, Some("carbon"));
    assert_eq!(of(0.4, 1.1).unwrap_err().field, Some("ash"));
}

/// Every row makes a material, lies in order, and belongs together; the printed rows that do not are not among them.
#[test]
fn every_row_of_the_table_is_a_material() {
    assert!(materials::ALL.len() >= 25);
    for (at, row) in materials::ALL.iter().enumerate() {
        let material = row.material().unwrap_or_else(|e| panic!("{}: {e}", row.id));
        assert!(materials::ALL.iter().take(at).all(|other| other.id != row.id), "{} twice", row.id);
        for value in [row.moisture, row.nitrogen, row.carbon, row.ash, row.bulk_density] {
            assert!(value.range[0] <= value.range[1] && value.range[1] <= value.range[2], "{}", row.id);
        }
        let ratio = material.carbon_to_nitrogen();
        assert!(near(ratio.likely().number(), row.carbon_to_nitrogen(), 1e-12));
        assert!(row.carbon.range[1] <= 100.0 / 1.8, "{}: more carbon than organic matter holds", row.id);
        // Organic matter is 44 to 59 % carbon: cellulose 44 %, lignin more than 60 %.
        let organic = 100.0 - row.ash.range[1];
        assert!((44.0..=59.5).contains(&(row.carbon.range[1] / organic * 100.0)), "{}", row.id);
    }
    // The printed pairs that were re-entered, refused as printed: (N, C:N).
    for (nitrogen, ratio) in [(0.0024, 442.0), (0.047, 15.0), (0.042, 14.0), (0.009, 65.0)] {
        let printed = Material::new((exactly(0.3), exactly(nitrogen)), Carbon::Ratio(exactly(ratio)), None, Off);
        assert_eq!(printed.unwrap_err().field, Some("carbon_to_nitrogen"));
    }
}
