//! One place and many versions of a house: their water tables, their air and their slabs.

use super::parameters::{FloorParameters, MONTHS_BEFORE, RetarderState, YEARS_BEFORE, YEARS_DRAWN};
use super::priors::Priors;
use super::weather_had::WeatherHad;
use crate::climate::Place;
use crate::season::{
    self, BalanceMonth, BalanceMonths, Balances, Departure, Harmonic, House, Machine, MonthRange,
    MonthWeather, Outdoors, STEPS_PER_MONTH, SeasonTable, SoilStore, Spread, WaterTable,
    WeatherStream, forcing, ground_temperature, room_swing, ventilation_conductance,
};
use crate::slab::{FloorSet, GenericConcrete, Grid, Mix, YoungConcrete, supply_through};
use crate::units::{Lanes, Real, Width, Work};

/// Cells and the two faces of the floor's grid.
pub const NODES: usize = 14;

/// What a place gives to every version of the house, made once.
#[derive(Debug, Clone)]
pub struct PlaceYear {
    /// Mean outdoor temperature by calendar month, °C.
    pub mean_c: [f64; 12],
    /// Rain and snow by calendar month, mm of water.
    pub precipitation_mm: [f64; 12],
    /// Potential evapotranspiration by calendar month, mm.
    pub evapotranspiration_mm: [f64; 12],
    months: Box<[MonthRange; 12]>,
    outdoors: Outdoors,
    slab_depth_m: f64,
    /// Store below in the mean of years whose months vary, over that of the normals.
    store_gain: f64,
    /// The weather of the months before the visit, as far as it is known.
    had: WeatherHad,
}

impl PlaceYear {
    /// From a place's normals, for a floor below or at grade.
    pub fn new(place: &Place, below_grade: bool) -> Self {
        Self::with_steps(place, below_grade, STEPS_PER_MONTH)
    }

    /// The same with another number of steps a month, for checks of convergence.
    pub fn with_steps(place: &Place, below_grade: bool, steps_per_month: usize) -> Self {
        let table = SeasonTable::bundled();
        let months: Box<[MonthRange; 12]> = Box::new(std::array::from_fn(|month| {
            let middle = (month as f64 + 0.5) * 365.0 / 12.0;
            let length = season::day_length(place.latitude_deg, middle);
            MonthRange::new(DAYS_OF_MONTH[month], length, place.mean_c[month])
        }));
        let mut res = Self {
            mean_c: place.mean_c,
            precipitation_mm: place.precipitation_mm,
            evapotranspiration_mm: std::array::from_fn(|month| {
                months[month].usual().evapotranspiration_mm
            }),
            months,
            outdoors: Outdoors::new(&place.mean_c, &place.dew_point_c, steps_per_month),
            slab_depth_m: if below_grade {
                table.slab_depth_below_grade_m
            } else {
                table.slab_depth_on_grade_m
            },
            store_gain: 1.0,
            had: WeatherHad::default(),
        };
        res.store_gain = res.gain_of_varied_months();
        res
    }

    /// The same after months whose weather is known.
    pub fn after(self, had: WeatherHad) -> Self {
        Self { had, ..self }
    }

    /// What is known of the weather before the visit.
    pub fn had(&self) -> &WeatherHad {
        &self.had
    }

    /// How much more the store below holds in the mean of years whose months vary than in years
    /// of normals, since a wet month feeds it more than a dry one takes: for a middle soil.
    fn gain_of_varied_months(&self) -> f64 {
        let of = |quantity: &str| Priors::bundled().of(quantity, "any").value();
        let middle = SoilStore {
            capacity_mm: of("soil_store"),
            release: of("release"),
            melt_mm_k_day: of("melt_factor"),
            bypass: of("bypass"),
            root_draw: of("root_draw"),
            evapotranspiration: of("evapotranspiration_factor"),
        };
        Width::widest().run(GainYears {
            place: self,
            middle,
        })
    }

    /// The yearly swing of the air outdoors.
    pub fn outdoor(&self) -> &Harmonic {
        &self.outdoors.swing
    }

    /// The yearly swing of the ground at the depth of the slab.
    pub fn ground(&self, diffusivity_m2_day: f64) -> Harmonic {
        ground_temperature(self.outdoor(), self.slab_depth_m, diffusivity_m2_day)
    }

    /// The balance of `L` houses: usual years, the [`YEARS_BEFORE`] years before the reading's
    /// one, twelve months of the reading's year that begin with calendar month `first_month`,
    /// then `ahead` years of their own weather (up to [`YEARS_DRAWN`]).
    pub fn balances<const L: usize>(
        &self,
        parameters: &[&FloorParameters; L],
        first_month: usize,
        ahead: usize,
    ) -> BalanceRun<L> {
        Width::widest().run(BalanceYears {
            place: self,
            parameters,
            first_month,
            ahead,
        })
    }

    /// The balance of one house through the months of a usual year, January first.
    pub fn balance(&self, parameters: &FloorParameters) -> Vec<BalanceMonth> {
        let mut usual = parameters.clone();
        usual.weather = WeatherStream::USUAL;
        usual.year_rain = usual.place_rain;
        let place = self.clone().after(WeatherHad::default());
        let run = place.balances(&[&usual], 0, 0);
        run.months.iter().map(|it| it.of(0)).collect()
    }

    /// One month of soils: the calendar month with its departure for each of them, and the rain
    /// of their lots as a multiple of the station's.
    #[inline(always)]
    fn month<const L: usize>(
        &self,
        table: &SeasonTable,
        balance: &mut Balances<L>,
        calendar: usize,
        departures: &[Departure; L],
        lot_rain: &Lanes<L>,
    ) -> BalanceMonths<L> {
        let mut precipitation_mm = [0.0; L];
        let mut weather = [MonthWeather::default(); L];
        for l in 0..L {
            let departure = departures[l];
            precipitation_mm[l] = self.precipitation_mm[calendar] * lot_rain[l] * departure.rain;
            weather[l] = self.months[calendar].at(departure.warmer_k);
        }
        balance.month(table, &weather, &precipitation_mm)
    }

    /// Runs usual years until they repeat, and gives the mean of the store below, mm: what a slow
    /// store holds is that of many years. With it the mean of what frost does not keep in it.
    #[inline(always)]
    fn usual_years<const L: usize>(
        &self,
        table: &SeasonTable,
        balance: &mut Balances<L>,
        first_month: usize,
        lot_rain: &Lanes<L>,
    ) -> [Lanes<L>; 2] {
        let (mut mean_mm, mut open_mm) = ([0.0; L], [0.0; L]);
        for _ in 0..table.balance_years as usize {
            let start = balance.clone();
            (mean_mm, open_mm) = ([0.0; L], [0.0; L]);
            for month in 0..12 {
                let calendar = (first_month + month) % 12;
                let none = [Departure::NONE; L];
                let it = self.month(table, balance, calendar, &none, lot_rain);
                let open = 1.0 - self.months[calendar].usual().frost_kept;
                for l in 0..L {
                    mean_mm[l] += it.ground_mm[l] / 12.0;
                    open_mm[l] += open * it.ground_mm[l] / 12.0;
                }
            }
            // A year that ends where it began, to the last digit, would only repeat.
            if *balance == start {
                break;
            }
        }
        [mean_mm, open_mm]
    }
}

/// The balances of `L` houses through the years.
#[derive(Debug, Clone)]
pub struct BalanceRun<const L: usize> {
    /// The store below in the mean of a year of normals, mm.
    pub usual_ground_mm: Lanes<L>,
    /// What leaves that store in a year of normals but by roots, mm.
    pub usual_outflow_mm: Lanes<L>,
    /// What it holds in the mean of the years that come, mm.
    pub mean_ground_mm: Lanes<L>,
    /// The years before the reading's one.
    pub before: Vec<BalanceMonths<L>>,
    /// The reading's year and those ahead.
    pub months: Vec<BalanceMonths<L>>,
    /// How wet the months before the visit's one were, as a normal score.
    pub lately_score: Lanes<L>,
}

/// [`PlaceYear::balances`], to be compiled for every width.
struct BalanceYears<'a, const L: usize> {
    place: &'a PlaceYear,
    parameters: &'a [&'a FloorParameters; L],
    first_month: usize,
    ahead: usize,
}

impl<const L: usize> BalanceYears<'_, L> {
    /// The departures of the months up to the visit, each house's, the year's own rain with
    /// them; months that are known are as they were.
    #[inline(always)]
    fn departures(&self) -> Vec<[Departure; L]> {
        let spread = Spread::bundled();
        let mut out = Vec::with_capacity(MONTHS_BEFORE);
        for year in 0..=YEARS_BEFORE {
            let of_year: Lanes<L> = std::array::from_fn(|l| {
                let it = self.parameters[l];
                if year == YEARS_BEFORE {
                    it.year_rain / it.place_rain
                } else {
                    it.rain_of_year_before(year)
                }
            });
            for month in 0..12 {
                let calendar = (self.first_month + month) % 12;
                out.push(std::array::from_fn(|l| {
                    let it = self.parameters[l].weather.month(spread, year, calendar);
                    Departure {
                        rain: it.rain * of_year[l],
                        ..it
                    }
                }));
            }
        }
        self.place.had.put_into(&mut out, |back| {
            self.place.precipitation_mm[(self.first_month + 11 + 12 * MONTHS_BEFORE - back) % 12]
        });
        out
    }
}

impl<const L: usize> Work for BalanceYears<'_, L> {
    type Output = BalanceRun<L>;

    #[inline(always)]
    fn run(self) -> BalanceRun<L> {
        let (place, parameters) = (self.place, self.parameters);
        let table = SeasonTable::bundled();
        let spread = Spread::bundled();
        let mut balance = Balances::new(&parameters.map(FloorParameters::soil_store));
        let lot_rain = parameters.map(|it| it.place_rain);
        let [usual_ground_mm, open_ground_mm] =
            place.usual_years(table, &mut balance, self.first_month, &lot_rain);
        let past = self.departures();
        let mut before = Vec::with_capacity(12 * YEARS_BEFORE);
        let mut months = Vec::with_capacity(12 * (1 + self.ahead));
        for (at, departures) in past.iter().enumerate() {
            let calendar = (self.first_month + at) % 12;
            let it = place.month(table, &mut balance, calendar, departures, &lot_rain);
            if at < 12 * YEARS_BEFORE {
                before.push(it);
            } else {
                months.push(it);
            }
        }
        for year in 0..self.ahead {
            let rain = parameters.map(|it| it.ahead_rain[year]);
            for month in 0..12 {
                let calendar = (self.first_month + month) % 12;
                let departures = std::array::from_fn(|l| {
                    let year = YEARS_BEFORE + 1 + year;
                    parameters[l].weather.month(spread, year, calendar)
                });
                months.push(place.month(table, &mut balance, calendar, &departures, &rain));
            }
        }
        BalanceRun {
            usual_ground_mm,
            usual_outflow_mm: std::array::from_fn(|l| {
                12.0 * parameters[l].release * open_ground_mm[l]
            }),
            mean_ground_mm: usual_ground_mm.map(|it| place.store_gain * it),
            before,
            months,
            lately_score: lately_scores(place, self.first_month, &past),
        }
    }
}

/// [`PlaceYear::gain_of_varied_months`], to be compiled for every width.
struct GainYears<'a> {
    place: &'a PlaceYear,
    middle: SoilStore,
}

/// Soils that live through weather of their own behind the gain of a place.
const GAIN_SOILS: usize = 16;
/// Years behind it: the first ones let the store fill.
const GAIN_YEARS: [usize; 2] = [4, 16];

impl Work for GainYears<'_> {
    type Output = f64;

    #[inline(always)]
    fn run(self) -> f64 {
        let (table, spread) = (SeasonTable::bundled(), Spread::bundled());
        let mut balance = Balances::new(&[self.middle; GAIN_SOILS]);
        let lot_rain = [1.0; GAIN_SOILS];
        let usual_mm = self.place.usual_years(table, &mut balance, 0, &lot_rain)[0][0];
        let streams: [WeatherStream; GAIN_SOILS] =
            std::array::from_fn(|soil| WeatherStream::of_draw(&[soil as f64]));
        let mut sum_mm = 0.0;
        for year in 0..GAIN_YEARS[1] {
            for month in 0..12 {
                let departures = std::array::from_fn(|l| streams[l].month(spread, year, month));
                let place = self.place;
                let it = place.month(table, &mut balance, month, &departures, &lot_rain);
                if year >= GAIN_YEARS[0] {
                    sum_mm += it.ground_mm.iter().sum::<f64>();
                }
            }
        }
        let counted = 12 * (GAIN_YEARS[1] - GAIN_YEARS[0]) * GAIN_SOILS;
        if usual_mm > 0.0 {
            sum_mm / counted as f64 / usual_mm
        } else {
            1.0
        }
    }
}

/// How wet the months before the visit's one were: the log of their rain over the normal, by how
/// far that varies.
fn lately_scores<const L: usize>(
    place: &PlaceYear,
    first_month: usize,
    past: &[[Departure; L]],
) -> Lanes<L> {
    let table = SeasonTable::bundled();
    let (mut normal_mm, mut squares) = (0.0, 0.0);
    let mut rain_mm = [0.0; L];
    for at in past.len() - 1 - LATELY_MONTHS..past.len() - 1 {
        let usual_mm = place.precipitation_mm[(first_month + at) % 12];
        normal_mm += usual_mm;
        squares += usual_mm * usual_mm;
        for l in 0..L {
            rain_mm[l] += usual_mm * past[at][l].rain;
        }
    }
    if normal_mm <= 0.0 {
        return [0.0; L];
    }
    let months_sd = table.month_rain_sd * squares.sqrt() / normal_mm;
    let year_sd = Priors::bundled().of("year_rain", "any").sd();
    let sd = (months_sd * months_sd + year_sd * year_sd).sqrt();
    rain_mm.map(|it| libm::log(it.max(1.0e-3 * normal_mm) / normal_mm) / sd)
}

/// Months that "the past few months" are.
pub const LATELY_MONTHS: usize = 3;

impl FloorParameters {
    /// The house at its place, its room renewed by `ventilation`, kg/(m2 s Pa).
    fn house(&self, place: &PlaceYear, ventilation: f64) -> House {
        let outdoor = place.outdoor();
        let ground = place.ground(self.ground_diffusivity);
        let normal_c = SeasonTable::bundled().normal_mean_c;
        let warmer_k = outdoor.mean_c - normal_c;
        let follows = self.room_follows[usize::from(warmer_k > 0.0)];
        let mean_c = self.room_mean_c + follows * warmer_k;
        let half_k = self.room_half_k + self.room_half_follows * outdoor.amplitude_k;
        House {
            room: room_swing(mean_c, half_k, outdoor, &ground),
            ground: ground.swing(),
            slab_toward_room: self.slab_toward_room,
            excess_pa: self.excess_pa,
            cooled: self.cooled,
            machine: self.has_machine.then(|| {
                Machine::new(
                    self.machine_setting,
                    self.machine_l_day,
                    self.floor_area_m2,
                    ventilation,
                )
            }),
        }
    }

    /// What its concrete was mixed of, and what it will be when it is old.
    fn mix(&self) -> Mix {
        Mix {
            water_cement_ratio: self.water_cement_ratio,
            liquid_factor: self.young_liquid_factor,
            vapor_factor: self.young_vapor_factor,
            shape_shift: self.young_shape_shift,
            saturation_content: self.saturation_content,
            old_shape: self.storage_shape,
            old_absorption: self.absorption,
            old_vapor_resistance: self.vapor_resistance,
        }
    }

    /// The soil about the house.
    pub fn soil_store(&self) -> SoilStore {
        SoilStore {
            capacity_mm: self.soil_store_mm,
            release: self.release,
            melt_mm_k_day: self.melt_mm_k_day,
            bypass: self.bypass,
            root_draw: self.root_draw,
            evapotranspiration: self.evapotranspiration,
        }
    }

    /// The ground about the house, with the drain as it is: what leaves the store below in a year
    /// of normals, mm, and what it holds in the mean of the years that come.
    fn ground_water(&self, recharge_mm: f64, mean_ground_mm: f64) -> WaterTable {
        WaterTable {
            mean_m: self.water_table_m + season::lift_m(recharge_mm),
            usual_ground_mm: mean_ground_mm,
            specific_yield: self.specific_yield,
            backfill_yield: self.backfill_yield,
            wall_share: self.wall_share,
            backfill_uptake: self.backfill_uptake,
            drain_cap_m: self.drain_works.then_some(self.drain_cap_m),
        }
    }
}

/// What the pump of a sump that takes water does in the years ahead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pump {
    /// No drain is known to depend on a pump, or it runs.
    Runs,
    /// The drain that depends on it no longer works.
    Fails,
}

/// Months of the water table of `L` versions: the reading's year, then the years ahead.
#[derive(Debug, Clone)]
pub struct Levels<const L: usize> {
    /// As the drain leaves it, m above the underside: the reading's year, then those ahead.
    pub capped_m: Vec<Lanes<L>>,
    /// Highest of the reading's year, with and without the drain.
    pub highest_capped_m: Lanes<L>,
    /// The same without the drain, m above the underside.
    pub highest_uncapped_m: Lanes<L>,
    /// Mean of the reading's year without the drain.
    pub mean_uncapped_m: Lanes<L>,
    /// As the drain leaves it, without the water that is led to the walls.
    pub ground_only_m: Vec<Lanes<L>>,
    /// As the drain leaves it in the years before the reading's one.
    pub before_m: Vec<Lanes<L>>,
    /// How wet the months before the visit's one were, as a normal score.
    pub lately_score: Lanes<L>,
}

/// The water tables of versions of the house, through all years that are drawn.
pub fn levels<const L: usize>(
    place: &PlaceYear,
    parameters: &[&FloorParameters; L],
    first_month: usize,
) -> Levels<L> {
    levels_through(place, parameters, first_month, YEARS_DRAWN, Pump::Runs)
}

/// [`levels`] through so many years ahead, in which a pump runs or fails.
pub fn levels_through<const L: usize>(
    place: &PlaceYear,
    parameters: &[&FloorParameters; L],
    first_month: usize,
    years: usize,
    pump: Pump,
) -> Levels<L> {
    let run = place.balances(parameters, first_month, years);
    let months = &run.months;
    let water: [WaterTable; L] = std::array::from_fn(|l| {
        parameters[l].ground_water(run.usual_outflow_mm[l], run.mean_ground_mm[l])
    });
    // What a failed pump leaves of them.
    let ahead = match pump {
        Pump::Runs => water,
        Pump::Fails => water.map(|it| WaterTable {
            drain_cap_m: None,
            ..it
        }),
    };
    let before_m = run.before.iter().map(|month| {
        std::array::from_fn(|l| {
            let uncapped = water[l].uncapped_m(&month.of(l), parameters[l].soil_store_mm);
            water[l].capped_m(uncapped)
        })
    });
    let mut out = Levels {
        capped_m: vec![[0.0; L]; months.len()],
        highest_capped_m: [f64::NEG_INFINITY; L],
        highest_uncapped_m: [f64::NEG_INFINITY; L],
        mean_uncapped_m: [0.0; L],
        ground_only_m: vec![[0.0; L]; months.len()],
        before_m: before_m.collect(),
        lately_score: run.lately_score,
    };
    for (at, month) in months.iter().enumerate() {
        for l in 0..L {
            let of_year = if at < 12 { &water } else { &ahead };
            let (water, month) = (&of_year[l], month.of(l));
            let uncapped = water.uncapped_m(&month, parameters[l].soil_store_mm);
            let capped = water.capped_m(uncapped);
            out.capped_m[at][l] = capped;
            out.ground_only_m[at][l] = water.capped_m(water.from_ground_m(&month));
            if at < 12 {
                out.highest_capped_m[l] = out.highest_capped_m[l].max(capped);
                out.highest_uncapped_m[l] = out.highest_uncapped_m[l].max(uncapped);
                out.mean_uncapped_m[l] += uncapped / 12.0;
            }
        }
    }
    out
}

/// Numbers of the model that hold for every floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorConstants {
    /// Density of the dry concrete, kg/m3.
    pub density_kg_m3: f64,
    /// Depth of the layer that a meter reads, m from the top.
    pub meter_depth_m: f64,
    /// Depth of a probe (ASTM F2170), as a fraction of the thickness.
    pub probe_depth: f64,
}

/// Days of the calendar months, for sums of rain and evapotranspiration.
const DAYS_OF_MONTH: [f64; 12] = [
    31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0,
];
/// `L` versions of the floor, ready to run on a grid of `CUT` nodes; [`NODES`] as a rule.
pub fn floor_set<const CUT: usize, const L: usize, R: Real>(
    place: &PlaceYear,
    parameters: &[&FloorParameters; L],
    constants: FloorConstants,
) -> FloorSet<CUT, L, R> {
    floor_set_in(Width::widest(), place, parameters, constants)
}

/// The same for a width of choice; it changes no digit.
pub fn floor_set_in<const CUT: usize, const L: usize, R: Real>(
    width: Width,
    place: &PlaceYear,
    parameters: &[&FloorParameters; L],
    constants: FloorConstants,
) -> FloorSet<CUT, L, R> {
    let table = SeasonTable::bundled();
    let lanes = |value: &dyn Fn(&FloorParameters) -> f64| -> Lanes<L> {
        std::array::from_fn(|l| value(parameters[l]))
    };
    let ventilation: Lanes<L> = lanes(&|it| {
        ventilation_conductance(it.air_changes_per_h, table.room_height_m, it.room_mean_c)
    });
    let houses = std::array::from_fn(|l| parameters[l].house(place, ventilation[l]));
    let year = forcing(width, &place.outdoors, &houses);
    let narrow = |values: Lanes<L>| values.map(R::of);
    FloorSet {
        grid: Grid::graded(),
        concrete: GenericConcrete::new(
            lanes(&|it| it.saturation_content),
            lanes(&|it| it.storage_shape),
            lanes(&|it| it.absorption),
            lanes(&|it| it.vapor_resistance),
        ),
        young: Some(YoungConcrete {
            mix: std::array::from_fn(|l| parameters[l].mix()),
        }),
        thickness_m: narrow(lanes(&|it| it.thickness_m)),
        vapor_supply: narrow(lanes(&|it| supply_through(it.air_layer_m))),
        contact_supply: narrow(lanes(&|it| it.contact_supply)),
        fringe_m: narrow(lanes(&|it| it.fringe_m)),
        film: [R::of(table.film_kg_m2_s_pa); L],
        through_air: std::array::from_fn(|l| {
            R::of(1.0 / (1.0 / table.film_kg_m2_s_pa + 1.0 / ventilation[l]))
        }),
        year,
        cadence: place.outdoors.cadence,
        soil_air_humidity: table.soil_air_humidity,
        meter_depth_m: constants.meter_depth_m,
        probe_depth: constants.probe_depth,
        density_kg_m3: constants.density_kg_m3,
        width,
    }
}

impl RetarderState {
    /// A word for reports.
    pub fn word(self) -> &'static str {
        match self {
            RetarderState::Effective => "works",
            RetarderState::Damaged => "damaged",
            RetarderState::None => "none",
        }
    }
}
