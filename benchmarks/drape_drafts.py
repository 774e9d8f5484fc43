"""Our own drafts hung: women of the open data in both garments at three eases, read and judged.

python -m benchmarks.drape_drafts --women 30 --out drafts.jsonl; --told drafts.jsonl prints
the table. Rows already in the file are left out, so a run can be taken up again; --keep FOLDER and
--again FOLDER judge the same rests anew.
"""

from __future__ import annotations

import argparse
import json
import pickle
from collections import defaultdict
from pathlib import Path
from typing import Any

import numpy as np

from pinwright.drape.cloth import handle
from pinwright.drape.data import Hung
from pinwright.drape.draping import Garb, draped
from pinwright.drape.reading import read
from pinwright.drape.reading.judge import judge
from pinwright.errors import PinwrightError
from pinwright.figure.figure import Figure, figure_of
from pinwright.figure.landmarks import Landmarks
from pinwright.fitting.ledger import fit
from pinwright.measures.bdims import women
from pinwright.measures.estimate import Body, complete
from pinwright.measures.record import read_record
from pinwright.workshop.trials import drafted

EASES = {
    "trousers": ("fit", ("slim", "regular", "loose")),
    "jacket": ("ease", ("slim", "regular", "loose")),
}
CLOTH = {"trousers": "wool suiting, middle weight", "jacket": "wool suiting, middle weight"}


def hung(body: Body, figure: Figure, style_name: str, ease: str, edge: float) -> Hung:
    """A garment of a body on her figure."""
    fitted = fit(drafted(style_name, body, {EASES[style_name][0]: ease}), [])
    garb = Garb(
        fitted.garment, fitted.right.by_name, fitted.left.by_name, handle(CLOTH[style_name])
    )
    return draped(garb, figure, edge=edge, enough=0.2)


def judged(h: Hung, marks: Landmarks) -> dict[str, Any]:
    """What a hung garment tells."""
    r = read(h, marks.points)
    data = r.as_json()
    return {
        "rest": h.rest.residual,
        "seconds": h.rest.seconds,
        "doubts": list(r.doubts),
        "remarks": list(h.remarks),
        "places": {
            f"{p['place']} {p['side']}".strip(): [
                p["strain_along"],
                p["strain_across"],
                p["strain_across_peak"],
                p["gap"],
                p["pressure"],
            ]
            for p in data["places"]
        },
        "levels": data["levels"],
        "folds": [f["says"] for f in data["folds"]],
        "signs": [[s.kind, s.place, s.side, s.amount, s.says] for s in judge(r) if s.wrong],
    }


def main() -> None:
    """Run, or tell a finished run."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--women", type=int, default=30)
    parser.add_argument("--edge", type=float, default=2.0)
    parser.add_argument("--out", type=Path, default=Path("drafts.jsonl"))
    parser.add_argument("--style", choices=tuple(EASES), help="one of them only")
    parser.add_argument("--told", type=Path)
    parser.add_argument("--part", default="0/1", help="this process's share, as 0/2 and 1/2")
    parser.add_argument("--keep", type=Path, help="a folder for what hung, to be judged again")
    parser.add_argument("--again", type=Path, help="judges what is in such a folder")
    a = parser.parse_args()
    if a.again:
        told([_again(f) for f in sorted(a.again.glob("*.pkl"))])
        return
    if a.told:
        told([json.loads(line) for line in a.told.read_text().splitlines()])
        return
    done = set()
    if a.out.exists():
        done = {
            (r["woman"], r["style"], r["ease"])
            for r in map(json.loads, a.out.read_text().splitlines())
        }
    people = women()
    chosen = np.linspace(0, len(people) - 1, a.women).round().astype(int)
    mine, parts = (int(k) for k in a.part.split("/"))
    for k in chosen[mine::parts]:
        body = complete(read_record(people[k]))
        figure = None
        for style, (_, eases) in EASES.items():
            if a.style not in (None, style):
                continue
            for ease in eases:
                if (int(k), style, ease) in done:
                    continue
                row: dict[str, Any] = {"woman": int(k), "style": style, "ease": ease}
                try:
                    figure = figure or figure_of(body)
                    h = hung(body, figure, style, ease, a.edge)
                    if a.keep:
                        a.keep.mkdir(exist_ok=True)
                        with (a.keep / f"{k}-{style}-{ease}.pkl").open("wb") as kept:
                            pickle.dump((h, figure.marks), kept)
                    row |= judged(h, figure.marks)
                except (PinwrightError, ArithmeticError) as err:
                    row["refused"] = str(err)
                with a.out.open("a") as out:
                    out.write(json.dumps(row, default=float) + "\n")
                print(k, style, ease, row.get("rest"), row.get("seconds"), row.get("refused", ""))


def _again(file: Path) -> dict[str, Any]:
    h, marks = pickle.loads(file.read_bytes())
    woman, style, ease = file.stem.split("-")
    return {"woman": int(woman), "style": style, "ease": ease} | judged(h, marks)


def told(rows: list[dict[str, Any]]) -> None:
    """Print how often each sign is seen, and how much of it, by garment and ease."""
    groups: dict[tuple[str, str], list[dict[str, Any]]] = defaultdict(list)
    for r in rows:
        groups[r["style"], r["ease"]].append(r)
    for (style, ease), some in sorted(groups.items()):
        good = [r for r in some if "refused" not in r]
        rest = np.array([r["rest"] for r in good])
        print(
            f"\n{style}, {ease}: {len(some)} hung, {len(some) - len(good)} refused, "
            f"residual {np.median(rest):.2f} in the median, {rest.max():.2f} at most, "
            f"{sum(bool(r['doubts']) for r in good)} in doubt"
        )
        seen: dict[tuple[str, str], list[float]] = defaultdict(list)
        for r in good:
            best: dict[tuple[str, str], float] = {}
            for kind, place, _, amount, _ in r["signs"]:
                key = (kind, place)
                best[key] = max(best.get(key, 0.0), abs(amount))
            for key, amount in best.items():
                seen[key].append(amount)
        for (kind, place), amounts in sorted(seen.items(), key=lambda kv: -len(kv[1]))[:25]:
            print(
                f"  {len(amounts):3d} of {len(good)}  {kind:10s} {place:45s} "
                f"median {np.median(amounts):.3f} most {max(amounts):.3f}"
            )


if __name__ == "__main__":
    main()
