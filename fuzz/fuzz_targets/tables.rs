#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| barrowful_fuzz::tables(data));
