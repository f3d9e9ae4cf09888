//! The unbroken bone by hand: its section where it breaks, its stiffness as a straight beam.

use nalgebra::Vector3;

use super::expression::{Expression, Quantity};
use super::formula;
use super::sheet::{Sheet, Step};
use crate::assess::Assessment;
use crate::case::Case;
use crate::construct::{Construct, Mechanics};
use crate::frame::SolveError;
use crate::load::{Action, Activity, Bench, Loading};

pub(super) const TEXTBOOK: &str = "textbook formula";

/// Share of the bone between the pots of the stiffness tests.
pub(super) const BETWEEN_POTS: f64 = 0.8;

/// `180 × 1000`: with `π` over it, N·mm/rad become N·m/deg.
pub(super) const NMM_RAD_PER_NM_DEG: f64 = 180_000.0;

/// Force of the cantilever test, N.
const UNIT_FORCE: f64 = 10.0;

/// The bone's numbers for the steps that follow.
pub(super) struct Bone {
    /// Young's modulus.
    pub youngs: Quantity,
    /// Area at the fracture.
    pub area: Quantity,
    /// Second moment for bending up and down.
    pub vertical: Quantity,
    /// Second moment for bending front and back.
    pub horizontal: Quantity,
    /// Length.
    pub length: Quantity,
}

impl Bone {
    /// Fracture to the acromial end.
    pub fn lateral_fragment(&self, case: &Case) -> Quantity {
        let length = (1.0 - case.fracture.position) * self.length.value;
        Quantity::given("l_a", "fracture to the acromial end", length, "mm")
    }
}

/// Adds the section of the bone at the fracture and its stiffness between the pots.
pub(super) fn bone(
    sheet: &mut Sheet,
    case: &Case,
    assessment: &Assessment,
) -> Result<Bone, SolveError> {
    let (clavicle, at) = (&case.clavicle, case.fracture.position);
    let section = clavicle.section(at);
    let [outer_ap, outer_si] = clavicle.outer(at);
    let [canal_ap, canal_si] = clavicle.canal(at);
    let a = Quantity::given("a", "bone front to back", outer_ap, "mm");
    let b = Quantity::given("b", "bone top to bottom", outer_si, "mm");
    let c = Quantity::given("c", "canal front to back", canal_ap, "mm");
    let d = Quantity::given("d", "canal top to bottom", canal_si, "mm");
    let same = match clavicle.has_canal(at) {
        true => "the same hollow ellipse; only rounding differs",
        false => "the model adds the trabecular bone that fills the canal here",
    };

    let area = sheet.add(
        Step::new(
            "area of the bone at the fracture, a hollow ellipse",
            "A_b",
            "mm²",
            Expression::Pi * (&a * &b - &c * &d) / 4.0,
            TEXTBOOK,
        )
        .beside(Some(section.area), same),
    );
    let vertical = sheet.add(
        Step::new(
            "second moment of the bone for bending up and down",
            "I_v",
            "mm⁴",
            formula::hollow_ellipse(&a, &b, &c, &d),
            TEXTBOOK,
        )
        .beside(Some(section.second_moment_y), same),
    );
    let horizontal = sheet.add(
        Step::new(
            "second moment of the bone for bending front and back",
            "I_h",
            "mm⁴",
            formula::hollow_ellipse(&b, &a, &d, &c),
            TEXTBOOK,
        )
        .beside(Some(section.second_moment_z), same),
    );
    let torsion = torsion_constant(sheet, case, section.torsion_constant);

    let cortex = clavicle.cortex();
    let youngs = Quantity::given(
        "E_b",
        "modulus of cortical bone",
        cortex.youngs_modulus,
        "MPa",
    );
    let shear = Quantity::given("G_b", "its shear modulus", cortex.shear_modulus, "MPa");
    let length = Quantity::given("L", "straight length of the bone", clavicle.length(), "mm");
    sheet.add(
        Step::new(
            "bending stiffness down of the bone as a straight even beam, clamped in a pot at 10 %, \
             turned by a moment in a pot at 90 % of its length",
            "k_v",
            "N·m/deg",
            Expression::Pi * &youngs * &vertical / (NMM_RAD_PER_NM_DEG * (BETWEEN_POTS * &length)),
            TEXTBOOK,
        )
        .beside(
            Some(assessment.intact.bending_sup_inf_nm_per_deg),
            "taper: the ends of the bone are thicker than its middle; curvature: over part of the \
             S-curve the same moment twists, and bone is soft in torsion",
        ),
    );
    sheet.add(
        Step::new(
            "torsional stiffness of the same beam",
            "k_t",
            "N·m/deg",
            Expression::Pi * &shear * &torsion / (NMM_RAD_PER_NM_DEG * (BETWEEN_POTS * &length)),
            TEXTBOOK,
        )
        .beside(
            Some(assessment.intact.torsion_nm_per_deg),
            "Bredt's thin wall; taper; curvature: the torque also bends the S-curve",
        ),
    );
    let force = Quantity::given("F", "force at the acromial end", UNIT_FORCE, "N");
    sheet.add(
        Step::new(
            "deflection of its acromial end by unit load: a straight cantilever of the bone's own \
             length, held at the sternal end",
            "δ",
            "mm",
            &force * length.cubed() / (3.0 * &youngs * &vertical),
            "unit-load method, ∫ M m dx / EI with M = F x and m = x (textbook method)",
        )
        .beside(
            Some(cantilever_deflection(case)?),
            "taper: the thick sternal end, where the moment is largest, bends less; curvature; \
             shear, which the hand calculation leaves out",
        ),
    );
    Ok(Bone {
        youngs,
        area,
        vertical,
        horizontal,
        length,
    })
}

/// Bredt's formula for the ellipse through the middle of the wall.
fn torsion_constant(sheet: &mut Sheet, case: &Case, exact: f64) -> Quantity {
    let (clavicle, at) = (&case.clavicle, case.fracture.position);
    let [outer_ap, outer_si] = clavicle.outer(at);
    let wall = clavicle.wall(at);
    let p = Quantity::given("p", "mid-wall front to back", outer_ap - wall, "mm");
    let q = Quantity::given("q", "mid-wall top to bottom", outer_si - wall, "mm");
    let t = Quantity::given("t", "thickness of the cortex", wall, "mm");
    let enclosed = sheet.add(Step::new(
        "area within the middle of the wall",
        "A_m",
        "mm²",
        Expression::Pi * &p * &q / 4.0,
        TEXTBOOK,
    ));
    let girth = sheet.add(Step::new(
        "girth of the middle of the wall, as of a circle of the mean diameter",
        "u_m",
        "mm",
        Expression::Pi * (&p + &q) / 2.0,
        "approximation of a nearly round ellipse",
    ));
    sheet.add(
        Step::new(
            "torsion constant of the bone as a thin-walled tube",
            "J_b",
            "mm⁴",
            4.0 * enclosed.squared() * &t / &girth,
            "Bredt's formula (textbook)",
        )
        .beside(
            Some(exact),
            "a wall this thick is no thin wall: Bredt's formula leaves out what the wall resists \
             by its own thickness",
        ),
    )
}

/// Downward movement of the acromial end of the unbroken bone in the model.
fn cantilever_deflection(case: &Case) -> Result<f64, SolveError> {
    let test = Activity {
        phases: Vec::new(),
        name: "cantilever".to_owned(),
        loading: Loading::Bench(Bench::Cantilever { force: UNIT_FORCE }),
    };
    let setups = test.setups(&case.patient, &case.clavicle, case.fracture.position);
    let construct = Construct::new(&case.clavicle, None, &setups, Mechanics::Linear);
    let responses = construct.solve(&setups)?;
    let Action::Place { at, .. } = setups[0].actions[0] else {
        unreachable!("a cantilever is loaded at one place");
    };
    let moved: Vector3<f64> = responses[0]
        .motion(construct.node_at(at))
        .fixed_rows::<3>(0)
        .into_owned();
    Ok(-moved.z)
}
