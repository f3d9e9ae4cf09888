//! Checks a TOML document against a JSON Schema.
//!
//! Knows what `schemars` writes for plain structs: `$ref`, `anyOf` with null for
//! an optional table, lists of types, `enum` and `oneOf` of constants for words,
//! numeric limits, lists with limits on their length, closed tables, tables whose keys the
//! user chooses, and one word as a `pattern` where a number or a list may stand as well.

use serde_json::Value;
use toml::de::{DeArray, DeTable, DeValue};

use super::checker::{Checker, entry_path, key_path};

/// Adds a problem to `check` for everything in `table` that breaks `schema`.
pub(super) fn check(check: &mut Checker, table: &DeTable<'_>, schema: &Value) {
    let mut walk = Walk {
        check,
        root: schema,
    };
    walk.table("", table, schema);
}

struct Walk<'a> {
    check: &'a mut Checker,
    root: &'a Value,
}

impl<'a> Walk<'a> {
    fn value(&mut self, path: &str, value: &DeValue<'_>, schema: &'a Value) {
        let schema = self.resolve(schema);
        let is = |kind: &str| has_type(schema, kind);
        match value {
            DeValue::Table(table) if is("object") => self.table(path, table, schema),
            DeValue::Array(list) if is("array") => self.list(path, list, schema),
            DeValue::String(text) if is("string") => self.text(path, text, schema),
            DeValue::Integer(digits) if is("integer") || is("number") => {
                match i64::from_str_radix(digits.as_str(), digits.radix()) {
                    Ok(number) => self.number(path, number as f64, schema),
                    Err(_) => self.check.problem(path, "is too large a whole number"),
                }
            }
            DeValue::Float(digits) if is("number") => {
                let number = digits.as_str().parse().unwrap_or(f64::NAN);
                self.number(path, number, schema);
            }
            DeValue::Boolean(_) if is("boolean") => {}
            _ => {
                let expected = self.expected(path, schema);
                self.check.problem(path, format!("must be {expected}"));
            }
        }
    }

    fn table(&mut self, path: &str, table: &DeTable<'_>, schema: &'a Value) {
        let keys = schema["properties"].as_object();
        // A mistyped key is one problem, not also a missing one.
        let mut meant = Vec::new();
        for (key, value) in table {
            let key = key.get_ref().as_ref();
            let key_path = key_path(path, key);
            if let Some(schema) = keys.and_then(|keys| keys.get(key)) {
                self.value(&key_path, value.get_ref(), schema);
            } else if schema["additionalProperties"].is_object() {
                self.value(&key_path, value.get_ref(), &schema["additionalProperties"]);
            } else {
                let known: Vec<&str> = keys
                    .iter()
                    .flat_map(|keys| keys.keys())
                    .map(String::as_str)
                    .collect();
                let nearest = nearest(key, &known);
                let suggestion = match nearest {
                    Some(nearest) => format!(": did you mean {nearest}?"),
                    None => String::new(),
                };
                let rule = format!("is not a key{suggestion} (keys here: {})", known.join(", "));
                self.check.problem(&key_path, rule);
                meant.extend(nearest);
            }
        }
        for key in schema["required"].as_array().into_iter().flatten() {
            let key = key.as_str().expect("a schema's required keys are strings");
            if !table.contains_key(key) && !meant.contains(&key) {
                let schema = self.resolve(&schema["properties"][key]);
                let expected = self.expected(&key_path(path, key), schema);
                self.check
                    .problem(&key_path(path, key), format!("is missing: {expected}"));
            }
        }
    }

    fn list(&mut self, path: &str, list: &DeArray<'_>, schema: &'a Value) {
        let count = list.len() as u64;
        let (least, most) = (schema["minItems"].as_u64(), schema["maxItems"].as_u64());
        if least.is_some_and(|least| count < least) || most.is_some_and(|most| count > most) {
            let rule = match (least, most) {
                (Some(least), Some(most)) if least == most => format!("must have {least} entries"),
                (Some(least), Some(most)) => format!("must have {least} to {most} entries"),
                (Some(least), None) => format!("must have {least} or more entries"),
                (None, Some(most)) => format!("must have {most} or fewer entries"),
                (None, None) => unreachable!("a limit was broken"),
            };
            self.check.problem(path, rule);
        }
        for (index, item) in list.iter().enumerate() {
            self.value(&entry_path(path, index), item.get_ref(), &schema["items"]);
        }
    }

    fn text(&mut self, path: &str, text: &str, schema: &'a Value) {
        if only_word(schema).is_some_and(|word| word != text) {
            let expected = self.expected(path, schema);
            self.check.problem(path, format!("must be {expected}"));
        }
        let words = allowed_words(schema);
        if !words.is_empty() && !words.contains(&text) {
            let suggestion = match nearest(text, &words) {
                Some(nearest) => format!(": did you mean \"{nearest}\"?"),
                None => String::new(),
            };
            let rule = format!("must be one of {}{suggestion}", quoted(&words));
            self.check.problem(path, rule);
        }
        if schema["minLength"].as_u64() > Some(0) && text.trim().is_empty() {
            self.check.problem(path, "must not be empty");
        }
    }

    fn number(&mut self, path: &str, number: f64, schema: &Value) {
        if !number.is_finite() {
            self.check.problem(path, "must be a finite number");
            return;
        }
        let limit = |name: &str| schema[name].as_f64();
        let holds = limit("minimum").is_none_or(|least| number >= least)
            && limit("exclusiveMinimum").is_none_or(|low| number > low)
            && limit("maximum").is_none_or(|most| number <= most)
            && limit("exclusiveMaximum").is_none_or(|high| number < high);
        if !holds {
            self.check
                .problem(path, format!("must be {}", range(schema)));
        }
    }

    /// Follows a reference, and takes the table out of "a table or nothing".
    fn resolve(&self, schema: &'a Value) -> &'a Value {
        if let Some(reference) = schema["$ref"].as_str() {
            let target = self.root.pointer(reference.trim_start_matches('#'));
            return self.resolve(target.expect("a generated schema defines what it refers to"));
        }
        match schema["anyOf"].as_array() {
            Some(options) => options
                .iter()
                .map(|option| self.resolve(option))
                .find(|option| option["type"] != "null")
                .expect("an optional value can be something"),
            None => schema,
        }
    }

    /// What a value should be, in words.
    fn expected(&self, path: &str, schema: &'a Value) -> String {
        let words = allowed_words(schema);
        if let Some(word) = only_word(schema) {
            let range = range(schema);
            return format!("a number, {range}, or a list of numbers, or \"{word}\"");
        }
        if !words.is_empty() {
            return format!("one of {}", quoted(&words));
        }
        if has_type(schema, "array") {
            let item = self.resolve(&schema["items"]);
            return match has_type(item, "object") {
                true => format!("a list of tables, each headed [[{path}]]"),
                false => "a list such as [1, 2]".to_owned(),
            };
        }
        if has_type(schema, "object") {
            return format!("a table, headed [{path}]");
        }
        let kind = [
            ("string", "text in quotes"),
            ("boolean", "true or false"),
            ("integer", "a whole number"),
            ("number", "a number"),
        ]
        .iter()
        .find(|(kind, _)| has_type(schema, kind));
        let words = kind.map_or("something else", |(_, words)| words);
        match range(schema) {
            range if range.is_empty() => words.to_owned(),
            range => format!("{words}, {range}"),
        }
    }
}

/// The limits of a number in words, such as `greater than 0 and at most 10`.
fn range(schema: &Value) -> String {
    [
        ("minimum", "at least"),
        ("exclusiveMinimum", "greater than"),
        ("maximum", "at most"),
        ("exclusiveMaximum", "less than"),
    ]
    .iter()
    .filter_map(|(name, words)| Some(format!("{words} {}", schema[name].as_f64()?)))
    .collect::<Vec<_>>()
    .join(" and ")
}

fn has_type(schema: &Value, kind: &str) -> bool {
    match &schema["type"] {
        Value::String(only) => only == kind,
        Value::Array(any) => any.iter().any(|each| each == kind),
        // A choice of documented words states its type in each of them.
        _ => kind == "string" && schema["oneOf"].is_array(),
    }
}

/// The words a text may be; none if it may be anything.
fn allowed_words(schema: &Value) -> Vec<&str> {
    let listed = schema["enum"].as_array().into_iter().flatten();
    let documented = schema["oneOf"].as_array().into_iter().flatten();
    let constants = documented.flat_map(|word| {
        let several = word["enum"].as_array().into_iter().flatten();
        several.chain(word.get("const"))
    });
    listed.chain(constants).filter_map(Value::as_str).collect()
}

/// The word that may stand instead of a number or a list of numbers.
fn only_word(schema: &Value) -> Option<&str> {
    let pattern = schema["pattern"].as_str()?;
    pattern.strip_prefix('^')?.strip_suffix('$')
}

fn quoted(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    quoted.join(", ")
}

/// The known word most like the one typed, if any is like it.
pub(crate) fn nearest<'w>(typed: &str, known: &[&'w str]) -> Option<&'w str> {
    let likeness = |word: &str| strsim::jaro_winkler(&typed.to_lowercase(), word);
    known
        .iter()
        .copied()
        .filter(|word| likeness(word) > 0.8)
        .max_by(|a, b| likeness(a).total_cmp(&likeness(b)))
}
