"""What was done, as data and in words."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import Any

from rich.console import Console
from rich.table import Table

from pinwright.check.measuring import finished
from pinwright.check.result import Check
from pinwright.cutting.sentences import capital
from pinwright.draft import all_styles
from pinwright.errors import CorrectionError
from pinwright.fitting.catalogue import all_entries, entry
from pinwright.fitting.changes import Moved
from pinwright.fitting.correction import Entry
from pinwright.fitting.ledger import Fitted
from pinwright.measures import TERMS
from pinwright.measures.units import LengthUnit
from pinwright.sheets.moved import move, sentence
from pinwright.workshop.job import Job
from pinwright.workshop.notes import NoteResult
from pinwright.workshop.told import check_name, check_words, moves, states, ways


def moved_words(side: str, m: Moved, unit: LengthUnit = "cm") -> str:
    """A change in words: "right back, shoulder: 0.4 down at the tip"."""
    return sentence(move(side, m, unit))


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
        "bound": c.bound,
        "unit": c.unit,
        "verdict": c.verdict,
        "says": c.says,
    }


def finished_measures(fitted: Fitted) -> dict[str, tuple[float, ...]]:
    """The finished measures as worn, cm by name, as the checks find them; see :func:`finished`."""
    return {t.name: finished(fitted.right, fitted.left, t) for t in fitted.garment.targets}


def sided(said: Sequence[str]) -> str:
    """A measure in words: once, or right and left where they are not told alike."""
    return said[0] if len(set(said)) == 1 else f"right {said[0]}, left {said[-1]}"


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
        console.print(f"[bold]{capital(g.draft.title)}[/bold]")
        for when, checks in (
            ("as drafted", g.checks_before),
            ("after the fitting", g.checks_after),
        ):
            console.print(_group_table(when, checks))
            for c in checks:
                if c.verdict != "good":
                    console.print(f"  {c.verdict}: {check_words(c)}")


def _group_table(when: str, checks: Sequence[Check]) -> Table:
    """How many of each group are good; the worst of it is told only where one is not."""
    groups: dict[str, list[Check]] = {}
    for c in checks:
        groups.setdefault(c.group, []).append(c)
    heads = ["good", "look", "wrong", "worst"] if any(c.verdict != "good" for c in checks) else [
        "good"
    ]  # fmt: skip
    table = Table(when, *heads, box=None, padding=(0, 2))
    for name, cs in groups.items():
        count = {v: sum(c.verdict == v for c in cs) for v in ("good", "look", "wrong")}
        cells = [name, str(count["good"])]
        if len(heads) > 1:
            bad = [c for c in cs if c.verdict != "good"]
            worst = max(bad, key=lambda c: (c.verdict == "wrong", abs(c.off)), default=None)
            told = "" if worst is None else check_name(worst)
            cells += [str(count["look"] or ""), str(count["wrong"] or ""), told]
        table.add_row(*cells)
    return table


def fitting_page(job: Job) -> str:
    """The fitting in words: what was pinned, what became of it, what it moved."""
    made = states(job)
    lines = []
    for i, n in enumerate(job.notes):
        lines.append(f"{n.on}  “{n.text}”  {n.status.upper()}")
        said, choices = ways(n)
        if n.says != "Made.":
            lines.append(f"    {said}")
        lines += [f"    {k}. {way}" for k, way in enumerate(choices, 1)]
        if n.status == "made":
            lines += [f"    {sentence(m)}" for m in moves(n, made.get(i), job)]
        if n.status == "short":
            lines += [
                f"    {k}. {r.text}{'' if r.feasible else ' (not enough)'}"
                for k, r in enumerate(n.remedies, 1)
            ]
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


def correction_text(kind: str) -> str:
    """One entry of the catalogue as a short page to read.

    Raises:
        CorrectionError: there is no such kind.
    """
    e = entry(kind)
    unit = "°" if e.unit == "deg" else f" {e.unit}"
    rows = [
        ("more", e.plus),
        ("seen as", "; ".join(e.signs)),
        ("usual", f"{e.usual[0]:g} to {e.usual[1]:g}{unit}"),
        ("at most", f"{e.limit[0]:g} to {e.limit[1]:g}{unit}"),
        ("where", ", ".join(p.replace("_", " ") for p in e.places)),
        ("meant as", _meanings(e)),
        ("amounts", ", ".join(e.components) if len(e.components) > 1 else ""),
        ("side", "both, or right or left only" if e.one_sided else "both"),
        ("belongs to", f"the {e.belongs_to}"),
        ("changes", e.effects),
        ("goes along", "; ".join(e.companions)),
        ("next draft", "made in its fuller form there" if e.next_draft is not None else ""),
        ("sources", "; ".join(e.sources)),
    ]
    rows[6:6] = [
        (
            f"option {o.name.replace('_', ' ')}",
            f"{o.help} ({', '.join(o.allowed) or f'{o.low:g} to {o.high:g}'})",
        )
        for o in e.options
    ]
    wide = max(len(name) for name, text in rows if text)
    lines = [f"{capital(e.title)}  ({e.kind})"]
    for name, text in rows:
        if text:
            lines += wrap(
                text,
                96,
                initial_indent=f"  {name:<{wide}}  ",
                subsequent_indent=" " * (wide + 4),
                break_on_hyphens=False,
            )
    return "\n".join(lines)


def _meanings(e: Entry) -> str:
    said = ", ".join(m.replace("_", " ") for m in e.meanings)
    return f"{said}; asked when it is not said" if e.ask and len(e.meanings) > 1 else said


def measures_table() -> Table:
    """The body measures to print: name, range that is possible, garments, how to tape them."""
    table = Table(box=None, padding=(0, 2, 0, 0))
    table.add_column("measure", no_wrap=True)
    table.add_column("range", no_wrap=True, justify="right")
    table.add_column("garments")
    table.add_column("how to tape it", ratio=1)
    for t in TERMS.values():
        unit = "°" if t.unit == "deg" else f" {t.unit}"
        needed = [f"{g} (needed)" if g in t.required else g for g in t.garments]
        sides = ", right and left" if t.sided else ""
        table.add_row(
            t.name,
            f"{t.low:g} to {t.high:g}{unit}",
            ", ".join(needed),
            f"{t.definition}{sides} {t.how}".strip(),
        )
    return table


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
