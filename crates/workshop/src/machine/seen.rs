//! What was seen of the engine on its throttle stop.

use quantity::Reading;

/// What the engine was seen to do at idle, on one throttle stop.
#[derive(Clone, Debug, PartialEq)]
pub struct IdleSeen {
    /// Idle speed [rad/s].
    pub speed: Reading,
    /// Speed at which it hangs, where it does [rad/s].
    pub hangs_at: Option<Reading>,
    /// Whether the clutch pulls it down to the idle and it stays there.
    pub clutch_pulls_down: Option<bool>,
    /// What was tried while it hung, to tell causes apart.
    pub tried: Tried,
    /// ± of the rev counter as a share that all these speeds have alike [1], beside the ± of each; those of a run-down come from a recording and do not.
    pub rev_counter: Option<Reading>,
    /// Rise of the slide for one turn of the stop screw [m].
    pub screw_lift: Option<Reading>,
    /// The nudge test.
    pub nudges: Vec<Nudge>,
    /// The stop screw turned.
    pub screws: Vec<ScrewTurned>,
    /// Run-downs with the ignition cut.
    pub run_downs: Vec<RunDown>,
}

impl IdleSeen {
    /// What all speeds read here may be off alike, as a ± and a share \[1\].
    pub fn rev_counter_share(&self) -> f64 {
        self.rev_counter.as_ref().map_or(0.0, |r| r.si.abs())
    }

    /// Readings of the nudge test, the stop screw and run-downs.
    pub fn readings_on_stop(&self) -> usize {
        self.nudges.len() + self.screws.len() + self.run_downs.len()
    }
}

/// What was tried on a hang to find its cause; `None` = not tried.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tried {
    /// Throttle snapped shut by hand, or slide knocked down: did it come down for good?
    pub snap_brings_down: Option<bool>,
    /// A little choke, or a hand over the inlet.
    pub choke: Option<ChokeSeen>,
    /// Joints behind the throttle misted: did the speed change?
    pub mist_changes: Option<bool>,
    /// How much earlier the spark comes with falling than with rising speed, at one speed between [rad crank].
    pub falling_earlier: Option<Reading>,
}

/// See [`Tried::choke`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChokeSeen {
    /// The hang goes.
    ComesDown,
    /// The engine dies.
    Dies,
    /// Nothing to speak of.
    NoChange,
}

/// The plate turned with the stop left alone.
#[derive(Clone, Debug, PartialEq)]
pub struct Nudge {
    /// By how much, as advance on the crank [rad], positive = earlier.
    pub turned: Reading,
    /// Crank speed to which it settles there [rad/s].
    pub speed: Reading,
}

/// The stop screw turned with the plate left alone.
#[derive(Clone, Debug, PartialEq)]
pub struct ScrewTurned {
    /// Turns from the place at which the idle was read \[1\], positive = more air.
    pub turns: Reading,
    /// Crank speed to which it settles there [rad/s].
    pub speed: Reading,
}

/// A run-down with the ignition cut and the throttle on its stop.
#[derive(Clone, Debug, PartialEq)]
pub struct RunDown {
    /// Crank speed at the start [rad/s].
    pub from: Reading,
    /// Crank speed at the end [rad/s].
    pub to: Reading,
    /// Time between the two [s].
    pub takes: Reading,
}
