//! Tables that run over pages: the head stands again on each, and a row longer than a page is broken between lines.

use super::{BODY, BOTTOM, Flow, PAGE, SMALL};
use crate::font::Weight;
use crate::scene::{Anchor, Canvas, Ink, Stroke, Text, at};
use std::collections::VecDeque;

/// Clear width between columns [mm].
const BETWEEN: f64 = 3.0;
/// Clear height above and below the text of a row [mm].
const PAD: f64 = 0.6;
/// Height of a line to write on, with its caption [mm]: ruled writing paper has 8 mm (common practice, no source).
const WRITE: f64 = 9.5;
/// Size of the caption under such a line [mm].
const CAPTION: f64 = 2.3;
/// A row up to this height is kept on one page [mm].
const TOGETHER: f64 = 60.0;

/// A column: its head, its share of the width, and whether figures stand to the right.
#[derive(Clone, Copy)]
pub struct Column<'a> {
    pub head: &'a str,
    pub share: f64,
    pub right: bool,
}

impl<'a> Column<'a> {
    pub const fn new(head: &'a str, share: f64) -> Self {
        Self { head, share, right: false }
    }
    pub const fn right(head: &'a str, share: f64) -> Self {
        Self { head, share, right: true }
    }
}

/// A paragraph in a cell.
pub struct Para {
    content: String,
    size: f64,
    weight: Weight,
    ink: Ink,
}

impl Para {
    pub fn body(content: impl Into<String>) -> Self {
        Self { content: content.into(), size: BODY, weight: Weight::Regular, ink: Ink::Ink }
    }
    pub fn strong(content: impl Into<String>) -> Self {
        Self { weight: Weight::Bold, ..Self::body(content) }
    }
    pub fn small(content: impl Into<String>) -> Self {
        Self { size: SMALL, ink: Ink::Soft, ..Self::body(content) }
    }
}

/// What stands in one column of a row.
pub enum Cell {
    Text(Vec<Para>),
    /// Lines to write on, with what to write under each.
    Blank(&'static [&'static str]),
}

impl Cell {
    pub fn body(content: impl Into<String>) -> Self {
        Cell::Text(vec![Para::body(content)])
    }
    pub fn strong(content: impl Into<String>) -> Self {
        Cell::Text(vec![Para::strong(content)])
    }
}

struct Line {
    content: String,
    size: f64,
    weight: Weight,
    ink: Ink,
    leading: f64,
}

impl Line {
    fn height(&self) -> f64 {
        self.size * self.leading
    }
}

/// A row broken into lines, column by column, and what is to be written in by hand.
struct Row {
    texts: Vec<VecDeque<Line>>,
    blanks: Vec<&'static [&'static str]>,
}

impl Row {
    fn height(&self) -> f64 {
        let texts = self.texts.iter().map(|t| t.iter().map(Line::height).sum());
        let blanks = self.blanks.iter().map(|b| b.len() as f64 * WRITE + 1.0);
        texts.chain(blanks).fold(0.0, f64::max) + 2.0 * PAD
    }
}

impl Flow {
    /// Rows under a head.
    pub fn grid(&mut self, columns: &[Column], rows: Vec<Vec<Cell>>) {
        if rows.is_empty() {
            return;
        }
        let heads = columns.iter().map(|c| if c.head.is_empty() { Cell::Text(vec![]) } else { Cell::strong(c.head) }).collect();
        let head = self.row(columns, heads);
        let mut rows = rows.into_iter().map(|cells| self.row(columns, cells)).collect::<VecDeque<_>>();
        let first = rows.front().map_or(0.0, Row::height);
        self.keep(head.height() + first.min(TOGETHER));
        self.head(columns, &head);
        while let Some(mut row) = rows.pop_front() {
            let height = row.height();
            if height > self.left() && (height <= TOGETHER || self.left() < TOGETHER / 2.0) {
                self.next_page();
                self.head(columns, &head);
            }
            while !self.part(columns, &mut row) {
                self.next_page();
                self.head(columns, &head);
            }
        }
        self.gap(1.5);
    }

    /// Rows of plain cells under their heads. Columns share the width by `shares`.
    pub fn rows(&mut self, heads: &[&str], rows: impl Iterator<Item = Vec<String>>, shares: &[f64]) {
        let head = heads.iter().map(|h| (*h).to_owned()).collect();
        self.table(&std::iter::once(head).chain(rows).collect::<Vec<_>>(), shares);
    }

    /// Rows of plain cells; the first row is the head. Columns share the width by `shares`.
    pub fn table(&mut self, rows: &[Vec<String>], shares: &[f64]) {
        let Some((head, rows)) = rows.split_first() else { return };
        let columns: Vec<Column> = head.iter().zip(shares).map(|(h, s)| Column::new(h, *s)).collect();
        self.grid(&columns, rows.iter().map(|r| r.iter().map(Cell::body).collect()).collect());
    }

    fn row(&mut self, columns: &[Column], cells: Vec<Cell>) -> Row {
        let (mut texts, mut blanks) = (Vec::new(), Vec::new());
        for (cell, (_, width)) in cells.into_iter().zip(self.places(columns)) {
            let mut lines = VecDeque::new();
            let mut blank: &[&str] = &[];
            match cell {
                Cell::Blank(names) => blank = names,
                Cell::Text(paras) => {
                    for p in paras {
                        for content in self.lines(&p.content, p.size, p.weight, width - BETWEEN) {
                            lines.push_back(Line { content, size: p.size, weight: p.weight, ink: p.ink, leading: self.leading });
                        }
                    }
                }
            }
            texts.push(lines);
            blanks.push(blank);
        }
        Row { texts, blanks }
    }

    fn head(&mut self, columns: &[Column], head: &Row) {
        let top = self.y;
        for (lines, (column, (x, width))) in head.texts.iter().zip(columns.iter().zip(self.places(columns))) {
            let mut y = top + PAD;
            for line in lines {
                self.cell(line, column, (x, width), y);
                y += line.height();
            }
        }
        self.y = top + head.height();
        self.rule(Ink::Ink, 0.3);
    }

    /// Draws as much of a row as the page has room for; whether that was all of it.
    fn part(&mut self, columns: &[Column], row: &mut Row) -> bool {
        let top = self.y + PAD;
        let limit = PAGE.1 - BOTTOM - PAD;
        let mut lowest = top;
        for (lines, (column, place)) in row.texts.iter_mut().zip(columns.iter().zip(self.places(columns))) {
            let mut y = top;
            while let Some(line) = lines.front() {
                if y + line.height() > limit {
                    break;
                }
                self.cell(line, column, place, y);
                y += line.height();
                lines.pop_front();
            }
            lowest = lowest.max(y);
        }
        for (names, (x, width)) in row.blanks.iter_mut().zip(self.places(columns)) {
            for (i, name) in names.iter().enumerate() {
                let y = top + (i + 1) as f64 * WRITE - 3.0;
                self.page().line(at(x, y), at(x + width - BETWEEN, y), Stroke::line(Ink::Ink, 0.2));
                self.page().text(Text::new(at(x, y + CAPTION), CAPTION, *name).ink(Ink::Soft));
                lowest = lowest.max(y + 4.0);
            }
            *names = &[];
        }
        self.y = lowest + PAD;
        self.rule(Ink::Grid, 0.25);
        row.texts.iter().all(VecDeque::is_empty)
    }

    fn cell(&mut self, line: &Line, column: &Column, (x, width): (f64, f64), top: f64) {
        let mut text = Text::new(at(x, top + line.size), line.size, line.content.clone()).ink(line.ink);
        text.weight = line.weight;
        if column.right {
            text.at.x = x + width - BETWEEN;
            text = text.anchor(Anchor::End);
        }
        self.page().text(text);
    }

    pub(super) fn rule(&mut self, ink: Ink, width: f64) {
        let (from, to) = (at(self.x, self.y), at(self.x + self.width, self.y));
        self.page().line(from, to, Stroke::line(ink, width));
        self.gap(0.4);
    }

    /// Left edge and width of each column.
    fn places(&self, columns: &[Column]) -> Vec<(f64, f64)> {
        let whole: f64 = columns.iter().map(|c| c.share).sum();
        let mut x = self.x;
        let place = |c: &Column| {
            let width = (self.width + BETWEEN) * c.share / whole;
            x += width;
            (x - width, width)
        };
        columns.iter().map(place).collect()
    }
}
