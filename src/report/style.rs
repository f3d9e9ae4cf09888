//! How every picture looks: colours, type, strokes, and the sheet that plots draw on.
//!
//! Colours are the Okabe-Ito palette; nothing is told by colour alone, so that all of it survives
//! a grey printer. Sizes are CSS pixels at the size shown.
//!
//! Source: Okabe & Ito, colour-blind safe palette (2008), from memory.

use std::sync::Once;

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::register_font;
use plotters::style::text_anchor::{HPos, Pos, VPos};

pub(crate) const INK: RGBColor = RGBColor(34, 34, 34);
pub(crate) const QUIET: RGBColor = RGBColor(95, 95, 95);
pub(crate) const GRID: RGBColor = RGBColor(222, 222, 222);
pub(crate) const SHADE: RGBColor = RGBColor(238, 238, 238);
pub(crate) const PAPER: RGBColor = RGBColor(255, 255, 255);
/// Bone as an area.
pub(crate) const BONE: RGBColor = RGBColor(236, 231, 218);
/// Okabe-Ito blue: what is implanted, as an area.
pub(crate) const BLUE: RGBColor = RGBColor(0, 114, 178);
/// Okabe-Ito sky blue.
pub(crate) const SKY: RGBColor = RGBColor(86, 180, 233);
/// Okabe-Ito vermilion.
pub(crate) const VERMILION: RGBColor = RGBColor(213, 94, 0);

/// Width of every picture.
pub(crate) const WIDTH: f64 = 920.0;

/// The bundled font, as the drawing library knows it.
const FAMILY: &str = "Clavibeam Sans";
/// What stands in SVG instead: fonts of the same widths or near it.
const SVG_FAMILY: &str = "'DejaVu Sans', Verdana, sans-serif";

/// What a drawing function returns.
pub(crate) type Drawn<DB> = Result<(), DrawingAreaErrorKind<<DB as DrawingBackend>::ErrorType>>;

/// A point on the sheet, from its upper left corner.
pub(crate) type Point = (f64, f64);

/// The three kinds of type.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Type {
    /// Axes and labels.
    Label,
    /// Axis titles and legends in grey.
    Quiet,
    /// Headings.
    Bold,
    /// On dark areas.
    Reversed,
}

/// Where a point lies in the text put there.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Align {
    Left,
    Centre,
    Right,
}

/// A line.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stroke {
    pub(crate) colour: RGBColor,
    pub(crate) width: f64,
    /// Length of a dash and of the space after it; absent for a solid line.
    pub(crate) dash: Option<(f64, f64)>,
}

impl Stroke {
    pub(crate) const fn solid(colour: RGBColor, width: f64) -> Self {
        Self {
            colour,
            width,
            dash: None,
        }
    }

    pub(crate) const fn dashed(colour: RGBColor, width: f64) -> Self {
        Self {
            colour,
            width,
            dash: Some((6.0, 4.0)),
        }
    }
}

/// What a picture is drawn for.
///
/// The library draws on whole pixels, so pictures are drawn magnified: SVG is scaled back by its
/// view box, PNG is meant for fine screens.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Medium {
    Svg,
    Png,
}

impl Medium {
    /// Pixels drawn for each CSS pixel shown.
    fn magnification(self) -> f64 {
        match self {
            Self::Svg => 8.0,
            Self::Png => 2.0,
        }
    }

    /// What the library calls the size of a font, in sizes of its type.
    ///
    /// Source: plotters 0.3.7, which divides by 1.24 for SVG and fits ascent and descent of the
    /// font (1.164 for this one) for bitmaps.
    fn line_height(self) -> f64 {
        match self {
            Self::Svg => 1.24,
            Self::Png => 1.164,
        }
    }

    /// How much lower text must be put to be level with the other medium, in sizes of its type.
    ///
    /// Source: measured on plotters 0.3.7, which centres bitmap text by its line.
    fn drop(self) -> f64 {
        match self {
            Self::Svg => 0.0,
            Self::Png => 0.16,
        }
    }

    /// Size in pixels drawn.
    pub(crate) fn size(self, width: f64, height: f64) -> (u32, u32) {
        let pixels = |length: f64| (length.ceil() * self.magnification()) as u32;
        (pixels(width), pixels(height))
    }
}

/// A drawing area measured in CSS pixels.
pub(crate) struct Sheet<'a, DB: DrawingBackend> {
    area: &'a DrawingArea<DB, Shift>,
    medium: Medium,
}

impl<'a, DB: DrawingBackend> Sheet<'a, DB> {
    /// A white sheet.
    pub(crate) fn new(
        area: &'a DrawingArea<DB, Shift>,
        medium: Medium,
    ) -> Result<Self, DrawingAreaErrorKind<DB::ErrorType>> {
        register_fonts();
        area.fill(&PAPER)?;
        Ok(Self { area, medium })
    }

    pub(crate) fn line(&self, points: &[Point], stroke: Stroke) -> Drawn<DB> {
        match stroke.dash {
            None => self.polyline(points, stroke),
            Some((dash, space)) => {
                for piece in dashes(points, dash, space) {
                    self.polyline(&piece, stroke)?;
                }
                Ok(())
            }
        }
    }

    fn polyline(&self, points: &[Point], stroke: Stroke) -> Drawn<DB> {
        let width = (stroke.width * self.medium.magnification())
            .round()
            .max(1.0) as u32;
        let style = stroke.colour.stroke_width(width);
        let points: Vec<_> = points.iter().map(|&point| self.pixel(point)).collect();
        self.area.draw(&PathElement::new(points, style))
    }

    pub(crate) fn closed_line(&self, points: &[Point], stroke: Stroke) -> Drawn<DB> {
        let mut closed = points.to_vec();
        closed.extend(points.first());
        self.line(&closed, stroke)
    }

    pub(crate) fn area(&self, points: &[Point], fill: RGBColor) -> Drawn<DB> {
        let points: Vec<_> = points.iter().map(|&point| self.pixel(point)).collect();
        self.area.draw(&Polygon::new(points, fill.filled()))
    }

    pub(crate) fn rectangle(&self, from: Point, to: Point, fill: RGBColor) -> Drawn<DB> {
        let corners = [self.pixel(from), self.pixel(to)];
        self.area.draw(&Rectangle::new(corners, fill.filled()))
    }

    /// A disc with a rim.
    pub(crate) fn disc(&self, at: Point, radius: f64, fill: RGBColor, rim: Stroke) -> Drawn<DB> {
        let disc = |radius: f64, fill: RGBColor| {
            let radius = (radius * self.medium.magnification()).round() as i32;
            let circle = Circle::new(self.pixel(at), radius, fill.filled());
            self.area.draw(&circle)
        };
        disc(radius + 0.5 * rim.width, rim.colour)?;
        disc(radius - 0.5 * rim.width, fill)
    }

    /// Text of which the middle of the small letters is at the height of the point.
    pub(crate) fn text(&self, (x, y): Point, words: &str, kind: Type, align: Align) -> Drawn<DB> {
        let (size, style, colour) = match kind {
            Type::Label => (12.5, FontStyle::Normal, INK),
            Type::Quiet => (12.5, FontStyle::Normal, QUIET),
            Type::Bold => (13.5, FontStyle::Bold, INK),
            Type::Reversed => (12.5, FontStyle::Normal, PAPER),
        };
        let horizontal = match align {
            Align::Left => HPos::Left,
            Align::Centre => HPos::Center,
            Align::Right => HPos::Right,
        };
        let line = size * self.medium.line_height() * self.medium.magnification();
        let style = FontDesc::new(FontFamily::Name(FAMILY), line, style)
            .color(&colour)
            .pos(Pos::new(horizontal, VPos::Center));
        let at = self.pixel((x, y + size * self.medium.drop()));
        self.area.draw_text(words, &style, at)
    }

    fn pixel(&self, (x, y): Point) -> (i32, i32) {
        (
            (x * self.medium.magnification()).round() as i32,
            (y * self.medium.magnification()).round() as i32,
        )
    }
}

/// Cuts a line into its dashes.
fn dashes(points: &[Point], dash: f64, space: f64) -> Vec<Vec<Point>> {
    let mut pieces = Vec::new();
    let mut piece = Vec::from_iter(points.first().copied());
    let (mut drawing, mut left) = (true, dash);
    for pair in points.windows(2) {
        let (mut from, to) = (pair[0], pair[1]);
        loop {
            let length = (to.0 - from.0).hypot(to.1 - from.1);
            if length <= left {
                left -= length;
                piece.push(to);
                break;
            }
            let part = left / length;
            from = (
                from.0 + part * (to.0 - from.0),
                from.1 + part * (to.1 - from.1),
            );
            piece.push(from);
            if drawing {
                pieces.push(std::mem::take(&mut piece));
            }
            piece = vec![from];
            drawing = !drawing;
            left = if drawing { dash } else { space };
        }
    }
    if drawing {
        pieces.push(piece);
    }
    pieces
}

/// An SVG document as drawn, made to be shown at this size in the reader's own fonts.
pub(crate) fn shown_at(svg: &str, width: f64, height: f64) -> String {
    let (drawn_width, drawn_height) = Medium::Svg.size(width, height);
    let drawn = format!(r#"width="{drawn_width}" height="{drawn_height}""#);
    let shown = format!(r#"width="{}" height="{}""#, width.ceil(), height.ceil());
    svg.replacen(&drawn, &shown, 1).replace(FAMILY, SVG_FAMILY)
}

fn register_fonts() {
    static REGISTERED: Once = Once::new();
    REGISTERED.call_once(|| {
        let regular = include_bytes!("fonts/ClavibeamSans.ttf");
        let bold = include_bytes!("fonts/ClavibeamSans-Bold.ttf");
        let sound = register_font(FAMILY, FontStyle::Normal, regular).is_ok()
            && register_font(FAMILY, FontStyle::Bold, bold).is_ok();
        assert!(sound, "the bundled fonts are sound");
    });
}
