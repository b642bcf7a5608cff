//! The rotor in half section, to scale: pieces hatched, holes, magnets, axis, and the zones from which metal may come off with their depth.
//!
//! The axis lies at the bottom, the engine on the left: places along the axis grow rightwards as they do in the machine file.

use crate::font::Weight;
use crate::scene::{Anchor, Canvas, Dash, Fill, Group, Ink, Path, Point, Rect, Scene, Segment, Stroke, Text, at};
use crate::words::rotor as text;
use workshop::machine::rotor::{Face, Piece, Rotor, Zone};

/// Text size [mm].
const TEXT: f64 = 3.2;
/// Distance of hatch lines [mm].
const HATCH: f64 = 1.6;
/// Least width of the drawing [mm].
const LEAST: f64 = 80.0;
/// Room right of the section for diameters, and left of it for the side's name [mm].
const RIGHT: f64 = 34.0;
const LEFT: f64 = 12.0;
/// Least distance of two lines of text [mm].
const LINE: f64 = 4.4;
/// Room above the section, and below its axis for the length [mm].
const TOP: f64 = 4.0;
const BELOW: f64 = 14.0;
/// How many millimetres of the rotor one of a drawing to scale stands for [1]: true size and the reductions of ISO 5455:1979.
const REDUCED: [u32; 4] = [1, 2, 5, 10];

/// Turns places on the rotor [m] into places on the drawing [mm].
#[derive(Clone, Copy)]
struct Scale {
    /// Drawing millimetres to a metre of the rotor.
    per_m: f64,
    /// Where the axis, and the nearest place to the engine, stand.
    origin: Point,
    nearest_m: f64,
}

impl Scale {
    fn point(&self, z_m: f64, r_m: f64) -> Point {
        at(self.origin.x + (z_m - self.nearest_m) * self.per_m, self.origin.y - r_m * self.per_m)
    }
}

/// Draws the half section `width` millimetres wide. `cuts` are depths [m] by the zone's place in the file; a zone that is not in it is drawn with its deepest cut.
///
/// Group ids: `rotor-section`, `rotor-zone-0` and so on. A zone carries what a page needs for dragging: drawing millimetres to a millimetre of the rotor, deepest cut and
/// cut as drawn [mm], and the direction in which it deepens.
pub fn draw(rotor: &Rotor, cuts: &[(usize, f64)], width: f64) -> Scene {
    let width = width.max(LEAST);
    let Some((least, most, radius)) = extent(rotor) else { return empty(rotor, width) };
    // A disc fills the height before the width.
    let per_m = ((width - LEFT - RIGHT) / (most - least)).min(1.1 * width / radius);
    drawn(rotor, cuts, width, per_m, false)
}

/// The same to a scale of ISO 5455, cuts hatched, in no more room than `width` and `height` [mm], and how many millimetres of the rotor one of the drawing stands for: 1 where the
/// rotor goes on the paper in its true size. `None` where there is nothing to draw, or even the smallest scale is too large.
pub fn to_scale(rotor: &Rotor, cuts: &[(usize, f64)], width: f64, height: f64) -> Option<(Scene, u32)> {
    let (least, most, radius) = extent(rotor)?;
    REDUCED.into_iter().find_map(|reduced| {
        let per_m = 1e3 / f64::from(reduced);
        let fits = (most - least) * per_m <= width - LEFT - RIGHT && radius * per_m + TOP + BELOW <= height;
        fits.then(|| (drawn(rotor, cuts, width, per_m, true), reduced))
    })
}

/// First and last place along the axis, and greatest radius [m]; `None` where the pieces have no extent.
fn extent(rotor: &Rotor) -> Option<(f64, f64, f64)> {
    let least = rotor.pieces.iter().map(|p| p.from.si).fold(f64::MAX, f64::min);
    let most = rotor.pieces.iter().map(|p| p.to.si).fold(f64::MIN, f64::max);
    let radius = rotor.pieces.iter().flat_map(|p| p.outsides()).map(|d| 0.5 * d.si).fold(0.0, f64::max);
    (radius > 0.0 && most > least).then_some((least, most, radius))
}

fn empty(rotor: &Rotor, width: f64) -> Scene {
    Scene::new(width, 1.0, text::SECTION_TITLE, text::section_seen(rotor))
}

/// Draws it with `per_m` millimetres to a metre of the rotor, in the middle of `width`.
fn drawn(rotor: &Rotor, cuts: &[(usize, f64)], width: f64, per_m: f64, hatch_cuts: bool) -> Scene {
    let mut scene = empty(rotor, width);
    let Some((least, most, radius)) = extent(rotor) else { return scene };
    let top = TOP;
    let left = LEFT + 0.5 * (width - LEFT - RIGHT - per_m * (most - least));
    let scale = Scale { per_m, origin: at(left, top + radius * per_m), nearest_m: least };
    let mut section = Group::new("section").with("id", "rotor-section");
    for (k, piece) in rotor.pieces.iter().enumerate() {
        let corners = corners(piece, &scale);
        section.path(Path::polygon(&corners), Fill::solid(Ink::Metal), None);
        section.path(hatched(&corners, k % 2 == 1), None, Stroke::line(Ink::Soft, 0.12));
        section.path(Path::polygon(&corners), None, Stroke::line(Ink::Ink, 0.4));
    }
    magnets(&mut section, rotor, &scale);
    holes(&mut section, rotor, &scale);
    scene.group(section);
    for (k, zone) in rotor.zones.iter().enumerate() {
        let depth = cuts.iter().find(|(zone, _)| *zone == k).map_or(zone.deepest.si, |(_, depth)| *depth);
        self::zone(&mut scene, rotor, zone, k, [depth, if hatch_cuts { 0.5 * HATCH } else { 0.0 }], &scale);
    }
    names(&mut scene, rotor, &scale);
    let (axis_from, axis_to) = (scale.point(least, 0.0), scale.point(most, 0.0));
    scene.line(at(axis_from.x - 5.0, axis_from.y), at(axis_to.x + 5.0, axis_to.y), Stroke::broken(Ink::Soft, 0.2, Dash::Centre));
    diameters(&mut scene, rotor, &scale, scale.point(most, 0.0).x);
    let y = length(&mut scene, [axis_from, axis_to], most - least);
    // The engine's side, written upwards beside the open face.
    let middle = scale.point(least, 0.5 * radius);
    scene.text(Text::new(at(middle.x - 5.0, middle.y), TEXT, text::ENGINE_SIDE).anchor(Anchor::Middle).turned(-90.0).bold());
    scene.height = y + 2.0;
    scene
}

/// Corners of a piece's section, round it.
fn corners(piece: &Piece, scale: &Scale) -> [Point; 4] {
    let [o, i] = [piece.outsides(), piece.insides()];
    [
        scale.point(piece.from.si, 0.5 * i[0].si),
        scale.point(piece.from.si, 0.5 * o[0].si),
        scale.point(piece.to.si, 0.5 * o[1].si),
        scale.point(piece.to.si, 0.5 * i[1].si),
    ]
}

/// Lines at 45° that fill a polygon without dents; the other way for the neighbour (ISO 128-3: hatching of adjacent parts differs).
fn hatched(corners: &[Point; 4], mirrored: bool) -> Path {
    let along = |p: Point| if mirrored { p.x - p.y } else { p.x + p.y };
    let (least, most) = corners.iter().fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(along(*p)), b.max(along(*p))));
    let step = HATCH * std::f64::consts::SQRT_2;
    let mut path = Path::default();
    let mut c = (least / step).ceil() * step;
    while c < most {
        let mut ends = Vec::new();
        for k in 0..4 {
            let (p, q) = (corners[k], corners[(k + 1) % 4]);
            let (a, b) = (along(p) - c, along(q) - c);
            if (a < 0.0) != (b < 0.0) {
                let t = a / (a - b);
                ends.push(at(p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)));
            }
        }
        if let [p, q] = ends[..] {
            path.segments.extend([Segment::Move(p), Segment::Line(q)]);
        }
        c += step;
    }
    path
}

fn rectangle(scale: &Scale, [from, to]: [f64; 2], [inner, outer]: [f64; 2]) -> Path {
    Path::polygon(&[scale.point(from, inner), scale.point(from, outer), scale.point(to, outer), scale.point(to, inner)])
}

fn magnets(section: &mut Group, rotor: &Rotor, scale: &Scale) {
    for m in &rotor.magnets {
        let path = rectangle(scale, [m.from.si, m.to.si], [0.5 * m.inside.si, 0.5 * m.outside.si]);
        section.path(path.clone(), Fill::solid(Ink::Paper), None);
        section.path(path, Fill::tint(Ink::Series(0), 0.35), Stroke::line(Ink::Ink, 0.3));
    }
}

fn holes(section: &mut Group, rotor: &Rotor, scale: &Scale) {
    for h in &rotor.holes {
        let (circle, r) = (0.5 * h.on_circle.si, 0.5 * h.diameter.si);
        section.path(
            rectangle(scale, [h.from.si, h.to.si], [circle - r, circle + r]),
            Fill::solid(Ink::Paper),
            Stroke::line(Ink::Ink, 0.3),
        );
        let (a, b) = (scale.point(h.from.si, circle), scale.point(h.to.si, circle));
        section.line(at(a.x - 2.0, a.y), at(b.x + 2.0, b.y), Stroke::broken(Ink::Soft, 0.18, Dash::Centre));
    }
}

/// What a zone's cut of some depth [m] takes, and what the page needs to drag it; hatched where the distance of hatch lines [mm] is not nought.
fn zone(scene: &mut Scene, rotor: &Rotor, zone: &Zone, k: usize, [depth, hatch]: [f64; 2], scale: &Scale) {
    let Some(piece) = rotor.pieces.get(zone.piece) else { return };
    let end = usize::from(zone.face == Face::CoverSide);
    let (inside, outside) = (0.5 * piece.insides()[end].si, 0.5 * piece.outsides()[end].si);
    let edge = |reading: &Option<quantity::Reading>, whole: f64| reading.as_ref().map_or(whole, |d| 0.5 * d.si);
    let (least, greatest) = (edge(&zone.least, inside), edge(&zone.greatest, outside));
    let whole = [piece.from.si, piece.to.si];
    let (along, across, deepens) = match zone.face {
        Face::CoverSide => ([piece.to.si - depth, piece.to.si], [least, greatest], "left"),
        Face::EngineSide => ([piece.from.si, piece.from.si + depth], [least, greatest], "right"),
        Face::Outside => (whole, [outside - depth, outside], "down"),
        Face::Inside => (whole, [inside, inside + depth], "up"),
    };
    let mut group = Group::new("zone")
        .with("id", format!("rotor-zone-{k}"))
        .with("data-scale", format!("{:.4}", scale.per_m * 1e-3))
        .with("data-deepest", format!("{:.3}", zone.deepest.si * 1e3))
        .with("data-cut", format!("{:.3}", depth * 1e3))
        .with("data-deepens", deepens);
    let path = rectangle(scale, along, across);
    group.path(path, Fill::tint(Ink::Cut, 0.45), Stroke::line(Ink::Cut, 0.35));
    if hatch > 0.0 {
        let (a, b) = (scale.point(along[0], across[1]), scale.point(along[1], across[0]));
        group.hatch(Rect { x: a.x, y: a.y, width: b.x - a.x, height: b.y - a.y }, hatch, Stroke::line(Ink::Cut, 0.15));
    }
    let tip = scale.point(0.5 * (along[0] + along[1]), 0.5 * (across[0] + across[1]));
    let off = match zone.face {
        Face::CoverSide => at(tip.x + 3.2, tip.y + 1.1),
        Face::EngineSide => at(tip.x - 3.2, tip.y + 1.1),
        Face::Outside => at(tip.x, tip.y - 1.2),
        Face::Inside => at(tip.x, tip.y + 3.8),
    };
    group.text(Text::new(off, TEXT, (k + 1).to_string()).anchor(Anchor::Middle).bold().halo());
    scene.group(group);
}

/// Names in the middle of the pieces that hold them.
fn names(scene: &mut Scene, rotor: &Rotor, scale: &Scale) {
    for piece in &rotor.pieces {
        let c = corners(piece, scale);
        // Above the outermost hole, where there is one.
        let drilled = rotor.holes.iter().filter(|h| h.from.si < piece.to.si && h.to.si > piece.from.si);
        let within = drilled.map(|h| 0.5 * (h.on_circle.si + h.diameter.si)).filter(|r| *r < 0.5 * piece.outside.si);
        let floor = within.map(|r| scale.point(0.0, r).y).fold(c[0].y, f64::min);
        let middle = at(0.25 * c.iter().map(|p| p.x).sum::<f64>(), 0.5 * (floor + c[1].y.max(c[2].y)));
        let (wide, high) = (c[2].x - c[1].x, floor - c[1].y.max(c[2].y));
        let name = Text::new(at(middle.x, middle.y + 0.36 * TEXT), TEXT, piece.name.clone()).anchor(Anchor::Middle).halo();
        let long = name.width() + 1.0;
        if wide >= long && high >= TEXT {
            scene.text(name);
        } else if high >= long && wide >= TEXT {
            scene.text(Text { at: at(middle.x + 0.36 * TEXT, middle.y), ..name }.turned(-90.0));
        }
    }
}

/// Every diameter once, right of the section, with a line to its place.
fn diameters(scene: &mut Scene, rotor: &Rotor, scale: &Scale, right: f64) {
    let mut all: Vec<(f64, f64)> = Vec::new();
    for piece in &rotor.pieces {
        for (reading, z) in
            piece.outsides().iter().zip([&piece.from, &piece.to]).chain(piece.insides().iter().zip([&piece.from, &piece.to]))
        {
            let seen = all.iter_mut().find(|(d, _)| (*d - reading.si).abs() < 1e-7);
            match seen {
                Some((_, at)) => *at = at.max(z.si),
                None if reading.si > 0.0 => all.push((reading.si, z.si)),
                None => {}
            }
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let x = right + 12.0;
    let mut last = f64::MIN;
    for (d, z) in all {
        let from = scale.point(z, 0.5 * d);
        let y = from.y.max(last + LINE);
        last = y;
        scene.path(Path::line(&[from, at(right + 7.0, from.y), at(x - 1.0, y)]), None, Stroke::line(Ink::Soft, 0.18));
        scene.text(Text::new(at(x, y + 0.36 * TEXT), TEXT, text::diameter(d)));
    }
}

/// The whole length under the axis; the lowest line of the drawing.
fn length(scene: &mut Scene, [from, to]: [Point; 2], long_m: f64) -> f64 {
    let y = from.y + 6.0;
    for end in [from, to] {
        scene.line(at(end.x, end.y + 1.0), at(end.x, y + 1.5), Stroke::line(Ink::Soft, 0.18));
    }
    scene.line(at(from.x, y), at(to.x, y), Stroke::line(Ink::Soft, 0.18));
    for (tip, inward) in [(at(from.x, y), 1.0), (at(to.x, y), -1.0)] {
        let barb = |dy: f64| at(tip.x + inward * 2.2, tip.y + dy);
        scene.path(Path::polygon(&[tip, barb(0.6), barb(-0.6)]), Fill::solid(Ink::Soft), None);
    }
    let middle = at(0.5 * (from.x + to.x), y + TEXT + 1.2);
    let mut said = Text::new(middle, TEXT, crate::words::mm(long_m)).anchor(Anchor::Middle);
    said.weight = Weight::Regular;
    scene.text(said);
    middle.y
}

#[cfg(test)]
mod tests {
    use super::*;
    use workshop::machine::{EXAMPLES, read};

    fn corran() -> Rotor {
        read(EXAMPLES[0].1).expect("the demo reads").0.rotor.expect("a rotor")
    }

    /// Every point of the paths of a group.
    fn points(group: &Group) -> Vec<Point> {
        let mut all = Vec::new();
        for item in &group.items {
            if let crate::scene::Item::Path { path, .. } = item {
                all.extend(path.segments.iter().filter_map(|s| match s {
                    Segment::Move(p) | Segment::Line(p) => Some(*p),
                    _ => None,
                }));
            }
        }
        all
    }

    #[test]
    fn it_is_to_scale_and_stays_on_the_paper() {
        for width in [80.0, 100.0, 180.0] {
            let rotor = corran();
            let scene = draw(&rotor, &[], width);
            let section = scene.find("rotor-section").expect("a section");
            let all = points(section);
            let span = |of: fn(&Point) -> f64| {
                let (a, b) = all.iter().map(of).fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
                b - a
            };
            // 40 mm long, and from the taper's least radius of 7.4 mm to 54 mm; a hole's centre line stands out by two millimetres on either side, but the hole is in the web's end.
            let scale = span(|p| p.y) / (54.0 - 7.4);
            assert!((span(|p| p.x) - (40.0 * scale + 2.0)).abs() < 1e-9, "{width}");
            for p in &all {
                assert!(p.x >= 0.0 && p.x <= scene.width && p.y >= 0.0 && p.y <= scene.height, "{p:?}");
            }
            for text in scene.texts().iter().filter(|t| t.turn_deg == 0.0) {
                let b = text.bounds();
                assert!(b.x >= 0.0 && b.right() <= scene.width && b.bottom() <= scene.height + 1.0, "{width}: {}", text.content);
            }
            let texts: Vec<Text> = scene.texts().into_iter().filter(|t| t.turn_deg == 0.0).collect();
            for (k, a) in texts.iter().enumerate() {
                assert!(texts[..k].iter().all(|b| !a.bounds().overlaps(&b.bounds())), "{width}: {} collides", a.content);
            }
        }
    }

    #[test]
    fn a_cut_is_as_deep_as_asked() {
        let rotor = corran();
        let deep = |depth: f64| {
            let scene = draw(&rotor, &[(0, depth)], 100.0);
            let zone = scene.find("rotor-zone-0").expect("a zone").clone();
            let scale: f64 =
                zone.attributes.iter().find(|(n, _)| n == "data-scale").expect("a scale").1.parse().expect("a number");
            let all = points(&zone);
            let (a, b) = all.iter().fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(p.x), b.max(p.x)));
            (b - a) / scale
        };
        for depth in [0.0, 0.5e-3, 1.8e-3] {
            // The scale is written to four places.
            assert!((deep(depth) - depth * 1e3).abs() < 1e-3, "{depth}");
        }
    }

    #[test]
    fn nothing_to_draw_is_no_drawing() {
        let mut rotor = corran();
        rotor.pieces.clear();
        rotor.zones.clear();
        assert!(draw(&rotor, &[], 100.0).items.is_empty());
    }
}
