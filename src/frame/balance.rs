//! The balance of a frame's nodes: loads against what links and springs answer.

use std::collections::btree_map;
use std::mem::take;

use nalgebra::Vector6;
use pulp::{Arch, NullaryFnOnce};

use super::Support;
use super::element::Link;
use super::equations::{Equations, Loading, larger, ratio, spring_force};
use super::lanes::{self, Lanes, Largest, free_part, lane, nothing};
use super::solution::CaseSolution;
use super::solve::RESIDUAL_LIMIT;

/// Forces on nodes in `N` load cases side by side, with the size of what was added up to get them.
pub(crate) struct Balance<const N: usize> {
    /// Applied forces less internal ones, node by node.
    pub unbalanced: Vec<Lanes<N>>,
    /// Largest force and moment (as force × frame size) among those that act.
    pub acting: [f64; N],
    /// The same of what is unbalanced on free degrees of freedom.
    pub left: [f64; N],
    /// Force of the second body of each link on it, at its point, global axes.
    link_forces: Vec<Lanes<N>>,
}

/// A balance to be worked out, compiled for each kind of machine.
struct Balancing<'a, const N: usize> {
    equations: &'a Equations<'a>,
    loadings: [&'a Loading; N],
    displacements: &'a [Lanes<N>],
}

impl<const N: usize> NullaryFnOnce for Balancing<'_, N> {
    type Output = Balance<N>;

    #[inline(always)]
    fn call(self) -> Balance<N> {
        let Balancing {
            equations,
            loadings,
            displacements,
        } = self;
        let size = equations.size();
        let mut unbalanced = vec![nothing(); displacements.len()];
        for (case, loading) in loadings.iter().enumerate() {
            lanes::put(&mut unbalanced, case, &loading.nodal);
        }
        let mut largest = Largest::none();
        unbalanced.iter().for_each(|force| largest.note(force));

        let moved = displacements.as_flattened().as_flattened();
        let at_rest = moved.iter().all(|motion| *motion == 0.0);
        let idle = at_rest
            && loadings
                .iter()
                .all(|loading| loading.free_motions.is_empty());
        let mut free_motions = loadings.map(|loading| loading.free_motions.iter().peekable());
        let mut link_forces = Vec::with_capacity(equations.links.len());
        for (index, link) in equations.links.iter().enumerate() {
            let force = match &link.answered {
                Some(answered) => lanes::alike(answered),
                None if idle => {
                    link_forces.push(nothing());
                    continue;
                }
                None => {
                    let mut motion = link.motions(displacements);
                    take_free(&mut motion, index, &mut free_motions);
                    lanes::product(&link.stiffness, &motion)
                }
            };
            put_on_nodes(&mut unbalanced, link, &force);
            largest.note(&force);
            link_forces.push(force);
        }
        for support in equations.supports {
            let force = spring_force(support, &displacements[support.node]);
            lanes::add(&mut unbalanced[support.node], 1.0, &force);
            largest.note(&force);
        }
        let mut left = Largest::none();
        for (force, held) in unbalanced.iter().zip(&equations.held) {
            left.note(&free_part(held, force));
        }
        Balance {
            unbalanced,
            acting: largest.as_force(size),
            left: left.as_force(size),
            link_forces,
        }
    }
}

/// Adds the force of a link to what is unbalanced on its nodes.
#[inline(always)]
pub(crate) fn put_on_nodes<const N: usize>(
    unbalanced: &mut [Lanes<N>],
    link: &Link,
    force: &Lanes<N>,
) {
    let [i, j] = link.nodes;
    let [first, second] = link.levers.each_ref();
    lanes::add(&mut unbalanced[i], 1.0, &lanes::reduced(first, force));
    lanes::add(&mut unbalanced[j], -1.0, &lanes::reduced(second, force));
}

/// Takes off a link's motion what it would move by freely.
///
/// * `free_motions`: of links not asked for yet
#[inline(always)]
fn take_free<const N: usize>(
    motion: &mut Lanes<N>,
    link: usize,
    free_motions: &mut [std::iter::Peekable<btree_map::Iter<usize, Vector6<f64>>>; N],
) {
    for (case, free_motions) in free_motions.iter_mut().enumerate() {
        while let Some((&of, free)) = free_motions.next_if(|(of, _)| **of <= link) {
            if of == link {
                for (entries, free) in motion.iter_mut().zip(free.iter()) {
                    entries[case] -= free;
                }
            }
        }
    }
}

/// The largest force on a link before cancellation, compiled for each kind of machine.
struct Summing<'a, const N: usize> {
    links: &'a [Link],
    displacements: &'a [Lanes<N>],
}

impl<const N: usize> NullaryFnOnce for Summing<'_, N> {
    type Output = Largest<N>;

    #[inline(always)]
    fn call(self) -> Largest<N> {
        let mut largest = Largest::none();
        for link in self.links {
            let mut moved = nothing();
            for (node, lever) in link.nodes.iter().zip(&link.levers) {
                let node = self.displacements[*node].map(|entries| entries.map(f64::abs));
                let d = lever.abs();
                for n in 0..N {
                    moved[0][n] += d.z * node[4][n] + d.y * node[5][n];
                    moved[1][n] += d.z * node[3][n] + d.x * node[5][n];
                    moved[2][n] += d.y * node[3][n] + d.x * node[4][n];
                }
                lanes::add(&mut moved, 1.0, &node);
            }
            largest.note(&lanes::product(&link.stiffness.abs(), &moved));
        }
        largest
    }
}

impl Equations<'_> {
    /// What acts on the nodes in several load cases at the displacements of each.
    pub fn balance<const N: usize>(
        &self,
        loadings: [&Loading; N],
        displacements: &[Lanes<N>],
    ) -> Balance<N> {
        Arch::new().dispatch(Balancing {
            equations: self,
            loadings,
            displacements,
        })
    }

    /// The largest force on a link before cancellation: `|C| (|u_i| + |u_j|)`.
    pub fn summed<const N: usize>(&self, displacements: &[Lanes<N>]) -> [f64; N] {
        let links = &self.links;
        let largest = Arch::new().dispatch(Summing {
            links,
            displacements,
        });
        largest.as_force(self.size())
    }

    /// Everything that is told of displacements in balance, case by case.
    ///
    /// * `cases`: in as many lanes as there are, others to spare
    pub fn answers<const N: usize>(
        &self,
        cases: &[(&str, &Loading)],
        balance: &Balance<N>,
        displacements: &[Lanes<N>],
    ) -> Vec<CaseSolution> {
        let residuals = self.residuals(balance, displacements);
        let (of_members, of_couplings) = balance.link_forces.split_at(self.geometries.len());
        let ends = self.geometries.iter().zip(of_members);
        let mut ends =
            taken_apart(ends.map(|(geometry, force)| lanes::turned(&geometry.axes, force)));
        let forces = self.frame.couplings.iter().zip(of_couplings);
        let mut forces = taken_apart(
            forces.map(|(coupling, force)| lanes::turned(&coupling.axes.transpose(), force)),
        );
        let mut moved = taken_apart(displacements.iter().copied());
        let answer = |(case, (name, loading)): (usize, &(&str, &Loading))| {
            let mut reactions = vec![Vector6::zeros(); displacements.len()];
            for &Support { node, .. } in self.supports {
                let unbalanced = &balance.unbalanced[node];
                let free = free_part(&self.held[node], unbalanced);
                reactions[node] = lane(&free, case) - lane(unbalanced, case);
            }
            for support in self.supports {
                let force = spring_force(support, &displacements[support.node]);
                reactions[support.node] += lane(&force, case);
            }
            CaseSolution {
                name: (*name).to_owned(),
                member_ends: take(&mut ends[case]),
                coupling_forces: take(&mut forces[case]),
                residual: residuals[case],
                imbalance: self.resultant(loading, &reactions),
                touches: Vec::new(),
                moved: None,
                displacements: take(&mut moved[case]),
                reactions,
            }
        };
        cases.iter().enumerate().map(answer).collect()
    }

    fn residuals<const N: usize>(
        &self,
        balance: &Balance<N>,
        displacements: &[Lanes<N>],
    ) -> [f64; N] {
        let Balance { left, acting, .. } = balance;
        let of_acting: [f64; N] = std::array::from_fn(|case| ratio(left[case], acting[case]));
        if of_acting.iter().all(|residual| *residual <= RESIDUAL_LIMIT) {
            return of_acting;
        }
        let summed = self.summed(displacements);
        std::array::from_fn(|case| match of_acting[case] <= RESIDUAL_LIMIT {
            true => of_acting[case],
            false => ratio(left[case], larger(summed[case], acting[case])),
        })
    }
}

/// The vectors of each case.
fn taken_apart<const N: usize>(
    lanes: impl ExactSizeIterator<Item = Lanes<N>>,
) -> [Vec<Vector6<f64>>; N] {
    let mut apart = [(); N].map(|()| Vec::with_capacity(lanes.len()));
    for lanes in lanes {
        for (case, vectors) in apart.iter_mut().enumerate() {
            vectors.push(lane(&lanes, case));
        }
    }
    apart
}
