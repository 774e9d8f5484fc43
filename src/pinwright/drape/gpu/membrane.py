"""Kernels of cloth in its plane, for many variants at once: stress, and blocks of the stiffness.

What is computed is that of :mod:`pinwright.drape.solver.membrane`, with its sources.
"""

from __future__ import annotations

from pinwright.drape.gpu.cloth import Acting, Cloth, Shell
from pinwright.drape.gpu.kinds import Blocks2, Numbers, Points2, Real, Vec3, Vec4, Whole, Whole2, wp

wp.set_module_options({"enable_backward": False})

number = wp.float64


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


@wp.func
def stressed(k: Vec4, e1: Real, e2: Real, e3: Real) -> Vec3:
    """Stress across, along and in shear of strain, dyn/cm."""
    return wp.vec3d(k[0] * e1 + k[1] * e2, k[1] * e1 + k[2] * e2, k[3] * e3)


@wp.kernel
def stretched(on: Whole, x: Points2, shell: Shell, cloth: Cloth, w: Acting) -> None:
    """Deformation, stress and energy of each triangle."""
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
    e1 = number(0.5) * (wp.dot(f1, f1) - number(1.0))
    e2 = number(0.5) * (wp.dot(f2, f2) - number(1.0))
    e3 = wp.dot(f1, f2)
    s = stressed(cloth.stiff[b, t], e1, e2, e3)
    bent = w.bent[b, t]
    for a in range(3):
        bent[0, a] = f1[a]
        bent[1, a] = f2[a]
    w.bent[b, t] = bent
    w.stress[b, t] = s
    w.membrane[b, t] = number(0.5) * cloth.area[b, t] * (s[0] * e1 + s[1] * e2 + s[2] * e3)


@wp.kernel
def retaken(on: Whole, push: Numbers, w: Acting) -> None:
    """What of the stress that the last step foresaw the stiffness takes."""
    b, t = wp.tid()
    if on[b] == 0:
        return
    w.pull[b, t] = taken(w.mixed[b, t], push[b])


@wp.kernel
def foreseen(
    on: Whole, at: Points2, dx: Points2, part: Numbers, shell: Shell, cloth: Cloth, w: Acting
) -> None:
    """The stress that a part of a step foresaw: stress at its begin and what is linear in dx."""
    b, t = wp.tid()
    if on[b] == 0:
        return
    corner = shell.triangles[t]
    g = cloth.slopes[b, t]
    f1 = wp.vec3d()
    f2 = wp.vec3d()
    d1 = wp.vec3d()
    d2 = wp.vec3d()
    for a in range(3):
        here = at[b, corner[a]]
        way = part[b] * dx[b, corner[a]]
        f1 += g[a, 0] * here
        f2 += g[a, 1] * here
        d1 += g[a, 0] * way
        d2 += g[a, 1] * way
    w.mixed[b, t] = stressed(
        cloth.stiff[b, t],
        number(0.5) * (wp.dot(f1, f1) - number(1.0)) + wp.dot(f1, d1),
        number(0.5) * (wp.dot(f2, f2) - number(1.0)) + wp.dot(f2, d2),
        wp.dot(f1, f2) + wp.dot(f1, d2) + wp.dot(f2, d1),
    )


@wp.kernel
def mixed_again(on: Whole, held: Whole2, shell: Shell, before: Points2, w: Acting) -> None:
    """After some places came to rest by themselves: the stress there is, there; else as before.

    held: (B, n) which vertices stood still.
    """
    b, t = wp.tid()
    if on[b] == 0:
        return
    corner = shell.triangles[t]
    free = wp.int32(0)
    for a in range(3):
        if held[b, corner[a]] == 0:
            free = wp.int32(1)
    if free == 1:
        w.mixed[b, t] = w.stress[b, t]
    else:
        w.mixed[b, t] = before[b, t]


@wp.kernel
def mixed_as_is(on: Whole, w: Acting) -> None:
    """Takes the stress there is."""
    b, t = wp.tid()
    if on[b] != 0:
        w.mixed[b, t] = w.stress[b, t]


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
