//! One step of the moisture balance of a slab, for many slabs at once.
//!
//! # Formula
//!
//! EN 15026: `dw/dt = d/dx [ D_w dw/dx + delta_p d(phi p_s)/dx ]`, as a balance of cells.
//! The unknown is `u = w/w_f`, so the water is conserved; the liquid flux is the gradient of
//! an exact potential. Second-order backward differences in time, linearized once about the
//! extrapolated state; the matrix has three diagonals and is eliminated from the underside
//! up, so that the top row can choose its case.

use super::{Grid, Lanes, Material, RoomSide, Transport, Underside};

/// The state now and one step before.
#[derive(Debug, Clone)]
pub struct SlabState<const NODES: usize, const L: usize> {
    pub now: [Lanes<L>; NODES],
    pub before: [Lanes<L>; NODES],
}

impl<const NODES: usize, const L: usize> SlabState<NODES, L> {
    /// A slab at rest in a profile.
    pub fn at_rest(profile: [Lanes<L>; NODES]) -> Self {
        Self {
            now: profile,
            before: profile,
        }
    }
}

/// How the time derivative is formed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    now: f64,
    last: f64,
    before: f64,
    ahead: f64,
}

impl Weights {
    /// Second order, for steps of equal length.
    pub fn second_order(step_s: f64) -> Self {
        Self {
            now: 1.5 / step_s,
            last: 2.0 / step_s,
            before: -0.5 / step_s,
            ahead: 1.0,
        }
    }
    /// First order, for the first step and for running to a steady state.
    pub fn first_order(step_s: f64) -> Self {
        Self {
            now: 1.0 / step_s,
            last: 1.0 / step_s,
            before: 0.0,
            ahead: 0.0,
        }
    }
}

/// What passed through the faces during a step, kg/(m2 s), upward positive.
#[derive(Debug, Clone, Copy)]
pub struct Passed<const L: usize> {
    /// Out of the slab's top (into it when negative).
    pub top: Lanes<L>,
    /// Out of the ground into the underside.
    pub under: Lanes<L>,
    /// Water that the saturated surface could not hold: seepage or condensation.
    pub shed: Lanes<L>,
}

/// Lowest state that the extrapolation may reach; far drier than any room.
const LOWEST: f64 = 1.0e-4;

/// Takes one step. `thickness` in m; `saturation_pa` the saturation pressure at each node;
/// `source` is an added rate of `u`, 1/s, none as a rule.
#[inline(always)]
#[allow(clippy::too_many_arguments)]
pub fn step<const NODES: usize, const L: usize, M: Material<L>>(
    state: &mut SlabState<NODES, L>,
    material: &M,
    grid: &Grid<NODES>,
    thickness: &Lanes<L>,
    saturation_pa: &[Lanes<L>; NODES],
    room: &RoomSide<L>,
    under: &Underside<L>,
    weights: Weights,
    source: Option<&[Lanes<L>; NODES]>,
) -> Passed<L> {
    let content = material.saturation_content();
    // State about which the fluxes are made straight.
    let mut about = [[0.0; L]; NODES];
    for node in 0..NODES {
        for l in 0..L {
            let guess =
                state.now[node][l] + weights.ahead * (state.now[node][l] - state.before[node][l]);
            let raised = if guess < LOWEST { LOWEST } else { guess };
            about[node][l] = if raised > 1.0 { 1.0 } else { raised };
        }
    }
    let mut inverse_thickness = [0.0; L];
    for l in 0..L {
        inverse_thickness[l] = 1.0 / thickness[l];
    }

    // The node below, as F(node + 1 -> node) = fixed + slope_low u[node+1] - slope_up u[node].
    // After elimination each row reads u[node] = level[node] + gain[node] u[node - 1].
    let mut level = [[0.0; L]; NODES];
    let mut gain = [[0.0; L]; NODES];
    let last = NODES - 1;
    let mut below: Transport<L> = material.transport(&about[last]);
    // Flux into the row's node from beneath, as into_fixed - into_slope u[node].
    let mut into_fixed = [0.0; L];
    let mut into_slope = [0.0; L];
    for l in 0..L {
        // Ground to the underside: supply (humidity - phi), made straight about the guess.
        let slope = under.supply[l] * below.humidity_slope[l];
        into_fixed[l] =
            under.supply[l] * (under.humidity[l] - below.humidity[l]) + slope * about[last][l];
        into_slope[l] = slope;
    }
    let under_fixed = into_fixed;
    let under_slope = into_slope;
    let mut first_face = ([0.0; L], [0.0; L]);
    for node in (0..last).rev() {
        let above: Transport<L> = material.transport(&about[node]);
        let mut next_fixed = [0.0; L];
        let mut next_slope = [0.0; L];
        for l in 0..L {
            let conductance = grid.inverse_distance[node] * inverse_thickness[l];
            let vapor = 0.5 * (above.vapor[l] + below.vapor[l]);
            let (p_up, p_low) = (saturation_pa[node][l], saturation_pa[node + 1][l]);
            // Slopes of the flux F(node + 1 -> node) over the two states.
            let slope_low =
                conductance * (below.liquid_slope[l] + vapor * p_low * below.humidity_slope[l]);
            let slope_up =
                conductance * (above.liquid_slope[l] + vapor * p_up * above.humidity_slope[l]);
            let flux = conductance
                * (below.liquid[l] - above.liquid[l]
                    + vapor * (below.humidity[l] * p_low - above.humidity[l] * p_up));
            let fixed = flux - slope_low * about[node + 1][l] + slope_up * about[node][l];
            // Row of node + 1: storage = into - F.
            let volume = grid.volume[node + 1] * thickness[l] * content[l];
            let held = volume * weights.now;
            let carried = volume
                * (weights.last * state.now[node + 1][l]
                    + weights.before * state.before[node + 1][l]);
            let added = match source {
                Some(rate) => volume * rate[node + 1][l],
                None => 0.0,
            };
            let divisor = 1.0 / (held + into_slope[l] + slope_low);
            level[node + 1][l] = (carried + added + into_fixed[l] - fixed) * divisor;
            gain[node + 1][l] = slope_up * divisor;
            // F as a line in u[node] alone.
            next_fixed[l] = fixed + slope_low * level[node + 1][l];
            next_slope[l] = slope_up - slope_low * gain[node + 1][l];
        }
        into_fixed = next_fixed;
        into_slope = next_slope;
        first_face = (into_fixed, into_slope);
        below = above;
    }

    // The top face holds no water: what comes up goes out.
    let (up_fixed, up_slope) = first_face;
    let surface = below;
    let mut passed = Passed {
        top: [0.0; L],
        under: [0.0; L],
        shed: [0.0; L],
    };
    let mut next = [[0.0; L]; NODES];
    for l in 0..L {
        let p_surface = saturation_pa[0][l];
        let slope = p_surface * surface.humidity_slope[l];
        let level_pa = p_surface * surface.humidity[l] - slope * about[0][l];
        let solve = |conductance: f64, target_pa: f64| {
            (up_fixed[l] - conductance * (level_pa - target_pa))
                / (up_slope[l] + conductance * slope)
        };
        let aired = solve(room.through_air[l], room.reference_pa[l]);
        let held = solve(room.film[l], room.setting_pa[l]);
        let strained = solve(room.through_air[l], room.dried_reference_pa[l]);
        let soaked = solve(room.film[l], room.room_saturation_pa[l]);
        let machine = if held > strained { held } else { strained };
        let mut u = if machine < aired { machine } else { aired };
        u = if soaked < u { soaked } else { u };
        let free = u;
        u = if u > 1.0 { 1.0 } else { u };
        u = if u < LOWEST { LOWEST } else { u };
        next[0][l] = u;
        let rising = up_fixed[l] - up_slope[l] * u;
        // A saturated surface passes on the vapor that the air takes and sheds the rest.
        let shed = if free > 1.0 {
            let p_wet = level_pa + slope * u;
            let flux = |conductance: f64, target_pa: f64| conductance * (p_wet - target_pa);
            let aired = flux(room.through_air[l], room.reference_pa[l]);
            let held = flux(room.film[l], room.setting_pa[l]);
            let strained = flux(room.through_air[l], room.dried_reference_pa[l]);
            let soaked = flux(room.film[l], room.room_saturation_pa[l]);
            rising - aired.max(held.min(strained)).max(soaked)
        } else {
            0.0
        };
        passed.top[l] = rising;
        passed.shed[l] = shed;
    }
    for node in 1..NODES {
        for l in 0..L {
            next[node][l] = level[node][l] + gain[node][l] * next[node - 1][l];
        }
    }
    for l in 0..L {
        passed.under[l] = under_fixed[l] - under_slope[l] * next[last][l];
    }
    state.before = state.now;
    state.now = next;
    passed
}
