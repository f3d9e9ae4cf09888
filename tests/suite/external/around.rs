//! What surrounds a construct, against published tests and what the trade knows: strength of
//! bone and constructs, skin under a strap, vessels and nerves, the bone after removal.

use approx::assert_relative_eq;
use clavibeam::anatomy::{Clavicle, Patient, Preset, Side};
use clavibeam::assess::{Assessment, ConstructAssessment, Part, assess, tube_hole_kt};
use clavibeam::case::{Aftercare, Case, Scatter};
use clavibeam::construct::{Fracture, Mechanics, Pattern};
use clavibeam::device::{Contour, Device, NailShape, Pin, Plate, Screw, Surface};
use clavibeam::load::{Activity, Bench, Loading, Strap};
use clavibeam::material::Material;

use crate::common::elastic_nail;

fn preset(name: &str) -> (Patient, Clavicle) {
    let preset = Preset::named(name).expect("a known preset");
    let clavicle = Clavicle::new(&preset.bone).expect("presets have a canal");
    (preset.patient(Side::Right), clavicle)
}

fn material(name: &str) -> Material {
    Material::named(name).expect("in the catalogue")
}

fn nail(diameter: f64) -> Device {
    elastic_nail(diameter, NailShape::Prebent)
}

fn pin(outer_diameter: f64) -> Device {
    Device::Pin(Pin {
        outer_diameter,
        core_diameter: 0.8 * outer_diameter,
        shank_diameter: 0.8 * outer_diameter,
        pitch: 1.5,
        prominence: 10.0,
        nut_turns: 0.0,
        medial_tip: 0.20,
        thread_end: 0.46,
        nut: 0.88,
        material: material("steel-316l-cold-worked"),
    })
}

/// An eight-hole 3.5 mm reconstruction plate with locking screws in all holes.
fn plate(surface: Surface, screw_diameter: f64) -> Device {
    let screw = |hole| Screw {
        hole,
        outer_diameter: screw_diameter,
        core_diameter: 0.7 * screw_diameter,
        pitch: 1.25,
        bicortical: true,
        locking: true,
    };
    Device::Plate(Plate {
        surface,
        width: 10.0,
        notch_width: None,
        contour: Contour::Contoured,
        absent_holes: Vec::new(),
        thickness: 2.8,
        hole_count: 8,
        hole_spacing: 12.0,
        hole_diameter: 5.0,
        standoff: 0.0,
        centre: 0.5,
        material: material("steel-316l-cold-worked"),
        screw_preload: 500.0,
        compression: 0.0,
        screws: (1..=8).map(screw).collect(),
    })
}

fn bench(name: &str, bench: Bench) -> Activity {
    Activity {
        name: name.into(),
        loading: Loading::Bench(bench),
        phases: Vec::new(),
    }
}

/// A clean, reduced break in the middle.
fn case_of(name: &str, devices: Vec<Device>, activities: Vec<Activity>) -> Case {
    let (patient, clavicle) = preset(name);
    Case {
        title: "check".into(),
        patient,
        clavicle,
        fracture: Fracture {
            position: 0.5,
            pattern: Pattern::Transverse,
            gap: 0.5,
            face_friction: 0.4,
            interlock_shear: 0.0,
            callus: None,
        },
        push: 97.0,
        constructs: devices
            .into_iter()
            .enumerate()
            .map(|(i, device)| (format!("construct {i}"), device))
            .collect(),
        sizes: Vec::new(),
        activities,
        aftercare: Aftercare::default(),
        scatter: Scatter::default(),
        defaults_used: Vec::new(),
    }
}

/// Moment that a hollow ellipse bears when all of it has yielded, N·mm, bent about its
/// antero-posterior axis: `∫ σ z dA` with the neutral axis where `∫ σ dA = 0`.
fn limit_moment([ap, si]: [f64; 2], [canal_ap, canal_si]: [f64; 2], yields: [f64; 2]) -> f64 {
    const STRIPS: usize = 4000;
    let chord =
        |width: f64, depth: f64, z: f64| width * (1.0 - (2.0 * z / depth).powi(2)).max(0.0).sqrt();
    let height = si / STRIPS as f64;
    let strips: Vec<(f64, f64)> = (0..STRIPS)
        .map(|i| -si / 2.0 + (i as f64 + 0.5) * height)
        .map(|z| {
            (
                z,
                height * (chord(ap, si, z) - chord(canal_ap, canal_si, z)),
            )
        })
        .collect();
    let [tension, compression] = yields;
    let stress = |z: f64, axis: f64| if z > axis { tension } else { -compression };
    let force = |axis: f64| -> f64 { strips.iter().map(|&(z, a)| stress(z, axis) * a).sum() };
    let (mut low, mut high) = (-si / 2.0, si / 2.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if force(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    strips.iter().map(|&(z, a)| stress(z, low) * a * z).sum()
}

/// The average man's bone in three-point bending breaks at a moment and load inside the spread of
/// the experiment, 28.3 ± 7.8 N·m and 732 ± 175 N, if it breaks when all of its section has yielded:
/// about 27 N·m. Its first yield, to which the static margin of bone counts, is half of that: a known
/// miss among the checks.
///
/// Source: Kemper et al., *Biomed. Sci. Instrum.* 42 (2006) 231–236, ten cadaver clavicles,
/// dynamic: mean ± standard deviation. They broke at a strain of 19 738 µε, three times that at
/// first yield here, so that the whole section had yielded. The span is what the means imply.
#[test]
fn kemper_2006_intact_bone_in_three_point_bending() {
    let span = 155.0;
    let (_, clavicle) = preset("adult-male-average");
    let cortex = clavicle.cortex().strength.clone().expect("cortical bone");
    let (outer, canal) = (clavicle.outer(0.5), clavicle.canal(0.5));
    let yields = [cortex.proof_tension, cortex.proof_compression];
    let limit = limit_moment(outer, canal, yields) / 1000.0;
    let load = 4000.0 * limit / span;
    assert!((28.3 - 7.8..28.3 + 7.8).contains(&limit), "{limit}");
    assert!((732.0 - 175.0..732.0 + 175.0).contains(&load), "{load}");
}

fn cantilevers() -> Assessment {
    let case = case_of(
        "adult-male-average",
        vec![plate(Surface::Superior, 3.5), pin(4.5), nail(3.5)],
        vec![bench("cantilever", Bench::Cantilever { force: 100.0 })],
    );
    assess(&case, Mechanics::Contact).expect("all of them hold")
}

/// Margin of the device itself in the only activity.
fn device_margin(construct: &ConstructAssessment) -> f64 {
    let sections = construct.critical_sections.iter();
    sections
        .filter(|section| section.part == Part::Device)
        .filter_map(|section| section.activities[0].static_margin)
        .fold(f64::INFINITY, f64::min)
}

/// Yield over stress at each screw hole with the plate in place: on its rim, and if the hole only
/// took bone away.
fn hole_margins(construct: &ConstructAssessment) -> Vec<[f64; 2]> {
    const BESIDE: f64 = 0.015;
    const YIELD: f64 = 115.0;
    let holes = construct.removal.holes.iter();
    holes
        .map(|hole| {
            let stress = construct.courses[0]
                .samples
                .iter()
                .filter(|sample| (sample.position - hole.position).abs() < BESIDE)
                .filter_map(|sample| sample.bone_stress_mpa)
                .fold(0.0, f64::max);
            [
                YIELD / (hole.bending_kt * stress),
                YIELD * hole.net_section_percent / 100.0 / stress,
            ]
        })
        .collect()
}

/// Bent at its lateral end, a plated bone cracks on the rim of its most medial screw hole before
/// anything of steel yields: the place and the manner in which plates failed. The two bounds that we
/// have, a first crack on the rim (a known miss among the checks) and bone missing without raising
/// any stress, hold the measured range of 0.50 ± 0.11 of the intact bone's strength between them.
///
/// Source: Smith et al., *Knee Surg. Sports Traumatol. Arthrosc.* (2013), doi
/// 10.1007/s00167-013-2411-5, synthetic bones, six a group; Renfree et al., *J. Hand Surg. Am.* 35
/// (2010) 639–644 for the place. Contact, since broken ends press on each other.
#[test]
fn smith_2013_plated_bone_fails_at_its_most_medial_hole() {
    let assessed = cantilevers();
    let plate = &assessed.constructs[0];
    let intact = assessed.constructs[2].removal.bone_margins[0].expect("it is loaded");
    let holes = hole_margins(plate);
    let weakest = holes.iter().min_by(|a, b| a[0].total_cmp(&b[0]));
    assert_eq!(weakest, holes.first());
    let [rim, net] = holes[0];
    assert!(rim < device_margin(plate));
    let [mean, spread] = [0.50, 0.11];
    assert!(rim / intact < mean - spread, "{}", rim / intact);
    assert!(mean + spread < net / intact, "{}", net / intact);
}

/// A hole across a tube: limits of a small hole, 3 in bending and 4 in torsion, and the fitted
/// formulas at three places.
///
/// Source: Kirsch's solution for the limits; Young & Budynas, *Roark's Formulas for Stress and
/// Strain*, table 17.1 (torsion as transcribed, bending from memory), evaluated apart from this
/// program to the digits shown.
#[test]
fn roark_17_1_hole_across_a_tube() {
    for bore in [0.0, 0.5, 0.9] {
        assert_eq!(tube_hole_kt(0.0, bore), [3.0, 4.0]);
    }
    for (hole, bore, bending, torsion) in [
        (0.1, 0.0, 2.7251, 3.6599),
        (0.2, 0.6, 3.1200, 4.0000),
        (0.28, 0.6, 3.5802, 4.5146),
    ] {
        let [kb, kt] = tube_hole_kt(hole, bore);
        assert_relative_eq!(kb, bending, max_relative = 1e-4);
        assert_relative_eq!(kt, torsion, max_relative = 1e-4);
    }
}

/// Thinner screws leave a stronger bone, and a hole in a thick part of the bone less harm than
/// the same hole in a thin one.
///
/// Common practice, no source.
#[test]
fn trade_small_holes_in_thick_bone_harm_least() {
    let load = || vec![bench("torsion", Bench::Torsion { torque: 1000.0 })];
    let devices = vec![
        plate(Surface::Superior, 2.7),
        plate(Surface::Superior, 3.5),
        nail(2.5),
    ];
    let case = case_of("adult-female", devices, load());
    let assessed = assess(&case, Mechanics::Linear).expect("all of them hold");
    let [small, large, nail] = [0, 1, 2].map(|i: usize| &assessed.constructs[i].removal);
    assert!(small.bending_percent_of_intact > large.bending_percent_of_intact);
    assert!(small.torsion_percent_of_intact > large.torsion_percent_of_intact);
    assert!(nail.bending_percent_of_intact > 99.0);
    let thick = &large.holes[0];
    let thin = &large.holes[5];
    assert!(thick.diameter_ratio < thin.diameter_ratio);
    assert!(thick.bending_percent_of_intact > thin.bending_percent_of_intact);
    for removal in [small, large] {
        assert!(removal.bending_net_section_percent > removal.bending_percent_of_intact);
    }
}

fn strapped(position: f64) -> Activity {
    Activity {
        name: "pack".into(),
        loading: Loading::strap(Strap {
            force: 45.0,
            position,
            width: 60.0,
        }),
        phases: Vec::new(),
    }
}

/// Under a strap an intramedullary device presses least on the skin, an anterior plate more, a
/// superior plate most; where the strap reaches the nuts of a pin, they press more than bone.
///
/// A strap from above meets an anterior plate only with its upper edge, and not at all where a
/// narrow plate lies low on a high bone: nothing then tells it from a nail (adults: the 11 mm
/// plate is met, the 10 mm plate not on the large bone).
///
/// Common practice, no source.
#[test]
fn trade_strap_bears_least_on_a_nail_and_most_on_a_superior_plate() {
    let broad = |surface| match plate(surface, 2.7) {
        Device::Plate(narrow) => Device::Plate(Plate {
            width: 11.0,
            thickness: 3.3,
            ..narrow
        }),
        other => other,
    };
    for name in clavibeam::anatomy::PRESET_NAMES {
        let devices = vec![
            nail(2.0),
            plate(Surface::Anterior, 2.7),
            plate(Surface::Superior, 2.7),
            broad(Surface::Anterior),
            broad(Surface::Superior),
            pin(2.5),
        ];
        let case = case_of(name, devices, vec![strapped(0.45), strapped(0.85)]);
        let assessed = assess(&case, Mechanics::Linear).expect("all of them hold");
        let pressure = |i: usize, activity: usize| {
            let construct: &ConstructAssessment = &assessed.constructs[i];
            construct.strap[activity].pressure_kpa()
        };
        let under: Vec<f64> = (0..6).map(|i| pressure(i, 0)).collect();
        assert!(
            under[0] <= under[1] && under[1] < under[2],
            "{name}: {under:?}"
        );
        assert!(
            under[0] < under[3] && under[3] < under[4],
            "{name}: {under:?}"
        );
        assert_eq!(under[5], under[0]);
        assert!(pressure(5, 1) > pressure(0, 1));
    }
}

/// Straps of a loaded pack press as hard as was measured under them: 25 to 38 kPa at their
/// peak in adults.
///
/// Source: Reid et al., DCIEM report (2000), front of shoulder above 32 kPa at 25 kg; a poster of
/// 2023, 24.7–37.7 kPa at 40 % of body weight (low grade). The strap forces of the default
/// activities were set from the same pressures, 25 kPa over 30 mm for these 45 N, so this checks that
/// the band keeps to them (15 %: its soft edge spreads beyond the 30 mm), not the model.
#[test]
fn strap_over_bone_presses_as_measured() {
    let case = case_of("adult-male-average", vec![nail(2.5)], vec![strapped(0.45)]);
    let assessed = assess(&case, Mechanics::Linear).expect("a nailed bone holds");
    let pressure = assessed.constructs[0].strap[0].bone_pressure_kpa;
    assert_relative_eq!(pressure, 25.0, max_relative = 0.15);
}

/// A screw straight down passes as much bone as the bone is high, and its far wall is as thick
/// as the cortex; holes lie over what lies under them, and every caution says that it is no
/// clearance.
///
/// Source: 26 donors (authors not known), fractions of length 0.379 vein, 0.449 artery, 0.554
/// plexus; the depths are geometry.
#[test]
fn screws_over_vessels_and_plexus() {
    let case = case_of(
        "adult-male-average",
        vec![plate(Surface::Superior, 3.5), nail(2.5)],
        vec![bench("axial", Bench::Axial { force: 1.0 })],
    );
    let assessed = assess(&case, Mechanics::Linear).expect("both hold");
    let risks = &assessed.constructs[0].structures_at_risk;
    for risk in risks {
        let (outer, wall) = (
            case.clavicle.outer(risk.position)[1],
            case.clavicle.wall(risk.position),
        );
        assert_relative_eq!(risk.far_cortex_mm[1], outer, max_relative = 1e-9);
        assert_relative_eq!(risk.far_cortex_mm[0], outer - wall, max_relative = 1e-9);
        assert!(risk.caution.contains("not a clearance to drill"));
        assert_eq!(risk.direction, "downwards");
    }
    let nearest = |fraction: f64| {
        let away = |at: f64| (at - fraction).abs();
        let risk = risks
            .iter()
            .min_by(|a, b| away(a.position).total_cmp(&away(b.position)));
        &risk.expect("screws lie over something").structures
    };
    assert!(nearest(0.379).contains(&"subclavian vein"));
    assert!(nearest(0.449).contains(&"subclavian artery"));
    assert!(nearest(0.554).contains(&"cords of the brachial plexus"));
    // The nail's tip lies far lateral of all of them.
    assert!(assessed.constructs[1].structures_at_risk.is_empty());
}
