//! Polygonal sections against closed forms, Green's theorem evaluated independently, and finite
//! elements. Lengths in mm.

use std::f64::consts::TAU;

use approx::assert_relative_eq;
use clavibeam::section::{Contour, PolygonError, Section};

/// Rounding of a few dozen operations.
const ROUNDING: f64 = 1e-12;

fn ellipse_points(a: f64, b: f64, centre_y: f64, count: usize) -> Vec<[f64; 2]> {
    let angle = |i: usize| TAU * i as f64 / count as f64;
    let point = |t: f64| [centre_y + a * t.cos(), b * t.sin()];
    (0..count).map(|i| point(angle(i))).collect()
}

/// The limit for infinitely many vertices of a property whose error falls with their number
/// squared, from the values for 128 and 192.
fn smooth_limit(property: impl Fn(usize) -> f64) -> f64 {
    let (coarse, fine) = (property(128), property(192));
    fine + (fine - coarse) / (1.5_f64.powi(2) - 1.0)
}

/// The series against the boundary elements, two solutions that share nothing: an ellipse with a
/// wall of even thickness. The elements leave 5e-5 in `J` (2e-5 with twice as many, below 1e-5 with
/// four times) and 0.5 % in the stress.
#[test]
fn series_and_boundary_elements_agree() {
    let series = Section::hollow_ellipse(12.0, 8.0, 8.0, 4.0, 0.3);
    let polygon = |count: usize| {
        let outer = ellipse_points(6.0, 4.0, 0.0, count);
        let hole = ellipse_points(4.0, 2.0, 0.0, count);
        Section::polygon(&outer, &[hole]).unwrap().section
    };
    let j = smooth_limit(|count| polygon(count).torsion_constant);
    assert_relative_eq!(j, series.torsion_constant, max_relative = 1e-4);
    let tau = polygon(192).torsion_shear;
    assert_relative_eq!(tau, series.torsion_shear, max_relative = 5e-3);
}

/// Irregular pentagon, area integrals by Green's theorem evaluated independently; all are
/// rational, so the tolerance is rounding of the printed digits.
#[test]
fn green_pentagon() {
    let mut points = vec![
        [0.0, 0.0],
        [10.0, 0.0],
        [12.0, 6.0],
        [5.0, 9.0],
        [-1.0, 5.0],
    ];
    for _ in 0..2 {
        let found = Section::polygon(&points, &[]).unwrap();
        let section = found.section;
        assert_relative_eq!(section.area, 86.0, max_relative = ROUNDING);
        assert_relative_eq!(found.centroid[0], 5.3914728682171, max_relative = ROUNDING);
        assert_relative_eq!(found.centroid[1], 3.8875968992248, max_relative = ROUNDING);
        let (iy, iz) = (section.second_moment_y, section.second_moment_z);
        assert_relative_eq!(iy, 419.58010335917, max_relative = ROUNDING);
        assert_relative_eq!(iz, 868.15374677003, max_relative = ROUNDING);
        let product = section.product_moment;
        assert_relative_eq!(product, 52.450904392765, max_relative = ROUNDING);

        let angle = section.principal_angle();
        assert_relative_eq!(angle, -1.4559323684635, max_relative = ROUNDING);
        let principal = section.rotated(angle);
        assert_relative_eq!(principal.y, 874.20510201827, max_relative = ROUNDING);
        assert_relative_eq!(principal.z, 413.52874811093, max_relative = ROUNDING);
        assert_relative_eq!(principal.product, 0.0, epsilon = 1e-10);
        // The other sense of rotation, with the first point repeated at the end.
        points.reverse();
        points.push(points[0]);
    }
}

/// Ellipse 12 × 9 as an inscribed polygon: the exact ratios of area and second moment.
#[test]
fn inscribed_polygon_ratios() {
    let cases = [
        (32, 0.9935868511, 0.9872230202),
        (64, 0.9983943930, 0.9967918791),
        (128, 0.9995984531, 0.9991970998),
    ];
    let ellipse = Section::ellipse(12.0, 9.0, 0.3);
    for (count, area, second_moment) in cases {
        let section = Section::polygon(&ellipse_points(6.0, 4.5, 0.0, count), &[])
            .unwrap()
            .section;
        assert_relative_eq!(section.area / ellipse.area, area, epsilon = 1e-10);
        let ratio = section.second_moment_y / ellipse.second_moment_y;
        assert_relative_eq!(ratio, second_moment, epsilon = 1e-10);
    }
}

/// Torsion constants by boundary elements: a rectangle and an equilateral triangle against closed
/// forms (`J = √3 s⁴/80`, `τ = 20 T/s³`), the holed ones against finite elements. The polygons'
/// vertices are extrapolated to a smooth circle; what is left, below 2e-5, is the elements' own.
#[test]
fn polygon_torsion_constants() {
    let rectangle = [[0.0, 0.0], [10.0, 0.0], [10.0, 3.0], [0.0, 3.0]];
    let section = Section::polygon(&rectangle, &[]).unwrap().section;
    assert_relative_eq!(
        section.torsion_constant,
        72.984239767801,
        max_relative = 2e-5
    );
    let tau = Section::rectangle(10.0, 3.0, 0.3).torsion_shear;
    assert_relative_eq!(section.torsion_shear, tau, max_relative = 1e-3);

    let height = 3.0_f64.sqrt() * 5.0;
    let triangle = [[0.0, 0.0], [10.0, 0.0], [5.0, height]];
    let section = Section::polygon(&triangle, &[]).unwrap().section;
    let j = 3.0_f64.sqrt() * 1e4 / 80.0;
    assert_relative_eq!(section.torsion_constant, j, max_relative = 2e-5);
    assert_relative_eq!(section.torsion_shear, 20.0 / 1e3, max_relative = 1e-3);

    let block = [[-5.0, -4.0], [5.0, -4.0], [5.0, 4.0], [-5.0, 4.0]];
    let holed = |count| {
        let hole = ellipse_points(2.0, 2.0, 0.0, count);
        Section::polygon(&block, &[hole]).unwrap().section
    };
    let j = smooth_limit(|count| holed(count).torsion_constant);
    assert_relative_eq!(j, 849.208, max_relative = 2e-5);

    let eccentric = |count| {
        let outer = ellipse_points(6.0, 6.0, 0.0, count);
        Section::polygon(&outer, &[ellipse_points(3.0, 3.0, 1.5, count)]).unwrap()
    };
    let j = smooth_limit(|count| eccentric(count).section.torsion_constant);
    assert_relative_eq!(j, 1729.886, max_relative = 2e-5);
}

/// Thin sections, hard for boundary elements, against closed forms: strips and round tubes down to
/// a wall of 1/120 of the diameter. The elements are promised to 0.05 %.
#[test]
fn thin_polygon_torsion_constants() {
    for width in [20.0, 100.0] {
        let strip = [[0.0, 0.0], [width, 0.0], [width, 1.0], [0.0, 1.0]];
        let section = Section::polygon(&strip, &[]).unwrap().section;
        let j = Section::rectangle(width, 1.0, 0.3).torsion_constant;
        assert_relative_eq!(section.torsion_constant, j, max_relative = 5e-4);
    }
    for inner in [5.0, 5.5, 5.8, 5.9] {
        let tube = |count| {
            let outer = ellipse_points(6.0, 6.0, 0.0, count);
            Section::polygon(&outer, &[ellipse_points(inner, inner, 0.0, count)]).unwrap()
        };
        let found = smooth_limit(|count| tube(count).section.torsion_constant);
        let j = Section::tube(12.0, 2.0 * inner, 0.3).torsion_constant;
        assert_relative_eq!(found, j, max_relative = 5e-4);
    }
}

/// Area properties of the two holed sections in closed form, reached with ever more vertices;
/// the extrapolation leaves the fourth power of their number, below 1e-6.
#[test]
fn holed_sections_closed_form() {
    let block = [[-5.0, -4.0], [5.0, -4.0], [5.0, 4.0], [-5.0, 4.0]];
    let holed = |count| {
        let hole = ellipse_points(2.0, 2.0, 0.0, count);
        Section::polygon(&block, &[hole]).unwrap().section
    };
    let close = |found: f64, expected: f64| {
        assert_relative_eq!(found, expected, max_relative = 1e-6);
    };
    close(smooth_limit(|n| holed(n).area), 67.433629385641);
    close(smooth_limit(|n| holed(n).second_moment_y), 414.10029605231);
    close(smooth_limit(|n| holed(n).second_moment_z), 654.10029605231);

    let eccentric = |count| {
        let outer = ellipse_points(6.0, 6.0, 0.0, count);
        Section::polygon(&outer, &[ellipse_points(3.0, 3.0, 1.5, count)]).unwrap()
    };
    close(smooth_limit(|n| eccentric(n).section.area), 84.823001646924);
    close(smooth_limit(|n| eccentric(n).centroid[0]), -0.5);
    close(
        smooth_limit(|n| eccentric(n).section.second_moment_y),
        954.2587685279,
    );
    close(
        smooth_limit(|n| eccentric(n).section.second_moment_z),
        869.43576688098,
    );
}

/// Jourawski's shear areas: 5/6 A for a rectangle (exact), 9/10 A for a circle, classical
/// energy results; the circle with the polygon's chords, whose effect on the ratio is below 1e-7.
#[test]
fn jourawski_shear_areas() {
    let rectangle = [[1.0, 0.0], [11.0, 0.0], [11.0, 3.0], [1.0, 3.0]];
    let section = Section::polygon(&rectangle, &[]).unwrap().section;
    assert_relative_eq!(section.shear_area_y, 25.0, max_relative = ROUNDING);
    assert_relative_eq!(section.shear_area_z, 25.0, max_relative = ROUNDING);

    let outer = ellipse_points(6.0, 6.0, 0.0, 128);
    let circle = Section::polygon(&outer, &[]).unwrap().section;
    assert_relative_eq!(circle.shear_area_y / circle.area, 0.9, max_relative = 1e-7);
}

/// Every reason to refuse a polygon, and its words.
#[test]
fn polygons_refused() {
    let square = |low: f64, high: f64| vec![[low, low], [high, low], [high, high], [low, high]];
    let refused = |outer: &[[f64; 2]], holes: &[Vec<[f64; 2]>]| {
        Section::polygon(outer, holes).expect_err("must be refused")
    };
    let block = square(0.0, 10.0);
    let outer = Contour::Outer;
    let (first, second) = (Contour::Hole(0), Contour::Hole(1));

    let closed_line = [[0.0, 0.0], [1.0, 0.0], [0.0, 0.0]];
    assert_eq!(
        refused(&closed_line, &[]),
        PolygonError::TooFewPoints(outer, 2)
    );
    let unbounded = [[0.0, 0.0], [f64::INFINITY, 0.0], [0.0, 1.0]];
    assert_eq!(refused(&unbounded, &[]), PolygonError::NotFinite(outer));
    let line = [[0.0, 0.0], [1.0, 2.0], [2.0, 4.0]];
    assert_eq!(refused(&line, &[]), PolygonError::NoArea(outer));
    let bow_tie = [[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]];
    assert_eq!(
        refused(&bow_tie, &[]),
        PolygonError::SelfIntersecting(outer)
    );
    let repeated = [[0.0, 0.0], [4.0, 0.0], [4.0, 0.0], [0.0, 4.0]];
    assert_eq!(
        refused(&repeated, &[]),
        PolygonError::SelfIntersecting(outer)
    );
    let spike = [[0.0, 0.0], [4.0, 0.0], [8.0, 0.0], [6.0, 0.0], [4.0, 4.0]];
    assert_eq!(refused(&spike, &[]), PolygonError::SelfIntersecting(outer));

    for hole in [square(20.0, 30.0), square(5.0, 15.0), square(0.0, 5.0)] {
        assert_eq!(refused(&block, &[hole]), PolygonError::HoleOutside(first));
    }
    for other in [square(2.0, 4.0), square(1.5, 2.5), square(3.0, 6.0)] {
        let error = refused(&block, &[square(1.0, 3.0), other]);
        assert_eq!(error, PolygonError::HolesOverlap(first, second));
    }
    let error = refused(&block, &[square(2.0, 3.0), square(1.0, 4.0)]);
    assert_eq!(error, PolygonError::HolesOverlap(first, second));
    assert_eq!(
        error.to_string(),
        "hole 1 and hole 2 must not overlap or touch"
    );
}

/// Unsymmetric bending: the stress must give back the moments that caused it,
/// `My = ∫ σ z dA` and `Mz = −∫ σ y dA`, and the box bound must hold at every vertex.
#[test]
fn unsymmetric_bending_returns_its_moments() {
    let points = [
        [0.0, 0.0],
        [10.0, 0.0],
        [12.0, 6.0],
        [5.0, 9.0],
        [-1.0, 5.0],
    ];
    let found = Section::polygon(&points, &[]).unwrap();
    let section = found.section;
    let (force, my, mz) = (860.0, 700.0, -300.0);
    let stress = |fibre: [f64; 2]| section.axial_stress(force, my, mz, fibre);
    let mean = stress([0.0, 0.0]);
    assert_relative_eq!(mean * section.area, force, max_relative = ROUNDING);
    let (slope_y, slope_z) = (stress([1.0, 0.0]) - mean, stress([0.0, 1.0]) - mean);
    let (iy, iz) = (section.second_moment_y, section.second_moment_z);
    let iyz = section.product_moment;
    assert_relative_eq!(slope_y * iyz + slope_z * iy, my, max_relative = 1e-11);
    assert_relative_eq!(-slope_y * iz - slope_z * iyz, mz, max_relative = 1e-11);

    let (tension, compression) = section.peak_axial_stress(force, my, mz).unwrap();
    for vertex in found.vertices {
        assert!((compression..=tension).contains(&stress(vertex)));
    }
}
