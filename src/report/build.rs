//! From a verdict and the words to a report.

use super::clues::{against, speaking_for};
use super::needs::{leads, needs};
use super::*;
use crate::climate::Place;
use crate::odds::evidence::EvidenceTable;
use crate::rules::{GateTable, Refusal};
use crate::season::MONTH_NAMES;
use crate::survey::{MeterScale, Reading, ReadingKind, ReadingValue, Visit, digest};
use crate::units::{rounded, tables_digest};
use crate::verdict::finish::Exclusion;
use crate::verdict::next::NextStep;
use crate::verdict::seasons::SeasonMonth;
use crate::verdict::ways::{Way, WayOutcome};
use crate::verdict::young::is_drying;
use crate::verdict::{Cause, GradeTable, MonthAhead, Score, Unexplained, Verdict, open_questions};
use crate::words::{self, Language, chance_words, say, say_with};
use chrono::{Datelike, Months, NaiveDate};

/// What was asked for, beside the visit itself.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The visit as it was checked.
    pub visit: &'a Visit,
    /// The place that it was found to be.
    pub place: &'a Place,
    /// Notes on the input.
    pub notes: &'a [String],
}

/// Makes the report of a visit.
pub fn build(asked: &Asked, verdict: &Verdict) -> Report {
    let Asked {
        visit,
        place,
        notes,
    } = *asked;
    let is_refused = verdict.refusal.is_some();
    let ways = ways_said(visit, verdict);
    let advice = advice(verdict);
    let next_key = next_step(visit, verdict, advice);
    Report {
        schema: SCHEMA,
        model: concat!("slabseason ", env!("CARGO_PKG_VERSION")).to_string(),
        tables: tables_digest().to_string(),
        input_digest: digest(visit),
        label: visit.label.clone(),
        visit_date: visit.visit_date,
        basis: if verdict.has_reading {
            Basis::Reading
        } else {
            Basis::Answers
        },
        place: place_said(place),
        answered_by: visit.answered_by,
        setting: visit.floor.setting,
        year_built: visit.floor.year_built,
        readings: visit.readings.iter().map(reading_said).collect(),
        limit: LimitSaid::of(&verdict.limits),
        headline: headline(verdict, &ways, visit),
        advice,
        clues_for: speaking_for(visit),
        clues_against: against(visit),
        springs_watched: visit.signs.springs_watched,
        grade: verdict.grade,
        grade_raised_by: verdict.raised_by.clone(),
        open_points: verdict.open_points.clone(),
        held: verdict.held,
        refused: is_refused,
        provisional: verdict.limits.provisional,
        over_now: verdict.over_now,
        read_again: verdict.read_again,
        gates: gates_said(visit, verdict),
        needs: needs(visit, verdict),
        leads: leads(visit, verdict),
        before_reading: says_before(verdict).then(|| BeforeReading {
            exceedance_probability: rounded(verdict.chance_before),
            grade: verdict.grade_before,
        }),
        exceedance_probability: verdict.chance.map(rounded),
        exceedance_5y: verdict.chance_five_years.map(rounded),
        score: verdict.score.as_ref().map(score_said),
        wettest_month: verdict.wettest_month,
        wet_season: verdict.wet_season.clone(),
        water_season: verdict.seasons.water.clone(),
        damp_air_season: verdict.seasons.damp_air.clone(),
        from_below_probability: rounded(verdict.from_below),
        sweating_months: verdict.sweating_months.clone(),
        // A refused floor has no estimate at all.
        months: if is_refused {
            Vec::new()
        } else {
            months_said(verdict)
        },
        causes: if is_refused {
            Vec::new()
        } else {
            causes_said(verdict)
        },
        answers: answers_said(verdict),
        unknown: open_questions(visit)
            .iter()
            .map(|it| it.id.to_string())
            .collect(),
        ways,
        quoted_way: verdict.quoted,
        preferred_way: verdict.ways.as_ref().map(|it| it.preferred),
        water_above_probability: verdict.ways.as_ref().map(|it| rounded(it.water_above)),
        second_reading: second_reading_said(verdict),
        patch_exceedance_probability: verdict.patch_chance.map(rounded),
        exceedance_wet_year: verdict.chance_wet_year.map(|wet| {
            // Fewer floors are run through a wet year; none of them is drier in it.
            rounded(verdict.chance.map_or(wet, |it| wet.max(it)))
        }),
        costs: None,
        next: verdict.next.iter().map(next_said).collect(),
        come_back: come_back(verdict, visit),
        zones: zones_said(verdict),
        quality: quality(verdict),
        next_step: say(&next_key).to_string(),
        next_step_key: next_key,
        notes: notes.to_vec(),
        cautions: words::cautions(visit, &asked.place.label)
            .into_iter()
            .map(|key| say(key).to_string())
            .collect(),
        disclaimer: say("disclaimer").to_string(),
    }
}

fn ways_said(visit: &Visit, verdict: &Verdict) -> Vec<WaySaid> {
    let outcomes = verdict.ways.iter().flat_map(|it| &it.outcomes);
    outcomes.map(|it| way_said(it, visit)).collect()
}

fn months_said(verdict: &Verdict) -> Vec<MonthSaid> {
    let seasons = &verdict.seasons.months;
    let months = verdict.months.iter().zip(seasons);
    months
        .map(|(month, season)| month_said(month, season))
        .collect()
}

fn causes_said(verdict: &Verdict) -> Vec<CauseSaid> {
    let causes = verdict.causes.iter();
    causes
        .map(|(cause, share)| CauseSaid {
            cause: *cause,
            probability: rounded(*share),
        })
        .collect()
}

fn answers_said(verdict: &Verdict) -> Vec<AnswerSaid> {
    let answers = verdict.answers.iter();
    answers
        .map(|it| AnswerSaid {
            question: it.question.to_string(),
            answer: it.answer.clone(),
            decibans: (it.decibans * 10.0).round() / 10.0,
        })
        .collect()
}

fn second_reading_said(verdict: &Verdict) -> Option<SecondReadingSaid> {
    verdict.second_reading.as_ref().map(|it| SecondReadingSaid {
        score_now: rounded(it.brier),
        score_after: it.months.map(|it| rounded(it.brier)),
        settles: it.months.map(|it| rounded(it.settles)),
        month_to_go: it.month_to_go(verdict.wettest_month),
        best_month: it.best().month,
        worst_month: it.worst().month,
    })
}

fn zones_said(verdict: &Verdict) -> Option<ZonesSaid> {
    verdict.zones.as_ref().map(|it| ZonesSaid {
        whole: rounded(it.whole),
        band: rounded(it.band),
        spot: rounded(it.spot),
        spot_name: it.spot_name.clone(),
        spots: it.spots,
    })
}

fn place_said(place: &Place) -> PlaceSaid {
    PlaceSaid {
        label: place.label.clone(),
        station_id: place.station_id.clone(),
        name: place.station_name.clone(),
        distance_km: rounded(place.distance_km),
        elevation_difference_m: place.elevation_difference_m.map(rounded),
        stations_used: place
            .stations_used
            .iter()
            .map(|(id, _)| id.clone())
            .collect(),
        normals: say_with("normals_age", &[("period", &place.period)]),
        warnings: place.warnings.clone(),
    }
}

fn score_said(score: &Score) -> ScoreSaid {
    ScoreSaid {
        total: score.total,
        lines: score
            .lines
            .iter()
            .map(|it| ScoreLineSaid {
                line: it.line.to_string(),
                points: it.points,
            })
            .collect(),
    }
}

fn month_said(it: &MonthAhead, season: &SeasonMonth) -> MonthSaid {
    MonthSaid {
        contact_chance: rounded(season.contact),
        over_share: rounded(season.over_share),
        damp_air_chance: rounded(season.damp_air),
        month: it.month,
        reading_p10: rounded(it.reading_p10),
        reading_p50: rounded(it.reading_p50),
        reading_p90: rounded(it.reading_p90),
        surface_humidity_p50: rounded(it.surface_humidity_p50),
        wet_contact_mean: rounded(it.wet_contact_mean),
        precipitation_mm: rounded(it.precipitation_mm),
        water_table_m: rounded(it.water_table_m),
    }
}

/// Why no estimate is given, or the reading is left out, with what to do.
fn gates_said(visit: &Visit, verdict: &Verdict) -> Vec<GateSaid> {
    let refused = verdict.refusal.map(|refusal| GateSaid {
        id: refusal.id().to_string(),
        reason: say(&format!("refused.{}.reason", refusal.id())).to_string(),
        action: say(&format!("refused.{}.action", refusal.id())).to_string(),
        retest_after: None,
    });
    let unexplained = verdict.unexplained.map(|it| match it {
        Unexplained::High if is_drying(visit) => ("unexplained_high_young", None),
        Unexplained::High => ("unexplained_high", None),
        Unexplained::Low => ("unexplained_low", None),
    });
    let held = verdict
        .gates
        .iter()
        .map(|it| (it.id, it.retest_after))
        .chain(unexplained)
        .map(|(id, retest_after)| GateSaid {
            id: id.to_string(),
            reason: gate_words_in(Language::English, id, GatePart::Reason),
            action: gate_words_in(Language::English, id, GatePart::Action),
            retest_after,
        });
    refused.into_iter().chain(held).collect()
}

/// What is said of a gate or a refusal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum GatePart {
    Reason,
    Action,
}

/// Why, and what to do about it.
pub(super) fn gate_both(language: Language, id: &str) -> String {
    [GatePart::Reason, GatePart::Action]
        .map(|part| gate_words_in(language, id, part))
        .join(" ")
}

/// A sentence of a gate or a refusal.
pub(super) fn gate_words_in(language: Language, id: &str, part: GatePart) -> String {
    let (of_gate, of_refusal) = match part {
        GatePart::Reason => (format!("gate.{id}.reason"), format!("refused.{id}.reason")),
        GatePart::Action => (format!("gate.{id}.action"), format!("refused.{id}.action")),
    };
    let key = if words::knows(&of_gate) {
        of_gate
    } else {
        of_refusal
    };
    let table = GateTable::bundled();
    let days = match id {
        "too_new" | "too_new_or_unknown" => table.youngest_days,
        "wetted" => table.wetted_days,
        "machine_just_started" => table.machine_days,
        _ => table.uncovered_days,
    };
    language.say_with(
        &key,
        &[
            ("days", &format!("{days}")),
            ("percent", &format!("{}", table.meter_top_percent)),
            ("months", &format!("{}", table.oldest_months)),
        ],
    )
}

fn reading_said(it: &Reading) -> ReadingSaid {
    let measured = match it.value {
        ReadingValue::Meter(number) => match it.scale {
            Some(MeterScale::Percent) => Measured::Percent(number),
            Some(MeterScale::Relative) => Measured::RelativeScale(number),
            None => Measured::UnknownScale(number),
        },
        ReadingValue::Probe(humidity) => Measured::ProbePercent(humidity.percent()),
        ReadingValue::CalciumChloride(pounds) => Measured::Pounds(pounds),
        ReadingValue::Sheet(damp) => Measured::Damp(damp),
    };
    let kind = match it.kind() {
        ReadingKind::Meter => "measured.file.meter",
        ReadingKind::Probe => "measured.file.probe",
        ReadingKind::CalciumChloride => "measured.file.calcium_chloride",
        ReadingKind::Sheet => "measured.file.sheet",
    };
    let (key, number) = match measured {
        Measured::Percent(it) => ("measured.file.percent", it.to_string()),
        Measured::RelativeScale(it) => ("measured.file.relative", it.to_string()),
        Measured::UnknownScale(it) => ("measured.file.unknown", it.to_string()),
        Measured::ProbePercent(it) => ("measured.file.humidity", format!("{it:.0}")),
        Measured::Pounds(it) => ("measured.file.pounds", it.to_string()),
        Measured::Damp(true) => ("measured.file.damp", String::new()),
        Measured::Damp(false) => ("measured.file.dry", String::new()),
    };
    ReadingSaid {
        date: it.date,
        test: it.kind(),
        measured,
        kind: say(kind).to_string(),
        value: say_with(key, &[("number", &number)]),
        spot: it.spot.clone(),
        wall_distance_m: it.wall_distance.map(|it| it.get()),
        meter_id: it.meter_id.clone(),
        withdrawn: it.withdrawn,
    }
}

fn way_said(outcome: &WayOutcome, visit: &Visit) -> WaySaid {
    let word = outcome.way.word();
    let told = outcome.way != Way::Decline && outcome.is_told();
    let chance = |it: f64| told.then(|| rounded(it));
    WaySaid {
        way: outcome.way,
        limit: say(&format!("way.limit.{word}")).to_string(),
        chance_1y: chance(outcome.chance_1y),
        chance_2y: chance(outcome.chance_2y),
        chance_5y: chance(outcome.chance_5y),
        not_put_down: rounded(outcome.not_put_down),
        bond_wet_5y: chance(outcome.bond_wet_5y),
        liquid_wet_5y: chance(outcome.liquid_wet_5y),
        first_month_half: outcome.first_month_half.filter(|_| told).map(|it| {
            let month = month_after(visit.visit_date, it);
            MonthOfYear {
                year: month.year(),
                month: month.month(),
            }
        }),
        wait_days: outcome.wait_days,
        test_would_stop: outcome.test_would_stop.map(rounded),
        not_allowed: outcome
            .excluded
            .map(|it| say(exclusion_key(it)).to_string()),
        makes_sense: outcome.makes_sense,
        why: say(&format!("why.{word}")).to_string(),
        bond_course: outcome
            .bond_course
            .iter()
            .map(|it| it.map(rounded))
            .collect(),
    }
}

fn exclusion_key(it: Exclusion) -> &'static str {
    match it {
        Exclusion::BelowGrade => "exclusion.below_grade",
        Exclusion::OnGrade => "exclusion.on_grade",
        Exclusion::NoRetarder => "exclusion.no_retarder",
        Exclusion::RetarderNotProven => "exclusion.retarder_not_proven",
        Exclusion::HeatedSlab => "exclusion.heated_slab",
        Exclusion::WaterPressure => "exclusion.water_pressure",
    }
}

/// First day of the month that lies `months` after the month following a date.
fn month_after(date: NaiveDate, months: usize) -> NaiveDate {
    let first = date.with_day(1).expect("every month has a first day");
    first
        .checked_add_months(Months::new(months as u32 + 1))
        .expect("a few years ahead is a date")
}

fn next_said(it: &NextStep) -> NextSaid {
    let text = match (it.id.strip_prefix("test."), it.month) {
        (Some(_), Some(month)) => say_with(
            &format!("next.{}", it.id),
            &[("month", MONTH_NAMES[month as usize - 1])],
        ),
        (Some(_), None) => say(&format!("next.{}", it.id)).to_string(),
        (None, _) => say_with(
            "next.ask",
            &[("question", say(&format!("question.{}", it.id)))],
        ),
    };
    NextSaid {
        question: it.id.clone(),
        text,
        chance_of_changing_grade: rounded(it.chance_of_change),
        chance_of_changing_way: it.chance_of_way.map(rounded),
        days: it.days.round(),
    }
}

/// The window for a second reading and the wet season, as days.
fn come_back(verdict: &Verdict, visit: &Visit) -> Option<ComeBack> {
    // Where no month stands out there is nothing to wait for.
    if verdict.refusal.is_some()
        || verdict.wet_season.len() as f64 >= GradeTable::bundled().no_season_months
    {
        return None;
    }
    let next_month = |month: u32| {
        (0..12)
            .map(|ahead| month_after(visit.visit_date, ahead))
            .find(|it| it.month() == month)
            .expect("twelve months hold every month")
    };
    let last_day = |first: NaiveDate| {
        first
            .checked_add_months(Months::new(1))
            .and_then(|it| it.pred_opt())
            .expect("a month ends")
    };
    // The month of the season that threatens, in every output, however much was worked out.
    let wet = next_month(verdict.wettest_month);
    let from = wet;
    // The wet season's months that touch the wettest month, before and after it.
    let (mut first, mut last) = (wet, wet);
    let in_season = |it: NaiveDate| verdict.wet_season.contains(&it.month());
    for _ in 0..5 {
        let before = first.checked_sub_months(Months::new(1)).expect("a date");
        if in_season(before) && before > visit.visit_date {
            first = before;
        }
        let after = last.checked_add_months(Months::new(1)).expect("a date");
        if in_season(after) {
            last = after;
        }
    }
    Some(ComeBack {
        from,
        to: last_day(from),
        wet_from: first,
        wet_to: last_day(last),
    })
}

/// Gates that tell by themselves why a floor may read over its limit today.
const WET_FOR_A_REASON: [&str; 6] = [
    "too_new",
    "still_drying",
    "too_new_or_unknown",
    "wetted",
    "sweating",
    "off_scale",
];

/// Whether the newest reading is over the limit and nothing but the floor explains it.
fn is_over_today(verdict: &Verdict) -> bool {
    verdict.over_now
        && !verdict
            .gates
            .iter()
            .any(|it| WET_FOR_A_REASON.contains(&it.id))
}

/// The worse of the bare floor and the system that is quoted.
fn headline(verdict: &Verdict, ways: &[WaySaid], visit: &Visit) -> Headline {
    let state = if verdict.refusal.is_some() {
        HeadlineState::NoEstimate
    } else if is_over_today(verdict) {
        HeadlineState::OverToday
    } else if verdict.held {
        HeadlineState::NoGrade
    } else {
        HeadlineState::Graded
    };
    let bare = Headline {
        state,
        of: HeadlineOf::BareFloor,
        grade: verdict.grade,
        chance: verdict.chance.map(rounded),
    };
    let alone = verdict.quoted_alone.as_ref().map(|it| way_said(it, visit));
    let quoted = ways
        .iter()
        .chain(&alone)
        .find(|it| it.way == verdict.quoted)
        .and_then(|it| it.chance_5y)
        .filter(|_| !verdict.held);
    match quoted {
        Some(chance) => {
            let grade = Some(Grade::of_chance(chance));
            let is_worse = (grade, Some(chance)) > (bare.grade, bare.chance);
            if is_worse {
                Headline {
                    state,
                    of: HeadlineOf::QuotedSystem,
                    grade,
                    chance: Some(chance),
                }
            } else {
                bare
            }
        }
        None => bare,
    }
}

/// What to do now: what a floor needs before anything else, or what its advice says.
fn next_step(visit: &Visit, verdict: &Verdict, advice: Advice) -> String {
    let waits_to_dry = verdict
        .gates
        .iter()
        .any(|it| matches!(it.id, "still_drying" | "too_new"));
    let reads_high = verdict.over_now || verdict.unexplained == Some(Unexplained::High);
    if verdict.refusal == Some(Refusal::ColdGarage) {
        "do.garage".to_string()
    } else if verdict.refusal.is_none() && (waits_to_dry || (is_drying(visit) && reads_high)) {
        "do.still_drying".to_string()
    } else if verdict.along_walls.is_some() && !verdict.held {
        "do.walls".to_string()
    } else {
        format!("do.{}", advice.word())
    }
}

fn advice(verdict: &Verdict) -> Advice {
    if verdict.refusal.is_some() {
        Advice::Held
    } else if is_over_today(verdict) {
        Advice::OverNow
    } else if let Some(side) = verdict.unexplained {
        match side {
            Unexplained::High => Advice::UnexplainedHigh,
            Unexplained::Low => Advice::UnexplainedLow,
        }
    } else if verdict.held {
        Advice::Held
    } else if !verdict.has_reading {
        match verdict.grade {
            Some(Grade::Low) => Advice::AnswersLow,
            _ => Advice::AnswersOther,
        }
    } else {
        // The advice follows the worse of the bare floor and the system that is quoted.
        let quoted = verdict
            .ways
            .as_ref()
            .and_then(|it| it.outcomes.iter().find(|it| it.way == verdict.quoted))
            .filter(|it| it.way != Way::Decline)
            .map(|it| {
                // A test that would most likely say no is a condition, whatever comes after.
                let stopped = it.test_would_stop.is_some_and(|it| it >= 0.5);
                let least = if stopped { Grade::Moderate } else { Grade::Low };
                Grade::of_chance(it.chance_5y).max(least)
            });
        match verdict.grade.max(quoted) {
            Some(Grade::Low) if verdict.open_points.is_empty() => Advice::Low,
            Some(Grade::Low) => Advice::LowSoFar,
            Some(Grade::Moderate) => Advice::Moderate,
            Some(Grade::High) => Advice::High,
            Some(Grade::VeryHigh) => Advice::VeryHigh,
            None => Advice::Held,
        }
    }
}

fn quality(verdict: &Verdict) -> Quality {
    let mut warnings = Vec::new();
    if verdict.effective_draws < GradeTable::bundled().few_effective {
        let count = format!("{:.0}", verdict.effective_draws);
        warnings.push(say_with("warning.few_effective", &[("count", &count)]));
    }
    if verdict.k_hat > EvidenceTable::bundled().k_hat_limit {
        warnings.push(say("warning.k_hat").to_string());
    }
    let leak = verdict
        .causes
        .iter()
        .find(|(cause, _)| *cause == Cause::Leak)
        .map_or(0.0, |it| it.1);
    if verdict.has_reading && leak > GradeTable::bundled().leak_worth_naming {
        warnings.push(say("warning.leak").to_string());
    }
    if verdict.from_below > 0.5
        && verdict.raised_by.is_empty()
        && verdict.grade >= Some(Grade::Moderate)
    {
        warnings.push(say("warning.late_peak").to_string());
    }
    match verdict.zone {
        Some(crate::odds::evidence::Zone::Band) => warnings.push(say("zone.band").to_string()),
        Some(crate::odds::evidence::Zone::Spot) => warnings.push(say("zone.spot").to_string()),
        _ => {}
    }
    Quality {
        draws: verdict.draws,
        effective_draws: rounded(verdict.effective_draws),
        k_hat: if verdict.k_hat.is_finite() {
            rounded(verdict.k_hat)
        } else {
            9.0
        },
        reading_p_value: verdict.reading_p_value.map(rounded),
        sensitivity: verdict
            .sensitivity
            .iter()
            .map(|it| SensitivitySaid {
                id: it.id.to_string(),
                text: [
                    say(&format!("sensitivity.{}", it.id)),
                    &chance_words(it.chance),
                ]
                .join(": "),
                exceedance_probability: rounded(it.chance),
            })
            .collect(),
        warnings,
    }
}

/// Whether the estimate by the answers alone is printed: not for a refused floor, and not beside a
/// reading that lies above what climate and answers explain, since it is then known to be wrong.
fn says_before(verdict: &Verdict) -> bool {
    verdict.refusal.is_none() && verdict.unexplained != Some(Unexplained::High)
}
