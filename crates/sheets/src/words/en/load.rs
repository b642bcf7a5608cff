//! What advance does at idle, wide open and at the kick.

use crate::words::{degrees, degrees_pm, number, percent, pm, rpm, rpm_pm};
use workshop::study::{
    Finding,
    load::{Bound, Kick, LoadStudy, Sweep},
    trim::{KickBack, KnockRoom, Objection},
};

/// Heading.
pub const LOAD: &str = "What advance does";
/// Under the heading, because it holds for all that follows.
pub const HOW_COMPUTED: &str = "Torque is that of the burn alone, before friction. The filling is computed without waves in inlet and exhaust. The burn was \
    compared with published engines up to 3000 rpm; above that it takes too many degrees, so best torque and knock limit are shown at more advance \
    than the engine has them. There the maker's full advance is the limit.";

/// Speed and load of a sweep.
pub fn sweep_place(sweep: &Sweep, study: &LoadStudy) -> String {
    let on_stop = study.idle.as_ref().is_some_and(|i| std::ptr::eq(i, sweep));
    format!("{} {}", rpm(sweep.speed_rad_s), if on_stop { "on the throttle stop" } else { "wide open" })
}

/// One speed and load in a few sentences: best torque, what the curve gives, knock.
pub fn sweep(sweep: &Sweep, study: &LoadStudy) -> String {
    let best = match sweep.best {
        Bound::At(at) => format!("best torque at {}", before_tdc(at)),
        Bound::Above(from) => {
            format!("torque still rises at {} before top dead centre, the earliest advance tried", degrees(from))
        }
        Bound::Below(_) => "torque only falls over the advances tried".to_owned(),
        Bound::Unknown => "best torque cannot be told".to_owned(),
    };
    let peak = |pa: f64, at: f64| format!("peak {} at {}", super::report::bar(pa), after_tdc(at));
    let mut said = format!(
        "{}: {best} ({} N·m, {}).",
        sweep_place(sweep, study),
        number(sweep.at_best.torque_nm, 1),
        peak(sweep.at_best.peak_pa, sweep.at_best.peak_at_rad)
    );
    if let Some(now) = &sweep.now {
        let share = percent(now.torque_share);
        said += &format!(" The curve gives {}: {share} of it, {}.", before_tdc(now.advance), peak(now.peak_pa, now.peak_at_rad));
    }
    said + " " + &knock(sweep, study.octane)
}

fn knock(sweep: &Sweep, octane: Finding) -> String {
    let fuel = pm(octane.si, octane.plus_minus_si, 0);
    match sweep.knock {
        Bound::Unknown => "The knock limit is not known here.".to_owned(),
        Bound::Above(to) => format!("No knock on {fuel} octane up to {} before top dead centre.", degrees(to)),
        Bound::Below(from) => format!("On {fuel} octane it knocks from {} before top dead centre on, or earlier.", degrees(from)),
        Bound::At(limit) => {
            let room = sweep.now.and_then(|now| sweep.knock.room(now.advance)).map_or_else(String::new, |room| {
                if room.si < 0.0 {
                    format!("; the curve lies {} beyond it", degrees_pm(Finding { si: -room.si, ..room }))
                } else {
                    format!("; {} are left", degrees_pm(room))
                }
            });
            format!("Knock limit on {fuel} octane: {}{room}.", before_tdc(limit))
        }
    }
}

/// When a kick turns back.
pub fn kick(kick: &Kick) -> String {
    let now = kick.now.map_or_else(String::new, |now| format!(" The curve gives {}.", before_tdc(now)));
    let joules = |f: Finding| format!("{} J", pm(f.si, f.plus_minus_si, 1));
    let taken = kick.taken_now.map_or_else(String::new, |taken| format!(", of which the early burn takes {}", joules(taken)));
    let energy = format!(" The turning parts carry {}{taken}; it may take half.", joules(kick.energy));
    format!("At kicking speed, {}: {}{now}{energy}", rpm_pm(kick.speed), turns_back(kick.limit, kick.now))
}

/// The kick-back test of one curve.
pub fn kick_back(k: &KickBack) -> String {
    let verdict = if k.passes { "Kick-back test passed" } else { "Kick-back test FAILED: do not kick it with this timing" };
    let limit = capital(&turns_back(k.limit, Some(k.advance)));
    if k.passes && k.fires_late() {
        return format!(
            "{verdict}: at kicking speed the spark comes {}, with the piston on its way down already, so it cannot turn back. {limit}",
            before_tdc(k.advance)
        );
    }
    let share = if k.turning_energy_j > 0.0 { k.work_against_j / k.turning_energy_j } else { f64::NAN };
    format!(
        "{verdict}: at kicking speed the spark comes {}, and the early burn works {} J against the piston, {} of the {} J in the turning parts. {limit}",
        before_tdc(k.advance),
        number(k.work_against_j, 1),
        percent(share),
        number(k.turning_energy_j, 1)
    )
}

fn turns_back(limit: Bound, now: Option<Finding>) -> String {
    match limit {
        Bound::At(at) => {
            let left = now.and_then(|now| limit.room(now)).filter(|room| room.si > 0.0);
            let left = left.map_or_else(String::new, |room| format!("; {} are left", degrees_pm(room)));
            format!("the kick may turn back from {} on{left}.", before_tdc(at))
        }
        Bound::Above(to) => format!("no advance up to {} would turn the kick back.", degrees(to)),
        Bound::Below(_) => "the kick may turn back with any advance.".to_owned(),
        Bound::Unknown => "from which advance on a kick turns back cannot be told.".to_owned(),
    }
}

/// What speaks against a way that can be undone, as a clause.
pub fn objection(o: &Objection) -> String {
    match o {
        Objection::NotSteady => "the idle is not steady".to_owned(),
        Objection::MayHang(chance) => format!("too many cases still hang ({})", super::study::chance_short(*chance)),
        Objection::KicksBack => "the kick-back test fails".to_owned(),
        Objection::TopEndMoves { by_rad } => {
            format!("the top end comes {} {}", degrees(by_rad.abs()), if *by_rad > 0.0 { "earlier" } else { "later" })
        }
        Objection::Knocks(room) => knock_room(room),
        Objection::KnockNotKnown { at_rad_s } => {
            format!("it makes the spark earlier wide open, and from {} the knock limit is not known", rpm(*at_rad_s))
        }
    }
}

/// How near it comes to knock, as a clause.
pub fn knock_room(k: &KnockRoom) -> String {
    let place = format!("at {} wide open", rpm(k.at_rad_s));
    let room = degrees_pm(Finding { si: k.room.si.abs(), ..k.room });
    if k.room.si < 0.0 {
        format!("{place} it lies {room} beyond the knock limit")
    } else if k.room.si < k.room.plus_minus_si {
        format!("{place} it lies {room} below the knock limit, no further than its ±")
    } else {
        format!("{place} it stays {room} below the knock limit")
    }
}

/// `35.5 ± 1.2° before top dead centre`.
pub fn before_tdc(advance: Finding) -> String {
    let side = if advance.si < 0.0 { "after" } else { "before" };
    format!("{} {side} top dead centre", degrees_pm(Finding { si: advance.si.abs(), ..advance }))
}

fn after_tdc(at_rad: f64) -> String {
    let side = if at_rad < 0.0 { "before" } else { "after" };
    format!("{} {side} top dead centre", degrees(at_rad.abs()))
}

fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
