//! A construct carried through the weeks after the operation: what the fracture strains and the
//! device is stressed while callus grows. Damage, bending and union follow from that record.

use super::Part;
use super::allowed::gap_strain;
use super::motion::fracture_motion;
use super::stress::{CutStress, strength, worst_cut};
use crate::case::Case;
use crate::construct::{Callus, Construct, CriticalPlace, Fracture, Mechanics, Response};
use crate::device::{Device, Notch, THREAD_KF};
use crate::fatigue::{Method, miner_damage};
use crate::frame::SolveError;
use crate::healing::gap_width;
use crate::load::{Activity, Setup};

/// Weeks at which a construct is looked at, close together while much changes.
const WEEKS: [f64; 12] = [
    0.0, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 24.0,
];

/// Last week that is looked at.
pub(super) const LAST_WEEK: f64 = WEEKS[WEEKS.len() - 1];

/// Outer diameter of the callus over that of the bone with a nail or pin.
///
/// Assumption: 1.3 to 1.5 where the fixation lets the ends move, none where it does not.
const CALLUS_SPREAD: f64 = 1.4;

/// One way through the weeks.
pub(super) struct Walk<'a> {
    pub case: &'a Case,
    pub device: &'a Device,
    pub mechanics: Mechanics,
    /// Setups that are looked at beside those of the routine.
    pub beside: &'a [Setup],
    /// Factor on every load.
    pub load: f64,
    /// Factor on the modulus of the callus.
    pub callus: f64,
    /// Whether to stop once the fracture has united.
    pub until_union: bool,
}

/// A construct with callus of one modulus, or none.
pub(super) struct State {
    pub fracture: Fracture,
    pub construct: Construct,
    /// That of the callus, MPa; none while nothing bridges the gap.
    pub modulus: Option<f64>,
    /// What each activity of the routine does to it, once looked at.
    effects: Vec<Option<Effect>>,
}

/// What one activity does to a construct.
#[derive(Debug, Clone)]
struct Effect {
    /// Strain in the gap, %.
    strain: f64,
    /// The stress at each critical place of the device.
    cuts: Vec<CutStress>,
}

/// What the weeks did to a construct.
pub(super) struct History {
    /// The critical places of the device.
    pub places: Vec<CriticalPlace>,
    /// One stretch after another, from the operation on.
    pub stretches: Vec<Stretch>,
    /// Weeks until the fracture has united.
    pub united: Option<f64>,
}

/// A stretch of weeks, in which callus and stresses are taken as at its beginning.
pub(super) struct Stretch {
    pub weeks: [f64; 2],
    /// Modulus of the callus, MPa; none while nothing bridges the gap.
    pub modulus: Option<f64>,
    /// Strain in the gap, %, the mean over the cycles done; while nothing bridges it, that of the
    /// tissue that is forming.
    pub strain: f64,
    /// What is done in it.
    pub done: Vec<Doing>,
}

/// An activity of the routine within a stretch of weeks.
pub(super) struct Doing {
    /// Its number in the routine.
    pub activity: usize,
    pub cycles: f64,
    effect: Effect,
}

/// What of fatigue scatters beside the stresses: factors, all 1 where nothing does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wear {
    /// On the cycles done.
    pub cycles: f64,
    /// On the notched stress at holes and notched edges.
    pub notch: f64,
    /// On the notched stress at threads.
    pub thread: f64,
}

impl Wear {
    pub const USUAL: Wear = Wear {
        cycles: 1.0,
        notch: 1.0,
        thread: 1.0,
    };

    /// With a fatigue notch factor of its own at threads.
    pub fn thread_kf(kf: f64) -> f64 {
        kf / THREAD_KF
    }

    /// On the notched stress at a place, whose notch takes nothing off the nominal stress.
    pub fn on(&self, cut: CutStress, notch: &Notch) -> CutStress {
        let factor = match notch {
            Notch::Smooth => 1.0,
            Notch::Thread => self.thread,
            Notch::Hole(_) | Notch::Edges(_) => self.notch,
        };
        CutStress {
            notched: (factor * cut.notched).max(cut.nominal),
            ..cut
        }
    }
}

impl Walk<'_> {
    /// Carries the construct through the weeks.
    ///
    /// * `look`: told each week's construct and what will be done in it
    ///
    /// # Errors
    /// When the construct has a loose part or contact does not settle in some week.
    pub fn run(
        &self,
        mut look: impl FnMut(&State, &Stretch) -> Result<(), SolveError>,
    ) -> Result<History, SolveError> {
        let healing = &self.case.aftercare.healing;
        let routine: Vec<Vec<Setup>> = (self.case.aftercare.routine.iter())
            .map(|activity| self.setups(activity))
            .collect();
        let needed = healing.united_after();
        let mut healed = vec![(0.0, 0.0)];
        let mut history = History {
            places: Vec::new(),
            stretches: Vec::new(),
            united: None,
        };
        let mut state = self.state(Some(healing.modulus(0.0)), &routine);
        let places = state.construct.places.iter();
        history.places = places.filter(|place| of_device(place)).cloned().collect();
        for (index, &at) in WEEKS.iter().enumerate() {
            let next = WEEKS.get(index + 1).copied().unwrap_or(at + 1.0);
            let (_, so_far) = healed[index];
            let modulus = Some(healing.modulus(so_far));
            // Callus that has not begun to grow leaves the construct as it was.
            if modulus != state.modulus {
                state = self.state(modulus, &routine);
            }
            let mut stretch = self.stretch(&mut state, [at, next], &routine)?;
            if at < healing.first_tissue {
                let strain = stretch.strain;
                let mut bare = self.state(None, &routine);
                stretch = self.stretch(&mut bare, [at, next], &routine)?;
                stretch.strain = strain;
                look(&bare, &stretch)?;
            } else {
                look(&state, &stretch)?;
            }
            let first = history.stretches.first().unwrap_or(&stretch);
            let pace = healing.pace(first.strain, stretch.strain);
            healed.push((next, so_far + healing.gained([at, next], pace)));
            history.stretches.push(stretch);
            history.united = needed.and_then(|needed| reached(&healed, needed));
            if self.until_union && history.united.is_some() {
                break;
            }
        }
        Ok(history)
    }

    fn setups(&self, activity: &Activity) -> Vec<Setup> {
        let Case {
            patient,
            clavicle,
            fracture,
            ..
        } = self.case;
        let setups = activity.setups(patient, clavicle, fracture.position);
        setups.iter().map(|setup| setup.scaled(self.load)).collect()
    }

    /// The construct with callus of a modulus, or with nothing in the gap.
    fn state(&self, modulus: Option<f64>, routine: &[Vec<Setup>]) -> State {
        let Case {
            clavicle, fracture, ..
        } = self.case;
        let [ap, si] = clavicle.outer(fracture.position);
        let bone = (ap + si) / 2.0;
        let of_device = match self.device {
            Device::Plate(_) | Device::Plates(_) => bone,
            _ => CALLUS_SPREAD * bone,
        };
        let given = fracture.callus.map(|callus| callus.outer_diameter);
        let own = self.case.aftercare.healing.outer_diameter;
        let fracture = Fracture {
            callus: modulus.map(|modulus| Callus {
                // As compliant as tissue that fills the gap of healing.
                youngs_modulus: self.callus * modulus * fracture.gap / gap_width(fracture.gap),
                outer_diameter: own.or(given).unwrap_or(of_device),
            }),
            ..*fracture
        };
        let mut setups: Vec<Setup> = routine.concat();
        setups.extend_from_slice(self.beside);
        let broken = Some((&fracture, self.device));
        let construct = Construct::new(clavicle, broken, &setups, self.mechanics);
        State {
            fracture,
            construct,
            modulus,
            effects: vec![None; routine.len()],
        }
    }

    /// What the routine does to a construct in a stretch of weeks.
    fn stretch(
        &self,
        state: &mut State,
        weeks: [f64; 2],
        routine: &[Vec<Setup>],
    ) -> Result<Stretch, SolveError> {
        let counted = self.case.aftercare.routine.iter().enumerate();
        let counted = counted.map(|(activity, each)| {
            let phases = each.phases.iter();
            let cycles: f64 = phases.map(|phase| phase.cycles_within(weeks)).sum();
            (activity, cycles)
        });
        let counted: Vec<(usize, f64)> = counted.filter(|(_, cycles)| *cycles > 0.0).collect();
        let open = counted.iter().map(|(activity, _)| *activity);
        let open: Vec<usize> = open.filter(|each| state.effects[*each].is_none()).collect();
        self.look_at(state, &open, routine)?;
        let done: Vec<Doing> = (counted.into_iter())
            .filter_map(|(activity, cycles)| {
                let effect = state.effects[activity].clone()?;
                Some(Doing {
                    activity,
                    cycles,
                    effect,
                })
            })
            .collect();
        let sums = done.iter().fold([0.0; 2], |[strained, cycles], each| {
            [
                strained + each.cycles * each.effect.strain,
                cycles + each.cycles,
            ]
        });
        Ok(Stretch {
            weeks,
            modulus: state.modulus,
            strain: if sums[1] > 0.0 {
                sums[0] / sums[1]
            } else {
                0.0
            },
            done,
        })
    }

    /// Finds what activities of the routine do to a construct.
    fn look_at(
        &self,
        state: &mut State,
        activities: &[usize],
        routine: &[Vec<Setup>],
    ) -> Result<(), SolveError> {
        let setups = activities.iter().flat_map(|each| routine[*each].clone());
        let construct = &state.construct;
        let mut answers = construct.solve(&setups.collect::<Vec<_>>())?.into_iter();
        for &activity in activities {
            let own = answers.by_ref().take(routine[activity].len());
            let response: Response = own.collect();
            let clavicle = &self.case.clavicle;
            let motion = fracture_motion(construct, clavicle, &state.fracture, &response);
            let places = construct.places.iter().filter(|place| of_device(place));
            state.effects[activity] = Some(Effect {
                strain: gap_strain(&motion, &state.fracture),
                cuts: places
                    .map(|place| worst_cut(place, construct, &response))
                    .collect(),
            });
        }
        Ok(())
    }
}

impl History {
    /// Week up to which the device must last: union, or the last that was looked at.
    pub fn lasts_until(&self) -> f64 {
        self.united.unwrap_or(LAST_WEEK)
    }

    /// Damage by Miner's rule at each place: at the beginning of each stretch and after the last,
    /// with the week.
    ///
    /// The callus is taken as it is at the beginning of a stretch, softer than later: an upper
    /// bound.
    pub fn damages(&self, method: &Method, wear: &Wear) -> Vec<(f64, Vec<f64>)> {
        let mut sums = vec![0.0; self.places.len()];
        let mut track = vec![(0.0, sums.clone())];
        for stretch in &self.stretches {
            for (number, (place, sum)) in self.places.iter().zip(&mut sums).enumerate() {
                let strength = strength(place);
                *sum += miner_damage(stretch.done.iter().map(|each| {
                    let cut = wear.on(each.effect.cuts[number], &place.notch);
                    let life = method.life(&cut.cycle(strength), &place.material, strength);
                    (wear.cycles * each.cycles, life)
                }));
            }
            track.push((stretch.weeks[1], sums.clone()));
        }
        track
    }

    /// The largest share of its proof stress that the device uses until union, with the stretch,
    /// the activity and the place; none when nothing acts.
    pub fn most_used(&self) -> Option<MostUsed> {
        let before = |stretch: &&Stretch| stretch.weeks[0] <= self.lasts_until();
        let stretches = self.stretches.iter().filter(before);
        let each = stretches.filter_map(Stretch::most_used);
        each.reduce(|most, next| if next.used > most.used { next } else { most })
    }

    /// When the device first bends for good before union: the stretch in which it does.
    pub fn bends_in(&self) -> Option<&Stretch> {
        let before = |stretch: &&Stretch| stretch.weeks[0] <= self.lasts_until();
        let bends = |stretch: &&Stretch| stretch.most_used().is_some_and(|most| most.used > 1.0);
        self.stretches.iter().filter(before).find(bends)
    }
}

/// Where and in what the device comes nearest to bending for good.
#[derive(Debug, Clone, Copy)]
pub(super) struct MostUsed {
    /// Number of the activity in the routine.
    pub activity: usize,
    /// Number of the place.
    pub place: usize,
    /// Nominal stress there, MPa.
    pub stress: f64,
    /// Share of what the metal bears, 1 at first yield.
    pub used: f64,
}

impl Stretch {
    /// Where and in what activity the device comes nearest to bending for good.
    pub fn most_used(&self) -> Option<MostUsed> {
        let all = self.done.iter().flat_map(|each| {
            let cuts = each.effect.cuts.iter().enumerate();
            cuts.map(|(place, cut)| MostUsed {
                activity: each.activity,
                place,
                stress: cut.nominal,
                used: cut.used,
            })
        });
        all.filter(|each| each.used > 0.0)
            .reduce(|most, next| if next.used > most.used { next } else { most })
    }
}

fn of_device(place: &CriticalPlace) -> bool {
    place.part == Part::Device
}

/// When a value that grows along a track first reaches a level, linear between points.
pub(super) fn reached(track: &[(f64, f64)], level: f64) -> Option<f64> {
    track.windows(2).find_map(|pair| {
        let [(from, low), (to, high)] = [pair[0], pair[1]];
        let share = (level - low) / (high - low);
        (low < level && level <= high).then_some(from + share * (to - from))
    })
}

/// The value of a track at a place, linear between points.
pub(super) fn value_at(track: &[(f64, f64)], at: f64) -> f64 {
    let between = track.windows(2).find_map(|pair| {
        let [(from, low), (to, high)] = [pair[0], pair[1]];
        let share = (at - from) / (to - from);
        (from <= at && at <= to).then_some(low + share * (high - low))
    });
    between.unwrap_or(0.0)
}
