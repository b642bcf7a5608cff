//! Short labels of pictures and tables.

use workshop::machine::{SeenFrom, Turns};

/// Axis: crank speed.
pub const SPEED: &str = "Crank speed";
/// Axis: advance.
pub const ADVANCE: &str = "Advance";
/// Its unit on axes.
pub const DEGREES_BTDC: &str = "° before TDC";
/// Unit of speed.
pub const RPM: &str = "rpm";
/// Axis: rest speed.
pub const REST_SPEED: &str = "Rest speed";
/// Axis: opening.
pub const OPENING: &str = "Throttle opening";
/// Unit of opening where the present one is known.
pub const PERCENT_OF_PRESENT: &str = "% of the present";
/// Unit of opening otherwise.
pub const MM2: &str = "mm²";
/// Axis: torque.
pub const TORQUE: &str = "Torque";
/// Its unit.
pub const PERCENT_OF_BEST: &str = "% of the best";
/// Chart heading.
pub const CURVE_TITLE: &str = "Where the spark comes";
/// Chart heading.
pub const REST_TITLE: &str = "Where the engine rests";
/// Chart heading.
pub const TORQUE_TITLE: &str = "Torque against advance";
/// Series.
pub const AS_FOUND: &str = "as found";
/// Series.
pub const AFTER_CUT: &str = "after the cut";
/// Series.
pub const BEST_TORQUE: &str = "best torque (wide open)";
/// Series.
pub const BEST_AT_IDLE: &str = "best torque at the idle";
/// Series.
pub const KNOCK_LIMIT: &str = "knock limit (wide open)";
/// Series.
pub const KICK_LIMIT: &str = "from here a kick may turn back";
/// The same with the energy of the kick [J].
pub fn kick_limit(energy: workshop::study::Finding) -> String {
    format!("{KICK_LIMIT} ({} J)", crate::words::pm(energy.si, energy.plus_minus_si, 0))
}
/// Series: the best of each torque line.
pub const BEST: &str = "best";
/// Series.
pub const READINGS: &str = "strobe readings";
/// Series: the part of the rest line that does not hold.
pub const UNSTABLE: &str = "does not hold";
/// Series: ends of the hang.
pub const FOLDS: &str = "where the hang begins and ends";
/// Series: rest points.
pub const REST_POINTS: &str = "rests here";
/// Area.
pub const HANG: &str = "two rest speeds: can hang";
/// Rule.
pub const PRESENT: &str = "throttle stop now";
/// Rule.
pub const IDLE: &str = "idle";
/// Rule.
pub const HANG_SPEED: &str = "hangs";
/// A reading that was given almost no weight.
pub const SET_ASIDE: &str = "reading set aside";

/// Description of the curve chart.
pub const CURVE_DESCRIPTION: &str =
    "Advance in crank degrees before top dead centre against crank speed, with readings and the band in which the curve lies.";
/// Description of the rest chart.
pub const REST_DESCRIPTION: &str = "Speeds at which the engine can rest, against throttle opening. Where one opening has two firm rest speeds the engine can hang.";
/// Description of the torque chart.
pub const TORQUE_DESCRIPTION: &str = "Torque of the burn against advance, in per cent of the best at each speed and load, with the best and the curve as found marked.";

/// Drawing heading.
pub const ROTOR_TITLE: &str = "Trigger rotor";
/// Callout.
pub const LEADING_END: &str = "Leading end";
/// Callout.
pub const TRAILING_END: &str = "Trailing end";
/// Callout.
pub const TDC_MARK: &str = "TDC mark";

/// Callout of a pickup, counted from 0.
pub fn pickup(index: usize) -> String {
    format!("Pickup {}", index + 1)
}

/// A side of the machine.
pub fn side(side: SeenFrom) -> &'static str {
    match side {
        SeenFrom::CoverSide => "cover side",
        SeenFrom::EngineSide => "engine side",
    }
}

/// A turning direction.
pub fn turns(turns: Turns) -> &'static str {
    match turns {
        Turns::Clockwise => "clockwise",
        Turns::Anticlockwise => "anticlockwise",
    }
}

/// `Turns clockwise, seen from the cover side`.
pub fn turns_seen(direction: Turns, from: SeenFrom) -> String {
    format!("Turns {}, seen from the {}", turns(direction), side(from))
}

/// `Trailing end, cut 6.2 mm`.
pub fn trailing_end_cut(cut_m: f64) -> String {
    format!("{TRAILING_END}, cut {}", crate::words::mm(cut_m))
}

/// Where the rotor stands on the drawing.
pub const AT_TDC: &str = "Drawn with cylinder 1 at top dead centre, pickup 1 at the top. Height of the segment is not to scale.";

/// Name of a curve that stands alone.
pub const CURVE: &str = "advance";

/// Name of a curve of one cylinder.
pub fn cylinder(name: &str, what: &str) -> String {
    if name.is_empty() { what.to_owned() } else { format!("{name}: {what}") }
}
