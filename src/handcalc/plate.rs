//! A plate by hand.

use super::bench::{self, Layers, Rollers};
use super::bone::{BETWEEN_POTS, Bone, NMM_RAD_PER_NM_DEG, TEXTBOOK};
use super::expression::{Expression, Quantity};
use super::formula;
use super::sheet::{Sheet, Step};
use super::strength;
use crate::assess::ConstructAssessment;
use crate::case::Case;
use crate::construct::{held_in_cortex, plate_points};
use crate::device::{Plate, Screw, Surface, cortical_shear_strength};
use crate::frame::{Moduli, SolveError};
use crate::section::Section;

const F382: &str = "four-point bending of bone plates, ASTM F382 (formula from memory, and by beam \
                    theory)";
const NEWMARK: &str = "Newmark, Siess & Viest (1951), in the form of Girhammar & Gopu (1993) (theory \
                       from memory)";

/// What the steps of one plate share.
pub(super) struct Plating<'a> {
    pub(super) case: &'a Case,
    pub(super) plate: &'a Plate,
    bone: &'a Bone,
    pub(super) model: &'a ConstructAssessment,
    pub(super) width: Quantity,
    pub(super) thickness: Quantity,
    pub(super) youngs: Quantity,
    area: Quantity,
    /// Second moments, flat and on edge.
    pub(super) flat: Quantity,
    edge: Quantity,
    /// Axis of the bone to the middle of the plate.
    pub(super) distance: Quantity,
}

impl<'a> Plating<'a> {
    /// Adds the plate's section.
    pub fn new(
        sheet: &mut Sheet,
        case: &'a Case,
        plate: &'a Plate,
        bone: &'a Bone,
        model: &'a ConstructAssessment,
    ) -> Self {
        let width = Quantity::given("w", "width of the plate", plate.width, "mm");
        let thickness = Quantity::given("t", "its thickness", plate.thickness, "mm");
        let gross = Section::rectangle(plate.width, plate.thickness, plate.material.poisson_ratio);
        let same = "the same rectangle, between the holes";
        let area = Step::new(
            "area of the plate",
            "A_p",
            "mm²",
            &width * &thickness,
            TEXTBOOK,
        );
        let flat = Step::new(
            "second moment of the plate bent flat",
            "I_f",
            "mm⁴",
            &width * thickness.cubed() / 12.0,
            TEXTBOOK,
        );
        let edge = Step::new(
            "second moment of the plate bent on edge",
            "I_e",
            "mm⁴",
            &thickness * width.cubed() / 12.0,
            TEXTBOOK,
        );
        let point = plate_points(plate, &case.clavicle, [offset(case, plate)])[0];
        let axis = case.clavicle.point(point.beside);
        let youngs = plate.material.youngs_modulus;
        Plating {
            area: sheet.add(area.beside(Some(gross.area), same)),
            flat: sheet.add(flat.beside(Some(gross.second_moment_y), same)),
            edge: sheet.add(edge.beside(Some(gross.second_moment_z), same)),
            youngs: Quantity::given("E_p", "modulus of the plate", youngs, "MPa"),
            distance: Quantity::given(
                "r",
                "axis of the bone to the middle of the plate",
                (point.position - axis).norm(),
                "mm",
            ),
            case,
            plate,
            bone,
            model,
            width,
            thickness,
        }
    }

    /// The plate at a hole.
    pub fn net_section(&self, sheet: &mut Sheet) {
        let (w, t) = (&self.width, &self.thickness);
        let d = self.hole_diameter();
        sheet.add(Step::new(
            "area left at a hole",
            "A_n",
            "mm²",
            (w - &d) * t,
            TEXTBOOK,
        ));
        sheet.add(Step::new(
            "second moment left at a hole, bent flat",
            "I_fn",
            "mm⁴",
            (w - &d) * t.cubed() / 12.0,
            TEXTBOOK,
        ));
        sheet.add(Step::new(
            "second moment left at a hole, bent on edge",
            "I_en",
            "mm⁴",
            t * (w.cubed() - d.cubed()) / 12.0,
            TEXTBOOK,
        ));
    }

    pub(super) fn hole_diameter(&self) -> Quantity {
        Quantity::given("d", "diameter of its holes", self.plate.hole_diameter, "mm")
    }

    /// Bone and plate as one section, and how screws that give way fall short of it.
    pub fn with_bone(&self, sheet: &mut Sheet) -> Result<(), SolveError> {
        let bone = self.bone;
        let bending = match self.plate.surface {
            Surface::Superior => bone.vertical.clone(),
            Surface::Anterior => bone.horizontal.clone(),
            Surface::Anteroinferior => sheet.add(Step::new(
                "second moment of the bone about an axis half-way between its own",
                "I_d",
                "mm⁴",
                (&bone.vertical + &bone.horizontal) / 2.0,
                "Mohr's circle (textbook)",
            )),
        };
        let (r, e_b, e_p) = (&self.distance, &bone.youngs, &self.youngs);
        let ratio = Step::new(
            "how many times stiffer the metal is than the bone: the plate counts as so much bone",
            "n",
            "",
            e_p / e_b,
            "transformed section (textbook)",
        );
        let ratio = sheet.add(ratio);
        let metal = Expression::from(&ratio) * &self.area;
        let shift = sheet.add(Step::new(
            "axis of bone and plate together, from the bone's towards the plate",
            "y_c",
            "mm",
            metal.clone() * r / (&bone.area + metal.clone()),
            "transformed section (textbook)",
        ));
        let together = sheet.add(Step::new(
            "second moment of unbroken bone and plate bonded to it, as bone, each about the common \
             axis (parallel-axis theorem)",
            "I_c",
            "mm⁴",
            &bending
                + &bone.area * shift.squared()
                + &ratio * (&self.flat + &self.area * (r - &shift).power(2.0)),
            "transformed section (textbook)",
        ));
        let bonded = sheet.add(Step::new(
            "bending stiffness if nothing slips",
            "EI_∞",
            "N·mm²",
            e_b * &together,
            TEXTBOOK,
        ));
        let loose = sheet.add(Step::new(
            "bending stiffness if bone and plate slip freely",
            "EI_0",
            "N·mm²",
            e_b * &bending + e_p * &self.flat,
            TEXTBOOK,
        ));
        self.partial_interaction(sheet, &bending, &bonded, &loose)
    }

    fn partial_interaction(
        &self,
        sheet: &mut Sheet,
        bending: &Quantity,
        bonded: &Quantity,
        loose: &Quantity,
    ) -> Result<(), SolveError> {
        let (plate, clavicle) = (self.plate, &self.case.clavicle);
        let Some(screw) = plate.screws.first() else {
            return Ok(());
        };
        let stiffness = screw_stiffness(self.case, plate, screw);
        let k = "one screw across its axis, a beam bedded in the near cortex";
        let k = Quantity::given("k_s", k, stiffness, "N/mm");
        let span = plate.length();
        let spacing = span / plate.screws.len() as f64;
        let spacing = Quantity::given("s", "length of plate to a screw", spacing, "mm");
        let length = Quantity::given("l", "length of the plate, on two supports", span, "mm");
        let force = Quantity::given("F", "force in the middle", 100.0, "N");
        let modulus = sheet.add(Step::new(
            "slip modulus: the screws smeared along the plate",
            "K",
            "MPa",
            &k / &spacing,
            NEWMARK,
        ));
        let (e_b, e_p) = (&self.bone.youngs, &self.youngs);
        let layers = [(e_b, &self.bone.area), (e_p, &self.area)];
        let alpha = sheet.add(Step::new(
            "how quickly slip dies out along the plate",
            "α",
            "1/mm",
            formula::slip_decay(&modulus, layers, &self.distance, loose),
            NEWMARK,
        ));
        let cortex = clavicle.cortex();
        let nu = cortex.poisson_ratio;
        let layer = Section {
            area: self.bone.area.value,
            second_moment_y: bending.value,
            ..Section::circle(10.0, nu)
        };
        let layers = Layers {
            bone: (Moduli::from(cortex), layer),
            plate: (
                Moduli::from(&plate.material),
                Section::rectangle(plate.width, plate.thickness, nu),
            ),
            distance: self.distance.value,
            span,
            screws: (plate.screws.iter())
                .map(|screw| span / 2.0 + plate.hole_offset(screw.hole))
                .collect(),
            screw: k.value,
        };
        sheet.add(
            Step::new(
                "deflection of unbroken bone and plate that slip on each other, straight and even",
                "δ_p",
                "mm",
                formula::partial_interaction(&force, &length, bonded, loose, &alpha),
                NEWMARK,
            )
            .beside(
                Some(layers.deflection(force.value)?),
                "two straight layers in the same solver, each screw a spring at its own place, none \
                 in an empty hole: the formula smears them evenly",
            ),
        );
        Ok(())
    }

    /// Four-point bending of the plate alone.
    pub fn on_rollers(&self, sheet: &mut Sheet) -> Result<(), SolveError> {
        let Some(rollers) = Rollers::of(self.plate) else {
            sheet.note(
                "the plate has too few holes for four-point bending with none under a roller",
            );
            return Ok(());
        };
        let h = Quantity::given("h", "support to load roller", rollers.outer, "mm");
        let a = Quantity::given("a", "between the load rollers", rollers.inner, "mm");
        let measured = bench::flat_plate(self.plate, rollers)?;
        sheet.add(
            Step::new(
                "four-point bending of the plate alone, flat: force over movement at the load \
                 rollers, the holes left out",
                "K_4",
                "N/mm",
                formula::four_point_slope(&self.youngs, &self.flat, &h, &a),
                F382,
            )
            .beside(
                Some(measured),
                "the model has the holes (and notches): what they take from the section is averaged \
                 over strips; it shears too",
            ),
        );
        let slope = "the model's force over movement, in place of a measured slope";
        let slope = Quantity::given("K_m", slope, measured, "N/mm");
        let what = "structural stiffness of the plate as the standard reports it";
        let formula = formula::plate_stiffness(&h, &a, &slope);
        let whole = sheet.add(Step::new(what, "EI_s", "N·mm²", formula, F382));
        sheet.add(Step::new(
            "share of the solid plate's stiffness that holes (and notches) leave",
            "u",
            "%",
            100.0 * &whole / (&self.youngs * &self.flat),
            "definition",
        ));
        Ok(())
    }

    /// Working length, and the stiffness of the broken bone with the plate as its only bridge.
    pub fn working_length(&self, sheet: &mut Sheet) -> Option<Quantity> {
        let (plate, bone) = (self.plate, self.bone);
        let working = plate.working_length(offset(self.case, plate))?;
        let spacing = Quantity::given("s_h", "distance between holes", plate.hole_spacing, "mm");
        let steps = (working / plate.hole_spacing).round();
        let steps = Quantity::given("m", "spaces between the innermost screws", steps, "");
        let working = sheet.add(
            Step::new(
                "working length: between the innermost screws on either side of the fracture",
                "L_w",
                "mm",
                &steps * &spacing,
                "definition",
            )
            .beside(
                self.model.working_length_mm,
                "of two plates the model gives the shorter",
            ),
        );
        let plate_flexibility = match self.plate.surface {
            Surface::Superior => &working / (&self.youngs * &self.flat),
            Surface::Anterior => &working / (&self.youngs * &self.edge),
            // A moment at 45° bends it both ways, half of it each.
            Surface::Anteroinferior => {
                &working / (2.0 * &self.youngs * &self.flat)
                    + &working / (2.0 * &self.youngs * &self.edge)
            }
        };
        let flexibility = (BETWEEN_POTS * &bone.length - &working)
            / (&bone.youngs * &bone.vertical)
            + plate_flexibility;
        sheet.add(
            Step::new(
                "bending stiffness down of the plated broken bone: straight bone but for the \
                 working length, where the plate is alone",
                "k_p",
                "N·m/deg",
                Expression::Pi / (NMM_RAD_PER_NM_DEG * flexibility),
                "unit-load method (textbook method)",
            )
            .beside(
                Some(self.model.stiffness.bending_sup_inf_nm_per_deg),
                "beyond the innermost screws plate and bone share the moment, the ends of the bone \
                 are thick, and the plate is curved; screws and cortices are springs",
            ),
        );
        Some(working)
    }

    /// Pull-out of the screw nearest the fracture.
    pub fn pull_out(&self, sheet: &mut Sheet) {
        let away = |position: f64| (position - self.case.fracture.position).abs();
        let nearest = self
            .model
            .screws
            .iter()
            .min_by(|a, b| away(a.position).total_cmp(&away(b.position)));
        let Some(screw) = nearest else {
            return;
        };
        let outer = screw.outer_diameter_mm;
        let outer = Quantity::given("D", "outer diameter of the thread", outer, "mm");
        let core = Quantity::given("D_c", "its core diameter", screw.core_diameter_mm, "mm");
        let pitch = Quantity::given("p", "thread to thread", screw.pitch_mm, "mm");
        let clavicle = &self.case.clavicle;
        let strength = cortical_shear_strength(clavicle.cortex().youngs_modulus);
        let strength = Quantity::given("S_b", "shear strength of the cortex", strength, "MPa");
        let wall = clavicle.wall(screw.position);
        let wall = Quantity::given("t_c", "thickness of the cortex there", wall, "mm");
        let cortices = Quantity::given("j", "cortices it holds in", screw.cortices as f64, "");
        let chapman = "Chapman et al., J. Biomech. Eng. 118 (1996) 391-398 (formula from memory)";
        let what = format!(
            "thread shape factor of {}, the nearest to the fracture",
            screw.name
        );
        let factor = formula::thread_shape_factor(&outer, &core, &pitch);
        let factor = sheet.add(Step::new(what, "TSF", "", factor, chapman));
        sheet.add(
            Step::new(
                "force that pulls it out",
                "F_o",
                "N",
                &strength * Expression::Pi * &outer * &cortices * &wall * &factor,
                chapman,
            )
            .beside(
                Some(screw.pull_out_n),
                "the model measures the cortex along the screw's own line through the ellipse",
            ),
        );
    }

    /// Buckling over the working length.
    pub fn buckling(&self, sheet: &mut Sheet, working: &Quantity, model: Option<f64>) {
        let fragment = self.bone.lateral_fragment(self.case);
        strength::buckling(sheet, &self.youngs, &self.flat, working, &fragment, model);
    }
}

/// Distance of the fracture from the middle of the plate along the bone, mm.
fn offset(case: &Case, plate: &Plate) -> f64 {
    case.clavicle.arc_length(case.fracture.position) - case.clavicle.arc_length(plate.centre)
}

/// Stiffness of a screw across its axis in the near cortex, N/mm; the foundation has the modulus
/// of the bone.
fn screw_stiffness(case: &Case, plate: &Plate, screw: &Screw) -> f64 {
    let core = Section::circle(screw.core_diameter, plate.material.poisson_ratio);
    let bending = plate.material.youngs_modulus * core.second_moment_y;
    let wall = case.clavicle.wall(plate.centre);
    held_in_cortex(bending, case.clavicle.cortex().youngs_modulus, wall)[0]
}
