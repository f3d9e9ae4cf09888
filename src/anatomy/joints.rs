//! What ties the clavicle to breastbone, first rib and shoulder blade: the least certain numbers
//! of all.

/// Stiffnesses of the joints and ligaments of one clavicle, and of what holds the shoulder blade
/// on the chest. N/mm, turning N·mm/rad.
///
/// Ligaments pull and do not push; the end of the clavicle presses on the acromion and does not
/// pull there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joints {
    /// Sternoclavicular joint along the bone.
    pub sternoclavicular_along: f64,
    /// Sternoclavicular joint across the bone.
    pub sternoclavicular_across: f64,
    /// Sternoclavicular joint against turning about any axis.
    pub sternoclavicular_turning: f64,
    /// Costoclavicular ligament, from the first rib straight up.
    pub costoclavicular: f64,
    /// Conoid ligament, from the shoulder blade straight up.
    pub conoid: f64,
    /// Trapezoid ligament, from the shoulder blade straight up.
    pub trapezoid: f64,
    /// Acromioclavicular joint pressed together.
    pub acromioclavicular_pressed: f64,
    /// Capsule of the acromioclavicular joint in every direction.
    pub acromioclavicular_capsule: f64,
    /// Acromioclavicular joint against turning about any axis.
    pub acromioclavicular_turning: f64,
    /// Muscles that hold the shoulder blade, in every direction.
    pub scapula: f64,
}

/// `1 N·m/deg` in N·mm/rad.
const NM_PER_DEG: f64 = 1000.0 * 180.0 / std::f64::consts::PI;

impl Default for Joints {
    /// Those of an adult.
    ///
    /// Source: both coracoclavicular ligaments together 103 ± 30 N/mm, without a significant
    /// difference between them (Harris et al., *Am. J. Sports Med.* 28 (2000) 103; 61 to
    /// 116 N/mm elsewhere). All others are assumptions, for no measured value was found: a
    /// sternoclavicular joint that is nearly a ball joint; a costoclavicular ligament of 12 × 3.4 mm
    /// and 15 mm length (Tubbs et al., *Rom. J. Morphol. Embryol.* 50 (2009) 475) with 40 MPa, which
    /// gives 110 N/mm; an acromioclavicular capsule that lets go by some 4 to 6 mm at 70 N (from
    /// memory); a shoulder blade that a hand can move on the chest by centimetres.
    fn default() -> Self {
        Joints {
            sternoclavicular_along: 200.0,
            sternoclavicular_across: 100.0,
            sternoclavicular_turning: 0.1 * NM_PER_DEG,
            costoclavicular: 110.0,
            conoid: 50.0,
            trapezoid: 50.0,
            acromioclavicular_pressed: 300.0,
            acromioclavicular_capsule: 15.0,
            acromioclavicular_turning: 0.05 * NM_PER_DEG,
            scapula: 50.0,
        }
    }
}

/// Stiffnesses that are varied together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JointGroup {
    /// The sternoclavicular joint.
    Sternoclavicular,
    /// The costoclavicular ligament.
    Costoclavicular,
    /// Conoid and trapezoid ligament.
    Coracoclavicular,
    /// The acromioclavicular joint.
    Acromioclavicular,
    /// What holds the shoulder blade.
    Scapula,
    /// All of them.
    All,
}

impl JointGroup {
    /// Every group, all together last.
    pub const EACH: [JointGroup; 6] = [
        JointGroup::Sternoclavicular,
        JointGroup::Costoclavicular,
        JointGroup::Coracoclavicular,
        JointGroup::Acromioclavicular,
        JointGroup::Scapula,
        JointGroup::All,
    ];

    /// What it belongs to, in a word or two for a table.
    pub fn name(self) -> &'static str {
        match self {
            JointGroup::Sternoclavicular => "sternoclavicular",
            JointGroup::Costoclavicular => "costoclavicular",
            JointGroup::Coracoclavicular => "coracoclavicular",
            JointGroup::Acromioclavicular => "acromioclavicular",
            JointGroup::Scapula => "shoulder blade",
            JointGroup::All => "all",
        }
    }
}

impl Joints {
    /// The same with the stiffnesses of one group multiplied.
    pub fn with_scaled(mut self, group: JointGroup, factor: f64) -> Self {
        let scale = |stiffnesses: &mut [&mut f64]| {
            for stiffness in stiffnesses {
                **stiffness *= factor;
            }
        };
        let is = |own| group == own || group == JointGroup::All;
        if is(JointGroup::Sternoclavicular) {
            scale(&mut [
                &mut self.sternoclavicular_along,
                &mut self.sternoclavicular_across,
                &mut self.sternoclavicular_turning,
            ]);
        }
        if is(JointGroup::Costoclavicular) {
            scale(&mut [&mut self.costoclavicular]);
        }
        if is(JointGroup::Coracoclavicular) {
            scale(&mut [&mut self.conoid, &mut self.trapezoid]);
        }
        if is(JointGroup::Acromioclavicular) {
            scale(&mut [
                &mut self.acromioclavicular_pressed,
                &mut self.acromioclavicular_capsule,
                &mut self.acromioclavicular_turning,
            ]);
        }
        if is(JointGroup::Scapula) {
            scale(&mut [&mut self.scapula]);
        }
        self
    }
}
