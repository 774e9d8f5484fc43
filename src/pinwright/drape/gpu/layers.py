"""Kernels of cloth against cloth: how far layers lie from each other, how they press, what a step
may do.

What is computed is that of :mod:`pinwright.drape.solver.against_itself`. Which vertices meet which
triangles is found by :mod:`pinwright.drape.gpu.places`; each vertex, and each pair of vertices,
collects what its places do to it, in a fixed order.
"""

from __future__ import annotations

from pinwright.drape.gpu.cloth import Cloth
from pinwright.drape.gpu.contact import SLACK
from pinwright.drape.gpu.kinds import (
    Blocks2,
    Int,
    Numbers,
    Numbers2,
    Points2,
    Triples2,
    Vec3,
    Whole,
    Whole2,
    wp,
)
from pinwright.drape.solver import against_itself

wp.set_module_options({"enable_backward": False})

number = wp.float64

PRESS = wp.constant(wp.float64(against_itself.PRESS))


@wp.struct
class Lying:
    """Where vertices of each variant meet cloth: see :class:`places.Places` and ``Layers``.

    apart: (B,) so near layers may lie, cm. least: (B,) so far a step may always go, cm. count: (B,)
    places. lacking: (B, P) six flags, for which pairs of a place the matrix has no room. force:
    (B, P) dyn. near: (B, P) which act in a step. item: (B, 4 P) four times a place and which of its
    points (0 the vertex, 1 to 3 the corners), by vertex as ends (B, n + 1) say. pair_item: (B, 6 P)
    six times a place and which of its pairs, by the number of the pair in the matrix as pair_ends
    (B, pairs + 1) say; those that it has no room for are left out.
    """

    apart: Numbers
    least: Numbers
    count: Whole
    vertex: Whole2
    corners: Triples2
    out: Points2
    lacking: Whole2
    gap: Numbers2
    way: Points2
    weight: Points2
    force: Numbers2
    near: Whole2
    ends: Whole2
    item: Whole2
    pair_ends: Whole2
    pair_item: Whole2


@wp.kernel
def strayed(on: Whole, x: Points2, where: Points2, far: Numbers) -> None:
    """How far cloth has moved at most since its places were found (B,), squared, cm2."""
    b, i = wp.tid()
    if on[b] != 0:
        wp.atomic_max(far, b, wp.length_sq(x[b, i] - where[b, i]))


@wp.func
def point_of(lying: Lying, b: Int, p: Int, role: Int) -> Int:
    """The vertex that is the place's own (0) or one of its corners (1 to 3)."""
    if role == 0:
        return lying.vertex[b, p]
    return lying.corners[b, p][role - 1]


@wp.func
def high_of(pair: Int) -> Int:
    """The higher point of a pair of a place, as ``against_itself.PAIRS``."""
    if pair < 3:
        return pair + 1
    if pair == 3:
        return 2
    return 3


@wp.func
def low_of(pair: Int) -> Int:
    """The lower one."""
    if pair < 3:
        return 0
    if pair < 5:
        return 1
    return 2


@wp.func
def on_triangle(p: Vec3, a: Vec3, b: Vec3, c: Vec3) -> Vec3:
    """Shares of b - a and c - a at the nearest point of a triangle, as in ``surfaces``; 0."""
    ab = b - a
    ac = c - a
    d1 = wp.dot(ab, p - a)
    d2 = wp.dot(ac, p - a)
    d3 = wp.dot(ab, p - b)
    d4 = wp.dot(ac, p - b)
    d5 = wp.dot(ab, p - c)
    d6 = wp.dot(ac, p - c)
    zero = number(0.0)
    one = number(1.0)
    if d1 <= zero and d2 <= zero:
        return wp.vec3d(zero, zero, zero)
    if d3 >= zero and d4 <= d3:
        return wp.vec3d(one, zero, zero)
    vc = d1 * d4 - d3 * d2
    if vc <= zero and d1 >= zero and d3 <= zero:
        return wp.vec3d(d1 / (d1 - d3), zero, zero)
    if d6 >= zero and d5 <= d6:
        return wp.vec3d(zero, one, zero)
    vb = d5 * d2 - d1 * d6
    if vb <= zero and d2 >= zero and d6 <= zero:
        return wp.vec3d(zero, d2 / (d2 - d6), zero)
    va = d3 * d6 - d5 * d4
    if va <= zero and d4 - d3 >= zero and d5 - d6 >= zero:
        u = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        return wp.vec3d(one - u, u, zero)
    s = one / (va + vb + vc)
    return wp.vec3d(vb * s, vc * s, zero)


@wp.func
def share_of(lying: Lying, b: Int, p: Int, role: Int) -> wp.float64:
    """How the gap of a place grows with one of its points along its way."""
    if role == 0:
        return number(1.0)
    return -lying.weight[b, p][role - 1]


@wp.func
def spring_of(lying: Lying, cloth: Cloth, b: Int, p: Int) -> wp.float64:
    """How stiff a place is in a step, dyn/cm: less where it is through, for its force is held."""
    short = wp.max(lying.apart[b] - lying.gap[b, p], number(1e-9))
    return PRESS * cloth.load[b, lying.vertex[b, p]] * wp.min(number(1.0), lying.apart[b] / short)


@wp.kernel
def measured(on: Whole, x: Points2, cloth: Cloth, lying: Lying) -> None:
    """The gap, way and weights of each place, and how hard it is pressed."""
    b, p = wp.tid()
    if on[b] == 0 or p >= lying.count[b]:
        return
    v = lying.vertex[b, p]
    t = lying.corners[b, p]
    here = x[b, v]
    at = on_triangle(here, x[b, t[0]], x[b, t[1]], x[b, t[2]])
    # rounded as on the processor: a corner with no weight at all is no part of a place
    w = wp.vec3d(number(1.0) - at[0] - at[1], at[0], at[1])
    r = here - w[0] * x[b, t[0]] - w[1] * x[b, t[1]] - w[2] * x[b, t[2]]
    d = wp.length(r)
    side = number(1.0)
    if wp.dot(r, lying.out[b, p]) < number(0.0):
        side = number(-1.0)
    way = lying.out[b, p]
    if d > number(1e-6):
        way = (side / d) * r
    lying.gap[b, p] = side * d
    lying.way[b, p] = way
    lying.weight[b, p] = w
    short = lying.apart[b] - side * d
    force = number(0.0)
    if short > number(0.0):
        # what is through is pushed back no harder than if it lay in the other layer
        force = PRESS * cloth.load[b, v] * wp.min(short, lying.apart[b])
    lying.force[b, p] = force


@wp.kernel
def pressed_apart(on: Whole, cloth: Cloth, lying: Lying, force: Points2, energy: Numbers2) -> None:
    """Adds to each vertex what its places do to it; the energy of a place is its vertex's."""
    b, i = wp.tid()
    if on[b] == 0:
        return
    out = wp.vec3d(number(0.0), number(0.0), number(0.0))
    more = number(0.0)
    for q in range(lying.ends[b, i], lying.ends[b, i + 1]):
        p = lying.item[b, q] / 4
        role = lying.item[b, q] % 4
        f = lying.force[b, p]
        if f > number(0.0):
            out += (share_of(lying, b, p, role) * f) * lying.way[b, p]
            if role == 0:
                short = lying.apart[b] - lying.gap[b, p]
                more += f * (short - number(0.5) * wp.min(short, lying.apart[b]))
    if cloth.pinned[b, i] == 0:
        force[b, i] = force[b, i] + out
    energy[b, i] = energy[b, i] + more


@wp.kernel
def begun(on: Whole, lying: Lying) -> None:
    """Which places act as a step begins."""
    b, p = wp.tid()
    if on[b] == 0 or p >= lying.count[b]:
        return
    near = wp.int32(0)
    if lying.gap[b, p] < lying.apart[b]:
        near = wp.int32(1)
    lying.near[b, p] = near


@wp.kernel
def joined(on: Whole, cloth: Cloth, lying: Lying, diagonal: Blocks2, right: Points2) -> None:
    """Adds to the diagonal blocks and the right side of a step the places that act in it.

    Where the matrix has no room for a pair the parts on the diagonal grow by as much.
    """
    b, i = wp.tid()
    if on[b] == 0:
        return
    block = diagonal[b, i]
    side = right[b, i]
    for q in range(lying.ends[b, i], lying.ends[b, i + 1]):
        p = lying.item[b, q] / 4
        role = lying.item[b, q] % 4
        if lying.near[b, p] != 0:
            k = spring_of(lying, cloth, b, p)
            way = lying.way[b, p]
            share = share_of(lying, b, p, role)
            size = share * share
            for other in range(4):
                if other != role:
                    high = wp.max(role, other)
                    low = wp.min(role, other)
                    pair = high + low  # (2, 1): 3, (3, 1): 4, (3, 2): 5
                    if low == 0:
                        pair = high - 1
                    if (lying.lacking[b, p] >> pair) % 2 != 0:
                        size += wp.abs(share * share_of(lying, b, p, other))
            block += (k * size) * wp.outer(way, way)
            short = wp.min(lying.apart[b] - lying.gap[b, p], number(0.0))
            side += (k * short * share) * way
    diagonal[b, i] = block
    if cloth.pinned[b, i] == 0:
        right[b, i] = side


@wp.kernel
def joined_pairs(
    on: Whole, cloth: Cloth, lying: Lying, known: Int, values: Blocks2, joint: Blocks2
) -> None:
    """The blocks of pairs with the places that act in a step; known: pairs that the cloth itself
    has, with values (B, known)."""
    b, k = wp.tid()
    if on[b] == 0:
        return
    block = wp.mat33d()
    if k < known:
        block = values[b, k]
    for q in range(lying.pair_ends[b, k], lying.pair_ends[b, k + 1]):
        p = lying.pair_item[b, q] / 6
        if lying.near[b, p] != 0:
            pair = lying.pair_item[b, q] % 6
            both = share_of(lying, b, p, high_of(pair)) * share_of(lying, b, p, low_of(pair))
            way = lying.way[b, p]
            block += (spring_of(lying, cloth, b, p) * both) * wp.outer(way, way)
    joint[b, k] = block


@wp.kernel
def meeting(on: Whole, bad: Whole, dx: Points2, far: Numbers, lying: Lying, changed: Whole) -> None:
    """Which places will act after the step; changed (B,) counts what matters."""
    b, p = wp.tid()
    if on[b] == 0 or bad[b] != 0 or p >= lying.count[b]:
        return
    moved = wp.vec3d(number(0.0), number(0.0), number(0.0))
    for role in range(4):
        moved += share_of(lying, b, p, role) * dx[b, point_of(lying, b, p, role)]
    short = lying.apart[b] - lying.gap[b, p] - wp.dot(lying.way[b, p], moved)
    wanted = wp.int32(0)
    if short > number(0.0):
        wanted = wp.int32(1)
    if wanted != lying.near[b, p]:
        lying.near[b, p] = wanted
        if wp.abs(short) > wp.min(SLACK, number(0.1) * far[b]):
            wp.atomic_add(changed, b, 1)


@wp.kernel
def passing(on: Whole, dx: Points2, lying: Lying, found: Whole) -> None:
    """Notes the variants (B,) in which layers would pass each other in a step.

    on (B,): 1 where it is asked; steps that are taken otherwise (2) stay as they are.
    """
    b, p = wp.tid()
    if on[b] != 1 or p >= lying.count[b]:
        return
    gap = lying.gap[b, p]
    if gap <= number(0.0):
        return
    moved = wp.vec3d(number(0.0), number(0.0), number(0.0))
    for role in range(4):
        moved += share_of(lying, b, p, role) * dx[b, point_of(lying, b, p, role)]
    room = wp.max(gap - number(0.25) * lying.apart[b], number(0.5) * gap)
    room = wp.max(room, lying.least[b])
    if -wp.dot(lying.way[b, p], moved) > room * number(1.0 + 1e-9):
        found[b] = 1
