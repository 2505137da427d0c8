#![no_main]

libfuzzer_sys::fuzz_target!(|data: &[u8]| bitepoint_checks::fuzz_bodies::nmea_log(data));
