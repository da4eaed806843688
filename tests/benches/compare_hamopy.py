"""One slab and one year with hamopy 0.4.0: python compare_hamopy.py FOLDER

The slab of tests/published/hamopy_slab_year.md, case A, with the library's own saturation
pressure and coarse settings (36 elements, steps of 2 h), which is the fairest to it that still
converges. The weather differs from the ensemble's; a year's work does not.
"""
import pathlib
import sys
import time

import numpy as np
from hamopy import ham_library as ham
from hamopy.algorithm import calcul
from hamopy.classes import Boundary, Mesh, Time
from hamopy.materials.hamstad import BM1_load as concrete

folder = pathlib.Path(sys.argv[1])
times = dict(line.split() for line in (folder / "times.txt").read_text().splitlines())
DAY_S, YEAR_D, STEP_S = 86400.0, 365.0, 7200.0
concrete.set_density(1.0)
concrete.set_capacity(1.0)
concrete.set_conduc(1.0e5)


class Face(Boundary):
    """A face at 15 C: the room's air through a film, or soil air behind a retarder."""

    def __init__(self, side, h_m):
        Boundary.__init__(self, "Fourier", T=288.15, HR=0.5, h_t=1.0e6, h_m=h_m)
        self.side = side

    def T(self, t):
        return 288.15

    T_eq = T

    def p_v(self, t):
        if self.side == "under":
            return ham.p_sat(288.15)
        return 1100.0 - 400.0 * np.cos(2.0 * np.pi * t / DAY_S / YEAR_D)


mesh = Mesh([concrete] * 6, [0.005, 0.005, 0.01, 0.02, 0.03, 0.03], [5, 4, 4, 5, 6, 12])
start = {
    "x": mesh.x,
    "T": 288.15 * np.ones(mesh.nbr_nodes),
    "PC": ham.p_c(0.8, 288.15) * np.ones(mesh.nbr_nodes),
}
faces = [Face("top", 2.5e-8), Face("under", 2.0e-10 / 3.0)]
began = time.perf_counter()
got = calcul(mesh, faces, start, Time("constant", delta_t=STEP_S, t_max=YEAR_D * DAY_S))
took_s = time.perf_counter() - began
assert got["t"][-1] == YEAR_D * DAY_S, "the library gave up"
alone_us = float(times["slab_year_alone_us"])
many_us = float(times["ensemble_ms"]) * 1e3 / (3 * 1024)
print("One slab through one year")
print(f"  hamopy 0.4.0, {mesh.nbr_nodes} nodes, {len(got['t']) - 1} steps   {took_s:9.2f} s")
print(f"  this program, 14 nodes, 108 steps     {alone_us:9.2f} us alone, {many_us:.2f} us among others")
print(f"  hamopy takes {took_s * 1e6 / alone_us:,.0f} times as long; for equal steps and nodes it would be")
nodes_steps = mesh.nbr_nodes * (len(got["t"]) - 1) / (14 * 108)
print(f"  {took_s * 1e6 / alone_us / nodes_steps:,.0f} times; it also solves heat, iterates, and holds any material")
