"""Outlines from a DXF file, in cm: a block for each piece, or loose lines.

Read by ezdxf; every line entity becomes cubics (arcs of at most 15 degrees a cubic).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from ezdxf.filemanagement import readfile
from ezdxf.lldxf.const import DXFError
from ezdxf.path import Command, make_path
from numpy.typing import NDArray

from pinwright.bringin.outline import Chain
from pinwright.bringin.svg import CM, overruled, unit_size
from pinwright.bringin.svg_path import arc
from pinwright.errors import OrderError
from pinwright.geometry import cubic as cb

Array = NDArray[np.float64]

LINES = {"LWPOLYLINE", "POLYLINE", "LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"}
INSUNITS: dict[int, float] = {1: 2.54, 2: 30.48, 4: 0.1, 5: 1.0, 6: 100.0, 14: 10.0}
"""$INSUNITS in cm: inches, feet, millimetres, centimetres, metres, decimetres."""

_WORDS = {
    "centimetres": 1.0, "centimeters": 1.0, "cm": 1.0,
    "millimetres": 0.1, "millimeters": 0.1, "mm": 0.1, "inches": 2.54, "in": 2.54,
}  # fmt: skip
GRAIN, NOTCH, MIRROR, SEWN = "7", "4", "6", "14"
_BREAK = 12


@dataclass(eq=False)
class Block:
    """What stands in one block beside its lines: words ("key": "value"), grain and notches."""

    said: dict[str, str] = field(default_factory=dict)
    grain: list[Array] = field(default_factory=list)
    notches: list[Array] = field(default_factory=list)


def dxf_chains(
    path: Path, unit: str | None = None
) -> tuple[list[Chain], dict[str, Block], list[str]]:
    """Every line of a DXF file, cm, by layer and block; what stands beside it; and remarks.

    ``unit`` is what one unit of the drawing is, where the file does not say or is not believed.

    Raises:
        OrderError: no such file, no DXF, or a unit that is unknown or not said.
    """
    try:
        doc: Any = readfile(path)
    except FileNotFoundError as err:
        raise OrderError(f"There is no file {path}.") from err
    except (OSError, DXFError, UnicodeDecodeError, ValueError) as err:
        raise OrderError(f"{path} cannot be read as DXF ({err}).") from err
    chains: list[Chain] = []
    blocks: dict[str, Block] = {}
    places = list(doc.modelspace())
    loose = [e for e in places if e.dxftype() != "INSERT"]
    groups: list[tuple[str, list[Any]]] = [("", loose)] if loose else []
    used: dict[str, int] = {}
    for e in places:
        if e.dxftype() == "INSERT":
            used[e.dxf.name] = used.get(e.dxf.name, 0) + 1
            many = "" if used[e.dxf.name] == 1 else f" {used[e.dxf.name]}"
            groups.append((e.dxf.name + many, _inside(e, 0)))
    if not groups:
        # a file of blocks alone, none of them placed
        groups = [(b.name, list(b)) for b in doc.blocks if not b.name.startswith("*")]
    stated = _stated(doc, groups)
    scale = _scale(doc, unit, stated, path)
    for name, entities in groups:
        block = blocks.setdefault(name, Block())
        for e in entities:
            _take(e, name, scale, chains, block)
    # a net line that is left open at the fold is closed by the mirror line
    sewn = {c.group for c in chains if c.label == SEWN}
    chains += [replace(c, label=SEWN) for c in chains if c.label == MIRROR and c.group in sewn]
    told = overruled(unit, stated, path) if unit is not None else []
    return chains, blocks, told


def _inside(insert: Any, depth: int) -> list[Any]:
    found: list[Any] = []
    for e in insert.virtual_entities():
        if e.dxftype() == "INSERT" and depth < _BREAK:
            found += _inside(e, depth + 1)
        else:
            found.append(e)
    return found


def _take(e: Any, name: str, scale: float, chains: list[Chain], block: Block) -> None:
    kind, layer = e.dxftype(), str(e.dxf.layer)
    if kind in LINES:
        for ctrl in _cubics(e):
            chains.append(Chain(ctrl * scale, layer, name))
            if layer == GRAIN and kind == "LINE":
                block.grain.append(np.stack([ctrl[0, 0], ctrl[-1, 3]]) * scale)
    elif kind == "POINT" and layer == NOTCH:
        block.notches.append(np.array([e.dxf.location.x, e.dxf.location.y]) * scale)
    elif kind in ("TEXT", "MTEXT"):
        key, colon, value = str(e.plain_text()).partition(":")
        if colon:
            block.said.setdefault(key.strip().lower(), value.strip())


def _code(doc: Any) -> int:
    return int(doc.header.get("$INSUNITS", 0)) if doc.dxfversion >= "AC1015" else 0


def _scale(doc: Any, unit: str | None, stated: float | None, path: Path) -> float:
    if unit is not None:
        return unit_size(unit)
    if stated is None:
        raise OrderError(
            f"{path} does not say its unit ($INSUNITS is {_code(doc)}); give it with --unit, one "
            f"of {', '.join(CM)}."
        )
    return stated


def _stated(doc: Any, groups: list[tuple[str, list[Any]]]) -> float | None:
    """The cm that the file itself says its unit is, if it says so."""
    code = _code(doc)
    if code in INSUNITS:
        return INSUNITS[code]
    said = []
    for _, entities in groups:
        for e in entities:
            if e.dxftype() in ("TEXT", "MTEXT"):
                key, colon, value = str(e.plain_text()).partition(":")
                if colon and key.strip().lower() == "units":
                    said.append(value.strip().split(".")[0].split(" ")[0].lower())
    sizes = {_WORDS[s] for s in said if s in _WORDS}
    return sizes.pop() if len(sizes) == 1 else None


def _cubics(e: Any) -> list[Array]:
    """The cubics of a line entity, a run for each part."""
    if e.dxftype() in ("LWPOLYLINE", "POLYLINE") and getattr(e, "has_arc", False):
        return _bulged(e)
    options = {"segments": 24} if e.dxftype() in ("ARC", "CIRCLE", "ELLIPSE") else {}
    try:
        whole: Any = make_path(e, **options)
    except (TypeError, ValueError, DXFError):
        return []
    found: list[Array] = []
    for part in whole.sub_paths():
        spans: list[Array] = []
        at = _xy(part.start)
        for c in part.commands():
            end = _xy(c.end)
            if c.type == Command.LINE_TO:
                spans.append(cb.line(at, end))
            elif c.type == Command.CURVE4_TO:
                spans.append(np.stack([at, _xy(c.ctrl1), _xy(c.ctrl2), end]))
            elif c.type == Command.CURVE3_TO:
                q = _xy(c.ctrl)
                spans.append(np.stack([at, at + 2 / 3 * (q - at), end + 2 / 3 * (q - end), end]))
            at = end
        if spans:
            found.append(np.stack(spans))
    return found


def _bulged(e: Any) -> list[Array]:
    """A polyline with arcs: the bulge is the tangent of a quarter of the arc's angle."""
    if e.dxftype() == "LWPOLYLINE":
        rows = [(x, y, b) for x, y, b in e.get_points("xyb")]
    else:
        rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in e.vertices]
    # seen from below (a mirrored block) the arcs turn the other way
    below = float(e.dxf.extrusion.z) < 0
    ends = [np.array([-x if below else x, y]) for x, y, _ in rows]
    spans: list[Array] = []
    for i in range(len(rows) if e.is_closed else len(rows) - 1):
        p, q, b = ends[i], ends[(i + 1) % len(rows)], rows[i][2] * (-1 if below else 1)
        chord = float(np.hypot(*(q - p)))
        if chord < 1e-12:
            continue
        if abs(b) < 1e-9:
            spans.append(cb.line(p, q))
        else:
            r = chord * (1 + b * b) / (4 * abs(b))
            spans += arc(p, r, r, 0.0, abs(b) > 1.0, b > 0, q)
    return [np.stack(spans)] if spans else []


def _xy(v: Any) -> Array:
    return np.array([v.x, v.y])
