"""Kernels of what acts on cloth, and of its stiffness: as in the solver, for many variants at once.

What is computed is that of :mod:`pinwright.drape.solver.membrane` and
:mod:`pinwright.drape.solver.contact`, with their sources. Each vertex collects what its triangles
and neighbours do to it, in a fixed order.
"""

from __future__ import annotations

from pinwright.drape.gpu.kinds import (
    Bent2,
    Blocks2,
    Int,
    Long,
    Numbers,
    Numbers2,
    Points,
    Points2,
    Quads2,
    Real,
    Slopes2,
    Triples,
    Vec3,
    Vec4,
    Whole,
    Whole2,
    wp,
)
from pinwright.drape.solver import stepping

wp.set_module_options({"enable_backward": False})

number = wp.float64

SLACK = wp.constant(wp.float64(stepping.SLACK))


@wp.struct
class Shell:
    """Which vertices make triangles and pairs: as Stencils, the same for all variants.

    near_ends: (n + 1,), near, near_pair: the vertices that meet each vertex, itself included, and
    the number of the pair.
    """

    triangles: Triples
    ends: Whole
    triangle: Whole
    corner_a: Whole
    corner_b: Whole
    around: Whole
    around_triangle: Whole
    around_corner: Whole
    near_ends: Whole
    near: Whole
    near_pair: Whole


@wp.struct
class Cloth:
    """What may differ from variant to variant: as Stencils and Setting."""

    slopes: Slopes2
    area: Numbers2
    stiff: Quads2
    bend: Numbers2
    mass: Numbers2
    load: Numbers2
    gravity: Points
    half: Numbers
    friction: Numbers
    hard: Numbers
    hold: Numbers
    pinned: Whole2
    kept: Numbers2
    kept_at: Numbers2


@wp.struct
class Bodies:
    """Fields one after another: which of them each variant lies on, -1 for none."""

    which: Whole
    origin: Points
    step: Numbers
    shape: Triples
    start: Long
    knots: Numbers


@wp.struct
class Acting:
    """What acts where the cloth is: see State and what forces needs by the way."""

    bent: Bent2
    stress: Points2
    pull: Points2
    membrane: Numbers2
    force: Points2
    blocks: Blocks2
    touch: Numbers2
    distance: Numbers2
    direction: Points2
    energy: Numbers2


@wp.func
def taken(stress: Vec3, push: Real) -> Vec3:
    """What of a stress the stiffness takes: all that pulls, and push times what pushes."""
    middle = number(0.5) * (stress[0] + stress[1])
    half = number(0.5) * (stress[0] - stress[1])
    r = wp.sqrt(half * half + stress[2] * stress[2])
    high = middle + r
    low = middle - r
    if high < number(0.0):
        high = -push * high
    if low < number(0.0):
        low = -push * low
    u = number(0.5) * (high + low)
    v = number(0.5) * (high - low)
    cosine = number(1.0)
    sine = number(0.0)
    if r > number(0.0):
        cosine = half / r
        sine = stress[2] / r
    return wp.vec3d(u + v * cosine, u - v * cosine, v * sine)


@wp.kernel
def stretched(on: Whole, x: Points2, push: Numbers, shell: Shell, cloth: Cloth, w: Acting) -> None:
    """Deformation, stress, what of it the stiffness takes, and energy of each triangle."""
    b, t = wp.tid()
    if on[b] == 0:
        return
    corner = shell.triangles[t]
    g = cloth.slopes[b, t]
    x0 = x[b, corner[0]]
    x1 = x[b, corner[1]]
    x2 = x[b, corner[2]]
    f1 = g[0, 0] * x0 + g[1, 0] * x1 + g[2, 0] * x2
    f2 = g[0, 1] * x0 + g[1, 1] * x1 + g[2, 1] * x2
    k = cloth.stiff[b, t]
    e1 = number(0.5) * (wp.dot(f1, f1) - number(1.0))
    e2 = number(0.5) * (wp.dot(f2, f2) - number(1.0))
    e3 = wp.dot(f1, f2)
    s1 = k[0] * e1 + k[1] * e2
    s2 = k[1] * e1 + k[2] * e2
    s3 = k[3] * e3
    bent = w.bent[b, t]
    for a in range(3):
        bent[0, a] = f1[a]
        bent[1, a] = f2[a]
    w.bent[b, t] = bent
    w.stress[b, t] = wp.vec3d(s1, s2, s3)
    w.membrane[b, t] = number(0.5) * cloth.area[b, t] * (s1 * e1 + s2 * e2 + s3 * e3)
    w.pull[b, t] = taken(w.stress[b, t], push[b])


@wp.kernel
def retaken(on: Whole, push: Numbers, w: Acting) -> None:
    """What of the stress the stiffness takes, with another push."""
    b, t = wp.tid()
    if on[b] == 0:
        return
    w.pull[b, t] = taken(w.stress[b, t], push[b])


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
def acted(
    on: Whole,
    x: Points2,
    anchor: Points2,
    shell: Shell,
    cloth: Cloth,
    bodies: Bodies,
    w: Acting,
) -> None:
    """Forces on each vertex, how the body presses it, its energy, friction's part of its block."""
    b, i = wp.tid()
    if on[b] == 0:
        return
    here = x[b, i]
    # bending: half of the energy is each vertex with what bends it
    bending = wp.vec3d(number(0.0), number(0.0), number(0.0))
    for q in range(shell.near_ends[i], shell.near_ends[i + 1]):
        bending += cloth.bend[b, shell.near_pair[q]] * x[b, shell.near[q]]
    weight = cloth.mass[b, i] * cloth.gravity[b]
    energy = number(0.5) * wp.dot(here, bending) - wp.dot(weight, here)
    out = wp.vec3d(number(0.0), number(0.0), number(0.0))
    for q in range(shell.around[i], shell.around[i + 1]):
        t = shell.around_triangle[q]
        a = shell.around_corner[q]
        g = cloth.slopes[b, t]
        s = w.stress[b, t]
        f = w.bent[b, t]
        u = cloth.area[b, t] * (s[0] * g[a, 0] + s[2] * g[a, 1])
        v = cloth.area[b, t] * (s[2] * g[a, 0] + s[1] * g[a, 1])
        out -= wp.vec3d(
            u * f[0, 0] + v * f[1, 0], u * f[0, 1] + v * f[1, 1], u * f[0, 2] + v * f[1, 2]
        )
    out += weight - bending
    block = wp.mat33d()
    touch = number(0.0)
    body = bodies.which[b]
    if body >= 0:
        found = sampled(here, bodies, body)
        off = wp.vec3d(found[1], found[2], found[3])
        w.distance[b, i] = found[0]
        w.direction[b, i] = off
        deep = cloth.half[b] - found[0]
        size = wp.length(off)
        if deep > number(0.0) and size >= number(1e-6):
            press = cloth.hard[b] * cloth.load[b, i] * deep
            touch = press * size
            energy += number(0.5) * press * deep
            out += press * off
            if cloth.friction[b] > number(0.0):
                n = off / size
                since = here - anchor[b, i]
                along = since - wp.dot(since, n) * n
                q2 = wp.dot(along, along)
                slid = wp.sqrt(q2)
                spring = cloth.hold[b] * cloth.load[b, i]
                most = cloth.friction[b] * touch
                if spring * slid > most:
                    spring = most / slid
                energy += number(0.5) * spring * q2
                out -= spring * along
                block = spring * (wp.identity(n=3, dtype=wp.float64) - wp.outer(n, n))
    w.touch[b, i] = touch
    kept = cloth.kept[b, i]
    if kept > number(0.0):
        short = cloth.kept_at[b, i] - here[2]
        out += wp.vec3d(number(0.0), number(0.0), kept * short)
        block[2, 2] += kept
        energy += number(0.5) * kept * short * short
    if cloth.pinned[b, i] != 0:
        out = wp.vec3d(number(0.0), number(0.0), number(0.0))
    w.force[b, i] = out
    w.blocks[b, i] = block
    w.energy[b, i] = energy


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
def stiffness(on: Whole, shell: Shell, cloth: Cloth, w: Acting, values: Blocks2) -> None:
    """The blocks of the stiffness, for each pair: triangles, and bending on the diagonal."""
    b, p = wp.tid()
    if on[b] == 0:
        return
    out = cloth.bend[b, p] * wp.identity(n=3, dtype=wp.float64)
    for q in range(shell.ends[p], shell.ends[p + 1]):
        t = shell.triangle[q]
        ca = shell.corner_a[q]
        cb = shell.corner_b[q]
        slopes = cloth.slopes[b, t]
        g1 = slopes[ca, 0]
        g2 = slopes[ca, 1]
        h1 = slopes[cb, 0]
        h2 = slopes[cb, 1]
        area = cloth.area[b, t]
        k = cloth.stiff[b, t]
        pull = w.pull[b, t]
        bent = w.bent[b, t]
        f1 = wp.vec3d(bent[0, 0], bent[0, 1], bent[0, 2])
        f2 = wp.vec3d(bent[1, 0], bent[1, 1], bent[1, 2])
        a1 = area * g1 * f1
        a2 = area * g2 * f2
        a3 = area * (g1 * f2 + g2 * f1)
        out += wp.outer(k[0] * a1 + k[1] * a2, h1 * f1)
        out += wp.outer(k[1] * a1 + k[2] * a2, h2 * f2)
        out += wp.outer(k[3] * a3, h1 * f2 + h2 * f1)
        c = area * (g1 * (pull[0] * h1 + pull[2] * h2) + g2 * (pull[2] * h1 + pull[1] * h2))
        out += c * wp.identity(n=3, dtype=wp.float64)
    values[b, p] = out


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


@wp.kernel
def moved(on: Whole, at: Points2, dx: Points2, part: Numbers, x: Points2) -> None:
    """Cloth a part of the step on."""
    b, i = wp.tid()
    if on[b] == 0:
        return
    x[b, i] = at[b, i] + part[b] * dx[b, i]


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
