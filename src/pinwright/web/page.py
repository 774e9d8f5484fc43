"""The page of an order: one file, no network, readable without JavaScript."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from importlib.resources import files
from string import Template
from typing import TYPE_CHECKING

from pinwright.cutting.sentences import capital
from pinwright.fitting.ledger import Fitted
from pinwright.measures.units import LengthUnit
from pinwright.sheets.moved import Move
from pinwright.web.checksheet import check_section, tally
from pinwright.web.client import choices_section, measures_section
from pinwright.web.drawing import piece_group
from pinwright.web.figure import figure_section
from pinwright.web.lay import lays_section
from pinwright.web.lettering import labels, names
from pinwright.web.notebook import STATUS, WAITING, note_card
from pinwright.web.pins import pin_mark, pins
from pinwright.web.svg import number
from pinwright.web.table import Table, lay_out, views
from pinwright.web.wanted import wanted_marks
from pinwright.workshop.basting_words import ORDERED, plan_of, plan_words
from pinwright.workshop.figure import OrderFigure
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.laying import ClothLay
from pinwright.workshop.need import needs
from pinwright.workshop.told import moves, states

if TYPE_CHECKING:
    from pinwright.drape.pictures.picture import LookedAt

FOOT = 3.0
"""Under the pieces, for the scale bar, cm."""

AROUND = 0.05
"""Room to the left and over the pieces for the heads of pins, as a part of the drawing."""

SCREEN = 1000.0
"""Width in screen units that lettering is sized for where there is no JavaScript."""


def page(
    job: Job,
    papers: Sequence[tuple[str, str]] = (),
    lays: Sequence[ClothLay] = (),
    figure: OrderFigure | None = None,
    hung: Sequence[LookedAt] = (),
) -> str:
    """The whole page as HTML text.

    ``papers`` are (title, relative file name) of sheets that lie beside the page, ``lays`` those
    of its cloths, ``figure`` the client's, if it is to be shown, ``hung`` garments that hang on it.
    """
    made = states(job)
    moved = [moves(n, made.get(i), job) for i, n in enumerate(job.notes)]
    cards = "".join(
        note_card(i + 1, n, m, job) for i, (n, m) in enumerate(zip(job.notes, moved, strict=True))
    )
    shown = figure is not None
    # garments are shown with the figure that they hang on, or not at all
    hangs = shown and bool(hung)
    unit = job.order.client.units
    return Template(_part("page.html")).substitute(
        title=escape(_title(job)),
        style=_part("page.css")
        + (_part("figure.css") if shown else "")
        + (_part("drape.css") if hangs else ""),
        script=_part("page.js")
        + (_part("figure.js") if shown else "")
        + (_part("drape.js") if hangs else ""),
        ticket=_ticket(job),
        fitting=_fitting(job),
        waiting=_waiting(job),
        notes=cards,
        tabs=_tabs(job),
        tables="".join(_stage(g, i == 0, job, moved, made) for i, g in enumerate(job.garments)),
        choices=choices_section(job),
        measures=measures_section(job),
        tallies=_tallies(job),
        checks="".join(check_section(g) for g in job.garments),
        papers=_papers(papers),
        figure=figure_section(figure, unit),
        drape=_hung(hung, figure, unit),
        lays=_lays(job, lays),
        basting=_basting(job),
    )


def _hung(hung: Sequence[LookedAt], figure: OrderFigure | None, unit: LengthUnit) -> str:
    if figure is None or not hung:
        return ""
    # the extra that hangs garments need not be there
    from pinwright.web.drape import drape_section

    return drape_section(hung, figure.figure.points, unit)


def _lays(job: Job, lays: Sequence[ClothLay]) -> str:
    found = needs(job, {c.stock.key: c.lays for c in lays})
    return lays_section(lays, {n.stock.key: n for n in found}, job.order.client.units)


def _basting(job: Job) -> str:
    out = []
    for g in job.garments:
        p = plan_words(plan_of(g), job.order.client.units)
        cut, traces, steps, after = (
            "".join(f"<{tag}>{escape(x)}</{tag}>" for x in some)
            for tag, some in (("p", p.cut), ("li", p.traces), ("li", p.steps), ("p", p.after))
        )
        said = (
            f"{cut}<p>{escape(p.marked)}</p><ul>{traces}</ul>"
            f"<p>{escape(ORDERED)}</p><ol>{steps}</ol>{after}"
        )
        out.append(
            f'<details class="group"><summary><span class="title">Basting the '
            f'{escape(g.style.name)}</span></summary><div class="plan">{said}</div></details>'
        )
    return "".join(out)


def _part(name: str) -> str:
    return (files("pinwright.web") / name).read_text(encoding="utf-8")


def _title(job: Job) -> str:
    what = " and ".join(g.style.name for g in job.garments)
    return f"{job.order.client.name}: {what}"


def _ticket(job: Job) -> str:
    o = job.order
    rows = [("Order", o.number or "not numbered")]
    if o.date:
        rows.append(("Taken", f"{o.date:%d %B %Y}".lstrip("0")))
    rows += [("Fitted", f"{f.date:%d %B %Y}".lstrip("0")) for f in o.fittings]
    rows.append(("Garments", ", ".join(g.draft.title.lower() for g in job.garments)))
    cells = "".join(f"<div><dt>{k}</dt><dd>{escape(v)}</dd></div>" for k, v in rows)
    remark = f'<p class="remark">{escape(o.client.remark)}</p>' if o.client.remark else ""
    return f'<h1>{escape(o.client.name)}</h1>{remark}<dl class="ticket">{cells}</dl>'


def _fitting(job: Job) -> str:
    out = []
    for f in job.order.fittings:
        heel = f" Heels of {f.heel:g} cm." if f.heel is not None else ""
        out.append(f"<p>{escape(f.remark)}{heel}</p>")
    count = {s: sum(n.status == s for n in job.notes) for s in STATUS}
    told = ", ".join(f"{n} {STATUS[s].lower()}" for s, n in count.items() if n)
    lines = len(job.notes)
    return "".join(out) + f"<p>{lines} line{'' if lines == 1 else 's'}: {told}.</p>"


def _waiting(job: Job) -> str:
    open_ = [(i + 1, n) for i, n in enumerate(job.notes) if n.status in WAITING]
    if not open_:
        return '<p class="waiting none">Nothing waits for an answer.</p>'
    items = "".join(
        f'<li><a href="#note-{i}"><span class="head" aria-hidden="true">{i}</span> '
        f"{escape(n.text)}</a> <span>{STATUS[n.status].lower()}</span></li>"
        for i, n in open_
    )
    return f'<div class="waiting"><h2>Waiting for you</h2><ul>{items}</ul></div>'


def _tabs(job: Job) -> str:
    return "".join(
        f'<button type="button" class="tab" data-garment="{escape(g.style.name)}" '
        f'aria-pressed="{"true" if i == 0 else "false"}">{escape(capital(g.style.name))}</button>'
        for i, g in enumerate(job.garments)
    )


def _stage(
    g: GarmentJob,
    first: bool,
    job: Job,
    moved: Sequence[tuple[Move, ...]],
    made: dict[int, tuple[Fitted, Fitted]],
) -> str:
    table = lay_out(views(g))
    mine = [
        (i + 1, n.corrections, moved[i])
        for i, n in enumerate(job.notes)
        if n.garment == g.style.name and n.status in ("made", "short")
    ]
    short = {i + 1 for i, n in enumerate(job.notes) if n.status == "short"}
    pinned = "".join(
        pin_mark(p, "short" if p.note in short else "") for p in pins(mine, g.draft, table.laid)
    )
    laid = [(item.view, item.placing) for item in table.laid]
    high = table.height + FOOT
    named = labels(laid, table.width / SCREEN, high)
    along = "".join(
        f'<g class="names" data-side="{v.side}">{names(v.piece, placing)}</g>'
        for v, placing in laid
    )
    # names stand over all pieces, for one may be wider than its own
    drawn = "".join(piece_group(*on) for on in laid)
    drawn += f'<g class="labels" aria-hidden="true">{along}{"".join(named)}</g>'
    name = escape(g.style.name)
    changed = sum(1 for item in table.laid if item.view.before is not None)
    said = (
        f"The {name}: {len(table.laid)} pieces, {changed} of them moved by the fitting. "
        "Thin dashed lines: before the fitting. Bold lines: after. The line round each piece: edge "
        "of the cloth, dotted where it is still to be cut. Pieces lie right side up."
    )
    return (
        f'<figure class="stage" data-garment="{name}"{"" if first else " data-second"}>'
        f'<svg class="table" viewBox="{number(-AROUND * table.width, 1)} '
        f"{number(-AROUND * high, 1)} {number((1 + AROUND) * table.width, 1)} "
        f'{number((1 + AROUND) * high, 1)}" '
        f'style="--k:{number(table.width / SCREEN, 3)};'
        f'--shape:{number(table.width / high, 3)}" '
        f'data-w="{number(table.width, 1)}" data-h="{number(high, 1)}" '
        f'role="group" aria-label="{escape(said)}">'
        f"{_ground(table)}{drawn}{_bar(high)}"
        f'{wanted_marks(g, job, table.laid)}<g class="pins" aria-hidden="true">{pinned}</g></svg>'
        f"<figcaption>{escape(said)}</figcaption></figure>"
    )


def _ground(table: Table) -> str:
    """Dot-and-cross paper under the pieces, far beyond them on every side."""
    far = 10 * round(max(table.width, table.height) / 5)
    wide = number(2 * far + table.width, 0)
    high = number(2 * far + table.height, 0)
    return (
        f'<rect class="ground" x="{-far}" y="{-far}" width="{wide}" height="{high}" '
        'fill="url(#paper)"/>'
    )


def _bar(high: float) -> str:
    """A 10 cm bar at the foot of the drawing, for paper and for pages without the tape."""
    x, y = 5.0, high - 1.2
    return (
        f'<g class="bar"><path d="M{x} {number(y - 0.8, 2)}V{number(y, 2)}H{x + 10}'
        f'V{number(y - 0.8, 2)}M{x + 5} {number(y, 2)}v-.5"/>'
        f'<g class="fixed" '
        f'transform="translate({x + 11} {number(y, 2)})"><text>10 cm</text></g></g>'
    )


def _tallies(job: Job) -> str:
    out = []
    for g in job.garments:
        out.append(
            f"<li><b>{escape(capital(g.style.name))}</b> "
            f"before: {tally(g.checks_before)}; after: {tally(g.checks_after)}</li>"
        )
    return "".join(out)


def _papers(papers: Sequence[tuple[str, str]]) -> str:
    if not papers:
        return ""
    items = "".join(
        f'<li><a href="{escape(where)}">{escape(title)}</a></li>' for title, where in papers
    )
    return (
        '<nav class="papers" aria-label="Sheets"><h2>Sheets beside this page</h2>'
        f"<ul>{items}</ul></nav>"
    )
