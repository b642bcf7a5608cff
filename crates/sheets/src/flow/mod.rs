//! Text and pictures that flow down A4 pages.

use crate::font::{self, Weight};
use crate::scene::{Anchor, Canvas, Dash, Fill, Ink, Item, Rect, Scene, Stroke, Text, at};
use std::collections::BTreeSet;

mod form;
mod grid;

pub use grid::{Cell, Column, Para};

/// A4 upright [mm] (ISO 216).
pub const PAGE: (f64, f64) = (210.0, 297.0);
/// Margins [mm]: left wide enough for a file punch (ISO 838: holes 12 mm from the edge).
pub const LEFT: f64 = 20.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 16.0;
const BOTTOM: f64 = 20.0;
/// Width of the text [mm].
pub const WIDTH: f64 = PAGE.0 - LEFT - RIGHT;
/// Text sizes [mm]: 10 pt and 13 pt.
pub const BODY: f64 = 3.5;
const HEADING: f64 = 4.7;
/// Size of what stands back [mm]: 8.5 pt.
pub const SMALL: f64 = 3.0;
const LEADING: f64 = 1.42;

/// Pages under construction.
pub struct Flow {
    title: String,
    pages: Vec<Scene>,
    y: f64,
    /// Left edge and width of the column that is written in [mm].
    x: f64,
    width: f64,
    /// Height of a line over the size of its type.
    leading: f64,
    /// Page and lower end of the heading that stands beside the column.
    aside: (usize, f64),
    /// Characters that were asked for and have no glyph.
    missing: BTreeSet<char>,
}

impl Flow {
    pub fn new(title: &str) -> Self {
        let mut flow = Self {
            title: title.to_owned(),
            pages: Vec::new(),
            y: 0.0,
            x: LEFT,
            width: WIDTH,
            leading: LEADING,
            aside: (0, 0.0),
            missing: BTreeSet::new(),
        };
        flow.next_page();
        flow
    }

    fn next_page(&mut self) {
        self.pages.push(Scene::new(PAGE.0, PAGE.1, &self.title, ""));
        self.y = TOP;
    }

    /// Begins a new page unless so much height is left, or nothing stands on this page yet.
    pub fn keep(&mut self, height: f64) {
        if height > self.left() && self.y > TOP {
            self.next_page();
        }
    }

    /// Height that is left on the page [mm].
    fn left(&self) -> f64 {
        PAGE.1 - BOTTOM - self.y
    }

    /// Text as it can be printed, in lines.
    fn lines(&mut self, content: &str, size: f64, weight: Weight, most: f64) -> Vec<String> {
        font::wrap(&font::printable(content, &mut self.missing), size, weight, most)
    }

    fn page(&mut self) -> &mut Scene {
        self.pages.last_mut().expect("a flow has at least one page")
    }

    pub fn gap(&mut self, height: f64) {
        self.y += height;
    }

    /// Lines of text from `x`, `width` wide; returns nothing, moves down.
    pub fn text(&mut self, content: &str, size: f64, weight: Weight, ink: Ink, indent: f64) {
        for line in self.lines(content, size, weight, self.width - indent) {
            self.keep(size * self.leading);
            self.y += size;
            let (x, y) = (self.x + indent, self.y);
            let mut t = Text::new(at(x, y), size, line).ink(ink);
            t.weight = weight;
            self.page().text(t);
            self.y += size * (self.leading - 1.0);
        }
    }

    pub fn body(&mut self, content: &str) {
        self.text(content, BODY, Weight::Regular, Ink::Ink, 0.0);
        self.gap(1.4 * self.air());
    }

    /// What is to be seen first.
    pub fn strong(&mut self, content: &str) {
        self.text(content, BODY, Weight::Bold, Ink::Ink, 0.0);
        self.gap(1.4);
    }

    /// What holds for all above it.
    pub fn soft(&mut self, content: &str) {
        self.text(content, SMALL, Weight::Regular, Ink::Soft, 0.0);
    }

    /// A heading that stays with what follows.
    pub fn heading(&mut self, content: &str) {
        let left = self.x;
        let wide = self.width;
        self.gap(3.2);
        self.keep(44.0);
        self.text(content, HEADING, Weight::Bold, Ink::Ink, 0.0);
        let y = self.y;
        self.page().line(at(left, y), at(left + wide, y), Stroke::line(Ink::Ink, 0.25));
        self.gap(1.8);
    }

    /// A heading beside what follows, which is set in a narrower column until the next heading; a rule above both.
    pub fn side_heading(&mut self, content: &str) {
        const BESIDE: f64 = 40.0;
        const SIZE: f64 = 4.0;
        self.full_width();
        self.keep(22.0);
        self.gap(1.0);
        self.rule(Ink::Ink, 0.25);
        self.gap(1.4 * self.air());
        let mut y = self.y;
        for line in self.lines(content, SIZE, Weight::Bold, BESIDE - 4.0) {
            self.page().text(Text::new(at(LEFT, y + SIZE * 0.92), SIZE, line).bold());
            y += SIZE * 1.25;
        }
        self.aside = (self.pages.len(), y + 1.0);
        (self.x, self.width) = (LEFT + BESIDE, WIDTH - BESIDE);
    }

    /// Back to the whole width, below the heading beside the column.
    pub fn full_width(&mut self) {
        if self.aside.0 == self.pages.len() {
            self.y = self.y.max(self.aside.1);
        }
        (self.x, self.width) = (LEFT, WIDTH);
    }

    /// Sets lines closer and leaves less air between things.
    pub fn dense(mut self) -> Self {
        self.leading = 1.26;
        self
    }

    /// 1, or less where things are set closer.
    fn air(&self) -> f64 {
        if self.leading < LEADING { 0.4 } else { 1.0 }
    }

    /// How many pages there are by now.
    pub fn count(&self) -> usize {
        self.pages.len()
    }

    /// A sentence with something in the margin before it: a bullet, a number, a box to tick.
    pub fn item(&mut self, sign: Sign, content: &str) {
        let left = self.x;
        const INDENT: f64 = 7.5;
        /// Up to so much an item is kept together [mm].
        const TOGETHER: f64 = 40.0;
        let lines = self.lines(content, BODY, Weight::Regular, self.width - INDENT - 2.6).len() as f64;
        self.keep((lines * BODY * self.leading).min(TOGETHER));
        let y = self.y;
        if let Sign::Step(_) = sign {
            self.page().path(Rect { x: left, y: y + 0.4, width: 3.0, height: 3.0 }.path(), None, Stroke::line(Ink::Ink, 0.25));
        }
        match sign {
            Sign::Bullet => self.page().circle(at(left + 2.0, y + BODY * 0.65), 0.6, Fill::solid(Ink::Ink), None),
            Sign::Step(n) => {
                self.page().text(Text::new(at(left + 8.6, y + BODY), BODY, n.to_string()).anchor(Anchor::End).bold());
            }
        }
        let indent = if matches!(sign, Sign::Step(_)) { INDENT + 2.6 } else { INDENT - 2.5 };
        self.text(content, BODY, Weight::Regular, Ink::Ink, indent);
        self.gap(0.9 * self.air());
    }

    /// A framed caution: the danger in bold, then what protects.
    pub fn caution(&mut self, heading: &str, danger: &str, protects: &str) {
        const PAD: f64 = 2.0;
        let indent = 4.0;
        let bold = self.lines(&format!("{heading}: {danger}"), BODY, Weight::Bold, self.width - indent - PAD);
        let plain = self.lines(protects, BODY, Weight::Regular, self.width - indent - PAD);
        let height = (bold.len() + plain.len()) as f64 * BODY * self.leading + 2.0 * PAD - 0.6;
        self.keep(height + 12.0);
        let top = self.y;
        let frame = Rect { x: self.x, y: top, width: self.width, height };
        self.page().path(frame.path(), None, Stroke::line(Ink::Ink, 0.25));
        self.page().path(Rect { width: 1.6, ..frame }.path(), Fill::solid(Ink::Caution), None);
        self.y += PAD - 0.4;
        let narrow = |flow: &mut Self, lines: Vec<String>, weight| {
            for line in lines {
                flow.text(&line, BODY, weight, Ink::Ink, indent);
            }
        };
        narrow(self, bold, Weight::Bold);
        narrow(self, plain, Weight::Regular);
        self.y = top + height + 1.8;
    }

    /// Cautions with a bar beside each, without a frame: the danger in bold, then what protects.
    pub fn warnings(&mut self, cautions: &[crate::words::Caution]) {
        const INDENT: f64 = 4.0;
        self.gap(0.6);
        for c in cautions {
            let bold = self.lines(c.danger, BODY, Weight::Bold, self.width - INDENT);
            let plain = self.lines(c.protects, BODY, Weight::Regular, self.width - INDENT);
            let height = (bold.len() + plain.len()) as f64 * BODY * self.leading;
            self.keep(height);
            let bar = Rect { x: self.x, y: self.y, width: 1.6, height };
            self.page().path(bar.path(), Fill::solid(Ink::Caution), None);
            self.text(c.danger, BODY, Weight::Bold, Ink::Ink, INDENT);
            self.text(c.protects, BODY, Weight::Regular, Ink::Ink, INDENT);
            self.gap(0.6 + 1.2 * self.air());
        }
    }

    /// A picture, centred; `false` if it is larger than a page has room for, and then nothing is drawn.
    pub fn picture(&mut self, mut scene: Scene) -> bool {
        if !(scene.width <= self.width && scene.height + 2.0 <= PAGE.1 - BOTTOM - TOP) {
            return false;
        }
        printable(&mut scene.items, &mut self.missing);
        self.keep(scene.height + 2.0);
        let corner = at(self.x + (self.width - scene.width) / 2.0, self.y);
        self.y += scene.height + 2.0;
        self.page().place(scene, corner);
        true
    }

    /// Lines to write on, with a name under each, side by side.
    pub fn blanks(&mut self, names: &[&str]) {
        const BETWEEN: f64 = 5.0;
        self.keep(17.0);
        self.gap(10.0);
        let (y, each) = (self.y, (self.width + BETWEEN) / names.len().max(1) as f64);
        for (i, name) in names.iter().enumerate() {
            let x = self.x + each * i as f64;
            self.page().line(at(x, y), at(x + each - BETWEEN, y), Stroke::line(Ink::Ink, 0.25));
            self.page().text(Text::new(at(x, y + 4.0), 3.0, *name).ink(Ink::Soft));
        }
        self.gap(6.0);
    }

    /// The pages, and `more` behind them, each with its foot: name, page number, the rule above them, and on pages with
    /// a stand-in what it stands for.
    pub fn finish(mut self, name: &str, more: Vec<Scene>) -> Vec<Scene> {
        let name = font::printable(name, &mut self.missing).replace('\n', " ");
        let mut pages = self.pages;
        pages.extend(more);
        foot(&mut pages, &name);
        for page in
            pages.iter_mut().filter(|p| !self.missing.is_empty() && p.texts().iter().any(|t| t.content.contains(font::STAND_IN)))
        {
            let note = font::fit(&crate::words::sheet::stand_in(&self.missing), NOTE, Weight::Regular, page.width - LEFT - RIGHT);
            page.text(Text::new(at(LEFT, page.height - 6.6), NOTE, note).ink(Ink::Soft));
        }
        pages
    }
}

/// Size of the note under the foot [mm]: 7 pt.
const NOTE: f64 = 2.5;

/// Replaces what cannot be printed in every text of a drawing.
fn printable(items: &mut [Item], missing: &mut BTreeSet<char>) {
    for item in items {
        match item {
            Item::Text(text) => text.content = font::printable(&text.content, missing).replace('\n', " "),
            Item::Group(group) => printable(&mut group.items, missing),
            Item::Path { .. } | Item::Circle { .. } => {}
        }
    }
}

/// What stands before an item.
#[derive(Clone, Copy)]
pub enum Sign {
    Bullet,
    Step(usize),
}

fn foot(pages: &mut [Scene], name: &str) {
    let of = pages.len();
    for (n, page) in pages.iter_mut().enumerate() {
        let number = crate::words::sheet::page(n + 1, of);
        // Pages at true size keep their foot clear for the bar.
        if page.items.iter().any(|i| matches!(i, Item::Group(g) if g.class == "bar")) {
            let name = font::fit(name, SMALL, Weight::Regular, WIDTH / 2.0);
            let place = at(page.width - 10.0, page.height - 8.0);
            page.text(Text::new(place, SMALL, format!("{name} · {number}")).anchor(Anchor::End).ink(Ink::Soft));
            continue;
        }
        let y = page.height - 11.0;
        page.line(at(LEFT, y - 4.5), at(LEFT + WIDTH, y - 4.5), Stroke::broken(Ink::Soft, 0.18, Dash::Full));
        let number = Text::new(at(LEFT + WIDTH, y), SMALL, number).anchor(Anchor::End).ink(Ink::Soft);
        let room = WIDTH - number.width() - 5.0;
        page.text(Text::new(at(LEFT, y), SMALL, font::fit(name, SMALL, Weight::Regular, room)).ink(Ink::Soft));
        page.text(number);
    }
}
