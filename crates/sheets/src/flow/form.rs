//! What is filled in: framed boxes, names and values, places to tick and to sign; and the owner's words.

use super::{BODY, Flow, SMALL};
use crate::font::Weight;
use crate::scene::{Canvas, Fill, Ink, Rect, Stroke, Text, at};

/// Width of the names before values [mm].
const NAME: f64 = 46.0;
/// Size of the owner's words [mm]: 12 pt.
const QUOTE: f64 = 4.2;
/// Lines of a value that a box holds.
const IN_BOX: usize = 2;

impl Flow {
    /// Framed boxes side by side, each with a name and a value; an empty value leaves room to write. A value too long
    /// for its box stands below, whole.
    pub fn boxes(&mut self, values: &[(&str, &str)]) {
        /// With a line in it, and more for each further line [mm].
        const HEIGHT: f64 = 11.6;
        const LINE: f64 = BODY * 1.3;
        let each = self.width / values.len().max(1) as f64;
        let mut height = HEIGHT;
        for (_, value) in values {
            let lines = self.lines(value, BODY, Weight::Bold, each - 4.0).len();
            if (2..=IN_BOX).contains(&lines) {
                height = HEIGHT + (IN_BOX - 1) as f64 * LINE;
            }
        }
        self.keep(height + 4.0);
        let top = self.y;
        let mut below = Vec::new();
        for (i, &(name, value)) in values.iter().enumerate() {
            let x = self.x + each * i as f64;
            let frame = Rect { x, y: top, width: each, height };
            self.page().path(frame.path(), None, Stroke::line(Ink::Ink, 0.25));
            self.page().text(Text::new(at(x + 2.0, top + 3.9), 2.6, name).ink(Ink::Soft));
            let mut lines = self.lines(value, BODY, Weight::Bold, each - 4.0);
            if lines.len() > IN_BOX {
                below.push((name, value));
                lines = vec!["↓".to_owned()];
            }
            for (n, line) in lines.into_iter().enumerate() {
                self.page().text(Text::new(at(x + 2.0, top + 9.0 + n as f64 * LINE), BODY, line).bold());
            }
        }
        self.y = top + height + 2.0;
        for (name, value) in below {
            self.fact(name, value);
        }
    }

    /// A name and its value beside it; nothing where there is no value.
    pub fn fact(&mut self, name: &str, value: &str) {
        if value.is_empty() {
            return;
        }
        let names = self.lines(name, SMALL, Weight::Regular, NAME - 3.0);
        if names.len() > IN_BOX {
            // A name that needs room of its own.
            self.text(name, SMALL, Weight::Regular, Ink::Soft, 0.0);
            self.text(value, BODY, Weight::Regular, Ink::Ink, NAME);
            return self.gap(0.7);
        }
        self.keep(names.len() as f64 * BODY * self.leading);
        let top = self.y;
        for (i, line) in names.iter().enumerate() {
            let place = at(self.x, top + BODY + i as f64 * BODY * self.leading);
            self.page().text(Text::new(place, SMALL, line.clone()).ink(Ink::Soft));
        }
        let pages = self.pages.len();
        self.text(value, BODY, Weight::Regular, Ink::Ink, NAME);
        if self.pages.len() == pages {
            self.y = self.y.max(top + names.len() as f64 * BODY * self.leading);
        }
        self.gap(0.7);
    }

    /// A name and a line to write on.
    pub fn fact_blank(&mut self, name: &str) {
        let left = self.x;
        let wide = self.width;
        self.keep(9.0);
        self.gap(3.2);
        let y = self.y + BODY;
        self.page().text(Text::new(at(left, y), SMALL, name).ink(Ink::Soft));
        self.page().line(at(left + NAME, y + 0.8), at(left + wide, y + 0.8), Stroke::line(Ink::Ink, 0.2));
        self.gap(BODY * self.leading + 0.6);
    }

    /// Somebody's own words, larger, with a bar beside them.
    pub fn quote(&mut self, content: &str) {
        let left = self.x;
        self.gap(0.8);
        for line in self.lines(content, QUOTE, Weight::Regular, self.width - 5.0) {
            let height = QUOTE * self.leading;
            self.keep(height);
            let top = self.y;
            let bar = Rect { x: self.x, y: top, width: 1.0, height };
            self.page().path(bar.path(), Fill::solid(Ink::Soft), None);
            self.page().text(Text::new(at(left + 5.0, top + QUOTE * 1.06), QUOTE, line));
            self.gap(height);
        }
        self.gap(2.0);
    }

    /// Empty lines to write on across the page.
    pub fn write_lines(&mut self, count: usize) {
        for _ in 0..count {
            self.keep(9.0);
            self.gap(8.0);
            self.rule(Ink::Soft, 0.15);
        }
        self.gap(2.0);
    }

    /// Short things to tick, side by side.
    pub fn ticks(&mut self, names: &[&str], across: usize) {
        let each = self.width / across.max(1) as f64;
        for row in names.chunks(across.max(1)) {
            self.keep(6.4);
            let top = self.y;
            for (i, name) in row.iter().enumerate() {
                let x = self.x + each * i as f64;
                self.page().path(Rect { x, y: top + 0.3, width: 3.4, height: 3.4 }.path(), None, Stroke::line(Ink::Ink, 0.25));
                self.page().text(Text::new(at(x + 5.2, top + BODY), BODY, *name));
            }
            self.gap(6.2);
        }
        self.gap(0.8);
    }
}
