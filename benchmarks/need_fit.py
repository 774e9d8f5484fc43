"""Fit the table of cloth need: drafts over the bdims women, then short lays for the density.

Run as ``python benchmarks/need_fit.py areas`` and then ``... lays`` (24 lays of a few seconds;
it keeps the areas). It writes ``src/pinwright/cutting/need_table.json`` and prints how it was
checked: docs/validation/cloth_need.md.
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
from pinwright.cutting.least_squares import fit_line
from pinwright.cutting.need_table import PATH, line_data
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


SETS: tuple[tuple[str, ...], ...] = (("jacket",), ("trousers",), ("jacket", "trousers"))
PLAN = ((150.0, (0, 1)), (115.0, (0, 1)), (140.0, (0,)), (90.0, (1,)))
"""Widths, and which of the two women are laid on them."""

WAYS: dict[str, dict[str, Any]] = {"one way": {"direction": "nap"}, "folded": {"lay": "folded"}}


def sizes() -> list[dict[str, float]]:
    """Two women of the table: those a fifth from either end of the hip girths."""
    few = sorted((f for f, _ in people(10)), key=lambda f: f["hip_girth"])
    return [few[len(few) // 5], few[-1 - len(few) // 5]]


def lay_length(
    names: tuple[str, ...], measures: dict[str, float], cloth: dict[str, Any], seconds: float
) -> tuple[float, float, float]:
    """(usable width of single cloth, cut area, length of the lay) of the shell, cm and cm2."""
    order = validate(
        {
            "format": 1,
            "client": {"name": "nobody"},
            "measures": measures,
            "garments": [{"style": n} for n in names],
            "cloth": [{"layer": "shell", **cloth}],
        },
        FilePath("need_fit"),
    )
    job = run(order)
    stock = stocks(job)[0]
    flat = Stock(stock.key, replace(stock.material, lay="open"), stock.wanted)
    area = sum(t.area for t in wanted_of(job, flat, "cut").templates)
    lay = solve(wanted_of(job, stock, "cut").templates, fields(stock.material)[0], seconds)
    return flat.material.usable, area, lay.length


def fit_lays(seconds: float) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """Densities by garments and width, and what a lay one way or folded has of the plain one's."""
    women_laid = sizes()
    found: dict[tuple[tuple[str, ...], float], list[float]] = {}
    for names in SETS:
        for width, who in PLAN:
            for i in who:
                usable, area, length = lay_length(names, women_laid[i], {"width": width}, seconds)
                found.setdefault((names, usable), []).append(area / (usable * length))
                print(
                    f"{' and '.join(names)}, {width:g} wide, woman {i}: {length:.1f} cm, "
                    f"{100 * area / (usable * length):.1f} %",
                    flush=True,
                )
    twice = [np.array(d) for d in found.values() if len(d) > 1]
    freedom = sum(len(d) - 1 for d in twice)
    sd = float(np.sqrt(sum(((d - d.mean()) ** 2).sum() for d in twice) / freedom))
    print(f"standard deviation within garments and width {100 * sd:.2f} %, {freedom} free")
    rows = [
        {
            "garments": list(names),
            "usable": usable,
            "mean": float(np.mean(d)),
            "sd": sd,
            "freedom": freedom,
            "lays": len(d),
        }
        for (names, usable), d in found.items()
    ]
    ways = {}
    for way, cloth in WAYS.items():
        shares = []
        for names in SETS:
            usable, area, length = lay_length(
                names, women_laid[0], {"width": 150.0, **cloth}, seconds
            )
            shares.append(area / (usable * length) / found[names, usable][0])
            print(
                f"{' and '.join(names)}, {way}: {length:.1f} cm, {100 * shares[-1]:.1f} % of "
                "the plain lay's density",
                flush=True,
            )
        ways[way] = {
            "mean": float(np.mean(shares)),
            "sd": float(np.std(shares, ddof=1)),
            "freedom": len(shares) - 1,
        }
    return rows, ways


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("areas", "lays"))
    parser.add_argument("--every", type=int, default=10, help="every so many women")
    parser.add_argument("--seconds", type=float, default=3.0, help="for each lay")
    options = parser.parse_args()
    data: dict[str, Any] = {"areas": [], "densities": [], "ways": {}, "made": ""}
    if PATH.exists():
        data = json.loads(PATH.read_text(encoding="utf-8"))
    begun = time.perf_counter()
    if options.what == "areas":
        data["areas"] = fit_areas(options.every)
    else:
        data["densities"], data["ways"] = fit_lays(options.seconds)
    data["made"] = dt.date.today().isoformat()
    PATH.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")
    print(f"{time.perf_counter() - begun:.0f} s")


if __name__ == "__main__":
    main()
