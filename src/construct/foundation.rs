//! A screw in a cortex: a short beam on an elastic foundation.

/// Stiffness of a screw in one cortex against being pushed across its axis and tilted, both at
/// mid-thickness: a beam with free ends on Winkler's foundation.
///
/// ```text
/// λ = ⁴√(k / 4EI)
/// K  = (2k/λ) (sinh λt + sin λt) / (2 + cosh λt + cos λt)
/// Kt = (2k/λ³) / (4 C − 2 B²/A)       over half the length, a = λt/2:
///      A = (sinh a cosh a − sin a cos a)/D   B = (sinh² a + sin² a)/D
///      C = (sinh a cosh a + sin a cos a)/D   D = sinh² a − sin² a
/// ```
///
/// A stiff screw in a thin cortex gives `k t` and `k t³/12`.
///
/// * `bending`: EI of the screw's core, N·mm²
/// * `foundation`: k, N/mm per mm of screw
/// * `thickness`: t of the cortex, mm
/// * returns: N/mm and N·mm/rad
///
/// Source: Hetényi, *Beams on Elastic Foundation* (1946), beams of finite length with free ends
/// (from memory; checked against a fine chain of springs in the tests).
pub fn held_in_cortex(bending: f64, foundation: f64, thickness: f64) -> [f64; 2] {
    let (k, lambda) = (foundation, (foundation / (4.0 * bending)).powf(0.25));
    let angle = lambda * thickness;
    // Below, the terms cancel to round-off and the screw is rigid to six digits.
    if angle < 0.05 {
        return [k * thickness, k * thickness.powi(3) / 12.0];
    }
    let across =
        2.0 * k / lambda * (angle.sinh() + angle.sin()) / (2.0 + angle.cosh() + angle.cos());
    let a = angle / 2.0;
    let (sh, ch, (s, c)) = (a.sinh(), a.cosh(), a.sin_cos());
    let d = sh * sh - s * s;
    let (fa, fb, fc) = (
        (sh * ch - s * c) / d,
        (sh * sh + s * s) / d,
        (sh * ch + s * c) / d,
    );
    let tilt = 2.0 * k / lambda.powi(3) / (4.0 * fc - 2.0 * fb * fb / fa);
    [across, tilt]
}
