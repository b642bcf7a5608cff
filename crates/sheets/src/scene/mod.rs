//! A drawing in millimetres, made once for page, paper and file.
//!
//! x runs right and y down from the top left corner. Colours are *inks* with a role, not raw values, so that the page
//! can theme them and paper can print them. [`svg`] and [`pdf`] render the same scene.

pub mod ink;
pub mod pdf;
pub mod svg;

mod path;

pub use crate::font::Weight;
pub use ink::Ink;
pub use path::{Path, Segment};

/// A point in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Point {
    /// Rightwards [mm].
    pub x: f64,
    /// Downwards [mm].
    pub y: f64,
}

/// Shorthand for a [`Point`].
pub const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

impl Point {
    /// The point at distance `r` [mm] from `self`, `clockwise` radians from straight up.
    pub fn polar(self, r: f64, clockwise: f64) -> Self {
        at(self.x + r * clockwise.sin(), self.y - r * clockwise.cos())
    }
    /// Distance to another point [mm].
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

/// A rectangle in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Rect {
    /// Left edge [mm].
    pub x: f64,
    /// Top edge [mm].
    pub y: f64,
    /// Width [mm].
    pub width: f64,
    /// Height [mm].
    pub height: f64,
}

impl Rect {
    /// Right edge [mm].
    pub fn right(&self) -> f64 {
        self.x + self.width
    }
    /// Bottom edge [mm].
    pub fn bottom(&self) -> f64 {
        self.y + self.height
    }
    /// Whether two rectangles share an area.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.bottom() && other.y < self.bottom()
    }
    /// The outline as a path.
    pub fn path(&self) -> Path {
        Path::polygon(&[at(self.x, self.y), at(self.right(), self.y), at(self.right(), self.bottom()), at(self.x, self.bottom())])
    }
}

/// A whole drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// Width [mm].
    pub width: f64,
    /// Height [mm].
    pub height: f64,
    /// Short name, read out by screen readers.
    pub title: String,
    /// What the drawing shows, in a sentence or two.
    pub description: String,
    /// What is drawn, first at the bottom.
    pub items: Vec<Item>,
}

/// Anything drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A line or an area.
    Path {
        /// Its outline.
        path: Path,
        /// How it is filled.
        fill: Option<Fill>,
        /// How it is stroked.
        stroke: Option<Stroke>,
    },
    /// A circle.
    Circle {
        /// Centre.
        centre: Point,
        /// Radius [mm].
        radius: f64,
        /// How it is filled.
        fill: Option<Fill>,
        /// How it is stroked.
        stroke: Option<Stroke>,
    },
    /// One line of text.
    Text(Text),
    /// Items that belong together.
    Group(Group),
}

/// How an area is filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// Ink.
    pub ink: Ink,
    /// 1 covers, 0 is nothing.
    pub opacity: f64,
}

impl Fill {
    /// A covering fill.
    pub const fn solid(ink: Ink) -> Option<Self> {
        Some(Self { ink, opacity: 1.0 })
    }
    /// A tint that lets the grid through.
    pub const fn tint(ink: Ink, opacity: f64) -> Option<Self> {
        Some(Self { ink, opacity })
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Ink.
    pub ink: Ink,
    /// Width [mm].
    pub width: f64,
    /// Dashes.
    pub dash: Dash,
}

impl Stroke {
    /// A full line.
    pub const fn line(ink: Ink, width: f64) -> Option<Self> {
        Some(Self { ink, width, dash: Dash::Full })
    }
    /// A broken line.
    pub const fn broken(ink: Ink, width: f64, dash: Dash) -> Option<Self> {
        Some(Self { ink, width, dash })
    }
}

/// Line styles, so that a series is told apart in grey print too. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Dash {
    /// Unbroken.
    #[default]
    Full,
    /// Long dashes.
    Long,
    /// Short dashes.
    Short,
    /// Dots.
    Dots,
    /// Dash and dot, the centre line of technical drawings (ISO 128-2, line type 04).
    Centre,
}

impl Dash {
    /// On and off lengths [mm]; empty for a full line.
    pub const fn lengths(self) -> &'static [f64] {
        match self {
            Dash::Full => &[],
            Dash::Long => &[3.0, 1.2],
            Dash::Short => &[1.4, 1.0],
            Dash::Dots => &[0.4, 1.0],
            Dash::Centre => &[4.0, 0.9, 0.5, 0.9],
        }
    }
}

/// Which point of a line of text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Anchor {
    /// Its start.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Place of the anchor on the base line.
    pub at: Point,
    /// Font size [mm].
    pub size: f64,
    /// Which end stands there.
    pub anchor: Anchor,
    /// Weight.
    pub weight: Weight,
    /// Clockwise turn [degrees] about `at`.
    pub turn_deg: f64,
    /// Ink.
    pub ink: Ink,
    /// Whether a rim of paper keeps it legible over lines.
    pub halo: bool,
    /// What it says.
    pub content: String,
}

impl Text {
    /// A line of running text.
    pub fn new(at: Point, size: f64, content: impl Into<String>) -> Self {
        Self {
            at,
            size,
            anchor: Anchor::Start,
            weight: Weight::Regular,
            turn_deg: 0.0,
            ink: Ink::Ink,
            halo: false,
            content: content.into(),
        }
    }
    /// With another anchor.
    pub fn anchor(mut self, anchor: Anchor) -> Self {
        self.anchor = anchor;
        self
    }
    /// In bold.
    pub fn bold(mut self) -> Self {
        self.weight = Weight::Bold;
        self
    }
    /// In another ink.
    pub fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
    /// Turned clockwise by degrees.
    pub fn turned(mut self, degrees: f64) -> Self {
        self.turn_deg = degrees;
        self
    }
    /// With a rim of paper round the letters.
    pub fn halo(mut self) -> Self {
        self.halo = true;
        self
    }
    /// Width as printed [mm].
    pub fn width(&self) -> f64 {
        crate::font::width(&self.content, self.size, self.weight)
    }
    /// The box it covers before any turn, from capitals' tops to descenders.
    pub fn bounds(&self) -> Rect {
        let width = self.width();
        let x = match self.anchor {
            Anchor::Start => self.at.x,
            Anchor::Middle => self.at.x - width / 2.0,
            Anchor::End => self.at.x - width,
        };
        // Inter's descent is 0.24 of the size (`hhea` table).
        Rect { x, y: self.at.y - 0.76 * self.size, width, height: self.size }
    }
}

/// Items that belong together: a class for styling, an id and attributes for the page's script, a place, a clip.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Group {
    /// CSS class.
    pub class: String,
    /// Attributes as written in SVG (`id`, `data-…`, `role`, `aria-…`, `tabindex`); paper ignores them.
    pub attributes: Vec<(String, String)>,
    /// Shift of everything inside [mm].
    pub shift: Point,
    /// Clockwise turn [degrees] about the shifted origin.
    pub turn_deg: f64,
    /// What lies outside is not drawn.
    pub clip: Option<Rect>,
    /// What is inside.
    pub items: Vec<Item>,
}

impl Group {
    /// An empty group of a class.
    pub fn new(class: impl Into<String>) -> Self {
        Self { class: class.into(), ..Self::default() }
    }
    /// With an attribute.
    pub fn with(mut self, name: impl Into<String>, value: impl ToString) -> Self {
        self.attributes.push((name.into(), value.to_string()));
        self
    }
}

/// Things that items can be put on: a scene or a group.
pub trait Canvas {
    /// The list of items, first at the bottom.
    fn items(&mut self) -> &mut Vec<Item>;

    /// Puts one item on top.
    fn put(&mut self, item: Item) {
        self.items().push(item);
    }
    /// Puts a text on top.
    fn text(&mut self, text: Text) {
        self.put(Item::Text(text));
    }
    /// Puts a group on top.
    fn group(&mut self, group: Group) {
        self.put(Item::Group(group));
    }
    /// Strokes a straight line.
    fn line(&mut self, from: Point, to: Point, stroke: Option<Stroke>) {
        self.put(Item::Path { path: Path::line(&[from, to]), fill: None, stroke });
    }
    /// Strokes and fills a path.
    fn path(&mut self, path: Path, fill: Option<Fill>, stroke: Option<Stroke>) {
        self.put(Item::Path { path, fill, stroke });
    }
    /// Strokes and fills a circle.
    fn circle(&mut self, centre: Point, radius: f64, fill: Option<Fill>, stroke: Option<Stroke>) {
        self.put(Item::Circle { centre, radius, fill, stroke });
    }
    /// Hatches a rectangle with lines at 45° (ISO 128-3: hatching at 45° to the outline).
    fn hatch(&mut self, area: Rect, spacing: f64, stroke: Option<Stroke>) {
        self.put(Item::Path { path: path::hatch(area, spacing), fill: None, stroke });
    }
    /// Puts a whole scene with its top left corner at a point.
    fn place(&mut self, scene: Scene, corner: Point) {
        self.put(Item::Group(Group { shift: corner, items: scene.items, ..Group::new("placed") }));
    }
}

impl Canvas for Scene {
    fn items(&mut self) -> &mut Vec<Item> {
        &mut self.items
    }
}
impl Canvas for Group {
    fn items(&mut self) -> &mut Vec<Item> {
        &mut self.items
    }
}

impl Scene {
    /// An empty drawing.
    pub fn new(width: f64, height: f64, title: impl Into<String>, description: impl Into<String>) -> Self {
        Self { width, height, title: title.into(), description: description.into(), items: Vec::new() }
    }

    /// Every text in it with its place on the drawing, turns of groups left out; for checks of collisions and coverage.
    pub fn texts(&self) -> Vec<Text> {
        fn walk(items: &[Item], shift: Point, into: &mut Vec<Text>) {
            for item in items {
                match item {
                    Item::Text(text) => {
                        let mut text = text.clone();
                        text.at = at(text.at.x + shift.x, text.at.y + shift.y);
                        into.push(text);
                    }
                    Item::Group(g) => walk(&g.items, at(shift.x + g.shift.x, shift.y + g.shift.y), into),
                    _ => {}
                }
            }
        }
        let mut all = Vec::new();
        walk(&self.items, Point::default(), &mut all);
        all
    }

    /// The first group with this `id`.
    pub fn find(&self, id: &str) -> Option<&Group> {
        fn walk<'a>(items: &'a [Item], id: &str) -> Option<&'a Group> {
            items.iter().find_map(|item| match item {
                Item::Group(g) if g.attributes.iter().any(|(n, v)| n == "id" && v == id) => Some(g),
                Item::Group(g) => walk(&g.items, id),
                _ => None,
            })
        }
        walk(&self.items, id)
    }
}
