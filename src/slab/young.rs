//! Concrete in its first two years.
//!
//! The cement takes up water as it sets, the pores close, and what is left of the mixing
//! water dries out for the first time, slower than the same slab would soak it up again.
//! Between the first and the second year the numbers go over to those of an old slab.

use super::solver::step_in;
use super::{
    GenericConcrete, Geometry, Grid, Material, Passed, RoomSide, SlabState, Underside, Weights,
};
use crate::units::{Lanes, Real};

crate::named_table! {
    /// Numbers of young concrete, from `tables/young_concrete.csv`.
    YoungTable from "young_concrete.csv" {
        ultimate_scale,
        ultimate_half,
        setting_days,
        setting_power,
        reference_c,
        activation_k,
        bound_water,
        pore_loss,
        content_rest,
        middle_ratio,
        storage_excess,
        storage_slope,
        liquid_diffusivity,
        liquid_slope,
        vapor_resistance,
        start_days,
        sixteenths_until_days,
        quarters_until_days,
        daily_until_days,
        hand_over_from_days,
        hand_over_until_days,
        drying_only_days,
        forgets_years,
        liquid_spread,
        vapor_spread,
    }
}

/// Share of the cement that ever sets.
///
/// # Formula
///
/// `1.031 r / (0.194 + r)`, with `r` the water-cement ratio by weight.
///
/// # Range
///
/// 0.3 to 1.0; never above 1 there.
///
/// # Source
///
/// mills-1966, from memory.
pub fn ultimate_hydration(ratio: f64) -> f64 {
    let table = YoungTable::bundled();
    table.ultimate_scale * ratio / (table.ultimate_half + ratio)
}

/// Share of the cement that has set at an equivalent age.
///
/// # Formula
///
/// `alpha_u exp(-(0.6 / t_e)^0.7)`, with `t_e` in days at 20 °C.
///
/// # Source
///
/// The form is that of common maturity curves; from memory.
pub fn hydration(ratio: f64, equivalent_days: f64) -> f64 {
    if equivalent_days <= 0.0 {
        return 0.0;
    }
    let table = YoungTable::bundled();
    ultimate_hydration(ratio) * libm::exp(-still_to_set(table, equivalent_days))
}

/// `(0.6 / t_e)^0.7`, for an equivalent age above zero.
fn still_to_set(table: &YoungTable, equivalent_days: f64) -> f64 {
    libm::pow(table.setting_days / equivalent_days, table.setting_power)
}

/// What is still to set when the equivalent age grows by `growth` of itself, and the factor by
/// which the hydration grows meanwhile, from `still` before.
///
/// By series, since a slab takes some 300 steps to grow old and a power with two exponentials in
/// each would be most of the work: for steps of at most [`LONGEST_GROWTH`], to 1e-8 where a slab
/// is placed at 0 °C or above.
#[inline(always)]
fn grown(power: f64, still: f64, growth: f64) -> (f64, f64) {
    // ln(1 + g) = 2 artanh(g / (2 + g)).
    let y = growth / (2.0 + growth);
    let y2 = y * y;
    let logarithm =
        2.0 * y * (1.0 + y2 * (1.0 / 3.0 + y2 * (1.0 / 5.0 + y2 * (1.0 / 7.0 + y2 / 9.0))));
    let left = still * exp_of_small(-power * logarithm);
    (left, exp_of_small(still - left))
}

/// `exp` of numbers near zero: within 0.4 to 1e-10, within 0.7 to 1e-8.
#[inline(always)]
fn exp_of_small(x: f64) -> f64 {
    let mut sum = 1.0;
    for n in (1..=9).rev() {
        sum = 1.0 + x / f64::from(n) * sum;
    }
    sum
}

/// Longest step, as a share of the equivalent age, that [`grown`] takes.
const LONGEST_GROWTH: f64 = 0.3;

/// Days of equivalent age that go by in one day at a temperature.
///
/// # Formula
///
/// `exp(5000 (1/293.15 - 1/T))`, with `T` in K: 1 at 20 °C.
pub fn setting_pace(slab_c: f64) -> f64 {
    const ZERO_CELSIUS_K: f64 = 273.15;
    let table = YoungTable::bundled();
    let reference_k = table.reference_c + ZERO_CELSIUS_K;
    libm::exp(table.activation_k * (1.0 / reference_k - 1.0 / (slab_c + ZERO_CELSIUS_K)))
}

/// Cement in a cubic meter, kg, of a mix that holds `saturation_content` kg/m3 of water when
/// it is old and full.
///
/// # Formula
///
/// `(w_f - 12) / (r - 0.188 alpha_u)`: what water the mix had, less the room that the set
/// cement fills.
pub fn cement_content(ratio: f64, saturation_content: f64) -> f64 {
    let table = YoungTable::bundled();
    (saturation_content - table.content_rest)
        / (ratio - table.pore_loss * ultimate_hydration(ratio))
}

/// The shape `b` of the storage curve of young concrete.
///
/// # Formula
///
/// `1 + 0.875 exp(-5.65 (r - 0.5))`. Dense concrete holds its water down to a lower humidity.
pub fn storage_shape(ratio: f64) -> f64 {
    let table = YoungTable::bundled();
    let from_middle = ratio - table.middle_ratio;
    1.0 + table.storage_excess * libm::exp(-table.storage_slope * from_middle)
}

/// Liquid diffusivity of full young concrete, m2/s.
///
/// # Formula
///
/// `5.15e-10 exp(6.4 (r - 0.5))`.
pub fn liquid_diffusivity(ratio: f64) -> f64 {
    let table = YoungTable::bundled();
    table.liquid_diffusivity * libm::exp(table.liquid_slope * (ratio - table.middle_ratio))
}

/// Water absorption, kg/(m2 s^0.5), that has a liquid diffusivity at saturation: the inverse
/// of `D_w = 3.8 (A / w_f)^2`.
fn absorption_of(diffusivity_m2_s: f64, saturation_content: f64) -> f64 {
    saturation_content * libm::sqrt(diffusivity_m2_s / KUNZEL)
}

/// Liquid diffusivity at saturation of a water absorption, m2/s.
fn diffusivity_of(absorption: f64, saturation_content: f64) -> f64 {
    let share = absorption / saturation_content;
    KUNZEL * share * share
}

/// The factor of Künzel's diffusivity. Source: kunzel-1995.
const KUNZEL: f64 = 3.8;

/// What one slab is made of, and what it will be when it is old.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mix {
    /// Water over cement by weight.
    pub water_cement_ratio: f64,
    /// Factors of this slab on the laws of young concrete.
    pub liquid_factor: f64,
    /// Factor of this slab on the vapor resistance of young concrete.
    pub vapor_factor: f64,
    /// Added to the storage shape of young concrete.
    pub shape_shift: f64,
    /// The old slab: kg/m3, shape, kg/(m2 s^0.5), and vapor resistance.
    pub saturation_content: f64,
    /// Shape `b` of the old slab's storage curve, above 1.
    pub old_shape: f64,
    /// Water absorption of the old slab, kg/(m2 s^0.5).
    pub old_absorption: f64,
    /// Vapor resistance of the old slab against still air, a factor.
    pub old_vapor_resistance: f64,
}

impl Mix {
    /// A slab in the middle of its water-cement ratio, of which old age is not asked.
    pub fn middling(water_cement_ratio: f64, saturation_content: f64) -> Self {
        let diffusivity = liquid_diffusivity(water_cement_ratio);
        Self {
            water_cement_ratio,
            liquid_factor: 1.0,
            vapor_factor: 1.0,
            shape_shift: 0.0,
            saturation_content,
            old_shape: storage_shape(water_cement_ratio),
            old_absorption: absorption_of(diffusivity, saturation_content),
            old_vapor_resistance: YoungTable::bundled().vapor_resistance,
        }
    }

    fn cement(&self) -> f64 {
        cement_content(self.water_cement_ratio, self.saturation_content)
    }

    /// Water that the set cement has bound, kg/m3.
    pub fn bound_water(&self, hydration: f64) -> f64 {
        SlabLaws::of(self).bound * hydration
    }

    /// Water that the pores hold when full, kg/m3: more than in old age, by the pores that
    /// cement yet to set will close.
    pub fn content_when_full(&self, hydration: f64) -> f64 {
        SlabLaws::of(self).content_when_full(hydration)
    }

    /// Water in the pores of a sealed slab, kg/m3. The cement binds more water than the room
    /// it fills, so that a sealed slab empties a little.
    pub fn content_when_sealed(&self, hydration: f64) -> f64 {
        let table = YoungTable::bundled();
        let emptied = (table.bound_water - table.pore_loss) * self.cement() * hydration;
        self.content_when_full(hydration) - emptied
    }
}

/// Young slabs, one a lane.
#[derive(Debug, Clone, PartialEq)]
pub struct YoungConcrete<const L: usize> {
    /// What each slab is made of.
    pub mix: [Mix; L],
}

/// How old slabs of one age are, in days and in days of equivalent age.
#[derive(Debug, Clone, PartialEq)]
pub struct Youth<const L: usize> {
    /// Days since the placing.
    pub age_days: f64,
    equivalent_days: Lanes<L>,
    /// [`still_to_set`] at that age.
    still: Lanes<L>,
    hydration: Lanes<L>,
}

/// What of the laws of young slabs no age changes, worked out once.
#[derive(Debug, Clone, PartialEq)]
pub struct YoungLaws<const L: usize> {
    slabs: [SlabLaws; L],
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct SlabLaws {
    /// Share of the cement that ever sets.
    ultimate: f64,
    /// Water that all of the cement would bind, and room that it would fill, kg/m3.
    bound: f64,
    closed: f64,
    /// Water that the pores hold in old age, kg/m3.
    old_content: f64,
    shape: Aging,
    liquid: Aging,
    vapor: Aging,
}

/// A number of the young slab and of the same slab in old age.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Aging {
    young: f64,
    aged: f64,
}

impl Aging {
    /// Between the two, by the share of old age.
    fn straight(self, old: f64) -> f64 {
        self.young + old * (self.aged - self.young)
    }

    /// The same for factors, whose logarithms run straight.
    fn by_factors(self, old: f64) -> f64 {
        if old <= 0.0 {
            self.young
        } else {
            let logs = Self {
                young: libm::log(self.young),
                aged: libm::log(self.aged),
            };
            libm::exp(logs.straight(old))
        }
    }
}

impl SlabLaws {
    fn of(mix: &Mix) -> Self {
        let table = YoungTable::bundled();
        let ratio = mix.water_cement_ratio;
        let cement = mix.cement();
        Self {
            ultimate: ultimate_hydration(ratio),
            bound: table.bound_water * cement,
            closed: table.pore_loss * cement,
            old_content: mix.saturation_content,
            shape: Aging {
                young: storage_shape(ratio) + mix.shape_shift,
                aged: mix.old_shape,
            },
            liquid: Aging {
                young: mix.liquid_factor * liquid_diffusivity(ratio),
                aged: diffusivity_of(mix.old_absorption, mix.saturation_content),
            },
            vapor: Aging {
                young: mix.vapor_factor * table.vapor_resistance,
                aged: mix.old_vapor_resistance,
            },
        }
    }

    fn content_when_full(&self, hydration: f64) -> f64 {
        self.old_content + self.closed * (self.ultimate - hydration)
    }
}

impl<const L: usize> YoungConcrete<L> {
    /// Slabs just hard, at a slab temperature: their age and their state at every depth.
    pub fn placed(&self, slab_c: f64) -> (Youth<L>, Lanes<L>) {
        let table = YoungTable::bundled();
        let start_days = table.start_days;
        let equivalent_days = start_days * setting_pace(slab_c);
        let hydration = self
            .mix
            .map(|it| hydration(it.water_cement_ratio, equivalent_days));
        let state = std::array::from_fn(|l| {
            self.mix[l].content_when_sealed(hydration[l])
                / self.mix[l].content_when_full(hydration[l])
        });
        let youth = Youth {
            age_days: start_days,
            equivalent_days: [equivalent_days; L],
            still: [still_to_set(table, equivalent_days); L],
            hydration,
        };
        (youth, state)
    }

    /// The laws of these slabs.
    pub fn laws(&self) -> YoungLaws<L> {
        YoungLaws {
            slabs: std::array::from_fn(|l| SlabLaws::of(&self.mix[l])),
        }
    }
}

impl<const L: usize> YoungLaws<L> {
    /// The concrete as it is at an age.
    pub fn concrete<R: Real>(&self, youth: &Youth<L>) -> GenericConcrete<L, R> {
        let old = old_share(youth.age_days);
        let content: Lanes<L> =
            std::array::from_fn(|l| self.slabs[l].content_when_full(youth.hydration[l]));
        GenericConcrete::new(
            content,
            std::array::from_fn(|l| self.slabs[l].shape.straight(old)),
            std::array::from_fn(|l| {
                absorption_of(self.slabs[l].liquid.by_factors(old), content[l])
            }),
            std::array::from_fn(|l| self.slabs[l].vapor.by_factors(old)),
        )
    }
}

/// How far a slab has gone over to its old self: 0 through the first year, 1 from two on.
pub fn old_share(age_days: f64) -> f64 {
    let table = YoungTable::bundled();
    let span = table.hand_over_until_days - table.hand_over_from_days;
    ((age_days - table.hand_over_from_days) / span).clamp(0.0, 1.0)
}

/// Into how many equal parts a step of `step_days` is cut at an age.
pub fn parts_of_step(age_days: f64, step_days: f64) -> usize {
    let table = YoungTable::bundled();
    let longest_days = if age_days < table.sixteenths_until_days {
        1.0 / 16.0
    } else if age_days < table.quarters_until_days {
        0.25
    } else if age_days < table.daily_until_days {
        1.0
    } else {
        return 1;
    };
    // A hair less, so that ten days are ten parts and not eleven.
    (libm::ceil(step_days / longest_days - 1.0e-9) as usize).max(1)
}

impl<const L: usize> Youth<L> {
    /// Lets the cement set for some days at a pace ([`setting_pace`]): takes the water it binds
    /// out of every depth, and counts what is left by the pores that are left.
    #[inline(always)]
    pub fn grow<const NODES: usize, R: Real>(
        &mut self,
        laws: &YoungLaws<L>,
        state: &mut SlabState<NODES, L, R>,
        pace: &Lanes<L>,
        days: f64,
    ) {
        let table = YoungTable::bundled();
        self.age_days += days;
        let growth: Lanes<L> = std::array::from_fn(|l| days * pace[l] / self.equivalent_days[l]);
        let mut set = self.hydration;
        if growth.iter().all(|it| *it <= LONGEST_GROWTH) {
            for l in 0..L {
                let (still, times) = grown(table.setting_power, self.still[l], growth[l]);
                self.still[l] = still;
                set[l] *= times;
            }
        } else {
            for l in 0..L {
                let equivalent_days = self.equivalent_days[l] * (1.0 + growth[l]);
                self.still[l] = still_to_set(table, equivalent_days);
                set[l] = laws.slabs[l].ultimate * libm::exp(-self.still[l]);
            }
        }
        for l in 0..L {
            let (slab, set) = (&laws.slabs[l], set[l]);
            self.equivalent_days[l] += days * pace[l];
            let bound = slab.bound * (set - self.hydration[l]);
            let (full_before, full_now) = (
                slab.content_when_full(self.hydration[l]),
                slab.content_when_full(set),
            );
            self.hydration[l] = set;
            let scale = R::of(full_before / full_now);
            let taken = R::of(bound / full_now);
            let lowest = R::of(LOWEST);
            for node in 0..NODES {
                for u in [&mut state.now[node][l], &mut state.before[node][l]] {
                    let left = *u * scale - taken;
                    *u = if left < lowest { lowest } else { left };
                }
            }
        }
    }

    /// Slabs of one age, each lane one of `from`.
    pub fn gathered(from: &[(&Self, usize)]) -> Self {
        Self {
            age_days: from[0].0.age_days,
            equivalent_days: std::array::from_fn(|l| from[l].0.equivalent_days[from[l].1]),
            still: std::array::from_fn(|l| from[l].0.still[from[l].1]),
            hydration: std::array::from_fn(|l| from[l].0.hydration[from[l].1]),
        }
    }

    /// Share of the cement that has set.
    pub fn hydration(&self) -> &Lanes<L> {
        &self.hydration
    }
}

/// Lowest state that setting cement may leave.
const LOWEST: f64 = 1.0e-3;

/// Young slabs on their way through days, under conditions that the caller gives.
#[derive(Debug, Clone)]
pub struct DryingSlab<const NODES: usize, const L: usize, R = f64> {
    /// What the slabs are made of.
    pub slabs: YoungConcrete<L>,
    laws: YoungLaws<L>,
    /// Where the nodes lie through the slab's depth.
    pub grid: Grid<NODES>,
    /// Thickness of each slab, m.
    pub thickness_m: Lanes<L, R>,
    /// How old they are.
    pub youth: Youth<L>,
    /// Water in the slabs at each node.
    pub state: SlabState<NODES, L, R>,
    last_step_days: Option<f64>,
}

impl<const NODES: usize, const L: usize, R: Real> DryingSlab<NODES, L, R> {
    /// Slabs just placed.
    pub fn placed(slabs: YoungConcrete<L>, thickness_m: Lanes<L, R>, slab_c: f64) -> Self {
        let (youth, state) = slabs.placed(slab_c);
        Self {
            laws: slabs.laws(),
            slabs,
            grid: Grid::graded(),
            thickness_m,
            youth,
            state: SlabState::at_rest([state.map(R::of); NODES]),
            last_step_days: None,
        }
    }

    /// Some days at an even slab temperature, cut into the steps that the age asks for; the
    /// mean of what passed through the faces.
    pub fn days(
        &mut self,
        slab_c: f64,
        room: &RoomSide<L, R>,
        under: &Underside<L, R>,
        days: f64,
    ) -> Passed<L, R> {
        let parts = parts_of_step(self.youth.age_days, days);
        let mut mean = Passed::none();
        let share = R::of(1.0 / parts as f64);
        for _ in 0..parts {
            let passed = self.step(slab_c, room, under, days / parts as f64);
            for l in 0..L {
                mean.top[l] += share * passed.top[l];
                mean.under[l] += share * passed.under[l];
                mean.shed[l] += share * passed.shed[l];
            }
        }
        mean
    }

    fn step(
        &mut self,
        slab_c: f64,
        room: &RoomSide<L, R>,
        under: &Underside<L, R>,
        days: f64,
    ) -> Passed<L, R> {
        let pace = [setting_pace(slab_c); L];
        self.youth.grow(&self.laws, &mut self.state, &pace, days);
        let concrete: GenericConcrete<L, R> = self.laws.concrete(&self.youth);
        let geometry = Geometry::new(&self.grid, &self.thickness_m, concrete.saturation_content());
        let step_s = days * DAY_S;
        // The second order asks for two steps of one length, and for a state near enough to
        // a straight line.
        let even = self.last_step_days == Some(days)
            && self.youth.age_days > YoungTable::bundled().daily_until_days;
        let weights = if even {
            Weights::second_order(step_s)
        } else {
            Weights::first_order(step_s)
        };
        self.last_step_days = Some(days);
        let saturation_pa = [[R::of(crate::season::saturation_pa(slab_c)); L]; NODES];
        step_in(
            &mut self.state,
            &concrete,
            &geometry,
            &saturation_pa,
            room,
            under,
            weights,
            None,
        )
    }

    /// Pore humidity at a depth, as a fraction of the thickness.
    pub fn humidity_at(&self, lane: usize, depth: f64) -> f64 {
        let weights = self.grid.point_weights(depth);
        let state: f64 = weights
            .iter()
            .zip(&self.state.now)
            .map(|(weight, u)| weight * u[lane].wide())
            .sum();
        self.laws.concrete::<R>(&self.youth).humidity(lane, state)
    }

    /// Water in the pores, kg/m2.
    pub fn water(&self, lane: usize) -> f64 {
        let full = self.slabs.mix[lane].content_when_full(self.youth.hydration[lane]);
        let thickness_m = self.thickness_m[lane].wide();
        self.grid
            .volume
            .iter()
            .zip(&self.state.now)
            .map(|(volume, u)| volume * thickness_m * full * u[lane].wide())
            .sum()
    }
}

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// By hand, for a water-cement ratio of 0.5 after 28 days at 20 °C:
    /// alpha_u = 1.031 0.5 / 0.694 = 0.7428; (0.6 / 28)^0.7 = exp(0.7 ln 0.021429)
    /// = exp(-2.6901) = 0.06788; alpha = 0.7428 exp(-0.06788) = 0.6941.
    #[test]
    fn cement_sets_as_by_hand() {
        assert_relative_eq!(ultimate_hydration(0.5), 0.7428, epsilon = 5e-5);
        assert_relative_eq!(hydration(0.5, 28.0), 0.6941, epsilon = 1e-4);
        assert_eq!(hydration(0.5, 0.0), 0.0);
        for ratio in [0.35, 0.5, 0.7, 1.0] {
            assert!(ultimate_hydration(ratio) < 1.0, "{ratio}");
            assert!(hydration(ratio, 28.0) > hydration(ratio, 7.0));
        }
    }

    /// Through two years of steps of every length the series stay with the law itself.
    #[test]
    fn hydration_by_steps_is_hydration_by_its_law() {
        let slabs = YoungConcrete {
            mix: [0.4, 0.5, 0.7].map(|ratio| Mix::middling(ratio, 150.0)),
        };
        let laws = slabs.laws();
        let (mut youth, state) = slabs.placed(0.0);
        let mut state: SlabState<2, 3, f64> = SlabState::at_rest([state; 2]);
        let pace = [12.0, 20.0, 27.0].map(setting_pace);
        let mut equivalent_days = youth.equivalent_days;
        while youth.age_days < 730.0 {
            let days = 3.4 / parts_of_step(youth.age_days, 3.4) as f64;
            youth.grow(&laws, &mut state, &pace, days);
            for l in 0..3 {
                equivalent_days[l] += days * pace[l];
                let by_law = hydration(slabs.mix[l].water_cement_ratio, equivalent_days[l]);
                assert_relative_eq!(youth.hydration[l], by_law, max_relative = 1e-7);
            }
        }
    }

    /// By hand: exp(5000 (1/293.15 - 1/283.15)) = exp(-0.6023) = 0.5475. A slab at 10 °C sets
    /// at about half the pace (common practice, no source).
    #[test]
    fn a_cold_slab_sets_at_half_the_pace() {
        assert_relative_eq!(setting_pace(20.0), 1.0, epsilon = 1e-12);
        assert_relative_eq!(setting_pace(10.0), 0.5475, epsilon = 5e-4);
    }

    /// By hand: c = (150 - 12) / (0.5 - 0.188 0.7428) = 138 / 0.36035 = 383 kg/m3; before any
    /// of it has set the pores hold 150 + 0.188 383 0.7428 = 203.5 = 0.5 383 + 12, all of the
    /// mixing water. An ordinary slab mix takes 180 to 210 kg/m3 (common practice, no source).
    #[test]
    fn at_first_the_pores_hold_the_mixing_water() {
        let mix = Mix::middling(0.5, 150.0);
        assert_relative_eq!(mix.cement(), 383.0, epsilon = 0.1);
        assert_relative_eq!(mix.content_when_full(0.0), 203.5, epsilon = 0.1);
        assert_relative_eq!(
            mix.content_when_full(0.0),
            0.5 * mix.cement() + 12.0,
            epsilon = 1e-9
        );
        let set = ultimate_hydration(0.5);
        assert_relative_eq!(mix.content_when_full(set), 150.0, epsilon = 1e-9);
        // Bound and left in the pores together are the mixing water again.
        assert_relative_eq!(
            mix.content_when_sealed(set) + mix.bound_water(set),
            203.5,
            epsilon = 0.1
        );
    }

    /// The two laws at their middle are their rows; a denser mix holds more at 80 % of
    /// humidity and passes less.
    #[test]
    fn denser_concrete_holds_more_and_passes_less() {
        let table = YoungTable::bundled();
        assert_relative_eq!(
            storage_shape(table.middle_ratio),
            1.0 + table.storage_excess
        );
        assert_relative_eq!(
            liquid_diffusivity(table.middle_ratio),
            table.liquid_diffusivity
        );
        assert!(storage_shape(0.4) > storage_shape(0.6));
        assert!(liquid_diffusivity(0.4) < liquid_diffusivity(0.6));
        // There and back again through the absorption that the material is made of.
        assert_relative_eq!(
            diffusivity_of(absorption_of(7.0e-10, 160.0), 160.0),
            7.0e-10,
            max_relative = 1e-12
        );
    }

    fn closed() -> (RoomSide<1>, Underside<1>) {
        let none = RoomSide {
            film: [1.0e-18],
            through_air: [1.0e-18],
            reference_pa: [1_000.0],
            dried_reference_pa: [1_000.0],
            setting_pa: [1_000.0],
            room_saturation_pa: [1.0e9],
        };
        (
            none,
            Underside {
                supply: [0.0],
                humidity: [1.0],
            },
        )
    }

    /// What a sealed slab loses from its pores is what its cement binds, to the last gram.
    #[test]
    fn a_sealed_slab_loses_to_its_cement_alone() {
        let mix = Mix::middling(0.45, 150.0);
        let mut slab = DryingSlab::<14, 1>::placed(YoungConcrete { mix: [mix] }, [0.1], 20.0);
        let (before, set_before) = (slab.water(0), slab.youth.hydration()[0]);
        let (room, under) = closed();
        for _ in 0..40 {
            slab.days(20.0, &room, &under, 3.0);
        }
        let bound = mix.bound_water(slab.youth.hydration()[0] - set_before);
        assert_relative_eq!(before - slab.water(0), 0.1 * bound, epsilon = 1e-6);
        // A dense mix dries itself, but not to under 90 % in four months. Source: from memory,
        // sealed concrete of 0.45 stays at 90 to 95 %.
        let humidity = slab.humidity_at(0, 0.5);
        assert!((0.88..0.98).contains(&humidity), "{humidity}");
    }

    /// At two years every number is the old slab's.
    #[test]
    fn at_two_years_a_slab_is_as_any_old_one() {
        assert_eq!(old_share(364.0), 0.0);
        assert_eq!(old_share(547.5), 0.5);
        assert_eq!(old_share(730.0), 1.0);
        let mut mix = Mix::middling(0.56, 150.0);
        mix.old_shape = 1.49;
        mix.old_absorption = 0.0045;
        mix.old_vapor_resistance = 100.0;
        let slabs = YoungConcrete { mix: [mix] };
        let (mut youth, _) = slabs.placed(20.0);
        youth.age_days = 730.0;
        youth.hydration = [ultimate_hydration(0.56)];
        let aged: GenericConcrete<1> = slabs.laws().concrete(&youth);
        let old: GenericConcrete<1> = GenericConcrete::new([150.0], [1.49], [0.0045], [100.0]);
        for u in [0.3, 0.6, 0.95] {
            let (one, other) = (aged.transport(&[u]), old.transport(&[u]));
            assert_relative_eq!(one.humidity[0], other.humidity[0], max_relative = 1e-9);
            assert_relative_eq!(one.liquid[0], other.liquid[0], max_relative = 1e-9);
            assert_relative_eq!(one.vapor[0], other.vapor[0], max_relative = 1e-9);
        }
    }

    #[test]
    fn steps_are_short_while_the_slab_is_full() {
        assert_eq!(parts_of_step(0.25, 1.0), 16);
        assert_eq!(parts_of_step(2.0, 1.0), 4);
        assert_eq!(parts_of_step(14.0, 10.0), 10);
        assert_eq!(parts_of_step(60.0, 3.4), 1);
    }
}
