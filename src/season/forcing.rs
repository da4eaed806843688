//! What the season does to a floor, step by step of a year: the only home of its forcing.

use super::{
    DAYS_PER_YEAR, Harmonic, SeasonTable, Swing, between_months, excess_share, reference_pa,
    saturation_pa, slab_c, swing_at, turn_of_year,
};
use crate::units::{Lanes, Real, Width, Work};

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;
/// A pressure that no air outdoors reaches, Pa.
const FAR_OVER_PA: f64 = 1.0e9;

/// Steps of a month and length of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cadence {
    /// 1 and more.
    pub steps_per_month: usize,
    /// Length of a step, s.
    pub step_s: f64,
}

/// What the season does at the end of one step of the year. All in Pa.
#[derive(Debug, Clone, Copy)]
pub struct YearStep<const L: usize, R = f64> {
    /// Saturation at the slab's surface.
    pub surface_saturation_pa: Lanes<L, R>,
    /// Saturation at its underside.
    pub under_saturation_pa: Lanes<L, R>,
    /// Saturation in the air of the room.
    pub room_saturation_pa: Lanes<L, R>,
    /// Pressure that ventilation and the people of the house would give.
    pub reference_pa: Lanes<L, R>,
    /// Pressure at which the machine stops; the reference where there is none.
    pub setting_pa: Lanes<L, R>,
    /// Reference with the machine at full power; the reference where there is none.
    pub dried_reference_pa: Lanes<L, R>,
}

impl<const L: usize, R: Real> YearStep<L, R> {
    /// Nothing, to add to.
    pub fn zero() -> Self {
        let zero = [R::zero(); L];
        Self {
            surface_saturation_pa: zero,
            under_saturation_pa: zero,
            room_saturation_pa: zero,
            reference_pa: zero,
            setting_pa: zero,
            dried_reference_pa: zero,
        }
    }
}

/// The air outdoors at the end of each step of a year, the same for every house of a place.
#[derive(Debug, Clone)]
pub struct Outdoors {
    /// Its yearly swing.
    pub swing: Harmonic,
    /// Steps of the year.
    pub cadence: Cadence,
    turn: Vec<[f64; 2]>,
    vapor_pa: Vec<f64>,
    excess_share: Vec<f64>,
}

impl Outdoors {
    /// From monthly means of temperature and dew point, °C, in so many steps a month.
    pub fn new(mean_c: &[f64; 12], dew_point_c: &[f64; 12], steps_per_month: usize) -> Self {
        let monthly_pa: [f64; 12] = dew_point_c.map(saturation_pa);
        let steps = 12 * steps_per_month;
        let mut turn = Vec::with_capacity(steps);
        let mut vapor_pa = Vec::with_capacity(steps);
        let mut excess = Vec::with_capacity(steps);
        for step in 0..steps {
            turn.push(turn_of_year((step as f64 + 1.0) / steps as f64));
            let month = step / steps_per_month;
            let (side, share) = between_months(step % steps_per_month, steps_per_month);
            let neighbor = (month as isize + side).rem_euclid(12) as usize;
            let between =
                |values: &[f64; 12]| share * values[month] + (1.0 - share) * values[neighbor];
            vapor_pa.push(between(&monthly_pa));
            excess.push(excess_share(between(mean_c)));
        }
        Self {
            swing: Harmonic::of_months(mean_c),
            cadence: Cadence {
                steps_per_month,
                step_s: DAYS_PER_YEAR * DAY_S / steps as f64,
            },
            turn,
            vapor_pa,
            excess_share: excess,
        }
    }
}

/// One house as far as the season acts on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct House {
    /// Temperature of the room's air.
    pub room: Swing,
    /// Temperature of the ground at the slab's depth.
    pub ground: Swing,
    /// How far the slab's surface goes from the ground's temperature to the room's, 0 to 1.
    pub slab_toward_room: f64,
    /// Moisture excess of the people of the house when it is cold outdoors, Pa.
    pub excess_pa: f64,
    /// Whether it is air-conditioned.
    pub cooled: bool,
    /// The machine that dries the air.
    pub machine: Option<Machine>,
}

/// A machine that dries the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// Relative humidity at which it stops, 0 to 1.
    pub setting: f64,
    /// What it takes off the reference pressure at full power, Pa.
    pub most_pa: f64,
}

impl Machine {
    /// Of a capacity in L/day over a floor of `area_m2`, in a room whose air is renewed by
    /// `ventilation`, kg/(m2 s Pa).
    pub fn new(setting: f64, l_day: f64, area_m2: f64, ventilation: f64) -> Self {
        Self {
            setting,
            most_pa: l_day / (DAY_S * area_m2) / ventilation,
        }
    }
}

/// The forcing of a year, one entry a step, for `L` houses of a place. The width changes no
/// digit.
pub fn forcing<const L: usize, R: Real>(
    width: Width,
    outdoors: &Outdoors,
    houses: &[House; L],
) -> Vec<YearStep<L, R>> {
    let table = SeasonTable::bundled();
    let lanes = |value: &dyn Fn(&House) -> f64| -> Lanes<L, R> {
        std::array::from_fn(|l| R::of(value(&houses[l])))
    };
    let parts = |of: &dyn Fn(&House) -> Swing| {
        [
            lanes(&|it| of(it).mean_c),
            lanes(&|it| of(it).cosine_k),
            lanes(&|it| of(it).sine_k),
        ]
    };
    width.run(Forcing {
        outdoors,
        room: parts(&|it| it.room),
        ground: parts(&|it| it.ground),
        toward_room: lanes(&|it| it.slab_toward_room),
        underside_less: R::of(table.underside_less),
        excess_pa: lanes(&|it| it.excess_pa),
        cooled_pa: lanes(&|it| {
            if it.cooled {
                table.cooled_reference_pa
            } else {
                FAR_OVER_PA
            }
        }),
        machine: lanes(&|it| f64::from(u8::from(it.machine.is_some()))),
        setting: lanes(&|it| it.machine.map_or(0.0, |it| it.setting)),
        most_pa: lanes(&|it| it.machine.map_or(0.0, |it| it.most_pa)),
    })
}

/// [`forcing`] over lanes, to be compiled for every width.
struct Forcing<'a, const L: usize, R> {
    outdoors: &'a Outdoors,
    /// Mean, cosine and sine of the yearly swings, °C.
    room: [Lanes<L, R>; 3],
    ground: [Lanes<L, R>; 3],
    toward_room: Lanes<L, R>,
    underside_less: R,
    excess_pa: Lanes<L, R>,
    cooled_pa: Lanes<L, R>,
    /// 1 with a machine, 0 without.
    machine: Lanes<L, R>,
    setting: Lanes<L, R>,
    most_pa: Lanes<L, R>,
}

impl<const L: usize, R: Real> Work for Forcing<'_, L, R> {
    type Output = Vec<YearStep<L, R>>;

    #[inline(always)]
    fn run(self) -> Vec<YearStep<L, R>> {
        let (outdoors, room, ground) = (self.outdoors, self.room, self.ground);
        let half = R::of(0.5);
        let mut year = Vec::with_capacity(outdoors.turn.len());
        for step in 0..outdoors.turn.len() {
            let turn = outdoors.turn[step].map(R::of);
            let outdoor_pa = R::of(outdoors.vapor_pa[step]);
            let excess = R::of(outdoors.excess_share[step]);
            let mut at = YearStep::zero();
            for l in 0..L {
                let room_c = swing_at([room[0][l], room[1][l], room[2][l]], turn);
                let ground_c = swing_at([ground[0][l], ground[1][l], ground[2][l]], turn);
                let toward = self.toward_room[l];
                let room_pa = saturation_pa(room_c);
                at.surface_saturation_pa[l] = saturation_pa(slab_c(ground_c, room_c, toward));
                at.under_saturation_pa[l] =
                    saturation_pa(slab_c(ground_c, room_c, toward - self.underside_less));
                at.room_saturation_pa[l] = room_pa;
                let reference =
                    reference_pa(outdoor_pa, self.cooled_pa[l], self.excess_pa[l] * excess);
                let has_machine = self.machine[l] > half;
                let setting = self.setting[l] * room_pa;
                let dried = reference - self.most_pa[l];
                at.reference_pa[l] = reference;
                at.setting_pa[l] = if has_machine { setting } else { reference };
                at.dried_reference_pa[l] = if has_machine { dried } else { reference };
            }
            year.push(at);
        }
        year
    }
}
