//! Straight prismatic beams: cantilevers, simple, propped and built-in beams, springs, arms.
//!
//! Circle d = 10 mm, E = 110000 MPa, ν = 0.3, Cowper's κ = 0.88636…, L = 100 mm, P = 100 N,
//! q = 1 N/mm unless said otherwise; loads act along −z or −y, deflections are given as
//! positive numbers along the load.
//!
//! Source: the beam tables of Roark's *Formulas for Stress and Strain* and Timoshenko's
//! *Strength of Materials* (formulas from memory), closed form.

use approx::assert_relative_eq;
use clavibeam::frame::{CaseSolution, Frame, Law, LoadAxes, LoadCase, MemberAction};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

use crate::common::{TITANIUM, join, section, solved, stations, straight};

const ROUNDING: f64 = 1e-10;
const LENGTH: f64 = 100.0;
const LOAD: f64 = 100.0;
/// `ux uy uz rx` held: a ball joint that also stops torsion.
const PIN: [bool; 6] = [true, true, true, true, false, false];
/// Only the transverse displacements held.
const ROLLER: [bool; 6] = [false, true, true, false, false, false];

fn timoshenko() -> Section {
    Section::circle(10.0, 0.3)
}

fn euler() -> Section {
    timoshenko().without_shear()
}

/// A straight beam along x from 0 to L and how its ends are held.
fn beam(section: Section, count: usize, ends: [[bool; 6]; 2]) -> (Frame, Vec<usize>) {
    let (mut frame, nodes) = straight(LENGTH, count, TITANIUM, section);
    frame.hold(nodes[0], ends[0]);
    frame.hold(nodes[count], ends[1]);
    (frame, nodes)
}

/// `q` along −z on every member.
fn uniform(frame: &Frame, q: f64) -> LoadCase {
    let length = LENGTH / frame.members.len() as f64;
    (0..frame.members.len()).fold(LoadCase::named("uniform"), |case, member| {
        let action = MemberAction::Line {
            stretch: [0.0, length],
            force: [vector![0.0, 0.0, -q]; 2],
            axes: LoadAxes::Global,
        };
        case.with_action(member, action)
    })
}

/// A force along −z on a beam of one member.
fn force_at(at: f64, force: f64) -> LoadCase {
    and_force_at(LoadCase::named("force"), at, force)
}

fn and_force_at(case: LoadCase, at: f64, force: f64) -> LoadCase {
    let action = MemberAction::Point {
        at,
        force: vector![0.0, 0.0, -force],
        moment: Vector3::zeros(),
        axes: LoadAxes::Global,
    };
    case.with_action(0, action)
}

/// Deflection along −z inside a beam of one member.
fn deflection(solution: &CaseSolution, frame: &Frame, case: &LoadCase, at: f64) -> f64 {
    -solution.motion_along(frame, case, 0, at).z
}

fn bending(solution: &CaseSolution, frame: &Frame, case: &LoadCase, at: f64) -> f64 {
    solution.section_forces(frame, case, 0, at).bending()
}

/// Tip force in both planes, one, two and seven elements.
#[test]
fn cantilever_tip_force() {
    for (section, expected) in [
        (euler(), 0.61732826411402),
        (timoshenko(), 0.62072356956665),
    ] {
        for count in [1, 2, 7] {
            let (mut frame, nodes) = straight(LENGTH, count, TITANIUM, section);
            frame.fix(nodes[0]);
            let tip = nodes[count];
            for direction in [Vector3::y(), Vector3::z()] {
                let case = LoadCase::named("tip").with_force(tip, -LOAD * direction);
                let solution = solved(&frame, &case);
                let down = -solution.displacement(tip).dot(&direction);
                assert_relative_eq!(down, expected, max_relative = ROUNDING);
                let turn = solution.rotation(tip).norm();
                assert_relative_eq!(turn, 0.0092599239617103, max_relative = ROUNDING);
                let root = bending(&solution, &frame, &case, 0.0);
                let stress = root * 5.0 / section.second_moment_z;
                assert_relative_eq!(stress, 101.85916357881, max_relative = ROUNDING);
            }
        }
    }
}

/// An ellipse of 12 x 9 mm, L = 20: each direction has a shear area of its own. Second moments
/// and Cowper's coefficients evaluated independently; nine digits of the coefficients are printed.
#[test]
fn each_direction_has_its_own_shear_area() {
    let (length, area) = (20.0, 84.823001646924);
    let (mut frame, nodes) = straight(length, 1, TITANIUM, Section::ellipse(12.0, 9.0, 0.3));
    frame.fix(nodes[0]);
    for (direction, second_moment, coefficient) in [
        (Vector3::y(), 763.40701482232, 0.898074095),
        (Vector3::z(), 429.41644583755, 0.868424460),
    ] {
        let case = LoadCase::named("tip").with_force(nodes[1], LOAD * direction);
        let moved = solved(&frame, &case).displacement(nodes[1]).dot(&direction);
        let bent = LOAD * length.powi(3) / (3.0 * TITANIUM.youngs * second_moment);
        let sheared = LOAD * length / (coefficient * area * TITANIUM.shear);
        assert_relative_eq!(moved, bent + sheared, max_relative = 1e-9);
    }
}

/// L = 20: shear is 12 % of the deflection.
#[test]
fn short_cantilever_tip_force() {
    for (section, expected) in [
        (euler(), 0.0049386261129121),
        (timoshenko(), 0.0056176872034376),
    ] {
        let (mut frame, nodes) = straight(20.0, 1, TITANIUM, section);
        frame.fix(nodes[0]);
        for direction in [Vector3::y(), Vector3::z()] {
            let case = LoadCase::named("tip").with_force(nodes[1], LOAD * direction);
            let moved = solved(&frame, &case).displacement(nodes[1]).dot(&direction);
            assert_relative_eq!(moved, expected, max_relative = ROUNDING);
        }
    }
}

/// A moment of 1000 about y pushes the tip along −z.
#[test]
fn cantilever_tip_moment() {
    let (mut frame, nodes) = straight(LENGTH, 2, TITANIUM, timoshenko());
    frame.fix(nodes[0]);
    let case = LoadCase::named("moment").with_moment(nodes[2], vector![0.0, 1000.0, 0.0]);
    let solution = solved(&frame, &case);
    let (moved, turned) = (
        solution.displacement(nodes[2]).z,
        solution.rotation(nodes[2]).y,
    );
    assert_relative_eq!(-moved, 0.092599239617103, max_relative = ROUNDING);
    assert_relative_eq!(turned, 0.0018519847923421, max_relative = ROUNDING);
}

#[test]
fn simple_beam_centre_force() {
    for (section, expected) in [
        (euler(), 0.038583016507126),
        (timoshenko(), 0.039431842870283),
    ] {
        let (frame, nodes) = beam(section, 1, [PIN, ROLLER]);
        let case = force_at(50.0, LOAD);
        let solution = solved(&frame, &case);
        let centre = deflection(&solution, &frame, &case, 50.0);
        assert_relative_eq!(centre, expected, max_relative = ROUNDING);
        let slope = solution.rotation(nodes[0]).y;
        assert_relative_eq!(slope, 0.0011574904952138, max_relative = ROUNDING);
        let moment = bending(&solution, &frame, &case, 50.0);
        assert_relative_eq!(moment, 2500.0, max_relative = ROUNDING);
    }
}

#[test]
fn simple_beam_uniform_load() {
    for (section, expected) in [
        (euler(), 0.024114385316954),
        (timoshenko(), 0.024538798498532),
    ] {
        let (frame, nodes) = beam(section, 1, [PIN, ROLLER]);
        let case = uniform(&frame, 1.0);
        let solution = solved(&frame, &case);
        let centre = deflection(&solution, &frame, &case, 50.0);
        assert_relative_eq!(centre, expected, max_relative = ROUNDING);
        let slope = solution.rotation(nodes[0]).y;
        assert_relative_eq!(slope, 0.00077166033014252, max_relative = ROUNDING);
        let moment = bending(&solution, &frame, &case, 50.0);
        assert_relative_eq!(moment, 1250.0, max_relative = ROUNDING);
        // Two elements give the same at the middle node.
        let (frame, nodes) = beam(section, 2, [PIN, ROLLER]);
        let centre = -solved(&frame, &uniform(&frame, 1.0))
            .displacement(nodes[1])
            .z;
        assert_relative_eq!(centre, expected, max_relative = ROUNDING);
    }
}

#[test]
fn four_point_bending() {
    for (section, centre, under_load) in [
        (euler(), 0.030557749073644, 0.025001794696618),
        (timoshenko(), 0.031067044891538, 0.025511090514512),
    ] {
        let (frame, _) = beam(section, 1, [PIN, ROLLER]);
        let case = and_force_at(force_at(30.0, LOAD / 2.0), 70.0, LOAD / 2.0);
        let solution = solved(&frame, &case);
        for (at, expected) in [(50.0, centre), (30.0, under_load), (70.0, under_load)] {
            let down = deflection(&solution, &frame, &case, at);
            assert_relative_eq!(down, expected, max_relative = ROUNDING);
        }
        for at in [30.0, 45.0, 70.0] {
            let moment = bending(&solution, &frame, &case, at);
            assert_relative_eq!(moment, 1500.0, max_relative = ROUNDING);
        }
    }
}

#[test]
fn propped_beam_uniform_load() {
    for (section, expected) in [(euler(), 37.5), (timoshenko(), 37.568373943312)] {
        let (frame, nodes) = beam(section, 1, [[true; 6], ROLLER]);
        let case = uniform(&frame, 1.0);
        let reaction = solved(&frame, &case).reaction_force(nodes[1]).z;
        assert_relative_eq!(reaction, expected, max_relative = ROUNDING);
    }
    let (frame, _) = beam(euler(), 1, [[true; 6], ROLLER]);
    let case = uniform(&frame, 1.0);
    let solution = solved(&frame, &case);
    for (at, expected) in [
        (50.0, 0.0096457541267815),
        (57.846483459137, 0.01003057484747),
    ] {
        let down = deflection(&solution, &frame, &case, at);
        assert_relative_eq!(down, expected, max_relative = ROUNDING);
    }
}

#[test]
fn propped_beam_centre_force() {
    for (section, expected) in [(euler(), 31.25), (timoshenko(), 31.352560914968)] {
        let (frame, nodes) = beam(section, 1, [[true; 6], ROLLER]);
        let reaction = solved(&frame, &force_at(50.0, LOAD))
            .reaction_force(nodes[1])
            .z;
        assert_relative_eq!(reaction, expected, max_relative = ROUNDING);
    }
    let (frame, nodes) = beam(euler(), 1, [[true; 6], ROLLER]);
    let case = force_at(50.0, LOAD);
    let solution = solved(&frame, &case);
    let clamp = solution.reaction_moment(nodes[0]).norm();
    assert_relative_eq!(clamp, 1875.0, max_relative = ROUNDING);
    let centre = deflection(&solution, &frame, &case, 50.0);
    assert_relative_eq!(centre, 0.016880069721868, max_relative = ROUNDING);
}

/// The roller of a propped beam, or one end of a built-in beam, moves 1 mm.
#[test]
fn settlement() {
    for (section, propped, built_in) in [
        (euler(), 161.98837120072, 647.95348480289),
        (timoshenko(), 161.10230850395, 634.00536673473),
    ] {
        for (end, expected) in [(ROLLER, propped), ([true; 6], built_in)] {
            let (frame, nodes) = beam(section, 1, [[true; 6], end]);
            let case = LoadCase::named("settles").with_movement(nodes[1], 2, -1.0);
            let reaction = -solved(&frame, &case).reaction_force(nodes[1]).z;
            assert_relative_eq!(reaction, expected, max_relative = ROUNDING);
        }
    }
}

#[test]
fn built_in_beam() {
    for (section, centre, uniform_centre) in [
        (euler(), 0.0096457541267815, 0.0048228770633908),
        (timoshenko(), 0.010494580489938, 0.0052472902449692),
    ] {
        let (frame, nodes) = beam(section, 1, [[true; 6]; 2]);
        for (case, expected, end) in [
            (force_at(50.0, LOAD), centre, 1250.0),
            (uniform(&frame, 1.0), uniform_centre, 2500.0 / 3.0),
        ] {
            let solution = solved(&frame, &case);
            let down = deflection(&solution, &frame, &case, 50.0);
            assert_relative_eq!(down, expected, max_relative = ROUNDING);
            let clamp = solution.reaction_moment(nodes[0]).norm();
            assert_relative_eq!(clamp, end, max_relative = ROUNDING);
        }
    }
    let (frame, nodes) = beam(euler(), 1, [[true; 6]; 2]);
    let case = force_at(30.0, LOAD);
    let solution = solved(&frame, &case);
    // The clamps answer the load along −z with moments about y: hogging at both ends.
    assert_relative_eq!(
        solution.reaction_moment(nodes[0]).y,
        -1470.0,
        max_relative = ROUNDING
    );
    assert_relative_eq!(
        solution.reaction_moment(nodes[1]).y,
        630.0,
        max_relative = ROUNDING
    );
    assert_relative_eq!(
        solution.reaction_force(nodes[0]).z,
        78.4,
        max_relative = ROUNDING
    );
    let down = deflection(&solution, &frame, &case, 30.0);
    assert_relative_eq!(down, 0.0057170770539599, max_relative = ROUNDING);
}

#[test]
fn torsion() {
    let (mut frame, nodes) = straight(LENGTH, 1, TITANIUM, timoshenko());
    frame.fix(nodes[0]);
    let case = LoadCase::named("torque").with_moment(nodes[1], vector![1000.0, 0.0, 0.0]);
    let solution = solved(&frame, &case);
    let twist = solution.rotation(nodes[1]).x;
    assert_relative_eq!(twist, 0.0024075802300447, max_relative = ROUNDING);
    let torque = solution.section_forces(&frame, &case, 0, 40.0).torque;
    let stress = torque * timoshenko().torsion_shear;
    assert_relative_eq!(stress, 5.0929581789407, max_relative = ROUNDING);

    let (frame, nodes) = beam(timoshenko(), 1, [[true; 6]; 2]);
    let action = MemberAction::Point {
        at: 30.0,
        force: Vector3::zeros(),
        moment: vector![1000.0, 0.0, 0.0],
        axes: LoadAxes::Local,
    };
    let case = LoadCase::named("torque at 30").with_action(0, action);
    let solution = solved(&frame, &case);
    let twist = solution.motion_along(&frame, &case, 0, 30.0)[3];
    assert_relative_eq!(twist, 0.00050559184830938, max_relative = ROUNDING);
    let end = solution.reaction_moment(nodes[0]).x;
    assert_relative_eq!(end, -700.0, max_relative = ROUNDING);
}

/// Rotational springs of 5e5 N·mm/rad at the root, at a hinge in the middle, at both ends;
/// a spring of 100 N/mm under the tip.
#[test]
fn springs() {
    const TURN: [f64; 6] = [0.0, 0.0, 0.0, 0.0, 5e5, 0.0];
    const NO_TURN: [bool; 6] = [true, true, true, true, false, true];

    let (mut frame, nodes) = beam(euler(), 1, [NO_TURN, [false; 6]]);
    frame.spring(nodes[0], TURN);
    let case = LoadCase::named("root spring").with_force(nodes[1], vector![0.0, 0.0, -LOAD]);
    let solution = solved(&frame, &case);
    let (moved, turned) = (
        solution.displacement(nodes[1]).z,
        solution.rotation(nodes[1]).y,
    );
    assert_relative_eq!(-moved, 2.617328264114, max_relative = ROUNDING);
    assert_relative_eq!(turned, 0.02925992396171, max_relative = ROUNDING);
    let root = solution.reaction_moment(nodes[0]).y;
    assert_relative_eq!(root, -LOAD * LENGTH, max_relative = ROUNDING);

    // Stiff where the two halves are as one: 1e-8 for the 1e12 springs.
    let mut frame = Frame::default();
    let nodes = stations(&mut frame, [0.0, 50.0, 50.0, 100.0]);
    join(&mut frame, &nodes[..2], TITANIUM, euler());
    join(&mut frame, &nodes[2..], TITANIUM, euler());
    let hinge = Law::Springs([1e12, 1e12, 1e12, 1e12, 5e5, 1e12]);
    frame.add_coupling(
        "hinge",
        [nodes[1], nodes[2]],
        vector![50.0, 0.0, 0.0],
        hinge,
    );
    frame.fix(nodes[0]);
    let case = LoadCase::named("hinge").with_force(nodes[3], vector![0.0, 0.0, -LOAD]);
    let solution = solved(&frame, &case);
    assert_relative_eq!(
        -solution.displacement(nodes[3]).z,
        1.117328264114,
        max_relative = 1e-8
    );
    assert_relative_eq!(
        solution.coupling_forces[0][4],
        LOAD * 50.0,
        max_relative = 1e-8
    );

    let (mut frame, nodes) = beam(euler(), 1, [NO_TURN; 2]);
    frame.spring(nodes[0], TURN);
    frame.spring(nodes[1], TURN);
    for (case, end, centre) in [
        (uniform(&frame, 1.0), 263.7260203247, 0.018009178079626),
        (force_at(50.0, LOAD), 395.58903048705, 0.029425205651134),
    ] {
        let solution = solved(&frame, &case);
        assert_relative_eq!(
            -solution.reaction_moment(nodes[0]).y,
            end,
            max_relative = ROUNDING
        );
        let down = deflection(&solution, &frame, &case, 50.0);
        assert_relative_eq!(down, centre, max_relative = ROUNDING);
    }

    let (mut frame, nodes) = beam(euler(), 1, [[true; 6], [false; 6]]);
    frame.spring(nodes[1], [0.0, 0.0, 100.0, 0.0, 0.0, 0.0]);
    let case = LoadCase::named("tip spring").with_force(nodes[1], vector![0.0, 0.0, -LOAD]);
    let solution = solved(&frame, &case);
    let spring = solution.reaction_force(nodes[1]).z;
    assert_relative_eq!(spring, 38.169633080159, max_relative = ROUNDING);
    let tip = -solution.displacement(nodes[1]).z;
    assert_relative_eq!(tip, 0.38169633080159, max_relative = ROUNDING);
}

/// A rigid arm of 20 mm across the tip, loaded at its end along the beam with 1000 N and
/// across beam and arm with 100 N. The arm is the member's own: its second node is the
/// arm's end.
#[test]
fn rigid_arm_at_the_tip() {
    let mut frame = Frame::default();
    let root = frame.add_node("root", Vector3::zeros());
    let end = frame.add_node("arm's end", vector![LENGTH, 20.0, 0.0]);
    join(&mut frame, &[root, end], TITANIUM, euler());
    frame.members[0].arms[1] = vector![0.0, -20.0, 0.0];
    frame.fix(root);

    let pull = LoadCase::named("along").with_force(end, vector![1000.0, 0.0, 0.0]);
    let solution = solved(&frame, &pull);
    assert_relative_eq!(
        solution.displacement(end).x,
        0.75236882188896,
        max_relative = ROUNDING
    );
    // The pull above the axis bends the beam away from it.
    let tip = solution.motion_along(&frame, &pull, 0, LENGTH);
    assert_relative_eq!(tip.y, -1.8519847923421, max_relative = ROUNDING);

    let across = LoadCase::named("across").with_force(end, vector![0.0, 0.0, 100.0]);
    let solution = solved(&frame, &across);
    assert_relative_eq!(
        solution.rotation(end).x,
        0.0048151604600893,
        max_relative = ROUNDING
    );
    assert_relative_eq!(
        solution.displacement(end).z,
        0.71363147331581,
        max_relative = ROUNDING
    );
}

/// A cantilever whose section has a product moment bends across the load too:
/// `[v w] = L³/3E · [Iz Iyz; Iyz Iy]⁻¹ [Py Pz]` with `Iz = ∫y²`, `Iy = ∫z²`, `Iyz = ∫yz`.
///
/// Source: unsymmetrical bending as in Timoshenko's *Strength of Materials* (from memory).
#[test]
fn product_moment() {
    let (iy, iz, iyz) = (40.0, 120.0, 30.0);
    let skew = Section {
        product_moment: iyz,
        ..section(20.0, iy, iz, 60.0)
    };
    let (mut frame, nodes) = straight(LENGTH, 2, TITANIUM, skew);
    frame.fix(nodes[0]);
    let scale = LENGTH.powi(3) / (3.0 * TITANIUM.youngs * (iy * iz - iyz * iyz));
    // Local y and z are the global ones: `up` is z and the beam runs along x.
    for (force, v, w) in [
        (
            vector![0.0, LOAD, 0.0],
            iy * LOAD * scale,
            -iyz * LOAD * scale,
        ),
        (
            vector![0.0, 0.0, LOAD],
            -iyz * LOAD * scale,
            iz * LOAD * scale,
        ),
    ] {
        let case = LoadCase::named("tip").with_force(nodes[2], force);
        let moved = solved(&frame, &case).displacement(nodes[2]);
        assert_relative_eq!(moved.y, v, max_relative = ROUNDING);
        assert_relative_eq!(moved.z, w, max_relative = ROUNDING);
    }
}

/// A line load that grows from nought at the root to q at the tip of a cantilever:
/// `w = 11 q L⁴/120 E I`, `M = q L²/3` at the root; the halves loaded by two actions.
#[test]
fn cantilever_triangular_load() {
    let (mut frame, nodes) = straight(LENGTH, 1, TITANIUM, euler());
    frame.fix(nodes[0]);
    let part = |stretch: [f64; 2], force: [f64; 2]| MemberAction::Line {
        stretch,
        force: force.map(|q| vector![0.0, 0.0, -q]),
        axes: LoadAxes::Local,
    };
    let case = LoadCase::named("triangle")
        .with_action(0, part([0.0, 50.0], [0.0, 0.5]))
        .with_action(0, part([50.0, 100.0], [0.5, 1.0]));
    let solution = solved(&frame, &case);
    let stiffness = TITANIUM.youngs * euler().second_moment_y;
    let tip = -solution.displacement(nodes[1]).z;
    assert_relative_eq!(
        tip,
        11.0 * LENGTH.powi(4) / (120.0 * stiffness),
        max_relative = ROUNDING
    );
    let root = bending(&solution, &frame, &case, 0.0);
    assert_relative_eq!(root, LENGTH * LENGTH / 3.0, max_relative = ROUNDING);
}
