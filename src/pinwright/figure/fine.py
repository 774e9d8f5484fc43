"""A finer surface of the figure, for cloth to lie on: quads of about half a centimetre.

Every edge of the open body is parted evenly, the long ones into more parts; hands, feet and head
stay as they are. The parts are odd in number, 1, 3, 5, so that every quad can be filled with quads:
where opposite sides differ, three cells run together into one. An edge is bent as a spline through
the vertices is, along the line of edges it lies in (Catmull & Rom 1974, "A class of local
interpolating splines", its tangents those of parabolas because edges differ in length), and within
a quad the surface follows its four edges (Coons 1967, "Surfaces for computer-aided design of space
forms", MIT MAC-TR-41). The whole bend would add to girths that the tape has found, so BEND of it is
taken, as with the tension of Dyn, Levin & Gregory 1987, "A 4-point interpolatory subdivision scheme
for curve design", Computer Aided Geometric Design 4: the surface keeps a part of its creases. In
a fold of the skin (armpit, under the bust, groin, between the seats) nothing is bent: on a fuller
body it closes, and bent sides would pass through each other.

Lengths are those of the mean body or of a full one, whichever are longer, and folds those of the
mean body, once for all: so a fine vertex is the same sum of vertices for every body, and the
surface of a new one is one product.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array, eye_array, vstack

from pinwright.errors import GeometryError
from pinwright.figure.body.model import GENERAL, Array, Whole, body, shaped
from pinwright.figure.body.standing import hanging, posed, stood_mean
from pinwright.figure.crossing import NAMES, parts

KEPT = ("head", "left hand", "right hand", "left foot", "right foot")
"""Parts whose edges are not parted: no seam lies there."""

EDGE = 0.6
"""No part of an edge is longer on the mean body or the full one, cm."""

LONG = 0.62
"""Nor is an edge within a quad longer, where the sides of the quad can be parted so, cm."""

FULL: Mapping[str, float] = {"weight": 0.8, "cup": 1.0}
"""What the full body has more than the mean woman, of GENERAL: the bust spreads edges most."""

BEND = 0.32
"""How much of its bend an edge has: 0 straight, 1 smooth all over. As much as leaves every girth of
60 women within 0.1 cm (benchmarks/figure_surface.py)."""

FOLD = (15.0, 25.0)
"""A crease inwards by so many degrees on the mean body begins to be a fold, and is one."""


@dataclass(frozen=True, slots=True, eq=False)
class Fine:
    """The finer surface of every body, n vertices of the open body becoming m.

    stencil: (m, n), each row 1 in sum; its first n rows are the vertices themselves. faces: (q, 4)
    quads, anticlockwise seen from outside. coarse: (q,) the face of the open body each lies in.
    part: (m,) the part each vertex belongs to, as :func:`pinwright.figure.crossing.parts`.
    """

    stencil: csr_array
    faces: Whole
    coarse: Whole
    part: Whole

    def points(self, points: Array) -> Array:
        """The finer surface (m, 3) of a body (n, 3), cm."""
        found: Array = self.stencil @ points
        return found


@dataclass(frozen=True, slots=True, eq=False)
class _Half:
    """The faces' sides, each seen along its face: side k of face f is number 4 f + k.

    start, end: vertices. twin: the same edge seen along the other face. turned: the next side round
    the start. count: into how many parts its edge is parted.
    """

    start: Whole
    end: Whole
    twin: Whole
    turned: Whole
    count: Whole


@lru_cache(maxsize=2)
def fine(bend: float = BEND) -> Fine:
    """The finer surface of the open body, made once."""
    b = body()
    both = np.stack([stood_mean(), full()])
    half = _sides(b.faces, both, np.isin(parts(), [NAMES.index(k) for k in KEPT]))
    bent = _bends(half, stood_mean(), bend * (1.0 - _folded(half, stood_mean())))
    n = b.n
    # of each edge one of its two sides leads, and its points are numbered along that
    lead = np.flatnonzero(half.start < half.end)
    first = np.full(len(half.start), -1)
    first[lead] = n + np.cumsum(half.count[lead] - 1) - (half.count[lead] - 1)
    side = np.repeat(lead, half.count[lead] - 1)
    part = (np.arange(len(side)) + n - first[side] + 1) / half.count[side]
    corner = np.stack([half.start[side], half.end[side]], axis=1)
    blocks = [
        eye_array(n, format="csr"),
        _rows(corner, np.stack([1.0 - part, part], axis=1), n)
        + _bulge(side, part, np.ones(len(part)), half, bent),
    ]
    total = n + len(side)
    faces, coarse, part_of = [], [], [parts(), parts()[half.start[side]]]
    sides = np.arange(4 * len(b.faces)).reshape(-1, 4)
    kinds, which = np.unique(half.count[sides], axis=0, return_inverse=True)
    for kind, (a, c, d, e) in enumerate(kinds.tolist()):
        who = np.flatnonzero(which.ravel() == kind)
        uv, quads = filled(a, c, d, e)
        rim = a + c + d + e
        number = np.empty((len(who), len(uv)), dtype=np.int64)
        at = 0
        for k, parted in enumerate((a, c, d, e)):
            s = sides[who, k]
            number[:, at] = half.start[s]
            step = np.arange(1, parted)
            ahead = first[s] >= 0
            number[:, at + 1 : at + parted] = np.where(
                ahead[:, None],
                first[s][:, None] + step - 1,
                first[half.twin[s]][:, None] + parted - 1 - step,
            )
            at += parted
        inner = len(uv) - rim
        number[:, rim:] = total + np.arange(len(who) * inner).reshape(len(who), inner)
        total += len(who) * inner
        faces.append(number[:, quads].reshape(-1, 4))
        coarse.append(np.repeat(who, len(quads)))
        if inner:
            u, v = np.tile(uv[rim:, 0], len(who)), np.tile(uv[rim:, 1], len(who))
            mine = np.repeat(who, inner)
            block = _rows(b.faces[mine], _even(np.stack([u, v], axis=1)), n)
            for k, (along, share) in enumerate(((u, 1 - v), (v, u), (1 - u, v), (1 - v, 1 - u))):
                block = block + _bulge(sides[mine, k], along, share, half, bent)
            blocks.append(block)
            part_of.append(parts()[b.faces[mine, 0]])
    return Fine(
        csr_array(vstack(blocks, format="csr")),
        np.concatenate(faces),
        np.concatenate(coarse),
        np.concatenate(part_of),
    )


@lru_cache(maxsize=1)
def full() -> Array:
    """The vertices (n, 3), cm, of a full body stood: see FULL."""
    b = body()
    found = posed(b, shaped({**dict.fromkeys(GENERAL, 0.5), **FULL}), hanging())[: b.n]
    found.setflags(write=False)
    return found


def _sides(faces: Whole, bodies: Array, asis: NDArray[np.bool_]) -> _Half:
    """The sides of faces (f, 4), parted by the longest they are on any of bodies (k, n, 3).

    asis: the vertices whose edges are not parted (n,).
    """
    start, end = faces.ravel(), np.roll(faces, -1, axis=1).ravel()
    n = bodies.shape[1]
    order = np.argsort(start * n + end)
    twin = order[np.searchsorted((start * n + end)[order], end * n + start)]
    before = np.arange(len(start)).reshape(-1, 4)[:, [3, 0, 1, 2]].ravel()
    long = np.linalg.norm(bodies[:, end] - bodies[:, start], axis=2).max(axis=0)
    kept = asis[start] & asis[end]
    long[kept] = 0.0
    count = 1 + 2 * np.ceil(np.maximum(long / EDGE - 1.0 - 1e-9, 0.0) / 2.0).astype(np.int64)
    while True:
        four = count.reshape(-1, 4)
        over = four[:, [2, 3, 0, 1]] > four
        uneven = np.flatnonzero(over.any(axis=1))
        worst = np.max([_longest(p[faces[uneven]], four[uneven]) for p in bodies], axis=0)
        # where a quad is not filled well, its sides with fewer parts get more; those that are kept
        # only where it could not be filled at all
        over[uneven[np.isfinite(worst)]] &= ~kept.reshape(-1, 4)[uneven[np.isfinite(worst)]]
        over[uneven[worst <= LONG]] = False
        raised = np.flatnonzero(over.ravel())
        if not len(raised):
            return _Half(start, end, twin, twin[before], count)
        more = np.unique(np.minimum(raised, twin[raised]))
        count[more] += 2
        count[twin[more]] = count[more]


def _longest(corner: Array, parted: Whole) -> Array:
    """The longest edge (k,) in quads (k, 4, 3) so filled, cm; endless where they cannot be."""
    found = np.full(len(corner), np.inf)
    kinds, which = np.unique(parted, axis=0, return_inverse=True)
    for kind, sides in enumerate(kinds.tolist()):
        if _steps(*sides) is not None:
            who = np.flatnonzero(which.ravel() == kind)
            uv, quads = filled(*sides)
            at = _even(uv) @ corner[who]
            long = np.linalg.norm(at[:, quads] - at[:, np.roll(quads, -1, axis=1)], axis=3)
            found[who] = long.max(axis=(1, 2))
    return found


def _even(uv: Array) -> Array:
    """The shares (k, 4) of the corners of a quad at places (k, 2) of the unit square."""
    u, v = uv.T
    found: Array = np.stack([(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v], axis=1)
    return found


def _folded(half: _Half, points: Array) -> Array:
    """How far each vertex, or one next to it, lies in a fold (n,): 0 not at all, 1 wholly."""
    corner = points[half.start.reshape(-1, 4)]
    out = np.cross(corner[:, 2] - corner[:, 0], corner[:, 3] - corner[:, 1])
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    one = np.repeat(out, 4, axis=0)
    other = one[half.twin]
    along = points[half.end] - points[half.start]
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    # faces turn their fronts to each other in a fold, and away from each other elsewhere
    turn = np.einsum("ij,ij->i", np.cross(other, one), along)
    angle = np.degrees(np.arctan2(turn, np.einsum("ij,ij->i", one, other)))
    sharp = np.zeros(len(points))
    np.maximum.at(sharp, half.start, angle)
    near = sharp.copy()
    np.maximum.at(near, half.start, sharp[half.end])
    found: Array = np.clip((near - FOLD[0]) / (FOLD[1] - FOLD[0]), 0.0, 1.0)
    return found


def _bends(half: _Half, points: Array, bend: Array) -> csr_array:
    """By how much each side leaves its start otherwise than straight to its end: (sides, n).

    bend: of each vertex how much of its bend a side has that starts there (n,).

    At a vertex of four edges a side goes on from the one opposite; of three or five from the mean
    of the two that are most nearly opposite.
    """
    n, h = len(points), len(half.start)
    valence = np.bincount(half.start, minlength=n)[half.start]
    round_ = [np.arange(h)]
    for _ in range(int(valence.max())):
        round_.append(half.turned[round_[-1]])
    turns = np.stack(round_)
    one = half.end[turns[valence // 2, np.arange(h)]]
    other = half.end[turns[(valence + 1) // 2, np.arange(h)]]
    start, end = half.start, half.end
    own = np.linalg.norm(points[end] - points[start], axis=1)
    back = np.linalg.norm(points[start] - (points[one] + points[other]) / 2.0, axis=1)
    scale = bend[half.start] * own / (own + back)
    ratio = own / back
    # not where the edges stay as they are
    scale = np.where(half.count > 1, scale, 0.0)
    shares = np.stack([(ratio + 1.0), -ratio / 2.0, -ratio / 2.0, -np.ones(h)], axis=1)
    return _rows(np.stack([start, one, other, end], axis=1), scale[:, None] * shares, n)


def _bulge(side: Whole, along: Array, share: Array, half: _Half, bent: csr_array) -> csr_array:
    """How far sides (k,) stand off their chords at parts (k,) of their length, times a share."""
    near = share * along * (1.0 - along) ** 2
    far = share * along**2 * (1.0 - along)
    at = np.stack([side, half.twin[side]], axis=1)
    return csr_array(_rows(at, np.stack([near, far], axis=1), len(half.start)) @ bent)


def _rows(columns: Whole, values: Array, width: int) -> csr_array:
    """Rows (k, width) that have values (k, j) at columns (k, j)."""
    k, j = columns.shape
    start = np.arange(k + 1) * j
    found = csr_array((values.ravel(), columns.ravel(), start), shape=(k, width))
    found.sum_duplicates()
    return found


def _fewer(wide: int, narrow: int) -> list[int]:
    """The numbers of parts of the rows from a wide side to a narrow one, both odd."""
    found = [wide]
    while found[-1] > narrow:
        n = found[-1]
        found.append(n - 2 * min((n - narrow) // 2, n // 3))
    return found


def _steps(a: int, b: int, c: int, d: int) -> bool | None:
    """Whether opposite sides a, c are evened before b, d; None where neither order works."""
    for first, (p, q, r, s) in ((True, (a, b, c, d)), (False, (b, c, d, a))):
        rows = len(_fewer(max(p, r), min(p, r))) - 1
        left = min(q, s) - rows
        if q == s:
            if left >= 0 and (left > 0 or rows > 0):
                return first
        elif left > 0 and len(_fewer(max(q, s) - rows, left)) - 1 <= min(p, r):
            return first
    return None


@cache
def filled(a: int, b: int, c: int, d: int) -> tuple[Array, Whole]:
    """A unit square filled with quads, its sides, from (0, 0) to (1, 0) and round, so parted.

    Points (k, 2), those of the sides first, in order round; quads (q, 4), anticlockwise. Inside,
    each point is the mean of its neighbours, so that none is turned over (Tutte 1963, "How to draw
    a graph", Proc. London Math. Soc. s3-13).

    Raises GeometryError where opposite sides differ by too much for that.
    """
    ends = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    rim = [
        ends[k] + (ends[(k + 1) % 4] - ends[k]) * i / parted
        for k, parted in enumerate((a, b, c, d))
        for i in range(parted)
    ]
    ring = [*range(len(rim)), 0]
    bottom, right = ring[: a + 1], ring[a : a + b + 1]
    top, left = ring[a + b : a + b + c + 1][::-1], ring[a + b + c :][::-1]
    quads: list[list[int]] = []
    count = len(rim)

    def row(low: list[int], high: list[int], start: int, end: int, known: bool) -> list[int]:
        """One row of cells over ``low`` up to start and end, of as many parts as ``high``."""
        nonlocal count
        n, over = len(low) - 1, len(high) - 1
        least = _fewer(n, over)[1] if n > over else n
        if known:
            upper = high
        else:
            upper = [start, *range(count, count + least - 1), end]
            count += least - 1
        joined = (n - least) // 2
        wide = {int((k + 0.5) * least / joined) for k in range(joined)}
        i = 0
        for k in range(least):
            p, q = upper[k], upper[k + 1]
            if k in wide:
                g, h = count, count + 1
                count += 2
                w, x, y, z = low[i : i + 4]
                quads.extend([[w, x, g, p], [x, y, h, g], [y, z, q, h], [g, h, q, p]])
                i += 3
            else:
                quads.append([low[i], low[i + 1], q, p])
                i += 1
        return upper

    order = _steps(a, b, c, d)
    if order is None:
        raise GeometryError(f"a quad with sides of {a}, {b}, {c} and {d} parts is not filled.")
    if not order:
        bottom, right, top, left = left, top, right, bottom
    for turn in range(2):
        if len(bottom) < len(top):
            bottom, top = top, bottom
            left, right = left[::-1], right[::-1]
        while min(len(bottom), len(left)) > 1 and (turn == 1 or len(bottom) > len(top)):
            last = len(left) == 2 and len(right) == 2
            bottom = row(bottom, top, left[1], right[1], last)
            left, right = left[1:], right[1:]
        if turn == 0:
            bottom, right, top, left = left, top, right, bottom
    assert len(left) == len(right) == 1 or len(bottom) == len(top) == 1
    found = np.array(quads, dtype=np.int64)
    edge = np.concatenate([found[:, [k, (k + 1) % 4]] for k in range(4)])
    edge = np.unique(np.sort(edge, axis=1), axis=0)
    pull = np.zeros((count, count))
    pull[edge[:, 0], edge[:, 1]] = pull[edge[:, 1], edge[:, 0]] = -1.0
    np.fill_diagonal(pull, -pull.sum(axis=1))
    k = len(rim)
    points = np.array(rim)
    if count > k:
        points = np.concatenate([points, np.linalg.solve(pull[k:, k:], -pull[k:, :k] @ points)])
    one, other = (points[found[:, k + 2]] - points[found[:, k]] for k in range(2))
    clockwise = one[:, 0] * other[:, 1] < one[:, 1] * other[:, 0]
    found[clockwise] = found[clockwise, ::-1]
    return points, found
