//! The material catalogue against standards and published tests.

use approx::assert_relative_eq;
use clavibeam::material::{BoneAge, Material, NAMES, Strength};

fn strength(name: &str) -> Strength {
    let material = Material::named(name).unwrap_or_else(|| panic!("{name} is missing"));
    material.strength.expect("the catalogue gives limits")
}

/// Source: ranges of Young's modulus and Poisson's ratio usually quoted (from memory), which
/// are the tolerance; `G = E / (2 (1 + ν))` for an isotropic metal.
#[test]
fn metals_have_moduli_in_the_quoted_ranges() {
    let ranges = [
        ("ti-6al-7nb", 105e3..=105e3, 0.34..=0.36),
        ("ti-6al-4v-eli", 110e3..=114e3, 0.34..=0.34),
        ("cp-ti-grade-2", 103e3..=105e3, 0.34..=0.37),
        ("cp-ti-grade-4", 103e3..=105e3, 0.34..=0.37),
        ("cp-ti-grade-4-cold-worked", 103e3..=105e3, 0.34..=0.37),
        ("steel-316l-annealed", 186e3..=200e3, 0.29..=0.30),
        ("steel-316l-cold-worked", 186e3..=200e3, 0.29..=0.30),
        ("cocrmo-annealed", 230e3..=241e3, 0.30..=0.30),
        ("cocrmo-hot-worked", 230e3..=241e3, 0.30..=0.30),
        ("cocrmo-warm-worked", 230e3..=241e3, 0.30..=0.30),
    ];
    assert_eq!(ranges.len(), NAMES.len());
    for (name, modulus, poisson) in ranges {
        let metal = Material::named(name).expect("a known name");
        assert!(modulus.contains(&metal.youngs_modulus), "{name}");
        assert!(poisson.contains(&metal.poisson_ratio), "{name}");
        let shear = metal.youngs_modulus / 2.0 / (1.0 + metal.poisson_ratio);
        assert_relative_eq!(metal.shear_modulus, shear, max_relative = 1e-14);
    }
}

/// Source: Ratner et al., *Biomaterials Science* (from memory): fully reversed amplitudes at
/// 10⁷ cycles in air, lower ends 220 and 310 MPa for 316L annealed and cold-worked, 250 for
/// cold-worked grade 4; 500 for the titanium alloys; −10 % for steel in saline (Cahoon & Holte
/// 1981). Products of the quoted digits, hence the rounding tolerance.
#[test]
fn fatigue_amplitudes_are_the_lower_ends_less_the_loss_in_saline() {
    let quoted = [
        ("ti-6al-7nb", 500.0),
        ("ti-6al-4v-eli", 500.0),
        ("cp-ti-grade-4-cold-worked", 250.0),
        ("steel-316l-annealed", 220.0 * 0.9),
        ("steel-316l-cold-worked", 310.0 * 0.9),
        ("cocrmo-hot-worked", 600.0 * 0.9),
    ];
    for (name, amplitude) in quoted {
        assert_relative_eq!(
            strength(name).fatigue_amplitude_1e7,
            amplitude,
            max_relative = 1e-12
        );
    }
    for name in NAMES {
        let strength = strength(name);
        let ratio = strength.fatigue_amplitude_1e7 / strength.ultimate_tension;
        // Smooth wrought metals endure 0.3 to 0.6 of the ultimate (rule of thumb, from memory).
        assert!((0.3..=0.6).contains(&ratio), "{name}: {ratio}");
    }
}

#[test]
fn unknown_names_are_refused() {
    assert_eq!(Material::named("unobtainium"), None);
}

/// Source: Kemper et al., *Biomed. Sci. Instrum.* 42 (2006) 231: clavicle 20.8 ± 5.7 GPa
/// (adult); Berteau et al. 2012: fibulas of 4 to 16 years 9.1 ± 3.5 GPa bent, 15.5 ± 3.4 GPa by
/// ultrasound. Within one spread of the adult tests, between the two child means.
#[test]
fn bone_moduli_lie_within_published_tests() {
    let adult = Material::cortical_bone(BoneAge::Adult);
    assert!((20.8e3 - 5.7e3..=20.8e3 + 5.7e3).contains(&adult.youngs_modulus));
    let child = Material::cortical_bone(BoneAge::Child);
    assert!((9.1e3..=15.5e3).contains(&child.youngs_modulus));
    assert_relative_eq!(
        child.shear_modulus / child.youngs_modulus,
        adult.shear_modulus / adult.youngs_modulus,
        max_relative = 1e-14
    );
    let strength = child.strength.expect("bone has limits");
    assert!(strength.proof_tension < strength.ultimate_tension);
    assert!(strength.proof_compression < strength.ultimate_compression);
}
