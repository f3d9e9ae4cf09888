//! Results as an unstructured-grid file (`.vtu`, ASCII XML): one polyline a member.

use std::io::{self, Write};

use nalgebra::Vector3;

use crate::frame::Solution;

use super::FrameFile;
use super::result::Action;

/// Pieces into which an element is cut, so that its bent shape shows.
const PIECES: usize = 8;

/// Cell type of a polyline.
const POLYLINE: u8 = 4;

/// A point on a member and what is known there.
struct Sample {
    position: Vector3<f64>,
    displacement: [f64; 3],
    rotation: [f64; 3],
    action: Action,
}

/// Writes one load case. Point data: `displacement_mm` and `rotation_rad` in global axes,
/// `section_force_n` (N, Vy, Vz) and `section_moment_nmm` (T, My, Mz) in local axes.
/// Cell data: the member's number in the file, from 1.
///
/// # Errors
/// The file cannot be written.
pub fn write_vtk(
    out: &mut impl Write,
    file: &FrameFile,
    solution: &Solution,
    case: usize,
) -> io::Result<()> {
    let lines: Vec<Vec<Sample>> = (0..file.members.len())
        .map(|member| samples(file, solution, case, member))
        .collect();
    let points: Vec<&Sample> = lines.iter().flatten().collect();

    writeln!(out, r#"<?xml version="1.0"?>"#)?;
    writeln!(out, r#"<VTKFile type="UnstructuredGrid" version="0.1">"#)?;
    writeln!(out, "<UnstructuredGrid>")?;
    writeln!(
        out,
        r#"<Piece NumberOfPoints="{}" NumberOfCells="{}">"#,
        points.len(),
        lines.len()
    )?;
    writeln!(out, "<PointData>")?;
    vectors(
        out,
        "displacement_mm",
        points.iter().map(|p| p.displacement),
    )?;
    vectors(out, "rotation_rad", points.iter().map(|p| p.rotation))?;
    vectors(
        out,
        "section_force_n",
        points.iter().map(|p| p.action.force_n),
    )?;
    vectors(
        out,
        "section_moment_nmm",
        points.iter().map(|p| p.action.moment_nmm),
    )?;
    writeln!(out, "</PointData>\n<CellData>")?;
    integers(out, "Int32", "member", 1..=lines.len())?;
    writeln!(out, "</CellData>\n<Points>")?;
    vectors(out, "position_mm", points.iter().map(|p| p.position.into()))?;
    writeln!(out, "</Points>\n<Cells>")?;
    integers(out, "Int64", "connectivity", 0..points.len())?;
    let ends = lines.iter().scan(0, |end, line| {
        *end += line.len();
        Some(*end)
    });
    integers(out, "Int64", "offsets", ends)?;
    integers(
        out,
        "UInt8",
        "types",
        lines.iter().map(|_| usize::from(POLYLINE)),
    )?;
    writeln!(out, "</Cells>\n</Piece>\n</UnstructuredGrid>\n</VTKFile>")
}

fn samples(file: &FrameFile, solution: &Solution, case: usize, member: usize) -> Vec<Sample> {
    let (frame, path) = (&file.frame, &file.members[member]);
    let (solved, loads) = (&solution.cases[case], &file.load_cases[case]);
    let mut samples = Vec::new();
    for element in 0..path.element_count() {
        let index = path.first_element + element;
        let part = &frame.members[index];
        let [start, end] = [0, 1].map(|k| frame.nodes[part.nodes[k]].position + part.arms[k]);
        for piece in 0..=PIECES {
            let share = piece as f64 / PIECES as f64;
            let at = (end - start).norm() * share;
            let motion = solved.motion_along(frame, loads, index, at);
            samples.push(Sample {
                position: start + (end - start) * share,
                displacement: [motion[0], motion[1], motion[2]],
                rotation: [motion[3], motion[4], motion[5]],
                action: solved.section_forces(frame, loads, index, at).into(),
            });
        }
    }
    samples
}

fn vectors(
    out: &mut impl Write,
    name: &str,
    values: impl Iterator<Item = [f64; 3]>,
) -> io::Result<()> {
    writeln!(
        out,
        r#"<DataArray type="Float64" Name="{name}" NumberOfComponents="3" format="ascii">"#
    )?;
    for [x, y, z] in values {
        writeln!(out, "{x:e} {y:e} {z:e}")?;
    }
    writeln!(out, "</DataArray>")
}

fn integers(
    out: &mut impl Write,
    kind: &str,
    name: &str,
    values: impl Iterator<Item = usize>,
) -> io::Result<()> {
    writeln!(
        out,
        r#"<DataArray type="{kind}" Name="{name}" format="ascii">"#
    )?;
    for value in values {
        writeln!(out, "{value}")?;
    }
    writeln!(out, "</DataArray>")
}
