//! The comparison as JSON.

use crate::assess::Assessment;

/// The whole assessment as indented JSON with a final newline.
pub fn json(assessment: &Assessment) -> String {
    let mut document = serde_json::to_string_pretty(assessment)
        .expect("an assessment has only string keys and plain values");
    document.push('\n');
    document
}
