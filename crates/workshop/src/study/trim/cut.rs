//! What one cut does.

use super::{CutOutcome, KickBack, Unbalance, rotor::Segment};
use crate::{
    machine::Machine,
    study::{
        Finding, NotStudied,
        curve::CurveStudy,
        idle::Chance,
        judge::{self, Judged, Subject},
        model::EngineModel,
    },
};
use physics::{
    balance::{Grade, permissible_unbalance, unbalance_of_cut},
    law::Law,
};
use quantity::CrankAngle;

/// How exactly a workshop cuts a segment's edge, 95 % half-width [m]: ±0.2 mm on the rim (trade.md, step 12; common practice, no source).
pub const TOLERANCE_M: f64 = 0.2e-3;
/// Work against the piston may take up this share of the turning energy before the kick counts as failed \[1\]: a kick is uneven
/// (300–700 1/min, trade.md) and energy goes with the square of its speed. This project's choice, no source.
const KICK_SHARE: f64 = 0.5;
/// Density of the segment [kg/m³]: steel, 7850 (EN 1991-1-1:2002, table A.4: 77–78.5 kN/m³).
const STEEL_KG_M3: f64 = 7850.0;

/// An engine as found and its segment, ready for cuts.
pub struct Found<'a> {
    pub machine: &'a Machine,
    pub curve: &'a CurveStudy,
    pub model: &'a EngineModel,
    pub segment: Segment<'a>,
    /// Idle speed seen [rad/s].
    pub idle: f64,
    pub laws: Vec<Law>,
    pub judged: Judged,
}

impl<'a> Found<'a> {
    /// Judges the engine as found.
    ///
    /// # Errors
    /// [`NotStudied`] where there is nothing to cut or no idle to judge by.
    pub fn new(machine: &'a Machine, curve: &'a CurveStudy, model: &'a EngineModel) -> Result<Self, NotStudied> {
        let segment = Segment::of(machine)?;
        let idle = machine.idle.as_ref().ok_or(NotStudied::NoIdleSeen)?.speed.si;
        if curve.cylinders.is_empty() {
            return Err(NotStudied::NoCurve);
        }
        let laws: Vec<Law> = curve.cylinders.iter().map(|c| c.law.clone()).collect();
        if laws.iter().any(|l| l.segment().is_none()) {
            return Err(NotStudied::LawWithoutSegment);
        }
        let judged = Judged::at_idle(&Subject::nominal(machine, model, laws.clone()), machine, model, idle);
        if judged.opening_m2.is_none() {
            return Err(NotStudied::IdleNotReproduced);
        }
        Ok(Self { machine, curve, model, segment, idle, laws, judged })
    }

    /// Judged on other laws, the stop reset to the idle seen.
    pub fn judge(&self, laws: Vec<Law>) -> Judged {
        Judged::at_idle(&Subject::nominal(self.machine, self.model, laws), self.machine, self.model, self.idle)
    }

    /// The laws after a cut [m]; `None` where it leaves no segment.
    pub fn cut_laws(&self, cut_m: f64) -> Option<Vec<Law>> {
        let cut = self.segment.rim.crank_of_arc(cut_m);
        self.laws.iter().map(|l| l.with_trailing_cut(cut)).collect()
    }

    /// Doubt of a cut: none without one.
    pub fn cut_doubt(&self, cut_m: f64) -> CrankAngle {
        if cut_m > 0.0 { self.segment.rim.crank_of_arc(TOLERANCE_M) } else { CrankAngle::default() }
    }

    /// The energy test at kicking speed, on the earliest cylinder.
    pub fn kick_back(&self, laws: &[Law]) -> KickBack {
        let engine = &self.machine.engine;
        let speed = engine.kicking_speed.si;
        let earliest = laws.iter().map(|l| l.advance(speed).radians()).fold(f64::NEG_INFINITY, f64::max);
        let work_against_j = self.model.cycle().kick_back_work_j(speed, earliest);
        let turning_energy_j = 0.5 * engine.inertia.si * speed * speed;
        KickBack { work_against_j, turning_energy_j, passes: work_against_j <= KICK_SHARE * turning_energy_j }
    }

    /// All about one cut; `None` where it leaves no segment.
    pub fn outcome(&self, cut_m: f64, chance: Option<Chance>) -> Option<CutOutcome> {
        let laws = self.cut_laws(cut_m)?;
        let subject = Subject::nominal(self.machine, self.model, laws);
        let judged = Judged::at_idle(&subject, self.machine, self.model, self.idle);
        let opening = self.judged.nearest_opening_m2;
        Some(CutOutcome {
            cut_m,
            cut_crank_rad: self.segment.rim.crank_of_arc(cut_m).radians(),
            least_advance: self.least_advance(&subject.laws, self.cut_doubt(cut_m)),
            same_stop: judge::at_opening(&subject, self.machine, self.model, opening),
            verdict: judged.verdict,
            chance,
            stiffness_rad_s_per_percent: judged.idle.map_or(f64::NAN, |p| p.stiffness_rad_s_per_percent),
            cycle: judge::cycle_at(&subject, self.model, self.idle, judged.nearest_opening_m2),
            kick_back: self.kick_back(&subject.laws),
            segment_left_m: self.segment.arc_m - cut_m,
            unbalance: self.unbalance(cut_m),
            same_idle: judged.picture,
        })
    }

    /// Least advance of any cylinder; its ± is that of the curve there and that of the cut.
    fn least_advance(&self, laws: &[Law], doubt: CrankAngle) -> Finding {
        let least = |law: &Law, speeds: &[f64]| speeds.iter().map(|n| law.advance(*n).radians()).fold(f64::INFINITY, f64::min);
        let mut found = Finding { si: f64::INFINITY, plus_minus_si: 0.0 };
        for (law, cylinder) in laws.iter().zip(&self.curve.cylinders) {
            let speeds: Vec<f64> = cylinder.band.iter().map(|b| b.speed_rad_s).collect();
            let here = least(law, &speeds);
            if here < found.si {
                let band = cylinder.band.iter().min_by(|a, b| a.advance.si.total_cmp(&b.advance.si));
                let curve = band.map_or(0.0, |b| b.advance.plus_minus_si);
                found = Finding { si: here, plus_minus_si: curve.hypot(doubt.radians()) };
            }
        }
        found
    }

    fn unbalance(&self, cut_m: f64) -> Option<Unbalance> {
        let trigger = self.segment.trigger;
        let (width, height) = (trigger.segment_width.as_ref()?, trigger.segment_height.as_ref()?);
        let engine = &self.machine.engine;
        let rotor_speed = engine.top_speed.si * trigger.drive.turns_per_crank_turn();
        Some(Unbalance {
            made_kg_m: unbalance_of_cut(trigger.rim_diameter.si, cut_m, height.si, width.si, STEEL_KG_M3),
            permissible_kg_m: permissible_unbalance(Grade::G6_3, engine.rotor_mass.as_ref()?.si, rotor_speed),
        })
    }
}

/// The quick answer for a cut that is being dragged [m along the rim]: everything but the chance, for which the plan has the nearest cut.
///
/// # Errors
/// As [`super::study`]; [`NotStudied::NoSegment`] also where the cut leaves none.
pub fn one_cut(machine: &Machine, curve: &CurveStudy, model: &EngineModel, cut_m: f64) -> Result<CutOutcome, NotStudied> {
    Found::new(machine, curve, model)?.outcome(cut_m, None).ok_or(NotStudied::NoSegment)
}
