//! Loads a construct and recovers what it answers.

use nalgebra::{Vector3, Vector6};

use super::{Construct, Mechanics, Piece, joints};
use crate::frame::{
    CaseSolution, Frame, LoadAxes, LoadCase, LoadSense, MemberAction, SectionForces, SolveError,
    Stage, Status, Support, TouchState, Workspace, buckle, settle_each, solve,
};
use crate::load::{Action, Hold, Holds, Setup};

/// Steps in which a load comes on where friction makes the way matter. Assumption: the
/// answers of four and of sixteen steps differ by less than what friction is known to.
const LOAD_STEPS: usize = 4;

/// What a construct answers to a set of setups acting together.
///
/// Motions and section forces are those the setups cause, beyond what putting the device in
/// has left. With contact, setups held differently cannot act on one another: their answers
/// are added as if each acted alone.
#[derive(Debug, Clone, Default)]
pub struct Response {
    parts: Vec<Answer>,
}

/// The answer to one setup.
#[derive(Debug, Clone)]
struct Answer {
    case: LoadCase,
    solution: CaseSolution,
    /// The state with the device in and nothing acting yet; none if that is free of stress.
    before: Option<Before>,
    /// Iterations that putting the device in and loading it took, with contact.
    iterations: Option<[usize; 2]>,
}

/// Setups that hold the bone alike.
struct Group<'s> {
    holds: &'s Holds,
    setups: Vec<usize>,
    cases: Vec<LoadCase>,
}

#[derive(Debug, Clone)]
struct Before {
    case: LoadCase,
    solution: CaseSolution,
}

/// How the parts of a construct touch under an activity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ContactSummary {
    /// Share of the rim of the fracture that is pressed.
    pub faces_pressed: f64,
    /// Force with which the broken ends press on each other, N.
    pub face_force: f64,
    /// Farthest that a nail or pin slides on the wall of the canal, mm; none for plates.
    pub nail_slid: Option<f64>,
    /// Largest force of a nail or pin on the wall at one place, N; none for plates.
    pub nail_pressure: Option<f64>,
}

impl Response {
    /// Displacement (mm) and rotation (rad) of a node, axes of the right clavicle.
    pub fn motion(&self, node: usize) -> Vector6<f64> {
        self.parts
            .iter()
            .map(|part| {
                let after = part.solution.displacements[node];
                let before = part.before.as_ref();
                after - before.map_or(Vector6::zeros(), |b| b.solution.displacements[node])
            })
            .sum()
    }

    /// Displacement (mm) and rotation (rad) of a node once the device is in and nothing acts
    /// yet, against the bone as reduced; zero in the linear model.
    pub fn at_rest(&self, node: usize) -> Vector6<f64> {
        let before = self.parts.first().and_then(|part| part.before.as_ref());
        before.map_or(Vector6::zeros(), |b| b.solution.displacements[node])
    }

    /// Section forces that the setups cause in a member at a distance from its first end, mm.
    pub fn section_forces(&self, frame: &Frame, member: usize, at: f64) -> SectionForces {
        self.parts
            .iter()
            .map(|part| {
                let after = part.solution.section_forces(frame, &part.case, member, at);
                match &part.before {
                    Some(before) => after + -before.forces(frame, member, at),
                    None => after,
                }
            })
            .fold(SectionForces::default(), |sum, part| sum + part)
    }

    /// Section forces that putting the device in has left in a member; none in the linear model.
    pub fn locked_forces(&self, frame: &Frame, member: usize, at: f64) -> Option<SectionForces> {
        let before = self.parts.first()?.before.as_ref()?;
        Some(before.forces(frame, member, at))
    }

    /// Force that a coupling carries across its first axis, N, putting the device in included.
    pub fn force_across(&self, coupling: usize) -> f64 {
        let forces = self.parts.iter().map(|part| {
            let force = &part.solution.coupling_forces[coupling];
            force.fixed_rows::<2>(1).into_owned()
        });
        forces
            .reduce(|sum, part| sum + part)
            .map_or(0.0, |sum| sum.norm())
    }

    /// How the parts touch, where contact was modelled.
    pub fn contact(&self, construct: &Construct) -> Option<ContactSummary> {
        if construct.mechanics == Mechanics::Linear {
            return None;
        }
        let touches = || self.parts.iter().flat_map(|part| &part.solution.touches);
        let of = |couplings: &'_ [usize]| -> Vec<TouchState> {
            touches()
                .filter(|touch| couplings.contains(&touch.coupling))
                .copied()
                .collect()
        };
        let faces = of(&construct.face_couplings);
        let canal = of(&construct.canal_couplings);
        let pressed = faces.iter().filter(|touch| touch.status != Status::Open);
        Some(ContactSummary {
            faces_pressed: pressed.count() as f64 / faces.len().max(1) as f64,
            face_force: faces.iter().map(|touch| touch.pressure).sum(),
            nail_slid: canal.iter().map(|touch| touch.slid).reduce(f64::max),
            nail_pressure: canal.iter().map(|touch| touch.pressure).reduce(f64::max),
        })
    }

    /// Iterations that putting the device in and loading it took, one pair for each setup
    /// solved with contact.
    pub fn iterations(&self) -> impl Iterator<Item = [usize; 2]> {
        self.parts.iter().filter_map(|part| part.iterations)
    }

    /// The states with the device in, where that is not free of stress, and under load.
    pub(super) fn solutions(&self) -> impl Iterator<Item = (Option<&CaseSolution>, &CaseSolution)> {
        let parts = self.parts.iter();
        parts.map(|part| {
            let before = part.before.as_ref();
            (before.map(|before| &before.solution), &part.solution)
        })
    }
}

/// The answer to setups that act at once, from that to each.
impl FromIterator<Response> for Response {
    fn from_iter<I: IntoIterator<Item = Response>>(each: I) -> Self {
        let parts = each.into_iter().flat_map(|response| response.parts);
        Response {
            parts: parts.collect(),
        }
    }
}

impl Before {
    fn forces(&self, frame: &Frame, member: usize, at: f64) -> SectionForces {
        self.solution.section_forces(frame, &self.case, member, at)
    }
}

impl Construct {
    /// Solves each setup. Those that hold the bone alike share one factorisation, or with
    /// contact one putting in of the device, from which each load comes on by itself.
    ///
    /// # Errors
    /// When the construct has a loose part, or contact does not settle.
    pub fn solve(&self, setups: &[Setup]) -> Result<Vec<Response>, SolveError> {
        self.solve_in(&mut Workspace::default(), setups)
    }

    /// The same, for many constructs one after another: linear ones built alike share what the
    /// workspace holds.
    ///
    /// # Errors
    /// As [`Construct::solve`].
    pub fn solve_in(
        &self,
        workspace: &mut Workspace,
        setups: &[Setup],
    ) -> Result<Vec<Response>, SolveError> {
        let mut groups: Vec<Group> = Vec::new();
        for (index, setup) in setups.iter().enumerate() {
            let start = match self.mechanics {
                Mechanics::Linear => LoadCase::default(),
                Mechanics::Contact => LoadCase {
                    name: "device put in, then loaded".to_owned(),
                    ..self.put_in.clone()
                },
            };
            let case = self.load_case(setup, start);
            let alike = |group: &&mut Group| *group.holds == setup.holds;
            match groups.iter_mut().find(alike) {
                Some(group) => {
                    group.setups.push(index);
                    group.cases.push(case);
                }
                None => groups.push(Group {
                    holds: &setup.holds,
                    setups: vec![index],
                    cases: vec![case],
                }),
            }
        }
        let answers = match self.mechanics {
            Mechanics::Linear => self.solve_linear(workspace, &groups)?,
            Mechanics::Contact => (groups.iter())
                .map(|group| self.settle(&self.held(group.holds), &group.cases))
                .collect::<Result<_, _>>()?,
        };
        let mut responses = vec![Response::default(); setups.len()];
        for (group, answers) in groups.iter().zip(answers) {
            for (&setup, answer) in group.setups.iter().zip(answers) {
                responses[setup].parts.push(answer);
            }
        }
        Ok(responses)
    }

    /// Lowest factor on a setup's loads at which the construct buckles, couplings linear;
    /// none if it does not.
    pub fn buckling_factor(&self, setup: &Setup) -> Option<f64> {
        let mut frame = self.held(&setup.holds);
        let case = self.load_case(setup, LoadCase::default());
        if matches!(setup.holds, Holds::Joints { .. }) {
            let state = solve(&frame, std::slice::from_ref(&case)).ok()?;
            joints::linearise(&mut frame, &state.cases[0].touches);
        }
        let found = buckle(&frame, &case, 1, LoadSense::AsGiven).ok()?;
        found.load_factors.first().copied()
    }

    fn solve_linear(
        &self,
        workspace: &mut Workspace,
        groups: &[Group],
    ) -> Result<Vec<Vec<Answer>>, SolveError> {
        let supports: Vec<Option<Vec<Support>>> = groups
            .iter()
            .map(|group| match group.holds {
                Holds::At(holds) => Some(self.supports(holds)),
                Holds::Joints { .. } => None,
            })
            .collect();
        let held: Vec<(&[Support], &[LoadCase])> = (supports.iter().zip(groups))
            .filter_map(|(supports, group)| Some((supports.as_deref()?, group.cases.as_slice())))
            .collect();
        let mut solutions = workspace.solve_linear(&self.frame, &held)?.into_iter();
        let answers = groups.iter().zip(&supports).map(|(group, supports)| {
            // Ligaments pull only, which the workspace does not do.
            let solution = match supports.as_ref().and_then(|_| solutions.next()) {
                Some(solution) => solution,
                None => {
                    let frame = self.held(group.holds);
                    workspace.solve_grown(&frame, &self.frame, &group.cases)?
                }
            };
            let answers = group.cases.iter().zip(solution.cases);
            Ok(answers
                .map(|(case, solution)| Answer {
                    case: case.clone(),
                    solution,
                    before: None,
                    iterations: None,
                })
                .collect())
        });
        answers.collect()
    }

    fn settle(&self, frame: &Frame, cases: &[LoadCase]) -> Result<Vec<Answer>, SolveError> {
        let put_in = Stage {
            case: &self.put_in,
            steps: 1,
            friction: false,
        };
        let loaded: Vec<Stage> = cases
            .iter()
            .map(|case| Stage {
                case,
                steps: LOAD_STEPS,
                friction: true,
            })
            .collect();
        let (put_in, loaded) = settle_each(frame, &put_in, &loaded)?;
        let answers = loaded.into_iter().zip(cases).map(|(loaded, case)| Answer {
            case: case.clone(),
            solution: loaded.solution,
            before: Some(Before {
                case: self.put_in.clone(),
                solution: put_in.solution.clone(),
            }),
            iterations: Some([&put_in.effort, &loaded.effort].map(|e| e.unbalanced.len())),
        });
        Ok(answers.collect())
    }

    pub(super) fn held(&self, holds: &Holds) -> Frame {
        let mut frame = self.frame.clone();
        match holds {
            Holds::At(holds) => frame.supports = self.supports(holds),
            Holds::Joints { joints, ligaments } => {
                joints::add(&mut frame, self, joints, ligaments);
            }
        }
        frame
    }

    fn supports(&self, holds: &[Hold]) -> Vec<Support> {
        let support = |hold: &Hold| Support {
            node: self.node_at(hold.at),
            fixed: hold.fixed,
            springs: [0.0; 6],
        };
        holds.iter().map(support).collect()
    }

    /// A setup's actions added to a load case.
    fn load_case(&self, setup: &Setup, start: LoadCase) -> LoadCase {
        setup
            .actions
            .iter()
            .fold(start, |case, action| match *action {
                Action::Place { at, force, moment } => self.load_place(case, at, force, moment),
                Action::Patch { stretch, force } => self.load_patch(case, stretch, force),
                Action::Scapula { force } => case.with_force(joints::scapula_node(self), force),
            })
    }

    /// A load at one place; in the gap it goes to both faces by the lever rule.
    fn load_place(
        &self,
        case: LoadCase,
        at: f64,
        force: Vector3<f64>,
        moment: Vector3<f64>,
    ) -> LoadCase {
        match self.faces {
            Some([(medial, medial_node), (lateral, lateral_node)]) if self.in_gap(at) => {
                let share = (at - medial) / (lateral - medial);
                case.with_load(medial_node, force * (1.0 - share), moment * (1.0 - share))
                    .with_load(lateral_node, force * share, moment * share)
            }
            _ => case.with_load(self.node_at(at), force, moment),
        }
    }

    /// A spread load: on the bone where there is bone, the part over the gap on its faces.
    fn load_patch(&self, mut case: LoadCase, stretch: [f64; 2], force: Vector3<f64>) -> LoadCase {
        let whole = stretch[1] - stretch[0];
        let overlap = |[from, to]: [f64; 2]| [from.max(stretch[0]), to.min(stretch[1])];
        for &Piece { member, stretch } in &self.bone {
            let [from, to] = overlap(stretch);
            if to <= from {
                continue;
            }
            let length = self.member_length(member);
            let along = |at: f64| length * (at - stretch[0]) / (stretch[1] - stretch[0]);
            let loaded = [along(from), along(to)];
            if loaded[0] >= loaded[1] {
                continue;
            }
            let per_length = force * ((to - from) / whole / (loaded[1] - loaded[0]));
            case = case.with_action(
                member,
                MemberAction::Line {
                    stretch: loaded,
                    force: [per_length; 2],
                    axes: LoadAxes::Global,
                },
            );
        }
        if let Some([(medial, _), (lateral, _)]) = self.faces {
            let [from, to] = overlap([medial, lateral]);
            if to > from {
                let part = force * ((to - from) / whole);
                case = self.load_place(case, (from + to) / 2.0, part, Vector3::zeros());
            }
        }
        case
    }
}
