//! Plates of a case file: dimensions from the catalogue, the place on the bone, the screws.

use super::defaults::{self, Inputs, Sourced};
use super::devices::{BrokenBone, material};
use super::tables::{ContourWord, PlateTable, SurfaceWord};
use crate::device::catalogue::{self, PlateSize};
use crate::device::{Contour, Plate, Screw, Surface};
use crate::input::entry_path;

/// The two plates at `path`; `None` if a problem leaves one undefined.
pub(super) fn plates(
    inputs: &mut Inputs,
    path: &str,
    tables: &[PlateTable],
    bone: &BrokenBone<'_>,
) -> Option<[Plate; 2]> {
    let read: Vec<Plate> = tables
        .iter()
        .enumerate()
        .filter_map(|(index, table)| plate(inputs, &entry_path(path, index), table, bone))
        .collect();
    let count = tables.len();
    let rule = "must have exactly 2 entries, each headed [[construct.plates]]";
    inputs.check.require(path, count == 2, rule);
    let plates: [Plate; 2] = read.try_into().ok()?;
    let key = format!("{}.surface", entry_path(path, 1));
    let rule = format!("must differ from {}.surface", entry_path(path, 0));
    let apart = plates[0].surface != plates[1].surface;
    inputs.check.require(&key, apart, rule);
    Some(plates)
}

/// The plate at `path`; `None` if it lacks a dimension.
pub(super) fn plate(
    inputs: &mut Inputs,
    path: &str,
    table: &PlateTable,
    bone: &BrokenBone<'_>,
) -> Option<Plate> {
    let key = |name: &str| format!("{path}.{name}");
    let size = size(table);
    let from_size = |value: fn(&PlateSize) -> f64| size.map(|size| (value(&size), size.source));
    let hole = size.map(|size| (size.hole_diameter, catalogue::HOLE_DIAMETER_SOURCE));
    let width = dimension(
        inputs,
        &key("width_mm"),
        table.width_mm,
        from_size(|size| size.width),
    );
    let thickness = dimension(
        inputs,
        &key("thickness_mm"),
        table.thickness_mm,
        from_size(|size| size.thickness),
    );
    let hole_spacing = dimension(
        inputs,
        &key("hole_spacing_mm"),
        table.hole_spacing_mm,
        from_size(|size| size.hole_spacing),
    );
    let hole_diameter = dimension(
        inputs,
        &key("hole_diameter_mm"),
        table.hole_diameter_mm,
        hole,
    );
    // A size that has notches has them only in a plate of its own width.
    let notched = size
        .filter(|size| Some(size.width) == width)
        .and_then(|size| size.notch_width)
        .filter(|_| table.notch_width_mm.is_none());
    if let Some(notch_width) = notched {
        inputs.note(
            &key("notch_width_mm"),
            notch_width,
            catalogue::NOTCH_WIDTH_SOURCE,
        );
    }
    let centre = Sourced::new(bone.fracture.position, defaults::PLATE_CENTRE_SOURCE);
    let mut plate = Plate {
        surface: match table.surface {
            SurfaceWord::Superior => Surface::Superior,
            SurfaceWord::Anteroinferior => Surface::Anteroinferior,
            SurfaceWord::Anterior => Surface::Anterior,
        },
        width: width?,
        notch_width: table.notch_width_mm.or(notched),
        thickness: thickness?,
        contour: contour(inputs, &key("contour"), table.contour),
        hole_count: table.hole_count,
        hole_spacing: hole_spacing?,
        hole_diameter: hole_diameter?,
        absent_holes: table.absent_holes.clone().unwrap_or_default(),
        standoff: inputs.number(
            &key("standoff_mm"),
            table.standoff_mm,
            defaults::PLATE_STANDOFF_MM,
        ),
        centre: inputs.number(&key("centre"), table.centre, centre),
        material: material(inputs, path, &table.material, defaults::PLATE_MATERIAL),
        screw_preload: table
            .screw_preload_n
            .unwrap_or(defaults::SCREW_PRELOAD_N.value),
        compression: inputs.number(
            &key("compression_mm"),
            table.compression_mm,
            defaults::COMPRESSION_MM,
        ),
        screws: Vec::new(),
    };
    require_plate_fits(inputs, path, &plate, bone);
    plate.screws = screws(inputs, path, table, &plate, bone);
    if plate.screws.iter().any(|screw| !screw.locking) {
        let preload = table.screw_preload_n;
        inputs.number(&key("screw_preload_n"), preload, defaults::SCREW_PRELOAD_N);
    }
    require_compressible(inputs, path, &plate, bone);
    Some(plate)
}

/// What compression holes ask for: screws in the lateral fragment, of which none locks.
fn require_compressible(inputs: &mut Inputs, path: &str, plate: &Plate, bone: &BrokenBone<'_>) {
    let middle = bone.clavicle.arc_length(plate.centre);
    let [_, lateral] = bone.gap();
    let beyond = |screw: &&Screw| middle + plate.hole_offset(screw.hole) >= lateral;
    let mut screws = plate.screws.iter().filter(beyond).peekable();
    let slides = screws.peek().is_some() && screws.all(|screw| !screw.locking);
    inputs.check.require(
        &format!("{path}.compression_mm"),
        plate.compression == 0.0 || slides,
        format!(
            "needs screws in the lateral fragment that do not lock ({path}.locking): a locked head \
             does not slide in its hole"
        ),
    );
}

fn contour(inputs: &mut Inputs, key: &str, given: Option<ContourWord>) -> Contour {
    match given {
        Some(ContourWord::Contoured) => Contour::Contoured,
        Some(ContourWord::Straight) => Contour::Straight,
        None => {
            let source = "common practice, no source: plates are bent to the bone or come so";
            inputs.note(key, "contoured", source);
            Contour::Contoured
        }
    }
}

fn size(table: &PlateTable) -> Option<PlateSize> {
    table.size.as_deref().map(|name| {
        PlateSize::named(name).expect("the schema admits the names of the catalogue only")
    })
}

/// A dimension of a device, from the file or else from the size it names.
pub(super) fn dimension(
    inputs: &mut Inputs,
    key: &str,
    given: Option<f64>,
    from_size: Option<(f64, &'static str)>,
) -> Option<f64> {
    match (given, from_size) {
        (None, None) => {
            inputs
                .check
                .problem(key, "is missing: give it, or a size that has it");
            None
        }
        (None, Some((value, source))) => {
            inputs.note(key, value, source);
            Some(value)
        }
        (given, _) => given,
    }
}

fn require_plate_fits(inputs: &mut Inputs, path: &str, plate: &Plate, bone: &BrokenBone<'_>) {
    let key = |name: &str| format!("{path}.{name}");
    let check = &mut inputs.check;
    check.require(
        &key("thickness_mm"),
        plate.thickness <= plate.width,
        format!("must not exceed width_mm = {}", plate.width),
    );
    check.require(
        &key("hole_diameter_mm"),
        plate.hole_diameter < plate.width,
        format!("must be less than width_mm = {}", plate.width),
    );
    check.require(
        &key("hole_diameter_mm"),
        plate.hole_diameter < plate.hole_spacing,
        format!("must be less than hole_spacing_mm = {}", plate.hole_spacing),
    );
    if let Some(notch_width) = plate.notch_width {
        check.require(
            &key("notch_width_mm"),
            notch_width < plate.width,
            format!("must be less than width_mm = {}", plate.width),
        );
        check.require(
            &key("notch_width_mm"),
            plate.width - notch_width < plate.hole_spacing,
            format!(
                "makes semicircular notches {} mm long, longer than hole_spacing_mm = {}",
                plate.width - notch_width,
                plate.hole_spacing
            ),
        );
    }
    let absent = key("absent_holes");
    require_holes(inputs, &absent, &plate.absent_holes, plate);
    let check = &mut inputs.check;

    let bone_length = bone.clavicle.arc_length(1.0);
    let half = plate.length() / 2.0;
    if 2.0 * half > bone_length {
        let rule = format!(
            "makes the plate {:.0} mm long: it must not exceed the bone, {bone_length:.0} mm \
             along its curve",
            plate.length()
        );
        check.problem(&key("hole_count"), rule);
        return;
    }
    let middle = bone.clavicle.arc_length(plate.centre);
    let first = bone.clavicle.fraction_at_arc_length(half);
    let last = bone.clavicle.fraction_at_arc_length(bone_length - half);
    check.require(
        &key("centre"),
        middle >= half && middle <= bone_length - half,
        format!(
            "puts the plate past the end of the bone: it must lie between {first:.3} and {last:.3}"
        ),
    );
}

/// The screws of a plate whose other dimensions are known, in order of hole number.
fn screws(
    inputs: &mut Inputs,
    path: &str,
    table: &PlateTable,
    plate: &Plate,
    bone: &BrokenBone<'_>,
) -> Vec<Screw> {
    let gap = bone.gap();
    let middle = bone.clavicle.arc_length(plate.centre);
    let is_clear = |hole: usize, radius: f64| {
        let place = middle + plate.hole_offset(hole);
        place + radius <= gap[0] || place - radius >= gap[1]
    };

    let empty = empty_holes(inputs, path, table, plate);
    let standard = standard_screw(inputs, path, table, plate);
    let mut screws: Vec<Screw> = Vec::new();
    match &table.screw {
        None => {
            let radius = plate.hole_diameter / 2.0;
            screws.extend(
                (1..=plate.hole_count)
                    .filter(|hole| is_clear(*hole, radius) && !empty.contains(hole))
                    .filter(|hole| plate.hole(*hole).is_some())
                    .map(|hole| Screw {
                        hole,
                        ..standard.clone()
                    }),
            );
            let holes: Vec<String> = screws.iter().map(|screw| screw.hole.to_string()).collect();
            inputs.note(
                &format!("{path}.screw"),
                format!("holes {}", holes.join(", ")),
                defaults::SCREWS_SOURCE,
            );
        }
        Some(list) => {
            for (index, entry) in list.iter().enumerate() {
                let screw_path = entry_path(&format!("{path}.screw"), index);
                let key = |name: &str| format!("{screw_path}.{name}");
                let hole = entry.hole;
                require_hole(inputs, &key("hole"), hole, plate);
                for (is_wrong, rule) in [
                    (
                        screws.iter().any(|screw| screw.hole == hole),
                        "carries a screw already",
                    ),
                    (empty.contains(&hole), "is listed in empty_holes as well"),
                    (
                        plate.hole(hole).is_none(),
                        "is listed in absent_holes as well",
                    ),
                    (
                        !is_clear(hole, standard.outer_diameter / 2.0),
                        "lies over the fracture gap, where no bone holds a screw",
                    ),
                ] {
                    inputs.check.require(&key("hole"), !is_wrong, rule);
                }
                screws.push(Screw {
                    hole,
                    bicortical: inputs.choice(
                        &key("bicortical"),
                        entry.bicortical,
                        defaults::SCREW_BICORTICAL,
                    ),
                    locking: entry.locking.unwrap_or(standard.locking),
                    ..standard.clone()
                });
            }
        }
    }

    for (side, sign) in [("medial", -1.0), ("lateral", 1.0)] {
        let break_place = (gap[0] + gap[1]) / 2.0;
        let holds = |hole| sign * (middle + plate.hole_offset(hole) - break_place) > 0.0;
        inputs.check.require(
            path,
            screws.iter().any(|screw| holds(screw.hole)),
            format!("must have a screw {side} of the fracture"),
        );
    }
    screws.sort_by_key(|screw| screw.hole);
    screws
}

/// The holes that are to stay empty.
fn empty_holes<'t>(
    inputs: &mut Inputs,
    path: &str,
    table: &'t PlateTable,
    plate: &Plate,
) -> &'t [usize] {
    let empty = table.empty_holes.as_deref().unwrap_or_default();
    require_holes(inputs, &format!("{path}.empty_holes"), empty, plate);
    empty
}

/// Every entry of a list is a hole of the plate, and none stands there twice.
fn require_holes(inputs: &mut Inputs, list: &str, holes: &[usize], plate: &Plate) {
    for (index, hole) in holes.iter().enumerate() {
        let key = entry_path(list, index);
        require_hole(inputs, &key, *hole, plate);
        let is_repeated = holes[..index].contains(hole);
        inputs.check.require(&key, !is_repeated, "is listed twice");
    }
}

fn require_hole(inputs: &mut Inputs, key: &str, hole: usize, plate: &Plate) {
    inputs.check.require(
        key,
        (1..=plate.hole_count).contains(&hole),
        format!("must be a hole of the plate, 1 to {}", plate.hole_count),
    );
}

/// What every screw of the plate is unless its own entry says otherwise; its hole is open.
fn standard_screw(inputs: &mut Inputs, path: &str, table: &PlateTable, plate: &Plate) -> Screw {
    let key = |name: &str| format!("{path}.screw_size.{name}");
    let locking = inputs.choice(
        &format!("{path}.locking"),
        table.locking,
        defaults::PLATE_LOCKING,
    );
    let usual = match (size(table), locking) {
        (Some(size), true) => size.locking_screw,
        (Some(size), false) => size.plain_screw,
        (None, true) => catalogue::LOCKING_3_5,
        (None, false) => catalogue::CORTICAL_3_5,
    };
    let given = table.screw_size.as_ref();
    let from_usual = |value: f64| Sourced::new(value, usual.source);
    let outer_diameter = inputs.number(
        &key("outer_diameter_mm"),
        given.and_then(|size| size.outer_diameter_mm),
        from_usual(usual.outer_diameter),
    );
    let core_diameter = inputs.number(
        &key("core_diameter_mm"),
        given.and_then(|size| size.core_diameter_mm),
        from_usual(usual.core_diameter),
    );
    let pitch = inputs.number(
        &key("pitch_mm"),
        given.and_then(|size| size.pitch_mm),
        from_usual(usual.pitch),
    );
    inputs.check.require(
        &key("core_diameter_mm"),
        core_diameter < outer_diameter,
        format!("must be less than outer_diameter_mm = {outer_diameter}"),
    );
    inputs.check.require(
        &key("outer_diameter_mm"),
        outer_diameter <= plate.hole_diameter,
        format!(
            "must not exceed hole_diameter_mm = {} of the plate",
            plate.hole_diameter
        ),
    );
    Screw {
        hole: 0,
        outer_diameter,
        core_diameter,
        pitch,
        bicortical: defaults::SCREW_BICORTICAL.value,
        locking,
    }
}
