//! An invented comparison for the tests of reports: plausible, computed by nobody.

use clavibeam::assess::{
    ActivitySummary, Assessment, ConstructAssessment, CriticalSection, Drawing, Fit,
    FractureMotion, FractureSummary, Part, PatientSummary, Purchase, RelativeStiffness,
    ScrewAssessment, ScrewLoad, SectionStress, Stiffness,
};
use clavibeam::case::DefaultUsed;

use crate::sample_around::{after_removal, at_risk, nuts, opened, proud, slip, strap};
use crate::sample_drawing::{courses, fragments, plate_drawing, rod};

pub const LENGTH: f64 = 155.0;
pub const GAP: f64 = 8.0;
const INTACT: Stiffness = Stiffness {
    axial_n_per_mm: 1320.0,
    bending_sup_inf_nm_per_deg: 1.84,
    bending_up_nm_per_deg: 1.0,
    bending_ant_post_nm_per_deg: 2.11,
    torsion_nm_per_deg: 1.07,
};

/// Four constructs over a comminuted 8 mm gap.
pub fn sample() -> Assessment {
    Assessment {
        format: "clavibeam-compare-1",
        mechanics: "linear",
        linear: None,
        title: "Orchard picker: comminuted midshaft fracture, 8 mm gap, average man, right".into(),
        summary: vec![
            "Largest margins under these loads: anteroinferior plate.".into(),
            "Not length-stable: elastic nail 3.0.".into(),
            "Breaks before 10^6 cycles of the arm lifted to 90°: elastic nail 3.0, threaded pin 3.8."
                .into(),
        ],
        patient: PatientSummary {
            preset: "adult-male-average".into(),
            side: "right",
            body_mass_kg: 82.0,
            length_mm: LENGTH,
            narrowest_canal_mm: 5.9,
            narrowest_canal_position: 0.57,
        },
        fracture: FractureSummary {
            position: 0.5,
            pattern: "comminuted",
            obliquity_deg: None,
            obliquity_direction: None,
            gap_mm: GAP,
            face_friction: 0.4,
            interlock_shear_n: 0.0,
            callus_modulus_mpa: None,
        },
        fixtures: vec![
            "Bending: acromial end loaded by a moment, sternal end potted; the angle is read between \
             the potted ends."
                .into(),
            "Moments of activities are referred to the bone's axis at the fracture.".into(),
        ],
        activities: vec![
            activity("arm lifted to 90°", "Own arm of 4.1 kg held out to the side.", 3.1, 2.4),
            activity(
                "picking bag on shoulder strap",
                "60 N on a 60 mm wide strap over the middle third <bench>.",
                2.2,
                1.6,
            ),
            activity("arm hanging", "Own arm of 4.1 kg hanging.", 1.1, 0.78),
        ],
        intact: INTACT,
        constructs: vec![
            elastic_nail(),
            threaded_pin(),
            plate("superior plate", 0.0),
            plate("anteroinferior plate", 0.75),
        ],
        defaults_used: vec![
            default("bone.cortex.youngs_modulus_gpa", "17.9", "common practice, no source"),
            default("construct.nail.friction", "0.3", "assumption: dry metal on bone"),
            default("patient.body_mass_kg", "82", "preset adult-male-average"),
        ],
        cautions: vec![
            "The loads are estimates and soft tissue is left out.".into(),
            "This informs a decision; it does not make one.".into(),
        ],
        scatter: None,
    }
}

/// The sample with its constructs repeated or cut to this many.
pub fn sample_of(count: usize) -> Assessment {
    let mut assessment = sample();
    assessment.constructs = assessment
        .constructs
        .iter()
        .cycle()
        .take(count)
        .enumerate()
        .map(|(number, construct)| {
            let mut construct = construct.clone();
            construct.name = format!("{} {}", construct.name, number + 1);
            construct
        })
        .collect();
    assessment
}

fn activity(name: &str, description: &str, peak: f64, fracture: f64) -> ActivitySummary {
    ActivitySummary {
        name: name.into(),
        description: description.into(),
        peak_moment_nm: peak,
        fracture_moment_nm: fracture,
        shoulder: None,
    }
}

fn default(key: &str, value: &str, source: &str) -> DefaultUsed {
    DefaultUsed {
        key: key.into(),
        value: value.into(),
        source: source.into(),
    }
}

fn relative(axial: f64, up_down: f64, front_back: f64, torsion: f64) -> RelativeStiffness {
    RelativeStiffness {
        axial_n_per_mm: axial / 100.0 * INTACT.axial_n_per_mm,
        axial_percent_of_intact: axial,
        bending_sup_inf_nm_per_deg: up_down / 100.0 * INTACT.bending_sup_inf_nm_per_deg,
        bending_sup_inf_percent_of_intact: up_down,
        bending_up_nm_per_deg: 1.0,
        bending_ant_post_nm_per_deg: front_back / 100.0 * INTACT.bending_ant_post_nm_per_deg,
        bending_ant_post_percent_of_intact: front_back,
        torsion_nm_per_deg: torsion / 100.0 * INTACT.torsion_nm_per_deg,
        torsion_percent_of_intact: torsion,
    }
}

/// A section whose stress in the first activity is given; the others follow their moments.
fn section(
    name: &str,
    part: Part,
    [position, kt, kf]: [f64; 3],
    [stress, proof, endurance]: [f64; 3],
) -> CriticalSection {
    let stress_at = |share: f64| {
        let nominal = share * stress;
        let fatigue = |strength: f64| (part != Part::Bone).then(|| strength / (kf * nominal));
        SectionStress {
            nominal_stress_mpa: nominal,
            locked_in_stress_mpa: 0.0,
            static_margin: Some(proof / nominal),
            fatigue_margin_1e5: fatigue(1.5 * endurance),
            fatigue_margin_1e6: fatigue(endurance),
            fatigue_margin_1e7: fatigue(0.9 * endurance),
        }
    };
    let material = match part {
        Part::Bone => "cortical bone",
        Part::Device | Part::Screw => "ti-6al-7nb",
    };
    CriticalSection {
        name: name.into(),
        part,
        position,
        nominal: "largest bending and axial stress on the net section".into(),
        kt,
        kf,
        material: material.into(),
        proof_stress_mpa: proof,
        activities: vec![stress_at(1.0), stress_at(0.67), stress_at(0.33)],
    }
}

fn motion(axial: f64, shear: f64, angle: f64) -> Vec<FractureMotion> {
    [1.0, 0.67, 0.33]
        .map(|share| FractureMotion {
            axial_mm: share * axial,
            shear_mm: share * shear,
            angle_deg: share * angle,
            twist_deg: 0.4 * share * angle,
            rim_mm: share * (axial.abs() + 0.1 * angle),
            stands_open_mm: 0.5 * share * angle,
            strain_percent: 100.0 * share * (axial.abs() + 0.1 * angle) / GAP,
        })
        .to_vec()
}

fn elastic_nail() -> ConstructAssessment {
    ConstructAssessment {
        name: "elastic nail 3.0".into(),
        device: "elastic nail, 3.0 mm, titanium alloy, entered from the sternal end".into(),
        stiffness: relative(0.3, 2.71, 2.83, 1.9),
        critical_sections: vec![
            section("mid gap", Part::Device, [0.5, 1.0, 1.0], [905.0, 800.0, 520.0]),
            section("bone at nail tip", Part::Bone, [0.8, 1.0, 1.0], [31.0, 120.0, 40.0]),
        ],
        contact: Vec::new(),
        buckling_factors: vec![Some(0.63), Some(1.4)],
        joint_sensitivity: Vec::new(),
        opened_by_putting_in: Some(opened(2.8)),
        fracture_motion: motion(-2.4, 1.9, 11.2),
        fit: Fit {
            verdict: "yes",
            reason: "Every bend of the canal leaves clearance.".into(),
            canal_fill: Some(0.508),
        },
        purchase: Purchase {
            medial_mm: 58.0,
            lateral_mm: 41.0,
            medial_screws: 0,
            lateral_screws: 0,
        },
        sizes: None,
        purchase_sweep: Vec::new(),
        slip: slip("no", "Nothing carries length over an open gap.", Some([4.2, 7.9, 31.0])),
        compression: None,
        prominence: proud("the nail's medial end", 0.09, 5.0),
        strap: strap(None),
        structures_at_risk: Vec::new(),
        removal: after_removal(100.0, 100.0, None),
        flags: vec![
            "nothing carries length over an open gap; it will shorten about 8 mm before the fragments \
             meet, and its medial end backs out by as much."
                .into(),
            "it bends for good when the arm is lifted to 90°.".into(),
        ],
        screws: Vec::new(),
        weeks: Vec::new(),
        aftermath: None,
        chances: None,
        working_length_mm: None,
        courses: courses(1.0, 377.0, (18.0, 124.0)),
        drawing: Drawing {
            fragments: fragments(),
            rods: vec![rod(18.0, 124.0, 3.0, false)],
            ..Drawing::default()
        },
    }
}

fn threaded_pin() -> ConstructAssessment {
    ConstructAssessment {
        name: "threaded pin 3.8".into(),
        device: "pin, 3.8 mm, threaded at both ends, nuts on the lateral end, steel".into(),
        stiffness: relative(12.4, 8.86, 9.12, 6.4),
        critical_sections: vec![
            section(
                "thread run-out",
                Part::Device,
                [0.55, 3.4, 2.6],
                [412.0, 690.0, 430.0],
            ),
            section(
                "mid gap",
                Part::Device,
                [0.5, 1.0, 1.0],
                [450.0, 690.0, 430.0],
            ),
        ],
        contact: Vec::new(),
        buckling_factors: vec![None; 2],
        joint_sensitivity: Vec::new(),
        opened_by_putting_in: Some(opened(0.0)),
        fracture_motion: motion(-0.31, 0.81, 4.1),
        fit: Fit {
            verdict: "tight",
            reason: "It leaves 0.1 mm in the lateral bend.".into(),
            canal_fill: Some(0.976),
        },
        purchase: Purchase {
            medial_mm: 52.0,
            lateral_mm: 47.0,
            medial_screws: 0,
            lateral_screws: 0,
        },
        sizes: None,
        purchase_sweep: Vec::new(),
        slip: slip(
            "only with contact",
            "The nuts hold traction, the thread alone holds pressure.",
            Some([721.0; 3]),
        ),
        compression: Some(nuts()),
        prominence: proud("the pin's nuts", 0.88, 7.1),
        strap: strap(None),
        structures_at_risk: Vec::new(),
        removal: after_removal(61.0, 58.0, Some("the pin's lateral hole")),
        flags: vec!["it breaks at the thread run-out before 10^6 lifts of the arm.".into()],
        screws: Vec::new(),
        weeks: Vec::new(),
        aftermath: None,
        chances: None,
        working_length_mm: None,
        courses: courses(1.0, 186.0, (22.0, 128.0)),
        drawing: Drawing {
            fragments: fragments(),
            rods: vec![
                rod(22.0, 52.0, 3.8, true),
                rod(52.0, 86.0, 3.0, false),
                rod(86.0, 128.0, 3.8, true),
            ],
            ..Drawing::default()
        },
    }
}

/// A screw pulled by so many newtons in the first activity; the others follow their moments.
fn screw(name: &str, position: f64, pull: f64) -> ScrewAssessment {
    let pull_out = 1890.0;
    let load = |share: f64| ScrewLoad {
        axial_force_n: share * pull,
        lateral_force_n: share * 84.0,
        bending_stress_mpa: share * 96.0,
        pull_out_margin: (pull > 0.0).then(|| pull_out / (share * pull)),
    };
    ScrewAssessment {
        name: name.into(),
        position,
        outer_diameter_mm: 3.5,
        core_diameter_mm: 2.9,
        pitch_mm: 0.8,
        cortices: 2,
        locking: true,
        cortex_mm: 4.0,
        pull_out_n: pull_out,
        activities: vec![load(1.0), load(0.67), load(0.33)],
    }
}

/// A plate turned by `turn` right angles from superior towards anterior.
fn plate(name: &str, turn: f64) -> ConstructAssessment {
    let superior = turn == 0.0;
    ConstructAssessment {
        name: name.into(),
        device: "contoured plate, 8 holes, 11 × 3.3 mm, 3.5 mm screws, titanium alloy".into(),
        stiffness: if superior {
            relative(70.6, 31.2, 64.4, 40.3)
        } else {
            relative(69.8, 88.0, 34.9, 41.2)
        },
        critical_sections: vec![
            section(
                "hole 4 (empty)",
                Part::Device,
                [0.5, 2.3, 1.8],
                [if superior { 240.0 } else { 141.0 }, 800.0, 520.0],
            ),
            section(
                "screw 3, under head",
                Part::Screw,
                [0.43, 2.6, 2.1],
                [96.0, 790.0, 500.0],
            ),
            section(
                "bone at end screw",
                Part::Bone,
                [0.28, 2.0, 1.4],
                [58.0, 120.0, 40.0],
            ),
        ],
        contact: Vec::new(),
        buckling_factors: vec![Some(15.0), Some(148.0)],
        joint_sensitivity: Vec::new(),
        opened_by_putting_in: Some(opened(0.0)),
        fracture_motion: if superior {
            motion(-0.042, 0.19, 0.93)
        } else {
            motion(-0.038, 0.11, 0.52)
        },
        fit: Fit {
            verdict: "yes",
            reason: "It lies on the surface along its length.".into(),
            canal_fill: None,
        },
        purchase: Purchase {
            medial_mm: 39.0,
            lateral_mm: 39.0,
            medial_screws: 3,
            lateral_screws: 3,
        },
        sizes: None,
        purchase_sweep: Vec::new(),
        slip: slip("yes", "Screws in both fragments carry length.", None),
        compression: None,
        prominence: proud("the plate", 0.5, 3.3),
        strap: strap(superior.then_some(("the plate", 3.3, 64.0))),
        structures_at_risk: at_risk("screw 3", 0.41),
        removal: after_removal(29.0, 33.0, Some("the hole of screw 3")),
        flags: if superior {
            vec!["the empty hole over the gap is its weakest place.".into()]
        } else {
            Vec::new()
        },
        screws: vec![screw("screw 3", 0.43, 210.0), screw("screw 6", 0.57, -64.0)],
        weeks: Vec::new(),
        aftermath: None,
        chances: None,
        working_length_mm: Some(34.3),
        courses: courses(0.65, if superior { 100.0 } else { 59.0 }, (32.0, 123.0)),
        drawing: plate_drawing(turn),
    }
}
