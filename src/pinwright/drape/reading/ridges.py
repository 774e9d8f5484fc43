"""Ridges of a hung cloth: where it stands out against its smooth copy in a line.

A ridge passes where the slope across its strongest bend changes sign (Y. Ohtake, A. Belyaev, H.-P.
Seidel, ACM TOG 23(3), 2004), so its line is found to a fraction of a side of a triangle.
Lines are kept by two thresholds (J. Canny, IEEE PAMI 8(6), 1986): what lies between them only
where it runs on from what is over both.
"""

from __future__ import annotations

from dataclasses import dataclass

import numba as nb
import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.data import Array, Hung, Whole
from pinwright.drape.reading.cloth import sides
from pinwright.drape.reading.heights import Field, bends, fields
from pinwright.drape.reading.nearest import Nearest
from pinwright.drape.reading.section import chained

BEND = 0.03
"""A ridge bends at least so much across, 1/cm (a radius of 33 cm over the garment's own): the
depth says what is a fold, this only where lines end."""

LENGTHWISE = 0.75
"""Along a ridge it bends at most this part of the bend across: else it is a bump."""

REACH = 7.0
"""So far to either side (cm) the ground beside a ridge is looked for."""

BIN = 0.75
"""The step of the profile across a ridge, cm."""

SLAB = 1.0
"""So much of the cloth along the ridge (cm, to either side) makes one profile."""

RIPPLE = 0.03
"""A rise of less on the way down from a crest, cm, is no next fold."""

STRONG, WEAK = 0.25, 0.12
"""Depths (cm): a fold is somewhere deeper than the one and everywhere than the other."""

OWN = 0.4
"""At least this part of a fold's depth is a rise off the body: else it is the body's own shape."""

BRIDGE = 2.5
"""Pieces of a ridge whose ends lie so near (cm) and run alike are one."""

ALIKE = 0.8
"""The least cosine between the ways of pieces of one ridge."""

SHORT = 4.0
"""A shorter ridge, cm, is none that a cutter sees."""


@dataclass(frozen=True, slots=True, eq=False)
class Ridge:
    """One ridge: points (k, 3) cm along it; depth (k,) over the ground beside it, cm; normal (k, 3)
    the way the garment faces there."""

    points: Array
    depth: Array
    normal: Array

    @property
    def length(self) -> float:
        """How long it is, cm."""
        return float(np.linalg.norm(np.diff(self.points, axis=0), axis=1).sum())

    @property
    def most(self) -> float:
        """The depth that nine tenths of it stay under, cm."""
        return float(np.quantile(self.depth, 0.9))


def _crossings(hung: Hung, field: Field) -> tuple[Array, Whole, Array, Whole]:
    """Where ridges cross sides of triangles.

    Shares t (k,) of the way between the ends (k, 2) of the sides they cross, the way across the
    ridge (k, 3) there, and the links (l, 2) between them, each within a triangle.
    """
    f = hung.shell.triangles
    edge = sides(f)
    slope, across, bend, along = bends(field, edge)
    a, b = edge[:, 0], edge[:, 1]
    turn = np.sign((across[a] * across[b]).sum(axis=1))
    sa = (slope[a] * across[a]).sum(axis=1)
    sb = (slope[b] * across[b]).sum(axis=1) * turn
    way = field.base[b] - field.base[a]
    uphill = (way * across[a]).sum(axis=1)
    # rising towards the crossing from either end: a crest, no valley
    crest = (sa * uphill > 0.0) & (sb * uphill < 0.0)
    bent = np.minimum(bend[a], bend[b]) > BEND
    lines = np.abs(along[a] + along[b]) < LENGTHWISE * (bend[a] + bend[b])
    cut = np.flatnonzero(crest & bent & lines)
    t = sa[cut] / (sa[cut] - sb[cut])
    number = np.full(len(edge), -1)
    number[cut] = np.arange(len(cut))
    key = a * len(field.base) + b
    links = []
    ends = [np.sort(f[:, [k, (k + 1) % 3]], axis=1) for k in range(3)]
    of = np.stack(
        [number[np.searchsorted(key, e[:, 0] * len(field.base) + e[:, 1])] for e in ends], axis=1
    )
    has = (of >= 0).sum(axis=1) >= 2
    for row in of[has]:
        some = row[row >= 0]
        links.append((some[0], some[1]))
    mixed = across[a[cut]] + t[:, None] * (across[b[cut]] * turn[cut, None] - across[a[cut]])
    found = np.array(links, dtype=np.int64).reshape(-1, 2)
    return t, edge[cut], mixed, found


@nb.njit(cache=True)
def _drops(spot, normal, across, height, base, facing, heights, gap, reach, step, slab):  # type: ignore[no-untyped-def]
    """How far the ground lies under each crest (k,), and how far the gap falls there, cm.

    To either side the heights of vertices in a strip across the ridge are taken as means, step by
    step, down to their first low.
    """
    bins = int(reach / step)
    level, fall = np.empty((2, bins)), np.empty((2, bins))
    count = np.empty((2, bins), np.int64)
    depth, own = np.zeros(len(spot)), np.zeros(len(spot))
    for k in range(len(spot)):
        level[:] = 0.0
        fall[:] = 0.0
        count[:] = 0
        n, c = normal[k], across[k]
        for v in range(len(base)):
            x, y, z = base[v, 0] - spot[k, 0], base[v, 1] - spot[k, 1], base[v, 2] - spot[k, 2]
            far = x * x + y * y + z * z
            if far > reach * reach + slab * slab:
                continue
            off = x * c[0] + y * c[1] + z * c[2]
            out = x * n[0] + y * n[1] + z * n[2]
            if far - off * off - out * out > slab * slab:
                continue
            if facing[v, 0] * n[0] + facing[v, 1] * n[1] + facing[v, 2] * n[2] < 0.2:
                continue
            b = int(abs(off) / step)
            if b < bins:
                side = 1 if off > 0.0 else 0
                level[side, b] += heights[v]
                fall[side, b] += gap[v]
                count[side, b] += 1
        near = count[0, 0] + count[1, 0]
        if near == 0:
            continue
        top = (fall[0, 0] + fall[1, 0]) / near
        drop, falls, sides = 0.0, 0.0, 0
        for side in range(2):
            low, at = np.inf, -1
            for b in range(bins):
                if count[side, b] == 0:
                    continue
                here = level[side, b] / count[side, b]
                if here < low:
                    low, at = here, b
                elif here > low + RIPPLE:
                    break
            if at >= 0 and low < height[k]:
                drop += height[k] - low
                falls += top - fall[side, at] / count[side, at]
                sides += 1
        if sides == 2:
            depth[k], own[k] = drop / 2.0, falls / 2.0
    return depth, own


def ridges(hung: Hung, near: Nearest) -> tuple[Ridge, ...]:
    """The ridges of a hung garment that are folds of the cloth, the deepest first."""
    field, over = fields(hung, near)
    t, ends, across, links = _crossings(hung, field)
    if not len(links):
        return ()

    def at(values: Array) -> Array:
        share = t[:, None] if values.ndim == 2 else t
        found: Array = values[ends[:, 0]] * (1.0 - share) + values[ends[:, 1]] * share
        return found

    spot, normal, height = at(field.base), at(field.normal), at(over.height)
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
    across = across - (across * normal).sum(axis=1, keepdims=True) * normal
    across /= np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-12)
    used = np.unique(links)
    depth, own = np.zeros(len(spot)), np.zeros(len(spot))
    depth[used], own[used] = _drops(
        spot[used],
        normal[used],
        across[used],
        height[used],
        field.base,
        field.normal,
        over.height,
        near.distance,
        REACH,
        BIN,
        SLAB,
    )
    depth = np.where(own >= OWN * depth, depth, 0.0)
    points = at(hung.points)
    some = links[(depth[links] >= WEAK).all(axis=1)]
    lines = [np.asarray(nodes) for nodes, _ in chained(some[:, 0], some[:, 1])]
    found = [
        Ridge(points[line], depth[line], normal[line])
        for line in _bridged(lines, points)
        if float(depth[line].max()) >= STRONG
    ]
    kept = [r for r in found if r.length >= SHORT and r.most >= STRONG]
    return tuple(sorted(kept, key=lambda r: -r.most * r.length))


def _way(points: Array, line: Whole, at_start: bool) -> Array:
    """The way out of a line at one of its ends, over its last 3 cm or so."""
    line = line if at_start else line[::-1]
    far = np.linalg.norm(points[line] - points[line[0]], axis=1)
    k = int(np.argmax(far > 3.0)) if (far > 3.0).any() else len(line) - 1
    step = points[line[0]] - points[line[k]]
    found: Array = step / max(float(np.linalg.norm(step)), 1e-12)
    return found


def _bridged(lines: list[Whole], points: Array) -> list[Whole]:
    """Lines whose ends meet and run alike as one, the nearest ends first."""
    lines = [line for line in lines if len(line) > 1]
    while True:
        ends = [(k, s) for k in range(len(lines)) for s in (True, False)]
        if len(ends) < 3:
            return lines
        spot = np.array([points[lines[k][0 if s else -1]] for k, s in ends])
        pairs = sorted(
            cKDTree(spot).query_pairs(BRIDGE),
            key=lambda ij: float(np.linalg.norm(spot[ij[0]] - spot[ij[1]])),
        )
        taken: set[int] = set()
        joined: list[Whole] = []
        for i, j in pairs:
            (k, s), (m, r) = ends[i], ends[j]
            if k == m or k in taken or m in taken:
                continue
            out, back = _way(points, lines[k], s), _way(points, lines[m], r)
            step = spot[j] - spot[i]
            apart = float(np.linalg.norm(step))
            if -float(out @ back) < ALIKE or float(step @ out) < 0.5 * apart:
                continue
            taken |= {k, m}
            first = lines[k][::-1] if s else lines[k]
            joined.append(np.concatenate([first, lines[m] if r else lines[m][::-1]]))
        if not joined:
            return lines
        lines = [x for k, x in enumerate(lines) if k not in taken] + joined
