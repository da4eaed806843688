//! Water from below and damp air are two seasons, and every output tells the same two.

use crate::floors::{is_whole, plain_notice, unwrapped};
use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::evidence::Scale;
use slabseason::odds::posterior::{Ahead, Effort, Limits, posterior};
use slabseason::report::notice::notice;
use slabseason::report::{self, Asked, Extent, HomeSheetOf, Units, calendar, homeowner_sheet};
use slabseason::season::MONTH_NAMES;
use slabseason::survey::{Visit, parse_visit};
use slabseason::units::table_text;
use slabseason::verdict::place_prior::place_prior;
use slabseason::verdict::seasons::Threat;
use slabseason::verdict::{Detail, conclude_with};
use slabseason::words::Language;

const LOOK: Effort = Effort {
    round: 512,
    most: 512,
    enough: 0.0,
    ahead: Ahead::NextYear,
};

/// Stations of the table, every so many; half of them unless the study is run whole.
fn stations(every: usize) -> Vec<String> {
    let every = if is_whole() { every } else { 2 * every };
    table_text("climate_normals.csv")
        .lines()
        .filter(|it| !it.starts_with('#'))
        .skip(1)
        .step_by(every)
        .map(|it| it.split(',').next().unwrap().to_string())
        .collect()
}

fn visit(station: &str, more: &str) -> Visit {
    let text = format!("visit_date = 2026-09-08\nstation = \"{station}\"\n{more}");
    parse_visit(&text, "made.toml").unwrap().visit
}

/// Some hundreds of places, a plain basement and a low lot each: the month to watch lies in the
/// season to watch, that season is one of the two, and the year of the place tells the same
/// season of water as the floor that nothing is known of.
#[test]
fn all_outputs_tell_the_same_seasons() {
    let (mut seen, mut far_apart) = (0, 0);
    for station in stations(9) {
        let place = find_place(&PlaceQuery::parse(&station).unwrap()).unwrap();
        let of_place = place_prior(&place);
        for (kind, more) in [
            ("plain", "floor.setting = \"basement\""),
            (
                "low",
                "floor.setting = \"basement\"\nlot.position = \"low\"",
            ),
        ] {
            let visit = visit(&station, more);
            let (verdict, _) = conclude_with(&place, &visit, Detail::Chances, LOOK);
            let seasons = &verdict.seasons;
            seen += 1;
            let at = format!(
                "{station} {kind}: {:?} {:?}",
                seasons.water, seasons.damp_air
            );
            assert!(verdict.wet_season.contains(&verdict.wettest_month), "{at}");
            match seasons.threat {
                Some(Threat::WaterFromBelow) => assert_eq!(verdict.wet_season, seasons.water),
                Some(Threat::DampAir) => assert_eq!(verdict.wet_season, seasons.damp_air),
                None => assert!(
                    seasons.water.is_empty() && seasons.damp_air.is_empty(),
                    "{at}"
                ),
            }
            if kind == "plain" {
                // Other draws: a month at either end may differ.
                for (one, other) in [
                    (&of_place.wet_seasons.water, &seasons.water),
                    (&of_place.wet_seasons.damp_air, &seasons.damp_air),
                ] {
                    let apart = one.iter().filter(|it| !other.contains(it)).count()
                        + other.iter().filter(|it| !one.contains(it)).count();
                    far_apart += usize::from(apart > 2);
                }
            }
        }
    }
    assert!(seen > 300, "only {seen} floors");
    println!("{far_apart} seasons of {seen} differ by more than two months");
    assert!(far_apart * 25 < seen, "{far_apart} of {seen}");
}

/// The calendar months that a sentence names, from the words before them to the end of the
/// sentence; a range of months is filled in.
fn told_after(text: &str, before: &str) -> Option<Vec<u32>> {
    let rest = text.split_once(before)?.1;
    let sentence = rest.split_once('.').map_or(rest, |it| it.0);
    let words: Vec<&str> = sentence
        .split(|it: char| !it.is_alphabetic())
        .filter(|it| !it.is_empty())
        .collect();
    let number = |it: &str| MONTH_NAMES.iter().position(|name| *name == it);
    let mut months: Vec<u32> = Vec::new();
    let mut fills = false;
    for word in words {
        match (number(word), months.last()) {
            (Some(month), Some(last)) if fills => {
                let mut next = *last as usize % 12;
                while next != month {
                    months.push(next as u32 + 1);
                    next = (next + 1) % 12;
                }
                months.push(month as u32 + 1);
            }
            (Some(month), _) => months.push(month as u32 + 1),
            (None, _) => {}
        }
        fills = word == "to";
    }
    Some(months)
}

/// Some hundred places, as people read it: the first screen, the whole text, the homeowner's
/// sheet, the notice and the calendar name the months of one season.
#[test]
fn all_texts_name_the_months_of_one_season() {
    let (mut texts, mut sentences) = (0, 0);
    for (at, station) in stations(16).into_iter().enumerate() {
        let place = find_place(&PlaceQuery::parse(&station).unwrap()).unwrap();
        let lot = ["", "lot.position = \"low\"\n", "lot.position = \"level\"\n"][at % 3];
        let visit = visit(
            &station,
            &format!(
                "floor.setting = \"basement\"\nfloor.year_built = 1958\n{lot}[[reading]]\nkind = \"meter\"\nscale = \"percent\"\ndate = 2026-09-08\nvalue = 3.6\n"
            ),
        );
        let (verdict, _) = conclude_with(&place, &visit, Detail::Chances, LOOK);
        let asked = Asked {
            visit: &visit,
            place: &place,
            notes: &[],
        };
        let report = report::build(&asked, &verdict);
        if report.held || report.refused {
            continue;
        }
        texts += 1;
        let peak = vec![verdict.wettest_month];
        // Of a season that the visit falls in, the months to come are named.
        let wet: Vec<u32> = if verdict.wet_season.contains(&9) {
            let since = verdict.wet_season.iter().position(|it| *it == 9).unwrap();
            let peak = verdict.wet_season.iter().position(|it| *it == peak[0]);
            match peak {
                Some(peak) if peak > since => verdict.wet_season[since + 1..].to_vec(),
                Some(peak) if peak < since => verdict.wet_season.clone(),
                _ => continue,
            }
        } else {
            verdict.wet_season.clone()
        };
        let full = unwrapped(&report::text(&report, Units::Us, 80, Extent::Full));
        let first = unwrapped(&report::text(&report, Units::Us, 80, Extent::First));
        let home = homeowner_sheet(HomeSheetOf {
            place: &place,
            place_prior: &place_prior(&place),
            answered: Some((&visit, &report)),
            language: Language::English,
            units: Units::Us,
        });
        let notice = notice(plain_notice(&report, &visit));
        let notice = notice.map_or(String::new(), |it| unwrapped(&it.text(80)));
        let home = unwrapped(&home.text(80));
        let mut agrees = |text: &str, before: &str, months: &[u32]| {
            if let Some(told) = told_after(text, before) {
                sentences += 1;
                assert_eq!(told, months, "{station}: {before}\n{text}");
            }
        };
        agrees(&first, "read over 5% in the wettest month (", &peak);
        agrees(&full, "read over 5% in the wettest month (", &peak);
        agrees(
            &full,
            "Water from below is likeliest in:",
            &verdict.seasons.water,
        );
        agrees(
            &full,
            "Moisture from humid air is worst in:",
            &verdict.seasons.damp_air,
        );
        agrees(&full, "The season to watch on this floor:", &wet);
        agrees(&home, "are over the usual moisture limit in", &peak);
        agrees(&notice, "This floor is likely to be wettest around", &peak);
        // The homeowner watches the season to watch among other months.
        if let Some(told) = told_after(&home, "likely to be wettest in these months:") {
            sentences += 1;
            let all = wet.iter().all(|it| told.contains(it));
            assert!(all, "{station}: {told:?}, {wet:?}");
        }
        let days = calendar(&report);
        if let Some(before) = days.split("SUMMARY:Wet season of this floor").next()
            && before.len() < days.len()
        {
            sentences += 1;
            let day = before.rsplit("DTSTART;VALUE=DATE:").next().unwrap();
            let month: u32 = day[4..6].parse().unwrap();
            assert_eq!(Some(&month), wet.first(), "{station}: {days}");
        }
    }
    println!("{texts} places, {sentences} sentences");
    let least = if is_whole() { 150 } else { 75 };
    assert!(
        texts > least && sentences > 4 * texts,
        "{texts} {sentences}"
    );
}

/// Old low floors without a retarder at the Great Lakes and in the Ohio valley. Common practice,
/// no source: of those that darken most are dark in March to May, most of these are light again
/// in August, and a meter reads under 5 % on most of these in August. Looked at on the darkest patch of each floor as the
/// program simulates it, before any sign weighs.
#[test]
fn low_old_floors_are_dark_in_spring_and_light_in_august() {
    let (mut dark, mut spring, mut light, mut under) = (0.0, 0.0, 0.0, 0.0);
    for postal in [
        "44101", "43085", "45202", "14604", "48201", "46201", "60601", "53202", "40202", "15201",
    ] {
        let place = find_place(&PlaceQuery::parse(postal).unwrap()).unwrap();
        let text = format!(
            "visit_date = 2026-12-10\npostal = \"{postal}\"\nfloor.setting = \"basement\"\nfloor.year_built = 1955\nfloor.retarder = \"absent\"\nfloor.retarder_proof = \"hole\"\nlot.position = \"low\"\nsigns.spring_darkening = true\n"
        );
        let visit = parse_visit(&text, "made.toml").unwrap().visit;
        let limits = Limits {
            meter_percent: Some(5.0),
            probe_humidity: None,
            dome_flux: None,
        };
        let floors = posterior(&place, &visit, limits, LOOK);
        let scale = Scale::prior(false).mean;
        // Every draw counts the same: the answer asks for patches and weighs nothing here.
        for it in &floors.outcomes {
            let patch = &it.patch.as_ref().unwrap().reading_year;
            let is_dark = |month: usize| patch[month].surface_humidity >= 0.95;
            if !(0..12).any(is_dark) {
                continue;
            }
            let is = |it: bool| f64::from(u8::from(it));
            dark += 1.0;
            let in_spring = (2..5).any(is_dark);
            let fades = in_spring && !is_dark(7);
            spring += is(in_spring);
            light += is(fades);
            let august = 100.0 * scale * it.reading_year[7].meter_fraction;
            under += is(fades && august < 5.0);
        }
    }
    println!(
        "{dark} floors darken: {:.3} in March to May, of these {:.3} light again in August, of these {:.3} read under 5 % in August",
        spring / dark,
        light / spring,
        under / light
    );
    assert!(spring > 0.5 * dark && light > 0.5 * spring && under > 0.5 * light);
}
