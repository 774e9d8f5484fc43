"""Kernels that state a step and try it: whole, slower where it goes wrong, or a part of it.

The rules are those of :mod:`pinwright.drape.solver.stepping`.
"""

from __future__ import annotations

from pinwright.drape.gpu.cloth import Acting, Cloth, Shell
from pinwright.drape.gpu.kinds import Blocks2, Numbers, Points2, Real, Whole, Whole2, wp
from pinwright.drape.solver import stepping

wp.set_module_options({"enable_backward": False})

number = wp.float64

LOCAL = wp.constant(stepping.LOCAL)
TRIES = wp.constant(8)


@wp.kernel
def stated(
    on: Whole,
    h: Numbers,
    active: Whole2,
    cloth: Cloth,
    w: Acting,
    values: Blocks2,
    diagonal: Blocks2,
    right: Points2,
) -> None:
    """The diagonal blocks and the right side of a step, with the body under the active points."""
    b, i = wp.tid()
    if on[b] == 0:
        return
    own = cloth.mass[b, i] / (h[b] * h[b])
    side = w.force[b, i]
    if cloth.pinned[b, i] != 0:
        own += number(1e12)
    block = values[b, i] + w.blocks[b, i] + own * wp.identity(n=3, dtype=wp.float64)
    if active[b, i] != 0:
        k = cloth.hard[b] * cloth.load[b, i]
        off = w.direction[b, i]
        short = cloth.half[b] - w.distance[b, i]
        side += k * wp.min(short, number(0.0)) * off
        block += k * wp.outer(off, off)
    if cloth.pinned[b, i] != 0:
        side = wp.vec3d(number(0.0), number(0.0), number(0.0))
    diagonal[b, i] = block
    right[b, i] = side


@wp.kernel
def aimed(
    live: Whole, total: Numbers, before: Numbers, part: Numbers, tries: Whole, open: Whole
) -> None:
    """Begins to try a step."""
    b = wp.tid()
    open[b] = live[b]
    if live[b] == 0:
        return
    before[b] = total[b]
    part[b] = number(1.0)
    tries[b] = 0


@wp.kernel
def shortened(
    live: Whole,
    reach: Real,
    x: Points2,
    force: Points2,
    dx: Points2,
    at: Points2,
    acted: Points2,
) -> None:
    """Lets no vertex go farther than reach, and notes where the step begins and what acts there."""
    b, i = wp.tid()
    if live[b] == 0:
        return
    size = wp.length(dx[b, i])
    if size > reach:
        dx[b, i] = (reach / size) * dx[b, i]
    at[b, i] = x[b, i]
    acted[b, i] = force[b, i]


@wp.kernel
def noted(live: Whole, dx: Points2, whole: Points2) -> None:
    """Notes the step."""
    b, i = wp.tid()
    if live[b] == 0:
        return
    whole[b, i] = dx[b, i]


@wp.kernel
def moved(on: Whole, at: Points2, dx: Points2, part: Numbers, x: Points2) -> None:
    """Cloth a part of the step on."""
    b, i = wp.tid()
    if on[b] == 0:
        return
    x[b, i] = at[b, i] + part[b] * dx[b, i]


@wp.kernel
def judged(
    open: Whole,
    total: Numbers,
    before: Numbers,
    downhill: Numbers,
    part: Numbers,
    tries: Whole,
    local: Whole,
) -> None:
    """Whether a part of the step lowers the energy enough; else less of it is tried.

    local (B,): 1 for less where it goes wrong only, 2 for less of the whole step.
    """
    b = wp.tid()
    local[b] = 0
    if open[b] == 0:
        return
    least = number(1e-4) * part[b] * downhill[b]
    if total[b] <= before[b] - least + number(1e-9) * wp.abs(before[b]):
        open[b] = 0
        return
    if tries[b] < LOCAL:
        local[b] = 1
    elif tries[b] == LOCAL:
        local[b] = 2
        part[b] = number(0.25)
    else:
        part[b] = number(0.25) * part[b]
    tries[b] = tries[b] + 1
    if tries[b] >= TRIES:
        open[b] = 0


@wp.kernel
def marked(local: Whole, force: Points2, largest: Numbers, wrong: Whole2) -> None:
    """Where a step goes wrong: where most is left over after it."""
    b, i = wp.tid()
    if local[b] == 0:
        return
    mark = wp.int32(0)
    if wp.length(force[b, i]) > number(0.2) * largest[b]:
        mark = wp.int32(1)
    wrong[b, i] = mark


@wp.kernel
def spread(on: Whole, shell: Shell, cloth: Cloth, before: Whole2, after: Whole2) -> None:
    """Marks what bends with a marked vertex."""
    b, i = wp.tid()
    if on[b] == 0:
        return
    mark = wp.int32(0)
    for q in range(shell.near_ends[i], shell.near_ends[i + 1]):
        if before[b, shell.near[q]] != 0 and cloth.bend[b, shell.near_pair[q]] != number(0.0):
            mark = wp.int32(1)
    after[b, i] = mark


@wp.kernel
def slowed(local: Whole, wrong: Whole2, whole: Points2, dx: Points2) -> None:
    """Goes slower there, or takes the whole step again."""
    b, i = wp.tid()
    if local[b] == 1 and wrong[b, i] != 0:
        dx[b, i] = number(0.25) * dx[b, i]
    elif local[b] == 2:
        dx[b, i] = whole[b, i]
