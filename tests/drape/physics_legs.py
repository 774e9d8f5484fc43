"""Two tubes joined at a crotch, hung on two legs."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Whole
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.settling import settled
from tests.drape.physics_bodies import field_from, tube
from tests.drape.physics_cloth import cloth

LEG, APART = 8.0, 8.5
"""Radius of a leg and half the distance between the legs' axes, cm: 1 cm is between them."""

ROUND = 4.0
"""Radius of the seat's rim, cm."""


def legs_distance(p: Array) -> Array:
    """Distance (n,) from two legs that grow to one trunk above z = 0, cm."""
    legs = np.hypot(np.abs(p[:, 0]) - APART, p[:, 1]) - LEG
    trunk = np.hypot(np.maximum(np.abs(p[:, 0]) - APART, 0.0), p[:, 1]) - LEG
    # the seat is rounded by 4 cm, as a body is
    deep = np.stack([trunk, -p[:, 2]]) + ROUND
    above = np.hypot(*np.maximum(deep, 0.0)) + np.minimum(deep.max(axis=0), 0.0) - ROUND
    return np.asarray(np.minimum(legs, above))


@dataclass(frozen=True, eq=False)
class Breeches:
    """Two tubes joined at a crotch: triangles, flat corners, start, top and fork."""

    x: Array
    triangles: Whole
    rest: Array
    top: Whole
    fork: int


def breeches(edge: float = 1.0) -> Breeches:
    """Each leg a flat piece sewn to a tube, cut away in a U above the crotch, sewn to the other."""
    radius, crotch, high, low = 8.8, -8.0, 14.0, -24.0
    round_ = 2 * round(np.pi * radius / edge)
    step = 2.0 * np.pi * radius / round_
    tall = step * np.sqrt(0.75)
    rows = round((high - low) / tall) + 1
    flat, triangles, rest = tube(round_, rows, step)
    # the inseam, facing the other leg, is at angle 0 of the tube
    row, col = np.divmod(np.arange(len(flat)), round_)
    z = low + row * tall
    angle = (col + 0.5 * (row % 2)) / round_ * 2.0 * np.pi
    from_inseam = np.minimum(angle, 2.0 * np.pi - angle)
    reach = 0.64 * np.sqrt(np.clip((z - crotch) / 9.0, 0.0, 1.0))
    kept = (z < crotch) | (from_inseam >= reach - 1e-9)
    alive = kept[triangles].all(axis=1)
    triangles, rest = triangles[alive], rest[alive]
    used = np.unique(triangles)
    # the sides of the U: sides of only one triangle, above the crotch but not at the top
    sides = np.sort(
        np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1
    )
    keys, counts = np.unique(sides, axis=0, return_counts=True)
    rim = np.unique(keys[counts == 1])
    at_waist = (row[rim] == rows - 1) & (from_inseam[rim] > 0.64 + step / radius)
    seam = rim[(row[rim] > 0) & ~at_waist]
    x = np.stack(
        [
            -APART + 8.45 * np.cos(angle),
            8.45 * np.sin(angle),
            z,
        ],
        axis=1,
    )
    x[seam, 0] = 0.0
    number = np.full(len(flat), -1, np.int64)
    number[used] = np.arange(len(used))
    other = np.full(len(flat), -1, np.int64)
    alone = used[~np.isin(used, seam)]
    other[alone] = len(used) + np.arange(len(alone))
    other[seam] = number[seam]
    mirrored = x[alone] * [-1.0, 1.0, 1.0]
    both = np.concatenate([number[triangles], other[triangles][:, [0, 2, 1]]])
    # the other leg is the same piece turned over: its flat corners are mirrored too
    turned_over = rest[:, [0, 2, 1]] * [-1.0, 1.0]
    top = used[row[used] == rows - 1]
    tops = np.unique(np.concatenate([number[top], other[top]]))
    fork = int(number[seam[np.argmin(z[seam])]])
    return Breeches(
        np.concatenate([x[used], mirrored]),
        both,
        np.concatenate([rest, turned_over]),
        tops,
        fork,
    )


def hung_breeches(edge: float = 1.0) -> tuple[Breeches, Setting, Array, float]:
    """(breeches, setting, where they hang (n, 3), residual), held by the waist."""
    b = breeches(edge)
    low, high = np.array([-24.0, -15.0, -32.0]), np.array([24.0, 15.0, 24.0])
    body = field_from(legs_distance, low, high, 0.5)
    x = b.x.copy()
    for _ in range(6):
        far, way = body.at(x)
        x += np.maximum(0.1 - far, 0.0)[:, None] * way
    s = cloth(len(x), b.triangles, b.rest, bend=(137.0, 60.0), body=body, half=0.04, pinned=b.top)
    soft = replace(s, stiff=0.01 * s.stiff, gravity=np.zeros(3))
    # drawn together first, as a garment is put on
    state, _ = settled(soft, x, steps=30, h=0.02, longest=0.3)
    state, rest = settled(s, state.x, enough=1e-2, steps=300, h=0.02, longest=2.0, reach=0.5)
    return b, s, state.x, rest.residual


def crossings(x: Array, triangles: Whole) -> int:
    """How many sides of triangles pass through triangles with which they share no vertex."""
    sides = np.unique(
        np.sort(
            np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]),
            axis=1,
        ),
        axis=0,
    )
    middle = x[triangles].mean(axis=1)
    reach = float(np.linalg.norm(x[triangles] - middle[:, None], axis=2).max())
    ends = x[sides]
    long = float(np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1).max())
    near = cKDTree(ends.mean(axis=1)).query_ball_tree(cKDTree(middle), reach + 0.5 * long)
    a = np.repeat(np.arange(len(sides)), [len(q) for q in near])
    b = np.concatenate([np.asarray(q, np.int64) for q in near])
    apart = (sides[a][:, :, None] != triangles[b][:, None, :]).all(axis=(1, 2))
    a, b = a[apart], b[apart]
    p, d = ends[a, 0], ends[a, 1] - ends[a, 0]
    o = x[triangles[b, 0]]
    u, v = x[triangles[b, 1]] - o, x[triangles[b, 2]] - o
    n = np.cross(u, v)
    down = np.einsum("ij,ij->i", d, n)
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.einsum("ij,ij->i", o - p, n) / down
        at = p + t[:, None] * d - o
        square = np.einsum("ij,ij->i", n, n)
        r = np.einsum("ij,ij->i", np.cross(at, v), n) / square
        w = np.einsum("ij,ij->i", np.cross(u, at), n) / square
        inside = (t > 0.0) & (t < 1.0) & (r > 0.0) & (w > 0.0) & (r + w < 1.0)
    return int(inside.sum())
