"""Kernel of what acts on each vertex: weight, bending, triangles, the body, what keeps the waist.

Each vertex collects what its triangles and neighbours do to it, in a fixed order.
"""

from __future__ import annotations

from pinwright.drape.gpu.cloth import Acting, Bodies, Cloth, Shell
from pinwright.drape.gpu.contact import sampled
from pinwright.drape.gpu.kinds import Points2, Whole, wp

wp.set_module_options({"enable_backward": False})

number = wp.float64


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
        axis = cloth.kept_axis[b]
        short = cloth.kept_at[b, i] - here[axis]
        out[axis] += kept * short
        block[axis, axis] += kept
        energy += number(0.5) * kept * short * short
    if cloth.pinned[b, i] != 0:
        out = wp.vec3d(number(0.0), number(0.0), number(0.0))
    w.force[b, i] = out
    w.blocks[b, i] = block
    w.energy[b, i] = energy
