"""The finer surface is closed, as fine as it says, and tapes as the open body does."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from itertools import product

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from pinwright.errors import GeometryError
from pinwright.figure.body.model import GENERAL, Array, Whole, body, shaped
from pinwright.figure.body.standing import hanging, posed, stood_mean
from pinwright.figure.crossing import NAMES, crossing, parts
from pinwright.figure.figure import figure_of
from pinwright.figure.fine import EDGE, FOLD, FULL, KEPT, LONG, filled, fine
from pinwright.figure.landmarks import landmarks, vertices
from pinwright.figure.surface import normals
from pinwright.figure.tape.section import triangles, volume
from pinwright.figure.tape.tape import taped
from pinwright.measures import complete, read_record
from pinwright.measures.bdims import women

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


def fullest() -> Array:
    """The full body by which edges are parted."""
    general = {**dict.fromkeys(GENERAL, 0.5), **FULL}
    return on_the_floor(posed(body(), shaped(general), hanging())[: body().n])


def demo() -> Array:
    """The figure of the demo's client, who is fuller of bust than the mean."""
    text = files("pinwright.workshop").joinpath("demo_order.toml").read_text(encoding="utf-8")
    return figure_of(complete(read_record(tomllib.loads(text)["measures"]))).points


def folds(degrees: float, rings: int) -> Some:
    """Of each vertex whether it lies in a fold of the mean body so sharp, or so near one.

    By trimesh, which tells angles between triangles and whether they are convex.
    """
    solid = trimesh.Trimesh(stood(), triangles(stood(), body().faces), process=False)
    sharp = ~solid.face_adjacency_convex & (np.degrees(solid.face_adjacency_angles) > degrees)
    f = body().faces
    side = np.sort(np.concatenate([f[:, e] for e in EDGES]), axis=1) @ [body().n, 1]
    # not along the diagonals of quads that are warped
    sharp &= np.isin(solid.face_adjacency_edges @ [body().n, 1], side)
    found = np.zeros(body().n, dtype=bool)
    found[solid.face_adjacency_edges[sharp].ravel()] = True
    for _ in range(rings):
        found[np.unique(body().faces[found[body().faces].any(axis=1)])] = True
    return found


def anew(points: Array) -> int:
    """How many pairs of triangles cross where the open body does not."""
    made = fine()
    was = crossing(points, body().faces, parts())
    now = crossing(made.points(points), made.faces, made.part)
    about = np.isin(body().faces, body().faces[np.unique(was.faces)]).sum(axis=1) > 0
    return int((~about[made.coarse[now.faces]].all(axis=1)).sum())


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


@pytest.mark.parametrize("points", [fullest(), demo()], ids=["full", "demo"])
def test_edges_are_short_on_fuller_bodies_too(points: Array) -> None:
    """A full bust spreads what is a centimetre apart on the mean woman to two and more."""
    dense, f = fine().points(points), fine().faces
    trunk = (parts()[body().faces] == NAMES.index("trunk")).all(axis=1)
    for some, most in ((inner(), 0.85), (trunk, 0.8)):
        g = f[some[fine().coarse]]
        long = np.linalg.norm(dense[g] - dense[np.roll(g, -1, axis=1)], axis=2)
        assert np.quantile(long, 0.95) < EDGE
        assert long.max() < most


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
    """Nineteen of twenty coarse creases are at least halved; neighbours' normals differ less."""
    points = stood()
    coarse = turns(points, body().faces, inner())
    dense = turns(fine().points(points), fine().faces, inner()[fine().coarse])
    for share in (0.5, 0.95):
        assert np.quantile(dense, share) < 0.5 * np.quantile(coarse, share)
    # wholly bent, it follows all four sides of each quad alike, but in folds, which stay
    open_ = inner() & ~folds(FOLD[0], 1)[body().faces].any(axis=1)
    assert open_.sum() > 0.65 * inner().sum()
    coarse = turns(points, body().faces, open_)
    smooth = turns(fine(1.0).points(points), fine().faces, open_[fine().coarse])
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


def test_nothing_is_bent_in_a_fold() -> None:
    """Of the mean body: armpit, under the bust, groin, cleft. Elsewhere edges bend."""
    points, straight = fine().points(stood()), fine(0.0).points(stood())
    moved = np.linalg.norm(points - straight, axis=1)
    most = np.zeros(len(body().faces))
    np.maximum.at(most, np.repeat(fine().coarse, 4), moved[fine().faces].ravel())
    folded = folds(35.0, 0)
    # a side of such a face lies along the fold
    along = (folded[body().faces].sum(axis=1) > 1) & inner()
    assert along.sum() > 60
    assert most[along].max() < 0.01
    at = vertices()
    for name in ("armpit_left", "armpit_right", "under_bust_left", "fork"):
        far = np.linalg.norm(stood() - stood()[at[name]], axis=1)
        assert folds(30.0, 0)[far < 3.0].any(), name
    for name in ("side_hip_left", "shoulder_point_right", "knee_left"):
        assert most[(body().faces == at[name]).any(axis=1)].max() > 0.02, name


def test_an_armpit_does_not_pass_through_itself_anew() -> None:
    """This woman's did where its edges were bent as elsewhere."""
    assert anew(figure_of(complete(read_record(women()[145]))).points) == 0
