"""How garments hang, as HTML: in three dimensions, signs, pictures, and tables with the numbers."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from html import escape

from pinwright.cutting.sentences import capital, small
from pinwright.drape.data import Array
from pinwright.drape.pictures.paint import png
from pinwright.drape.pictures.picture import LookedAt, picture
from pinwright.drape.pictures.scale import QUANTITIES, TITLES, Quantity, remarkable
from pinwright.drape.pictures.shown import COMMON, Shown, Spot
from pinwright.drape.reading.sign import Sign
from pinwright.drape.reading.told import WATCHED, before_signs, doubted, no_sign, opposites
from pinwright.measures.amounts import said
from pinwright.measures.units import LengthUnit
from pinwright.sheets.drape_sheet import rest_words
from pinwright.web.drape_model import packed
from pinwright.web.figure import SIDES

PICTURED: tuple[Quantity, ...] = ("strain across", "gap")
"""What stands on the page in pictures; all else can be seen in the view that turns."""

SHORT: dict[Quantity, str] = {
    "strain across": "Stretch across",
    "strain along": "Stretch along",
    "gap": "Gap",
    "pressure": "Pressure",
}


def drape_section(garments: Sequence[LookedAt], figure: Array | None, unit: LengthUnit) -> str:
    """The whole section; nothing where nothing hangs.

    figure: the points (n, 3) of the figure that the page shows, if it does.
    """
    if not garments:
        return ""
    shown = [g.shown for g in garments]
    told_ = "".join(_garment(g, unit) for g in garments)
    first = "".join(f'<p class="drape-caution">{escape(c)}</p>' for c in COMMON)
    return (
        '<section class="band drape" aria-labelledby="drape-title">'
        f'<h2 id="drape-title">How it hangs</h2>{first}'
        f"{_turning(shown, packed(shown, figure, unit))}{told_}</section>"
    )


def _set(label: str, buttons: str) -> str:
    return f'<div class="set" role="group" aria-label="{label}">{buttons}</div>'


def _turning(shown: Sequence[Shown], model: str) -> str:
    """The view in three dimensions, hidden until the page's script has drawn it."""

    def button(key: str, value: object, text: str, pressed: bool) -> str:
        return (
            f'<button type="button" data-{key}="{escape(str(value))}" '
            f'aria-pressed="{"true" if pressed else "false"}">{escape(text)}</button>'
        )

    garments = "".join(button("hung", k, capital(s.garment), k == 0) for k, s in enumerate(shown))
    fields = "".join(button("field", k, SHORT[q], k == 0) for k, q in enumerate(QUANTITIES))
    sides = "".join(button("side", turned, name, turned == 0) for turned, name, _ in SIDES)
    lines = button("line", "cloth", "Cloth", True) + button("line", "fold", "Folds", True)
    zoom = (
        '<button type="button" data-nearer="0.7692" aria-label="Further away">−</button>'
        '<button type="button" data-nearer="1.3" aria-label="Nearer">+</button>'
        '<button type="button" data-nearer="whole">Whole</button>'
    )
    which = _set("Garment that hangs", garments) if len(shown) > 1 else ""
    return (
        '<div class="drape-turn" hidden>'
        f'<div class="tools" hidden>{which}{_set("Colours of the cloth", fields)}</div>'
        '<div class="turn-stage"><canvas tabindex="0" role="img" '
        'aria-label="The garment on the figure in three dimensions" '
        'aria-describedby="drape-keys"></canvas><div class="drape-marks" aria-hidden="true"></div>'
        '<div class="turn-levels" aria-hidden="true"><b></b><div class="drape-bands"></div></div>'
        '<p class="turn-lost">The browser has lost this view for now. The pictures stand as they '
        "are; the view comes back by itself when it can.</p></div>"
        '<dl class="drape-key" aria-label="Letters on the cloth" hidden></dl>'
        f'<div class="tools" hidden>{_set("Side", sides)}{_set("Zoom of the garment", zoom)}'
        f"{_set('What is drawn', lines)}</div>"
        '<p class="turn-view" aria-live="polite"></p>'
        '<p class="keys" id="drape-keys">Drag to turn. With the picture in focus: left and right '
        "turn it by 15° (with shift by 5°), up and down look from above or below, or move along "
        "the body when it is near; <kbd>+</kbd> and <kbd>−</kbd> come nearer and go back, or Ctrl "
        "with the wheel; <kbd>0</kbd> shows the whole from the front. Thin lines are the steps of "
        "the scale; a thick line with a number is a fold, its tick at the deeper end; letters "
        "stand where it is most, and are told under the picture. What lies behind cloth or "
        "body has no letter or number until it is turned to. The same numbers are in the tables "
        "below.</p>"
        f'<script type="application/gzip" id="drape-model">{model}</script></div>'
    )


def _garment(seen: LookedAt, unit: LengthUnit) -> str:
    """Of one garment the signs, the pictures, the tables, the folds and what is left out."""
    s = seen.shown
    pictures = "".join(_still(seen, q, unit) for q in PICTURED)
    cloth = f" ({s.hung.cloth})" if s.hung.cloth else ""
    folds = "".join(
        f"<li>{escape(capital(f.words))} ({said(f.length, unit)} long, "
        f"{said(f.depth, unit)} deep)</li>"
        for f in s.folds
    )
    listed = f'<h4>Folds</h4><ol class="drape-folds">{folds}</ol>' if folds else ""
    own = (rest_words(s), *s.elsewhere[len(COMMON) :])
    notes = "".join(f"<li>{escape(capital(c))}</li>" for c in own)
    return (
        f'<div class="drape-garment"><h3>{escape(capital(s.garment))}{escape(cloth)}</h3>'
        f"{_signs(s)}{pictures}"
        f'<div class="drape-told">{_places(s, unit)}<div>{_levels(s)}{listed}'
        f'<ul class="plain">{notes}</ul></div></div></div>'
    )


def _signs(s: Shown) -> str:
    """Why not to trust it, then the signs with what may help them, the worst first."""
    doubts = " ".join(doubted(s.doubts, s.hung.remarks))
    first = f'<p class="drape-doubt">{escape(doubts)}</p>' if doubts else ""
    faults = "".join(_sign(x) for x in s.signs if x.wrong)
    watched = "".join(_sign(x) for x in s.signs if not x.wrong)
    told = f'<ol class="drape-signs">{faults}</ol>'
    if faults:
        told = "".join(f"<p>{escape(r)}</p>" for r in before_signs(s.hung.remarks)) + told
    else:
        told = f"<p>{escape(no_sign(s.hung.remarks))}</p>"
    told += "".join(f"<p>{escape(text)}</p>" for text in opposites(s.signs))
    more = f'<h5>{WATCHED}</h5><ul class="drape-signs">{watched}</ul>' if watched else ""
    return f"{first}<h4>Signs, the worst first</h4>{told}{more}"


def _sign(x: Sign) -> str:
    """One sign: its place, what is seen and how much, on which folds, and what may help it."""
    seen = f" ({x.pictured} on the pictures)" if x.folds else ""
    helps = "".join(
        f"<li>It may need: <b>{escape(small(c.title))}</b>, for “{escape(c.sign)}”.</li>"
        for c in x.causes
    )
    listed = f"<ul>{helps}</ul>" if helps else ""
    title = escape(capital(x.title))
    return f"<li><p><b>{title}</b>: {escape(x.seen)}{seen}.</p>{listed}</li>"


def _still(seen: LookedAt, quantity: Quantity, unit: LengthUnit) -> str:
    p = picture(seen, quantity, unit)
    data = b64encode(png(p, few=True)).decode("ascii")
    name = f"{capital(seen.shown.garment)}: {TITLES[quantity].lower()}"
    return (
        f'<div class="drape-still" tabindex="0" role="group" aria-label="{escape(name)}">'
        f'<img alt="{escape(p.words)}" src="data:image/png;base64,{data}"></div>'
    )


def _places(s: Shown, unit: LengthUnit) -> str:
    """The table of places, as means over each."""
    if not s.places:
        return "<div></div>"
    names = "".join(f'<th scope="col">{SHORT[q].lower()}</th>' for q in QUANTITIES)
    rows = "".join(
        f'<tr><th scope="row">{escape(p.title)}</th>'
        + "".join(_cell(q, p, unit) for q in QUANTITIES)
        + "</tr>"
        for p in s.places
    )
    return (
        f'<div class="scroll" tabindex="0" role="group" aria-label="Places of the '
        f'{escape(s.garment)} as they hang"><table><caption>Place by place, as means; stretch is '
        "how much longer the cloth is than it was cut, gap is from skin to cloth, pressure where "
        "it touches and on how much of the place"
        "</caption>"
        f'<thead><tr><th scope="col">place</th>{names}</tr></thead><tbody>{rows}</tbody></table>'
        "</div>"
    )


def _cell(quantity: Quantity, place: Spot, unit: LengthUnit) -> str:
    words = escape(place.words(quantity, unit))
    odd = quantity.startswith("strain") and remarkable(quantity, place.value(quantity))
    return f"<td><b>{words}</b></td>" if odd else f"<td>{words}</td>"


def _levels(s: Shown) -> str:
    if not s.levels:
        return ""
    rows = "".join(
        f"<div><dt>{escape(capital(name))}</dt><dd>{escape(words)}</dd></div>"
        for name, words in s.levels
    )
    return f'<h4>Levels and plumb lines</h4><dl class="drape-levels">{rows}</dl>'
