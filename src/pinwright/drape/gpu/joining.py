"""Kernels that tell which places join which vertices and which pairs of the matrix.

Each vertex, and each pair of vertices, collects what its places do to it
(:mod:`pinwright.drape.gpu.layers`), so these are sorted by them; the matrix may lack room for some
pairs.
"""

from __future__ import annotations

from pinwright.drape.gpu.cloth import Shell
from pinwright.drape.gpu.kinds import Big, Int, Long, Real, Whole, wp
from pinwright.drape.gpu.layers import Lying, high_of, low_of, point_of
from pinwright.drape.gpu.sorting import Desk, put

wp.set_module_options({"enable_backward": False})

number = wp.float64


@wp.kernel
def listed(which: Whole, lying: Lying, desk: Desk) -> None:
    """Puts the points of places to their vertices."""
    row, j = wp.tid()
    b = which[row]
    v = wp.int32(-1)
    if j < 4 * lying.count[b]:
        v = point_of(lying, b, j / 4, j % 4)
    put(desk, lying.ends, b, j, v)


@wp.func
def key_of(lying: Lying, b: Int, p: Int, pair: Int, n: Int) -> Big:
    """A pair of a place as a number: n times the higher vertex, and the lower."""
    one = point_of(lying, b, p, high_of(pair))
    two = point_of(lying, b, p, low_of(pair))
    return wp.int64(wp.max(one, two)) * wp.int64(n) + wp.int64(wp.min(one, two))


@wp.func
def number_of(shell: Shell, more: Long, own: Int, one: Int, two: Int, key: Big) -> Int:
    """Under which number a pair of vertices stands in the matrix, -1 for none: the cloth's own
    pairs, so many, and after them more, in order."""
    begin = shell.near_ends[one]
    end = shell.near_ends[one + 1]
    if begin < end:
        at = wp.lower_bound(shell.near, begin, end, two)
        if shell.near[at] == two:
            return shell.near_pair[at]
    if more.shape[0] > 0:
        at = wp.lower_bound(more, key)
        if more[at] == key:
            return own + at
    return -1


@wp.kernel
def paired(
    which: Whole, lying: Lying, shell: Shell, more: Long, own: Int, n: Int, desk: Desk
) -> None:
    """Puts the pairs of places to their numbers in the matrix; which of them it has no room for."""
    row, p = wp.tid()
    b = which[row]
    there = p < lying.count[b]
    lacking = wp.int32(0)
    for pair in range(6):
        found = wp.int32(-1)
        if there:
            one = point_of(lying, b, p, high_of(pair))
            two = point_of(lying, b, p, low_of(pair))
            found = number_of(shell, more, own, one, two, key_of(lying, b, p, pair, n))
            if found < 0:
                lacking += 1 << pair
        put(desk, lying.pair_ends, b, 6 * p + pair, found)
    if there:
        lying.lacking[b, p] = lacking


@wp.kernel
def counted(lying: Lying, soon: Real, acting: Whole) -> None:
    """How many places act, of how many of these the matrix lacks room for a pair, and how many
    pairs lack room of those that act or lie farther by no more than soon, cm (3,)."""
    b, p = wp.tid()
    if p >= lying.count[b]:
        return
    short = lying.apart[b] - lying.gap[b, p]
    lacking = lying.lacking[b, p]
    if short > number(0.0):
        wp.atomic_add(acting, 0, 1)
        if lacking != 0:
            wp.atomic_add(acting, 1, 1)
    if lacking != 0 and lying.gap[b, p] < lying.apart[b] + soon:
        for pair in range(6):
            if (lacking >> pair) % 2 != 0:
                wp.atomic_add(acting, 2, 1)


@wp.kernel
def lacked(lying: Lying, soon: Real, n: Int, known: Whole, keys: Long) -> None:
    """Lists these pairs, in any order; known: (1,) how many so far."""
    b, p = wp.tid()
    if p >= lying.count[b]:
        return
    lacking = lying.lacking[b, p]
    if lacking != 0 and lying.gap[b, p] < lying.apart[b] + soon:
        for pair in range(6):
            if (lacking >> pair) % 2 != 0:
                keys[wp.atomic_add(known, 0, 1)] = key_of(lying, b, p, pair, n)
