"""The figure of a record: by tape it has what was taped, and says so where it cannot."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
import pytest

from pinwright.errors import FigureError
from pinwright.figure.figure import Figure, figure_of
from pinwright.figure.fitting.wanted import LIMBS
from pinwright.figure.remarks import AGREED
from pinwright.measures import complete, read_record
from pinwright.measures.bdims import women
from pinwright.workshop.order import parse


@cache
def demo_measures() -> dict[str, Any]:
    text = files("pinwright.workshop").joinpath("demo_order.toml").read_text(encoding="utf-8")
    return dict(parse(text, files("pinwright.workshop").joinpath("demo_order.toml")).measures)  # type: ignore[arg-type]


def made(**changed: float) -> Figure:
    return figure_of(complete(read_record({**demo_measures(), **changed})))


@cache
def demo() -> Figure:
    return made()


def off(figure: Figure) -> dict[str, float]:
    return {m.name: abs(m.residual) for m in figure.measured if m.given and m.residual is not None}


def test_every_taped_measure_of_the_demo_client_comes_out() -> None:
    found = off(demo())
    assert len(found) >= 40
    assert max(found.values()) <= AGREED
    assert demo().remarks() == ()


@pytest.mark.parametrize("who", [3, 77, 141, 208])
def test_real_women_come_out(who: int) -> None:
    figure = figure_of(complete(read_record(women()[who])))
    assert max(off(figure).values()) <= AGREED or figure.remarks()
    weight = next(m for m in figure.measured if m.name == "weight")
    assert weight.given
    assert weight.figure == pytest.approx(weight.record, rel=0.05)


def test_limbs_come_from_the_record_where_they_were_not_taped() -> None:
    bare = {k: demo_measures()[k] for k in ("height", "bust_girth", "waist_girth", "hip_girth")}
    figure = figure_of(complete(read_record(bare)))
    for m in figure.measured:
        if m.name.removesuffix("_left").removesuffix("_right") in LIMBS:
            assert m.figure == pytest.approx(m.record, abs=max(0.5, 0.5 * m.error)), m.name


def test_the_same_record_gives_the_same_figure() -> None:
    again = made()
    assert np.abs(again.points - demo().points).max() < 1e-6


def test_it_stands_on_the_floor_and_is_closed_outwards() -> None:
    f = demo()
    assert f.points[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    a, b, c, d = (f.points[f.faces[:, k]] for k in range(4))
    litres = (
        np.einsum("ij,ij->", np.cross(a, b), c) + np.einsum("ij,ij->", np.cross(a, c), d)
    ) / 6e3
    assert 45.0 < litres < 90.0


def test_a_lower_shoulder_is_lower() -> None:
    uneven = made(shoulder_slope_left=18.0, shoulder_slope_right=26.0)
    assert max(off(uneven).values()) <= AGREED
    left, right = (uneven.marks[f"shoulder_point_{s}"][2] for s in ("left", "right"))
    assert left - right > 1.0


def test_measures_that_contradict_each_other_are_named() -> None:
    # front and back make 82, the girth is 77: each gives way
    figure = made(waist_front_arc=43.0, waist_back_arc=39.0)
    (said,) = [r for r in figure.remarks() if "cannot all hold" in r]
    for name in (
        "waist girth 77.0 cm (+",
        "waist front arc 43.0 cm (-",
        "waist back arc 39.0 cm (-",
    ):
        assert name in said
    found = off(figure)
    assert 4.0 * found["waist_girth"] > 5.0
    girth, front, back = (
        figure.value(k) for k in ("waist_girth", "waist_front_arc", "waist_back_arc")
    )
    assert front + back == pytest.approx(girth, abs=0.02)


def test_a_posture_chosen_by_eye_is_kept() -> None:
    # whose trunk lengths were not taped: else they settle the back
    bare = {k: demo_measures()[k] for k in ("height", "bust_girth", "waist_girth", "hip_girth")}
    body = complete(read_record(bare))
    round_, flat = (figure_of(body, {"round_back": d}) for d in (18.0, -8.0))
    assert round_.posture.round_back == 18.0
    assert max(off(round_).values()) <= AGREED

    def leaning(f: Figure) -> float:
        """How far the nape stands before the furthest of the back."""
        points, neck = f.points, f.marks["back_neck_point"]
        middle = points[np.abs(points[:, 0]) < 6.0]
        back = middle[(middle[:, 2] > f.marks.levels["waist"]) & (middle[:, 2] < neck[2])]
        return float(back[:, 1].max() - neck[1])

    assert leaning(round_) > leaning(flat) + 2.0


@pytest.mark.parametrize(
    ("posture", "said"),
    [
        ({"round_bak": 3.0}, "'round_bak' is not one"),
        ({"round_back": 90.0}, "round_back 90 is not possible; allowed is -20 to 30"),
        ({"hip_left": 9.0}, "hip_left 9 is not possible"),
    ],
)
def test_an_impossible_posture_is_refused(posture: dict[str, float], said: str) -> None:
    with pytest.raises(FigureError, match=said):
        figure_of(complete(read_record(demo_measures())), posture)


def test_a_higher_hip_is_told_by_the_outside_legs() -> None:
    figure = made(outside_leg_left=106.5, outside_leg_right=105.0)
    assert max(off(figure).values()) <= AGREED
    stance = figure.posture
    assert 0.8 < stance.hip_left - stance.hip_right < 2.2
    left, right = (figure.marks[f"side_waist_{s}"][2] for s in ("left", "right"))
    assert left - right == pytest.approx(1.5, abs=0.4)
