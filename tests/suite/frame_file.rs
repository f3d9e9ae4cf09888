//! What a frame file means: division, paths, axes and loads along members; and its README.

use approx::assert_relative_eq;
use clavibeam::frame_file::{self, CaseResults, FrameFile};

const HEAD: &str = r#"
title = "test"
material.bone = { youngs_modulus_gpa = 17, shear_modulus_gpa = 3.3 }
section.flat.rectangle = { width_mm = 10, depth_mm = 3 }
section.flat-on-edge.rectangle = { width_mm = 3, depth_mm = 10 }
[[node]]
name = "a"
at_mm = [1, 2, 3]
[[node]]
name = "b"
at_mm = [41, 62, 23]
[[support]]
node = "a"
fixed = ["ux", "uy", "uz", "rx", "ry", "rz"]
[[support]]
node = "b"
fixed = ["uy"]
"#;

fn solved(rest: &str) -> CaseResults {
    let file = read(rest);
    let results = file.solve().unwrap_or_else(|error| panic!("{error}"));
    results.load_cases.into_iter().next().unwrap()
}

fn read(rest: &str) -> FrameFile {
    frame_file::parse(&format!("{HEAD}{rest}"), "test").unwrap_or_else(|error| panic!("{error}"))
}

fn member(extra: &str) -> String {
    format!(
        "[[member]]\nname = \"m\"\nbetween = [\"a\", \"b\"]\nmaterial = \"bone\"\n{extra}\n\
         [[load_case]]\nname = \"case\"\n"
    )
}

fn motion_of_b(case: &CaseResults) -> [f64; 6] {
    let motion = case.nodes.get("b").unwrap();
    let [u, r] = [motion.displacement_mm, motion.rotation_rad];
    [u[0], u[1], u[2], r[0], r[1], r[2]]
}

fn assert_same_motion(one: &CaseResults, other: &CaseResults, tolerance: f64) {
    let [one, other] = [motion_of_b(one), motion_of_b(other)];
    for (x, y) in one.into_iter().zip(other) {
        assert_relative_eq!(x, y, max_relative = tolerance, epsilon = 1e-12);
    }
}

/// Loads along a divided member act on its elements as they would on the whole: motions,
/// end forces and the peak stress stay. Rounding only, for both are exact; the peak is
/// sampled at different places, hence its tolerance.
#[test]
fn dividing_a_member_changes_nothing() {
    let loads = "
        line = [
            { member = 'm', force_n_per_mm = [1, -2, 0.5], end_force_n_per_mm = [0, 3, 1], from_mm = 7, to_mm = 61 },
            { member = 'm', force_n_per_mm = [0.2, 0.3, -0.4], axes = 'local' },
        ]
        point = [
            { member = 'm', at_mm = 33, force_n = [5, 6, -7], moment_nmm = [10, 200, 30], axes = 'local' },
            { member = 'm', at_mm = 74.8331477354788, moment_nmm = [1, 2, 3] },
        ]
        stress_free = [{ member = 'm', strain = 1e-4, curvature_y_per_mm = 1e-5, curvature_z_per_mm = -2e-5 }]
        nodal = [{ node = 'b', force_n = [3, 0, 2] }]";
    let whole = solved(&format!("{}{loads}", member("section = 'flat'")));
    for elements in [2, 7] {
        let division = format!("section = 'flat'\nelements = {elements}");
        let divided = solved(&format!("{}{loads}", member(&division)));
        assert_same_motion(&whole, &divided, 1e-9);
        let [one, other] = [&whole, &divided].map(|case| case.members.get("m").unwrap());
        for (x, y) in [
            (one.end_forces.start, other.end_forces.start),
            (one.end_forces.end, other.end_forces.end),
        ] {
            for (x, y) in
                (x.force_n.iter().chain(&x.moment_nmm)).zip(y.force_n.iter().chain(&y.moment_nmm))
            {
                assert_relative_eq!(x, y, max_relative = 1e-9, epsilon = 1e-7);
            }
        }
        let peaks = [one, other].map(|member| member.peak_stress_mpa.unwrap());
        assert_relative_eq!(peaks[0], peaks[1], max_relative = 1e-3);
    }
}

/// A straight member through points on its way, and a taper to the same section, are the
/// plain member.
#[test]
fn straight_polyline_and_taper_to_the_same() {
    let load = "nodal = [{ node = 'b', force_n = [30, 0, 20], moment_nmm = [100, 0, -50] }]";
    let plain = solved(&format!("{}{load}", member("section = 'flat'")));
    for extra in [
        "section = 'flat'\nvia_mm = [[11, 17, 8], [31, 47, 18]]\nelements = 3",
        "section = 'flat'\nsection_end = 'flat'",
    ] {
        let other = solved(&format!("{}{load}", member(extra)));
        assert_same_motion(&plain, &other, 1e-9);
    }
}

/// A roll of 90° turns width into depth; a roll of 180° changes nothing.
#[test]
fn roll_turns_the_section() {
    let load = "nodal = [{ node = 'b', force_n = [30, 0, 20] }]";
    let case = |extra: &str| solved(&format!("{}{load}", member(extra)));
    let plain = case("section = 'flat'");
    assert_same_motion(
        &plain,
        &case("section = 'flat-on-edge'\nroll_deg = 90"),
        1e-9,
    );
    assert_same_motion(&plain, &case("section = 'flat'\nroll_deg = 180"), 1e-9);
    let turned = motion_of_b(&case("section = 'flat'\nroll_deg = 90"));
    assert!((motion_of_b(&plain)[2] / turned[2] - 1.0).abs() > 0.1);
}

/// A positive roll is right-handed: local z = (0, 0, 1) on a member along x moves towards −y.
#[test]
fn roll_is_right_handed() {
    let text = HEAD.replace("[41, 62, 23]", "[101, 2, 3]");
    let rest = member("section = 'flat'\nroll_deg = 30");
    let file = frame_file::parse(&format!("{text}{rest}"), "test").unwrap();
    let up = file.frame.members[0].up;
    assert_relative_eq!(up.y, -0.5, epsilon = 1e-12);
    assert_relative_eq!(up.z, 0.75_f64.sqrt(), epsilon = 1e-12);
}

/// Heat between walls that hold the member along y: a uniform temperature is a strain.
#[test]
fn heat_is_a_strain() {
    let heated = HEAD.replace(
        "shear_modulus_gpa = 3.3",
        "shear_modulus_gpa = 3.3, thermal_expansion_per_k = 2e-5",
    );
    let case = |load: &str| {
        let text = format!("{heated}{}{load}", member("section = 'flat'"));
        let results = frame_file::parse(&text, "test").unwrap().solve().unwrap();
        results.load_cases.into_iter().next().unwrap()
    };
    let heat = case(
        "stress_free = [{ member = 'm', temperature_k = 30, gradient_y_k_per_mm = 2, gradient_z_k_per_mm = -1 }]",
    );
    let strain = case(
        "stress_free = [{ member = 'm', strain = 6e-4, curvature_z_per_mm = -4e-5, curvature_y_per_mm = -2e-5 }]",
    );
    assert_same_motion(&heat, &strain, 1e-12);
}

/// A margin stands beside the peak stress where a proof stress is given, and none where the
/// section is given by number.
#[test]
fn stress_margin() {
    let text = HEAD
        .replace(
            "shear_modulus_gpa = 3.3",
            "shear_modulus_gpa = 3.3, proof_stress_mpa = 100",
        )
        .replace("[41, 62, 23]", "[101, 2, 3]");
    let load = "nodal = [{ node = 'b', force_n = [300, 0, 0] }]";
    let results = |text: &str| {
        let text = format!("{text}{}{load}", member("section = 'flat'"));
        let results = frame_file::parse(&text, "test").unwrap().solve().unwrap();
        *results.load_cases[0].members.get("m").unwrap()
    };
    let shaped = results(&text);
    assert_relative_eq!(shaped.peak_stress_mpa.unwrap(), 10.0, max_relative = 1e-12);
    assert_relative_eq!(
        shaped.proof_stress_margin.unwrap(),
        10.0,
        max_relative = 1e-12
    );
    let given = results(&text.replace(
        "section.flat.rectangle = { width_mm = 10, depth_mm = 3 }",
        "section.flat.properties = { area_mm2 = 30, second_moment_y_mm4 = 22.5, \
         second_moment_z_mm4 = 250, torsion_constant_mm4 = 73 }",
    ));
    assert_eq!(
        (given.peak_stress_mpa, given.proof_stress_margin),
        (None, None)
    );
}

/// A coupling's axes: a spring along its local z, which leans towards `up`.
#[test]
fn coupling_axes() {
    let text = r#"
        [[node]]
        name = "c"
        at_mm = [41, 62, 23]
        [[coupling]]
        name = "spring"
        between = ["b", "c"]
        x_axis = [1, 0, 0]
        up = [5, 1, 0]
        translations_n_per_mm = [1e3, 1e3, 50]
        rotations_nmm_per_rad = [1e3, 1e3, 1e3]
    "#;
    let load = "nodal = [{ node = 'c', force_n = [0, 20, 0] }]";
    let case = solved(&format!("{text}{}{load}", member("section = 'flat'")));
    let [b, c] = ["b", "c"].map(|name| case.nodes.get(name).unwrap().displacement_mm[1]);
    assert_relative_eq!(c - b, 20.0 / 50.0, max_relative = 1e-9);
    let spring = case.couplings.get("spring").unwrap();
    assert_relative_eq!(spring.force_n[2], 20.0, max_relative = 1e-9);
}

/// A coupling acts at its second node unless told otherwise; an interlayer at the stated
/// fraction of the way between its members.
#[test]
fn where_couplings_act() {
    let text = "
        node = [
            { name = 'a', at_mm = [0, 0, 0] }, { name = 'b', at_mm = [10, 0, 0] },
            { name = 'c', at_mm = [0, 0, 8] }, { name = 'd', at_mm = [10, 0, 8] },
        ]
        title = 'test'
        material.bone = { youngs_modulus_gpa = 17, poisson_ratio = 0.3 }
        section.rod.circle.diameter_mm = 3
        member = [
            { name = 'one', between = ['a', 'b'], section = 'rod', material = 'bone', elements = 2 },
            { name = 'other', between = ['c', 'd'], section = 'rod', material = 'bone', elements = 2 },
        ]
        coupling = [{ name = 'link', between = ['a', 'd'], translations_n_per_mm = [1, 1, 1] }]
        interlayer = [{ name = 'bond', members = ['one', 'other'], stiffness_n_per_mm2 = [2, 1, 1], at_fraction = 0.25 }]
        load_case = [{ name = 'none' }]";
    let file = frame_file::parse(text, "test").unwrap_or_else(|error| panic!("{error}"));
    let at: Vec<[f64; 3]> = (file.frame.couplings.iter())
        .map(|coupling| coupling.at.into())
        .collect();
    assert_eq!(at[0], [10.0, 0.0, 8.0]);
    assert_eq!(
        at[1..],
        [[0.0, 0.0, 2.0], [5.0, 0.0, 2.0], [10.0, 0.0, 2.0]]
    );
}

/// A moment inside a beam on two supports makes the stress jump; the peak is on the far
/// side of it: 0.7 of the moment for a moment at 0.3 of the length (statics).
#[test]
fn peak_stress_beside_a_moment() {
    let text = std::fs::read_to_string("models/frames/simple_beam_centre_force.toml").unwrap();
    let text = text.replace(
        "at_mm = 50\nforce_n = [0, 0, -100]",
        "at_mm = 30\nmoment_nmm = [0, 1000, 0]",
    );
    let results = frame_file::parse(&text, "test").unwrap().solve().unwrap();
    let beam = results.load_cases[0].members.get("beam").unwrap();
    let section_modulus = std::f64::consts::PI * 10.0_f64.powi(3) / 32.0;
    let expected = 700.0 / section_modulus;
    assert_relative_eq!(beam.peak_stress_mpa.unwrap(), expected, max_relative = 1e-8);
    assert_relative_eq!(beam.peak_stress_at_mm.unwrap(), 30.0, max_relative = 1e-8);
}

/// Foundation springs add up to stiffness times length whatever the division.
#[test]
fn foundation_springs_add_up() {
    for elements in [1, 5] {
        let rest = format!(
            "{}\n[[foundation]]\nmember = 'm'\nstiffness_n_per_mm2 = [0, 2, 4]\n",
            member(&format!("section = 'flat'\nelements = {elements}"))
        );
        let file = read(&rest);
        let length = file.members[0].length();
        let total: f64 = file
            .frame
            .supports
            .iter()
            .map(|support| support.springs[2])
            .sum();
        assert_relative_eq!(total, 4.0 * length, max_relative = 1e-12);
    }
}

/// Whatever stands in place of a value, and whichever line is missing, the file is refused,
/// cannot be solved, or is solved: no panic.
#[test]
fn no_damage_to_a_frame_file_panics() {
    let values = [
        "nan", "-inf", "-1", "0", "1e-300", "1e300", "\"\"", "[]", "{}", "true", "=",
    ];
    for name in ["taper", "root_spring", "rod_in_plugs", "propped_cantilever"] {
        let text = std::fs::read_to_string(format!("models/frames/{name}.toml")).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        let attempt = |lines: &[&str]| {
            if let Ok(file) = frame_file::parse(&lines.join("\n"), "damaged") {
                let _ = file.solve();
            }
        };
        for index in 0..lines.len() {
            let mut damaged = lines.clone();
            damaged.remove(index);
            attempt(&damaged);
            let Some((key, _)) = lines[index].split_once(" = ") else {
                continue;
            };
            for value in values {
                let changed = format!("{key} = {value}");
                damaged = lines.clone();
                damaged[index] = &changed;
                attempt(&damaged);
            }
        }
    }
}

/// The README of the frame files names every key, and its example is a frame file.
#[test]
fn readme_is_complete() {
    let readme = std::fs::read_to_string("models/frames/README.md").unwrap();
    let schema: serde_json::Value = serde_json::from_str(&frame_file::schema_json()).unwrap();
    let definitions = schema["$defs"].as_object().unwrap().values();
    let mut missing = Vec::new();
    for table in definitions.chain([&schema]) {
        let keys = table["properties"].as_object().into_iter().flatten();
        let words = table["oneOf"].as_array().into_iter().flatten();
        let names = keys
            .map(|(key, _)| key.as_str())
            .chain(words.filter_map(|word| word["const"].as_str()))
            .chain(
                table["enum"]
                    .as_array()
                    .into_iter()
                    .flatten()
                    .filter_map(|w| w.as_str()),
            );
        missing.extend(
            names
                .filter(|name| !readme.contains(&format!("`{name}`")))
                .map(str::to_owned),
        );
    }
    assert!(missing.is_empty(), "not in the README: {missing:?}");

    let example = readme
        .split("```toml\n")
        .nth(1)
        .unwrap()
        .split("```")
        .next()
        .unwrap();
    let results = frame_file::parse(example, "README")
        .unwrap()
        .solve()
        .unwrap();
    assert!(
        results
            .references
            .iter()
            .all(|comparison| comparison.agrees)
    );
}
