"""The lines of the figure lie where it was taped: held against the tape and against trimesh."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from pinwright.figure.body.model import GENERAL, body, shaped
from pinwright.figure.body.standing import hanging, posed
from pinwright.figure.landmarks import Landmarks, landmarks
from pinwright.figure.lines import Line3, lines
from pinwright.figure.tape.section import triangles
from pinwright.figure.tape.tape import taped
from pinwright.measures import TERMS
from pinwright.measures.record import split_side

Array = NDArray[np.float64]
DROP = 3.0
BODIES: dict[str, dict[str, float]] = {
    "mean": {},
    "full": {"weight": 0.95, "cup": 1.0},
    "tall": {"height": 1.0, "weight": 0.05, "cup": 0.1},
    "short": {"height": 0.0, "weight": 1.0, "cup": 0.6},
    "aslant": {"weight": 0.6},
}
bodies = pytest.mark.parametrize("who", BODIES)

UNTAPED = {"weight", "shoulder_slope", "body_rise", "worn_waist_drop", "heel_height"}
"""Weighed, read off an inclinometer, taken seated, told, told."""


@cache
def figure(who: str) -> tuple[Array, Landmarks]:
    b = body()
    points = posed(b, shaped({**dict.fromkeys(GENERAL, 0.5), **BODIES[who]}), hanging())[: b.n]
    if who == "aslant":  # her left side higher than her right, and each section aside of the lower
        points = points @ np.array([[1.0, 0.0, 0.03], [0.0, 1.0, 0.0], [0.02, 0.0, 1.0]])
    points = points - [0.0, 0.0, points[:, 2].min()]
    return points, landmarks(points)


@cache
def drawn(who: str) -> Mapping[str, Line3]:
    points, marks = figure(who)
    return lines(points, body().faces, marks, DROP)


@cache
def measures(who: str) -> Mapping[str, float]:
    points, marks = figure(who)
    return taped(points, body().faces, marks, DROP)


@cache
def mesh(who: str) -> trimesh.Trimesh:
    points = figure(who)[0]
    return trimesh.Trimesh(points, triangles(points, body().faces), process=False)


NEAR = 80
"""So many triangles, nearest by their middles, hold the one nearest a point."""


def over(who: str, points: Array) -> Array:
    """How far points (k, 3) lie over the skin, cm, below 0 under it: by trimesh."""
    m = mesh(who)
    near = np.asarray(cKDTree(m.triangles_center).query(points, NEAR)[1])
    each = np.repeat(points, NEAR, axis=0)
    foot = trimesh.triangles.closest_point(m.triangles[near.ravel()], each)  # type: ignore[no-untyped-call]
    away = (each - foot).reshape(-1, NEAR, 3)
    size = np.linalg.norm(away, axis=2)
    best = size.argmin(axis=1)
    row = np.arange(len(points))
    out = (away[row, best] * m.face_normals[near[row, best]]).sum(axis=1)
    found: Array = np.where(out < 0.0, -1.0, 1.0) * size[row, best]
    return found


def off(who: str, points: Array) -> Array:
    """How far points (k, 3) lie off the skin, cm."""
    return np.abs(over(who, points))


def of(who: str, kind: str) -> dict[str, Line3]:
    return {name: line for name, line in drawn(who).items() if line.kind == kind}


@bodies
def test_every_tape_is_as_long_as_the_figure_measures(who: str) -> None:
    found = of(who, "tape")
    for name, line in found.items():
        if not name.startswith("waist_to_knee"):
            assert line.length == pytest.approx(measures(who)[name], abs=0.01), name
    knees = [found[f"waist_to_knee_{side}"].length for side in ("left", "right")]
    assert np.mean(knees) == pytest.approx(measures(who)["waist_to_knee"], abs=0.01)


def test_there_is_a_tape_for_every_measure_a_tape_takes() -> None:
    assert {line.term for line in of("mean", "tape").values()} == set(TERMS) - UNTAPED
    for name, line in of("mean", "tape").items():
        term, side = split_side(name)
        assert term == line.term
        if TERMS[term].sided:
            assert side, name


@bodies
def test_levels_lie_on_the_skin_and_are_level(who: str) -> None:
    """Against trimesh's nearest point; the neck base runs over the faces between its points."""
    z = figure(who)[1].levels
    aslant = ("neck", "neck_base", "upper_arm", "elbow", "wrist")
    for name, line in of(who, "level").items():
        assert off(who, line.points).max() < (1e-6 if name != "neck_base" else 0.1), name
        if split_side(name)[0] not in aslant:
            assert np.ptp(line.points[:, 2]) < 1e-9, name
        if (
            name in z and "ankle" not in name
        ):  # that level is the bone's, and the girth lies over it
            assert line.points[0, 2] == pytest.approx(z[name]), name
    found = drawn(who)
    assert found["worn_waist"].points[0, 2] == pytest.approx(z["waist"] - DROP)


@bodies
def test_the_skin_is_never_shorter_than_the_tape_over_it(who: str) -> None:
    for name, line in of(who, "level").items():
        side = split_side(name)[1]
        tape = drawn(who)[f"{line.term}_{side}" if side else line.term]
        assert line.length >= tape.length - 1e-9, name
        # nor does it go a second time over itself
        assert line.length < 1.25 * tape.length, name


@bodies
def test_a_level_is_the_section_that_trimesh_cuts(who: str) -> None:
    for name in ("under_bust", "waist", "top_hip", "calf_left", "ankle_right"):
        line = drawn(who)[name]
        cut = mesh(who).section([0.0, 0.0, 1.0], [0.0, 0.0, float(line.points[0, 2])])
        assert cut is not None
        middle = line.points[:, :2].mean(axis=0)
        near = min(
            (cut.vertices[e.points] for e in cut.entities),
            key=lambda p: float(np.linalg.norm(p[:, :2].mean(axis=0) - middle)),
        )
        expected = np.linalg.norm(np.diff(near, axis=0), axis=1).sum()
        assert line.length == pytest.approx(expected, abs=0.01), name


@bodies
def test_tapes_lie_on_the_skin_or_over_it(who: str) -> None:
    """No corner of a girth leaves the skin; no place of a back tape goes under it."""
    for term in ("bust", "waist", "hip", "worn_waist"):
        assert off(who, drawn(who)[f"{term}_girth"].points).max() < 1e-6
    tape = drawn(who)["back_waist_length"].points
    steps = np.linspace(0.0, 1.0, 9)[:, None, None]
    every = (tape[:-1] + steps * (tape[1:] - tape[:-1])).reshape(-1, 3)
    height = over(who, every)
    assert height.min() > -0.01
    assert height.max() > 0.1  # it bridges the small of the back


@bodies
def test_tapes_end_at_their_landmarks(who: str) -> None:
    marks, found = figure(who)[1], of(who, "tape")
    for name, line in found.items():
        assert set(line.ends) <= set(marks.points), name
    for name in (
        "shoulder_length_left",
        "arm_length_right",
        "back_neck_to_wrist_left",
        "across_front_width",
        "across_back_width",
        "across_back_shoulder_width",
        "bust_point_width",
        "side_neck_to_bust_point_right",
    ):
        line = found[name]
        ends = (marks[line.ends[0]], marks[line.ends[-1]])
        assert np.abs(line.points[[0, -1]] - np.stack(ends)).max() < 1e-9, name
    for name in ("height", "cervical_height", "outside_leg_left", "inside_leg_right"):
        assert found[name].points[-1, 2] == pytest.approx(0.0, abs=1e-9), name


@bodies
def test_front_and_back_arcs_share_their_ends(who: str) -> None:
    for term in ("bust", "waist", "hip"):
        front, back = (drawn(who)[f"{term}_{part}_arc"].points for part in ("front", "back"))
        assert np.abs(front[[0, -1]] - back[[-1, 0]]).max() < 1e-6
        assert front[:, 1].mean() < back[:, 1].mean()  # y goes to her back


@bodies
def test_plumbs_hang_free_and_end_on_the_floor(who: str) -> None:
    points, marks = figure(who)
    found = of(who, "plumb")
    assert len(found) == 6
    for name, line in found.items():
        top, foot = line.points
        assert np.array_equal(top[:2], foot[:2]), name
        assert foot[2] == 0.0
        assert top[2] > 50.0
        if name in ("plumb_front", "plumb_back"):
            along = foot + np.linspace(0.0, 1.0, 60)[:, None] * (top - foot)
            assert over(who, along).min() > -1e-3, name
    # seen from the front and the back, the middle; from the side, the ankle and the waist's middle
    assert found["plumb_front"].points[0, 0] == marks["front_neck_point"][0]
    assert found["plumb_back"].points[0, 0] == marks["back_neck_point"][0]
    waist = drawn(who)["waist"].points[:, 1]
    for side, sign in (("left", 1.0), ("right", -1.0)):
        ankle, middle = (found[f"plumb_{n}_{side}"].points[1] for n in ("ankle", "waist"))
        assert ankle[1] == marks[f"ankle_bone_{side}"][1]
        assert middle[1] == pytest.approx((waist.min() + waist.max()) / 2.0, abs=1e-9)
        legs = points[(points[:, 2] < marks.levels["knee_left"]), 0]
        assert sign * middle[0] >= (sign * legs).max() - 1e-9
        assert sign * middle[0] >= (sign * drawn(who)["hip"].points[:, 0]).max() - 1e-9


def test_the_front_plumb_touches_where_she_stands_out_most() -> None:
    """The middle of the trunk by trimesh; from the front neck point down to the fork."""
    for who in BODIES:
        marks = figure(who)[1]
        for part, sign in (("front", -1.0), ("back", 1.0)):
            start = marks[f"{part}_neck_point"]
            cut = mesh(who).section([1.0, 0.0, 0.0], [float(start[0]) + 0.05, 0.0, 0.0])
            assert cut is not None
            at = cut.vertices
            on = at[(at[:, 2] <= start[2]) & (at[:, 2] >= marks["fork"][2])]
            expected = max(float((sign * on[:, 1]).max()), sign * float(start[1]))
            found = float(drawn(who)[f"plumb_{part}"].points[0, 1])
            assert sign * found == pytest.approx(expected, abs=0.02), (who, part)


def test_a_level_under_the_fork_goes_round_each_thigh() -> None:
    points, marks = figure("mean")
    low = {**marks.levels, "hip": marks.levels["fork"] - 4.0}
    found = lines(points, body().faces, replace(marks, levels=low))
    assert "hip" not in found
    left, right = found["hip_left"], found["hip_right"]
    assert left.points[:, 0].min() > -0.5
    assert right.points[:, 0].max() < 0.5
    girth = found["hip_girth"]
    assert girth.length < left.length + right.length
    assert np.ptp(girth.points[:, 0]) > 25.0
