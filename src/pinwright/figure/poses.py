"""The client's figure in other poses, and the way there from the one in which she is dressed.

``dressing``: standing, arms held off the trunk and straight, legs a little apart, so that a garment
can be put round each. ``standing``: as at the mirror. ``arms-raised``: both arms as for reaching
something in front at shoulder height. ``step``: as in walking, her right leg before the left.
``sitting``: on a seat, hips and knees bent square. By how much bones turn, and whose angles these
are: :mod:`pinwright.figure.stances`.

The skin follows the bones, and gives under the seat: a bust that rises with the arms, muscles that
swell, toes that bend, and a trunk that turns in walking are left out. Where flesh meets flesh in a
bent knee, groin or armpit it passes through itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import get_args

import numpy as np

from pinwright.errors import FigureError
from pinwright.figure.body.model import Array
from pinwright.figure.figure import Figure
from pinwright.figure.joints import joints
from pinwright.figure.legs_apart import leg_gap
from pinwright.figure.seat import Seat, pressed, seat_under
from pinwright.figure.skinning import STILL, Turn
from pinwright.figure.stances import Name, Standing, stance


@dataclass(frozen=True, slots=True, eq=False)
class Posed:
    """A figure in a pose.

    points: (n, 3) cm, the soles on the floor. joints: where bones begin. out: how far each leg is
    turned out in the hip against the figure as it stands, degrees. gap: how far the legs are apart
    at the least in standing when they are turned out so, cm, below 0 where they overlap; as_it_is:
    how far they are in the figure itself. seat: in sitting.
    """

    points: Array
    joints: Mapping[str, Array]
    out: float
    gap: float
    as_it_is: float
    seat: Seat | None = None


def posed_figure(figure: Figure, turns: Mapping[str, Turn]) -> Array:
    """The figure's points (n, 3), cm, after bones are turned, its lowest on the floor.

    turns: bone of the open body -> its own turn, axis times angle in radians (3,), in the body's
    axes (x to her left, y to her back, z up); what hangs from it goes along.
    """
    points, _ = _own(figure).stood(turns)
    return points


def posed(figure: Figure, pose: Name) -> Posed:
    """The figure in a pose.

    Raises FigureError for a pose that there is not.
    """
    own = _own(figure)
    turns, out, gap = _stance(own, pose)
    points, at = own.stood(turns)
    seat = None
    if pose == "sitting":
        points = pressed(points, at)
        seat = seat_under(points, at)
    return Posed(points, at, out, gap, leg_gap(figure.points), seat)


def frames(figure: Figure, pose: Name, count: int = 8) -> list[Array]:
    """The way from ``dressing`` to a pose: count points (n, 3), cm, the last in the pose.

    Every bone turns evenly; the first frame is one step away from ``dressing``. ``dressing`` itself
    is one frame.

    Raises FigureError for a pose that there is not.
    """
    own = _own(figure)
    start, _, _ = _stance(own, "dressing")
    if pose == "dressing":
        return [own.stood(start)[0]]
    end, _, _ = _stance(own, pose)
    found = []
    for part in (np.arange(1, count + 1) / count).tolist():
        turns = {
            bone: (1.0 - part) * start.get(bone, STILL) + part * end.get(bone, STILL)
            for bone in {**start, **end}
        }
        points, at = own.stood(turns)
        found.append(pressed(points, at, part) if pose == "sitting" else points)
    return found


def _own(figure: Figure) -> Standing:
    return Standing(figure.points, joints(figure.points))


def _stance(own: Standing, pose: Name) -> tuple[dict[str, Turn], float, float]:
    if pose not in get_args(Name):
        raise FigureError(f"pose: {pose!r} is not one; it may be {', '.join(get_args(Name))}.")
    turns, out, gap = _stance_of(own.points.tobytes(), pose)
    return dict(turns), out, gap


@lru_cache(maxsize=20)
def _stance_of(points: bytes, pose: Name) -> tuple[dict[str, Turn], float, float]:
    """The stance of a figure with these points: how far its legs are turned out is searched for."""
    at = np.frombuffer(points).reshape(-1, 3)
    return stance(Standing(at, joints(at)), pose)
