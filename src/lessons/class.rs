//! A class: the same floors for everyone, a sheet to print, and a key.

use super::lesson::{all_letters, answer_words, lesson_in, letter, question_of};
use super::result::{Guess, LessonResult, judge};
use super::text::{causes, questions_on, sound, view_on, year_on};
use super::{Lesson, Level, lesson, lesson_questions, towns};
use crate::climate::{Place, PlaceQuery, find_place};
use crate::report::Page;
use crate::survey::ReadingValue;
use crate::verdict::card::{Card, PaperScore, add_up_visit, card, grade_of_points};
use crate::verdict::ways::Way;
use crate::words::{Language, chance_words, say, say_with};
use chrono::Datelike;

/// The floors of one class.
#[derive(Debug, Clone)]
pub struct Class {
    /// Number that the floors are drawn from.
    pub seed: u64,
    /// How sure the model itself can be of them.
    pub level: Level,
    /// The floors in order, number 1 first.
    pub lessons: Vec<Lesson>,
}

/// The floors of a seed.
pub fn class(seed: u64, floors: usize, level: Level) -> Class {
    Class {
        seed,
        level,
        lessons: (1..=floors).map(|it| lesson(seed, it, level)).collect(),
    }
}

impl Class {
    fn head(&self, page: &mut Page, title: &str) {
        page.line(&say_with(
            title,
            &[
                ("seed", &self.seed.to_string()),
                ("floors", &self.lessons.len().to_string()),
                ("level", self.level.word()),
            ],
        ));
        page.paragraph(say("lesson.invented"));
    }
}

/// The sheet for learners: nothing of the truth, since it is made of views.
pub fn class_sheet(class: &Class, width: usize) -> String {
    let mut page = Page::new(width);
    class.head(&mut page, "lesson.sheet_head");
    page.paragraph(say("lesson.sheet_how"));
    if let Some(first) = class.lessons.first() {
        questions_on(&mut page, &first.view(""));
    }
    choices_on(&mut page);
    for it in &class.lessons {
        view_on(&mut page, &it.view(""));
        page.line(&format!("  {}", say("lesson.blanks")));
    }
    page.line("");
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}

/// The words for causes and ways that the results take.
fn choices_on(page: &mut Page) {
    let to_write = |key: &str, word: &str| {
        say_with(
            "lesson.word_to_write",
            &[("what", say(key)), ("word", word)],
        )
    };
    let causes: Vec<String> = named_causes()
        .iter()
        .map(|it| to_write(&format!("cause.{}", it.word()), it.word()))
        .collect();
    page.paragraph(&say_with(
        "lesson.cause_words",
        &[("words", &causes.join("; "))],
    ));
    let ways: Vec<String> = Way::ALL
        .iter()
        .map(|it| to_write(&format!("way.{}", it.word()), it.word()))
        .collect();
    page.paragraph(&say_with(
        "lesson.way_words",
        &[("words", &ways.join("; "))],
    ));
}

/// Causes that a lesson's floor can have.
pub fn named_causes() -> [crate::verdict::Cause; 4] {
    use crate::verdict::Cause;
    [
        Cause::GroundMoisture,
        Cause::SeasonalWaterTable,
        Cause::DrainageAtWalls,
        Cause::HumidAir,
    ]
}

/// What a trainer reads out and what comes of it.
pub fn answer_key(class: &Class, width: usize) -> String {
    let mut page = Page::new(width);
    class.head(&mut page, "lesson.key_head");
    page.paragraph(say("lesson.key_how"));
    for it in &class.lessons {
        key_on(&mut page, it);
    }
    page.line("");
    page.wrapped(say("disclaimer"), "", "");
    page.done()
}

fn key_on(page: &mut Page, lesson: &Lesson) {
    let view = lesson.view("");
    view_on(page, &view);
    let answers: Vec<String> = lesson_questions()
        .iter()
        .enumerate()
        .filter(|(_, it)| !it.is_told_first())
        .map(|(at, it)| {
            let question = question_of(&it.question);
            let answer = question
                .answer(&lesson.told)
                .map_or(say("lesson.not_sure").to_string(), |it| {
                    answer_words(Language::English, question.id, &it)
                });
            let is_wrong = lesson.truth.told_wrong.contains(&question.id);
            let mark = if is_wrong {
                format!(" ({})", say("lesson.wrong"))
            } else {
                String::new()
            };
            format!("{} {answer}{mark}", letter(at))
        })
        .collect();
    page.paragraph(&format!("{} {}.", say("lesson.owner"), answers.join("; ")));
    let first = model_result(lesson, "");
    let all = model_result(lesson, &all_letters());
    let said = |it: &LessonResult| {
        it.model_chance
            .map_or(say("lesson.held").to_string(), chance_words)
    };
    page.paragraph(&say_with(
        "lesson.key_chances",
        &[
            ("first", &said(&first)),
            ("all", &said(&all)),
            ("grade", &super::result::grade_of(Language::English, &all)),
        ],
    ));
    if let Some(coated) = super::result::coated_said(Language::English, &all) {
        page.paragraph(&coated);
    }
    page.paragraph(&causes(Language::English, &all));
    page.paragraph(&sound(Language::English, &all));
    year_on(page, view.limit_percent, &all);
    if let Some(way) = &all.way {
        page.paragraph(&say_with(
            if way.gave_way {
                "lesson.key_film_over"
            } else {
                "lesson.key_film_under"
            },
            &[("chance", &chance_words(way.chance_5y))],
        ));
    }
}

/// Letters of the questions that the card asks too.
fn core_letters() -> String {
    lesson_questions()
        .iter()
        .enumerate()
        .filter(|(_, it)| question_of(&it.question).core.is_some())
        .map(|(at, _)| letter(at))
        .filter(|it| it.is_alphanumeric())
        .collect()
}

/// What the tool makes of a lesson after some questions, with a film put down now.
pub fn model_result(lesson: &Lesson, asked: &str) -> LessonResult {
    let guess = Guess {
        chance: 0.5,
        cause: None,
        way: Some(Way::FilmNow),
    };
    judge(lesson, asked, &guess)
}

/// The paper card of one town, and the floors of a class there to be added up by hand.
#[derive(Debug, Clone)]
pub struct PaperExercise {
    /// The town.
    pub place: Place,
    /// Its paper card.
    pub card: Card,
    /// The floors, number 1 first.
    pub lessons: Vec<Lesson>,
}

/// The exercise of a seed: floors of one town, the first by chance whose card is good enough.
pub fn paper_exercise(seed: u64, floors: usize, level: Level) -> Option<PaperExercise> {
    let count = towns().len();
    let start = super::Random::of(seed, 0).below(count);
    (0..count).find_map(|step| {
        let at = (start + step) % count;
        let place = PlaceQuery::parse(&towns()[at].postal)
            .and_then(|it| find_place(&it))
            .ok()?;
        let card = card(
            &place,
            crate::verdict::GradeTable::bundled().default_meter_percent,
        );
        card.is_good().then(|| PaperExercise {
            lessons: (1..=floors)
                .map(|number| lesson_in(at, seed, number, level))
                .collect(),
            place,
            card,
        })
    })
}

impl PaperExercise {
    /// The six answers and the reading of each floor, to be scored by hand.
    pub fn sheet(&self, width: usize) -> String {
        let mut page = Page::new(width);
        page.title(say("lesson.card_title"));
        page.paragraph(say("lesson.card_how"));
        for it in &self.lessons {
            let score = self.score(it);
            let answers: Vec<String> = score
                .lines
                .iter()
                .map(|it| format!("{}: {}", say(&format!("line.{}", it.0)), it.1))
                .collect();
            page.wrapped(
                &format!(
                    "{:>2}  {}; {}: {:.1} %",
                    it.number,
                    answers.join("; "),
                    crate::season::MONTH_NAMES[it.told.visit_date.month0() as usize],
                    self.read(it)
                ),
                "  ",
                "      ",
            );
            page.line(&format!("      {}", say("lesson.card_blanks")));
        }
        page.done()
    }

    /// What the card gives, line by line, beside the tool's own grade.
    pub fn key(&self, width: usize) -> String {
        let mut page = Page::new(width);
        page.title(say("lesson.card_key_title"));
        let mut same = 0;
        let mut counted = 0;
        for it in &self.lessons {
            let score = self.score(it);
            let points: Vec<String> = score.lines.iter().map(|it| format!("{:+}", it.2)).collect();
            let model = model_result(it, &core_letters());
            let (total, grade) = match score.total {
                Some(total) => (total.to_string(), Some(grade_of_points(total))),
                None => (say("lesson.card_none").to_string(), None),
            };
            // The tool's grade by its chance alone: what lifts it is a rule of the card too.
            let by_chance = model.model_chance.map(crate::verdict::Grade::of_chance);
            if let Some((paper, tool)) = grade.zip(by_chance) {
                counted += 1;
                same += usize::from(paper == tool);
            }
            page.wrapped(
                &say_with(
                    "lesson.card_line",
                    &[
                        ("number", &it.number.to_string()),
                        ("start", &self.card.start.to_string()),
                        ("points", &points.join(" ")),
                        (
                            "reading",
                            &score
                                .reading
                                .map_or("x".to_string(), |it| format!("{it:+}")),
                        ),
                        ("total", &total),
                        (
                            "paper",
                            super::lesson::grade_words(Language::English, grade),
                        ),
                        (
                            "tool",
                            super::lesson::grade_words(Language::English, by_chance),
                        ),
                    ],
                ),
                "  ",
                "      ",
            );
        }
        page.paragraph(&say_with(
            "lesson.card_agree",
            &[
                ("same", &same.to_string()),
                ("counted", &counted.to_string()),
            ],
        ));
        page.done()
    }

    fn read(&self, lesson: &Lesson) -> f64 {
        let values: Vec<f64> = lesson
            .told
            .readings
            .iter()
            .filter_map(|it| match it.value {
                ReadingValue::Meter(percent) => Some(percent),
                _ => None,
            })
            .collect();
        values.iter().sum::<f64>() / values.len().max(1) as f64
    }

    fn score(&self, lesson: &Lesson) -> PaperScore {
        add_up_visit(&self.card, &lesson.told, self.read(lesson))
    }
}
