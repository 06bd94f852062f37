//! Writing what to produce.

use super::answer::{
    AdditionalProductionOut, CanWaitOut, ChoiceOut, LaterStartOut, ProductionBatchOut, ProductionBedOut,
    ProductionFeedOut, ProductionGroundOut, ProductionManureOut, ProductionSupplyOut, TooLateOut,
};
use super::read::PlannedProduction;
use crate::garden::balances::additional_production::{
    Batch, CanWait, Choice, Late, LimitingFactor, ProductionPlan, Shortfall, Slip, can_wait, follows_90_percent,
};
use crate::garden::balances::allocation::Lot;
use crate::garden::balances::{Balance, Requirement};
use crate::garden::cautions::Rule;
use crate::garden::units::{Mass, Millilitres, Volume};
use crate::http::output::Report;
use crate::http::output::quantity::{Role, View};
use crate::http::resources::ReferenceOut;
use crate::http::resources::balances::answer::Labels;
use crate::http::resources::collected::ProductionMaterialOut;
use crate::http::wire::JsonPath;
use chrono::NaiveDate;

impl PlannedProduction {
    /// Writes what to produce; cautions and assumptions of the feed go to the report.
    pub(in crate::http::resources) fn write(
        &self,
        labels: &Labels<'_>,
        (requirements, lots, balance): (&[Requirement], &[Lot], &Balance),
        (report, view): (&mut Report, &View<'_>),
    ) -> Vec<AdditionalProductionOut> {
        let root = JsonPath::root();
        if !self.found.plans.is_empty() {
            report.used(&self.feed.assumed, root.field("additional_production"));
            report.used(&self.of_bed, root.field("additional_production"));
            let _ = report.cautions(&self.feed.cautions, root.field("additional_production"));
            let above = [Rule::WormsAboveCarrying];
            let _ = report.cautions(if self.found.crowded { &above } else { &[] }, root.field("additional_production"));
        }
        let barred = if self.is_barred(balance) { barred_by(requirements, balance) } else { Vec::new() };
        let _ = report.cautions(&barred, root.field("additional_production"));
        let shortfalls: Vec<Shortfall> = self.found.plans.iter().map(|plan| plan.shortfall).collect();
        let waits = can_wait((&shortfalls, !self.clean), requirements, lots, balance);
        let follows_90_percent = follows_90_percent(&self.found.plans);
        let each = |(one, waits): (&ProductionPlan, Vec<CanWait>)| AdditionalProductionOut {
            by: one.shortfall.by,
            shortfall: view.whole(one.shortfall.amount),
            follows_90_percent,
            likely: self.batch(&one.likely, view),
            at_90_percent: one.at_90_percent.as_ref().map(|batch| ProductionBatchOut {
                latest_start_at_50_percent: one.latest_start_at_50_percent,
                ..self.batch(batch, view)
            }),
            if_started_later: one.if_started_later.iter().map(|later| slip(later, one.shortfall.by)).collect(),
            choices: one.choices.iter().map(|other| choice(other, view)).collect(),
            can_wait: waits.into_iter().map(|other| who_can_wait(other, labels, view)).collect(),
        };
        self.found.plans.iter().zip(waits).map(each).collect()
    }

    /// Whether some of what is short may not draw on what is produced, since that counts as raw manure.
    fn is_barred(&self, balance: &Balance) -> bool {
        let short: u64 = balance.shortfalls.iter().map(|short| short.amount.get()).sum();
        !self.clean && self.found.plans.iter().map(|plan| plan.shortfall.amount.get()).sum::<u64>() < short
    }

    fn batch(&self, batch: &Batch, view: &View<'_>) -> ProductionBatchOut {
        let times = self.recipe.times(batch.feed);
        // A day that has passed, or on which materials or bed are not there, is no start.
        let can_begin =
            batch.late.is_none_or(|late| late.limiting_factor == LimitingFactor::Ground && !batch.begins_before(late));
        let water = |litres: f64| view.exact(Role::Water, Volume::from_litres(litres * times));
        ProductionBatchOut {
            castings: view.whole(batch.castings),
            feed_dry_matter: view.exact(Role::Mass, batch.feed),
            mix: view.exact(Role::Mass, self.recipe.moist(batch.feed)),
            materials: self.materials(batch.feed, view),
            soak_water: water(self.feed.soak_water.likely().litres()),
            starter: water(self.feed.starter.likely().litres()),
            rehydration_water: water(self.feed.rehydration_water.likely().litres()),
            extra_water: water(self.feed.extra_water.litres()),
            surface_area: view.exact(Role::Area, batch.area),
            worms: view.exact(Role::Mass, batch.worms),
            layers: batch.layers,
            start_on: batch.start_on.filter(|_| can_begin),
            latest_start_at_50_percent: None,
            worms_in_on: batch.worms_in_on.filter(|_| can_begin),
            ready_on: batch.ready_on,
            too_late: batch.late.as_ref().map(|late| too_late(late, batch, view)),
            worm_bed: self.bed(batch, view).filter(|_| can_begin),
        }
    }

    /// What to take of each material for so much dry feed.
    pub(in crate::http::resources) fn materials(&self, feed: Mass, view: &View<'_>) -> Vec<ProductionMaterialOut> {
        let times = self.recipe.times(feed);
        let names = self.names.iter().zip(&self.feed.ingredients).enumerate();
        let each = names.map(|(index, ((id, name), part))| {
            let material = ReferenceOut { index, id: id.clone(), name: name.clone() };
            let (mass, volume) = (part.mass.likely().times(times), part.volume.likely().times(times));
            ProductionMaterialOut::of(material, (mass.into(), volume.into()), view)
        });
        each.collect()
    }

    /// The bed as a request has it; `None` where its ground does not hold the feed, or there is no day for it.
    pub(in crate::http::resources) fn bed(&self, batch: &Batch, view: &View<'_>) -> Option<ProductionBedOut> {
        let start_on = batch.worms_in_on.filter(|_| batch.fits)?;
        let share = |share| view.exact(Role::Share, share);
        let assumed_of_bed = self.found.bed.iter().map(|(assumption, span)| {
            let assumed = crate::garden::assumptions::Assumed {
                assumption,
                span,
                set_by: crate::garden::assumptions::SetBy::Item,
            };
            (assumption.id(), crate::http::output::report::value(&assumed, view))
        });
        Some(ProductionBedOut {
            ground: ProductionGroundOut { kind: "area", area: view.exact(Role::Area, batch.area) },
            start_on,
            worms: view.exact(Role::Mass, batch.worms),
            layers_per_cycle: batch.layers,
            cycles: 1,
            feed: ProductionFeedOut {
                moisture: share(self.recipe.moisture),
                ash: share(self.recipe.ash),
                nitrogen: share(self.recipe.nitrogen),
                supply: ProductionSupplyOut {
                    kind: "amount",
                    amount: view.exact(Role::Mass, self.recipe.moist(batch.feed)),
                },
            },
            manure: self.clean.then_some(ProductionManureOut { kind: "none" }),
            assumptions: assumed_of_bed.collect(),
        })
    }
}

/// By which rules raw manure is kept from those who are short.
fn barred_by(requirements: &[Requirement], balance: &Balance) -> Vec<Rule> {
    let served = requirements.iter().zip(&balance.demands);
    let short = served.filter(|(_, served)| served.shortfall > Millilitres::ZERO).map(|(requirement, _)| requirement);
    let barred = short.filter(|of| of.parts.iter().any(|part| part.eligibility.differs()));
    let mut rules: Vec<Rule> = barred
        .filter_map(|of| of.grown.as_ref())
        .map(|grown| if grown.crop.incorporated { Rule::IntervalTooShort } else { Rule::NotIncorporated })
        .collect();
    rules.sort_unstable();
    rules.dedup();
    rules
}

fn too_late(late: &Late, batch: &Batch, view: &View<'_>) -> TooLateOut {
    TooLateOut {
        limiting_factor: late.limiting_factor.as_str(),
        first_start_on: late.first_start_on,
        ready_on: late.ready_on,
        area_needed: (!batch.fits).then(|| view.exact(Role::Area, batch.area_needed)),
    }
}

fn slip(slip: &Slip, by: NaiveDate) -> LaterStartOut {
    let days_late = slip.ready_on.map(|ready| ready.signed_duration_since(by).num_days()).filter(|days| *days > 0);
    LaterStartOut { days: slip.days, start_on: slip.start_on, ready_on: slip.ready_on, days_late }
}

fn choice(choice: &Choice, view: &View<'_>) -> ChoiceOut {
    ChoiceOut {
        layers: choice.layers,
        surface_area: view.exact(Role::Area, choice.area),
        worms: view.exact(Role::Mass, choice.worms),
        start_on: choice.start_on,
        latest_start_at_90_percent: choice.latest_start_at_90_percent,
        latest_start_at_50_percent: choice.latest_start_at_50_percent,
        too_late: choice.late,
    }
}

fn who_can_wait(other: CanWait, labels: &Labels<'_>, view: &View<'_>) -> CanWaitOut {
    CanWaitOut { demand: ReferenceOut::to(labels.demands, other.demand), amount: view.whole(other.amount) }
}
