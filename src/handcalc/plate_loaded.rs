//! A plate by hand under one activity: stress at a hole, fatigue, strain of the gap.

use super::bone::TEXTBOOK;
use super::expression::{Expression, Function, Quantity};
use super::formula;
use super::loads::AtFracture;
use super::plate::Plating;
use super::sheet::{Sheet, Step};
use super::strength;
use crate::assess::{CriticalSection, SectionStress};
use crate::construct::Part;
use crate::device::{Hole, Surface, notch_sensitivity};

impl Plating<'_> {
    /// Stress at the hole nearest the fracture, fatigue and gap strain in one activity.
    pub fn under(
        &self,
        sheet: &mut Sheet,
        acting: &AtFracture,
        activity: usize,
        working: &Quantity,
    ) {
        let zero = Expression::Number(0.0);
        let or_zero = |moment: &Option<Quantity>| moment.as_ref().map(Expression::from);
        let vertical = or_zero(&acting.vertical).unwrap_or(zero.clone());
        let horizontal = or_zero(&acting.horizontal).unwrap_or(zero);
        let (mut flat, edge) = match self.plate.surface {
            Surface::Superior => (vertical, horizontal),
            Surface::Anterior => (-horizontal, vertical),
            Surface::Anteroinferior => (
                -(vertical.clone() + horizontal.clone()) / Expression::from(2.0).root(),
                (vertical - horizontal) / Expression::from(2.0).root(),
            ),
        };
        if let Some(push) = &acting.push {
            flat = flat + push * &self.distance;
        }
        let size = |moment| Expression::function(Function::Size, moment);
        let flat = sheet.add(Step::new(
            "moment that bends the plate flat over the gap, the push along the bone's axis included",
            "M_f",
            "N·mm",
            size(flat),
            TEXTBOOK,
        ));
        let edge = sheet.add(Step::new(
            "moment that bends it on edge",
            "M_e",
            "N·mm",
            size(edge),
            TEXTBOOK,
        ));
        let (w, t, d) = (&self.width, &self.thickness, self.hole_diameter());
        let mut nominal = 6.0 * &flat / ((w - &d) * t.squared())
            + 6.0 * &edge * w / ((w.cubed() - d.cubed()) * t);
        if let Some(push) = &acting.push {
            nominal = nominal + push / ((w - &d) * t);
        }
        let nominal = sheet.add(Step::new(
            "nominal stress on the net section at the hole, the gap carried by the plate alone",
            "σ",
            "MPa",
            nominal,
            TEXTBOOK,
        ));
        let section = self.nearest_hole();
        let stress = section.and_then(|section| section.activities.get(activity));
        let combined = combined(sheet, acting, &nominal, w, t, &d, section.zip(stress));
        let kt = self.stress_concentration(sheet, section);
        let what =
            "peak stress at the edge of the hole, elastic, as if all of it were flat bending";
        sheet.add(Step::new(
            what,
            "σ_max",
            "MPa",
            &kt * &combined,
            "definition of Kt",
        ));
        if let Some(strength) = &self.plate.material.strength {
            let q = notch_sensitivity(strength, self.plate.hole_diameter / 2.0);
            let model = section.map(|section| section.kf);
            let kf = strength::notch_factor(sheet, &kt, q, model);
            strength::fatigue(sheet, &combined, &kf, &self.plate.material, stress);
        }
        self.gap_strain(sheet, &flat, working, activity);
    }

    /// The hole nearest the fracture, as the model names it.
    fn nearest_hole(&self) -> Option<&CriticalSection> {
        let away =
            |section: &&CriticalSection| (section.position - self.case.fracture.position).abs();
        let sections = self.model.critical_sections.iter();
        sections
            .filter(|section| section.part == Part::Device && section.name.starts_with("hole"))
            .min_by(|a, b| away(a).total_cmp(&away(b)))
    }

    fn stress_concentration(
        &self,
        sheet: &mut Sheet,
        section: Option<&CriticalSection>,
    ) -> Quantity {
        let (w, t, d) = (&self.width, &self.thickness, self.hole_diameter());
        let hole = Hole {
            width: self.plate.width,
            thickness: self.plate.thickness,
            diameter: self.plate.hole_diameter,
        };
        let model = section.map_or(hole.flat_bending_kt(), |section| section.kt);
        sheet.add(
            Step::new(
                "stress concentration of a hole in flat bending, on the net section",
                "K_t",
                "",
                formula::hole_in_flat_bending(&d, t, w),
                "Young & Budynas, Roark's Formulas for Stress and Strain, table 17.1 (as \
                 transcribed); finite width from memory, to about d/w = 0.3",
            )
            .beside(Some(model), "the same formula; only rounding differs"),
        )
    }

    fn gap_strain(
        &self,
        sheet: &mut Sheet,
        moment: &Quantity,
        working: &Quantity,
        activity: usize,
    ) {
        let [ap, si] = self.case.clavicle.outer(self.case.fracture.position);
        let across = match self.plate.surface {
            Surface::Superior => si,
            Surface::Anterior => ap,
            Surface::Anteroinferior => (ap + si) / 2.0,
        };
        let gap = Quantity::given("g", "gap", self.case.fracture.gap, "mm");
        let across = Quantity::given(
            "b_r",
            "thickness of the bone across the plate",
            across,
            "mm",
        );
        let angle = sheet.add(Step::new(
            "angle by which the plate bends flat over its working length",
            "φ",
            "rad",
            moment * working / (&self.youngs * &self.flat),
            TEXTBOOK,
        ));
        let model = self.model.fracture_motion.get(activity);
        sheet.add(
            Step::new(
                "interfragmentary strain at the cortex far from the plate",
                "ε_g",
                "%",
                100.0 * &angle * (&self.distance + &across / 2.0) / &gap,
                "Perren's strain, change of the gap over the gap",
            )
            .beside(
                model.map(|motion| motion.strain_percent),
                "the model's screws take moment off the plate beyond the innermost ones and give \
                 way in the cortex; it bends the plate on edge as well, and shears and squeezes it",
            ),
        );
    }
}

/// Torsion added by von Mises; the nominal stress itself if nothing twists.
fn combined(
    sheet: &mut Sheet,
    acting: &AtFracture,
    nominal: &Quantity,
    w: &Quantity,
    t: &Quantity,
    d: &Quantity,
    model: Option<(&CriticalSection, &SectionStress)>,
) -> Quantity {
    let mut squares = nominal.squared();
    if let Some(torque) = &acting.torque {
        let shear = 3.0 * torque / ((w - d) * t.squared());
        let what = "shear stress of the torque in the net section, a thin strip";
        let shear = sheet.add(Step::new(what, "τ", "MPa", shear, TEXTBOOK));
        squares = squares + 3.0 * shear.squared();
    }
    let name = model.map_or("hole", |(section, _)| section.name.as_str());
    sheet.add(
        Step::new(
            format!("combined stress, von Mises, at the model's {name}"),
            "σ_v",
            "MPa",
            squares.root(),
            TEXTBOOK,
        )
        .beside(
            model.map(|(_, stress)| stress.nominal_stress_mpa),
            "beside a hole that carries a screw the bone takes part of the moment; the plate is \
             curved and the moment changes along it",
        ),
    )
}
