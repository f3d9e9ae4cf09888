//! Shapes and courses of the invented comparison.

use clavibeam::assess::{BoneSlice, Course, CourseSample, Drawing, PlateShape, Rod};

use crate::sample_assessment::{GAP, LENGTH};

/// A triangle of moment; where there is a device (`reach`, mm) it takes a share of it, all of it in
/// the gap, and is stressed by so many MPa for each N·m.
pub fn courses(share: f64, mpa_per_nm: f64, reach: (f64, f64)) -> Vec<Course> {
    [
        ("arm lifted to 90°", 3.1),
        ("picking bag on shoulder strap", 2.2),
        ("arm hanging", 1.1),
    ]
    .map(|(name, peak)| Course {
        activity: name.into(),
        samples: (0..=80)
            .map(|i| {
                let position = f64::from(i) / 80.0;
                let moment = peak * (position / 0.62).min((1.0 - position) / 0.38);
                let x = position * LENGTH;
                let in_gap = (position - 0.5).abs() * LENGTH < 0.5 * GAP;
                let with_device = x > reach.0 && x < reach.1;
                let device_moment = if in_gap {
                    moment
                } else {
                    moment * share * (1.0 - 2.4 * (position - 0.5).abs())
                };
                let bone_moment = if with_device {
                    moment - device_moment
                } else {
                    moment
                };
                CourseSample {
                    position,
                    bone_moment_nm: (!in_gap).then_some(bone_moment),
                    device_moment_nm: with_device.then_some(device_moment),
                    bone_stress_mpa: (!in_gap).then_some(bone_moment * 11.0),
                    device_stress_mpa: with_device.then_some(device_moment * mpa_per_nm),
                }
            })
            .collect(),
    })
    .to_vec()
}

/// Centre, outer size and wall of the average adult male clavicle, sternal to acromial end.
const STATIONS: [[f64; 6]; 11] = [
    [0.0, 0.0, 0.0, 24.5, 24.0, 1.05],
    [15.5, 5.1, 0.1, 19.0, 19.0, 1.25],
    [31.0, 9.2, 0.3, 15.5, 15.8, 1.6],
    [46.5, 11.1, 0.8, 13.8, 13.4, 2.0],
    [62.0, 9.9, 1.8, 12.6, 11.9, 2.3],
    [77.5, 5.3, 3.1, 12.0, 11.0, 2.4],
    [93.0, -1.5, 4.5, 12.2, 10.6, 2.35],
    [108.5, -8.3, 5.1, 14.4, 10.6, 2.0],
    [124.0, -10.6, 4.5, 18.4, 10.8, 1.6],
    [139.5, -6.9, 2.6, 22.6, 11.2, 1.2],
    [155.0, 0.0, 0.0, 21.5, 11.0, 0.95],
];

/// A station by a cubic through its neighbours.
fn station(x: f64) -> [f64; 6] {
    let place = (x / 15.5).clamp(0.0, 9.999);
    let (i, t) = (place as usize, place.fract());
    let at = |j: i64| STATIONS[j.clamp(0, 10) as usize];
    let i = i as i64;
    let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
    std::array::from_fn(|k| {
        let (m, n) = (0.5 * (c[k] - a[k]), 0.5 * (d[k] - b[k]));
        let value = b[k] * (1.0 + 2.0 * t) * (1.0 - t).powi(2)
            + m * t * (1.0 - t).powi(2)
            + c[k] * t * t * (3.0 - 2.0 * t)
            - n * t * t * (1.0 - t);
        if k == 0 { x } else { value }
    })
}

fn slice(x: f64) -> BoneSlice {
    let [x, y, z, ap, si, wall] = station(x);
    BoneSlice {
        centre: [x, y, z],
        outer: [ap, si],
        canal: [ap - 2.0 * wall, si - 2.0 * wall],
        canal_open: (0.045..0.87).contains(&(x / LENGTH)),
    }
}

pub fn fragments() -> Vec<Vec<BoneSlice>> {
    let half = 0.5 * (LENGTH - GAP);
    let run = |from: f64| {
        (0..=40)
            .map(|i| slice(from + half * f64::from(i) / 40.0))
            .collect()
    };
    vec![run(0.0), run(half + GAP)]
}

pub fn rod(from: f64, to: f64, diameter: f64, threaded: bool) -> Rod {
    Rod {
        points: (0..=40)
            .map(|i| slice(from + (to - from) * f64::from(i) / 40.0).centre)
            .collect(),
        diameter,
        threaded,
    }
}

pub fn plate_drawing(turn: f64) -> Drawing {
    let (width, thickness) = (11.0, 3.3);
    let angle = turn * std::f64::consts::PI;
    let normal = [0.0, angle.sin(), angle.cos()];
    let across = [0.0, angle.cos(), -angle.sin()];
    let off = |x: f64, distance: f64| {
        let [x, y, z, ap, si, _] = station(x);
        let surface = 0.5 * (ap * normal[1].powi(2) + si * normal[2].powi(2));
        let reach = surface + distance;
        [x, y + reach * normal[1], z + reach * normal[2]]
    };
    let xs: Vec<f64> = (0..=40)
        .map(|i| 32.0 + 91.0 * f64::from(i) / 40.0)
        .collect();
    let holes: Vec<(f64, bool)> = (0..8)
        .map(|i| (37.5 + 11.43 * f64::from(i), i != 3 && i != 4))
        .collect();
    Drawing {
        fragments: fragments(),
        cut: None,
        rods: Vec::new(),
        plates: vec![PlateShape {
            points: xs.iter().map(|&x| off(x, 0.5 * thickness)).collect(),
            normals: vec![normal; xs.len()],
            across: vec![across; xs.len()],
            width,
            thickness,
            holes: holes
                .iter()
                .map(|&(x, filled)| (off(x, 0.5 * thickness), filled))
                .collect(),
            hole_diameter: 4.5,
        }],
        screws: holes
            .iter()
            .filter(|(_, filled)| *filled)
            .map(|&(x, _)| Rod {
                points: vec![off(x, thickness), off(x, -13.0)],
                diameter: 3.5,
                threaded: true,
            })
            .collect(),
    }
}
