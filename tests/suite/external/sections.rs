//! Section properties of round, elliptic and rectangular sections against closed forms, tabulated
//! series and independent finite elements.
//!
//! The finite-element values are brackets (warping form above, stress form below) computed with a
//! general-purpose library; lengths in mm.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use clavibeam::section::{GivenProperties, Section};

/// Rounding of a few dozen operations.
const ROUNDING: f64 = 1e-12;

/// Tolerance of a reference printed with ten significant digits.
const TEN_DIGITS: f64 = 1e-9;

const POISSON: [f64; 4] = [0.0, 0.25, 0.3, 0.5];

/// `J_outer − J_inner` is right for similar ellipses only: 1006.4250985, 7.2 % too high, for the
/// confocal canal.
#[test]
fn confocal_canal_is_not_outer_minus_inner() {
    let canal = (2.0 * 4.4440972086578, 4.0);
    let naive = Section::ellipse(12.0, 9.0, 0.3).torsion_constant
        - Section::ellipse(canal.0, canal.1, 0.3).torsion_constant;
    assert_relative_eq!(naive, 1006.4250985, max_relative = TEN_DIGITS);
    let solved = Section::hollow_ellipse(12.0, 9.0, canal.0, canal.1, 0.3).torsion_constant;
    assert_relative_eq!(naive / solved, 1.072, max_relative = 1e-3);
}

/// The hollow ellipse's shear coefficient has no published value; it must meet Cowper's at both
/// ends, exactly.
#[test]
fn hollow_ellipse_shear_coefficient_meets_its_limits() {
    for nu in POISSON {
        let round = Section::hollow_ellipse(12.0, 12.0, 6.0, 6.0, nu);
        let tube = Section::tube(12.0, 6.0, nu);
        assert_relative_eq!(
            round.shear_area_y,
            tube.shear_area_y,
            max_relative = ROUNDING
        );
        assert_relative_eq!(
            round.shear_area_z,
            tube.shear_area_z,
            max_relative = ROUNDING
        );
        let nearly_solid = Section::hollow_ellipse(12.0, 9.0, 1e-6, 1e-6, nu);
        let solid = Section::ellipse(12.0, 9.0, nu);
        assert_relative_eq!(
            nearly_solid.shear_area_y,
            solid.shear_area_y,
            max_relative = ROUNDING
        );
        assert_eq!(Section::hollow_ellipse(12.0, 9.0, 0.0, 0.0, nu), solid);
    }
}

/// Similar hollow ellipses of every proportion and wall: `J = π a³b³(1−k⁴)/(a²+b²)` and
/// `τ = 2T/(π a b²(1−k⁴))` in closed form, which the series reproduces to rounding (the thinnest
/// wall costs two digits of `Ip − …`).
#[test]
fn similar_hollow_ellipses_closed_form() {
    for ratio in [0.3, 0.5, 1.0, 1.5, 3.0] {
        for k in [0.001, 0.3, 0.7, 0.98] {
            let (a, b) = (6.0 * ratio, 6.0_f64);
            let section = Section::hollow_ellipse(2.0 * a, 2.0 * b, 2.0 * k * a, 2.0 * k * b, 0.3);
            let solid = 1.0 - k.powi(4);
            let j = PI * a.powi(3) * b.powi(3) * solid / (a * a + b * b);
            assert_relative_eq!(section.torsion_constant, j, max_relative = ROUNDING);
            let tau = 2.0 / (PI * a * b * a.min(b) * solid);
            assert_relative_eq!(section.torsion_shear, tau, max_relative = 1e-11);
        }
    }
}

/// Walls of even thickness and round canals, thin to nearly solid, long either way: `J` is below
/// the polar moment and below the solid's, and a turn by a right angle changes nothing.
#[test]
fn hollow_ellipses_within_bounds_and_symmetric() {
    for ratio in [0.3, 0.6, 1.0, 1.7, 3.0] {
        let outer = [6.0 * ratio, 6.0_f64];
        let short = outer[0].min(outer[1]);
        for share in [0.01, 0.2, 0.5, 0.9, 0.97] {
            let wall = short * (1.0 - share);
            let canals = [[outer[0] - wall, outer[1] - wall], [short * share; 2]];
            for canal in canals {
                let hollow = |[w, d]: [f64; 2], [iw, id]: [f64; 2]| {
                    Section::hollow_ellipse(w, d, iw, id, 0.3)
                };
                let section = hollow(outer, canal);
                let polar = section.second_moment_y + section.second_moment_z;
                // Equal for round ones, hence the allowance for rounding.
                assert!(section.torsion_constant <= polar * (1.0 + ROUNDING));
                let solid = Section::ellipse(outer[0], outer[1], 0.3).torsion_constant;
                assert!(section.torsion_constant > 0.0 && section.torsion_constant < solid);

                let turned = hollow([outer[1], outer[0]], [canal[1], canal[0]]);
                let j = turned.torsion_constant;
                assert_relative_eq!(section.torsion_constant, j, max_relative = 1e-11);
                let tau = turned.torsion_shear;
                assert_relative_eq!(section.torsion_shear, tau, max_relative = 1e-6);
            }
        }
    }
}

/// A 4 mm screw hole through a 10 × 3 plate: net area 18, weak 13.5 of 22.5, strong
/// `t(w³−d³)/12` = 234.
#[test]
fn plate_net_section_at_a_screw_hole() {
    let plate = Section::rectangle(10.0, 3.0, 0.3);
    let hole = Section::rectangle(4.0, 3.0, 0.3);
    assert_eq!(plate.area - hole.area, 18.0);
    assert_eq!(plate.second_moment_y, 22.5);
    assert_eq!(plate.second_moment_y - hole.second_moment_y, 13.5);
    assert_eq!(plate.second_moment_z - hole.second_moment_z, 234.0);
}

/// Peak axial stress: hand values for a rectangle and a circle, and the ellipse's
/// `N/A ± √((My b/Iy)² + (Mz a/Iz)²)` against a search along its outline.
#[test]
fn peak_axial_stress_of_symmetric_sections() {
    let plate = Section::rectangle(10.0, 3.0, 0.3);
    // W = 3·10²/6 = 50 and 10·3²/6 = 15 mm³.
    let (tension, compression) = plate.peak_axial_stress(300.0, 150.0, 500.0).unwrap();
    assert_relative_eq!(tension, 10.0 + 10.0 + 10.0, max_relative = ROUNDING);
    assert_relative_eq!(compression, 10.0 - 20.0, max_relative = ROUNDING);

    let ellipse = Section::hollow_ellipse(12.0, 9.0, 5.0, 5.0, 0.3);
    let (force, my, mz) = (-400.0, 900.0, -1500.0);
    let (tension, compression) = ellipse.peak_axial_stress(force, my, mz).unwrap();
    let along_outline = (0..20_000).map(|i| {
        let (sin, cos) = (2.0 * PI * f64::from(i) / 20_000.0).sin_cos();
        ellipse.axial_stress(force, my, mz, [6.0 * cos, 4.5 * sin])
    });
    let highest = along_outline.clone().fold(f64::MIN, f64::max);
    let lowest = along_outline.fold(f64::MAX, f64::min);
    // The search misses the peak by the square of its spacing.
    assert_relative_eq!(tension, highest, max_relative = 1e-6);
    assert_relative_eq!(compression, lowest, max_relative = 1e-6);
}

/// A round shell and core of one material are the solid circle again; a weaker core counts with
/// its ratio, and the shell's torsion stress falls with the twist.
#[test]
fn filled_canal() {
    let (shell, core) = (Section::tube(12.0, 6.0, 0.3), Section::circle(6.0, 0.3));
    let filled = shell.with_core(core, 1.0, 1.0);
    let solid = Section::circle(12.0, 0.3);
    assert_relative_eq!(filled.area, solid.area, max_relative = ROUNDING);
    let iy = solid.second_moment_y;
    assert_relative_eq!(filled.second_moment_y, iy, max_relative = ROUNDING);
    let j = solid.torsion_constant;
    assert_relative_eq!(filled.torsion_constant, j, max_relative = ROUNDING);
    let tau = solid.torsion_shear;
    assert_relative_eq!(filled.torsion_shear, tau, max_relative = ROUNDING);

    let weak = shell.with_core(core, 0.02, 0.01);
    let area = shell.area + 0.02 * core.area;
    assert_relative_eq!(weak.area, area, max_relative = ROUNDING);
    let j = shell.torsion_constant + 0.01 * core.torsion_constant;
    assert_relative_eq!(weak.torsion_constant, j, max_relative = ROUNDING);
}

/// A section given by number deforms as told and recovers no stress.
#[test]
fn section_given_by_number() {
    let section = Section::properties(GivenProperties {
        area: 30.0,
        second_moment_y: 22.5,
        second_moment_z: 250.0,
        product_moment: 0.0,
        torsion_constant: 73.0,
        shear_area_y: Some(25.0),
        shear_area_z: None,
    });
    assert_eq!(section.shear_area_y, 25.0);
    assert_eq!(section.shear_area_z, f64::INFINITY);
    assert_eq!(section.peak_axial_stress(1.0, 1.0, 1.0), None);
}

/// Saint-Venant's ellipse, twisted: the peak is where the short axis ends, τ = 2 T/(π a b²) with
/// b the smaller semi-axis, which is 2/(π 6 × 4.5²) per newton-millimetre lying or standing.
///
/// Source: Timoshenko & Goodier, *Theory of Elasticity* (from memory). Rounding only.
#[test]
fn an_ellipse_twisted_is_stressed_most_where_it_is_thin() {
    let shear = 2.0 / (PI * 6.0 * 4.5 * 4.5);
    for section in [
        Section::ellipse(12.0, 9.0, 0.3),
        Section::ellipse(9.0, 12.0, 0.3),
    ] {
        assert_relative_eq!(section.torsion_shear, shear, max_relative = 1e-14);
    }
}
