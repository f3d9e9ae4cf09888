//! `clavibeam handcalc`: every printed line can be worked out again, and the quiz hides its answers.

use std::path::Path;
use std::process::{Command, Output};

use clavibeam::handcalc::{self, Answers, Calculation};
use clavibeam::{case, frame_file};

fn shipped(folder: &str) -> Vec<String> {
    let mut files: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path().display().to_string())
        .filter(|path| path.ends_with(".toml"))
        .collect();
    files.sort();
    files
}

/// The hand calculations of all shipped cases and frames.
fn calculations() -> impl Iterator<Item = (String, Calculation)> {
    let cases = shipped("models").into_iter().map(|file| {
        let case = case::read(Path::new(&file)).unwrap();
        let calculation = handcalc::of_case(&case).unwrap();
        (file, calculation)
    });
    let frames = shipped("models/frames").into_iter().map(|file| {
        let frame = frame_file::read(Path::new(&file)).unwrap();
        let calculation = handcalc::of_frame(&frame).unwrap();
        (file, calculation)
    });
    cases.chain(frames)
}

/// A reader with a pocket calculator: works out a printed line, angles in degrees.
struct Reader<'a> {
    rest: &'a str,
}

impl Reader<'_> {
    fn work_out(line: &str) -> f64 {
        let mut reader = Reader { rest: line };
        let value = reader.sum();
        assert!(
            reader.rest.trim().is_empty(),
            "left over in '{line}': '{}'",
            reader.rest
        );
        value
    }

    fn take(&mut self, symbol: &str) -> bool {
        self.rest = self.rest.trim_start();
        let found = self.rest.strip_prefix(symbol);
        self.rest = found.unwrap_or(self.rest);
        found.is_some()
    }

    fn sum(&mut self) -> f64 {
        let mut value = match self.take("-") {
            true => -self.product(),
            false => self.product(),
        };
        loop {
            if self.take("+") {
                value += self.product();
            } else if self.take("-") {
                value -= self.product();
            } else {
                return value;
            }
        }
    }

    fn product(&mut self) -> f64 {
        let mut value = self.power();
        loop {
            if self.take("×") {
                value *= self.power();
            } else if self.take("/") {
                value /= self.power();
            } else {
                return value;
            }
        }
    }

    fn power(&mut self) -> f64 {
        let base = self.atom();
        if self.take("^") {
            return base.powf(self.atom());
        }
        match self.raised() {
            Some(exponent) => base.powi(exponent),
            None => base,
        }
    }

    /// A raised whole number.
    fn raised(&mut self) -> Option<i32> {
        const DIGITS: [&str; 10] = ["⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"];
        let mut number = String::new();
        loop {
            if let Some(digit) = DIGITS.iter().position(|digit| self.rest.starts_with(digit)) {
                number += &digit.to_string();
                self.rest = &self.rest[DIGITS[digit].len()..];
            } else if let Some(rest) = self.rest.strip_prefix('⁻') {
                number += "-";
                self.rest = rest;
            } else {
                return number.parse().ok();
            }
        }
    }

    fn atom(&mut self) -> f64 {
        for (name, function) in [
            ("√(", f64::sqrt as fn(f64) -> f64),
            ("sin(", |x| x.to_radians().sin()),
            ("cos(", |x| x.to_radians().cos()),
            ("tanh(", f64::tanh),
            ("exp(", f64::exp),
            ("log10(", f64::log10),
            ("(", |x| x),
        ] {
            if self.take(name) {
                let value = self.sum();
                assert!(self.take(")"), "no ) at '{}'", self.rest);
                return function(value);
            }
        }
        if self.take("|") {
            let value = self.sum();
            assert!(self.take("|"), "no | at '{}'", self.rest);
            return value.abs();
        }
        if self.take("π") {
            return std::f64::consts::PI;
        }
        let end = self.rest.find(|c: char| !c.is_ascii_digit() && c != '.');
        let (number, rest) = self.rest.split_at(end.unwrap_or(self.rest.len()));
        self.rest = rest;
        let number: f64 = number
            .parse()
            .unwrap_or_else(|_| panic!("no number at '{rest}'"));
        match self.rest.strip_prefix("×10") {
            Some(rest) => {
                self.rest = rest;
                number * 10_f64.powi(self.raised().expect("a power of ten"))
            }
            None => number,
        }
    }
}

/// The defining property: the printed numbers, worked out again by an independent reader, give the
/// printed result to within half a unit of its fourth figure.
#[test]
fn every_printed_line_gives_its_printed_result() {
    let mut lines = 0;
    for (file, calculation) in calculations() {
        for sheet in &calculation.sheets {
            for step in &sheet.steps {
                let again = Reader::work_out(&step.substituted());
                let printed = Reader::work_out(&step.result.number());
                assert!(
                    (again - printed).abs() <= 0.000_501 * printed.abs(),
                    "{file}, {}, {}: {} = {again}, printed {printed}",
                    sheet.title,
                    step.what,
                    step.substituted()
                );
                lines += 1;
            }
        }
    }
    assert!(lines > 500, "only {lines} lines");
}

/// Each formula, worked out from the values listed under it, must give the result too: letters and
/// numbers say the same.
#[test]
fn everything_put_in_is_given_or_worked_out_above() {
    for (file, calculation) in calculations() {
        let mut known: Vec<(&str, f64)> = Vec::new();
        for step in calculation.sheets.iter().flat_map(|sheet| &sheet.steps) {
            for quantity in step.put_in().filter(|quantity| quantity.worked_out) {
                let above = known.contains(&(quantity.symbol, quantity.value));
                assert!(
                    above,
                    "{file}, {}: {} comes from nowhere",
                    step.what, quantity.symbol
                );
            }
            known.push((step.result.symbol, step.result.value));
        }
    }
}

/// Where hand and model answer the same question they must agree: sections and factors to the four
/// figures; bars on rollers but for shear; screws smeared or one by one, the screw's line through
/// the ellipse, and the resultant moment at the station beside the fracture to a few per cent.
#[test]
fn hand_and_model_agree_where_they_mean_the_same() {
    const SAME: [(&str, f64); 14] = [
        ("A_b", 0.1),
        ("I_v", 0.1),
        ("I_h", 0.1),
        ("A_p", 0.1),
        ("I_f", 0.1),
        ("I_e", 0.1),
        ("I_s", 0.1),
        ("K_t", 0.1),
        ("K_f", 0.2),
        ("w", 0.1),
        ("σ", 0.1),
        ("F_o", 4.0),
        ("δ_p", 10.0),
        ("M", 4.0),
    ];
    let mut met = [0; SAME.len()];
    for (file, calculation) in calculations() {
        for step in calculation.sheets.iter().flat_map(|sheet| &sheet.steps) {
            let found = SAME
                .iter()
                .position(|(symbol, _)| *symbol == step.result.symbol);
            if let (Some(index), Some(model)) = (found, step.finite_element) {
                let own = step.result.value;
                let percent = 100.0 * (model - own).abs() / own.abs();
                assert!(
                    percent < SAME[index].1,
                    "{file}, {}: {own}, {model}",
                    step.what
                );
                met[index] += 1;
            }
        }
    }
    assert!(met.iter().all(|count| *count > 0), "{met:?}");
}

#[test]
fn no_line_is_wider_than_100_columns_and_every_step_has_a_source() {
    for (file, calculation) in calculations() {
        for answers in [Answers::Printed, Answers::Blank] {
            let text = handcalc::text(&calculation, answers);
            for line in text.lines() {
                assert!(line.chars().count() <= 100, "{file}: {line}");
                assert!(
                    !line.contains("NaN") && !line.contains("inf "),
                    "{file}: {line}"
                );
            }
        }
        for step in calculation.sheets.iter().flat_map(|sheet| &sheet.steps) {
            assert!(!step.source.is_empty(), "{file}: {}", step.what);
        }
    }
}

/// Compares with a stored report; `BLESS=1` stores the new one.
#[test]
fn text_of_a_shipped_case_is_as_stored() {
    let case = case::read(Path::new("models/schoolchild-transverse.toml")).unwrap();
    let calculation = handcalc::of_case(&case).unwrap();
    let found = handcalc::text(&calculation, Answers::Printed);
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/handcalc_schoolchild.txt");
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, &found).unwrap();
    }
    let expected = std::fs::read_to_string(&path).expect("BLESS=1 stores a missing golden file");
    assert_eq!(found, expected, "BLESS=1 accepts it");
}

#[test]
fn what_no_textbook_knows_is_said_with_its_reason() {
    let refused = [
        ("taper", "its section varies"),
        ("twisted_beam_1985", "its section varies or turns"),
        ("quarter_circle", "not straight"),
        ("root_spring", "spring"),
        ("lee_frame", "displacements are large"),
        ("beam_on_foundation", "supported between its ends"),
        ("rod_in_plugs", "couplings hold it between its ends"),
        ("propped_cantilever", "neither a cantilever's"),
    ];
    for (name, reason) in refused {
        let file = frame_file::read(Path::new(&format!("models/frames/{name}.toml"))).unwrap();
        let calculation = handcalc::of_frame(&file).unwrap();
        let said = calculation.sheets.iter().flat_map(|sheet| &sheet.notes);
        assert!(
            said.clone().any(|note| note.contains(reason)),
            "{name}: {:?}",
            said.collect::<Vec<_>>()
        );
    }
}

/// Members that share a load are cut free: each has a moment or a stress by statics, and it is the
/// model's but for rounding.
#[test]
fn members_that_share_a_load_are_cut_free() {
    for (name, least) in [
        ("portal_frame", 3),
        ("truss", 3),
        ("grillage", 6),
        ("continuous_beam", 6),
        ("propped_cantilever", 2),
    ] {
        let file = frame_file::read(Path::new(&format!("models/frames/{name}.toml"))).unwrap();
        let calculation = handcalc::of_frame(&file).unwrap();
        let steps = calculation.sheets.iter().flat_map(|sheet| &sheet.steps);
        let compared: Vec<_> = steps.filter(|step| step.finite_element.is_some()).collect();
        assert!(compared.len() >= least, "{name}: {} steps", compared.len());
        for step in compared {
            let (own, model) = (step.result.value, step.finite_element.unwrap());
            let size = own.abs().max(model.abs());
            assert!((own - model).abs() <= 2e-3 * size, "{name}: {step:#?}");
        }
    }
}

/// Of a bar offered in several sizes, the one that is compared is worked out, by hand and in the
/// model alike.
#[test]
fn the_size_that_is_picked_is_worked_out() {
    let text = "title = \"sizes\"\n[patient]\npreset = \"adult-female\"\n[fracture]\nposition = 0.5\n\
                pattern = \"comminuted\"\ngap_mm = 6\n[[construct]]\nname = \"nail\"\n\
                [construct.nail]\ndiameter_mm = [1.5, 2.0, 2.5]\nmaterial = \"ti-6al-7nb\"\n\
                [[activity]]\nname = \"arm\"\narm_elevation_deg = 60\n";
    let case = case::parse(text, "sizes.toml").unwrap_or_else(|error| panic!("{error}"));
    let worked = handcalc::of_case(&case).expect("it holds");
    let told = handcalc::text(&worked, Answers::Printed);
    assert!(told.contains("Smooth elastic nail 2.5 mm"), "{told}");
    assert!(told.contains("d = 2.5 mm, diameter of its shank"), "{told}");
}

fn clavibeam(arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_clavibeam"));
    command
        .args(arguments)
        .output()
        .expect("the program starts")
}

fn text_of(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("the program writes UTF-8")
}

#[test]
fn the_quiz_has_blanks_and_a_key_and_follows_its_seed() {
    let folder = std::env::temp_dir().join(format!("clavibeam-{}-quiz", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    for file in [
        "models/potter-transverse.toml",
        "models/frames/cantilever.toml",
    ] {
        let ask = |seed: &str| {
            let key = folder.join(format!("key-{seed}.txt"));
            let key = key.to_str().unwrap();
            let asked = clavibeam(&["handcalc", file, "--quiz", "--seed", seed, "--key", key]);
            assert_eq!(asked.status.code(), Some(0), "{}", text_of(&asked.stderr));
            (
                text_of(&asked.stdout),
                std::fs::read_to_string(key).unwrap(),
            )
        };
        let (questions, key) = ask("3");
        assert_eq!(
            ask("3"),
            (questions.clone(), key.clone()),
            "{file}: the same seed"
        );
        assert_ne!(ask("4").1, key, "{file}: another seed");
        let sources = |text: &str| text.matches("source: ").count();
        assert_eq!(
            questions.matches("____________").count(),
            sources(&key),
            "{file}"
        );
        assert!(
            !questions.contains("finite elements: ") && !key.contains("____"),
            "{file}"
        );
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

/// Every element that opens closes, in order.
fn assert_balanced(page: &str) {
    let mut open = Vec::new();
    for tag in page.split('<').skip(1) {
        let tag = &tag[..tag.find('>').expect("a closed tag")];
        let name = tag
            .trim_start_matches('/')
            .split([' ', '\n'])
            .next()
            .unwrap();
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') && !["!DOCTYPE", "meta"].contains(&name) {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "{open:?}");
}

#[test]
fn page_and_markdown_hold_every_step() {
    let folder = std::env::temp_dir().join(format!("clavibeam-{}-page", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let [html, markdown] = ["page.html", "page.md"].map(|name| folder.join(name));
    let done = clavibeam(&[
        "handcalc",
        "models/roof-tiler-comminuted.toml",
        "--html",
        html.to_str().unwrap(),
        "--markdown",
        markdown.to_str().unwrap(),
    ]);
    assert_eq!(done.status.code(), Some(0), "{}", text_of(&done.stderr));
    let [html, markdown] = [html, markdown].map(|path| std::fs::read_to_string(path).unwrap());
    let steps = text_of(&done.stdout).matches("source: ").count();
    assert_balanced(&html);
    assert!(!html.contains("http"), "the page needs nothing else");
    assert_eq!(html.matches("<h3>").count(), steps);
    assert_eq!(markdown.matches("\n### ").count(), steps);
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn help_shows_an_example_that_runs() {
    let help = text_of(&clavibeam(&["handcalc", "--help"]).stdout);
    let example = "handcalc models/roof-tiler-comminuted.toml --html by-hand.html";
    assert!(help.contains(example), "{help}");
}

#[test]
fn bad_input_names_file_and_reason_and_exits_with_2() {
    let refused = [
        (
            vec!["tests/cases/negative_diameter.toml"],
            "negative_diameter.toml:",
        ),
        (vec!["tests/cases/syntax.toml"], "syntax.toml:"),
        (vec!["tests/cases/empty_file.toml"], "empty_file.toml:"),
        (vec!["no-such-file.toml"], "no-such-file.toml: "),
        (
            vec!["models/potter-transverse.toml", "--seed", "3"],
            "--quiz",
        ),
    ];
    for (arguments, reason) in refused {
        let done = clavibeam(&[&["handcalc"], arguments.as_slice()].concat());
        let message = text_of(&done.stderr);
        assert_eq!(done.status.code(), Some(2), "{arguments:?}: {message}");
        assert!(message.contains(reason), "{arguments:?}: {message}");
    }
}
