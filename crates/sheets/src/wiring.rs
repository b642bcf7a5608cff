//! The wiring as fitted: parts side by side, each wire on a lane of its own between the terminals of its two parts.
//!
//! Symbols follow the manner of IEC 60617 and are drawn here; a dot joins, lines that cross without one do not.

use crate::font::{self, Weight};
use crate::probes::Probe;
use crate::scene::{Anchor, Canvas, Fill, Group, Ink, Path, Point, Rect, Scene, Stroke, Text, at};
use crate::words::electric as text;
use workshop::machine::{
    Machine,
    charging::{Kind, Wire, WirePart},
};

/// Sizes on the drawing [mm] (own choice): height of a lane, of the symbols, text, thin and thick lines.
const LANE: f64 = 6.6;
const SYMBOL: f64 = 14.0;
const TEXT: f64 = 2.8;
const THIN: f64 = 0.25;
const THICK: f64 = 0.4;
/// Wires on one drawing.
pub const MOST_WIRES: usize = 28;

/// Drawings of all wires, as many to each as a page takes; none without wires.
pub fn draw(machine: &Machine, width: f64) -> Vec<Scene> {
    machine.electric.wires.chunks(MOST_WIRES).map(|wires| one(machine, wires, width, &[])).collect()
}

/// The drawing with a numbered disc where each probe stands; of several drawings the first that has a terminal among them. `None` where none has.
pub(crate) fn draw_probed(machine: &Machine, width: f64, probes: &[Probe]) -> Option<Scene> {
    let has = |wires: &&[Wire]| {
        wires.iter().flat_map(|w| [&w.from, &w.to]).any(|(part, name)| probes.contains(&Probe::At(*part, name)))
    };
    let wires = machine.electric.wires.chunks(MOST_WIRES).find(has)?;
    Some(one(machine, wires, width, probes))
}

/// A terminal and the place of its line.
struct Terminal<'m> {
    part: WirePart,
    name: &'m str,
    x: f64,
    lowest: f64,
}

fn one(machine: &Machine, wires: &[Wire], width: f64, probes: &[Probe]) -> Scene {
    let mut parts: Vec<WirePart> = wires.iter().flat_map(|w| [w.from.0, w.to.0]).filter(|p| *p != WirePart::Frame).collect();
    parts.sort_unstable();
    parts.dedup();
    let column = width / parts.len().max(1) as f64;
    let mut terminals: Vec<Terminal> = Vec::new();
    for (k, part) in parts.iter().enumerate() {
        let mut names: Vec<&str> = Vec::new();
        for (p, name) in wires.iter().flat_map(|w| [(w.from.0, &w.from.1), (w.to.0, &w.to.1)]) {
            if p == *part && !names.contains(&name.as_str()) {
                names.push(name);
            }
        }
        let apart = column * 0.86 / names.len() as f64;
        for (n, name) in names.iter().enumerate() {
            let x = column * (k as f64 + 0.5) + apart * (n as f64 - 0.5 * (names.len() - 1) as f64);
            terminals.push(Terminal { part: *part, name, x, lowest: 0.0 });
        }
    }
    let top = 8.0 + SYMBOL;
    // Discs of probes stand between the names and the first lane.
    let first = top + if probes.is_empty() { 11.0 } else { 15.0 };
    let height = first + LANE * wires.len() as f64 + 4.0;
    let mut scene = if probes.is_empty() {
        Scene::new(width, height, text::WIRES_SHEET, text::WIRING_SEEN)
    } else {
        Scene::new(width, height, text::PROBES_SHEET, text::probes_at(probes))
    };
    for (k, part) in parts.iter().enumerate() {
        let x = column * (k as f64 + 0.5);
        scene.text(Text::new(at(x, TEXT + 1.0), TEXT, text::wire_part(*part)).anchor(Anchor::Middle).bold());
        symbol(&mut scene, machine, *part, at(x, 6.0 + SYMBOL / 2.0), (column * 0.9).min(20.0));
    }
    let place =
        |terminals: &[Terminal], end: &(WirePart, String)| terminals.iter().position(|t| t.part == end.0 && t.name == end.1);
    for (n, wire) in wires.iter().enumerate() {
        let y = first + LANE * (n as f64 + 0.5);
        [place(&terminals, &wire.from), place(&terminals, &wire.to)].into_iter().flatten().for_each(|t| terminals[t].lowest = y);
    }
    // Lines down first, so that labels stand over them.
    for t in &terminals {
        scene.line(at(t.x, top), at(t.x, t.lowest), Stroke::line(Ink::Soft, THIN));
        scene.circle(at(t.x, top), 0.6, Fill::solid(Ink::Paper), Stroke::line(Ink::Ink, THIN));
        scene.text(Text::new(at(t.x + 0.9, top + TEXT + 1.4), TEXT * 0.9, t.name).halo().bold());
    }
    let probed_frame = probes.contains(&Probe::Frame);
    let mut frame: Option<Point> = None;
    for (n, wire) in wires.iter().enumerate() {
        let y = first + LANE * (n as f64 + 0.5);
        let ends = [place(&terminals, &wire.from), place(&terminals, &wire.to)];
        let xs: Vec<f64> = ends.iter().flatten().map(|&t| terminals[t].x).collect();
        let mut lane = Group::new("wire").with("id", format!("wire-{n}"));
        let from = match xs[..] {
            [a, b] => {
                lane.line(at(a, y), at(b, y), Stroke::line(Ink::Ink, THICK));
                a.min(b)
            }
            [a] => {
                let end = earth(&mut lane, at(a, y), width);
                frame = frame.or(Some(end));
                a
            }
            _ => continue,
        };
        xs.iter().for_each(|&x| lane.circle(at(x, y), 0.7, Fill::solid(Ink::Ink), None));
        let said = label(machine, wire);
        // A label that would leave the sheet ends at its edge.
        let room = font::width(&said, TEXT * 0.9, Weight::Regular);
        // Where a probe stands at the sign of the frame, the label begins behind it.
        let behind = frame.filter(|f| probed_frame && f.y == y && f.x > from).map_or(1.6, |f| f.x + 2.8 - from);
        let x = (from + behind).min(width - room - 0.5).max(0.5);
        lane.text(Text::new(at(x, y - 1.1), TEXT * 0.9, said).halo());
        scene.group(lane);
    }
    for (n, probe) in probes.iter().enumerate() {
        let stands = |t: &&Terminal| Probe::At(t.part, t.name) == *probe;
        let c = match probe {
            // Below the terminal's name.
            Probe::At(..) => terminals.iter().find(stands).map(|t| at(t.x, top + 7.6)),
            Probe::Frame => frame,
        };
        if let Some(c) = c {
            disc(&mut scene, c, n + 1);
        }
    }
    scene
}

/// A probe's number.
fn disc(scene: &mut Scene, c: Point, number: usize) {
    let mut probe = Group::new("probe").with("id", format!("probe-{number}"));
    probe.circle(c, 2.1, Fill::solid(Ink::Ink), Stroke::line(Ink::Paper, THICK));
    probe.text(Text::new(at(c.x, c.y + 0.36 * TEXT), TEXT, number.to_string()).anchor(Anchor::Middle).bold().ink(Ink::Paper));
    scene.group(probe);
}

/// `red 2.5 mm², fuse 15 A`, and the load where it feeds one.
fn label(machine: &Machine, wire: &Wire) -> String {
    let mut said: Vec<String> = Vec::new();
    said.extend(wire.colour.clone());
    said.push(text::wire_size(wire));
    if let Some(fuse) = &wire.fuse {
        said.push(text::fuse_of(fuse.si));
    }
    said.extend(
        wire.load
            .filter(|_| wire.to.0 == WirePart::Load || wire.from.0 == WirePart::Load)
            .map(|k| machine.electric.loads[k].name.clone()),
    );
    said.join(", ")
}

/// A stub and the sign of the frame, and where a probe stands beside it.
fn earth(on: &mut Group, from: Point, width: f64) -> Point {
    let side = if from.x + 8.0 < width { 1.0 } else { -1.0 };
    let end = from.x + side * 4.0;
    on.line(from, at(end, from.y), Stroke::line(Ink::Ink, THICK));
    for (k, half) in [2.0, 1.3, 0.6].into_iter().enumerate() {
        let x = end + side * 0.8 * k as f64;
        on.line(at(x, from.y - half), at(x, from.y + half), Stroke::line(Ink::Ink, THICK));
    }
    at((end + side * 4.8).clamp(2.5, width - 2.5), from.y)
}

/// The symbol of a part about a middle, so wide.
fn symbol(scene: &mut Scene, machine: &Machine, part: WirePart, c: Point, wide: f64) {
    let thick = Stroke::line(Ink::Ink, THICK);
    let frame = |h: f64| Rect { x: c.x - wide / 2.0, y: c.y - h / 2.0, width: wide, height: h };
    let word = |scene: &mut Scene, y: f64, said: &str| {
        scene.text(Text::new(at(c.x, c.y + y), TEXT * 1.2, said).anchor(Anchor::Middle));
    };
    // The foot on which the terminals sit.
    scene.line(at(c.x - wide / 2.0, c.y + SYMBOL / 2.0 + 2.0), at(c.x + wide / 2.0, c.y + SYMBOL / 2.0 + 2.0), thick);
    match part {
        WirePart::Alternator => {
            scene.circle(c, 6.0, None, thick);
            let three = machine.electric.charging.as_ref().is_some_and(|a| matches!(a.kind, Kind::Star | Kind::Delta));
            word(scene, -0.4, "G");
            word(scene, 4.0, if three { "3 ~" } else { "~" });
        }
        WirePart::Regulator => {
            scene.path(frame(11.0).path(), None, thick);
            scene.line(at(c.x - wide / 2.0, c.y + 5.5), at(c.x + wide / 2.0, c.y - 5.5), Stroke::line(Ink::Ink, THIN));
            scene.text(Text::new(at(c.x - wide / 4.0, c.y - 1.4), TEXT * 1.2, "~").anchor(Anchor::Middle));
            scene.text(Text::new(at(c.x + wide / 4.0, c.y + 4.0), TEXT * 1.2, "=").anchor(Anchor::Middle));
        }
        WirePart::Battery => {
            for (k, x) in [-4.0, -1.4, 1.4, 4.0].into_iter().enumerate() {
                let half = if k % 2 == 0 { 5.0 } else { 2.6 };
                scene.line(at(c.x + x, c.y - half), at(c.x + x, c.y + half), thick);
            }
            scene.line(at(c.x - 8.0, c.y), at(c.x - 4.0, c.y), thick);
            scene.line(at(c.x + 4.0, c.y), at(c.x + 8.0, c.y), thick);
            scene.text(Text::new(at(c.x - 7.4, c.y - 1.4), TEXT, "+"));
        }
        WirePart::Fuse => {
            scene.path(Rect { x: c.x - 5.0, y: c.y - 2.0, width: 10.0, height: 4.0 }.path(), None, thick);
            scene.line(at(c.x - 8.0, c.y), at(c.x + 8.0, c.y), thick);
        }
        WirePart::Switch => {
            scene.line(at(c.x - 8.0, c.y), at(c.x - 4.0, c.y), thick);
            scene.line(at(c.x - 4.0, c.y), at(c.x + 3.4, c.y - 4.0), thick);
            scene.line(at(c.x + 4.0, c.y), at(c.x + 8.0, c.y), thick);
        }
        WirePart::Ignition => {
            scene.path(frame(11.0).path(), None, thick);
            // A pulse.
            let p =
                [(-5.0, 2.0), (-1.5, 2.0), (-1.5, -3.0), (1.5, -3.0), (1.5, 2.0), (5.0, 2.0)].map(|(x, y)| at(c.x + x, c.y + y));
            scene.path(Path::line(&p), None, thick);
        }
        WirePart::Coil => {
            for (side, turns) in [(-1.0, 3), (1.0, 4)] {
                for k in 0..turns {
                    let radius = 5.0 / f64::from(turns);
                    let y = c.y - 5.0 + radius * (2.0 * f64::from(k) + 1.0);
                    let (from, to) = if side < 0.0 { (0.0, std::f64::consts::PI) } else { (0.0, -std::f64::consts::PI) };
                    scene.path(Path::arc(at(c.x + side * 2.6, y), radius, from, to), None, thick);
                }
            }
            scene.line(at(c.x - 0.5, c.y - 5.0), at(c.x - 0.5, c.y + 5.0), Stroke::line(Ink::Ink, THIN));
            scene.line(at(c.x + 0.5, c.y - 5.0), at(c.x + 0.5, c.y + 5.0), Stroke::line(Ink::Ink, THIN));
        }
        WirePart::Load => {
            scene.circle(c, 5.0, None, thick);
            let d = 5.0 / std::f64::consts::SQRT_2;
            scene.line(at(c.x - d, c.y - d), at(c.x + d, c.y + d), thick);
            scene.line(at(c.x - d, c.y + d), at(c.x + d, c.y - d), thick);
        }
        WirePart::Frame => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn probes_hide_no_label() {
        for (_, file) in [workshop::machine::EXAMPLES[0], workshop::machine::EXAMPLES[2]] {
            let (machine, _) = workshop::machine::read(file).unwrap();
            for test in ["drop-earth", "stator-ohms", "source-peak", "module-peak", "drain", "lamp-ac", "drop-feed"] {
                let probes = crate::probes::probes(&machine, test);
                let Some(drawn) = draw_probed(&machine, 176.0, &probes) else { continue };
                assert!((1..=probes.len()).all(|n| drawn.find(&format!("probe-{n}")).is_some()), "{test}");
                let numbers: Vec<String> = (1..=probes.len()).map(|n| n.to_string()).collect();
                let (discs, labels): (Vec<Text>, Vec<Text>) =
                    drawn.texts().into_iter().partition(|t| t.anchor == Anchor::Middle && numbers.contains(&t.content));
                assert_eq!(discs.len(), probes.len(), "{test}");
                for disc in discs {
                    let b = disc.bounds();
                    let round = Rect { x: b.x - 1.0, y: b.y - 0.6, width: b.width + 2.0, height: b.height + 1.2 };
                    assert!(labels.iter().all(|l| !l.bounds().overlaps(&round)), "{test} {}", disc.content);
                }
            }
        }
    }

    #[test]
    fn every_wire_is_drawn_and_no_label_leaves_the_sheet() {
        for (_, file) in [workshop::machine::EXAMPLES[0], workshop::machine::EXAMPLES[2]] {
            let (machine, _) = workshop::machine::read(file).unwrap();
            let drawn = draw(&machine, 176.0);
            assert_eq!(drawn.len(), 1);
            for n in 0..machine.electric.wires.len() {
                assert!(drawn[0].find(&format!("wire-{n}")).is_some(), "{n}");
            }
            for text in drawn[0].texts() {
                let b = text.bounds();
                assert!(b.x >= 0.0 && b.right() <= 176.0 && b.bottom() <= drawn[0].height, "{}", text.content);
            }
            // Terminals beside each other are told apart.
            let bold: Vec<Text> = drawn[0].texts().into_iter().filter(|t| t.weight == Weight::Bold).collect();
            for (k, a) in bold.iter().enumerate() {
                assert!(bold[k + 1..].iter().all(|b| !a.bounds().overlaps(&b.bounds())), "{}", a.content);
            }
        }
    }
}
