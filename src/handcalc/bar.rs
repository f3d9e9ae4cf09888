//! A nail, pin, wire or cannulated screw by hand.

use super::bench::{self, Rollers};
use super::bone::{BETWEEN_POTS, Bone, NMM_RAD_PER_NM_DEG, TEXTBOOK};
use super::expression::{Expression, Function, Quantity};
use super::formula;
use super::loads::{AtFracture, resultant_of};
use super::sheet::{Sheet, Step};
use super::strength;
use crate::assess::{ConstructAssessment, CriticalSection};
use crate::case::Case;
use crate::construct::Part;
use crate::device::{Device, THREAD_KF};
use crate::frame::{Moduli, SolveError};
use crate::material::Material;
use crate::section::Section;

const F1264: &str = "four-point bending of intramedullary devices, ASTM F1264 (formula from memory, \
                     and by beam theory)";

/// Support to load roller, and between the load rollers, mm: the standard's short option, from
/// memory.
const ROLLERS: Rollers = Rollers {
    outer: 38.0,
    inner: 38.0,
};

/// A round bar as the hand calculation sees it. Diameters in mm.
struct Round<'a> {
    shank: f64,
    /// Core of its medial thread, if it has one.
    core: Option<f64>,
    /// Channel along its axis; 0 if there is none.
    channel: f64,
    material: &'a Material,
}

fn round(device: &Device) -> Option<Round<'_>> {
    let smooth = |shank, material| Round {
        shank,
        core: None,
        channel: 0.0,
        material,
    };
    match device {
        Device::Nail(nail) => Some(smooth(nail.diameter, &nail.material)),
        Device::Wire(wire) => Some(smooth(wire.diameter, &wire.material)),
        Device::Pin(pin) => Some(Round {
            core: Some(pin.core_diameter),
            ..smooth(pin.shank_diameter, &pin.material)
        }),
        Device::CannulatedScrew(screw) => Some(Round {
            core: Some(screw.core_diameter),
            channel: screw.cannulation_diameter,
            ..smooth(screw.shank_diameter, &screw.material)
        }),
        Device::Plate(_) | Device::Plates(_) => None,
    }
}

/// Works out a bar in the canal under the activity that bends the fracture most.
pub(super) fn bar(
    sheet: &mut Sheet,
    case: &Case,
    bone: &Bone,
    device: &Device,
    model: &ConstructAssessment,
    (acting, activity): (&AtFracture, usize),
    buckles: Option<f64>,
) -> Result<(), SolveError> {
    let Some(round) = round(device) else {
        return Ok(());
    };
    let material = round.material;
    let diameter = Quantity::given("d", "diameter of its shank", round.shank, "mm");
    let channel = (round.channel > 0.0)
        .then(|| Quantity::given("d_i", "diameter of its channel", round.channel, "mm"));
    let nu = material.poisson_ratio;
    let section = Section::tube(round.shank, round.channel, nu);
    let same = "the same circle; only rounding differs";
    let second_moment = sheet.add(
        Step::new(
            "second moment of the shank, which crosses the fracture",
            "I_s",
            "mm⁴",
            Expression::Pi * hollow(&diameter, &channel, 4.0) / 64.0,
            TEXTBOOK,
        )
        .beside(Some(section.second_moment_y), same),
    );
    let youngs = Quantity::given(
        "E_s",
        "modulus of the metal",
        material.youngs_modulus,
        "MPa",
    );
    on_rollers(sheet, &section, material, &youngs, &second_moment)?;
    let (lambda, working) = working_length(sheet, case, bone, &youngs, &second_moment);
    stiffness(sheet, bone, &youngs, &second_moment, &working, model);
    let fragment = bone.lateral_fragment(case);
    strength::buckling(sheet, &youngs, &second_moment, &working, &fragment, buckles);

    let moments = [&acting.vertical, &acting.horizontal];
    let moments: Vec<&Quantity> = moments.into_iter().flatten().collect();
    let bending = sheet.add(Step::new(
        format!("bending moment at the fracture, '{}'", acting.name),
        "M_b",
        "N·mm",
        resultant_of(&moments),
        TEXTBOOK,
    ));
    let find = |name: &str| {
        let mut sections = model.critical_sections.iter();
        sections.find(|section| section.part == Part::Device && section.name == name)
    };
    let mut stressed = ("over the gap", &diameter, "", "σ_s", "τ_s", "σ_v");
    let mut kf = Quantity::given("K_f", "notch factor of a smooth bar", 1.0, "");
    let over_gap = stress(
        sheet,
        acting,
        &bending,
        &channel,
        stressed,
        find("over the gap"),
        activity,
    );
    let core = round
        .core
        .map(|core| Quantity::given("d_c", "core of the thread", core, "mm"));
    let mut weakest = (over_gap, find("over the gap"));
    if let Some(core) = &core {
        let bending = at_run_out(sheet, case, device, &lambda, &bending);
        stressed = (
            "thread run-out, medial",
            core,
            " of the thread's core",
            "σ_c",
            "τ_c",
            "σ_w",
        );
        let section = find(stressed.0);
        weakest = (
            stress(
                sheet, acting, &bending, &channel, stressed, section, activity,
            ),
            section,
        );
        let meaning = "notch factor of a thread in its nut, an upper bound (Shigley, from memory)";
        kf = Quantity::given("K_f", meaning, THREAD_KF, "");
    }
    let (nominal, section) = weakest;
    let model_stress = section.and_then(|section| section.activities.get(activity));
    strength::fatigue(sheet, &nominal, &kf, material, model_stress);
    gap_strain(
        sheet,
        case,
        (&youngs, &second_moment, &working, &bending),
        model,
        activity,
    );
    Ok(())
}

/// `d⁴`, or `d⁴ − d_i⁴` of a hollow bar.
fn hollow(outer: &Quantity, channel: &Option<Quantity>, power: f64) -> Expression {
    let outer = Expression::from(outer).power(power);
    match channel {
        Some(inner) => outer - Expression::from(inner).power(power),
        None => outer,
    }
}

fn on_rollers(
    sheet: &mut Sheet,
    section: &Section,
    material: &Material,
    youngs: &Quantity,
    second_moment: &Quantity,
) -> Result<(), SolveError> {
    let s = Quantity::given("s", "support to load roller", ROLLERS.outer, "mm");
    let c = Quantity::given("c", "between the load rollers", ROLLERS.inner, "mm");
    let span = Quantity::given(
        "l",
        "between the supports",
        ROLLERS.inner + 2.0 * ROLLERS.outer,
        "mm",
    );
    let measured = bench::even_bar(*section, Moduli::from(material), ROLLERS)?;
    sheet.add(
        Step::new(
            "four-point bending of a straight bar with this shank: force over movement at the load \
             rollers",
            "K_4",
            "N/mm",
            formula::four_point_slope(youngs, second_moment, &s, &c),
            F1264,
        )
        .beside(
            Some(measured),
            "shear, which the hand calculation leaves out",
        ),
    );
    let slope = "the model's force over movement, in place of a measured slope";
    let slope = Quantity::given("K_m", slope, measured, "N/mm");
    let what = "structural stiffness as the standard reports it";
    let formula = formula::nail_stiffness(&s, &span, &c, &slope);
    let whole = sheet.add(Step::new(what, "EI_s", "N·mm²", formula, F1264));
    sheet.add(Step::new(
        "share of E I that is left in it: the rest is shear and rounding",
        "u",
        "%",
        100.0 * &whole / (youngs * second_moment),
        "definition",
    ));
    Ok(())
}

/// How quickly a bar bedded in the wall of the canal gives its moment to the bone, and the length
/// over which it bends.
fn working_length(
    sheet: &mut Sheet,
    case: &Case,
    bone: &Bone,
    youngs: &Quantity,
    second_moment: &Quantity,
) -> (Quantity, Quantity) {
    const HETENYI: &str = "Hetényi, Beams on Elastic Foundation (1946), semi-infinite beam (from \
                           memory); foundation modulus as the bone's Young's modulus (assumption)";
    let gap = Quantity::given("g", "gap", case.fracture.gap, "mm");
    let lambda = sheet.add(Step::new(
        "how quickly the bar, bedded in the wall of the canal, gives its moment to the bone",
        "λ",
        "1/mm",
        (&bone.youngs / (4.0 * youngs * second_moment)).power(0.25),
        HETENYI,
    ));
    let working = sheet.add(Step::new(
        "working length: the gap, and 1/λ either side, by which the bar turns more at the face of \
         the bone than if it were clamped there",
        "L_w",
        "mm",
        &gap + 2.0 / &lambda,
        HETENYI,
    ));
    (lambda, working)
}

/// The moment where the medial thread runs out, inside the bone.
fn at_run_out(
    sheet: &mut Sheet,
    case: &Case,
    device: &Device,
    lambda: &Quantity,
    bending: &Quantity,
) -> Quantity {
    let clavicle = &case.clavicle;
    let thread_end = match device {
        Device::Pin(pin) => pin.thread_end,
        Device::CannulatedScrew(screw) => screw.thread_end,
        _ => unreachable!("only pins and screws in the canal have a thread"),
    };
    let [face, _] = case.fracture.faces(clavicle);
    let distance = clavicle.arc_length(face) - clavicle.arc_length(thread_end);
    let distance = Quantity::given("x_t", "face of the fracture to the thread", distance, "mm");
    let share = sheet.add(Step::new(
        "what is left of the moment where the medial thread runs out, inside the bone",
        "m_t",
        "",
        formula::moment_left(lambda, &distance),
        "Hetényi, Beams on Elastic Foundation (1946), semi-infinite beam (from memory)",
    ));
    let what = "bending moment where the thread runs out";
    sheet.add(Step::new(
        what,
        "M_t",
        "N·mm",
        Expression::function(Function::Size, &share * bending),
        TEXTBOOK,
    ))
}

fn stiffness(
    sheet: &mut Sheet,
    bone: &Bone,
    youngs: &Quantity,
    second_moment: &Quantity,
    working: &Quantity,
    model: &ConstructAssessment,
) {
    let flexibility = (BETWEEN_POTS * &bone.length - working) / (&bone.youngs * &bone.vertical)
        + working / (youngs * second_moment);
    sheet.add(
        Step::new(
            "bending stiffness down of the nailed broken bone: straight bone but for the working \
             length, where the bar is alone",
            "k_n",
            "N·m/deg",
            Expression::Pi / (NMM_RAD_PER_NM_DEG * flexibility),
            "unit-load method (textbook method)",
        )
        .beside(
            Some(model.stiffness.bending_sup_inf_nm_per_deg),
            "curvature: the bone runs at an angle to the line of its ends, so part of the moment \
             twists the fracture, where a smooth bar turns in its canal, held by its ends alone; \
             taper of the bone",
        ),
    );
}

/// Nominal and combined stress of one round section.
fn stress(
    sheet: &mut Sheet,
    acting: &AtFracture,
    bending: &Quantity,
    channel: &Option<Quantity>,
    (place, outer, of, nominal, shear, combined): (
        &str,
        &Quantity,
        &str,
        &'static str,
        &'static str,
        &'static str,
    ),
    model: Option<&CriticalSection>,
    activity: usize,
) -> Quantity {
    let modulus = || Expression::Pi * hollow(outer, channel, 4.0) / 32.0;
    let mut direct = bending * outer / modulus();
    if let Some(push) = &acting.push {
        direct = direct + 4.0 * push / (Expression::Pi * hollow(outer, channel, 2.0));
    }
    // M r / I with I = π d⁴/64 is M d / (π d⁴/32).
    let what = format!("nominal stress{of}, the gap carried by the bar alone");
    let direct = sheet.add(Step::new(what, nominal, "MPa", direct, TEXTBOOK));
    let mut squares = direct.squared();
    if let Some(torque) = &acting.torque {
        let twisted = torque * outer / (2.0 * modulus());
        let what = format!("shear stress of the torque{of}");
        let twisted = sheet.add(Step::new(what, shear, "MPa", twisted, TEXTBOOK));
        squares = squares + 3.0 * twisted.squared();
    }
    let model = model.and_then(|section| section.activities.get(activity));
    sheet.add(
        Step::new(
            format!("combined stress{of}, von Mises"),
            combined,
            "MPa",
            squares.root(),
            TEXTBOOK,
        )
        .beside(
            model.map(|stress| stress.nominal_stress_mpa),
            format!(
                "at the model's '{place}': the moment changes along the curved bar, and the wall of \
                 the canal bends it back beyond the gap"
            ),
        ),
    )
}

fn gap_strain(
    sheet: &mut Sheet,
    case: &Case,
    (youngs, second_moment, working, bending): (&Quantity, &Quantity, &Quantity, &Quantity),
    model: &ConstructAssessment,
    activity: usize,
) {
    let [_, depth] = case.clavicle.outer(case.fracture.position);
    let depth = Quantity::given("b", "bone top to bottom", depth, "mm");
    let gap = Quantity::given("g", "gap", case.fracture.gap, "mm");
    let angle = sheet.add(Step::new(
        "angle by which the bar bends over its working length",
        "φ",
        "rad",
        bending * working / (youngs * second_moment),
        TEXTBOOK,
    ));
    let model = model.fracture_motion.get(activity);
    sheet.add(
        Step::new(
            "interfragmentary strain on the rim of the bone, the bar in its middle",
            "ε_g",
            "%",
            100.0 * &angle * &depth / 2.0 / &gap,
            "Perren's strain, change of the gap over the gap",
        )
        .beside(
            model.map(|motion| motion.strain_percent),
            "the push slides the fragments along a smooth bar, held by weak springs at its ends \
             (linear model: the broken ends do not stop it), and stretches or squeezes any bar",
        ),
    );
}
