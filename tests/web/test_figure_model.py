"""What the page carries of the figure: a valid small glTF file, true to a tenth of a millimetre."""

from __future__ import annotations

import gzip
import json
import struct
from base64 import b64decode
from dataclasses import replace
from functools import cache
from io import BytesIO
from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from pinwright.figure.lines import lines
from pinwright.figure.pictures import heights
from pinwright.web.figure_model import LEVELS, on_body, packed
from tests.web.pages import demo_figure


@cache
def carried() -> bytes:
    f = demo_figure().figure
    return gzip.decompress(b64decode(packed(f.points, f.faces, f.marks, "cm")))


def parts() -> tuple[dict[str, Any], bytes]:
    """The file taken apart after the Khronos glTF 2.0 specification, chapter 4.4."""
    data = carried()
    magic, version, length = struct.unpack_from("<3I", data)
    assert (magic, version, length) == (0x46546C67, 2, len(data))
    size, kind = struct.unpack_from("<2I", data, 12)
    assert kind == 0x4E4F534A
    assert size % 4 == 0
    told: dict[str, Any] = json.loads(data[20 : 20 + size])
    after, kind = struct.unpack_from("<2I", data, 20 + size)
    assert kind == 0x004E4942
    assert 28 + size + after == len(data)
    return told, data[28 + size :]


def places(told: dict[str, Any], blob: bytes, number: int) -> NDArray[np.float64]:
    """An accessor of points, in m."""
    a = told["accessors"][number]
    v = told["bufferViews"][a["bufferView"]]
    assert a["componentType"] == 5122
    assert (v["byteOffset"] % 4, v["byteStride"] % 4) == (0, 0)
    start = v["byteOffset"] + a.get("byteOffset", 0)
    raw = np.frombuffer(blob, "<i2", a["count"] * v["byteStride"] // 2, start)
    found = raw.reshape(a["count"], -1)[:, :3]
    assert found.min(axis=0).tolist() == a["min"]
    assert found.max(axis=0).tolist() == a["max"]
    return found * 1e-4


def test_the_points_are_the_figure_s_to_a_twentieth_of_a_millimetre() -> None:
    told, blob = parts()
    f = demo_figure().figure
    found = places(told, blob, 0)
    # y up, looking along +z, x to her left
    want = np.stack([f.points[:, 0], f.points[:, 2], -f.points[:, 1]], axis=1) / 100.0
    assert np.abs(found - want).max() <= 0.5e-4 + 1e-9
    assert told["extensionsRequired"] == ["KHR_mesh_quantization"]
    assert told["nodes"][0]["scale"] == [1e-4] * 3


def test_another_reader_finds_the_same_body() -> None:
    scene = trimesh.load(BytesIO(carried()), file_type="glb")
    assert isinstance(scene, trimesh.Scene)
    body = next(g for g in scene.dump() if isinstance(g, trimesh.Trimesh))
    f = demo_figure().figure
    corners = f.faces[:, [[0, 1, 2], [0, 2, 3]]].reshape(-1, 3)
    a, b, c = (f.points[corners[:, k]] for k in range(3))
    litres = float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6000.0
    assert body.is_watertight
    assert body.volume * 1000.0 == pytest.approx(litres, rel=1e-4)
    assert body.extents[1] == pytest.approx(f.marks.levels["top"] / 100.0, abs=1e-4)


def test_each_level_is_a_closed_line_at_its_height_on_the_skin() -> None:
    told, blob = parts()
    marks = demo_figure().figure.marks
    rings = [n for n in told["nodes"] if n.get("extras", {}).get("kind") == "level"]
    for name in ("bust", "under bust", "waist", "top hip", "hip"):
        (node,) = [n for n in rings if n["extras"]["name"] == name]
        part = told["meshes"][node["mesh"]]["primitives"][0]
        assert part["mode"] == 2
        line = places(told, blob, part["attributes"]["POSITION"])
        height = marks.levels[name.replace(" ", "_")]
        assert np.abs(line[:, 1] - height / 100.0).max() < 1e-4
        assert node["extras"]["y"] == pytest.approx(height / 100.0, abs=1e-4)
        assert node["extras"]["height"] == f"{height:.1f} cm"
    assert sum(n["extras"]["name"] == "knee" for n in rings) == 2
    tapes = {"neck": "neck tape", "ankle": "ankle tape"}
    names = {tapes.get(k, k.replace("_", " ")) for k in LEVELS}
    assert {n["extras"]["name"] for n in rings} == names


def test_legs_that_differ_have_their_own_words() -> None:
    f = demo_figure().figure
    found = dict(lines(f.points, f.faces, f.marks))
    alike = [d.name for d in on_body(found, f.marks, "cm") if "knee" in d.name]
    assert alike == ["knee", "knee"]
    higher = np.add(found["knee_left"].points, (0.0, 0.0, 2.0))
    found["knee_left"] = replace(found["knee_left"], points=higher)
    level = f.marks.levels["knee_left"] + 2.0
    marks = replace(f.marks, levels={**f.marks.levels, "knee_left": level})
    apart = [(d.name, d.z) for d in on_body(found, marks, "cm") if "knee" in d.name]
    assert [name for name, _ in apart] == ["left knee", "right knee"]
    assert apart[0][1] - apart[1][1] == pytest.approx(2.0, abs=0.01)


def test_it_is_small_and_the_same_every_time() -> None:
    f = demo_figure().figure
    text = packed(f.points, f.faces, f.marks, "cm")
    assert len(text) < 260_000
    assert text == packed(f.points, f.faces, f.marks, "cm")


def test_a_name_has_one_height_in_the_view_and_in_the_pictures() -> None:
    f = demo_figure().figure
    found = lines(f.points, f.faces, f.marks)
    view = {d.name: d.z for d in on_body(found, f.marks, "cm") if d.kind == "level"}
    pictures = dict(heights(f.marks))
    assert {"bust", "under bust", "waist", "top hip", "hip", "knee"} <= set(view) & set(pictures)
    for name in set(view) & set(pictures):
        assert view[name] == pytest.approx(pictures[name], abs=1e-9), name
    # the ankle's girth is taken over the bone that the pictures give: another name, its own height
    assert view["ankle tape"] == pytest.approx(found["ankle_left"].points[:, 2].mean(), abs=0.5)
    assert view["ankle tape"] > pictures["ankle"] + 1.0


def test_a_level_is_drawn_where_its_height_says() -> None:
    f = demo_figure().figure
    for d in on_body(lines(f.points, f.faces, f.marks), f.marks, "cm"):
        if d.kind == "level":
            assert d.points[:, 2].mean() == pytest.approx(d.z, abs=0.5), d.name
