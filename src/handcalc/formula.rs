//! The formulas that take more than a line, each with its source.

use super::expression::{Expression, Function, Quantity};

/// Second moment of a hollow ellipse, mm⁴: `π (b a³ − d c³) / 64`, sizes `a` and `c` in the plane
/// of bending.
///
/// Source: textbook formula.
pub fn hollow_ellipse(b: &Quantity, a: &Quantity, d: &Quantity, c: &Quantity) -> Expression {
    Expression::Pi * (b * a.cubed() - d * c.cubed()) / 64.0
}

/// Force over movement at the load rollers of an even bar in four-point bending, N/mm:
/// `K = 12 E I / ((2h + 3a) h²)`.
///
/// * `h`: support to load roller; `a`: between the load rollers, mm
///
/// Source: beam theory; solved for `E I` it is the structural stiffness of ASTM F382 (from memory).
pub fn four_point_slope(
    youngs: &Quantity,
    inertia: &Quantity,
    h: &Quantity,
    a: &Quantity,
) -> Expression {
    12.0 * youngs * inertia / ((2.0 * h + 3.0 * a) * h.squared())
}

/// Structural stiffness of a plate, N·mm²: `EI = (2h + 3a) K h² / 12`.
///
/// Source: ASTM F382 (from memory); the same by beam theory.
pub fn plate_stiffness(h: &Quantity, a: &Quantity, slope: &Quantity) -> Expression {
    (2.0 * h + 3.0 * a) * slope * h.squared() / 12.0
}

/// Structural stiffness of an intramedullary device, N·mm²: `EI = s² (L + 2c) (F/y) / 12`.
///
/// * `s`: support to load roller; `c`: between the load rollers; `l`: between the supports, mm
///
/// Source: ASTM F1264 (from memory); the same by beam theory, as `2s + 3c = L + 2c`.
pub fn nail_stiffness(s: &Quantity, l: &Quantity, c: &Quantity, slope: &Quantity) -> Expression {
    s.squared() * (l + 2.0 * c) * slope / 12.0
}

/// How quickly slip between two layers dies out, 1/mm:
/// `α = √(K (1/E₁A₁ + 1/E₂A₂ + r²/EI₀))`.
///
/// * `modulus`: `K`, force per length and slip, MPa
/// * `layers`: Young's modulus and area of each
/// * `distance`: `r` between their axes, mm; `loose`: `EI₀` without any bond, N·mm²
///
/// Source: Newmark, Siess & Viest (1951), in the form of Girhammar & Gopu (1993) (theory from
/// memory).
pub fn slip_decay(
    modulus: &Quantity,
    layers: [(&Quantity, &Quantity); 2],
    distance: &Quantity,
    loose: &Quantity,
) -> Expression {
    let [first, second] = layers.map(|(youngs, area)| 1.0 / (youngs * area));
    (modulus * (first + second + distance.squared() / loose)).root()
}

/// Deflection in the middle of two layers that slip on each other, simply supported, under a force
/// in the middle, mm:
///
/// ```text
/// w = F l³/(48 EI∞) + F/(EI∞ α²) (EI∞/EI₀ − 1) (l/4 − tanh(αl/2)/(2α))
/// ```
///
/// Source: as [`slip_decay`].
pub fn partial_interaction(
    force: &Quantity,
    length: &Quantity,
    bonded: &Quantity,
    loose: &Quantity,
    alpha: &Quantity,
) -> Expression {
    let tanh = Expression::function(Function::HyperbolicTangent, alpha * length / 2.0);
    force * length.cubed() / (48.0 * bonded)
        + force / (bonded * alpha.squared())
            * (bonded / loose - 1.0)
            * (length / 4.0 - tanh / (2.0 * alpha))
}

/// Thread shape factor: `0.5 + 0.57735 d / p` with the depth `d = (D − D_c) / 2`.
///
/// Source: Chapman et al., *J. Biomech. Eng.* 118 (1996) 391–398 (from memory).
pub fn thread_shape_factor(outer: &Quantity, core: &Quantity, pitch: &Quantity) -> Expression {
    0.5 + 0.57735 * ((outer - core) / 2.0) / pitch
}

/// Stress concentration of a hole through a plate bent flat, on the net section:
///
/// ```text
/// (1.79 + 0.25/(0.39 + d/t) + 0.81/(1 + (d/t)²) − 0.26/(1 + (d/t)³)) (1 − 1.04 d/w + 1.22 (d/w)²)
/// ```
///
/// Source: Young & Budynas, *Roark's Formulas for Stress and Strain*, table 17.1 (as transcribed);
/// finite width from memory, good to about `d/w = 0.3`.
pub fn hole_in_flat_bending(d: &Quantity, t: &Quantity, w: &Quantity) -> Expression {
    let wide = 1.79 + 0.25 / (0.39 + d / t) + 0.81 / (1.0 + (d / t).power(2.0))
        - 0.26 / (1.0 + (d / t).power(3.0));
    wide * (1.0 - 1.04 * (d / w) + 1.22 * (d / w).power(2.0))
}

/// Factor on a load at which a cycle meets the modified Goodman line: `1 / (σa/S + σm/Rm)`.
///
/// Source: Shigley, *Mechanical Engineering Design*.
pub fn goodman(
    amplitude: &Quantity,
    mean: &Quantity,
    strength: &Quantity,
    ultimate: &Quantity,
) -> Expression {
    1.0 / (amplitude / strength + mean / ultimate)
}

/// Cycles to failure on the line through `0.9 Rm` at 10³ cycles: `1000 (S / 0.9 Rm)^(1/b)`.
///
/// Source: as [`goodman`], two-point construction.
pub fn life(reversed: &Quantity, ultimate: &Quantity, slope: &Quantity) -> Expression {
    1000.0 * (reversed / (0.9 * ultimate)).power(1.0 / slope)
}

/// Euler's load of a hinged column, N: `π² E I / l²`.
///
/// Source: textbook formula.
pub fn euler(youngs: &Quantity, inertia: &Quantity, length: &Quantity) -> Expression {
    Expression::Pi.power(2.0) * youngs * inertia / length.squared()
}

/// What of a moment on the end of a long beam bedded in bone is left at a distance from that end:
/// `e^(−λx) (cos λx + sin λx)`.
///
/// * `lambda`: 1/mm; `distance`: mm
///
/// Source: Hetényi, *Beams on Elastic Foundation* (1946), semi-infinite beam (from memory).
pub fn moment_left(lambda: &Quantity, distance: &Quantity) -> Expression {
    let degrees = || lambda * distance * 180.0 / Expression::Pi;
    Expression::function(Function::Exponential, -(lambda * distance))
        * (Expression::function(Function::Cosine, degrees())
            + Expression::function(Function::Sine, degrees()))
}
