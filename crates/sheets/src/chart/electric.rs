//! Charge current against speed, and charge over a ride.

use super::{Axis, Chart, Rule, Series};
use crate::scene::{Dash, ink};
use crate::words::{electric as text, label, rpm_of};
use workshop::study::electric::{
    charge::{BreakEven, ChargeStudy},
    ride::RideStudy,
};

/// What the alternator can give, what the loads take, what goes into the battery.
pub fn charge_chart(study: &ChargeStudy) -> Chart {
    let line = |of: &dyn Fn(usize) -> f64| -> Vec<(f64, f64)> {
        study.points.iter().enumerate().map(|(k, p)| (rpm_of(p.crank_rad_s), of(k))).collect()
    };
    let p = &study.points;
    let series = |id: &str, name: &str, ink: u8, line, band| Series {
        id: id.to_owned(),
        name: name.to_owned(),
        ink,
        dash: ink::dash_of(ink),
        line,
        band,
        ..Series::default()
    };
    let band = p
        .iter()
        .map(|p| (rpm_of(p.crank_rad_s), p.gives.si - p.gives.plus_minus_si, p.gives.si + p.gives.plus_minus_si))
        .collect();
    let rules = match study.break_even {
        BreakEven::At(at) => {
            vec![Rule { id: "even".to_owned(), label: text::EVEN_AT.to_owned(), x: rpm_of(at.si), dash: Dash::Short }]
        }
        BreakEven::Never | BreakEven::Always | BreakEven::Unknown(_) => Vec::new(),
    };
    Chart {
        id: "charge".to_owned(),
        title: text::CHARGE_TITLE.to_owned(),
        description: text::CHARGE_DESCRIPTION.to_owned(),
        x: Axis::new(label::SPEED, label::RPM, 0.0, 0.0),
        y: Axis::new(text::CURRENT, text::AMPERE, 0.0, 0.0),
        areas: Vec::new(),
        rules,
        series: vec![
            series("gives", text::GIVES, 0, line(&|k| p[k].gives.si), band),
            series("loads", text::LOADS_TAKE, 1, line(&|k| p[k].loads_a), Vec::new()),
            series("battery", text::INTO_BATTERY, 2, line(&|k| p[k].battery.si), Vec::new()),
        ],
    }
}

/// State of charge over the ride.
pub fn ride_chart(study: &RideStudy) -> Chart {
    let line = |points: &[(f64, f64)]| points.iter().map(|(t, charge)| (t / 60.0, 100.0 * charge)).collect();
    let series = |id: &str, name: &str, ink: u8, points| Series {
        id: id.to_owned(),
        name: name.to_owned(),
        ink,
        dash: ink::dash_of(ink),
        line: line(points),
        ..Series::default()
    };
    let mut all = vec![series("all-on", text::ALL_ON, 0, &study.charge)];
    all.extend(study.planned.as_ref().map(|points| series("planned", text::AS_PLANNED, 1, points)));
    Chart {
        id: "ride".to_owned(),
        title: text::RIDE_TITLE.to_owned(),
        description: text::RIDE_DESCRIPTION.to_owned(),
        x: Axis::new(text::TIME, text::MINUTES, 0.0, 0.0),
        y: Axis::new(text::STATE_OF_CHARGE, "%", 0.0, 100.0),
        areas: Vec::new(),
        rules: Vec::new(),
        series: all,
    }
}
