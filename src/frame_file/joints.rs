//! Couplings, supports, and both of them repeated along members.

use nalgebra::Vector3;

use crate::frame::{Coupling, Law, Name, Shape, Support, Touch, contradictory_stops};
use crate::input::entry_path;

use super::build::Builder;
use super::law_tables::BedTable;
use super::member::axes;
use super::tables::CouplingTable;

impl Builder<'_> {
    pub(super) fn couplings(&mut self) {
        let mut earlier: Vec<&str> = Vec::new();
        for (index, table) in self.table.coupling.iter().enumerate() {
            let key = entry_path("coupling", index);
            let is_new = !earlier.contains(&table.name.as_str());
            self.new_name(&key, "coupling", &table.name, is_new);
            earlier.push(&table.name);
            self.coupling_names.insert(table.name.clone(), None);
            let nodes = self.node_pair(&format!("{key}.between"), &table.between);
            let axes = axes(Vector3::from(table.x_axis), Vector3::from(table.up));
            let axis_key = format!("{key}.x_axis");
            self.check.note_default(&axis_key, "[1, 0, 0]");
            self.check.require(
                &axis_key,
                axes.is_some(),
                "must not lie along up (default [0, 0, 1]), nor be zero",
            );
            let law = table.law(self.check, &key);
            if let (Some(nodes), Some(axes), Some(law)) = (nodes, axes, law) {
                let added = self.frame.couplings.len();
                self.coupling_names.insert(table.name.clone(), Some(added));
                self.frame.couplings.push(Coupling {
                    name: Name::from(&table.name),
                    nodes,
                    at: match table.at_mm {
                        Some(at) => Vector3::from(at),
                        None => self.frame.nodes[nodes[1]].position,
                    },
                    axes,
                    law,
                });
            }
        }
        if let Some(found) = contradictory_stops(&self.frame) {
            let [one, other] = found
                .couplings
                .map(|index| &self.frame.couplings[index].name);
            let named = |table: &CouplingTable| table.name == other.to_string();
            let index = self.table.coupling.iter().position(named);
            let index = index.expect("couplings come from their tables");
            let (group, unit) = if found.axis < 3 {
                ("along", "mm")
            } else {
                ("about", "rad")
            };
            let key = format!(
                "{}.{group}.{}",
                entry_path("coupling", index),
                ["x", "y", "z"][found.axis % 3]
            );
            let rule = format!(
                "contradicts a stop of coupling '{one}': between them {} {unit} of room is left",
                (found.room * 1e9).round() / 1e9
            );
            self.check.problem(&key, rule);
        }
    }

    pub(super) fn interlayers(&mut self) {
        let mut earlier: Vec<&str> = Vec::new();
        for (index, table) in self.table.interlayer.iter().enumerate() {
            let key = entry_path("interlayer", index);
            let is_new = !earlier.contains(&table.name.as_str());
            self.new_name(&key, "interlayer", &table.name, is_new);
            earlier.push(&table.name);
            self.check
                .exactly_one(&key, &["stiffness_n_per_mm2", "canal"]);
            let key = format!("{key}.members");
            let [first, second] =
                [0, 1].map(|k| self.member_index(&entry_path(&key, k), &table.members[k]));
            let (Some(first), Some(second)) = (first, second) else {
                continue;
            };
            let [one, other] = [&self.members[first], &self.members[second]];
            let counts = [one.element_count(), other.element_count()];
            if first == second || counts[0] != counts[1] {
                let rule = format!(
                    "must be two different members with equal numbers of elements: \
                     they have {} and {}",
                    counts[0], counts[1]
                );
                self.check.problem(&key, rule);
                continue;
            }
            for (place, (&a, &b)) in one.nodes.iter().zip(&other.nodes).enumerate() {
                if a == b {
                    continue;
                }
                let [from, to] = [a, b].map(|node| self.frame.nodes[node].position);
                let element = place.min(counts[0] - 1);
                let next = &self.frame.members[one.first_element + element];
                let along = self.frame.nodes[next.nodes[1]].position
                    - self.frame.nodes[next.nodes[0]].position;
                let axes = axes(along, next.up).expect("the member's up direction was checked");
                let length = one.tributary(place);
                let law = match &table.canal {
                    Some(canal) => {
                        let offset = axes.tr_mul(&(to - from));
                        canal.law([offset.y, offset.z], length)
                    }
                    None => {
                        let [x, y, z] = table
                            .stiffness_n_per_mm2
                            .unwrap_or_default()
                            .map(|k| k * length);
                        Law::Springs([x, y, z, 0.0, 0.0, 0.0])
                    }
                };
                let name = format!("{}#{place}", table.name);
                let added = self.frame.couplings.len();
                self.coupling_names.insert(name.clone(), Some(added));
                self.frame.couplings.push(Coupling {
                    name: name.into(),
                    nodes: [a, b],
                    at: from + (to - from) * table.at_fraction,
                    axes,
                    law,
                });
            }
        }
    }

    pub(super) fn foundations(&mut self) {
        for (index, table) in self.table.foundation.iter().enumerate() {
            let key = entry_path("foundation", index);
            self.check
                .exactly_one(&key, &["stiffness_n_per_mm2", "face"]);
            let Some(member) = self.member_index(&format!("{key}.member"), &table.member) else {
                continue;
            };
            let path = &self.members[member];
            if let Some(springs) = table.stiffness_n_per_mm2 {
                for (place, &node) in path.nodes.iter().enumerate() {
                    let [x, y, z] = springs.map(|k| k * path.tributary(place));
                    self.frame.spring(node, [x, y, z, 0.0, 0.0, 0.0]);
                }
            }
            if let Some(face) = &table.face {
                self.bed(&key, member, face);
            }
        }
    }

    /// A face along a member: from each of its nodes to one of the ground at the same place.
    fn bed(&mut self, key: &str, member: usize, face: &BedTable) {
        let path = &self.members[member];
        let looks = Vector3::from(face.looks);
        for (place, &node) in path.nodes.iter().enumerate() {
            let element = place.min(path.element_count() - 1);
            let ends = self.frame.members[path.first_element + element].nodes;
            let [from, to] = ends.map(|end| self.frame.nodes[end].position);
            let Some(axes) = axes(looks, to - from) else {
                let key = format!("{key}.face.looks");
                self.check.note_default(&key, "[0, 0, 1]");
                self.check
                    .problem(&key, "must not lie along the member, nor be zero");
                return;
            };
            let length = path.tributary(place);
            let stiffness = face.stiffness_n_per_mm2;
            let touch = Touch {
                shape: Shape::Face { gap: face.gap_mm },
                stiffness: stiffness * length,
                friction: face.friction,
                shear_stiffness: face.shear_stiffness_n_per_mm2.unwrap_or(stiffness) * length,
            };
            let name = format!("{key}#{place}");
            let at = self.frame.nodes[node].position;
            let ground = self.frame.add_node(&name, at);
            self.frame.fix(ground);
            self.frame.couplings.push(Coupling {
                name: name.into(),
                nodes: [ground, node],
                at,
                axes,
                law: Law::Touch(touch),
            });
        }
    }

    pub(super) fn supports(&mut self) {
        for (index, table) in self.table.support.iter().enumerate() {
            let key = entry_path("support", index);
            let [t, r] = [
                table.translation_springs_n_per_mm,
                table.rotation_springs_nmm_per_rad,
            ];
            let springs = [t[0], t[1], t[2], r[0], r[1], r[2]];
            let mut fixed = [false; 6];
            for &freedom in &table.fixed {
                fixed[freedom as usize] = true;
            }
            self.check.require(
                &key,
                fixed.contains(&true) || springs.iter().any(|&spring| spring > 0.0),
                "must have fixed freedoms or springs",
            );
            if let Some(node) = self.node(&format!("{key}.node"), &table.node) {
                self.frame.supports.push(Support {
                    node,
                    fixed,
                    springs,
                });
            }
        }
    }
}
