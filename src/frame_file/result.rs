//! What a solved frame file tells: the stable JSON document `clavibeam-solve-1`.

use nalgebra::Vector6;
use serde::{Serialize, Serializer};

use crate::frame::{
    CaseSolution, Frame, LoadCase, MemberAction, Profile, SectionForces, Status, TouchState,
};

use super::FrameFile;
use super::analysis::{BucklingResults, PathResults, Solved};
use super::expect::Comparison;
use super::member::MemberPath;

/// Version of the JSON document; changes only when a field changes its meaning or goes.
const FORMAT: &str = "clavibeam-solve-1";

/// Pieces into which a loaded or tapered stretch of an element is cut in search of its
/// peak stress. Under an even load the peak is then missed by less than 0.1 % of its rise
/// between the ends.
const STRESS_PIECES: usize = 16;

/// Results of every load case.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Results {
    /// Name and version of the document.
    pub format: &'static str,
    /// Title of the frame file.
    pub title: String,
    /// Results by load case, in file order.
    pub load_cases: Vec<CaseResults>,
    /// Smallest pivot of the stiffness matrix over its diagonal entry.
    pub smallest_pivot_ratio: f64,
    /// Results beside the file's reference values.
    pub references: Vec<Comparison>,
}

/// Results of one load case.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CaseResults {
    /// Name of the load case.
    pub name: String,
    /// Motion of every node, global axes.
    pub nodes: Named<Motion>,
    /// Force of the supports on every supported node, global axes.
    pub reactions: Named<Action>,
    /// Section forces and stress of every member.
    pub members: Named<MemberResults>,
    /// What every coupling's springs take, its local axes: positive where the second
    /// node's body has moved ahead of the first's.
    pub couplings: Named<Action>,
    /// How every coupling that touches, stops or grips ended.
    pub contacts: Named<Contact>,
    /// What it took to settle; nothing if every law is linear.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settling: Option<Settling>,
    /// Largest unbalanced force over the size of the forces that are added up.
    pub residual: f64,
    /// Resultant of loads and reactions over the largest force that acts.
    pub imbalance: f64,
    /// How equilibrium was followed, with large displacements.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub path: Option<PathResults>,
    /// At which load factors the frame buckles, if asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub buckling: Option<BucklingResults>,
}

/// How a coupling that touches, stops or grips ended.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Contact {
    /// `open`, `holding` or `sliding`.
    pub state: &'static str,
    /// Force with which the bodies press on each other, N.
    pub pressure_n: f64,
    /// How far they have slid, or a grip has stripped, since the beginning, mm.
    pub slid_mm: f64,
}

/// What a load case took to settle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Settling {
    /// Iterations, all steps together.
    pub iterations: usize,
    /// Factorisations of the stiffness matrix; none where the one of the state before would do.
    pub factorisations: usize,
    /// Share of the acting forces left unbalanced before each iteration, step after step.
    pub unbalanced: Vec<f64>,
}

/// Displacement and rotation, global axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Motion {
    /// Displacement, mm.
    pub displacement_mm: [f64; 3],
    /// Rotation, rad.
    pub rotation_rad: [f64; 3],
}

/// Force and moment.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Action {
    /// Force, N.
    pub force_n: [f64; 3],
    /// Moment, N·mm.
    pub moment_nmm: [f64; 3],
}

/// Section forces and stress of a member.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MemberResults {
    /// Length along the member, mm.
    pub length_mm: f64,
    /// Section forces at both ends.
    pub end_forces: EndForces,
    /// Largest axial stress in size; nothing for a section given by number.
    pub peak_stress_mpa: Option<f64>,
    /// Where it occurs, along the member.
    pub peak_stress_at_mm: Option<f64>,
    /// Proof stress over peak stress; nothing without either.
    pub proof_stress_margin: Option<f64>,
}

/// Section forces at the ends of a member, local axes of the element there: axial force
/// (tension positive) and shear along y and z; torque and moments about y and z. They act on
/// the face that looks towards the second end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EndForces {
    /// At the first end.
    pub start: Action,
    /// At the second end.
    pub end: Action,
}

/// Values by name, in file order; a map in JSON.
#[derive(Debug, Clone, PartialEq)]
pub struct Named<T>(pub Vec<(String, T)>);

impl<T> Named<T> {
    /// The value with a name.
    pub fn get(&self, name: &str) -> Option<&T> {
        let found = self.0.iter().find(|(own, _)| own == name);
        found.map(|(_, value)| value)
    }
}

impl<T: Serialize> Serialize for Named<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, value)| (name, value)))
    }
}

impl Results {
    /// Gathers the results of a solved file.
    pub fn new(file: &FrameFile, solved: &Solved) -> Self {
        Results {
            format: FORMAT,
            title: file.title.clone(),
            load_cases: (0..file.load_cases.len())
                .map(|case| CaseResults::new(file, solved, case))
                .collect(),
            smallest_pivot_ratio: solved.solution.checks.smallest_pivot_ratio,
            references: file
                .expectations
                .iter()
                .map(|expectation| expectation.compare(file, solved))
                .collect(),
        }
    }

    /// The JSON document, pretty-printed, with a final newline.
    pub fn json(&self) -> String {
        let text = serde_json::to_string_pretty(self);
        text.expect("results have text keys only") + "\n"
    }
}

impl CaseResults {
    fn new(file: &FrameFile, all: &Solved, index: usize) -> Self {
        let (case, solved) = (&file.load_cases[index], &all.solution.cases[index]);
        let frame = &file.frame;
        let mut supported: Vec<usize> = frame.supports.iter().map(|s| s.node).collect();
        supported.sort_unstable();
        supported.dedup();
        let node_name = |node: usize| frame.nodes[node].name.to_string();
        CaseResults {
            name: case.name.clone(),
            nodes: Named(
                (0..frame.nodes.len())
                    .map(|node| (node_name(node), Motion::new(&solved.displacements[node])))
                    .collect(),
            ),
            reactions: Named(
                supported
                    .into_iter()
                    .map(|node| (node_name(node), Action::new(&solved.reactions[node])))
                    .collect(),
            ),
            members: Named(
                file.members
                    .iter()
                    .map(|path| {
                        let results = MemberResults::new(frame, case, solved, path);
                        (path.name.clone(), results)
                    })
                    .collect(),
            ),
            couplings: Named(
                frame
                    .couplings
                    .iter()
                    .zip(&solved.coupling_forces)
                    .map(|(coupling, force)| (coupling.name.to_string(), Action::new(force)))
                    .collect(),
            ),
            contacts: Named(
                solved
                    .touches
                    .iter()
                    .map(|touch| {
                        let name = frame.couplings[touch.coupling].name.to_string();
                        (name, Contact::new(touch))
                    })
                    .collect(),
            ),
            settling: all.solution.efforts.get(index).map(|effort| Settling {
                iterations: effort.unbalanced.len(),
                factorisations: effort.factorisations,
                unbalanced: effort.unbalanced.clone(),
            }),
            residual: solved.residual,
            imbalance: solved.imbalance,
            path: (all.paths.get(index)).map(|path| PathResults::new(file, path)),
            buckling: all.buckling.get(index).map(|buckling| BucklingResults {
                load_factors: buckling.load_factors.clone(),
            }),
        }
    }
}

impl Contact {
    fn new(touch: &TouchState) -> Self {
        Contact {
            state: match touch.status {
                Status::Open => "open",
                Status::Holding => "holding",
                Status::Sliding => "sliding",
            },
            pressure_n: touch.pressure,
            slid_mm: touch.slid,
        }
    }
}

impl Motion {
    pub(super) fn new(motion: &Vector6<f64>) -> Self {
        Motion {
            displacement_mm: [motion[0], motion[1], motion[2]],
            rotation_rad: [motion[3], motion[4], motion[5]],
        }
    }
}

impl Action {
    fn new(action: &Vector6<f64>) -> Self {
        Action {
            force_n: [action[0], action[1], action[2]],
            moment_nmm: [action[3], action[4], action[5]],
        }
    }
}

impl From<SectionForces> for Action {
    fn from(forces: SectionForces) -> Self {
        Action {
            force_n: [forces.axial, forces.shear_y, forces.shear_z],
            moment_nmm: [forces.torque, forces.moment_y, forces.moment_z],
        }
    }
}

impl MemberResults {
    fn new(frame: &Frame, case: &LoadCase, solved: &CaseSolution, path: &MemberPath) -> Self {
        let last = path.element_count() - 1;
        let span = path.stations[last + 1] - path.stations[last];
        let forces = |element: usize, at: f64| -> Action {
            let index = path.first_element + element;
            solved.section_forces(frame, case, index, at).into()
        };
        let peak = peak_stress(frame, case, solved, path);
        let margin = |peak: Peak| Some(path.elastic.proof_stress? / peak.stress);
        MemberResults {
            length_mm: path.length(),
            end_forces: EndForces {
                start: forces(0, 0.0),
                end: forces(last, span),
            },
            peak_stress_mpa: peak.map(|peak| peak.stress),
            peak_stress_at_mm: peak.map(|peak| peak.at),
            proof_stress_margin: peak.filter(|peak| peak.stress > 0.0).and_then(margin),
        }
    }
}

/// The largest axial stress of a member.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Peak {
    /// Size, MPa.
    pub stress: f64,
    /// Distance along the member, mm.
    pub at: f64,
}

/// The largest axial stress in size along a member, sampled at the ends of its elements,
/// where loads begin and end, and between them where the stress is not linear.
pub(super) fn peak_stress(
    frame: &Frame,
    case: &LoadCase,
    solved: &CaseSolution,
    path: &MemberPath,
) -> Option<Peak> {
    let mut peak: Option<Peak> = None;
    for element in 0..path.element_count() {
        let index = path.first_element + element;
        let span = path.stations[element + 1] - path.stations[element];
        for x in stress_samples(frame, case, index, span) {
            let stress = stress_at(frame, case, solved, path, element, x)?;
            if peak.is_none_or(|peak| stress > peak.stress) {
                let at = path.stations[element] + x;
                peak = Some(Peak { stress, at });
            }
        }
    }
    peak
}

/// The largest axial stress in size at one place of an element, MPa.
pub(super) fn stress_at(
    frame: &Frame,
    case: &LoadCase,
    solved: &CaseSolution,
    path: &MemberPath,
    element: usize,
    x: f64,
) -> Option<f64> {
    let forces = solved.section_forces(frame, case, path.first_element + element, x);
    let section = path.section_at(frame, element, x);
    let (highest, lowest) =
        section.peak_axial_stress(forces.axial, forces.moment_y, forces.moment_z)?;
    Some(highest.abs().max(lowest.abs()))
}

/// Distances from an element's first end, mm.
fn stress_samples(frame: &Frame, case: &LoadCase, element: usize, span: f64) -> Vec<f64> {
    let mut cuts = vec![0.0, span];
    for load in case.members.iter().filter(|load| load.member == element) {
        match load.action {
            // A moment makes the stress jump: look at both sides.
            MemberAction::Point { at, .. } => cuts.extend([at, at + 1e-9 * span]),
            MemberAction::Line { stretch, .. } => cuts.extend(stretch),
            MemberAction::StressFree { .. } => {}
        }
    }
    cuts.retain(|cut| (0.0..=span).contains(cut));
    cuts.sort_by(f64::total_cmp);
    let is_linear =
        cuts.len() == 2 && matches!(frame.members[element].profile, Profile::Prismatic(_));
    let pieces = if is_linear { 1 } else { STRESS_PIECES };
    let mut samples = vec![0.0];
    for pair in cuts.windows(2).filter(|pair| pair[0] < pair[1]) {
        let step = (pair[1] - pair[0]) / pieces as f64;
        samples.extend((1..=pieces).map(|i| pair[0] + step * i as f64));
    }
    samples
}
