//! Scenes as pages of a PDF, true to scale: one millimetre of the scene is 72/25.4 points.
//!
//! Fonts are embedded, only the glyphs used. The same scenes give the same bytes: no clock, no random identifier.

use super::{Anchor, Fill, Group, Item, Path, Scene, Segment, Stroke, Text, ink::Light, svg::HALO};
use crate::font::{self, Weight};
use krilla::{
    Data, Document, SerializeSettings,
    color::rgb,
    geom::{self, PathBuilder, Transform},
    metadata::Metadata,
    num::NormalizedF32,
    page::PageSettings,
    paint::{self, FillRule, LineCap, LineJoin, StrokeDash},
    surface::Surface,
    text::{Font, GlyphId, KrillaGlyph},
};

/// Points per millimetre (ISO 32000-1:2008, 8.3.2.3: a point is 1/72 inch; an inch is 25.4 mm).
pub const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Why no PDF could be written.
#[derive(Clone, Debug, PartialEq)]
pub enum PdfError {
    /// There is no page, or a page has no size.
    NoPage,
    /// The writer refused; its own account of it.
    Writer(String),
}

/// Writes scenes as the pages of one document.
///
/// # Errors
/// [`PdfError::NoPage`] where a scene's size is not positive and finite or there is none.
pub fn document(pages: &[Scene], title: &str) -> Result<Vec<u8>, PdfError> {
    let mut document = Document::new_with(SerializeSettings::default());
    document.set_metadata(Metadata::new().title(title.to_owned()).language("en".to_owned()).creator("Tickover".to_owned()));
    let fonts =
        [font::REGULAR, font::BOLD].map(|bytes| Font::new(Data::from(bytes.to_vec()), 0).expect("the embedded fonts are valid"));
    if pages.is_empty() {
        return Err(PdfError::NoPage);
    }
    for scene in pages {
        let (w, h) = ((scene.width * POINTS_PER_MM) as f32, (scene.height * POINTS_PER_MM) as f32);
        let settings = PageSettings::from_wh(w, h).ok_or(PdfError::NoPage)?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        surface.push_transform(&Transform::from_scale(POINTS_PER_MM as f32, POINTS_PER_MM as f32));
        Writer { surface: &mut surface, fonts: &fonts }.items(&scene.items);
        surface.pop();
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|e| PdfError::Writer(format!("{e:?}")))
}

struct Writer<'a, 'b> {
    surface: &'a mut Surface<'b>,
    fonts: &'a [Font; 2],
}

impl Writer<'_, '_> {
    fn items(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Path { path, fill, stroke } => self.path(path, *fill, *stroke),
                Item::Circle { centre, radius, fill, stroke } => {
                    let mut path = Path::arc(*centre, *radius, 0.0, std::f64::consts::TAU);
                    path.segments.push(Segment::Close);
                    self.path(&path, *fill, *stroke);
                }
                Item::Text(text) => self.text(text),
                Item::Group(group) => self.group(group),
            }
        }
    }

    fn path(&mut self, path: &Path, fill: Option<Fill>, stroke: Option<Stroke>) {
        let (fill, stroke) = (fill.map(paint_fill), stroke.map(paint_stroke));
        if fill.is_none() && stroke.is_none() {
            return;
        }
        if let Some(path) = outline(path) {
            self.surface.set_fill(fill);
            self.surface.set_stroke(stroke);
            self.surface.draw_path(&path);
        }
    }

    fn text(&mut self, t: &Text) {
        let glyphs = font::shape(&t.content, t.weight);
        let width = t.width();
        let x = match t.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -width / 2.0,
            Anchor::End => -width,
        };
        let ends = glyphs.iter().skip(1).map(|g| g.cluster).chain([t.content.len()]);
        let placed: Vec<KrillaGlyph> = glyphs
            .iter()
            .zip(ends)
            .map(|(g, end)| KrillaGlyph {
                glyph_id: GlyphId::new(g.id),
                text_range: g.cluster..end.max(g.cluster),
                x_advance: g.advance,
                x_offset: g.dx,
                y_offset: g.dy,
                y_advance: 0.0,
                location: None,
            })
            .collect();
        if placed.is_empty() {
            return;
        }
        let font = &self.fonts[usize::from(t.weight == Weight::Bold)];
        let mut place = Transform::from_translate(t.at.x as f32, t.at.y as f32);
        if t.turn_deg != 0.0 {
            place = turned(t.at.x, t.at.y, t.turn_deg);
        }
        self.surface.push_transform(&place);
        let start = geom::Point::from_xy(x as f32, 0.0);
        if t.halo {
            self.surface.set_fill(None);
            self.surface.set_stroke(Some(paint_stroke(Stroke {
                ink: super::Ink::Paper,
                width: t.size * HALO,
                dash: super::Dash::Full,
            })));
            // Outlined, so that copied text does not carry the words twice.
            self.surface.draw_glyphs(start, &placed, font.clone(), &t.content, t.size as f32, true);
        }
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(paint_fill(Fill { ink: t.ink, opacity: 1.0 })));
        self.surface.draw_glyphs(start, &placed, font.clone(), &t.content, t.size as f32, false);
        self.surface.pop();
    }

    fn group(&mut self, g: &Group) {
        self.surface.push_transform(&turned(g.shift.x, g.shift.y, g.turn_deg));
        let clip = g.clip.and_then(|c| outline(&c.path()));
        if let Some(path) = &clip {
            self.surface.push_clip_path(path, &FillRule::NonZero);
        }
        self.items(&g.items);
        if clip.is_some() {
            self.surface.pop();
        }
        self.surface.pop();
    }
}

/// Shift, then turn clockwise; exact for quarter turns.
fn turned(x: f64, y: f64, degrees: f64) -> Transform {
    let (sin, cos) = match degrees.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    };
    Transform::from_row(cos as f32, sin as f32, -sin as f32, cos as f32, x as f32, y as f32)
}

fn outline(path: &Path) -> Option<geom::Path> {
    let mut b = PathBuilder::new();
    for s in &path.segments {
        match *s {
            Segment::Move(p) => b.move_to(p.x as f32, p.y as f32),
            Segment::Line(p) => b.line_to(p.x as f32, p.y as f32),
            Segment::Cubic(a, c, p) => b.cubic_to(a.x as f32, a.y as f32, c.x as f32, c.y as f32, p.x as f32, p.y as f32),
            Segment::Close => b.close(),
        }
    }
    b.finish()
}

fn colour(ink: super::Ink) -> rgb::Color {
    let c = ink.colour(Light::Day);
    rgb::Color::new(c.0, c.1, c.2)
}

fn paint_fill(fill: Fill) -> paint::Fill {
    let opacity = NormalizedF32::new(fill.opacity.clamp(0.0, 1.0) as f32).unwrap_or(NormalizedF32::ONE);
    paint::Fill { paint: colour(fill.ink).into(), opacity, rule: FillRule::NonZero }
}

fn paint_stroke(stroke: Stroke) -> paint::Stroke {
    let lengths = stroke.dash.lengths();
    paint::Stroke {
        paint: colour(stroke.ink).into(),
        width: stroke.width as f32,
        line_join: LineJoin::Round,
        line_cap: if lengths.is_empty() { LineCap::Round } else { LineCap::Butt },
        dash: (!lengths.is_empty()).then(|| StrokeDash { array: lengths.iter().map(|&l| l as f32).collect(), offset: 0.0 }),
        ..Default::default()
    }
}
