"""What the drape is about: panels triangulated flat, the shell they make, and how it hangs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]
Short = NDArray[np.int32]
Side = Literal["right", "left"]
Pose = Literal["standing", "arms-raised", "step", "sitting"]


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """A piece of one side by its net line, triangulated flat.

    points: (n, 2) cm in the piece's own coordinates, the same for right and left (the left hangs
    mirrored). triangles: (m, 3), anticlockwise in these coordinates. edges: name of the edge ->
    its runs (one more than it has darts), each the vertices along it from its start to its end.
    legs: dart -> its two legs in the order of the edge, each the vertices from the mouth to the
    apex; both legs have as many, and share the apex. stations: point or station as named by the
    piece ("edge:station" where several edges share a name) -> vertex. lines: balance line, crease
    or plumb -> the vertices that lie on it, in order; their neighbours are joined by triangle
    sides. grain: (2,) unit vector along the warp, as worn upwards. band: it is a band, double
    with interfacing between.
    """

    piece: str
    side: Side
    home: str
    points: Array
    triangles: Whole
    edges: Mapping[str, tuple[Whole, ...]]
    legs: Mapping[str, tuple[Whole, Whole]]
    stations: Mapping[str, int]
    lines: Mapping[str, Whole]
    grain: Array
    band: bool = False

    @property
    def name(self) -> str:
        """The piece with its side, as a reader names it: "front right"."""
        return f"{self.piece} {self.side}"


@dataclass(frozen=True, slots=True, eq=False)
class Shell:
    """A garment sewn of panels: vertices that are sewn to each other are one.

    n: how many vertices. vertices: for each panel, (its n,) the number of each of its vertices in
    the shell. triangles: (m, 3) of shell vertices, turned alike over all seams. rest: (m, 3, 2) cm,
    the flat corners of each triangle, x across the grain and y along it; its area there is
    positive. panel: (m,) the panel of each triangle. seams: seam and side ("side right"; a centre
    seam has no side) -> vertices along it. left_out: what of the garment does not hang here, in a
    cutter's words.
    """

    n: int
    panels: tuple[Panel, ...]
    vertices: tuple[Whole, ...]
    triangles: Whole
    rest: Array
    panel: Whole
    seams: Mapping[str, Whole]
    left_out: tuple[str, ...] = ()

    def at(self, piece: str, side: Side) -> tuple[Panel, Whole]:
        """A panel and the shell's numbers of its vertices; KeyError when there is none."""
        for p, v in zip(self.panels, self.vertices, strict=True):
            if p.piece == piece and p.side == side:
                return p, v
        raise KeyError(f"no panel {piece} {side}")


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """The body that cloth lies on: points (b, 3) cm, x left, y back, z up; triangles (t, 3)."""

    points: Array
    triangles: Whole


@dataclass(frozen=True, slots=True)
class Rest:
    """How well the cloth is at rest.

    residual: the root of the mean square force that is left over on a vertex, as a part of the
    mean weight of a vertex. steps: implicit steps taken; seconds: by the clock. stopped: the
    user stopped it, so the forces may not balance yet. card: the graphics card that did it, None
    for the processor.
    """

    residual: float
    steps: int
    seconds: float
    stopped: bool = False
    card: str | None = None


PULLED_DOWN = "The waist is pulled down"
"""How the remark on a garment begins that is a sign itself."""
OWN_LAYERS = "own layers pass through each other"
"""What the remark on a garment has in it that is a doubt: there it does not hang as cloth would."""


@dataclass(frozen=True, slots=True, eq=False)
class Hung:
    """A shell at rest on a body.

    points: (n, 3) cm. touch: (n,) how hard the body presses on each vertex, dyn; thickness: of the
    cloth, cm: where it touches, its middle lies half of it off the body. kept_at: (n,) cm, at what
    height the waist line is kept, or how far to the left the centre back; 0 elsewhere.
    """

    shell: Shell
    points: Array
    body: Surface
    pose: Pose
    touch: Array
    thickness: float
    rest: Rest
    cloth: str = ""
    remarks: tuple[str, ...] = field(default=())
    kept_at: Array = field(default_factory=lambda: np.empty(0))
