"""The packing engine in a process of its own: one JSON request in, one JSON line per better lay.

Run as ``python -m pinwright.cutting.lay.engine_process``. The engine (spyrrow, MIT) is compiled
code that cannot be stopped and, given something it dislikes, panics with an exception that is not
an ``Exception`` and a backtrace; here neither reaches the program.

Request, one line: ``height``, ``items`` (``id``, ``shape``, ``orientations``, ``demand``),
``seconds``, ``seed``, ``workers``, ``share`` (the part of the time for exploring; 0 leaves it to
the engine). Answers, one line each: ``{"width": ..., "placed": [[id, x, y, degrees], ...]}`` for
every better lay found, and last ``{"done": true}`` or ``{"fault": "..."}``. When stdin closes
the process ends: it never outlives the program that asked.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import threading
import time
from typing import Any

import spyrrow

BEAT = 0.1
"""Seconds between looks at what the engine has found."""


def request(text: str) -> tuple[spyrrow.StripPackingInstance, spyrrow.StripPackingConfig]:
    """The engine's own objects from a request; raises whatever the engine raises."""
    asked: dict[str, Any] = json.loads(text)
    items = [
        spyrrow.Item(
            str(i["id"]),
            [(float(x), float(y)) for x, y in i["shape"]],
            int(i.get("demand", 1)),
            [float(a) for a in i["orientations"]],
        )
        for i in asked["items"]
    ]
    instance = spyrrow.StripPackingInstance("lay", float(asked["height"]), items)
    seconds, share = max(1, round(float(asked["seconds"]))), float(asked.get("share", 0.0))
    times: dict[str, int] = {"total_computation_time": seconds}
    if share > 0.0:
        explore = max(1, round(seconds * share))
        times = {"exploration_time": explore, "compression_time": max(1, seconds - explore)}
        times["total_computation_time"] = None  # type: ignore[assignment]
    config = spyrrow.StripPackingConfig(
        early_termination=bool(asked.get("early", False)),
        num_workers=int(asked.get("workers", 1)),
        seed=int(asked.get("seed", 0)),
        **times,
    )
    return instance, config


def main() -> None:
    """Answer one request."""
    out = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    asked = sys.stdin.readline()

    def leave_with_parent() -> None:
        sys.stdin.read()
        os._exit(0)

    threading.Thread(target=leave_with_parent, daemon=True).start()

    best = float("inf")

    def tell(answer: dict[str, Any]) -> None:
        with contextlib.suppress(BrokenPipeError):
            out.write(json.dumps(answer) + "\n")
            out.flush()

    def offer(found: Any) -> None:
        nonlocal best
        if found.width < best - 1e-9:
            best = float(found.width)
            placed = [[p.id, *p.translation, p.rotation] for p in found.placed_items]
            tell({"width": best, "placed": placed})

    queue = spyrrow.ProgressQueue()
    feasible = {
        int(spyrrow.ReportType.ExplFeas),
        int(spyrrow.ReportType.CmprFeas),
        int(spyrrow.ReportType.Final),
    }
    ended: list[Any] = []

    def solve() -> None:
        try:
            instance, config = request(asked)
            ended.append(instance.solve(config, queue))
        except BaseException as fault:  # the engine's panic is no Exception
            ended.append(fault)

    worker = threading.Thread(target=solve, daemon=True)
    worker.start()
    while worker.is_alive():
        time.sleep(BEAT)
        reports = [found for kind, found in queue.drain() if int(kind) in feasible]
        if reports:
            offer(min(reports, key=lambda found: float(found.width)))
    last = ended[0] if ended else RuntimeError("the engine ended without a word")
    if isinstance(last, BaseException):
        tell({"fault": str(last).splitlines()[0] if str(last) else type(last).__name__})
    else:
        offer(last)
        tell({"done": True})
    os._exit(0)


if __name__ == "__main__":
    main()
