"""Where a surface passes through itself, against brute force, formulas and another library."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import combinations, permutations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from pinwright.figure.body.model import Array, Whole, body, mean
from pinwright.figure.body.standing import hanging, posed, stood_mean
from pinwright.figure.crossing import NAMES, TOLD, Crossing, crossing, parts
from pinwright.figure.inside import within
from pinwright.figure.meeting import meeting, side
from pinwright.figure.tape.section import Plane, section, triangles

from .solids import ball, lattice

Triangle = tuple[tuple[int, int, int], ...]


# Another way to the same answer, in whole numbers: do their edges meet the other, or lie within it?


def minus(p: tuple[int, ...], q: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(x - y for x, y in zip(p, q, strict=True))


def cross(p: tuple[int, ...], q: tuple[int, ...]) -> tuple[int, int, int]:
    return (
        p[1] * q[2] - p[2] * q[1],
        p[2] * q[0] - p[0] * q[2],
        p[0] * q[1] - p[1] * q[0],
    )


def dot(p: tuple[int, ...], q: tuple[int, ...]) -> int:
    return sum(x * y for x, y in zip(p, q, strict=True))


def in_triangle(p: tuple[int, ...], scale: int, t: Triangle) -> bool:
    """Whether p / scale, in the plane of t, lies in it: by the signs of three areas."""
    n = cross(minus(t[1], t[0]), minus(t[2], t[0]))
    for k in range(3):
        a, b = t[k], t[(k + 1) % 3]
        a_scaled = tuple(scale * x for x in a)
        if dot(cross(minus(b, a), minus(p, a_scaled)), n) < 0:
            return False
    return True


def edge_meets(p: tuple[int, ...], q: tuple[int, ...], t: Triangle) -> bool:
    """Whether the segment from p to q and the triangle have a point in common."""
    n = cross(minus(t[1], t[0]), minus(t[2], t[0]))
    over, under = dot(minus(p, t[0]), n), dot(minus(q, t[0]), n)
    if over == under == 0:
        if in_triangle(p, 1, t) or in_triangle(q, 1, t):
            return True
        # in one plane: it may still cross two sides
        for k in range(3):
            a, b = t[k], t[(k + 1) % 3]
            d = minus(q, p)
            one, other = (dot(cross(d, minus(x, p)), n) for x in (a, b))
            three, four = (dot(cross(minus(b, a), minus(x, a)), n) for x in (p, q))
            if one * other <= 0 and three * four <= 0 and (one, other, three, four) != (0,) * 4:
                return True
        return False
    if over * under > 0:
        return False
    if over < under:
        p, q, over, under = q, p, under, over
    scale = over - under
    at = tuple(x * -under + y * over for x, y in zip(p, q, strict=True))
    return in_triangle(at, scale, t)


def brute(a: Triangle, b: Triangle) -> bool:
    return any(
        edge_meets(one[k], one[(k + 1) % 3], other)
        for one, other in permutations((a, b))
        for k in range(3)
    )


def lattice_pairs(high: int, flat: bool, count: int = 600) -> Array:
    """Pairs of triangles (k, 2, 3, 3) with corners in whole numbers, none without area."""
    at = np.random.default_rng(1997).integers(0, high, (count, 2, 3, 3))
    if flat:
        at[..., 2] = at[..., 0] + 2 * at[..., 1]
    area = np.cross(at[:, :, 1] - at[:, :, 0], at[:, :, 2] - at[:, :, 0])
    found: Array = at[np.abs(area).sum(axis=2).min(axis=1) > 0].astype(float)
    return found


def found_in(pairs: Array) -> list[bool]:
    return [len(meeting(p.reshape(6, 3), np.arange(6).reshape(2, 3))) == 1 for p in pairs]


@pytest.mark.parametrize(("high", "flat"), [(3, False), (7, False), (6, True)])
def test_triangles_on_a_lattice_meet_as_whole_numbers_say(high: int, flat: bool) -> None:
    """On a lattice corners touch sides and planes fall together all the time."""
    pairs = lattice_pairs(high, flat)
    whole = pairs.astype(int).tolist()
    said = [brute(*(tuple(tuple(p) for p in t) for t in pair)) for pair in whole]
    assert 50 < sum(said) < len(said) - 50
    assert found_in(pairs) == said


def test_it_agrees_with_the_exact_predicates_of_libigl() -> None:
    predicates = pytest.importorskip("igl.predicates", reason="libigl is not needed otherwise")
    for high, flat in ((3, False), (7, False), (6, True)):
        pairs = lattice_pairs(high, flat)
        said = [bool(predicates.triangle_triangle_intersect(*p.reshape(6, 3))[0]) for p in pairs]
        assert found_in(pairs) == said


def test_the_whole_body_agrees_with_libigl() -> None:
    predicates = pytest.importorskip("igl.predicates", reason="libigl is not needed otherwise")
    points = pushed(12.0)
    corners = triangles(points, body().faces)
    _, pairs, _ = predicates.find_self_intersections(points, corners)
    pairs = np.sort(pairs, axis=1)
    apart = (corners[pairs[:, 0]][:, :, None] != corners[pairs[:, 1]][:, None, :]).all(axis=(1, 2))
    said = {(int(i), int(j)) for i, j in pairs[apart]}
    assert len(said) > 100
    assert {(int(i), int(j)) for i, j in meeting(points, corners)} == said


def test_a_side_is_right_where_rounding_is_not() -> None:
    """Points near a plane through far corners: their true sides by whole numbers of 2**-45."""
    rng = np.random.default_rng(8559)
    unit = 2**45
    a, b, c = (rng.integers(-(2**7), 2**7, (400, 3)) for _ in range(3))
    d = a * unit + (b - a) * (unit // 4) + (c - a) * (unit // 2) + rng.integers(-1, 2, (400, 3))
    said = [
        np.sign(dot(cross(minus(q, p), minus(r, p)), minus(s, tuple(unit * x for x in p))))
        for p, q, r, s in zip(
            *(tuple(map(tuple, x.astype(object).tolist())) for x in (a, b, c, d)), strict=True
        )
    ]
    given = [x.astype(float) for x in (a, b, c, d / unit)]
    assert {-1, 0, 1} == set(said)
    assert side(*given).tolist() == said
    plain = np.sign(
        np.linalg.det(np.stack([given[1] - given[0], given[2] - given[0], given[3] - given[0]], 1))
    )
    assert (plain != said).any()


# Solids


def together(*solids: tuple[Array, Whole]) -> tuple[Array, Whole]:
    starts = np.cumsum([0, *(len(p) for p, _ in solids)])
    faces = [f + k for (_, f), k in zip(solids, starts[:-1], strict=True)]
    return np.concatenate([p for p, _ in solids]), np.concatenate(faces)


def two_balls(apart: float, n: int = 24, r: float = 5.0) -> tuple[Array, Whole]:
    one, other = ball(n, r), ball(n, r)
    return together(one, (other[0] + [apart, 0.0, 0.0], other[1]))


def named(count: int, *names: str) -> Whole:
    return np.repeat([NAMES.index(n) for n in names], count // len(names))


def crossed(apart: float, *names: str) -> Crossing:
    points, faces = two_balls(apart)
    return crossing(points, faces, named(len(points), *names))


@pytest.mark.parametrize("apart", [9.7, 9.0, 6.0, 3.0])
def test_two_balls_cross_in_a_circle(apart: float) -> None:
    """Radius 5: a lens 10 - d thick, its rim 2 sqrt(25 - d2/4) wide."""
    found = crossed(apart, "trunk", "left arm")
    (place,) = found.places
    assert place.parts == ("left arm", "trunk")
    assert place.depth == pytest.approx(10.0 - apart, abs=0.06)
    assert place.length == pytest.approx(2.0 * np.sqrt(25.0 - apart**2 / 4.0), abs=0.06)
    assert place.middle == pytest.approx([apart / 2.0, 0.0, 0.0], abs=0.05)
    assert place.heights[1] - place.heights[0] == pytest.approx(place.length, abs=0.06)


def test_every_pair_of_two_balls_is_found() -> None:
    """Against all pairs, by solving for where each edge meets each plane."""
    points, faces = two_balls(8.3, 7)
    points = points + 0.01 * np.random.default_rng(3).normal(size=points.shape)
    corners = triangles(points, faces)
    mine = (corners < len(points) // 2).all(axis=1)
    a, b = corners[mine], corners[~mine]

    def hits(lines: Whole, tri: Whole) -> NDArray[np.bool_]:
        p, q = points[lines], points[np.roll(lines, -1, axis=1)]
        t = points[tri]
        met = np.zeros((len(lines), len(tri)), dtype=bool)
        for k in range(3):
            for i in range(len(lines)):
                frame = np.stack([t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]], axis=2)
                frame = np.concatenate(
                    [frame, np.broadcast_to((p[i, k] - q[i, k])[:, None], (len(t), 3, 1))], axis=2
                )
                u, v, s = np.linalg.solve(frame, (p[i, k] - t[:, 0])[:, :, None])[:, :, 0].T
                met[i] |= (u >= 0) & (v >= 0) & (u + v <= 1) & (s >= 0) & (s <= 1)
        return met

    said = hits(a, b) | hits(b, a).T
    key = {tuple(t): k for k, t in enumerate(corners.tolist())}
    expected = {
        tuple(sorted((key[tuple(a[i].tolist())], key[tuple(b[j].tolist())])))
        for i, j in zip(*np.nonzero(said), strict=True)
    }
    assert len(expected) > 50
    assert {tuple(p) for p in meeting(points, corners).tolist()} == expected


def test_balls_that_touch_share_a_point_and_no_depth() -> None:
    assert not len(crossed(10.001, "trunk", "left arm").faces)
    found = crossed(10.0, "trunk", "left arm")
    assert len(found.faces)
    assert max(p.depth for p in found.places) == pytest.approx(0.0, abs=1e-9)
    assert found.remark() is None


def test_a_box_that_lies_on_another_touches_in_one_plane() -> None:
    low, high = lattice(2, [0.0, 1.0]), lattice(3, [1.0, 2.0])
    points, faces = together(low, high)
    found = crossing(points, faces, named(len(points), "trunk"))
    assert len(found.faces)
    assert max(p.depth for p in found.places) == pytest.approx(0.0, abs=1e-9)
    points, faces = together(low, (high[0] + [0.0, 0.0, 1e-6], high[1]))
    assert not len(meeting(points, triangles(points, faces)))


def folded(*turns: float) -> tuple[Array, Whole]:
    """A strip of quads 1 wide and 2 long, turned so many degrees at each of its folds."""
    at, heading, line = np.zeros(2), 0.0, [np.zeros(2)]
    for turn in (0.0, *turns):
        heading += np.radians(turn)
        at = at + 2.0 * np.array([np.cos(heading), np.sin(heading)])
        line.append(at)
    low, high = (np.array([[x, y, z] for x, z in line]) for y in (0.0, 1.0))
    k = np.arange(len(line) - 1)
    faces = np.stack([k, k + 1, k + 1 + len(line), k + len(line)], axis=1)
    return np.concatenate([low, high]), faces


def test_a_fold_is_not_a_crossing_but_a_strip_rolled_through_itself_is() -> None:
    def pairs(*turns: float) -> int:
        points, faces = folded(*turns)
        return len(meeting(points, triangles(points, faces)))

    assert pairs(90.0) == pairs(179.0) == pairs(180.0) == 0
    # the third comes back through the first, or passes over it
    assert pairs(130.0, 130.0) > 0
    assert pairs(100.0, 100.0) == 0


def test_how_often_a_surface_goes_round_a_place() -> None:
    """Against the sum of solid angles (Van Oosterom & Strackee 1983)."""
    points, faces = two_balls(6.0, 9)
    corners = triangles(points, faces)
    at = np.random.default_rng(5).uniform(-6.0, 12.0, (300, 3)) * [1.0, 0.6, 0.6]
    a, b, c = (points[corners[:, k]][None] - at[:, None] for k in range(3))
    x, y, z = (np.linalg.norm(v, axis=2) for v in (a, b, c))
    over = np.einsum("kti,kti->kt", a, np.cross(b, c))
    under = x * y * z + sum(
        np.einsum("kti,kti->kt", p, q) * r for p, q, r in ((a, b, z), (b, c, x), (a, c, y))
    )
    said = (np.arctan2(over, under).sum(axis=1) / (2.0 * np.pi)).round().astype(int)
    assert set(said) == {0, 1, 2}
    assert within(points, corners, at).tolist() == said.tolist()


# What a cutter is told


def test_a_limb_in_the_trunk_is_told_and_fingers_are_not() -> None:
    told = crossed(9.0, "trunk", "left arm").remark()
    assert told is not None
    assert "the left arm passes 1.0 cm into the trunk over 4.4 cm" in told
    inches = crossed(9.0, "trunk", "left arm").remark("in")
    assert inches is not None
    assert "cm" not in inches
    hand = crossed(9.0, "left hand", "left hand")
    assert hand.places[0].harmless
    assert hand.remark() is None
    assert not crossed(9.0, "left hand", "left leg").places[0].harmless
    assert crossed(9.0, "left hand", "right hand").remark() is not None
    assert crossed(10.0 - 0.5 * TOLD, "trunk", "left arm").remark() is None


def test_harmless_places_are_told_apart_beside_others() -> None:
    points, faces = together(two_balls(9.0), (two_balls(9.0)[0] + 30.0, two_balls(9.0)[1]))
    quarter = len(points) // 4
    found = crossing(points, faces, named(4 * quarter, "trunk", "left arm", *["left foot"] * 2))
    assert [p.harmless for p in found.places].count(True) == 1
    told = found.remark() or ""
    assert "into itself" not in told
    assert "toes" in told


# The open body


@cache
def pushed(inwards: float) -> Array:
    """The mean body stood, her left arm this many degrees nearer to her than usual."""
    c, s = np.cos(np.radians(inwards)), np.sin(np.radians(inwards))
    turn = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])
    turns = dict(hanging())
    turns["upper_arm_left"] = turn @ turns["upper_arm_left"]
    return posed(body(), mean(), turns)[: body().n]


@pytest.mark.parametrize("points", [lambda: mean()[: body().n], stood_mean])
def test_the_open_body_crosses_itself_in_its_little_toes_only(points: Callable[[], Array]) -> None:
    """The data bring that along; stood, its armpits close by less than a millimetre."""
    found = crossing(points(), body().faces, parts())
    assert found.remark() is None
    deep = {p.parts for p in found.places if p.depth >= TOLD}
    assert deep == set()
    assert {p.parts for p in found.places if p.harmless} == {
        ("left foot", "left foot"),
        ("right foot", "right foot"),
    }


def test_an_arm_pushed_into_the_trunk_is_told_where_sections_overlap() -> None:
    """Against the polygons in which level planes cut arm and trunk, by shapely."""
    points = pushed(12.0)
    corners = triangles(points, body().faces)
    found = crossing(points, body().faces, parts())
    place = next(p for p in found.places if p.parts == ("left arm", "trunk"))
    told = found.remark() or ""
    assert "left arm" in told
    assert "right arm" not in told
    low, high = place.heights
    widest = 0.0
    for z in (low - 0.5, *np.linspace(low + 0.5, low + 0.6 * (high - low), 7)):
        cut = [shapely.Polygon(loop.flat) for loop in section(points, corners, Plane.level(z))]
        cut = [p for p in cut if p.area > 20.0 and p.is_valid]
        shared = [p.intersection(q) for p, q in combinations(cut, 2)]
        area = sum(s.area for s in shared)
        assert (area > 0.0) == (z > low), z
        for s in shared:
            if s.area > 0.0:
                widest = max(widest, 2.0 * float(shapely.maximum_inscribed_circle(s).length))
    # a lens that bends round the arm is a little wider than it is thick
    assert widest * 0.9 < place.depth < widest * 1.5


def test_the_further_the_arm_is_pushed_the_deeper_it_goes() -> None:
    deep = [
        max(
            (p.depth for p in crossing(pushed(a), body().faces, parts()).places if not p.harmless),
            default=0.0,
        )
        for a in (0.0, 4.0, 8.0, 12.0)
    ]
    assert deep == sorted(deep)
    assert deep[-1] > deep[0] + 1.0
