//! A chart in plain text: braille dots where the terminal has them, plain letters otherwise.

use super::{Chart, Series, ticks};

/// What the terminal can do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// ANSI colours (ECMA-48 select graphic rendition).
    pub colour: bool,
    /// Box drawing, braille and signs outside ASCII.
    pub unicode: bool,
}

impl Style {
    /// For pipes and old terminals.
    pub const PLAIN: Self = Self { colour: false, unicode: false };
}

#[derive(Clone, Copy, Default)]
struct Cell {
    /// Braille dots set (Unicode 2800 block: bit pattern of the eight dots).
    dots: u8,
    /// A character that takes the cell.
    sign: Option<char>,
    /// Series that drew here last.
    series: Option<u8>,
}

/// Unicode braille: bit of the dot at column x (0–1), row y (0–3).
const DOT: [[u8; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
/// Signs of series: line, mark. In ASCII every series has a sign of its own.
const ASCII_LINE: [char; 4] = ['*', '+', 'o', '.'];
const MARKS: [char; 4] = ['●', '□', '▲', '◇'];
const ASCII_MARK: [char; 4] = ['O', '#', 'A', 'V'];
/// ANSI colours of the series: blue, yellow, green, magenta.
const ANSI: [u8; 4] = [34, 33, 32, 35];

struct Canvas {
    columns: usize,
    rows: usize,
    cells: Vec<Cell>,
}

impl Canvas {
    fn cell(&mut self, c: f64, r: f64) -> Option<&mut Cell> {
        let inside = c >= 0.0 && r >= 0.0 && c < self.columns as f64 && r < self.rows as f64;
        inside.then(|| &mut self.cells[r as usize * self.columns + c as usize])
    }
}

pub(super) fn render(chart: &Chart, columns: usize, rows: usize, style: Style) -> String {
    let (columns, rows) = (columns.clamp(24, 400), rows.clamp(5, 120));
    let (xr, yr) = chart.ranges();
    let yt = ticks(yr.0, yr.1, (rows / 3).clamp(2, 8)).padded(yr.0, yr.1);
    let label_width = yt.at.iter().map(|&v| yt.text(v).chars().count()).max().unwrap_or(1);
    let inner = columns.saturating_sub(label_width + 2).max(12);
    let xt = ticks(xr.0, xr.1, (inner / 11).clamp(2, 8)).within(xr.0, xr.1);
    let mut canvas = Canvas { columns: inner, rows, cells: vec![Cell::default(); inner * rows] };
    let cx = |v: f64| (v - xt.from) / (xt.to - xt.from) * (inner as f64 - 0.5);
    let cy = |v: f64| (yt.to - v) / (yt.to - yt.from) * (rows as f64 - 0.5);

    for a in &chart.areas {
        for c in cx(a.from.min(a.to)).max(0.0) as usize..=(cx(a.from.max(a.to)).max(0.0) as usize).min(inner - 1) {
            for r in 0..rows {
                if let Some(cell) = canvas.cell(c as f64, r as f64) {
                    cell.sign = Some(if style.unicode { '░' } else { ':' });
                }
            }
        }
    }
    for rule in &chart.rules {
        for r in 0..rows {
            if let Some(cell) = canvas.cell(cx(rule.x), r as f64) {
                cell.sign = Some(if style.unicode { '┊' } else { '|' });
            }
        }
    }
    for s in &chart.series {
        draw_line(&mut canvas, s, style, &cx, &cy);
    }
    for s in &chart.series {
        for m in s.marks.iter().filter(|m| m.x.is_finite() && m.y.is_finite()) {
            if let Some(cell) = canvas.cell(cx(m.x), cy(m.y)) {
                let signs = if style.unicode { MARKS } else { ASCII_MARK };
                cell.sign = Some(if m.wild { '?' } else { signs[usize::from(s.ink % 4)] });
                cell.series = Some(s.ink);
            }
        }
    }

    let mut out = String::new();
    let mut line = |text: String| {
        out.push_str(text.trim_end());
        out.push('\n');
    };
    line(plain(&chart.y.label(), style));
    let tick_rows: Vec<(usize, String)> = yt.at.iter().map(|&v| (cy(v) as usize, yt.text(v))).collect();
    for r in 0..rows {
        let label = tick_rows.iter().find(|(row, _)| *row == r).map(|(_, t)| plain(t, style)).unwrap_or_default();
        let edge = match (style.unicode, label.is_empty()) {
            (true, true) => '│',
            (true, false) => '┤',
            (false, true) => '|',
            (false, false) => '+',
        };
        let cells = &canvas.cells[r * inner..(r + 1) * inner];
        line(format!("{label:>label_width$} {edge}{}", row_text(cells, style)));
    }
    let (corner, rail, tee) = if style.unicode { ('└', '─', '┴') } else { ('+', '-', '+') };
    let mut axis: Vec<char> = vec![rail; inner];
    let mut labels: Vec<char> = vec![' '; columns];
    let mut free_from = 0;
    for &v in &xt.at {
        let c = (cx(v) as usize).min(inner - 1);
        axis[c] = tee;
        let text: Vec<char> = plain(&xt.text(v), style).chars().collect();
        let start = (label_width + 2 + c).saturating_sub(text.len() / 2).min(columns.saturating_sub(text.len()));
        if start >= free_from {
            for (i, ch) in text.iter().enumerate() {
                labels[start + i] = *ch;
            }
            free_from = start + text.len() + 1;
        }
    }
    line(format!("{:label_width$} {corner}{}", "", axis.iter().collect::<String>()));
    line(labels.iter().collect());
    line(format!("{:>columns$}", plain(&chart.x.label(), style)));
    for text in key(chart, style) {
        for wrapped in crate::report::wrap(&text, columns, "    ") {
            line(wrapped);
        }
    }
    out
}

fn draw_line(canvas: &mut Canvas, s: &Series, style: Style, cx: &dyn Fn(f64) -> f64, cy: &dyn Fn(f64) -> f64) {
    // The first kind of line is drawn in dots, every other with a sign of its own.
    let dotted = style.unicode && s.ink.is_multiple_of(4) && s.dash == crate::scene::Dash::Full;
    for pair in s.line.windows(2) {
        let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
        if !(x0.is_finite() && y0.is_finite() && x1.is_finite() && y1.is_finite()) {
            continue;
        }
        let (c0, r0, c1, r1) = (cx(x0), cy(y0), cx(x1), cy(y1));
        let steps = ((c1 - c0).abs() * 2.0).max((r1 - r0).abs() * 4.0).ceil().clamp(1.0, 4000.0);
        for i in 0..=steps as usize {
            let t = i as f64 / steps;
            let (c, r) = (c0 + t * (c1 - c0), r0 + t * (r1 - r0));
            let Some(cell) = canvas.cell(c, r) else { continue };
            cell.series = Some(s.ink);
            if dotted {
                cell.dots |= DOT[((c.fract() * 2.0) as usize).min(1)][((r.fract() * 4.0) as usize).min(3)];
            } else {
                cell.sign = Some(line_sign(s, style));
            }
        }
    }
}

fn line_sign(s: &Series, style: Style) -> char {
    match (style.unicode, s.ink % 4) {
        (true, 0) => '·',
        (true, 1) => '+',
        (true, 2) => '×',
        (true, _) => '-',
        (false, n) => ASCII_LINE[usize::from(n)],
    }
}

fn row_text(cells: &[Cell], style: Style) -> String {
    let mut out = String::new();
    for cell in cells {
        let sign = match cell {
            Cell { dots, sign: None | Some('░' | '┊'), .. } if *dots != 0 => {
                char::from_u32(0x2800 + u32::from(*dots)).unwrap_or(' ')
            }
            Cell { sign: Some(c), .. } => *c,
            _ => ' ',
        };
        match cell.series.filter(|_| style.colour && sign != ' ') {
            Some(n) => out.push_str(&format!("\u{1b}[{}m{sign}\u{1b}[0m", ANSI[usize::from(n % 4)])),
            None => out.push(sign),
        }
    }
    out
}

fn key(chart: &Chart, style: Style) -> Vec<String> {
    let mut lines = Vec::new();
    for s in chart.series.iter().filter(|s| !s.name.is_empty()) {
        let n = usize::from(s.ink % 4);
        let dotted = style.unicode && n == 0 && s.dash == crate::scene::Dash::Full;
        let sign = match (s.line.is_empty(), dotted) {
            (true, _) => {
                if style.unicode {
                    MARKS[n]
                } else {
                    ASCII_MARK[n]
                }
            }
            (false, true) => '⣀',
            (false, false) => line_sign(s, style),
        };
        lines.push(format!("  {sign} {}", plain(&s.name, style)));
    }
    if chart.series.iter().any(|s| s.marks.iter().any(|m| m.wild)) {
        lines.push(format!("  ? {}", crate::words::label::SET_ASIDE));
    }
    for a in &chart.areas {
        lines.push(format!("  {} {}", if style.unicode { '░' } else { ':' }, plain(&a.label, style)));
    }
    for r in chart.rules.iter().filter(|r| !r.label.is_empty()) {
        lines.push(format!("  {} {}", if style.unicode { '┊' } else { '|' }, plain(&r.label, style)));
    }
    lines
}

/// Text for a terminal that has ASCII only.
fn plain(text: &str, style: Style) -> String {
    if style.unicode { text.to_owned() } else { crate::words::ascii(text) }
}
