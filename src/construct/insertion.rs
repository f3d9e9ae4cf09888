//! Putting a bar in: how far going around the curves of the canal bends it.

use super::bar::{self, Bar, EndHold, Form, Stretch};
use super::{Construct, Mechanics, bone, rod};
use crate::anatomy::Clavicle;
use crate::device::{Device, NailShape};
use crate::frame::{SolveError, Stage, Support, settle_each};

/// Members of bar and bone along its reach. Twice as many change the strain by 1 %.
const MEMBERS: usize = 80;

/// Modulus of marrow beside a bar on its way in, MPa: so soft that it only keeps a bar which
/// touches nothing in its place. A hundredth of it changes the strain by less than 0.5 %.
const MARROW: f64 = 1e-3;

/// Keeps a bar without friction from sliding along the canal and turning in it, N/mm and
/// N·mm/rad; it bends nothing.
const END: EndHold = EndHold {
    axial: 5.0,
    torsion: 100.0,
    thread: None,
    stop: None,
};

/// What going around the curves does to a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Insertion {
    /// Largest strain at its surface, that of the core where it is threaded.
    pub surface_strain: f64,
    /// Where, fraction of bone length.
    pub at: f64,
}

/// Largest elastic strain at the surface of a bar pushed along the canal to where it is to lie;
/// none for plates.
///
/// The bone counts as whole: the fragments are held in line while the bar passes, so it meets
/// the curves of the unbroken bone; later they may turn and ease it. A bar that is pushed along
/// its final course has passed every curve in it. Without friction, movements small, elastic:
/// beyond proof strain the bar keeps a bend instead. A thread has its outer diameter in the canal
/// and bends as its core. A bar that ends at the lateral cortex leaves the canal at the conoid
/// ligament, for a hole drilled in the back of the bone (from memory), and is free from there.
///
/// ```text
/// ε = M c / (E I)     κ d / 2 for a round bar
/// ```
///
/// # Errors
/// When contact does not settle.
pub fn insertion(device: &Device, clavicle: &Clavicle) -> Result<Option<Insertion>, SolveError> {
    let Some(bar) = bar::bar(device, clavicle, Mechanics::Contact) else {
        return Ok(None);
    };
    let [from, to] = bar.reach();
    let to = match device {
        Device::Nail(nail) if nail.shape == NailShape::Prebent => {
            return Ok(Some(Insertion {
                surface_strain: 0.0,
                at: from,
            }));
        }
        Device::Nail(nail) if nail.enters_medially() => to,
        _ => to.min(clavicle.conoid()).max((from + to) / 2.0),
    };
    let bar = Bar {
        stretches: passing(&bar.stretches, to),
        straight: true,
        ends: [END; 2],
        entry: None,
        ..bar
    };
    let along = (1..MEMBERS).map(|i| from + (to - from) * i as f64 / MEMBERS as f64);
    let places: Vec<f64> = bar.places().into_iter().chain(along).collect();
    let mut construct = bone::build(clavicle, None, &places, Mechanics::Contact);
    rod::add(&mut construct, &bar, clavicle, MARROW);
    construct.frame.supports = vec![Support {
        node: construct.node_at(0.0),
        fixed: [true; 6],
        springs: [0.0; 6],
    }];
    most_strained(&construct, bar.material.youngs_modulus)
}

/// The stretches of a bar up to a place, without hold of any thread.
fn passing(stretches: &[Stretch], to: f64) -> Vec<Stretch> {
    let within = stretches.iter().filter(|stretch| stretch.reach[0] < to);
    within
        .map(|stretch| Stretch {
            reach: [stretch.reach[0], stretch.reach[1].min(to)],
            form: Form::Smooth,
            bites: false,
            ..*stretch
        })
        .collect()
}

/// Where putting the device in strains it most by bending.
fn most_strained(construct: &Construct, youngs: f64) -> Result<Option<Insertion>, SolveError> {
    let (frame, case) = (&construct.frame, &construct.put_in);
    let put_in = Stage {
        case,
        steps: 1,
        friction: false,
    };
    let (put_in, _) = settle_each(frame, &put_in, &[])?;
    let strain = |member: usize, cut: f64| {
        let forces = put_in.solution.section_forces(frame, case, member, cut);
        let share = cut / construct.member_length(member);
        let section = frame.members[member].profile.section_at(share);
        let peaks = section.peak_axial_stress(0.0, forces.moment_y, forces.moment_z);
        peaks.expect("sections of bars have outlines").0 / youngs
    };
    let ends = construct.device.iter().flat_map(|piece| {
        let cuts = construct.end_cuts(piece.member);
        cuts.into_iter().zip(piece.stretch)
    });
    Ok(ends
        .map(|((member, cut), at)| Insertion {
            surface_strain: strain(member, cut),
            at,
        })
        .max_by(|a, b| a.surface_strain.total_cmp(&b.surface_strain)))
}
