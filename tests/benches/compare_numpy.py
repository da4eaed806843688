"""The same ensemble in plain NumPy: python compare_numpy.py FOLDER

FOLDER holds ensemble.bin and times.txt as `cargo bench --bench times -- --compare` writes them.
The same equations and the same scheme as src/slab/solver.rs, over all draws at once.
"""
import pathlib
import sys
import time

import numpy as np

folder = pathlib.Path(sys.argv[1])
times = dict(line.split() for line in (folder / "times.txt").read_text().splitlines())
rows = np.fromfile(folder / "ensemble.bin", dtype="<f8").reshape(-1, 1024)
NODES, STEPS, PER_MONTH, OCTOBER = 14, 108, 9, 9
slab, rows = rows[:8], rows[8:]
year, rows = rows[: 8 * STEPS].reshape(STEPS, 8, -1), rows[8 * STEPS :]
levels, rows = rows[:24], rows[24:]
weights, ours = rows[:NODES], rows[NODES:]
thickness, content, b, absorption, mu, air_layer, contact_supply, fringe = slab
SOIL_HUMIDITY, STEP_S = 1.0, 365.25 * 86400.0 / STEPS
LN_THOUSAND = np.log(1000.0)
liquid_most = 3.8 * absorption**2 / (content * LN_THOUSAND)
vapor = 2e-10 / mu

share = np.linspace(0.0, 1.0, NODES - 1)
faces = np.where(share < 0.5, 0.5 * (2 * share) ** 2.5, 1 - 0.5 * (2 * (1 - share)) ** 2.5)
depth = np.concatenate([[0.0], (faces[1:] + faces[:-1]) / 2, [1.0]])[:, None]
volume = np.concatenate([[0.0], np.diff(faces), [0.0]])[:, None] * thickness * content
conductance = 1.0 / (np.diff(depth, axis=0) * thickness)


def wetted(level):
    return np.clip((level + fringe) / fringe, 0.0, 1.0)


def step(now, before, step_s, first, at, wet):
    surface_pa, under_pa, room_pa, reference, setting, dried, by_air, by_film = at
    saturation = surface_pa + depth * (under_pa - surface_pa)
    about = np.clip(now if first else 2 * now - before, 1e-4, 1.0)
    below_b = b - 1.0 + about
    humidity = b * about / below_b
    humidity_slope = b * (b - 1.0) / below_b**2
    liquid = liquid_most * np.exp(LN_THOUSAND * (about - 1.0))
    potential = liquid + vapor * saturation * humidity
    slope = LN_THOUSAND * liquid + vapor * saturation * humidity_slope
    rest = potential - slope * about
    if first:
        held, carried = volume / step_s, volume * now / step_s
    else:
        held, carried = 1.5 * volume / step_s, volume * (2 * now - 0.5 * before) / step_s
    supply = 2e-10 / air_layer * under_pa + contact_supply * wet
    into_slope = supply * humidity_slope[-1]
    into = supply * (SOIL_HUMIDITY - humidity[-1]) + into_slope * about[-1]
    level, gain = np.empty_like(now), np.empty_like(now)
    for node in range(NODES - 2, -1, -1):
        up = conductance[node] * (rest[node + 1] - rest[node])
        low, high = conductance[node] * slope[node + 1], conductance[node] * slope[node]
        divisor = 1.0 / (held[node + 1] + into_slope + low)
        level[node + 1] = (carried[node + 1] + into - up) * divisor
        gain[node + 1] = high * divisor
        into = up + low * level[node + 1]
        into_slope = high - low * gain[node + 1]
    top_slope = surface_pa * humidity_slope[0]
    top_rest = surface_pa * humidity[0] - top_slope * about[0]
    over_air, over_film = into_slope + by_air * top_slope, into_slope + by_film * top_slope
    aired = (into - by_air * (top_rest - reference)) / over_air
    held_at = (into - by_film * (top_rest - setting)) / over_film
    strained = (into - by_air * (top_rest - dried)) / over_air
    soaked = (into - by_film * (top_rest - room_pa)) / over_film
    new = np.empty_like(now)
    u = np.minimum(np.minimum(aired, np.maximum(held_at, strained)), soaked)
    new[0] = np.clip(u, 1e-4, 1.0)
    for node in range(1, NODES):
        new[node] = level[node] + gain[node] * new[node - 1]
    return new, now


def run():
    now = np.tile((b - 1.0) * 0.75 / (b - 0.75), (NODES, 1))
    mean, wet = year.mean(axis=0), wetted(levels[:12]).mean(axis=0)
    for growth in range(14):
        now, _ = step(now, now, 1e5 * 3.0**growth, True, mean, wet)
    before, first, seen = now, True, []
    for months in (levels[:12], levels[:12], levels[12:]):
        for month in range(12):
            total = 0.0
            for part in range(PER_MONTH):
                place = (part + 1.0) / PER_MONTH - 0.5
                neighbor = max(month - 1, 0) if place < 0 else min(month + 1, 11)
                level = (1 - abs(place)) * months[month] + abs(place) * months[neighbor]
                at = year[(OCTOBER + month) % 12 * PER_MONTH + part]
                now, before = step(now, before, STEP_S, first, at, wetted(level))
                first = False
                total = total + (weights * now).sum(axis=0)
            seen.append(total / PER_MONTH * content / 2300.0)
    return np.array(seen[-12:])


best = 1e9
for _ in range(3):
    start = time.perf_counter()
    got = run()
    best = min(best, time.perf_counter() - start)
off = 110.0 * (got - ours)
ours_ms, as_built_ms = float(times["ensemble_ms"]), float(times["as_built_ms"])
print("The ensemble of a screen: 1024 slabs through three years, water tables and forcing given")
print(f"  this program, {times['width']:9}  {ours_ms:9.2f} ms")
print(f"  this program, as built   {as_built_ms:9.2f} ms")
print(f"  NumPy {np.__version__:10}         {best * 1e3:9.2f} ms")
print(f"  NumPy takes {best * 1e3 / ours_ms:.1f} times as long ({best * 1e3 / as_built_ms:.1f} times the build's own width)")
print(f"  readings of the last year differ by {np.sqrt((off**2).mean()):.1e} points rms, {abs(off).max():.1e} at most")
assert np.sqrt((off**2).mean()) < 0.01, "the two do not solve the same problem"
