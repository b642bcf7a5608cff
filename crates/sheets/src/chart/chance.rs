//! The chance of a hang against the cut.

use super::{Area, Axis, Chart, Rule, Series};
use crate::scene::Dash;
use crate::words::chance as words;
use workshop::study::trim::{Advice, CutWindow, MOST_HANGING, TrimStudy};

/// Chance against cut with its band, the most that may hang, the cuts that serve, and one cut [m].
pub fn chance_chart(study: &TrimStudy, cut_m: Option<f64>) -> Chart {
    let known: Vec<_> = study.cuts.iter().filter_map(|c| Some((c.cut_m * 1e3, c.chance.filter(|c| c.of > 0)?))).collect();
    let share = Series {
        id: "hang".to_owned(),
        name: words::HANG.to_owned(),
        line: known.iter().map(|(mm, c)| (*mm, 100.0 * c.hanging as f64 / c.of as f64)).collect(),
        band: known.iter().map(|(mm, c)| (*mm, 100.0 * c.low, 100.0 * c.high)).collect(),
        ..Series::default()
    };
    let ends = known.first().zip(known.last()).map(|(a, b)| [a.0, b.0]);
    let allowed = Series {
        id: "allowed".to_owned(),
        name: words::ALLOWED.to_owned(),
        ink: 1,
        dash: Dash::Dots,
        line: ends.iter().flatten().map(|mm| (*mm, 100.0 * MOST_HANGING)).collect(),
        ..Series::default()
    };
    let window = match study.advice {
        Advice::Cut(w) | Advice::TryReversibleFirst { otherwise: Some(w), .. } => Some(w),
        _ => None,
    };
    let area = |w: CutWindow| Area {
        id: "serves".to_owned(),
        label: words::SERVES.to_owned(),
        from: w.least_m * 1e3,
        to: w.most_m * 1e3,
    };
    let rule = |m: f64| Rule { id: "this".to_owned(), label: words::THIS_CUT.to_owned(), x: m * 1e3, dash: Dash::Short };
    Chart {
        id: "chance".to_owned(),
        title: words::TITLE.to_owned(),
        description: words::DESCRIPTION.to_owned(),
        x: Axis::new(words::CUT, words::MM, 0.0, f64::NAN),
        y: Axis::new(words::SHARE, words::PERCENT, 0.0, 100.0),
        areas: window.map(area).into_iter().collect(),
        rules: cut_m.map(rule).into_iter().collect(),
        series: vec![share, allowed],
    }
}
