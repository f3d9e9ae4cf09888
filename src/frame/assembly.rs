//! The stiffness matrix of the equations: gathered link by link, and factored.

use nalgebra::Matrix6;

use super::Support;
use super::element::Link;
use super::envelope::{Envelope, Factor, Pivots};
use super::equations::Equations;
use super::error::SolveError;
use super::mechanism::{hides_mechanism, name_mechanism};

/// A pivot smaller than this share of its diagonal entry means that nothing resists some
/// motion; very slender sound frames leave at least 2e-8 (measured on random frames). A
/// mechanism may leave more: see [`hides_mechanism`].
pub(crate) const PIVOT_LIMIT: f64 = 1e-11;

impl Equations<'_> {
    /// Factors the stiffness matrix, or names what nothing resists.
    pub fn sound_factor(&self) -> Result<(Factor, Pivots), SolveError> {
        let unheld = self.unheld(Envelope::default());
        self.sound_factor_of(&unheld, Envelope::default())
    }

    /// The same of what [`Equations::unheld`] has gathered, in the storage of another matrix.
    pub fn sound_factor_of(
        &self,
        unheld: &Envelope,
        storage: Envelope,
    ) -> Result<(Factor, Pivots), SolveError> {
        let mut envelope = unheld.copied_into(storage);
        self.add_supports(&mut envelope, own_springs);
        self.decouple(&mut envelope);
        let (factor, pivots) = envelope.factor();
        if pivots.smallest_ratio < PIVOT_LIMIT || hides_mechanism(self, &factor, &pivots) {
            return Err(name_mechanism(self, &pivots));
        }
        Ok((factor, pivots))
    }

    /// The stiffness matrix of the links alone, however the frame is held.
    pub fn unheld(&self, storage: Envelope) -> Envelope {
        let mut envelope = self.pattern(storage);
        let all = 0..self.links.len();
        self.add_links(&mut envelope, all, |index| self.links[index].blocks());
        envelope
    }

    /// The stiffness matrix, with held degrees of freedom decoupled.
    pub fn envelope(&self) -> Envelope {
        self.gather(|index| self.links[index].blocks(), own_springs)
    }

    /// A matrix with the pattern of the stiffness matrix, held degrees of freedom decoupled.
    ///
    /// * `blocks`: `ii`, `ij`, `jj` of each link
    /// * `springs`: what a support adds to its node
    pub fn gather(
        &self,
        blocks: impl Fn(usize) -> [Matrix6<f64>; 3],
        springs: impl Fn(&Support) -> Matrix6<f64>,
    ) -> Envelope {
        let mut envelope = self.pattern(Envelope::default());
        self.add_links(&mut envelope, 0..self.links.len(), blocks);
        self.add_supports(&mut envelope, springs);
        self.decouple(&mut envelope);
        envelope
    }

    /// What the stiffness matrix has of all links but some, and of supports; not decoupled yet.
    pub fn without(&self, left_out: impl Fn(usize) -> bool) -> Envelope {
        let mut envelope = self.pattern(Envelope::default());
        let others = (0..self.links.len()).filter(|index| !left_out(*index));
        self.add_links(&mut envelope, others, |index| self.links[index].blocks());
        self.add_supports(&mut envelope, own_springs);
        envelope
    }

    /// The stiffness matrix, from what it has [without](Self::without) some links and those.
    pub fn completed(&self, mut without: Envelope, links: impl Iterator<Item = usize>) -> Envelope {
        self.add_links(&mut without, links, |index| self.links[index].blocks());
        self.decouple(&mut without);
        without
    }

    /// A zero matrix in which every link has its place.
    fn pattern(&self, storage: Envelope) -> Envelope {
        let mut first: Vec<usize> = (0..self.numbering.order.len()).collect();
        for link in &self.links {
            if !self.is_grounded(link) {
                let [a, b] = link.nodes.map(|node| self.numbering.position[node]);
                let row = a.max(b);
                first[row] = first[row].min(a.min(b));
            }
        }
        storage.zeroed(first)
    }

    fn add_links(
        &self,
        envelope: &mut Envelope,
        links: impl Iterator<Item = usize>,
        blocks: impl Fn(usize) -> [Matrix6<f64>; 3],
    ) {
        for index in links {
            let link = &self.links[index];
            let [ii, ij, jj] = blocks(index);
            let [i, j] = link.nodes.map(|node| self.numbering.position[node]);
            *envelope.block_mut(i, i) += ii;
            *envelope.block_mut(j, j) += jj;
            if self.is_grounded(link) {
                continue;
            }
            if i == j {
                *envelope.block_mut(i, i) += ij + ij.transpose();
            } else if i > j {
                *envelope.block_mut(i, j) += ij;
            } else {
                *envelope.block_mut(j, i) += ij.transpose();
            }
        }
    }

    fn add_supports(&self, envelope: &mut Envelope, springs: impl Fn(&Support) -> Matrix6<f64>) {
        for support in self.supports {
            let row = self.numbering.position[support.node];
            *envelope.block_mut(row, row) += springs(support);
        }
    }

    /// Leaves held degrees of freedom nothing but a one on the diagonal.
    fn decouple(&self, envelope: &mut Envelope) {
        let last = envelope.last();
        for (node, held) in self.held.iter().enumerate() {
            let own = self.numbering.position[node];
            for freedom in (0..6).filter(|&freedom| held[freedom]) {
                for column in envelope.first(own)..=own {
                    envelope.block_mut(own, column).row_mut(freedom).fill(0.0);
                }
                for row in own..=last[own] {
                    if envelope.first(row) <= own {
                        let block = envelope.block_mut(row, own);
                        block.column_mut(freedom).fill(0.0);
                    }
                }
                envelope.block_mut(own, own)[(freedom, freedom)] = 1.0;
            }
        }
    }

    /// Whether an end of a link has no equations that the other could meet.
    fn is_grounded(&self, link: &Link) -> bool {
        link.nodes.iter().any(|&node| self.grounded[node])
    }
}

/// The springs of a support.
fn own_springs(support: &Support) -> Matrix6<f64> {
    Matrix6::from_diagonal(&support.springs.into())
}
