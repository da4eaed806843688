use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::posterior::*;
use slabseason::survey::*;
use std::time::Instant;
fn main() {
    let cards = [
        (
            "1 <.05",
            "05401",
            "year_built = 2015\nretarder=\"seen\"",
            "position=\"level\"\ndrainage=\"sound\"",
            "spring_darkening=false",
            "dehumidifier=\"running\"",
            "2026-09-08",
            "2.6",
        ),
        (
            "2 >.5",
            "14604",
            "year_built = 1958",
            "position=\"low\"\ndrainage=\"failing\"",
            "spring_darkening=true",
            "",
            "2026-09-08",
            "3.6",
        ),
        (
            "3 .03-.35",
            "14604",
            "year_built = 1958",
            "position=\"low\"\ndrainage=\"failing\"",
            "spring_darkening=false",
            "",
            "2026-09-08",
            "3.6",
        ),
        (
            "4 .03-.25",
            "05401",
            "year_built = 1958",
            "position=\"level\"",
            "",
            "",
            "2026-09-08",
            "3.6",
        ),
        (
            "5 >.7 Feb-May",
            "98101",
            "year_built = 1958",
            "position=\"low\"\ndrainage=\"failing\"",
            "spring_darkening=true",
            "",
            "2026-09-08",
            "3.6",
        ),
        (
            "6 <.05",
            "80202",
            "year_built = 1958",
            "position=\"level\"\ndrainage=\"sound\"",
            "",
            "",
            "2026-09-08",
            "2.0",
        ),
        (
            "6b held",
            "80202",
            "year_built = 1958",
            "position=\"level\"\ndrainage=\"sound\"",
            "",
            "",
            "2026-09-08",
            "4.6",
        ),
        (
            "7 3x of 4",
            "05401",
            "year_built = 1958",
            "position=\"level\"",
            "",
            "",
            "2026-12-08",
            "3.6",
        ),
        (
            "4 june",
            "05401",
            "year_built = 1958",
            "position=\"level\"",
            "",
            "",
            "2026-06-08",
            "3.6",
        ),
        (
            "4 jan",
            "05401",
            "year_built = 1958",
            "position=\"level\"",
            "",
            "",
            "2026-01-08",
            "3.4",
        ),
        (
            "4 no reading",
            "05401",
            "year_built = 1958",
            "position=\"level\"",
            "",
            "",
            "2026-09-08",
            "",
        ),
    ];
    for (name, zip, floor, lot, signs, air, date, value) in cards {
        let place = find_place(&PlaceQuery::parse(zip).unwrap()).unwrap();
        let reading = if value.is_empty() {
            String::new()
        } else {
            format!("[[reading]]\ndate={date}\nkind=\"meter\"\nscale=\"percent\"\nvalue={value}\n")
        };
        let text = format!(
            "visit_version = 1\nvisit_date = {date}\npostal = \"{zip}\"\n[floor]\nsetting = \"basement\"\n{floor}\n[lot]\n{lot}\n[signs]\n{signs}\n[air]\n{air}\n{reading}"
        );
        let visit = parse_visit(&text, name).unwrap().visit;
        let t = Instant::now();
        let p = posterior(
            &place,
            &visit,
            Limits {
                meter_percent: Some(5.0),
                probe_humidity: None,
                dome_flux: None,
            },
            FULL,
        );
        let el = t.elapsed();
        let med: Vec<f64> = (0..12)
            .map(|m| {
                p.reading_quantiles(
                    &p.after.weights,
                    |d| p.scales[d],
                    |d| 100.0 * p.outcomes[d].next_year[m].meter_fraction,
                    [0.1, 0.5, 0.9],
                )[1]
            })
            .collect();
        let bef: Vec<f64> = (0..12)
            .map(|m| {
                p.reading_quantiles(
                    &p.before.weights,
                    |_| p.scale_before,
                    |d| 100.0 * p.outcomes[d].next_year[m].meter_fraction,
                    [0.1, 0.5, 0.9],
                )[1]
            })
            .collect();
        println!(
            "{name:14} before {:.3} P {:.3} 5y {:.3} p {:?} ess {:.0} k {:.2} n {} {:?}",
            p.exceedance_before(),
            p.exceedance(),
            p.exceedance_five_years(),
            p.reading_p_value.map(|x| (x * 1000.0).round() / 1000.0),
            p.effective_draws,
            p.after.k_hat,
            p.outcomes.len(),
            el
        );
        println!(
            "    after  {}",
            med.iter()
                .map(|x| format!("{x:.2}"))
                .collect::<Vec<_>>()
                .join(" ")
        );
        println!(
            "    before {}",
            bef.iter()
                .map(|x| format!("{x:.2}"))
                .collect::<Vec<_>>()
                .join(" ")
        );
    }
}
