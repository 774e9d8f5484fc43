"""A garment to be hung: its pieces, its cloth, and what a shell of it is to the solver."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.spatial import cKDTree

from pinwright.drape.cloth import Handle
from pinwright.drape.data import Array, Shell, Side, Whole
from pinwright.drape.field import Field
from pinwright.drape.meshing import shell_of
from pinwright.drape.placing import DEPTH
from pinwright.drape.skin import carried
from pinwright.drape.solver.acting import GRAVITY, Setting
from pinwright.drape.solver.stencils import bending, carried_by, rigidity, stencils
from pinwright.pattern.garment import Garment
from pinwright.pattern.piece import Piece

if TYPE_CHECKING:
    # processes that make shells beside a card need not load it
    from pinwright.fitting.ledger import Fitted

APART = 0.4
"""So near layers of cloth may come on the finest triangles, cm: well under their side."""

KEEP = 1e6
"""How hard a waist is kept where it is worn, dyn/cm in all: trousers sag by three millimetres, and
where the cut pulls the waist down by a newton it goes down there by a centimetre or so. A centre
back is kept as hard."""

NAPE = 6.0
"""So far down from the neck a centre back is kept on the middle, cm: as far as hands smooth it."""

SIDEWAYS, UPRIGHT = 0, 2
"""Axes along which a garment may be kept."""

STIFFER, HEAVIER, LESS_SUPPLE = 3.0, 2.5, 10.0
"""So many times as stiff to stretch, as heavy and as stiff to bend as the cloth a band is: two
layers of it with interfacing between, fused to one (common practice; fused cloth is three to ten
times as stiff to bend as the cloth alone: Shishoo, Klevmar, Cednas & Olofsson 1971, Text. Res. J.
41, from memory)."""

FOLLOWED = 0.8
"""Triangles with sides of so many bending lengths follow the folds of a cloth."""


@dataclass(frozen=True, slots=True, eq=False)
class Garb:
    """A garment to be hung: its draft, the pieces of both sides by name, its cloth.

    facts: of each side, where corrections changed them (``Half.facts``).
    """

    garment: Garment
    right: Mapping[str, Piece]
    left: Mapping[str, Piece]
    handle: Handle
    facts: Mapping[Side, Mapping[str, float]] | None = None

    @staticmethod
    def of(fitted: Fitted, handle: Handle) -> Garb:
        """A garment as its corrections left it."""
        right, left = fitted.right, fitted.left
        facts: dict[Side, Mapping[str, float]] = {"right": right.facts, "left": left.facts}
        return Garb(fitted.garment, right.by_name, left.by_name, handle, facts)

    @property
    def apart(self) -> float:
        """How near its own layers may come, cm: legs meet at the inner thigh.

        Elsewhere 0: how fronts lie over each other is not placed yet, and layers that begin through
        each other are not parted by it.
        """
        return APART if "inseam" in self.garment.places else 0.0

    def shell(self, edge: float) -> Shell:
        """Its shell with triangles of so many cm."""
        return shell_of(self.garment, self.right, self.left, edge, self.facts)


@dataclass(frozen=True, slots=True, eq=False)
class Kept:
    """Where a garment is kept as it is worn: the waist of trousers at its height, all round; where
    there is none, the top of a centre back on the middle of the neck.

    A band holds by friction and by the shape under it, at the waist that the body has, whatever was
    drafted: so a rise that is too long hangs lower and one too short is pulled up. Here it is as
    many weak springs, which let front and back waist rise and fall where the cut pulls (kept at its
    sides alone, the whole leg hangs on the side seam and swings out). A jacket is set straight at
    the mirror before it is looked at, and its collar and friction keep it there (common practice);
    without them, as here, it slides to one side by centimetres, for what one sleeve goes down the
    other goes up. flat: (k, 3) the panel and the flat point of each place; where: (k, 3) cm, where
    it is worn. axis: along which it is kept.
    """

    garment: Garment
    flat: Array
    where: Array
    axis: int

    def carried(self, before: Array, after: Array) -> Kept:
        """The same on skin that has moved."""
        return replace(self, where=carried(self.where, before, after)) if len(self.where) else self

    def of(self, shell: Shell) -> tuple[Array, Array]:
        """How hard each vertex of a shell is kept (n,), dyn/cm, and at what height, or how far to
        the left (n,), cm."""
        hard, at = np.zeros(shell.n), np.zeros(shell.n)
        line, _ = _held(self.garment, shell)
        if len(line) and len(self.where):
            near = cKDTree(self.flat).query(_flat(shell)[line])[1]
            hard[line] = KEEP / len(line)
            at[line] = self.where[near, self.axis]
        return hard, at


def waist(garment: Garment, shell: Shell) -> Whole:
    """The vertices of a shell on the waist line a garment hangs from: none where it has no such."""
    found = [
        numbers[run]
        for panel, numbers in zip(shell.panels, shell.vertices, strict=True)
        for e in garment.places.get("waist", ())
        if e.piece == panel.piece and e.edge in panel.edges
        for run in panel.edges[e.edge]
    ]
    return np.unique(np.concatenate(found)) if found else np.empty(0, np.int64)


def _centre_back(shell: Shell) -> Whole:
    """The vertices of a shell on its centre back, from the neck down; none where there is no
    neck."""
    found = []
    for panel, numbers in zip(shell.panels, shell.vertices, strict=True):
        neck = panel.stations.get("neck:neck_centre")
        if neck is not None and panel.home == "back":
            far = np.linalg.norm(panel.points - panel.points[neck], axis=1)
            runs = np.concatenate([np.array([neck]), *panel.edges.get("centre", ())])
            found.append(numbers[runs[far[runs] <= NAPE]])
    return np.unique(np.concatenate(found)) if found else np.empty(0, np.int64)


def _held(garment: Garment, shell: Shell) -> tuple[Whole, int]:
    """The vertices of a shell that are kept, and along which axis."""
    line = waist(garment, shell)
    return (line, UPRIGHT) if len(line) else (_centre_back(shell), SIDEWAYS)


def worn(garment: Garment, shell: Shell, x: Array, marks: Mapping[str, Array]) -> Kept:
    """Where a garment that was put on as x (n, 3) is worn: its waist line so far under the waist
    of the body as the garment says (its fact ``waist_depth``), or its centre back under the nape.

    marks: landmark -> (3,) cm. The waist lies through those at front, back and sides.
    """
    line, axis = _held(garment, shell)
    at = x[:, axis].copy()
    if axis == SIDEWAYS and len(line):
        at[line] = marks["back_neck_point"][0]
    elif len(line):
        off = x[line]
        ends = [marks[f"{k}_waist"] for k in ("front", "back")]
        sides = [marks[f"side_waist_{k}"] for k in ("right", "left")]
        middle = 0.5 * (ends[0][1] + ends[1][1])
        out = off[:, 0] ** 2
        share = out / np.maximum(out + (off[:, 1] - middle) ** 2, 1e-9)
        side = np.where(off[:, 0] > 0.0, sides[1][2], sides[0][2])
        end = np.where(off[:, 1] > middle, ends[1][2], ends[0][2])
        depth = float(garment.facts.get(DEPTH, 0.0))
        at[line] = share * side + (1.0 - share) * end - depth
    return kept(garment, shell, x, at)


def kept(garment: Garment, shell: Shell, x: Array, at: Array) -> Kept:
    """Where a garment that lies at x (n, 3) is kept: its waist line at heights (n,), or its centre
    back so far to the left, cm."""
    line, axis = _held(garment, shell)
    where = x[line].copy()
    where[:, axis] = at[line]
    return Kept(garment, _flat(shell)[line], where, axis)


def _flat(shell: Shell) -> Array:
    """For each vertex one panel it is on, far apart, and its flat point there: (n, 3)."""
    found = np.zeros((shell.n, 3))
    for k, (panel, numbers) in enumerate(zip(shell.panels, shell.vertices, strict=True)):
        found[numbers, 0] = 1e4 * k
        found[numbers, 1:] = panel.points
    return found


def coarsely(handle: Handle, side: float) -> float:
    """So many times stiffer to bend a cloth is taken on coarse triangles, sides in cm, at least 1.

    Its folds are about as wide as its bending length, the cube root of bending rigidity by weight
    (Peirce 1930), and triangles that are larger buckle in ways no cloth does, over and over. The
    bending length is made to grow with the triangles; on the finest the cloth is as it is.
    """
    c = handle.cgs
    length = (min(c.bend_along, c.bend_across) / (c.mass * GRAVITY)) ** (1.0 / 3.0)
    return float(max(1.0, side / (FOLLOWED * length)) ** 3)


def setting(
    shell: Shell,
    handle: Handle,
    apart: float = 0.0,
    stiffer: float = 1.0,
) -> Setting:
    """What a shell of a cloth is to the solver, without friction: she shakes it down.

    On nothing yet, see :func:`put_on`. apart: how near layers of it may come to each other, cm; 0:
    they do not meet. stiffer: so many times stiffer to bend than the cloth is.
    """
    c = handle.cgs
    s = stencils(shell.n, shell.triangles, shell.rest)
    band = np.array([p.band for p in shell.panels])[shell.panel]
    bends = np.where(band, LESS_SUPPLE, 1.0) if band.any() else None
    carries = np.where(band, HEAVIER, 1.0) if band.any() else None
    along, across, both, shear = c.membrane
    stiff = np.where(band, STIFFER, 1.0)[:, None] * np.array([across, both, along, shear])
    matrix, pairs = bending(s, *rigidity(bends, stiffer * c.bend_along, stiffer * c.bend_across))
    return Setting(
        s,
        stiff,
        matrix,
        pairs,
        carried_by(s, carries) * c.mass,
        0.5 * c.thickness,
        apart=apart,
        bends=bends,
        carries=carries,
    )


def put_on(setting: Setting, shell: Shell, body: Field | None, keep: Kept) -> Setting:
    """The same shell on a body, and kept where it is to be."""
    hard, at = keep.of(shell)
    return replace(setting, body=body, kept=hard, kept_at=at, kept_axis=keep.axis)
