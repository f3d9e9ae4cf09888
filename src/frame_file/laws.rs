//! From the law tables of couplings to laws.

use crate::frame::{AxisLaw, Law, Shape, Touch};
use crate::input::Checker;

use super::law_tables::{
    CanalTable, FaceTable, RingTable, StopTable, TravelTable, TurnStopTable, TurnTable,
};
use super::tables::CouplingTable;

const CHOICES: [&str; 3] = ["stop-ahead", "stop-behind", "grip"];

impl CouplingTable {
    /// The law of a coupling, or none and a problem.
    pub(super) fn law(&self, check: &mut Checker, key: &str) -> Option<Law> {
        let [t, r] = [self.translations_n_per_mm, self.rotations_nmm_per_rad];
        let springs = [t[0], t[1], t[2], r[0], r[1], r[2]];
        let along = [&self.along.x, &self.along.y, &self.along.z];
        let about = [&self.about.x, &self.about.y, &self.about.z];
        let along = along.map(|axis| axis.as_ref().and_then(TravelTable::law));
        let about = about.map(|axis| axis.as_ref().and_then(TurnTable::law));
        let laws = [along[0], along[1], along[2], about[0], about[1], about[2]];
        let mut is_sound = true;
        for (axis, law) in laws.iter().enumerate() {
            let (group, spring_key) = match axis {
                0..3 => ("along", "translations_n_per_mm"),
                _ => ("about", "rotations_nmm_per_rad"),
            };
            let axis_key = format!("{key}.{group}.{}", ["x", "y", "z"][axis % 3]);
            if check.is_given(&axis_key) {
                check.exactly_one(&axis_key, &CHOICES);
                let is_alone = springs[axis] == 0.0;
                let rule = format!("must not stand beside a spring in {spring_key}");
                check.require(&axis_key, is_alone, rule);
                is_sound &= is_alone && law.is_some();
            }
        }

        let has_springs = springs.iter().any(|&spring| spring > 0.0);
        let has_laws = laws.iter().any(Option::is_some);
        let touches = [
            self.face.as_ref().map(FaceTable::touch),
            self.ring.as_ref().map(RingTable::touch),
        ];
        let touch_count = touches.iter().flatten().count();
        let is_single = touch_count + usize::from(has_springs || has_laws) == 1;
        let rule = match touch_count {
            0 => {
                "must have a spring in translations_n_per_mm or rotations_nmm_per_rad, or one of \
                 along, about, face, ring"
            }
            _ => "must have nothing beside a face or a ring: springs, along, about or the other",
        };
        check.require(key, is_single || !is_sound, rule);
        if !is_single || !is_sound {
            return None;
        }
        let [face, ring] = touches;
        Some(match face.or(ring) {
            Some(touch) => Law::Touch(touch),
            None if has_laws => {
                let axis = |axis: usize| laws[axis].unwrap_or(AxisLaw::Spring(springs[axis]));
                Law::Axes(std::array::from_fn(axis))
            }
            None => Law::Springs(springs),
        })
    }
}

impl TravelTable {
    fn law(&self) -> Option<AxisLaw> {
        let pair = |stop: StopTable| [stop.stiffness_n_per_mm, stop.gap_mm];
        axis_law(
            self.stop_ahead.map(pair),
            self.stop_behind.map(pair),
            self.grip
                .map(|grip| [grip.stiffness_n_per_mm, grip.strip_n]),
        )
    }
}

impl TurnTable {
    fn law(&self) -> Option<AxisLaw> {
        let pair = |stop: TurnStopTable| [stop.stiffness_nmm_per_rad, stop.gap_rad];
        axis_law(
            self.stop_ahead.map(pair),
            self.stop_behind.map(pair),
            self.grip
                .map(|grip| [grip.stiffness_nmm_per_rad, grip.strip_nmm]),
        )
    }
}

/// The law of an axis, along or about it.
///
/// * stops: stiffness and gap; grip: stiffness and strip
fn axis_law(
    stop_ahead: Option<[f64; 2]>,
    stop_behind: Option<[f64; 2]>,
    grip: Option<[f64; 2]>,
) -> Option<AxisLaw> {
    let ahead = stop_ahead.map(|[stiffness, gap]| AxisLaw::StopAhead { stiffness, gap });
    let behind = stop_behind.map(|[stiffness, gap]| AxisLaw::StopBehind { stiffness, gap });
    let grip = grip.map(|[stiffness, strip]| AxisLaw::Grip { stiffness, strip });
    ahead.or(behind).or(grip)
}

impl FaceTable {
    fn touch(&self) -> Touch {
        Touch {
            shape: Shape::Face { gap: self.gap_mm },
            stiffness: self.stiffness_n_per_mm,
            friction: self.friction,
            shear_stiffness: self
                .shear_stiffness_n_per_mm
                .unwrap_or(self.stiffness_n_per_mm),
        }
    }
}

impl RingTable {
    fn touch(&self) -> Touch {
        Touch {
            shape: Shape::Ring {
                clearance: self.clearance_mm,
                offset: self.offset_mm,
            },
            stiffness: self.stiffness_n_per_mm,
            friction: self.friction,
            shear_stiffness: self
                .shear_stiffness_n_per_mm
                .unwrap_or(self.stiffness_n_per_mm),
        }
    }
}

impl CanalTable {
    /// The law of the canal where its axis and that of the rod stand apart by an offset, mm,
    /// for a length of the canal, mm.
    pub(super) fn law(&self, offset: [f64; 2], length: f64) -> Law {
        let stiffness = self.stiffness_n_per_mm2;
        Law::Touch(Touch {
            shape: Shape::Ring {
                clearance: self.clearance_mm,
                offset,
            },
            stiffness: stiffness * length,
            friction: self.friction,
            shear_stiffness: self.shear_stiffness_n_per_mm2.unwrap_or(stiffness) * length,
        })
    }
}
