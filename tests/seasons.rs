//! Water from below and damp air are two seasons, and every output tells the same two.

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::odds::posterior::{Ahead, Effort};
use slabseason::survey::{Visit, parse_visit};
use slabseason::units::table_text;
use slabseason::verdict::place_prior::place_prior;
use slabseason::verdict::seasons::Threat;
use slabseason::verdict::{Detail, conclude_with};

const LOOK: Effort = Effort {
    round: 512,
    most: 512,
    enough: 0.0,
    ahead: Ahead::NextYear,
};

/// Stations of the table, every so many.
fn stations(every: usize) -> Vec<String> {
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
