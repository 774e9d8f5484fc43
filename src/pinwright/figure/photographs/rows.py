"""Where the figure has what was marked, as the same camera sees it, and how that moves with it.

The figure is read just as the photograph is: projected, and scaled by its own crown and floor, so
that what perspective does to the scale does it to both. A landmark is its vertex. A place of the
profile is the vertex of the trunk that stands out furthest between two levels; the waist in front
is the outline at the level of the waist, and its hollow behind the level of the back where the
outline stands out least.

Nobody stands twice with the same lean; how the whole client leans over her ankles in a photograph
is not held against her posture: :func:`asked` and :func:`readings` leave it open (to LEAN), as if
it were one number more, found together with the rest. Nor are her feet set apart as the figure's
are: of a knee is asked how far it lies off the line from hip to ankle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import atan, degrees, radians, sqrt, tan

import numpy as np

from pinwright.figure.body.model import Array
from pinwright.figure.fitting.rows import Reading, combined
from pinwright.figure.fitting.wanted import Wanted
from pinwright.figure.photographs.marks import Spot
from pinwright.figure.photographs.places import ARMS, LEGS, PROFILE, paired
from pinwright.figure.photographs.profile import place
from pinwright.figure.photographs.sight import Eye, Ruler, eye, ruler

ARM = 1.5
"""How near the height of an arm's landmark tells it, cm: a bent arm is higher."""

LEAN = 1.5
"""So many degrees a client leans over her ankles one way or the other (a standard deviation; common
practice: she sways, and stands straighter before a lens)."""

MISPLACED = 3.0
"""A mark further off than this, cm, was put at the wrong place (common practice: by hand landmarks
are found to 1 to 2 cm)."""

WAYS = ("across", "up")


def plain(points: Array, spots: Sequence[Spot]) -> dict[str, Reading]:
    """Where the figure has every spot, cm, by the spot's keys; the lean is left in.

    points: the surface (n, 3), cm, of the open body's vertices.
    """
    found: dict[str, Reading] = {}
    known: dict[int, tuple[Eye, Ruler]] = {}
    for spot in spots:
        if spot.photograph not in known:
            sight = eye(points, spot.camera, spot.origin)
            known[spot.photograph] = sight, ruler(sight, spot.origin)
        sight, rule = known[spot.photograph]
        both = rule.read(*place(sight, spot.name))
        for way, r in zip(WAYS, both, strict=True):
            found[spot.key(way)] = r
    return found


def readings(points: Array, spots: Sequence[Spot]) -> dict[str, Reading]:
    """What the figure has of :func:`asked`, under the same keys; the lean is left open."""
    every = plain(points, spots)
    found = {key: every[key] for key, _, _ in _rows(spots)}
    for key, parts in _bows(spots).items():
        found[key] = combined(*((w, every[s.key("across")]) for w, s in parts))
    for some in _leaning(spots):
        by = [found[s.key("across")] for s in some]
        for s, share in zip(some, _freed(some), strict=True):
            pairs = [(float(w), r) for w, r in zip(share, by, strict=True)]
            found[s.key("across")] = combined(*pairs)
    return found


def asked(spots: Sequence[Spot]) -> tuple[Wanted, ...]:
    """What the photographs ask of the figure, cm: for the fit beside the measures.

    Heights of landmarks; how far across those of the trunk, and places of the profile, lie; how far
    knees lie off the line from hip to ankle, to her left.
    """
    value = {key: v for key, v, _ in _rows(spots)}
    for some in _leaning(spots):
        across = np.array([s.across for s in some])
        for s, v in zip(some, _freed(some) @ across, strict=True):
            value[s.key("across")] = float(v)
    found = [_doubtful(key, value[key], error) for key, _, error in _rows(spots)]
    for key, parts in _bows(spots).items():
        error = sqrt(sum((w * s.error) ** 2 for w, s in parts))
        found.append(_doubtful(key, sum(w * s.across for w, s in parts), error))
    return tuple(found)


def _doubtful(key: str, value: float, error: float) -> Wanted:
    return Wanted(key, value, error, given=False, doubtful=True)


def leans(points: Array, spots: Sequence[Spot]) -> dict[int, float]:
    """How far the client leans beyond the figure, by photograph, degrees: across is positive.

    What is least at odds with her marks, leaning being as unlikely as LEAN has it.
    """
    every = plain(points, spots)
    found: dict[int, float] = {}
    for some in _leaning(spots):
        up, e = np.array([s.up for s in some]), some[0].error
        off = np.array([s.across - every[s.key("across")].value for s in some])
        found[some[0].photograph] = degrees(
            atan(float(up @ off) / (float(up @ up) + (e / tan(radians(LEAN))) ** 2))
        )
    return found


def misplaced(points: Array, spots: Sequence[Spot]) -> list[tuple[Spot, float]]:
    """Marks that lie far from where the measures and the other marks put them, cm, furthest first.

    Feet and arms, of which the photographs tell little, are judged by their height alone.
    """
    every, lean = plain(points, spots), leans(points, spots)
    found = []
    for s in spots:
        name, _ = paired(s.name)
        way = []
        if name not in PROFILE:
            way.append(s.up - every[s.key("up")].value)
        if _tells_across(s):
            slant = tan(radians(lean.get(s.photograph, 0.0))) * s.up
            way.append(s.across - every[s.key("across")].value - slant)
        far = float(np.linalg.norm(way)) if way else 0.0
        if far > MISPLACED + (ARM if name in ARMS else 0.0):
            found.append((s, far))
    return sorted(found, key=lambda pair: -pair[1])


def _rows(spots: Sequence[Spot]) -> Iterator[tuple[str, float, float]]:
    """Of each value that is asked: its key, the value as marked, and how near it tells it."""
    for s in spots:
        name, _ = paired(s.name)
        if name not in PROFILE:
            yield s.key("up"), s.up, max(s.error_up, ARM) if name in ARMS else s.error_up
        if _tells_across(s):
            yield s.key("across"), s.across, s.error


def _bows(spots: Sequence[Spot]) -> dict[str, list[tuple[float, Spot]]]:
    """By key, the weighted spots whose sum across is how far a knee lies off its leg's line."""
    at = {(s.photograph, s.name): s for s in spots}
    found: dict[str, list[tuple[float, Spot]]] = {}
    for s in spots:
        name, side = paired(s.name)
        hip, ankle = (at.get((s.photograph, f"{k}_{side}")) for k in ("side_hip", "ankle_bone"))
        if name == "knee" and hip is not None and ankle is not None:
            part = (s.up - ankle.up) / (hip.up - ankle.up)
            found[s.key("bow")] = [(1.0, s), (-part, hip), (part - 1.0, ankle)]
    return found


def _tells_across(spot: Spot) -> bool:
    return paired(spot.name)[0] not in (*ARMS, *LEGS)


def _leaning(spots: Sequence[Spot]) -> Iterator[list[Spot]]:
    """By photograph, the spots that tell across."""
    for number in dict.fromkeys(s.photograph for s in spots):
        some = [s for s in spots if s.photograph == number and _tells_across(s)]
        if some:
            yield some


def _freed(some: Sequence[Spot]) -> Array:
    """(k, k): what makes values across as unsure as they are once the lean is open.

    With error e for each and the lean's l along up (k,), their covariance is e² 1 + l² up upᵀ;
    this is e times its root's inverse, so that each value keeps the error e (generalised least
    squares; Aitken 1936, from memory).
    """
    up, e = np.array([s.up for s in some]), some[0].error
    size = float(np.linalg.norm(up))
    unit = up / size
    part = 1.0 - e / sqrt(e**2 + (tan(radians(LEAN)) * size) ** 2)
    found: Array = np.eye(len(some)) - part * np.outer(unit, unit)
    return found
