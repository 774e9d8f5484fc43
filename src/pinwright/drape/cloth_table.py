"""The tables of docs/drape/cloth.md: python -m pinwright.drape.cloth_table.

Prints them as Markdown; with --write puts them between the markers of the given document.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping

from pinwright.drape.cloth import CONSTANTS, RANGES, read_table
from pinwright.drape.cloth_lab import drape_expected
from pinwright.measures import tables


def constants_table() -> str:
    """Every cloth: its constants, its drape coefficient as told and as reckoned."""
    rows = []
    for row in read_table().values():
        h = row.handle
        reckoned = drape_expected(h.mass, h.bend_along, h.bend_across)
        rows.append(
            f"| {h.name} | {h.mass:.0f} | {h.stretch_along:.0f} / {h.stretch_across:.0f} | "
            f"{h.shear:.0f} | {h.bend_along:.1f} / {h.bend_across:.1f} | {h.thickness:.2f} | "
            f"{h.friction:g} | {row.drape[0]:g}-{row.drape[1]:g} | {reckoned:.0f} |"
        )
    head = (
        "| cloth | g/m² | stretch along / across N/m | shear N/m | bending along / across µN·m | "
        "thick mm | friction | drape % | reckoned |"
    )
    return "\n".join([head, "|" + "---|" * 9, *rows])


def sources_table() -> str:
    """Every cloth: which of its constants come from where, and how far off they may be."""
    rows = []
    for row in read_table().values():
        for s in row.handle.sources:
            of = "all" if set(s.of) == set(CONSTANTS) else ", ".join(s.of).replace("_", " ")
            rows.append(f"| {row.handle.name} | {of} | {s.mark} | ± {s.band:.0%} | {s.said} |")
    return "\n".join(
        ["| cloth | constants | mark | may be off by | source |", "|" + "---|" * 5, *rows]
    )


def ranges_table() -> str:
    """What a constant may be."""
    rows = [f"| `{c}` | {least:g} to {most:g} {u} |" for c, (least, most, u) in RANGES.items()]
    return "\n".join(["| constant | may be |", "|---|---|", *rows])


TABLES: Mapping[str, Callable[[], str]] = {
    "constants": constants_table,
    "sources": sources_table,
    "ranges": ranges_table,
}


def filled(document: str) -> str:
    """The document with these tables made anew; see :func:`pinwright.measures.tables.filled`."""
    return tables.filled(document, TABLES)


if __name__ == "__main__":
    tables.main(sys.argv[1:], TABLES)
