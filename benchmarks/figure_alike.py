"""Does the same record make the same figure on any machine?

The same records are made into figures in processes of their own, each told to reckon as another
kind of processor does (``OPENBLAS_CORETYPE``: the last figures of sums and products then differ,
as they do between machines) or with two threads; all surfaces are compared with the first. With
``--python PATH`` (given as often as wanted) other Pythons that have pinwright take part too.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

KINDS = ("HASWELL", "NEHALEM", "SANDYBRIDGE", "SKYLAKEX")


def made(women: int, extreme: int) -> np.ndarray:
    """The surfaces (k, n, 3) of some women of bdims and some made-up extremes, cm."""
    from benchmarks.figure import extremes

    from pinwright.figure.figure import figure_of
    from pinwright.measures import complete, read_record
    from pinwright.measures.bdims import women as real

    some = [*real()[:: max(1, 260 // max(women, 1))][:women]]
    some += [given for _, given in list(extremes())[:: max(1, 200 // max(extreme, 1))][:extreme]]
    return np.stack([figure_of(complete(read_record(given))).points for given in some])


def main() -> None:
    """See the module's docstring."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--women", type=int, default=20)
    ask.add_argument("--extremes", type=int, default=20)
    ask.add_argument("--python", action="append", default=[])
    ask.add_argument("--write", type=Path, help=argparse.SUPPRESS)
    asked = ask.parse_args()
    if asked.write:
        np.save(asked.write, made(asked.women, asked.extremes))
        return
    runs = [(sys.executable, kind, "1") for kind in KINDS] + [(sys.executable, KINDS[0], "2")]
    runs += [(python, KINDS[0], "1") for python in asked.python]
    first: np.ndarray | None = None
    with tempfile.TemporaryDirectory() as folder:
        for k, (python, kind, threads) in enumerate(runs):
            path = Path(folder) / f"{k}.npy"
            told = ["--women", str(asked.women), "--extremes", str(asked.extremes)]
            subprocess.run(
                [python, "-m", "benchmarks.figure_alike", *told, "--write", str(path)],
                check=True,
                env={**os.environ, "OPENBLAS_CORETYPE": kind, "OMP_NUM_THREADS": threads},
            )
            found = np.load(path)
            first = found if first is None else first
            off = 10.0 * np.linalg.norm(found - first, axis=2).max(axis=1)
            print(
                f"{python} as {kind}, {threads} threads: {len(off)} figures, at most "
                f"{off.max():.5f} mm off the first; {(off > 0.1).sum()} over 0.1 mm",
                flush=True,
            )


if __name__ == "__main__":
    main()
