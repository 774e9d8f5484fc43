"""What the tape says of solids agrees with their formulas, and of the body with trimesh."""

from __future__ import annotations

import ast
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
import shapely.ops
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from scipy.special import ellipe, ellipeinc

import pinwright.figure.tape
from pinwright.errors import GeometryError
from pinwright.figure.body.model import GENERAL, Array, Whole, body, shaped
from pinwright.figure.body.standing import hanging, posed, stood_mean
from pinwright.figure.landmarks import (
    BESIDE_CLEFT,
    CHEST_UNDER,
    LITRES_PER_KG,
    NECK_LEAN,
    OVER_ANKLE,
    OVER_FORK,
    UNDER_ARMPIT,
    UNDER_FORK,
    Landmarks,
    landmarks,
    neck_line,
)
from pinwright.figure.tape.girths import CALF_TOP, arcs, arm_girths, arm_planes, neck_girths
from pinwright.figure.tape.lengths import bridged, drawn
from pinwright.figure.tape.parts import Skin, arm, leg, trunk
from pinwright.figure.tape.section import Plane, section, triangles, volume
from pinwright.figure.tape.tape import taped
from pinwright.figure.tape.taut import girth, hull, length, over, round_length
from pinwright.measures import TERMS

from .solids import ball, lattice, turned

X, Y, Z = np.eye(3)


def skin(solid: tuple[Array, Whole]) -> Skin:
    return Skin.of(*solid)


def the_girth(of: Skin, plane: Plane) -> float:
    (loop,) = of.cut(plane)
    return girth(loop.flat)


# Girths of solids


@pytest.mark.parametrize("z", [0.001, 12.5, 20.0])
def test_an_elliptic_cylinder_is_an_ellipse_round(z: float) -> None:
    """Perimeter 4 a E(e2): Abramowitz & Stegun 17.3.3, by scipy. 20 is a ring of vertices."""
    a, b = 15.0, 9.0
    perimeter = 4.0 * a * float(ellipe(1.0 - (b / a) ** 2))
    found = the_girth(skin(turned(128, [0.0, 20.0, 40.0], [a] * 3, b / a)), Plane.level(z))
    assert found == pytest.approx(perimeter, abs=0.002)
    assert found < perimeter


def test_a_slanting_plane_makes_an_ellipse_of_a_round_cylinder() -> None:
    r, slant = 6.0, np.radians(35.0)
    plane = Plane.square_to(20.0 * Z, np.array([0.0, np.sin(slant), np.cos(slant)]))
    long = r / np.cos(slant)
    perimeter = 4.0 * long * float(ellipe(1.0 - (r / long) ** 2))
    found = the_girth(skin(turned(128, [0.0, 40.0], [r] * 2)), plane)
    assert found == pytest.approx(perimeter, abs=0.002)


@pytest.mark.parametrize("z", [1.0, 7.77, 29.0])
def test_a_cone_is_as_wide_as_its_height_says(z: float) -> None:
    found = the_girth(skin(turned(128, [0.0, 30.0], [20.0, 5.0])), Plane.level(z))
    assert found == pytest.approx(2.0 * np.pi * (20.0 - z / 2.0), abs=0.002)


@pytest.mark.parametrize("away", [0.0, 0.3, 4.0, -9.5])
@pytest.mark.parametrize("normal", [Z, X + Y, np.array([0.3, -0.2, 0.9])])
def test_a_ball_is_round_every_way(away: float, normal: Array) -> None:
    """At 0 the plane square to z runs along a ring of vertices, and that square to x + y too."""
    r = 10.0
    plane = Plane.square_to(away * normal / np.linalg.norm(normal), normal)
    perimeter = 2.0 * np.pi * np.sqrt(r * r - away * away)
    assert the_girth(skin(ball(96, r)), plane) == pytest.approx(perimeter, abs=0.015)


def test_a_plane_along_the_faces_of_a_cube_meets_it_once() -> None:
    cube = skin(lattice(4, [-1.0, 0.0, 1.0]))
    for z in (0.0, 1.0, -1.0 + 1e-12):  # a ring of vertices; the top itself; just over the bottom
        assert the_girth(cube, Plane.level(z)) == pytest.approx(8.0, abs=1e-9)
    assert cube.cut(Plane.level(-1.0)) == ()
    corner_to_corner = Plane.square_to(np.zeros(3), X - Y)
    assert the_girth(cube, corner_to_corner) == pytest.approx(2.0 * (2.0 + 2.0 * np.sqrt(2.0)))


def test_loops_run_anticlockwise_and_hold_the_volume() -> None:
    """Cavalieri: the areas of level sections add up to the volume, 4/3 pi r3."""
    points, faces = ball(32, 5.0)
    corners = triangles(points, faces)
    heights = np.linspace(-5.0, 5.0, 801)
    areas = [sum(x.area for x in section(points, corners, Plane.level(z))) for z in heights]
    assert min(areas) >= 0.0
    assert volume(points, corners) == pytest.approx(np.trapezoid(areas, heights), rel=1e-4)
    assert volume(points, corners) == pytest.approx(4.0 / 3.0 * np.pi * 125.0, rel=5e-3)


def test_quads_are_cut_along_their_shorter_diagonal() -> None:
    points = np.array([[0.0, 0.0, 0.0], [3.0, 0.0, 0.0], [4.0, 1.0, 0.0], [1.0, 1.0, 0.0]])
    found = triangles(points, np.array([[0, 1, 2, 3]]))
    assert {frozenset(t) for t in found.tolist()} == {frozenset({0, 1, 3}), frozenset({1, 2, 3})}
    facing = [np.cross(points[b] - points[a], points[c] - points[a])[2] for a, b, c in found]
    assert facing == [3.0, 3.0]  # both upwards, as the quad


def test_an_open_surface_is_refused() -> None:
    points, faces = turned(8, [0.0, 10.0], [5.0, 5.0])
    wall = np.flatnonzero(np.ptp(points[faces][:, :, 2], axis=1) > 1.0)[0]
    with pytest.raises(GeometryError, match="not closed"):
        skin((points, np.delete(faces, wall, axis=0))).cut(Plane.level(4.0))


# The taut tape


@given(st.lists(st.tuples(*[st.floats(-50.0, 50.0)] * 2), min_size=6, max_size=60, unique=True))
@settings(max_examples=80, deadline=None)
def test_a_girth_is_the_hull_of_the_section(points: list[tuple[float, float]]) -> None:
    """Against qhull (scipy); in the plane its ``area`` is the perimeter."""
    around = np.array(points)
    if np.linalg.svd(around - around.mean(axis=0), compute_uv=False)[-1] < 1e-3:
        return
    assert girth(around) == pytest.approx(ConvexHull(around).area, rel=1e-9)


def test_the_tape_bridges_a_hollow_by_hand() -> None:
    """Down the side of a vase: over its bulges, straight past its neck; the hull by hand."""
    vase = skin(turned(8, [0, 5, 10, 15, 20], [8, 12, 9, 10, 6]))
    p, q = np.array([6.0, 0.0, 20.0]), np.array([8.0, 0.0, 0.0])
    expected = np.sqrt(25 + 16) + np.sqrt(100 + 4) + np.sqrt(25 + 16)
    tape = drawn(vase, p, q, X)
    assert length(tape) == pytest.approx(expected, abs=1e-9)
    np.testing.assert_allclose(tape, [[6, 0, 20], [10, 0, 15], [12, 0, 5], [8, 0, 0]], atol=1e-9)
    assert length(bridged(vase, p, q, X)) == pytest.approx(expected, abs=1e-9)


def test_over_an_hourglass_the_tape_is_straight() -> None:
    glass = skin(turned(8, [0, 10, 20], [10, 6, 10]))
    tape = drawn(glass, np.array([0.0, 10.0, 20.0]), np.array([0.0, 10.0, 0.0]), Y)
    assert length(tape) == pytest.approx(20.0, abs=1e-9)


def test_between_two_points_of_a_ball_the_tape_goes_round_either_way() -> None:
    r, apart = 10.0, 1.1
    globe = skin(ball(96, r))
    p = r * np.array([np.cos(0.2), 0.0, np.sin(0.2)])
    q = r * np.array([np.cos(0.2 + apart), 0.0, np.sin(0.2 + apart)])
    assert length(drawn(globe, p, q, p + q)) == pytest.approx(r * apart, abs=0.005)
    assert length(drawn(globe, p, q, -p - q)) == pytest.approx(r * (2 * np.pi - apart), abs=0.01)


def test_nothing_above_that_is_not_joined_there_comes_under_the_tape() -> None:
    """A mushroom: from its foot up the stalk the cap hangs over, but the tape ends under it."""
    mushroom = skin(turned(8, [0, 10, 11, 15], [4, 3, 9, 2]))
    p, q = np.array([4.0, 0.0, 0.0]), np.array([3.0, 0.0, 10.0])
    assert length(drawn(mushroom, p, q, X)) == pytest.approx(np.sqrt(101.0), abs=1e-9)


def test_over_nothing_the_tape_is_straight() -> None:
    np.testing.assert_array_equal(over(np.array([[3.0, -1.0]]), 7.0), [[0.0, 0.0], [7.0, 0.0]])


def test_the_tape_feels_a_thread() -> None:
    rise = 0.02
    tape = over(np.array([[3.0, -1.0], [4.0, rise]]), 7.0)
    np.testing.assert_array_equal(tape, [[0.0, 0.0], [4.0, rise], [7.0, 0.0]])


def test_arcs_of_an_ellipse() -> None:
    """Cut at y = b/2 on both sides; incomplete integral of the second kind by scipy."""
    a, b = 15.0, 9.0
    (loop,) = skin(turned(128, [0.0, 40.0], [a] * 2, b / a)).cut(Plane.level(17.0))
    tape, e2 = hull(loop.flat), 1.0 - (b / a) ** 2
    front, back = map(length, arcs(tape, 0.0, 0.0))
    assert front == pytest.approx(back, abs=1e-9)
    front, back = map(length, arcs(tape, b / 2.0, b / 2.0))
    # from the top of the minor axis (0, b) the parameter to y = b/2 is 60 degrees
    assert back == pytest.approx(2.0 * a * float(ellipeinc(np.pi / 3.0, e2)), abs=0.002)
    assert front + back == pytest.approx(round_length(tape), abs=1e-9)
    one, other = map(length, arcs(tape, b / 2.0, 0.0))
    assert round_length(tape) / 2.0 < one < front
    assert one + other == pytest.approx(round_length(tape), abs=1e-9)


# The open body, against trimesh and shapely

BODIES: tuple[dict[str, float], ...] = (
    {},
    {"weight": 0.9, "cup": 0.9},
    {"weight": 0.1, "height": 0.35, "muscle": 0.7},
    {"height": 0.6, "proportions": 0.9, "muscle": 0.2, "cup": 0.2},
)


@lru_cache(maxsize=8)
def figure(which: int) -> tuple[Array, Whole, Landmarks]:
    b = body()
    points = posed(b, shaped({**dict.fromkeys(GENERAL, 0.5), **BODIES[which]}), hanging())[: b.n]
    points = points - [0.0, 0.0, points[:, 2].min()]
    return points, b.faces, landmarks(points)


@lru_cache(maxsize=8)
def measures(which: int) -> dict[str, float]:
    return dict(taped(*figure(which)))


@lru_cache(maxsize=8)
def other_mesh(which: int) -> trimesh.Trimesh:
    """The same quads cut the same way, by other code."""
    points, faces, _ = figure(which)
    halves = []
    for quad in faces:
        p = points[quad]
        k = 0 if np.linalg.norm(p[0] - p[2]) <= np.linalg.norm(p[1] - p[3]) else 1
        r = np.roll(quad, -k)
        halves += [[r[0], r[1], r[2]], [r[0], r[2], r[3]]]
    return trimesh.Trimesh(points, np.array(halves), process=False)


def segments(which: int, origin: Array, u: Array, v: Array) -> list[shapely.LineString]:
    """What trimesh finds in a plane, in the axes u and v."""
    mesh_plane: Any = trimesh.intersections.mesh_plane
    lines = mesh_plane(other_mesh(which), np.cross(u, v), origin)
    flat = np.round((lines - origin) @ np.stack([u, v], axis=1), 8)
    return [shapely.LineString(x) for x in flat if np.any(x[0] != x[1])]


def rings(which: int, origin: Array, u: Array, v: Array) -> list[shapely.Polygon]:
    """The segments joined end to end by shapely; a ring may cross itself or another."""
    merged = shapely.line_merge(shapely.MultiLineString(segments(which, origin, u, v)))
    lines = getattr(merged, "geoms", [merged])
    return [shapely.Polygon(line) for line in lines if line.is_closed]


def outlines(which: int, origin: Array, u: Array, v: Array) -> list[shapely.Polygon]:
    """The areas that the segments part the plane into, by shapely."""
    return list(shapely.polygonize([shapely.unary_union(segments(which, origin, u, v))]).geoms)


def level(which: int, z: float) -> list[shapely.Polygon]:
    return rings(which, z * Z, X, Y)


def enclosing(*parts: shapely.Geometry) -> shapely.Polygon:
    """Their convex hull, by qhull (GEOS 3.14.1 has left dents in some of these)."""
    points = np.concatenate([shapely.get_coordinates(p) for p in parts])
    return shapely.Polygon(points[ConvexHull(points).vertices])


bodies = pytest.mark.parametrize("which", range(len(BODIES)))


@bodies
def test_girths_of_the_trunk_agree_with_trimesh(which: int) -> None:
    """An arm that has no ring of its own is joined to the trunk, which then ends at the armpit."""
    marks, found = figure(which)[2], measures(which)
    for name in ("bust", "under_bust", "upper_chest", "waist", "top_hip", "hip"):
        there = level(which, marks.levels[name])
        one: shapely.Geometry = max(there, key=lambda p: p.area).exterior
        for side, sign in (("left", 1.0), ("right", -1.0)):
            reach = sign * float(marks[f"armpit_{side}"][0])
            if not any(p.area > 15.0 and sign * p.centroid.x > reach for p in there):
                window = sorted([-sign * 90.0, sign * reach])
                one = one.intersection(shapely.box(window[0], -90.0, window[1], 90.0))
        assert found[f"{name}_girth"] == pytest.approx(enclosing(one).length, abs=0.01), name


def square_girth(which: int, at: Array, way: Array) -> float:
    """Round the ring nearest a point, square to a direction."""
    u = np.cross(way, Y) / np.linalg.norm(np.cross(way, Y))
    v = np.cross(way, u) / np.linalg.norm(way)
    one = min(rings(which, at, u, v), key=lambda p: p.exterior.distance(shapely.Point(0, 0)))
    return float(enclosing(one).length)


@bodies
def test_girths_of_limbs_and_neck_agree_with_trimesh(which: int) -> None:
    marks, found = figure(which)[2], measures(which)
    for side, sign in (("left", 1.0), ("right", -1.0)):
        for term, z in (
            ("thigh_girth", marks.levels["thigh"]),
            ("mid_thigh_girth", marks.levels[f"mid_thigh_{side}"]),
            ("knee_girth", marks.levels[f"knee_{side}"]),
        ):
            on_side = [p for p in level(which, z) if sign * p.centroid.x > 2.0]
            one = max(on_side, key=lambda p: p.area)
            assert found[f"{term}_{side}"] == pytest.approx(enclosing(one).length, abs=0.01), term
        shoulder, elbow = marks[f"shoulder_point_{side}"], marks[f"elbow_{side}"]
        wrist = marks[f"wrist_bone_{side}"]
        for term, middle, way in (
            ("upper_arm_girth", (shoulder + elbow) / 2.0, elbow - shoulder),
            ("elbow_girth", elbow, wrist - shoulder),
            ("wrist_girth", wrist, wrist - elbow),
        ):
            expected = square_girth(which, middle, way)
            assert found[f"{term}_{side}"] == pytest.approx(expected, abs=0.01), term
    lean = np.radians(19.0)
    neck = square_girth(which, marks["larynx"], np.array([0.0, -np.sin(lean), np.cos(lean)]))
    assert found["neck_girth"] == pytest.approx(neck, abs=0.01)


@bodies
def test_calf_and_ankle_are_the_fullest_and_the_thinnest(which: int) -> None:
    """Tried a millimetre apart with trimesh."""
    marks, found = figure(which)[2], measures(which)
    ankle, knee = marks.levels["ankle_left"], marks.levels["knee_left"]

    def at(z: float) -> float:
        on_side = [p for p in level(which, z) if p.centroid.x > 2.0]
        return float(enclosing(max(on_side, key=lambda p: p.area)).length)

    least = min(at(z) for z in np.linspace(ankle + 1.0, ankle + 6.0, 51))
    fullest = max(at(z) for z in np.arange(ankle + 20.0, ankle + 0.85 * (knee - ankle), 0.1))
    assert found["ankle_girth_left"] == pytest.approx(least, abs=0.01)
    assert found["calf_girth_left"] == pytest.approx(fullest, abs=0.01)


def taut_round(
    polygons: list[shapely.Polygon], p: tuple[float, float], q: tuple[float, float]
) -> shapely.Polygon:
    """What a tape from p to q and the chord back enclose, by shapely: the tape is to the left.

    Over what touches p or q, after a cut square to the chord at both.
    """
    (px, py), (qx, qy) = p, q
    nx, ny = (py - qy) * 9.0, (qx - px) * 9.0
    beside = shapely.Polygon([p, q, (qx + nx, qy + ny), (px + nx, py + ny)])
    ends = shapely.MultiPoint([p, q])
    pieces = [
        part
        for polygon in polygons
        for part in getattr(polygon.intersection(beside), "geoms", [polygon.intersection(beside)])
        if part.distance(ends) < 0.5
    ]
    return enclosing(*pieces, ends)


def around(which: int, p: Array, q: Array, out: Array) -> float:
    """The taut length from p to q on the side of a direction, by trimesh and shapely."""
    end = float(np.linalg.norm(q - p))
    u = (q - p) / end
    v = out - (out @ u) * u
    v /= np.linalg.norm(v)
    found = taut_round(outlines(which, p, u, v), (0.0, 0.0), (end, 0.0))
    return float(found.length) - end


def over_skin(which: int, p: Array, q: Array, out: Array) -> float:
    """The same over every place where trimesh cuts the skin between p and q, by qhull.

    Where the landmark lies on the very rim of an outline, the outline is not told to hold it.
    """
    points, faces, _ = figure(which)
    end = float(np.linalg.norm(q - p))
    u = (q - p) / end
    v = out - (out @ u) * u
    v /= np.linalg.norm(v)
    mesh = trimesh.Trimesh(points, triangles(points, faces), process=False)
    mesh_plane: Any = trimesh.intersections.mesh_plane
    cut = mesh_plane(mesh, np.cross(u, v), p).reshape(-1, 3) - p
    flat = np.stack([cut @ u, cut @ v], axis=1)
    keep = (flat[:, 0] > -1e-9) & (flat[:, 0] < end + 1e-9) & (flat[:, 1] > -1e-6)
    return float(ConvexHull(np.concatenate([flat[keep], [[0.0, 0.0], [end, 0.0]]])).area) - end


def waist_at(which: int, coordinate: int, value: float) -> tuple[Array, Array]:
    """Where the waist tape has x (0) or y (1) at a value: the lesser place and the greater."""
    z = figure(which)[2].levels["waist"]
    tape = enclosing(max(level(which, z), key=lambda p: p.area)).exterior
    line = [(value, -90.0), (value, 90.0)] if coordinate == 0 else [(-90.0, value), (90.0, value)]
    ends = [np.array([p.x, p.y, z]) for p in tape.intersection(shapely.LineString(line)).geoms]
    low, high = sorted(ends, key=lambda p: float(p[1 - coordinate]))
    return low, high


@bodies
def test_lengths_of_the_trunk_agree_with_trimesh(which: int) -> None:
    points, _, marks = figure(which)
    found = measures(which)
    front, back = waist_at(which, 0, 0.0)
    nape, pit = marks["back_neck_point"], marks["front_neck_point"]
    for term, p, q, out in (
        ("back_waist_length", nape, back, Y),
        ("front_neck_to_waist", pit, front, -Y),
        ("across_back_width", marks["back_arm_break_left"], marks["back_arm_break_right"], Y),
        ("across_front_width", marks["front_arm_break_left"], marks["front_arm_break_right"], -Y),
    ):
        assert found[term] == pytest.approx(around(which, p, q, out), abs=0.01), term
    assert found["cervical_height"] == nape[2]
    assert found["height"] == np.ptp(points[:, 2])
    apart = np.linalg.norm(marks["bust_point_left"] - marks["bust_point_right"])
    assert found["bust_point_width"] == pytest.approx(apart)
    assert found["inside_leg"] == marks["fork"][2]
    assert found["waist_above_fork"] == marks.levels["waist"] - marks["fork"][2]


@bodies
def test_lengths_of_each_side_agree_with_trimesh(which: int) -> None:
    marks, found = figure(which)[2], measures(which)
    nape, halves = marks["back_neck_point"], 0.0
    for side, sign in (("left", 1.0), ("right", -1.0)):
        neck, shoulder, bust, elbow, wrist = (
            marks[f"{k}_{side}"]
            for k in ("side_neck_point", "shoulder_point", "bust_point", "elbow", "wrist_bone")
        )
        reach = np.hypot(neck[0] - shoulder[0], neck[1] - shoulder[1])
        slope = np.degrees(np.arctan((neck[2] - shoulder[2]) / reach))
        assert found[f"shoulder_slope_{side}"] == pytest.approx(slope, abs=1e-9)
        half = around(which, shoulder, nape, Y + Z)
        sleeve = around(which, shoulder, elbow, sign * X) + around(which, elbow, wrist, sign * X)
        to_bust = over_skin(which, neck, bust, (bust - neck) * [1.0, 1.0, 0.0])
        halves += half
        for term, expected in (
            ("shoulder_length", around(which, neck, shoulder, Z)),
            ("arm_length", sleeve),
            ("back_neck_to_wrist", half + sleeve),
            ("side_neck_to_bust_point", to_bust),
            (
                "front_waist_length",
                to_bust + around(which, bust, waist_at(which, 0, float(bust[0]))[0], -Y),
            ),
        ):
            assert found[f"{term}_{side}"] == pytest.approx(expected, abs=0.01), term
    assert found["across_back_shoulder_width"] == pytest.approx(halves, abs=0.01)


def down_to(enclosed: shapely.Polygon, top: Array, end: Array, z: float) -> float:
    """How much of the tape round an enclosed area from top to end (2,) lies over a height."""
    upper = enclosed.intersection(shapely.box(-90.0, z, 90.0, 300.0))
    base = enclosed.intersection(shapely.LineString([(-90.0, z), (90.0, z)])).length
    chord = float(np.linalg.norm(top - end)) * (top[1] - z) / (top[1] - end[1])
    return float(upper.length - base - chord)


@bodies
def test_levels_along_the_tape_agree_with_trimesh(which: int) -> None:
    marks, found = figure(which)[2], measures(which)
    nape, back = marks["back_neck_point"][1:], waist_at(which, 0, 0.0)[1][1:]
    spine = taut_round(outlines(which, 0.0 * X, Y, Z), tuple(back), tuple(nape)[:2])
    mirrored = taut_round(outlines(which, 0.0 * X, Y, Z), tuple(nape), tuple(back))
    spine = max(spine, mirrored, key=lambda p: p.centroid.x)  # the side of her back
    expected = down_to(spine, nape, back, marks.levels["underarm"])
    assert found["scye_depth"] == pytest.approx(expected, abs=0.01)
    knees = []
    for side, sign in (("left", 1.0), ("right", -1.0)):
        y = float(marks[f"side_waist_{side}"][1])
        top = max(waist_at(which, 1, y), key=lambda p: sign * p[0])[[0, 2]] * [sign, 1.0]
        cut = outlines(which, y * Y, sign * X, Z)
        window = shapely.box(-90.0, marks.levels[f"knee_{side}"], 90.0, marks.levels["waist"])
        parts = [
            part
            for p in cut
            for part in getattr(p.intersection(window), "geoms", [p.intersection(window)])
        ]
        own = min(parts, key=lambda p: p.distance(shapely.Point(top)))
        floor = np.array([max(own.bounds[2], top[0]), 0.0])
        ends = shapely.MultiPoint([tuple(top), tuple(floor)])
        outer = shapely.Polygon([tuple(top), (60.0, top[1]), (60.0, 0.0), tuple(floor)])
        side_area = enclosing(own.intersection(outer), ends)
        for term, z in (("outside_leg", 0.0), ("waist_to_hip", marks.levels["hip"])):
            expected = down_to(side_area, top, floor, z)
            assert found[f"{term}_{side}"] == pytest.approx(expected, abs=0.01), term
        knees.append(down_to(side_area, top, floor, marks.levels[f"knee_{side}"]))
    assert found["waist_to_knee"] == pytest.approx(np.mean(knees), abs=0.01)


@bodies
def test_her_weight_is_her_volume(which: int) -> None:
    litres = float(other_mesh(which).volume) / 1000.0
    assert measures(which)["weight"] == pytest.approx(litres / LITRES_PER_KG, rel=1e-9)


@bodies
def test_arcs_make_up_the_girth_and_parts_the_whole(which: int) -> None:
    found = measures(which)
    for name in ("bust", "waist", "hip"):
        both = found[f"{name}_front_arc"] + found[f"{name}_back_arc"]
        assert both == pytest.approx(found[f"{name}_girth"], abs=1e-9)
    parts = found["front_crotch_length"] + found["back_crotch_length"]
    assert parts == pytest.approx(found["total_crotch_length"], abs=1e-9)
    assert found["scye_depth"] < found["back_waist_length"]
    assert found["waist_to_hip"] < found["waist_to_knee"] < found["outside_leg"]


@bodies
def test_the_crotch_tape_is_taut_round_the_seat(which: int) -> None:
    """The hull of the middle section and, over the cleft, those beside it, by shapely."""
    _, _, marks = figure(which)
    z, fork = marks.levels["waist"], marks["fork"]
    front, back = (tuple(p[1:]) for p in waist_at(which, 0, 0.0))
    ends, chord = shapely.MultiPoint([front, back]), back[0] - front[0]

    def below(x: float, low: float, front: float) -> shapely.Geometry:
        found = [p for p in outlines(which, x * X, Y, Z) if p.area > 50.0]
        window = shapely.box(front, low, 90.0, z)
        return shapely.unary_union([p.intersection(window) for p in found])

    middle = below(0.05, fork[2] - 1.0, -90.0)
    seat = [below(x, fork[2] + OVER_FORK, fork[1]) for x in (-BESIDE_CLEFT, BESIDE_CLEFT)]
    area = enclosing(middle, *seat, ends)
    found = measures(which)
    assert found["total_crotch_length"] == pytest.approx(area.length - chord, abs=0.01)
    # the front ends where the tape is nearest the fork
    exterior = area.exterior
    corner = exterior.interpolate(exterior.project(shapely.Point(fork[1:])))
    line = np.array([corner.x, corner.y]) - front
    beyond = 1e-6 * line  # so that the knife cuts through
    knife = shapely.LineString([front - beyond, front + line + beyond])
    part = min(shapely.ops.split(area, knife).geoms, key=lambda p: p.centroid.x)
    before = part.length - float(np.linalg.norm(line))
    assert found["front_crotch_length"] == pytest.approx(before, abs=0.01)


def test_legs_that_are_one_loop_are_split_at_the_fork() -> None:
    points, faces, marks = figure(0)
    z = marks.levels["fork"] + 2.0
    joined = max(level(0, z), key=lambda p: p.area)
    assert joined.bounds[0] < -15.0 < 15.0 < joined.bounds[2]  # both legs
    half = enclosing(joined.intersection(shapely.box(0.0, -60.0, 60.0, 60.0))).length
    found = girth(leg(Skin.of(points, faces), marks, "left", z))
    assert found == pytest.approx(half, abs=0.01)


def test_a_trunk_level_under_the_fork_goes_round_both_thighs() -> None:
    points, faces, marks = figure(0)
    z = marks.levels["fork"] - 4.0
    thighs = sorted(level(0, z), key=lambda p: p.area)[-2:]
    assert thighs[0].centroid.x * thighs[1].centroid.x < 0.0
    found = girth(trunk(Skin.of(points, faces), marks, z))
    assert found == pytest.approx(enclosing(*thighs).length, abs=0.01)


def test_a_trunk_that_an_arm_is_joined_to_ends_at_the_armpit() -> None:
    points, faces, marks = figure(0)
    z = float(marks["armpit_left"][2]) + 6.0
    joined = max(level(0, z), key=lambda p: p.area)
    reach = float(marks["armpit_left"][0])
    assert joined.bounds[2] > reach + 4.0  # the arm
    kept = enclosing(joined.intersection(shapely.box(-reach, -60.0, reach, 60.0))).length
    found = girth(trunk(Skin.of(points, faces), marks, z))
    assert found == pytest.approx(kept, abs=0.01)


def test_an_arm_that_the_trunk_is_joined_to_begins_at_the_armpit() -> None:
    points, faces, marks = figure(0)
    plane = Plane(marks["shoulder_point_left"] * [1, 1, 0] + 138.0 * Z, X, Y)
    joined = max(level(0, 138.0), key=lambda p: p.area)
    reach = float(marks["armpit_left"][0])
    assert joined.bounds[0] < 0.0 < reach + 4.0 < joined.bounds[2]
    kept = enclosing(joined.intersection(shapely.box(reach, -60.0, 60.0, 60.0))).length
    found = girth(arm(Skin.of(points, faces), marks, "left", plane))
    assert found == pytest.approx(kept, abs=0.01)


@bodies
def test_the_root_of_the_neck_is_as_long_as_its_line(which: int) -> None:
    points = figure(which)[0]
    vertices, shares = neck_line()
    root = [
        sum(s * points[v] for v, s in zip(*row, strict=True))
        for row in zip(vertices, shares, strict=True)
    ]
    steps = [float(np.linalg.norm(p - root[k - 1])) for k, p in enumerate(root)]
    assert measures(which)["neck_base_girth"] == pytest.approx(sum(steps), abs=1e-9)


def test_at_the_height_of_a_vertex_the_section_is_what_it_is_beside_it() -> None:
    points, faces, _ = figure(0)
    corners = triangles(points, faces)
    for z in np.random.default_rng(3).choice(points[:, 2], 60).tolist():
        at, beside = (
            sum(x.area for x in section(points, corners, Plane.level(h))) for h in (z, z - 1e-7)
        )
        assert at == pytest.approx(beside, abs=1e-3)


def test_her_mirror_image_has_left_and_right_changed() -> None:
    points, faces, marks = figure(1)
    fuller = points * np.where(points[:, :1] > 0.0, [1.03, 1.0, 1.0], 1.0)  # her left side
    own = taped(fuller, faces, landmarks(fuller))
    assert own["upper_arm_girth_left"] > own["upper_arm_girth_right"] + 0.1
    flipped = landmarks(fuller)
    other = {
        name.replace("left", "?").replace("right", "left").replace("?", "right"): p * [-1, 1, 1]
        for name, p in flipped.points.items()
    }
    levels = {
        name.replace("left", "?").replace("right", "left").replace("?", "right"): z
        for name, z in flipped.levels.items()
    }
    image = taped(fuller * [-1.0, 1.0, 1.0], faces[:, ::-1], Landmarks(other, levels))
    for term, value in own.items():
        there = term.replace("left", "?").replace("right", "left").replace("?", "right")
        if "crotch" not in term:  # its middle section is cut a little to her left
            assert image[there] == pytest.approx(value, abs=1e-6), term
    assert set(marks.levels) == set(levels)


def test_a_worn_waist_is_taped_lower_down() -> None:
    points, faces, marks = figure(0)
    found = measures(0)
    assert found["worn_waist_girth"] == found["waist_girth"]
    lower = taped(points, faces, marks, worn_waist_drop=5.0)
    greatest = max(level(0, marks.levels["waist"] - 5.0), key=lambda p: p.area)
    assert lower["worn_waist_girth"] == pytest.approx(enclosing(greatest).length, abs=0.01)
    assert lower["waist_girth"] == found["waist_girth"]


@bodies
def test_every_measure_of_a_standing_woman_is_there(which: int) -> None:
    found = measures(which)
    told = {"body_rise", "worn_waist_drop", "heel_height"}
    assert set(TERMS) - told <= set(found)
    assert all(np.isfinite(v) for v in found.values())
    both = {name for name, term in TERMS.items() if term.sided} | {"front_waist_length"}
    for name in both:
        left, right = found[f"{name}_left"], found[f"{name}_right"]
        assert found[name] == pytest.approx((left + right) / 2.0, abs=1e-9)
    sided = {f"{name}_{side}" for name in both for side in ("left", "right")}
    assert set(found) == (set(TERMS) - told) | sided | {"waist_above_fork"}
    for name in set(TERMS) - told:
        assert TERMS[name].low <= found[name] <= TERMS[name].high, name


def test_the_tape_knows_nothing_of_how_the_figure_was_made() -> None:
    folder = Path(pinwright.figure.tape.__file__).parent
    allowed = ("pinwright.figure.tape", "pinwright.figure.landmarks", "pinwright.errors")
    for file in folder.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [a.name for a in node.names] if isinstance(node, ast.Import) else []
            ours = [n for n in names if n.startswith("pinwright")]
            assert all(n.startswith(allowed) for n in ours), f"{file.name}: {ours}"


def test_the_document_names_every_measure_and_the_heights_as_they_are() -> None:
    text = (Path(__file__).parents[2] / "docs" / "figure" / "measuring.md").read_text("utf-8")
    for name in TERMS:
        arc = name.endswith("_arc")  # told of together
        assert f"`{name}`" in text or (arc and "Front and back arcs" in text), name
    for said in (
        f"{CHEST_UNDER:g} cm under the middle of the armpit",
        f"{UNDER_ARMPIT:g} cm under the middle of the armpit",
        f"{UNDER_FORK:g} cm under the fork",
        f"{OVER_FORK:g} cm over the fork upwards it lies on the seat {BESIDE_CLEFT:g} cm",
        f"between {OVER_ANKLE[0]:g} and {OVER_ANKLE[1]:g} cm over the ankle bone",
        f"{100 * CALF_TOP:.0f} % of the way",
        f"{NECK_LEAN:g} degrees forward",
        f"{LITRES_PER_KG:g} litres to the kilogram",
    ):
        assert said in text, said


def test_a_fold_of_the_skin_is_taped_as_neither_arm_nor_neck() -> None:
    """A tetrahedron of 2 cm nearer the tape's place than the limb is."""
    points = stood_mean() - [0.0, 0.0, stood_mean()[:, 2].min()]
    skin, marks = Skin.of(points, body().faces), landmarks(points)
    small = np.array([[0, 0, -1.0], [1, 0, 0.7], [-0.6, 0.9, 0.7], [-0.6, -0.9, 0.7]])
    corner = np.array([[0, 2, 1], [0, 3, 2], [0, 1, 3], [1, 2, 3]])
    at = [marks["larynx"], arm_planes(marks, "left")["upper_arm"].origin]
    n = len(points)
    folded = Skin(
        np.concatenate([points, *(small + p for p in at)]),
        np.concatenate([skin.corners, corner + n, corner + n + 4]),
    )
    neck = neck_girths(skin, marks)["neck_girth"]
    assert neck_girths(folded, marks)["neck_girth"] == pytest.approx(neck)
    assert arm_girths(folded, marks, "left") == pytest.approx(arm_girths(skin, marks, "left"))
