//! The shapes of sections: checked, turned into properties, and drawn from one into another.

use crate::input::Checker;
use crate::section::{GivenProperties, Section};

use super::section_tables::{PolygonTable, PropertiesTable, SectionTable};

/// A section before its material is known. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Shape {
    Circle {
        diameter: f64,
    },
    Tube {
        outer: f64,
        inner: f64,
    },
    Ellipse {
        width: f64,
        depth: f64,
    },
    HollowEllipse {
        outer: [f64; 2],
        inner: [f64; 2],
    },
    Rectangle {
        width: f64,
        depth: f64,
    },
    /// A polygon or properties by number: they take no part of their material.
    Given(Section),
}

impl SectionTable {
    /// The shape, or none if a rule is broken.
    pub(super) fn shape(&self, check: &mut Checker, key: &str) -> Option<Shape> {
        check.exactly_one(key, &SHAPES);
        if let Some(circle) = &self.circle {
            Some(Shape::Circle {
                diameter: circle.diameter_mm,
            })
        } else if let Some(tube) = &self.tube {
            let (inner, outer) = (tube.inner_diameter_mm, tube.outer_diameter_mm);
            let inner_key = format!("{key}.tube.inner_diameter_mm");
            check.require(
                &inner_key,
                inner < outer,
                "must be less than outer_diameter_mm",
            );
            (inner < outer).then_some(Shape::Tube { outer, inner })
        } else if let Some(ellipse) = &self.ellipse {
            Some(Shape::Ellipse {
                width: ellipse.width_mm,
                depth: ellipse.depth_mm,
            })
        } else if let Some(hollow) = &self.hollow_ellipse {
            let outer = [hollow.width_mm, hollow.depth_mm];
            let inner = [hollow.inner_width_mm, hollow.inner_depth_mm];
            let fits = [inner[0] < outer[0], inner[1] < outer[1]];
            for (side, fits) in ["width_mm", "depth_mm"].into_iter().zip(fits) {
                let inner_key = format!("{key}.hollow-ellipse.inner_{side}");
                check.require(&inner_key, fits, format!("must be less than {side}"));
            }
            (fits == [true; 2]).then_some(Shape::HollowEllipse { outer, inner })
        } else if let Some(rectangle) = &self.rectangle {
            Some(Shape::Rectangle {
                width: rectangle.width_mm,
                depth: rectangle.depth_mm,
            })
        } else if let Some(polygon) = &self.polygon {
            polygon.shape(check, &format!("{key}.polygon"))
        } else {
            let properties = self.properties.as_ref()?;
            properties.shape(check, &format!("{key}.properties"))
        }
    }
}

const SHAPES: [&str; 7] = [
    "circle",
    "tube",
    "ellipse",
    "hollow-ellipse",
    "rectangle",
    "polygon",
    "properties",
];

impl PolygonTable {
    fn shape(&self, check: &mut Checker, key: &str) -> Option<Shape> {
        match Section::polygon(&self.outer_mm, &self.holes_mm) {
            Ok(polygon) => Some(Shape::Given(polygon.section)),
            Err(error) => {
                check.problem(key, format!("does not bound a section: {error}"));
                None
            }
        }
    }
}

impl PropertiesTable {
    fn shape(&self, check: &mut Checker, key: &str) -> Option<Shape> {
        let (iy, iz) = (self.second_moment_y_mm4, self.second_moment_z_mm4);
        let product_key = format!("{key}.product_moment_mm4");
        let sound = self.product_moment_mm4.powi(2) < iy * iz;
        check.require(
            &product_key,
            sound,
            "must be less in size than the root of the product of the second moments",
        );
        sound.then(|| {
            Shape::Given(Section::properties(GivenProperties {
                area: self.area_mm2,
                second_moment_y: iy,
                second_moment_z: iz,
                product_moment: self.product_moment_mm4,
                torsion_constant: self.torsion_constant_mm4,
                shear_area_y: self.shear_area_y_mm2,
                shear_area_z: self.shear_area_z_mm2,
            }))
        })
    }
}

impl Shape {
    /// The section's properties; the shear areas need the material's Poisson ratio.
    pub(super) fn section(&self, poisson_ratio: f64) -> Section {
        let nu = poisson_ratio;
        match *self {
            Shape::Circle { diameter } => Section::circle(diameter, nu),
            Shape::Tube { outer, inner } => Section::tube(outer, inner, nu),
            Shape::Ellipse { width, depth } => Section::ellipse(width, depth, nu),
            Shape::HollowEllipse { outer, inner } => {
                Section::hollow_ellipse(outer[0], outer[1], inner[0], inner[1], nu)
            }
            Shape::Rectangle { width, depth } => Section::rectangle(width, depth, nu),
            Shape::Given(section) => section,
        }
    }

    /// The shape at a fraction of the way to another of the same kind, every dimension
    /// running linearly; none if the two are of different kinds or have no dimensions.
    pub(super) fn towards(&self, end: &Shape, fraction: f64) -> Option<Shape> {
        let mix = |a: f64, b: f64| a + (b - a) * fraction;
        let mix_pair = |a: [f64; 2], b: [f64; 2]| [mix(a[0], b[0]), mix(a[1], b[1])];
        match (*self, *end) {
            (Shape::Circle { diameter }, Shape::Circle { diameter: other }) => {
                Some(Shape::Circle {
                    diameter: mix(diameter, other),
                })
            }
            (Shape::Tube { outer, inner }, Shape::Tube { outer: o, inner: i }) => {
                Some(Shape::Tube {
                    outer: mix(outer, o),
                    inner: mix(inner, i),
                })
            }
            (Shape::Ellipse { width, depth }, Shape::Ellipse { width: w, depth: d }) => {
                Some(Shape::Ellipse {
                    width: mix(width, w),
                    depth: mix(depth, d),
                })
            }
            (
                Shape::HollowEllipse { outer, inner },
                Shape::HollowEllipse { outer: o, inner: i },
            ) => Some(Shape::HollowEllipse {
                outer: mix_pair(outer, o),
                inner: mix_pair(inner, i),
            }),
            (Shape::Rectangle { width, depth }, Shape::Rectangle { width: w, depth: d }) => {
                Some(Shape::Rectangle {
                    width: mix(width, w),
                    depth: mix(depth, d),
                })
            }
            _ => None,
        }
    }
}
