//! The comparison on a terminal.

use crate::assess::{Assessment, ConstructAssessment, CriticalSection, Part};

use super::around::around;
use super::compression;
use super::joints;
use super::number::{NOTHING, plain, three_figures, three_figures_or_dash};
use super::purchase;
use super::scatter;
use super::screws;
use super::sizes;
use super::table::{Cell, Row, comparison, indent, intact, subject, whole_width};
use super::weakest::{fatigue_margins, worst_activity};
use super::weeks;
use super::words::{padded, width, wrapped};

/// Widest line, characters.
const WIDTH: usize = 100;
/// Between columns, characters.
const SPACING: usize = 2;
/// Words in a cell and headings are broken into lines of this many characters where they can be.
const WIDE_COLUMN: usize = 15;
/// The same where this spares a table.
const NARROW_COLUMN: usize = 12;

/// What linear couplings leave out.
pub(super) const LINEAR: &str = "Broken ends do not touch, a nail has no play in its canal and lies \
                                 there free of stress, nothing slides.";

/// How much to say, and whether in bold.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Options {
    /// Use bold and dim type. Nothing is said by it alone.
    pub colour: bool,
    /// Add how each construct holds and the margins of all its critical sections.
    pub verbose: bool,
}

/// The terminal report: answer, table, warnings, method; no line past 100 characters.
pub fn text(assessment: &Assessment, options: Options) -> String {
    let mut page = Page::new(options.colour);
    page.bold(&assessment.title);
    page.paragraph("", &subject(assessment));
    page.blank();
    for sentence in &assessment.summary {
        page.paragraph("", sentence);
    }
    page.blank();

    let rows = comparison(assessment);
    for block in blocks(assessment, &rows) {
        page.block(assessment, &rows, &block);
        page.blank();
    }
    page.paragraph("", &intact(assessment));
    page.blank();
    if let Some(linear) = &assessment.linear {
        page.bold("The same with linear couplings");
        page.paragraph("", LINEAR);
        page.blank();
        let rows = comparison(linear);
        for block in blocks(linear, &rows) {
            page.block(linear, &rows, &block);
            page.blank();
        }
    }

    let studies = sizes::blocks(assessment).into_iter();
    for (heading, lines, sentence) in studies
        .chain(purchase::blocks(assessment))
        .chain(joints::blocks(assessment))
    {
        page.bold(&heading);
        for line in lines {
            page.line(&line);
        }
        page.paragraph("  ", &sentence);
        page.blank();
    }
    for table in weeks::tables(assessment)
        .into_iter()
        .chain(scatter::table(assessment))
    {
        page.bold(&table.heading);
        page.paragraph("", &table.explanation);
        for block in blocks(assessment, &table.rows) {
            page.block(assessment, &table.rows, &block);
            page.blank();
        }
    }

    for construct in &assessment.constructs {
        for flag in &construct.flags {
            page.paragraph("! ", &format!("{}: {flag}", construct.name));
        }
    }
    if assessment.constructs.iter().any(|c| !c.flags.is_empty()) {
        page.blank();
    }
    if options.verbose {
        for construct in &assessment.constructs {
            page.construct(assessment, construct);
        }
    }
    for sentence in &assessment.fixtures {
        page.paragraph("", sentence);
    }
    page.blank();
    page.paragraph("", &closing(assessment));
    page.out
}

/// The inputs the case left to their defaults: key = value (source), and how inputs scatter.
pub fn defaults(assessment: &Assessment) -> String {
    let used = assessment.defaults_used.iter();
    let used = used.map(|d| [d.key.clone(), d.value.clone(), d.source.clone()]);
    let mut list = listed(used.collect());
    if let Some(scatter) = &assessment.scatter {
        let scattering = scatter.inputs.iter().map(|input| {
            let key = format!("scatter.{}", input.key);
            [key, input.distribution.clone(), input.source.clone()]
        });
        list.push('\n');
        list.push_str(&listed(scattering.collect()));
        for pair in &scatter.correlations {
            list.push_str(&format!("scatter.correlation: {pair}\n"));
        }
    }
    list
}

/// A line for each key, value and source.
fn listed(rows: Vec<[String; 3]>) -> String {
    let widest = |column: usize| {
        rows.iter()
            .map(|row| width(&row[column]))
            .max()
            .unwrap_or(0)
    };
    let [keys, values] = [widest(0), widest(1)];
    rows.iter()
        .map(|[key, value, source]| {
            format!(
                "{} = {}  ({source})\n",
                padded(key, keys),
                padded(value, values)
            )
        })
        .collect()
}

fn closing(assessment: &Assessment) -> String {
    let defaults = match assessment.defaults_used.len() {
        0 => "No input was a default.".to_string(),
        1 => "1 input was a default (list: --defaults).".to_string(),
        count => format!("{count} inputs were defaults (list: --defaults)."),
    };
    let mut sentences = vec![defaults];
    sentences.extend(assessment.cautions.iter().cloned());
    sentences.join(" ")
}

/// A column of the table as wide as it must be.
struct Column {
    construct: usize,
    heading: Vec<String>,
    /// Characters before the decimal point of the longest number.
    whole: usize,
    /// Characters at which words are broken.
    words: usize,
    width: usize,
}

/// Splits the constructs evenly into as few tables as 100 characters allow: words are set
/// wide if that costs no further table, narrow if it does.
fn blocks(assessment: &Assessment, rows: &[Row]) -> Vec<Vec<Column>> {
    let all = assessment.constructs.len();
    let [wide, narrow] = [WIDE_COLUMN, NARROW_COLUMN].map(|words| {
        let tables = filled(assessment, rows, words, all).len().max(1);
        filled(assessment, rows, words, all.div_ceil(tables))
    });
    if wide.len() <= narrow.len() {
        wide
    } else {
        narrow
    }
}

/// Fills one table after the other.
///
/// * `words`: characters at which words are broken where they can be
/// * `most`: constructs in a table
fn filled(assessment: &Assessment, rows: &[Row], words: usize, most: usize) -> Vec<Vec<Column>> {
    let room = WIDTH - label_width(rows);
    let mut blocks: Vec<Vec<Column>> = Vec::new();
    let mut used = room;
    for construct in 0..assessment.constructs.len() {
        let column = column(
            &assessment.constructs[construct].name,
            construct,
            rows,
            words,
        );
        let full = blocks.last().is_none_or(|block| block.len() >= most);
        if full || used + SPACING + column.width > room {
            blocks.push(Vec::new());
            used = 0;
        }
        used += SPACING + column.width;
        blocks
            .last_mut()
            .expect("the first column opens a block")
            .push(column);
    }
    blocks
}

fn column(name: &str, construct: usize, rows: &[Row], words: usize) -> Column {
    let whole = whole_width(rows, construct);
    let heading = wrapped(name, words);
    let width = rows
        .iter()
        .flat_map(|row| lines(&row.cells[construct], whole, words))
        .chain(heading.iter().cloned())
        .map(|line| width(&line))
        .max()
        .unwrap_or(0);
    Column {
        construct,
        heading,
        whole,
        words,
        width,
    }
}

/// A cell as printed: numbers with their points under one another, words from the left.
fn lines(cell: &Cell, whole: usize, width: usize) -> Vec<String> {
    let aligned = |figures: String| format!("{}{figures}", " ".repeat(indent(&figures, whole)));
    match cell {
        Cell::Number(value) => vec![aligned(three_figures(*value))],
        Cell::Verdict(value, word) | Cell::Limited(value, word) => {
            vec![format!("{} {word}", aligned(three_figures(*value)))]
        }
        Cell::Words(words) => wrapped(words, width),
        Cell::Nothing => vec![aligned(NOTHING.to_string())],
    }
}

fn label_width(rows: &[Row]) -> usize {
    rows.iter()
        .map(|row| width(&indented(row)))
        .max()
        .unwrap_or(0)
}

fn indented(row: &Row) -> String {
    let indent = if row.activity.is_some() { 4 } else { 2 };
    format!("{}{}", " ".repeat(indent), row.label)
}

/// The report while it is being written.
struct Page {
    out: String,
    colour: bool,
}

impl Page {
    fn new(colour: bool) -> Self {
        Self {
            out: String::new(),
            colour,
        }
    }

    fn line(&mut self, line: &str) {
        self.out.push_str(line.trim_end());
        self.out.push('\n');
    }

    fn blank(&mut self) {
        if !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    fn bold(&mut self, words: &str) {
        for line in wrapped(words, WIDTH) {
            if self.colour {
                self.line(&format!("\u{1b}[1m{line}\u{1b}[0m"));
            } else {
                self.line(&line);
            }
        }
    }

    /// Words after a mark, further lines under the words.
    fn paragraph(&mut self, mark: &str, words: &str) {
        let room = WIDTH - width(mark);
        let indent = " ".repeat(width(mark));
        for (number, line) in wrapped(words, room).iter().enumerate() {
            let lead = if number == 0 { mark } else { &indent };
            self.line(&format!("{lead}{line}"));
        }
    }

    fn block(&mut self, assessment: &Assessment, rows: &[Row], columns: &[Column]) {
        let label_width = label_width(rows);

        // Headings end on one line, above their columns.
        let height = columns.iter().map(|c| c.heading.len()).max().unwrap_or(0);
        let headings = columns.iter().map(|column| {
            let mut lines = vec![String::new(); height - column.heading.len()];
            lines.extend(column.heading.iter().cloned());
            lines
        });
        self.row(&padded("", label_width), headings.collect(), columns);

        let mut activity = None;
        for row in rows {
            if row.activity != activity {
                activity = row.activity;
                if let Some(activity) = activity.map(|number| &assessment.activities[number]) {
                    let moment = plain(activity.fracture_moment_nm);
                    self.paragraph(
                        "  ",
                        &format!("{}: {moment} N·m at the fracture", activity.name),
                    );
                }
            }
            let cells = columns
                .iter()
                .map(|column| lines(&row.cells[column.construct], column.whole, column.words));
            self.row(
                &padded(&indented(row), label_width),
                cells.collect(),
                columns,
            );
        }
    }

    /// One row of the table, as many lines high as its highest cell.
    fn row(&mut self, label: &str, cells: Vec<Vec<String>>, columns: &[Column]) {
        let height = cells.iter().map(Vec::len).max().unwrap_or(0);
        let blank = " ".repeat(width(label));
        for number in 0..height {
            let mut line = if number == 0 { label } else { &blank }.to_string();
            for (cell, column) in cells.iter().zip(columns) {
                let words = cell.get(number).map_or("", String::as_str);
                line.push_str(&" ".repeat(SPACING));
                line.push_str(&padded(words, column.width));
            }
            self.line(&line);
        }
    }

    /// How a construct holds, and the margins at all its critical sections.
    fn construct(&mut self, assessment: &Assessment, construct: &ConstructAssessment) {
        self.bold(&construct.name);
        self.paragraph("  ", &construct.device);
        self.paragraph(
            "  ",
            &format!(
                "Goes in: {}. {}",
                construct.fit.verdict, construct.fit.reason
            ),
        );
        self.paragraph("  ", &format!("Holds: {}.", holds(construct)));
        self.paragraph(
            "  ",
            &format!(
                "Keeps length: {}. {}",
                construct.slip.length_stable, construct.slip.reason
            ),
        );
        self.line(
            "  place                     part    at %  Kt    Kf    stress  proof  static  \
             10^5   10^6   10^7",
        );
        self.line(
            "                                                      MPa     MPa    margin  \
             fatigue margins",
        );
        for section in &construct.critical_sections {
            self.section(assessment, section);
        }
        for line in screws::lines(construct)
            .iter()
            .chain(&compression::lines(construct))
        {
            self.line(line);
        }
        for line in weeks::lines(construct) {
            self.line(&format!("  {line}"));
        }
        let topics = around(construct).into_iter();
        let topics = topics.chain(weeks::talk(construct));
        for topic in topics.chain(scatter::topic(construct)) {
            self.line(&format!("  {}", topic.heading));
            for sentence in &topic.sentences {
                self.paragraph("    - ", sentence);
            }
        }
        self.blank();
    }

    /// One line: the section in the activity that is worst for it.
    fn section(&mut self, assessment: &Assessment, section: &CriticalSection) {
        let Some(worst) = worst_activity(section) else {
            return;
        };
        let stress = &section.activities[worst];
        let [e5, e6, e7] = fatigue_margins(stress).map(three_figures_or_dash);
        let names = wrapped(&section.name, 24);
        self.line(&format!(
            "  {}  {}  {:<4}  {:<4}  {:<4}  {:<6}  {:<5}  {:<6}  {e5:<5}  {e6:<5}  {e7}",
            padded(&names[0], 24),
            padded(part(section.part), 6),
            three_figures(100.0 * section.position),
            three_figures(section.kt),
            three_figures(section.kf),
            three_figures(stress.nominal_stress_mpa),
            three_figures(section.proof_stress_mpa),
            three_figures_or_dash(stress.static_margin),
        ));
        for name in &names[1..] {
            self.line(&format!("    {name}"));
        }
        self.paragraph(
            "      ",
            &format!(
                "{}; {}; worst in {}",
                section.material, section.nominal, assessment.activities[worst].name
            ),
        );
    }
}

/// What holds a construct in the two fragments.
pub(super) fn holds(construct: &ConstructAssessment) -> String {
    let purchase = &construct.purchase;
    let side = |screws: usize, length: f64| match screws {
        0 => format!("{} mm of device", plain(length)),
        1 => format!("1 screw over {} mm", plain(length)),
        count => format!("{count} screws over {} mm", plain(length)),
    };
    let length = |words: &str, length: Option<f64>| {
        let told = length.map(|length| format!("; {words} {} mm", plain(length)));
        told.unwrap_or_default()
    };
    format!(
        "medial {}, lateral {}{}",
        side(purchase.medial_screws, purchase.medial_mm),
        side(purchase.lateral_screws, purchase.lateral_mm),
        length("working length", construct.working_length_mm),
    )
}

/// A part in a word.
pub(super) fn part(part: Part) -> &'static str {
    match part {
        Part::Device => "device",
        Part::Screw => "screw",
        Part::Bone => "bone",
    }
}
