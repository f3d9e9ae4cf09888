//! Buckling loads against closed forms.
//!
//! Circle d = 10, E = 110000, ν = 0.3, L = 300 mm unless said otherwise.
//!
//! Source, unless said otherwise: Timoshenko & Gere, *Theory of Elastic Stability*, 2nd ed.
//! (1961), chs. 2 and 6 (from memory); closed forms. Euler's, Engesser's and Haringx's
//! loads from `EI`, `GAy` of the section.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use clavibeam::frame::{
    Buckling, Frame, LoadAxes, LoadCase, LoadSense, MemberAction, PathOptions, Profile, buckle,
    follow_path, lobatto,
};
use clavibeam::section::Section;
use nalgebra::vector;

use crate::common::{TITANIUM, assert_order, section, straight};

const LENGTH: f64 = 300.0;

fn slender() -> Section {
    Section::circle(10.0, 0.3).without_shear()
}

fn buckled(frame: &Frame, case: &LoadCase, modes: usize) -> Buckling {
    buckle(frame, case, modes, LoadSense::AsGiven).unwrap_or_else(|error| panic!("{error}"))
}

fn lowest(frame: &Frame, case: &LoadCase) -> f64 {
    buckled(frame, case, 1).load_factors[0]
}

/// How the ends of a column are held, its axis along x: first end, second end.
const PINNED: [[bool; 6]; 2] = [
    [true, true, true, true, false, false],
    [false, true, true, false, false, false],
];
const CANTILEVER: [[bool; 6]; 2] = [[true; 6], [false; 6]];
const CLAMPED: [[bool; 6]; 2] = [[true; 6], [false, true, true, true, true, true]];
const CLAMPED_PINNED: [[bool; 6]; 2] = [[true; 6], [false, true, true, false, false, false]];
const SWAY: [[bool; 6]; 2] = [[true; 6], [false, false, false, true, true, true]];

/// A column under a unit force at its second end.
fn column(length: f64, count: usize, section: Section, held: [[bool; 6]; 2]) -> (Frame, LoadCase) {
    let (mut frame, nodes) = straight(length, count, TITANIUM, section);
    frame.hold(nodes[0], held[0]);
    frame.hold(nodes[count], held[1]);
    let case = LoadCase::named("push").with_force(nodes[count], vector![-1.0, 0.0, 0.0]);
    (frame, case)
}

fn critical(count: usize, section: Section, held: [[bool; 6]; 2]) -> f64 {
    let (frame, case) = column(LENGTH, count, section, held);
    lowest(&frame, &case)
}

/// Euler's columns: 0.1 % with 8 elements, and fourth order, which only a consistent
/// geometric stiffness with bowing reaches.
#[test]
fn euler_columns() {
    for (held, expected) in [
        (PINNED, 5921.337560474),
        (CANTILEVER, 1480.334390118),
        (CLAMPED, 23685.3502419),
        (CLAMPED_PINNED, 12113.56752671),
        (SWAY, 5921.337560474),
    ] {
        let errors = [4, 8, 16].map(|count| critical(count, slender(), held) / expected - 1.0);
        assert!(errors[1].abs() < 1e-3, "{errors:?}");
        assert_order(&errors, 4.0, 0.2);
    }
}

/// Columns that shear: Haringx, not Engesser. With 64 elements what is left of the
/// mesh is a tenth of the difference of the two theories on slender columns; the stubby one,
/// where they differ by 0.22 %, is held to 0.05 %.
#[test]
fn haringx_columns() {
    for (held, haringx, engesser) in [
        (PINNED, 5909.480488474, 5909.456745597),
        (CANTILEVER, 1479.591093311, 1479.590720091),
        (CLAMPED, 23497.87835384, 23496.39458901),
        (CLAMPED_PINNED, 12059.2783519, 12059.05706755),
        (SWAY, 5909.480488474, 5909.456745597),
    ] {
        let found: f64 = critical(64, Section::circle(10.0, 0.3), held);
        let apart: f64 = haringx - engesser;
        assert!(
            (found - haringx).abs() < 0.2 * apart,
            "{found}, not {haringx}"
        );
    }
    let (frame, case) = column(60.0, 16, Section::circle(10.0, 0.3), PINNED);
    let found = lowest(&frame, &case);
    assert_relative_eq!(found, 141258.4624017, max_relative = 5e-4);
}

/// Modes come in order, in pairs for a round column, none missed: `n² PE`, 1 % for the
/// third with 16 elements. Their shapes are half waves. A column in tension has none.
#[test]
fn modes_in_order() {
    let (frame, case) = column(LENGTH, 16, slender(), PINNED);
    let found = buckled(&frame, &case, 6);
    for (mode, factor) in found.load_factors.iter().enumerate() {
        let waves = (mode / 2 + 1) as f64;
        let expected = 5921.337560474 * waves * waves;
        assert_relative_eq!(*factor, expected, max_relative = 1e-2);
    }
    for pair in found.load_factors.chunks(2) {
        assert_relative_eq!(pair[0], pair[1], max_relative = 1e-8);
    }
    for (mode, shape) in found.shapes.iter().enumerate() {
        let waves = (mode / 2 + 1) as f64;
        let sine = |node: usize| (waves * PI * node as f64 / 16.0).sin();
        // Amplitudes along y and z from the node with the largest sine.
        let top = (1..16)
            .max_by(|&a, &b| sine(a).total_cmp(&sine(b)))
            .expect("nodes inside");
        for node in 0..=16 {
            for freedom in [1, 2] {
                let expected = shape[top][freedom] * sine(node) / sine(top);
                let largest = shape[top][1].hypot(shape[top][2]);
                assert!((shape[node][freedom] - expected).abs() < 1e-2 * largest);
            }
        }
    }
    let pull = LoadCase::named("pull").with_force(16, vector![1.0, 0.0, 0.0]);
    let none = buckle(&frame, &pull, 3, LoadSense::AsGiven).expect("proven");
    assert!(none.load_factors.is_empty());
    let reversed = buckle(&frame, &pull, 1, LoadSense::Reversed).expect("proven");
    assert_relative_eq!(
        reversed.load_factors[0],
        -5921.337560474,
        max_relative = 1e-4
    );
}

/// A stepped cantilever, d = 12 over 0–180 and 8 over 180–300, `tan k₁a tan k₂b = k₂/k₁`.
/// With 10 elements below 1e-5.
#[test]
fn stepped_column() {
    let (mut frame, case) = column(LENGTH, 10, slender(), CANTILEVER);
    for (index, member) in frame.members.iter_mut().enumerate() {
        let diameter = if index < 6 { 12.0 } else { 8.0 };
        let section = Section::circle(diameter, 0.3).without_shear();
        member.profile = Profile::Prismatic(section);
    }
    assert_relative_eq!(lowest(&frame, &case), 2070.182562915, max_relative = 1e-5);
}

/// A solid taper from d = 12 to 8: pinned `π² E I₀ (1 − cL)²/L²`, and as a cantilever held
/// at its thick end. 16 elements with seven sections each: below 1e-5.
#[test]
fn tapered_columns() {
    for (held, expected) in [(PINNED, 5457.104695733), (CANTILEVER, 1865.049564007)] {
        let (mut frame, case) = column(LENGTH, 16, slender(), held);
        for (index, member) in frame.members.iter_mut().enumerate() {
            let at = |(x, _): &(f64, f64)| {
                let diameter = 12.0 - 4.0 * (index as f64 + x) / 16.0;
                Section::circle(diameter, 0.3).without_shear()
            };
            member.profile = Profile::Varying(lobatto(7).iter().map(at).collect());
        }
        assert_relative_eq!(lowest(&frame, &case), expected, max_relative = 1e-5);
    }
}

/// A pinned column on springs of `kf` per length in one plane, held in the other; the
/// springs are lumped at 60 nodes, which leaves less than 1e-4. The last has two half waves.
///
/// Source: Hetényi, *Beams on Elastic Foundation* (1946) (from memory); closed form.
#[test]
fn column_on_a_foundation() {
    for (foundation, expected) in [
        (0.1, 6833.228213255),
        (1.0, 15040.24408828),
        (10.0, 46482.61656142),
    ] {
        let (mut frame, case) = column(LENGTH, 60, slender(), PINNED);
        for node in 0..=60 {
            frame.hold(node, [false, false, true, false, true, false]);
            frame.spring(node, [0.0, foundation * 5.0, 0.0, 0.0, 0.0, 0.0]);
        }
        assert_relative_eq!(lowest(&frame, &case), expected, max_relative = 1e-4);
    }
}

/// A cantilever on a rotational spring of 1e6 N·mm/rad: `kL tan kL = c L/EI`; and the same
/// column found by following its path, where the tangent gains a negative eigenvalue.
#[test]
fn column_on_a_sprung_base() {
    let (mut frame, case) = column(
        LENGTH,
        16,
        slender(),
        [[true, true, true, true, false, false], [false; 6]],
    );
    frame.spring(0, [0.0, 0.0, 0.0, 0.0, 1e6, 1e6]);
    assert_relative_eq!(lowest(&frame, &case), 1069.236353765, max_relative = 1e-6);
    for (share, negative) in [(0.999, 0), (1.001, 2)] {
        let factor = 1069.236353765 * share;
        let options = PathOptions {
            load_factors: [f64::NEG_INFINITY, factor],
            ..PathOptions::default()
        };
        let path = follow_path(&frame, &case, &options).expect("a straight column");
        assert_eq!(path.last().negative, negative, "at {share}");
    }
}

/// A cantilever under its own weight, `q L³/EI = 7.837347438943`. The axial force is
/// constant in each element: order two, 1e-3 with 32.
///
/// Source: Greenhill, *Proc. Cambridge Phil. Soc.* 4 (1881) (from memory); Bessel's
/// functions.
#[test]
fn self_weight() {
    let errors = [8, 16, 32].map(|count| {
        let (mut frame, nodes) = straight(LENGTH, count, TITANIUM, slender());
        frame.fix(nodes[0]);
        let mut case = LoadCase::named("weight");
        for member in 0..count {
            let action = MemberAction::Line {
                stretch: [0.0, LENGTH / count as f64],
                force: [vector![-1.0, 0.0, 0.0]; 2],
                axes: LoadAxes::Global,
            };
            case = case.with_action(member, action);
        }
        lowest(&frame, &case) / 15.67356970579 - 1.0
    });
    assert!(errors[2].abs() < 1e-3, "{errors:?}");
    assert_order(&errors, 2.0, 0.2);
}

/// A narrow rectangle, 30 high along z and 3 wide; E = 110000, G = 42307.6923.
fn narrow() -> Section {
    section(90.0, 6750.0, 67.5, 252.983_280_340_3)
}

/// Prandtl's cantilever under a force at its tip: lateral buckling at 4.0126 `√(EI GJ)/L²`;
/// 1 % with 16 elements, and second order. A geometric stiffness of axial forces
/// alone finds nothing here.
///
/// Source: Prandtl, *Kipp-Erscheinungen* (1899) (from memory); zeros of Bessel's functions.
#[test]
fn prandtl_cantilever() {
    let errors = [8, 16, 32].map(|count| {
        let (mut frame, nodes) = straight(LENGTH, count, TITANIUM, narrow());
        frame.fix(nodes[0]);
        let case = LoadCase::named("tip").with_force(nodes[count], vector![0.0, 0.0, -1.0]);
        lowest(&frame, &case) / 397.4542046493 - 1.0
    });
    assert!(errors[1].abs() < 1e-2, "{errors:?}");
    assert_order(&errors, 2.0, 0.2);
}

/// The same under an even load along it, `12.8538 √(EI GJ)/L²` in all.
#[test]
fn prandtl_cantilever_under_even_load() {
    let count = 32;
    let (mut frame, nodes) = straight(LENGTH, count, TITANIUM, narrow());
    frame.fix(nodes[0]);
    let mut case = LoadCase::named("even");
    for member in 0..count {
        let action = MemberAction::Line {
            stretch: [0.0, LENGTH / count as f64],
            force: [vector![0.0, 0.0, -1.0 / LENGTH]; 2],
            axes: LoadAxes::Global,
        };
        case = case.with_action(member, action);
    }
    let stiffness =
        (TITANIUM.youngs * 67.5 * TITANIUM.shear * 252.983_280_340_3).sqrt() / LENGTH.powi(2);
    assert_relative_eq!(
        lowest(&frame, &case),
        12.85376332138 * stiffness,
        max_relative = 1e-2
    );
}

/// The same rectangle on two forks that stop it turning about its axis: under end moments
/// `π √(EI GJ)/L`, under a force at its centre `16.936 √(EI GJ)/L²`. 1 % with 16 elements.
#[test]
fn beam_on_forks() {
    let count = 16;
    let (mut frame, nodes) = straight(LENGTH, count, TITANIUM, narrow());
    frame.hold(nodes[0], PINNED[0]);
    frame.hold(nodes[count], [false, true, true, true, false, false]);
    let even = LoadCase::named("even moment")
        .with_moment(nodes[0], vector![0.0, 1.0, 0.0])
        .with_moment(nodes[count], vector![0.0, -1.0, 0.0]);
    assert_relative_eq!(lowest(&frame, &even), 93353.8912722, max_relative = 1e-2);
    let centre = LoadCase::named("centre").with_force(nodes[count / 2], vector![0.0, 0.0, -1.0]);
    assert_relative_eq!(lowest(&frame, &centre), 1677.550225509, max_relative = 1e-2);
}

/// Beam-columns, by large displacement: transverse force with half Euler's load as thrust
/// or tension, thrust off the axis (secant), and a cantilever. Tolerance 5e-4: the
/// closed forms are of second order, and slopes of up to 0.03 add their square. An area
/// large enough to keep stretch out, which would shorten the column by 3e-4.
#[test]
fn beam_columns() {
    let thrust = 5921.337560474 / 2.0;
    let middle = 8;
    let stiff = Section {
        area: 1e5,
        ..slender()
    };
    let (frame, _) = column(LENGTH, 16, stiff, PINNED);
    let options = PathOptions::default();
    let bent = |axial: f64| {
        let case = LoadCase::named("beam-column")
            .with_force(16, vector![axial, 0.0, 0.0])
            .with_force(middle, vector![0.0, 0.0, 100.0]);
        let path = follow_path(&frame, &case, &options).expect("holds");
        let moment = path
            .solution
            .section_forces(&frame, &case, middle, 0.0)
            .moment_y;
        (path.last().displacement(middle).z, moment.abs())
    };
    let (deflection, moment) = bent(-thrust);
    assert_relative_eq!(deflection, 2.069198349524, max_relative = 5e-4);
    assert_relative_eq!(moment, 13626.21095355, max_relative = 5e-4);
    assert_relative_eq!(bent(thrust).0, 0.6988123921096, max_relative = 5e-4);

    let off_axis = LoadCase::named("secant")
        .with_load(
            16,
            vector![-thrust, 0.0, 0.0],
            vector![0.0, 2.0 * thrust, 0.0],
        )
        .with_moment(0, vector![0.0, -2.0 * thrust, 0.0]);
    let path = follow_path(&frame, &off_axis, &options).expect("holds");
    let deflection = path.last().displacement(middle).z.abs();
    assert_relative_eq!(deflection, 2.504343805686, max_relative = 5e-4);
    let moment = path
        .solution
        .section_forces(&frame, &off_axis, middle, 0.0)
        .moment_y;
    assert_relative_eq!(moment.abs(), 13335.87008095, max_relative = 5e-4);

    let (frame, _) = column(LENGTH, 16, stiff, CANTILEVER);
    // A hundredth of the transverse force, so that slopes stay small.
    let case =
        LoadCase::named("cantilever").with_force(16, vector![-1480.334390118 / 2.0, 0.0, 1.0]);
    let path = follow_path(&frame, &case, &options).expect("holds");
    assert_relative_eq!(
        path.last().displacement(16).z,
        0.3310717359239,
        max_relative = 5e-4
    );
}
