//! The section tables of a frame file as typed.

use schemars::JsonSchema;
use serde::Deserialize;

/// A section; give exactly one shape. Width runs along local `y`, depth along local `z`.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct SectionTable {
    /// Solid circle.
    pub circle: Option<CircleTable>,
    /// Round tube.
    pub tube: Option<TubeTable>,
    /// Solid ellipse.
    pub ellipse: Option<EllipseTable>,
    /// Ellipse with an elliptic canal.
    pub hollow_ellipse: Option<HollowEllipseTable>,
    /// Solid rectangle.
    pub rectangle: Option<RectangleTable>,
    /// Any outline with straight edges.
    pub polygon: Option<PolygonTable>,
    /// Properties by number; no stress is then recovered.
    pub properties: Option<PropertiesTable>,
}

/// Solid circle.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CircleTable {
    /// Diameter.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub diameter_mm: f64,
}

/// Round tube.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TubeTable {
    /// Outer diameter.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub outer_diameter_mm: f64,
    /// Inner diameter, less than the outer.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub inner_diameter_mm: f64,
}

/// Solid ellipse.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EllipseTable {
    /// Whole axis along local `y`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width_mm: f64,
    /// Whole axis along local `z`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub depth_mm: f64,
}

/// Ellipse with an elliptic canal on the same centre and axes.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HollowEllipseTable {
    /// Whole outer axis along local `y`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width_mm: f64,
    /// Whole outer axis along local `z`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub depth_mm: f64,
    /// Whole axis of the canal along local `y`, less than the width.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub inner_width_mm: f64,
    /// Whole axis of the canal along local `z`, less than the depth.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub inner_depth_mm: f64,
}

/// Solid rectangle.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RectangleTable {
    /// Side along local `y`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width_mm: f64,
    /// Side along local `z`.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub depth_mm: f64,
}

/// An outline with straight edges, its points `[y, z]` in any axes parallel to the local
/// ones: the member runs through the centroid.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PolygonTable {
    /// Points of the outline in order.
    #[schemars(length(min = 3))]
    pub outer_mm: Vec<[f64; 2]>,
    /// Points of each hole in order; default none.
    #[serde(default)]
    pub holes_mm: Vec<Vec<[f64; 2]>>,
}

/// Section properties about centroidal axes.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PropertiesTable {
    /// Area.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub area_mm2: f64,
    /// `∫ z² dA`: resists bending in the local x–z plane.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub second_moment_y_mm4: f64,
    /// `∫ y² dA`: resists bending in the local x–y plane.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub second_moment_z_mm4: f64,
    /// `∫ y z dA`; default 0.
    #[serde(default)]
    pub product_moment_mm4: f64,
    /// Saint-Venant torsion constant.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub torsion_constant_mm4: f64,
    /// Shear area `κA` along local `y`; default no shear deformation in that direction.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_area_y_mm2: Option<f64>,
    /// Shear area `κA` along local `z`; default no shear deformation in that direction.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub shear_area_z_mm2: Option<f64>,
}
