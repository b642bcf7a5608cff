//! Where the spark comes, cylinder by cylinder.

mod doubt;
mod fitted;
mod given;
mod next;
mod plate;
mod strobe;
mod types;

pub use doubt::{Doubt, Margins, Origin};
pub use types::{
    Agreement, BandPoint, CurveReading, CurveStudy, CylinderCurve, LawKind, LawSupport, NextReading, Parameter, ParameterName,
    TableRow,
};

use super::{Finding, NotStudied, warning::Warning};
use crate::machine::Machine;
use doubt::Recipe;
use fitted::Fits;
use given::Given;
use physics::crank::SliderCrank;
use physics::fit::{Spread, tukey_weight};
use physics::law::Law;
use physics::rim::Rim;
use plate::Plate;
use quantity::CrankAngle;
use strobe::Corrected;

/// Speeds of the band, evenly spread from kicking to top speed [1]; the knees are added.
const BAND_POINTS: usize = 96;
/// A reading with less weight than this [1] counts as wild (own choice): Tukey's weight at about 3.9 standard deviations.
const WILD: f64 = 0.1;
/// Two laws are alike when the lesser keeps this share of the greater's [1], e⁻¹: a difference in AIC of 2. Source:
/// Burnham and Anderson, *Model Selection and Multimodel Inference*, 2nd ed. (2002), 2.6.
const ALIKE: f64 = 0.367_879_441;
/// A misfit above this [1] is more than chance (own choice): twice the stated ± has a likelihood of 2 % with two degrees of freedom
/// (chi square 8) and less with more. Too few readings for any law but a fixed one, and those off it, make no curve.
const POOR: f64 = 2.0;
/// Law and readings disagree where they differ by more than this many times their combined 95 % half-width [1] (own choice): three
/// standard deviations, since the greatest of many differences is looked at.
const DISAGREE: f64 = 1.5;
/// Greatest difference between cylinders that is let pass (trade practice: split limit 2°).
const SPLIT: CrankAngle = CrankAngle::from_degrees(2.0);

/// The curve of every cylinder, from the law in the file or fitted to the strobe readings, with its ±.
///
/// With a law in the file the curve is the law's and the readings, if any, are set against it ([`CurveStudy::agreement`]).
/// Without, every kind of law that fits the hardware is fitted to all readings together; cylinders share segment and
/// module and differ by the place of their pickup. The best-supported law is the curve.
///
/// # Errors
/// [`NotStudied::NoCurve`] with neither law nor enough readings, [`NotStudied::Impossible`] where numbers contradict each
/// other, [`NotStudied::NoSegment`] where a module's law stands without a rotor.
pub fn study(machine: &Machine) -> Result<CurveStudy, NotStudied> {
    let crank = drive(machine)?;
    let mut warnings = Vec::new();
    let plate = Plate::of(machine, &mut warnings)?;
    let (readings, unusable) = strobe::corrected(machine, &crank);
    warnings.extend(unusable.into_iter().map(|index| Warning::ReadingUnusable { index }));
    let fits = fitted::fit_all(machine, &plate, &readings);
    let support = fits.support();
    let (mut cylinders, agreement) = match &machine.law {
        Some(law) => {
            let needs_segment = matches!(law, crate::machine::LawData::Ramp { .. } | crate::machine::LawData::TwoEdge { .. });
            if needs_segment && plate.segment.is_none() {
                return Err(NotStudied::NoSegment);
            }
            let (given, spread) = Given::of(law, &plate, &crank).ok_or(NotStudied::Impossible)?;
            let cylinders = from_given(&given, &spread, &plate).ok_or(NotStudied::Impossible)?;
            let agreement = set_against(&cylinders, &plate, &readings, &fits, &mut warnings);
            (cylinders, agreement)
        }
        None => {
            let best = fits.best().ok_or(NotStudied::NoCurve)?;
            let misfit = fits.fits[best].misfit;
            if misfit > POOR {
                if fits.only_fixed() {
                    return Err(NotStudied::NoCurve);
                }
                warnings.push(Warning::LawFitsPoorly { misfit });
            }
            if let [first, second, ..] = &support[..]
                && second.share > ALIKE * first.share
            {
                warnings.push(Warning::LawsAlike);
            }
            (from_fit(&fits, best, &plate).ok_or(NotStudied::NoCurve)?, None)
        }
    };
    let fitted_weights = (machine.law.is_none()).then(|| fits.best().map(|i| fits.fits[i].weights.clone())).flatten();
    place_readings(&mut cylinders, &readings, fitted_weights.as_deref(), &mut warnings);
    let speeds = band_speeds(machine, &cylinders);
    for cylinder in &mut cylinders {
        let margins = cylinder.doubt.margins();
        cylinder.band = speeds.iter().map(|n| point(&cylinder.law, &margins, *n)).collect();
    }
    if let Some(by_rad) = split(&cylinders, &speeds).filter(|by| *by > SPLIT.radians()) {
        warnings.push(Warning::CylindersDiffer { by_rad });
    }
    // A law that was given needs no discovery.
    let next = if machine.law.is_none() { next::readings(machine, &plate, &fits, &readings) } else { Vec::new() };
    Ok(CurveStudy { cylinders, support, next, agreement, warnings })
}

/// The curve of one cylinder at any speeds [rad/s], as degrees, as a length on the rim and as piston travel. Empty for a
/// cylinder that is not there.
pub fn table(machine: &Machine, study: &CurveStudy, cylinder: usize, speeds_rad_s: &[f64]) -> Vec<TableRow> {
    let (Some(curve), Ok(crank)) = (study.cylinders.get(cylinder), drive(machine)) else {
        return Vec::new();
    };
    let rim = machine.trigger.as_ref().and_then(|t| Rim::new(t.rim_diameter.si, t.drive));
    let margins = curve.doubt.margins();
    speeds_rad_s
        .iter()
        .map(|&speed_rad_s| {
            let advance = point(&curve.law, &margins, speed_rad_s).advance;
            let angle = CrankAngle::from_radians(advance.si);
            TableRow { speed_rad_s, advance, rim_m: rim.map(|r| r.arc_of_crank(angle)), piston_m: crank.travel(-angle), angle }
        })
        .collect()
}

/// A random draw of a cylinder's law within its doubt, from standard normal numbers ([`Doubt::normals`] of them; missing
/// ones count as zero). The same numbers given to every cylinder of a study draw one and the same engine.
pub fn sample_law(curve: &CylinderCurve, normals: &[f64]) -> Law {
    curve.doubt.draw(normals).unwrap_or_else(|| curve.law.clone())
}

fn drive(machine: &Machine) -> Result<SliderCrank, NotStudied> {
    let e = &machine.engine;
    SliderCrank::new(0.5 * e.stroke.si, e.rod.si, e.pin_offset.si).map_err(|_| NotStudied::Impossible)
}

fn point(law: &Law, margins: &Margins, speed_rad_s: f64) -> BandPoint {
    let si = law.advance(speed_rad_s).radians();
    BandPoint { speed_rad_s, advance: Finding { si, plus_minus_si: margins.plus_minus_rad(speed_rad_s) } }
}

fn bare(law: Law, kind: LawKind, parameters: Vec<Parameter>, doubt: Doubt) -> CylinderCurve {
    CylinderCurve { law, kind, parameters, readings: Vec::new(), band: Vec::new(), doubt }
}

fn from_given(given: &Given, spread: &Spread, plate: &Plate) -> Option<Vec<CylinderCurve>> {
    let curve = |sensor: &usize| {
        // The ± of the file are 95 % half-widths of standard uncertainties doubled.
        let doubt = Doubt::new(spread.clone(), Recipe::Given(given.clone()), *sensor, 2.0);
        Some(bare(doubt.stated()?, given.kind(), Vec::new(), doubt))
    };
    plate.of_cylinder.iter().map(curve).collect()
}

fn from_fit(fits: &Fits, best: usize, plate: &Plate) -> Option<Vec<CylinderCurve>> {
    let fit = fits.fits.get(best)?;
    let unread: Vec<(f64, f64)> = fits.unread_place_u.iter().map(|u| (0.0, *u)).collect();
    let spread = fit.spread().and(&unread);
    let curve = |sensor: &usize| {
        let recipe = Recipe::Fitted { family: fit.family.clone(), unread: fits.unread.clone() };
        let doubt = Doubt::new(spread.clone(), recipe, *sensor, fitted::coverage(fit));
        Some(bare(doubt.stated()?, fitted::kind(&fit.family.shape), fitted::parameters(fit, *sensor), doubt))
    };
    plate.of_cylinder.iter().map(curve).collect()
}

/// Standard uncertainty [rad] of reading less curve: the reading's own, its speed's through the curve's slope, the lamp's.
fn residual_u(law: &Law, c: &Corrected) -> f64 {
    let r = &c.reading;
    let at = |by: f64| law.advance_in(r.trend, r.speed_rad_s + by * r.speed_u).radians();
    let through_speed = 0.5 * (at(1.0) - at(-1.0));
    r.advance_u.hypot(through_speed).hypot(c.lamp_rad)
}

/// Which curve a reading belongs to: its cylinder's, or the first where it was not noted.
fn home(c: &Corrected) -> usize {
    c.cylinder.unwrap_or(0)
}

fn place_readings(
    cylinders: &mut [CylinderCurve],
    readings: &[Corrected],
    fitted_weights: Option<&[f64]>,
    warnings: &mut Vec<Warning>,
) {
    let margins: Vec<Margins> = cylinders.iter().map(|c| c.doubt.margins()).collect();
    for (i, c) in readings.iter().enumerate() {
        let Some(curve) = cylinders.get_mut(home(c)) else { continue };
        let residual_rad = c.reading.advance_rad - curve.law.advance_in(c.reading.trend, c.reading.speed_rad_s).radians();
        let u = residual_u(&curve.law, c).hypot(margins[home(c)].standard_rad(c.reading.speed_rad_s));
        let weight = match fitted_weights {
            Some(w) => w[i],
            None => tukey_weight(residual_rad / u.max(f64::MIN_POSITIVE)),
        };
        if weight < WILD {
            warnings.push(Warning::WildReading { index: c.index, off_rad: residual_rad });
        }
        curve.readings.push(CurveReading { index: c.index, speed: c.speed(), advance: c.advance(), residual_rad, weight });
    }
}

/// Sets a given law against the readings and against the best law fitted to them.
fn set_against(
    cylinders: &[CylinderCurve],
    plate: &Plate,
    readings: &[Corrected],
    fits: &Fits,
    warnings: &mut Vec<Warning>,
) -> Option<Agreement> {
    if readings.is_empty() {
        return None;
    }
    let margins: Vec<Margins> = cylinders.iter().map(|c| c.doubt.margins()).collect();
    let scores = readings.iter().map(|c| {
        let curve = &cylinders[home(c)];
        let off = c.reading.advance_rad - curve.law.advance_in(c.reading.trend, c.reading.speed_rad_s).radians();
        off / residual_u(&curve.law, c).hypot(margins[home(c)].standard_rad(c.reading.speed_rad_s)).max(f64::MIN_POSITIVE)
    });
    let kept: Vec<f64> = scores.filter(|z| tukey_weight(*z) >= WILD).collect();
    let misfit = (kept.iter().map(|z| z * z).sum::<f64>() / kept.len().max(1) as f64).sqrt();
    let mut greatest: Option<(f64, f64)> = None;
    let mut apart: Option<(f64, f64, f64)> = None;
    if let Some(found) = fits.best().and_then(|best| from_fit(fits, best, plate)) {
        let found_margins: Vec<Margins> = found.iter().map(|c| c.doubt.margins()).collect();
        for c in readings {
            let (i, n) = (home(c), c.reading.speed_rad_s);
            let by = (found[i].law.advance_in(c.reading.trend, n) - cylinders[i].law.advance_in(c.reading.trend, n)).radians();
            // A law fitted without hysteresis lies in the middle of the given law's loop, so half of that is no disagreement.
            let loop_rad = (cylinders[i].law.advance_falling(n) - cylinders[i].law.advance_rising(n)).radians().abs() / 2.0;
            let allowed = found_margins[i].plus_minus_rad(n).hypot(margins[i].plus_minus_rad(n));
            let times = (by.abs() - loop_rad).max(0.0) / allowed.max(f64::MIN_POSITIVE);
            if greatest.is_none_or(|g| by.abs() > g.0.abs()) {
                greatest = Some((by, n));
            }
            if apart.is_none_or(|a| times > a.0) {
                apart = Some((times, by, n));
            }
        }
    }
    if let Some((times, by_rad, at_rad_s)) = apart
        && times > DISAGREE
    {
        warnings.push(Warning::LawAgainstReadings { by_rad, at_rad_s });
    }
    Some(Agreement { misfit, greatest_rad: greatest.map(|g| g.0), at_rad_s: greatest.map(|g| g.1) })
}

/// Even speeds from kicking to top speed, and the curves' knees between them.
fn band_speeds(machine: &Machine, cylinders: &[CylinderCurve]) -> Vec<f64> {
    let (slow, fast) = (machine.engine.kicking_speed.si, machine.engine.top_speed.si);
    if !(fast > slow && slow.is_finite()) {
        return vec![slow];
    }
    let step = (fast - slow) / (BAND_POINTS - 1) as f64;
    let mut speeds: Vec<f64> = (0..BAND_POINTS).map(|i| slow + i as f64 * step).collect();
    let knees = cylinders.iter().filter_map(|c| c.law.knees()).flat_map(|(start, full)| [start, full]);
    speeds.extend(knees.filter(|n| *n > slow && *n < fast));
    speeds.sort_by(f64::total_cmp);
    speeds.dedup();
    speeds
}

/// Greatest difference between any two cylinders [rad]; `None` for a single.
fn split(cylinders: &[CylinderCurve], speeds: &[f64]) -> Option<f64> {
    let spread = |n: &f64| {
        let advances = cylinders.iter().map(|c| c.law.advance(*n).radians());
        let (low, high) = advances.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), a| (l.min(a), h.max(a)));
        high - low
    };
    (cylinders.len() > 1).then(|| speeds.iter().map(spread).fold(0.0, f64::max))
}
