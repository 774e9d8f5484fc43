"""What stands under the pictures: the bands with their numbers, the signs, the worst places."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pinwright.drape.data import Array
from pinwright.drape.pictures.marks import FOLD, HEM, STEP, boxed, ringed
from pinwright.drape.pictures.scale import Scale
from pinwright.drape.pictures.shown import Spot
from pinwright.figure.picture_parts import DASH_DOT, THIN
from pinwright.measures.units import CM_PER_INCH, LengthUnit
from pinwright.sheets.ink import Drawing, Mark, Stroke, Words, line
from pinwright.sheets.lettering import width_of

SWATCH = (3.0, 1.7)
"""How wide and high a band is, in sizes of letters."""

SECOND, SIGNS = 22.0, 32.0
"""Where the second column of signs begins, and how wide both are, in sizes of letters."""

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def bands(scale: Scale, at: Array, letter: float) -> tuple[Drawing, list[tuple[Array, int]], float]:
    """The bands from (2,) to the right and down: marks, the boxes (4, 2) to be filled with the
    colour of a band, and how wide it is."""
    wide, high = SWATCH[0] * letter, SWATCH[1] * letter
    x, y = at
    marks: list[Mark] = [
        Words(at - [0.0, letter], scale.title, letter, bold=True, role="drape words")
    ]
    top = y - 1.6 * letter
    boxes = []
    for k in range(len(scale.steps) + 1):
        left = x + k * wide
        box = np.array([[0.0, -high], [wide, -high], [wide, 0.0], [0.0, 0.0]])
        box += np.array([left, top])
        boxes.append((box, k))
        marks.append(Stroke((box,), STEP * letter, closed=True, role="drape legend"))
    for k, text in enumerate(scale.labels):
        base = np.array([x + (k + 1) * wide, top - high - 1.1 * letter])
        marks.append(Words(base, text, letter, anchor="middle", role="drape words"))
    return tuple(marks), boxes, (len(scale.steps) + 1) * wide


def bar(at: Array, unit: LengthUnit, letter: float) -> Drawing:
    """A scale bar of 20 cm, or of 8 inches, from (2,) to the right and down."""
    one, steps = (10.0, 2) if unit == "cm" else (4.0 * CM_PER_INCH, 2)
    names = ("0", "20 cm") if unit == "cm" else ("0", "8 in")
    marks: list[Mark] = []
    for k in range(steps):
        box = np.array([[k, 0.0], [k + 1, 0.0], [k + 1, 0.0], [k, 0.0]]) * one
        box[2:, 1] = -0.5 * letter
        marks.append(
            Stroke(
                (box + at,),
                THIN * letter,
                closed=True,
                fill=0.0 if k % 2 == 0 else 1.0,
                role="drape bar",
            )
        )
    for k, text in enumerate(names):
        base = at + np.array([k * steps * one, -1.7 * letter])
        marks.append(Words(base, text, letter, anchor="middle", role="drape words"))
    return tuple(marks)


def signs(at: Array, letter: float, shown: Sequence[str]) -> Drawing:
    """What the lines mean, in two columns from (2,) down. shown: those that are there."""
    marks: list[Mark] = []
    for key, column, line_, text in (
        ("step", 0, 0, "a step of the scale, with its number"),
        ("fold", 0, 1, "fold, the tick at its deeper end"),
        ("place", 0, 2, "where it is most"),
        ("hem", 1, 0, "hem"),
        ("seam", 1, 1, "seam"),
        ("plumb", 1, 2, "plumb line"),
    ):
        if key not in shown:
            continue
        x, y = at[0] + column * SECOND * letter, at[1] - (1.0 + 1.7 * line_) * letter
        a, b = np.array([x, y + 0.3 * letter]), np.array([x + 3.0 * letter, y + 0.3 * letter])
        if key == "place":
            marks += boxed((a + b) / 2.0, "A", letter)
        elif key == "fold":
            marks.append(line(a, b, weight=FOLD * letter, role="drape fold"))
            tick = np.array([0.0, 0.6 * letter])
            marks.append(line(b - tick, b + tick, weight=FOLD * letter, role="drape fold"))
            marks += ringed(a, "1", letter)
        else:
            weight, dash = {
                "step": (STEP, ()),
                "hem": (HEM, ()),
                "seam": (THIN, (0.12 * letter, 0.3 * letter)),
                "plumb": (THIN, tuple(d * letter for d in DASH_DOT)),
            }[key]
            marks.append(line(a, b, weight=weight * letter, dash=dash, role="drape legend"))
        base = np.array([x + 4.0 * letter, y])
        marks.append(Words(base, text, letter, role="drape words"))
    return tuple(marks)


def worst_list(
    places: Sequence[Spot],
    scale: Scale,
    unit: LengthUnit,
    at: Array,
    letter: float,
    hidden: Sequence[bool],
) -> tuple[Drawing, float]:
    """The places that are lettered on the pictures with what was read there, and how wide.

    Of those that are ``hidden`` it is said that no side shows them: their letter stands nowhere.
    """
    marks: list[Mark] = []
    y, wide = at[1] - letter, 0.0
    for key, p, away in zip(LETTERS, places, hidden, strict=False):
        text = f"{p.title}: {p.words(scale.quantity, unit)}"
        text += " (hidden from these sides)" if away else ""
        marks += boxed(np.array([at[0] + 0.7 * letter, y + 0.34 * letter]), key, letter)
        marks.append(Words(np.array([at[0] + 2.0 * letter, y]), text, letter, role="drape words"))
        wide = max(wide, 2.0 * letter + width_of(text, letter))
        y -= 1.7 * letter
    return tuple(marks), wide
