//! Floors on all cores: what they share is simulated once, and the order is kept.

use crate::batch::{
    Columns, FloorRead, FloorResult, Options, Problem, Rows, error_line, place_problem, read_floor,
    screened,
};
use crate::climate::{Place, find_place};
use crate::odds::first_round::{FirstRound, KeptRounds, RoundKey};
use crate::rules::refusal;
use crate::survey::place_query;
use crate::verdict::{first_round, round_key};
use std::collections::HashMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock, mpsc};

/// Rounds of draws that are kept for floors still to come: three megabytes each.
const ROUNDS: usize = 6;
/// Further rounds that are kept, four megabytes each.
const FURTHER_ROUNDS: usize = 6;
/// Places that are kept.
const PLACES: usize = 4_096;
/// Floors of one group that a thread takes at once.
const PIECE: usize = 32;

/// What threads share.
pub struct Shared<'a> {
    pub columns: &'a Columns,
    pub options: &'a Options,
    pub threads: usize,
    rounds: Mutex<Vec<(RoundKey, Arc<OnceLock<FirstRound>>)>>,
    further: KeptRounds,
    places: Mutex<HashMap<String, Arc<Place>>>,
}

/// A floor's line, and what was wrong with its rows.
pub struct Screened {
    pub line: FloorResult,
    pub problems: Vec<Problem>,
}

/// A floor that was read and found.
struct Ready {
    rows: Rows,
    floor: FloorRead,
    place: Result<Arc<Place>, Vec<Problem>>,
    key: Option<RoundKey>,
}

impl<'a> Shared<'a> {
    pub fn new(columns: &'a Columns, options: &'a Options, threads: usize) -> Self {
        Self {
            columns,
            options,
            threads,
            rounds: Mutex::new(Vec::new()),
            further: KeptRounds::new(FURTHER_ROUNDS),
            places: Mutex::new(HashMap::new()),
        }
    }

    /// Screens floors; `done` gets them in their order, each as soon as those before it are
    /// done. What a thread does first changes no digit.
    pub fn screen(&self, chunk: Vec<Rows>, mut done: impl FnMut(Screened)) {
        let mut ready: Vec<Option<Ready>> = (0..chunk.len()).map(|_| None).collect();
        in_parallel(
            self.threads,
            chunk,
            |rows| self.ready(rows),
            |at, it| ready[at] = Some(it),
        );
        let ready: Vec<Ready> = ready.into_iter().flatten().collect();
        // Floors of one key go together, in the order of their first.
        let mut order: Vec<Vec<usize>> = Vec::new();
        let mut groups: HashMap<RoundKey, usize> = HashMap::new();
        for (at, it) in ready.iter().enumerate() {
            match it.key {
                Some(key) => {
                    let group = *groups.entry(key).or_insert_with(|| {
                        order.push(Vec::new());
                        order.len() - 1
                    });
                    order[group].push(at);
                }
                None => order.push(vec![at]),
            }
        }
        let pieces: Vec<(Vec<usize>, usize)> = order
            .iter()
            .flat_map(|group| group.chunks(PIECE).map(|it| (it.to_vec(), group.len())))
            .collect();
        let mut waiting: Vec<Option<Screened>> = (0..ready.len()).map(|_| None).collect();
        let mut next = 0;
        in_parallel(
            self.threads,
            pieces,
            |(piece, group)| self.piece(&ready, &piece, group),
            |_, screened: Vec<(usize, Screened)>| {
                for (at, it) in screened {
                    waiting[at] = Some(it);
                }
                while let Some(it) = waiting.get_mut(next).and_then(Option::take) {
                    done(it);
                    next += 1;
                }
            },
        );
    }

    fn ready(&self, rows: Rows) -> Ready {
        let mut floor = read_floor(self.columns, &rows);
        if let Ok(parsed) = &mut floor.parsed {
            let months = &self.options.months_had;
            if !months.is_empty() {
                parsed.visit.weather.months = Some(months.clone());
            }
        }
        let place = match &floor.parsed {
            Err(problems) => Err(problems.clone()),
            Ok(parsed) => {
                let name = format!("{:?}", parsed.visit.place);
                let known = lock(&self.places).get(&name).cloned();
                match known {
                    Some(place) => Ok(place),
                    None => find_place(&place_query(&parsed.visit.place))
                        .map(|it| {
                            let place = Arc::new(it);
                            let mut places = lock(&self.places);
                            if places.len() >= PLACES {
                                places.clear();
                            }
                            places.insert(name, place.clone());
                            place
                        })
                        .map_err(|it| vec![place_problem(&floor, &it)]),
                }
            }
        };
        let sheet = self.options.sheet.as_ref();
        let key = match (&floor.parsed, &place) {
            // A refused floor draws nothing.
            (Ok(parsed), Ok(place))
                if self.options.can_share() && refusal(&parsed.visit, place).is_none() =>
            {
                Some(round_key(place, &parsed.visit, sheet))
            }
            _ => None,
        };
        Ready {
            rows,
            floor,
            place,
            key,
        }
    }

    fn piece(&self, ready: &[Ready], piece: &[usize], group: usize) -> Vec<(usize, Screened)> {
        let round = ready[piece[0]].key.map(|key| self.round(key, group));
        // Nobody comes after a floor that is alone.
        let further = if group > 1 {
            self.further.clone()
        } else {
            KeptRounds::new(0)
        };
        let one = |at: &usize| {
            let it = &ready[*at];
            let screened = match (&it.floor.parsed, &it.place) {
                (Ok(parsed), Ok(place)) => {
                    let first = round.as_ref().map(|round| {
                        round.get_or_init(|| {
                            let sheet = self.options.sheet.as_ref();
                            first_round(place, &parsed.visit, sheet, &further)
                        })
                    });
                    Screened {
                        line: screened(&it.floor, parsed, place, self.options, first)
                            .of_rows(self.columns, &it.rows),
                        problems: Vec::new(),
                    }
                }
                (_, Err(problems)) | (Err(problems), _) => Screened {
                    line: error_line(&it.floor, self.options, problems)
                        .of_rows(self.columns, &it.rows),
                    problems: problems.clone(),
                },
            };
            (*at, screened)
        };
        piece.iter().map(one).collect()
    }

    /// The round of a key: one that is kept, or one to be drawn by whoever comes first.
    fn round(&self, key: RoundKey, group: usize) -> Arc<OnceLock<FirstRound>> {
        let mut rounds = lock(&self.rounds);
        if let Some(at) = rounds.iter().position(|it| it.0 == key) {
            let known = rounds.remove(at);
            rounds.push(known.clone());
            return known.1;
        }
        let new = Arc::new(OnceLock::new());
        // A floor alone among thousands is not likely to be followed by one like it.
        if group > 1 {
            if rounds.len() >= ROUNDS {
                rounds.remove(0);
            }
            rounds.push((key, new.clone()));
        }
        new
    }
}

fn lock<T>(it: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    it.lock().expect("no thread fails while it holds this")
}

/// Does work on threads; `done` gets each result on this thread, as it comes.
fn in_parallel<T: Send, R: Send>(
    threads: usize,
    items: Vec<T>,
    work: impl Fn(T) -> R + Sync,
    mut done: impl FnMut(usize, R),
) {
    let items: Vec<Mutex<Option<T>>> = items.into_iter().map(|it| Mutex::new(Some(it))).collect();
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        let (send, receive) = mpsc::channel();
        for _ in 0..threads.min(items.len()) {
            let send = send.clone();
            let (items, next, work) = (&items, &next, &work);
            scope.spawn(move || {
                loop {
                    let at = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(at).and_then(|it| lock(it).take()) else {
                        return;
                    };
                    if send.send((at, work(item))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        for (at, result) in receive {
            done(at, result);
        }
    });
}
