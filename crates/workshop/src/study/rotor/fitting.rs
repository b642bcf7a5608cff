//! Which puller and which mandrel fit: the puller against holes and boss of the section, the mandrel by the bore.

use super::magnets::NotFound;
use crate::study::doubt::{finding, input};
use crate::{
    machine::{
        Puller, PullsBy, Taper,
        rotor::{Hole, Part, Purpose, Rotor},
    },
    study::Finding,
};
use physics::rotor::thread::Metric;

/// A mandrel that fits the bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mandrel {
    /// Change of diameter over length \[1\]: the bore's own where that was measured.
    pub ratio: Finding,
    /// Angle of one side to the axis [rad].
    pub side: Finding,
    /// Diameter at the large end [m].
    pub large: Finding,
    /// At the small end [m].
    pub small: Finding,
    /// Length of the seat [m].
    pub length: Finding,
    /// Nominal diameter of the nut's thread, and its pitch [m].
    pub thread_m: [f64; 2],
}

/// The mandrel for a seat.
pub fn mandrel(taper: &Taper) -> Mandrel {
    let ratio = taper.hub_ratio.as_ref().unwrap_or(&taper.ratio);
    let inputs = [input(&taper.large_diameter), input(ratio), input(&taper.length)];
    Mandrel {
        ratio: Finding::of(ratio),
        side: finding(|x| (0.5 * x[1]).atan(), &inputs),
        large: Finding::of(&taper.large_diameter),
        small: finding(|x| x[0] - x[1] * x[2], &inputs),
        length: Finding::of(&taper.length),
        thread_m: [taper.thread.si, taper.pitch.si],
    }
}

/// A number of the puller that does not go with the rotor's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Misfit {
    /// As many bolts do not come to evenly spaced holes.
    Count {
        /// Bolts of the plate.
        bolts: u8,
        /// Holes of the row.
        holes: u8,
    },
    /// The circles differ by more than the play of the bolts in their plate.
    Circle {
        /// Of the bolts [m].
        bolts: Finding,
        /// Of the holes [m].
        holes: Finding,
    },
    /// The holes are wider than the thread holds in.
    HoleTooWide {
        /// Diameter [m].
        hole: Finding,
        /// Widest that such a thread may be tapped in [m].
        most_m: f64,
    },
    /// The holes are narrower than the thread goes into.
    HoleTooNarrow {
        /// Diameter [m].
        hole: Finding,
        /// Least diameter inside such a thread [m].
        least_m: f64,
    },
    /// More thread is filled than the holes are deep.
    TooDeep {
        /// Length that is filled [m].
        engaged: Finding,
        /// Depth of the holes [m].
        deep: Finding,
    },
    /// The bolts pull on the rim.
    OnRim,
    /// The thread is larger than the boss.
    BossTooThin {
        /// Thread [m].
        thread_m: f64,
        /// Outside of the boss [m].
        boss: Finding,
    },
    /// The boss is wider inside than the thread holds in.
    BoreTooWide {
        /// Inside of the boss at its outer end [m].
        bore: Finding,
        /// Widest that such a thread may be tapped in [m].
        most_m: f64,
    },
}

/// Play of a bolt in the hole of its plate, as a share of the bolt \[1\]: 6.6 mm for M6, 9 for M8 and 11 for M10 (ISO 273, medium, from memory).
const PLAY: f64 = 0.1;

/// What of the puller does not fit; nothing where all that the file has of both goes together. A thread that the section does not show counts as not seen.
///
/// # Errors
/// [`NotFound::Missing`] where the file has nothing to set it against.
pub fn puller(puller: Option<&Puller>, rotor: &Rotor) -> Result<Vec<Misfit>, NotFound> {
    let puller = puller.ok_or(NotFound::Missing("rotor.puller"))?;
    let thread = Metric::new(puller.thread.si, puller.pitch.si).ok_or(NotFound::Impossible)?;
    match (puller.by, &puller.bolts) {
        (PullsBy::Bolts, Some((bolts, circle))) => {
            let rows = rotor.holes.iter().filter(|h| h.purpose == Purpose::Puller);
            let against = rows.map(|row| row_of_holes(puller, *bolts, Finding::of(circle), &thread, row, rotor));
            against.min_by_key(Vec::len).ok_or(NotFound::Missing("rotor.hole"))
        }
        (PullsBy::Bolts, None) => Err(NotFound::Missing("rotor.puller.bolts")),
        (PullsBy::Boss, _) => boss(&thread, rotor),
    }
}

fn row_of_holes(puller: &Puller, bolts: u8, circle: Finding, thread: &Metric, row: &Hole, rotor: &Rotor) -> Vec<Misfit> {
    let (hole, holes, engaged) = (Finding::of(&row.diameter), Finding::of(&row.on_circle), Finding::of(&puller.engaged));
    let deep = finding(|x| x[1] - x[0], &[input(&row.from), input(&row.to)]);
    let beyond = |a: Finding, b: Finding| a.si - b.si > a.plus_minus_si + b.plus_minus_si;
    let apart = (circle.si - holes.si).abs() - circle.plus_minus_si - holes.plus_minus_si;
    let (least_m, most_m) = (thread.minor_m(), widest_m(thread));
    // A bolt's edge in the metal of the rim.
    let on_rim = rotor.pieces.iter().filter(|p| p.part == Part::Rim).any(|rim| {
        let along = row.from.si < rim.to.si && row.to.si > rim.from.si;
        let inside = rim.insides().map(|d| d.si).into_iter().fold(f64::INFINITY, f64::min);
        along && holes.si + hole.si > inside
    });
    let all = [
        (bolts > row.count || !row.count.is_multiple_of(bolts)).then_some(Misfit::Count { bolts, holes: row.count }),
        (apart > PLAY * puller.thread.si).then_some(Misfit::Circle { bolts: circle, holes }),
        (hole.si - hole.plus_minus_si > most_m).then_some(Misfit::HoleTooWide { hole, most_m }),
        (hole.si + hole.plus_minus_si < least_m).then_some(Misfit::HoleTooNarrow { hole, least_m }),
        beyond(engaged, deep).then_some(Misfit::TooDeep { engaged, deep }),
        on_rim.then_some(Misfit::OnRim),
    ];
    all.into_iter().flatten().collect()
}

/// Widest that a sound tapped hole may be [m]: the inside of the thread and the tolerance of class 6H, `230 P^0.7` µm, below a pitch of 1 mm `433 P − 190 P^1.22`, P in mm.
/// Source: ISO 965-1 (from memory); the standard rounds these to steps of six in a hundred.
pub fn widest_m(thread: &Metric) -> f64 {
    let pitch = thread.pitch_m * 1e3;
    let micrometres = if pitch < 1.0 { 433.0 * pitch - 190.0 * pitch.powf(1.22) } else { 230.0 * pitch.powf(0.7) };
    thread.minor_m() + micrometres * 1e-6
}

/// A thread in the outer end of the boss, or over it.
fn boss(thread: &Metric, rotor: &Rotor) -> Result<Vec<Misfit>, NotFound> {
    let bosses = rotor.pieces.iter().filter(|p| p.part == Part::Boss);
    let outer = bosses.max_by(|a, b| a.to.si.total_cmp(&b.to.si)).ok_or(NotFound::Missing("rotor.piece"))?;
    let (over, bore) = (Finding::of(outer.outsides()[1]), Finding::of(outer.insides()[1]));
    let (thread_m, most_m) = (thread.diameter_m, widest_m(thread));
    let too_thin = thread_m > over.si + over.plus_minus_si;
    // One as wide as the boss is cut over it.
    let inside = thread_m < over.si - over.plus_minus_si;
    let all = [
        too_thin.then_some(Misfit::BossTooThin { thread_m, boss: over }),
        (inside && bore.si - bore.plus_minus_si > most_m).then_some(Misfit::BoreTooWide { bore, most_m }),
    ];
    Ok(all.into_iter().flatten().collect())
}
