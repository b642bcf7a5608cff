//! Help of the commands for recordings.

/// Command.
pub const RECORDING: &str = "What a recording tells: the advance curve from trigger and spark, or the speed from the exhaust";
/// Argument or option.
pub const FILE: &str = "A WAV file or an oscilloscope's table (CSV); \"-\" is the pipe";
/// Argument or option.
pub const MACHINE: &str = "The machine file of the engine that was recorded";
/// Argument or option.
pub const EXHAUST: &str = "It is the sound of the exhaust, not trigger and spark";
/// Argument or option.
pub const TRIGGER: &str = "Which channel holds the trigger [default: found out]";
/// Argument or option.
pub const MARK: &str =
    "That channel holds a mark, not the pickup: the angle at which it passes, as \"0°\" at top dead centre or \"12° BTDC\"";
/// Argument or option.
pub const PICKUP: &str = "Which pickup of the machine file was recorded, counted from 1";
/// Argument or option.
pub const PICKUPS: &str = "Each channel holds one pickup, the first and the second of the machine file: compare them";
/// Argument or option.
pub const BEFORE: &str = "A recording of the same machine before something was changed, heard first: tell what has changed";
/// Argument or option.
pub const COLUMNS: &str = "Columns of a table, counted from 1: time, first channel, second channel; time 0 = none, with --rate";
/// Argument or option.
pub const RATE: &str = "Samples a second of a table without times";
/// Argument or option.
pub const FIRINGS: &str =
    "Write every firing as CSV (of an exhaust: the speed against time); \"-\" is the pipe, with that alone in it";
/// Argument or option.
pub const SHEET: &str = "Write the sheet too, as PDF; \"-\" is the pipe, with the sheet alone in it";
/// Command.
pub const SYNTHESIZE: &str = "Make a recording of a machine file's engine, with chosen faults, to learn and to test by";
/// Argument or option.
pub const OUT: &str = "The WAV file to write; an existing file is left alone";
/// Argument or option.
pub const RUN: &str = "What the engine does";
/// Argument or option.
pub const SECONDS: &str = "Length in seconds";
/// Argument or option.
pub const SAMPLES: &str = "Samples a second";
/// Argument or option.
pub const FASTEST: &str = "Greatest speed in rpm";
/// Argument or option.
pub const SWEEP_RATE: &str = "How fast the speed changes, in rpm a second";
/// Argument or option.
pub const MAKE_EXHAUST: &str = "The sound of the exhaust in one channel";
/// Argument or option.
pub const MAKE_MARK: &str = "A mark at top dead centre instead of the pickup";
/// Argument or option.
pub const HUM: &str = "Mains hum, as a share of the pulses' height";
/// Argument or option.
pub const NOISE: &str = "Noise so many dB below the pulses' height (of an exhaust: below its loudness)";
/// Argument or option.
pub const DRIFT: &str = "Drift of the line over the recording, as a share of the pulses' height";
/// Argument or option.
pub const CLIP: &str = "Clipped at this share of the pulses' height";
/// Argument or option.
pub const INVERTED: &str = "Trigger upside down";
/// Argument or option.
pub const SWAPPED: &str = "Channels changed over";
/// Argument or option.
pub const MISSING: &str = "Share of firings without a spark";
/// Argument or option.
pub const DOUBLE: &str = "Share of firings with a second spark";
/// Argument or option.
pub const STRAY: &str = "Stray sparks for each firing";
/// Argument or option.
pub const SPARKS: &str = "Sparks in every firing below 1500 rpm";
/// Argument or option.
pub const WASTE: &str = "Every second spark is a waste one, and weaker";
/// Argument or option.
pub const SEED: &str = "Another number gives other chance; the same gives the same file";
/// Argument or option.
pub const TRUTH: &str = "Write what was made, spark by spark, as CSV";
