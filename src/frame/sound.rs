//! Whether a frame and its load cases are well formed.

use nalgebra::Matrix3;

use super::element::Geometry;
use super::error::SolveError;
use super::{Frame, LoadCase, MemberAction, Profile};

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
    for support in &frame.supports {
        if support.node >= count {
            return unsound("a support".into(), "stands on a node that does not exist");
        }
        if !support.springs.iter().all(|k| k.is_finite() && *k >= 0.0) {
            let part = format!("support of node '{}'", frame.nodes[support.node].name);
            return unsound(part, "has a spring that is negative or not finite");
        }
    }
    Ok(())
}

pub(crate) fn check_case(frame: &Frame, case: &LoadCase) -> Result<(), SolveError> {
    let unsound = |rule| {
        Err(SolveError::Unsound {
            part: format!("load case '{}'", case.name),
            rule,
        })
    };
    if case.nodal.iter().any(|load| load.node >= frame.nodes.len()) {
        return unsound("loads a node that does not exist");
    }
    let held = frame.held();
    for movement in &case.movements {
        if movement.node >= frame.nodes.len() || movement.freedom >= 6 {
            return unsound("moves a degree of freedom that does not exist");
        }
        if !held[movement.node][movement.freedom] {
            return unsound("moves a degree of freedom that no support holds");
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
