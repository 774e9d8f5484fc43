"""How long one correction takes: replay, truing, checks and outlines of both garments.

Run as ``python benchmarks/correction.py``. Compute only, on one core, no reading or writing; the
responses of the ledger are compiled (as they are once a correction has been chosen), its amount
is new each time, as when an amount is dragged. "anew" forgets every solved half first, so both
garments and both sides are done from the draft; "dragged" keeps what the new amount does not
touch, as the program does.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import platform
import statistics
import time
from pathlib import Path

from pinwright.check import all_checks
from pinwright.check.drawing import crosses_itself
from pinwright.draft import style
from pinwright.fitting.catalogue import all_entries
from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import fit, solved
from pinwright.measures import complete, read_record
from pinwright.pattern.garment import Garment
from pinwright.workshop.trials import applicable, drafted

BODY = {"height": 168.0, "bust_girth": 92.0, "waist_girth": 74.5, "hip_girth": 99.0}
FRAME = 16.7


def order() -> dict[str, tuple[Garment, list[Correction]]]:
    """Two garments and an ordinary ledger on each: the state in which an amount is dragged."""
    body = complete(read_record(BODY))
    c = Correction
    return {
        "trousers": (
            drafted("trousers", body, {"fit": "loose"}),
            [
                c(
                    "let_out",
                    "side_seam",
                    "both",
                    {"amount": -0.5},
                    {"from": "waist", "to": "hip", "shape": "taper"},
                ),
                c("waist_dart_intake", "back_waist_dart", "both", {"amount": 0.4}),
                c("hem", "trouser_hem", "both", {"amount": -1.0}),
            ],
        ),
        "jacket": (
            drafted("jacket", body, {"back": "yoke"}),
            [
                c("bust_dart_intake", "bust_dart", "both", {"amount": 0.8}),
                c("let_out", "side_seam", "both", {"amount": -0.5}),
            ],
        ),
    }


def once(
    work: dict[str, tuple[Garment, list[Correction]]], extra: dict[str, Correction], anew: bool
) -> float:
    """Seconds to do both garments with one more correction."""
    if anew:
        solved.cache_clear()
        crosses_itself.cache_clear()
    started = time.perf_counter()
    for name, (garment, ledger) in work.items():
        fitted = fit(garment, [*ledger, extra[name]] if name in extra else ledger)
        all_checks(fitted)
        for _, half in fitted.halves:
            found = style(name).derive(half.by_name, garment)
            for p in (*half.pieces, *found):
                p.outline()
    return time.perf_counter() - started


def measure(repeats: int) -> dict[str, dict[str, float]]:
    """Milliseconds for each kind of correction, right and left alike and one-sided."""
    work = order()
    rows: dict[str, dict[str, float]] = {}
    for name, (garment, _) in work.items():
        for e in all_entries().values():
            for place in applicable(garment, e, {}):
                top = e.usual[1] or e.usual[0]
                for side in ("both", "right") if e.one_sided else ("both",):
                    for anew in (True, False):
                        times = []
                        for i in range(repeats + 1):
                            amount = top * (0.4 + 0.5 * i / repeats)
                            correction = Correction(
                                e.kind,
                                place,
                                "right" if side == "right" else "both",
                                {e.components[0]: amount},
                            )
                            times.append(once(work, {name: correction}, anew) * 1e3)
                        times = times[1:]  # the first compiles the response
                        how = "anew" if anew else "dragged"
                        rows[f"{name}: {e.kind} {place}, {side}, {how}"] = {
                            "median": statistics.median(times),
                            "worst": max(times),
                        }
    return rows


def summary(rows: dict[str, dict[str, float]]) -> list[tuple[str, str, float, float, str]]:
    """(sides, how, median over all kinds, slowest kind, its name), milliseconds."""
    found = []
    for side, words in (("both", "right and left alike"), ("right", "right side only")):
        for how in ("anew", "dragged"):
            mine = {n: r["median"] for n, r in rows.items() if n.endswith(f"{side}, {how}")}
            slowest = max(mine, key=lambda n: mine[n])
            found.append((words, how, statistics.median(mine.values()), mine[slowest], slowest))
    return found


def page(rows: dict[str, dict[str, float]]) -> str:
    """The figures as a page for docs/validation."""
    lines = [
        "# Speed",
        "",
        f"`python benchmarks/correction.py`, {dt.date.today()}, {platform.machine()}, "
        f"{os.cpu_count()} cores ({platform.python_implementation()} "
        f"{platform.python_version()}), load {os.getloadavg()[0]:.1f} at the end; one core used.",
        "",
        "One more correction on an order with an ordinary ledger on both garments: replay, truing, "
        "all checks, pieces with their derived ones and outlines of both garments. *Anew*: every "
        "solved half forgotten first, both garments and both sides from the draft. *Dragged*: only "
        f"the amount is new, as on the screen. A screen frame is {FRAME} ms; 50 ms is failure.",
        "",
        "| | | median over all kinds, ms | slowest kind, ms | which |",
        "|---|---|---:|---:|---|",
    ]
    lines += [f"| {a} | {b} | {m:.1f} | {x:.1f} | {n} |" for a, b, m, x, n in summary(rows)]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=20)
    parser.add_argument("--rows", type=int, default=12, help="how many of the slowest to list")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--page", default="", help="write the figures as a page to this file")
    args = parser.parse_args()
    rows = measure(args.repeats)
    if args.json:
        print(json.dumps(rows, indent=1))
        return
    if args.page:
        Path(args.page).write_text(page(rows))
    for name, r in sorted(rows.items(), key=lambda item: -item[1]["median"])[: args.rows]:
        print(f"{r['median']:7.2f} ms median {r['worst']:7.2f} worst   {name}")
    for words, how, median, most, _ in summary(rows):
        print(
            f"{words}, {how}: median over all kinds {median:.2f} ms, slowest kind {most:.2f} ms "
            f"(a screen frame is {FRAME} ms)"
        )


if __name__ == "__main__":
    main()
