//! Values taken for inputs the case file leaves out, in the units of their keys.
//!
//! Each stands here once; its source goes into the list of defaults used.

use std::borrow::Cow;
use std::fmt::Display;

use super::DefaultUsed;
use crate::input::Checker;

/// A value with its source.
pub(super) struct Sourced<T> {
    pub value: T,
    pub source: Cow<'static, str>,
}

impl<T> Sourced<T> {
    /// A value that depends on other inputs.
    pub fn new(value: T, source: impl Into<Cow<'static, str>>) -> Self {
        let source = source.into();
        Sourced { value, source }
    }
}

const fn sourced<T>(value: T, source: &'static str) -> Sourced<T> {
    Sourced {
        value,
        source: Cow::Borrowed(source),
    }
}

pub(super) const SIDE: Sourced<&str> = sourced("right", "assumption: the frame of reference");
pub(super) const SCALE: Sourced<f64> = sourced(1.0, "the preset unscaled");
pub(super) const OSTEOPOROTIC: Sourced<bool> = sourced(false, "the preset as it is");

pub(super) const FRACTURE_POSITION: Sourced<f64> =
    sourced(0.5, "assumption: the middle of the shaft");
pub(super) const OBLIQUITY_DEG: Sourced<f64> = sourced(45.0, "assumption: a short oblique break");
pub(super) const OBLIQUITY_DIRECTION: Sourced<&str> = sourced(
    "superomedial-to-inferolateral",
    "the least self-stabilising: Vancleef, Wesseling, Vander Sloten, Jonkers, load cases for \
     clavicle plates",
);
pub(super) const CLEAN_BREAK_GAP_MM: Sourced<f64> = sourced(
    0.5,
    "assumption: bone left out of the model at a clean break after reduction; a linear model \
     transmits nothing across it",
);
pub(super) const FACE_FRICTION: Sourced<f64> = sourced(
    0.4,
    "assumption: rough broken bone on broken bone; no measured value was found",
);
pub(super) const INTERLOCK_SHEAR_N: Sourced<f64> =
    sourced(0.0, "assumption: teeth of the break are not counted on");

pub(super) const PUSH_N: Sourced<f64> = sourced(
    97.0,
    "largest compression of the middle third, arm lifted forward: Hoogervorst et al. 2019",
);

pub(super) const NAIL_MATERIAL: Sourced<&str> = sourced("ti-6al-7nb", "common practice, no source");
/// About 10 mm on an adult bone.
pub(super) const NAIL_ENTRY: Sourced<f64> = sourced(
    0.06,
    "from memory: anteromedial entry 1-2 cm lateral to the sternoclavicular joint",
);
pub(super) const NAIL_TIP: Sourced<f64> = sourced(
    0.80,
    "from memory: the tip lies in the lateral third, past the conoid region",
);

/// Where a nail put in from the lateral side enters, and where a pin's nuts, a screw's head or a
/// wire's end lie.
pub(super) const LATERAL_CORTEX: Sourced<f64> = sourced(
    0.88,
    "assumption: where the canal ends at the lateral cortex",
);
pub(super) const NAIL_LATERAL_TIP: Sourced<f64> = sourced(
    0.12,
    "assumption: the tip lies in the medial third, short of the sternal end",
);
pub(super) const NAIL_END_CAP: Sourced<bool> = sourced(false, "assumption: none");

pub(super) const PIN_MATERIAL: Sourced<&str> =
    sourced("steel-316l-cold-worked", "common practice, no source");
pub(super) const PIN_CORE_TO_OUTER: Sourced<f64> = sourced(
    0.8,
    "assumption: 0.8 of the outer diameter, since core diameters of pins are not published",
);
pub(super) const PIN_SHANK_SOURCE: &str = "assumption: as thick as the thread core";
pub(super) const PIN_THREAD_LENGTH_MM: Sourced<f64> =
    sourced(40.0, "assumption: 40 mm of medial thread");
pub(super) const PIN_THREAD_CLEARANCE_MM: Sourced<f64> = sourced(
    5.0,
    "assumption: 5 mm short of the gap; all medial threads lie medial of the fracture line",
);
pub(super) const PIN_NUT: Sourced<f64> = LATERAL_CORTEX;
pub(super) const PIN_PITCH_TO_OUTER: Sourced<f64> = sourced(
    0.44,
    "assumption: as coarse as a 4.0 mm cancellous screw (pitch 1.75 mm), since pitches of pins are \
     not published",
);
pub(super) const PIN_PROMINENCE_MM: Sourced<f64> = sourced(
    10.0,
    "assumption: two nuts of about 4 mm and 2 mm of pin; no published number",
);

pub(super) const NUT_TURNS: Sourced<f64> = sourced(
    0.0,
    "assumption: nuts that bear on the cortex without drawing",
);
pub(super) const COMPRESSION_MM: Sourced<f64> =
    sourced(0.0, "assumption: nothing draws the broken ends together");

pub(super) const WIRE_MATERIAL: Sourced<&str> = sourced(
    "steel-316l-cold-worked",
    "assumption: the hardest steel here; drawn wire is said to be harder (from memory), its proof \
     stress was not found",
);
pub(super) const PAST_GAP_MM: Sourced<f64> = sourced(
    40.0,
    "assumption: 40 mm past the gap, as the thread of a pin",
);

pub(super) const CANNULATED_MATERIAL: Sourced<&str> =
    sourced("steel-316l-cold-worked", "common practice, no source");
pub(super) const CANNULATED_THREAD_MM: Sourced<f64> =
    sourced(16.0, "assumption: a short thread of 16 mm");
pub(super) const CHANNEL_SHANK_SOURCE: &str = "assumption: as thick as the thread core";

pub(super) const PLATE_MATERIAL: Sourced<&str> =
    sourced("steel-316l-cold-worked", "common practice, no source");
pub(super) const PLATE_STANDOFF_MM: Sourced<f64> =
    sourced(0.0, "assumption: the plate is contoured to lie on the bone");
pub(super) const PLATE_LOCKING: Sourced<bool> = sourced(true, "common practice, no source");
pub(super) const SCREW_PRELOAD_N: Sourced<f64> = sourced(
    500.0,
    "assumption: well below what pulls a 3.5 mm thread out of two thin cortices, over 1000 N by \
     shear of the bone around it; no measured value for the clavicle was found",
);
pub(super) const PLATE_CENTRE_SOURCE: &str = "common practice, no source: over the fracture";
pub(super) const SCREW_BICORTICAL: Sourced<bool> = sourced(
    true,
    "common practice, no source: screws hold in both cortices",
);
pub(super) const SCREWS_SOURCE: &str = "common practice, no source: a bicortical screw in each \
                                        hole whose edge is clear of the gap";

pub(super) const HAND_MASS_KG: Sourced<f64> = sourced(0.0, "assumption: an empty hand");
pub(super) const STRAP_POSITION: Sourced<f64> = sourced(
    0.45,
    "assumption: a strap rests just medial of the middle of the bone",
);

pub(super) const MEAN_STRESS: Sourced<&str> = sourced("goodman", "common practice for bone plates");
pub(super) const RELIABILITY_PERCENT: Sourced<f64> =
    sourced(50.0, "the published median strength as it is");
pub(super) const FINISH: Sourced<&str> = sourced("polished", "as the specimens published");
/// 500 to 2000 elevations a day over 12 to 16 weeks are 4×10⁴ to 2×10⁵.
pub(super) const REPEATS: Sourced<f64> = sourced(
    1e5,
    "assumption: about the elevations until union; no daily count was found",
);
pub(super) const SLOW_HEALER: Sourced<bool> = sourced(false, "assumption: heals normally");
/// Factor on the time for smokers and the elderly. Assumption: 1.5 to 2.
pub(super) const SLOW_HEALER_FACTOR: f64 = 1.5;
/// Factor on the time for a child. Assumption.
pub(super) const CHILD_FACTOR: f64 = 0.5;
pub(super) const HEALING_DELAY_WEEKS: Sourced<f64> =
    sourced(0.0, "assumption: it begins with the operation");
pub(super) const ACTIVITY_SET_SOURCE: &str =
    "counts of healthy shoulders (Langohr 2018), cut down after the operation: assumption";

pub(super) const LIMIT_MASS_KG: Sourced<f64> = sourced(
    0.4,
    "a full cup for six weeks: common practice, no source; its mass is an assumption",
);

pub(super) const HIP_BELT: Sourced<bool> = sourced(false, "assumption: without one");

pub(super) const ACTIVITIES_SOURCE: &str = "assumption: daily loads of the first weeks";
/// Force on the clavicle of a strap without a hip belt: adult with 15 kg.
pub(super) const STRAP_FORCE_ADULT_N: f64 = 45.0;
/// The same for a child with a fifth of the body mass.
pub(super) const STRAP_FORCE_CHILD_N: f64 = 27.0;

/// Takes defaults for what a file leaves out, notes them, and collects problems.
pub(super) struct Inputs {
    pub check: Checker,
    /// Whether anybody will read which defaults were used.
    pub notes: bool,
    pub defaults_used: Vec<DefaultUsed>,
}

impl Inputs {
    /// The number given, or else its default.
    pub fn number(&mut self, key: &str, given: Option<f64>, default: Sourced<f64>) -> f64 {
        given.unwrap_or_else(|| {
            let shown = (default.value * 1e4).round() / 1e4;
            self.note(key, shown, default.source);
            default.value
        })
    }

    /// The word or switch given, or else its default.
    pub fn choice<T: Display + Clone>(
        &mut self,
        key: &str,
        given: Option<T>,
        default: Sourced<T>,
    ) -> T {
        given.unwrap_or_else(|| {
            self.note(key, default.value.clone(), default.source);
            default.value
        })
    }

    /// Notes a value that the file leaves to its default.
    pub fn note(&mut self, key: &str, value: impl Display, source: impl Into<Cow<'static, str>>) {
        if !self.notes {
            return;
        }
        let value = value.to_string();
        self.check.note_default(key, &value);
        self.defaults_used.push(DefaultUsed {
            key: key.to_owned(),
            value,
            source: source.into().into_owned(),
        });
    }
}
