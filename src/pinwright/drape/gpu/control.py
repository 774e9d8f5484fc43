"""Kernels that lead the steps of each variant: sums, h, what is tried, what is at rest.

The rules are those of :func:`pinwright.drape.solver.settling.settled`.
"""

from __future__ import annotations

from pinwright.drape.gpu.kinds import Int, Numbers, Numbers2, Points2, Real, Whole, Whole2, wp
from pinwright.drape.solver import acting, stepping

wp.set_module_options({"enable_backward": False})

number = wp.float64

ROUNDS = wp.constant(acting.ROUNDS)
STILL = wp.constant(wp.float64(1e-4))
SHORT = wp.constant(wp.float64(0.005))
LOCAL = wp.constant(stepping.LOCAL)
TRIES = wp.constant(8)
THINNEST = wp.constant(wp.float64(1e-7))
"""With no shorter step, s, is the stiffness tried again when it is not positive definite."""

_BLOCK = """
#if defined(__CUDA_ARCH__)
#define PW_SHARED __shared__
#define PW_MEET __syncthreads()
#else
#define PW_SHARED
#define PW_MEET
#endif
PW_SHARED double one[256];
PW_SHARED double two[256];
PW_MEET;
for (int t = lane; t < 256; t += width) {
    double p = 0.0, q = 0.0;
"""
_SUM = """
    one[t] = p;
    two[t] = q;
}
PW_MEET;
for (int k = 128; k > 0; k /= 2) {
    for (int t = lane; t < k; t += width) {
        one[t] = PW_JOIN(one[t], one[t + k]);
        two[t] += two[t + k];
    }
    PW_MEET;
}
"""
_BALANCE = (
    "#define PW_JOIN(u, v) ((u) + (v))\n"
    + _BLOCK
    + """
    const double* mine = membrane.data + wp::int64(b) * membrane.shape[1];
    for (int k = t; k < membrane.shape[1]; k += 256) p += mine[k];
    const double* own = energy.data + wp::int64(b) * energy.shape[1];
    for (int k = t; k < energy.shape[1]; k += 256) p += own[k];
    const double* f = (const double*)(force.data) + 3 * wp::int64(b) * energy.shape[1];
    for (int k = t; k < 3 * energy.shape[1]; k += 256) q += f[k] * f[k];
"""
    + _SUM
    + """
if (lane == 0) { total.data[b] = one[0]; squares.data[b] = two[0]; }
#undef PW_JOIN
"""
)
_REACH = (
    "#define PW_JOIN(u, v) ((u) > (v) ? (u) : (v))\n"
    + _BLOCK
    + """
    const double* d = (const double*)(dx.data) + 3 * wp::int64(b) * dx.shape[1];
    const double* f = (const double*)(force.data) + 3 * wp::int64(b) * dx.shape[1];
    for (int k = t; k < dx.shape[1]; k += 256) {
        const double s = d[3*k] * d[3*k] + d[3*k+1] * d[3*k+1] + d[3*k+2] * d[3*k+2];
        p = p > s ? p : s;
        const double part = s > reach * reach ? reach / sqrt(s) : 1.0;
        q += part * (d[3*k] * f[3*k] + d[3*k+1] * f[3*k+1] + d[3*k+2] * f[3*k+2]);
    }
"""
    + _SUM
    + """
if (lane == 0) { far.data[b] = sqrt(one[0]); downhill.data[b] = two[0]; }
#undef PW_JOIN
"""
)


@wp.func_native(_BALANCE)
def _balance(
    b: Int,
    membrane: Numbers2,
    energy: Numbers2,
    force: Points2,
    total: Numbers,
    squares: Numbers,
    lane: Int,
    width: Int,
) -> None: ...


@wp.func_native(_REACH)
def _reach(
    b: Int,
    dx: Points2,
    force: Points2,
    reach: Real,
    far: Numbers,
    downhill: Numbers,
    lane: Int,
    width: Int,
) -> None: ...


@wp.kernel
def balanced(
    on: Whole,
    membrane: Numbers2,
    energy: Numbers2,
    force: Points2,
    total: Numbers,
    squares: Numbers,
    width: Int,
) -> None:
    """The energy of each variant, and the sum of the squares of its forces."""
    b = wp.tid() / width
    if on[b] == 0:
        return
    _balance(b, membrane, energy, force, total, squares, wp.tid() % width, width)


@wp.kernel
def reached(
    on: Whole,
    dx: Points2,
    force: Points2,
    reach: Real,
    far: Numbers,
    downhill: Numbers,
    width: Int,
) -> None:
    """How far the step of each variant would go at most, cm, and how steeply downhill, erg.

    No vertex goes farther than reach, which counts for the second.
    """
    b = wp.tid() / width
    if on[b] == 0:
        return
    _reach(b, dx, force, reach, far, downhill, wp.tid() % width, width)


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
        if changed[b] == 0 or rounds[b] >= ROUNDS:
            todo[b] = 0
        elif rounds[b] == ROUNDS - 1:
            afresh[b] = 1
    bad[b] = 0
    changed[b] = 0


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
    whole: Points2,
    at: Points2,
    acted: Points2,
) -> None:
    """Lets no vertex go farther than reach, and notes the step, its begin and what acts there."""
    b, i = wp.tid()
    if live[b] == 0:
        return
    size = wp.length(dx[b, i])
    if size > reach:
        dx[b, i] = (reach / size) * dx[b, i]
    whole[b, i] = dx[b, i]
    at[b, i] = x[b, i]
    acted[b, i] = force[b, i]


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
def slowed(local: Whole, wrong: Whole2, whole: Points2, dx: Points2) -> None:
    """Goes slower there, or takes the whole step again."""
    b, i = wp.tid()
    if local[b] == 1 and wrong[b, i] != 0:
        dx[b, i] = number(0.25) * dx[b, i]
    elif local[b] == 2:
        dx[b, i] = whole[b, i]


@wp.kernel
def stepped(
    live: Whole,
    part: Numbers,
    far: Numbers,
    reach: Real,
    longest: Real,
    total: Numbers,
    before: Numbers,
    weight: Numbers,
    n: Real,
    still: Whole,
    shorts: Whole,
    push: Numbers,
    h: Numbers,
) -> None:
    """The h of the next step, and how cloth that pushes enters its stiffness.

    still (B,) counts steps in which the cloth fell no more, shorts (B,) the short ones to come.
    """
    b = wp.tid()
    if live[b] == 0:
        return
    if shorts[b] > 0:
        shorts[b] = shorts[b] - 1
        if shorts[b] == 0:
            h[b] = longest
            still[b] = -4
    elif before[b] - total[b] < STILL * n * weight[b]:
        still[b] = still[b] + 1
    else:
        still[b] = wp.min(still[b], 0)
    brief = shorts[b] > 0 or still[b] >= 3
    if brief:
        if shorts[b] == 0:
            shorts[b] = 4
        h[b] = SHORT
    if part[b] == number(1.0) and far[b] <= reach:
        push[b] = wp.max(number(-1.0), push[b] - number(0.5))
    elif part[b] < number(0.5):
        push[b] = wp.min(number(1.0), push[b] + number(1.0))
    if not brief:
        if part[b] < number(0.5):
            h[b] = wp.max(number(0.6) * h[b], number(2e-3))
        elif far[b] <= reach:
            h[b] = wp.min(number(2.0) * h[b], longest)


@wp.kernel
def rested(
    live: Whole,
    squares: Numbers,
    weight: Numbers,
    n: Real,
    enough: Real,
    left: Numbers,
) -> None:
    """The residual of each variant, and whether it goes on."""
    b = wp.tid()
    if live[b] == 0:
        return
    left[b] = wp.sqrt(squares[b] / n) / weight[b]
    if not (left[b] > enough):
        live[b] = 0


@wp.kernel
def opened(live: Whole, rounds: Whole, todo: Whole, again: Whole, afresh: Whole) -> None:
    """Begins a step of those not at rest."""
    b = wp.tid()
    todo[b] = live[b]
    again[b] = 0
    afresh[b] = 0
    rounds[b] = 0
