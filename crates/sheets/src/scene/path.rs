//! Paths of straight lines and cubics; arcs are made of cubics.

use super::{Point, Rect, at};

/// Widest arc drawn as one cubic [rad]. At 30° the cubic leaves the circle by less than 4e-7 of the radius
/// (error falls with the sixth power of the angle; 2.7e-4 at 90°), far below what a printer resolves.
const WIDEST_CUBIC_RAD: f64 = std::f64::consts::PI / 6.0;

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Lift the pen and go there.
    Move(Point),
    /// Straight line.
    Line(Point),
    /// Cubic Bézier: two control points and the end.
    Cubic(Point, Point, Point),
    /// Straight back to the last `Move`.
    Close,
}

/// A path.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Path {
    /// Its steps.
    pub segments: Vec<Segment>,
}

impl Path {
    /// Straight lines through points; points that are not finite break the line.
    pub fn line(points: &[Point]) -> Self {
        let mut path = Self::default();
        let mut pen_down = false;
        for &p in points {
            if !(p.x.is_finite() && p.y.is_finite()) {
                pen_down = false;
                continue;
            }
            path.segments.push(if pen_down { Segment::Line(p) } else { Segment::Move(p) });
            pen_down = true;
        }
        path
    }

    /// A closed polygon.
    pub fn polygon(points: &[Point]) -> Self {
        let mut path = Self::line(points);
        path.segments.push(Segment::Close);
        path
    }

    /// An arc about a centre; angles [rad] clockwise from straight up, `to` may be less than `from`.
    pub fn arc(centre: Point, radius: f64, from: f64, to: f64) -> Self {
        let mut path = Self { segments: vec![Segment::Move(centre.polar(radius, from))] };
        path.add_arc(centre, radius, from, to);
        path
    }

    /// Continues along an arc whose start is where the path is.
    pub fn add_arc(&mut self, centre: Point, radius: f64, from: f64, to: f64) {
        let pieces = ((to - from).abs() / WIDEST_CUBIC_RAD).ceil().max(1.0);
        let step = (to - from) / pieces;
        // Control length of a cubic arc: 4/3·tan(step/4)·r (Riškus, Information Technology and Control 35(4), 2006).
        let reach = 4.0 / 3.0 * (step / 4.0).tan() * radius;
        for i in 0..pieces as usize {
            let (a, b) = (from + step * i as f64, from + step * (i + 1) as f64);
            let (start, end) = (centre.polar(radius, a), centre.polar(radius, b));
            let out = at(start.x + reach * a.cos(), start.y + reach * a.sin());
            let back = at(end.x - reach * b.cos(), end.y - reach * b.sin());
            self.segments.push(Segment::Cubic(out, back, end));
        }
    }

    /// Part of a ring between two radii and two angles, as [`Path::arc`] counts them.
    pub fn ring(centre: Point, inner: f64, outer: f64, from: f64, to: f64) -> Self {
        let mut path = Self::arc(centre, outer, from, to);
        path.segments.push(Segment::Line(centre.polar(inner, to)));
        path.add_arc(centre, inner, to, from);
        path.segments.push(Segment::Close);
        path
    }

    /// Appends another path's steps.
    pub fn append(&mut self, other: Self) {
        self.segments.extend(other.segments);
    }
}

/// Lines at 45° that fill a rectangle.
pub(super) fn hatch(area: Rect, spacing: f64) -> Path {
    let mut path = Path::default();
    let step = spacing * std::f64::consts::SQRT_2;
    let lines = ((area.width + area.height) / step).ceil().max(0.0) as usize;
    for i in 0..lines {
        // The line x + y = c in the rectangle's own corner coordinates.
        let c = step * (i as f64 + 0.5);
        let (x0, x1) = ((c - area.height).max(0.0), c.min(area.width));
        if x1 > x0 {
            path.segments.push(Segment::Move(at(area.x + x0, area.y + c - x0)));
            path.segments.push(Segment::Line(at(area.x + x1, area.y + c - x1)));
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Greatest departure from the circle, as a share of the radius; see [`WIDEST_CUBIC_RAD`].
    const ROUNDNESS: f64 = 4e-7;

    #[test]
    fn arcs_are_round() {
        // Circle equation x² + y² = r², points from de Casteljau's construction.
        let path = Path::arc(at(0.0, 0.0), 1.0, 0.3, 0.3 + 5.0);
        let mut from = at(0.0, 0.0).polar(1.0, 0.3);
        for s in &path.segments {
            let Segment::Cubic(a, b, to) = *s else { continue };
            for i in 0..=20 {
                let t = f64::from(i) / 20.0;
                let mix = |p: Point, q: Point| at(p.x + t * (q.x - p.x), p.y + t * (q.y - p.y));
                let (ab, bc, cd) = (mix(from, a), mix(a, b), mix(b, to));
                let p = mix(mix(ab, bc), mix(bc, cd));
                assert!((p.x.hypot(p.y) - 1.0).abs() < ROUNDNESS, "{}", p.x.hypot(p.y) - 1.0);
            }
            from = to;
        }
    }

    #[test]
    fn hatching_stays_inside() {
        let area = Rect { x: 3.0, y: 2.0, width: 7.0, height: 4.0 };
        let path = hatch(area, 0.8);
        assert!(path.segments.len() > 10);
        for s in &path.segments {
            let (Segment::Move(p) | Segment::Line(p)) = s else { panic!("only straight lines") };
            assert!(p.x >= area.x - 1e-9 && p.x <= area.right() + 1e-9 && p.y >= area.y - 1e-9 && p.y <= area.bottom() + 1e-9);
        }
    }
}
