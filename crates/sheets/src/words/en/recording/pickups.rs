//! Two pickups side by side.

use super::{channel, names, pulses};
use crate::words::{count, degrees_pm, mm_pm, number, percent, pm, rpm};
use workshop::{
    machine::Machine,
    study::{
        Finding,
        recording::pickups::{Alike, PickupFound, Pickups},
    },
};

/// Title of the sheet.
pub const PICKUPS_TITLE: &str = "Both pickups side by side";
/// Heads of the table.
pub const PICKUPS_HEAD: [&str; 3] = ["", "left (first)", "right (second)"];

/// Length, rate and speeds.
pub fn pickups_what(found: &Pickups) -> String {
    format!(
        "{} s at {} samples a second, {} and {} turns from {} to {}.",
        number(found.seconds, 1),
        number(found.rate_hz, 0),
        count(found.each[0].turns),
        count(found.each[1].turns),
        rpm(found.range_rad_s.0),
        rpm(found.range_rad_s.1)
    )
}

/// The verdict.
pub fn pickups_verdict(found: &Pickups) -> String {
    let share = |weaker: usize| {
        let share = found.ratio.map_or(f64::NAN, |r| if weaker == 1 { r.si } else { 1.0 / r.si });
        format!("The pickup in the {} gives {} of the other's pulse at the same speed.", channel(weaker), percent(share))
    };
    match found.alike {
        Alike::Yes => "Both pickups are alike: same polarity, pulses as high within what two pickups differ by.".to_owned(),
        Alike::Turned => "The two are connected opposite ways round: the leading end gives an upward pulse in one and a downward one in the other. Look which one the module wants, and whether the recorder's leads were changed over.".to_owned(),
        Alike::WiderGap(weaker) => format!("{} Its pulse is wider too: its gap is. Set both gaps alike and record again.", share(weaker)),
        Alike::Weaker(weaker) => format!(
            "{} Its pulse is no wider, so it is not the gap: shorted turns, a weak magnet, a load on it, or the level of that input. Change the two inputs over to tell.",
            share(weaker)
        ),
        Alike::NotTold => "A channel is clipped: which pulse is higher is not told. Turn the level down and record again.".to_owned(),
    }
}

/// Rows of the table.
pub fn pickups_rows(machine: &Machine, found: &Pickups) -> Vec<Vec<String>> {
    let row = |name: &str, of: &dyn Fn(&PickupFound) -> String| vec![name.to_owned(), of(&found.each[0]), of(&found.each[1])];
    // Per 1000 rpm.
    let scale = 1000.0 * std::f64::consts::TAU / 60.0;
    let peak = |of: fn((Finding, Finding)) -> Finding| {
        move |p: &PickupFound| {
            let unit = if p.pulses.volts { "V" } else { "of full scale" };
            let said = |f: Finding| format!("{} {unit}", pm(f.si * scale, f.plus_minus_si * scale, 3));
            p.pulses.peak_per_speed.map_or_else(|| "clipped".to_owned(), |peaks| said(of(peaks)))
        }
    };
    let length = |of: fn(&PickupFound) -> Option<Finding>| move |p: &PickupFound| of(p).map_or_else(|| "—".to_owned(), mm_pm);
    vec![
        row("fires", &|p| if p.fires.is_empty() { "—".to_owned() } else { names(machine, &p.fires) }),
        row("leading end's pulse", &|p| if p.pulses.first_up { "upward" } else { "downward" }.to_owned()),
        row("its peak at 1000 rpm", &peak(|p| p.0)),
        row("the trailing one's", &peak(|p| p.1)),
        row("width at half height", &length(|p| p.pulses.width)),
        row("gap at least", &length(|p| p.pulses.gap_at_least)),
        row("gap at most", &length(|p| p.pulses.gap_at_most)),
        row("gap in the file", &length(|p| p.gap_in_file)),
        row("segment", &|p| degrees_pm(p.arc)),
    ]
}

/// Ratio, and how far they are apart.
pub fn pickups_lines(found: &Pickups) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(ratio) = found.ratio {
        all.push(format!("Peak of the second against the first, turn by turn: {}.", pm(ratio.si, ratio.plus_minus_si, 3)));
    }
    all.push(format!("Width of the second against the first: {}.", pm(found.widths.si, found.widths.plus_minus_si, 3)));
    all.push(match found.apart.1 {
        Some(file) => format!(
            "The second passes {} of crank behind the first; by the file {}.",
            degrees_pm(found.apart.0),
            degrees_pm(file)
        ),
        None => format!("The second passes {} of crank behind the first.", degrees_pm(found.apart.0)),
    });
    for (index, pickup) in found.each.iter().enumerate() {
        if let Some(said) = pulses(&pickup.pulses).last() {
            all.push(format!("In the {}: {said}", channel(index)));
        }
    }
    all
}
