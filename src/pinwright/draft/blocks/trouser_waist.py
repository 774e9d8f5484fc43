"""Where waist, side seam and centre line of a trouser piece meet. All in cm."""

from __future__ import annotations

from collections.abc import Callable

from pinwright.draft.blocks.trouser_crotch import Crotch
from pinwright.draft.blocks.trouser_leg import EXACT, SideSeam, leftwards_square
from pinwright.draft.features.waist_dart import Waist, plain_waist
from pinwright.errors import DraftError
from pinwright.pattern.piece import Array

Top = tuple[SideSeam, Crotch]


def waist_ends(side: SideSeam, crotch: Crotch) -> tuple[Array, Array, Array, Array]:
    """Ends of the waist and its directions there: square to the side seam and to the centre.

    Seams meet at right angles at the waist (sources 3.4), so it runs through when they are sewn.
    Returns side point, direction leaving it, centre point, direction arriving there.
    """
    return (
        side.waist,
        leftwards_square(side.waist_slope),
        crotch.waist,
        leftwards_square(crotch.lean),
    )


def waist_without_darts(
    attempt: Callable[[float], Top], side_in: float, sewn: float
) -> tuple[SideSeam, Crotch, Waist]:
    """Shape the side seam alone so that the waist has its sewn length.

    Args:
        attempt: side seam and centre line for how far the side goes in at the waist, cm.
        side_in: first guess.
        sewn: sewn length of the waist, cm.

    Raises:
        DraftError: no such side seam exists.
    """
    at, before = side_in, (0.0, 0.0)
    for step in range(30):
        side, crotch = attempt(at)
        path = plain_waist(*waist_ends(side, crotch))
        miss = path.length - sewn
        if abs(miss) < EXACT:
            return side, crotch, Waist((path,), (), path.length)
        # Going in by 1 shortens the waist by nearly 1: that is the first guess of the secant.
        rate = (miss - before[1]) / (at - before[0]) if step else -1.0
        before = (at, miss)
        at -= miss / (rate if rate < -0.2 else -1.0)
    raise DraftError(
        f"trousers: no side seam gives a waist of {sewn:.1f} cm here; check waist and hip girths."
    )
