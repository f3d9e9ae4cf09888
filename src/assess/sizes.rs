//! Which size of a bar goes in: the width of the canal, its curves, and what one size down or
//! up costs.

use schemars::JsonSchema;
use serde::Serialize;

use super::ConstructAssessment;
use crate::anatomy::Clavicle;
use crate::case::Case;
use crate::construct::{Mechanics, bar, insertion};
use crate::device::Device;

/// Strain at 0.2 % proof stress beyond the elastic one: what stays when the load is gone.
const PROOF_SET: f64 = 0.002;

/// A limit on the surface strain of nails that reproduces the sizes of common practice (child
/// 2.0, woman 2.5, large man 3.0 mm; no source) where the canal is taken as plane with rigid
/// walls and small slopes. Shown beside the proof strain, which decides.
const PRACTICE_STRAIN: f64 = 0.0105;

/// The sizes a bar is offered in and which of them is compared: the largest that passes the
/// narrowest canal and goes around the curves; the smallest if none does.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Sizes {
    /// How going around the curves is computed.
    pub method: &'static str,
    /// Surface strain up to which the bar springs back, proof stress over modulus, %.
    pub elastic_strain_percent: f64,
    /// That at its 0.2 % proof stress, 0.2 % of it permanent: more does not go around, %.
    pub proof_strain_percent: f64,
    /// Limit that gives the sizes of common practice in a plane, rigid canal, %; for comparison.
    pub practice_strain_percent: f64,
    /// The largest size by the proof strain, mm; absent when none goes in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_by_proof_strain_mm: Option<f64>,
    /// The largest size by the limit of practice, mm; absent when none goes in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub largest_by_practice_strain_mm: Option<f64>,
    /// The sizes, smallest first.
    pub tried: Vec<Size>,
}

/// One size of a bar.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct Size {
    /// Outer diameter, mm.
    pub diameter_mm: f64,
    /// Diameter over the narrowest canal it passes, %.
    pub canal_fill_percent: f64,
    /// Narrowest canal less diameter, mm; below zero it does not pass.
    pub clearance_mm: f64,
    /// Largest elastic strain at its surface on its way in, %; absent when it does not pass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface_strain_percent: Option<f64>,
    /// Where, fraction of bone length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub strain_position: Option<f64>,
    /// `yes` (springs back), `bends for good` (up to the proof strain), `no`; a dash when it
    /// does not pass the canal.
    pub goes_around: &'static str,
    /// Whether it passes the canal and goes around.
    pub goes_in: bool,
    /// Whether it is the one compared.
    pub picked: bool,
    /// What it costs or gains against the one picked; for its neighbours in size that pass the
    /// canal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<Price>,
}

/// Stiffness and margin of a size beside the one picked.
#[derive(Debug, Clone, Copy, JsonSchema, Serialize)]
pub struct Price {
    /// Bending the acromial end down, % of the size picked.
    pub bending_sup_inf_percent_of_picked: f64,
    /// Bending forward and back, % of the size picked.
    pub bending_ant_post_percent_of_picked: f64,
    /// Torsion, % of the size picked.
    pub torsion_percent_of_picked: f64,
    /// Axial, % of the size picked.
    pub axial_percent_of_picked: f64,
    /// Smallest static margin under the activities; absent when nothing is loaded.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub smallest_static_margin: Option<f64>,
}

impl Price {
    pub(super) fn of(size: &ConstructAssessment, picked: &ConstructAssessment) -> Self {
        let (own, than) = (&size.stiffness, &picked.stiffness);
        let percent = |own: f64, than: f64| 100.0 * own / than;
        Price {
            bending_sup_inf_percent_of_picked: percent(
                own.bending_sup_inf_nm_per_deg,
                than.bending_sup_inf_nm_per_deg,
            ),
            bending_ant_post_percent_of_picked: percent(
                own.bending_ant_post_nm_per_deg,
                than.bending_ant_post_nm_per_deg,
            ),
            torsion_percent_of_picked: percent(own.torsion_nm_per_deg, than.torsion_nm_per_deg),
            axial_percent_of_picked: percent(own.axial_n_per_mm, than.axial_n_per_mm),
            smallest_static_margin: size.smallest_static_margin().map(|(.., margin)| margin),
        }
    }
}

const METHOD: &str = "each size is pushed as a straight bar along the canal of the unbroken bone \
     (the fragments held in line), walls and bone giving, without friction; its surface strain is \
     set against the proof strain, Rp0.2/E + 0.2 %; one that ends at the lateral cortex leaves the \
     canal at the conoid ligament for its drilled hole";

/// Tries every size of a bar and picks one; none for plates.
///
/// * `offered`: the bar in each size, smallest first
pub(super) fn sizes(offered: &[Device], clavicle: &Clavicle) -> Option<Sizes> {
    let material = bar(offered.first()?, clavicle, Mechanics::Linear)?.material;
    let strength = material.strength.as_ref();
    let elastic = strength.map(|s| s.proof_tension / material.youngs_modulus)?;
    let proof = elastic + PROOF_SET;
    let mut tried: Vec<Size> = offered
        .iter()
        .filter_map(|device| size(device, clavicle, [elastic, proof]))
        .collect();
    let largest_within = |limit: f64| {
        let within = |size: &&Size| size.surface_strain_percent <= Some(100.0 * limit);
        let passes = tried.iter().filter(|s| s.surface_strain_percent.is_some());
        passes
            .filter(within)
            .map(|size| size.diameter_mm)
            .next_back()
    };
    let (by_proof, by_practice) = (largest_within(proof), largest_within(PRACTICE_STRAIN));
    let picked = tried.iter().rposition(|size| size.goes_in).unwrap_or(0);
    tried[picked].picked = true;
    Some(Sizes {
        method: METHOD,
        elastic_strain_percent: 100.0 * elastic,
        proof_strain_percent: 100.0 * proof,
        practice_strain_percent: 100.0 * PRACTICE_STRAIN,
        largest_by_proof_strain_mm: by_proof,
        largest_by_practice_strain_mm: by_practice,
        tried,
    })
}

/// Diameter of a bar and narrowest diameter of the canal that it passes, mm; none for plates.
pub(super) fn in_canal(device: &Device, clavicle: &Clavicle) -> Option<[f64; 2]> {
    let bar = bar(device, clavicle, Mechanics::Linear)?;
    let [from, to] = bar.reach();
    let zone = clavicle.canal_zone();
    let (_, canal) = clavicle.narrowest_canal(from.max(zone[0]), to.min(zone[1]));
    Some([bar.outer_diameter(), canal])
}

/// One size in the canal and around its curves.
fn size(device: &Device, clavicle: &Clavicle, [elastic, proof]: [f64; 2]) -> Option<Size> {
    let [diameter, canal] = in_canal(device, clavicle)?;
    let passes = diameter <= canal;
    // A size whose contact does not settle is not known to go around.
    let inserted = passes.then(|| insertion(device, clavicle).ok().flatten());
    let inserted = inserted.flatten();
    let goes_around = match inserted.map(|inserted| inserted.surface_strain) {
        None => "–",
        Some(strain) if strain <= elastic => "yes",
        Some(strain) if strain <= proof => "bends for good",
        Some(_) => "no",
    };
    Some(Size {
        diameter_mm: diameter,
        canal_fill_percent: 100.0 * diameter / canal,
        clearance_mm: canal - diameter,
        surface_strain_percent: inserted.map(|inserted| 100.0 * inserted.surface_strain),
        strain_position: inserted.map(|inserted| inserted.at),
        goes_around,
        goes_in: passes && matches!(goes_around, "yes" | "bends for good"),
        picked: false,
        price: None,
    })
}

/// The device that the construct of this number was compared with: of several sizes the one picked.
///
/// # Panics
/// If there is no such construct in the case.
pub fn compared<'a>(case: &'a Case, index: usize, assessed: &ConstructAssessment) -> &'a Device {
    let picked = assessed.sizes.as_ref().map_or(0, Sizes::picked);
    &case.offered(index)[picked]
}

impl Sizes {
    /// Index of the size that is compared.
    pub fn picked(&self) -> usize {
        let picked = self.tried.iter().position(|size| size.picked);
        picked.expect("one size is picked")
    }

    /// Indices of one size down and one up, where there are such and they pass the canal.
    pub(super) fn neighbours(&self) -> Vec<usize> {
        let picked = self.picked();
        let around = [picked.checked_sub(1), Some(picked + 1)];
        let passes = |index: &usize| {
            let size = self.tried.get(*index);
            size.is_some_and(|size| size.clearance_mm >= 0.0)
        };
        around.into_iter().flatten().filter(passes).collect()
    }

    /// Whether the size compared goes around the curves, as a word for the table and in a clause.
    pub(super) fn around(&self, bar: &str) -> Option<(&'static str, String)> {
        let size = &self.tried[self.picked()];
        let strain = size.surface_strain_percent?;
        let strained = match strain {
            0.0 => {
                "; bent to the canal before, it goes around the curves free of stress".to_owned()
            }
            _ => format!(
                "; going around the curves of the unbroken bone strains the surface of the straight \
                 {bar} by {strain:.2} %"
            ),
        };
        let [elastic, proof] = [self.elastic_strain_percent, self.proof_strain_percent];
        Some(match size.goes_around {
            "yes" if strain == 0.0 => ("yes", strained),
            "yes" => (
                "yes",
                format!("{strained}, and it springs back (up to {elastic:.2} %)"),
            ),
            "bends for good" => (
                "bends",
                format!(
                    "{strained}: it bends for good there (beyond {elastic:.2} %), but goes in (up to \
                     the proof strain, {proof:.2} %)"
                ),
            ),
            _ if bar == "nail" => (
                "forced",
                format!(
                    "{strained}, more than its proof strain, {proof:.2} %: it goes in only by force, \
                     or bent to the curves before (the sizes of common practice stay within about \
                     1.05 %, no source)"
                ),
            ),
            _ => (
                "drill",
                format!(
                    "{strained}, more than its proof strain, {proof:.2} %: it goes in only where the \
                     canal is drilled straighter"
                ),
            ),
        })
    }

    /// What a reader must know when no size goes in.
    pub(super) fn none_goes_in(&self) -> Option<String> {
        let several = self.tried.len() > 1;
        let none = !self.tried.iter().any(|size| size.goes_in);
        let offered: Vec<String> = self
            .tried
            .iter()
            .map(|s| s.diameter_mm.to_string())
            .collect();
        (several && none).then(|| {
            format!(
                "none of the sizes offered goes in ({} mm); the smallest is compared",
                offered.join(", ")
            )
        })
    }
}
