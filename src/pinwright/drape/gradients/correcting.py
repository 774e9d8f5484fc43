"""How a score changes with the amount of a correction, by the gradient on the flat corners."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pinwright.drape.data import Array, Shell
from pinwright.drape.garb import Garb, Kept
from pinwright.drape.gradients.gradient import Gradient
from pinwright.drape.morphing import morphed
from pinwright.errors import GeometryError

STEP = 0.05
"""By so much is a correction made either way to see how the flat corners go with it, cm."""


@dataclass(frozen=True, slots=True, eq=False)
class Going:
    """How a shell goes with a correction, for each unit of its amount.

    flat: (m, 3, 2) flat corners, cm. kept_at: (n,) at what height it is kept, cm; 0 where it is
    not.
    """

    flat: Array
    kept_at: Array


def going(
    shell: Shell, corrected: Callable[[float], Garb], keep: Kept | None, step: float = STEP
) -> Going:
    """How the shell goes with a correction that ``corrected`` makes by an amount.

    keep: where the garment is kept; None: nowhere. Between the correction by ``step`` and the same
    the wrong way round.

    Raises:
        GeometryError: so small a correction already needs other triangles.
    """
    more, less = (_made_over(shell, corrected(k), k) for k in (step, -step))
    kept_at = np.zeros(shell.n)
    if keep is not None:
        kept_at = (keep.of(more)[1] - keep.of(less)[1]) / (2.0 * step)
    return Going((more.rest - less.rest) / (2.0 * step), kept_at)


def _made_over(shell: Shell, garb: Garb, amount: float) -> Shell:
    found = morphed(shell, garb.garment, garb.right, garb.left, garb.facts)
    if found is None:
        raise GeometryError(
            f"{garb.garment.title}: a correction by {amount:g} already needs other triangles, so "
            "how it hangs has no gradient by it"
        )
    return found


def by_correction(found: Gradient, way: Going) -> float:
    """How much a score changes for each unit of a correction's amount."""
    return float(np.vdot(found.flat, way.flat) + found.kept_at @ way.kept_at)
