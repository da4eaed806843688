//! The weather of the months before a visit, as far as it is known, against a place's normals.

use super::parameters::MONTHS_BEFORE;
use crate::climate::Place;
use crate::season::Departure;
use crate::survey::{MonthHad, MonthRain, Visit};
use chrono::Datelike;

/// What is known of the months up to the visit's one. Nothing, as a rule.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WeatherHad {
    /// Months back from the visit's one, with their rain as a multiple of the normal and how much
    /// warmer than normal they were, K.
    months: Vec<MonthKnown>,
    /// Rain of so many whole months before the visit's one, as a multiple of the normal: the
    /// shorter span first.
    spans: Vec<(usize, f64)>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct MonthKnown {
    back: usize,
    rain: Option<f64>,
    warmer_k: Option<f64>,
}

/// Least rain that is left for the months of a span that are not known, as a multiple of normal.
const LEAST_LEFT: f64 = 0.02;
/// Normal rain of a month that is counted at least, mm: less has no percent to speak of.
const LEAST_NORMAL_MM: f64 = 1.0;

/// How many of the months of a visit's table of weather count: those up to the visit's one, as
/// far back as months are run one by one.
pub fn months_used(visit: &Visit) -> usize {
    let counts = |it: &&MonthHad| months_back(visit, it).is_some();
    visit.weather.months.iter().flatten().filter(counts).count()
}

/// How many months before the visit's one a month was, where that counts.
fn months_back(visit: &Visit, it: &MonthHad) -> Option<usize> {
    let serial = |year: i32, month0: u32| i64::from(year) * 12 + i64::from(month0);
    let now = serial(visit.visit_date.year(), visit.visit_date.month0());
    let back = usize::try_from(now - serial(it.year, it.month - 1)).ok()?;
    (back < MONTHS_BEFORE).then_some(back)
}

impl WeatherHad {
    /// Of a visit at its place. Months after the visit's one are not used: the years ahead stay
    /// drawn.
    pub fn of(place: &Place, visit: &Visit) -> Self {
        let known = visit.weather.months.iter().flatten().filter_map(|it| {
            months_back(visit, it).map(|back| {
                let at = it.month as usize - 1;
                MonthKnown {
                    back,
                    rain: it.rain.map(|rain| match rain {
                        MonthRain::Fallen(mm) => {
                            mm / place.precipitation_mm[at].max(LEAST_NORMAL_MM)
                        }
                        MonthRain::OfNormal(share) => share,
                    }),
                    warmer_k: it.mean.map(|it| it.get() - place.mean_c[at]),
                }
            })
        });
        let weather = &visit.weather;
        let spans = [
            (3, weather.last_three_months),
            (12, weather.last_twelve_months),
        ];
        Self {
            months: known.collect(),
            spans: spans
                .into_iter()
                .filter_map(|(months, share)| share.map(|it| (months, it.share())))
                .collect(),
        }
    }

    /// Puts what is known in the place of what was drawn; the last of the months is the visit's
    /// one, and `normal_mm` tells the normal rain of the month so many months back.
    /// The months of a span that are not known keep their shares of what is left of its sum.
    pub fn put_into<const L: usize>(
        &self,
        drawn: &mut [[Departure; L]],
        normal_mm: impl Fn(usize) -> f64,
    ) {
        let last = drawn.len() - 1;
        let mut known = vec![false; drawn.len()];
        for it in &self.months {
            let month = &mut drawn[last - it.back];
            known[it.back] = it.rain.is_some();
            for departure in month {
                departure.rain = it.rain.unwrap_or(departure.rain);
                departure.warmer_k = it.warmer_k.unwrap_or(departure.warmer_k);
            }
        }
        for (months, share) in &self.spans {
            for l in 0..L {
                let (mut usual, mut fixed, mut open) = (0.0, 0.0, 0.0);
                for back in 1..=*months {
                    let usual_mm = normal_mm(back);
                    let fallen_mm = usual_mm * drawn[last - back][l].rain;
                    usual += usual_mm;
                    if known[back] {
                        fixed += fallen_mm;
                    } else {
                        open += fallen_mm;
                    }
                }
                if open > 0.0 {
                    let left = (share * usual - fixed).max(LEAST_LEFT * usual) / open;
                    for back in (1..=*months).filter(|it| !known[*it]) {
                        drawn[last - back][l].rain *= left;
                    }
                }
            }
            // The longer span takes what the shorter one made of its months.
            known[1..=*months].fill(true);
        }
    }
}
