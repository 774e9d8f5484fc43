"""How fast cloth comes to rest: time by size, and beside a plain XPBD, at equal force residual.

Run as ``python -m benchmarks.drape [sizes] [xpbd]`` from the root of the repository. One core: the
kernels on one thread, BLAS on one thread, and seconds of the processor, which others on the machine
do not lengthen as they do the clock's. The cloth is a skirt tube of 70 x 60 cm, 4 cm too tight over
a hip, pinned at its waist and begun 2 cm off it (tests/drape/physics_tubes.py), without friction.
"""

from __future__ import annotations

import datetime as dt
import os
import platform
import sys
import time

import numba
import numpy as np
from benchmarks.drape_xpbd import with_single_hinges, xpbd
from tests.drape.physics_tubes import on_hip

from pinwright.drape.data import Array
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.settling import settled

LEVELS = (1e-1, 1e-2, 1e-3)
SIZES = (1.56, 1.1, 0.78, 0.49, 0.31)
LONGEST = 420.0


def ours(s: Setting, x: Array, enough: float, most: float) -> tuple[list[tuple[float, float]], int]:
    """(processor seconds and residual before each step and at the end, steps)."""
    begun = time.process_time()
    looks: list[tuple[float, float]] = []

    def tell(_: int, left: float) -> bool:
        looks.append((time.process_time() - begun, left))
        return looks[-1][0] < most

    s.fronts.clear()
    _, rest = settled(s, x, enough=enough, steps=500, h=0.05, longest=10.0, tell=tell)
    looks.append((time.process_time() - begun, rest.residual))
    return looks, rest.steps


def reached(looks: list[tuple[float, float]], level: float) -> str:
    """When the residual first was at the level, s, and after how many looks."""
    for k, (seconds, left) in enumerate(looks):
        if left <= level:
            return f"{seconds:.2f} ({k})"
    return f"- ({min(r for _, r in looks):.1e} at best)"


def sizes() -> None:
    print(
        "| vertices | sides cm | numbers in the factors | to 1e-1 | 1e-2 | 1e-3, s (steps) | load |"
    )
    print("|---|---|---|---|---|---|---|")
    for edge in SIZES:
        s, x, _ = on_hip(edge)
        looks, _ = ours(s, x, 1e-3, LONGEST)
        cells = " | ".join(reached(looks, level) for level in LEVELS)
        print(
            f"| {len(x)} | {edge} | {s.factors(x).filled / 1e6:.1f} M | {cells} "
            f"| {os.getloadavg()[0]:.1f} |",
            flush=True,
        )


def beside() -> None:
    s, x, _ = on_hip(1.1)
    s, weight = with_single_hinges(s, 100.0)
    looks, _ = ours(s, x, 1e-3, 120.0)
    settled_x = settled(s, x, enough=1e-3, steps=500, h=0.05, longest=10.0)[0].x
    print(f"{len(x)} vertices, load {os.getloadavg()[0]:.1f}")
    print()
    print("| method | to 1e-1 | 1e-2 | 1e-3, s | after | residual | farthest from our rest cm |")
    print("|---|---|---|---|---|---|---|")
    cells = " | ".join(reached(looks, level) for level in LEVELS)
    print(f"| ours | {cells} | {looks[-1][0]:.1f} s | {looks[-1][1]:.1e} | 0 |", flush=True)
    for name, step, sweeps, damping, look in (
        ("XPBD, 1/60 s, 20 sweeps", 1 / 60, 20, 0.95, 10),
        ("XPBD, 1/60 s, 200 sweeps", 1 / 60, 200, 0.95, 1),
        ("XPBD, small steps, 1/1200 s, 1 sweep", 1 / 1200, 1, 0.95, 200),
        ("XPBD, small steps, 1/12000 s, 1 sweep", 1 / 12000, 1, 0.95, 200),
    ):
        xpbd(s, weight, x, step, 1, damping, 1e9, 0.0, 1)
        ran = xpbd(s, weight, x, step, sweeps, damping, 1e-3, 120.0, look)
        cells = " | ".join(reached(ran.looks, level) for level in LEVELS)
        far = float(np.linalg.norm(ran.x - settled_x, axis=1).max())
        print(
            f"| {name} | {cells} | {ran.looks[-1][0]:.1f} s | {ran.looks[-1][1]:.1e} | {far:.2f} |",
            flush=True,
        )


def main() -> None:
    numba.set_num_threads(1)
    parts = sys.argv[1:] or ["sizes", "xpbd"]
    print(
        f"`python -m benchmarks.drape`, {dt.date.today()}, {platform.machine()}, one core of "
        f"{os.cpu_count()}, load {os.getloadavg()[0]:.1f}"
    )
    warm, x, _ = on_hip(4.0)
    settled(warm, x, steps=3)
    if "sizes" in parts:
        print()
        sizes()
    if "xpbd" in parts:
        print()
        beside()


if __name__ == "__main__":
    main()
