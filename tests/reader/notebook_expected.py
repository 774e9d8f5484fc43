"""Proposals written as in the corpus, to compare with what the reader gives."""

from __future__ import annotations

from pinwright.fitting.proposal import Proposal
from pinwright.fitting.reader import Reading, answer, read_line

from .notebook_corpus import GARMENTS, Line


def written(proposal: Proposal) -> str:
    """A proposal in the compact form of the corpus."""
    sign = "+" if proposal.amount > 0 else ""
    parts = [
        proposal.kind,
        proposal.place,
        proposal.side,
        f"{sign}{round(proposal.amount, 6):g}",
        proposal.meant_as,
    ]
    for name, value in proposal.options:
        if isinstance(value, float):
            parts.append(f"{name}={'+' if value > 0 else ''}{round(value, 6):g}")
        else:
            parts.append(f"{name}={value.replace(' ', '_')}")
    if proposal.pins:
        parts.append(f"pins={proposal.pins}")
    if proposal.garment:
        parts.append(f"@{proposal.garment}")
    return " ".join(parts)


def normal(text: str) -> str:
    """Options of a written proposal in a fixed order."""
    parts = text.split()
    return " ".join(parts[:5] + sorted(parts[5:]))


def differences(line: Line) -> list[str]:
    """What the reader reads otherwise than the corpus says; empty when all agrees."""
    reading = read_line(line.text, GARMENTS[line.g], unit=line.unit)
    wrong: list[str] = []
    if reading.status != line.status:
        why = reading.why or reading.question or ""
        got = [written(p) for p in reading.proposals]
        return [f"status {reading.status}, not {line.status}: {why} {reading.unread} {got}"]
    asked: list[str] = []
    answers = list(line.answers)
    while reading.questions and answers:
        question = reading.questions[0]
        asked.append(f"{question.about}:{','.join(c.key for c in question.choices)}")
        if answers[0] not in {c.key for c in question.choices}:
            return [f"asks {asked[-1]} ({question.text}), not {line.asks}"]
        reading = answer(reading, answers.pop(0))
    if reading.questions:
        wrong.append(f"still asks {reading.question}")
    if tuple(asked) != line.asks:
        wrong.append(f"asks {asked}, not {line.asks}")
    wrong.extend(_proposal_differences(reading, line))
    if tuple(o.about for o in reading.observations) != line.observed:
        wrong.append(f"observes {reading.observations}, not {line.observed}")
    wrong.extend(
        f"{u!r} not in unread {reading.unread}" for u in line.unread if u not in reading.unread
    )
    return wrong


def _proposal_differences(reading: Reading, line: Line) -> list[str]:
    got = [normal(written(p)) for p in reading.proposals]
    want = [normal(p) for p in line.proposals]
    return [] if got == want else [f"proposes {got}, not {want}"]
