//! A floor whose concrete passes on humidity: another law of concrete than the program's, over
//! the measured wells nearest to it.
//!
//! # Formula
//!
//! `dH/dt = d/dx (D(H) dH/dx)` with `D` after Bazant and Najjar (1972), as the CEB-FIP Model Code
//! 1990 has it: `D1 (a + (1 - a) / (1 + ((1 - H)/(1 - Hc))^n))`, `a` 0.05, `Hc` 0.80, `n` 15, `D1`
//! 1e-9 m2/s over a tenth of the strength in MPa; and near saturation the sucking that a drying
//! law lacks, from the sorptivity. Water by humidity in Hansen's form (1986),
//! `u (1 - ln(H)/A)^(-1/n)`. All of these from memory; levels of water and air are judgement.

use super::wells::WellRow;
use slabseason::climate::Place;
use slabseason::lessons::Random;
use slabseason::survey::{Dehumidifier, Drainage, LotPosition, Retarder, SubDrain, Visit};

/// Months of what a meter shows, from January of the visit's year on.
pub const MONTHS: usize = 24;
const CELLS: usize = 20;
/// Cells that a meter reads: the top 20 mm of 100.
const READ: usize = 4;
const STEP_S: f64 = 43_200.0;
const STEPS_A_MONTH: usize = 61;
/// Years that are run before the visit's year, so that the start is forgotten.
const YEARS_BEFORE: usize = 4;

/// Percent by mass of soaked concrete, and Hansen's two numbers for an ordinary concrete: 2.7 %
/// at 60 % humidity, 3.8 at 80, 4.8 at 90.
const SOAKED_PERCENT: f64 = 7.2;
const HANSEN_A: f64 = 0.0926;
const HANSEN_N: f64 = 1.89;

fn percent_of(humidity: f64) -> f64 {
    let base = 1.0 - humidity.clamp(0.01, 1.0).ln() / HANSEN_A;
    SOAKED_PERCENT * base.powf(-1.0 / HANSEN_N)
}

/// The concrete of one floor.
struct Concrete {
    drying: f64,
    sucking: f64,
    thickness_m: f64,
}

impl Concrete {
    /// m2/s.
    fn diffusivity(&self, humidity: f64) -> f64 {
        let gap = (1.0 - humidity).max(0.0);
        let dry = 0.05 + 0.95 / (1.0 + (gap / 0.20).powi(15));
        let wet = 1.0 / (1.0 + (gap / 0.04).powi(4));
        self.drying * dry + self.sucking * wet
    }
}

/// What a face is joined to: humidity beyond it, and how easily it passes, m/s.
#[derive(Clone, Copy)]
struct Face {
    humidity: f64,
    eases: f64,
}

/// One step of the profile, top first, by a backward step with the diffusivities of its start.
fn step(concrete: &Concrete, profile: &mut [f64; CELLS], top: Face, bottom: Face) {
    let width = concrete.thickness_m / CELLS as f64;
    let diffusivity = profile.map(|it| concrete.diffusivity(it));
    let joined = |cell: usize, face: Face| {
        // Through half a cell whose humidity lies between that of the cell and beyond the face.
        let between = concrete.diffusivity(0.5 * (profile[cell] + face.humidity));
        1.0 / (1.0 / face.eases + 0.5 * width / between)
    };
    let (above, below) = (joined(0, top), joined(CELLS - 1, bottom));
    let mut pass = [0.0; CELLS + 1];
    pass[0] = above;
    pass[CELLS] = below;
    for at in 1..CELLS {
        pass[at] = 0.5 * (diffusivity[at - 1] + diffusivity[at]) / width;
    }
    let share = STEP_S / width;
    let (mut kept, mut known) = ([0.0; CELLS], [0.0; CELLS]);
    for at in 0..CELLS {
        let (up, down) = (share * pass[at], share * pass[at + 1]);
        let mut diagonal = 1.0 + up + down;
        let mut right = profile[at];
        if at == 0 {
            right += up * top.humidity;
        } else {
            diagonal -= up * kept[at - 1];
            right += up * known[at - 1];
        }
        if at == CELLS - 1 {
            right += down * bottom.humidity;
        }
        kept[at] = down / diagonal;
        known[at] = right / diagonal;
    }
    profile[CELLS - 1] = known[CELLS - 1];
    for at in (0..CELLS - 1).rev() {
        profile[at] = known[at] + kept[at] * profile[at + 1];
    }
}

/// What a meter shows on one floor in [`MONTHS`] months, percent by mass, and its surface's
/// humidity. Of the facts as they were told: here owners know.
pub fn course(
    random: &mut Random,
    place: &Place,
    wells: &[&'static WellRow],
    told: &Visit,
) -> ([f64; MONTHS], [f64; MONTHS]) {
    let spread = |random: &mut Random, middle: f64, factor: f64| {
        middle * (factor.ln() * random.normal()).exp()
    };
    let well = wells[random.below(wells.len())].months();
    let swing = spread(random, 1.0, 1.5);
    let mean_m = match told.lot.position {
        Some(LotPosition::High) => -2.6,
        Some(LotPosition::Low) => -0.5,
        _ => -1.5,
    } + 0.7 * random.normal()
        + if told.lot.drainage == Some(Drainage::Failing) {
            0.3
        } else {
            0.0
        };
    let drains = told.lot.sub_drain == Some(SubDrain::Works) && random.chance(0.9);
    let sound_sheet = match told.floor.retarder {
        Some(Retarder::Seen) => 0.7,
        Some(Retarder::Absent) => 0.0,
        _ => 0.35,
    };
    // Air layers of 40, 3 and 0.3 m pass as easily as these where 100 kg/m3 change by humidity.
    let (vapor, water) = if random.chance(sound_sheet) {
        (7.0e-11, 1.0e-9)
    } else if random.chance(0.3) {
        (1.0e-9, 5.0e-8)
    } else {
        (1.0e-8, 5.0e-7)
    };
    let (vapor, water) = (spread(random, vapor, 1.8), spread(random, water, 1.8));
    let concrete = Concrete {
        drying: spread(random, 5.0e-10, 1.6),
        sucking: spread(random, 4.0e-9, 2.0),
        thickness_m: (0.1 + 0.01 * random.normal()).clamp(0.075, 0.13),
    };
    let scale = 1.0 + 0.10 * random.normal();
    let excess_pa = (300.0 + 150.0 * random.normal()).max(30.0);
    let room_eases = spread(random, 3.0e-7, 1.5);
    let cools = told.air.air_conditioned.unwrap_or(random.chance(0.6));
    let machine = match told.air.dehumidifier {
        Some(it) => it == Dehumidifier::Running,
        None => random.chance(0.3),
    };
    let warmer_k = 1.5 * random.normal();
    let saturation = |t: f64| 611.0 * (17.5 * t / (241.0 + t)).exp();
    let yearly_c = place.mean_c.iter().sum::<f64>() / 12.0;
    let mut profile = [0.7; CELLS];
    let (mut percent, mut surface) = ([0.0; MONTHS], [0.0; MONTHS]);
    let mut lasting_m = 0.0;
    for month in 0..12 * YEARS_BEFORE + MONTHS {
        let (now, last) = (month % 12, (month + 11) % 12);
        // Wet and dry spells last some months.
        lasting_m = 0.7 * lasting_m + 0.2 * random.normal();
        let level_m = mean_m + swing * well[now] + lasting_m;
        let level_m = if drains { level_m.min(-0.25) } else { level_m };
        let contact = 1.0 / (1.0 + (-(level_m + 0.1) / 0.07).exp());
        let outdoor_c = place.mean_c[now];
        // Rooms below grade and their slabs lag the weather by half a month.
        let lagged = 0.5 * (outdoor_c + place.mean_c[last]) - yearly_c;
        let room_c = 18.0 + 0.2 * (yearly_c - 10.0) + 0.25 * lagged + warmer_k;
        let slab_c = room_c - 1.5 + 0.05 * lagged.min(0.0);
        let moist = (1.0 - outdoor_c / 20.0).clamp(0.0, 1.0);
        let mut vapor_pa = saturation(place.dew_point_c[now] + 0.6 * random.normal())
            + excess_pa * (0.3 + 0.7 * moist);
        if machine {
            vapor_pa = vapor_pa.min(0.55 * saturation(room_c));
        } else if cools {
            vapor_pa = vapor_pa.min(0.68 * saturation(room_c));
        }
        let top = Face {
            humidity: (vapor_pa / saturation(slab_c)).clamp(0.15, 0.98),
            eases: room_eases,
        };
        let bottom = Face {
            humidity: 1.0,
            eases: vapor + contact * water,
        };
        let (mut read, mut face) = (0.0, 0.0);
        for _ in 0..STEPS_A_MONTH {
            step(&concrete, &mut profile, top, bottom);
            let layer = profile[..READ].iter().map(|it| percent_of(*it));
            read += layer.sum::<f64>() / READ as f64 / STEPS_A_MONTH as f64;
            face += profile[0] / STEPS_A_MONTH as f64;
        }
        if let Some(at) = month.checked_sub(12 * YEARS_BEFORE) {
            percent[at] = scale * read;
            surface[at] = face;
        }
    }
    (percent, surface)
}
