//! Whether a frame and its load cases are well formed.

use nalgebra::{Matrix3, Vector3};

use super::element::Geometry;
use super::error::SolveError;
use super::{
    AxisLaw, FREEDOM_NAMES, Frame, Law, LoadCase, MemberAction, Movement, Profile, Support,
};

pub(crate) fn check_frame(frame: &Frame) -> Result<(), SolveError> {
    let unsound = |part: String, rule| Err(SolveError::Unsound { part, rule });
    let count = frame.nodes.len();
    if count == 0 {
        return unsound("the frame".into(), "has no nodes");
    }
    for node in &frame.nodes {
        if !node.position.iter().all(|x| x.is_finite()) {
            return unsound(
                format!("node '{}'", node.name),
                "has a position that is not a number",
            );
        }
    }
    for member in &frame.members {
        let part = || format!("member '{}'", member.name);
        if member.nodes.iter().any(|&node| node >= count) {
            return unsound(part(), "joins a node that does not exist");
        }
        if let Profile::Varying(sections) = &member.profile
            && !(3..=16).contains(&sections.len())
        {
            return unsound(part(), "needs 3 to 16 sections along it");
        }
    }
    for coupling in &frame.couplings {
        let part = || format!("coupling '{}'", coupling.name);
        if coupling.nodes.iter().any(|&node| node >= count) {
            return unsound(part(), "joins a node that does not exist");
        }
        if let Err(rule) = coupling.law.check() {
            return unsound(part(), rule);
        }
        let turned = coupling.axes.transpose() * coupling.axes;
        if !coupling.at.iter().all(|x| x.is_finite())
            || (turned - Matrix3::identity()).amax() > 1e-9
            || turned.iter().any(|x| x.is_nan())
        {
            return unsound(
                part(),
                "has axes that are not at right angles, or acts nowhere",
            );
        }
    }
    if let Some(found) = contradictory_stops(frame) {
        let [one, other] = found.couplings.map(|index| &frame.couplings[index].name);
        let part = format!("couplings '{one}' and '{other}'");
        return unsound(
            part,
            "have stops ahead and behind that leave no room between them",
        );
    }
    Ok(())
}

pub(crate) fn check_supports(frame: &Frame, supports: &[Support]) -> Result<(), SolveError> {
    let unsound = |part: String, rule| Err(SolveError::Unsound { part, rule });
    for support in supports {
        if support.node >= frame.nodes.len() {
            return unsound("a support".into(), "stands on a node that does not exist");
        }
        if !support.springs.iter().all(|k| k.is_finite() && *k >= 0.0) {
            let part = format!("support of node '{}'", frame.nodes[support.node].name);
            return unsound(part, "has a spring that is negative or not finite");
        }
    }
    Ok(())
}

/// Two stops that cannot both be where they are.
pub(crate) struct ContradictoryStops {
    /// The couplings they belong to, in order.
    pub couplings: [usize; 2],
    /// The axis of the second at which its stop is.
    pub axis: usize,
    /// What they leave between them, mm or rad: less than nothing.
    pub room: f64,
}

/// A stop ahead and a stop behind on the way of the same bodies that overlap, if there are any.
///
/// One stop that presses from the start is a preload; two that press against each other with
/// nothing else to give way have been given the wrong gaps.
pub(crate) fn contradictory_stops(frame: &Frame) -> Option<ContradictoryStops> {
    let stops = stops(frame);
    let pairs = stops
        .iter()
        .enumerate()
        .flat_map(|(index, one)| stops[index + 1..].iter().map(move |other| (one, other)));
    let mut overlapping = pairs
        .filter(|(one, other)| one.opposes(other))
        .map(|(one, other)| ContradictoryStops {
            couplings: [one.coupling, other.coupling],
            axis: other.axis,
            room: one.gap + other.gap,
        });
    overlapping.find(|found| found.room < 0.0)
}

/// A stop on the way of one body against another, the one with the smaller index held.
struct Stop {
    coupling: usize,
    axis: usize,
    nodes: [usize; 2],
    at: Vector3<f64>,
    /// Where the body moves when it comes to the stop, global axes.
    towards: Vector3<f64>,
    gap: f64,
}

fn stops(frame: &Frame) -> Vec<Stop> {
    let mut stops = Vec::new();
    for (index, coupling) in frame.couplings.iter().enumerate() {
        let Law::Axes(axes) = &coupling.law else {
            continue;
        };
        let [first, second] = coupling.nodes;
        let turned = if first < second { 1.0 } else { -1.0 };
        for (axis, law) in axes.iter().enumerate() {
            let (sign, gap) = match *law {
                AxisLaw::StopAhead { gap, .. } => (turned, gap),
                AxisLaw::StopBehind { gap, .. } => (-turned, gap),
                AxisLaw::Free | AxisLaw::Spring(_) | AxisLaw::Grip { .. } => continue,
            };
            stops.push(Stop {
                coupling: index,
                axis,
                nodes: [first.min(second), first.max(second)],
                at: coupling.at,
                towards: coupling.axes.column(axis % 3) * sign,
                gap,
            });
        }
    }
    stops
}

impl Stop {
    /// Whether two stops stand on one line, or about one axis, facing each other.
    fn opposes(&self, other: &Stop) -> bool {
        let turns = [self, other].map(|stop| stop.axis >= 3);
        let aside = (other.at - self.at).cross(&self.towards).norm();
        let scale = self.at.norm().max(1.0);
        self.nodes == other.nodes
            && turns[0] == turns[1]
            && self.towards.dot(&other.towards) < -1.0 + 1e-9
            && (turns[0] || aside < 1e-9 * scale)
    }
}

pub(crate) fn check_case(
    frame: &Frame,
    held: &[[bool; 6]],
    case: &LoadCase,
) -> Result<(), SolveError> {
    let unsound = |rule| {
        Err(SolveError::Unsound {
            part: format!("load case '{}'", case.name),
            rule,
        })
    };
    if case.nodal.iter().any(|load| load.node >= frame.nodes.len()) {
        return unsound("loads a node that does not exist");
    }
    for movement in &case.movements {
        if movement.node >= frame.nodes.len() || movement.freedom >= 6 {
            return unsound("moves a degree of freedom that does not exist");
        }
        if !held[movement.node][movement.freedom] {
            return unsound("moves a degree of freedom that no support holds");
        }
    }
    for (index, movement) in case.movements.iter().enumerate() {
        let same = |earlier: &&Movement| {
            (earlier.node, earlier.freedom) == (movement.node, movement.freedom)
        };
        if let Some(earlier) = case.movements[..index].iter().find(same)
            && earlier.value != movement.value
        {
            return Err(SolveError::Unsound {
                part: format!(
                    "load case '{}': {} of node '{}'",
                    case.name, FREEDOM_NAMES[movement.freedom], frame.nodes[movement.node].name
                ),
                rule: "is moved to two places at once",
            });
        }
    }
    for tightening in &case.tightenings {
        if tightening.coupling >= frame.couplings.len() || tightening.axis >= 6 {
            return unsound("tightens a coupling that does not exist");
        }
    }
    for load in &case.members {
        let Some(member) = frame.members.get(load.member) else {
            return unsound("loads a member that does not exist");
        };
        let length = Geometry::of(frame, member).map_or(0.0, |geometry| geometry.length);
        // A stretch may end on a member's end but for rounding.
        let along = |x: f64| (-1e-9 * length..=length * (1.0 + 1e-9)).contains(&x);
        let inside = match load.action {
            MemberAction::Point { at, .. } => along(at),
            MemberAction::Line {
                stretch: [from, to],
                ..
            } => along(from) && along(to) && from < to,
            MemberAction::StressFree { .. } => true,
        };
        if !inside {
            return unsound("loads a place that is not on its member");
        }
    }
    Ok(())
}
