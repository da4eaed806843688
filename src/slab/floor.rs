//! The floors of a house through months and years.
//!
//! A [`FloorSet`] holds what stays the same for `L` floors; a [`FloorRun`] is where they
//! are in time. The caller names the months; nothing here knows a calendar.

use super::young::{YoungLaws, YoungTable, parts_of_step, setting_pace};
use super::{
    GenericConcrete, Geometry, Grid, Material, Passed, RoomSide, SlabState, Underside, Weights,
    YoungConcrete, Youth, material::STILL_AIR, solver::step_in,
};
use crate::season::{Cadence, YearStep, between_months, contact, dew_point_c};
use crate::units::{Lanes, Real, Width, Work};

/// Whether the machines that a floor has are on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Machines {
    /// They run, up to their capacity and setting.
    On,
    /// They stand still, or have broken down.
    Off,
}

/// What stays the same for `L` floors.
#[derive(Debug, Clone)]
pub struct FloorSet<const NODES: usize, const L: usize, R = f64> {
    /// Where the nodes lie through the slab's depth.
    pub grid: Grid<NODES>,
    /// The concrete once it is old.
    pub concrete: GenericConcrete<L, R>,
    /// The same in its first two years, for floors that are run from their placing.
    pub young: Option<YoungConcrete<L>>,
    /// Thickness of each slab, m.
    pub thickness_m: Lanes<L, R>,
    /// Vapor path from the ground, kg/(m2 s Pa): 2e-10 over its air-layer thickness in m.
    pub vapor_supply: Lanes<L, R>,
    /// Supply of a fully wetted underside, kg/(m2 s) for each unit of humidity missing.
    pub contact_supply: Lanes<L, R>,
    /// Height that water climbs above the table, m.
    pub fringe_m: Lanes<L, R>,
    /// Vapor film of the surface with whatever finish lies on it, kg/(m2 s Pa).
    pub film: Lanes<L, R>,
    /// Film and ventilation in series, kg/(m2 s Pa).
    pub through_air: Lanes<L, R>,
    /// The forcing of one year, one entry a step.
    pub year: Vec<YearStep<L, R>>,
    /// Steps in a month, and their length.
    pub cadence: Cadence,
    /// Humidity of the air in the soil, a fraction.
    pub soil_air_humidity: f64,
    /// Depth of the layer that a meter reads, m.
    pub meter_depth_m: f64,
    /// Depth of a probe, as a fraction of the thickness.
    pub probe_depth: f64,
    /// Density of the dry concrete, kg/m3.
    pub density_kg_m3: f64,
    /// How the steps are compiled; it changes no digit.
    pub width: Width,
}

/// Means over a month, or the state at a mark.
#[derive(Debug, Clone, Copy)]
pub struct Observed<const L: usize, R = f64> {
    /// Water by weight in the layer that a meter reads, a fraction.
    pub meter_fraction: Lanes<L, R>,
    /// Pore humidity that belongs to it.
    pub layer_humidity: Lanes<L, R>,
    /// Pore humidity of the surface.
    pub surface_humidity: Lanes<L, R>,
    /// Pore humidity at the depth of a probe.
    pub probe_humidity: Lanes<L, R>,
    /// Water that leaves the top, kg/(m2 s); negative into it.
    pub flux: Lanes<L, R>,
    /// Water that a saturated surface sheds, kg/(m2 s).
    pub shed: Lanes<L, R>,
    /// Share of the underside that is wetted.
    pub contact: Lanes<L, R>,
    /// Vapor pressure of the room, Pa.
    pub room_pa: Lanes<L, R>,
}

impl<const L: usize, R: Real> Observed<L, R> {
    fn zero() -> Self {
        let zero = [R::zero(); L];
        Self {
            meter_fraction: zero,
            layer_humidity: zero,
            surface_humidity: zero,
            probe_humidity: zero,
            flux: zero,
            shed: zero,
            contact: zero,
            room_pa: zero,
        }
    }

    /// The same in double precision, told of slabs of this concrete and density.
    fn told(&self, concrete: &GenericConcrete<L, R>, density_kg_m3: f64) -> Observed<L> {
        let meter_fraction = self.meter_fraction.map(R::wide);
        Observed {
            meter_fraction,
            layer_humidity: std::array::from_fn(|l| {
                concrete.humidity_of_content(l, meter_fraction[l] * density_kg_m3)
            }),
            surface_humidity: self.surface_humidity.map(R::wide),
            probe_humidity: self.probe_humidity.map(R::wide),
            flux: self.flux.map(R::wide),
            shed: self.shed.map(R::wide),
            contact: self.contact.map(R::wide),
            room_pa: self.room_pa.map(R::wide),
        }
    }

    /// Adds a share of what was seen at a step.
    #[inline(always)]
    fn add(&mut self, share: R, seen: &Self) {
        for l in 0..L {
            self.meter_fraction[l] += share * seen.meter_fraction[l];
            self.surface_humidity[l] += share * seen.surface_humidity[l];
            self.probe_humidity[l] += share * seen.probe_humidity[l];
            self.flux[l] += share * seen.flux[l];
            self.shed[l] += share * seen.shed[l];
            self.contact[l] += share * seen.contact[l];
            self.room_pa[l] += share * seen.room_pa[l];
        }
    }
}

/// The state of floors at some step of the year.
#[derive(Debug, Clone)]
pub struct FloorRun<const NODES: usize, const L: usize, R = f64> {
    /// Water in the slabs at each node, now and one step before.
    pub state: SlabState<NODES, L, R>,
    fresh: bool,
    /// Of floors that are young.
    growing: Option<Growing<L, R>>,
}

/// The age of young floors, and their concrete at it.
#[derive(Debug, Clone)]
struct Growing<const L: usize, R> {
    youth: Youth<L>,
    laws: YoungLaws<L>,
    concrete: GenericConcrete<L, R>,
}

/// What a run needs of a set besides its numbers, made once for a run.
#[derive(Debug, Clone)]
struct Prepared<const NODES: usize, const L: usize, R> {
    geometry: Geometry<NODES, L, R>,
    /// Weights of the nodes in what a meter reads.
    meter: [Lanes<L, R>; NODES],
    /// Nodes beyond which no weight is left.
    meter_nodes: usize,
    /// The node above a probe; its own weight and that of the next.
    probe_node: usize,
    probe: [R; 2],
}

impl<const NODES: usize, const L: usize, R: Real> FloorSet<NODES, L, R> {
    #[inline(always)]
    fn prepared(&self) -> Prepared<NODES, L, R> {
        let mut meter = [[R::zero(); L]; NODES];
        for l in 0..L {
            let share = (self.meter_depth_m / self.thickness_m[l].wide()).min(1.0);
            let weights = self.grid.top_mean_weights(share);
            for node in 0..NODES {
                meter[node][l] = R::of(weights[node]);
            }
        }
        let meter_nodes = meter
            .iter()
            .rposition(|it| it.iter().any(|weight| *weight > R::zero()))
            .map_or(0, |it| it + 1);
        let probe = self.grid.point_weights(self.probe_depth);
        let probe_node = probe
            .iter()
            .position(|it| *it > 0.0)
            .map_or(0, |it| it.min(NODES - 2));
        Prepared {
            geometry: Geometry::new(
                &self.grid,
                &self.thickness_m,
                self.concrete.saturation_content(),
            ),
            meter,
            meter_nodes,
            probe_node,
            probe: [R::of(probe[probe_node]), R::of(probe[probe_node + 1])],
        }
    }

    #[inline(always)]
    fn boundaries(
        &self,
        at: &YearStep<L, R>,
        level_m: &Lanes<L, R>,
        machines: Machines,
        saturation_pa: &mut [Lanes<L, R>; NODES],
    ) -> (RoomSide<L, R>, Underside<L, R>, Lanes<L, R>) {
        let mut wetted = [R::zero(); L];
        let mut supply = [R::zero(); L];
        for l in 0..L {
            wetted[l] = contact(level_m[l], self.fringe_m[l]);
            supply[l] = self.vapor_supply[l] * at.under_saturation_pa[l]
                + self.contact_supply[l] * wetted[l];
        }
        for node in 0..NODES {
            let depth = R::of(self.grid.depth[node]);
            for l in 0..L {
                saturation_pa[node][l] = at.surface_saturation_pa[l]
                    + depth * (at.under_saturation_pa[l] - at.surface_saturation_pa[l]);
            }
        }
        let (setting_pa, dried_reference_pa) = match machines {
            Machines::On => (at.setting_pa, at.dried_reference_pa),
            Machines::Off => (at.reference_pa, at.reference_pa),
        };
        let room = RoomSide {
            film: self.film,
            through_air: self.through_air,
            reference_pa: at.reference_pa,
            dried_reference_pa,
            setting_pa,
            room_saturation_pa: at.room_saturation_pa,
        };
        (
            room,
            Underside {
                supply,
                humidity: [R::of(self.soil_air_humidity); L],
            },
            wetted,
        )
    }

    /// The forcing of the year as one mean step.
    fn mean_year(&self) -> YearStep<L, R> {
        let mut mean = YearStep::zero();
        let share = R::of(1.0 / self.year.len() as f64);
        for at in &self.year {
            for l in 0..L {
                mean.surface_saturation_pa[l] += share * at.surface_saturation_pa[l];
                mean.under_saturation_pa[l] += share * at.under_saturation_pa[l];
                mean.room_saturation_pa[l] += share * at.room_saturation_pa[l];
                mean.reference_pa[l] += share * at.reference_pa[l];
                mean.setting_pa[l] += share * at.setting_pa[l];
                mean.dried_reference_pa[l] += share * at.dried_reference_pa[l];
            }
        }
        mean
    }

    /// Underside supply and boundaries of a mean year, with the wetted share averaged rather
    /// than the level.
    fn mean_boundaries(
        &self,
        levels_m: &[Lanes<L>],
        machines: Machines,
    ) -> (RoomSide<L, R>, Underside<L, R>, [Lanes<L, R>; NODES]) {
        let mean = self.mean_year();
        let mut saturation_pa = [[R::zero(); L]; NODES];
        let dry = [R::of(-1.0e3); L];
        let (room, mut under, _) = self.boundaries(&mean, &dry, machines, &mut saturation_pa);
        let share = R::of(1.0 / levels_m.len() as f64);
        for level in levels_m {
            for l in 0..L {
                let wetted = contact(level[l], self.fringe_m[l].wide());
                under.supply[l] += share * self.contact_supply[l] * R::of(wetted);
            }
        }
        (room, under, saturation_pa)
    }

    /// Floors at one pore humidity throughout, such as a slab just placed.
    fn at_humidity(&self, humidity: f64) -> FloorRun<NODES, L, R> {
        let profile = std::array::from_fn(|_| {
            std::array::from_fn(|l| R::of(self.concrete.state(l, humidity)))
        });
        FloorRun {
            state: SlabState::at_rest(profile),
            fresh: true,
            growing: None,
        }
    }

    /// Floors of an age in days, at the beginning of calendar month `first_month` (0 to 11);
    /// below zero for floors that are placed so many days later. Floors without the laws of
    /// young concrete start full.
    pub fn placed(&self, age_days: f64, first_month: usize) -> FloorRun<NODES, L, R> {
        let Some(young) = &self.young else {
            return self.at_humidity(1.0);
        };
        let at = &self.year[first_month * self.cadence.steps_per_month];
        let (mut youth, state) = young.placed(dew_point_c(at.surface_saturation_pa[0].wide()));
        youth.age_days = age_days;
        let laws = young.laws();
        let concrete = laws.concrete(&youth);
        FloorRun {
            state: SlabState::at_rest([state.map(R::of); NODES]),
            fresh: true,
            growing: Some(Growing {
                youth,
                laws,
                concrete,
            }),
        }
    }

    /// Floors that have lived through the same year over and over.
    ///
    /// Starts from the steady profile at annual means, runs the year, and moves the profile
    /// by what the year's drift asks for, `rounds` times. `levels_m` are the twelve months of
    /// the water table, `first_month` the calendar month (0 to 11) in which the year begins.
    pub fn settled(
        &self,
        levels_m: &[Lanes<L>],
        first_month: usize,
        machines: Machines,
        rounds: usize,
    ) -> FloorRun<NODES, L, R> {
        self.width.run(Settle {
            set: self,
            levels_m,
            first_month,
            machines,
            rounds,
        })
    }

    #[inline(always)]
    fn settle(
        &self,
        levels_m: &[Lanes<L>],
        first_month: usize,
        machines: Machines,
        rounds: usize,
    ) -> FloorRun<NODES, L, R> {
        let geometry = self.prepared().geometry;
        let (room, under, saturation_pa) = self.mean_boundaries(levels_m, machines);
        let mut run = self.at_humidity(0.75);
        let mut length_s = 1.0e5;
        for _ in 0..SETTLING_STEPS {
            let weights = Weights::first_order(length_s);
            step_in(
                &mut run.state,
                &self.concrete,
                &geometry,
                &saturation_pa,
                &room,
                &under,
                weights,
                None,
            );
            length_s *= SETTLING_GROWTH;
        }
        for _ in 0..rounds {
            let start = run.state.now;
            run.fresh = true;
            run.months(
                self,
                levels_m,
                first_month,
                machines,
                &[],
                |_, _| {},
                |_, _| {},
            );
            let year_s = self.cadence.step_s * self.year.len() as f64;
            // Rate of change that the mean forcing sees at this profile, and the rate that
            // the year really had: their difference is what the mean forcing lacks.
            let mut probe = SlabState::at_rest(run.state.now);
            let tiny_s = 1.0e3;
            let weights = Weights::first_order(tiny_s);
            let here = run.state.now;
            step_in(
                &mut probe,
                &self.concrete,
                &geometry,
                &saturation_pa,
                &room,
                &under,
                weights,
                None,
            );
            let (year, tiny) = (R::of(year_s), R::of(tiny_s));
            let mut source = [[R::zero(); L]; NODES];
            for node in 0..NODES {
                for l in 0..L {
                    source[node][l] = (here[node][l] - start[node][l]) / year
                        - (probe.now[node][l] - here[node][l]) / tiny;
                }
            }
            let mut moved = SlabState::at_rest(here);
            let weights = Weights::first_order(JUMP_YEARS * year_s);
            step_in(
                &mut moved,
                &self.concrete,
                &geometry,
                &saturation_pa,
                &room,
                &under,
                weights,
                Some(&source),
            );
            for node in 0..NODES {
                for l in 0..L {
                    let u = moved.now[node][l].wide();
                    moved.now[node][l] = R::of(u.clamp(1.0e-3, 1.0));
                }
            }
            run.state = SlabState::at_rest(moved.now);
            run.fresh = true;
        }
        run
    }
}

/// Steps that reach the steady profile, each longer than the last.
const SETTLING_STEPS: usize = 14;
const SETTLING_GROWTH: f64 = 3.0;
/// How far one year's drift is carried on, in years.
const JUMP_YEARS: f64 = 30.0;

/// [`FloorSet::settled`], to be compiled for every width.
struct Settle<'a, const NODES: usize, const L: usize, R> {
    set: &'a FloorSet<NODES, L, R>,
    levels_m: &'a [Lanes<L>],
    first_month: usize,
    machines: Machines,
    rounds: usize,
}

impl<const NODES: usize, const L: usize, R: Real> Work for Settle<'_, NODES, L, R> {
    type Output = FloorRun<NODES, L, R>;

    #[inline(always)]
    fn run(self) -> Self::Output {
        self.set
            .settle(self.levels_m, self.first_month, self.machines, self.rounds)
    }
}

impl<const NODES: usize, const L: usize, R: Real> FloorRun<NODES, L, R> {
    /// Floors that go on where others stand: lane `l` is `from(l)`, a run and a lane of it.
    pub fn gathered<'a>(
        set: &FloorSet<NODES, L, R>,
        from: impl Fn(usize) -> (&'a Self, usize),
    ) -> Self
    where
        R: 'a,
    {
        let profile = |of: fn(&SlabState<NODES, L, R>) -> &[Lanes<L, R>; NODES]| {
            std::array::from_fn(|node| {
                std::array::from_fn(|l| {
                    let (run, lane) = from(l);
                    of(&run.state)[node][lane]
                })
            })
        };
        let youths: Option<Vec<(&Youth<L>, usize)>> = (0..L)
            .map(|l| {
                let (run, lane) = from(l);
                run.growing.as_ref().map(|it| (&it.youth, lane))
            })
            .collect();
        let growing = youths.zip(set.young.as_ref()).map(|(youths, young)| {
            let youth = Youth::gathered(&youths);
            let laws = young.laws();
            let concrete = laws.concrete(&youth);
            Growing {
                youth,
                laws,
                concrete,
            }
        });
        Self {
            state: SlabState {
                now: profile(|it| &it.now),
                before: profile(|it| &it.before),
            },
            fresh: false,
            growing,
        }
    }

    /// The concrete at the age that the floors have.
    pub fn concrete<'a>(&'a self, set: &'a FloorSet<NODES, L, R>) -> &'a GenericConcrete<L, R> {
        match &self.growing {
            Some(it) => &it.concrete,
            None => &set.concrete,
        }
    }

    /// Some days of floors that are young, in the steps that their age asks for: the mean of
    /// what passed through the faces. At the age from which a floor is old it stops growing.
    // Few floors are young: the steps' own code stays small without this, which asks for its
    // width anew.
    #[inline(never)]
    fn young_step(
        &mut self,
        set: &FloorSet<NODES, L, R>,
        at: &YearStep<L, R>,
        saturation_pa: &[Lanes<L, R>; NODES],
        room: &RoomSide<L, R>,
        under: &Underside<L, R>,
    ) -> Passed<L, R> {
        let Some(growing) = &mut self.growing else {
            return Passed::none();
        };
        let table = YoungTable::bundled();
        let mut days = set.cadence.step_s / DAY_S;
        let age_days = growing.youth.age_days;
        if age_days < table.start_days {
            // Placed within this step or later.
            let wait_days = days.min(table.start_days - age_days);
            growing.youth.age_days += wait_days;
            days -= wait_days;
        }
        let parts = parts_of_step(growing.youth.age_days, days);
        let mean = if days > SHORTEST_DAYS {
            let is_even = !self.fresh && parts == 1;
            self.fresh = false;
            set.width.run(YoungParts {
                set,
                growing,
                state: &mut self.state,
                at,
                saturation_pa,
                room,
                under,
                parts,
                step_days: days / parts as f64,
                is_even,
            })
        } else {
            Passed::none()
        };
        // Steps of another length went before the next one.
        self.fresh |= parts > 1 || days * DAY_S < 0.999 * set.cadence.step_s;
        if growing.youth.age_days >= table.hand_over_until_days {
            let content = growing.concrete.saturation_content();
            for l in 0..L {
                let ratio = content[l] / set.concrete.saturation_content()[l];
                for node in 0..NODES {
                    for u in [
                        &mut self.state.now[node][l],
                        &mut self.state.before[node][l],
                    ] {
                        let held = *u * ratio;
                        *u = if held > R::one() { R::one() } else { held };
                    }
                }
            }
            self.growing = None;
        }
        mean
    }

    /// [`FloorRun::months`] through months of which nothing is wanted but where they end.
    pub fn months_unseen(
        &mut self,
        set: &FloorSet<NODES, L, R>,
        levels_m: &[Lanes<L>],
        first_month: usize,
        machines: Machines,
    ) {
        let prepared = set.prepared();
        let mut sum = Observed::zero();
        for month in 0..levels_m.len() {
            set.width.run(Steps {
                run: self,
                set,
                prepared: &prepared,
                levels_m,
                month,
                calendar_month: (first_month + month) % 12,
                parts: 0..set.cadence.steps_per_month,
                machines,
                watch: Watch::Nothing,
                sum: &mut sum,
            });
        }
    }

    /// Runs one month for each level, beginning with calendar month `first_month` (0 to 11).
    ///
    /// `marks` are step numbers, counted from 0, in rising order; `on_month(month, means)`
    /// and `on_mark(mark, (seen, self))` receive what was asked for.
    #[allow(clippy::too_many_arguments)]
    pub fn months(
        &mut self,
        set: &FloorSet<NODES, L, R>,
        levels_m: &[Lanes<L>],
        first_month: usize,
        machines: Machines,
        marks: &[usize],
        mut on_month: impl FnMut(usize, &Observed<L>),
        mut on_mark: impl FnMut(usize, (&Observed<L>, &Self)),
    ) {
        let prepared = set.prepared();
        let mut marks = marks.iter().copied().enumerate().peekable();
        let steps = set.cadence.steps_per_month;
        for month in 0..levels_m.len() {
            // From one mark to the next, so that whatever is done at a mark, once in a year or
            // so, stands outside of the steps' own code.
            let mut sum = Observed::zero();
            let mut part = 0;
            while part < steps {
                let stop = match marks.peek() {
                    Some((_, at)) if (month * steps + part..(month + 1) * steps).contains(at) => {
                        at - month * steps + 1
                    }
                    _ => steps,
                };
                let seen = set.width.run(Steps {
                    run: self,
                    set,
                    prepared: &prepared,
                    levels_m,
                    month,
                    calendar_month: (first_month + month) % 12,
                    parts: part..stop,
                    machines,
                    watch: Watch::Everything,
                    sum: &mut sum,
                });
                part = stop;
                while let Some((mark, _)) = marks.next_if(|(_, at)| *at + 1 == month * steps + part)
                {
                    let told = seen.told(self.concrete(set), set.density_kg_m3);
                    on_mark(mark, (&told, self));
                }
            }
            on_month(month, &sum.told(self.concrete(set), set.density_kg_m3));
        }
    }
}

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;
/// What is left of a step after the placing and is not worth a step of its own, days.
const SHORTEST_DAYS: f64 = 1.0e-3;

/// Whether what a floor shows is worked out at each step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Watch {
    Everything,
    Nothing,
}

/// The parts of one step of young floors, to be compiled for every width.
struct YoungParts<'a, const NODES: usize, const L: usize, R> {
    set: &'a FloorSet<NODES, L, R>,
    growing: &'a mut Growing<L, R>,
    state: &'a mut SlabState<NODES, L, R>,
    at: &'a YearStep<L, R>,
    saturation_pa: &'a [Lanes<L, R>; NODES],
    room: &'a RoomSide<L, R>,
    under: &'a Underside<L, R>,
    parts: usize,
    step_days: f64,
    /// Whether a step of the same length went before.
    is_even: bool,
}

impl<const NODES: usize, const L: usize, R: Real> Work for YoungParts<'_, NODES, L, R> {
    type Output = Passed<L, R>;

    #[inline(always)]
    fn run(self) -> Passed<L, R> {
        let pace: Lanes<L> = std::array::from_fn(|l| {
            let (top, bottom) = (
                self.at.surface_saturation_pa[l],
                self.at.under_saturation_pa[l],
            );
            setting_pace(dew_point_c(0.5 * (top.wide() + bottom.wide())))
        });
        let step_s = self.step_days * DAY_S;
        let share = R::of(1.0 / self.parts as f64);
        let mut mean = Passed::none();
        for _ in 0..self.parts {
            let growing = &mut *self.growing;
            growing
                .youth
                .grow(&growing.laws, self.state, &pace, self.step_days);
            growing.concrete = growing.laws.concrete(&growing.youth);
            let geometry = Geometry::new(
                &self.set.grid,
                &self.set.thickness_m,
                growing.concrete.saturation_content(),
            );
            let weights = if self.is_even {
                Weights::second_order(step_s)
            } else {
                Weights::first_order(step_s)
            };
            let passed = step_in(
                self.state,
                &growing.concrete,
                &geometry,
                self.saturation_pa,
                self.room,
                self.under,
                weights,
                None,
            );
            for l in 0..L {
                mean.top[l] += share * passed.top[l];
                mean.under[l] += share * passed.under[l];
                mean.shed[l] += share * passed.shed[l];
            }
        }
        mean
    }
}

/// Some steps of one month, to be compiled for every width.
struct Steps<'a, const NODES: usize, const L: usize, R> {
    run: &'a mut FloorRun<NODES, L, R>,
    set: &'a FloorSet<NODES, L, R>,
    prepared: &'a Prepared<NODES, L, R>,
    levels_m: &'a [Lanes<L>],
    month: usize,
    calendar_month: usize,
    parts: std::ops::Range<usize>,
    machines: Machines,
    watch: Watch,
    sum: &'a mut Observed<L, R>,
}

impl<const NODES: usize, const L: usize, R: Real> Work for Steps<'_, NODES, L, R> {
    type Output = Observed<L, R>;

    /// Adds to the month's means and returns what was seen at the last of the steps.
    #[inline(always)]
    fn run(self) -> Observed<L, R> {
        let Self {
            run,
            set,
            prepared,
            levels_m,
            month,
            ..
        } = self;
        let steps = set.cadence.steps_per_month;
        let share_of_month = R::of(1.0 / steps as f64);
        let mut seen = Observed::zero();
        let mut saturation_pa = [[R::zero(); L]; NODES];
        for part in self.parts {
            let at = &set.year[self.calendar_month * steps + part];
            // The level runs straight between the middles of the months; the first and the last
            // month have a neighbor on one side only.
            let (side, share) = between_months(part, steps);
            let neighbor = month.saturating_add_signed(side).min(levels_m.len() - 1);
            let mut level = [R::zero(); L];
            for l in 0..L {
                level[l] =
                    R::of(share * levels_m[month][l] + (1.0 - share) * levels_m[neighbor][l]);
            }
            let (room, under, contact) =
                set.boundaries(at, &level, self.machines, &mut saturation_pa);
            let passed = match run.growing {
                Some(_) => run.young_step(set, at, &saturation_pa, &room, &under),
                None => {
                    let weights = if run.fresh {
                        Weights::first_order(set.cadence.step_s)
                    } else {
                        Weights::second_order(set.cadence.step_s)
                    };
                    run.fresh = false;
                    step_in(
                        &mut run.state,
                        &set.concrete,
                        &prepared.geometry,
                        &saturation_pa,
                        &room,
                        &under,
                        weights,
                        None,
                    )
                }
            };
            if self.watch == Watch::Nothing {
                continue;
            }
            observe(
                set,
                prepared,
                run,
                &saturation_pa[0],
                &passed,
                &contact,
                &mut seen,
            );
            self.sum.add(share_of_month, &seen);
        }
        seen
    }
}

#[inline(always)]
fn observe<const NODES: usize, const L: usize, R: Real>(
    set: &FloorSet<NODES, L, R>,
    prepared: &Prepared<NODES, L, R>,
    run: &FloorRun<NODES, L, R>,
    surface_saturation_pa: &Lanes<L, R>,
    passed: &Passed<L, R>,
    contact: &Lanes<L, R>,
    seen: &mut Observed<L, R>,
) {
    let (state, concrete) = (&run.state, run.concrete(set));
    let content = concrete.saturation_content();
    let one = R::one();
    let density = R::of(set.density_kg_m3);
    let mut in_layer = [R::zero(); L];
    for node in 0..prepared.meter_nodes {
        for l in 0..L {
            in_layer[l] += prepared.meter[node][l] * state.now[node][l];
        }
    }
    let (upper, lower) = (
        &state.now[prepared.probe_node],
        &state.now[prepared.probe_node + 1],
    );
    for l in 0..L {
        // One straightening a step leaves nodes up to 5e-5 over saturation; nobody reads that.
        let at_probe = prepared.probe[0] * upper[l] + prepared.probe[1] * lower[l];
        let at_probe = if at_probe > one { one } else { at_probe };
        let layer = if in_layer[l] > one { one } else { in_layer[l] };
        let surface = concrete.pore_humidity(l, state.now[0][l]);
        let flux = passed.top[l] - passed.shed[l];
        seen.meter_fraction[l] = layer * (content[l] / density);
        seen.surface_humidity[l] = surface;
        seen.probe_humidity[l] = concrete.pore_humidity(l, at_probe);
        seen.flux[l] = flux;
        seen.shed[l] = passed.shed[l];
        seen.room_pa[l] = surface * surface_saturation_pa[l] - flux / set.film[l];
        seen.contact[l] = contact[l];
    }
}

/// Vapor supply of a path with an air-layer thickness (m), kg/(m2 s Pa).
pub fn supply_through(air_layer_m: f64) -> f64 {
    STILL_AIR / air_layer_m
}
