//! What is fuzzed: bytes in, nothing out; none may panic. `crates/tickover/tests/mutated.rs` takes the same through mutated seeds with a stable compiler.

use tickover::exchange::recording::{Columns, Incoming};
use workshop::{
    machine,
    study::recording::{Given, Listener, sound::SoundListener},
};

/// Any bytes as a recording: WAV by its first four, a scope's table otherwise.
pub fn recording(bytes: &[u8]) {
    let Ok(mut incoming) = Incoming::open(bytes, Some(bytes.len() as u64), &Columns::default()) else { return };
    let (mut block, mut frames) = ([Vec::new(), Vec::new()], 0);
    while incoming.next_block(&mut block).unwrap_or(false) {
        assert_eq!(block[0].len(), block[1].len());
        frames += block[0].len();
    }
    // A sample takes a byte at least.
    assert!(frames <= bytes.len() && incoming.rate_hz() > 0.0);
    let _ = incoming.notes();
}

/// Any bytes as the samples of two channels, heard: the first tells machine and rate, the second how much is pushed at once.
pub fn hear(bytes: &[u8]) {
    let [wishes, piece, samples @ ..] = bytes else { return };
    let (_, text) = machine::EXAMPLES[usize::from(wishes % 3)];
    let Ok((machine, _)) = machine::read(text) else { return };
    let rate_hz = [8_000.0, 48_000.0][usize::from(wishes / 3 % 2)];
    let given = Given { mark_rad: (wishes / 6 % 2 == 1).then_some(0.2), ..Given::default() };
    let value = |b: &[u8]| f32::from(i16::from_le_bytes([b[0], b[1]])) / 32_768.0;
    // Each sample eight times: pulses of a length that engines give, from few bytes.
    let channel = |c: usize| -> Vec<f32> {
        samples.chunks_exact(4).flat_map(|f| std::iter::repeat_n(value(&f[2 * c..2 * c + 2]), 8)).collect()
    };
    let (left, right) = (channel(0), channel(1));
    let mut listener = Listener::new(rate_hz, &machine, &given).wanting(0.0, f64::INFINITY);
    let size = 1 + 64 * usize::from(*piece);
    left.chunks(size).zip(right.chunks(size)).for_each(|(a, b)| listener.push(a, b));
    let _ = listener.finish();
}

/// Any bytes as the samples of an exhaust: the first tells machine and rate, the second how much is pushed at once.
pub fn sound(bytes: &[u8]) {
    let [wishes, piece, samples @ ..] = bytes else { return };
    let (_, text) = machine::EXAMPLES[usize::from(wishes % 3)];
    let Ok((machine, _)) = machine::read(text) else { return };
    let rate_hz = [4_000.0, 11_025.0][usize::from(wishes / 3 % 2)];
    // Each sample sixteen times: some seconds of sound from few bytes.
    let value = |b: &[u8]| f32::from(i16::from_le_bytes([b[0], b[1]])) / 32_768.0;
    let samples: Vec<f32> = samples.chunks_exact(2).flat_map(|b| std::iter::repeat_n(value(b), 16)).collect();
    let mut listener = SoundListener::new(rate_hz, &machine);
    samples.chunks(1 + 64 * usize::from(*piece)).for_each(|block| listener.push(block));
    if let Ok(sound) = listener.finish() {
        assert!(sound.pace.course.iter().all(|p| p.speed_rad_s.is_finite() && p.speed_rad_s > 0.0));
    }
}

/// Any bytes as a machine file.
pub fn machine(bytes: &[u8]) {
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = machine::read(text);
    }
}
