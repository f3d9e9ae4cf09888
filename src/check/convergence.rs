//! How quickly answers come closer with more elements.

use serde::{Deserialize, Serialize};

use super::FRAME_FILES;
use super::{Check, Verdict};
use crate::frame_file;

const FILE: &str = include_str!("values/convergence.toml");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    study: Vec<Study>,
}

/// A frame file, its members divided more and more finely.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Study {
    id: String,
    title: String,
    source: String,
    frame: String,
    /// How many elements each of its members has, doubled from one to the next.
    elements: Vec<i64>,
    order: f64,
    slack: f64,
    /// Why the order is what it is.
    order_reason: String,
    /// What is looked at and the value it tends to: an `[[expect]]` entry.
    expect: toml::Table,
}

/// How one answer comes closer with more elements.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Convergence {
    /// What is looked at.
    pub title: String,
    /// The value it tends to.
    pub limit: f64,
    /// From the coarsest division to the finest.
    pub levels: Vec<Level>,
    /// The order of the method: the error falls with this power of the element length.
    pub order: f64,
    /// Why it is that.
    pub order_reason: String,
    /// The order as a check.
    pub check: Check,
}

/// One division.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Level {
    /// Elements of each member.
    pub elements: i64,
    /// Difference from the limit as a fraction of it.
    pub error: f64,
    /// Order between this division and the one before.
    pub order: Option<f64>,
}

/// All studies, solved.
pub fn convergences() -> Vec<Convergence> {
    studies().iter().map(Study::solved).collect()
}

fn studies() -> Vec<Study> {
    let file: File = toml::from_str(FILE).expect("our own studies are well formed");
    file.study
}

/// The orders that are wanted as checks.
pub(super) fn checks(wanted: &impl Fn(&Check) -> bool) -> Vec<Check> {
    let studies = studies();
    let wanted = studies.iter().filter(|study| wanted(&study.check(None)));
    wanted.map(|study| study.solved().check).collect()
}

impl Study {
    /// * `order`: the one found that is farthest from the one expected
    fn check(&self, order: Option<f64>) -> Check {
        let agrees = order.is_some_and(|order| (order - self.order).abs() <= self.slack);
        Check {
            id: format!("{}.order", self.id),
            topic: "convergence".to_owned(),
            title: self.title.clone(),
            quantity: "order".to_owned(),
            source: self.source.clone(),
            expected: Some(self.order),
            agrees_within: [self.order - self.slack, self.order + self.slack],
            obtained: order,
            tolerance_reason: self.order_reason.clone(),
            verdict: match agrees {
                true => Verdict::Agrees,
                false => Verdict::Fails,
            },
        }
    }

    fn solved(&self) -> Convergence {
        let mut limit = f64::NAN;
        let mut levels: Vec<Level> = Vec::new();
        for &elements in &self.elements {
            let (found, expected) = self.result(elements);
            limit = expected;
            let error = found / expected - 1.0;
            let before = levels.last();
            let order = before.map(|before| (before.error / error).abs().log2());
            levels.push(Level {
                elements,
                error,
                order,
            });
        }
        let away = |order: &f64| (order - self.order).abs();
        let orders = levels.iter().filter_map(|level| level.order);
        let farthest = orders.max_by(|a, b| away(a).total_cmp(&away(b)));
        Convergence {
            title: self.title.clone(),
            limit,
            levels,
            order: self.order,
            order_reason: self.order_reason.clone(),
            check: self.check(farthest),
        }
    }

    /// The result with so many elements in each member, and the value it tends to.
    fn result(&self, elements: i64) -> (f64, f64) {
        let source = FRAME_FILES.iter().find(|file| file.path == self.frame);
        let source = source.unwrap_or_else(|| panic!("{}: no such frame file", self.frame));
        let mut table: toml::Table = toml::from_str(source.text).expect("our own files are sound");
        let members = table.get_mut("member").and_then(toml::Value::as_array_mut);
        for member in members.expect("a frame has members") {
            let member = member.as_table_mut().expect("members are tables");
            member.insert("elements".to_owned(), elements.into());
        }
        let mut expect = self.expect.clone();
        expect.insert("tolerance".to_owned(), 1.0.into());
        expect.insert("source".to_owned(), self.source.clone().into());
        table.insert("expect".to_owned(), vec![toml::Value::Table(expect)].into());
        let text = toml::to_string(&table).expect("a table can be written");
        let file = frame_file::parse(&text, &self.frame);
        let file = file.unwrap_or_else(|error| panic!("our own studies are sound, but: {error}"));
        let compared = file
            .solve()
            .ok()
            .map(|mut results| results.references.remove(0));
        let compared = compared.expect("our own studies hold");
        (compared.result.unwrap_or(f64::NAN), compared.reference)
    }
}
