//! Cautions, each to stand before the step that it belongs to (common practice, no source).

/// A caution and what protects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// What can happen.
    pub danger: &'static str,
    /// What to do about it.
    pub protects: &'static str,
}

/// Before work on the rotor.
pub const fn cautions_for_cut() -> &'static [Caution] {
    &[
        Caution {
            danger: "Wrong end. Turned over, the rotor's rotation looks reversed.",
            protects: "Mark the arrow and the side before it comes off. Compare with the drawing from the same side.",
        },
        Caution {
            danger: "A cracked or thinned rotor can burst; magnets can fly.",
            protects: "Cut the segment only, never the rim. Check for cracks; cracked means scrap. Cover on and nobody in the plane of the rotor at the first run.",
        },
        Caution {
            danger: "Milling an edge is an interrupted, unbalanced cut.",
            protects: "Guard, slow speed, no gloves, key out of the chuck, nothing held by its rim.",
        },
        Caution {
            danger: "Strong magnets draw fingers and swarf, and disturb pacemakers.",
            protects: "Cover them, keep pacemakers and dial gauges with magnets away, wash and look again.",
        },
    ]
}

/// Before the engine is kicked and run.
pub const fn cautions_for_run() -> &'static [Caution] {
    &[
        Caution {
            danger: "Kick-back: earlier timing can throw the pedal back and break bones or cases.",
            protects: "Static timing first, every cylinder. Boots, whole leg, no stiff knee.",
        },
        Caution {
            danger: "The ignition gives dangerous shocks.",
            protects: "Never let a lead hang open; earthed tester; pacemaker wearers stay away.",
        },
        Caution {
            danger: "Turning parts catch, and under the strobe look still; the exhaust burns, its gas kills; stuck throttles race.",
            protects: "Sleeves and hair back, nobody in the plane of the rotor, outdoors or extraction, prove kill switch and throttle return before the run.",
        },
    ]
}

/// Before sparks are tried and anything is measured on a machine that came in with a fault.
pub const fn cautions_for_test() -> &'static [Caution] {
    &[Caution {
        danger: "Petrol vapour: a spark near an open plug hole or a leaking carburettor sets it alight.",
        protects: "No spark test there. Extinguisher at hand, nothing sprayed on a hot engine.",
    }]
}

/// For the owner who rides away.
pub const fn cautions_for_owner() -> &'static [Caution] {
    &[
        Caution {
            danger: "A kick back through the pedal can break bones.",
            protects: "Boots, the whole leg, no stiff knee. If it kicks back, do not try again: call us.",
        },
        Caution {
            danger: "The ignition gives dangerous shocks; exhaust gas kills.",
            protects: "Touch no plug lead while the engine runs; people with a pacemaker stay away. Never run it in a closed room, not even for a minute.",
        },
        Caution {
            danger: "A changed ignition may matter to inspector and insurer.",
            protects: "Ask them where you live. This page does not say that the machine is fit for the road.",
        },
    ]
}
