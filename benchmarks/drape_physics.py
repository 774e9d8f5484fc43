"""The proof of the physics of the drape, as the table of docs/drape/physics.md.

Run as ``python -m benchmarks.drape_physics`` from the root of the repository; some minutes on one
core. ``tests/drape/test_physics_*.py`` hold the same numbers to their tolerances.
"""

from __future__ import annotations

import datetime as dt
import os
import platform
from collections.abc import Iterator

import numpy as np
from tests.drape.physics_cantilever import cantilever, chord
from tests.drape.physics_disc import cusick
from tests.drape.physics_legs import crossings, hung_breeches, legs_distance
from tests.drape.physics_stretch import catenary, hung, pulled
from tests.drape.physics_tubes import energies, hip_tube, on_hip, slope, tight_tube

from pinwright.drape.cloth import read_table, row


def strips() -> Iterator[str]:
    yield "| strip | pull or weight | found | by the sum | off % |"
    yield "|---|---|---|---|---|"
    for angle in (0.0, 30.0, 45.0, 90.0):
        for pull in (2e3, 2e4):
            found, said = pulled(angle, pull)
            off = 100.0 * ((found - 1.0) / (said - 1.0) - 1.0)
            yield (
                f"| pulled, {angle:.0f} deg to the warp | {pull:.0f} dyn/cm "
                f"| {100 * (found - 1):.4f} % | {100 * (said - 1):.4f} % | {off:+.4f} |"
            )
    for angle in (0.0, 45.0, 90.0):
        for end, clamped in ((0.0, False), (20.0, False), (20.0, True)):
            found, said = hung(angle, end, clamped)
            how = "clamped" if clamped else "held evenly"
            yield (
                f"| hung 50 cm, {angle:.0f} deg, {how} | {end:.0f} g/cm and its own "
                f"| {found:.4f} cm | {said:.4f} cm | {100 * (found / said - 1):+.3f} |"
            )
    sag, shape = catenary(0.5)
    yield f"| catenary, sag and shape | its own | - | - | {100 * sag:+.3f}, {100 * shape:.3f} |"


def cantilevers() -> Iterator[str]:
    yield f"Chord of the exact elastica at L = 2 c: {chord(2.0):.2f} degrees."
    yield ""
    yield "| mesh | strip | sides to c | vertices | put in uN.m | read back | off % | c off % |"
    yield "|---|---|---|---|---|---|---|---|"
    for kind in ("rows across", "rows along", "random"):
        for along in (True, False):
            for fine in (1.5, 2.0, 4.0, 8.0):
                f = cantilever(kind, fine, along)
                longer = (f.read / f.put) ** (1.0 / 3.0) - 1.0
                yield (
                    f"| {kind} | {'along' if along else 'across'} | {fine:g} | {f.vertices} "
                    f"| {f.put / 10:.2f} | {f.read / 10:.2f} | {100 * f.error:+.2f} "
                    f"| {100 * longer:+.2f} |"
                )


def tubes() -> Iterator[str]:
    yield "| tube on a cylinder | kPa | all / Laplace | by tape | 5 % | 95 % of places | deep cm |"
    yield "|---|---|---|---|---|---|---|"
    for edge, strain, weft, kind in (
        (0.8, 0.02, 8e5, "even"),
        (0.8, 0.05, 8e5, "even"),
        (0.8, 0.05, 8e5, "random"),
        (0.5, 0.05, 8e5, "even"),
        (0.8, 0.055, 1.9e6, "even"),
    ):
        f = tight_tube(edge, strain, weft, kind)
        yield (
            f"| {kind}, {edge} cm, {100 * strain:.1f} % | {f.kpa:.3f} | {f.total:.4f} "
            f"| {f.by_tape:.4f} | {f.low:.4f} | {f.high:.4f} | {f.deepest:.4f} |"
        )
    yield ""
    yield "| tube on a hip, sides cm | strain at the hip % | length / cut | erg/cm | residual |"
    yield "|---|---|---|---|---|"
    for edge in (2.8, 2.0, 1.4, 1.0):
        strain, long, energy, residual = hip_tube(edge)
        yield f"| {edge} | {100 * strain:.3f} | {long:.5f} | {energy:.0f} | {residual:.1e} |"
    yield ""
    for friction in (0.0, 0.3):
        s, x, _ = on_hip(2.0, friction)
        e = np.array(energies(s, x, 30))
        yield (
            f"- Energy over {len(e)} steps, friction {friction}: fell by {e[0] - e.min():.3g} erg, "
            f"most that one step rose {max(float(np.diff(e).max()), 0.0):.3g}."
        )


def slopes() -> Iterator[str]:
    yield "| friction | tan / friction | went cm | left over | by Coulomb |"
    yield "|---|---|---|---|---|"
    for friction in (0.2, 0.4):
        for part in (0.5, 0.98, 1.02, 1.2):
            gone, left = slope(friction, part)
            said = max(part - 1.0, 0.0) * friction * np.cos(np.arctan(part * friction))
            yield f"| {friction} | {part} | {gone:.4f} | {left:.5f} | {said:.5f} |"


def legs() -> Iterator[str]:
    b, _, x, residual = hung_breeches(1.4)
    off = min(
        float(legs_distance(x).min()), float(legs_distance(x[b.triangles].mean(axis=1)).min())
    )
    yield (
        f"- Two tubes joined, {len(x)} vertices: residual {residual:.1e}, the middle of the cloth "
        f"at least {off:+.3f} cm off the body; cloth through cloth at {crossings(x, b.triangles)} "
        "places (no self-contact)."
    )


def discs(names: tuple[str, ...]) -> Iterator[str]:
    yield "| cloth | c cm | sides cm | coefficient % | published % | folds | residual | steps |"
    yield "|---|---|---|---|---|---|---|---|"
    for name in names:
        c = row(name).handle.cgs
        long = ((c.bend_along + c.bend_across) / 2.0 / (c.mass * 980.665)) ** (1.0 / 3.0)
        for edge in (0.7,) if long > 1.3 else (0.7, 0.5):
            f = cusick(name, edge)
            low, high = row(name).drape
            inside = "" if low <= f.coefficient <= high else " (outside)"
            yield (
                f"| {name} | {long:.2f} | {edge} | {f.coefficient:.1f}{inside} "
                f"| {low:.0f}-{high:.0f} | {f.nodes} | {f.residual:.1e} | {f.steps} |"
            )


def main() -> None:
    print(
        f"`python -m benchmarks.drape_physics`, {dt.date.today()}, {platform.machine()}, "
        f"load {os.getloadavg()[0]:.1f}"
    )
    for part in (strips(), cantilevers(), tubes(), slopes(), legs(), discs(tuple(read_table()))):
        print()
        for line in part:
            print(line, flush=True)


if __name__ == "__main__":
    main()
