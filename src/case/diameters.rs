//! The diameter of a bar as it is typed: one, several to choose from, or `"auto"`.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Deserialize, Deserializer, Error, SeqAccess, Visitor};

use super::defaults::Inputs;
use super::devices::BrokenBone;
use crate::input::entry_path;

/// A diameter, a list of diameters of which the largest that goes in is taken, or `"auto"`: all
/// sizes that are made.
#[derive(Debug, Clone, PartialEq)]
pub enum Diameters {
    /// This one, mm.
    One(f64),
    /// The largest of these that goes in, mm.
    Listed(Vec<f64>),
    /// The largest of those made that goes in.
    Auto,
}

impl Diameters {
    /// Builds one device of each size, smallest first; the notes on defaults that depend on the
    /// size become one note with all values.
    ///
    /// * `key`: where the diameter stands in the file
    /// * `made`: the sizes that are made, mm
    pub(super) fn each<T>(
        &self,
        inputs: &mut Inputs,
        key: &str,
        made: &[f64],
        mut build: impl FnMut(&mut Inputs, f64) -> T,
    ) -> Vec<T> {
        let mut sizes = match self {
            Diameters::One(diameter) => vec![*diameter],
            Diameters::Listed(listed) => listed.clone(),
            Diameters::Auto => made.to_vec(),
        };
        sizes.sort_by(f64::total_cmp);
        let before = inputs.defaults_used.len();
        let mut built = Vec::new();
        for (index, &size) in sizes.iter().enumerate() {
            let noted = inputs.defaults_used.len();
            built.push(build(inputs, size));
            if index > 0 {
                let again = inputs.defaults_used.split_off(noted);
                for (note, other) in inputs.defaults_used[before..].iter_mut().zip(again) {
                    if !note.value.ends_with(&other.value) {
                        note.value = format!("{}, {}", note.value, other.value);
                    }
                }
            }
        }
        self.require_sound(inputs, key);
        built
    }

    fn require_sound(&self, inputs: &mut Inputs, key: &str) {
        let Diameters::Listed(listed) = self else {
            return;
        };
        for (index, diameter) in listed.iter().enumerate() {
            let repeated = listed[..index].contains(diameter);
            let key = entry_path(key, index);
            inputs.check.require(&key, !repeated, "is listed twice");
        }
    }

    /// Requires every size typed to be thinner than the bone.
    pub(super) fn require_thinner(&self, inputs: &mut Inputs, key: &str, bone: &BrokenBone<'_>) {
        const PLACES: usize = 100;
        let thinnest = (0..=PLACES)
            .flat_map(|i| bone.clavicle.outer(i as f64 / PLACES as f64))
            .fold(f64::MAX, f64::min);
        let rule = format!("must be less than the bone where it is thinnest, {thinnest:.1} mm");
        let mut require = |key: &str, diameter: f64| {
            inputs.check.require(key, diameter < thinnest, &rule);
        };
        match self {
            Diameters::One(diameter) => require(key, *diameter),
            Diameters::Listed(listed) => {
                for (index, diameter) in listed.iter().enumerate() {
                    require(&entry_path(key, index), *diameter);
                }
            }
            Diameters::Auto => {}
        }
    }
}

impl JsonSchema for Diameters {
    fn schema_name() -> Cow<'static, str> {
        "Diameters".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": ["number", "array", "string"],
            "minItems": 1,
            "items": { "type": "number", "minimum": 0.5, "maximum": 15 },
            "pattern": "^auto$"
        })
    }
}

impl<'de> Deserialize<'de> for Diameters {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(AnyForm)
    }
}

/// Takes whichever of the three forms is there.
struct AnyForm;

impl<'de> Visitor<'de> for AnyForm {
    type Value = Diameters;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a diameter, a list of diameters or \"auto\"")
    }

    fn visit_f64<E: Error>(self, diameter: f64) -> Result<Diameters, E> {
        Ok(Diameters::One(diameter))
    }

    fn visit_i64<E: Error>(self, diameter: i64) -> Result<Diameters, E> {
        Ok(Diameters::One(diameter as f64))
    }

    fn visit_str<E: Error>(self, word: &str) -> Result<Diameters, E> {
        match word {
            "auto" => Ok(Diameters::Auto),
            other => Err(E::invalid_value(serde::de::Unexpected::Str(other), &self)),
        }
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Diameters, A::Error> {
        let mut diameters = Vec::new();
        while let Some(diameter) = list.next_element()? {
            diameters.push(diameter);
        }
        Ok(Diameters::Listed(diameters))
    }
}
