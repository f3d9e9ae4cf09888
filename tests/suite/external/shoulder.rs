//! The clavicle among its joints and ligaments: statics, a rigid bar on springs, what pulls only.

use approx::assert_relative_eq;
use clavibeam::anatomy::{Joints, Patient, Preset, Side};
use clavibeam::assess::{Assessment, JointReactions, Limit, add_weeks, assess};
use clavibeam::case::{self, Case};
use clavibeam::construct::{Construct, JointForces, Mechanics, Pattern};
use clavibeam::load::{Activity, Loading, Push, Strap, usual_set};
use nalgebra::{DMatrix, DVector, Vector3, vector};

/// `1 N·m/deg`, N·mm/rad.
const NM_PER_DEG: f64 = 1000.0 * 180.0 / std::f64::consts::PI;

/// Springs a hundred times softer than usual.
const SOFT: &str = "sternoclavicular_along_n_per_mm = 2\nsternoclavicular_across_n_per_mm = 1\n\
    sternoclavicular_turning_nm_per_deg = 0.001\nacromioclavicular_pressed_n_per_mm = 3\n\
    acromioclavicular_capsule_n_per_mm = 0.15\nacromioclavicular_turning_nm_per_deg = 0.001\n\
    scapula_n_per_mm = 0.5";
const SOFT_LIGAMENTS: &str =
    "costoclavicular_n_per_mm = 1.1\nconoid_n_per_mm = 0.5\ntrapezoid_n_per_mm = 0.5";
const NO_LIGAMENTS: &str =
    "costoclavicular_n_per_mm = 0\nconoid_n_per_mm = 0\ntrapezoid_n_per_mm = 0";

/// An average man's case with a nail, a plate and one activity, `keys` of it.
fn with_activity(joints: &str, keys: &str) -> Case {
    let text = format!(
        "title = \"check\"\n[patient]\npreset = \"adult-male-average\"\n[joints]\n{joints}\n\
         [fracture]\npattern = \"transverse\"\n[[construct]]\nname = \"nail\"\n[construct.nail]\n\
         diameter_mm = 2.5\nshape = \"prebent\"\n[[construct]]\nname = \"plate\"\n\
         [construct.plate]\nsurface = \"superior\"\nsize = \"compression-3.5\"\nhole_count = 8\n\
         [[activity]]\nname = \"it\"\n{keys}\n"
    );
    case::parse(&text, "check").unwrap_or_else(|error| panic!("{error}"))
}

fn linear(case: &Case) -> Assessment {
    assess(case, Mechanics::Linear).expect("joints hold it")
}

fn reactions(assessment: &Assessment) -> JointReactions {
    let shoulder = assessment.activities[0].shoulder.as_ref();
    shoulder.and_then(|s| s.joints).expect("joints hold it")
}

fn patient() -> Patient {
    let preset = Preset::named("adult-male-average").expect("a preset");
    preset.patient(Side::Right)
}

/// The joints' answer of the first activity, the bone unbroken or in a construct.
fn joint_forces(case: &Case, device: Option<usize>, mechanics: Mechanics) -> JointForces {
    let position = case.fracture.position;
    let setups = case.activities[0].setups(&case.patient, &case.clavicle, position);
    let broken = device.map(|number| (&case.fracture, &case.constructs[number].1));
    let construct = Construct::new(&case.clavicle, broken, &setups, mechanics);
    let responses = construct.solve(&setups).expect("joints hold it");
    responses[0]
        .joint_forces(&construct)
        .expect("joints hold it")
}

/// A strap of 67 N in the middle of a bone of 155 mm, no ligament, joints that turn freely:
/// 33.5 N at each end and 2.6 N·m.
///
/// Source: simply supported beam, `F/2` and `F L/4`. Tolerance: 1 % of the forces (60 N·mm/rad are
/// left at the joints), 2 % of the moment (the S-curve and 1 mm of strap).
#[test]
fn strap_on_a_bone_without_ligaments() {
    let free = "sternoclavicular_turning_nm_per_deg = 0.001\n\
                acromioclavicular_turning_nm_per_deg = 0.001";
    let joints = format!("{NO_LIGAMENTS}\n{free}");
    let strap = "strap_force_n = 67\nstrap_position = 0.5\nstrap_width_mm = 1";
    let assessed = linear(&with_activity(&joints, strap));
    let joints = reactions(&assessed);
    for up in [joints.sternoclavicular_n[2], joints.acromioclavicular_n[2]] {
        assert_relative_eq!(up, 33.5, max_relative = 0.01);
    }
    let moment = 67.0 * 0.155 / 4.0;
    assert_relative_eq!(
        assessed.activities[0].peak_moment_nm,
        moment,
        max_relative = 0.02
    );
}

/// One spring of a rigid bone: where it acts, along or about which axis, how stiff, and whether its
/// other end is the shoulder blade.
#[derive(Clone)]
struct Spring {
    at: Vector3<f64>,
    axis: usize,
    turning: bool,
    stiffness: f64,
    on_scapula: bool,
}

impl Spring {
    /// Its stretch for each of the nine freedoms.
    fn stretch(&self) -> DVector<f64> {
        let mut stretch = DVector::zeros(9);
        if self.turning {
            stretch[3 + self.axis] = 1.0;
            return stretch;
        }
        let unit = Vector3::ith(self.axis, 1.0);
        stretch[self.axis] = 1.0;
        stretch
            .fixed_rows_mut::<3>(3)
            .copy_from(&self.at.cross(&unit));
        if self.on_scapula {
            stretch[6 + self.axis] = -1.0;
        }
        stretch
    }

    fn force(&self, moved: &DVector<f64>) -> f64 {
        self.stiffness * self.stretch().dot(moved)
    }
}

/// Movement of a rigid bone (mm, rad, about the origin) and of the shoulder blade (mm) under a
/// force on the bone and one on the shoulder blade.
fn rigid(
    springs: &[Spring],
    hold: f64,
    (on_bone, at): (Vector3<f64>, Vector3<f64>),
    on_scapula: Vector3<f64>,
) -> DVector<f64> {
    let mut stiffness = DMatrix::zeros(9, 9);
    for spring in springs {
        let stretch = spring.stretch();
        stiffness += &stretch * stretch.transpose() * spring.stiffness;
    }
    let mut load = DVector::zeros(9);
    for axis in 0..3 {
        stiffness[(6 + axis, 6 + axis)] += hold;
    }
    load.fixed_rows_mut::<3>(0).copy_from(&on_bone);
    load.fixed_rows_mut::<3>(3).copy_from(&at.cross(&on_bone));
    load.fixed_rows_mut::<3>(6).copy_from(&on_scapula);
    stiffness.lu().solve(&load).expect("joints hold it")
}

/// Springs a hundred times softer than usual: the bone moves as a rigid bar on them. What is taut
/// or pressed is found by trying all sixteen ways: one only agrees with itself.
///
/// Source: rigid body on springs, nine equations. Tolerance 5e-3: the bone is that much stiffer.
#[test]
fn rigid_bar_on_soft_springs() {
    for (keys, force, push) in [
        ("push_up_n = 100", 0.0, [0.0, 100.0]),
        ("push_inward_n = 100", 0.0, [100.0, 0.0]),
        (
            "strap_force_n = 50\nstrap_position = 0.6\nstrap_width_mm = 1",
            50.0,
            [0.0, 0.0],
        ),
    ] {
        let case = with_activity(&format!("{SOFT}\n{SOFT_LIGAMENTS}"), keys);
        let bone = &case.clavicle;
        let acromial = bone.point(1.0);
        let spring = |at, axis, stiffness, on_scapula| Spring {
            at,
            axis,
            turning: false,
            stiffness,
            on_scapula,
        };
        let mut always = vec![
            spring(Vector3::zeros(), 0, 2.0, false),
            spring(Vector3::zeros(), 1, 1.0, false),
            spring(Vector3::zeros(), 2, 1.0, false),
        ];
        for axis in 0..3 {
            always.push(spring(acromial, axis, 0.15, true));
            always.push(Spring {
                turning: true,
                ..spring(acromial, axis, 0.002 * NM_PER_DEG, false)
            });
        }
        let one_sided = [
            spring(bone.point(bone.costoclavicular()), 2, 1.1, false),
            spring(bone.point(bone.conoid()), 2, 0.5, true),
            spring(bone.point(bone.trapezoid()), 2, 0.5, true),
            spring(acromial, 0, 3.0, true),
        ];
        let agreeing = (0..16_u32).filter_map(|which| {
            let bears = |number: usize| which & (1 << number) != 0;
            let taut = (0..4).filter(|n| bears(*n)).map(|n| one_sided[n].clone());
            let springs: Vec<Spring> = always.iter().cloned().chain(taut).collect();
            let strap = (vector![0.0, 0.0, -force], bone.point(0.6));
            let moved = rigid(&springs, 0.5, strap, vector![-push[0], 0.0, push[1]]);
            let pulls = one_sided.each_ref().map(|own| own.force(&moved));
            let agrees = (0..4).all(|n| bears(n) == (pulls[n] > 0.0));
            agrees.then_some((moved, pulls.map(|pull| pull.max(0.0))))
        });
        let agreeing: Vec<_> = agreeing.collect();
        let [(moved, pulls)] = &agreeing[..] else {
            panic!("{keys}: {} ways agree", agreeing.len());
        };
        let found = joint_forces(&case, None, Mechanics::Linear);
        let capsule = always[3..].iter().filter(|own| !own.turning);
        let capsule: Vec<f64> = capsule.map(|own| own.force(moved)).collect();
        for (found, expected) in [
            (found.sternoclavicular.x, -2.0 * moved[0]),
            (found.sternoclavicular.y, -moved[1]),
            (found.sternoclavicular.z, -moved[2]),
            (found.acromioclavicular.x, -capsule[0] - pulls[3]),
            (found.acromioclavicular.z, -capsule[2]),
            (found.scapula.x, -0.5 * moved[6]),
            (found.scapula.z, -0.5 * moved[8]),
            (found.costoclavicular, pulls[0]),
            (found.conoid, pulls[1]),
            (found.trapezoid, pulls[2]),
        ] {
            let apart = (found - expected).abs();
            let load = force + push[0] + push[1];
            assert!(apart < 5e-3 * load, "{keys}: {found} for {expected}");
        }
    }
}

/// Joints, ligaments and loads balance, on the bone and on the shoulder blade; ligaments never
/// push and the joint never pulls more than its capsule.
///
/// Source: equilibrium. Tolerance 1e-6 of the load: the solver's own; with contact 1e-5, what
/// lies in the bone with the device in is subtracted from what lies there under load.
#[test]
fn joints_and_ligaments_balance_the_loads() {
    for (keys, strap, push) in [
        ("strap_force_n = 67", 67.0, [0.0, 0.0]),
        ("push_up_n = 150", 0.0, [0.0, 150.0]),
        ("push_inward_n = 300", 0.0, [300.0, 0.0]),
        (
            "strap_force_n = 40\npush_up_n = 120\npush_inward_n = 80",
            40.0,
            [80.0, 120.0],
        ),
    ] {
        let case = with_activity("", keys);
        let load = strap + push[0] + push[1];
        for (device, mechanics, tolerance) in [
            (None, Mechanics::Linear, 1e-6),
            (Some(0), Mechanics::Contact, 1e-5),
            (Some(1), Mechanics::Contact, 1e-5),
        ] {
            let joints = joint_forces(&case, device, mechanics);
            let ligaments = joints.conoid + joints.trapezoid;
            let pulled = vector![0.0, 0.0, joints.costoclavicular + ligaments + strap];
            let on_bone = joints.sternoclavicular + joints.acromioclavicular - pulled;
            let pushed = vector![-push[0], 0.0, push[1] + ligaments];
            let on_scapula = joints.scapula - joints.acromioclavicular + pushed;
            for rest in [on_bone, on_scapula] {
                assert!(rest.norm() < tolerance * load, "{keys}, {device:?}: {rest}");
            }
            if device.is_none() {
                let pulls = [joints.costoclavicular, joints.conoid, joints.trapezoid];
                assert!(pulls.iter().all(|pull| *pull >= 0.0), "{keys}: {pulls:?}");
            }
        }
    }
}

/// A push up is shared between the muscles of the shoulder blade and the bone as their
/// stiffnesses: with muscles 3 and 0.3 times as stiff the plate's margin is 3 and 0.3 times as
/// large, but for the bone's own share, some 2 %.
///
/// Source: springs side by side, `F_bone = F k_bone / (k_bone + k_muscles)`. Tolerance 5 %: twice
/// that share.
#[test]
fn a_push_is_shared_as_stiffness() {
    let assessed = linear(&with_activity("", "push_up_n = 150"));
    let plate = &assessed.constructs[1].joint_sensitivity[0];
    let assumed = plate.static_margin.expect("it is loaded");
    let smallest = assessed.constructs[1].smallest_static_margin();
    assert_eq!(assumed, smallest.expect("it is loaded").2);
    for factor in [0.3, 3.0] {
        let mut varied = plate.varied.iter();
        let found = varied.find(|v| v.joints == "shoulder blade" && v.factor == factor);
        let margin = found.expect("it is varied").static_margin;
        let ratio = margin.expect("it is loaded") / assumed;
        assert_relative_eq!(ratio, factor, max_relative = 0.05);
    }
    assert_eq!(plate.varied.len(), 12);
}

/// No slack, no preload: twice the load gives twice the forces, though ligaments pull only.
///
/// Source: positive homogeneity of one-sided springs without gap. Tolerance: rounding of the
/// solver.
#[test]
fn forces_grow_as_the_load() {
    let once = joint_forces(
        &with_activity("", "push_inward_n = 200"),
        None,
        Mechanics::Linear,
    );
    let twice = joint_forces(
        &with_activity("", "push_inward_n = 400"),
        None,
        Mechanics::Linear,
    );
    assert!(once.conoid > 1.0);
    assert_relative_eq!(twice.conoid, 2.0 * once.conoid, max_relative = 1e-6);
    let pair = (twice.acromioclavicular, once.acromioclavicular * 2.0);
    assert_relative_eq!(pair.0, pair.1, max_relative = 1e-6);
}

/// A bone on soft joints, pushed from the side, topples as a rigid strut whose ends shift: the
/// joint that is pressed carries the push though it would not carry a pull.
///
/// ```text
/// P = k L + c / L      1/k = 1/1 + 1/0.15 + 1/0.5      c = 2 × 0.001 N·m/deg
/// ```
///
/// Source: energy of a rigid strut on springs (textbook). Tolerance 1 %: the bone itself, which
/// would buckle at 200 times that load.
#[test]
fn a_strut_on_soft_joints_topples() {
    let joints = format!("{SOFT}\n{NO_LIGAMENTS}");
    let case = with_activity(&joints, "push_inward_n = 1");
    let loading = &case.activities[0].loading;
    let setups = loading.setups(&case.patient, &case.clavicle, case.fracture.position);
    let bone = Construct::new(&case.clavicle, None, &setups, Mechanics::Linear);
    let factor = bone.buckling_factor(&setups[0]).expect("a strut topples");
    let push = -joint_forces(&case, None, Mechanics::Linear)
        .acromioclavicular
        .x;
    let (length, series) = (case.clavicle.length(), 1.0 + 1.0 / 0.15 + 1.0 / 0.5);
    let expected = length / series + 0.002 * NM_PER_DEG / length;
    assert_relative_eq!(factor * push, expected, max_relative = 0.01);
}

fn usual(name: &str) -> Activity {
    let set = usual_set(&patient(), 0.45);
    let mut found = set.into_iter().filter(|activity| activity.name == name);
    found.next().unwrap_or_else(|| panic!("no {name}"))
}

/// The full passive range once at the end of the operation: ten movements in the first day, none
/// later, as forceful as the published envelope of the level arm, 126 N and 2.4 N·m.
///
/// Source: Hoogervorst et al., *Clin. Biomech.* (2019). Tolerance 2e-3: as for the envelope itself.
#[test]
fn full_passive_range_at_the_end_of_the_operation() {
    let range = usual("full range at the end of the operation");
    let cycles = |span| -> f64 { range.phases.iter().map(|p| p.cycles_within(span)).sum() };
    assert_relative_eq!(cycles([0.0, 1.0]), 10.0, max_relative = 0.03);
    assert_eq!(cycles([1.0, 52.0]), 0.0);
    let mut case = with_activity("", "arm_elevation_deg = 10");
    case.activities[0].loading = range.loading;
    let assessed = linear(&case);
    let activity = &assessed.activities[0];
    assert_relative_eq!(activity.peak_moment_nm, 2.4, max_relative = 2e-3);
    let arm = activity.shoulder.as_ref().and_then(|shoulder| shoulder.arm);
    assert_relative_eq!(arm.expect("an arm").push_n, 126.0, max_relative = 1e-3);
}

/// A fall is the worst of an implant over an open gap in the first week and least once bone has
/// grown; that the bone topples between its joints is no limit of the implant.
///
/// Common practice, no source: nothing is to be fallen on before union.
#[test]
fn trade_a_fall_is_least_borne_before_union() {
    let mut case = with_activity("", "strap_force_n = 45");
    case.fracture.pattern = Pattern::Comminuted;
    case.fracture.gap = 6.0;
    let mut assessed = linear(&case);
    add_weeks(&mut assessed, &case, Mechanics::Linear).expect("joints hold it");
    for construct in &assessed.constructs {
        let falls: Vec<_> = construct
            .weeks
            .iter()
            .map(|week| &week.accidents[0])
            .collect();
        let (first, last) = (falls[0], falls[falls.len() - 1]);
        assert_eq!(first.name, "fall on the shoulder");
        assert!(
            first.margin < 1.0 && last.margin > 1.0,
            "{first:?} {last:?}"
        );
        assert!(falls.iter().all(|fall| fall.governs != Limit::Buckles));
    }
}

/// Pushing off: a quarter of 76 kg less an arm of 36.8 N is 149.5 N. A fall: 745 N.
///
/// Source: by hand. Rounding of these digits.
#[test]
fn pushing_off_and_falling() {
    let push_of = |name: &str| match usual(name).loading {
        Loading::Shoulder { push, .. } => push.expect("a push"),
        Loading::Bench(_) => panic!("{name} is no bench test"),
    };
    let Push { up, inward } = push_of("push-off from a chair");
    assert_relative_eq!(up, 149.5, epsilon = 0.05);
    assert_eq!(inward, 0.0);
    let Push { up, inward } = push_of("fall on the shoulder");
    assert_relative_eq!(inward, 745.3, epsilon = 0.05);
    assert_eq!(up, 0.0);
    assert!(usual("fall on the shoulder").phases.is_empty());
}

/// Joints three times as stiff, all of them, are three times as stiff each; a group by itself
/// leaves the others.
#[test]
fn groups_of_joints() {
    use clavibeam::anatomy::JointGroup;
    let usual = Joints::default();
    let all = usual.with_scaled(JointGroup::All, 3.0);
    let mut each = usual;
    for group in JointGroup::EACH {
        if group != JointGroup::All {
            let alone = usual.with_scaled(group, 3.0);
            assert!(alone != usual && alone != all, "{group:?}");
            each = each.with_scaled(group, 3.0);
        }
    }
    assert_eq!(each, all);
    assert_eq!(all.conoid, 150.0);
    assert_eq!(all.scapula, 150.0);
}

/// What a strap asks of a bone with its joints is near what it asks between free joints, for its
/// ligaments hang slack.
///
/// Source: statics. Tolerance 12 %: the joints resist turning a little.
#[test]
fn a_strap_slackens_the_ligaments() {
    let strap = Loading::strap(Strap {
        force: 67.0,
        position: 0.5,
        width: 1.0,
    });
    let mut case = with_activity("", "arm_elevation_deg = 10");
    case.activities[0].loading = strap;
    let assessed = linear(&case);
    let joints = reactions(&assessed);
    assert_eq!(
        [
            joints.conoid_n,
            joints.trapezoid_n,
            joints.costoclavicular_n
        ],
        [0.0; 3]
    );
    let free = 67.0 * 0.155 / 4.0;
    assert_relative_eq!(
        assessed.activities[0].peak_moment_nm,
        free,
        max_relative = 0.12
    );
}
