//! The same frame told another way: turned, mirrored, split, swapped, renumbered.

use clavibeam::frame::{Frame, Law, LoadAxes, LoadCase, Member, MemberAction, MemberLoad, Profile};
use clavibeam::section::Section;
use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

use crate::common::{Sample, ends, length};

/// A frame and its loads turned by a rotation, or mirrored by a reflection (which turns the
/// sign of moments and rotations, and of every member's local `y`).
pub fn turned(frame: &Frame, case: &LoadCase, matrix: &Matrix3<f64>) -> (Frame, LoadCase) {
    let sign = matrix.determinant().signum();
    let (mut frame, mut case) = (frame.clone(), case.clone());
    for node in &mut frame.nodes {
        node.position = matrix * node.position;
    }
    for member in &mut frame.members {
        member.arms = member.arms.map(|arm| matrix * arm);
        member.up = matrix * member.up;
        map_sections(member, |section| section.product_moment *= sign);
    }
    for coupling in &mut frame.couplings {
        coupling.at = matrix * coupling.at;
        coupling.axes = matrix * coupling.axes;
        if let Law::Stiffness(law) = &mut coupling.law {
            let signs = Vector6::new(1.0, 1.0, 1.0, sign, sign, sign);
            **law = Matrix6::from_diagonal(&signs) * **law * Matrix6::from_diagonal(&signs);
        }
    }
    for load in &mut case.nodal {
        load.force = matrix * load.force;
        load.moment = sign * matrix * load.moment;
    }
    for load in &mut case.members {
        let turn = |axes: LoadAxes, v: Vector3<f64>| match axes {
            LoadAxes::Global => matrix * v,
            LoadAxes::Local => Vector3::new(v.x, sign * v.y, v.z),
        };
        match &mut load.action {
            MemberAction::Point {
                force,
                moment,
                axes,
                ..
            } => {
                *force = turn(*axes, *force);
                *moment = sign * turn(*axes, *moment);
            }
            MemberAction::Line { force, axes, .. } => *force = force.map(|f| turn(*axes, f)),
            MemberAction::StressFree { curvature_z, .. } => *curvature_z *= sign,
        }
    }
    // Movements are those of all six freedoms of node 0.
    let moved: Vec<f64> = case
        .movements
        .iter()
        .map(|movement| movement.value)
        .collect();
    if let [x, y, z, rx, ry, rz] = moved[..] {
        let shift = matrix * Vector3::new(x, y, z);
        let turn = sign * matrix * Vector3::new(rx, ry, rz);
        for (movement, value) in case.movements.iter_mut().zip(shift.iter().chain(&turn)) {
            movement.value = *value;
        }
    }
    (frame, case)
}

fn map_sections(member: &mut Member, change: impl Fn(&mut Section)) {
    match &mut member.profile {
        Profile::Prismatic(section) => change(section),
        Profile::Varying(sections) => sections.iter_mut().for_each(change),
    }
}

/// Every prismatic member as `count` members in a row; its loads follow. New nodes come last.
pub fn split_members(frame: &Frame, case: &LoadCase, count: usize) -> (Frame, LoadCase) {
    let mut split = Frame {
        members: Vec::new(),
        ..frame.clone()
    };
    let mut loads = Vec::new();
    for (index, member) in frame.members.iter().enumerate() {
        let actions = case.members.iter().filter(|load| load.member == index);
        if let Profile::Varying(_) = member.profile {
            let index = split.members.len();
            loads.extend(actions.map(|load| MemberLoad {
                member: index,
                ..*load
            }));
            split.members.push(member.clone());
            continue;
        }
        let [start, end] = ends(frame, index);
        let piece = length(frame, index) / count as f64;
        let mut from = member.nodes[0];
        for k in 0..count {
            let last = k + 1 == count;
            let to = match last {
                true => member.nodes[1],
                false => split.add_node("between", start.lerp(&end, (k + 1) as f64 / count as f64)),
            };
            let arm = |keep: bool, end: usize| {
                if keep {
                    member.arms[end]
                } else {
                    Vector3::zeros()
                }
            };
            let new = split.members.len();
            split.members.push(Member {
                nodes: [from, to],
                arms: [arm(k == 0, 0), arm(last, 1)],
                ..member.clone()
            });
            let range = [k as f64 * piece, (k + 1) as f64 * piece];
            let parts = actions
                .clone()
                .filter_map(|load| part_of(&load.action, range));
            loads.extend(parts.map(|action| MemberLoad {
                member: new,
                action,
            }));
            from = to;
        }
    }
    let case = LoadCase {
        members: loads,
        ..case.clone()
    };
    (split, case)
}

/// The part of an action that falls on a stretch, in the stretch's own distances.
fn part_of(action: &MemberAction, [from, to]: [f64; 2]) -> Option<MemberAction> {
    match *action {
        MemberAction::Point {
            at,
            force,
            moment,
            axes,
        } => (from..to).contains(&at).then_some(MemberAction::Point {
            at: at - from,
            force,
            moment,
            axes,
        }),
        MemberAction::Line {
            stretch,
            force,
            axes,
        } => {
            let (near, far) = (stretch[0].max(from), stretch[1].min(to));
            let at =
                |x: f64| force[0].lerp(&force[1], (x - stretch[0]) / (stretch[1] - stretch[0]));
            (near < far).then(|| MemberAction::Line {
                stretch: [near - from, far - from],
                force: [at(near), at(far)],
                axes,
            })
        }
        free => Some(free),
    }
}

/// Every member told from its other end: local `x` and `y` turn round, `z` stays.
pub fn swap_ends(frame: &Frame, case: &LoadCase) -> (Frame, LoadCase) {
    let (mut swapped, mut case) = (frame.clone(), case.clone());
    for member in &mut swapped.members {
        member.nodes.reverse();
        member.arms.reverse();
        map_sections(member, |section| section.product_moment *= -1.0);
        if let Profile::Varying(sections) = &mut member.profile {
            sections.reverse();
        }
    }
    for load in &mut case.members {
        let length = length(frame, load.member);
        let turn = |axes: LoadAxes, v: Vector3<f64>| match axes {
            LoadAxes::Global => v,
            LoadAxes::Local => Vector3::new(-v.x, -v.y, v.z),
        };
        match &mut load.action {
            MemberAction::Point {
                at,
                force,
                moment,
                axes,
            } => {
                *at = length - *at;
                *force = turn(*axes, *force);
                *moment = turn(*axes, *moment);
            }
            MemberAction::Line {
                stretch: [from, to],
                force,
                axes,
            } => {
                (*from, *to) = (length - *to, length - *from);
                *force = [turn(*axes, force[1]), turn(*axes, force[0])];
            }
            MemberAction::StressFree { curvature_z, .. } => *curvature_z *= -1.0,
        }
    }
    (swapped, case)
}

/// The frame with its nodes numbered from the other end.
pub fn renumbered(frame: &Frame, case: &LoadCase) -> (Frame, LoadCase) {
    let last = frame.nodes.len() - 1;
    let (mut frame, mut case) = (frame.clone(), case.clone());
    frame.nodes.reverse();
    for nodes in frame.members.iter_mut().map(|member| &mut member.nodes) {
        *nodes = nodes.map(|node| last - node);
    }
    for nodes in frame
        .couplings
        .iter_mut()
        .map(|coupling| &mut coupling.nodes)
    {
        *nodes = nodes.map(|node| last - node);
    }
    frame
        .supports
        .iter_mut()
        .for_each(|support| support.node = last - support.node);
    case.nodal
        .iter_mut()
        .for_each(|load| load.node = last - load.node);
    case.movements
        .iter_mut()
        .for_each(|movement| movement.node = last - movement.node);
    (frame, case)
}

/// A skew chain, nodes named by number, held at node 0 and cut after the node returned: a
/// coupling with one free axis takes the place of a member.
pub fn cut_chain(seed: u64) -> (Frame, usize) {
    let mut sample = Sample::chain(seed, 10);
    let (cut, axis) = ((seed % 8) as usize + 1, (seed / 8 % 6) as usize);
    sample.frame.members.remove(cut);
    let mut springs = [1e4, 1e4, 1e4, 1e6, 1e6, 1e6];
    springs[axis] = 0.0;
    let at = sample.frame.nodes[cut].position;
    let coupling = sample
        .frame
        .add_coupling("cut", [cut, cut + 1], at, Law::Springs(springs));
    sample.frame.couplings[coupling].axes = sample.rotation();
    (sample.frame, cut)
}
