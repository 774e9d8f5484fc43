"""What a note that is short of cloth would need: its lines and where cloth is missing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pinwright.fitting.correction import Correction
from pinwright.fitting.ledger import Fitted, fit
from pinwright.measures.amounts import amount
from pinwright.web.lettering import words
from pinwright.web.svg import path_data
from pinwright.web.table import Laid
from pinwright.workshop.job import GarmentJob, Job
from pinwright.workshop.notes import NoteResult


def wanted_states(g: GarmentJob, notes: Sequence[NoteResult]) -> dict[int, Fitted]:
    """The garment as each note that is short would have it, by the note's place in the job."""
    ledger: list[Correction] = list(g.before.ledger)
    found: dict[int, Fitted] = {}
    for i, n in enumerate(notes):
        if n.garment != g.style.name:
            continue
        if n.status == "made":
            ledger += n.corrections
        elif n.status == "short":
            found[i] = fit(g.draft, [*ledger, *n.corrections])
    return found


def wanted_marks(g: GarmentJob, job: Job, laid: Sequence[Laid]) -> str:
    """Lines a short note asks for (dotted) and the worst places where cloth is missing."""
    out = []
    for i, fitted in wanted_states(g, job.notes).items():
        note = job.notes[i]
        edges = {(side, m.piece, m.edge) for side, m in note.changes}
        parts = []
        for item in laid:
            view = item.view
            half = fitted.left if view.side == "left" else fitted.right
            for e in half.by_name[view.piece.name].edges if view.piece.name in half.by_name else ():
                if any((s, view.piece.name, e.name) in edges for s in _sides(view.side)):
                    parts.append(f'<path d="{path_data(e.runs, item.placing, 3)}"/>')
            for edge in {x.edge for s, p, x in note.shortfalls if p == view.piece.name}:
                worst = max(
                    (
                        x
                        for s, p, x in note.shortfalls
                        if p == view.piece.name and x.edge == edge and s in _sides(view.side)
                    ),
                    key=lambda x: x.missing,
                    default=None,
                )
                if worst is not None:
                    at = item.placing.apply(np.asarray(worst.where))
                    said = f"{amount(worst.missing, job.order.client.units)} missing"
                    parts.append(words(at, said, "missing", (0.0, -8.0)))
        out.append(f'<g class="wanted" data-note="{i + 1}">{"".join(parts)}</g>')
    return "".join(out)


def _sides(side: str) -> tuple[str, ...]:
    return ("both", "right", "left") if side == "both" else ("both", side)
