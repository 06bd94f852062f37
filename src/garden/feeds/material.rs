//! What a material is made of: water, nitrogen, carbon, ash, and how it lies.

use crate::garden::assumptions::sums_up;
use crate::garden::assumptions::{MAX_NUTRIENT, MIN_SHARE, air_space};
use crate::garden::figures::{Off, Recorder};
use crate::garden::formulas::{AshOfCarbon, CarbonOfAsh, CarbonOfRatio, RatioOfMaterial};
use crate::garden::refusal::{Reason, Refusal};
use crate::garden::units::quantity::{OfDensity, OfRatio, OfShare};
use crate::garden::units::text::outside;
use crate::garden::units::{Density, End, Estimate, ROUNDING_TOLERANCE, Share};

/// More carbon than this in the dry matter does not occur in plants, manure or paper (share). Source: assumption: a margin above
/// pure organic matter, 1/1.8 = 55.6 %.
pub const MAX_CARBON: f64 = 0.58;
/// Most nitrogen in the dry matter that is computed with (share).
pub const MAX_NITROGEN: f64 = MAX_NUTRIENT;
/// Least nitrogen in the dry matter that is computed with (share): a ratio needs something to divide by.
pub const MIN_NITROGEN: f64 = MIN_SHARE;

/// How the carbon and the ash of a material are known. What is not given follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Carbon {
    /// Carbon in the dry matter: `ash = 1 - 1.8 carbon`.
    Carbon(Estimate<OfShare>),
    /// Carbon and ash in the dry matter, each measured.
    Both(Estimate<OfShare>, Estimate<OfShare>),
    /// Ash in the dry matter: `carbon = (1 - ash)/1.8`.
    Ash(Estimate<OfShare>),
    /// Carbon over nitrogen: `carbon = N x C:N`.
    Ratio(Estimate<OfRatio>),
}

/// A material. Guarantees: moisture below 100 %, nitrogen above 0, carbon at most 58 % of the dry matter at the likely
/// values, and pores that hold the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    moisture: Estimate<OfShare>,
    nitrogen: Estimate<OfShare>,
    carbon: Estimate<OfShare>,
    ash: Estimate<OfShare>,
    carbon_to_nitrogen: Estimate<OfRatio>,
    bulk_density: Option<Estimate<OfDensity>>,
}

impl Material {
    /// A material by its moisture (wet basis), its nitrogen (of the dry matter), its carbon, and its bulk density as it
    /// lies at this moisture, if it is known.
    ///
    /// # Errors
    /// `impossible_value` at `moisture` if it reaches 100 %; at `carbon` above 58 %, or with the ash above the whole; at `ash` if none is left over for
    /// organic matter; at `carbon_to_nitrogen` if nitrogen and ratio do not belong together; at `bulk_density` if the
    /// water does not fit into the pores. `out_of_range` at `nitrogen` outside [`MIN_NITROGEN`] to [`MAX_NITROGEN`].
    ///
    /// ```
    /// use barrowful::garden::feeds::{Carbon, Material};
    /// use barrowful::garden::figures::Off;
    /// use barrowful::garden::units::{Estimate, Ratio, Share};
    /// let share = |s| Estimate::exactly(Share::from_fraction(s));
    /// let ratio = |r| Carbon::Ratio(Estimate::exactly(Ratio::from_number(r)));
    /// // Grass of 2.4 % N at 18.75 has 45 % carbon; sawdust of 0.24 % N at 442 would have 106 %.
    /// assert!(Material::new((share(0.77), share(0.024)), ratio(18.75), None, Off).is_ok());
    /// assert!(Material::new((share(0.39), share(0.0024)), ratio(442.0), None, Off).is_err());
    /// ```
    pub fn new(
        (moisture, nitrogen): (Estimate<OfShare>, Estimate<OfShare>),
        carbon: Carbon,
        bulk_density: Option<Estimate<OfDensity>>,
        recorder: impl Recorder,
    ) -> Result<Self, Refusal> {
        let wettest = moisture.high().fraction();
        if !(moisture.low().fraction() >= 0.0 && wettest < 1.0) {
            let detail = format!(
                "a moisture of {:.1} % leaves no dry matter; give the water as a share of the whole (wet basis), \
                 below 100 %",
                wettest * 100.0
            );
            return Err(Refusal::new(Reason::ImpossibleValue, detail).at("moisture"));
        }
        if !(nitrogen.low().fraction() >= MIN_NITROGEN && nitrogen.high().fraction() <= MAX_NITROGEN) {
            let bounds = (MIN_NITROGEN * 100.0, MAX_NITROGEN * 100.0);
            return Err(outside("nitrogen", bounds, "% of the dry matter").at("nitrogen"));
        }
        let (of_dry, ash) = carbon_and_ash(carbon, nitrogen, recorder)?;
        sums_up(ash.likely(), nitrogen.likely()).map_err(|e| e.at("nitrogen"))?;
        let ratio = RatioOfMaterial { c: of_dry, n: nitrogen };
        let carbon_to_nitrogen = match carbon {
            // Given: that the carbon follows from it explains nothing.
            Carbon::Ratio(given) => Off.figure(ratio).recorded(given.node()),
            Carbon::Carbon(_) | Carbon::Both(..) | Carbon::Ash(_) => recorder.figure(ratio),
        };
        let material = Self { moisture, nitrogen, carbon: of_dry, ash, carbon_to_nitrogen, bulk_density };
        material.check_pores()?;
        Ok(material)
    }

    /// Water over fresh mass.
    #[must_use]
    pub const fn moisture(&self) -> Estimate<OfShare> {
        self.moisture
    }

    /// Nitrogen over dry matter.
    #[must_use]
    pub const fn nitrogen(&self) -> Estimate<OfShare> {
        self.nitrogen
    }

    /// Carbon over dry matter.
    #[must_use]
    pub const fn carbon(&self) -> Estimate<OfShare> {
        self.carbon
    }

    /// Ash over dry matter; where it is not given `1 - 1.8 carbon`, not below 0.
    #[must_use]
    pub const fn ash(&self) -> Estimate<OfShare> {
        self.ash
    }

    /// Mass over volume as it lies, if known.
    #[must_use]
    pub const fn bulk_density(&self) -> Option<Estimate<OfDensity>> {
        self.bulk_density
    }

    /// Carbon over nitrogen, by mass: derived, with bounds from those of carbon and nitrogen.
    #[must_use]
    pub const fn carbon_to_nitrogen(&self) -> Estimate<OfRatio> {
        self.carbon_to_nitrogen
    }

    /// The same material at another moisture. Dry matter per volume stays: the water goes into the pores.
    ///
    /// # Errors
    /// As [`Material::new`].
    pub fn at_moisture(&self, moisture: Estimate<OfShare>) -> Result<Self, Refusal> {
        let density = self.bulk_density.map(|rho| {
            let dry = rho.times(1.0 - self.moisture.likely().fraction());
            dry.times(1.0 / (1.0 - moisture.likely().fraction()).max(ROUNDING_TOLERANCE))
        });
        Self::new((moisture, self.nitrogen), Carbon::Both(self.carbon, self.ash), density, Off)
    }

    fn check_pores(&self) -> Result<(), Refusal> {
        let Some(rho) = self.bulk_density.map(Estimate::likely) else { return Ok(()) };
        let dry: Density = rho * Share::from_fraction(1.0 - self.moisture.likely().fraction());
        if air_space(rho, dry) >= 0.0 {
            return Ok(());
        }
        let detail = format!(
            "{:.0} kg/m3 at {:.1} % moisture leaves no room for pores; weigh a bucket again, or give bulk density and \
             moisture of the same material",
            rho.base(),
            self.moisture.likely().fraction() * 100.0
        );
        Err(Refusal::new(Reason::ImpossibleValue, detail).at("bulk_density"))
    }
}

type Shares = (Estimate<OfShare>, Estimate<OfShare>);

/// Carbon and ash, whichever is given.
fn carbon_and_ash(carbon: Carbon, nitrogen: Estimate<OfShare>, recorder: impl Recorder) -> Result<Shares, Refusal> {
    match carbon {
        Carbon::Carbon(carbon) => {
            let carbon = possible_carbon(carbon)?;
            Ok((carbon, recorder.figure(AshOfCarbon { c: carbon })))
        }
        Carbon::Both(carbon, ash) => {
            let (carbon, ash) = (possible_carbon(carbon)?, possible_ash(ash)?);
            let sum = carbon.likely().fraction() + ash.likely().fraction();
            if sum <= 1.0 + ROUNDING_TOLERANCE {
                return Ok((carbon, ash));
            }
            let detail = format!(
                "carbon and ash are {:.1} % of the dry matter together, which is too much: carbon is in the part that burns",
                sum * 100.0
            );
            Err(Refusal::new(Reason::ImpossibleValue, detail).at("carbon"))
        }
        Carbon::Ash(ash) => {
            let ash = possible_ash(ash)?;
            Ok((recorder.figure(CarbonOfAsh { x: ash }), ash))
        }
        Carbon::Ratio(ratio) => from_ratio(ratio, nitrogen, recorder),
    }
}

fn possible_carbon(carbon: Estimate<OfShare>) -> Result<Estimate<OfShare>, Refusal> {
    let most = carbon.high().fraction();
    if carbon.low().fraction() >= 0.0 && most <= MAX_CARBON {
        return Ok(carbon);
    }
    let detail = format!(
        "{:.1} % carbon: dry matter holds at most {:.0} % (pure organic matter is about 56 %); is it a share of the dry matter?",
        most * 100.0,
        MAX_CARBON * 100.0
    );
    Err(Refusal::new(Reason::ImpossibleValue, detail).between(0.0, MAX_CARBON * 100.0).at("carbon"))
}

fn possible_ash(ash: Estimate<OfShare>) -> Result<Estimate<OfShare>, Refusal> {
    if ash.low().fraction() >= 0.0 && ash.high().fraction() <= 1.0 {
        return Ok(ash);
    }
    let detail = "ash must be from 0 to 100 % of the dry matter";
    Err(Refusal::new(Reason::ImpossibleValue, detail).between(0.0, 100.0).at("ash"))
}

/// The likely nitrogen counts; the ranges of the two are tied by the carbon, whose own range is not known.
fn from_ratio(
    ratio: Estimate<OfRatio>,
    nitrogen: Estimate<OfShare>,
    recorder: impl Recorder,
) -> Result<Shares, Refusal> {
    let carbon = recorder.figure(CarbonOfRatio { n: nitrogen.only(End::Likely), q: ratio });
    if !(0.0..=MAX_CARBON).contains(&carbon.fraction()) {
        let detail = format!(
            "{:.2} % nitrogen and a ratio of {} contradict each other: together they give {:.0} % carbon in the dry \
             matter, and more than {:.0} % does not occur; give carbon or ash in place of the ratio",
            nitrogen.likely().fraction() * 100.0,
            ratio.likely().number(),
            carbon.fraction() * 100.0,
            MAX_CARBON * 100.0
        );
        return Err(Refusal::new(Reason::ImpossibleValue, detail).at("carbon_to_nitrogen"));
    }
    let carbon = carbon.at_most(Share::from_fraction(MAX_CARBON));
    Ok((carbon, recorder.figure(AshOfCarbon { c: carbon })))
}
