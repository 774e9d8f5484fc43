"""The whole matrix: every body of the open data set, every correction, a thousand random ledgers.

Sharded over the cores and resumable: each body's results are a file in the output folder, kept
until the code changes. Run as ``python -m pinwright.workshop.prove --out prove-out``.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import sys
import time
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict
from pathlib import Path
from typing import Any

from pinwright.errors import PinwrightError
from pinwright.measures import complete, read_record
from pinwright.workshop.trials import Trial, attempt, drafted, random_ledger, singles

VARIANTS: tuple[tuple[str, dict[str, object]], ...] = (
    ("trousers", {"fit": "loose"}),
    ("trousers", {"fit": "regular"}),
    ("trousers", {"fit": "slim"}),
    ("jacket", {"back": "yoke"}),
    ("jacket", {"back": "shoulder_dart"}),
)
MATRIX = (VARIANTS[0], VARIANTS[3], VARIANTS[4])
"""The variants that every correction is tried on; all five are drafted and checked."""
LEDGERS = 1000


def body_trials(index: int) -> list[Trial]:
    """All trials of one woman of the data set."""
    from pinwright.measures.bdims import women

    people = women()
    body = complete(read_record(people[index]))
    found: list[Trial] = []
    for variant in VARIANTS:
        style, choices = variant
        label = f"draft {style} {' '.join(map(str, choices.values()))}"
        try:
            garment = drafted(style, body, choices)
        except PinwrightError as err:
            found.append(Trial(label, "refused", str(err)))
            continue
        found.append(attempt(label, garment, ()))
        if variant not in MATRIX:
            continue
        for name, correction in singles(garment):
            found.append(attempt(f"{style}: {name} ({correction.form})", garment, (correction,)))
        rng = random.Random(f"{index} {style}")
        share = -(-LEDGERS // (len(people) * len(MATRIX)))
        for _ in range(share):
            found.append(attempt(f"{style}: random ledger", garment, random_ledger(garment, rng)))
    return found


def code_mark() -> str:
    """A digest of the package's code: results of other code are not resumed."""
    root = Path(__file__).resolve().parents[1]
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _shard(index: int, folder: str, mark: str) -> int:
    path = Path(folder) / f"body-{index:03d}.json"
    if path.exists() and json.loads(path.read_text()).get("code") == mark:
        return index
    trials = [asdict(t) for t in body_trials(index)]
    fresh = path.with_suffix(".tmp")
    fresh.write_text(json.dumps({"code": mark, "trials": trials}))
    os.replace(fresh, path)
    return index


def summary(trials: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    """Counts by name: tried, good, refused, wrong, and one example of each refusal and fault."""
    rows: dict[str, dict[str, Any]] = defaultdict(
        lambda: {"tried": 0, "good": 0, "refused": 0, "wrong": 0, "says": ""}
    )
    for t in trials:
        row = rows[t["name"]]
        row["tried"] += 1
        row[t["status"]] += 1
        if t["status"] == "wrong" or (t["status"] == "refused" and not row["says"]):
            row["says"] = t["says"]
    return dict(rows)


def page(rows: dict[str, dict[str, Any]], bodies: int, seconds: float, mark: str) -> str:
    """The figures as a page for docs/validation."""
    total = {k: sum(r[k] for r in rows.values()) for k in ("tried", "good", "refused", "wrong")}
    lines = [
        "# The whole matrix",
        "",
        f"`make prove` on {bodies} women of the open data set `bdims` (openintro; Heinz, Peterson, "
        "Johnson and Kerk 2003), missing measures estimated. The data has no taped trunk lengths "
        "and no true bust: this proves robustness, not fit.",
        "",
        f"{total['tried']} trials: {total['good']} good, {total['refused']} refused with a reason, "
        f"{total['wrong']} wrong. {seconds / 60:.0f} minutes on {os.cpu_count()} cores, code "
        f"{mark}.",
        "",
        "| trial | tried | good | refused | wrong | refused % |",
        "|---|---:|---:|---:|---:|---:|",
    ]
    for name, r in sorted(rows.items()):
        share = 100 * r["refused"] / r["tried"]
        lines.append(
            f"| {name} | {r['tried']} | {r['good']} | {r['refused']} | {r['wrong']} | {share:.1f} |"
        )
    said = {n: r["says"] for n, r in sorted(rows.items()) if r["says"]}
    if said:
        lines += ["", "## What was refused or wrong (one example each)", ""]
        lines += [f"- {name}: {says}" for name, says in said.items()]
    return "\n".join(lines) + "\n"


def main(argv: list[str] | None = None) -> int:
    """Run the matrix; exit 1 when anything is wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", default="prove-out")
    parser.add_argument("--bodies", type=int, default=0, help="only the first so many (0: all)")
    parser.add_argument("--every", type=int, default=1, help="only every so many-th body")
    parser.add_argument("--page", default="", help="write the figures to this file")
    args = parser.parse_args(argv)
    from pinwright.measures.bdims import women

    try:
        count = len(women())
    except PinwrightError as err:
        print(f"prove: {err}", file=sys.stderr)
        return 2
    chosen = list(range(0, args.bodies or count, args.every))
    folder = Path(args.out)
    folder.mkdir(parents=True, exist_ok=True)
    mark = code_mark()
    started = time.monotonic()
    with ProcessPoolExecutor() as pool:
        waiting = [pool.submit(_shard, i, str(folder), mark) for i in chosen]
        for done, future in enumerate(as_completed(waiting), 1):
            future.result()
            spent = time.monotonic() - started
            left = spent / done * (len(chosen) - done)
            print(
                f"\r{done}/{len(chosen)} bodies, about {left / 60:.0f} min left ",
                end="",
                flush=True,
                file=sys.stderr,
            )
    print(file=sys.stderr)
    trials: list[dict[str, Any]] = []
    for i in chosen:
        trials += json.loads((folder / f"body-{i:03d}.json").read_text())["trials"]
    rows = summary(trials)
    text = page(rows, len(chosen), time.monotonic() - started, mark)
    (folder / "matrix.md").write_text(text)
    if args.page:
        Path(args.page).write_text(text)
    wrong = sum(r["wrong"] for r in rows.values())
    print(text if wrong else "\n".join(text.splitlines()[:6]))
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
