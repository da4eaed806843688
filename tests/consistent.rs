//! A document never argues with itself: some hundreds of varied visits are screened, and each
//! finished document is checked as a whole. What was found this way has a test by name below.

use crate::floors::{is_whole, plain_notice, unwrapped};
use slabseason::climate::{Place, PlaceQuery, find_place};
use slabseason::odds::posterior::{Effort, FULL};
use slabseason::report::notice::{Variant, notice};
use slabseason::report::{
    self, Advice, Asked, Extent, HeadlineOf, HeadlineState, Report, Units, calendar,
};
use slabseason::season::MONTH_NAMES;
use slabseason::survey::{ReadingKind, Visit, parse_visit};
use slabseason::verdict::ways::{Way, WayTable};
use slabseason::verdict::{Cause, Detail, Grade, Raise, Request, answer};
use slabseason::words::{count_words, say};
use std::sync::LazyLock;

/// Visits that are screened; more where the study is run whole.
fn visits() -> usize {
    if is_whole() { 240 } else { 200 }
}

/// Places of varied climate: snow and melt, winter rain, late summer rain, dry, humid, Canada.
const PLACES: [&str; 12] = [
    "05401", "14604", "98101", "33101", "80202", "55401", "30303", "85001", "60601", "97201",
    "M5V", "70112",
];

/// Takes a choice from each list in its own rhythm, so that pairs of answers vary.
struct Choices {
    number: usize,
}

impl Choices {
    fn of<'a>(&mut self, all: &[&'a str]) -> &'a str {
        // A plain congruential step; the visits have only to be varied and always the same.
        self.number = (self.number * 1_103_515_245 + 12_345) % 2_147_483_648;
        all[(self.number >> 12) % all.len()]
    }
}

/// The text of a visit. Every answer may be missing.
fn visit_text(number: usize) -> String {
    let mut choices = Choices {
        number: 7 * number + 1,
    };
    let mut of = |all: &[&'static str]| choices.of(all);
    let postal = PLACES[number % PLACES.len()];
    let day = of(&[
        "2026-01-14",
        "2026-03-20",
        "2026-05-09",
        "2026-06-24",
        "2026-08-02",
        "2026-09-08",
        "2026-10-30",
        "2026-12-11",
    ]);
    let mut text = format!(
        "# Invented: no real house or person.\nvisit_version = 1\nvisit_date = {day}\npostal = \
         \"{postal}\"\n[floor]\nsetting = \"{}\"\nyear_built = {}\nsurface = \"bare\"\n{}{}",
        of(&["basement", "basement", "walk_out", "on_grade"]),
        of(&["1922", "1958", "1974", "1996", "2015"]),
        of(&[
            "",
            "retarder = \"seen\"\nretarder_proof = \"papers\"\n",
            "retarder = \"absent\"\nretarder_proof = \"hole\"\n"
        ]),
        of(&[
            "last_wetted_days = 60\n",
            "last_wetted_days = 3\n",
            "last_wetted_days = 60\n",
            "last_wetted_days = 60\n"
        ]),
    );
    text.push_str(&format!(
        "[lot]\n{}{}{}{}{}{}",
        of(&[
            "",
            "position = \"low\"\n",
            "position = \"level\"\n",
            "position = \"high\"\n"
        ]),
        of(&["", "drainage = \"failing\"\n", "drainage = \"sound\"\n"]),
        of(&[
            "",
            "",
            "sub_drain = \"works\"\n",
            "sub_drain = \"failed\"\n"
        ]),
        of(&["", "sump = \"none\"\n", "sump = \"after_rain\"\n"]),
        of(&[
            "",
            "standing_water_5y = false\n",
            "standing_water_5y = true\n"
        ]),
        of(&["", "lately = \"drier\"\n", "lately = \"wetter\"\n"]),
    ));
    text.push_str(&format!(
        "[signs]\n{}{}{}{}",
        of(&[
            "",
            "spring_darkening = true\nsprings_watched = 2\n",
            "spring_darkening = false\nsprings_watched = 3\n",
        ]),
        of(&["", "white_deposit = true\n", "white_deposit = false\n"]),
        of(&["", "damp_lower_wall = true\n"]),
        of(&[
            "",
            "sweats_in_summer = true\n",
            "sweats_in_summer = false\n"
        ]),
    ));
    text.push_str(&format!(
        "[air]\nheated = true\n{}{}",
        of(&[
            "",
            "dehumidifier = \"none\"\n",
            "dehumidifier = \"running\"\nruns_after = true\n"
        ]),
        of(&["", "air_conditioned = true\n", "air_conditioned = false\n"]),
    ));
    text.push_str(&readings_text(day, &mut choices));
    text
}

/// No reading, one, three alike, three with wet walls, or a probe beside the meter.
fn readings_text(day: &str, choices: &mut Choices) -> String {
    let values: &[&str] = match choices.of(&["none", "one", "alike", "alike", "walls", "probe"]) {
        "one" => &["open"],
        "alike" => &["open", "open", "open"],
        "walls" => &["open", "open", "wall", "wall"],
        "probe" => &["open", "open", "open", "probe"],
        _ => &[],
    };
    let base: f64 = choices
        .of(&["2.4", "3.0", "3.4", "3.8", "4.2", "4.6", "5.4"])
        .parse()
        .unwrap();
    let mut text = String::new();
    for (at, kind) in values.iter().enumerate() {
        let meter = |value: f64, wall: f64| {
            format!(
                "[[reading]]\ndate = {day}\nkind = \"meter\"\nvalue = {value:.1}\nscale = \
                 \"percent\"\nmeter_id = \"A\"\nspot = \"S{at}\"\nwall_distance_m = {wall:.1}\n"
            )
        };
        text.push_str(&match *kind {
            "wall" => meter(base + 1.2, 0.5),
            "probe" => format!("[[reading]]\ndate = {day}\nkind = \"probe\"\nvalue = 74\n"),
            _ => meter(base + 0.1 * at as f64, 2.5),
        });
    }
    if choices.of(&["given", "given", "absent"]) == "given" {
        text.push_str("[limit]\nmeter_percent = 5.0\nsource = \"invented data sheet\"\n");
    }
    text
}

struct Screened {
    number: usize,
    text: String,
    visit: Visit,
    place: Place,
    report: Report,
    /// The whole document in a terminal, its lines run together.
    said: String,
    /// The first screen, its lines run together.
    first: String,
}

/// What a document says is held together by the same rules on few versions of a floor as on many:
/// every eighth visit has as many as a user's, all of them where the study is run whole.
fn effort_of(number: usize) -> Effort {
    if is_whole() || number.is_multiple_of(8) {
        FULL
    } else {
        Effort {
            round: 512,
            most: 512,
            enough: 0.0,
            ..FULL
        }
    }
}

fn screened(number: usize, text: String) -> Screened {
    let parsed = parse_visit(&text, "visit").unwrap_or_else(|it| panic!("{it}\n{text}"));
    let query = PlaceQuery::parse(match &parsed.visit.place {
        slabseason::survey::PlaceName::Postal(code) => code,
        other => panic!("{other:?}"),
    });
    let place = find_place(&query.unwrap()).unwrap();
    let request = Request {
        detail: Detail::Ways,
        effort: effort_of(number),
        ..Request::default()
    };
    let (verdict, _) = answer(&place, &parsed.visit, request);
    let asked = Asked {
        visit: &parsed.visit,
        place: &place,
        notes: &parsed.notes,
    };
    let report = report::build(&asked, &verdict);
    Screened {
        number,
        said: unwrapped(&report::text(&report, Units::Us, 80, Extent::Full)),
        first: unwrapped(&report::text(&report, Units::Us, 80, Extent::First)),
        text,
        visit: parsed.visit,
        place,
        report,
    }
}

static ALL: LazyLock<Vec<Screened>> = LazyLock::new(|| {
    let mut all: Vec<Screened> = std::thread::scope(|scope| {
        let workers = [0, 1].map(|first| {
            scope.spawn(move || {
                (first..visits())
                    .step_by(2)
                    .map(|it| screened(it, visit_text(it)))
                    .collect::<Vec<_>>()
            })
        });
        workers
            .into_iter()
            .flat_map(|it| it.join().expect("no visit panics"))
            .collect()
    });
    all.sort_by_key(|it| it.number);
    all
});

/// Every visit that breaks a rule, with what it says.
fn all_keep(rule: impl Fn(&Screened) -> Result<(), String>) {
    let broken: Vec<String> = ALL
        .iter()
        .filter_map(|it| {
            rule(it)
                .err()
                .map(|why| format!("{}: {why}\n{}", it.number, it.text))
        })
        .collect();
    let shown: String = broken.iter().take(3).map(|it| format!("{it}\n")).collect();
    assert!(
        broken.is_empty(),
        "{} of {}\n{shown}",
        broken.len(),
        visits()
    );
}

fn graded(it: &Screened) -> Option<(Grade, f64)> {
    (it.report.headline.state == HeadlineState::Graded)
        .then(|| it.report.grade.zip(it.report.exceedance_probability))
        .flatten()
}

#[test]
fn the_visits_are_varied() {
    let count = |rule: &dyn Fn(&Report) -> bool| ALL.iter().filter(|it| rule(&it.report)).count();
    for (name, found) in [
        ("held", count(&|it| it.held)),
        (
            "over today",
            count(&|it| it.headline.state == HeadlineState::OverToday),
        ),
        ("low", count(&|it| it.grade == Some(Grade::Low))),
        ("moderate", count(&|it| it.grade == Some(Grade::Moderate))),
        ("high", count(&|it| it.grade == Some(Grade::High))),
        ("very high", count(&|it| it.grade == Some(Grade::VeryHigh))),
        ("raised", count(&|it| !it.grade_raised_by.is_empty())),
        (
            "by air",
            count(&|it| it.from_below_probability < 0.3 && !it.held),
        ),
        (
            "wet walls",
            count(&|it| it.zones.as_ref().is_some_and(|it| it.band > 0.5)),
        ),
        (
            "quoted is worse",
            count(&|it| it.headline.of == HeadlineOf::QuotedSystem),
        ),
        (
            "fix first",
            count(&|it| matches!(it.preferred_way, Some(Way::FixOutside | Way::FixDrain))),
        ),
    ] {
        assert!(found >= 3, "{name}: {found} of {}", visits());
    }
}

/// The first screen fits wherever the words are as long as they get.
#[test]
fn every_first_screen_fits() {
    all_keep(|it| {
        let text = report::text(&it.report, Units::Us, 80, Extent::First);
        let lines = text.lines().count();
        if lines <= report::FIRST_SCREEN_LINES {
            Ok(())
        } else {
            Err(format!("{lines} lines\n{text}"))
        }
    });
}

/// The headline is the worse of the bare floor and the quoted system, and the advice is that of
/// the headline.
#[test]
fn the_headline_is_the_worse_of_the_two() {
    all_keep(|it| {
        let Some((bare, _)) = graded(it) else {
            return Ok(());
        };
        let quoted = it
            .report
            .ways
            .iter()
            .find(|way| way.way == it.report.quoted_way)
            .and_then(|it| it.chance_5y)
            .map(Grade::of_chance);
        let worse = Some(bare).max(quoted);
        let headline = it.report.headline.grade;
        let least = match it.report.advice {
            Advice::VeryHigh => Grade::VeryHigh,
            Advice::High => Grade::High,
            _ => Grade::Low,
        };
        if headline == worse && headline >= Some(least) {
            Ok(())
        } else {
            Err(format!("{headline:?} {worse:?} {:?}", it.report.advice))
        }
    });
}

/// A reading that cannot be used has no grade word beside it, on the first screen or behind it.
#[test]
fn no_grade_has_no_grade_word_beside_it() {
    all_keep(|it| {
        if !it.report.held {
            return Ok(());
        }
        for grade in [
            "grade.low",
            "grade.moderate",
            "grade.high",
            "grade.very_high",
        ] {
            let word = format!(" {}", say(grade));
            if it.said.contains(&word) || it.first.contains(&word) {
                return Err(format!("{word} in\n{}", it.first));
            }
        }
        Ok(())
    });
}

/// The option that is named first is the lowest acceptable one in the order of the list, and
/// none is called acceptable whose own chance is not.
#[test]
fn the_option_named_first_is_the_first_acceptable_one() {
    let table = WayTable::bundled();
    all_keep(|it| {
        let report = &it.report;
        if report.held || report.over_now {
            return Ok(());
        }
        let acceptable: Vec<Way> = report
            .ways
            .iter()
            .filter(|it| {
                it.not_allowed.is_none()
                    && it.makes_sense
                    && it.not_put_down < table.rarely_put_down
                    && it.chance_5y.is_some_and(|it| it < table.acceptable_5y)
            })
            .map(|it| it.way)
            .collect();
        match report.preferred_way {
            Some(way @ (Way::FixOutside | Way::FixDrain)) => {
                let left = report.ways.iter().find(|it| it.way == way).unwrap();
                let is_enough = acceptable.contains(&way);
                let told = [
                    "full.fix_leaves",
                    "ways.walls_first",
                    "ways.walls_first_alone",
                ]
                .map(|it| say(it).split('{').next().unwrap().trim());
                if is_enough || told.iter().any(|told| it.said.contains(told)) {
                    Ok(())
                } else {
                    Err(format!(
                        "{way:?} leaves {:?} and does not say so",
                        left.chance_5y
                    ))
                }
            }
            Some(Way::Decline) if acceptable.is_empty() => Ok(()),
            Some(way) if acceptable.first() == Some(&way) => Ok(()),
            other => Err(format!("{other:?} first of {acceptable:?}")),
        }
    });
}

/// The month that is named is one in which floors that go over are over; damp air in August is
/// not told as a wet April.
#[test]
fn the_month_named_is_one_in_which_floors_go_over() {
    all_keep(|it| {
        let report = &it.report;
        let chance = report.exceedance_probability.unwrap_or(0.0);
        if report.months.is_empty() || chance < 0.1 || report.come_back.is_none() {
            return Ok(());
        }
        let over = |month: u32| report.months[month as usize - 1].over_share;
        let most = (1..=12).map(over).fold(0.0, f64::max);
        let named = report.wet_season.iter().map(|it| over(*it));
        let named = named.fold(0.0, f64::max);
        if 1.55 * named >= most {
            Ok(())
        } else {
            let shares: Vec<f64> = (1..=12).map(over).collect();
            Err(format!(
                "{:?} {named} of {most}: {shares:?}",
                report.wet_season
            ))
        }
    });
}

/// Nobody is sent for a drain where one works, in a garage, or against damp air or a leak.
#[test]
fn a_drain_is_advised_only_where_it_makes_sense() {
    all_keep(|it| {
        let report = &it.report;
        let advises =
            report.preferred_way == Some(Way::FixDrain) || it.first.contains(say("first.do.drain"));
        let has_one = it.text.contains("sub_drain = \"works\"");
        let is_garage = it.text.contains("setting = \"garage\"");
        let source = report
            .causes
            .iter()
            .max_by(|a, b| a.probability.total_cmp(&b.probability));
        let is_dry_source = source.is_some_and(|it| {
            matches!(
                it.cause,
                Cause::HumidAir | Cause::Leak | Cause::ConstructionWater | Cause::RecentWetting
            )
        });
        let left = report.ways.iter().find(|it| it.way == Way::FixDrain);
        let is_enough = left.is_some_and(|it| {
            it.chance_5y
                .is_some_and(|it| it < WayTable::bundled().acceptable_5y)
        });
        if advises && (has_one || is_garage || is_dry_source && !is_enough) {
            return Err(format!("{source:?}\n{}", it.first));
        }
        Ok(())
    });
}

/// A layer under the film bears at least what the film alone bears on the same floor.
#[test]
fn a_layer_under_the_film_is_never_worse_than_the_film() {
    all_keep(|it| {
        let of = |way: Way| it.report.ways.iter().find(|it| it.way == way)?.chance_5y;
        for way in [Way::Primer, Way::Membrane] {
            if let (Some(film), Some(layer)) = (of(Way::FilmNow), of(way))
                && layer > film
            {
                return Err(format!("film {film}, {way:?} {layer}"));
            }
        }
        Ok(())
    });
}

/// A floor that reads wetter along the walls names water at the walls as its likely source.
#[test]
fn wet_walls_name_water_at_the_walls() {
    all_keep(|it| {
        let report = &it.report;
        let band = report.zones.as_ref().map_or(0.0, |it| it.band);
        if report.held || report.over_now || band < 0.5 {
            return Ok(());
        }
        if it.first.contains(say("source.drainage_at_walls")) {
            Ok(())
        } else {
            Err(format!("{band} {:?}\n{}", report.causes, it.first))
        }
    });
}

/// "From below" and "from the air" agree with the likely source.
#[test]
fn where_it_comes_from_agrees_with_the_source() {
    all_keep(|it| {
        if it.report.held {
            return Ok(());
        }
        let air: f64 = it
            .report
            .causes
            .iter()
            .filter(|it| it.cause == Cause::HumidAir)
            .map(|it| it.probability)
            .sum();
        let below = it.said.contains(say("season.from_below"));
        let by_air = it.said.contains(say("season.from_air"));
        if (below && air > 0.5) || (by_air && air < 0.5) {
            return Err(format!("air {air}, below {below}, by air {by_air}"));
        }
        Ok(())
    });
}

/// A water table that stands above the bottom of the slab in an ordinary year stands there on at
/// least half of the floors within five years; one that hardly ever does lies below it all year.
#[test]
fn the_water_table_agrees_with_the_chance_of_standing_water() {
    all_keep(|it| {
        let Some(above) = it
            .report
            .water_above_probability
            .filter(|_| !it.report.held)
        else {
            return Ok(());
        };
        let highest = it
            .report
            .months
            .iter()
            .map(|it| it.water_table_m)
            .fold(f64::NEG_INFINITY, f64::max);
        // 256 of the floors are run on: the chance may be off by 3 in 100.
        let is_off = highest > 0.0 && above < 0.47;
        if is_off {
            Err(format!("{highest} m, {above}"))
        } else {
            Ok(())
        }
    });
}

/// A wet year is never told drier than an ordinary one, nor five years than one.
#[test]
fn a_wet_year_is_never_drier() {
    all_keep(|it| {
        let Some(bare) = it.report.exceedance_probability else {
            return Ok(());
        };
        let wet = it.report.exceedance_wet_year.unwrap_or(1.0);
        let five = it.report.exceedance_5y.unwrap_or(1.0);
        if wet >= bare && five >= bare {
            Ok(())
        } else {
            Err(format!("year {bare}, wet year {wet}, five years {five}"))
        }
    });
}

/// A grade that was raised says what clears it, and only what the code clears.
#[test]
fn a_raised_grade_says_what_clears_it() {
    all_keep(|it| {
        for (raise, key) in [
            (Raise::SpringDarkening, "first.raised.spring_darkening"),
            (Raise::StandingWater, "first.raised.standing_water"),
        ] {
            let is_raised = report::raise_shown(&it.report) == Some(raise);
            if it.first.contains(say(key)) != is_raised {
                return Err(format!("{raise:?}\n{}", it.first));
            }
        }
        Ok(())
    });
}

/// The first screen, the bars and the table tell one number of one chance.
#[test]
fn one_chance_is_told_one_way() {
    all_keep(|it| {
        let Some((_, bare)) = graded(it) else {
            return Ok(());
        };
        let words = count_words(bare);
        if it.first.contains(&words) && it.said.contains(&words) {
            Ok(())
        } else {
            Err(format!("{words}\n{}", it.first))
        }
    });
}

/// The day to come back is the same on the screen and in the calendar.
#[test]
fn the_calendar_says_what_the_screen_says() {
    all_keep(|it| {
        let Some(back) = it.report.come_back.as_ref().filter(|_| !it.report.held) else {
            return Ok(());
        };
        let text = calendar(&it.report);
        let to_go = it.report.month_to_go().unwrap_or(back.from);
        let stamp = to_go.format("%Y%m%d").to_string();
        let month = report::month_words(report::MonthOfYear {
            year: to_go.format("%Y").to_string().parse().unwrap(),
            month: to_go.format("%m").to_string().parse().unwrap(),
        });
        if text.contains(&stamp) && it.said.contains(&month) {
            Ok(())
        } else {
            Err(format!("{stamp} {month}"))
        }
    });
}

/// Standing water within five years raises a grade, and no test of the wet season clears it:
/// a probe that passes in the wettest month leaves it high, and the words say so.
#[test]
fn no_test_clears_standing_water() {
    let text = "visit_version = 1\nvisit_date = 2026-05-20\npostal = \"05401\"\n[floor]\nsetting = \
                \"basement\"\nyear_built = 1996\nsurface = \"bare\"\nlast_wetted_days = 90\n[lot]\n\
                standing_water_5y = true\nposition = \"level\"\n[[reading]]\ndate = 2026-05-20\n\
                kind = \"probe\"\nvalue = 68\n[limit]\nprobe_rh = 80\n";
    let it = screened(0, text.to_string());
    assert!(
        it.report
            .readings
            .iter()
            .any(|it| it.test == ReadingKind::Probe)
    );
    assert!(
        it.report.grade >= Some(Grade::High),
        "{:?}",
        it.report.grade
    );
    if report::raise_shown(&it.report) == Some(Raise::StandingWater) {
        assert!(
            it.first.contains(say("first.raised.standing_water")),
            "{}",
            it.first
        );
    }
    assert!(!it.said.contains(say("first.raised.spring_darkening")));
    assert!(it.visit.lot.standing_water_5y == Some(true) && it.place.distance_km >= 0.0);
}

/// The notice says what the screen says: the same chance, the same month, and nothing is fine that
/// the headline does not call low.
#[test]
fn the_notice_says_what_the_screen_says() {
    all_keep(|it| {
        let Some((_, bare)) = graded(it) else {
            return Ok(());
        };
        let of = plain_notice(&it.report, &it.visit);
        let paper = notice(of).map_err(|it| it.to_string())?;
        let said = unwrapped(&paper.text(80));
        let month = MONTH_NAMES[it.report.wettest_month as usize - 1];
        if !said.contains(&count_words(bare)) || !said.contains(month) {
            return Err(format!("{} {month}\n{said}", count_words(bare)));
        }
        let is_fine = Variant::of(&it.report) == Variant::Fine;
        if is_fine && it.report.headline.grade != Some(Grade::Low) {
            return Err(format!("fine beside {:?}", it.report.headline));
        }
        let is_unsure = Variant::of(&it.report) == Variant::Doubtful;
        if is_unsure
            && it.report.headline.grade == Some(Grade::VeryHigh)
            && said.contains("not sure")
        {
            return Err(format!("unsure beside {:?}", it.report.headline));
        }
        Ok(())
    });
}

/// The season is one season: in the whole document, the window to come back, and the month that
/// every sentence names.
#[test]
fn the_season_is_the_same_everywhere() {
    all_keep(|it| {
        let report = &it.report;
        if report.refused {
            return Ok(());
        }
        if !report.wet_season.contains(&report.wettest_month) {
            return Err(format!("{} {:?}", report.wettest_month, report.wet_season));
        }
        let seasons = [&report.water_season, &report.damp_air_season];
        let is_either = seasons.iter().all(|it| it.is_empty())
            || seasons.iter().any(|it| **it == report.wet_season);
        if !is_either {
            return Err(format!("{:?} of {seasons:?}", report.wet_season));
        }
        let Some(back) = &report.come_back else {
            return Ok(());
        };
        let month = |day: chrono::NaiveDate| day.format("%-m").to_string().parse::<u32>().unwrap();
        if month(back.from) != report.wettest_month
            || !report.wet_season.contains(&month(back.wet_from))
            || !report.wet_season.contains(&month(back.wet_to))
        {
            return Err(format!("{back:?} {:?}", report.wet_season));
        }
        Ok(())
    });
}
