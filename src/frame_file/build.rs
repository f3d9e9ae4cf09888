//! From the tables of a file to a frame: looks names up and checks what the schema cannot.

use std::collections::BTreeMap;

use nalgebra::Vector3;

use crate::frame::{Frame, LoadCase, Moduli};
use crate::input::{Checker, Document, InputError, entry_path, key_path, nearest};

use super::FrameFile;
use super::analysis::Analysis;
use super::course::Course;
use super::member::{Elastic, MemberPath};
use super::shape::Shape;
use super::tables::{FrameTable, MaterialTable, MemberTable};

/// Poisson's ratio for the shear coefficient of a material without one.
/// Assumption: that of most metals; the coefficient hardly depends on it.
const DEFAULT_POISSON_RATIO: f64 = 0.3;

/// Names that a message lists.
const MOST_NAMES: usize = 12;

/// Turns a file that satisfies its schema into a frame.
pub(super) fn build(document: Document<FrameTable>) -> Result<FrameFile, InputError> {
    let Document { table, mut check } = document;
    let mut builder = Builder::new(&table, &mut check);
    builder.nodes();
    builder.members();
    builder.couplings();
    let named_couplings = builder.frame.couplings.len();
    builder.interlayers();
    builder.foundations();
    builder.supports();
    builder.unjoined_nodes();
    builder.load_cases();
    let expectations = builder.expectations();
    let Builder {
        frame,
        members,
        load_cases,
        courses,
        ..
    } = builder;
    check.finish(FrameFile {
        title: table.title,
        frame,
        named_nodes: table.node.len(),
        named_couplings,
        members,
        load_cases,
        courses,
        analysis: Analysis::from(&table.analysis),
        expectations,
    })
}

/// The frame so far, and the names given in it. A part that breaks a rule keeps its name, so
/// that what refers to it is not reported as well.
pub(super) struct Builder<'a> {
    pub table: &'a FrameTable,
    pub check: &'a mut Checker,
    pub frame: Frame,
    pub members: Vec<MemberPath>,
    pub load_cases: Vec<LoadCase>,
    pub courses: Vec<Course>,
    node_names: BTreeMap<String, usize>,
    /// `None` for a member that breaks a rule.
    member_names: BTreeMap<String, Option<usize>>,
    /// `None` for a coupling that breaks a rule.
    pub coupling_names: BTreeMap<String, Option<usize>>,
    materials: BTreeMap<String, Option<Elastic>>,
    shapes: BTreeMap<String, Option<Shape>>,
}

impl<'a> Builder<'a> {
    fn new(table: &'a FrameTable, check: &'a mut Checker) -> Self {
        let materials = table.material.iter().map(|(name, material)| {
            let key = key_path("material", name);
            (name.clone(), material.elastic(check, &key))
        });
        let materials = materials.collect();
        let shapes = table.section.iter().map(|(name, section)| {
            let key = key_path("section", name);
            (name.clone(), section.shape(check, &key))
        });
        let shapes = shapes.collect();
        Builder {
            table,
            check,
            frame: Frame::default(),
            members: Vec::new(),
            load_cases: Vec::new(),
            courses: Vec::new(),
            node_names: BTreeMap::new(),
            member_names: BTreeMap::new(),
            coupling_names: BTreeMap::new(),
            materials,
            shapes,
        }
    }

    fn nodes(&mut self) {
        for (index, node) in self.table.node.iter().enumerate() {
            let is_new = !self.node_names.contains_key(&node.name);
            self.new_name(&entry_path("node", index), "node", &node.name, is_new);
            let added = self.frame.add_node(&node.name, Vector3::from(node.at_mm));
            self.node_names.insert(node.name.clone(), added);
        }
    }

    fn members(&mut self) {
        for (index, member) in self.table.member.iter().enumerate() {
            let key = entry_path("member", index);
            let is_new = !self.member_names.contains_key(&member.name);
            self.new_name(&key, "member", &member.name, is_new);
            let built = self.member(member, &key);
            self.member_names.insert(member.name.clone(), built);
        }
    }

    /// Requires that a part has a name of its own.
    pub(super) fn new_name(&mut self, key: &str, kind: &str, name: &str, is_new: bool) {
        let key = format!("{key}.name");
        self.check.require(
            &key,
            !name.contains('#'),
            "must not contain #, which marks what lies inside a member",
        );
        self.check
            .require(&key, is_new, format!("is the name of an earlier {kind}"));
    }

    /// Adds a member with its nodes; none if it breaks a rule.
    fn member(&mut self, table: &MemberTable, key: &str) -> Option<usize> {
        let in_key = |name: &str| format!("{key}.{name}");
        let ends = self.node_pair(&in_key("between"), &table.between);
        let elastic = {
            let found = look_up(
                self.check,
                &in_key("material"),
                "a material",
                &table.material,
                &self.materials,
            );
            found.copied().flatten()
        };
        let shape = self.shape(&in_key("section"), &table.section);
        let shape_end = match &table.section_end {
            None => None,
            Some(name) => Some(self.shape(&in_key("section_end"), name)?),
        };
        let (ends, elastic, shape) = (ends?, elastic?, shape?);
        if let Some(end) = &shape_end
            && shape.towards(end, 0.5).is_none()
        {
            self.check.problem(
                &in_key("section_end"),
                "must be of the same shape as section, neither polygon nor properties",
            );
            return None;
        }

        let arms = [table.start_arm_mm, table.end_arm_mm];
        let [start, end] =
            [0, 1].map(|k| self.frame.nodes[ends[k]].position + Vector3::from(arms[k]));
        let points = match table.points(start, end) {
            Ok(points) => points,
            Err((name, rule)) => {
                self.check.problem(&in_key(name), rule);
                return None;
            }
        };
        let mut stations = vec![0.0];
        for pair in points.windows(2) {
            let at = stations[stations.len() - 1];
            stations.push(at + (pair[1] - pair[0]).norm());
        }
        let ups = match table.ups(&points, &stations) {
            Ok(ups) => ups,
            Err(rule) => {
                let up_key = in_key("up");
                self.check.note_default(&up_key, "[0, 0, 1]");
                self.check.problem(&up_key, rule);
                return None;
            }
        };

        let mut nodes = vec![ends[0]];
        for (place, point) in points.iter().enumerate().take(points.len() - 1).skip(1) {
            let name = format!("{}#{place}", table.name);
            let node = self.frame.add_node(&name, *point);
            self.node_names.insert(name, node);
            nodes.push(node);
        }
        nodes.push(ends[1]);
        let path = MemberPath {
            name: table.name.clone(),
            first_element: self.frame.members.len(),
            nodes,
            stations,
            ups,
            elastic,
            shape,
            shape_end,
        };
        self.frame.members.extend(path.elements(table));
        self.members.push(path);
        Some(self.members.len() - 1)
    }

    fn shape(&mut self, key: &str, name: &str) -> Option<Shape> {
        *look_up(self.check, key, "a section", name, &self.shapes)?
    }

    /// The node with a name, or none (and a problem).
    pub(super) fn node(&mut self, key: &str, name: &str) -> Option<usize> {
        let member = name.split('#').next().unwrap_or(name);
        if name.contains('#') && self.member_names.get(member) == Some(&None) {
            return None;
        }
        look_up(self.check, key, "a node", name, &self.node_names).copied()
    }

    /// Two different nodes.
    pub(super) fn node_pair(&mut self, key: &str, names: &[String; 2]) -> Option<[usize; 2]> {
        let [first, second] = [0, 1].map(|k| self.node(&entry_path(key, k), &names[k]));
        let pair = [first?, second?];
        self.check
            .require(key, pair[0] != pair[1], "must be two different nodes");
        (pair[0] != pair[1]).then_some(pair)
    }

    /// The index of the member with a name, or none.
    pub(super) fn member_index(&mut self, key: &str, name: &str) -> Option<usize> {
        *look_up(self.check, key, "a member", name, &self.member_names)?
    }

    /// The index of the coupling with a name, or none.
    pub(super) fn coupling_index(&mut self, key: &str, name: &str) -> Option<usize> {
        *look_up(self.check, key, "a coupling", name, &self.coupling_names)?
    }

    /// The index of the load case with a name, or none.
    pub(super) fn load_case_index(&mut self, key: &str, name: &str) -> Option<usize> {
        let cases = self.load_cases.iter().enumerate();
        let names: BTreeMap<String, usize> = cases
            .map(|(index, case)| (case.name.clone(), index))
            .collect();
        look_up(self.check, key, "a load case", name, &names).copied()
    }

    fn unjoined_nodes(&mut self) {
        if self.member_names.values().any(Option::is_none) {
            return;
        }
        let mut joined = vec![false; self.frame.nodes.len()];
        let members = self.frame.members.iter().map(|member| member.nodes);
        let couplings = self.frame.couplings.iter().map(|coupling| coupling.nodes);
        for node in members.chain(couplings).flatten() {
            joined[node] = true;
        }
        for (index, is_joined) in joined[..self.table.node.len()].iter().enumerate() {
            self.check.require(
                &format!("{}.name", entry_path("node", index)),
                *is_joined,
                "must be joined by a member or a coupling",
            );
        }
    }
}

/// What a name stands for, or none and a problem that suggests the nearest name.
pub(super) fn look_up<'n, T>(
    check: &mut Checker,
    key: &str,
    kind: &str,
    name: &str,
    names: &'n BTreeMap<String, T>,
) -> Option<&'n T> {
    let found = names.get(name);
    if found.is_none() {
        let known: Vec<&str> = names.keys().map(String::as_str).collect();
        let help = match nearest(name, &known) {
            Some(nearest) => format!(": did you mean \"{nearest}\"?"),
            None if known.is_empty() => " (there is none)".to_owned(),
            None if known.len() > MOST_NAMES => {
                format!(" (known: {}, …)", known[..MOST_NAMES].join(", "))
            }
            None => format!(" (known: {})", known.join(", ")),
        };
        check.problem(key, format!("must be the name of {kind}{help}"));
    }
    found
}

impl MaterialTable {
    fn elastic(&self, check: &mut Checker, key: &str) -> Option<Elastic> {
        let youngs = 1000.0 * self.youngs_modulus_gpa;
        let shear = match (self.shear_modulus_gpa, self.poisson_ratio) {
            (Some(shear), _) => 1000.0 * shear,
            (None, Some(nu)) => youngs / (2.0 * (1.0 + nu)),
            (None, None) => {
                check.problem(key, "must have poisson_ratio, shear_modulus_gpa or both");
                return None;
            }
        };
        Some(Elastic {
            moduli: Moduli { youngs, shear },
            poisson_ratio: self.poisson_ratio.unwrap_or(DEFAULT_POISSON_RATIO),
            proof_stress: self.proof_stress_mpa,
            thermal_expansion: self.thermal_expansion_per_k,
        })
    }
}
