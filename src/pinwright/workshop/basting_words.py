"""The basting plan in words, for a page."""

from __future__ import annotations

from pinwright.measures.units import LengthUnit, format_length
from pinwright.workshop.basting import BY_HAND, TRACE_STITCH, BastingPlan


def words(plan: BastingPlan, unit: LengthUnit = "cm") -> tuple[str, ...]:
    """The plan as lines for a page, in the unit asked for."""

    def said(cm: float) -> str:
        return format_length(cm, unit)

    lines = [
        f"Cut for the fitting: {', '.join(plan.now)}.",
        *([f"Cut after it: {', '.join(plan.later)}."] if plan.later else []),
        f"Mark with thread, stitches of about {said(TRACE_STITCH)}:",
        *(f"- {t.piece}, {t.line}: {t.why}, {said(t.length)}" for t in plan.traces),
        "Baste in this order:",
    ]
    for i, s in enumerate(plan.steps, 1):
        parts = [f"{i}. {s.title[:1].upper()}{s.title[1:]} ({', '.join(s.pieces)})"]
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
    lines.append(f"Basting in all {said(plan.length)}; {BY_HAND}.")
    return (*lines, *plan.cautions)


def _told(station: str) -> str:
    return station.replace("_", " ")
