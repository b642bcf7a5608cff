//! What the studies found.

use crate::words::{degrees, degrees_pm, number, percent, rpm, rpm_of};
use workshop::study::{
    Finding, NotStudied,
    curve::{CurveStudy, LawKind, LawSupport, NextReading, ParameterName},
    idle::{Chance, CycleAtIdle, Dependence, IdleStudy, Parameter, RestPoint, Verdict},
};

/// Shares of sampled cases from which a chance is called high or low. They only choose words; the figures stand beside.
const LIKELY: f64 = 0.8;
const UNLIKELY: f64 = 0.2;

/// Misfits (1 when the ± are honest) from which the ± are called too small or too large: with a dozen readings chance
/// alone stays within 0.6 and 1.4 nineteen times in twenty (chi-squared, 12 degrees of freedom). They only choose words.
const FAR: f64 = 1.5;
const NEAR: f64 = 0.5;

/// Advance for best torque at the idle.
pub fn best_at_idle(c: &CycleAtIdle) -> String {
    format!("{}{}", degrees(c.best_advance_rad), if c.best_is_beyond { " or more" } else { "" })
}

/// Torque at the idle as a share of the best.
pub fn share_of_best(c: &CycleAtIdle) -> String {
    format!("{}{}", percent(c.torque_share), if c.best_is_beyond { " or less" } else { "" })
}

/// How a law is called.
pub fn kind(kind: LawKind) -> &'static str {
    match kind {
        LawKind::Ramp => "analogue module: the delay after the leading edge shrinks with speed",
        LawKind::TwoEdge => "from one edge of the segment to the other, straight between two speeds",
        LawKind::Table => "a table of points",
        LawKind::Fixed => "the same advance at all speeds",
        LawKind::BobWeights => "bob weights",
    }
}

/// A law fitted to the readings, in one line.
pub fn support(s: &LawSupport) -> String {
    format!("{} — weight {}, misfit {}", kind(s.kind), percent(s.share), number(s.misfit, 1))
}

/// A kind of law in a word or two.
fn short_kind(kind: LawKind) -> &'static str {
    match kind {
        LawKind::Ramp => "an analogue module",
        LawKind::TwoEdge => "a straight line from edge to edge",
        LawKind::Table => "a curve through points",
        LawKind::Fixed => "a fixed advance",
        LawKind::BobWeights => "bob weights",
    }
}

/// Where the strobe should be held next.
pub fn next_reading(next: &NextReading) -> String {
    match next {
        NextReading::Parts { kinds: (one, other), speed_rad_s, apart } => {
            let (later_or_earlier, by) = if apart.si < 0.0 { ("later", -apart.si) } else { ("earlier", apart.si) };
            let by = Finding { si: by, plus_minus_si: apart.plus_minus_si };
            format!(
                "Read next at {}: there {} has the spark {} {later_or_earlier} than {} has.",
                rpm(*speed_rad_s),
                short_kind(*one),
                degrees_pm(by),
                short_kind(*other)
            )
        }
        NextReading::BothWays { speed_rad_s } => format!(
            "Read at {} twice, coming from below and coming from above. Weights that stick spark earlier coming from above; nothing else shows it.",
            rpm(*speed_rad_s)
        ),
    }
}

/// What the readings' distance from the curve says about the stated ±: from the law in the file where there is one, else from the law
/// fitted best. `None` without readings.
pub fn misfit(study: &CurveStudy) -> Option<&'static str> {
    let misfit = study.agreement.map(|a| a.misfit).or(study.support.first().map(|best| best.misfit))?;
    Some(if misfit > FAR {
        "The readings lie further from the curve than their ± allows: a wrong law, or ± that are too small."
    } else if misfit < NEAR {
        "The readings lie closer to the curve than their ± would lead one to expect: the ± may be too large."
    } else {
        "The readings lie about as far from the curve as their ± says."
    })
}

/// Name of a fitted parameter.
pub fn parameter_name(name: ParameterName) -> String {
    let plain = match name {
        ParameterName::GreatestAdvance => "greatest advance",
        ParameterName::Range => "range between the stops",
        ParameterName::Hysteresis => "earlier with falling speed by, half-way",
        ParameterName::TableAdvance { at_rad_s } => return format!("advance at {}", rpm(at_rad_s)),
        ParameterName::Place => "pickup stands earlier by",
        ParameterName::Lead => "leading edge passes at",
        ParameterName::Arc => "segment, crank degrees",
        ParameterName::StartSpeed => "least advance up to",
        ParameterName::FullSpeed => "full advance from",
        ParameterName::Advance => "advance",
    };
    plain.to_owned()
}

/// Value of a fitted parameter in its usual unit.
pub fn parameter_value(name: ParameterName, value: Finding) -> String {
    match name {
        ParameterName::StartSpeed | ParameterName::FullSpeed => crate::words::rpm_pm(value),
        ParameterName::Lead
        | ParameterName::Arc
        | ParameterName::Advance
        | ParameterName::GreatestAdvance
        | ParameterName::Range
        | ParameterName::Hysteresis
        | ParameterName::TableAdvance { .. }
        | ParameterName::Place => crate::words::degrees_pm(value),
    }
}

/// The curve in one sentence: least and greatest advance of the first cylinder.
pub fn curve_line(study: &CurveStudy) -> String {
    let Some(cylinder) = study.cylinders.first().filter(|c| !c.band.is_empty()) else {
        return "There is no curve to judge: neither a law nor enough readings were given.".to_owned();
    };
    let by =
        |a: &&workshop::study::curve::BandPoint, b: &&workshop::study::curve::BandPoint| a.advance.si.total_cmp(&b.advance.si);
    let (Some(least), Some(most)) = (cylinder.band.iter().min_by(by), cylinder.band.iter().max_by(by)) else {
        return String::new();
    };
    if (most.advance.si - least.advance.si).to_degrees() < 0.5 {
        return format!("The spark comes {} before top dead centre at all speeds.", crate::words::degrees_pm(least.advance));
    }
    format!(
        "The advance runs from {} at {} to {} at {}.",
        crate::words::degrees_pm(least.advance),
        rpm(least.speed_rad_s),
        crate::words::degrees_pm(most.advance),
        rpm(most.speed_rad_s)
    )
}

/// The verdict in a few words, for tables.
pub fn short_verdict(verdict: Verdict) -> String {
    match verdict {
        Verdict::Hangs { at_rad_s } => format!("hangs at {}", rpm(at_rad_s)),
        Verdict::Weak => "one rest, weak".to_owned(),
        Verdict::Steady => "one rest, firm".to_owned(),
        Verdict::NoRest => "no rest found".to_owned(),
    }
}

/// The verdict on the idle, how sure it is, and what it rests on.
pub fn verdict(study: &IdleStudy) -> String {
    let sure = chance(study.chance);
    match study.verdict {
        Verdict::Hangs { at_rad_s } => format!(
            "The curve explains a hang near {}. At the same throttle stop the engine has a second firm rest speed there. {sure}",
            rpm(at_rad_s)
        ),
        Verdict::Weak => format!(
            "The engine has one rest speed, but a weak one: a little more air moves it a long way. It wanders rather than hangs. {sure}"
        ),
        Verdict::Steady => format!(
            "On this curve the engine has one rest speed and holds it firmly. If it hangs all the same, the curve is not the reason: look for an air leak, a cable, a weak pilot mixture. {sure}"
        ),
        Verdict::NoRest => "Cannot tell: the model finds no throttle opening at which the engine idles at the speed seen. Check bore, stroke, valve timing and the idle speed in the file.".to_owned(),
    }
}

/// How sure, in words and figures.
pub fn chance(c: Chance) -> String {
    if c.of == 0 {
        return "How sure this is was not computed.".to_owned();
    }
    let share = c.hanging as f64 / c.of as f64;
    let word = if c.low >= LIKELY {
        "It very probably hangs"
    } else if c.high <= UNLIKELY {
        "It very probably does not hang"
    } else if c.low > 0.5 {
        "It more likely hangs than not"
    } else if c.high < 0.5 {
        "It more likely does not hang"
    } else {
        "The readings do not settle whether it hangs"
    };
    format!(
        "{word}: with every reading varied within its ±, {} of {} cases hang ({}, 95 % interval {} to {}).",
        c.hanging,
        c.of,
        of_cases(share),
        of_cases(c.low),
        of_cases(c.high)
    )
}

/// A share of sampled cases in per cent, with two decimals where it is near certainty, rounded away from it: only all cases are 100 %.
fn of_cases(share: f64) -> String {
    let hundredths = 1e4 * share;
    if share > 0.995 && share < 1.0 {
        format!("{}\u{a0}%", number(hundredths.floor() / 100.0, 2))
    } else if share > 0.0 && share < 0.0005 {
        format!("{}\u{a0}%", number(hundredths.ceil() / 100.0, 2))
    } else {
        percent(share)
    }
}

/// A chance as figures alone: `82 % (76 %–87 %)`.
pub fn chance_short(c: Chance) -> String {
    if c.of == 0 {
        return number(f64::NAN, 0);
    }
    format!("{} ({}–{})", of_cases(c.hanging as f64 / c.of as f64), of_cases(c.low), of_cases(c.high))
}

/// A rest point in one line.
pub fn rest_point(p: &RestPoint) -> String {
    if !p.stable {
        return format!("{}: does not hold; a push sends the speed up or down from here.", rpm(p.speed_rad_s));
    }
    format!(
        "{}: holds; a push dies away in about {} s; {}; advance there {}.",
        rpm(p.speed_rad_s),
        number(p.time_constant_s, 1),
        stiffness(p.stiffness_rad_s_per_percent),
        degrees(p.advance_rad)
    )
}

/// `1 % more air: 23 rpm`.
pub fn stiffness(rad_s_per_percent: f64) -> String {
    format!("1 % more air moves it {} rpm", number(rpm_of(rad_s_per_percent), 0))
}

/// Name of a parameter that the mechanic must supply.
pub fn parameter(p: Parameter) -> &'static str {
    match p {
        Parameter::BurnFactor => "flame-speed factor",
        Parameter::FrictionFactor => "friction factor",
        Parameter::RunnerVolume => "inlet volume behind the throttle",
        Parameter::Overlap => "valve overlap",
    }
}

/// How a verdict depends on a parameter.
pub fn depends(d: &Dependence) -> String {
    let name = parameter(d.on);
    let shown = |v: f64| match d.on {
        Parameter::BurnFactor | Parameter::FrictionFactor => number(v, 2),
        Parameter::RunnerVolume => format!("{} cm³", number(v * 1e6, 0)),
        Parameter::Overlap => degrees(v),
    };
    if !d.turns_the_verdict() {
        return format!(
            "The verdict stays the same wherever the {name} lies between {} and {}.",
            shown(d.low.0),
            shown(d.high.0)
        );
    }
    format!(
        "The verdict depends on the {name}. At {}: {}. As given ({}): {}. At {}: {}. A reading that narrows it is worth more than any other.",
        shown(d.low.0),
        short_verdict(d.low.1),
        shown(d.as_given.0),
        short_verdict(d.as_given.1),
        shown(d.high.0),
        short_verdict(d.high.1)
    )
}

/// Why a study is missing, and what would make it possible.
pub fn not_studied(why: NotStudied) -> &'static str {
    match why {
        NotStudied::TwoStroke => {
            "Not studied: the working cycle is computed for four-strokes only. Timing and rotor are served; whether this engine hangs cannot be told."
        }
        NotStudied::NoBreathing => {
            "Not studied: valve timing or the inlet side is not in the file. Fill in [engine.valves] and [engine.inlet]."
        }
        NotStudied::NoSegment => "Not studied: the file has no trigger rotor, so there is no segment to trim.",
        NotStudied::LawWithoutSegment => {
            "Not studied: on this machine the spark does not follow from the edges of a segment, so there is nothing to trim."
        }
        NotStudied::NoIdleSeen => "Not studied: no idle speed was noted. Read it warm, with its ±, and fill in [idle].",
        NotStudied::NoHangSeen => "Not studied: no hang was noted, so there is none to explain.",
        NotStudied::IdleNotReproduced => {
            "Not studied: no throttle opening lets the computed engine idle at the speed seen, so no cut can be judged by it. Something in the file does not fit this engine."
        }
        NotStudied::NotComputable => {
            "Not studied: the readings make no engine that can be computed. A valve open at firing, or too many cylinders on one plenum, would do that."
        }
        NotStudied::Stopped => "Not studied: the computation was stopped.",
        NotStudied::Impossible => {
            "Not studied: the numbers of the law, the trigger or the crank drive contradict each other. Start speed below full speed, rod longer than the throw?"
        }
        NotStudied::NoCurve => {
            "Not studied: there is no curve. Give the module's law, or at least four strobe readings from idle to full advance."
        }
    }
}
