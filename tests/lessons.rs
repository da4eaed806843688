//! Lessons: seeds reproduce, nothing leaks, keys agree with `screen`, scores against published
//! values, and what asking is worth.

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::lessons::{
    Guess, LessonRequest, Level, Random, Telling, WeakSigns, add_up, all_letters, answer_key,
    brier, class, class_sheet, invent, judge, lesson, lesson_questions, model_result, pairs,
    parse_results, respond, towns,
};
use slabseason::odds::posterior::{Ahead, Effort, Limits, posterior};
use slabseason::survey::{ReadingValue, parse_visit};
use slabseason::verdict::ways::Way;
use slabseason::verdict::{Cause, Detail, QUESTIONS, Request, answer};
use slabseason::words::Language;

fn guess(chance: f64) -> Guess {
    Guess {
        chance,
        cause: Some(Cause::HumidAir),
        way: Some(Way::Membrane),
    }
}

/// Source: brier-1950, table 1: ten forecasts of rain and what came; the score over both classes
/// is 0.19. Ours counts one class, which is half of it.
#[test]
fn brier_scores_as_published() {
    let stated = [0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1];
    let rained = [
        false, true, true, true, false, false, false, false, false, false,
    ];
    let sum: f64 = stated
        .iter()
        .zip(rained)
        .map(|(it, came)| brier(*it, came))
        .sum();
    assert!((2.0 * sum / 10.0 - 0.19).abs() < 1e-12, "{sum}");
}

/// Whoever states what they believe loses least, for both scores. Source: by definition of a
/// proper score.
#[test]
fn the_scores_are_proper() {
    for score in [brier, slabseason::lessons::log_score] {
        for belief in [0.1, 0.35, 0.5, 0.8] {
            let expected =
                |said: f64| belief * score(said, true) + (1.0 - belief) * score(said, false);
            for other in 1..20 {
                let other = f64::from(other) / 20.0;
                assert!(
                    expected(belief) <= expected(other) + 1e-12,
                    "{belief} {other}"
                );
            }
        }
    }
}

#[test]
fn the_tables_are_whole() {
    assert!(towns().len() >= 8);
    assert_eq!(towns().iter().filter(|it| it.is_explained()).count(), 3);
    for town in towns() {
        let query = PlaceQuery::parse(&town.postal).unwrap();
        find_place(&query).unwrap_or_else(|it| panic!("{}: {it}", town.town));
    }
    // A sign that came later: to ask for it would change every invented floor there is.
    let is_asked = |id: &str| id != "signs.peeling_paint";
    for question in QUESTIONS.iter().filter(|it| is_asked(it.id)) {
        let rows = lesson_questions()
            .iter()
            .filter(|it| it.question == question.id);
        assert_eq!(rows.count(), 1, "{}", question.id);
    }
    assert_eq!(
        lesson_questions().len(),
        QUESTIONS.iter().filter(|it| is_asked(it.id)).count()
    );
}

#[test]
fn seeds_reproduce_and_differ() {
    let first = class(11, 2, Level::Mixed);
    let again = class(11, 2, Level::Mixed);
    let other = class(12, 2, Level::Mixed);
    assert_eq!(class_sheet(&first, 80), class_sheet(&again, 80));
    assert_eq!(answer_key(&first, 80), answer_key(&again, 80));
    assert_ne!(class_sheet(&first, 80), class_sheet(&other, 80));
    // A floor does not depend on how many there are.
    assert_eq!(first.lessons[1].told, lesson(11, 2, Level::Mixed).told);
    for text in [class_sheet(&first, 80), answer_key(&first, 80)] {
        let wide = text.lines().find(|it| it.chars().count() > 80);
        assert_eq!(wide, None);
    }
}

/// The same observables with another truth give the same view, and no number of the truth
/// stands in it.
#[test]
fn nothing_of_the_truth_is_in_a_view() {
    let floor = lesson(3, 1, Level::Borderline);
    let other = lesson(4, 2, Level::Clear);
    let mut swapped = floor.clone();
    swapped.truth = other.truth;
    assert_ne!(floor.truth.highest(), swapped.truth.highest());
    for asked in ["", "AC", &all_letters()] {
        assert_eq!(floor.view(asked), swapped.view(asked));
        let text = serde_json::to_string(&floor.view(asked)).unwrap();
        for secret in [
            "truth",
            "outcome",
            "over",
            "scale\"",
            "told_wrong",
            "true_cause",
        ] {
            assert!(!text.contains(&format!("\"{secret}")), "{secret}: {text}");
        }
        let parameters = &floor.truth.outcome().parameters;
        for number in [
            floor.truth.scale,
            floor.truth.highest(),
            parameters.water_table_m,
            parameters.wall_share,
        ] {
            assert!(!text.contains(&format!("{number:.4}")), "{number}");
        }
    }
    // What was not asked is not there either.
    let first = floor.view("");
    assert!(first.told.iter().all(|it| it.letter.is_none()));
    assert!(!first.visit_file.contains("spring_darkening"));
    assert!(!first.visit_file.contains("springs_watched"));
    assert_eq!(first.minutes, 0);
    assert!(floor.view(&all_letters()).minutes > 15);
    // A page gets the truth only against a guess.
    let mut request = LessonRequest {
        seed: 3,
        number: 1,
        level: Level::Borderline,
        asked: "A".to_string(),
        guess: None,
    };
    assert!(respond(Language::English, &request).result.is_none());
    request.guess = Some(guess(0.4));
    assert_eq!(
        respond(Language::English, &request)
            .result
            .unwrap()
            .months
            .len(),
        12
    );
}

/// Every floor saved as a visit file gives the same chance and grade as `screen` does.
#[test]
fn no_key_contradicts_screen() {
    for (seed, level) in [(5, Level::Clear), (6, Level::Borderline), (7, Level::Mixed)] {
        for number in 1..=2 {
            let floor = lesson(seed, number, level);
            let mut chance = 0.0;
            for asked in ["BC", &all_letters()] {
                let key = model_result(&floor, asked);
                chance = key.model_chance.unwrap();
                let text = floor.view(asked).visit_file;
                let visit = parse_visit(&text, "lesson").unwrap().visit;
                let (verdict, _) = answer(
                    &floor.place,
                    &visit,
                    Request {
                        detail: Detail::Ways,
                        ..Request::default()
                    },
                );
                assert_eq!(key.model_chance, verdict.chance, "{seed} {number} {asked}");
                assert_eq!(key.model_grade, verdict.grade);
                let ways = verdict.ways.expect("an invented floor is graded");
                assert_eq!(key.preferred, Some(ways.preferred));
                // What the screen leads with, where that is worse than the bare floor.
                assert_eq!(key.coated_5y, Some(ways.of(Way::FilmNow).chance_5y));
            }
            // With everything asked.
            match level {
                Level::Clear => assert!(!(0.07..0.93).contains(&chance), "{chance}"),
                Level::Borderline => assert!((0.3..=0.7).contains(&chance), "{chance}"),
                Level::Mixed => {}
            }
        }
    }
}

/// Luck does not touch what is lost: the same guess on the same knowledge loses the same, whatever
/// the floor did.
#[test]
fn luck_does_not_count() {
    let floor = lesson(8, 1, Level::Borderline);
    let mut luckier = floor.clone();
    luckier.truth.scale = 0.2;
    let mut unluckier = floor.clone();
    unluckier.truth.scale = 5.0;
    let [a, b] = [luckier, unluckier].map(|it| judge(&it, "ABC", &guess(0.3)));
    assert!(!a.over && b.over);
    assert_eq!(a.lost, b.lost);
    assert_eq!(a.way.unwrap().is_sound, b.way.unwrap().is_sound);
    let own = judge(&floor, "ABC", &guess(a.model_chance.unwrap()));
    assert_eq!(own.lost, Some(0.0));
}

/// Enough versions for a mean over hundreds of floors.
const BRISK: Effort = Effort {
    round: 256,
    most: 256,
    enough: 0.0,
    ahead: Ahead::NextYear,
};

/// On floors as they come the tool's chances beat every fixed guess and a rule of the reading
/// alone. The rule is the best there can be of its kind: the share of these very floors that go
/// over, by the reading in half percents, so it is fitted to what it is judged on.
#[test]
fn asking_beats_fixed_guesses_and_the_reading_alone() {
    let telling = Telling {
        mistake: Some(0.07),
        weak: WeakSigns::One,
        darkening_share: 0.2,
    };
    let mut floors: Vec<(f64, usize, bool)> = Vec::new();
    for index in 0..360 {
        let town = &towns()[index % towns().len()];
        let place = find_place(&PlaceQuery::parse(&town.postal).unwrap()).unwrap();
        let mut random = Random::of(77, index);
        let mut floor = invent(
            &mut random,
            &place,
            &town.postal,
            (index / 12) % 12,
            telling,
        );
        floor.truth.run_as_judged(&place, &floor.told);
        let ReadingValue::Meter(read) = floor.told.readings[0].value else {
            panic!()
        };
        let limits = Limits {
            meter_percent: Some(5.0),
            probe_humidity: None,
            dome_flux: None,
        };
        let stated = posterior(&place, &floor.told, limits, BRISK).exceedance();
        floors.push((stated, (read * 2.0) as usize, floor.truth.highest() > 5.0));
    }
    let count = floors.len() as f64;
    let model = floors.iter().map(|it| brier(it.0, it.2)).sum::<f64>() / count;
    let base = floors.iter().filter(|it| it.2).count() as f64 / count;
    // No fixed guess scores below the share that came.
    let fixed = base * (1.0 - base);
    let share = |range: usize| {
        let of: Vec<_> = floors.iter().filter(|it| it.1 == range).collect();
        of.iter().filter(|it| it.2).count() as f64 / of.len() as f64
    };
    let reading = floors
        .iter()
        .map(|it| brier(share(it.1), it.2))
        .sum::<f64>()
        / count;
    println!("model {model:.4}, reading {reading:.4}, fixed {fixed:.4}, over {base:.3}");
    assert!(
        model < 0.95 * reading,
        "model {model:.4}, reading {reading:.4}"
    );
    assert!(model < 0.6 * fixed, "model {model:.4}, fixed {fixed:.4}");
}

#[test]
fn results_are_read_and_added_up() {
    let made = class(9, 6, Level::Mixed);
    // One learner says what the tool says, one is sure of everything.
    let mut text = String::from("learner,floor,chance,cause,way,asked\n");
    for (at, floor) in made.lessons.iter().enumerate() {
        let model = model_result(floor, "ABCD");
        let chance = model.model_chance.unwrap_or(0.5);
        let way = model.preferred.unwrap_or(Way::Decline).word();
        text += &format!(
            "like the tool,{},{:.1}%,,{way},ABCD\n",
            at + 1,
            100.0 * chance
        );
        let sure = if chance > 0.5 { 20 } else { 0 };
        text += &format!("sure,{},{sure},humid_air,film_now,\n", at + 1);
    }
    let rows = parse_results(&text, "made.csv", 6).unwrap();
    assert_eq!(rows.len(), 12);
    let said = add_up(&made, &rows, 80);
    let about = |name: &str| {
        said.lines()
            .filter(|it| it.contains(name))
            .collect::<Vec<_>>()
            .join(" ")
    };
    assert!(about("sure:").contains("OVER-CONFIDENT"), "{said}");
    assert!(
        !about("like the tool:").contains("OVER-CONFIDENT"),
        "{said}"
    );
    assert!(said.lines().all(|it| it.chars().count() <= 80), "{said}");

    for (text, told) in [
        ("learner,chance\na,1\n", "floor is missing"),
        ("learner,floor,chance\na,9,1\n", "line 2: floor"),
        ("learner,floor,chance\na,1,21\n", "line 2: chance"),
        ("learner,floor,chance\na,1,1\na,1,2\n", "twice"),
        ("learner,floor,chance,cause\na,1,1,magic\n", "cause"),
        ("learner,floor,chance,way\na,1,1,prayer\n", "way"),
        ("learner,floor,chance,asked\na,1,1,A9\n", "asked"),
        ("learner,floor,chance\n", "no row"),
    ] {
        let error = parse_results(text, "made.csv", 6).unwrap_err().to_string();
        assert!(
            error.contains(told) && error.contains("made.csv"),
            "{error}"
        );
    }
}

/// The directions are known without the model: a dark floor, no retarder, a wetter climate and
/// a drought before the reading are never the drier of the two.
#[test]
fn pairs_point_the_known_way() {
    let all = pairs();
    let keys: Vec<&str> = all.iter().map(|it| it.key).collect();
    assert_eq!(keys, ["darkening", "season", "town", "retarder", "weather"]);
    for pair in all.iter().filter(|it| it.key != "season") {
        assert!(pair.points.unwrap() > 0.0, "{pair:?}");
    }
}

/// Tables from before tell chances in twentieths; new ones count floors in 100. Both are read.
#[test]
fn chances_in_twentieths_and_in_100_are_read_alike() {
    let read = |text: &str| parse_results(text, "made.csv", 6).unwrap()[0].guess.chance;
    assert_eq!(read("learner,floor,chance\na,1,9\n"), 0.45);
    assert_eq!(read("learner,floor,in_100\na,1,45\n"), 0.45);
    assert_eq!(read("learner,floor,in_100\na,1,45%\n"), 0.45);
    let error = parse_results("learner,floor,in_100\na,1,120\n", "made.csv", 6).unwrap_err();
    assert!(error.to_string().contains("in_100"), "{error}");
}
