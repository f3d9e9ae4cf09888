//! How the inputs of a case scatter: distributions with their sources, and their correlations.

use super::Case;
use super::defaults::{self, Inputs};
use super::scatter_tables::ScatterTable;
use crate::anatomy::{BoneError, BoneInputs, Clavicle, Preset};
use crate::sampling::{Correlation, Distribution, DistributionTable, correlation};

/// How the inputs of a case scatter.
#[derive(Debug, Clone)]
pub struct Scatter {
    /// What differs from patient to patient, in the order of a point's coordinates.
    pub inputs: Vec<ScatterInput>,
    /// How their ranks go together.
    pub correlation: Correlation,
    /// The same in words, each with its source.
    pub correlated: Vec<String>,
    /// Factor on the fatigue strength of the device.
    pub fatigue_strength: ScatterInput,
    /// Factor on its proof stress.
    pub proof_stress: ScatterInput,
    /// Mass in the hand of the level arm for which a limit counts as needed, kg.
    pub hand_mass: f64,
}

/// An input that scatters.
#[derive(Debug, Clone, PartialEq)]
pub struct ScatterInput {
    /// What it is.
    pub quantity: Quantity,
    /// How it scatters, in the unit of its key.
    pub distribution: Distribution,
    /// Where that comes from.
    pub source: String,
}

/// What can scatter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[expect(missing_docs, reason = "each is the key of the table of the same name")]
pub enum Quantity {
    Length,
    MedialCurveDepth,
    LateralCurveDepth,
    SuperiorBow,
    OuterScale,
    WallScale,
    CanalMinDiameter,
    YoungsModulus,
    LoadFactor,
    CallusModulusFactor,
    HealingTimeFactor,
    CyclesFactor,
    NotchFactor,
    ThreadKf,
    FatigueStrengthFactor,
    ProofStressFactor,
}

impl Quantity {
    /// Its key in the table, with the unit.
    pub fn key(self) -> &'static str {
        match self {
            Quantity::Length => "length_mm",
            Quantity::MedialCurveDepth => "medial_curve_depth_mm",
            Quantity::LateralCurveDepth => "lateral_curve_depth_mm",
            Quantity::SuperiorBow => "superior_bow_mm",
            Quantity::OuterScale => "outer_scale",
            Quantity::WallScale => "wall_scale",
            Quantity::CanalMinDiameter => "canal_min_diameter_mm",
            Quantity::YoungsModulus => "youngs_modulus_gpa",
            Quantity::LoadFactor => "load_factor",
            Quantity::CallusModulusFactor => "callus_modulus_factor",
            Quantity::HealingTimeFactor => "healing_time_factor",
            Quantity::CyclesFactor => "cycles_factor",
            Quantity::NotchFactor => "notch_factor",
            Quantity::ThreadKf => "thread_kf",
            Quantity::FatigueStrengthFactor => "fatigue_strength_factor",
            Quantity::ProofStressFactor => "proof_stress_factor",
        }
    }

    /// What it is in words.
    pub fn words(self) -> &'static str {
        match self {
            Quantity::Length => "the length of the bone",
            Quantity::MedialCurveDepth => "the depth of its medial curve",
            Quantity::LateralCurveDepth => "the depth of its lateral curve",
            Quantity::SuperiorBow => "the height of its bow",
            Quantity::OuterScale => "how thick the bone is",
            Quantity::WallScale => "how thick its walls are",
            Quantity::CanalMinDiameter => "how wide its canal is",
            Quantity::YoungsModulus => "how stiff bone tissue is",
            Quantity::LoadFactor => "how large the loads are",
            Quantity::CallusModulusFactor => "how stiff the callus is",
            Quantity::HealingTimeFactor => "how fast the fracture heals",
            Quantity::CyclesFactor => "how often the arm is used",
            Quantity::NotchFactor => "how sharp holes and notches act",
            Quantity::ThreadKf => "how sharp threads act",
            Quantity::FatigueStrengthFactor => "the fatigue strength of the device",
            Quantity::ProofStressFactor => "the proof stress of the device",
        }
    }

    /// Smallest and largest value that any distribution may give: those of the same key elsewhere
    /// in the file, and of factors what can be meant.
    fn range(self) -> [f64; 2] {
        match self {
            Quantity::Length => [50.0, 250.0],
            Quantity::MedialCurveDepth | Quantity::LateralCurveDepth => [0.0, 40.0],
            Quantity::SuperiorBow => [-30.0, 30.0],
            Quantity::OuterScale => [0.5, 2.0],
            Quantity::WallScale => [0.3, 2.0],
            Quantity::CanalMinDiameter => [0.1, 20.0],
            Quantity::YoungsModulus => [0.1, 40.0],
            Quantity::LoadFactor
            | Quantity::HealingTimeFactor
            | Quantity::NotchFactor
            | Quantity::FatigueStrengthFactor
            | Quantity::ProofStressFactor => [0.05, 20.0],
            Quantity::CallusModulusFactor => [0.001, 1000.0],
            Quantity::CyclesFactor => [0.0001, 10_000.0],
            Quantity::ThreadKf => [1.0, 10.0],
        }
    }
}

/// Shares beyond which no value is looked at when a distribution is checked: one patient in a
/// thousand million.
const CHECKED_SHARES: [f64; 2] = [1e-9, 1.0 - 1e-9];

/// What the table at `scatter` means for a case.
///
/// * `bone`: that of the case, as given
pub(super) fn scatter(
    inputs: &mut Inputs,
    table: &ScatterTable,
    bone: &BoneInputs,
    preset: &Preset,
) -> Option<Scatter> {
    let canal = table.canal_min_diameter_mm.is_some() || bone.canal_min_diameter.is_some();
    let rule = "must not stand beside a canal_min_diameter_mm, which sets the walls";
    let apart = table.wall_scale.is_none() || !canal;
    inputs.check.require("scatter.wall_scale", apart, rule);
    let walls = match canal {
        true => (Quantity::CanalMinDiameter, &table.canal_min_diameter_mm),
        false => (Quantity::WallScale, &table.wall_scale),
    };
    let patients = [
        (Quantity::Length, &table.length_mm),
        (Quantity::MedialCurveDepth, &table.medial_curve_depth_mm),
        (Quantity::LateralCurveDepth, &table.lateral_curve_depth_mm),
        (Quantity::SuperiorBow, &table.superior_bow_mm),
        (Quantity::OuterScale, &table.outer_scale),
        walls,
        (Quantity::YoungsModulus, &table.youngs_modulus_gpa),
        (Quantity::LoadFactor, &table.load_factor),
        (Quantity::CallusModulusFactor, &table.callus_modulus_factor),
        (Quantity::HealingTimeFactor, &table.healing_time_factor),
        (Quantity::CyclesFactor, &table.cycles_factor),
        (Quantity::NotchFactor, &table.notch_factor),
        (Quantity::ThreadKf, &table.thread_kf),
    ];
    let mut one = |quantity, given: &Option<DistributionTable>| {
        input(inputs, quantity, given.as_ref(), bone, preset)
    };
    let found: Vec<Option<ScatterInput>> = patients
        .into_iter()
        .map(|(quantity, given)| one(quantity, given))
        .collect();
    let fatigue_strength = one(
        Quantity::FatigueStrengthFactor,
        &table.fatigue_strength_factor,
    );
    let proof_stress = one(Quantity::ProofStressFactor, &table.proof_stress_factor);
    let scattered = found.into_iter().collect::<Option<Vec<_>>>()?;
    let (correlation, correlated) = correlated(inputs, table, &scattered)?;
    Some(Scatter {
        inputs: scattered,
        correlation,
        correlated,
        fatigue_strength: fatigue_strength?,
        proof_stress: proof_stress?,
        hand_mass: table.hand_mass_kg.unwrap_or(defaults::LIMIT_MASS_KG.value),
    })
}

/// One input: as given, or as usual.
fn input(
    inputs: &mut Inputs,
    quantity: Quantity,
    given: Option<&DistributionTable>,
    bone: &BoneInputs,
    preset: &Preset,
) -> Option<ScatterInput> {
    let path = format!("scatter.{}", quantity.key());
    let (distribution, source) = match given {
        Some(table) => {
            let distribution = table.distribution(&path, &mut inputs.check)?;
            let [least, most] = quantity.range();
            let [low, high] = CHECKED_SHARES.map(|share| distribution.quantile(share));
            let within = least <= low && high <= most;
            let rule = format!(
                "must keep its values between {least} and {most}, but they run from {low:.3} to \
                 {high:.3}"
            );
            inputs.check.require(&path, within, rule);
            if !within {
                return None;
            }
            (distribution, "as given".to_owned())
        }
        None => usual(inputs, quantity, bone, preset),
    };
    Some(ScatterInput {
        quantity,
        distribution,
        source,
    })
}

/// The usual scatter of an input, with its source; none of what the file gives as measured.
fn usual(
    inputs: &Inputs,
    quantity: Quantity,
    bone: &BoneInputs,
    preset: &Preset,
) -> (Distribution, String) {
    let male = preset.name.starts_with("adult-male");
    // Published deviations of men or women; a child's are taken as a woman's.
    let by_sex = |man: f64, woman: f64| if male { man } else { woman };
    let normal = |mean: f64, deviation: f64, within: [f64; 2]| Distribution::Normal {
        mean,
        deviation,
        within,
    };
    let lognormal = |variation: f64| Distribution::LogNormal {
        median: 1.0,
        variation,
        within: [0.0, f64::INFINITY],
    };
    // Three deviations hold all but one in four hundred.
    let about = |mean: f64, deviation: f64| {
        normal(
            mean,
            deviation,
            [mean - 3.0 * deviation, mean + 3.0 * deviation],
        )
    };
    let modulus = bone.cortex.youngs_modulus / 1000.0;
    let (distribution, source, measured_by) = match quantity {
        Quantity::Length => (
            about(bone.length, by_sex(7.3, 8.2)),
            "Bernat et al. 2014: 7.3 mm in men, 8.2 in women",
            &["length_mm"][..],
        ),
        Quantity::MedialCurveDepth => (
            about(bone.medial_curve_depth, by_sex(2.8, 2.3)),
            "Bernat et al. 2014: 2.8 mm in men, 2.3 in women",
            &["medial_curve_depth_mm"][..],
        ),
        Quantity::LateralCurveDepth => (
            about(bone.lateral_curve_depth, by_sex(3.3, 2.5)),
            "Bernat et al. 2014: 3.3 mm in men, 2.5 in women",
            &["lateral_curve_depth_mm"][..],
        ),
        Quantity::SuperiorBow => (
            about(bone.superior_bow, 5.9),
            "Huang et al. 2007: 5.9 mm",
            &["superior_bow_mm"][..],
        ),
        Quantity::OuterScale => (
            about(bone.outer_scale, 0.07 * bone.outer_scale),
            "Yang et al. 2017: 14 ± 1 mm, middle third, men",
            &["outer_scale", "station"][..],
        ),
        Quantity::WallScale => (
            about(bone.wall_scale, 0.14 * bone.wall_scale),
            "Andermahr et al. 2007: 2.05 ± 0.29 mm in the middle",
            &["wall_scale", "station"][..],
        ),
        // Where walls are set by the canal, it was measured.
        Quantity::CanalMinDiameter => (
            Distribution::Fixed(bone.canal_min_diameter.unwrap_or_default()),
            "measured",
            &["canal_min_diameter_mm"][..],
        ),
        Quantity::YoungsModulus => (
            normal(modulus, 0.27 * modulus, [0.55 * modulus, 1.5 * modulus]),
            "Kemper et al. 2006: 20.8 ± 5.7 GPa, ten clavicles; cut off at 0.55 and 1.5 of the \
             middle (assumption)",
            &["youngs_modulus_gpa"][..],
        ),
        Quantity::LoadFactor => (
            lognormal(0.2),
            "assumption: an arm is 0.049 (de Leva 1996) or 0.058 (Plagenhoef et al. 1983) of the \
             body mass, and no two people raise it alike",
            &[][..],
        ),
        Quantity::CallusModulusFactor => (
            lognormal(0.36),
            "assumption: twice or half as stiff in one patient in twenty, as sets of tissue moduli \
             differ",
            &[][..],
        ),
        Quantity::HealingTimeFactor => (
            lognormal(0.23),
            "Fu et al. 2016: union after 11.6 ± 2.7 weeks, elastic nails",
            &[][..],
        ),
        Quantity::CyclesFactor => (
            lognormal(0.85),
            "Langohr et al. 2018: 52 ± 44 elevations above 80° an hour",
            &[][..],
        ),
        Quantity::NotchFactor => (
            lognormal(0.1),
            "Heywood, after Shigley: coefficient of variation 0.10 at holes",
            &[][..],
        ),
        Quantity::ThreadKf => (
            Distribution::Uniform([1.0, 3.0]),
            "assumption: from none to that of a thread in its nut, an upper bound for one bent in \
             bone",
            &[][..],
        ),
        Quantity::FatigueStrengthFactor => (
            lognormal(0.08),
            "Shigley, Mechanical Engineering Design: standard deviation 8 %",
            &[][..],
        ),
        Quantity::ProofStressFactor => (
            Distribution::Fixed(1.0),
            "the least that the standard of the metal admits",
            &[][..],
        ),
    };
    let given = |key: &&str| inputs.check.is_given(&format!("bone.{key}"));
    let measured = measured_by.iter().any(given);
    match measured {
        true => (
            Distribution::Fixed(distribution.median()),
            "measured: as the file gives it".to_owned(),
        ),
        false => (distribution, source.to_owned()),
    }
}

/// Rank correlation of length and outer size.
///
/// Source: Bachoura et al. 2013, length explains R² = 0.355 of the diameter; Spearman's for the
/// normal, `6/π asin(r/2)`.
const LENGTH_AND_OUTER: f64 = 0.58;

/// Rank correlation of length and medial depth.
///
/// Source: Bachoura et al. 2013, length explains R² = 0.184 of the medial radius, here
/// `R = l²/(π² h)`: with depths independent of length their correlation would be 0.33 instead of
/// 0.43.
const LENGTH_AND_MEDIAL: f64 = -0.11;

fn correlated(
    inputs: &mut Inputs,
    table: &ScatterTable,
    scattered: &[ScatterInput],
) -> Option<(Correlation, Vec<String>)> {
    let names: Vec<&str> = scattered.iter().map(|each| each.quantity.key()).collect();
    let told = |[a, b]: [&str; 2], rank: f64, source: &str| {
        format!("{a} and {b}: rank correlation {rank} ({source})")
    };
    if let Some(tables) = &table.correlation {
        let path = "scatter.correlation";
        let found = correlation(tables, path, &names, &mut inputs.check)?;
        let words = tables.iter().map(|each| {
            let pair = [each.between[0].as_str(), each.between[1].as_str()];
            told(pair, each.rank, "as given")
        });
        return Some((found, words.collect()));
    }
    let usual = [
        (["length_mm", "outer_scale"], LENGTH_AND_OUTER),
        (["length_mm", "medial_curve_depth_mm"], LENGTH_AND_MEDIAL),
    ];
    let place = |name: &str| names.iter().position(|known| *known == name);
    let pairs = usual
        .iter()
        .filter_map(|([a, b], rank)| Some((place(a)?, place(b)?, *rank)));
    let pairs: Vec<(usize, usize, f64)> = pairs.collect();
    let found = Correlation::new(names.len(), &pairs).ok()?;
    let words = usual.map(|(pair, rank)| told(pair, rank, "Bachoura et al. 2013"));
    Some((found, words.to_vec()))
}

impl Default for Scatter {
    /// Nothing scatters.
    fn default() -> Self {
        let as_it_is = |quantity| ScatterInput {
            quantity,
            distribution: Distribution::Fixed(1.0),
            source: "nothing scatters".to_owned(),
        };
        Scatter {
            inputs: Vec::new(),
            correlation: Correlation::default(),
            correlated: Vec::new(),
            fatigue_strength: as_it_is(Quantity::FatigueStrengthFactor),
            proof_stress: as_it_is(Quantity::ProofStressFactor),
            hand_mass: defaults::LIMIT_MASS_KG.value,
        }
    }
}

impl Scatter {
    /// The value of an input in a patient, by the values of all.
    ///
    /// # Panics
    /// When the input does not scatter from patient to patient.
    pub fn value(&self, quantity: Quantity, values: &[f64]) -> f64 {
        let place = self
            .inputs
            .iter()
            .position(|input| input.quantity == quantity);
        values[place.expect("an input that differs from patient to patient")]
    }
}

impl Case {
    /// The case of a patient: with the bone and the pace of healing that the values say.
    ///
    /// * `values`: one for each of the inputs of the case's scatter
    ///
    /// # Errors
    /// When no bone can be built from them.
    pub fn of_patient(&self, values: &[f64]) -> Result<Case, BoneError> {
        let mut case = self.clone();
        let mut bone = self.clavicle.made_of().clone();
        for (input, &value) in self.scatter.inputs.iter().zip(values) {
            match input.quantity {
                Quantity::Length => bone.length = value,
                Quantity::MedialCurveDepth => bone.medial_curve_depth = value,
                Quantity::LateralCurveDepth => bone.lateral_curve_depth = value,
                Quantity::SuperiorBow => bone.superior_bow = value,
                Quantity::OuterScale => bone.outer_scale = value,
                Quantity::WallScale => bone.wall_scale = value,
                Quantity::CanalMinDiameter => bone.canal_min_diameter = Some(value),
                Quantity::YoungsModulus => {
                    let factor = 1000.0 * value / bone.cortex.youngs_modulus;
                    bone.cortex = bone.cortex.clone().softened(factor);
                }
                Quantity::HealingTimeFactor => case.aftercare.healing.time_factor *= value,
                Quantity::LoadFactor
                | Quantity::CallusModulusFactor
                | Quantity::CyclesFactor
                | Quantity::NotchFactor
                | Quantity::ThreadKf
                | Quantity::FatigueStrengthFactor
                | Quantity::ProofStressFactor => {}
            }
        }
        case.clavicle = Clavicle::new(&bone)?;
        Ok(case)
    }
}
