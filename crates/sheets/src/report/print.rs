//! Lines that fit a terminal.

use super::WIDTHS;
use crate::chart::{Chart, Style};
use crate::words::Caution;
use workshop::study::warning::Warning;

/// Builds a text of limited width.
pub struct Printer {
    width: usize,
    style: Style,
    out: String,
}

impl Printer {
    pub fn new(width: usize, style: Style) -> Self {
        Self { width: width.clamp(WIDTHS.0, WIDTHS.1), style, out: String::new() }
    }

    pub fn finish(self) -> String {
        self.out
    }

    /// Text as this terminal shows it; before any counting of columns, since signs may grow.
    fn plain(&self, text: &str) -> String {
        if self.style.unicode {
            return text.to_owned();
        }
        // No-break spaces stay until the lines are broken.
        text.split('\u{a0}').map(crate::words::ascii).collect::<Vec<_>>().join("\u{a0}")
    }

    fn line(&mut self, text: &str, code: &str) {
        let text = text.trim_end();
        let text = &if self.style.unicode { text.to_owned() } else { text.replace('\u{a0}', " ") };
        if self.style.colour && !code.is_empty() && !text.is_empty() {
            self.out.push_str(&format!("\u{1b}[{code}m{text}\u{1b}[0m\n"));
        } else {
            self.out.push_str(text);
            self.out.push('\n');
        }
    }

    /// An empty line, unless there is one already.
    pub fn space(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    fn ruled(&mut self, text: &str, rule: char) {
        self.space();
        let text = self.plain(text);
        let mut widest = 0;
        for line in wrap(&text, self.width, "") {
            widest = widest.max(line.chars().count());
            self.line(&line, "1");
        }
        self.line(&rule.to_string().repeat(widest.min(self.width)), "");
    }

    pub fn title(&mut self, text: &str) {
        self.ruled(text, if self.style.unicode { '═' } else { '=' });
        self.space();
    }

    pub fn heading(&mut self, text: &str) {
        self.ruled(text, if self.style.unicode { '─' } else { '-' });
    }

    fn wrapped(&mut self, first: &str, hang: &str, text: &str, code: &str) {
        let text = self.plain(text);
        for line in wrap(&format!("{first}{text}"), self.width, hang) {
            self.line(&line, code);
        }
    }

    pub fn para(&mut self, text: &str) {
        self.wrapped("", "", text, "");
        self.space();
    }

    pub fn strong(&mut self, text: &str) {
        self.wrapped("", "", text, "1");
        self.space();
    }

    pub fn bullet(&mut self, text: &str) {
        let sign = if self.style.unicode { "  · " } else { "  - " };
        self.wrapped(sign, "    ", text, "");
    }

    pub fn cautions(&mut self, cautions: &[Caution]) {
        for c in cautions {
            self.bullet(&format!("{}: {} {}", crate::words::sheet::CAUTION, c.danger, c.protects));
        }
    }

    pub fn warnings(&mut self, warnings: &[Warning]) {
        if warnings.is_empty() {
            return;
        }
        self.space();
        for w in warnings {
            self.wrapped("  ! ", "    ", &crate::words::warning(w), "33");
        }
        self.space();
    }

    /// Columns set straight, figures to the right. Columns that do not fit are left out from the right, and said so.
    pub fn table(&mut self, head: &[&str], rows: &[Vec<String>]) {
        const GAP: usize = 2;
        let mut all: Vec<Vec<String>> = Vec::new();
        if !head.is_empty() {
            all.push(head.iter().map(|h| self.plain(h)).collect());
        }
        all.extend(rows.iter().map(|r| r.iter().map(|c| self.plain(c)).collect()));
        let columns = all.iter().map(Vec::len).max().unwrap_or(0);
        let widths: Vec<usize> =
            (0..columns).map(|c| all.iter().filter_map(|r| r.get(c)).map(|t| t.chars().count()).max().unwrap_or(0)).collect();
        let mut shown = columns;
        while shown > 1 && widths[..shown].iter().sum::<usize>() + GAP * shown > self.width {
            shown -= 1;
        }
        self.space();
        for (r, row) in all.iter().enumerate() {
            let mut text = String::new();
            for (c, cell) in row.iter().take(shown).enumerate() {
                let pad = " ".repeat(widths[c].saturating_sub(cell.chars().count()));
                text.push_str(&" ".repeat(GAP));
                // Names stand to the left, figures to the right.
                let name = c == 0 && head.is_empty();
                text.push_str(&if name { format!("{cell}{pad}") } else { format!("{pad}{cell}") });
            }
            self.line(&text, if r == 0 && !head.is_empty() { "1" } else { "" });
        }
        if shown < columns && !head.is_empty() {
            let left: Vec<&str> = head[shown..].to_vec();
            self.wrapped("  ", "  ", &crate::words::report::left_out(&left), "");
        }
        self.space();
    }

    pub fn chart(&mut self, chart: &Chart, rows: usize) {
        self.space();
        let title = self.plain(&chart.title);
        self.line(&title, "1");
        self.out.push_str(&chart.terminal(self.width, rows, self.style));
        self.space();
    }
}

/// Breaks text into lines of at most `width` columns, at spaces; later lines start with `hang`. A longer word stays whole.
pub fn wrap(text: &str, width: usize, hang: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line: String = text.chars().take_while(|c| *c == ' ').collect();
    let mut empty = true;
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let extra = word.chars().count() + usize::from(!empty);
        if !empty && line.chars().count() + extra > width {
            lines.push(std::mem::replace(&mut line, hang.to_owned()));
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    lines.push(line);
    lines
}
