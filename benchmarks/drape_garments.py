"""How long the demo's garments take to hang, from nothing and again after the fitting.

``python -m benchmarks.drape_garments [trousers|jacket] [--edge 1.3] [--times 3]``: the first time
is that of a fresh process, which also reads the open body.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from pinwright.drape import skin
from pinwright.drape.cloth import handle
from pinwright.drape.draping import draped, redraped
from pinwright.drape.garb import Garb
from pinwright.figure.figure import Figure
from pinwright.workshop.demo import demo_order
from pinwright.workshop.drape import garb_of
from pinwright.workshop.figure import order_figure
from pinwright.workshop.job import run
from pinwright.workshop.order import parse

GARMENTS = ("trousers", "jacket")
CLOTH = "wool suiting, middle weight"


def demo_garbs() -> tuple[Figure, dict[str, tuple[Garb, Garb]]]:
    """The demo's figure, and its garments in one cloth, as cut and as the fitting left them."""
    job = run(parse(demo_order(), Path("order.toml")))
    cloth = handle(CLOTH)
    garbs = {}
    for name, g in zip(GARMENTS, job.garments, strict=True):
        cut, fitted = (
            replace(garb_of(job, g, when)[0], handle=cloth) for when in ("cut", "fitted")
        )
        garbs[name] = cut, fitted
    return order_figure(job).figure, garbs


def main() -> None:
    """Print what each takes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("garment", nargs="?", choices=GARMENTS, default="trousers")
    parser.add_argument("--edge", type=float, default=1.3, help="sides of triangles, cm")
    parser.add_argument("--times", type=int, default=3)
    a = parser.parse_args()
    figure, garbs = demo_garbs()
    cut, fitted = garbs[a.garment]
    for _ in range(a.times):
        skin._fields.clear()
        h = draped(cut, figure, edge=a.edge)
        again = redraped(fitted, h, figure)
        for what, r in (("from nothing", h.rest), ("again", again.rest)):
            print(
                f"{a.garment}, {h.shell.n} vertices, {what}: {r.seconds:.2f} s, {r.steps} steps, "
                f"residual {r.residual:.3f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
