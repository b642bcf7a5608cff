//! What a recording shows: advance against speed, speed against time.

use super::{Axis, Chart, Mark, Marker, Series};
use crate::scene::Dash;
use crate::words::{label, recording as text, rpm_of};
use workshop::study::{
    curve::CurveStudy,
    recording::{Recorded, Row, pace::Pace},
};

/// The firings gathered by speed, the law fitted to them, and the curve of the machine file.
pub fn recorded_chart(found: &Recorded, by_file: Option<&CurveStudy>) -> Chart {
    let range = found.pace.range_rad_s;
    let mut series = Vec::new();
    let places: Vec<usize> = found.rows.iter().map(|r| r.place).collect();
    let mut seen: Vec<usize> = Vec::new();
    places.iter().for_each(|p| {
        if !seen.contains(p) {
            seen.push(*p);
        }
    });
    let mark = |r: &Row| Mark {
        x: rpm_of(r.speed.si),
        y: r.advance.si.to_degrees(),
        plus_minus_x: 0.0,
        plus_minus_y: r.advance.plus_minus_si.to_degrees(),
        wild: false,
    };
    for (n, place) in seen.iter().enumerate() {
        let ink = if n % 2 == 0 { 0 } else { 2 };
        series.push(Series {
            id: format!("recorded-{n}"),
            name: text::RECORDED.to_owned(),
            ink,
            marks: found.rows.iter().filter(|r| r.place == *place).map(mark).collect(),
            marker: Marker::of(ink),
            ..Series::default()
        });
        let cylinder = found.rows.iter().find(|r| r.place == *place).map_or(0, |r| r.cylinder);
        let own = |study: &CurveStudy| -> Vec<(f64, f64)> {
            let band = study.cylinders.get(cylinder).map(|c| c.band.as_slice()).unwrap_or_default();
            let inside = band.iter().filter(|b| b.speed_rad_s > 0.8 * range.0 && b.speed_rad_s < 1.2 * range.1);
            inside.map(|b| (rpm_of(b.speed_rad_s), b.advance.si.to_degrees())).collect()
        };
        if let Ok(curve) = &found.curve {
            series.push(Series {
                id: format!("fitted-{n}"),
                name: text::FITTED.to_owned(),
                ink,
                dash: Dash::Full,
                line: own(curve),
                ..Series::default()
            });
        }
        if let Some(study) = by_file {
            series.push(Series {
                id: format!("file-{n}"),
                name: text::BY_THE_FILE.to_owned(),
                ink: 1,
                dash: Dash::Long,
                line: own(study),
                ..Series::default()
            });
        }
    }
    Chart {
        id: "recorded".to_owned(),
        title: text::CHART.to_owned(),
        description: text::CHART_DESCRIPTION.to_owned(),
        x: Axis::new(label::SPEED, label::RPM, 0.0, 0.0),
        y: Axis::new(label::ADVANCE, label::DEGREES_BTDC, 0.0, 0.0),
        areas: Vec::new(),
        rules: Vec::new(),
        series,
    }
}

/// The same with the firings of a recording before.
pub fn change_chart(found: &Recorded, before: &Recorded, by_file: Option<&CurveStudy>) -> Chart {
    let mut chart = recorded_chart(found, by_file);
    let mark = |r: &Row| Mark {
        x: rpm_of(r.speed.si),
        y: r.advance.si.to_degrees(),
        plus_minus_x: 0.0,
        plus_minus_y: r.advance.plus_minus_si.to_degrees(),
        wild: true,
    };
    chart.series.push(Series {
        id: "before".to_owned(),
        name: text::RECORDED_BEFORE.to_owned(),
        ink: 1,
        marks: before.rows.iter().map(mark).collect(),
        marker: Marker::of(1),
        ..Series::default()
    });
    chart
}

/// Speed against time.
pub fn pace_chart(pace: &Pace) -> Chart {
    let points = |trusted: bool| pace.course.iter().filter(move |p| p.trusted == trusted);
    let mut series = vec![Series {
        id: "speed".to_owned(),
        name: text::TRUSTED.to_owned(),
        ink: 0,
        dash: Dash::Full,
        line: points(true).map(|p| (p.at_s, rpm_of(p.speed_rad_s))).collect(),
        ..Series::default()
    }];
    if points(false).next().is_some() {
        let mark = |p: &workshop::study::recording::pace::Point| Mark {
            x: p.at_s,
            y: rpm_of(p.speed_rad_s),
            plus_minus_x: 0.0,
            plus_minus_y: 0.0,
            wild: true,
        };
        series.push(Series {
            id: "doubtful".to_owned(),
            name: text::DOUBTFUL.to_owned(),
            ink: 2,
            marks: points(false).map(mark).collect(),
            marker: Marker::of(2),
            ..Series::default()
        });
    }
    Chart {
        id: "pace".to_owned(),
        title: text::PACE.to_owned(),
        description: text::PACE_DESCRIPTION.to_owned(),
        x: Axis::new(text::TIME, text::SECONDS, 0.0, 0.0),
        y: Axis::new(label::SPEED, label::RPM, 0.0, 0.0),
        areas: Vec::new(),
        rules: Vec::new(),
        series,
    }
}
