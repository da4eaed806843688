//! Any text is a quantity in its range or is refused.

#![no_main]

use libfuzzer_sys::fuzz_target;
use slabseason::units::{
    Celsius, RelHumidity, area_from_text, celsius_from_text, humidity_from_text, length_from_text,
    permeance_from_text, volume_per_day_from_text,
};

fuzz_target!(|text: &str| {
    if let Ok(it) = celsius_from_text(text) {
        assert!((Celsius::LOW..=Celsius::HIGH).contains(&it.get()));
    }
    if let Ok(it) = humidity_from_text(text) {
        assert!((RelHumidity::LOW..=RelHumidity::HIGH).contains(&it.get()));
    }
    let _ = (length_from_text(text), area_from_text(text));
    let _ = (permeance_from_text(text), volume_per_day_from_text(text));
});
