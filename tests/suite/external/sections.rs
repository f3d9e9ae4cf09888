//! Section properties against closed forms, tabulated series and independent finite elements.
//!
//! The finite-element values are brackets (warping form above, stress form below) computed with a
//! general-purpose library; lengths in mm.

use std::f64::consts::{PI, TAU};

use approx::assert_relative_eq;
use clavibeam::section::{Contour, GivenProperties, PolygonError, Section};

/// Rounding of a few dozen operations.
const ROUNDING: f64 = 1e-12;

/// Tolerance of a reference printed with ten significant digits.
const TEN_DIGITS: f64 = 1e-9;

const POISSON: [f64; 4] = [0.0, 0.25, 0.3, 0.5];

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

/// Areas and second moments of solid and hollow ellipses: closed forms, evaluated independently.
/// The formulas are exact, so the tolerance is rounding of the printed digits.
#[test]
fn closed_form_ellipses() {
    // Section, A, ∫z², ∫y², J.
    let confocal = 2.0 * 4.4440972086578;
    let cases = [
        (
            Section::circle(10.0, 0.3),
            [
                78.539816339745,
                490.87385212341,
                490.87385212341,
                981.74770424681,
            ],
        ),
        (
            Section::tube(12.0, 6.0, 0.3),
            [
                84.823001646924,
                954.2587685279,
                954.2587685279,
                1908.5175370558,
            ],
        ),
        (
            Section::ellipse(12.0, 9.0, 0.3),
            [
                84.823001646924,
                429.41644583755,
                763.40701482232,
                1099.3061013441,
            ],
        ),
        (
            Section::hollow_ellipse(12.0, 9.0, 6.0, 4.5, 0.3),
            [
                63.617251235193,
                402.57791797271,
                715.69407639592,
                1030.5994700101,
            ],
        ),
        (
            Section::hollow_ellipse(12.0, 9.0, confocal, 4.0, 0.3),
            [
                56.899915361808,
                401.49335955244,
                625.53677628956,
                938.81304050176,
            ],
        ),
    ];
    for (section, [area, iy, iz, j]) in cases {
        assert_relative_eq!(section.area, area, max_relative = ROUNDING);
        assert_relative_eq!(section.second_moment_y, iy, max_relative = ROUNDING);
        assert_relative_eq!(section.second_moment_z, iz, max_relative = ROUNDING);
        assert_relative_eq!(section.torsion_constant, j, max_relative = ROUNDING);
        assert_eq!(section.product_moment, 0.0);
    }
}

/// Ellipse 12 × 9 with a round canal of 5: area and second moments in closed form, `J` between
/// the finite-element bounds 1027.71787 and 1027.71794. Neither ellipse's axes matter in which
/// order they come.
#[test]
fn finite_elements_ellipse_with_round_canal() {
    for (width, depth) in [(12.0, 9.0), (9.0, 12.0)] {
        let section = Section::hollow_ellipse(width, depth, 5.0, 5.0, 0.3);
        assert_relative_eq!(section.area, 65.188047561988, max_relative = ROUNDING);
        let [small, large] = [398.73683007984, 732.72739906461];
        let sum = section.second_moment_y + section.second_moment_z;
        assert_relative_eq!(sum, small + large, max_relative = ROUNDING);
        assert!((1027.71787..1027.71794).contains(&section.torsion_constant));
    }
}

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

/// Torsion constant and peak stress of rectangles: `J = β a b³`, `τ = T/(α a b²)`; Saint-Venant's
/// series summed independently, in all digits printed.
#[test]
fn saint_venant_rectangle_series() {
    let cases = [
        (1.0, 0.14057701495515, 0.2081652599325),
        (1.5, 0.19576070887554, 0.23096912688552),
        (2.0, 0.22868167711957, 0.24587834202343),
        (3.0, 0.2633169310015, 0.2672080461831),
        (10.0 / 3.0, 0.27031199914, 0.27266421328),
        (4.0, 0.28081295830768, 0.28166566583),
        (5.0, 0.29131675418799, 0.29150020437),
        (10.0, 0.31232503745721, 0.31232511376),
    ];
    // The shortest entries have eleven digits.
    for (ratio, beta, alpha) in cases {
        for section in [
            Section::rectangle(3.0 * ratio, 3.0, 0.3),
            Section::rectangle(3.0, 3.0 * ratio, 0.3),
        ] {
            let j = section.torsion_constant;
            assert_relative_eq!(j, beta * ratio * 81.0, max_relative = 2e-11);
            let modulus = 1.0 / section.torsion_shear;
            assert_relative_eq!(modulus, alpha * ratio * 27.0, max_relative = 2e-11);
        }
    }
    let plate = Section::rectangle(10.0, 3.0, 0.3);
    assert_eq!(
        (plate.area, plate.second_moment_y, plate.second_moment_z),
        (30.0, 22.5, 250.0)
    );
    assert_relative_eq!(
        plate.torsion_constant,
        72.984239767801,
        max_relative = ROUNDING
    );
}

/// Shear coefficients at ν = 0, 0.25, 0.3 and 0.5, to the nine digits printed.
///
/// Source: G. R. Cowper, *J. Appl. Mech.* 33 (1966) 335–340 (formulas from memory, evaluated
/// independently).
#[test]
fn cowper_1966_shear_coefficients() {
    let circle = [0.857142857, 0.882352941, 0.886363636, 0.9];
    let tube = [0.588235294, 0.615763547, 0.620229008, 0.635593220];
    let rectangle = [0.833333333, 0.847457627, 0.849673203, 0.857142857];
    let thin_tube = [0.5, 0.526315789, 0.530612245, 0.545454545];
    let along_long = [0.872448980, 0.894570779, 0.898074095, 0.909952607];
    let along_short = [0.837662338, 0.864192936, 0.868424460, 0.882833787];
    for (i, nu) in POISSON.into_iter().enumerate() {
        let check = |section: Section, y: f64, z: f64, tolerance: f64| {
            let along = [section.shear_area_y, section.shear_area_z];
            assert_relative_eq!(along[0] / section.area, y, epsilon = tolerance);
            assert_relative_eq!(along[1] / section.area, z, epsilon = tolerance);
        };
        check(Section::circle(10.0, nu), circle[i], circle[i], 1e-9);
        check(Section::tube(12.0, 6.0, nu), tube[i], tube[i], 1e-9);
        let plate = Section::rectangle(10.0, 3.0, nu);
        check(plate, rectangle[i], rectangle[i], 1e-9);
        let ellipse = Section::ellipse(12.0, 9.0, nu);
        check(ellipse, along_long[i], along_short[i], 1e-9);
        // The limit m → 1 is approached with the square of 1 − m.
        let thin = Section::tube(10.0, 10.0 - 1e-4, nu);
        check(thin, thin_tube[i], thin_tube[i], 2e-9);
    }
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
    let along_outline = ellipse_points(6.0, 4.5, 0.0, 20_000)
        .into_iter()
        .map(|fibre| ellipse.axial_stress(force, my, mz, fibre));
    let highest = along_outline.clone().fold(f64::MIN, f64::max);
    let lowest = along_outline.fold(f64::MAX, f64::min);
    // The search misses the peak by the square of its spacing.
    assert_relative_eq!(tension, highest, max_relative = 1e-6);
    assert_relative_eq!(compression, lowest, max_relative = 1e-6);
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
