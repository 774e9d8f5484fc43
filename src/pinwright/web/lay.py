"""The lays of an order as HTML: every cloth with its pieces, its figures and what to mind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape

from pinwright.cutting.lay.measure import Measured, measured
from pinwright.cutting.lay.placing import Lay
from pinwright.cutting.material import Material
from pinwright.cutting.sentences import capital
from pinwright.cutting.shrinking import on_table
from pinwright.measures.amounts import area, at_least, needed, size
from pinwright.measures.units import LengthUnit
from pinwright.sheets.lay_picture import lay_parts
from pinwright.sheets.lay_signs import Sizes
from pinwright.sheets.lay_svg import lay_svg
from pinwright.sheets.lay_words import LaidCloth, cut_list, instructions
from pinwright.sheets.svg import slug
from pinwright.workshop.laying import ClothLay
from pinwright.workshop.need import ClothNeed, words


def lays_section(lays: Sequence[ClothLay], needs: Mapping[str, ClothNeed], unit: LengthUnit) -> str:
    """Every cloth's lay, or that nothing is laid yet."""
    if not lays:
        return (
            '<p class="lead">Nothing is laid yet: <code>pinwright lay ORDER</code> lays the pieces '
            "on the cloth and keeps the lay.</p>"
        )
    return "".join(_cloth(i, c, needs.get(c.stock.key), unit) for i, c in enumerate(lays))


def _cloth(number: int, c: ClothLay, need: ClothNeed | None, unit: LengthUnit) -> str:
    title = escape(capital(c.stock.key))
    material = on_table(c.material)
    drawn = "".join(
        f'<div class="lay-scroll" tabindex="0" role="group" aria-label="{escape(_which(c, k))}, '
        f'drawn to scale">{lay_svg(lay, material, unit=unit, name=f"lay-{number}-{k}")}</div>'
        f"{_pieces(lay, material, unit)}"
        for k, lay in enumerate(c.lays)
        if lay.placements
    )
    # what to buy stands first
    told = [*(() if need is None else words(need, unit)), *c.remarks]
    laid = LaidCloth(c.lays[0], c.material, remarks=c.remarks)
    minded = instructions(laid, unit)[len(c.remarks) :]  # those stand beside them
    rows = "".join(
        f"<div><dt>{k}</dt><dd>{escape(v)}</dd></div>"
        for k, v in _figures(c, measured(c.lays[0]), unit)
    )
    mind = "".join(f"<li>{escape(capital(x))}</li>" for x in minded)
    said = "".join(f"<li>{escape(capital(x))}</li>" for x in dict.fromkeys(told))
    return (
        f'<article class="lay-cloth" aria-labelledby="{slug("lay", str(number), "title")}">'
        f'<h3 id="{slug("lay", str(number), "title")}">{title}</h3>'
        f'<dl class="ticket">{rows}</dl>{drawn}'
        f'<div class="lay-told"><div><h4>What it takes</h4><ul>{said}</ul></div>'
        f"<div><h4>At the table</h4><ul>{mind}</ul></div></div></article>"
    )


def _pieces(lay: Lay, material: Material, unit: LengthUnit) -> str:
    """The pieces by their numbers and how each lies: small ones have no room to say it inside."""
    parts = lay_parts(lay, material, Sizes(1.0, 1.0, unit), signs=False)
    lists = "".join(
        f"<div><h4>{escape(head)}</h4><ul>"
        + "".join(f"<li>{escape(' '.join(row.split()))}</li>" for row in rows)
        + "</ul></div>"
        for head, rows in cut_list(parts.pieces)
    )
    return f'<div class="lay-list">{lists}</div>'


def _which(c: ClothLay, k: int) -> str:
    return f"Lay on {c.stock.key}" + (f", {c.lays[k].field.name}" if k else "")


def _figures(c: ClothLay, m: Measured, unit: LengthUnit) -> list[tuple[str, str]]:
    width = on_table(c.material).width
    rows = [
        ("Used", f"{needed(m.length, unit)} of {size(width, unit)} wide"),
        ("Pieces take", f"{100 * m.density:.0f} % of the cloth"),
        ("No lay under", at_least(m.bound, unit)),
        ("Pieces", str(sum(len(lay.placements) for lay in c.lays))),
    ]
    if m.held > 0.5:
        rows.append(("Held back", f"{area(m.held, unit)} round what is cut after the fitting"))
    return rows
