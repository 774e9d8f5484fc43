"""The tables of docs/measures.md, made from the data: python -m pinwright.measures.tables.

Prints them as Markdown; with --write puts them between the markers of the given document.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from pinwright.measures import coefficients
from pinwright.measures.estimate import Body, complete
from pinwright.measures.models import MODELS
from pinwright.measures.record import read_record
from pinwright.measures.terms import TERMS

PRINTED_BLOCK = {
    "neck_base_girth": 37.0,
    "upper_arm_girth": 28.4,
    "wrist_girth": 16.0,
    "shoulder_length": 12.25,
    "across_back_width": 34.4,
    "across_front_width": 32.4,
    "back_waist_length": 41.0,
    "scye_depth": 21.0,
    "arm_length": 58.5,
    "waist_to_hip": 20.6,
    "waist_to_knee": 58.5,
    "body_rise": 28.0,
    "outside_leg": 104.0,
}
"""W. Aldrich, Metric Pattern Cutting, size 12, cm: from memory, to be checked in the book."""


def printed_block_body() -> Body:
    """The body completed from the four measures of that size."""
    return complete(
        read_record({"height": 164, "bust_girth": 88, "waist_girth": 68, "hip_girth": 94})
    )


def _rows(head: str, rows: list[str]) -> str:
    rule = "|" + "---|" * (head.count("|") - 1)
    return "\n".join([head, rule, *rows])


def terms_table() -> str:
    """Every term: definition, how to tape it, range, sides, garments."""
    rows = []
    for t in TERMS.values():
        needed = ", ".join(
            f"**{g}**" if g in t.required else g for g in t.garments
        )  # fmt: skip
        sides = " (left, right)" if t.sided else ""
        rows.append(
            f"| `{t.name}`{sides} | {t.iso or '-'} | {t.definition} | {t.how} | "
            f"{t.usual_low:g}-{t.usual_high:g} {t.unit} | {t.low:g}-{t.high:g} | {needed} |"
        )
    return _rows(
        "| measure | ISO no. | what it is | how to tape it | usual | possible | for |", rows
    )


def models_table() -> str:
    """Every straight-line model: formula, standard error, when used, source."""
    rows = []
    for target, lines in MODELS:
        for m in lines:
            when = ", ".join(f"`{n}`" for n in m.needs) or "always"
            if m.exact:
                when += " (alone)"
            unit = TERMS[target].unit
            rows.append(
                f"| `{target}` | {m.text} | {m.standard_error:g} {unit} | {when} | {m.source} |"
            )
    return _rows("| estimate of | formula | standard error | when taped | source |", rows)


def residuals_table() -> str:
    """SEE and leave-one-out residuals of the girth regressions."""
    with_weight = coefficients.RESIDUALS["with weight"]
    rows = []
    for name, (see, mean, high) in coefficients.RESIDUALS["without"].items():
        unit = "kg" if name == "weight" else "cm"
        row = f"| {name.replace('_', ' ')} ({unit}) | {see:.2f} | {mean:.2f} | {high:.2f} |"
        if name in with_weight:
            see, mean, high = with_weight[name]
            row += f" {see:.2f} | {mean:.2f} | {high:.2f} |"
        else:
            row += " - | - | - |"
        rows.append(row)
    return _rows(
        "| estimate of | SEE | left out: mean | 95 % | with weight: SEE | left out: mean | 95 % |",
        rows,
    )


def block_table() -> str:
    """Our estimates beside the printed size, from its height, bust, waist and hip only."""
    body = printed_block_body()
    rows = [
        f"| {name.replace('_', ' ')} | {printed:g} | {body[name]:.1f} | "
        f"{body[name] - printed:+.1f} | {body.standard_error(name):.1f} |"
        for name, printed in PRINTED_BLOCK.items()
    ]
    return _rows("| measure | printed | ours | difference | our standard error |", rows)


TABLES: Mapping[str, Callable[[], str]] = {
    "terms": terms_table,
    "models": models_table,
    "residuals": residuals_table,
    "block": block_table,
}


def filled(document: str, tables: Mapping[str, Callable[[], str]] = TABLES) -> str:
    """The document with every table between its markers <!-- table: name --> made anew.

    Raises ValueError when a marker is missing.
    """
    for name, table in tables.items():
        before, _, after = re.split(
            rf"(?<=<!-- table: {name} -->\n)(.*?)(?=<!-- end -->)", document, flags=re.DOTALL
        )
        document = f"{before}{table()}\n{after}"
    return document


def main(arguments: list[str], tables: Mapping[str, Callable[[], str]] = TABLES) -> None:
    """Print the tables, or write them into a document: --write docs/measures.md."""
    if arguments[:1] == ["--write"] and len(arguments) == 2:
        path = Path(arguments[1])
        path.write_text(filled(path.read_text(encoding="utf-8"), tables), encoding="utf-8")
        return
    print("\n\n".join(table() for table in tables.values()))


if __name__ == "__main__":
    main(sys.argv[1:])
