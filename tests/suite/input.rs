//! Reading any file kind: named tables, lists of fixed length, nested lists, problems added later.

use std::collections::BTreeMap;

use clavibeam::input::{self, Document};
use schemars::JsonSchema;
use serde::Deserialize;

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct FrameTable {
    #[serde(default)]
    section: BTreeMap<String, SectionTable>,
    #[serde(default)]
    node: Vec<NodeTable>,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct SectionTable {
    circle: Option<CircleTable>,
    polygon: Option<PolygonTable>,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct CircleTable {
    #[schemars(extend("exclusiveMinimum" = 0))]
    diameter_mm: f64,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct PolygonTable {
    outer_mm: Vec<[f64; 2]>,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct NodeTable {
    at_mm: [f64; 3],
    #[serde(default)]
    fixed: Vec<Freedom>,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
enum Freedom {
    Ux,
    Uy,
}

fn refusal(text: &str) -> String {
    input::parse::<FrameTable>(text, "f")
        .expect_err("must be refused")
        .to_string()
}

#[test]
fn named_tables_lists_and_words_are_read() {
    let text = r#"
        section.rod.circle = { diameter_mm = 3 }
        section."cut rod".polygon.outer_mm = [[0, 0], [1, 0], [0, 1.5]]
        [[node]]
        at_mm = [0, 1, 2.5]
        fixed = ["ux", "uy"]
    "#;
    let Document { table, check } = input::parse::<FrameTable>(text, "f").unwrap();
    let circle = table.section["rod"].circle.as_ref().unwrap();
    assert_eq!(circle.diameter_mm, 3.0);
    let polygon = table.section["cut rod"].polygon.as_ref().unwrap();
    assert_eq!(polygon.outer_mm[2], [0.0, 1.5]);
    assert_eq!(table.node[0].at_mm, [0.0, 1.0, 2.5]);
    assert_eq!(table.node[0].fixed, [Freedom::Ux, Freedom::Uy]);
    assert!(check.is_clean());
}

#[test]
fn problems_reach_into_named_tables_and_lists() {
    let text = r#"
[section.rod.circle]
diameter_mm = 0
[section."cut rod".polygon]
outer_mm = [[0, 0], [1, "one"],
    [2]]
[[node]]
at_mm = [0, 1]
fixed = ["ux", "uz"]
"#;
    assert_eq!(
        refusal(text),
        r#"f:3: section.rod.circle.diameter_mm = 0 must be greater than 0
f:5: section."cut rod".polygon.outer_mm[2][2] = "one" must be a number
f:6: section."cut rod".polygon.outer_mm[3] = [2] must have 2 entries
f:8: node[1].at_mm = [0, 1] must have 3 entries
f:9: node[1].fixed[2] = "uz" must be one of "ux", "uy""#
    );
}

#[test]
fn later_rules_find_line_and_value_by_key() {
    let text = "[section.rod.circle]\ndiameter_mm = 3\n\n[[node]]\nat_mm = [0, 0, 0]\n";
    let Document { mut check, .. } = input::parse::<FrameTable>(text, "f").unwrap();
    assert!(check.is_given("section.rod.circle.diameter_mm"));
    assert!(!check.is_given("node[1].fixed"));
    check.exactly_one("section.rod", &["circle", "polygon"]);
    check.require("node[1]", true, "is never reported");
    assert!(check.is_clean());

    check.problem("node[1].fixed[3]", "must hold the node");
    check.note_default("node[1].mass_kg", "2");
    check.problem("node[1].mass_kg", "must be 1");
    check.problem("section.rod.circle.diameter_mm", "must be 4");
    check.problem("elsewhere", "is missing");
    check.exactly_one("section.rod", &["ellipse", "tube"]);
    assert_eq!(
        check.finish(()).unwrap_err().to_string(),
        "f:1: elsewhere is missing\n\
         f:1: section.rod must have one of ellipse, tube\n\
         f:2: section.rod.circle.diameter_mm = 3 must be 4\n\
         f:4: node[1].fixed[3] must hold the node\n\
         f:4: node[1].mass_kg = 2 (default) must be 1"
    );
}

#[test]
fn the_schema_carries_title_words_and_limits() {
    let schema: serde_json::Value =
        serde_json::from_str(&input::schema_json::<FrameTable>("frame file")).unwrap();
    assert_eq!(schema["title"], "frame file");
    assert_eq!(
        schema["$defs"]["CircleTable"]["properties"]["diameter_mm"]["exclusiveMinimum"],
        0
    );
}
