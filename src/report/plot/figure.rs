//! From drawing code to SVG and PNG.

use std::path::{Path, PathBuf};
use std::{error, fmt, fs, io};

use plotters::prelude::{BitMapBackend, DrawingBackend, IntoDrawingArea, SVGBackend};

use crate::report::style::{Drawn, Medium, Sheet, WIDTH, shown_at};

/// A picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Figure {
    /// File name without its ending.
    pub name: String,
    /// What it shows and how to read it.
    pub caption: String,
    /// The picture as an SVG document.
    pub svg: String,
}

/// A picture that could not be written.
#[derive(Debug)]
pub struct PlotError {
    /// The file or directory.
    pub path: PathBuf,
    /// Why.
    pub source: io::Error,
}

impl fmt::Display for PlotError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path.display(), self.source)
    }
}

impl error::Error for PlotError {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        Some(&self.source)
    }
}

/// What a picture shows of its data; one drawing code for every medium.
pub(in crate::report) trait Picture {
    /// What it is drawn from.
    type Data;

    fn draw<DB: DrawingBackend>(&self, sheet: &Sheet<'_, DB>, data: &Self::Data) -> Drawn<DB>;
}

/// A picture to be drawn.
pub(in crate::report) struct Plan<P> {
    pub name: String,
    pub caption: String,
    pub subject: P,
    pub height: f64,
}

impl<P: Picture> Plan<P> {
    pub fn figure(self, data: &P::Data) -> Figure {
        Figure {
            svg: self.svg(data),
            name: self.name,
            caption: self.caption,
        }
    }

    fn svg(&self, data: &P::Data) -> String {
        let mut svg = String::new();
        {
            let size = Medium::Svg.size(WIDTH, self.height);
            let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
            Sheet::new(&area, Medium::Svg)
                .and_then(|sheet| self.subject.draw(&sheet, data))
                .and_then(|()| area.present())
                .expect("drawing into a string cannot fail");
        }
        shown_at(&svg, WIDTH, self.height)
    }

    fn write_png(&self, data: &P::Data, path: &Path) -> io::Result<()> {
        let size = Medium::Png.size(WIDTH, self.height);
        let area = BitMapBackend::new(path, size).into_drawing_area();
        Sheet::new(&area, Medium::Png)
            .and_then(|sheet| self.subject.draw(&sheet, data))
            .and_then(|()| area.present())
            .map_err(|error| io::Error::other(error.to_string()))
    }
}

/// Writes every picture as `.svg` and `.png` into a directory, made if it is not there; the files
/// written.
pub(in crate::report) fn write_all<P: Picture>(
    directory: &Path,
    plans: &[Plan<P>],
    data: &P::Data,
) -> Result<Vec<PathBuf>, PlotError> {
    let failed = |path: &Path, source: io::Error| PlotError {
        path: path.to_path_buf(),
        source,
    };
    fs::create_dir_all(directory).map_err(|source| failed(directory, source))?;
    let mut written = Vec::new();
    for plan in plans {
        let svg = directory.join(format!("{}.svg", plan.name));
        fs::write(&svg, plan.svg(data)).map_err(|source| failed(&svg, source))?;
        let png = directory.join(format!("{}.png", plan.name));
        plan.write_png(data, &png)
            .map_err(|source| failed(&png, source))?;
        written.extend([svg, png]);
    }
    Ok(written)
}
