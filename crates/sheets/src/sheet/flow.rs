//! Text and pictures that flow down A4 pages.

use crate::font::{self, Weight};
use crate::scene::{Anchor, Canvas, Dash, Fill, Ink, Rect, Scene, Stroke, Text, at};

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
const LEADING: f64 = 1.42;

/// Pages under construction.
pub struct Flow {
    title: String,
    pages: Vec<Scene>,
    y: f64,
}

impl Flow {
    pub fn new(title: &str) -> Self {
        let mut flow = Self { title: title.to_owned(), pages: Vec::new(), y: 0.0 };
        flow.next_page();
        flow
    }

    fn next_page(&mut self) {
        self.pages.push(Scene::new(PAGE.0, PAGE.1, &self.title, ""));
        self.y = TOP;
    }

    /// Begins a new page unless so much height is left.
    pub fn keep(&mut self, height: f64) {
        if self.y + height > PAGE.1 - BOTTOM {
            self.next_page();
        }
    }

    fn page(&mut self) -> &mut Scene {
        self.pages.last_mut().expect("a flow has at least one page")
    }

    pub fn gap(&mut self, height: f64) {
        self.y += height;
    }

    /// Lines of text from `x`, `width` wide; returns nothing, moves down.
    pub fn text(&mut self, content: &str, size: f64, weight: Weight, ink: Ink, indent: f64) {
        for line in font::wrap(content, size, weight, WIDTH - indent) {
            self.keep(size * LEADING);
            self.y += size;
            let (x, y) = (LEFT + indent, self.y);
            let mut t = Text::new(at(x, y), size, line).ink(ink);
            t.weight = weight;
            self.page().text(t);
            self.y += size * (LEADING - 1.0);
        }
    }

    pub fn body(&mut self, content: &str) {
        self.text(content, BODY, Weight::Regular, Ink::Ink, 0.0);
        self.gap(1.4);
    }

    /// A heading that stays with what follows.
    pub fn heading(&mut self, content: &str) {
        self.gap(3.2);
        self.keep(28.0);
        self.text(content, HEADING, Weight::Bold, Ink::Ink, 0.0);
        let y = self.y;
        self.page().line(at(LEFT, y), at(LEFT + WIDTH, y), Stroke::line(Ink::Ink, 0.25));
        self.gap(1.8);
    }

    /// A sentence with something in the margin before it: a bullet, a number, a box to tick.
    pub fn item(&mut self, sign: Sign, content: &str) {
        const INDENT: f64 = 7.5;
        let lines = font::wrap(content, BODY, Weight::Regular, WIDTH - INDENT - 2.6).len() as f64;
        self.keep(lines * BODY * LEADING);
        let y = self.y;
        match sign {
            Sign::Bullet => self.page().circle(at(LEFT + 2.0, y + BODY * 0.65), 0.6, Fill::solid(Ink::Ink), None),
            Sign::Step(n) => {
                self.page().path(
                    Rect { x: LEFT, y: y + 0.4, width: 3.0, height: 3.0 }.path(),
                    None,
                    Stroke::line(Ink::Ink, 0.25),
                );
                self.page().text(Text::new(at(LEFT + 8.6, y + BODY), BODY, n.to_string()).anchor(Anchor::End).bold());
            }
        }
        let indent = if matches!(sign, Sign::Step(_)) { INDENT + 2.6 } else { INDENT - 2.5 };
        self.text(content, BODY, Weight::Regular, Ink::Ink, indent);
        self.gap(0.9);
    }

    /// A framed caution: the danger in bold, then what protects.
    pub fn caution(&mut self, heading: &str, danger: &str, protects: &str) {
        const PAD: f64 = 2.0;
        let indent = 4.0;
        let bold = font::wrap(&format!("{heading}: {danger}"), BODY, Weight::Bold, WIDTH - indent - PAD);
        let plain = font::wrap(protects, BODY, Weight::Regular, WIDTH - indent - PAD);
        let height = (bold.len() + plain.len()) as f64 * BODY * LEADING + 2.0 * PAD - 0.6;
        self.keep(height + 12.0);
        let top = self.y;
        let frame = Rect { x: LEFT, y: top, width: WIDTH, height };
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

    /// Rows of cells; the first row is the head. Columns share the width by `shares`.
    pub fn table(&mut self, rows: &[Vec<String>], shares: &[f64]) {
        let whole: f64 = shares.iter().sum();
        for (r, row) in rows.iter().enumerate() {
            let weight = if r == 0 { Weight::Bold } else { Weight::Regular };
            let cells: Vec<Vec<String>> =
                row.iter().zip(shares).map(|(c, s)| font::wrap(c, BODY, weight, WIDTH * s / whole - 3.0)).collect();
            let height = cells.iter().map(Vec::len).max().unwrap_or(1) as f64 * BODY * LEADING + 1.2;
            self.keep(height);
            let top = self.y;
            let mut x = LEFT;
            for (lines, share) in cells.into_iter().zip(shares) {
                for (i, line) in lines.into_iter().enumerate() {
                    let mut t = Text::new(at(x, top + BODY + 0.5 + i as f64 * BODY * LEADING), BODY, line);
                    t.weight = weight;
                    self.page().text(t);
                }
                x += WIDTH * share / whole;
            }
            self.y = top + height;
            let y = self.y;
            let ink = if r == 0 { Ink::Ink } else { Ink::Grid };
            self.page().line(at(LEFT, y), at(LEFT + WIDTH, y), Stroke::line(ink, 0.2));
            self.gap(0.4);
        }
        self.gap(1.5);
    }

    /// A picture, centred.
    pub fn picture(&mut self, scene: Scene) {
        self.keep(scene.height + 2.0);
        let corner = at(LEFT + (WIDTH - scene.width) / 2.0, self.y);
        self.y += scene.height + 2.0;
        self.page().place(scene, corner);
    }

    /// Lines to write on, with a name under each, side by side.
    pub fn blanks(&mut self, names: &[&str]) {
        self.keep(17.0);
        self.gap(10.0);
        let (y, each) = (self.y, WIDTH / names.len() as f64);
        for (i, name) in names.iter().enumerate() {
            let x = LEFT + each * i as f64;
            self.page().line(at(x, y), at(x + each - 5.0, y), Stroke::line(Ink::Ink, 0.25));
            self.page().text(Text::new(at(x, y + 4.0), 3.0, *name).ink(Ink::Soft));
        }
        self.gap(6.0);
    }

    /// The pages.
    pub fn finish(self) -> Vec<Scene> {
        self.pages
    }
}

/// What stands before an item.
#[derive(Clone, Copy)]
pub enum Sign {
    Bullet,
    Step(usize),
}

/// Puts the foot on every page: name, page number, and the rule above them.
pub fn foot(pages: &mut [Scene], name: &str) {
    let of = pages.len();
    for (n, page) in pages.iter_mut().enumerate() {
        // Template pages lie on their side and keep their foot clear for the bar.
        if page.width > page.height {
            let (x, y) = (page.width - 10.0, page.height - 8.0);
            page.text(
                Text::new(at(x, y), 3.0, format!("{name} · {}", crate::words::sheet::page(n + 1, of)))
                    .anchor(Anchor::End)
                    .ink(Ink::Soft),
            );
            continue;
        }
        let y = page.height - 11.0;
        page.line(at(LEFT, y - 4.5), at(LEFT + WIDTH, y - 4.5), Stroke::broken(Ink::Soft, 0.18, Dash::Full));
        page.text(Text::new(at(LEFT, y), 3.0, name).ink(Ink::Soft));
        page.text(Text::new(at(LEFT + WIDTH, y), 3.0, crate::words::sheet::page(n + 1, of)).anchor(Anchor::End).ink(Ink::Soft));
    }
}
