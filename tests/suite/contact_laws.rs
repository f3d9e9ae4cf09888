//! Laws that hold for any frame with contact, over seeded random rods in canals.

use clavibeam::frame::{
    AxisLaw, Frame, Law, LoadCase, Profile, Settled, Shape, SolveError, Stage, Status, Touch,
    settle, settle_each,
};
use clavibeam::section::Section;
use nalgebra::{Matrix3, Rotation3, Vector3, Vector6, vector};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use crate::common::{BONE, TITANIUM, difference};

/// A straight rod put into the curved canal of an elastic bone that is held at its first end,
/// and forces on the bone.
struct Sample {
    frame: Frame,
    put_in: LoadCase,
    serve: LoadCase,
}

impl Sample {
    fn new(seed: u64, friction: bool) -> Self {
        let mut rng = StdRng::seed_from_u64(seed);
        let mut between = |low: f64, high: f64| rng.random_range(low..high);
        let count = between(8.0, 30.0) as usize;
        let (a, b, p, q) = (
            between(-6.0, 6.0),
            between(-3.0, 3.0),
            between(0.0, 6.0),
            between(-2.0, 2.0),
        );
        let press_fit = between(0.0, 1.0) < 0.15;
        let clearance = match press_fit {
            true => between(-0.05, 0.0),
            false => 10f64.powf(between(-1.5, 0.5)),
        };
        let stiffness = 10f64.powf(between(2.0, 7.0));
        let coefficient = if friction { between(0.05, 0.6) } else { 0.0 };
        let rod = Profile::Prismatic(Section::circle(between(1.5, 4.0), 0.3).without_shear());
        let bone = Profile::Prismatic(Section::circle(between(7.0, 12.0), 0.3).without_shear());
        let mut frame = Frame::default();
        let (mut rods, mut bones): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
        for i in 0..=count {
            let share = i as f64 / count as f64;
            let y = a * (3.1 * share + p).sin() + b * (6.3 * share + q).sin();
            let z = q * (3.3 * share + a).sin();
            let at = vector![110.0 * share, 0.0, 0.0];
            let node = frame.add_node(format!("rod {i}"), at);
            let wall = frame.add_node(format!("bone {i}"), at + vector![0.0, y, z]);
            if let (Some(&before), Some(&wall_before)) = (rods.last(), bones.last()) {
                frame.add_member("rod", [before, node], Vector3::z(), TITANIUM, rod.clone());
                frame.add_member(
                    "bone",
                    [wall_before, wall],
                    Vector3::z(),
                    BONE,
                    bone.clone(),
                );
            }
            let touch = Touch {
                shape: Shape::Ring {
                    clearance,
                    offset: [-y, -z],
                },
                stiffness,
                friction: coefficient,
                shear_stiffness: stiffness.min(1e3),
            };
            frame.add_coupling(format!("canal {i}"), [wall, node], at, Law::Touch(touch));
            rods.push(node);
            bones.push(wall);
        }
        frame.fix(bones[0]);
        frame.spring(rods[0], [10.0, 1e-2, 1e-2, 100.0, 0.0, 0.0]);
        frame.spring(rods[count], [0.0, 1e-2, 1e-2, 0.0, 0.0, 0.0]);
        let force = vector![
            between(-40.0, 40.0),
            between(-40.0, 40.0),
            between(-40.0, 40.0)
        ];
        Sample {
            frame,
            put_in: LoadCase::named("put in"),
            serve: LoadCase::named("serve").with_force(bones[count], force),
        }
    }

    /// Put in without friction, then loaded.
    fn settled(&self, steps: usize) -> Vec<Settled> {
        let stage = |case, steps, friction| Stage {
            case,
            steps,
            friction,
        };
        settle(
            &self.frame,
            &[
                stage(&self.put_in, 1, false),
                stage(&self.serve, steps, true),
            ],
        )
        .unwrap_or_else(|error| panic!("it comes to rest: {error}"))
    }

    /// Turned as a whole.
    fn turned(&self, turn: &Matrix3<f64>) -> Sample {
        let mut frame = self.frame.clone();
        for node in &mut frame.nodes {
            node.position = turn * node.position;
        }
        for member in &mut frame.members {
            member.up = turn * member.up;
        }
        for coupling in &mut frame.couplings {
            coupling.at = turn * coupling.at;
            coupling.axes = turn * coupling.axes;
        }
        // Supports lie along global axes, so springs become couplings to a ground.
        let mut serve = self.serve.clone();
        for load in &mut serve.nodal {
            load.force = turn * load.force;
        }
        let sprung: Vec<_> = frame
            .supports
            .iter()
            .copied()
            .filter(|s| s.fixed == [false; 6])
            .collect();
        frame.supports.retain(|s| s.fixed != [false; 6]);
        for support in sprung {
            let at = frame.nodes[support.node].position;
            let ground = frame.add_node("ground", at);
            frame.fix(ground);
            let law = Law::Springs(support.springs);
            let coupling = frame.add_coupling("spring", [ground, support.node], at, law);
            frame.couplings[coupling].axes = *turn;
        }
        Sample {
            frame,
            put_in: self.put_in.clone(),
            serve,
        }
    }
}

/// Random rods settle, and nothing is told that is not a number.
#[test]
fn random_rods_settle() {
    for seed in 0..200 {
        for state in Sample::new(seed, true).settled(4) {
            let all = state.solution.displacements.iter().flat_map(|u| u.iter());
            assert!(all.clone().all(|u| u.is_finite()), "seed {seed}");
            assert!(state.solution.residual <= 1e-8, "seed {seed}");
        }
    }
}

/// Pressure never pulls, friction stays within `μp`, and what is open carries nothing.
#[test]
fn surfaces_only_push_and_rub_within_their_bound() {
    for seed in 0..60 {
        let sample = Sample::new(seed, true);
        let states = sample.settled(4);
        let last = &states[1].solution;
        for touch in &last.touches {
            let force = last.coupling_forces[touch.coupling];
            assert!(touch.pressure >= 0.0, "seed {seed}");
            assert!(touch.slid >= 0.0, "seed {seed}");
            if touch.status == Status::Open {
                assert_eq!(force, Vector6::zeros(), "seed {seed}");
            }
            let Law::Touch(law) = &sample.frame.couplings[touch.coupling].law else {
                panic!("all couplings are surfaces");
            };
            let bound = law.friction * touch.pressure;
            assert!(force[0].abs() <= bound * (1.0 + 1e-6) + 1e-9, "seed {seed}");
        }
    }
}

/// Without friction the number of steps does not matter.
///
/// Tolerance 1e-6: pressures converge to 1e-9 of the acting forces, loose ends magnify that.
#[test]
fn steps_do_not_matter_without_friction() {
    for seed in 0..40 {
        let sample = Sample::new(seed, false);
        let (one, many) = (sample.settled(1), sample.settled(7));
        let [one, many] = [&one[1], &many[1]].map(|s| &s.solution.displacements);
        assert!(
            difference(one, many) < 1e-6,
            "seed {seed}: {}",
            difference(one, many)
        );
    }
}

/// Without friction it does not matter where it starts from: by way of another load, the same
/// answer.
///
/// Tolerance as above.
#[test]
fn the_way_there_does_not_matter_without_friction() {
    for seed in 0..40 {
        let sample = Sample::new(seed, false);
        let load = sample.serve.nodal[0];
        let turned = vector![-load.force.y, 2.0 * load.force.x, load.force.z];
        let detour = LoadCase::named("detour").with_force(load.node, turned * 2.0);
        let stages = [&sample.put_in, &detour, &sample.serve].map(|case| Stage {
            case,
            steps: 1,
            friction: true,
        });
        let way_round = settle(&sample.frame, &stages).expect("it comes to rest");
        let straight = sample.settled(1);
        let apart = difference(
            &way_round[2].solution.displacements,
            &straight[1].solution.displacements,
        );
        assert!(apart < 1e-6, "seed {seed}: {apart}");
    }
}

/// Loads that come on each by itself give what each gives alone, whatever came before it.
#[test]
fn each_load_comes_on_from_the_first_stage() {
    for seed in 0..10 {
        let sample = Sample::new(seed, true);
        let load = sample.serve.nodal[0];
        let other = LoadCase::named("other").with_force(load.node, -load.force);
        let stage = |case, friction| Stage {
            case,
            steps: 2,
            friction,
        };
        let first = stage(&sample.put_in, false);
        let then = [stage(&other, true), stage(&sample.serve, true)];
        let (_, each) = settle_each(&sample.frame, &first, &then).expect("it comes to rest");
        let both = then.into_iter().zip(each).enumerate();
        for (place, (stage, settled)) in both {
            let alone = settle(&sample.frame, &[first, stage]).expect("it comes to rest");
            let alone = &alone[1];
            assert_eq!(alone.solution, settled.solution, "seed {seed}");
            // The second finds the equations of the first still there.
            let efforts = [settled.effort, alone.effort.clone()];
            let [with, without] = efforts.map(|effort| effort.factorisations);
            assert_eq!(with < without, place > 0, "seed {seed}: {with}, {without}");
        }
    }
}

/// Turning the whole model turns the answer.
#[test]
fn turning_the_model_turns_the_answer() {
    for seed in 0..20 {
        let sample = Sample::new(seed, false);
        let turn = *Rotation3::new(vector![0.4 + seed as f64, -1.1, 0.7]).matrix();
        let turned = sample.turned(&turn);
        let plain = sample.turned(&Matrix3::identity());
        let (a, b) = (plain.settled(1), turned.settled(1));
        let back: Vec<Vector6<f64>> = b[1]
            .solution
            .displacements
            .iter()
            .map(|u| {
                let (moved, turned) = (u.fixed_rows::<3>(0), u.fixed_rows::<3>(3));
                crate::common::stack(turn.transpose() * moved, turn.transpose() * turned)
            })
            .collect();
        let apart = difference(&back, &a[1].solution.displacements);
        assert!(apart < 1e-6, "seed {seed}: {apart}");
    }
}

/// Along a closed cycle of load the work done is not negative: contact creates no energy and
/// friction only takes.
///
/// The work of the end force by the trapezium rule over 20 steps each way.
#[test]
fn a_cycle_of_load_never_gains_energy() {
    let mut dissipating = 0;
    for (seed, friction) in (0..12).flat_map(|seed| [(seed, false), (seed, true)]) {
        let sample = Sample::new(seed, friction);
        let load = sample.serve.nodal[0];
        let shares = (0..=20).chain((0..20).rev()).map(|k| f64::from(k) / 20.0);
        let cases: Vec<LoadCase> = shares
            .clone()
            .map(|share| LoadCase::named("part").with_force(load.node, load.force * share))
            .collect();
        let mut stages = vec![Stage {
            case: &sample.put_in,
            steps: 1,
            friction: false,
        }];
        stages.extend(cases.iter().map(|case| Stage {
            case,
            steps: 1,
            friction: true,
        }));
        let states = settle(&sample.frame, &stages).expect("it comes to rest");
        let shares: Vec<f64> = shares.collect();
        let along: Vec<f64> = states[1..]
            .iter()
            .map(|state| state.solution.displacement(load.node).dot(&load.force))
            .collect();
        let work: f64 = (1..along.len())
            .map(|k| (along[k] - along[k - 1]) * (shares[k] + shares[k - 1]) / 2.0)
            .sum();
        let size = along[20] - along[0];
        assert!(
            work >= -1e-6 * size.abs(),
            "seed {seed}: gains {work} of {size}"
        );
        match friction {
            true => dissipating += usize::from(work > 1e-6 * size),
            false => assert!(
                work.abs() < 1e-6 * size.abs(),
                "seed {seed}: loses {work} of {size}"
            ),
        }
    }
    assert!(dissipating >= 6, "friction takes nothing: {dissipating}");
}

/// Where nothing but contact without friction holds a part, its place along the wall is
/// undetermined: the error names the node and the motion.
#[test]
fn rest_on_a_smooth_wall_is_undetermined() {
    let mut frame = Frame::default();
    let hole = frame.add_node("hole", Vector3::zeros());
    let slider = frame.add_node("slider", Vector3::zeros());
    frame.fix(hole);
    let smooth = Touch {
        shape: Shape::Ring {
            clearance: 0.1,
            offset: [0.0; 2],
        },
        stiffness: 1e3,
        friction: 0.0,
        shear_stiffness: 0.0,
    };
    let nodes = [hole, slider];
    frame.add_coupling("wall", nodes, Vector3::zeros(), Law::Touch(smooth));
    let turning = Law::Springs([0.0, 1.0, 1.0, 10.0, 10.0, 10.0]);
    frame.add_coupling("turning", nodes, Vector3::zeros(), turning);
    let case = LoadCase::named("down").with_force(slider, -Vector3::z() * 10.0);
    let stage = Stage {
        case: &case,
        steps: 1,
        friction: true,
    };
    let error = settle(&frame, &[stage]).expect_err("nothing holds it along the hole");
    assert_eq!(
        error,
        SolveError::Undetermined {
            case: "down".into(),
            node: "slider".into(),
            motion: "move along x",
        }
    );
}

/// A part that a stop alone has held, and that the stop has left, is held by nothing.
#[test]
fn what_a_stop_has_left_is_undetermined() {
    let mut frame = Frame::default();
    let ground = frame.add_node("ground", Vector3::zeros());
    let slider = frame.add_node("slider", Vector3::zeros());
    frame.fix(ground);
    let mut axes = [AxisLaw::Spring(1e3); 6];
    axes[0] = AxisLaw::StopAhead {
        stiffness: 1e3,
        gap: 0.0,
    };
    frame.add_coupling("stop", [ground, slider], Vector3::zeros(), Law::Axes(axes));
    let press = LoadCase::named("press").with_force(slider, Vector3::x() * 10.0);
    let leave = LoadCase::named("leave").with_movement(ground, 0, 1.0);
    let stages = [&press, &leave].map(|case| Stage {
        case,
        steps: 1,
        friction: true,
    });
    assert!(settle(&frame, &stages[..1]).is_ok());
    let error = settle(&frame, &stages).expect_err("nothing holds it any more");
    assert_eq!(
        error,
        SolveError::Undetermined {
            case: "leave".into(),
            node: "slider".into(),
            motion: "move along x",
        }
    );
}

/// Stops ahead and behind that leave no room between them, and two places for one movement,
/// are refused by name, also where no file stands behind the frame.
#[test]
fn contradictions_are_refused_by_name() {
    let mut frame = Frame::default();
    let ground = frame.add_node("ground", Vector3::zeros());
    let block = frame.add_node("block", Vector3::zeros());
    frame.fix(ground);
    let springs = Law::Springs([1.0, 1.0, 1.0, 10.0, 10.0, 10.0]);
    frame.add_coupling("bed", [ground, block], Vector3::zeros(), springs);
    let moved_twice = LoadCase::named("twice")
        .with_movement(ground, 2, 1.0)
        .with_movement(ground, 2, 1.5);
    let refused = |frame: &Frame, case: &LoadCase| {
        let stage = Stage {
            case,
            steps: 1,
            friction: true,
        };
        settle(frame, &[stage])
            .expect_err("contradictory")
            .to_string()
    };
    assert_eq!(
        refused(&frame, &moved_twice),
        "load case 'twice': uz of node 'ground' is moved to two places at once"
    );
    let stop = |law: AxisLaw| {
        let free = AxisLaw::Free;
        Law::Axes([law, free, free, free, free, free])
    };
    let (stiffness, gap) = (100.0, -0.1);
    let [ahead, behind] = [
        AxisLaw::StopAhead { stiffness, gap },
        AxisLaw::StopBehind { stiffness, gap },
    ];
    for (name, law) in [("front", ahead), ("back", behind)] {
        frame.add_coupling(name, [ground, block], Vector3::zeros(), stop(law));
    }
    assert_eq!(
        refused(&frame, &LoadCase::named("rest")),
        "couplings 'front' and 'back' have stops ahead and behind that leave no room between them"
    );
}
