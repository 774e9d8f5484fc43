"""The client's figure as HTML: in three dimensions and in pictures, with the ease on it."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from pinwright.cutting.sentences import capital
from pinwright.figure.ease import Ease, again_words, ease_warnings
from pinwright.figure.pictures import row
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit, format_length
from pinwright.web.figure_model import packed
from pinwright.workshop.figure import OrderFigure, figure_words

SIDES = ((0, "Front", "true"), (180, "Back", "false"), (-90, "Left side", "false"),
         (90, "Right side", "false"))  # fmt: skip
"""How far she is turned to her left, degrees, the side then seen, and whether it is the first."""

ROW_KEY = (
    "Heights are over the floor; the neck is the nape, the ankle its bone. In the view that can be "
    "turned, a tape's height is where that girth is taken."
)

PARTED = (
    "Front and back are parted at the side seams of the garment and at the side line of the body, "
    "so one of them may be small, or less than nothing, while the whole has room."
)


def figure_section(found: OrderFigure | None, unit: LengthUnit) -> str:
    """The whole section's inner HTML; a sentence where no figure is to be shown."""
    if found is None:
        return (
            '<p class="lead">No figure is shown: the order asks for none, or has no measures.</p>'
        )
    f = found.figure
    drawn = row(f.points, f.faces, f.marks, unit)
    told = "".join(f"<li>{escape(capital(s))}</li>" for s in figure_words(found, unit))
    tables = "".join(ease_table(garment, some, unit) for garment, some in found.eases.items())
    model = packed(f.points, f.faces, f.marks, unit)
    return (
        f'<div class="figure-both">{_turning(model)}'
        '<div><div class="figure-row" tabindex="0" role="group" aria-label="The figure from all '
        f'sides">{drawn}</div>'
        '<p class="figure-more">The strip goes on to the right: scroll it sideways to see all four '
        "sides, and the heights.</p>"
        f'<p class="figure-key">{ROW_KEY}</p>'
        f'<div class="figure-told"><div class="figure-eases">{tables}</div>'
        f"<div><h3>What the figure tells</h3><ul>{told}</ul></div></div>"
        "</div></div>"
    )


def _turning(model: str) -> str:
    """The view in three dimensions, hidden until the page's script has drawn it."""
    sides = "".join(
        f'<button type="button" data-side="{turned}" aria-pressed="{pressed}">{name}</button>'
        for turned, name, pressed in SIDES
    )
    return (
        '<div class="turn" hidden><div class="turn-stage">'
        '<canvas tabindex="0" role="img" aria-label="The client\'s figure in three dimensions" '
        'aria-describedby="turn-keys"></canvas>'
        '<div class="turn-levels" aria-hidden="true"><b>Height over the floor</b></div>'
        '<p class="turn-lost">The browser has lost this view for now. The pictures stand as they '
        "are; the view comes back by itself when it can.</p></div>"
        f'<div class="tools" hidden><div class="set" role="group" aria-label="Side">{sides}</div>'
        '<div class="set" role="group" aria-label="Zoom of the figure">'
        '<button type="button" data-nearer="0.7692" aria-label="Further away">−</button>'
        '<button type="button" data-nearer="1.3" aria-label="Nearer">+</button>'
        '<button type="button" data-nearer="whole">Whole</button></div>'
        '<div class="set" role="group" aria-label="Lines on the figure">'
        '<button type="button" data-line="level" aria-pressed="true">'
        '<span class="swatch level"></span>Levels</button>'
        '<button type="button" data-line="plumb" aria-pressed="false">'
        '<span class="swatch plumb"></span>Plumb lines</button></div></div>'
        '<p class="turn-view" aria-live="polite"></p>'
        '<p class="keys" id="turn-keys">Drag to turn. With the figure in focus: left and right '
        "turn it by 15° (with shift by 5°), up and down look from above or below, or move along "
        "the body when it is near; <kbd>+</kbd> and <kbd>−</kbd> come nearer and go back, or Ctrl "
        "with the wheel; <kbd>0</kbd> shows the whole from the front. Beside the figure stands how "
        "high over the floor each level lies, which is where its girth is taped.</p>"
        f'<script type="application/gzip" id="figure-model">{model}</script></div>'
    )


def ease_table(garment: str, some: Sequence[Ease], unit: LengthUnit) -> str:
    """Of a garment, level by level: its girth, the body's, the ease, and that of front and back."""
    if not some:
        return ""
    levels: dict[tuple[str, str], dict[str, Ease]] = {}
    for e in some:
        levels.setdefault((e.level, e.side), {})[e.part] = e
    small = " ".join(ease_warnings(some, unit))
    lines = "".join(
        f'<tr><th scope="row">{escape(_level(level, side))}</th>'
        + _sizes(parts.get("whole"), unit)
        + "".join(_cell(parts.get(part), unit) for part in ("whole", "front", "back"))
        + "</tr>"
        for (level, side), parts in levels.items()
    )
    parted = any(e.part != "whole" for e in some)
    estimated = "est.: the body was not taped here." if any(e.estimated for e in some) else ""
    key = " ".join(filter(None, (estimated, again_words(some), PARTED if parted else "")))
    words = "cm" if unit == "cm" else "inches"
    below = f'<p class="figure-key">{key}</p>' if key else ""
    warned = f'<p class="odd">{escape(small)}</p>' if small else ""
    return (
        f'<div class="scroll" tabindex="0" role="group" aria-label="Ease of the {escape(garment)}">'
        f"<table><caption>Ease of the {escape(garment)} on the figure, as sewn, in {words}"
        '</caption><thead><tr><th rowspan="2" scope="col">At the</th>'
        '<th colspan="3" scope="colgroup">all round</th>'
        '<th colspan="2" scope="colgroup">ease of the</th></tr>'
        '<tr><th scope="col">garment</th><th scope="col">body</th><th scope="col">ease</th>'
        '<th scope="col">front</th><th scope="col">back</th></tr></thead>'
        f"<tbody>{lines}</tbody></table></div>{below}{warned}"
    )


def _level(level: str, side: str) -> str:
    plain = level.replace("_", " ")
    return plain if side == "both" else f"{plain}, {side}"


def _sizes(whole: Ease | None, unit: LengthUnit) -> str:
    """The cells of garment and body all round."""
    if whole is None:
        return "<td></td><td></td>"
    return "".join(f"<td>{_length(v, unit)}</td>" for v in (whole.garment, whole.body))


def _length(cm: float, unit: LengthUnit) -> str:
    return escape(format_length(cm, unit).removesuffix(f" {unit}"))


def _cell(e: Ease | None, unit: LengthUnit) -> str:
    if e is None:
        return "<td></td>"
    guessed = " (body estimated)" if e.estimated else ""
    title = f"garment {said(e.garment, unit)}, body {said(e.body, unit)}{guessed}"
    mark = "<small> est.</small>" if e.estimated else ""
    return f'<td title="{escape(title)}">{_length(e.told(unit), unit)}{mark}</td>'
