"""Body and cloth as binary glTF, read back with trimesh: places, colours, materials."""

from __future__ import annotations

import io
import json
import struct
from typing import Any

import numpy as np
import pytest
import trimesh

from pinwright.drape.pictures.gltf import glb, linear, tinted
from pinwright.drape.pictures.scale import ramp, scale_of
from tests.drape.pictures.tube import CLOTH, HIGH, LOW, TIGHT, fields, shown, vertex


@pytest.fixture(scope="module")
def data() -> bytes:
    return glb(shown(), "strain across")


def described(data: bytes) -> dict[str, Any]:
    magic, version, length = struct.unpack_from("<4sII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    found: dict[str, Any] = json.loads(data[20 : 20 + size])
    return found


def test_it_is_in_metres_with_y_up(data: bytes) -> None:
    scene = trimesh.load(io.BytesIO(data), file_type="glb", process=False)
    assert isinstance(scene, trimesh.Scene)
    body, cloth = scene.geometry["body"], scene.geometry["cloth"]
    assert body.bounds == pytest.approx(np.array([[-0.1, 0.0, -0.1], [0.1, 1.6, 0.1]]), abs=1e-6)
    low, high = cloth.bounds
    assert (low[1], high[1]) == pytest.approx((LOW / 100, HIGH / 100))
    assert high[0] == pytest.approx(CLOTH / 100)
    assert body.is_watertight
    # outwards: a volume of the right sign, a prism of 96 sides
    prism = 0.5 * 96 * 0.1**2 * np.sin(2 * np.pi / 96) * 1.6
    assert body.volume == pytest.approx(prism, rel=1e-5)
    # her left is +x, her front +z
    assert cloth.vertices[vertex(90.0, 70.0)] == pytest.approx([CLOTH / 100, 0.7, 0.0], abs=1e-6)
    assert cloth.vertices[vertex(0.0, 70.0)] == pytest.approx([0.0, 0.7, CLOTH / 100], abs=1e-6)
    out = cloth.vertices * [1.0, 0.0, 1.0]
    turned = (cloth.vertex_normals * out).sum(axis=1)
    assert (turned > 0.0).all()


def test_the_cloth_has_the_colours_of_its_field(data: bytes) -> None:
    scene = trimesh.load(io.BytesIO(data), file_type="glb", process=False)
    assert isinstance(scene, trimesh.Scene)
    colours = np.asarray(scene.geometry["cloth"].visual.vertex_attributes["color"])
    rest = colours[vertex(-90.0, 70.0), :3]
    tight = colours[vertex(90.0, 70.0), :3]
    scale = scale_of("strain across")
    # 0 lies in the middle of its band, between -1 and +1 %: the very colour of that
    part = ramp(7)[1] / 255.0
    light = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    assert rest == pytest.approx(255 * light, abs=0.51)
    # 6 % lies between the middles of two bands, at 4 and 6.5 %
    between = ramp(7)[4] + (0.06 - 0.04) / (0.065 - 0.04) * (ramp(7)[5].astype(float) - ramp(7)[4])
    found = tinted(np.array([TIGHT]), scale)[0]
    assert found == pytest.approx(between, abs=0.51)
    assert tight == pytest.approx(linear(found[None])[0], abs=0)


def test_there_are_two_materials_and_the_file_keeps_the_rules(data: bytes) -> None:
    told = described(data)
    assert [m["name"] for m in told["materials"]] == ["body", "cloth"]
    assert told["materials"][1]["doubleSided"] is True
    body, cloth = (m["primitives"][0] for m in told["meshes"])
    assert (body["material"], cloth["material"]) == (0, 1)
    assert "COLOR_0" in cloth["attributes"]
    assert "COLOR_0" not in body["attributes"]
    size = {5126: 4, 5125: 4, 5121: 1}
    wide = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}
    for a in told["accessors"]:
        view = told["bufferViews"][a["bufferView"]]
        assert view["byteOffset"] % 4 == 0
        assert view["byteLength"] == a["count"] * size[a["componentType"]] * wide[a["type"]]
    # section 3.7.2.1: positions say their limits
    for part in (body, cloth):
        at = told["accessors"][part["attributes"]["POSITION"]]
        assert len(at["min"]) == len(at["max"]) == 3
    assert "not a promise" in told["extras"]["caution"]
    assert told["extras"]["steps"][0] == "−1"


def test_what_is_not_known_is_white() -> None:
    gap = fields()["gap"]
    gap[:5] = np.nan
    assert (tinted(gap, scale_of("gap"))[:5] == 255).all()
    assert (tinted(gap, scale_of("gap"))[5] != 255).any()
