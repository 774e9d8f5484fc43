"""The figure for other programs: as OBJ and as binary glTF, y up, looking along +z.

Both are written by hand: OBJ after Wavefront's "Object Files (.obj)" (Advanced Visualizer manual,
appendix B1), the other after the Khronos Group's glTF 2.0 specification (ISO/IEC 12113).
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, Whole
from pinwright.figure.surface import normals, triangles

Scale = Literal["m", "cm"]

TONE = (0xD9, 0xD4, 0xCF)
"""The colour of the surface, sRGB: like calico on a stand."""

PER_CM: Mapping[Scale, float] = {"m": 0.01, "cm": 1.0}

MAGIC, VERSION, JSON, BIN = 0x46546C67, 2, 0x4E4F534A, 0x004E4942
FLOAT, USHORT, UINT = 5126, 5123, 5125
VERTICES, INDICES = 34962, 34963
TRIANGLES = 4


def upright(points: Array) -> Array:
    """Points or directions (n, 3) with y up and the figure looking along +z; x stays her left."""
    found: Array = np.stack([points[:, 0], points[:, 2], -points[:, 1]], axis=1)
    return found


def obj(points: Array, faces: Whole, scale: Scale = "m") -> str:
    """The surface as a Wavefront OBJ file, its faces as they are.

    points: (n, 3) cm. faces: (f, 4), anticlockwise seen from outside. scale: the unit of the file,
    which the format cannot tell, so a comment does; places are kept to 0.01 mm.
    """
    word, places = ("metres", 5) if scale == "m" else ("centimetres", 3)
    told = (
        "# pinwright: the client's figure",
        f"# Lengths in {word}. y up, floor at 0, looking along +z, x to her left.",
        "o figure",
        "s 1",
    )
    at = upright(points) * PER_CM[scale]
    lines = [f"v {x:.{places}f} {y:.{places}f} {z:.{places}f}" for x, y, z in at.tolist()]
    lines += [f"f {a} {b} {c} {d}" for a, b, c, d in (faces + 1).tolist()]
    return "\n".join((*told, *lines)) + "\n"


def glb(points: Array, faces: Whole) -> bytes:
    """The surface as a binary glTF 2.0 file in metres, shaded smooth, in one plain tone.

    points: (n, 3) cm, every one in a face. faces: (f, 4), anticlockwise seen from outside.
    """
    at = (upright(points) * PER_CM["m"]).astype("<f4")
    out = upright(normals(points, faces)).astype("<f4")
    # 65,535 itself may not be used: it would start a strip anew
    small = len(points) < 0xFFFF
    corners = triangles(faces).astype("<u2" if small else "<u4")
    blocks = [at.tobytes(), out.tobytes(), corners.tobytes()]
    starts = [0, len(blocks[0]), len(blocks[0]) + len(blocks[1])]
    views = [
        {"buffer": 0, "byteOffset": start, "byteLength": len(block), "target": target}
        for start, block, target in zip(starts, blocks, (VERTICES, VERTICES, INDICES), strict=True)
    ]
    whole = b"".join(blocks)
    vector = {"componentType": FLOAT, "count": len(at), "type": "VEC3"}
    box = {"min": _list(at.min(axis=0)), "max": _list(at.max(axis=0))}
    index = {"componentType": USHORT if small else UINT, "count": corners.size, "type": "SCALAR"}
    shape = {
        "attributes": {"POSITION": 0, "NORMAL": 1},
        "indices": 2,
        "material": 0,
        "mode": TRIANGLES,
    }
    surface = {
        "baseColorFactor": [*(round(_linear(c / 255.0), 4) for c in TONE), 1.0],
        "metallicFactor": 0.0,
        "roughnessFactor": 0.9,
    }
    told = {
        "asset": {"version": "2.0", "generator": "pinwright"},
        "scene": 0,
        "scenes": [{"name": "figure", "nodes": [0]}],
        "nodes": [{"name": "figure", "mesh": 0}],
        "meshes": [{"name": "figure", "primitives": [shape]}],
        "materials": [{"name": "calico", "pbrMetallicRoughness": surface}],
        "accessors": [
            {"bufferView": 0, **vector, **box},
            {"bufferView": 1, **vector},
            {"bufferView": 2, **index},
        ],
        "bufferViews": views,
        "buffers": [{"byteLength": len(whole)}],
        "extras": {"unit": "metre", "up": "y", "front": "+z", "left": "+x"},
    }
    return contained(told, whole)


def contained(told: Mapping[str, Any], data: bytes) -> bytes:
    """A binary glTF 2.0 file of its description and the one buffer that this speaks of."""
    text = json.dumps(told, separators=(",", ":")).encode()
    body = _chunk(JSON, _padded(text, b" ")) + _chunk(BIN, _padded(data, b"\0"))
    return struct.pack("<3I", MAGIC, VERSION, 12 + len(body)) + body


def _chunk(kind: int, data: bytes) -> bytes:
    return struct.pack("<2I", len(data), kind) + data


def _padded(data: bytes, filler: bytes) -> bytes:
    """Data filled up to a whole number of four bytes, as every chunk must be."""
    return data + filler * (-len(data) % 4)


def _list(values: NDArray[np.float32]) -> list[float]:
    """The very numbers that single precision holds: the limits must be those of the data."""
    return [float(v) for v in values]


def _linear(value: float) -> float:
    """A part of sRGB, 0 to 1, as an amount of light (IEC 61966-2-1)."""
    low: float = value / 12.92
    return low if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)
