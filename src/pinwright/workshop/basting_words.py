"""The basting plan in words, for a page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pinwright.cutting.sentences import capital, listed, small
from pinwright.measures.amounts import size
from pinwright.measures.units import LengthUnit
from pinwright.workshop.basting import (
    BY_HAND,
    TRACE_STITCH,
    BastingPlan,
    Eased,
    Trace,
    basting_plan,
)
from pinwright.workshop.job import GarmentJob
from pinwright.workshop.stock import pieces_of

_LAID: Mapping[str, str] = {"dart": "folded", "hem": ""}
"""What lies as a step says, by what it is; else the allowance."""


def plan_of(g: GarmentJob) -> BastingPlan:
    """The basting plan of a garment as it is cut, with what follows its pieces by rule."""
    fitted = g.before if g.spec.cut else g.after
    return basting_plan(fitted.garment, tuple(pieces_of(g, "cut")[0].values()))


@dataclass(frozen=True, slots=True)
class PlanWords:
    """The plan in words: what is cut when and what is marked (``marked`` ends in a colon), then
    ``traces`` one to each line, ``steps`` in their order, and what else is to be said."""

    cut: tuple[str, ...]
    marked: str
    traces: tuple[str, ...]
    steps: tuple[str, ...]
    after: tuple[str, ...]


ORDERED = "Baste in this order:"


def words(plan: BastingPlan, unit: LengthUnit = "cm") -> tuple[str, ...]:
    """The plan as lines to read one under the other, in the unit asked for."""
    p = plan_words(plan, unit)
    return (
        *p.cut,
        p.marked,
        *(f"- {t}" for t in p.traces),
        ORDERED,
        *(f"{i}. {s}" for i, s in enumerate(p.steps, 1)),
        *p.after,
    )


def plan_words(plan: BastingPlan, unit: LengthUnit = "cm") -> PlanWords:
    """The plan in words, list by list, in the unit asked for."""

    def said(cm: float) -> str:
        # thread and long seams are counted in whole centimetres
        whole = unit == "cm" and cm >= 20.0
        return size(round(cm) if whole else cm, unit)

    cut = [
        f"{capital(plan.garment)}. Cut for the fitting: {_list(plan.now)}.",
        *([f"Cut after it: {_list(plan.later)}."] if plan.later else []),
    ]
    marked = (
        f"Mark with thread, stitches of about {said(TRACE_STITCH)} (lengths are of both sides "
        "together):"
    )
    traces = [f"{small(t.piece)}: {_traced(t)}, {said(t.length)}" for t in plan.traces]
    steps = []
    for s in plan.steps:
        parts = [f"{capital(s.title)} ({_list(s.pieces)})"]
        if s.instead:
            parts.append(s.instead)
        if s.length > 0.0:
            parts.append(f"{said(s.length)} in stitches of {said(s.stitch_length)}")
        if s.eased:
            parts.append(", ".join(_eased(e, said) for e in s.eased))
        if s.lies:
            parts.append(f"{_LAID.get(s.what, 'allowance')} {s.lies}".lstrip())
        if s.open:
            parts.append(f"leave open {s.open}, {said(s.open_length)}")
        if s.pins:
            parts.append(f"{s.pins} pins")
        steps.append("; ".join(parts) + ".")
    after = (f"Basting in all {said(plan.length)}: {BY_HAND}.", *plan.cautions)
    return PlanWords(tuple(cut), marked, tuple(traces), tuple(steps), after)


def _traced(t: Trace) -> str:
    """The line and why it is marked, said once where one says the other."""
    line, why = set(t.line.split()), set(t.why.replace(",", "").replace(";", "").split())
    if line <= why:
        return t.why
    return t.line if why <= line else f"{t.line} ({t.why})"


def _eased(e: Eased, said: Callable[[float], str]) -> str:
    where = f"from {_told(e.start)} to {_told(e.end)}"
    if e.stretched:
        return f"{listed(e.stretched).lower()} stretched {said(e.cm)} {where}"
    return f"{said(e.cm)} of the {listed(e.of).lower()} eased in {where}"


def _list(names: Sequence[str]) -> str:
    # what a title adds in brackets (how often, which side) is on the pieces
    return ", ".join(dict.fromkeys(small(n.partition(" (")[0]) for n in names))


def _told(station: str) -> str:
    return station.replace("_", " ")
