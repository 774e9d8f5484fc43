"""The figure against real and extreme women: how near the tape comes, how long it takes.

``--bdims``: all 260 women of bdims, every measure given (height, weight, bust from the upper
chest, girths): the furthest a given measure is off, by tape. ``--held-out``: the same women from
height, bust, waist and hip alone: how far the girths that were held back are off. ``--extremes``:
200 made-up bodies (bust over 120, hips 30 over or 5 under the waist, heights of 145 and 190, a
round or hollow back, one shoulder 2 cm lower, a full abdomen). Rows go to ``--out`` as JSON lines.
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections.abc import Iterator
from math import atan, degrees, radians, tan
from pathlib import Path
from typing import Any

import numpy as np

from pinwright.figure.figure import Figure, figure_of
from pinwright.figure.remarks import AGREED
from pinwright.measures import complete, read_record
from pinwright.measures.bdims import women

HELD_OUT = ("height", "bust_girth", "waist_girth", "hip_girth")


def extremes(count: int = 200, seed: int = 8559) -> Iterator[tuple[str, dict[str, float]]]:
    """Bodies at the ends of what a workshop meets: what is extreme, and the record."""
    rng = np.random.default_rng(seed)
    kinds = (
        "bust",
        "wide hips",
        "straight",
        "short",
        "tall",
        "round back",
        "hollow back",
        "shoulder",
        "abdomen",
    )
    for k in range(count):
        some = {kinds[k % len(kinds)], *rng.choice(kinds, rng.integers(0, 3), replace=False)}
        height = 145.0 if "short" in some else 190.0 if "tall" in some else rng.uniform(155, 178)
        waist = rng.uniform(75 if "straight" in some else 62, 112)
        bust = (
            max(120.5, waist + 14.0) + rng.uniform(0, 12)
            if "bust" in some
            else waist + rng.uniform(12, 24)
        )
        if "bust" in some:
            waist = max(waist, bust - 34.0)
        hip = waist + (
            30.0 if "wide hips" in some else -5.0 if "straight" in some else rng.uniform(14, 26)
        )
        given = {"height": height, "bust_girth": bust, "waist_girth": waist, "hip_girth": hip}
        guess = complete(read_record(given))
        for term in (
            "neck_base_girth",
            "shoulder_length",
            "back_waist_length",
            "front_waist_length",
            "outside_leg",
            "inside_leg",
            "waist_to_hip",
            "thigh_girth",
            "knee_girth",
            "upper_arm_girth",
            "arm_length",
            "across_back_width",
            "wrist_girth",
        ):
            given[term] = guess[term]
        if "round back" in some:
            given["back_waist_length"] += 2.5
            given["across_back_width"] += 1.5
        if "hollow back" in some:
            given["back_waist_length"] -= 2.0
        if "abdomen" in some:
            given["waist_front_arc"] = 0.57 * waist
            given["waist_back_arc"] = 0.43 * waist
            given["front_waist_length"] += 1.5
        if "shoulder" in some:
            length = given.pop("shoulder_length")
            slope = guess["shoulder_slope"]
            lower = degrees(atan(tan(radians(slope)) + 2.0 / length))
            given |= {"shoulder_slope_left": slope, "shoulder_slope_right": lower}
            given |= {"shoulder_length_left": length, "shoulder_length_right": length}
        yield ", ".join(sorted(some)), {k: round(float(v), 2) for k, v in given.items()}


def row(name: str, given: dict[str, float]) -> tuple[dict[str, Any], Figure | None]:
    """One figure: how long, how far off, what was said."""
    began = time.perf_counter()
    found = figure_of(complete(read_record(given)))
    took = time.perf_counter() - began
    off = {m.name: m.residual for m in found.measured if m.given and m.residual is not None}
    worst = max(off, key=lambda k: abs(off[k] or 0.0))
    return {
        "name": name,
        "seconds": round(took, 2),
        "worst_mm": round(abs(off[worst] or 0.0), 3),
        "worst": worst,
        "moved_cm": round(found.moved, 2),
        "said": list(found.remarks()),
    }, found


def told(rows: list[dict[str, Any]]) -> None:
    """The rows in a few lines."""
    worst = [r["worst_mm"] for r in rows]
    took = sorted(r["seconds"] for r in rows)
    over = [r for r in rows if r["worst_mm"] > AGREED]
    silent = [r for r in over if not r["said"]]
    moved = [r["moved_cm"] for r in rows]
    print(
        f"{len(rows)} figures: worst given measure {max(worst):.2f} mm, median of the worsts "
        f"{statistics.median(worst):.2f} mm; {len(over)} over {AGREED:g} mm, of these "
        f"{len(silent)} without a word; {statistics.median(took):.2f} s in the median, "
        f"{took[-1]:.2f} s at most; surface drawn {statistics.median(moved):.2f} cm in the "
        f"median, {max(moved):.2f} cm at most"
    )


def held_out(out: Path | None) -> None:
    """From four measures alone: how far the rest of each woman is off."""
    off: dict[str, list[float]] = {}
    for k, woman in enumerate(women()):
        _, found = row(str(k), {t: woman[t] for t in HELD_OUT})
        assert found is not None
        for term, value in woman.items():
            if term in HELD_OUT or term == "upper_chest_girth":
                continue
            sided = [
                m.figure
                for m in found.measured
                if m.name in (f"{term}_left", f"{term}_right", term)
            ]
            off.setdefault(term, []).append(statistics.mean(sided) - value)
    for term, values in off.items():
        size = [abs(v) for v in values]
        print(
            f"{term}: mean {statistics.mean(values):+.2f}, "
            f"mean size {statistics.mean(size):.2f}, 95 % {np.quantile(size, 0.95):.2f}"
        )
    if out:
        with out.open("a") as file:
            file.write(json.dumps({"held out": off}) + "\n")


def main() -> None:
    """See the module's docstring."""
    ask = argparse.ArgumentParser(description=__doc__)
    for name in ("bdims", "extremes", "held-out"):
        ask.add_argument(f"--{name}", action="store_true")
    ask.add_argument("--out", type=Path)
    asked = ask.parse_args()
    row("warm", women()[0])
    for name, people in (
        ("bdims", [(str(k), w) for k, w in enumerate(women())] if asked.bdims else []),
        ("extremes", list(extremes()) if asked.extremes else []),
    ):
        rows = []
        for who, given in people:
            try:
                rows.append(row(who, dict(given))[0])
            except Exception as error:
                print(who, given, type(error).__name__, error, flush=True)
                continue
            if asked.out:
                with asked.out.open("a") as file:
                    file.write(json.dumps({"set": name, **rows[-1]}) + "\n")
        if rows:
            told(rows)
    if asked.held_out:
        held_out(asked.out)


if __name__ == "__main__":
    main()
