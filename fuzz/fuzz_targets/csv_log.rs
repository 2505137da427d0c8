#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| bitepoint_checks::fuzz_bodies::csv_log(data));
