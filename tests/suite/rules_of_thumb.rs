//! The chapter `models/rules/README.md`: every command it quotes runs, and each verdict holds
//! to the numbers of that run. Orders and bands are asserted, not digits, so that a change of
//! the model reddens a test only where the chapter would become untrue.

use std::process::Command;

use serde_json::Value;

const CHAPTER: &str = "models/rules/README.md";

/// The JSON document of `clavibeam compare models/rules/NAME.toml` with flags.
fn compared(name: &str, flags: &[&str]) -> Value {
    let output = Command::new(env!("CARGO_BIN_EXE_clavibeam"))
        .args([
            "compare",
            &format!("models/rules/{name}.toml"),
            "--json",
            "-",
        ])
        .args(flags)
        .output()
        .expect("the program starts");
    assert!(output.status.success(), "{name}: {output:?}");
    serde_json::from_slice(&output.stdout).expect("a JSON document")
}

/// The construct whose name begins so.
fn construct<'a>(document: &'a Value, name: &str) -> &'a Value {
    let all = document["constructs"].as_array().expect("constructs");
    let named = |construct: &&Value| construct["name"].as_str().unwrap().starts_with(name);
    all.iter().find(named).unwrap_or_else(|| panic!("{name}"))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

/// Smallest static margin of the device in the first activity.
fn margin(construct: &Value) -> f64 {
    margin_in(construct, 0)
}

fn margin_in(construct: &Value, activity: usize) -> f64 {
    let sections = construct["critical_sections"].as_array().unwrap();
    let device = sections
        .iter()
        .filter(|section| section["part"] == "device");
    device
        .map(|section| number(&section["activities"][activity]["static_margin"]))
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn every_command_of_the_chapter_runs_and_every_case_is_used() {
    let chapter = std::fs::read_to_string(CHAPTER).unwrap();
    let pictures = std::env::temp_dir().join(format!("clavibeam-{}-rules", std::process::id()));
    let mut used = Vec::new();
    for line in chapter.lines() {
        let Some(arguments) = line.strip_prefix("    clavibeam ") else {
            continue;
        };
        let arguments = arguments.replace("pictures/", &pictures.display().to_string());
        let output = Command::new(env!("CARGO_BIN_EXE_clavibeam"))
            .args(arguments.split_whitespace())
            .output()
            .expect("the program starts");
        assert!(output.status.success(), "{line}: {output:?}");
        used.push(line.split_whitespace().nth(2).unwrap().to_owned());
    }
    for picture in [
        "allowed-load.png",
        "purchase.png",
        "anatomy.png",
        "margins.png",
    ] {
        assert!(pictures.join(picture).exists(), "{picture}");
    }
    std::fs::remove_dir_all(&pictures).unwrap();
    for entry in std::fs::read_dir("models/rules").unwrap() {
        let path = entry.unwrap().path().display().to_string();
        assert!(path.ends_with(".md") || used.contains(&path), "{path}");
    }
}

/// Sections 1 and 2: the proof strain gives the sizes of woman and large man, the limit of
/// springing back that of the child, and a size less is much weaker.
#[test]
fn sizes_come_from_the_curve() {
    let patients = [
        ("size-child", Some(2.0), 2.5),
        ("size-woman", Some(2.5), 2.5),
        ("size-average-man", None, 2.5),
        ("size-large-man", Some(3.0), 3.0),
    ];
    for (name, rule, by_proof) in patients {
        let document = compared(name, &[]);
        let sizes = &document["constructs"][0]["sizes"];
        let tried = sizes["tried"].as_array().unwrap();
        assert_eq!(
            number(&sizes["largest_by_proof_strain_mm"]),
            by_proof,
            "{name}"
        );
        let elastic = number(&sizes["elastic_strain_percent"]);
        let strain = |size: &Value| number(&size["surface_strain_percent"]);
        assert!(
            tried
                .windows(2)
                .all(|pair| strain(&pair[1]) > strain(&pair[0]))
        );
        // The width of the canal stops none of them.
        assert!(
            tried.iter().all(|size| number(&size["clearance_mm"]) > 1.0),
            "{name}"
        );
        let mut springs_back = tried.iter().filter(|size| strain(size) <= elastic);
        let springing = number(&springs_back.next_back().unwrap()["diameter_mm"]);
        if let Some(rule) = rule {
            assert!(
                springing == rule || by_proof == rule,
                "{name}: {springing}, {by_proof}"
            );
        }
        if name == "size-child" {
            assert!(springing == 2.0 && by_proof > 2.0);
        }
        // A size less and a size more than the one that is picked.
        let prices: Vec<&Value> = tried.iter().map(|size| &size["price"]).collect();
        let prices: Vec<&&Value> = prices.iter().filter(|price| !price.is_null()).collect();
        let [less, more] = prices[..] else {
            panic!("{name}: {prices:?}");
        };
        let bending = |price: &Value| number(&price["bending_sup_inf_percent_of_picked"]);
        assert!((50.0..60.0).contains(&bending(less)), "{name}: {less}");
        assert!(bending(more) > 160.0, "{name}: {more}");
    }
}

/// Sections 3 and 4: contact keeps the nail's length, a gap takes it away, a plate needs
/// neither; and plates are stiffer and stronger than what lies in the canal.
#[test]
fn a_gap_wants_a_plate() {
    let (clean, gap) = (compared("clean-break", &[]), compared("open-gap", &[]));
    let lost =
        |document: &Value, name| number(&construct(document, name)["slip"]["lost_length_mm"]);
    assert!(lost(&clean, "elastic nail") < 0.1);
    assert!(lost(&gap, "elastic nail") > 4.0);
    let holds = |name| number(&construct(&gap, name)["slip"]["holds_push_n"]["middle"]);
    assert!(holds("elastic nail") < 20.0 && holds("threaded pin") > 200.0);
    let stiffness =
        |name| number(&construct(&gap, name)["stiffness"]["bending_sup_inf_percent_of_intact"]);
    for plate in ["superior plate", "anteroinferior plate"] {
        assert!(lost(&clean, plate) < 0.1 && lost(&gap, plate) < 0.1);
        for inside in ["elastic nail", "threaded pin"] {
            assert!(lost(&gap, "threaded pin") < 0.5);
            assert!(stiffness(plate) > 10.0 * stiffness(inside));
            assert!(margin(construct(&gap, plate)) > 2.0 * margin(construct(&gap, inside)));
            assert!(margin(construct(&clean, plate)) > 2.0 * margin(construct(&clean, inside)));
        }
    }
}

/// Sections 5 to 9: less than a cup on the nail before callus and kilograms after, plates far
/// more from the first day; healed within six months; tilt levels off past about 20 mm.
#[test]
fn weeks_and_reach() {
    let document = compared("clean-break", &["--weeks", "--purchase"]);
    let allowed = |name: &str, at: f64| {
        let weeks = construct(&document, name)["weeks"].as_array().unwrap();
        let week = weeks.iter().find(|week| number(&week["at_weeks"]) == at);
        number(&week.expect("looked at")["allowed_hand_mass_kg"])
    };
    const CUP_KG: f64 = 0.4;
    for week in [0.0, 2.0, 4.0] {
        assert!(allowed("elastic nail", week) < CUP_KG, "week {week}");
    }
    assert!(allowed("elastic nail", 16.0) > 5.0 * CUP_KG);
    for plate in ["superior plate", "anteroinferior plate"] {
        assert!(allowed(plate, 0.0) > 5.0 * CUP_KG);
    }
    for name in ["elastic nail", "superior plate", "anteroinferior plate"] {
        let united = number(&construct(&document, name)["aftermath"]["united_after_weeks"]);
        assert!((12.0..26.0).contains(&united), "{name}: {united}");
    }
    // What limits the nail is first its own life, then what the tissue bears.
    let governs = |at: f64| {
        let weeks = construct(&document, "elastic nail")["weeks"]
            .as_array()
            .unwrap();
        let week = weeks.iter().find(|week| number(&week["at_weeks"]) == at);
        week.expect("looked at")["governs"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    assert_eq!(governs(4.0), "device-breaks");
    assert_eq!(governs(8.0), "tissue-tears");
    for week in [6.0, 8.0] {
        assert!(allowed("elastic nail", week) < CUP_KG, "week {week}");
    }
    assert!(allowed("elastic nail", 10.0) > 5.0 * CUP_KG);
    // Section 7: the arm at 120° asks what the level arm asks; the nail does not bear it.
    for (name, bears) in [
        ("elastic nail", false),
        ("threaded pin", true),
        ("superior plate", true),
        ("anteroinferior plate", true),
    ] {
        let of = |activity| margin_in(construct(&document, name), activity);
        assert_eq!(of(0), of(1), "{name}");
        assert_eq!(of(1) > 1.0, bears, "{name}");
    }

    let reach = construct(&document, "elastic nail")["purchase_sweep"][0]["steps"]
        .as_array()
        .unwrap();
    let tilt = |least: f64| {
        let step = reach
            .iter()
            .find(|step| number(&step["purchase_mm"]) >= least);
        number(&step.expect("so long a canal")["angle_deg"])
    };
    assert!(tilt(5.0) > 1.5 * tilt(20.0) && tilt(7.5) > 1.2 * tilt(20.0));
    assert!((tilt(20.0) / tilt(50.0) - 1.0).abs() < 0.2);
    // Section 9: the wall thins on the way.
    let wall = |step: &Value| number(&step["cortex_at_tip_mm"]);
    assert!(wall(reach.last().unwrap()) < 0.7 * wall(&reach[0]));
}

/// Section 10: friction holds little, a thread much.
#[test]
fn smooth_slides() {
    let document = compared("smooth-or-threaded", &[]);
    let holds = |name| number(&construct(&document, name)["slip"]["holds_push_n"]["middle"]);
    let slides = |name| number(&construct(&document, name)["contact"][0]["nail_slip_mm"]);
    assert!(holds("threaded pin") > 20.0 * holds("smooth wire"));
    assert!(slides("smooth wire") > 1.0 && slides("threaded pin") < 0.2);
}

/// Section 11: a strap feels the plate on top, not the nail, nor the plate in front and below
/// half as much.
#[test]
fn a_strap_feels_what_stands_proud() {
    let document = compared("strap", &[]);
    let pressure = |name| {
        let strap = &construct(&document, name)["strap"][0];
        let bone = number(&strap["bone_pressure_kpa"]);
        match &strap["hardware"] {
            Value::Null => bone,
            hardware => number(&hardware["mean_pressure_kpa"]).max(bone),
        }
    };
    assert!(pressure("superior plate") > 1.5 * pressure("elastic nail"));
    assert!(pressure("superior plate") > 1.5 * pressure("anteroinferior plate"));
}

/// Section 12: a turn of the nut closes the break, and the caution is printed.
#[test]
fn a_nut_draws_together_only() {
    let document = compared("drawn-and-spread", &[]);
    let opens = |name| number(&construct(&document, name)["fracture_motion"][0]["rim_mm"]);
    assert!(opens("pin 3.0, quarter turn") < 0.5 * opens("pin 3.0, loose"));
    assert!(document.to_string().contains("plexus"));
}
