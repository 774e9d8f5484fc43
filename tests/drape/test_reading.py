"""Strain, gap, pressure and girths of hung garments whose answers geometry gives."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ellipe

from pinwright.drape.data import Hung, Rest, Shell, Surface
from pinwright.drape.reading import read
from pinwright.drape.reading.cloth import vertex_areas
from pinwright.drape.reading.gap import gaps, girths
from pinwright.drape.reading.nearest import nearest
from pinwright.drape.reading.pressure import pressure
from pinwright.drape.reading.section import section
from pinwright.drape.reading.strain import at_vertices, peak_of, strain, strain_of
from tests.drape.test_reading_shapes import closed_tube, hung, round_at, tube

LEVELS = {"waist": 60.0, "hip": 40.0}


def straight(radius: float = 16.0, flat: float = 100.0, tall: float = 1.0) -> Hung:
    """A tube of flat girth and height 70, on a cylinder of a radius, its hem 30 over the floor."""
    shell, along, height = tube(flat, 70.0, 25, 70, LEVELS)
    points = round_at(along, height * tall, radius)
    points[:, 2] += 30.0
    return hung(shell, points, closed_tube(14.0, 14.0, 0.0, 120.0))


def chord(radius: float, parts: int = 100) -> float:
    """The girth of a polygon on a circle."""
    return float(2.0 * parts * radius * np.sin(np.pi / parts))


def test_strain_of_a_stretched_tube() -> None:
    h = straight(radius=16.5, tall=1.03)
    s = strain(h)
    wide = chord(16.5) / 100.0
    np.testing.assert_allclose(s.across, wide - 1.0, atol=1e-9)
    np.testing.assert_allclose(s.along, 0.03, atol=1e-9)
    np.testing.assert_allclose(s.shear, 0.0, atol=1e-9)
    np.testing.assert_allclose(s.most, max(wide - 1.0, 0.03), atol=1e-9)
    np.testing.assert_allclose(np.abs(s.warp[:, 2]), 1.0, atol=1e-9)


def test_simple_shear() -> None:
    # F = [[1, g], [0, 1]]: the warp is sqrt(1 + g^2) times as long, the principal stretches are
    # (sqrt(g^2 + 4) +- g) / 2 (any text on continuum mechanics)
    g = 0.2
    flat = np.array([[[0.0, 0.0], [1.0, 0.0], [0.3, 2.0]]])
    points = np.array([[x + g * y, 0.0, y] for x, y in flat[0]])
    s = strain_of(points, np.array([[0, 1, 2]]), flat)
    assert s.across[0] == pytest.approx(0.0)
    assert s.along[0] == pytest.approx(np.sqrt(1.0 + g * g) - 1.0)
    assert s.shear[0] == pytest.approx(np.degrees(np.arctan(g)))
    assert s.most[0] == pytest.approx((np.sqrt(g * g + 4.0) + g) / 2.0 - 1.0)
    assert s.least[0] == pytest.approx((np.sqrt(g * g + 4.0) - g) / 2.0 - 1.0)
    left = 0.5 * np.arctan2(2.0, g)  # the greatest stretch, from the weft
    assert abs(s.towards[0] @ [np.cos(left), 0.0, np.sin(left)]) == pytest.approx(1.0)


def test_a_sliver_makes_no_peak() -> None:
    values, area = np.append(np.full(999, 0.01), 0.4), np.append(np.full(999, 1.0), 0.01)
    assert peak_of(values, area) == pytest.approx(0.01)
    assert peak_of(np.linspace(0.0, 1.0, 1001), np.ones(1001)) == pytest.approx(0.99, abs=1e-3)


def test_means_at_vertices_weigh_by_area() -> None:
    triangles = np.array([[0, 1, 2], [1, 3, 2]])
    found = at_vertices(np.array([0.1, 0.4]), triangles, np.array([1.0, 2.0]), 4)
    np.testing.assert_allclose(found, [0.1, 0.3, 0.3, 0.4])


def test_distance_to_a_cube_is_signed() -> None:
    # side 2 about the origin: exact to faces, sides and corners
    h = np.array([-1.0, 1.0])
    corner = np.array([[x, y, z] for x in h for y in h for z in h])
    quads = np.array(
        [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]]
    )
    body = Surface(corner, quads[:, [[0, 1, 2], [0, 2, 3]]].reshape(-1, 3))
    rng = np.random.default_rng(1)
    p = rng.uniform(-3.0, 3.0, (500, 3))
    q = np.abs(p) - 1.0
    out = np.linalg.norm(np.maximum(q, 0.0), axis=1) + np.minimum(q.max(axis=1), 0.0)
    np.testing.assert_allclose(nearest(p, body).distance, out, atol=1e-12)


def test_nearest_is_that_of_every_triangle() -> None:
    body = closed_tube(12.0, 9.0, 0.0, 40.0, around=24)
    rng = np.random.default_rng(2)
    p = rng.uniform(-20.0, 20.0, (60, 3)) + np.array([0.0, 0.0, 20.0])
    corner = body.points[body.triangles]
    share = np.linspace(0.0, 1.0, 41)
    u, v = (x.ravel() for x in np.meshgrid(share, share))
    u, v = u[u + v <= 1.0 + 1e-12], v[u + v <= 1.0 + 1e-12]
    many = (
        corner[:, None, 0]
        + u[None, :, None] * (corner[:, None, 1] - corner[:, None, 0])
        + v[None, :, None] * (corner[:, None, 2] - corner[:, None, 0])
    ).reshape(-1, 3)
    found = nearest(p, body)
    for k in range(len(p)):
        sampled = float(np.linalg.norm(many - p[k], axis=1).min())
        apart = abs(float(found.distance[k]))
        assert apart <= sampled + 1e-12
        assert sampled - apart < 0.1  # the samples lie within 0.1 of every point of a triangle
        inside = (p[k, 0] / 12.0) ** 2 + (p[k, 1] / 9.0) ** 2 < 0.95 and 0.0 < p[k, 2] < 40.0
        if inside:
            assert found.distance[k] < 0.0


def test_gap_of_a_tube_about_a_cylinder() -> None:
    h = straight(radius=16.0)
    gap = gaps(replace(h, thickness=0.1)).distance
    # to the polygon of 96 sides: between the inscribed and the circumscribed circle
    assert (gap > 2.0 - 0.05 - 1e-9).all()
    assert (gap < 16.0 - 14.0 * np.cos(np.pi / 96.0) - 0.05 + 1e-9).all()


def test_girths_about_an_ellipse() -> None:
    shell, along, height = tube(100.0, 70.0, 25, 70, LEVELS)
    points = round_at(along, height, 16.0)
    h = hung(shell, points, closed_tube(12.0, 9.0, 0.0, 120.0, around=360), thickness=0.1)
    (g,) = girths(h, {"hip": 40.3})
    around = 4.0 * 12.0 * ellipe(1.0 - (9.0 / 12.0) ** 2)  # a handbook's perimeter of an ellipse
    assert g.body == pytest.approx(around, rel=1e-3)
    assert g.flat == pytest.approx(100.0, abs=1e-9)
    # diagonals of the mesh cut their chords' sagitta off; the inside lies 0.05 nearer the axis
    assert g.cloth == pytest.approx(2.0 * np.pi * 15.95, rel=1e-3)
    assert g.taut == pytest.approx(g.cloth, rel=1e-6)
    assert not g.open
    assert g.side == ""


def test_a_ruffled_line_is_longer_than_its_tape() -> None:
    shell, along, height = tube(110.0, 20.0, 50, 10)
    points = round_at(along, height, 16.0 + 0.8 * np.cos(2.0 * np.pi * 10.0 * along))
    h = hung(shell, points, closed_tube(12.0, 12.0, -5.0, 40.0))
    (g,) = girths(h, {"hip": 9.0})
    a = np.linspace(0.0, 2.0 * np.pi, 20001)
    r = 16.0 + 0.8 * np.cos(10.0 * a)
    x, y = r * np.cos(a), r * np.sin(a)
    assert g.cloth == pytest.approx(np.hypot(np.diff(x), np.diff(y)).sum(), rel=5e-3)
    # a tape touches the ten crests: a little over the polygon on them
    assert 20.0 * 16.8 * np.sin(np.pi / 10.0) < g.taut < 2.0 * np.pi * 16.8


def test_a_level_that_runs_out_over_a_waist_is_no_girth() -> None:
    shell, along, height = tube(60.0, 30.0, 12, 20)
    points = round_at(along, height, 60.0 / (2.0 * np.pi))
    # the front of the upper edge dips by 4 cm: at 28 cm there is cloth at the back alone
    points[:, 2] -= 4.0 * (height / 30.0) * (points[:, 1] < 0.0)
    h = hung(shell, points, closed_tube(8.0, 8.0, -10.0, 50.0))
    assert [(g.place, g.open) for g in girths(h, {"waist": 28.0, "hip": 15.0})] == [("hip", False)]


def test_two_legs_are_two_girths() -> None:
    one = tube(60.0, 30.0, 10, 15)
    shell, along, height = one
    points = round_at(along, height, 60.0 / 2.0 / np.pi)
    n = shell.n
    legs = Shell(
        n=2 * n,
        panels=shell.panels * 2,
        vertices=(*shell.vertices, *(v + n for v in shell.vertices)),
        triangles=np.concatenate([shell.triangles, shell.triangles + n]),
        rest=np.concatenate([shell.rest, shell.rest]),
        panel=np.concatenate([shell.panel, shell.panel + 4]),
        seams={},
    )
    leg = closed_tube(8.0, 8.0, -5.0, 40.0)
    body = Surface(
        np.concatenate([leg.points + np.array([x, 0.0, 0.0]) for x in (-12.0, 12.0)]),
        np.concatenate([leg.triangles, leg.triangles + len(leg.points)]),
    )
    h = hung(legs, np.concatenate([points + np.array([x, 0.0, 0.0]) for x in (-12.0, 12.0)]), body)
    found = girths(h, {"knee": 15.0})
    assert sorted(g.side for g in found) == ["left", "right"]
    for g in found:
        assert g.body == pytest.approx(2.0 * np.pi * 8.0, rel=2e-3)
        assert g.flat == pytest.approx(60.0)


def test_section_of_a_tube_is_one_closed_line() -> None:
    h = straight()
    (line,) = section(h.points, h.shell.triangles, 60.0, h.shell.rest)
    assert line.closed
    np.testing.assert_allclose(line.points[:, 2], 60.0, atol=1e-6)


def test_pressure_is_force_over_area() -> None:
    # 2 N over the whole tube, shared as its area: 2 N / (girth 1 x height 0.7 m) in kPa
    h = straight(radius=16.0)
    area = vertex_areas(h.points, h.shell.triangles)
    touch = 2.0e5 * area / area.sum()
    h = hung(h.shell, h.points, h.body, touch=touch)
    np.testing.assert_allclose(pressure(h), 2.0 / (chord(16.0) * 0.70 / 100.0) / 1000.0)


def test_places_know_their_strain_gap_and_pressure() -> None:
    shell, along, height = tube(100.0, 70.0, 25, 70, LEVELS)
    radius = np.where(height > 50.0, 17.0, 16.0)  # the waist stretched, the rest not
    points = round_at(along, height, radius)
    body = closed_tube(14.0, 14.0, -5.0, 90.0)
    touch = np.where((points[:, 0] > 0.0) & (height > 50.0), 100.0, 0.0)
    r = read(hung(shell, points, body, touch=touch), {})
    waist = r.at("waist level, front", "left")
    assert waist.strain_across == pytest.approx(chord(17.0) / 100.0 - 1.0, abs=1e-6)
    assert waist.gap == pytest.approx(3.0, abs=0.02)
    assert waist.touched > 0.95
    assert waist.pressure == pytest.approx(100.0 / (chord(17.0) / 100.0) * 1e-4, rel=1e-3)
    # its band: 2 cm to either side of a quarter of the flat girth
    assert waist.area == pytest.approx(4.0 * 25.0, rel=0.06)
    hip = r.at("hip level, front", "left")
    assert hip.strain_across == pytest.approx(chord(16.0) / 100.0 - 1.0, abs=1e-6)
    assert hip.touched == 0.0
    right = r.at("waist level, front", "right")
    assert right.touched < 0.05
    names = {p.name for p in r.places}
    assert {
        "side seam above the waist, front",
        "side seam from waist to hip, back",
        "side seam below the hip, front",
        "hem, front",
        "centre back",
        "waist edge, front",
    } <= names


def test_the_reading_is_plain_data() -> None:
    marks = {"bust_point_left": np.array([6.0, -15.0, 95.0])}
    told = read(straight(), marks).as_json()
    back = json.loads(json.dumps(told))
    assert {"places", "levels", "folds", "rest", "girths"} <= set(back)
    for key in ("place", "strain_along", "strain_across", "gap", "pressure"):
        assert key in back["places"][0]
    assert back["rest"] == {
        "residual": 0.001,
        "seconds": 1.5,
        "steps": 10,
        "stopped": False,
        "card": None,
    }


def test_the_way_the_triangles_are_turned_does_not_matter() -> None:
    h = straight()
    shell = h.shell
    other = replace(
        shell,
        triangles=shell.triangles[:, ::-1].copy(),
        rest=shell.rest[:, ::-1] * [-1.0, 1.0],
    )
    a, b = read(h, {}), read(replace(h, shell=other), {})
    np.testing.assert_allclose(a.across, b.across, atol=1e-12)
    np.testing.assert_allclose(a.gap, b.gap, atol=1e-12)


def test_what_cannot_be_trusted_is_said() -> None:
    assert read(straight(), {}).doubts == ()
    h = straight(radius=13.0)  # a body of 14
    assert any("100% of the cloth lies inside the body" in d for d in read(h, {}).doubts)
    h = straight(radius=20.5)  # 2 pi 20.5 = 128.8 for 100 of flat cloth
    assert any("stretched by more than 29%" in d for d in read(h, {}).doubts)
    h = replace(straight(), rest=Rest(residual=7.2, steps=1, seconds=0.1))
    assert any("mesh is 7.2 times a point's weight" in d for d in read(h, {}).doubts)
    h = replace(straight(), rest=Rest(residual=7.2, steps=1, seconds=0.1, stopped=True))
    assert any("stopped" in d for d in read(h, {}).doubts)
