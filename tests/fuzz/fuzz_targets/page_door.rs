//! Any text at the page's door gets an answer in JSON; none stops the module.

#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let answer = slabseason::web::respond(text);
    assert!(answer.starts_with('{') && answer.ends_with('}'), "{answer:.200}");
});
