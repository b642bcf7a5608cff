//! Cautions of electrical work (common practice, no source).

use crate::words::Caution;

/// Before a battery is worked on.
pub const BATTERY: Caution = Caution {
    danger: "A battery that is charged gives off hydrogen, which explodes; its acid blinds.",
    protects: "Air, no flame and no spark; minus off first, on last; no tools across it. Goggles; acid in eyes: water at once and for long, then help.",
};
/// Before insulation is tested.
pub const INSULATION_TEST: Caution = Caution {
    danger: "An insulation tester puts out 500 V: it destroys electronics and gives a shock.",
    protects: "Unplug module, regulator, rectifier and meter first. Hands off while it tests. Discharge the winding to the frame afterwards.",
};
/// Before a stator is touched that ran.
pub const HOT_STATOR: Caution = Caution {
    danger: "A stator that has run burns the skin, and so does the engine round it.",
    protects: "Let it cool, or wear gloves. Note its temperature with the resistance: a hot winding reads a third more.",
};
/// Before anything is measured on a running engine.
pub const RUNNING: Caution = Caution {
    danger: "A running engine: turning parts catch, exhaust gas kills, the leads of an unplugged alternator carry 100 V and more when it runs fast.",
    protects: "Sleeves and hair back, outdoors or extraction. Plug meters in before the engine runs. One hand at unplugged leads, at low speed only. Never run it with the battery disconnected: volts rise and burn electronics.",
};
/// Before wires are changed.
pub const WIRES: Caution = Caution {
    danger: "A battery drives hundreds of amps through a slipped spanner: it burns and blinds.",
    protects: "Minus off the battery before any wire is touched. A fuse close to the battery in every new feed.",
};
