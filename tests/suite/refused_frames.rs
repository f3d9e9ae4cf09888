//! Every refusal of a frame file, word for word.
//!
//! Each file in `tests/cases/frame/` is named by the rule it breaks.

use std::collections::BTreeSet;

use super::solve_cli::{clavibeam, stderr, stdout};

/// Name of the file under `tests/cases/frame/` and each line of the message
/// without the path that begins it.
const REFUSALS: &[(&str, &[&str])] = &[
    (
        "after_a_later_case",
        &[r#"44: load_case[2].after = "second" must be the name of an earlier load case"#],
    ),
    (
        "arc_beside_via",
        &["21: member[1].arc_centre_mm = [50, 50, 0] must not stand beside via_mm"],
    ),
    (
        "arc_centre_between_ends",
        &["21: member[1].arc_centre_mm = [50, 0, 0] must not lie on the line through both ends"],
    ),
    (
        "arc_centre_off",
        &[
            "21: member[1].arc_centre_mm = [40, 40, 0] must be equally far from both ends: it is 56.568542 and 72.111026 mm away",
        ],
    ),
    (
        "axis_without_law",
        &["28: coupling[1].about.x must have one of stop-ahead, stop-behind, grip"],
    ),
    (
        "canal_wider_than_bone",
        &["11: section.rod.hollow-ellipse.inner_depth_mm = 8 must be less than depth_mm"],
    ),
    (
        "coupling_axis_along_up",
        &[
            "27: coupling[1].x_axis = [0, 0, 1] must not lie along up (default [0, 0, 1]), nor be zero",
        ],
    ),
    (
        "coupling_of_one_node",
        &[r#"26: coupling[1].between = ["tip", "tip"] must be two different nodes"#],
    ),
    (
        "coupling_without_springs",
        &[
            "24: coupling[1] must have a spring in translations_n_per_mm or rotations_nmm_per_rad, or one of along, about, face, ring",
        ],
    ),
    (
        "default_up_along_the_member",
        &["18: member[1].up = [0, 0, 1] (default) must not lie along the member, nor be zero"],
    ),
    (
        "expect_off_the_member",
        &["38: expect[1].at_mm = 101 must lie on the member, which is 100 mm long"],
    ),
    (
        "expect_place_of_a_node",
        &["38: expect[1].at_mm = 5 belongs to a member, not to a node or coupling"],
    ),
    (
        "expect_pressure_of_springs",
        &[r#"43: expect[1].quantity = "pressure_n" needs a coupling that touches, stops or grips"#],
    ),
    (
        "expect_reaction_of_a_member",
        &[r#"38: expect[1].quantity = "reaction_force_x_n" needs a node, not a member"#],
    ),
    (
        "expect_stress_of_a_node",
        &[r#"38: expect[1].quantity = "peak_stress_mpa" needs a member, not a node"#],
    ),
    (
        "expect_without_place",
        &["35: expect[1] must have one of node, member, coupling"],
    ),
    (
        "face_along_the_member",
        &["46: foundation[1].face.looks = [1, 0, 0] must not lie along the member, nor be zero"],
    ),
    (
        "face_beside_ring",
        &[
            "24: coupling[1] must have nothing beside a face or a ring: springs, along, about or the other",
        ],
    ),
    (
        "foundation_of_springs_and_face",
        &[
            "42: foundation[1] has stiffness_n_per_mm2 and face: must have only one of stiffness_n_per_mm2, face",
        ],
    ),
    (
        "friction_negative",
        &["30: coupling[1].face.friction = -0.1 must be at least 0"],
    ),
    (
        "heat_without_expansion",
        &[
            "37: load_case[1].stress_free[1].temperature_k = 50 needs thermal_expansion_per_k in the member's material",
        ],
    ),
    (
        "interlayer_of_unequal_members",
        &[
            r#"33: interlayer[1].members = ["rod", "plate"] must be two different members with equal numbers of elements: they have 1 and 2"#,
        ],
    ),
    (
        "law_beside_spring",
        &["29: coupling[1].along.z must not stand beside a spring in translations_n_per_mm"],
    ),
    (
        "line_load_reversed",
        &["38: load_case[1].line[1].from_mm = 60 must be less than 20, where the load ends"],
    ),
    (
        "load_off_the_member",
        &[
            "37: load_case[1].point[1].at_mm = 100.5 must lie on the member, which is 100 mm long",
            "44: load_case[1].line[1].to_mm = 120 must lie on the member, which is 100 mm long",
        ],
    ),
    (
        "material_without_shear",
        &["3: material.titanium must have poisson_ratio, shear_modulus_gpa or both"],
    ),
    (
        "member_from_node_to_itself",
        &[r#"20: member[1].between = ["tip", "tip"] must be two different nodes"#],
    ),
    (
        "member_of_no_length",
        &[r#"20: member[1].between = ["root", "tip"] must not be at one place"#],
    ),
    (
        "movement_of_a_free_node",
        &["37: load_case[1].movement[1].uz_mm = 1 needs a support that fixes uz"],
    ),
    (
        "movement_to_two_places",
        &[
            "37: load_case[1].movement[2].uz_mm = 2 must not differ from an earlier movement of it, 1",
        ],
    ),
    (
        "no_load_case",
        &["1: load_case is missing: a list of tables, each headed [[load_case]]"],
    ),
    (
        "no_shape",
        &[
            "7: section.rod must have one of circle, tube, ellipse, hollow-ellipse, rectangle, polygon, properties",
        ],
    ),
    (
        "node_name_with_hash",
        &[
            r#"15: node[2].name = "tip#1" must not contain #, which marks what lies inside a member"#,
        ],
    ),
    (
        "node_that_nothing_joins",
        &[r#"19: node[3].name = "stray" must be joined by a member or a coupling"#],
    ),
    (
        "polygon_crosses_itself",
        &[
            "7: section.rod.polygon does not bound a section: the outer contour crosses or touches itself: give each point once, in order around it",
        ],
    ),
    (
        "product_moment_too_large",
        &[
            "11: section.rod.properties.product_moment_mm4 = -6 must be less in size than the root of the product of the second moments",
        ],
    ),
    (
        "several_names",
        &[
            r#"20: member[1].between[2] = "tipp" must be the name of a node: did you mean "tip"?"#,
            r#"22: member[1].material = "titan" must be the name of a material: did you mean "titanium"?"#,
            r#"25: support[1].node = "rot" must be the name of a node: did you mean "root"?"#,
        ],
    ),
    (
        "several_problems",
        &[
            "4: material.titanium.young_modulus_gpa = 110 is not a key: did you mean youngs_modulus_gpa? (keys here: poisson_ratio, proof_stress_mpa, shear_modulus_gpa, thermal_expansion_per_k, youngs_modulus_gpa)",
            "8: section.rod.circle.diameter_mm = -10 must be greater than 0",
        ],
    ),
    (
        "stops_without_room",
        &[
            "35: coupling[2].along.z contradicts a stop of coupling 'stop above': between them -0.2 mm of room is left",
        ],
    ),
    (
        "support_of_nothing",
        &["35: support[2] must have fixed freedoms or springs"],
    ),
    (
        "taper_between_shapes",
        &[
            r#"26: member[1].section_end = "flat" must be of the same shape as section, neither polygon nor properties"#,
        ],
    ),
    (
        "tightening_of_unknown_coupling",
        &[
            r#"43: load_case[1].tightening[1].coupling = "stob" must be the name of a coupling: did you mean "stop"?"#,
        ],
    ),
    (
        "tightening_without_travel",
        &[
            "42: load_case[1].tightening[1] must have a travel: x_mm, y_mm, z_mm, rx_rad, ry_rad or rz_rad",
        ],
    ),
    (
        "tube_without_wall",
        &["9: section.rod.tube.inner_diameter_mm = 10 must be less than outer_diameter_mm"],
    ),
    (
        "two_couplings_of_one_name",
        &[r#"30: coupling[2].name = "spring" is the name of an earlier coupling"#],
    ),
    (
        "two_laws_of_one_axis",
        &[
            "28: coupling[1].along.z has stop-behind and grip: must have only one of stop-ahead, stop-behind, grip",
        ],
    ),
    (
        "two_load_cases_of_one_name",
        &[r#"36: load_case[2].name = "tip force" is the name of an earlier load case"#],
    ),
    (
        "two_members_of_one_name",
        &[r#"36: member[2].name = "rod" is the name of an earlier member"#],
    ),
    (
        "two_nodes_of_one_name",
        &[
            r#"15: node[2].name = "root" is the name of an earlier node"#,
            r#"20: member[1].between[2] = "tip" must be the name of a node (known: root)"#,
            r#"32: load_case[1].nodal[1].node = "tip" must be the name of a node (known: root)"#,
        ],
    ),
    (
        "two_shapes",
        &[
            "7: section.rod has circle and rectangle: must have only one of circle, tube, ellipse, hollow-ellipse, rectangle, polygon, properties",
        ],
    ),
    (
        "unknown_freedom",
        &[r#"26: support[1].fixed[6] = "rw" must be one of "ux", "uy", "uz", "rx", "ry", "rz""#],
    ),
    (
        "unknown_key",
        &[
            "8: section.rod.circle.diametre_mm = 10 is not a key: did you mean diameter_mm? (keys here: diameter_mm)",
        ],
    ),
    (
        "unknown_load_case",
        &[
            r#"36: expect[1].load_case = "tip forces" must be the name of a load case: did you mean "tip force"?"#,
        ],
    ),
    (
        "unknown_material",
        &[r#"22: member[1].material = "steel" must be the name of a material (known: titanium)"#],
    ),
    (
        "unknown_member",
        &[r#"36: load_case[1].line[1].member = "nail" must be the name of a member (known: rod)"#],
    ),
    (
        "unknown_node",
        &[
            r#"32: load_case[1].nodal[1].node = "tipp" must be the name of a node: did you mean "tip"?"#,
        ],
    ),
    (
        "unknown_section",
        &[r#"21: member[1].section = "rods" must be the name of a section: did you mean "rod"?"#],
    ),
    (
        "unknown_section_end",
        &[r#"22: member[1].section_end = "thin" must be the name of a section (known: rod)"#],
    ),
    (
        "unknown_shape",
        &[
            "7: section.rod.circel is not a key: did you mean circle? (keys here: circle, ellipse, hollow-ellipse, polygon, properties, rectangle, tube)",
        ],
    ),
    (
        "up_along_the_member",
        &["23: member[1].up = [2, 0, 0] must not lie along the member, nor be zero"],
    ),
    (
        "via_twice_at_one_place",
        &["21: member[1].via_mm = [[50, 0, 0], [50, 0, 0]] must not have two points at one place"],
    ),
];

#[test]
fn every_refused_frame_says_why() {
    for (name, expected) in REFUSALS {
        let path = format!("tests/cases/frame/{name}.toml");
        let output = clavibeam(&["solve", &path]);
        let expected: Vec<String> = expected
            .iter()
            .map(|line| format!("{path}:{line}"))
            .collect();
        assert_eq!(stderr(&output), format!("error: {}\n", expected.join("\n")));
        assert_eq!(output.status.code(), Some(2), "{path}");
        assert_eq!(stdout(&output), "", "{path}");
    }
}

#[test]
fn every_file_of_refused_frames_is_listed() {
    let files: BTreeSet<String> = std::fs::read_dir("tests/cases/frame")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| path.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    let listed: BTreeSet<String> = REFUSALS.iter().map(|row| row.0.to_owned()).collect();
    assert_eq!(files, listed);
}
