//! What is done with the loads beside a linear solution: large displacements and buckling.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::frame::{
    Buckling, Follow, LoadPath, LoadSense, PathOptions, Solution, SolveError, buckle, follow_path,
};

use super::FrameFile;
use super::result::{Motion, Named};

/// `[analysis]`; absent: linear.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct AnalysisTable {
    /// Large displacements and rotations, small strains. Default: linear.
    pub large_displacement: Option<LargeDisplacementTable>,
    /// Load factors at which the frame buckles about its linear state. Default: none.
    pub buckling: Option<BucklingTable>,
}

/// Large displacements, in steps of the whole load case.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LargeDisplacementTable {
    /// By load, or along the path past limit points; default "load".
    #[serde(default)]
    pub follow: FollowWord,
    /// The first step is this part of the load factor; default 10. Steps grow where it is easy,
    /// and are cut where it is not.
    #[serde(default = "ten")]
    #[schemars(range(min = 1, max = 10_000))]
    pub steps: usize,
    /// Where to stop: the load case taken this many times; default 1.
    #[serde(default = "whole")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub load_factor: f64,
    /// Where to stop: so many states; default 1000.
    #[serde(default = "thousand")]
    #[schemars(range(min = 1, max = 100_000))]
    pub most_states: usize,
    /// Where to stop: displacement of any node. Default: none.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub largest_displacement_mm: Option<f64>,
}

/// How equilibrium is followed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FollowWord {
    /// The load grows; a frame that snaps through is refused.
    #[default]
    Load,
    /// The load follows the path, up and down.
    Path,
}

/// Buckling about the linear state.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BucklingTable {
    /// How many of the lowest load factors; default 3.
    #[serde(default = "three")]
    #[schemars(range(min = 1, max = 50))]
    pub modes: usize,
}

fn three() -> usize {
    3
}

fn ten() -> usize {
    10
}

fn thousand() -> usize {
    1000
}

fn whole() -> f64 {
    1.0
}

/// What is done with the load cases of a file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Analysis {
    /// Large displacements; none for linear.
    pub large_displacement: Option<PathOptions>,
    /// How many buckling modes.
    pub buckling_modes: Option<usize>,
}

impl From<&AnalysisTable> for Analysis {
    fn from(table: &AnalysisTable) -> Self {
        let path = |table: &LargeDisplacementTable| PathOptions {
            follow: match table.follow {
                FollowWord::Load => Follow::Load,
                FollowWord::Path => Follow::Path,
            },
            steps: table.steps,
            load_factors: [f64::NEG_INFINITY, table.load_factor],
            most_states: table.most_states,
            largest_displacement: table.largest_displacement_mm.unwrap_or(f64::INFINITY),
            ..PathOptions::default()
        };
        Analysis {
            large_displacement: table.large_displacement.as_ref().map(path),
            buckling_modes: table.buckling.as_ref().map(|buckling| buckling.modes),
        }
    }
}

/// A file's load cases solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Linear, or the ends of the paths.
    pub solution: Solution,
    /// The paths, one for each load case; none when linear.
    pub paths: Vec<LoadPath>,
    /// One for each load case, if asked for.
    pub buckling: Vec<Buckling>,
}

impl Solved {
    pub(super) fn new(file: &FrameFile) -> Result<Self, SolveError> {
        let (frame, cases) = (&file.frame, &file.load_cases);
        let mut paths = Vec::new();
        let solution = match &file.analysis.large_displacement {
            None => file.settled()?,
            Some(options) => {
                for case in cases {
                    paths.push(follow_path(frame, case, options)?);
                }
                Solution {
                    cases: paths.iter().map(|path| path.solution.clone()).collect(),
                    efforts: Vec::new(),
                    checks: paths[0].checks,
                }
            }
        };
        let mut buckling = Vec::new();
        if let Some(modes) = file.analysis.buckling_modes {
            for case in cases {
                buckling.push(buckle(frame, case, modes, LoadSense::AsGiven)?);
            }
        }
        Ok(Solved {
            solution,
            paths,
            buckling,
        })
    }
}

/// How equilibrium was followed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PathResults {
    /// Load factor of the last state, to which all other results belong.
    pub load_factor: f64,
    /// Load factors at which the load turned.
    pub limit_load_factors: Vec<f64>,
    /// Whether the last state is stable.
    pub stable: bool,
    /// States in order, the unloaded one first.
    pub states: Vec<StateResults>,
}

/// One state on the way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StateResults {
    /// Load factor.
    pub load_factor: f64,
    /// Motion of every node that the file names, global axes.
    pub nodes: Named<Motion>,
}

/// At which load factors the frame buckles.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BucklingResults {
    /// Lowest load factors, in order; fewer than asked for where no more exist.
    pub load_factors: Vec<f64>,
}

impl PathResults {
    pub(super) fn new(file: &FrameFile, path: &LoadPath) -> Self {
        let named = &file.frame.nodes[..file.named_nodes];
        PathResults {
            load_factor: path.last().load_factor,
            limit_load_factors: (path.limit_points.iter())
                .map(|point| point.load_factor)
                .collect(),
            stable: path.last().negative == 0,
            states: (path.states.iter())
                .map(|state| StateResults {
                    load_factor: state.load_factor,
                    nodes: Named(
                        named
                            .iter()
                            .zip(&state.displacements)
                            .map(|(node, motion)| (node.name.to_string(), Motion::new(motion)))
                            .collect(),
                    ),
                })
                .collect(),
        }
    }
}
