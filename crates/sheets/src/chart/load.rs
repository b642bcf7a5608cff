//! What advance does: torque lines, and the limits that stand beside the curve.

use super::{Axis, Chart, Mark, Marker, Series};
use crate::scene::Dash;
use crate::words::{label, rpm_of, sweep_place};
use workshop::study::{
    Finding,
    load::{Bound, LoadStudy, Sweep},
};

/// Best torque and knock limit over speed, and where a kick may turn back, for the chart of the curve.
pub(super) fn limits(study: &LoadStudy) -> Vec<Series> {
    let best = line("best", label::BEST_TORQUE, (3, Dash::Centre), study, |s| s.best);
    let knock = line("knock", label::KNOCK_LIMIT, (1, Dash::Short), study, |s| s.knock);
    let mark = |id: &str, name: &str, ink: u8, marker: Marker, speed: Finding, at: Finding| Series {
        id: id.to_owned(),
        name: name.to_owned(),
        ink,
        marks: vec![Mark {
            x: rpm_of(speed.si),
            y: at.si.to_degrees(),
            plus_minus_x: rpm_of(speed.plus_minus_si),
            plus_minus_y: at.plus_minus_si.to_degrees(),
            wild: false,
        }],
        marker,
        ..Series::default()
    };
    let idle = study.idle.as_ref().and_then(|s| {
        let speed = Finding { si: s.speed_rad_s, plus_minus_si: 0.0 };
        Some(mark("best-idle", label::BEST_AT_IDLE, 3, Marker::Diamond, speed, s.best.at()?))
    });
    let kick = study
        .kick
        .limit
        .at()
        .map(|at| mark("kick", &label::kick_limit(study.kick.energy), 1, Marker::Triangle, study.kick.speed, at));
    [best, knock, idle, kick].into_iter().flatten().collect()
}

/// One limit over the wide-open speeds, with its band; broken where it lies outside the advances tried. `None` where it does everywhere.
fn line(id: &str, name: &str, (ink, dash): (u8, Dash), study: &LoadStudy, of: impl Fn(&Sweep) -> Bound) -> Option<Series> {
    let points: Vec<(f64, Option<Finding>)> = study.wide_open.iter().map(|s| (rpm_of(s.speed_rad_s), of(s).at())).collect();
    let found = |f: Option<Finding>| f.map_or(f64::NAN, |f| f.si.to_degrees());
    // A point without a neighbour makes no line.
    let known = |i: usize| points.get(i).is_some_and(|p| p.1.is_some());
    let alone = (0..points.len()).filter(|i| known(*i) && !known(i + 1) && !(*i > 0 && known(i - 1)));
    let marks = alone.filter_map(|i| {
        let (x, f) = (points[i].0, points[i].1?);
        Some(Mark { x, y: f.si.to_degrees(), plus_minus_y: f.plus_minus_si.to_degrees(), ..Mark::default() })
    });
    points.iter().any(|p| p.1.is_some()).then(|| Series {
        marks: marks.collect(),
        marker: Marker::Square,
        id: id.to_owned(),
        name: name.to_owned(),
        ink,
        dash,
        line: points.iter().map(|(x, f)| (*x, found(*f))).collect(),
        band: points
            .iter()
            .filter_map(|(x, f)| {
                let (mid, half) = ((*f)?.si.to_degrees(), (*f)?.plus_minus_si.to_degrees());
                Some((*x, mid - half, mid + half))
            })
            .collect(),
    })
}

/// Torque against advance at the idle, at middle and at top speed, each in per cent of its best; the best and the curve as found marked.
pub fn torque_chart(study: &LoadStudy) -> Chart {
    let mut series = Vec::new();
    for (n, (sweep, (ink, dash))) in study.told().zip([(0, Dash::Full), (2, Dash::Long), (3, Dash::Centre)]).enumerate() {
        let share = |nm: f64| 100.0 * nm / sweep.at_best.torque_nm;
        series.push(Series {
            id: format!("torque-{n}"),
            name: sweep_place(sweep, study),
            ink,
            dash,
            line: sweep.points.iter().map(|p| (p.advance_rad.to_degrees(), share(p.torque_nm))).collect(),
            ..Series::default()
        });
        let mark = |at: Finding, y: f64| Mark {
            x: at.si.to_degrees(),
            y,
            plus_minus_x: at.plus_minus_si.to_degrees(),
            ..Mark::default()
        };
        let marks = |id: &str, name: &str, marker: Marker, mark: Mark| Series {
            id: format!("{id}-{n}"),
            name: if n == 0 { name.to_owned() } else { String::new() },
            ink,
            marks: vec![mark],
            marker,
            ..Series::default()
        };
        series.extend(sweep.best.at().map(|at| marks("best", label::BEST, Marker::Diamond, mark(at, 100.0))));
        series.extend(
            sweep.now.map(|now| marks("now", label::AS_FOUND, Marker::Disc, mark(now.advance, 100.0 * now.torque_share))),
        );
    }
    Chart {
        id: "torque".to_owned(),
        title: label::TORQUE_TITLE.to_owned(),
        description: label::TORQUE_DESCRIPTION.to_owned(),
        x: Axis::new(label::ADVANCE, label::DEGREES_BTDC, f64::NAN, f64::NAN),
        y: Axis::new(label::TORQUE, label::PERCENT_OF_BEST, f64::NAN, f64::NAN),
        areas: Vec::new(),
        rules: Vec::new(),
        series,
    }
}
