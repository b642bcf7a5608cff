//! Which coil belongs where.

use super::{kv, microseconds, times};
use crate::words::{celsius, number, rpm};
use workshop::study::{
    Finding,
    spark::{
        SparkStudy,
        coils::{Fault, Judged, Whose},
    },
};

/// Heads of the table of coils.
pub const COILS_HEAD: [&str; 6] = ["coil", "standing current", "heat", "rise", "at the kick", "fouled"];

fn name(study: &SparkStudy, whose: Whose) -> &'static str {
    match (whose, study.kind.discharges()) {
        (Whose::Own, _) => "own",
        (Whose::OtherKind, true) => "a battery coil in its place",
        (Whose::OtherKind, false) => "a coil for capacitor discharge in its place",
    }
}

/// One coil as a row.
pub fn row(study: &SparkStudy, j: &Judged) -> Vec<String> {
    let amperes = |a: f64| format!("{}\u{a0}A", number(a, 1));
    vec![
        name(study, j.whose).to_owned(),
        j.standing_a.map_or_else(|| "–".to_owned(), amperes),
        format!("{}\u{a0}W", number(j.heat_w, 0)),
        microseconds(j.rise_s),
        format!("{}, {}", kv(Finding { si: j.kick_v, plus_minus_si: 0.0 }), times(j.kick)),
        times(j.kick_fouled),
    ]
}

/// What is wrong with a coil, or that nothing is.
pub fn judged(study: &SparkStudy, j: &Judged) -> Vec<String> {
    let who = match j.whose {
        Whose::Own => "The own coil",
        Whose::OtherKind if study.kind.discharges() => "A usual battery coil in its place",
        Whose::OtherKind => "A usual coil for capacitor discharge in its place",
    };
    if j.faults.is_empty() {
        return vec![match j.whose {
            Whose::Own => format!("{who} suits this ignition."),
            Whose::OtherKind => {
                format!(
                    "{who} would fire a clean plug here, but its pulse rises in {} and a fouled plug leaves it {} times.",
                    microseconds(j.rise_s),
                    times(j.kick_fouled)
                )
            }
        }];
    }
    j.faults.iter().map(|f| format!("{who} {}", fault(f, j))).collect()
}

fn fault(f: &Fault, j: &Judged) -> String {
    match f {
        Fault::TooMuchCurrent { current_a, bears_a } => format!(
            "takes {}\u{a0}A with the contacts closed; they bear {}\u{a0}A, and burn.",
            number(*current_a, 1),
            number(*bears_a, 1)
        ),
        Fault::TooHot { reaches_k, bears_k } => format!(
            "has {}\u{a0}W of heat {} and would reach {}; it bears {}.{}",
            number(j.heat_w, 0),
            if j.standing_a.is_some() { "at idle" } else { "at top speed" },
            celsius(*reaches_k),
            celsius(*bears_k),
            j.standing_w.map_or_else(String::new, |w| format!(
                " With the contacts left closed and the key on it is {}\u{a0}W.",
                number(w, 0)
            ))
        ),
        Fault::Starves { margin, at_rad_s } => {
            format!("gives {} times what the plug needs at {}: it does not surely fire.", number(*margin, 2), rpm(*at_rad_s))
        }
        Fault::Drained { rise_s, margin } => {
            format!("rises in {}: a fouled plug drains it to {} times what is needed.", microseconds(*rise_s), number(*margin, 2))
        }
    }
}
