"""Body and cloth for other programs: binary glTF, y up, in metres, the cloth coloured by a field.

Written by hand as the figure's (:mod:`pinwright.figure.export`), after the Khronos Group's glTF
2.0 specification (ISO/IEC 12113).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinwright.drape.data import Array, Whole
from pinwright.drape.pictures.looked import outwards
from pinwright.drape.pictures.scale import Colours, Quantity, Scale, scale_of
from pinwright.drape.pictures.shown import Shown
from pinwright.drape.surfaces import normals
from pinwright.figure.export import (
    FLOAT,
    INDICES,
    PER_CM,
    TONE,
    TRIANGLES,
    UINT,
    VERTICES,
    contained,
    upright,
)
from pinwright.measures.units import LengthUnit

UBYTE = 5121

UNKNOWN = (0xFF, 0xFF, 0xFF)
"""Cloth of which nothing is known, sRGB."""


def glb(shown: Shown, quantity: Quantity, unit: LengthUnit = "cm") -> bytes:
    """A binary glTF 2.0 file of two meshes, ``body`` and ``cloth``, each with its own material.

    The cloth's colours (COLOR_0) are those of the scale without its steps: between the middles of
    two bands they run over into each other. Its wrong side is drawn too.
    """
    hung = shown.hung
    scale = scale_of(quantity, unit)
    colours = tinted(np.asarray(shown.fields[quantity], dtype=float), scale)
    blocks: list[bytes] = []
    views: list[dict[str, Any]] = []
    accessors: list[dict[str, Any]] = []

    def keep(values: NDArray[Any], told: dict[str, Any], target: int) -> int:
        start = sum(map(len, blocks))
        blocks.append(values.tobytes())
        views.append(
            {"buffer": 0, "byteOffset": start, "byteLength": values.nbytes, "target": target}
        )
        accessors.append({"bufferView": len(views) - 1, **told})
        return len(accessors) - 1

    def mesh(points: Array, triangles: Whole, tones: Colours | None) -> dict[str, Any]:
        at = (upright(points) * PER_CM["m"]).astype("<f4")
        out = upright(normals(points, triangles))
        out[np.linalg.norm(out, axis=1) == 0.0] = [0.0, 1.0, 0.0]
        vector = {"componentType": FLOAT, "count": len(at), "type": "VEC3"}
        box = {k: [float(v) for v in f(axis=0)] for k, f in (("min", at.min), ("max", at.max))}
        told = {
            "POSITION": keep(at, {**vector, **box}, VERTICES),
            "NORMAL": keep(out.astype("<f4"), vector, VERTICES),
        }
        if tones is not None:
            # four bytes to a vertex, as the format asks
            four = np.column_stack([tones, np.full(len(tones), 255)]).astype(np.uint8)
            colour = {"componentType": UBYTE, "normalized": True, "count": len(at), "type": "VEC4"}
            told["COLOR_0"] = keep(four, colour, VERTICES)
        index = {"componentType": UINT, "count": int(triangles.size), "type": "SCALAR"}
        corners = keep(triangles.astype("<u4"), index, INDICES)
        return {"attributes": told, "indices": corners, "mode": TRIANGLES}

    body = mesh(shown.body.points, shown.body.triangles, None)
    cloth = mesh(hung.points, outwards(hung), linear(colours))
    tone = [round(float(c) / 255.0, 4) for c in linear(np.array(TONE, dtype=np.uint8)[None])[0]]
    plain = {"metallicFactor": 0.0, "roughnessFactor": 0.9}
    told = {
        "asset": {"version": "2.0", "generator": "pinwright"},
        "scene": 0,
        "scenes": [{"name": shown.garment, "nodes": [0, 1]}],
        "nodes": [{"name": "body", "mesh": 0}, {"name": "cloth", "mesh": 1}],
        "meshes": [
            {"name": "body", "primitives": [{**body, "material": 0}]},
            {"name": "cloth", "primitives": [{**cloth, "material": 1}]},
        ],
        "materials": [
            {"name": "body", "pbrMetallicRoughness": {**plain, "baseColorFactor": [*tone, 1.0]}},
            {"name": "cloth", "doubleSided": True, "pbrMetallicRoughness": plain},
        ],
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{"byteLength": sum(map(len, blocks))}],
        "extras": {
            "unit": "metre", "up": "y", "front": "+z", "left": "+x",
            "field": scale.title, "steps": list(scale.labels), "caution": " ".join(shown.cautions),
        },
    }  # fmt: skip
    return contained(told, b"".join(blocks))


def tinted(values: Array, scale: Scale) -> Colours:
    """sRGB (n, 3) of values (n,), running over between the middles of the bands; white where a
    value is not a number."""
    steps = np.array(scale.steps)
    middles = (steps[1:] + steps[:-1]) / 2.0
    ends = [2.0 * steps[0] - middles[0], *middles, 2.0 * steps[-1] - middles[-1]]
    known = np.nan_to_num(values)
    found = np.stack([np.interp(known, ends, scale.colours[:, k]) for k in range(3)], axis=1)
    found[~np.isfinite(values)] = UNKNOWN
    rounded: Colours = np.rint(found).astype(np.uint8)
    return rounded


def linear(colours: Colours) -> Colours:
    """sRGB as amounts of light (IEC 61966-2-1), which is what the format has at vertices."""
    part = colours / 255.0
    light = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    found: Colours = np.rint(255.0 * light).astype(np.uint8)
    return found
