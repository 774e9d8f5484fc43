"""Kernels that lead the steps of each variant: rounds, h, push, what is at rest.

The rules are those of :func:`pinwright.drape.solver.settling.settled`; what differs while a few
places come to rest by themselves is told for each variant.
"""

from __future__ import annotations

from pinwright.drape.gpu.cloth import Rules
from pinwright.drape.gpu.kinds import Numbers, Real, Whole, wp

wp.set_module_options({"enable_backward": False})

number = wp.float64

THINNEST = wp.constant(wp.float64(1e-7))
"""With no shorter step, s, is the stiffness tried again when it is not positive definite."""


@wp.kernel
def opened(
    live: Whole, rounds: Whole, todo: Whole, again: Whole, afresh: Whole, foreseen: Whole
) -> None:
    """Begins a step of those not at rest."""
    b = wp.tid()
    todo[b] = live[b]
    foreseen[b] = live[b]
    again[b] = 0
    afresh[b] = 0
    rounds[b] = 0


@wp.kernel
def solved(
    todo: Whole,
    bad: Whole,
    changed: Whole,
    rounds: Whole,
    push: Numbers,
    again: Whole,
    afresh: Whole,
    h: Numbers,
    rules: Rules,
) -> None:
    """Whether a step must be solved anew: cloth that pushes held, h shorter, other active points.

    again (B,): the stiffness must be taken anew. afresh (B,): the last time only what presses
    already bears, for that step surely leads downhill.
    """
    b = wp.tid()
    again[b] = 0
    afresh[b] = 0
    if todo[b] == 0:
        return
    if bad[b] != 0 and push[b] < number(1.0):
        push[b] = wp.min(number(1.0), push[b] + number(1.0))
        again[b] = 1
    elif bad[b] != 0 and h[b] > THINNEST:
        h[b] = number(0.3) * h[b]
    else:
        rounds[b] = rounds[b] + 1
        if changed[b] == 0 or rounds[b] >= rules.rounds[b]:
            todo[b] = 0
        elif rounds[b] == rules.rounds[b] - 1:
            afresh[b] = 1
    bad[b] = 0
    changed[b] = 0


@wp.kernel
def rested(
    live: Whole,
    squares: Numbers,
    weight: Numbers,
    n: Real,
    rules: Rules,
    left: Numbers,
) -> None:
    """The residual of each variant, and whether it goes on."""
    b = wp.tid()
    if live[b] == 0:
        return
    left[b] = wp.sqrt(squares[b] / n) / weight[b]
    if not (left[b] > rules.enough[b]):
        live[b] = 0


@wp.kernel
def stepped(
    live: Whole,
    part: Numbers,
    far: Numbers,
    reach: Real,
    rules: Rules,
    left: Numbers,
    push: Numbers,
    h: Numbers,
) -> None:
    """The h of the next step, and how cloth that pushes enters its stiffness."""
    b = wp.tid()
    if live[b] == 0:
        return
    if part[b] < number(0.5):
        push[b] = wp.min(number(1.0), push[b] + number(1.0))
        h[b] = wp.max(number(0.6) * h[b], number(2e-3))
    elif far[b] <= reach:
        if part[b] == number(1.0):
            least = number(0.0)
            if left[b] < rules.near[b]:
                least = number(-1.0)
            push[b] = wp.max(least, push[b] - number(0.5))
        h[b] = wp.min(rules.faster[b] * h[b], rules.longest[b])
