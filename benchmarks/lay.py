"""How good the lay is: against the engine plainly used, and against long runs of its own.

``--esicup`` lays the three ESICUP sets in ``../shared/data/packing`` (shirts, trousers, swim; not
part of this project) with ours and with the engine as it comes, one run of each in turn, for
``--seconds`` (60) each, ``--runs`` (5) times, and compares medians. ``--order`` lays the shell of
the demo order in 20 s, ten times, and five times in ``--long`` (600) s: the aim is a median and a
worst of the short ones within 1 % of the best of the long ones. Every run is appended to a JSON
file (``--out``); what it holds already is not done again, so the work can be done in parts.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import platform
import statistics
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import spyrrow

from pinwright.cutting.fields import fields
from pinwright.cutting.lay.measure import lower_bound, measured
from pinwright.cutting.lay.placing import Field, Lay, Template
from pinwright.cutting.lay.solve import solve
from pinwright.cutting.lay.verify import faults
from pinwright.workshop import job, order, stock

SETS = ("shirts", "trousers", "swim")
PACKING = Path(__file__).parents[2] / "shared" / "data" / "packing"
DEMO = Path(stock.__file__).with_name("demo_order.toml")


def esicup(name: str) -> tuple[tuple[Template, ...], Field, float]:
    """A set as templates, scaled to cloth 150 cm wide, its field, and the scale."""
    data = json.loads((PACKING / f"{name}.json").read_text())
    scale = 150.0 / float(data["strip_height"])
    pieces = [
        Template(
            f"{item['id']}.{copy}",
            name,
            str(item["id"]),
            "both",
            _anticlockwise(np.array(item["shape"]["data"], dtype=np.float64) * scale),
            tuple(float(a) for a in item["allowed_orientations"]),
        )
        for item in data["items"]
        for copy in range(int(item["demand"]))
    ]
    return tuple(pieces), Field(150.0), scale


def _anticlockwise(ring: np.ndarray[Any, np.dtype[np.float64]]) -> Any:
    if np.allclose(ring[0], ring[-1]):
        ring = ring[:-1]
    x, y = ring.T
    return ring if float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) > 0.0 else ring[::-1]


def engine_plainly(name: str, seconds: int, seed: int) -> tuple[float, float]:
    """(length in the set's own units, density) by the engine as it comes, on all cores."""
    data = json.loads((PACKING / f"{name}.json").read_text())
    items = [
        spyrrow.Item(
            str(i["id"]),
            [(x, y) for x, y in i["shape"]["data"]],
            i["demand"],
            i["allowed_orientations"],
        )
        for i in data["items"]
    ]
    instance = spyrrow.StripPackingInstance(name, data["strip_height"], items)
    found = instance.solve(spyrrow.StripPackingConfig(total_computation_time=seconds, seed=seed))
    return float(found.width), float(found.density)


def of_order(path: Path) -> tuple[tuple[Template, ...], Field]:
    """The shell of an order as it is cut for the fitting, all from one plain cloth of 150 cm."""
    plain = order.Cloth(layer="shell", name="plain cloth", width=150.0)
    done = job.run(order.load(path).model_copy(update={"cloth": (plain,)}))
    cloth = next(s for s in stock.stocks(done) if s.material.layer == "shell")
    return stock.wanted_of(done, cloth, "cut").templates, fields(cloth.material)[0]


class Book:
    """The runs done so far, kept in a JSON file."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.runs: list[dict[str, Any]] = json.loads(path.read_text()) if path.exists() else []

    def of(self, **which: object) -> list[dict[str, Any]]:
        return [r for r in self.runs if all(r.get(k) == v for k, v in which.items())]

    def done(self, number: int, doing: Callable[[], dict[str, Any]], **which: object) -> None:
        """Do one run unless it is in the book."""
        if self.of(number=number, **which):
            return
        before, start = os.getloadavg()[0], time.monotonic()
        run = {**which, "number": number, **doing()}
        run |= {
            "took": round(time.monotonic() - start, 1),
            "load": before,
            "when": dt.datetime.now().isoformat(timespec="seconds"),
            "machine": f"{platform.machine()}, {os.cpu_count()} cores",
        }
        self.runs.append(run)
        self.path.write_text(json.dumps(self.runs, indent=1) + "\n")
        print({k: run[k] for k in (*which, "number", "length", "density", "took", "load")})


def _figures(lay: Lay, scale: float = 1.0) -> dict[str, Any]:
    wrong = faults(lay)
    if wrong:
        raise SystemExit(f"A lay that does not hold: {wrong[0]}")
    got = measured(lay)
    return {"length": lay.length / scale, "density": got.density, "bound": got.bound / scale}


def run_esicup(
    book: Book, seconds: int, runs: int, sets: list[str], ways: Sequence[str] = ("ours", "engine")
) -> None:
    for name in sets:
        pieces, field, scale = esicup(name)
        for n in range(runs):

            def ours(n: int = n) -> dict[str, Any]:
                return _figures(solve(pieces, field, seconds, seed=100 * n), scale)  # noqa: B023

            def plain(n: int = n) -> dict[str, Any]:
                length, density = engine_plainly(name, seconds, 100 * n)  # noqa: B023
                return {"length": length, "density": density}

            for way, doing in (("ours", ours), ("engine", plain)):
                if way in ways:
                    book.done(n, doing, set=name, way=way, seconds=seconds)
        for way in ways:
            got = [100 * r["density"] for r in book.of(set=name, way=way, seconds=seconds)]
            print(
                f"{name:9} {way:7} {seconds} s, {len(got)} runs: "
                f"median {statistics.median(got):.2f} % ({min(got):.2f} to {max(got):.2f})"
            )


def run_order(
    book: Book, path: Path, short: int, long: int, shorts: int, longs: int, first: int = 0
) -> None:
    pieces, field = of_order(path)
    print(f"{len(pieces)} pieces on {field.width:g} cm, bound {lower_bound(pieces, field):.1f} cm")
    for seconds, runs in ((short, shorts), (long, longs)):
        for n in range(first, first + runs):

            def ours(n: int = n, seconds: int = seconds) -> dict[str, Any]:
                return _figures(solve(pieces, field, seconds, seed=1000 * n + seconds))

            book.done(n, ours, set=path.stem, way="ours", seconds=seconds)
    got = [r["length"] for r in book.of(set=path.stem, way="ours", seconds=short)]
    best = [r["length"] for r in book.of(set=path.stem, way="ours", seconds=long)]
    if got:
        print(
            f"{short} s, {len(got)} runs: median {statistics.median(got):.2f} cm, "
            f"worst {max(got):.2f}, best {min(got):.2f}"
        )
    if got and best:
        over = [100 * (x / min(best) - 1) for x in (statistics.median(got), max(got))]
        print(
            f"{long} s, {len(best)} runs: best {min(best):.2f} cm; the short runs are longer by "
            f"{over[0]:.2f} % (median), {over[1]:.2f} % (worst)"
        )


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--esicup", action="store_true")
    ask.add_argument("--order", nargs="?", const=DEMO, type=Path, default=None)
    ask.add_argument("--sets", nargs="*", default=list(SETS), choices=SETS)
    ask.add_argument("--ways", nargs="*", default=["ours", "engine"], choices=("ours", "engine"))
    ask.add_argument("--seconds", type=int, help="of one run: 60 with --esicup, 20 with --order")
    ask.add_argument("--long", type=int, default=600)
    ask.add_argument("--runs", type=int, help="5 with --esicup, 10 with --order")
    ask.add_argument("--longs", type=int, default=5)
    ask.add_argument("--first", type=int, default=0, help="number of the first run of --order")
    ask.add_argument("--out", type=Path, default=Path("lay-runs.json"))
    given = ask.parse_args()
    book = Book(given.out)
    if given.esicup:
        run_esicup(book, given.seconds or 60, given.runs or 5, given.sets, given.ways)
    if given.order is not None:
        runs = 10 if given.runs is None else given.runs
        run_order(
            book, given.order, given.seconds or 20, given.long, runs, given.longs, given.first
        )


if __name__ == "__main__":
    main()
