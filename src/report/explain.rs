//! The reference, a topic at a time: sentences of `tables/words.csv` around what other tables hold.

use super::build::gate_both;
use super::paper::{Block, Paper};
use crate::rules::Refusal;
use crate::survey::interview::questions;
use crate::survey::{FIELDS, field};
use crate::units::{table_rows, table_text};
use crate::verdict::GradeTable;
use crate::verdict::ways::{Way, WayTable};
use crate::words::{Language, family, glossary, knows, say, say_with};

/// What can be explained.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Topic {
    /// How to read the result.
    Result,
    /// How the score adds up.
    Score,
    /// What can be done on a floor, and what counts as a problem.
    Options,
    /// When a reading gets no grade, and when there is no estimate.
    NoGrade,
    /// Every question, and why it is asked.
    Questions,
    /// The visit file.
    VisitFile,
    /// The weather before a visit.
    Weather,
    /// A manufacturer's data sheet as a file.
    DataSheet,
    /// How to name a place.
    Places,
    /// Many floors in one table.
    Batch,
    /// How floors turned out, against what was stated.
    Outcomes,
    /// The moisture notice for the customer.
    Notice,
    /// The tool as one HTML page.
    Page,
    /// Practice floors for a class.
    Lessons,
    /// What the estimate is made of.
    Model,
    /// The words of the trade, as they are used here.
    Words,
    /// Cautions.
    Safety,
    /// Where the numbers come from.
    Sources,
    /// What the program's exit codes mean.
    ExitCodes,
}

/// A visit file to copy from.
const VISIT: &str = include_str!("../../examples/visits/low_lot_rochester.toml");

impl Topic {
    /// Every topic, in the order they are listed.
    pub const ALL: [Topic; 19] = [
        Topic::Result,
        Topic::Score,
        Topic::Options,
        Topic::NoGrade,
        Topic::Questions,
        Topic::VisitFile,
        Topic::Weather,
        Topic::DataSheet,
        Topic::Places,
        Topic::Batch,
        Topic::Outcomes,
        Topic::Notice,
        Topic::Page,
        Topic::Lessons,
        Topic::Model,
        Topic::Words,
        Topic::Safety,
        Topic::Sources,
        Topic::ExitCodes,
    ];

    /// The word of the command line.
    pub fn word(self) -> &'static str {
        match self {
            Topic::Result => "result",
            Topic::Score => "score",
            Topic::Options => "options",
            Topic::NoGrade => "no-grade",
            Topic::Questions => "questions",
            Topic::VisitFile => "visit-file",
            Topic::Weather => "weather",
            Topic::DataSheet => "data-sheet",
            Topic::Places => "places",
            Topic::Batch => "batch",
            Topic::Outcomes => "outcomes",
            Topic::Notice => "notice",
            Topic::Page => "page",
            Topic::Lessons => "lessons",
            Topic::Model => "model",
            Topic::Words => "words",
            Topic::Safety => "safety",
            Topic::Sources => "sources",
            Topic::ExitCodes => "exit-codes",
        }
    }

    /// The topic with this word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|it| it.word() == word)
    }
}

/// The list of topics.
pub fn topics() -> Paper {
    let items = Topic::ALL
        .iter()
        .map(|it| {
            say_with(
                "explain.topic",
                &[
                    ("topic", it.word()),
                    ("what", say(&format!("explain.{}", it.word()))),
                ],
            )
        })
        .collect();
    Paper {
        title: say("explain.title").to_string(),
        blocks: vec![Block::Items(items)],
    }
}

/// One topic.
pub fn explain(topic: Topic) -> Paper {
    let mut blocks = sentences(topic);
    match topic {
        Topic::Options => blocks.extend(options()),
        Topic::NoGrade => blocks.extend(no_grade()),
        Topic::Questions => blocks.extend(asked()),
        Topic::VisitFile => blocks.extend(visit_file()),
        Topic::Words => blocks.push(Block::Items(
            glossary()
                .iter()
                .map(|it| pair(&it.term, &it.meaning))
                .collect(),
        )),
        Topic::Safety => blocks.push(Block::Items(
            family("caution")
                .into_iter()
                .map(|(_, text)| text.to_string())
                .collect(),
        )),
        Topic::Sources => blocks.extend(sources()),
        Topic::Model => blocks.extend(winter_air()),
        Topic::Result => blocks.push(Block::Items(
            [
                "term.percent",
                "term.likely",
                "term.spread",
                "term.tests",
                "term.bond",
                "over_is_not_failure",
            ]
            .iter()
            .map(|it| say(it).to_string())
            .collect(),
        )),
        Topic::Score
        | Topic::Weather
        | Topic::DataSheet
        | Topic::Places
        | Topic::Batch
        | Topic::Outcomes
        | Topic::Notice
        | Topic::Page
        | Topic::Lessons
        | Topic::ExitCodes => {}
    }
    Paper {
        title: say(&format!("explain.{}", topic.word())).to_string(),
        blocks,
    }
}

/// The sentences of a topic: rows `explain.TOPIC.1`, `.2` and so on.
fn sentences(topic: Topic) -> Vec<Block> {
    let table = GradeTable::bundled();
    let hundred = |it: f64| format!("{:.0}", 100.0 * it);
    let acceptable = hundred(WayTable::bundled().acceptable_5y);
    (1..)
        .map(|at| format!("explain.{}.{at}", topic.word()))
        .take_while(|key| knows(key))
        .map(|key| {
            Block::Text(say_with(
                &key,
                &[
                    ("low", &hundred(table.low_below)),
                    ("moderate", &hundred(table.moderate_below)),
                    ("high", &hundred(table.high_below)),
                    ("limit", &format!("{}", table.default_meter_percent)),
                    ("even", &format!("{}", table.score_even)),
                    ("acceptable", &acceptable),
                    ("settled_low", &hundred(table.settled_low)),
                    ("settled_high", &hundred(table.settled_high)),
                ],
            ))
        })
        .collect()
}

fn pair(name: &str, what: &str) -> String {
    say_with("explain.topic", &[("topic", name), ("what", what)])
}

/// Every option with what counts against it, and why.
fn options() -> Vec<Block> {
    let items = Way::ALL
        .iter()
        .map(|way| {
            say_with(
                "explain.options.row",
                &[
                    ("word", way.word()),
                    ("option", say(&format!("way.{}", way.word()))),
                    ("problem", say(&format!("way.limit.{}", way.word()))),
                    ("why", say(&format!("why.{}", way.word()))),
                ],
            )
        })
        .collect();
    vec![Block::Items(items)]
}

/// What takes the grade away, and what stops the estimate.
fn no_grade() -> Vec<Block> {
    let both = |id: &str| gate_both(Language::English, id);
    let gates = family("gate")
        .into_iter()
        .filter(|(key, _)| key.ends_with("reason"))
        .filter_map(|(key, _)| key.split('.').nth(1))
        .map(both)
        .collect();
    let refused = [
        Refusal::Suspended,
        Refusal::Freezing,
        Refusal::StandingWater,
    ]
    .iter()
    .map(|it| both(it.id()))
    .collect();
    vec![
        Block::Items(gates),
        Block::Heading(say("refused.headline").to_string()),
        Block::Items(refused),
        Block::Text(say("refused.topics").to_string()),
    ]
}

/// Every question and why it is asked, by section.
fn asked() -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut section = "";
    let mut items: Vec<String> = Vec::new();
    for it in questions() {
        if it.section != section && !items.is_empty() {
            blocks.push(Block::Items(std::mem::take(&mut items)));
        }
        if it.section != section {
            section = &it.section;
            blocks.push(Block::Heading(section.to_string()));
        }
        items.push(format!("{} {}", it.ask, it.why));
    }
    blocks.push(Block::Items(items));
    blocks
}

/// Every field with what it takes, and a whole file.
fn visit_file() -> Vec<Block> {
    let fields = FIELDS
        .iter()
        .map(|it| pair(it.path, &field(it.path).expect("its own path").accepted()))
        .collect();
    vec![
        Block::Items(fields),
        Block::Heading(say("explain.visit-file.example").to_string()),
        Block::Columns(VISIT.to_string()),
    ]
}

/// A row of `tables/winter_air.csv`: one floor's chance by what winter air is taken to hold.
#[derive(Debug, Clone, PartialEq, serde::Deserialize)]
pub struct WinterAirRow {
    /// Moisture that people add to the air in winter, a mean of houses, Pa.
    pub excess_pa: f64,
    /// Chance (0 to 1) to go over where the reading was taken in December.
    pub read_in_december: f64,
    /// The same of a reading taken in September.
    pub read_in_september: f64,
}

/// What the moisture of winter air moves, which nobody measures.
fn winter_air() -> Vec<Block> {
    let hundred = |it: f64| format!("{:.0}", 100.0 * it);
    let items = table_rows::<WinterAirRow>(table_text("winter_air.csv"))
        .expect("tests/tables.rs reads this file")
        .into_iter()
        .map(|it| {
            say_with(
                "explain.model.air.row",
                &[
                    ("excess", &format!("{:.0}", it.excess_pa)),
                    ("december", &hundred(it.read_in_december)),
                    ("september", &hundred(it.read_in_september)),
                ],
            )
        })
        .collect();
    vec![
        Block::Text(say("explain.model.air").to_string()),
        Block::Items(items),
    ]
}

/// The sources that tables name by an id, and how far each was checked.
fn sources() -> Vec<Block> {
    #[derive(serde::Deserialize)]
    struct Row {
        id: String,
        what: String,
        how_checked: String,
    }
    let items = table_rows::<Row>(table_text("sources.csv"))
        .expect("tests/tables.rs reads this file")
        .into_iter()
        .map(|it| {
            say_with(
                "explain.sources.row",
                &[
                    ("id", &it.id),
                    ("what", &it.what),
                    ("checked", &it.how_checked),
                ],
            )
        })
        .collect();
    vec![Block::Items(items)]
}
