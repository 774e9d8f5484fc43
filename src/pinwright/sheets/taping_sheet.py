"""How to tape, on paper: a card a measure, six to a page, with room to write down what is taped."""

from __future__ import annotations

from itertools import zip_longest

import numpy as np

from pinwright.errors import GeometryError
from pinwright.figure.figure import Figure
from pinwright.figure.lines import lines_of
from pinwright.measures import TERMS
from pinwright.sheets.drawn import Heading
from pinwright.sheets.ink import THIN, Drawing, Mark, Words, line, moved
from pinwright.sheets.lettering import wrapped
from pinwright.sheets.pages import paged
from pinwright.sheets.tape_body import looks_of
from pinwright.sheets.tape_picture import HIGH, STANDING, WIDE, card
from pinwright.sheets.tape_places import PLACES
from pinwright.sheets.tiling import EDGE, PAPERS, Paper

COLUMNS, ROWS = 2, 3

HEAD = 2.25
"""Room for the heading of a page, cm."""

KEY = (
    "Thick: the tape. Thin dashes: where the body hides it. Rings: its ends and the landmarks on "
    "it. Tape over bare skin or thin underwear, the tape snug and never pulled in. "
    f"{STANDING}"
)


def taping_sheet(figure: Figure, heading: Heading, paper: Paper = "a4") -> bytes:
    """Every measure shown on the client's figure, as PDF, with lines to write on.

    Raises:
        GeometryError: an unknown paper.
    """
    if paper not in PAPERS:
        raise GeometryError(f"Paper {paper!r} is not known; it may be {', '.join(PAPERS)}.")
    lines = lines_of(figure)
    looks = looks_of(figure)
    wide, high = (side - 2 * EDGE for side in PAPERS[paper])
    drawn = {t: card(figure, t, heading.unit, lines, looks, blank=True) for t in TERMS}
    cards = [one for t, one in drawn.items() if t in PLACES]
    low = [one for t, one in drawn.items() if t not in PLACES]
    # two of these stand in the room of one
    cards += [
        (*moved(a, 0.0, HIGH / 2.0), *b) for a, b in zip_longest(low[::2], low[1::2], fillvalue=())
    ]
    each = COLUMNS * ROWS
    count = -(-len(cards) // each)
    pages: list[Drawing] = []
    for k in range(count):
        marks: list[Mark] = [*_head(heading, k + 1, count, wide, high)]
        across, down = (wide - COLUMNS * WIDE) / (COLUMNS - 1), (high - HEAD - ROWS * HIGH) / ROWS
        for j, one in enumerate(cards[each * k : each * (k + 1)]):
            row, column = divmod(j, COLUMNS)
            x, y = column * (WIDE + across), high - HEAD - (row + 1) * HIGH - row * down
            marks += moved(one, x, y)
            if column == 0:
                rule = y + HIGH + min(0.15, down / 2)
                marks.append(line((0.0, rule), (wide, rule), weight=THIN))
        pages.append(tuple(marks))
    return paged(pages, heading, "how to tape", PAPERS[paper])


def _head(heading: Heading, page: int, count: int, wide: float, high: float) -> Drawing:
    """What this is, whose figure it shows, and what the lines mean."""
    whose = f"{heading.client}, order {heading.order}, {heading.date}, page {page} of {count}"
    marks = [
        Words(np.array([0.0, high - 0.55]), "How to tape", 0.6, bold=True),
        Words(np.array([wide, high - 0.5]), whose, 0.36, anchor="end"),
    ]
    for k, part in enumerate(wrapped(KEY, 0.32, wide)):
        marks.append(Words(np.array([0.0, high - 1.02 - 0.43 * k]), part, 0.32))
    return tuple(marks)
