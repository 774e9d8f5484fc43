"""Fit the table of cloth need: drafts over the bdims women, then short lays for the density.

Run as ``python benchmarks/need_fit.py areas`` and then ``... lays`` (44 lays of a few seconds;
it keeps the areas, and lays made before). It writes ``src/pinwright/cutting/need_table.json`` and
prints how it was checked: docs/cutting/need.md.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import time
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import product
from pathlib import Path as FilePath
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from pinwright.cutting.fields import fields
from pinwright.cutting.lay.solve import solve
from pinwright.cutting.lay_density import density_at
from pinwright.cutting.least_squares import fit_line
from pinwright.cutting.need import HELD
from pinwright.cutting.need_table import PATH, line_data, table_of
from pinwright.cutting.piece_area import Areas, drafted_areas, scattered
from pinwright.draft import all_styles
from pinwright.draft.style import Style
from pinwright.errors import PinwrightError
from pinwright.measures.bdims import women
from pinwright.workshop.job import run
from pinwright.workshop.order import validate
from pinwright.workshop.stock import Stock, stocks, wanted_of

Array = NDArray[np.float64]

MAIN = ("fit", "ease", "back", "lining")
"""Choices whose every value is in the table; the others at their defaults."""

GIRTHS = ("bust_girth", "waist_girth", "hip_girth")
SEED = 20261125


def variants(style: Style) -> Iterator[dict[str, object]]:
    """All choices of the style for every combination of its main ones."""
    main = [c for c in style.choices if c.name in MAIN]
    values = [
        c.allowed or ((False, True) if isinstance(c.default, bool) else (c.default,)) for c in main
    ]
    for combination in product(*values):
        yield style.choose(dict(zip((c.name for c in main), combination, strict=True)))


def people(every: int, start: int = 0) -> list[tuple[dict[str, float], dict[str, float]]]:
    """(few measures, all measures with lengths of her own) of every so many women."""
    rng = np.random.default_rng(SEED + start)
    few = ("height", *GIRTHS)
    return [({t: w[t] for t in few}, scattered(w, rng)) for w in women()[start::every]]


def drafts(
    style: Style,
    choices: Mapping[str, object],
    sample: list[tuple[dict[str, float], dict[str, float]]],
) -> tuple[list[tuple[dict[str, float], dict[Any, Areas]]], list[str]]:
    """(few measures, cloth by layer) of everybody the style can be drafted for, and refusals."""
    found, refused = [], []
    for few, measures in sample:
        try:
            found.append((few, drafted_areas(style, choices, measures)))
        except PinwrightError as error:
            refused.append(str(error))
    return found, refused


def left_out(x: Array, y: Array) -> tuple[int, float, float]:
    """Leave one out: (how many lie in their 95 % interval, mean and greatest relative error)."""
    inside, errors = 0, []
    for i in range(len(y)):
        others = np.arange(len(y)) != i
        line = fit_line(x[others], y[others])
        value, error = line.at(x[i])
        inside += bool(abs(y[i] - value) <= student.ppf(0.975, line.freedom) * error)
        errors.append(abs(y[i] - value) / y[i])
    return inside, float(np.mean(errors)), float(np.max(errors))


def fit_areas(every: int) -> list[dict[str, Any]]:
    sample = people(every)
    rows = []
    for style in all_styles().values():
        for choices in variants(style):
            found, refused = drafts(style, choices, sample)
            main = {k: v for k, v in choices.items() if k in MAIN}
            if refused:
                print(f"{style.name} {main}: {len(refused)} refused, e.g. {refused[0]}")
            layers = sorted({layer for _, a in found for layer in a})
            for layer in layers:
                y = np.array([a[layer].area for _, a in found])
                longest = np.array([a[layer].longest for _, a in found])
                by = {g: np.array([[few["height"], few[g]] for few, _ in found]) for g in GIRTHS}
                girth = min(by, key=lambda g: fit_line(by[g], y).residual)
                x = by[girth]
                line = fit_line(x, y)
                inside, mean, most = left_out(x, y)
                rows.append(
                    {
                        "style": style.name,
                        "choices": main,
                        "layer": layer,
                        "girth": girth,
                        "area": line_data(line),
                        "longest": line_data(fit_line(x, longest)),
                        "reach": max(line.leverage(at) for at in x),
                        "left_out": {"inside": inside, "of": len(y), "mean": mean, "most": most},
                        "refused": len(refused),
                    }
                )
                a, b, c = line.coefficients
                print(
                    f"{style.name} {main} {layer}: {a:.0f} + {b:.1f} height + {c:.1f} {girth}, "
                    f"mean {y.mean():.0f} cm2, residual {line.residual:.0f} "
                    f"({100 * line.residual / y.mean():.1f} %), longest {longest.mean():.1f}, "
                    f"left out inside {inside}/{len(y)}, mean {100 * mean:.1f} % "
                    f"most {100 * most:.1f} %"
                )
    return rows


LOOSE: dict[str, dict[str, object]] = {"trousers": {"fit": "loose"}}
SETS: tuple[tuple[str, ...], ...] = (("jacket",), ("trousers",), ("jacket", "trousers"))
TROUSERS = SETS[1]

LINED: dict[str, dict[str, object]] = {
    "jacket": {"lining": "full"},
    "trousers": {"lining": "front to knee"},
}

PLAN: tuple[tuple[tuple[str, ...], dict[str, dict[str, object]], float, int, str, str], ...] = (
    *(
        (names, {n: LINED[n] for n in names} if layer == "lining" else {}, width, i, "plain", layer)
        for layer in ("shell", "lining")
        for names in SETS
        for width, i in ((150.0, 0), (150.0, 1), (115.0, 0), (115.0, 1), (140.0, 0), (90.0, 1))
    ),
    *((names, {}, 150.0, 0, way, "shell") for way in ("one way", "folded") for names in SETS),
    *((TROUSERS, LOOSE, width, i, "plain", "shell") for width, i in ((150.0, 0), (150.0, 1))),
)
"""What is laid: garments, their choices, width, which of the two women, how, which layer."""

WAYS: dict[str, dict[str, Any]] = {
    "plain": {}, "one way": {"direction": "nap"}, "folded": {"lay": "folded"},
}  # fmt: skip


def sizes() -> list[dict[str, float]]:
    """Two women of the table: those a fifth from either end of the hip girths."""
    few = sorted((f for f, _ in people(10)), key=lambda f: f["hip_girth"])
    return [few[len(few) // 5], few[-1 - len(few) // 5]]


def one_lay(
    names: tuple[str, ...],
    choices: dict[str, dict[str, object]],
    width: float,
    woman: int,
    way: str,
    layer: str,
    seconds: float,
    length: float | None = None,
) -> dict[str, Any]:
    """A lay of one layer: what was laid, its area (cm2), its longest piece and its length (cm)."""
    order = validate(
        {
            "format": 1,
            "client": {"name": "nobody"},
            "measures": sizes()[woman],
            "garments": [{"style": n, "choices": choices.get(n, {})} for n in names],
            "cloth": [{"layer": layer, "width": width, **WAYS[way]}],
        },
        FilePath("need_fit"),
    )
    job = run(order)
    stock = next(s for s in stocks(job) if layer in {name for _, name in s.wanted})
    flat = Stock(stock.key, replace(stock.material, lay="open"), stock.wanted)
    opened = wanted_of(job, flat, "cut").templates
    if length is None:
        wanted = wanted_of(job, stock, "cut").templates
        length = solve(wanted, fields(stock.material)[0], seconds).length
    return {
        "garments": list(names),
        "choices": choices,
        "width": width,
        "woman": woman,
        "way": way,
        "usable": flat.material.usable,
        "area": sum(t.area for t in opened),
        "longest": max(float(np.ptp(t.outline[:, 0])) for t in opened)
        + (0.0 if layer == "shell" else 2.0 * HELD),
        "length": length,
        "layer": layer,
    }


def told(row: dict[str, Any]) -> str:
    density = row["area"] / (row["usable"] * row["length"])
    rows = row["area"] / (row["usable"] * row["longest"])
    return (
        f"{' and '.join(row['garments'])} {row['choices'] or ''} {row['layer']}, "
        f"{row['width']:g} wide, woman {row['woman']}, {row['way']}: "
        f"{row['length']:.1f} cm, {100 * density:.1f} %, {rows:.2f} rows"
    )


def fit_lays(kept: list[dict[str, Any]], seconds: float) -> list[dict[str, Any]]:
    """The lays of the plan; those that were made before are kept."""
    known = ("garments", "choices", "width", "woman", "way", "layer")
    rows = []
    for names, choices, width, woman, way, layer in PLAN:
        asked = [list(names), choices, width, woman, way, layer]
        old = [{"layer": "shell", **r} for r in kept]
        row = next((r for r in old if [r[k] for k in known] == asked), None)
        if row is None:
            row = one_lay(names, choices, width, woman, way, layer, seconds)
        rows.append(row)
        print(told(row), flush=True)
    return rows


def shares(rows: list[dict[str, Any]]) -> dict[str, dict[str, float]]:
    """The density of lays one way and folded as a share of the plain one's."""
    found = {}
    for way in ("one way", "folded"):
        each = []
        for row in rows:
            if row["way"] == way:
                same = [
                    r
                    for r in rows
                    if r["way"] == "plain"
                    and r["choices"] == row["choices"]
                    and all(r[k] == row[k] for k in ("garments", "width", "woman"))
                ]
                each.append(same[0]["length"] / row["length"])
        found[way] = {
            "mean": float(np.mean(each)),
            "sd": float(np.std(each, ddof=1)),
            "freedom": len(each) - 1,
        }
        print(
            f"{way}: {100 * np.mean(each):.1f} % of the plain lay's density, "
            f"{', '.join(f'{100 * e:.1f}' for e in each)}"
        )
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("areas", "lays"))
    parser.add_argument("--every", type=int, default=10, help="every so many women")
    parser.add_argument("--seconds", type=float, default=3.0, help="for each lay")
    parser.add_argument("--again", action="store_true", help="lay all anew, not only new ones")
    options = parser.parse_args()
    data: dict[str, Any] = {"areas": [], "lays": [], "ways": {}, "made": ""}
    if PATH.exists():
        data = json.loads(PATH.read_text(encoding="utf-8"))
    begun = time.perf_counter()
    if options.what == "areas":
        data["areas"] = fit_areas(options.every)
    else:
        kept = [] if options.again else data["lays"]
        data["lays"] = fit_lays(kept, options.seconds)
        data["ways"] = shares(data["lays"])
        measured = table_of(data).measured
        for m, layer in dict.fromkeys((x.garments, x.layer) for x in measured):
            d = density_at(measured, m, (layer,), 1.0)
            print(
                f"{' and '.join(m)}, {layer}: a lay about what the others say: {100 * d.sd:.1f} %"
            )
    data["made"] = dt.date.today().isoformat()
    PATH.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
    print(f"{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
