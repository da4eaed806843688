//! Whether stated chances come true, on invented floors whose truth is known.
//!
//! `cargo run --release --example calibration [FLOORS] [--seed N] [--mistakes] [--all-signs]
//! [--draws N] [--only TOWN] [--rows]`
//!
//! Every floor is invented: answers are made up, a truth is drawn from the priors that the
//! answers select, with its own weather; signs and readings are drawn from the model's own
//! chances for that truth. What the posterior then states is set against what the truth did.
//! This checks the arithmetic of weighing, never the physics: truth and model share them.
//!
//! Which answers are made up does not matter for that, since the truth follows them: half of
//! the floors are told as those of damp houses, and a fifth is drawn until darkening is
//! reported, so that the rare tenths and signs are not left empty. The shares of chances in
//! the tables are therefore not those of real floors.
//!
//! `--mistakes`: facts (lot, drainage, retarder, year) are told wrong 7 times in 100.
//! `--all-signs`: all six weak signs are asked, each seen independently of the others; else
//! one at most, because the weighing takes the six to be kin.
//! `--draws N`: always N draws, to tell errors of weighing from too few draws.
//! `--only TOWN`: the floors of a town of the list, such as "Minneapolis MN", named once for each
//! town that is wanted.
//! `--rows`: one line of comma-separated values for each floor, after the tables.

use slabseason::climate::{Place, PlaceQuery, find_place};
use slabseason::ledger::region_of;
use slabseason::lessons::{Invented, LessonTable, Random, Telling, WeakSigns, invent};
use slabseason::odds::evidence::meter_sd;
use slabseason::odds::posterior::{Effort, FULL, Limits, Posterior, posterior};
use slabseason::odds::priors::normal_cdf;
use slabseason::odds::simulate::run_on;

/// Places of varied climate.
const PLACES: [(&str, &str); 12] = [
    ("05401", "Burlington VT"),
    ("14604", "Rochester NY"),
    ("15222", "Pittsburgh PA"),
    ("43215", "Columbus OH"),
    ("55401", "Minneapolis MN"),
    ("60601", "Chicago IL"),
    ("02108", "Boston MA"),
    ("98101", "Seattle WA"),
    ("97201", "Portland OR"),
    ("80202", "Denver CO"),
    ("30303", "Atlanta GA"),
    ("64106", "Kansas City MO"),
];
const LIMIT_PERCENT: f64 = 5.0;
/// Later readings have noise of their own.
const SPOTS: u64 = 0x5107;

fn main() {
    let options = Options::from_args();
    let places: Vec<Town> = PLACES
        .iter()
        .filter(|(_, name)| options.only.is_empty() || options.only.iter().any(|it| it == name))
        .map(|(code, name)| {
            let query = PlaceQuery::parse(code).expect("a postal code in the list above");
            Town {
                code,
                name,
                place: find_place(&query).expect("a place of the bundled table"),
            }
        })
        .collect();
    assert!(!places.is_empty(), "no such town: {:?}", options.only);
    // Two threads take floors in turn; each floor has its own generator, so that neither
    // order nor number changes a floor.
    let mut floors: Vec<Floor> = Vec::with_capacity(options.floors);
    std::thread::scope(|scope| {
        let (options, places) = (&options, &places);
        let workers = [0, 1].map(|first| {
            scope.spawn(move || {
                (first..options.floors)
                    .step_by(2)
                    .map(|index| one_floor(index, options, places))
                    .collect::<Vec<Floor>>()
            })
        });
        for worker in workers {
            floors.extend(worker.join().expect("a floor that does not panic"));
        }
    });
    floors.sort_by_key(|it| it.index);
    report(&options, &floors);
    if options.rows {
        rows(&floors);
    }
}

/// One of [`PLACES`].
struct Town {
    code: &'static str,
    name: &'static str,
    place: Place,
}

struct Options {
    floors: usize,
    seed: u64,
    only: Vec<String>,
    mistakes: bool,
    all_signs: bool,
    rows: bool,
    effort: Effort,
}

impl Options {
    fn from_args() -> Self {
        let mut options = Self {
            floors: 1_000,
            seed: 20_260_908,
            only: Vec::new(),
            mistakes: false,
            all_signs: false,
            rows: false,
            effort: FULL,
        };
        let mut args = std::env::args().skip(1);
        let number = |given: Option<String>, what: &str| -> u64 {
            given
                .and_then(|it| it.parse().ok())
                .unwrap_or_else(|| panic!("{what} takes a whole number"))
        };
        while let Some(arg) = args.next() {
            match arg.as_str() {
                "--mistakes" => options.mistakes = true,
                "--all-signs" => options.all_signs = true,
                "--rows" => options.rows = true,
                "--seed" => options.seed = number(args.next(), "--seed"),
                "--only" => options.only.extend(args.next()),
                "--draws" => {
                    options.effort = Effort {
                        most: number(args.next(), "--draws") as usize,
                        enough: f64::INFINITY,
                        ..FULL
                    };
                }
                _ => options.floors = number(Some(arg), "the number of floors") as usize,
            }
        }
        options
    }
}

/// What was stated of one floor, and what came.
struct Floor {
    index: usize,
    town: &'static str,
    month: usize,
    stated: f64,
    over: bool,
    stated_before: f64,
    stated_five: f64,
    over_five: bool,
    /// Chance, as stated, of a reading at or under the true one, by month of the next year.
    ranks: [f64; 12],
    /// Whether the stated 80 % band held the true reading, by month.
    in_band: [bool; 12],
    /// The same of a reading of one spot with its noise, which the band is of.
    read_in_band: [bool; 12],
    region: &'static str,
    effective_draws: f64,
    rounds: usize,
    k_hat: f64,
    p_value: f64,
    held: bool,
    reads_high: bool,
    darkening: Option<bool>,
    mistakes: usize,
    /// Change of the true reading over one step of the mark, percent by weight.
    per_step: f64,
}

fn one_floor(index: usize, options: &Options, towns: &[Town]) -> Floor {
    let mut random = Random::of(options.seed, index);
    let town = &towns[index % towns.len()];
    let place = &town.place;
    let month = (index / towns.len()) % 12;
    let telling = Telling {
        mistake: options
            .mistakes
            .then_some(LessonTable::bundled().told_wrong),
        weak: if options.all_signs {
            WeakSigns::Six
        } else {
            WeakSigns::One
        },
        darkening_share: LessonTable::bundled().darkening_share,
    };
    let Invented {
        told: visit,
        mut truth,
    } = invent(&mut random, place, town.code, month, telling);
    let limits = Limits {
        meter_percent: Some(LIMIT_PERCENT),
        probe_humidity: None,
        dome_flux: None,
    };
    let stated = posterior(place, &visit, limits, options.effort);
    truth.run_as_judged(place, &visit);
    let outcome = truth.outcome();
    let later = run_on(&truth.group, &truth.plan)[truth.lane];
    let shown = |fraction: f64| truth.shown(fraction);
    let truths: [f64; 12] =
        std::array::from_fn(|month| shown(outcome.next_year[month].meter_fraction));
    let highest = truths.iter().copied().fold(0.0, f64::max);
    let mut of_spot = Random::of(options.seed ^ SPOTS, index);
    let read: [f64; 12] = truths.map(|it| it + meter_sd(1.0) * of_spot.normal());
    let bands: [[f64; 2]; 12] = std::array::from_fn(|month| {
        let [low, _, high] = stated.reading_quantiles(
            &stated.after.weights,
            |draw| stated.scales[draw],
            |draw| 100.0 * stated.outcomes[draw].next_year[month].meter_fraction,
            [0.1, 0.5, 0.9],
        );
        [low, high]
    });
    let within = |values: &[f64; 12]| {
        std::array::from_fn(|month| (bands[month][0]..=bands[month][1]).contains(&values[month]))
    };
    Floor {
        index,
        town: town.name,
        month,
        stated: stated.exceedance(),
        over: highest > LIMIT_PERCENT,
        stated_before: stated.exceedance_before(),
        stated_five: stated.exceedance_five_years(),
        over_five: highest.max(shown(later.meter_fraction)) > LIMIT_PERCENT,
        ranks: std::array::from_fn(|month| rank(&stated, month, truths[month])),
        in_band: within(&truths),
        read_in_band: within(&read),
        region: region_of(place),
        effective_draws: stated.effective_draws,
        rounds: stated.rounds,
        k_hat: stated.after.k_hat,
        p_value: stated.reading_p_value.unwrap_or(1.0),
        held: !stated.is_explained(),
        reads_high: stated.reading_is_high,
        darkening: visit.signs.spring_darkening,
        mistakes: truth.told_wrong.len(),
        per_step: shown(outcome.at_marks[1].meter_fraction)
            - shown(outcome.at_marks[0].meter_fraction),
    }
}

/// Stated chance of a reading at or under a value, with the scale of the meter exact.
fn rank(stated: &Posterior, month: usize, value: f64) -> f64 {
    stated.mean_after(|draw| {
        let dry = 100.0 * stated.outcomes[draw].next_year[month].meter_fraction;
        let scale = stated.scales[draw];
        normal_cdf((value / dry.max(1.0e-9) - scale.mean) / scale.sd)
    })
}

fn report(options: &Options, floors: &[Floor]) {
    println!(
        "# Calibration on {} invented floors (seed {}{}{})\n",
        floors.len(),
        options.seed,
        if options.mistakes {
            ", facts wrong 7 in 100"
        } else {
            ""
        },
        if options.all_signs {
            ", all weak signs"
        } else {
            ""
        },
    );
    let held: Vec<&Floor> = floors.iter().filter(|it| it.held).collect();
    let high = held.iter().filter(|it| it.reads_high).count();
    println!(
        "Held as not explained: {} ({:.1} %; {high} high, {} low), left out below except where said.",
        held.len(),
        100.0 * held.len() as f64 / floors.len() as f64,
        held.len() - high
    );
    let mistaken = floors.iter().filter(|it| it.mistakes > 0).count();
    if options.mistakes {
        let held_of = held.iter().filter(|it| it.mistakes > 0).count();
        println!(
            "Floors with a fact told wrong: {mistaken}, of which {held_of} held ({:.1} %); of the rest {:.1} % held.",
            100.0 * held_of as f64 / mistaken.max(1) as f64,
            100.0 * (held.len() - held_of) as f64 / (floors.len() - mistaken).max(1) as f64
        );
    }
    let of = |keep: &dyn Fn(&Floor) -> bool| -> Vec<&Floor> {
        floors.iter().filter(|it| !it.held && keep(it)).collect()
    };
    part("All that are graded", &of(&|_| true));
    part("Darkening reported", &of(&|it| it.darkening == Some(true)));
    part(
        "Effective draws under 200",
        &of(&|it| it.effective_draws < 200.0),
    );
    part("More than one round", &of(&|it| it.rounds > 1));
    let mut regions: Vec<&str> = floors.iter().map(|it| it.region).collect();
    regions.sort_unstable();
    regions.dedup();
    for region in regions {
        part(region, &of(&|it| it.region == region));
    }
    for (quarter, name) in [
        "Read January to March",
        "Read April to June",
        "Read July to September",
        "Read October to December",
    ]
    .iter()
    .enumerate()
    {
        part(name, &of(&|it| it.month / 3 == quarter));
    }
    if options.mistakes {
        part("A fact told wrong", &of(&|it| it.mistakes > 0));
    }
    let everyone: Vec<(f64, bool)> = floors
        .iter()
        .map(|it| (it.stated_before, it.over))
        .collect();
    table("Before the reading, held floors included", &everyone);
    let five: Vec<(f64, bool)> = of(&|_| true)
        .iter()
        .map(|it| (it.stated_five, it.over_five))
        .collect();
    table("Any of five years", &five);
    let everyone: Vec<(f64, bool)> = held.iter().map(|it| (it.stated, it.over)).collect();
    table("Held floors, as if they were graded", &everyone);

    let mut p_values = [0usize; 5];
    for floor in floors {
        p_values[((floor.p_value * 5.0) as usize).min(4)] += 1;
    }
    println!("\nReading p-values by fifths (even if the weighing is right): {p_values:?}");
    let mut steps: Vec<f64> = floors.iter().map(|it| it.per_step.abs()).collect();
    steps.sort_by(f64::total_cmp);
    println!(
        "Change of the true reading over one step of the calendar (3.4 days), percent by weight: median {:.3}, 95 % {:.3}, most {:.3}",
        at_share(&steps, 0.5),
        at_share(&steps, 0.95),
        at_share(&steps, 1.0)
    );
}

fn at_share(sorted: &[f64], share: f64) -> f64 {
    match sorted.len() {
        0 => f64::NAN,
        count => sorted[((share * (count - 1) as f64).round() as usize).min(count - 1)],
    }
}

fn part(name: &str, floors: &[&Floor]) {
    let pairs: Vec<(f64, bool)> = floors.iter().map(|it| (it.stated, it.over)).collect();
    table(name, &pairs);
    if floors.is_empty() {
        return;
    }
    let count = floors.len() as f64;
    // Months of one floor go together: the error is that of the floors' own shares.
    let coverage = |inside: &dyn Fn(&Floor, usize) -> bool| -> (f64, f64) {
        let shares: Vec<f64> = floors
            .iter()
            .map(|it| (0..12).filter(|month| inside(it, *month)).count() as f64 / 12.0)
            .collect();
        let mean = shares.iter().sum::<f64>() / count;
        let square = shares.iter().map(|it| (it - mean).powi(2)).sum::<f64>();
        (100.0 * mean, 100.0 * square.sqrt() / count)
    };
    let stated = coverage(&|it, month| it.in_band[month]);
    let read = coverage(&|it, month| it.read_in_band[month]);
    let exact = coverage(&|it, month| (0.1..=0.9).contains(&it.ranks[month]));
    let under = coverage(&|it, month| it.ranks[month] < 0.1);
    let above = coverage(&|it, month| it.ranks[month] > 0.9);
    println!(
        "\n80 % bands of the next year's months: {:.1} % (se {:.1}) of readings of one spot inside; {:.1} % of true readings; {:.1} % with the meter's scale exact, {:.1} % below, {:.1} % above.",
        read.0, read.1, stated.0, exact.0, under.0, above.0
    );
    let mut effective: Vec<f64> = floors.iter().map(|it| it.effective_draws).collect();
    effective.sort_by(f64::total_cmp);
    let most = floors.iter().map(|it| it.rounds).max().unwrap_or(1);
    let rounds: Vec<usize> = (1..=most)
        .map(|rounds| floors.iter().filter(|it| it.rounds == rounds).count())
        .collect();
    println!(
        "Effective draws: least {:.0}, 5 % {:.0}, median {:.0}; floors by rounds from 1 on: {rounds:?}; k-hat over 0.7: {}.",
        effective[0],
        at_share(&effective, 0.05),
        at_share(&effective, 0.5),
        floors.iter().filter(|it| it.k_hat > 0.7).count()
    );
}

/// Stated chances against what came, by tenths.
fn table(name: &str, pairs: &[(f64, bool)]) {
    println!("\n## {name}: {} floors\n", pairs.len());
    if pairs.is_empty() {
        return;
    }
    println!("| stated | floors | mean stated | came true | se | gap, points | gap in se |");
    println!("|---|---|---|---|---|---|---|");
    for tenth in 0..10 {
        let inside: Vec<&(f64, bool)> = pairs
            .iter()
            .filter(|it| ((it.0 * 10.0) as usize).min(9) == tenth)
            .collect();
        if inside.is_empty() {
            continue;
        }
        let line = Line::of(inside.iter().copied());
        println!(
            "| {:.1} to {:.1} | {} | {:.3} | {:.3} | {:.3} | {:+.1} | {:+.1} |",
            tenth as f64 / 10.0,
            (tenth + 1) as f64 / 10.0,
            inside.len(),
            line.stated,
            line.came,
            line.error,
            100.0 * (line.came - line.stated),
            (line.came - line.stated) / line.error
        );
    }
    let line = Line::of(pairs.iter());
    println!(
        "| all | {} | {:.3} | {:.3} | {:.3} | {:+.1} | {:+.1} |",
        pairs.len(),
        line.stated,
        line.came,
        line.error,
        100.0 * (line.came - line.stated),
        (line.came - line.stated) / line.error
    );
    let count = pairs.len() as f64;
    let outcome = |over: bool| f64::from(u8::from(over));
    let brier = pairs
        .iter()
        .map(|(stated, over)| (stated - outcome(*over)).powi(2))
        .sum::<f64>()
        / count;
    let expected = pairs.iter().map(|it| it.0 * (1.0 - it.0)).sum::<f64>() / count;
    println!(
        "\nBrier score {brier:.4}; {expected:.4} if every chance were right; {:.4} for the base rate alone.",
        line.came * (1.0 - line.came)
    );
}

struct Line {
    stated: f64,
    came: f64,
    /// Standard error of the share, were every stated chance right.
    error: f64,
}

impl Line {
    fn of<'a>(pairs: impl Iterator<Item = &'a (f64, bool)>) -> Self {
        let (mut count, mut stated, mut came, mut square) = (0.0, 0.0, 0.0, 0.0);
        for (chance, over) in pairs {
            count += 1.0;
            stated += chance;
            came += f64::from(u8::from(*over));
            square += chance * (1.0 - chance);
        }
        Self {
            stated: stated / count,
            came: came / count,
            error: square.max(1.0e-12).sqrt() / count,
        }
    }
}

fn rows(floors: &[Floor]) {
    println!(
        "\nindex,place,month,stated,over,before,five,over_five,effective,rounds,k_hat,p_value,held,darkening,mistakes,inside,ranks"
    );
    for it in floors {
        let ranks: Vec<String> = it.ranks.iter().map(|rank| format!("{rank:.3}")).collect();
        println!(
            "{},{},{},{:.4},{},{:.4},{:.4},{},{:.0},{},{:.2},{:.4},{},{:?},{},{},{}",
            it.index,
            it.town,
            it.month + 1,
            it.stated,
            u8::from(it.over),
            it.stated_before,
            it.stated_five,
            u8::from(it.over_five),
            it.effective_draws,
            it.rounds,
            it.k_hat,
            it.p_value,
            u8::from(it.held),
            it.darkening,
            it.mistakes,
            it.in_band.iter().filter(|it| **it).count(),
            ranks.join(" ")
        );
    }
}
