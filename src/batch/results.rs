//! What is told of each floor: one struct, a row of a table or an object of JSON.

use super::columns::{Columns, Habits};
use super::rows::{FloorRead, Problem, Rows};
use crate::climate::{ClimateError, Place};
use crate::odds::first_round::FirstRound;
use crate::odds::posterior::FULL;
use crate::report::{self, Asked, Report};
use crate::rules;
use crate::survey::{MonthHad, Parsed, Visit, digest};
use crate::units::tables_digest;
use crate::verdict::finish::DataSheet;
use crate::verdict::next::telling_questions;
use crate::verdict::ways::Way;
use crate::verdict::{Detail, Grade, Request, answer};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// What is worked out of every floor beside grade, chance and months.
#[derive(Debug, Clone)]
pub struct Options {
    /// What is worked out; more of it takes longer.
    pub detail: Detail,
    /// The way that is quoted.
    pub quoted: Way,
    /// Data sheet of the system that is quoted.
    pub sheet: Option<DataSheet>,
    /// The sheet as it was given, so that another one is another run.
    pub sheet_text: String,
    /// The weather before the visits, where it is known.
    pub months_had: Vec<MonthHad>,
    /// What the table leaves unsaid: other habits are another run.
    pub habits: Habits,
}

impl Options {
    /// Whether floors that share place and answers can share a round of draws.
    pub fn can_share(&self) -> bool {
        matches!(self.detail, Detail::Chances | Detail::Headline)
    }

    /// Names the model, its tables and these options: results of equal names can stand in one
    /// file.
    pub fn model(&self) -> String {
        let text = format!(
            "{} {:?} {:?} {}{}",
            tables_digest(),
            self.detail,
            self.quoted,
            self.sheet_text,
            if self.months_had.is_empty() {
                String::new()
            } else {
                format!("{:?}", self.months_had)
            }
        );
        let habits = if self.habits == Habits::default() {
            String::new()
        } else {
            format!(" {:?}", self.habits)
        };
        let digest = Sha256::digest(format!("{text}{habits}").as_bytes());
        let short: String = digest
            .iter()
            .take(4)
            .map(|it| format!("{it:02x}"))
            .collect();
        format!("{}-{short}", env!("CARGO_PKG_VERSION"))
    }
}

/// What a column holds, as `serde` reads and writes it.
macro_rules! kind {
    (Text) => { Option<String> };
    (Whole) => { Option<u64> };
    (Number) => { Option<f64> };
    (Flag) => { Option<bool> };
}

/// A column's text, where it holds one.
macro_rules! text_of {
    ($cell:expr, Text) => {
        Some(&mut $cell)
    };
    ($cell:expr, $other:ident) => {
        None
    };
}

/// Puts a number into a column that holds one.
macro_rules! put_number {
    ($cell:expr, $value:expr, Number) => {
        $cell = Some($value)
    };
    ($cell:expr, $value:expr, $other:ident) => {
        unreachable!("this column holds no number")
    };
}

macro_rules! floor_result {
    ($($(#[doc = $about:literal])+ $name:ident: $kind:ident,)+) => {
        /// What is told of one floor: a row of the table, or an object of JSON lines.
        ///
        /// Written and read by `serde`; an empty cell is `None`.
        #[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
        #[serde(default)]
        pub struct FloorResult {
            $($(#[doc = $about])+ pub $name: kind!($kind),)+
            /// Name and cell of each column of the office's own that is carried along; the
            /// results have them behind all others, as `note.NAME`.
            #[serde(skip)]
            pub kept: Vec<(String, String)>,
        }

        impl FloorResult {
            /// Names of the columns, in their order.
            pub const NAMES: &[&str] = &[$(stringify!($name)),+];

            /// Every cell of text.
            fn texts(&mut self) -> impl Iterator<Item = &mut Option<String>> {
                let texts: [Option<&mut Option<String>>; Self::NAMES.len()] =
                    [$(text_of!(self.$name, $kind)),+];
                texts.into_iter().flatten()
            }

            /// Puts a number into the column of this name.
            fn put(&mut self, name: &str, value: f64) {
                match name {
                    $(stringify!($name) => put_number!(self.$name, value, $kind),)+
                    other => unreachable!("there is no column {other}"),
                }
            }
        }
    };
}

// Columns are only added, never renamed.
floor_result! {
    /// Line of the floor's first row in its table, from 1.
    line: Whole,
    /// The word that ties the floor's rows together.
    visit: Text,
    /// Job number or the like, as in the visit.
    label: Text,
    /// Day of the visit, as 2026-09-08.
    visit_date: Text,
    /// `graded`, `held`, `refused` or `error`.
    status: Text,
    /// `low`, `moderate`, `high` or `very_high`; none unless graded.
    grade: Text,
    /// What raised the grade above that of the chance, divided by semicolons.
    grade_raised_by: Text,
    /// Chance (0 to 1) that the next year's wettest reading is over the limit; none unless graded.
    exceedance_probability: Number,
    /// `answers` or `reading`.
    basis: Text,
    /// The grade is low, and something is left open.
    low_so_far: Flag,
    /// What is left open, divided by semicolons.
    open_points: Text,
    /// A reading of the newest date is over its limit.
    over_now: Flag,
    /// Names of the gates or of the refusal, divided by semicolons.
    held_by: Text,
    /// First day on which a new reading makes sense, where waiting helps.
    retest_after: Text,
    /// The chance by the answers alone, 0 to 1.
    before_probability: Number,
    /// Grade of that chance.
    before_grade: Text,
    /// Calendar month to watch, 1 to 12.
    wettest_month: Whole,
    /// Calendar months (1 to 12) of the season that threatens, divided by semicolons.
    wet_season: Text,
    /// First day of the window in which to come back.
    wet_from: Text,
    /// Last day of that window.
    wet_to: Text,
    /// Chance (0 to 1) that the wettest month comes from below rather than from the air.
    from_below_probability: Number,
    /// No data sheet gave the limit: that of common practice stands in.
    provisional: Flag,
    /// Open questions and the chance (0 to 1) that each changes the grade, as `id 0.123`,
    /// divided by semicolons.
    open_questions: Text,
    /// Equally weighted draws that the weights are worth.
    effective_draws: Number,
    /// Shape of the tail of the weights; above 0.7 they are not to be trusted.
    k_hat: Number,
    /// Two-sided chance (0 to 1) of so odd a reading; none without one.
    reading_p_value: Number,
    /// Id of the station that counts most.
    station_id: Text,
    /// The place as it was found.
    place: Text,
    /// One floor in ten reads under this in January, percent by mass.
    month_1_reading_p10: Number,
    /// Middle reading of January, percent by mass.
    month_1_reading_p50: Number,
    /// One floor in ten reads over this in January, percent by mass.
    month_1_reading_p90: Number,
    /// One floor in ten reads under this in February, percent by mass.
    month_2_reading_p10: Number,
    /// Middle reading of February, percent by mass.
    month_2_reading_p50: Number,
    /// One floor in ten reads over this in February, percent by mass.
    month_2_reading_p90: Number,
    /// One floor in ten reads under this in March, percent by mass.
    month_3_reading_p10: Number,
    /// Middle reading of March, percent by mass.
    month_3_reading_p50: Number,
    /// One floor in ten reads over this in March, percent by mass.
    month_3_reading_p90: Number,
    /// One floor in ten reads under this in April, percent by mass.
    month_4_reading_p10: Number,
    /// Middle reading of April, percent by mass.
    month_4_reading_p50: Number,
    /// One floor in ten reads over this in April, percent by mass.
    month_4_reading_p90: Number,
    /// One floor in ten reads under this in May, percent by mass.
    month_5_reading_p10: Number,
    /// Middle reading of May, percent by mass.
    month_5_reading_p50: Number,
    /// One floor in ten reads over this in May, percent by mass.
    month_5_reading_p90: Number,
    /// One floor in ten reads under this in June, percent by mass.
    month_6_reading_p10: Number,
    /// Middle reading of June, percent by mass.
    month_6_reading_p50: Number,
    /// One floor in ten reads over this in June, percent by mass.
    month_6_reading_p90: Number,
    /// One floor in ten reads under this in July, percent by mass.
    month_7_reading_p10: Number,
    /// Middle reading of July, percent by mass.
    month_7_reading_p50: Number,
    /// One floor in ten reads over this in July, percent by mass.
    month_7_reading_p90: Number,
    /// One floor in ten reads under this in August, percent by mass.
    month_8_reading_p10: Number,
    /// Middle reading of August, percent by mass.
    month_8_reading_p50: Number,
    /// One floor in ten reads over this in August, percent by mass.
    month_8_reading_p90: Number,
    /// One floor in ten reads under this in September, percent by mass.
    month_9_reading_p10: Number,
    /// Middle reading of September, percent by mass.
    month_9_reading_p50: Number,
    /// One floor in ten reads over this in September, percent by mass.
    month_9_reading_p90: Number,
    /// One floor in ten reads under this in October, percent by mass.
    month_10_reading_p10: Number,
    /// Middle reading of October, percent by mass.
    month_10_reading_p50: Number,
    /// One floor in ten reads over this in October, percent by mass.
    month_10_reading_p90: Number,
    /// One floor in ten reads under this in November, percent by mass.
    month_11_reading_p10: Number,
    /// Middle reading of November, percent by mass.
    month_11_reading_p50: Number,
    /// One floor in ten reads over this in November, percent by mass.
    month_11_reading_p90: Number,
    /// One floor in ten reads under this in December, percent by mass.
    month_12_reading_p10: Number,
    /// Middle reading of December, percent by mass.
    month_12_reading_p50: Number,
    /// One floor in ten reads over this in December, percent by mass.
    month_12_reading_p90: Number,
    /// Chance (0 to 1) of going over in any of five years; only where ways are worked out.
    exceedance_5y: Number,
    /// The way that is preferred; only where ways are worked out.
    preferred_way: Text,
    /// Chance (0 to 1) of a problem within five years of a film now.
    film_now_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of a film after a test in the wettest month.
    film_after_test_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of a film after drying.
    film_after_drying_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of a moisture-tolerant primer.
    primer_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of a mitigation membrane.
    membrane_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of a breathable finish.
    breathable_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of leaving it bare.
    leave_bare_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of gutters and grading first.
    fix_outside_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of a drain first.
    fix_drain_chance_5y: Number,
    /// Chance (0 to 1) of a problem within five years of declining.
    decline_chance_5y: Number,
    /// How the floor turned out: `held_up`, `blistered` or `not_coated`.
    outcome: Text,
    /// The day that was seen.
    outcome_date: Text,
    /// Version of the program, with a digest of its tables and of these options.
    model: Text,
    /// Digest of the visit.
    input_digest: Text,
    /// Headings of the columns that are to blame, divided by blanks.
    problem_column: Text,
    /// Everything that is wrong with the rows, divided by ` | `.
    problem: Text,
    /// Digest of the rows, by which a run that goes on knows them again.
    row_digest: Text,
    /// What was assumed of readings, such as "meter,percent".
    assumed: Text,
    /// Grade of the headline, the worse of the bare floor and the system that is quoted: `low`,
    /// `moderate`, `high` or `very_high`; none unless graded.
    headline_grade: Text,
    /// Chance (0 to 1) of the headline: of a reading over the limit in the next year for the bare
    /// floor, of a problem within five years for the system; none unless graded.
    headline_probability: Number,
    /// What the headline is of: `bare_floor` or `quoted_system`.
    headline_of: Text,
    /// The option that was quoted.
    quoted_way: Text,
    /// What is odd about the rows though they could be read, divided by ` | `.
    input_notes: Text,
    /// What the result leads with: `graded`, `over_today` (a reading over the limit that day, which
    /// leads before any grade), or `no_grade`.
    headline_state: Text,
}

/// A text's cell; an empty one is no text.
fn text(value: impl Into<String>) -> Option<String> {
    Some(value.into()).filter(|it| !it.is_empty())
}

/// Names the rows of a floor: cells and the columns that they stand in. A run that goes on
/// knows by it that nothing in them was changed.
fn digest_of_rows(columns: &Columns, rows: &Rows) -> String {
    let mut hash = Sha256::new();
    let mut part = |bytes: &[u8]| {
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    for row in &rows.rows {
        part(b"row");
        match &row.cells {
            Ok(cells) => {
                for (at, cell) in cells.iter().enumerate() {
                    let name = columns.columns.get(at).map_or("", |it| &it.name);
                    part(name.as_bytes());
                    part(cell);
                }
            }
            Err(told) => part(told.as_bytes()),
        }
    }
    short_digest(hash)
}

/// Sixteen hexadecimal digits.
fn short_digest(hash: Sha256) -> String {
    hash.finalize()
        .iter()
        .take(8)
        .map(|it| format!("{it:02x}"))
        .collect()
}

impl FloorResult {
    /// What is known of a floor before it is screened.
    fn of(floor: &FloorRead, options: &Options, status: &str) -> Self {
        Self {
            line: Some(floor.line),
            visit: floor.visit.clone().and_then(text),
            status: text(status),
            outcome: floor.outcome.and_then(|it| text(it.word())),
            outcome_date: floor.outcome_date.map(|it| it.to_string()),
            model: text(options.model()),
            assumed: text(floor.assumed.clone()),
            kept: floor.kept.clone(),
            ..Self::default()
        }
    }

    fn tell_visit(&mut self, visit: &Visit) {
        self.label = visit.label.clone().and_then(text);
        self.visit_date = text(visit.visit_date.to_string());
        self.input_digest = text(digest(visit));
    }

    /// Marks the rows that it was made of.
    pub fn of_rows(self, columns: &Columns, rows: &Rows) -> Self {
        Self {
            row_digest: text(digest_of_rows(columns, rows)),
            ..self
        }
    }

    /// Whether it was made of these rows by this model with these options.
    pub fn is_of(&self, columns: &Columns, rows: &Rows) -> bool {
        self.line == Some(rows.rows[0].line)
            && self.row_digest == Some(digest_of_rows(columns, rows))
    }

    /// Names of all columns of results whose table carries these columns along.
    pub fn names(columns: &Columns) -> Vec<String> {
        let own = Self::NAMES.iter().map(|it| (*it).to_string());
        own.chain(columns.kept().map(note_name)).collect()
    }

    /// The heading of a table of results, with its line end.
    pub fn csv_heading(columns: &Columns) -> String {
        let names: Vec<String> = Self::names(columns).iter().map(|it| quoted(it)).collect();
        format!("{}\n", names.join(","))
    }

    /// A row of the table, with its line end.
    pub fn to_csv(&self) -> String {
        let mut row = self.clone();
        row.texts()
            .flatten()
            .for_each(|it| *it = quoted(&without_formula(it)));
        with_kept_cells(csv_line(&row), &self.kept)
    }

    /// Reads a row back.
    ///
    /// # Errors
    ///
    /// A cell that does not fit its column.
    pub fn from_csv(
        names: &csv::StringRecord,
        row: &csv::StringRecord,
    ) -> Result<Self, csv::Error> {
        let mut result: Self = row.deserialize(Some(names))?;
        result
            .texts()
            .flatten()
            .for_each(|it| *it = with_formula(it));
        result.kept = names
            .iter()
            .zip(row)
            .filter_map(|(name, cell)| {
                Some((name.strip_prefix(NOTE)?.to_string(), with_formula(cell)))
            })
            .collect();
        Ok(result)
    }

    /// One JSON object on one line, with its line end; empty cells are null.
    pub fn to_json(&self) -> String {
        let mut line = serde_json::to_string(self).expect("names and plain values are JSON");
        line.pop();
        for (name, cell) in &self.kept {
            let texts = [note_name(name), cell.clone()].map(serde_json::Value::String);
            line.push_str(&format!(",{}:{}", texts[0], texts[1]));
        }
        line.push_str("}\n");
        line
    }

    /// Reads a line of JSON back.
    ///
    /// # Errors
    ///
    /// A value that does not fit.
    pub fn from_json(line: &[u8]) -> Result<Self, serde_json::Error> {
        let mut result: Self = serde_json::from_slice(line)?;
        let all: serde_json::Map<String, serde_json::Value> = serde_json::from_slice(line)?;
        result.kept = all
            .iter()
            .filter_map(|(name, cell)| {
                Some((
                    name.strip_prefix(NOTE)?.to_string(),
                    cell.as_str()?.to_string(),
                ))
            })
            .collect();
        Ok(result)
    }
}

/// What begins the name of a column that is carried along.
const NOTE: &str = "note.";

fn note_name(name: impl AsRef<str>) -> String {
    format!("{NOTE}{}", name.as_ref())
}

/// A line of a table with the cells that are carried along behind it.
pub(super) fn with_kept_cells(line: String, kept: &[(String, String)]) -> String {
    let mut res = line.trim_end_matches('\n').to_string();
    for (_, cell) in kept {
        res.push(',');
        res.push_str(&quoted(&without_formula(cell)));
    }
    res.push('\n');
    res
}

/// One line of cells that are quoted already.
pub(super) fn csv_line(row: &impl Serialize) -> String {
    let whole = "a record goes into memory";
    let mut writer = csv::WriterBuilder::new()
        .has_headers(false)
        .quote_style(csv::QuoteStyle::Never)
        .from_writer(Vec::new());
    writer.serialize(row).expect(whole);
    let bytes = writer.into_inner().expect(whole);
    String::from_utf8(bytes).expect("cells are text")
}

/// A cell in quotes where any common reader of tables would cut it: at a comma, at a semicolon
/// or tab, which some countries' spreadsheets cut at, at a line end.
pub(super) fn quoted(text: &str) -> String {
    let is_cut = |it: char| matches!(it, ',' | ';' | '\t' | '"' | '\r' | '\n');
    if text.contains(is_cut) || text.trim() != text {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_string()
    }
}

/// What a spreadsheet takes for the start of a formula, in full width too.
fn starts_formula(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠'])
}

/// Text that a spreadsheet would run as a formula gets an apostrophe in front, which it shows
/// as text; so does text that has such an apostrophe already, so that it can be read back.
pub(super) fn without_formula(text: &str) -> String {
    if starts_formula(text.trim_start_matches('\'')) {
        format!("'{text}")
    } else {
        text.to_string()
    }
}

/// The text again.
fn with_formula(text: &str) -> String {
    match text.strip_prefix('\'') {
        Some(rest) if starts_formula(rest.trim_start_matches('\'')) => rest.to_string(),
        _ => text.to_string(),
    }
}

/// The line of a floor that could not be read or has no place.
pub fn error_line(floor: &FloorRead, options: &Options, problems: &[Problem]) -> FloorResult {
    let columns: Vec<&str> = problems
        .iter()
        .filter_map(|it| it.column.as_deref())
        .collect();
    let all: Vec<String> = problems
        .iter()
        .map(|it| format!("{}: {}", it.place(), it.told))
        .collect();
    FloorResult {
        problem_column: text(columns.join(" ")),
        problem: text(all.join(" | ")),
        ..FloorResult::of(floor, options, "error")
    }
}

/// The problem of a visit whose place the table does not know.
pub fn place_problem(floor: &FloorRead, error: &ClimateError) -> Problem {
    Problem {
        line: floor.line,
        column: None,
        told: error.to_string(),
    }
}

/// Screens a floor. A refused one is not simulated: nothing of it would be told.
pub fn screened(
    floor: &FloorRead,
    parsed: &Parsed,
    place: &Place,
    options: &Options,
    first: Option<&FirstRound>,
) -> FloorResult {
    let visit = &parsed.visit;
    if let Some(refusal) = rules::refusal(visit, place) {
        let mut line = FloorResult {
            held_by: text(refusal.id()),
            station_id: text(place.station_id.clone()),
            place: text(place.label.clone()),
            ..FloorResult::of(floor, options, "refused")
        };
        line.tell_visit(visit);
        return line;
    }
    let effort = match options.detail {
        Detail::Chances | Detail::Headline => FULL.next_year_only(),
        Detail::Ways | Detail::Everything => FULL,
    };
    let request = Request {
        detail: options.detail,
        effort,
        quoted: options.quoted,
        sheet: options.sheet.as_ref(),
        first: first.filter(|_| options.can_share()),
    };
    let (verdict, posterior) = answer(place, visit, request);
    let asked = Asked {
        visit,
        place,
        notes: &parsed.notes,
    };
    let report = report::build(&asked, &verdict);
    let status = if report.held { "held" } else { "graded" };
    let mut line = FloorResult::of(floor, options, status);
    line.tell_visit(visit);
    line.input_notes = text(parsed.notes.join(" | "));
    tell(&mut line, &report, options.detail);
    let questions: Vec<String> = telling_questions(visit, &posterior, &verdict)
        .iter()
        .map(|(id, chance)| format!("{id} {chance:.3}"))
        .collect();
    line.open_questions = text(questions.join(";"));
    if !options.can_share() {
        line.exceedance_5y = report.exceedance_5y;
        line.preferred_way = report.preferred_way.and_then(|it| text(it.word()));
        for way in &report.ways {
            if let Some(chance) = way.chance_5y {
                line.put(&format!("{}_chance_5y", way.way.word()), chance);
            }
        }
    }
    line
}

/// The word that JSON has for a grade, a raise or an open point.
fn json_word(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

fn json_words<T: Serialize>(values: &[T]) -> Option<String> {
    let words: Vec<String> = values.iter().map(json_word).collect();
    text(words.join(";"))
}

fn tell(line: &mut FloorResult, report: &Report, detail: Detail) {
    let is_of_system = detail != Detail::Chances;
    line.grade = report.grade.as_ref().map(json_word);
    line.grade_raised_by = json_words(&report.grade_raised_by);
    line.exceedance_probability = report.exceedance_probability;
    if let Some(grade) = report.headline.grade.filter(|_| is_of_system) {
        line.headline_grade = text(json_word(&grade));
        line.headline_probability = report.headline.chance;
        line.headline_of = text(json_word(&report.headline.of));
        line.quoted_way = text(report.quoted_way.word());
    }
    line.headline_state = text(json_word(&report.headline.state));
    line.basis = text(json_word(&report.basis));
    let is_low = report.grade == Some(Grade::Low);
    line.low_so_far = Some(is_low && !report.open_points.is_empty());
    line.open_points = json_words(&report.open_points);
    line.over_now = Some(report.over_now);
    let held: Vec<&str> = report.gates.iter().map(|it| it.id.as_str()).collect();
    line.held_by = text(held.join(";"));
    let retest = report.gates.iter().filter_map(|it| it.retest_after);
    let retest = retest.max().or(report.day_after_over());
    line.retest_after = retest.map(|it| it.to_string());
    if let Some(before) = &report.before_reading {
        line.before_probability = Some(before.exceedance_probability);
        line.before_grade = text(json_word(&before.grade));
    }
    line.wettest_month = Some(u64::from(report.wettest_month));
    let season: Vec<String> = report.wet_season.iter().map(u32::to_string).collect();
    line.wet_season = text(season.join(";"));
    if let Some(window) = &report.come_back {
        line.wet_from = text(window.wet_from.to_string());
        line.wet_to = text(window.wet_to.to_string());
    }
    line.from_below_probability = Some(report.from_below_probability);
    line.provisional = Some(report.provisional);
    line.effective_draws = Some(report.quality.effective_draws);
    line.k_hat = Some(report.quality.k_hat);
    line.reading_p_value = report.quality.reading_p_value;
    line.station_id = text(report.place.station_id.clone());
    line.place = text(report.place.label.clone());
    for month in &report.months {
        let number = month.month;
        for (name, value) in [
            ("reading_p10", month.reading_p10),
            ("reading_p50", month.reading_p50),
            ("reading_p90", month.reading_p90),
        ] {
            line.put(&format!("month_{number}_{name}"), value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every text cell is kept from running, in a spreadsheet that cuts at commas, semicolons
    /// or tabs, and what is written is read back as it was.
    #[test]
    fn texts_are_harmless_and_come_back() {
        for given in [
            "=1+1",
            "＝1",
            "＋1",
            "－1",
            "＠a",
            "'=1",
            "''-1",
            "'quoted'",
            "job;=1+1",
            "a\t=1",
            "a,\"b\"",
            "line\nend",
            " blank ",
            "plain ä",
        ] {
            let mut row = FloorResult {
                line: Some(2),
                exceedance_probability: Some(1.0e-7),
                low_so_far: Some(false),
                ..FloorResult::default()
            };
            row.texts().for_each(|it| *it = Some(given.to_string()));
            let csv = row.to_csv();
            let mut reader = csv::ReaderBuilder::new()
                .has_headers(false)
                .from_reader(csv.as_bytes());
            let record = reader.records().next().unwrap().unwrap();
            assert_eq!(record.len(), FloorResult::NAMES.len(), "{given:?}");
            assert!(record.iter().all(|it| !starts_formula(it)), "{given:?}");
            assert!(
                !given.contains(';') || csv.contains("\"job;=1+1\""),
                "{csv}"
            );
            let names = csv::StringRecord::from(FloorResult::NAMES.to_vec());
            assert_eq!(
                FloorResult::from_csv(&names, &record).unwrap(),
                row,
                "{given:?}"
            );
            assert_eq!(
                FloorResult::from_json(row.to_json().as_bytes()).unwrap(),
                row
            );
        }
    }

    /// A way without a column would stop a run.
    #[test]
    fn every_way_and_month_has_its_column() {
        let mut row = FloorResult::default();
        for way in Way::ALL {
            row.put(&format!("{}_chance_5y", way.word()), 0.5);
        }
        for month in 1..=12 {
            row.put(&format!("month_{month}_reading_p90"), 0.5);
        }
        assert!(row.decline_chance_5y.is_some() && row.month_12_reading_p90.is_some());
    }
}
