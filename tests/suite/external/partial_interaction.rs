//! Two layers that slip on each other: bone and plate joined by screws.
//!
//! Layer 1 a tube 12/6 mm, E = 17000 MPa; layer 2 a plate 10 × 3 mm, E = 110000 MPa, its
//! axis 8.5 mm above. Simply supported, L = 100 mm. Both bend alike; a spring K per length
//! resists their slip. Two parallel Euler–Bernoulli beams with couplings at the interface
//! at every station: K h along, a stiff tie across, half of both at the ends.
//!
//! Source: Newmark, Siess & Viest (1951), in the form of Girhammar & Gopu (1993) (theory
//! from memory), closed form; each number checked against a Fourier series.

use approx::assert_relative_eq;
use clavibeam::frame::{Frame, Law, LoadAxes, LoadCase, MemberAction};
use clavibeam::section::Section;
use nalgebra::vector;

use crate::common::{BONE, TITANIUM, assert_order, join, section, solved, straight, tube};

const LENGTH: f64 = 100.0;
/// Interface at the bone's surface, plate's axis half its thickness above.
const INTERFACE: f64 = 6.0;
const OFFSET: f64 = 8.5;
/// Thousands of times as stiff as a plate element of 1 mm in bending (12 E I / h³ = 3e7 N/mm).
const TIE: f64 = 1e11;

/// What the table gives.
#[derive(Debug)]
struct Answer {
    uniform_deflection: f64,
    end_slip: f64,
    centre_deflection: f64,
}

/// Width 10 mm along y, thickness 3 mm: `Iy = 10 · 3³/12`, `Iz = 3 · 10³/12`; torsion plays
/// no part.
fn plate() -> Section {
    section(30.0, 22.5, 250.0, 73.0)
}

/// Bone and plate with `count` (even) spacings, bending in the x–z plane.
fn bone_and_plate(count: usize, slip_modulus: f64) -> (Frame, Vec<usize>, Vec<usize>) {
    let mut frame = Frame::default();
    let spacing = LENGTH / count as f64;
    let mut row = |z: f64| -> Vec<usize> {
        (0..=count)
            .map(|i| frame.add_node(format!("{i} at {z}"), vector![i as f64 * spacing, 0.0, z]))
            .collect()
    };
    let (bone, plate) = (row(0.0), row(OFFSET));
    join(&mut frame, &bone, BONE, tube(12.0, 6.0));
    join(&mut frame, &plate, TITANIUM, self::plate());
    for i in 0..=count {
        let share = if i == 0 || i == count { 0.5 } else { 1.0 };
        let at = vector![i as f64 * spacing, 0.0, INTERFACE];
        let law = Law::Springs([slip_modulus * spacing * share, 0.0, TIE, 0.0, 0.0, 0.0]);
        frame.add_coupling("screw", [bone[i], plate[i]], at, law);
    }
    for &node in bone.iter().chain(&plate) {
        frame.hold(node, [false, true, false, true, false, true]);
    }
    // Without slip springs the plate must still be held along.
    frame.hold(plate[count / 2], [true, false, false, false, false, false]);
    frame.hold(bone[count / 2], [true, false, false, false, false, false]);
    frame.hold(bone[0], [false, false, true, false, false, false]);
    frame.hold(bone[count], [false, false, true, false, false, false]);
    (frame, bone, plate)
}

fn answer(count: usize, slip_modulus: f64) -> Answer {
    let (frame, bone, plate) = bone_and_plate(count, slip_modulus);
    let spacing = LENGTH / count as f64;
    let middle = bone[count / 2];
    let load = uniform(count);
    let spread = solved(&frame, &load);
    let pointed = solved(&frame, &centre(middle));
    let share = 0.5 * slip_modulus * spacing;
    let along = spread.coupling_forces[0][0];
    // The slip at an end: relative motion of both bodies at the interface.
    let slip = if share > 0.0 {
        (along / share).abs()
    } else {
        0.0
    };
    assert!(spread.displacement(plate[count / 2]).x == 0.0);
    Answer {
        uniform_deflection: -spread.displacement(middle).z,
        end_slip: slip,
        centre_deflection: -pointed.displacement(middle).z,
    }
}

/// Without slip springs the stiffnesses of both add up. 1e-6, for the tie is a spring.
#[test]
fn no_slip_springs() {
    let found = answer(100, 0.0);
    assert_relative_eq!(
        found.uniform_deflection,
        0.069639810799809,
        max_relative = 1e-6
    );
    assert_relative_eq!(
        found.centre_deflection,
        0.11142369727969,
        max_relative = 1e-6
    );
}

/// How far bone and plate slip at an end, order two in the spacing, 1e-3 at 100 stations. The
/// deflections stand among the checks.
#[test]
fn slip_at_the_ends() {
    for (slip_modulus, expected) in [
        (10.0, 0.018064475784225),
        (100.0, 0.012769334266486),
        (1000.0, 0.0033373938334922),
        (10000.0, 0.00042521606799342),
    ] {
        let errors = [50, 100, 200]
            .map(|count| (answer(count, slip_modulus).end_slip / expected - 1.0).abs());
        assert!(errors[1] < 1e-3, "K = {slip_modulus}: {errors:?}");
        assert_order(&errors, 2.0, 0.05);
    }
}

/// Without slip the two are one beam. The force in the plate is constant between joints, so
/// the deflection still has an error of order two: its limit, extrapolated, to 1e-6. The
/// plate hangs on the bone's nodes by its own arms.
#[test]
fn no_slip() {
    let rigid = |count: usize, spread: bool| {
        let (mut frame, bone) = straight(LENGTH, count, BONE, tube(12.0, 6.0));
        for member in join(&mut frame, &bone, TITANIUM, plate()) {
            frame.members[member].arms = [vector![0.0, 0.0, OFFSET]; 2];
        }
        frame.hold(bone[0], [true, true, true, true, false, false]);
        frame.hold(bone[count], [false, true, true, false, false, false]);
        let case = match spread {
            true => uniform(count),
            false => centre(bone[count / 2]),
        };
        -solved(&frame, &case).displacement(bone[count / 2]).z
    };
    for (spread, expected) in [(true, 0.014277228617368), (false, 0.022843565787788)] {
        let [coarse, middle, fine] = [50, 100, 200].map(|count| rigid(count, spread));
        assert_order(&[coarse, middle, fine].map(|w| w - expected), 2.0, 0.01);
        let limit = fine + (fine - middle) / 3.0;
        assert_relative_eq!(limit, expected, max_relative = 1e-6);
    }
}

fn centre(middle: usize) -> LoadCase {
    LoadCase::named("centre").with_force(middle, vector![0.0, 0.0, -100.0])
}

/// 1 N/mm on the bone, whose members come first.
fn uniform(count: usize) -> LoadCase {
    let action = MemberAction::Line {
        stretch: [0.0, LENGTH / count as f64],
        force: [vector![0.0, 0.0, -1.0]; 2],
        axes: LoadAxes::Global,
    };
    (0..count).fold(LoadCase::named("uniform"), |case, member| {
        case.with_action(member, action)
    })
}
