//! Typical rates: what is printed for a purpose, for who has no rate of their own yet.

use super::rates::{Portion, Rate};
use crate::garden::closed_list::closed_list;
use crate::garden::figures::{Off, Recorder, Source};
use crate::garden::units::Estimate;

/// A rate for a purpose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Typical {
    /// The purpose as written on the wire.
    pub id: &'static str,
    /// The purpose in words.
    pub name: &'static str,
    /// The kind of rate.
    pub kind: Kind,
    /// Low, likely and high in the base unit of the kind.
    pub amount: [f64; 3],
    /// Where the rate is from.
    pub source: &'static str,
    /// What of it is from memory; everything else was read.
    pub checked: Option<&'static str>,
}

/// The kinds of rates that purposes have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A layer, in metres.
    Depth,
    /// By mass over the ground, in kg/m2.
    MassPerArea,
    /// Along the row, in L/m.
    VolumePerLength,
    /// For each plant, in L.
    PerPlant,
    /// Of a mix, as a fraction.
    Share,
}

macro_rules! purposes {
    ($($(#[$doc:meta])* $variant:ident = $id:literal, $name:literal, $kind:ident $amount:expr, $source:literal $(, $checked:literal)?;)*) => {
        closed_list! {
            /// What castings are used for.
            #[derive(Debug, Clone, Copy, PartialEq, Eq)]
            pub enum Purpose {
                $($(#[$doc])* $variant = $id,)*
            }
        }

        impl Purpose {
            /// Its rate.
            #[must_use]
            pub const fn typical(self) -> &'static Typical {
                match self {
                    $(Self::$variant => &Typical {
                        id: $id, name: $name, kind: Kind::$kind, amount: $amount, source: $source, checked: purposes!(@ $($checked)?),
                    },)*
                }
            }
        }
    };
    (@) => { None };
    (@ $checked:literal) => { Some($checked) };
}

purposes! {
    /// A mix to raise seedlings in.
    SeedlingMix = "seedling_mix", "in a mix for seedlings", Share [0.10, 0.10, 0.20],
        "growth was better at 10-20 % by volume, all nutrients supplied (Atiyeh et al. 2000, Pedobiologia 44:579-590); the lower end is \
         taken as likely, since emergence suffered at every rate of a salty cattle-manure vermicompost (Turkish J. Agric. Food Sci. \
         Technol., October 2017)";
    /// A mix for plants in pots.
    PottingMix = "potting_mix", "in a mix for pots and containers", Share [0.10, 0.20, 0.20],
        "highest yield of tomatoes at 20 % by volume (Atiyeh et al. 2000, Bioresource Technology 75:175-180); better growth from 10 % \
         (Atiyeh et al. 2000, Pedobiologia 44:579-590); harm above 20 % in one trial (Turkish J. Agric. Food Sci. Technol., October 2017)";
    /// A hole for a transplant.
    Transplant = "transplant", "in the hole of a transplant", PerPlant [0.015, 0.06, 0.118],
        "a tablespoon at transplanting, half a cup around a growing plant (Hillview Urban Agriculture Center); the likely value is an \
         assumption between them";
    /// Around a growing plant.
    SideDressPlant = "side_dress_plant", "around a growing plant", PerPlant [0.06, 0.118, 0.24],
        "half a cup for each plant, every two months (Hillview Urban Agriculture Center); low and high are half and twice of it, an assumption";
    /// Along a growing row.
    SideDressRow = "side_dress_row", "along a growing row", VolumePerLength [0.39, 0.78, 1.6],
        "a cup for each foot of row, every two months (Hillview Urban Agriculture Center); low and high are half and twice of it, an assumption";
    /// A garden bed before planting.
    GardenBed = "garden_bed", "on a garden bed before planting", Depth [0.006, 0.0127, 0.0254],
        "half an inch to an inch, also mixed into the top 4 inches (Purdue University Extension, as reported); about an inch of compost or \
         less, after a soil test (University of Minnesota Extension); the low end is an assumption";
    /// Vegetables over whole fields.
    FieldVegetables = "field_vegetables", "on a field of tomatoes or peppers", MassPerArea [0.5, 1.0, 2.0],
        "5-20 t/ha in field trials of tomatoes and peppers (Arancon et al. 2003 and 2005); the likely value is an assumption",
        "5-20 t/ha from memory";
    /// Strawberries over whole fields.
    FieldStrawberries = "field_strawberries", "on a field of strawberries", MassPerArea [0.5, 0.75, 1.0],
        "5-10 t/ha, worked into the top 10 cm, with the same effect at either end at one site (Arancon et al. 2004, Bioresource \
         Technology 93:145-153)";
    /// A lawn that has grown in.
    Lawn = "lawn", "on a lawn", Depth [0.003_175, 0.006_35, 0.0127],
        "about a quarter of an inch of fine compost in spring and autumn (Deschutes Recycling); an eighth to half an inch (pages of \
         suppliers of topsoil and turf)";
}

impl Typical {
    /// The likely rate, as a figure that knows the place at which the purpose is named.
    #[must_use]
    pub fn rate(&self, asked: u32, recorder: impl Recorder) -> Rate {
        let [_, likely, _] = self.amount;
        self.made([likely; 3], asked, recorder)
    }

    /// The rate with its range.
    #[must_use]
    pub fn range(&self) -> Rate {
        self.made(self.amount, 0, Off)
    }

    fn made(&self, amount: [f64; 3], asked: u32, recorder: impl Recorder) -> Rate {
        let source = Source::Rate(self.id, asked);
        match self.kind {
            Kind::Depth => Rate::Depth(recorder.source(source, Estimate::around(amount))),
            Kind::MassPerArea => Rate::MassPerArea(recorder.source(source, Estimate::around(amount))),
            Kind::VolumePerLength => Rate::VolumePerLength(recorder.source(source, Estimate::around(amount))),
            Kind::PerPlant => Rate::PerPlant(Portion::Volume(recorder.source(source, Estimate::around(amount)))),
            Kind::Share => Rate::Share(recorder.source(source, Estimate::around(amount))),
        }
    }
}
