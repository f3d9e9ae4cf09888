//! What can be computed for a check that is no frame.

use serde::Deserialize;

use super::bench::{NailAround, NailsBent};
use super::body::{
    ArmUnderLoad, BoneFatigue, Callus, HealingPace, MetalName, PersonName, StrapLoad,
};
use super::canal::RodInCanal;
use super::refined::{BoneAsChords, PathWork, SteppedTaper};
use super::sections::SectionOf;
use super::standards::{EulerColumn, FourPointBending, TwoLayers};
use super::strength::{
    Damage, EdgeNotched, Holed, LoadCycle, MarinFactors, Notched, ScrewInBone, ScrewInCortex,
    SnLineOf, Steps,
};
use super::trial::Trial;
use super::variant::FrameVariant;

/// A result by name, with its unit.
pub(super) type Named = (String, f64);

/// One formula or model of the program with its inputs.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Formula {
    Section(SectionOf),
    Hole(Holed),
    EdgeNotches(EdgeNotched),
    NotchSensitivity(Notched),
    SnLine(SnLineOf),
    MarinFactors(MarinFactors),
    Cycle(LoadCycle),
    Damage(Damage),
    Staircase(Steps),
    Screw(ScrewInBone),
    ScrewInCortex(ScrewInCortex),
    Metal(MetalName),
    CorticalBone(BoneFatigue),
    Person(PersonName),
    ArmLevel(ArmUnderLoad),
    Strap(StrapLoad),
    Callus(Callus),
    HealingPace(HealingPace),
    FourPointBending(FourPointBending),
    TwoLayers(TwoLayers),
    EulerColumn(EulerColumn),
    RodInCanal(RodInCanal),
    BoneAsChords(BoneAsChords),
    SteppedTaper(SteppedTaper),
    PathWork(PathWork),
    NailAround(NailAround),
    NailsBent(NailsBent),
    Trial(Trial),
    Frame(FrameVariant),
}

impl Formula {
    /// Everything it gives; nothing where it cannot be computed.
    pub(super) fn results(&self) -> Vec<Named> {
        match self {
            Formula::Section(inputs) => inputs.results(),
            Formula::Hole(inputs) => named(inputs.results()),
            Formula::EdgeNotches(inputs) => named(inputs.results()),
            Formula::NotchSensitivity(inputs) => named(inputs.results()),
            Formula::SnLine(inputs) => inputs.results(),
            Formula::MarinFactors(inputs) => named(inputs.results()),
            Formula::Cycle(inputs) => named(inputs.results()),
            Formula::Damage(inputs) => named(inputs.results()),
            Formula::Staircase(inputs) => named(inputs.results()),
            Formula::Screw(inputs) => named(inputs.results()),
            Formula::ScrewInCortex(inputs) => named(inputs.results()),
            Formula::Metal(inputs) => named(inputs.results()),
            Formula::CorticalBone(inputs) => named(inputs.results()),
            Formula::Person(inputs) => named(inputs.results()),
            Formula::ArmLevel(inputs) => named(inputs.results()),
            Formula::Strap(inputs) => named(inputs.results()),
            Formula::Callus(inputs) => named(inputs.results()),
            Formula::HealingPace(inputs) => named(inputs.results()),
            Formula::FourPointBending(inputs) => named(inputs.results()),
            Formula::TwoLayers(inputs) => named(inputs.results()),
            Formula::EulerColumn(inputs) => named(inputs.results()),
            Formula::RodInCanal(inputs) => inputs.results(),
            Formula::BoneAsChords(inputs) => named(inputs.results()),
            Formula::SteppedTaper(inputs) => named(inputs.results()),
            Formula::PathWork(inputs) => named(inputs.results()),
            Formula::NailAround(inputs) => named(inputs.results()),
            Formula::NailsBent(inputs) => named(inputs.results()),
            Formula::Trial(inputs) => inputs.results(),
            Formula::Frame(inputs) => inputs.results(),
        }
    }
}

pub(super) fn named<'a>(results: impl IntoIterator<Item = (&'a str, f64)>) -> Vec<Named> {
    let owned = |(name, value): (&str, f64)| (name.to_owned(), value);
    results.into_iter().map(owned).collect()
}
