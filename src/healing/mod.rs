//! How the fracture heals: modulus of the callus by week, what it bears, what slows it.

/// Callus modulus by week in an adult who heals normally: weeks and MPa.
///
/// Assumption, bracketed by tissue moduli used in models of healing: granulation 0.2 to 3,
/// cartilage 10, immature bone 1000, mature bone 6000 MPa (Lacroix & Prendergast, *J. Biomech.*
/// (2002), and Claes & Heigele, *J. Biomech.* 32 (1999) 255, both from memory).
pub const USUAL_COURSE: [(f64, f64); 10] = [
    (0.0, 1.0),
    (2.0, 1.0),
    (3.0, 3.0),
    (4.0, 10.0),
    (6.0, 100.0),
    (8.0, 500.0),
    (12.0, 2000.0),
    (16.0, 5000.0),
    (26.0, 9000.0),
    (52.0, 15_000.0),
];

/// Weeks before tissue bridges the gap at the usual course.
///
/// Assumption: blood, which bears nothing, takes about a week to become granulation tissue (from
/// memory: days to two weeks).
pub const FIRST_TISSUE: f64 = 1.0;

/// Callus this stiff is counted as united, MPa.
///
/// Assumption: what the usual course reaches at 12 weeks; trials report union at 7.5 to 16.4
/// weeks (Govindasamy; Fu 2016; Kingsly 2019; Canadian Orthopaedic Trauma Society 2007).
pub const UNITED: f64 = 2000.0;

/// Strain up to which callus turns to bone, and beyond which no tissue survives, %.
///
/// Source: Perren's strain theory (teaching summaries).
const CALLUS_STRAIN: [f64; 2] = [10.0, 100.0];

/// A fixation that lets less strain than this heals without callus, %.
///
/// Source: Perren's strain theory (teaching summaries).
pub const RIGID_STRAIN: f64 = 2.0;

/// Pace of healing without callus.
///
/// Assumption: union took 13 to 16 weeks with plates and 7.5 to 12 with elastic nails
/// (Kingsly 2019; Govindasamy; Fu 2016; different fractures and readers).
const RIGID_PACE: f64 = 0.7;

/// What strain tissue of a modulus bears, MPa and %: log-linear between.
///
/// Source: strains of Perren's theory (granulation 100, cartilage 10, bone 2 %); moduli of the
/// same tissues as in [`USUAL_COURSE`].
const TOLERANCES: [(f64, f64); 3] = [(1.0, 100.0), (10.0, 10.0), (1000.0, 2.0)];

/// How fast and how stiff the callus grows.
#[derive(Debug, Clone, PartialEq)]
pub struct Healing {
    /// Weeks and modulus, MPa; weeks rise.
    pub course: Vec<(f64, f64)>,
    /// Weeks since the operation before any tissue bridges the gap.
    pub first_tissue: f64,
    /// How many times longer everything takes.
    pub time_factor: f64,
    /// Weeks before it begins.
    pub delay: f64,
    /// Outer diameter of the callus, mm; unless given, the device decides.
    pub outer_diameter: Option<f64>,
    /// Whether strain outside its window slows healing.
    pub strain_feedback: bool,
}

impl Healing {
    /// Callus modulus after weeks of undisturbed healing at the usual pace, MPa.
    ///
    /// The logarithm of the modulus is linear between the points of the course, constant
    /// before and after.
    pub fn modulus(&self, weeks: f64) -> f64 {
        log_linear(&self.course, weeks, |week| week)
    }

    /// Weeks of undisturbed healing that a stretch of time is worth.
    ///
    /// * `from`, `to`: weeks since the operation
    /// * `pace`: see [`Healing::pace`]
    pub fn gained(&self, [from, to]: [f64; 2], pace: f64) -> f64 {
        (to - from.max(self.delay)).max(0.0) * pace / self.time_factor
    }

    /// How fast the fracture heals under a strain, 1 being the usual pace.
    ///
    /// ```text
    /// 2 to 10 %      1
    /// 10 to 100 %    falls to 0 with the logarithm of the strain
    /// below 2 %      0.7, if so from the start: it heals without callus
    /// ```
    ///
    /// Callus that has grown stiff lessens its own strain; that does not slow it.
    ///
    /// * `at_start`, `now`: interfragmentary strain at the operation and now, %
    ///
    /// Source: Perren's strain theory for the window; the pace between is an assumption.
    pub fn pace(&self, at_start: f64, now: f64) -> f64 {
        let [callus, tissue] = CALLUS_STRAIN;
        if !self.strain_feedback {
            1.0
        } else if at_start < RIGID_STRAIN {
            RIGID_PACE
        } else {
            let fallen = (now.max(callus) / callus).log10() / (tissue / callus).log10();
            (1.0 - fallen).max(0.0)
        }
    }

    /// Weeks of undisturbed healing until it is united; `None` if the course never gets there.
    pub fn united_after(&self) -> Option<f64> {
        let first = self
            .course
            .first()
            .filter(|(_, modulus)| *modulus >= UNITED);
        let crossing = self.course.windows(2).find_map(|pair| {
            let [(from, soft), (to, stiff)] = [pair[0], pair[1]];
            let share = (UNITED / soft).ln() / (stiff / soft).ln();
            (soft < UNITED && stiff >= UNITED).then_some(from + share * (to - from))
        });
        first.map(|(week, _)| *week).or(crossing)
    }
}

/// Interfragmentary strain that tissue of a modulus bears, %.
///
/// * `modulus`: MPa
pub fn tolerance(modulus: f64) -> f64 {
    log_linear(&TOLERANCES, modulus, f64::ln)
}

/// Width of the healing gap, mm: that of the fracture, at the least 2 mm.
///
/// Assumption: ends under large strain are resorbed until there is room, as Perren's theory has
/// it (from memory; the width is a guess). In the narrow gap of a reduced break every strain
/// would be so large that no nail lets it heal, against published union at 7.5 to 12 weeks.
///
/// * `gap`: of the fracture, mm
pub fn gap_width(gap: f64) -> f64 {
    gap.max(2.0)
}

/// A value whose logarithm is linear between points, constant before and after.
fn log_linear(points: &[(f64, f64)], at: f64, scale: impl Fn(f64) -> f64) -> f64 {
    let past = points.iter().position(|(x, _)| at < *x);
    match past {
        Some(0) => points[0].1,
        Some(next) => {
            let [(from, low), (to, high)] = [points[next - 1], points[next]];
            let share = (scale(at) - scale(from)) / (scale(to) - scale(from));
            low * (high / low).powf(share)
        }
        None => points.last().map_or(0.0, |(_, last)| *last),
    }
}

impl Default for Healing {
    /// An adult who heals normally.
    fn default() -> Self {
        Healing {
            course: USUAL_COURSE.to_vec(),
            first_tissue: FIRST_TISSUE,
            time_factor: 1.0,
            delay: 0.0,
            outer_diameter: None,
            strain_feedback: true,
        }
    }
}
