//! Clavicle presets and geometry against tables, measurements and independent computation.

use approx::assert_relative_eq;
use clavibeam::anatomy::{BoneError, BoneInputs, Clavicle, PRESET_NAMES, Preset, Side};
use nalgebra::Vector3;

fn inputs(preset: &str) -> BoneInputs {
    Preset::named(preset).expect("a known preset").bone
}

fn bone(preset: &str) -> Clavicle {
    Clavicle::new(&inputs(preset)).expect("presets can be built")
}

/// Seen from above only, where apexes, inflection and radii are defined.
fn flat_average_man() -> Clavicle {
    let flat = BoneInputs {
        superior_bow: 0.0,
        ..inputs("adult-male-average")
    };
    Clavicle::new(&flat).expect("the bow does not matter for the sections")
}

/// Where `f` changes sign, by halving the interval.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    assert!(f(low) * f(high) < 0.0, "no change of sign to close in on");
    for _ in 0..50 {
        let middle = (low + high) / 2.0;
        if f(middle) * f(low) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

/// Source: `clavicle_stations.csv`, made beforehand with another program from the preset rules:
/// natural splines for `y` and `z`, hollow ellipses for area `π/4 (AP SI - ap si)` and second
/// moments `π/64 (AP SI³ - ap si³)`, `π/64 (SI AP³ - si ap³)`. Half a unit of the last printed
/// digit: 0.005 mm for the line, 0.05 for sections; sizes are given, hence rounding.
/// The core is left out, as in the table.
#[test]
fn presets_match_the_station_table() {
    let mut rows = 0;
    for line in include_str!("clavicle_stations.csv").lines().skip(1) {
        let (name, numbers) = line.split_once(',').expect("a name and numbers");
        let row: Vec<f64> = numbers
            .split(',')
            .map(|n| n.parse().expect("a number"))
            .collect();
        let &[
            percent,
            x,
            y,
            z,
            ap,
            si,
            wall,
            canal_ap,
            canal_si,
            area,
            frontal,
            transverse,
        ] = row.as_slice()
        else {
            panic!("twelve numbers in {line}");
        };
        let hollow = BoneInputs {
            trabecular_modulus: 0.0,
            ..inputs(name)
        };
        let bone = Clavicle::new(&hollow).expect("presets can be built");
        let xi = percent / 100.0;
        let point = bone.point(xi);
        assert_relative_eq!(point.x, x, epsilon = 1e-9);
        assert_relative_eq!(point.y, y, epsilon = 0.00501);
        assert_relative_eq!(point.z, z, epsilon = 0.00501);
        assert_relative_eq!(bone.outer(xi)[0], ap, epsilon = 1e-12);
        assert_relative_eq!(bone.outer(xi)[1], si, epsilon = 1e-12);
        assert_relative_eq!(bone.wall(xi), wall, epsilon = 1e-12);
        assert_relative_eq!(bone.canal(xi)[0], canal_ap, epsilon = 1e-12);
        assert_relative_eq!(bone.canal(xi)[1], canal_si, epsilon = 1e-12);
        let section = bone.section(xi);
        assert_relative_eq!(section.area, area, epsilon = 0.0501);
        assert_relative_eq!(section.second_moment_y, frontal, epsilon = 0.0501);
        assert_relative_eq!(section.second_moment_z, transverse, epsilon = 0.0501);
        rows += 1;
    }
    assert_eq!(rows, 4 * 11);
}

/// Source: scipy 1.17.1, `brentq` on the derivatives of `CubicSpline(bc_type='natural')`
/// through the average man's knots: inflection 0.60710, apexes 0.31545 and 0.78342. The second
/// difference over 1e-3 costs the inflection some 1e-6, hence 1e-5 for all.
#[test]
fn inflection_and_apexes_lie_where_the_spline_has_them() {
    let bone = flat_average_man();
    let y = |xi: f64| bone.point(xi).y;
    let bend = |xi: f64| y(xi + 1e-3) - 2.0 * y(xi) + y(xi - 1e-3);
    let slope = |xi: f64| bone.tangent(xi).y;
    assert!((root(0.5, 0.7, bend) - 0.607_104_497).abs() < 1e-5);
    assert!((root(0.2, 0.5, slope) - 0.315_448_178).abs() < 1e-5);
    assert!((root(0.7, 0.9, slope) - 0.783_422_157).abs() < 1e-5);
}

/// Source: Bachoura et al. 2013, medial radius 66.4 mm; textbook table of 104 bones, men
/// 94.99 ± 13.34 mm; lateral 33.5 and 31.69 ± 9.73 mm. Medial between the two studies, lateral
/// within the second's spread. Inflection about 0.60 of the length (Rivas et al. 2026).
#[test]
fn curve_radii_lie_within_published_measurements() {
    let bone = flat_average_man();
    let medial = 1.0 / bone.curvature(0.315_448_178);
    let lateral = 1.0 / bone.curvature(0.783_422_157);
    assert!((66.4..94.99).contains(&medial), "{medial}");
    assert!((lateral - 31.69).abs() < 9.73, "{lateral}");
    assert!(
        (root(0.5, 0.7, |xi| bone.point(xi + 1e-3).y
            - 2.0 * bone.point(xi).y
            + bone.point(xi - 1e-3).y)
            - 0.60)
            .abs()
            < 0.02
    );
}

/// Source: scipy 1.17.1, radius `(1 + y′²)^(3/2) / y″` of the same spline at 0.316 and 0.784:
/// 71.350 and 35.219 mm; greatest offset over the given depth 1.03234 medially. The printed
/// digits, hence 1e-3 mm; the apex is sampled each 0.001 of the length, good to 1e-5.
#[test]
fn curve_radii_and_overshoot_match_an_independent_spline() {
    let bone = flat_average_man();
    assert!((1.0 / bone.curvature(0.316) - 71.350).abs() < 1e-3);
    assert!((1.0 / bone.curvature(0.784) - 35.219).abs() < 1e-3);
    let apex = (0..=1000).map(|i| bone.point(f64::from(i) / 1000.0).y);
    assert!((apex.fold(0.0, f64::max) / 10.8 - 1.03234).abs() < 1e-5);
}

/// Source: scipy 1.17.1, `quad` over `√(L² + y′² + z′²)` with breaks at the knots, asked for
/// 1e-12; ours integrates the same curve, hence 1e-9 mm.
#[test]
fn centre_lines_have_the_length_found_by_quadrature() {
    let references = [
        ("adult-male-large", 176.5344199543288, 86.54193958879313),
        ("adult-male-average", 162.86762002457237, 79.84962001569261),
        ("adult-female", 146.17366922600635, 71.63515610941803),
        ("child-12", 133.774997421185, 65.68336702845941),
    ];
    for (name, whole, half) in references {
        let bone = bone(name);
        assert!((bone.arc_length(1.0) - whole).abs() < 1e-9, "{name}");
        assert!((bone.arc_length(0.5) - half).abs() < 1e-9, "{name}");
        // Bernat et al. 2014 measured 159.0 against 149.4 mm straight, 6 %; the smooth curve
        // misses the waviness of the ends.
        let excess = bone.arc_length(1.0) / bone.length() - 1.0;
        assert!((0.04..0.06).contains(&excess), "{name}: {excess}");
    }
}

/// Law: the two functions undo one another; Newton's method ends at rounding.
#[test]
fn fraction_at_arc_length_undoes_arc_length() {
    let bone = bone("adult-male-average");
    for i in 0..=97 {
        let xi = f64::from(i) / 97.0;
        let back = bone.fraction_at_arc_length(bone.arc_length(xi));
        assert!((back - xi).abs() < 1e-14 * 10.0, "{xi}: {back}");
    }
}

/// Law: the tangent is the slope of the points; central differences over 1e-4 of the length
/// err by its square, hence 1e-6. The axes are right-handed and of unit length.
#[test]
fn axes_follow_the_points() {
    let bone = bone("adult-female");
    for i in 1..50 {
        let xi = f64::from(i) / 50.0;
        let chord = bone.point(xi + 1e-4) - bone.point(xi - 1e-4);
        let [x, y, z] = bone.axes(xi);
        assert!((chord.normalize() - x).norm() < 1e-6, "{xi}");
        assert!((x.cross(&y) - z).norm() < 1e-14);
        assert!((y.norm() - 1.0).abs() < 1e-14 && x.dot(&y).abs() < 1e-14);
        assert!(y.y > 0.8 && z.z > 0.8, "anterior and superior at {xi}");
    }
}

/// Source: the station table, narrowest canals 6.3, 5.9, 5.5 and 4.9 mm at 0.60 of the length;
/// one digit, so half of it. Andermahr et al., *Clin. Anat.* 20 (2007) 48, measured
/// 6.7 ± 2.6 mm, King et al. 2014 5.61 mm.
#[test]
fn narrowest_canals_match_the_table() {
    for (name, diameter) in [
        ("adult-male-large", 6.3),
        ("adult-male-average", 5.9),
        ("adult-female", 5.5),
        ("child-12", 4.9),
    ] {
        let bone = bone(name);
        let [from, to] = bone.canal_zone();
        let (place, narrowest) = bone.narrowest_canal(from, to);
        assert!((narrowest - diameter).abs() < 0.05, "{name}: {narrowest}");
        assert!((0.55..0.65).contains(&place), "{name}: {place}");
    }
    // Source: scipy 1.17.1, the same two interpolators and points: 5.8885180 at 0.58657.
    let (place, narrowest) = bone("adult-male-average").narrowest_canal(0.045, 0.87);
    assert!((narrowest - 5.888_518).abs() < 1e-6, "{narrowest}");
    assert!((place - 0.586_571).abs() < 1e-4, "{place}");
}

/// Law: a given narrowest canal is met, by walls only; the search for the least canal ends at
/// some 1e-9 mm.
#[test]
fn a_measured_canal_sets_the_walls() {
    for diameter in [3.0, 5.2, 8.5] {
        let measured = BoneInputs {
            canal_min_diameter: Some(diameter),
            ..inputs("adult-male-average")
        };
        let bone = Clavicle::new(&measured).expect("within the range");
        let [from, to] = bone.canal_zone();
        assert!((bone.narrowest_canal(from, to).1 - diameter).abs() < 1e-8);
        let typical = self::bone("adult-male-average");
        assert_eq!(bone.outer(0.33), typical.outer(0.33));
        let factor = bone.wall(0.5) / typical.wall(0.5);
        assert_relative_eq!(
            bone.wall(0.77),
            factor * typical.wall(0.77),
            max_relative = 1e-12
        );
    }
}

/// Law: a canal as wide as the bone (10.6 mm at its least) or none at all is refused, with the
/// range that would do.
#[test]
fn an_impossible_canal_is_refused_with_the_range() {
    for given in [10.6, 25.0, 0.0, -1.0] {
        let impossible = BoneInputs {
            canal_min_diameter: Some(given),
            ..inputs("adult-male-average")
        };
        let error = Clavicle::new(&impossible).expect_err("no walls give this");
        let BoneError::CanalDiameter { above, below, .. } = error else {
            panic!("{error}");
        };
        assert!(above.abs() < 1e-6, "{above}");
        assert!((below - 10.6).abs() < 1e-9, "{below}");
        assert!(
            error
                .to_string()
                .contains("more than 0.0 mm and less than 10.6 mm")
        );
    }
}

/// Source: scipy 1.17.1, least `SI / (2 wall)` of two `PchipInterpolator`s on 2,000,001 points:
/// 2.2436753 at 0.570936; the place is flat to about 1e-4, the value to the printed digits.
#[test]
fn walls_that_meet_are_refused() {
    let thick = BoneInputs {
        wall_scale: 2.3,
        ..inputs("adult-male-average")
    };
    let error = Clavicle::new(&thick).expect_err("no canal is left");
    let BoneError::WallTooThick {
        fraction,
        wall_factor_below,
    } = error
    else {
        panic!("{error}");
    };
    assert!((fraction - 0.570_936).abs() < 1e-4, "{fraction}");
    assert!((wall_factor_below * 2.3 - 2.243_675_3).abs() < 1e-7);
    let mut holes = inputs("adult-male-average");
    holes.stations.remove(0);
    assert_eq!(Clavicle::new(&holes).err(), Some(BoneError::Stations));
}

/// Source: practice in finite-element models of the spine (cortex × 0.66, trabecular × 0.34,
/// from memory) and the fall of the cortical index (walls × 0.70): exact products.
#[test]
fn osteoporosis_thins_and_softens() {
    let porous = BoneInputs {
        osteoporotic: true,
        ..inputs("adult-female")
    };
    let porous = Clavicle::new(&porous).expect("thinner walls leave a canal");
    let typical = bone("adult-female");
    assert_relative_eq!(porous.wall(0.5), 0.70 * 2.05, max_relative = 1e-14);
    assert_eq!(porous.outer(0.5), typical.outer(0.5));
    assert_relative_eq!(
        porous.cortex().youngs_modulus,
        11_550.0,
        max_relative = 1e-14
    );
    assert_relative_eq!(porous.cortex().shear_modulus, 2_178.0, max_relative = 1e-14);
    assert_relative_eq!(porous.trabecular_modulus(), 102.0, max_relative = 1e-14);
}

/// Hand calculation: average man at 0.95, where the core is trabecular: `A + (300/17500) a` and
/// the same for the second moments, with `a` the ellipse inside the cortex. Rounding.
#[test]
fn trabecular_bone_fills_the_ends() {
    let bone = bone("adult-male-average");
    assert!(!bone.has_canal(0.95) && bone.has_canal(0.5) && !bone.has_canal(0.04));
    let [[ap, si], [canal_ap, canal_si]] = [bone.outer(0.95), bone.canal(0.95)];
    let quarter = std::f64::consts::FRAC_PI_4;
    let left = 1.0 - 300.0 / 17_500.0;
    let section = bone.section(0.95);
    let area = quarter * (ap * si - left * canal_ap * canal_si);
    let moment = quarter / 16.0 * (ap * si.powi(3) - left * canal_ap * canal_si.powi(3));
    assert_relative_eq!(section.area, area, max_relative = 1e-12);
    assert_relative_eq!(section.second_moment_y, moment, max_relative = 1e-12);
}

/// Law: along the axes of the ellipse the surface lies half its size away; between them on the
/// ellipse, so that the coordinates obey its equation.
#[test]
fn surface_distance_lies_on_the_ellipse() {
    let bone = bone("adult-male-large");
    let xi = 0.42;
    let [_, y, z] = bone.axes(xi);
    let [ap, si] = bone.outer(xi);
    assert_relative_eq!(bone.surface_distance(xi, y), ap / 2.0, max_relative = 1e-14);
    assert_relative_eq!(
        bone.surface_distance(xi, -z * 3.0),
        si / 2.0,
        max_relative = 1e-14
    );
    let diagonal = (y + z * 2.0).normalize();
    let at = diagonal * bone.surface_distance(xi, diagonal);
    let equation = (2.0 * at.dot(&y) / ap).powi(2) + (2.0 * at.dot(&z) / si).powi(2);
    assert_relative_eq!(equation, 1.0, max_relative = 1e-14);
    let [canal_ap, canal_si] = bone.canal(xi);
    assert_relative_eq!(
        bone.canal_half_width(xi, y),
        canal_ap / 2.0,
        max_relative = 1e-14
    );
    assert_relative_eq!(
        bone.canal_half_width(xi, z),
        canal_si / 2.0,
        max_relative = 1e-14
    );
}

/// Source: model places 0.74 and 0.83 of the length for the conoid and trapezoid ligaments,
/// from Rios et al., *Am. J. Sports Med.* 35 (2007) 811 and a dry-bone study (*Düzce Med. J.*
/// 2025) over 149 mm. Their spreads (4 to 6 mm) are 0.03 to 0.04 of the length; half of that.
#[test]
fn ligaments_attach_where_measured() {
    for name in PRESET_NAMES {
        let bone = bone(name);
        assert!(
            (bone.conoid() - 0.74).abs() < 0.015,
            "{name}: {}",
            bone.conoid()
        );
        assert!(
            (bone.trapezoid() - 0.83).abs() < 0.015,
            "{name}: {}",
            bone.trapezoid()
        );
        assert_eq!(bone.costoclavicular(), 0.10);
    }
}

/// Source: hand calculation `0.53 · 0.332 H · W`: 15.2, 11.4, 7.9 and 5.3 N·m, to half their
/// last digit; a 5 kg weight in an average man's hand at 0.634 m, 3.73 times the arm's own
/// moment in all, to that rounding.
#[test]
fn shoulder_moments_match_the_hand_calculation() {
    for (name, newton_metres) in [
        ("adult-male-large", 15.2),
        ("adult-male-average", 11.4),
        ("adult-female", 7.9),
        ("child-12", 5.3),
    ] {
        let patient = Preset::named(name)
            .expect("a known preset")
            .patient(Side::Left);
        let moment = patient.shoulder_moment() / 1000.0;
        assert!((moment - newton_metres).abs() < 0.05, "{name}: {moment}");
    }
    let preset = Preset::named("adult-male-average").expect("a known preset");
    let man = preset.clone().patient(Side::Right);
    let ratio = 1.0 + man.hand_moment(5.0) / man.shoulder_moment();
    assert!((ratio - 3.73).abs() < 0.005, "{ratio}");
    assert_relative_eq!(
        preset.with_body_mass(38.0).arm_weight,
        18.4,
        max_relative = 1e-14
    );
}

/// Source: de Leva, *J. Biomech.* 29 (1996) 1223: arm 0.0494 (men) and 0.0449 (women) of body
/// mass; the presets print a tenth of a newton.
#[test]
fn arm_weights_match_de_leva() {
    for (name, share) in [
        ("adult-male-large", 0.0494),
        ("adult-male-average", 0.0494),
        ("adult-female", 0.0449),
    ] {
        let preset = Preset::named(name).expect("a known preset");
        let weight = share * preset.body_mass * 9.80665;
        assert!(
            (preset.arm_weight - weight).abs() < 0.05,
            "{name}: {weight}"
        );
    }
}

/// Law: a mirror carries a force and its lever so that the mirrored moment is theirs, undoes
/// itself, and leaves the right side alone.
#[test]
fn mirrors_carry_moments_with_their_levers() {
    let lever = Vector3::new(31.0, -7.0, 2.5);
    let force = Vector3::new(-4.0, 11.0, 6.0);
    for side in [Side::Right, Side::Left] {
        let moment = side.mirror(lever).cross(&side.mirror(force));
        assert!((side.mirror_axial(lever.cross(&force)) - moment).norm() < 1e-12);
        assert_eq!(side.mirror(side.mirror(lever)), lever);
        assert_eq!(side.mirror_axial(side.mirror_axial(force)), force);
    }
    assert_eq!(Side::Right.mirror(lever), lever);
    assert_eq!(Side::Left.mirror(lever), Vector3::new(-31.0, -7.0, 2.5));
}

#[test]
fn preset_names_are_those_of_the_file() {
    for name in PRESET_NAMES {
        assert_eq!(Preset::named(name).expect("a known preset").name, name);
    }
    assert_eq!(Preset::named("adult"), None);
}
