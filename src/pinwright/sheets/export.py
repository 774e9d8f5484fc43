"""A garment as JSON for anybody to re-measure with other tools; see docs/export-format.md.

Lengths in cm rounded to 1e-4; polylines whose chords lie within 0.01 cm of the curves.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinwright.cutting.cutline import cut_line
from pinwright.fitting.ledger import Fitted, Half
from pinwright.fitting.plan import SeamPlan, plan
from pinwright.fitting.walking import stations
from pinwright.geometry import curves
from pinwright.pattern.garment import Derive
from pinwright.pattern.piece import Edge, Line, Piece
from pinwright.pattern.seam import Ref
from pinwright.sheets.drawn import Side, alike, marked_alike
from pinwright.sheets.notches import NotchMark, notches
from pinwright.sheets.writing import write_whole

Array = NDArray[np.float64]

TOLERANCE = 0.01
"""How far the chords of the polylines may lie from the curves, cm."""


def exported(fitted: Fitted, derive: Derive | None = None) -> dict[str, Any]:
    """The garment as plain data.

    Pieces and seams that are the same on both sides come once, with side "both"; else right and
    left come apart, each in the coordinates of its side's draft.
    """
    garment = fitted.garment
    pieces: list[dict[str, Any]] = []
    seams: list[dict[str, Any]] = []
    sides: dict[Side, Half] = {"right": fitted.right, "left": fitted.left}
    own = {side: _with_derived(half, derive) for side, half in sides.items()}
    marks = {side: notches(half, own[side].values()) for side, half in sides.items()}
    for name, piece in own["right"].items():
        same = fitted.right is fitted.left or (
            alike(piece, own["left"][name]) and marked_alike(marks["right"], marks["left"], name)
        )
        for side in sides:
            if side == "right" or not same:
                said = "both" if same else side
                pieces.append(_piece(own[side][name], said, marks[side].get(name, ())))
    p = plan(garment)
    for sp in p.seams:
        written = {side: _seam(half, sp) for side, half in sides.items()}
        if written["right"] == written["left"]:
            seams.append({**written["right"], "side": "both"})
        else:
            seams += [{**written[side], "side": side} for side in sides]
    return {
        "format": 1,
        "style": garment.style,
        "title": garment.title,
        "estimated": list(garment.estimated),
        "unit": "cm",
        "tolerance": TOLERANCE,
        "pieces": pieces,
        "seams": seams,
    }


def export_json(fitted: Fitted, derive: Derive | None = None) -> str:
    """The export as JSON text."""
    return json.dumps(exported(fitted, derive), ensure_ascii=False, separators=(",", ":")) + "\n"


def write_export(path: Path | str, fitted: Fitted, derive: Derive | None = None) -> Path:
    """Write the export, whole or not at all."""
    return write_whole(path, export_json(fitted, derive).encode())


def _with_derived(half: Half, derive: Derive | None) -> dict[str, Piece]:
    own = dict(half.by_name)
    if derive is not None:
        own |= {p.name: p for p in derive(half.by_name, replace(half.garment, facts=half.facts))}
    return own


def _r(value: float) -> float:
    return round(float(value), 4) + 0.0


def _points(points: Iterable[Any]) -> list[list[float]]:
    return [[_r(x), _r(y)] for x, y in points]


def _closed(lines: list[Array]) -> list[list[float]]:
    ring = np.concatenate([line[:-1] for line in lines] + [lines[0][:1]])
    return _points(ring)


def _edge(edge: Edge) -> list[list[float]]:
    """The runs of an edge one after another; the mouth of a dart is crossed straight."""
    runs = [curves.flatten(run.ctrl, TOLERANCE) for run in edge.runs]
    return _points(np.concatenate(runs))


def _piece(piece: Piece, side: str, marks: tuple[NotchMark, ...]) -> dict[str, Any]:
    darts = []
    for dart in piece.darts:
        a, b = piece.mouth(dart.name)
        darts.append(
            {
                "name": dart.name,
                "edge": dart.edge,
                "legs": [_points([a, dart.apex]), _points([b, dart.apex])],
                "apex": _points([dart.apex])[0],
                "intake": _r(np.hypot(*(b - a))),
            }
        )
    return {
        "name": piece.name,
        "side": side,
        "layer": piece.layer,
        "cut": piece.cut,
        "net": _closed([curves.flatten(p.ctrl, TOLERANCE) for p in piece.outline(caps=True)]),
        "cut_line": _points(cut_line(piece, TOLERANCE)),
        "edges": {e.name: _edge(e) for e in piece.edges},
        "darts": darts,
        "notches": [
            {"name": m.name, "edge": m.edge, "at": _points([m.at])[0], "count": m.count}
            for m in marks
        ],
        "openings": [
            {
                "name": line.name.replace("_", " "),
                "edge": _edge_of(piece, line),
                "line": _points(curves.flatten(line.path.ctrl, TOLERANCE)),
                "length": _r(line.path.length),
            }
            for line in piece.lines
            if line.kind == "opening"
        ],
        "balance_lines": {
            line.name: _points(curves.flatten(line.path.ctrl, TOLERANCE))
            for line in piece.lines
            if line.kind in ("balance", "crease", "plumb")
        },
        "grain": _points(piece.grain),
        "fold": piece.fold if piece.cut == "fold" else None,
    }


def _edge_of(piece: Piece, line: Line) -> str | None:
    """The edge a line lies on from end to end, None for one inside the piece."""
    ends = (line.path.start, line.path.end)
    for e in piece.edges:
        near = [min(run.nearest(p)[1] for run in e.runs) for p in ends]
        if max(near) < TOLERANCE:
            return e.name
    return None


def _run(refs: tuple[Ref, ...]) -> list[dict[str, Any]]:
    return [{"piece": r.piece, "edge": r.edge, "reverse": r.reverse} for r in refs]


def _seam(half: Half, sp: SeamPlan) -> dict[str, Any]:
    where = stations(half, sp)
    seam = sp.seam
    a, b = half.lengths[sp.a].sum(), half.lengths[sp.b].sum()
    names = [s.name for s in seam.stations]
    stretches = [
        {
            "from": names[i],
            "to": names[i + 1],
            "length_a": _r(where.a[i + 1] - where.a[i]),
            "length_b": _r(where.b[i + 1] - where.b[i]),
            "planned_difference": _r(stretch.planned),
        }
        for i, stretch in enumerate(seam.stretches)
    ]
    return {
        "name": seam.name,
        "a": _run(seam.a),
        "b": _run(seam.b),
        "length_a": _r(a),
        "length_b": _r(b),
        "planned_difference": _r(sum(s.planned for s in seam.stretches)),
        "stretches": stretches,
        "anchor": seam.anchor,
        "gives": [
            {"on": g.on, "at": g.at, "rank": g.rank, "low": g.low, "high": g.high}
            for g in seam.gives
        ],
    }
