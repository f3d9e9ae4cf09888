//! Contact settles in every construct: those of the shipped cases, and seeded random ones.

use std::path::PathBuf;

use clavibeam::case::{self, Case};
use clavibeam::construct::{Construct, Mechanics};
use clavibeam::load::{Setup, stiffness_setups};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

/// Any patient, break, device and load that a case file may ask for.
fn random_case(seed: u64) -> Case {
    let mut rng = StdRng::seed_from_u64(seed);
    let mut one_of = |words: &[&str]| words[rng.random_range(0..words.len())].to_owned();
    let preset = one_of(&[
        "adult-male-large",
        "adult-male-average",
        "adult-female",
        "child-12",
    ]);
    let pattern = one_of(&["transverse", "oblique", "comminuted"]);
    let surface = one_of(&["superior", "anterior", "anteroinferior"]);
    let shape = one_of(&["straight", "prebent"]);
    let diameter = one_of(&["1.5", "2.0", "2.5", "3.0", "3.5"]);
    let device = match one_of(&["nail", "nail", "nail", "pin", "wire", "screw", "plate"]).as_str() {
        "nail" => format!("[construct.nail]\ndiameter_mm = {diameter}\nshape = \"{shape}\""),
        "pin" => "[construct.pin]\nouter_diameter_mm = 3.0".to_owned(),
        "wire" => "[construct.wire]\ndiameter_mm = 2.0".to_owned(),
        "screw" => "[construct.cannulated-screw]\nsize = \"cannulated-4.0\"".to_owned(),
        _ => format!(
            "[construct.plate]\nsize = \"compression-2.7\"\nsurface = \"{surface}\"\nhole_count = 8\n\
             locking = {}",
            one_of(&["true", "false"])
        ),
    };
    let mut between = |low: f64, high: f64| rng.random_range(low..high);
    let gap = match pattern.as_str() {
        "comminuted" => between(2.0, 12.0),
        _ => 0.5,
    };
    let text = format!(
        "title = \"seed {seed}\"\n[patient]\npreset = \"{preset}\"\n[fracture]\nposition = {:.3}\n\
         pattern = \"{pattern}\"\ngap_mm = {gap:.2}\n[[construct]]\nname = \"it\"\n{device}\n\
         [[activity]]\nname = \"arm\"\narm_elevation_deg = {:.0}\nhand_mass_kg = {:.1}\n\
         [[activity]]\nname = \"strap\"\nstrap_force_n = {:.0}\n",
        between(0.42, 0.58),
        between(20.0, 120.0),
        between(0.0, 4.0),
        between(10.0, 100.0),
    );
    case::parse(&text, "random.toml").unwrap_or_else(|error| panic!("{error}\n{text}"))
}

/// Iterations of putting in and of loading, for every stiffness test and activity.
fn iterations(case: &Case) -> Vec<[usize; 2]> {
    let mut setups: Vec<Setup> = stiffness_setups(&case.clavicle).to_vec();
    for activity in &case.activities {
        setups.extend(activity.setups(&case.patient, &case.clavicle, case.fracture.position));
    }
    let solved = case.constructs.iter().flat_map(|(name, device)| {
        let broken = Some((&case.fracture, device));
        let construct = Construct::new(&case.clavicle, broken, &setups, Mechanics::Contact);
        let responses = construct
            .solve(&setups)
            .unwrap_or_else(|error| panic!("{}, {name}: {error}", case.title));
        responses
            .iter()
            .flat_map(|r| r.iterations().collect::<Vec<_>>())
            .collect::<Vec<_>>()
    });
    solved.collect()
}

fn assert_cheap(mut counts: Vec<[usize; 2]>) {
    for (stage, [typical, worst]) in [[15, 45], [50, 500]].into_iter().enumerate() {
        counts.sort_by_key(|pair| pair[stage]);
        let (middle, most) = (
            counts[counts.len() / 2][stage],
            counts[counts.len() - 1][stage],
        );
        assert!(middle <= typical, "stage {stage}: median {middle}");
        assert!(most <= worst, "stage {stage}: at the most {most}");
    }
}

#[test]
fn shipped_constructs_settle() {
    let models = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("models");
    let mut counts = Vec::new();
    for entry in std::fs::read_dir(models).expect("the models are there") {
        let path = entry.expect("it can be listed").path();
        if path
            .extension()
            .is_some_and(|extension| extension == "toml")
        {
            let case = case::read(&path).unwrap_or_else(|error| panic!("{error}"));
            counts.extend(iterations(&case));
        }
    }
    assert_cheap(counts);
}

#[test]
fn random_constructs_settle() {
    assert_cheap(
        (0..60)
            .flat_map(|seed| iterations(&random_case(seed)))
            .collect(),
    );
}
