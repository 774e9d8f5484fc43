"""The figure's surface carried along as its bones turn, by blended dual quaternions.

Where bones meet, a vertex goes with both. Its motion is then a mean of theirs: of dual quaternions,
so that it stays a turn and a shift, and a bent or twisted limb keeps its girth, which a mean of the
moved places does not (Kavan, Collins, Zara & O'Sullivan 2008, "Geometric skinning with approximate
dual quaternion blending", ACM Transactions on Graphics 27(4)).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.body.standing import PARENT

Turn = Array
"""A turn: its axis times its angle, radians (3,), in the body's axes."""

STILL: Turn = np.zeros(3)


def across(a: Array, c: Array) -> Array:
    """The cross product of vectors (.., 3): numpy's own takes ten times as long for single ones."""
    one, other = [1, 2, 0], [2, 0, 1]
    found: Array = a[..., one] * c[..., other] - a[..., other] * c[..., one]
    return found


def quaternion(turn: Turn) -> Array:
    """The unit quaternion (4,), its own part first, of a turn."""
    angle = float(np.linalg.norm(turn))
    # sin(a / 2) / a at 0 is a half
    part = 0.5 * np.sinc(angle / (2.0 * np.pi))
    return np.concatenate([[np.cos(angle / 2.0)], part * turn])


def vector(q: Array) -> Turn:
    """The turn of a unit quaternion (4,), of at most half a circle."""
    q = q if q[0] >= 0.0 else -q
    size = float(np.linalg.norm(q[1:]))
    found: Turn = q[1:] * (2.0 * np.arctan2(size, q[0]) / size if size > 1e-12 else 2.0)
    return found


def then(first: Turn, second: Turn) -> Turn:
    """One turn for two, one after the other."""
    return vector(product(quaternion(second), quaternion(first)))


def product(p: Array, q: Array) -> Array:
    """The quaternion (4,) that turns first by q, then by p."""
    own = p[0] * q[0] - p[1:] @ q[1:]
    return np.concatenate([[own], p[0] * q[1:] + q[0] * p[1:] + across(p[1:], q[1:])])


def turned(q: Array, points: Array) -> Array:
    """Points (.., 3) turned by unit quaternions (.., 4)."""
    v, own = q[..., 1:], q[..., :1]
    twice = 2.0 * across(v, points)
    found: Array = points + own * twice + across(v, twice)
    return found


def about(a: Array, c: Array) -> Turn:
    """The smallest turn that brings direction a to direction c; not for opposite ones."""
    a, c = a / np.linalg.norm(a), c / np.linalg.norm(c)
    square = across(a, c)
    sine = float(np.linalg.norm(square))
    angle = np.arctan2(sine, float(a @ c))
    found: Turn = square * (angle / sine if sine > 1e-12 else 1.0)
    return found


def motions(
    joints: Mapping[str, Array], turns: Mapping[str, Turn]
) -> tuple[dict[str, Array], dict[str, Array]]:
    """By bone, how it is turned (4,) and where its joint comes (3,).

    joints: where bones begin, cm. turns: bone -> its own turn; what hangs from it goes along. The
    pelvis turns about its joint, which stays.
    """
    turn = {"pelvis": quaternion(turns.get("pelvis", STILL))}
    place = {"pelvis": joints["pelvis"]}
    for bone, parent in PARENT.items():
        place[bone] = place[parent] + turned(turn[parent], joints[bone] - joints[parent])
        # the own part of a turn of less than half a circle is over 0: neighbours are of one sign
        turn[bone] = product(quaternion(turns.get(bone, STILL)), turn[parent])
    return turn, place


def skinned(
    points: Array,
    bones: tuple[str, ...],
    weights: Array,
    joints: Mapping[str, Array],
    turns: Mapping[str, Turn],
) -> tuple[Array, dict[str, Array]]:
    """Points (n, 3) and joints after bones are turned, cm.

    weights: (n, bones), how much each point goes with each bone, 1 in sum. joints, turns: see
    :func:`motions`.
    """
    turn, place = motions(joints, turns)
    both = np.empty((len(bones), 8))
    for k, bone in enumerate(bones):
        q = turn[bone]
        shift = place[bone] - turned(q, joints[bone])
        both[k, :4] = q
        both[k, 4:] = 0.5 * product(np.concatenate([[0.0], shift]), q)
    mixed = weights @ both
    size = np.linalg.norm(mixed[:, :4], axis=1, keepdims=True)
    q, d = mixed[:, :4] / size, mixed[:, 4:] / size
    shift = 2.0 * (q[:, :1] * d[:, 1:] - d[:, :1] * q[:, 1:] + across(q[:, 1:], d[:, 1:]))
    return turned(q, points) + shift, place
