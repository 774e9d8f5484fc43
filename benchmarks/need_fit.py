"""Fit the table of cloth need: drafts over the bdims women, then short lays for the density.

Run as ``python benchmarks/need_fit.py areas``, then ``... lays`` (44 lays of a few seconds; it
keeps the areas, and lays made before) and ``... repeats`` (180 lays with and without a repeat,
kept in ``benchmarks/need_repeats.jsonl``; the cost of matching is fitted to them). It writes
``src/pinwright/cutting/need_table.json`` and prints how it was checked: docs/cutting/need.md.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import time
from collections.abc import Iterator, Mapping
from dataclasses import asdict, replace
from itertools import product
from pathlib import Path as FilePath
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.stats import t as student

from pinwright.cutting.fields import fields
from pinwright.cutting.lay.solve import solve
from pinwright.cutting.lay_density import density_at
from pinwright.cutting.least_squares import fit_line
from pinwright.cutting.material import Repeat
from pinwright.cutting.need import HELD, Need, estimate_together
from pinwright.cutting.need_table import PATH, Table, line_data, table_of
from pinwright.cutting.piece_area import Areas, drafted_areas, scattered
from pinwright.cutting.repeat_cost import RepeatCost, matched_length
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


REPEATS = FilePath(__file__).with_name("need_repeats.jsonl")
"""The lays with and without a repeat, one a line."""

FITTED, CHECKED = 1, 2
"""Seeds of the repeats that the cost is fitted to, and of those it is checked with."""

BLOCKS = {FITTED: 24, CHECKED: 9}
"""So many times, garments on a width: once plain, then with four repeats."""

TRIED = ((30.0, 30.0), (60.0, 60.0), (20.0, 74.0), (0.0, 74.0))
"""Large repeats, laid on 150 for each of the garments, besides those by chance."""


def repeat_plan(seed: int) -> Iterator[dict[str, Any]]:
    """What is laid: garments, one of the 26 other women, width, which way, the repeat or none."""
    rng = np.random.default_rng(seed)

    def size(low: float, high: float) -> float:
        return round(float(np.exp(rng.uniform(np.log(low), np.log(high)))), 1)

    for i in range(BLOCKS[seed]):
        woman = int(rng.integers(26))
        width = float(rng.choice([115, 140, 150, 150]))
        way = str(rng.choice(["plain", "plain", "plain", "one way", "folded"]))
        block = {"seed": seed, "block": i, "garments": list(SETS[i % 3]), "woman": woman}
        yield (block := {**block, "width": width, "way": way}) | {"repeat": None}
        most = (width / 2.0 - 1.0 if way == "folded" else width - 2.0) / 2.0
        for kind in ("along", "across", "both", "both"):
            along, across = size(2.0, 70.0), size(2.0, most)
            start, edge = round(along * rng.random(), 1), round(across * rng.random(), 1)
            yield block | {
                "repeat": {
                    "from_start": start,
                    "from_selvedge": 0.0 if way == "folded" else edge,
                    "turns": way != "one way",
                    "along": along if kind != "across" else 0.0,
                    "across": across if kind != "along" else 0.0,
                }
            }
    for i, names in enumerate(SETS if seed == FITTED else ()):
        block = {"seed": seed, "block": BLOCKS[seed] + i, "garments": list(names), "woman": 3 + i}
        yield (block := {**block, "width": 150.0, "way": "plain"}) | {"repeat": None}
        for along, across in TRIED:
            where = {"from_start": 2.0, "from_selvedge": 5.0, "turns": True}
            yield block | {"repeat": {**where, "along": along, "across": across}}


def repeat_lay(asked: dict[str, Any], seconds: float) -> dict[str, Any]:
    """A lay of the plan with its woman's few measures, area (cm2), longest piece, length (cm)."""
    few = people(10, start=5)[asked["woman"]][0]
    cloth: dict[str, Any] = {"layer": "shell", "width": asked["width"], **WAYS[asked["way"]]}
    if asked["repeat"] is not None:
        cloth.pop("direction", None)  # the repeat itself tells which way up
        cloth["repeat"] = {k: v for k, v in asked["repeat"].items() if v or k == "turns"}
    order = validate(
        {
            "format": 1,
            "client": {"name": "nobody"},
            "measures": few,
            "garments": [{"style": n} for n in asked["garments"]],
            "cloth": [cloth],
        },
        FilePath("need_fit"),
    )
    job = run(order)
    stock = next(s for s in stocks(job) if "shell" in {name for _, name in s.wanted})
    opened = replace(stock.material, lay="open", repeat=Repeat())
    flat = wanted_of(job, replace(stock, material=opened), "cut").templates
    lay = solve(wanted_of(job, stock, "cut").templates, fields(stock.material)[0], seconds)
    return {
        **asked,
        "few": few,
        "usable": opened.usable,
        "area": round(sum(t.area for t in flat), 1),
        "longest": round(max(float(np.ptp(t.outline[:, 0])) for t in flat), 2),
        "length": round(lay.length, 2),
    }


def read_repeats() -> list[dict[str, Any]]:
    """The lays with and without a repeat that were made."""
    if not REPEATS.exists():
        return []
    return [json.loads(line) for line in REPEATS.read_text(encoding="utf-8").splitlines()]


def lay_repeats(kept: list[dict[str, Any]], seconds: float) -> list[dict[str, Any]]:
    """The lays of both plans; those that were made before are kept."""
    rows = []
    for asked in (*repeat_plan(FITTED), *repeat_plan(CHECKED)):
        row = next((r for r in kept if all(r[k] == v for k, v in asked.items())), None)
        if row is None:
            row = repeat_lay(asked, seconds)
            print(f"{' and '.join(row['garments'])} {asked['repeat']}: {row['length']:.1f} cm")
        rows.append(row)
    REPEATS.write_text("".join(json.dumps(r) + "\n" for r in rows), encoding="utf-8")
    return rows


MOST_ACROSS = 1.0 / 3.0
"""Of a repeat across that is a larger part of the width no estimate is made: only by luck do two
pieces then find their line beside each other with room for them."""


def foreseen(row: dict[str, Any]) -> bool:
    """Whether the lay has a repeat, and not one whose cost hangs on where its lines fall."""
    wide = row["usable"] / (2.0 if row["way"] == "folded" else 1.0)
    return row["repeat"] is not None and row["repeat"]["across"] <= MOST_ACROSS * wide


def fit_repeats(rows: list[dict[str, Any]], table: Table) -> RepeatCost:
    """The cost of matching that makes the matched lays most likely, the densities being known."""
    laid = [r for r in rows if r["seed"] == FITTED and foreseen(r)]
    grid = np.linspace(1.0, 3.0, 81)
    lengths, densities = [], []
    for r in laid:
        plain = r["area"] / (r["usable"] * r["longest"])
        way = (table.ways or {}).get(r["way"])
        share = 1.0 if way is None else way.mean
        found = [density_at(table.measured, r["garments"], ("shell",), plain * t) for t in grid]
        means = np.array([d.mean for d in found]) * share
        lengths.append(np.maximum(r["area"] * grid / (r["usable"] * means), r["longest"]))
        own = found[0].sd / found[0].mean
        densities.append(own if way is None else float(np.hypot(own, way.sd / way.mean)))
    measured, density = np.array([r["length"] for r in laid]), np.array(densities)

    def fitted(x: Array) -> tuple[Array, Array]:
        """Of each lay: how far it is off, and the variance of that, as parts of its length."""
        along, across, sd, share = np.abs(x)
        off, variance = np.empty(len(laid)), np.empty(len(laid))
        for i, r in enumerate(laid):
            repeat = (r["repeat"]["along"], r["repeat"]["across"])
            curve = lengths[i]
            stripes, bars = matched_length(
                lambda times, curve=curve: float(np.interp(times, grid, curve)),
                r["longest"], repeat, along, across,
            )  # fmt: skip
            whole = stripes + bars
            off[i] = measured[i] / whole - 1.0
            lay = density[i] * stripes / whole
            variance[i] = lay**2 + sd**2 + (share * (whole - curve[0]) / whole) ** 2
        return off, variance

    def unlikely(x: Array) -> float:
        off, variance = fitted(x)
        return float(np.sum(np.log(variance) + off**2 / variance) / 2.0)

    starts = [np.array([0.5, across, 0.03, 0.3]) for across in (0.005, 0.008, 0.012)]
    best = min(
        (minimize(unlikely, x, method="Nelder-Mead", options={"maxfev": 1200}) for x in starts),
        key=lambda m: m.fun,
    ).x
    off, variance = fitted(best)
    freedom = len(laid) - len(best)
    outside = int(np.sum(np.abs(off) > student.ppf(0.975, freedom) * np.sqrt(variance)))
    along, across, sd, share = (float(abs(v)) for v in best)
    print(
        f"{along:.2f} repeats for each piece end to end, {1000 * across:.1f} % for 10 cm across, "
        f"sd {100 * sd:.1f} % of the length and {100 * share:.0f} % of what is added; off "
        f"{100 * off.mean():+.1f} %, rms {100 * off.std():.1f} %, {outside} of {len(laid)} outside"
    )
    most = max(r["repeat"]["along"] for r in laid)
    return RepeatCost(along, across, sd, share, freedom, most, MOST_ACROSS)


def check_repeats(rows: list[dict[str, Any]], table: Table) -> None:
    """Print each matched lay beside its estimate from the few measures."""
    inside = {FITTED: 0, CHECKED: 0}
    laid = [r for r in rows if foreseen(r)]
    for r in laid:
        need = repeat_need(r, table)
        assert need.high is not None
        inside[r["seed"]] += need.low <= r["length"] <= need.high
        print(
            f"{r['seed']} {' and '.join(r['garments'])}, {r['width']:g} wide, {r['way']}, "
            f"{r['repeat']['along']:g} by {r['repeat']['across']:g}: laid {r['length']:.0f}, "
            f"estimated {need.length:.0f} ({need.low:.0f} to {need.high:.0f})"
        )
    for seed, n in inside.items():
        print(f"{n} of {sum(r['seed'] == seed for r in laid)} of seed {seed} in their interval")


def repeat_need(row: dict[str, Any], table: Table) -> Need:
    """What is estimated for a lay of the plan, from the few measures alone."""
    repeat = row["repeat"]
    return estimate_together(
        [(name, {}) for name in row["garments"]],
        row["few"],
        row["width"],
        layers=("shell", "facing"),
        repeat=(repeat["along"], repeat["across"]),
        one_way=row["way"] == "one way",
        folded=row["way"] == "folded",
        table=table,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("areas", "lays", "repeats"))
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
    elif options.what == "repeats":
        rows = lay_repeats([] if options.again else read_repeats(), options.seconds)
        data["repeats"] = asdict(fit_repeats(rows, table_of(data)))
        check_repeats(rows, table_of(data))
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
