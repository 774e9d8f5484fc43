"""A figure from few measures and marked photographs, against the body that was photographed."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from pinwright.figure.body.model import body
from pinwright.figure.figure import Figure, figure_of
from pinwright.figure.landmarks import landmarks
from pinwright.figure.photographs.marks import Photograph
from pinwright.figure.photographs.places import View
from pinwright.figure.photographs.silhouette import sentence
from pinwright.figure.tape.tape import taped
from pinwright.measures import complete, read_record
from tests.figure.photographed import photographed, standing

TRUE = {
    "height": 0.35,
    "weight": 0.62,
    "round_back": 14.0,
    "shoulder_left": 0.3,
    "shoulder_right": 2.0,
    "knee_left": 1.6,
    "knee_right": 1.4,
}
LEVELS = tuple(range(80, 136, 5))
TAPED = ("height", "bust_girth", "waist_girth", "hip_girth", "inside_leg")


@cache
def taped_and_photographed() -> tuple[dict[str, float], tuple[Photograph, ...]]:
    """A few measures of a known body, and her photographs with marks a pixel off."""
    points = standing(**TRUE)
    found = taped(points, body().faces, landmarks(points))
    record = {k: round(found[k], 1) for k in TAPED}
    views: tuple[View, ...] = ("front", "left")
    photos = tuple(
        photographed(points, view, noise=1.0, seed=k, number=k + 1, levels=LEVELS)
        for k, view in enumerate(views)
    )
    return record, photos


@cache
def figure(seen: bool) -> Figure:
    record, photos = taped_and_photographed()
    return figure_of(complete(read_record(record)), photographs=photos if seen else ())


def off(found: Figure) -> float:
    """How far the trunk lies off the true one where it is seen from the side, cm, rms."""
    true = standing(**TRUE)
    b = body()
    trunk = b.arm("left") + b.arm("right") + b.share("head") < 0.02
    trunk &= true[:, 2] > landmarks(true).levels["fork"]
    both = [p[trunk] - p[trunk].mean(axis=0) for p in (found.points, true)]
    return float(np.sqrt(((both[0] - both[1]) ** 2).sum(axis=1).mean()))


def test_photographs_bring_the_figure_nearer_to_the_client() -> None:
    assert off(figure(True)) < 0.6 * off(figure(False))


def test_knees_and_shoulders_are_told_by_photographs_alone() -> None:
    without, seen = figure(False).posture, figure(True).posture
    assert (without.knee_left, without.knee_right) == (0.0, 0.0)
    assert seen.knee_left == pytest.approx(TRUE["knee_left"], abs=0.6)
    assert seen.knee_right == pytest.approx(TRUE["knee_right"], abs=0.6)
    lower = seen.shoulder_right - seen.shoulder_left
    assert lower == pytest.approx(TRUE["shoulder_right"] - TRUE["shoulder_left"], abs=0.7)
    assert abs(without.shoulder_right - without.shoulder_left) < 0.2


def test_the_tape_still_agrees_and_so_do_the_outlines() -> None:
    found = figure(True)
    residuals = [m.residual for m in found.measured if m.given and m.residual is not None]
    assert max(abs(r) for r in residuals) < 2.0
    assert len(found.agreements) == 2
    for a in found.agreements:
        assert a.agrees, sentence(a)
    assert figure(False).agreements == ()


def test_another_womans_photographs_are_told_to_disagree() -> None:
    record, _ = taped_and_photographed()
    fuller = standing(**{**TRUE, "weight": 1.15})
    photos = (
        photographed(fuller, "front", number=1, levels=LEVELS),
        photographed(fuller, "left", number=2, levels=LEVELS),
    )
    found = figure_of(complete(read_record(record)), photographs=photos)
    assert any(not a.agrees for a in found.agreements)


def test_a_wrong_mark_is_named_and_hardly_counts() -> None:
    record, photos = taped_and_photographed()
    front = photos[0]
    x, y = front.marks["shoulder_point_right"]
    wrong = replace(front, marks={**front.marks, "shoulder_point_right": (x, y + 70.0)})
    found = figure_of(complete(read_record(record)), photographs=(wrong, photos[1]))
    (said,) = [d for d in found.doubts if "the mark" in d]
    assert "Photograph 1 (front): the mark right shoulder point lies" in said
    assert "Look at it again." in said
    right = figure(True).posture.shoulder_right
    assert found.posture.shoulder_right == pytest.approx(right, abs=1.0)
    assert not any("the mark" in d for d in figure(True).doubts)


def test_photographs_without_marks_on_her_change_nothing() -> None:
    record, photos = taped_and_photographed()
    kept = ("crown", "floor", "plumb_top", "plumb_bottom")
    bare = replace(
        photos[0], marks={k: v for k, v in photos[0].marks.items() if k in kept}, outline=()
    )
    found = figure_of(complete(read_record(record)), photographs=(bare,))
    assert np.abs(found.points - figure(False).points).max() < 1e-9
