//! Section properties.

use serde::Deserialize;

use super::formula::{Named, named};
use crate::section::{PolygonSection, Section};

/// A section of a material.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SectionOf {
    poisson_ratio: f64,
    /// Section forces for the peak stress.
    #[serde(default)]
    axial_n: f64,
    #[serde(default)]
    moment_y_nmm: f64,
    #[serde(default)]
    moment_z_nmm: f64,
    shape: Shape,
}

/// Sizes in mm; width along y, depth along z.
#[derive(Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "snake_case")]
enum Shape {
    Circle {
        diameter_mm: f64,
    },
    Tube {
        outer_diameter_mm: f64,
        inner_diameter_mm: f64,
    },
    Ellipse {
        width_mm: f64,
        depth_mm: f64,
    },
    HollowEllipse {
        width_mm: f64,
        depth_mm: f64,
        inner_width_mm: f64,
        inner_depth_mm: f64,
    },
    Rectangle {
        width_mm: f64,
        depth_mm: f64,
    },
    Polygon {
        outer_mm: Vec<[f64; 2]>,
        #[serde(default)]
        holes_mm: Vec<Vec<[f64; 2]>>,
    },
    /// An ellipse as a polygon inscribed in it; with a round canal off its centre.
    InscribedPolygon {
        width_mm: f64,
        depth_mm: f64,
        vertices: usize,
        canal_diameter_mm: Option<f64>,
        #[serde(default)]
        canal_offset_mm: f64,
    },
}

impl Shape {
    /// The section, and its centroid where that is not given.
    fn section(&self, nu: f64) -> (Section, Option<[f64; 2]>) {
        let polygon = |outer: &[[f64; 2]], holes: &[Vec<[f64; 2]>]| {
            let PolygonSection {
                section, centroid, ..
            } = Section::polygon(outer, holes).expect("our own polygons bound a section");
            (section, Some(centroid))
        };
        let section = match self {
            Shape::Circle { diameter_mm } => Section::circle(*diameter_mm, nu),
            Shape::Tube {
                outer_diameter_mm,
                inner_diameter_mm,
            } => Section::tube(*outer_diameter_mm, *inner_diameter_mm, nu),
            Shape::Ellipse { width_mm, depth_mm } => Section::ellipse(*width_mm, *depth_mm, nu),
            Shape::HollowEllipse {
                width_mm,
                depth_mm,
                inner_width_mm,
                inner_depth_mm,
            } => {
                Section::hollow_ellipse(*width_mm, *depth_mm, *inner_width_mm, *inner_depth_mm, nu)
            }
            Shape::Rectangle { width_mm, depth_mm } => Section::rectangle(*width_mm, *depth_mm, nu),
            Shape::Polygon { outer_mm, holes_mm } => return polygon(outer_mm, holes_mm),
            Shape::InscribedPolygon {
                width_mm,
                depth_mm,
                vertices,
                canal_diameter_mm,
                canal_offset_mm,
            } => {
                let outer = inscribed([*width_mm, *depth_mm], 0.0, *vertices);
                let canal =
                    canal_diameter_mm.map(|d| inscribed([d; 2], *canal_offset_mm, *vertices));
                return polygon(&outer, canal.as_slice());
            }
        };
        (section, None)
    }
}

/// Points on an ellipse whose centre is off along y.
fn inscribed([width, depth]: [f64; 2], offset: f64, vertices: usize) -> Vec<[f64; 2]> {
    let point = |i: usize| {
        let (sin, cos) = (std::f64::consts::TAU * i as f64 / vertices as f64).sin_cos();
        [offset + width / 2.0 * cos, depth / 2.0 * sin]
    };
    (0..vertices).map(point).collect()
}

impl SectionOf {
    pub(super) fn results(&self) -> Vec<Named> {
        let (section, centroid) = self.shape.section(self.poisson_ratio);
        let angle = section.principal_angle();
        let principal = section.rotated(angle);
        let mut results = vec![
            ("area_mm2", section.area),
            ("second_moment_y_mm4", section.second_moment_y),
            ("second_moment_z_mm4", section.second_moment_z),
            ("product_moment_mm4", section.product_moment),
            ("largest_second_moment_mm4", principal.y),
            ("smallest_second_moment_mm4", principal.z),
            ("largest_axis_rad", angle),
            ("torsion_constant_mm4", section.torsion_constant),
            ("torsion_modulus_mm3", 1.0 / section.torsion_shear),
            ("shear_coefficient_y", section.shear_area_y / section.area),
            ("shear_coefficient_z", section.shear_area_z / section.area),
        ];
        if let Some([y, z]) = centroid {
            results.extend([("centroid_y_mm", y), ("centroid_z_mm", z)]);
        }
        let peak = section.peak_axial_stress(self.axial_n, self.moment_y_nmm, self.moment_z_nmm);
        if let Some((highest, lowest)) = peak {
            results.extend([
                ("highest_stress_mpa", highest),
                ("lowest_stress_mpa", lowest),
            ]);
        }
        named(results)
    }
}
