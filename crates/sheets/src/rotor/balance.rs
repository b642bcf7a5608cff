//! Balance drawn: vectors on the rotor, the plan of holes at true size, and both sides of the rotor.

use super::{LEADING, Places, SEGMENT_HEIGHT, TEXT, body, other_side};
use crate::scene::{Anchor, Canvas, Dash, Fill, Group, Ink, Path, Point, Scene, Stroke, Text, at};
use crate::words::{label, rotor::balance as words};
use workshop::{
    machine::CorrectBy,
    study::{
        rotor::balance::{BalanceFound, Correction},
        trim::RotorPicture,
    },
};

/// Largest rotor that goes on a page at true size [mm].
const MOST_TRUE: f64 = 172.0;
/// A4 upright [mm] (ISO 216), and its margin (common practice, no source).
const PAGE: (f64, f64, f64) = (210.0, 297.0, 10.0);

/// The vectors of unbalance on the rotor as seen on the picture, the circle that the grade permits, and where it is put right.
pub fn diagram(found: &BalanceFound, picture: &RotorPicture, width: f64) -> Scene {
    let width = width.max(70.0);
    let radius = width * 0.34;
    let centre = at(width / 2.0, radius * 1.25 + 4.0);
    let seen = label::turns_seen(picture.turns, picture.seen_from);
    let mut scene = Scene::new(width, 0.0, words::DIAGRAM, format!("{seen}. {}", words::COUNTED));
    let places = Places::of(picture);
    body(&mut scene, centre, radius, &places);
    ends(&mut scene, centre, radius, &places);
    let mark = centre.polar(radius * 1.06, 0.0);
    scene.line(centre.polar(radius * 0.84, 0.0), mark, Stroke::line(Ink::Series(0), 0.7));

    let told = found.to_correct.map(|(_, p)| p);
    let largest =
        found.causes.iter().map(|c| c.1).chain(told).map(|p| p.size.si).fold(found.allowed_kg_m.unwrap_or(0.0), f64::max);
    let scale = if largest > 0.0 { radius * 0.78 / largest } else { 0.0 };
    if let Some(allowed) = found.allowed_kg_m {
        scene.circle(centre, allowed * scale, None, Stroke::broken(Ink::Soft, 0.3, Dash::Short));
    }
    for (n, (_, p)) in found.causes.iter().enumerate() {
        arrow(&mut scene, centre, p.size.si * scale, places.sense * p.place.si, Ink::Series(n as u8 % 4), 0.5, "cause");
    }
    if let Some(p) = told {
        arrow(&mut scene, centre, p.size.si * scale, places.sense * p.place.si, Ink::Cut, 1.1, "heavy");
    }
    match &found.correction {
        Ok(Correction::Drill { at_rad, plan, .. }) => {
            for by in &plan.places_rad {
                let hole = centre.polar(radius * 0.92, places.sense * (at_rad + by));
                scene.circle(hole, 1.4, Fill::solid(Ink::Paper), Stroke::line(Ink::Cut, 0.6));
            }
        }
        Ok(Correction::Add { at_rad, .. }) => {
            let place = centre.polar(radius * 0.92, places.sense * at_rad);
            scene.circle(place, 1.8, Fill::solid(Ink::Ink), None);
        }
        Err(_) => {}
    }
    let mut lines = vec![seen];
    lines.extend(told.map(|p| format!("{}: {}", words::HEAVY, words::placed(&p))));
    lines.extend(found.causes.iter().map(|(c, p)| format!("{}: {}", words::cause(*c), words::placed(p))));
    lines.extend(found.allowed_kg_m.map(|a| format!("{}: {}\u{a0}g·mm", words::PERMITTED, crate::words::number(a * 1e6, 1))));
    lines.push(words::COUNTED.to_owned());
    caption(&mut scene, centre.y + radius * 1.2 + 6.0, &lines);
    scene
}

/// The picture from the side of the face that is drilled.
pub fn facing(found: &BalanceFound, picture: &RotorPicture) -> RotorPicture {
    match &found.correction {
        Ok(Correction::Drill { face: Some(face), .. }) if *face != picture.seen_from => other_side(picture),
        _ => picture.clone(),
    }
}

/// The plan of holes at true size on a page of its own: `None` where no holes are planned along the shaft, or the rotor is larger than a page.
pub fn drill_plan(found: &BalanceFound, picture: &RotorPicture) -> Option<Scene> {
    let Ok(Correction::Drill { at_rad, plan, drill_m, radius_m, by: CorrectBy::DrillAlong, .. }) = &found.correction else {
        return None;
    };
    let rim = picture.rim_diameter_m * 1e3 * 0.5;
    let circle = radius_m * 1e3;
    if 2.0 * rim.max(circle + drill_m * 1e3) > MOST_TRUE {
        return None;
    }
    let seen = label::turns_seen(picture.turns, picture.seen_from);
    let mut page = Scene::new(PAGE.0, PAGE.1, words::DRILL_PLAN, format!("{seen}. {}", words::LAY_ON));
    let centre = at(PAGE.0 / 2.0 - 6.0, 150.0);
    let places = Places::of(picture);
    page.text(Text::new(at(PAGE.2, PAGE.2 + 6.0), 6.0, words::DRILL_PLAN).bold());
    let mut y = PAGE.2 + 14.0;
    for line in [words::correction(found.correction.as_ref().ok()?), words::LAY_ON.to_owned(), seen] {
        for l in crate::font::wrap(&line, TEXT, crate::font::Weight::Regular, PAGE.0 - 2.0 * PAGE.2 - 30.0) {
            page.text(Text::new(at(PAGE.2, y), TEXT, l));
            y += TEXT * LEADING;
        }
    }
    let mut plan_group = Group::new("drill-plan").with("id", "drill-plan");
    plan_group.circle(centre, rim, None, Stroke::line(Ink::Ink, 0.4));
    plan_group.circle(centre, circle, None, Stroke::broken(Ink::Soft, 0.25, Dash::Centre));
    let cross = Stroke::line(Ink::Ink, 0.2);
    plan_group.line(at(centre.x - 10.0, centre.y), at(centre.x + 10.0, centre.y), cross);
    plan_group.line(at(centre.x, centre.y - 10.0), at(centre.x, centre.y + 10.0), cross);
    plan_group.line(centre.polar(rim - 6.0, 0.0), centre.polar(rim, 0.0), Stroke::line(Ink::Series(0), 0.6));
    for by in &plan.places_rad {
        let hole = centre.polar(circle, places.sense * (at_rad + by));
        plan_group.circle(hole, drill_m * 500.0, None, Stroke::line(Ink::Cut, 0.35));
        plan_group.line(at(hole.x - 1.5, hole.y), at(hole.x + 1.5, hole.y), Stroke::line(Ink::Cut, 0.2));
        plan_group.line(at(hole.x, hole.y - 1.5), at(hole.x, hole.y + 1.5), Stroke::line(Ink::Cut, 0.2));
    }
    page.group(plan_group);
    page.text(Text::new(centre.polar(rim - 9.0, 0.0), TEXT, words::MARK).anchor(Anchor::Middle));
    turning(&mut page, centre, rim * 0.45, places.sense);
    leading_flag(&mut page, centre, rim, &places);
    crate::template::bars(&mut page);
    Some(page)
}

/// The rotor from the side of the picture and from the other, side by side, the segment's leading end marked so that it cannot be taken for the other.
pub fn two_sides(picture: &RotorPicture, width: f64) -> Scene {
    let width = width.max(120.0);
    let half = width / 2.0;
    let radius = half * 0.30;
    let mut scene = Scene::new(width, 0.0, words::TWO_SIDES, label::turns_seen(picture.turns, picture.seen_from));
    let mut height: f64 = 0.0;
    for (n, p) in [picture.clone(), other_side(picture)].iter().enumerate() {
        let centre = at(half * (n as f64 + 0.5), radius * 1.5 + 4.0);
        let places = Places::of(p);
        body(&mut scene, centre, radius, &places);
        ends(&mut scene, centre, radius, &places);
        leading_flag(&mut scene, centre, radius * (1.0 + SEGMENT_HEIGHT), &places);
        let mut y = centre.y + radius * 1.5 + 6.0;
        let seen = label::turns_seen(p.turns, p.seen_from);
        for line in crate::font::wrap(&seen, TEXT, crate::font::Weight::Bold, half - 6.0) {
            scene.text(Text::new(at(centre.x, y), TEXT, line).anchor(Anchor::Middle).bold());
            y += TEXT * LEADING;
        }
        height = height.max(y);
    }
    scene.height = height;
    scene
}

/// The segment, its trailing part hollow, so that both ends differ without colour too.
fn ends(scene: &mut Scene, centre: Point, radius: f64, places: &Places) {
    let ring = |from: f64, to: f64| Path::ring(centre, radius * 0.985, radius * (1.0 + SEGMENT_HEIGHT), from, to);
    let middle = 0.5 * (places.leading + places.cut_edge);
    scene.path(ring(middle, places.leading), Fill::solid(Ink::Ink), Stroke::line(Ink::Ink, 0.3));
    scene.path(ring(places.cut_edge, middle), Fill::solid(Ink::Paper), Stroke::line(Ink::Ink, 0.3));
}

/// A filled head outside the leading end that points the way it goes, and the word.
fn leading_flag(scene: &mut Scene, centre: Point, radius: f64, places: &Places) {
    let (near, far) = (radius + 1.0, radius + 5.0);
    let along = places.sense * 4.5 / radius;
    let tip = centre.polar(0.5 * (near + far), places.leading + along);
    let mut flag = Group::new("leads");
    flag.path(
        Path::polygon(&[tip, centre.polar(near, places.leading), centre.polar(far, places.leading)]),
        Fill::solid(Ink::Caution),
        None,
    );
    scene.group(flag);
    let word = centre.polar(far + 3.5, places.leading);
    let anchor = if word.x < centre.x { Anchor::End } else { Anchor::Start };
    scene.text(Text::new(word, TEXT, words::LEADS).anchor(anchor).bold());
}

/// A vector from the centre.
fn arrow(scene: &mut Scene, centre: Point, length: f64, angle: f64, ink: Ink, width: f64, class: &str) {
    if length <= 0.0 {
        return;
    }
    let mut group = Group::new(class.to_owned());
    let tip = centre.polar(length, angle);
    let head = 2.6f64.min(length);
    group.line(centre, centre.polar(length - 0.5 * head, angle), Stroke::line(ink, width));
    let side = |by: f64| {
        let back = centre.polar(length - head, angle);
        back.polar(0.4 * head, angle + by)
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    group.path(Path::polygon(&[tip, side(quarter), side(-quarter)]), Fill::solid(ink), None);
    scene.group(group);
}

/// The turning arrow by itself.
fn turning(scene: &mut Scene, centre: Point, radius: f64, sense: f64) {
    let half = std::f64::consts::PI;
    let (from, to) = (half - sense, half + sense);
    scene.path(Path::arc(centre, radius, from, to - sense * 0.1), None, Stroke::line(Ink::Ink, 0.9));
    let barb = |dr: f64| centre.polar(radius + dr, to - sense * 0.2);
    scene.path(Path::polygon(&[centre.polar(radius, to), barb(2.5), barb(-2.5)]), Fill::solid(Ink::Ink), None);
}

/// Lines below a drawing; sets the scene's height.
fn caption(scene: &mut Scene, top: f64, lines: &[String]) {
    let mut y = top;
    for (i, line) in lines.iter().enumerate() {
        let weight = if i == 0 { crate::font::Weight::Bold } else { crate::font::Weight::Regular };
        for l in crate::font::wrap(line, TEXT, weight, scene.width - 4.0) {
            let mut t = Text::new(at(scene.width / 2.0, y), TEXT, l).anchor(Anchor::Middle);
            t.weight = weight;
            scene.text(t);
            y += TEXT * LEADING;
        }
    }
    scene.height = y;
}
