//! What is said of each device: standing warnings, doubtful geometry, what is refused elsewhere.

use clavibeam::assess::{Assessment, ConstructAssessment, assess};
use clavibeam::case;
use clavibeam::construct::Mechanics;

fn compared(pattern: &str, construct: &str, activity: &str) -> Assessment {
    let text = format!(
        "title = \"check\"\n[patient]\npreset = \"adult-male-average\"\n[fracture]\n{pattern}\n\
         [[construct]]\nname = \"it\"\n{construct}\n[[activity]]\nname = \"load\"\n{activity}\n"
    );
    let case = case::parse(&text, "check").unwrap_or_else(|error| panic!("{error}"));
    assess(&case, Mechanics::Linear).expect("it holds")
}

const GAP: &str = "pattern = \"comminuted\"\ngap_mm = 6";
const AXIAL: &str = "[activity.axial]\nforce_n = 50";

fn flagged(construct: &ConstructAssessment, words: &str) -> bool {
    construct.flags.iter().any(|flag| flag.contains(words))
}

fn one(construct: &str) -> ConstructAssessment {
    compared(GAP, construct, AXIAL).constructs.swap_remove(0)
}

#[test]
fn a_smooth_wire_is_always_warned_of() {
    let wire = one("wire.diameter_mm = 2.0");
    assert!(flagged(&wire, "have killed, and are to be removed"));
    assert!(flagged(&wire, "a thread does not prevent it"));
    assert!(flagged(&wire, "fills only 34 %"));
    assert_eq!(wire.slip.length_stable, "no");
    assert!(!flagged(&wire, "is not usual"));
    assert!(flagged(
        &one("wire.diameter_mm = 2.2"),
        "a wire of 2.2 mm is not usual"
    ));
}

#[test]
fn a_cannulated_screw_slides_over_a_gap_and_draws_a_clean_break_together() {
    let screw = "cannulated-screw.size = \"cannulated-4.5\"";
    assert_eq!(one(screw).slip.length_stable, "no");
    let clean = compared("pattern = \"transverse\"", screw, AXIAL);
    let slip = &clean.constructs[0].slip;
    assert_eq!(slip.length_stable, "only with contact");
    assert!(slip.reason.contains("presses the broken ends together"));
}

/// An end cap closes one way out and leaves the other.
#[test]
fn an_end_cap_says_which_way_is_left() {
    let nail = "nail.diameter_mm = 2.5\nnail.end_cap = true";
    let medial = one(nail).slip.reason;
    assert!(medial.contains("its end cap keeps it from backing out at its medial end"));
    assert!(
        medial.contains("its tip goes on into the lateral bone"),
        "{medial}"
    );
    assert!(!medial.contains("backs out by as much"), "{medial}");
    let lateral = one(&format!("{nail}\nnail.entry_side = \"lateral\""))
        .slip
        .reason;
    assert!(
        lateral.contains("backing out at its lateral end"),
        "{lateral}"
    );
}

#[test]
fn a_nail_has_the_critical_sections_it_can_fail_at() {
    for side in ["medial", "lateral"] {
        let nail = one(&format!(
            "nail.diameter_mm = 2.5\nnail.entry_side = \"{side}\""
        ));
        let names: Vec<&str> = nail
            .critical_sections
            .iter()
            .map(|s| s.name.as_str())
            .collect();
        for name in [
            "over the gap",
            "flattened tip",
            "entry",
            "canal contact, medial",
            "canal contact, lateral",
        ] {
            assert!(names.contains(&name), "{side}: no {name} in {names:?}");
        }
        let at = |name: &str| {
            let found = nail.critical_sections.iter().find(|s| s.name == name);
            found.expect("listed above").position
        };
        assert_eq!(at("entry") < at("flattened tip"), side == "medial");
    }
}

#[test]
fn a_pin_tells_how_far_it_stands_out() {
    let pin = one("pin.outer_diameter_mm = 3.0\npin.prominence_mm = 14");
    assert_eq!(pin.prominence.highest_mm, 14.0);
    assert!(flagged(&pin, "the nuts stand 14 mm proud"));
}

#[test]
fn a_screw_pulled_out_is_flagged() {
    let plate = "[construct.plate]\nsurface = \"superior\"\nsize = \"mini-fragment-2.0\"\n\
                 hole_count = 8\nscrew = [{ hole = 1, bicortical = false }, { hole = 8 }]";
    let pulled = compared(GAP, plate, "[activity.cantilever]\nforce_n = 2000");
    assert!(flagged(&pulled.constructs[0], "is pulled out under 'load'"));
    let gentle = compared(GAP, plate, "[activity.cantilever]\nforce_n = 0.2");
    assert!(!flagged(&gentle.constructs[0], "is pulled out"));
}

/// Nine holes 12 mm apart, the fifth over the gap: 24 mm between holes 4 and 6.
#[test]
fn the_working_length_lies_between_the_innermost_screws() {
    let plate = |keys: &str| {
        one(&format!(
            "[construct.plate]\nsurface = \"superior\"\nsize = \"precontoured-superior\"\n\
             hole_count = 9\n{keys}"
        ))
    };
    let with_hole = plate("");
    assert_eq!(with_hole.working_length_mm, Some(24.0));
    assert!(flagged(&with_hole, "hole 5 stands empty over the gap"));
    let bridging = plate("empty_holes = [4, 6]");
    assert_eq!(bridging.working_length_mm, Some(48.0));
    let solid = plate("absent_holes = [5]");
    assert_eq!(solid.working_length_mm, Some(24.0));
    assert!(!flagged(&solid, "stands empty over the gap"));
    assert_eq!(one("nail.diameter_mm = 2.5").working_length_mm, None);
}

#[test]
fn a_straight_plate_tells_how_far_it_stands_off() {
    let plate = |contour: &str| {
        one(&format!(
            "[construct.plate]\nsurface = \"anterior\"\nsize = \"reconstruction-3.5\"\n\
             hole_count = 8\ncontour = \"{contour}\""
        ))
    };
    assert!(flagged(&plate("straight"), "contour it"));
    assert!(!flagged(&plate("contoured"), "contour it"));
    let straight = plate("straight");
    assert!(straight.fit.reason.contains("standing off by up to"));
    // Screws that bridge a distance give more.
    let (a, b) = (straight.stiffness, plate("contoured").stiffness);
    assert!(a.axial_n_per_mm < b.axial_n_per_mm);
}

#[test]
fn two_plates_name_their_parts_and_outdo_either_alone() {
    let table = |surface: &str| {
        format!("surface = \"{surface}\"\nsize = \"mini-fragment-2.4\"\nhole_count = 10\n")
    };
    let both = one(&format!(
        "[[construct.plates]]\n{}[[construct.plates]]\n{}",
        table("superior"),
        table("anterior")
    ));
    let alone = one(&format!("[construct.plate]\n{}", table("superior")));
    assert!(both.screws[0].name.starts_with("superior plate, screw"));
    assert!(flagged(&both, "screws of the two plates cross"));
    assert_eq!(
        both.purchase.medial_screws,
        2 * alone.purchase.medial_screws
    );
    let (a, b) = (both.stiffness, alone.stiffness);
    assert!(a.bending_sup_inf_nm_per_deg > b.bending_sup_inf_nm_per_deg);
    assert!(a.bending_ant_post_nm_per_deg > b.bending_ant_post_nm_per_deg);
    assert!(a.axial_n_per_mm > b.axial_n_per_mm);
    assert!(a.torsion_nm_per_deg > b.torsion_nm_per_deg);
}
