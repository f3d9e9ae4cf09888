//! Closed contours of a polygonal section, and the checks that they bound one.

use std::error::Error;
use std::fmt;

/// A point of the cross-section plane, `[y, z]`, mm.
pub(super) type Point = [f64; 2];

/// Names one contour of a polygonal section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Contour {
    /// The outer contour.
    Outer,
    /// A hole, counted from 0 as given.
    Hole(usize),
}

impl fmt::Display for Contour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Contour::Outer => write!(f, "the outer contour"),
            Contour::Hole(index) => write!(f, "hole {}", index + 1),
        }
    }
}

/// Why points do not bound a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PolygonError {
    /// Fewer than three points.
    TooFewPoints(Contour, usize),
    /// A coordinate is infinite or not a number.
    NotFinite(Contour),
    /// The points lie on a line.
    NoArea(Contour),
    /// Two edges of the contour cross or touch, or a point is repeated.
    SelfIntersecting(Contour),
    /// The hole crosses or touches the outer contour, or lies outside it.
    HoleOutside(Contour),
    /// Two holes cross, touch, or lie in one another.
    HolesOverlap(Contour, Contour),
}

impl fmt::Display for PolygonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PolygonError::TooFewPoints(contour, count) => {
                write!(f, "{contour} has {count} points but needs at least 3")
            }
            PolygonError::NotFinite(contour) => {
                write!(f, "{contour} has a coordinate that is not a finite number")
            }
            PolygonError::NoArea(contour) => {
                write!(f, "{contour} encloses no area: its points lie on a line")
            }
            PolygonError::SelfIntersecting(contour) => write!(
                f,
                "{contour} crosses or touches itself: give each point once, in order around it"
            ),
            PolygonError::HoleOutside(hole) => {
                write!(f, "{hole} must lie wholly inside the outer contour")
            }
            PolygonError::HolesOverlap(one, other) => {
                write!(f, "{one} and {other} must not overlap or touch")
            }
        }
    }
}

impl Error for PolygonError {}

/// The contours with the material on their left: the outer one first, counter-clockwise, then
/// the holes, clockwise.
pub(super) fn check(
    outer: &[Point],
    holes: &[Vec<Point>],
) -> Result<Vec<Vec<Point>>, PolygonError> {
    let mut contours = vec![simple_contour(Contour::Outer, outer)?];
    for (index, hole) in holes.iter().enumerate() {
        let mut hole = simple_contour(Contour::Hole(index), hole)?;
        if meet(&contours[0], &hole) || !contains(&contours[0], hole[0]) {
            return Err(PolygonError::HoleOutside(Contour::Hole(index)));
        }
        for (earlier, other) in contours[1..].iter().enumerate() {
            if meet(other, &hole) || contains(other, hole[0]) || contains(&hole, other[0]) {
                return Err(PolygonError::HolesOverlap(
                    Contour::Hole(earlier),
                    Contour::Hole(index),
                ));
            }
        }
        hole.reverse();
        contours.push(hole);
    }
    Ok(contours)
}

/// One contour, counter-clockwise, closed without a repeated point.
fn simple_contour(name: Contour, points: &[Point]) -> Result<Vec<Point>, PolygonError> {
    let mut contour = points.to_vec();
    if contour.len() > 1 && contour.first() == contour.last() {
        contour.pop();
    }
    if contour.len() < 3 {
        return Err(PolygonError::TooFewPoints(name, contour.len()));
    }
    if contour.iter().flatten().any(|v| !v.is_finite()) {
        return Err(PolygonError::NotFinite(name));
    }

    let size = [extent(&contour, 0), extent(&contour, 1)].map(|[low, high]| high - low);
    let rounding = 1e-12 * (size[0] * size[0] + size[1] * size[1]);
    let fan: Vec<f64> = edges(&contour)
        .map(|[p, q]| cross(minus(p, contour[0]), minus(q, contour[0])))
        .collect();
    if fan.iter().all(|area| area.abs() <= rounding) {
        return Err(PolygonError::NoArea(name));
    }
    if meets_itself(&contour) {
        return Err(PolygonError::SelfIntersecting(name));
    }
    if fan.iter().sum::<f64>() < 0.0 {
        contour.reverse();
    }
    Ok(contour)
}

/// Whether any two edges share more than the vertex between them.
fn meets_itself(contour: &[Point]) -> bool {
    let edges: Vec<[Point; 2]> = edges(contour).collect();
    let count = edges.len();
    (0..count).any(|i| {
        let [p, q] = edges[i];
        let r = edges[(i + 1) % count][1];
        let (along, onward) = (minus(q, p), minus(r, q));
        let turns_back = cross(along, onward) == 0.0 && dot(along, onward) <= 0.0;
        // The last edge is the first one's neighbour too.
        let others = i + 2..count - usize::from(i == 0);
        turns_back || { others }.any(|j| segments_meet(edges[i], edges[j]))
    })
}

fn meet(one: &[Point], other: &[Point]) -> bool {
    edges(one).any(|a| edges(other).any(|b| segments_meet(a, b)))
}

/// Whether two closed segments have a point in common.
fn segments_meet([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let side = |p: Point, q: Point, r: Point| cross(minus(q, p), minus(r, p));
    let (a_side, b_side) = (side(c, d, a), side(c, d, b));
    let (c_side, d_side) = (side(a, b, c), side(a, b, d));
    let lies_on = |side: f64, p: Point, q: Point, r: Point| {
        side == 0.0 && dot(minus(p, r), minus(q, r)) <= 0.0
    };
    (a_side * b_side < 0.0 && c_side * d_side < 0.0)
        || lies_on(a_side, c, d, a)
        || lies_on(b_side, c, d, b)
        || lies_on(c_side, a, b, c)
        || lies_on(d_side, a, b, d)
}

/// Whether the point is inside: a ray towards `y` crosses the contour an odd number of times.
fn contains(contour: &[Point], point: Point) -> bool {
    let crossings = edges(contour).filter(|[p, q]| {
        let spans = (p[1] > point[1]) != (q[1] > point[1]);
        spans && {
            let t = (point[1] - p[1]) / (q[1] - p[1]);
            p[0] + t * (q[0] - p[0]) > point[0]
        }
    });
    crossings.count() % 2 == 1
}

/// The edges of a closed contour, the last one back to the first point.
pub(super) fn edges(contour: &[Point]) -> impl Iterator<Item = [Point; 2]> {
    let next = contour.iter().cycle().skip(1);
    contour.iter().zip(next).map(|(p, q)| [*p, *q])
}

pub(super) fn cross(p: Point, q: Point) -> f64 {
    p[0] * q[1] - p[1] * q[0]
}

/// Least and greatest coordinate along an axis.
pub(super) fn extent(contour: &[Point], axis: usize) -> [f64; 2] {
    let coordinates = contour.iter().map(|point| point[axis]);
    let start = [f64::INFINITY, f64::NEG_INFINITY];
    coordinates.fold(start, |[low, high], v| [low.min(v), high.max(v)])
}

pub(super) fn minus(p: Point, q: Point) -> Point {
    [p[0] - q[0], p[1] - q[1]]
}

pub(super) fn dot(p: Point, q: Point) -> f64 {
    p[0] * q[0] + p[1] * q[1]
}
