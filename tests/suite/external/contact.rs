//! Stops, faces, rings and grips against closed forms.

use approx::assert_relative_eq;
use clavibeam::frame::{
    AxisLaw, Coupling, Frame, Law, LoadCase, Profile, Settled, Shape, Stage, Status, Touch, settle,
    solve,
};
use clavibeam::section::Section;
use nalgebra::{Matrix3, Rotation3, Vector3, vector};

use crate::common::{TITANIUM, solved, straight};

/// Settles one stage in one step.
pub fn settled(frame: &Frame, case: &LoadCase, steps: usize) -> Settled {
    let stage = Stage {
        case,
        steps,
        friction: true,
    };
    let mut states = settle(frame, &[stage]).expect("it comes to rest");
    states.remove(0)
}

/// A cantilever whose tip meets a stop after a gap: `R = (P − k₀ gap) k/(k₀ + k)` with
/// `k₀ = 3EI/L³`, on either side, and nothing before.
///
/// Source: closed form. Tolerance 1e-9: where the iteration ends.
#[test]
fn cantilever_between_two_stops() {
    let rod = Section::circle(3.0, 0.3).without_shear();
    let (mut frame, nodes) = straight(80.0, 4, TITANIUM, rod);
    let ground = frame.add_node("ground", vector![80.0, 0.0, 0.0]);
    frame.fix(ground);
    frame.fix(nodes[0]);
    let (stiffness, gap) = (50.0, 0.4);
    let stops = [
        AxisLaw::StopAhead { stiffness, gap },
        AxisLaw::StopBehind { stiffness, gap },
    ];
    for stop in stops {
        let mut axes = [AxisLaw::Free; 6];
        axes[1] = stop;
        let at = vector![80.0, 0.0, 0.0];
        frame.add_coupling("stop", [ground, nodes[4]], at, Law::Axes(axes));
    }
    let own = 3.0 * TITANIUM.youngs * rod.second_moment_z / 80.0_f64.powi(3);
    for force in [
        -20.0,
        -1.5 * own * gap,
        -0.9 * own * gap,
        0.5 * own * gap,
        12.0,
    ] {
        let case = LoadCase::named("push").with_force(nodes[4], vector![0.0, force, 0.0]);
        let state = settled(&frame, &case, 1);
        let over = (force.abs() - own * gap).max(0.0) * stiffness / (own + stiffness);
        let (ahead, behind) = if force > 0.0 {
            (over, 0.0)
        } else {
            (0.0, -over)
        };
        let forces = &state.solution.coupling_forces;
        assert_relative_eq!(forces[0][1], ahead, max_relative = 1e-8, epsilon = 1e-9);
        assert_relative_eq!(forces[1][1], behind, max_relative = 1e-8, epsilon = 1e-9);
        assert!(state.effort.unbalanced.len() <= 15);
    }
}

/// A block on a face, pressed by N and pushed along it, on a spring.
struct Block {
    frame: Frame,
    block: usize,
}

const PRESSING: f64 = 100.0;
const FRICTION: f64 = 0.3;
const SHEAR: f64 = 2000.0;
const SPRING: f64 = 40.0;

fn block_on_a_face() -> Block {
    let mut frame = Frame::default();
    let ground = frame.add_node("ground", Vector3::zeros());
    let block = frame.add_node("block", Vector3::zeros());
    frame.fix(ground);
    frame.hold(block, [false, false, false, true, true, true]);
    frame.spring(block, [0.0, SPRING, SPRING, 0.0, 0.0, 0.0]);
    let touch = Touch {
        shape: Shape::Face { gap: 0.0 },
        stiffness: 1e4,
        friction: FRICTION,
        shear_stiffness: SHEAR,
    };
    frame.add_coupling("face", [ground, block], Vector3::zeros(), Law::Touch(touch));
    Block { frame, block }
}

/// A block sticks up to `μN`, slides beyond, and keeps `2μN` of hysteresis on the way back.
///
/// Source: closed form (elastic–ideally sliding element beside a spring). Tolerance 1e-8:
/// where the iteration ends.
#[test]
fn block_on_a_rough_face() {
    let Block { frame, block } = block_on_a_face();
    let push =
        |force: f64| LoadCase::named("push").with_force(block, vector![-PRESSING, force, 0.0]);
    let cases = [
        push(0.0),
        push(20.0),
        push(50.0),
        push(80.0),
        push(30.0),
        push(0.0),
        push(-20.0),
    ];
    let stages: Vec<Stage> = cases
        .iter()
        .map(|case| Stage {
            case,
            steps: 1,
            friction: true,
        })
        .collect();
    let states = settle(&frame, &stages).expect("it comes to rest");
    let limit = FRICTION * PRESSING;
    // By hand: rest of the friction element is carried along once it slides.
    let mut rest = 0.0;
    for (state, force) in states.iter().zip([0.0, 20.0, 50.0, 80.0, 30.0, 0.0, -20.0]) {
        let stuck = (force + SHEAR * rest) / (SPRING + SHEAR);
        let held: f64 = SHEAR * (stuck - rest);
        let (moved, status) = match held.abs() <= limit {
            true => (stuck, Status::Holding),
            false => ((force - limit.copysign(held)) / SPRING, Status::Sliding),
        };
        if status == Status::Sliding {
            rest = moved - limit.copysign(held) / SHEAR;
        }
        let found = state.solution.displacement(block).y;
        assert_relative_eq!(found, moved, max_relative = 1e-8, epsilon = 1e-10);
        assert_eq!(state.solution.touches[0].status, status, "at {force} N");
    }
}

/// A screw thread strips at its limit and keeps what it has lost.
///
/// Source: closed form (elastic–ideally plastic element beside a spring). Tolerance as above.
#[test]
fn grip_that_strips() {
    let mut frame = Frame::default();
    let ground = frame.add_node("ground", Vector3::zeros());
    let screw = frame.add_node("screw", Vector3::zeros());
    frame.fix(ground);
    frame.hold(screw, [false, true, true, true, true, true]);
    frame.spring(screw, [100.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
    let mut axes = [AxisLaw::Free; 6];
    axes[0] = AxisLaw::Grip {
        stiffness: 900.0,
        strip: 60.0,
    };
    frame.add_coupling("thread", [ground, screw], Vector3::zeros(), Law::Axes(axes));
    let pull = |force: f64| LoadCase::named("pull").with_force(screw, vector![force, 0.0, 0.0]);
    let cases = [pull(50.0), pull(100.0), pull(0.0)];
    let stage = |case| Stage {
        case,
        steps: 1,
        friction: true,
    };
    let states = settle(
        &frame,
        &[stage(&cases[0]), stage(&cases[1]), stage(&cases[2])],
    )
    .expect("it comes to rest");
    let moved = |k: usize| states[k].solution.displacement(screw).x;
    assert_relative_eq!(moved(0), 50.0 / 1000.0, max_relative = 1e-8);
    assert_relative_eq!(moved(1), 40.0 / 100.0, max_relative = 1e-8);
    // It holds again, at rest where it stood less its elastic part.
    let rest = 0.4 - 60.0 / 900.0;
    assert_relative_eq!(moved(2), 900.0 * rest / 1000.0, max_relative = 1e-8);
    assert_relative_eq!(
        states[1].solution.touches[0].slid,
        0.4 - 60.0 / 900.0,
        max_relative = 1e-8
    );
}

/// A nut tightened against a stop: bolt and joint share the outside force by their
/// stiffnesses, `F_bolt = F₀ + P kb/(kb + kc)`, until the joint parts at `F₀ (kb + kc)/kc`.
///
/// Source: Shigley, bolted joints (from memory; textbook form). Tolerance as above.
#[test]
fn bolt_and_joint() {
    let (bolt, joint, turn) = (3000.0, 9000.0, 0.02);
    let mut frame = Frame::default();
    let ground = frame.add_node("ground", Vector3::zeros());
    let head = frame.add_node("head", Vector3::zeros());
    frame.fix(ground);
    frame.hold(head, [false, true, true, true, true, true]);
    let mut axes = [AxisLaw::Free; 6];
    axes[0] = AxisLaw::StopBehind {
        stiffness: joint,
        gap: 0.0,
    };
    frame.add_coupling("joint", [ground, head], Vector3::zeros(), Law::Axes(axes));
    let springs = [bolt, 0.0, 0.0, 0.0, 0.0, 0.0];
    let thread = frame.add_coupling(
        "bolt",
        [ground, head],
        Vector3::zeros(),
        Law::Springs(springs),
    );
    let preload = turn * bolt * joint / (bolt + joint);
    for share in [0.0, 0.5, 1.0, 1.2, 2.0] {
        let parts = preload * (bolt + joint) / joint;
        let pull = share * parts;
        let case = LoadCase::named("pull")
            .with_force(head, vector![pull, 0.0, 0.0])
            .with_tightening(thread, 0, -turn);
        let force = settled(&frame, &case, 1).solution.coupling_forces[thread][0];
        let expected = match share <= 1.0 {
            true => preload + pull * bolt / (bolt + joint),
            false => pull,
        };
        assert_relative_eq!(force, expected, max_relative = 1e-8);
    }
}

/// A ring gives the same in all directions: turned by any angle, the answer turns with it.
///
/// Source: symmetry. Tolerance 1e-8: where the iteration ends.
#[test]
fn clearance_in_two_planes() {
    let pushed = |angle: f64| {
        let rod = Section::circle(3.0, 0.3).without_shear();
        let (mut frame, nodes) = straight(80.0, 4, TITANIUM, rod);
        frame.fix(nodes[0]);
        let ground = frame.add_node("ground", vector![80.0, 0.0, 0.0]);
        frame.fix(ground);
        let touch = Touch {
            shape: Shape::Ring {
                clearance: 0.3,
                offset: [0.0, 0.0],
            },
            stiffness: 300.0,
            friction: 0.0,
            shear_stiffness: 0.0,
        };
        frame.add_coupling(
            "hole",
            [ground, nodes[4]],
            vector![80.0, 0.0, 0.0],
            Law::Touch(touch),
        );
        let force = vector![0.0, angle.cos(), angle.sin()] * 20.0;
        let case = LoadCase::named("push").with_force(nodes[4], force);
        let moved = settled(&frame, &case, 1).solution.displacement(nodes[4]);
        let own = 3.0 * TITANIUM.youngs * rod.second_moment_z / 80.0_f64.powi(3);
        // k₀ w + k (w − c) = P
        assert_relative_eq!(
            moved.norm(),
            (20.0 + 300.0 * 0.3) / (own + 300.0),
            max_relative = 1e-8
        );
        Rotation3::from_axis_angle(&Vector3::x_axis(), -angle) * moved
    };
    let straight_on = pushed(0.0);
    for angle in [0.3, 1.1, 2.5, 4.0, 5.9] {
        assert_relative_eq!(
            pushed(angle),
            straight_on,
            max_relative = 1e-8,
            epsilon = 1e-10
        );
    }
}

/// Where contact never opens and never slides, the answer is that of linear springs.
///
/// Source: the linear solution. Tolerance 1e-8: where the iteration ends.
#[test]
fn contact_that_never_opens_is_linear() {
    let build = |law: Law| {
        let (mut frame, nodes) = straight(60.0, 6, TITANIUM, Section::circle(4.0, 0.3));
        frame.fix(nodes[0]);
        let ground = frame.add_node("ground", vector![60.0, 0.0, 0.0]);
        frame.fix(ground);
        let at = vector![60.0, 0.0, 0.0];
        frame.couplings.push(Coupling {
            name: "foot".into(),
            nodes: [ground, nodes[6]],
            at,
            axes: Matrix3::from_columns(&[Vector3::y(), Vector3::z(), Vector3::x()]),
            law,
        });
        let push = vector![3.0, -40.0, 5.0];
        (frame, LoadCase::named("push").with_force(nodes[6], push))
    };
    let (touching, case) = build(Law::Touch(Touch {
        shape: Shape::Face { gap: 0.0 },
        stiffness: 700.0,
        friction: 100.0,
        shear_stiffness: 90.0,
    }));
    let (sprung, _) = build(Law::Springs([700.0, 90.0, 90.0, 0.0, 0.0, 0.0]));
    let contact = solve(&touching, std::slice::from_ref(&case)).expect("it holds");
    let linear = solved(&sprung, &case);
    for (a, b) in contact.cases[0]
        .displacements
        .iter()
        .zip(&linear.displacements)
    {
        assert_relative_eq!(a, b, max_relative = 1e-8, epsilon = 1e-10);
    }
}

/// An elastic bar in a sleeve that grips it evenly, pulled at its end, let go and pulled again:
/// `u = F²/2EAq` the first time, `F²/4EAq` left behind, with `q` the friction per length.
///
/// Source: closed form (shear lag of an elastic bar with friction that does not depend on
/// movement, as in the pull-out of fibres). Tolerance 1 %: 400 places of friction stand for an
/// even one, and give elastically by 1e-3 of what slides.
#[test]
fn bar_pulled_from_a_rough_sleeve() {
    let (length, places) = (100.0, 400);
    let rod = Section::circle(2.0, 0.3);
    let spacing = length / places as f64;
    let (per_place, pull) = (0.5, 150.0);
    let mut frame = Frame::default();
    let mut nodes: Vec<usize> = Vec::new();
    for i in 0..=places {
        let at = vector![i as f64 * spacing, 0.0, 0.0];
        let node = frame.add_node(format!("bar {i}"), at);
        frame.hold(node, [false, false, false, true, true, true]);
        if let Some(&before) = nodes.last() {
            let profile = Profile::Prismatic(rod);
            frame.add_member("bar", [before, node], Vector3::z(), TITANIUM, profile);
        }
        nodes.push(node);
        let sleeve = frame.add_node(format!("sleeve {i}"), at);
        frame.fix(sleeve);
        // Too large by e all round: pressed with 2ke.
        let touch = Touch {
            shape: Shape::Ring {
                clearance: -per_place / (2.0 * 1000.0 * FRICTION),
                offset: [0.0, 0.0],
            },
            stiffness: 1000.0,
            friction: FRICTION,
            shear_stiffness: 1e5,
        };
        frame.add_coupling(format!("grip {i}"), [sleeve, node], at, Law::Touch(touch));
    }
    let end = nodes[places];
    let cases = [pull, 0.0, pull]
        .map(|force| LoadCase::named("pull").with_force(end, vector![force, 0.0, 0.0]));
    let stages = cases.each_ref().map(|case| Stage {
        case,
        steps: 4,
        friction: true,
    });
    let states = settle(&frame, &stages).expect("it comes to rest");
    let moved = |stage: usize| states[stage].solution.displacement(end).x;
    let axial = TITANIUM.youngs * rod.area;
    let whole = pull * pull / (2.0 * axial * per_place / spacing);
    assert_relative_eq!(moved(0), whole, max_relative = 0.01);
    assert_relative_eq!(moved(1), whole / 2.0, max_relative = 0.01);
    assert_relative_eq!(moved(2), whole, max_relative = 0.01);
}
