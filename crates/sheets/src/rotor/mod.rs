//! The trigger rotor, drawn true from the readings.
//!
//! It is seen from the side the mechanic sees it, with the first cylinder at top dead centre and the first pickup at the
//! top. Places on the rotor are counted as the rotor turns: further on in the turning direction is *ahead*. The leading
//! end is ahead of the trailing end, so it reaches the pickup first; seen from the other side the drawing is mirrored.

mod balance;
pub mod section;

pub use balance::{diagram, drill_plan, facing, two_sides};

use crate::font::{self, Weight};
use crate::scene::svg::number;
use crate::scene::{Anchor, Canvas, Dash, Fill, Group, Ink, Path, Point, Scene, Stroke, Text, at};
use crate::words::label;
use workshop::machine::{SeenFrom, Turns};
use workshop::study::trim::RotorPicture;

/// Text size [mm].
const TEXT: f64 = 3.2;
const LEADING: f64 = 1.35;
/// Height of the segment over the rim and depth of the rim, as shares of the rim's radius: for show.
const SEGMENT_HEIGHT: f64 = 0.07;
const RIM_DEPTH: f64 = 0.16;

/// Where everything stands on the drawing: angles [rad] clockwise from straight up.
#[derive(Clone, Debug, PartialEq)]
pub struct Places {
    /// +1 where the rotor turns clockwise as seen, −1 otherwise.
    pub sense: f64,
    /// Leading end of the segment.
    pub leading: f64,
    /// Trailing end before the cut.
    pub trailing: f64,
    /// Trailing end after the cut.
    pub cut_edge: f64,
    /// Pickups, the first at 0.
    pub pickups: Vec<f64>,
}

impl Places {
    /// From the readings: arc = radius × angle (definition of the radian, ISO 80000-3:2019).
    pub fn of(picture: &RotorPicture) -> Self {
        let sense = match picture.turns {
            Turns::Clockwise => 1.0,
            Turns::Anticlockwise => -1.0,
        };
        let angle = |arc_m: f64| arc_m / (0.5 * picture.rim_diameter_m);
        let lead = picture.lead_rotor_rad;
        let arc = angle(picture.segment_arc_m);
        Self {
            sense,
            leading: sense * lead,
            trailing: sense * (lead - arc),
            cut_edge: sense * (lead - arc + angle(picture.cut_m)),
            pickups: picture.pickups_rad.iter().map(|p| sense * p).collect(),
        }
    }
}

/// The same rotor as seen from its other side: turning direction and side change together.
pub fn other_side(picture: &RotorPicture) -> RotorPicture {
    RotorPicture {
        turns: match picture.turns {
            Turns::Clockwise => Turns::Anticlockwise,
            Turns::Anticlockwise => Turns::Clockwise,
        },
        seen_from: match picture.seen_from {
            SeenFrom::CoverSide => SeenFrom::EngineSide,
            SeenFrom::EngineSide => SeenFrom::CoverSide,
        },
        ..picture.clone()
    }
}

/// Draws the rotor `width` millimetres wide.
///
/// Group ids: `rotor-segment`, `rotor-cut`, `rotor-cut-handle`. The handle carries what a page needs for dragging:
/// centre and radii on the drawing [mm], sense, the trailing end's angle [° clockwise from the top], rim diameter and
/// segment length [mm], the cut [mm]. For a pointer at angle φ the cut is `sense · (φ − trailing) · π/360 · rim diameter`.
pub fn draw(picture: &RotorPicture, width: f64) -> Scene {
    let width = width.max(70.0);
    let column = (width * 0.21).clamp(21.0, 34.0);
    let radius = ((width - 2.0 * column - 8.0) / 2.0 / 1.2).max(10.0);
    let top = 3.0;
    let centre = at(width / 2.0, top + radius * 1.36);
    let places = Places::of(picture);
    let seen = label::turns_seen(picture.turns, picture.seen_from);
    let description = format!("{seen}. {}", label::AT_TDC);

    let mut scene = Scene::new(width, 0.0, label::ROTOR_TITLE, description);
    body(&mut scene, centre, radius, &places);
    let (inner, outer) = (radius * 0.985, radius * (1.0 + SEGMENT_HEIGHT));
    segment(&mut scene, picture, centre, radius, &places);
    pickups(&mut scene, centre, radius, &places);
    callouts(&mut scene, picture, centre, [inner, outer], width, column, &places);

    let lowest = places.pickups.iter().map(|a| -a.cos() * 1.34).fold(1.08, f64::max);
    let mut y = centre.y + radius * lowest + 5.5;
    for (text, bold) in [(seen.as_str(), true), (label::AT_TDC, false)] {
        let weight = if bold { Weight::Bold } else { Weight::Regular };
        for line in font::wrap(text, TEXT, weight, width - 4.0) {
            let mut t = Text::new(at(width / 2.0, y), TEXT, line).anchor(Anchor::Middle);
            t.weight = weight;
            scene.text(if bold { t } else { t.ink(Ink::Soft) });
            y += TEXT * LEADING;
        }
    }
    scene.height = y;
    scene
}

/// Rim, hub, centre lines and turning arrow.
fn body(scene: &mut Scene, centre: Point, radius: f64, places: &Places) {
    let outline = Stroke::line(Ink::Ink, 0.5);
    scene.circle(centre, radius, Fill::solid(Ink::Metal), outline);
    scene.circle(centre, radius * (1.0 - RIM_DEPTH), Fill::solid(Ink::Paper), Stroke::line(Ink::Ink, 0.25));
    scene.circle(centre, radius * 0.24, Fill::solid(Ink::Metal), outline);
    scene.circle(centre, radius * 0.10, Fill::solid(Ink::Paper), outline);
    let cross = Stroke::broken(Ink::Soft, 0.18, Dash::Centre);
    let reach = radius * 0.34;
    scene.line(at(centre.x - reach, centre.y), at(centre.x + reach, centre.y), cross);
    scene.line(at(centre.x, centre.y - reach), at(centre.x, centre.y + reach), cross);

    // The arrow lies in the lower half, away from the pickup at the top.
    let half = std::f64::consts::PI;
    let (from, to) = (half - places.sense * 1.0, half + places.sense * 1.0);
    let r = radius * 0.55;
    let mut arrow = Group::new("turning-arrow");
    arrow.path(Path::arc(centre, r, from, to - places.sense * 0.12), None, Stroke::line(Ink::Ink, 0.9));
    let tip = centre.polar(r, to);
    let barb = |dr: f64| centre.polar(r + dr, to - places.sense * 0.26);
    arrow.path(Path::polygon(&[tip, barb(radius * 0.065), barb(-radius * 0.065)]), Fill::solid(Ink::Ink), None);
    scene.group(arrow);
}

fn segment(scene: &mut Scene, picture: &RotorPicture, centre: Point, radius: f64, places: &Places) {
    let outer = radius * (1.0 + SEGMENT_HEIGHT);
    let ring = |from: f64, to: f64| Path::ring(centre, radius * 0.985, outer, from, to);
    let mut left = Group::new("segment").with("id", "rotor-segment");
    left.path(ring(places.cut_edge, places.leading), Fill::solid(Ink::Ink), Stroke::line(Ink::Ink, 0.3));
    scene.group(left);

    let mut cut = Group::new("cut").with("id", "rotor-cut");
    if picture.cut_m > 0.0 {
        cut.path(ring(places.trailing, places.cut_edge), Fill::solid(Ink::Paper), Stroke::broken(Ink::Cut, 0.35, Dash::Short));
        let sweep = places.cut_edge - places.trailing;
        // Slanted strokes from rim to top, all inside the sector: a hatching that follows the arc.
        let slant = (radius * SEGMENT_HEIGHT / radius).min(sweep.abs());
        let strokes = ((sweep.abs() - slant) / 0.025).floor().max(0.0) as usize;
        for i in 0..=strokes {
            let start = places.trailing + places.sense * 0.025 * i as f64;
            cut.line(
                centre.polar(radius, start),
                centre.polar(outer, start + places.sense * slant),
                Stroke::line(Ink::Cut, 0.25),
            );
        }
    }
    scene.group(cut);

    let mut handle = Group::new("handle")
        .with("id", "rotor-cut-handle")
        .with("data-centre-x", number(centre.x))
        .with("data-centre-y", number(centre.y))
        .with("data-radius", number(radius))
        .with("data-outer", number(outer))
        .with("data-sense", number(places.sense))
        .with("data-trailing-deg", number(places.trailing.to_degrees()))
        .with("data-rim-diameter-mm", number(picture.rim_diameter_m * 1e3))
        .with("data-segment-mm", number(picture.segment_arc_m * 1e3))
        .with("data-cut-mm", number(picture.cut_m * 1e3));
    let reach = radius * (1.0 + 2.0 * SEGMENT_HEIGHT);
    handle.line(
        centre.polar(radius * (1.0 - RIM_DEPTH), places.cut_edge),
        centre.polar(reach, places.cut_edge),
        Stroke::line(Ink::Cut, 0.7),
    );
    handle.circle(
        centre.polar(reach, places.cut_edge),
        (radius * 0.05).max(1.6),
        Fill::solid(Ink::Cut),
        Stroke::line(Ink::Paper, 0.4),
    );
    scene.group(handle);
}

/// The pickups outside the rim, and the mark on the rim that stands opposite the first at top dead centre.
fn pickups(scene: &mut Scene, centre: Point, radius: f64, places: &Places) {
    let mark = Stroke::line(Ink::Series(0), 0.7);
    scene.line(centre.polar(radius * (1.0 - RIM_DEPTH), 0.0), centre.polar(radius, 0.0), mark);
    for &angle in &places.pickups {
        let (near, far) = (radius * (1.0 + SEGMENT_HEIGHT) + radius * 0.03, radius * 1.32);
        let half = 0.075;
        let shape = [
            centre.polar(near, angle - half * 0.45),
            centre.polar(near, angle + half * 0.45),
            centre.polar(near + radius * 0.06, angle + half),
            centre.polar(far, angle + half),
            centre.polar(far, angle - half),
            centre.polar(near + radius * 0.06, angle - half),
        ];
        scene.path(Path::polygon(&shape), Fill::solid(Ink::Paper), Stroke::line(Ink::Series(0), 0.5));
    }
}

/// A label beside the drawing and the point it speaks of.
struct Callout {
    lines: Vec<String>,
    target: Point,
    y: f64,
}

/// Labels in a column on either side, each with a leader; moved apart until none touches another.
fn callouts(scene: &mut Scene, picture: &RotorPicture, centre: Point, radii: [f64; 2], width: f64, column: f64, places: &Places) {
    let [inner, outer] = radii;
    let rim = inner * (1.0 - RIM_DEPTH / 2.0);
    let trailing = if picture.cut_m > 0.0 { label::trailing_end_cut(picture.cut_m) } else { label::TRAILING_END.to_owned() };
    let mut wanted = vec![
        (label::LEADING_END.to_owned(), centre.polar(0.5 * (inner + outer), places.leading)),
        (trailing, centre.polar(0.5 * (inner + outer), 0.5 * (places.trailing + places.cut_edge))),
        (label::TDC_MARK.to_owned(), centre.polar(rim, 0.0)),
    ];
    for (n, &angle) in places.pickups.iter().enumerate() {
        wanted.push((label::pickup(n), centre.polar(outer * 1.18, angle)));
    }
    // What lies on the centre line goes to the side with fewer labels.
    let near = 0.5;
    wanted.sort_by(|a, b| (b.1.x - centre.x).abs().total_cmp(&(a.1.x - centre.x).abs()).then(a.0.cmp(&b.0)));
    let (mut left, mut right): (Vec<Callout>, Vec<Callout>) = (Vec::new(), Vec::new());
    for (text, target) in wanted {
        let to_right = if (target.x - centre.x).abs() < near { right.len() <= left.len() } else { target.x > centre.x };
        let callout = Callout { lines: font::wrap(&text, TEXT, Weight::Regular, column), target, y: target.y };
        if to_right { right.push(callout) } else { left.push(callout) }
    }
    for (side, mut list) in [(-1.0, left), (1.0, right)] {
        spread(&mut list, TEXT, centre.y + outer);
        for c in list {
            let edge = if side < 0.0 { column + 1.0 } else { width - column - 1.0 };
            let anchor = if side < 0.0 { Anchor::End } else { Anchor::Start };
            let elbow = at(edge - side * 3.0, c.y - TEXT * 0.36);
            scene.path(Path::line(&[at(edge - side * 0.6, elbow.y), elbow, c.target]), None, Stroke::line(Ink::Soft, 0.25));
            scene.circle(c.target, 0.55, Fill::solid(Ink::Soft), None);
            for (i, line) in c.lines.iter().enumerate() {
                scene.text(Text::new(at(edge, c.y + i as f64 * TEXT * LEADING), TEXT, line).anchor(anchor));
            }
        }
    }
}

/// Moves labels down, and as a block up again, until each has its own lines between `top` and `bottom`.
fn spread(list: &mut [Callout], top: f64, bottom: f64) {
    list.sort_by(|a, b| a.target.y.total_cmp(&b.target.y));
    let height = |c: &Callout| c.lines.len() as f64 * TEXT * LEADING + 1.0;
    let mut least = top;
    for c in list.iter_mut() {
        c.y = c.y.max(least);
        least = c.y + height(c);
    }
    let mut most = bottom;
    for c in list.iter_mut().rev() {
        c.y = c.y.min(most - height(c)).max(top);
        most = c.y;
    }
}

/// Box that a drawing's texts keep to; for checks.
#[cfg(test)]
fn collisions(scene: &Scene) -> Vec<(String, String)> {
    let texts = scene.texts();
    let boxes: Vec<(crate::scene::Rect, &str)> = texts.iter().map(|t| (t.bounds(), t.content.as_str())).collect();
    let mut hits = Vec::new();
    for (i, a) in boxes.iter().enumerate() {
        for b in &boxes[i + 1..] {
            if a.0.overlaps(&b.0) {
                hits.push((a.1.to_owned(), b.1.to_owned()));
            }
        }
    }
    hits
}

#[cfg(test)]
mod tests;
