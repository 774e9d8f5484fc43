"""Kernels of cloth on bodies: how far off, what lies on them, how it drags along.

What is computed is that of :mod:`pinwright.drape.solver.contact` and :mod:`pinwright.drape.field`,
with their sources.
"""

from __future__ import annotations

from pinwright.drape.gpu.cloth import Acting, Bodies, Cloth
from pinwright.drape.gpu.kinds import Int, Numbers, Points2, Real, Vec3, Vec4, Whole, Whole2, wp
from pinwright.drape.solver import stepping

wp.set_module_options({"enable_backward": False})

number = wp.float64

SLACK = wp.constant(wp.float64(stepping.SLACK))


@wp.func
def _bspline(f: Real) -> Vec3:
    low = number(0.5) - f
    high = number(0.5) + f
    return wp.vec3d(number(0.5) * low * low, number(0.75) - f * f, number(0.5) * high * high)


@wp.func
def _sloped(f: Real) -> Vec3:
    return wp.vec3d(f - number(0.5), number(-2.0) * f, f + number(0.5))


@wp.func
def sampled(p: Vec3, bodies: Bodies, body: Int) -> Vec4:
    """Distance from a body and the direction off it; beyond the grid as at its rim."""
    size = bodies.shape[body]
    step = bodies.step[body]
    u = (p - bodies.origin[body]) / step
    q = wp.vec3d(
        wp.clamp(u[0], number(1.0), number(size[0]) - number(2.0)),
        wp.clamp(u[1], number(1.0), number(size[1]) - number(2.0)),
        wp.clamp(u[2], number(1.0), number(size[2]) - number(2.0)),
    )
    a = wp.int32(wp.floor(q[0] + number(0.5)))
    b = wp.int32(wp.floor(q[1] + number(0.5)))
    c = wp.int32(wp.floor(q[2] + number(0.5)))
    wx = _bspline(q[0] - number(a))
    wy = _bspline(q[1] - number(b))
    wz = _bspline(q[2] - number(c))
    dx = _sloped(q[0] - number(a))
    dy = _sloped(q[1] - number(b))
    dz = _sloped(q[2] - number(c))
    found = wp.vec4d(number(0.0), number(0.0), number(0.0), number(0.0))
    for i in range(3):
        for j in range(3):
            at = (
                bodies.start[body]
                + (wp.int64(a + i - 1) * wp.int64(size[1]) + wp.int64(b + j - 1))
                * wp.int64(size[2])
                + wp.int64(c - 1)
            )
            for k in range(3):
                v = bodies.knots[wp.int32(at) + k]
                found += v * wp.vec4d(
                    wx[i] * wy[j] * wz[k],
                    dx[i] * wy[j] * wz[k] / step,
                    wx[i] * dy[j] * wz[k] / step,
                    wx[i] * wy[j] * dz[k] / step,
                )
    if q[0] != u[0]:
        found[1] = number(0.0)
    if q[1] != u[1]:
        found[2] = number(0.0)
    if q[2] != u[2]:
        found[3] = number(0.0)
    return found


@wp.kernel
def drawn_along(
    on: Whole, x: Points2, anchor: Points2, cloth: Cloth, bodies: Bodies, w: Acting
) -> None:
    """Moves anchors of friction beyond Coulomb's limit after the cloth."""
    b, i = wp.tid()
    if on[b] == 0 or bodies.which[b] < 0 or cloth.friction[b] <= number(0.0):
        return
    here = x[b, i]
    touch = w.touch[b, i]
    if touch <= number(0.0):
        anchor[b, i] = here
        return
    n = wp.normalize(w.direction[b, i])
    since = here - anchor[b, i]
    along = since - wp.dot(since, n) * n
    slid = wp.length(along)
    free = cloth.friction[b] * touch / (cloth.hold[b] * cloth.load[b, i])
    keep = number(1.0)
    if slid > free:
        keep = free / slid
    anchor[b, i] = here - keep * along


@wp.kernel
def begun(on: Whole, cloth: Cloth, bodies: Bodies, w: Acting, active: Whole2) -> None:
    """Which points lie on the body as a step begins."""
    b, i = wp.tid()
    if on[b] == 0:
        return
    lies = wp.int32(0)
    if bodies.which[b] >= 0 and w.distance[b, i] < cloth.half[b]:
        lies = wp.int32(1)
    active[b, i] = lies


@wp.kernel
def lain(
    on: Whole,
    bad: Whole,
    dx: Points2,
    far: Numbers,
    cloth: Cloth,
    bodies: Bodies,
    w: Acting,
    active: Whole2,
    changed: Whole,
) -> None:
    """Which points will lie on the body after the step; changed (B,) counts what matters."""
    b, i = wp.tid()
    if on[b] == 0 or bad[b] != 0 or bodies.which[b] < 0:
        return
    off = w.direction[b, i]
    after = w.distance[b, i] - cloth.half[b] + wp.dot(off, dx[b, i])
    wanted = wp.int32(0)
    if wp.dot(off, off) > number(1e-3) and after < number(0.0):
        wanted = wp.int32(1)
    if wanted != active[b, i]:
        active[b, i] = wanted
        if wp.abs(after) > wp.min(SLACK, number(0.1) * far[b]):
            wp.atomic_add(changed, b, 1)
