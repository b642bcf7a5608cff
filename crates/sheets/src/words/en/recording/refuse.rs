//! Why a recording says nothing, and what must be said beside an answer.

use crate::words::{count, degrees, number, percent};
use physics::recording::NoMarks;
use workshop::study::recording::{Caution, NotHeard, sound::NotTold};

/// A channel's name, from its index.
pub fn channel(index: usize) -> &'static str {
    if index == 0 { "left (first) channel" } else { "right (second) channel" }
}

fn times(n: usize) -> String {
    if n == 1 { "once".to_owned() } else { format!("{} times", count(n)) }
}

fn no_marks(why: NoMarks) -> String {
    match why {
        NoMarks::TooFew { found } => format!("{} pulses are too few for turns. Record longer, or louder", count(found)),
        NoMarks::NoOrder => "pulses follow one another without order. Look whether the lead sits on the pickup, and keep it away from the spark lead".to_owned(),
        NoMarks::HalfATurn => "its two pulses are half a turn apart, so which end leads cannot be told. Record a mark instead, and say where it stands with --mark".to_owned(),
        NoMarks::NoPace => "its pulses do not come at an even pace, as an engine's do".to_owned(),
    }
}

/// Why trigger and spark say nothing.
pub fn not_heard(why: NotHeard) -> String {
    match why {
        NotHeard::TooShort { seconds } => format!("The recording is {} s long. Record at least some ten turns.", number(seconds, 2)),
        NotHeard::Silent { channel: c } => format!("The {} is silent. Look at lead, level and balance.", channel(c)),
        NotHeard::Crowded { channel: c } => {
            format!("The {} is no row of single pulses: there are more events than any engine gives. Is it music, speech or noise?", channel(c))
        }
        NotHeard::RolesNotTold => {
            "Which channel holds the trigger and which the spark cannot be told from their pulses. Say so with --trigger left or --trigger right.".to_owned()
        }
        NotHeard::NoTurns { channel: c, why } => format!("No turns are found in the {}: {}.", channel(c), no_marks(why)),
        NotHeard::MarkNotPlaced => {
            "The trigger's channel shows one mark in a turn, not the two ends of a segment. Say at which angle that mark passes, with --mark, as “0°” at top dead centre.".to_owned()
        }
        NotHeard::OtherSegment { recorded_rad, file_rad } => format!(
            "The two pulses of a turn are {} of crank apart, the segment in the machine file is {} long. Measure the segment again, or say with --mark where the mark stands.",
            degrees(recorded_rad),
            degrees(file_rad)
        ),
        NotHeard::NoSuchPickup => "The machine file has no such pickup.".to_owned(),
        NotHeard::NotASegment { channel: c } => format!(
            "The {} shows one pulse in a turn, not the two ends of a segment. Two pickups are compared where each hears the rotor's segment pass.",
            channel(c)
        ),
        NotHeard::NotTogether { turns } => {
            format!("Only {} turns are in both channels. Record both pickups at once, at a speed that both can be heard at.", count(turns))
        }
        NotHeard::NoSparks { found, turns } => format!(
            "{} turns are found, but of {} events in the other channel too few are sparks within them. Look whether the clamp sits round a lead that fires.",
            count(turns),
            count(found)
        ),
        NotHeard::NoPlace { near, of } => format!(
            "Of {} sparks only {} come near an advance that this engine can have. Is it the right machine file, the right pickup, the right mark?",
            count(of),
            count(near)
        ),
    }
}

/// Why a sound says nothing.
pub fn not_told(why: NotTold) -> String {
    match why {
        NotTold::TooShort { seconds } => {
            format!("The recording is {} s long. Record at least three seconds.", number(seconds, 1))
        }
        NotTold::Silent => "The recording is silent.".to_owned(),
        NotTold::CannotLook => "The rate of the recording is too low to hear firings apart.".to_owned(),
        NotTold::NoEngine { trusted } => format!(
            "No speed of this engine goes with the sound: only {} of it would be trusted. Hold the microphone a step away from the end of the pipe, out of the wind, and switch off what filters speech.",
            percent(trusted)
        ),
    }
}

/// What must be said beside an answer.
pub fn caution(c: &Caution) -> String {
    match *c {
        Caution::Clipped { channel: ch, share } => format!(
            "The {} is clipped ({} of its samples). Times are good, heights say nothing: turn the level down.",
            channel(ch),
            percent(share)
        ),
        Caution::Wanders { channel: ch, share } => format!(
            "The {} wanders by {} of a pulse's height: hum or drift. It was taken out; a battery instead of the charger, and one earth, would keep it out.",
            channel(ch),
            percent(share)
        ),
        Caution::Noisy { channel: ch, db } => format!(
            "Pulses in the {} stand only {} dB above the noise. Some may be missed, and single times are less sure.",
            channel(ch),
            number(db, 0)
        ),
        Caution::NotNumbers { channel: ch, count: n } => {
            format!("{} samples of the {} are no numbers and were taken as nought.", count(n as usize), channel(ch))
        }
        Caution::TurnsMissing { turns, breaks } => match (turns, breaks) {
            (t, 0) => format!("{} turns have no mark; no firing is judged there.", count(t)),
            (0, b) => format!("The row of turns breaks off {}.", times(b)),
            (t, b) => format!("{} turns have no mark and the row of turns breaks off {}; no firing is judged there.", count(t), times(b)),
        },
        Caution::OneMark => "With one mark a turn, it is not seen how the speed changes within the turn. At idle and while it speeds up, a spark far from the mark may stand off by a degree and more; the ± of the rows has it.".to_owned(),
        Caution::LeadNotProved => "The advance counts from the lead in the machine file, which this recording cannot prove. A mark at top dead centre in place of the pickup would.".to_owned(),
        Caution::CoarseRate { sample_rad } => format!(
            "At the greatest speed one sample is {} of crank. Record with a higher rate if single sparks matter.",
            degrees(sample_rad)
        ),
    }
}
