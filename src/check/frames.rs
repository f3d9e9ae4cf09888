//! The frame files that come with the program: each reference value they state is a check.

use super::{Check, Verdict};
use crate::frame_file::{self, Comparison, FrameFile, scale_of};

/// A frame file that comes with the program.
#[derive(Debug, Clone, Copy)]
pub struct FrameSource {
    /// Its path from the root of the repository.
    pub path: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! frame_files {
    ($($path:literal)*) => {
        &[$(FrameSource {
            path: $path,
            text: include_str!(concat!("../../", $path)),
        }),*]
    };
}

/// Every file of `models/frames`; a test holds the list to the folder.
pub const FRAME_FILES: &[FrameSource] = frame_files! {
    "models/frames/beam_column.toml"
    "models/frames/beam_lifting_off.toml"
    "models/frames/beam_on_forks.toml"
    "models/frames/beam_on_foundation.toml"
    "models/frames/beam_on_middle_spring.toml"
    "models/frames/bend_45_degrees.toml"
    "models/frames/bend_45_degrees_large.toml"
    "models/frames/block_on_rough_face.toml"
    "models/frames/bolt_and_joint.toml"
    "models/frames/bolt_group.toml"
    "models/frames/cantilever.toml"
    "models/frames/cantilever_and_stop.toml"
    "models/frames/cantilever_line_load.toml"
    "models/frames/continuous_beam.toml"
    "models/frames/curved_beam_1985.toml"
    "models/frames/elastica.toml"
    "models/frames/euler_column.toml"
    "models/frames/euler_four_columns.toml"
    "models/frames/fixed_beam_offset_force.toml"
    "models/frames/four_point_bending.toml"
    "models/frames/grillage.toml"
    "models/frames/guided_cantilever.toml"
    "models/frames/heat_and_prestrain.toml"
    "models/frames/l_bracket.toml"
    "models/frames/lateral_buckling.toml"
    "models/frames/lee_frame.toml"
    "models/frames/plate_on_blocks.toml"
    "models/frames/plate_prestrain.toml"
    "models/frames/portal_frame.toml"
    "models/frames/propped_cantilever.toml"
    "models/frames/quarter_circle.toml"
    "models/frames/rigid_arm.toml"
    "models/frames/ring.toml"
    "models/frames/rod_bonded_in_bone.toml"
    "models/frames/rod_in_arc_canal.toml"
    "models/frames/rod_in_bent_bone.toml"
    "models/frames/rod_in_plugs.toml"
    "models/frames/root_spring.toml"
    "models/frames/simple_beam_centre_force.toml"
    "models/frames/simple_beam_line_load.toml"
    "models/frames/six_columns.toml"
    "models/frames/stepped_shaft.toml"
    "models/frames/straight_beam_1985.toml"
    "models/frames/stubby_cantilever.toml"
    "models/frames/taper.toml"
    "models/frames/thread_that_strips.toml"
    "models/frames/toggle.toml"
    "models/frames/torque.toml"
    "models/frames/truss.toml"
    "models/frames/twisted_beam_1985.toml"
    "models/frames/two_layers_with_slip.toml"
};

/// All checks that are wanted.
pub(super) fn checks(wanted: &impl Fn(&Check) -> bool) -> Vec<Check> {
    let mut done = Vec::new();
    for source in FRAME_FILES {
        let file = frame_file::parse(source.text, source.path);
        let file = file.unwrap_or_else(|error| panic!("our own files are sound, but: {error}"));
        let planned = file
            .expectations
            .iter()
            .map(|expected| expected.unsolved(&file));
        let planned = planned
            .enumerate()
            .map(|(i, compared)| check(source, &file, i, &compared));
        let mut planned: Vec<Check> = planned.collect();
        if !planned.iter().any(wanted) {
            continue;
        }
        if let Ok(results) = file.solve() {
            let compared = results.references.iter().enumerate();
            planned = compared.map(|(i, c)| check(source, &file, i, c)).collect();
        }
        done.extend(planned.into_iter().filter(wanted));
    }
    done
}

/// * `index`: of the reference value in its file
fn check(source: &FrameSource, file: &FrameFile, index: usize, compared: &Comparison) -> Check {
    let name = source.path.rsplit('/').next().unwrap_or(source.path);
    let half = compared.tolerance * scale_of(compared.reference);
    let place = match compared.place.as_str() {
        "the whole frame" => String::new(),
        place => format!(", {place}"),
    };
    let reason = match &compared.tolerance_reason {
        Some(reason) => reason.clone(),
        None if compared.tolerance <= 1e-7 => ROUNDING.to_owned(),
        None => "elements of finite length, walls that give: see the file".to_owned(),
    };
    Check {
        id: format!("{}.{}", name.trim_end_matches(".toml"), index + 1),
        topic: topic(file).to_owned(),
        title: format!("{}: {}{place}", file.title, compared.load_case),
        quantity: compared.quantity.clone(),
        source: compared.source.clone(),
        expected: Some(compared.reference),
        agrees_within: [compared.reference - half, compared.reference + half],
        obtained: compared.result,
        tolerance_reason: reason,
        verdict: match compared.agrees {
            true => Verdict::Agrees,
            false => Verdict::Fails,
        },
    }
}

const ROUNDING: &str = "rounding: the element is exact at its nodes";

fn topic(file: &FrameFile) -> &'static str {
    let touches = file
        .frame
        .couplings
        .iter()
        .any(|coupling| !coupling.law.is_linear());
    match (
        &file.analysis.large_displacement,
        file.analysis.buckling_modes,
    ) {
        (Some(_), _) => "large displacements",
        (None, Some(_)) => "buckling",
        (None, None) if touches => "contact",
        (None, None) => "beams and frames",
    }
}
