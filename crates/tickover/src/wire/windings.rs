//! Windings that were measured, as JSON.

use super::{Number, electric::plain};
use serde::Serialize;
use workshop::study::electric::windings::{Insulation, JudgedBy, Verdict, WindingFound, WindingsStudy};

/// Windings.
#[derive(Debug, Serialize)]
pub struct Windings {
    windings: Vec<Winding>,
}

#[derive(Debug, Serialize)]
struct Winding {
    name: String,
    at_20_ohm: Number,
    least_ohm: Option<f64>,
    most_ohm: Option<f64>,
    judged_by: &'static str,
    verdict: &'static str,
    leads_unknown: bool,
    twins: Option<Twins>,
    insulation_ohm: Option<f64>,
    insulation: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct Twins {
    count: usize,
    off_share: Number,
    /// `null`: cannot tell.
    odd: Option<bool>,
}

impl Windings {
    /// From a study.
    pub fn of(study: &WindingsStudy) -> Self {
        let one = |w: &WindingFound| {
            let (judged_by, range) = match w.by {
                JudgedBy::Record(least, most) => ("record", Some((least, most))),
                JudgedBy::Trade(least, most) => ("common_practice", Some((least, most))),
                JudgedBy::Nothing => ("nothing", None),
            };
            Winding {
                name: w.name.clone(),
                at_20_ohm: plain(w.at_20),
                least_ohm: range.map(|r| r.0),
                most_ohm: range.map(|r| r.1),
                judged_by,
                verdict: match w.verdict {
                    Verdict::Within => "within",
                    Verdict::OnTheEdge => "cannot_tell",
                    Verdict::Low => "low",
                    Verdict::High => "high",
                    Verdict::NotJudged => "not_judged",
                },
                leads_unknown: w.leads_unknown,
                twins: w.twins.as_ref().map(|t| Twins { count: t.count, off_share: plain(t.off), odd: t.odd }),
                insulation_ohm: w.insulation.map(|i| i.0),
                insulation: w.insulation.map(|i| match i.1 {
                    Insulation::Good => "good",
                    Insulation::Doubtful => "doubtful",
                    Insulation::ToFrame => "to_frame",
                }),
            }
        };
        Self { windings: study.windings.iter().map(one).collect() }
    }
}
