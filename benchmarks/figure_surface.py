"""The figure's surface: where it passes through itself, and what the finer surface changes.

Over the open body as it is and as it stands, the demo client, so many women of bdims (evenly
spread) and so many of the made-up bodies of ``benchmarks/figure.py``. ``--crossing``: which parts
cross on how many bodies, how deep, how long the search takes. ``--fine``: by how much girths and
volume change when the finer surface is taped, its edges, its creases against the coarse ones, and
whether it crosses itself anew. Times are processor time on one core.
"""

from __future__ import annotations

import argparse
import time
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from figure import extremes
from pinwright.errors import PinwrightError
from pinwright.figure.body.model import Array, Whole, body, mean
from pinwright.figure.body.standing import stood_mean
from pinwright.figure.crossing import NAMES, TOLD, crossing, parts
from pinwright.figure.figure import figure_of
from pinwright.figure.fine import KEPT, fine
from pinwright.figure.landmarks import landmarks
from pinwright.figure.tape.tape import taped
from pinwright.measures import complete, read_record
from pinwright.measures.bdims import women

GIRTHS = (
    *("bust_girth", "waist_girth", "hip_girth", "thigh_girth", "upper_arm_girth"),
    *("under_bust_girth", "top_hip_girth", "neck_girth", "knee_girth", "calf_girth", "weight"),
)

Some = NDArray[np.bool_]

Surfaces = Mapping[str, list[tuple[str, Array]]]


def records(count: int) -> Iterator[tuple[str, str, Mapping[str, object]]]:
    """Set, name and record of every figure that is made."""
    order = files("pinwright.workshop").joinpath("demo_order.toml").read_text(encoding="utf-8")
    yield "demo", "demo", tomllib.loads(order)["measures"]
    everyone = women()
    for k in np.linspace(0, len(everyone) - 1, count).round().astype(int).tolist():
        yield "women", f"woman {k}", everyone[k]
    for k, (name, given) in enumerate(list(extremes())[:count]):
        yield "extremes", f"{k}: {name}", given


def surfaces(count: int) -> Surfaces:
    """By set the names and surfaces (n, 3), cm."""
    n = body().n
    found = defaultdict(list)
    found["as in the data"] = [("mean", mean()[:n])]
    found["stood"] = [("mean", stood_mean() - [0.0, 0.0, stood_mean()[:, 2].min()])]
    for kind, name, record in records(count):
        try:
            found[kind].append((name, figure_of(complete(read_record(record))).points))
        except PinwrightError as error:
            print(f"{kind}, {name}: {error}")
    return found


def spread(values: Iterable[float], form: str = ".2f") -> str:
    """Median, 95 % and the most of some values, as a person reads them."""
    v = np.array(list(values))
    return " / ".join(f"{x:{form}}" for x in (np.median(v), np.quantile(v, 0.95), v.max()))


def crossings(of: Surfaces) -> None:
    """Which parts cross on how many bodies, and how deep."""
    crossing(stood_mean(), body().faces, parts())
    for kind, people in of.items():
        took, remarks = [], 0
        deepest: dict[tuple[str, str], dict[str, tuple[float, float]]] = defaultdict(dict)
        for name, points in people:
            began = time.process_time()
            found = crossing(points, body().faces, parts())
            took.append(time.process_time() - began)
            remarks += found.remark() is not None
            for place in found.places:
                one, other = (p.removeprefix("left ").removeprefix("right ") for p in place.parts)
                best = deepest[one, other].get(name, (-1.0, 0.0))
                deepest[one, other][name] = max(best, (place.depth, place.length))
        print(f"{kind}: {len(people)} bodies, {remarks} told; {spread(took)} s")
        for (one, other), by in sorted(deepest.items()):
            depth = [d for d, _ in by.values()]
            worst = max(by, key=lambda k: by[k])
            print(
                f"  {one} - {other}: on {len(by)}, over {TOLD} cm on "
                f"{sum(d >= TOLD for d in depth)}; depth {spread(depth)}, "
                f"length {spread(length for _, length in by.values())} cm; deepest: {worst}"
            )


def creases(points: Array, faces: Whole, some: Some) -> Array:
    """The angles between neighbours among some faces, degrees."""
    corner = points[faces]
    n = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    n /= np.linalg.norm(n, axis=1, keepdims=True)
    a, c = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    key, face = a * len(points) + c, np.repeat(np.arange(len(faces)), 4)
    order = np.argsort(key)
    other = face[order[np.searchsorted(key[order], c * len(points) + a)]]
    both = some[face] & some[other]
    cosine = np.einsum("ij,ij->i", n[face[both]], n[other[both]])
    found: Array = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return found


def finer(of: Surfaces) -> None:
    """What the finer surface changes."""
    began = time.process_time()
    made = fine()
    kept = np.isin(parts(), [NAMES.index(k) for k in KEPT])
    own = kept[body().faces].sum(axis=1) == 0
    print(
        f"{made.stencil.shape[0]} vertices, {len(made.faces)} quads, of these "
        f"{own[made.coarse].sum()} on trunk, neck and limbs; {made.stencil.nnz} entries, made in "
        f"{time.process_time() - began:.1f} s"
    )
    for kind, people in of.items():
        took, deeper = [], []
        change: dict[str, list[float]] = defaultdict(list)
        for name, points in people:
            began = time.process_time()
            dense = made.points(points)
            took.append(1000.0 * (time.process_time() - began))
            if name in ("mean", "demo"):
                f = made.faces[own[made.coarse]]
                long = np.linalg.norm(dense[f] - dense[np.roll(f, -1, axis=1)], axis=2)
                bent = creases(dense, made.faces, own[made.coarse])
                print(f"{kind}: edges {spread(long.ravel())} cm")
                print(f"  creases, degrees: {spread(bent, '.1f')}")
                print(f"  coarse: {spread(creases(points, body().faces, own), '.1f')}")
            was = crossing(points, body().faces, parts())
            now = crossing(dense, made.faces, made.part)
            faces = body().faces
            near = np.isin(faces, faces[np.unique(was.faces)]).sum(axis=1) > 0
            anew = int((~near[made.coarse[now.faces]].all(axis=1)).sum())
            if anew:
                print(f"  {kind}, {name}: {anew} pairs cross anew")
            depth = [max((p.depth for p in c.places), default=0.0) for c in (was, now)]
            deeper.append(depth[1] - depth[0])
            if kind == "as in the data":
                continue
            try:
                marks = landmarks(points)
                before = taped(points, body().faces, marks)
                after = taped(dense, made.faces, marks)
            except PinwrightError as error:
                print(f"  {kind}, {name}: {error}")
                continue
            for term in GIRTHS:
                change[term].append(after[term] - before[term])
        print(f"{kind}: {len(people)} bodies; {spread(took)} ms; deeper {spread(deeper)} cm")
        for term, values in change.items():
            print(f"  {term}: {np.mean(values):+.3f}, size {spread(map(abs, values), '.3f')}")


def main() -> None:
    """See the module's docstring."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--crossing", action="store_true")
    ask.add_argument("--fine", action="store_true")
    ask.add_argument("--count", type=int, default=60)
    asked = ask.parse_args()
    of = surfaces(asked.count)
    if asked.crossing:
        crossings(of)
    if asked.fine:
        finer(of)


if __name__ == "__main__":
    main()
