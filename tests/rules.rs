//! Each gate and each refusal: it fires exactly on its condition, and not just beside it.
//!
//! Every threshold is read from the table of the gates, so that a moved row moves the tests
//! with it; what is tested is the side on which each threshold falls.

use crate::floors::place;
use chrono::{Days, NaiveDate};
use slabseason::climate::Place;
use slabseason::odds::evidence::EvidenceTable;
use slabseason::odds::posterior::{Ahead, Effort};
use slabseason::rules::{Gate, GateTable, Refusal, gates, refusal};
use slabseason::season::{dew_point_c, saturation_pa};
use slabseason::survey::*;
use slabseason::units::{Celsius, Meters, RelHumidity};
use slabseason::verdict::{Detail, Grade, Raise, Unexplained, Verdict, conclude_with};

/// Enough versions to see a held visit through; the chances themselves are not looked at.
const FEW: Effort = Effort {
    round: 128,
    most: 128,
    enough: 0.0,
    ahead: Ahead::NextYear,
};

fn table() -> &'static GateTable {
    GateTable::bundled()
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn visit_day() -> NaiveDate {
    day("2026-09-08")
}

fn days_before(days: u64) -> NaiveDate {
    visit_day().checked_sub_days(Days::new(days)).unwrap()
}

fn days_after(from: NaiveDate, days: u64) -> NaiveDate {
    from.checked_add_days(Days::new(days)).unwrap()
}

/// An invented basement with three readings in the open floor and nothing in their way.
fn plain() -> Visit {
    let text = r#"
visit_date = 2026-09-08
postal = "05401"
[floor]
setting = "basement"
year_built = 1961
surface = "bare"
heated_slab = false
last_wetted_days = 60
[[reading]]
kind = "meter"
value = 3.4
scale = "percent"
wall_distance_m = 2.5
[[reading]]
kind = "meter"
value = 3.5
scale = "percent"
wall_distance_m = 2.6
[[reading]]
kind = "meter"
value = 3.6
scale = "percent"
wall_distance_m = 2.7
"#;
    parse_visit(text, "plain").unwrap().visit
}

fn with(change: impl FnOnce(&mut Visit)) -> Visit {
    let mut visit = plain();
    change(&mut visit);
    visit
}

fn ids(visit: &Visit) -> Vec<&'static str> {
    gates(visit).iter().map(|it| it.id).collect()
}

fn only(visit: &Visit) -> Gate {
    let found = gates(visit);
    assert_eq!(found.len(), 1, "{found:?}");
    found.into_iter().next().unwrap()
}

fn percent(value: f64) -> RelHumidity {
    RelHumidity::new(value / 100.0).unwrap()
}

fn held(place: &Place, visit: &Visit) -> Verdict {
    conclude_with(place, visit, Detail::Everything, FEW).0
}

#[test]
fn a_plain_visit_passes_every_gate() {
    assert_eq!(ids(&plain()), Vec::<&str>::new());
    assert_eq!(refusal(&plain(), &place("05401")), None);
}

#[test]
fn a_slab_is_too_new_until_its_last_day() {
    let youngest = table().youngest_days as u64;
    let placed = |days: u64| with(|it| it.floor.placed_date = Some(days_before(days)));
    let gate = only(&placed(youngest - 1));
    assert_eq!(gate.id, "too_new");
    assert_eq!(
        gate.retest_after,
        Some(days_after(days_before(youngest - 1), youngest))
    );
    assert_eq!(only(&placed(0)).id, "too_new");
    assert_eq!(ids(&placed(youngest)), Vec::<&str>::new());
    // On the day that the gate names, it is open.
    let mut later = placed(youngest - 1);
    later.visit_date = gate.retest_after.unwrap();
    assert_eq!(ids(&later), Vec::<&str>::new());
}

#[test]
fn a_slab_of_this_year_may_be_too_new_and_one_of_last_year_is_not() {
    let built = |year| with(|it| it.floor.year_built = Some(year));
    assert_eq!(only(&built(2026)).id, "too_new_or_unknown");
    // Placed on the last day of 2025 at the latest: 251 days before 8 September 2026.
    assert_eq!(ids(&built(2025)), Vec::<&str>::new());
    // In January last year's last day is near: 31 December to 20 January is 20 days.
    let mut january = built(2025);
    january.visit_date = day("2026-01-20");
    for reading in &mut january.readings {
        reading.date = january.visit_date;
    }
    assert_eq!(only(&january).id, "too_new_or_unknown");
    let unknown = with(|it| it.floor.year_built = None);
    assert_eq!(ids(&unknown), Vec::<&str>::new());
}

/// A date to come back on is of no use when the gate is still shut on it.
#[test]
fn a_slab_of_unknown_day_is_not_sent_back_to_a_shut_gate() {
    let visit = with(|it| it.floor.year_built = Some(2026));
    if let Some(back) = only(&visit).retest_after {
        let mut later = visit.clone();
        later.visit_date = back;
        assert_eq!(
            ids(&later),
            Vec::<&str>::new(),
            "told to come back on {back}"
        );
    }
}

#[test]
fn a_heated_slab_is_held_with_and_without_a_reading() {
    let heated = with(|it| it.floor.heated_slab = Some(true));
    assert_eq!(
        only(&heated),
        Gate {
            id: "heated_slab",
            retest_after: None
        }
    );
    let mut unread = heated;
    unread.readings.clear();
    assert_eq!(ids(&unread), ["heated_slab"]);
    assert_eq!(
        ids(&with(|it| it.floor.heated_slab = None)),
        Vec::<&str>::new()
    );
}

#[test]
fn a_wetted_floor_is_held_for_its_days() {
    let wetted = |days: f64| with(|it| it.floor.last_wetted_days = Some(days));
    let limit = table().wetted_days;
    for days in [0.0, 2.0, limit - 1.0] {
        let gate = only(&wetted(days));
        assert_eq!(gate.id, "wetted");
        assert_eq!(
            gate.retest_after,
            Some(days_after(visit_day(), (limit - days) as u64))
        );
    }
    assert_eq!(ids(&wetted(limit)), Vec::<&str>::new());
    assert_eq!(
        ids(&with(|it| it.floor.last_wetted_days = None)),
        Vec::<&str>::new()
    );
}

#[test]
fn what_lies_on_the_concrete_holds_a_reading() {
    let on = |surface| with(|it| it.floor.surface = surface);
    assert_eq!(only(&on(Some(Surface::Sealed))).id, "sealed");
    assert_eq!(only(&on(Some(Surface::Covered))).id, "covered");
    assert_eq!(ids(&on(Some(Surface::Bare))), Vec::<&str>::new());
    assert_eq!(ids(&on(None)), Vec::<&str>::new());
}

#[test]
fn a_floor_just_uncovered_is_held_for_its_days() {
    let limit = table().uncovered_days;
    let bared = |days: f64| {
        with(|it| {
            it.floor.cover_removed_days = Some(days);
            it.floor.surface = None;
        })
    };
    let gate = only(&bared(limit - 1.0));
    assert_eq!(gate.id, "just_uncovered");
    assert_eq!(gate.retest_after, Some(days_after(visit_day(), 1)));
    assert_eq!(ids(&bared(limit)), Vec::<&str>::new());
    // A floor that is covered again has one reason, not two.
    let covered = with(|it| {
        it.floor.cover_removed_days = Some(0.0);
        it.floor.surface = Some(Surface::Covered);
    });
    assert_eq!(ids(&covered), ["covered"]);
}

/// Air at 24 C and 70 %: the slab is moved to both sides of the spread above its dew point.
#[test]
fn a_slab_near_the_dew_point_is_held() {
    let (air_c, humidity) = (24.0, percent(70.0));
    let dew_c = dew_point_c(humidity.get() * saturation_pa(air_c));
    // By the published fit of alduchov-1996 it is 18.2 C: gamma = ln 0.7 + 17.625 * 24 /
    // 267.04 = 1.2273; 243.04 * 1.2273 / (17.625 - 1.2273) = 18.19.
    assert!((dew_c - 18.19).abs() < 0.05, "{dew_c}");
    let slab_at = |slab_c: f64| {
        with(|it| {
            it.air.temp = Some(Celsius::new(air_c).unwrap());
            it.air.relative_humidity = Some(humidity);
            it.air.slab_temp = Some(Celsius::new(slab_c).unwrap());
        })
    };
    let spread = table().dew_point_spread_k;
    assert_eq!(only(&slab_at(dew_c + spread - 0.01)).id, "sweating");
    assert_eq!(only(&slab_at(dew_c - 3.0)).id, "sweating");
    assert_eq!(ids(&slab_at(dew_c + spread + 0.01)), Vec::<&str>::new());
    for forget in [
        (|it: &mut Visit| it.air.temp = None) as fn(&mut Visit),
        |it| it.air.relative_humidity = None,
        |it| it.air.slab_temp = None,
    ] {
        let mut visit = slab_at(dew_c);
        forget(&mut visit);
        assert_eq!(ids(&visit), Vec::<&str>::new());
    }
}

#[test]
fn a_dehumidifier_just_started_holds_the_reading() {
    let limit = table().machine_days as u64;
    let since = |days: u64| {
        with(|it| {
            it.air.dehumidifier = Some(Dehumidifier::Running);
            it.air.dehumidifier_since = Some(days_before(days));
        })
    };
    let gate = only(&since(limit - 1));
    assert_eq!(gate.id, "machine_just_started");
    assert_eq!(
        gate.retest_after,
        Some(days_after(days_before(limit - 1), limit))
    );
    assert_eq!(ids(&since(limit)), Vec::<&str>::new());
    // What counts is the day of the reading, not of the visit.
    let mut read_earlier = since(limit);
    for reading in &mut read_earlier.readings {
        reading.date = days_before(2);
    }
    assert_eq!(ids(&read_earlier), ["machine_just_started"]);
    let off = with(|it| {
        it.air.dehumidifier = Some(Dehumidifier::NoMachine);
        it.air.dehumidifier_since = Some(visit_day());
    });
    assert_eq!(ids(&off), Vec::<&str>::new());
}

#[test]
fn scales_that_are_not_percent_hold_the_reading() {
    let on = |scale| {
        with(|it| {
            for reading in &mut it.readings {
                reading.scale = scale;
            }
        })
    };
    assert_eq!(only(&on(Some(MeterScale::Relative))).id, "relative_scale");
    assert_eq!(only(&on(None)).id, "unknown_scale");
    // One reading on the percent scale is enough to go on.
    let mixed = with(|it| it.readings[0].scale = Some(MeterScale::Relative));
    assert_eq!(ids(&mixed), Vec::<&str>::new());
    // A probe needs no scale.
    let mut probed = on(None);
    probed.readings[0].value = ReadingValue::Probe(percent(80.0));
    assert_eq!(ids(&probed), Vec::<&str>::new());
}

#[test]
fn a_number_that_concrete_cannot_hold_is_off_the_scale() {
    let top = table().meter_top_percent;
    let reads = |value: f64| with(|it| it.readings[1].value = ReadingValue::Meter(value));
    assert_eq!(only(&reads(top + 0.1)).id, "off_scale");
    assert_eq!(only(&reads(0.0)).id, "no_contact");
    assert_eq!(ids(&reads(0.1)), Vec::<&str>::new());
    assert_eq!(ids(&reads(top)), Vec::<&str>::new());
    // A withdrawn number and a relative one are not on this scale at all.
    let mut withdrawn = reads(top + 5.0);
    withdrawn.readings[1].withdrawn = true;
    assert_eq!(ids(&withdrawn), Vec::<&str>::new());
    let mut relative = reads(top + 5.0);
    relative.readings[1].scale = Some(MeterScale::Relative);
    assert_eq!(ids(&relative), Vec::<&str>::new());
}

#[test]
fn spots_near_walls_alone_hold_the_reading() {
    let at = |distances: [Option<f64>; 3]| {
        with(|it| {
            for (reading, distance) in it.readings.iter_mut().zip(distances) {
                reading.wall_distance = distance.map(|it| Meters::new(it).unwrap());
            }
        })
    };
    let near = Some(EvidenceTable::bundled().band_m - 0.01);
    assert_eq!(only(&at([near; 3])).id, "only_near_walls");
    assert_eq!(
        ids(&at([near, near, Some(EvidenceTable::bundled().band_m)])),
        Vec::<&str>::new()
    );
    // A distance that nobody wrote down is not known to be near.
    assert_eq!(ids(&at([near, near, None])), Vec::<&str>::new());
    // The one spot in the open does not count once it is withdrawn.
    let mut withdrawn = at([near, near, Some(EvidenceTable::bundled().band_m)]);
    withdrawn.readings[2].withdrawn = true;
    assert_eq!(ids(&withdrawn), ["only_near_walls"]);
}

fn read_on(dates: [NaiveDate; 3]) -> Visit {
    with(|it| {
        for (reading, date) in it.readings.iter_mut().zip(dates) {
            reading.date = date;
        }
    })
}

/// 24 months before 8 September 2026 is 8 September 2024.
#[test]
fn an_old_reading_is_held_and_the_newest_one_counts() {
    assert_eq!(table().oldest_months, 24.0);
    let old = day("2024-09-07");
    assert_eq!(only(&read_on([old; 3])).id, "old_reading");
    assert_eq!(ids(&read_on([day("2024-09-08"); 3])), Vec::<&str>::new());
    assert_eq!(
        ids(&read_on([old, old, day("2026-09-08")])),
        Vec::<&str>::new()
    );
    // A newer reading that is withdrawn does not save the old ones.
    let mut withdrawn = read_on([old, old, day("2026-09-08")]);
    withdrawn.readings[2].withdrawn = true;
    assert_eq!(ids(&withdrawn), ["old_reading"]);
}

/// No one is to be left with "the reading cannot be used" and no reason.
#[test]
fn every_held_visit_says_why() {
    for date in [
        "2024-09-07",
        "2024-09-08",
        "2024-09-20",
        "2024-09-30",
        "2024-10-01",
        "2025-03-01",
    ] {
        let verdict = held(&place("05401"), &read_on([day(date); 3]));
        let has_reason =
            !verdict.gates.is_empty() || verdict.unexplained.is_some() || verdict.refusal.is_some();
        assert_eq!(verdict.held, has_reason, "read on {date}");
    }
}

#[test]
fn a_reading_before_the_drainage_work_is_held() {
    let work_on = |date| with(|it| it.lot.drainage_work_date = Some(date));
    let mut visit = work_on(days_before(1));
    for reading in &mut visit.readings {
        reading.date = days_before(2);
    }
    let gate = only(&visit);
    assert_eq!(gate.id, "before_drainage_work");
    // The action asks for a full wet season, so a year.
    assert_eq!(gate.retest_after, Some(days_after(days_before(1), 365)));
    for reading in &mut visit.readings {
        reading.date = days_before(1);
    }
    assert_eq!(ids(&visit), Vec::<&str>::new());
}

#[test]
fn without_a_reading_only_the_floor_itself_holds() {
    let visit = with(|it| {
        it.readings.clear();
        it.floor.last_wetted_days = Some(0.0);
        it.floor.surface = Some(Surface::Covered);
        it.lot.drainage_work_date = Some(visit_day());
    });
    assert_eq!(ids(&visit), Vec::<&str>::new());
    let withdrawn = with(|it| {
        it.floor.surface = Some(Surface::Sealed);
        for reading in &mut it.readings {
            reading.withdrawn = true;
        }
    });
    assert_eq!(ids(&withdrawn), Vec::<&str>::new());
}

#[test]
fn several_reasons_are_all_named() {
    let visit = with(|it| {
        it.floor.placed_date = Some(days_before(5));
        it.floor.year_built = None;
        it.floor.last_wetted_days = Some(1.0);
        it.floor.surface = Some(Surface::Sealed);
    });
    assert_eq!(ids(&visit), ["too_new", "wetted", "sealed"]);
}

#[test]
fn a_suspended_floor_and_standing_water_are_refused() {
    let place = place("05401");
    let in_setting = |setting| with(|it| it.floor.setting = setting);
    assert_eq!(
        refusal(&in_setting(Some(Setting::Suspended)), &place),
        Some(Refusal::Suspended)
    );
    for setting in [
        None,
        Some(Setting::Basement),
        Some(Setting::WalkOut),
        Some(Setting::OnGrade),
    ] {
        assert_eq!(refusal(&in_setting(setting), &place), None, "{setting:?}");
    }
    let water = |now| with(|it| it.signs.water_now = now);
    assert_eq!(
        refusal(&water(Some(WaterNow::Standing)), &place),
        Some(Refusal::StandingWater)
    );
    for now in [None, Some(WaterNow::Dry), Some(WaterNow::Damp)] {
        assert_eq!(refusal(&water(now), &place), None, "{now:?}");
    }
}

#[test]
fn a_floor_that_freezes_is_refused() {
    let freezing_c = table().freezing_c;
    let mut place = place("05401");
    let floor = |setting, heated| {
        with(|it| {
            it.floor.setting = Some(setting);
            it.air.heated = heated;
        })
    };
    // The coldest month decides for what stands open to the cold.
    let coldest = |place: &mut Place, coldest_c: f64| {
        place.mean_c = [10.0; 12];
        place.mean_c[0] = coldest_c;
    };
    coldest(&mut place, freezing_c - 0.1);
    for (setting, heated, freezes) in [
        (Setting::Garage, Some(false), true),
        (Setting::Garage, None, true),
        (Setting::Garage, Some(true), false),
        (Setting::OnGrade, Some(false), true),
        (Setting::OnGrade, None, false),
        (Setting::OnGrade, Some(true), false),
        (Setting::Basement, Some(false), false),
        (Setting::WalkOut, Some(false), false),
    ] {
        let cold = match setting {
            Setting::Garage => Refusal::ColdGarage,
            _ => Refusal::Freezing,
        };
        let expected = freezes.then_some(cold);
        assert_eq!(
            refusal(&floor(setting, heated), &place),
            expected,
            "{setting:?} {heated:?}"
        );
    }
    coldest(&mut place, freezing_c);
    assert_eq!(refusal(&floor(Setting::Garage, Some(false)), &place), None);
    // The mean of the year decides whether the ground itself is frozen.
    place.mean_c = [freezing_c - 0.1; 12];
    assert_eq!(
        refusal(&floor(Setting::Basement, Some(true)), &place),
        Some(Refusal::Freezing)
    );
    place.mean_c = [freezing_c + 0.1; 12];
    assert_eq!(refusal(&floor(Setting::Basement, Some(true)), &place), None);
}

#[test]
fn a_held_visit_has_no_grade_and_still_the_answers() {
    let place = place("05401");
    let visits = [
        with(|it| it.floor.last_wetted_days = Some(1.0)),
        with(|it| it.floor.heated_slab = Some(true)),
        with(|it| it.floor.placed_date = Some(days_before(9))),
        with(|it| it.readings.iter_mut().for_each(|it| it.scale = None)),
        read_on([day("1986-09-08"); 3]),
        with(|it| it.signs.water_now = Some(WaterNow::Standing)),
        with(|it| it.floor.setting = Some(Setting::Suspended)),
    ];
    for visit in visits {
        let verdict = held(&place, &visit);
        let told = format!("{:?} {:?}", verdict.gates, verdict.refusal);
        assert!(verdict.held, "{told}");
        assert_eq!(verdict.grade, None, "{told}");
        assert_eq!(verdict.chance, None, "{told}");
        assert_eq!(verdict.chance_five_years, None, "{told}");
        assert_eq!(verdict.score, None, "{told}");
        assert!(verdict.raised_by.is_empty(), "{told}");
        assert!((0.0..=1.0).contains(&verdict.chance_before), "{told}");
        assert_eq!(
            verdict.grade_before,
            Grade::of_chance(verdict.chance_before)
        );
        assert_eq!(verdict.months.len(), 12, "{told}");
    }
}

/// What is shown beside a held reading must not carry that reading: another number in the
/// same place changes nothing.
#[test]
fn a_held_reading_moves_nothing() {
    let place = place("05401");
    let washed = |value: f64| {
        with(|it| {
            it.floor.last_wetted_days = Some(1.0);
            for reading in &mut it.readings {
                reading.value = ReadingValue::Meter(value);
            }
        })
    };
    let (low, high) = (held(&place, &washed(2.4)), held(&place, &washed(4.6)));
    assert_eq!(low.chance_before, high.chance_before);
    assert_eq!(low.months, high.months);
    assert_eq!(low.wettest_month, high.wettest_month);
}

/// Denver, level and drained: nothing there makes a floor read 4.6 in September, and a floor
/// that reads next to nothing is not explained either.
#[test]
fn a_reading_that_nothing_explains_is_held() {
    let place = place("80205");
    let reads = |value: f64| {
        with(|it| {
            it.lot.position = Some(LotPosition::Level);
            it.lot.drainage = Some(Drainage::Sound);
            for reading in &mut it.readings {
                reading.value = ReadingValue::Meter(value);
            }
        })
    };
    let verdict = held(&place, &reads(4.6));
    assert_eq!(verdict.unexplained, Some(Unexplained::High));
    assert!(verdict.held && verdict.grade.is_none() && verdict.score.is_none());
    assert!(
        verdict.gates.is_empty(),
        "no gate of the floor: the number itself is the reason"
    );
    let verdict = held(&place, &reads(0.3));
    assert_eq!(verdict.unexplained, Some(Unexplained::Low));
    assert!(verdict.held && verdict.grade.is_none());
    let verdict = held(&place, &reads(2.0));
    assert_eq!(verdict.unexplained, None);
    assert!(!verdict.held && verdict.grade.is_some());
}

#[test]
fn darkening_and_standing_water_raise_the_grade() {
    // A dry floor that was nevertheless reported dark: the report is not argued away.
    let place = place("05401");
    let seen = |dark, stood| {
        with(|it| {
            it.signs.spring_darkening = dark;
            it.lot.standing_water_5y = stood;
        })
    };
    let verdict = held(&place, &seen(Some(true), None));
    assert!(verdict.grade >= Some(Grade::Moderate));
    let verdict = held(&place, &seen(None, Some(true)));
    assert!(verdict.grade >= Some(Grade::High));
    if Grade::of_chance(verdict.chance.unwrap()) < Grade::High {
        assert_eq!(verdict.raised_by, [Raise::StandingWater]);
    }
    let verdict = held(&place, &seen(Some(false), Some(false)));
    assert!(verdict.raised_by.is_empty());
    assert_eq!(
        verdict.grade,
        Some(Grade::of_chance(verdict.chance.unwrap()))
    );
}

#[test]
fn over_the_limit_is_over_and_not_at_it() {
    let place = place("05401");
    let reads = |value: f64| {
        with(|it| {
            it.limit.meter_percent = Some(4.0);
            it.readings[0].value = ReadingValue::Meter(value);
        })
    };
    assert!(!held(&place, &reads(4.0)).over_now);
    assert!(held(&place, &reads(4.1)).over_now);
    let mut withdrawn = reads(4.1);
    withdrawn.readings[0].withdrawn = true;
    assert!(!held(&place, &withdrawn).over_now);
    // Only the newest day speaks of today.
    let mut earlier = reads(4.1);
    earlier.readings[0].date = days_before(30);
    assert!(!held(&place, &earlier).over_now);
}
