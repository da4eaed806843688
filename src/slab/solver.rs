//! One step of the moisture balance of a slab, for many slabs at once.
//!
//! # Formula
//!
//! EN 15026: `dw/dt = d/dx [ D_w dw/dx + delta_p d(phi p_s)/dx ]`, as a balance of cells.
//! The unknown is `u = w/w_f`, so the water is conserved; the liquid flux is the gradient of
//! an exact potential. Second-order backward differences in time, linearized once about the
//! extrapolated state; the matrix has three diagonals and is eliminated from the underside
//! up, so that the top row can choose its case.
//!
//! # Lanes
//!
//! Every loop over `l` takes the lanes through the same lines without a branch, so that the
//! compiler turns it into vector code of whatever width the caller was compiled for. The
//! digits do not depend on that width: no sum runs across lanes, and multiplications and
//! additions are never fused. `tests/lockstep.rs` holds a plain form, one slab alone, as the
//! judge of this one.

use super::{Grid, Material, RoomSide, Transport, Underside};
use crate::units::{Lanes, Real};

/// The state now and one step before.
#[derive(Debug, Clone)]
pub struct SlabState<const NODES: usize, const L: usize, R = f64> {
    /// Water now over water when full, 0 to 1, at each node from the top down.
    pub now: [Lanes<L, R>; NODES],
    /// The same one step before.
    pub before: [Lanes<L, R>; NODES],
}

impl<const NODES: usize, const L: usize, R: Real> SlabState<NODES, L, R> {
    /// A slab at rest in a profile.
    pub fn at_rest(profile: [Lanes<L, R>; NODES]) -> Self {
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
pub struct Passed<const L: usize, R = f64> {
    /// Out of the slab's top (into it when negative).
    pub top: Lanes<L, R>,
    /// Out of the ground into the underside.
    pub under: Lanes<L, R>,
    /// Water that the saturated surface could not hold: seepage or condensation.
    pub shed: Lanes<L, R>,
}

impl<const L: usize, R: Real> Passed<L, R> {
    /// Nothing passed.
    pub(crate) fn none() -> Self {
        Self {
            top: [R::zero(); L],
            under: [R::zero(); L],
            shed: [R::zero(); L],
        }
    }
}

/// Lowest state that the extrapolation may reach; far drier than any room.
const LOWEST: f64 = 1.0e-4;

/// What grid, thickness and content give to every step of the same slabs.
#[derive(Debug, Clone)]
pub struct Geometry<const NODES: usize, const L: usize, R = f64> {
    /// One over the distance to the next node below, 1/m; the last is zero.
    conductance: [Lanes<L, R>; NODES],
    /// Water that a node holds at saturation, kg/m2.
    storage: [Lanes<L, R>; NODES],
}

impl<const NODES: usize, const L: usize, R: Real> Geometry<NODES, L, R> {
    /// From a grid, the thickness in m and the content at saturation in kg/m3.
    pub fn new(grid: &Grid<NODES>, thickness: &Lanes<L, R>, content: &Lanes<L, R>) -> Self {
        let mut res = Self {
            conductance: [[R::zero(); L]; NODES],
            storage: [[R::zero(); L]; NODES],
        };
        for node in 0..NODES {
            for l in 0..L {
                res.conductance[node][l] = R::of(grid.inverse_distance[node]) / thickness[l];
                res.storage[node][l] = R::of(grid.volume[node]) * thickness[l] * content[l];
            }
        }
        res
    }
}

/// Takes one step. `thickness` in m; `saturation_pa` the saturation pressure at each node;
/// `source` is an added rate of `u`, 1/s, none as a rule.
#[allow(clippy::too_many_arguments)]
pub fn step<const NODES: usize, const L: usize, R: Real, M: Material<L, R>>(
    state: &mut SlabState<NODES, L, R>,
    material: &M,
    grid: &Grid<NODES>,
    thickness: &Lanes<L, R>,
    saturation_pa: &[Lanes<L, R>; NODES],
    room: &RoomSide<L, R>,
    under: &Underside<L, R>,
    weights: Weights,
    source: Option<&[Lanes<L, R>; NODES]>,
) -> Passed<L, R> {
    let geometry = Geometry::new(grid, thickness, material.saturation_content());
    step_in(
        state,
        material,
        &geometry,
        saturation_pa,
        room,
        under,
        weights,
        source,
    )
}

/// The body of [`step`], to be compiled into callers of any width. It is one function because
/// its three passes go over the same arrays, of which parts would only hand on the names.
#[inline(always)]
#[allow(clippy::too_many_arguments)]
pub(crate) fn step_in<const NODES: usize, const L: usize, R: Real, M: Material<L, R>>(
    state: &mut SlabState<NODES, L, R>,
    material: &M,
    geometry: &Geometry<NODES, L, R>,
    saturation_pa: &[Lanes<L, R>; NODES],
    room: &RoomSide<L, R>,
    under: &Underside<L, R>,
    weights: Weights,
    source: Option<&[Lanes<L, R>; NODES]>,
) -> Passed<L, R> {
    let last = NODES - 1;
    let (one, lowest) = (R::one(), R::of(LOWEST));
    let (weigh_now, weigh_last, weigh_before) = (
        R::of(weights.now),
        R::of(weights.last),
        R::of(weights.before),
    );
    // Nodes are made straight two by two from the underside up; an odd one is the top alone.
    let (mut below, second) =
        straightened_pair::<NODES, L, R, M>(state, material, saturation_pa, weights, last);
    let mut waiting = second;
    // Flux into the node in hand from beneath, as `into_rest - into_slope u`; at first from
    // the ground to the underside: supply (humidity - phi).
    let mut into_rest = [R::zero(); L];
    let mut into_slope = [R::zero(); L];
    for l in 0..L {
        into_rest[l] = under.supply[l] * (under.humidity[l] - below.humidity_rest[l]);
        into_slope[l] = under.supply[l] * below.humidity_slope[l];
    }
    let (under_rest, under_slope) = (into_rest, into_slope);

    // After elimination each row reads u[node] = level[node] + gain[node] u[node - 1].
    let mut level = [[R::zero(); L]; NODES];
    let mut gain = [[R::zero(); L]; NODES];
    for node in (0..last).rev() {
        let above = if (last - node) % 2 == 1 {
            waiting
        } else if node > 0 {
            let (first, second) =
                straightened_pair::<NODES, L, R, M>(state, material, saturation_pa, weights, node);
            waiting = second;
            first
        } else {
            let about = extrapolated(state, weights, node);
            straightened::<L, R, M>(&material.transport(&about), &about, &saturation_pa[node])
        };
        for l in 0..L {
            // The flux up from node + 1: up_rest + slope_low u[node + 1] - slope_up u[node].
            let conductance = geometry.conductance[node][l];
            let (mut up_rest, mut slope_low, mut slope_up) = (
                below.rest[l] - above.rest[l],
                below.slope[l],
                above.slope[l],
            );
            if !M::EVEN_VAPOR {
                let mean = R::of(0.5) * (above.vapor[l] + below.vapor[l]);
                let (p_above, p_below) = (saturation_pa[node][l], saturation_pa[node + 1][l]);
                up_rest +=
                    mean * (p_below * below.humidity_rest[l] - p_above * above.humidity_rest[l]);
                slope_low += mean * p_below * below.humidity_slope[l];
                slope_up += mean * p_above * above.humidity_slope[l];
            }
            up_rest *= conductance;
            slope_low *= conductance;
            slope_up *= conductance;
            // Row of node + 1: storage = into - up.
            let storage = geometry.storage[node + 1][l];
            let mut carried =
                weigh_last * state.now[node + 1][l] + weigh_before * state.before[node + 1][l];
            if let Some(rate) = source {
                carried += rate[node + 1][l];
            }
            let divisor = R::one() / (storage * weigh_now + slope_low + into_slope[l]);
            let level_here = (storage * carried - up_rest + into_rest[l]) * divisor;
            let gain_here = slope_up * divisor;
            level[node + 1][l] = level_here;
            gain[node + 1][l] = gain_here;
            // The flux up as a line in u[node] alone.
            into_rest[l] = up_rest + slope_low * level_here;
            into_slope[l] = slope_up - slope_low * gain_here;
        }
        below = above;
    }
    let surface = below;

    // The top face holds no water: what comes up goes out.
    let mut passed = Passed {
        top: [R::zero(); L],
        under: [R::zero(); L],
        shed: [R::zero(); L],
    };
    for l in 0..L {
        let (up_rest, up_slope) = (into_rest[l], into_slope[l]);
        let slope = saturation_pa[0][l] * surface.humidity_slope[l];
        let level_pa = saturation_pa[0][l] * surface.humidity_rest[l];
        // The surface for the room's air as it is renewed, and for the film alone.
        let by_air = room.through_air[l];
        let by_film = room.film[l];
        let over_air = R::one() / (up_slope + by_air * slope);
        let over_film = R::one() / (up_slope + by_film * slope);
        let aired = (up_rest - by_air * (level_pa - room.reference_pa[l])) * over_air;
        let held = (up_rest - by_film * (level_pa - room.setting_pa[l])) * over_film;
        let strained = (up_rest - by_air * (level_pa - room.dried_reference_pa[l])) * over_air;
        let soaked = (up_rest - by_film * (level_pa - room.room_saturation_pa[l])) * over_film;
        let machine = if held > strained { held } else { strained };
        let balance = if machine < aired { machine } else { aired };
        let free = if soaked < balance { soaked } else { balance };
        let most = if free > one { one } else { free };
        let u = if most < lowest { lowest } else { most };
        state.before[0][l] = state.now[0][l];
        state.now[0][l] = u;
        let rising = up_rest - up_slope * u;
        // A saturated surface passes on the vapor that the air takes and sheds the rest.
        let wet_pa = level_pa + slope * u;
        let aired = by_air * (wet_pa - room.reference_pa[l]);
        let held = by_film * (wet_pa - room.setting_pa[l]);
        let strained = by_air * (wet_pa - room.dried_reference_pa[l]);
        let soaked = by_film * (wet_pa - room.room_saturation_pa[l]);
        let machine = if held < strained { held } else { strained };
        let balance = if machine > aired { machine } else { aired };
        let taken = if soaked > balance { soaked } else { balance };
        passed.top[l] = rising;
        passed.shed[l] = if free > one {
            rising - taken
        } else {
            R::zero()
        };
    }
    for node in 1..NODES {
        for l in 0..L {
            state.before[node][l] = state.now[node][l];
            state.now[node][l] = level[node][l] + gain[node][l] * state.now[node - 1][l];
        }
    }
    for l in 0..L {
        passed.under[l] = under_rest[l] - under_slope[l] * state.now[last][l];
    }
    passed
}

/// One node, made straight about its extrapolated state.
///
/// The potential that moves water up is `rest + slope u`: that of the liquid, with that of
/// vapor where it has one. Humidity is `humidity_rest + humidity_slope u`.
#[derive(Clone, Copy)]
struct Straightened<const L: usize, R> {
    rest: Lanes<L, R>,
    slope: Lanes<L, R>,
    humidity_rest: Lanes<L, R>,
    humidity_slope: Lanes<L, R>,
    vapor: Lanes<L, R>,
}

/// The state about which a node is made straight: extrapolated, and kept in bounds.
#[inline(always)]
fn extrapolated<const NODES: usize, const L: usize, R: Real>(
    state: &SlabState<NODES, L, R>,
    weights: Weights,
    node: usize,
) -> Lanes<L, R> {
    let (one, lowest, ahead) = (R::one(), R::of(LOWEST), R::of(weights.ahead));
    let mut about = [R::zero(); L];
    for l in 0..L {
        let (now, before) = (state.now[node][l], state.before[node][l]);
        let guess = now + ahead * (now - before);
        let raised = if guess < lowest { lowest } else { guess };
        about[l] = if raised > one { one } else { raised };
    }
    about
}

#[inline(always)]
fn straightened<const L: usize, R: Real, M: Material<L, R>>(
    at: &Transport<L, R>,
    about: &Lanes<L, R>,
    saturation_pa: &Lanes<L, R>,
) -> Straightened<L, R> {
    let mut res = Straightened {
        rest: [R::zero(); L],
        slope: [R::zero(); L],
        humidity_rest: [R::zero(); L],
        humidity_slope: at.humidity_slope,
        vapor: at.vapor,
    };
    for l in 0..L {
        res.humidity_rest[l] = at.humidity[l] - at.humidity_slope[l] * about[l];
        res.rest[l] = at.liquid[l] - at.liquid_slope[l] * about[l];
        res.slope[l] = at.liquid_slope[l];
        if M::EVEN_VAPOR {
            let permeance = at.vapor[l] * saturation_pa[l];
            res.rest[l] += permeance * res.humidity_rest[l];
            res.slope[l] += permeance * at.humidity_slope[l];
        }
    }
    res
}

/// Two nodes, the lower and the one above it.
#[inline(always)]
fn straightened_pair<const NODES: usize, const L: usize, R: Real, M: Material<L, R>>(
    state: &SlabState<NODES, L, R>,
    material: &M,
    saturation_pa: &[Lanes<L, R>; NODES],
    weights: Weights,
    lower: usize,
) -> (Straightened<L, R>, Straightened<L, R>) {
    let upper = lower - 1;
    let (about_lower, about_upper) = (
        extrapolated(state, weights, lower),
        extrapolated(state, weights, upper),
    );
    let (at_lower, at_upper) = material.transport_pair(&about_lower, &about_upper);
    (
        straightened::<L, R, M>(&at_lower, &about_lower, &saturation_pa[lower]),
        straightened::<L, R, M>(&at_upper, &about_upper, &saturation_pa[upper]),
    )
}
