//! One call from a machine file to everything that is known about it, the same for page and command line.

use crate::wire;
use physics::surface::Progress as SurfaceProgress;
use workshop::{
    machine::{self, Defect, Machine},
    study::{
        NotStudied, Study,
        curve::{self, CurveStudy},
        trim::CutOutcome,
        warning::Warning,
    },
};

