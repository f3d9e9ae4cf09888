//! From a study file to what is meant.

use std::path::Path;

use toml::Table;

use super::base::{Base, Kind, Wanted};
use super::design::{Design, Spread, Variation};
use super::key::{self, Step};
use super::outputs::{Output, outputs};
use super::tables::{InputTable, PlanTable, SampledTable, StudyTable, TakeWord};
use super::unit::unit;
use crate::input::{self, Checker, Document, InputError, entry_path, key_path};
use crate::sampling::{self, Correlation, Method, Plan, Saltelli};

/// Version of everything a study computes: tables of another version are another study.
const VERSION: &str = env!("CARGO_PKG_VERSION");

/// A checked study.
#[derive(Debug)]
pub struct Study {
    /// Title for reports.
    pub title: String,
    /// Samples in all, those that constraints leave out included.
    pub samples: u64,
    /// The plan in words.
    pub plan: String,
    /// Seed, where the plan has one.
    pub seed: Option<u64>,
    /// Names and kinds of the table's columns, in order.
    pub columns: Vec<Column>,
    /// How many of the columns after `sample` are inputs.
    pub inputs: usize,
    /// Names everything that decides the table: study, base file and version.
    pub hash: String,
    /// Samples that belong together for sensitivity indices, one such block after another.
    pub block: Option<u64>,
    /// Inputs that go together, in words.
    pub correlations: Vec<String>,
    /// Constraints in words.
    pub constraints: Vec<String>,
    pub(super) base: Base,
    pub(super) check: Checker,
    pub(super) design: Design,
    pub(super) places: Vec<Vec<Step>>,
    pub(super) limits: Vec<[Vec<Step>; 2]>,
    pub(super) wanted: Wanted,
    pub(super) outputs: Vec<Output>,
}

/// A column of the table.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Column {
    /// Name, with the unit.
    pub name: String,
    /// Whether it holds numbers; words if not.
    pub number: bool,
}

/// Reads and checks a study and its base file.
///
/// # Errors
/// Either file is refused: all problems at once.
pub fn read(path: &Path) -> Result<Study, InputError> {
    let text = input::text(path)?;
    let Document { table, mut check } =
        input::parse::<StudyTable>(&text, &path.display().to_string())?;
    check.exactly_one("", &["case", "frame"]);
    let plans = [
        "grid",
        "latin-hypercube",
        "sobol",
        "random",
        "sobol-indices",
    ];
    check.exactly_one("plan", &plans);
    check.require(
        "mechanics",
        table.mechanics.is_none() || table.frame.is_none(),
        "is for case files only",
    );
    if !check.is_clean() {
        return Err(check.into_error());
    }
    let (name, kind) = match (&table.case, &table.frame) {
        (Some(case), _) => (case, Kind::Case(table.mechanics.unwrap_or_default().into())),
        (None, frame) => (frame.as_ref().expect("one of two is given"), Kind::Frame),
    };
    let base = Base::read(&path.with_file_name(name), kind)?;

    let places = places(&table, &base, &mut check);
    let variations: Vec<Option<Variation>> = (table.input.iter().enumerate())
        .map(|(index, input)| {
            variation(&entry_path("input", index), input, &table.plan, &mut check)
        })
        .collect();
    let columns = columns(&table, &mut check);
    let limits = limits(&table, &base, &mut check);
    let variations: Option<Vec<Variation>> = variations.into_iter().collect();
    let (Some(variations), true) = (variations, check.is_clean()) else {
        return Err(check.into_error());
    };
    let spread = spread(&table, &columns[..variations.len()], &mut check);
    let first = checked_ends(&base, &places, &variations, &mut check);
    let (Some(spread), Some((first, keys))) = (spread, first) else {
        return Err(check.into_error());
    };
    let design = Design { variations, spread };
    let Some(samples) = design.samples() else {
        check.problem("plan.grid", "has more samples than can be counted");
        return Err(check.into_error());
    };
    let (wanted, outputs, kinds) = outputs(&table, &base, &first, &keys, &mut check);
    let hash = hash(&text, &base, &table.title);
    let number = design.variations.iter().map(|variation| match variation {
        Variation::Values(values) => values
            .iter()
            .all(|value| value.is_float() || value.is_integer()),
        _ => true,
    });
    let kinds: Vec<bool> = number.chain(kinds).collect();
    let named = columns.into_iter().zip(kinds);
    let study = Study {
        title: table.title,
        samples,
        plan: plan_words(&table.plan).to_owned(),
        seed: seed(&table.plan),
        columns: std::iter::once(("sample".to_owned(), true))
            .chain(named)
            .chain([("failure".to_owned(), false)])
            .map(|(name, number)| Column { name, number })
            .collect(),
        inputs: table.input.len(),
        hash,
        block: match &design.spread {
            Spread::Blocks(blocks) => Some(blocks.block()),
            _ => None,
        },
        correlations: (table.correlation.iter())
            .map(|each| format!("{}, by rank {}", each.between.join(" with "), each.rank))
            .collect(),
        constraints: (table.constraint.iter())
            .map(|each| format!("{} smaller than {}", each.smaller, each.than))
            .collect(),
        base,
        check: keys,
        design,
        places,
        limits,
        wanted,
        outputs,
    };
    check.finish(study)
}

/// The JSON Schema of a study file.
pub fn schema_json() -> String {
    input::schema_json::<StudyTable>("clavibeam study file")
}

fn places(table: &StudyTable, base: &Base, check: &mut Checker) -> Vec<Vec<Step>> {
    let mut places: Vec<Vec<Step>> = Vec::new();
    for (index, input) in table.input.iter().enumerate() {
        let key = key_path(&entry_path("input", index), "key");
        match key::in_file(&base.table, &input.key) {
            Ok(place) => {
                check.require(
                    &key,
                    !places.contains(&place),
                    "is varied by another input already",
                );
                places.push(place);
            }
            Err(rule) => {
                check.problem(&key, rule);
                places.push(Vec::new());
            }
        }
    }
    places
}

fn variation(
    path: &str,
    input: &InputTable,
    plan: &PlanTable,
    check: &mut Checker,
) -> Option<Variation> {
    let given = [
        input.values.is_some(),
        input.range.is_some(),
        input.distribution.is_some(),
    ];
    check.exactly_one(path, &["values", "range", "distribution"]);
    if given.iter().filter(|given| **given).count() != 1 {
        return None;
    }
    if let Some(values) = &input.values {
        return Some(Variation::Values(
            values.iter().map(|level| level.0.clone()).collect(),
        ));
    }
    if let Some(range) = &input.range {
        let rises = range.from < range.to;
        check.require(
            &format!("{path}.range.to"),
            rises,
            "must be greater than from",
        );
        let counted = range.count.is_some() || plan.grid.is_none();
        check.require(
            &format!("{path}.range.count"),
            counted,
            "is missing: a grid must know how many values to take",
        );
        let count = u64::from(range.count.unwrap_or(2));
        let ends = [range.from, range.to];
        return (rises && counted).then_some(Variation::Range { ends, count });
    }
    let path = key_path(path, "distribution");
    let in_grid = plan.grid.is_some();
    check.require(
        &path,
        !in_grid,
        "cannot stand in a grid: give values or a range",
    );
    let distribution = input.distribution.as_ref()?.distribution(&path, check)?;
    (!in_grid).then_some(Variation::Scattered(distribution))
}

/// Names of the columns of inputs and outputs.
fn columns(table: &StudyTable, check: &mut Checker) -> Vec<String> {
    let inputs = table.input.iter().enumerate();
    let inputs = inputs.map(|(at, each)| (entry_path("input", at), &each.key, &each.column, false));
    let outputs = table.output.iter().enumerate();
    let outputs = outputs.map(|(at, each)| {
        let counted = each.take == Some(TakeWord::Count);
        (entry_path("output", at), &each.key, &each.column, counted)
    });
    let mut names: Vec<String> = vec!["sample".to_owned(), "failure".to_owned()];
    for (entry, key, column, counted) in inputs.chain(outputs) {
        let unit = unit(key);
        let name = column.as_ref().unwrap_or(key).clone();
        let shown = if column.is_some() { "column" } else { "key" };
        let shown = key_path(&entry, shown);
        check.require(
            &shown,
            !names.contains(&name),
            "is the name of another column already",
        );
        if let Some(unit) = unit.filter(|_| !counted) {
            let rule = format!("must end in {}, the unit of its key", unit.suffix);
            let ends = name.ends_with(unit.suffix);
            check.require(&shown, column.is_none() || ends, rule);
        }
        names.push(name);
    }
    names.split_off(2)
}

fn limits(table: &StudyTable, base: &Base, check: &mut Checker) -> Vec<[Vec<Step>; 2]> {
    let mut limits = Vec::new();
    for (index, constraint) in table.constraint.iter().enumerate() {
        let entry = entry_path("constraint", index);
        let mut find = |key: &str, path: &str| {
            let varied = table.input.iter().any(|input| input.key == path);
            let found = key::in_file(&base.table, path).and_then(|place| {
                match varied || key::number(&base.table, &place).is_some() {
                    true => Ok(place),
                    false => Err("is neither varied nor a number in the base file".to_owned()),
                }
            });
            found
                .map_err(|rule| check.problem(&key_path(&entry, key), rule))
                .ok()
        };
        let smaller = find("smaller", &constraint.smaller);
        let than = find("than", &constraint.than);
        limits.extend(smaller.zip(than).map(|(smaller, than)| [smaller, than]));
    }
    limits
}

/// The table of a plan of points other than for indices, and its method.
fn sampled(plan: &PlanTable) -> Option<(Method, &SampledTable)> {
    let latin = plan.latin_hypercube.as_ref();
    let latin = latin.map(|table| (Method::LatinHypercube, table));
    let sobol = plan.sobol.as_ref();
    let sobol = sobol.map(|table| (Method::ScrambledSobol, table));
    let random = plan.random.as_ref().map(|table| (Method::Random, table));
    latin.or(sobol).or(random)
}

fn plan_words(plan: &PlanTable) -> &'static str {
    match sampled(plan) {
        Some((Method::LatinHypercube, _)) => "Latin hypercube",
        Some((Method::Random, _)) => "random",
        Some(_) => "Sobol's sequence, scrambled by the seed",
        None if plan.sobol_indices.is_some() => {
            "Saltelli's blocks for Sobol's indices, scrambled by the seed"
        }
        None => "full grid",
    }
}

fn seed(plan: &PlanTable) -> Option<u64> {
    let indices = plan.sobol_indices.map(|table| table.seed);
    sampled(plan).map(|(_, table)| table.seed).or(indices)
}

fn spread(table: &StudyTable, names: &[String], check: &mut Checker) -> Option<Spread> {
    if let Some(indices) = &table.plan.sobol_indices {
        let why = "cannot stand beside plan.sobol-indices: Sobol's indices share out the variance \
                   among independent inputs";
        let correlated = !table.correlation.is_empty();
        let rule = format!("{why}; rank correlations of plan.sobol tell of correlated ones");
        check.require("correlation[1]", !correlated, rule);
        let limited = !table.constraint.is_empty();
        let rule = format!(
            "{why}, and what a constraint leaves depends on one another: narrow the ranges until \
             every combination can be"
        );
        check.require("constraint[1]", !limited, rule);
        let design = Saltelli::new(names.len(), indices.base_samples, indices.seed);
        let design = design.map_err(|rule| check.problem("plan.sobol-indices", rule));
        return design.ok().map(Spread::Blocks);
    }
    let Some((method, plan)) = sampled(&table.plan) else {
        let none = table.correlation.is_empty();
        check.require("correlation[1]", none, "has no meaning in a grid");
        return none.then_some(Spread::Grid);
    };
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let correlation: Option<Correlation> = match table.correlation.as_slice() {
        [] => Correlation::new(names.len(), &[]).ok(),
        pairs => sampling::correlation(pairs, "correlation", &names, check),
    };
    match Plan::new(method, names.len(), plan.samples, plan.seed) {
        Ok(plan) => Some(Spread::Points(plan, correlation?)),
        Err(rule) => {
            check.problem("plan", rule);
            None
        }
    }
}

/// Checks the end values of every input against the schema of the base file. The base file
/// with the first of them, and its keys.
fn checked_ends(
    base: &Base,
    places: &[Vec<Step>],
    variations: &[Variation],
    check: &mut Checker,
) -> Option<(Table, Checker)> {
    let mut first = base.table.clone();
    let mut ok = true;
    for (index, (place, variation)) in places.iter().zip(variations).enumerate() {
        let key = key_path(&entry_path("input", index), "key");
        for (nth, value) in variation.ends().into_iter().enumerate() {
            let mut varied = base.table.clone();
            let Some(at) = key::place(&mut varied, place) else {
                check.problem(&key, "is no place in the base file");
                ok = false;
                break;
            };
            let shown = value.to_string();
            *at = value.clone();
            if let Err(error) = base.schema_check(&varied) {
                let rule = match &error {
                    InputError::Invalid { problems, .. } => {
                        let rules = problems.iter().map(|each| match each.value.is_empty() {
                            true => each.rule.clone(),
                            false => format!("{} when it is {shown}", each.rule),
                        });
                        let mut rules: Vec<String> = rules.collect();
                        rules.dedup();
                        rules.join("; ")
                    }
                    other => other.to_string(),
                };
                check.problem(&key, rule);
                ok = false;
                break;
            }
            if nth == 0 {
                *key::place(&mut first, place).expect("found just now") = value;
            }
        }
    }
    if !ok {
        return None;
    }
    match base.schema_check(&first) {
        Ok(keys) => Some((first, keys)),
        Err(error) => {
            check.problem("input", format!("cannot stand together: {error}"));
            None
        }
    }
}

/// Names study, base file and version: a mark to tell studies apart, no safeguard.
fn hash(study: &str, base: &Base, title: &str) -> String {
    let study: Table = toml::from_str(study).expect("it was read as TOML already");
    super::part::mark(&format!("{VERSION}\n{title}\n{study}\n{}", base.table))
}
