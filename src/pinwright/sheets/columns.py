"""Tables and paragraphs set in two columns, on as many pages as they take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinwright.sheets.ink import HAIR, Anchor, Drawing, Mark, Words, line, moved
from pinwright.sheets.lettering import wrapped

HEAD, TEXT = 0.55, 0.4
"""Letters of headings and of what stands under them, cm: 15.6 and 11.3 points."""

GAP = 1.2
"""Between the columns, cm."""

Block = tuple[Drawing, float]
"""What hangs from (0, 0), and its height, cm."""


@dataclass(frozen=True, slots=True)
class Section:
    """Blocks under a heading; ``again`` stands at the top of each further column they take.

    notes: what stands under the last block, and goes on without ``again``.
    """

    head: Block
    blocks: tuple[Block, ...]
    again: Block | None = None
    notes: tuple[Block, ...] = ()


Cell = tuple[str, float, Anchor]
"""Words of a table, where they stand as a part of its width, and how."""


def heading(text: str, width: float) -> Block:
    """The heading of a section."""
    return paragraph(text, width, HEAD, True, 0.35)


def paragraph(
    text: str, width: float, letter: float = TEXT, bold: bool = False, over: float = 0.12
) -> Block:
    """Words broken to a width, cm; over: the room before them."""
    marks: list[Mark] = []
    y = -over
    for part in wrapped(text, letter, width, bold):
        y -= letter
        marks.append(Words(np.array([0.0, y]), part, letter, bold=bold))
        y -= 0.35 * letter
    return tuple(marks), -y


def row(
    cells: Sequence[Cell],
    width: float,
    letter: float = TEXT,
    bold: bool = False,
    rule: float = HAIR,
) -> Block:
    """A row of a table, over a line of its own."""
    base, foot = -1.2 * letter, -1.55 * letter
    marks: list[Mark] = [
        Words(np.array([at * width, base]), text, letter, bold=bold, anchor=anchor)
        for text, at, anchor in cells
        if text
    ]
    marks.append(line((0.0, foot), (width, foot), weight=rule))
    return tuple(marks), -foot


def set_in_columns(
    sections: Sequence[Section], width: float, high: float, least: int = 3, whole: float = 0.5
) -> list[Drawing]:
    """The sections down two columns of ``width`` and ``high`` cm, page after page.

    A section that takes up to the part ``whole`` of a column is not broken over two; of another the
    heading keeps ``least`` blocks with it. The lower left corner of the columns is at 0.
    """
    pages: list[list[Mark]] = [[]]
    column, left = 0, high

    def hang(block: Block) -> None:
        nonlocal left
        pages[-1] += moved(block[0], column * (width + GAP), left)
        left -= block[1]

    def turn() -> None:
        nonlocal column, left
        if column:
            pages.append([])
        column, left = 1 - column, high

    for section in sections:
        tall = [section.head[1], *(b[1] for b in (*section.blocks, *section.notes))]
        need = sum(tall) if sum(tall) <= whole * high else sum(tall[: least + 1])
        if need > left and left < high:
            turn()
        hang(section.head)
        if section.again is not None:
            hang(section.again)
        for block in section.blocks:
            if block[1] > left:
                turn()
                if section.again is not None:
                    hang(section.again)
            hang(block)
        for block in section.notes:
            if block[1] > left:
                turn()
            hang(block)
    return [tuple(p) for p in pages]
