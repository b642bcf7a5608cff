//! Which puller and mandrel fit.

use super::holds::not_found;
use crate::words::{degrees_pm, mm, mm_pm, mm_to_hundredth, number, pm};
use workshop::study::{
    Finding,
    rotor::{
        fitting::{Mandrel, Misfit},
        held::HeldStudy,
        magnets::NotFound,
    },
};

/// Mandrel and puller, a sentence each; what does not fit first.
pub fn fitting(study: &HeldStudy) -> Vec<String> {
    let mut said = match &study.puller_fits {
        Ok(none) if none.is_empty() => vec![
            "Nothing in the file stands against this puller: threads, circle and holes go together as far as they are there."
                .to_owned(),
        ],
        Ok(all) => all.iter().map(|m| misfit(*m)).chain([NO_STEPS.to_owned()]).collect(),
        // Said of the pull.
        Err(NotFound::Missing("rotor.puller") | NotFound::Impossible) => Vec::new(),
        Err(NotFound::Missing("rotor.hole")) => {
            vec!["Whether the puller fits is not told: no [[rotor.hole]] has purpose = \"puller\".".to_owned()]
        }
        Err(why) => vec![format!("Whether the puller fits: {}", not_found(*why))],
    };
    said.extend(study.mandrel.as_ref().map(mandrel));
    said
}

const NO_STEPS: &str = "So no steps are told. Find a puller that fits, or measure again what differs; never jaws on the rim.";

fn apart(a: f64, b: f64) -> String {
    mm_to_hundredth((a - b).abs())
}

fn misfit(m: Misfit) -> String {
    let so = match m {
        Misfit::Count { bolts, holes } => format!("its {bolts} bolts do not come evenly to {holes} holes"),
        Misfit::Circle { bolts, holes } => format!(
            "its bolts lie on a circle of {}, the holes on one of {}: {} apart, more than the play of the bolts",
            mm_pm(bolts),
            mm_pm(holes),
            apart(bolts.si, holes.si)
        ),
        Misfit::HoleTooWide { hole, most_m } => format!(
            "the holes are {}, and such a thread is tapped in {} at the most: {} too wide. The bolt would tear out",
            mm_pm(hole),
            mm_to_hundredth(most_m),
            apart(hole.si, most_m)
        ),
        Misfit::HoleTooNarrow { hole, least_m } => format!(
            "the holes are {}, and inside such a thread there are {} at the least: {} too narrow. They have another thread",
            mm_pm(hole),
            mm_to_hundredth(least_m),
            apart(hole.si, least_m)
        ),
        Misfit::TooDeep { engaged, deep } => format!(
            "{} of thread cannot be filled in holes that are {} deep: {} too long. The bolts would press on what lies behind",
            mm_pm(engaged),
            mm_pm(deep),
            apart(engaged.si, deep.si)
        ),
        Misfit::OnRim => "its bolts pull on the rim, which springs and cracks magnets".to_owned(),
        Misfit::BossTooThin { thread_m, boss } => {
            format!("its thread of {} is larger than the boss of {}: by {}", mm(thread_m), mm_pm(boss), apart(thread_m, boss.si))
        }
        Misfit::BoreTooWide { bore, most_m } => format!(
            "the boss is {} inside at its outer end, and such a thread is cut in {} at the most: {} too wide",
            mm_pm(bore),
            mm_to_hundredth(most_m),
            apart(bore.si, most_m)
        ),
    };
    format!("This puller does not fit: {so}.")
}

fn mandrel(m: &Mandrel) -> String {
    let of = |f: Finding| pm(f.si, f.plus_minus_si, 3);
    format!(
        "A mandrel that fits has the bore's taper, 1 in {} ({} of diameter over length, {} on each side), {} at the large end and {} at the small one, {} long, and a nut of {} with a pitch of {}. The nut draws it up; no jaws on the rim.",
        number(1.0 / m.ratio.si, 2),
        of(m.ratio),
        degrees_pm(m.side),
        mm_pm(m.large),
        mm_pm(m.small),
        mm_pm(m.length),
        mm(m.thread_m[0]),
        mm_to_hundredth(m.thread_m[1])
    )
}
