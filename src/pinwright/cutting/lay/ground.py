"""Where a template may still be put: the field less flaws, what is taken, and what lies there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.cutting.lay.nfp import (
    SLACK,
    Body,
    body,
    body_in,
    body_of,
    inside_box,
    inside_outline,
    no_fit,
)
from pinwright.cutting.lay.placing import Array, Field, Placement, Template, between, covered, lying
from pinwright.errors import LayError

STEP = 5
"""Positions are rounded to so many decimals of a cm where they are free."""

BLOCK = 32
"""So many lines across are looked at together for a place in a check."""

Lattice = tuple[float, float]
"""Where a coordinate may fall: a start and a step, cm; step 0 for one place only."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A body turned, and the lattices on which it may lie. Equal kinds may lie in the same places.

    ``least`` and ``most`` are the corners of its true bounds when turned, cm. ``said`` is the
    rotation of its placement: that of the body but for a half turned on the fold, whose body is
    turned over already.
    """

    body: Body
    rotation: float
    along: Lattice | None
    across: Lattice | None
    least: tuple[float, float]
    most: tuple[float, float]
    said: float = 0.0


@dataclass(frozen=True, slots=True)
class Put:
    """A kind put down with its origin at (x, y)."""

    kind: Kind
    x: float
    y: float

    @property
    def end(self) -> float:
        """The most x of what it takes, cm."""
        return self.x + self.kind.most[0]


Regions = dict[Kind, tuple[shapely.Geometry, int]]
"""Where a kind may lie, and how many of the pieces put down have been taken from that."""


def kinds(template: Template, field: Field) -> tuple[Kind, ...]:
    """The ways a template may lie on a field whatever else lies there; none if it may not.

    A piece on the fold lies at y = 0. A piece with phases lies at 0, or at 180
    where the repeat turns; phases of one axis that contradict each other leave no way.
    """
    b = body(template, field.gap)
    found = []
    for rotation in dict.fromkeys(float(r) % 360.0 for r in template.rotations):
        if template.phases and rotation != 0.0 and not (field.turns and rotation == 180.0):
            continue
        lattices = _lattices(template, field, rotation)
        if lattices is not None:
            shape, turn = b, rotation
            if template.on_fold:  # its body is turned over instead
                shape, turn = _on_fold(template, field, rotation), 0.0
            x0, y0, x1, y1 = shape.bounds(turn)
            found.append(Kind(shape, turn, *lattices, (x0, y0), (x1, y1), rotation))
    return tuple(found)


def _on_fold(template: Template, field: Field, rotation: float) -> Body:
    """The body of a half on the fold, turned over where the piece is turned."""
    lies = covered(template, Placement(template.key, 0.0, 0.0, rotation))
    return body_in(lies, field.gap)


def _lattices(
    template: Template, field: Field, rotation: float
) -> tuple[Lattice | None, Lattice | None] | None:
    found: list[Lattice | None] = [None, (0.0, 0.0) if template.on_fold else None]
    for phase in template.phases:
        k = 0 if phase.axis == "along" else 1
        step = field.repeat[k]
        if step <= 0.0:
            continue
        lies = Placement(template.key, 0.0, 0.0, rotation)
        start = phase.residue - float(lying(template, np.array(phase.at), lies)[k])
        old = found[k]
        if old is None:
            found[k] = (start % step, step)
        elif abs((start - old[0] + step / 2.0) % step - step / 2.0) > 1e-4:
            return None
    return found[0], found[1]


class Ground:
    """A field and its obstacles, with the regions in which kinds may lie on it.

    Regions are worked out when asked for and passed about as :data:`Regions`, which a caller may
    copy to try another way on from there.
    """

    def __init__(self, field: Field, templates: Sequence[Template], beyond: float = 0.0) -> None:
        """``beyond``: cm along an endless cloth that are used already."""
        self.field = field
        outlines = [_corners(f) for f in field.flaws] + list(field.taken)
        bodies = [body_of(np.asarray(o, dtype=float), field.gap) for o in outlines]
        self.obstacles = tuple(b for b in bodies if b is not None)
        self.ways = {t.key: kinds(t, field) for t in templates}
        if field.length is not None:
            self.reach = field.length
        else:
            ends = [b.bounds(0.0)[2] for b in self.obstacles]
            sizes = (
                max(w.most[0] - w.least[0] + (w.along or (0.0, 0.0))[1] for w in ways)
                for ways in self.ways.values()
                if ways
            )
            self.reach = max([beyond, *ends]) + sum(s + field.gap for s in sizes) + 1.0
        self._inside: dict[Kind, shapely.Geometry] = {}
        self._start: dict[Kind, shapely.Geometry] = {}

    def start(self, kind: Kind) -> shapely.Geometry:
        """Where a kind may lie before anything else does."""
        found = self._start.get(kind)
        if found is None:
            found = self.inside(kind)
            for b in self.obstacles:
                found = _less(found, no_fit(b, 0.0, kind.body, kind.rotation), 0.0, 0.0)
            self._start[kind] = found
        return found

    def inside(self, kind: Kind) -> shapely.Geometry:
        """Where a kind lies on the cloth or the remnant, whatever is in the way."""
        if kind in self._inside:
            return self._inside[kind]
        found: shapely.Geometry = shapely.Polygon()
        if self.field.outline is not None:
            found = inside_outline(kind.body, kind.rotation, self.field.outline)
        else:
            box = inside_box(kind.body, kind.rotation, self.reach, self.field.width)
            if box is not None:
                # Widened by the slack of the shapes, so that an exact fit is not a line.
                found = shapely.box(box[0] - SLACK, box[1] - SLACK, box[2] + SLACK, box[3] + SLACK)
        self._inside[kind] = found
        return found

    def free(self, kind: Kind, there: Sequence[Put], regions: Regions) -> shapely.Geometry:
        """Where a kind may lie among those put down; ``regions`` is brought up to date."""
        found, done = regions.get(kind) or (self.start(kind), 0)
        for p in there[done:]:
            if found.is_empty:
                break
            shape = no_fit(p.kind.body, p.kind.rotation, kind.body, kind.rotation)
            found = _less(found, shape, p.x, p.y)
        regions[kind] = (found, len(there))
        return found

    def spots(self, kind: Kind, free: shapely.Geometry) -> Array:
        """Corners (n, 2) of where a kind may lie, on its lattices; rounded where it has none.

        All those at the least x are there, not necessarily all further along.
        """
        if free.is_empty:
            return np.zeros((0, 2))
        x0, y0, x1, y1 = free.bounds
        xs = None if kind.along is None else _values(kind.along, x0, x1)
        ys = None if kind.across is None else _values(kind.across, y0, y1)
        if xs is not None and ys is not None:
            return _crossings(free, xs, ys)
        found = free
        if xs is not None:
            found = shapely.intersection(free, _lines(xs, (y0 - 1.0, y1 + 1.0), 0))
        elif ys is not None:
            found = shapely.intersection(free, _lines(ys, (x0 - 1.0, x1 + 1.0), 1))
        coords: Array = np.round(shapely.get_coordinates(found), STEP) + 0.0
        if xs is not None and len(coords):
            coords[:, 0] = _snapped(coords[:, 0], xs)
        if ys is not None and len(coords):
            coords[:, 1] = _snapped(coords[:, 1], ys)
        return coords

    def refuse(self, templates: Iterable[Template]) -> None:
        """Say which template fits nowhere on the cloth, however long it were.

        Raises:
            LayError: naming the piece, its size and what is allowed.
        """
        cloth = self.field.name or "the cloth"
        for t in templates:
            ways = self.ways[t.key]
            title = t.title or t.piece
            x0, y0, x1, y1 = t.taken.bounds
            size = f"{title} takes {x1 - x0:.1f} by {y1 - y0:.1f} cm"
            if not ways:
                raise LayError(
                    f"{size} and may not lie on {cloth} in any direction allowed: the fold, "
                    "the repeat and its own directions contradict each other."
                )
            if all(self.start(k).is_empty for k in ways):
                raise LayError(
                    f"{size} and fits nowhere on {cloth}, of which {self.field.width:g} cm "
                    "across can be used."
                )
            if all(len(self.spots(k, self.start(k))) == 0 for k in ways):
                raise LayError(
                    f"{size} and cannot lie in its place in the repeat on {cloth}, of which "
                    f"{self.field.width:g} cm across can be used."
                )


def put_of(ground: Ground, template: Template, at: Placement) -> Put:
    """A placement as it stands, allowed or not."""
    for k in ground.ways.get(template.key, ()):
        if between(k.said, at.rotation) < 1e-9:
            return Put(k, at.x, at.y)
    b = body(template, ground.field.gap)
    x0, y0, x1, y1 = b.bounds(at.rotation)
    turn = at.rotation % 360.0
    return Put(Kind(b, turn, None, None, (x0, y0), (x1, y1), turn), at.x, at.y)


def _corners(flaw: tuple[float, float, float, float]) -> Array:
    x0, y0, x1, y1 = flaw
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _less(free: shapely.Geometry, shape: shapely.Geometry, x: float, y: float) -> shapely.Geometry:
    a, b = free.bounds, shape.bounds
    if b[0] + x > a[2] or b[2] + x < a[0] or b[1] + y > a[3] or b[3] + y < a[1]:
        return free
    return shapely.difference(free, shapely.transform(shape, lambda c: c + np.array([x, y])))


def _values(lattice: Lattice, low: float, high: float) -> Array:
    start, step = lattice
    if step <= 0.0:
        return np.array([start] if low <= start <= high else [])
    first, last = np.ceil((low - start) / step), np.floor((high - start) / step)
    return start + step * np.arange(first, last + 1.0)


def _crossings(free: shapely.Geometry, xs: Array, ys: Array) -> Array:
    """The first crossings (n, 2) of two lattices that lie in a region."""
    shapely.prepare(free)
    for block in np.split(xs, range(BLOCK, len(xs), BLOCK)):
        gx, gy = (a.ravel() for a in np.meshgrid(block, ys))
        inside = shapely.intersects_xy(free, gx, gy)
        if inside.any():
            return np.stack([gx[inside], gy[inside]], axis=1)
    return np.zeros((0, 2))


def _lines(values: Array, span: tuple[float, float], k: int) -> shapely.Geometry:
    ends = np.empty((len(values), 2, 2))
    ends[:, :, k] = values[:, None]
    ends[:, :, 1 - k] = span
    return shapely.multilinestrings(shapely.linestrings(ends))


def _snapped(coords: Array, values: Array) -> Array:
    """The nearest of rising values, the lower one where two are as near."""
    halfway = (values[:-1] + values[1:]) / 2.0
    found: Array = values[np.searchsorted(halfway, coords)]
    return found
