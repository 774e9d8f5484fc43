"""What the page carries of hung garments, unpacked by other means than the page's."""

from __future__ import annotations

import gzip
import json
from base64 import b64decode
from typing import Any

import numpy as np
import pytest

from pinwright.drape.pictures.scale import QUANTITIES, scale_of
from pinwright.web.drape_model import packed
from tests.drape.pictures.tube import CLOTH, TIGHT, body, fields, shown, vertex


def unpacked(text: str) -> tuple[dict[str, Any], bytes]:
    data = gzip.decompress(b64decode(text))
    size = int.from_bytes(data[:4], "little")
    assert size % 4 == 0
    return json.loads(data[4 : 4 + size]), data[4 + size :]


def arrays(told: dict[str, Any], data: bytes) -> list[np.ndarray[Any, Any]]:
    """Every array in its order, whole numbers."""
    found, at = [], 0

    def take(kind: str, count: int) -> None:
        nonlocal at
        found.append(np.frombuffer(data, kind, count, at))
        at += -(-found[-1].nbytes // 4) * 4

    if told["body"]:
        take("<i2", 3 * told["body"][0])
        take("<u2", 3 * told["body"][1])
    for g in told["garments"]:
        take("<i2", 3 * g["points"])
        take("<u2", 3 * g["triangles"])
        for _ in g["fields"]:
            take("<u2", g["points"])
        for _, count in g["lines"]:
            take("<i2", 3 * count)
    assert at == len(data)
    return found


def test_points_and_fields_come_back_as_close_as_16_bits_allow() -> None:
    told, data = unpacked(packed([shown()], None, "cm"))
    parts = arrays(told, data)
    g = told["garments"][0]
    at = parts[2].reshape(-1, 3) * told["fine"]
    # y up, her left +x, her front +z, m
    assert at[vertex(90.0, 70.0)] == pytest.approx([CLOTH / 100, 0.7, 0.0], abs=6e-5)
    assert at[vertex(0.0, 70.0)] == pytest.approx([0.0, 0.7, CLOTH / 100], abs=6e-5)
    for k, (name, field) in enumerate(zip(QUANTITIES, g["fields"], strict=True)):
        values = field["low"] + field["span"] * parts[4 + k] / 0xFFFE
        assert field["name"] == name
        assert values == pytest.approx(fields()[name], abs=field["span"] / 0xFFFE)
        assert field["steps"] == list(scale_of(name).steps)
        assert len(field["colours"]) == len(field["steps"]) + 1
    corners = parts[3].reshape(-1, 3)
    p = at[corners]
    across = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    assert ((across * p.mean(axis=1))[:, [0, 2]].sum(axis=1) > 0.0).all(), "faces outwards"


def test_a_value_that_is_not_known_is_told_as_such() -> None:
    gap = fields()["gap"]
    gap[7] = np.nan
    told, data = unpacked(packed([shown(gap=gap)], None, "cm"))
    whole = arrays(told, data)[4 + QUANTITIES.index("gap")]
    assert np.flatnonzero(whole == 0xFFFF).tolist() == [7]


def test_the_body_is_carried_only_where_the_page_has_no_such_figure() -> None:
    with_, without = (packed([shown()], f, "cm") for f in (None, body().points))
    assert unpacked(with_)[0]["body"] == [len(body().points), len(body().triangles)]
    assert unpacked(without)[0]["body"] is None
    assert len(without) < len(with_)
    other = body().points + np.array([0.0, 4.0, 0.0])
    assert unpacked(packed([shown()], other, "cm"))[0]["body"] is not None


def test_folds_and_letters_stand_where_they_are() -> None:
    told, data = unpacked(packed([shown()], None, "cm"))
    g = told["garments"][0]
    assert [kind for kind, _ in g["lines"]] == ["hem", "fold", "fold", "fold", "fold"]
    text, at = g["folds"][0]
    assert (text, at) == ("1", pytest.approx([0.0, 0.5, CLOTH / 100], abs=1e-4))
    letter, at, said = g["fields"][0]["places"][0]
    assert (letter, said) == ("A", "Side, left: +6.0 %")
    assert at[0] == pytest.approx(CLOTH / 100, abs=1e-4)
    # the tick lies across the deeper end, on the cloth: 70 cm up, level
    tick = arrays(told, data)[-3].reshape(-1, 3) * told["fine"]
    assert tick[:, 1] == pytest.approx([0.7, 0.7], abs=1e-4)
    assert np.ptp(tick[:, 0]) == pytest.approx(0.024, abs=2e-4)
    assert TIGHT in [pytest.approx(v) for v in (g["fields"][0]["low"] + g["fields"][0]["span"],)]


def test_the_same_garment_gives_the_same_bytes() -> None:
    assert packed([shown()], None, "cm") == packed([shown()], None, "cm")
