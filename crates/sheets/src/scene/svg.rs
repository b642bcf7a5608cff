//! A scene as SVG 1.1: themed for the page, or with its own colours for a file that stands alone.

use super::{Anchor, Fill, Group, Ink, Item, Path, Point, Rect, Scene, Segment, Stroke, Text, ink::Light};
use crate::font::{FAMILY, Weight};
use std::fmt::Write;

/// Where the SVG will live.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Home {
    /// Inside a page that sets `--ink-…` (see [`Ink::css_variables`]); scales to the width it is given.
    Page,
    /// A file of its own, with literal colours, a background, and its size in millimetres.
    File,
}

/// Renders a scene.
///
/// The same scene gives the same text, byte for byte. Text and attributes are escaped; control characters that XML
/// forbids are dropped.
///
/// ```
/// use sheets::scene::{Canvas, Scene, Text, at, svg};
/// let mut scene = Scene::new(40.0, 10.0, "Gap < 0.5", "A note.");
/// scene.text(Text::new(at(1.0, 6.0), 4.0, "0.4 mm & less"));
/// let text = svg::render(&scene, svg::Home::File);
/// assert!(text.contains("<title>Gap &lt; 0.5</title>") && text.contains("0.4 mm &amp; less"));
/// ```
pub fn render(scene: &Scene, home: Home) -> String {
    let mut out = String::new();
    let (w, h) = (number(scene.width), number(scene.height));
    // The page has its own style sheet and allows no other styles, not even inline ones.
    let size = match home {
        Home::Page => String::new(),
        Home::File => format!(" width=\"{w}mm\" height=\"{h}mm\" style=\"font-variant-numeric:tabular-nums\""),
    };
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\"{size} role=\"img\" font-family=\"{FAMILY}, system-ui, sans-serif\">\n<title>{}</title>\n<desc>{}</desc>\n",
        escape(&scene.title),
        escape(&scene.description)
    );
    let mut writer = Writer { out, home };
    if home == Home::File {
        let page = Rect { x: 0.0, y: 0.0, width: scene.width, height: scene.height };
        writer.path(&page.path(), Fill::solid(Ink::Paper), None);
    }
    writer.items(&scene.items);
    writer.out.push_str("</svg>\n");
    writer.out
}

/// A length to a thousandth of a millimetre, without idle zeros.
pub(crate) fn number(value: f64) -> String {
    let mut text = format!("{value:.3}");
    while text.contains('.') && (text.ends_with('0') || text.ends_with('.')) {
        text.pop();
    }
    if text == "-0" { "0".to_owned() } else { text }
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // XML 1.0, 2.2: of the control characters only tab and line ends are allowed.
            c if c.is_control() && !matches!(c, '\t' | '\n') => {}
            c => out.push(c),
        }
    }
    out
}

struct Writer {
    out: String,
    home: Home,
}

impl Writer {
    fn items(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Path { path, fill, stroke } => self.path(path, *fill, *stroke),
                Item::Circle { centre, radius, fill, stroke } => {
                    let style = self.style(*fill, *stroke);
                    let _ = writeln!(
                        self.out,
                        "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{style}/>",
                        number(centre.x),
                        number(centre.y),
                        number(*radius)
                    );
                }
                Item::Text(text) => self.text(text),
                Item::Group(group) => self.group(group),
            }
        }
    }

    fn colour(&self, ink: Ink) -> String {
        let literal = ink.colour(Light::Day).hex();
        match self.home {
            Home::Page => format!("var(--ink-{},{literal})", ink.name()),
            Home::File => literal,
        }
    }

    /// Presentation attributes, which need no leave to set styles.
    fn style(&self, fill: Option<Fill>, stroke: Option<Stroke>) -> String {
        let mut style = match fill {
            Some(f) if f.opacity < 1.0 => format!(" fill=\"{}\" fill-opacity=\"{}\"", self.colour(f.ink), number(f.opacity)),
            Some(f) => format!(" fill=\"{}\"", self.colour(f.ink)),
            None => " fill=\"none\"".to_owned(),
        };
        if let Some(s) = stroke {
            let _ = write!(
                style,
                " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
                self.colour(s.ink),
                number(s.width)
            );
            let dash = s.dash.lengths();
            if dash.is_empty() {
                style.push_str(" stroke-linecap=\"round\"");
            } else {
                let lengths: Vec<String> = dash.iter().map(|&l| number(l)).collect();
                let _ = write!(style, " stroke-dasharray=\"{}\"", lengths.join(" "));
            }
        }
        style
    }

    fn path(&mut self, path: &Path, fill: Option<Fill>, stroke: Option<Stroke>) {
        let mut d = String::new();
        let pair = |p: Point| format!("{} {}", number(p.x), number(p.y));
        for s in &path.segments {
            match *s {
                Segment::Move(p) => d += &format!("M{}", pair(p)),
                Segment::Line(p) => d += &format!("L{}", pair(p)),
                Segment::Cubic(a, b, p) => d += &format!("C{} {} {}", pair(a), pair(b), pair(p)),
                Segment::Close => d.push('Z'),
            }
        }
        let style = self.style(fill, stroke);
        let _ = writeln!(self.out, "<path d=\"{d}\"{style}/>");
    }

    fn text(&mut self, t: &Text) {
        let anchor = match t.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let weight = if t.weight == Weight::Bold { " font-weight=\"700\"" } else { "" };
        let turn = if t.turn_deg == 0.0 {
            String::new()
        } else {
            format!(" transform=\"rotate({} {} {})\"", number(t.turn_deg), number(t.at.x), number(t.at.y))
        };
        let mut style = format!("fill=\"{}\"", self.colour(t.ink));
        if t.halo {
            let _ = write!(
                style,
                " paint-order=\"stroke\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
                self.colour(Ink::Paper),
                number(t.size * HALO)
            );
        }
        let _ = writeln!(
            self.out,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{weight}{turn} {style}>{}</text>",
            number(t.at.x),
            number(t.at.y),
            number(t.size),
            escape(&t.content)
        );
    }

    fn group(&mut self, g: &Group) {
        self.out.push_str("<g");
        if !g.class.is_empty() {
            let _ = write!(self.out, " class=\"{}\"", escape(&g.class));
        }
        for (name, value) in &g.attributes {
            let _ = write!(self.out, " {}=\"{}\"", escape(name), escape(value));
        }
        let mut transform = String::new();
        if g.shift != Point::default() {
            transform += &format!("translate({} {})", number(g.shift.x), number(g.shift.y));
        }
        if g.turn_deg != 0.0 {
            transform += &format!("rotate({})", number(g.turn_deg));
        }
        if !transform.is_empty() {
            let _ = write!(self.out, " transform=\"{transform}\"");
        }
        self.out.push_str(">\n");
        if let Some(c) = g.clip {
            // A nested viewport clips without an id, so several drawings can share one page.
            let (x, y, w, h) = (number(c.x), number(c.y), number(c.width), number(c.height));
            let _ = writeln!(
                self.out,
                "<svg x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\" overflow=\"hidden\">"
            );
        }
        self.items(&g.items);
        if g.clip.is_some() {
            self.out.push_str("</svg>\n");
        }
        self.out.push_str("</g>\n");
    }
}

/// Width of the rim of paper round a text with a halo, as a share of its size.
pub(super) const HALO: f64 = 0.28;
