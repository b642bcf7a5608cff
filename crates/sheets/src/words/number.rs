//! Numbers as a mechanic reads them: turns per minute, degrees to a tenth, millimetres to a tenth.
//!
//! Number, ± and unit are joined by no-break spaces (SI Brochure, 9th edition, 5.4.3), so that no line breaks inside them.

use workshop::study::Finding;

/// Seconds per minute over radians per turn: rad/s to turns per minute.
const RPM_PER_RAD_S: f64 = 60.0 / std::f64::consts::TAU;

/// A number with a fixed count of decimals and a true minus sign.
///
/// ```
/// assert_eq!(sheets::words::number(-2.04, 1), "−2.0");
/// assert_eq!(sheets::words::number(-0.04, 1), "0.0");
/// ```
pub fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// A count.
pub fn count(n: usize) -> String {
    n.to_string()
}

/// Turns per minute of a speed in rad/s.
pub fn rpm_of(rad_s: f64) -> f64 {
    rad_s * RPM_PER_RAD_S
}

/// `1050 rpm`, to the nearest 10 (a needle or a flickering display is not read closer: common practice, no source).
pub fn rpm(rad_s: f64) -> String {
    format!("{}\u{a0}rpm", number((rpm_of(rad_s) / 10.0).round() * 10.0, 0))
}

/// `7 rpm`, to the nearest 1: a difference of speeds.
pub fn rpm_to_one(rad_s: f64) -> String {
    format!("{}\u{a0}rpm", number(rpm_of(rad_s), 0))
}

/// `20 °C`.
pub fn celsius(kelvin: f64) -> String {
    format!("{}\u{a0}°C", number(kelvin - 273.15, 0))
}

/// `1050 ± 40 rpm`, value rounded as far as its ± makes it known.
pub fn rpm_pm(f: Finding) -> String {
    format!("{}\u{a0}rpm", pm(rpm_of(f.si), rpm_of(f.plus_minus_si), 0))
}

/// `12.3°`.
pub fn degrees(rad: f64) -> String {
    format!("{}°", number(rad.to_degrees(), 1))
}

/// `12.3° ± 0.8°`.
pub fn degrees_pm(f: Finding) -> String {
    let (value, half) = parts(f.si.to_degrees(), f.plus_minus_si.to_degrees(), 1);
    half.map_or_else(|| format!("{value}°"), |half| format!("{value}°\u{a0}±\u{a0}{half}°"))
}

/// `6.2 mm`.
pub fn mm(metres: f64) -> String {
    format!("{}\u{a0}mm", number(metres * 1e3, 1))
}

/// `0.25 mm`: a cut, a wall.
pub fn mm_to_hundredth(metres: f64) -> String {
    format!("{}\u{a0}mm", number(metres * 1e3, 2))
}

/// `38 MPa`.
pub fn mpa(pascal: f64) -> String {
    format!("{}\u{a0}MPa", number(pascal * 1e-6, 0))
}

/// `6.2 ± 0.3 mm`.
pub fn mm_pm(f: Finding) -> String {
    format!("{}\u{a0}mm", pm(f.si * 1e3, f.plus_minus_si * 1e3, 1))
}

/// `11.4 ± 0.3 mm²`.
pub fn mm2_pm(f: Finding) -> String {
    format!("{}\u{a0}mm²", pm(f.si * 1e6, f.plus_minus_si * 1e6, 2))
}

/// `1.45 ± 0.08 s`.
pub fn seconds_pm(f: Finding) -> String {
    format!("{}\u{a0}s", pm(f.si, f.plus_minus_si, 2))
}

/// `12 %`; below 10 % with one decimal.
pub fn percent(share: f64) -> String {
    let p = share * 100.0;
    format!("{}\u{a0}%", number(p, usize::from(p.abs() < 9.95 && p != 0.0)))
}

/// `value ± half`, both rounded to the place of the first significant digit of the ±, two digits if it starts with 1
/// (after JCGM 100:2008, 7.2.6), and never finer than `decimals`. Without a ± the value alone, to `decimals`.
///
/// ```
/// use sheets::words::pm;
/// assert_eq!(pm(1047.3, 38.2, 0), "1050\u{a0}±\u{a0}40");
/// assert_eq!(pm(12.34, 0.134, 1), "12.3\u{a0}±\u{a0}0.1");
/// assert_eq!(pm(12.34, 0.0, 1), "12.3");
/// ```
pub fn pm(value: f64, half: f64, decimals: usize) -> String {
    let (value, half) = parts(value, half, decimals);
    half.map_or_else(|| value.clone(), |half| format!("{value}\u{a0}±\u{a0}{half}"))
}

fn parts(value: f64, half: f64, decimals: usize) -> (String, Option<String>) {
    if half.is_nan() || half <= 0.0 || half.is_infinite() {
        return (number(value, decimals), None);
    }
    let mut place = half.log10().floor() as i32;
    if half / 10f64.powi(place) < 1.95 {
        place -= 1;
    }
    let place = place.max(-(decimals as i32));
    let step = 10f64.powi(place);
    let shown = (-place).max(0) as usize;
    // A ± smaller than the finest place is shown as that place: never as nothing.
    let half = ((half / step).round() * step).max(step);
    (number((value / step).round() * step, shown), Some(number(half, shown)))
}

/// The same text in ASCII, for pipes and old terminals.
pub fn ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '−' | '–' | '‑' => out.push('-'),
            '—' => out.push('-'),
            '±' => out.push_str("+/-"),
            '°' => out.push_str(" deg"),
            '×' => out.push('x'),
            '·' => out.push('.'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            '≤' => out.push_str("<="),
            '≥' => out.push_str(">="),
            '→' => out.push_str("->"),
            '←' => out.push_str("<-"),
            '…' => out.push_str("..."),
            'µ' | 'μ' => out.push('u'),
            'Ω' => out.push_str("ohm"),
            'π' => out.push_str("pi"),
            '‘' | '’' => out.push('\''),
            '“' | '”' => out.push('"'),
            '\u{a0}' | '\u{2009}' | '\u{202f}' => out.push(' '),
            c if c.is_ascii() => out.push(c),
            _ => out.push('?'),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plus_minus_is_never_shown_as_nothing() {
        assert_eq!(pm(6.0, 0.004, 1), "6.0\u{a0}±\u{a0}0.1");
        assert_eq!(pm(6.0, f64::NAN, 1), "6.0");
    }

    #[test]
    fn speeds_are_turns_per_minute() {
        // One turn per second is 60 per minute (SI Brochure, 9th edition, table 8 for the minute).
        assert_eq!(rpm(std::f64::consts::TAU), "60\u{a0}rpm");
        assert_eq!(
            rpm_pm(Finding { si: 1047.0 / RPM_PER_RAD_S, plus_minus_si: 12.3 / RPM_PER_RAD_S }),
            "1047\u{a0}±\u{a0}12\u{a0}rpm"
        );
    }
}
