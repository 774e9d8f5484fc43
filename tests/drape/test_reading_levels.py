"""Hems, seams, creases and grain that hang off level and plumb by known amounts, and the signs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from pinwright.drape.data import Hung, Panel, Shell, Surface
from pinwright.drape.reading import read
from pinwright.drape.reading.judge import judge
from pinwright.drape.reading.levels import Level, levels
from pinwright.drape.reading.sign import Sign
from pinwright.drape.reading.strain import strain
from pinwright.fitting.catalogue import all_entries
from tests.drape.test_reading_shapes import closed_tube, hung, round_at, tube

LEVELS = {"waist": 60.0, "hip": 40.0, "knee": 10.0}


def skirt(radius: float = 16.0) -> Hung:
    shell, along, height = tube(100.0, 70.0, 25, 70, LEVELS)
    points = round_at(along, height, radius)
    points[:, 2] += 30.0
    return hung(shell, points, closed_tube(14.0, 14.0, 0.0, 120.0))


def test_a_hem_tipped_to_the_front() -> None:
    # tipped by a twentieth about x: at +-16 cm from the axis 0.8 higher and lower
    h = skirt()
    points = h.points.copy()
    points[:, 2] -= 0.05 * points[:, 1]
    (hem,) = levels(replace(h, points=points), strain(h)).hems
    assert hem.name == "hem"
    assert hem.side == ""
    assert hem.lowest == pytest.approx(30.0 - 0.8)
    assert hem.highest == pytest.approx(30.8)
    assert hem.within == pytest.approx(1.6)
    # the mean within 30 degrees of the front: 0.8 sin(30 deg) / (30 deg in radians)
    mean = 0.8 * 0.5 / np.radians(30.0)
    assert hem.heights["front"] == pytest.approx(30.0 + mean, abs=0.01)
    assert hem.heights["back"] == pytest.approx(30.0 - mean, abs=0.01)
    assert hem.heights["left"] == pytest.approx(30.0, abs=0.01)
    assert hem.uneven == pytest.approx(2.0 * mean, abs=0.02)


def test_a_line_is_lifted_by_what_it_hangs_higher_than_drawn() -> None:
    h = skirt()
    (as_is,) = levels(h, strain(h)).hems
    (up,) = levels(replace(h, points=h.points + np.array([0.0, 0.0, 1.5])), strain(h)).hems
    assert up.lift - as_is.lift == pytest.approx(1.5)
    # a sleeve's is drawn from the shoulder tip down: as deep below one as below the other
    assert _arm(40.0, 0.0).lift - _arm(42.0, 2.0).lift == pytest.approx(0.0)
    assert _arm(40.0, 0.0).lift - _arm(40.0, 2.0).lift == pytest.approx(-2.0)


def _arm(tip: float, up: float) -> Level:
    """The hem of a tube that hangs as a right sleeve under a front whose shoulder ends at ``tip``,
    ``up`` cm higher than another."""
    h = skirt()
    sleeves = tuple(replace(p, home="sleeve", side="right") for p in h.shell.panels)
    corner = replace(
        h.shell.panels[0],
        home="front",
        side="right",
        points=np.array([[0.0, 20.0], [0.0, tip], [5.0, 20.0]]),
        edges={"armhole": (np.array([0, 1]),)},
        lines={},
    )
    shell = replace(
        h.shell,
        panels=(*sleeves, corner),
        vertices=(*h.shell.vertices, np.array([0, 1, 2])),
    )
    hung_ = replace(h, shell=shell, points=h.points + np.array([0.0, 0.0, up]))
    return next(x for x in levels(hung_, strain(h)).hems if x.name == "sleeve hem")


def test_a_planned_drop_is_not_uneven() -> None:
    # the back drafted 1.5 longer at its centre and hanging so
    h = skirt()
    points = h.points.copy()
    panels = []
    for p, v in zip(h.shell.panels, h.shell.vertices, strict=True):
        run = p.edges["hem"][0]
        drop = 1.5 * (1.0 - p.points[run, 0] / 25.0) if p.home == "back" else 0.0 * run
        flat = p.points.copy()
        flat[run, 1] -= drop
        points[v[run], 2] = 30.0 - drop
        panels.append(replace(p, points=flat))
    h = replace(h, points=points, shell=replace(h.shell, panels=tuple(panels)))
    (hem,) = levels(h, strain(h)).hems
    assert hem.within == pytest.approx(1.5)
    assert hem.uneven == pytest.approx(0.0, abs=1e-9)
    assert not [s for s in judge(read(h, {})) if s.kind == "not level"]


def test_balance_lines_in_space() -> None:
    found = {x.name: x for x in levels(skirt(), strain(skirt())).lines}
    assert found["waist level"].heights["back"] == pytest.approx(90.0)
    assert found["hip level"].heights["left"] == pytest.approx(70.0)
    assert "waist edge" not in found  # the line says it


def test_side_seams_that_swing_back() -> None:
    # all below the waist turned back by 4 cm on 60
    h = skirt()
    points = h.points.copy()
    points[:, 1] += np.clip(90.0 - points[:, 2], 0.0, None) / 60.0 * 4.0
    seams = {p.side: p for p in levels(replace(h, points=points), strain(h)).seams}
    assert set(seams) == {"left", "right"}
    for p in seams.values():
        assert p.at["hip"] == pytest.approx(4.0 / 3.0)
        assert p.at["knee"] == pytest.approx(50.0 / 60.0 * 4.0)
        assert p.at["hem"] == pytest.approx(4.0)
    (sign,) = [s for s in judge(read(replace(h, points=points), {})) if s.kind == "swings"]
    assert sign.says == "side seam, right and left: swings to the back, 4.0 cm off plumb at the hem"


def test_grain_that_leans() -> None:
    # twisted about the axis by 3 degrees on 70 cm: the warp leans by atan(16 x 3 deg / 70)
    shell, along, height = tube(100.0, 70.0, 25, 70, LEVELS)
    points = round_at(along + 3.0 / 360.0 * height / 70.0, height, 16.0)
    h = hung(shell, points, closed_tube(14.0, 14.0, -5.0, 90.0))
    lean = np.degrees(np.arctan(16.0 * np.radians(3.0) / 70.0))
    found = {(g.what, g.side): g for g in levels(h, strain(h)).grain}
    # at the front the upper end is turned to her left: the lower end leans to her right
    assert found["centre front", "right"].sideways == pytest.approx(lean, rel=0.02)
    assert found["centre front", "left"].sideways == pytest.approx(-lean, rel=0.02)
    assert found["centre back", "left"].sideways == pytest.approx(lean, rel=0.02)
    # the turning carries the front a little sideways, never off
    assert abs(found["centre back", "left"].away) < 0.2


ROUND = 60.0 / 2.0 / np.pi
"""Of the tubes that go round each leg, cm."""


def legs(
    lean: float = 0.0,
    beside: float = 0.0,
    *,
    back: float = 0.0,
    turn: float = 0.0,
    leg: float = 8.0,
    slope: float = 0.0,
) -> Hung:
    """Two tubes about two legs, with a crease in the middle of each front and back.

    lean: how far the hem hangs outwards; beside: how far outwards the whole leg of cloth lies;
    back: how far the hem hangs back; turn: how far (cm along it) the hem is turned outwards; leg:
    radius of the legs; slope: how far back they stand where the hem is.
    """
    shell, along, height = tube(60.0, 70.0, 12, 70, {"crotch": 60.0, "knee": 35.0})
    down = (70.0 - height) / 70.0
    points = round_at(along, height, ROUND)
    points[:, 2] += 10.0
    panels: list[Panel] = []
    vertices, both, triangles, rest, of = [], [], [], [], []
    for k, (side, out) in enumerate((("left", 1.0), ("right", -1.0))):
        angle = out * turn / ROUND * down
        x, y = points[:, 0], points[:, 1]
        own = points.copy()
        own[:, 0] = np.cos(angle) * x - np.sin(angle) * y + out * (12.0 + beside)
        own[:, 1] = np.sin(angle) * x + np.cos(angle) * y + back * down
        own[:, 0] += out * lean * np.clip(70.0 - own[:, 2], 0.0, None) / 60.0
        both.append(own)
        triangles.append(shell.triangles + k * shell.n)
        rest.append(shell.rest)
        of.append(shell.panel + 4 * k)
        for p, v in zip(shell.panels, shell.vertices, strict=True):
            # the tube's centre front is the crease of the leg: the middle of its front
            crease = p.edges["centre"][0] if p.side == side else np.zeros(0, np.int64)
            lines = {**p.lines, "crease": crease} if len(crease) else dict(p.lines)
            edges = {("inseam" if e == "side" and p.side != side else e): r
                     for e, r in p.edges.items() if e != "centre"}  # fmt: skip
            panels.append(replace(p, side=side, lines=lines, edges=edges))  # type: ignore[arg-type]
            vertices.append(v + k * shell.n)
    n = shell.n
    sewn = Shell(
        n=2 * n, panels=tuple(panels), vertices=tuple(vertices),
        triangles=np.concatenate(triangles), rest=np.concatenate(rest),
        panel=np.concatenate(of), seams={},
    )  # fmt: skip
    one = closed_tube(leg, leg, 0.0, 100.0)
    one.points[:, 1] += slope * np.clip((80.0 - one.points[:, 2]) / 70.0, 0.0, None)
    body = Surface(
        np.concatenate([one.points + np.array([x, 0.0, 0.0]) for x in (-12.0, 12.0)]),
        np.concatenate([one.triangles, one.triangles + len(one.points)]),
    )
    return hung(sewn, np.concatenate(both), body)


def swinging(h: Hung) -> list[str]:
    return [s.says for s in judge(read(h, {})) if s.kind == "swings"]


def test_a_leg_that_hangs_free_is_judged_by_the_plumb_line() -> None:
    # thin legs that stand 3 cm farther back at the hem touch nothing
    assert swinging(legs(leg=5.0, slope=3.0)) == []
    for back, way in ((2.0, "back"), (-2.0, "front")):
        h = legs(leg=5.0, slope=3.0, back=back)
        for p in levels(h, strain(h)).seams:
            assert p.at["hem"] == pytest.approx(back)
            # behind it is leg, where the hem hangs 2 to the front; before it is none
            assert p.forwards == pytest.approx(max(ROUND - 5.0 + back - 3.0, 0.0), abs=0.1)
            assert p.backwards == pytest.approx(ROUND - 5.0 - back + 3.0, abs=0.2)
            assert p.beside == pytest.approx(0.0, abs=0.02)
        assert swinging(h) == [
            f"side seam, right and left: swings to the {way}, 2.0 cm off plumb at the hem"
        ]


def test_a_leg_that_lies_on_goes_with_the_leg() -> None:
    on = ROUND - 0.05
    h = legs(leg=on, slope=4.0, back=4.0)
    for p in levels(h, strain(h)).seams:
        assert p.at["hem"] == pytest.approx(4.0)
        assert p.forwards == pytest.approx(0.05, abs=0.03)
    assert swinging(h) == []
    # where it need not go so far back, it hangs as much off plumb as there is room before it
    (told,) = swinging(legs(leg=8.0, slope=4.0, back=4.0))
    assert "4.0 cm off plumb at the hem, where the leg lets it hang 1.6 cm nearer" in told


@pytest.mark.parametrize(("turn", "way"), [(2.0, "behind"), (-2.0, "before")])
def test_a_leg_that_lies_on_and_is_turned_is_told(turn: float, way: str) -> None:
    h = legs(leg=ROUND - 0.05, slope=4.0, back=4.0, turn=turn)
    off = ROUND * np.sin(turn / ROUND)
    for p in levels(h, strain(h)).seams:
        assert p.beside == pytest.approx(off, abs=0.04)
    assert swinging(h) == [
        f"side seam, right and left: runs 2.0 cm {way} the middle of the leg at the hem"
    ]
    # of one that hangs free the plumb line tells the same
    (told,) = swinging(legs(leg=5.0, turn=turn))
    assert "2.0 cm off plumb" in told


def test_a_leg_that_lies_on_is_seen_square_to_the_foot() -> None:
    """Of a leg turned by 7 degrees with a foot that points out by 7 the seam is in the middle."""
    out = np.radians(7.0)
    h = legs(leg=ROUND - 0.05, slope=4.0, back=4.0, turn=ROUND * out)
    points, low = h.body.points.copy(), h.body.points[:, 2] < 9.0
    x, y = np.abs(points[low, 0]) - 12.0, (points[low, 1] - points[low, 1].mean()) * 2.0
    side = np.sign(points[low, 0])
    points[low, 0] = side * (12.0 + np.cos(out) * x - np.sin(out) * y)
    points[low, 1] = np.sin(out) * x + np.cos(out) * y
    foot = replace(h, body=replace(h.body, points=points))
    for p, q in zip(levels(foot, strain(h)).seams, levels(h, strain(h)).seams, strict=True):
        assert q.beside == pytest.approx(ROUND * np.sin(out), abs=0.04)
        assert p.beside == pytest.approx(0.0, abs=0.04)
    assert swinging(h)
    assert not swinging(foot)


def test_creases_that_lean_and_lie_beside_the_knee() -> None:
    h = legs(lean=1.2, beside=0.5)
    found = levels(h, strain(h)).creases
    assert sorted((p.what, p.side) for p in found) == [
        ("back crease", "left"), ("back crease", "right"),
        ("front crease", "left"), ("front crease", "right"),
    ]  # fmt: skip
    for p in found:
        assert p.top == "crotch level"
        assert p.at["knee"] == pytest.approx(0.5)
        assert p.at["hem"] == pytest.approx(1.2)
        assert p.knee == pytest.approx(0.5 + 0.5)
        assert p.foot == pytest.approx(1.2 + 0.5)
    (sign,) = [s for s in judge(read(h, {})) if s.kind == "leans"]
    assert sign.side == "right and left"
    # the legs of this body stand plumb, half a centimetre beside the creases
    assert "runs 1.7 cm outside the middle of the foot" in sign.says
    assert not [s for s in judge(read(legs(), {})) if s.kind == "leans"]


def test_a_crease_at_the_floor_is_judged_over_the_foot_where_it_lies() -> None:
    # feet longer by half that point out by a fifth; cloth 60 cm round comes down beside them
    h = legs()
    points, low = h.body.points.copy(), h.body.points[:, 2] < 9.0
    points[low, 1] *= 1.5
    points[low, 0] -= 0.2 * points[low, 1] * np.sign(points[low, 0])
    found = levels(
        replace(h, points=h.points - [0.0, 0.0, 8.0], body=replace(h.body, points=points)),
        strain(h),
    ).creases
    for p in found:
        off = -0.2 * 60.0 / 2.0 / np.pi * (1.0 if p.what == "front crease" else -1.0)
        assert p.foot == pytest.approx(off, abs=0.05)
        assert p.knee == pytest.approx(0.0, abs=0.01)


def test_each_leg_has_its_hem() -> None:
    h = legs()
    points = h.points.copy()
    points[points[:, 0] > 0.0, 2] += 1.0
    found = {x.side: x for x in levels(replace(h, points=points), strain(h)).hems}
    assert found["left"].lowest == pytest.approx(11.0)
    assert found["right"].highest == pytest.approx(10.0)


def test_strained_places_are_told_by_how_much() -> None:
    def strained(stretched: float) -> list[Sign]:
        signs = judge(read(skirt(100.0 * (1.0 + stretched) / 2.0 / np.pi), {}))
        return [s for s in signs if s.kind == "strained"]

    tight = strained(0.025)
    # where a cutter would let out; over the waist and at the thigh only the side seam is a place,
    # and panels say no more
    assert {s.place.split(",")[0] for s in tight} == {
        "side seam above the waist", "waist level", "hip level", "side seam from hip to knee",
        "knee level", "hem",
    }  # fmt: skip
    for s in tight:
        assert s.side == "right and left"
        assert s.amount == pytest.approx(0.025, abs=3e-4)
        assert s.wrong
        assert s.tolerance == 0.02
    assert strained(0.015)
    assert not any(s.wrong for s in strained(0.015))
    assert strained(0.005) == []


def test_a_waist_that_gapes() -> None:
    # 16.5 over a body of 14: 2.5 off, 0.5 planned
    signs = [s for s in judge(read(skirt(16.5), {})) if s.kind == "gapes"]
    assert {(s.place, s.side) for s in signs} == {
        ("waist edge, front", "right and left"),
        ("waist edge, back", "right and left"),
    }
    back = next(s for s in signs if s.place == "waist edge, back")
    assert back.amount == pytest.approx(2.0, abs=0.02)
    assert {c.kind for c in back.causes} == {"waist_dart_intake", "waistband_length"}
    near = judge(read(skirt(15.1), {}))  # 0.6 over what was planned
    assert not [s for s in near if s.kind == "gapes"]


def test_a_fold_across_the_back_waist_is_read_as_a_hollow_back() -> None:
    shell, along, height = tube(100.0, 70.0, 30, 80, {"waist": 60.0, "hip": 40.0})
    bulge = 0.6 * np.exp(-0.5 * ((height - 60.0) / 1.2) ** 2)
    bulge *= 1.0 / (1.0 + np.exp((np.abs(along - 0.5) * 100.0 - 18.0) / 0.4))
    points = round_at(along, height, 100.0 / 2.0 / np.pi + bulge)
    h = hung(shell, points, closed_tube(12.0, 12.0, -5.0, 90.0))
    (sign,) = [
        s for s in judge(read(h, {"back_waist": np.array([0.0, 16.0, 60.0])})) if s.kind == "fold"
    ]
    assert sign.place == "back waist"
    assert "horizontal fold on the back" in sign.says
    assert sign.causes[0].kind == "hollow_back"
    assert sign.causes[0].sign in all_entries()["hollow_back"].signs
