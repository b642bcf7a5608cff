//! The rim template: a strip at true size to wrap round the rim.
//!
//! The strip's middle lies half a paper's thickness outside the rim, so its length is π(D + t). With the side that the
//! rotor is seen from towards the strip's upper edge and the print outwards, a rotor that turns clockwise moves to the
//! left under the eye, so places further ahead lie to the left; anticlockwise, to the right.

use crate::scene::{Anchor, Canvas, Dash, Fill, Group, Ink, Path, Point, Rect, Scene, Stroke, Text, at};
use crate::words::{number, sheet as text};
use std::f64::consts::PI;
use workshop::machine::Turns;
use workshop::study::trim::RotorPicture;

/// Thickness of ordinary 80 g/m² office paper [m] (common practice, no source: 0.10–0.11 mm).
pub const PAPER_THICKNESS_M: f64 = 0.10e-3;
/// Length of the bars that prove the scale [mm].
pub const BAR_MM: f64 = 100.0;

/// A4 lying on its side [mm] (ISO 216).
const PAGE: (f64, f64) = (297.0, 210.0);
/// Margin that every printer can leave [mm] (common practice, no source).
const MARGIN: f64 = 10.0;
/// Longest piece: the printable width of the page on its side.
const LONGEST_MM: f64 = PAGE.0 - 2.0 * MARGIN;
/// Tab at the end of a piece for glue [mm].
const TAB_MM: f64 = 10.0;
/// Height of the strip [mm].
const HEIGHT: f64 = 22.0;
/// Rotor angles within which crank degrees are printed, before and after the TDC mark [crank °]: where sparks come.
const CRANK_FROM: f64 = -30.0;
const CRANK_TO: f64 = 70.0;
const SMALL: f64 = 2.6;
const NORMAL: f64 = 3.4;

/// The strip as lengths.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Whole length from first to closing line [mm]: π(D + t).
    pub length_mm: f64,
    /// Pieces, each `(from, to)` [mm along the strip].
    pub pieces: Vec<(f64, f64)>,
    /// Places [mm along the strip]: TDC mark, leading end, trailing end, edge after the cut.
    pub tdc_mm: f64,
    /// See `tdc_mm`.
    pub leading_mm: f64,
    /// See `tdc_mm`.
    pub trailing_mm: f64,
    /// See `tdc_mm`.
    pub cut_edge_mm: f64,
    /// Millimetres of strip per rotor degree, positive where ahead is to the right.
    pub mm_per_degree: f64,
}

impl Strip {
    /// Lays the strip out so that the segment and the TDC mark lie in the middle of the first piece.
    pub fn new(picture: &RotorPicture, paper_m: f64) -> Self {
        let diameter_mm = (picture.rim_diameter_m + paper_m) * 1e3;
        let length_mm = PI * diameter_mm;
        let room = LONGEST_MM - TAB_MM;
        let count = (length_mm / room).ceil().clamp(1.0, 20.0);
        let piece = length_mm / count;
        let pieces = (0..count as usize)
            .map(|i| (piece * i as f64, if i as f64 + 1.0 == count { length_mm } else { piece * (i as f64 + 1.0) }))
            .collect();
        let ahead = match picture.turns {
            Turns::Clockwise => -1.0,
            Turns::Anticlockwise => 1.0,
        };
        // Angles on the rotor, ahead positive, from the TDC mark.
        let angle = |arc_m: f64| arc_m / (0.5 * picture.rim_diameter_m);
        let leading = picture.lead_rotor_rad;
        let trailing = leading - angle(picture.segment_arc_m);
        let (low, high) = (trailing.min(0.0), leading.max(0.0));
        let tdc_mm = 0.5 * piece - ahead * 0.5 * (low + high) * 0.5 * diameter_mm;
        let place = |rad: f64| tdc_mm + ahead * rad * 0.5 * diameter_mm;
        Self {
            length_mm,
            pieces,
            tdc_mm,
            leading_mm: place(leading),
            trailing_mm: place(trailing),
            cut_edge_mm: place(trailing + angle(picture.cut_m)),
            mm_per_degree: ahead * PI * diameter_mm / 360.0,
        }
    }
}

/// The template's pages, A4 on its side, true to scale.
pub fn pages(picture: &RotorPicture, paper_m: f64) -> Vec<Scene> {
    let strip = Strip::new(picture, paper_m);
    let about =
        text::template_for(picture.rim_diameter_m * 1e3, paper_m * 1e3, strip.length_mm, picture.turns, picture.seen_from);
    // Two strips fit on one page below each other.
    let per_page = 2;
    let mut pages = Vec::new();
    for (n, group) in strip.pieces.chunks(per_page).enumerate() {
        let mut page = Scene::new(PAGE.0, PAGE.1, text::TEMPLATE_TITLE, &about);
        page.text(Text::new(at(MARGIN, MARGIN + 6.0), 6.0, text::TEMPLATE_TITLE).bold());
        let mut y = MARGIN + 14.0;
        for line in [about.as_str(), text::ACTUAL_SIZE, text::WRAP] {
            for l in crate::font::wrap(line, NORMAL, crate::font::Weight::Regular, LONGEST_MM - 30.0) {
                page.text(Text::new(at(MARGIN, y), NORMAL, l));
                y += NORMAL * 1.45;
            }
        }
        y += 14.0;
        for (i, &(from, to)) in group.iter().enumerate() {
            let index = n * per_page + i;
            draw_piece(&mut page, picture, &strip, (from, to), index, y);
            y += HEIGHT + 27.0;
        }
        bars(&mut page);
        pages.push(page);
    }
    pages
}

/// The two bars at the edges of a page, 100 mm each.
pub(crate) fn bars(page: &mut Scene) {
    let (across, down) = (at(MARGIN, page.height - MARGIN - 6.0), at(page.width - MARGIN - 1.0, MARGIN + 2.0));
    bar_across(page, across);
    bar_down(page, down);
}

/// A bar of 100 mm to the right of a place, with a tick every 10 mm, and its name below.
pub(crate) fn bar_across(page: &mut Scene, from: Point) {
    let line = Stroke::line(Ink::Ink, 0.3);
    let (x, y) = (from.x, from.y);
    let mut across = Group::new("bar").with("id", "bar-across");
    across.line(at(x, y), at(x + BAR_MM, y), line);
    for i in 0..=10 {
        let long = if i % 10 == 0 { 3.0 } else { 1.5 };
        across.line(at(x + 10.0 * f64::from(i), y - long), at(x + 10.0 * f64::from(i), y), line);
    }
    page.group(across);
    page.text(Text::new(at(x + BAR_MM / 2.0, y + 4.0), NORMAL, text::BAR).anchor(Anchor::Middle).bold());
}

/// The same downwards, its name to the left.
pub(crate) fn bar_down(page: &mut Scene, from: Point) {
    let line = Stroke::line(Ink::Ink, 0.3);
    let (x, y) = (from.x, from.y);
    let mut down = Group::new("bar").with("id", "bar-down");
    down.line(at(x, y), at(x, y + BAR_MM), line);
    for i in 0..=10 {
        let long = if i % 10 == 0 { 3.0 } else { 1.5 };
        down.line(at(x - long, y + 10.0 * f64::from(i)), at(x, y + 10.0 * f64::from(i)), line);
    }
    page.group(down);
    page.text(Text::new(at(x - 4.0, y + 12.0), NORMAL, text::BAR).anchor(Anchor::End).bold());
}

/// One piece of the strip with its upper left corner at the left margin and `top`.
fn draw_piece(page: &mut Scene, picture: &RotorPicture, strip: &Strip, (from, to): (f64, f64), index: usize, top: f64) {
    let count = strip.pieces.len();
    let (last, first) = (index + 1 == count, index == 0);
    let x = |u: f64| MARGIN + u - from;
    let inside = |u: f64| u >= from - 1e-9 && u <= to + 1e-9;
    let (bottom, length) = (top + HEIGHT, to - from);
    let edge = Stroke::line(Ink::Ink, 0.3);

    if count > 1 {
        page.text(Text::new(at(MARGIN, top - 9.5), NORMAL, text::piece(index + 1, count)).bold());
    }
    page.path(Rect { x: MARGIN, y: top, width: length, height: HEIGHT }.path(), None, edge);
    let tab = Rect { x: MARGIN + length, y: top, width: TAB_MM, height: HEIGHT };
    page.hatch(tab, 2.0, Stroke::line(Ink::Soft, 0.15));
    page.path(tab.path(), None, Stroke::broken(Ink::Soft, 0.25, Dash::Short));
    page.text(Text::new(at(tab.x + 6.2, top + HEIGHT / 2.0), SMALL, text::GLUE).anchor(Anchor::Middle).turned(-90.0).halo());
    // Joins carry the same letter on both sides; the closing line meets the first line.
    let join = |n: usize| char::from(b'A' + (n % 26) as u8).to_string();
    let (start, end) = (
        if first { text::FIRST_LINE.to_owned() } else { join(index - 1) },
        if last { text::CLOSING_LINE.to_owned() } else { join(index) },
    );
    page.text(Text::new(at(MARGIN, bottom + 4.0), SMALL, start).bold());
    page.text(Text::new(at(MARGIN + length, bottom + 4.0), SMALL, end).anchor(Anchor::Middle).bold());

    let low = strip.trailing_mm.min(strip.cut_edge_mm);
    if picture.cut_m > 0.0 && inside(low) {
        let width = (strip.cut_edge_mm - strip.trailing_mm).abs();
        page.hatch(Rect { x: x(low), y: top + 7.0, width, height: HEIGHT - 14.0 }, 1.2, Stroke::line(Ink::Cut, 0.25));
    }
    let (a, b) = (strip.cut_edge_mm.min(strip.leading_mm), strip.cut_edge_mm.max(strip.leading_mm));
    if inside(a) && inside(b) {
        page.path(Rect { x: x(a), y: top + 9.0, width: b - a, height: HEIGHT - 18.0 }.path(), Fill::tint(Ink::Ink, 0.12), None);
    }
    let mut marks = vec![
        (strip.leading_mm, text::LEAD, Ink::Ink, Dash::Full),
        (strip.trailing_mm, text::TRAIL, Ink::Ink, Dash::Full),
        (strip.tdc_mm, text::TDC, Ink::Series(0), Dash::Centre),
    ];
    if picture.cut_m > 0.0 {
        marks.push((strip.cut_edge_mm, text::CUT_TO, Ink::Cut, Dash::Full));
    }
    flags(page, &marks, &inside, &x, top);
    scales(page, picture, strip, (from, to), top);

    // The arrow on the strip, away from the marks.
    let ahead = strip.mm_per_degree.signum();
    let busy = [strip.leading_mm, strip.trailing_mm, strip.tdc_mm];
    let (least, most) = busy.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), &u| (l.min(u), h.max(u)));
    let at_u = if inside(least) && least - from > 60.0 {
        from + 36.0
    } else if inside(most) && to - most > 45.0 {
        most + 25.0
    } else {
        from + 0.5 * length
    };
    let (mid, y) = (x(at_u), top + HEIGHT / 2.0);
    let half = 12.0 * ahead;
    page.line(at(mid - half, y), at(mid + half - 2.0 * ahead, y), Stroke::line(Ink::Ink, 0.8));
    page.path(
        Path::polygon(&[at(mid + half, y), at(mid + half - 3.5 * ahead, y - 1.6), at(mid + half - 3.5 * ahead, y + 1.6)]),
        Fill::solid(Ink::Ink),
        None,
    );
    page.text(Text::new(at(mid, y - 2.0), SMALL, text::TURNS).anchor(Anchor::Middle));
    page.text(
        Text::new(at(MARGIN + length, top - 9.5), SMALL, format!("↑ {}", text::towards(picture.seen_from)))
            .anchor(Anchor::End)
            .bold(),
    );
}

/// Length of a degree's tick [mm]: tens longest, fives between (own choice).
fn tick_mm(deg: i32) -> f64 {
    match deg {
        d if d % 10 == 0 => 3.2,
        d if d % 5 == 0 => 2.4,
        _ => 1.5,
    }
}

/// Rotor degrees along the upper edge, crank degrees before TDC along the lower one.
fn scales(page: &mut Scene, picture: &RotorPicture, strip: &Strip, (from, to): (f64, f64), top: f64) {
    let bottom = top + HEIGHT;
    let fine = Stroke::line(Ink::Ink, 0.13);
    let x = |u: f64| MARGIN + u - from;
    let whole = |u: f64| u.rem_euclid(strip.length_mm);
    for deg in 0..360 {
        let u = whole(strip.tdc_mm + strip.mm_per_degree * f64::from(deg));
        if u < from || u > to {
            continue;
        }
        let long = tick_mm(deg);
        page.line(at(x(u), top), at(x(u), top + long), fine);
        if deg % 10 == 0 && u - from > 3.0 && to - u > 3.0 {
            page.text(Text::new(at(x(u), top + 5.8), 2.2, deg.to_string()).anchor(Anchor::Middle).halo());
        }
    }
    let per_crank = strip.mm_per_degree * picture.turns_per_crank_turn;
    let mut last = f64::NAN;
    for deg in CRANK_FROM as i32..=CRANK_TO as i32 {
        let u = strip.tdc_mm + per_crank * f64::from(deg);
        if u < from || u > to {
            continue;
        }
        let long = tick_mm(deg);
        page.line(at(x(u), bottom - long), at(x(u), bottom), fine);
        if deg % 10 == 0 {
            page.text(Text::new(at(x(u), bottom - 3.9), 2.2, number(f64::from(deg), 0)).anchor(Anchor::Middle).halo());
            last = if last.is_nan() { u } else { last.min(u) };
        }
    }
    page.text(Text::new(at(MARGIN + 1.5, top + 9.2), 2.2, format!("↑ {}", text::ROTOR_DEGREES)).ink(Ink::Soft));
    if !last.is_nan() {
        page.text(Text::new(at(x(last) - 4.0, bottom - 1.2), 2.2, text::CRANK_DEGREES).anchor(Anchor::End).ink(Ink::Soft));
    }
}

/// Lines across the strip with their names below it, each to the right of its line; of two that would touch, the left
/// one stands lower, so that no line crosses a name.
fn flags(page: &mut Scene, marks: &[(f64, &str, Ink, Dash)], inside: &dyn Fn(f64) -> bool, x: &dyn Fn(f64) -> f64, top: f64) {
    let mut marks: Vec<_> = marks.iter().filter(|m| inside(m.0)).collect();
    marks.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut placed: Vec<(f64, usize)> = Vec::new();
    for &&(u, name, ink, dash) in &marks {
        let mut flag = Text::new(at(x(u) + 0.8, 0.0), SMALL, name).bold();
        let end = flag.at.x + flag.width() + 2.0;
        let row = placed.iter().filter(|(start, _)| *start < end).map(|(_, row)| row + 1).max().unwrap_or(0);
        placed.push((x(u) - 0.5, row));
        flag.at.y = top + HEIGHT + 4.0 + row as f64 * SMALL * 1.4;
        page.line(at(x(u), top), at(x(u), flag.at.y), Stroke::broken(ink, 0.3, dash));
        page.text(flag);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use workshop::machine::SeenFrom;

    /// Rounding of a handful of multiplications [mm].
    const ROUNDING: f64 = 1e-9;

    fn picture(turns: Turns, ratio: f64, rim_m: f64) -> RotorPicture {
        RotorPicture {
            turns,
            seen_from: SeenFrom::CoverSide,
            rim_diameter_m: rim_m,
            segment_arc_m: 0.030,
            cut_m: 0.006,
            pickups_rad: vec![0.0],
            lead_rotor_rad: 36f64.to_radians() * ratio,
            turns_per_crank_turn: ratio,
        }
    }

    /// Geometry: a tape that closes on itself is π(D + thickness) long; one degree of a 110 mm rim is 0.96 mm.
    #[test]
    fn the_strip_closes_and_a_degree_has_its_length() {
        let strip = Strip::new(&picture(Turns::Clockwise, 1.0, 0.110), 0.1e-3);
        assert!((strip.length_mm - PI * 110.1).abs() < ROUNDING);
        assert!((strip.mm_per_degree.abs() - 0.96).abs() < 0.005);
        assert!((strip.pieces.last().unwrap().1 - strip.length_mm).abs() < ROUNDING);
        assert!(strip.pieces.windows(2).all(|w| (w[0].1 - w[1].0).abs() < ROUNDING));
        assert!(strip.pieces.iter().all(|p| p.1 - p.0 <= LONGEST_MM));
    }

    /// Seen from above, clockwise, the near side of the rim moves to the left; so ahead is to the left on the strip.
    #[test]
    fn ahead_is_to_the_left_for_a_clockwise_rotor() {
        for ratio in [1.0, 0.5] {
            let strip = Strip::new(&picture(Turns::Clockwise, ratio, 0.104), 0.1e-3);
            assert!(strip.leading_mm < strip.cut_edge_mm && strip.cut_edge_mm < strip.trailing_mm);
            let strip = Strip::new(&picture(Turns::Anticlockwise, ratio, 0.104), 0.1e-3);
            assert!(strip.leading_mm > strip.cut_edge_mm && strip.cut_edge_mm > strip.trailing_mm);
        }
    }

    #[test]
    fn marks_lie_on_the_first_piece() {
        for rim in [0.06, 0.0855, 0.104, 0.16, 0.2] {
            let strip = Strip::new(&picture(Turns::Clockwise, 1.0, rim), 0.1e-3);
            let (from, to) = strip.pieces[0];
            for u in [strip.tdc_mm, strip.leading_mm, strip.trailing_mm, strip.cut_edge_mm] {
                assert!(u > from && u < to, "{rim}: {u} of {from}..{to}");
            }
        }
    }
}
