//! The charts of curve and idle, from studies.

use super::{Area, Axis, Chart, Mark, Marker, Rule, Series};
use crate::scene::Dash;
use crate::words::{label, rpm_of};
use physics::law::Law;
use workshop::machine::Machine;
use workshop::study::{
    curve::{CurveStudy, CylinderCurve},
    idle::RestPicture,
    load::LoadStudy,
};

/// Curves of cylinders closer than this everywhere are drawn as one [°]: a scribed mark is 0.1–0.2° wide (common
/// practice, no source), so nobody could tell them apart.
const SAME_CURVE_DEG: f64 = 0.1;
/// Weight below which a reading counts as set aside. The robust fit leaves an honest reading most of its weight.
const WILD_WEIGHT: f64 = 0.2;
/// Points of a computed line.
const LINE_POINTS: usize = 160;
/// Openings shown beside the present one, as shares of it.
const OPENINGS_SHOWN: (f64, f64) = (0.6, 1.6);

/// What may be drawn beside the curve as found.
#[derive(Clone, Copy, Debug, Default)]
pub struct CurveExtras<'a> {
    /// Laws after a cut, one per cylinder in the machine's order.
    pub after: &'a [Law],
    /// Best torque, knock limit and kick-back limit.
    pub load: Option<&'a LoadStudy>,
    /// Idle speed seen [rad/s].
    pub idle_rad_s: Option<f64>,
    /// Hang speed seen [rad/s].
    pub hang_rad_s: Option<f64>,
}

/// Advance against speed: curves with their band, readings with bars, wild ones ringed, the curve after a cut.
pub fn curve_chart(machine: &Machine, study: &CurveStudy, extras: CurveExtras<'_>) -> Chart {
    let mut series = Vec::new();
    let together = alike(&study.cylinders);
    // Alone it is simply the curve; which state it shows, its place says.
    let what = if extras.after.is_empty() { label::CURVE } else { label::AS_FOUND };
    let shown = if together { &study.cylinders[..study.cylinders.len().min(1)] } else { &study.cylinders[..] };
    for (n, cylinder) in shown.iter().enumerate() {
        let name = machine.engine.cylinders.get(n).filter(|_| !together).map_or("", |c| c.name.as_str());
        let ink = if n % 2 == 0 { 0 } else { 2 };
        let readings: Vec<Mark> =
            if together { study.cylinders.iter().flat_map(readings).collect() } else { readings(cylinder).collect() };
        series.push(Series {
            id: format!("curve-{n}"),
            name: label::cylinder(name, what),
            ink,
            dash: crate::scene::ink::dash_of(ink),
            line: cylinder.band.iter().map(|b| (rpm_of(b.speed_rad_s), b.advance.si.to_degrees())).collect(),
            band: cylinder
                .band
                .iter()
                .map(|b| {
                    let (mid, half) = (b.advance.si.to_degrees(), b.advance.plus_minus_si.to_degrees());
                    (rpm_of(b.speed_rad_s), mid - half, mid + half)
                })
                .collect(),
            ..Series::default()
        });
        if !readings.is_empty() {
            series.push(Series {
                id: format!("readings-{n}"),
                name: label::cylinder(name, label::READINGS),
                ink,
                marks: readings,
                marker: Marker::of(ink),
                ..Series::default()
            });
        }
    }
    let top = study.cylinders.iter().flat_map(|c| &c.band).map(|b| b.speed_rad_s).fold(0.0, f64::max);
    for (n, law) in extras.after.iter().take(if together { 1 } else { extras.after.len() }).enumerate() {
        let name = machine.engine.cylinders.get(n).filter(|_| !together).map_or("", |c| c.name.as_str());
        series.push(Series {
            id: format!("after-{n}"),
            name: label::cylinder(name, label::AFTER_CUT),
            ink: 1,
            dash: if n == 0 { Dash::Long } else { Dash::Dots },
            line: law_line(law, top),
            ..Series::default()
        });
    }
    series.extend(extras.load.into_iter().flat_map(super::load::limits));
    let rule =
        |id: &str, text: &str, speed: f64, dash| Rule { id: id.to_owned(), label: text.to_owned(), x: rpm_of(speed), dash };
    let rules = extras.idle_rad_s.map(|s| rule("idle", label::IDLE, s, Dash::Short)).into_iter();
    let rules = rules.chain(extras.hang_rad_s.map(|s| rule("hang", label::HANG_SPEED, s, Dash::Dots)));
    Chart {
        id: "curve".to_owned(),
        title: label::CURVE_TITLE.to_owned(),
        description: label::CURVE_DESCRIPTION.to_owned(),
        x: Axis::new(label::SPEED, label::RPM, 0.0, 0.0),
        y: Axis::new(label::ADVANCE, label::DEGREES_BTDC, 0.0, 0.0),
        areas: Vec::new(),
        rules: rules.collect(),
        series,
    }
}

/// Rest speed against opening, as found and after a cut: the part that does not hold dotted, folds marked, the range of
/// openings with two rest speeds shaded, the present opening [m²] a line.
pub fn rest_chart(before: &RestPicture, after: Option<&RestPicture>, opening_m2: Option<f64>) -> Chart {
    let known = opening_m2.filter(|o| o.is_finite() && *o > 0.0);
    let scale = known.map_or(1e6, |o| 100.0 / o);
    let unit = if known.is_some() { label::PERCENT_OF_PRESENT } else { label::MM2 };
    let folds: Vec<f64> = before.folds.iter().chain(after.iter().flat_map(|a| &a.folds)).map(|f| f.opening_m2).collect();
    let low = folds.iter().copied().fold(known.unwrap_or(f64::INFINITY), f64::min) * OPENINGS_SHOWN.0;
    let high = folds.iter().copied().fold(known.unwrap_or(0.0), f64::max) * OPENINGS_SHOWN.1;
    let window = if low < high { (low, high) } else { (0.0, f64::INFINITY) };

    let mut series = rest_series(before, label::AS_FOUND, "before", 0, Dash::Full, scale, window);
    if let Some(after) = after {
        series.extend(rest_series(after, label::AFTER_CUT, "after", 1, Dash::Long, scale, window));
    }
    if !before.folds.is_empty() {
        series.push(Series {
            id: "folds".to_owned(),
            name: label::FOLDS.to_owned(),
            ink: 3,
            marks: before
                .folds
                .iter()
                .map(|f| Mark { x: f.opening_m2 * scale, y: rpm_of(f.speed_rad_s), ..Mark::default() })
                .collect(),
            marker: Marker::Diamond,
            ..Series::default()
        });
    }
    let areas = hang(before, scale).map(|(from, to)| Area { id: "hang".to_owned(), label: label::HANG.to_owned(), from, to });
    let rules =
        known.map(|o| Rule { id: "present".to_owned(), label: label::PRESENT.to_owned(), x: o * scale, dash: Dash::Short });
    Chart {
        id: "rest".to_owned(),
        title: label::REST_TITLE.to_owned(),
        description: label::REST_DESCRIPTION.to_owned(),
        x: Axis::new(label::OPENING, unit, f64::NAN, f64::NAN),
        y: Axis::new(label::REST_SPEED, label::RPM, 0.0, 0.0),
        areas: areas.into_iter().collect(),
        rules: rules.into_iter().collect(),
        series,
    }
}

/// Whether all cylinders run on curves that nobody could tell apart.
pub(crate) fn alike(cylinders: &[CylinderCurve]) -> bool {
    cylinders.windows(2).all(|pair| {
        pair[0].band.len() == pair[1].band.len()
            && pair[0]
                .band
                .iter()
                .zip(&pair[1].band)
                .all(|(a, b)| (a.advance.si - b.advance.si).abs().to_degrees() < SAME_CURVE_DEG)
    })
}

fn readings(cylinder: &CylinderCurve) -> impl Iterator<Item = Mark> + '_ {
    cylinder.readings.iter().map(|r| Mark {
        x: rpm_of(r.speed.si),
        y: r.advance.si.to_degrees(),
        plus_minus_x: rpm_of(r.speed.plus_minus_si),
        plus_minus_y: r.advance.plus_minus_si.to_degrees(),
        wild: r.weight < WILD_WEIGHT,
    })
}

fn law_line(law: &Law, top_rad_s: f64) -> Vec<(f64, f64)> {
    (0..=LINE_POINTS)
        .map(|i| top_rad_s * (i as f64 + 4.0) / (LINE_POINTS as f64 + 4.0))
        .map(|speed| (rpm_of(speed), law.advance(speed).degrees()))
        .collect()
}

/// The stable runs of a rest line as one series, what does not hold as a dotted one, rest points as marks.
fn rest_series(picture: &RestPicture, name: &str, id: &str, ink: u8, dash: Dash, scale: f64, window: (f64, f64)) -> Vec<Series> {
    let inside = |o: f64| o >= window.0 && o <= window.1;
    let (mut firm, mut loose) = (Vec::new(), Vec::new());
    let gap = (f64::NAN, f64::NAN);
    let shown: Vec<_> = picture.line.iter().filter(|p| inside(p.opening_m2)).collect();
    for pair in shown.windows(2) {
        let here = (pair[0].opening_m2 * scale, rpm_of(pair[0].speed_rad_s));
        let next = (pair[1].opening_m2 * scale, rpm_of(pair[1].speed_rad_s));
        let (on, off) = if pair[0].stable && pair[1].stable { (&mut firm, &mut loose) } else { (&mut loose, &mut firm) };
        if on.last() != Some(&here) {
            on.push(here);
        }
        on.push(next);
        off.push(gap);
    }
    let mut all = vec![Series { id: id.to_owned(), name: name.to_owned(), ink, dash, line: firm, ..Series::default() }];
    if loose.iter().any(|p| p.0.is_finite()) {
        all.push(Series {
            id: format!("{id}-loose"),
            name: label::cylinder(name, label::UNSTABLE),
            ink,
            dash: Dash::Dots,
            line: loose,
            ..Series::default()
        });
    }
    let rests: Vec<Mark> = picture
        .points
        .iter()
        .filter(|p| p.stable)
        .filter_map(|p| {
            Some(Mark { x: opening_at(picture, p.speed_rad_s)? * scale, y: rpm_of(p.speed_rad_s), ..Mark::default() })
        })
        .collect();
    if !rests.is_empty() {
        let marker = Marker::of(ink);
        all.push(Series {
            id: format!("{id}-rests"),
            name: label::cylinder(name, label::REST_POINTS),
            ink,
            marks: rests,
            marker,
            ..Series::default()
        });
    }
    all
}

/// Opening of the rest line at a speed, straight between its points.
fn opening_at(picture: &RestPicture, speed: f64) -> Option<f64> {
    picture.line.windows(2).find_map(|w| {
        let (a, b) = (w[0].speed_rad_s, w[1].speed_rad_s);
        let inside = (a.min(b)..=a.max(b)).contains(&speed) && a != b;
        inside.then(|| w[0].opening_m2 + (speed - a) / (b - a) * (w[1].opening_m2 - w[0].opening_m2))
    })
}

/// Openings between the outermost folds.
fn hang(picture: &RestPicture, scale: f64) -> Option<(f64, f64)> {
    let openings = picture.folds.iter().map(|f| f.opening_m2 * scale);
    let (low, high) = openings.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), o| (l.min(o), h.max(o)));
    (picture.folds.len() >= 2 && low < high).then_some((low, high))
}
