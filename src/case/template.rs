//! A commented case file to start from.

use crate::anatomy::Preset;

/// A case file for a preset that reads without problems; `None` if there is no such preset.
///
/// It compares a nail, a pin and two plates. Keys that override a default stand in comments
/// with the value the default has.
pub fn template(preset: &str) -> Option<String> {
    let Preset {
        name,
        body_mass,
        stature,
        arm_weight,
        strap_width,
        bone,
    } = Preset::named(preset)?;
    let is_small = bone.length < 150.0;
    let nail_diameter = if is_small { 2.0 } else { 2.5 };
    let pin_diameter = if is_small { 2.5 } else { 3.0 };
    let plate_size = if is_small {
        "compression-2.7"
    } else {
        "limited-contact-3.5"
    };
    let hole_count = if is_small { 10 } else { 8 };
    let strap_force = if name.starts_with("child") { 27 } else { 45 };
    Some(format!(
        r#"# Case file of clavibeam: which way of holding this fracture bears what is asked of it?
# Lines that begin with # are comments; a key in one shows its default.
# Positions along the bone are fractions of its straight length from the sternal end.
# All keys and their limits: clavibeam schema case

title = "Midshaft fracture, {name}"

[patient]
preset = "{name}"          # everything not given below comes from it
side = "right"
# body_mass_kg = {body_mass}
# stature_m = {stature_m}
# arm_weight_n = {arm_weight}         # scaled with body_mass_kg unless given
# strap_width_mm = {strap_width}

# What was measured on this bone replaces the preset.
[bone]
# length_mm = {length}
# canal_min_diameter_mm = 5.5   # no default: the preset's walls
# osteoporotic = false

# Joints and ligaments hold the bone under a strap or a push; most are assumptions.
[joints]
# conoid_n_per_mm = 50        # 0 for a torn one
# trapezoid_n_per_mm = 50
# scapula_n_per_mm = 50       # the muscles of the shoulder blade

[fracture]
position = 0.5
pattern = "comminuted"      # or "transverse", "oblique"
gap_mm = 6
# push_n = 97                 # along the bone: does it keep its length?
# face_friction = 0.4         # broken end on broken end, where they meet
# Only for an oblique break; 0° would be across the bone:
# obliquity_deg = 45
# obliquity_direction = "superomedial-to-inferolateral"
# Only for a clean break:
# interlock_shear_n = 0       # shear that its teeth hold

# Healing tissue in the gap, if any:
# [fracture.callus]
# youngs_modulus_mpa = 50
# outer_diameter_mm = 18

[[construct]]
name = "elastic nail {nail_diameter:.1}"
[construct.nail]
diameter_mm = {nail_diameter:.1}           # or a list to choose from, or "auto": the largest that goes in
# material = "ti-6al-7nb"
# entry_side = "medial"      # or "lateral"
# entry = 0.06
# tip = 0.8
# shape = "straight"         # or "prebent"
# end_cap = false

[[construct]]
name = "threaded pin {pin_diameter:.1}"
[construct.pin]
outer_diameter_mm = {pin_diameter:.1}     # or a list, or "auto"
# core_diameter_mm, pitch_mm, shank_diameter_mm, medial_tip, thread_end and nut may be given
# prominence_mm = 10         # of nuts and pin end beyond the lateral cortex
# nut_turns = 0              # tightened so far once they bear on the cortex

[[construct]]
name = "superior plate"
[construct.plate]
surface = "superior"        # or "anteroinferior", "anterior"
size = "{plate_size}"       # gives the dimensions that are not given
hole_count = {hole_count}
# material = "steel-316l-cold-worked"
# locking = true
# screw_preload_n = 500     # of each screw that does not lock
# compression_mm = 0        # compression holes drive the lateral fragment so far; none may lock
# contour = "contoured"      # or "straight"
# empty_holes = []          # besides those over the gap
# absent_holes = []         # solid there

[[construct]]
name = "anteroinferior plate"
[construct.plate]
surface = "anteroinferior"
size = "{plate_size}"
hole_count = {hole_count}

# Other devices: a smooth wire, a cannulated screw, two plates at once.
# [construct.wire]
# diameter_mm = 2.0
# [construct.cannulated-screw]
# size = "cannulated-4.5"
# compression_mm = 0          # drawn home so far
# [[construct.plates]]        # twice, each with the keys of a plate

[[activity]]
name = "arm raised to 90°, empty hand"
arm_elevation_deg = 90

[[activity]]
name = "arm raised to 90°, 1 kg in hand"
arm_elevation_deg = 90
hand_mass_kg = 1

[[activity]]
name = "shoulder strap"
strap_force_n = {strap_force}
# strap_position = 0.45
# strap_width_mm = {strap_width}

# A bench test instead of a shoulder:
# [[activity]]
# name = "four-point bending"
# [activity.four_point]
# force_n = 100
# span_mm = 100
# inner_span_mm = 40

# The weeks after the operation (compare --weeks): an activity with cycles_per_day and weeks is
# counted there; without any the usual set is taken, with activity_set "usual" beside one's own.
# [fatigue]
# mean_stress = "goodman"     # or "gerber", "soderberg", "smith-watson-topper"
# reliability_percent = 50
# surface = "polished"
# repeats = 100000            # that an allowed load is borne
# [healing]
# smoker = false
# elderly = false
# delay_weeks = 0
# weeks and modulus_mpa give one's own callus modulus
"#,
        stature_m = stature / 1000.0,
        length = bone.length,
    ))
}
