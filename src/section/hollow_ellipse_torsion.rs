//! Saint-Venant torsion of an ellipse with a concentric, aligned elliptic canal.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{Complex, DMatrix, DVector};

use super::Torsion;

/// The number of terms in each series is doubled from the first to the last of these.
const TERMS: [usize; 4] = [8, 16, 32, 64];

/// Misfit on the boundaries, relative to the square of the outer size, at which the series stops.
/// `J` errs by about its square.
const MISFIT_LIMIT: f64 = 1e-9;

/// Torsion constant and largest shear stress of the hollow ellipse.
///
/// Prandtl's stress function is `φ = u − r²/2` with `u` harmonic, `φ = 0` on the outer boundary
/// and constant on the canal's. The warping is single-valued, so `u = Re f` without a logarithm:
///
/// ```text
/// f(ζ) = a₀ + Σ aₙ Qₙ + Σ bₙ Rₙ,   ζ = y + iz,   n = 1, 2, …
/// Qₙ = (w²ⁿ + (C²/w)²ⁿ)/(A+B)²ⁿ    ζ = (w + C²/w)/2,   C² = A² − B²   (outer semi-axes A, B)
/// Rₙ = ((a+b)/ω)²ⁿ                 ζ = (ω + c²/ω)/2,   c² = a² − b²   (canal semi-axes a, b)
/// ```
///
/// `Qₙ` is a polynomial that runs like `cos 2nt` on the outer ellipse, `Rₙ` decays outwards and
/// runs like `cos 2nt` on the canal, `t` being the eccentric angle of each: the boundary values
/// expanded in `cos 2nt` give a small, well-conditioned system. Then
///
/// ```text
/// J = Ip − ∮ (r²/2) dv,   v = Im f,   both boundaries, the material on the left
/// τ/T = |∇φ|/J = |A B − dv/dt| / |dζ/dt| / J   on the outer ellipse; a b on the canal
/// ```
///
/// By the maximum principle the misfit of `u` on the boundaries, which is measured, bounds its
/// error everywhere. The peak stress is sought on both boundaries, since in the corners of a thin
/// wall the canal's leads.
///
/// * `outer`, `inner`: semi-axes along `y` and `z`, mm, `0 < inner < outer` each
///
/// Source: Prandtl's membrane analogy and Trefftz's boundary method (textbook theory).
pub(super) fn solve(outer: [f64; 2], inner: [f64; 2]) -> Torsion {
    let mut series = Series::new(outer, inner, TERMS[0]);
    for terms in &TERMS[1..] {
        if series.misfit <= MISFIT_LIMIT * (outer[0].powi(2) + outer[1].powi(2)) {
            break;
        }
        series = Series::new(outer, inner, *terms);
    }
    series.torsion
}

struct Series {
    torsion: Torsion,
    /// Largest deviation of `u − r²/2` from a constant on either boundary, mm².
    misfit: f64,
}

impl Series {
    fn new(outer: [f64; 2], inner: [f64; 2], terms: usize) -> Self {
        let nodes = Nodes::new(2 * terms);
        let at_outer = Boundary::new(outer, outer, inner, terms, &nodes);
        let at_inner = Boundary::new(inner, outer, inner, terms, &nodes);

        // Outer: scale·a + R b = h. Canal: Q a + b = g. The canal's b goes into the outer's.
        let cosines = nodes.cosines(terms);
        let (h, g) = (
            &cosines * &at_outer.half_r_squared,
            &cosines * &at_inner.half_r_squared,
        );
        let decaying_at_outer = &cosines * &at_outer.decaying;
        let regular_at_inner = &cosines * &at_inner.regular;
        let system = &cosines * &at_outer.regular - &decaying_at_outer * &regular_at_inner;
        let a = system
            .lu()
            .solve(&(h - &decaying_at_outer * &g))
            .expect("the Dirichlet problem of a ring has one solution");
        let b = g - regular_at_inner * &a;

        let (outer_flux, inner_flux) = (at_outer.flux(&a, &b), at_inner.flux(&a, &b));
        let polar = |[a, b]: [f64; 2]| PI / 4.0 * a * b * (a * a + b * b);
        let quarter = |boundary: &Boundary, flux: &DVector<f64>| {
            FRAC_PI_2 * nodes.mean(&boundary.half_r_squared.component_mul(flux))
        };
        let dirichlet = 4.0 * (quarter(&at_outer, &outer_flux) - quarter(&at_inner, &inner_flux));
        let constant = polar(outer) - polar(inner) - dirichlet;
        let peak = (at_outer.peak_gradient(&outer_flux)).max(at_inner.peak_gradient(&inner_flux));
        let misfit = |boundary: &Boundary| {
            let difference =
                &boundary.regular * &a + &boundary.decaying * &b - &boundary.half_r_squared;
            difference.add_scalar(-nodes.mean(&difference)).amax()
        };
        Series {
            torsion: Torsion {
                constant,
                peak_shear: peak / constant,
            },
            misfit: misfit(&at_outer).max(misfit(&at_inner)),
        }
    }
}

/// Equally spaced eccentric angles over a quarter, `t = 0` and `t = π/2` included.
struct Nodes {
    intervals: usize,
}

impl Nodes {
    fn new(intervals: usize) -> Self {
        Nodes { intervals }
    }

    fn angle(&self, node: usize) -> f64 {
        FRAC_PI_2 * node as f64 / self.intervals as f64
    }

    /// Weights of the trapezoidal rule for the mean; its error is beyond all powers of the
    /// spacing, since every integrand here has period π and is even.
    fn weight(&self, node: usize) -> f64 {
        let is_end = node == 0 || node == self.intervals;
        (if is_end { 0.5 } else { 1.0 }) / self.intervals as f64
    }

    fn mean(&self, values: &DVector<f64>) -> f64 {
        let weighted = values.iter().enumerate();
        weighted.map(|(node, v)| self.weight(node) * v).sum()
    }

    /// Rows that turn values at the nodes into their coefficients of `cos 2nt`, `n = 1..=terms`.
    fn cosines(&self, terms: usize) -> DMatrix<f64> {
        // cos 2nt at node j depends on n·j only, with period twice the number of intervals.
        let period = 2 * self.intervals;
        let table: Vec<f64> = (0..period)
            .map(|k| (PI * k as f64 / self.intervals as f64).cos())
            .collect();
        DMatrix::from_fn(terms, self.intervals + 1, |row, node| {
            2.0 * self.weight(node) * table[(row + 1) * node % period]
        })
    }
}

/// What the two series are worth at the nodes of one boundary.
struct Boundary {
    half_r_squared: DVector<f64>,
    /// `Re Qₙ` and `Re Rₙ`, a row each node.
    regular: DMatrix<f64>,
    decaying: DMatrix<f64>,
    /// `d/dt Im Qₙ` and `d/dt Im Rₙ`.
    regular_flux: DMatrix<f64>,
    decaying_flux: DMatrix<f64>,
    /// `|dζ/dt|`, mm.
    speed: DVector<f64>,
    /// Product of the semi-axes, `r × dr/dt`, mm².
    sweep: f64,
}

impl Boundary {
    fn new(
        [p, q]: [f64; 2],
        outer: [f64; 2],
        inner: [f64; 2],
        terms: usize,
        nodes: &Nodes,
    ) -> Self {
        let count = nodes.intervals + 1;
        let mut boundary = Boundary {
            half_r_squared: DVector::zeros(count),
            regular: DMatrix::zeros(count, terms),
            decaying: DMatrix::zeros(count, terms),
            regular_flux: DMatrix::zeros(count, terms),
            decaying_flux: DMatrix::zeros(count, terms),
            speed: DVector::zeros(count),
            sweep: p * q,
        };
        for node in 0..count {
            let (sin, cos) = nodes.angle(node).sin_cos();
            let zeta = Complex::new(p * cos, q * sin);
            let slope = Complex::new(-p * sin, q * cos);
            boundary.half_r_squared[node] = zeta.norm_sqr() / 2.0;
            boundary.speed[node] = slope.norm();
            boundary.fill_regular(node, zeta, slope, outer);
            boundary.fill_decaying(node, zeta, slope, inner);
        }
        boundary
    }

    /// `Qₙ₊₁ = s Qₙ − k² Qₙ₋₁` with `s = (4ζ² − 2C²)/(A+B)²`, `k = (A−B)/(A+B)`, `Q₀ = 2`,
    /// `Q₁ = s`: no root, so the foci of the outer ellipse need no care.
    fn fill_regular(
        &mut self,
        node: usize,
        zeta: Complex<f64>,
        slope: Complex<f64>,
        [a, b]: [f64; 2],
    ) {
        let size = (a + b) * (a + b);
        let k2 = ((a - b) / (a + b)).powi(2);
        let s = (zeta * zeta * 4.0 - 2.0 * (a * a - b * b)) / size;
        let s_slope = zeta * slope * 8.0 / size;
        let mut previous = (Complex::new(2.0, 0.0), Complex::new(0.0, 0.0));
        let mut current = (s, s_slope);
        for n in 0..self.regular.ncols() {
            self.regular[(node, n)] = current.0.re;
            self.regular_flux[(node, n)] = current.1.im;
            let next = (
                s * current.0 - previous.0 * k2,
                s_slope * current.0 + s * current.1 - previous.1 * k2,
            );
            (previous, current) = (current, next);
        }
    }

    /// Powers of `R₁ = ((a+b)/ω)²`, `ω = ζ + √(ζ²−c²)`. In the first quarter `ζ²−c²` lies in the
    /// upper half plane, so the principal root is the one that makes `|ω|` large.
    fn fill_decaying(
        &mut self,
        node: usize,
        zeta: Complex<f64>,
        slope: Complex<f64>,
        [a, b]: [f64; 2],
    ) {
        let root = (zeta * zeta - (a * a - b * b)).sqrt();
        let ratio = ((zeta + root) / (a + b)).inv().powi(2);
        let rate = slope / root * -2.0;
        let mut power = ratio;
        for n in 0..self.decaying.ncols() {
            self.decaying[(node, n)] = power.re;
            self.decaying_flux[(node, n)] = (power * rate).im * (n + 1) as f64;
            power *= ratio;
        }
    }

    /// `dv/dt` at the nodes.
    fn flux(&self, a: &DVector<f64>, b: &DVector<f64>) -> DVector<f64> {
        &self.regular_flux * a + &self.decaying_flux * b
    }

    /// Largest `|∇φ|`, by the parabola through the largest node and its neighbours; `φ` is constant
    /// along the boundary.
    fn peak_gradient(&self, flux: &DVector<f64>) -> f64 {
        let gradient = flux.zip_map(&self.speed, |flux, speed| (self.sweep - flux).abs() / speed);
        let (node, peak) = gradient.argmax();
        // A quarter's ends are mirrors.
        let before = gradient[node.abs_diff(1)];
        let after = gradient[if node + 1 < gradient.len() {
            node + 1
        } else {
            node - 1
        }];
        let curvature = 2.0 * peak - before - after;
        if curvature > 0.0 {
            peak + (after - before).powi(2) / (8.0 * curvature)
        } else {
            peak
        }
    }
}
