//! Members as the file names them: a path from node to node, divided into elements.

use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

use crate::frame::{Frame, Member, Moduli, Profile, lobatto};
use crate::section::Section;

use super::shape::Shape;
use super::tables::{MemberTable, Theory};

/// Sections taken along a tapered element. The flexibility of a solid taper of 3 : 2 is
/// then integrated to 1e-14.
const TAPER_POINTS: usize = 9;

/// What a member is made of. Stresses in MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Elastic {
    pub moduli: Moduli,
    /// For shear coefficients.
    pub poisson_ratio: f64,
    pub proof_stress: Option<f64>,
    pub thermal_expansion: Option<f64>,
}

/// A member that the file names: a run of the frame's members ("elements") from node to node.
#[derive(Debug, Clone, PartialEq)]
pub struct MemberPath {
    /// Name in the file.
    pub name: String,
    /// Index of its first element among the frame's members; the others follow.
    pub first_element: usize,
    /// Its nodes from first end to second, one more than its elements.
    pub nodes: Vec<usize>,
    /// Distance of the ends of its elements along it, mm; one more than its elements.
    pub stations: Vec<f64>,
    /// Up direction of each element, the section's turn included.
    pub(super) ups: Vec<Vector3<f64>>,
    pub(super) elastic: Elastic,
    pub(super) shape: Shape,
    pub(super) shape_end: Option<Shape>,
}

impl MemberPath {
    /// How many elements it has.
    pub fn element_count(&self) -> usize {
        self.stations.len() - 1
    }

    /// Length along the member, mm.
    pub fn length(&self) -> f64 {
        self.stations[self.element_count()]
    }

    /// The element that holds the place at a distance along the member, and the distance
    /// from that element's first end, mm. A place between two elements is on the first.
    pub fn locate(&self, at: f64) -> (usize, f64) {
        let joints = &self.stations[1..self.element_count()];
        let element = joints.partition_point(|&joint| joint < at);
        let span = self.stations[element + 1] - self.stations[element];
        (element, (at - self.stations[element]).clamp(0.0, span))
    }

    /// Length that the node at one place of the path stands for, mm.
    pub(super) fn tributary(&self, place: usize) -> f64 {
        let last = self.element_count();
        let (before, after) = (place.saturating_sub(1), (place + 1).min(last));
        (self.stations[after] - self.stations[before]) / 2.0
    }

    /// Section at a distance from the first end of an element, for stresses.
    pub(super) fn section_at(&self, frame: &Frame, element: usize, at: f64) -> Section {
        let fraction = (self.stations[element] + at) / self.length();
        match self.tapered(fraction) {
            Some(shape) => shape.section(self.elastic.poisson_ratio),
            None => {
                let span = self.stations[element + 1] - self.stations[element];
                frame.members[self.first_element + element]
                    .profile
                    .section_at(at / span)
            }
        }
    }

    fn tapered(&self, fraction: f64) -> Option<Shape> {
        let end = self.shape_end.as_ref()?;
        self.shape.towards(end, fraction)
    }

    /// The frame's members that make up this one.
    pub(super) fn elements(&self, table: &MemberTable) -> Vec<Member> {
        let of_theory = |section: Section| match table.theory {
            Theory::Timoshenko => section,
            Theory::EulerBernoulli => section.without_shear(),
        };
        let nu = self.elastic.poisson_ratio;
        let prismatic = of_theory(self.shape.section(nu));
        let profile = |element: usize| match self.shape_end {
            None => Profile::Prismatic(prismatic),
            Some(_) => {
                let [from, to] = [self.stations[element], self.stations[element + 1]];
                let sections = lobatto(TAPER_POINTS).iter().map(|(x, _)| {
                    let fraction = (from + (to - from) * x) / self.length();
                    let shape = self.tapered(fraction).unwrap_or(self.shape);
                    of_theory(shape.section(nu))
                });
                Profile::Varying(sections.collect())
            }
        };
        let last = self.element_count() - 1;
        let arm = |is_end: bool, arm: [f64; 3]| match is_end {
            true => Vector3::from(arm),
            false => Vector3::zeros(),
        };
        (0..=last)
            .map(|element| Member {
                name: element_name(&self.name, element, last + 1).into(),
                nodes: [self.nodes[element], self.nodes[element + 1]],
                arms: [
                    arm(element == 0, table.start_arm_mm),
                    arm(element == last, table.end_arm_mm),
                ],
                up: self.ups[element],
                moduli: self.elastic.moduli,
                profile: profile(element),
            })
            .collect()
    }
}

fn element_name(member: &str, element: usize, count: usize) -> String {
    match count {
        1 => member.to_owned(),
        _ => format!("{member}, element {}", element + 1),
    }
}

impl MemberTable {
    /// The ends of the elements on the way from `start` to `end`, or the key and the rule
    /// that is broken.
    pub(super) fn points(
        &self,
        start: Vector3<f64>,
        end: Vector3<f64>,
    ) -> Result<Vec<Vector3<f64>>, (&'static str, String)> {
        let points = match self.arc_centre_mm {
            Some(centre) => self.arc_points(start, end, Vector3::from(centre))?,
            None => {
                let mut corners = vec![start];
                corners.extend(self.via_mm.iter().map(|&point| Vector3::from(point)));
                corners.push(end);
                let mut points = vec![start];
                for stretch in corners.windows(2) {
                    let step = (stretch[1] - stretch[0]) / self.elements as f64;
                    points.extend((1..=self.elements).map(|i| stretch[0] + step * i as f64));
                }
                points
            }
        };
        let size = 1.0 + start.norm().max(end.norm());
        match points
            .windows(2)
            .any(|pair| (pair[1] - pair[0]).norm() <= 1e-9 * size)
        {
            true if self.via_mm.is_empty() => Err(("between", "must not be at one place".into())),
            true => Err(("via_mm", "must not have two points at one place".into())),
            false => Ok(points),
        }
    }

    /// Points on the shorter arc about `centre`, at equal angles.
    fn arc_points(
        &self,
        start: Vector3<f64>,
        end: Vector3<f64>,
        centre: Vector3<f64>,
    ) -> Result<Vec<Vector3<f64>>, (&'static str, String)> {
        let rule = |text: String| Err(("arc_centre_mm", text));
        if !self.via_mm.is_empty() {
            return rule("must not stand beside via_mm".into());
        }
        let [from, to] = [start - centre, end - centre];
        let (r, other) = (from.norm(), to.norm());
        if (r - other).abs() > 1e-6 * r.max(other) {
            return rule(format!(
                "must be equally far from both ends: it is {r:.6} and {other:.6} mm away"
            ));
        }
        let angle = from.angle(&to);
        if !(1e-6..=std::f64::consts::PI - 1e-6).contains(&angle) {
            return rule("must not lie on the line through both ends".into());
        }
        let share = |part: f64| (part * angle).sin() / angle.sin();
        let point = |i: usize| {
            let t = i as f64 / self.elements as f64;
            centre + from * share(1.0 - t) + to * share(t)
        };
        Ok((0..=self.elements).map(point).collect())
    }

    /// Up direction of every element with the section's turn, or the rule that is broken.
    pub(super) fn ups(
        &self,
        points: &[Vector3<f64>],
        stations: &[f64],
    ) -> Result<Vec<Vector3<f64>>, &'static str> {
        let up = Vector3::from(self.up);
        let last = points.len() - 1;
        (0..last)
            .map(|element| {
                let span = points[element + 1] - points[element];
                let axes = axes(span, up).ok_or("must not lie along the member, nor be zero")?;
                let middle = (stations[element] + stations[element + 1]) / 2.0;
                let share = middle / stations[last];
                let turn = (self.roll_deg + self.twist_deg * share).to_radians();
                let along = Unit::new_normalize(span);
                Ok(Rotation3::from_axis_angle(&along, turn) * axes.column(2))
            })
            .collect()
    }
}

/// Local axes as columns: `x` along `along`, `z` the part of `up` across it; none if `up`
/// lies along `along` or either is zero.
pub(super) fn axes(along: Vector3<f64>, up: Vector3<f64>) -> Option<Matrix3<f64>> {
    let x = along.try_normalize(0.0)?;
    let z = (up - x * up.dot(&x)).try_normalize(1e-6 * up.norm())?;
    Some(Matrix3::from_columns(&[x, z.cross(&x), z]))
}
