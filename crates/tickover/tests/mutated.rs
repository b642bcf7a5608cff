//! Bytes that were changed at random, through what reads files and hears samples: nothing panics. The same entry points are fuzzed with coverage in `fuzz/`.

#[path = "../../../fuzz/src/lib.rs"]
mod entry;

use std::path::Path;

/// Chance as a linear congruence (Knuth's MMIX constants): the same on every machine.
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n.max(1)
    }
}

/// Seeds of a target, and the example machine files for the one that reads them; in order of their names.
fn seeds(target: &str) -> Vec<Vec<u8>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut folders = vec![root.join("fuzz/corpus").join(target)];
    if target == "machine" {
        folders.push(root.join("examples"));
    }
    let mut paths: Vec<_> = folders
        .iter()
        .flat_map(|folder| std::fs::read_dir(folder).expect("the seeds").map(|entry| entry.expect("a seed").path()))
        .filter(|path| path.is_file())
        .collect();
    paths.sort();
    assert!(!paths.is_empty());
    paths.iter().map(|path| std::fs::read(path).expect("a seed")).collect()
}

/// One to eight changes: a byte, a bit, a stretch cut out, doubled, or put in from another seed, a number at an end.
fn mutated(seeds: &[Vec<u8>], chance: &mut Chance) -> Vec<u8> {
    let mut bytes = seeds[chance.below(seeds.len())].clone();
    for _ in 0..=chance.below(8) {
        let at = chance.below(bytes.len() + 1);
        let to = (at + 1 + chance.below(16)).min(bytes.len());
        match chance.below(7) {
            0 if at < bytes.len() => bytes[at] = chance.below(256) as u8,
            1 if at < bytes.len() => bytes[at] ^= 1 << chance.below(8),
            2 if at < to => drop(bytes.drain(at..to)),
            3 if at < to => {
                let again = bytes[at..to].to_vec();
                bytes.splice(at..at, again);
            }
            4 => {
                let other = &seeds[chance.below(seeds.len())];
                let from = chance.below(other.len());
                let part = other[from..(from + 1 + chance.below(64)).min(other.len())].to_vec();
                bytes.splice(at..at, part);
            }
            5 if at < to => bytes[at..to].fill([0, 0xFF, 0x7F, 0x80][chance.below(4)]),
            _ => bytes.truncate(at),
        }
    }
    bytes
}

fn through(target: &str, entry: fn(&[u8]), times: usize) {
    let (seeds, mut chance) = (seeds(target), Chance(7));
    seeds.iter().for_each(|seed| entry(seed));
    for _ in 0..times {
        entry(&mutated(&seeds, &mut chance));
    }
}

#[test]
fn recordings_of_any_bytes() {
    through("recording", entry::recording, 20_000);
}

#[test]
fn an_exhaust_of_any_bytes() {
    through("sound", entry::sound, 60);
}

#[test]
fn samples_of_any_bytes() {
    through("hear", entry::hear, 60);
}

#[test]
fn machine_files_of_any_bytes() {
    through("machine", entry::machine, 300);
}

/// Millions of them: `cargo test --release -p tickover --test mutated -- --ignored`.
#[test]
#[ignore = "some ten minutes; asked for by name"]
fn millions() {
    through("recording", entry::recording, 3_000_000);
    through("machine", entry::machine, 200_000);
    through("hear", entry::hear, 50_000);
}
