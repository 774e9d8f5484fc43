"""What the user is given to name: a picture with the corners numbered, and a file to fill in."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
import tomlkit
from numpy.typing import NDArray

from pinwright.bringin.outline import Outline
from pinwright.sheets.ink import BOLD, FINE, Mark, Stroke, Words
from pinwright.sheets.svg import svg

Array = NDArray[np.float64]

HEAD = """\
Names for the outlines found. The picture beside this file has their numbers, and each corner's.
Corners go anticlockwise. Call a corner "" where an edge runs on through it. An edge runs from each
named corner to the next. Points are [x, y] in cm, as the grid of the picture tells.
Take out the pieces that are none (test squares, frames); docs/bring-in.md tells all the words."""


def template(outlines: Sequence[Outline]) -> str:
    """The file of names to fill in, TOML; outlines that lie in another are left as remarks."""
    doc = tomlkit.document()
    for line in HEAD.splitlines():
        doc.add(tomlkit.comment(line))
    doc["format"] = 1
    doc["garment"] = "old pattern"
    pieces = tomlkit.aot()
    used: set[str] = set()
    within = inner(outlines)
    for i, o in enumerate(outlines, start=1):
        if i in within:
            continue
        k = len(o.corners)
        row = tomlkit.table()
        row.add(tomlkit.comment(described(i, o)))
        for j, other in within.items():
            if other == i:
                row.add(tomlkit.comment(f"inside it: {described(j, outlines[j - 1])}"))
        if o.notches is not None:
            at = ", ".join(f"[{x:.2f}, {y:.2f}]" for x, y in o.notches)
            row.add(tomlkit.comment(f"notches, for stations: {at}"))
        row["outline"] = i
        row["name"] = _name(o, i, used)
        row["corners"] = [f"corner{n}" for n in range(1, k + 1)]
        row["edges"] = [f"edge{n}" for n in range(1, k + 1)]
        row["line"] = "net"
        row["line"].comment("net, or cut: then the net line lies in by the allowance")
        row["cut"] = "pair"
        row["cut"].comment("pair, single, or fold (then say fold = an edge)")
        row["allowance"] = 1.0
        row["allowance"].comment("cm, or { hem = 4.0, edge2 = 1.5 }; 1.0 where nothing is said")
        if o.grain is not None:
            row["grain"] = [[round(float(x), 2) for x in p] for p in o.grain]
        pieces.append(row)
    doc["pieces"] = pieces
    doc.add(tomlkit.nl())
    for line in (
        "[places]",
        'side_seam = ["front.side", "back.side"]',
        "[[seams]]",
        'name = "side"',
        'a = "front.side"',
        'b = "back.side"',
    ):
        doc.add(tomlkit.comment(line))
    return tomlkit.dumps(doc)


def described(i: int, o: Outline) -> str:
    """An outline in words."""
    low, high = box(o)
    where = ", ".join(x for x in (o.group, o.name, f"layer {o.label}" if o.label else "") if x)
    size = f"{high[0] - low[0]:.1f} x {high[1] - low[1]:.1f} cm, {len(o.corners)} corners"
    return f"outline {i}: {size}" + (f" ({where})" if where else "")


def box(o: Outline) -> tuple[Array, Array]:
    """Lower left and upper right of an outline, cm."""
    b = np.array([p.bounds for p in o.paths])
    return b[:, :2].min(axis=0), b[:, 2:].max(axis=0)


def inner(outlines: Sequence[Outline]) -> dict[int, int]:
    """Outlines that lie inside another: number to the number of the smallest that holds it."""
    rings = [
        shapely.Polygon(np.concatenate([p.flatten(0.05)[:-1] for p in o.paths])) for o in outlines
    ]
    found = {}
    for i, ring in enumerate(rings):
        holds = [
            j
            for j, other in enumerate(rings)
            if j != i and other.area > ring.area * (1 + 1e-6) and other.buffer(0.02).covers(ring)
        ]
        if holds:
            found[i + 1] = min(holds, key=lambda j: rings[j].area) + 1
    return found


def _name(o: Outline, i: int, used: set[str]) -> str:
    said = o.said.get("piece name") or o.group or o.name or f"piece{i}"
    name = said.replace(".", " ").replace(":", " ").strip() or f"piece{i}"
    while name in used:
        name = f"{name} {i}"
    used.add(name)
    return name


def numbered_picture(outlines: Sequence[Outline], title: str) -> str:
    """The outlines 1:1 in cm with a grid every 10 cm, their numbers and their corners', as SVG."""
    boxes = [box(o) for o in outlines]
    low = np.floor(np.min([b[0] for b in boxes], axis=0) / 10.0) * 10.0
    high = np.ceil(np.max([b[1] for b in boxes], axis=0) / 10.0) * 10.0
    marks: list[Mark] = []
    for axis in (0, 1):
        for v in np.arange(low[axis], high[axis] + 1.0, 10.0):
            ends = np.array([low, high], dtype=float)
            ends[:, axis] = v
            marks.append(Stroke((ends,), 0.01, (0.1, 0.3), role="grid"))
            at = ends[0] + ([0.1, 0.15] if axis == 0 else [0.1, 0.1])
            marks.append(Words(at, f"{v:g}", 0.5, role="grid"))
    for i, o in enumerate(outlines, start=1):
        marks.append(Stroke(tuple(p.ctrl for p in o.paths), FINE, closed=True, role="outline"))
        middle = (boxes[i - 1][0] + boxes[i - 1][1]) / 2.0
        marks.append(Words(middle, str(i), 2.0, bold=True, anchor="middle", halo=True))
        for n, c in enumerate(o.corners, start=1):
            arm = np.array([0.2, 0.0])
            marks.append(Stroke((np.array([c - arm, c + arm]),), BOLD, role="corner"))
            marks.append(Words(_inside(o, c, middle), str(n), 0.8, anchor="middle", halo=True))
    return svg(tuple(marks), title=title)


def _inside(o: Outline, c: Array, middle: Array) -> Array:
    way = middle - c
    size = float(np.hypot(*way)) or 1.0
    return np.asarray(c + min(1.2, 0.5 * size) * way / size - [0.0, 0.3])
