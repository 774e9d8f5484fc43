"""The finer surface is closed, as fine as it says, and tapes as the open body does."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from pinwright.errors import GeometryError
from pinwright.figure.body.model import GENERAL, Array, Whole, body, shaped
from pinwright.figure.body.standing import hanging, posed, stood_mean
from pinwright.figure.crossing import NAMES, crossing, parts
from pinwright.figure.fine import EDGE, KEPT, LONG, filled, fine
from pinwright.figure.landmarks import landmarks
from pinwright.figure.surface import normals
from pinwright.figure.tape.section import triangles, volume
from pinwright.figure.tape.tape import taped

GIRTHS = ("bust_girth", "waist_girth", "hip_girth", "thigh_girth", "upper_arm_girth")

EDGES = [(k, (k + 1) % 4) for k in range(4)]


Some = NDArray[np.bool_]


def on_the_floor(points: Array) -> Array:
    found: Array = points - [0.0, 0.0, points[:, 2].min()]
    return found


def stood() -> Array:
    return on_the_floor(stood_mean())


def fuller() -> Array:
    """Another body: heavier, fuller of bust, shorter."""
    general = {**dict.fromkeys(GENERAL, 0.5), "weight": 0.8, "cup": 0.8, "height": 0.35}
    return on_the_floor(posed(body(), shaped(general), hanging())[: body().n])


def inner() -> Some:
    """Of each face of the open body whether no corner belongs to head, hands or feet."""
    kept = np.isin(parts(), [NAMES.index(k) for k in KEPT])
    found: Some = kept[body().faces].sum(axis=1) == 0
    return found


def outer() -> Some:
    """Of each face of the open body whether every corner belongs to head, hands or feet."""
    kept = np.isin(parts(), [NAMES.index(k) for k in KEPT])
    found: Some = kept[body().faces].sum(axis=1) == 4
    return found


def across(points: Array, faces: Whole) -> Array:
    c = points[faces]
    found: Array = np.cross(c[:, 2] - c[:, 0], c[:, 3] - c[:, 1])
    return found


def turns(points: Array, faces: Whole, some: Some) -> Array:
    """The angles between neighbouring faces of some of them, degrees."""
    n = across(points, faces)
    n /= np.linalg.norm(n, axis=1, keepdims=True)
    a, c = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    key, face = a * len(points) + c, np.repeat(np.arange(len(faces)), 4)
    order = np.argsort(key)
    other = face[order[np.searchsorted(key[order], c * len(points) + a)]]
    inside = some[face] & some[other]
    cosine = np.einsum("ij,ij->i", n[face[inside]], n[other[inside]])
    found: Array = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return found


# Filling one quad


def test_a_square_is_filled_without_gaps_or_turned_over_quads() -> None:
    done = 0
    for sides in product((1, 3, 5, 7), repeat=4):
        try:
            uv, quads = filled(*sides)
        except GeometryError:
            assert len({sides[0], sides[2]}) + len({sides[1], sides[3]}) > 2, sides
            continue
        done += 1
        rim = sum(sides)
        corner = uv[quads]
        for k in range(4):
            one, other = corner[:, (k + 1) % 4] - corner[:, k], corner[:, k - 1] - corner[:, k]
            assert (one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0] > 0.0).all(), sides
        d, e = corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1]
        assert (d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]).sum() / 2.0 == pytest.approx(1.0)
        edges = np.sort(np.concatenate([quads[:, e] for e in EDGES]), axis=1)
        edge, count = np.unique(edges, axis=0, return_counts=True)
        rims = {tuple(sorted((k, (k + 1) % rim))) for k in range(rim)}
        assert {tuple(e) for e in edge[count == 1].tolist()} == rims, sides
        assert set(count.tolist()) <= {1, 2}
        assert len(uv) - len(edge) + len(quads) == 1
    assert done > 180


def test_like_sides_make_a_plain_lattice() -> None:
    uv, quads = filled(3, 5, 3, 5)
    assert len(quads) == 15
    expected = {(round(i / 3, 9), round(j / 5, 9)) for i in range(4) for j in range(6)}
    assert {(round(u, 9), round(v, 9)) for u, v in uv.tolist()} == expected


# The whole surface


def test_the_vertices_of_the_open_body_are_the_first_rows() -> None:
    for points in (stood(), fuller()):
        assert np.array_equal(fine().points(points)[: body().n], points)


def test_it_is_closed_and_in_one_piece() -> None:
    f, m = fine().faces, fine().stencil.shape[0]
    ahead = np.concatenate([f[:, e] for e in EDGES])
    key = ahead[:, 0] * m + ahead[:, 1]
    assert len(np.unique(key)) == len(key)
    assert set(key.tolist()) == set((ahead[:, 1] * m + ahead[:, 0]).tolist())
    assert len(np.unique(f)) == m
    assert m - len(key) // 2 + len(f) == 2


def test_it_moves_and_turns_with_the_body() -> None:
    """Rows of the stencil are 1 in sum, so that it goes along with any affine change."""
    rng = np.random.default_rng(1967)
    turn, points = rng.normal(size=(3, 3)), stood()
    moved = fine().points(points @ turn + 5.0)
    assert moved == pytest.approx(fine().points(points) @ turn + 5.0, abs=1e-9)


def test_edges_are_short_where_cloth_lies() -> None:
    points, f = fine().points(stood()), fine().faces
    f = f[inner()[fine().coarse]]
    long = np.linalg.norm(points[f] - points[np.roll(f, -1, axis=1)], axis=2)
    assert 0.4 < np.median(long) < 0.5
    assert np.quantile(long, 0.95) < EDGE
    assert long.max() < 1.02 * LONG


def test_hands_feet_and_head_stay_as_they_are() -> None:
    count = np.bincount(fine().coarse)[outer()]
    assert len(count) > 6000
    assert (count == 1).mean() > 0.98


def test_every_face_faces_as_the_one_it_lies_in() -> None:
    for points in (stood(), fuller()):
        dense = fine().points(points)
        n, whole = across(dense, fine().faces), across(points, body().faces)
        assert (np.linalg.norm(n, axis=1) > 1e-3).all()
        assert (np.einsum("ij,ij->i", n, whole[fine().coarse]) > 0.0).all()
        corner = dense[fine().faces]
        for k in range(4):
            turn = np.cross(corner[:, (k + 1) % 4] - corner[:, k], corner[:, k - 1] - corner[:, k])
            assert (np.einsum("ij,ij->i", turn, n) > 0.0).all()


@pytest.mark.parametrize("points", [stood(), fuller()], ids=["mean", "fuller"])
def test_girths_stay_what_they_are(points: Array) -> None:
    marks = landmarks(points)
    was = taped(points, body().faces, marks)
    now = taped(fine().points(points), fine().faces, marks)
    for term in GIRTHS:
        assert now[term] == pytest.approx(was[term], abs=0.1), term
    whole = taped(fine(1.0).points(points), fine(1.0).faces, marks)
    assert max(whole[term] - was[term] for term in GIRTHS) > 0.1


def test_a_surface_that_bends_holds_a_little_more_and_one_of_straight_edges_does_not() -> None:
    """The chords of a convex body lie within it."""
    points = stood()
    held = [
        volume(f.points(points), triangles(f.points(points), f.faces))
        for f in (fine(0.0), fine(), fine(1.0))
    ]
    was = volume(points, triangles(points, body().faces))
    assert held[0] == pytest.approx(was, rel=1e-3)
    assert was < held[1] < held[2] < 1.012 * was


def test_it_is_smoother_and_has_no_ripples() -> None:
    """A coarse crease is at least halved; the ways of neighbours' normals differ less."""
    points = stood()
    coarse = turns(points, body().faces, inner())
    dense = turns(fine().points(points), fine().faces, inner()[fine().coarse])
    for share in (0.5, 0.95, 0.99):
        assert np.quantile(dense, share) < 0.5 * np.quantile(coarse, share)
    # wholly bent, it follows all four sides of each quad alike
    smooth = turns(fine(1.0).points(points), fine().faces, inner()[fine().coarse])
    for share in (0.5, 0.95, 0.99):
        assert np.quantile(smooth, share) < 0.33 * np.quantile(coarse, share)
    # the vertices' normals lie where the coarse body's do
    n = normals(fine().points(points), fine().faces)[: body().n]
    was = normals(points, body().faces)
    off = np.degrees(np.arccos(np.clip(np.einsum("ij,ij->i", n, was), -1.0, 1.0)))
    assert np.quantile(off[np.unique(body().faces[inner()])], 0.95) < 5.0


def test_her_right_is_the_mirror_image_of_her_left_where_quads_are_plain_lattices() -> None:
    """As the mean body's is; no side of a quad is taken for another, nor seen the wrong way."""
    points, f = fine().points(stood()), fine().faces
    size = np.bincount(f.ravel(), minlength=len(points))
    plain = np.bincount(f.ravel(), np.repeat(size[f].sum(axis=1) == 16, 4)) == size
    apart = cKDTree(points).query(points[plain] * [-1.0, 1.0, 1.0])[0]
    assert plain.sum() > 40000
    assert np.quantile(apart, 0.99) < 1e-6


@pytest.mark.parametrize("points", [stood(), fuller()], ids=["mean", "fuller"])
def test_it_passes_through_itself_where_the_body_does_and_nowhere_else(points: Array) -> None:
    was = crossing(points, body().faces, parts())
    now = crossing(fine().points(points), fine().faces, fine().part)
    faces = body().faces
    about = np.isin(faces, faces[np.unique(was.faces)]).sum(axis=1)
    assert len(now.faces) > 0
    assert about[fine().coarse[now.faces]].min() > 0
    assert now.places[0].depth == pytest.approx(was.places[0].depth, abs=0.1)
