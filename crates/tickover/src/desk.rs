//! One call from a machine file to everything that is known about it, the same for page and command line.

use crate::{shelf::Shelf, wire};
use physics::surface::Progress as Counter;
use sheets::words;
use workshop::{
    machine::{self, Defect, Machine},
    study::{
        NotStudied, Study,
        curve::{self, CurveStudy},
        idle,
        model::EngineModel,
        trim::{self, Advice, CutOutcome, CutWindow},
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
        wire::Part::of(&self.curve, |c| wire::Curve::of(&self.machine, c))
    }

    /// How many defaults stand in for readings.
    pub fn defaults(&self) -> usize {
        self.warnings.iter().filter(|w| matches!(w, Warning::DefaultUsed { .. })).count()
    }
}

/// Everything that is known about a machine, ready to be asked about any cut.
pub struct Answer {
    /// The file and the curve.
    pub read: Read,
    /// The idle, or why it is not studied.
    pub idle: Result<IdleStudy, NotStudied>,
    /// The trim, or why it is not studied.
    pub trim: Result<TrimStudy, NotStudied>,
    model: Option<EngineModel>,
}
