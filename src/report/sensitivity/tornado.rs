//! How far each input moves the mean of an output, the farthest on top.

use plotters::prelude::{DrawingBackend, RGBColor};

use super::names;
use super::panel::Scale;
use crate::report::style::{
    Align, BLUE, Drawn, GRID, INK, PAPER, QUIET, SKY, Sheet, Stroke, Type, WIDTH,
};
use crate::report::words::shortened;
use crate::sensitivity::{Analysis, Effect, Level, Output};

const TOP: f64 = 76.0;
const ROW: f64 = 30.0;
const NAMES: f64 = 230.0;
/// Room for the values of inputs beside the bars.
const BESIDE: f64 = 84.0;

pub(super) fn height(analysis: &Analysis) -> f64 {
    TOP + ROW * analysis.inputs.len() as f64 + 52.0
}

/// The level with the lowest mean and that with the highest.
pub(super) fn extremes(effect: &Effect) -> Option<[&Level; 2]> {
    let by_mean = |a: &&Level, b: &&Level| a.mean.total_cmp(&b.mean);
    let lowest = effect.levels.iter().min_by(by_mean)?;
    let highest = effect.levels.iter().max_by(by_mean)?;
    Some([lowest, highest])
}

/// Inputs with their extremes, the widest swing first.
pub(super) fn swings(output: &Output) -> Vec<(usize, [&Level; 2])> {
    let effects = output.effects.iter().enumerate();
    let mut swings: Vec<(usize, [&Level; 2])> = effects
        .filter_map(|(input, effect)| Some((input, extremes(effect)?)))
        .collect();
    let swing = |[lowest, highest]: &[&Level; 2]| highest.mean - lowest.mean;
    swings.sort_by(|(_, a), (_, b)| swing(b).total_cmp(&swing(a)));
    swings
}

pub(super) fn draw<DB: DrawingBackend>(
    sheet: &Sheet<'_, DB>,
    analysis: &Analysis,
    output: &Output,
) -> Drawn<DB> {
    let title = names::label(&output.name);
    sheet.text(
        (10.0, 16.0),
        &names::cut(&title, 100),
        Type::Bold,
        Align::Left,
    )?;
    let Some(summary) = output.summary else {
        return Ok(());
    };
    let swings = swings(output);
    let reach = |level: &Level| level.half.unwrap_or(0.0);
    let (least, most) = swings.iter().fold(
        (summary.mean, summary.mean),
        |(least, most), (_, [lowest, highest])| {
            let low = lowest.mean - reach(lowest);
            let high = highest.mean + reach(highest);
            (least.min(low), most.max(high))
        },
    );
    let bottom = TOP + ROW * swings.len() as f64;
    let pixels = (NAMES + BESIDE, WIDTH - BESIDE - 10.0);
    let scale = Scale::round((least, most), pixels, 6);
    let fills = swings.iter().flat_map(|(input, ends)| {
        let effect = &output.effects[*input];
        ends.map(|level| fill(effect, level))
    });
    legend(sheet, &fills.collect::<Vec<_>>())?;
    for (value, text) in &scale.ticks {
        let x = scale.axis.at(*value);
        sheet.line(&[(x, TOP - 6.0), (x, bottom)], Stroke::solid(GRID, 1.0))?;
        sheet.text((x, bottom + 12.0), text, Type::Quiet, Align::Centre)?;
    }
    let middle = scale.axis.at(summary.mean);
    for (row, (input, ends)) in swings.iter().enumerate() {
        let y = TOP + ROW * (row as f64 + 0.5);
        let name = names::cut(&names::label(&analysis.inputs[*input].name), 33);
        sheet.text((NAMES - 8.0, y), &name, Type::Label, Align::Right)?;
        let effect = &output.effects[*input];
        for (level, align) in ends.iter().zip([Align::Right, Align::Left]) {
            let x = scale.axis.at(level.mean);
            let fill = fill(effect, level);
            sheet.rectangle((middle.min(x), y - 8.0), (middle.max(x), y + 8.0), fill)?;
            let whisker = [level.mean - reach(level), level.mean + reach(level)];
            let whisker = whisker.map(|end| scale.axis.at(end));
            // A light rim keeps it readable on a dark bar.
            for stroke in [Stroke::solid(PAPER, 3.6), Stroke::solid(INK, 1.4)] {
                sheet.line(&whisker.map(|x| (x, y)), stroke)?;
            }
            let (side, end) = match align {
                Align::Right => (-6.0, whisker[0]),
                _ => (6.0, whisker[1]),
            };
            let text = names::typeset(&shortened(&names::level(level), 12));
            sheet.text((end + side, y), &text, Type::Quiet, align)?;
        }
    }
    let line = [(middle, TOP - 6.0), (middle, bottom)];
    sheet.line(&line, Stroke::solid(INK, 1.5))?;
    let foot = (0.5 * (pixels.0 + pixels.1), bottom + 32.0);
    let words = format!("mean of {}", names::cut(&title, 80));
    sheet.text(foot, &words, Type::Quiet, Align::Centre)
}

/// Pale where the input is small, dark where it is large, grey between and for words.
fn fill(effect: &Effect, level: &Level) -> RGBColor {
    let place = effect
        .levels
        .iter()
        .position(|each| std::ptr::eq(each, level));
    let (place, last) = (place.unwrap_or(0), effect.levels.len() - 1);
    if level.word.is_some() || 2 * place == last {
        QUIET
    } else if 2 * place < last {
        SKY
    } else {
        BLUE
    }
}

/// What the tones mean that are there.
fn legend<DB: DrawingBackend>(sheet: &Sheet<'_, DB>, fills: &[RGBColor]) -> Drawn<DB> {
    let kinds = [
        (SKY, "at a small value of the input"),
        (BLUE, "at a large value"),
        (QUIET, "between, or a word"),
    ];
    let mut x = NAMES + BESIDE;
    for (fill, words) in kinds.into_iter().filter(|(fill, _)| fills.contains(fill)) {
        sheet.rectangle((x, 38.0), (x + 18.0, 50.0), fill)?;
        sheet.text((x + 25.0, 44.0), words, Type::Quiet, Align::Left)?;
        x += 46.0 + 7.0 * words.len() as f64;
    }
    Ok(())
}
