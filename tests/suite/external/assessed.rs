//! What the assessment makes of solved frames: limits, sections at holes, motion of the faces.

use approx::assert_relative_eq;
use clavibeam::assess::{Assessment, assess};
use clavibeam::case;
use clavibeam::construct::{Construct, Mechanics};
use clavibeam::frame::Profile;

const HEAD: &str = "title = \"check\"\n[patient]\npreset = \"adult-male-average\"\n\
                    [fracture]\nposition = 0.5\npattern = \"comminuted\"\ngap_mm = 8\n";

fn assessed(construct: &str, activity: &str) -> Assessment {
    let text = format!(
        "{HEAD}[[construct]]\nname = \"it\"\n{construct}\n[[activity]]\nname = \"load\"\n{activity}"
    );
    let case = case::parse(&text, "check.toml").unwrap_or_else(|error| panic!("{error}"));
    assess(&case, Mechanics::Linear).expect("it holds")
}

/// A 4 mm hole through a 10 × 3 mm plate leaves 0.67558 of its stiffness flat and 0.96184 on
/// edge over its 4 mm.
///
/// Source: flexibility averaged over strips of the hole, computed independently. Tolerance 1e-9:
/// quadrature.
#[test]
fn plate_in_the_frame_is_weakened_at_its_holes() {
    let text = format!(
        "{HEAD}[[construct]]\nname = \"it\"\n[construct.plate]\nsurface = \"superior\"\nwidth_mm = 10\n\
         thickness_mm = 3\nhole_count = 8\nhole_spacing_mm = 12\nhole_diameter_mm = 4\n\
         material = \"ti-6al-4v-eli\"\n[[activity]]\nname = \"load\"\n[activity.axial]\nforce_n = 10\n"
    );
    let case = case::parse(&text, "check.toml").unwrap_or_else(|error| panic!("{error}"));
    let broken = Some((&case.fracture, &case.constructs[0].1));
    let construct = Construct::new(&case.clavicle, broken, &[], Mechanics::Linear);
    let sections: Vec<_> = construct
        .device
        .iter()
        .map(
            |piece| match &construct.frame.members[piece.member].profile {
                Profile::Prismatic(section) => *section,
                other => panic!("a plate is prismatic piece by piece: {other:?}"),
            },
        )
        .collect();
    let gross = sections[0];
    let mut holes = 0;
    for section in sections.iter().filter(|s| s.area < 0.99 * gross.area) {
        holes += 1;
        let (flat, edge) = (0.67557905754, 0.96183535694);
        assert_relative_eq!(section.area / gross.area, flat, max_relative = 1e-9);
        let [y, z] = [
            section.second_moment_y / gross.second_moment_y,
            section.second_moment_z / gross.second_moment_z,
        ];
        assert_relative_eq!(y, flat, max_relative = 1e-9);
        assert_relative_eq!(z, edge, max_relative = 1e-9);
    }
    assert!(holes >= 8, "{holes} weakened pieces");
}

/// Under an even moment both faces of the gap turn about its middle, so carried there they do
/// not move across each other: without the carry they would by the angle times half the gap.
///
/// Source: symmetry of a straight beam in pure bending. Half of that is allowed, 0.28 found: the
/// nail follows the S of the bone, so it also bends out of the plane, and its bedding differs on
/// the two sides.
#[test]
fn faces_turn_about_the_middle_of_the_gap() {
    let it = assessed(
        "[construct.nail]\ndiameter_mm = 3.0\nmaterial = \"ti-6al-7nb\"",
        "[activity.four_point]\nforce_n = 60\nspan_mm = 120\ninner_span_mm = 60",
    );
    let motion = it.constructs[0].fracture_motion[0];
    let carried = motion.angle_deg.to_radians() * 8.0 / 2.0;
    assert!(carried > 0.05, "it hardly turns: {carried}");
    assert!(
        motion.shear_mm < 0.5 * carried,
        "{} of {carried}",
        motion.shear_mm
    );
}
