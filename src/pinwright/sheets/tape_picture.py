"""How a measure is taped: a card with the figure from the best side, the tape on it, and the words.

The tape is drawn strongly where it is seen and as thin dashes where the body hides it, so that a
card holds in black and white. The words are those of :mod:`pinwright.measures.terms`.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

import numpy as np

from pinwright.cutting.sentences import capital
from pinwright.errors import MeasureError, meant
from pinwright.figure.figure import Figure, Measured
from pinwright.figure.lines import Line3, lines_of
from pinwright.figure.picture_parts import NAMED
from pinwright.measures import TERMS
from pinwright.measures.amounts import said
from pinwright.measures.record import split_side
from pinwright.measures.terms import Term
from pinwright.measures.units import KG_PER_POUND, LengthUnit
from pinwright.sheets.ink import THIN, Drawing, Mark, Words, line, moved
from pinwright.sheets.lettering import width_of, wrapped
from pinwright.sheets.svg import elements, slug
from pinwright.sheets.tape_body import Looks, looks_of
from pinwright.sheets.tape_places import PLACES
from pinwright.sheets.tape_view import PICTURE, SIDE, taped

WIDE, HIGH = 9.0, 7.7
"""A card, cm."""

MARGIN = 0.2
"""Round a card as SVG, cm."""

TITLE, TEXT, SMALL = 0.48, 0.36, 0.32
"""Letters of a card, cm: 13.6, 10.2 and 9 points."""

STANDING = (
    "Drawn with feet apart and arms off the body or left away, so that nothing is hidden; stand "
    "and hold as the words say."
)

LEADING = 1.35
"""From line to line, as a part of the letters' size."""


def tape_picture(figure: Figure, term: str, unit: LengthUnit, name: str = "taping") -> str:
    """How a measure is taped, as SVG for a page: picture, words, and what the figure has.

    Its user unit is the cm of a card; words are read where it stands 320 px wide. name: begins the
    ids.

    Raises:
        MeasureError: there is no such measure.
    """
    if term not in TERMS:
        raise MeasureError(f'There is no measure "{term}".{meant(term, TERMS)}')
    looks = looks_of(figure, {term} & PLACES.keys())
    drawing = card(figure, term, unit, lines_of(figure), looks)
    key = slug(name, term)
    t = TERMS[term]
    title = f"How to tape: {t.label}"
    told = f"{t.definition} {t.how}"
    if term in PLACES:
        told += f" Shown from her {NAMED[PLACES[term].side].lower()}. {STANDING}"
    body = "\n".join(elements(drawing, 0.0, height_of(term), "currentColor"))
    w, h = WIDE + 2 * MARGIN, height_of(term) + 2 * MARGIN
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="figure taping" id="{key}" role="img" '
        f'aria-labelledby="{key}-title" aria-describedby="{key}-desc" '
        f'viewBox="{-MARGIN:g} {-MARGIN:g} {w:g} {h:g}">\n'
        f'<title id="{key}-title">{escape(title)}</title>\n'
        f'<desc id="{key}-desc">{escape(told)}</desc>\n{body}\n</svg>\n'
    )


def height_of(term: str) -> float:
    """How high the card of a measure is, cm."""
    return HIGH if term in PLACES else HIGH / 2.0


def card(
    figure: Figure,
    term: str,
    unit: LengthUnit,
    lines: Mapping[str, Line3],
    looks: Looks,
    blank: bool = False,
) -> Drawing:
    """A card, :data:`WIDE` by :data:`HIGH` cm, its lower left corner at 0.

    A measure that is not shown on a body has a card of half the height. lines: those of the
    figure. looks: what shows the measure is among them. blank: room to write
    down what is taped, instead of what the figure has.
    """
    t = TERMS[term]
    high = height_of(term)
    marks: list[Mark] = [Words(np.array([0.0, high - TITLE]), capital(t.label), TITLE, bold=True)]
    x, width = 0.0, WIDE
    if term in PLACES:
        picture = taped(figure, term, lines, looks)
        marks += moved(tuple(picture), 0.0, HIGH - TITLE - 0.45)
        x = PICTURE[0] + 0.3
        width = WIDE - x
    y = high - TITLE - 0.45
    rows = [(t.definition, TEXT, True), (t.how, TEXT, False), (_shown(t), SMALL, False)]
    if not blank:
        rows.append((has(figure.measured, term, unit), TEXT, True))
    for text, letter, bold in rows:
        for part in wrapped(text, letter, width, bold) if text else ():
            y -= letter
            marks.append(Words(np.array([x, y]), part, letter, bold=bold, role="figure words"))
            y -= (LEADING - 1.0) * letter
        y -= 0.6 * letter if text else 0.0
    if blank:
        marks += _blank(t, unit, x)
    return tuple(marks)


def _shown(t: Term) -> str:
    """The landmarks, and what the picture cannot show."""
    if t.name not in PLACES:
        return ""
    where = f"Landmarks: {', '.join(t.landmarks)}."
    if t.name == "body_rise":
        return f"{where} Shown standing; take it seated."
    return f"{where} Her {SIDE} is shown; tape both sides." if t.sided else where


def has(measured: tuple[Measured, ...], term: str, unit: LengthUnit) -> str:
    """What the figure has of a measure, in words; empty where it has none."""
    found = {split_side(m.name)[1]: amount_of(term, m.figure, unit)
             for m in measured if split_side(m.name)[0] == term}  # fmt: skip
    if not found:
        return ""
    if len(set(found.values())) == 1:
        return f"On the figure: {next(iter(found.values()))}"
    return "On the figure: " + ", ".join(f"{side} {value}" for side, value in found.items())


def amount_of(term: str, value: float, unit: LengthUnit) -> str:
    """A measure in the client's unit: a length, an angle, or a weight."""
    kind = TERMS[term].unit
    if kind == "cm":
        return said(value, unit)
    if kind == "deg":
        return f"{value:.1f}°"
    return f"{value:.1f} kg" if unit == "cm" else f"{value / KG_PER_POUND:.0f} lb"


def _blank(t: Term, unit: LengthUnit, x: float) -> list[Mark]:
    """Lines to write on, at the foot of a card, from x to its right edge."""
    what = {"cm": unit, "deg": "°", "kg": "kg" if unit == "cm" else "lb"}[t.unit]
    after: tuple[str, ...] = (what,)
    if t.unit == "deg":
        # told either way, as it is taken; that needs the whole width
        after, x = ("° or drop", f"{unit} over", unit), 0.0
    marks: list[Mark] = []
    for k, who in enumerate(("right", "left") if t.sided else ("taped",)):
        y = 0.28 + 0.75 * k
        marks.append(Words(np.array([x, y]), who, SMALL))
        at, each = x + 1.15, (WIDE - x - 1.15) / len(after)
        for words in after:
            # units at the right edge, and words before the next line
            end = at + each
            marks.append(
                line((at, y - 0.05), (end - width_of(words, SMALL) - 0.2, y - 0.05), weight=THIN)
            )
            marks.append(
                Words(
                    np.array([end - (0.1 if words != after[-1] else 0.0), y]),
                    words,
                    SMALL,
                    anchor="end",
                )
            )
            at = end
    return marks
