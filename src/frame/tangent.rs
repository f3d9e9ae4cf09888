//! A frame with contact made linear where a run stands.

use std::mem::take;

use nalgebra::Vector6;

use super::assembly::PIVOT_LIMIT;
use super::balance::Balance;
use super::contact::{Contact, Run};
use super::course::{Answers, Standing};
use super::envelope::{Envelope, Factor, Pivots};
use super::flexibility::{Flexibility, Stiffnesses, Touching};
use super::lanes::{self, Lanes};
use super::law::{Answer, Press, Presses, Pressing};

/// Contacts that may have become stiffer or less stiff than they are in the equations.
const MOST_CHANGED: usize = 64;
/// Where parts can move freely, every degree of freedom is sprung with this share of its own
/// stiffness without contact, which bends the step but not the equilibrium it leads to.
const RAISE: f64 = 1e-7;

impl Run<'_> {
    /// How every one-sided part stands.
    pub fn bearings(&self, motions: &[Vector6<f64>]) -> Vec<Standing> {
        let mut bearings = Vec::with_capacity(motions.len());
        for (index, (contact, motion)) in self.contacts.iter().zip(motions).enumerate() {
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let parts = law
                .bearings(motion)
                .filter(|(_, bearing)| bearing.stiffness > 0.0);
            bearings.extend(parts.map(|(part, bearing)| ((index, part), bearing)));
        }
        bearings
    }

    pub fn touching(&self) -> Touching<'_> {
        Touching {
            equations: &self.equations,
            contacts: &self.contacts,
        }
    }

    /// Motions that the laws of the contacts answer to, coupling axes.
    pub fn motions(&self) -> Vec<Vector6<f64>> {
        let motion = |contact: &Contact| self.motion(contact.coupling);
        self.contacts.iter().map(motion).collect()
    }

    fn motion(&self, coupling: usize) -> Vector6<f64> {
        let index = self.equations.frame.members.len() + coupling;
        let motion = self
            .equations
            .strained_motion(index, &self.loading, &self.displacements);
        self.equations.frame.couplings[coupling].to_local(&motion)
    }

    /// The least stiffness of any node against displacement without contact, N/mm.
    pub fn typical_spring(&self) -> f64 {
        let least = |own: &Vector6<f64>| own.fixed_rows::<3>(0).min();
        self.untouched
            .iter()
            .map(least)
            .fold(f64::INFINITY, f64::min)
    }

    pub fn balance(&self) -> Balance<1> {
        let displacements = self.displacements_in_lanes();
        self.equations.balance([&self.loading], &displacements)
    }

    pub fn displacements_in_lanes(&self) -> Vec<Lanes<1>> {
        self.displacements.iter().map(lanes::alike).collect()
    }

    /// What the laws say to motions of their contacts.
    ///
    /// * `presses`: how one-sided parts press, in order, if not as their laws have it; the rest
    ///   does not
    pub fn answers(&self, motions: &[Vector6<f64>], presses: Option<&[Pressing]>) -> Answers {
        let mut of = Vec::new();
        let mut rest = presses.unwrap_or_default();
        for (index, (contact, motion)) in self.contacts.iter().zip(motions).enumerate() {
            let law = &self.equations.frame.couplings[contact.coupling].law;
            let count = rest.iter().take_while(|((of, _), _)| *of == index).count();
            let (own, others) = rest.split_at(count);
            rest = others;
            let press = |part| {
                let own = own.iter().find(|((_, of), _)| *of == part);
                own.map_or(Press::NOTHING, |(_, press)| *press)
            };
            let press: Option<Presses> = presses.is_some().then_some(&press);
            let answer = law.answer(motion, &contact.anchor, self.friction, press);
            of.extend(answer.map(|answer| (index, answer)));
        }
        Answers {
            of,
            count: motions.len(),
        }
    }

    /// Takes forces of contacts into the equations.
    pub fn put(&mut self, answers: &Answers) {
        let members = self.equations.frame.members.len();
        let forces = answers.spread(|answer| answer.force);
        for (contact, force) in self.contacts.iter().zip(&forces) {
            let coupling = &self.equations.frame.couplings[contact.coupling];
            self.equations.links[members + contact.coupling].answered =
                Some(coupling.to_global(force));
        }
    }

    /// Takes forces and pressures as the laws have them where the run stands.
    ///
    /// * returns: stiffnesses of the contacts
    pub fn linearise(&mut self) -> Stiffnesses {
        let answers = self.answers(&self.motions(), None);
        self.put(&answers);
        for (contact, pressure) in self.contacts.iter_mut().zip(answers.pressures()) {
            contact.pressure = pressure;
        }
        answers.stiffnesses()
    }

    /// Makes the equations for contacts as stiff as they are, unless they are those made last.
    pub fn refer(&mut self) {
        let stiffnesses = self.linearise();
        let same = |last: &Flexibility| last.stiffnesses == stiffnesses;
        if !self.flexibility.as_ref().is_some_and(same) {
            self.refer_to(stiffnesses);
        }
    }

    /// Pivots that tell whether the tangent holds everything: its own, or those of the equations
    /// made last where these hold everything and some contacts have come to them that were not
    /// there: what is only held more is held.
    ///
    /// * `stiffnesses`: of the contacts
    pub fn pivots(&mut self, stiffnesses: &Stiffnesses) -> Pivots {
        if let Some(Flexibility {
            stiffnesses: were,
            pivots,
            ..
        }) = &self.flexibility
        {
            let mut both = were.iter().zip(stiffnesses);
            let sound = pivots.smallest_ratio > PIVOT_LIMIT;
            if sound && both.all(|(was, is)| was.is_none() || was == is) {
                self.effort.smallest_pivot_ratio = pivots.smallest_ratio;
                return *pivots;
            }
        }
        let (factor, pivots) = self.factor(stiffnesses);
        self.storage = factor.into_storage();
        pivots
    }

    pub fn refer_to(&mut self, stiffnesses: Stiffnesses) {
        if let Some(last) = self.flexibility.take() {
            self.storage = last.into_storage();
        }
        let (factor, pivots) = self.factor(&stiffnesses);
        self.flexibility = Some(Flexibility::new(stiffnesses, factor, pivots));
    }

    pub fn flexibility(&self) -> &Flexibility {
        self.flexibility.as_ref().expect("a stage begins with it")
    }

    /// The symmetric tangent factored, raised where parts can move freely, and the pivots without.
    ///
    /// * `stiffnesses`: of the contacts
    pub fn factor(&mut self, stiffnesses: &Stiffnesses) -> (Factor, Pivots) {
        let members = self.equations.frame.members.len();
        for (contact, stiffness) in self.contacts.iter().zip(stiffnesses) {
            let coupling = &self.equations.frame.couplings[contact.coupling];
            self.equations.links[members + contact.coupling].stiffness = stiffness
                .map(|stiffness| coupling.stiffness_to_global(&stiffness))
                .unwrap_or_default();
        }
        self.effort.factorisations += 1;
        let storage = take(&mut self.storage);
        let (factor, pivots) = self.tangent(storage).factor();
        self.effort.smallest_pivot_ratio = pivots.smallest_ratio;
        if pivots.smallest_ratio > PIVOT_LIMIT {
            return (factor, pivots);
        }
        let mut raised = self.tangent(factor.into_storage());
        for (row, own) in self.untouched.iter().enumerate() {
            let block = raised.block_mut(row, row);
            for i in 0..6 {
                block[(i, i)] += RAISE * own[i];
            }
        }
        self.effort.factorisations += 1;
        (raised.factor().0, pivots)
    }

    /// The symmetric tangent, contacts as stiff as their links are.
    fn tangent(&self, storage: Envelope) -> Envelope {
        let still = self.still.copied_into(storage);
        let members = self.equations.frame.members.len();
        let contacts = self.contacts.iter();
        let links = contacts.map(|contact| members + contact.coupling);
        self.equations.completed(still, links)
    }

    /// Whether the equations made last serve contacts that answer like this: where contacts alone
    /// hold something up, or many have changed, new ones are better.
    pub fn serves(&self, answers: &Answers) -> bool {
        let Flexibility {
            stiffnesses,
            pivots,
            ..
        } = self.flexibility();
        let stays = |(contact, answer): &&(usize, Answer)| {
            stiffnesses[*contact].is_some_and(|stiffness| stiffness == answer.stiffness)
        };
        let stay = answers.of.iter().filter(stays).count();
        let were = stiffnesses.iter().flatten().count();
        let changed = (were - stay).max(answers.of.len() - stay);
        pivots.smallest_ratio > PIVOT_LIMIT && changed <= MOST_CHANGED
    }
}
