"""The figure as OBJ and glTF, read back with trimesh and held against the glTF 2.0 rules.

The Khronos validator (npm gltf-validator 2.0.0-dev.3.10, run by hand) found nothing to say of the
mean figure's file.
"""

from __future__ import annotations

import io
import json
import struct
from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from pinwright.figure.body.model import GENERAL, body, shaped
from pinwright.figure.body.standing import hanging, posed
from pinwright.figure.export import glb, obj
from tests.figure.surfaces import box, torus

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
FIGURES: dict[str, dict[str, float]] = {"mean": {}, "full": {"weight": 0.95, "cup": 1.0}}


@pytest.fixture(scope="module", params=FIGURES)
def figure(request: pytest.FixtureRequest) -> tuple[Array, Whole]:
    b = body()
    general = {**dict.fromkeys(GENERAL, 0.5), **FIGURES[request.param]}
    points = posed(b, shaped(general), hanging())[: b.n]
    return points - [0.0, 0.0, points[:, 2].min()], b.faces


def volume(points: Array, faces: Whole) -> float:
    """By the divergence theorem, each quad as the mean of its two cuts into triangles, cm³."""
    a, b, c, d = (points[faces[:, k]] for k in range(4))

    def part(p: Array, q: Array, r: Array) -> float:
        return float(np.linalg.det(np.stack([p, q, r], axis=1)).sum()) / 6.0

    return (part(a, b, c) + part(a, c, d) + part(a, b, d) + part(b, c, d)) / 2.0


def mesh(data: bytes, kind: str) -> trimesh.Trimesh:
    found = trimesh.load(io.BytesIO(data), file_type=kind, force="mesh", process=False)
    assert isinstance(found, trimesh.Trimesh)
    return found


def parts(data: bytes) -> tuple[dict[str, Any], bytes]:
    """The JSON and the buffer of a GLB file by section 4.4 of the specification."""
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    assert size % 4 == 0
    text = data[20 : 20 + size]
    rest, kind = struct.unpack_from("<I4s", data, 20 + size)
    assert kind == b"BIN\0"
    assert rest % 4 == 0
    assert 28 + size + rest == len(data)
    # filled up with spaces, and no byte more than alignment asks for
    assert len(text) - len(text.rstrip(b" ")) < 4
    return json.loads(text), data[28 + size :]


def read(told: dict[str, Any], buffer: bytes, k: int) -> NDArray[Any]:
    accessor = told["accessors"][k]
    view = told["bufferViews"][accessor["bufferView"]]
    kind = {5126: "<f4", 5123: "<u2", 5125: "<u4"}[accessor["componentType"]]
    wide = {"SCALAR": 1, "VEC3": 3}[accessor["type"]]
    start = view["byteOffset"] + accessor.get("byteOffset", 0)
    values = np.frombuffer(buffer, kind, accessor["count"] * wide, start)
    assert values.nbytes <= view["byteLength"]
    # section 3.6.2.4: aligned to the size of its components, vertices to four bytes
    assert start % max(values.itemsize, 4 if wide == 3 else 1) == 0
    return values.reshape(-1, wide)


def test_the_volume_and_the_box_come_back_from_gltf(figure: tuple[Array, Whole]) -> None:
    points, faces = figure
    found = mesh(glb(points, faces), "glb")
    assert found.is_watertight
    assert found.is_winding_consistent
    # m³; quads are not flat, so the way they are cut counts a little
    assert found.volume == pytest.approx(volume(points, faces) * 1e-6, rel=5e-4)
    low, high = points.min(axis=0) / 100.0, points.max(axis=0) / 100.0
    np.testing.assert_allclose(found.bounds[0], [low[0], low[2], -high[1]], atol=1e-6)
    np.testing.assert_allclose(found.bounds[1], [high[0], high[2], -low[1]], atol=1e-6)


@pytest.mark.parametrize(("scale", "size", "word"), [("m", 0.01, "metres"), ("cm", 1.0, "centi")])
def test_the_volume_and_the_box_come_back_from_obj(
    figure: tuple[Array, Whole], scale: Any, size: float, word: str
) -> None:
    points, faces = figure
    text = obj(points, faces, scale)
    found = mesh(text.encode(), "obj")
    assert found.is_watertight
    assert found.volume == pytest.approx(volume(points, faces) * size**3, rel=5e-4)
    low, high = points.min(axis=0) * size, points.max(axis=0) * size
    places = 6e-6 if scale == "m" else 6e-4
    np.testing.assert_allclose(found.bounds[0], [low[0], low[2], -high[1]], atol=places)
    np.testing.assert_allclose(found.bounds[1], [high[0], high[2], -low[1]], atol=places)
    notes = [line for line in text.splitlines() if line.startswith("#")]
    assert any(word in n and "y up" in n for n in notes)


def test_obj_counts_from_one_and_keeps_the_quads(figure: tuple[Array, Whole]) -> None:
    points, faces = figure
    lines = obj(points, faces).splitlines()
    assert sum(line.startswith("v ") for line in lines) == len(points)
    found = np.array([line.split()[1:] for line in lines if line.startswith("f ")], dtype=int)
    np.testing.assert_array_equal(found, faces + 1)


def test_she_stands_on_the_floor_and_looks_along_z(figure: tuple[Array, Whole]) -> None:
    points, faces = figure
    told, buffer = parts(glb(points, faces))
    at = read(told, buffer, 0)
    assert at[:, 1].min() == 0.0
    toes = at[at[:, 1] < 0.03]
    head = at[at[:, 1] > at[:, 1].max() - 0.25]
    # feet point forwards, and the face stands before the middle of the head
    assert toes[:, 2].max() > head[:, 2].mean() + 0.05
    # her left hand lies at +x, where hers is in the figure's own axes
    assert at[np.argmax(points[:, 0]), 0] == at[:, 0].max()


def test_gltf_keeps_the_rules_of_the_specification(figure: tuple[Array, Whole]) -> None:
    points, faces = figure
    told, buffer = parts(glb(points, faces))
    assert told["asset"]["version"] == "2.0"
    assert told["asset"]["generator"] == "pinwright"
    assert told["extras"]["unit"] == "metre"
    size = told["buffers"][0]["byteLength"]
    assert 0 <= len(buffer) - size < 4
    ends = [v["byteOffset"] + v["byteLength"] for v in told["bufferViews"]]
    assert max(ends) <= size
    assert [v["target"] for v in told["bufferViews"]] == [34962, 34962, 34963]
    primitive = told["meshes"][0]["primitives"][0]
    at = read(told, buffer, primitive["attributes"]["POSITION"])
    out = read(told, buffer, primitive["attributes"]["NORMAL"])
    corners = read(told, buffer, primitive["indices"])
    limits = told["accessors"][primitive["attributes"]["POSITION"]]
    assert limits["min"] == at.min(axis=0).tolist()
    assert limits["max"] == at.max(axis=0).tolist()
    assert len(at) == len(out) == len(points)
    np.testing.assert_allclose(np.linalg.norm(out, axis=1), 1.0, atol=1e-6)
    assert len(corners) % 3 == 0
    assert corners.max() == len(points) - 1
    assert told["scenes"][told["scene"]]["nodes"] == [0]
    assert "textures" not in told
    assert "images" not in told


def test_normals_look_outwards(figure: tuple[Array, Whole]) -> None:
    points, faces = figure
    data = glb(points, faces)
    told, buffer = parts(data)
    agree = (read(told, buffer, 1) * mesh(data, "glb").vertex_normals).sum(axis=1)
    # trimesh weighs by angle and not by area, so they differ where the surface folds
    assert np.quantile(agree, 0.01) > 0.9


def test_normals_of_a_torus_are_those_of_its_formula() -> None:
    points, faces = torus(10.0, 4.0)
    told, buffer = parts(glb(points, faces))
    x, _, z = points.T
    middle = points * [1.0, 0.0, 1.0] * (10.0 / np.hypot(x, z))[:, None]
    out = (points - middle) / 4.0
    expected = np.stack([out[:, 0], out[:, 2], -out[:, 1]], axis=1)
    np.testing.assert_allclose(read(told, buffer, 1), expected, atol=2e-3)
    # Pappus: the volume is the tube's section times the way of its middle
    found = mesh(glb(points, faces), "glb").volume * 1e6
    assert found == pytest.approx(2.0 * np.pi**2 * 10.0 * 4.0**2, rel=4e-3)


def test_a_box_keeps_its_sides() -> None:
    points, faces = box(2.0, 3.0, 5.0)
    found = mesh(glb(points, faces), "glb")
    assert found.volume * 1e6 == pytest.approx(30.0, rel=1e-6)
    np.testing.assert_allclose(found.extents * 100.0, [2.0, 5.0, 3.0], rtol=1e-6)


@pytest.mark.parametrize(("k", "kind"), [(257, 5123), (258, 5125)])
def test_indices_are_as_wide_as_the_surface_needs(k: int, kind: int) -> None:
    # 257 × 254 = 65,278 points; 258 × 255 = 65,790: over what two bytes can number
    points, faces = torus(10.0, 4.0, k, k - 3)
    data = glb(points, faces)
    told, _ = parts(data)
    assert told["accessors"][2]["componentType"] == kind
    found = mesh(data, "glb").volume * 1e6
    assert found == pytest.approx(2.0 * np.pi**2 * 160.0, rel=4e-4)


def test_the_tone_is_light_and_given_as_light() -> None:
    told, _ = parts(glb(*box(1.0, 1.0, 1.0)))
    surface = told["materials"][0]["pbrMetallicRoughness"]
    # sRGB d9 d4 cf by IEC 61966-2-1, by hand
    assert surface["baseColorFactor"] == pytest.approx([0.694, 0.658, 0.624, 1.0], abs=1e-3)
    assert surface["metallicFactor"] == 0.0
