//! From rows of a table to one visit, with every problem's line, column and value.

use super::columns::{Columns, Holds, takes_day, takes_number};
use super::spreadsheet::{answer_word, is_open, outcome_word};
use crate::survey::interview::word_of;
use crate::survey::{
    DateFault, DateOrder, Draft, FieldError, MeterScale, Parsed, Raw, ReadingDraft, ReadingKind,
    day_from_text, day_of_spreadsheet, field, notes, order_proved_by, range, set_field,
    year_from_text,
};
use crate::words::{say, say_with};
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// One record of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Line of the file on which it begins, from 1.
    pub line: u64,
    /// The fields, or why the record cannot be taken apart.
    pub cells: Result<Vec<Vec<u8>>, String>,
}

/// Rows that belong to one floor, in the order of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rows {
    /// One row a reading; at least one.
    pub rows: Vec<Row>,
    /// Rows of the same visit stand further up, with others between.
    pub is_torn: bool,
}

/// What is wrong with a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Line of the file, from 1.
    pub line: u64,
    /// Heading of the column, where one is to blame.
    pub column: Option<String>,
    /// What was given, what is accepted and what to do.
    pub told: String,
}

impl Problem {
    /// "line 12, column reading.1.value: ..."
    pub fn place(&self) -> String {
        match &self.column {
            Some(column) => format!("line {}, column {column}", self.line),
            None => format!("line {}", self.line),
        }
    }
}

/// How a floor turned out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Coated, and the coating is still down.
    HeldUp,
    /// Coated, and it blistered, peeled or let go.
    Blistered,
    /// Not coated: it tells nothing of a coating.
    NotCoated,
}

impl Outcome {
    /// Every outcome, in the order they are listed.
    pub const ALL: [Outcome; 3] = [Outcome::HeldUp, Outcome::Blistered, Outcome::NotCoated];

    /// The word of the table.
    pub fn word(self) -> &'static str {
        match self {
            Outcome::HeldUp => "held_up",
            Outcome::Blistered => "blistered",
            Outcome::NotCoated => "not_coated",
        }
    }

    /// The outcome with exactly this word of the table.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.word() == word)
    }

    /// From what a person wrote: "Held up", "peeled", "delaminated".
    ///
    /// # Errors
    ///
    /// What is accepted.
    pub fn of_text(text: &str) -> Result<Self, String> {
        let lower = text.trim().to_lowercase();
        let known = Self::from_word(&lower).or_else(|| Self::from_word(outcome_word(text)?));
        known.ok_or_else(|| {
            let words = Self::ALL.map(Self::word).join(" | ");
            let blanks = [("given", &*shortened(text)), ("words", &words)];
            say_with("batch.outcome_word", &blanks)
        })
    }
}

/// A floor of the table as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct FloorRead {
    /// Line of its first row, from 1.
    pub line: u64,
    /// The word that ties its rows together, where one was given.
    pub visit: Option<String>,
    /// How it turned out, where a person has written it.
    pub outcome: Option<Outcome>,
    /// The day that was seen.
    pub outcome_date: Option<NaiveDate>,
    /// Name and cell of each column that is carried along, in their order.
    pub kept: Vec<(String, String)>,
    /// What was assumed of readings, such as "meter,percent"; empty where nothing was.
    pub assumed: String,
    /// The visit, or everything that is wrong with its rows.
    pub parsed: Result<Parsed, Vec<Problem>>,
}

/// The visit that a row belongs to; none where the column is not there or empty.
pub fn visit_of(columns: &Columns, row: &Row) -> Option<String> {
    let at = columns.position_of(&Holds::Visit)?;
    let cells = row.cells.as_ref().ok()?;
    let text = std::str::from_utf8(cells.get(at)?).ok()?.trim();
    (!text.is_empty()).then(|| text.to_string())
}

/// The first cell of some rows with a day that could be two, where nothing settles the order.
pub fn unclear_day(columns: &Columns, rows: &Rows) -> Option<String> {
    let is_day = |at: usize| match columns.columns.get(at).map(|it| &it.holds) {
        Some(Holds::OutcomeDate) => true,
        Some(Holds::Field(path)) => takes_day(path),
        Some(Holds::Reading(_, leaf)) => takes_day(&format!("reading.{leaf}")),
        Some(Holds::Visit | Holds::Outcome | Holds::Kept(_) | Holds::Nothing) | None => false,
    };
    let cells = rows.rows.iter().filter_map(|it| it.cells.as_ref().ok());
    cells
        .flat_map(|it| it.iter().enumerate())
        .filter(|(at, _)| is_day(*at))
        .filter_map(|(_, cell)| std::str::from_utf8(cell).ok())
        .find(|cell| {
            let read = day_from_text(cell, None, columns.habits.dates);
            matches!(read, Err(DateFault::TwoDays { .. }))
        })
        .map(|cell| cell.trim().to_string())
}

/// More problems of one floor than anybody reads.
const MOST_PROBLEMS: usize = 20;

struct Reading<'a> {
    columns: &'a Columns,
    draft: Draft,
    /// Line and column of each path that was given, and the text there.
    given: BTreeMap<String, (u64, usize, String)>,
    outcome: Option<Outcome>,
    outcome_date: Option<NaiveDate>,
    /// By the place of its column: the first text that was given.
    kept: BTreeMap<usize, String>,
    /// Readings whose value was crossed out, by their place.
    not_read: Vec<usize>,
    /// The year that a text such as "1990s" was taken for.
    year_meant: Option<String>,
    wrong: Vec<Problem>,
}

/// Reads the rows of one floor.
pub fn read_floor(columns: &Columns, rows: &Rows) -> FloorRead {
    let first = &rows.rows[0];
    let visit = visit_of(columns, first);
    let mut reading = Reading {
        columns,
        draft: Draft::default(),
        given: BTreeMap::new(),
        outcome: None,
        outcome_date: None,
        kept: BTreeMap::new(),
        not_read: Vec::new(),
        year_meant: None,
        wrong: Vec::new(),
    };
    if rows.is_torn {
        let name = visit.clone().unwrap_or_default();
        reading.wrong.push(Problem {
            line: first.line,
            column: Some("visit".to_string()),
            told: say_with("batch.visit_torn", &[("visit", &shortened(&name))]),
        });
    } else {
        for row in &rows.rows {
            reading.row(row);
        }
    }
    let assumed = reading.assume();
    let Reading {
        mut draft,
        given,
        outcome,
        outcome_date,
        kept,
        not_read,
        mut wrong,
        ..
    } = reading;
    // A reading whose value is crossed out is none, whatever else its row says of it.
    for at in not_read {
        if draft.readings.get(at).is_some_and(|it| it.value.is_none()) {
            draft.readings[at] = ReadingDraft::default();
        }
    }
    let kept = columns
        .columns
        .iter()
        .enumerate()
        .filter_map(|(at, it)| match &it.holds {
            Holds::Kept(name) => Some((name.clone(), kept.get(&at).cloned().unwrap_or_default())),
            _ => None,
        })
        .collect();
    let parsed = if wrong.is_empty() {
        let notes = notes(&draft);
        draft
            .finish()
            .map(|visit| Parsed { visit, notes })
            .map_err(|found| {
                found
                    .iter()
                    .map(|it| placed(columns, &given, first.line, it))
                    .collect()
            })
    } else {
        wrong.truncate(MOST_PROBLEMS);
        Err(wrong)
    };
    let parsed = parsed.and_then(|it| match outcome_date {
        Some(day) if day < it.visit.visit_date => Err(vec![Problem {
            line: first.line,
            column: Some("outcome_date".to_string()),
            told: say_with(
                "batch.outcome_before",
                &[
                    ("given", &day.to_string()),
                    ("visit", &it.visit.visit_date.to_string()),
                ],
            ),
        }]),
        _ => Ok(it),
    });
    FloorRead {
        line: first.line,
        visit: visit.map(|it| shortened(&it)),
        outcome,
        outcome_date,
        kept,
        assumed,
        parsed,
    }
}

/// The line and column of a problem across fields.
fn placed(
    columns: &Columns,
    given: &BTreeMap<String, (u64, usize, String)>,
    line: u64,
    error: &FieldError,
) -> Problem {
    let near = match error {
        FieldError::Needed {
            near: Some(near), ..
        } => given
            .iter()
            .find(|(path, _)| path.starts_with(&format!("{near}."))),
        _ => None,
    };
    let exact = given.get_key_value(error.path());
    let line = exact.or(near).map_or(line, |(_, at)| at.0);
    let column = exact.map(|(_, at)| columns.name(at.1).to_string());
    Problem {
        line,
        column,
        told: error.to_string(),
    }
}

/// At most 200 characters on one line; longer labels are no names.
fn shortened(text: &str) -> String {
    let most = range("text.characters").high as usize;
    text.chars()
        .map(|it| if it.is_control() { ' ' } else { it })
        .take(most)
        .collect()
}

impl Reading<'_> {
    fn row(&mut self, row: &Row) {
        let cells = match &row.cells {
            Ok(cells) => cells,
            Err(told) => return self.fail(row.line, None, told.clone()),
        };
        let columns = self.columns;
        let count = columns.columns.len();
        let rest_is_empty = |from: usize| cells[from..].iter().all(|it| it.is_empty());
        if cells.len() > count && !rest_is_empty(count) || cells.len() < count {
            let blanks = [
                ("given", &*cells.len().to_string()),
                ("wanted", &count.to_string()),
            ];
            return self.fail(row.line, None, say_with("batch.row_length", &blanks));
        }
        // Readings of a further row stand behind those of the rows before.
        let base = self.draft.readings.len();
        for (at, cell) in cells.iter().take(count).enumerate() {
            let Ok(text) = std::str::from_utf8(cell) else {
                self.fail(row.line, Some(at), say("batch.cell_bytes").to_string());
                continue;
            };
            let text = text.trim();
            if !text.is_empty() && self.wrong.len() < MOST_PROBLEMS {
                self.cell(row.line, at, text, base);
            }
        }
    }

    fn cell(&mut self, line: u64, at: usize, text: &str, base: usize) {
        let columns = self.columns;
        match &columns.columns[at].holds {
            Holds::Visit => {}
            Holds::Kept(_) => {
                self.kept.entry(at).or_insert_with(|| shortened(text));
            }
            Holds::Nothing => {
                let told = say_with("batch.no_heading", &[("given", &shortened(text))]);
                self.fail(line, Some(at), told);
            }
            Holds::Outcome | Holds::OutcomeDate if is_open(text) => {}
            Holds::Outcome => match Outcome::of_text(text) {
                Ok(outcome) if self.outcome.is_none_or(|it| it == outcome) => {
                    self.outcome = Some(outcome);
                }
                Ok(_) => self.fail(line, Some(at), say("batch.outcome_twice").to_string()),
                Err(told) => self.fail(line, Some(at), told),
            },
            Holds::OutcomeDate => match self.day(text) {
                Ok(date) if proves_other_order(text, columns.habits) => {
                    let told = other_order(text, date);
                    self.fail(line, Some(at), told);
                }
                Ok(date) => self.outcome_date = Some(date),
                Err(DateFault::TwoDays { .. }) => {
                    self.fail(line, Some(at), two_days(text));
                }
                Err(DateFault::NotADay) => {
                    let told = say_with("batch.outcome_date", &[("given", &shortened(text))]);
                    self.fail(line, Some(at), told);
                }
            },
            Holds::Field(path) => self.field(line, at, path.clone(), text),
            Holds::Reading(number, leaf) => {
                let place = base + number;
                if place as f64 >= range("file.readings").high {
                    let most = range("file.readings").accepted();
                    let told = say_with("batch.readings", &[("most", &most)]);
                    return self.fail(line, Some(at), told);
                }
                self.field(line, at, format!("reading.{}.{leaf}", place + 1), text);
            }
        }
    }

    fn field(&mut self, line: u64, at: usize, path: String, text: &str) {
        if is_open(text) {
            if let Some(number) = value_of_reading(&path) {
                self.not_read.push(number);
            }
            return;
        }
        if let Some((first, _, before)) = self.given.get(&path) {
            // A further row of a visit may say again what its first row said.
            if before != text {
                let blanks = [
                    ("given", &*shortened(text)),
                    ("before", &shortened(before)),
                    ("line", &first.to_string()),
                ];
                self.fail(line, Some(at), say_with("batch.visit_differs", &blanks));
            }
            return;
        }
        let has_comma = takes_number(&path) && has_decimal_comma(text);
        let pointed = (has_comma && self.columns.has_decimal_commas)
            .then(|| with_point(text))
            .flatten();
        let text = pointed.as_deref().unwrap_or(text);
        // Nobody built a house in the year 1.972.
        if has_comma && pointed.is_none() && path == "floor.year_built" {
            let blanks = [
                ("given", &*shortened(text)),
                ("year", &shortened(&text.replace(',', ""))),
            ];
            return self.fail(line, Some(at), say_with("batch.year_comma", &blanks));
        }
        if has_comma && pointed.is_none() {
            let blanks = [
                ("given", &*shortened(text)),
                ("point", &shortened(&text.replacen(',', ".", 1))),
                (
                    "accepted",
                    &field(&path).map(|it| it.accepted()).unwrap_or_default(),
                ),
            ];
            return self.fail(line, Some(at), say_with("batch.decimal_comma", &blanks));
        }
        let meant = if takes_day(&path) {
            match self.day(text) {
                Ok(day) if proves_other_order(text, self.columns.habits) => {
                    return self.fail(line, Some(at), other_order(text, day));
                }
                Ok(day) => day.to_string(),
                Err(DateFault::TwoDays { .. }) => {
                    return self.fail(line, Some(at), two_days(text));
                }
                // The field says what it takes.
                Err(DateFault::NotADay) => text.to_string(),
            }
        } else if path == "floor.year_built"
            && text.parse::<i32>().is_err()
            && let Some(year) = year_from_text(text)
        {
            self.year_meant = Some(format!("{}: {year}", shortened(text)));
            year.to_string()
        } else {
            text.to_string()
        };
        let mut set = set_field(&mut self.draft, &path, &Raw::Text(meant));
        if let Err(FieldError::NotRead { .. }) = &set
            && let Some(own) = field(&path)
            && let Some(word) = answer_word(own.path, text)
                .map(str::to_string)
                .or_else(|| word_of(own.path, text))
        {
            set = set_field(&mut self.draft, &path, &Raw::Text(word));
        }
        match set {
            Ok(()) => {
                self.given.insert(path, (line, at, text.to_string()));
            }
            Err(error) => self.fail(line, Some(at), error.to_string()),
        }
    }

    /// A day as people write it, or as a spreadsheet counts it.
    fn day(&self, text: &str) -> Result<NaiveDate, DateFault> {
        match day_of_spreadsheet(text) {
            Some(day) => Ok(day),
            None => day_from_text(text, None, self.columns.habits.dates),
        }
    }

    /// Fills in what the table does not say of its readings, and tells what that was.
    fn assume(&mut self) -> String {
        let assumed = self.columns.habits.assumed;
        let mut words: Vec<&str> = Vec::new();
        for it in self
            .draft
            .readings
            .iter_mut()
            .filter(|it| it.value.is_some())
        {
            if let (None, Some(kind)) = (it.kind, assumed.kind) {
                it.kind = Some(kind);
                words.push(kind.word());
            }
            if let (None, Some(ReadingKind::Meter), Some(scale)) =
                (it.scale, it.kind, assumed.scale)
            {
                it.scale = Some(scale);
                words.push(MeterScale::word(scale));
            }
        }
        words.extend(self.year_meant.as_deref());
        let mut told: Vec<&str> = Vec::new();
        for word in words {
            if !told.contains(&word) {
                told.push(word);
            }
        }
        told.join(",")
    }

    fn fail(&mut self, line: u64, at: Option<usize>, told: String) {
        self.wrong.push(Problem {
            line,
            column: at.map(|it| self.columns.name(it).to_string()),
            told,
        });
    }
}

/// The place of the reading whose value a path is.
fn value_of_reading(path: &str) -> Option<usize> {
    let number = path.strip_prefix("reading.")?.strip_suffix(".value")?;
    number.parse::<usize>().ok()?.checked_sub(1)
}

fn two_days(text: &str) -> String {
    let order =
        |order| day_from_text(text, None, Some(order)).map_or(String::new(), |it| it.to_string());
    say_with(
        "batch.two_days",
        &[
            ("given", &shortened(text)),
            ("mdy", &order(DateOrder::MonthFirst)),
            ("dmy", &order(DateOrder::DayFirst)),
        ],
    )
}

/// Whether a day can only be of the order that the table is said not to have.
fn proves_other_order(text: &str, habits: super::columns::Habits) -> bool {
    let proved = order_proved_by(text);
    proved.is_some() && habits.dates.is_some() && proved != habits.dates
}

fn other_order(text: &str, day: NaiveDate) -> String {
    let blanks = [("given", shortened(text)), ("day", day.to_string())];
    let blanks = blanks.each_ref().map(|it| (it.0, it.1.as_str()));
    say_with("batch.other_order", &blanks)
}

/// `3,4` as 3.4; not a number such as `1,250`, which may be a thousand.
fn with_point(text: &str) -> Option<String> {
    let (whole, rest) = text.split_once(',')?;
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    let is_one = !rest.contains(',') && matches!(digits, 1 | 2);
    is_one.then(|| format!("{whole}.{rest}"))
}

/// Whether a comma stands between digits, as in `3,6`.
fn has_decimal_comma(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes
        .windows(3)
        .any(|it| it[0].is_ascii_digit() && it[1] == b',' && it[2].is_ascii_digit())
}

#[cfg(test)]
mod tests {
    use super::super::columns::{Assumed, Habits};
    use super::super::spreadsheet::template;
    use super::*;
    use crate::survey::{DateOrder, ReadingValue, Retarder, Setting, Visit};

    const METERS: Habits = Habits {
        keep_columns: true,
        dates: None,
        assumed: Assumed {
            kind: Some(ReadingKind::Meter),
            scale: Some(MeterScale::Percent),
        },
    };

    fn cells(line: &str) -> Vec<Vec<u8>> {
        line.split(',').map(|it| it.as_bytes().to_vec()).collect()
    }

    fn floor(heading: &str, line: &str, habits: Habits) -> FloorRead {
        let columns = Columns::of(&cells(heading), habits).unwrap();
        let row = Row {
            line: 2,
            cells: Ok(cells(line)),
        };
        let rows = Rows {
            rows: vec![row],
            is_torn: false,
        };
        read_floor(&columns, &rows)
    }

    fn visit(heading: &str, line: &str) -> Visit {
        floor(heading, line, METERS).parsed.unwrap().visit
    }

    #[test]
    fn a_table_is_read_as_an_office_keeps_it() {
        let visit = visit(
            "Visit Date,ZIP,Year Built,Vapor Barrier,Lot Position,Reading 1,Spot 1,Reading 2,Limit,Dark in Spring",
            "10/14/2026,05401,1961,N/A,low,3.9%,middle,-,5 %,no",
        );
        assert_eq!(visit.visit_date.to_string(), "2026-10-14");
        assert_eq!(visit.floor.year_built, Some(1961));
        assert_eq!(visit.floor.retarder, None, "N/A is not sure, and no no");
        assert_eq!(visit.limit.meter_percent, Some(5.0));
        assert_eq!(visit.signs.spring_darkening, Some(false));
        let readings: Vec<ReadingValue> = visit.readings.iter().map(|it| it.value).collect();
        assert_eq!(readings, [ReadingValue::Meter(3.9)]);
    }

    #[test]
    fn cells_left_open_are_not_sure() {
        for open in [
            "", "-", "--", "?", "N/A", "n.a.", "not sure", "Unknown", "TBD",
        ] {
            let line = format!("2026-09-08,05401,basement,{open}");
            let visit = visit("visit_date,postal,setting,retarder", &line);
            assert_eq!(visit.floor.retarder, None, "{open}");
            assert_eq!(visit.floor.setting, Some(Setting::Basement));
        }
        let visit = visit("visit_date,postal,retarder", "2026-09-08,05401,Seen");
        assert_eq!(visit.floor.retarder, Some(Retarder::Seen));
    }

    #[test]
    fn answers_in_the_words_of_a_question_are_read() {
        let visit = visit(
            "date,zip,vapor barrier,surface,lot.sump,lot.sub_drain",
            "2026-09-08,05401,no,Bare concrete,no,No",
        );
        assert_eq!(visit.floor.retarder, Some(Retarder::Absent));
        assert!(visit.floor.surface.is_some() && visit.lot.sump.is_some());
        // The number of a choice means nothing where no list is shown.
        let read = floor("date,zip,floor type", "2026-09-08,05401,1", METERS);
        assert!(read.parsed.is_err());
    }

    #[test]
    fn a_day_that_could_be_two_wants_its_order() {
        let read = |dates| {
            let habits = Habits { dates, ..METERS };
            floor("date,zip,lot", "9/8/2026,05401,low", habits)
        };
        let told = read(None).parsed.unwrap_err();
        assert!(told[0].told.contains("--dates mdy"), "{told:?}");
        assert_eq!(told[0].column.as_deref(), Some("date"));
        for (order, day) in [
            (DateOrder::MonthFirst, "2026-09-08"),
            (DateOrder::DayFirst, "2026-08-09"),
        ] {
            let visit = read(Some(order)).parsed.unwrap().visit;
            assert_eq!(visit.visit_date.to_string(), day);
        }
    }

    #[test]
    fn what_was_assumed_of_readings_is_told() {
        let (heading, line) = ("date,zip,reading 1,reading 2", "2026-09-08,05401,3.9,4.1");
        assert_eq!(floor(heading, line, METERS).assumed, "meter,percent");
        // Without it the row is refused, and nothing is guessed.
        let bare = floor(heading, line, Habits::default());
        assert!(bare.parsed.is_err() && bare.assumed.is_empty());
        let told = floor(
            "date,zip,reading 1,kind 1,scale 1",
            "2026-09-08,05401,3.9,meter,relative",
            METERS,
        );
        assert_eq!(told.assumed, "");
        assert_eq!(
            told.parsed.unwrap().visit.readings[0].scale,
            Some(MeterScale::Relative)
        );
    }

    #[test]
    fn columns_of_the_office_are_carried_along() {
        let heading = "date,zip,lot,Job,Phone,note.Crew";
        let columns = Columns::of(&cells(heading), METERS).unwrap();
        assert_eq!(columns.kept().collect::<Vec<_>>(), ["Job", "Phone", "Crew"]);
        let read = floor(heading, "2026-09-08,05401,low,1042,000-0100,", METERS);
        let carried: Vec<&str> = read.kept.iter().map(|it| it.1.as_str()).collect();
        assert_eq!(carried, ["1042", "000-0100", ""]);
        // Without being asked to, only what says that it is a note.
        let plain = Columns::of(&cells("date,zip,lot,note.Crew"), Habits::default());
        assert!(plain.is_ok());
        let wrong = Columns::of(&cells(heading), Habits::default()).unwrap_err();
        assert_eq!(wrong.len(), 2, "{wrong:?}");
        // A slip for a field stops the run, carried along or not.
        let slip = Columns::of(&cells("date,zip,Lot Postion"), METERS).unwrap_err();
        assert!(slip[0].contains("position"), "{slip:?}");
    }

    #[test]
    fn outcomes_are_read_as_people_write_them() {
        for (text, outcome) in [
            ("Held up", Outcome::HeldUp),
            ("held_up", Outcome::HeldUp),
            ("peeled", Outcome::Blistered),
            ("Delaminated", Outcome::Blistered),
            ("BLISTERED", Outcome::Blistered),
            ("Not coated", Outcome::NotCoated),
        ] {
            let line = format!("2026-09-08,05401,low,{text}");
            let read = floor("date,zip,lot,Outcome", &line, METERS);
            assert_eq!(read.outcome, Some(outcome), "{text}");
        }
    }

    #[test]
    fn the_template_is_read_whole() {
        let (empty, filled) = template();
        let mut lines = filled.lines();
        let heading = lines.next().unwrap();
        assert_eq!(empty, format!("{heading}\n"));
        for line in lines {
            let read = floor(heading, line, METERS);
            let visit = read.parsed.unwrap_or_else(|it| panic!("{it:?}")).visit;
            assert_eq!(visit.readings.len(), 3);
            assert!(read.kept.iter().all(|it| !it.1.is_empty()));
        }
    }
}
