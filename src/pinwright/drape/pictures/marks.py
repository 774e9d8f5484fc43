"""What is drawn over the colours of one side: outlines, steps with numbers, folds, places, plumb.

Everything is in cm of the picture, the floor at 0; sizes go by that of the letters. Lines are told
apart by width and dashes alone, so that they hold in black and white.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pinwright.drape.data import Array
from pinwright.drape.pictures.coloured import contours, rims
from pinwright.drape.pictures.looked import BODY as BARE
from pinwright.drape.pictures.looked import NOTHING, Looked, runs
from pinwright.drape.pictures.scale import Scale
from pinwright.drape.pictures.shown import FoldLine, Shown, hem, lowest
from pinwright.figure.picture_parts import DASH, DASH_DOT, NAMED, THIN
from pinwright.figure.shadow import flat
from pinwright.sheets.ink import Drawing, Mark, Stroke, Words, circle, line
from pinwright.sheets.lettering import width_of

CLOTH, BODY, STEP, HEM, FOLD = 0.12, 0.05, 0.06, 0.18, 0.22
"""Widths of lines as parts of the letters' size."""

SMALL = 0.85
"""Letters of the numbers on steps, as a part of the others."""

SHORT, LABELLED, APART = 1.2, 4.0, 2.1
"""Steps shorter than the first are not drawn, from the second on they are numbered, with their
numbers no nearer to others than the third; in sizes of letters."""

PARTS = (0.5, 0.38, 0.62, 0.26, 0.74, 0.14, 0.86, 0.06, 0.94)
"""Where along a step its number may stand, the first that is free."""

PLAIN = 0.03
"""How far a drawn line may leave the line found, cm."""


APART_BY, ABOUT = 1.55, 6.0
"""So far apart, level or upright, in sizes of letters, labels do not cover each other; those nearer
than the second keep their order from left to right."""


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """A number or letter on a picture: where it stands (2,), and where from left to right what it
    is of lies, cm."""

    at: Array
    order: float


def free_place(
    spot: Array,
    order: float,
    labels: Sequence[Label],
    lines: Sequence[Array],
    letter: float,
    low: float,
) -> Array:
    """A place (2,) for a label as near as can be to a spot, not under ``low``.

    It covers no other label, stands on its own place's side of the spot and left of those whose
    places lie right of its own, and, where it can, off lines (2,) points that are drawn.
    """
    ways = np.linspace(0.0, 2.0 * np.pi, 16, endpoint=False)
    around = np.stack([np.cos(ways), np.sin(ways)], axis=1)
    steps_ = [spot[None], *(spot + r * letter * around for r in np.arange(1.0, 8.0, 0.5))]
    places = np.concatenate(steps_)
    places = np.maximum(places, [-np.inf, low])
    # to the side of the spot where its own place lies
    fits = (places[:, 0] - spot[0]) * np.sign(order - spot[0]) >= -1e-9
    for other in labels:
        step = places - other.at
        fits &= np.abs(step).max(axis=1) >= APART_BY * letter
        if np.abs(spot - other.at).max() < ABOUT * letter:
            fits &= step[:, 0] * np.sign(order - other.order) >= -1e-9
    clear = fits.copy()
    for point in lines:
        clear &= np.hypot(*(places - point).T) > 1.4 * letter
    for good in (clear, fits):
        if good.any():
            found: Array = places[int(np.argmax(good))]
            return found
    return spot


def outlines(look: Looked, letter: float) -> Drawing:
    """Body thin, cloth thicker, where either ends in the picture."""
    found: list[Mark] = []
    for where, weight, role in (
        (look.kind != NOTHING, BODY, "drape body"),
        (look.cloth, CLOTH, "drape cloth"),
    ):
        chains = tuple(_plain(c) for c in rims(where, look.frame) if len(c) > 4)
        if chains:
            found.append(Stroke(chains, weight * letter, role=role))
    return tuple(found)


def steps(look: Looked, values: Array, scale: Scale, letter: float, taken: list[Array]) -> Drawing:
    """The lines between the bands, with their numbers where there is room.

    taken: where numbers stand already (2,); those of the steps are added.
    """
    lines: list[Mark] = []
    words: list[Mark] = []
    found = [(k, c, _long(c)) for k, c in contours(look, values, scale)]
    for k, chain, long in sorted(found, key=lambda f: -f[2]):
        if long < SHORT * letter:
            continue
        chain = _plain(chain)
        lines.append(Stroke((chain,), STEP * letter, role="drape step"))
        if long < LABELLED * letter:
            continue
        for part in PARTS:
            at = _along(chain, part * _long(chain))
            if all(float(np.hypot(*(at - t))) > APART * letter for t in taken):
                taken.append(at)
                base = at - [0.0, 0.3 * SMALL * letter]
                words.append(
                    Words(
                        base,
                        scale.labels[k],
                        SMALL * letter,
                        anchor="middle",
                        halo=True,
                        role="drape number",
                    )
                )
                break
    return (*lines, *words)


def edges(look: Looked, shown: Shown, letter: float) -> Drawing:
    """Hems bold, seams thin and dotted."""
    found: list[Mark] = []
    hung = shown.hung
    seams = [hung.points[v] for v in hung.shell.seams.values() if len(v) > 1]
    dotted = (0.12 * letter, 0.3 * letter)
    for chains, weight, dash, role in (
        (seams, THIN, dotted, "drape seam"),
        (hem(hung), HEM, (), "drape hem"),
    ):
        seen = tuple(_plain(part) for c in chains for part in look.stretches(c))
        if seen:
            found.append(Stroke(seen, weight * letter, dash, role=role))
    return tuple(found)


def folds(
    look: Looked,
    some: Sequence[FoldLine],
    letter: float,
    taken: list[Array],
    labels: list[Label],
    low: float,
) -> Drawing:
    """Folds as bold lines, a tick across the deeper end, their numbers in rings at the other.

    labels: those that stand already, the numbers are added; none is put under ``low``, cm.
    """
    found: list[Mark] = []
    over: list[Mark] = []
    for number, fold in enumerate(some, 1):
        parts = look.stretches(fold.points)
        if not parts:
            continue
        found.append(Stroke(tuple(_plain(p) for p in parts), FOLD * letter, role="drape fold"))
        for part in parts:
            long = _long(part)
            taken += [_along(part, v) for v in np.arange(0.0, long, 2.0 * letter)]
        deep = flat(fold.points, look.side)[-1, :2]
        last = parts[-1]
        if np.hypot(*(last[-1] - deep)) < letter:
            way = last[-1] - last[max(0, len(last) - 5)]
            across = np.array([-way[1], way[0]]) / max(float(np.hypot(*way)), 1e-9)
            reach = 0.8 * letter * across
            ends = (last[-1] - reach, last[-1] + reach)
            found.append(line(*ends, weight=FOLD * letter, role="drape fold"))
        first = max(parts, key=len)
        way = first[0] - first[min(4, len(first) - 1)]
        at = first[0] + 0.8 * letter * way / max(float(np.hypot(*way)), 1e-9)
        order = float(at[0])
        at = free_place(at, order, labels, (), letter, low)
        labels.append(Label(at, order))
        taken.append(at)
        over += ringed(at, str(number), letter)
    return (*found, *over)


def ringed(at: Array, text: str, letter: float) -> Drawing:
    """A number in a ring."""
    wide = max(0.72 * letter, 0.5 * width_of(text, SMALL * letter, True) + 0.25 * letter)
    return (
        circle(at, wide, THIN * letter, 1.0, "drape mark"),
        Words(
            at - [0.0, 0.3 * letter],
            text,
            SMALL * letter,
            bold=True,
            anchor="middle",
            role="drape mark",
        ),
    )


def boxed(at: Array, text: str, letter: float) -> Drawing:
    """A letter in a box."""
    half = 0.66 * letter
    box = at + half * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    return (
        Stroke((box,), 1.6 * THIN * letter, closed=True, fill=1.0, role="drape mark"),
        Words(
            at - [0.0, 0.34 * letter],
            text,
            0.95 * letter,
            bold=True,
            anchor="middle",
            role="drape mark",
        ),
    )


def beside(look: Looked, shown: Shown, letter: float) -> Drawing:
    """Plumb, and the side's name under the floor and under a hem that hangs lower."""
    found: list[Mark] = []
    f = look.frame
    middle = f.left + f.wide / f.per_cm / 2.0
    if look.side in shown.plumbs:
        x, high = shown.plumbs[look.side]
        dash = tuple(d * letter for d in DASH_DOT)
        for a, b in _free(look, np.array([x, 0.0]), np.array([x, high + 0.6 * letter])):
            found.append(line(a, b, weight=THIN * letter, dash=dash, role="drape plumb"))
        found.append(
            line((x, 0.0), (x, -0.4 * letter), weight=BODY * 2 * letter, role="drape plumb")
        )
    found.append(
        Words(
            np.array([middle, lowest(shown) - 1.5 * letter]),
            NAMED[look.side],
            letter,
            bold=True,
            anchor="middle",
            role="drape words",
        )
    )
    return tuple(found)


def level(look: Looked, z: float, letter: float, over: float) -> Drawing:
    """A level of the body across the frame and ``over`` cm on, behind the cloth."""
    f = look.frame
    ends = (np.array([f.left, z]), np.array([f.left + f.wide / f.per_cm + over, z]))
    dash = tuple(d * letter for d in DASH)
    return tuple(
        line(a, b, weight=THIN * letter, dash=dash, role="drape level")
        for a, b in _free(look, *ends)
    )


def _free(look: Looked, a: Array, b: Array) -> list[tuple[Array, Array]]:
    """The stretches of a straight line of the picture that are not on cloth."""
    f = look.frame
    count = max(2, int(np.hypot(*(b - a)) * f.per_cm))
    at = a + np.linspace(0.0, 1.0, count)[:, None] * (b - a)
    j = np.clip(((at[:, 0] - f.left) * f.per_cm).astype(int), 0, f.wide - 1)
    i = np.clip(((f.top - at[:, 1]) * f.per_cm).astype(int), 0, f.high - 1)
    outside = at[:, 0] > f.left + f.wide / f.per_cm
    free = (look.kind[i, j] <= BARE) | outside
    return [(at[p], at[q - 1]) for p, q in runs(free) if q - p > 1]


def _plain(chain: Array) -> Array:
    found: Array = shapely.get_coordinates(shapely.LineString(chain).simplify(PLAIN))
    return found


def _long(chain: Array) -> float:
    return float(np.linalg.norm(np.diff(chain, axis=0), axis=1).sum())


def _along(chain: Array, far: float) -> Array:
    at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(chain, axis=0), axis=1))])
    return np.array([np.interp(far, at, chain[:, k]) for k in range(2)])
