"""Where the joints of a figure lie, found from its surface, and the axes garments are put round.

The open body has its joints beside its vertices; a client's figure is a surface only, for posture
and the last correction move vertices alone. So each joint is a fixed sum of the vertices that lie
round it, 1 in all: such a sum goes along when what it is made of is moved, turned or swollen. The
shares are those by which the joints of :data:`BODIES` bodies of chance shapes, stood, come out
with the least squares, held small (ridge: Hoerl & Kennard 1970, "Ridge regression: biased
estimation for nonorthogonal problems", Technometrics 12(1)), so that no vertex decides alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pinwright.figure.body.model import AGE, GENERAL, Array, Body, Whole, body, mean, mixed
from pinwright.figure.body.standing import PARENT, hanging, posed, stood_mean
from pinwright.figure.fitting.shape import BOTH, SINGLE
from pinwright.figure.landmarks import mirrored, vertices

BODIES = 100
"""Of so many bodies the shares are learnt."""

ROUND = 3.0
"""Vertices within so many times the distance of the nearest one lie round a joint."""

MOST = 200
"""So many vertices at most are taken for a joint."""

HELD = 0.4
"""How far shares are held small: the root of the ridge, cm."""

USUAL: Mapping[str, float] = {
    "height": 0.12,
    "weight": 0.2,
    "muscle": 0.2,
    "cup": 0.3,
    "proportions": 0.25,
}
"""How far the general numbers of those bodies lie from the mean woman's, usually. Height as women's
does, by 8 cm: far from the mean the open body's own knee joint leaves its knee."""

PLACE = 0.3
"""How far the changes of single places do."""

LIMBS: Mapping[str, tuple[str, ...]] = {
    f"{limb} {side}": tuple(f"{bone}_{side}" for bone in bones)
    for limb, bones in (
        ("leg", ("thigh", "shin", "foot")),
        ("arm", ("upper_arm", "forearm", "hand")),
    )
    for side in ("left", "right")
}
"""Limb -> the joints along its axis: hip, knee, ankle; shoulder, elbow, wrist."""

TRUNK = ("fork", "hip", "waist", "bust", "neck")
"""Where the trunk's axis has its points, from below."""


@dataclass(frozen=True, slots=True, eq=False)
class _Shares:
    """Of each joint of the open body, in its order: vertices (k,) and their shares (k,)."""

    at: tuple[Whole, ...]
    share: tuple[Array, ...]


def joints(points: Array) -> dict[str, Array]:
    """The joints (3,) of a figure (n, 3), cm, by the names of the open body's.

    Of the figure as it stands. In another pose, where a joint is bent, they are in the middle of
    the limb there rather than where it turns.
    """
    by = _shares()
    return {
        name: share @ points[at]
        for name, at, share in zip(body().joints, by.at, by.share, strict=True)
    }


def limb_axes(points: Array, at: Mapping[str, Array] | None = None) -> dict[str, Array]:
    """The lines (k, 3), cm, round which garments lie, of a figure (n, 3).

    at: its joints where they are known (:class:`pinwright.figure.poses.Posed`); else they are found
    from the points, which does for upright poses.

    ``leg left``, ``leg right``: hip joint, knee, ankle. ``arm left``, ``arm right``: shoulder
    joint, elbow, wrist. ``trunk``: the points of TRUNK, from below: the crotch, then the middles of
    the body at hip, waist and bust level and at the root of the neck.
    """
    at = at or joints(points)
    found = {limb: np.stack([at[k] for k in along]) for limb, along in LIMBS.items()}
    middles = [points[ring].mean(axis=0) for ring in _rings()]
    found["trunk"] = np.stack([points[vertices()["fork"]], *middles, at["neck"]])
    return found


@lru_cache(maxsize=1)
def _rings() -> tuple[Whole, ...]:
    """The vertices round the trunk at hip, waist and bust level of the mean body.

    Evenly spread over the turn, so that where vertices lie close does not draw the middle there.
    """
    points, at = stood_mean(), vertices()
    trunk = body().arm("left") + body().arm("right") < 0.05
    found = []
    for name in ("side_hip_left", "side_waist_left", "bust_point_left"):
        level = points[at[name], 2]
        near = np.flatnonzero(trunk & (np.abs(points[:, 2] - level) < 1.5))
        # half way between front and back: the section's own middle
        centre = (points[near, :2].max(axis=0) + points[near, :2].min(axis=0)) / 2.0
        angle = np.arctan2(points[near, 0] - centre[0], points[near, 1] - centre[1])
        want = np.radians(np.arange(-172.5, 180.0, 15.0))
        gap = np.abs(np.angle(np.exp(1j * (angle[:, None] - want[None, :]))))
        found.append(near[np.argmin(gap, axis=0)])
    return tuple(found)


@lru_cache(maxsize=1)
def _shares() -> _Shares:
    b = body()
    shape = stood_mean()
    where = posed(b, mean(), hanging())[b.n :]
    every: dict[str, tuple[Whole, Array]] = {}
    # those of her right are the mirror image of those of her left
    learnt = [k for k, name in enumerate(b.joints) if not name.endswith("_right")]
    near = {k: _round(shape, where[k], _beside(b.joints[k])) for k in learnt}
    used = np.unique(np.concatenate(list(near.values())))
    bodies = _chance(used)
    for k in learnt:
        at = np.searchsorted(used, near[k])
        share = _least(bodies[:, at], bodies[:, len(used) + k])
        name = b.joints[k]
        if name.endswith("_left"):
            every[name] = near[k], share
            every[name.replace("_left", "_right")] = mirrored()[near[k]].astype(np.int64), share
        else:
            both = np.concatenate([near[k], mirrored()[near[k]].astype(np.int64)])
            every[name] = both, np.concatenate([share, share]) / 2.0
    return _Shares(
        tuple(every[name][0] for name in b.joints), tuple(every[name][1] for name in b.joints)
    )


def _beside(bone: str) -> NDArray[np.bool_]:
    """Which vertices (n,) go with a bone and those next to it: no hand counts for the hip."""
    b = body()
    near = {bone, *(k for k in b.bones if PARENT.get(k) == bone), PARENT.get(bone, bone)}
    if bone.startswith(("upper_arm", "shoulder", "clavicle")):
        near |= {"chest", "shoulders"}
    found: NDArray[np.bool_] = b.share(*near) > 0.5
    return found


def _round(points: Array, joint: Array, who: NDArray[np.bool_]) -> Whole:
    """The vertices round a joint, of those asked (n,), spread evenly where there are too many."""
    far = np.where(who, np.linalg.norm(points - joint, axis=1), np.inf)
    near = np.flatnonzero(far < ROUND * far.min())
    step = max(1, -(-len(near) // MOST))
    found: Whole = near[np.argsort(far[near])][::step]
    return found


def _chance(used: Whole) -> Array:
    """Vertices ``used``, then joints (bodies, k + j, 3), of bodies of chance shapes, stood."""
    b = body()
    rows = np.concatenate([used, np.arange(b.n, b.n + len(b.joints))])
    small: Body = replace(b, weights=b.weights[used])
    macro, less, more = (d[:, rows].astype(np.float64) for d in (b.macro, b.less, b.more))
    chance = np.random.default_rng(1)
    turns = hanging()
    names = [*SINGLE, *(f"{k}_{side}" for k in BOTH for side in ("left", "right"))]
    which = [b.places.index(name) for name in names]
    values, amounts = [], []
    for _ in range(BODIES):
        general = {g: float(chance.normal(0.5, USUAL[g])) for g in GENERAL}
        values.append(mixed(b.macros, general, AGE)[0])
        amounts.append(chance.normal(0.0, PLACE, len(names)))
    # all bodies at once: one product for each kind of change
    amount = np.array(amounts)
    shapes = np.array(values) @ macro.reshape(len(macro), -1)
    shapes += np.maximum(amount, 0.0) @ more[which].reshape(len(which), -1)
    shapes += np.maximum(-amount, 0.0) @ less[which].reshape(len(which), -1)
    stood = [b.template[rows] + shape.reshape(-1, 3) for shape in shapes]
    return np.stack([posed(small, shape, turns) for shape in stood])


def _least(vertex: Array, joint: Array) -> Array:
    """Shares (k,), 1 in sum, by which vertices (m, k, 3) come nearest to a joint (m, 3)."""
    count = vertex.shape[1]
    a = (vertex - joint[:, None]).transpose(0, 2, 1).reshape(-1, count)
    square = a.T @ a / len(a) + HELD**2 * np.eye(count)
    share = np.linalg.solve(square, np.ones(count))
    found: Array = share / share.sum()
    return found
