//! The weeks after the operation: what must follow from what, and what readers see of it.

use clavibeam::assess::{Assessment, add_weeks, assess};
use clavibeam::case;
use clavibeam::construct::Mechanics;
use clavibeam::report;

fn compared(change: impl Fn(String) -> String) -> Assessment {
    let text = std::fs::read_to_string("models/roof-tiler-comminuted.toml").unwrap();
    let case = case::parse(&change(text), "changed").unwrap_or_else(|error| panic!("{error}"));
    let mut assessment = assess(&case, Mechanics::Linear).expect("it holds");
    add_weeks(&mut assessment, &case, Mechanics::Linear).expect("it holds");
    assessment
}

/// Damage at week 6 and weeks until union, construct by construct.
fn course(change: impl Fn(String) -> String) -> Vec<(f64, Option<f64>)> {
    let assessment = compared(change);
    let courses = assessment.constructs.iter().map(|construct| {
        let week = construct.weeks.iter().find(|week| week.at_weeks == 6.0);
        let aftermath = construct.aftermath.as_ref().expect("asked for");
        (
            week.expect("looked at").damage,
            aftermath.united_after_weeks,
        )
    });
    courses.collect()
}

#[test]
fn reliability_and_slow_healing_cost_what_they_should() {
    let as_it_is = course(|text| text);
    let with = |table: &'static str| course(move |text| format!("{text}\n{table}\n"));
    let reliable = with("[fatigue]\nreliability_percent = 99");
    let rough = with("[fatigue]\nsurface = \"machined\"");
    let strict = with("[fatigue]\nmean_stress = \"soderberg\"");
    let kind = with("[fatigue]\nmean_stress = \"gerber\"");
    let smoker = with("[healing]\nsmoker = true");
    let prompt = with("[healing]\nstrain_feedback = false");
    for (index, (damage, united)) in as_it_is.iter().enumerate() {
        // The line turns about its point at 10³ cycles: what breaks before that tells nothing.
        assert!(reliable[index].0 > *damage || *damage > 0.5);
        assert!(rough[index].0 > *damage || *damage > 0.5);
        assert!(strict[index].0 >= *damage);
        assert!(kind[index].0 <= *damage);
        let after = |weeks: Option<f64>| weeks.unwrap_or(f64::INFINITY);
        assert!(after(smoker[index].1) > after(*united));
        assert!(after(prompt[index].1) <= after(*united));
    }
    assert!(prompt.iter().all(|(_, united)| *united == Some(12.0)));
    // Too much strain slows the nail, too little the plates; 12 weeks would be unhurried.
    for slow in [0, as_it_is.len() - 1] {
        assert!(as_it_is[slow].1 > Some(12.2), "{:?}", as_it_is[slow].1);
    }
}

#[test]
fn own_activities_take_the_place_of_the_usual_ones() {
    let own = "[[activity]]\nname = \"rest\"\narm_elevation_deg = 5\ncycles_per_day = 1\n";
    let resting = course(|text| format!("{text}\n{own}"));
    // Quiet cycles lower the mean strain, which alone would hasten healing.
    let even = "[healing]\nstrain_feedback = false\n";
    let as_it_is = course(|text| format!("{text}\n{even}"));
    let both = course(|text| format!("activity_set = \"usual\"\n{text}\n{even}\n{own}"));
    for index in 0..resting.len() {
        assert!(resting[index].0 < as_it_is[index].0);
        assert!(both[index].0 >= as_it_is[index].0);
    }
}

#[test]
fn readers_see_the_weeks() {
    let assessment = compared(|text| text);
    let verbose = report::Options {
        colour: false,
        verbose: true,
    };
    let text = report::text(&assessment, verbose);
    let page = report::html(&assessment);
    for words in [
        "Allowed in the hand of the level arm, kg",
        "Allowed strap force on the clavicle, N",
        "Damage of the device by fatigue",
        "For the talk with the patient",
        "(common practice, no source)",
        "Breaks by fatigue before the bone unites",
    ] {
        let joined = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(joined.contains(words), "text: {words}");
        assert!(page.contains(words), "page: {words}");
    }
    let widest = text.lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(100), "{widest:?} columns");
    assert!(!text.contains("NaN") && !text.contains("inf "), "{text}");
    let names: Vec<String> = report::plots(&assessment)
        .into_iter()
        .map(|f| f.name)
        .collect();
    assert!(names.contains(&"allowed-load".to_owned()), "{names:?}");

    let json: serde_json::Value = serde_json::from_str(&report::json(&assessment)).unwrap();
    for construct in json["constructs"].as_array().unwrap() {
        let weeks = construct["weeks"].as_array().expect("weeks");
        assert!(weeks.len() >= 8);
        for week in weeks {
            for key in [
                "callus_modulus_mpa",
                "damage",
                "allowed_hand_mass_kg",
                "allowed_strap_force_n",
                "allowed_elevation_deg",
            ] {
                assert!(week[key].is_f64(), "{key}: {}", week[key]);
            }
            assert!(week["governs"].is_string());
        }
    }
}
