//! What the trade knows of nails and plates that only contact can show.

use clavibeam::anatomy::{Clavicle, Preset, Side};
use clavibeam::assess::{Assessment, ConstructAssessment, assess};
use clavibeam::case::{self, Case};
use clavibeam::construct::Mechanics;

fn compared(text: &str) -> Assessment {
    let case: Case = case::parse(text, "case").expect("a sound case");
    assess(&case, Mechanics::Contact).expect("contact settles")
}

fn case_text(pattern: &str, constructs: &str, activity: &str) -> String {
    format!(
        "title = \"check\"\n[patient]\npreset = \"adult-male-average\"\n\
         [fracture]\n{pattern}\n{constructs}\n[[activity]]\nname = \"load\"\n{activity}\n"
    )
}

const NAIL: &str = "[[construct]]\nname = \"nail\"\n[construct.nail]\ndiameter_mm = 2.5\n";
const COMMINUTED: &str = "pattern = \"comminuted\"\ngap_mm = 6";
const TRANSVERSE: &str = "pattern = \"transverse\"";

fn plate(name: &str, locking: bool) -> String {
    format!(
        "[[construct]]\nname = \"{name}\"\n[construct.plate]\nsize = \"limited-contact-3.5\"\n\
         surface = \"superior\"\nhole_count = 8\nlocking = {locking}\n\
         [construct.plate.screw_size]\ncore_diameter_mm = 2.9\n"
    )
}

fn bench(axial_force_n: f64) -> String {
    format!("[activity.axial]\nforce_n = {axial_force_n}")
}

/// A smooth nail over a comminuted gap is not length-stable: pushed along the bone it lets
/// the fragments slide until they meet, and no farther.
///
/// Common practice, no source. A push of 200 N closes the 6 mm gap on part of its rim; the
/// fragments tilt, so the middle closes by somewhat more or less.
#[test]
fn trade_nail_over_a_gap_shortens_until_the_fragments_meet() {
    let assessed = compared(&case_text(COMMINUTED, NAIL, &bench(200.0)));
    let nail = &assessed.constructs[0];
    let motion = &nail.fracture_motion[0];
    assert!(motion.rim_mm > 5.5 && motion.axial_mm < -2.0, "{motion:?}");
    let contact = &nail.contact[0];
    assert!(
        contact.faces_pressed_percent > 0.0 && contact.face_force_n > 50.0,
        "{contact:?}"
    );
    assert!(contact.nail_slip_mm > Some(1.0), "{contact:?}");
}

/// With a gap so wide that the fragments do not meet, the same nail slides until its end
/// holds and friction stop it, and no face carries anything.
#[test]
fn fragments_that_do_not_meet_carry_nothing() {
    let wide = "pattern = \"comminuted\"\ngap_mm = 40";
    let assessed = compared(&case_text(wide, NAIL, &bench(20.0)));
    let contact = &assessed.constructs[0].contact[0];
    assert_eq!(contact.faces_pressed_percent, 0.0);
    assert_eq!(contact.face_force_n, 0.0);
}

/// A thin nail over an open gap buckles under the push of a raised arm, and the reader is told;
/// a plate is far from it, and nothing is said.
///
/// Common practice, no source: a smooth nail is no strut.
#[test]
fn trade_nail_over_a_gap_buckles_under_a_raised_arm() {
    let both = NAIL.to_owned() + &plate("plate", true);
    let assessed = compared(&case_text(COMMINUTED, &both, "arm_elevation_deg = 90"));
    let [nail, plate] = &assessed.constructs[..] else {
        panic!("two constructs");
    };
    let factor = |construct: &ConstructAssessment| construct.buckling_factors[0];
    assert!(factor(nail) < Some(1.0) && factor(plate) > Some(5.0));
    let told = |construct: &ConstructAssessment| {
        let flags = &construct.flags;
        flags.iter().any(|flag| flag.contains("buckl"))
    };
    assert!(told(nail) && !told(plate));
}

/// A superior plate works as a tension band when the acromial end is bent down: the broken
/// ends press below, and it is stiffer than bent up, where they part.
///
/// Common practice, no source.
#[test]
fn trade_superior_plate_is_a_tension_band_one_way_only() {
    let assessed = compared(&case_text(TRANSVERSE, &plate("plate", true), &bench(50.0)));
    let stiffness = &assessed.constructs[0].stiffness;
    assert!(stiffness.bending_sup_inf_nm_per_deg > 1.3 * stiffness.bending_up_nm_per_deg);
    assert!(
        assessed.constructs[0]
            .flags
            .iter()
            .any(|flag| flag.contains("tension band"))
    );
}

/// An anteroinferior plate lies on the other side, so it is a tension band when the acromial
/// end is bent up, and not when it is bent down.
///
/// Common practice, no source.
#[test]
fn trade_anteroinferior_plate_is_a_tension_band_the_other_way() {
    let plate = plate("plate", true).replace("superior", "anteroinferior");
    let assessed = compared(&case_text(TRANSVERSE, &plate, &bench(50.0)));
    let stiffness = &assessed.constructs[0].stiffness;
    assert!(stiffness.bending_up_nm_per_deg > 1.3 * stiffness.bending_sup_inf_nm_per_deg);
}

/// In good bone locked and non-locked plates, with screws of the same core, differ little in
/// bending: screws that do not lock press the plate on the bone, which holds it as a locked
/// head would.
///
/// Source: Partal et al., *J. Orthop. Trauma* 24 (2010) 420–425: no significant difference
/// between plate types (p = .41). Within 15 % here: a choice of ours.
#[test]
fn partal_2010_locked_and_not_locked_differ_little() {
    let both = plate("locked", true) + &plate("not locked", false);
    let assessed = compared(&case_text(COMMINUTED, &both, &bench(50.0)));
    let of = |construct: &ConstructAssessment| construct.stiffness.bending_sup_inf_nm_per_deg;
    let (locked, loose) = (of(&assessed.constructs[0]), of(&assessed.constructs[1]));
    assert!((locked / loose - 1.0).abs() < 0.15, "{locked} and {loose}");
}

/// Bending a straight nail into the S-curve stresses it to about 1 % strain at its surface:
/// it is the curve, not the width of the canal, that limits its size. The fracture is bridged
/// here by tissue as stiff as bone, for broken fragments would turn with the nail.
///
/// Source: a quadratic program in one plane between rigid walls (elastic, free-ended nail
/// from 6 % to 80 % of the length), solved independently with general-purpose numeric
/// libraries: 923 MPa for 2.5 mm in an average man, 667 for 2.0, 1219 for 3.0. Tolerance 20 %:
/// here the walls and the bone give and the other plane bows too.
#[test]
fn straight_nails_in_the_s_curve() {
    let whole = "pattern = \"comminuted\"\ngap_mm = 0.5\n[fracture.callus]\n\
        youngs_modulus_mpa = 17500\nouter_diameter_mm = 12";
    for (diameter, expected) in [(2.0, 667.0), (2.5, 923.0), (3.0, 1219.0)] {
        let nail = NAIL.replace("2.5", &diameter.to_string());
        let assessed = compared(&case_text(whole, &nail, &bench(10.0)));
        let locked = assessed.constructs[0]
            .critical_sections
            .iter()
            .map(|section| section.activities[0].locked_in_stress_mpa)
            .fold(0.0, f64::max);
        assert!(
            (locked / expected - 1.0).abs() < 0.20,
            "{diameter}: {locked} against {expected}"
        );
    }
}

/// A prebent nail lies in its canal free of stress.
#[test]
fn prebent_nails_keep_no_stress() {
    let prebent = NAIL.to_owned() + "shape = \"prebent\"\n";
    let assessed = compared(&case_text(COMMINUTED, &prebent, &bench(10.0)));
    for section in &assessed.constructs[0].critical_sections {
        assert!(section.activities[0].locked_in_stress_mpa < 1e-6);
    }
}

/// A left clavicle is the mirror of a right one: the same numbers.
#[test]
fn left_and_right_agree() {
    let text = case_text(TRANSVERSE, NAIL, "arm_elevation_deg = 60");
    let left = text.replace("[fracture]", "side = \"left\"\n[fracture]");
    let [right, left] = [text, left].map(|text| compared(&text));
    let numbers = |a: &Assessment| serde_json::to_string(&a.constructs).expect("serialisable");
    assert_eq!(numbers(&right), numbers(&left));
    let preset = Preset::named("adult-male-average").expect("a known preset");
    assert_eq!(preset.patient(Side::Left).side, Side::Left);
    assert!(Clavicle::new(&preset.bone).is_ok());
}
