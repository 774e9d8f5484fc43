"""Where waist, side seam and centre line of a trouser piece meet. All in cm."""

from __future__ import annotations

from collections.abc import Callable

from pinwright.draft.blocks.trouser_crotch import Crotch
from pinwright.draft.blocks.trouser_leg import SideSeam, leftwards_square
from pinwright.draft.features.waist_dart import Waist, plain_waist
from pinwright.errors import DraftError
from pinwright.pattern.piece import Array

Top = tuple[SideSeam, Crotch]


def waist_ends(side: SideSeam, crotch: Crotch, lean: float) -> tuple[Array, Array, Array, Array]:
    """Ends of the waist and its directions there: square to the side seam and to the centre.

    Seams meet at right angles at the waist (facts.md 3.4), so it runs through when they are sewn.
    Returns side point, direction leaving it, centre point, direction arriving there.
    """
    return (
        side.waist,
        leftwards_square(side.waist_slope),
        crotch.waist,
        leftwards_square(lean),
    )


def waist_without_darts(
    attempt: Callable[[float], Top], lean: float, side_in: float, sewn: float
) -> tuple[SideSeam, Crotch, Waist]:
    """Shape the side seam alone so that the waist has its sewn length.

    Args:
        attempt: side seam and centre line for how far the side goes in at the waist, cm.
        lean: dx/dy of the centre line.
        side_in: first guess.
        sewn: sewn length of the waist, cm.

    Raises:
        DraftError: no such side seam exists.
    """
    a = side_in
    for _ in range(30):
        side, crotch = attempt(a)
        path = plain_waist(*waist_ends(side, crotch, lean))
        miss = path.length - sewn
        if abs(miss) < 1e-9:
            return side, crotch, Waist((path,), (), path.length)
        a += miss
    raise DraftError(
        f"trousers: no side seam gives a waist of {sewn:.1f} cm here; check waist and hip girths."
    )


