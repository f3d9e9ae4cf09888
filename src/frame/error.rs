//! What can be wrong with a frame.

use std::fmt;

/// Why a frame could not be solved.
#[derive(Debug, Clone, PartialEq)]
pub enum SolveError {
    /// A part of the frame is not a sound input.
    Unsound {
        /// The node, member, coupling or load at fault.
        part: String,
        /// What is wrong with it.
        rule: &'static str,
    },
    /// Something can move without being resisted.
    Mechanism {
        /// Name of the node that moves most.
        node: String,
        /// How it moves, in words.
        motion: &'static str,
        /// Other nodes that move with it.
        loose: Vec<String>,
        /// Smallest pivot over its diagonal entry.
        pivot_ratio: f64,
    },
    /// The solution does not satisfy the equations well enough.
    Inaccurate {
        /// Load case.
        case: String,
        /// What is left unbalanced, as a share of the forces that act.
        residual: f64,
        /// What is allowed.
        limit: f64,
    },
    /// Contact or friction did not settle.
    Unsettled {
        /// Load case.
        case: String,
        /// The coupling that changes most from one iteration to the next.
        coupling: String,
        /// Share of the acting forces left unbalanced before each iteration of the stage, step
        /// after step.
        unbalanced: Box<[f64]>,
    },
    /// Nothing but contact without friction holds a part where it is.
    Undetermined {
        /// Load case.
        case: String,
        /// Name of the node that could move most.
        node: String,
        /// How it could move, in words.
        motion: &'static str,
    },
    /// No equilibrium was found beyond a load factor.
    NoEquilibrium {
        /// Load case.
        case: String,
        /// The last load factor in equilibrium.
        load_factor: f64,
    },
    /// The buckling modes found could not be proven complete.
    ModesMissing {
        /// Load case.
        case: String,
        /// How many were asked for.
        modes: usize,
    },
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SolveError::Unsound { part, rule } => write!(f, "{part} {rule}"),
            SolveError::Mechanism {
                node,
                motion,
                loose,
                pivot_ratio,
            } => {
                write!(f, "node '{node}' is free to {motion}")?;
                if let Some((last, others)) = loose.split_last() {
                    let quoted = |name: &String| format!("'{name}'");
                    let mut list: Vec<String> = others.iter().take(4).map(quoted).collect();
                    if others.len() > 4 {
                        list.push(format!("{} more", others.len() - 4));
                    }
                    match list.is_empty() {
                        true => write!(f, ", and '{last}' with it")?,
                        false => write!(f, ", and with it {} and '{last}'", list.join(", "))?,
                    }
                }
                write!(
                    f,
                    ": a support, member or coupling is missing (pivot ratio {pivot_ratio:.1e})"
                )
            }
            SolveError::Inaccurate {
                case,
                residual,
                limit,
            } => write!(
                f,
                "load case '{case}': the solution leaves {residual:.1e} of the forces unbalanced \
                 (limit {limit:.0e}); stiffnesses may differ by too many powers of ten"
            ),
            SolveError::Unsettled {
                case,
                coupling,
                unbalanced,
            } => write!(
                f,
                "load case '{case}': coupling '{coupling}' does not settle \
                 ({:.1e} of the forces unbalanced): the parts may be pushed out of contact for \
                 good, or stops may contradict each other",
                unbalanced.last().copied().unwrap_or_default()
            ),
            SolveError::Undetermined { case, node, motion } => write!(
                f,
                "load case '{case}': nothing but contact without friction keeps node '{node}' from \
                 starting to {motion}, so where it rests is undetermined: a friction coefficient, a \
                 stop or a weak spring is missing"
            ),
            SolveError::NoEquilibrium { case, load_factor } => write!(
                f,
                "load case '{case}': no equilibrium was found beyond load factor {load_factor:.4}; \
                 a structure that snaps through there has to be followed along its path"
            ),
            SolveError::ModesMissing { case, modes } => write!(
                f,
                "load case '{case}': {modes} buckling modes were not found complete; ask for fewer"
            ),
        }
    }
}

impl std::error::Error for SolveError {}
