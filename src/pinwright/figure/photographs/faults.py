"""What does not hold together in a marked photograph, one clear sentence for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise, product
from math import degrees, hypot, isfinite
from typing import TYPE_CHECKING

import numpy as np

from pinwright.errors import meant
from pinwright.figure.body.model import Array
from pinwright.figure.photographs.camera import rolled
from pinwright.figure.photographs.places import NEEDED, PLUMB, VIEWS, label, names, paired
from pinwright.measures import TERMS

if TYPE_CHECKING:
    from pinwright.figure.photographs.marks import Photograph

DISTANCE = (150.0, 2000.0)
"""How far the lens may be from the client, cm: nearer, the picture is too much drawn out."""

LENS = (20.0, 250.0)
"""How high the lens may be, cm."""

TALL = 200.0
"""So many px at least from crown to floor: below it 3 px are over 2.5 cm."""

ROLL = 10.0
"""How far the camera may have been rolled at the most, degrees."""

ASLANT = 25.0
"""So far off a plumb line may the crown lie over the floor's mark, degrees: who stoops is still
within it, a picture that lies on its side is not."""

PLUMB_LONG = 0.2
"""A plumb line's two points lie at least this part of the client's height apart."""

BESIDE = 10.0
"""So far below the floor a mark may seem to lie, cm: what stands before her middle is drawn low."""

ORDER: Sequence[tuple[str, ...]] = (
    ("larynx", "back_neck_point", "side_neck_point", "shoulder_point"),
    ("bust_point", "bust_front"),
    ("side_waist", "front_waist", "back_waist", "waist_front"),
    ("side_hip", "seat_back"),
    ("knee",),
    ("ankle_bone",),
)
"""Places from the top down: none of a row lies over one of an earlier row."""

FRONT = ("bust_front", "waist_front", "abdomen_front")
BACK = ("back_furthest", "waist_back", "seat_back")
"""Places of the profile in front and behind: they tell which way she faces."""


def faults(photo: Photograph) -> Iterator[str]:
    """What is wrong with the numbers as they stand."""
    if photo.view not in VIEWS:
        yield f'view "{photo.view}" is not one; it may be {", ".join(VIEWS)}.'
    width, tall = photo.size
    if width < TALL / 4.0 or tall < TALL:
        yield (
            f"the picture is {width} by {tall} px; allowed is at least "
            f"{TALL / 4.0:.0f} by {TALL:.0f}."
        )
    for what, value, (low, high) in (
        ("distance", photo.distance, DISTANCE),
        ("lens", photo.lens, LENS),
        ("height", photo.height, (TERMS["height"].low, TERMS["height"].high)),
    ):
        if value is not None and not low <= value <= high:
            yield f"{what} {value:g} cm is not possible; allowed is {low:g} to {high:g} cm."
    for name in photo.marks:
        yield from _unknown(photo, name)
    for name in NEEDED:
        if name not in photo.marks:
            yield f"{name} is not marked; crown and floor are needed in every photograph."
    for what, at in (
        *((f"the mark {name}", at) for name, at in photo.marks.items()),
        *((f"point {i} of the outline", at) for i, at in enumerate(photo.outline, 1)),
    ):
        if not all(isfinite(c) for c in at) or not (0 <= at[0] <= width and 0 <= at[1] <= tall):
            yield (
                f"{what} ({at[0]:g}, {at[1]:g}) lies outside of the picture, which is {width} by "
                f"{tall} px."
            )
    if 0 < len(photo.outline) < 3:
        yield f"the outline has {len(photo.outline)} points; allowed is none, or 3 and more."


def _unknown(photo: Photograph, name: str) -> Iterator[str]:
    seen = names(photo.view)
    if name in seen:
        return
    views = [view for view in VIEWS if name in names(view)]
    if views:
        yield (
            f"the mark {name} cannot be seen from there; it may be marked in a photograph from: "
            f"{', '.join(views)}."
        )
    else:
        yield f'the mark "{name}" is not known.{meant(name, seen)} It may be {", ".join(seen)}.'


def crossed(photo: Photograph) -> Iterator[str]:
    """What is wrong with the marks beside each other."""
    marks = photo.marks
    given = [k for k in PLUMB if k in marks]
    if len(given) == 1:
        other = PLUMB[1 - PLUMB.index(given[0])]
        yield f"{given[0]} is marked without {other}; mark both points of the plumb line or none."
    crown, floor = marks["crown"], marks["floor"]
    if crown[1] >= floor[1]:
        yield (
            f"the crown ({crown[1]:g} px from the top) is marked below the floor ({floor[1]:g}); "
            "it must be over it."
        )
    tall = hypot(crown[0] - floor[0], crown[1] - floor[1])
    if tall < TALL:
        yield f"crown and floor are {tall:.0f} px apart; allowed is at least {TALL:.0f} px."
    if len(given) == 2:
        top, bottom = (marks[k] for k in PLUMB)
        long = hypot(top[0] - bottom[0], top[1] - bottom[1])
        if long < PLUMB_LONG * tall:
            yield (
                f"plumb_top and plumb_bottom are {long:.0f} px apart; allowed is at least "
                f"{PLUMB_LONG * tall:.0f} px, else they tell no direction."
            )
        if abs(degrees(photo.roll)) > ROLL:
            yield (
                f"by plumb_top and plumb_bottom the camera was rolled {degrees(photo.roll):.0f} "
                f"degrees; allowed is {ROLL:g} to either side."
            )
    aslant = degrees(rolled(*np.array([crown, floor])) - photo.roll)
    if abs(aslant) > ASLANT:
        yield (
            f"the crown lies {abs(aslant):.0f} degrees off the plumb line over the floor's mark; "
            f"allowed is {ASLANT:g}: turn the picture upright, or put crown and floor again."
        )
    # the scale is of no account here: any height tells what lies over what
    height = photo.height or 165.0
    rule = photo.scale(height)
    at = {k: rule.placed(np.array([px]))[0] for k, px in marks.items()}
    for name, (_, up) in at.items():
        if name in (*NEEDED, *PLUMB):
            continue
        if up > height:
            yield f"the mark {name} lies over the crown; it must be below it."
        if up < -BESIDE:
            yield f"the mark {name} lies below the floor; it must be over it."
    yield from _sides(photo, at)
    yield from _levels(at)


def _sides(photo: Photograph, at: Mapping[str, Array]) -> Iterator[str]:
    """Whether left and right, front and back, are as the view has them."""
    if photo.view in ("front", "back"):
        for name in at:
            bare, side = paired(name)
            other = at.get(f"{bare}_right")
            if side == "left" and other is not None and at[name][0] <= other[0]:
                where = "right" if photo.view == "front" else "left"
                yield (
                    f"left and right of the {label(bare)} are swapped: seen from the "
                    f"{photo.view}, the client's left is on the {where} of the picture."
                )
        return
    for before, behind in product(FRONT, BACK):
        if before in at and behind in at and at[before][0] >= at[behind][0]:
            faces = "left" if photo.view == "left" else "right"
            yield (
                f"the mark {before} lies behind {behind}: seen from her {photo.view} side the "
                f"client faces the {faces} of the picture."
            )


def _levels(at: Mapping[str, Array]) -> Iterator[str]:
    """Whether what lies over the other on a client is marked so."""
    rows = [[k for k in at if paired(k)[0] in row] for row in ORDER]
    for upper, lower in pairwise([row for row in rows if row]):
        for over, under in product(upper, lower):
            if at[over][1] <= at[under][1]:
                yield f"the mark {over} lies below {under}; on a client it is over it."
