"""From a piece as drawn to the piece as it lies on the cloth: turned by its grain, and mirrored.

As drawn and seen from the right side of the cloth, up as worn is turned onto +x, along the cloth.
The other hand of a pair is the mirror image in the line along the cloth, and cloth that lies
right side down mirrors everything once more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from pinwright.cutting.cutline import cut_line
from pinwright.errors import LayError
from pinwright.pattern.piece import Piece

Array = NDArray[np.float64]

ON_LINE = 1e-4
"""Points of a fold edge lie on the line of the fold to this, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """The motion from a piece's drawing to its template: ``linear`` (2, 2), then ``shift`` (2,)."""

    linear: Array
    shift: Array

    def __call__(self, points: Array) -> Array:
        """Points (..., 2) of the drawing, cm, in the template's coordinates."""
        found: Array = points @ self.linear.T + self.shift
        return found

    def then(self, linear: Array) -> Frame:
        """This motion followed by a linear map."""
        return Frame(linear @ self.linear, linear @ self.shift)


ACROSS = np.array([[1.0, 0.0], [0.0, -1.0]])
"""The mirror image in a line along the cloth."""


def onto_x(direction: Array) -> Array:
    """The rotation that lays a direction (2,) along +x."""
    u = direction / float(np.hypot(*direction))
    return np.array([[u[0], u[1]], [-u[1], u[0]]])


def up(piece: Piece) -> Array:
    """Direction (2,), in the drawing, that is up as worn by the grain line.

    Raises:
        LayError: a grain line without length.
    """
    grain = piece.grain[1] - piece.grain[0]
    if not float(np.hypot(*grain)) > 1e-6:
        raise LayError(
            f"The {piece.title.lower()} has a grain line without length; it must have two ends."
        )
    found: Array = -grain if piece.fall else grain
    return found


def upright(piece: Piece) -> Frame:
    """The drawing turned so that up as worn is +x; not mirrored.

    Raises:
        LayError: a grain line without length.
    """
    return Frame(onto_x(up(piece)), np.zeros(2))


def whole(piece: Piece, as_cut: Piece | None = None) -> tuple[Frame, float]:
    """The drawing of a piece with a fold turned so that its fold edge lies on y = 0.

    Returns the motion and the angle, in degrees, by which up as worn then lies off +x. The fold
    runs towards +x as nearly as up as worn does. x = 0 is at the middle of the fold; of a piece
    that is cut already, at the middle it had ``as_cut``.

    Raises:
        LayError: a fold edge that is not straight, or a grain line without length.
    """
    edge = piece.edge(piece.fold or "")
    ends = edge.last - edge.first
    along = ends if float(ends @ up(piece)) >= 0.0 else -ends
    turn = onto_x(along)
    first = edge if as_cut is None else as_cut.edge(as_cut.fold or "")
    along_fold = float((turn @ ((first.first + first.last) / 2.0))[0])
    across_fold = float((turn @ ((edge.first + edge.last) / 2.0))[1])
    frame = Frame(turn, np.array([-along_fold, -across_fold]))
    off = max(float(np.abs(frame(run.ctrl.reshape(-1, 2))[:, 1]).max()) for run in edge.runs)
    if off > ON_LINE:
        raise LayError(
            f"The {piece.title.lower()} cannot be cut on the fold: its edge {piece.fold} strays "
            f"{off:.2f} cm from a straight line."
        )
    rest = turn @ up(piece)
    return frame, float(np.degrees(np.arctan2(rest[1], rest[0])))


def outline(piece: Piece, frame: Frame) -> shapely.Polygon:
    """The cut line of a piece laid by a motion."""
    return shapely.Polygon(frame(cut_line(piece)))


def half(piece: Piece, frame: Frame) -> shapely.Polygon:
    """The cut line of a half beside its fold, which lies on y = 0: the cloth on y >= 0.

    ``frame`` is that of :func:`whole`; the half is mirrored where it lies below the fold.
    """
    points = frame(cut_line(piece))
    if points[int(np.argmax(np.abs(points[:, 1]))), 1] < 0.0:
        points = points @ ACROSS
    points[np.abs(points[:, 1]) <= ON_LINE, 1] = 0.0
    found = shapely.Polygon(points)
    if points[:, 1].min() < 0.0:
        x0, _, x1, y1 = found.bounds
        found = biggest(shapely.intersection(found, shapely.box(x0, 0.0, x1, y1)))
    return found


def biggest(found: shapely.Geometry) -> shapely.Polygon:
    """The largest polygon of a result, without holes."""
    parts = [p for p in shapely.get_parts(found) if isinstance(p, shapely.Polygon)]
    return shapely.Polygon(max(parts, key=lambda p: float(p.area)).exterior)


def ring(polygon: shapely.Polygon) -> Array:
    """Corners of a polygon anticlockwise, (m, 2), the first not repeated."""
    points = shapely.get_coordinates(orient(polygon))[:-1]
    keep = np.hypot(*(points - np.roll(points, 1, axis=0)).T) > 1e-9
    found: Array = points[keep]
    return found
