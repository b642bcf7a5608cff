//! A chart as a drawing: heading, key and notes above, plot below, so that no label can cover the data.

use super::{Chart, Mark, Marker, Series, Ticks, ticks};
use crate::font::{self, Weight};
use crate::scene::svg::number;
use crate::scene::{Anchor, Canvas, Dash, Fill, Group, Ink, Path, Point, Rect, Scene, Stroke, Text, at};

/// Size of a chart [mm].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Width [mm].
    pub width: f64,
    /// Height [mm].
    pub height: f64,
}

impl Size {
    /// For a page of 360 CSS pixels: 1 mm is 3.78 CSS pixels, so that text is as large as running text.
    pub const PHONE: Self = Self { width: 92.0, height: 94.0 };
    /// For a wide page and for files.
    pub const WIDE: Self = Self { width: 170.0, height: 95.0 };
}

/// Text sizes [mm]: about 12 and 14 CSS pixels at true size.
const SMALL: f64 = 3.2;
const HEADING: f64 = 3.9;
/// Line spacing as a multiple of the text size.
const LEADING: f64 = 1.45;
/// Least gap between two notes in a row [mm].
const NOTE_GAP: f64 = 3.0;

/// Where the plot lies and how values map to it.
struct Frame {
    plot: Rect,
    x: Ticks,
    y: Ticks,
}

impl Frame {
    fn x(&self, v: f64) -> f64 {
        self.plot.x + (v - self.x.from) / (self.x.to - self.x.from) * self.plot.width
    }
    fn y(&self, v: f64) -> f64 {
        self.plot.bottom() - (v - self.y.from) / (self.y.to - self.y.from) * self.plot.height
    }
    fn point(&self, (x, y): (f64, f64)) -> Point {
        at(self.x(x), self.y(y))
    }
}

/// A label above the plot: text, where its foot stands, its row.
struct Note<'a> {
    label: &'a str,
    foot: f64,
    left: f64,
    row: usize,
}

pub(super) fn scene(chart: &Chart, size: Size) -> Scene {
    let (width, height) = (size.width.max(40.0), size.height.max(40.0));
    let mut scene = Scene::new(width, height, &chart.title, &chart.description);
    let mut y = HEADING;
    for line in font::wrap(&chart.title, HEADING, Weight::Bold, width - 2.0) {
        scene.text(Text::new(at(1.0, y), HEADING, line).bold());
        y += HEADING * LEADING;
    }
    y = key(chart, &mut scene, width, y);

    let (x_range, y_range) = chart.ranges();
    let y_ticks = ticks(y_range.0, y_range.1, ((height - y - 16.0) / 11.0).clamp(3.0, 8.0) as usize).padded(y_range.0, y_range.1);
    let left = 1.0 + y_ticks.at.iter().map(|&v| font::width(&y_ticks.text(v), SMALL, Weight::Regular)).fold(4.0, f64::max) + 1.8;
    let right = width - 3.0;
    let x_ticks = ticks(x_range.0, x_range.1, ((right - left) / 19.0).clamp(3.0, 9.0) as usize).within(x_range.0, x_range.1);
    let mut frame = Frame { plot: Rect { x: left, y: 0.0, width: right - left, height: 0.0 }, x: x_ticks, y: y_ticks };

    let notes = notes(chart, &frame, width);
    let note_rows = notes.iter().map(|n| n.row + 1).max().unwrap_or(0) as f64;
    scene.text(Text::new(at(1.0, y), SMALL, chart.y.label()).ink(Ink::Soft));
    y += SMALL * 0.45;
    let notes_top = y;
    y += note_rows * SMALL * LEADING + 1.2;
    frame.plot.y = y;
    frame.plot.height = (height - 2.0 * SMALL * LEADING - 1.5 - y).max(10.0);

    let mut plot = Group::new("chart")
        .with("id", format!("{}-plot", chart.id))
        .with("data-x-from", number(frame.x.from))
        .with("data-x-to", number(frame.x.to))
        .with("data-y-from", number(frame.y.from))
        .with("data-y-to", number(frame.y.to))
        .with("data-left", number(frame.plot.x))
        .with("data-right", number(frame.plot.right()))
        .with("data-top", number(frame.plot.y))
        .with("data-bottom", number(frame.plot.bottom()))
        .with("data-x-unit", &chart.x.unit)
        .with("data-y-unit", &chart.y.unit)
        .with("data-x-label", chart.x.label())
        .with("data-y-label", chart.y.label());
    grid(&mut plot, chart, &frame);
    areas(&mut plot, chart, &frame);
    for note in &notes {
        let base = notes_top + (note.row as f64 + 1.0) * SMALL * LEADING - 0.6;
        plot.line(at(note.foot, base - SMALL * 0.7), at(note.foot, frame.plot.y), Stroke::line(Ink::Soft, 0.25));
        plot.text(Text::new(at(note.left, base), SMALL, note.label));
    }
    for rule in &chart.rules {
        let x = frame.x(rule.x);
        let mut g = Group::new("rule")
            .with("id", format!("{}-{}", chart.id, rule.id))
            .with("data-x", number_exact(rule.x))
            .with("data-name", &rule.label);
        g.line(at(x, frame.plot.y), at(x, frame.plot.bottom()), Stroke::broken(Ink::Ink, 0.35, rule.dash));
        plot.group(g);
    }
    for series in &chart.series {
        plot.group(draw_series(chart, series, &frame));
    }
    scene.group(plot);
    scene
}

/// The key, in rows that wrap; returns the base line that follows it.
fn key(chart: &Chart, scene: &mut Scene, width: f64, mut y: f64) -> f64 {
    const SAMPLE: f64 = 9.0;
    let series = chart.series.iter().filter(|s| !s.name.is_empty()).map(|s| (s.name.as_str(), Some(s)));
    let entries: Vec<(&str, Option<&Series>)> = series.chain(chart.areas.iter().map(|a| (a.label.as_str(), None))).collect();
    if entries.is_empty() {
        return y;
    }
    let mut x = 1.0;
    for (name, series) in entries {
        let taken = SAMPLE + 1.5 + font::width(name, SMALL, Weight::Regular);
        if x > 1.0 && x + taken > width - 1.0 {
            x = 1.0;
            y += SMALL * LEADING;
        }
        let mid = y - SMALL * 0.36;
        match series {
            Some(s) => {
                if !s.line.is_empty() || s.marks.is_empty() {
                    scene.line(at(x, mid), at(x + SAMPLE, mid), Stroke::broken(Ink::Series(s.ink), 0.6, s.dash));
                }
                if !s.marks.is_empty() {
                    marker(scene, at(x + SAMPLE / 2.0, mid), s);
                }
            }
            None => shade(scene, Rect { x, y: mid - 1.2, width: SAMPLE, height: 2.4 }),
        }
        scene.text(Text::new(at(x + SAMPLE + 1.5, y), SMALL, name));
        x += taken + 5.0;
    }
    y + SMALL * LEADING + 1.0
}

/// Labels of rules, each to the right of its leader, packed into rows so that none touches another and no leader
/// crosses a label: of two that would, the left one stands higher.
fn notes<'a>(chart: &'a Chart, frame: &Frame, width: f64) -> Vec<Note<'a>> {
    let mut placed: Vec<Note<'a>> = Vec::new();
    let mut rules: Vec<_> = chart.rules.iter().filter(|r| !r.label.is_empty() && r.x.is_finite()).collect();
    rules.sort_by(|a, b| b.x.total_cmp(&a.x));
    for rule in rules {
        let taken = font::width(&rule.label, SMALL, Weight::Regular);
        let foot = frame.x(rule.x);
        let left = if foot + 0.8 + taken <= width - 1.0 { foot + 0.8 } else { (foot - 0.8 - taken).max(0.0) };
        let hit = |n: &Note| {
            left < n.left + font::width(n.label, SMALL, Weight::Regular) + NOTE_GAP && n.left < left + taken + NOTE_GAP
        };
        let crossed = |n: &Note| n.foot > left - 0.5 && n.foot < left + taken + 0.5;
        let row = placed.iter().filter(|n| hit(n) || crossed(n)).map(|n| n.row + 1).max().unwrap_or(0);
        placed.push(Note { label: &rule.label, foot, left, row });
    }
    // Rows were counted up from the plot; the drawing counts them down from the top.
    let rows = placed.iter().map(|n| n.row + 1).max().unwrap_or(0);
    for note in &mut placed {
        note.row = rows - 1 - note.row;
    }
    placed
}

/// The shading of a range.
fn shade(on: &mut impl Canvas, area: Rect) {
    on.path(area.path(), Fill::tint(Ink::Cut, 0.10), None);
    on.hatch(area, 2.2, Stroke::line(Ink::Cut, 0.16));
}

fn grid(plot: &mut Group, chart: &Chart, frame: &Frame) {
    let area = frame.plot;
    let mut x_last_end = f64::NEG_INFINITY;
    for &v in &frame.x.at {
        let x = frame.x(v);
        plot.line(at(x, area.y), at(x, area.bottom()), Stroke::line(Ink::Grid, 0.18));
        let mut text =
            Text::new(at(x, area.bottom() + SMALL * 1.25), SMALL, frame.x.text(v)).anchor(Anchor::Middle).ink(Ink::Soft);
        text.at.x = x.min(area.right() + 2.0 - text.width() / 2.0);
        // A label that would touch its neighbour is left out; its grid line stays.
        if text.bounds().x > x_last_end + 1.0 {
            x_last_end = text.bounds().right();
            plot.text(text);
        }
    }
    for &v in &frame.y.at {
        let y = frame.y(v);
        plot.line(at(area.x, y), at(area.right(), y), Stroke::line(Ink::Grid, 0.18));
        plot.text(Text::new(at(area.x - 1.6, y + SMALL * 0.36), SMALL, frame.y.text(v)).anchor(Anchor::End).ink(Ink::Soft));
    }
    plot.line(at(area.x, area.bottom()), at(area.right(), area.bottom()), Stroke::line(Ink::Ink, 0.35));
    plot.line(at(area.x, area.y), at(area.x, area.bottom()), Stroke::line(Ink::Ink, 0.35));
    plot.text(
        Text::new(at(area.right(), area.bottom() + SMALL * 2.65), SMALL, chart.x.label()).anchor(Anchor::End).ink(Ink::Soft),
    );
}

fn areas(plot: &mut Group, chart: &Chart, frame: &Frame) {
    for a in &chart.areas {
        let (left, right) = (frame.x(a.from.min(a.to)), frame.x(a.from.max(a.to)));
        let area = Rect { x: left, y: frame.plot.y, width: (right - left).max(0.4), height: frame.plot.height };
        let mut g = Group::new("area")
            .with("id", format!("{}-{}", chart.id, a.id))
            .with("data-from", number_exact(a.from))
            .with("data-to", number_exact(a.to))
            .with("data-name", &a.label);
        shade(&mut g, area);
        plot.group(g);
    }
}

fn draw_series(chart: &Chart, s: &Series, frame: &Frame) -> Group {
    let mut g = Group { clip: Some(frame.plot), ..Group::new("series") }
        .with("id", format!("{}-{}", chart.id, s.id))
        .with("data-name", &s.name)
        .with("data-points", points_attribute(&s.line))
        .with("data-halves", points_attribute(&s.band.iter().map(|b| (b.0, 0.5 * (b.2 - b.1))).collect::<Vec<_>>()));
    if s.band.len() > 1 {
        let there = s.band.iter().map(|b| frame.point((b.0, b.2)));
        let back = s.band.iter().rev().map(|b| frame.point((b.0, b.1)));
        let outline: Vec<Point> = there.chain(back).filter(|p| p.x.is_finite() && p.y.is_finite()).collect();
        g.path(Path::polygon(&outline), Fill::tint(Ink::Series(s.ink), 0.16), None);
    }
    if !s.line.is_empty() {
        let points: Vec<Point> = s.line.iter().map(|&p| frame.point(p)).collect();
        g.path(Path::line(&points), None, Stroke::broken(Ink::Series(s.ink), 0.6, s.dash));
    }
    for m in s.marks.iter().filter(|m| m.x.is_finite() && m.y.is_finite()) {
        g.group(draw_mark(s, m, frame));
    }
    g
}

fn draw_mark(s: &Series, m: &Mark, frame: &Frame) -> Group {
    let mut g = Group::new(if m.wild { "mark wild" } else { "mark" })
        .with("data-x", number_exact(m.x))
        .with("data-y", number_exact(m.y))
        .with("data-plus-minus-x", number_exact(m.plus_minus_x))
        .with("data-plus-minus-y", number_exact(m.plus_minus_y));
    let here = frame.point((m.x, m.y));
    let bar = Stroke::line(Ink::Series(s.ink), 0.25);
    if m.plus_minus_x > 0.0 && m.plus_minus_x.is_finite() {
        g.line(frame.point((m.x - m.plus_minus_x, m.y)), frame.point((m.x + m.plus_minus_x, m.y)), bar);
    }
    if m.plus_minus_y > 0.0 && m.plus_minus_y.is_finite() {
        let (low, high) = (frame.point((m.x, m.y - m.plus_minus_y)), frame.point((m.x, m.y + m.plus_minus_y)));
        g.line(low, high, bar);
        for end in [low, high] {
            g.line(at(end.x - 0.7, end.y), at(end.x + 0.7, end.y), bar);
        }
    }
    marker(&mut g, here, s);
    if m.wild {
        g.circle(here, 2.4, None, Stroke::line(Ink::Caution, 0.4));
    }
    g
}

fn marker(on: &mut impl Canvas, here: Point, s: &Series) {
    let (ink, line) = (Ink::Series(s.ink), Stroke::line(Ink::Series(s.ink), 0.4));
    let polygon =
        |around: &[(f64, f64)]| Path::polygon(&around.iter().map(|d| at(here.x + d.0, here.y + d.1)).collect::<Vec<_>>());
    match s.marker {
        Marker::Disc => on.circle(here, 0.95, Fill::solid(ink), None),
        Marker::Square => on.path(polygon(&[(-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)]), Fill::solid(Ink::Paper), line),
        Marker::Triangle => on.path(polygon(&[(0.0, -1.2), (1.15, 0.9), (-1.15, 0.9)]), Fill::solid(ink), None),
        Marker::Diamond => on.path(polygon(&[(0.0, -1.3), (1.3, 0.0), (0.0, 1.3), (-1.3, 0.0)]), Fill::solid(Ink::Paper), line),
    }
}

/// A data value with enough digits to be read back.
fn number_exact(v: f64) -> String {
    format!("{}", (v * 1e4).round() / 1e4)
}

/// `x,y` of each point; `-` where the line is broken.
fn points_attribute(line: &[(f64, f64)]) -> String {
    let point = |&(x, y): &(f64, f64)| {
        if x.is_finite() && y.is_finite() { format!("{},{}", number_exact(x), number_exact(y)) } else { "-".to_owned() }
    };
    line.iter().map(point).collect::<Vec<_>>().join(" ")
}

// Dashes tell series apart only where a line is long enough to show them.
const _: () = assert!(Dash::Centre.lengths()[0] < 9.0);
