"""The basting plan in words, for a page."""

from __future__ import annotations

from collections.abc import Sequence

from pinwright.measures.units import LengthUnit, format_length
from pinwright.workshop.basting import BY_HAND, TRACE_STITCH, BastingPlan


def words(plan: BastingPlan, unit: LengthUnit = "cm") -> tuple[str, ...]:
    """The plan as lines for a page, in the unit asked for."""

    def said(cm: float) -> str:
        # thread and long seams are counted in whole centimetres
        whole = unit == "cm" and cm >= 20.0
        return format_length(round(cm) if whole else cm, unit).replace(".0 cm", " cm")

    lines = [
        f"{_capital(plan.garment)}. Cut for the fitting: {_list(plan.now)}.",
        *([f"Cut after it: {_list(plan.later)}."] if plan.later else []),
        f"Mark with thread, stitches of about {said(TRACE_STITCH)} (lengths are of both sides "
        "together):",
        *(f"- {_small(t.piece)}, {t.line}: {t.why}, {said(t.length)}" for t in plan.traces),
        "Baste in this order:",
    ]
    for i, s in enumerate(plan.steps, 1):
        parts = [f"{i}. {_capital(s.title)} ({_list(s.pieces)})"]
        if s.instead:
            parts.append(s.instead)
        if s.length > 0.0:
            parts.append(f"{said(s.length)} in stitches of {said(s.stitch_length)}")
        if s.eased:
            parts.append(
                ", ".join(
                    f"{said(e.cm)} of the {' and '.join(e.of).lower()} eased in from "
                    f"{_told(e.start)} to {_told(e.end)}"
                    for e in s.eased
                )
            )
        if s.lies:
            parts.append(f"allowance {s.lies}")
        if s.open:
            parts.append(f"leave open {s.open}, {said(s.open_length)}")
        if s.pins:
            parts.append(f"{s.pins} pins")
        lines.append("; ".join(parts) + ".")
    lines.append(f"Basting in all {said(plan.length)}: {BY_HAND}.")
    return (*lines, *plan.cautions)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


def _list(names: Sequence[str]) -> str:
    return ", ".join(_small(n) for n in names)


def _told(station: str) -> str:
    return station.replace("_", " ")
