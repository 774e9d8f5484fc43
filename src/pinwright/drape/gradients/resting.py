"""To rest as closely as a gradient needs it: Newton's method with the true stiffness."""

from __future__ import annotations

import numpy as np

from pinwright.drape.data import Array
from pinwright.drape.gradients.standing import NotAtRestError, Standing, solved, standing
from pinwright.drape.solver.acting import Setting
from pinwright.drape.solver.settling import settled

LEANINGS = tuple(0.01 * 4.0**k for k in range(10))
"""Of steps where the cloth does not stand firm yet, 1/s2: the nearer to what it lacks, the sooner
it goes on from where it only balances."""

REACH = 0.3
"""How far a vertex moves in one step at most, cm."""

MORE = 20
"""Steps that the solver takes where Newton's method leads nowhere."""


def rested(s: Setting, x: Array, enough: float = 1e-7, steps: int = 60) -> Standing:
    """Cloth of a setting brought on from x (n, 3), where the solver's rest left it, to close rest.

    enough: the residual that is rest here. Where the cloth is about to turn over, so that no
    Newton's step can be taken, the solver goes on for a while.

    Raises:
        ValueError: friction, see :func:`standing`.
        NotAtRestError: it is not reached in so many steps.
    """
    at = standing(s, x)
    for _ in range(steps):
        if at.residual <= enough:
            break
        nearer = _nearer(at)
        if nearer is None:
            nearer = standing(s, settled(s, at.x, enough, MORE)[0].x)
        at = nearer
    if at.residual > enough:
        raise NotAtRestError(
            f"the cloth comes no nearer to rest than a residual of {at.residual:.2g}"
        )
    return at


def _nearer(at: Standing) -> Standing | None:
    """After one step of Newton's method; None where there is none that leads downhill."""
    try:
        dx, _ = solved(at, at.force, LEANINGS, 0.0)
    except NotAtRestError:
        return None
    dx *= min(1.0, REACH / float(np.abs(dx).max()))
    downhill = float(np.vdot(dx, at.force))
    for part in 0.5 ** np.arange(12.0):
        now = standing(at.s, at.x + part * dx)
        lower = now.energy <= at.energy - 1e-4 * part * downhill + 1e-12 * abs(at.energy)
        if lower or now.residual < 0.5 * at.residual:
            return now
    return None
