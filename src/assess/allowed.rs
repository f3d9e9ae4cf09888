//! The largest load that a construct bears by every limit at once.

use schemars::JsonSchema;
use serde::Serialize;

use super::flags::NEAR_BUCKLING;
use super::history::{State, Wear};
use super::motion::fracture_motion;
use super::screws::screws;
use super::solved::is_unsettled;
use super::stress::{strength, worst_cut};
use super::{FractureMotion, Part};
use crate::case::Case;
use crate::construct::{Construct, Fracture, Mechanics, Pattern, Response};
use crate::device::Device;
use crate::frame::SolveError;
use crate::healing::{gap_width, tolerance};
use crate::load::Setup;

/// Share of a limit that is used where the search ends: between this and 1.
const CLOSE: f64 = 0.97;

/// Loads tried in one search. Assumption: a dozen halvings narrow more than anyone reads.
const MOST_TRIALS: usize = 12;

/// What limits a load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Limit {
    /// Nothing up to the largest load looked for.
    None,
    /// Nail, pin or plate bends for good.
    DeviceBends,
    /// Nail, pin or plate breaks by fatigue.
    DeviceBreaks,
    /// A screw bends for good.
    ScrewBends,
    /// A screw is pulled out.
    ScrewPullsOut,
    /// The bone cracks.
    BoneCracks,
    /// The tissue in the gap tears.
    TissueTears,
    /// The device buckles across an open gap.
    Buckles,
    /// Contact does not settle: something slides away.
    Unsettled,
}

impl Limit {
    /// The limit in a word or two for a table.
    pub fn word(self) -> &'static str {
        match self {
            Limit::None => "free",
            Limit::DeviceBends => "bends",
            Limit::DeviceBreaks => "fatigue",
            Limit::ScrewBends => "screw bends",
            Limit::ScrewPullsOut => "screw out",
            Limit::BoneCracks => "bone",
            Limit::TissueTears => "strain",
            Limit::Buckles => "buckles",
            Limit::Unsettled => "slides",
        }
    }

    /// The limit as the end of a sentence that begins with "beyond it".
    pub fn consequence(self) -> &'static str {
        match self {
            Limit::None => "nothing gives way",
            Limit::DeviceBends => "the implant bends for good",
            Limit::DeviceBreaks => "the implant may break if it is done often",
            Limit::ScrewBends => "a screw bends for good",
            Limit::ScrewPullsOut => "a screw may pull out of the bone",
            Limit::BoneCracks => "the bone may crack",
            Limit::TissueTears => "the young tissue in the fracture tears",
            Limit::Buckles => "the implant gives way sideways under the push along the bone",
            Limit::Unsettled => "the implant slides in the bone",
        }
    }
}

/// The largest factor on a load, and what limits it.
#[derive(Debug, Clone, Copy)]
pub(super) struct AllowedLoad {
    pub factor: f64,
    pub limit: Limit,
}

/// Strain that a motion puts in the healing gap, %.
pub(super) fn gap_strain(motion: &FractureMotion, fracture: &Fracture) -> f64 {
    100.0 * motion.rim_mm / gap_width(fracture.gap)
}

/// Judges loads on one construct.
pub(super) struct Judge<'a> {
    case: &'a Case,
    construct: &'a Construct,
    fracture: &'a Fracture,
    /// Strain that the tissue in the gap bears, %; endless where there is none to tear.
    strain_limit: f64,
    /// The construct with linear couplings, which tells how it buckles; absent where broken ends
    /// meet, which stop it.
    linear: Option<Construct>,
    /// What of fatigue is not as usual.
    wear: Wear,
}

impl<'a> Judge<'a> {
    /// * `device`: that of the state; `setups`: those that will be judged
    pub fn new(
        case: &'a Case,
        device: &Device,
        state: &'a State,
        setups: &[Setup],
        wear: Wear,
    ) -> Self {
        let State {
            fracture,
            construct,
            ..
        } = state;
        let open = matches!(fracture.pattern, Pattern::Comminuted);
        let broken = Some((fracture, device));
        Judge {
            case,
            construct,
            fracture,
            strain_limit: state.modulus.map_or(f64::INFINITY, tolerance),
            linear: open.then(|| Construct::new(&case.clavicle, broken, setups, Mechanics::Linear)),
            wear,
        }
    }

    /// The largest factor on a setup's loads for which every limit holds.
    ///
    /// A bracketed search: the next trial is where the load would be if the share used grew
    /// with it, or the middle of the bracket where that lies outside. The factor returned was
    /// tried and held.
    ///
    /// * `first`: factor to begin with; `most`: largest looked for
    pub fn largest_factor(
        &self,
        setup: &Setup,
        first: f64,
        most: f64,
    ) -> Result<AllowedLoad, SolveError> {
        let buckling = self.buckling(setup);
        let mut held = 0.0;
        let mut failed = None;
        let mut limit = Limit::None;
        let mut factor = first.min(most);
        for _ in 0..MOST_TRIALS {
            let tried = setup.scaled(factor);
            let (used, governs) =
                self.most_used(std::slice::from_ref(&tried), factor * buckling, true)?;
            if used > 1.0 {
                failed = Some(factor);
                limit = governs;
            } else {
                held = factor;
                if factor >= most {
                    return Ok(AllowedLoad {
                        factor,
                        limit: Limit::None,
                    });
                }
                if used >= CLOSE {
                    limit = governs;
                    break;
                }
            }
            let aim = factor * 0.5 * (1.0 + CLOSE) / used;
            factor = match failed {
                None => aim.min(most),
                Some(failed) if held < aim && aim < failed => aim,
                Some(failed) => 0.5 * (held + failed),
            };
        }
        Ok(AllowedLoad {
            factor: held,
            limit,
        })
    }

    /// Whether every limit holds under a setup.
    pub fn bears(&self, setup: &Setup) -> Result<bool, SolveError> {
        let buckling = self.buckling(setup);
        let (used, _) = self.most_used(std::slice::from_ref(setup), buckling, true)?;
        Ok(used <= 1.0)
    }

    /// The largest share of a limit that setups use that act at once, but once only, and of
    /// which.
    ///
    /// Buckling is left out: pushed along its length, the bone topples between joints that give
    /// before any implant gives way sideways.
    pub fn used_once(&self, setups: &[Setup]) -> Result<(f64, Limit), SolveError> {
        self.most_used(setups, 0.0, false)
    }

    /// The share that a setup uses of the load that is near to buckling the construct.
    ///
    /// ```text
    /// 2 / λ     λ the factor on the setup's loads at which it buckles
    /// ```
    fn buckling(&self, setup: &Setup) -> f64 {
        let factor = self.linear.as_ref().and_then(|c| c.buckling_factor(setup));
        factor.map_or(0.0, |factor| NEAR_BUCKLING / factor)
    }

    /// The largest share of a limit that setups use that act at once, and of which.
    ///
    /// * `buckling`: the share of that limit
    /// * `often`: whether they act as often as an allowed load is borne
    fn most_used(
        &self,
        setups: &[Setup],
        buckling: f64,
        often: bool,
    ) -> Result<(f64, Limit), SolveError> {
        match self.construct.solve(setups) {
            Ok(responses) => {
                let response = responses.into_iter().collect();
                let shares = self.shares(&response, often).into_iter();
                let shares = shares.chain([(buckling, Limit::Buckles)]);
                Ok(shares.fold((0.0, Limit::None), |most, share| {
                    if share.0 > most.0 { share } else { most }
                }))
            }
            Err(error) if is_unsettled(&error) => Ok((f64::INFINITY, Limit::Unsettled)),
            Err(error) => Err(error),
        }
    }

    /// The share of each limit that a response uses.
    fn shares(&self, response: &Response, often: bool) -> Vec<(f64, Limit)> {
        let Judge {
            case,
            construct,
            fracture,
            ..
        } = self;
        let motion = fracture_motion(construct, &case.clavicle, fracture, response);
        let mut shares = vec![(
            gap_strain(&motion, fracture) / self.strain_limit,
            Limit::TissueTears,
        )];
        for place in &construct.places {
            let cut = worst_cut(place, construct, response);
            let bends = match place.part {
                Part::Device => Limit::DeviceBends,
                Part::Screw => Limit::ScrewBends,
                Part::Bone => Limit::BoneCracks,
            };
            shares.push((cut.used, bends));
            // The fatigue of screws is only a bound, and living bone repairs itself.
            if often && place.part == Part::Device {
                let strength = strength(place);
                let method = &case.aftercare.fatigue;
                let cycle = self.wear.on(cut, &place.notch).cycle(strength);
                let repeats = case.aftercare.repeats;
                let [margin] = method.margins(&cycle, &place.material, strength, [repeats]);
                shares.extend(margin.map(|margin| (1.0 / margin, Limit::DeviceBreaks)));
            }
        }
        for screw in screws(construct, &case.clavicle, std::slice::from_ref(response)) {
            let margin = screw.activities[0].pull_out_margin;
            shares.extend(margin.map(|margin| (1.0 / margin, Limit::ScrewPullsOut)));
        }
        shares
    }
}
