//! One call from a machine file to everything that is known about it, the same for page and command line.

use crate::{
    shelf::{self, Shelf},
    wire,
};
use physics::{
    cycle::Prepared,
    surface::{Progress as Counter, Surface},
};
use sheets::{scene::pdf::PdfError, sheet::SheetOptions, words};
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering::Relaxed};
use workshop::{
    machine::{self, Defect, Machine},
    study::{
        self, NotStudied, Study,
        alike::Alike,
        curve::{self, CurveStudy},
        electric::{
            NotTold, charge, charge::ChargeStudy, ride, ride::RideStudy, windings, windings::WindingsStudy, wires,
            wires::WiresStudy,
        },
        engine::{self, surfaces_needed},
        idle::IdleStudy,
        load::{self, LoadStudy},
        model::{EngineModel, Which},
        rotor::{self, RotorStudy, held::HeldStudy},
        spark::{self, SparkStudy},
        trim::{Advice, CutOutcome, CutWindow, TrimStudy, one_cut},
        warning::Warning,
    },
};

/// What a machine file says, and the curve, which takes no time to find.
#[derive(Clone, Debug)]
pub struct Read {
    /// The machine.
    pub machine: Machine,
    /// What must be said about the reading of the file.
    pub warnings: Vec<Warning>,
    /// Where the spark comes.
    pub curve: Result<CurveStudy, NotStudied>,
}

impl Read {
    /// Reads a file's text.
    ///
    /// # Errors
    /// All defects of the file.
    pub fn of(text: &str) -> Result<Self, Vec<Defect>> {
        machine::read(text).map(|(machine, warnings)| Self::from_machine(machine, warnings))
    }

    /// The same for a machine that was read already.
    pub fn from_machine(machine: Machine, warnings: Vec<Warning>) -> Self {
        let curve = curve::study(&machine);
        Self { machine, warnings, curve }
    }

    /// The curve as JSON.
    pub fn curve_on_wire(&self) -> wire::Part<wire::Curve> {
        wire::Part::of(self.curve.as_ref().map_err(|e| *e), |c| wire::Curve::of(&self.machine, c))
    }

    /// What advance does wide open, which needs the working cycle but no surface; a fraction of a second.
    ///
    /// # Errors
    /// [`NotStudied`] where there is no curve or no working cycle.
    pub fn wide_open(&self) -> Result<LoadStudy, NotStudied> {
        let curve = self.curve.as_ref().map_err(|e| *e)?;
        Ok(load::study(&self.machine, curve, &*engine::cycle(&self.machine)?, None))
    }

    /// How many defaults stand in for readings.
    pub fn defaults(&self) -> usize {
        self.warnings.iter().filter(|w| matches!(w, Warning::DefaultUsed { .. })).count()
    }
}

/// How far the long work is, and the wish that it stop.
#[derive(Debug, Default)]
pub struct Progress {
    counter: Counter,
    /// Points of the surfaces that are ready.
    ready: AtomicUsize,
    /// Points of all surfaces.
    all: AtomicUsize,
    /// The surfaces are there, and the counter counts cases.
    judging: AtomicBool,
    /// The greatest share shown so far, as its bits: a bar does not run backwards.
    shown: AtomicU64,
}

/// Share of the work that the surfaces are; the rest is the judging of many cases on them.
const SURFACES_SHARE: f64 = 0.8;

impl Progress {
    /// 0 to 1.
    pub fn share(&self) -> f64 {
        let (ready, all) = (self.ready.load(Relaxed), self.all.load(Relaxed));
        if all == 0 {
            return 0.0;
        }
        // A full counter is that of a surface that is among the ready ones already.
        let now = match self.counter.state() {
            (done, of) if done < of => done,
            _ => 0,
        };
        let surfaces = (SURFACES_SHARE * (ready + now) as f64 / all as f64).clamp(0.0, SURFACES_SHARE);
        let share = if self.judging.load(Relaxed) {
            let (done, of) = self.counter.state();
            SURFACES_SHARE + (1.0 - SURFACES_SHARE) * done as f64 / of.max(1) as f64
        } else {
            surfaces
        };
        // The bits of floats that are not negative are in the order of the floats.
        let before = f64::from_bits(self.shown.fetch_max(share.to_bits(), Relaxed));
        share.max(before)
    }

    /// Asks the work to stop.
    pub fn stop(&self) {
        self.counter.stop();
    }
}

/// Everything that is known about a machine, ready to be asked about any cut.
pub struct Answer {
    /// The file and the curve.
    pub read: Read,
    /// The studies, or why there is not even a curve.
    pub study: Result<Study, NotStudied>,
    /// The rotor in the hand, or what is missing for it.
    pub rotor: Result<RotorStudy, rotor::Held>,
    /// The spark, or what is missing for it; `None` where the file says nothing of the ignition.
    pub spark: Option<Result<SparkStudy, spark::Held>>,
    /// What holds the rotor and balances it, where the file has one.
    pub holds: Option<HeldStudy>,
    /// Windings, charging, ride and wires.
    pub electric: Electric,
    model: Option<EngineModel>,
}

/// Everything electrical that is known about a machine.
#[derive(Debug)]
pub struct Electric {
    /// Windings, where some were measured.
    pub windings: Option<WindingsStudy>,
    /// Charging, or what is missing for it.
    pub charge: Result<ChargeStudy, NotTold>,
    /// The battery over a ride, or what is missing for it.
    pub ride: Result<RideStudy, NotTold>,
    /// Wires, where the file has some.
    pub wires: Option<WiresStudy>,
}

impl Electric {
    /// Works it out; a fraction of a second.
    pub fn of(machine: &Machine) -> Self {
        Self {
            windings: windings::study(machine),
            charge: charge::study(machine),
            ride: ride::study(machine),
            wires: wires::study(machine),
        }
    }
}

/// Works everything out. Takes seconds where the surfaces are not on the shelf; `None` when it was stopped.
pub fn answer(read: Read, progress: &Progress, shelf: &dyn Shelf) -> Option<Answer> {
    let model = match model(&read.machine, progress, shelf) {
        Err(NotStudied::Stopped) => return None,
        model => model,
    };
    progress.counter.begin(study::cases::LOOKS);
    progress.judging.store(true, Relaxed);
    let study = study::study(&read.machine, model.as_ref().map_err(|e| *e), &progress.counter);
    let rotor = rotor::study(&read.machine, read.curve.as_ref().map_err(|e| *e));
    let cut_m = match study.as_ref().map(|s| &s.trim) {
        // Only what is to be cut now counts as cut in the balance.
        Ok(Ok(TrimStudy { advice: Advice::Cut(window), .. })) => Some(window.advised.si),
        _ => None,
    };
    let holds = rotor::held::study(&read.machine, rotor.as_ref().ok(), cut_m).ok();
    let curve = read.curve.as_ref().map_err(|e| *e);
    let spark = read.machine.ignition.said().then(|| spark::study(&read.machine, curve));
    let electric = Electric::of(&read.machine);
    (!progress.counter.stopped()).then(|| Answer { read, study, rotor, spark, holds, electric, model: model.ok() })
}

/// The engine's surfaces, from the shelf or computed.
///
/// # Errors
/// [`NotStudied`].
pub fn model(machine: &Machine, progress: &Progress, shelf: &dyn Shelf) -> Result<EngineModel, NotStudied> {
    let needed = surfaces_needed(machine)?;
    let grids: Vec<_> = needed.iter().map(|(which, _)| engine::grid(machine, *which)).collect();
    progress.all.store(grids.iter().map(|g| g.len()).sum(), Relaxed);
    let mut surfaces: Vec<(Which, Surface)> = Vec::with_capacity(needed.len());
    for ((which, engine), grid) in needed.into_iter().zip(grids) {
        let prepared = Prepared::new(engine.clone()).map_err(|_| NotStudied::NotComputable)?;
        let key = shelf::key(&engine, &prepared, &grid);
        let kept = shelf.take(&key).and_then(|bytes| shelf::from_bytes(&bytes, grid.clone()));
        let surface = match kept {
            Some(surface) => surface,
            None => {
                let surface = Surface::compute(&prepared, &grid, &progress.counter).map_err(engine::no_surface)?;
                shelf.keep(&key, &shelf::to_bytes(&surface));
                surface
            }
        };
        progress.ready.fetch_add(grid.len(), Relaxed);
        surfaces.push((which, surface));
    }
    engine::from_surfaces(machine, &surfaces)
}

impl Answer {
    /// The engine's surfaces, where it has any.
    pub fn model(&self) -> Option<&EngineModel> {
        self.model.as_ref()
    }

    /// The idle, or why it is not studied.
    ///
    /// # Errors
    /// Why.
    pub fn idle(&self) -> Result<&IdleStudy, NotStudied> {
        self.study.as_ref().map_err(|e| *e)?.idle.as_ref().map_err(|e| *e)
    }

    /// What advance does, or why it is not studied.
    ///
    /// # Errors
    /// Why.
    pub fn load(&self) -> Result<&LoadStudy, NotStudied> {
        self.study.as_ref().map_err(|e| *e)?.load.as_ref().map_err(|e| *e)
    }

    /// What explains the hang that was seen, or why that is not studied.
    ///
    /// # Errors
    /// Why.
    pub fn alike(&self) -> Result<&Alike, NotStudied> {
        self.study.as_ref().map_err(|e| *e)?.alike.as_ref().map_err(|e| *e)
    }

    /// The trim, or why it is not studied.
    ///
    /// # Errors
    /// Why.
    pub fn trim(&self) -> Result<&TrimStudy, NotStudied> {
        self.study.as_ref().map_err(|e| *e)?.trim.as_ref().map_err(|e| *e)
    }

    /// The verdict in a sentence or two.
    pub fn verdict(&self) -> String {
        match self.idle() {
            Ok(idle) => words::verdict(idle),
            Err(why) => words::not_studied(why).to_owned(),
        }
    }

    /// What a cut [m along the rim] does; quick enough to follow a hand. `None` where the trim is not studied, or
    /// beyond its cuts.
    pub fn cut(&self, cut_m: f64) -> Option<CutOutcome> {
        let (curve, model, trim) = (self.read.curve.as_ref().ok()?, self.model.as_ref()?, self.trim().ok()?);
        one_cut(&self.read.machine, curve, model, trim, cut_m)
    }

    /// The rotor with zones cut [m], told as after the last of them; quick enough to follow a hand. `None` where no cut can be judged.
    pub fn lightened(&self, cuts: &[(usize, f64)]) -> Option<rotor::CutFinding> {
        let (machine, study) = (&self.read.machine, self.rotor.as_ref().ok()?);
        let parts = rotor::Parts::of(machine.rotor.as_ref()?)?;
        let strength = study.strength.as_ref().ok();
        rotor::Bench::new(machine, &parts, &study.section, strength, study.turning).ok()?.outcome(cuts)
    }

    /// The greatest cut that the plan looked at [m].
    pub fn most_cut_m(&self) -> f64 {
        self.trim().ok().and_then(|trim| trim.cuts.last()).map_or(0.0, |c| c.cut_m)
    }

    /// The window of the advised cut, where one is advised, be it only as the second way.
    pub fn window(&self) -> Option<&CutWindow> {
        self.trim().ok()?.advice.window()
    }

    /// The cut to show first [m]: the advised one, or none.
    pub fn advised_cut_m(&self) -> f64 {
        self.window().map_or(0.0, |w| w.advised.si)
    }

    /// Everything as JSON.
    pub fn wire(&self) -> wire::Answer {
        let mut answer = wire::Answer::about(&self.read.machine.name, &self.read.warnings);
        answer.curve = Some(self.read.curve_on_wire());
        answer.idle = Some(wire::Part::of(self.idle(), wire::Idle::of));
        answer.alike = Some(wire::Part::of(self.alike(), wire::Alike::of));
        answer.load = Some(wire::Part::of(self.load(), wire::Load::of));
        answer.trim = Some(wire::Part::of(self.trim(), wire::Trim::of));
        answer.rotor =
            self.read.machine.rotor.is_some().then(|| wire::rotor(&self.read.machine, &self.rotor, self.holds.as_ref()));
        answer.spark = self.spark.as_ref().map(wire::spark);
        let (machine, electric) = (&self.read.machine, &self.electric);
        answer.windings = electric.windings.as_ref().map(|found| wire::Part::Found(wire::Windings::of(found)));
        answer.charge =
            electric.charge.as_ref().ok().map(|found| wire::Part::Found(wire::Charge::of(machine, found, &electric.ride)));
        answer.wires = electric.wires.as_ref().map(|found| wire::Part::Found(wire::Wires::of(machine, found)));
        answer
    }
}

/// A PDF; `None` where there is nothing to print.
pub type Paper = Option<Result<Vec<u8>, PdfError>>;

/// The rotor's sheet, as PDF. `None` where there is no rotor to print.
///
/// # Errors
/// As [`sheets::sheet::rotor`].
pub fn rotor_sheet(answer: &Answer) -> Paper {
    let found = answer.rotor.as_ref().ok()?;
    Some(sheets::sheet::rotor(&answer.read.machine, found, answer.holds.as_ref(), &SheetOptions::default()))
}

/// The sheet to work from, as PDF. `None` where there is no study to print.
///
/// # Errors
/// As [`sheets::sheet::sheet`].
pub fn sheet(answer: &Answer) -> Paper {
    let study = answer.study.as_ref().ok()?;
    Some(sheets::sheet::sheet(&answer.read.machine, study, &SheetOptions::default()))
}

/// The spark's sheet, as PDF. `None` where there is no ignition to print.
///
/// # Errors
/// As [`sheets::sheet::spark`].
pub fn spark_sheet(answer: &Answer) -> Paper {
    let found = answer.spark.as_ref()?.as_ref().ok()?;
    Some(sheets::sheet::spark(&answer.read.machine, found, &SheetOptions::default()))
}

/// The sheet of windings that were measured, as PDF. `None` where there are none.
///
/// # Errors
/// As [`sheets::sheet::windings`].
pub fn windings_sheet(answer: &Answer) -> Paper {
    let found = answer.electric.windings.as_ref()?;
    Some(sheets::sheet::windings(&answer.read.machine, found, &SheetOptions::default()))
}

/// The sheet of charging and ride, as PDF. `None` where charging is not told.
///
/// # Errors
/// As [`sheets::sheet::charge`].
pub fn charge_sheet(answer: &Answer) -> Paper {
    let found = answer.electric.charge.as_ref().ok()?;
    Some(sheets::sheet::charge(&answer.read.machine, found, &answer.electric.ride, &SheetOptions::default()))
}

/// The wiring as fitted, as PDF. `None` without wires.
///
/// # Errors
/// As [`sheets::sheet::wires`].
pub fn wires_sheet(answer: &Answer) -> Paper {
    let found = answer.electric.wires.as_ref()?;
    Some(sheets::sheet::wires(&answer.read.machine, found, &SheetOptions::default()))
}
