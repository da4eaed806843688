//! What is said first of floors that need more than a grade: new slabs, floors over their limit
//! today, wet walls, cold garages, and data sheets with tests of their own.

use super::said::day_words;
use super::{CauseSaid, GarageSaid, LeadsSaid, NeedSaid, OverTodaySaid, SpotSaid, WallsSaid};
use crate::rules::{GateTable, Refusal};
use crate::survey::{ReadingKind, ReadingValue, Visit};
use crate::units::rounded;
use crate::verdict::drying::DryingTable;
use crate::verdict::today::OverToday;
use crate::verdict::walls::{AlongWalls, spot_read, walls_read};
use crate::verdict::ways::was_done;
use crate::verdict::young::FirstYear;
use crate::verdict::{Grade, UsedLimits, Verdict};
use crate::words::{Language, chance_words, say, say_with};

/// Every section that a visit asks for, in the order in which they are read.
pub fn needs(visit: &Visit, verdict: &Verdict) -> Vec<NeedSaid> {
    let mut out = Vec::new();
    if verdict.refusal == Some(Refusal::ColdGarage) {
        out.push(section(
            "garage",
            garage_lines(Language::English, &garage(visit, verdict)),
        ));
    }
    if verdict.refusal.is_some() {
        return out;
    }
    out.extend(verdict.along_walls.as_ref().map(walls));
    out.extend(verdict.first_year.as_ref().map(first_year));
    out.extend(verdict.over_today.as_ref().map(over_today));
    out.extend(sheet(visit, &verdict.limits));
    out
}

/// What leads the first screen, where a visit asks for it.
pub fn leads(visit: &Visit, verdict: &Verdict) -> LeadsSaid {
    LeadsSaid {
        garage: (verdict.refusal == Some(Refusal::ColdGarage)).then(|| garage(visit, verdict)),
        walls: walls_read(visit, verdict).map(|it| WallsSaid {
            band_percent: it.band_percent,
            field_percent: it.field_percent,
            spots: it.spots,
        }),
        spot: spot_read(visit, verdict).map(|it| SpotSaid {
            spot: it.spot,
            percent: it.percent,
            rest_low: it.rest_low,
            rest_high: it.rest_high,
        }),
        over_today: verdict.over_today.as_ref().map(|it| OverTodaySaid {
            causes: it
                .causes
                .iter()
                .map(|(cause, chance)| CauseSaid {
                    cause: *cause,
                    probability: rounded(*chance),
                })
                .collect(),
            ask: it.ask.iter().map(|it| it.to_string()).collect(),
            come_back: it.come_back,
        }),
    }
}

fn section(id: &str, lines: Vec<String>) -> NeedSaid {
    NeedSaid {
        id: id.to_string(),
        title: say(&format!("need.{id}.title")).to_string(),
        lines,
    }
}

/// With one decimal where it has one.
fn percent(value: f64) -> String {
    format!("{}", (10.0 * value).round() / 10.0)
}

fn grade_words(grade: Grade) -> &'static str {
    say(match grade {
        Grade::Low => "grade.low",
        Grade::Moderate => "grade.moderate",
        Grade::High => "grade.high",
        Grade::VeryHigh => "grade.very_high",
    })
}

fn walls(it: &AlongWalls) -> NeedSaid {
    let spots = if it.spots.is_empty() {
        say("need.walls.unnamed").to_string()
    } else {
        it.spots.join(", ")
    };
    let (field, band) = it.grades();
    section(
        "walls",
        vec![
            say_with(
                "need.walls.read",
                &[
                    ("spots", &spots),
                    ("band", &percent(it.band_percent)),
                    ("field", &percent(it.field_percent)),
                ],
            ),
            say("need.walls.do").to_string(),
            say_with(
                "need.walls.alone",
                &[
                    ("field", &chance_words(it.field_chance)),
                    ("field_grade", grade_words(field)),
                    ("band", &chance_words(it.band_chance)),
                    ("band_grade", grade_words(band)),
                ],
            ),
            say("need.walls.practice").to_string(),
        ],
    )
}

fn first_year(it: &FirstYear) -> NeedSaid {
    let months = format!("{:.0}", DryingTable::bundled().months);
    let day = |days: Option<f64>| {
        days.map_or_else(
            || say_with("need.first_year.never", &[("months", &months)]),
            |days| say_with("need.first_year.day", &[("day", &format!("{days:.0}"))]),
        )
    };
    let age = format!("{:.0}", it.age_days);
    let mut lines = vec![say_with(
        if it.is_drying {
            "need.first_year.drying"
        } else {
            "need.first_year.age"
        },
        &[("days", &age)],
    )];
    lines.push(say_with(
        "need.first_year.depth",
        &[
            ("chance", &chance_words(it.ready)),
            ("limit", &format!("{:.0}", it.depth_percent)),
            ("half", &day(it.days_half)),
            ("most", &day(it.days_nine_of_ten)),
        ],
    ));
    lines.push(say("need.first_year.meter").to_string());
    section("first_year", lines)
}

fn over_today(it: &OverToday) -> NeedSaid {
    let named: Vec<String> = it
        .causes
        .iter()
        .filter(|it| it.1 >= 0.025)
        .map(|(cause, chance)| {
            let cause = say(&format!("cause.{}", cause.word()));
            format!("{cause} ({})", chance_words(*chance))
        })
        .collect();
    let mut lines = vec![say_with(
        "need.today.causes",
        &[("causes", &named.join("; "))],
    )];
    if !it.ask.is_empty() {
        let questions: Vec<&str> = it
            .ask
            .iter()
            .map(|it| say(&format!("need.ask.{it}")))
            .collect();
        lines.push(say_with(
            "need.today.ask",
            &[("questions", &questions.join(" "))],
        ));
    }
    lines.push(match it.come_back {
        Some(day) => say_with("need.today.come_back", &[("day", &day_words(day))]),
        None => say("need.today.come_back_fixed").to_string(),
    });
    let options: Vec<&str> = it
        .options
        .iter()
        .map(|it| say(&format!("way.{}", it.word())))
        .collect();
    lines.push(if options.is_empty() {
        say("need.today.no_option").to_string()
    } else {
        say_with("need.today.options", &[("options", &options.join("; "))])
    });
    section("today", lines)
}

/// What is known of an unheated garage in a freezing climate.
fn garage(visit: &Visit, verdict: &Verdict) -> GarageSaid {
    let reading_percent = visit
        .readings
        .iter()
        .filter(|it| !it.withdrawn && crate::odds::evidence::is_usable(it))
        .filter_map(|it| match it.value {
            ReadingValue::Meter(percent) => Some(percent),
            ReadingValue::Probe(_) | ReadingValue::CalciumChloride(_) | ReadingValue::Sheet(_) => {
                None
            }
        })
        .max_by(f64::total_cmp);
    GarageSaid {
        reading_percent,
        limit_percent: verdict.limits.meter_percent,
        is_over: verdict.over_now,
        young_days: crate::survey::age_days(&visit.floor, visit.visit_date)
            .filter(|_| crate::odds::evidence::is_drying(visit)),
        is_washed: visit
            .floor
            .last_wetted_days
            .is_some_and(|it| it < GateTable::bundled().wetted_days),
        is_heat_unknown: visit.air.heated.is_none(),
    }
}

/// What can be said of it, and what cannot.
pub(super) fn garage_lines(language: Language, it: &GarageSaid) -> Vec<String> {
    let mut lines = Vec::new();
    if it.is_heat_unknown {
        lines.push(language.say("need.garage.heat").to_string());
    }
    lines.push(match (it.limit_percent, it.reading_percent) {
        (Some(limit), Some(reading)) => language.say_with(
            if it.is_over {
                "need.garage.over"
            } else {
                "need.garage.under"
            },
            &[("reading", &percent(reading)), ("limit", &percent(limit))],
        ),
        _ => language.say("need.garage.unread").to_string(),
    });
    if let Some(days) = it.young_days {
        lines.push(language.say_with("need.garage.young", &[("days", &days.to_string())]));
    }
    if it.is_washed {
        lines.push(language.say("need.garage.washed").to_string());
    }
    for key in ["salt", "summer", "test", "cannot"] {
        lines.push(language.say(&format!("need.garage.{key}")).to_string());
    }
    lines
}

/// The tests that a data sheet asks for itself: all of them have to be met.
fn sheet(visit: &Visit, limits: &UsedLimits) -> Option<NeedSaid> {
    if limits.provisional {
        return None;
    }
    let mut lines = Vec::new();
    let least = GateTable::bundled().least_usual_limit_percent;
    if let Some(limit) = limits.meter_percent.filter(|it| *it < least) {
        lines.push(say_with(
            "need.sheet.questioned",
            &[("limit", &percent(limit)), ("least", &percent(least))],
        ));
    }
    let asked = [
        (
            limits.meter_percent.map(|it| format!("{}%", percent(it))),
            ReadingKind::Meter,
            "meter",
        ),
        (
            limits
                .probe_percent
                .map(|it| say_with("need.sheet.rh", &[("limit", &format!("{it:.0}"))])),
            ReadingKind::Probe,
            "probe",
        ),
        (
            limits.calcium_chloride_lb.map(|it| format!("{it} lb")),
            ReadingKind::CalciumChloride,
            "calcium_chloride",
        ),
    ];
    let given: Vec<String> = asked
        .into_iter()
        .filter_map(|(limit, kind, key)| {
            let done = say(if was_done(visit, kind) {
                "need.sheet.done"
            } else {
                "need.sheet.not_done"
            });
            let limit = limit?;
            Some(say_with(
                &format!("need.sheet.{key}"),
                &[("limit", &limit), ("done", done)],
            ))
        })
        .collect();
    if given.len() > 1 {
        lines.push(say_with("need.sheet.all", &[("tests", &given.join("; "))]));
    }
    (!lines.is_empty()).then(|| section("sheet", lines))
}
