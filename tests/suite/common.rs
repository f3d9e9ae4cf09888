//! What the checks share: small frames to build on, and seeded random ones.

use std::f64::consts::PI;

use clavibeam::assess::{Assessment, add_scatter, assess};
use clavibeam::case::{self, Case};
use clavibeam::construct::Mechanics;
use clavibeam::device::{Device, Nail, NailShape};
use clavibeam::frame::{
    CaseSolution, Frame, Law, LoadAxes, LoadCase, MemberAction, Moduli, Profile, lobatto, solve,
};
use clavibeam::material::Material;
use clavibeam::section::{Outline, Section};
use nalgebra::{Matrix3, Matrix6, Rotation3, Vector3, Vector6, vector};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

/// E = 110000 MPa, ν = 0.3.
pub const TITANIUM: Moduli = Moduli {
    youngs: 110_000.0,
    shear: 110_000.0 / 2.6,
};

/// E = 17000 MPa, ν = 0.3.
pub const BONE: Moduli = Moduli {
    youngs: 17_000.0,
    shear: 17_000.0 / 2.6,
};

/// A section without shear deformation from its area, second moments and torsion constant.
pub fn section(area: f64, iy: f64, iz: f64, j: f64) -> Section {
    Section {
        area,
        second_moment_y: iy,
        second_moment_z: iz,
        product_moment: 0.0,
        torsion_constant: j,
        shear_area_y: f64::INFINITY,
        shear_area_z: f64::INFINITY,
        torsion_shear: 0.0,
        outline: Outline::Unknown,
    }
}

/// Round tube, without shear deformation.
pub fn tube(outer: f64, inner: f64) -> Section {
    let area = PI / 4.0 * (outer * outer - inner * inner);
    let second_moment = PI / 64.0 * (outer.powi(4) - inner.powi(4));
    section(area, second_moment, second_moment, 2.0 * second_moment)
}

/// Adds a member for each pair of neighbours in `nodes`, `up` = z, and returns the members.
pub fn join(frame: &mut Frame, nodes: &[usize], moduli: Moduli, section: Section) -> Vec<usize> {
    let prismatic = Profile::Prismatic(section);
    nodes
        .windows(2)
        .map(|pair| {
            frame.add_member(
                "m",
                [pair[0], pair[1]],
                Vector3::z(),
                moduli,
                prismatic.clone(),
            )
        })
        .collect()
}

/// Nodes along x at the given places.
pub fn stations(frame: &mut Frame, places: impl IntoIterator<Item = f64>) -> Vec<usize> {
    places
        .into_iter()
        .map(|x| frame.add_node(format!("x = {x}"), vector![x, 0.0, 0.0]))
        .collect()
}

/// `count` equal elements along x from 0 to `length`: the frame, not yet supported, and its nodes.
pub fn straight(
    length: f64,
    count: usize,
    moduli: Moduli,
    section: Section,
) -> (Frame, Vec<usize>) {
    let mut frame = Frame::default();
    let spacing = length / count as f64;
    let nodes = stations(&mut frame, (0..=count).map(|i| i as f64 * spacing));
    join(&mut frame, &nodes, moduli, section);
    (frame, nodes)
}

/// Solves one load case of a frame that holds it.
pub fn solved(frame: &Frame, case: &LoadCase) -> CaseSolution {
    let mut solution = solve(frame, std::slice::from_ref(case))
        .unwrap_or_else(|error| panic!("load case '{}': {error}", case.name));
    solution.cases.remove(0)
}

/// Asserts that the error falls as the power `order` of the spacing: `errors` at spacings
/// halved from one to the next.
pub fn assert_order(errors: &[f64], order: f64, slack: f64) {
    for pair in errors.windows(2) {
        let observed = (pair[0] / pair[1]).log2();
        assert!(
            (observed - order).abs() < slack,
            "observed order {observed:.3}, not {order}; errors {errors:?}"
        );
    }
}

/// A random frame and what loads it.
pub struct Sample {
    pub frame: Frame,
    pub case: LoadCase,
    rng: StdRng,
}

/// What a random load case may hold.
#[derive(Clone, Copy, PartialEq)]
pub enum Loads {
    /// Forces and moments on nodes and along members.
    Forces,
    /// Those, movements of held nodes and stress-free strains.
    All,
}

impl Sample {
    /// A skew chain of the given number of nodes, held at its first.
    pub fn chain(seed: u64, count: usize) -> Self {
        let mut sample = Sample {
            frame: Frame::default(),
            case: LoadCase::named(format!("seed {seed}")),
            rng: StdRng::seed_from_u64(seed),
        };
        let mut last = sample.node(Vector3::zeros());
        sample.frame.fix(last);
        for _ in 1..count {
            last = sample.branch(last);
        }
        sample
    }

    /// A skew frame: a chain, branches that may close loops, arms, product moments, sections
    /// that vary, couplings, and grounds (nodes held altogether), a node on springs. Odd
    /// seeds also hold single freedoms of that node. The same seed gives the same frame.
    pub fn frame(seed: u64) -> Self {
        let chain = 3 + (seed % 4) as usize;
        let mut sample = Sample::chain(seed, chain);
        let last = chain - 1;
        for _ in 0..sample.rng.random_range(1..4) {
            let from = sample.rng.random_range(1..chain);
            let to = sample.branch(from);
            match sample.rng.random_range(0..4) {
                0 => sample.frame.fix(to),
                1 => sample.couple(to, last),
                2 => sample.member([to, last]),
                _ => {}
            }
        }
        let (k, c) = (sample.rng.random_range(1.0..100.0), 1e4);
        sample.frame.spring(last, [k, k, k, c, c, c]);
        if seed % 2 == 1 {
            let fixed = [(); 6].map(|()| sample.rng.random_bool(0.3));
            sample.frame.hold(last, fixed);
        }
        sample
    }

    /// A frame with loads.
    pub fn loaded(seed: u64, loads: Loads) -> Self {
        let mut sample = Sample::frame(seed);
        sample.case = sample.load_case(loads);
        sample
    }

    /// Another load case for the frame.
    pub fn load_case(&mut self, loads: Loads) -> LoadCase {
        let mut case = LoadCase::named(self.case.name.clone());
        for k in 0..self.rng.random_range(1..4) {
            // Node 1 is free to move, so that every case moves something.
            let node = match k {
                0 => 1,
                _ => self.rng.random_range(0..self.frame.nodes.len()),
            };
            case = case.with_load(node, self.vector(100.0), self.vector(2000.0));
        }
        for _ in 0..self.rng.random_range(0..4) {
            let member = self.rng.random_range(0..self.frame.members.len());
            let action = self.action(member, loads);
            case = case.with_action(member, action);
        }
        if loads == Loads::All {
            for freedom in 0..6 {
                let size = if freedom < 3 { 1.0 } else { 0.02 };
                case = case.with_movement(0, freedom, self.rng.random_range(-size..size));
            }
        }
        case
    }

    fn action(&mut self, member: usize, loads: Loads) -> MemberAction {
        let length = length(&self.frame, member);
        let axes = match self.rng.random_bool(0.5) {
            true => LoadAxes::Global,
            false => LoadAxes::Local,
        };
        match self
            .rng
            .random_range(0..if loads == Loads::All { 3 } else { 2 })
        {
            0 => MemberAction::Point {
                at: length * self.rng.random_range(0.0..1.0),
                force: self.vector(100.0),
                moment: self.vector(1000.0),
                axes,
            },
            1 => MemberAction::Line {
                stretch: [
                    length * self.rng.random_range(0.0..0.4),
                    length * self.rng.random_range(0.5..1.0),
                ],
                force: [self.vector(3.0), self.vector(3.0)],
                axes,
            },
            _ => MemberAction::StressFree {
                strain: self.rng.random_range(-1e-3..1e-3),
                curvature_y: self.rng.random_range(-1e-3..1e-3),
                curvature_z: self.rng.random_range(-1e-3..1e-3),
            },
        }
    }

    pub fn vector(&mut self, size: f64) -> Vector3<f64> {
        Vector3::from_fn(|_, _| self.rng.random_range(-size..size))
    }

    pub fn rotation(&mut self) -> Matrix3<f64> {
        *Rotation3::new(self.vector(3.0)).matrix()
    }

    fn node(&mut self, position: Vector3<f64>) -> usize {
        let name = self.frame.nodes.len().to_string();
        self.frame.add_node(name, position)
    }

    /// A new node joined to an old one by a member.
    fn branch(&mut self, from: usize) -> usize {
        let step = self.vector(1.0).normalize() * self.rng.random_range(15.0..40.0);
        let to = self.node(self.frame.nodes[from].position + step);
        self.member([from, to]);
        to
    }

    pub fn member(&mut self, nodes: [usize; 2]) {
        let along = self.frame.nodes[nodes[1]].position - self.frame.nodes[nodes[0]].position;
        // Well off the member's own direction.
        let up = self.vector(1.0).cross(&along);
        let profile = match self.rng.random_bool(0.3) {
            true => {
                let (first, last) = (self.section(), self.rng.random_range(0.7..1.0));
                let run = |&(x, _): &(f64, f64)| scaled(first, 1.0 + x * (last - 1.0));
                Profile::Varying(lobatto(9).iter().map(run).collect())
            }
            false => Profile::Prismatic(self.section()),
        };
        let member = self.frame.add_member("m", nodes, up, TITANIUM, profile);
        if self.rng.random_bool(0.4) {
            self.frame.members[member].arms = [self.vector(3.0), self.vector(3.0)];
        }
    }

    fn section(&mut self) -> Section {
        let mut between = |low: f64, high: f64| self.rng.random_range(low..high);
        let (iy, iz) = (between(20.0, 200.0), between(20.0, 200.0));
        Section {
            product_moment: between(-0.5, 0.5) * f64::sqrt(iy * iz),
            shear_area_y: between(5.0, 30.0),
            shear_area_z: between(5.0, 30.0),
            ..section(between(10.0, 40.0), iy, iz, between(20.0, 300.0))
        }
    }

    /// A coupling between two nodes, acting off both: springs or a full law.
    pub fn couple(&mut self, a: usize, b: usize) {
        let middle = (self.frame.nodes[a].position + self.frame.nodes[b].position) / 2.0;
        let at = middle + self.vector(5.0);
        let law = match self.rng.random_bool(0.5) {
            true => Law::Springs([900.0, 400.0, 1500.0, 2e4, 5e4, 9e4]),
            false => {
                let half = Matrix6::from_fn(|i, k| {
                    let size = if i < 3 { 20.0 } else { 200.0 };
                    size * self.rng.random_range(-1.0..1.0) + f64::from(u8::from(i == k)) * size
                });
                Law::Stiffness(Box::new(half * half.transpose()))
            }
        };
        let coupling = self.frame.add_coupling("c", [a, b], at, law);
        self.frame.couplings[coupling].axes = self.rotation();
    }
}

/// The section of the same shape with all lengths times `factor`.
fn scaled(section: Section, factor: f64) -> Section {
    let (square, fourth) = (factor.powi(2), factor.powi(4));
    Section {
        area: section.area * square,
        second_moment_y: section.second_moment_y * fourth,
        second_moment_z: section.second_moment_z * fourth,
        product_moment: section.product_moment * fourth,
        torsion_constant: section.torsion_constant * fourth,
        shear_area_y: section.shear_area_y * square,
        shear_area_z: section.shear_area_z * square,
        ..section
    }
}

pub fn stack(upper: Vector3<f64>, lower: Vector3<f64>) -> Vector6<f64> {
    Vector6::new(upper.x, upper.y, upper.z, lower.x, lower.y, lower.z)
}

/// Both ends of a member, arms included.
pub fn ends(frame: &Frame, member: usize) -> [Vector3<f64>; 2] {
    let part = &frame.members[member];
    [0, 1].map(|k| frame.nodes[part.nodes[k]].position + part.arms[k])
}

pub fn length(frame: &Frame, member: usize) -> f64 {
    let [start, end] = ends(frame, member);
    (end - start).norm()
}

/// Rows are a member's local axes in global components.
pub fn axes(frame: &Frame, member: usize) -> Matrix3<f64> {
    let [start, end] = ends(frame, member);
    let x = (end - start).normalize();
    let up = frame.members[member].up;
    let z = (up - x * up.dot(&x)).normalize();
    Matrix3::from_rows(&[x.transpose(), z.cross(&x).transpose(), z.transpose()])
}

/// Largest difference of translations and of rotations, each as a share of the largest.
pub fn difference(found: &[Vector6<f64>], expected: &[Vector6<f64>]) -> f64 {
    let part = |from: usize| {
        let size = |v: &Vector6<f64>| v.fixed_rows::<3>(from).norm();
        let apart = found.iter().zip(expected).map(|(a, b)| size(&(a - b)));
        apart.fold(0.0, f64::max) / expected.iter().map(size).fold(0.0, f64::max)
    };
    part(0).max(part(3))
}

/// An elastic nail of titanium alloy from the medial end to four fifths of the bone.
pub fn elastic_nail(diameter: f64, shape: NailShape) -> Device {
    Device::Nail(Nail {
        diameter,
        entry: 0.06,
        tip: 0.80,
        shape,
        end_cap: false,
        material: Material::named("ti-6al-7nb").expect("in the catalogue"),
    })
}

/// A case of a nail over a gap whose callus never stiffens; more constructs and activities may
/// follow.
pub const NAIL_UNDER_STILL_CALLUS: &str = r#"
title = "one activity"
[patient]
preset = "adult-male-average"
[fracture]
pattern = "comminuted"
gap_mm = 5
[fracture.callus]
youngs_modulus_mpa = 1
outer_diameter_mm = 15
[healing]
weeks = [0]
modulus_mpa = [1]
[[construct]]
name = "nail"
[construct.nail]
diameter_mm = 3
shape = "prebent"
"#;

/// A case compared, and scattered over patients.
pub fn scattered(text: &str, (patients, seed): (u64, u64), threads: usize) -> (Case, Assessment) {
    let case = case::parse(text, "check").unwrap_or_else(|error| panic!("{error}"));
    let mut assessment = assess(&case, Mechanics::Linear).expect("it holds");
    let drawn = (patients, seed);
    add_scatter(
        &mut assessment,
        &case,
        Mechanics::Linear,
        drawn,
        threads,
        || (),
    );
    (case, assessment)
}
