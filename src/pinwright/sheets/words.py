"""The fitting in words: what was pinned, what it changed, what must be checked next."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Frame, Paragraph, Spacer, Table, TableStyle

from pinwright.sheets.drawn import Heading
from pinwright.sheets.legend import estimated_words
from pinwright.sheets.lettering import BOLD_FACE, REGULAR, printable
from pinwright.sheets.pages import page_number
from pinwright.sheets.pdf import paint
from pinwright.sheets.tiling import PAPERS, Paper

CAUTION = (
    "Shears and irons: cut away from the hand, unplug the iron when you leave it, and count the "
    "pins before the garment goes back on the wearer."
)
SMALL_PRINT = (
    "The lines on these sheets agree with each other along every seam; whether the garment fits is "
    "seen on the wearer. Widths to trim and to let out are exact for the cloth as it is recorded: "
    "measure the cloth itself before cutting. Follow local rules for safety at work, for what may "
    "be promised about fit, and for flammability of cloth."
)


@dataclass(frozen=True, slots=True)
class Undone:
    """A note that could not be done as asked, and the ways that are open, in order."""

    text: str
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FittingWords:
    """A fitting as plain lines.

    ``pinned`` what was pinned or said, each with its number in the notebook; ``changed`` rows of
    (piece, what changed on it); ``check_next`` what must be looked at next; ``not_done`` what could
    not be done as asked, with its reason and what can be done instead; ``cut_anew`` the pieces to
    be cut anew from the cloth held back for them.
    """

    pinned: tuple[tuple[int, str], ...]
    changed: tuple[tuple[str, str], ...]
    check_next: tuple[str, ...]
    not_done: tuple[Undone, ...] = ()
    cut_anew: tuple[str, ...] = ()


def _style(size: float, bold: bool = False, after: float = 3.0, indent: float = 0.0) -> Any:
    return ParagraphStyle(
        f"s{size}{bold}{after}{indent}",
        fontName=BOLD_FACE if bold else REGULAR,
        fontSize=size,
        leading=size * 1.35,
        spaceAfter=after,
        leftIndent=indent,
    )


def _p(text: str, style: Any) -> Any:
    return Paragraph(escape(printable(text)), style)


Group = list[Any]
"""Flowables that stay on one page where they fit."""


def _section(title: str, rows: list[Group]) -> list[Group]:
    # the heading never stands alone at the foot of a page
    head: Group = [Spacer(1, 8), _p(title, _style(13, True, 4)), *rows[0]]
    return [head, *rows[1:]]


def _ticked(items: tuple[str, ...]) -> list[Group]:
    rows: list[Group] = []
    for text in items:
        box = Table([[""]], colWidths=9, rowHeights=9)
        box.setStyle(TableStyle([("BOX", (0, 0), (-1, -1), 0.8, "black")]))
        row = Table([[box, _p(text, _style(10.5, after=0))]], colWidths=[18, None])
        row.setStyle(
            TableStyle(
                [
                    ("VALIGN", (0, 0), (-1, -1), "TOP"),
                    ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("TOPPADDING", (0, 0), (-1, -1), 2),
                    ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
                ]
            )
        )
        rows.append([row])
    return rows


def story(words: FittingWords, heading: Heading, width: float) -> list[Group]:
    """The page as groups of reportlab flowables, ``width`` in points."""
    g = heading.garment
    out: list[Group] = [
        [
            _p(heading.client, _style(20, True, 6)),
            _p(f"{g[:1].upper()}{g[1:]}: the fitting in words", _style(14, True, 4)),
            _p(f"order {heading.order}, {heading.fitting}, {heading.date}", _style(10.5, after=6)),
        ]
    ]
    if heading.estimated:
        out[0].append(_p(estimated_words(heading), _style(9, after=2)))
    body = _style(10.5)
    pinned = [[_p(f"{k}.  {text}", body)] for k, text in words.pinned]
    out += _section("What was pinned and said", pinned or [[_p("Nothing.", body)]])
    rows = [[_row(a, b, width)] for a, b in words.changed] or [[_p("No piece.", body)]]
    out += _section("What it changed, piece by piece", rows)
    if words.cut_anew:
        said = f"From the cloth held back, as on the pattern sheets: {', '.join(words.cut_anew)}."
        out += _section("Cut anew", [[_p(said, body)]])
    if words.not_done:
        out += _section("What could not be done as asked", [_undone(u) for u in words.not_done])
    out += _section("To check next", _ticked(words.check_next) or [[_p("Nothing more.", body)]])
    small = [
        Spacer(1, 14),
        _p(f"Caution. {CAUTION}", _style(9, True, 4)),
        _p(SMALL_PRINT, _style(7.5, after=0)),
    ]
    return [*out, small]


def _undone(u: Undone) -> Group:
    """A note with the ways that are open listed under it, numbered, kept together."""
    last = len(u.options)
    rows = [_p(u.text, _style(10.5, after=1 if last else 5))]
    for k, text in enumerate(u.options, 1):
        rows.append(_p(f"{k})  {text}", _style(10.5, after=5 if k == last else 1, indent=18)))
    return rows


def _row(piece: str, what: str, width: float) -> Any:
    cells = [[_p(piece, _style(10.5, True, 0)), _p(what, _style(10.5, after=0))]]
    table = Table(cells, colWidths=[0.28 * width, 0.72 * width])
    table.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LINEBELOW", (0, 0), (-1, -1), 0.4, "black"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("TOPPADDING", (0, 0), (-1, -1), 3),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
            ]
        )
    )
    return table


def words_fit(words: FittingWords, heading: Heading, paper: Paper = "a4") -> tuple[int, float]:
    """On how few pages the fitting in words can be set, and with what margin, cm: a narrower one
    where that saves a page."""
    tried = ((words_pages(Canvas(BytesIO()), words, heading, paper, e), e) for e in (2.0, 1.5))
    return min(tried, key=lambda found: found[0])


def words_pages(
    c: Any, words: FittingWords, heading: Heading, paper: Paper, margin: float, count: int = 0
) -> int:
    """Set the fitting in words with a margin of so many cm; gives the number of pages.

    Each says which of ``count`` pages it is, where the count is given.
    """
    k = 72.0 / 2.54
    w, h = (side * k for side in PAPERS[paper])
    edge = margin * k
    width, height = w - 2 * edge, h - 2 * edge

    def new_page() -> Any:
        c.setPageSize((w, h))
        return Frame(edge, edge, width, height, 0, 0, 0, 0)

    def end_page(k: int) -> None:
        if count:
            paint(c, [page_number(k, count, PAPERS[paper][0])])
        c.showPage()

    frame, pages, empty = new_page(), 1, True
    for group in story(words, heading, width):
        tall = sum(f.wrapOn(c, width, height)[1] + f.getSpaceAfter() for f in group)
        if not empty and frame._y - tall < frame._y1p:
            end_page(pages)
            frame, pages = new_page(), pages + 1
        rest = list(group)
        while rest:
            frame.addFromList(rest, c)
            if rest:
                end_page(pages)
                frame, pages = new_page(), pages + 1
        empty = False
    end_page(pages)
    return pages
