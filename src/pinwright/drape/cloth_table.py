"""The tables of docs/drape/cloth.md: python -m pinwright.drape.cloth_table.

Prints them as Markdown; with --write puts them between the markers of the given document.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from pinwright.drape.cloth import CONSTANTS, RANGES, read_table
from pinwright.drape.cloth_lab import drape_expected


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
    """The document with every table between its markers <!-- table: name --> made anew.

    Raises ValueError when a marker is missing.
    """
    for name, table in TABLES.items():
        before, _, after = re.split(
            rf"(?<=<!-- table: {name} -->\n)(.*?)(?=<!-- end -->)",
            document,
            maxsplit=1,
            flags=re.DOTALL,
        )
        document = f"{before}{table()}\n{after}"
    return document


def main(arguments: list[str]) -> None:
    """Print the tables, or write them into a document: --write docs/drape/cloth.md."""
    if arguments[:1] == ["--write"] and len(arguments) == 2:
        path = Path(arguments[1])
        path.write_text(filled(path.read_text(encoding="utf-8")), encoding="utf-8")
        return
    print("\n\n".join(table() for table in TABLES.values()))


if __name__ == "__main__":
    main(sys.argv[1:])
