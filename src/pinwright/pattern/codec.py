"""A garment as plain data and back, so that a frozen draft travels inside its order.

Arrays are kept with all their digits (shortest repr that reads back the same float), so a draft
read back is the draft that was cut, bit for bit.
"""

from __future__ import annotations

import base64
import json
import zlib
from typing import Any

import numpy as np

from pinwright.errors import OrderError
from pinwright.geometry.path import Path
from pinwright.pattern.garment import Garment, PlaceEdge
from pinwright.pattern.piece import Dart, Edge, Line, Mark, Piece
from pinwright.pattern.seam import (
    Corner,
    Give,
    Junction,
    Ref,
    Seam,
    Sewn,
    Station,
    Stretch,
    Target,
    Width,
)

VERSION = 1


def to_plain(garment: Garment) -> dict[str, Any]:
    """The garment as JSON-ready data."""
    return {
        "version": VERSION,
        "style": garment.style,
        "title": garment.title,
        "pieces": [_piece_out(p) for p in garment.pieces],
        "seams": [_seam_out(s) for s in garment.seams],
        "junctions": [
            [j.name, _corner_out(j.a), _corner_out(j.b) if j.b else None, j.angle, j.share]
            for j in garment.junctions
        ],
        "targets": [
            {
                "name": t.name,
                "measure": t.measure,
                "body": t.body,
                "ease": t.ease,
                "factor": t.factor,
                "tolerance": t.tolerance,
                "parts": [
                    [p.piece, p.start, p.end] if isinstance(p, Width) else [p.piece, p.edge]
                    for p in t.parts
                ],
            }
            for t in garment.targets
        ],
        "places": {k: [[e.part, e.piece, e.edge] for e in v] for k, v in garment.places.items()},
        "facts": dict(garment.facts),
        "choices": dict(garment.choices),
        "estimated": list(garment.estimated),
    }


def from_plain(data: dict[str, Any]) -> Garment:
    """The garment from :func:`to_plain`'s data.

    Raises:
        OrderError: a newer version or data that is not a garment.
    """
    if not isinstance(data, dict):
        raise OrderError("The frozen draft in the order is damaged (it is no garment).")
    if data.get("version") != VERSION:
        raise OrderError(
            f"The frozen draft has version {data.get('version')!r}; this pinwright reads {VERSION}."
        )
    try:
        return Garment(
            style=data["style"],
            title=data["title"],
            pieces=tuple(_piece_in(p) for p in data["pieces"]),
            seams=tuple(_seam_in(s) for s in data["seams"]),
            junctions=tuple(
                Junction(n, Corner(*a), Corner(*b) if b else None, angle, share)
                for n, a, b, angle, share in data["junctions"]
            ),
            targets=tuple(
                Target(
                    t["name"],
                    t["measure"],
                    t["body"],
                    t["ease"],
                    tuple(Width(*p) if len(p) == 3 else Sewn(*p) for p in t["parts"]),
                    t["factor"],
                    t["tolerance"],
                )
                for t in data["targets"]
            ),
            places={k: tuple(PlaceEdge(*e) for e in v) for k, v in data["places"].items()},
            facts=data["facts"],
            choices=data["choices"],
            estimated=tuple(data["estimated"]),
        )
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as err:
        raise OrderError(f"The frozen draft in the order is damaged ({err}).") from err


def pack(garment: Garment) -> str:
    """The garment as one line of text, compressed."""
    raw = json.dumps(to_plain(garment), separators=(",", ":")).encode()
    return base64.b85encode(zlib.compress(raw, 9)).decode("ascii")


def unpack(text: str) -> Garment:
    """The garment from :func:`pack`'s text.

    Raises:
        OrderError: the text was changed or cut short.
    """
    try:
        raw = zlib.decompress(base64.b85decode(text))
        data = json.loads(raw)
    except (ValueError, zlib.error) as err:
        raise OrderError(
            "The frozen draft in the order cannot be read (it was changed or cut short); restore "
            "the order from a copy."
        ) from err
    return from_plain(data)


def _piece_out(p: Piece) -> dict[str, Any]:
    return {
        "name": p.name,
        "title": p.title,
        "cut": p.cut,
        "layer": p.layer,
        "fold": p.fold,
        "home": p.home,
        "follows": p.follows,
        "stage": p.stage,
        **({"fall": True} if p.fall else {}),
        **({"count": p.count} if p.count != 1 else {}),
        "grain": p.grain.tolist(),
        "edges": [
            {
                "name": e.name,
                "start": e.start,
                "end": e.end,
                "runs": [r.ctrl.tolist() for r in e.runs],
                "darts": list(e.darts),
                "stations": {k: list(v) for k, v in e.stations.items()},
                # a taper only where there is one: older drafts have three numbers
                "cloth": [
                    e.allowance,
                    e.reserve,
                    e.least,
                    *([e.reserve_to] if e.reserve_to else []),
                ],
                **({"corner": e.corner} if e.corner else {}),
            }
            for e in p.edges
        ],
        "darts": [[d.name, d.edge, d.apex.tolist(), d.place] for d in p.darts],
        "lines": [[x.name, x.kind, x.path.ctrl.tolist()] for x in p.lines],
        "marks": [[m.name, m.kind, m.at.tolist()] for m in p.marks],
    }


def _piece_in(d: dict[str, Any]) -> Piece:
    return Piece(
        name=d["name"],
        title=d["title"],
        cut=d["cut"],
        layer=d["layer"],
        fold=d["fold"],
        home=d["home"],
        follows=d["follows"],
        stage=d["stage"],
        fall=d.get("fall", False),
        count=d.get("count", 1),
        grain=np.array(d["grain"]),
        edges=tuple(_edge_in(e) for e in d["edges"]),
        darts=tuple(Dart(n, e, np.array(a), place) for n, e, a, place in d["darts"]),
        lines=tuple(Line(n, k, Path(np.array(c))) for n, k, c in d["lines"]),
        marks=tuple(Mark(n, k, np.array(a)) for n, k, a in d["marks"]),
    )


def _edge_in(e: dict[str, Any]) -> Edge:
    allowance, reserve, least, *taper = e["cloth"]
    return Edge(
        e["name"],
        e["start"],
        e["end"],
        tuple(Path(np.array(r)) for r in e["runs"]),
        tuple(e["darts"]),
        {k: (v[0], v[1]) for k, v in e["stations"].items()},
        allowance,
        reserve,
        least,
        (taper[0][0], taper[0][1], float(taper[0][2])) if taper else None,
        e.get("corner", ""),
    )


def _corner_out(c: Corner) -> list[str]:
    return [c.piece, c.edge, c.across]


def _seam_out(s: Seam) -> dict[str, Any]:
    return {
        "name": s.name,
        "kind": s.kind,
        "title": s.title,
        "a": [[r.piece, r.edge, r.reverse] for r in s.a],
        "b": [[r.piece, r.edge, r.reverse] for r in s.b],
        "stations": [[x.name, x.a, x.b, x.notch] for x in s.stations],
        "stretches": [[x.planned, x.low, x.high] for x in s.stretches],
        "anchor": s.anchor,
        "gives": [[g.on, g.at, g.rank, g.low, g.high] for g in s.gives],
        "stitch": s.stitch,
        "seam_type": s.seam_type,
        "mirror": s.mirror,
    }


def _seam_in(d: dict[str, Any]) -> Seam:
    return Seam(
        d["name"],
        d["kind"],
        tuple(Ref(*r) for r in d["a"]),
        tuple(Ref(*r) for r in d["b"]),
        tuple(Station(*x) for x in d["stations"]),
        tuple(Stretch(*x) for x in d["stretches"]),
        d["anchor"],
        tuple(Give(*g) for g in d["gives"]),
        d["stitch"],
        d["seam_type"],
        d["mirror"],
        d["title"],
    )
