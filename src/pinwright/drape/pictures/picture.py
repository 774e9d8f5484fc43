"""A whole picture of a hung garment by one quantity: its sides on one floor, legend and cautions.

To see several quantities, look once (:func:`look_at`) and picture each (:func:`picture`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pinwright.drape.data import Array
from pinwright.drape.pictures.coloured import PAPER, coloured
from pinwright.drape.pictures.legend import LETTERS, SIGNS, bands, bar, signs, worst_list
from pinwright.drape.pictures.looked import Looked, frames, looked, outwards
from pinwright.drape.pictures.marks import (
    Label,
    beside,
    boxed,
    edges,
    folds,
    free_place,
    level,
    outlines,
    steps,
)
from pinwright.drape.pictures.scale import TITLES, Colours, Quantity, Scale, scale_of
from pinwright.drape.pictures.shown import Shown, Spot, hem, lowest, worst
from pinwright.drape.surfaces import normals
from pinwright.figure.picture_parts import BETWEEN, LEADER, LINE, NAMED, THIN, columns, spread
from pinwright.figure.pictures import SIDES
from pinwright.figure.shadow import Side, flat
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.sheets.ink import Drawing, Mark, Words, bounds, line, moved
from pinwright.sheets.lettering import wrapped

SHARP = 2
"""So many points of colour to one of the picture, each way."""

HIGH = 900
"""How high the body stands in a picture for a screen, points."""

ROUND = 10.0
"""So far over and under a spot, cm, it is seen where its panel lies."""

HALF = 0.5
"""A letter stands only where it is at least so much of what the place has in the mean."""

LETTER = 13.0
"""The size of letters there, points."""


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """Points of colour (high, wide, 3), ``per_cm`` to the cm, their left upper corner at ``left``,
    ``top`` cm, and what is drawn over them, cm; the floor is at 0. Title and words tell it to
    those who do not see it."""

    pixels: Colours
    left: float
    top: float
    per_cm: float
    marks: Drawing
    title: str
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class LookedAt:
    """A hung garment looked at from sides, at ``per_cm`` points of colour to the cm.

    out: (n, 3) the way its right side faces at each vertex.
    """

    shown: Shown
    looks: tuple[Looked, ...]
    per_cm: float
    out: Array


def look_at(shown: Shown, sides: Sequence[Side] = SIDES, high: int = HIGH) -> LookedAt:
    """Look from each side, the body ``high`` points high in the picture."""
    turned = outwards(shown.hung)
    hung = replace(shown.hung, body=shown.body)
    z = np.concatenate([hung.body.points, hung.points])[:, 2]
    per_cm = SHARP * high / float(z.max() - min(0.0, z.min()))
    looks = [
        looked(hung, side, frame, turned)
        for side, frame in zip(sides, frames(hung, sides, per_cm), strict=True)
    ]
    out = normals(shown.hung.points, turned)
    return LookedAt(shown, tuple(looks), per_cm, out)


def picture(
    seen: LookedAt,
    quantity: Quantity,
    unit: LengthUnit = "cm",
    letter: float | None = None,
    legend: bool = True,
) -> Picture:
    """The sides in a row, coloured by a quantity.

    letter: the size of letters, cm of the body; left out, LETTER points of a screen. legend: with
    bands, signs, worst places and cautions under it; without, only the views.
    """
    shown, k = seen.shown, seen.per_cm
    scale = scale_of(quantity, unit)
    size = LETTER * SHARP / k if letter is None else letter
    values = np.asarray(shown.fields[quantity], dtype=float)
    lettered = list(zip(LETTERS, worst(shown.places, quantity), strict=False))
    where = _placed(seen, quantity)
    marks: list[Mark] = []
    over: list[Mark] = []
    tiles: list[tuple[int, Colours]] = []
    gap = round(BETWEEN * 0.6 * size * k)
    at = 0
    for number, look in enumerate(seen.looks):
        f = look.frame
        dx = at / k - f.left
        taken: list[Array] = []
        labels: list[Label] = []
        # above the side's name
        low = lowest(shown) + 0.1 * size
        signed: list[Mark] = [*folds(look, shown.folds, size, taken, labels, low)]
        for (key, place), spots in zip(lettered, where, strict=True):
            spot = spots[number]
            if spot is not None:
                order = _lies(shown, place, spot, look)
                at_ = free_place(spot, order, labels, taken, size, low)
                labels.append(Label(at_, order))
                taken.append(at_)
                signed += boxed(at_, key, size)
        drawn = (*edges(look, shown, size), *steps(look, values, scale, size, taken))
        marks += moved((*outlines(look, size), *drawn), dx, 0.0)
        over += moved((*signed, *beside(look, shown, size)), dx, 0.0)
        for _, z in shown.body_levels:
            marks += moved(
                level(look, z, size, gap / k if number + 1 < len(seen.looks) else 0.0), dx, 0.0
            )
        tiles.append((at, coloured(look, values, scale)))
        at += f.wide + gap
    high = seen.looks[0].frame.high
    top = seen.looks[0].frame.top
    wide = (at - gap) / k
    marks.append(line((0.0, 0.0), (wide, 0.0), weight=2.0 * THIN * size, role="drape floor"))
    marks += over
    around, boxes = _around(shown, scale, unit, (wide, top), size, legend, _hidden(where))
    whole = (*marks, *around)
    x0, y0, x1, y1 = bounds(whole)
    edge = 0.6 * size
    left = -_points(-min(x0, 0.0) + edge, k)
    up = _points(max(y1 - top, 0.0) + edge, k)
    across = _points(max(x1, wide) + edge - left, k)
    down = _points(top + up - y0 + edge, k)
    pixels = np.full((round(down * k), round(across * k), 3), PAPER, dtype=np.uint8)
    for start, tile in tiles:
        j, i = start + round(-left * k), round(up * k)
        pixels[i : i + high, j : j + tile.shape[1]] = tile
    colours = scale.colours
    for box, band in boxes:
        (ax, ay), (bx, by) = box[0], box[2]
        rows = slice(round((top + up - by) * k), round((top + up - ay) * k))
        pixels[rows, round((ax - left) * k) : round((bx - left) * k)] = colours[band]
    title = f"{shown.garment}: {TITLES[quantity].lower()}"
    return Picture(pixels, left, top + up, k, whole, title, _told(shown, scale, unit, seen.looks))


def _lies(shown: Shown, place: Spot, spot: Array, look: Looked) -> float:
    """Where from left to right the panel lies about a spot on which a place is, cm: places that
    meet at a seam are most at the same point of it."""
    shell = shown.hung.shell
    mine = max(shell.vertices, key=lambda v: int(np.isin(place.vertices, v).sum()))
    at = flat(shown.hung.points[mine], look.side)
    near = np.abs(at[:, 1] - spot[1]) < ROUND
    return float(at[near if near.any() else slice(None), 0].mean())


def extent(
    seen: LookedAt, quantity: Quantity, unit: LengthUnit, letter: float
) -> tuple[float, float]:
    """How wide and high a picture with its legend is, cm of the body, without picturing it."""
    gap = round(BETWEEN * 0.6 * letter * seen.per_cm)
    wide = sum(look.frame.wide + gap for look in seen.looks) - gap
    room = (wide / seen.per_cm, seen.looks[0].frame.top)
    hidden = _hidden(_placed(seen, quantity))
    around, _ = _around(seen.shown, scale_of(quantity, unit), unit, room, letter, True, hidden)
    x0, y0, x1, y1 = bounds(around)
    return max(x1, room[0]) - min(x0, 0.0), y1 - y0


def _around(
    shown: Shown,
    scale: Scale,
    unit: LengthUnit,
    room: tuple[float, float],
    size: float,
    legend: bool,
    hidden: Sequence[bool],
) -> tuple[Drawing, list[tuple[Array, int]]]:
    """What stands round views that take ``room`` (width, height over the floor) cm, and the boxes
    of the legend with the band each is to be filled with. hidden: which of the worst places no
    side shows."""
    marks = _levels(shown.body_levels, room[0], unit, size)
    if not legend:
        return tuple(marks), []
    marks += _title(shown, scale, room[1], size)
    places = worst(shown.places, scale.quantity)
    below, boxes = _below(shown, scale, unit, places, hidden, room[0], size)
    return (*marks, *below), boxes


def _points(cm: float, per_cm: float) -> float:
    """A length made a whole number of points of the picture, cm."""
    return float(np.ceil(cm * per_cm / SHARP) * SHARP / per_cm)


def _title(shown: Shown, scale: Scale, top: float, size: float) -> Drawing:
    pose = "" if shown.hung.pose == "standing" else f", {shown.hung.pose.replace('-', ' ')}"
    cloth = f" ({shown.hung.cloth})" if shown.hung.cloth else ""
    text = f"{shown.garment[:1].upper()}{shown.garment[1:]}{cloth}{pose}: {TITLES[scale.quantity]}"
    at = np.array([0.0, top + 0.8 * size])
    return (Words(at, text, 1.35 * size, bold=True, role="drape title"),)


def _levels(
    levels: Sequence[tuple[str, float]], wide: float, unit: LengthUnit, size: float
) -> list[Mark]:
    """The heights of the body's levels beside the last view, one under the other."""
    if not levels:
        return []
    marks: list[Mark] = []
    labels = [(who, said(z, unit)) for who, z in levels]
    names, figures = columns(labels)
    start = wide + LEADER * size
    end = start + (names + figures) * size
    for (who, height), (_, z), y in zip(
        labels, levels, spread([z for _, z in levels], LINE * size), strict=True
    ):
        ends = ((wide + 0.2 * size, z), (start - 0.8 * size, y), (start - 0.3 * size, y))
        marks.append(line((wide, z), *ends, weight=THIN * size, role="drape leader"))
        base = y - 0.35 * size
        marks.append(Words(np.array([start, base]), who, size, role="drape words"))
        marks.append(Words(np.array([end, base]), height, size, anchor="end", role="drape words"))
    return marks


def _below(
    shown: Shown,
    scale: Scale,
    unit: LengthUnit,
    places: Sequence[Spot],
    hidden: Sequence[bool],
    wide: float,
    size: float,
) -> tuple[Drawing, list[tuple[Array, int]]]:
    """Legend, signs, worst places, scale bar and cautions, from under the sides' names down."""
    y = lowest(shown) - 3.0 * size
    marks, boxes, broad = bands(scale, np.array([0.0, y]), size)
    found: list[Mark] = [*marks, *bar(np.array([0.4 * size, y - 6.2 * size]), unit, size)]
    there = ["step"]
    there += ["fold"] if shown.folds else []
    there += ["place"] if places else []
    there += ["hem"] if hem(shown.hung) else []
    there += ["seam"] if shown.hung.shell.seams else []
    there += ["plumb"] if shown.plumbs else []
    column = broad + 2.5 * size
    found += signs(np.array([column, y]), size, there)
    deep = max(8.4, 1.7 * len(places) + 0.8)
    if places:
        at = np.array([column + SIGNS * size, y])
        found += worst_list(places, scale, unit, at, size, hidden)[0]
    y -= deep * size
    room = max(wide, column + SIGNS * size)
    for text in shown.cautions:
        for part in wrapped(text, size, room, bold=text is shown.cautions[0]):
            y -= 1.35 * size
            bold = text == shown.cautions[0]
            found.append(Words(np.array([0.0, y]), part, size, bold=bold, role="drape caution"))
    return tuple(found), boxes


def _placed(seen: LookedAt, quantity: Quantity) -> list[list[Array | None]]:
    """Where each of the worst places is lettered in each view: where it is most of what any view
    shows of it, in the view it faces; nowhere where no view shows a point that is half as bad."""
    points = seen.shown.hung.points
    field = np.nan_to_num(seen.shown.fields[quantity])
    found: list[list[Array | None]] = []
    for p in worst(seen.shown.places, quantity):
        value = p.value(quantity)
        much = field[p.vertices] * np.sign(value)
        mine = p.vertices[np.argsort(-much)][: int((much >= HALF * abs(value)).sum())]
        shows = np.stack([look.seen(points[mine]) for look in seen.looks])
        spots: list[Array | None] = [None] * len(seen.looks)
        if shows.any():
            first = int(np.argmax(shows.any(axis=0)))
            at = mine[first]
            faced = [
                float(flat(seen.out[at], look.side)[2]) if shows[k, first] else -np.inf
                for k, look in enumerate(seen.looks)
            ]
            k = int(np.argmax(faced))
            spots[k] = flat(points[at], seen.looks[k].side)[:2]
        found.append(spots)
    return found


def _hidden(where: Sequence[Sequence[Array | None]]) -> list[bool]:
    """Which of the places that were to be lettered no view shows."""
    return [all(spot is None for spot in spots) for spots in where]


def _told(shown: Shown, scale: Scale, unit: LengthUnit, looks: Sequence[Looked]) -> str:
    """The picture in words, for those who do not see it."""
    sides = ", ".join(NAMED[look.side].lower() for look in looks)
    words = [f"{TITLES[scale.quantity]} of the {shown.garment} on the body, seen from: {sides}."]
    most = worst(shown.places, scale.quantity)
    if most:
        told_ = "; ".join(f"{p.title} {p.words(scale.quantity, unit)}" for p in most)
        words.append(f"It is most at: {told_}.")
    if shown.folds:
        some = "; ".join(f"{k} {f.words}" for k, f in enumerate(shown.folds, 1))
        words.append(f"Folds: {some}.")
    return " ".join((*words, *shown.cautions))
