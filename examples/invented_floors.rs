//! Invented floors for `batch`, as many as you like and always the same ones.
//!
//! `cargo run --release --example invented_floors -- 1000 season > floors.csv`
//!
//! `season` is an office's year: a dozen towns, visits from April to November, answers as
//! people give them. `different` gives every floor an area of its own, so that no two share
//! their draws. `shared` is one town, one month and one set of answers, with readings and signs
//! of their own. No house or person is real.

use std::fmt::Write;

/// How alike the floors are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alike {
    Season,
    Different,
    Shared,
}

const HEADING: &str = "visit,label,visit_date,postal,floor.setting,floor.year_built,\
floor.retarder,floor.area_m2,floor.surface,floor.last_wetted_days,lot.position,lot.drainage,\
lot.sump,signs.spring_darkening,signs.darkening_months,signs.springs_watched,\
signs.white_deposit,signs.musty_smell,air.dehumidifier,reading.1.kind,reading.1.value,\
reading.1.scale,reading.1.spot,reading.1.wall_distance,limit.meter_percent,limit.source";

/// Towns of one office; the codes are of the post, the floors are not.
const TOWNS: [&str; 12] = [
    "14604", "14450", "13202", "14020", "14850", "13021", "14202", "13501", "12207", "05401",
    "16501", "44114",
];

/// The generator SplitMix64, which the numbers come from.
struct Even(u64);

impl Even {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut it = self.0;
        it = (it ^ (it >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        it = (it ^ (it >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (it ^ (it >> 31)) as f64 / 18_446_744_073_709_551_616.0
    }

    fn one_of<'a>(&mut self, words: &[&'a str]) -> &'a str {
        words[(self.next() * words.len() as f64) as usize]
    }
}

/// A table of so many invented floors.
pub fn table(count: usize, alike: Alike, seed: u64) -> String {
    let mut even = Even(seed);
    let mut out = format!("{HEADING}\n");
    for number in 1..=count {
        out.push_str(&row(&mut even, number, alike));
    }
    out
}

fn row(even: &mut Even, number: usize, alike: Alike) -> String {
    let shared = alike == Alike::Shared;
    let postal = if shared {
        TOWNS[0]
    } else {
        even.one_of(&TOWNS)
    };
    let month = if shared {
        9
    } else {
        4 + (even.next() * 8.0) as u32
    };
    let day = 1 + (even.next() * 28.0) as u32;
    let year = if shared {
        1958
    } else {
        1915 + (even.next() * 100.0) as u32
    };
    let pick = |even: &mut Even, words: &[&'static str]| -> &'static str {
        if shared { words[0] } else { even.one_of(words) }
    };
    let setting = pick(even, &["basement", "basement", "basement", "walk_out"]);
    let retarder = pick(even, &["", "", "", "", "absent", "seen"]);
    let lot = pick(even, &["level", "level", "level", "low", "high", ""]);
    let drainage = pick(even, &["sound", "sound", "failing", ""]);
    let machine = pick(even, &["none", "none", "none", "running"]);
    let area = if alike == Alike::Different {
        format!("{:.3}", 30.0 + 100.0 * even.next())
    } else {
        String::new()
    };
    // Wetter floors read higher and show more; most are ordinary.
    let wet = even.next() * even.next();
    let dark = if even.next() < 0.6 {
        ""
    } else if even.next() < wet {
        "true"
    } else {
        "false"
    };
    let months = if dark == "true" { "3;4" } else { "" };
    let springs = if dark.is_empty() { "" } else { "3" };
    let says = |even: &mut Even| {
        if even.next() < 0.5 {
            ""
        } else if even.next() < wet {
            "true"
        } else {
            "false"
        }
    };
    let (white, musty) = (says(even), says(even));
    let sump = pick(even, &["none", "none", "", "dry", "after_rain"]);
    let surface = if even.next() < 0.03 { "sealed" } else { "bare" };
    let washed = if even.next() < 0.03 { "2" } else { "60" };
    let value = 2.6 + 2.6 * wet + 0.6 * (even.next() - 0.5);
    let scale = if even.next() < 0.03 {
        "relative"
    } else {
        "percent"
    };
    let mut line = String::new();
    let _ = writeln!(
        line,
        "{number},invented {number},2026-{month:02}-{day:02},{postal},{setting},{year},{retarder},\
{area},{surface},{washed},{lot},{drainage},{sump},{dark},{months},{springs},{white},{musty},\
{machine},meter,{value:.1},{scale},middle,10ft,5.0,invented data sheet"
    );
    line
}

#[allow(dead_code)]
fn main() {
    let mut arguments = std::env::args().skip(1);
    let count = arguments.next().and_then(|it| it.parse().ok());
    let alike = match arguments.next().as_deref() {
        None | Some("season") => Some(Alike::Season),
        Some("different") => Some(Alike::Different),
        Some("shared") => Some(Alike::Shared),
        _ => None,
    };
    match (count, alike) {
        (Some(count), Some(alike)) => print!("{}", table(count, alike, 2026)),
        _ => eprintln!("give a number of floors, and season, different or shared"),
    }
}
