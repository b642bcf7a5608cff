//! Line charts: one description, drawn as a scene, printed in a terminal, saved as CSV.
//!
//! Values are in the units of the axes. The SVG keeps the axes and the points as `data-` attributes, so that a page can
//! read values out and move lines without knowing how the chart is laid out.

mod chance;
mod csv;
mod draw;
mod electric;
mod load;
mod pictures;
mod recording;
mod run;
mod spark;
mod terminal;
mod ticks;

pub use chance::chance_chart;
pub use draw::Size;
pub use electric::{charge_chart, ride_chart};
pub use load::torque_chart;
pub(crate) use pictures::alike;
pub use pictures::{CurveExtras, curve_chart, rest_chart};
pub use recording::{change_chart, pace_chart, recorded_chart};
pub use run::run_chart;
pub use spark::{margin_chart, signal_chart};
pub use terminal::Style;
pub use ticks::{Ticks, ticks};

use crate::scene::{Dash, Scene};

/// A line chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Prefix of all ids in the SVG; one page may show several charts.
    pub id: String,
    /// Heading.
    pub title: String,
    /// What it shows, for screen readers.
    pub description: String,
    /// Axis to the right.
    pub x: Axis,
    /// Axis upwards.
    pub y: Axis,
    /// Shaded ranges of x.
    pub areas: Vec<Area>,
    /// Lines across the whole plot at one value of x.
    pub rules: Vec<Rule>,
    /// Lines and marks.
    pub series: Vec<Series>,
}

/// An axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What is measured.
    pub quantity: String,
    /// In which unit.
    pub unit: String,
    /// Range that must be shown besides the data; the axis is rounded outwards from it.
    pub from: f64,
    /// See `from`.
    pub to: f64,
}

/// A shaded range of x.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Id after the chart's.
    pub id: String,
    /// What it is.
    pub label: String,
    /// Lower end.
    pub from: f64,
    /// Upper end.
    pub to: f64,
}

/// A line across the plot at one value of x.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// Id after the chart's.
    pub id: String,
    /// What it is.
    pub label: String,
    /// Where.
    pub x: f64,
    /// Dashes.
    pub dash: Dash,
}

/// A line, a band, marks; any of them may be empty.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Series {
    /// Id after the chart's.
    pub id: String,
    /// What the key calls it; empty: not in the key (a part of the series before it).
    pub name: String,
    /// Which series ink.
    pub ink: u8,
    /// Dashes of the line.
    pub dash: Dash,
    /// Points of the line in order; a point that is not finite breaks it.
    pub line: Vec<(f64, f64)>,
    /// Band of uncertainty: x, low, high.
    pub band: Vec<(f64, f64, f64)>,
    /// Single points.
    pub marks: Vec<Mark>,
    /// Shape of the marks.
    pub marker: Marker,
}

/// A single point.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Mark {
    /// Where.
    pub x: f64,
    /// Where.
    pub y: f64,
    /// Half-width of the bar along x; 0 draws none.
    pub plus_minus_x: f64,
    /// Half-width of the bar along y; 0 draws none.
    pub plus_minus_y: f64,
    /// A reading that the fit gave almost no weight; drawn ringed.
    pub wild: bool,
}

/// Shape of a mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Marker {
    /// Filled disc.
    #[default]
    Disc,
    /// Open square.
    Square,
    /// Filled triangle.
    Triangle,
    /// Open diamond.
    Diamond,
}

impl Marker {
    /// The marker that belongs to a series ink.
    pub const fn of(series: u8) -> Self {
        match series % crate::scene::ink::SERIES {
            0 => Marker::Disc,
            1 => Marker::Square,
            2 => Marker::Triangle,
            _ => Marker::Diamond,
        }
    }
}

impl Axis {
    /// An axis.
    pub fn new(quantity: impl Into<String>, unit: impl Into<String>, from: f64, to: f64) -> Self {
        Self { quantity: quantity.into(), unit: unit.into(), from, to }
    }
    /// `Advance (° before TDC)`.
    pub fn label(&self) -> String {
        if self.unit.is_empty() { self.quantity.clone() } else { format!("{} ({})", self.quantity, self.unit) }
    }
}

impl Chart {
    /// The chart as a drawing.
    pub fn scene(&self, size: Size) -> Scene {
        draw::scene(self, size)
    }
    /// The chart as SVG.
    pub fn svg(&self, size: Size, home: crate::scene::svg::Home) -> String {
        crate::scene::svg::render(&self.scene(size), home)
    }
    /// Every point as comma-separated values (RFC 4180): series, x, y, ± of both, and whether it was set aside.
    pub fn csv(&self) -> String {
        csv::csv(self)
    }
    /// The chart in plain text, at most `columns` wide.
    pub fn terminal(&self, columns: usize, rows: usize, style: Style) -> String {
        terminal::render(self, columns, rows, style)
    }

    /// Ranges of both axes: what was asked for and all data that is finite.
    fn ranges(&self) -> ((f64, f64), (f64, f64)) {
        let mut x = Range::of(self.x.from, self.x.to);
        let mut y = Range::of(self.y.from, self.y.to);
        for s in &self.series {
            for &(px, py) in &s.line {
                x.take(px);
                y.take(py);
            }
            for &(px, low, high) in &s.band {
                x.take(px);
                y.take(low);
                y.take(high);
            }
            for m in &s.marks {
                x.take(m.x);
                y.take(m.y - m.plus_minus_y);
                y.take(m.y + m.plus_minus_y);
            }
        }
        for r in &self.rules {
            x.take(r.x);
        }
        for a in &self.areas {
            x.take(a.from);
            x.take(a.to);
        }
        (x.ends(), y.ends())
    }
}

struct Range(f64, f64);

impl Range {
    fn of(a: f64, b: f64) -> Self {
        let mut range = Self(f64::INFINITY, f64::NEG_INFINITY);
        range.take(a);
        range.take(b);
        range
    }
    fn take(&mut self, v: f64) {
        // Beyond this an axis has no use and its arithmetic would overflow.
        if v.is_finite() && v.abs() < 1e12 {
            self.0 = self.0.min(v);
            self.1 = self.1.max(v);
        }
    }
    fn ends(&self) -> (f64, f64) {
        let width = self.1 - self.0;
        if width > 0.0 {
            (self.0, self.1)
        } else if width == 0.0 {
            (self.0 - 0.5 * self.0.abs().max(1.0), self.1 + 0.5 * self.1.abs().max(1.0))
        } else {
            (0.0, 1.0)
        }
    }
}
