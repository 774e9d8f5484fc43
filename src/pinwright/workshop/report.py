"""What was done, as data and in words."""

from __future__ import annotations

from typing import Any

from rich.console import Console
from rich.table import Table

from pinwright.check.result import Check
from pinwright.draft import all_styles
from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import all_entries, entry
from pinwright.fitting.changes import Moved
from pinwright.measures import TERMS, format_length
from pinwright.measures.units import LengthUnit
from pinwright.workshop.job import Job
from pinwright.workshop.notes import NoteResult


def moved_words(side: str, m: Moved, unit: LengthUnit = "cm") -> str:
    """A moved edge in words: "right back, side: 1.0 in (most at waist)"."""
    where = m.at.split(":")[-1].replace("_", " ")
    who = m.title.lower() if side == "both" else f"{side} {m.title.lower()}"
    name = m.edge.replace("_", " ")
    if m.kind == "fact":
        grown = "more" if m.longer > 0 else "less"
        return f"{who}, {name}: {_len(m.longer, unit)} {grown}"
    if m.kind != "edge":
        ways = [
            f"{_len(v, unit)} {plus if v > 0 else minus}"
            for v, plus, minus in (
                (m.along, "higher", "lower"),
                (m.out, "towards the side", "towards the centre"),
            )
            if abs(v) >= 0.05
        ]
        what = name if m.kind in name else f"{name} {m.kind}"
        return f"{who}, {what}: {', '.join(ways)}"
    parts = []
    if abs(m.out) >= 0.05:
        parts.append(f"{_len(m.out, unit)} {'out' if m.out > 0 else 'in'}")
    if abs(m.along) >= 0.05 and abs(m.along) > abs(m.out):
        parts.append(f"{_len(m.along, unit)} along the edge")
    if abs(m.longer) >= 0.05:
        parts.append(f"{_len(m.longer, unit)} {'longer' if m.longer > 0 else 'shorter'}")
    return f"{who}, {name}: {', '.join(parts)} (most at {where})"


def _len(value: float, unit: LengthUnit) -> str:
    return f"{abs(value):.1f}" if unit == "cm" else format_length(abs(value), "in")


def note_data(n: NoteResult) -> dict[str, Any]:
    """A note and what became of it, JSON-ready."""
    return {
        "date": n.on.isoformat(),
        "text": n.text,
        "status": n.status,
        "says": n.says,
        "garment": n.garment,
        "corrections": [
            {
                "kind": c.kind,
                "place": c.place,
                "side": c.side,
                "amounts": dict(c.amounts),
                "options": dict(c.options),
                "meant_as": c.meant_as,
                "form": c.form,
                "belongs_to": c.belongs_to,
            }
            for c in n.corrections
        ],
        "changes": [
            {
                "side": side,
                "piece": m.piece,
                "edge": m.edge,
                "out": round(m.out, 4),
                "along": round(m.along, 4),
                "longer": round(m.longer, 4),
                "at": m.at,
                "words": moved_words(side, m),
            }
            for side, m in n.changes
        ],
        "truing": list(n.steps),
        "missing": [
            {"side": s, "piece": p, "edge": x.edge, "missing": round(x.missing, 3)}
            for s, p, x in n.shortfalls
        ],
        "options": [{"kind": r.kind, "text": r.text, "feasible": r.feasible} for r in n.remedies],
    }


def one_check(c: Check) -> dict[str, Any]:
    """A check, JSON-ready."""
    return {
        "name": c.name,
        "group": c.group,
        "where": c.where,
        "side": c.side,
        "value": round(c.value, 4),
        "target": round(c.target, 4),
        "tolerance": c.tolerance,
        "unit": c.unit,
        "verdict": c.verdict,
        "says": c.says,
    }


def check_data(job: Job) -> dict[str, Any]:
    """All checks of an order before and after the fitting, JSON-ready."""
    return {
        "garments": [
            {
                "style": g.style.name,
                "before": [one_check(c) for c in g.checks_before],
                "after": [one_check(c) for c in g.checks_after],
            }
            for g in job.garments
        ],
        "warnings": [w.message for w in job.warnings],
        "wrong": sum(c.verdict == "wrong" for c in job.checks),
    }


def check_table(job: Job, console: Console) -> None:
    """Print the checks: one line a group, and every check that is not good."""
    for g in job.garments:
        console.print(f"[bold]{g.style.title}[/bold]")
        for when, checks in (
            ("as drafted", g.checks_before),
            ("after the fitting", g.checks_after),
        ):
            groups: dict[str, list[Check]] = {}
            for c in checks:
                groups.setdefault(c.group, []).append(c)
            table = Table(when, "good", "look", "wrong", "worst", box=None, padding=(0, 2))
            for name, cs in groups.items():
                count = {v: sum(c.verdict == v for c in cs) for v in ("good", "look", "wrong")}
                worst = max(cs, key=lambda c: abs(c.off))
                table.add_row(
                    name,
                    str(count["good"]),
                    str(count["look"] or ""),
                    str(count["wrong"] or ""),
                    f"{worst.off:+.3f} {worst.unit}  {worst.name}",
                )
            console.print(table)
            for c in checks:
                if c.verdict != "good":
                    side = "" if c.side == "both" else f" ({c.side})"
                    console.print(
                        f"  {c.verdict}: {c.name}{side} is {c.value:.2f}, should be "
                        f"{c.target:.2f} ± {c.tolerance:g} {c.unit}"
                    )


def fitting_page(job: Job) -> str:
    """The fitting in words: what was pinned, what it changed, what to check next."""
    lines = []
    for n in job.notes:
        lines.append(f"{n.on}  “{n.text}”  {n.status.upper()}")
        if n.status != "made":
            lines.append(f"    {n.says}")
        lines += [f"    {moved_words(side, m)}" for side, m in n.changes if n.status == "made"]
        lines += [f"    {s}" for s in n.steps if n.status == "made"]
        lines += [f"    option: {r.text}" for r in n.remedies]
    return "\n".join(lines)


def styles_data() -> list[dict[str, Any]]:
    """The styles, JSON-ready."""
    return [
        {
            "name": s.name,
            "title": s.title,
            "summary": s.summary,
            "measures": list(s.measures),
            "choices": [
                {
                    "name": c.name,
                    "default": c.default,
                    "may_be": (
                        ", ".join(c.allowed)
                        or (
                            "true, false"
                            if isinstance(c.default, bool)
                            else f"{c.low:g} to {c.high:g} {c.unit}".strip()
                        )
                    ),
                    "help": c.help,
                }
                for c in s.choices
            ],
        }
        for s in all_styles().values()
    ]


def corrections_data(kind: str = "") -> list[dict[str, Any]]:
    """The catalogue of corrections, JSON-ready; one entry when ``kind`` is given.

    Raises:
        CorrectionError: there is no such kind.
    """
    entries = [entry(kind)] if kind else list(all_entries().values())
    if not entries:
        raise CorrectionError("The catalogue is empty.")
    return [
        {
            "kind": e.kind,
            "title": e.title,
            "plus": e.plus,
            "signs": list(e.signs),
            "places": list(e.places),
            "unit": e.unit,
            "usual": list(e.usual),
            "limit": list(e.limit),
            "meanings": list(e.meanings),
            "asked_when_not_said": e.ask,
            "components": list(e.components),
            "options": [
                f"{o.name} ({', '.join(o.allowed) or f'{o.low:g} to {o.high:g}'}): {o.help}"
                for o in e.options
            ],
            "one_sided": e.one_sided,
            "belongs_to": e.belongs_to,
            "effects": e.effects,
            "companions": list(e.companions),
            "next_draft_differs": e.next_draft is not None,
            "sources": list(e.sources),
        }
        for e in entries
    ]


def measures_data() -> list[dict[str, Any]]:
    """The body measures, JSON-ready."""
    return [
        {
            "name": t.name,
            "iso_8559_1": t.iso,
            "definition": t.definition,
            "how": t.how,
            "landmarks": t.landmarks,
            "unit": t.unit,
            "usual": [t.usual_low, t.usual_high],
            "possible": [t.low, t.high],
            "sided": t.sided,
            "garments": list(t.garments),
            "required_for": list(t.required),
        }
        for t in TERMS.values()
    ]
