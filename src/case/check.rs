//! From what was typed to what is meant: defaults, units, and the rules that compare keys.

use super::defaults::{self, Inputs};
use super::devices::BrokenBone;
use super::tables::{CaseTable, FractureTable, ObliquityWord, PatternWord};
use super::{Aftercare, Case, Constructs, activities, aftercare, bone, devices, joints, scatter};
use crate::anatomy::Clavicle;
use crate::construct::{Callus, Fracture, Pattern, Slope, SlopeDirection};
use crate::input::{Document, InputError, entry_path, key_path};
use crate::load::Activity;

/// The case a document describes.
///
/// Rules about the fit on the bone wait until there is a bone.
///
/// * `wanted`: constructs asked for
/// * `earlier`: a case whose bone is taken over where it is the same
///
/// # Errors
/// All problems of the file at once.
pub(super) fn case(
    document: Document<CaseTable>,
    wanted: Constructs,
    earlier: Option<&Case>,
) -> Result<Case, InputError> {
    let Document { table, check } = document;
    let mut inputs = Inputs {
        check,
        notes: matches!(wanted, Constructs::All),
        defaults_used: Vec::new(),
    };
    require_unique(
        &mut inputs,
        "construct",
        table.construct.iter().map(|construct| &construct.name),
    );
    require_unique(
        &mut inputs,
        "activity",
        table.activity.iter().map(|activity| &activity.name),
    );

    let preset = bone::preset(&table.patient);
    let joints = joints::joints(&mut inputs, &table.joints.unwrap_or_default());
    let patient = bone::patient(&mut inputs, &table.patient, joints, &preset);
    let bone_table = table.bone.unwrap_or_default();
    let Some(clavicle) = bone::clavicle(
        &mut inputs,
        &bone_table,
        &preset,
        earlier.map(|case| &case.clavicle),
    ) else {
        return Err(inputs.check.into_error());
    };
    let fracture = fracture(&mut inputs, &table.fracture, &clavicle);
    let push = inputs.number("fracture.push_n", table.fracture.push_n, defaults::PUSH_N);
    let broken = BrokenBone {
        clavicle: &clavicle,
        fracture: &fracture,
    };

    let (mut constructs, mut sizes) = (Vec::new(), Vec::new());
    for (index, construct) in table.construct.iter().enumerate() {
        if !wanted.includes(index) {
            continue;
        }
        let path = entry_path("construct", index);
        let offered = devices::sizes(&mut inputs, &path, construct, &broken);
        if let Some(smallest) = offered.first() {
            constructs.push((construct.name.clone(), smallest.clone()));
            sizes.push(offered);
        }
    }

    let mut activities = Vec::new();
    for (index, activity) in table.activity.iter().enumerate() {
        let path = entry_path("activity", index);
        let loading = activities::loading(&mut inputs, &path, activity, &patient, &broken);
        if let Some(loading) = loading {
            activities.push(Activity {
                name: activity.name.clone(),
                loading,
                phases: aftercare::phases(&mut inputs, &path, activity),
            });
        }
    }
    if table.activity.is_empty() {
        activities = activities::usual(&mut inputs, &patient);
    }

    let routine = aftercare::routine(&mut inputs, table.activity_set, &activities, &patient);
    let (fatigue, repeats) = aftercare::fatigue(&mut inputs, &table.fatigue.unwrap_or_default());
    let healing = table.healing.unwrap_or_default();
    let aftercare = Aftercare {
        routine,
        fatigue,
        repeats,
        healing: aftercare::healing(&mut inputs, &healing, &patient),
    };

    let scattered = scatter::scatter(
        &mut inputs,
        &table.scatter.unwrap_or_default(),
        clavicle.made_of(),
        &preset,
    );
    let Some(scatter) = scattered else {
        return Err(inputs.check.into_error());
    };
    let defaults_used = inputs.defaults_used;
    inputs.check.finish(Case {
        title: table.title,
        patient,
        clavicle,
        fracture,
        push,
        constructs,
        sizes,
        activities,
        aftercare,
        scatter,
        defaults_used,
    })
}

fn fracture(inputs: &mut Inputs, table: &FractureTable, clavicle: &Clavicle) -> Fracture {
    let position = inputs.number(
        "fracture.position",
        table.position,
        defaults::FRACTURE_POSITION,
    );
    let pattern = match table.pattern {
        PatternWord::Transverse => Pattern::Transverse,
        PatternWord::Oblique => Pattern::Oblique(slope(inputs, table)),
        PatternWord::Comminuted => Pattern::Comminuted,
    };
    for key in ["fracture.obliquity_deg", "fracture.obliquity_direction"] {
        let is_oblique = matches!(pattern, Pattern::Oblique(_));
        let rule = "needs pattern = \"oblique\"";
        inputs
            .check
            .require(key, is_oblique || !inputs.check.is_given(key), rule);
    }
    let gap = match (pattern, table.gap_mm) {
        (Pattern::Comminuted, None) => {
            inputs.check.problem(
                "fracture.gap_mm",
                "is missing: a comminuted fracture needs the length of its gap",
            );
            defaults::CLEAN_BREAK_GAP_MM.value
        }
        (_, given) => inputs.number("fracture.gap_mm", given, defaults::CLEAN_BREAK_GAP_MM),
    };
    let teeth = "fracture.interlock_shear_n";
    let interlock_shear = match (pattern, table.interlock_shear_n) {
        (Pattern::Comminuted, Some(_)) => {
            let rule = "needs faces that fit: a transverse or oblique fracture";
            inputs.check.problem(teeth, rule);
            0.0
        }
        (Pattern::Comminuted, None) => 0.0,
        (_, given) => inputs.number(teeth, given, defaults::INTERLOCK_SHEAR_N),
    };

    let middle = clavicle.arc_length(position);
    let longest = 2.0 * middle.min(clavicle.arc_length(1.0) - middle);
    inputs.check.require(
        "fracture.gap_mm",
        gap < longest,
        format!("must be less than {longest:.0}, or it reaches past the end of the bone"),
    );
    let fracture = Fracture {
        position,
        pattern,
        gap,
        face_friction: inputs.number(
            "fracture.face_friction",
            table.face_friction,
            defaults::FACE_FRICTION,
        ),
        interlock_shear,
        callus: table.callus.as_ref().map(|callus| Callus {
            youngs_modulus: callus.youngs_modulus_mpa,
            outer_diameter: callus.outer_diameter_mm,
        }),
    };
    inputs.check.require(
        "fracture.obliquity_deg",
        fracture.cuts_through(clavicle),
        "is so steep here that the break runs along the bone or past its end",
    );
    fracture
}

/// How an oblique break slopes.
fn slope(inputs: &mut Inputs, table: &FractureTable) -> Slope {
    let degrees = inputs.number(
        "fracture.obliquity_deg",
        table.obliquity_deg,
        defaults::OBLIQUITY_DEG,
    );
    let direction = match table.obliquity_direction {
        Some(ObliquityWord::SuperolateralToInferomedial) => {
            SlopeDirection::SuperolateralToInferomedial
        }
        Some(ObliquityWord::AnteromedialToPosterolateral) => {
            SlopeDirection::AnteromedialToPosterolateral
        }
        Some(ObliquityWord::AnterolateralToPosteromedial) => {
            SlopeDirection::AnterolateralToPosteromedial
        }
        Some(ObliquityWord::SuperomedialToInferolateral) => {
            SlopeDirection::SuperomedialToInferolateral
        }
        None => {
            let default = defaults::OBLIQUITY_DIRECTION;
            inputs.note(
                "fracture.obliquity_direction",
                default.value,
                default.source,
            );
            SlopeDirection::SuperomedialToInferolateral
        }
    };
    Slope {
        obliquity: degrees.to_radians(),
        direction,
    }
}

/// Every entry of a list has its own name.
fn require_unique<'t>(inputs: &mut Inputs, list: &str, names: impl Iterator<Item = &'t String>) {
    let names: Vec<&String> = names.collect();
    for (index, name) in names.iter().enumerate() {
        if let Some(first) = names[..index].iter().position(|earlier| earlier == name) {
            inputs.check.problem(
                &key_path(&entry_path(list, index), "name"),
                format!("is the name of {} already", entry_path(list, first)),
            );
        }
    }
}
