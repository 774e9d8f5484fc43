"""A lay pushed together: a linear programme moves all pieces at once, as far as none meets another.

Every pair keeps to half-planes round its present relative position, so that whatever the
programme finds is a lay; it is solved again from there until nothing is gained.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from time import perf_counter
from typing import Any

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import csr_matrix

from pinwright.cutting.lay.apart import half_planes, made_ready, walls
from pinwright.cutting.lay.ground import Ground, Put, Regions, put_of
from pinwright.cutting.lay.nfp import no_fit
from pinwright.cutting.lay.placing import Array, Lay, Placement, Template
from pinwright.cutting.lay.verify import faults

GAIN = 0.01
"""Less gain (cm) than this is none."""

STRIDES = (0.15, 0.04, 0.01)
"""How far a piece may go in one step, as a part of the width: first far, then with more ways."""

APART = 0.04
"""How far a piece may go to come apart from others, as a part of the width."""

HOPE = 1.0
"""A lay longer by more (cm) than it should be is not pushed together."""

Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True, eq=False)
class _State:
    ground: Ground
    templates: tuple[Template, ...]
    puts: tuple[Put, ...]

    @property
    def length(self) -> float:
        return max((p.end for p in self.puts), default=0.0)


def compacted(lay: Lay, seconds: float = 3.0, stop: Stop | None = None) -> Lay:
    """The lay pushed together along the cloth in about ``seconds`` s, never longer than before.

    Pieces keep their rotations, unless one at the end goes into a place that is free elsewhere.
    Pieces on the fold keep to it, pieces with phases move by whole repeats. What comes out is
    looked at afresh on the true outlines; if anything is wrong, or nothing is gained, the lay
    given is returned.
    """
    made_ready()
    began = perf_counter()

    def until() -> bool:
        return perf_counter() - began > seconds or (stop is not None and stop())

    if not lay.placements:
        return lay
    state = _state_of(lay)
    best = lay
    while not until():
        next_ = _reinserted(_pushed(state, until), until)
        gained = state.length - next_.length
        state = next_
        found = _lay(lay, state, began)
        # An infinitesimal error could only grow from here on: what is wrong once ends it.
        if gained <= 0.0 or faults(replace(found, templates=state.templates)):
            break
        best = found
        if gained <= GAIN:
            break
    return best if best.length < lay.length - 1e-6 else lay


def pulled_apart(lay: Lay, below: float, until: Stop) -> Lay | None:
    """The lay with pieces that overlap a little moved apart, all at once, and then pushed together;
    None where it does not get shorter than ``below`` cm. To be looked at for faults.
    """
    began = perf_counter()
    state = _stepped(_state_of(lay), APART * lay.field.width, True)
    if state is None or state.length > below + HOPE:
        return None
    state = _pushed(state, until, STRIDES[1:])
    return _lay(lay, state, began) if state.length < below - GAIN else None


def _state_of(lay: Lay) -> _State:
    known = {t.key: t for t in lay.templates}
    templates = tuple(known[p.key] for p in lay.placements)
    ground = Ground(lay.field, templates, lay.length)
    puts = tuple(put_of(ground, t, p) for t, p in zip(templates, lay.placements, strict=True))
    return _State(ground, templates, puts)


def _lay(lay: Lay, state: _State, began: float) -> Lay:
    placements = tuple(
        Placement(t.key, p.x, p.y, p.kind.said)
        for t, p in zip(state.templates, state.puts, strict=True)
    )
    return replace(
        lay,
        placements=placements,
        length=state.length,
        seconds=lay.seconds + perf_counter() - began,
        way=f"{lay.way}, compacted" if lay.way else "compacted",
    )


def _pushed(state: _State, until: Stop, strides: tuple[float, ...] = STRIDES) -> _State:
    for stride in strides:
        while not until():
            next_ = _stepped(state, stride * state.ground.field.width)
            if next_ is None or next_.length > state.length - GAIN:
                if next_ is not None and next_.length <= state.length:
                    state = next_
                break
            state = next_
    return state


def _stepped(state: _State, stride: float, apart: bool = False) -> _State | None:
    """All pieces moved at once by at most ``stride`` cm along and across; None if none can be.

    apart: those that overlap come apart.
    """
    puts, n = state.puts, len(state.puts)
    at = np.array([(p.x, p.y) for p in puts])
    rows: list[Array] = [np.empty((0, 5))]
    for i in range(n):
        for j in range(i + 1, n):
            rows.append(_between(puts[i], puts[j], i, j, stride))
        for b in state.ground.obstacles:
            region = no_fit(b, 0.0, puts[i].kind.body, puts[i].kind.rotation)
            planes = half_planes(walls(region), at[i], stride, np.array([-1.0, 0.0]))
            rows.append(_rows(-1, i, planes))
    bounds = _bounds(state, stride)
    if bounds is None:
        return None
    low, high, inner = bounds
    apart_by = np.concatenate([*rows, *inner])
    i, j = apart_by[:, :2].astype(np.int64).T
    normal, offset = apart_by[:, 2:4], apart_by[:, 4]
    # Where a lay has a hair of overlap already, it may stay: else nothing could be solved.
    present = at[j] - np.where(i[:, None] >= 0, at[i], 0.0)
    least = offset if apart else np.minimum(offset, np.einsum("ij,ij->i", normal, present))
    # Unknowns: x0, y0, x1, y1, ..., and the length last. A little weight on every x keeps
    # pieces that do not decide the length moving up too.
    cost = np.zeros(2 * n + 1)
    cost[0:-1:2] = 1e-3 / n
    cost[-1] = 1.0
    r, two = np.arange(len(i)), i >= 0
    end = len(i) + np.arange(n)
    at_row = np.concatenate([r, r, r[two], r[two], end, end])
    at_column = np.concatenate(
        [2 * j, 2 * j + 1, 2 * i[two], 2 * i[two] + 1, 2 * np.arange(n), np.full(n, 2 * n)]
    )
    value = np.concatenate([*-normal.T, *normal[two].T, np.ones(n), -np.ones(n)])
    right = np.concatenate([-least, [-p.kind.most[0] for p in puts]])
    # Any: linprog takes a sparse matrix, its published types do not say so.
    matrix: Any = csr_matrix((value, (at_row, at_column)), shape=(len(right), 2 * n + 1))
    limits: Any = np.stack([np.append(low.ravel(), 0.0), np.append(high.ravel(), np.inf)], axis=1)
    solved = linprog(cost, A_ub=matrix, b_ub=right, bounds=limits, method="highs")
    if solved.x is None or not solved.success:
        return None
    new = np.clip(solved.x[:-1].reshape(n, 2), low, high) + 0.0
    moved = tuple(Put(p.kind, float(x), float(y)) for p, (x, y) in zip(puts, new, strict=True))
    return replace(state, puts=moved)


def _between(a: Put, b: Put, i: int, j: int, stride: float) -> Array:
    reach = 2.0 * stride
    gap_x = max(a.kind.least[0] + a.x - b.end, b.kind.least[0] + b.x - a.end)
    gap_y = max(
        a.kind.least[1] + a.y - b.y - b.kind.most[1], b.kind.least[1] + b.y - a.y - a.kind.most[1]
    )
    if max(gap_x, gap_y) > reach + 2.0:
        return np.empty((0, 5))
    region = no_fit(a.kind.body, a.kind.rotation, b.kind.body, b.kind.rotation)
    at = np.array([b.x - a.x, b.y - a.y])
    middle = (b.kind.least[0] + b.kind.most[0] - a.kind.least[0] - a.kind.most[0]) / 2.0 + at[0]
    way = np.array([-1.0 if middle > 0.0 else 1.0, 0.0])
    return _rows(i, j, half_planes(walls(region), at, reach, way))


def _rows(i: int, j: int, planes: Array) -> Array:
    """Half-planes (k, 3) for piece j against piece i, -1 for what does not move: (k, 5)."""
    found = np.empty((len(planes), 5))
    found[:, 0], found[:, 1], found[:, 2:] = i, j, planes
    return found


def _bounds(state: _State, stride: float) -> tuple[Array, Array, list[Array]] | None:
    """Least and most (n, 2) position of every piece, and the half-planes of a remnant's edge."""
    field, puts = state.ground.field, state.puts
    at = np.array([(p.x, p.y) for p in puts])
    low, high = at - stride, at + stride
    rows: list[Array] = []
    for i, p in enumerate(puts):
        k = p.kind
        if field.outline is not None:
            region = state.ground.inside(k)
            if region.is_empty:
                return None
            way = np.array([-1.0, 0.0])
            rows.append(_rows(-1, i, half_planes(walls(region, True), at[i], stride, way)))
        else:
            end = np.inf if field.length is None else field.length
            low[i] = np.maximum(low[i], -np.array(k.least))
            high[i] = np.minimum(high[i], np.array([end, field.width]) - k.most)
        for axis, lattice in enumerate((k.along, k.across)):
            if lattice is not None:
                low[i, axis] = high[i, axis] = at[i, axis]
    # A piece a hair outside may stay there.
    return np.minimum(low, at), np.maximum(high, at), rows


def _reinserted(state: _State, until: Stop) -> _State:
    """Pieces bound to the repeat, and those at the end, each put further up if there is room."""
    ground, puts = state.ground, list(state.puts)
    order = sorted(range(len(puts)), key=lambda i: puts[i].end)
    last = state.length - 1.0
    for i in order:
        if until():
            break
        k = puts[i].kind
        bound = k.along is not None or k.across is not None
        if not bound and puts[i].end < last:
            continue
        others = tuple(p for j, p in enumerate(puts) if j != i)
        best = puts[i]
        for way in (k,) if bound else (k, *ground.ways[state.templates[i].key]):
            regions: Regions = {}
            for x, y in ground.spots(way, ground.free(way, others, regions)):
                if x + way.most[0] < best.end - GAIN:
                    best = Put(way, float(x), float(y))
        puts[i] = best
    return replace(state, puts=tuple(puts))
