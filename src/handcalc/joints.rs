//! Statics by hand of strap and push, the bone among its joints cut at the fracture.

use super::bone::TEXTBOOK;
use super::expression::Quantity;
use super::loads::Parts;
use super::sheet::{Sheet, Step};
use crate::assess::JointReactions;
use crate::case::Case;
use crate::load::Strap;

/// A force lateral of the fracture that pulls or presses the bone down, and its lever.
struct Down {
    force: Quantity,
    lever: Quantity,
}

/// Works out what strap and push put on the fracture, from what the joints bear.
pub(super) fn among_joints(
    sheet: &mut Sheet,
    case: &Case,
    strap: Option<&Strap>,
    joints: &JointReactions,
    parts: &mut Parts,
) {
    let (clavicle, position) = (&case.clavicle, case.fracture.position);
    let length = clavicle.length();
    sheet.note(
        "Strap or push: the bone is held by its joints and ligaments. What each bears follows from their \
         stiffnesses and those of the muscles, the least certain inputs, and is taken from the model; the \
         rest is statics of the part of the bone lateral of the fracture.",
    );
    let given = |symbol, meaning: &str, value, unit| Quantity::given(symbol, meaning, value, unit);
    let [inward, forward, up] = joints.acromioclavicular_n;
    let push = given(
        "N_p",
        "push of the acromion along the line of the joints",
        -inward,
        "N",
    );
    let lift = given("A_z", "force of the acromion upwards", up, "N");
    let [_, about_y, about_z] = joints.acromioclavicular_nm.map(|moment| 1000.0 * moment);
    let end = given(
        "M_A",
        "moment of the acromion, bending down",
        about_y,
        "N·mm",
    );
    let place = clavicle.point(position);
    let height = given("z", "height of the fracture above that line", place.z, "mm");
    let ahead = given("y", "how far it lies in front of it", place.y, "mm");
    let lever = (1.0 - position) * length;
    let lever = given("l", "fracture to the acromial end", lever, "mm");

    let mut vertical = &end + &push * &height - &lift * &lever;
    for down in downwards(case, strap, joints) {
        vertical = vertical + &down.force * &down.lever;
    }
    let what = "moment at the fracture up and down, by what acts lateral of it";
    let vertical = Step::new(what, "M_p", "N·mm", vertical, TEXTBOOK);
    parts.vertical.push(sheet.add(vertical));

    let ahead_force = given("A_y", "force of the acromion forwards", forward, "N");
    let end = given(
        "M_B",
        "moment of the acromion, bending forward",
        about_z,
        "N·mm",
    );
    let horizontal = &end - &push * &ahead + &ahead_force * &lever;
    let what = "moment at the fracture front and back";
    let horizontal = Step::new(what, "M_q", "N·mm", horizontal, TEXTBOOK);
    parts.horizontal.push(sheet.add(horizontal));
    parts.push.push(push);
}

/// Ligaments and strap, as far as they act lateral of the fracture.
fn downwards(case: &Case, strap: Option<&Strap>, joints: &JointReactions) -> Vec<Down> {
    let (clavicle, position) = (&case.clavicle, case.fracture.position);
    let length = clavicle.length();
    let mut all = Vec::new();
    let mut add = |force: (&'static str, &str, f64), lever: (&'static str, f64)| {
        if force.2 > 0.0 && lever.1 > 0.0 {
            all.push(Down {
                force: Quantity::given(force.0, force.1, force.2, "N"),
                lever: Quantity::given(lever.0, "its lever", lever.1 * length, "mm"),
            });
        }
    };
    let conoid = ("T_c", "pull of the conoid ligament", joints.conoid_n);
    add(conoid, ("l_c", clavicle.conoid() - position));
    let trapezoid = ("T_t", "pull of the trapezoid ligament", joints.trapezoid_n);
    add(trapezoid, ("l_t", clavicle.trapezoid() - position));
    if let Some(strap) = strap {
        let half = strap.width / 2.0 / length;
        let ends = [strap.position - half, strap.position + half].map(|at| at.clamp(0.0, 1.0));
        let from = ends[0].max(position);
        let share = (ends[1] - from).max(0.0) / (ends[1] - ends[0]);
        let force = (
            "F_l",
            "force of the strap lateral of the fracture",
            share * strap.force,
        );
        add(force, ("l_s", (from + ends[1]) / 2.0 - position));
    }
    all
}
