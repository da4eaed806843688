//! The cards: invented floors whose answer is known beforehand from the trade, as a table for
//! the developers' page. `tests/laws.rs` holds them to their bounds.
//!
//! ```text
//! cargo run --release --example cards
//! ```

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::posterior::{FULL, Limits, posterior};
use slabseason::survey::parse_visit;

/// One floor read on one day.
struct Card {
    name: &'static str,
    bound: &'static str,
    postal: &'static str,
    date: &'static str,
    answers: &'static [&'static str],
    reading: f64,
}

const WET: &[&str] = &[
    "floor.year_built = 1958",
    "lot.position = \"low\"",
    "lot.drainage = \"failing\"",
    "signs.spring_darkening = true",
];
const WET_NOT_DARK: &[&str] = &[
    "floor.year_built = 1958",
    "lot.position = \"low\"",
    "lot.drainage = \"failing\"",
    "signs.spring_darkening = false",
];
const LEVEL: &[&str] = &["floor.year_built = 1958", "lot.position = \"level\""];
const DRY: &[&str] = &[
    "floor.year_built = 1958",
    "lot.position = \"level\"",
    "lot.drainage = \"sound\"",
];

const CARDS: [Card; 8] = [
    Card {
        name: "1 new floor, sound lot",
        bound: "under 0.05",
        postal: "05401",
        date: "2026-09-08",
        answers: &[
            "floor.year_built = 2015",
            "floor.retarder = \"seen\"",
            "lot.position = \"level\"",
            "lot.drainage = \"sound\"",
            "signs.spring_darkening = false",
            "air.dehumidifier = \"running\"",
        ],
        reading: 2.6,
    },
    Card {
        name: "2 old floor, wet lot, darkens",
        bound: "over 0.5",
        postal: "14604",
        date: "2026-09-08",
        answers: WET,
        reading: 3.6,
    },
    Card {
        name: "3 the same, does not darken",
        bound: "0.03 to 0.35",
        postal: "14604",
        date: "2026-09-08",
        answers: WET_NOT_DARK,
        reading: 3.6,
    },
    Card {
        name: "4 old floor, little known",
        bound: "0.03 to 0.25",
        postal: "05401",
        date: "2026-09-08",
        answers: LEVEL,
        reading: 3.6,
    },
    Card {
        name: "5 floor 2 in Seattle",
        bound: "over 0.7, wettest February to May",
        postal: "98101",
        date: "2026-09-08",
        answers: WET,
        reading: 3.6,
    },
    Card {
        name: "6 Denver",
        bound: "under 0.05",
        postal: "80202",
        date: "2026-09-08",
        answers: DRY,
        reading: 2.0,
    },
    Card {
        name: "6 Denver, read higher",
        bound: "not explained",
        postal: "80202",
        date: "2026-09-08",
        answers: DRY,
        reading: 4.6,
    },
    Card {
        name: "7 floor 4 in December",
        bound: "at least 1.5 times card 4",
        postal: "05401",
        date: "2026-12-08",
        answers: LEVEL,
        reading: 3.6,
    },
];

const MONTHS: [&str; 12] = slabseason::season::MONTH_NAMES;

fn main() {
    println!(
        "| card | bound | read | before | after | five years | wettest | effective | k-hat | draws | p |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|");
    for card in &CARDS {
        let place = PlaceQuery::parse(card.postal)
            .and_then(|it| find_place(&it))
            .expect("the table has stations near all cards");
        let text = format!(
            "visit_date = {date}\npostal = \"{}\"\nfloor.setting = \"basement\"\n{}\n[[reading]]\ndate = {date}\nkind = \"meter\"\nscale = \"percent\"\nvalue = {:?}\n",
            card.postal,
            card.answers.join("\n"),
            card.reading,
            date = card.date,
        );
        let visit = parse_visit(&text, card.name)
            .expect("cards are whole visits")
            .visit;
        let limits = Limits {
            meter_percent: Some(5.0),
            probe_humidity: None,
            dome_flux: None,
        };
        let it = posterior(&place, &visit, limits, FULL);
        let median = |month: usize| {
            it.reading_quantiles(
                &it.after.weights,
                |draw| it.scales[draw],
                |draw| 100.0 * it.outcomes[draw].next_year[month].meter_fraction,
                [0.1, 0.5, 0.9],
            )[1]
        };
        let wettest = (0..12)
            .max_by(|a, b| median(*a).total_cmp(&median(*b)))
            .expect("twelve months");
        println!(
            "| {} | {} | {} % | {:.3} | {:.3} | {:.3} | {} | {:.0} | {:.2} | {} | {:.3} |",
            card.name,
            card.bound,
            card.reading,
            it.exceedance_before(),
            it.exceedance(),
            it.exceedance_five_years(),
            MONTHS[wettest],
            it.effective_draws,
            it.after.k_hat,
            it.outcomes.len(),
            it.reading_p_value.unwrap_or(f64::NAN),
        );
    }
}
