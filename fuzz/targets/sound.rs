#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| tickover_fuzz::sound(bytes));
