//! Devices of the trade: section properties, pull-out, screws in the cortex, and what bench tests
//! and published models say of plates.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use clavibeam::assess::{Assessment, assess};
use clavibeam::case::{self, Case};
use clavibeam::construct::{Construct, Mechanics, held_in_cortex, plate_points};
use clavibeam::device::Device;
use clavibeam::device::catalogue::{
    CORTICAL_3_5, LOCKING_3_5, NAIL_DIAMETERS, PlateSize, ScrewSize,
};
use clavibeam::frame::{Coupling, Frame, Law, LoadCase, Moduli, Profile, Support, solve};
use clavibeam::section::Section;
use nalgebra::{Matrix3, Vector3};

/// Elastic nails of 1.5 to 4.0 mm: I, W, EI at 105 and 114 GPa, GJ at 105 GPa and ν = 0.34,
/// moments at 800 and 500 MPa.
///
/// Source: closed forms of the round bar, evaluated independently, as tabulated. Tolerance: half of
/// the last digit printed.
#[test]
fn elastic_nails_as_tabulated() {
    // In units of the last digit: 1e-4 mm⁴, mm³ and N·m², 1e-3 N·m. The I of 4.0 mm is printed to
    // one digit less.
    let table = [
        [2_485, 3_313, 261, 283, 195, 265, 166],
        [7_854, 7_854, 825, 895, 615, 628, 393],
        [19_175, 15_340, 2_013, 2_186, 1_502, 1_227, 767],
        [39_761, 26_507, 4_175, 4_533, 3_116, 2_121, 1_325],
        [73_662, 42_092, 7_734, 8_397, 5_772, 3_367, 2_105],
        [125_660, 62_832, 13_195, 14_326, 9_847, 5_027, 3_142],
    ];
    for (diameter, row) in NAIL_DIAMETERS.into_iter().zip(table) {
        let section = Section::circle(diameter, 0.34);
        let inertia = section.second_moment_y;
        let modulus = inertia / (diameter / 2.0);
        let shear = 105.0 / (2.0 * 1.34);
        let found = [
            1e4 * inertia,
            1e4 * modulus,
            10.0 * 105.0 * inertia,
            10.0 * 114.0 * inertia,
            10.0 * shear * section.torsion_constant,
            800.0 * modulus,
            500.0 * modulus,
        ];
        for (found, expected) in found.into_iter().zip(row) {
            let half_digit = if expected == 125_660 { 5.0 } else { 0.6 };
            assert_relative_eq!(found, f64::from(expected), epsilon = half_digit);
        }
    }
}

/// EI and yield moment of solid bars of a threaded pin's diameters, cold-worked steel, 193 GPa
/// and 690 MPa.
///
/// Source: closed forms of the round bar, evaluated independently. Tolerance: half of the last
/// digit printed, a little more where that was cut.
#[test]
fn threaded_pins_as_tabulated() {
    for (diameter, stiffness, moment) in [
        (2.5, 0.370, 1.06),
        (3.0, 0.767, 1.83),
        (3.8, 1.98, 3.72),
        (4.5, 3.89, 6.17),
    ] {
        let inertia = Section::circle(diameter, 0.3).second_moment_y;
        assert_relative_eq!(193.0 * inertia / 1e3, stiffness, max_relative = 4e-3);
        let yields = 690.0 * inertia / (diameter / 2.0) / 1e3;
        assert_relative_eq!(yields, moment, max_relative = 4e-3);
    }
}

/// Gross sections of the generic 3.5 mm reconstruction and limited-contact plates: I, W, EI flat
/// and on edge, first yield flat at 190 and 690 MPa; what a 5 mm hole leaves.
///
/// Source: closed forms of the rectangle, evaluated independently. Tolerance: the digits printed.
#[test]
fn plates_as_tabulated() {
    type Row = ([f64; 3], [f64; 3], [f64; 2], f64);
    let table: [(&str, Row); 2] = [
        (
            "reconstruction-3.5",
            ([18.3, 13.07, 3.53], [233.0, 46.7, 45.0], [2.48, 9.02], 0.50),
        ),
        (
            "limited-contact-3.5",
            ([32.9, 19.96, 6.36], [366.0, 66.6, 70.6], [3.79, 13.8], 0.55),
        ),
    ];
    for (name, (flat, edge, yields, net)) in table {
        let size = PlateSize::named(name).expect("in the catalogue");
        let section = Section::rectangle(size.width, size.thickness, 0.3);
        let [i_flat, i_edge] = [section.second_moment_y, section.second_moment_z];
        let (w_flat, w_edge) = (i_flat / (size.thickness / 2.0), i_edge / (size.width / 2.0));
        let digits = 3e-3;
        for (found, expected) in [i_flat, w_flat, 193.0 * i_flat / 1e3].into_iter().zip(flat) {
            assert_relative_eq!(found, expected, max_relative = digits);
        }
        for (found, expected) in [i_edge, w_edge, 193.0 * i_edge / 1e3].into_iter().zip(edge) {
            assert_relative_eq!(found, expected, max_relative = digits);
        }
        for (stress, expected) in [190.0, 690.0].into_iter().zip(yields) {
            assert_relative_eq!(stress * w_flat / 1e3, expected, max_relative = digits);
        }
        let left = (size.width - size.hole_diameter) / size.width;
        assert_relative_eq!(left, net, epsilon = 5e-3);
    }
}

/// Bending inertia of screw cores: 1.63 mm⁴ of a 3.5 mm cortical screw, 3.47 mm⁴, 2.1 times as
/// much, of a locking one.
///
/// Source: `π d⁴ / 64`, worked by hand. Tolerance: the digits printed.
#[test]
fn screw_cores_as_tabulated() {
    let inertia = |size: ScrewSize| Section::circle(size.core_diameter, 0.3).second_moment_y;
    assert_relative_eq!(inertia(CORTICAL_3_5), 1.63, epsilon = 5e-3);
    assert_relative_eq!(inertia(LOCKING_3_5), 3.47, epsilon = 5e-3);
    let ratio = inertia(LOCKING_3_5) / inertia(CORTICAL_3_5);
    assert_relative_eq!(ratio, 2.1, epsilon = 0.05);
}

/// A screw in a cortex as a beam on an elastic foundation, against the same beam on a fine chain
/// of springs, pushed and tilted at its middle.
///
/// Source: Winkler's foundation itself, made of 200 beams without shear on springs of their share.
/// Tolerance 1e-4: the chain converges with the square of its spacing.
#[test]
fn winkler_chain_under_a_screw() {
    const PIECES: usize = 200;
    let moduli = Moduli {
        youngs: 193_000.0,
        shear: 75_000.0,
    };
    for (diameter, foundation, thickness) in [(2.4, 17_500.0, 2.4), (1.3, 17_500.0, 4.0)] {
        let section = Section::circle(diameter, 0.3).without_shear();
        let mut frame = Frame::default();
        let step = thickness / PIECES as f64;
        let nodes: Vec<usize> = (0..=PIECES)
            .map(|i| frame.add_node(format!("{i}"), Vector3::x() * (i as f64 * step)))
            .collect();
        let ground = frame.add_node("ground", Vector3::zeros());
        for pair in nodes.windows(2) {
            frame.add_member(
                "core",
                [pair[0], pair[1]],
                Vector3::z(),
                moduli,
                Profile::Prismatic(section),
            );
        }
        for (i, &node) in nodes.iter().enumerate() {
            let share = if i == 0 || i == PIECES { 0.5 } else { 1.0 };
            let spring = share * step * foundation;
            frame.couplings.push(Coupling {
                name: format!("spring {i}").into(),
                nodes: [ground, node],
                at: Vector3::x() * (i as f64 * step),
                axes: Matrix3::identity(),
                law: Law::Springs([1.0, spring, spring, 1.0, 0.0, 0.0]),
            });
        }
        frame.supports = vec![Support {
            node: ground,
            fixed: [true; 6],
            springs: [0.0; 6],
        }];
        let middle = nodes[PIECES / 2];
        let cases = [
            LoadCase::named("push").with_load(middle, Vector3::y() * 100.0, Vector3::zeros()),
            LoadCase::named("tilt").with_load(middle, Vector3::zeros(), Vector3::z() * 100.0),
        ];
        let solution = solve(&frame, &cases).expect("a beam on springs is held");
        let pushed = 100.0 / solution.cases[0].displacement(middle).y;
        let tilted = 100.0 / solution.cases[1].rotation(middle).z;
        let bending = moduli.youngs * section.second_moment_y;
        let [across, tilt] = held_in_cortex(bending, foundation, thickness);
        assert_relative_eq!(across, pushed, max_relative = 1e-4);
        assert_relative_eq!(tilt, tilted, max_relative = 1e-4);
    }
    // A rigid bar: k t and k t³/12.
    let [across, tilt] = held_in_cortex(1e9, 1000.0, 2.0);
    assert_relative_eq!(across, 2000.0, max_relative = 1e-3);
    assert_relative_eq!(tilt, 1000.0 * 8.0 / 12.0, max_relative = 1e-3);
}

fn case_of(pattern: &str, constructs: &str, activity: &str) -> Case {
    let text = format!(
        "title = \"check\"\n[patient]\npreset = \"adult-male-average\"\n[fracture]\n{pattern}\n\
         {constructs}\n[[activity]]\nname = \"load\"\n{activity}\n"
    );
    case::parse(&text, "check").unwrap_or_else(|error| panic!("{error}"))
}

fn compared(pattern: &str, constructs: &str, activity: &str) -> Assessment {
    let case = case_of(pattern, constructs, activity);
    assess(&case, Mechanics::Linear).expect("it holds")
}

fn plate(name: &str, keys: &str) -> String {
    format!("[[construct]]\nname = \"{name}\"\n[construct.plate]\n{keys}\n")
}

const GAP: &str = "pattern = \"comminuted\"\ngap_mm = 6";
/// One screw in each fragment carries all that passes the gap: the resultant of its axial and its
/// lateral force is the force on the fragment, pressed along the bone or hung from its end.
///
/// Source: statics of a free fragment, worked by hand. Rounding only.
#[test]
fn a_lone_screw_carries_the_whole_force() {
    let keys = "surface = \"superior\"\nsize = \"limited-contact-3.5\"\nhole_count = 8\n\
                screw = [{ hole = 3 }, { hole = 6 }]";
    for (bench, force) in [
        ("[activity.axial]\nforce_n = 100", 100.0),
        ("[activity.cantilever]\nforce_n = 40", 40.0),
    ] {
        let assessed = compared(GAP, &plate("plate", keys), bench);
        let screws = &assessed.constructs[0].screws;
        assert_eq!(screws.len(), 2);
        for screw in screws {
            let load = &screw.activities[0];
            let resultant = load.axial_force_n.hypot(load.lateral_force_n);
            assert_relative_eq!(resultant, force, max_relative = 1e-6);
            let margin = load.pull_out_margin;
            assert_eq!(margin.is_some(), load.axial_force_n > 0.0);
        }
    }
}

/// The bending stress of a screw is that of its core: `32 M / (π d³)`; a stiff plate at a distance
/// bends its screws as cantilevers held in the cortex, so doubling the standoff raises it.
///
/// Common practice, no source: screws of a plate that stands off are bent more.
#[test]
fn trade_a_plate_that_stands_off_bends_its_screws() {
    let keys = |standoff: f64| {
        format!(
            "surface = \"superior\"\nsize = \"limited-contact-3.5\"\nhole_count = 8\n\
             standoff_mm = {standoff}"
        )
    };
    let constructs = plate("near", &keys(0.0)) + &plate("far", &keys(4.0));
    let assessed = compared(GAP, &constructs, "[activity.axial]\nforce_n = 100");
    let bent = |construct: usize| {
        let screws = assessed.constructs[construct].screws.iter();
        let stress = screws.map(|screw| screw.activities[0].bending_stress_mpa);
        stress.fold(0.0, f64::max)
    };
    assert!(bent(1) > 1.2 * bent(0), "{} {}", bent(0), bent(1));
    // No screw holds by more than the cortex it is in.
    for screw in &assessed.constructs[0].screws {
        assert!(screw.pull_out_n < 70.0 * PI * 3.5 * screw.cortex_mm * 0.8);
    }
}

/// Pushed along the bone over a gap, a smooth nail backs out at its entry; with an end cap it does
/// not, from whichever side it was put in.
///
/// Common practice, no source: what end caps are for. With the cap, no more than the whole push of
/// 20 N over its stiffness of 5000 N/mm; without, half a millimetre at least.
#[test]
fn trade_an_end_cap_keeps_a_nail_from_backing_out() {
    let nail = |side: &str, cap: bool| {
        format!(
            "[[construct]]\nname = \"{side} {cap}\"\n[construct.nail]\ndiameter_mm = 2.5\n\
             shape = \"prebent\"\nentry_side = \"{side}\"\nend_cap = {cap}\n"
        )
    };
    for (side, out) in [("medial", -1.0), ("lateral", 1.0)] {
        let constructs = nail(side, false) + &nail(side, true);
        let case = case_of(GAP, &constructs, "[activity.axial]\nforce_n = 20");
        let setups = case.activities[0].setups(&case.patient, &case.clavicle, 0.5);
        let backed_out = |device: &Device| {
            let broken = Some((&case.fracture, device));
            let construct = Construct::new(&case.clavicle, broken, &setups, Mechanics::Contact);
            let response = &construct.solve(&setups).expect("contact settles")[0];
            let Device::Nail(nail) = device else {
                panic!("a nail");
            };
            let (piece, end) = match nail.enters_medially() {
                true => (construct.device.first(), 0),
                false => (construct.device.last(), 1),
            };
            let member = piece.expect("a nail has members").member;
            let own = response.motion(construct.frame.members[member].nodes[end]);
            let bone = response.motion(construct.node_at(nail.entry));
            let moved = (own - bone).fixed_rows::<3>(0).into_owned();
            out * moved.dot(&case.clavicle.tangent(nail.entry))
        };
        let [free, capped] = [0, 1].map(|i| backed_out(&case.constructs[i].1));
        assert!(free > 0.5, "{side}: {free}");
        assert!(capped < 20.0 / 5000.0 + 1e-6, "{side}: {capped}");
    }
}

/// A straight plate touches the bone somewhere and never runs into it; a contoured one keeps its
/// standoff everywhere.
///
/// Source: geometry. Tolerance 0.1 mm: the plate is raised by samples a few millimetres apart.
#[test]
fn a_straight_plate_touches_the_bone_and_clears_it() {
    for surface in ["superior", "anterior", "anteroinferior"] {
        for (contour, standoff) in [("straight", 0.0), ("straight", 1.0), ("contoured", 1.0)] {
            let keys = format!(
                "surface = \"{surface}\"\nsize = \"compression-3.5\"\nhole_count = 8\n\
                 contour = \"{contour}\"\nstandoff_mm = {standoff}"
            );
            let case = case_of(GAP, &plate("plate", &keys), "[activity.axial]\nforce_n = 1");
            let plate = &case.constructs[0].1.plates()[0];
            let offsets = (0..=96).map(|i| f64::from(i) - 48.0);
            let points = plate_points(plate, &case.clavicle, offsets);
            let clears = |p: &clavibeam::construct::PlatePoint| {
                let out = p.position - case.clavicle.point(p.beside);
                let surface = case.clavicle.surface_distance(p.beside, p.outward);
                out.dot(&p.outward) - surface - plate.thickness / 2.0
            };
            let least = points.iter().map(clears).fold(f64::INFINITY, f64::min);
            assert!(least > standoff - 0.1, "{surface} {contour}: {least}");
            // Tilted outward, the nearest place of a straight plate may stand a little farther off.
            assert!(least < standoff + 1.5, "{surface} {contour}: {least}");
            if contour == "straight" {
                let along = points[96].position - points[0].position;
                assert_relative_eq!(along.norm(), 96.0, max_relative = 1e-12);
            }
        }
    }
}
