//! One place and many versions of a house: their water tables, their air and their slabs.

use super::parameters::{FloorParameters, RetarderState, YEARS_DRAWN};
use crate::climate::Place;
use crate::season::{
    self, BalanceMonth, BalanceMonths, Balances, Harmonic, House, Machine, MonthWeather, Outdoors,
    STEPS_PER_MONTH, SeasonTable, SoilStore, WaterTable, forcing, ground_temperature, room_swing,
    ventilation_conductance,
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
    weather: [MonthWeather; 12],
    outdoors: Outdoors,
    slab_depth_m: f64,
}

impl PlaceYear {
    /// From a place's normals, for a floor below or at grade.
    pub fn new(place: &Place, below_grade: bool) -> Self {
        Self::with_steps(place, below_grade, STEPS_PER_MONTH)
    }

    /// The same with another number of steps a month, for checks of convergence.
    pub fn with_steps(place: &Place, below_grade: bool, steps_per_month: usize) -> Self {
        let table = SeasonTable::bundled();
        let weather: [MonthWeather; 12] = std::array::from_fn(|month| {
            let middle = (month as f64 + 0.5) * 365.0 / 12.0;
            let length = season::day_length(place.latitude_deg, middle);
            MonthWeather::new(DAYS_OF_MONTH[month], length, place.mean_c[month])
        });
        Self {
            mean_c: place.mean_c,
            precipitation_mm: place.precipitation_mm,
            evapotranspiration_mm: weather.map(|it| it.evapotranspiration_mm),
            weather,
            outdoors: Outdoors::new(&place.mean_c, &place.dew_point_c, steps_per_month),
            slab_depth_m: if below_grade {
                table.slab_depth_below_grade_m
            } else {
                table.slab_depth_on_grade_m
            },
        }
    }

    /// The yearly swing of the air outdoors.
    pub fn outdoor(&self) -> &Harmonic {
        &self.outdoors.swing
    }

    /// The yearly swing of the ground at the depth of the slab.
    pub fn ground(&self, diffusivity_m2_day: f64) -> Harmonic {
        ground_temperature(self.outdoor(), self.slab_depth_m, diffusivity_m2_day)
    }

    /// The balance of `L` houses: the usual year, then twelve months of the reading's year that
    /// begin with calendar month `first_month`, then `ahead` years of their own rain (up to
    /// [`YEARS_DRAWN`]).
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

    /// The balance of one house through the months of the reading's year, January first.
    pub fn balance(&self, parameters: &FloorParameters) -> Vec<BalanceMonth> {
        let run = self.balances(&[parameters], 0, 0);
        run.months.iter().map(|it| it.of(0)).collect()
    }
}

/// The balances of `L` houses through the years.
#[derive(Debug, Clone)]
pub struct BalanceRun<const L: usize> {
    /// The store below in the mean of the place's usual year, mm.
    pub usual_ground_mm: Lanes<L>,
    /// The reading's year and those ahead.
    pub months: Vec<BalanceMonths<L>>,
}

/// [`PlaceYear::balances`], to be compiled for every width.
struct BalanceYears<'a, const L: usize> {
    place: &'a PlaceYear,
    parameters: &'a [&'a FloorParameters; L],
    first_month: usize,
    ahead: usize,
}

impl<const L: usize> BalanceYears<'_, L> {
    #[inline(always)]
    fn month(
        &self,
        table: &SeasonTable,
        balance: &mut Balances<L>,
        month: usize,
        rain: &Lanes<L>,
    ) -> BalanceMonths<L> {
        let calendar = (self.first_month + month) % 12;
        let mut precipitation_mm = [0.0; L];
        for l in 0..L {
            precipitation_mm[l] = self.place.precipitation_mm[calendar] * rain[l];
        }
        balance.month(table, &self.place.weather[calendar], &precipitation_mm)
    }
}

impl<const L: usize> Work for BalanceYears<'_, L> {
    type Output = BalanceRun<L>;

    #[inline(always)]
    fn run(self) -> BalanceRun<L> {
        let parameters = self.parameters;
        let table = SeasonTable::bundled();
        let mut balance = Balances::new(&parameters.map(FloorParameters::soil_store));
        // Usual years until they repeat: what a slow store holds is that of many years.
        let usual = parameters.map(|it| it.place_rain);
        let mut usual_ground_mm = [0.0; L];
        for _ in 0..table.balance_years as usize {
            let start = balance.clone();
            usual_ground_mm = [0.0; L];
            for month in 0..12 {
                let it = self.month(table, &mut balance, month, &usual);
                for l in 0..L {
                    usual_ground_mm[l] += it.ground_mm[l] / 12.0;
                }
            }
            // A year that ends where it began, to the last digit, would only repeat.
            if balance == start {
                break;
            }
        }
        let mut months = Vec::with_capacity(12 * (1 + self.ahead));
        for year in 0..=self.ahead {
            let rain = match year {
                0 => parameters.map(|it| it.year_rain),
                _ => parameters.map(|it| it.ahead_rain[year - 1]),
            };
            for month in 0..12 {
                months.push(self.month(table, &mut balance, month, &rain));
            }
        }
        BalanceRun {
            usual_ground_mm,
            months,
        }
    }
}

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

    /// The ground about the house, with the drain as it is; `usual_ground_mm` is the store below
    /// in the mean of the place's usual year.
    fn ground_water(&self, usual_ground_mm: f64) -> WaterTable {
        let recharge_mm = 12.0 * self.release * usual_ground_mm;
        WaterTable {
            mean_m: self.water_table_m + season::lift_m(recharge_mm),
            usual_ground_mm,
            specific_yield: self.specific_yield,
            wall_share: self.wall_share,
            drain_cap_m: self.drain_works.then_some(self.drain_cap_m),
        }
    }
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
}

/// The water tables of versions of the house, through all years that are drawn.
pub fn levels<const L: usize>(
    place: &PlaceYear,
    parameters: &[&FloorParameters; L],
    first_month: usize,
) -> Levels<L> {
    levels_through(place, parameters, first_month, YEARS_DRAWN)
}

/// [`levels`] through so many years ahead.
pub fn levels_through<const L: usize>(
    place: &PlaceYear,
    parameters: &[&FloorParameters; L],
    first_month: usize,
    years: usize,
) -> Levels<L> {
    let run = place.balances(parameters, first_month, years);
    let months = &run.months;
    let water: [WaterTable; L] =
        std::array::from_fn(|l| parameters[l].ground_water(run.usual_ground_mm[l]));
    let mut out = Levels {
        capped_m: vec![[0.0; L]; months.len()],
        highest_capped_m: [f64::NEG_INFINITY; L],
        highest_uncapped_m: [f64::NEG_INFINITY; L],
        mean_uncapped_m: [0.0; L],
        ground_only_m: vec![[0.0; L]; months.len()],
    };
    for (at, month) in months.iter().enumerate() {
        for l in 0..L {
            let (water, month) = (&water[l], month.of(l));
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
