//! Recipes of the bars that lie in the canal: what each is made of along the bone, and what
//! holds its ends.

use super::Mechanics;
use crate::anatomy::Clavicle;
use crate::device::{
    CannulatedScrew, Device, Nail, NailShape, Pin, Wire, cortical_shear_strength, thread_pull_out,
};
use crate::material::Material;
use crate::section::Section;

/// What holds each end of a smooth bar along its axis, N/mm: friction and trabecular bone in
/// the linear model, soft bone at the ends alone where friction is modelled.
///
/// Assumption: small against any fixed hold, so that the answer is determinate without
/// pretending that the bar keeps the bone's length.
const SMOOTH_END_AXIAL: f64 = 100.0;
const SMOOTH_END_AXIAL_BESIDE_FRICTION: f64 = 5.0;

/// What holds each end of a nail against turning in the canal, N·mm/rad: the flattened tip,
/// the bend at the entry.
///
/// Assumption: about what 1 N·m/rad of soft bone around a 3 mm tip gives.
const NAIL_END_TORSION: f64 = 1000.0;

/// What holds each end of a round wire against turning, N·mm/rad.
///
/// Assumption: friction alone, a tenth of what a flattened tip does.
const WIRE_END_TORSION: f64 = 100.0;

/// Stiffness of nuts, a screw head or an end cap on the cortex along the bar, N/mm.
///
/// Assumption: local denting of a cortex about 1 mm thick, of the order `E t / 4`.
pub(super) const SEAT_AXIAL: f64 = 5000.0;

/// Length of the lateral thread that carries the nuts, mm. Assumption: no published number.
const LATERAL_THREAD: f64 = 25.0;

/// A bar in the canal.
#[derive(Debug, Clone)]
pub struct Bar<'a> {
    /// The word for it.
    pub name: &'static str,
    /// What it is made of from its medial to its lateral end.
    pub stretches: Vec<Stretch>,
    /// Alloy and temper.
    pub material: &'a Material,
    /// Whether it is straight before it goes in and the canal bends it.
    pub straight: bool,
    /// What holds its medial and its lateral end.
    pub(super) ends: [EndHold; 2],
    /// Where it enters the bone, if that is a critical section, fraction of bone length.
    pub(super) entry: Option<f64>,
}

/// A stretch of bar that is the same all along.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    /// Fractions of bone length at its ends.
    pub reach: [f64; 2],
    /// Diameter that the canal must let through, mm.
    pub outer_diameter: f64,
    /// Its form.
    pub form: Form,
    /// Whether its thread, if it has one, is screwed into the bone all along.
    pub(super) bites: bool,
    pub(super) section: Section,
}

/// The form of a stretch of bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// Smooth and round.
    Smooth,
    /// Threaded.
    Threaded {
        /// Core diameter, mm.
        core_diameter: f64,
    },
    /// The flattened tip of a nail.
    Flattened,
}

/// What holds one end of a bar.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct EndHold {
    /// Spring along the bar, N/mm.
    pub axial: f64,
    /// Spring about the bar, N·mm/rad.
    pub torsion: f64,
    /// A stop on the cortex.
    pub stop: Option<Stop>,
    /// Force at which a thread strips that bites only the cortex where it comes out, N; holds
    /// from when the device is in.
    pub thread: Option<f64>,
}

/// A one-sided stop on the cortex, where contact is modelled.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stop {
    /// Stiffness once it bears, N/mm.
    pub stiffness: f64,
    /// How far it is drawn tight once it bears, mm; none if it cannot be.
    pub drawn: Option<f64>,
    /// Which way the bar cannot move in the bone.
    pub keeps_from: Way,
}

/// A way along the bone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    Medially,
    Laterally,
}

impl Bar<'_> {
    /// Fractions of bone length at its ends.
    pub fn reach(&self) -> [f64; 2] {
        let [first, last] = [self.stretches.first(), self.stretches.last()];
        [
            first.map_or(0.0, |stretch| stretch.reach[0]),
            last.map_or(0.0, |stretch| stretch.reach[1]),
        ]
    }

    /// Largest diameter, mm.
    pub fn outer_diameter(&self) -> f64 {
        let diameters = self.stretches.iter().map(|stretch| stretch.outer_diameter);
        diameters.fold(0.0, f64::max)
    }

    /// Whether it has no thread.
    pub fn is_smooth(&self) -> bool {
        let threaded = |stretch: &Stretch| matches!(stretch.form, Form::Threaded { .. });
        !self.stretches.iter().any(threaded)
    }

    /// Places along the bone where it begins, changes and ends.
    pub(super) fn places(&self) -> Vec<f64> {
        self.stretches
            .iter()
            .flat_map(|stretch| stretch.reach)
            .collect()
    }
}

/// The bar that a device is; none for plates.
pub fn bar<'a>(device: &'a Device, clavicle: &Clavicle, mechanics: Mechanics) -> Option<Bar<'a>> {
    match device {
        Device::Nail(nail) => Some(nail_bar(nail, clavicle, mechanics)),
        Device::Pin(pin) => Some(pin_bar(pin, clavicle, mechanics)),
        Device::Wire(wire) => Some(wire_bar(wire, mechanics)),
        Device::CannulatedScrew(screw) => Some(screw_bar(screw, mechanics)),
        Device::Plate(_) | Device::Plates(_) => None,
    }
}

fn smooth(reach: [f64; 2], diameter: f64, material: &Material) -> Stretch {
    Stretch {
        reach,
        outer_diameter: diameter,
        form: Form::Smooth,
        bites: false,
        section: Section::circle(diameter, material.poisson_ratio),
    }
}

fn smooth_end(torsion: f64, mechanics: Mechanics) -> EndHold {
    EndHold {
        axial: match mechanics {
            Mechanics::Linear => SMOOTH_END_AXIAL,
            Mechanics::Contact => SMOOTH_END_AXIAL_BESIDE_FRICTION,
        },
        torsion,
        ..EndHold::default()
    }
}

/// Adds a seat on the cortex that bears one way: a stop where contact is modelled, a spring both
/// ways in the linear model.
fn seated(end: EndHold, keeps_from: Way, mechanics: Mechanics) -> EndHold {
    match mechanics {
        Mechanics::Linear => EndHold {
            axial: SEAT_AXIAL,
            ..end
        },
        Mechanics::Contact => EndHold {
            stop: Some(Stop {
                stiffness: SEAT_AXIAL,
                drawn: None,
                keeps_from,
            }),
            ..end
        },
    }
}

/// A smooth nail; its flattened tip is thin from front to back, the plane of the curves it is
/// steered around (assumption).
fn nail_bar<'a>(nail: &'a Nail, clavicle: &Clavicle, mechanics: Mechanics) -> Bar<'a> {
    let material = &nail.material;
    let [medial, lateral] = nail.ends();
    let tip = clavicle.arc_length(nail.tip);
    let [thickness, width] = nail.tip_size();
    let flattened = |reach| Stretch {
        reach,
        outer_diameter: nail.diameter,
        form: Form::Flattened,
        bites: false,
        section: Section::rectangle(thickness, width, material.poisson_ratio),
    };
    let end = smooth_end(NAIL_END_TORSION, mechanics);
    let capped = |way| match nail.end_cap {
        true => seated(end, way, mechanics),
        false => end,
    };
    let (stretches, ends) = match nail.enters_medially() {
        true => {
            let from = clavicle.fraction_at_arc_length(tip - Nail::TIP_LENGTH);
            let from = from.max((medial + lateral) / 2.0);
            let stretches = vec![
                smooth([medial, from], nail.diameter, material),
                flattened([from, lateral]),
            ];
            (stretches, [capped(Way::Medially), end])
        }
        false => {
            let to = clavicle.fraction_at_arc_length(tip + Nail::TIP_LENGTH);
            let to = to.min((medial + lateral) / 2.0);
            let stretches = vec![
                flattened([medial, to]),
                smooth([to, lateral], nail.diameter, material),
            ];
            (stretches, [end, capped(Way::Laterally)])
        }
    };
    Bar {
        name: "nail",
        stretches,
        material,
        straight: nail.shape == NailShape::Straight,
        ends,
        entry: Some(nail.entry),
    }
}

fn wire_bar(wire: &Wire, mechanics: Mechanics) -> Bar<'_> {
    let reach = [wire.medial_end, wire.lateral_end];
    Bar {
        name: "wire",
        stretches: vec![smooth(reach, wire.diameter, &wire.material)],
        material: &wire.material,
        straight: true,
        ends: [smooth_end(WIRE_END_TORSION, mechanics); 2],
        entry: None,
    }
}

/// Where the smooth shank of a pin turns into its lateral thread, fraction of bone length.
pub fn lateral_thread(pin: &Pin, clavicle: &Clavicle) -> f64 {
    let nut = clavicle.arc_length(pin.nut);
    clavicle
        .fraction_at_arc_length(nut - LATERAL_THREAD)
        .max(pin.thread_end)
}

/// A threaded pin. In the linear model its nuts hold both ways and both threads along it. With
/// contact its nuts keep it from sinking in and draw the fragments together; its lateral thread,
/// which went through a drilled hole, bites no more than the cortex under the nuts (assumption).
fn pin_bar<'a>(pin: &'a Pin, clavicle: &Clavicle, mechanics: Mechanics) -> Bar<'a> {
    let material = &pin.material;
    let second_thread = lateral_thread(pin, clavicle);
    let threaded = |reach, bites| Stretch {
        reach,
        outer_diameter: pin.outer_diameter,
        form: Form::Threaded {
            core_diameter: pin.core_diameter,
        },
        bites,
        section: Section::circle(pin.core_diameter, material.poisson_ratio),
    };
    let nuts = match mechanics {
        Mechanics::Linear => EndHold {
            axial: SEAT_AXIAL,
            ..EndHold::default()
        },
        Mechanics::Contact => EndHold {
            thread: Some(thread_pull_out(
                [pin.outer_diameter, pin.core_diameter],
                pin.pitch,
                cortical_shear_strength(clavicle.cortex().youngs_modulus),
                clavicle.wall(pin.nut),
            )),
            ..drawn(
                smooth_end(0.0, mechanics),
                pin.nut_turns * pin.pitch,
                mechanics,
            )
        },
    };
    Bar {
        name: "pin",
        stretches: vec![
            threaded([pin.medial_tip, pin.thread_end], true),
            smooth(
                [pin.thread_end, second_thread],
                pin.shank_diameter,
                material,
            ),
            threaded([second_thread, pin.nut], mechanics == Mechanics::Linear),
        ],
        material,
        straight: false,
        ends: [EndHold::default(), nuts],
        entry: None,
    }
}

/// A seat on the lateral cortex that is drawn tight by a travel, mm.
fn drawn(end: EndHold, travel: f64, mechanics: Mechanics) -> EndHold {
    let seated = seated(end, Way::Medially, mechanics);
    EndHold {
        stop: seated.stop.map(|stop| Stop {
            drawn: Some(travel),
            ..stop
        }),
        ..seated
    }
}

/// A cannulated screw: its head keeps it from sinking in, not from backing out.
fn screw_bar(screw: &CannulatedScrew, mechanics: Mechanics) -> Bar<'_> {
    let material = &screw.material;
    let hollow =
        |diameter| Section::tube(diameter, screw.cannulation_diameter, material.poisson_ratio);
    let head = smooth_end(WIRE_END_TORSION, mechanics);
    Bar {
        name: "screw",
        stretches: vec![
            Stretch {
                reach: [screw.medial_tip, screw.thread_end],
                outer_diameter: screw.outer_diameter,
                form: Form::Threaded {
                    core_diameter: screw.core_diameter,
                },
                bites: true,
                section: hollow(screw.core_diameter),
            },
            Stretch {
                section: hollow(screw.shank_diameter),
                ..smooth(
                    [screw.thread_end, screw.head],
                    screw.shank_diameter,
                    material,
                )
            },
        ],
        material,
        straight: false,
        ends: [
            EndHold::default(),
            drawn(head, screw.compression, mechanics),
        ],
        entry: None,
    }
}
