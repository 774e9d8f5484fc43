"""What is laid, on what, and where: templates, the field they lie on, placements, the lay.

On the cloth x runs along it from the cut end and y across it from the lower edge of what may be
used (from the fold on a folded cloth), in cm. Rotations are in degrees, anticlockwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

Array = NDArray[np.float64]
Axis = Literal["along", "across"]


@dataclass(frozen=True, slots=True)
class Phase:
    """Where a point of a template must fall in the cloth's repeat.

    ``at`` (x, y) in the template's own coordinates, turned with it. Once laid, its coordinate on
    ``axis`` must be ``residue`` cm plus a whole number of repeats, measured on the field.
    """

    axis: Axis
    at: tuple[float, float]
    residue: float


@dataclass(frozen=True, slots=True, eq=False)
class Template:
    """One piece of cloth to be cut, grain along +x.

    ``outline`` (m, 2), anticlockwise, first point not repeated, is the true cut line, as seen from
    the side of the cloth that lies up; +x is up as worn. ``rotations`` are those allowed.
    ``mirrored`` says it is the mirror image of the piece as drawn, ``plies`` through how many
    layers of cloth it is cut, ``on_fold`` that its line y = 0 must stand on the fold; turned by
    180 degrees such a half is the other half of the piece turned, see :func:`lying`. Pieces cut
    after the fitting have stage "after" and ``kept`` cm of cloth held back round ``outline``.
    ``phases`` hold for the rotation 0; at 180 they hold too where the repeat turns. ``reserve`` is
    by how much less cloth across, cm, it would take without its reserve, where it is too wide for
    its cloth (else 0).
    """

    key: str
    garment: str
    piece: str
    side: Literal["right", "left", "both"]
    outline: Array
    rotations: tuple[float, ...] = (0.0, 180.0)
    mirrored: bool = False
    plies: int = 1
    on_fold: bool = False
    stage: Literal["fitting", "after"] = "fitting"
    kept: float = 0.0
    phases: tuple[Phase, ...] = ()
    title: str = ""
    reserve: float = 0.0

    @property
    def area(self) -> float:
        """Area of the cut outline, cm2 (one ply)."""
        return float(shapely.Polygon(self.outline).area)

    @property
    def taken(self) -> shapely.Polygon:
        """The cloth it takes: the outline, and round it what is held back; never past the fold."""
        whole = shapely.Polygon(self.outline)
        if self.kept > 0.0:
            whole = whole.buffer(self.kept, join_style="mitre", mitre_limit=2.0)
            if self.on_fold:
                x0, _, x1, y1 = whole.bounds
                whole = shapely.intersection(whole, shapely.box(x0, 0.0, x1, y1))
        return whole


@dataclass(frozen=True, slots=True)
class Placement:
    """Where a template lies: turned about its origin by ``rotation``, then moved by (x, y)."""

    key: str
    x: float
    y: float
    rotation: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """The cloth there is to lay on. Its usable cloth is 0 <= y <= width, 0 <= x (<= length).

    ``outline`` (m, 2) bounds a remnant instead. ``flaws`` (x0, y0, x1, y1) are not to be used,
    nor ``taken``: outlines of what is already cut or pinned there. ``repeat`` (along, across), 0
    for none, and ``turns`` whether it is the same seen from the other end. ``gap`` is kept between
    pieces and between a piece and a flaw or a taken outline, not at the cloth's edges.
    """

    width: float
    length: float | None = None
    gap: float = 0.0
    folded: bool = False
    repeat: tuple[float, float] = (0.0, 0.0)
    turns: bool = False
    flaws: tuple[tuple[float, float, float, float], ...] = ()
    taken: tuple[Array, ...] = ()
    outline: Array | None = None
    name: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Lay:
    """Templates placed on a field; ``length`` is what is used along it, cm."""

    field: Field
    templates: tuple[Template, ...]
    placements: tuple[Placement, ...]
    length: float
    seconds: float = 0.0
    way: str = ""

    def template(self, key: str) -> Template:
        """The template called ``key``; raises KeyError when there is none."""
        for t in self.templates:
            if t.key == key:
                return t
        raise KeyError(f"the lay has no piece {key}")


def turned(points: Array, degrees: float) -> Array:
    """Points (..., 2) turned about the origin, anticlockwise; quarter turns are exact."""
    quarter, rest = divmod(degrees % 360.0, 90.0)
    if rest == 0.0:
        c, s = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)][int(quarter)]
    else:
        c, s = float(np.cos(np.radians(degrees))), float(np.sin(np.radians(degrees)))
    x, y = points[..., 0], points[..., 1]
    found: Array = np.stack([c * x - s * y, s * x + c * y], axis=-1)
    return found


def between(a: float, b: float) -> float:
    """The angle between two directions, from 0 to 180 degrees."""
    return abs((a - b + 180.0) % 360.0 - 180.0)


def turned_over(template: Template, at: Placement) -> bool:
    """Whether a half on the fold lies turned, so that its other half shows; see :func:`lying`."""
    return template.on_fold and at.rotation % 360.0 == 180.0


def lying(template: Template, points: Array, at: Placement) -> Array:
    """Points (..., 2) of a template as they lie on the cloth, cm.

    A whole piece that is turned by 180 degrees on the fold shows its other half above it: the
    half turned over, end for end.
    """
    if turned_over(template, at):
        laid: Array = points * np.array([-1.0, 1.0])
    else:
        laid = turned(points, at.rotation)
    found: Array = laid + np.array([at.x, at.y])
    return found


def covered(template: Template, at: Placement) -> shapely.Geometry:
    """The cloth a template takes as it lies, what is held back round it included."""
    return shapely.transform(template.taken, lambda points: lying(template, points, at))


def placed(template: Template, at: Placement) -> Array:
    """The outline (m, 2) of a template as it lies on the cloth, anticlockwise, cm."""
    found = lying(template, template.outline, at)
    return found[::-1] if turned_over(template, at) else found
