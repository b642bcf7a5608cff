//! Speed against time in a run.

use super::{Axis, Chart, Rule, Series};
use crate::scene::Dash;
use crate::words::{label, rpm_of, run as text};
use physics::run::Run;
use workshop::study::{recording::over::Over, run::RunStudy};

/// The run with every burn alike, the one with burns that vary, and what the hand does; over them a recording, where there is one.
pub fn run_chart(study: &RunStudy, over: Option<&Over>) -> Chart {
    let line = |run: &Run| run.turns.iter().map(|t| (t.time_s, rpm_of(t.mean_rad_s))).collect();
    let series = |id: &str, name: &str, (ink, dash): (u8, Dash), run: &Run| Series {
        id: id.to_owned(),
        name: name.to_owned(),
        ink,
        dash,
        line: line(run),
        ..Series::default()
    };
    let heard = over.map(|over| Series {
        id: "heard".to_owned(),
        name: text::HEARD.to_owned(),
        ink: 1,
        dash: Dash::Dots,
        line: over.course.iter().map(|(t, n)| (*t, rpm_of(*n))).collect(),
        ..Series::default()
    });
    let stretches = std::iter::once((&0.0, text::IDLES)).chain(study.even.stages_s.iter().zip(text::STAGES));
    let rules = stretches.enumerate().map(|(n, (at, what))| Rule {
        id: format!("stretch-{n}"),
        label: what.to_owned(),
        x: *at,
        dash: Dash::Dots,
    });
    Chart {
        id: "run".to_owned(),
        title: text::TITLE.to_owned(),
        description: text::DESCRIPTION.to_owned(),
        x: Axis::new(text::TIME, text::SECONDS, 0.0, 0.0),
        y: Axis::new(label::SPEED, label::RPM, 0.0, 0.0),
        areas: Vec::new(),
        rules: rules.collect(),
        series: [
            series("varied", text::VARIED, (2, Dash::Long), &study.varied),
            series("even", text::EVEN, (0, Dash::Full), &study.even),
        ]
        .into_iter()
        .chain(heard)
        .collect(),
    }
}
