"""What must be quick because it is done over and over: a body completed, a cut line, a reading.

python -m benchmarks.small
"""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from benchmarks.drape_drafts import hung

from pinwright.cutting.cutline import cut_line
from pinwright.drape.draping import FINE
from pinwright.drape.reading import read
from pinwright.figure.figure import figure_of
from pinwright.fitting.ledger import fit
from pinwright.measures.bdims import women
from pinwright.measures.estimate import complete
from pinwright.measures.record import read_record
from pinwright.workshop.trials import drafted


def best(do: Callable[[], object], times: int) -> float:
    """The least time of some, s; once before them without."""
    do()
    found = []
    for _ in range(times):
        begun = perf_counter()
        do()
        found.append(perf_counter() - begun)
    return min(found)


def main() -> None:
    """Print what each takes."""
    record = read_record(women()[0])
    body = complete(record)
    print(f"a body completed: {1e3 * best(lambda: complete(record), 50):.2f} ms (aim 1)")
    fitted = fit(drafted("trousers", body), [])
    pieces = list(fitted.right.by_name.values())
    cut = best(lambda: [cut_line(p) for p in pieces], 15) / len(pieces)
    print(f"a cut line: {1e3 * cut:.2f} ms (aim 2)")
    figure = figure_of(body)
    h = hung(body, figure, "trousers", "regular", FINE)
    took = best(lambda: read(h, figure.marks.points), 3)
    print(f"a reading of {h.shell.n} vertices: {took:.2f} s (aim 1)")


if __name__ == "__main__":
    main()
