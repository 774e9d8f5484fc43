"""What matching a stripe or check costs, from lays with and without a repeat that were measured.

Along the cloth every matched piece waits for its bar before it is laid, so of the pieces that lie
end to end each loses a part of a repeat. Across it the pieces beside each other wait for their
stripe, so they take more of the width, and where one no longer finds room beside the others the
lay goes on into another row. Lengths in cm.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import Literal

Way = Literal["along", "across"]


@dataclass(frozen=True, slots=True)
class RepeatCost:
    """Fitted to the measured lays.

    ``along`` is the part of a repeat that each piece lying end to end loses, ``across`` the part
    by which the pieces take more of the width for each cm of repeat. A matched lay differs from
    that, besides as a plain one does, with the standard deviations ``sd``, a part of its length,
    and ``share``, a part of what the repeat adds; they are known with ``freedom`` degrees of
    freedom. Laid were repeats up to ``most_along`` cm, and across up to the part ``most_across``
    of the width the pieces lie on.
    """

    along: float
    across: float
    sd: float
    share: float
    freedom: int
    most_along: float
    most_across: float


@dataclass(frozen=True, slots=True)
class Unmeasured:
    """A repeat that is beyond what was laid on such a width, more than ``most``; both cm."""

    way: Way
    repeat: float
    most: float


def matched_length(
    length_of: Callable[[float], float],
    longest: float,
    repeat: tuple[float, float],
    along: float,
    across: float,
) -> tuple[float, float]:
    """(length without bars, what bars add) of a matched lay, cm.

    ``length_of`` gives the length of a plain lay of pieces that take so many times their width,
    ``longest`` is the longest piece; ``along`` and ``across`` as in :class:`RepeatCost`.
    """
    end_to_end = ceil(length_of(1.0) / longest - 1e-9)
    return length_of(1.0 + across * repeat[1]), along * repeat[0] * end_to_end


def unmeasured(
    repeat: tuple[float, float], width: float, cost: RepeatCost | None
) -> tuple[Unmeasured, ...]:
    """Which of a repeat (along, across) is beyond what was laid; ``width`` cm are laid on."""
    most = (cost.most_along, cost.most_across * width) if cost else (0.0, 0.0)
    ways: tuple[Way, ...] = ("along", "across")
    return tuple(
        Unmeasured(way, r, m) for way, r, m in zip(ways, repeat, most, strict=True) if r > m + 1e-9
    )
