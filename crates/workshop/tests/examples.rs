//! The demonstration machines.

use workshop::machine::{EXAMPLES, read};

#[test]
fn every_example_reads_without_a_defect() {
    for (name, text) in EXAMPLES {
        if let Err(defects) = read(text) {
            panic!("{name}: {defects:#?}");
        }
    }
}
