//! What cannot be seen of one floor, as numbers drawn from the priors that the answers select.

use super::priors::{Prior, Priors, RetarderChance, RetarderTable, normal_cdf};
use crate::season::{DAYS_PER_YEAR, SeasonTable, Spread, WeatherStream};
use crate::slab::young::YoungTable;
use crate::survey::{
    Dehumidifier, Drainage, Floor, Lot, LotPosition, Retarder, RetarderProof, Setting, SubDrain,
    Visit, age_days, construction_year, derived_drainage, known_below_grade,
};

/// Declares the dimensions of a draw, in the order of the Sobol points.
macro_rules! dimensions {
    ($($name:ident),+ $(,)?) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        #[repr(usize)]
        enum Dimension { $($name),+ }
        /// Number of dimensions of a draw.
        pub const DIMENSIONS: usize = [$(Dimension::$name),+].len();
    };
}

// The ones that matter most come first: the first dimensions are the most even.
dimensions! {
    WaterTable,
    RetarderState,
    YearRain,
    WallShare,
    DrainWorks,
    Absorption,
    NextYearRain,
    AirLayer,
    Lot,
    RoomMean,
    Excess,
    AirChanges,
    Machine,
    Cooled,
    SpecificYield,
    Release,
    RoomHalf,
    StorageShape,
    SlabTowardRoom,
    SoilStore,
    PlaceRain,
    Setting,
    Capacity,
    SaturationContent,
    VaporResistance,
    Thickness,
    ContactSupply,
    Fringe,
    MeltFactor,
    GroundDiffusivity,
    Era,
    SecondYearRain,
    ThirdYearRain,
    FourthYearRain,
    FifthYearRain,
    BelowGrade,
    SixthYearRain,
    Bypass,
    RootDraw,
    EvapotranspirationFactor,
    PatchShare,
    PatchFactor,
    DomeLayer,
    WaterCementRatio,
}

/// How many years ahead are told.
pub const YEARS_AHEAD: usize = 5;
/// How many years ahead are drawn: one more, for what is coated a year from now.
pub const YEARS_DRAWN: usize = 6;

/// Years before the reading's one whose months are run one by one.
pub const YEARS_BEFORE: usize = 4;
/// Months up to the visit that are run one by one: those years', and those of the reading's.
pub const MONTHS_BEFORE: usize = 12 * (YEARS_BEFORE + 1);

/// The state of a vapor retarder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RetarderState {
    /// It keeps out what a retarder is meant to.
    Effective,
    /// Torn, thin, or with open laps.
    Damaged,
    /// There is none: gravel or soil.
    None,
}

/// When a slab was made, as far as the priors tell it apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Era {
    /// Before 1960: sheets under slabs were rare.
    Before1960,
    /// 1960 to 1979.
    Before1980,
    /// 1980 to 1999.
    Before2000,
    /// 2000 to 2020.
    Before2021,
    /// 2021 and later: the model codes ask for a thicker sheet.
    From2021,
}

impl Era {
    /// All eras, oldest first.
    pub const ALL: [Era; 5] = [
        Era::Before1960,
        Era::Before1980,
        Era::Before2000,
        Era::Before2021,
        Era::From2021,
    ];

    /// The era of a year; the rows `era_ends` of `tables/priors.csv` have the edges.
    pub fn of_year(year: i32) -> Self {
        let ends = |it: &&Era| f64::from(year) < Priors::bundled().of("era_ends", it.key()).value();
        *Self::ALL.iter().find(ends).unwrap_or(&Era::From2021)
    }

    /// The key of the tables.
    pub fn key(self) -> &'static str {
        match self {
            Era::Before1960 => "before_1960",
            Era::Before1980 => "before_1980",
            Era::Before2000 => "before_2000",
            Era::Before2021 => "before_2021",
            Era::From2021 => "from_2021",
        }
    }

    fn absorption_key(self) -> &'static str {
        match self {
            Era::Before1960 | Era::Before1980 => "before_1980",
            Era::Before2000 => "before_2000",
            Era::Before2021 | Era::From2021 => "from_2000",
        }
    }
}

/// One version of what cannot be seen.
#[derive(Debug, Clone, PartialEq)]
pub struct FloorParameters {
    /// The months that it lives through.
    pub weather: WeatherStream,
    /// Logarithm of the rain of a year for a normal score of one.
    pub year_rain_ln: f64,
    /// Factor on the station's rain in a usual year.
    pub place_rain: f64,
    /// Factors on the station's rain: the reading's year and the years ahead.
    pub year_rain: f64,
    /// Factors of the years ahead, the next one first.
    pub ahead_rain: [f64; YEARS_DRAWN],
    /// Water that the soil holds for plants when it is full, mm.
    pub soil_store_mm: f64,
    /// Share of the store below that leaves it in a month, 0 to 1.
    pub release: f64,
    /// Share of rain and melt that runs past the soil.
    pub bypass: f64,
    /// Snow that melts for each degree above freezing, mm/(K day).
    pub melt_mm_k_day: f64,
    /// Share of the store below that roots draw in a month when the soil is empty.
    pub root_draw: f64,
    /// Multiple of the formula's evapotranspiration.
    pub evapotranspiration: f64,
    /// Where the house stands on its lot.
    pub lot: LotPosition,
    /// Mean level of the ground water, m above the slab's underside; mostly below 0.
    pub water_table_m: f64,
    /// Water that the ground gives or takes for a height of water table, m/m: in inverse
    /// proportion to `release`, since ground that gives fast holds little (a linear store of
    /// an aquifer empties at π² transmissivity / (4 yield length²)).
    pub specific_yield: f64,
    /// Drainable pore space of the backfill at the walls, 0 to 1.
    pub backfill_yield: f64,
    /// Rain and melt led to the walls, as a share of what falls: 0 and up, since roof water on a
    /// narrow strip counts more than once.
    pub wall_share: f64,
    /// How much of the rain led to the walls dry backfill soaks up, 0 to 1.
    pub backfill_uptake: f64,
    /// The drain beside or under the footing carries water off.
    pub drain_works: bool,
    /// Highest level that a working drain lets the water reach, m above the underside; below 0.
    pub drain_cap_m: f64,
    /// Height that water climbs above the table in the fill, m.
    pub fringe_m: f64,
    /// How far the slab's surface follows the room rather than the ground, 0 to 1.
    pub slab_toward_room: f64,
    /// Air changes of the basement with the outdoors, 1/h.
    pub air_changes_per_h: f64,
    /// Vapor pressure that the people of the house add when it is cold outdoors, Pa.
    pub excess_pa: f64,
    /// Yearly mean of the basement air where the outdoor mean is 10 °C, °C.
    pub room_mean_c: f64,
    /// Half the yearly swing of the basement air, K.
    pub room_half_k: f64,
    /// How far the room's mean follows the place's, in places colder and warmer than the rows of
    /// the table are for, and its swing; K/K.
    pub room_follows: [f64; 2],
    /// How far the room's half swing follows that of the outdoors, K/K.
    pub room_half_follows: f64,
    /// The house has air conditioning.
    pub cooled: bool,
    /// A dehumidifier stands in the basement.
    pub has_machine: bool,
    /// Relative humidity at which it shuts off, 0 to 1.
    pub machine_setting: f64,
    /// Water it can take out, L/day.
    pub machine_l_day: f64,
    /// Floor area of the basement, m2.
    pub floor_area_m2: f64,
    /// Water in the concrete when its pores are full, kg/m3.
    pub saturation_content: f64,
    /// Shape `b` of the storage curve, above 1; without unit.
    pub storage_shape: f64,
    /// Water absorption that lasts, kg/(m2 s^0.5).
    pub absorption: f64,
    /// Vapor resistance against still air, a factor.
    pub vapor_resistance: f64,
    /// Thickness of the slab, m.
    pub thickness_m: f64,
    /// Water over cement by weight; matters for a slab that is run from its placing.
    pub water_cement_ratio: f64,
    /// Factors and shift of this slab on the laws of young concrete: a slab that passes more
    /// than others of its kind when it is old does so when it is young.
    pub young_liquid_factor: f64,
    /// Factor on the vapor resistance of young concrete.
    pub young_vapor_factor: f64,
    /// Added to the storage shape of young concrete.
    pub young_shape_shift: f64,
    /// State of the vapor retarder under the slab.
    pub retarder: RetarderState,
    /// Vapor layer between slab and ground, m of still air.
    pub air_layer_m: f64,
    /// What a fully wetted underside takes up, kg/(m2 s) for each unit of humidity missing.
    pub contact_supply: f64,
    /// Thermal diffusivity of the ground, m2/day.
    pub ground_diffusivity: f64,
    /// The darkest patch: share (0 to 1) of the floor.
    pub patch_share: f64,
    /// Sustained absorption of its concrete, kg/(m2 s^0.5).
    pub patch_absorption: f64,
    /// The skin that the dome of a calcium chloride test dries, m of still air.
    pub dome_layer_m: f64,
    /// When the slab was made.
    pub era: Era,
}

/// The priors that one visit's answers select.
#[derive(Debug, Clone)]
pub struct PriorSet {
    place_rain: Prior,
    year_rain: Prior,
    soil_store: Prior,
    release: Prior,
    bypass: Prior,
    room_follows: [f64; 2],
    room_half_follows: f64,
    melt_factor: Prior,
    root_draw: Prior,
    evapotranspiration_factor: Prior,
    lots: [(LotPosition, f64, Prior); 3],
    below_chance: f64,
    below_shift_m: f64,
    on_grade_shift_m: f64,
    specific_yield: Prior,
    backfill_yield: Prior,
    wall_share_most: f64,
    backfill_uptake: f64,
    drain_chance: f64,
    drain_cap_m: f64,
    fringe: Prior,
    slab_toward_room: Prior,
    air_changes: Prior,
    excess: Prior,
    room_mean: Prior,
    room_half: Prior,
    cooled: f64,
    machine: f64,
    machine_setting: Prior,
    machine_capacity: Prior,
    floor_area_m2: f64,
    saturation_content: Prior,
    storage_shape: Prior,
    vapor_resistance: Prior,
    thickness: Prior,
    thickness_m: f64,
    air_layer: [Prior; 3],
    contact_supply: Prior,
    contact_factor: [f64; 3],
    ground_diffusivity: Prior,
    patch_share: Prior,
    patch_factor: Prior,
    patch_absorption_most: f64,
    dome_layer: Prior,
    eras: Vec<(Era, f64, RetarderChance, Prior)>,
    water_cement_ratio: Prior,
    /// Of this slab among young ones: logs of factors, and the spread of the shape.
    young_liquid: f64,
    young_vapor: f64,
    young_shape: f64,
    /// Whether the slab is run from its placing, so that its mix matters.
    young: bool,
    /// Whether the floor lies below grade, as far as is known.
    pub below_grade: bool,
}

impl FloorParameters {
    /// Rain that is common to all months of one of the years before the reading's one, counted
    /// from the earliest, as a multiple of the usual.
    pub fn rain_of_year_before(&self, year: usize) -> f64 {
        libm::exp(self.year_rain_ln * self.weather.year_score(year))
    }
}

/// Where the house can stand with each share, from the driest to the wettest, so that a higher
/// score is never drier.
fn lots_of(lot: &Lot) -> [(LotPosition, f64, Prior); 3] {
    let priors = Priors::bundled();
    let share = |position: LotPosition| match lot.position {
        Some(known) => f64::from(u8::from(known == position)),
        None => priors.of("lot_share", position.word()).value(),
    };
    [LotPosition::High, LotPosition::Level, LotPosition::Low]
        .map(|it| (it, share(it), priors.of("water_table", it.word())))
}

/// Which row says how often a drain works.
fn drain_key(lot: &Lot) -> &'static str {
    match (lot.sub_drain, derived_drainage(lot)) {
        (Some(SubDrain::Works), _) => "works",
        (Some(SubDrain::Failed), _) => "failed",
        (Some(SubDrain::NoDrain), _) => "none",
        (None, Some(Drainage::Sound)) => "unknown_sound",
        (None, Some(Drainage::Failing)) => "unknown_failing",
        (None, None) => "unknown_unknown",
    }
}

/// The eras that the slab can be of, with their shares, the retarder's chances by what was seen
/// of it, and how concrete of the era takes up water.
fn eras_of(floor: &Floor) -> Vec<(Era, f64, RetarderChance, Prior)> {
    let (priors, retarders) = (Priors::bundled(), RetarderTable::bundled());
    let proof = match floor.retarder_proof {
        Some(RetarderProof::Hole) => "hole",
        Some(RetarderProof::Papers) => "papers",
        Some(RetarderProof::Told) => "told",
        None => "no_proof",
    };
    let year = construction_year(floor);
    let of_era = |era: &Era| {
        let share = match year {
            Some(known) => f64::from(u8::from(Era::of_year(known) == *era)),
            None => priors.of("era_share", era.key()).value(),
        };
        let chance = match floor.retarder {
            Some(Retarder::Seen) => retarders.after(era.key(), "seen", proof),
            Some(Retarder::Absent) => retarders.after(era.key(), "absent", proof),
            None => retarders.of_era(era.key()),
        };
        let absorption = priors.of("absorption", era.absorption_key());
        (share > 0.0).then_some((*era, share, chance, absorption))
    };
    Era::ALL.iter().filter_map(of_era).collect()
}

/// The rows of `tables/priors.csv` that answers select, by the quantities they serve.
struct PriorKeys {
    drainage: &'static str,
    below: &'static str,
    heated: &'static str,
    room: &'static str,
    cooled: &'static str,
    machine: &'static str,
    fringe: &'static str,
    thickness: &'static str,
}

impl PriorKeys {
    fn of(visit: &Visit) -> Self {
        let (floor, lot, air) = (&visit.floor, &visit.lot, &visit.air);
        let yes_no = |answer: Option<bool>, yes: &'static str, no: &'static str| match answer {
            Some(true) => yes,
            Some(false) => no,
            None => "unknown",
        };
        let is_open = is_open_garage(visit);
        Self {
            drainage: match derived_drainage(lot) {
                Some(Drainage::Sound) => "sound",
                Some(Drainage::Failing) => "failing",
                None => "unknown",
            },
            below: match floor.setting {
                Some(Setting::WalkOut) => "walk_out",
                _ => "below",
            },
            heated: match is_open {
                true => "open_garage",
                false => yes_no(air.heated, "heated", "unheated"),
            },
            room: if is_open { "open_garage" } else { "any" },
            cooled: yes_no(air.air_conditioned, "yes", "no"),
            machine: match air.dehumidifier {
                Some(Dehumidifier::Running) => "running",
                Some(Dehumidifier::NoMachine) => "none",
                None => "unknown",
            },
            fringe: match floor.gravel_base {
                Some(true) => "gravel",
                Some(false) | None => "unknown",
            },
            thickness: match floor.thickness {
                Some(_) => "known",
                None => "unknown",
            },
        }
    }
}

/// A garage that is not known to be heated follows the outdoors.
fn is_open_garage(visit: &Visit) -> bool {
    visit.floor.setting == Some(Setting::Garage) && visit.air.heated != Some(true)
}

impl PriorSet {
    /// The priors for a visit's answers; whatever is not known keeps its wide row.
    pub fn for_visit(visit: &Visit) -> Self {
        let priors = Priors::bundled();
        let of = |quantity: &str| priors.of(quantity, "any");
        let (floor, lot, air) = (&visit.floor, &visit.lot, &visit.air);

        let PriorKeys {
            drainage,
            below,
            heated,
            room,
            cooled,
            machine,
            fringe,
            thickness,
        } = PriorKeys::of(visit);
        let open_garage = is_open_garage(visit);
        let below_chance = match known_below_grade(floor) {
            Some(known) => f64::from(u8::from(known)),
            None => priors.of("below_grade", "unknown").value(),
        };
        let known_or = |known: Option<f64>, quantity: &str| match known {
            Some(known) => Prior::fixed(known),
            None => of(quantity),
        };
        let by_state = |quantity: &str| {
            ["effective", "damaged", "none"].map(|state| priors.of(quantity, state))
        };
        Self {
            place_rain: of("place_rain"),
            year_rain: of("year_rain"),
            soil_store: of("soil_store"),
            release: of("release"),
            bypass: of("bypass"),
            room_follows: [
                priors.of("room_follows_colder", heated).value(),
                priors.of("room_follows_warmer", heated).value(),
            ],
            room_half_follows: if open_garage {
                priors.of("room_half_follows", "open_garage").value()
            } else {
                0.0
            },
            melt_factor: of("melt_factor"),
            root_draw: of("root_draw"),
            evapotranspiration_factor: of("evapotranspiration_factor"),
            lots: lots_of(lot),
            below_chance,
            below_shift_m: priors.of("grade_shift", below).value(),
            on_grade_shift_m: priors.of("grade_shift", "on_grade").value(),
            specific_yield: of("specific_yield"),
            backfill_yield: of("backfill_yield"),
            wall_share_most: priors.of("wall_share_most", drainage).value(),
            backfill_uptake: of("backfill_uptake").value(),
            drain_chance: priors.of("drain_works", drain_key(lot)).value(),
            drain_cap_m: of("drain_cap").value(),
            fringe: priors.of("fringe", fringe),
            slab_toward_room: of("slab_toward_room"),
            air_changes: priors.of("air_changes", room),
            excess: priors.of("moisture_excess", room),
            room_mean: priors.of("room_mean", heated),
            room_half: priors.of("room_half", heated),
            cooled: if open_garage {
                0.0
            } else {
                priors.of("cooled", cooled).value()
            },
            machine: priors.of("machine", machine).value(),
            machine_setting: known_or(
                air.dehumidifier_setting.map(|it| it.get()),
                "machine_setting",
            ),
            machine_capacity: known_or(
                air.dehumidifier_capacity.map(|it| it.get()),
                "machine_capacity",
            ),
            floor_area_m2: floor.area.map_or(of("floor_area").value(), |it| it.get()),
            saturation_content: of("saturation_content"),
            storage_shape: of("storage_shape"),
            vapor_resistance: of("vapor_resistance"),
            thickness: priors.of("thickness", thickness),
            thickness_m: floor.thickness.map_or(1.0, |it| it.get()),
            air_layer: by_state("retarder_air_layer"),
            contact_supply: of("contact_supply"),
            contact_factor: by_state("contact_factor").map(|it| it.value()),
            ground_diffusivity: of("ground_diffusivity"),
            patch_share: of("patch_share"),
            patch_factor: of("patch_factor"),
            patch_absorption_most: of("patch_absorption_most").value(),
            dome_layer: of("dome_layer"),
            eras: eras_of(floor),
            water_cement_ratio: known_or(floor.water_cement_ratio, "water_cement_ratio"),
            young_liquid: libm::log(YoungTable::bundled().liquid_spread),
            young_vapor: libm::log(YoungTable::bundled().vapor_spread),
            young_shape: of("storage_shape").sd(),
            young: is_run_from_placing(visit),
            below_grade: below_chance > 0.5,
        }
    }

    /// Whether a dimension of a draw moves anything: the mix of an old slab does not.
    pub fn is_drawn(&self, dimension: usize) -> bool {
        self.young || dimension != Dimension::WaterCementRatio as usize
    }

    /// Gives a version another sum of rain in the next year: that which a year exceeds as often as
    /// a normal score `score`. Its months keep their shares of the sum.
    pub fn set_next_year(&self, parameters: &mut FloorParameters, score: f64) {
        let spread = Spread::bundled();
        let of_month = |month: usize| {
            parameters
                .weather
                .month(spread, YEARS_BEFORE + 1, month)
                .rain
                / 12.0
        };
        let own: f64 = (0..12).map(of_month).sum();
        let months_sd = SeasonTable::bundled().month_rain_sd / 12.0_f64.sqrt();
        let year_sd = self.year_rain.sd();
        let sd = (months_sd * months_sd + year_sd * year_sd).sqrt();
        parameters.ahead_rain[0] = parameters.place_rain * libm::exp(sd * score) / own;
    }

    /// The version in the middle of everything, in the weather of the normals.
    pub fn middle(&self) -> FloorParameters {
        FloorParameters {
            weather: WeatherStream::USUAL,
            ..self.parameters(&[0.0; DIMENSIONS])
        }
    }

    /// The version of the floor at a point of normal scores.
    pub fn parameters(&self, scores: &[f64; DIMENSIONS]) -> FloorParameters {
        use Dimension as D;
        let score = |dimension: D| scores[dimension as usize];
        let chance = |dimension: D| normal_cdf(score(dimension));
        let place = self.place_rain.at(score(D::PlaceRain));
        let rain = |score: f64| libm::exp(place + self.year_rain.at(score));
        let ahead_scores = [
            score(D::NextYearRain),
            score(D::SecondYearRain),
            score(D::ThirdYearRain),
            score(D::FourthYearRain),
            score(D::FifthYearRain),
            score(D::SixthYearRain),
        ];
        let (lot, _, water_table) = pick(&self.lots, chance(D::Lot), |it| it.1);
        let (era, _, retarder_chance, absorption) = pick(&self.eras, chance(D::Era), |it| it.1);
        let state = chance(D::RetarderState);
        let retarder = if state < retarder_chance.effective {
            RetarderState::Effective
        } else if state < retarder_chance.effective + retarder_chance.damaged {
            RetarderState::Damaged
        } else {
            RetarderState::None
        };
        // Above grade first: a higher score is never drier.
        let shift_m = if chance(D::BelowGrade) < 1.0 - self.below_chance {
            self.on_grade_shift_m
        } else {
            self.below_shift_m
        };
        let release = self.release.at(score(D::Release));
        FloorParameters {
            weather: WeatherStream::of_draw(scores),
            year_rain_ln: self.year_rain.sd(),
            place_rain: libm::exp(place),
            year_rain: rain(score(D::YearRain)),
            ahead_rain: ahead_scores.map(rain),
            soil_store_mm: self.soil_store.at(score(D::SoilStore)),
            release,
            bypass: self.bypass.at(score(D::Bypass)),
            room_follows: self.room_follows,
            room_half_follows: self.room_half_follows,
            melt_mm_k_day: self.melt_factor.at(score(D::MeltFactor)),
            root_draw: self.root_draw.at(score(D::RootDraw)),
            evapotranspiration: self
                .evapotranspiration_factor
                .at(score(D::EvapotranspirationFactor)),
            lot: *lot,
            water_table_m: water_table.at(score(D::WaterTable)) + shift_m,
            specific_yield: self
                .specific_yield
                .at_times(score(D::SpecificYield), self.release.value() / release),
            backfill_yield: self.backfill_yield.at(score(D::SpecificYield)),
            wall_share: self.wall_share_most * chance(D::WallShare),
            backfill_uptake: self.backfill_uptake,
            drain_works: chance(D::DrainWorks) < self.drain_chance,
            drain_cap_m: self.drain_cap_m,
            fringe_m: self.fringe.at(score(D::Fringe)),
            slab_toward_room: self.slab_toward_room.at(score(D::SlabTowardRoom)),
            air_changes_per_h: self.air_changes.at(score(D::AirChanges)),
            excess_pa: self.excess.at(score(D::Excess)),
            room_mean_c: self.room_mean.at(score(D::RoomMean)),
            room_half_k: self.room_half.at(score(D::RoomHalf)),
            cooled: chance(D::Cooled) < self.cooled,
            has_machine: chance(D::Machine) < self.machine,
            machine_setting: self.machine_setting.at(score(D::Setting)),
            machine_l_day: self.machine_capacity.at(score(D::Capacity)),
            floor_area_m2: self.floor_area_m2,
            saturation_content: self.saturation_content.at(score(D::SaturationContent)),
            storage_shape: self.storage_shape.at(score(D::StorageShape)),
            absorption: absorption.at(score(D::Absorption)),
            vapor_resistance: self.vapor_resistance.at(score(D::VaporResistance)),
            thickness_m: self.thickness_m * self.thickness.at(score(D::Thickness)),
            water_cement_ratio: self.water_cement_ratio.at(score(D::WaterCementRatio)),
            young_liquid_factor: libm::exp(self.young_liquid * score(D::Absorption)),
            young_vapor_factor: libm::exp(self.young_vapor * score(D::VaporResistance)),
            young_shape_shift: self.young_shape * score(D::StorageShape),
            retarder,
            air_layer_m: self.air_layer[retarder as usize].at(score(D::AirLayer)),
            contact_supply: self.contact_supply.at(score(D::ContactSupply))
                * self.contact_factor[retarder as usize],
            ground_diffusivity: self.ground_diffusivity.at(score(D::GroundDiffusivity)),
            patch_share: self.patch_share.at(score(D::PatchShare)),
            patch_absorption: (absorption.at(score(D::Absorption))
                * self.patch_factor.at(score(D::PatchFactor)))
            .min(self.patch_absorption_most),
            dome_layer_m: self.dome_layer.at(score(D::DomeLayer)),
            era: *era,
        }
    }
}

/// Whether a slab is young enough to be run from its placing.
pub fn is_run_from_placing(visit: &Visit) -> bool {
    let forgets_days = YoungTable::bundled().forgets_years * DAYS_PER_YEAR;
    age_days(&visit.floor, visit.visit_date).is_some_and(|it| (it as f64) < forgets_days)
}

/// The entry that a chance (0 to 1) falls on, by shares that sum to one.
fn pick<T>(entries: &[T], chance: f64, share: impl Fn(&T) -> f64) -> &T {
    let mut sum = 0.0;
    let mut last = &entries[0];
    for entry in entries {
        let part = share(entry);
        if part <= 0.0 {
            continue;
        }
        sum += part;
        last = entry;
        if chance < sum {
            break;
        }
    }
    last
}
