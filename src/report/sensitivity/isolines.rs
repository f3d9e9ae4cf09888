//! Lines of one value over a lattice, closed along its rim.

use std::collections::HashMap;

/// Values over a lattice of two rising coordinates; not a number where nothing is known.
pub(super) struct Lattice<'a> {
    pub across: &'a [f64],
    pub up: &'a [f64],
    /// Row after row of `up`.
    pub values: &'a [f64],
}

/// A closed line about a region in which values are at least `level`, or about a hole in it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Loop {
    /// Its points, and whether each lies on the rim of what is known.
    pub points: Vec<([f64; 2], bool)>,
    /// Number of cells inside; less than zero about a hole.
    pub cells: f64,
}

/// A crossed edge: whether it rises, and its first node, on the lattice with a rim around it.
type Edge = (bool, usize, usize);

impl Lattice<'_> {
    /// All closed lines at a level: marching squares, straight along each edge. Outside the
    /// lattice and where nothing is known, values count as smaller than any level.
    pub fn loops(&self, level: f64) -> Vec<Loop> {
        let (wide, high) = (self.across.len() + 2, self.up.len() + 2);
        let mut next: HashMap<Edge, Edge> = HashMap::new();
        for j in 0..high - 1 {
            for i in 0..wide - 1 {
                self.cell((i, j), level, &mut next);
            }
        }
        let mut starts: Vec<Edge> = next.keys().copied().collect();
        starts.sort_unstable();
        let mut loops = Vec::new();
        for start in starts {
            let mut edges = Vec::new();
            let mut at = start;
            while let Some(to) = next.remove(&at) {
                edges.push(at);
                at = to;
            }
            if !edges.is_empty() {
                loops.push(self.closed(&edges, level));
            }
        }
        loops
    }

    /// Links the edges of a cell through which the line goes, high values at its left.
    fn cell(&self, (i, j): (usize, usize), level: f64, next: &mut HashMap<Edge, Edge>) {
        // Counter-clockwise from the lower left corner; edge n leads from corner n to the next.
        let corners = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)];
        let edges = [
            (false, i, j),
            (true, i + 1, j),
            (false, i, j + 1),
            (true, i, j),
        ];
        let values = corners.map(|(i, j)| self.value(i, j));
        let inside = values.map(|value| value >= level);
        let leaves = |n: usize| inside[n] && !inside[(n + 1) % 4];
        let enters = |n: usize| !inside[n] && inside[(n + 1) % 4];
        let saddle = inside[0] == inside[2] && inside[1] == inside[3] && inside[0] != inside[1];
        let middle_inside = values.iter().sum::<f64>() / 4.0 >= level;
        for from in (0..4).filter(|&n| leaves(n)) {
            let to = match saddle {
                // Around the outside corner after it, or around the inside corner before it.
                true if middle_inside => (from + 1) % 4,
                true => (from + 3) % 4,
                false => match (0..4).find(|&n| enters(n)) {
                    Some(to) => to,
                    None => continue,
                },
            };
            next.insert(edges[from], edges[to]);
        }
    }

    fn value(&self, i: usize, j: usize) -> f64 {
        let wide = self.across.len();
        let within = (1..=wide).contains(&i) && (1..=self.up.len()).contains(&j);
        let value = within.then(|| self.values[(j - 1) * wide + i - 1]);
        value
            .filter(|value| !value.is_nan())
            .unwrap_or(f64::NEG_INFINITY)
    }

    fn closed(&self, edges: &[Edge], level: f64) -> Loop {
        let mut points = Vec::with_capacity(edges.len());
        let mut places: Vec<[f64; 2]> = Vec::with_capacity(edges.len());
        for &(rises, i, j) in edges {
            let to = if rises { (i, j + 1) } else { (i + 1, j) };
            let [low, high] = [self.value(i, j), self.value(to.0, to.1)];
            let rim = low.is_infinite() || high.is_infinite();
            // At the rim the line goes along the last known node.
            let share = if low.is_infinite() {
                1.0
            } else if high.is_infinite() {
                0.0
            } else {
                (level - low) / (high - low)
            };
            let between = |from: f64, to: f64| from + share * (to - from);
            let clamped = |at: usize, along: &[f64]| along[at.clamp(1, along.len()) - 1];
            let x = between(clamped(i, self.across), clamped(to.0, self.across));
            let y = between(clamped(j, self.up), clamped(to.1, self.up));
            points.push(([x, y], rim));
            let place = |at: usize, along: &[f64]| at.clamp(1, along.len()) as f64;
            places.push([
                between(place(i, self.across), place(to.0, self.across)),
                between(place(j, self.up), place(to.1, self.up)),
            ]);
        }
        let corners = places.iter().zip(places.iter().cycle().skip(1));
        let twice: f64 = corners.map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum();
        Loop {
            points,
            cells: 0.5 * twice,
        }
    }
}

impl Loop {
    /// Its pieces away from the rim.
    pub fn pieces(&self) -> Vec<Vec<[f64; 2]>> {
        let mut points = self.points.clone();
        // Begin on the rim, if it is touched at all, so that no piece is cut by the start.
        let start = points.iter().position(|(_, rim)| *rim);
        points.rotate_left(start.unwrap_or(0));
        if start.is_none() {
            points.extend(self.points.first().copied());
        }
        let pieces = points.split(|(_, rim)| *rim);
        pieces
            .map(|piece| piece.iter().map(|(point, _)| *point).collect::<Vec<_>>())
            .filter(|piece| piece.len() > 1)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::Lattice;

    /// A hill, a cone: the line at a level is a circle, once around, and the rim belongs to the
    /// lowest level only.
    #[test]
    fn a_cone_has_circles() {
        let along: Vec<f64> = (0..41).map(|i| f64::from(i) / 20.0 - 1.0).collect();
        let radius = |x: f64, y: f64| x.hypot(y);
        let cone = |y: &f64| {
            along
                .iter()
                .map(|x| 1.0 - radius(*x, *y))
                .collect::<Vec<_>>()
        };
        let values: Vec<f64> = along.iter().flat_map(cone).collect();
        let lattice = Lattice {
            across: &along,
            up: &along,
            values: &values,
        };
        let loops = lattice.loops(0.4);
        assert_eq!(loops.len(), 1);
        assert_eq!(loops[0].pieces().len(), 1);
        for ([x, y], rim) in &loops[0].points {
            assert!(!rim && (radius(*x, *y) - 0.6).abs() < 2e-3, "{x} {y}");
        }
        // Cells of side 1/20: π 0.6² in area, less what straight edges cut off.
        let area = std::f64::consts::PI * 0.36 * 400.0;
        assert!(
            (loops[0].cells / area - 1.0).abs() < 5e-3,
            "{}",
            loops[0].cells
        );
        let all = lattice.loops(f64::MIN);
        assert_eq!((all.len(), all[0].cells), (1, 1600.0));
        assert!(all[0].pieces().is_empty());
        // Beyond radius 1 the corners are below: four pieces between them.
        assert_eq!(
            lattice
                .loops(-0.2)
                .iter()
                .map(|each| each.pieces().len())
                .sum::<usize>(),
            4
        );
    }

    /// A pit is a hole: a line the other way round.
    #[test]
    fn a_pit_is_a_hole() {
        let along = [0.0, 1.0, 2.0];
        let mut values = [1.0; 9];
        values[4] = 0.0;
        let lattice = Lattice {
            across: &along,
            up: &along,
            values: &values,
        };
        let mut cells: Vec<f64> = lattice.loops(0.5).iter().map(|each| each.cells).collect();
        cells.sort_by(f64::total_cmp);
        assert_eq!(cells, [-0.5, 4.0]);
    }
}
