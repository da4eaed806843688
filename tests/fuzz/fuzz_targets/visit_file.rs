//! Any bytes are a visit or are refused; a visit that was read can be saved and read again.

#![no_main]

use libfuzzer_sys::fuzz_target;
use slabseason::survey::{parse_visit, parse_visit_bytes, to_toml};

fuzz_target!(|bytes: &[u8]| {
    if let Ok(parsed) = parse_visit_bytes(bytes, "fuzz.toml") {
        let text = to_toml(&parsed.visit);
        let again = parse_visit(&text, "saved.toml").expect("a saved visit can be read");
        assert_eq!(again.visit, parsed.visit);
    }
});
