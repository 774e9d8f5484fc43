"""The client's figure as HTML: its pictures with the levels, the ease there, and what it tells."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from pinwright.cutting.sentences import capital
from pinwright.figure.ease import Ease, ease_warnings
from pinwright.figure.pictures import row
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.workshop.figure import OrderFigure, figure_words


def figure_section(found: OrderFigure | None, unit: LengthUnit) -> str:
    """The whole section's inner HTML; a sentence where no figure is to be shown."""
    if found is None:
        return (
            '<p class="lead">No figure is shown: the order asks for none, or has no measures.</p>'
        )
    f = found.figure
    drawn = row(f.points, f.faces, f.marks, unit)
    told = "".join(f"<li>{escape(capital(s))}</li>" for s in figure_words(found, unit))
    tables = "".join(_table(garment, some, unit) for garment, some in found.eases.items())
    return (
        '<div class="figure-row" tabindex="0" role="group" aria-label="The figure from all '
        f'sides">{drawn}</div>'
        f'<div class="figure-told"><div class="figure-eases">{tables}</div>'
        f"<div><h3>What the figure tells</h3><ul>{told}</ul></div></div>"
    )


def _table(garment: str, some: Sequence[Ease], unit: LengthUnit) -> str:
    if not some:
        return ""
    levels: dict[tuple[str, str], dict[str, Ease]] = {}
    for e in some:
        levels.setdefault((e.level, e.side), {})[e.part] = e
    small = " ".join(ease_warnings(some, unit))
    lines = "".join(
        f'<tr><th scope="row">{escape(_level(level, side))}</th>'
        + "".join(_cell(parts.get(part), unit) for part in ("whole", "front", "back"))
        + "</tr>"
        for (level, side), parts in levels.items()
    )
    warned = f'<p class="odd">{escape(small)}</p>' if small else ""
    return (
        f'<div class="scroll" tabindex="0" role="group" aria-label="Ease of the {escape(garment)}">'
        f"<table><caption>Ease of the {escape(garment)} on the figure, as sewn</caption>"
        '<thead><tr><th scope="col">At the</th><th scope="col">all round</th>'
        '<th scope="col">front</th><th scope="col">back</th></tr></thead>'
        f"<tbody>{lines}</tbody></table></div>{warned}"
    )


def _level(level: str, side: str) -> str:
    plain = level.replace("_", " ")
    return plain if side == "both" else f"{plain}, {side}"


def _cell(e: Ease | None, unit: LengthUnit) -> str:
    if e is None:
        return "<td></td>"
    guessed = " (body estimated)" if e.estimated else ""
    title = f"garment {said(e.garment, unit)}, body {said(e.body, unit)}{guessed}"
    mark = "<small> est.</small>" if e.estimated else ""
    return f'<td title="{escape(title)}">{escape(said(e.ease, unit))}{mark}</td>'
