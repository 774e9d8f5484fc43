"""Hung garments as the page carries them: whole numbers of 16 bits, packed, as text.

First four bytes with the length of a JSON text (ISO/IEC 21778), the text filled up to a whole
number of four bytes, then the arrays it speaks of one after the other, each filled up so too.
Points are whole numbers of 0.1 mm with y up, fields whole numbers between their least and greatest
value; all little-endian, and the whole packed (RFC 1952).
"""

from __future__ import annotations

import gzip
import json
import struct
from base64 import b64encode
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from pinwright.cutting.sentences import capital
from pinwright.drape.data import Array, Surface, Whole
from pinwright.drape.pictures.legend import LETTERS
from pinwright.drape.pictures.looked import outwards
from pinwright.drape.pictures.scale import QUANTITIES, scale_of
from pinwright.drape.pictures.shown import Shown, hem, worst
from pinwright.drape.surfaces import normals
from pinwright.figure.export import upright
from pinwright.measures.units import LengthUnit

FINE = 0.01
"""The unit of the points, cm."""

UNKNOWN = 0xFFFF
"""What stands for a value that is not a number."""

ALIKE = 0.3
"""The page's figure stands for the body that cloth hangs on if none of its points is further from
one of that, cm: a finer surface has them all, and more between."""

TICK = 1.2
"""Half of the tick at a fold's deeper end, cm."""


def packed(garments: Sequence[Shown], figure: Array | None, unit: LengthUnit) -> str:
    """What the page carries, as base64 text.

    figure: points (n, 3) cm of the figure that the page shows, if it does; where the garments hang
    on it no body is carried. All garments hang on the body of the first.
    """
    blocks: list[NDArray[Any]] = []
    body = garments[0].body
    own = figure is None or not _alike(body, figure)
    if own:
        blocks += [_points(body.points), _corners(body.triangles, len(body.points))]
    told = {
        "fine": FINE / 100.0,
        "body": [len(body.points), len(body.triangles)] if own else None,
        "garments": [_garment(g, unit, blocks) for g in garments],
    }
    text = json.dumps(told, separators=(",", ":"), ensure_ascii=True).encode()
    text += b" " * (-len(text) % 4)
    data = b"".join(b.tobytes() + b"\0" * (-b.nbytes % 4) for b in blocks)
    whole = struct.pack("<I", len(text)) + text + data
    return b64encode(gzip.compress(whole, 9, mtime=0)).decode("ascii")


def _alike(body: Surface, figure: Array) -> bool:
    far: Array = np.asarray(cKDTree(body.points).query(figure)[0])
    return bool(far.max() <= ALIKE)


def _garment(shown: Shown, unit: LengthUnit, blocks: list[NDArray[Any]]) -> dict[str, Any]:
    """A garment in words; its points, corners, fields and lines are added to the blocks."""
    hung = shown.hung
    n = len(hung.points)
    turned = outwards(hung)
    out = normals(hung.points, turned)
    blocks += [_points(hung.points), _corners(turned, n)]
    fields = []
    for quantity in QUANTITIES:
        values = np.asarray(shown.fields[quantity], dtype=float)
        known = values[np.isfinite(values)]
        low, high = (float(known.min()), float(known.max())) if len(known) else (0.0, 0.0)
        span = max(high - low, 1e-9)
        part = np.where(np.isfinite(values), (np.nan_to_num(values) - low) / span, 0.0)
        whole = np.rint(part * (UNKNOWN - 1)).astype("<u2")
        whole[~np.isfinite(values)] = UNKNOWN
        blocks.append(whole)
        scale = scale_of(quantity, unit)
        fields.append(
            {
                "name": quantity,
                "title": scale.title,
                "low": low,
                "span": span,
                "steps": list(scale.steps),
                "labels": list(scale.labels),
                "colours": ["#" + bytes(c).hex() for c in scale.colours],
                "places": [
                    [
                        *_mark(
                            LETTERS[k], _most(p.vertices, values, p.value(quantity)), hung.points
                        ),
                        f"{capital(p.title)}: {p.words(quantity, unit)}",
                    ]
                    for k, p in enumerate(worst(shown.places, quantity))
                ],
            }
        )
    tree = cKDTree(hung.points)
    lines: list[tuple[str, Array]] = [("hem", h) for h in hem(hung)]
    folds = []
    for k, fold in enumerate(shown.folds, 1):
        _, first = tree.query(fold.points[0])
        _, last = tree.query(fold.points[-1])
        lines += [("fold", fold.points), ("fold", _tick(fold.points, out[last]))]
        folds.append(_mark(str(k), int(first), hung.points))
    blocks += [_points(line) for _, line in lines]
    return {
        "name": shown.garment,
        "points": n,
        "triangles": len(turned),
        "fields": fields,
        "lines": [[kind, len(line)] for kind, line in lines],
        "folds": folds,
    }


def _most(vertices: Whole, values: Array, value: float) -> int:
    """Of some vertices that where a field is most, or least where its mean is negative."""
    return int(vertices[int(np.argmax(np.nan_to_num(values[vertices]) * np.sign(value)))])


def _mark(text: str, vertex: int, points: Array) -> list[Any]:
    """Words at a vertex: the words, and the point in m, y up."""
    at = upright(points[vertex][None] / 100.0)[0]
    return [text, [round(float(v), 4) for v in at]]


def _tick(points: Array, out: Array) -> Array:
    """A short line across the end of a fold, on the cloth."""
    way = points[-1] - points[max(0, len(points) - 4)]
    across = np.cross(out, way)
    size = float(np.linalg.norm(across))
    across = across / size if size > 0.0 else np.array([1.0, 0.0, 0.0])
    return np.stack([points[-1] - TICK * across, points[-1] + TICK * across])


def _points(points: Array) -> NDArray[np.int16]:
    """Points (n, 3) cm as whole numbers of :data:`FINE`, y up."""
    found: NDArray[np.int16] = np.rint(upright(points) / FINE).astype("<i2")
    return found


def _corners(triangles: Whole, count: int) -> NDArray[Any]:
    """Triangles in as few bytes as hold the number of their vertices."""
    return triangles.astype("<u2" if count < UNKNOWN else "<u4")
