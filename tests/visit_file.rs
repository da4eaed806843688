//! The visit file as people write it: every kind of mistake with its full text, and the laws
//! of reading and saving.

use chrono::NaiveDate;
use proptest::prelude::*;
use slabseason::survey::*;

/// The example of every field that one file can hold; an invented house.
const WHOLE: &str = r#"visit_version = 1
visit_date = 2026-09-08
label = "job 1042"
answered_by = "estimator"
postal = "05401"

[floor]
setting = "basement"
below_grade = true
year_built = 1961
retarder = "unknown"
surface = "bare"
gravel_base = "Unknown"
heated_slab = false
tendons = "not sure"
thickness_mm = 100
area_m2 = 70
last_wetted_days = 40
finished = "no"

[lot]
position = "low"
drainage = "failing"
sub_drain = "unknown"
sump = "none"
standing_water_5y = false
leak = "none"
lately = "usual"

[signs]
spring_darkening = true
darkening_months = [3, 4]
springs_watched = 3
white_deposit = false
water_now = "dry"

[air]
dehumidifier = "none"
air_conditioned = true
heated = true
temp_c = 19.5
relative_humidity = 0.62
slab_temp_c = 16.5

[[reading]]
date = 2026-09-08
kind = "meter"
value = 3.9
scale = "percent"
spot = "A1"
wall_distance_m = 2.5

[limit]
meter_percent = 5.0
source = "data sheet"
"#;

fn read(text: &str) -> Parsed {
    parse_visit(text, "job.toml").unwrap_or_else(|errors| panic!("{errors}\nin\n{text}"))
}

fn said(text: &str) -> Vec<String> {
    match parse_visit(text, "job.toml") {
        Ok(_) => Vec::new(),
        Err(errors) => errors.problems.iter().map(|it| it.to_string()).collect(),
    }
}

/// Date, place and one answer, with more fields below.
fn with(fields: &str) -> String {
    let answer = if fields.contains("[lot]") {
        "air.heated = true"
    } else {
        "lot.lately = \"usual\""
    };
    format!("visit_date = 2026-09-08\npostal = \"05401\"\n{answer}\n{fields}")
}

#[test]
fn the_whole_file_is_read() {
    let Parsed { visit, notes } = read(WHOLE);
    assert!(notes.is_empty(), "{notes:?}");
    assert_eq!(
        visit.visit_date,
        NaiveDate::from_ymd_opt(2026, 9, 8).unwrap()
    );
    assert_eq!(visit.label.as_deref(), Some("job 1042"));
    assert_eq!(visit.answered_by, Some(AnsweredBy::Estimator));
    assert_eq!(visit.place, PlaceName::Postal("05401".to_string()));
    assert_eq!(visit.floor.setting, Some(Setting::Basement));
    assert_eq!(visit.floor.year_built, Some(1961));
    assert_eq!(
        (
            visit.floor.retarder,
            visit.floor.gravel_base,
            visit.floor.tendons
        ),
        (None, None, None)
    );
    assert_eq!(visit.floor.thickness.unwrap().get(), 0.1);
    assert_eq!(visit.lot.sump, Some(Sump::NoSump));
    assert_eq!(visit.lot.sub_drain, None);
    assert_eq!(visit.signs.darkening_months, Some(vec![3, 4]));
    assert_eq!(visit.air.relative_humidity.unwrap().get(), 0.62);
    assert_eq!(visit.air.slab_temp.unwrap().get(), 16.5);
    assert_eq!(visit.readings.len(), 1);
    assert_eq!(visit.readings[0].value, ReadingValue::Meter(3.9));
    assert_eq!(visit.readings[0].scale, Some(MeterScale::Percent));
    assert_eq!(visit.readings[0].wall_distance.unwrap().get(), 2.5);
    assert_eq!(visit.limit.meter_percent, Some(5.0));
}

#[test]
fn date_place_and_one_answer_are_enough() {
    let res = read(
        "visit_date = 2026-09-08\nlatitude = 44.5\nlongitude = -73.2\nsigns.musty_smell = true\n",
    );
    assert_eq!(res.visit.signs.musty_smell, Some(true));
    assert!(res.visit.readings.is_empty());
    assert_eq!(
        res.visit.place,
        PlaceName::Position {
            latitude: 44.5,
            longitude: -73.2,
            elevation: None
        }
    );
}

#[test]
fn a_byte_order_mark_and_windows_lines_are_read() {
    let text = format!("\u{feff}{}", WHOLE.replace('\n', "\r\n"));
    assert_eq!(read(&text), read(WHOLE));
    assert_eq!(
        parse_visit_bytes(text.as_bytes(), "job.toml"),
        parse_visit(WHOLE, "job.toml")
    );
}

#[test]
fn both_ways_to_write_a_quantity_are_one_visit() {
    let same = |one: &str, other: &str| {
        let (one, other) = (read(&with(one)).visit, read(&with(other)).visit);
        assert_eq!(one, other);
        assert_eq!(digest(&one), digest(&other));
    };
    // 68 °F is (68 - 32) / 1.8 = 20 °C; 4 in is 4 * 25.4 = 101.6 mm; 8 ft is 8 * 0.3048 =
    // 2.4384 m; 750 ft2 is 750 * 0.09290304 = 69.67728 m2; 30 US pints of 0.473176473 L are
    // 14.19529419 L.
    same("air.temp = \"68F\"", "air.temp_c = 20");
    same("air.temp = \"67 °F\"", "air.temp = \"67f\"");
    same("air.slab_temp = \"16.5C\"", "air.slab_temp_c = 16.5");
    same(
        "air.relative_humidity = \"62%\"",
        "air.relative_humidity = 0.62",
    );
    same("floor.thickness = \"4in\"", "floor.thickness_mm = 101.6");
    same(
        "floor.thickness = \"10.16 cm\"",
        "floor.thickness_mm = 101.6",
    );
    same("floor.area = \"750 ft2\"", "floor.area_m2 = 69.67728");
    same(
        "air.dehumidifier_capacity = \"30 pints\"",
        "air.dehumidifier_capacity_l_day = 14.19529419",
    );
    same(
        "air.dehumidifier_setting = \"55%\"",
        "air.dehumidifier_setting = 0.55",
    );
    let reading = |more: &str| format!("[[reading]]\nkind = \"meter\"\nvalue = 3\n{more}");
    same(
        &reading("wall_distance = \"8ft\""),
        &reading("wall_distance_m = 2.4384"),
    );
    same(
        &reading("x = \"8ft\"\ny = \"1m\""),
        &reading("x_m = 2.4384\ny_m = 1"),
    );
    let position = |height: &str| {
        read(&format!("visit_date = 2026-09-08\nlatitude = 44.5\nlongitude = -73.2\n{height}\nlot.leak = \"none\"\n")).visit
    };
    assert_eq!(
        position("elevation = \"350ft\""),
        position("elevation_m = 106.68")
    );
}

#[test]
fn a_saved_probe_and_limit_keep_their_percent() {
    let visit = read(&with(
        "[[reading]]\nkind = \"probe\"\nvalue = 57\n[limit]\nprobe_rh = 85\n",
    ))
    .visit;
    let text = to_toml(&visit);
    assert!(
        text.contains("\nvalue = 57\n") && text.contains("\nprobe_rh = 85\n"),
        "{text}"
    );
    assert_eq!(read(&text).visit, visit);
}

#[test]
fn one_mistake_has_one_message() {
    for (fields, message) in [
        // Unknown names.
        (
            "[signs]\nsprings_wached = 3",
            "line 5: signs.springs_wached is not part of the visit file; did you mean `springs_watched`?",
        ),
        (
            "[floor]\nsump = \"dry\"",
            "line 5: floor.sump is not part of the visit file; `sump` belongs at [lot]; move it there",
        ),
        (
            "[floor]\nvisit_date = 2026-09-08",
            "line 5: floor.visit_date is not part of the visit file; `visit_date` belongs at the top of the file; move it there",
        ),
        (
            "[floor]\nmusty_smel = true",
            "line 5: floor.musty_smel is not part of the visit file; did you mean `musty_smell` at [signs]?",
        ),
        (
            "[sings]\nmusty_smell = true",
            "line 4: sings is not part of the visit file; did you mean `signs`?",
        ),
        (
            "[owner]\nname = \"x\"",
            "line 4: owner is not part of the visit file; the fields at the top of the file are visit_version, visit_date, label, answered_by, postal, latitude, longitude, elevation_m, elevation, station; delete it or write one of these",
        ),
        (
            "[limit]\nthe_color = 3",
            "line 5: limit.the_color is not part of the visit file; the fields at [limit] are meter_percent, probe_rh, calcium_chloride_lb, source; delete it or write one of these",
        ),
        (
            "floor.setting.deep = 1",
            "line 4: floor.setting with fields below it cannot be used; accepted: basement | walk_out | on_grade | garage | suspended; write one value",
        ),
        // Tables that are no tables.
        (
            "floor = 3",
            "line 4: floor with a value cannot be used; accepted: a table; write [floor] on a line of its own and its fields below",
        ),
        (
            "[reading]\nvalue = 3",
            "line 4: reading a single table cannot be used; accepted: [[reading]]; write [[reading]], with two brackets",
        ),
        (
            "reading = 3",
            "line 4: reading with a value cannot be used; accepted: [[reading]]; write [[reading]] on a line of its own and its fields below",
        ),
        (
            "reading = [3]",
            "line 4: reading.1 with a value cannot be used; accepted: [[reading]]; write [[reading]] on a line of its own and its fields below",
        ),
        (
            "[[reading]]",
            "line 4: reading.1 without any field cannot be used; accepted: date, kind and value; write them, or delete it",
        ),
        // Words.
        (
            "[lot]\nposition = \"lwo\"",
            "line 5: lot.position \"lwo\" cannot be used; accepted: high | level | low; did you mean \"low\"?",
        ),
        (
            "[floor]\nsetting = \"igloo\"",
            "line 5: floor.setting \"igloo\" cannot be used; accepted: basement | walk_out | on_grade | garage | suspended; write one of these, or \"unknown\"",
        ),
        (
            "[floor]\nretarder = 3",
            "line 5: floor.retarder 3 cannot be used; accepted: seen | absent; fix it, or write \"unknown\"",
        ),
        // Yes and no.
        (
            "[signs]\nmusty_smell = 1",
            "line 5: signs.musty_smell 1 cannot be used; accepted: true | false; fix it, or write \"unknown\"",
        ),
        (
            "[signs]\nmusty_smell = \"maybe\"",
            "line 5: signs.musty_smell \"maybe\" cannot be used; accepted: true | false; fix it, or write \"unknown\"",
        ),
        // Dates.
        (
            "[floor]\nplaced_date = \"7/2/2026\"",
            "line 5: floor.placed_date \"7/2/2026\" cannot be used; accepted: a date such as 2026-09-08; write year-month-day",
        ),
        (
            "[floor]\nplaced_date = \"2026-02-30\"",
            "line 5: floor.placed_date \"2026-02-30\" cannot be used; accepted: a date such as 2026-09-08; write year-month-day",
        ),
        (
            "[floor]\nplaced_date = 2026-07-02T10:00:00",
            "line 5: floor.placed_date 2026-07-02T10:00:00 cannot be used; accepted: a date such as 2026-09-08; write the day alone, as year-month-day",
        ),
        (
            "[air]\ndehumidifier_since = 0026-07-02",
            "line 5: air.dehumidifier_since 0026-07-02 is outside 1900 to 2200; check the year",
        ),
        (
            "[floor]\nyear_built = 1599",
            "line 5: floor.year_built 1599 is outside 1600 to 2200; fix it, or write \"unknown\"",
        ),
        (
            "[floor]\nyear_built = 2027",
            "line 5: floor.year_built 2027 is after the visit on 2026-09-08; accepted: up to 2026; check both dates",
        ),
        (
            "[floor]\nyear_built = 1961.5",
            "line 5: floor.year_built 1961.5 cannot be used; accepted: a whole number, 1600 to 2200; fix it, or write \"unknown\"",
        ),
        (
            "[floor]\nyear_built = 99999999999999999999",
            "line 5: floor.year_built 99999999999999999999 cannot be used; accepted: a whole number, 1600 to 2200; check the number",
        ),
        // Months and counts.
        (
            "[signs]\nspring_darkening = true\ndarkening_months = [3, 13]",
            "line 6: signs.darkening_months [3, 13] is outside 1 to 12; write 1 for January to 12 for December",
        ),
        (
            "[signs]\nspring_darkening = true\ndarkening_months = \"spring\"",
            "line 6: signs.darkening_months \"spring\" cannot be used; accepted: months such as [3, 4]; fix it, or write \"unknown\"",
        ),
        (
            "[signs]\nsprings_watched = 101",
            "line 5: signs.springs_watched 101 is outside 0 to 100 springs; fix it, or write \"unknown\"",
        ),
        (
            "[signs]\nsprings_watched = -1",
            "line 5: signs.springs_watched -1 is outside 0 to 100 springs; fix it, or write \"unknown\"",
        ),
        // Numbers and units.
        (
            "[floor]\nthickness_mm = 4",
            "line 5: floor.thickness_mm 4 is outside 40 to 400 mm; if you meant inches, write thickness = \"4in\"",
        ),
        (
            "[floor]\nthickness_mm = 401",
            "line 5: floor.thickness_mm 401 is outside 40 to 400 mm; fix it, or write \"unknown\"",
        ),
        (
            "[floor]\nthickness = \"30in\"",
            "line 5: floor.thickness \"30in\" is outside 40 to 400 mm; fix it, or write \"unknown\"",
        ),
        (
            "[floor]\nthickness = 4",
            "line 5: floor.thickness 4 carries no unit; accepted: a number with its unit, such as \"4in\" or \"100mm\"; write the unit behind the number in quotes",
        ),
        (
            "[floor]\nthickness = \"4\"",
            "line 5: floor.thickness \"4\" carries no unit; accepted: a number with its unit, such as \"4in\" or \"100mm\"; write the unit behind the number in quotes",
        ),
        (
            "[floor]\nthickness = \"4 cubits\"",
            "line 5: floor.thickness: length \"4 cubits\" has the unit \"cubits\", which is not known here; write m, cm, mm, ft or in behind the number, such as 2.5m or 6ft",
        ),
        (
            "[floor]\nthickness = \"thick\"",
            "line 5: floor.thickness: length \"thick\" is not a number; write m, cm, mm, ft or in behind the number, such as 2.5m or 6ft",
        ),
        (
            "[floor]\narea_m2 = 0.5",
            "line 5: floor.area_m2 0.5 is outside 1 to 10000 m2; fix it, or write \"unknown\"",
        ),
        (
            "[air]\ntemp_c = 67",
            "line 5: air.temp_c 67 is outside -40 to 45 °C; if you meant °F, write temp = \"67F\"",
        ),
        (
            "[air]\nslab_temp_c = 62",
            "line 5: air.slab_temp_c 62 is outside -30 to 40 °C; if you meant °F, write slab_temp = \"62F\"",
        ),
        (
            "[air]\ntemp_c = \"67F\"",
            "line 5: air.temp_c \"67F\" cannot be used; accepted: a number, -40 to 45 °C; with a unit behind it write temp = \"67F\"",
        ),
        (
            "[air]\ntemp_c = nan",
            "line 5: air.temp_c nan cannot be used; accepted: a number, -40 to 45 °C; check the number",
        ),
        (
            "[air]\nrelative_humidity = 62",
            "line 5: air.relative_humidity: relative humidity 62 (0 to 1) is outside 0 to 1; if you meant percent, write 62%",
        ),
        (
            "[air]\ndehumidifier_setting = 0.05",
            "line 5: air.dehumidifier_setting 0.05 is outside 0.1 to 0.95 as a fraction; fix it, or write \"unknown\"",
        ),
        (
            "[air]\ntemp_c = 19.5\ntemp = \"67F\"",
            "line 6: air.temp is given as well as air.temp_c; one of the two is accepted; delete one",
        ),
        (
            "[air]\ntemp = \"67F\"\ntemp_c = 19.5",
            "line 6: air.temp_c is given as well as air.temp; one of the two is accepted; delete one",
        ),
        // Readings.
        (
            "[[reading]]\nkind = \"meter\"\nvalue = 45",
            "line 6: reading.1.value 45 is outside 0 to 20 %; a number above 20 is usually a relative scale: write relative as reading.1.scale",
        ),
        (
            "[[reading]]\nvalue = 0.85\nkind = \"probe\"",
            "line 5: reading.1.value 0.85 is outside 0 to 100 % RH; percent RH: write 85, not 0.85",
        ),
        (
            "[[reading]]\nkind = \"calcium_chloride\"\nvalue = 50.5",
            "line 6: reading.1.value 50.5 is outside 0 to 50 lb per 1000 ft2 in 24 h; check the number",
        ),
        (
            "[[reading]]\nkind = \"sheet\"\nvalue = 1",
            "line 6: reading.1.value 1 cannot be used; accepted: true (damp) | false (dry) for kind = \"sheet\"; write what the instrument showed",
        ),
        (
            "[[reading]]\nkind = \"meter\"\nvalue = true",
            "line 6: reading.1.value true cannot be used; accepted: percent such as 3.9 for kind = \"meter\"; write what the instrument showed",
        ),
        (
            "[[reading]]\nkind = \"meter\"\nvalue = [3]",
            "line 6: reading.1.value [3] cannot be used; accepted: percent for a meter, percent RH for a probe, pounds for calcium chloride, true | false for a sheet; write what the instrument showed",
        ),
        (
            "[[reading]]\nkind = \"meter\"\nvalue = 3\nwall_distance_m = 101",
            "line 7: reading.1.wall_distance_m 101 is outside 0 to 100 m; fix it, or write \"unknown\"",
        ),
        (
            "[[reading]]\nkind = \"meter\"\nvalue = 3\ndate = \"unknown\"",
            "line 7: reading.1.date \"unknown\" cannot be used; accepted: a date such as 2026-09-08; write it, or leave the whole reading or visit out",
        ),
        (
            "[[reading]]\nkind = \"meter\"\nvalue = 3\n\n[[reading]]\nkind = \"meter\"",
            "line 8: reading.2.value is missing; accepted: a number, or true | false for a sheet; write what the instrument showed, or delete the reading",
        ),
        (
            "[[reading]]\nvalue = 3",
            "line 4: reading.1.kind is missing; accepted: meter | probe | calcium_chloride | sheet; write how the reading was taken",
        ),
        // Limits.
        (
            "[limit]\nprobe_rh = 0.85",
            "line 5: limit.probe_rh 0.85 is outside 30 to 100 % RH; percent RH: write 85, not 0.85",
        ),
        (
            "[limit]\nmeter_percent = 0",
            "line 5: limit.meter_percent 0 is outside 0.5 to 20 %; fix it, or write \"unknown\"",
        ),
        // Places.
        (
            "station = \"USW00014742\"",
            "line 4: station is given as well as postal; accepted: one way to name the place; delete one",
        ),
        (
            "elevation_m = 100",
            "line 4: elevation_m is given beside postal, which has its own height; accepted: a height with latitude and longitude; delete it, or write latitude and longitude instead",
        ),
        (
            "elevation = \"350ft\"",
            "line 4: elevation_m is given beside postal, which has its own height; accepted: a height with latitude and longitude; delete it, or write latitude and longitude instead",
        ),
        // Text.
        (
            "label = \"a\\tb\"",
            "line 4: label holds the control character U+0009; accepted: text of up to 200 characters on one line; delete that character",
        ),
        (
            "label = true",
            "line 4: label true cannot be used; accepted: text of up to 200 characters on one line; write it in quotes",
        ),
        // Not TOML.
        (
            "[floor]\nsetting = basement",
            "line 5: \"setting = basement\" is not read as TOML; accepted: name = value; put the value in quotes: setting = \"basement\"",
        ),
        (
            "[air]\ntemp = 67F",
            "line 5: \"temp = 67F\" is not read as TOML; accepted: name = value; a number with a unit goes in quotes: temp = \"67F\"",
        ),
        (
            "[floor]\nplaced_date = 7/2/2026",
            "line 5: \"placed_date = 7/2/2026\" is not read as TOML; accepted: name = value; write dates as year-month-day",
        ),
        (
            "[floor]\nyear_built =",
            "line 5: \"year_built =\" is not read as TOML; accepted: name = value; write a value behind year_built =, or delete the line",
        ),
        (
            "[floor]\nyear_built 1961",
            "line 5: \"year_built 1961\" is not read as TOML; accepted: name = value; write name = value",
        ),
        (
            "[floor\nyear_built = 1961",
            "line 4: \"[floor\" is not read as TOML; accepted: name = value; write [floor], or [[reading]] for each reading",
        ),
        (
            "[floor]\nheated_slab = true\nheated_slab = false",
            "line 6: \"heated_slab = false\" is not read as TOML; accepted: name = value; it is given twice; delete one",
        ),
        (
            "[floor]\nheated_slab = true\n[lot]\nleak = \"none\"\n[floor]\ntendons = true",
            "line 8: \"[floor]\" is not read as TOML; accepted: name = value; it is given twice; delete one",
        ),
    ] {
        assert_eq!(
            said(&with(fields)),
            [format!("job.toml, {message}")],
            "{fields}"
        );
    }
}

#[test]
fn mistakes_at_the_top_have_one_message() {
    let rest = "[lot]\nlately = \"usual\"\n";
    for (top, message) in [
        (
            "visit_version = 2\nvisit_date = 2026-09-08\nnew_field = 3",
            "job.toml, line 1: visit_version 2 cannot be used; accepted: 1; write visit_version = 1, or use the program that wrote the file",
        ),
        (
            "visit_date = 2026-09-08\npostal = 05401",
            "job.toml, line 2: \"postal = 05401\" is not read as TOML; accepted: name = value; put the value in quotes: postal = \"05401\"",
        ),
        (
            "visit_date = 2026-09-08\npostal = 5401",
            "job.toml, line 2: postal 5401 cannot be used; accepted: a postal code in quotes such as \"05401\"; write it in quotes, with its leading zeros",
        ),
        (
            "visit_date = 2026-09-08\npostal = \"5401\"",
            "job.toml, line 2: postal \"5401\" cannot be used; accepted: a postal code in quotes such as \"05401\"; spreadsheets drop a leading zero: if you meant 05401, type the zero too; if another digit is missing, type all five, or the first three (540) for the area",
        ),
        (
            "visit_date = 2026-09-08\nstation = \"no such/thing\"",
            "job.toml, line 2: station \"no such/thing\" cannot be used; accepted: a station id in quotes such as \"USW00014742\"; write the id of a station of the climate table",
        ),
        (
            "visit_date = 2026-09-08\nlatitude = 91\nlongitude = 0",
            "job.toml, line 2: latitude 91 is outside -90 to 90 degrees; check the number",
        ),
        (
            "visit_date = 2026-09-08\nlatitude = 44.5",
            "job.toml, line 2: longitude is missing; accepted: degrees such as -73.2; write it beside latitude",
        ),
        (
            "visit_date = 2026-09-08\nlatitude = 33\nlongitude = -115\nelevation_m = -12",
            "job.toml, line 4: elevation_m -12 is outside 0 to 6000 m; for a place below the sea write 0",
        ),
        (
            "visit_date = 2026-09-08",
            "job.toml: the place is missing; accepted: postal, or latitude and longitude, or station; write one, such as postal = \"05401\"",
        ),
        (
            "postal = \"05401\"",
            "job.toml: visit_date is missing; accepted: a date such as 2026-09-08; write the day of the visit",
        ),
        (
            "visit_date = \"unknown\"\npostal = \"05401\"",
            "job.toml, line 1: visit_date \"unknown\" cannot be used; accepted: a date such as 2026-09-08; write it, or leave the whole reading or visit out",
        ),
    ] {
        assert_eq!(said(&format!("{top}\n{rest}")), [message], "{top}");
    }
    assert_eq!(
        said("visit_date = 2026-09-08\npostal = \"05401\"\n[lot]\nlately = \"unknown\"\n"),
        [
            "job.toml: any answer or reading is missing; accepted: one field of [floor], [lot], [signs], [air] or one [[reading]]; answer at least one question"
        ]
    );
}

#[test]
fn all_problems_come_at_once_in_order_of_line() {
    let text = "visit_date = 2026-09-08\n[lot]\nposition = low\n[floor]\nsetings = 1\nyear_built = 2030\n[air]\ntemp_c = 67\n[[reading]]\nvalue = 3\n";
    assert_eq!(
        said(text),
        [
            "job.toml, line 3: \"position = low\" is not read as TOML; accepted: name = value; put the value in quotes: position = \"low\"",
            "job.toml, line 5: floor.setings is not part of the visit file; did you mean `setting`?",
            "job.toml, line 6: floor.year_built 2030 is after the visit on 2026-09-08; accepted: up to 2026; check both dates",
            "job.toml, line 8: air.temp_c 67 is outside -40 to 45 °C; if you meant °F, write temp = \"67F\"",
        ],
        "what may be missing waits until the file is TOML"
    );
    let without_fault = text.replace("position = low", "position = \"low\"");
    let lines = said(&without_fault);
    assert_eq!(lines.len(), 5, "{lines:?}");
    assert!(
        lines[3].starts_with("job.toml, line 9: reading.1.kind is missing"),
        "{lines:?}"
    );
    assert!(
        lines[4].starts_with("job.toml: the place is missing"),
        "{lines:?}"
    );
}

#[test]
fn a_flood_of_problems_is_cut() {
    let many: String = (0..400).map(|at| format!("zz{at} = 1\n")).collect();
    let lines = said(&many);
    assert_eq!(lines.len(), 51);
    assert!(
        lines[0].starts_with("job.toml, line 1: zz0 is not part"),
        "{}",
        lines[0]
    );
    assert_eq!(
        lines[50],
        "job.toml: more problems follow these 50; mend these first"
    );
    let faults = "=\n".repeat(400);
    assert_eq!(
        said(&faults).last().unwrap(),
        "job.toml: more problems follow these 50; mend these first"
    );
}

#[test]
fn other_kinds_of_file_are_named() {
    let tail = "accepted: a visit file, which is text in TOML;";
    for (text, message) in [
        (
            "",
            format!("the file is empty; {tail} write at least visit_date, a place and one answer"),
        ),
        (
            "\u{feff} \n# only a remark\n",
            format!("the file is empty; {tail} write at least visit_date, a place and one answer"),
        ),
        (
            "<!DOCTYPE html>\n<html></html>",
            format!("this is an HTML page; {tail} give the visit file"),
        ),
        (
            "<?xml version=\"1.0\"?><a/>",
            format!("this is XML; {tail} give the visit file"),
        ),
        (
            "{\"visit_date\": \"2026-09-08\"}",
            format!("this is JSON; {tail} give the visit file"),
        ),
        (
            "[\n  {\"visit_date\": 1}\n]",
            format!("this is JSON; {tail} give the visit file"),
        ),
        (
            "# rows\nvisit_date,postal\n2026-09-08,05401\n",
            format!(
                "this is a table of comma-separated values; {tail} give it to the batch command, or give a visit file"
            ),
        ),
        (
            "visit_date\tpostal\n",
            format!(
                "this is a table of comma-separated values; {tail} give it to the batch command, or give a visit file"
            ),
        ),
        (
            "PK\u{3}\u{4}rest",
            format!("this is a binary file; {tail} give the visit file"),
        ),
        (
            "a = \u{0}",
            format!("this is a binary file; {tail} give the visit file"),
        ),
    ] {
        assert_eq!(said(text), [format!("job.toml: {message}")], "{text:?}");
    }
    let of_bytes = |bytes: &[u8]| {
        parse_visit_bytes(bytes, "job.toml")
            .unwrap_err()
            .to_string()
    };
    assert_eq!(
        of_bytes(b"PK\x03\x04\xff\x00"),
        format!("job.toml: this is a binary file; {tail} give the visit file")
    );
    assert_eq!(
        of_bytes(&[0xff, 0xfe, b'a', 0]),
        format!("job.toml: this is text in UTF-16; {tail} save it as UTF-8")
    );
    assert_eq!(
        of_bytes(b"visit_date = 2026-09-08\nlabel = \"caf\xe9\"\n"),
        format!("job.toml: line 2 holds bytes that are not UTF-8; {tail} save it as UTF-8")
    );
}

#[test]
fn a_large_file_is_refused() {
    let fits = format!("{WHOLE}{}", "#\n".repeat((1_048_576 - WHOLE.len()) / 2));
    assert!(parse_visit(&fits, "job.toml").is_ok());
    let large = format!(
        "{WHOLE}{}",
        "#\n".repeat((1_048_578 - WHOLE.len()).div_ceil(2))
    );
    let message = format!(
        "job.toml: the file has {} bytes, more than 1048576; accepted: a visit file, which is text in TOML; give the visit file",
        large.len()
    );
    assert_eq!(said(&large), std::slice::from_ref(&message));
    assert_eq!(
        parse_visit_bytes(large.as_bytes(), "job.toml")
            .unwrap_err()
            .to_string(),
        message
    );
}

#[test]
fn text_has_a_length() {
    let label = |count| with(&format!("label = \"{}\"", "ä".repeat(count)));
    assert!(said(&label(200)).is_empty());
    assert_eq!(
        said(&label(201)),
        [
            "job.toml, line 4: label has 201 characters; accepted: text of up to 200 characters on one line; shorten it"
        ]
    );
    let turned = with("[[reading]]\nkind = \"meter\"\nvalue = 3\nspot = \"a\\u202eb\"\n");
    assert_eq!(
        said(&turned),
        [
            "job.toml, line 7: reading.1.spot holds the control character U+202E; accepted: text of up to 200 characters on one line; delete that character"
        ]
    );
}

#[test]
fn too_many_readings_are_refused_once() {
    let many = with(&"[[reading]]\nkind = \"meter\"\nvalue = 3\n".repeat(502));
    assert_eq!(
        said(&many),
        ["job.toml, line 1504: reading 501 is outside 0 to 500 readings; split the visit"]
    );
}

#[test]
fn remarks_do_not_stop_a_visit() {
    let res = read(&with("[floor]\nretarder_proof = \"hole\"\n"));
    assert_eq!(
        res.notes,
        ["floor.retarder_proof is given without floor.retarder; it is kept and not used"]
    );
    assert_eq!(res.visit.floor.retarder_proof, Some(RetarderProof::Hole));
}

#[test]
fn cells_of_a_wide_table_set_a_visit() {
    let mut draft = Draft::default();
    for (path, cell) in [
        ("visit_date", "2026-09-08"),
        ("postal", "05401-1234"),
        ("floor.year_built", "1961.0"),
        ("floor.setting", "Walk out"),
        ("floor.finished", "NO"),
        ("signs.darkening_months", "March; apr"),
        ("air.temp", "67F"),
        ("air.temp_c", ""),
        ("reading.1.value", "3.9"),
        ("reading.1.kind", "Meter"),
        ("reading.3.value", "yes"),
        ("reading.3.kind", "sheet"),
        ("reading.4.value", ""),
        ("reading.9.spot", " UNKNOWN "),
    ] {
        set_field(&mut draft, path, &Raw::Text(cell.to_string())).unwrap();
    }
    assert_eq!(
        get_field(&draft, "reading.3.value"),
        Ok(Some(Raw::Text("yes".to_string())))
    );
    assert_eq!(get_field(&draft, "reading.9.spot"), Ok(None));
    let visit = draft.finish().unwrap();
    assert_eq!(visit.floor.setting, Some(Setting::WalkOut));
    assert_eq!(visit.floor.finished, Some(Finished::No));
    assert_eq!(visit.floor.year_built, Some(1961));
    assert_eq!(visit.signs.darkening_months, Some(vec![3, 4]));
    assert!(
        visit.air.temp.is_some(),
        "an empty cell under the other name takes nothing away"
    );
    let values: Vec<_> = visit.readings.iter().map(|it| it.value).collect();
    assert_eq!(
        values,
        [ReadingValue::Meter(3.9), ReadingValue::Sheet(true)]
    );
}

#[test]
fn an_answer_can_be_taken_back_and_given_again() {
    let mut draft = Draft::default();
    let text = |it: &str| Raw::Text(it.to_string());
    set_field(&mut draft, "lot.sump", &text("dry")).unwrap();
    set_field(&mut draft, "lot.sump", &text("most_days")).unwrap();
    assert_eq!(draft.lot.sump, Some(Sump::MostDays));
    for nothing in ["", "unknown", "UNKNOWN", "not sure", " Not Sure "] {
        set_field(&mut draft, "lot.sump", &text("dry")).unwrap();
        set_field(&mut draft, "lot.sump", &text(nothing)).unwrap();
        assert_eq!(draft.lot.sump, None, "{nothing:?}");
    }
    set_field(&mut draft, "air.temp", &text("67F")).unwrap();
    set_field(&mut draft, "air.temp", &text("unknown")).unwrap();
    set_field(&mut draft, "air.temp_c", &Raw::Float(19.5)).unwrap();
    assert_eq!(get_field(&draft, "air.temp"), Ok(Some(text("19.5C"))));
    let refused = set_field(&mut draft, "lot.sumps", &text("dry")).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "lot.sumps is not part of the visit file; did you mean `sump`?"
    );
    for path in [
        "reading.0.value",
        "reading.01.value",
        "reading.501.value",
        "reading.x.value",
        "reading.1",
        "",
        ".",
    ] {
        assert!(set_field(&mut draft, path, &text("3")).is_err(), "{path}");
    }
}

#[test]
fn the_registry_reads_back_what_it_writes() {
    let visit = read(WHOLE).visit;
    let draft = Draft::from(&visit);
    let mut copy = Draft::default();
    for field in FIELDS.iter().filter(|it| it.saved_as.is_none()) {
        if let Some(raw) = get_field(&draft, field.path).unwrap() {
            // By way of a table cell, which is the poorest form.
            set_field(&mut copy, field.path, &Raw::Text(raw.to_text())).unwrap();
        }
    }
    assert_eq!(copy.finish().unwrap(), visit);
}

#[test]
fn paths_are_given_once_and_explained() {
    for (at, field) in FIELDS.iter().enumerate() {
        assert!(
            FIELDS[..at].iter().all(|it| it.path != field.path),
            "{} twice",
            field.path
        );
        assert!(field.about.ends_with('.'), "{}", field.path);
        assert_eq!(
            field.is_needed(),
            field.path.ends_with("date") && matches!(field.table(), "" | "reading")
                || matches!(
                    field.path,
                    "visit_version" | "reading.kind" | "reading.value"
                ),
            "{}",
            field.path
        );
    }
}

#[test]
fn strings_are_saved_with_their_quotes() {
    let mut draft = Draft::from(&read(WHOLE).visit);
    for label in [
        "say \"hi\" \\ there",
        "ünï – 漢字",
        "# no remark",
        "'''",
        "[floor]",
    ] {
        set_field(&mut draft, "label", &Raw::Text(label.to_string())).unwrap();
        let visit = draft.clone().finish().unwrap();
        assert_eq!(read(&to_toml(&visit)).visit.label.as_deref(), Some(label));
    }
    // Text that no file could bring in is still written so that a file can be read as TOML.
    let mut odd = draft;
    odd.label = Some("a\u{7}\nb\u{7f}".to_string());
    let text = draft_to_toml(&odd);
    assert!(
        text.contains("label = \"a\\u0007\\u000Ab\\u007F\"\n"),
        "{text}"
    );
}

#[test]
fn the_saved_file_is_in_the_order_of_the_contract() {
    let text = to_toml(&read(WHOLE).visit);
    // The example without its unknown answers; whole numbers lose their ".0".
    let expected: String = WHOLE
        .lines()
        .filter(|it| !it.to_lowercase().contains("\"unknown\"") && !it.contains("not sure"))
        .map(|it| format!("{}\n", it.replace("= 5.0", "= 5")))
        .collect();
    assert_eq!(text, expected);
}

#[test]
fn the_digest_tells_visits_apart() {
    let visit = read(WHOLE).visit;
    let first = digest(&visit);
    assert_eq!(first.len(), 16);
    assert!(
        first
            .bytes()
            .all(|it| it.is_ascii_digit() || (b'a'..=b'f').contains(&it))
    );
    let mut seen = vec![first];
    for field in FIELDS
        .iter()
        .filter(|it| it.saved_as.is_none() && !it.is_needed() && it.table() != "reading")
    {
        let mut draft = Draft::from(&visit);
        if get_field(&draft, field.path).unwrap().is_some() && field.path != "postal" {
            set_field(&mut draft, field.path, &Raw::Text("unknown".to_string())).unwrap();
            let other = digest(&draft.finish().unwrap());
            assert!(!seen.contains(&other), "{}", field.path);
            seen.push(other);
        }
    }
    assert!(seen.len() > 30);
}

/// A value that the field takes, so that any choice of them is a visit: the slab is older
/// than every reading, and every date is before the visit.
fn value_for(field: &'static Field) -> BoxedStrategy<Raw> {
    let day = |years: std::ops::Range<i32>| {
        (years, 1..=12u32, 1..=28u32)
            .prop_map(|(y, m, d)| Raw::Date(NaiveDate::from_ymd_opt(y, m, d).unwrap()))
    };
    let text = "[ -~äß漢]{0,20}[!-~]".prop_filter("an answer", |it| {
        let it = it.trim().to_lowercase().replace([' ', '-'], "_");
        !it.is_empty() && it != "unknown" && it != "not_sure"
    });
    match field.kind {
        FieldKind::Version => Just(Raw::Integer(1)).boxed(),
        FieldKind::Date if field.path == "visit_date" => day(2027..2100).boxed(),
        FieldKind::Date if field.path == "floor.placed_date" => day(1700..1990).boxed(),
        FieldKind::Date => day(1990..2027).boxed(),
        FieldKind::YesNo => any::<bool>().prop_map(Raw::Bool).boxed(),
        FieldKind::Words(words) => proptest::sample::select(words)
            .prop_map(|it| Raw::Text(it.to_string()))
            .boxed(),
        FieldKind::Text => text.prop_map(Raw::Text).boxed(),
        FieldKind::Postal => "[0-9]{5}".prop_map(Raw::Text).boxed(),
        FieldKind::Station => "[A-Z0-9]{11}".prop_map(Raw::Text).boxed(),
        FieldKind::Whole if field.path == "floor.year_built" => {
            (1600..1990i64).prop_map(Raw::Integer).boxed()
        }
        FieldKind::Whole => (0..=100i64).prop_map(Raw::Integer).boxed(),
        FieldKind::Number => {
            let range = range(field.path);
            (range.low..=range.high).prop_map(Raw::Float).boxed()
        }
        FieldKind::Months => prop::collection::vec(1..=12i64, 1..5)
            .prop_map(|it| Raw::List(it.into_iter().map(Raw::Integer).collect()))
            .boxed(),
        FieldKind::WeatherMonths => prop::collection::btree_map(1..=12u32, 0.0..400.0f64, 1..5)
            .prop_map(|months| {
                let text = |(month, mm)| Raw::Text(format!("2026-{month:02}, {mm} mm, 21.5C"));
                Raw::List(months.into_iter().map(text).collect())
            })
            .boxed(),
        FieldKind::Humidity => (0.1..0.95f64).prop_map(Raw::Float).boxed(),
        FieldKind::ProbePercent => (30.0..=100.0f64).prop_map(Raw::Float).boxed(),
        FieldKind::WithUnit(_) => {
            let (low, high, unit) = match field.leaf() {
                "thickness" => (2.0, 15.0, "in"),
                "area" => (20.0, 90_000.0, "ft2"),
                "temp" | "slab_temp" => (10.0, 100.0, "F"),
                "dehumidifier_capacity" => (2.0, 1_000.0, "pints"),
                "last_three_months" | "last_twelve_months" => (0.0, 300.0, "%"),
                _ => (0.0, 300.0, "ft"),
            };
            (low..high)
                .prop_map(move |it: f64| Raw::Text(format!("{it}{unit}")))
                .boxed()
        }
        FieldKind::ReadingValue => unreachable!("readings are made whole"),
    }
}

fn any_reading() -> impl Strategy<Value = Vec<(&'static str, Raw)>> {
    let word = |it: &str| Raw::Text(it.to_string());
    let value = prop_oneof![
        (0.0..=20.0f64)
            .prop_map(move |it| vec![("kind", word("meter")), ("value", Raw::Float(it))]),
        (0.0..=1000.0f64).prop_map(move |it| vec![
            ("kind", word("meter")),
            ("scale", word("relative")),
            ("value", Raw::Float(it))
        ]),
        (1.001..=100.0f64)
            .prop_map(move |it| vec![("kind", word("probe")), ("value", Raw::Float(it))]),
        (0.0..=50.0f64).prop_map(move |it| vec![
            ("kind", word("calcium_chloride")),
            ("value", Raw::Float(it))
        ]),
        any::<bool>().prop_map(move |it| vec![("kind", word("sheet")), ("value", Raw::Bool(it))]),
    ];
    let others: Vec<_> = FIELDS
        .iter()
        .filter(|it| it.table() == "reading" && !matches!(it.leaf(), "kind" | "value" | "scale"))
        .map(|it| proptest::option::of(value_for(it).prop_map(move |raw| (it.leaf(), raw))))
        .collect();
    (value, others).prop_map(|(mut res, others)| {
        res.extend(others.into_iter().flatten());
        res
    })
}

/// Any visit that a file can bring in, made field by field in either spelling.
fn any_visit() -> impl Strategy<Value = Visit> {
    let answers: Vec<_> = FIELDS
        .iter()
        .filter(|it| {
            it.table() != "reading"
                && (it.table() != "" || matches!(it.leaf(), "label" | "answered_by"))
        })
        .map(|it| proptest::option::of(value_for(it).prop_map(move |raw| (it.path, raw))))
        .collect();
    let by_path =
        |path: &'static str| value_for(field(path).unwrap()).prop_map(move |it| (path, it));
    let place = prop_oneof![
        by_path("postal").prop_map(|it| vec![it]),
        by_path("station").prop_map(|it| vec![it]),
        (by_path("latitude"), by_path("longitude")).prop_map(|(one, other)| vec![one, other]),
        (
            by_path("latitude"),
            by_path("longitude"),
            by_path("elevation_m")
        )
            .prop_map(|(a, b, c)| vec![a, b, c]),
    ];
    let readings = prop::collection::vec(any_reading(), 0..4);
    (by_path("visit_date"), place, answers, readings).prop_map(
        |(date, place, answers, readings)| {
            let mut draft = Draft::default();
            set_field(&mut draft, "lot.leak", &Raw::Text("none".to_string())).unwrap();
            for (path, raw) in [date]
                .into_iter()
                .chain(place)
                .chain(answers.into_iter().flatten())
            {
                set_unless_spelled(&mut draft, path, &raw);
            }
            for (at, fields) in readings.iter().enumerate() {
                for (leaf, raw) in fields {
                    set_unless_spelled(&mut draft, &format!("reading.{}.{leaf}", at + 1), raw);
                }
            }
            draft.finish().unwrap_or_else(|errors| panic!("{errors:?}"))
        },
    )
}

/// Both spellings may be drawn; then the first one stays.
fn set_unless_spelled(draft: &mut Draft, path: &str, raw: &Raw) {
    match set_field(draft, path, raw) {
        Ok(()) | Err(FieldError::TwoSpellings { .. }) => {}
        Err(other) => panic!("{other}"),
    }
}

/// The lines of the example, put into another order: tables after the top, fields inside
/// their table, readings among the tables in their own order.
fn reordered() -> impl Strategy<Value = String> {
    let blocks: Vec<Vec<&str>> = WHOLE.split("\n\n").map(|it| it.lines().collect()).collect();
    let shuffled: Vec<_> = blocks
        .iter()
        .enumerate()
        .map(|(at, block)| {
            let head = block[..usize::from(at > 0)].join("\n");
            let lines: Vec<String> = block[usize::from(at > 0)..]
                .iter()
                .map(|it| it.to_string())
                .collect();
            Just(lines)
                .prop_shuffle()
                .prop_map(move |it| format!("{head}\n{}\n", it.join("\n")))
        })
        .collect();
    shuffled.prop_flat_map(|blocks| {
        let top = blocks[0].clone();
        Just(blocks[1..].to_vec())
            .prop_shuffle()
            .prop_map(move |it| format!("{top}{}", it.concat()))
    })
}

proptest! {
    #[test]
    fn saving_and_reading_is_the_same_visit(visit in any_visit()) {
        let text = to_toml(&visit);
        let again = parse_visit(&text, "saved.toml").map_err(|it| TestCaseError::fail(format!("{it}\n{text}")))?;
        prop_assert_eq!(&again.visit, &visit, "{}", text);
        prop_assert_eq!(to_toml(&again.visit), text);
        prop_assert_eq!(digest(&again.visit), digest(&visit));
    }

    #[test]
    fn the_order_of_fields_changes_nothing(text in reordered()) {
        let visit = read(&text).visit;
        prop_assert_eq!(to_toml(&visit), to_toml(&read(WHOLE).visit));
    }

    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        let _ = parse_visit(&text, &text);
    }

    #[test]
    fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = parse_visit_bytes(&bytes, "job.toml");
        let _ = parse_visit(&String::from_utf8_lossy(&bytes), "job.toml");
    }

    #[test]
    fn any_toml_like_text_is_read_or_refused(text in "(([a-z_.]{1,12}|\\[\\[?(floor|reading|lot)\\]?\\]?)( ?= ?([0-9.e+-]{1,12}|\"[^\"]{0,8}\"|\\[[0-9, ]{0,9}\\]?|\\{ ?a ?= ?1 ?\\}|true))?\n){0,12}") {
        let _ = parse_visit(&text, "job.toml");
    }

    /// A file with a few characters changed: read, or refused with a message for each problem,
    /// in order of line.
    #[test]
    fn a_damaged_file_is_read_or_refused(
        places in prop::collection::vec((0..WHOLE.len(), any::<char>(), 0..3usize), 1..6),
    ) {
        let mut text: Vec<char> = WHOLE.chars().collect();
        for (at, letter, deed) in places {
            let at = at % text.len();
            match deed {
                0 => text[at] = letter,
                1 => text.insert(at, letter),
                _ => { text.remove(at); }
            }
        }
        let text: String = text.into_iter().collect();
        if let Err(errors) = parse_visit(&text, "job.toml") {
            prop_assert!(!errors.problems.is_empty());
            let lines: Vec<usize> = errors.problems.iter().filter_map(|it| match it {
                SurveyError::Field { line, .. } | SurveyError::Syntax { line, .. } => Some(*line),
                _ => None,
            }).collect();
            prop_assert!(lines.is_sorted());
            prop_assert!(errors.problems.iter().all(|it| it.to_string().starts_with("job.toml")));
            prop_assert!(lines.iter().all(|it| *it <= text.split('\n').count()));
        }
    }

    #[test]
    fn any_cell_is_set_or_refused(at in 0..FIELDS.len(), cell in any::<String>(), number in any::<f64>()) {
        let mut draft = Draft::default();
        let path = FIELDS[at].path;
        let _ = set_field(&mut draft, path, &Raw::Text(cell.clone()));
        let _ = set_field(&mut draft, path, &Raw::Float(number));
        let _ = set_field(&mut draft, path, &Raw::List(vec![Raw::Float(number), Raw::Text(cell)]));
        let _ = draft_to_toml(&draft);
        let _ = notes(&draft);
        let _ = draft.finish();
    }
}
