//! Broken ends: what a nail and the faces of a fracture share, and what a sloping break does.

use clavibeam::anatomy::{Clavicle, Preset};
use clavibeam::assess::{ConstructAssessment, assess};
use clavibeam::case;
use clavibeam::construct::{
    Construct, Fracture, Mechanics, Pattern, Response, Slope, SlopeDirection,
};
use clavibeam::device::{Device, NailShape};
use clavibeam::load::{Action, Hold, Holds, Setup};
use nalgebra::Vector3;

use crate::common::elastic_nail;

fn woman() -> Clavicle {
    let preset = Preset::named("adult-female").expect("a known preset");
    Clavicle::new(&preset.bone).expect("a sound bone")
}

fn fracture(pattern: Pattern, gap: f64) -> Fracture {
    Fracture {
        position: 0.48,
        pattern,
        gap,
        face_friction: 0.4,
        interlock_shear: 0.0,
        callus: None,
    }
}

fn oblique(obliquity_deg: f64, direction: SlopeDirection) -> Fracture {
    let obliquity = f64::to_radians(obliquity_deg);
    let slope = Slope {
        obliquity,
        direction,
    };
    fracture(Pattern::Oblique(slope), 0.5)
}

fn nail(shape: NailShape) -> Device {
    elastic_nail(2.5, shape)
}

/// The lateral end of a bone that is clamped medially gets a push along the bone at the
/// fracture, N, and a moment across it, N·mm, both referred to the middle of the fracture.
fn answer(
    bone: &Clavicle,
    fracture: &Fracture,
    device: &Device,
    push: f64,
    moment: Vector3<f64>,
) -> (Construct, Response) {
    let along = bone.tangent(fracture.position);
    let force = -along * push;
    let arm = bone.point(0.9) - bone.point(fracture.position);
    let setup = Setup {
        holds: Holds::At(vec![Hold {
            at: 0.1,
            fixed: [true; 6],
        }]),
        actions: vec![Action::Place {
            at: 0.9,
            force,
            moment: moment - arm.cross(&force),
        }],
    };
    let broken = Some((fracture, device));
    let setups = [setup];
    let construct = Construct::new(bone, broken, &setups, Mechanics::Contact);
    let mut responses = construct.solve(&setups).expect("contact settles");
    (construct, responses.remove(0))
}

/// Largest bending moment that the load causes in the nail over the break, N·mm.
fn nail_moment(
    bone: &Clavicle,
    fracture: &Fracture,
    shape: NailShape,
    push: f64,
    moment: Vector3<f64>,
) -> f64 {
    let (construct, response) = answer(bone, fracture, &nail(shape), push, moment);
    let over_break = construct
        .device
        .iter()
        .filter(|piece| construct.in_gap((piece.stretch[0] + piece.stretch[1]) / 2.0));
    over_break
        .map(|piece| {
            let [a, b] = construct.frame.members[piece.member]
                .nodes
                .map(|node| construct.frame.nodes[node].position);
            [0.0, (b - a).norm()].map(|at| {
                let forces = response.section_forces(&construct.frame, piece.member, at);
                forces.moment_y.hypot(forces.moment_z)
            })
        })
        .map(|[start, end]| start.max(end))
        .fold(0.0, f64::max)
}

/// The four directions across the bone, with the moment of 1 N·m that presses the rim there.
fn directions(bone: &Clavicle) -> [(Vector3<f64>, Vector3<f64>); 4] {
    let [along, anterior, superior] = bone.axes(0.48);
    [superior, -superior, anterior, -anterior]
        .map(|pressed| (pressed, pressed.cross(&along) * 1000.0))
}

/// A reduced transverse fracture shares load with a nail, but not bending alone: faces that
/// press carry a moment only against a force along the bone, and a smooth nail can give no
/// more of that than its friction. So
///
/// ```text
/// nail over the break   M − N r     N what pushes the faces together, r the pressed rim
/// ```
///
/// * without a push, 1 N·m stays in the nail to 7 %, whatever its size;
/// * muscle pull of 60, 100, 150 N along the bone leaves about 0.75, 0.59 and 0.39 N·m of it
///   (2.5 mm nail: 490, 385 and 255 MPa instead of 650), in every direction of bending;
/// * over an open gap the same push relieves nothing.
///
/// The push has to act along the bone where it is broken. One along the line between the
/// joints passes the fracture of this S-shaped bone about 7 mm behind its axis, farther than
/// the rim, and so adds more moment than the faces take away, bent one way, and takes off more
/// the other way.
///
/// Common practice, no source; the formula is equilibrium. Tolerance 60 N·mm: the nail's own
/// force along the bone, up to 15 N by friction, acts with the faces or against them.
#[test]
fn trade_reduced_fracture_shares_bending_with_a_prebent_nail_under_push() {
    let bone = woman();
    let reduced = fracture(Pattern::Transverse, 0.5);
    let open = fracture(Pattern::Comminuted, 10.0);
    for (pressed, moment) in directions(&bone) {
        let rim =
            (bone.surface_distance(0.48, pressed) + bone.canal_half_width(0.48, pressed)) / 2.0;
        for push in [60.0, 100.0, 150.0] {
            let found = nail_moment(&bone, &reduced, NailShape::Prebent, push, moment);
            let expected = 1000.0 - push * rim;
            assert!(
                (found - expected).abs() < 60.0,
                "{push} N on {pressed:?}: {found} against {expected}"
            );
        }
        let found = nail_moment(&bone, &open, NailShape::Prebent, 30.0, moment);
        assert!((found / 1000.0 - 1.0).abs() < 0.01, "open: {found}");
    }
    for (_, moment) in &directions(&bone)[2..] {
        let alone = nail_moment(&bone, &reduced, NailShape::Prebent, 0.0, *moment);
        assert!((930.0..1000.5).contains(&alone), "{alone}");
    }
}

/// A straight nail opens the break when it is put in, for it springs back towards straight,
/// and leaves the broken ends resting on one rim. Push on that rim takes load off the nail when
/// it is bent so that this rim is pressed, and adds to it when it is bent the other way.
///
/// Common practice, no source. 100 N and 1 N·m: more than a quarter less, more than a quarter
/// more; a choice of ours.
#[test]
fn trade_straight_nail_shares_load_one_way_only() {
    let bone = woman();
    let reduced = fracture(Pattern::Transverse, 0.5);
    let [.., (_, forward_pressed), (_, back_pressed)] = directions(&bone);
    let one = nail_moment(&bone, &reduced, NailShape::Straight, 100.0, forward_pressed);
    let other = nail_moment(&bone, &reduced, NailShape::Straight, 100.0, back_pressed);
    let (relieved, burdened) = (one.min(other), one.max(other));
    assert!(
        relieved < 750.0 && burdened > 1250.0,
        "{relieved} and {burdened}"
    );
}

/// The ring of face couplings stands on the plane of the break and on the middle of the
/// cortex, and a break that begins superomedially lies medially on top.
///
/// Closed form: a plane through the middle of the break whose normal stands at the obliquity
/// to the tangent. Tolerance 1e-6 mm: that of the search.
#[test]
fn oblique_faces_stand_on_their_plane() {
    let bone = woman();
    for direction in [
        SlopeDirection::SuperomedialToInferolateral,
        SlopeDirection::SuperolateralToInferomedial,
        SlopeDirection::AnteromedialToPosterolateral,
        SlopeDirection::AnterolateralToPosteromedial,
    ] {
        for degrees in [0.0_f64, 30.0, 55.0] {
            let broken = oblique(degrees, direction);
            assert!(broken.cuts_through(&bone));
            let [along, anterior, superior] = bone.axes(broken.position);
            let normal = broken.normal(&bone);
            assert!((normal.dot(&along) - degrees.to_radians().cos()).abs() < 1e-12);
            let construct = Construct::new(
                &bone,
                Some((&broken, &nail(NailShape::Prebent))),
                &[],
                Mechanics::Contact,
            );
            let middle = bone.point(broken.position);
            let faces = construct.face_couplings.iter();
            let points: Vec<Vector3<f64>> = faces
                .map(|&index| construct.frame.couplings[index].at - middle)
                .collect();
            assert_eq!(points.len(), 16);
            for point in &points {
                assert!(point.dot(&normal).abs() < 1e-6, "{point:?}");
            }
            let begins = match direction {
                SlopeDirection::SuperomedialToInferolateral => superior,
                SlopeDirection::SuperolateralToInferomedial => -superior,
                SlopeDirection::AnteromedialToPosterolateral => anterior,
                SlopeDirection::AnterolateralToPosteromedial => -anterior,
            };
            let first =
                |a: &&Vector3<f64>, b: &&Vector3<f64>| a.dot(&begins).total_cmp(&b.dot(&begins));
            let [low, high] = [points.iter().min_by(first), points.iter().max_by(first)]
                .map(|point| point.expect("sixteen points").dot(&along));
            assert!(
                high <= low + 1e-6,
                "{direction:?}, {degrees}: {low} and {high}"
            );
            let reach = degrees.to_radians().tan() * 8.0;
            assert!(
                low - high >= 0.8 * reach - 1e-6,
                "{direction:?}, {degrees}: {low} and {high}"
            );
        }
    }
}

fn plated(fracture: &str, surface: &str, extra: &str) -> ConstructAssessment {
    let text = format!(
        "title = \"check\"\n[patient]\npreset = \"adult-female\"\n[fracture]\n{fracture}\n\
         [[construct]]\nname = \"plate\"\n[construct.plate]\nsize = \"compression-2.7\"\n\
         surface = \"{surface}\"\nhole_count = 8\n{extra}\n[[activity]]\nname = \"arm\"\n\
         arm_elevation_deg = 90\n"
    );
    let case = case::parse(&text, "case").expect("a sound case");
    let assessed = assess(&case, Mechanics::Contact).expect("contact settles");
    assessed
        .constructs
        .into_iter()
        .next()
        .expect("one construct")
}

/// An oblique break of no slope is a transverse one: the same numbers to rounding.
#[test]
fn break_without_slope_is_transverse() {
    let level = plated("pattern = \"oblique\"\nobliquity_deg = 0", "superior", "");
    let across = plated("pattern = \"transverse\"", "superior", "");
    let numbers = |c: &ConstructAssessment| {
        let motion = c.fracture_motion[0];
        [
            c.stiffness.axial_n_per_mm,
            c.stiffness.bending_up_nm_per_deg,
            c.contact[0].face_force_n,
            motion.rim_mm,
            motion.strain_percent,
        ]
    };
    for (one, other) in numbers(&level).into_iter().zip(numbers(&across)) {
        assert!((one / other - 1.0).abs() < 1e-6, "{one} and {other}");
    }
}

/// Faces that slope by more than the angle of friction slide under a push along the bone and
/// press the nail sideways; flatter ones stay where they are.
///
/// Closed form: friction 0.4 holds a slope of up to 21.8°. The ends of a 15° break move
/// less than a quarter as far across as those of a 45° break (a choice of ours); teeth that
/// bear the push by far keep those of the 45° break as well.
#[test]
fn steep_faces_slide_unless_teeth_hold() {
    let bone = woman();
    let slid = |broken: &Fracture| {
        let device = nail(NailShape::Prebent);
        let (construct, response) = answer(&bone, broken, &device, 100.0, Vector3::zeros());
        let faces = construct.faces.expect("a broken bone has faces");
        let [medial, lateral] = faces.map(|(_, node)| response.motion(node));
        let along = bone.tangent(broken.position);
        let apart: Vector3<f64> = (lateral - medial).fixed_rows::<3>(0).into_owned();
        (apart - along * apart.dot(&along)).norm()
    };
    let direction = SlopeDirection::SuperomedialToInferolateral;
    let steep = oblique(45.0, direction);
    let with_teeth = Fracture {
        interlock_shear: 1000.0,
        ..steep
    };
    let [flat, steep, held] = [oblique(15.0, direction), steep, with_teeth].map(|f| slid(&f));
    assert!(
        flat < steep / 4.0 && held < steep / 4.0,
        "{flat}, {steep}, {held}"
    );
}

/// Screws that do not lock are left with their preload: the force over the core's area, from
/// nothing but the tightening; locking ones are not.
///
/// Closed form: 500 N on a core of 2.9 mm, 75.7 MPa; bending of the screw may add to it.
#[test]
fn loose_screws_keep_their_preload() {
    let locked_in = |extra: &str| {
        plated("pattern = \"transverse\"", "superior", extra)
            .critical_sections
            .into_iter()
            .filter(|section| section.name.starts_with("screw"))
            .map(|section| section.activities[0].locked_in_stress_mpa)
            .fold(f64::INFINITY, f64::min)
    };
    let core = "[construct.plate.screw_size]\nouter_diameter_mm = 3.5\ncore_diameter_mm = 2.9";
    let preload = 500.0 / (std::f64::consts::PI / 4.0 * 2.9 * 2.9);
    let loose = locked_in(&format!("hole_diameter_mm = 4\nlocking = false\n{core}"));
    assert!(loose > 0.99 * preload, "{loose}");
    assert!(locked_in("") < 1e-6);
}
