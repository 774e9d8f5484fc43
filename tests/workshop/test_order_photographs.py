"""Marked photographs in an order: read, refused, kept on writing, never the picture."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from pinwright.errors import OrderError
from pinwright.workshop.demo import demo_order
from pinwright.workshop.order import edited, load, parse

PHOTO = """
[[figure.photographs]]
view = "front"
size = [1200, 1600]
distance = 320
height = 168
marks = { crown = [601, 92], floor = [598, 1510], knee_left = [680.5, 1090] } # by Ada
outline = [[480, 600], [482, 640], [485, 690]]

[[figure.photographs]]
view = "left"
size = [1200, 1600]
[figure.photographs.marks]
crown = [601, 92]
floor = [598, 1510]
"""


def with_photo(text: str = PHOTO) -> str:
    return demo_order() + "\n[figure]\nround_back = 4\n" + text


def read(text: str) -> Any:
    return parse(text, Path("order.toml"))


def refused(old: str, new: str) -> str:
    assert old in PHOTO
    with pytest.raises(OrderError) as err:
        read(with_photo(PHOTO.replace(old, new, 1)))
    return str(err.value)


def test_an_order_without_photographs_has_none() -> None:
    assert read(demo_order()).figure.marked() == ()


def test_photographs_are_read() -> None:
    figure = read(with_photo()).figure
    one, two = figure.marked()
    assert (one.number, one.view, one.distance, one.lens, one.height) == (1, "front", 320, 100, 168)
    assert one.marks["knee_left"] == (680.5, 1090.0)
    assert len(one.outline) == 3
    assert (two.number, two.view, two.distance, two.height, two.outline) == (
        2,
        "left",
        350,
        None,
        (),
    )
    # they are no part of the posture that was settled by eye
    assert figure.posture == {"round_back": 4.0}


def test_json_is_read_as_toml_is(tmp_path: Path) -> None:
    path = tmp_path / "order.json"
    path.write_text(json.dumps(tomllib.loads(with_photo()), default=str), encoding="utf-8")
    assert load(path).figure == read(with_photo()).figure


def test_a_key_that_is_not_known_is_told_with_the_nearest() -> None:
    said = refused("distance = 320", "distanse = 320")
    assert said == (
        "order.toml: figure.photographs.1.distanse is not known. Did you mean distance? It may be "
        "distance, height, lens, marks, outline, size, view."
    )
    with pytest.raises(
        OrderError, match=r"figure\.round_bak is not known\. Did you mean round_back"
    ):
        read(demo_order() + "\n[figure]\nround_bak = 4\n")


def test_a_picture_has_no_place_in_an_order() -> None:
    said = refused("height = 168", 'picture = "ada-front.jpg"')
    assert "figure.photographs.1.picture is not known." in said


def test_marks_that_do_not_hold_are_told_at_load() -> None:
    assert refused("knee_left", "kne_left").startswith(
        'order.toml: figure: Photograph 1 (front): the mark "kne_left" is not known. Did you mean '
        "knee_left? It may be crown, floor, "
    )
    assert refused("knee_left = [680.5, 1090]", "seat_back = [1, 2]") == (
        "order.toml: figure: Photograph 1 (front): the mark seat_back cannot be seen from there; "
        "it may be marked in a photograph from: left, right."
    )
    assert refused("crown = [601, 92]\nfloor", "floor") == (
        "order.toml: figure: Photograph 2 (left): crown is not marked; crown and floor are needed "
        "in every photograph."
    )
    assert "distance 120 cm is not possible; allowed is 150 to 2000 cm." in refused("320", "120")


def test_values_of_another_kind_are_told() -> None:
    assert "figure.photographs.1.view ('side'): must be 'front', 'back', 'left' or 'right'." in (
        refused('"front"', '"side"')
    )
    assert "figure.photographs.1.size is missing." in refused("size = [1200, 1600]\n", "")
    assert "figure.photographs.1.marks.crown.1 ('high'): must be" in refused("[601,", '["high",')
    assert "figure.photographs.1.marks.crown" in refused("[601, 92]", "[601]")


def test_heights_that_contradict_are_told_at_load() -> None:
    two = PHOTO.replace('view = "left"', 'view = "left"\nheight = 175')
    with pytest.raises(OrderError) as err:
        read(with_photo(two))
    assert str(err.value) == (
        "order.toml: figure: Photograph 2 (left): height 175 cm, but photograph 1 (front) has 168 "
        "cm; allowed is 3 cm apart: it is the scale of both."
    )


def test_they_are_kept_when_the_order_is_written() -> None:
    path = Path("order.toml")
    note = {"date": "2029-03-04", "text": "back 1 cm down"}
    text = edited(with_photo(), path, {"note": note})
    assert PHOTO.strip() in text  # word for word, with what is remarked beside it
    assert read(text).figure == read(with_photo()).figure


def test_they_go_with_the_order(tmp_path: Path) -> None:
    # nothing is put anywhere else: the order's file is all there is
    path = tmp_path / "order.toml"
    path.write_text(with_photo(), encoding="utf-8")
    load(path).figure.marked()
    assert [p.name for p in tmp_path.iterdir()] == ["order.toml"]
