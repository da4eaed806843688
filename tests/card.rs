//! The paper card agrees with the model, or says that it does not.

use slabseason::climate::{PlaceQuery, find_place};
use slabseason::verdict::card::{Card, card};

fn card_of(postal: &str) -> Card {
    card(
        &find_place(&PlaceQuery::parse(postal).unwrap()).unwrap(),
        5.0,
    )
}

/// Ten climates. The goal is the same grade on 85 of 100 simulated floors and two grades apart on
/// fewer than 1 of 100; a card that misses it must refuse itself. Most floors are low, so the
/// card must also beat naming the commonest grade, or tie with it where nearly all are low.
#[test]
fn cards_agree_in_ten_climates() {
    let places = [
        "05401", "14604", "60601", "98101", "33101", "80202", "30301", "55401", "15201", "43201",
    ];
    let mut good = 0;
    std::thread::scope(|scope| {
        let halves: Vec<_> = places
            .chunks(5)
            .map(|some| {
                scope.spawn(move || some.iter().map(|it| (*it, card_of(it))).collect::<Vec<_>>())
            })
            .collect();
        for half in halves {
            for (postal, card) in half.join().unwrap() {
                let it = card.agreement;
                println!("{postal}: {it:?}");
                assert!(it.floors > 180, "{postal}: {it:?}");
                assert!(it.same_grade >= it.by_commonest - 0.01, "{postal}: {it:?}");
                good += usize::from(card.is_good());
            }
        }
    });
    assert!(good >= 8, "only {good} of ten cards are good");
}
