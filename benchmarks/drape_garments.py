"""How long the demo's garments take to hang, from nothing and again after the fitting.

``python -m benchmarks.drape_garments [trousers|jacket] [--edge 1.3] [--times 3]``: the first time
is that of a fresh process, which also reads the open body.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from pinwright.drape import skin
from pinwright.drape.cloth import handle
from pinwright.drape.draping import draped, redraped
from pinwright.drape.garb import Garb
from pinwright.workshop.demo import demo_order
from pinwright.workshop.figure import order_figure
from pinwright.workshop.job import run
from pinwright.workshop.order import load

GARMENTS = ("trousers", "jacket")
CLOTH = "wool suiting, middle weight"


def main() -> None:
    """Print what each takes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("garment", nargs="?", choices=GARMENTS, default="trousers")
    parser.add_argument("--edge", type=float, default=1.3, help="sides of triangles, cm")
    parser.add_argument("--times", type=int, default=3)
    a = parser.parse_args()
    path = Path(tempfile.mkdtemp()) / "order.toml"
    path.write_text(demo_order())
    job = run(load(path))
    figure = order_figure(job).figure
    fitted = job.garments[GARMENTS.index(a.garment)]
    before, after = (
        Garb(f.garment, f.right.by_name, f.left.by_name, handle(CLOTH))
        for f in (fitted.before, fitted.after)
    )
    for _ in range(a.times):
        skin._fields.clear()
        h = draped(before, figure, edge=a.edge)
        again = redraped(after, h, figure)
        for what, r in (("from nothing", h.rest), ("again", again.rest)):
            print(
                f"{a.garment}, {h.shell.n} vertices, {what}: {r.seconds:.2f} s, {r.steps} steps, "
                f"residual {r.residual:.3f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
