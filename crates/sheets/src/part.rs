//! Two parts side by side, to one scale: what the job needs, and a part of the shelf. Only dimensions that are known are drawn.

use crate::font::{self, Weight};
use crate::scene::{Anchor, Dash, Fill, Group, Ink, Item, Path, Point, Scene, Stroke, Text, at};
use crate::words::part::{self as words, paper as text};
use std::f64::consts::TAU;
use workshop::study::part::{Matched, Measure, Part, Ranked, Value, Wanted};

/// Text size, and distance of lines [mm].
const TEXT: f64 = 3.2;
const LINE: f64 = 4.6;
/// Room round each side [mm].
const ROOM: f64 = 6.0;
/// Least width of the drawing [mm].
const LEAST: f64 = 90.0;
/// Tallest that a side may get [mm] (own choice): half a page.
const TALLEST: f64 = 110.0;
/// How many millimetres of the part one of the drawing stands for \[1\]: true size and the reductions of ISO 5455:1979.
const REDUCED: [u32; 4] = [1, 2, 5, 10];

/// Something drawn, in metres of the part.
enum Mark {
    /// A closed outline.
    Outline(Vec<(f64, f64)>),
    /// A circle: centre, radius.
    Circle((f64, f64), f64),
    /// A line that stands back, such as an axis.
    Axis((f64, f64), (f64, f64)),
}

/// What is known of one side.
struct Side<'a> {
    number: &'a dyn Fn(&str) -> Option<f64>,
    word: &'a dyn Fn(&str) -> Option<String>,
}

/// Draws what the job needs beside a part, `width` millimetres wide, and how many millimetres of the part one of the drawing stands for. `None` where neither has a dimension
/// that can be drawn, or even the smallest scale is too large.
///
/// Classes of the groups: `part-old`, `part-new`.
pub fn beside(matched: &Matched<'_>, ranked: &Ranked, width: f64) -> Option<(Scene, u32)> {
    let width = width.max(LEAST);
    let part = matched.part(ranked);
    let kind = &matched.kind.id;
    let needed = |id: &str| match &matched.need.of[matched.kind.named(id)?].as_ref()?.what {
        Wanted::Number { reading, .. } => Some(reading.si),
        _ => None,
    };
    let needed_word = |id: &str| {
        let a = matched.kind.named(id)?;
        match (&matched.need.of[a].as_ref()?.what, &matched.kind.attributes[a].measure) {
            (Wanted::Words(words), Measure::Words(names)) => words.first().map(|w| names[*w].clone()),
            _ => None,
        }
    };
    let has = |id: &str| match part.values[matched.kind.named(id)?].as_ref()? {
        Value::Number { reading, .. } => Some(reading.si),
        Value::Word(_) => None,
    };
    let has_word = |id: &str| {
        let a = matched.kind.named(id)?;
        match (part.values[a].as_ref()?, &matched.kind.attributes[a].measure) {
            (Value::Word(w), Measure::Words(names)) => Some(names[*w].clone()),
            _ => None,
        }
    };
    let sides =
        [shape(kind, &Side { number: &needed, word: &needed_word }), shape(kind, &Side { number: &has, word: &has_word })];
    let all: Vec<(f64, f64)> = sides.iter().flatten().flat_map(corners).filter(|c| c.0.is_finite() && c.1.is_finite()).collect();
    let over = |f: fn(f64, f64) -> f64, of: fn(&(f64, f64)) -> f64| all.iter().map(of).reduce(f);
    let (left, right) = (over(f64::min, |c| c.0)?, over(f64::max, |c| c.0)?);
    let (top, bottom) = (over(f64::min, |c| c.1)?, over(f64::max, |c| c.1)?);
    let room = 0.5 * width - 2.0 * ROOM;
    let fits = |r: &u32| {
        let per_m = 1e3 / f64::from(*r);
        (right - left) * per_m <= room && (bottom - top) * per_m <= TALLEST
    };
    let reduced = REDUCED.into_iter().find(fits)?;
    let per_m = 1e3 / f64::from(reduced);
    let mut scene = Scene::new(width, 0.0, text::DRAWING, text::drawing(&matched.kind.name, &words::title(part)));
    let under = ROOM + LINE + (bottom - top) * per_m;
    let mut lowest = under;
    for (k, side) in sides.iter().enumerate() {
        let middle = (0.25 + 0.5 * k as f64) * width;
        let most = 0.5 * width - ROOM;
        let name = font::fit(if k == 0 { text::OLD } else { &part.id }, TEXT, Weight::Bold, most);
        scene.items.push(Item::Text(Text::new(at(middle, ROOM), TEXT, name).anchor(Anchor::Middle).bold()));
        let place = |(x, y): (f64, f64)| at(middle + (x - 0.5 * (left + right)) * per_m, ROOM + LINE + (y - top) * per_m);
        let mut group = Group::new(if k == 0 { "part-old" } else { "part-new" });
        side.iter().for_each(|s| group.items.push(drawn(s, &place, per_m, k)));
        scene.items.push(Item::Group(group));
        let mut y = under + LINE;
        let said = dimensions(matched, part, k == 1);
        for said in said.iter().flat_map(|s| font::wrap(s, TEXT, Weight::Regular, most)) {
            scene.items.push(Item::Text(Text::new(at(middle, y), TEXT, said).anchor(Anchor::Middle).ink(Ink::Soft)));
            y += LINE;
        }
        lowest = f64::max(lowest, y);
    }
    scene.items.push(Item::Text(Text::new(at(width, lowest), TEXT, text::scale(reduced)).anchor(Anchor::End)));
    scene.height = lowest + 2.0;
    Some((scene, reduced))
}

/// Lengths that are known of a side.
fn dimensions(matched: &Matched<'_>, part: &Part, new: bool) -> Vec<String> {
    let attributes = matched.kind.attributes.iter().enumerate();
    let lengths = attributes.filter(|(_, a)| matches!(a.measure, Measure::Number(quantity::Dimension::Length, _)));
    let said = lengths.filter_map(|(a, attribute)| {
        let reading = match (new, &part.values[a], matched.need.of[a].as_ref().map(|n| &n.what)) {
            (true, Some(Value::Number { reading, .. }), _) | (false, _, Some(Wanted::Number { reading, .. })) => reading,
            _ => return None,
        };
        Some(text::dimension(attribute, &reading.to_string().replace(' ', "\u{a0}")))
    });
    said.collect()
}

/// The outline of a kind of part, the axis lying where there is one.
fn shape(kind: &str, side: &Side<'_>) -> Vec<Mark> {
    match kind {
        "rotor" => rotor(side),
        "stator" => stator(side),
        "pickup" => pickup(side),
        "bearing" => ring(side, "bore", "outside", "width"),
        "seal" => ring(side, "shaft", "housing", "width"),
        "plug" => plug(side),
        _ => Vec::new(),
    }
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Mark {
    Mark::Outline(vec![(x, y), (x + width, y), (x + width, y + height), (x, y + height)])
}

/// Section along the axis, the engine on the left: outline, magnets' inside, taper.
fn rotor(side: &Side<'_>) -> Vec<Mark> {
    let n = side.number;
    let mut all = Vec::new();
    let taper = n("taper_diameter").zip(n("taper_ratio")).zip(n("taper_length"));
    let length = n("length").or(taper.map(|(_, length)| length));
    if let Some((outside, length)) = n("outside_diameter").zip(length) {
        all.push(rectangle(0.0, -0.5 * outside, length, outside));
    }
    if let Some((inside, length)) = n("inside_diameter").zip(length) {
        all.push(Mark::Axis((0.0, -0.5 * inside), (length, -0.5 * inside)));
        all.push(Mark::Axis((0.0, 0.5 * inside), (length, 0.5 * inside)));
    }
    if let Some(((large, ratio), length)) = taper {
        let small = (large - ratio * length).max(0.0);
        let away = (side.word)("large_end").is_some_and(|w| w.starts_with("away"));
        let (engine, cover) = if away { (small, large) } else { (large, small) };
        all.push(Mark::Outline(vec![(0.0, -0.5 * engine), (length, -0.5 * cover), (length, 0.5 * cover), (0.0, 0.5 * engine)]));
        all.push(Mark::Axis((-0.15 * length, 0.0), (1.15 * length, 0.0)));
    }
    all
}

/// Seen along the axis: poles' outside, register, bolts; the core's height beside it.
fn stator(side: &Side<'_>) -> Vec<Mark> {
    /// A bolt's hole in the drawing [m] (own choice): its place is known, its size is not.
    const HOLE_M: f64 = 0.0025;
    let n = side.number;
    let mut all: Vec<Mark> =
        ["outside_diameter", "spigot"].into_iter().filter_map(n).map(|d| Mark::Circle((0.0, 0.0), 0.5 * d)).collect();
    if let Some((circle, bolts)) = n("bolt_circle").zip(n("bolts")) {
        let count = bolts.round().clamp(0.0, 24.0) as usize;
        for k in 0..count {
            let turn = TAU * k as f64 / count as f64;
            all.push(Mark::Circle((0.5 * circle * turn.sin(), -0.5 * circle * turn.cos()), HOLE_M));
        }
    }
    if let Some((height, outside)) = n("core_height").zip(n("outside_diameter").or_else(|| n("spigot"))) {
        all.push(rectangle(0.6 * outside, -0.5 * outside, height, outside));
    }
    all
}

/// Pole and holes of the bracket.
fn pickup(side: &Side<'_>) -> Vec<Mark> {
    /// Length of the pole and size of a hole in the drawing [m] (own choice): neither is asked for.
    const POLE_M: f64 = 0.006;
    const HOLE_M: f64 = 0.0025;
    let n = side.number;
    let mut all = Vec::new();
    if let Some(width) = n("pole_width") {
        all.push(rectangle(-0.5 * width, 0.0, width, POLE_M));
    }
    if let Some(apart) = n("hole_spacing") {
        all.push(Mark::Circle((-0.5 * apart, 2.0 * POLE_M), HOLE_M));
        all.push(Mark::Circle((0.5 * apart, 2.0 * POLE_M), HOLE_M));
    }
    all
}

/// A ring in section.
fn ring(side: &Side<'_>, bore: &str, outside: &str, width: &str) -> Vec<Mark> {
    let n = side.number;
    let Some(((bore, outside), width)) = n(bore).zip(n(outside)).zip(n(width)) else { return Vec::new() };
    let wall = 0.5 * (outside - bore);
    vec![
        rectangle(0.0, -0.5 * outside, width, wall),
        rectangle(0.0, 0.5 * bore, width, wall),
        Mark::Axis((-0.2 * width, 0.0), (1.2 * width, 0.0)),
    ]
}

/// The thread, by its diameter and reach.
fn plug(side: &Side<'_>) -> Vec<Mark> {
    let across = (side.word)("thread").and_then(|t| t.trim_start_matches('M').split('x').next()?.parse::<f64>().ok());
    match across.zip((side.number)("reach")) {
        Some((mm, reach)) => vec![rectangle(-0.5e-3 * mm, 0.0, 1e-3 * mm, reach)],
        None => Vec::new(),
    }
}

fn corners(s: &Mark) -> Vec<(f64, f64)> {
    match s {
        Mark::Outline(points) => points.clone(),
        Mark::Circle((x, y), r) => vec![(x - r, y - r), (x + r, y + r)],
        Mark::Axis(a, b) => vec![*a, *b],
    }
}

fn drawn(s: &Mark, place: &dyn Fn((f64, f64)) -> Point, per_m: f64, side: usize) -> Item {
    let line = Stroke::line(if side == 0 { Ink::Ink } else { Ink::Series(1) }, 0.4);
    match s {
        Mark::Outline(points) => {
            let points: Vec<Point> = points.iter().map(|p| place(*p)).collect();
            Item::Path { path: Path::polygon(&points), fill: Some(Fill { ink: Ink::Metal, opacity: 0.35 }), stroke: line }
        }
        Mark::Circle(centre, r) => Item::Circle { centre: place(*centre), radius: r * per_m, fill: None, stroke: line },
        Mark::Axis(a, b) => Item::Path {
            path: Path::line(&[place(*a), place(*b)]),
            fill: None,
            stroke: Stroke::broken(Ink::Soft, 0.25, Dash::Centre),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use workshop::machine::{EXAMPLES, read};
    use workshop::study::fault::Studies;
    use workshop::study::part::{Need, Shelf, base, rank};

    const ROTOR: &str = "[[part]]\nid = 'a rotor whose name on the shelf is longer than half of a narrow drawing'\nkind = 'rotor'\nmeasured = 'caliper'\ninside_diameter = '83.00 ± 0.05 mm'\ntaper_diameter = '19.6 ± 0.05 mm'\ntaper_ratio = '0.1'\ntaper_length = '31 ± 0.2 mm'\noutside_diameter = '108.0 ± 0.1 mm'\nlength = '40.0 ± 0.2 mm'";
    const NEED: &str =
        "[rotor]\ninside_diameter = '83.0 ± 0.03 mm'\noutside_diameter = '108.0 ± 0.1 mm'\nlength = '40.0 ± 0.2 mm'";

    #[test]
    fn no_words_run_into_others_or_off_the_drawing() {
        let (machine, _) = read(EXAMPLES[0].1).unwrap();
        let need = Need::of_machine(base(), base().named("rotor").unwrap(), &machine, Studies::default());
        let need = need.over(base(), NEED).unwrap();
        let shelf = Shelf::toml(base(), ROTOR).unwrap();
        let matched = rank(base(), &need, &shelf);
        for width in [LEAST, 150.0, 182.0] {
            let (scene, _) = beside(&matched, &matched.ranked[0], width).unwrap();
            let texts = scene.texts();
            assert!(texts.len() > 8, "{}", texts.len());
            for (k, a) in texts.iter().enumerate() {
                let at = a.bounds();
                assert!(at.x >= 0.0 && at.right() <= width && at.bottom() <= scene.height, "{width}: {} leaves it", a.content);
                assert!(texts[..k].iter().all(|b| !at.overlaps(&b.bounds())), "{width}: {} collides", a.content);
            }
        }
    }
}
