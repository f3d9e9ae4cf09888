//! Rods in canals against closed forms and quadratic programs.

use approx::assert_relative_eq;
use clavibeam::anatomy::{Clavicle, PRESET_NAMES, Preset};
use clavibeam::frame::{Frame, Law, LoadCase, Moduli, Profile, Shape, Touch};
use clavibeam::section::Section;
use nalgebra::{Vector3, vector};

use super::contact::settled;
use crate::common::{TITANIUM, section};

/// Stiffness of a wall meant to be rigid, N/mm.
const RIGID: f64 = 1e9;

/// A straight rod along x between `from` and `to` and a canal of `centre(x)` in the x–y plane.
struct RodInCanal {
    frame: Frame,
    /// Where its nodes are, each with a coupling of the same number.
    places: Vec<f64>,
}

impl RodInCanal {
    /// * `tube`: bending stiffness of the canal's own tube, N·mm²; rigid and held if none
    fn new(
        places: Vec<f64>,
        rod: Section,
        moduli: Moduli,
        clearance: impl Fn(f64) -> f64,
        centre: impl Fn(f64) -> f64,
        tube: Option<f64>,
    ) -> Self {
        let mut frame = Frame::default();
        let (mut nodes, mut walls): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
        let plane = [false, false, true, true, true, false];
        for &x in &places {
            let node = frame.add_node(format!("rod {x}"), vector![x, 0.0, 0.0]);
            let wall = frame.add_node(format!("wall {x}"), vector![x, 0.0, 0.0]);
            frame.hold(node, plane);
            if let (Some(&a), Some(&b)) = (nodes.last(), walls.last()) {
                let up = Vector3::z();
                frame.add_member("rod", [a, node], up, moduli, Profile::Prismatic(rod));
                if let Some(stiffness) = tube {
                    let second = stiffness / moduli.youngs;
                    let bent = section(100.0, second, second, second);
                    frame.add_member("tube", [b, wall], up, moduli, Profile::Prismatic(bent));
                }
            }
            match tube {
                Some(_) => frame.hold(wall, plane),
                None => frame.fix(wall),
            }
            let shape = Shape::Ring {
                clearance: clearance(x),
                offset: [-centre(x), 0.0],
            };
            frame.add_coupling(
                format!("canal {x}"),
                [wall, node],
                vector![x, 0.0, 0.0],
                Law::Touch(Touch {
                    shape,
                    stiffness: RIGID,
                    friction: 0.0,
                    shear_stiffness: 0.0,
                }),
            );
            nodes.push(node);
            walls.push(wall);
        }
        frame.spring(nodes[0], [1.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
        if tube.is_some() {
            let (first, last) = (walls[0], walls[walls.len() - 1]);
            frame.hold(first, [true, true, false, false, false, false]);
            frame.hold(last, [false, true, false, false, false, false]);
        }
        RodInCanal { frame, places }
    }

    /// Held across by weak springs at both ends, for one that lies loose.
    fn sprung(mut self, spring: f64) -> Self {
        let nodes: Vec<usize> = self.frame.couplings.iter().map(|c| c.nodes[1]).collect();
        for node in [nodes[0], nodes[nodes.len() - 1]] {
            self.frame.spring(node, [0.0, spring, 0.0, 0.0, 0.0, 0.0]);
        }
        self
    }

    /// Force across at each place, and bending moment at each of them but the last.
    fn put_in(&self) -> (Vec<f64>, Vec<f64>) {
        let case = LoadCase::named("put in");
        let state = settled(&self.frame, &case, 1);
        assert!(state.effort.factorisations <= 60, "{:?}", state.effort);
        let forces = state
            .solution
            .coupling_forces
            .iter()
            .map(|f| f[1])
            .collect();
        let rods = (0..self.frame.members.len()).filter(|&m| self.frame.members[m].name == "rod");
        let moments = rods
            .map(|m| {
                state
                    .solution
                    .section_forces(&self.frame, &case, m, 0.0)
                    .moment_z
            })
            .collect();
        (forces, moments)
    }

    /// Resultant of the forces at places within a stretch.
    fn resultant(&self, forces: &[f64], stretch: [f64; 2]) -> f64 {
        let inside = |x: &f64| (stretch[0]..=stretch[1]).contains(x);
        let forces = self.places.iter().zip(forces).filter(|(x, _)| inside(x));
        forces.map(|(_, force)| force).sum::<f64>().abs()
    }
}

fn places(from: f64, to: f64, count: usize) -> Vec<f64> {
    let place = |i: usize| from + (to - from) * i as f64 / count as f64;
    (0..=count).map(place).collect()
}

/// d = 3, E = 110000, in a rigid arc of R = 200 over 100 mm.
fn in_an_arc(clearance: f64, tube: Option<f64>) -> RodInCanal {
    let rod = Section::circle(3.0, 0.3).without_shear();
    let arc = |x: f64| x * x / 400.0;
    RodInCanal::new(
        places(-50.0, 50.0, 100),
        rod,
        TITANIUM,
        |_| clearance,
        arc,
        tube,
    )
}

fn largest(values: &[f64]) -> f64 {
    values
        .iter()
        .fold(0.0, |most, value| f64::max(most, value.abs()))
}

/// Arc canal of R = 200 over 100 mm, three points of contact: `F = 48 EI/L³ (L²/8R − 2c)`.
///
/// Source: closed form (beam with a centre force between two supports). Tolerance 1e-6: the
/// walls give by a force over 1e9 N/mm, and there is a node at the middle.
#[test]
fn rod_in_an_arc_on_three_points() {
    let (forces, moments) = in_an_arc(1.5, None).put_in();
    assert_relative_eq!(forces[50].abs(), 68.22950195, max_relative = 1e-6);
    assert_relative_eq!(forces[0].abs(), 34.11475097, max_relative = 1e-6);
    assert_relative_eq!(largest(&moments), 1705.73754874, max_relative = 1e-6);
    assert!(
        forces[50] * forces[0] < 0.0,
        "the middle lies on the other wall"
    );
}

/// The same canal, clearance above half the sagitta: nothing bends.
///
/// Source: closed form. The springs that hold the loose rod, 1e-3 N/mm, leave less than 0.01 N.
#[test]
fn rod_in_an_arc_that_is_wide_enough() {
    let (forces, _) = in_an_arc(3.2, None).sprung(1e-3).put_in();
    assert!(largest(&forces) < 0.01, "{}", largest(&forces));
}

/// The same canal, narrow: the rod follows it over a patch, `F = EI/(R l)`, `l = √(12 R c)`, at
/// its edges and at the ends, and `M = EI/R`.
///
/// Source: closed form. Resultant of the edge within 2 % and moment within 0.1 %: the edge
/// lies between nodes 1 mm apart.
#[test]
fn rod_in_an_arc_on_a_patch() {
    for (clearance, edge, force) in [
        (1.0, 1.01020514, 44.63874604),
        (0.5, 15.35898385, 63.12872006),
        (0.2, 28.09109770, 99.81527058),
    ] {
        let canal = in_an_arc(clearance, None);
        let (forces, moments) = canal.put_in();
        let at_edge = canal.resultant(&forces, [edge - 3.5, edge + 3.5]);
        let half = if edge < 3.5 { 2.0 } else { 1.0 };
        assert_relative_eq!(at_edge, half * force, max_relative = 0.02);
        assert_relative_eq!(forces[0].abs(), force, max_relative = 0.02);
        assert_relative_eq!(largest(&moments), 2186.84301121, max_relative = 1e-3);
    }
}

/// The same canal as an elastic tube that was bent before: as in a rigid one with
/// `EI = EI₁ EI₂/(EI₁ + EI₂)`.
///
/// Source: closed form, confirmed by a quadratic program. Tolerance 1e-4 as the table's.
#[test]
fn rod_in_an_elastic_tube() {
    for (tube, force) in [(16_222_399.065, 66.43827397), (1e6, 47.46834030)] {
        let (forces, moments) = in_an_arc(1.5, Some(tube)).put_in();
        assert_relative_eq!(forces[50].abs(), force, max_relative = 1e-4);
        assert_relative_eq!(forces[0].abs(), force / 2.0, max_relative = 1e-4);
        assert_relative_eq!(largest(&moments), force * 25.0, max_relative = 1e-4);
    }
}

/// S canal `A sin(2πx/L)`, A = 3, L = 100: two ends and two points inside.
///
/// Source: free-knot cubic, residual below 1e-12, confirmed by a quadratic program. 1 % with
/// 200 elements: nodes are where the rod touches only by chance.
#[test]
fn rod_in_an_s() {
    let rod = Section::circle(3.0, 0.3).without_shear();
    let s = |x: f64| 3.0 * (std::f64::consts::TAU * x / 100.0).sin();
    for (clearance, end, inside, moment) in [
        (2.0, 5.09623349, 11.83495834, 145.08760520),
        (1.0, 115.02518182, 260.29340130, 3209.74394180),
    ] {
        let canal = RodInCanal::new(
            places(0.0, 100.0, 200),
            rod,
            TITANIUM,
            |_| clearance,
            s,
            None,
        );
        let (forces, moments) = canal.put_in();
        assert_relative_eq!(
            canal.resultant(&forces, [0.0, 5.0]),
            end,
            max_relative = 0.01
        );
        assert_relative_eq!(
            canal.resultant(&forces, [20.0, 40.0]),
            inside,
            max_relative = 0.01
        );
        assert_relative_eq!(
            canal.resultant(&forces, [60.0, 80.0]),
            inside,
            max_relative = 0.01
        );
        assert_relative_eq!(largest(&moments), moment, max_relative = 0.01);
    }
    let loose = RodInCanal::new(places(0.0, 100.0, 200), rod, TITANIUM, |_| 2.2, s, None);
    assert!(largest(&loose.sprung(1e-3).put_in().0) < 0.01);
}

/// Straight nails in the canals of all presets, seen from above: peak surface stress
/// `E d κ/2`, nail from 0.06 to 0.80 of the length, E = 105000.
///
/// Source: quadratic programs with 80, 160 and 240 elements that agree within 1 %, canal
/// interpolated by the same splines. Tolerance 2 %: theirs, and ours with 148 elements.
#[test]
fn nails_in_the_presets_canals() {
    let table = [
        [408.0, 602.0, 829.0, 1089.0, 1382.0],
        [448.0, 667.0, 923.0, 1219.0, 1575.0],
        [393.0, 606.0, 861.0, 1168.0, 1536.0],
        [508.0, 782.0, 1108.0, 1519.0, 2080.0],
    ];
    let nail = Moduli {
        youngs: 105_000.0,
        shear: 39_179.0,
    };
    for (name, row) in PRESET_NAMES.iter().zip(table) {
        let preset = Preset::named(name).expect("a known preset");
        let bone = Clavicle::new(&preset.bone).expect("a canal is left");
        let length = bone.length();
        for (diameter, stress) in [1.5, 2.0, 2.5, 3.0, 3.5].into_iter().zip(row) {
            let rod = Section::circle(diameter, 0.34).without_shear();
            let clearance = |x: f64| {
                let [ap, si] = bone.canal(x / length);
                (ap.min(si) - diameter) / 2.0
            };
            let centre = |x: f64| bone.point(x / length).y;
            let along = places(0.06 * length, 0.80 * length, 148);
            let (_, moments) = RodInCanal::new(along, rod, nail, clearance, centre, None).put_in();
            let found = largest(&moments) * diameter / 2.0 / rod.second_moment_z;
            assert_relative_eq!(found, stress, max_relative = 0.02);
        }
    }
}
