//! How hard a text is to read: the grade level of Kincaid and others.

/// What a text is made of, as counted here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counted {
    /// Sentences of the text.
    pub sentences: usize,
    /// Words of the text.
    pub words: usize,
    /// Syllables of all words together.
    pub syllables: usize,
}

/// Words whose syllables the rules of [`syllables`] miscount, with their number.
const EXCEPTIONS: [(&str, usize); 32] = [
    ("anyone", 3),
    ("area", 3),
    ("areas", 3),
    ("barrier", 3),
    ("basement", 2),
    ("basements", 2),
    ("being", 2),
    ("business", 2),
    ("create", 2),
    ("drier", 2),
    ("driveway", 2),
    ("every", 2),
    ("everything", 3),
    ("going", 2),
    ("groundwater", 3),
    ("homeowner", 3),
    ("homeowners", 3),
    ("idea", 3),
    ("inside", 2),
    ("meanwhile", 2),
    ("moisture", 2),
    ("movement", 2),
    ("outside", 2),
    ("people", 2),
    ("quiet", 2),
    ("riskier", 3),
    ("safety", 2),
    ("somewhere", 2),
    ("statement", 2),
    ("temperature", 4),
    ("underside", 3),
    ("useful", 2),
];

/// The grade level of a text: the school year whose pupils understand most of it.
///
/// # Formula
///
/// `0.39 words/sentences + 11.8 syllables/words - 15.59`
///
/// # Range
///
/// Any text with a word; `None` without one. A sentence ends at a period, a question mark, an
/// exclamation mark or the end of a line.
///
/// # Source
///
/// kincaid-1975.
pub fn grade_level(text: &str) -> Option<f64> {
    let it = count(text);
    (it.words > 0).then(|| {
        let words = it.words as f64;
        0.39 * words / it.sentences as f64 + 11.8 * it.syllables as f64 / words - 15.59
    })
}

/// Counts sentences, words and syllables.
pub fn count(text: &str) -> Counted {
    let mut res = Counted {
        sentences: 0,
        words: 0,
        syllables: 0,
    };
    for sentence in sentences(text) {
        res.sentences += 1;
        for word in words(sentence) {
            res.words += 1;
            res.syllables += syllables(word);
        }
    }
    res
}

/// The sentences of a text that hold a word.
pub fn sentences(text: &str) -> Vec<&str> {
    let bytes = text.as_bytes();
    let mut res = Vec::new();
    let mut start = 0;
    for (at, it) in text.char_indices() {
        // A period inside a number or a name such as F2170.1 ends nothing.
        let after = bytes.get(at + 1);
        let is_end = match it {
            '\n' => true,
            '.' | '!' | '?' => {
                after.is_none_or(|it| it.is_ascii_whitespace() || matches!(it, b'"' | b')' | b'\''))
            }
            _ => false,
        };
        if is_end {
            res.push(&text[start..=at]);
            start = at + 1;
        }
    }
    res.push(&text[start..]);
    res.retain(|it| !words(it).is_empty());
    res
}

/// Runs of letters, digits and apostrophes.
fn words(text: &str) -> Vec<&str> {
    text.split(|it: char| !(it.is_alphanumeric() || it == '\''))
        .filter(|it| it.chars().any(char::is_alphanumeric))
        .collect()
}

/// Syllables of an English word, by its letters: groups of vowels, less those that are silent
/// at the end. A word with a digit counts as one.
pub fn syllables(word: &str) -> usize {
    let word = word.to_lowercase();
    if word.chars().any(|it| it.is_ascii_digit()) {
        return 1;
    }
    if let Some((_, count)) = EXCEPTIONS.iter().find(|(it, _)| *it == word) {
        return *count;
    }
    let word = word.strip_suffix("'s").unwrap_or(&word).replace('\'', "");
    let letters: Vec<char> = word.chars().collect();
    let is_vowel = |it: char| matches!(it, 'a' | 'e' | 'i' | 'o' | 'u' | 'y');
    let at = |back: usize| letters.len().checked_sub(back).map(|it| letters[it]);
    let mut count = 0_i32;
    for (index, it) in letters.iter().enumerate() {
        let before = index.checked_sub(1).map(|it| letters[it]);
        if is_vowel(*it) && !before.is_some_and(is_vowel) {
            count += 1;
        }
        // Two vowels that are spoken apart.
        let pair = before.map(|it_before| (it_before, *it));
        let next = letters.get(index + 1);
        let is_apart = match pair {
            Some(('i', 'a')) => next != Some(&'g'),
            Some(('i', 'o')) => !matches!(next, Some('n' | 'u')),
            Some(('i', 'u')) => true,
            Some(('u', 'a')) => {
                next != Some(&'r') && index.checked_sub(2).map(|it| letters[it]) != Some('q')
            }
            Some(('e', 'o')) => !matches!(next, Some('p' | 'u')),
            Some(('y', 'i')) => true,
            _ => false,
        };
        count += i32::from(is_apart);
    }
    let consonant = |it: Option<char>| it.is_some_and(|it| !is_vowel(it));
    let is_silent = match (at(1), at(2)) {
        (Some('e'), Some('l')) => !consonant(at(3)),
        (Some('e'), before) => consonant(before),
        (Some('d'), Some('e')) => consonant(at(3)) && !matches!(at(3), Some('t' | 'd')),
        (Some('s'), Some('e')) => {
            let hisses = matches!(at(3), Some('s' | 'c' | 'x' | 'z' | 'g'))
                || (at(3) == Some('h') && matches!(at(4), Some('c' | 's')))
                || (at(3) == Some('l') && consonant(at(4)));
            consonant(at(3)) && !hisses
        }
        _ => false,
    };
    (count - i32::from(is_silent)).max(1) as usize
}
