"""The figure as the page carries it: a small binary glTF with its levels and plumbs as lines.

The container is that of :func:`pinwright.figure.export.glb`; the points are whole numbers of
0.1 mm (Khronos extension KHR_mesh_quantization), the normals are left to the page, and the whole
is packed (RFC 1952): a third of the size.
"""

from __future__ import annotations

import gzip
from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, Whole
from pinwright.figure.export import TONE, TRIANGLES, UINT, USHORT, contained, upright
from pinwright.figure.landmarks import Landmarks
from pinwright.figure.lines import Kind, Line3, lines
from pinwright.figure.pictures import ALIKE
from pinwright.figure.surface import triangles
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit

SHORT = 5122
LOOP, STRIP = 2, 3
"""glTF's ways of drawing lines: closed, and open."""

FINE = 1e-4
"""The unit of the points, m."""

QUANTIZED = "KHR_mesh_quantization"

LEVELS = (
    "neck", "bust", "under_bust", "waist", "top_hip", "hip", "thigh", "knee", "calf", "ankle"
)  # fmt: skip
"""The levels that are drawn, from the top down: those of trunk and legs."""

PLUMBS = ("plumb_front", "plumb_back", "plumb_ankle", "plumb_waist")


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A line as it is drawn on the body: points (k, 3) cm, and what it is called there.

    kind: ``level`` or ``plumb``. height: over the floor, in words; empty for a plumb. z: that of
    the words, cm. Rings of both legs at one level have the same words.
    """

    kind: Kind
    name: str
    height: str
    z: float
    closed: bool
    points: Array


def packed(points: Array, faces: Whole, marks: Landmarks, unit: LengthUnit) -> str:
    """What the page carries: the glTF file, packed, as base64 text.

    points: (n, 3) cm, every one in a face. faces: (f, 4), anticlockwise seen from outside.
    """
    data = gltf(points, faces, on_body(lines(points, faces, marks), marks, unit))
    return b64encode(gzip.compress(data, 9, mtime=0)).decode("ascii")


def on_body(found: Mapping[str, Line3], marks: Landmarks, unit: LengthUnit) -> tuple[Drawn, ...]:
    """The levels of trunk and legs and the plumbs, with their words, of all lines of a figure.

    A level has the height that the pictures give it. One that is taped elsewhere than there (the
    neck not at the nape, the ankle over its bone) is called a tape, with the height of that.
    """
    drawn = []
    known = {"neck": float(marks["back_neck_point"][2]), **marks.levels}
    for stem in (*LEVELS, *PLUMBS):
        some = {n: found[n] for n in (stem, f"{stem}_left", f"{stem}_right") if n in found}
        middle = {n: float(line.points[:, 2].mean()) for n, line in some.items()}
        pictured = {n: known.get(n, known.get(stem, z)) for n, z in middle.items()}
        elsewhere = any(abs(z - pictured[n]) > ALIKE for n, z in middle.items())
        middle = middle if elsewhere else pictured
        called = f"{label(stem)} tape" if elsewhere else label(stem)
        alike = not middle or max(middle.values()) - min(middle.values()) <= ALIKE
        for name, line in some.items():
            side = name[len(stem) + 1 :]
            z = sum(middle.values()) / len(middle) if alike else middle[name]
            told = "" if line.kind == "plumb" else said(z, unit)
            words = called if alike else f"{side} {called}"
            drawn.append(Drawn(line.kind, words, told, z, line.closed, line.points))
    return tuple(drawn)


def label(stem: str) -> str:
    """A line's name as a person reads it."""
    return stem.replace("_", " ")


def gltf(points: Array, faces: Whole, drawn: Sequence[Drawn]) -> bytes:
    """A binary glTF 2.0 file: the surface, and the lines on it, each a node of its own.

    A line's node has its words under ``extras``: ``kind``, ``name``, ``height``, ``y`` in m.
    """
    wide = len(points) >= 0xFFFF
    corners = triangles(faces).astype("<u4" if wide else "<u2")
    whole = [_whole(points), *(_whole(line.points) for line in drawn)]
    at = np.concatenate(whole)
    starts = np.cumsum([0, *(len(w) for w in whole)]).tolist()
    blocks = (corners.tobytes() + b"\0" * (-corners.nbytes % 4), at.tobytes())
    places: list[dict[str, Any]] = [
        {
            "bufferView": 1,
            "byteOffset": start * at.dtype.itemsize * at.shape[1],
            "componentType": SHORT,
            "count": len(w),
            "type": "VEC3",
            "min": w[:, :3].min(axis=0).tolist(),
            "max": w[:, :3].max(axis=0).tolist(),
        }
        for start, w in zip(starts, whole, strict=False)
    ]
    index = {
        "bufferView": 0,
        "componentType": UINT if wide else USHORT,
        "count": corners.size,
        "type": "SCALAR",
    }
    body = {"attributes": {"POSITION": 0}, "indices": len(places), "mode": TRIANGLES}
    meshes = [{"primitives": [body]}]
    nodes: list[dict[str, Any]] = [{"name": "figure", "mesh": 0, "scale": [FINE] * 3}]
    for i, line in enumerate(drawn, 1):
        way = LOOP if line.closed else STRIP
        meshes.append({"primitives": [{"attributes": {"POSITION": i}, "mode": way}]})
        told = {
            "kind": line.kind,
            "name": line.name,
            "height": line.height,
            "y": round(line.z / 100.0, 4),
        }
        nodes.append({"mesh": i, "scale": [FINE] * 3, "extras": told})
    return contained(
        {
            "asset": {"version": "2.0", "generator": "pinwright"},
            "extensionsUsed": [QUANTIZED],
            "extensionsRequired": [QUANTIZED],
            "scene": 0,
            "scenes": [{"nodes": list(range(len(nodes)))}],
            "nodes": nodes,
            "meshes": meshes,
            "accessors": [*places, index],
            "bufferViews": [
                {"buffer": 0, "byteOffset": 0, "byteLength": len(blocks[0])},
                {
                    "buffer": 0,
                    "byteOffset": len(blocks[0]),
                    "byteLength": len(blocks[1]),
                    "byteStride": 8,
                },
            ],
            "buffers": [{"byteLength": sum(map(len, blocks))}],
            "extras": {"tone": list(TONE)},
        },
        b"".join(blocks),
    )


def _whole(points: Array) -> NDArray[np.int16]:
    """Points (n, 3) cm as whole numbers (n, 4) of :data:`FINE`, y up; the fourth fills up to a
    multiple of four bytes, as the format asks."""
    found = np.zeros((len(points), 4), dtype="<i2")
    found[:, :3] = np.rint(upright(points) * (0.01 / FINE))
    return found
