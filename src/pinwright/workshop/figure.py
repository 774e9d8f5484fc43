"""The client's figure in an order: made from her record, written out, and what it tells."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pinwright.check.static_ease import garment_girths
from pinwright.cutting.sentences import capital
from pinwright.figure.ease import Ease, ease_warnings, eases
from pinwright.figure.export import glb, obj
from pinwright.figure.figure import Figure, Measured, figure_of
from pinwright.figure.fitting.wanted import LIMBS
from pinwright.figure.photographs.silhouette import sentence
from pinwright.figure.pictures import SIDES, svg
from pinwright.figure.remarks import off_by, stance_words
from pinwright.figure.seen import seen
from pinwright.measures import TERMS
from pinwright.measures.amounts import said
from pinwright.measures.estimate import Body
from pinwright.measures.record import split_side
from pinwright.measures.units import LengthUnit
from pinwright.sheets.drawn import Heading
from pinwright.sheets.figure_sheet import figure_sheet
from pinwright.sheets.taping_sheet import taping_sheet
from pinwright.sheets.tiling import Paper
from pinwright.sheets.writing import write_whole
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.order import Order

CAUTION = (
    "The figure is a model made from the tape's numbers: it has these measures, but it is not a "
    "picture of the client. Fit is judged at the fitting."
)

LEVELS = ("under_bust", "top_hip")
"""Levels of the figure at which a garment is measured besides those of its own draft."""


@dataclass(frozen=True, slots=True, eq=False)
class OrderFigure:
    """A figure and what it tells of the order.

    eases: by garment. opinions: lengths that the record only estimated and the figure has
    otherwise, told and never used. odd: what of the order is to be looked at first.
    """

    figure: Figure
    eases: Mapping[str, tuple[Ease, ...]]
    opinions: tuple[str, ...]
    odd: tuple[str, ...] = ()


def order_figure(job: Job, tell: Callable[[float], None] | None = None) -> OrderFigure | None:
    """The figure of an order; None where it needs no body or the client does not want one shown.

    Raises:
        FigureError: a posture that is not possible, or photographs that contradict each other.
    """
    if not job.body.values:
        return None
    waists = _taped_waists(job)
    odd = [f"Look again: {w.message}" for w in job.warnings]
    odd += [
        f"The waist where trousers are worn was taped {said(w.taped, job.order.client.units)} at "
        f"the fitting; the figure has {said(w.figure, job.order.client.units)}, from the measures. "
        "Put it there if it is hers."
        for w in waists.values()
    ]
    return body_figure(job.order, job.body, odd, job.garments, tell, waists)


def body_figure(
    order: Order,
    body: Body,
    odd: Sequence[str] = (),
    garments: Sequence[GarmentJob] = (),
    tell: Callable[[float], None] | None = None,
    waists: Mapping[str, TapedWaist] = MappingProxyType({}),
) -> OrderFigure | None:
    """The figure of a body, with the ease of garments where they could be drafted; as above.

    waists: by garment, what was taped at its fitting; its ease is told over that.
    """
    if not body.values or not order.figure.shown:
        return None
    asked, unit = order.figure, order.client.units
    figure = figure_of(body, asked.posture, tell, asked.marked(), unit)
    found = {
        g.spec.style: _eases(g, figure, body.estimated, waists.get(g.spec.style)) for g in garments
    }
    return OrderFigure(figure, found, opinions(figure.measured, unit), tuple(odd))


@dataclass(frozen=True, slots=True)
class TapedWaist:
    """A waist taped at a fitting that is not that of the measures, and that one, cm; the term."""

    term: str
    taped: float
    figure: float


def _taped_waists(job: Job) -> dict[str, TapedWaist]:
    """By garment the waist last taped at its fitting, where it is not that of the measures."""
    term = "worn_waist_girth" if "worn_waist_girth" in job.body.values else "waist_girth"
    found = {
        n.garment: TapedWaist(term, p.amount, job.body[term])
        for n in job.notes
        if n.reading is not None
        for p in n.reading.proposals
        if p.meant_as == "measure" and p.kind == "waistband_length"
    }
    return {g: w for g, w in found.items() if abs(w.taped - w.figure) > 0.05}


def _eases(
    g: GarmentJob, figure: Figure, estimated: Mapping[str, object], waist: TapedWaist | None
) -> tuple[Ease, ...]:
    middle = figure.marks.levels["waist"]
    heights = {name: figure.marks.levels[name] - middle for name in LEVELS}
    body = {m.name: m.figure for m in figure.measured}
    if waist is not None:
        # front and back share it as they share the figure's
        grown = waist.taped / body[waist.term]
        terms = (
            waist.term.replace("_girth", f"_{part}") for part in ("girth", "front_arc", "back_arc")
        )
        body |= {t: body[t] * grown for t in terms if t in body}
    again = () if waist is None else (waist.term,)
    return eases(garment_girths(g.after, heights), body, tuple(estimated), again)


def opinions(measured: Sequence[Measured], unit: LengthUnit) -> tuple[str, ...]:
    """What the figure says of lengths that were only estimated, where it differs by more than the
    estimate's own error."""
    by_term: dict[str, list[Measured]] = {}
    for m in measured:
        term, _ = split_side(m.name)
        if not m.given and term not in LIMBS and TERMS[term].unit == "cm":
            by_term.setdefault(term, []).append(m)
    found = []
    for term, both in by_term.items():
        # an estimate is the same for both sides
        m, has = both[0], sum(b.figure for b in both) / len(both)
        if abs(has - m.record) > m.error:
            found.append(
                f"{TERMS[term].label}: estimated {said(m.record, unit)}, give or take "
                f"{said(m.error, unit)}; the figure has {said(has, unit)}. Tape it."
            )
    return tuple(found)


def figure_data(found: OrderFigure) -> dict[str, Any]:
    """The figure as JSON: cm, degrees, kg; residuals in mm."""
    f = found.figure
    return {
        "measures": [
            {
                "name": m.name,
                "record": round(m.record, 4),
                "figure": round(m.figure, 4),
                "residual_mm": None if m.residual is None else round(m.residual, 3),
                "given": m.given,
                "standard_error": round(m.error, 4),
            }
            for m in f.measured
        ],
        "levels": {name: round(z, 4) for name, z in f.marks.levels.items()},
        "landmarks": {n: [round(float(v), 4) for v in p] for n, p in f.marks.points.items()},
        "posture": {n: round(getattr(f.posture, n), 4) for n in type(f.posture).__slots__},
        "moved": round(f.moved, 3),
        "ease": {
            garment: [
                {
                    "level": e.level,
                    "part": e.part,
                    "side": e.side,
                    "garment": round(e.garment, 3),
                    "body": round(e.body, 3),
                    "ease": round(e.ease, 3),
                    "estimated": e.estimated,
                }
                for e in some
            ]
            for garment, some in found.eases.items()
        },
        "photographs": [
            {
                "number": a.number,
                "view": a.view,
                "agrees": a.agrees,
                "mean": round(a.mean, 3),
                "worst": round(a.worst, 3),
                "where": a.where,
                "within_1_cm": round(a.within, 4),
                "points": a.judged,
                "lean": round(a.lean, 2),
            }
            for a in f.agreements
        ],
        "second_opinions": list(found.opinions),
        "remarks": list(f.remarks()),
        "caution": CAUTION,
    }


def figure_words(found: OrderFigure, unit: LengthUnit) -> list[str]:
    """What the figure tells, in sentences."""
    f = found.figure
    off = [m for m in f.measured if m.given and m.residual is not None]
    worst = max(off, key=lambda m: abs(m.residual or 0.0), default=None)
    lines = list(found.odd)
    if worst is not None:
        terms = len({split_side(m.name)[0] for m in off})
        lines.append(
            f"Of the {terms} taped measures that a standing figure has, the furthest off is "
            f"{worst.label}, by {off_by(abs(worst.residual or 0.0), unit)}."
        )
    lines += f.remarks(unit)
    lines += [sentence(a, unit) for a in f.agreements]
    if f.agreements:
        lines += stance_words(f.posture, unit)
    for garment, some in found.eases.items():
        lines += [f"{garment}: {w}" for w in ease_warnings(some, unit)]
    if found.opinions:
        told = " ".join(capital(o.removesuffix(" Tape it.")) for o in found.opinions)
        lines.append(f"Second opinions on what was only estimated; tape these. {told}")
    return [*lines, CAUTION]


def write_figure(
    found: OrderFigure, heading: Heading, folder: Path, paper: Paper = "a4"
) -> list[Path]:
    """Pictures, mesh, the sheet and how to tape, each whole or not at all; the paths written."""
    folder.mkdir(parents=True, exist_ok=True)
    f, unit = found.figure, heading.unit
    # each side is looked at once, for its own picture and for the row
    sides = [seen(f.points, f.faces, f.marks, side) for side in SIDES]
    files: dict[str, str | bytes] = {
        f"figure-{s.side}.svg": svg((s,), f.marks, unit, name=f"figure-{s.side}") for s in sides
    }
    files["figure.svg"] = svg(sides, f.marks, unit)
    files["figure-sheet.pdf"] = figure_sheet(
        f, found.eases, found.opinions, CAUTION, heading, paper
    )
    files["how-to-tape.pdf"] = taping_sheet(f, heading, paper)
    files["figure.obj"] = obj(f.points, f.faces)
    files["figure.glb"] = glb(f.points, f.faces)
    paths = []
    for name, content in files.items():
        data = content.encode() if isinstance(content, str) else content
        write_whole(folder / name, data)
        paths.append(folder / name)
    return paths
