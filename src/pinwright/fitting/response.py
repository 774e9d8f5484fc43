"""How a garment's curves answer a correction: one displacement of every control point per unit.

A correction never moves present curves. It is compiled, on the drafted garment, into a response:
the displacement of each control point for an amount of one. The present net lines are the draft
plus the sum of amounts times responses, so corrections add, commute and invert exactly, and an
amount of zero changes nothing. Truing comes after the sum (see :mod:`pinwright.fitting.truing`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pinwright.errors import CorrectionError
from pinwright.geometry.cubic import lengths
from pinwright.pattern.garment import Garment
from pinwright.pattern.layout import EdgeKey, Layout
from pinwright.pattern.piece import Array, reach

Field = Callable[[Array], tuple[Array, Array]]
"""Displacement of points (k, 2) -> vectors (k, 2) and their Jacobians (k, 2, 2), per unit."""


@dataclass(frozen=True, eq=False)
class Response:
    """What one unit (cm unless said) of a correction does, before truing.

    ``ctrl`` (n, 4, 2) and ``aux`` (m, 2) match the garment's layout; ``mouths`` is the change of
    dart intakes (cm per unit, by (piece, dart)); ``facts`` the change of the garment's facts;
    ``effects`` the declared change of its targets.
    """

    ctrl: Array
    aux: Array
    mouths: Mapping[EdgeKey, float] = field(default_factory=dict)
    facts: Mapping[str, float] = field(default_factory=dict)
    effects: Mapping[str, float] = field(default_factory=dict)

    @cached_property
    def rows(self) -> NDArray[np.intp]:
        """The spans it moves."""
        return np.flatnonzero(self.touched)

    @cached_property
    def touched(self) -> NDArray[np.bool_]:
        """For each span whether it moves it."""
        return np.asarray(self.ctrl.any(axis=(1, 2)))


class Sketch:
    """A response being drawn: primitives add to it, :meth:`done` freezes it."""

    def __init__(self, garment: Garment) -> None:
        self.garment = garment
        self.layout: Layout = garment.layout
        self.ctrl = np.zeros_like(self.layout.ctrl)
        self.aux = np.zeros_like(self.layout.aux)
        self.mouths: dict[EdgeKey, float] = {}
        self.facts: dict[str, float] = {}
        self.effects: dict[str, float] = {}

    def done(self) -> Response:
        """The finished response."""
        self.ctrl.setflags(write=False)
        self.aux.setflags(write=False)
        return Response(self.ctrl, self.aux, self.mouths, self.facts, self.effects)

    def effect(self, target: str, amount: float) -> None:
        """Declare that a unit moves a target (by name) by ``amount`` cm."""
        self.effects[target] = self.effects.get(target, 0.0) + amount

    def field(self, pieces: Sequence[str], move: Field) -> None:
        """Displace everything on ``pieces`` by a field of the plane.

        Ends of spans move by the field, their handles by the field and its Jacobian, so joints
        that were smooth stay smooth and an affine field is exact.
        """
        for name in pieces:
            rows = self.layout.piece_spans[name]
            base = self.layout.ctrl[rows]
            for end, handle in ((0, 1), (3, 2)):
                v, jac = move(base[:, end])
                self.ctrl[rows, end] += v
                arm = base[:, handle] - base[:, end]
                self.ctrl[rows, handle] += v + np.einsum("nij,nj->ni", jac, arm)
            inside = self.layout.piece_aux[name]
            if inside.stop > inside.start:
                self.aux[inside] += move(self.layout.aux[inside])[0]

    def profile(
        self,
        key: EdgeKey,
        knots: Sequence[tuple[float, float]],
        direction: Array | None = None,
        smooth: bool = True,
        follow: bool = True,
    ) -> None:
        """Move an edge by a profile along its drafted outward normals, or along ``direction``.

        Args:
            key: (piece, edge).
            knots: (arc length from the edge's start in cm, displacement in cm per unit), rising.
                Between knots the profile eases in and out (a smoothstep) or, with ``smooth``
                false, runs straight; before the first and after the last it stays.
            direction: (2,) fixed direction instead of the normals.
            smooth: see ``knots``.
            follow: let the neighbouring edges' ends follow the corners.
        """
        ids = self.layout.span_ids(key)
        base = self.layout.ctrl[ids]
        reach = np.concatenate([[0.0], np.cumsum(lengths(base))])
        s0, s1 = reach[:-1], reach[1:]
        d0, g0 = _profile(knots, s0, smooth, after=True)
        d1, g1 = _profile(knots, s1, smooth, after=False)
        arm0, arm1 = base[:, 1] - base[:, 0], base[:, 3] - base[:, 2]
        h0, h1 = np.hypot(*arm0.T), np.hypot(*arm1.T)
        t0, t1 = arm0 / h0[:, None], arm1 / h1[:, None]
        mid = base[:, 2] - base[:, 1]
        if direction is None:
            n0 = np.stack([t0[:, 1], -t0[:, 0]], axis=1)
            n1 = np.stack([t1[:, 1], -t1[:, 0]], axis=1)
            k0 = 2 / 3 * (arm0[:, 0] * mid[:, 1] - arm0[:, 1] * mid[:, 0]) / h0**3
            k1 = 2 / 3 * (mid[:, 0] * arm1[:, 1] - mid[:, 1] * arm1[:, 0]) / h1**3
        else:
            n0 = n1 = np.broadcast_to(direction, t0.shape)
            k0 = k1 = np.zeros(len(ids))
        start, end = d0[:, None] * n0, d1[:, None] * n1
        self.ctrl[ids, 0] += start
        self.ctrl[ids, 1] += start + h0[:, None] * (g0[:, None] * n0 + (d0 * k0)[:, None] * t0)
        self.ctrl[ids, 2] += end - h1[:, None] * (g1[:, None] * n1 + (d1 * k1)[:, None] * t1)
        self.ctrl[ids, 3] += end
        if follow:
            for last, v in ((False, start[0]), (True, end[-1])):
                if v.any():
                    other, at_last = self.layout.neighbours[key, last]
                    self.follow(other, at_last, v)

    def follow(self, key: EdgeKey, last: bool, v: Array) -> None:
        """Let the end of an edge follow its corner by ``v`` (2,)."""
        rows, shares = follow_shares(self.layout, key, last, v)
        self.ctrl[rows] += shares

    def deepen(self, piece: str, dart: str, intake: float) -> None:
        """Change a dart's intake, its legs kept equal and its axis still, by cm per unit."""
        self.mouths[piece, dart] = self.mouths.get((piece, dart), 0.0) + intake

    def move_inside(self, piece: str, what: str, name: str, v: Array) -> None:
        """Move an apex, line or mark by ``v`` (2,) per unit."""
        self.aux[self.layout.aux_index[piece, what, name]] += v

    def station_length(self, key: EdgeKey, station: str) -> float:
        """Drafted arc length in cm from the start of an edge to a station.

        Raises:
            CorrectionError: the edge has no such level.
        """
        ids = self.layout.span_ids(key)
        try:
            count = self.layout.boundary(key, station)
        except KeyError as err:
            e = self.layout.edges[key]
            known = ", ".join((e.start, *e.stations, e.end))
            raise CorrectionError(
                f"The {key[0]}'s {key[1]} edge has no level {station!r}; it has {known}."
            ) from err
        return float(lengths(self.layout.ctrl[ids[:count]]).sum()) if count else 0.0

    def edge_length(self, key: EdgeKey) -> float:
        """Drafted sewn length of an edge, cm."""
        return float(lengths(self.layout.ctrl[self.layout.span_ids(key)]).sum())

    def stretch_rate(self, key: EdgeKey) -> float:
        """By how much a unit of this sketch lengthens an edge, to first order (cm per unit)."""
        ids = self.layout.span_ids(key)
        if not self.ctrl[ids].any():
            return 0.0
        step = 1e-4
        base = self.layout.ctrl[ids]
        longer = lengths(base + step * self.ctrl[ids]).sum()
        shorter = lengths(base - step * self.ctrl[ids]).sum()
        return float((longer - shorter) / (2 * step))


def follow_shares(
    layout: Layout, key: EdgeKey, last: bool, v: Array
) -> tuple[NDArray[np.intp], Array]:
    """Rows and displacements (k, 4, 2) by which an edge's end follows its corner by ``v`` (2,).

    A straight stretch stays straight back to its nearest station. On a curve the displacement
    fades over the reach of the run (see :func:`piece.reach`), eased in and out: the edge keeps
    its direction at the corner and its smooth joints.
    """
    rows, shares = _follow_weights(layout, key, last)
    return rows, shares[..., None] * v


def _follow_weights(layout: Layout, key: EdgeKey, last: bool) -> tuple[NDArray[np.intp], Array]:
    """Rows of an edge's end and the share of a corner's movement each control point takes."""
    known = layout.follow_cache.get((key, last))
    if known is not None:
        return known
    runs = layout.runs[key]
    run = len(runs) - 1 if last else 0
    a, b = runs[run]
    rows = np.arange(a, b) if last else np.arange(b - 1, a - 1, -1)
    stations = [c for r, c in layout.edges[key].stations.values() if r == run and 0 < c < b - a]
    size = lengths(layout.ctrl[rows])
    away = np.concatenate([[0.0], np.cumsum(size[::-1])])[::-1]
    if stations:
        count = b - a - max(stations) if last else min(stations)
        near = rows[-count:]
    else:
        near = rows
    if layout.straight[near].all():
        rows = near
        away = away[-len(rows) - 1 :]
        far = away[0]
        w = 1.0 - away / far
        slope = np.full(len(w), 1.0 / far)
    else:
        far = reach(float(away[0]))
        u = np.clip(1.0 - away / far, 0.0, 1.0)
        w = u * u * (3 - 2 * u)
        slope = 6 * u * (1 - u) / far
        keep = w[1:] > 0
        rows, w, slope = rows[keep], w[-int(keep.sum()) - 1 :], slope[-int(keep.sum()) - 1 :]
    c = layout.ctrl[rows] if last else layout.ctrl[rows][:, ::-1]
    h0 = np.hypot(*(c[:, 1] - c[:, 0]).T)
    h1 = np.hypot(*(c[:, 3] - c[:, 2]).T)
    shares = np.stack([w[:-1], w[:-1] + h0 * slope[:-1], w[1:] - h1 * slope[1:], w[1:]], axis=1)
    if not last:
        shares = shares[:, ::-1]
    layout.follow_cache[key, last] = rows, shares
    return rows, shares


def _profile(
    knots: Sequence[tuple[float, float]], s: Array, smooth: bool, after: bool
) -> tuple[Array, Array]:
    """Value and slope of a profile at arc lengths ``s``; ``after`` takes the slope beyond s."""
    x = np.array([k[0] for k in knots])
    y = np.array([k[1] for k in knots])
    if len(x) == 1:
        return np.full_like(s, y[0]), np.zeros_like(s)
    probe = s + (1e-9 if after else -1e-9)
    i = np.clip(np.searchsorted(x, probe, side="right") - 1, 0, len(x) - 2)
    gap = np.maximum(x[i + 1] - x[i], 1e-12)
    u = np.clip((s - x[i]) / gap, 0.0, 1.0)
    rise = y[i + 1] - y[i]
    inside = (probe > x[0]) & (probe < x[-1])
    if smooth:
        return y[i] + rise * u * u * (3 - 2 * u), np.where(inside, rise * 6 * u * (1 - u) / gap, 0)
    return y[i] + rise * u, np.where(inside, rise / gap, 0.0)


def ramp_field(
    direction: Array,
    across: tuple[float, float] | None = None,
    up: tuple[float, float] | None = None,
    smooth_up: bool = True,
) -> Field:
    """A field along ``direction`` (2,) weighted by ramps over the piece.

    Args:
        direction: displacement (2,) per unit where the weight is 1.
        across: (x where the weight is 0, x where it is 1), straight between, or None for 1.
        up: (y where the weight is 0, y where it is 1), or None for 1.
        smooth_up: ease the ramp in y in and out so that no kink is left.
    """

    def move(p: Array) -> tuple[Array, Array]:
        wx, gx = _ramp(p[:, 0], across, False)
        wy, gy = _ramp(p[:, 1], up, smooth_up)
        w = wx * wy
        grad = np.stack([gx * wy, wx * gy], axis=1)
        return w[:, None] * direction, direction[None, :, None] * grad[:, None, :]

    return move


def _ramp(x: Array, ends: tuple[float, float] | None, smooth: bool) -> tuple[Array, Array]:
    if ends is None:
        return np.ones_like(x), np.zeros_like(x)
    zero, one = ends
    raw = (x - zero) / (one - zero)
    u = np.clip(raw, 0.0, 1.0)
    # the slope is kept at the closed ends: a joint lying exactly there has cloth on one side only
    inside = (raw >= -1e-9) & (raw <= 1 + 1e-9)
    if smooth:
        return u * u * (3 - 2 * u), np.where(inside, 6 * u * (1 - u) / (one - zero), 0.0)
    return u, np.where(inside, 1.0 / (one - zero), 0.0)
