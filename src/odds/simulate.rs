//! Many versions of one floor, simulated through the reading's year and the years ahead.

pub use super::forcing::Pump;
use super::forcing::{FloorConstants, Levels, NODES, PlaceYear, floor_set, levels_through};
use super::parameters::{FloorParameters, YEARS_AHEAD, YEARS_DRAWN};
use crate::season::{DAYS_PER_YEAR, STEPS_PER_MONTH, STEPS_PER_YEAR, between_months};
use crate::slab::{
    FloorRun, FloorSet, Geometry, Machines, Material, Observed, RoomSide, SlabState, Underside,
    Weights, solver::step_in, supply_through,
};
use crate::units::{Real, Work};

/// Versions that are solved side by side.
pub const LANES: usize = 16;
/// What a screen's floors are solved in.
pub type Precision = f32;

/// How the machine that dries the air is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MachinePlan {
    /// On in the reading's year.
    pub before: Machines,
    /// On in the years ahead.
    pub after: Machines,
}

/// When a slab began, counted before the end of the reading's year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Start {
    /// Old enough to have forgotten its water of construction.
    Settled,
    /// Placed so many steps before.
    Placed {
        /// Steps before the end of the reading's year; nine of them are a month.
        steps: usize,
    },
}

impl Start {
    /// The same in whole months: a slab is placed within the first of them.
    pub fn months(self) -> Option<usize> {
        match self {
            Start::Settled => None,
            Start::Placed { steps } => Some(steps.div_ceil(STEPS_PER_MONTH).max(1)),
        }
    }

    /// Age at the beginning of the first of its months, below zero, in days.
    pub fn first_age_days(self) -> f64 {
        match self {
            Start::Settled => 0.0,
            Start::Placed { steps } => {
                let before = steps.div_ceil(STEPS_PER_MONTH).max(1) * STEPS_PER_MONTH - steps;
                -(before as f64) * DAYS_PER_YEAR / STEPS_PER_YEAR as f64
            }
        }
    }
}

/// Calendar and use of the floor, the same for all versions.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Calendar month (0 to 11) of the reading, or of the visit without one; the reading's
    /// year ends with it.
    pub reading_month: usize,
    /// How old the slab is.
    pub start: Start,
    /// When a dehumidifier is on.
    pub machines: MachinePlan,
    /// A sump that takes water: the floor is graded as if its pump failed.
    pub pump: Pump,
    /// Steps of the last two years (0 to 215, in time order) at which readings were taken.
    pub marks: Vec<usize>,
    /// Whether the darkest patch is worked out beside the open floor.
    pub patch: Patch,
    /// Whether the calcium chloride test is simulated at the marks and through the months.
    pub dome: Dome,
    /// Density and depths that hold for every floor.
    pub constants: FloorConstants,
}

/// Whether the darkest patch of a floor is wanted: it costs a second solve.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Patch {
    /// The open floor is enough.
    NotAsked,
    /// The patch is solved as well.
    Asked,
}

/// Whether the flux into a dry dome is wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Dome {
    /// No calcium chloride test: the flux stays 0.
    NotAsked,
    /// The test (ASTM F1869) is run at each mark and in each month.
    Asked {
        /// Length of the test, h.
        hours: f64,
        /// Humidity of the air over the salt, 0 to 1.
        humidity: f64,
        /// Temperature of the slab, °C.
        slab_c: f64,
    },
}

/// A floor at the time of a reading, or over a month.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Snapshot {
    /// Water by weight in the layer a meter reads, a fraction.
    pub meter_fraction: f64,
    /// Pore humidity that belongs to it.
    pub layer_humidity: f64,
    /// Pore humidity of the top face, 0 to 1.
    pub surface_humidity: f64,
    /// Pore humidity at the depth of a probe, 0 to 1.
    pub probe_humidity: f64,
    /// Water out of the top, kg/(m2 s).
    pub flux: f64,
    /// Water shed by a saturated surface, kg/(m2 s).
    pub shed: f64,
    /// Share of the underside that is wetted.
    pub contact: f64,
    /// Vapor pressure of the room, Pa.
    pub room_pa: f64,
    /// Flux into a dry dome over the hours of the test, kg/(m2 s); 0 when not asked.
    pub dome_flux: f64,
}

/// One year by calendar month, January first.
pub type Year = [Snapshot; 12];

/// What one version of the floor did.
#[derive(Debug, Clone)]
pub struct SimulatedFloor {
    /// The version itself.
    pub parameters: FloorParameters,
    /// The year that ends with the reading's month.
    pub reading_year: Year,
    /// The floor at each mark of the plan, in that order.
    pub at_marks: Vec<Snapshot>,
    /// The year after the reading, by calendar month.
    pub next_year: Year,
    /// Highest monthly values of the next year.
    pub next_most: Highest,
    /// Calendar month (0 to 11) of the next year in which the meter's layer is wettest.
    pub wettest: usize,
    /// Highest of the second to fifth year ahead, once they have been run.
    pub later: Option<Highest>,
    /// The darkest patch of the floor, where a sign or a spot asks for it.
    pub patch: Option<Box<PatchYears>>,
    /// Highest level of the reading's year with the drain at work, m above the underside.
    pub highest_capped_m: f64,
    /// The same without the drain, m above the underside.
    pub highest_uncapped_m: f64,
    /// Mean level of the reading's year without the drain, m above the underside.
    pub mean_uncapped_m: f64,
    /// Highest level of the reading's year and the four before it, m.
    pub five_year_peak_m: f64,
    /// How wet the months before the visit's one were, as a normal score.
    pub lately_score: f64,
    /// Highest level of the next year from the ground's own store alone.
    pub next_ground_only_m: f64,
    /// Highest level of the next year.
    pub next_highest_m: f64,
    /// Level of the next year by calendar month, m above the underside.
    pub next_level_m: [f64; 12],
    /// Room temperature by calendar month, °C, and the slab's surface.
    pub room_c: [f64; 12],
    /// Temperature of the slab's surface by calendar month, °C.
    pub surface_c: [f64; 12],
}

/// The patch of a floor with a faster path for water: joints, cracks, thin or weak concrete.
#[derive(Debug, Clone, PartialEq)]
pub struct PatchYears {
    /// The reading's year by calendar month, January first.
    pub reading_year: Year,
    /// Highest monthly values of the next year.
    pub next_most: Highest,
}

/// Highest monthly values over some years.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Highest {
    /// Highest water by weight in the layer a meter reads, a fraction.
    pub meter_fraction: f64,
    /// Highest pore humidity at the depth of a probe, 0 to 1.
    pub probe_humidity: f64,
    /// Highest flux into a dry dome, kg/(m2 s); 0 when not asked.
    pub dome_flux: f64,
}

impl Highest {
    /// Of one month.
    pub fn of_month(month: &Snapshot) -> Self {
        Self {
            meter_fraction: month.meter_fraction,
            probe_humidity: month.probe_humidity,
            dome_flux: month.dome_flux,
        }
    }

    /// Of one year.
    pub fn of(year: &Year) -> Self {
        year.iter()
            .map(Self::of_month)
            .fold(Self::default(), Self::and)
    }

    /// Of these years and of others.
    pub fn and(self, more: Self) -> Self {
        Self {
            meter_fraction: self.meter_fraction.max(more.meter_fraction),
            probe_humidity: self.probe_humidity.max(more.probe_humidity),
            dome_flux: self.dome_flux.max(more.dome_flux),
        }
    }
}

/// Versions of one group at the visit and where the next year ended, to be run on.
#[derive(Debug, Clone)]
pub struct Group {
    /// What stays the same for these versions.
    pub set: FloorSet<NODES, LANES, Precision>,
    /// At the end of the reading's year.
    pub at_visit: FloorRun<NODES, LANES, Precision>,
    /// At the end of the next year.
    pub run: FloorRun<NODES, LANES, Precision>,
    /// Months of the water table from the reading's year on.
    pub levels_m: Vec<[f64; LANES]>,
    /// The skin that a dome dries, m of still air.
    pub dome_layer_m: [f64; LANES],
}

/// Runs a group of versions through the reading's year and the next.
pub fn run_group(
    place: &PlaceYear,
    plan: &Plan,
    parameters: &[FloorParameters; LANES],
) -> (Group, Vec<SimulatedFloor>) {
    run_group_through(place, plan, parameters, YEARS_DRAWN)
}

/// What each of some versions does through the reading's year and the next.
pub fn simulate_each(
    place: &PlaceYear,
    plan: &Plan,
    parameters: &[FloorParameters],
) -> Vec<SimulatedFloor> {
    let mut out = Vec::with_capacity(parameters.len());
    for some in parameters.chunks(LANES) {
        let lanes = std::array::from_fn(|l| some[l.min(some.len() - 1)].clone());
        let (_, outcomes) = run_group(place, plan, &lanes);
        out.extend(outcomes.into_iter().take(some.len()));
    }
    out
}

/// [`run_group`] with the water table of `years` ahead alone; of one year where nothing will
/// be run on.
pub fn run_group_through(
    place: &PlaceYear,
    plan: &Plan,
    parameters: &[FloorParameters; LANES],
    years: usize,
) -> (Group, Vec<SimulatedFloor>) {
    let first_month = (plan.reading_month + 1) % 12;
    let refs: [&FloorParameters; LANES] = std::array::from_fn(|l| &parameters[l]);
    let set = floor_set::<NODES, LANES, Precision>(place, &refs, plan.constants);
    let levels = levels_through(place, &refs, first_month, years, plan.pump);
    let mut outcomes = floors_by_ground(plan, parameters, &levels, first_month);
    temperatures(&set, &mut outcomes);
    let dome_layer_m = parameters.each_ref().map(|it| it.dome_layer_m);
    let (before_m, levels_m) = (levels.before_m, levels.capped_m);
    let year = &levels_m[..12];
    let RunUp {
        lead,
        lead_marks,
        skip,
        marks,
    } = RunUp::of(plan, &before_m);
    let early = lead_marks.len();
    let machines = plan.machines.before;
    let mut at_marks: Vec<[Snapshot; LANES]> = vec![[Snapshot::default(); LANES]; plan.marks.len()];
    let placed_in = (first_month + 12 * 100 - plan.start.months().unwrap_or(12)) % 12;
    let mut run = match plan.start {
        // A slab behind a slow retarder remembers years.
        Start::Settled => set.settled(&before_m, first_month, machines, 0),
        Start::Placed { .. } => set.placed(plan.start.first_age_days(), placed_in),
    };
    let lead_first = (first_month + 12 * 100 - lead.len()) % 12;
    let store = |moments_at: &mut Vec<[Snapshot; LANES]>,
                 at: usize,
                 seen: &Observed<LANES>,
                 run: &FloorRun<NODES, LANES, Precision>| {
        let flux = dome_flux(&set, run, plan.dome, &dome_layer_m);
        moments_at[at] = snapshots(seen, &flux);
    };
    if lead_marks.is_empty() {
        run.months_unseen(&set, &lead, lead_first, machines);
    } else if !lead.is_empty() {
        run.months(
            &set,
            &lead,
            lead_first,
            machines,
            &lead_marks,
            |_, _| {},
            |mark, (seen, run)| store(&mut at_marks, mark, seen, run),
        );
    }
    let mut reading_year = vec![[Snapshot::default(); LANES]; 12];
    run.months(
        &set,
        &year[skip..],
        (first_month + skip) % 12,
        machines,
        &marks,
        |month, seen| {
            reading_year[(first_month + skip + month) % 12] = snapshots(seen, &[0.0; LANES]);
        },
        |mark, (seen, run)| store(&mut at_marks, early + mark, seen, run),
    );
    let at_visit = run.clone();
    let asks_patch = plan.patch == Patch::Asked && plan.start == Start::Settled;
    let mut next_year = vec![[Snapshot::default(); LANES]; 12];
    months_with_dome(
        &set,
        &mut run,
        &levels_m[12..24],
        first_month,
        plan,
        &dome_layer_m,
        |month, seen, flux| {
            next_year[(first_month + month) % 12] = snapshots(seen, flux);
        },
    );
    if asks_patch {
        let years = [&reading_year, &next_year];
        let patches = patches(place, plan, parameters, &before_m, &levels_m, years);
        for (outcome, patch) in outcomes.iter_mut().zip(patches) {
            outcome.patch = Some(Box::new(patch));
        }
    }
    fill_in(&mut outcomes, [&reading_year, &next_year], &at_marks);
    (
        Group {
            set,
            at_visit,
            run,
            levels_m,
            dome_layer_m,
        },
        outcomes,
    )
}

/// Versions with what their water table alone tells; what the slab does is filled in later.
fn floors_by_ground(
    plan: &Plan,
    parameters: &[FloorParameters; LANES],
    levels: &Levels<LANES>,
    first_month: usize,
) -> Vec<SimulatedFloor> {
    let of_lane = |l: usize| {
        let next = |values: &[[f64; LANES]]| {
            let year = values[12..24].iter().map(|it| it[l]);
            year.fold(f64::NEG_INFINITY, f64::max)
        };
        let before = levels.before_m.iter().map(|it| it[l]);
        SimulatedFloor {
            parameters: parameters[l].clone(),
            reading_year: [Snapshot::default(); 12],
            at_marks: vec![Snapshot::default(); plan.marks.len()],
            next_year: [Snapshot::default(); 12],
            next_most: Highest::default(),
            wettest: 0,
            later: None,
            patch: None,
            highest_capped_m: levels.highest_capped_m[l],
            highest_uncapped_m: levels.highest_uncapped_m[l],
            mean_uncapped_m: levels.mean_uncapped_m[l],
            five_year_peak_m: before.fold(levels.highest_capped_m[l], f64::max),
            lately_score: levels.lately_score[l],
            next_ground_only_m: next(&levels.ground_only_m),
            next_highest_m: next(&levels.capped_m),
            next_level_m: std::array::from_fn(|month| {
                levels.capped_m[12 + (month + 12 - first_month) % 12][l]
            }),
            room_c: [0.0; 12],
            surface_c: [0.0; 12],
        }
    };
    (0..LANES).map(of_lane).collect()
}

/// Puts into each version what its lane did in two years and at the marks.
fn fill_in(
    outcomes: &mut [SimulatedFloor],
    [reading_year, next_year]: [&Vec<[Snapshot; LANES]>; 2],
    at_marks: &[[Snapshot; LANES]],
) {
    for (l, outcome) in outcomes.iter_mut().enumerate() {
        for month in 0..12 {
            outcome.reading_year[month] = reading_year[month][l];
            outcome.next_year[month] = next_year[month][l];
        }
        outcome.next_most = Highest::of(&outcome.next_year);
        outcome.wettest = wettest(&outcome.next_year);
        for (mark, snapshot) in at_marks.iter().enumerate() {
            outcome.at_marks[mark] = snapshot[l];
        }
    }
}

/// What is run before the reading's year, and which marks fall before it and within.
struct RunUp {
    /// Months of the water table that are run first: a year of a settled slab, of a young one those
    /// since it was placed.
    lead: Vec<[f64; LANES]>,
    /// Steps of the lead that are marked, from its beginning.
    lead_marks: Vec<usize>,
    /// Months of the reading's year in which a young slab was not there yet.
    skip: usize,
    /// Steps of the rest of the reading's year that are marked.
    marks: Vec<usize>,
}

impl RunUp {
    /// By a plan, and months of the water table before the reading's year.
    fn of(plan: &Plan, before_m: &[[f64; LANES]]) -> Self {
        let lead: Vec<[f64; LANES]> = match plan.start.months() {
            None => before_m[before_m.len() - 12..].to_vec(),
            // The months before the reading's year; those before what is drawn are like them.
            Some(months) => {
                let ahead = months.saturating_sub(12);
                let drawn = before_m.len();
                (0..ahead)
                    .map(|at| before_m[(at + drawn * 100 - ahead) % drawn])
                    .collect()
            }
        };
        let skip = 12 - plan.start.months().unwrap_or(12).min(12);
        // Marks count from the beginning of the year before the reading's; those of that year are
        // told from the end of the lead.
        let steps_per_year = 12 * STEPS_PER_MONTH;
        let lead_steps = lead.len() * STEPS_PER_MONTH;
        let (before, within): (Vec<usize>, Vec<usize>) =
            plan.marks.iter().partition(|it| **it < steps_per_year);
        let in_lead = |it: usize| (it + lead_steps).saturating_sub(steps_per_year);
        let in_year = |it: usize| it.saturating_sub(steps_per_year + skip * STEPS_PER_MONTH);
        Self {
            lead,
            lead_marks: before.into_iter().map(in_lead).collect(),
            skip,
            marks: within.into_iter().map(in_year).collect(),
        }
    }
}

/// The darkest patches of a group through the reading's year and the next: the same ground, a
/// faster path, and the vapor of the room as the open floor leaves it. A small patch moves the
/// room's air little, so its own ventilation is that of the room over its share.
fn patches(
    place: &PlaceYear,
    plan: &Plan,
    parameters: &[FloorParameters; LANES],
    before_m: &[[f64; LANES]],
    levels_m: &[[f64; LANES]],
    field: [&Vec<[Snapshot; LANES]>; 2],
) -> Vec<PatchYears> {
    let first_month = (plan.reading_month + 1) % 12;
    let patched = parameters.each_ref().map(|it| FloorParameters {
        absorption: it.patch_absorption,
        air_changes_per_h: it.air_changes_per_h / it.patch_share,
        has_machine: false,
        ..it.clone()
    });
    let mut set = floor_set::<NODES, LANES, Precision>(place, &patched.each_ref(), plan.constants);
    let machines = Machines::Off;
    let mut run: Option<FloorRun<NODES, LANES, Precision>> = None;
    let mut years: Vec<Vec<[Snapshot; LANES]>> = Vec::new();
    for (year, field) in field.into_iter().enumerate() {
        for month in 0..12 {
            for step in 0..STEPS_PER_MONTH {
                let (side, share) = between_months(step, STEPS_PER_MONTH);
                let neighbor = (month as isize + side).rem_euclid(12) as usize;
                let at = &mut set.year[month * STEPS_PER_MONTH + step];
                for l in 0..LANES {
                    let room_pa = share * field[month][l].room_pa
                        + (1.0 - share) * field[neighbor][l].room_pa;
                    at.reference_pa[l] = Precision::of(room_pa);
                }
            }
        }
        let levels = &levels_m[12 * year..12 * (year + 1)];
        let run = run.get_or_insert_with(|| {
            let mut settled = set.settled(before_m, first_month, machines, 0);
            let last_year = &before_m[before_m.len() - 12..];
            settled.months_unseen(&set, last_year, first_month, machines);
            settled
        });
        let mut seen_year = vec![[Snapshot::default(); LANES]; 12];
        run.months(
            &set,
            levels,
            first_month,
            machines,
            &[],
            |month, seen| {
                seen_year[(first_month + month) % 12] = snapshots(seen, &[0.0; LANES]);
            },
            |_, _| {},
        );
        years.push(seen_year);
    }
    (0..LANES)
        .map(|l| {
            let year = |at: usize| -> Year { std::array::from_fn(|month| years[at][month][l]) };
            PatchYears {
                reading_year: year(0),
                next_most: Highest::of(&year(1)),
            }
        })
        .collect()
}

fn wettest(year: &Year) -> usize {
    let water = |month: &usize| year[*month].meter_fraction;
    (0..12)
        .max_by(|a, b| water(a).total_cmp(&water(b)))
        .expect("twelve months")
}

/// Runs a group of versions on through the second to fifth year ahead.
pub fn run_on(group: &Group, plan: &Plan) -> [Highest; LANES] {
    let first_month = (plan.reading_month + 1) % 12;
    let mut run = group.run.clone();
    let mut later = [Highest::default(); LANES];
    let months = &group.levels_m[24..12 * (1 + YEARS_AHEAD)];
    months_with_dome(
        &group.set,
        &mut run,
        months,
        first_month,
        plan,
        &group.dome_layer_m,
        |_, seen, flux| {
            for l in 0..LANES {
                later[l].meter_fraction = later[l].meter_fraction.max(seen.meter_fraction[l]);
                later[l].probe_humidity = later[l].probe_humidity.max(seen.probe_humidity[l]);
                later[l].dome_flux = later[l].dome_flux.max(flux[l]);
            }
        },
    );
    later
}

/// Runs months and, where asked, the dome test in the middle of each.
fn months_with_dome(
    set: &FloorSet<NODES, LANES, Precision>,
    run: &mut FloorRun<NODES, LANES, Precision>,
    levels_m: &[[f64; LANES]],
    first_month: usize,
    plan: &Plan,
    dome_layer_m: &[f64; LANES],
    mut on_month: impl FnMut(usize, &Observed<LANES>, &[f64; LANES]),
) {
    let mut fluxes = vec![[0.0; LANES]; levels_m.len()];
    let marks: Vec<usize> = match plan.dome {
        Dome::NotAsked => Vec::new(),
        Dome::Asked { .. } => (0..levels_m.len())
            .map(|month| month * STEPS_PER_MONTH + STEPS_PER_MONTH / 2)
            .collect(),
    };
    let mut months = Vec::with_capacity(levels_m.len());
    run.months(
        set,
        levels_m,
        first_month,
        plan.machines.after,
        &marks,
        |_, seen| months.push(*seen),
        |mark, (_, run)| fluxes[mark] = dome_flux(set, run, plan.dome, dome_layer_m),
    );
    for (month, (seen, flux)) in months.iter().zip(&fluxes).enumerate() {
        on_month(month, seen, flux);
    }
}

/// Mean flux into a dome that holds dry air over the surface for the hours of the test, through
/// a skin of `layer_m` of still air.
pub fn dome_flux<const CUT: usize, const L: usize, R: Real>(
    set: &FloorSet<CUT, L, R>,
    run: &FloorRun<CUT, L, R>,
    dome: Dome,
    layer_m: &[f64; L],
) -> [f64; L] {
    match dome {
        Dome::NotAsked => [0.0; L],
        Dome::Asked {
            hours,
            humidity,
            slab_c,
        } => set.width.run(DomeTest {
            set,
            slab: run,
            hours,
            humidity,
            slab_c,
            layer_m,
        }),
    }
}

/// The dome test, to be compiled for every width.
struct DomeTest<'a, const CUT: usize, const L: usize, R> {
    set: &'a FloorSet<CUT, L, R>,
    slab: &'a FloorRun<CUT, L, R>,
    hours: f64,
    humidity: f64,
    slab_c: f64,
    layer_m: &'a [f64; L],
}

impl<const CUT: usize, const L: usize, R: Real> Work for DomeTest<'_, CUT, L, R> {
    type Output = [f64; L];

    #[inline(always)]
    fn run(self) -> [f64; L] {
        let set = self.set;
        let mut state = SlabState::at_rest(self.slab.state.now);
        let concrete = self.slab.concrete(set);
        let slab_pa = crate::season::saturation_pa(self.slab_c);
        let saturation_pa = [[R::of(slab_pa); L]; CUT];
        let dry = [R::of(self.humidity * slab_pa); L];
        // The skin that the dome dries stands in series with the still air.
        let film = self.layer_m.map(|it| R::of(supply_through(it)));
        let room = RoomSide {
            film,
            through_air: film,
            reference_pa: dry,
            dried_reference_pa: dry,
            setting_pa: dry,
            room_saturation_pa: saturation_pa[0],
        };
        // Three days are too short for the ground to answer.
        let under = Underside {
            supply: [R::zero(); L],
            humidity: [R::one(); L],
        };
        let geometry = Geometry::new(&set.grid, &set.thickness_m, concrete.saturation_content());
        let mut total = [0.0; L];
        // Steps that grow: the first hours are steep.
        let growth: [f64; DOME_STEPS] = std::array::from_fn(|at| ((at + 1) * (at + 1)) as f64);
        let whole: f64 = growth.iter().sum();
        for part in growth {
            let length_s = self.hours * 3_600.0 * part / whole;
            let weights = Weights::first_order(length_s);
            let passed = step_in(
                &mut state,
                concrete,
                &geometry,
                &saturation_pa,
                &room,
                &under,
                weights,
                None,
            );
            for l in 0..L {
                total[l] += passed.top[l].wide() * part / whole;
            }
        }
        total
    }
}

/// Steps of a dome test.
const DOME_STEPS: usize = 12;

fn snapshots(seen: &Observed<LANES>, dome: &[f64; LANES]) -> [Snapshot; LANES] {
    std::array::from_fn(|l| Snapshot {
        meter_fraction: seen.meter_fraction[l],
        layer_humidity: seen.layer_humidity[l],
        surface_humidity: seen.surface_humidity[l],
        probe_humidity: seen.probe_humidity[l],
        flux: seen.flux[l],
        shed: seen.shed[l],
        contact: seen.contact[l],
        room_pa: seen.room_pa[l],
        dome_flux: dome[l],
    })
}

/// Temperatures of room and surface by month, from the saturation pressures of the forcing.
fn temperatures(set: &FloorSet<NODES, LANES, Precision>, outcomes: &mut [SimulatedFloor]) {
    for month in 0..12 {
        let at = &set.year[month * STEPS_PER_MONTH + STEPS_PER_MONTH / 2];
        for (l, outcome) in outcomes.iter_mut().enumerate() {
            outcome.room_c[month] = crate::season::dew_point_c(at.room_saturation_pa[l].wide());
            outcome.surface_c[month] =
                crate::season::dew_point_c(at.surface_saturation_pa[l].wide());
        }
    }
}
