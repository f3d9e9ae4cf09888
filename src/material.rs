//! Materials: stiffness, limits, fatigue data, each with its source.

/// A linear elastic material with the limits used in assessment. Stresses in MPa.
#[derive(Debug, Clone, PartialEq)]
pub struct Material {
    /// The name used in case and frame files.
    pub name: String,
    /// Young's modulus, MPa.
    pub youngs_modulus: f64,
    /// Shear modulus, MPa (not tied to Young's modulus: cortical bone is not isotropic).
    pub shear_modulus: f64,
    /// Poisson's ratio, used for shear coefficients only.
    pub poisson_ratio: f64,
    /// What it can bear; absent for frame files that only ask for stiffness.
    pub strength: Option<Strength>,
}

/// What a material is made of, where a formula depends on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// Stainless steel.
    Steel,
    /// Titanium and its alloys.
    Titanium,
    /// Cobalt-chromium alloys.
    CobaltChromium,
    /// Cortical bone.
    Bone,
}

/// Static limits and a fatigue point. Stresses in MPa, all positive.
#[derive(Debug, Clone, PartialEq)]
pub struct Strength {
    /// What it is made of.
    pub family: Family,
    /// 0.2 % proof stress of a metal, yield stress of bone, in tension.
    pub proof_tension: f64,
    /// The same in compression.
    pub proof_compression: f64,
    /// Ultimate stress in tension.
    pub ultimate_tension: f64,
    /// Ultimate stress in compression.
    pub ultimate_compression: f64,
    /// Fully reversed smooth-specimen fatigue amplitude at 10⁷ cycles, environment included.
    pub fatigue_amplitude_1e7: f64,
    /// Where the numbers come from.
    pub source: &'static str,
}

/// Whose cortical bone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BoneAge {
    /// Grown up.
    Adult,
    /// About twelve years old.
    Child,
}

/// An implant metal of the catalogue: minimum values its standard asks of it. Stresses in MPa.
///
/// Finished implants may differ from the bar they were made of.
struct Metal {
    name: &'static str,
    family: Family,
    youngs_modulus: f64,
    poisson_ratio: f64,
    proof: f64,
    ultimate: f64,
    /// Smooth specimen in air, fully reversed, 10⁷ cycles.
    fatigue_amplitude_air: f64,
    /// What body fluid leaves of it.
    environment: f64,
    source: &'static str,
}

/// Body fluid takes about a tenth off the fatigue strength of surgical steel.
///
/// Source: Cahoon & Holte, *J. Biomed. Mater. Res.* (1981), authors from memory; about −10 %
/// against air at a given life.
const STEEL_IN_SALINE: f64 = 0.9;
/// Titanium is passive: little or no loss in saline unless it frets (from memory).
const TITANIUM_IN_SALINE: f64 = 1.0;
/// Assumption: no number was found for cobalt-chromium, so it is taken to lose as much as steel.
const COBALT_CHROMIUM_IN_SALINE: f64 = STEEL_IN_SALINE;

/// The implant metals. Each `source` speaks for the numbers above it.
///
/// Where a range is quoted, moduli are its middle and fatigue amplitudes its lower end.
static METALS: [Metal; 10] = [
    Metal {
        name: "ti-6al-7nb",
        family: Family::Titanium,
        youngs_modulus: 105_000.0,
        poisson_ratio: 0.35,
        proof: 800.0,
        ultimate: 900.0,
        fatigue_amplitude_air: 500.0,
        environment: TITANIUM_IN_SALINE,
        source: "E 105 GPa, Poisson 0.34-0.36, proof 800, ultimate 900 MPa: \
                 ASTM F1295 / ISO 5832-11 (from memory); fatigue 500 MPa: lower end of 500-600 \
                 in rotating bending, air, across papers (from memory); no loss in saline",
    },
    Metal {
        name: "ti-6al-4v-eli",
        family: Family::Titanium,
        youngs_modulus: 112_000.0,
        poisson_ratio: 0.34,
        proof: 795.0,
        ultimate: 860.0,
        fatigue_amplitude_air: 500.0,
        environment: TITANIUM_IN_SALINE,
        source: "E 110-114 GPa, Poisson 0.34, proof 795, ultimate 860 MPa: \
                 ASTM F136 (from memory); fatigue 500 MPa: lower end of 500-600 in rotating \
                 bending, air, across papers (from memory); no loss in saline",
    },
    Metal {
        name: "cp-ti-grade-2",
        family: Family::Titanium,
        youngs_modulus: 104_000.0,
        poisson_ratio: 0.36,
        proof: 275.0,
        ultimate: 345.0,
        fatigue_amplitude_air: 125.0,
        environment: TITANIUM_IN_SALINE,
        source: "E 103-105 GPa, Poisson 0.34-0.37: from memory; proof 275, ultimate 345 MPa: \
                 ASTM F67; fatigue 125 MPa: assumption, cold-worked grade 4 (250 MPa) scaled by \
                 the ultimate strength, rounded down; no loss in saline",
    },
    Metal {
        name: "cp-ti-grade-4",
        family: Family::Titanium,
        youngs_modulus: 104_000.0,
        poisson_ratio: 0.36,
        proof: 483.0,
        ultimate: 550.0,
        fatigue_amplitude_air: 200.0,
        environment: TITANIUM_IN_SALINE,
        source: "E 103-105 GPa, Poisson 0.34-0.37: from memory; proof 483, ultimate 550 MPa: \
                 ASTM F67, annealed; fatigue 200 MPa: assumption, cold-worked grade 4 (250 MPa) \
                 scaled by the ultimate strength, rounded down; no loss in saline",
    },
    Metal {
        name: "cp-ti-grade-4-cold-worked",
        family: Family::Titanium,
        youngs_modulus: 105_000.0,
        poisson_ratio: 0.36,
        proof: 520.0,
        ultimate: 680.0,
        fatigue_amplitude_air: 250.0,
        environment: TITANIUM_IN_SALINE,
        source: "E 105 GPa, Poisson 0.34-0.37, proof 520, ultimate 680 MPa: \
                 ISO 5832-2 grade 4B (from memory); fatigue 250 MPa: lower end of 250-300, after \
                 about 300 in Ratner et al., Biomaterials Science (from memory); no loss in saline",
    },
    Metal {
        name: "steel-316l-annealed",
        family: Family::Steel,
        youngs_modulus: 193_000.0,
        poisson_ratio: 0.3,
        proof: 190.0,
        ultimate: 490.0,
        fatigue_amplitude_air: 220.0,
        environment: STEEL_IN_SALINE,
        source: "E 193 GPa, Poisson 0.30, proof 190, ultimate 490 MPa: ASTM F138 / ISO 5832-1 \
                 (from memory); fatigue 220 MPa in air: lower end of 221-280, Ratner et al., \
                 Biomaterials Science (from memory); times 0.9 in saline, Cahoon & Holte 1981",
    },
    Metal {
        name: "steel-316l-cold-worked",
        family: Family::Steel,
        youngs_modulus: 193_000.0,
        poisson_ratio: 0.3,
        proof: 690.0,
        ultimate: 860.0,
        fatigue_amplitude_air: 310.0,
        environment: STEEL_IN_SALINE,
        source: "E 193 GPa, Poisson 0.30: from memory; proof 690, ultimate 860 MPa: ASTM F139; \
                 fatigue 310 MPa in air: lower end of 310-448 after 30 % cold work, Ratner et al., \
                 Biomaterials Science (from memory); times 0.9 in saline, Cahoon & Holte 1981",
    },
    Metal {
        name: "cocrmo-annealed",
        family: Family::CobaltChromium,
        youngs_modulus: 235_000.0,
        poisson_ratio: 0.3,
        proof: 517.0,
        ultimate: 897.0,
        fatigue_amplitude_air: 440.0,
        environment: COBALT_CHROMIUM_IN_SALINE,
        source: "E 230-241 GPa, Poisson 0.30, proof 517, ultimate 897 MPa: ASTM F1537 (from \
                 memory); fatigue 440 MPa in air: assumption, hot-forged (600 MPa) scaled by the \
                 proof stress, rounded down; times 0.9 in saline: assumption, as steel",
    },
    Metal {
        name: "cocrmo-hot-worked",
        family: Family::CobaltChromium,
        youngs_modulus: 235_000.0,
        poisson_ratio: 0.3,
        proof: 700.0,
        ultimate: 1000.0,
        fatigue_amplitude_air: 600.0,
        environment: COBALT_CHROMIUM_IN_SALINE,
        source: "E 230-241 GPa, Poisson 0.30, proof 700, ultimate 1000 MPa: ASTM F1537 (from \
                 memory); fatigue 600 MPa in air: lower end of 600-896 hot-forged, Ratner et al., \
                 Biomaterials Science (from memory); times 0.9 in saline: assumption, as steel",
    },
    Metal {
        name: "cocrmo-warm-worked",
        family: Family::CobaltChromium,
        youngs_modulus: 235_000.0,
        poisson_ratio: 0.3,
        proof: 827.0,
        ultimate: 1192.0,
        fatigue_amplitude_air: 600.0,
        environment: COBALT_CHROMIUM_IN_SALINE,
        source: "E 230-241 GPa, Poisson 0.30, proof 827, ultimate 1192 MPa: ASTM F1537 (from \
                 memory); fatigue 600 MPa in air: assumption, no better than hot-worked; times \
                 0.9 in saline: assumption, as steel",
    },
];

/// The names [`Material::named`] knows.
pub static NAMES: [&str; METALS.len()] = {
    let mut names = [""; METALS.len()];
    let mut i = 0;
    while i < names.len() {
        names[i] = METALS[i].name;
        i += 1;
    }
    names
};

impl Material {
    /// An isotropic material without limits: `G = E / (2 (1 + ν))`.
    pub fn isotropic(name: &str, youngs_modulus: f64, poisson_ratio: f64) -> Self {
        Material {
            name: name.to_owned(),
            youngs_modulus,
            shear_modulus: youngs_modulus / (2.0 * (1.0 + poisson_ratio)),
            poisson_ratio,
            strength: None,
        }
    }

    /// An implant metal of the catalogue, by one of [`NAMES`].
    ///
    /// Metals are taken to yield and break alike in tension and compression.
    ///
    /// ```
    /// use clavibeam::material::Material;
    /// let titanium = Material::named("ti-6al-7nb").expect("in the catalogue");
    /// assert_eq!(titanium.youngs_modulus, 105_000.0);
    /// ```
    pub fn named(name: &str) -> Option<Self> {
        let metal = METALS.iter().find(|metal| metal.name == name)?;
        Some(Material {
            strength: Some(Strength {
                family: metal.family,
                proof_tension: metal.proof,
                proof_compression: metal.proof,
                ultimate_tension: metal.ultimate,
                ultimate_compression: metal.ultimate,
                fatigue_amplitude_1e7: metal.fatigue_amplitude_air * metal.environment,
                source: metal.source,
            }),
            ..Material::isotropic(metal.name, metal.youngs_modulus, metal.poisson_ratio)
        })
    }

    /// Cortical bone along the axis of a long bone.
    ///
    /// Not isotropic: the shear modulus is about half of `E / (2 (1 + ν))`. Mostly femoral
    /// data, since no tests of clavicle coupons were found. Living bone repairs fatigue
    /// damage, which no bench number shows.
    ///
    /// Source: each number's stands beside it.
    pub fn cortical_bone(age: BoneAge) -> Self {
        let adult = Material {
            name: "cortical-bone-adult".to_owned(),
            // Assumption: between 17.0 GPa, Reilly & Burstein, J. Biomech. 8 (1975) 393 (femur,
            // from memory), and 20.8 ± 5.7 GPa, Kemper et al., Biomed. Sci. Instrum. 42 (2006)
            // 231 (clavicle, dynamic).
            youngs_modulus: 17_500.0,
            // Reilly & Burstein 1975 (femur, from memory).
            shear_modulus: 3_300.0,
            // Common practice, no source.
            poisson_ratio: 0.3,
            strength: Some(Strength {
                family: Family::Bone,
                // Several sources, from memory.
                proof_tension: 115.0,
                proof_compression: 180.0,
                // Reilly & Burstein 1975 (femur, from memory).
                ultimate_tension: 133.0,
                ultimate_compression: 193.0,
                fatigue_amplitude_1e7: bone_fatigue_amplitude(1e7),
                source: "yield 115 / 180 MPa: several sources (from memory); ultimate 133 / 193 \
                         MPa: Reilly & Burstein 1975, femur (from memory); fatigue: fit through \
                         two points of Swanson, Freeman & Day 1971, femur",
            }),
        };
        match age {
            BoneAge::Adult => adult,
            BoneAge::Child => child_from(&adult),
        }
    }

    /// The same material with every elastic modulus multiplied by `factor`; limits stay.
    pub fn softened(self, factor: f64) -> Self {
        Material {
            youngs_modulus: self.youngs_modulus * factor,
            shear_modulus: self.shear_modulus * factor,
            ..self
        }
    }
}

/// Cortical bone of a child of about twelve.
///
/// Assumption: what has no number of its own keeps the adult's ratio to what has, that is
/// `G` to `E`, and yield and fatigue to the ultimate stress of the same sign.
fn child_from(adult: &Material) -> Material {
    // Assumption: between 9.1 ± 3.5 GPa (bending) and 15.5 ± 3.4 GPa (ultrasound), fibulas of
    // 4 to 16 years, Berteau et al. 2012.
    let youngs_modulus = 12_000.0;
    // Assumption: weaker than adult bone, after Currey & Butler, J. Bone Joint Surg. Am. (1975)
    // (trend, from memory).
    let (ultimate_tension, ultimate_compression) = (110.0, 155.0);
    let strength = adult.strength.as_ref().map(|grown| {
        let tension = ultimate_tension / grown.ultimate_tension;
        let compression = ultimate_compression / grown.ultimate_compression;
        Strength {
            family: Family::Bone,
            proof_tension: grown.proof_tension * tension,
            proof_compression: grown.proof_compression * compression,
            ultimate_tension,
            ultimate_compression,
            fatigue_amplitude_1e7: grown.fatigue_amplitude_1e7 * tension,
            source: "ultimate 110 / 155 MPa: assumption, weaker than adult bone after Currey & \
                     Butler 1975 (trend, from memory); yield and fatigue: assumption, adult \
                     values scaled with the ultimate",
        }
    });
    Material {
        name: "cortical-bone-child".to_owned(),
        strength,
        ..adult
            .clone()
            .softened(youngs_modulus / adult.youngs_modulus)
    }
}

/// Fully reversed stress amplitude that human femoral bone survives for `cycles`, MPa.
///
/// Power law through the two published median lives; indicative only.
///
/// ```text
/// N = N₁ (σ₁ / σ)^m,   m = ln(N₂ / N₁) / ln(σ₁ / σ₂) = 9.94
/// ```
///
/// Source: Swanson, Freeman & Day, *Med. Biol. Eng.* (1971, authors from memory): rotating
/// cantilever, 1.3×10⁴ cycles at 84.1 MPa and 4.6×10⁶ cycles at 46.6 MPa.
pub fn bone_fatigue_amplitude(cycles: f64) -> f64 {
    let (short_life, high) = (1.3e4_f64, 84.1_f64);
    let (long_life, low) = (4.6e6_f64, 46.6_f64);
    let exponent = (long_life / short_life).ln() / (high / low).ln();
    high * (short_life / cycles).powf(1.0 / exponent)
}
