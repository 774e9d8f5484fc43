"""How long a hundred corrections of a garment take to hang, from where the garment hung before.

``--record FILE`` makes the demo's trousers and a hundred variants of them, each with three
corrections of amounts by chance in the catalogue's usual range, and keeps them. ``--run FILE``
hangs the trousers, then all variants at once on a card (or, with ``--on processor``, one after
another): everything that is needed is in the seconds. Printed as JSON, one object a turn. To run on
a machine without this package's order tools, only FILE is needed.
"""

from __future__ import annotations

import argparse
import json
import lzma
import pickle
import time
from pathlib import Path
from typing import Any

import numpy as np

KINDS = (
    ("front_rise", "front_waist", 1.5),
    ("crotch_depth", "crotch", 1.0),
    ("fork_extension", "back_fork", 1.0),
    ("fork_extension", "front_fork", 0.7),
    ("let_out", "side_seam", 1.0),
    ("seat_wedge", "seat", 1.5),
)
"""Corrections, where, and how much at most either way, cm."""

TOGETHER = 3
"""So many of them in each variant."""


def record(to: Path, many: int) -> None:
    """Makes the garment and its variants, all of them drafted for the same figure."""
    from benchmarks.drape_garments import demo_garbs

    from pinwright.drape.garb import Garb
    from pinwright.drape.gpu.foreseeing import pickled
    from pinwright.fitting.correction import Correction
    from pinwright.fitting.ledger import fit

    figure, garbs = demo_garbs()
    cut = garbs["trousers"][0]
    rng, found = np.random.default_rng(7), []
    while len(found) < many:
        some = rng.choice(len(KINDS), TOGETHER, replace=False)
        notes = []
        for k in sorted(some):
            kind, place, most = KINDS[k]
            amount = round(float(rng.uniform(-most, most)), 1)
            notes.append(Correction(kind, place, "both", {"amount": amount}, {}))
        f = fit(cut.garment, tuple(notes))
        if not f.refused:
            found.append(Garb.of(f, cut.handle))
    to.write_bytes(lzma.compress(pickled((figure, cut, found))))
    print(f"{many} variants in {to.stat().st_size / 1e6:.1f} MB")


def hang(at: Path, edge: float, turns: int, on_card: bool, many: int) -> None:
    """Hangs the garment, then its variants."""
    from pinwright.drape.draping import draped
    from pinwright.drape.gpu.device import available
    from pinwright.drape.variants import redraped_each

    figure, cut, garbs = pickle.loads(lzma.decompress(at.read_bytes()))
    garbs = garbs[:many]
    settle: Any = None
    if on_card:
        from pinwright.drape.gpu.settling import OnCard

        settle = OnCard(str(available()))
    for turn in range(turns):
        begun = time.perf_counter()
        before = draped(cut, figure, edge=edge, settle=settle)
        alone = time.perf_counter() - begun
        begun = time.perf_counter()
        found = redraped_each(garbs, before, figure, settle=settle)
        took = time.perf_counter() - begun
        steps = sorted(h.rest.steps for h in found)
        said = {
            "turn": turn,
            "vertices": before.shell.n,
            "the garment, s": round(alone, 2),
            "variants": len(found),
            "all of them, s": round(took, 2),
            "with the same triangles": sum(
                h.shell.triangles is before.shell.triangles for h in found
            ),
            "at rest": sum(h.rest.residual <= 0.1 for h in found),
            "steps": [steps[0], steps[len(steps) // 2], steps[-1]],
            "layers pass": sum(any("pass through" in r for r in h.remarks) for h in found),
        }
        print(json.dumps(said), flush=True)


def main() -> None:
    """Records, or hangs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--record", type=Path)
    parser.add_argument("--run", type=Path)
    parser.add_argument("--many", type=int, default=100)
    parser.add_argument("--edge", type=float, default=1.3, help="sides of triangles, cm")
    parser.add_argument("--turns", type=int, default=3)
    parser.add_argument("--on", choices=("card", "processor"), default="card")
    a = parser.parse_args()
    if a.record:
        record(a.record, a.many)
    if a.run:
        hang(a.run, a.edge, a.turns, a.on == "card", a.many)


if __name__ == "__main__":
    main()
