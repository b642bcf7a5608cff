//! The chance of a hang over the cuts, and which input the doubt comes from.

use crate::words::percent;
use workshop::study::{
    Finding,
    curve::Origin,
    sensitivity::{Input, Sensitivity},
    unknowns::Unknown,
};

/// Heading of the shares.
pub const DOUBT: &str = "Where the doubt comes from";
/// The same after the advised cut.
pub const DOUBT_AFTER: &str = "Where the doubt after the cut comes from";
/// Column: the input.
pub const INPUT: &str = "Input";
/// Column: first order.
pub const ALONE: &str = "By itself";
/// Column: total.
pub const WITH_OTHERS: &str = "With others";
/// What the columns mean.
pub const HOW_SHARES: &str = "By itself: the part of the doubt that would go if this alone were known exactly. With others: the part that would stay if everything else were known exactly. 95 % interval.";

/// Chart heading.
pub const TITLE: &str = "Chance of a hang against the cut";
/// For screen readers.
pub const DESCRIPTION: &str = "Share of the sampled engines that hang after each cut, with its 95 % interval, the most that may hang, and the cuts that serve.";
/// Axis: cut along the rim.
pub const CUT: &str = "Cut";
/// Its unit.
pub const MM: &str = "mm along the rim";
/// Axis: share of cases.
pub const SHARE: &str = "Engines that hang";
/// Its unit.
pub const PERCENT: &str = "%";
/// Series: the share.
pub const HANG: &str = "hang";
/// Series: the bound below which a cut serves.
pub const ALLOWED: &str = "most that may hang";
/// Area.
pub const SERVES: &str = "cuts that serve";
/// Rule.
pub const THIS_CUT: &str = "this cut";

/// Name of an input.
pub fn input(input: Input) -> &'static str {
    match input {
        Input::Of(Unknown::IdleSpeed) => "idle speed",
        Input::Of(Unknown::BurnFactor) => "flame-speed factor",
        Input::Of(Unknown::FrictionFactor) => "friction factor",
        Input::Of(Unknown::FrictionSlope) => "rise of the friction with speed",
        Input::Of(Unknown::RunnerVolume) => "inlet volume behind the throttle",
        Input::Of(Unknown::Overlap) => "valve overlap",
        Input::Calibrated => "calibrated flame and friction",
        Input::Curve(Origin::Readings) => "strobe readings",
        Input::Curve(Origin::Law) => "numbers of the module's law",
        Input::Curve(Origin::Segment) => "segment and lead",
        Input::Curve(Origin::Places) => "places of the pickups",
        Input::Cut => "accuracy of the cut",
    }
}

/// Where most of the doubt comes from, in a sentence or two. `None` where nothing is uncertain.
pub fn doubt(found: &Sensitivity) -> Option<String> {
    let first = found.inputs.first()?;
    let name = input(first.input);
    let total = share(first.rank());
    Some(match first.hang {
        Some(hang) => format!(
            "Most of the doubt whether it hangs comes from: {name} ({} by itself, {total} with others). Measure it better first.",
            share(hang.first)
        ),
        None => format!(
            "Nearly all sampled engines agree whether it hangs, so no better reading is needed for that. How far it is from the other answer depends most on: {name} ({total})."
        ),
    })
}

/// One row: name, share by itself, share with others; of the question whether it hangs or, where all agree, of how far from it.
pub fn doubt_rows(found: &Sensitivity) -> Vec<[String; 3]> {
    found
        .inputs
        .iter()
        .map(|i| {
            let of = i.hang.unwrap_or(i.spare);
            [input(i.input).to_owned(), share(of.first), share(of.total)]
        })
        .collect()
}

/// `38 % ± 4 %`; what is surely less than 1 % only as that.
fn share(f: Finding) -> String {
    if f.si.abs() + f.plus_minus_si < 0.01 {
        return "below 1\u{a0}%".to_owned();
    }
    format!("{}\u{a0}± {}", percent(f.si), percent(f.plus_minus_si))
}

/// How the chances of the cuts were worked out, and how often the shortcut fails.
pub fn over_cuts(tried: usize, out_of_order: usize) -> String {
    let checked = format!("Of {tried} sampled engines tried at every single cut, {out_of_order}");
    let order = match out_of_order {
        0 => format!("{checked} hang again at a longer cut than the one that cures them"),
        1 => format!("{checked} hangs again at a longer cut than the one that cures it"),
        _ => format!("{checked} hang again at a longer cut than the one that cures them; the curve leaves that out"),
    };
    format!("For each sampled engine the least cut that cures it is found. {order}.")
}
