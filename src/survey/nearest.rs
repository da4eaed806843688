//! The word that was probably meant.

/// Longer words are not compared: nobody mistypes a name of this length.
const LONGEST: usize = 48;

/// The candidate with the fewest edits, when they are few for the length of the word.
pub fn nearest<'c>(word: &str, candidates: impl IntoIterator<Item = &'c str>) -> Option<&'c str> {
    let length = word.chars().count();
    if length > LONGEST {
        return None;
    }
    let allowed = (length / 3).clamp(1, 4);
    candidates
        .into_iter()
        .map(|it| (edits(word, it), it))
        .min_by_key(|(count, _)| *count)
        .filter(|(count, _)| *count <= allowed)
        .map(|(_, it)| it)
}

/// How many letters must be put in, taken out, changed or swapped with the next.
fn edits(one: &str, other: &str) -> usize {
    let one: Vec<char> = one.to_lowercase().chars().collect();
    let other: Vec<char> = other.to_lowercase().chars().collect();
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=other.len()).collect();
    for i in 1..=one.len() {
        let mut row = vec![i];
        for j in 1..=other.len() {
            let change = last[j - 1] + usize::from(one[i - 1] != other[j - 1]);
            let mut fewest = change.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && one[i - 1] == other[j - 2] && one[i - 2] == other[j - 1] {
                fewest = fewest.min(before_last[j - 2] + 1);
            }
            row.push(fewest);
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[other.len()]
}

#[cfg(test)]
mod tests {
    use super::{edits, nearest};

    /// Counted by hand: one letter taken out, two swapped, three changed (the textbook pair
    /// kitten and sitting).
    #[test]
    fn edits_are_counted() {
        assert_eq!(edits("sump", "sup"), 1);
        assert_eq!(edits("lot", "olt"), 1);
        assert_eq!(edits("kitten", "sitting"), 3);
        assert_eq!(edits("", "abc"), 3);
        assert_eq!(edits("Basement", "basement"), 0);
    }

    #[test]
    fn far_words_have_no_neighbor() {
        assert_eq!(nearest("lwo", ["high", "level", "low"]), Some("low"));
        assert_eq!(nearest("banana", ["high", "level", "low"]), None);
        assert_eq!(nearest(&"x".repeat(1_000), ["high"]), None);
    }
}
