//! What answers and readings must agree on with each other, and what is worth a remark.

use super::draft::Draft;
use super::errors::FieldError;
use super::limits::unusual_meter_limit;
use super::values::reading_value;
use super::visit::*;
use chrono::{Datelike, NaiveDate};

/// The year of the concrete: of the day it was placed where that is known, else of the house.
pub fn construction_year(floor: &Floor) -> Option<i32> {
    floor.placed_date.map(|it| it.year()).or(floor.year_built)
}

/// Days from the placing of the concrete to a day, or `None` when unknown or not placed yet.
///
/// With only a year, the slab counts as placed on the last day of that year, or on the day
/// itself within that year: the youngest it can be, since a slab is held for being too new.
pub fn age_days(floor: &Floor, on: NaiveDate) -> Option<i64> {
    let placed = match (floor.placed_date, floor.year_built) {
        (Some(placed), _) => placed,
        (None, Some(year)) if year == on.year() => on,
        (None, Some(year)) => NaiveDate::from_ymd_opt(year, 12, 31)?,
        (None, None) => return None,
    };
    Some((on - placed).num_days()).filter(|it| *it >= 0)
}

/// Whether the slab lies below the ground outside: as answered, else by the kind of floor.
pub fn known_below_grade(floor: &Floor) -> Option<bool> {
    let by_kind = || {
        floor.setting.map(|it| match it {
            Setting::Basement | Setting::WalkOut => true,
            Setting::OnGrade | Setting::Garage | Setting::Suspended => false,
        })
    };
    floor.below_grade.or_else(by_kind)
}

/// The state of gutters and grading. The given answer holds, unless what was seen is worse.
pub fn derived_drainage(lot: &Lot) -> Option<Drainage> {
    match (lot.drainage, seen_drainage(lot)) {
        (_, Some(Drainage::Failing)) => Some(Drainage::Failing),
        (Some(given), _) => Some(given),
        (None, seen) => seen,
    }
}

/// What downspouts and slope say by themselves.
fn seen_drainage(lot: &Lot) -> Option<Drainage> {
    let at_the_walls = matches!(
        lot.downspouts,
        Some(Downspouts::Near | Downspouts::NoGutters)
    );
    if at_the_walls || lot.slope == Some(GroundSlope::Toward) {
        return Some(Drainage::Failing);
    }
    let led_away = lot.downspouts == Some(Downspouts::Far) && lot.slope == Some(GroundSlope::Away);
    led_away.then_some(Drainage::Sound)
}

/// Everything that keeps a draft from being a visit, across its fields.
pub fn problems(draft: &Draft) -> Vec<FieldError> {
    let mut res = Vec::new();
    if draft.visit_date.is_none() {
        res.push(needed(
            "visit_date",
            None,
            "visit_date",
            "a date such as 2026-09-08",
            "write the day of the visit",
        ));
    }
    place_problems(draft, &mut res);
    if !is_answered(draft) {
        res.push(needed(
            "answers",
            None,
            "any answer or reading",
            "one field of [floor], [lot], [signs], [air] or one [[reading]]",
            "answer at least one question",
        ));
    }
    date_problems(draft, &mut res);
    for (at, reading) in draft
        .readings
        .iter()
        .enumerate()
        .filter(|(_, it)| !it.is_empty())
    {
        let path = |leaf: &str| format!("reading.{}.{leaf}", at + 1);
        let near = Some(format!("reading.{}", at + 1));
        if reading.kind.is_none() {
            let accepted = ReadingKind::WORDS.join(" | ");
            res.push(needed(
                &path("kind"),
                near.clone(),
                &path("kind"),
                &accepted,
                "write how the reading was taken",
            ));
        }
        match (&reading.value, reading.kind) {
            (None, _) => res.push(needed(
                &path("value"),
                near,
                &path("value"),
                "a number, or true | false for a sheet",
                "write what the instrument showed, or delete the reading",
            )),
            (Some(raw), Some(kind)) => {
                res.extend(reading_value(&path("value"), kind, reading.scale, raw).err())
            }
            (Some(_), None) => {}
        }
    }
    res
}

fn needed(path: &str, near: Option<String>, what: &str, accepted: &str, todo: &str) -> FieldError {
    FieldError::Needed {
        path: path.to_string(),
        near,
        what: what.to_string(),
        accepted: accepted.to_string(),
        todo: todo.to_string(),
    }
}

fn place_problems(draft: &Draft, res: &mut Vec<FieldError>) {
    let position = match (draft.latitude, draft.longitude) {
        (None, None) => None,
        (Some(_), _) => Some("latitude"),
        (None, Some(_)) => Some("longitude"),
    };
    let ways: Vec<&str> = [
        draft.postal.as_ref().map(|_| "postal"),
        position,
        draft.station.as_ref().map(|_| "station"),
    ]
    .into_iter()
    .flatten()
    .collect();
    match ways[..] {
        [] => res.push(needed(
            "place",
            None,
            "the place",
            "postal, or latitude and longitude, or station",
            "write one, such as postal = \"05401\"",
        )),
        [first, ref more @ ..] => res.extend(more.iter().map(|it| FieldError::Conflict {
            path: it.to_string(),
            given: "is given".to_string(),
            what: format!("as well as {first}"),
            accepted: "one way to name the place".to_string(),
            todo: "delete one",
        })),
    }
    match position {
        Some("latitude") if draft.longitude.is_none() => {
            let near = Some("latitude".to_string());
            res.push(needed(
                "longitude",
                near,
                "longitude",
                "degrees such as -73.2",
                "write it beside latitude",
            ));
        }
        Some("longitude") => {
            let near = Some("longitude".to_string());
            res.push(needed(
                "latitude",
                near,
                "latitude",
                "degrees such as 44.5",
                "write it beside longitude",
            ));
        }
        None if draft.elevation.is_some() && !ways.is_empty() => res.push(FieldError::Conflict {
            path: "elevation_m".to_string(),
            given: "is given".to_string(),
            what: format!("beside {}, which has its own height", ways[0]),
            accepted: "a height with latitude and longitude".to_string(),
            todo: "delete it, or write latitude and longitude instead",
        }),
        _ => {}
    }
}

fn is_answered(draft: &Draft) -> bool {
    draft.floor != Floor::default()
        || draft.lot != Lot::default()
        || draft.signs != Signs::default()
        || draft.air != Air::default()
        || draft.readings.iter().any(|it| !it.is_empty())
}

fn date_problems(draft: &Draft, res: &mut Vec<FieldError>) {
    let floor = &draft.floor;
    let mut conflict = |path: &str, given: String, what: String, accepted: String| {
        let todo = "check both dates";
        res.push(FieldError::Conflict {
            path: path.to_string(),
            given,
            what,
            accepted,
            todo,
        });
    };
    if let Some(visit) = draft.visit_date {
        let at_most = format!("up to {visit}");
        let what = format!("is after the visit on {visit}");
        if let Some(year) = floor.year_built.filter(|it| *it > visit.year()) {
            conflict(
                "floor.year_built",
                year.to_string(),
                what.clone(),
                format!("up to {}", visit.year()),
            );
        }
        let dates = [
            ("floor.placed_date", floor.placed_date),
            ("lot.drainage_work_date", draft.lot.drainage_work_date),
            ("air.dehumidifier_since", draft.air.dehumidifier_since),
        ];
        for (path, date) in dates {
            if let Some(date) = date.filter(|it| *it > visit) {
                conflict(path, date.to_string(), what.clone(), at_most.clone());
            }
        }
        for (at, date) in dated(draft).filter(|(_, it)| *it > visit) {
            conflict(
                &format!("reading.{at}.date"),
                date.to_string(),
                what.clone(),
                at_most.clone(),
            );
        }
    }
    for (at, date) in dated(draft) {
        let path = format!("reading.{at}.date");
        match (floor.placed_date, floor.year_built) {
            (Some(placed), _) if date < placed => {
                let what = format!("is before the slab was placed on {placed}");
                conflict(&path, date.to_string(), what, format!("{placed} and later"));
            }
            (None, Some(year)) if date.year() < year => {
                let what = format!("is before the slab was placed in {year}");
                conflict(&path, date.to_string(), what, format!("{year} and later"));
            }
            _ => {}
        }
    }
}

/// The readings with a date, numbered from 1.
fn dated(draft: &Draft) -> impl Iterator<Item = (usize, NaiveDate)> + '_ {
    draft
        .readings
        .iter()
        .enumerate()
        .filter_map(|(at, it)| it.date.map(|date| (at + 1, date)))
}

impl Draft {
    /// The visit, or everything that still stands in its way.
    ///
    /// A reading without a date is of the day of the visit. Readings in which nothing at all
    /// was given are left out.
    pub fn finish(self) -> Result<Visit, Vec<FieldError>> {
        let found = problems(&self);
        if !found.is_empty() {
            return Err(found);
        }
        let whole = "problems() reports what is missing";
        let visit_date = self.visit_date.expect(whole);
        let place = match (self.postal, self.station) {
            (Some(postal), _) => PlaceName::Postal(postal),
            (None, Some(station)) => PlaceName::Station(station),
            (None, None) => PlaceName::Position {
                latitude: self.latitude.expect(whole),
                longitude: self.longitude.expect(whole),
                elevation: self.elevation,
            },
        };
        let mut readings = Vec::new();
        for it in self.readings.into_iter().filter(|it| !it.is_empty()) {
            let kind = it.kind.expect(whole);
            let raw = it.value.as_ref().expect(whole);
            readings.push(Reading {
                date: it.date.unwrap_or(visit_date),
                value: reading_value("reading", kind, it.scale, raw)
                    .map_err(|error| vec![error])?,
                scale: it.scale,
                meter_id: it.meter_id,
                meter_checked: it.meter_checked,
                spot: it.spot,
                wall_distance: it.wall_distance,
                x: it.x,
                y: it.y,
                withdrawn: it.withdrawn,
            });
        }
        Ok(Visit {
            visit_date,
            label: self.label,
            answered_by: self.answered_by,
            place,
            floor: self.floor,
            lot: self.lot,
            signs: self.signs,
            air: self.air,
            weather: self.weather,
            readings,
            limit: self.limit,
        })
    }
}

/// Remarks that stop nothing: answers that look odd together, and what was assumed.
pub fn notes(draft: &Draft) -> Vec<String> {
    let mut res = Vec::new();
    let (floor, lot, signs, air) = (&draft.floor, &draft.lot, &draft.signs, &draft.air);
    let mut note = |holds: bool, text: &str| {
        if holds {
            res.push(text.to_string());
        }
    };
    let odd = draft.limit.meter_percent.and_then(unusual_meter_limit);
    note(odd.is_some(), &odd.map_or(String::new(), |it| it.note()));
    let is_cellar = matches!(floor.setting, Some(Setting::Basement | Setting::WalkOut));
    let is_above = matches!(
        floor.setting,
        Some(Setting::OnGrade | Setting::Garage | Setting::Suspended)
    );
    note(
        is_cellar && floor.below_grade == Some(false),
        "floor.below_grade is false in a basement; both answers are kept, check them",
    );
    note(
        is_above && floor.below_grade == Some(true),
        "floor.below_grade is true, and floor.setting is no basement; both answers are kept, check them",
    );
    note(
        floor.retarder_proof.is_some() && floor.retarder.is_none(),
        "floor.retarder_proof is given without floor.retarder; it is kept and not used",
    );
    note(
        floor.cover_removed_days.is_some() && floor.surface == Some(Surface::Covered),
        "floor.cover_removed_days is given, and floor.surface is still covered; check them",
    );
    let built_later = floor
        .placed_date
        .zip(floor.year_built)
        .is_some_and(|(placed, year)| placed.year() < year);
    note(
        built_later,
        "floor.placed_date is before floor.year_built; the slab's own date is used",
    );
    let seen = seen_drainage(lot);
    let told = |given, seen_now| lot.drainage == Some(given) && seen == Some(seen_now);
    note(
        told(Drainage::Sound, Drainage::Failing),
        "lot.drainage is sound, and downspouts or slope say failing; the worse is used",
    );
    note(
        told(Drainage::Failing, Drainage::Sound),
        "lot.drainage is failing, and downspouts and slope say sound; the worse is used",
    );
    let no_darkening = signs.spring_darkening != Some(true);
    let described = signs.darkening_months.is_some() || signs.lightens_by_late_summer.is_some();
    note(
        no_darkening && described,
        "signs describe a darkening, and signs.spring_darkening is not true; the description is not used",
    );
    note(
        signs.spring_darkening == Some(false) && signs.springs_watched == Some(0),
        "signs.spring_darkening is false, and no spring was watched; it counts as not sure",
    );
    let machine_known = air.dehumidifier_since.is_some()
        || air.runs_after.is_some()
        || air.dehumidifier_capacity.is_some()
        || air.dehumidifier_setting.is_some();
    note(
        machine_known && air.dehumidifier != Some(Dehumidifier::Running),
        "air tells of a dehumidifier, and air.dehumidifier is not running; what it tells is not used",
    );
    let limit = &draft.limit;
    let no_limit = limit.meter_percent.is_none()
        && limit.probe.is_none()
        && limit.calcium_chloride_lb.is_none();
    note(
        limit.source.is_some() && no_limit,
        "limit.source is given without a limit; the usual limit is used",
    );
    res.extend(reading_notes(draft));
    res
}

/// Remarks on readings, which name the reading by its number.
fn reading_notes(draft: &Draft) -> Vec<String> {
    let mut res = Vec::new();
    let readings = &draft.readings;
    for (at, reading) in readings.iter().enumerate().filter(|(_, it)| !it.is_empty()) {
        let number = at + 1;
        if let (None, Some(visit)) = (reading.date, draft.visit_date) {
            res.push(format!(
                "reading.{number}.date is not given; the day of the visit, {visit}, is used"
            ));
        }
        if reading.scale.is_some() && reading.kind.is_some_and(|it| it != ReadingKind::Meter) {
            res.push(format!(
                "reading.{number}.scale belongs to meters; it is kept and not used"
            ));
        }
        if let Some(first) = readings[..at].iter().position(|it| it == reading) {
            res.push(format!("reading.{number} repeats reading.{} word for word; delete one if it is one reading", first + 1));
        }
    }
    res
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::{Raw, set_field};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn draft(fields: &[(&str, &str)]) -> Draft {
        let mut res = Draft::default();
        for (path, text) in [
            ("visit_date", "2026-09-08"),
            ("postal", "05401"),
            ("lot.lately", "usual"),
        ] {
            set_field(&mut res, path, &Raw::Text(text.to_string())).unwrap();
        }
        for (path, text) in fields {
            set_field(&mut res, path, &Raw::Text(text.to_string())).unwrap();
        }
        res
    }

    fn told(fields: &[(&str, &str)]) -> Vec<String> {
        problems(&draft(fields))
            .iter()
            .map(|it| it.to_string())
            .collect()
    }

    #[test]
    fn dates_after_the_visit_are_refused() {
        for (path, text, said) in [
            (
                "floor.year_built",
                "2027",
                "floor.year_built 2027 is after the visit on 2026-09-08; accepted: up to 2026; check both dates",
            ),
            (
                "floor.placed_date",
                "2026-09-09",
                "floor.placed_date 2026-09-09 is after the visit on 2026-09-08; accepted: up to 2026-09-08; check both dates",
            ),
            (
                "air.dehumidifier_since",
                "2026-09-09",
                "air.dehumidifier_since 2026-09-09 is after the visit on 2026-09-08; accepted: up to 2026-09-08; check both dates",
            ),
            (
                "lot.drainage_work_date",
                "2026-09-09",
                "lot.drainage_work_date 2026-09-09 is after the visit on 2026-09-08; accepted: up to 2026-09-08; check both dates",
            ),
        ] {
            assert_eq!(told(&[(path, text)]), [said]);
        }
        // The day of the visit itself is no mistake.
        assert!(
            told(&[
                ("floor.placed_date", "2026-09-08"),
                ("air.dehumidifier_since", "2026-09-08")
            ])
            .is_empty()
        );
    }

    #[test]
    fn reading_dates_are_checked_against_slab_and_visit() {
        let reading = |date| {
            [
                ("reading.date", date),
                ("reading.kind", "meter"),
                ("reading.value", "3.9"),
            ]
        };
        let said = told(
            &[
                &reading("2026-06-30")[..],
                &[("floor.placed_date", "2026-07-02")],
            ]
            .concat(),
        );
        assert_eq!(
            said,
            [
                "reading.1.date 2026-06-30 is before the slab was placed on 2026-07-02; accepted: 2026-07-02 and later; check both dates"
            ]
        );
        let said = told(&[&reading("1959-06-30")[..], &[("floor.year_built", "1961")]].concat());
        assert_eq!(
            said,
            [
                "reading.1.date 1959-06-30 is before the slab was placed in 1961; accepted: 1961 and later; check both dates"
            ]
        );
        let said = told(&reading("2026-09-09"));
        assert_eq!(
            said,
            [
                "reading.1.date 2026-09-09 is after the visit on 2026-09-08; accepted: up to 2026-09-08; check both dates"
            ]
        );
        // An old reading is possible; whether it can be used is decided elsewhere.
        assert!(told(&reading("1985-06-30")).is_empty());
    }

    #[test]
    fn reading_values_have_ranges_by_kind() {
        let value = |kind, text| told(&[("reading.kind", kind), ("reading.value", text)]);
        let no: &[&str] = &[];
        for (kind, text) in [
            ("meter", "0"),
            ("meter", "20"),
            ("probe", "100"),
            ("probe", "85%"),
            ("probe", "0"),
            ("calcium_chloride", "50"),
            ("sheet", "damp"),
            ("sheet", "FALSE"),
        ] {
            assert_eq!(value(kind, text), no, "{kind} {text}");
        }
        assert_eq!(
            value("meter", "45"),
            [
                "reading.1.value \"45\" is outside 0 to 20 %; a number above 20 is usually a relative scale: write relative as reading.1.scale"
            ]
        );
        assert_eq!(
            value("meter", "-1"),
            ["reading.1.value \"-1\" is outside 0 to 20 %; check the number"]
        );
        assert_eq!(
            value("probe", "0.85"),
            ["reading.1.value \"0.85\" is outside 0 to 100 % RH; percent RH: write 85, not 0.85"]
        );
        assert_eq!(
            value("probe", "101"),
            ["reading.1.value \"101\" is outside 0 to 100 % RH; check the number"]
        );
        assert_eq!(
            value("calcium_chloride", "51"),
            ["reading.1.value \"51\" is outside 0 to 50 lb per 1000 ft2 in 24 h; check the number"]
        );
        assert_eq!(
            value("sheet", "3"),
            [
                "reading.1.value \"3\" cannot be used; accepted: true (damp) | false (dry) for kind = \"sheet\"; write what the instrument showed"
            ]
        );
        assert_eq!(
            value("probe", "wet"),
            [
                "reading.1.value \"wet\" cannot be used; accepted: percent RH such as 85 for kind = \"probe\"; write what the instrument showed"
            ]
        );
        let relative = |text| {
            told(&[
                ("reading.value", text),
                ("reading.kind", "meter"),
                ("reading.scale", "relative"),
            ])
        };
        assert_eq!(relative("1000"), no);
        assert_eq!(
            relative("1001"),
            ["reading.1.value \"1001\" is outside 0 to 1000 on a relative scale; check the number"]
        );
    }

    #[test]
    fn a_probe_is_kept_as_a_fraction() {
        let res = draft(&[("reading.kind", "probe"), ("reading.value", "85")])
            .finish()
            .unwrap();
        let ReadingValue::Probe(humidity) = res.readings[0].value else {
            panic!("not a probe")
        };
        assert_eq!(humidity.get(), 0.85);
        assert_eq!(res.readings[0].date, day("2026-09-08"));
    }

    #[test]
    fn what_is_missing_is_said() {
        let all: Vec<String> = problems(&Draft::default())
            .iter()
            .map(|it| it.to_string())
            .collect();
        assert_eq!(
            all,
            [
                "visit_date is missing; accepted: a date such as 2026-09-08; write the day of the visit",
                "the place is missing; accepted: postal, or latitude and longitude, or station; write one, such as postal = \"05401\"",
                "any answer or reading is missing; accepted: one field of [floor], [lot], [signs], [air] or one [[reading]]; answer at least one question",
            ]
        );
        assert_eq!(
            told(&[("reading.2.spot", "A1")]),
            [
                "reading.2.kind is missing; accepted: meter | probe | calcium_chloride | sheet; write how the reading was taken",
                "reading.2.value is missing; accepted: a number, or true | false for a sheet; write what the instrument showed, or delete the reading",
            ]
        );
    }

    #[test]
    fn one_place_only() {
        assert_eq!(
            told(&[
                ("station", "USW00014742"),
                ("latitude", "44.5"),
                ("longitude", "-73.2")
            ]),
            [
                "latitude is given as well as postal; accepted: one way to name the place; delete one",
                "station is given as well as postal; accepted: one way to name the place; delete one",
            ]
        );
        assert_eq!(
            told(&[("postal", ""), ("latitude", "44.5")]),
            ["longitude is missing; accepted: degrees such as -73.2; write it beside latitude"]
        );
        assert_eq!(
            told(&[("postal", ""), ("longitude", "-73.2")]),
            ["latitude is missing; accepted: degrees such as 44.5; write it beside longitude"]
        );
        assert_eq!(
            told(&[("elevation", "350ft")]),
            [
                "elevation_m is given beside postal, which has its own height; accepted: a height with latitude and longitude; delete it, or write latitude and longitude instead"
            ]
        );
    }

    #[test]
    fn every_remark_is_made_and_only_where_it_holds() {
        let remarks = |fields: &[(&str, &str)]| notes(&draft(fields));
        assert!(remarks(&[]).is_empty());
        for (fields, start) in [
            (
                &[("floor.setting", "basement"), ("floor.below_grade", "no")][..],
                "floor.below_grade is false",
            ),
            (
                &[("floor.setting", "garage"), ("floor.below_grade", "yes")],
                "floor.below_grade is true",
            ),
            (
                &[("floor.retarder_proof", "hole")],
                "floor.retarder_proof is given without",
            ),
            (
                &[
                    ("floor.surface", "covered"),
                    ("floor.cover_removed_days", "3"),
                ],
                "floor.cover_removed_days",
            ),
            (
                &[
                    ("floor.placed_date", "1960-05-01"),
                    ("floor.year_built", "1961"),
                ],
                "floor.placed_date is before",
            ),
            (
                &[("lot.drainage", "sound"), ("lot.slope", "toward")],
                "lot.drainage is sound",
            ),
            (
                &[
                    ("lot.drainage", "failing"),
                    ("lot.slope", "away"),
                    ("lot.downspouts", "far"),
                ],
                "lot.drainage is failing",
            ),
            (
                &[("signs.darkening_months", "3")],
                "signs describe a darkening",
            ),
            (
                &[
                    ("signs.spring_darkening", "no"),
                    ("signs.springs_watched", "0"),
                ],
                "signs.spring_darkening is false",
            ),
            (
                &[("air.dehumidifier", "none"), ("air.runs_after", "yes")],
                "air tells of a dehumidifier",
            ),
            (
                &[("limit.source", "data sheet")],
                "limit.source is given without",
            ),
            (
                &[("reading.kind", "meter"), ("reading.value", "3")],
                "reading.1.date is not given; the day of the visit, 2026-09-08, is used",
            ),
            (
                &[
                    ("reading.date", "2026-09-08"),
                    ("reading.kind", "probe"),
                    ("reading.value", "80"),
                    ("reading.scale", "percent"),
                ],
                "reading.1.scale belongs to meters",
            ),
        ] {
            let said = remarks(fields);
            assert_eq!(said.len(), 1, "{fields:?}: {said:?}");
            assert!(said[0].starts_with(start), "{said:?}");
        }
        let mut twice = draft(&[
            ("reading.date", "2026-09-08"),
            ("reading.kind", "meter"),
            ("reading.value", "3"),
        ]);
        twice.readings.push(twice.readings[0].clone());
        assert_eq!(
            notes(&twice),
            ["reading.2 repeats reading.1 word for word; delete one if it is one reading"]
        );
    }

    #[test]
    fn the_worse_drainage_holds() {
        let lot = |drainage, downspouts, slope| {
            derived_drainage(&Lot {
                drainage,
                downspouts,
                slope,
                ..Lot::default()
            })
        };
        use Downspouts::*;
        use Drainage::*;
        use GroundSlope::*;
        assert_eq!(lot(None, None, None), None);
        assert_eq!(lot(None, Some(Near), None), Some(Failing));
        assert_eq!(lot(None, Some(NoGutters), Some(Away)), Some(Failing));
        assert_eq!(lot(None, Some(Far), Some(Toward)), Some(Failing));
        assert_eq!(lot(None, Some(Far), Some(Away)), Some(Sound));
        assert_eq!(lot(None, Some(Far), Some(Flat)), None);
        assert_eq!(lot(None, Some(Far), None), None);
        assert_eq!(lot(None, None, Some(Away)), None);
        assert_eq!(lot(Some(Sound), Some(Near), None), Some(Failing));
        assert_eq!(lot(Some(Failing), Some(Far), Some(Away)), Some(Failing));
        assert_eq!(lot(Some(Sound), Some(Far), Some(Flat)), Some(Sound));
    }

    /// Counted on a calendar: 2026 is no leap year, July has 31 days.
    #[test]
    fn age_is_the_youngest_it_can_be() {
        let floor = |placed: Option<&str>, year_built| Floor {
            placed_date: placed.map(day),
            year_built,
            ..Floor::default()
        };
        assert_eq!(
            age_days(&floor(Some("2026-07-02"), Some(1961)), day("2026-08-02")),
            Some(31)
        );
        assert_eq!(
            age_days(&floor(Some("2026-07-02"), None), day("2026-07-01")),
            None
        );
        assert_eq!(
            age_days(&floor(None, Some(2025)), day("2026-01-31")),
            Some(31)
        );
        assert_eq!(
            age_days(&floor(None, Some(2026)), day("2026-01-31")),
            Some(0)
        );
        assert_eq!(age_days(&floor(None, Some(2027)), day("2026-01-31")), None);
        assert_eq!(age_days(&floor(None, None), day("2026-01-31")), None);
        assert_eq!(
            construction_year(&floor(Some("2026-07-02"), Some(1961))),
            Some(2026)
        );
        assert_eq!(construction_year(&floor(None, Some(1961))), Some(1961));
        assert_eq!(construction_year(&floor(None, None)), None);
    }
}
