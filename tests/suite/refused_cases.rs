//! What is answered to each refused case file of `tests/cases`: read by `bad_input`.

/// Name of the file and each line of the message, without the path that begins it.
pub const REFUSALS: &[(&str, &[&str])] = &[
    (
        "activity_cycles_zero",
        &["18: activity[1].cycles_per_day = 0 must be at least 1 and at most 100000"],
    ),
    (
        "activity_empty",
        &[
            "15: activity[1] loads nothing: must have arm_elevation_deg, strap_force_n, push_up_n, push_inward_n or one bench test (axial, torsion, cantilever, three_point, four_point)",
        ],
    ),
    (
        "activity_hand_without_arm",
        &["17: activity[1].hand_mass_kg = 1 needs arm_elevation_deg beside it"],
    ),
    (
        "activity_shoulder_and_bench",
        &[
            "15: activity[1] has arm_elevation_deg and axial: must load either the shoulder or a bench test",
        ],
    ),
    (
        "activity_strap_without_force",
        &[
            "18: activity[1].strap_position = 0.4 needs strap_force_n beside it",
            "19: activity[1].strap_width_mm = 50 needs strap_force_n beside it",
        ],
    ),
    (
        "activity_two_benches",
        &["15: activity[1] has axial and torsion: must have only one bench test"],
    ),
    (
        "activity_weeks_reversed",
        &["19: activity[1].weeks = [6, 2] must be two weeks from 0 to 52, the earlier first"],
    ),
    (
        "activity_without_cycles",
        &[
            "18: activity[1].weeks = [2, 6] needs cycles_per_day beside it: an activity without cycles tires nothing",
        ],
    ),
    (
        "backpack_and_strap",
        &[
            "18: activity[1].backpack_mass_kg = 10 must not stand beside strap_force_n",
            "23: activity[2].hip_belt = true needs backpack_mass_kg beside it",
        ],
    ),
    (
        "break_past_end_of_bone",
        &[
            "13: fracture.obliquity_deg = 70 is so steep here that the break runs along the bone or past its end",
        ],
    ),
    (
        "callus_weeks_out_of_order",
        &[
            "16: healing.weeks = [0, 6, 4] must rise from week to week, from 0 at the least to 520",
            "17: healing.modulus_mpa = [1, 100] must have as many entries as weeks: 3",
        ],
    ),
    (
        "callus_weeks_without_modulus",
        &["16: healing.weeks = [0, 4, 6] needs modulus_mpa beside it"],
    ),
    (
        "canal_reversed",
        &["7: bone.canal_from = 0.9 must be less than canal_to = 0.87"],
    ),
    (
        "canal_too_wide",
        &[
            "7: bone.canal_min_diameter_mm = 15 must be greater than 0.0 and less than 10.6 to fit this bone",
        ],
    ),
    (
        "cannulated_channel_too_wide",
        &[
            "14: construct[1].cannulated-screw.cannulation_diameter_mm = 3.1 must be less than core_diameter_mm = 3.1",
            "14: construct[1].cannulated-screw.cannulation_diameter_mm = 3.1 must be less than shank_diameter_mm = 3.1",
        ],
    ),
    (
        "cannulated_core_too_thick",
        &[
            "12: construct[1].cannulated-screw.core_diameter_mm = 3.1 (default) must be less than outer_diameter_mm = 3",
        ],
    ),
    (
        "cannulated_thread_crosses_fracture",
        &[
            "12: construct[1].cannulated-screw.thread_end = 0.4986 (default) must lie before the fracture gap, which begins at 0.482",
        ],
    ),
    (
        "cannulated_without_dimensions",
        &[
            "12: construct[1].cannulated-screw.cannulation_diameter_mm is missing: give it, or a size that has it",
            "12: construct[1].cannulated-screw.pitch_mm is missing: give it, or a size that has it",
        ],
    ),
    (
        "compression_of_locked_screws",
        &[
            "15: construct[1].plate.compression_mm = 1 needs screws in the lateral fragment that do not lock (construct[1].plate.locking): a locked head does not slide in its hole",
        ],
    ),
    (
        "construct_with_two_devices",
        &[
            "10: construct[1] has nail and pin: must have only one of nail, pin, wire, cannulated-screw, plate, plates",
        ],
    ),
    (
        "construct_without_device",
        &["10: construct[1] must have one of nail, pin, wire, cannulated-screw, plate, plates"],
    ),
    (
        "diameter_thicker_than_bone",
        &[
            "13: construct[1].nail.diameter_mm = 12 must be less than the bone where it is thinnest, 10.6 mm",
        ],
    ),
    (
        "diameter_word",
        &[
            "13: construct[1].nail.diameter_mm = \"largest\" must be a number, at least 0.5 and at most 15, or a list of numbers, or \"auto\"",
        ],
    ),
    (
        "diameters_empty",
        &["13: construct[1].nail.diameter_mm = [] must have 1 or more entries"],
    ),
    (
        "diameters_negative",
        &["13: construct[1].nail.diameter_mm[2] = -2.5 must be at least 0.5 and at most 15"],
    ),
    (
        "diameters_thicker_than_bone",
        &[
            "13: construct[1].nail.diameter_mm[2] = 12 must be less than the bone where it is thinnest, 10.6 mm",
        ],
    ),
    (
        "diameters_twice",
        &["13: construct[1].nail.diameter_mm[3] = 2.5 is listed twice"],
    ),
    (
        "empty_file",
        &[
            "1: title is missing: text in quotes",
            "1: patient is missing: a table, headed [patient]",
            "1: fracture is missing: a table, headed [fracture]",
            "1: construct is missing: a list of tables, each headed [[construct]]",
        ],
    ),
    (
        "empty_name",
        &[r#"11: construct[1].name = " " must not be empty"#],
    ),
    (
        "fatigue_line_rises",
        &[
            "18: fatigue.measured[1].amplitude_mpa = [400, 500] must fall: more cycles are borne at a smaller amplitude only",
            "22: fatigue.measured[2].cycles = [1e7, 1e4] must rise: two numbers of cycles, the fewer first",
        ],
    ),
    (
        "fraction_for_whole_number",
        &[
            "15: construct[1].plate.hole_count = 7.5 must be a whole number, at least 2 and at most 24",
        ],
    ),
    (
        "gap_missing",
        &["6: fracture.gap_mm is missing: a comminuted fracture needs the length of its gap"],
    ),
    (
        "gap_past_end_of_bone",
        &[
            "9: fracture.gap_mm = 60 must be less than 53, or it reaches past the end of the bone",
            "13: construct[1].nail.entry = 0.06 (default) must lie before the fracture gap, which begins at -0.026",
        ],
    ),
    (
        "impossible_reliability",
        &["16: fatigue.reliability_percent = 101 must be at least 50 and at most 99.9999"],
    ),
    (
        "inner_span_too_long",
        &["20: activity[1].four_point.inner_span_mm = 80 must be less than span_mm = 80"],
    ),
    (
        "integer_too_large",
        &["15: construct[1].plate.hole_count = 99999999999999999999 is too large a whole number"],
    ),
    (
        "joints_impossible",
        &[
            "7: joints.sternoclavicular_along_n_per_mm = 0 must be at least 1 and at most 5000",
            "8: joints.sternoclavicular_turning_nm_per_deg = 0 must be at least 0.001 and at most 10",
            "9: joints.conoid_n_per_mm = -50 must be at least 0 and at most 2000",
            "10: joints.acromioclavicular_pressed_n_per_mm = 1e9 must be at least 0 and at most 5000",
            "11: joints.scapula_n_per_mm = 0 must be at least 0.1 and at most 5000",
            "12: joints.trapezoid_n_per_m = 50 is not a key: did you mean trapezoid_n_per_mm? (keys here: acromioclavicular_capsule_n_per_mm, acromioclavicular_pressed_n_per_mm, acromioclavicular_turning_nm_per_deg, conoid_n_per_mm, costoclavicular_n_per_mm, scapula_n_per_mm, sternoclavicular_across_n_per_mm, sternoclavicular_along_n_per_mm, sternoclavicular_turning_nm_per_deg, trapezoid_n_per_mm)",
            "19: activity[1].push_inward_n = -100 must be at least 0.1 and at most 10000",
            "22: activity[2].push_up_n = 0 must be at least 0.1 and at most 2000",
        ],
    ),
    ("key_twice", &["9:1: duplicate key"]),
    (
        "list_for_table",
        &["3: patient must be a table, headed [patient]"],
    ),
    (
        "missing_key",
        &[
            r#"3: patient.preset is missing: one of "adult-male-large", "adult-male-average", "adult-female", "child-12""#,
        ],
    ),
    (
        "missing_table",
        &["1: fracture is missing: a table, headed [fracture]"],
    ),
    (
        "nail_default_tip_in_gap",
        &[
            "13: construct[1].nail.tip = 0.8 (default) must lie past the fracture gap, which ends at 0.809",
        ],
    ),
    (
        "nail_lateral_entry_medial",
        &["15: construct[1].nail.entry = 0.06 must lie past the fracture gap, which ends at 0.518"],
    ),
    (
        "nail_short_of_fracture",
        &["14: construct[1].nail.tip = 0.45 must lie past the fracture gap, which ends at 0.518"],
    ),
    (
        "nail_tip_before_entry",
        &[
            "14: construct[1].nail.entry = 0.7 must lie before the fracture gap, which begins at 0.482",
        ],
    ),
    (
        "name_twice",
        &[
            r#"16: construct[2].name = "nail" is the name of construct[1] already"#,
            r#"25: activity[2].name = "lift" is the name of activity[1] already"#,
        ],
    ),
    (
        "negative_diameter",
        &["13: construct[1].nail.diameter_mm = -2.5 must be at least 0.5 and at most 15"],
    ),
    (
        "no_construct",
        &["2: construct = [] must have 1 or more entries"],
    ),
    (
        "not_a_number",
        &[
            "8: fracture.gap_mm = inf must be a finite number",
            "13: construct[1].nail.diameter_mm = nan must be a finite number",
        ],
    ),
    (
        "notch_wider_than_plate",
        &["16: construct[1].plate.notch_width_mm = 11 must be less than width_mm = 10"],
    ),
    (
        "nuts_turned_back",
        &[
            "8: fracture.push_n = 0 must be at least 1 and at most 2000",
            "14: construct[1].pin.nut_turns = -1 must be at least 0 and at most 20",
        ],
    ),
    (
        "out_of_range",
        &["8: fracture.position = 0.85 must be at least 0.2 and at most 0.8"],
    ),
    (
        "pin_core_too_thick",
        &["14: construct[1].pin.core_diameter_mm = 3.0 must be less than outer_diameter_mm = 3"],
    ),
    (
        "pin_nut_medial",
        &["14: construct[1].pin.nut = 0.45 must lie past the fracture gap, which ends at 0.518"],
    ),
    (
        "pin_thread_crosses_fracture",
        &[
            "14: construct[1].pin.thread_end = 0.5 must lie before the fracture gap, which begins at 0.482",
        ],
    ),
    (
        "pin_thread_reversed",
        &["14: construct[1].pin.medial_tip = 0.4 must be less than thread_end = 0.300"],
    ),
    (
        "pitch_zero",
        &["14: construct[1].pin.pitch_mm = 0 must be at least 0.1 and at most 10"],
    ),
    (
        "plate_holes_overlap",
        &["17: construct[1].plate.hole_diameter_mm = 5 must be less than hole_spacing_mm = 5"],
    ),
    (
        "plate_longer_than_bone",
        &[
            "15: construct[1].plate.hole_count = 13 makes the plate 169 mm long: it must not exceed the bone, 163 mm along its curve",
        ],
    ),
    (
        "plate_past_end_of_bone",
        &[
            "12: construct[1].plate must have a screw medial of the fracture",
            "16: construct[1].plate.centre = 0.75 puts the plate past the end of the bone: it must lie between 0.326 and 0.682",
        ],
    ),
    (
        "plate_thicker_than_wide",
        &["16: construct[1].plate.thickness_mm = 12 must not exceed width_mm = 11"],
    ),
    (
        "plate_without_dimensions",
        &[
            "12: construct[1].plate.thickness_mm is missing: give it, or a size that has it",
            "12: construct[1].plate.hole_spacing_mm is missing: give it, or a size that has it",
            "12: construct[1].plate.hole_diameter_mm is missing: give it, or a size that has it",
        ],
    ),
    (
        "plates_alone",
        &["12: construct[1].plates must have exactly 2 entries, each headed [[construct.plates]]"],
    ),
    (
        "plates_on_one_side",
        &[
            r#"17: construct[1].plates[2].surface = "superior" must differ from construct[1].plates[1].surface"#,
        ],
    ),
    (
        "reliability_not_tabulated",
        &[
            "16: fatigue.reliability_percent = 97 must be one of 50, 90, 95, 99, 99.9, 99.99, 99.999, 99.9999",
        ],
    ),
    (
        "screw_core_too_thick",
        &[
            "16: construct[1].plate.screw_size.core_diameter_mm = 2.9 (default) must be less than outer_diameter_mm = 2.7",
        ],
    ),
    (
        "screw_in_absent_hole",
        &[
            "16: construct[1].plate.absent_holes[2] = 9 must be a hole of the plate, 1 to 8",
            "16: construct[1].plate.absent_holes[3] = 4 is listed twice",
            "17: construct[1].plate.screw[2].hole = 4 is listed in absent_holes as well",
        ],
    ),
    (
        "screw_in_empty_hole",
        &[
            "16: construct[1].plate.empty_holes[2] = 9 must be a hole of the plate, 1 to 8",
            "16: construct[1].plate.empty_holes[3] = 9 must be a hole of the plate, 1 to 8",
            "16: construct[1].plate.empty_holes[3] = 9 is listed twice",
            "18: construct[1].plate.screw[1].hole = 2 is listed in empty_holes as well",
        ],
    ),
    (
        "screw_in_no_hole",
        &["19: construct[1].plate.screw[2].hole = 9 must be a hole of the plate, 1 to 8"],
    ),
    (
        "screw_over_gap",
        &[
            "19: construct[1].plate.screw[2].hole = 4 lies over the fracture gap, where no bone holds a screw",
        ],
    ),
    (
        "screw_twice_in_hole",
        &["21: construct[1].plate.screw[3].hole = 2 carries a screw already"],
    ),
    (
        "screw_wider_than_hole",
        &[
            "17: construct[1].plate.screw_size.outer_diameter_mm = 5.5 must not exceed hole_diameter_mm = 5 of the plate",
        ],
    ),
    (
        "screws_on_one_side",
        &["12: construct[1].plate must have a screw lateral of the fracture"],
    ),
    (
        "several_problems",
        &[
            "5: patient.body_mass_kgs = 60 is not a key: did you mean body_mass_kg? (keys here: arm_weight_n, body_mass_kg, preset, side, stature_m, strap_width_mm)",
            r#"8: fracture.pattern = "spiral" must be one of "transverse", "oblique", "comminuted""#,
            "9: fracture.position = 1.2 must be at least 0.2 and at most 0.8",
            "14: construct[1].nail.diameter_mm = nan must be a finite number",
            r#"19: construct[2].plate.surface = "above" must be one of "superior", "anteroinferior", "anterior""#,
            r#"22: construct[2].plate.width_mm = "wide" must be a number, at least 1 and at most 40"#,
            "26: activity[1].strap_force_n = -60 must be at least 0.1 and at most 2000",
        ],
    ),
    (
        "slope_of_a_transverse_break",
        &[
            "8: fracture.obliquity_deg = 30 needs pattern = \"oblique\"",
            "9: fracture.obliquity_direction = \"anteromedial-to-posterolateral\" needs pattern = \"oblique\"",
        ],
    ),
    (
        "span_longer_than_bone",
        &[
            "19: activity[1].three_point.span_mm = 200 must be at most 155 for both supports, centred on the fracture, to meet the bone",
        ],
    ),
    (
        "stations_out_of_order",
        &["10: bone.station[3].at = 0.5 must lie at least 0.01 past the station before, at 1"],
    ),
    (
        "stations_short_of_end",
        &[
            "7: bone.station must begin with at = 0 at the sternal end and finish with at = 1 at the acromial end",
        ],
    ),
    ("syntax", &["8:10: extra `=`, expected nothing"]),
    (
        "table_for_list",
        &["10: construct must be a list of tables, each headed [[construct]]"],
    ),
    (
        "teeth_over_a_gap",
        &[
            "9: fracture.interlock_shear_n = 100 needs faces that fit: a transverse or oblique fracture",
        ],
    ),
    (
        "torque_zero",
        &["18: activity[1].torsion.torque_nm = 0 must not be 0"],
    ),
    (
        "unknown_key",
        &[
            "13: construct[1].nail.diametre_mm = 2.5 is not a key: did you mean diameter_mm? (keys here: diameter_mm, end_cap, entry, entry_side, material, shape, tip)",
        ],
    ),
    (
        "unknown_key_without_likeness",
        &[
            r#"14: construct[1].nail.colour = "blue" is not a key (keys here: diameter_mm, end_cap, entry, entry_side, material, shape, tip)"#,
        ],
    ),
    (
        "unknown_material",
        &[
            r#"14: construct[1].nail.material = "ti-6al-4v" must be one of "ti-6al-7nb", "ti-6al-4v-eli", "cp-ti-grade-2", "cp-ti-grade-4", "cp-ti-grade-4-cold-worked", "steel-316l-annealed", "steel-316l-cold-worked", "cocrmo-annealed", "cocrmo-hot-worked", "cocrmo-warm-worked": did you mean "ti-6al-4v-eli"?"#,
        ],
    ),
    (
        "unknown_preset",
        &[
            r#"4: patient.preset = "adult-male-huge" must be one of "adult-male-large", "adult-male-average", "adult-female", "child-12": did you mean "adult-male-large"?"#,
        ],
    ),
    (
        "unknown_word",
        &[
            r#"7: fracture.pattern = "Comminute" must be one of "transverse", "oblique", "comminuted": did you mean "comminuted"?"#,
        ],
    ),
    (
        "walls_set_twice",
        &[
            "7: bone.wall_scale = 0.9 must not stand beside canal_min_diameter_mm, which sets the walls",
        ],
    ),
    (
        "walls_too_thick",
        &[
            "7: bone.wall_scale = 2 leaves no canal at 0.57 of the length: the walls must be less than 0.56 of what they are",
        ],
    ),
    (
        "wire_short_of_fracture",
        &[
            "14: construct[1].wire.lateral_end = 0.5 must lie past the fracture gap, which ends at 0.518",
        ],
    ),
    (
        "wrong_type",
        &[
            r#"13: construct[1].nail.diameter_mm = "2.5" must be a number, at least 0.5 and at most 15, or a list of numbers, or "auto""#,
        ],
    ),
];
