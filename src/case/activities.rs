//! Activities of a case file: what loads the bone.

use super::activity_tables::ActivityTable;
use super::defaults::{self, Inputs, Sourced};
use super::devices::BrokenBone;
use crate::anatomy::Patient;
use crate::load::{Activity, Arm, Bench, Loading, Push, Strap, backpack_force};

const SHOULDER: [&str; 9] = [
    "arm_elevation_deg",
    "hand_mass_kg",
    "strap_force_n",
    "backpack_mass_kg",
    "hip_belt",
    "strap_position",
    "strap_width_mm",
    "push_up_n",
    "push_inward_n",
];
const BENCH: [&str; 5] = [
    "axial",
    "torsion",
    "cantilever",
    "three_point",
    "four_point",
];

/// The loading of the activity at `path`; `None` if a problem leaves it undefined.
pub(super) fn loading(
    inputs: &mut Inputs,
    path: &str,
    table: &ActivityTable,
    patient: &Patient,
    bone: &BrokenBone<'_>,
) -> Option<Loading> {
    let check = &mut inputs.check;
    let given = |names: &[&'static str]| -> Vec<&'static str> {
        let is_given = |name: &&str| check.is_given(&format!("{path}.{name}"));
        names.iter().copied().filter(is_given).collect()
    };
    let (shoulder, bench) = (given(&SHOULDER), given(&BENCH));
    match (shoulder.as_slice(), bench.as_slice()) {
        ([], []) => {
            let rule = format!(
                "loads nothing: must have arm_elevation_deg, strap_force_n, push_up_n, push_inward_n or one \
                 bench test ({})",
                BENCH.join(", ")
            );
            check.problem(path, rule);
            None
        }
        (_, []) => Some(shoulder_loading(inputs, path, table, patient)),
        ([], [_]) => bench_loading(inputs, path, table, bone).map(Loading::Bench),
        ([], several) => {
            let rule = format!(
                "has {}: must have only one bench test",
                several.join(" and ")
            );
            check.problem(path, rule);
            None
        }
        ([shoulder, ..], [bench, ..]) => {
            let rule = format!(
                "has {shoulder} and {bench}: must load either the shoulder or a bench test"
            );
            check.problem(path, rule);
            None
        }
    }
}

fn shoulder_loading(
    inputs: &mut Inputs,
    path: &str,
    table: &ActivityTable,
    patient: &Patient,
) -> Loading {
    let key = |name: &str| format!("{path}.{name}");
    if table.arm_elevation_deg.is_none() {
        inputs.check.require(
            &key("hand_mass_kg"),
            table.hand_mass_kg.is_none(),
            "needs arm_elevation_deg beside it",
        );
    }
    inputs.check.require(
        &key("backpack_mass_kg"),
        table.strap_force_n.is_none() || table.backpack_mass_kg.is_none(),
        "must not stand beside strap_force_n",
    );
    inputs.check.require(
        &key("hip_belt"),
        table.hip_belt.is_none() || table.backpack_mass_kg.is_some(),
        "needs backpack_mass_kg beside it",
    );
    let of_backpack = table.backpack_mass_kg.map(|mass| {
        let belt = inputs.choice(&key("hip_belt"), table.hip_belt, defaults::HIP_BELT);
        backpack_force(mass, belt)
    });
    let force = table.strap_force_n.or(of_backpack);
    if force.is_none() {
        for name in ["strap_position", "strap_width_mm"] {
            let is_given = inputs.check.is_given(&key(name));
            inputs
                .check
                .require(&key(name), !is_given, "needs strap_force_n beside it");
        }
    }
    let arm = table.arm_elevation_deg.map(|elevation| Arm {
        elevation: elevation.to_radians(),
        hand_mass: inputs.number(
            &key("hand_mass_kg"),
            table.hand_mass_kg,
            defaults::HAND_MASS_KG,
        ),
    });
    let strap = force.map(|force| Strap {
        force,
        position: inputs.number(
            &key("strap_position"),
            table.strap_position,
            defaults::STRAP_POSITION,
        ),
        width: inputs.number(
            &key("strap_width_mm"),
            table.strap_width_mm,
            Sourced::new(patient.strap_width, "strap width of the patient"),
        ),
    });
    let push = Push {
        up: table.push_up_n.unwrap_or(0.0),
        inward: table.push_inward_n.unwrap_or(0.0),
    };
    let pushes = push.up > 0.0 || push.inward > 0.0;
    Loading::Shoulder {
        arm,
        strap,
        push: pushes.then_some(push),
    }
}

/// The one bench test of the table.
fn bench_loading(
    inputs: &mut Inputs,
    path: &str,
    table: &ActivityTable,
    bone: &BrokenBone<'_>,
) -> Option<Bench> {
    if let Some(axial) = &table.axial {
        return Some(Bench::Axial {
            force: axial.force_n,
        });
    }
    if let Some(torsion) = &table.torsion {
        inputs.check.require(
            &format!("{path}.torsion.torque_nm"),
            torsion.torque_nm != 0.0,
            "must not be 0",
        );
        return Some(Bench::Torsion {
            torque: torsion.torque_nm * 1000.0,
        });
    }
    if let Some(cantilever) = &table.cantilever {
        return Some(Bench::Cantilever {
            force: cantilever.force_n,
        });
    }
    if let Some(test) = &table.three_point {
        let path = format!("{path}.three_point");
        require_span_fits(inputs, &path, test.span_mm, bone);
        return Some(Bench::ThreePoint {
            force: test.force_n,
            span: test.span_mm,
        });
    }
    let test = table.four_point.as_ref()?;
    let path = format!("{path}.four_point");
    require_span_fits(inputs, &path, test.span_mm, bone);
    inputs.check.require(
        &format!("{path}.inner_span_mm"),
        test.inner_span_mm < test.span_mm,
        format!("must be less than span_mm = {}", test.span_mm),
    );
    Some(Bench::FourPoint {
        force: test.force_n,
        span: test.span_mm,
        inner_span: test.inner_span_mm,
    })
}

/// The supports stand on the bone, centred on the fracture.
fn require_span_fits(inputs: &mut Inputs, path: &str, span: f64, bone: &BrokenBone<'_>) {
    let position = bone.fracture.position;
    let longest = 2.0 * position.min(1.0 - position) * bone.clavicle.length();
    inputs.check.require(
        &format!("{path}.span_mm"),
        span <= longest,
        format!(
            "must be at most {longest:.0} for both supports, centred on the fracture, to meet \
             the bone"
        ),
    );
}

/// What is compared if the file names no activity.
pub(super) fn usual(inputs: &mut Inputs, patient: &Patient) -> Vec<Activity> {
    let raised = |name: &str, hand_mass: f64| Activity {
        name: name.to_owned(),
        loading: Loading::arm(Arm {
            elevation: 90f64.to_radians(),
            hand_mass,
        }),
        phases: Vec::new(),
    };
    let force = match patient.preset.starts_with("child") {
        true => defaults::STRAP_FORCE_CHILD_N,
        false => defaults::STRAP_FORCE_ADULT_N,
    };
    let activities = vec![
        raised("arm raised to 90°, empty hand", 0.0),
        raised("arm raised to 90°, 1 kg in hand", 1.0),
        Activity {
            name: "shoulder strap".to_owned(),
            loading: Loading::strap(Strap {
                force,
                position: defaults::STRAP_POSITION.value,
                width: patient.strap_width,
            }),
            phases: Vec::new(),
        },
    ];
    inputs.note(
        "activity",
        format!(
            "arm raised to 90° with an empty hand and with 1 kg; shoulder strap, {force} N at {}",
            defaults::STRAP_POSITION.value
        ),
        defaults::ACTIVITIES_SOURCE,
    );
    activities
}
