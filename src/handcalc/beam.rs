//! What of a frame file a textbook knows: a straight even member by itself, and what loads it.

use nalgebra::{Matrix3, Vector3};

use crate::frame::{
    Coupling, Frame, LoadAxes, LoadCase, Member, MemberAction, Moduli, Profile, Support,
};
use crate::frame_file::{FrameFile, MemberPath};
use crate::section::Section;

/// Lengths that differ by less, mm, are the same.
const SAME: f64 = 1e-6;

/// A straight member of one section that is loaded and held at its ends, or along all of it.
pub(super) struct Beam<'a> {
    pub path: &'a MemberPath,
    pub length: f64,
    pub section: Section,
    pub moduli: Moduli,
    pub ends: Ends,
    /// Rows are its local axes.
    pub axes: Matrix3<f64>,
}

/// How a member is held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Ends {
    /// Built in at one end, free at the other.
    Cantilever { root_first: bool },
    /// Hinges or rollers at both ends.
    Simple,
    /// By what statics of the member alone does not tell, in words.
    Shared(String),
}

/// What acts on a member, local axes.
#[derive(Debug, Clone, Default)]
pub(super) struct Acting {
    /// Distance from its first end, force, moment.
    pub points: Vec<(f64, Vector3<f64>, Vector3<f64>)>,
    /// Force per length along the whole of it.
    pub even: Option<Vector3<f64>>,
}

impl<'a> Beam<'a> {
    /// Recognises a member, or says why no textbook formula is at hand.
    pub fn recognised(file: &FrameFile, path: &'a MemberPath) -> Result<Self, String> {
        let frame = &file.frame;
        let elements = &frame.members[path.first_element..][..path.element_count()];
        let first = &elements[0];
        let Profile::Prismatic(section) = first.profile else {
            return Err("its section varies along it".to_owned());
        };
        let even = |member: &Member| {
            member.profile == first.profile
                && member.moduli == first.moduli
                && (member.up - first.up).norm() < SAME
        };
        if !elements.iter().all(even) {
            return Err("its section varies or turns along it".to_owned());
        }
        let at = |node: usize| frame.nodes[node].position;
        let [start, end] = [path.nodes[0], path.nodes[path.element_count()]];
        let along = at(end) - at(start);
        let strays =
            |node: &usize| along.cross(&(at(*node) - at(start))).norm() > SAME * along.norm();
        let armed = elements
            .iter()
            .any(|member| member.arms.iter().any(|arm| arm.norm() > 0.0));
        if armed || path.nodes.iter().any(strays) {
            return Err("it is not straight from node to node".to_owned());
        }
        if section.product_moment.abs() > SAME * section.second_moment_y {
            return Err("its section is not bent about its principal axes".to_owned());
        }
        let between = &path.nodes[1..path.element_count()];
        let held = |support: &Support| between.contains(&support.node);
        if frame.supports.iter().any(held) {
            return Err("it is supported between its ends".to_owned());
        }
        let touched = |coupling: &Coupling| coupling.nodes.iter().any(|n| between.contains(n));
        if frame.couplings.iter().any(touched) {
            return Err("couplings hold it between its ends".to_owned());
        }
        let x = along.normalize();
        let z = (first.up - x * first.up.dot(&x)).normalize();
        let y = z.cross(&x);
        let axes = Matrix3::from_rows(&[x.transpose(), y.transpose(), z.transpose()]);
        Ok(Beam {
            path,
            length: path.length(),
            section,
            moduli: first.moduli,
            ends: shared(frame, path).unwrap_or_else(|| ends(frame, [start, end], &axes)),
            axes,
        })
    }

    /// What a load case does to it, or why it is no textbook load.
    pub fn acting(&self, case: &LoadCase) -> Result<Acting, String> {
        if !case.movements.is_empty() || !case.tightenings.is_empty() {
            return Err("movements are prescribed".to_owned());
        }
        let path = self.path;
        let mut acting = Acting::default();
        for load in &case.nodal {
            if let Some(place) = path.nodes.iter().position(|node| *node == load.node) {
                let [force, moment] = [load.force, load.moment].map(|v| self.axes * v);
                acting.points.push((path.stations[place], force, moment));
            }
        }
        let mut lines = Vec::new();
        for load in &case.members {
            let Some(element) = load.member.checked_sub(path.first_element) else {
                continue;
            };
            if element >= path.element_count() {
                continue;
            }
            let from = path.stations[element];
            let local = |axes: LoadAxes, v: Vector3<f64>| match axes {
                LoadAxes::Global => self.axes * v,
                LoadAxes::Local => v,
            };
            match load.action {
                MemberAction::Point {
                    at,
                    force,
                    moment,
                    axes,
                } => {
                    acting
                        .points
                        .push((from + at, local(axes, force), local(axes, moment)));
                }
                MemberAction::Line {
                    stretch,
                    force,
                    axes,
                } => {
                    let span = path.stations[element + 1] - from;
                    let whole = stretch[0].abs() < SAME && (stretch[1] - span).abs() < SAME;
                    if !whole || (force[0] - force[1]).norm() > 0.0 {
                        return Err("a line load does not run evenly from end to end".to_owned());
                    }
                    lines.push(local(axes, force[0]));
                }
                MemberAction::StressFree { .. } => {
                    return Err("it is heated, shrunk or bent in".to_owned());
                }
            }
        }
        if let Some(first) = lines.first() {
            let alike = lines
                .iter()
                .all(|line| (line - first).norm() < SAME * first.norm());
            if lines.len() != path.element_count() || !alike {
                return Err("a line load does not run evenly from end to end".to_owned());
            }
            acting.even = Some(*first);
        }
        Ok(acting)
    }
}

/// What else holds the member, if anything does.
fn shared(frame: &Frame, path: &MemberPath) -> Option<Ends> {
    let own = path.first_element..path.first_element + path.element_count();
    let joined = |nodes: &[usize; 2]| nodes.iter().any(|node| path.nodes.contains(node));
    let mut others = frame.members.iter().enumerate();
    let why = if others.any(|(index, member)| !own.contains(&index) && joined(&member.nodes)) {
        "other members join it"
    } else if frame
        .couplings
        .iter()
        .any(|coupling| joined(&coupling.nodes))
    {
        "a coupling joins it"
    } else {
        return None;
    };
    Some(Ends::Shared(why.to_owned()))
}

fn ends(frame: &Frame, nodes: [usize; 2], axes: &Matrix3<f64>) -> Ends {
    let shared = |why: &str| Ends::Shared(why.to_owned());
    let mut held = [[false; 6]; 2];
    for support in &frame.supports {
        let Some(end) = nodes.iter().position(|node| *node == support.node) else {
            continue;
        };
        if support.springs.iter().any(|spring| *spring != 0.0) {
            return shared("a spring supports it");
        }
        for (held, fixed) in held[end].iter_mut().zip(support.fixed) {
            *held |= fixed;
        }
    }
    match held.map(|held| held.iter().filter(|fixed| **fixed).count()) {
        [6, 0] => return Ends::Cantilever { root_first: true },
        [0, 6] => return Ends::Cantilever { root_first: false },
        _ => {}
    }
    // Supports are in global axes: a hinge is recognised where the member runs along one.
    let Some(x) = (0..3).find(|axis| (axes[(0, *axis)].abs() - 1.0).abs() < SAME) else {
        return shared("its supports are turned against it");
    };
    let hinge = |held: [bool; 6]| {
        (0..3)
            .filter(|axis| *axis != x)
            .all(|axis| held[axis] && !held[axis + 3])
    };
    match held.map(hinge) {
        [true, true] => Ends::Simple,
        _ => shared("its ends are neither a cantilever's nor those of a beam on two supports"),
    }
}
