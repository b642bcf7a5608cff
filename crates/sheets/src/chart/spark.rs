//! Voltage available and needed, and the pickup's peak, over speed.

use super::{Axis, Chart, Rule, Series};
use crate::scene::Dash;
use crate::words::{label, rpm_of, spark as text};
use workshop::machine::Machine;
use workshop::study::{
    Finding,
    spark::{
        SparkStudy,
        margin::{At, Case},
        signal::peak_v,
    },
};

/// Volts in a kilovolt [1] (by definition).
const KILO: f64 = 1e-3;

fn line(id: &str, name: &str, (ink, dash): (u8, Dash), points: &[(f64, Finding)], scale: f64, band: bool) -> Series {
    let at = |(speed, f): &(f64, Finding)| (rpm_of(*speed), f.si * scale, f.plus_minus_si * scale);
    let all = points.iter().map(at);
    Series {
        id: id.to_owned(),
        name: name.to_owned(),
        ink,
        dash,
        line: all.clone().map(|(x, y, _)| (x, y)).collect(),
        band: if band { all.map(|(x, y, half)| (x, y - half, y + half)).collect() } else { Vec::new() },
        ..Series::default()
    }
}

/// Available and needed voltage with their ±, and what is worse, over speed.
pub fn margin_chart(study: &SparkStudy) -> Chart {
    let points = &study.margin.points;
    let of = |f: fn(&At) -> Finding| -> Vec<(f64, Finding)> { points.iter().map(|p| (p.speed_rad_s, f(p))).collect() };
    let mut series = vec![
        line("available", text::AVAILABLE, (0, Dash::Full), &of(|p| p.available), KILO, true),
        line("needed", text::NEEDED, (1, Dash::Long), &of(|p| p.needed.volts), KILO, true),
        line("worn", text::NEEDED_WORN, (1, Dash::Dots), &of(|p| p.needed.worn), KILO, false),
    ];
    for (k, case) in study.margin.cases.iter().filter(|c| c.case != Case::Worn).enumerate() {
        let found = points.iter().zip(&case.available_v);
        let line_points: Vec<(f64, Finding)> =
            found.map(|(p, v)| (p.speed_rad_s, Finding { si: *v, plus_minus_si: 0.0 })).collect();
        let dash = [Dash::Short, Dash::Centre, Dash::Dots][k.min(2)];
        let id = ["fouled", "hot", "weak"][k.min(2)];
        series.push(line(id, text::case(case.case), (2, dash), &line_points, KILO, false));
    }
    Chart {
        id: "spark".to_owned(),
        title: text::MARGIN_TITLE.to_owned(),
        description: text::MARGIN_DESCRIPTION.to_owned(),
        x: Axis::new(label::SPEED, label::RPM, 0.0, 0.0),
        y: Axis::new(text::VOLTAGE, text::KV, 0.0, 0.0),
        areas: Vec::new(),
        rules: kick(study),
        series,
    }
}

/// Each pickup's peak with its ± over speed, and the module's need. `None` where no pickup has a pulse.
pub fn signal_chart(machine: &Machine, study: &SparkStudy) -> Option<Chart> {
    let signals = study.signal.as_ref().ok().filter(|s| !s.is_empty())?;
    let kick_rad_s = machine.engine.kicking_speed.si;
    // Above a few times the kick every pickup has enough; what is near the need is what matters.
    let speeds: Vec<f64> = (0..=SIGNAL_POINTS).map(|k| kick_rad_s * MOST_KICKS * k as f64 / SIGNAL_POINTS as f64).collect();
    let mut series = Vec::new();
    for (k, s) in signals.iter().enumerate() {
        let share = s.peak.plus_minus_si / s.peak.si;
        let points: Vec<(f64, Finding)> = speeds
            .iter()
            .map(|speed| {
                let si = peak_v(s, kick_rad_s, *speed);
                (*speed, Finding { si, plus_minus_si: share * si })
            })
            .collect();
        let style = if k % 2 == 0 { (0, Dash::Full) } else { (2, Dash::Short) };
        series.push(line(&format!("pickup-{k}"), &text::pickup(machine, s.pickup), style, &points, 1.0, true));
    }
    let need: Vec<(f64, Finding)> = speeds.iter().map(|speed| (*speed, signals[0].need)).collect();
    series.push(line("need", text::NEED_OF_MODULE, (1, Dash::Long), &need, 1.0, true));
    Some(Chart {
        id: "signal".to_owned(),
        title: text::SIGNAL_TITLE.to_owned(),
        description: text::SIGNAL_DESCRIPTION.to_owned(),
        x: Axis::new(label::SPEED, label::RPM, 0.0, 0.0),
        y: Axis::new(text::VOLTAGE, text::V, 0.0, 0.0),
        areas: Vec::new(),
        rules: kick(study),
        series,
    })
}

/// Speeds of the signal's lines [1] (own choice), up to so many times the kick [1] (own choice).
const SIGNAL_POINTS: usize = 12;
const MOST_KICKS: f64 = 2.0;

fn kick(study: &SparkStudy) -> Vec<Rule> {
    let at = |p: &At| Rule { id: "kick".to_owned(), label: text::KICK.to_owned(), x: rpm_of(p.speed_rad_s), dash: Dash::Short };
    study.margin.points.first().map(at).into_iter().collect()
}
